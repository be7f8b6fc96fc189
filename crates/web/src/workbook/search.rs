//! The search for what to build: run beside everything else when the owner asks for it, kept as long as the text is the same.

use super::typed::Made;
use super::{Answered, KeepError, Workbook};
use door::FileHash;
use size::{Finished, SizeStudy, Stage, Watch};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::{Duration, Instant};

/// What was found, or why nothing was: what is, and what to do.
pub(crate) type Searched = Result<Arc<SizeStudy>, (String, String)>;

/// How far a search is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Progress {
    pub(crate) stage: Stage,
    pub(crate) done: usize,
    pub(crate) of: usize,
    /// Whether it was asked to stop.
    pub(crate) stopping: bool,
}

/// Where the search for a text stands.
#[derive(Clone)]
pub(crate) enum Standing {
    /// It was not asked for.
    NotAsked,
    /// It is at work.
    Running(Progress),
    /// It is over.
    Over(Searched),
}

struct Running {
    of: FileHash,
    stop: Arc<AtomicBool>,
    progress: Progress,
}

/// The last search with the text it was of, and the one that runs.
#[derive(Default)]
pub(super) struct Search {
    kept: Mutex<Option<(FileHash, Searched)>>,
    running: Mutex<Option<Running>>,
}

/// Between two words about how far it is.
const TOLD_EVERY: Duration = Duration::from_millis(700);

impl Search {
    fn kept(&self) -> MutexGuard<'_, Option<(FileHash, Searched)>> {
        self.kept.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn running(&self) -> MutexGuard<'_, Option<Running>> {
        self.running.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl Workbook {
    /// Where the search for a text stands.
    pub(crate) fn searched(&self, shown: &Answered) -> Standing {
        if let Some(running) = self.search.running().as_ref().filter(|running| running.of == shown.hash) {
            let stopping = running.stop.load(Ordering::Relaxed);
            return Standing::Running(Progress { stopping, ..running.progress });
        }
        let kept = self.search.kept();
        let found = kept.as_ref().filter(|(hash, _)| *hash == shown.hash).map(|(_, found)| found.clone());
        found.map_or(Standing::NotAsked, Standing::Over)
    }

    /// Begins the search for what to build from the design on disk, beside everything else. One that runs for an earlier
    /// text is stopped; one for this text, or one that came to its end, is not begun again.
    pub(crate) fn search(self: &Arc<Self>) {
        let stored = self.sheet().stored;
        let (of, stop) = (stored.hash, Arc::new(AtomicBool::new(false)));
        let ended = self.search.kept().as_ref().is_some_and(|(hash, found)| {
            *hash == of && !found.as_ref().is_ok_and(|found| found.finished == Finished::Stopped)
        });
        {
            let mut running = self.search.running();
            if ended || running.as_ref().is_some_and(|running| running.of == of) {
                return;
            }
            if let Some(earlier) = running.as_ref() {
                earlier.stop.store(true, Ordering::Relaxed);
            }
            let progress = Progress { stage: Stage::Rules, done: 0, of: 0, stopping: false };
            *running = Some(Running { of, stop: stop.clone(), progress });
        }
        let book = self.clone();
        std::thread::spawn(move || {
            let found = book.searched_through(&stored, &stop);
            let mut running = book.search.running();
            if running.as_ref().is_some_and(|running| running.of == of) {
                *running = None;
                *book.search.kept() = Some((of, found));
            }
            drop(running);
            book.turned();
        });
        self.turned();
    }

    fn searched_through(&self, stored: &Answered, stop: &AtomicBool) -> Searched {
        let told = Mutex::new(Instant::now());
        let progress = |stage: Stage, done: usize, of: usize| {
            if let Some(running) = self.search.running().as_mut().filter(|running| running.of == stored.hash)
            {
                running.progress = Progress { stage, done, of, stopping: false };
            }
            // What it would find for a text that is no more is worth nothing.
            if self.sheet().stored.hash != stored.hash {
                stop.store(true, Ordering::Relaxed);
            }
            let mut told = told.lock().unwrap_or_else(PoisonError::into_inner);
            if told.elapsed() >= TOLD_EVERY {
                *told = Instant::now();
                self.turned();
            }
        };
        let watch = Watch { stop, progress: &progress };
        let found = size::search(&stored.study.design, stored.weather.as_ref(), &watch);
        found.map(Arc::new).map_err(|why| output::size::refusal(&why))
    }

    /// Stops the search that runs; what it found so far is kept.
    pub(crate) fn stop_search(&self) {
        if let Some(running) = self.search.running().as_ref() {
            running.stop.store(true, Ordering::Relaxed);
        }
        self.turned();
    }

    /// Writes a system of the search, by its number in the space; the best one where none is named.
    pub(crate) fn take_system(&self, named: Option<usize>) -> Result<(), KeepError> {
        self.write(|stored, _| {
            let gone = || KeepError::NotPossible("the design changed since the search; search again".into());
            let Standing::Over(Ok(found)) = self.searched(stored) else { return Err(gone()) };
            let none = || KeepError::NotPossible("no system keeps the promise".into());
            let system = match named {
                Some(system) if output::size::listed(&found).contains(&system) => system,
                Some(_) => return Err(gone()),
                None => found.best.ok_or_else(none)?,
            };
            let text =
                size::changed_text(&found.space, stored.design(), system).map_err(KeepError::NotPossible)?;
            Ok(Some(Made::of(text)))
        })
    }
}
