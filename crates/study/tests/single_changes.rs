//! One change at a time to a whole design, each with a direction and bounds worked out by hand before it was run.
//!
//! The farmhouse: 2 × 9 modules of 430 W at 48° and 42.87° north, 6 batteries of 51.2 V · 100 Ah = 30.7 kWh, two inverters
//! of 6.5 kW with 42 W of idle draw each, 3945 kWh a year, the utility by a switch turned by hand. Sums are means of three
//! weather years.
#![allow(clippy::unwrap_used, clippy::expect_used)]

use design::Design;
use energy::YearResult;
use quantity::Measure;
use std::path::PathBuf;
use std::sync::{Arc, Mutex, OnceLock};
use study::{Depth, Memo, Study};

fn base() -> String {
    let file = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../designs/hollow-farm/hollow-farm.toml");
    let text = std::fs::read_to_string(file).unwrap();
    // A fixed conductor, so that a longer way is not answered by a thicker one.
    let text = with(&text, "years = 20", "years = 3");
    with(&text, "drop_target = \"2 %\"", "conductor = \"10 AWG\"")
}

fn with(text: &str, old: &str, new: &str) -> String {
    let changed = text.replace(old, new);
    assert_ne!(changed, text, "{old} is not in the design");
    changed
}

/// Layers are shared between the tests of a run.
fn study_of(text: &str) -> Study {
    static MEMO: OnceLock<Mutex<Memo>> = OnceLock::new();
    let design = Arc::new(Design::of_text(text));
    assert!(design.problems.is_empty(), "{:?}", design.problems);
    let mut memo = MEMO.get_or_init(Mutex::default).lock().unwrap();
    Study::of(design, None, Depth::Whole, &mut memo)
}

/// The balance of every year of a design.
fn years(text: &str) -> Vec<YearResult> {
    study_of(text).year.as_ref().unwrap().results.as_ref().as_ref().unwrap().clone()
}

fn mean(years: &[YearResult], of: impl Fn(&YearResult) -> f64) -> f64 {
    years.iter().map(of).sum::<f64>() / years.len() as f64
}

/// Of the base and of the changed design.
fn both(old: &str, new: &str, of: impl Fn(&YearResult) -> f64) -> (f64, f64) {
    let text = base();
    (mean(&years(&text), &of), mean(&years(&with(&text, old, new)), &of))
}

fn between(what: &str, value: f64, low: f64, high: f64) {
    assert!(value >= low && value <= high, "{what}: {value} is not between {low} and {high}");
}

fn pv(result: &YearResult) -> f64 {
    result.year.pv_offered_wh
}

fn fetched_or_missing(result: &YearResult) -> f64 {
    result.year.backup_wh() + result.year.missing_total_wh()
}

/// Noon sun in December stands 23.7° high: 18.3° off the normal of the 48° plane (cosine 0.949), 3.3° off that of 63° (0.998),
/// 5.2 % more; 10° high and 40° off south the cosines are 0.677 and 0.751, 11 % more, and few hours lie further out. Of
/// the sky the plane sees (1 + cos 63°)/2 = 0.727 instead of 0.835, so a dull December loses, at most a tenth. In June the
/// sun stands 70.6° high: cosines 0.878 and 0.724, 17.5 % less at noon, more in the morning and evening, less under clouds.
#[test]
fn tilt_plus_fifteen_degrees() {
    let month = |at: usize| move |r: &YearResult| r.months[at].pv_offered_wh;
    let change = |at| {
        let (before, after) = both("tilt = \"48°\"", "tilt = \"63°\"", month(at));
        after / before - 1.0
    };
    between("December", change(11), -0.10, 0.11);
    between("June", change(5), -0.30, -0.10);
}

/// 84 W for 8760 h are 735.8 kWh, less the hours in which nothing is left for them; twice that is 1471.7 kWh.
#[test]
fn idle_draw_doubled() {
    let (before, after) = both("idle = \"42 W\"", "idle = \"84 W\"", |r| r.year.losses.idle_wh / 1000.0);
    between("idle", before, 700.0, 735.9);
    between("idle doubled", after, 1.9 * before, 1471.8);
    let (before, after) = both("idle = \"42 W\"", "idle = \"84 W\"", fetched_or_missing);
    assert!(after > before, "{before} {after}");
}

/// A room at −2.8 °C instead of 7.2 °C at its coldest. 270 kg lose 28 W for each kelvin; the cells' own losses of some 25 W
/// keep them about a kelvin above the air. Charging ends at 0 °C: surplus is refused where none was before.
#[test]
fn bank_ten_kelvin_colder() {
    let cold = "between = [\"27 °F\", \"95 °F\"]";
    let of = |text: &str| {
        let years = years(text);
        let coldest = years.iter().map(|r| r.cell_c[0]).fold(f64::INFINITY, f64::min);
        (coldest, mean(&years, |r| r.year.unused_for_cold_wh), mean(&years, fetched_or_missing))
    };
    let warm = of(&base());
    let colder = of(&with(&base(), "between = [\"45 °F\", \"95 °F\"]", cold));
    between("coldest cells before", warm.0, 7.2, 9.2);
    between("coldest cells after", colder.0, -2.8, -0.8);
    assert_eq!(warm.1, 0.0);
    assert!(colder.1 > 0.0 && colder.2 > warm.2, "{colder:?} {warm:?}");
}

/// The same room, and 300 W of heater that holds 5 °C: 28 W/K · 7.8 K = 221 W at the coldest, so it holds, and never takes
/// more than those for all hours, 1936 kWh; cells so warm refuse no charge.
#[test]
fn a_heater_in_the_cold_room() {
    let cold = with(&base(), "between = [\"45 °F\", \"95 °F\"]", "between = [\"27 °F\", \"95 °F\"]");
    let heated = with(
        &cold,
        "\nparallel = 6\n",
        "\nparallel = 6\nheater = { power = \"300 W\", holds = \"41 °F\" }\n",
    );
    let (without, with) = (years(&cold), years(&heated));
    assert_eq!(mean(&without, |r| r.year.heater_wh), 0.0);
    between("heater", mean(&with, |r| r.year.heater_wh) / 1000.0, 50.0, 1936.0);
    let refused = |years: &[YearResult]| mean(years, |r| r.year.unused_for_cold_wh);
    assert!(refused(&with) < 0.01 * refused(&without), "{} {}", refused(&with), refused(&without));
}

/// Three times the way of 10 AWG is three times the resistance, and the loss with it where all is taken. 308 ft of 1.24 Ω/kft
/// are 0.38 Ω: 5 V of 293 V at 13.2 A, 1.7 %, then 5.2 %. Where the house takes the same power as before, the current rises
/// by at most 0.983/0.948 = 1.037 and the loss by its square: 3.23 times.
#[test]
fn cable_three_times_as_long() {
    let longer = with(&base(), "length = \"14 ft\"", "length = \"42 ft\"");
    let longer = with(&longer, "length = \"131 ft\"", "length = \"393 ft\"");
    let longer = with(&longer, "length = \"9 ft\"", "length = \"27 ft\"");
    let loss = |text: &str| mean(&years(text), |r| r.year.losses.array_cable_wh);
    between("cable loss", loss(&longer) / loss(&base()), 2.95, 3.23);
}

/// One of two equal rows is gone: half is left, but for the unequal length of their cables.
#[test]
fn one_string_off() {
    let text = base();
    let (from, to) = (text.find("[[string]]\nname = \"south row\"").unwrap(), text.find("[[unit]]").unwrap());
    let one = with(&text, &text[from..to], "");
    let one = with(&one, "carries = [\"north row\", \"south row\"]", "carries = [\"north row\"]");
    between("half", mean(&years(&one), pv) / mean(&years(&text), pv), 0.495, 0.505);
}

/// 0.94/0.97 of the light: 3.1 % less; cooler cells give back at most 0.3 %, weak light takes a little more.
#[test]
fn dirt_doubled() {
    let (before, after) = both("soiling = \"3 %\"", "soiling = \"6 %\"", pv);
    between("dirt", after / before - 1.0, -0.035, -0.027);
}

/// Ten modules for nine in each row: 11.1 % more; 10 · 36 V in the cold stay inside the window.
#[test]
fn a_module_more_in_each_string() {
    let (before, after) = both("count = 9", "count = 10", pv);
    between("ten for nine", after / before - 1.0, 0.105, 0.117);
}

/// Ten years of age at half a per cent a year.
#[test]
fn strings_ten_years_old() {
    let (before, after) = both("count = 9", "count = 9\nage = 10", pv);
    between("aged", after / before - 1.0, -0.053, -0.047);
}

/// 0.11 % more for each kelvin above 25 °C: cells of a cold place are at 25 to 45 °C while most light falls, and below 25 °C in
/// winter, where they gain.
#[test]
fn a_steeper_power_temperature_coefficient() {
    let (before, after) = both("pmax_per_kelvin = \"-0.29 %/K\"", "pmax_per_kelvin = \"-0.40 %/K\"", pv);
    between("coefficient", after / before - 1.0, -0.022, 0.0);
}

/// Seven batteries for six: electronics 7/6, and never more fetched or missing.
#[test]
fn a_battery_more() {
    let (before, after) = both("\nparallel = 6\n", "\nparallel = 7\n", |r| r.year.losses.standby_wh);
    between("electronics", after / before, 1.15, 1.18);
    let (before, after) = both("\nparallel = 6\n", "\nparallel = 7\n", fetched_or_missing);
    assert!(after < before, "{before} {after}");
}

/// Per kilowatt-hour delivered the cells lose 1/0.95 − 1 = 5.3 %, then 1/0.90 − 1 = 11.1 %: 2.11 times.
#[test]
fn round_trip_of_ninety_per_cent() {
    let cells = |r: &YearResult| r.year.losses.bank_in_wh + r.year.losses.bank_out_wh;
    let (before, after) = both("round_trip = \"95 %\"", "round_trip = \"90 %\"", cells);
    between("cells", after / before, 2.0, 2.25);
}

/// Two points less at each load: at 650 W out 650·(1/0.87 − 1/0.89) = 16.8 W more, 2.6 %; at 2600 W 2.3 %. Of 3.9 MWh that
/// is 90 to 101 kWh; the fitted curve may bend a little around its points.
#[test]
fn inverters_two_points_worse() {
    let (old, new) = (
        "{ \"10 %\" = \"89 %\", \"40 %\" = \"94 %\", \"100 %\" = \"91 %\" }",
        "{ \"10 %\" = \"87 %\", \"40 %\" = \"92 %\", \"100 %\" = \"89 %\" }",
    );
    let (before, after) = both(old, new, |r| r.year.losses.inverter_wh / 1000.0);
    between("more lost", after - before, 75.0, 120.0);
}

/// A refrigerator of 1024 kWh a year instead of 512.
#[test]
fn a_refrigerator_twice_as_hungry() {
    let (before, after) = both("yearly = \"512 kWh\"", "yearly = \"1024 kWh\"", |r| r.year.load_wh / 1000.0);
    between("more asked", after - before, 511.9, 512.1);
    let (before, after) = both("yearly = \"512 kWh\"", "yearly = \"1024 kWh\"", fetched_or_missing);
    between("more fetched", (after - before) / 1000.0, 0.0, 560.0);
}

/// The utility is called at 40 %: in the two hours it takes at most, 13 kW for two hours would take it from 40 % to nothing,
/// but the hourly means stay below 2 kW with losses: 4 kWh of 30.7, 13 %; and one hour more passes before it is called.
#[test]
fn the_utility_called_earlier() {
    let (old, new) = (
        "role = \"backup by transfer\"",
        "role = \"backup by transfer\"\ncharge_below = \"40 %\"\ncharge_up_to = \"60 %\"",
    );
    let text = base();
    let (before, after) = (years(&text), years(&with(&text, old, new)));
    let lowest = after.iter().map(|r| r.lowest_state_of_charge).fold(f64::INFINITY, f64::min);
    between("lowest charge", lowest, 0.40 - 0.20, 0.40);
    assert!(mean(&after, |r| r.year.backup_h) > mean(&before, |r| r.year.backup_h));
    assert_eq!(mean(&after, |r| r.year.dark_h), 0.0);
}

/// Two chargers of 10 A at 51.2 V put in 1024 W at most, where 7.7 kW of modules stand: on most of the winter's days and after
/// every dull spell the limit binds for an hour or more, so at least 200 hours a year.
#[test]
fn charging_with_a_ninth_of_the_current() {
    let (old, new) = ("charge = \"90 A\"", "charge = \"10 A\"");
    let (before, after) = both(old, new, |r| r.year.unused_wh);
    assert!(after > before, "{before} {after}");
    let (before, after) = both(old, new, |r| f64::from(r.near_limits.charge));
    assert!(after > before + 200.0, "{before} {after}");
    let (before, after) = both(old, new, fetched_or_missing);
    assert!(after > before, "{before} {after}");
}

/// 10 A for 22 A: modules of 13.2 A at 1000 W/m² are held back above 758 W/m², by at most 3.2 of 13.2 A, 24 %; no sky of
/// this place stays above that all day. Nine modules of 38.9 V reach 350 V in full light at 25 °C; with 0.25 %/K the cold of
/// winter days brings some tenth more, and the design extreme of −28 °C 396 V, which no hourly mean reaches.
#[test]
fn an_input_of_less_current() {
    let text = base();
    let (wide, narrow) =
        (study_of(&text), study_of(&with(&text, "current = \"22 A\"", "current = \"10 A\"")));
    let of = |study: &Study| study.year.as_ref().unwrap().inputs.clone();
    let (wide, narrow) = (of(&wide), of(&narrow));
    assert_eq!((wide.len(), narrow.len()), (2, 2));
    for (wide, narrow) in wide.iter().zip(&narrow) {
        let lost = |input: &study::InputHours| {
            let found = input.lost.iter().find(|(cause, _)| *cause == "current limit").unwrap();
            quantity::units::KILOWATT_HOUR.of_si(found.1.value.si())
        };
        assert_eq!((wide.limited_h, lost(wide)), (0, 0.0));
        between("hours at the limit", f64::from(narrow.limited_h), 100.0, 2200.0);
        // 2200 h of 24 % of 3.9 kW would be 2.0 MWh.
        between("lost to the limit", lost(narrow), 10.0, 2000.0);
        for input in [wide, narrow] {
            between("highest hour", input.highest.value.si(), 350.1, 396.0);
        }
    }
}

/// How the owner reads changes no result: every hour's charge and every sum of every year is the same to the last bit.
#[test]
fn another_system_of_units_changes_nothing() {
    let text = base();
    let metric = with(&text, "units = \"us\"", "units = \"metric\"");
    assert_eq!(years(&text), years(&metric));
}
