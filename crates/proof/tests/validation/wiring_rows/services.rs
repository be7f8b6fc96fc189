//! Busbars, the load of a dwelling, and conductors by metric rules.

use std::sync::Arc;

use quantity::{ApparentPower, Area, Fact};

use super::common::*;
use super::*;

fn panel(rating: f64, main: f64, sources: &[(f64, f64)], loads: &[f64]) -> Busbar {
    let source = |(k, (output, device)): (usize, &(f64, f64))| BusSource {
        name: Arc::from(format!("source {k}")),
        output: amps(*output),
        device: amps(*device),
    };
    let load = |(k, device): (usize, &f64)| (Arc::from(format!("load {k}")), amps(*device));
    Busbar {
        rating: amps(rating),
        main: amps(main),
        sources: sources.iter().enumerate().map(source).collect(),
        loads: loads.iter().enumerate().map(load).collect(),
        opposite_ends: known(true),
        centre_fed_one_end: known(false),
        power_control: None,
    }
}

fn needs(panel: &Busbar, test: BusTest, edition: BusEdition) -> f64 {
    let answers = busbar(panel, edition);
    let answer = answers.iter().find(|answer| answer.test == test).expect("the edition has the test");
    figure(&answer.needs)
}

fn passes(panel: &Busbar, edition: BusEdition) -> bool {
    busbar_passes(&busbar(panel, edition)).value() == Some(&true)
}

pub(super) fn busbars() -> Section {
    let mut section = Section::new(
        "Wiring: sources on a busbar",
        "NEC 705.12(B), in editions before 2014 705.12(D): 120 % with the sources at the far end, the plain sum, the sum of \
         all devices.",
    );
    let main_by_current = largest_main(200.0, source_on_bus(45.0));
    let standard = |most: f64| {
        tables::largest_standard_rating_not_above(most, tables::Protection::Breaker).expect("a rating").si()
    };
    let between = panel(200.0, 182.0, &[(45.0, 60.0)], &[190.0]);
    section.example(
        "100 A panel; 45 A inverter on a 200 A busbar, by breakers and by currents",
        "California Energy Commission, consultant report 500-01-020 (2001), section 3: 20 A, 56.25 A, a main of 180 A; since \
         2014 by current 183.75 A, 175 A of the standard ratings (worked by hand)",
        &Digits::new()
            .is(bus_120(100.0) - 100.0, "20")
            .is(source_on_bus(45.0), "56.25")
            .is(largest_main(200.0, 60.0), "180")
            .is(main_by_current, "183.75")
            .is(standard(main_by_current), "175")
            .says("182 A fails by breakers", !passes(&between, BusEdition::Nec2011))
            .says("182 A passes by currents", passes(&between, BusEdition::Nec2023)),
        Standing::Read,
    );
    let loads = [60.0, 60.0, 50.0, 50.0];
    section.example(
        "200 A busbar and main: what is left for an inverter, with 220 A of load breakers",
        "question on 705.12 of a study site: 40 A of device, 32 A or 7.68 kW of inverter",
        &Digits::new()
            .is(bus_120(200.0) - 200.0, "40")
            .is(largest_source(200.0, 200.0), "32")
            .is(largest_source(200.0, 200.0) * 240.0 / 1000.0, "7.68")
            .says("32 A passes", passes(&panel(200.0, 200.0, &[(32.0, 40.0)], &loads), BusEdition::Nec2023))
            .says("more fails", !passes(&panel(200.0, 200.0, &[(32.1, 45.0)], &loads), BusEdition::Nec2023)),
        Standing::Read,
    );
    let few = panel(200.0, 200.0, &[(48.0, 60.0)], &[30.0]);
    section.example(
        "200 A busbar and main, one load of 30 A, 60 A from the sun",
        "electricians' discussion of the sum of all breakers: 260 A fails 240 A, 90 A passes 200 A",
        &Digits::new()
            .is(needs(&few, BusTest::OppositeEnds, BusEdition::Nec2023), "260")
            .is(needs(&few, BusTest::AllDevices, BusEdition::Nec2023), "90")
            .says("it passes", passes(&few, BusEdition::Nec2023))
            .says("without that test it fails", !passes(&few, BusEdition::Nec2011)),
        Standing::Read,
    );
    let through = panel(200.0, 200.0, &[(32.0, 40.0), (32.0, 40.0)], &[200.0]);
    let plain = needs(&through, BusTest::PlainSum, BusEdition::Nec2023);
    section.example(
        "Two inverters of 32 A fed through a 200 A panel",
        "electricians' discussion of 120 % and the end of the busbar: 280 A, or 233 A by 120 %; 200 A fails",
        &Digits::new()
            .is(plain, "280")
            .is(plain / 1.2, "233")
            .says("it fails", !passes(&through, BusEdition::Nec2023)),
        Standing::Read,
    );
    let each = 4000.0 / 240.0;
    let combiner = |rating: f64| panel(rating, 70.0, &[(each, 25.0); 3], &[]);
    let loaded = |rating: f64| panel(rating, 70.0, &[(each, 25.0); 3], &[40.0]);
    section.example(
        "Panel that joins three inverters of 4000 W at 240 V",
        "notes for an installers' examination (2011): 16.7, 20.8 and 25 A each, 62.5 A and a feeder of 70 A, 121 A; by \
         currents 110.4 A, by the sum of devices 75 A (worked by hand)",
        &Digits::new()
            .is(each, "16.7")
            .is(source_on_bus(each), "20.8")
            .is(3.0 * source_on_bus(each), "62.5")
            .is(needs(&combiner(125.0), BusTest::OppositeEnds, BusEdition::Nec2011) / 1.2, "121")
            .is(needs(&combiner(125.0), BusTest::OppositeEnds, BusEdition::Nec2020) / 1.2, "110.4")
            .is(needs(&combiner(125.0), BusTest::AllDevices, BusEdition::Nec2020), "75")
            .says("125 A passes by breakers", passes(&combiner(125.0), BusEdition::Nec2011))
            .says("100 A fails by breakers", !passes(&combiner(100.0), BusEdition::Nec2011))
            .says("110 A fails by currents", !passes(&loaded(110.0), BusEdition::Nec2020)),
        Standing::Read,
    );
    section
}

fn va(value: f64) -> Fact<ApparentPower> {
    Fact::Known(of(value, &units::VOLT_AMPERE))
}

fn house(square_feet: f64, nameplates: &[f64]) -> Dwelling {
    Dwelling {
        area: Fact::Known(of::<Area>(square_feet, &units::SQUARE_FOOT)),
        circuits: count(3),
        nameplates: nameplates.iter().enumerate().map(|(k, s)| (Arc::from(format!("{k}")), va(*s))).collect(),
        volts: volts(240.0),
    }
}

pub(super) fn dwellings() -> Section {
    let mut section = Section::new(
        "Wiring: the load of a dwelling",
        "NEC 220.40 and following (standard), 220.82 (optional, new), 220.83 (existing); Annex D as copied in handbooks.",
    );
    let lighting = standard_lighting(4500.0 + 3000.0 + 1500.0);
    let total = lighting + one_range(12_000.0).expect("a range of the table") + dryer(5500.0);
    let neutral = neutral_load(lighting, 8000.0, 5500.0, 0.0);
    section.example(
        "1500 ft², range of 12 kW, dryer of 5.5 kW",
        "NEC Annex D, example D1(a), copy of the 2005 handbook: 5100 and 18 600 VA, 77.5 A; neutral 14 550 VA, 60.6 A",
        &Digits::new()
            .is(lighting, "5100")
            .is(total, "18600")
            .is(service_current(total, 240.0), "77.5")
            .is(neutral, "14550")
            .is(service_current(neutral, 240.0), "60.6"),
        Standing::Read,
    );
    let rules = LoadRules::of(RuleSet::Nec2023).expect("the edition has one");
    let first = [12_000.0, 2500.0, 1200.0, 5000.0];
    let heat = Climate { cooling: 1380.0, space_heat: 9000.0, heat_units: 5, ..Climate::default() };
    let load = new_dwelling(&house(1500.0, &first), Some(&va(heating_or_cooling(&heat))), &rules);
    let neutral = neutral_load(standard_lighting(9000.0), 8000.0, 5000.0, 1200.0);
    section.example(
        "The optional way with 9 kW of heat in five rooms",
        "NEC Annex D, example D2(a): 29 700, 17 880, 3600 and 21 480 VA, 89.5 A; neutral 15 400 VA, 64.2 A",
        &Digits::new()
            .is(figure(&load.general), "29700")
            .is(figure(&load.counted), "17880")
            .is(heating_or_cooling(&heat), "3600")
            .is(figure(&load.total), "21480")
            .is(figure(&load.current), "89.5")
            .is(neutral, "15400")
            .is(service_current(neutral, 240.0), "64.2"),
        Standing::Read,
    );
    let heat = Climate { heat_pump: 5760.0, supplementary: 15_000.0, ..Climate::default() };
    let second = house(2000.0, &[12_000.0, 4500.0, 1200.0, 5000.0]);
    let load = new_dwelling(&second, Some(&va(heating_or_cooling(&heat))), &rules);
    section.example(
        "The optional way with a heat pump and 15 kW beside it",
        "NEC Annex D, example D2(c): 33 200, 19 280, 15 510 and 34 790 VA, 145 A",
        &Digits::new()
            .is(figure(&load.general), "33200")
            .is(figure(&load.counted), "19280")
            .is(heating_or_cooling(&heat), "15510")
            .is(figure(&load.total), "34790")
            .is(figure(&load.current), "145"),
        Standing::Read,
    );
    let lighting = standard_lighting(7500.0 + 3000.0 + 1500.0);
    let range = one_range(11_000.0).expect("a range of the table");
    let total = lighting + range + dryer(4500.0) + 1.25 * 800.0 + 2500.0 + 10_000.0;
    section.example(
        "2500 ft² with 10 kW of heat by the standard way; 2800 ft² with four appliances at 75 %",
        "electricians' discussion: 6150 and 32 650 VA, 136 A; course notes: 6465 and 3239.25 VA",
        &Digits::new()
            .is(lighting, "6150")
            .is(range, "8000")
            .is(total, "32650")
            .is(service_current(total, 240.0), "136")
            .is(standard_lighting(8400.0 + 3000.0 + 1500.0), "6465")
            .is(fixed_appliances(&[1200.0, 1032.0, 960.0, 1127.0]), "3239.25"),
        Standing::Read,
    );
    let charged = existing_dwelling(&house(1500.0, &[&first[..], &[7200.0]].concat()), None, &rules);
    let cooled = existing_dwelling(&house(1500.0, &first), Some(&va(5760.0)), &rules);
    section.example(
        "An existing dwelling that gets a vehicle charger of 7200 VA, or air conditioning of 5760 VA",
        "220.83(A) and (B), its percentages on a county's form, worked by hand: 19 560 VA, 81.5 A; 22 440 VA, 93.5 A",
        &Digits::new()
            .is(figure(&charged.total), "19560")
            .is(figure(&charged.current), "81.5")
            .is(figure(&cooled.total), "22440")
            .is(figure(&cooled.current), "93.5"),
        Standing::Derived,
    );
    section
}
