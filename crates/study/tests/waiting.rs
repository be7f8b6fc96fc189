//! Loads that wait for the sun, from the text of a design to the year.
#![allow(clippy::unwrap_used)]

use design::Design;
use std::path::PathBuf;
use std::sync::Arc;
use study::{Depth, Memo, Study};

fn house(name: &str, changes: &[(&str, &str)]) -> Study {
    let file = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join(format!("../../designs/{name}/{name}.toml"));
    let mut text = std::fs::read_to_string(file).unwrap();
    for (old, new) in changes {
        assert!(text.contains(old), "{old} is not in the design");
        text = text.replacen(old, new, 1);
    }
    let design = Arc::new(Design::of_text(&text));
    assert!(design.problems.is_empty(), "{:?}", design.problems);
    Study::of(design, None, Depth::Whole, &mut Memo::default())
}

const FEW: (&str, &str) = ("years = 20", "years = 3");

/// By hand, cabin: 900 W for a quarter of an hour on two days of seven are 64.3 Wh a day, 23.46 kWh a year, of which every day
/// keeps its part: moved, the year asks what the list asks, day by day. Two strings of the cabin bring more than that at noon on all but the darkest
/// days.
#[test]
fn every_day_of_the_cabin_keeps_its_energy() {
    let study = house("pine-cabin", &[FEW]);
    let year = study.year.as_ref().unwrap();
    let [waited] = &year.waited[..] else { panic!("{:?}", year.waited) };
    assert_eq!((&*waited.name, waited.window), ("vacuum and tools", (10, 16)));
    let kwh = (waited.on_sun.si() + waited.without_sun.si()) / 3.6e6;
    assert!((kwh - 0.9 * 0.25 * 2.0 / 7.0 * 365.0).abs() < 1e-9, "{kwh}");
    assert!(waited.without_sun.si() < 0.2 * waited.on_sun.si() && waited.days_without < 100);
    let listed = study.demand.years.as_ref().unwrap();
    for (brought, listed) in year.brought.years.iter().zip(&listed.years) {
        for (moved, listed) in brought.wanted.tiers.iter().zip(&listed.tiers) {
            for (moved, listed) in moved.chunks(24).zip(listed.chunks(24)) {
                let (moved, listed): (f64, f64) = (moved.iter().sum(), listed.iter().sum());
                assert!((moved - listed).abs() < 1e-9, "{moved} {listed}");
            }
        }
        // No hour runs at more than the tools take.
        let of_tools = &brought.waited[0].waited.hours_w;
        assert!(of_tools.iter().all(|watts| (0.0..=900.0).contains(watts)));
    }
    assert!(study.figure("year/waited/vacuum-and-tools/on-sun").is_some());
}

/// More hours to wait in reach more sun, fewer reach less; the year asks the same. A load that cannot wait is in nobody's list.
#[test]
fn a_longer_window_reaches_more_sun() {
    let window = |hours: &str| {
        let study = house("harbour-house", &[FEW, ("hours = { midday = 1.4 }", hours)]);
        let year = study.year.as_ref().unwrap();
        let load = year.waited.iter().find(|load| &*load.name == "laundry and dishes").unwrap();
        (load.on_sun.si() / 3.6e6, load.without_sun.si() / 3.6e6, load.days_without)
    };
    let listed = window("hours = { midday = 1.4 }");
    let long = window("hours = { midday = 1.4 }\nearliest = 7\nlatest = 18");
    let early = window("hours = { midday = 1.4 }\nearliest = 6\nlatest = 8");
    for (on_sun, without, _) in [listed, long, early] {
        assert!((on_sun + without - 1.1 * 1.4 * 365.0).abs() < 1e-6, "{on_sun} {without}");
    }
    assert!(long.0 >= listed.0 && listed.0 > early.0 + 50.0, "{long:?} {listed:?} {early:?}");
    assert!(early.2 > listed.2 && listed.2 >= long.2);
}

/// Hot water is heated between the hours its owner says, and no year is without it: the tank of 250 L holds a day's 180.
#[test]
fn hot_water_is_heated_between_its_hours() {
    let study = house(
        "harbour-house",
        &[FEW, ("name = \"hot water\"", "name = \"hot water\"\nearliest = 11\nlatest = 15")],
    );
    let years = study.demand.years.as_ref().unwrap();
    let at = study.demand.loads.iter().position(|load| &*load.name == "hot water").unwrap();
    let asked: f64 = years.followed(at).unwrap().yearly_wh.iter().sum();
    let whole = house("harbour-house", &[FEW]);
    let before: f64 = whole.demand.years.as_ref().unwrap().followed(at).unwrap().yearly_wh.iter().sum();
    // Another hour of the day is another air for the heat pump, and a little other loss of the tank.
    assert!((asked / before - 1.0).abs() < 0.05, "{asked} {before}");
    let noon = |study: &Study, hour: usize| -> f64 {
        study.demand.years.as_ref().unwrap().middling.profile.day_of([true; 12])[hour]
    };
    assert!(noon(&study, 10) < noon(&whole, 10) - 100.0, "{} {}", noon(&study, 10), noon(&whole, 10));
}
