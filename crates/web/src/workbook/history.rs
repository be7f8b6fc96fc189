//! Edits that can be taken back: the lines each one changed, kept outside the design file.
//!
//! A step is undone by putting its old lines in place of its new ones. Where the file was edited by hand since, each piece
//! is found by the lines around it; a piece that is not found, or found twice, is not guessed at.

use serde::{Deserialize, Serialize};
use similar::{ChangeTag, DiffOp, TextDiff};

/// Lines around a changed piece by which it is found again.
const AROUND: usize = 3;
/// Steps that are kept.
const MOST_STEPS: usize = 200;

/// One edit.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub(crate) struct Step {
    /// What it did, in words.
    pub(crate) says: String,
    pieces: Vec<Piece>,
}

/// Neighbouring lines that one edit changed.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
struct Piece {
    /// Line of the edited text at which it begins, from 0.
    at: usize,
    lead: String,
    old: String,
    new: String,
    tail: String,
}

/// Edits made and edits taken back, oldest first.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub(crate) struct History {
    done: Vec<Step>,
    undone: Vec<Step>,
}

/// Which way an edit goes in the history.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) enum Turn {
    /// A new edit.
    #[default]
    New,
    /// The last edit is taken back.
    Back,
    /// The last edit that was taken back is done again.
    Again,
}

impl Step {
    /// The step from one text to another.
    pub(crate) fn between(says: String, old: &str, new: &str) -> Step {
        let diff = TextDiff::from_lines(old, new);
        let (olds, news) = (lines(old), lines(new));
        let mut pieces: Vec<Piece> = Vec::new();
        for op in diff.ops().iter().filter(|op| !matches!(op, DiffOp::Equal { .. })) {
            let (before, after) = (op.old_range(), op.new_range());
            pieces.push(Piece {
                at: after.start,
                lead: news[after.start.saturating_sub(AROUND)..after.start].concat(),
                old: olds[before].concat(),
                new: news[after.clone()].concat(),
                tail: news[after.end..news.len().min(after.end + AROUND)].concat(),
            });
        }
        Step { says, pieces }
    }

    /// The text with this step taken back, or nothing where its lines are not there any more.
    fn taken_back(&self, text: &str) -> Option<String> {
        let mut text = text.to_string();
        // From the end, so that the pieces before keep their lines.
        for piece in self.pieces.iter().rev() {
            let start = piece.found(&text)?;
            text.replace_range(start..start + piece.new.len(), &piece.old);
        }
        Some(text)
    }
}

impl Piece {
    /// Where its new lines stand in a text.
    fn found(&self, text: &str) -> Option<usize> {
        let whole = format!("{}{}{}", self.lead, self.new, self.tail);
        let exact = lines(text).iter().take(self.at).map(|line| line.len()).sum::<usize>();
        let exact = exact.checked_sub(self.lead.len());
        if let Some(start) =
            exact.filter(|start| text.get(*start..).is_some_and(|rest| rest.starts_with(&whole)))
        {
            return Some(start + self.lead.len());
        }
        let once = |wanted: &str, skip: usize| {
            let mut places = text.match_indices(wanted).map(|(at, _)| at);
            let at_line = |at: &usize| *at == 0 || text[..*at].ends_with('\n');
            let first = places.by_ref().find(at_line)?;
            places.find(at_line).is_none().then_some(first + skip)
        };
        if !whole.is_empty()
            && let Some(found) = once(&whole, self.lead.len())
        {
            return Some(found);
        }
        if self.new.trim().is_empty() { None } else { once(&self.new, 0) }
    }
}

fn lines(text: &str) -> Vec<&str> {
    text.split_inclusive('\n').collect()
}

impl History {
    /// One more edit; what had been taken back is forgotten.
    pub(crate) fn push(&mut self, step: Step) {
        if step.pieces.is_empty() {
            return;
        }
        self.undone.clear();
        self.done.push(step);
        if self.done.len() > MOST_STEPS {
            self.done.remove(0);
        }
    }

    /// What would be taken back, in words.
    pub(crate) fn last(&self) -> Option<&str> {
        self.done.last().map(|step| step.says.as_str())
    }

    /// What would be done again, in words.
    pub(crate) fn next(&self) -> Option<&str> {
        self.undone.last().map(|step| step.says.as_str())
    }

    /// The text with the last edit taken back, or the last one taken back done again.
    ///
    /// # Errors
    /// In words, when there is none or its lines were changed since.
    pub(crate) fn turn(&self, text: &str, back: bool) -> Result<String, String> {
        let step = if back { self.done.last() } else { self.undone.last() };
        let Some(step) = step else { return Err("there is nothing to take back or to do again".into()) };
        step.taken_back(text).ok_or_else(|| {
            format!("the lines of \"{}\" were changed in the file since; change them by hand", step.says)
        })
    }

    /// Notes that a turn was written: the step goes to the other pile, turned round.
    pub(crate) fn turned(&mut self, back: bool, before: &str, after: &str) {
        let (from, to) =
            if back { (&mut self.done, &mut self.undone) } else { (&mut self.undone, &mut self.done) };
        if let Some(step) = from.pop() {
            to.push(Step::between(step.says, before, after));
        }
    }
}

/// The changed lines between two texts with one line around them: mark and line.
pub(crate) fn changed_lines(old: &str, new: &str) -> Vec<(char, String)> {
    let diff = TextDiff::from_lines(old, new);
    let mut shown = Vec::new();
    for group in diff.grouped_ops(1) {
        if !shown.is_empty() {
            shown.push(('…', String::new()));
        }
        for op in group {
            for change in diff.iter_changes(&op) {
                let mark = match change.tag() {
                    ChangeTag::Delete => '−',
                    ChangeTag::Insert => '+',
                    ChangeTag::Equal => ' ',
                };
                shown.push((mark, change.value().trim_end().to_string()));
            }
        }
    }
    shown
}

#[cfg(test)]
mod tests {
    use super::*;

    const OLD: &str = "# a\n[[load]]\nname = \"x\"\nwatts = 1 # seen\n\n[[load]]\nname = \"y\"\nwatts = 1\n";

    fn edited(history: &mut History, old: &str, from: &str, to: &str) -> String {
        let new = old.replacen(from, to, 1);
        history.push(Step::between(format!("{from} → {to}"), old, &new));
        new
    }

    #[test]
    fn edits_are_taken_back_to_the_very_bytes_and_done_again() {
        let mut history = History::default();
        let one = edited(&mut history, OLD, "watts = 1 #", "watts = 2 #");
        let two = edited(&mut history, &one, "\n[[load]]\nname = \"y\"\nwatts = 1\n", "");
        let back = history.turn(&two, true).expect("taken back");
        assert_eq!(back, one);
        history.turned(true, &two, &back);
        let back = history.turn(&one, true).expect("taken back");
        assert_eq!(back, OLD);
        history.turned(true, &one, &back);
        assert!(history.turn(OLD, true).is_err());
        let again = history.turn(OLD, false).expect("done again");
        assert_eq!(again, one);
        history.turned(false, OLD, &again);
        assert_eq!(history.turn(&one, false).as_deref(), Ok(two.as_str()));
        assert_eq!(history.last(), Some("watts = 1 # → watts = 2 #"));
    }

    #[test]
    fn an_edit_by_hand_elsewhere_does_not_keep_an_edit_from_being_taken_back() {
        let mut history = History::default();
        let new = edited(&mut history, OLD, "watts = 1 #", "watts = 2 #");
        let by_hand = format!("# new head\n# of two lines\n{}", new.replace("name = \"y\"", "name = \"z\""));
        let back = history.turn(&by_hand, true).expect("taken back");
        assert_eq!(back, by_hand.replace("watts = 2", "watts = 1"));
    }

    #[test]
    fn an_edit_whose_lines_were_changed_by_hand_is_not_guessed_at() {
        let mut history = History::default();
        let new = edited(&mut history, OLD, "watts = 1 #", "watts = 2 #");
        let by_hand = new.replace("watts = 2", "watts = 3");
        assert!(history.turn(&by_hand, true).is_err());
        // A line that stands twice is not guessed at either.
        let mut history = History::default();
        let new = edited(&mut history, "a\nb\n", "b", "c");
        assert!(history.turn(&format!("{new}x\nc\n"), true).is_ok(), "at its own place it is certain");
        assert!(history.turn("q\nc\nx\nc\n", true).is_err());
    }

    #[test]
    fn changed_lines_are_marked() {
        let new = OLD.replace("watts = 1 #", "watts = 2 #");
        let shown = changed_lines(OLD, &new);
        assert!(
            shown.contains(&('−', "watts = 1 # seen".into()))
                && shown.contains(&('+', "watts = 2 # seen".into()))
        );
        assert!(shown.len() <= 4, "{shown:?}");
    }
}
