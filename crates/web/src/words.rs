//! Words for names of the file.

/// A key of the file as words: `voc_per_kelvin` is "voc per kelvin".
pub(crate) fn spaced(key: &str) -> String {
    key.replace('_', " ")
}

/// With a capital first letter.
pub(crate) fn capital(word: &str) -> String {
    let mut letters = word.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}
