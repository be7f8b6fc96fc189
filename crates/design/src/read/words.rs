//! Small helpers for messages: nearest names, lists, quoting.

use std::borrow::Cow;

/// Names longer than this are not compared; a slip of two letters in so long a word is no likely explanation.
const LONGEST_NAME: usize = 64;
/// So many known names are compared at most, which bounds the time for a huge file.
const MOST_NAMES: usize = 2000;

/// The known name that was probably meant: at most two slips away (one for words of three letters or fewer), or
/// one the written name begins or that begins it.
pub(crate) fn nearest<'a>(written: &str, known: impl Iterator<Item = &'a str>) -> Option<&'a str> {
    let wanted = plain(written);
    if wanted.is_empty() || wanted.len() > LONGEST_NAME {
        return None;
    }
    let slips = if wanted.chars().count() <= 3 { 1 } else { 2 };
    let known: Vec<&str> = known.filter(|name| name.len() <= LONGEST_NAME).take(MOST_NAMES).collect();
    let close = known
        .iter()
        .filter(|name| name.len().abs_diff(wanted.len()) <= 2 * slips)
        .map(|name| (strsim::damerau_levenshtein(&wanted, &plain(name)), *name))
        .filter(|(distance, _)| *distance <= slips)
        .min_by_key(|(distance, _)| *distance);
    close.map(|(_, name)| name).or_else(|| {
        let begins = |name: &&&str| {
            let name = plain(name);
            (wanted.len() >= 3 && name.starts_with(&wanted)) || (name.len() >= 3 && wanted.starts_with(&name))
        };
        known.iter().filter(begins).min_by_key(|name| name.len().abs_diff(wanted.len())).copied()
    })
}

fn plain(name: &str) -> String {
    name.trim().to_lowercase().replace(['-', ' '], "_")
}

/// `a, b or c`; after a dozen, how many more.
pub(crate) fn listed<S: AsRef<str>>(words: &[S], joint: &str) -> String {
    const SHOWN: usize = 12;
    let words: Vec<&str> = words.iter().map(AsRef::as_ref).collect();
    if words.len() > SHOWN + 1 {
        return format!("{} {joint} {} more", words[..SHOWN].join(", "), words.len() - SHOWN);
    }
    match words.as_slice() {
        [] => String::new(),
        [one] => (*one).to_string(),
        [firsts @ .., last] => format!("{} {joint} {last}", firsts.join(", ")),
    }
}

/// Each in double quotes.
pub(crate) fn quoted<S: AsRef<str>>(words: &[S]) -> Vec<String> {
    words.iter().map(|word| quote(word.as_ref())).collect()
}

/// A text as TOML, on one line.
pub(crate) fn quote(text: &str) -> String {
    let awkward = |c: char| c == '"' || c == '\\' || c.is_control();
    if !text.contains(awkward) {
        return format!("\"{text}\"");
    }
    if !text.contains(|c: char| c == '\'' || c.is_control()) {
        return format!("'{text}'");
    }
    let mut out = String::with_capacity(text.len() + 8);
    out.push('"');
    for c in text.chars() {
        match c {
            '"' => out.push_str("\\\""),
            '\\' => out.push_str("\\\\"),
            '\n' => out.push_str("\\n"),
            '\t' => out.push_str("\\t"),
            '\r' => out.push_str("\\r"),
            c if c.is_control() => out.push_str(&format!("\\u{:04X}", c as u32)),
            c => out.push(c),
        }
    }
    out.push('"');
    out
}

/// A key as TOML: bare where it can be.
pub(crate) fn key_text(key: &str) -> Cow<'_, str> {
    let bare = |c: char| c.is_ascii_alphanumeric() || c == '_' || c == '-';
    if !key.is_empty() && key.chars().all(bare) { Cow::Borrowed(key) } else { Cow::Owned(quote(key)) }
}

/// A text short enough for a message.
pub(crate) fn brief(text: &str) -> Cow<'_, str> {
    const SHOWN: usize = 48;
    match text.char_indices().nth(SHOWN) {
        Some((end, _)) => Cow::Owned(format!("{}…", &text[..end])),
        None => Cow::Borrowed(text),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_nearest_name_is_two_slips_away_or_a_beginning() {
        let known = || ["voc", "isc", "power", "series_fuse"].into_iter();
        assert_eq!(nearest("vocc", known()), Some("voc"));
        assert_eq!(nearest("pwoer", known()), Some("power"));
        assert_eq!(nearest("series-fuse", known()), Some("series_fuse"));
        assert_eq!(nearest("series", known()), Some("series_fuse"));
        assert_eq!(nearest("color", known()), None);
        // Two of three letters differ: no likely slip.
        assert_eq!(nearest("vsx", known()), None);
    }

    #[test]
    fn texts_are_quoted_so_that_toml_reads_them_back() {
        for text in ["plain", "12'6\"", "a\\b", "a\"b", "tab\tand 'both' \" quotes", "\u{1}"] {
            let toml = format!("a = {}", quote(text));
            let table = toml::de::DeTable::parse(&toml).expect("quoted text is valid");
            assert_eq!(table.get_ref().get("a").and_then(|v| v.get_ref().as_str()), Some(text), "{toml}");
        }
    }

    #[test]
    fn long_lists_say_how_many_more() {
        assert_eq!(listed(&["a", "b", "c"], "or"), "a, b or c");
        let many: Vec<String> = (0..40).map(|n| n.to_string()).collect();
        assert!(listed(&many, "and").ends_with("11 and 28 more"));
    }
}
