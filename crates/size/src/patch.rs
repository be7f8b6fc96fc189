//! Parts of a text and what stands there instead: many texts that differ in a few values are put together without reading
//! each of them after every edit.

use design::catalogue::TABLES;
use std::ops::Range;

/// A part of a text and what stands there instead.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Patch {
    part: Range<usize>,
    with: String,
}

/// The parts of a text that fields with new values change, each found by one edit that is proven for itself; `None` where an
/// edit does not apply.
pub(crate) fn patches(text: &str, sets: &[(String, String)]) -> Option<Vec<Patch>> {
    let patch = |(path, value): &(String, String)| {
        design::edit::set(text, path, value, TABLES).ok().map(|edited| difference(text, &edited))
    };
    sets.iter().map(patch).collect()
}

/// What differs between two texts, as one part of the first.
fn difference(old: &str, new: &str) -> Patch {
    let same = old.bytes().zip(new.bytes()).take_while(|(a, b)| a == b).count();
    let start =
        (0..=same).rev().find(|at| old.is_char_boundary(*at) && new.is_char_boundary(*at)).unwrap_or(0);
    let (old_rest, new_rest) = (&old[start..], &new[start..]);
    let same = old_rest.bytes().rev().zip(new_rest.bytes().rev()).take_while(|(a, b)| a == b).count();
    let is_end = |back: &usize| {
        old_rest.is_char_boundary(old_rest.len() - back) && new_rest.is_char_boundary(new_rest.len() - back)
    };
    let back = (0..=same).rev().find(is_end).unwrap_or(0);
    Patch { part: start..old.len() - back, with: new_rest[..new_rest.len() - back].to_string() }
}

/// The text with all of these parts; `None` where one is not known or two touch, so that one edit may depend on another.
pub(crate) fn patched<'a>(text: &str, parts: impl Iterator<Item = Option<&'a [Patch]>>) -> Option<String> {
    let mut all: Vec<&Patch> = Vec::new();
    for patches in parts {
        all.extend(patches?);
    }
    // A value set to what it is already changes nothing, wherever it stands.
    all.retain(|patch| text[patch.part.clone()] != patch.with);
    all.sort_by_key(|patch| (patch.part.start, patch.part.end));
    if all.windows(2).any(|pair| pair[0].part.end >= pair[1].part.start) {
        return None;
    }
    let mut edited = String::with_capacity(text.len() + 64);
    let mut at = 0;
    for patch in all {
        edited.push_str(&text[at..patch.part.start]);
        edited.push_str(&patch.with);
        at = patch.part.end;
    }
    edited.push_str(&text[at..]);
    Some(edited)
}
