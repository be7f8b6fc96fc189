//! The one name of a number.

use crate::{Origin, Value};
use std::fmt;
use std::sync::Arc;

/// Name of a figure such as `runs/field-to-workshop/drop`, made from the owner's names.
#[derive(Clone, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct FigureName(Arc<str>);

impl FigureName {
    /// From parts; each is turned into a slug.
    pub fn new(parts: &[&str]) -> Self {
        let slugs: Vec<String> = parts.iter().map(|part| slug(part)).collect();
        Self(slugs.join("/").into())
    }

    /// As text.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl fmt::Display for FigureName {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

/// Lower case, letters and digits kept (of any alphabet), everything else a single hyphen.
pub fn slug(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        if c.is_alphanumeric() {
            out.extend(c.to_lowercase());
        } else if !out.ends_with('-') && !out.is_empty() {
            out.push('-');
        }
    }
    if out.ends_with('-') {
        out.pop();
    }
    out
}

/// A number that a person can ask about.
#[derive(Clone, Debug, PartialEq)]
pub struct Figure {
    /// Its one name.
    pub name: FigureName,
    /// What it is, in a few words.
    pub says: String,
    /// The value.
    pub value: Value,
    /// Where the value came from.
    pub origin: Origin,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_made_from_what_the_owner_calls_things() {
        assert_eq!(
            FigureName::new(&["runs", "Field to  Workshop!", "drop"]).as_str(),
            "runs/field-to-workshop/drop"
        );
        assert_eq!(slug("Küche & Bad"), "küche-bad");
    }
}
