//! Cuts a text into statements, so that one broken statement never swallows the ones after it.

use std::ops::Range;

/// Longest single statement in bytes; a bracket or a multi-line text open for longer counts as never closed.
const LONGEST: usize = 64 * 1024;
/// Deepest nesting of brackets, as deep as the TOML parser follows.
const DEEPEST: usize = 80;
/// After so many statements that never close, each is taken to be one line. This bounds the time for garbage.
const PATIENCE: usize = 200;

/// The statements of a text in order: headers `[x]`, `[[x]]`, and keys with their values, without the comment lines
/// and blank lines between them.
pub(super) struct Statements<'t> {
    text: &'t str,
    at: usize,
    unclosed: usize,
}

impl<'t> Statements<'t> {
    pub(super) fn of(text: &'t str) -> Self {
        // A byte order mark is allowed before the first statement.
        let at = if text.starts_with('\u{feff}') { '\u{feff}'.len_utf8() } else { 0 };
        Self { text, at, unclosed: 0 }
    }
}

impl Iterator for Statements<'_> {
    type Item = Range<usize>;

    fn next(&mut self) -> Option<Range<usize>> {
        let bytes = self.text.as_bytes();
        loop {
            match bytes.get(self.at)? {
                b' ' | b'\t' | b'\n' | b'\r' => self.at += 1,
                b'#' => self.at = line_end(bytes, self.at),
                _ => break,
            }
        }
        let start = self.at;
        let first_line = line_end(bytes, start);
        let end = if bytes[start] == b'[' || self.unclosed > PATIENCE {
            first_line
        } else if let Some(end) = balanced_end(bytes, start) {
            end
        } else {
            self.unclosed += 1;
            next_statement(bytes, first_line)
        };
        self.at = end;
        Some(start..trimmed_end(bytes, start, end))
    }
}

/// End of the line that holds `at`, at its newline or at the end of the text.
pub(super) fn line_end(bytes: &[u8], at: usize) -> usize {
    bytes[at..].iter().position(|b| *b == b'\n').map_or(bytes.len(), |length| at + length)
}

fn trimmed_end(bytes: &[u8], start: usize, end: usize) -> usize {
    let blank = bytes[start..end].iter().rev().take_while(|b| b.is_ascii_whitespace()).count();
    end - blank
}

/// End of a statement whose brackets and texts all close, or `None` where they do not.
fn balanced_end(bytes: &[u8], start: usize) -> Option<usize> {
    let limit = bytes.len().min(start + LONGEST);
    let mut open: Vec<u8> = Vec::new();
    let mut at = start;
    while at < limit {
        match bytes[at] {
            b'\n' if open.is_empty() => return Some(at),
            b'\n' => {
                let line = &bytes[at + 1..line_end(bytes, at + 1)];
                // Inside an array no line can begin with a key, and nowhere inside a value with a header.
                if looks_like_header(line) || (open.last() == Some(&b'[') && looks_like_key(line)) {
                    return None;
                }
                at += 1;
            }
            b'#' => at = line_end(bytes, at),
            quote @ (b'"' | b'\'') => at = after_text(bytes, at, quote, limit)?,
            bracket @ (b'[' | b'{') => {
                open.push(bracket);
                if open.len() > DEEPEST {
                    return None;
                }
                at += 1;
            }
            b']' => {
                // A closing bracket also closes a brace that was forgotten inside it.
                if let Some(opened) = open.iter().rposition(|b| *b == b'[') {
                    open.truncate(opened);
                }
                at += 1;
            }
            b'}' => {
                if open.last() == Some(&b'{') {
                    open.pop();
                }
                at += 1;
            }
            _ => at += 1,
        }
    }
    (open.is_empty() && limit == bytes.len()).then_some(limit)
}

/// First byte after the text that opens at `at`; a one-line text without its closing quote ends with its line.
fn after_text(bytes: &[u8], at: usize, quote: u8, limit: usize) -> Option<usize> {
    let escapes = quote == b'"';
    let long = bytes[at..].starts_with(&[quote; 3]);
    let mut at = at + if long { 3 } else { 1 };
    while at < limit {
        match bytes[at] {
            b'\\' if escapes => at += 2,
            b'\n' if !long => return Some(at),
            b if b == quote && !long => return Some(at + 1),
            b if b == quote && bytes[at..].starts_with(&[quote; 3]) => {
                // Up to two quotes may stand before the closing three.
                let more = bytes[at + 3..].iter().take(2).take_while(|b| **b == quote).count();
                return Some(at + 3 + more);
            }
            _ => at += 1,
        }
    }
    (!long).then_some(limit.min(bytes.len()))
}

/// The next line that begins like a statement, or the limit.
fn next_statement(bytes: &[u8], first_line_end: usize) -> usize {
    let limit = bytes.len().min(first_line_end + LONGEST);
    let mut end = first_line_end;
    while end < limit {
        let next_end = line_end(bytes, end + 1);
        let line = &bytes[end + 1..next_end];
        if looks_like_header(line) || looks_like_key(line) {
            return end;
        }
        end = next_end;
    }
    end
}

fn looks_like_key(line: &[u8]) -> bool {
    let line = line.trim_ascii_start();
    let key = line.iter().take_while(|b| is_bare(**b) || **b == b'.').count();
    key > 0 && line[key..].trim_ascii_start().first() == Some(&b'=')
}

fn looks_like_header(line: &[u8]) -> bool {
    let line = line.trim_ascii();
    let Some(inner) = line.strip_prefix(b"[") else {
        return false;
    };
    let inner = inner.strip_prefix(b"[").unwrap_or(inner).trim_ascii_start();
    let word = inner.iter().take_while(|b| is_bare(**b)).count();
    let first = &inner[..word];
    // `[true]` and the like are arrays with one value.
    if !first.first().is_some_and(u8::is_ascii_alphabetic)
        || [&b"true"[..], b"false", b"inf", b"nan"].contains(&first)
    {
        return false;
    }
    let Some(close) = inner.iter().position(|b| *b == b']') else {
        return false;
    };
    let brackets = inner[close..].iter().take_while(|b| **b == b']').count();
    let after = inner[close + brackets..].trim_ascii_start();
    !inner[..close].contains(&b',') && (after.is_empty() || after[0] == b'#')
}

fn is_bare(b: u8) -> bool {
    b.is_ascii_alphanumeric() || b == b'_' || b == b'-'
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cut(text: &str) -> Vec<&str> {
        Statements::of(text).map(|span| &text[span]).collect()
    }

    #[test]
    fn headers_keys_and_long_values_are_statements_and_comments_are_not() {
        let text =
            "# top\na = 1 # note\n\n[b.c]\nroute = [ # open\n  { x = \"]\" },\n]\nd = '''\n[no]\n'''\n";
        let expected =
            ["a = 1 # note", "[b.c]", "route = [ # open\n  { x = \"]\" },\n]", "d = '''\n[no]\n'''"];
        assert_eq!(cut(text), expected);
    }

    #[test]
    fn an_unclosed_bracket_ends_where_the_next_statement_begins() {
        assert_eq!(cut("a = [1,\n 2,\nb = 3\n"), ["a = [1,\n 2,", "b = 3"]);
        assert_eq!(cut("a = { x = 1\n\n[[t]]\nb = 3\n"), ["a = { x = 1", "[[t]]", "b = 3"]);
        assert_eq!(cut("a = \"\"\"x\nb = 3\n"), ["a = \"\"\"x", "b = 3"]);
        assert_eq!(cut("a = \"x\nb = 3\n"), ["a = \"x", "b = 3"]);
    }

    #[test]
    fn an_inline_table_may_go_over_several_lines() {
        assert_eq!(cut("a = {\n  x = 1,\n  y = 2\n}\nb = 1"), ["a = {\n  x = 1,\n  y = 2\n}", "b = 1"]);
    }
}
