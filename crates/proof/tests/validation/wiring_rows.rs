//! Worked examples of wiring, and stories worked by hand from the tables of the code.

use quantity::{Count, Gauge, Material, Measure, Traced, units};
use tables::{Insulation, RacewayKind, TerminalColumn, TradeSize};
use wiring::*;

use crate::record::{Digits, Section, Standing};

// The short ways to state facts that the tests of wiring use.
#[path = "../../../wiring/tests/common/mod.rs"]
mod common;
use common::*;

pub(crate) fn sections() -> Vec<Section> {
    vec![array_circuits(), battery_circuits(), drop(), fill(), ampacity(), grounds(), traps(), stories()]
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

fn figure<T: Measure>(fact: &quantity::Fact<T>) -> f64 {
    fact.si().expect("every fact of the example is stated")
}

fn indoors(length_ft: f64) -> Run {
    run(vec![segment(Where::Indoors, emt(), length_ft, 30.0)])
}

fn array_circuits() -> Section {
    let mut section = Section::new(
        "Wiring: array circuits",
        "NEC 2023, 690.8 and 690.9. Worked examples are named by the kind of text they were published in.",
    );
    let mut pv = string(1);
    pv.isc = amps(8.8);
    let currents = Demand::PvStrings(pv).design_currents();
    let fourteen = case(11.0, 13.75, 15.0).tests_of("14 AWG");
    section.example(
        "Source circuit of a module of 8.8 A",
        "Home Power magazine, PV Circuit Sizing & Current Calculations, page 2: 690.8(A), 690.8(B); 14 AWG before factors, device 15 A",
        &Digits::new()
            .is(figure(&currents.maximum), "11")
            .is(figure(&currents.continuous), "13.75")
            .says("14 AWG", fourteen.terminal.passes)
            .says("15 A", fourteen.guard.passes),
        Standing::Read,
    );
    let mut figures = Digits::new();
    for (text, isc, corrected) in
        [("10 AWG", "18.37", "22.96"), ("12 AWG", "13.78", "17.22"), ("14 AWG", "11.48", "14.35")]
    {
        let mut hot = case(1.0, 1.0, 15.0);
        (hot.ambient_c, hot.together) = (47.0, 9);
        let offers = amps_of(&hot.tests_of(text).segments[0].offers);
        figures = figures.is(offers, corrected).is(offers / 1.25, isc);
    }
    section.example(
        "Largest module current at 47 °C with nine conductors",
        "Solar ABCs, expedited permit process, table of source circuit conductors: 310.15(B)(1), 310.15(C)(1)",
        &figures,
        Standing::Read,
    );
    let behind = |n: f64| behind_shared_device(1.25 * pv_maximum(n, 1.22), n, 1.22);
    section.example(
        "Strings of 1.22 A behind one device, series fuse 7 A",
        "installers' discussion after a published manual: 690.9(A); two may share, three may not",
        &Digits::within(2.0, "the source rounds its parts to two decimals")
            .is(behind(2.0), "5.34")
            .is(behind(3.0), "8.75")
            .says("two", behind(2.0) <= 7.0)
            .says("three", behind(3.0) > 7.0),
        Standing::Read,
    );
    let fused = |n| {
        let mut pv = string(n);
        (pv.isc, pv.series_fuse) = (amps(10.25), amps(20.0));
        schedule(vec![Demand::PvStrings(pv)], run(vec![segment(Where::Outdoors, emt(), 50.0, 30.0)]))
    };
    let (two, three) = (fused(2), fused(3));
    let [two, three] = [&two, &three].map(|schedule| &schedule.circuits[0].protection);
    section.example(
        "Whether two or three strings of 10.25 A need fuses",
        "690.9(A) as summarised in IAEI Magazine, February 2018, worked by hand",
        &Digits::new()
            .is(figure(two.back_flow.as_ref().expect("strings")), "12.8")
            .is(figure(three.back_flow.as_ref().expect("strings")), "25.6")
            .is(figure(&three.least), "16.0")
            .is(figure(&three.rating), "20")
            .says("two need none", two.needed.value() == Some(&false))
            .says("three need them", three.needed.value() == Some(&true)),
        Standing::SecondHand,
    );
    let factor = |celsius: f64| tables::ambient_factor(celsius, TerminalColumn::C90).expect("a row").si();
    let bundle = |count: u32| tables::bundling_factor(count).expect("a row").si();
    let device = |amps: f64| {
        tables::next_standard_rating(amps, tables::Protection::Breaker).expect("a standard rating").si()
    };
    let column = |text: &str, column| {
        tables::ampacity(size(text), Material::Copper, column).expect("a listed size").si()
    };
    let roof = continuous_current(9.9);
    section.example(
        "Rooftop circuit of 9.9 A at 40.9 °C among six, with the adder of old editions and without",
        "permit record under the 2013 California code: 15 A, 12 AWG; its factor 0.58 is of 2008, the row of 61–65 °C is 0.65 \
         since 2011; 2017 to 2023 add nothing at 1 in (worked by hand)",
        &Digits::new()
            .is(roof, "12.375")
            .is(device(roof), "15")
            .is(roof / factor(40.9 + 22.0) / bundle(6), "23.8")
            .is(roof / factor(40.9) / bundle(6), "17.8")
            .says("12 AWG bears the old figure", column("12 AWG", TerminalColumn::C90) >= 26.7),
        Standing::Read,
    );
    section.example(
        "Sixteen small inverters of 1 A on a branch of eight conductors at 51 to 55 °C, fifty in all",
        "permit record of a town: 20 A and 70 A, 10 and 6 AWG; its 0.77 is of another table, 0.76 gives 21.28 A by hand",
        &Digits::new()
            .is(device(continuous_current(16.0)), "20")
            .is(column("10 AWG", TerminalColumn::C90) * bundle(8), "28")
            .is(column("10 AWG", TerminalColumn::C90) * bundle(8) * factor(53.0), "21.28")
            .is(continuous_current(50.0), "62.5")
            .is(device(continuous_current(50.0)), "70")
            .is(column("6 AWG", TerminalColumn::C75), "65"),
        Standing::Read,
    );
    section
}

fn battery_circuits() -> Section {
    let mut section = Section::new(
        "Wiring: between battery and house",
        "NEC 2023, 706.30 and the conductor tests of 110.14(C), 310.15 and 240.4, each on its own.",
    );
    let current = inverter_input_current(2500.0, 22.0, 0.85);
    let mut hot = case(current, continuous_current(current), 175.0);
    (hot.terminals, hot.insulation, hot.ambient_c) = (TerminalColumn::C60, TerminalColumn::C60, 43.0);
    let four = hot.tests_of("4/0 AWG");
    section.example(
        "2500 W at 22 V and 85 %, 60 °C conductors at 43 °C",
        "installers' syllabus after Wiles, Sandia SAND2001-0674; it stacks both tests to 300 kcmil, by separate tests 4/0 bears it",
        &Digits::new()
            .is(current, "134")
            .is(continuous_current(current), "167")
            .says("3/0 fails", !hot.tests_of("3/0 AWG").terminal.passes)
            .says("4/0 bears it", four.terminal.passes && four.segments[0].passes)
            .says("a 175 A fuse asks for 250 kcmil", find(&hot.basis()).is_ok_and(|f| f.gauge.value == Gauge::Kcmil(250))),
        Standing::Read,
    );
    let small = inverter_input_current(2100.0, 10.5, 0.85);
    section.example(
        "2500 W at 22 V and 88 %; 2100 W at 10.5 V and 85 %",
        "question of an installers' examination; installers' discussion",
        &Digits::within(0.6, "the second source cuts digits off")
            .is(inverter_input_current(2500.0, 22.0, 0.88), "129")
            .is(small, "235")
            .is(continuous_current(small), "294"),
        Standing::Read,
    );
    let output = |w: f64| {
        let demand = Demand::InverterOutput(InverterOutput {
            output: watts(w),
            volts: volts(120.0),
            passes_through: amps(0.0),
            fault: unknown("fault").into(),
        });
        schedule(vec![demand], indoors(10.0))
    };
    let (large, little) = (output(2500.0), output(1500.0));
    section.example(
        "Inverter output, 2500 W and 1500 W at 120 V",
        "questions of an installers' examination: 26 A; a 20 A breaker",
        &Digits::new()
            .is(figure(&large.circuits[0].currents.continuous), "26.0")
            .is(figure(&little.circuits[0].currents.continuous), "15.6")
            .is(figure(&little.circuits[0].protection.rating), "20"),
        Standing::Read,
    );
    let mut unit = inverter("a");
    (unit.output, unit.charge) = (watts(5000.0), amps(60.0));
    let mut low = bank();
    low.lowest = volts(44.0);
    let demand = Demand::BusToInverters(BusToInverters {
        inverters: vec![unit],
        volts: low,
        short_circuit: unknown("battery.short_circuit"),
        units_on_the_bus: count(4),
        beside: None,
    });
    let schedule = schedule(vec![demand], indoors(5.0));
    let sized = &schedule.circuits[0];
    section.example(
        "5000 W inverter on a 48 V bank that may fall to 44 V",
        "worked by hand from tables 310.16 and 240.6(A): 175 A, 2/0 copper",
        &Digits::new()
            .is(figure(&sized.currents.maximum), "123.5")
            .is(figure(&sized.currents.continuous), "154.4")
            .is(figure(&sized.protection.rating), "175")
            .says("2/0", sized.gauge().value() == Some(&size("2/0 AWG"))),
        Standing::Derived,
    );
    section
}

fn table_8(text: &str) -> f64 {
    let found = tables::dc_resistance(size(text), Material::Copper, true, false).expect("a listed size");
    units::OHM_PER_KILOFOOT.of_si(found.si())
}

fn drop() -> Section {
    let mut section = Section::new(
        "Wiring: voltage drop",
        "Two conductors, resistance of NEC chapter 9 table 8 at 75 °C unless the example says otherwise.",
    );
    let control = loop_drop(100.0, table_8("16 AWG"), 4.0, 1.0);
    section.example(
        "24 V control run, 100 ft of 16 AWG, 4 A",
        "lecture page: 4.0 V; it divides the rounded 4.0 V, 16.7 %",
        &Digits::new().is(control, "4.0").is(100.0 * drop_share(4.0, 24.0), "16.7"),
        Standing::Read,
    );
    section.example(
        "Lighting run, 200 ft of 8 AWG, 1.04 A",
        "Texas Department of Transportation, Highway Illumination Manual: loop of 0.001308 Ω/ft",
        &Digits::new()
            .is(loop_drop(200.0, 0.654, 1.04, 1.0), "0.272")
            .is(100.0 * drop_share(0.272, 480.0), "0.057"),
        Standing::Read,
    );
    let reach = |resistance: f64| 0.24 / (2.0 * 10.0 * resistance) * 1000.0;
    let change = change_per_kelvin(Material::Copper).si();
    section.example(
        "Feet of 10 AWG for 2 % of 12 V at 10 A: 75 °C, 20 °C, 25 °C",
        "published chart (11.5 ft, without its conductor temperature), the others worked by hand",
        &Digits::within(1.0, "the chart steps in half feet")
            .is(reach(table_8("10 AWG")), "9.7")
            .is(reach(resistance_at(table_8("10 AWG"), change, 20.0)), "11.8")
            .is(reach(resistance_at(table_8("10 AWG"), change, 25.0)), "11.5"),
        Standing::Read,
    );
    let mut the_run = indoors(150.0);
    the_run.drop_target = share(0.03);
    let schedule = schedule(vec![ac(24.0, 240.0)], the_run);
    let sized = &schedule.circuits[0];
    let cmil = units::CIRCULAR_MIL.of_si(tables::circular_mils(size("10 AWG")).expect("a listed size").si());
    section.example(
        "240 V, 24 A, 150 ft: 10 AWG by K = 12.9 and by table 8, 8 AWG meets 3 %",
        "course pages' formula 2·K·I·d/cmil, case worked by hand",
        &Digits::new()
            .is(2.0 * 12.9 * 24.0 * 150.0 / cmil, "8.95")
            .is(loop_drop(150.0, table_8("10 AWG"), 24.0, 1.0), "8.93")
            .is(figure(&sized.drop), "5.60")
            .is(100.0 * figure(&sized.drop_share), "2.33")
            .says("8 AWG", sized.gauge().value() == Some(&size("8 AWG"))),
        Standing::Read,
    );
    section
}

fn contents(insulation: Insulation, list: &[(u32, &str)]) -> Vec<Content> {
    let one = |(n, text): &(u32, &str)| Content {
        what: (*text).into(),
        insulation,
        gauge: stated(size(text)),
        count: stated(Count(*n)),
    };
    list.iter().map(one).collect()
}

fn trade(text: &str) -> TradeSize {
    TradeSize::read(text).expect("a trade size")
}

fn fill() -> Section {
    let mut section =
        Section::new("Wiring: raceways", "NEC 2023, chapter 9 tables 1, 4 and 5 with their notes; 352.44.");
    let mut raceway = |what: &str, source: &str, kind, all: &[Content], nipple, area: &str, found: &str| {
        let fill = smallest_raceway(kind, all, nipple).expect("one is large enough");
        let figures = Digits::new()
            .is(units::SQUARE_INCH.of_si(fill.area.si()), area)
            .says(found, fill.trade.value == trade(found));
        section.example(what, source, &figures, Standing::Read);
    };
    let thhn = Insulation::ThhnThwn2;
    let three = contents(thhn, &[(3, "500 kcmil"), (1, "250 kcmil"), (1, "3 AWG")]);
    let magazine = "EC&M magazine, Code Calculations, example 1: 3 in";
    raceway(
        "Three 500 kcmil, one 250, one 3 AWG THHN in schedule 40",
        magazine,
        RacewayKind::Pvc40,
        &three,
        false,
        "2.6162",
        "3",
    );
    let nipple = contents(thhn, &[(3, "3/0 AWG"), (1, "1 AWG"), (1, "6 AWG")]);
    let magazine = "the same, example 2: 1-1/2 in (final size worked by hand)";
    raceway(
        "Three 3/0, one 1, one 6 AWG THHN in a rigid nipple",
        magazine,
        RacewayKind::Rmc,
        &nipple,
        true,
        "1.0106",
        "1-1/2",
    );
    let thwn = contents(Insulation::Thwn, &[(3, "12 AWG"), (4, "10 AWG"), (8, "8 AWG")]);
    let tubes = "Steel Tube Institute, conduit and EMT fill: 1-1/4 in";
    raceway(
        "Three 12, four 10, eight 8 AWG THWN in EMT",
        tubes,
        RacewayKind::Emt,
        &thwn,
        false,
        "0.4171",
        "1-1/4",
    );
    let mut mixed = contents(Insulation::Xhhw2, &[(4, "6 AWG"), (1, "8 AWG")]);
    mixed.extend(contents(thhn, &[(4, "10 AWG")]));
    let notes = "notes for an installers' examination: 1-1/4 in";
    raceway(
        "Five XHHW and four THHN in flexible metal",
        notes,
        RacewayKind::Fmc,
        &mixed,
        false,
        "0.3641",
        "1-1/4",
    );
    let crowd = contents(thhn, &[(34, "8 AWG"), (20, "12 AWG"), (9, "6 AWG"), (1, "10 AWG")]);
    let study = "question for electricians in their fourth year: 2 in";
    raceway(
        "Sixty-four conductors in EMT of 5 in length",
        study,
        RacewayKind::Emt,
        &crowd,
        true,
        "1.988",
        "2",
    );
    let like = contents(Insulation::Thwn, &[(3, "600 kcmil")]);
    let rounded = smallest_raceway(RacewayKind::Pvc80, &like, false).expect("one is large enough");
    section.example(
        "Three 600 kcmil THWN in schedule 80: 2.97 counts as 3",
        "electricians' discussion; chapter 9 note 7: 3 in, though the sum of areas is over",
        &Digits::new()
            .is(units::SQUARE_INCH.of_si(rounded.area.si()), "2.603")
            .says("3 in", rounded.trade.value == trade("3"))
            .says("by note 7", rounded.rounded.is_some() && rounded.share.si() > rounded.limit.si()),
        Standing::Read,
    );
    let change = |ft: f64, f: f64| {
        let length: Traced<quantity::Length> = of(ft, &units::FOOT_UNIT);
        expansion(&length, &of(f, &units::FAHRENHEIT_DEGREE), false)
    };
    let inches = |found: &Expansion| units::INCH_UNIT.of_si(found.change.si());
    section.example(
        "Plastic pipe of 10 and 100 ft over 100 °F; when a fitting is due",
        "NEC 2008, Table 352.44, as reproduced",
        &Digits::new()
            .is(inches(&change(10.0, 100.0)), "0.406")
            .is(inches(&change(100.0, 100.0)), "4.06")
            .says("10 ft take a fitting", change(10.0, 100.0).fitting)
            .says("24.6 ft over 25 °F do not", !change(24.6, 25.0).fitting)
            .says("24.7 ft do", change(24.7, 25.0).fitting),
        Standing::SecondHand,
    );
    section
}

fn ampacity() -> Section {
    let mut section = Section::new(
        "Wiring: ampacity, terminals, standard ratings",
        "NEC 2023, tables 310.16, 310.15(B)(1), 310.15(C)(1), 310.12, 240.6(A); 110.14(C), 240.4.",
    );
    let breaker_end = case(95.0, continuous_current(95.0), 125.0);
    let mut alone = case(95.0, 95.0, 100.0);
    alone.insulation = TerminalColumn::C75;
    let mut load_end = case(95.0, 95.0, 125.0);
    load_end.terminals = TerminalColumn::C60;
    section.example(
        "95 A continuous with 75 °C and 60 °C ends",
        "electricians' course on conductor selection: 119 A, 125 A; 1, 3 and 2 AWG, the largest governs",
        &Digits::new()
            .is(continuous_current(95.0), "118.75")
            .says("1 AWG at the breaker", breaker_end.tests_of("1 AWG").terminal.passes)
            .says("not 2 AWG", !breaker_end.tests_of("2 AWG").terminal.passes)
            .says("3 AWG alone", alone.tests_of("3 AWG").segments[0].passes)
            .says("not 4 AWG", !alone.tests_of("4 AWG").segments[0].passes)
            .says("2 AWG at the load", load_end.tests_of("2 AWG").terminal.passes)
            .says("not 3 AWG there", !load_end.tests_of("3 AWG").terminal.passes)
            .says(
                "1 AWG is found",
                find(&breaker_end.basis()).is_ok_and(|found| found.gauge.value == size("1 AWG")),
            ),
        Standing::Read,
    );
    let mut figures = Digits::new();
    for (insulation, wanted) in [(TerminalColumn::C90, "180"), (TerminalColumn::C75, "160")] {
        let mut bundle = case(150.0, 150.0, 150.0);
        (bundle.insulation, bundle.together) = (insulation, 5);
        let tests = bundle.tests_of("3/0 AWG");
        figures =
            figures.is(amps_of(&tests.segments[0].offers), wanted).is(amps_of(&tests.terminal.offers), "200");
    }
    section.example(
        "3/0 copper among four to six conductors, 90 °C and 75 °C insulation",
        "master specification: 180 and 160 A, at most the terminals' 200 A",
        &figures,
        Standing::Read,
    );
    let sized = |main: f64, whole: bool, material: Material| {
        let demand = Demand::UtilitySupply(UtilitySupply {
            main: amps(main),
            volts: volts(240.0),
            whole_dwelling: known(whole),
            fault: unknown("utility.fault").into(),
        });
        let mut run = indoors(20.0);
        run.material = known(material);
        schedule(vec![demand], run).circuits[0].gauge().value().copied()
    };
    section.verdicts(
        "Dwelling service of 100 and 200 A, and a feeder that is none",
        "copies of Table 310.12 in the trade press: 4 and 2 AWG, 2/0 and 4/0, 3/0",
        &[
            ("100 A copper", sized(100.0, true, Material::Copper) == Some(size("4 AWG"))),
            ("100 A aluminum", sized(100.0, true, Material::Aluminum) == Some(size("2 AWG"))),
            ("200 A copper", sized(200.0, true, Material::Copper) == Some(size("2/0 AWG"))),
            ("200 A aluminum", sized(200.0, true, Material::Aluminum) == Some(size("4/0 AWG"))),
            ("feeder of a part", sized(200.0, false, Material::Copper) == Some(size("3/0 AWG"))),
        ],
        Standing::Read,
    );
    section
}

fn ground(device: f64, sufficient: &str, installed: &str) -> Option<Gauge> {
    let device = of(device, &units::AMPERE);
    let (installed, sets) = (stated(size(installed)), stated(Count(1)));
    let basis = GroundBasis {
        device: &device,
        material: Material::Copper,
        installed: &installed,
        sets: &sets,
        sufficient: Size { gauge: size(sufficient), sets: 1 },
        is_pv: false,
    };
    equipment_ground(&basis).map(|found| found.value)
}

fn grounds() -> Section {
    let mut section = Section::new(
        "Wiring: equipment grounds",
        "NEC 2023, 250.122 and Table 250.122, enlarged in proportion.",
    );
    let is = |found: Option<Gauge>, wanted: &str| found == Some(size(wanted));
    section.example(
        "300 A, 250 raised to 350 kcmil; 200 A, 3/0 raised to 500 kcmil",
        "recorded code talk: 58 436 cmil, 2 AWG; association's note: 1 AWG (78 188 cmil worked by hand)",
        &Digits::new()
            .is(proportional_ground(41_740.0, 350.0, 250.0), "58436")
            .is(proportional_ground(26_240.0, 500.0, 167.8), "78188")
            .says("2 AWG", is(ground(300.0, "250 kcmil", "350 kcmil"), "2 AWG"))
            .says("1 AWG", is(ground(200.0, "3/0 AWG", "500 kcmil"), "1 AWG")),
        Standing::Read,
    );
    section.verdicts(
        "20 A, 12 raised to 6 AWG; 40 A, 8 raised to 6 AWG",
        "code question of the trade press: 6 AWG; electricians' discussion: 8 AWG",
        &[
            ("20 A", is(ground(20.0, "12 AWG", "6 AWG"), "6 AWG")),
            ("40 A", is(ground(40.0, "8 AWG", "6 AWG"), "8 AWG")),
        ],
        Standing::Read,
    );
    section
}

fn traps() -> Section {
    let mut section = Section::new(
        "Wiring: published and wrong",
        "Answers found in print that the tables of the code contradict. The program must not give them.",
    );
    let is = |found: Option<Gauge>, wanted: &str| found == Some(size(wanted));
    section.verdicts(
        "A ground a hair too small: 125 A on 8 AWG, and 41 756 cmil on 4 AWG",
        "electricians' discussion; Table 250.122: 6 AWG and 3 AWG",
        &[
            ("6 AWG above 100 A", is(ground(125.0, "2 AWG", "2 AWG"), "6 AWG")),
            ("3 AWG after raising", is(ground(125.0, "2 AWG", "1/0 AWG"), "3 AWG")),
        ],
        Standing::Read,
    );
    let fits = |kind, n| {
        let all = contents(Insulation::ThhnThwn2, &[(n, "4 AWG")]);
        smallest_raceway(kind, &all, false).is_ok_and(|found| found.trade.value <= trade("1-1/2"))
    };
    section.verdicts(
        "4 AWG in 1-1/2 in plastic: 5 and 4",
        "inspectors' discussion; chapter 9 tables 4 and 5: 9 and 8",
        &[
            ("9 in schedule 40", fits(RacewayKind::Pvc40, 9) && !fits(RacewayKind::Pvc40, 10)),
            ("8 in schedule 80", fits(RacewayKind::Pvc80, 8) && !fits(RacewayKind::Pvc80, 9)),
        ],
        Standing::Read,
    );
    let feeder = case(300.0, 300.0, 300.0);
    let hundred = case(100.0, 100.0, 100.0);
    section.verdicts(
        "300 A on 4/0 copper, 100 A on 4 AWG",
        "web chart; Table 310.16 at 75 °C: 350 kcmil and 3 AWG",
        &[
            ("4/0 fails", !feeder.tests_of("4/0 AWG").terminal.passes),
            ("350 kcmil passes", feeder.tests_of("350 kcmil").terminal.passes),
            ("4 AWG fails", !hundred.tests_of("4 AWG").terminal.passes),
            ("3 AWG passes", hundred.tests_of("3 AWG").terminal.passes),
        ],
        Standing::Read,
    );
    let current = continuous_current(inverter_input_current(2000.0, 10.5, 0.85));
    section.example(
        "Fuse of a 12 V inverter taken from its output: 20 A",
        "web page; at 10.5 V and 85 % the battery side carries 280 A",
        &Digits::new().is(current, "280"),
        Standing::Read,
    );
    section
}

fn stories() -> Section {
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
    section
}
