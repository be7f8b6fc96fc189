//! From a byte of the text to the line and column a person counts.

/// Line starts of a text.
#[derive(Clone, Debug)]
pub struct Lines<'t> {
    text: &'t str,
    starts: Vec<usize>,
}

impl<'t> Lines<'t> {
    /// Finds the line starts.
    pub fn of(text: &'t str) -> Self {
        let starts = std::iter::once(0)
            .chain(text.bytes().enumerate().filter(|(_, b)| *b == b'\n').map(|(at, _)| at + 1))
            .collect();
        Self { text, starts }
    }

    /// Line and column of a byte, both from 1, the column in characters. Bytes past the end count as the end; a byte
    /// inside a character counts as its beginning.
    pub fn place(&self, byte: usize) -> (usize, usize) {
        let byte = byte.min(self.text.len());
        let line = self.starts.partition_point(|start| *start <= byte);
        let start = self.starts[line - 1];
        // Characters that begin before the byte: continuation bytes of UTF-8 begin none.
        let begins = |b: &&u8| (**b & 0b1100_0000) != 0b1000_0000;
        let inside = !self.text.is_char_boundary(byte);
        let before = self.text.as_bytes()[start..byte].iter().filter(begins).count();
        (line, before + usize::from(!inside))
    }

    /// The text of a line, counted from 1, without its line end; empty where there is no such line.
    pub fn line(&self, line: usize) -> &'t str {
        let Some(&start) = line.checked_sub(1).and_then(|index| self.starts.get(index)) else { return "" };
        let end = self.starts.get(line).map_or(self.text.len(), |next| next - 1);
        self.text[start..end].trim_end_matches('\r')
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_count_characters_not_bytes() {
        let lines = Lines::of("a = \"°°x\"\nb\n");
        assert_eq!(lines.place(0), (1, 1));
        // Two degree signs of two bytes each stand before the x at byte 9.
        assert_eq!(lines.place(9), (1, 8));
        assert_eq!(lines.place(6), (1, 6), "inside the first degree sign");
        assert_eq!(lines.place(12), (2, 1));
        assert_eq!(lines.place(999), (3, 1));
        assert_eq!(lines.line(2), "b");
        assert_eq!(lines.line(9), "");
    }
}
