//! The raceway schedule: what lies together in each segment of a run.

use crate::conduit::NoFill;
use crate::cover::{Cover, cover};
use crate::facts::{Raceway, Run, Where};
use crate::graph::{Graph, RunId};
use crate::hardware::Hardware;
use crate::raceway::{Content, Expansion, Fill, NoRaceway, expansion, fill_of, smallest_raceway};
use crate::schedule::Sized;
use quantity::{Count, Fact, Gap, Gauge, Origin, Traced, units};
use std::sync::Arc;
use tables::RacewayKind;

/// One segment of a run with everything in it.
#[derive(Clone, Debug, PartialEq)]
pub struct SizedRaceway {
    /// The run.
    pub run: RunId,
    /// Segment of the run, counted from 0.
    pub segment: usize,
    /// What it is; open segments have no raceway to size.
    pub raceway: Fact<Raceway>,
    /// Whether it is a nipple: 24 in or less between two boxes.
    pub nipple: bool,
    /// Raceways of this kind side by side, one for each set of conductors in parallel.
    pub raceways: u32,
    /// Conductors in one of them; unknown when a conductor in it is.
    pub contents: Fact<Vec<Content>>,
    /// Trade size and fill; `None` for an open segment.
    pub fill: Option<Fact<Fill>>,
    /// Why no trade size can be given although all facts are known.
    pub problem: Option<NoRaceway>,
    /// Array circuits and others lie in it together without the barrier they need (NEC 690.31(B), from memory).
    pub mixes_pv: bool,
    /// An array circuit runs in it inside a building, so that it must be of metal up to the first disconnect (NEC
    /// 690.31(D), from memory); unknown when the place is.
    pub must_be_metal: Fact<bool>,
    /// Lengthening with heat of plastic pipe above ground; `None` for others.
    pub expansion: Option<Fact<Expansion>>,
    /// Cover of a buried segment; `None` when it is not buried.
    pub cover: Option<Fact<Cover>>,
    /// Supports, connectors, couplings, bends and fittings.
    pub hardware: Hardware,
}

/// Whether a segment is a short raceway that begins and ends at boxes: 24 in or less, of another kind than its
/// neighbours, because a change of method is made in a box or fitting. The ends of a run are boxes or equipment.
pub(crate) fn is_nipple(run: &Run, segment: usize) -> bool {
    let Some(this) = run.segments.get(segment) else { return false };
    let (Some(Raceway::Kind(kind)), Some(length)) = (this.raceway.value(), this.length.si()) else {
        return false;
    };
    let other = |neighbour: Option<usize>| {
        neighbour.and_then(|k| run.segments.get(k)).is_none_or(|next| {
            // A neighbour of unknown kind may be the same raceway going on.
            next.raceway.value().is_some_and(|raceway| *raceway != Raceway::Kind(*kind))
        })
    };
    length <= units::INCH_UNIT.to_si(24.0) * (1.0 + quantity::SAME)
        && other(segment.checked_sub(1))
        && other(Some(segment + 1))
}

/// Whether conductors in the open lie beside each other for 24 in or less, where NEC 310.15(C)(1) asks for no adjustment
/// (from memory): an open segment that short whose neighbours are not open too.
pub(crate) fn is_short_in_the_open(run: &Run, segment: usize) -> bool {
    let is_open =
        |k: usize| run.segments.get(k).is_some_and(|s| s.raceway.value().is_none_or(|r| *r == Raceway::Open));
    let Some(this) = run.segments.get(segment) else { return false };
    this.raceway.value() == Some(&Raceway::Open)
        && this.length.si().is_some_and(|m| m <= units::INCH_UNIT.to_si(24.0) * (1.0 + quantity::SAME))
        && !segment.checked_sub(1).is_some_and(is_open)
        && !is_open(segment + 1)
}

/// Every segment of every run that carries a circuit.
pub(crate) fn raceways(graph: &Graph, runs: &[Run], circuits: &[Sized]) -> Vec<SizedRaceway> {
    let mut rows = Vec::new();
    for (r, run) in runs.iter().enumerate() {
        let id = RunId(r);
        if graph.sharing(id).next().is_none() {
            continue;
        }
        let pv = graph.sharing(id).any(|(_, circuit)| circuit.demand.is_pv());
        let other = graph.sharing(id).any(|(_, circuit)| !circuit.demand.is_pv());
        let side_by_side = graph
            .sharing(id)
            .filter_map(|(c, _)| circuits.get(c.0)?.sets().value().map(|n| n.0))
            .max()
            .unwrap_or(1);
        for (k, segment) in run.segments.iter().enumerate() {
            let nipple = is_nipple(run, k);
            let contents = contents(graph, id, run, k, circuits);
            let mut problem = None;
            let fill = match &segment.raceway {
                Fact::Known(Traced {
                    value: Raceway::Open | Raceway::MetalClad { .. } | Raceway::Sheathed,
                    ..
                }) => None,
                // Filled by the rules of their own; see `metric_fills`.
                Fact::Known(Traced { value: Raceway::Kind(kind), .. }) if kind.is_metric() => None,
                Fact::Unknown(gap) => Some(Fact::Unknown(gap.clone())),
                Fact::Known(Traced { value: Raceway::Kind(kind), .. }) => Some(contents.and_then(|all| {
                    let answer = match &segment.trade_size {
                        Some(trade) => fill_of(*kind, trade, &all.value, nipple),
                        None => smallest_raceway(*kind, &all.value, nipple),
                    };
                    match answer {
                        Ok(fill) => {
                            let origin = fill.trade.origin.clone();
                            Fact::Known(Traced { value: fill, origin })
                        }
                        Err(why) => {
                            problem = Some(why);
                            Fact::unknown(
                                format!("{}.raceway", segment.field),
                                quantity::WhoKnows::Electrician,
                            )
                        }
                    }
                })),
            };
            rows.push(SizedRaceway {
                run: id,
                segment: k,
                raceway: segment.raceway.clone(),
                nipple,
                raceways: side_by_side,
                contents: contents.clone(),
                fill,
                problem,
                mixes_pv: pv
                    && other
                    && matches!(segment.raceway.value(), None | Some(Raceway::Kind(_)))
                    && segment.barrier.value() != Some(&true),
                must_be_metal: segment.place.clone().map(|place| pv && place.is_inside()),
                expansion: expansion_of(run, k),
                cover: cover(segment),
                hardware: Hardware::default(),
            });
        }
    }
    rows
}

/// Fills every conduit and trunking of the metric kinds; other kinds are of other rules and have none.
pub(crate) fn metric_fills(runs: &[Run], rows: &mut [SizedRaceway]) {
    for row in rows {
        (row.fill, row.problem) = (None, None);
        let segment = runs.get(row.run.0).and_then(|run| run.segments.get(row.segment));
        let (Some(segment), Some(Raceway::Kind(kind))) = (segment, row.raceway.value()) else { continue };
        if !crate::conduit::is_filled(*kind) {
            continue;
        }
        let contents = match &row.contents {
            Fact::Known(contents) => contents,
            Fact::Unknown(gap) => {
                row.fill = Some(Fact::Unknown(gap.clone()));
                continue;
            }
        };
        row.fill = Some(match crate::conduit::fill(*kind, segment, &contents.value) {
            Ok(fill) => {
                let origin = fill.trade.origin.clone();
                Fact::Known(Traced { value: fill, origin })
            }
            Err(NoFill::Missing(gap)) => Fact::Unknown(gap),
            Err(NoFill::Problem(why)) => {
                row.problem = Some(why);
                Fact::unknown(format!("{}.raceway", segment.field), quantity::WhoKnows::Electrician)
            }
        });
    }
}

/// Conductors that lie together in a run: one set of every circuit, and one equipment ground, the largest any of them
/// needs (NEC 250.122(C), from memory).
pub(crate) struct Lying {
    /// Each circuit with its size and its conductors.
    pub(crate) circuits: Vec<(Arc<str>, Traced<Gauge>, u32)>,
    /// The equipment ground.
    pub(crate) ground: Option<Traced<Gauge>>,
    /// Sets of conductors in parallel, each of which has a raceway of its own (NEC 300.3(B)(1), from memory).
    pub(crate) sets: Traced<Count>,
}

impl Lying {
    /// As the contents of one raceway.
    pub(crate) fn contents(&self, insulation: tables::Insulation) -> Vec<Content> {
        let of = |what: Arc<str>, gauge: &Traced<Gauge>, count: u32| Content {
            what,
            insulation,
            gauge: gauge.clone(),
            count: gauge.with(Count(count)),
        };
        let circuits = self.circuits.iter().map(|(name, gauge, count)| of(name.clone(), gauge, *count));
        let ground = self.ground.iter().map(|ground| of(Arc::from("equipment ground"), ground, 1));
        circuits.chain(ground).collect()
    }
}

/// Conductors in one raceway of a segment.
fn contents(graph: &Graph, id: RunId, run: &Run, segment: usize, circuits: &[Sized]) -> Fact<Vec<Content>> {
    let insulation = match run.insulation_in(segment).need() {
        Ok(insulation) => insulation.value,
        Err(gap) => return Fact::Unknown(gap),
    };
    lying(graph, id, circuits).map(|lying| lying.contents(insulation))
}

/// What lies together in a run; unknown when a size is.
pub(crate) fn lying(graph: &Graph, id: RunId, circuits: &[Sized]) -> Fact<Lying> {
    let mut all = Vec::new();
    let mut ground: Option<Traced<Gauge>> = None;
    let mut most: Option<Traced<Count>> = None;
    let mut gap: Option<Gap> = None;
    let mut origin: Option<Origin> = None;
    for (c, circuit) in graph.sharing(id) {
        let Some(sized) = circuits.get(c.0) else { continue };
        match (sized.gauge(), &sized.ground) {
            (Fact::Known(gauge), Fact::Known(own)) => {
                origin.get_or_insert_with(|| gauge.origin.clone());
                if let Fact::Known(sets) = sized.sets()
                    && most.as_ref().is_none_or(|most| sets.value > most.value)
                {
                    most = Some(sets);
                }
                all.push((circuit.name.clone(), gauge, circuit.conductors));
                if ground.as_ref().is_none_or(|ground| own.value > ground.value) {
                    ground = Some(own.clone());
                }
            }
            (Fact::Unknown(more), _) => gap = Some(gap.map_or(more.clone(), |gap| gap.and(&more))),
            (_, Fact::Unknown(more)) => gap = Some(gap.map_or(more.clone(), |gap| gap.and(more))),
        }
    }
    if let Some(gap) = gap {
        return Fact::Unknown(gap);
    }
    match (origin, most) {
        (Some(origin), Some(sets)) => {
            Fact::Known(Traced { value: Lying { circuits: all, ground, sets }, origin })
        }
        _ => Fact::unknown("run", quantity::WhoKnows::Owner),
    }
}

fn expansion_of(run: &Run, k: usize) -> Option<Fact<Expansion>> {
    let segment = run.segments.get(k)?;
    let plastic = matches!(
        segment.raceway.value(),
        Some(Raceway::Kind(RacewayKind::Pvc40 | RacewayKind::Pvc80 | RacewayKind::PlasticConduit))
    );
    let place = *segment.place.value()?;
    if !plastic || place == Where::Underground || place.is_inside() {
        return None;
    }
    let in_sun = matches!(place, Where::InSun | Where::OnRoof);
    Some(segment.length.and_then(|length| {
        segment.swing.and_then(|swing| {
            let expansion = expansion(length, swing, in_sun);
            let origin = expansion.change.origin.clone();
            Fact::Known(Traced { value: expansion, origin })
        })
    }))
}
