//! What differs between two designs, field by field.

use crate::words::spaced;
use design::Design;
use design::catalogue::Shape;
use design::form::typed;
use design::read::{Entry, Given};
use std::collections::BTreeMap;

/// One thing that differs.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Difference {
    /// The thing, in words: `load "well pump"`.
    pub(crate) thing: String,
    /// The field, empty for a whole thing that is on one side only.
    pub(crate) field: String,
    /// What one side says; `None` where it says nothing.
    pub(crate) one: Option<String>,
    /// What the other says.
    pub(crate) other: Option<String>,
}

impl Difference {
    /// In a few words: `bank rack: parallel 6 → 8`.
    pub(crate) fn says(&self) -> String {
        let value = |side: &Option<String>| side.as_deref().map(short).unwrap_or_else(|| "blank".into());
        match (self.field.is_empty(), &self.one, &self.other) {
            (true, None, _) => format!("{} added", self.thing),
            (true, _, _) => format!("{} taken out", self.thing),
            (false, one, other) => {
                format!("{}: {} {} → {}", self.thing, self.field, value(one), value(other))
            }
        }
    }
}

fn short(text: &str) -> String {
    let one_line = text.split_whitespace().collect::<Vec<_>>().join(" ");
    if one_line.chars().count() <= 48 { one_line } else { one_line.chars().take(47).chain(['…']).collect() }
}

type Fields = BTreeMap<String, String>;

/// Every thing with its fields as they would be typed, in file order.
fn things(design: &Design) -> Vec<(String, String, Fields)> {
    let mut found = Vec::with_capacity(design.items.len());
    for item in &design.items {
        let mut fields = Fields::new();
        flat(&item.entries, "", &design.text, &mut fields);
        let thing = match item.table.key {
            "" => "the design".to_string(),
            key => crate::words::thing(key, &item.name),
        };
        found.push((item.path.to_string(), thing, fields));
    }
    found
}

fn flat(entries: &[Entry], below: &str, text: &str, into: &mut Fields) {
    for entry in entries {
        let key = format!("{below}{}", spaced(entry.field.key));
        match (&entry.value, &entry.field.shape) {
            (Given::Record(inner), _) => flat(inner, &format!("{key} "), text, into),
            (Given::Records(list), _) => {
                for (at, (inner, _)) in list.iter().enumerate() {
                    flat(inner, &format!("{key} {} ", at + 1), text, into);
                }
            }
            (Given::Unknown, _) => {
                into.insert(key, "unknown".into());
            }
            (_, Shape::Text | Shape::Texts | Shape::Reference(_) | Shape::References(_)) | (_, _) => {
                let source = text.get(entry.span.clone()).unwrap_or_default();
                into.insert(key, typed(&entry.field.shape, source));
            }
        }
    }
}

/// All differences, in the order of the first design, then what only the second has.
pub(crate) fn differences(one: &Design, other: &Design) -> Vec<Difference> {
    let (ones, others) = (things(one), things(other));
    let mut found = Vec::new();
    let whole = |thing: &str, one: bool| Difference {
        thing: thing.to_string(),
        field: String::new(),
        one: one.then(|| "there".to_string()),
        other: (!one).then(|| "there".to_string()),
    };
    for (path, thing, fields) in &ones {
        let Some((_, _, theirs)) = others.iter().find(|(other, _, _)| other == path) else {
            found.push(whole(thing, true));
            continue;
        };
        let keys: std::collections::BTreeSet<&String> = fields.keys().chain(theirs.keys()).collect();
        for key in keys {
            let (a, b) = (fields.get(key), theirs.get(key));
            if a != b {
                found.push(Difference {
                    thing: thing.clone(),
                    field: key.clone(),
                    one: a.cloned(),
                    other: b.cloned(),
                });
            }
        }
    }
    for (path, thing, _) in &others {
        if !ones.iter().any(|(one, _, _)| one == path) {
            found.push(whole(thing, false));
        }
    }
    found
}

/// The differences in one line; nothing when there are none.
pub(crate) fn said(one: &Design, other: &Design) -> Option<String> {
    let all = differences(one, other);
    let words: Vec<String> = all.iter().take(4).map(Difference::says).collect();
    let more = all.len().saturating_sub(4);
    let rest = if more > 0 { format!("; and {more} more") } else { String::new() };
    (!words.is_empty()).then(|| format!("{}{rest}", words.join("; ")))
}

#[cfg(test)]
mod tests {
    use super::*;

    const TEXT: &str = "wattwright = 1\ntitle = \"x\"\ncurrency = \"USD\"\n[[load]]\nname = \"pump\"\nwatts = 40\n[[load]]\nname = \"lamp\"\nwatts = 5\nhours = { evening = 2 }\n";

    #[test]
    fn fields_and_things_that_differ_are_said() {
        let new = TEXT.replace("watts = 40", "watts = 50").replace("evening = 2", "evening = 3")
            + "[[load]]\nname = \"fan\"\nwatts = 9\n";
        let found = differences(&Design::of_text(TEXT), &Design::of_text(&new));
        let said: Vec<String> = found.iter().map(Difference::says).collect();
        assert_eq!(
            said,
            ["load pump: watts 40 → 50", "load lamp: hours evening 2 → evening 3", "load fan added"]
        );
        assert_eq!(differences(&Design::of_text(TEXT), &Design::of_text(&TEXT.replace(" = ", "="))), []);
    }
}
