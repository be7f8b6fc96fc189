//! What a change of method asks for: a box where conductors leave their raceway or change their insulation, a fitting
//! where one raceway meets another.

use crate::facts::{Raceway, Run};
use crate::graph::{Graph, RunId};
use crate::raceway::smallest_raceway;
use crate::raceways::{Lying, SizedRaceway, lying};
use crate::schedule::Sized;
use quantity::{
    Count, Fact, Gap, Gauge, Length, Measure, Standing, Traced, Volume, WhoKnows, formula, nec,
    product_of_count, sum, units,
};
use std::sync::Arc;
use tables::{MetalBox, RacewayKind, TradeSize};

/// What stands between two parts of a route.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum JointKind {
    /// A box in which conductors are joined or pass from one method to another (NEC 300.15, 300.16, from memory).
    Box,
    /// A fitting that joins one kind of raceway to another; the conductors pass through.
    Fitting,
}

/// A change of method between two parts of a run.
#[derive(Clone, Debug, PartialEq)]
pub struct Joint {
    /// The run.
    pub run: RunId,
    /// The part before it, counted from 0.
    pub after: usize,
    /// Box or fitting.
    pub kind: JointKind,
    /// Whether module conductors go from the open into their raceway there.
    pub transition: bool,
    /// Whether the conductors are joined there, because their insulation changes.
    pub spliced: bool,
    /// Whether a side of it lies in a wet place, so that it must keep water out.
    pub wet: bool,
    /// How large it must be; `None` for a fitting.
    pub size: Option<Fact<BoxSize>>,
}

/// How large a box must be.
#[derive(Clone, Debug, PartialEq)]
pub enum BoxSize {
    /// For conductors up to 6 AWG: by the space they take.
    Volume {
        /// Space they take.
        needs: Traced<Volume>,
        /// The smallest square metal box that has it.
        metal: Option<MetalBox>,
    },
    /// From 4 AWG: by the raceways that enter.
    Pull {
        /// Least length where conductors go straight through; `None` where they are joined.
        straight: Option<Traced<Length>>,
        /// Least distance to the opposite wall where they turn or are joined.
        turn: Traced<Length>,
    },
}

impl BoxSize {
    /// "at least 18 in³", "at least 16 in long".
    pub fn in_words(&self) -> String {
        let inches = |length: &Traced<Length>| quantity::print_in(length.si(), &units::INCH_UNIT);
        match self {
            BoxSize::Volume { needs, .. } => {
                format!("at least {}", quantity::print_in(needs.si(), &units::CUBIC_INCH))
            }
            BoxSize::Pull { straight: Some(straight), turn } => {
                format!("at least {} straight through, {} at a turn", inches(straight), inches(turn))
            }
            BoxSize::Pull { straight: None, turn } => {
                format!("at least {} to the opposite wall", inches(turn))
            }
        }
    }
}

/// Least length of a pull box for a straight pull: eight times the trade size of the largest raceway.
pub fn straight_pull(d: f64) -> f64 {
    8.0 * d
}

formula! {
    /// Explained twin of [`straight_pull`].
    pub StraightPull = straight_pull(
        d: Length as INCH_UNIT = "trade size of the largest raceway",
    ) -> Length as INCH_UNIT,
    text: "8 · d",
    clause: nec("2023", "314.28(A)(1)", Standing::Remembered),
}

/// Least distance to the opposite wall at a turn or splice: six times the largest raceway and once each other raceway in
/// the same row on that wall.
pub fn turned_pull(d: f64, n: f64) -> f64 {
    6.0 * d + (n - 1.0) * d
}

formula! {
    /// Explained twin of [`turned_pull`].
    pub TurnedPull = turned_pull(
        d: Length as INCH_UNIT = "trade size of the largest raceway",
        n: Count as COUNT = "raceways side by side on the wall",
    ) -> Length as INCH_UNIT,
    text: "6 · d + (n - 1) · d",
    clause: nec("2023", "314.28(A)(2)", Standing::Remembered),
}

/// Every change of method along the runs; `rows` are the raceways of the same schedule.
pub(crate) fn joints(graph: &Graph, runs: &[Run], circuits: &[Sized], rows: &[SizedRaceway]) -> Vec<Joint> {
    let mut all = Vec::new();
    for (r, run) in runs.iter().enumerate() {
        let id = RunId(r);
        if graph.sharing(id).next().is_none() {
            continue;
        }
        let pv = graph.sharing(id).any(|(_, circuit)| circuit.demand.is_pv());
        let content = lying(graph, id, circuits);
        for after in 0..run.segments.len().saturating_sub(1) {
            let Some(kind) = kind_between(run, after) else { continue };
            let here = [after, after + 1];
            let wet = here.iter().any(|k| run.segments[*k].place.value().is_none_or(|place| place.is_wet()));
            let open = here.iter().any(|k| run.segments[*k].raceway.value() == Some(&Raceway::Open));
            let spliced = is_spliced(run, after);
            let size = (kind == JointKind::Box).then(|| box_size(run, &content, &here, rows, id, spliced));
            all.push(Joint { run: id, after, kind, transition: pv && open, spliced, wet, size });
        }
    }
    all
}

/// What stands after a part of a route: nothing where the same raceway goes on, or where a part is not known.
pub(crate) fn kind_between(run: &Run, after: usize) -> Option<JointKind> {
    let (a, b) = (run.segments.get(after)?, run.segments.get(after + 1)?);
    let (from, to) = (a.raceway.value()?, b.raceway.value()?);
    if is_spliced(run, after) {
        return Some(JointKind::Box);
    }
    match (from, to) {
        (from, to) if from == to => None,
        (Raceway::Kind(_), Raceway::Kind(_)) => Some(JointKind::Fitting),
        _ => Some(JointKind::Box),
    }
}

/// Conductors are joined where their insulation changes, and where cable that brings its own begins or ends.
fn is_spliced(run: &Run, after: usize) -> bool {
    let insulation = |k: usize| run.insulation_in(k).value().copied();
    let clad = |k: usize| run.segments[k].raceway.value().is_some_and(|raceway| raceway.is_cable());
    let changes = match (insulation(after), insulation(after + 1)) {
        (Some(a), Some(b)) => a != b,
        _ => false,
    };
    changes || clad(after) != clad(after + 1)
}

fn box_size(
    run: &Run,
    content: &Fact<Lying>,
    here: &[usize],
    rows: &[SizedRaceway],
    id: RunId,
    spliced: bool,
) -> Fact<BoxSize> {
    content.and_then(|content| {
        let lying = &content.value;
        let all = lying.circuits.iter().map(|(_, gauge, _)| gauge).chain(lying.ground.iter());
        let size =
            match all.clone().map(|gauge| tables::box_volume(gauge.value)).collect::<Result<Vec<_>, _>>() {
                Ok(_) => volume(lying, spliced),
                Err(_) if all.clone().all(|gauge| is_american(gauge.value)) => {
                    match pull(run, lying, here, rows, id, spliced) {
                        Ok(size) => size,
                        Err(gap) => return Fact::Unknown(gap),
                    }
                }
                Err(_) => return Fact::unknown(format!("{}.conductor", run.field), WhoKnows::Electrician),
            };
        Fact::Known(Traced { value: size, origin: content.origin.clone() })
    })
}

fn is_american(gauge: Gauge) -> bool {
    matches!(gauge, Gauge::Awg(_) | Gauge::Kcmil(_))
}

/// Each conductor counts once, those that are joined once on each side; up to four grounds together once, by the
/// largest of them (NEC 314.16(B), from memory).
fn volume(lying: &Lying, spliced: bool) -> BoxSize {
    let mut parts: Vec<(Arc<str>, Traced<Volume>)> = Vec::new();
    for (name, gauge, conductors) in &lying.circuits {
        let count = gauge.with(Count(if spliced { 2 * conductors } else { *conductors }));
        if let Ok(each) = tables::box_volume(gauge.value) {
            parts.push((name.clone(), product_of_count(&count, &each, &units::CUBIC_INCH)));
        }
    }
    if let Some(ground) = &lying.ground
        && let Ok(each) = tables::box_volume(ground.value)
    {
        let together = product_of_count(&ground.with(Count(1)), &each, &units::CUBIC_INCH);
        parts.push((Arc::from("all equipment grounds together"), together));
    }
    let needs = sum(parts, &units::CUBIC_INCH);
    let metal = tables::smallest_metal_box(needs.value);
    BoxSize::Volume { needs, metal }
}

fn pull(
    run: &Run,
    lying: &Lying,
    here: &[usize],
    rows: &[SizedRaceway],
    id: RunId,
    spliced: bool,
) -> Result<BoxSize, Gap> {
    let mut largest: Option<Traced<TradeSize>> = None;
    for row in rows.iter().filter(|row| row.run == id && here.contains(&row.segment)) {
        let Some(fill) = &row.fill else { continue };
        let trade = fill.need()?.value.trade.clone();
        if largest.as_ref().is_none_or(|largest| trade.value > largest.value) {
            largest = Some(trade);
        }
    }
    // Without a raceway on either side, the one that the conductors would need counts.
    let largest = match largest {
        Some(largest) => largest,
        None => {
            let gap = || Gap::one(run.field.clone(), WhoKnows::Electrician);
            let insulation = run.insulation_in(here.first().copied().unwrap_or(0)).need()?.value;
            smallest_raceway(RacewayKind::Emt, &lying.contents(insulation), false).map_err(|_| gap())?.trade
        }
    };
    let inches = units::INCH_UNIT.to_si(largest.value.inches());
    let d = Traced { value: Length::from_si(inches), origin: largest.origin.clone() };
    Ok(BoxSize::Pull {
        straight: (!spliced).then(|| StraightPull::of(&d)),
        turn: TurnedPull::of(&d, &lying.sets),
    })
}

/// Size of a box between the ends of a part through which conductors are pulled; `None` where a conduit body of the
/// raceway's own trade size does, for conductors up to 6 AWG (NEC 314.16(C), from memory).
pub(crate) fn pull_point(run: &Run, content: &Fact<Lying>, row: &SizedRaceway) -> Option<Fact<BoxSize>> {
    let size = box_size(run, content, &[row.segment], std::slice::from_ref(row), row.run, false);
    match size {
        Fact::Known(Traced { value: BoxSize::Volume { .. }, .. }) => None,
        other => Some(other),
    }
}
