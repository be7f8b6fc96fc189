//! Things of the design as forms: what was typed becomes edits by path, each checked by the reader itself.

use super::edits::{Clash, KeepError};
use super::history::Turn;
use crate::words::spaced;
use design::Design;
use design::catalogue::{Field, Form, Shape, TABLES, Table};
use design::edit::{self, EditError};
use design::form::{new_problems, set_typed, typed, written};
use design::problem::{Problem, What};
use design::read::read;

/// A text that an edit made.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct Made {
    pub(crate) text: String,
    /// What it did, in words; empty where the difference says it best.
    pub(crate) says: String,
    pub(crate) turn: Turn,
}

impl Made {
    pub(crate) fn of(text: String) -> Made {
        Made { text, ..Made::default() }
    }
}

/// One field of a form.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Typed {
    /// Its path below the thing: `length`, `route.2.length`.
    pub(crate) key: String,
    /// What was typed.
    pub(crate) now: String,
    /// What the page had read.
    pub(crate) was: String,
}

/// What was typed and cannot be taken, with what can.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fault {
    /// Path of the field below its thing; `name` for the name.
    pub key: String,
    /// What is wrong.
    pub says: String,
    /// What is allowed.
    pub help: String,
}

/// What else a form does once its fields are written.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) enum Then {
    /// Nothing.
    #[default]
    Nothing,
    /// Adds an element to the list at a key.
    Append(String),
    /// Takes out the element at a key.
    Remove(String),
    /// Moves the element at a key one place up.
    Up(String),
    /// Moves the element at a key one place down.
    Down(String),
}

/// The table of a thing and the path of a field below it.
pub(crate) fn table_of(path: &str) -> Option<&'static Table> {
    let key = path.split('.').next().unwrap_or_default();
    TABLES.iter().find(|table| table.key == key).or_else(|| TABLES.iter().find(|table| table.key.is_empty()))
}

/// The table of a path as it comes in an address; the empty path is the head of the file.
pub(crate) fn table_of_path(path: &str) -> Option<&'static Table> {
    table_of(path).filter(|table| path.is_empty() || !table.key.is_empty())
}

/// The catalogue's description of a field by its path below a thing of a table: ordinals of lists are skipped.
pub(crate) fn field_of(table: &Table, key: &str) -> Option<&'static Field> {
    let mut fields: &'static [Field] = table.fields;
    let mut found: Option<&'static Field> = None;
    for part in key.split('.') {
        if part.parse::<usize>().is_ok() && matches!(found, Some(Field { shape: Shape::Records(_), .. })) {
            continue;
        }
        let field = fields.iter().find(|field| field.key == part)?;
        fields = match &field.shape {
            Shape::Record(inner) | Shape::Records(inner) => inner,
            _ => &[],
        };
        found = Some(field);
    }
    found
}

/// A path below another.
pub(crate) fn below(path: &str, key: &str) -> String {
    if path.is_empty() { key.to_string() } else { format!("{path}.{key}") }
}

/// The text as it is typed for a field, empty where nothing stands.
pub(crate) fn typed_in(text: &str, path: &str, field: &Field) -> String {
    edit::source(text, path).map(|source| typed(&field.shape, &source)).unwrap_or_default()
}

/// The list element a key lies in, with its list: `route.2.length` lies in the second of `route`.
fn list_of(key: &str) -> Option<&str> {
    let ordinal = key.split('.').position(|part| part.parse::<usize>().is_ok())?;
    let end: usize = key.split('.').take(ordinal).map(|part| part.len() + 1).sum();
    key.get(..end.checked_sub(1)?)
}

/// The text with the fields of a form written into the thing at a path. Fields that the page did not change stay as the
/// file has them.
pub(crate) fn fields_written(
    text: &str,
    path: &str,
    table: &Table,
    typed: &[Typed],
) -> Result<String, KeepError> {
    let changed: Vec<&Typed> = typed.iter().filter(|field| field.now.trim() != field.was.trim()).collect();
    let now = |one: &Typed| {
        field_of(table, &one.key)
            .map(|field| typed_in(text, &below(path, &one.key), field))
            .unwrap_or_default()
    };
    let mut clashes = Vec::new();
    for one in &changed {
        let theirs = now(one);
        // An element is known by its number only, so all of its list must stand as the page had read it.
        let moved = list_of(&one.key).is_some_and(|list| {
            typed
                .iter()
                .any(|other| list_of(&other.key) == Some(list) && now(other).trim() != other.was.trim())
        });
        let agree = theirs.trim() == one.was.trim() || theirs.trim() == one.now.trim();
        if !agree || moved {
            clashes.push(Clash {
                label: spaced(&below(path, &one.key)),
                was: shown(&one.was),
                theirs: Some(shown(&theirs)),
                ours: shown(&one.now),
            });
        }
    }
    if !clashes.is_empty() {
        return Err(KeepError::Clash(clashes));
    }
    let mut text = text.to_string();
    // The whole of a design is understood anew: some values are found wrong only beside others.
    let mut problems = Design::of_text(&text).problems;
    let mut faults = Vec::new();
    for one in changed {
        let Some(field) = field_of(table, &one.key) else {
            faults.push(fault(&one.key, "there is no such field", ""));
            continue;
        };
        let full = below(path, &one.key);
        match set_typed(&text, &full, field, &one.now, TABLES) {
            Ok(next) => {
                let after = Design::of_text(&next).problems;
                match new_problems(&problems, &after).first() {
                    Some(problem) => faults.push(of_problem(&one.key, problem)),
                    None => (text, problems) = (next, after),
                }
            }
            Err(error) => faults.push(fault(&one.key, &error.to_string(), "")),
        }
    }
    if faults.is_empty() { Ok(text) } else { Err(KeepError::Typed(faults)) }
}

fn shown(text: &str) -> String {
    match text.trim() {
        "" => "blank".to_string(),
        text => text.chars().take(80).collect(),
    }
}

fn fault(key: &str, says: &str, help: &str) -> Fault {
    Fault { key: key.to_string(), says: says.to_string(), help: help.to_string() }
}

fn of_problem(key: &str, problem: &Problem) -> Fault {
    fault(key, &problem.says, &problem.help)
}

fn refused(error: &EditError) -> KeepError {
    KeepError::NotPossible(error.to_string())
}

/// The text with a form written, and what else was asked for done.
pub(crate) fn form_written(
    text: &str,
    path: &str,
    table: &Table,
    typed: &[Typed],
    then: &Then,
) -> Result<Made, KeepError> {
    let text = fields_written(text, path, table, typed)?;
    let done = match then {
        Then::Nothing => Ok(text),
        Then::Append(key) => edit::append(&text, &below(path, key), &blank_element(table, key), TABLES),
        Then::Remove(key) => edit::remove(&text, &below(path, key)),
        Then::Up(key) => edit::shift(&text, &below(path, key), true),
        Then::Down(key) => edit::shift(&text, &below(path, key), false),
    };
    done.map(Made::of).map_err(|error| refused(&error))
}

/// A new element of a list, with its first field asked for.
fn blank_element(table: &Table, key: &str) -> String {
    match field_of(table, key).map(|field| &field.shape) {
        Some(Shape::Records(fields)) => match fields.first() {
            Some(first) => format!("{{ {} = \"unknown\" }}", first.key),
            None => "{}".into(),
        },
        _ => "\"\"".into(),
    }
}

/// The text with a new thing in it.
pub(crate) fn begun(text: &str, table: &Table, name: &str, typed: &[Typed]) -> Result<Made, KeepError> {
    let mut fields: Vec<(&str, String)> = Vec::new();
    for one in typed.iter().filter(|one| !one.key.contains('.')) {
        let field = field_of(table, &one.key);
        if let Some(value) = field.and_then(|field| written(&field.shape, &one.now)) {
            fields.push((&one.key, value));
        }
    }
    let pairs: Vec<(&str, &str)> = fields.iter().map(|(key, value)| (*key, value.as_str())).collect();
    let before = Design::of_text(text).problems;
    let mut made = edit::add_item(text, table.key, name, &pairs, TABLES).map_err(|error| match &error {
        EditError::BadName { .. } => KeepError::Typed(vec![fault("name", &error.to_string(), "")]),
        _ => refused(&error),
    })?;
    let path = match table.form {
        Form::One => table.key.to_string(),
        Form::Named | Form::List => format!("{}.{}", table.key, name.trim()),
        Form::Unnamed => {
            let count = read(&made, TABLES).items_of(table.key).count();
            format!("{}.{count}", table.key)
        }
    };
    let mut faults = Vec::new();
    for one in typed.iter().filter(|one| one.key.contains('.') && !one.now.trim().is_empty()) {
        let Some(field) = field_of(table, &one.key) else { continue };
        match set_typed(&made, &below(&path, &one.key), field, &one.now, TABLES) {
            Ok(next) => made = next,
            Err(error) => faults.push(fault(&one.key, &error.to_string(), "")),
        }
    }
    let design = Design::of_text(&made);
    for problem in &design.problems {
        let old = before.iter().any(|old| old.what == problem.what && old.says == problem.says);
        if old || problem.what == What::Contradiction {
            continue;
        }
        faults.push(of_problem(&key_at(&design, &path, problem, typed), problem));
    }
    if faults.is_empty() { Ok(Made::of(made)) } else { Err(KeepError::Typed(faults)) }
}

/// The field of a form that a problem is about: the one in whose value it lies, or the needed one that it names.
fn key_at(design: &Design, path: &str, problem: &Problem, typed: &[Typed]) -> String {
    let at = problem.labels.first().map(|label| label.span.clone()).unwrap_or_default();
    let holds = |one: &&Typed| {
        !one.now.trim().is_empty()
            && design
                .span_of(&quantity::FieldPath::new(below(path, &one.key)))
                .is_some_and(|span| span.start <= at.start && at.start < span.end.max(span.start + 1))
    };
    let named = |one: &&Typed| {
        problem.what == What::Missing
            && one.now.trim().is_empty()
            && problem.says.contains(&format!("`{}`", one.key))
            || problem.what == What::Missing && problem.says.split(['"', ' ']).any(|word| word == one.key)
    };
    typed
        .iter()
        .find(holds)
        .or_else(|| typed.iter().find(named))
        .map_or_else(String::new, |one| one.key.clone())
}

#[cfg(test)]
mod tests {
    use super::*;

    const TEXT: &str = "wattwright = 1\ntitle = \"x\"\ncurrency = \"USD\"\n\n[[load]]\nname = \"pump\"\nwatts = 40   # read\nhours = 2\n\n[[run]]\nname = \"r\"\nroute = [\n  { length = \"1 m\" },\n  { length = \"2 m\" },\n]\n";

    fn one(key: &str, was: &str, now: &str) -> Typed {
        Typed { key: key.into(), now: now.into(), was: was.into() }
    }

    fn table(key: &str) -> &'static Table {
        TABLES.iter().find(|table| table.key == key).expect("it is in the catalogue")
    }

    #[test]
    fn only_what_the_page_changed_is_written() {
        let typed = [one("watts", "40", "55"), one("hours", "2", "2")];
        let new = fields_written(TEXT, "load.pump", table("load"), &typed).expect("it is written");
        assert_eq!(new, TEXT.replace("watts = 40 ", "watts = 55 "));
        // The file changed the other field meanwhile: both stay.
        let theirs = TEXT.replace("hours = 2", "hours = 3");
        let new = fields_written(&theirs, "load.pump", table("load"), &typed).expect("it is written");
        assert_eq!(new, theirs.replace("watts = 40 ", "watts = 55 "));
    }

    #[test]
    fn the_same_field_on_both_sides_is_a_clash_unless_both_say_the_same() {
        let theirs = TEXT.replace("watts = 40 ", "watts = 45 ");
        let clash = fields_written(&theirs, "load.pump", table("load"), &[one("watts", "40", "55")]);
        let Err(KeepError::Clash(clashes)) = clash else { panic!("{clash:?}") };
        assert_eq!((clashes[0].was.as_str(), clashes[0].ours.as_str()), ("40", "55"));
        assert_eq!(clashes[0].theirs.as_deref(), Some("45"));
        let same = fields_written(&theirs, "load.pump", table("load"), &[one("watts", "40", "45")]);
        assert_eq!(same.as_deref(), Ok(theirs.as_str()));
    }

    #[test]
    fn an_element_whose_list_moved_is_not_written_to_by_its_number() {
        let typed = [one("route.1.length", "1 m", "1 m"), one("route.2.length", "2 m", "9 m")];
        let new = fields_written(TEXT, "run.r", table("run"), &typed).expect("it is written");
        assert_eq!(new, TEXT.replace("2 m", "9 m"));
        let theirs = TEXT.replace("  { length = \"1 m\" },\n", "  { length = \"7 m\" },\n");
        assert!(matches!(fields_written(&theirs, "run.r", table("run"), &typed), Err(KeepError::Clash(_))));
    }

    #[test]
    fn what_cannot_be_taken_is_said_at_its_field_and_nothing_is_written() {
        let typed = [one("watts", "40", "many"), one("hours", "2", "30"), one("volts", "", "120")];
        let refused = fields_written(TEXT, "load.pump", table("load"), &typed);
        let Err(KeepError::Typed(faults)) = refused else { panic!("{refused:?}") };
        let keys: Vec<&str> = faults.iter().map(|fault| fault.key.as_str()).collect();
        assert_eq!(keys, ["watts", "hours"]);
        assert!(faults.iter().all(|fault| !fault.says.is_empty()), "{faults:?}");
    }

    #[test]
    fn a_thing_is_begun_with_what_it_needs_or_says_at_the_field_what_it_needs() {
        let made = begun(TEXT, table("load"), "fan", &[one("watts", "", "9"), one("hours", "", "4")]);
        assert!(made.expect("it is begun").text.contains("[[load]]\nname = \"fan\"\nwatts = 9\nhours = 4\n"));
        let taken = begun(TEXT, table("load"), "Pump", &[]);
        assert!(matches!(taken, Err(KeepError::Typed(faults)) if faults[0].key == "name"));
        let string = begun(TEXT, table("string"), "s", &[one("plane", "", "nowhere"), one("module", "", "")]);
        let Err(KeepError::Typed(faults)) = string else { panic!("{string:?}") };
        assert!(faults.iter().any(|fault| fault.key == "plane"), "{faults:?}");
    }

    #[test]
    fn elements_are_added_moved_and_taken_out_after_the_fields_are_written() {
        let typed = [one("route.1.length", "1 m", "3 m")];
        let text =
            |then| form_written(TEXT, "run.r", table("run"), &typed, &then).expect("it is written").text;
        assert!(text(Then::Down("route.1".into())).contains("{ length = \"2 m\" },\n  { length = \"3 m\" }"));
        assert!(!text(Then::Remove("route.1".into())).contains("3 m"));
        assert!(text(Then::Append("route".into())).matches("{ ").count() == 3);
    }
}
