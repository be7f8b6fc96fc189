//! What must hold whatever the numbers are, swept over grids of lengths, temperatures and counts.
#![allow(missing_docs, clippy::unwrap_used)]

mod common;
use common::*;
use quantity::{Count, Fact, Gap, Gauge, Length, Measure, Origin, Temperature, Value, units};
use std::sync::Arc;
use tables::{Insulation, TerminalColumn};
use wiring::*;

fn one(demand: Demand, run: Run) -> Sized {
    schedule(vec![demand], run).circuits.remove(0)
}

#[test]
fn a_longer_run_never_drops_less_and_never_takes_a_smaller_size() {
    let mut drop_before = 0.0;
    let mut size_before = Gauge::Awg(14);
    for feet in (5..600).step_by(5) {
        let mut run = run(vec![segment(Where::Underground, pvc40(), f64::from(feet), 25.0)]);
        run.conductor = Some(stated(size("10 AWG")));
        let drop = one(Demand::PvStrings(string(1)), run.clone()).drop.si().unwrap();
        assert!(drop > drop_before);
        drop_before = drop;
        (run.conductor, run.drop_target) = (None, share(0.02));
        let found = one(Demand::PvStrings(string(1)), run);
        assert!(found.drop_share.si().unwrap() <= 0.02);
        let size = *found.gauge().value().unwrap();
        assert!(size >= size_before);
        size_before = size;
    }
    assert!(size_before > Gauge::Awg(6), "the sweep reached larger sizes");
}

#[test]
fn a_hotter_segment_never_raises_ampacity() {
    for insulation in Insulation::ALL {
        let mut before = f64::INFINITY;
        for c in -20..90 {
            let place = segment(Where::Indoors, emt(), 10.0, f64::from(c));
            let Ok(factors) = segment_factors(&place, false, &known(insulation), 2) else { break };
            let table =
                tables::ampacity(size("6 AWG"), quantity::Material::Copper, factors.column.value).unwrap();
            let offers =
                corrected_ampacity(table.si(), factors.ambient_factor.si(), factors.count_factor.si(), 1.0);
            assert!(offers <= before, "{insulation} at {c} °C");
            before = offers;
        }
        assert!(before < f64::INFINITY);
    }
}

#[test]
fn more_circuits_in_a_raceway_never_raise_ampacity_or_shrink_it() {
    let mut offers_before = f64::INFINITY;
    let mut area_before = 0.0;
    for n in 1..12 {
        let mut run = run(vec![segment(Where::Indoors, emt(), 40.0, 35.0)]);
        run.conductor = Some(stated(size("8 AWG")));
        let schedule = schedule(vec![ac(16.0, 240.0); n], run);
        let offers = schedule.circuits[0].conductor.value().unwrap().tests.segments[0].offers.si();
        assert!(offers <= offers_before);
        offers_before = offers;
        let area = schedule.raceways[0].fill.as_ref().unwrap().value().unwrap().area.si();
        assert!(area > area_before);
        area_before = area;
    }
}

/// The same run written in feet and °F or in metres and °C.
#[test]
fn the_unit_system_changes_nothing() {
    for (feet, fahrenheit) in [(120.0, 95.0), (33.0, 104.0), (7.5, 113.0), (410.0, 86.0)] {
        let sized = |metric: bool| {
            let mut segment = segment(Where::Outdoors, emt(), feet, 30.0);
            if metric {
                // Typed with four decimals, as a person would convert it.
                let meters = (feet * 0.3048 * 1e4_f64).round() / 1e4;
                segment.length = known(Length::from_si(units::METER.to_si(meters)));
                let c = ((fahrenheit - 32.0) / 1.8 * 1e9_f64).round() / 1e9;
                segment.ambient = known(Temperature::from_si(units::CELSIUS.to_si(c)));
            } else {
                segment.ambient = known(Temperature::from_si(units::FAHRENHEIT.to_si(fahrenheit)));
            }
            let mut run = run(vec![segment]);
            run.drop_target = share(0.02);
            one(Demand::PvStrings(string(1)), run)
        };
        let (us, metric) = (sized(false), sized(true));
        assert_eq!(us.gauge().value(), metric.gauge().value());
        let (a, b) = (us.drop.si().unwrap(), metric.drop.si().unwrap());
        // Four decimals of a metre in the shortest run, 2.3 m.
        assert!((a - b).abs() < 5e-5 * a);
    }
}

#[test]
fn the_order_of_parallel_things_changes_nothing() {
    let bus = |order: [f64; 3]| {
        Demand::BusToInverters(BusToInverters {
            inverters: order
                .iter()
                .map(|w| InverterInput { output: watts(*w), ..inverter(&format!("{w} W")) })
                .collect(),
            volts: bank(),
            short_circuit: amps(2100.0),
            units_on_the_bus: count(6),
            beside: None,
        })
    };
    let run = run(vec![segment(Where::Indoors, emt(), 6.0, 30.0)]);
    let (a, b) = (one(bus([3000.0, 4500.0, 6000.0]), run.clone()), one(bus([6000.0, 3000.0, 4500.0]), run));
    assert_eq!(a.gauge().value(), b.gauge().value());
    assert_eq!(a.sets().value(), b.sets().value());
    let (a, b) = (a.currents.maximum.si().unwrap(), b.currents.maximum.si().unwrap());
    assert!((a - b).abs() < 1e-9 * a, "sums differ by the order of addition only");
}

#[test]
fn a_found_size_passes_and_the_next_smaller_fails() {
    for amps in 5..260 {
        let run = run(vec![segment(Where::Indoors, emt(), 30.0, 33.0)]);
        let sized = one(ac(f64::from(amps), 240.0), run.clone());
        let found = sized.conductor.value().unwrap();
        assert_eq!(found.fails, []);
        assert!(found.tests.guard.protected.si() > 0.0);
        let at = SIZES.iter().position(|size| *size == found.gauge.value).unwrap();
        if at > 0 && found.sets.count() == 1 {
            let mut smaller = run;
            smaller.conductor = Some(stated(SIZES[at - 1]));
            let checked = one(ac(f64::from(amps), 240.0), smaller);
            let checked = checked.conductor.value().unwrap();
            assert!(!checked.fails.is_empty(), "{amps} A would also pass on {}", SIZES[at - 1]);
            assert_eq!(checked.required.as_ref().unwrap().value, found.gauge.value);
        }
    }
}

/// Every demand, every column: figures recompute from their printed text, and origins end in stated facts, table
/// rows, assumptions or choices.
#[test]
fn every_figure_recomputes_from_its_printed_text() {
    let mut wall = run(vec![
        segment(Where::OnRoof, emt(), 20.0, 35.0),
        segment(Where::Underground, pvc40(), 60.0, 25.0),
        segment(Where::InSun, pvc40(), 1.5, 40.0),
    ]);
    wall.segments[0].height_above_roof = inches(0.5);
    wall.drop_target = share(0.015);
    wall.terminals = unknown("run.a.terminals");
    let demands = vec![
        Demand::PvStrings(string(3)),
        Demand::BatteryUnit(BatteryUnit {
            charge: amps(50.0),
            discharge: amps(100.0),
            volts: bank(),
            short_circuit: amps(2100.0),
            units_on_the_bus: count(4),
            beside: None,
            bus_current: amps(280.0),
        }),
        Demand::BusToInverters(BusToInverters {
            inverters: vec![inverter("a"), inverter("b")],
            volts: bank(),
            short_circuit: amps(2100.0),
            units_on_the_bus: count(4),
            beside: None,
        }),
        Demand::ControllerToBus(ControllerToBus {
            charge: amps(80.0),
            volts: bank(),
            short_circuit: amps(2100.0),
            units_on_the_bus: count(4),
            beside: None,
        }),
        Demand::InverterOutput(InverterOutput {
            output: watts(6000.0),
            volts: volts(240.0),
            passes_through: amps(50.0),
            fault: amps(5000.0).into(),
        }),
        ac(24.0, 240.0),
        Demand::UtilitySupply(UtilitySupply {
            main: amps(200.0),
            volts: volts(240.0),
            whole_dwelling: known(true),
            fault: unknown("utility.fault").into(),
        }),
        Demand::GeneratorSupply(GeneratorSupply {
            rated: amps(30.0),
            volts: volts(240.0),
            fault: unknown("generator.fault").into(),
        }),
    ];
    let schedule = schedule(demands, wall.clone());
    let mut held = 0;
    let mut figures: Vec<quantity::Figure> = schedule.circuits.iter().flat_map(Sized::figures).collect();
    figures.extend(schedule.raceways.iter().flat_map(|raceway| raceway.figures(&wall)));
    for figure in &figures {
        held += recomputes(&figure.value, &figure.origin);
        if let Value::Number { si, .. } = figure.value {
            assert!(si.is_finite(), "{}", figure.name);
        }
        let mut leaf = false;
        figure.origin.walk(&mut |origin| {
            leaf |= matches!(
                origin,
                Origin::Stated(_) | Origin::Tabled(_) | Origin::Assumed(_) | Origin::Found(_)
            );
        });
        assert!(leaf, "{} ends nowhere", figure.name);
    }
    assert!(figures.len() > 130, "{}", figures.len());
    assert!(held > 500, "{held}");
    let mut names: Vec<_> = figures.iter().map(|figure| figure.name.clone()).collect();
    names.sort();
    names.dedup();
    assert_eq!(names.len(), figures.len(), "a figure has one name");
}

// ── Unknown is never a pass ────────────────────────────────────────────────────────────────────────────

fn asks<T>(fact: &Fact<T>) -> Vec<String> {
    let gap: Option<&Gap> = fact.gap();
    gap.map(|gap| gap.missing.iter().map(|m| m.field.to_string()).collect()).unwrap_or_default()
}

#[test]
fn a_missing_fact_leaves_its_columns_unknown_and_sizes_the_rest() {
    let mut no_length = run(vec![segment(Where::Indoors, emt(), 30.0, 30.0)]);
    no_length.segments[0].length = unknown("run.a.route.1.length");
    let sized = one(ac(24.0, 240.0), no_length);
    assert_eq!(sized.gauge().value(), Some(&size("10 AWG")));
    assert_eq!(asks(&sized.drop), ["run.a.route.1.length"]);

    let mut no_ambient = run(vec![segment(Where::Indoors, emt(), 30.0, 30.0)]);
    no_ambient.segments[0].ambient = unknown("run.a.route.1.ambient");
    let sized = one(ac(24.0, 240.0), no_ambient);
    assert_eq!(asks(&sized.gauge()), ["run.a.route.1.ambient"]);
    assert_eq!(sized.protection.rating.si(), Some(30.0));
    assert!(sized.length.is_known());

    let mut pv = string(1);
    pv.isc = unknown("module.m.isc");
    let sized = one(Demand::PvStrings(pv), run(vec![segment(Where::Indoors, emt(), 30.0, 30.0)]));
    assert_eq!(asks(&sized.currents.maximum), ["module.m.isc"]);
    assert_eq!(asks(&sized.gauge()), ["module.m.isc"]);
    assert_eq!(sized.currents.operating.si(), Some(13.0));
}

#[test]
fn zero_and_contradicting_facts_never_become_figures() {
    let mut volts_of = bank();
    volts_of.lowest = volts(0.0);
    let demand = Demand::BusToInverters(BusToInverters {
        inverters: vec![inverter("a")],
        volts: volts_of,
        short_circuit: amps(0.0),
        units_on_the_bus: count(0),
        beside: None,
    });
    let mut pv = string(1);
    (pv.in_parallel, pv.vmp) = (count(3), volts(0.0));
    let mut run = run(vec![segment(Where::Indoors, emt(), 0.0, 30.0)]);
    run.drop_target = share(0.0);
    let schedule = schedule(vec![demand, Demand::PvStrings(pv), ac(0.0, 0.0)], run);
    for figure in schedule.circuits.iter().flat_map(Sized::figures) {
        if let Value::Number { si, .. } = figure.value {
            assert!(si.is_finite(), "{}", figure.name);
        }
    }
    assert!(!schedule.circuits[0].currents.maximum.is_known());
    assert!(
        !schedule.circuits[1].protection.needed.is_known(),
        "one string on the input, three in the circuit"
    );
}

#[test]
fn a_circuit_without_a_run_keeps_its_currents_and_device() {
    let mut graph = graph(vec![ac(24.0, 240.0)]);
    graph.circuits[0].run = None;
    let schedule = size_all(&graph, &[], RuleSet::Nec2023).unwrap();
    let sized = &schedule.circuits[0];
    assert_eq!(sized.protection.rating.si(), Some(30.0));
    assert_eq!(asks(&sized.gauge()), ["run for circuit 0"]);
    assert!(schedule.raceways.is_empty());
}

#[test]
fn terminals_of_unknown_rating_count_as_60_up_to_100_a_and_75_above() {
    for (continuous, column) in [(80.0, TerminalColumn::C60), (80.1, TerminalColumn::C75)] {
        let mut run = run(vec![segment(Where::Indoors, emt(), 30.0, 30.0)]);
        run.terminals = unknown("run.a.terminals");
        let sized = one(ac(continuous, 240.0), run);
        assert_eq!(sized.terminals.value(), Some(&column));
        assert!(matches!(&sized.terminals.known().unwrap().origin, Origin::Assumed(_)));
    }
}

#[test]
fn the_roof_rule_applies_below_seven_eighths_of_an_inch_and_asks_when_unknown() {
    let factors = |height: Fact<Length>, insulation| {
        let mut roof = segment(Where::OnRoof, emt(), 20.0, 35.0);
        roof.height_above_roof = height;
        segment_factors(&roof, false, &known(insulation), 2)
    };
    let at = |height| units::CELSIUS.of_si(factors(height, Insulation::ThhnThwn2).unwrap().ambient.si());
    assert!((at(inches(0.874)) - 68.0).abs() < 1e-9);
    assert!((at(inches(0.875)) - 35.0).abs() < 1e-9);
    assert!(matches!(factors(unknown("h"), Insulation::ThhnThwn2), Err(NoFactors::Missing(_))));
    assert!(factors(unknown("h"), Insulation::Xhhw2).is_ok(), "XHHW-2 is exempt");
    // Neither a raceway elsewhere nor what lies in the open on a roof is asked for its height.
    for (place, raceway) in [(Where::Outdoors, emt()), (Where::OnRoof, Raceway::Open)] {
        let mut elsewhere = segment(place, raceway, 20.0, 35.0);
        elsewhere.height_above_roof = unknown("h");
        assert!(
            segment_factors(&elsewhere, false, &known(Insulation::PvWire), 2).is_ok(),
            "{}",
            place.in_words()
        );
    }
}

#[test]
fn insulation_that_does_not_suit_the_place_is_a_problem_there() {
    for (place, raceway, insulation, suits) in [
        (Where::Underground, pvc40(), Insulation::Thhn, false),
        (Where::Underground, pvc40(), Insulation::ThhnThwn2, true),
        (Where::InSun, Raceway::Open, Insulation::ThhnThwn2, false),
        (Where::InSun, Raceway::Open, Insulation::PvWire, true),
        (Where::Indoors, emt(), Insulation::Thhn, true),
    ] {
        let mut run = run(vec![segment(place, raceway, 30.0, 30.0)]);
        run.insulation = known(insulation);
        let sized = one(Demand::PvStrings(string(1)), run);
        assert_eq!(sized.problems.is_empty(), suits, "{insulation} {}", place.in_words());
        assert_eq!(sized.gauge().is_known(), suits);
    }
}

#[test]
fn a_nipple_needs_no_adjustment_and_a_longer_raceway_does() {
    for (length_in, adjusted) in [(24.0, false), (24.5, true)] {
        let mut segment = segment(Where::Indoors, emt(), 1.0, 30.0);
        segment.length = inches(length_in);
        let schedule = schedule(vec![ac(20.0, 240.0); 4], run(vec![segment]));
        let factor = schedule.circuits[0].segments[0].value().unwrap().count_factor.si();
        assert_eq!(factor < 1.0, adjusted);
        assert_eq!(schedule.raceways[0].nipple, !adjusted);
    }
    // 20 in of a pipe that goes on behind a corner are no nipple, between a pipe and a wireway of another kind they are.
    let nipple = |next: Raceway| {
        let mut short = segment(Where::Indoors, emt(), 1.0, 30.0);
        short.length = inches(20.0);
        let parts = vec![short, segment(Where::Outdoors, next, 30.0, 30.0)];
        schedule(vec![ac(20.0, 240.0); 4], run(parts)).raceways[0].nipple
    };
    assert!(!nipple(emt()) && nipple(pvc40()));
}

#[test]
fn a_unit_that_would_be_overloaded_alone_is_told() {
    let unit = |n| {
        Demand::BatteryUnit(BatteryUnit {
            charge: amps(50.0),
            discharge: amps(100.0),
            volts: bank(),
            short_circuit: amps(2100.0),
            units_on_the_bus: count(n),
            beside: None,
            bus_current: amps(280.0),
        })
    };
    // By hand: 280 / 2 = 140 A on 100 A; 280 / 3 = 93.3 A.
    for (n, bears) in [(3, false), (4, true)] {
        let Some(Fact::Known(out)) = one_unit_out(&unit(n)) else { panic!("known") };
        assert_eq!(out.value.bears, bears);
    }
    assert!(one_unit_out(&unit(1)).is_none());
    // Its own branch is fed by the n − 1 others; at least by itself.
    let fault =
        |n| one(unit(n), run(vec![segment(Where::Indoors, emt(), 3.0, 30.0)])).protection.available.si();
    assert_eq!(fault(4), Some(6300.0));
    assert_eq!(fault(1), Some(2100.0));
}

#[test]
fn an_unsuitable_device_breaks_its_rules_and_unknown_ones_stay_undecided() {
    let device = |suits, polarised| Device {
        rating: amps(200.0),
        kind: known(DeviceKind::Breaker),
        suits,
        volts: volts(60.0),
        polarised,
        interrupting: amps(10_000.0),
        curve: unknown("run.a.device.curve"),
        field: quantity::FieldPath::new("run.a.device"),
    };
    let check = |device| {
        let mut run = run(vec![segment(Where::Indoors, emt(), 5.0, 30.0)]);
        run.device = Some(device);
        let demand = Demand::BusToInverters(BusToInverters {
            inverters: vec![inverter("a")],
            volts: bank(),
            short_circuit: amps(2100.0),
            units_on_the_bus: count(4),
            beside: None,
        });
        one(demand, run).protection
    };
    assert_eq!(check(device(known(Suits::Dc), known(false))).breaks, []);
    assert_eq!(check(device(known(Suits::Ac), known(false))).breaks, [DeviceRule::RightSupply]);
    assert_eq!(check(device(known(Suits::Dc), known(true))).breaks, [DeviceRule::BothWays]);
    let unsure = check(device(unknown("breaker.suits"), unknown("breaker.polarised")));
    assert_eq!(unsure.breaks, []);
    let rules: Vec<DeviceRule> = unsure.undecided.iter().map(|(rule, _)| *rule).collect();
    assert_eq!(rules, [DeviceRule::RightSupply, DeviceRule::BothWays]);
}

/// By hand: 46 V behind 2100 A is 21.9 mΩ; 5 ft of 3/0 and back is 0.766 mΩ; 46 / 0.02267 = 2029 A.
#[test]
fn the_smallest_fault_is_fed_by_one_unit_through_the_whole_loop() {
    let demand = Demand::BusToInverters(BusToInverters {
        inverters: vec![inverter("a")],
        volts: bank(),
        short_circuit: amps(2100.0),
        units_on_the_bus: count(4),
        beside: None,
    });
    let sized = one(demand, run(vec![segment(Where::Indoors, emt(), 5.0, 30.0)]));
    let fault = sized.smallest_fault.unwrap().si().unwrap();
    assert!((fault - 2029.0).abs() < 1.0, "{fault}");
    assert_eq!(sized.protection.available.si(), Some(8400.0));
}

#[test]
fn array_circuits_keep_to_themselves_and_to_metal_indoors() {
    let mixed = vec![Demand::PvStrings(string(1)), ac(16.0, 240.0)];
    let row = |demands, raceway| {
        let mut schedule = schedule(demands, run(vec![segment(Where::Indoors, raceway, 30.0, 30.0)]));
        schedule.raceways.remove(0)
    };
    assert!(row(mixed.clone(), emt()).mixes_pv);
    let alone = row(vec![Demand::PvStrings(string(1))], pvc40());
    assert!(!alone.mixes_pv);
    assert_eq!(alone.must_be_metal.value(), Some(&true));
    assert!(!alone.raceway.value().unwrap().is_metal());
    assert!(emt().is_metal());
    assert_eq!(row(vec![ac(16.0, 240.0)], pvc40()).must_be_metal.value(), Some(&false));
}

#[test]
fn parallel_conductors_are_found_where_one_is_not_enough() {
    let sized = one(ac(380.0, 240.0), run(vec![segment(Where::Indoors, emt(), 30.0, 30.0)]));
    // By hand: 475 A continuous is over 380 A of 500 kcmil; two in parallel of 4/0 bear 460 A, two 250 kcmil 510 A,
    // and a 500 A device protects 510 A.
    assert_eq!((sized.gauge().value(), sized.sets().value()), (Some(&size("250 kcmil")), Some(&Count(2))));
}

/// 500 A ask for two 250 kcmil (2 · 255 A at 75 °C). A full set lies in each pipe, so that two conductors count there and
/// nothing is taken off: 2 · 290 A.
#[test]
fn parallel_conductors_lie_in_a_pipe_for_each_set() {
    let sized = one(ac(400.0, 240.0), run(vec![segment(Where::Indoors, emt(), 20.0, 30.0)]));
    assert_eq!((sized.gauge().value(), sized.sets().value()), (Some(&size("250 kcmil")), Some(&Count(2))));
    let tests = &sized.conductor.value().unwrap().tests;
    assert!((tests.terminal.offers.si() - 510.0).abs() < 1e-9);
    assert!((tests.segments[0].offers.si() - 580.0).abs() < 1e-9);
    // In the open all four warm each other: 80 %.
    let open = one(ac(400.0, 240.0), run(vec![segment(Where::Indoors, Raceway::Open, 20.0, 30.0)]));
    assert_eq!(open.sets().value(), Some(&Count(2)));
    assert!((open.conductor.value().unwrap().tests.segments[0].offers.si() - 464.0).abs() < 1e-9);
}

#[test]
fn names_say_what_the_owner_calls_things() {
    let sized = one(ac(10.0, 240.0), run(vec![segment(Where::Indoors, emt(), 30.0, 30.0)]));
    let names: Vec<String> = sized.figures().iter().map(|figure| figure.name.to_string()).collect();
    assert!(names.contains(&"circuits/circuit-0/drop".to_string()));
    let _: Arc<str> = sized.name;
}
