//! How full a raceway may be, NEC Chapter 9 Table 1.

use crate::{TableError, file, sheet};
use quantity::{Clause, Measure, Ratio, Standing, TableRow, Traced, nec};
use std::sync::OnceLock;

/// Largest part of a raceway's cross-section that conductors may fill.
///
/// - `conductors`: all conductors and cables in the raceway, equipment grounding conductors included, at least 1.
/// - `nipple`: the raceway between boxes is at most 24 in (600 mm) long (Note 4).
///
/// Source: NEC 2023 Chapter 9 Table 1. The rounding of same-size counts, Note 7, is the caller's.
///
/// # Errors
/// [`TableError::Below`] for no conductor.
pub fn fill_limit(conductors: u32, nipple: bool) -> Result<Traced<Ratio>, TableError> {
    let inside = |row: &&Row| {
        row.nipple == nipple && conductors >= row.least && row.most.is_none_or(|most| conductors <= most)
    };
    let Some(found) = table().iter().find(inside) else {
        return Err(TableError::Below {
            table: &TABLE,
            what: "number of conductors",
            asked: f64::from(conductors),
            least: 1.0,
            unit: "conductors",
        });
    };
    let named = match (nipple, found.most) {
        (true, _) => "nipple up to 24 in, Note 4".to_owned(),
        (false, Some(1)) => "1 conductor".to_owned(),
        (false, Some(most)) => format!("{most} conductors"),
        (false, None) => format!("{} or more conductors", found.least),
    };
    let row = TableRow { clause: TABLE, row: named.into(), standing: found.standing };
    Ok(Traced::tabled(Ratio::from_si(found.percent / 100.0), row))
}

const TABLE: Clause = nec("2023", "Chapter 9 Table 1", Standing::SecondHand);

struct Row {
    nipple: bool,
    least: u32,
    most: Option<u32>,
    percent: f64,
    standing: Standing,
}

fn table() -> &'static [Row] {
    static ROWS: OnceLock<Vec<Row>> = OnceLock::new();
    ROWS.get_or_init(|| {
        sheet::rows(file::FILL, |line| {
            Some(Row {
                nipple: match line.text("case")? {
                    "raceway" => false,
                    "nipple" => true,
                    _ => return None,
                },
                least: line.value("least")?,
                most: line.optional("most")?,
                percent: line.value("percent")?,
                standing: line.standing()?,
            })
        })
    })
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn two_conductors_are_the_tightest_case() {
        let limit = |count, nipple| fill_limit(count, nipple).unwrap().si();
        assert_eq!([1, 2, 3, 4, 90].map(|count| limit(count, false)), [0.53, 0.31, 0.40, 0.40, 0.40]);
        assert_eq!([1, 2, 3, 90].map(|count| limit(count, true)), [0.6; 4]);
        assert_eq!(table().len(), 4);
    }

    #[test]
    fn no_conductor_has_no_limit() {
        assert!(fill_limit(0, false).is_err());
        assert!(fill_limit(0, true).is_err());
    }
}
