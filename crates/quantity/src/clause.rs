//! Where a rule or a table value was published, and how well this project knows it.

use std::fmt;
use std::sync::Arc;

/// How well a source is known here. Ordered from strongest to weakest.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Standing {
    /// Follows from the definition or from published equations by calculation.
    Computed,
    /// The text or table was read.
    Read,
    /// Read in a reproduction that quotes the source.
    SecondHand,
    /// Written down from memory and not compared with the text.
    Remembered,
    /// Common practice of the trade, no single source.
    Practice,
}

impl Standing {
    /// The words shown beside a source.
    pub fn in_words(self) -> &'static str {
        match self {
            Standing::Computed => "computed",
            Standing::Read => "read",
            Standing::SecondHand => "read second-hand",
            Standing::Remembered => "from memory",
            Standing::Practice => "common practice, no source",
        }
    }
}

/// A place in a published document.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Clause {
    /// Title or usual short name, such as `NEC`.
    pub document: &'static str,
    /// Edition or year; empty where the document has only one.
    pub edition: &'static str,
    /// Clause, table, page or equation.
    pub clause: &'static str,
    /// How well it is known here.
    pub standing: Standing,
}

/// A clause of the National Electrical Code (NFPA 70).
pub const fn nec(edition: &'static str, clause: &'static str, standing: Standing) -> Clause {
    Clause { document: "NEC", edition, clause, standing }
}

/// A clause of an IEC standard.
pub const fn iec(
    document: &'static str,
    edition: &'static str,
    clause: &'static str,
    standing: Standing,
) -> Clause {
    Clause { document, edition, clause, standing }
}

/// Common practice of the trade without a single source.
pub const fn practice(what: &'static str) -> Clause {
    Clause { document: "", edition: "", clause: what, standing: Standing::Practice }
}

impl fmt::Display for Clause {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let parts = [self.document, self.edition, self.clause];
        let said: Vec<_> = parts.into_iter().filter(|part| !part.is_empty()).collect();
        f.write_str(&said.join(" "))?;
        if self.standing != Standing::Read {
            write!(f, " ({})", self.standing.in_words())?;
        }
        Ok(())
    }
}

/// The row of a published table that answered a look-up.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct TableRow {
    /// Where the table was published.
    pub clause: Clause,
    /// The row as a person would name it: "10 AWG copper, 75 °C column".
    pub row: Arc<str>,
    /// Standing of this very row, which may be weaker than the table's.
    pub standing: Standing,
}

impl fmt::Display for TableRow {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Clause { document, edition, clause, .. } = self.clause;
        let said: Vec<_> = [document, edition, clause].into_iter().filter(|part| !part.is_empty()).collect();
        write!(f, "{}: {}", said.join(" "), self.row)?;
        if self.standing != Standing::Read {
            write!(f, " ({})", self.standing.in_words())?;
        }
        Ok(())
    }
}
