//! One design file on disk, what is understood of it, and the pages that look on.

use crate::knobs::{Knob, knobs, read};
use crate::{WebError, guard};
use design::Design;
use design::problem::{Problem, What};
use design::read::Lines;
use door::{DoorError, FileHash, Files};
use quantity::FieldPath;
use rules::Finding;
use std::fmt;
use std::path::{Component, Path, PathBuf};
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use study::{Depth, Memo, Study, WeatherFile};
use tokio::sync::mpsc::{UnboundedReceiver, UnboundedSender, unbounded_channel};

/// A text with everything that was found out about it.
#[derive(Debug)]
pub(crate) struct Answered {
    pub(crate) hash: FileHash,
    pub(crate) study: Study,
    pub(crate) findings: Vec<Finding>,
    weather: Option<WeatherFile>,
}

impl Answered {
    pub(crate) fn design(&self) -> &Design {
        &self.study.design
    }
}

/// Why the text on disk cannot be edited from here.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Trouble {
    /// It cannot be read.
    Unreadable(DoorError),
    /// It is no TOML at these places: line, column, the line itself, what is wrong and what to do.
    Unparsed(Vec<Place>),
}

/// A place in the text with what is wrong there.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Place {
    pub(crate) line: usize,
    pub(crate) column: usize,
    pub(crate) text: String,
    pub(crate) says: String,
    pub(crate) help: String,
}

impl Place {
    pub(crate) fn of(problem: &Problem, text: &str) -> Place {
        let lines = Lines::new(text);
        let (line, column) = problem.labels.first().map_or((1, 1), |label| lines.at(text, label.span.start));
        Place {
            line,
            column,
            text: lines.line(text, line).chars().take(160).collect(),
            says: problem.says.clone(),
            help: problem.help.clone(),
        }
    }
}

/// What the pages show: the last text that was understood, and what keeps the newest from being so.
#[derive(Clone, Debug)]
pub(crate) struct Sheet {
    pub(crate) stored: Arc<Answered>,
    pub(crate) trouble: Option<Trouble>,
    /// Whether `stored` ever was a text that could be read whole.
    pub(crate) understood: bool,
    /// What the last edit from here wrote, in words, until the file changes again.
    pub(crate) kept: Option<String>,
    pub(crate) turn: u64,
}

/// The stored design with some knobs moved.
#[derive(Clone, Debug)]
pub(crate) struct Tried {
    pub(crate) sheet: Sheet,
    pub(crate) shown: Arc<Answered>,
    pub(crate) knobs: Vec<Knob>,
    /// What could not be taken of the values asked for.
    pub(crate) notes: Vec<String>,
}

/// The same field changed on both sides.
#[derive(Clone, Debug, PartialEq)]
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
                write!(
                    f,
                    "Nothing was written: the file was changed by something else since this page read it."
                )?;
                for clash in clashes {
                    let theirs = clash.theirs.as_deref().unwrap_or("nothing of that name any more");
                    write!(f, " {}: was {}, the file now says {theirs}, ", clash.label, clash.was)?;
                    write!(f, "you asked for {}.", clash.ours)?;
                }
                Ok(())
            }
            KeepError::NotReadable => f.write_str(
                "Nothing was written: the design file cannot be read as it stands. Mend it first.",
            ),
            KeepError::NotPossible(why) => write!(f, "Nothing was written: {why}."),
            KeepError::Door(error) => write!(f, "Nothing was written: {error}."),
        }
    }
}

#[derive(Debug)]
struct Desk {
    memo: Memo,
    sheet: Sheet,
    /// Texts that were tried lately, newest last: a working asked for right after a slider moved needs no new study.
    recent: Vec<Arc<Answered>>,
}

/// How many tried texts are kept.
const RECENT: usize = 6;

/// A design file opened in the browser.
pub struct Workbook {
    path: PathBuf,
    files: Box<dyn Files>,
    port: u16,
    token: String,
    desk: Mutex<Desk>,
    newest: AtomicU64,
    listeners: Mutex<Vec<UnboundedSender<u64>>>,
}

impl fmt::Debug for Workbook {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Workbook").field("path", &self.path).field("port", &self.port).finish_non_exhaustive()
    }
}

impl Workbook {
    /// Reads the design at `path` through `files`; `port` is the one its pages are asked for at.
    ///
    /// # Errors
    /// When the file cannot be read at all. A design with problems opens and shows them.
    pub fn open(path: PathBuf, files: Box<dyn Files>, port: u16) -> Result<Workbook, WebError> {
        let bytes = files.read_design(&path)?;
        let mut memo = Memo::default();
        let design = Arc::new(Design::of_bytes(&bytes));
        let trouble = unparsed(&design);
        let stored = Arc::new(answer(design, FileHash::of(&bytes), &path, &*files, None, &mut memo));
        let sheet = Sheet { stored, understood: trouble.is_none(), trouble, kept: None, turn: 1 };
        let desk = Mutex::new(Desk { memo, sheet, recent: Vec::new() });
        let token = guard::token();
        let (newest, listeners) = (AtomicU64::new(0), Mutex::new(Vec::new()));
        Ok(Workbook { path, files, port, token, desk, newest, listeners })
    }

    /// The design file.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// The port of its pages.
    pub fn port(&self) -> u16 {
        self.port
    }

    /// The token that edits must carry; our own pages have it in their forms.
    pub fn token(&self) -> &str {
        &self.token
    }

    /// Name of the file, without its folder.
    pub fn file_name(&self) -> String {
        self.path.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default()
    }

    /// Reads the file again; where its bytes are others, studies it and tells the open pages.
    pub fn look_again(&self) {
        let turn = {
            let mut desk = self.desk();
            match self.files.read_design(&self.path) {
                Ok(bytes) => self.adopt(&mut desk, &bytes),
                Err(error) => {
                    let trouble = Some(Trouble::Unreadable(error));
                    if desk.sheet.trouble == trouble {
                        None
                    } else {
                        desk.sheet.trouble = trouble;
                        desk.sheet.turn += 1;
                        Some(desk.sheet.turn)
                    }
                }
            }
        };
        if let Some(turn) = turn {
            self.tell(turn);
        }
    }

    /// Numbers of changes, one for each change from now on.
    pub(crate) fn listen(&self) -> UnboundedReceiver<u64> {
        let (tell, told) = unbounded_channel();
        self.listeners.lock().unwrap_or_else(PoisonError::into_inner).push(tell);
        told
    }

    /// The design with the values asked for, and what is on disk.
    pub(crate) fn try_out(&self, pairs: &[(String, String)]) -> Tried {
        self.newest.fetch_add(1, Ordering::Relaxed);
        let mut desk = self.desk();
        let sheet = desk.sheet.clone();
        let mut knobs = knobs(&sheet.stored.study);
        let (wishes, mut notes) = read(pairs, &knobs);
        for wish in wishes {
            if let Some(knob) = knobs.iter_mut().find(|knob| knob.id == wish.id) {
                knob.value = wish.value;
            }
        }
        let shown = match moved_text(&sheet.stored.study.design.text, &knobs) {
            Ok(None) => sheet.stored.clone(),
            Ok(Some(text)) => self.study_text(&mut desk, &text),
            Err(why) => {
                notes.push(why);
                knobs.iter_mut().for_each(|knob| knob.value = knob.stored);
                sheet.stored.clone()
            }
        };
        Tried { sheet, shown, knobs, notes }
    }

    /// Each knob one step further, everything else as tried; `None` where there is no further step. Gives up with
    /// `None` for all as soon as a newer request came in, unless `to_the_end`.
    pub(crate) fn steps(&self, tried: &Tried, to_the_end: bool) -> Option<Vec<Option<Arc<Answered>>>> {
        let asked = self.newest.load(Ordering::Relaxed);
        let mut steps = Vec::with_capacity(tried.knobs.len());
        for knob in &tried.knobs {
            if !to_the_end && self.newest.load(Ordering::Relaxed) != asked {
                return None;
            }
            let text = &tried.shown.study.design.text;
            let further = knob.next().and_then(|(value, _)| knob.set(text, value).ok());
            steps.push(further.map(|text| self.study_text(&mut self.desk(), &text)));
        }
        Some(steps)
    }

    /// Writes the values asked for into the file, keeping everything else in it.
    ///
    /// `read` is the fingerprint of the file the page was made from. If the file is another by now, the change is made in
    /// the new text, unless the same field was changed on both sides.
    ///
    /// # Errors
    /// [`KeepError`]; the file is then as it was.
    pub(crate) fn keep(&self, pairs: &[(String, String)], page: Option<FileHash>) -> Result<(), KeepError> {
        let turn = {
            let mut desk = self.desk();
            let bytes = self.files.read_design(&self.path).map_err(KeepError::Door)?;
            let moved = self.adopt(&mut desk, &bytes);
            if let Some(turn) = moved {
                self.tell(turn);
            }
            if desk.sheet.trouble.is_some() {
                return Err(KeepError::NotReadable);
            }
            let stored = desk.sheet.stored.clone();
            let mut knobs = knobs(&stored.study);
            let clashes = clashes(pairs, &knobs, page == Some(stored.hash));
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
            let text = match moved_text(&stored.study.design.text, &knobs) {
                Ok(Some(text)) => text,
                Ok(None) => return Ok(()),
                Err(why) => return Err(KeepError::NotPossible(why)),
            };
            self.files.replace(&self.path, stored.hash, text.as_bytes()).map_err(KeepError::Door)?;
            let said: Vec<String> = knobs
                .iter()
                .filter(|knob| knob.is_moved())
                .map(|knob| {
                    format!("{} {} → {}", knob.label, knob.shown(knob.stored), knob.shown(knob.value))
                })
                .collect();
            let turn = self.adopt(&mut desk, text.as_bytes());
            desk.sheet.kept = Some(said.join(", "));
            turn
        };
        if let Some(turn) = turn {
            self.tell(turn);
        }
        Ok(())
    }

    fn desk(&self) -> MutexGuard<'_, Desk> {
        self.desk.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn tell(&self, turn: u64) {
        let mut listeners = self.listeners.lock().unwrap_or_else(PoisonError::into_inner);
        listeners.retain(|listener| listener.send(turn).is_ok());
    }

    /// Takes bytes found on disk; gives the new turn when something changed.
    fn adopt(&self, desk: &mut Desk, bytes: &[u8]) -> Option<u64> {
        let hash = FileHash::of(bytes);
        if hash == desk.sheet.stored.hash && desk.sheet.trouble.is_none() {
            return None;
        }
        let design = Arc::new(Design::of_bytes(bytes));
        let trouble = unparsed(&design);
        let same_text = hash == desk.sheet.stored.hash;
        let replaces = trouble.is_none() || !desk.sheet.understood;
        if !same_text && replaces {
            let weather = desk.sheet.stored.weather.clone();
            let found =
                desk.recent.iter().find(|recent| recent.hash == hash).cloned().filter(|_| trouble.is_none());
            desk.sheet.stored = found.unwrap_or_else(|| {
                Arc::new(answer(design, hash, &self.path, &*self.files, weather, &mut desk.memo))
            });
        } else if trouble == desk.sheet.trouble {
            return None;
        }
        desk.sheet.understood |= trouble.is_none();
        desk.sheet.trouble = trouble;
        desk.sheet.kept = None;
        desk.sheet.turn += 1;
        Some(desk.sheet.turn)
    }

    fn study_text(&self, desk: &mut Desk, text: &str) -> Arc<Answered> {
        let hash = FileHash::of(text.as_bytes());
        if hash == desk.sheet.stored.hash {
            return desk.sheet.stored.clone();
        }
        if let Some(at) = desk.recent.iter().position(|recent| recent.hash == hash) {
            let found = desk.recent.remove(at);
            desk.recent.push(found.clone());
            return found;
        }
        let weather = desk.sheet.stored.weather.clone();
        let design = Arc::new(Design::of_text(text));
        let found = Arc::new(answer(design, hash, &self.path, &*self.files, weather, &mut desk.memo));
        if desk.recent.len() >= RECENT {
            desk.recent.remove(0);
        }
        desk.recent.push(found.clone());
        found
    }
}

/// The text with every moved knob set, or nothing when none is moved.
fn moved_text(text: &str, knobs: &[Knob]) -> Result<Option<String>, String> {
    let mut moved = None;
    for knob in knobs.iter().filter(|knob| knob.is_moved()) {
        let from = moved.as_deref().unwrap_or(text);
        moved = Some(knob.set(from, knob.value).map_err(|error| error.to_string())?);
    }
    Ok(moved)
}

/// Fields that both sides changed. Where the page was made from the very text on disk there are none.
fn clashes(pairs: &[(String, String)], knobs: &[Knob], same_text: bool) -> Vec<Clash> {
    let asked = pairs.iter().filter(|(name, _)| pairs.iter().any(|(was, _)| *was == format!("was-{name}")));
    asked
        .filter_map(|(name, ours)| {
            let (_, was) = pairs.iter().find(|(was, _)| *was == format!("was-{name}"))?;
            let shorten = |text: &str| text.chars().take(20).collect::<String>();
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

fn unparsed(design: &Design) -> Option<Trouble> {
    let places: Vec<Place> = design
        .problems
        .iter()
        .filter(|problem| matches!(problem.what, What::Syntax | What::NotUtf8 | What::TooLarge))
        .map(|problem| Place::of(problem, &design.text))
        .collect();
    (!places.is_empty()).then_some(Trouble::Unparsed(places))
}

fn answer(
    design: Arc<Design>,
    hash: FileHash,
    path: &Path,
    files: &dyn Files,
    weather: Option<WeatherFile>,
    memo: &mut Memo,
) -> Answered {
    let named = design.system.place.weather.file.as_ref().map(|file| file.value.clone());
    let weather = named.map(|name| {
        weather.filter(|file| file.name == *name && file.bytes.is_ok()).unwrap_or_else(|| WeatherFile {
            bytes: weather_bytes(&name, path, files),
            name: name.to_string(),
        })
    });
    let study = Study::of(design, weather.as_ref(), Depth::Whole, memo);
    let findings = rules::inspect(&study);
    Answered { hash, study, findings, weather }
}

/// The bytes of a weather file beside the design; a name that leads out of its folder is refused.
fn weather_bytes(name: &str, design: &Path, files: &dyn Files) -> Result<Arc<[u8]>, String> {
    let inside =
        Path::new(name).components().all(|part| matches!(part, Component::Normal(_) | Component::CurDir));
    if !inside {
        return Err("it lies outside the folder of the design; put it beside the design".to_string());
    }
    let beside = design.parent().unwrap_or(Path::new("")).join(name);
    files.read_data(&beside).map(Arc::from).map_err(|error| error.to_string())
}

/// Line of a field in the text it was read from.
pub(crate) fn line_of(design: &Design, field: &FieldPath) -> Option<usize> {
    design.place_of(field).map(|(line, _)| line)
}
