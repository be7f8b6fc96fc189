//! Outside size of insulated conductors: NEC Chapter 9 Table 5, and an estimate for PV wire.

use crate::{Insulation, TableError, file, sheet};
use quantity::{Area, Clause, Gauge, Length, Measure, Standing, TableRow, Traced, nec, units};
use std::sync::OnceLock;

/// Cross-section of one insulated conductor for raceway fill.
///
/// PV wire has no row in the code: the answer is an estimate from memory that its row says, within 10 to 20 % in
/// diameter, to be replaced by the data sheet's outside diameter. Source: NEC Chapter 9 Table 5.
///
/// # Errors
/// [`TableError::NoSuchSize`].
pub fn conductor_area(insulation: Insulation, size: Gauge) -> Result<Traced<Area>, TableError> {
    let row = find(insulation, size)?;
    let area = Area::from_si(units::SQUARE_INCH.to_si(row.area_in2));
    Ok(Traced::tabled(area, named(insulation, row, "area")))
}

/// Outside diameter of one insulated conductor; the same sources as [`conductor_area`].
///
/// # Errors
/// [`TableError::NoSuchSize`].
pub fn conductor_diameter(insulation: Insulation, size: Gauge) -> Result<Traced<Length>, TableError> {
    let row = find(insulation, size)?;
    let diameter = Length::from_si(units::INCH_UNIT.to_si(row.diameter_in));
    Ok(Traced::tabled(diameter, named(insulation, row, "diameter")))
}

/// Sizes with a row for this insulation, ascending.
pub fn insulated_sizes(insulation: Insulation) -> impl DoubleEndedIterator<Item = Gauge> {
    of_type(insulation).map(|row| row.size)
}

const TABLE: Clause = nec("2023", "Chapter 9 Table 5", Standing::SecondHand);
const ESTIMATE: Clause = Clause {
    document: "PV wire outside size, estimate",
    edition: "",
    clause: "replace by the data sheet",
    standing: Standing::Remembered,
};

struct Row {
    /// Type name of the group; `None` for PV wire.
    group: Option<String>,
    size: Gauge,
    diameter_in: f64,
    area_in2: f64,
    standing: Standing,
}

fn table() -> &'static [Row] {
    static ROWS: OnceLock<Vec<Row>> = OnceLock::new();
    ROWS.get_or_init(|| {
        let row = |line: &sheet::Line<'_>, group: Option<String>| {
            Some(Row {
                group,
                size: line.size("size")?,
                diameter_in: line.value("diameter_in")?,
                area_in2: line.value("area_in2")?,
                standing: line.standing()?,
            })
        };
        let mut all = sheet::rows(file::INSULATED, |line| row(line, Some(line.text("type")?.to_owned())));
        all.extend(sheet::rows(file::PV_WIRE, |line| row(line, None)));
        all
    })
}

fn of_type(insulation: Insulation) -> impl DoubleEndedIterator<Item = &'static Row> {
    table().iter().filter(move |row| row.group.as_deref() == insulation.group())
}

fn clause(insulation: Insulation) -> &'static Clause {
    if insulation.group().is_some() { &TABLE } else { &ESTIMATE }
}

fn find(insulation: Insulation, size: Gauge) -> Result<&'static Row, TableError> {
    of_type(insulation).find(|row| row.size == size).ok_or_else(|| TableError::NoSuchSize {
        table: clause(insulation),
        size,
        of: insulation.in_words(),
        smallest: insulated_sizes(insulation).next().unwrap_or(size),
        largest: insulated_sizes(insulation).next_back().unwrap_or(size),
    })
}

fn named(insulation: Insulation, row: &Row, column: &str) -> TableRow {
    let text = match insulation.group() {
        Some(_) => format!("{} {insulation}, {column}", row.size),
        None => format!("{} PV wire, estimated {column}", row.size),
    };
    TableRow { clause: *clause(insulation), row: text.into(), standing: row.standing }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use std::f64::consts::PI;

    fn in2(insulation: Insulation, size: &str) -> f64 {
        units::SQUARE_INCH.of_si(conductor_area(insulation, Gauge::read(size).unwrap()).unwrap().si())
    }

    /// A circle's area within 0.2 %, and 0.0006 in² for the three digits of the diameter.
    #[test]
    fn every_area_is_that_of_its_diameter() {
        assert_eq!(table().len(), 5 * 24 + 10);
        for row in table() {
            let circle = PI / 4.0 * row.diameter_in * row.diameter_in;
            let name = format!("{:?} {}", row.group, row.size);
            assert!((row.area_in2 - circle).abs() < 0.002 * circle + 0.0006, "{name}: {circle}");
        }
    }

    #[test]
    fn every_insulation_has_rows_that_rise() {
        for insulation in Insulation::ALL {
            let rows: Vec<_> = of_type(insulation).collect();
            assert!(rows.len() >= 10, "{insulation}");
            for pair in rows.windows(2) {
                assert!(pair[0].size < pair[1].size && pair[0].area_in2 < pair[1].area_in2, "{insulation}");
            }
        }
    }

    /// Areas quoted in published fill cases.
    #[test]
    fn areas_of_published_examples_hold() {
        use Insulation::{ThhnThwn2, Xhhw2};
        for (insulation, size, printed) in [
            (ThhnThwn2, "500 kcmil", 0.7073),
            (ThhnThwn2, "250 kcmil", 0.3970),
            (ThhnThwn2, "3 AWG", 0.0973),
            (ThhnThwn2, "3/0 AWG", 0.2679),
            (ThhnThwn2, "12 AWG", 0.0133),
            (ThhnThwn2, "8 AWG", 0.0366),
            (ThhnThwn2, "600 kcmil", 0.8676),
            (Xhhw2, "6 AWG", 0.0590),
            (Xhhw2, "8 AWG", 0.0437),
        ] {
            assert!((in2(insulation, size) - printed).abs() < 1e-9, "{insulation} {size}");
        }
    }

    /// Two published copies that differ from the table: 4 AWG THHN 0.1293 in², and the 1999 THW group.
    #[test]
    fn wrong_and_old_copies_are_not_used() {
        assert!((in2(Insulation::ThhnThwn2, "4 AWG") - 0.0824).abs() < 1e-9);
        let old = [("14 AWG", 0.0209), ("12 AWG", 0.0260), ("10 AWG", 0.0333), ("8 AWG", 0.0556)];
        for (size, printed) in old {
            assert!(in2(Insulation::Thw, size) < printed - 0.005, "{size}");
        }
    }

    #[test]
    fn pv_wire_says_that_it_is_an_estimate_from_memory() {
        let area = conductor_area(Insulation::PvWire, Gauge::Awg(10)).unwrap();
        assert_eq!(area.origin.standing(), Standing::Remembered);
        let quantity::Origin::Tabled(row) = area.origin else { panic!("not from a table") };
        assert!(row.to_string().contains("estimate"), "{row}");
        assert!(in2(Insulation::PvWire, "10 AWG") > in2(Insulation::Rhw2Use2, "10 AWG"));
    }

    #[test]
    fn a_size_without_a_row_is_an_error() {
        assert!(conductor_area(Insulation::PvWire, Gauge::Awg(3)).is_err());
        assert!(conductor_area(Insulation::ThhnThwn2, Gauge::Awg(18)).is_err());
        assert!(conductor_diameter(Insulation::ThhnThwn2, Gauge::HundredthsMm2(600)).is_err());
    }
}
