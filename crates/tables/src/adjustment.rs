//! Several conductors in one raceway warm each other, NEC Table 310.15(C)(1).

use crate::{TableError, file, sheet};
use quantity::{Clause, Measure, Ratio, Standing, TableRow, Traced, nec};
use std::sync::OnceLock;

/// Part of the table ampacity that remains with `count` current-carrying conductors in one raceway or cable.
///
/// Source: NEC 2023 Table 310.15(C)(1); up to three it is 1, the basis of Table 310.16.
///
/// # Errors
/// [`TableError::Below`] for no conductor at all.
pub fn bundling_factor(count: u32) -> Result<Traced<Ratio>, TableError> {
    let inside = |row: &&Row| count >= row.least && row.most.is_none_or(|most| count <= most);
    let Some(found) = table().iter().find(inside) else {
        return Err(TableError::Below {
            table: &TABLE,
            what: "number of current-carrying conductors",
            asked: f64::from(count),
            least: 1.0,
            unit: "conductors",
        });
    };
    let named = match found.most {
        Some(most) => format!("{} to {most} current-carrying conductors", found.least),
        None => format!("{} and more current-carrying conductors", found.least),
    };
    let row = TableRow { clause: TABLE, row: named.into(), standing: found.standing };
    Ok(Traced::tabled(Ratio::from_si(found.percent / 100.0), row))
}

const TABLE: Clause = nec("2023", "Table 310.15(C)(1)", Standing::SecondHand);

struct Row {
    least: u32,
    most: Option<u32>,
    percent: f64,
    standing: Standing,
}

fn table() -> &'static [Row] {
    static ROWS: OnceLock<Vec<Row>> = OnceLock::new();
    ROWS.get_or_init(|| {
        sheet::rows(file::ADJUSTMENT, |line| {
            Some(Row {
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
    fn bands_join_and_more_conductors_never_carry_more() {
        for pair in table().windows(2) {
            assert_eq!(pair[0].most.map(|most| most + 1), Some(pair[1].least));
            assert!(pair[1].percent < pair[0].percent);
        }
        assert_eq!(table().last().map(|row| row.most), Some(None));
    }

    /// Published: six conductors 0.80 (3/0: 225 A to 180 A), eight and nine 0.70 (10 AWG: 40 A to 28 A).
    #[test]
    fn factors_of_published_examples_hold() {
        let of = |count| bundling_factor(count).unwrap().si();
        assert_eq!([of(1), of(3), of(4), of(6), of(8), of(9)], [1.0, 1.0, 0.8, 0.8, 0.7, 0.7]);
        assert_eq!([of(10), of(20), of(21), of(41), of(400)], [0.5, 0.5, 0.45, 0.35, 0.35]);
        assert!((225.0 * of(6) - 180.0).abs() < 1e-9 && (40.0 * of(8) - 28.0).abs() < 1e-9);
    }

    #[test]
    fn no_conductor_has_no_factor() {
        assert!(matches!(bundling_factor(0), Err(TableError::Below { .. })));
    }
}
