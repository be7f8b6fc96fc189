//! From a byte of the text to the line and column a person counts.

/// Line starts of a text.
#[derive(Clone, Debug)]
pub struct Lines {
    starts: Vec<usize>,
}

impl Lines {
    /// Finds the line starts.
    pub fn new(text: &str) -> Self {
        let starts = std::iter::once(0)
            .chain(text.bytes().enumerate().filter(|(_, b)| *b == b'\n').map(|(at, _)| at + 1))
            .collect();
        Self { starts }
    }

    /// Line and column of a byte of that text, both from 1, the column in characters. Bytes past the end count as
    /// the end; a byte inside a character counts as its beginning.
    pub fn at(&self, text: &str, byte: usize) -> (usize, usize) {
        let byte = byte.min(text.len());
        let line = self.starts.partition_point(|start| *start <= byte);
        let start = self.starts[line - 1].min(byte);
        // Characters that begin before the byte: continuation bytes of UTF-8 begin none.
        let begins = |b: &&u8| (**b & 0b1100_0000) != 0b1000_0000;
        let inside = !text.is_char_boundary(byte);
        let before = text.as_bytes()[start..byte].iter().filter(begins).count();
        (line, before + usize::from(!inside))
    }

    /// The text of a line, counted from 1, without its line end; empty where there is no such line.
    pub fn line<'t>(&self, text: &'t str, line: usize) -> &'t str {
        let Some(&start) = line.checked_sub(1).and_then(|index| self.starts.get(index)) else {
            return "";
        };
        let end = self.starts.get(line).map_or(text.len(), |next| next - 1);
        text.get(start..end).unwrap_or_default().trim_end_matches('\r')
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_count_characters_not_bytes() {
        let text = "a = \"°°x\"\nb\n";
        let lines = Lines::new(text);
        assert_eq!(lines.at(text, 0), (1, 1));
        // Two degree signs of two bytes each stand before the x at byte 9.
        assert_eq!(lines.at(text, 9), (1, 8));
        assert_eq!(lines.at(text, 6), (1, 6), "inside the first degree sign");
        assert_eq!(lines.at(text, 12), (2, 1));
        assert_eq!(lines.at(text, 999), (3, 1));
        assert_eq!(lines.line(text, 2), "b");
        assert_eq!(lines.line(text, 9), "");
    }
}
