//! Houses of several kinds of units, made from the farmhouse: charge controllers beside inverters with inputs of their own,
//! inverters of two models, modules on the AC side.
#![allow(clippy::unwrap_used, clippy::expect_used)]

use design::Design;
use quantity::Measure;
use std::path::PathBuf;
use std::sync::Arc;
use study::{Depth, Memo, Study, YearStudy};

fn base() -> String {
    let file = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../designs/hollow-farm/hollow-farm.toml");
    with(&std::fs::read_to_string(file).unwrap(), "years = 20", "years = 2")
}

fn with(text: &str, old: &str, new: &str) -> String {
    let changed = text.replacen(old, new, 1);
    assert_ne!(changed, text, "{old} is not in the design");
    changed
}

fn study_of(text: &str) -> Study {
    let design = Arc::new(Design::of_text(text));
    assert!(design.problems.is_empty(), "{:?}", design.problems);
    Study::of(design, None, Depth::Whole, &mut Memo::default())
}

fn year_of(study: &Study) -> Arc<YearStudy> {
    let year = study.year.clone().unwrap();
    for result in year.results.as_ref().as_ref().unwrap() {
        assert!(result.closing_error_wh <= 1e-6);
        assert!(result.closing_error_year_wh.abs() <= 1e-11 * result.throughput_wh());
    }
    year
}

fn refused(text: &str) -> String {
    match study_of(text).year {
        Err(study::Unanswered::Refused { because, field }) => format!("{because} at {}", field.unwrap()),
        other => panic!("{other:?}"),
    }
}

const CONTROLLER: &str = r#"[controller.charger]
pv_input = [{ voltage_limit = "500 V", tracks = ["90 V", "430 V"], current = "22 A", short_circuit = "27 A", back_feed = "0 A" }]
charge = "40 A"
efficiency = "96 %"
idle = "3 W"
price = 480

[[unit]]
name = "controller"
controller = "charger"
bank = "rack"
room = "equipment corner"

"#;

/// The south row goes into a controller of 40 A at 51.2 V: 2048 W at the bus from 2048/0.96 = 2133 W of modules, of 3870 W that
/// they are rated for. The north row stays at its inverter.
#[test]
fn a_charge_controller_beside_inverters_with_inputs() {
    let text = with(
        &base(),
        "into = { unit = \"inverter B\", input = 1 }",
        "into = { unit = \"controller\", input = 1 }",
    );
    let text = with(&text, "[[bank]]\n", &format!("{CONTROLLER}[[bank]]\n"));
    let study = study_of(&text);
    let year = year_of(&study);
    let fleet = &year.house.inputs.fleet;
    assert!((fleet.controller_limit_w - 2048.0).abs() < 1e-9);
    // Two units of 90 A at 51.2 V.
    assert!((fleet.charge_limit_w - 9216.0).abs() < 1e-9);
    for brought in &year.brought.years {
        let (units, controllers) = (&brought.offered.units, &brought.offered.controllers);
        let most = controllers.power_w.iter().copied().fold(0.0, f64::max);
        assert!((most - 2048.0 / 0.96).abs() < 1e-6, "{most}");
        for (hour, (dc, bus)) in
            controllers.power_w.iter().zip(&brought.offered.controllers_bus_w).enumerate()
        {
            assert!((bus - 0.96 * dc).abs() < 1e-9);
            // Both rows lie alike and have nearly the same cable: below the limit they bring the same.
            let other = units.power_w[hour];
            assert!((dc - other.min(most)).abs() <= 0.01 * other + 1.0, "hour {hour}: {dc} and {other}");
        }
    }
    let input = year.inputs.iter().find(|input| &*input.unit == "controller").unwrap();
    let lost = input.lost.iter().find(|(cause, _)| *cause == "power limit").unwrap();
    assert!(lost.1.value.si() > 0.0 && input.limited_h > 100);
}

const SMALL: &str = r#"[inverter.small]
output = "3250 W"
volts = "120"
surge = { power = "6.5 kVA", lasts = "5 s" }
efficiency = { "10 %" = "87 %", "40 %" = "92 %", "100 %" = "89 %" }
idle = "30 W"
battery_range = ["44 V", "58.4 V"]
neutral_bond = "none"
pv_input = [{ voltage_limit = "500 V", tracks = ["90 V", "430 V"], current = "22 A", short_circuit = "27 A", power = "7 kW", back_feed = "0 A" }]
pv_efficiency = "95 %"
charge = "45 A"
charge_efficiency = "90 %"
price = 700

"#;

fn of_two_models() -> String {
    let text = with(
        &base(),
        "name = \"inverter B\"\ninverter = \"wall\"",
        "name = \"inverter B\"\ninverter = \"small\"",
    );
    with(&text, "[battery.rack_unit]", &format!("{SMALL}[battery.rack_unit]"))
}

/// 6500 W and 3250 W share as two to one. The idle draws are 42 and 30 W; the losses that grow with power meet both data sheets:
/// at 40 % each unit alone takes 2600/0.94 = 2765.96 W and 1300/0.92 = 1413.04 W, 4179.00 W for 3900 W together. The curves
/// are fitted to three points and miss each by at most a point of efficiency, some 40 W of 4179.
#[test]
fn inverters_of_two_models_share_by_their_rating() {
    let year = year_of(&study_of(&of_two_models()));
    let fleet = &year.house.inputs.fleet;
    assert_eq!(fleet.discharge.idle_w, 72.0);
    assert_eq!(fleet.output_limit_w, 9750.0);
    assert_eq!(fleet.leg_limit_w, Some([6500.0, 3250.0]));
    assert!((fleet.discharge.input_for_output(3900.0) - 4179.0).abs() < 45.0);
    // Two thirds at 92 % and a third at 90 %: 1/(2/3/0.92 + 1/3/0.9) = 0.91324.
    assert!((fleet.charge_efficiency - 0.913_24).abs() < 1e-5, "{}", fleet.charge_efficiency);
    // The row at the small unit reaches the bus at 95 %, the other at the 97 % of its own.
    let brought = &year.brought.years[0].offered;
    let (dc, bus): (f64, f64) =
        (brought.controllers.power_w.iter().sum(), brought.controllers_bus_w.iter().sum());
    assert!((bus / dc - 0.95).abs() < 1e-12 && (fleet.pv_efficiency - 0.97).abs() < 1e-12);
    // Without the large unit the small one is left with its own numbers.
    assert_eq!(year.broken.len(), 2);
}

#[test]
fn two_curves_from_modules_are_refused_with_the_reason() {
    let curve = "pv_to_battery = { \"10 %\" = \"94 %\", \"100 %\" = \"96 %\" }\n";
    let text = with(&of_two_models(), "[inverter.small]\n", &format!("[inverter.small]\n{curve}"));
    // One curve beside a single figure is computed.
    year_of(&study_of(&text));
    let text = with(&text, "[inverter.wall]\n", &format!("[inverter.wall]\n{curve}"));
    let said = refused(&text);
    assert!(
        said.contains("\"wall\"") && said.contains("\"small\"") && said.contains("pv_to_battery"),
        "{said}"
    );
}

const ROOF: &str = r#"[inverter.roof]
output = "3600 W"
volts = "120/240"
surge = { power = "3600 VA", lasts = "5 s" }
efficiency = { "10 %" = "94 %", "50 %" = "97 %", "100 %" = "96.5 %" }
idle = "8 W"
interactive = "yes"
neutral_bond = "none"
pv_input = [{ voltage_limit = "500 V", tracks = ["90 V", "430 V"], current = "22 A", short_circuit = "27 A", power = "7 kW", back_feed = "0 A" }]
price = 700

"#;

fn with_array_inverter() -> String {
    let text = with(
        &base(),
        "into = { unit = \"inverter B\", input = 1 }",
        "into = { unit = \"array inverter\", input = 1 }",
    );
    let text = with(&text, "[battery.rack_unit]", &format!("{ROOF}[battery.rack_unit]"));
    let unit = "[[unit]]\nname = \"array inverter\"\ninverter = \"roof\"\nroom = \"equipment corner\"\n\n";
    let text = with(&text, "[[bank]]\n", &format!("{unit}[[bank]]\n"));
    let panel = "fed_by = [\"inverter A\", \"inverter B\", \"array inverter\"]";
    with(&text, "fed_by = [\"inverter A\", \"inverter B\"]", panel)
}

/// An array inverter makes no supply: it counts neither for the output of the house nor for a motor's start, and its modules go to
/// loads first, at no more than 3600 W, and to the battery through the chargers of the two units: 2 × 90 A at 51.2 V.
#[test]
fn an_array_inverter_follows_the_units_at_the_battery() {
    let (plain, text) = (study_of(&base()), with_array_inverter());
    let study = study_of(&text);
    let year = year_of(&study);
    let coupled = year.house.inputs.fleet.coupled.unwrap();
    assert_eq!(coupled.output_limit_w, 3600.0);
    assert_eq!(coupled.curve.idle_w, 8.0);
    assert!((coupled.charge_w - 9216.0).abs() < 1e-9);
    assert_eq!(study.stack.output.si(), plain.stack.output.si());
    assert_eq!(study.stack.surge.si(), plain.stack.surge.si());
    assert_eq!(study.stack.count, 2);
    for (leg, alone) in study.legs.iter().zip(&plain.legs) {
        assert_eq!(leg.limit.si(), alone.limit.si());
    }
    for (start, alone) in study.starts.iter().zip(&plain.starts) {
        assert_eq!(start.limit.si(), alone.limit.si());
    }
    // Half of the modules went over to the AC side, and the whole still offers the same.
    let sum = |power: &[f64]| power.iter().sum::<f64>();
    let brought = &year.brought.years[0].offered;
    let share = sum(&brought.coupled.power_w) / sum(&brought.units.power_w);
    assert!((0.98..1.02).contains(&share), "{share}");
    // Unit A or B or the array inverter out of order.
    assert_eq!(year.broken.len(), 3);
    let on_a_leg = with(&text, "inverter = \"roof\"\n", "inverter = \"roof\"\nleg = \"A\"\n");
    assert!(refused(&on_a_leg).contains("one leg of two"), "{}", refused(&on_a_leg));
}
