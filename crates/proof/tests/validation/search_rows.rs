//! What to build: the search against every system studied for itself.

use crate::record::{Allowed, Largest, Section, Standing};
use design::Design;
use design::catalogue::TABLES;
use quantity::{Money, units};
use size::{SizeStudy, Watch, changed_text, search};
use std::sync::Arc;
use std::sync::atomic::AtomicBool;
use study::{Depth, Memo, Study};

const FARM: &str = include_str!("../../../../designs/hollow-farm/hollow-farm.toml");
/// Random systems whose figures are compared; the kept bench of the search compares a thousand.
const RANDOM: usize = 100;

fn set(text: &str, path: &str, value: &str) -> String {
    design::edit::set(text, path, value, TABLES).expect("a field of the shipped farmhouse")
}

/// The shipped farmhouse with its own choices, three weather years and tilts that make many systems of it; with the utility behind
/// its bank or alone.
fn farm(with_backup: bool) -> Arc<Design> {
    let mut text = set(FARM, "place.weather.years", "3");
    text = design::edit::remove(&text, "promise.budget").expect("the farmhouse has a budget");
    if !with_backup {
        text = set(&text, "utility.role", "\"none\"");
    }
    text.push_str(
        "\n[[choice]]\nname = \"tilt\"\nsets = [\"plane.east field rack.tilt\"]\namong = [\"20°\", \"40°\", \"65°\"]\n",
    );
    let design = Design::of_text(&text);
    assert!(design.problems.is_empty(), "{:#?}", design.problems);
    Arc::new(design)
}

/// What the study of a system for itself says.
struct Alone {
    cost: Money,
    figures: [f64; 5],
    keeps: bool,
}

fn alone(design: &Design, found: &SizeStudy, system: usize, memo: &mut Memo) -> Alone {
    let text = changed_text(&found.space, design, system).expect("a system of the space");
    let study = Study::of(Arc::new(Design::of_text(&text)), None, Depth::Years, memo);
    let year = study.year.as_ref().expect("a year");
    let hours = |si: f64| units::HOUR.of_si(si);
    let energy = |si: f64| units::WATT_HOUR.of_si(si);
    let drill = year.drill.as_ref().is_none_or(|drill| drill.of - drill.carried <= drill.may_fail);
    Alone {
        cost: study.bill.total.value,
        figures: [
            hours(year.backup_hours.si()),
            hours(year.dark_hours.si()),
            energy(year.missing.si()),
            energy(year.backup.si()),
            energy(year.unused.si()),
        ],
        keeps: year.promise.is_none_or(|held| held.holds) && drill,
    }
}

pub(crate) fn sections() -> Vec<Section> {
    let mut section = Section::new(
        "What to build",
        "No outside table says which system is the cheapest for a house. So the search is held against brute force: every system \
         that can be built is studied for itself, by the way anyone asks for its year, and the first in order of cost that keeps the \
         promise is looked for among all. Two ways of this program, not a source beside it; the balance that both rest on has \
         its own rows above.",
    );
    let mut largest = Largest::default();
    for with_backup in [true, false] {
        let design = farm(with_backup);
        let stop = AtomicBool::new(false);
        let watch = Watch { stop: &stop, progress: &|_, _, _| {} };
        let found = search(&design, None, &watch).expect("the choices can be searched");
        let mut memo = Memo::with_room(64);
        let built: Vec<usize> =
            (0..found.candidates.len()).filter(|at| found.candidates[*at].bulk().is_some()).collect();
        let all: Vec<(usize, Alone)> =
            built.iter().map(|at| (*at, alone(&design, &found, *at, &mut memo))).collect();
        let mut cases: Vec<(&str, bool)> = Vec::new();
        for (at, alone) in &all {
            let candidate = &found.candidates[*at];
            let settled = match (candidate.outcome(), candidate.skipped()) {
                (Some(outcome), _) => outcome.keeps() == alone.keeps,
                (None, Some(skipped)) => !(skipped.breaks && alone.keeps),
                (None, None) => false,
            };
            cases.push(("the promise", settled));
            cases.push(("the list", candidate.bulk().is_some_and(|bulk| bulk.cost == alone.cost)));
        }
        let cheapest = all.iter().filter(|(_, alone)| alone.keeps).map(|(_, alone)| alone.cost).min();
        let answer = found.best.and_then(|at| found.candidates[at].bulk()).map(|bulk| bulk.cost);
        cases.push(("the cheapest", answer == cheapest));
        // Hours on backup where there are any, else dark hours: the first two figures.
        let scale = usize::from(!with_backup);
        let beaten = |one: &Alone| {
            all.iter().any(|(_, other)| {
                let (a, b) = (other.figures[scale], one.figures[scale]);
                other.cost <= one.cost && a <= b && (other.cost < one.cost || a < b)
            })
        };
        let front: Vec<(Money, f64)> = all
            .iter()
            .filter(|(at, _)| found.front.contains(at))
            .map(|(_, alone)| (alone.cost, alone.figures[scale]))
            .collect();
        for (_, alone) in &all {
            cases.push(("the front", front.contains(&(alone.cost, alone.figures[scale])) != beaten(alone)));
        }
        let what = if with_backup {
            "Answer, promise, list and front of a search, the utility behind the bank"
        } else {
            "Answer, promise, list and front of a search, nothing behind the bank"
        };
        section.verdicts(what, "every system studied for itself", &cases, Standing::Derived);
        // Numbers of the xorshift generator (Marsaglia 2003): any spread of systems will do.
        let mut draw = 0x2545_f491_4f6c_dd1d_u64;
        let mut random = || {
            draw ^= draw << 13;
            draw ^= draw >> 7;
            draw ^= draw << 17;
            (draw >> 11) as usize % all.len()
        };
        let of_front = all.iter().filter(|(at, _)| found.front.contains(at));
        let drawn: Vec<usize> = (0..RANDOM).map(|_| random()).collect();
        for (at, alone) in of_front.chain(drawn.iter().map(|k| &all[*k])) {
            let Some(outcome) = found.candidates[*at].outcome() else { continue };
            let walked =
                [outcome.backup_h, outcome.dark_h, outcome.missing_wh, outcome.backup_wh, outcome.unused_wh];
            for (a, b) in walked.iter().zip(alone.figures) {
                largest.see((a - b) / b.abs().max(1.0));
            }
        }
    }
    section.row(
        "Hours and energies of systems walked side by side, relative",
        "the year of each of them for itself; the front and a hundred random systems of each search, of a thousand in a bench",
        &largest,
        "",
        Allowed(1e-9, "what the project promises; rounding of a year of sums"),
        Standing::Derived,
    );
    vec![section]
}
