//! Collects problems, and stops before a hopeless file fills the memory.

use crate::problem::Problem;

/// Most problems listed in one run. More than so many come only from a file that is no design.
pub const MOST_PROBLEMS: usize = 1000;

/// The problems so far.
#[derive(Debug, Default)]
pub(crate) struct Problems {
    list: Vec<Problem>,
}

impl Problems {
    pub(crate) fn push(&mut self, problem: Problem) {
        if !self.full() {
            self.list.push(problem);
        }
    }

    pub(crate) fn full(&self) -> bool {
        self.list.len() >= MOST_PROBLEMS
    }

    pub(crate) fn len(&self) -> usize {
        self.list.len()
    }

    /// All of them in file order; where the list is full, the last one says so.
    pub(crate) fn in_order(mut self) -> Vec<Problem> {
        let full = self.full();
        self.list.sort_by_key(|problem| problem.labels.first().map_or(0, |label| label.span.start));
        if full && let Some(last) = self.list.last_mut() {
            last.help.push_str(&format!(
                " Reading stopped here: more than {MOST_PROBLEMS} problems were found in this file."
            ));
        }
        self.list
    }
}
