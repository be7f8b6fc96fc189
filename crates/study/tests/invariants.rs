//! What holds for the balance of every shipped design, whatever stands in it.
#![allow(clippy::unwrap_used, clippy::expect_used)]

use design::Design;
use energy::YearResult;
use quantity::{FigureName, Value};
use std::collections::BTreeMap;
use std::path::PathBuf;
use std::sync::Arc;
use study::{Depth, Memo, Study, YearStudy};

/// Shipped designs with a house that lives through the year, held to two weather years.
fn designs() -> Vec<(String, String)> {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../designs");
    let mut found = Vec::new();
    for entry in std::fs::read_dir(folder).expect("the designs are shipped") {
        let path = entry.unwrap().path();
        let name = path.file_name().unwrap().to_string_lossy().to_string();
        if let Ok(text) = std::fs::read_to_string(path.join(format!("{name}.toml"))) {
            found.push((name, text.replace("years = 20", "years = 2")));
        }
    }
    found.sort();
    found
}

fn study_of(text: &str) -> Study {
    Study::of(Arc::new(Design::of_text(text)), None, Depth::Whole, &mut Memo::default())
}

fn each_year(mut look: impl FnMut(&str, &Study, &YearStudy)) {
    let mut seen = 0;
    for (name, text) in designs() {
        let study = study_of(&text);
        if let Ok(year) = study.year.clone() {
            look(&name, &study, &year);
            seen += 1;
        }
    }
    assert!(seen >= 3, "only {seen} designs have a year");
}

fn results(year: &YearStudy) -> &[YearResult] {
    year.results.as_ref().as_ref().unwrap()
}

#[test]
fn every_hour_and_year_of_every_design_closes() {
    each_year(|name, _, year| {
        for result in results(year) {
            // 1e-9 kWh a step and 1e-11 of all that came in over the year.
            assert!(result.closing_error_wh <= 1e-6, "{name}: {} Wh", result.closing_error_wh);
            let of_year = result.closing_error_year_wh.abs() / result.throughput_wh();
            assert!(of_year <= 1e-11, "{name}: {of_year} of the throughput");
        }
    });
}

/// An hour in which the sun never clears the horizon brings no module power, and nothing is served from the sun.
#[test]
fn no_module_power_in_hours_without_sun() {
    each_year(|name, study, year| {
        let sky = study.sky.as_ref().unwrap();
        let mut nights = 0;
        for (number, brought) in year.brought.years.iter().enumerate() {
            let lived = year.trace(number).unwrap();
            for hour in (0..sun::HOURS).filter(|&hour| !sky.sun.has_sun(hour)) {
                assert_eq!(brought.offered.units.power_w[hour], 0.0, "{name}, year {number}, hour {hour}");
                assert_eq!(lived[hour].flows.from_sun_wh + lived[hour].flows.pv_offered_wh, 0.0);
                nights += 1;
            }
        }
        // About half of all hours anywhere.
        assert!(nights > 3000 * year.years(), "{name}: {nights}");
    });
}

#[test]
fn no_loss_of_any_cause_is_negative() {
    each_year(|name, _, year| {
        for number in 0..year.years() {
            for (hour, lived) in year.trace(number).unwrap().iter().enumerate() {
                for (cause, wh) in lived.flows.losses.by_cause() {
                    assert!(wh >= 0.0, "{name}, year {number}, hour {hour}, {cause}: {wh}");
                }
                assert!(lived.flows.unused_wh >= 0.0 && lived.flows.missing_total_wh() >= 0.0);
            }
        }
        for input in &year.inputs {
            for (cause, lost) in &input.lost {
                assert!(quantity::Measure::si(lost.value) >= 0.0, "{name}, {}, {cause}", input.unit);
            }
        }
    });
}

/// Bits of every figure, so that equality is exact.
fn bits(study: &Study) -> BTreeMap<FigureName, String> {
    let of = |value: &Value| match value {
        Value::Number { si, .. } => format!("{:x}", si.to_bits()),
        other => format!("{other:?}"),
    };
    study.figures.iter().map(|(name, figure)| (name.clone(), of(&figure.value))).collect()
}

/// One worker or seven: the same bits in every figure and in every hour.
#[test]
fn any_number_of_threads_gives_the_same_bits() {
    let on = |threads: usize, text: &str| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        pool.install(|| study_of(text))
    };
    for (name, text) in designs() {
        let text = text.replace("years = 2,", "years = 5,");
        let (one, seven) = (on(1, &text), on(7, &text));
        assert_eq!(bits(&one), bits(&seven), "{name}");
        if let (Ok(a), Ok(b)) = (&one.year, &seven.year) {
            assert_eq!(results(a), results(b), "{name}");
        }
    }
}

/// How the owner reads a design changes no result: every hour's charge and every sum of every year is the same to the last bit.
#[test]
fn the_system_of_units_changes_no_year_of_any_design() {
    let mut seen = [0; 2];
    for (name, text) in designs() {
        let swapped = match text.contains("\nunits = \"us\"\n") {
            true => text.replacen("\nunits = \"us\"\n", "\nunits = \"metric\"\n", 1),
            false => text.replacen("\nunits = \"metric\"\n", "\nunits = \"us\"\n", 1),
        };
        assert_ne!(swapped, text, "{name} states no system of units");
        let (one, other) = (study_of(&text), study_of(&swapped));
        assert_ne!(one.design.system.units, other.design.system.units);
        if let (Ok(a), Ok(b)) = (&one.year, &other.year) {
            assert_eq!(results(a), results(b), "{name}");
            seen[usize::from(text.contains("\nunits = \"us\"\n"))] += 1;
        }
    }
    assert!(seen.iter().all(|count| *count > 0), "{seen:?}");
}

/// The farmhouse without the runs that link its batteries, so that no resistance stands between them: six batteries, and twelve
/// of half the capacity, currents, own draw and weight.
#[test]
fn two_equal_half_batteries_equal_one() {
    let designs = designs();
    let (_, text) = designs.iter().find(|(name, _)| name == "hollow-farm").unwrap();
    let with = |text: &str, old: &str, new: &str| {
        let changed = text.replace(old, new);
        assert_ne!(changed, text, "{old} is not in the design");
        changed
    };
    let from = text.find("[[run]]\nname = \"rack links\"").unwrap();
    let to = from + text[from + 1..].find("\n[[run]]").unwrap() + 2;
    let whole = with(text, &text[from..to], "");
    let mut halves = with(&whole, "capacity = \"100 Ah\"", "capacity = \"50 Ah\"");
    for (old, new) in [
        (
            "current = { charge = \"50 A\", discharge = \"100 A\", peak = \"150 A\"",
            "current = { charge = \"25 A\", discharge = \"50 A\", peak = \"75 A\"",
        ),
        ("standby = \"2 W\"", "standby = \"1 W\""),
        ("weight = \"99 lb\"", "weight = \"49.5 lb\""),
        ("\nparallel = 6\n", "\nparallel = 12\n"),
    ] {
        halves = with(&halves, old, new);
    }
    let (whole, halves) = (study_of(&whole), study_of(&halves));
    let (whole, halves) = (whole.year.unwrap(), halves.year.unwrap());
    assert_eq!(whole.house.inputs.bank.link_loss_per_w, 0.0);
    for (a, b) in results(&whole).iter().zip(results(&halves)) {
        let same = |what: &str, a: f64, b: f64| {
            assert!((a - b).abs() <= 1e-12 * a.abs().max(1.0), "{what}: {a} and {b}");
        };
        same("missing", a.year.missing_total_wh(), b.year.missing_total_wh());
        same("from the utility", a.year.backup_wh(), b.year.backup_wh());
        same("from the battery", a.year.from_bank_wh, b.year.from_bank_wh);
        same("unused", a.year.unused_wh, b.year.unused_wh);
        same("full cycles", a.full_cycles, b.full_cycles);
        for ((cause, a), (_, b)) in a.year.losses.by_cause().into_iter().zip(b.year.losses.by_cause()) {
            same(cause, a, b);
        }
    }
}
