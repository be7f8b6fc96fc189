//! Busbars with several sources, what the dwelling asks of its feed, and the least source of a house on its own.

use crate::Study;
use design::circuits::UTILITY;
use design::system::{Panel, SourcesAt, System};
use quantity::{
    Count, Current, Fact, Figure, FigureName, Length, Measure, Power, Traced, Value, Voltage, greatest, sum,
    units,
};
use std::sync::Arc;
use wiring::{
    BusAnswer, BusEdition, BusSource, BusTest, Busbar, CircuitId, LoadRules, Nameplate, ServiceLoad,
};

/// A busbar that more than one source feeds.
#[derive(Clone, Debug)]
pub struct BusStudy {
    /// Panel it is in.
    pub panel: Arc<str>,
    /// What was put to the tests.
    pub bus: Busbar,
    /// Whether the utility reaches it.
    pub with_utility: bool,
    /// Tests of the edition.
    pub answers: Vec<BusAnswer>,
    /// Whether one of them passes.
    pub passes: Fact<bool>,
}

/// Busbars that a source feeds beside the utility, or several inverters; none where the rules have no such sums.
pub fn busbars(study: &Study) -> Vec<BusStudy> {
    let system = &study.design.system;
    let Some(edition) = crate::rule_set(system).and_then(BusEdition::of) else { return Vec::new() };
    system.panels.iter().filter_map(|panel| busbar(study, panel, edition)).collect()
}

fn busbar(study: &Study, panel: &Panel, edition: BusEdition) -> Option<BusStudy> {
    let system = &study.design.system;
    let with_utility = utility_reaches(system, &panel.name, &mut Vec::new());
    let sources =
        if with_utility { sources_on(study, &panel.name, &mut Vec::new()) } else { own(study, panel) };
    if sources.is_empty() {
        return None;
    }
    let main = match (&panel.main, with_utility) {
        (Some(main), _) => main.clone(),
        (None, true) => feed_device(study, panel),
        // Without a feed from elsewhere there is nothing beside the sources.
        (None, false) => {
            Fact::Known(Traced::stated(Current::from_si(0.0), format!("panel.{}.fed_by", panel.name)))
        }
    };
    let at = |wanted| panel.sources_at.clone().map(|at| at == wanted);
    let load_breakers = (Arc::from("load breakers"), panel.load_breakers.clone());
    let bus = Busbar {
        rating: panel.bus.clone(),
        main,
        sources,
        loads: vec![load_breakers],
        opposite_ends: at(SourcesAt::OppositeEnd),
        centre_fed_one_end: at(SourcesAt::CentreFedOneEnd),
        power_control: panel.power_control.clone(),
    };
    let mut answers = wiring::busbar(&bus, edition);
    if !with_utility {
        // The other tests, and what a control may hold back, lean on a feed at the far end of the busbar.
        answers.retain(|answer| answer.test == BusTest::PlainSum);
    }
    let passes = wiring::busbar_passes(&answers);
    Some(BusStudy { panel: panel.name.clone(), bus, with_utility, answers, passes })
}

/// Whether the utility can energise a thing.
fn utility_reaches(system: &System, name: &str, passed: &mut Vec<Arc<str>>) -> bool {
    if name == UTILITY {
        return true;
    }
    if passed.iter().any(|p| &**p == name) {
        return false;
    }
    passed.push(name.into());
    let panel = system.panel(name).map(|panel| &panel.fed_by);
    let device = system.transfer(name).map(|device| &device.transfer.from);
    panel.into_iter().chain(device).flatten().any(|from| utility_reaches(system, from, passed))
}

/// Device of the circuit between two things, and its continuous current.
fn between(study: &Study, a: &str, b: &str) -> Option<Fact<Current>> {
    let (graph, schedule) = (&study.design.graph, study.wiring.as_ref().ok()?);
    let (a, b) = (graph.find(a)?, graph.find(b)?);
    let at = graph.circuits.iter().position(|c| (c.from, c.to) == (a, b) || (c.from, c.to) == (b, a))?;
    Some(schedule.circuits.get(at)?.protection.rating.clone())
}

/// Device ahead of a panel without a main device.
fn feed_device(study: &Study, panel: &Panel) -> Fact<Current> {
    let unknown = || Fact::unknown(format!("panel.{}.main", panel.name), quantity::WhoKnows::Electrician);
    let feeds = |name: &&Arc<str>| study.design.system.unit(name).is_none();
    match panel.fed_by.iter().find(feeds) {
        Some(feed) => between(study, feed, &panel.name).unwrap_or_else(unknown),
        None => unknown(),
    }
}

/// Rated current of an inverter that may feed the utility.
fn feeds_with(inverter: &conversion::Inverter) -> Fact<Current> {
    let volts = inverter.volts.and_then(|v| Fact::Known(v.with(Voltage::from_si(v.value.across()))));
    // One that is not known to feed the utility or not is a question, not a zero.
    match &inverter.interactive {
        Fact::Known(_) => wiring::InverterOutputCurrent::of_facts(&inverter.output, &volts),
        Fact::Unknown(gap) => Fact::Unknown(gap.clone()),
    }
}

/// Rated current of all inverters that may feed the utility, for the operator of its network; none where the utility
/// takes nothing or no unit gives it.
pub fn network_current(study: &Study) -> Option<Fact<Current>> {
    let system = &study.design.system;
    if system.utility.role.value() != Some(&design::system::UtilityRole::Interactive) {
        return None;
    }
    let sources: Vec<BusSource> = system
        .units_in_place
        .iter()
        .filter_map(|unit| {
            let inverter = system.inverter_of(unit)?;
            let may = inverter.interactive.value() != Some(&false);
            let output = feeds_with(inverter);
            may.then(|| BusSource { name: unit.name.clone(), device: output.clone(), output })
        })
        .collect();
    (!sources.is_empty()).then(|| together(&sources))
}

/// Inverters that may feed the utility and reach a panel or a transfer device: by their inputs, by their outputs, and from
/// what it feeds.
fn sources_on(study: &Study, thing: &str, passed: &mut Vec<Arc<str>>) -> Vec<BusSource> {
    if passed.iter().any(|p| &**p == thing) {
        return Vec::new();
    }
    passed.push(thing.into());
    let system = &study.design.system;
    let mut found = Vec::new();
    for unit in &system.units_in_place {
        let Some(inverter) = system.inverter_of(unit) else { continue };
        let feeds = system.panel(thing).is_some_and(|panel| panel.fed_by.contains(&unit.name));
        if (*unit.ac_input != *thing && !feeds) || inverter.interactive.value() == Some(&false) {
            continue;
        }
        let output = feeds_with(inverter);
        let device = between(study, thing, &unit.name).unwrap_or_else(|| {
            Fact::unknown(format!("unit.{}.ac_input", unit.name), quantity::WhoKnows::Electrician)
        });
        found.push(BusSource { name: unit.name.clone(), output, device });
    }
    for below in fed_from(system, thing) {
        let theirs = sources_on(study, &below, passed);
        if theirs.is_empty() {
            continue;
        }
        let device = between(study, thing, &below)
            .unwrap_or_else(|| Fact::unknown(format!("feeder of {below}"), quantity::WhoKnows::Electrician));
        found.push(BusSource { name: below.clone(), output: together(&theirs), device });
    }
    found
}

/// Panels and transfer devices that a panel or transfer device feeds.
fn fed_from(system: &System, thing: &str) -> Vec<Arc<str>> {
    let panels = system.panels.iter().filter(|p| p.fed_by.iter().any(|name| &**name == thing));
    let devices = system.transfers.iter().filter(|t| t.transfer.from.iter().any(|name| &**name == thing));
    panels.map(|p| p.name.clone()).chain(devices.map(|t| t.transfer.name.clone())).collect()
}

/// A feeder with sources at its far end.
#[derive(Clone, Debug)]
pub struct FeederStudy {
    /// Its circuit in the graph.
    pub circuit: CircuitId,
    /// Its name.
    pub name: Arc<str>,
    /// What the sources give together, for hours.
    pub output: Fact<Current>,
    /// 125 % of it.
    pub needs: Fact<Current>,
    /// Device of the feeder.
    pub device: Fact<Current>,
    /// What its conductor carries by the column of its terminals, without factors.
    pub carries: Fact<Current>,
    /// What its conductor carries where it lies, at its worst place.
    pub where_it_lies: Fact<Current>,
    /// Whether device and conductor suffice.
    pub passes: Fact<bool>,
}

/// Feeders between panels and transfer devices that the utility reaches and that have sources behind them; none where the
/// rules have no such sum. Sources joined to the middle of a feeder are panels of their own in a design.
pub fn feeders(study: &Study) -> Vec<FeederStudy> {
    let system = &study.design.system;
    let Ok(schedule) = &study.wiring else { return Vec::new() };
    if crate::rule_set(system).and_then(BusEdition::of).is_none() {
        return Vec::new();
    }
    let graph = &study.design.graph;
    let mut found = Vec::new();
    for (k, circuit) in graph.circuits.iter().enumerate() {
        let (Some(from), Some(to)) = (graph.node(circuit.from), graph.node(circuit.to)) else { continue };
        // The service conductors are the utility's matter and of `supply_side`.
        let is_feeder = &*from.name != UTILITY && fed_from(system, &from.name).contains(&to.name);
        if !is_feeder || !utility_reaches(system, &from.name, &mut Vec::new()) {
            continue;
        }
        let sources = sources_on(study, &to.name, &mut vec![from.name.clone()]);
        let Some(sized) = schedule.circuits.get(k).filter(|_| !sources.is_empty()) else { continue };
        let output = together(&sources);
        let needs = wiring::SourceOnBus::of_facts(&output);
        let carries = sized.conductor.and_then(|c| Fact::Known(c.value.tests.terminal.offers.clone()));
        let where_it_lies = sized.conductor.and_then(|c| {
            let offers = c.value.tests.segments.iter().map(|test| &test.offers);
            let least = offers.min_by(|a, b| a.si().total_cmp(&b.si()));
            Fact::Known(least.unwrap_or(&c.value.tests.terminal.offers).clone())
        });
        let device = sized.protection.rating.clone();
        let enough = |needs: &Fact<Current>, has: &Fact<Current>| {
            needs.and_then(|needs| {
                has.and_then(|has| Fact::Known(needs.with(needs.si() <= has.si() * (1.0 + quantity::SAME))))
            })
        };
        let passes =
            all([enough(&needs, &device), enough(&needs, &carries), enough(&output, &where_it_lies)]);
        let name = circuit.name.clone();
        found.push(FeederStudy {
            circuit: CircuitId(k),
            name,
            output,
            needs,
            device,
            carries,
            where_it_lies,
            passes,
        });
    }
    found
}

/// Whether all hold: one that does not decides, then one that is unknown.
fn all(facts: [Fact<bool>; 3]) -> Fact<bool> {
    let fails = facts.iter().find(|fact| fact.value() == Some(&false));
    let unknown = facts.iter().find(|fact| fact.gap().is_some());
    fails.or(unknown).unwrap_or(&facts[0]).clone()
}

fn together(sources: &[BusSource]) -> Fact<Current> {
    let mut known = Vec::new();
    for source in sources {
        match &source.output {
            Fact::Known(output) => known.push((source.name.clone(), output.clone())),
            Fact::Unknown(gap) => return Fact::Unknown(gap.clone()),
        }
    }
    Fact::Known(sum(known, &units::AMPERE))
}

/// Several inverters on a busbar of their own, the greatest of its legs.
fn own(study: &Study, panel: &Panel) -> Vec<BusSource> {
    let system = &study.design.system;
    let units: Vec<Arc<str>> =
        panel.fed_by.iter().filter(|name| system.unit(name).is_some()).cloned().collect();
    if units.len() < 2 {
        return Vec::new();
    }
    let devices = units.iter().filter_map(|unit| {
        between(study, unit, &panel.name)?.known().map(|device| (unit.clone(), device.clone()))
    });
    let device = Fact::Known(sum(devices.collect(), &units::AMPERE));
    let name = units.join(", ").into();
    vec![BusSource { name, output: design::circuits::leg_current(system, &units), device }]
}

/// What a dwelling asks of the feed of its panel.
#[derive(Clone, Debug)]
pub struct DwellingStudy {
    /// Panel that carries it.
    pub panel: Arc<str>,
    /// Whether it is counted as an existing one; unknown as long as nobody said.
    pub existing: Fact<bool>,
    /// The calculation.
    pub load: ServiceLoad,
    /// What each thing that feeds the panel lets through: its name and rating.
    pub feeds: Vec<(Arc<str>, Fact<Current>)>,
}

/// The load calculation of the dwelling, where one is described and the rules have one.
pub fn dwelling(study: &Study) -> Option<DwellingStudy> {
    let system = &study.design.system;
    let household = system.household.as_ref()?;
    let edition = crate::rule_set(system)?;
    let rules = LoadRules::of(edition)?;
    let panel = system.panel(&household.panel)?;
    let volts = panel.volts.and_then(|v| Fact::Known(v.with(Voltage::from_si(v.value.across()))));
    let appliances: Vec<Nameplate> = system
        .appliances
        .iter()
        .map(|each| Nameplate {
            name: each.name.clone(),
            kind: each.kind.clone(),
            rated: each.rated.clone(),
            controlled_apart: each.controlled_apart,
            added: each.added,
        })
        .collect();
    let count = |existing| {
        let (area, circuits): (_, &Fact<Count>) = (&household.floor_area, &household.circuits);
        wiring::dwelling_load(area, circuits, &volts, &appliances, existing, edition, &rules)
    };
    let load = match &household.existing {
        Fact::Known(existing) => count(existing.value),
        Fact::Unknown(gap) => {
            let mut load = count(false);
            load.current = Fact::Unknown(gap.clone());
            load
        }
    };
    let feeds = panel
        .fed_by
        .iter()
        .filter(|name| system.unit(name).is_none())
        .map(|name| {
            let device = match (&panel.main, between(study, name, &panel.name)) {
                (Some(main), _) => main.clone(),
                (None, Some(device)) => device,
                (None, None) => {
                    let field = format!("panel.{}.main", panel.name);
                    Fact::unknown(field, quantity::WhoKnows::Electrician)
                }
            };
            (name.clone(), device)
        })
        .collect();
    Some(DwellingStudy { panel: panel.name.clone(), existing: household.existing.clone(), load, feeds })
}

/// The largest single load that is listed, by what it draws while it runs or by its nameplate.
pub fn largest_load(system: &System) -> Option<(Arc<str>, Traced<Power>)> {
    let running = system
        .loads
        .iter()
        .filter_map(|load| Some((load.name.clone(), load.usage.running_power()?.known()?.clone())));
    // Nameplates count where the inverters can feed the panel of the dwelling, or nobody said which panel that is.
    let house = system.household.as_ref().is_none_or(|h| inverter_reaches(system, &h.panel, &mut Vec::new()));
    let rated = system.appliances.iter().filter(|_| house).filter_map(|each| {
        let rated = each.rated.known()?;
        Some((each.name.clone(), rated.with(Power::from_si(rated.si()))))
    });
    let all: Vec<(Arc<str>, Traced<Power>)> = running.chain(rated).collect();
    let name = all.iter().max_by(|a, b| a.1.si().total_cmp(&b.1.si()))?.0.clone();
    Some((name, greatest(all, &units::WATT)?))
}

/// Sources joined to the service ahead of its main device.
#[derive(Clone, Debug)]
pub struct SupplySide {
    /// Units, in the order of the design.
    pub units: Vec<Arc<str>>,
    /// Their circuits in the graph.
    pub circuits: Vec<CircuitId>,
    /// Their continuous outputs together.
    pub output: Fact<Current>,
    /// What the service conductors carry.
    pub service: Fact<Current>,
    /// Whether that is enough.
    pub passes: Fact<bool>,
    /// Longest conductor from a joint to the device of a source.
    pub joint_to_device: Fact<Length>,
}

/// Connections on the supply side of the service; `None` where there is none or the rules have no such sum.
pub fn supply_side(study: &Study) -> Option<SupplySide> {
    let system = &study.design.system;
    crate::rule_set(system).and_then(BusEdition::of)?;
    let graph = &study.design.graph;
    let utility = graph.find(UTILITY)?;
    let units: Vec<_> =
        system.units_in_place.iter().filter(|u| &*u.ac_input == UTILITY && system.only_gives(u)).collect();
    if units.is_empty() {
        return None;
    }
    let mut known = Vec::new();
    let mut gap: Option<quantity::Gap> = None;
    for unit in &units {
        let Some(inverter) = system.inverter_of(unit) else { continue };
        let volts = inverter.volts.and_then(|v| Fact::Known(v.with(Voltage::from_si(v.value.across()))));
        match wiring::InverterOutputCurrent::of_facts(&inverter.output, &volts) {
            Fact::Known(current) => known.push((unit.name.clone(), current)),
            Fact::Unknown(more) => gap = Some(gap.map_or(more.clone(), |gap| gap.and(&more))),
        }
    }
    let output = match gap {
        Some(gap) => Fact::Unknown(gap),
        None => Fact::Known(sum(known, &units::AMPERE)),
    };
    let service = &system.utility.conductors;
    let service = match (&service.gauge, &service.material) {
        (Fact::Known(gauge), Fact::Known(metal)) => {
            match tables::ampacity(gauge.value, metal.value, tables::TerminalColumn::C75) {
                Ok(amps) => Fact::Known(amps),
                Err(_) => Fact::unknown("utility.conductors", quantity::WhoKnows::Electrician),
            }
        }
        (Fact::Unknown(gap), _) | (_, Fact::Unknown(gap)) => Fact::Unknown(gap.clone()),
    };
    let passes = output.and_then(|output| {
        service.and_then(|service| {
            Fact::Known(output.with(output.si() <= service.si() * (1.0 + quantity::SAME)))
        })
    });
    let at = |name: &Arc<str>| {
        let unit = graph.find(name)?;
        graph.circuits.iter().position(|c| c.from == unit && c.to == utility).map(CircuitId)
    };
    let circuits = units.iter().filter_map(|unit| at(&unit.name)).collect();
    let units = units.iter().map(|unit| unit.name.clone()).collect();
    let joint_to_device = system.utility.joint_to_device.clone();
    Some(SupplySide { units, circuits, output, service, passes, joint_to_device })
}

/// The figures of busbars and of the dwelling.
pub(crate) fn figures(study: &Study) -> Vec<Figure> {
    let mut figures = Vec::new();
    fn put<T: Measure>(figures: &mut Vec<Figure>, name: &[&str], says: String, fact: &Fact<T>) {
        if let Fact::Known(traced) = fact {
            let (value, origin) = (Value::from(traced), traced.origin.clone());
            figures.push(Figure { name: FigureName::new(name), says, value, origin });
        }
    }
    for bus in busbars(study) {
        for answer in &bus.answers {
            let test = word_of(answer.test);
            let says = format!("busbar of {}: {}", bus.panel, answer.test.in_words());
            put(
                &mut figures,
                &["busbars", &bus.panel, test, "needs"],
                format!("{says}, what it needs"),
                &answer.needs,
            );
            put(
                &mut figures,
                &["busbars", &bus.panel, test, "allows"],
                format!("{says}, what it allows"),
                &answer.allows,
            );
        }
    }
    for feeder in feeders(study) {
        let says = format!("feeder {}: 125 % of the sources at its far end", feeder.name);
        put(&mut figures, &["busbars", &feeder.name, "feeder", "needs"], says, &feeder.needs);
        let says = format!("feeder {}: what its conductor carries at its terminals", feeder.name);
        put(&mut figures, &["busbars", &feeder.name, "feeder", "allows"], says, &feeder.carries);
    }
    if let Some(side) = supply_side(study) {
        let says = "sources ahead of the main device of the service, together".to_string();
        put(&mut figures, &["busbars", "service", "supply-side", "needs"], says, &side.output);
        let says = "what the service conductors carry, column of 75 °C".to_string();
        put(&mut figures, &["busbars", "service", "supply-side", "allows"], says, &side.service);
    }
    if let Some(dwelling) = dwelling(study) {
        let load = &dwelling.load;
        put(&mut figures, &["dwelling", "general"], "general loads of the dwelling".into(), &load.general);
        put(&mut figures, &["dwelling", "counted"], "the same after the demand factor".into(), &load.counted);
        put(&mut figures, &["dwelling", "total"], "calculated load of the dwelling".into(), &load.total);
        put(&mut figures, &["dwelling", "current"], "current it asks of its feed".into(), &load.current);
        for (name, rating) in &dwelling.feeds {
            put(
                &mut figures,
                &["dwelling", "feeds", name],
                format!("{name}: current it lets through"),
                rating,
            );
        }
    }
    if let Some((name, power)) = largest_load(&study.design.system) {
        let says = format!("largest single load, {name}");
        put(&mut figures, &["inverters", "largest-load"], says, &Fact::Known(power));
    }
    figures
}

/// Name of a test in the name of a figure.
pub fn word_of(test: BusTest) -> &'static str {
    match test {
        BusTest::PlainSum => "plain-sum",
        BusTest::OppositeEnds => "opposite-ends",
        BusTest::AllDevices => "all-devices",
        BusTest::CenterFed => "centre-fed",
        BusTest::PowerControl => "power-control",
    }
}

/// Whether an inverter can feed a thing.
fn inverter_reaches(system: &System, name: &str, passed: &mut Vec<Arc<str>>) -> bool {
    if system.unit(name).is_some() {
        return true;
    }
    if passed.iter().any(|p| &**p == name) {
        return false;
    }
    passed.push(name.into());
    let panel = system.panel(name).map(|panel| &panel.fed_by);
    let device = system.transfer(name).map(|device| &device.transfer.from);
    panel.into_iter().chain(device).flatten().any(|from| inverter_reaches(system, from, passed))
}
