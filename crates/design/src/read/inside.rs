//! Places inside a text value: the parser gives the text without its quotes and escapes, people look at the file.

use super::Span;

/// Bytes of the file for a part of a text value. `whole` is the value with its quotes. Where a part cannot be placed
/// (texts over several lines, bare texts) the whole value is meant.
pub(super) fn place(source: &str, whole: &Span, part: &Span) -> Span {
    let raw = &source[whole.clone()];
    let mapped = match raw.as_bytes() {
        [b'"', b'"', b'"', ..] | [b'\'', b'\'', b'\'', ..] => None,
        [b'\'', ..] => Some((part.start + 1, part.end + 1)),
        [b'"', ..] => raw_offset(raw, part.start).zip(raw_offset(raw, part.end)),
        _ => Some((part.start, part.end)),
    };
    match mapped {
        Some((start, end)) if start <= end && end <= raw.len() => whole.start + start..whole.start + end,
        _ => whole.clone(),
    }
}

/// Where byte `wanted` of the text stands in its raw form with quotes and escapes.
fn raw_offset(raw: &str, wanted: usize) -> Option<usize> {
    let mut at = 1;
    let mut decoded = 0;
    while decoded < wanted {
        let c = raw[at..].chars().next()?;
        if c != '\\' {
            at += c.len_utf8();
            decoded += c.len_utf8();
            continue;
        }
        let digits = match raw.as_bytes().get(at + 1)? {
            b'x' => 2,
            b'u' => 4,
            b'U' => 8,
            _ => 0,
        };
        decoded += if digits == 0 {
            1
        } else {
            let code = u32::from_str_radix(raw.get(at + 2..at + 2 + digits)?, 16).ok()?;
            char::from_u32(code)?.len_utf8()
        };
        at += 2 + digits;
    }
    Some(at)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_part_is_found_behind_escapes() {
        // In the file: x = "12'6\" kW" — the k of the text is its byte 6, of the file byte 12.
        let source = r#"x = "12'6\" kW""#;
        assert_eq!(place(source, &(4..15), &(6..8)), 12..14);
        let source = r#"x = "5\u00B0 kW""#;
        assert_eq!(&source[place(source, &(4..16), &(4..6))], "kW");
        let source = "x = '5 kW'";
        assert_eq!(&source[place(source, &(4..10), &(2..4))], "kW");
    }

    #[test]
    fn a_part_that_cannot_be_placed_is_the_whole() {
        let source = "x = \"\"\"\n5 kW\"\"\"";
        assert_eq!(place(source, &(4..15), &(2..4)), 4..15);
    }
}
