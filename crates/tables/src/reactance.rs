//! Reactance of conductors of alternating current.

use crate::{TableError, file, sheet};
use quantity::{Clause, Gauge, Measure, ResistancePerLength, Standing, TableRow, Traced, iec, nec, units};
use std::sync::OnceLock;

/// Reactance at 60 Hz of one conductor that lies with the others of its circuit, to the neutral point.
///
/// - `in_steel`: in a raceway of steel, which adds a quarter; else in plastic or aluminum.
///
/// Source: NEC Chapter 9 Table 9. It begins at 14 AWG and holds for copper and aluminum alike.
///
/// # Errors
/// [`TableError::NoSuchSize`].
pub fn reactance(size: Gauge, in_steel: bool) -> Result<Traced<ResistancePerLength>, TableError> {
    let Some(row) = table().iter().find(|row| row.size == size) else {
        let sizes = || table().iter().map(|row| row.size);
        return Err(TableError::NoSuchSize {
            table: &TABLE,
            size,
            of: "any",
            smallest: sizes().next().unwrap_or(size),
            largest: sizes().next_back().unwrap_or(size),
        });
    };
    let (ohm_per_kft, column) =
        if in_steel { (row.steel, "steel conduit") } else { (row.plain, "PVC and aluminum conduit") };
    let named = TableRow {
        clause: TABLE,
        row: format!("{size}, reactance, {column}").into(),
        standing: row.standing,
    };
    Ok(Traced::tabled(ResistancePerLength::from_si(units::OHM_PER_KILOFOOT.to_si(ohm_per_kft)), named))
}

/// Reactance of one conductor of a cable, of any size, where nothing else is known: 0.08 mΩ/m.
///
/// Source: IEC 60364-5-52:2009, annex G.
pub fn iec_reactance() -> Traced<ResistancePerLength> {
    let clause = iec("IEC 60364-5-52", "2009", "annex G, λ", Standing::Remembered);
    let named = TableRow { clause, row: "any size".into(), standing: Standing::Remembered };
    Traced::tabled(ResistancePerLength::from_si(units::OHM_PER_KILOMETER.to_si(0.08)), named)
}

const TABLE: Clause = nec("2023", "Chapter 9 Table 9", Standing::Remembered);

struct Row {
    size: Gauge,
    plain: f64,
    steel: f64,
    standing: Standing,
}

fn table() -> &'static [Row] {
    static ROWS: OnceLock<Vec<Row>> = OnceLock::new();
    ROWS.get_or_init(|| {
        sheet::rows(file::REACTANCE, |line| {
            Some(Row {
                size: line.size("size")?,
                plain: line.value("plain")?,
                steel: line.value("steel")?,
                standing: line.standing()?,
            })
        })
    })
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    /// Both columns are printed to 0.001, so each of them may be 0.0005 away.
    #[test]
    fn steel_adds_a_quarter_on_every_row() {
        assert_eq!(table().len(), 21);
        for row in table() {
            let (least, most) =
                ((row.steel - 0.0005) / (row.plain + 0.0005), (row.steel + 0.0005) / (row.plain - 0.0005));
            assert!(least <= 1.25 && 1.25 <= most, "{}: {least} to {most}", row.size);
        }
    }

    #[test]
    fn a_thicker_conductor_reacts_less_but_for_thicker_insulation_at_two_sizes() {
        for pair in table().windows(2) {
            assert!(pair[0].size < pair[1].size);
            let steps_up = matches!(pair[1].size, Gauge::Awg(8) | Gauge::Awg(1));
            assert!(pair[1].plain <= pair[0].plain || steps_up, "{}", pair[1].size);
            assert!(pair[1].plain <= pair[0].plain + 0.002 && pair[1].steel <= pair[0].steel + 0.002);
        }
    }

    /// No conductor of a cable comes closer to its fellow than touching: a pair of cylinders with the current on their
    /// skin has 2 · 10⁻⁷ · ln 2 · ω ohms a metre each at least, and the metric figure lies in the range of the table.
    #[test]
    fn reactances_are_those_of_conductors_side_by_side() {
        let least = 2.0e-7 * std::f64::consts::LN_2 * std::f64::consts::TAU * 60.0 * 304.8;
        assert!(table().iter().all(|row| row.plain > least), "{least}");
        let metric = units::OHM_PER_KILOFOOT.of_si(iec_reactance().si()) * 60.0 / 50.0;
        assert!((0.02..0.058).contains(&metric), "{metric}");
    }

    #[test]
    fn what_the_table_does_not_hold_is_an_error() {
        assert!(reactance(Gauge::Awg(16), true).is_err());
        assert!(reactance(Gauge::HundredthsMm2(400), true).is_err());
        let steel = reactance(Gauge::read("4/0 AWG").unwrap(), true).unwrap();
        assert!((units::OHM_PER_KILOFOOT.of_si(steel.si()) - 0.051).abs() < 1e-12);
    }
}
