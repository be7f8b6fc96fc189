//! Remedies studied while nobody waits for anything: a button appears only for what holds.

use super::{Answered, Workbook, changed_lines, edits::place_of};
use door::FileHash;
use std::sync::atomic::Ordering;
use std::sync::{Arc, Mutex, PoisonError};
use std::thread;
use std::time::Duration;
use study::Memo;

/// A remedy that was studied and holds.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Offer {
    pub(crate) code: &'static str,
    pub(crate) place: String,
    pub(crate) says: String,
    /// The lines it would change.
    pub(crate) lines: Vec<(char, String)>,
}

/// Offers for one text.
#[derive(Debug, Default)]
pub(super) struct Offers {
    kept: Mutex<Kept>,
}

#[derive(Debug, Default)]
struct Kept {
    of: Option<FileHash>,
    done: bool,
    offers: Vec<Offer>,
}

/// How long the desk must be quiet before remedies are studied.
const QUIET: Duration = Duration::from_millis(400);

impl Offers {
    fn kept(&self) -> std::sync::MutexGuard<'_, Kept> {
        self.kept.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl Workbook {
    /// What may be offered for a text: nothing while it has not been studied.
    pub(crate) fn offers(&self, shown: &Answered) -> Vec<Offer> {
        let kept = self.offers.kept();
        if kept.of == Some(shown.hash) { kept.offers.clone() } else { Vec::new() }
    }

    /// Studies the remedies of the design on disk that have not been studied yet, and tells the open pages when there is
    /// something to offer. Gives up as soon as anything else is asked for; says whether it came to the end.
    pub fn study_remedies(&self) -> bool {
        let stored = self.sheet().stored;
        {
            let mut kept = self.offers.kept();
            if kept.of == Some(stored.hash) && kept.done {
                return true;
            }
            *kept = Kept { of: Some(stored.hash), ..Kept::default() };
        }
        let asked = self.newest.load(Ordering::Relaxed);
        let mut memo = Memo::default();
        let mut found = Vec::new();
        for finding in &stored.findings {
            for remedy in finding.remedies.iter().filter(|remedy| !remedy.changes.is_empty()) {
                if self.newest.load(Ordering::Relaxed) != asked || self.sheet().stored.hash != stored.hash {
                    return false;
                }
                let mut alone = finding.clone();
                alone.remedies = vec![remedy.clone()];
                let holds = rules::remedies::studied(&stored.study, &alone, &mut memo, stored.files());
                if holds.is_empty() {
                    continue;
                }
                let text = &stored.design().text;
                let Ok(mended) = rules::remedies::apply(text, remedy) else { continue };
                found.push(Offer {
                    code: finding.code,
                    place: place_of(finding).to_string(),
                    says: remedy.says.clone(),
                    lines: changed_lines(text, &mended),
                });
            }
        }
        let some = !found.is_empty();
        *self.offers.kept() = Kept { of: Some(stored.hash), done: true, offers: found };
        if some {
            self.turned();
        }
        true
    }
}

/// Studies remedies of a workbook in the background as long as it is open.
pub(crate) fn idle(book: &Arc<Workbook>) {
    let book = Arc::downgrade(book);
    thread::spawn(move || {
        let mut seen = u64::MAX;
        loop {
            thread::sleep(QUIET);
            let Some(book) = book.upgrade() else { return };
            let newest = book.newest.load(Ordering::Relaxed);
            if newest == seen {
                book.study_remedies();
            }
            seen = newest;
        }
    });
}
