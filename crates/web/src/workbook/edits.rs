//! Edits from a page: applied to a fresh parse of the file, merged by path, written whole, and able to be taken back.
//!
//! A page says of every field what it had read. Where the file says something else by now and not what the page asks for,
//! both sides are shown and nothing is written; everything else that changed in the file stays as it is.

use super::history::{History, Step, Turn};
use super::typed::{Fault, Made};
use super::{Answered, Workbook, moved_text, said};
use crate::knobs::{Knob, knobs, read};
use crate::skyline::{Skyline, draw, skylines};
use door::{DoorError, FileHash};
use rules::Finding;
use std::fmt;
use std::path::Path;

/// The same field changed on both sides.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Clash {
    /// What it is called on the page.
    pub label: String,
    /// What the page had read.
    pub was: String,
    /// What the file says now; `None` when it has no such thing any more.
    pub theirs: Option<String>,
    /// What the page asked for.
    pub ours: String,
}

/// Why an edit was not written. The file is as it was.
#[derive(Clone, Debug, PartialEq)]
pub enum KeepError {
    /// The same fields changed on both sides.
    Clash(Vec<Clash>),
    /// What was typed cannot be taken, field by field.
    Typed(Vec<Fault>),
    /// The text on disk cannot be read just now.
    NotReadable,
    /// The edit cannot be made in this text.
    NotPossible(String),
    /// The file could not be written.
    Door(DoorError),
}

impl fmt::Display for KeepError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            KeepError::Clash(clashes) => {
                f.write_str(
                    "Nothing was written: the file was changed by something else since this page read it.",
                )?;
                for clash in clashes {
                    let theirs = clash.theirs.as_deref().unwrap_or("nothing of that name any more");
                    write!(f, " {}: was {}, the file now says {theirs}, ", clash.label, clash.was)?;
                    write!(f, "you asked for {}.", clash.ours)?;
                }
                Ok(())
            }
            KeepError::Typed(faults) => {
                f.write_str("Nothing was written.")?;
                faults.iter().try_for_each(|fault| write!(f, " {}: {}.", fault.key, fault.says))
            }
            KeepError::NotReadable => f.write_str(
                "Nothing was written: the design file cannot be read as it stands. Mend it first.",
            ),
            KeepError::NotPossible(why) => write!(f, "Nothing was written: {why}."),
            KeepError::Door(error) => write!(f, "Nothing was written: {error}."),
        }
    }
}

/// How often a file that moves between reading and writing is read again.
const TRIES: usize = 4;

/// Name under which the edits of a design are remembered.
pub(super) fn kept_as(path: &Path) -> String {
    let whole = std::path::absolute(path).unwrap_or_else(|_| path.to_path_buf());
    format!("edits-{}.json", FileHash::of(whole.to_string_lossy().as_bytes()))
}

impl Workbook {
    /// Makes an edit in the text that is on disk now and writes it whole. An edit that changes nothing writes nothing.
    pub(crate) fn write(
        &self,
        make: impl Fn(&Answered, &History) -> Result<Option<Made>, KeepError>,
    ) -> Result<(), KeepError> {
        let mut tries = 0;
        loop {
            tries += 1;
            match self.write_once(&make) {
                // Whoever wrote in between is merged with, as if they had written before.
                Err(KeepError::Door(DoorError::Moved { .. })) if tries < TRIES => {}
                done => return done,
            }
        }
    }

    fn write_once(
        &self,
        make: &impl Fn(&Answered, &History) -> Result<Option<Made>, KeepError>,
    ) -> Result<(), KeepError> {
        let mut desk = self.desk();
        let bytes = self.files.read_design(&self.path).map_err(KeepError::Door)?;
        if let Some(turn) = self.adopt(&mut desk, &bytes) {
            self.tell(turn);
        }
        if desk.sheet.trouble.is_some() {
            return Err(KeepError::NotReadable);
        }
        let stored = desk.sheet.stored.clone();
        let Some(made) = make(&stored, &desk.history)? else { return Ok(()) };
        let before = stored.design().text.to_string();
        if made.text == before {
            return Ok(());
        }
        self.files.replace(&self.path, stored.hash, made.text.as_bytes()).map_err(KeepError::Door)?;
        let turn = self.adopt(&mut desk, made.text.as_bytes());
        let says = match made.says.is_empty() {
            true => said(stored.design(), desk.sheet.stored.design()).unwrap_or_else(|| "layout".into()),
            false => made.says,
        };
        match made.turn {
            Turn::New => desk.history.push(Step::between(says.clone(), &before, &made.text)),
            turn => desk.history.turned(turn == Turn::Back, &before, &made.text),
        }
        self.memory.keep(&kept_as(&self.path), &desk.history);
        desk.sheet.back = desk.history.last().map(str::to_string);
        desk.sheet.again = desk.history.next().map(str::to_string);
        desk.sheet.kept = Some(match made.turn {
            Turn::New => says,
            Turn::Back => format!("taken back: {says}"),
            Turn::Again => format!("done again: {says}"),
        });
        drop(desk);
        if let Some(turn) = turn {
            self.tell(turn);
        }
        Ok(())
    }

    /// Writes the knobs asked for into the file, keeping everything else in it.
    ///
    /// `page` is the fingerprint of the file the page was made from.
    pub(crate) fn keep(&self, pairs: &[(String, String)], page: Option<FileHash>) -> Result<(), KeepError> {
        self.write(|stored, _| {
            let mut knobs = knobs(&stored.study);
            let mut lines = skylines(&stored.study);
            let clashes = clashes(pairs, &knobs, &lines, page == Some(stored.hash));
            if !clashes.is_empty() {
                return Err(KeepError::Clash(clashes));
            }
            let (wishes, notes) = read(pairs, &knobs);
            if let Some(note) = notes.first() {
                return Err(KeepError::NotPossible(note.trim_end_matches('.').to_string()));
            }
            for wish in wishes {
                if let Some(knob) = knobs.iter_mut().find(|knob| knob.id == wish.id) {
                    knob.value = wish.value;
                }
            }
            draw(pairs, &mut lines);
            if let Some((line, why)) = lines.iter().find_map(|line| Some((line, line.fault.as_ref()?))) {
                return Err(KeepError::NotPossible(format!("horizon of the {}: {why}", line.plane)));
            }
            let moved = knobs.iter().filter(|knob| knob.is_moved()).map(|knob| {
                format!("{} {} → {}", knob.label, knob.shown(knob.stored), knob.shown(knob.value))
            });
            let drawn = lines.iter().filter(|line| line.is_moved()).map(Skyline::says);
            let said: Vec<String> = moved.chain(drawn).collect();
            let text = moved_text(&stored.design().text, &knobs, &lines).map_err(KeepError::NotPossible)?;
            Ok(text.map(|text| Made { says: said.join(", "), ..Made::of(text) }))
        })
    }

    /// Takes the last edit back, or does the last one taken back again.
    pub(crate) fn turn_back(&self, back: bool) -> Result<(), KeepError> {
        self.write(|stored, history| {
            let text = history.turn(&stored.design().text, back).map_err(KeepError::NotPossible)?;
            let says = if back { history.last() } else { history.next() };
            let turn = if back { Turn::Back } else { Turn::Again };
            Ok(Some(Made { text, says: says.unwrap_or_default().to_string(), turn }))
        })
    }

    /// Writes a remedy of a finding that stands in the design as it is now.
    pub(crate) fn take_remedy(&self, code: &str, place: &str, says: &str) -> Result<(), KeepError> {
        self.write(|stored, _| {
            let finding = stored.findings.iter().find(|f| f.code == code && place_of(f) == place);
            let remedy = finding.and_then(|f| f.remedies.iter().find(|remedy| remedy.says == says));
            let Some(remedy) = remedy else {
                let gone = "the finding this was a remedy for is not there any more";
                return Err(KeepError::NotPossible(gone.into()));
            };
            let text = rules::remedies::apply(&stored.design().text, remedy)
                .map_err(|error| KeepError::NotPossible(error.to_string()))?;
            Ok(Some(Made { says: remedy.says.clone(), ..Made::of(text) }))
        })
    }
}

/// The first place of a finding, by which it is found again.
pub(crate) fn place_of(finding: &Finding) -> &str {
    finding.at.first().map_or("", |place| place.field.as_str())
}

/// Fields that both sides changed. Where the page was made from the very text on disk there are none.
fn clashes(pairs: &[(String, String)], knobs: &[Knob], lines: &[Skyline], same_text: bool) -> Vec<Clash> {
    let asked = pairs.iter().filter(|(name, _)| pairs.iter().any(|(was, _)| *was == format!("was-{name}")));
    asked
        .filter_map(|(name, ours)| {
            let (_, was) = pairs.iter().find(|(was, _)| *was == format!("was-{name}"))?;
            let shorten = |text: &str| text.chars().take(20).collect::<String>();
            if let Some(line) = lines.iter().find(|line| line.id == *name) {
                let now = line.stored();
                let agree = same_text || now == *was || now == *ours;
                let blank = |text: &str| if text.is_empty() { "none".to_string() } else { text.to_string() };
                return (!agree).then(|| Clash {
                    label: format!("horizon of the {}", line.plane),
                    was: blank(was),
                    theirs: Some(blank(&now)),
                    ours: blank(ours),
                });
            }
            let Some(knob) = knobs.iter().find(|knob| knob.id == *name) else {
                return Some(Clash {
                    label: shorten(name),
                    was: shorten(was),
                    theirs: None,
                    ours: shorten(ours),
                });
            };
            let now = format!("{:.0}", knob.stored);
            let agree = same_text || now == *was || now == *ours;
            (!agree).then(|| Clash {
                label: knob.label.clone(),
                was: shorten(was),
                theirs: Some(knob.shown(knob.stored)),
                ours: shorten(ours),
            })
        })
        .collect()
}
