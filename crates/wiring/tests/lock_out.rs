//! The lock-out map against brute force, and against hand-drawn houses.
#![allow(missing_docs, clippy::unwrap_used)]

mod common;
#[path = "common/switches.rs"]
mod switches;
use common::*;
use quantity::Fact;
use switches::*;
use wiring::*;

/// A random house of sources, panels and transfer devices with up to 12 switches, some of which do not break load.
fn random_house(dice: &mut Dice) -> (Graph, StateFacts) {
    let mut graph = Graph::default();
    let kinds = [
        NodeKind::Utility,
        NodeKind::Generator,
        NodeKind::Panel,
        NodeKind::Transfer,
        NodeKind::Panel,
        NodeKind::Load,
    ];
    let n = 4 + dice.below(5);
    for k in 0..n {
        let kind = if k == 0 { NodeKind::Generator } else { kinds[dice.below(kinds.len())] };
        graph.add(node(&format!("n{k}"), kind));
    }
    for _ in 0..n + dice.below(5) {
        let (a, b) = (dice.below(n), dice.below(n));
        if a != b {
            wire(&mut graph, NodeId(a), NodeId(b), ac(20.0, 240.0));
        }
    }
    let mut facts = StateFacts::default();
    for k in 0..graph.circuits.len() {
        for end in [End::From, End::To] {
            if facts.switches.len() < 12 && dice.below(3) > 0 {
                let kind = if dice.below(6) == 0 { SwitchKind::FuseHolder } else { SwitchKind::Breaker };
                facts.switches.push(SwitchPoint { circuit: CircuitId(k), end, kind, stated: true });
            }
        }
    }
    (graph, facts)
}

/// Forward flooding, written apart from the crate: which nodes and conductors each source makes live when the switches
/// of `open` are open and each transfer device stands at the supply `at` names.
fn flood(
    graph: &Graph,
    facts: &StateFacts,
    source: usize,
    open: u32,
    at: &[Option<usize>],
) -> (Vec<bool>, Vec<bool>) {
    let (mut nodes, mut wires) = (vec![false; graph.nodes.len()], vec![false; graph.circuits.len()]);
    nodes[source] = true;
    let passes = |circuit: usize, end: End| {
        let opened = facts.switches.iter().enumerate().any(|(k, s)| {
            s.circuit == CircuitId(circuit)
                && s.end == end
                && s.kind == SwitchKind::Breaker
                && open & (1 << k) != 0
        });
        let to = graph.circuits[circuit].to.0;
        let elsewhere = end == End::To
            && graph.nodes[to].kind == NodeKind::Transfer
            && at[to].is_some_and(|closed| closed != circuit);
        !opened && !elsewhere
    };
    loop {
        let before = (nodes.clone(), wires.clone());
        for (k, circuit) in graph.circuits.iter().enumerate() {
            for (end, node) in [(End::From, circuit.from.0), (End::To, circuit.to.0)] {
                if passes(k, end) && (nodes[node] || wires[k]) {
                    nodes[node] = true;
                    wires[k] = true;
                }
            }
        }
        if before == (nodes.clone(), wires.clone()) {
            return before;
        }
    }
}

fn live_by_force(
    graph: &Graph,
    facts: &StateFacts,
    wires: &[usize],
    at_nodes: &[usize],
    open: u32,
) -> Vec<NodeId> {
    let mut live = Vec::new();
    for (source, node) in graph.nodes.iter().enumerate() {
        if !node.kind.is_source() {
            continue;
        }
        let reached = stands(graph).iter().any(|at| {
            let (nodes, lines) = flood(graph, facts, source, open, at);
            wires.iter().any(|k| lines[*k]) || at_nodes.iter().any(|k| nodes[*k])
        });
        if reached {
            live.push(NodeId(source));
        }
    }
    live
}

fn by_force(graph: &Graph, facts: &StateFacts, wires: &[usize], nodes: &[usize]) -> Isolation {
    let live = |open: u32| live_by_force(graph, facts, wires, nodes, open);
    let breaking = facts.switches.iter().map(|s| s.kind == SwitchKind::Breaker).collect::<Vec<_>>();
    let all = (1u32 << facts.switches.len()) - 1;
    let (sources, always) = (live(0), live(all));
    let mut masks: Vec<u32> =
        (0..=all).filter(|m| (0..breaking.len()).all(|k| m & (1 << k) == 0 || breaking[k])).collect();
    masks.sort_by_key(|m| m.count_ones());
    let mut sets: Vec<Vec<SwitchId>> = Vec::new();
    let mut smallest = u32::MAX;
    for mask in masks {
        if mask.count_ones() > smallest {
            break;
        }
        if live(mask) == always {
            smallest = mask.count_ones();
            sets.push((0..breaking.len()).filter(|k| mask & (1 << k) != 0).map(SwitchId).collect());
        }
    }
    sets.sort();
    Isolation { sources, always, sets, more: false }
}

#[test]
fn the_map_equals_brute_force_on_random_houses_up_to_twelve_switches() {
    let mut dice = Dice(7);
    let mut compared = 0;
    let (mut with_choice, mut with_several, mut with_always) = (0, 0, 0);
    for _ in 0..60 {
        let (graph, facts) = random_house(&mut dice);
        let map = lock_out(&graph, &facts, 5000);
        // Forcing every conductor of every house takes too long; each house is compared at some.
        for row in map.conductors.iter().step_by(3) {
            let force = by_force(&graph, &facts, &[row.circuit.0], &[]);
            assert_eq!(row.isolation, force, "{graph:#?} {facts:?} {:?}", row.circuit);
            compared += 1;
            with_choice += usize::from(force.sets.len() > 1);
            with_several += usize::from(force.sets[0].len() > 1);
            with_always += usize::from(!force.always.is_empty());
        }
        let page = &map.enclosures[dice.below(map.enclosures.len())];
        let wires: Vec<usize> = page.conductors.iter().map(|id| id.0).collect();
        assert_eq!(page.isolation, by_force(&graph, &facts, &wires, &[page.node.0]));
    }
    // The houses hold what the map is for.
    assert!(
        compared > 100 && with_choice > 20 && with_several > 20 && with_always > 20,
        "{compared} {with_choice} {with_several} {with_always}"
    );
}

#[test]
fn what_is_reached_with_some_open_equals_brute_force() {
    let mut dice = Dice(11);
    let (mut less, mut same) = (0, 0);
    for _ in 0..40 {
        let (graph, facts) = random_house(&mut dice);
        for _ in 0..4 {
            let mask = dice.below(1 << facts.switches.len()) as u32;
            let open: Vec<SwitchId> =
                (0..facts.switches.len()).filter(|k| mask >> k & 1 == 1).map(SwitchId).collect();
            let found = reached(&graph, &facts, &open);
            for (k, sources) in found.conductors.iter().enumerate() {
                assert_eq!(*sources, live_by_force(&graph, &facts, &[k], &[], mask), "{graph:#?} {facts:?}");
            }
            for (k, sources) in found.equipment.iter().enumerate() {
                let wires: Vec<usize> = graph.circuits_at(NodeId(k)).map(|(id, _)| id.0).collect();
                assert_eq!(*sources, live_by_force(&graph, &facts, &wires, &[k], mask));
            }
            if reached(&graph, &facts, &[]) == found { same += 1 } else { less += 1 }
        }
    }
    assert!(less > 40 && same > 5, "{less} {same}");
}

#[test]
fn the_set_of_a_page_leaves_only_what_stays_live() {
    let (graph, facts, _) = house();
    let map = lock_out(&graph, &facts, 4);
    for page in &map.enclosures {
        for set in &page.isolation.sets {
            assert_eq!(reached(&graph, &facts, set).equipment[page.node.0], page.isolation.always);
        }
    }
}

/// Utility, main breaker, panel, inverter with battery and a string: what an electrician would write down.
fn house() -> (Graph, StateFacts, [CircuitId; 5]) {
    let mut graph = Graph::default();
    let utility = graph.add(node("utility", NodeKind::Utility));
    let service = graph.add(node("service panel", NodeKind::Panel));
    let mut inverter = node("inverter", NodeKind::Inverter);
    inverter.interactive = Some(known(true));
    let inverter = graph.add(inverter);
    let battery = graph.add(node("battery", NodeKind::BatteryUnit));
    let array = graph.add(node("array", NodeKind::PvString));
    let house = graph.add(node("house panel", NodeKind::Panel));
    let main = wire(&mut graph, utility, service, ac(100.0, 240.0));
    let input = wire(&mut graph, service, inverter, ac(40.0, 240.0));
    let dc = wire(&mut graph, battery, inverter, Demand::BatteryUnit(unit()));
    let pv = wire(&mut graph, array, inverter, Demand::PvStrings(string(1)));
    let output = wire(&mut graph, inverter, house, ac(27.0, 240.0));
    let facts = StateFacts {
        switches: vec![
            breaker(main, End::To),
            breaker(input, End::From),
            breaker(dc, End::From),
            breaker(output, End::From),
        ],
        ..StateFacts::default()
    };
    (graph, facts, [main, input, dc, pv, output])
}

#[test]
fn a_switch_is_named_by_its_circuit_and_where_it_stands() {
    let (graph, facts, _) = house();
    let at = |k: usize| switch_in_words(&graph, &facts, SwitchId(k));
    for (k, place) in
        [(0, "at service panel"), (1, "at service panel"), (2, "at battery"), (3, "at inverter")]
    {
        assert!(at(k).ends_with(place), "{}", at(k));
    }
}

/// What stays live is told by its reason, each reason once with all that it holds for.
#[test]
fn what_stays_live_is_told_by_reason() {
    let mut graph = Graph::default();
    let kinds = [NodeKind::BatteryUnit, NodeKind::Utility, NodeKind::BatteryUnit, NodeKind::BatteryUnit];
    let names = ["rack 1", "utility", "rack 2", "rack 3"];
    let ids: Vec<NodeId> = names.iter().zip(kinds).map(|(name, kind)| graph.add(node(name, kind))).collect();
    let says = Step::StaysLive(ids).in_words(&graph, &StateFacts::default());
    let told = "rack 1 to rack 3 (battery terminals and cells: live always); \
                utility (service line side: live until the utility opens it).";
    assert!(says.contains(told), "{says}");
}

#[test]
fn a_switch_named_twice_is_open_once() {
    let (graph, facts, _) = house();
    let [once, twice] =
        [&[SwitchId(2)][..], &[SwitchId(2), SwitchId(2)]].map(|open| reached(&graph, &facts, open));
    assert_eq!(once, twice);
}

/// Of six breakers in a row any one is a smallest set; of more than may be listed it is said that there are others.
#[test]
fn sets_that_are_not_listed_are_told_of() {
    let mut graph = Graph::default();
    let mut facts = StateFacts::default();
    let mut last = graph.add(node("utility", NodeKind::Utility));
    for k in 0..6 {
        let next = graph.add(node(&format!("panel {k}"), NodeKind::Panel));
        let id = wire(&mut graph, last, next, ac(60.0, 240.0));
        facts.switches.push(breaker(id, End::From));
        last = next;
    }
    for (at_most, listed, more) in [(4, 4, true), (5, 5, true), (6, 6, false), (9, 6, false)] {
        let isolation = &lock_out(&graph, &facts, at_most).conductors[5].isolation;
        assert_eq!((isolation.sets.len(), isolation.more), (listed, more), "{at_most}");
        assert!(isolation.sets.iter().all(|set| set.len() == 1));
    }
}

#[test]
fn service_line_side_battery_terminals_and_module_conductors_are_never_made_dead() {
    let (graph, facts, [main, input, dc, pv, output]) = house();
    let map = lock_out(&graph, &facts, 20);
    let of = |id: CircuitId| &map.conductors[id.0].isolation;
    let (utility, battery, array) = (NodeId(0), NodeId(3), NodeId(4));
    assert_eq!(of(main).always, [utility]);
    // Behind its main breaker an interactive inverter still feeds the service panel from battery and array, so the
    // line from the utility is reached by three sources and the main breaker parts the other two.
    assert_eq!(of(main).sources, [utility, battery, array]);
    assert!(of(main).sets.contains(&vec![SwitchId(0)]));
    // The battery conductor lies behind its own breaker, but the inverter reaches it from the other side.
    assert!(of(dc).always.contains(&array) && !of(dc).always.contains(&battery));
    assert_eq!(of(pv).always, [array]);
    // A breaker at the panel end does not part the input from array and battery.
    assert_eq!(of(input).sources, [utility, battery, array]);
    // Without a switch for the array the output is dead by its own breaker alone.
    assert_eq!(of(output).sets, [vec![SwitchId(3)]]);
    assert!(of(output).always.is_empty());
    let page = &map.enclosures[2];
    assert_eq!(page.steps.last(), Some(&Step::ProveDead));
    assert!(
        page.steps.contains(&Step::Wait(NodeId(2))) && page.steps.contains(&Step::StaysLive(vec![array]))
    );
    for page in &map.enclosures {
        assert!(
            page.steps.last().unwrap().in_words(&graph, &facts).contains("meter proved before and after")
        );
    }
}

#[test]
fn fuse_holders_and_connectors_are_never_switches() {
    let (graph, mut facts, [_, _, dc, ..]) = house();
    for kind in [SwitchKind::FuseHolder, SwitchKind::Connector] {
        facts.switches[2].kind = kind;
        let map = lock_out(&graph, &facts, 20);
        assert!(map.conductors[dc.0].isolation.always.contains(&NodeId(3)), "the battery stays joined");
        for row in &map.conductors {
            assert!(row.isolation.sets.iter().all(|set| !set.contains(&SwitchId(2))));
        }
    }
}

#[test]
fn a_source_that_may_start_by_itself_is_locked_first_and_unknown_counts_as_one() {
    let mut graph = Graph::default();
    let generator = graph.add(node("generator", NodeKind::Generator));
    let panel = graph.add(node("panel", NodeKind::Panel));
    let line = wire(&mut graph, generator, panel, ac(30.0, 240.0));
    for (starts, locked) in
        [(known(true), true), (unknown("generator.g.automatic"), true), (known(false), false)]
    {
        let facts = StateFacts {
            switches: vec![breaker(line, End::From)],
            starts: vec![(generator, starts)],
            ..StateFacts::default()
        };
        let page = &lock_out(&graph, &facts, 9).enclosures[panel.0];
        assert_eq!(page.steps.first() == Some(&Step::LockStart(generator)), locked);
        // One that only a person starts is stopped all the same: it may be running.
        assert_eq!(page.steps.first() == Some(&Step::Stop(generator)), !locked);
        assert!(page.steps.contains(&Step::Open(SwitchId(0))));
    }
}

/// A charge controller is never left in the sun without its battery: its modules are parted first, also where another
/// enclosure of the bus is opened.
#[test]
fn modules_are_parted_before_the_battery_of_their_controller() {
    let mut graph = Graph::default();
    let battery = graph.add(node("battery", NodeKind::BatteryUnit));
    let bus = graph.add(node("bus", NodeKind::BatteryBus));
    let controller = graph.add(node("controller", NodeKind::Controller));
    let array = graph.add(node("string", NodeKind::PvString));
    let links = wire(&mut graph, battery, bus, Demand::BatteryUnit(unit()));
    let out = wire(&mut graph, controller, bus, Demand::BatteryUnit(unit()));
    let modules = wire(&mut graph, array, controller, Demand::PvStrings(string(1)));
    let facts = StateFacts {
        switches: vec![breaker(links, End::From), breaker(out, End::To), breaker(modules, End::To)],
        ..StateFacts::default()
    };
    let map = lock_out(&graph, &facts, 9);
    for place in [controller, battery, bus] {
        let opened: Vec<usize> = map.enclosures[place.0]
            .steps
            .iter()
            .filter_map(|step| if let Step::Open(id) = step { Some(id.0) } else { None })
            .collect();
        let at = |k: usize| opened.iter().position(|id| *id == k);
        assert!(at(2).is_some() && (at(1).is_none() || at(2) < at(1)), "{place:?}: {opened:?}");
    }
}

#[test]
fn an_inverter_that_feeds_no_utility_does_not_reach_its_input() {
    let (mut graph, facts, [main, input, ..]) = house();
    graph.nodes[2].interactive = Some(known(false));
    let map = lock_out(&graph, &facts, 20);
    assert_eq!(map.conductors[main.0].isolation.sources, [NodeId(0)]);
    assert_eq!(map.conductors[input.0].isolation.sets, [vec![SwitchId(0)], vec![SwitchId(1)]]);
    graph.nodes[2].interactive = Some(unknown("inverter.interactive"));
    let map = lock_out(&graph, &facts, 20);
    assert_eq!(map.conductors[main.0].isolation.sources.len(), 3, "unknown counts as feeding");
}

#[test]
fn forty_switches_are_exact() {
    let (graph, facts) = forty_switches();
    let map = lock_out(&graph, &facts, 8);
    // Into the bus enclosure come sixteen racks, and from four inverters the far sides of their battery breakers, which
    // the arrays (four breakers) and the feeder of the house (one) reach: 16 + 4 + 1.
    let page = &map.enclosures[0];
    assert_eq!(page.isolation.sets[0].len(), 21);
    assert!(!page.isolation.more && !map.too_many_switches);
    // Every switch it names parts something: closing any one of the set again brings a source back.
    for set in &page.isolation.sets {
        for left_closed in set {
            let mut kept = facts.clone();
            for (k, point) in kept.switches.iter_mut().enumerate() {
                // What is not of the set, and the one left closed, cannot be opened any more.
                if !set.contains(&SwitchId(k)) || SwitchId(k) == *left_closed {
                    point.kind = SwitchKind::Connector;
                }
            }
            let again = lock_out(&graph, &kept, 8);
            assert!(again.enclosures[0].isolation.always.len() > page.isolation.always.len());
        }
    }
}

/// A polarised breaker may not break the current that a battery takes, and one without a marking may not break at all.
#[test]
fn a_breaker_that_is_not_known_to_break_its_current_is_no_switch() {
    let device = |suits: Fact<Suits>, polarised: Fact<bool>| Device {
        rating: amps(125.0),
        kind: known(DeviceKind::Breaker),
        suits,
        volts: volts(65.0),
        polarised,
        interrupting: amps(10_000.0),
        curve: unknown("run.a.device.curve"),
        field: quantity::FieldPath::new("run.a.device"),
    };
    for (suits, polarised, switch) in [
        (known(Suits::Dc), known(false), true),
        (known(Suits::Dc), known(true), false),
        (known(Suits::Dc), unknown("run.a.device.polarised"), false),
        (known(Suits::Ac), known(false), false),
        (unknown("run.a.device.kind"), known(false), false),
    ] {
        let mut run = run(vec![segment(Where::Indoors, emt(), 4.0, 30.0)]);
        run.device = Some(device(suits, polarised));
        let graph = graph(vec![Demand::BatteryUnit(unit())]);
        let runs = [run];
        let schedule = size_all(&graph, &runs, RuleSet::Nec2023).unwrap();
        let points = switch_points(&graph, &runs, &schedule.circuits);
        assert_eq!((points.len(), points[0].kind.breaks_load()), (1, switch));
    }
}

/// Two batteries and two inverters on a bus whose fuses are no switches, a string on each inverter, and a service.
///
/// Worked by hand: with both strings' switches and then the other battery's breaker open, both inverters still hang on the
/// bus, so both are switched off before a breaker is opened and the capacitors of both are waited for.
#[test]
fn capacitors_that_still_hang_on_the_bus_are_waited_for() {
    let mut graph = Graph::default();
    let bus = graph.add(node("bus", NodeKind::BatteryBus));
    let mut switches = Vec::new();
    let batteries: Vec<NodeId> = (0..2)
        .map(|k| {
            let battery = graph.add(node(&format!("battery {k}"), NodeKind::BatteryUnit));
            let id = wire(&mut graph, battery, bus, Demand::BatteryUnit(unit()));
            switches.push(breaker(id, End::From));
            battery
        })
        .collect();
    let inverters: Vec<NodeId> = (0..2)
        .map(|k| {
            let mut inverter = node(&format!("inverter {k}"), NodeKind::Inverter);
            inverter.interactive = Some(known(false));
            let inverter = graph.add(inverter);
            wire(&mut graph, bus, inverter, Demand::BatteryUnit(unit()));
            inverter
        })
        .collect();
    let strings: Vec<NodeId> = inverters
        .iter()
        .enumerate()
        .map(|(k, inverter)| {
            let string_ = graph.add(node(&format!("string {k}"), NodeKind::PvString));
            let id = wire(&mut graph, string_, *inverter, Demand::PvStrings(string(1)));
            switches.push(SwitchPoint {
                circuit: id,
                end: End::To,
                kind: SwitchKind::LoadBreak,
                stated: true,
            });
            string_
        })
        .collect();
    let facts = StateFacts { switches, ..StateFacts::default() };
    let map = lock_out(&graph, &facts, 9);
    let page = |node: NodeId| &map.enclosures[node.0].steps;

    let off = |k: usize| Step::SwitchOff(inverters[k]);
    let wait = |k: usize| Step::Wait(inverters[k]);
    let open = |k: usize| Step::Open(SwitchId(k));
    let live = |node: NodeId| Step::StaysLive(vec![node]);
    assert_eq!(
        *page(batteries[0]),
        [
            off(0),
            off(1),
            open(2),
            open(3),
            open(1),
            open(0),
            wait(0),
            wait(1),
            live(batteries[0]),
            Step::ProveDead
        ],
        "its own breaker too, so that only its terminals stay live"
    );
    assert_eq!(
        *page(inverters[0]),
        [
            off(0),
            off(1),
            open(3),
            open(2),
            open(0),
            open(1),
            wait(0),
            wait(1),
            live(strings[0]),
            Step::ProveDead
        ],
        "its own switch parts the string from everything behind it"
    );
    // The string is not fed from the input, and its connectors are parted only after its switch.
    assert_eq!(page(strings[0]).iter().filter(|step| matches!(step, Step::Open(_))).count(), 1);
    assert!(page(strings[0]).contains(&open(2)));
}

/// Before a service panel is opened its main is, so that only the line side stays live; the breakers behind it need
/// not be.
#[test]
fn the_main_of_a_service_is_opened_before_its_panel() {
    let mut graph = Graph::default();
    let utility = graph.add(node("utility", NodeKind::Utility));
    let service = graph.add(node("service", NodeKind::Panel));
    let house = graph.add(node("house", NodeKind::Panel));
    let main = wire(&mut graph, utility, service, ac(100.0, 240.0));
    let feeder = wire(&mut graph, service, house, ac(60.0, 240.0));
    let facts = StateFacts {
        switches: vec![breaker(feeder, End::From), breaker(main, End::To)],
        ..StateFacts::default()
    };
    let map = lock_out(&graph, &facts, 9);
    let stays = Step::StaysLive(vec![utility]);
    assert_eq!(map.enclosures[service.0].steps, [Step::Open(SwitchId(1)), stays, Step::ProveDead]);
    assert_eq!(map.enclosures[house.0].steps, [Step::Open(SwitchId(0)), Step::ProveDead]);
}
