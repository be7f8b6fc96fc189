//! What holds a raceway and joins its pieces: supports, connectors, couplings, bends, expansion fittings; and how far
//! conductors are pulled around bends.

use crate::boxes::{BoxSize, JointKind, kind_between, pull_point};
use crate::facts::{Raceway, Run, Where};
use crate::graph::{Graph, RunId};
use crate::raceways::{SizedRaceway, lying};
use crate::schedule::Sized;
use quantity::{
    Angle, Choice, Clause, Count, Fact, Gauge, Length, Measure, Standing, TableRow, Term, Traced, formula,
    nec, practice, product_of_count, sum, units,
};
use std::sync::Arc;
use tables::{RacewayKind, Supports, TradeSize};

/// Pieces that one part of a route needs beside its raceway, for all raceways side by side.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Hardware {
    /// Largest distance between supports.
    pub between: Option<Fact<Length>>,
    /// Supports.
    pub supports: Option<Fact<Count>>,
    /// Connectors at boxes and equipment.
    pub connectors: Option<Traced<Count>>,
    /// Couplings between the lengths in which it is sold.
    pub couplings: Option<Fact<Count>>,
    /// Bends of a quarter turn that are bought, for raceway that is not bent on the site.
    pub quarter_bends: Option<Fact<Count>>,
    /// Expansion fittings: for heat above the ground, for ground that settles or freezes where it comes out.
    pub expansion_fittings: Option<Fact<Count>>,
    /// Boxes or conduit bodies between its ends through which conductors are pulled.
    pub pull_points: Option<Fact<Count>>,
    /// Size of the boxes among them; `None` where conduit bodies do.
    pub pull_box: Option<Fact<BoxSize>>,
}

/// A stretch of raceway without a box in it, through which conductors are pulled.
#[derive(Clone, Debug, PartialEq)]
pub struct Stretch {
    /// The run.
    pub run: RunId,
    /// First and last part, counted from 0.
    pub parts: (usize, usize),
    /// All bends between two pull points, if these are set as well as they can be.
    pub bends: Fact<Angle>,
    /// The most that may lie between two pull points.
    pub most: Traced<Angle>,
    /// Whether no more than that does.
    pub passes: Fact<bool>,
}

/// Length in which pipe is sold, feet: 10 ft (common practice, no source).
const PIECE_FEET: f64 = 10.0;
/// Bends between two pull points at most: four quarter turns.
const MOST_DEGREES: f64 = 360.0;

/// Supports along a length: one near each end, and between them no further apart than allowed.
pub fn support_count(l: f64, s: f64, e: f64) -> f64 {
    // The small addend keeps a length that is exactly a multiple from asking for one more in binary.
    1.0 + ((l - 2.0 * e) / s - 1e-9).max(0.0).ceil()
}

formula! {
    /// Explained twin of [`support_count`].
    pub SupportCount = support_count(
        l: Length as INCH_UNIT = "length of the part",
        s: Length as INCH_UNIT = "largest distance between supports",
        e: Length as INCH_UNIT = "largest distance from a box",
    ) -> Count as COUNT,
    text: "1 + ceil(max((l - 2 · e) / s - 0.000000001, 0))",
    clause: practice("one support near each end, others between them"),
}

/// Couplings between pieces of one length.
pub fn coupling_count(l: f64, piece: f64) -> f64 {
    (l / piece - 1e-9).ceil().max(1.0) - 1.0
}

formula! {
    /// Explained twin of [`coupling_count`].
    pub CouplingCount = coupling_count(
        l: Length as FOOT_UNIT = "length of the part",
        piece: Length as FOOT_UNIT = "length it is sold in",
    ) -> Count as COUNT,
    text: "max(ceil(l / piece - 0.000000001), 1) - 1",
    clause: practice("a coupling between two lengths"),
}

/// Quarter bends that make up a turn.
pub fn quarter_bends(bends: f64) -> f64 {
    (bends / 90.0 - 1e-9).ceil().max(0.0)
}

formula! {
    /// Explained twin of [`quarter_bends`].
    pub QuarterBends = quarter_bends(
        bends: Angle as DEGREE_UNIT = "all bends of the part",
    ) -> Count as COUNT,
    text: "max(ceil(bends / 90 - 0.000000001), 0)",
    clause: practice("bends are bought as quarter turns"),
}

/// Bends between two pull points when the points divide them as evenly as can be.
pub fn bends_between(bends: f64, points: f64) -> f64 {
    bends / (points + 1.0)
}

formula! {
    /// Explained twin of [`bends_between`].
    pub BendsBetween = bends_between(
        bends: Angle as DEGREE_UNIT = "all bends of the stretch",
        points: Count as COUNT = "pull points between its ends",
    ) -> Angle as DEGREE_UNIT,
    text: "bends / (points + 1)",
    clause: nec("2023", "344.26, 352.26, 358.26", Standing::Remembered),
}

/// Fills in the pieces of every part.
pub(crate) fn fit_out(graph: &Graph, runs: &[Run], circuits: &[Sized], rows: &mut [SizedRaceway]) {
    for row in rows {
        let Some(run) = runs.get(row.run.0) else { continue };
        let Some(segment) = run.segments.get(row.segment) else { continue };
        let Some(raceway) = segment.raceway.value() else { continue };
        let content = lying(graph, row.run, circuits);
        let sets = content.value().map(|lying| &lying.sets);
        let pv = graph.sharing(row.run).any(|(_, circuit)| circuit.demand.is_pv());
        let buried = segment.place.value() == Some(&Where::Underground);
        let mut hardware = Hardware::default();
        let held: Option<Fact<(Supports, Vec<Term>)>> = match raceway {
            _ if buried => None,
            Raceway::Open if !pv => None,
            Raceway::Open => Some(content.and_then(|lying| {
                let thickest = lying.value.circuits.iter().map(|(_, gauge, _)| gauge).max_by_key(|g| g.value);
                match thickest {
                    Some(gauge) => {
                        known((array_supports(gauge.value), vec![gauge.size_term("conductor")]), gauge)
                    }
                    None => Fact::unknown(run.field.as_str(), quantity::WhoKnows::Owner),
                }
            })),
            Raceway::MetalClad { .. } | Raceway::Sheathed => {
                Some(segment.length.and_then(|length| known((clad_supports(), Vec::new()), length)))
            }
            Raceway::Kind(kind) => row.fill.as_ref().map(|fill| {
                fill.and_then(|fill| {
                    let trade = &fill.value.trade;
                    match tables::raceway_supports(*kind, trade.value) {
                        Ok(found) => known((found, vec![trade_term(trade)]), trade),
                        Err(_) => Fact::unknown(run.field.as_str(), quantity::WhoKnows::Electrician),
                    }
                })
            }),
        };
        if let Some(held) = held {
            let distance = |of: fn(&Supports) -> &Traced<Length>| {
                held.and_then(|held| {
                    let (supports, terms) = &held.value;
                    Fact::Known(resting(of(supports), &units::INCH_UNIT, terms))
                })
            };
            let (between, from_box) = (distance(|s| &s.between), distance(|s| &s.from_box));
            let count = SupportCount::of_facts(&segment.length, &between, &from_box);
            hardware.supports = Some(many(count, sets));
            hardware.between = Some(between);
        }
        if *raceway != Raceway::Open {
            let meets = meets_boxes(run, row.segment);
            if meets > 0 {
                hardware.connectors = Some(connectors(meets, sets, run, row.segment));
            }
        }
        if let Raceway::Kind(kind) = raceway {
            let piece = assumed_piece(run, row.segment);
            if is_pipe(*kind) {
                let count = CouplingCount::of_facts(&segment.length, &piece);
                hardware.couplings = Some(many(count, sets));
            }
            if matches!(kind, RacewayKind::Rmc | RacewayKind::Pvc40 | RacewayKind::Pvc80) {
                hardware.quarter_bends = Some(many(QuarterBends::of_facts(&segment.bends), sets));
            }
            hardware.expansion_fittings = expansion_fittings(run, row, *kind, sets);
            if segment.pull_points.value().is_none_or(|n| n.0 > 0) {
                hardware.pull_points = Some(many(segment.pull_points.clone(), sets));
                hardware.pull_box = pull_point(run, &content, row);
            }
        }
        row.hardware = hardware;
    }
}

fn known<T, U>(value: T, at: &Traced<U>) -> Fact<T> {
    Fact::Known(Traced { value, origin: at.origin.clone() })
}

fn trade_term(trade: &Traced<TradeSize>) -> Term {
    Term::words("trade size", trade.value.to_string(), trade.origin.clone())
}

/// A value of a table that was entered with what `terms` say, and rests on it.
fn resting<T: Measure>(value: &Traced<T>, unit: &'static quantity::Unit, terms: &[Term]) -> Traced<T> {
    if terms.is_empty() {
        return value.clone();
    }
    let mut all = vec![value.term("table", unit)];
    all.extend(terms.iter().cloned());
    let clause = Clause {
        document: "schedule",
        edition: "",
        clause: "read for the size found",
        standing: Standing::Computed,
    };
    Traced::series(value.value, "distance of the table for this size", clause, all)
}

/// Pieces of one raceway times the raceways side by side.
fn many(one: Fact<Count>, sets: Option<&Traced<Count>>) -> Fact<Count> {
    match sets {
        Some(sets) if sets.value.0 > 1 => {
            one.and_then(|one| Fact::Known(product_of_count(sets, one, &units::COUNT)))
        }
        _ => one,
    }
}

fn raceways(sets: Option<&Traced<Count>>) -> u32 {
    sets.map_or(1, |sets| sets.value.0.max(1))
}

fn is_pipe(kind: RacewayKind) -> bool {
    matches!(kind, RacewayKind::Emt | RacewayKind::Rmc | RacewayKind::Pvc40 | RacewayKind::Pvc80)
}

fn assumed_piece(run: &Run, segment: usize) -> Fact<Length> {
    let field = run.segments.get(segment).map_or_else(|| run.field.clone(), |part| part.field.clone());
    Fact::assumed(
        Length::from_si(units::FOOT_UNIT.to_si(PIECE_FEET)),
        quantity::Reason {
            field: quantity::FieldPath::new(format!("{field}.piece")),
            because: "pipe is sold in lengths of 10 ft".into(),
            moves: "couplings".into(),
            clause: practice("pipe is sold in lengths of 10 ft"),
        },
    )
}

/// Supports of exposed module conductors (NEC 690.31(C)(1), from memory).
fn array_supports(gauge: Gauge) -> Supports {
    let (inches, words) = if gauge <= Gauge::Awg(8) {
        (24.0, "exposed conductors up to 8 AWG")
    } else {
        (54.0, "exposed conductors above 8 AWG")
    };
    stated_supports("690.31(C)(1)", words, inches, 12.0)
}

/// Supports of metal-clad cable (NEC 330.30, from memory).
fn clad_supports() -> Supports {
    stated_supports("330.30", "metal-clad cable", 72.0, 12.0)
}

fn stated_supports(clause: &'static str, words: &str, between: f64, from_box: f64) -> Supports {
    let of = |inches: f64, what: &str| {
        let row = TableRow {
            clause: nec("2023", clause, Standing::Remembered),
            row: format!("{words}, {what}").into(),
            standing: Standing::Remembered,
        };
        Traced::tabled(Length::from_si(units::INCH_UNIT.to_si(inches)), row)
    };
    Supports { between: of(between, "between supports"), from_box: of(from_box, "from a box") }
}

/// Ends of a part that meet a box or equipment, where the raceway needs a connector.
fn meets_boxes(run: &Run, segment: usize) -> u32 {
    let at_start = match segment.checked_sub(1) {
        None => true,
        Some(before) => kind_between(run, before) == Some(JointKind::Box),
    };
    let at_end = segment + 1 >= run.segments.len() || kind_between(run, segment) == Some(JointKind::Box);
    u32::from(at_start) + u32::from(at_end)
}

fn connectors(meets: u32, sets: Option<&Traced<Count>>, run: &Run, segment: usize) -> Traced<Count> {
    let mut terms: Vec<Term> =
        sets.map(|sets| sets.term("raceways side by side", &units::COUNT)).into_iter().collect();
    let n = meets * raceways(sets);
    for k in [segment.checked_sub(1), Some(segment), Some(segment + 1)].into_iter().flatten() {
        if let Some(Fact::Known(raceway)) = run.segments.get(k).map(|part| &part.raceway) {
            let origin = raceway.origin.clone();
            terms.push(Term::words(format!("part {}", k + 1), raceway.value.in_words(), origin));
        }
    }
    let because = Arc::from("one at each end that meets a box or equipment");
    let clause = nec("2023", "300.15", Standing::Remembered);
    Traced::found(Count(n), Choice { because, runner_up: Arc::from(""), clause, terms })
}

/// One for heat where the part lengthens by a quarter of an inch or more, one at each place where buried pipe comes out
/// of the ground (NEC 300.5(J), 352.44(B), from memory).
fn expansion_fittings(
    run: &Run,
    row: &SizedRaceway,
    kind: RacewayKind,
    sets: Option<&Traced<Count>>,
) -> Option<Fact<Count>> {
    if !matches!(kind, RacewayKind::Pvc40 | RacewayKind::Pvc80) {
        return None;
    }
    let segment = run.segments.get(row.segment)?;
    if let Some(expansion) = &row.expansion {
        let count = expansion.and_then(|found| {
            let count = u32::from(found.value.fitting) * raceways(sets);
            let change = &found.value.change;
            let choice = Choice {
                because: Arc::from("one where the part lengthens by a quarter of an inch or more"),
                runner_up: Arc::from(""),
                clause: nec("2023", "352.44", Standing::SecondHand),
                terms: vec![change.term("change of length", &units::INCH_UNIT)],
            };
            Fact::Known(Traced::found(Count(count), choice))
        });
        return (count.value() != Some(&Count(0))).then_some(count);
    }
    let Fact::Known(place) = &segment.place else { return None };
    if place.value != Where::Underground {
        return None;
    }
    let buried = |k: Option<usize>| {
        k.and_then(|k| run.segments.get(k)).is_some_and(|s| s.place.value() == Some(&Where::Underground))
    };
    let ends = u32::from(!buried(row.segment.checked_sub(1))) + u32::from(!buried(Some(row.segment + 1)));
    (ends > 0).then(|| {
        let choice = Choice {
            because: Arc::from(
                "one where the buried pipe comes out of the ground, which settles and freezes",
            ),
            runner_up: Arc::from(""),
            clause: nec("2023", "300.5(J), 352.44(B)", Standing::Remembered),
            terms: vec![Term::words("place", place.value.in_words(), place.origin.clone())],
        };
        Fact::Known(Traced::found(Count(ends * raceways(sets)), choice))
    })
}

/// Every stretch of raceway between boxes with its bends.
pub(crate) fn stretches(graph: &Graph, runs: &[Run]) -> Vec<Stretch> {
    let mut all = Vec::new();
    for (r, run) in runs.iter().enumerate() {
        if graph.sharing(RunId(r)).next().is_none() {
            continue;
        }
        let in_raceway = |k: usize| {
            run.segments.get(k).is_some_and(|s| matches!(s.raceway.value(), Some(Raceway::Kind(_))))
        };
        let mut first = 0;
        while first < run.segments.len() {
            if !in_raceway(first) {
                first += 1;
                continue;
            }
            let mut last = first;
            while in_raceway(last + 1) && kind_between(run, last) != Some(JointKind::Box) {
                last += 1;
            }
            all.push(stretch(run, RunId(r), first, last));
            first = last + 1;
        }
    }
    all
}

fn stretch(run: &Run, id: RunId, first: usize, last: usize) -> Stretch {
    let parts = run.segments.get(first..=last).unwrap_or(&[]);
    let numbered = |k: usize| Arc::from(format!("part {}", first + k + 1));
    let bends = total(parts.iter().enumerate().map(|(k, p)| (numbered(k), &p.bends)), &units::DEGREE_UNIT);
    let points = total(parts.iter().enumerate().map(|(k, p)| (numbered(k), &p.pull_points)), &units::COUNT);
    let bends = BendsBetween::of_facts(&bends, &points);
    let most = Traced::tabled(
        Angle::from_si(units::DEGREE_UNIT.to_si(MOST_DEGREES)),
        TableRow {
            clause: nec("2023", "344.26, 352.26, 358.26", Standing::Remembered),
            row: Arc::from("four quarter bends between pull points"),
            standing: Standing::Remembered,
        },
    );
    let passes = bends.clone().map(|bends| crate::at_least(most.si(), bends.si()));
    Stretch { run: id, parts: (first, last), bends, most, passes }
}

fn total<'f, T: Measure + 'f>(
    parts: impl Iterator<Item = (Arc<str>, &'f Fact<T>)>,
    unit: &'static quantity::Unit,
) -> Fact<T> {
    let mut known = Vec::new();
    let mut gap: Option<quantity::Gap> = None;
    for (name, fact) in parts {
        match fact {
            Fact::Known(traced) => known.push((name, traced.clone())),
            Fact::Unknown(more) => gap = Some(gap.map_or(more.clone(), |gap| gap.and(more))),
        }
    }
    match gap {
        Some(gap) => Fact::Unknown(gap),
        None => Fact::Known(sum(known, unit)),
    }
}
