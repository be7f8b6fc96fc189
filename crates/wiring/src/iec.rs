//! Sizing by IEC 60364 with metric sizes: `Ib ≤ In ≤ Iz`, the array by IEC 62548 and 60364-7-712.
//!
//! Tables are mostly from memory. Protective conductors are of copper. Single conductors in conduit or trunking count as method B1; sheathed
//! cable on a wall, and what lies open or on a tray, as C; in a duct in the ground as D1.

use crate::at_least;
use crate::conductor_test::{DropTest, GuardTest, Test, Tests, WhichTest};
use crate::demand::Demand;
use crate::design_current::DesignCurrents;
use crate::drop::{BalancedDrop, DropShare, LoopDrop};
use crate::facts::{Raceway, Run, Segment, Where};
use crate::graph::{Circuit, Graph};
use crate::schedule::{Problem, Sized};
use crate::sizing::{DropBasis, Guard, NoConductor, Size, SizedConductor};
use quantity::{
    Choice, Count, Current, Fact, FieldPath, Gap, Gauge, Material, Measure, Origin, Ratio, Reason,
    ResistancePerLength, Standing, Temperature, Traced, WhoKnows, formula, iec, least, units,
};
use std::sync::Arc;
use tables::{Grouping, Insulation, Medium, Method, MetricInsulation, RacewayKind};

/// Largest current of `n` strings in parallel, as cables must bear it: `1.25 · n · isc`.
pub fn iec_pv_maximum(n: f64, isc: f64) -> f64 {
    1.25 * n * isc
}

formula! {
    /// Explained twin of [`iec_pv_maximum`].
    pub IecPvMaximum = iec_pv_maximum(
        n: Count as COUNT = "strings in parallel",
        isc: Current as AMPERE = "label short-circuit current of one string",
    ) -> Current as AMPERE,
    text: "1.25 · n · isc",
    clause: iec("IEC 60364-7-712", "2017", "712.433", Standing::Remembered),
}

/// Least rating of a string fuse: `1.5 · isc`.
pub fn iec_string_fuse(isc: f64) -> f64 {
    1.5 * isc
}

formula! {
    /// Explained twin of [`iec_string_fuse`].
    pub IecStringFuse = iec_string_fuse(
        isc: Current as AMPERE = "label short-circuit current of one string",
    ) -> Current as AMPERE,
    text: "1.5 · isc",
    clause: iec("IEC 62548", "2016", "6.5.6.1", Standing::Remembered),
}

/// Current-carrying capacity of `sets` conductors in parallel with the factors of a segment.
pub fn iec_carries(a: f64, ambient: f64, group: f64, soil: f64, sets: f64) -> f64 {
    a * ambient * group * soil * sets
}

formula! {
    /// Explained twin of [`iec_carries`].
    pub IecCarries = iec_carries(
        a: Current as AMPERE = "capacity of the table",
        ambient: Ratio as RATIO = "factor for the temperature around it",
        group: Ratio as RATIO = "factor for the circuits that lie together",
        soil: Ratio as RATIO = "factor for the soil",
        sets: Count as COUNT = "conductors in parallel per pole",
    ) -> Current as AMPERE,
    text: "a · ambient · group · soil · sets",
    clause: iec("IEC 60364-5-52", "2009", "523", Standing::Remembered),
}

/// Resistance at `t` °C of a conductor that has `r` at 20 °C.
pub fn iec_resistance_at(r: f64, t: f64) -> f64 {
    tables::iec_resistance_at(r, t)
}

formula! {
    /// Explained twin of [`iec_resistance_at`].
    pub IecResistanceAt = iec_resistance_at(
        r: ResistancePerLength as OHM_PER_KILOMETER = "greatest resistance at 20 °C",
        t: Temperature as CELSIUS = "conductor temperature",
    ) -> ResistancePerLength as OHM_PER_KILOMETER,
    text: "r · (1 + 0.004 · (t − 20))",
    clause: iec("IEC 60228", "2004", "table B.1", Standing::Remembered),
}

/// Largest rated current of a fuse that protects a conductor, A, by I2 ≤ 1.45 · Iz.
///
/// - `iz`: current-carrying capacity, A.
/// - `k`: conventional fusing current I2 as a multiple of the rated current.
///
/// Source: IEC 60364-4-43:2008 433.1, condition 2, with I2 = k · In (IEC 60269-1:2006 table 2; both from memory).
pub fn iec_fuse_protects(iz: f64, k: f64) -> f64 {
    1.45 * iz / k
}

formula! {
    /// Explained twin of [`iec_fuse_protects`].
    pub IecFuseProtects = iec_fuse_protects(
        iz: Current as AMPERE = "current-carrying capacity",
        k: Ratio as RATIO = "conventional fusing current over rated current",
    ) -> Current as AMPERE,
    text: "1.45 · iz / k",
    clause: iec("IEC 60364-4-43", "2008", "433.1, condition 2; IEC 60269-1 table 2", Standing::Remembered),
}

/// Largest string fuse, A.
///
/// - `isc`: label short-circuit current of one string, A.
///
/// Source: IEC 62548:2016 6.5.6.1 (from memory).
pub fn iec_string_fuse_most(isc: f64) -> f64 {
    2.4 * isc
}

formula! {
    /// Explained twin of [`iec_string_fuse_most`].
    pub IecStringFuseMost = iec_string_fuse_most(
        isc: Current as AMPERE = "label short-circuit current of one string",
    ) -> Current as AMPERE,
    text: "2.4 · isc",
    clause: iec("IEC 62548", "2016", "6.5.6.1", Standing::Remembered),
}

/// Largest fuse of one string: what the module allows, and 2.4 · Isc.
pub(crate) fn largest_string_fuse(series_fuse: &Fact<Current>, isc: &Fact<Current>) -> Fact<Current> {
    match (series_fuse, IecStringFuseMost::of_facts(isc)) {
        (Fact::Known(fuse), Fact::Known(most)) => {
            let parts = vec![
                (Arc::from("largest series fuse of the module"), fuse.clone()),
                (Arc::from("2.4 times its short-circuit current"), most.clone()),
            ];
            // Two parts are always there, so the least is as well.
            least(parts, &units::AMPERE).map_or_else(|| Fact::Known(fuse.clone()), Fact::Known)
        }
        (Fact::Unknown(a), Fact::Unknown(b)) => Fact::Unknown(a.clone().and(&b)),
        (Fact::Unknown(gap), _) => Fact::Unknown(gap.clone()),
        (_, Fact::Unknown(gap)) => Fact::Unknown(gap),
    }
}

/// Conventional fusing current of a gG fuse as a multiple of its rated current, by that rating.
fn fusing(amps: f64) -> Traced<Ratio> {
    let (k, row) = match amps {
        a if a <= 4.0 => (2.1, "gG up to 4 A"),
        a if a < 16.0 => (1.9, "gG above 4 A and below 16 A"),
        _ => (1.6, "gG of 16 A and more"),
    };
    let clause = iec("IEC 60269-1", "2006", "table 2", Standing::Remembered);
    let row = quantity::TableRow { clause, row: row.into(), standing: Standing::Remembered };
    Traced::tabled(Ratio::from_si(k), row)
}

/// Whether the device counts as a gG fuse, which lets 1.6 times its rating pass for an hour: stated so or of a kind not
/// known; where none is stated, direct current is planned with fuses and alternating current with breakers. Fuses of
/// strings are gPV, whose conventional current is 1.45 times the rating like that of a breaker (IEC 60269-6, from memory).
fn is_fuse(circuit: &Circuit, run: &Run) -> bool {
    if circuit.demand.is_pv() {
        return false;
    }
    match &run.device {
        Some(device) => device.kind.value() != Some(&crate::facts::DeviceKind::Breaker),
        None => circuit.demand.supply() == crate::facts::Supply::Dc,
    }
}

const COORDINATION: quantity::Clause = iec("IEC 60364-4-43", "2008", "433.1", Standing::Remembered);

/// Most conductors in parallel per pole that are sought.
const MOST_SETS: u32 = 4;

/// Design currents by these rules: conductors and devices by the design current itself, without the 125 % of
/// continuous loads; strings by 1.25 · Isc, their fuses by 1.5 · Isc.
pub(crate) fn design_currents(demand: &Demand, currents: DesignCurrents) -> DesignCurrents {
    let Demand::PvStrings(pv) = demand else {
        return DesignCurrents { continuous: currents.maximum.clone(), ..currents };
    };
    let maximum = IecPvMaximum::of_facts(&pv.in_parallel, &pv.isc);
    // A pair that already joins strings is protected by 1.25 · Isc of the sub-array (6.5.6.2).
    let continuous = match pv.in_parallel.value() {
        Some(one) if one.0 == 1 => IecStringFuse::of_facts(&pv.isc),
        _ => maximum.clone(),
    };
    DesignCurrents { maximum, continuous, ..currents }
}

/// What a segment gives every size.
struct Surroundings {
    method: Method,
    insulation: MetricInsulation,
    ambient: Traced<Ratio>,
    soil: Traced<Ratio>,
    open: bool,
}

/// Hottest air an exposed array cable on a sunlit roof is counted in, °C: the reference of array cable.
const SUNLIT_ROOF: f64 = 60.0;

fn assumed<T>(value: T, field: String, because: &'static str) -> Traced<T> {
    let reason = Reason {
        field: FieldPath::new(field),
        because: because.into(),
        moves: "conductor size".into(),
        clause: iec("IEC 60364-5-52", "2009", "523", Standing::Remembered),
    };
    Traced { value, origin: Origin::Assumed(reason) }
}

fn surroundings(segment: &Segment, insulation: &Fact<Insulation>) -> Result<Surroundings, Fault> {
    let missing = Fault::Missing;
    let place = segment.place.need().map_err(missing)?.value;
    let raceway = segment.raceway.need().map_err(Fault::Missing)?.value;
    let kind = insulation.need().map_err(Fault::Missing)?.value;
    let mut celsius = units::CELSIUS.of_si(segment.ambient.need().map_err(Fault::Missing)?.si());
    let open = raceway == Raceway::Open;
    let insulation = match kind {
        Insulation::PvWire
        | Insulation::Xhhw2
        | Insulation::Rhw2Use2
        | Insulation::Rhw2Covered
        | Insulation::Xlpe90
        | Insulation::ArrayCable => MetricInsulation::Xlpe90,
        _ => MetricInsulation::Pvc70,
    };
    let array = matches!(kind, Insulation::PvWire | Insulation::ArrayCable);
    if open && matches!(place, Where::InSun | Where::OnRoof) && !array {
        return Err(Fault::NotAllowed(
            "single conductors lie exposed in sun; only array cable (IEC 62930) may, from memory".into(),
        ));
    }
    if open && place == Where::Underground {
        return Err(Fault::NotAllowed(
            "single conductors lie in the ground without a duct; they need one (IEC 60364-5-52 table A.52.1, from memory)".into(),
        ));
    }
    if raceway == Raceway::Kind(RacewayKind::CableTray) && !array {
        return Err(Fault::NotAllowed(
            "single conductors without a sheath lie on a tray; cable with a sheath may, they need conduit or trunking (IEC 60364-5-52 table A.52.1, from memory)".into(),
        ));
    }
    if raceway == Raceway::Sheathed && matches!(place, Where::InSun | Where::OnRoof) {
        return Err(Fault::NotAllowed(
            "sheathed cable lies in sun; it needs conduit there, or a sheath its maker names for it (IEC 60364-5-52 522.11, from memory)".into(),
        ));
    }
    if raceway == Raceway::Sheathed && place == Where::Underground {
        return Err(Fault::NotAllowed(
            "sheathed cable lies in the ground without a duct; capacities in ducts alone are held here (method D1)".into(),
        ));
    }
    if place == Where::OnRoof {
        celsius = celsius.max(SUNLIT_ROOF);
    }
    let (method, medium) = match (place, open) {
        (Where::Underground, _) => (Method::D1, Medium::Ground),
        (_, true) => (Method::C, Medium::Air),
        (_, false) if raceway.is_cable() => (Method::C, Medium::Air),
        // On a perforated tray air reaches more of it (method E); what is fixed to a wall carries less.
        (_, false) if raceway == Raceway::Kind(RacewayKind::CableTray) => (Method::C, Medium::Air),
        (_, false) => (Method::B1, Medium::Air),
    };
    let refused = |why: tables::TableError| Fault::NotAllowed(why.to_string().into());
    let ambient = tables::iec_ambient_factor(celsius, insulation, medium).map_err(refused)?;
    let soil = assumed(
        Ratio::from_si(1.0),
        format!("{}.soil", segment.field),
        "soil of 2.5 K·m/W, the base of the table; in air there is none",
    );
    Ok(Surroundings { method, insulation, ambient, soil, open })
}

/// Temperature that the conductors of a segment reach at their capacity, and what is around them then, °C.
pub(crate) fn reaches(segment: &Segment, insulation: &Fact<Insulation>) -> Option<(f64, f64)> {
    let kind = surroundings(segment, insulation).ok()?.insulation;
    let reached = match kind {
        MetricInsulation::Pvc70 => 70.0,
        MetricInsulation::Xlpe90 => 90.0,
    };
    let stated = units::CELSIUS.of_si(segment.ambient.si()?);
    let roof = segment.place.value() == Some(&Where::OnRoof);
    Some((reached, if roof { stated.max(SUNLIT_ROOF) } else { stated }))
}

enum Fault {
    Missing(Gap),
    NotAllowed(Arc<str>),
}

/// Everything a size is found on.
struct IecBasis {
    ib: Traced<Current>,
    guard: Guard,
    /// Whether the device is a gG fuse.
    fuse: bool,
    segments: Vec<Surroundings>,
    metal: Material,
    /// Other circuits in the run.
    others: u32,
    loaded: u32,
    three_phase: bool,
    drop: Option<DropBasis>,
    smallest: Gauge,
    largest: Gauge,
}

/// Sizes the conductor, the protective conductor and the drop of a circuit whose currents and device are there.
pub(crate) fn size(graph: &Graph, circuit: &Circuit, run: &Run, guard: &Fact<Guard>, sized: &mut Sized) {
    sized.conductor = conductor(graph, circuit, run, guard, sized);
    sized.ground =
        sized.conductor.and_then(|found| match tables::iec_protective_conductor(found.value.gauge.value) {
            Ok(size) => Fact::Known(size),
            Err(_) => {
                Fact::unknown(format!("protective conductor of {}", circuit.name), WhoKnows::Electrician)
            }
        });
    let metal = run.material.value().copied().unwrap_or(Material::Copper);
    let resistance = sized.conductor.and_then(|found| match resistance(found.value.gauge.value, metal) {
        Some(r) => Fact::Known(r),
        None => Fact::unknown(format!("resistance of {}", circuit.name), WhoKnows::DataSheet),
    });
    let drop = if circuit.is_three_phase() { BalancedDrop::of_facts } else { LoopDrop::of_facts };
    sized.drop = drop(&sized.length, &resistance, &sized.currents.operating, &sized.sets());
    sized.drop_share = DropShare::of_facts(&sized.drop, &crate::above_zero(&sized.currents.volts));
    let ground = sized.ground.and_then(|found| match self::resistance(found.value, Material::Copper) {
        Some(r) => Fact::Known(r),
        None => Fact::unknown(format!("resistance of {}", circuit.name), WhoKnows::DataSheet),
    });
    let way = crate::faults::Loop {
        conductor: resistance,
        ground,
        reactance: [Fact::Known(tables::iec_reactance()), Fact::Known(tables::iec_reactance())],
        conductors: circuit.conductors,
        at_once: crate::faults::at_once_of(run.device.as_ref()),
    };
    sized.far_ends = crate::faults::far_ends(crate::RuleSet::Iec60364, &circuit.demand, sized, &way);
    sized.smallest_fault = crate::faults::smallest(&sized.far_ends);
}

/// Resistance at the temperature of the schedules.
fn resistance(size: Gauge, metal: Material) -> Option<Traced<ResistancePerLength>> {
    let cold = tables::iec_resistance(size, metal, false).ok()?;
    let t = assumed(
        Temperature::from_si(units::CELSIUS.to_si(75.0)),
        "schedule.temperature".into(),
        "drop is scheduled with the conductors at 75 °C",
    );
    Some(IecResistanceAt::of(&cold, &t))
}

fn conductor(
    graph: &Graph,
    circuit: &Circuit,
    run: &Run,
    guard: &Fact<Guard>,
    sized: &mut Sized,
) -> Fact<SizedConductor> {
    let mut gap: Option<Gap> = None;
    let mut note = |more: &Gap| gap = Some(gap.take().map_or(more.clone(), |gap| gap.and(more)));
    let mut segments = Vec::new();
    for (k, segment) in run.segments.iter().enumerate() {
        match surroundings(segment, run.insulation_in(k)) {
            Ok(found) => segments.push(found),
            Err(Fault::Missing(more)) => note(&more),
            Err(Fault::NotAllowed(because)) => {
                sized.problems.push(Problem::NotAllowed { segment: k, because });
                note(&Gap::one(run.insulation_field(k), WhoKnows::Owner));
            }
        }
    }
    if run.segments.is_empty() {
        note(&Gap::one(FieldPath::new(format!("{}.route", run.field)), WhoKnows::Owner));
    }
    for more in [sized.currents.maximum.gap(), guard.gap(), run.material.gap()].into_iter().flatten() {
        note(more);
    }
    if let Some(gap) = gap {
        return Fact::Unknown(gap);
    }
    let (Fact::Known(ib), Fact::Known(guard), Fact::Known(material)) =
        (&sized.currents.maximum, guard, &run.material)
    else {
        return Fact::unknown(run.field.as_str(), WhoKnows::Owner);
    };
    let refuse = |sized: &mut Sized, why: NoConductor| {
        sized.problems.push(Problem::NoConductor(why));
        Fact::unknown(format!("{}.conductor", run.field), WhoKnows::Electrician)
    };
    if material.value != Material::Copper && circuit.demand.is_pv() {
        return refuse(
            sized,
            NoConductor::NoneSuffices("array cable is made of copper alone (IEC 62930)".into()),
        );
    }
    let volts = crate::above_zero(&sized.currents.volts);
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
    let others = circuit.run.map_or(0, |run| graph.sharing(run).count().saturating_sub(1)) as u32;
    let battery = matches!(
        circuit.demand,
        Demand::BatteryUnit(_) | Demand::BusToInverters(_) | Demand::ControllerToBus(_)
    );
    let basis = IecBasis {
        ib: ib.clone(),
        guard: guard.value.clone(),
        fuse: is_fuse(circuit, run),
        segments,
        metal: material.value,
        others,
        loaded: circuit.carrying.clamp(2, 3),
        three_phase: circuit.is_three_phase(),
        drop,
        // Array cable begins at 4 mm² in the trade, fixed wiring at 1.5 mm² by table 52.2.
        smallest: Gauge::HundredthsMm2(if circuit.demand.is_pv() { 400 } else { 150 }),
        largest: Gauge::HundredthsMm2(if battery { 12_000 } else { 24_000 }),
    };
    let answer = match &run.conductor {
        Some(gauge) => checked(&basis, gauge, run.sets.as_ref()),
        None => found(&basis),
    };
    match answer {
        Ok(conductor) => {
            let origin = conductor.gauge.origin.clone();
            Fact::Known(Traced { value: conductor, origin })
        }
        Err(why) => refuse(sized, why),
    }
}

fn checked(
    basis: &IecBasis,
    gauge: &Traced<Gauge>,
    sets: Option<&Traced<Count>>,
) -> Result<SizedConductor, NoConductor> {
    let sets = sets.cloned().unwrap_or_else(|| gauge.with(Count(1)));
    let size = Size { gauge: gauge.value, sets: sets.count().max(1) };
    let tests = tests(basis, size).ok_or(NoConductor::NotInTables(gauge.value))?;
    let required = found(basis).ok();
    Ok(SizedConductor {
        gauge: gauge.clone(),
        sets,
        fails: tests.failing(),
        tests,
        required_sets: required.as_ref().map_or(0, |r| r.required_sets),
        required: required.and_then(|r| r.required),
        sufficient: None,
    })
}

fn found(basis: &IecBasis) -> Result<SizedConductor, NoConductor> {
    let mut last: Option<(Size, Tests)> = None;
    let candidates = (1..=MOST_SETS).flat_map(|sets| {
        tables::iec_sizes(basis.metal)
            .filter(|gauge| *gauge >= basis.smallest && *gauge <= basis.largest)
            // Conductors in parallel are not run smaller than 50 mm² (common practice).
            .filter(move |gauge| sets == 1 || *gauge >= Gauge::HundredthsMm2(5000))
            .map(move |gauge| Size { gauge, sets })
    });
    for size in candidates {
        let Some(tests) = tests(basis, size) else { continue };
        if !tests.failing().is_empty() {
            last = Some((size, tests));
            continue;
        }
        let (because, runner_up) = match &last {
            Some((smaller, their)) => {
                let first = their.failing().first().copied().unwrap_or(WhichTest::Terminal);
                let says = their.in_words(first);
                (
                    format!("the smallest that passes every test is {size}; {smaller} fails: {says}"),
                    format!("{smaller}: {says}"),
                )
            }
            None => {
                (format!("{size} passes every test and is the smallest the trade runs here"), String::new())
            }
        };
        let choice = Choice {
            because: because.into(),
            runner_up: runner_up.into(),
            clause: COORDINATION,
            terms: terms(basis, &tests),
        };
        let gauge = Traced::found(size.gauge, choice);
        return Ok(SizedConductor {
            required: Some(gauge.clone()),
            required_sets: size.sets,
            sets: gauge.with(Count(size.sets)),
            gauge,
            tests,
            fails: Vec::new(),
            sufficient: Some(size),
        });
    }
    Err(NoConductor::NoneSuffices(match last {
        Some((size, tests)) => {
            let first = tests.failing().first().copied().unwrap_or(WhichTest::Terminal);
            format!("even {size} fails: {}", tests.in_words(first)).into()
        }
        None => "no size is in the tables for this installation".into(),
    }))
}

fn terms(basis: &IecBasis, tests: &Tests) -> Vec<quantity::Term> {
    let amps = &units::AMPERE;
    let mut terms = vec![basis.ib.term("design current Ib", amps)];
    match &basis.guard {
        Guard::Device(device) => terms.push(device.term("device In", amps)),
        Guard::Flow(flow) => terms.push(flow.term("can flow without a device", amps)),
    }
    for (k, segment) in tests.segments.iter().enumerate() {
        terms.push(segment.offers.term(format!("capacity Iz in segment {}", k + 1), amps));
    }
    if let Some(drop) = &tests.drop {
        terms.push(drop.share.term("voltage drop", &units::PERCENT));
        terms.push(drop.target.term("drop target", &units::PERCENT));
    }
    terms
}

/// All tests of one size; `None` where a table has no row.
fn tests(basis: &IecBasis, size: Size) -> Option<Tests> {
    let sets = assumed(Count(size.sets), "schedule.sets".into(), "conductors in parallel that are tried");
    let mut segments = Vec::new();
    let mut all: Vec<(Arc<str>, Traced<Current>)> = Vec::new();
    let mut table: Option<Traced<Current>> = None;
    for (k, place) in basis.segments.iter().enumerate() {
        let a = tables::iec_ampacity(size.gauge, basis.metal, place.insulation, place.method, basis.loaded)
            .ok()?;
        // Sets in conduit have a conduit of their own; in the open every set is a circuit of the bunch.
        let own = if place.open { size.sets } else { 1 };
        let group = tables::iec_grouping_factor(basis.others + own, Grouping::Bunched).ok()?;
        let offers = IecCarries::of(&a, &place.ambient, &group, &place.soil, &sets);
        if table.as_ref().is_none_or(|table| table.si() > a.si()) {
            table = Some(a);
        }
        all.push((Arc::from(format!("in segment {}", k + 1)), offers.clone()));
        segments.push(Test { passes: at_least(offers.si(), basis.ib.si()), needs: basis.ib.clone(), offers });
    }
    let carries = least(all, &units::AMPERE)?;
    let protected = match &basis.guard {
        Guard::Device(device) if basis.fuse => {
            IecFuseProtects::of(&carries, &fusing(units::AMPERE.of_si(device.si())))
        }
        _ => carries,
    };
    let needs = match &basis.guard {
        Guard::Device(amps) | Guard::Flow(amps) => amps.si(),
    };
    let passes = at_least(protected.si(), needs);
    let guard = GuardTest {
        guard: basis.guard.clone(),
        protected,
        limit: None,
        by_next_size_up: false,
        by_fusing_current: basis.fuse && matches!(basis.guard, Guard::Device(_)),
        passes,
    };
    let drop = match &basis.drop {
        None => None,
        Some(drop) => {
            let r = resistance(size.gauge, basis.metal)?;
            let of = if basis.three_phase { BalancedDrop::of } else { LoopDrop::of };
            let share = DropShare::of(&of(&drop.length, &r, &drop.current, &sets), &drop.volts);
            let passes = at_least(drop.target.si(), share.si());
            Some(DropTest { share, target: drop.target.clone(), passes })
        }
    };
    // Without a column of its own for terminals, the first test is the table without factors.
    let offers = table?;
    let offers =
        Traced { value: Current::from_si(offers.si() * f64::from(size.sets)), origin: offers.origin };
    let terminal = Test { passes: at_least(offers.si(), basis.ib.si()), needs: basis.ib.clone(), offers };
    Some(Tests { terminal, segments, guard, drop })
}
