//! The hours of an array made from measured weather: on bright days its light and its power stand evenly around the sun's noon.
//! A stamp taken for the wrong end of its hour, or a sun half an hour off, would move them by thirty minutes or more.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::print_stdout)]

use design::Design;
use std::path::PathBuf;
use std::sync::Arc;
use study::{Depth, Memo, Study, WeatherFile};

const HOUSE: &str = r#"
wattwright = 1
title = "South Roof"
units = "metric"
currency = "USD"

[place]
latitude = 44.88
longitude = -93.23
elevation = "255 m"
zone = "America/Chicago"
weather = { file = "measured.csv" }

[[load]]
name = "standby"
watts = 10
hours = 24
tier = "must"

[module.m]
power = "400 W"
voc = "37.0 V"
isc = "13.8 A"
vmp = "31.0 V"
imp = "12.9 A"
voc_per_kelvin = "-0.27 %/K"
pmax_per_kelvin = "-0.34 %/K"
isc_per_kelvin = "0.05 %/K"
cells = { in_series = 54 }
size = { length = "1722 mm", width = "1134 mm" }

[inverter.i]
output = "4 kW"
volts = "120/240"
efficiency = { "10 %" = "94 %", "50 %" = "97 %", "100 %" = "96.5 %" }
idle = "10 W"
interactive = "yes"
pv_input = [{ voltage_limit = "600 V", tracks = ["90 V", "500 V"], current = "16 A", short_circuit = "20 A" }]

[[plane]]
name = "roof"
mount = "roof"
tilt = "30°"
bearing = "180°"

[[string]]
name = "s"
plane = "roof"
module = "m"
count = 10
into = { unit = "inv", input = 1 }

[[unit]]
name = "inv"
inverter = "i"

[utility]
role = "interactive"
export_limit = "10 kW"
"#;

/// Clock hour of the sun's noon on a day of the year from 0, by the three-term equation of time (Duffie & Beckman, eq. 1.5.3
/// in the form of Masters, Renewable and Efficient Electric Power Systems, eq. 7.12; from memory, to half a minute).
fn noon_h(day: usize, longitude_deg: f64, zone_h: f64) -> f64 {
    let b = std::f64::consts::TAU * (day as f64 + 1.0 - 81.0) / 364.0;
    let minutes = 9.87 * (2.0 * b).sin() - 7.53 * b.cos() - 1.5 * b.sin();
    12.0 - (minutes + 4.0 * (longitude_deg - 15.0 * zone_h)) / 60.0
}

/// Centre of a day's hours, each standing at its middle.
fn centre_h(hours: &[f64]) -> f64 {
    let moment: f64 = hours.iter().enumerate().map(|(hour, value)| (hour as f64 + 0.5) * value).sum();
    moment / hours.iter().sum::<f64>()
}

fn middle(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    values[values.len() / 2]
}

#[test]
fn bright_days_stand_evenly_around_the_suns_noon() {
    let Some(data) = std::env::var_os("WATTWRIGHT_DATA") else {
        println!("skipped: WATTWRIGHT_DATA is not set");
        return;
    };
    let path = PathBuf::from(data).join("weather/USA_MN_Minneapolis_726580_TMY3.csv");
    let bytes = Ok(std::fs::read(path).unwrap().into());
    let file = WeatherFile { name: "measured.csv".into(), bytes };
    let design = Arc::new(Design::of_text(HOUSE));
    assert!(design.problems.is_empty(), "{:?}", design.problems);
    let study = Study::of(design, Some(&file), Depth::Whole, &mut Memo::default());
    let year = study.year.as_ref().unwrap();
    let light = &study.planes[0].as_ref().unwrap().years.light[0].plane_w_m2;
    let power = &year.brought.years[0].offered.units.power_w;
    let lived = year.trace(0).unwrap();
    let output: Vec<f64> = lived.iter().map(|hour| hour.output_w).collect();
    let of_day = |hours: &[f64], day: usize| hours[24 * day..24 * day + 24].iter().sum::<f64>();
    let (mut of_light, mut of_power, mut of_output) = (Vec::new(), Vec::new(), Vec::new());
    for day in 0..365_usize {
        let near = (day.saturating_sub(12)..(day + 13).min(365)).map(|day| of_day(light, day));
        let brightest = near.fold(0.0, f64::max);
        // The brightest days of their season; none on which snow covers the modules.
        if of_day(light, day) < 0.93 * brightest || of_day(power, day) < 1000.0 {
            continue;
        }
        let off_min =
            |hours: &[f64]| 60.0 * (centre_h(&hours[24 * day..24 * day + 24]) - noon_h(day, -93.23, -6.0));
        of_light.push(off_min(light));
        of_power.push(off_min(power));
        of_output.push(off_min(&output));
    }
    assert!(of_light.len() > 30, "{}", of_light.len());
    // Clouds of the afternoon and warmer cells move a day by some minutes; half an hour is the fault that is sought.
    for (what, off) in [("light", of_light), ("modules", of_power), ("output", of_output)] {
        let off = middle(off);
        assert!(off.abs() < 5.0, "{what} stand {off:.1} minutes off the sun's noon");
    }
}
