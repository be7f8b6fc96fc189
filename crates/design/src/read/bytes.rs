//! From bytes to a text, or the reason why they are none.

use super::{Label, Reading, What, read};
use crate::catalogue::Table;
use crate::problem::Problem;

/// Largest design that is read, in bytes. A house takes some tens of thousands.
pub const LARGEST: usize = 10 * 1024 * 1024;

/// Reads a design from the bytes of a file; see [`read`]. Bytes that are no text, or more than [`LARGEST`], give one
/// problem and no items. Its place is in [`String::from_utf8_lossy`] of the bytes.
pub fn read_bytes(bytes: &[u8], tables: &'static [Table]) -> Reading {
    match text_of(bytes) {
        Ok(text) => read(text, tables),
        Err(problem) => Reading { problems: vec![problem], ..Reading::default() },
    }
}

/// The bytes as text.
///
/// # Errors
/// The problem, when there are too many bytes or they are not UTF-8.
pub fn text_of(bytes: &[u8]) -> Result<&str, Problem> {
    if bytes.len() > LARGEST {
        return Err(Problem {
            what: What::TooLarge,
            says: format!(
                "the file has {:.1} MB; a design is read up to {} MB",
                bytes.len() as f64 / (1024.0 * 1024.0),
                LARGEST / (1024 * 1024)
            ),
            help: "Weather, meter and horizon data stay in files of their own, named by the design.".into(),
            labels: vec![Label { span: 0..0, says: "this file".into() }],
            mend: None,
        });
    }
    std::str::from_utf8(bytes).map_err(|error| {
        let at = error.valid_up_to();
        let line = 1 + bytes[..at].iter().filter(|b| **b == b'\n').count();
        let sixteen_bit = bytes.starts_with(&[0xFF, 0xFE]) || bytes.starts_with(&[0xFE, 0xFF]);
        let help = if sixteen_bit {
            "The file seems to be UTF-16. Save it again as UTF-8."
        } else {
            "Save the file again as UTF-8, or restore it from a copy if it is damaged."
        };
        Problem {
            what: What::NotUtf8,
            says: format!("byte {} (line {line}) is not UTF-8 text", at + 1),
            help: help.into(),
            labels: vec![Label { span: at..at, says: format!("byte 0x{:02X}", bytes[at]) }],
            mend: None,
        }
    })
}

/// The problem of a file that says nothing.
pub(super) fn empty(text: &str) -> Problem {
    let says =
        if text.trim().is_empty() { "the file is empty" } else { "the file holds nothing but comments" };
    Problem {
        what: What::Missing,
        says: says.into(),
        help: "Begin with `wattwright new`, which writes a commented starter design.".into(),
        labels: vec![Label { span: 0..0, says: "a design is wanted here".into() }],
        mend: None,
    }
}
