//! Shorts, the filling of capacitors, boxes, supports, colours and room to work.

use quantity::{Fact, Voltage};

use super::common::*;
use super::*;
use crate::record::{Allowed, Largest};

pub(super) fn shorts() -> Section {
    let mut section = Section::new(
        "Wiring: shorts and capacitors",
        "Circuit theory, and how devices answer a multiple of their rating.",
    );
    section.example(
        "Short to ground at the end of 100 ft of 10 AWG with a ground of 10 AWG, behind a source of 40 A at 120 V",
        "loop of 0.248 Ω by NEC chapter 9, Table 8, and 3 Ω of the source, worked by hand; two in parallel halve one",
        &Digits::new()
            .is(far_end_ground_fault(120.0, 40.0, 100.0, loop_impedance(1.24, 0.0, 1.0, 1.24, 0.0)), "36.95")
            .is(far_end_ground_fault(120.0, 40.0, 100.0, loop_impedance(1.24, 0.0, 2.0, 1.24, 0.0)), "37.66"),
        Standing::Derived,
    );
    section.example(
        "The same at the end of 500 ft of 4/0 AWG in steel with a ground of 2 AWG, behind 10 kA at 120 V",
        "0.2548 Ω/kft of resistance by NEC chapter 9, Table 8, and 0.108 Ω/kft of reactance by Table 9, worked by hand",
        &Digits::new().is(
            far_end_ground_fault(120.0, 10_000.0, 500.0, loop_impedance(0.0608, 0.051, 1.0, 0.194, 0.057)),
            "798.0",
        ),
        Standing::Derived,
    );
    section.example(
        "Generator of 6 kVA at 240 V with a subtransient reactance of 12 %",
        "rated current over reactance: 25 A / 0.12, worked by hand",
        &Digits::new().is(generator_fault(6000.0, 240.0, 0.12), "208.3"),
        Standing::Derived,
    );
    let answers = |amps: f64, nec: Trips, iec: Trips| {
        trips(RuleSet::Nec2023, 100.0, amps) == nec && trips(RuleSet::Iec60364, 100.0, amps) == iec
    };
    section.verdicts(
        "A device of 100 A at 1000, 999, 255, 254, 200 and 199 A",
        "UL 489 and UL 248 (minutes at twice the rating, at once at ten times); IEC 60898-1, type C, table 7 (2.55 and 10)",
        &[
            ("1000 A", answers(1000.0, Trips::AtOnce, Trips::AtOnce)),
            ("999 A", answers(999.0, Trips::InMinutes, Trips::InMinutes)),
            ("255 A", answers(255.0, Trips::InMinutes, Trips::InMinutes)),
            ("254 A", answers(254.0, Trips::InMinutes, Trips::NotCountedOn)),
            ("200 A", answers(200.0, Trips::InMinutes, Trips::NotCountedOn)),
            ("199 A", answers(199.0, Trips::NotCountedOn, Trips::NotCountedOn)),
        ],
        Standing::Remembered,
    );
    let (mut charged, mut heat) = (Largest::default(), Largest::default());
    for (v, r, millifarad) in [(56.0, 22.0, 20.0), (29.6, 10.0, 6.0), (400.0, 150.0, 1.2)] {
        let (end, tau) = (filling_time(r, millifarad), r * millifarad / 1000.0);
        charged.see(100.0 * (-end / tau).exp());
        // The power in the resistor, summed over twenty time constants.
        let steps = 200_000;
        let dt = 20.0 * tau / f64::from(steps);
        let power = |k: u32| {
            let amps = first_current(v, r) * (-(f64::from(k) + 0.5) * dt / tau).exp();
            amps * amps * r
        };
        let summed: f64 = (0..steps).map(|k| power(k) * dt).sum();
        heat.see(100.0 * (summed / stored_energy(millifarad, v) - 1.0));
    }
    section.row(
        "Voltage that is missing at capacitors after the time given for filling them",
        "closed form of a capacitor behind a resistor, exp(−t/RC)",
        &charged,
        "%",
        Allowed(1.0, "the time is meant to end within one part in a hundred"),
        Standing::Derived,
    );
    section.row(
        "Energy in the capacitors against what the resistor takes up",
        "power in the resistor summed by steps: both are the same half of C·V²",
        &heat,
        "%",
        Allowed(1e-4, "steps of a ten-thousandth of the time constant"),
        Standing::Derived,
    );
    section
}

pub(super) fn room() -> Section {
    let mut section = Section::new(
        "Wiring: boxes, supports, colours, room to work",
        "NEC 2023, 314.16, 314.28, 300.5, chapter 3, 200.6, 250.119, 690.31, 110.26; IEC 60445.",
    );
    let strings_in = |segments: Vec<Segment>| {
        let mut run = run(segments);
        run.insulation = known(Insulation::PvWire);
        run.conductor = Some(stated(size("10 AWG")));
        schedule(vec![Demand::PvStrings(string(1)), Demand::PvStrings(string(1))], run)
    };
    let open = || segment(Where::InSun, Raceway::Open, 20.0, 30.0);
    let pipe = || segment(Where::Outdoors, emt(), 40.0, 30.0);
    let mut joined = pipe();
    joined.insulation = Some(known(Insulation::ThhnThwn2));
    let space = |schedule: &Schedule| match schedule.joints[0].size.as_ref().and_then(Fact::value) {
        Some(BoxSize::Volume { needs, .. }) => units::CUBIC_INCH.of_si(needs.si()),
        other => panic!("{other:?}"),
    };
    section.example(
        "Box of two strings of 10 AWG that pass through, and that are joined in it",
        "314.16(B)(1), 2.5 in³ each, the grounds once: 5 and 9 of them, worked by hand",
        &Digits::new()
            .is(space(&strings_in(vec![open(), pipe()])), "12.5")
            .is(space(&strings_in(vec![open(), joined])), "22.5"),
        Standing::Derived,
    );
    section.example(
        "Pull box at a turn: one raceway of trade size 3, and three of them in a row",
        "314.28(A)(2): six times the largest and the others once, worked by hand",
        &Digits::new().is(turned_pull(3.0, 1.0), "18").is(turned_pull(3.0, 3.0), "24"),
        Standing::Derived,
    );
    let supports = |place, raceway| {
        let hardware = strings_in(vec![segment(place, raceway, 31.0, 30.0)]).raceways[0].hardware.clone();
        hardware.supports.and_then(|count| count.si()).expect("it is held")
    };
    section.example(
        "Supports of 31 ft of EMT, schedule 40, metal-clad cable and exposed 10 AWG",
        "358.30 (10 ft, 3 ft), Table 352.30(B) (3 ft), 330.30 (6 ft, 12 in), 690.31(C)(1) (24 in, 12 in), counted by hand",
        &Digits::new()
            .is(supports(Where::Outdoors, emt()), "4")
            .is(supports(Where::Outdoors, pvc40()), "10")
            .is(supports(Where::Outdoors, Raceway::MetalClad { for_wet: true }), "6")
            .is(supports(Where::InSun, Raceway::Open), "16"),
        Standing::Derived,
    );
    let marks = |demand: Demand, rules| {
        let graph = graph(vec![demand]);
        let sized = size_all(&graph, &[indoors(10.0)], rules).expect("the rules are built");
        let sized = &sized.circuits[0];
        let all = colours(&graph.circuits[0], sized.protection.supply, &sized.currents.volts, rules);
        all.expect("colours of its rules")
            .iter()
            .map(|each| (each.conductor, each.colour))
            .collect::<Vec<_>>()
    };
    let kept = |colour: &str| ["white", "gray", "green"].iter().any(|own| colour.contains(own));
    let poles = marks(Demand::PvStrings(string(1)), RuleSet::Nec2023);
    let metric = marks(ac(20.0, 230.0), RuleSet::Iec60364);
    section.verdicts(
        "Colours of a leg with its neutral, of the poles of a string, of a 230 V circuit",
        "NEC 200.6, 250.119, 690.31(B); IEC 60445: blue neutral, green and yellow protective",
        &[
            ("neutral", marks(ac(20.0, 120.0), RuleSet::Nec2023).contains(&("neutral", "white"))),
            (
                "no pole like a neutral or a ground",
                poles.iter().all(|(who, how)| kept(how) == (*who == "ground")),
            ),
            ("blue", metric.contains(&("neutral", "blue"))),
            ("green and yellow", metric.contains(&("protective", "green and yellow"))),
        ],
        Standing::Remembered,
    );
    let depth = |v: f64, opposite| {
        let found = least_depth(Voltage::from_si(v), opposite);
        units::FOOT_UNIT.of_si(found.expect("a row of the table").si())
    };
    let mut table = Digits::new();
    for (v, printed) in [
        (150.0, ["3", "3", "3"]),
        (151.0, ["3", "3.5", "4"]),
        (600.0, ["3", "3.5", "4"]),
        (601.0, ["3", "4", "5"]),
    ] {
        for (opposite, feet) in Opposite::ALL.into_iter().zip(printed) {
            table = table.is(depth(v, opposite), feet);
        }
    }
    section.example(
        "Depth of working space: nothing, something grounded, live parts opposite",
        "Table 110.26(A)(1): 3 ft read second-hand, the rest from memory",
        &table
            .is(units::INCH_UNIT.of_si(least_width(None).si()), "30")
            .is(units::FOOT_UNIT.of_si(least_height().si()), "6.5"),
        Standing::Remembered,
    );
    section
}
