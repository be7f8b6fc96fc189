//! size: the search for what to build.

use super::answers::{refused, table};
use crate::args::Size;
use crate::load::{self, Loaded};
use crate::show::{self, Failure, WIDTH};
use crate::{CLEAN, FOUND};
use ::size::{Finished, Odds, Refusal, SizeStudy, Stage, Supposed, Watch};
use output::drawing::{Form, svg};
use output::size::{self as shown, Sized};
use std::io::IsTerminal as _;
use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};

pub(crate) fn size(args: &Size, json: bool) -> Result<u8, Failure> {
    if args.apply.is_some() && args.design == Path::new("-") {
        return Err(Failure::new("standard input cannot be written to", "name the design file"));
    }
    let loaded = load::design(&args.design)?;
    if let Some(status) = refused(&loaded, json) {
        return Ok(status);
    }
    let stop = stopped_by_hand();
    let told = AtomicUsize::new(usize::MAX);
    let progress = |stage: Stage, done: usize, of: usize| tell(&told, stage, done, of);
    let watch = Watch { stop: &stop, progress: &progress };
    let found = ::size::search(&loaded.design, loaded.weather.as_ref(), &watch);
    clear();
    let study = found.map_err(|why| refusal(&why, &loaded))?;
    let (odds, supposed) = if args.quick || stop.load(Ordering::Relaxed) {
        (None, Vec::new())
    } else {
        last_words(&loaded, &study)
    };
    let sized = Sized { design: &loaded.design, study: &study, odds: odds.as_ref(), supposed: &supposed };
    if let Some(path) = &args.picture {
        write_picture(path, &sized)?;
    }
    if json {
        show::json(&shown::json(&sized));
    } else {
        print(&sized);
    }
    if let Some(wanted) = &args.apply {
        apply(&args.design, &loaded, &study, &sized, wanted, json)?;
    }
    let found = study.best.is_some() && study.finished != Finished::Stopped;
    Ok(if found || !study.promised { CLEAN } else { FOUND })
}

/// The promise over more years, and the system under other circumstances.
pub(super) fn last_words(loaded: &Loaded, study: &SizeStudy) -> (Option<Odds>, Vec<Supposed>) {
    let text = match study.best {
        Some(best) => ::size::changed_text(&study.space, &loaded.design, best),
        None => Ok(loaded.design.text.to_string()),
    };
    let Ok(text) = text else { return (None, Vec::new()) };
    let weather = loaded.weather.as_ref();
    let odds = study.best.and_then(|_| {
        show::aside(&format!("the promise over {} weather years", ::size::YEARS));
        ::size::odds(&text, weather)
    });
    (odds, ::size::suppose(&text, weather))
}

/// The search of a design that says what may vary, for its book; Ctrl-C ends the whole command there.
pub(super) fn for_the_book(loaded: &Loaded) -> Option<(SizeStudy, Option<Odds>, Vec<Supposed>)> {
    if loaded.design.system.choices.is_empty() && loaded.design.system.stages.is_empty() {
        return None;
    }
    let told = AtomicUsize::new(usize::MAX);
    let progress = |stage: Stage, done: usize, of: usize| tell(&told, stage, done, of);
    let watch = Watch { stop: &AtomicBool::new(false), progress: &progress };
    let found = ::size::search(&loaded.design, loaded.weather.as_ref(), &watch);
    clear();
    match found {
        Ok(study) => {
            let (odds, supposed) = last_words(loaded, &study);
            Some((study, odds, supposed))
        }
        Err(why) => {
            show::aside(&format!("question 4 stays open in the book: {}", shown::refusal(&why).0));
            None
        }
    }
}

fn print(sized: &Sized<'_>) {
    show::sentence(&shown::sentence(sized));
    show::line("");
    for each in shown::tables(sized) {
        table(&each);
    }
    for remark in shown::remarks(sized) {
        show::line(&show::wrap(&remark, WIDTH, "  "));
    }
}

fn refusal(why: &Refusal, loaded: &Loaded) -> Failure {
    let (says, help) = shown::refusal(why);
    let line = match why {
        Refusal::Choice { field, .. } => loaded.design.place_of(field),
        _ => None,
    };
    match line {
        Some((line, column)) => Failure::new(format!("{}:{line}:{column}: {says}", loaded.file), help),
        None => Failure::new(says, help),
    }
}

/// Set by the first Ctrl-C; the second ends the program at once.
fn stopped_by_hand() -> Arc<AtomicBool> {
    let stop = Arc::new(AtomicBool::new(false));
    let set = stop.clone();
    std::thread::spawn(move || {
        let Ok(runtime) = tokio::runtime::Builder::new_current_thread().enable_all().build() else { return };
        runtime.block_on(async {
            if tokio::signal::ctrl_c().await.is_ok() {
                set.store(true, Ordering::Relaxed);
                show::aside("\nStopping; what was found so far follows. Once more ends it at once.");
            }
            if tokio::signal::ctrl_c().await.is_ok() {
                std::process::exit(130);
            }
        });
    });
    stop
}

/// One line that is written over on a terminal, one line a tenth elsewhere.
fn tell(told: &AtomicUsize, stage: Stage, done: usize, of: usize) {
    let steps = if std::io::stderr().is_terminal() { 100 } else { 10 };
    let share = done * steps / of.max(1);
    let offset = match stage {
        Stage::Rules => 0,
        Stage::Years => 1000,
    };
    if told.swap(offset + share, Ordering::Relaxed) == offset + share {
        return;
    }
    let what = match stage {
        Stage::Rules => "systems held against the rules",
        Stage::Years => "systems walked through their years",
    };
    let text = format!("{done} of {of} {what}");
    if std::io::stderr().is_terminal() {
        use std::io::Write as _;
        let mut out = anstream::stderr();
        let _ = write!(out, "\r\u{1b}[K{text}");
        let _ = out.flush();
    } else {
        show::aside(&text);
    }
}

fn clear() {
    if std::io::stderr().is_terminal() {
        use std::io::Write as _;
        let _ = write!(anstream::stderr(), "\r\u{1b}[K");
    }
}

fn write_picture(path: &Path, sized: &Sized<'_>) -> Result<(), Failure> {
    if path.extension().is_none_or(|ending| !ending.eq_ignore_ascii_case("svg")) {
        return Err(Failure::new(
            format!("{} does not end in .svg", path.display()),
            "pictures are .svg files",
        ));
    }
    match shown::picture(sized, Form::Wide) {
        Some(drawing) => {
            door::write_atomically(path, svg::file(&drawing).as_bytes())
                .map_err(|e| Failure::new(e.to_string(), "nothing was changed"))?;
            show::aside(&format!("wrote {}", path.display()));
        }
        None => show::aside("fewer than two systems have their years; there is no picture to draw"),
    }
    Ok(())
}

/// Writes a system into the design file; comments and order stay.
fn apply(
    path: &Path,
    loaded: &Loaded,
    study: &SizeStudy,
    sized: &Sized<'_>,
    wanted: &str,
    json: bool,
) -> Result<(), Failure> {
    let listed = shown::listed(study);
    let none = |says: String| {
        Failure::new(says, "give best, or a number of the table's first column; nothing was changed")
    };
    let system = if wanted.eq_ignore_ascii_case("best") {
        study.best.ok_or_else(|| none("no system keeps the promise".into()))?
    } else {
        let number: Option<usize> = wanted.parse().ok();
        number
            .and_then(|n| listed.get(n.checked_sub(1)?).copied())
            .ok_or_else(|| none(format!("the table has no system {wanted}")))?
    };
    let text = ::size::changed_text(&study.space, &loaded.design, system).map_err(none)?;
    let read = door::FileHash::of(loaded.design.text.as_bytes());
    door::replace_if_unchanged(path, read, text.as_bytes())
        .map_err(|e| Failure::new(e.to_string(), "nothing was changed"))?;
    if !json {
        show::line(&format!("wrote {}: {}", path.display(), sized.settings(system)));
    }
    Ok(())
}
