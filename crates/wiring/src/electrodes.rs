//! Grounding electrodes and the conductors to them, NEC 250.66 and IEC 60364-5-54.

use crate::graph::{Graph, NodeId, NodeKind};
use crate::grounding::electrode_ground;
use crate::schedule::Sized;
use quantity::{Choice, Fact, FieldPath, Gap, Gauge, Material, Resistance, Standing, Traced, WhoKnows, iec};
use std::sync::Arc;

/// Kind of a grounding electrode, NEC 250.52 (from memory).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[allow(missing_docs)] // The names are the trade's own.
pub enum ElectrodeKind {
    Rod,
    Plate,
    Ring,
    ConcreteEncased,
    WaterPipe,
    BuildingSteel,
}

impl ElectrodeKind {
    /// The words.
    pub fn in_words(self) -> &'static str {
        match self {
            ElectrodeKind::Rod => "rod",
            ElectrodeKind::Plate => "plate",
            ElectrodeKind::Ring => "ring",
            ElectrodeKind::ConcreteEncased => "concrete-encased",
            ElectrodeKind::WaterPipe => "water pipe",
            ElectrodeKind::BuildingSteel => "building steel",
        }
    }

    /// The kind whose conductor need not follow the service, if it is one.
    fn limited(self) -> Option<tables::Electrode> {
        match self {
            ElectrodeKind::Rod | ElectrodeKind::Plate => Some(tables::Electrode::RodPipePlate),
            ElectrodeKind::ConcreteEncased => Some(tables::Electrode::ConcreteEncased),
            ElectrodeKind::Ring | ElectrodeKind::WaterPipe | ElectrodeKind::BuildingSteel => None,
        }
    }
}

/// A grounding electrode as the owner states it.
#[derive(Clone, Debug, PartialEq)]
pub struct GroundElectrode {
    /// Owner's name.
    pub name: Arc<str>,
    /// What it is.
    pub kind: Fact<ElectrodeKind>,
    /// Building it belongs to, empty where none is named.
    pub building: Arc<str>,
    /// Equipment at which its conductor ends, empty where none is named.
    pub at: Arc<str>,
    /// It stands at the array, besides those of the building.
    pub at_array: bool,
    /// Measured resistance to earth.
    pub resistance: Fact<Resistance>,
    /// Conductor fixed by the owner.
    pub conductor: Option<Traced<Gauge>>,
    /// Metal of the conductor.
    pub material: Fact<Material>,
    /// Where the design states it.
    pub field: FieldPath,
}

/// Service conductors that are there, which no circuit of the schedule sizes.
#[derive(Clone, Debug, PartialEq)]
pub struct ServiceConductors {
    /// Size of one ungrounded conductor.
    pub gauge: Fact<Gauge>,
    /// Metal.
    pub material: Fact<Material>,
}

/// Smallest conductor to each electrode, in their order, by the largest ungrounded conductor that supplies the equipment
/// it ends at: of the service, of the feeder to a separate building, or of the source that feeds it.
pub fn electrode_conductors(
    graph: &Graph,
    circuits: &[Sized],
    service: &ServiceConductors,
    electrodes: &[GroundElectrode],
) -> Vec<Fact<Gauge>> {
    electrodes
        .iter()
        .map(|electrode| {
            let Some(at) = graph.find(&electrode.at) else {
                return Fact::unknown(format!("{}.at", electrode.field.as_str()), WhoKnows::Electrician);
            };
            let (supply, sets, metal) = match largest_supply(graph, circuits, service, at) {
                Ok(found) => found,
                Err(gap) => return Fact::Unknown(gap),
            };
            match (&electrode.kind, &electrode.material) {
                (Fact::Known(kind), Fact::Known(own)) => {
                    let limit = kind.value.limited();
                    match electrode_ground(&supply, sets, metal, own.value, limit) {
                        Some(gauge) => Fact::Known(gauge),
                        None => Fact::unknown(
                            format!("{}.conductor", electrode.field.as_str()),
                            WhoKnows::Electrician,
                        ),
                    }
                }
                (Fact::Unknown(gap), Fact::Unknown(more)) => Fact::Unknown(gap.clone().and(more)),
                (Fact::Unknown(gap), _) | (_, Fact::Unknown(gap)) => Fact::Unknown(gap.clone()),
            }
        })
        .collect()
}

/// Smallest earthing conductor to each electrode by IEC 60364-5-54: the protective conductor of table 54.2 for the largest
/// line conductor that supplies the equipment it ends at, and at least 6 mm² of copper (542.3.1, from memory). Other metals
/// are unknown.
pub fn iec_electrode_conductors(
    graph: &Graph,
    circuits: &[Sized],
    service: &ServiceConductors,
    electrodes: &[GroundElectrode],
) -> Vec<Fact<Gauge>> {
    let one = |electrode: &GroundElectrode| -> Result<Traced<Gauge>, Gap> {
        let field = |what: &str| FieldPath::new(format!("{}.{what}", electrode.field.as_str()));
        let ask = |what: &str| Gap::one(field(what), WhoKnows::Electrician);
        let at = graph.find(&electrode.at).ok_or_else(|| ask("at"))?;
        let (line, _, metal) = largest_supply(graph, circuits, service, at)?;
        if metal != Material::Copper || electrode.material.need()?.value != Material::Copper {
            return Err(ask("conductor"));
        }
        let protective = tables::iec_protective_conductor(line.value).map_err(|_| ask("conductor"))?;
        let gauge = protective.value.max(LEAST_TO_EARTH);
        let because = match gauge == protective.value {
            true => "the protective conductor of its supply",
            false => "6 mm² of copper at least, more than the protective conductor of its supply",
        };
        let choice = Choice {
            because: because.into(),
            runner_up: "".into(),
            clause: iec("IEC 60364-5-54", "2011", "542.3.1, 543.1", Standing::Remembered),
            terms: vec![
                line.size_term("largest line conductor of its supply"),
                protective.size_term("protective conductor"),
            ],
        };
        Ok(Traced::found(gauge, choice))
    };
    electrodes.iter().map(|electrode| one(electrode).into()).collect()
}

/// Least earthing conductor.
const LEAST_TO_EARTH: Gauge = Gauge::HundredthsMm2(600);

type Supply = (Traced<Gauge>, u32, Material);

/// The largest ungrounded conductor into a piece of equipment. One that is not known may be the largest.
fn largest_supply(
    graph: &Graph,
    circuits: &[Sized],
    service: &ServiceConductors,
    at: NodeId,
) -> Result<Supply, Gap> {
    let mut largest: Option<Supply> = None;
    for (id, circuit) in graph.circuits_at(at).filter(|(_, circuit)| circuit.to == at) {
        let Some(sized) = circuits.get(id.0) else { continue };
        let from_utility = graph.node(circuit.from).is_some_and(|node| node.kind == NodeKind::Utility);
        // What lies there is what counts, whatever would have been found for it.
        let found = if from_utility && service.gauge.is_known() {
            (service.gauge.clone(), 1, service.material.clone())
        } else {
            let sets = sized.sets().value().map_or(1, |sets| sets.0);
            (sized.gauge(), sets, sized.material.clone())
        };
        let (gauge, sets, metal) = match found {
            (Fact::Known(gauge), sets, Fact::Known(metal)) => (gauge, sets, metal.value),
            (Fact::Unknown(_), ..) if from_utility => {
                return Err(service.gauge.gap().cloned().unwrap_or(Gap { missing: Vec::new() }));
            }
            (Fact::Unknown(gap), ..) | (_, _, Fact::Unknown(gap)) => return Err(gap),
        };
        let area = |gauge: Gauge, sets: u32| gauge.circular_mils() * f64::from(sets);
        let grows =
            largest.as_ref().is_none_or(|(most, of, _)| area(most.value, *of) < area(gauge.value, sets));
        if grows {
            largest = Some((gauge, sets, metal));
        }
    }
    largest.ok_or_else(|| {
        let name = graph.node(at).map_or_else(String::new, |node| node.name.to_string());
        Gap::one(FieldPath::new(format!("panel.{name}.fed_by")), WhoKnows::Owner)
    })
}
