//! A house whose modules feed it and the utility, with no battery: nothing is said of one.
#![allow(clippy::unwrap_used, clippy::expect_used)]

use output::year_words::year_sentence;
use std::sync::Arc;
use study::{Depth, Memo, Study};

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
weather = { normals = "nearest", years = 3, seed = 1 }

[[load]]
name = "standby"
watts = 100
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

[[building]]
name = "house"

[[room]]
name = "garage"
building = "house"
between = ["5 °C", "35 °C"]

[[plane]]
name = "roof"
mount = "roof"
building = "house"
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
room = "garage"

[utility]
role = "interactive"
export_limit = "10 kW"
"#;

#[test]
fn nothing_is_said_of_a_battery_that_is_not_there() {
    let design = Arc::new(design::Design::of_text(HOUSE));
    assert!(design.problems.is_empty(), "{:?}", design.problems);
    let study = Study::of(design, None, Depth::Whole, &mut Memo::default());
    let year = study.year.clone().unwrap();
    assert_eq!(year.result().unwrap().near_limits.empty, 0);
    let said: String = year_sentence(&study, &year).into_iter().map(|span| span.text).collect();
    assert!(said.contains("the sun gives") && said.contains("are sold"), "{said}");
    assert!(!said.contains("battery"), "{said}");
    let months = output::sheets::months(&study, &year);
    let heads: Vec<&str> = months.columns.iter().map(|column| &*column.head).collect();
    assert!(!heads.iter().any(|head| head.contains("battery") || head.contains("charge")), "{heads:?}");
    assert!(heads.contains(&"sold"));
    assert!(months.rows.iter().all(|row| row.cells.len() == heads.len()));
}
