//! Stories of invented households.

use super::common::*;
use super::raceways::trade;
use super::*;

pub(super) fn stories() -> Section {
    let mut section = Section::new(
        "Wiring: stories of invented households",
        "Worked by hand from NEC 2023 tables 310.16, 240.6(A), chapter 9 table 8, 300.5, 352.44; the acceptance is 1 % and the \
         same verdict.",
    );
    let bus = |names: &[&str]| {
        Demand::BusToInverters(BusToInverters {
            inverters: names.iter().map(|name| inverter(name)).collect(),
            volts: bank(),
            short_circuit: unknown("battery.short_circuit"),
            units_on_the_bus: count(2),
            beside: None,
        })
    };
    let battery_run = |conductor: Option<(&str, u32)>| {
        let mut run = indoors(5.0);
        run.conductor = conductor.map(|(text, _)| stated(size(text)));
        run.sets = conductor.map(|(_, sets)| stated(Count(sets)));
        run
    };
    let fails = |schedule: &Schedule| {
        schedule.circuits[0].conductor.value().map(|found| found.fails.clone()).unwrap_or_default()
    };
    let one = schedule(vec![bus(&["a"])], battery_run(Some(("2/0 AWG", 1))));
    let found = schedule(vec![bus(&["a"])], battery_run(None));
    let both = |conductor| schedule(vec![bus(&["a", "b"])], battery_run(conductor));
    let (single, pair, large) =
        (both(Some(("4/0 AWG", 1))), both(Some(("4/0 AWG", 2))), both(Some(("500 kcmil", 1))));
    let together = bus(&["a", "b"]).design_currents();
    section.example(
        "The battery cable at the bottom of the battery",
        "two 6 kW inverters, 46 V, 0.92: 2/0 is short by 2.2 A, 3/0 behind 200 A; together two 4/0 or 500 kcmil",
        &Digits::within(0.6, "the story works on with 141.8 A")
            .is(figure(&one.circuits[0].currents.maximum), "141.8")
            .is(figure(&one.circuits[0].currents.continuous), "177.2")
            .is(figure(&found.circuits[0].drop), "0.109")
            .is(100.0 * figure(&found.circuits[0].drop_share), "0.24")
            .is(figure(&found.circuits[0].protection.rating), "200")
            .is(figure(&together.maximum), "283.6")
            .is(figure(&together.continuous), "354.4")
            .is(inverter_input_current(12_000.0, 51.2, 0.92), "254.8")
            .is(inverter_input_current(24_000.0, 46.0, 0.92), "567")
            .says("2/0 fails at its terminals", fails(&one).contains(&WhichTest::Terminal))
            .says("3/0 is found", found.circuits[0].gauge().value() == Some(&size("3/0 AWG")))
            .says("one 4/0 for both fails", fails(&single).contains(&WhichTest::Terminal))
            .says("two 4/0 hold", pair.circuits[0].conductor.value().is_some_and(|c| c.fails.is_empty()))
            .says("500 kcmil holds", large.circuits[0].conductor.value().is_some_and(|c| c.fails.is_empty()))
            .says("fault current is a question", !found.circuits[0].protection.available.is_known()),
        Standing::Derived,
    );
    let field_run = || {
        let mut wall = segment(Where::InSun, pvc40(), 12.0, 38.0);
        let mut trench = segment(Where::Underground, pvc40(), 168.0, 38.0);
        for part in [&mut trench, &mut wall] {
            part.trade_size = Some(stated(trade("3/4")));
        }
        trench.depth = common::inches(17.0);
        let mut run = run(vec![trench, wall]);
        run.conductor = Some(stated(size("10 AWG")));
        run.drop_target = share(0.03);
        run
    };
    let strings = schedule(vec![Demand::PvStrings(string(2)), Demand::PvStrings(string(2))], field_run());
    let sized = &strings.circuits[0];
    let conductor = sized.conductor.value().expect("every fact of the story is stated");
    let fill = strings.raceways[0].fill.as_ref().and_then(|fact| fact.value()).expect("a size is stated");
    let cover = strings.raceways[0].cover.as_ref().and_then(|fact| fact.value()).expect("a depth is stated");
    let stretch =
        strings.raceways[1].expansion.as_ref().and_then(|fact| fact.value()).expect("a swing is stated");
    section.example(
        "Two strings on 10 AWG in one pipe, 180 ft away",
        "5.80 V, 1.75 %; 21.7 A on 35 A, 17.4 A on 29.1 A; fill, cover and expansion",
        &Digits::new()
            .is(figure(&sized.drop), "5.80")
            .is(100.0 * figure(&sized.drop_share), "1.75")
            .is(conductor.tests.terminal.needs.si(), "21.7")
            .is(conductor.tests.terminal.offers.si(), "35")
            .is(conductor.tests.segments[0].needs.si(), "17.4")
            .is(conductor.tests.segments[0].offers.si(), "29.1")
            .is(units::SQUARE_INCH.of_si(fill.area.si()), "0.106")
            .is(units::INCH_UNIT.of_si(stretch.change.si()), "0.63")
            .says("it passes", conductor.fails.is_empty())
            .says("the pipe holds", fill.holds)
            .says("17 in of cover do not reach 18", cover.reaches.value() == Some(&false))
            .says("an expansion fitting is due", stretch.fitting),
        Standing::Derived,
    );
    let pairs = PvStrings {
        in_parallel: count(4),
        strings_on_the_input: count(4),
        vmp: volts(83.0),
        voc_cold: volts(113.0),
        ..string(4)
    };
    let mut low = field_run();
    low.conductor = Some(stated(size("6 AWG")));
    let low = schedule(vec![Demand::PvStrings(pairs)], low);
    section.example(
        "The same array as four pairs at low voltage on 6 AWG",
        "52 A, 9.19 V, 11.1 %: fails 3 %",
        &Digits::new()
            .is(figure(&low.circuits[0].currents.operating), "52")
            .is(figure(&low.circuits[0].drop), "9.19")
            .is(100.0 * figure(&low.circuits[0].drop_share), "11.1")
            .says("it fails", fails(&low).contains(&WhichTest::Drop)),
        Standing::Derived,
    );
    let ([at_utility, at_generator], inverting) =
        bonds_of_three_sources(NeutralBond::RelayWhenInverting, NeutralBond::Fixed, NeutralBond::Fitted);
    let (repaired, repaired_inverting) =
        bonds_of_three_sources(NeutralBond::None, NeutralBond::None, NeutralBond::LeftOut);
    section.example(
        "Three sources and how many bonds",
        "NEC 250.24(A)(5), 250.30 (from memory): utility, inverter and generator with a screw in the house panel; then screw out, relay \
         and generator without bond",
        &Digits::new()
            .is(at_utility, "2")
            .is(inverting, "3")
            .is(at_generator, "3")
            .is(repaired[0], "1")
            .is(repaired_inverting, "1")
            .is(repaired[1], "1"),
        Standing::Derived,
    );
    section
}

/// Bonds on the utility and on the generator, the switch standing at each, and on the inverter in its worst position: utility with
/// its service bond, an inverter that passes neutral through, a generator behind a switch of the hot conductors alone, the panel.
fn bonds_of_three_sources(relay: NeutralBond, generator: NeutralBond, screw: NeutralBond) -> ([f64; 2], f64) {
    let mut graph = Graph::default();
    let mut add = |name: &str, kind, bond: Option<NeutralBond>| {
        let id = graph.add(node(name, kind));
        graph.nodes[id.0].bond = bond.map(known);
        id
    };
    let utility = add("utility", NodeKind::Utility, None);
    let service = add("service", NodeKind::Panel, Some(NeutralBond::Fitted));
    let set = add("generator", NodeKind::Generator, Some(generator));
    let switch = add("switch", NodeKind::Transfer, None);
    let inverter = add("inverter", NodeKind::Inverter, Some(relay));
    let panel = add("house", NodeKind::Panel, Some(screw));
    for (from, to) in
        [(utility, service), (service, switch), (set, switch), (switch, inverter), (inverter, panel)]
    {
        let name = format!("{}-{}", from.0, to.0).into();
        let demand = ac(30.0, 240.0);
        graph.join(Circuit { name, from, to, demand, run: None, conductors: 3, carrying: 2, poles: 2 });
    }
    let facts = StateFacts {
        transfers: vec![TransferFact { node: switch, switches_neutral: known(false) }],
        plugged_in: vec![set],
        ..StateFacts::default()
    };
    let steady: Vec<BondState> = bond_table(&graph, &facts, Arrangement::Nec)
        .into_iter()
        .filter(|state| state.moment == Moment::Steady)
        .collect();
    let most = |source: NodeId, feeds: NodeId| {
        let stands = |state: &&BondState| {
            state.source == source
                && state.stands.iter().all(|(_, at)| graph.circuits[at.0].from == feeds || source == inverter)
        };
        steady.iter().filter(stands).map(|state| state.bonds.len()).max().unwrap_or(0) as f64
    };
    ([most(utility, service), most(set, set)], most(inverter, switch))
}
