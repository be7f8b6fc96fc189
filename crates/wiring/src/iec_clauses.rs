//! The clause of IEC standards that rules the matter of an NEC clause.
//!
//! Figures are the same physics whatever the rules, so their formulas are declared once, with the clause of the NEC. Where a
//! design is wired by IEC, the matter is cited from there. All from memory.

use quantity::{Clause, Standing, iec, practice};

const INSTALLATION: &str = "IEC 60364-5-52";
const OVERCURRENT: &str = "IEC 60364-4-43";
const EARTHING: &str = "IEC 60364-5-54";
const ARRAYS: &str = "IEC 62548";

/// How the clause of the NEC begins, then document, edition and clause. The first row that fits answers, so longer
/// beginnings come first.
const MATTERS: &[(&str, &str, &str, &str)] = &[
    ("690.7", ARRAYS, "2016", "7.2"),
    ("Table 690.7", ARRAYS, "2016", "table 2"),
    ("690.8(A)(1)(e)", OVERCURRENT, "2008", "433.1: design current Ib"),
    ("690.8", "IEC 60364-7-712", "2017", "712.433"),
    ("690.9", ARRAYS, "2016", "6.5.3"),
    ("690.11", "IEC 63027", "2023", "scope: detection of arcs, asked for by the buyer"),
    ("690.41", ARRAYS, "2016", "6.4"),
    ("230.67", "IEC 60364-4-44", "2007", "443"),
    ("690.13", "IEC 60364-7-712", "2017", "712.536"),
    ("690.15", "IEC 60364-7-712", "2017", "712.536"),
    ("690.31(B)", INSTALLATION, "2009", "528.1"),
    ("690.31", INSTALLATION, "2009", "522.11"),
    ("690.45", EARTHING, "2011", "543.1"),
    ("690.4(B)", "IEC 60364-5-51", "2005", "511.1"),
    ("110.9", OVERCURRENT, "2008", "434.5.1"),
    ("110.14", INSTALLATION, "2009", "526"),
    ("110.26", "IEC 60364-7-729", "2007", "729.513.2"),
    ("Table 110.26", "IEC 60364-7-729", "2007", "729.513.2"),
    ("110.3(B)", "IEC 60364-5-51", "2005", "511.1"),
    ("725.136", INSTALLATION, "2009", "528.1"),
    ("110.4", "IEC 60364-5-51", "2005", "512.1.1"),
    ("210.19(A)(1)", OVERCURRENT, "2008", "433.1: design current Ib"),
    ("215.2(A)(1)", OVERCURRENT, "2008", "433.1: design current Ib"),
    ("215.2(A)(2)", INSTALLATION, "2009", "annex G (advice, not a rule)"),
    ("220.", "IEC 60364-1", "2005", "311.1"),
    ("225.31", "IEC 60364-5-53", "2001", "536"),
    ("408.54", "IEC 61439-3", "2012", "rated current of the board"),
    ("230.85", "IEC 60364-5-53", "2001", "536"),
    ("240.", OVERCURRENT, "2008", "433.1"),
    ("250.4(A)(5)", "IEC 60364-4-41", "2005", "411.3.2: automatic disconnection"),
    ("250.122", EARTHING, "2011", "543.1"),
    ("Table 250.122", EARTHING, "2011", "543.1"),
    ("250.66", EARTHING, "2011", "542.3"),
    ("Table 250.66", EARTHING, "2011", "542.3"),
    ("250.", "IEC 60364-1", "2005", "312.2"),
    ("300.1(A)", INSTALLATION, "2009", "521"),
    ("300.5", INSTALLATION, "2009", "522.8.10"),
    ("table 300.5", INSTALLATION, "2009", "522.8.10"),
    ("300.7", INSTALLATION, "2009", "522.1"),
    ("310.10(C)", INSTALLATION, "2009", "522.11"),
    ("310.", INSTALLATION, "2009", "523"),
    ("Table 310.", INSTALLATION, "2009", "523"),
    ("314.", INSTALLATION, "2009", "526"),
    ("344.", INSTALLATION, "2009", "522.8"),
    ("300.", INSTALLATION, "2009", "526"),
    ("348.", INSTALLATION, "2009", "522.3"),
    ("500.", "IEC 60079-14", "2013", "clause 4"),
    ("352.44", INSTALLATION, "2009", "522.1"),
    ("Table 352.44", INSTALLATION, "2009", "522.1"),
    ("408.36", "IEC 61439-3", "2012", "rated current of the board"),
    ("480.", "IEC 60364-5-53", "2001", "536"),
    ("625", "IEC 60364-7-722", "2018", "722.311"),
    ("702.5", "IEC 60364-5-55", "2011", "551.6"),
    ("705.11", OVERCURRENT, "2008", "433.1: design current Ib"),
    ("705.12", "IEC 61439-3", "2012", "rated current of the board"),
    ("705.28", OVERCURRENT, "2008", "433.1: design current Ib"),
    ("705.", "IEC 60364-5-55", "2011", "551.7"),
    ("706.15", "IEC 60364-5-53", "2001", "536"),
    ("706.30", OVERCURRENT, "2008", "433.1: design current Ib"),
    ("706.31", OVERCURRENT, "2008", "431, 433"),
    ("710.15(B)", OVERCURRENT, "2008", "433.1: design current Ib"),
    ("710.", "IEC 60364-5-55", "2011", "551.2"),
    ("chapter 9 table 8", "IEC 60228", "2004", "tables 1 to 3"),
    ("Chapter 9 Table 8", "IEC 60228", "2004", "tables 1 to 3"),
    ("chapter 9", INSTALLATION, "2009", "522.8"),
    ("Chapter 9", INSTALLATION, "2009", "522.8"),
];

/// The clause that rules the matter of a clause of the NEC.
pub(crate) fn of_matter(clause: &str) -> Clause {
    match MATTERS.iter().find(|row| clause.starts_with(row.0)) {
        Some((_, document, edition, clause)) => iec(document, edition, clause, Standing::Remembered),
        None => practice("no clause of the chosen rules is held here for it"),
    }
}
