//! Array and battery circuits, and their drop.

use super::common::*;
use super::*;

pub(super) fn array_circuits() -> Section {
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

pub(super) fn battery_circuits() -> Section {
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

pub(super) fn drop() -> Section {
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
