//! What the house uses, from the text of a design to the hours of every weather year.
#![allow(clippy::unwrap_used, clippy::expect_used)]

use design::Design;
use loads::FollowedYear;
use quantity::units;
use std::sync::Arc;
use study::{Depth, Memo, Study};

/// A place with three weather years and whatever loads a test adds.
const PLACE: &str = r#"
wattwright = 1
title = "Loads"
units = "metric"
currency = "EUR"

[place]
latitude = 44.9
longitude = -93.2
elevation = "250 m"
zone = "America/Chicago"
weather = { normals = "nearest", years = 3, seed = 4 }
"#;

fn study(loads: &str) -> Study {
    let design = Design::of_text(&format!("{PLACE}\n{loads}"));
    assert!(design.is_sound(), "{:#?}", design.problems);
    Study::of(Arc::new(design), None, Depth::WithoutYear, &mut Memo::default())
}

fn yearly_kwh(study: &Study, load: usize) -> f64 {
    units::KILOWATT_HOUR.of_si(study.demand.loads[load].yearly.si().unwrap())
}

const WATER: &str = r#"
[[load]]
name = "hot water"
volts = 240
[load.water]
a_day = "200 L"
set_point = "60 °C"
inlet = "10 °C"
tank = "300 L"
standby = "2.4 kWh"
room = "20 °C"
power = "3 kW"
"#;

/// By hand: 200 L · 50 K · 1.163 Wh = 11.63 kWh a day, and 2.4 kWh of standby while the tank is hot: 5121 kWh a year.
#[test]
fn hot_water_takes_its_heat_and_its_standby() {
    let year = yearly_kwh(&study(WATER), 0);
    // 1 %: the tank cools a little between an evening's draw and its heating, and owes some heat at the year's end.
    assert!((year / (365.0 * (11.63 + 2.4)) - 1.0).abs() < 0.01, "{year}");
}

#[test]
fn without_a_stated_inlet_winter_water_is_colder() {
    let study = study(&WATER.replace("inlet = \"10 °C\"\n", ""));
    let months = study.demand.loads[0].months_wh.unwrap();
    assert!(months[1] / 28.0 > 1.1 * months[7] / 31.0, "{months:?}");
    // All weather years drink from one ground, so their energy is the same.
    let followed = &study.demand.years.as_ref().unwrap().followed[0];
    assert_eq!(followed.yearly_wh.len(), 3);
    let spread = followed.yearly_wh[0] / followed.yearly_wh[1] - 1.0;
    assert!(spread.abs() < 1e-9, "{spread}");
}

const ROOMS: &str = r#"
[[load]]
name = "heating"
volts = 240
[load.rooms]
loss = "150 W/K"
warmed_to = "20 °C"
gains = "600 W"
strip = "12 kW"
"#;

/// Variable-base degree days (ASHRAE Handbook Fundamentals, chapter 19, from memory): 150 W/K over the kelvin-hours
/// under 20 °C − 600 W / (150 W/K) = 16 °C.
#[test]
fn resistance_heat_takes_what_degree_hours_of_each_year_say() {
    let design = Design::of_text(&format!("{PLACE}\n{ROOMS}"));
    let study = Study::of(Arc::new(design), None, Depth::Whole, &mut Memo::default());
    let sky = study.sky.as_ref().unwrap();
    let followed = &study.demand.years.as_ref().unwrap().followed[0];
    for (year, weather) in followed.years.iter().zip(&sky.weather.years) {
        let FollowedYear::Space(year) = year else { panic!("rooms") };
        let hours: f64 = weather.air_c.iter().map(|air| (16.0 - air).max(0.0)).sum();
        // 6 %: the mass of the house carries warm hours of mild days into their cold ones, which degree hours do not.
        let ratio = year.heat_wh / (150.0 * hours);
        assert!(ratio < 1.0 + 1e-9 && ratio > 0.94, "{ratio}");
        assert_eq!(year.too_cold_h, 0);
    }
    let mean = followed.yearly_wh.iter().sum::<f64>() / 3000.0;
    assert!((mean / yearly_kwh(&study, 0) - 1.0).abs() < 1e-12);
    // Years differ, and the balance is given each its own.
    assert_ne!(followed.yearly_wh[0], followed.yearly_wh[1]);
}

#[test]
fn a_heat_pump_takes_less_than_half_and_its_strip_helps_in_the_cold() {
    let pump = ROOMS.replace(
        "strip = \"12 kW\"",
        r#"strip = "8 kW"
heating = [
  { at = "-15 °C", capacity = "3.6 kW", cop = 1.9 },
  { at = "-8 °C", capacity = "4.6 kW", cop = 2.4 },
  { at = "8 °C", capacity = "7.0 kW", cop = 3.8 },
]"#,
    );
    let (plain, pump) = (study(ROOMS), study(&pump));
    let share = yearly_kwh(&pump, 0) / yearly_kwh(&plain, 0);
    assert!(share > 1.0 / 3.8 && share < 0.6, "{share}");
    let FollowedYear::Space(year) = &pump.demand.years.as_ref().unwrap().followed[0].years[0] else {
        panic!()
    };
    assert!(year.strip_wh > 0.0 && year.under_points_h > 0 && year.too_cold_h == 0);
    // What hangs on the leg is the most it can draw: 3.6/1.9, 4.6/2.4 and 7.0/3.8 kW beside the strip.
    let most = pump.demand.loads[0].running_w.unwrap();
    assert!((most - (8000.0 + 4600.0 / 2.4)).abs() < 1e-9, "{most}");
}

const VEHICLE: &str = r#"
[[load]]
name = "car"
volts = 240
[load.vehicle]
distance = "50 km"
takes = "180 Wh/km"
power = "3.5 kW"
efficiency = "90 %"
from = 22
until = 6
"#;

/// By hand: 50 km · 180 Wh/km / 0.9 = 10 kWh a day, 3650 kWh a year; the last evening's is charged after midnight.
#[test]
fn a_car_takes_distance_times_energy_per_distance() {
    let study = study(VEHICLE);
    let year = yearly_kwh(&study, 0);
    assert!((year - 3650.0).abs() < 10.0, "{year}");
    let profile = study.demand.profile.as_ref().unwrap();
    assert_eq!(profile.leg(0)[12], 0.0);
    assert_eq!(profile.leg(0)[22], 1750.0);
}

#[test]
fn cold_days_ask_for_more() {
    let cold = format!(
        "{VEHICLE}cold = [{{ at = \"-10 °C\", more = \"40 %\" }}, {{ at = \"20 °C\", more = \"0 %\" }}]\n"
    );
    let study = study(&cold);
    let months = study.demand.loads[0].months_wh.unwrap();
    assert!(months[0] / months[6] > 1.2, "{months:?}");
}

#[test]
fn a_missing_fact_of_a_record_is_asked_for_and_never_filled_in() {
    let design = Design::of_text(&format!("{PLACE}\n{}", VEHICLE.replace("distance = \"50 km\"\n", "")));
    let study = Study::of(Arc::new(design), None, Depth::WithoutYear, &mut Memo::default());
    let Some(study::Unanswered::Missing(gap)) = study.demand.years.as_ref().err() else { panic!("answered") };
    assert!(gap.missing.iter().any(|m| format!("{m:?}").contains("load.car.vehicle.distance")), "{gap:?}");
    assert!(!study.demand.loads[0].yearly.is_known() && !study.demand.yearly.is_known());
}

#[test]
fn two_ways_of_use_in_one_load_are_a_contradiction() {
    let design = Design::of_text(&format!(
        "{PLACE}\n{}",
        WATER.replace("volts = 240", "volts = 240\nyearly = \"900 kWh\"")
    ));
    assert!(
        design.problems.iter().any(|p| p.says.contains("gives both `water` and `yearly`")),
        "{:#?}",
        design.problems
    );
}

/// An edit of the battery leaves the layer of loads alone; an edit of a load makes it anew.
#[test]
fn only_what_loads_rest_on_makes_them_anew() {
    let mut memo = Memo::default();
    let mut of = |text: String| {
        let study = Study::of(Arc::new(Design::of_text(&text)), None, Depth::WithoutYear, &mut memo);
        study.demand.years.unwrap()
    };
    let base = format!("{PLACE}\n{ROOMS}");
    let first = of(base.clone());
    let battery = of(format!("{base}\n[battery.b]\nvolts = \"51.2 V\"\n"));
    assert!(Arc::ptr_eq(&first, &battery));
    assert!(!Arc::ptr_eq(&first, &of(base.replace("150 W/K", "151 W/K"))));
    assert!(!Arc::ptr_eq(&first, &of(base.replace("seed = 4", "seed = 5"))));
}

const LIGHTS: &str =
    "[[load]]\nname = \"lights\"\nwatts = 100\nvolts = 120\nhours = 24\ntier = \"must\"\nleg = \"A\"\n";

/// 100 W around the clock are 74.4 kWh in January and 876 kWh a year.
fn against(bills: &str) -> Study {
    study(&format!("{LIGHTS}\n{bills}"))
}

#[test]
fn energy_nobody_listed_is_left_scaled_or_added_as_the_owner_chooses() {
    let bills = |choice: &str| {
        format!("[bills]\nkwh = [100, 67.2, 74.4, 72, 74.4, 72, 74.4, 74.4, 72, 74.4, 72, 60]\n{choice}")
    };
    let yearly = |study: &Study| units::KILOWATT_HOUR.of_si(study.demand.yearly.si().unwrap());
    let left = against(&bills(""));
    assert!((yearly(&left) - 876.0).abs() < 1e-9);
    let scaled = against(&bills("unlisted = \"scaled\""));
    // January meets 100 kWh, December 60.
    assert!((yearly(&scaled) - (876.0 + 25.6 - 14.4)).abs() < 1e-9, "{}", yearly(&scaled));
    let profile = scaled.demand.profile.as_ref().unwrap();
    assert!((profile.leg(0)[0] - 100_000.0 / 744.0).abs() < 1e-9);
    assert!((profile.leg(0)[8759] - 60_000.0 / 744.0).abs() < 1e-9);
    let added = against(&bills("unlisted = \"added\""));
    // Nothing is taken off where the list is higher, and what is added is wanted, not a must.
    assert!((yearly(&added) - (876.0 + 25.6)).abs() < 1e-9);
    let profile = added.demand.profile.as_ref().unwrap();
    assert!((profile.tier(loads::Tier::Want)[0] - 25_600.0 / 744.0).abs() < 1e-9);
    // The comparison stays with the list itself.
    for study in [&left, &scaled, &added] {
        let months = study.demand.reconciled.as_ref().unwrap().months;
        assert!((months[0].list_wh - 74_400.0).abs() < 1e-6);
    }
}

#[test]
fn a_reserve_raises_every_hour_and_is_a_line_of_its_own() {
    let grown = study(&format!("[promise]\ngrowth = \"25 %\"\n{LIGHTS}"));
    assert!((units::KILOWATT_HOUR.of_si(grown.demand.yearly.si().unwrap()) - 1095.0).abs() < 1e-9);
    assert!((grown.demand.profile.as_ref().unwrap().leg(0)[4000] - 125.0).abs() < 1e-9);
    assert!((grown.demand.loads[0].yearly.si().unwrap() / 3.6e6 - 876.0).abs() < 1e-9);
}

/// By hand: lamps of 40 W instead of 100 W around the clock save 1.44 kWh a day; with S sun hours in the critical month they
/// spare 1440 / (S · 0.70) W of array.
#[test]
fn a_saving_spares_array_and_battery_in_the_critical_month() {
    const FARM: &str = include_str!("../../../designs/hollow-farm/hollow-farm.toml");
    let saving =
        "[[saving]]\nname = \"quiet router\"\nload = \"internet and standby\"\nwatts = 25\nprice = 60\n";
    let text = format!("{}\n{saving}", FARM.replacen("years = 20", "years = 2", 1));
    let design = Design::of_text(&text);
    assert!(design.is_sound(), "{:#?}", design.problems);
    let study = Study::of(Arc::new(design), None, Depth::Whole, &mut Memo::default());
    let (critical, saved) = (study.critical.as_ref().unwrap(), &study.savings[0]);
    // 55 W less 25 W over 24 h.
    let daily = saved.daily.si().unwrap() / 3600.0;
    assert!((daily - 720.0).abs() < 1e-9, "{daily}");
    assert!([10, 11, 0].contains(&critical.month), "{}", critical.month);
    let sun_h = critical.sun.si() / 3600.0;
    assert!((saved.array.si().unwrap() - 720.0 / (sun_h * 0.70)).abs() < 1e-6);
    let used = critical.daily.si().unwrap() / 3600.0;
    let capacity: f64 = study.banks.iter().map(|bank| bank.capacity.si().unwrap() / 3600.0).sum();
    assert!((saved.battery.si().unwrap() / 3600.0 - capacity * 720.0 / used).abs() < 1e-6);
}

#[test]
fn a_label_that_contradicts_its_hours_is_told_with_both_numbers() {
    let both = |kwh: u32| {
        let load = format!(
            "[[load]]\nname = \"freezer\"\nvolts = 120\nwatts = 150\nhours = 8\nyearly = \"{kwh} kWh\"\n"
        );
        Design::of_text(&format!("{PLACE}\n{load}")).problems
    };
    // 150 W · 8 h · 365 = 438 kWh.
    let problems = both(700);
    assert!(
        problems[0].says.contains("700 kWh a year") && problems[0].says.contains("438 kWh"),
        "{problems:#?}"
    );
    assert!(both(450).is_empty());
}

/// 200 W for six hours on weekdays and 5 W for the rest: 261 · (1200 + 18 · 5) + 104 · 24 · 5 Wh.
#[test]
fn standby_weekdays_and_stretches_of_the_day_are_counted() {
    let desk = study(
        "[[load]]\nname = \"desk\"\nvolts = 120\nwatts = 200\nstandby = 5\nweekdays = [\"Mon\", \"Tue\", \"Wed\", \"Thu\", \"Fri\"]\n\
         profile = [{ from = 9, until = 12, share = \"100 %\" }, { from = 13, until = 19, share = \"50 %\" }]\n",
    );
    let kwh = (261.0 * (1200.0 + 90.0) + 104.0 * 120.0) / 1000.0;
    assert!((yearly_kwh(&desk, 0) - kwh).abs() < 1e-6, "{}", yearly_kwh(&desk, 0));
    let profile = desk.demand.profile.as_ref().unwrap().leg(0);
    // The year begins on a Wednesday; its first Saturday is the fourth day.
    assert_eq!((profile[9], profile[12], profile[13], profile[3 * 24 + 9]), (200.0, 5.0, 102.5, 5.0));
    let wrong = Design::of_text(&format!(
        "{PLACE}\n[[load]]\nname = \"x\"\nvolts = 120\nwatts = 1\nhours = 1\nweekdays = [\"Funday\"]\n"
    ));
    assert!(wrong.problems[0].says.contains("no day of the week"), "{:#?}", wrong.problems);
}

/// By hand: 19/60 kg/s · 9.80665 · 60 m / 0.45 = 414 W for 600 L / 19 L/min = 31.6 minutes: 0.218 kWh a day.
#[test]
fn a_pump_takes_flow_times_lift() {
    let pump = study(
        "[[load]]\nname = \"well\"\nvolts = 240\n[load.pump]\nflow = \"19 L/min\"\nlift = \"60 m\"\na_day = \"600 L\"\nefficiency = \"45 %\"\n",
    );
    assert!((yearly_kwh(&pump, 0) / 365.0 - 0.41406 * 0.52632).abs() < 1e-4, "{}", yearly_kwh(&pump, 0));
    assert!((pump.demand.loads[0].running_w.unwrap() - 414.06).abs() < 0.01);
}
