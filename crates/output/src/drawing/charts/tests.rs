//! Every chart in both forms: well-formed, legible, inside its sheet.
#![allow(clippy::unwrap_used)]

use super::*;
use crate::drawing::{
    ChargeHours, LEGIBLE, PlaneLayout, Shape, StringOnPlane, charge_map, palette, string_map, svg,
};

const FORMS: [Form; 2] = [Form::Wide, Form::Phone];

/// Checks what holds for any drawing, and leaves a picture where one is asked for.
fn check(name: &str, drawing: &Drawing) {
    let printed = svg::print(drawing);
    if let Some(folder) = std::env::var_os("WATTWRIGHT_PICTURES") {
        std::fs::write(std::path::Path::new(&folder).join(format!("{name}.svg")), &printed).unwrap();
    }
    roxmltree::Document::parse(&printed).unwrap();
    roxmltree::Document::parse(&svg::inline(drawing, name, "A title", "What it shows")).unwrap();
    assert!(!printed.contains("NaN") && !printed.contains("inf"), "{name}");
    for shape in &drawing.shapes {
        let (Shape::Path { class, .. } | Shape::Text { class, .. }) = shape;
        assert!(palette::paint(class).is_some(), "{name}: class {class} is not in the palette");
        if let Shape::Text { x, y, size, anchor, text, .. } = shape {
            assert!(*size >= LEGIBLE, "{name}: {text}");
            // The measure is generous by about a tenth.
            let w = 0.9 * text_width(text, *size);
            let left = match anchor {
                Anchor::Start => *x,
                Anchor::Middle => x - w / 2.0,
                Anchor::End => x - w,
            };
            assert!(left > -0.5 && left + w < drawing.width + 0.5, "{name}: \"{text}\" leaves the sheet");
            assert!(*y > 0.0 && *y <= drawing.height + 0.1, "{name}: \"{text}\" leaves the sheet");
        }
    }
}

/// Charge that falls at night and rises by day, poor in winter.
fn year() -> (Vec<f32>, Vec<bool>, Vec<bool>) {
    let mut charge = Vec::new();
    let (mut backup, mut dark) = (Vec::new(), Vec::new());
    let mut level = 0.5f64;
    for hour in 0..8760usize {
        let day = hour as f64 / 24.0;
        let season = 0.5 - 0.5 * ((day + 10.0) / 365.0 * std::f64::consts::TAU).cos();
        let cloud = 0.5 + 0.5 * ((day.floor() * 12.9898).sin() * 43758.5453).fract();
        let sun = (((hour % 24) as f64 - 12.0) / 12.0 * std::f64::consts::PI).cos().max(0.0);
        level += sun * (0.12 + 0.2 * season) * (0.25 + cloud) - 0.03;
        backup.push(level < 0.03);
        dark.push(level < 0.0);
        level = level.clamp(0.0, 1.0);
        charge.push(level as f32);
    }
    (charge, backup, dark)
}

fn hours<'a>(charge: &'a [f32], backup: &'a [bool], dark: &'a [bool]) -> ChargeHours<'a> {
    ChargeHours {
        charge,
        backup,
        dark,
        backup_name: "on the utility",
        worst: Some(354..364),
        worst_name: "the worst ten days",
    }
}

#[test]
fn a_year_of_charge_is_one_path_per_class() {
    let (charge, backup, dark) = year();
    for form in FORMS {
        let drawing = charge_map(&hours(&charge, &backup, &dark), form);
        check(&format!("charge-{form:?}"), &drawing);
        assert!(drawing.shapes.len() < 70, "one path per class, not one per hour");
        assert!(svg::print(&drawing).len() < 120_000);
    }
}

#[test]
fn areas_of_the_charge_map_add_up_to_its_field() {
    // Each hour is in exactly one class: the widths of all runs add up to 24 rows of the field.
    let (charge, backup, dark) = year();
    for form in FORMS {
        let drawing = charge_map(&hours(&charge, &backup, &dark), form);
        let mut sum = 0.0;
        for shape in &drawing.shapes {
            let Shape::Path { d, class, .. } = shape else { continue };
            if !(class.starts_with('q') || ["backup", "dark"].contains(class)) || d.matches('M').count() < 2 {
                continue;
            }
            for run in d.split('M').skip(1) {
                let width: f64 = run.split('h').nth(1).unwrap().split('v').next().unwrap().parse().unwrap();
                sum += width;
            }
        }
        let field = form.width() - text_width("noon", LABEL) - 1.6 - 1.0;
        // Widths are rounded to a hundredth of a millimetre in some thousand runs.
        assert!((sum / 24.0 - field).abs() < 0.6, "{form:?}: {} of {field}", sum / 24.0);
    }
}

#[test]
fn short_empty_and_blank_years_do_not_break_the_map() {
    for form in FORMS {
        check("charge-empty", &charge_map(&hours(&[], &[], &[]), form));
        check("charge-day", &charge_map(&hours(&[0.3; 24], &[], &[]), form));
        check("charge-blank", &charge_map(&hours(&[f32::NAN; 8760], &[], &[]), form));
        let mut round = hours(&[0.3; 8760], &[], &[]);
        round.worst = Some(360..370);
        check("charge-round", &charge_map(&round, form));
    }
}

#[test]
fn months_stack_in_both_forms() {
    let sun = [192.0, 177.0, 222.0, 203.0, 194.0, 167.0, 169.0, 176.0, 178.0, 177.0, 180.0, 159.0];
    let battery = [364.0, 308.0, 294.0, 239.0, 209.0, 179.0, 176.0, 180.0, 208.0, 275.0, 309.0, 363.0];
    let utility = [11.0, 8.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 30.0];
    let series = [
        ("straight from the sun", "sun", sun),
        ("through the battery", "battery", battery),
        ("from the utility", "backup", utility),
    ];
    for form in FORMS {
        check(&format!("months-{form:?}"), &months_stacked(&series, "kWh", form));
        check("months-none", &months_stacked(&[], "kWh", form));
        check("months-nan", &months_stacked(&[("x", "sun", [f64::NAN; 12])], "kWh", form));
    }
}

#[test]
fn the_height_of_a_month_is_its_value() {
    let drawing =
        months_stacked(&[("a", "sun", [100.0; 12]), ("b", "battery", [50.0; 12])], "kWh", Form::Wide);
    let height = |class: &str| {
        let d = drawing.shapes.iter().find_map(|s| match s {
            Shape::Path { d, class: c, title, .. } if *c == class && !title.is_empty() => Some(d.clone()),
            _ => None,
        });
        d.unwrap().split('v').nth(1).unwrap().split('h').next().unwrap().parse::<f64>().unwrap()
    };
    // Twice the value is twice the height, to the hundredth of a millimetre numbers are printed with.
    assert!((height("sun") - 2.0 * height("battery")).abs() < 0.03);
}

#[test]
fn a_value_that_is_not_known_is_said_to_be_so() {
    let items: Vec<(String, &'static str, f64)> =
        vec![("wires".into(), "plain", f64::NAN), ("dust".into(), "plain", 2.0)];
    let drawing = bars(&items, "%", Form::Wide);
    let says =
        |wanted: &str| drawing.shapes.iter().any(|s| matches!(s, Shape::Text { text, .. } if text == wanted));
    assert!(says("not known") && !says("0"));
}

#[test]
fn bars_show_gains_and_losses() {
    let items: Vec<(String, &'static str, f64)> = vec![
        ("light on the module's plane".into(), "plain", 1.4),
        ("soiling".into(), "plain", -2.0),
        ("heat of the cells, counted against 25 °C".into(), "plain", -4.6),
        ("wires".into(), "plain", -1.1),
        ("not known".into(), "plain", f64::NAN),
    ];
    for form in FORMS {
        check(&format!("bars-{form:?}"), &bars(&items, "%", form));
        check("bars-none", &bars(&[], "%", form));
    }
}

#[test]
fn sun_hours_in_both_forms() {
    let values = [2.9, 3.8, 4.9, 5.8, 6.3, 6.9, 7.1, 6.5, 5.6, 4.3, 3.1, 2.6];
    for form in FORMS {
        check(&format!("sun-{form:?}"), &sun_hours(&values, form));
    }
}

#[test]
fn string_voltage_over_temperature_in_both_forms() {
    let voltage = |at25: f64, beta: f64| -> Vec<(f64, f64)> {
        (-30..=75).step_by(5).map(|t| (f64::from(t), at25 * (1.0 + beta * (f64::from(t) - 25.0)))).collect()
    };
    let lines = [
        Line {
            name: "open circuit".into(),
            class: "curve",
            points: voltage(405.0, -0.0027),
            marked: vec![(-28.0, 463.0, "463 V at −28 °C".into())],
        },
        Line {
            name: "at full power".into(),
            class: "curve-second",
            points: voltage(338.0, -0.0034),
            marked: vec![],
        },
    ];
    let limits = [
        Limit { name: "most the input bears".into(), value: 500.0, class: "limit" },
        Limit { name: "starts".into(), value: 120.0, class: "limit-soft" },
    ];
    for form in FORMS {
        let band = Some(("full-power window", 90.0, 430.0));
        let drawing = line_with_band(&lines, band, &limits, "cell temperature, °C", "volts", form);
        check(&format!("volts-{form:?}"), &drawing);
        check("volts-none", &line_with_band(&[], None, &[], "°C", "V", form));
    }
}

fn on_plane(name: &str, modules: usize) -> StringOnPlane {
    StringOnPlane { name: name.into(), modules, ..StringOnPlane::default() }
}

#[test]
fn modules_lie_where_the_owner_says() {
    let said = |row, first_column, name: &str, modules| StringOnPlane {
        row: Some(row),
        first_column,
        ..on_plane(name, modules)
    };
    let plane = PlaneLayout {
        name: "roof".into(),
        rows: 2,
        columns: 8,
        strings: vec![said(2, Some(3), "upper", 4), said(1, None, "lower", 5), said(1, None, "beside", 3)],
    };
    let of = |string: usize| {
        let all = plane.modules().into_iter().filter(move |m| m.string == string);
        all.map(|m| (m.row, m.column)).collect::<Vec<_>>()
    };
    // Row 2 from the lower edge is the upper one; the third string follows the one before it in its row.
    assert_eq!(of(0), [(0, 2), (0, 3), (0, 4), (0, 5)]);
    assert_eq!(of(1), [(1, 0), (1, 1), (1, 2), (1, 3), (1, 4)]);
    assert_eq!(of(2), [(1, 5), (1, 6), (1, 7)]);
    assert_eq!(plane.shape(), (2, 8));
    // Over both rows, side by side, to and fro: the second string begins behind the first.
    let over = PlaneLayout { strings: vec![on_plane("a", 5), on_plane("b", 4)], columns: 0, ..plane.clone() };
    let places: Vec<_> = over.modules().iter().map(|m| (m.string, m.number, m.row, m.column)).collect();
    assert_eq!(places[..5], [(0, 1, 0, 0), (0, 2, 0, 1), (0, 3, 0, 2), (0, 4, 1, 2), (0, 5, 1, 1)]);
    assert_eq!(places[5..], [(1, 1, 0, 3), (1, 2, 0, 4), (1, 3, 1, 4), (1, 4, 1, 3)]);
    assert_eq!(over.shape(), (2, 5));
}

#[test]
fn a_roof_of_three_strings_is_numbered_and_told_apart() {
    let planes = [
        PlaneLayout {
            name: "south roof".into(),
            rows: 3,
            columns: 8,
            strings: vec![on_plane("south A", 9), on_plane("south B", 9), on_plane("south C", 4)],
        },
        PlaneLayout {
            name: "rack".into(),
            rows: 2,
            columns: 12,
            strings: vec![on_plane("rack upper", 12), on_plane("rack lower", 12)],
        },
    ];
    for form in FORMS {
        let drawing = string_map(&planes, form);
        check(&format!("map-{form:?}"), &drawing);
        let modules = drawing.shapes.iter().filter(
            |s| matches!(s, Shape::Path { class, of, .. } if class.starts_with("module") && !of.is_empty()),
        );
        assert_eq!(modules.count(), 9 + 9 + 4 + 24, "each module once");
        check("map-none", &string_map(&[], form));
    }
}
