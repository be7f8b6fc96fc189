//! What may vary: the choices of a design as edits of its text.

use crate::patch::{Patch, patched, patches};
use design::Design;
use design::catalogue::{Field, Shape, TABLES};
use design::read::{Entry, Given};
use design::system::{Stage, Tries};
use quantity::FieldPath;
use rules::{Change, Remedy};
use std::collections::BTreeMap;

/// The most systems a search takes on.
pub const LARGEST: u64 = 1_000_000;

/// One thing that varies.
#[derive(Clone, Debug, PartialEq)]
pub struct Knob {
    /// The owner's name for it, or words where the design names no choice.
    pub name: String,
    /// What is tried, in the order in which it was written.
    pub settings: Vec<Setting>,
    /// The setting of the design as it stands, where it is among them.
    pub present: Option<usize>,
}

/// One setting of a knob.
#[derive(Clone, Debug, PartialEq)]
pub struct Setting {
    /// In words: `8`, `rack_unit`, `left out`.
    pub says: String,
    /// Fields with the TOML values they get.
    sets: Vec<(String, String)>,
    /// Things taken out, by their paths.
    leaves_out: Vec<String>,
    /// What of the text it changes, where that does not depend on other settings.
    patches: Option<Vec<Patch>>,
}

/// Every combination of all settings.
#[derive(Clone, Debug, PartialEq)]
pub struct Space {
    /// The knobs; the last one turns fastest.
    pub knobs: Vec<Knob>,
    /// Whether the design names them; otherwise counts of batteries and modules are tried.
    pub stated: bool,
}

/// Why nothing is searched.
#[derive(Clone, Debug, PartialEq)]
pub enum Refusal {
    /// A choice of the design says nothing that can be tried.
    Choice {
        /// Where.
        field: FieldPath,
        /// Why.
        says: String,
        /// What to write instead.
        help: String,
    },
    /// Nothing can vary: the design has no bank and no string.
    Nothing,
    /// More systems than a search takes on.
    TooMany {
        /// How many.
        systems: u64,
        /// Each knob with how many settings it has.
        knobs: Vec<(String, usize)>,
    },
    /// The present design has no year to begin from.
    NoYear(study::Unanswered),
}

impl Setting {
    /// Paths of the fields it sets.
    pub(crate) fn fields(&self) -> impl Iterator<Item = &str> {
        self.sets.iter().map(|(path, _)| path.as_str()).chain(self.leaves_out.iter().map(String::as_str))
    }
}

impl Space {
    /// The space that a design's choices span.
    ///
    /// # Errors
    /// [`Refusal`] of the first choice that cannot be tried, and of spaces that are empty or too large.
    pub fn of(design: &Design) -> Result<Space, Refusal> {
        let stated = !design.system.choices.is_empty();
        let mut knobs = if stated { stated_knobs(design)? } else { usual_knobs(design) };
        if knobs.is_empty() {
            return Err(Refusal::Nothing);
        }
        let systems = systems_of(&knobs);
        if systems > LARGEST {
            let knobs = knobs.iter().map(|knob| (knob.name.clone(), knob.settings.len())).collect();
            return Err(Refusal::TooMany { systems, knobs });
        }
        for knob in &mut knobs {
            for setting in knob.settings.iter_mut().filter(|setting| setting.leaves_out.is_empty()) {
                setting.patches = patches(&design.text, &setting.sets);
            }
            knob.present = knob
                .settings
                .iter()
                .position(|setting| apply(design, &[setting]).is_ok_and(|text| text == *design.text));
        }
        Ok(Space { knobs, stated })
    }

    /// How many systems there are.
    pub fn systems(&self) -> u64 {
        systems_of(&self.knobs)
    }

    /// The settings of a system by its position: one index for each knob.
    pub fn picks(&self, mut system: usize) -> Vec<usize> {
        let mut picks = vec![0; self.knobs.len()];
        for (pick, knob) in picks.iter_mut().zip(&self.knobs).rev() {
            *pick = system % knob.settings.len();
            system /= knob.settings.len();
        }
        picks
    }

    /// The settings of a system in words: "batteries 5, modules in each row 8".
    pub fn says(&self, system: usize) -> String {
        let settings = self.knobs.iter().zip(self.picks(system));
        let words: Vec<String> =
            settings.map(|(knob, pick)| format!("{} {}", knob.name, knob.settings[pick].says)).collect();
        words.join(", ")
    }

    /// The system in the name of a figure: `batteries-5-modules-in-each-row-8`.
    pub fn name(&self, system: usize) -> String {
        quantity::slug(&self.says(system))
    }

    /// The position of the system with these settings.
    pub fn system(&self, picks: &[usize]) -> usize {
        self.knobs.iter().zip(picks).fold(0, |at, (knob, pick)| at * knob.settings.len() + pick)
    }

    /// The position of the design as it stands, where it is one of the systems.
    pub fn present(&self) -> Option<usize> {
        let picks: Option<Vec<usize>> = self.knobs.iter().map(|knob| knob.present).collect();
        picks.map(|picks| self.system(&picks))
    }

    /// The text of a design with the settings of a system.
    ///
    /// # Errors
    /// In words, where an edit does not apply.
    pub fn text(&self, design: &Design, system: usize) -> Result<String, String> {
        let settings: Vec<&Setting> =
            self.knobs.iter().zip(self.picks(system)).map(|(knob, pick)| &knob.settings[pick]).collect();
        apply(design, &settings)
    }
}

fn systems_of(knobs: &[Knob]) -> u64 {
    knobs.iter().fold(1u64, |n, knob| n.saturating_mul(knob.settings.len() as u64))
}

fn stated_knobs(design: &Design) -> Result<Vec<Knob>, Refusal> {
    let mut knobs = Vec::new();
    let mut taken: BTreeMap<String, String> = BTreeMap::new();
    for choice in &design.system.choices {
        let at = |key: &str| FieldPath::new(format!("choice.{}.{key}", choice.name));
        let refuse = |key: &str, says: String, help: &str| Refusal::Choice {
            field: at(key),
            says: format!("choice \"{}\": {says}", choice.name),
            help: help.to_string(),
        };
        let paths: Vec<String> = choice.sets.iter().map(ToString::to_string).collect();
        let with = |says: &str| Setting {
            says: says.to_string(),
            sets: paths.iter().map(|path| (path.clone(), written(path, says))).collect(),
            leaves_out: Vec::new(),
            patches: None,
        };
        let settings: Vec<Setting> = match &choice.tries {
            Tries::Numbers { from, to, step } => {
                (*from..=*to).step_by(*step as usize).map(|n| with(&n.to_string())).collect()
            }
            Tries::Among(values) => values.iter().map(|value| with(value)).collect(),
            Tries::LeaveOut(things) => {
                let out = things.iter().map(ToString::to_string).collect();
                vec![
                    Setting { says: "there".into(), sets: Vec::new(), leaves_out: Vec::new(), patches: None },
                    Setting { says: "left out".into(), sets: Vec::new(), leaves_out: out, patches: None },
                ]
            }
            Tries::Unclear => {
                let help =
                    "give from and to (the lesser first), or among, or may_leave_out; one of the three";
                return Err(refuse("sets", "nothing that can be tried is written".into(), help));
            }
        };
        let leaves_out = matches!(choice.tries, Tries::LeaveOut(_));
        if leaves_out != paths.is_empty() {
            let (says, help) = if leaves_out {
                ("it leaves things out and sets fields too", "make two choices of it")
            } else {
                (
                    "it says which values but not of what",
                    "name fields in sets, such as \"bank.rack.parallel\"",
                )
            };
            return Err(refuse("sets", says.into(), help));
        }
        for path in &paths {
            if let Some(other) = taken.insert(path.clone(), choice.name.to_string()) {
                let says = format!("{path} is decided by choice \"{other}\" already");
                return Err(refuse("sets", says, "let one choice decide a field"));
            }
        }
        // A setting that no system could have is a slip of the pen, not a system that does not fit.
        let mut why = String::new();
        let understood = settings.iter().any(|setting| match apply(design, &[setting]) {
            Err(says) => {
                why = says;
                false
            }
            Ok(text) => match Design::of_text(&text).problems.first() {
                Some(problem) => {
                    why = problem.says.clone();
                    false
                }
                None => true,
            },
        });
        if !understood {
            let key = if leaves_out { "may_leave_out" } else { "sets" };
            return Err(refuse(key, why, "paths are those of docs/design-file.md: table, name, field"));
        }
        knobs.push(Knob { name: choice.name.to_string(), settings, present: None });
    }
    Ok(knobs)
}

/// Where the design names no choice: batteries side by side in each bank and modules in strings of equal length, from
/// half to twice of what is drawn.
fn usual_knobs(design: &Design) -> Vec<Knob> {
    let mut knobs = Vec::new();
    let mut push = |name: String, paths: Vec<String>, present: u32, most: Option<u32>| {
        let most = most.unwrap_or(u32::MAX).min(present.saturating_mul(2).max(present.saturating_add(2)));
        let settings = (present.div_ceil(2)..=most.max(present))
            .map(|n| Setting {
                says: n.to_string(),
                sets: paths.iter().map(|path| (path.clone(), n.to_string())).collect(),
                leaves_out: Vec::new(),
                patches: None,
            })
            .collect();
        knobs.push(Knob { name, settings, present: None });
    };
    let system = &design.system;
    for bank in &system.banks {
        let Some(parallel) = bank.bank.parallel.value() else { continue };
        let most = system.battery(&bank.bank.battery).and_then(|b| b.units_in_parallel.value()).map(|n| n.0);
        let path = format!("bank.{}.parallel", bank.bank.name);
        push(format!("batteries in {}", bank.bank.name), vec![path], parallel.0, most);
    }
    let mut equal: BTreeMap<u32, Vec<String>> = BTreeMap::new();
    for string in &system.strings {
        if let Some(count) = string.string.count.value() {
            equal.entry(count.0).or_default().push(format!("string.{}.count", string.string.name));
        }
    }
    let alone = equal.len() == 1;
    for (count, paths) in equal {
        let name = match (alone, paths.len()) {
            (true, _) => "modules in each string".to_string(),
            (false, 1) => paths[0].trim_start_matches("string.").trim_end_matches(".count").to_string(),
            (false, n) => format!("modules in each of {n} strings of {count}"),
        };
        push(name, paths, count, None);
    }
    knobs
}

/// A value as it stands in the file: bare where the field takes a number, in quotes elsewhere.
fn written(path: &str, value: &str) -> String {
    let mut keys = path.split('.');
    let table = keys.next().and_then(|key| TABLES.iter().find(|table| table.key == key));
    let last = path.rsplit('.').next().unwrap_or_default();
    let shape = table.and_then(|table| find(table.fields, last));
    let bare = match shape {
        Some(Shape::Count | Shape::Bare { .. } | Shape::Money) => true,
        Some(_) => false,
        None => value.parse::<f64>().is_ok(),
    };
    if bare { value.to_string() } else { format!("\"{}\"", value.replace('\\', "\\\\").replace('"', "\\\"")) }
}

fn find(fields: &'static [Field], key: &str) -> Option<&'static Shape> {
    fields.iter().find_map(|field| match &field.shape {
        shape if field.key == key => Some(shape),
        Shape::Record(inner) | Shape::Records(inner) => find(inner, key),
        _ => None,
    })
}

/// The text of a design at a stage.
pub(crate) fn staged(design: &Design, stage: &Stage) -> Result<String, String> {
    let setting = Setting {
        says: String::new(),
        sets: stage.with.iter().map(|(path, value)| (path.to_string(), written(path, value))).collect(),
        leaves_out: stage.not_yet.iter().map(ToString::to_string).collect(),
        patches: None,
    };
    apply(design, &[&setting])
}

/// The text with some settings, edits first, then what is left out with everything that named it.
fn apply(design: &Design, settings: &[&Setting]) -> Result<String, String> {
    match patched(&design.text, settings.iter().map(|setting| setting.patches.as_deref())) {
        Some(text) => Ok(text),
        None => edited(design, settings),
    }
}

/// The same by edits one after another, each proven by reading what it made.
fn edited(design: &Design, settings: &[&Setting]) -> Result<String, String> {
    let out: Vec<&str> = settings.iter().flat_map(|s| &s.leaves_out).map(String::as_str).collect();
    let gone = |path: &str| {
        out.iter().any(|thing| {
            path.strip_prefix(thing).is_some_and(|rest| rest.is_empty() || rest.starts_with('.'))
        })
    };
    let mut changes: Vec<Change> = settings
        .iter()
        .flat_map(|setting| &setting.sets)
        .filter(|(path, _)| !gone(path))
        .map(|(path, value)| Change::Set { field: FieldPath::new(path.clone()), value: value.clone() })
        .collect();
    if !out.is_empty() {
        follow(design, &out, &gone, &mut changes);
    }
    let remedy = Remedy { says: String::new(), changes };
    rules::remedies::apply(&design.text, &remedy).map_err(|error| error.to_string())
}

/// What follows when things are left out: lists that name them lose the name, runs between them or for them alone go
/// too.
fn follow(design: &Design, out: &[&str], gone: &impl Fn(&str) -> bool, changes: &mut Vec<Change>) {
    let things: Vec<(&str, &str)> = out.iter().filter_map(|path| path.split_once('.')).collect();
    let is_out = |tables: &[&str], name: &str| things.iter().any(|(t, n)| tables.contains(t) && *n == name);
    let mut removed: Vec<String> = out.iter().map(ToString::to_string).collect();
    for item in design.items.iter().filter(|item| !gone(&item.path)) {
        let is_run = item.table.key == "run";
        let mut run_goes = false;
        let mut of_item = Vec::new();
        for entry in &item.entries {
            let (Shape::References(tables), Given::References(names)) = (&entry.field.shape, &entry.value)
            else {
                if let Some(field) = single(entry, &is_out) {
                    of_item.push(Change::Remove { field: FieldPath::new(format!("{}.{field}", item.path)) });
                }
                continue;
            };
            let kept: Vec<String> = names
                .iter()
                .filter(|(name, _)| !is_out(tables, name))
                .map(|(name, _)| quoted(name))
                .collect();
            if kept.len() == names.len() {
                continue;
            }
            run_goes |= is_run && (entry.field.key == "between" || kept.is_empty());
            let field = FieldPath::new(format!("{}.{}", item.path, entry.field.key));
            of_item.push(Change::Set { field, value: format!("[{}]", kept.join(", ")) });
        }
        if run_goes {
            removed.push(item.path.to_string());
        } else {
            changes.extend(of_item);
        }
    }
    changes.extend(removed.into_iter().map(|path| Change::Remove { field: FieldPath::new(path) }));
}

/// The key of an optional reference to something that is left out.
fn single(entry: &Entry, is_out: &impl Fn(&[&str], &str) -> bool) -> Option<&'static str> {
    match (&entry.field.shape, &entry.value) {
        (Shape::Reference(tables), Given::Reference(name))
            if entry.field.blank == design::catalogue::Blank::None && is_out(tables, name) =>
        {
            Some(entry.field.key)
        }
        _ => None,
    }
}

fn quoted(name: &str) -> String {
    format!("\"{}\"", name.replace('\\', "\\\\").replace('"', "\\\""))
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    /// A choice of a field that stands, of one that does not stand yet, of two beside it in one table, and of two at once.
    #[test]
    fn a_text_put_together_of_its_parts_is_the_text_edited_step_by_step() {
        let house = include_str!("../../rules/src/trial_house.toml");
        let choices = "[[choice]]\nname = \"a\"\nsets = [\"bank.bank.parallel\"]\nfrom = 1\nto = 3\n\
            [[choice]]\nname = \"b\"\nsets = [\"string.row.count\", \"promise.budget\"]\nfrom = 9\nto = 11\n\
            [[choice]]\nname = \"c\"\nsets = [\"plane.rack.soiling\"]\namong = [\"1 %\", \"3 %\"]\n\
            [[choice]]\nname = \"d\"\nsets = [\"string.row.mismatch\"]\namong = [\"1 %\", \"3 %\"]\n";
        let design = Design::of_text(&format!("{house}\n{choices}"));
        assert!(design.problems.is_empty(), "{:#?}", design.problems);
        let space = Space::of(&design).unwrap();
        let mut quick = 0;
        for system in 0..space.systems() as usize {
            let settings: Vec<&Setting> = space
                .knobs
                .iter()
                .zip(space.picks(system))
                .map(|(knob, pick)| &knob.settings[pick])
                .collect();
            let slow = edited(&design, &settings).unwrap();
            assert_eq!(space.text(&design, system).unwrap(), slow, "{}", space.says(system));
            let parts = settings.iter().map(|setting| setting.patches.as_deref());
            quick += usize::from(patched(&design.text, parts).is_some());
        }
        assert!(quick > 0, "no text was put together of its parts: the test says nothing");
    }
}
