//! Systems that come to the same text.

use crate::choice::Space;
use design::Design;
use rayon::prelude::*;
use std::hash::{DefaultHasher, Hash, Hasher};

/// For each system the first one with the same text. Texts are many and long, so that only a number made of each is kept; where
/// two are equal the texts themselves decide.
pub(crate) fn repeated(space: &Space, design: &Design) -> Vec<u32> {
    let text = |system: u32| space.text(design, system as usize).ok();
    let systems = u32::try_from(space.systems()).unwrap_or(u32::MAX);
    let number = |system: u32| {
        let mut hasher = DefaultHasher::new();
        text(system)?.hash(&mut hasher);
        Some((hasher.finish(), system))
    };
    let mut numbers: Vec<(u64, u32)> = (0..systems).into_par_iter().filter_map(number).collect();
    numbers.sort_unstable();
    let mut same: Vec<u32> = (0..systems).collect();
    for alike in numbers.chunk_by(|one, other| one.0 == other.0) {
        // In order of position, so that the first of equal texts comes first.
        for (k, (_, at)) in alike.iter().enumerate() {
            let equal = alike[..k]
                .iter()
                .find(|(_, before)| same[*before as usize] == *before && text(*before) == text(*at));
            if let Some((_, before)) = equal {
                same[*at as usize] = *before;
            }
        }
    }
    same
}
