//! The schedules: one row per circuit and one per raceway, with every column a fact.

use crate::above_zero;
use crate::ampacity::{NoFactors, SegmentFactors, segment_factors, terminal_column};
use crate::boxes::{Joint, joints};
use crate::cover::{Cover, cover};
use crate::demand::Demand;
use crate::design_current::{DesignCurrents, OneOut, one_unit_out};
use crate::drop::{DropShare, LoopDrop};
use crate::edition::{design_currents, retag};
use crate::facts::{Raceway, Run};
use crate::faults::{FarEnd, Loop, far_ends};
use crate::graph::{Circuit, CircuitId, Graph, RunId};
use crate::grounding::{GroundBasis, equipment_ground};
use crate::hardware::{Stretch, fit_out, stretches};
use crate::protection::{Protection, protection_by};
use crate::raceways::{SizedRaceway, raceways};
use crate::sizing::{Basis, DropBasis, Guard, NoConductor, SizedConductor, check, find};
use crate::trade::{largest_single, smallest};
use quantity::{
    Count, Current, Fact, FieldPath, Gap, Gauge, Length, Material, Ratio, ResistancePerLength, Traced,
    Voltage, WhoKnows,
};
use std::sync::Arc;
use tables::TerminalColumn;

/// Rule sets by which circuits can be asked to be sized.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum RuleSet {
    /// National Electrical Code, edition 2020.
    Nec2020,
    /// National Electrical Code, edition 2023.
    Nec2023,
    /// National Electrical Code, edition 2026.
    Nec2026,
    /// IEC 60364 and IEC 62548.
    Iec60364,
}

/// Trade sizes of conductors of a metal that a rule set's tables hold, smallest first.
pub fn conductor_sizes(rules: RuleSet, metal: Material) -> Vec<Gauge> {
    match rules {
        RuleSet::Iec60364 => tables::iec_sizes(metal).collect(),
        RuleSet::Nec2020 | RuleSet::Nec2023 | RuleSet::Nec2026 => tables::sizes(metal).collect(),
    }
}

impl RuleSet {
    /// "NEC 2023".
    pub fn in_words(self) -> &'static str {
        match self {
            RuleSet::Nec2020 => "NEC 2020",
            RuleSet::Nec2023 => "NEC 2023",
            RuleSet::Nec2026 => "NEC 2026",
            RuleSet::Iec60364 => "IEC 60364",
        }
    }
}

/// A rule set that is not built sizes nothing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct NotBuilt(
    /// The rule set asked for.
    pub RuleSet,
);

impl std::fmt::Display for NotBuilt {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "not computed for {} yet", self.0.in_words())
    }
}

impl std::error::Error for NotBuilt {}

/// Something about a circuit that no missing fact explains.
#[derive(Clone, Debug, PartialEq)]
pub enum Problem {
    /// No size suffices, with the test at which even the largest fails.
    NoConductor(NoConductor),
    /// The insulation does not suit this segment, counted from 0.
    NotAllowed {
        /// Segment.
        segment: usize,
        /// Why, in words.
        because: Arc<str>,
    },
    /// The run has no segments.
    NoRoute,
    /// The circuit names a run that is not there.
    NoSuchRun,
}

/// One circuit of the schedule.
#[derive(Clone, Debug, PartialEq)]
pub struct Sized {
    /// The circuit in its graph.
    pub circuit: CircuitId,
    /// Its identifier.
    pub name: Arc<str>,
    /// Its run.
    pub run: Option<RunId>,
    /// Currents and voltages it is sized on.
    pub currents: DesignCurrents,
    /// Column of the terminals.
    pub terminals: Fact<TerminalColumn>,
    /// Device.
    pub protection: Protection,
    /// Factors of each segment, in order; unknown where a fact is missing.
    pub segments: Vec<Fact<SegmentFactors>>,
    /// Conductor with its tests.
    pub conductor: Fact<SizedConductor>,
    /// Metal.
    pub material: Fact<Material>,
    /// Equipment ground run with this circuit.
    pub ground: Fact<Gauge>,
    /// One-way length.
    pub length: Fact<Length>,
    /// Scheduled drop at 75 °C.
    pub drop: Fact<Voltage>,
    /// The same as a share of the circuit voltage.
    pub drop_share: Fact<Ratio>,
    /// Smallest bolted fault at the far end, with the fewest sources and conductors at 75 °C, which must still operate
    /// the device; `None` for strings, whose faults the inverter's ground-fault function clears.
    pub smallest_fault: Option<Fact<Current>>,
    /// The same source by source, with what ends it; empty for strings.
    pub far_ends: Vec<FarEnd>,
    /// For a battery unit: the current left to it with another one out of service.
    pub one_out: Option<Fact<OneOut>>,
    /// What no missing fact explains.
    pub problems: Vec<Problem>,
}

impl Sized {
    /// Conductor size alone.
    pub fn gauge(&self) -> Fact<Gauge> {
        self.conductor.and_then(|sized| Fact::Known(sized.value.gauge.clone()))
    }

    /// Conductors in parallel per pole.
    pub fn sets(&self) -> Fact<Count> {
        self.conductor.and_then(|sized| Fact::Known(sized.value.sets.clone()))
    }
}

/// Both schedules.
#[derive(Clone, Debug, PartialEq)]
pub struct Schedule {
    /// One row per circuit, in graph order.
    pub circuits: Vec<Sized>,
    /// One row per segment of every run that carries a circuit, in the order of the runs.
    pub raceways: Vec<SizedRaceway>,
    /// Every box and fitting where the method changes, in the order of the runs.
    pub joints: Vec<Joint>,
    /// Every stretch of raceway between boxes, in the order of the runs.
    pub stretches: Vec<Stretch>,
}

/// Sizes every circuit. What a missing fact leaves open is unknown in its column; the rest is sized.
///
/// # Errors
/// [`NotBuilt`] for a rule set that is not built; all are.
pub fn size_all(graph: &Graph, runs: &[Run], rules: RuleSet) -> Result<Schedule, NotBuilt> {
    let mut sets: Vec<u32> = vec![1; graph.circuits.len()];
    let mut circuits: Vec<Sized> = Vec::new();
    // Conductors in parallel that lie open warm their neighbours; where their number changed, size once more with
    // the larger one. It only grows and is bounded, so this ends.
    for _ in 0..4 {
        circuits = graph
            .circuits
            .iter()
            .enumerate()
            .map(|(k, circuit)| size_circuit(graph, runs, CircuitId(k), circuit, &sets, rules))
            .collect();
        let mut changed = false;
        for (k, sized) in circuits.iter().enumerate() {
            if let Some(n) = sized.sets().value()
                && n.0 > sets[k]
            {
                sets[k] = n.0;
                changed = true;
            }
        }
        if !changed {
            break;
        }
    }
    let mut raceways = raceways(graph, runs, &circuits);
    let mut joints = joints(graph, runs, &circuits, &raceways);
    if rules == RuleSet::Iec60364 {
        crate::raceways::metric_fills(runs, &mut raceways);
        // Metal for strings indoors and the depths of cover are of the NEC.
        for row in &mut raceways {
            row.cover = None;
            row.must_be_metal = row.must_be_metal.clone().map(|_| false);
        }
        // So are the sizes of boxes and the distances of supports.
        joints.iter_mut().for_each(|joint| joint.size = None);
        return Ok(Schedule { circuits, raceways, joints, stretches: Vec::new() });
    }
    fit_out(graph, runs, &circuits, &mut raceways);
    Ok(Schedule { circuits, raceways, joints, stretches: stretches(graph, runs) })
}

fn size_circuit(
    graph: &Graph,
    runs: &[Run],
    id: CircuitId,
    circuit: &Circuit,
    sets: &[u32],
    rules: RuleSet,
) -> Sized {
    let run = circuit.run.and_then(|run| runs.get(run.0));
    let field = match run {
        Some(run) => run.field.clone(),
        None => FieldPath::new(format!("run for {}", circuit.name)),
    };
    let currents = design_currents(rules, circuit);
    let device = run.and_then(|run| run.device.as_ref());
    let both_ends = graph.fed_from_both_ends(id);
    let device_field = FieldPath::new(format!("{field}.device"));
    let (protection, guard) =
        protection_by(rules, &circuit.demand, &currents, circuit.poles, both_ends, device, &device_field);
    let no_run = || Gap::one(field.clone(), WhoKnows::Owner);
    let mut sized = Sized {
        circuit: id,
        name: circuit.name.clone(),
        run: circuit.run,
        terminals: run
            .map_or_else(|| Fact::Unknown(no_run()), |run| terminal_column(run, &currents.continuous)),
        segments: Vec::new(),
        conductor: Fact::Unknown(no_run()),
        material: run.map_or_else(|| Fact::Unknown(no_run()), |run| run.material.clone()),
        ground: Fact::Unknown(no_run()),
        length: run.map_or_else(|| Fact::Unknown(no_run()), Run::length),
        drop: Fact::Unknown(no_run()),
        drop_share: Fact::Unknown(no_run()),
        smallest_fault: (!circuit.demand.is_pv()).then(|| Fact::Unknown(no_run())),
        far_ends: Vec::new(),
        one_out: one_unit_out(&circuit.demand),
        problems: Vec::new(),
        protection,
        currents,
    };
    let Some(run) = run else {
        if circuit.run.is_some() {
            sized.problems.push(Problem::NoSuchRun);
        }
        return sized;
    };
    if run.segments.is_empty() {
        sized.problems.push(Problem::NoRoute);
    }
    if rules == RuleSet::Iec60364 {
        crate::iec::size(graph, circuit, run, &guard, &mut sized);
        return sized;
    }
    let factors = factors_of(graph, run, circuit, sets, &mut sized);
    sized.conductor = conductor(circuit, run, &guard, factors, &mut sized);
    sized.ground = ground(circuit, &guard, &sized);
    let resistance = resistance(&sized);
    sized.drop = LoopDrop::of_facts(&sized.length, &resistance, &sized.currents.operating, &sized.sets());
    sized.drop_share = DropShare::of_facts(&sized.drop, &above_zero(&sized.currents.volts));
    let ground = match (&sized.ground, &sized.material) {
        (Fact::Known(gauge), Fact::Known(metal)) => resistance_of(gauge.value, metal.value, &sized.name),
        (Fact::Unknown(gap), _) | (_, Fact::Unknown(gap)) => Fact::Unknown(gap.clone()),
    };
    let way = Loop {
        conductor: resistance,
        ground,
        reactance: reactances(run, &sized),
        conductors: circuit.conductors,
        at_once: crate::faults::at_once_of(run.device.as_ref()),
    };
    sized.far_ends = far_ends(rules, &circuit.demand, &sized, &way);
    sized.smallest_fault = crate::faults::smallest(&sized.far_ends);
    retag(rules, &mut sized);
    sized
}

/// Factors of every segment; unknown or not allowed ones leave a gap or a problem.
fn factors_of(
    graph: &Graph,
    run: &Run,
    circuit: &Circuit,
    sets: &[u32],
    sized: &mut Sized,
) -> Result<Vec<SegmentFactors>, Gap> {
    let mut all = Vec::with_capacity(run.segments.len());
    let mut gap: Option<Gap> = None;
    for (k, segment) in run.segments.iter().enumerate() {
        let open = segment.raceway.value() == Some(&Raceway::Open);
        let together: u32 = circuit.run.map_or(circuit.carrying, |run_id| {
            graph
                .sharing(run_id)
                .map(|(other, c)| {
                    // In raceways every set has a raceway of its own with one conductor of each pole.
                    let n = if open { sets.get(other.0).copied().unwrap_or(1) } else { 1 };
                    c.carrying * n
                })
                .sum()
        });
        let unadjusted = crate::raceways::is_nipple(run, k) || crate::raceways::is_short_in_the_open(run, k);
        match segment_factors(segment, unadjusted, run.insulation_in(k), together) {
            Ok(factors) => {
                let origin = factors.ambient_factor.origin.clone();
                sized.segments.push(Fact::Known(Traced { value: factors.clone(), origin }));
                all.push(factors);
            }
            Err(NoFactors::Missing(more)) => {
                sized.segments.push(Fact::Unknown(more.clone()));
                gap = Some(gap.map_or(more.clone(), |gap| gap.and(&more)));
            }
            Err(NoFactors::NotAllowed(because)) => {
                sized.problems.push(Problem::NotAllowed { segment: k, because });
                let more = Gap::one(run.insulation_field(k), WhoKnows::Owner);
                sized.segments.push(Fact::Unknown(more.clone()));
                gap = Some(gap.map_or(more.clone(), |gap| gap.and(&more)));
            }
        }
    }
    match gap {
        Some(gap) => Err(gap),
        None if all.is_empty() => {
            Err(Gap::one(FieldPath::new(format!("{}.route", run.field)), WhoKnows::Owner))
        }
        None => Ok(all),
    }
}

fn conductor(
    circuit: &Circuit,
    run: &Run,
    guard: &Fact<Guard>,
    factors: Result<Vec<SegmentFactors>, Gap>,
    sized: &mut Sized,
) -> Fact<SizedConductor> {
    let gaps = [
        sized.currents.maximum.gap(),
        sized.currents.continuous.gap(),
        guard.gap(),
        run.material.gap(),
        sized.terminals.gap(),
        factors.as_ref().err(),
    ];
    let gap = gaps
        .into_iter()
        .flatten()
        .fold(None, |all: Option<Gap>, gap| Some(all.map_or_else(|| gap.clone(), |all| all.and(gap))));
    if let Some(gap) = gap {
        return Fact::Unknown(gap);
    }
    let (
        Fact::Known(maximum),
        Fact::Known(continuous),
        Fact::Known(guard),
        Fact::Known(material),
        Fact::Known(terminals),
        Ok(segments),
    ) = (
        &sized.currents.maximum,
        &sized.currents.continuous,
        guard,
        &run.material,
        &sized.terminals,
        factors,
    )
    else {
        return Fact::unknown(run.field.as_str(), WhoKnows::Owner);
    };
    // A drop target that cannot be judged for want of a fact leaves the size found by heat, and the drop unknown.
    let volts = above_zero(&sized.currents.volts);
    let drop = match (&run.drop_target, &sized.currents.operating, &volts, &sized.length) {
        (Fact::Known(target), Fact::Known(current), Fact::Known(volts), Fact::Known(length)) => {
            Some(DropBasis {
                target: target.clone(),
                current: current.clone(),
                volts: volts.clone(),
                length: length.clone(),
            })
        }
        _ => None,
    };
    let basis = Basis {
        maximum: maximum.clone(),
        continuous: continuous.clone(),
        guard: guard.value.clone(),
        next_size_up: next_size_up(&circuit.demand),
        material: material.clone(),
        terminals: terminals.clone(),
        segments,
        drop,
        smallest: smallest(&circuit.demand, material.value),
        largest: largest_single(&circuit.demand),
    };
    let answer = match &run.conductor {
        Some(gauge) => check(&basis, gauge, run.sets.as_ref()),
        None => find(&basis),
    };
    match answer {
        Ok(found) => {
            let origin = found.gauge.origin.clone();
            Fact::Known(Traced { value: found, origin })
        }
        Err(why) => {
            sized.problems.push(Problem::NoConductor(why));
            Fact::unknown(format!("{}.conductor", run.field), WhoKnows::Electrician)
        }
    }
}

/// NEC 240.4(B): not for a branch circuit with several receptacles for cord-and-plug loads; unknown counts as one.
fn next_size_up(demand: &Demand) -> bool {
    match demand {
        Demand::Ac(load) => load.receptacles.value() == Some(&false),
        _ => true,
    }
}

fn ground(circuit: &Circuit, guard: &Fact<Guard>, sized: &Sized) -> Fact<Gauge> {
    let device: Fact<Current> = match guard {
        Fact::Known(Traced { value: Guard::Device(device), .. }) => Fact::Known(device.clone()),
        // Without a device it is sized as for the one that 690.9(B) would give (NEC 690.45).
        Fact::Known(Traced { value: Guard::Flow(_), .. }) => sized.protection.standard.clone(),
        Fact::Unknown(gap) => Fact::Unknown(gap.clone()),
    };
    let (device, conductor, material) = match (device, &sized.conductor, &sized.material) {
        (Fact::Known(device), Fact::Known(conductor), Fact::Known(material)) => (device, conductor, material),
        (Fact::Unknown(gap), ..) => return Fact::Unknown(gap),
        (_, Fact::Unknown(gap), _) | (_, _, Fact::Unknown(gap)) => return Fact::Unknown(gap.clone()),
    };
    let sized_conductor = &conductor.value;
    let installed =
        crate::sizing::Size { gauge: sized_conductor.gauge.value, sets: sized_conductor.sets.count().max(1) };
    let basis = GroundBasis {
        device: &device,
        material: material.value,
        installed: &sized_conductor.gauge,
        sets: &sized_conductor.sets,
        sufficient: sized_conductor.sufficient.unwrap_or(installed),
        is_pv: circuit.demand.is_pv(),
    };
    match equipment_ground(&basis) {
        Some(gauge) => Fact::Known(resting_on(gauge, sized_conductor)),
        None => Fact::unknown(format!("equipment ground of {}", circuit.name), WhoKnows::Electrician),
    }
}

/// Whether the ground is increased turns on the circuit conductors as installed and on the size that would suffice.
fn resting_on(mut ground: Traced<Gauge>, conductor: &SizedConductor) -> Traced<Gauge> {
    if let quantity::Origin::Found(choice) = &ground.origin {
        let mut choice = (**choice).clone();
        choice.terms.push(conductor.gauge.size_term("circuit conductors as installed"));
        if let Some(required) = &conductor.required {
            choice.terms.push(required.size_term("smallest circuit conductors that pass"));
        }
        ground.origin = quantity::Origin::Found(Arc::new(choice));
    }
    ground
}

/// Resistance of one conductor at 75 °C, stranded and uncoated.
fn resistance(sized: &Sized) -> Fact<ResistancePerLength> {
    let (conductor, material) = match (&sized.conductor, &sized.material) {
        (Fact::Known(conductor), Fact::Known(material)) => (conductor, material),
        (Fact::Unknown(gap), _) | (_, Fact::Unknown(gap)) => return Fact::Unknown(gap.clone()),
    };
    resistance_of(conductor.value.gauge.value, material.value, &sized.name)
}

fn resistance_of(gauge: Gauge, material: Material, circuit: &str) -> Fact<ResistancePerLength> {
    match tables::dc_resistance(gauge, material, true, false) {
        Ok(r) => Fact::Known(r),
        Err(_) => Fact::unknown(format!("resistance of {circuit}"), WhoKnows::DataSheet),
    }
}

/// Reactance of one conductor and of the equipment ground. A run that is somewhere in steel, or in a sheath whose metal
/// is not known, counts as in steel throughout.
fn reactances(run: &Run, sized: &Sized) -> [Fact<ResistancePerLength>; 2] {
    let plain = |segment: &crate::facts::Segment| matches!(segment.raceway.value(), Some(raceway) if !raceway.is_metal());
    let in_steel = !run.segments.iter().all(plain);
    [sized.gauge(), sized.ground.clone()].map(|gauge| {
        gauge.and_then(|gauge| match tables::reactance(gauge.value, in_steel) {
            Ok(x) => Fact::Known(x),
            Err(_) => Fact::unknown(format!("reactance of {}", sized.name), WhoKnows::DataSheet),
        })
    })
}

/// The cover of every buried segment of a run.
pub fn covers(run: &Run) -> Vec<Option<Fact<Cover>>> {
    run.segments.iter().map(cover).collect()
}
