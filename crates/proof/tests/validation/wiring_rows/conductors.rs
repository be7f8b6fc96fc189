//! Ampacity, grounds, and published answers that are wrong.

use super::common::*;
use super::raceways::{contents, trade};
use super::*;

pub(super) fn ampacity() -> Section {
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

pub(super) fn grounds() -> Section {
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

pub(super) fn traps() -> Section {
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
