//! What a person waits for who asks what to build: the shipped farmhouse over its own choices and 20 weather years. Each
//! search is held against one made before it, and the best system against a fresh study of its own text.
#![allow(clippy::print_stdout, clippy::unwrap_used, clippy::expect_used)]

use quantity::{Measure, units};
use size::{SizeStudy, Stage, Watch, changed_text, search};
use std::path::PathBuf;
use std::sync::Arc;
use std::sync::Mutex;
use std::sync::atomic::AtomicBool;
use std::time::{Duration, Instant};
use study::{Depth, Memo, Study};

fn main() {
    if std::env::args().any(|word| word == "memory") {
        return memory();
    }
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../designs/hollow-farm/hollow-farm.toml");
    let text = std::fs::read_to_string(path).unwrap();
    let design = Arc::new(design::Design::of_text(&text));
    let mut last: Option<SizeStudy> = None;
    for _ in 0..3 {
        let begun = Instant::now();
        let rules_done: Mutex<Duration> = Mutex::new(Duration::ZERO);
        let progress = |stage, done: usize, of: usize| {
            if stage == Stage::Rules && done == of {
                *rules_done.lock().unwrap() = begun.elapsed();
            }
        };
        let stop = AtomicBool::new(false);
        let found = search(&design, None, &Watch { stop: &stop, progress: &progress }).unwrap();
        let whole = begun.elapsed();
        let rules = *rules_done.lock().unwrap();
        let years = (whole - rules).as_secs_f64();
        println!(
            "{} systems: first study and rules {:.0} ms, {} walked through {} years, {} and {} skipped before any and after the \
             hardest, which spared {} of {} years, {:.0} ms ({:.0} design-years/s), together {:.0} ms",
            found.counts.systems,
            rules.as_secs_f64() * 1e3,
            found.counts.examined,
            found.present.1.years,
            found.counts.skipped_unwalked,
            found.counts.skipped_after_hardest,
            found.counts.years_spared,
            found.counts.years_spared + found.walked.side_by_side + found.walked.one_by_one,
            years * 1e3,
            (found.walked.side_by_side + found.walked.one_by_one) as f64 / years,
            whole.as_secs_f64() * 1e3,
        );
        if let Some(last) = &last {
            assert_eq!((last.best, &last.front), (found.best, &found.front));
        }
        last = Some(found);
    }
    let found = last.unwrap();
    let best = found.best.expect("the farmhouse has a system that keeps its promise");
    let of_best = changed_text(&found.space, &design, best).unwrap();
    let study =
        Study::of(Arc::new(design::Design::of_text(&of_best)), None, Depth::Whole, &mut Memo::default());
    let hours = units::HOUR.of_si(study.year.as_ref().unwrap().backup_hours.value.si());
    let walked = found.candidates[best].outcome().unwrap().backup_h;
    assert!((hours - walked).abs() <= 1e-9 * hours.max(1.0), "{hours} {walked}");
    println!("best system {best}: {hours:.0} h on backup, the same as a fresh study");
    a_thousand(&text);
}

/// A wide space, one weather year: every system of the front and a thousand random ones against the study of each.
fn a_thousand(text: &str) {
    let set = |text: &str, path: &str, value: &str| {
        design::edit::set(text, path, value, design::catalogue::TABLES).unwrap()
    };
    let mut text = design::edit::remove(text, "promise.budget").unwrap();
    text = set(&text, "place.weather.years", "1");
    let tilts: Vec<String> = (0..15).map(|k| format!("\"{}°\"", 15 + 3 * k)).collect();
    text.push_str(&format!(
        "\n[[choice]]\nname = \"tilt\"\nsets = [\"plane.east field rack.tilt\"]\namong = [{}]\n",
        tilts.join(", ")
    ));
    let design = Arc::new(design::Design::of_text(&text));
    assert!(design.problems.is_empty(), "{:#?}", design.problems);
    let begun = Instant::now();
    let rules_done: Mutex<Duration> = Mutex::new(Duration::ZERO);
    let progress = |stage, done: usize, of: usize| {
        if stage == Stage::Rules && done == of {
            *rules_done.lock().unwrap() = begun.elapsed();
        }
    };
    let stop = AtomicBool::new(false);
    let found = search(&design, None, &Watch { stop: &stop, progress: &progress }).unwrap();
    let whole = begun.elapsed();
    println!(
        "{} systems of {} arrays: rules {:.0} ms, {} walked through a year, together {:.0} ms, most memory held {}",
        found.counts.systems,
        found.space.knobs.iter().skip(1).map(|knob| knob.settings.len()).product::<usize>(),
        rules_done.lock().unwrap().as_secs_f64() * 1e3,
        found.counts.examined,
        whole.as_secs_f64() * 1e3,
        most_memory(),
    );
    // Numbers of the xorshift generator (Marsaglia 2003): any spread of systems will do.
    let mut draw = 0x2545_f491_4f6c_dd1d_u64;
    let mut random = || {
        draw ^= draw << 13;
        draw ^= draw >> 7;
        draw ^= draw << 17;
        draw as usize % found.candidates.len()
    };
    let mut systems = found.front.clone();
    let mut drawn = 0;
    while drawn < 1000 {
        let at = random();
        if found.candidates[at].outcome().is_some() {
            systems.push(at);
            drawn += 1;
        }
    }
    let mut memo = Memo::with_room(64);
    let mut largest: f64 = 0.0;
    for at in &systems {
        let text = changed_text(&found.space, &design, *at).unwrap();
        let study = Study::of(Arc::new(design::Design::of_text(&text)), None, Depth::Years, &mut memo);
        let year = study.year.as_ref().unwrap();
        let outcome = found.candidates[*at].outcome().unwrap();
        let hour = |si: f64| units::HOUR.of_si(si);
        for (a, b) in [
            (outcome.backup_h, hour(year.backup_hours.si())),
            (outcome.dark_h, hour(year.dark_hours.si())),
            (outcome.missing_wh, units::WATT_HOUR.of_si(year.missing.si())),
            (outcome.backup_wh, units::WATT_HOUR.of_si(year.backup.si())),
            (outcome.unused_wh, units::WATT_HOUR.of_si(year.unused.si())),
        ] {
            let apart = (a - b).abs() / b.abs().max(1.0);
            assert!(apart <= 1e-9, "system {at}: {a} {b}");
            largest = largest.max(apart);
        }
    }
    println!(
        "the {} of the front and 1000 random ones have the figures of their own studies; largest difference {largest:.1e}",
        found.front.len()
    );
}

/// What a search holds of many systems: the wide space with tilts a tenth of a degree apart, every system held against the
/// rules and stopped before its years, or with `walk=N` after so many walked through twenty. The memory of a million follows from
/// such runs; the years of a system add no more than the size of an outcome.
fn memory() {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../designs/hollow-farm/hollow-farm.toml");
    let mut text = std::fs::read_to_string(path).unwrap();
    let tilts = std::env::args().find_map(|word| word.parse::<u32>().ok()).unwrap_or(150);
    let strides = std::env::args().find_map(|word| word.strip_prefix("walk=")?.parse::<usize>().ok());
    let years = if strides.is_some() { "20" } else { "1" };
    text = design::edit::set(&text, "place.weather.years", years, design::catalogue::TABLES).unwrap();
    let tilts: Vec<String> = (0..tilts).map(|k| format!("\"{:.2}°\"", 15.0 + 0.1 * f64::from(k))).collect();
    text.push_str(&format!(
        "\n[[choice]]\nname = \"tilt\"\nsets = [\"plane.east field rack.tilt\"]\namong = [{}]\n",
        tilts.join(", ")
    ));
    let design = Arc::new(design::Design::of_text(&text));
    assert!(design.problems.is_empty(), "{:#?}", design.problems);
    let stop = AtomicBool::new(false);
    let begun = Instant::now();
    let progress = |stage, done: usize, of: usize| {
        if stage == Stage::Rules && done == of {
            println!(
                "after the rules of {of}: {} at most, {:.0} s",
                most_memory(),
                begun.elapsed().as_secs_f64()
            );
        }
        if stage == Stage::Years && done >= strides.unwrap_or(0) {
            stop.store(true, std::sync::atomic::Ordering::Relaxed);
        }
    };
    let found = search(&design, None, &Watch { stop: &stop, progress: &progress }).unwrap();
    println!(
        "{} systems, {} of them can be built: {} at most; a system is {} bytes and an outcome {}",
        found.counts.systems,
        found.counts.buildable,
        most_memory(),
        size_of::<size::Candidate>(),
        size_of::<size::Outcome>(),
    );
}

/// As the system tells it, where it does.
fn most_memory() -> String {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"));
    line.map_or_else(|| "not known".to_string(), |words| words.trim().to_string())
}
