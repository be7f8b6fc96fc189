//! Published worked examples. Each names its source; where the source stops short the rest is worked by hand in the
//! comment from the tables of the code. Figures are compared to the digits the source prints.
#![allow(missing_docs, clippy::unwrap_used)]

mod common;
use common::*;
use quantity::{Count, Fact, Gauge, Length, Material, Measure, Traced, units};
use tables::{Insulation, RacewayKind, TerminalColumn, TradeSize};
use wiring::*;

fn near(value: f64, wanted: f64, within: f64) {
    assert!((value - wanted).abs() <= within, "{value} is not {wanted} within {within}");
}

fn case(maximum: f64, continuous: f64, device: f64) -> Case {
    Case {
        maximum,
        continuous,
        device,
        terminals: TerminalColumn::C75,
        insulation: TerminalColumn::C90,
        ambient_c: 30.0,
        together: 2,
        material: Material::Copper,
    }
}

// ── B. Array circuits ──────────────────────────────────────────────────────────────────────────────────

/// Home Power magazine, "PV Circuit Sizing & Current Calculations", page 2: Isc 8.8 A, THWN-2 in EMT, 75 °C
/// terminals: 11 A, 13.75 A, 14 AWG passes before factors, device 15 A.
#[test]
fn source_circuit_of_home_power_takes_125_percent_twice() {
    let mut pv = string(1);
    pv.isc = amps(8.8);
    let currents = Demand::PvStrings(pv).design_currents();
    near(currents.maximum.si().unwrap(), 11.0, 1e-9);
    near(currents.continuous.si().unwrap(), 13.75, 1e-9);
    let fourteen = case(11.0, 13.75, 15.0).tests_of("14 AWG");
    assert!(fourteen.terminal.passes);
    near(amps_of(&fourteen.terminal.offers), 20.0, 0.0);
    near(fourteen.guard.limit.unwrap().si(), 15.0, 0.0);
    assert!(fourteen.guard.passes);
}

/// "Sizing PV source circuit conductors", a table also in the Solar ABCs expedited permit guide: 47 °C, up to nine
/// conductors, 90 °C copper: largest module Isc 18.37 A on 10 AWG, 13.78 A on 12 AWG, 11.48 A on 14 AWG.
#[test]
fn largest_module_currents_of_the_permit_guide_are_met() {
    for (text, isc, corrected) in
        [("10 AWG", 18.37, 22.96), ("12 AWG", 13.78, 17.22), ("14 AWG", 11.48, 14.35)]
    {
        let mut case = case(1.0, 1.0, 15.0);
        (case.ambient_c, case.together) = (47.0, 9);
        let offers = amps_of(&case.tests_of(text).segments[0].offers);
        near(offers, corrected, 0.005);
        // Two printed decimals.
        near(offers / 1.25, isc, 0.005);
    }
}

/// Forum thread citing the Wiles manual: module Isc 1.22 A, series fuse 7 A, strings behind one device: two may share
/// one (5.34 A), three may not (8.77 A).
#[test]
fn two_small_strings_may_share_a_device_and_three_may_not() {
    for (n, wanted, may) in [(2.0, 5.34, true), (3.0, 8.77, false)] {
        let carries = behind_shared_device(1.25 * pv_maximum(n, 1.22), n, 1.22);
        // The source rounds its parts to two decimals.
        near(carries, wanted, 0.01);
        assert_eq!(carries <= 7.0, may);
    }
}

/// From NEC 690.9(A) as summarised in IAEI Magazine, February 2018: Isc 10.25 A, series fuse 20 A, no back-feed: two
/// strings need no fuses (12.8 A); three do (25.6 A), of 20 A.
#[test]
fn two_strings_need_no_fuses_and_three_do() {
    for (n, flow, needed) in [(2, 12.8125, false), (3, 25.625, true)] {
        let mut pv = string(n);
        (pv.isc, pv.series_fuse) = (amps(10.25), amps(20.0));
        let schedule =
            schedule(vec![Demand::PvStrings(pv)], run(vec![segment(Where::Outdoors, emt(), 50.0, 30.0)]));
        let protection = &schedule.circuits[0].protection;
        near(protection.back_flow.as_ref().unwrap().si().unwrap(), flow, 1e-9);
        assert_eq!(protection.needed.value(), Some(&needed));
        near(protection.least.si().unwrap(), 16.0156, 0.0001);
        near(protection.rating.si().unwrap(), 20.0, 0.0);
        assert!(!protection.none_fits);
    }
}

/// As above, but nobody has said what the input can push back: that counts as possible.
#[test]
fn an_unknown_back_feed_leaves_the_need_of_fuses_undecided() {
    let mut pv = string(2);
    pv.back_feed = unknown("inverter.x.back_feed");
    let of = |pv: PvStrings| {
        let run = run(vec![segment(Where::Outdoors, emt(), 50.0, 30.0)]);
        schedule(vec![Demand::PvStrings(pv)], run).circuits.remove(0)
    };
    let sized = of(pv);
    assert_eq!(sized.protection.needed.gap().unwrap().missing[0].field.as_str(), "inverter.x.back_feed");
    assert!(sized.protection.both_ways);
    assert!(sized.conductor.is_known(), "the conductor is sized for the device it may need");
    // Both strings behind one circuit: no other string pushes back, and the input may.
    let mut joined = string(2);
    (joined.in_parallel, joined.back_feed) = (count(2), unknown("inverter.x.back_feed"));
    assert!(!of(joined).protection.needed.is_known());
}

/// 1.5625 · 13.9 A = 21.7 A ask for a fuse of 25 A; modules that allow 20 A leave none that fits.
#[test]
fn where_no_string_fuse_fits_none_is_named() {
    let rating = |series_fuse: f64| {
        let mut pv = string(3);
        pv.series_fuse = amps(series_fuse);
        let sized =
            schedule(vec![Demand::PvStrings(pv)], run(vec![segment(Where::Outdoors, emt(), 50.0, 30.0)]));
        sized.circuits[0].protection.rating.si()
    };
    assert_eq!(rating(25.0), Some(25.0));
    assert_eq!(rating(20.0), None);
}

// ── C. Battery and inverter ────────────────────────────────────────────────────────────────────────────

/// "Wire sizing between inverter & battery", text after Wiles, Sandia SAND2001-0674: 2500 W, 85 %, 22 V: 134 A and
/// 167 A. By two separate tests 4/0 in 60 °C insulation at 43 °C; the source's 300 kcmil stacks both.
#[test]
fn the_tests_are_not_stacked() {
    let i = inverter_input_current(2500.0, 22.0, 0.85);
    near(i, 133.7, 0.05);
    near(continuous_current(i), 167.1, 0.05);
    let mut case = case(i, continuous_current(i), 175.0);
    (case.terminals, case.insulation, case.ambient_c) = (TerminalColumn::C60, TerminalColumn::C60, 43.0);
    let three = case.tests_of("3/0 AWG");
    assert!(!three.terminal.passes && !three.segments[0].passes);
    let four = case.tests_of("4/0 AWG");
    assert!(four.terminal.passes && four.segments[0].passes);
    near(amps_of(&four.segments[0].offers), 195.0 * 0.71, 1e-9);
    // A 175 A fuse does not protect 138.4 A of corrected ampacity, so the third test asks for 250 kcmil (152.7 A,
    // next standard size 175 A).
    assert!(!four.guard.passes);
    assert_eq!(find(&case.basis()).unwrap().gauge.value, Gauge::Kcmil(250));
}

/// Question of a published installer sample set: 2500 W at 22 V and 88 %: 129 A. And 2100 W at 10.5 V and 85 %:
/// 235 A, circuit 294 A.
#[test]
fn inverter_input_current_is_taken_at_the_lowest_voltage() {
    near(inverter_input_current(2500.0, 22.0, 0.88), 129.1, 0.05);
    near(inverter_input_current(2100.0, 10.5, 0.85), 235.0, 0.5);
    near(continuous_current(inverter_input_current(2100.0, 10.5, 0.85)), 294.0, 0.5);
}

/// Installer sample set: a 2500 W inverter at 120 V with a 1500 W load needs 26.0 A; 1500 W at 120 V a 20 A breaker.
#[test]
fn the_inverters_rating_and_not_its_load_sizes_the_output() {
    for (w, continuous, breaker) in [(2500.0, 26.04, 30.0), (1500.0, 15.625, 20.0)] {
        let demand = Demand::InverterOutput(InverterOutput {
            output: watts(w),
            volts: volts(120.0),
            passes_through: amps(0.0),
            fault: unknown("fault").into(),
        });
        let schedule = schedule(vec![demand], run(vec![segment(Where::Indoors, emt(), 10.0, 30.0)]));
        let sized = &schedule.circuits[0];
        near(sized.currents.continuous.si().unwrap(), continuous, 0.005);
        near(sized.protection.rating.si().unwrap(), breaker, 0.0);
    }
}

/// By hand: 5000 W, 92 %, 44 V, 75 °C lugs, 30 °C: 123.5 A, 154.4 A, fuse 175 A, 2/0 copper.
#[test]
fn battery_cable_of_a_48_v_inverter_is_two_aught_behind_175_a() {
    let mut inverter = inverter("a");
    (inverter.output, inverter.charge) = (watts(5000.0), amps(60.0));
    let mut volts_of = bank();
    volts_of.lowest = volts(44.0);
    let demand = Demand::BusToInverters(BusToInverters {
        inverters: vec![inverter],
        volts: volts_of,
        short_circuit: unknown("battery.short_circuit"),
        units_on_the_bus: count(4),
        beside: None,
    });
    let schedule = schedule(vec![demand], run(vec![segment(Where::Indoors, emt(), 5.0, 30.0)]));
    let sized = &schedule.circuits[0];
    near(sized.currents.maximum.si().unwrap(), 123.5, 0.05);
    near(sized.currents.continuous.si().unwrap(), 154.4, 0.05);
    near(sized.protection.rating.si().unwrap(), 175.0, 0.0);
    assert_eq!(sized.gauge().value(), Some(&size("2/0 AWG")));
    assert_eq!(sized.protection.available.gap().unwrap().missing[0].field.as_str(), "battery.short_circuit");
}

// ── D. Drop ────────────────────────────────────────────────────────────────────────────────────────────

fn table_8(text: &str) -> f64 {
    units::OHM_PER_KILOFOOT
        .of_si(tables::dc_resistance(size(text), Material::Copper, true, false).unwrap().si())
}

/// Lecture page "electrician, voltage drop": two wires, 100 ft, 16 AWG stranded, 4 A: 4.0 V, 16.7 % of 24 V.
#[test]
fn control_run_of_the_lecture_drops_four_volts() {
    let v = loop_drop(100.0, table_8("16 AWG"), 4.0, 1.0);
    near(v, 4.0, 0.01);
    near(drop_share(v, 24.0), 0.167, 0.001);
}

/// Texas DOT Highway Illumination Manual: 200 ft, 8 AWG with 0.654 ohm per 1000 ft each way, 1.04 A: 0.272 V, 0.057 %
/// of 480 V. Its resistance belongs to a cooler conductor than table 8: 20 to 30 °C.
#[test]
fn lighting_run_of_the_highway_manual_uses_a_cooler_conductor() {
    near(loop_drop(200.0, 0.654, 1.04, 1.0), 0.272, 0.0005);
    near(drop_share(0.272, 480.0), 0.000_57, 0.000_005);
    let a = change_per_kelvin(Material::Copper).si();
    let (cold, warm) = (resistance_at(table_8("8 AWG"), a, 20.0), resistance_at(table_8("8 AWG"), a, 30.0));
    assert!((cold..warm).contains(&0.654), "{cold} to {warm}");
}

/// Published 12 V chart for 2 %: 10 AWG, 10 A, 11.5 ft one way. That needs copper at about 25 °C; with table 8 at
/// 75 °C the length is 9.7 ft, at 20 °C 11.8 ft.
#[test]
fn the_2_percent_chart_hides_its_conductor_temperature() {
    let reach = |r: f64| 0.24 / (2.0 * 10.0 * r) * 1000.0;
    near(reach(table_8("10 AWG")), 9.7, 0.05);
    let a = change_per_kelvin(Material::Copper).si();
    // The chart steps in half feet; the constant of the note, 0.00323, gives 11.8.
    near(reach(resistance_at(table_8("10 AWG"), a, 20.0)), 11.8, 0.05);
    near(reach(resistance_at(table_8("10 AWG"), a, 25.0)), 11.5, 0.1);
}

/// Course pages: V = 2 K I d / cmil with K = 12.9 for copper: 24 A, 150 ft, 10 AWG: 8.95 V; table 8 gives 8.93 V
/// (3.72 % of 240 V), 8 AWG 5.60 V (2.33 %) meets 3 %.
#[test]
fn the_k_formula_and_table_8_agree() {
    let by_table = loop_drop(150.0, table_8("10 AWG"), 24.0, 1.0);
    let cmil = units::CIRCULAR_MIL.of_si(tables::circular_mils(size("10 AWG")).unwrap().si());
    near(2.0 * 12.9 * 24.0 * 150.0 / cmil, 8.95, 0.005);
    near(by_table, 8.93, 0.005);
    let mut the_run = run(vec![segment(Where::Indoors, emt(), 150.0, 30.0)]);
    the_run.drop_target = share(0.03);
    let sized = &schedule(vec![ac(24.0, 240.0)], the_run).circuits[0];
    assert_eq!(sized.gauge().value(), Some(&size("8 AWG")));
    near(sized.drop.si().unwrap(), 5.60, 0.005);
    near(sized.drop_share.si().unwrap(), 0.0233, 0.000_05);
}

// ── E. Fill ────────────────────────────────────────────────────────────────────────────────────────────

fn contents(insulation: Insulation, list: &[(u32, &str)]) -> Vec<Content> {
    list.iter()
        .map(|(n, text)| Content {
            what: (*text).into(),
            insulation,
            gauge: stated(size(text)),
            count: stated(Count(*n)),
        })
        .collect()
}

fn fills(kind: RacewayKind, contents: &[Content], nipple: bool, area: f64, trade: &str) {
    let fill = smallest_raceway(kind, contents, nipple).unwrap();
    // Four printed decimals.
    near(units::SQUARE_INCH.of_si(fill.area.si()), area, 0.000_05);
    assert_eq!(fill.trade.value, TradeSize::read(trade).unwrap());
}

/// EC&M "Code Calculations", example 1: three 500 kcmil, one 250 kcmil, one 3 AWG THHN in schedule 40 PVC: 3 in.
/// Example 2: three 3/0, one 1 AWG, one 6 AWG in a rigid nipple: 1-1/2 in.
#[test]
fn raceways_of_ecm_are_found() {
    let thhn = Insulation::ThhnThwn2;
    let first = contents(thhn, &[(3, "500 kcmil"), (1, "250 kcmil"), (1, "3 AWG")]);
    fills(RacewayKind::Pvc40, &first, false, 2.6162, "3");
    let second = contents(thhn, &[(3, "3/0 AWG"), (1, "1 AWG"), (1, "6 AWG")]);
    fills(RacewayKind::Rmc, &second, true, 1.0106, "1-1/2");
}

/// Steel Tube Institute, "NEC Conduit and EMT Fill Tables": three 12, four 10, eight 8 AWG THWN in EMT: 1-1/4 in.
#[test]
fn three_sizes_in_emt_take_one_and_a_quarter() {
    let all = contents(Insulation::Thwn, &[(3, "12 AWG"), (4, "10 AWG"), (8, "8 AWG")]);
    fills(RacewayKind::Emt, &all, false, 0.4171, "1-1/4");
}

/// Installer exam notes: four 6 AWG and one 8 AWG XHHW, four 10 AWG THHN in FMC: 1-1/4 in.
#[test]
fn xhhw_and_thhn_together_in_flexible_metal_conduit() {
    let mut all = contents(Insulation::Xhhw2, &[(4, "6 AWG"), (1, "8 AWG")]);
    all.extend(contents(Insulation::ThhnThwn2, &[(4, "10 AWG")]));
    fills(RacewayKind::Fmc, &all, false, 0.3641, "1-1/4");
}

/// Year-4 study question: boxes 5 in apart, 34 of 8, 20 of 12, 9 of 6 and one 10 AWG THHN in EMT: 2 in.
#[test]
fn a_crowded_nipple_takes_two_inches() {
    let list = [(34, "8 AWG"), (20, "12 AWG"), (9, "6 AWG"), (1, "10 AWG")];
    fills(RacewayKind::Emt, &contents(Insulation::ThhnThwn2, &list), true, 1.9878, "2");
}

/// Trade forum "Conduit Fill": three 600 kcmil THWN in 3 in schedule 80, 2.97 rounds to 3 by note 7, though the sum
/// 2.603 in² is over 2.577 in².
#[test]
fn like_conductors_round_up_from_point_eight() {
    let all = contents(Insulation::Thwn, &[(3, "600 kcmil")]);
    let fill = smallest_raceway(RacewayKind::Pvc80, &all, false).unwrap();
    assert_eq!(fill.trade.value, TradeSize::read("3").unwrap());
    assert!(fill.rounded.is_some() && fill.share.si() > fill.limit.si());
}

/// NEC 2008 table 352.44: 10 ft over 100 °F 0.406 in, 100 ft 4.06 in; at 25 °F a run of 24.7 ft reaches 1/4 in.
#[test]
fn plastic_pipe_lengthens_as_the_table_prints() {
    let change = |ft: f64, f: f64| {
        let length: Traced<Length> = of(ft, &units::FOOT_UNIT);
        expansion(&length, &of(f, &units::FAHRENHEIT_DEGREE), false)
    };
    let inches = |e: &Expansion| units::INCH_UNIT.of_si(e.change.si());
    near(inches(&change(10.0, 100.0)), 0.406, 0.0005);
    near(inches(&change(100.0, 100.0)), 4.06, 0.005);
    assert!(change(10.0, 100.0).fitting);
    assert!(!change(24.6, 25.0).fitting);
    assert!(change(24.7, 25.0).fitting);
}

// ── F. Ampacity, terminals, rounding ───────────────────────────────────────────────────────────────────

/// Training course "Conductor Selection": 95 A continuous, breaker with 75 °C terminals, load end 60 °C:
/// 119 A, device 125 A; breaker end 1 AWG, conductor alone 3 AWG, load end 2 AWG; 1 AWG governs.
#[test]
fn the_largest_of_three_sizes_governs() {
    near(continuous_current(95.0), 118.75, 1e-9);
    let breaker_end = case(95.0, 118.75, 125.0);
    assert!(!breaker_end.tests_of("2 AWG").terminal.passes);
    assert!(breaker_end.tests_of("1 AWG").terminal.passes);
    // The conductor alone, in 75 °C insulation: 95 A.
    let mut alone = case(95.0, 95.0, 100.0);
    alone.insulation = TerminalColumn::C75;
    assert!(!alone.tests_of("4 AWG").segments[0].passes);
    assert!(alone.tests_of("3 AWG").segments[0].passes);
    let mut load_end = case(95.0, 95.0, 125.0);
    load_end.terminals = TerminalColumn::C60;
    assert!(!load_end.tests_of("3 AWG").terminal.passes);
    assert!(load_end.tests_of("2 AWG").terminal.passes);
    assert_eq!(find(&breaker_end.basis()).unwrap().gauge.value, size("1 AWG"));
}

/// Master specification extract: 3/0 copper, four to six conductors: 180 A in 90 °C insulation, 160 A in 75 °C; the
/// terminals bear 200 A.
#[test]
fn adjustment_starts_from_the_insulation_column() {
    for (insulation, wanted) in [(TerminalColumn::C90, 180.0), (TerminalColumn::C75, 160.0)] {
        let mut case = case(150.0, 150.0, 150.0);
        (case.insulation, case.together) = (insulation, 5);
        let tests = case.tests_of("3/0 AWG");
        near(amps_of(&tests.segments[0].offers), wanted, 1e-9);
        near(amps_of(&tests.terminal.offers), 200.0, 0.0);
        near(amps_of(&tests.guard.protected), wanted, 1e-9);
    }
}

/// Trade press and copies of NEC table 310.12: 100 A service 4 AWG copper or 2 AWG aluminum; 200 A 2/0 or 4/0. A 200 A
/// feeder that carries part of the load takes 3/0 copper.
#[test]
fn a_dwelling_service_takes_83_percent_and_a_part_of_it_does_not() {
    let supply = |main: f64, whole: bool| {
        Demand::UtilitySupply(UtilitySupply {
            main: amps(main),
            volts: volts(240.0),
            whole_dwelling: known(whole),
            fault: unknown("utility.fault").into(),
        })
    };
    let sized = |main: f64, whole: bool, material: Material| {
        let mut run = run(vec![segment(Where::Indoors, emt(), 20.0, 30.0)]);
        run.material = known(material);
        *schedule(vec![supply(main, whole)], run).circuits[0].gauge().value().unwrap()
    };
    assert_eq!(sized(100.0, true, Material::Copper), size("4 AWG"));
    assert_eq!(sized(100.0, true, Material::Aluminum), size("2 AWG"));
    assert_eq!(sized(200.0, true, Material::Copper), size("2/0 AWG"));
    assert_eq!(sized(200.0, true, Material::Aluminum), size("4/0 AWG"));
    assert_eq!(sized(200.0, false, Material::Copper), size("3/0 AWG"));
}

/// NEC 240.4(B): 52 A of continuous load ask for 65 A, which 6 AWG bears at 75 °C; the next standard device, 70 A, may
/// protect it, but not on a branch with several receptacles, nor where nobody said: then 4 AWG (85 A).
#[test]
fn the_next_size_up_is_not_for_branches_with_receptacles() {
    let with = |receptacles: Fact<bool>| {
        let mut demand = ac(52.0, 240.0);
        if let Demand::Ac(load) = &mut demand {
            load.receptacles = receptacles;
        }
        let sized = schedule(vec![demand], run(vec![segment(Where::Indoors, emt(), 20.0, 30.0)]));
        assert_eq!(sized.circuits[0].protection.rating.si(), Some(70.0));
        *sized.circuits[0].gauge().value().unwrap()
    };
    assert_eq!(with(known(false)), size("6 AWG"));
    assert_eq!(with(known(true)), size("4 AWG"));
    assert_eq!(with(unknown("load.receptacles")), size("4 AWG"));
}

/// The main device of a service is the one that is there, also where its rating is none of 240.6(A): an adjustable
/// breaker set to 182 A is not replaced by one of 200 A.
#[test]
fn the_main_device_is_the_one_that_is_there() {
    let demand = Demand::UtilitySupply(UtilitySupply {
        main: amps(182.0),
        volts: volts(240.0),
        whole_dwelling: known(false),
        fault: unknown("utility.fault").into(),
    });
    let sized = schedule(vec![demand], run(vec![segment(Where::Indoors, emt(), 20.0, 30.0)]));
    assert_eq!(sized.circuits[0].protection.rating.si(), Some(182.0));
}

// ── G. Equipment grounds ───────────────────────────────────────────────────────────────────────────────

fn ground(device: f64, sufficient: &str, installed: &str, is_pv: bool) -> Gauge {
    let device = of(device, &units::AMPERE);
    let (installed, sets) = (stated(size(installed)), stated(Count(1)));
    let basis = GroundBasis {
        device: &device,
        material: Material::Copper,
        installed: &installed,
        sets: &sets,
        sufficient: Size { gauge: size(sufficient), sets: 1 },
        is_pv,
    };
    equipment_ground(&basis).unwrap().value
}

/// "Code Talk" episode 32: 300 A, 250 raised to 350 kcmil: 2 AWG. Code questions of the trade press: 20 A, 12 raised to 6 AWG:
/// 6 AWG. Trade forum: 40 A, 8 raised to 6 AWG: 8 AWG. Association note 287: 200 A, 3/0 raised to 500 kcmil: 1 AWG.
#[test]
fn equipment_grounds_grow_in_proportion() {
    assert_eq!(ground(300.0, "250 kcmil", "350 kcmil", false), size("2 AWG"));
    assert_eq!(ground(20.0, "12 AWG", "6 AWG", false), size("6 AWG"));
    assert_eq!(ground(40.0, "8 AWG", "6 AWG", false), size("8 AWG"));
    assert_eq!(ground(200.0, "3/0 AWG", "500 kcmil", false), size("1 AWG"));
    near(proportional_ground(41_740.0, 350.0, 250.0), 58_436.0, 0.5);
    near(proportional_ground(26_240.0, 500.0, 167.8), 78_188.0, 0.5);
}

/// Two 3/0 raised to two 4/0 on 400 A: 3 AWG grows by 423,200 / 335,600 to 66,354 cmil, 2 AWG (66,360).
#[test]
fn parallel_sets_grow_their_ground_by_all_their_metal() {
    let (device, installed, sets) = (of(400.0, &units::AMPERE), stated(size("4/0 AWG")), stated(Count(2)));
    let basis = GroundBasis {
        device: &device,
        material: Material::Copper,
        installed: &installed,
        sets: &sets,
        sufficient: Size { gauge: size("3/0 AWG"), sets: 2 },
        is_pv: false,
    };
    assert_eq!(equipment_ground(&basis).unwrap().value, size("2 AWG"));
    // Two 4/0 where two 4/0 are needed are not increased: the table stands.
    let table = GroundBasis { sufficient: Size { gauge: size("4/0 AWG"), sets: 2 }, ..basis };
    let found = equipment_ground(&table).unwrap();
    assert_eq!(found.value, size("3 AWG"));
    let quantity::Origin::Found(choice) = &found.origin else { panic!("{:?}", found.origin) };
    assert_eq!(choice.clause.clause, "250.122(A)");
}

/// NEC 690.45, from memory: an array circuit increased for drop keeps the equipment ground of the table.
#[test]
fn an_array_circuit_increased_for_drop_keeps_its_ground() {
    assert_eq!(ground(20.0, "12 AWG", "6 AWG", true), size("12 AWG"));
}

/// NEC table 250.66: a 4/0 copper service takes 2 AWG copper; to rods alone 6 AWG is enough, to a concrete-encased
/// electrode 4 AWG. Two 3/0 in parallel count as 335,600 cmil, between 3/0 and 350 kcmil: 2 AWG.
#[test]
fn electrode_conductors_follow_the_service() {
    let copper = Material::Copper;
    let of_service = |text, sets, only_to| {
        electrode_ground(&stated(size(text)), sets, copper, copper, only_to).unwrap().value
    };
    assert_eq!(of_service("4/0 AWG", 1, None), size("2 AWG"));
    assert_eq!(of_service("4/0 AWG", 1, Some(tables::Electrode::RodPipePlate)), size("6 AWG"));
    assert_eq!(of_service("4/0 AWG", 1, Some(tables::Electrode::ConcreteEncased)), size("4 AWG"));
    assert_eq!(of_service("3/0 AWG", 2, None), size("2 AWG"));
}

// ── Traps: published and wrong ─────────────────────────────────────────────────────────────────────────

/// A contractors' forum shows 8 AWG as base for 125 A and accepts 4 AWG after 2 AWG is raised to 1/0. Table 250.122
/// asks for 6 AWG above 100 A, and 41,756 cmil is a hair above 4 AWG.
#[test]
fn trap_a_ground_a_hair_too_small_is_not_accepted() {
    assert_eq!(ground(125.0, "2 AWG", "2 AWG", false), size("6 AWG"));
    assert_eq!(ground(125.0, "2 AWG", "1/0 AWG", false), size("3 AWG"));
}

/// A code forum takes 4 AWG THHN as 0.1293 in² and finds 5 and 4 conductors in 1-1/2 in; the tables give 9 and 8.
#[test]
fn trap_wrong_areas_lose_half_the_conductors() {
    for (kind, fits) in [(RacewayKind::Pvc40, 9), (RacewayKind::Pvc80, 8)] {
        let within = |n| {
            let all = contents(Insulation::ThhnThwn2, &[(n, "4 AWG")]);
            smallest_raceway(kind, &all, false).unwrap().trade.value <= TradeSize::read("1-1/2").unwrap()
        };
        assert!(within(fits));
        assert!(!within(fits + 1));
    }
}

/// A web chart gives 4/0 copper or 300 kcmil aluminum for 300 A; the table asks for 350 kcmil copper at 75 °C and 250
/// only for 255 A. Its own text swaps 3 and 4 AWG at 100 A: 3 AWG bears 100 A, 4 AWG 85 A.
#[test]
fn trap_an_undersized_feeder_fails_at_its_terminals() {
    let case = case(300.0, 300.0, 300.0);
    assert!(!case.tests_of("4/0 AWG").terminal.passes);
    assert!(!case.tests_of("250 kcmil").terminal.passes);
    assert!(case.tests_of("350 kcmil").terminal.passes);
    let hundred = self::case(100.0, 100.0, 100.0);
    assert!(!hundred.tests_of("4 AWG").terminal.passes);
    assert!(hundred.tests_of("3 AWG").terminal.passes);
}

/// A web page sizes a 12 V inverter's fuse from the output side, 2000 / 120 · 1.25 = 20 A; at 10.5 V and 85 % it is
/// 280 A.
#[test]
fn trap_a_fuse_from_the_output_side_is_far_too_small() {
    let mut inverter = inverter("a");
    (inverter.output, inverter.efficiency, inverter.charge) = (watts(2000.0), share(0.85), amps(0.0));
    let demand = Demand::BusToInverters(BusToInverters {
        inverters: vec![inverter],
        volts: BatteryVolts { lowest: volts(10.5), nominal: volts(12.0), highest: volts(14.4) },
        short_circuit: amps(3000.0),
        units_on_the_bus: count(1),
        beside: None,
    });
    let mut the_run = run(vec![segment(Where::Indoors, emt(), 4.0, 30.0)]);
    the_run.device = Some(Device {
        rating: amps(20.0),
        kind: known(DeviceKind::Fuse),
        suits: known(Suits::Dc),
        volts: volts(32.0),
        polarised: known(false),
        interrupting: amps(2000.0),
        curve: unknown("run.a.device.curve"),
        field: quantity::FieldPath::new("run.a.device"),
    });
    let schedule = schedule(vec![demand], the_run);
    let protection = &schedule.circuits[0].protection;
    near(protection.least.si().unwrap(), 280.1, 0.05);
    assert_eq!(protection.breaks, [DeviceRule::NotBelowContinuous, DeviceRule::Interrupting]);
    assert!(matches!(protection.rating, Fact::Known(_)), "the owner's rating stands in the schedule");
}
