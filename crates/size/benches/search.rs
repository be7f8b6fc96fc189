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
            "{} systems: first study and rules {:.0} ms, {} walked through {} years {:.0} ms ({:.0} design-years/s), together {:.0} ms",
            found.counts.systems,
            rules.as_secs_f64() * 1e3,
            found.counts.examined,
            found.present.1.years,
            years * 1e3,
            (found.counts.examined * found.present.1.years) as f64 / years,
            whole.as_secs_f64() * 1e3,
        );
        if let Some(last) = &last {
            assert_eq!((last.best, &last.front), (found.best, &found.front));
        }
        last = Some(found);
    }
    let found = last.unwrap();
    let best = found.best.expect("the farmhouse has a system that keeps its promise");
    let text = changed_text(&found.space, &design, best).unwrap();
    let study = Study::of(Arc::new(design::Design::of_text(&text)), None, Depth::Whole, &mut Memo::default());
    let hours = units::HOUR.of_si(study.year.as_ref().unwrap().backup_hours.value.si());
    let walked = found.candidates[best].outcome().unwrap().backup_h;
    assert!((hours - walked).abs() <= 1e-9 * hours.max(1.0), "{hours} {walked}");
    println!("best system {best}: {hours:.0} h on backup, the same as a fresh study");
}
