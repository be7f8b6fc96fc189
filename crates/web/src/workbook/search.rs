//! The search for what to build: run when the owner asks for it, kept as long as the text is the same.

use super::typed::Made;
use super::{Answered, KeepError, Workbook};
use door::FileHash;
use size::{SizeStudy, Watch};
use std::sync::atomic::AtomicBool;
use std::sync::{Arc, Mutex, PoisonError};

/// What was found, or why nothing was: what is, and what to do.
pub(crate) type Searched = Result<Arc<SizeStudy>, (String, String)>;

/// The last search and the text it was of.
#[derive(Default)]
pub(super) struct Search {
    kept: Mutex<Option<(FileHash, Searched)>>,
}

impl Workbook {
    /// What the search found for a text; nothing where it was not asked for yet.
    pub(crate) fn searched(&self, shown: &Answered) -> Option<Searched> {
        // A search that runs holds this; a page does not wait for it.
        let kept = self.search.kept.try_lock().ok()?;
        kept.as_ref().filter(|(hash, _)| *hash == shown.hash).map(|(_, found)| found.clone())
    }

    /// Searches for what to build from the design on disk. A second one who asks waits for the same search.
    pub(crate) fn search(&self) {
        let stored = self.sheet().stored;
        let mut kept = self.search.kept.lock().unwrap_or_else(PoisonError::into_inner);
        if kept.as_ref().is_some_and(|(hash, _)| *hash == stored.hash) {
            return;
        }
        let watch = Watch { stop: &AtomicBool::new(false), progress: &|_, _, _| {} };
        let found = size::search(&stored.study.design, stored.weather.as_ref(), &watch);
        *kept = Some((stored.hash, found.map(Arc::new).map_err(|why| output::size::refusal(&why))));
    }

    /// Writes the system that the search found best.
    pub(crate) fn take_best(&self) -> Result<(), KeepError> {
        self.write(|stored, _| {
            let gone = || KeepError::NotPossible("the design changed since the search; search again".into());
            let found = self.searched(stored).and_then(Result::ok).ok_or_else(gone)?;
            let best =
                found.best.ok_or_else(|| KeepError::NotPossible("no system keeps the promise".into()))?;
            let text =
                size::changed_text(&found.space, stored.design(), best).map_err(KeepError::NotPossible)?;
            Ok(Some(Made::of(text)))
        })
    }
}
