//! Words for names of the file.

/// A key of the file as words: `voc_per_kelvin` is "voc per kelvin".
pub(crate) fn spaced(key: &str) -> String {
    key.replace('_', " ")
}

/// A thing by its kind and name, its kind said once: "load well pump", but "string 1" for a string of that name.
pub(crate) fn thing(key: &str, name: &str) -> String {
    let kind = spaced(key);
    let lower = name.to_lowercase();
    let says_it = lower.strip_prefix(&kind).is_some_and(|rest| !rest.starts_with(char::is_alphanumeric))
        || lower.strip_suffix(&kind).is_some_and(|rest| !rest.ends_with(char::is_alphanumeric));
    match name {
        "" => kind,
        _ if says_it => name.to_string(),
        _ => format!("{kind} {name}"),
    }
}

/// With a capital first letter.
pub(crate) fn capital(word: &str) -> String {
    let mut letters = word.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_thing_is_named_once() {
        for (key, name, said) in [
            ("string", "string 1", "string 1"),
            ("bank", "bank", "bank"),
            ("bank", "House bank", "House bank"),
            ("load", "well pump", "load well pump"),
            ("bank", "embankment", "bank embankment"),
            ("string", "strings", "string strings"),
            ("ground_rod", "ground rod 2", "ground rod 2"),
            ("place", "", "place"),
        ] {
            assert_eq!(thing(key, name), said);
        }
    }
}
