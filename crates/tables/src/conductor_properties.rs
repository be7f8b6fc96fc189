//! Area and direct-current resistance of bare conductors, NEC Chapter 9 Table 8.

use crate::{TableError, error::finite, file, sheet};
use quantity::{
    Area, Clause, Gauge, Material, Measure, ResistancePerLength, SAME, Standing, TableRow, Traced, nec, units,
};
use std::sync::OnceLock;

/// Direct-current resistance of one conductor at 75 °C.
///
/// - `stranded`: Class B strands; solid rows end at 8 AWG.
/// - `coated`: tinned copper; aluminum has no coated column.
///
/// Source: NEC Chapter 9 Table 8. For other temperatures its Note 2 applies, which is the caller's.
///
/// # Errors
/// [`TableError::NoSuchSize`] or [`TableError::BlankCell`].
pub fn dc_resistance(
    size: Gauge,
    material: Material,
    stranded: bool,
    coated: bool,
) -> Result<Traced<ResistancePerLength>, TableError> {
    let row = find(size, stranded)?;
    let (ohm_per_kft, column) = match (material, coated) {
        (Material::Copper, false) => (row.copper, "copper, uncoated"),
        (Material::Copper, true) => (row.copper_coated, "copper, coated"),
        (Material::Aluminum, false) => (row.aluminum, "aluminum"),
        (Material::Aluminum, true) => {
            let row = format!("{size} {}", construction(stranded));
            return Err(TableError::BlankCell { table: &TABLE, row, column: "coated aluminum" });
        }
    };
    let value = ResistancePerLength::from_si(units::OHM_PER_KILOFOOT.to_si(ohm_per_kft));
    Ok(Traced::tabled(value, named(row, column)))
}

/// Cross-section of the metal as printed, 18 AWG to 1000 kcmil.
///
/// Source: NEC Chapter 9 Table 8.
///
/// # Errors
/// [`TableError::NoSuchSize`].
pub fn circular_mils(size: Gauge) -> Result<Traced<Area>, TableError> {
    let row = find(size, true)?;
    Ok(Traced::tabled(Area::from_si(units::CIRCULAR_MIL.to_si(row.cmil)), named(row, "area")))
}

/// The smallest size whose printed area is not below `area_cmil`, for conductors enlarged in proportion.
///
/// - `area_cmil`: circular mils, above 0 up to 1,000,000.
///
/// Source: NEC Chapter 9 Table 8.
///
/// # Errors
/// [`TableError::Above`], [`TableError::Below`] or [`TableError::NotANumber`].
pub fn smallest_size_of_area(area_cmil: f64) -> Result<Traced<Gauge>, TableError> {
    let what = "conductor area";
    let area = finite(area_cmil, &TABLE, what)?;
    if area <= 0.0 {
        return Err(TableError::Below { table: &TABLE, what, asked: area, least: 0.0, unit: "cmil" });
    }
    let mut rows = table().iter().filter(|row| row.stranded);
    let Some(row) = rows.find(|row| row.cmil >= area * (1.0 - SAME)) else {
        let most = table().last().map_or(0.0, |row| row.cmil);
        return Err(TableError::Above { table: &TABLE, what, asked: area, most, unit: "cmil" });
    };
    Ok(Traced::tabled(row.size, named(row, &format!("{} cmil", row.cmil))))
}

const TABLE: Clause = nec("2023", "Chapter 9 Table 8", Standing::SecondHand);

struct Row {
    size: Gauge,
    stranded: bool,
    cmil: f64,
    copper: f64,
    copper_coated: f64,
    aluminum: f64,
    standing: Standing,
}

fn table() -> &'static [Row] {
    static ROWS: OnceLock<Vec<Row>> = OnceLock::new();
    ROWS.get_or_init(|| {
        sheet::rows(file::PROPERTIES, |line| {
            Some(Row {
                size: line.size("size")?,
                stranded: match line.text("construction")? {
                    "solid" => false,
                    "stranded" => true,
                    _ => return None,
                },
                cmil: line.value("cmil")?,
                copper: line.value("copper")?,
                copper_coated: line.value("copper_coated")?,
                aluminum: line.value("aluminum")?,
                standing: line.standing()?,
            })
        })
    })
}

fn construction(stranded: bool) -> &'static str {
    if stranded { "stranded" } else { "solid" }
}

fn find(size: Gauge, stranded: bool) -> Result<&'static Row, TableError> {
    let of_kind = || table().iter().filter(move |row| row.stranded == stranded);
    of_kind().find(|row| row.size == size).ok_or_else(|| TableError::NoSuchSize {
        table: &TABLE,
        size,
        of: construction(stranded),
        smallest: of_kind().next().map_or(size, |row| row.size),
        largest: of_kind().next_back().map_or(size, |row| row.size),
    })
}

fn named(row: &Row, column: &str) -> TableRow {
    let text = format!("{} {}, {column}", row.size, construction(row.stranded));
    TableRow { clause: TABLE, row: text.into(), standing: row.standing }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    fn ohm_per_kft(size: &str, material: Material, stranded: bool) -> f64 {
        let found = dc_resistance(Gauge::read(size).unwrap(), material, stranded, false).unwrap();
        units::OHM_PER_KILOFOOT.of_si(found.si())
    }

    /// Resistance times area is the metal's resistivity at 75 °C with a little for the lay of strands: copper about
    /// 12.4 to 13.0, aluminum 20.5 to 21.6 Ω·kcmil/kft.
    #[test]
    fn every_row_has_the_resistivity_of_its_metal() {
        assert_eq!(table().len(), 32);
        for row in table() {
            let kcmil = row.cmil / 1000.0;
            assert!((12.4..=13.0).contains(&(row.copper * kcmil)), "{} copper", row.size);
            assert!((20.5..=21.6).contains(&(row.aluminum * kcmil)), "{} aluminum", row.size);
            // Tinning and its finer wires cost 2 to 7 %.
            assert!((1.02..=1.07).contains(&(row.copper_coated / row.copper)), "{} coated", row.size);
        }
    }

    #[test]
    fn a_larger_size_never_resists_more_and_solid_never_more_than_stranded() {
        for stranded in [false, true] {
            let rows: Vec<_> = table().iter().filter(|row| row.stranded == stranded).collect();
            for pair in rows.windows(2) {
                assert!(pair[0].size < pair[1].size && pair[0].cmil < pair[1].cmil);
                assert!(pair[0].copper > pair[1].copper && pair[0].aluminum > pair[1].aluminum);
            }
        }
        for solid in table().iter().filter(|row| !row.stranded) {
            let stranded = find(solid.size, true).unwrap();
            assert!(solid.copper < stranded.copper && solid.aluminum < stranded.aluminum);
        }
    }

    /// Printed areas against the definition of the gauge, which tables round to four digits.
    #[test]
    fn printed_areas_follow_the_definition_of_the_gauge() {
        for row in table() {
            assert!((row.cmil / row.size.circular_mils() - 1.0).abs() < 0.003, "{}", row.size);
        }
    }

    /// Published drops: 2 × 100 ft × 4.99 Ω/kft × 4 A = 3.99 V; 2 × 24 A × 150 ft × 0.778 Ω/kft = 5.60 V.
    #[test]
    fn resistances_of_published_drops_hold() {
        let copper = |size| ohm_per_kft(size, Material::Copper, true);
        assert!((2.0 * 0.1 * copper("16 AWG") * 4.0 - 3.992).abs() < 1e-9);
        assert!((2.0 * 24.0 * 0.150 * copper("8 AWG") - 5.6016).abs() < 1e-9);
        assert!((copper("10 AWG") - 1.24).abs() < 1e-9);
        assert!((ohm_per_kft("10 AWG", Material::Copper, false) - 1.21).abs() < 1e-9);
    }

    /// Published enlargements of grounding conductors: 58,436 cmil takes 2 AWG, 26,240 takes 6, 16,497 takes 8 AWG,
    /// 78,188 takes 1 AWG; 41,756 cmil is a hair above 4 AWG and takes 3 AWG although one discussion allows 4.
    #[test]
    fn the_next_size_of_published_examples_holds() {
        for (cmil, size) in [
            (58_436.0, "2 AWG"),
            (26_240.0, "6 AWG"),
            (16_497.0, "8 AWG"),
            (78_188.0, "1 AWG"),
            (41_756.0, "3 AWG"),
        ] {
            assert_eq!(smallest_size_of_area(cmil).unwrap().value.to_string(), size, "{cmil}");
        }
        assert!(matches!(smallest_size_of_area(1e6 + 1.0), Err(TableError::Above { .. })));
        assert!(smallest_size_of_area(0.0).is_err() && smallest_size_of_area(f64::NAN).is_err());
    }

    #[test]
    fn an_area_comes_back_as_printed_and_finds_its_own_size() {
        for row in table() {
            let cmil = units::CIRCULAR_MIL.of_si(circular_mils(row.size).unwrap().si());
            assert!((cmil / row.cmil - 1.0).abs() < 1e-12);
            assert_eq!(smallest_size_of_area(cmil).unwrap().value, row.size);
        }
    }

    #[test]
    fn what_the_table_does_not_hold_is_an_error() {
        assert!(dc_resistance(Gauge::Awg(6), Material::Copper, false, false).is_err());
        assert!(dc_resistance(Gauge::Awg(6), Material::Aluminum, true, true).is_err());
        assert!(dc_resistance(Gauge::HundredthsMm2(400), Material::Copper, true, false).is_err());
        assert!(circular_mils(Gauge::Kcmil(1250)).is_err());
    }
}
