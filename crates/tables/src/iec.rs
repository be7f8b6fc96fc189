//! Conductors in 230 V countries: IEC 60364-5-52, 60364-5-54 and 60228.
//!
//! Between two rows the less favourable answers: the hotter temperature, the larger group, the drier soil.

use crate::error::finite;
use crate::{TableError, file, sheet};
use quantity::{
    Clause, Current, Gauge, Material, Measure, Ratio, ResistancePerLength, SAME, Standing, TableRow, Traced,
    iec,
};
use std::sync::OnceLock;

/// Insulation by its temperature class.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum MetricInsulation {
    /// Thermoplastic, 70 °C.
    Pvc70,
    /// Thermosetting, 90 °C.
    Xlpe90,
}

/// Reference method of installation.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Method {
    /// Single-core conductors in conduit on a wall.
    B1,
    /// Multicore cable in conduit on a wall.
    B2,
    /// Cable on a wall.
    C,
    /// In ducts in the ground.
    D1,
}

/// What surrounds a conductor.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Medium {
    /// Air, 30 °C base.
    Air,
    /// Ground, 20 °C base.
    Ground,
}

/// How circuits lie together.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Grouping {
    /// Bunched in air, on a surface, embedded or enclosed.
    Bunched,
    /// Single layer on a wall, floor or unperforated tray.
    Wall,
    /// Single layer fixed under a wooden ceiling.
    Ceiling,
    /// Single layer on a perforated tray.
    Tray,
    /// Single layer on a ladder or cleats.
    Ladder,
}

impl MetricInsulation {
    /// "PVC 70 °C".
    pub fn in_words(self) -> &'static str {
        match self {
            MetricInsulation::Pvc70 => "PVC 70 °C",
            MetricInsulation::Xlpe90 => "XLPE 90 °C",
        }
    }

    fn key(self) -> &'static str {
        match self {
            MetricInsulation::Pvc70 => "pvc70",
            MetricInsulation::Xlpe90 => "xlpe90",
        }
    }
}

impl Method {
    /// "B1".
    pub fn in_words(self) -> &'static str {
        match self {
            Method::B1 => "B1",
            Method::B2 => "B2",
            Method::C => "C",
            Method::D1 => "D1",
        }
    }
}

impl Grouping {
    fn key(self) -> &'static str {
        match self {
            Grouping::Bunched => "bunched",
            Grouping::Wall => "wall",
            Grouping::Ceiling => "ceiling",
            Grouping::Tray => "tray",
            Grouping::Ladder => "ladder",
        }
    }
}

/// Current-carrying capacity of a copper conductor, 1.5 to 240 mm², or one of aluminum, 10 to 240 mm², with two or three
/// loaded conductors.
///
/// Source: IEC 60364-5-52:2009, tables B.52.2 to B.52.5.
///
/// # Errors
/// [`TableError::NoSuchSize`] for a size without a row, [`TableError::NotListed`] for another number of loaded
/// conductors.
pub fn iec_ampacity(
    size: Gauge,
    material: Material,
    insulation: MetricInsulation,
    method: Method,
    loaded: u32,
) -> Result<Traced<Current>, TableError> {
    if !(2..=3).contains(&loaded) {
        let neighbours = if loaded < 2 { (None, Some(2.0)) } else { (Some(3.0), None) };
        let asked = f64::from(loaded);
        return Err(TableError::NotListed {
            table: &AMPACITY,
            what: "loaded conductors",
            asked,
            neighbours,
            unit: "conductors",
        });
    }
    let of_kind = || {
        rows_of(material).iter().filter(|r| {
            r.insulation == insulation.key() && r.method == method.in_words() && r.loaded == loaded
        })
    };
    let Some(found) = of_kind().find(|row| row.size == size) else {
        return Err(TableError::NoSuchSize {
            table: &AMPACITY,
            size,
            of: match material {
                Material::Copper => "copper conductor",
                Material::Aluminum => "aluminum conductor",
            },
            smallest: of_kind().map(|row| row.size).min().unwrap_or(size),
            largest: of_kind().map(|row| row.size).max().unwrap_or(size),
        });
    };
    let named = format!(
        "{size} {}, {}, {loaded} loaded, method {}",
        material.in_words(),
        insulation.in_words(),
        method.in_words()
    );
    let row = TableRow { clause: AMPACITY, row: named.into(), standing: found.standing };
    Ok(Traced::tabled(Current::from_si(found.amps), row))
}

fn rows_of(material: Material) -> &'static [Capacity] {
    match material {
        Material::Copper => capacities(),
        Material::Aluminum => capacities_of_aluminum(),
    }
}

/// Sizes of a metal with a current-carrying capacity, ascending.
pub fn iec_sizes(material: Material) -> impl Iterator<Item = Gauge> {
    rows_of(material)
        .iter()
        .filter(|r| r.insulation == "pvc70" && r.method == "B1" && r.loaded == 2)
        .map(|row| row.size)
}

/// Factor for the temperature around a conductor; between rows the hotter one.
///
/// Source: IEC 60364-5-52:2009, tables B.52.14 (air) and B.52.15 (ground).
///
/// # Errors
/// [`TableError::Above`] where the insulation may not be used, [`TableError::NotANumber`].
pub fn iec_ambient_factor(
    celsius: f64,
    insulation: MetricInsulation,
    medium: Medium,
) -> Result<Traced<Ratio>, TableError> {
    let (table, key) = match medium {
        Medium::Air => (&AMBIENT_AIR, "air"),
        Medium::Ground => (&AMBIENT_GROUND, "ground"),
    };
    let asked = finite(celsius, table, "temperature")?;
    let rows = || {
        ambients().iter().filter(move |row| row.medium == key).filter_map(move |row| {
            let factor = match insulation {
                MetricInsulation::Pvc70 => row.pvc,
                MetricInsulation::Xlpe90 => row.xlpe,
            };
            Some((row.celsius, factor?, row.standing))
        })
    };
    let found = rows().find(|(c, ..)| *c >= asked - SAME * 100.0);
    let Some((c, factor, standing)) = found else {
        let most = rows().next_back().map_or(0.0, |(c, ..)| c);
        return Err(TableError::Above { table, what: "temperature", asked, most, unit: "°C" });
    };
    let row =
        TableRow { clause: *table, row: format!("{c} °C, {}", insulation.in_words()).into(), standing };
    Ok(Traced::tabled(Ratio::from_si(factor), row))
}

/// Factor for circuits that lie together; between rows and above the last the smaller factor.
///
/// Source: IEC 60364-5-52:2009, table B.52.17.
///
/// # Errors
/// [`TableError::Below`] for no circuit, [`TableError::Above`] for more than 20 bunched.
pub fn iec_grouping_factor(circuits: u32, grouping: Grouping) -> Result<Traced<Ratio>, TableError> {
    let rows = || groups().iter().filter(|row| row.arrangement == grouping.key());
    let asked = f64::from(circuits);
    if circuits == 0 {
        return Err(TableError::Below {
            table: &GROUPING,
            what: "circuits",
            asked,
            least: 1.0,
            unit: "circuits",
        });
    }
    // Layers are not reduced further beyond nine circuits; bunches are.
    let beyond = || rows().next_back().filter(|_| grouping != Grouping::Bunched);
    let Some(found) = rows().find(|row| row.circuits >= circuits).or_else(beyond) else {
        let most = rows().next_back().map_or(0.0, |row| f64::from(row.circuits));
        return Err(TableError::Above { table: &GROUPING, what: "circuits", asked, most, unit: "circuits" });
    };
    let named = format!("{} circuits, {}", found.circuits, grouping.key());
    let row = TableRow { clause: GROUPING, row: named.into(), standing: found.standing };
    Ok(Traced::tabled(Ratio::from_si(found.factor), row))
}

/// Factor for soil of this thermal resistivity, K·m/W; between rows the drier one.
///
/// Source: IEC 60364-5-52:2009, table B.52.16.
///
/// # Errors
/// [`TableError::Above`] over 3 K·m/W, [`TableError::NotANumber`].
pub fn iec_soil_factor(resistivity: f64, in_ducts: bool) -> Result<Traced<Ratio>, TableError> {
    let asked = finite(resistivity, &SOIL, "thermal resistivity of soil")?;
    let Some(found) = soils().iter().find(|row| row.resistivity >= asked * (1.0 - SAME)) else {
        let most = soils().last().map_or(0.0, |row| row.resistivity);
        return Err(TableError::Above {
            table: &SOIL,
            what: "thermal resistivity of soil",
            asked,
            most,
            unit: "K·m/W",
        });
    };
    let (factor, how) = if in_ducts { (found.ducts, "in ducts") } else { (found.direct, "buried directly") };
    let named = format!("{} K·m/W, {how}", found.resistivity);
    let row = TableRow { clause: SOIL, row: named.into(), standing: found.standing };
    Ok(Traced::tabled(Ratio::from_si(factor), row))
}

/// Greatest resistance of one conductor at 20 °C: class 2 copper or aluminum, or class 5 where `flexible`.
///
/// Source: IEC 60228:2004, tables 2 and 3.
///
/// # Errors
/// [`TableError::NoSuchSize`] or [`TableError::BlankCell`].
pub fn iec_resistance(
    size: Gauge,
    material: Material,
    flexible: bool,
) -> Result<Traced<ResistancePerLength>, TableError> {
    let Some(found) = resistances().iter().find(|row| row.size == size) else {
        let sizes = || resistances().iter().map(|row| row.size);
        return Err(TableError::NoSuchSize {
            table: &RESISTANCE,
            size,
            of: material.in_words(),
            smallest: sizes().min().unwrap_or(size),
            largest: sizes().max().unwrap_or(size),
        });
    };
    let (cell, column) = match (material, flexible) {
        (Material::Copper, false) => (found.copper2, "class 2 copper"),
        (Material::Copper, true) => (found.copper5, "class 5 copper"),
        (Material::Aluminum, false) => (found.aluminum2, "class 2 aluminum"),
        (Material::Aluminum, true) => (None, "class 5 aluminum"),
    };
    let named = format!("{size}, {column}");
    let Some(ohm_per_km) = cell else {
        return Err(TableError::BlankCell { table: &RESISTANCE, row: named, column });
    };
    let row = TableRow { clause: RESISTANCE, row: named.into(), standing: found.standing };
    Ok(Traced::tabled(ResistancePerLength::from_si(ohm_per_km / 1000.0), row))
}

/// The smallest rated current of IEC devices that is not below `amps`.
///
/// Sources: IEC 60898-1, 5.3.2; IEC 60269-1.
///
/// # Errors
/// [`TableError::Above`] over 630 A, [`TableError::NotANumber`].
pub fn iec_standard_rating(amps: f64) -> Result<Traced<Current>, TableError> {
    let asked = finite(amps, &RATINGS, "device rating")?;
    let Some(found) = ratings().iter().find(|row| row.amps >= asked * (1.0 - SAME)) else {
        let most = ratings().last().map_or(0.0, |row| row.amps);
        return Err(TableError::Above { table: &RATINGS, what: "device rating", asked, most, unit: "A" });
    };
    let row = TableRow { clause: RATINGS, row: format!("{} A", found.amps).into(), standing: found.standing };
    Ok(Traced::tabled(Current::from_si(found.amps), row))
}

/// Least protective conductor beside a line conductor of the same metal, rounded up to a size that is made.
///
/// Source: IEC 60364-5-54, table 54.2.
///
/// # Errors
/// [`TableError::NoSuchSize`] for a line conductor that is not metric.
pub fn iec_protective_conductor(line: Gauge) -> Result<Traced<Gauge>, TableError> {
    let Gauge::HundredthsMm2(hundredths) = line else {
        return Err(TableError::NoSuchSize {
            table: &PROTECTIVE,
            size: line,
            of: "line conductor",
            smallest: Gauge::HundredthsMm2(150),
            largest: Gauge::HundredthsMm2(63_000),
        });
    };
    let area = f64::from(hundredths) / 100.0;
    let found = protectives().iter().find(|row| row.up_to.is_none_or(|most| area <= most));
    let needed = found.map_or(area, |row| row.fixed.unwrap_or(area * row.share.unwrap_or(1.0)));
    let standing = found.map_or(Standing::Remembered, |row| row.standing);
    let made = resistances()
        .iter()
        .map(|row| row.size)
        .filter(|size| matches!(size, Gauge::HundredthsMm2(h) if f64::from(*h) / 100.0 >= needed - 1e-9))
        .min()
        .unwrap_or(line);
    let row = TableRow { clause: PROTECTIVE, row: format!("line conductor of {line}").into(), standing };
    Ok(Traced::tabled(made, row))
}

/// Resistance at `t` °C of a copper or aluminum conductor that has `r` at 20 °C.
pub fn iec_resistance_at(r: f64, t: f64) -> f64 {
    r * (1.0 + 0.004 * (t - 20.0))
}

const AMPACITY: Clause = iec("IEC 60364-5-52", "2009", "tables B.52.2 to B.52.5", Standing::Remembered);
const AMBIENT_AIR: Clause = iec("IEC 60364-5-52", "2009", "table B.52.14", Standing::Remembered);
const AMBIENT_GROUND: Clause = iec("IEC 60364-5-52", "2009", "table B.52.15", Standing::Remembered);
const SOIL: Clause = iec("IEC 60364-5-52", "2009", "table B.52.16", Standing::Remembered);
const GROUPING: Clause = iec("IEC 60364-5-52", "2009", "table B.52.17", Standing::Remembered);
const RESISTANCE: Clause = iec("IEC 60228", "2004", "tables 2 and 3", Standing::SecondHand);
const RATINGS: Clause = iec("IEC 60898-1 and IEC 60269-1", "", "rated currents", Standing::Remembered);
const PROTECTIVE: Clause = iec("IEC 60364-5-54", "2011", "table 54.2", Standing::Remembered);

macro_rules! table {
    ($function:ident, $Row:ident { $($field:ident: $type:ty = $read:expr),+ $(,)? } from $file:ident) => {
        struct $Row { $($field: $type,)+ standing: Standing }
        fn $function() -> &'static [$Row] {
            static ROWS: OnceLock<Vec<$Row>> = OnceLock::new();
            ROWS.get_or_init(|| {
                sheet::rows(file::$file, |line| {
                    $(let $field = { let read: fn(&sheet::Line<'_>) -> Option<$type> = $read; read(line)? };)+
                    Some($Row { $($field,)+ standing: line.standing()? })
                })
            })
        }
    };
}

struct Capacity {
    insulation: String,
    loaded: u32,
    method: String,
    size: Gauge,
    amps: f64,
    standing: Standing,
}

impl Capacity {
    fn read(line: &sheet::Line<'_>) -> Option<Capacity> {
        Some(Capacity {
            insulation: line.text("insulation")?.to_owned(),
            loaded: line.value("loaded")?,
            method: line.text("method")?.to_owned(),
            size: line.size("size")?,
            amps: line.value("amps")?,
            standing: line.standing()?,
        })
    }
}

fn capacities() -> &'static [Capacity] {
    static ROWS: OnceLock<Vec<Capacity>> = OnceLock::new();
    ROWS.get_or_init(|| sheet::rows(file::IEC_AMPACITY, Capacity::read))
}

fn capacities_of_aluminum() -> &'static [Capacity] {
    static ROWS: OnceLock<Vec<Capacity>> = OnceLock::new();
    ROWS.get_or_init(|| sheet::rows(file::IEC_AMPACITY_ALUMINUM, Capacity::read))
}

table!(ambients, Ambient {
    medium: String = |l| l.text("medium").map(str::to_owned),
    celsius: f64 = |l| l.value("celsius"),
    pvc: Option<f64> = |l| l.optional("pvc70"),
    xlpe: Option<f64> = |l| l.optional("xlpe90"),
} from IEC_AMBIENT);
table!(groups, Group {
    arrangement: String = |l| l.text("arrangement").map(str::to_owned),
    circuits: u32 = |l| l.value("circuits"),
    factor: f64 = |l| l.value("factor"),
} from IEC_GROUPING);
table!(soils, Soil {
    resistivity: f64 = |l| l.value("resistivity"),
    ducts: f64 = |l| l.value("ducts"),
    direct: f64 = |l| l.value("direct"),
} from IEC_SOIL);
table!(resistances, Wire {
    size: Gauge = |l| l.size("size"),
    copper2: Option<f64> = |l| l.optional("copper2"),
    copper5: Option<f64> = |l| l.optional("copper5"),
    aluminum2: Option<f64> = |l| l.optional("aluminum2"),
} from IEC_RESISTANCE);
table!(ratings, Rating { amps: f64 = |l| l.value("amps") } from IEC_RATINGS);
table!(protectives, Protective {
    up_to: Option<f64> = |l| l.optional("up_to"),
    fixed: Option<f64> = |l| l.optional("fixed"),
    share: Option<f64> = |l| l.optional("share"),
} from IEC_PROTECTIVE);

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use MetricInsulation::{Pvc70, Xlpe90};
    use quantity::units;

    fn mm2(area: f64) -> Gauge {
        Gauge::HundredthsMm2((area * 100.0).round() as u32)
    }

    fn capacity(area: f64, insulation: MetricInsulation, method: Method, loaded: u32) -> f64 {
        iec_ampacity(mm2(area), Material::Copper, insulation, method, loaded).unwrap().si()
    }

    /// Equal heat: current goes with the root of the resistance, so aluminum carries √(R of copper / R of aluminum) of copper,
    /// 0.77 to 0.79 by IEC 60228. Printed cells stray from it: single conductors on a wall from 25 mm² by 6 %, as aluminum is
    /// there sector-shaped, and XLPE in conduit by 4 %, as its currents are rounded up from two tables.
    #[test]
    fn aluminum_carries_what_its_resistance_lets_it() {
        let mut cells = 0;
        for row in capacities_of_aluminum() {
            let copper = capacities()
                .iter()
                .find(|c| {
                    (&c.insulation, c.loaded, &c.method, c.size)
                        == (&row.insulation, row.loaded, &row.method, row.size)
                })
                .unwrap();
            let r = |metal| iec_resistance(row.size, metal, false).unwrap().si();
            let law = (r(Material::Copper) / r(Material::Aluminum)).sqrt();
            let off = row.amps / copper.amps / law - 1.0;
            assert!((-0.065..=0.045).contains(&off), "{} {} {}: {off}", row.insulation, row.method, row.size);
            cells += 1;
        }
        assert_eq!(cells, 12 * 11);
        for method in [Method::B1, Method::C, Method::D1] {
            for loaded in [2, 3] {
                let of = |insulation| -> Vec<f64> {
                    let al = |size| iec_ampacity(size, Material::Aluminum, insulation, method, loaded);
                    iec_sizes(Material::Aluminum).map(|size| al(size).unwrap().si()).collect()
                };
                let (pvc, xlpe) = (of(Pvc70), of(Xlpe90));
                assert!(pvc.windows(2).all(|pair| pair[0] < pair[1]) && pvc.len() == 11);
                assert!(pvc.iter().zip(&xlpe).all(|(pvc, xlpe)| pvc < xlpe));
            }
        }
        assert!(iec_ampacity(mm2(6.0), Material::Aluminum, Pvc70, Method::C, 2).is_err());
        assert!(iec_ampacity(mm2(25.0), Material::Aluminum, Pvc70, Method::B2, 2).is_err());
    }

    /// Published currents for method B2, PVC, three loaded: 10 mm² 46 A at 30 °C, then 40, 36, 33 and 28 A at 40, 45, 50
    /// and 55 °C; 120 mm² 206, 179, 163, 146 and 126 A. Printed in whole amperes.
    #[test]
    fn published_currents_in_hot_rooms_hold() {
        for (area, printed) in
            [(10.0, [46.0, 40.0, 36.0, 33.0, 28.0]), (120.0, [206.0, 179.0, 163.0, 146.0, 126.0])]
        {
            for (c, wanted) in [30.0, 40.0, 45.0, 50.0, 55.0].into_iter().zip(printed) {
                let factor = iec_ambient_factor(c, Pvc70, Medium::Air).unwrap().si();
                let found = capacity(area, Pvc70, Method::B2, 3) * factor;
                assert!((found - wanted).abs() <= 0.5, "{area} mm² at {c} °C: {found}, printed {wanted}");
            }
        }
    }

    #[test]
    fn capacities_rise_with_size_and_insulation_and_fall_with_loaded_conductors() {
        for method in [Method::B1, Method::B2, Method::C, Method::D1] {
            for loaded in [2, 3] {
                for insulation in [Pvc70, Xlpe90] {
                    let all: Vec<f64> = iec_sizes(Material::Copper)
                        .map(|size| {
                            iec_ampacity(size, Material::Copper, insulation, method, loaded).unwrap().si()
                        })
                        .collect();
                    assert_eq!(all.len(), 15);
                    assert!(all.windows(2).all(|pair| pair[0] < pair[1]));
                }
            }
            for size in iec_sizes(Material::Copper) {
                let of = |insulation, loaded| {
                    iec_ampacity(size, Material::Copper, insulation, method, loaded).unwrap().si()
                };
                assert!(of(Xlpe90, 2) > of(Pvc70, 2) && of(Pvc70, 2) > of(Pvc70, 3), "{size} {method:?}");
            }
        }
    }

    /// The factors follow the square root of the temperature rise that is left.
    #[test]
    fn ambient_factors_follow_their_law() {
        for row in ambients() {
            let base = if row.medium == "air" { 30.0 } else { 20.0 };
            for (factor, most) in [(row.pvc, 70.0f64), (row.xlpe, 90.0)] {
                if let Some(factor) = factor {
                    let law = ((most - row.celsius) / (most - base)).sqrt();
                    // Two printed decimals, and the rounding of the standard itself.
                    assert!((factor - law).abs() <= 0.011, "{} °C: {factor}, law {law}", row.celsius);
                }
            }
        }
        assert!(iec_ambient_factor(61.0, Pvc70, Medium::Air).is_err());
        assert_eq!(iec_ambient_factor(32.0, Pvc70, Medium::Air).unwrap().si(), 0.94);
        assert_eq!(iec_ambient_factor(-40.0, Pvc70, Medium::Air).unwrap().si(), 1.22);
        assert!(iec_ambient_factor(f64::NAN, Pvc70, Medium::Air).is_err());
    }

    #[test]
    fn groups_and_soils_answer_with_the_less_favourable_row() {
        let group = |n| iec_grouping_factor(n, Grouping::Bunched).map(|t| t.si());
        assert_eq!([1, 2, 10, 20].map(|n| group(n).unwrap()), [1.0, 0.8, 0.45, 0.38]);
        assert!(group(0).is_err() && group(21).is_err());
        assert_eq!(iec_grouping_factor(50, Grouping::Wall).unwrap().si(), 0.7);
        for pair in groups().windows(2).filter(|pair| pair[0].arrangement == pair[1].arrangement) {
            assert!(pair[0].factor >= pair[1].factor && pair[0].circuits < pair[1].circuits);
        }
        assert_eq!(iec_soil_factor(2.5, true).unwrap().si(), 1.0);
        assert_eq!(iec_soil_factor(1.2, false).unwrap().si(), 1.28);
        assert!(iec_soil_factor(3.1, true).is_err());
        assert!(soils().windows(2).all(|p| p[0].ducts > p[1].ducts && p[0].direct > p[1].direct));
    }

    #[test]
    fn resistance_times_area_is_that_of_copper() {
        for row in resistances() {
            let Gauge::HundredthsMm2(h) = row.size else { panic!("metric") };
            let product = row.copper2.unwrap() * f64::from(h) / 100.0;
            assert!((17.2..=19.5).contains(&product), "{}: {product}", row.size);
        }
        let r = iec_resistance(mm2(10.0), Material::Copper, false).unwrap();
        assert!((units::OHM_PER_KILOFOOT.of_si(r.si()) - 1.83 * 0.3048).abs() < 1e-9);
        // The factors to 20 °C are printed as 0.833 at 70 °C and 0.781 at 90 °C.
        assert!((1.0 / iec_resistance_at(1.0, 70.0) - 0.833).abs() < 5e-4);
        assert!((1.0 / iec_resistance_at(1.0, 90.0) - 0.781).abs() < 5e-4);
        assert!(iec_resistance(Gauge::Awg(10), Material::Copper, false).is_err());
    }

    #[test]
    fn protective_conductors_follow_the_three_bands() {
        let of = |area| iec_protective_conductor(mm2(area)).unwrap().value;
        for (line, wanted) in [
            (2.5, 2.5),
            (16.0, 16.0),
            (25.0, 16.0),
            (35.0, 16.0),
            (50.0, 25.0),
            (70.0, 35.0),
            (95.0, 50.0),
            (120.0, 70.0),
        ] {
            assert_eq!(of(line), mm2(wanted), "{line} mm²");
        }
        assert!(iec_protective_conductor(Gauge::Awg(10)).is_err());
    }

    #[test]
    fn ratings_are_preferred_numbers() {
        let of = |amps| iec_standard_rating(amps).unwrap().si();
        assert_eq!([of(5.0), of(16.0), of(21.15), of(22.8), of(126.0)], [6.0, 16.0, 25.0, 25.0, 160.0]);
        assert!(iec_standard_rating(631.0).is_err());
        assert!(ratings().windows(2).all(|p| (1.15..=1.67).contains(&(p[1].amps / p[0].amps))));
    }
}
