//! How many instructions the plain balance takes: counted, not timed, so that it says the same on a slow and on a busy
//! machine. Counted by callgrind where it is installed; elsewhere this is said and nothing is compared.
#![allow(clippy::unwrap_used, clippy::print_stdout)]

mod common;

use common::{Draws, Year, plain};
use energy::{HOURS, Start, System, Transfer, run};
use std::process::Command;

/// Set in the process that callgrind counts.
const COUNTED: &str = "WATTWRIGHT_COUNTED_YEAR";

/// Most instructions of an hour of the reference with a backup that starts and stops: 1740 were counted on x86-64 in the
/// profile of the tests, where this crate is optimised and those below it are not; a third more may be a compiler's doing.
/// What is added to the physics raises it knowingly.
const MOST_PER_HOUR: u64 = 2320;

#[test]
fn an_hour_of_the_reference_takes_no_more_instructions_than_it_did() {
    let transfer = Transfer {
        acts_within_h: 0.0,
        start_below: 0.25,
        stop_above: 0.6,
        charge_w: 2000.0,
        limit_w: f64::INFINITY,
    };
    if let Some(years) = std::env::var(COUNTED).ok().and_then(|years| years.parse().ok()) {
        let year = Year::random(&mut Draws(2));
        let inputs = plain(System::BackupThroughInput(transfer));
        for _ in 0..years {
            std::hint::black_box(run(&inputs, &year.input(), Start::AfterDecember).unwrap());
        }
        return;
    }
    // What a second year adds is a year and nothing else.
    let (Some(one), Some(two)) = (counted(1), counted(2)) else {
        println!("skipped: valgrind is not installed or cannot run, instructions were not counted");
        return;
    };
    let total = two - one;
    // A year and the December before it.
    let per_hour = total / (HOURS + 31 * 24) as u64;
    println!("{per_hour} instructions an hour");
    assert!(per_hour > 100, "the balance was not found among what was counted: {per_hour}");
    assert!(
        per_hour <= MOST_PER_HOUR,
        "{per_hour} instructions an hour, at most {MOST_PER_HOUR} were expected"
    );
}

/// Instructions of the process that walks so many years; `None` without callgrind.
fn counted(years: u32) -> Option<u64> {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("counts");
    let output = Command::new("valgrind")
        .arg("--tool=callgrind")
        .arg(format!("--callgrind-out-file={}", file.display()))
        .arg(std::env::current_exe().unwrap())
        .args(["--exact", "an_hour_of_the_reference_takes_no_more_instructions_than_it_did"])
        .env(COUNTED, years.to_string())
        .output()
        .ok()?;
    // A valgrind that lacks the symbols of the C library ends before it counts: that says nothing of the balance.
    let Ok(counts) = std::fs::read_to_string(&file) else {
        println!("{}", String::from_utf8_lossy(&output.stderr));
        return None;
    };
    let sum = |name: &str| counts.lines().find_map(|line| line.strip_prefix(name)?.trim().parse().ok());
    Some(sum("summary:").or_else(|| sum("totals:")).unwrap())
}
