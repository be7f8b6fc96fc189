//! One design file on disk, what is understood of it, and the pages that look on.

mod compare;
mod edits;
mod history;
mod idle;
mod search;
mod sky;
mod typed;

pub(crate) use compare::{Difference, differences, said};
pub(crate) use edits::place_of;
pub use edits::{Clash, KeepError};
pub(crate) use history::changed_lines;
pub(crate) use idle::{Offer, idle};
pub(crate) use search::{Progress, Standing};
pub use typed::Fault;
pub(crate) use typed::{Made, Then, Typed, begun, below, field_of, form_written, table_of_path, typed_in};

use crate::knobs::{Knob, knobs, read};
use crate::skyline::{Skyline, draw, skylines};
use crate::{Memory, WebError};
use design::Design;
use design::problem::{Problem, What};
use design::read::Lines;
use door::{DoorError, FileHash, Files};
use history::History;
use idle::Offers;
use quantity::FieldPath;
use rules::Finding;
use sky::SkyShown;
use std::fmt;
use std::path::{Component, Path, PathBuf};
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, OnceLock, PoisonError};
use study::{Depth, Memo, NamedFile, Study, WeatherFile};
use tokio::sync::mpsc::{UnboundedReceiver, UnboundedSender, unbounded_channel};

/// A text with everything that was found out about it.
#[derive(Debug)]
pub(crate) struct Answered {
    pub(crate) hash: FileHash,
    pub(crate) study: Study,
    pub(crate) findings: Vec<Finding>,
    pub(crate) weather: Option<WeatherFile>,
    pub(crate) meter: Option<NamedFile>,
    sky: OnceLock<SkyShown>,
    whole: OnceLock<Study>,
}

impl Answered {
    fn files(&self) -> study::Files<'_> {
        study::Files { weather: self.weather.as_ref(), meter: self.meter.as_ref() }
    }

    pub(crate) fn design(&self) -> &Design {
        &self.study.design
    }

    /// What the page of the sky shows, made when it is first asked for.
    pub(crate) fn sky(&self) -> &SkyShown {
        self.sky.get_or_init(|| SkyShown::of(&self.study))
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
    /// What would be taken back, and done again, in words.
    pub(crate) back: Option<String>,
    pub(crate) again: Option<String>,
    /// An earlier state that the owner wants to see the present one against.
    pub(crate) pinned: Option<Arc<Answered>>,
}

/// The stored design with some knobs moved.
#[derive(Clone, Debug)]
pub(crate) struct Tried {
    pub(crate) sheet: Sheet,
    pub(crate) shown: Arc<Answered>,
    pub(crate) knobs: Vec<Knob>,
    /// The horizons, as drawn.
    pub(crate) lines: Vec<Skyline>,
    /// What could not be taken of the values asked for.
    pub(crate) notes: Vec<String>,
    /// Everything the address asks for.
    pub(crate) asked: Vec<(String, String)>,
}

#[derive(Debug)]
struct Desk {
    memo: Memo,
    sheet: Sheet,
    history: History,
    /// Texts that were tried lately, newest last: a working asked for right after a slider moved needs no new study.
    recent: Vec<Arc<Answered>>,
}

/// More pages than a household has open; each holds a connection.
const MOST_LISTENERS: usize = 32;

/// How many tried texts are kept.
const RECENT: usize = 6;

/// A design file opened in the browser.
pub struct Workbook {
    path: PathBuf,
    files: Arc<dyn Files>,
    memory: Memory,
    desk: Mutex<Desk>,
    offers: Offers,
    search: search::Search,
    newest: AtomicU64,
    listeners: Mutex<Vec<UnboundedSender<u64>>>,
}

impl fmt::Debug for Workbook {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Workbook").field("path", &self.path).finish_non_exhaustive()
    }
}

impl Workbook {
    /// Reads the design at `path` through `files`; edits that can be taken back come from `memory`.
    ///
    /// # Errors
    /// When the file cannot be read at all. A design with problems opens and shows them.
    pub fn open(path: PathBuf, files: Arc<dyn Files>, memory: Memory) -> Result<Workbook, WebError> {
        let bytes = files.read_design(&path)?;
        let mut memo = Memo::default();
        let design = Arc::new(Design::of_bytes(&bytes));
        let trouble = unparsed(&design);
        let stored = Arc::new(answer(design, FileHash::of(&bytes), &path, &*files, None, &mut memo));
        let history: History = memory.recall(&edits::kept_as(&path)).unwrap_or_default();
        let sheet = Sheet {
            stored,
            understood: trouble.is_none(),
            trouble,
            kept: None,
            turn: 1,
            back: history.last().map(str::to_string),
            again: history.next().map(str::to_string),
            pinned: None,
        };
        let desk = Mutex::new(Desk { memo, sheet, history, recent: Vec::new() });
        let (newest, listeners, offers) = (AtomicU64::new(0), Mutex::new(Vec::new()), Offers::default());
        let search = search::Search::default();
        Ok(Workbook { path, files, memory, desk, offers, search, newest, listeners })
    }

    /// The design file.
    pub fn path(&self) -> &Path {
        &self.path
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
    pub(crate) fn listen(&self) -> Option<UnboundedReceiver<u64>> {
        let (tell, told) = unbounded_channel();
        let mut listeners = self.listeners.lock().unwrap_or_else(PoisonError::into_inner);
        listeners.retain(|listener| !listener.is_closed());
        if listeners.len() >= MOST_LISTENERS {
            return None;
        }
        listeners.push(tell);
        Some(told)
    }

    /// What is on disk, as the pages show it.
    pub(crate) fn sheet(&self) -> Sheet {
        self.desk().sheet.clone()
    }

    /// Pins the present state, or takes the pin out.
    pub(crate) fn pin(&self, pins: bool) {
        {
            let mut desk = self.desk();
            desk.sheet.pinned = pins.then(|| desk.sheet.stored.clone());
        }
        self.turned();
    }

    /// Another design beside this one, studied to be compared.
    pub(crate) fn beside(&self, path: &Path) -> Result<Arc<Answered>, DoorError> {
        let bytes = self.files.read_design(path)?;
        let design = Arc::new(Design::of_bytes(&bytes));
        let mut desk = self.desk();
        Ok(Arc::new(answer(design, FileHash::of(&bytes), path, &*self.files, None, &mut desk.memo)))
    }

    /// The design with the values asked for, and what is on disk. What is being worked out for less than this gives up.
    pub(crate) fn try_out(&self, pairs: &[(String, String)]) -> Tried {
        self.newest.fetch_add(1, Ordering::Relaxed);
        self.glance(pairs)
    }

    /// As [`Workbook::try_out`], for what is looked at beside an answer: nothing gives up for it.
    pub(crate) fn glance(&self, pairs: &[(String, String)]) -> Tried {
        let mut desk = self.desk();
        let sheet = desk.sheet.clone();
        let mut knobs = knobs(&sheet.stored.study);
        let (wishes, mut notes) = read(pairs, &knobs);
        for wish in wishes {
            if let Some(knob) = knobs.iter_mut().find(|knob| knob.id == wish.id) {
                knob.value = wish.value;
            }
        }
        let mut lines = skylines(&sheet.stored.study);
        draw(pairs, &mut lines);
        let shown = match moved_text(&sheet.stored.study.design.text, &knobs, &lines) {
            Ok(None) => sheet.stored.clone(),
            Ok(Some(text)) => self.study_text(&mut desk, &text),
            Err(why) => {
                notes.push(why);
                knobs.iter_mut().for_each(|knob| knob.value = knob.stored);
                lines = skylines(&sheet.stored.study);
                sheet.stored.clone()
            }
        };
        Tried { sheet, shown, knobs, lines, notes, asked: pairs.to_vec() }
    }

    /// The study with what a page leaves out until it is asked for; made once for a text, beside other requests.
    pub(crate) fn whole<'a>(&self, of: &'a Answered) -> &'a Study {
        of.whole.get_or_init(|| {
            let mut memo = self.desk().memo.clone();
            Study::of_files(of.study.design.clone(), of.files(), Depth::Whole, &mut memo)
        })
    }

    /// Each knob of a page one step further, everything else as tried; `None` where there is no further step. Gives up with
    /// `None` for all as soon as a newer request came in, unless `to_the_end`.
    pub(crate) fn steps(
        &self,
        tried: &Tried,
        page: u8,
        to_the_end: bool,
    ) -> Option<Vec<Option<Arc<Answered>>>> {
        let asked = self.newest.load(Ordering::Relaxed);
        let mut steps = Vec::with_capacity(tried.knobs.len());
        for knob in &tried.knobs {
            if !to_the_end && self.newest.load(Ordering::Relaxed) != asked {
                return None;
            }
            let text = &tried.shown.study.design.text;
            let further =
                knob.next().filter(|_| knob.page == page).and_then(|(value, _)| knob.set(text, value).ok());
            steps.push(further.map(|text| self.study_text(&mut self.desk(), &text)));
        }
        Some(steps)
    }

    fn desk(&self) -> MutexGuard<'_, Desk> {
        self.desk.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Another turn, for something that is not in the file.
    fn turned(&self) {
        let turn = {
            let mut desk = self.desk();
            desk.sheet.turn += 1;
            desk.sheet.turn
        };
        self.tell(turn);
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

/// The text with every moved knob set and every drawn horizon written, or nothing when none is.
fn moved_text(text: &str, knobs: &[Knob], lines: &[Skyline]) -> Result<Option<String>, String> {
    let mut moved = None;
    for knob in knobs.iter().filter(|knob| knob.is_moved()) {
        let from = moved.as_deref().unwrap_or(text);
        moved = Some(knob.set(from, knob.value).map_err(|error| error.to_string())?);
    }
    for line in lines.iter().filter(|line| line.is_moved()) {
        let from = moved.as_deref().unwrap_or(text);
        moved = Some(line.set(from).map_err(|error| error.to_string())?);
    }
    Ok(moved)
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
        weather
            .filter(|file| file.name == *name && file.bytes.is_ok())
            .unwrap_or_else(|| WeatherFile { bytes: beside(&name, path, files), name: name.to_string() })
    });
    let meter = design.system.bills.meter.as_ref().map(|meter| NamedFile {
        bytes: beside(&meter.name.value, path, files),
        name: meter.name.value.to_string(),
    });
    let named = study::Files { weather: weather.as_ref(), meter: meter.as_ref() };
    let study = Study::of_files(design, named, Depth::Shown, memo);
    let findings = rules::inspect(&study);
    Answered { hash, study, findings, weather, meter, sky: OnceLock::new(), whole: OnceLock::new() }
}

/// The bytes of a file beside the design; a name that leads out of its folder is refused.
fn beside(name: &str, design: &Path, files: &dyn Files) -> Result<Arc<[u8]>, String> {
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
