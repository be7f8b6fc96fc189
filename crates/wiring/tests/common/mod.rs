//! Short ways to state facts in tests.
#![allow(dead_code, missing_docs, unreachable_pub, clippy::unwrap_used)]

use quantity::{
    Angle, Clause, Count, Current, Fact, FieldPath, Gauge, Interval, Length, Material, Measure, Origin,
    Power, Ratio, Standing, Temperature, Term, Traced, Unit, Value, Voltage, WhoKnows, practice, units,
};
use std::sync::Arc;
use tables::{Insulation, RacewayKind, TerminalColumn};
use wiring::*;

pub fn stated<T>(value: T) -> Traced<T> {
    Traced::stated(value, "a.field")
}
pub fn known<T>(value: T) -> Fact<T> {
    Fact::Known(stated(value))
}
pub fn unknown<T>(field: &str) -> Fact<T> {
    Fact::unknown(field, WhoKnows::Maker)
}
pub fn of<T: Measure>(value: f64, unit: &Unit) -> Traced<T> {
    stated(T::from_si(unit.to_si(value)))
}
pub fn amps(value: f64) -> Fact<Current> {
    Fact::Known(of(value, &units::AMPERE))
}
pub fn volts(value: f64) -> Fact<Voltage> {
    Fact::Known(of(value, &units::VOLT))
}
pub fn watts(value: f64) -> Fact<Power> {
    Fact::Known(of(value, &units::WATT))
}
pub fn feet(value: f64) -> Fact<Length> {
    Fact::Known(of(value, &units::FOOT_UNIT))
}
pub fn inches(value: f64) -> Fact<Length> {
    Fact::Known(of(value, &units::INCH_UNIT))
}
pub fn celsius(value: f64) -> Fact<Temperature> {
    Fact::Known(of(value, &units::CELSIUS))
}
pub fn share(value: f64) -> Fact<Ratio> {
    Fact::Known(of(value, &units::RATIO))
}
pub fn count(value: u32) -> Fact<Count> {
    known(Count(value))
}
pub fn size(text: &str) -> Gauge {
    Gauge::read(text).unwrap()
}
pub fn amps_of(traced: &Traced<Current>) -> f64 {
    traced.si()
}
pub fn anywhere() -> Clause {
    practice("a test tries every size")
}

pub fn segment(place: Where, raceway: Raceway, length_ft: f64, ambient_c: f64) -> Segment {
    Segment {
        length: feet(length_ft),
        place: known(place),
        raceway: known(raceway),
        insulation: None,
        barrier: known(false),
        bends: Fact::Known(of::<Angle>(90.0, &units::DEGREE_UNIT)),
        pull_points: known(Count(0)),
        trade_size: None,
        inside: None,
        inside_height: None,
        depth: inches(24.0),
        surface: known(Surface::OpenGround),
        height_above_roof: inches(6.0),
        ambient: celsius(ambient_c),
        swing: Fact::Known(of::<Interval>(100.0, &units::FAHRENHEIT_DEGREE)),
        room: Arc::from(""),
        field: FieldPath::new("run.a.route.1"),
    }
}

pub fn run(segments: Vec<Segment>) -> Run {
    Run {
        name: Arc::from("a"),
        between: None,
        carries: Vec::new(),
        segments,
        conductor: None,
        sets: None,
        material: known(Material::Copper),
        insulation: known(Insulation::ThhnThwn2),
        strands: known(wiring::Strands::Building),
        terminals: known(TerminalColumn::C75),
        drop_target: unknown("run.a.drop"),
        cable_volts: None,
        device: None,
        residual: None,
        field: FieldPath::new("run.a"),
    }
}

pub fn pvc40() -> Raceway {
    Raceway::Kind(RacewayKind::Pvc40)
}
pub fn emt() -> Raceway {
    Raceway::Kind(RacewayKind::Emt)
}

pub fn node(name: &str, kind: NodeKind) -> Node {
    Node { name: Arc::from(name), kind, building: Arc::from(""), bond: None, interactive: None, stack: None }
}

/// A graph of circuits that all lie in the first run, each between two nodes of its own.
pub fn graph(demands: Vec<Demand>) -> Graph {
    let mut graph = Graph::default();
    for (k, demand) in demands.into_iter().enumerate() {
        let from = graph.add(node(&format!("from {k}"), NodeKind::Switch));
        let to = graph.add(node(&format!("to {k}"), NodeKind::Switch));
        graph.join(Circuit {
            name: Arc::from(format!("circuit {k}")),
            from,
            to,
            demand,
            run: Some(RunId(0)),
            conductors: 2,
            carrying: 2,
            poles: 2,
        });
    }
    graph
}

pub fn schedule(demands: Vec<Demand>, run: Run) -> Schedule {
    size_all(&graph(demands), &[run], RuleSet::Nec2023).unwrap()
}

/// A string of S10: Vmp 332 V, Imp 13.0 A, Isc 13.9 A; series fuse 25 A; the input pushes nothing back.
pub fn string(on_the_input: u32) -> PvStrings {
    PvStrings {
        in_parallel: count(1),
        isc: amps(13.9),
        imp: amps(13.0),
        vmp: volts(332.0),
        voc_cold: volts(452.7),
        series_fuse: amps(25.0),
        strings_on_the_input: count(on_the_input),
        back_feed: amps(0.0),
    }
}

pub fn bank() -> BatteryVolts {
    BatteryVolts { lowest: volts(46.0), nominal: volts(51.2), highest: volts(57.6) }
}

/// A 6 kW inverter of S4.
pub fn inverter(name: &str) -> InverterInput {
    InverterInput {
        name: Arc::from(name),
        output: watts(6000.0),
        efficiency: share(0.92),
        charge: amps(100.0),
    }
}

pub fn ac(continuous: f64, v: f64) -> Demand {
    Demand::Ac(AcLoad {
        continuous: amps(continuous),
        volts: volts(v),
        fault: unknown("service.fault").into(),
        receptacles: known(false),
    })
}

/// What a size is found on, with one segment and without a drop target.
pub struct Case {
    pub maximum: f64,
    pub continuous: f64,
    pub device: f64,
    pub terminals: TerminalColumn,
    pub insulation: TerminalColumn,
    pub ambient_c: f64,
    pub together: u32,
    pub material: Material,
}

impl Case {
    pub fn basis(&self) -> Basis {
        let insulation = match self.insulation {
            TerminalColumn::C90 => Insulation::ThhnThwn2,
            _ => Insulation::Thwn,
        };
        let place = segment(Where::Indoors, emt(), 50.0, self.ambient_c);
        let mut factors = segment_factors(&place, false, &known(insulation), self.together).unwrap();
        if self.insulation == TerminalColumn::C60 {
            factors.column = stated(TerminalColumn::C60);
            factors.ambient_factor = tables::ambient_factor(self.ambient_c, TerminalColumn::C60).unwrap();
        }
        Basis {
            maximum: of(self.maximum, &units::AMPERE),
            continuous: of(self.continuous, &units::AMPERE),
            guard: Guard::Device(of(self.device, &units::AMPERE)),
            next_size_up: true,
            material: stated(self.material),
            terminals: stated(self.terminals),
            segments: vec![factors],
            drop: None,
            smallest: (Gauge::Awg(14), anywhere()),
            largest: Gauge::Kcmil(500),
        }
    }

    pub fn tests_of(&self, text: &str) -> Tests {
        test_size(&self.basis(), Size { gauge: size(text), sets: 1 }).unwrap()
    }
}

/// Every computed origin in the chain recomputes from its printed text; returns how many were held.
pub fn recomputes(value: &Value, origin: &Origin) -> usize {
    let mut held = 0;
    if let Origin::Computed(working) = origin {
        let shown = working.recompute().unwrap_or(f64::NAN);
        let si = value.number().unwrap_or(f64::NAN);
        // Text and function do the same arithmetic; units cost a few last digits.
        assert!(
            (shown - si).abs() <= 1e-9 * si.abs().max(1e-12),
            "{}: {shown} for {si}",
            working.formula.text
        );
        assert_ne!(origin.standing(), Standing::Read, "nothing here was read in a licensed copy");
        held += 1;
    }
    held + origin.terms().iter().map(|term: &Term| recomputes(&term.value, &term.origin)).sum::<usize>()
}
