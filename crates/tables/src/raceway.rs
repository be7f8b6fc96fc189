//! Conduit and tubing: kinds, trade sizes and the areas inside, NEC Chapter 9 Table 4.

use crate::{TableError, file, sheet};
use quantity::{Area, Clause, Length, Measure, Standing, TableRow, Traced, nec, units};
use std::fmt;
use std::str::FromStr;
use std::sync::OnceLock;

/// Kind of raceway.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum RacewayKind {
    /// Electrical metallic tubing.
    Emt,
    /// Flexible metal conduit.
    Fmc,
    /// Liquidtight flexible metal conduit.
    Lfmc,
    /// Liquidtight flexible nonmetallic conduit, type B.
    LfncB,
    /// Rigid metal conduit.
    Rmc,
    /// Rigid PVC conduit, schedule 40.
    Pvc40,
    /// Rigid PVC conduit, schedule 80.
    Pvc80,
    /// Rigid conduit of steel (IEC 61386-21).
    SteelConduit,
    /// Rigid conduit of plastic (IEC 61386-21).
    PlasticConduit,
    /// Pliable conduit of plastic (IEC 61386-22).
    PliableConduit,
    /// Conduit of plastic made to lie in the ground (IEC 61386-24).
    BuriedConduit,
    /// Trunking with a cover (IEC 61084).
    Trunking,
    /// Cable tray (IEC 61537).
    CableTray,
}

impl RacewayKind {
    /// The kinds of Chapter 9 Table 4.
    pub const ALL: [RacewayKind; 7] = [
        RacewayKind::Emt,
        RacewayKind::Fmc,
        RacewayKind::Lfmc,
        RacewayKind::LfncB,
        RacewayKind::Rmc,
        RacewayKind::Pvc40,
        RacewayKind::Pvc80,
    ];

    /// The kinds of IEC standards.
    pub const METRIC: [RacewayKind; 6] = [
        RacewayKind::SteelConduit,
        RacewayKind::PlasticConduit,
        RacewayKind::PliableConduit,
        RacewayKind::BuriedConduit,
        RacewayKind::Trunking,
        RacewayKind::CableTray,
    ];

    /// Whether it is a kind of IEC standards.
    pub fn is_metric(self) -> bool {
        RacewayKind::METRIC.contains(&self)
    }

    /// As the table and the trade write it.
    pub fn in_words(self) -> &'static str {
        match self {
            RacewayKind::Emt => "EMT",
            RacewayKind::Fmc => "FMC",
            RacewayKind::Lfmc => "LFMC",
            RacewayKind::LfncB => "LFNC-B",
            RacewayKind::Rmc => "RMC",
            RacewayKind::Pvc40 => "PVC-40",
            RacewayKind::Pvc80 => "PVC-80",
            RacewayKind::SteelConduit => "steel conduit",
            RacewayKind::PlasticConduit => "plastic conduit",
            RacewayKind::PliableConduit => "pliable conduit",
            RacewayKind::BuriedConduit => "buried conduit",
            RacewayKind::Trunking => "trunking",
            RacewayKind::CableTray => "cable tray",
        }
    }

    /// Kind from its name; case and spaces do not matter.
    pub fn read(text: &str) -> Option<RacewayKind> {
        let bare = |text: &str| -> String {
            text.chars().filter(|c| c.is_alphanumeric()).map(|c| c.to_ascii_uppercase()).collect()
        };
        RacewayKind::ALL
            .into_iter()
            .chain(RacewayKind::METRIC)
            .find(|kind| bare(kind.in_words()) == bare(text))
    }

    /// Whether the raceway itself is metal.
    pub fn is_metal(self) -> bool {
        matches!(
            self,
            RacewayKind::Emt
                | RacewayKind::Fmc
                | RacewayKind::Lfmc
                | RacewayKind::Rmc
                | RacewayKind::SteelConduit
        )
    }
}

impl fmt::Display for RacewayKind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.in_words())
    }
}

/// Trade size of a raceway. In inches, `1/2`, `1-1/4`, `2`, it is a name and not a measured diameter; in millimetres it
/// is the outside diameter of conduit, `25 mm`, or width and height inside a trunking, `60 × 40 mm`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct TradeSize(Named);

#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
enum Named {
    /// Eighths of an inch.
    Eighths(u8),
    /// Outside diameter, mm.
    Outside(u16),
    /// Width and height inside, mm.
    Inside(u16, u16),
}

impl TradeSize {
    /// Reads `3/4`, `1-1/4`, `1 1/4`, with or without `in` or `"`, from 1/8 to 12 in steps of an eighth; and `25 mm`.
    pub fn read(text: &str) -> Option<TradeSize> {
        let text = text.trim();
        if let Some(number) = text.strip_suffix("mm") {
            let outside: u16 = number.trim_end().parse().ok()?;
            return (1..=1000).contains(&outside).then_some(TradeSize(Named::Outside(outside)));
        }
        let text = ["inches", "inch", "in", "\"", "″"]
            .iter()
            .find_map(|unit| text.strip_suffix(unit))
            .unwrap_or(text)
            .trim_end();
        let mut eighths: u32 = 0;
        if text.starts_with('-') || text.ends_with('-') {
            return None;
        }
        let mut parts = text.split(['-', ' ']).filter(|part| !part.is_empty());
        let first = parts.next()?;
        let second = parts.next();
        if parts.next().is_some() {
            return None;
        }
        let fraction = |part: &str| -> Option<u32> {
            let (top, bottom) = part.split_once('/')?;
            let (top, bottom): (u32, u32) = (top.parse().ok()?, bottom.parse().ok()?);
            if !matches!(bottom, 2 | 4 | 8) || top == 0 || top >= bottom {
                return None;
            }
            Some(top * 8 / bottom)
        };
        match second {
            Some(part) => eighths += first.parse::<u32>().ok()?.checked_mul(8)? + fraction(part)?,
            None if first.contains('/') => eighths += fraction(first)?,
            None => eighths += first.parse::<u32>().ok()?.checked_mul(8)?,
        }
        if (1..=96).contains(&eighths) { Some(TradeSize(Named::Eighths(eighths as u8))) } else { None }
    }

    /// Conduit of this outside diameter.
    pub const fn of_millimeters(outside: u16) -> TradeSize {
        TradeSize(Named::Outside(outside))
    }

    /// Trunking of this width and height inside, mm.
    pub const fn of_sides(width: u16, height: u16) -> TradeSize {
        TradeSize(Named::Inside(width, height))
    }

    /// The number of inches it is named after, for the rules that count in trade sizes (NEC 314.28(A)).
    pub fn inches(self) -> f64 {
        match self.0 {
            Named::Eighths(eighths) => f64::from(eighths) / 8.0,
            _ => self.millimeters() / 25.4,
        }
    }

    /// The number of millimetres it is named after; of a trunking the width.
    pub fn millimeters(self) -> f64 {
        match self.0 {
            Named::Eighths(eighths) => f64::from(eighths) / 8.0 * 25.4,
            Named::Outside(mm) | Named::Inside(mm, _) => f64::from(mm),
        }
    }

    /// Whether it is named in millimetres.
    pub fn is_metric(self) -> bool {
        !matches!(self.0, Named::Eighths(_))
    }
}

impl FromStr for TradeSize {
    type Err = ();
    fn from_str(text: &str) -> Result<Self, ()> {
        TradeSize::read(text).ok_or(())
    }
}

impl fmt::Display for TradeSize {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let eighths = match self.0 {
            Named::Eighths(eighths) => eighths,
            Named::Outside(mm) => return write!(f, "{mm} mm"),
            Named::Inside(width, height) => return write!(f, "{width} × {height} mm"),
        };
        let (whole, rest) = (eighths / 8, eighths % 8);
        let fraction = match rest {
            0 => return write!(f, "{whole}"),
            4 => "1/2".to_owned(),
            2 | 6 => format!("{}/4", rest / 2),
            _ => format!("{rest}/8"),
        };
        if whole == 0 { f.write_str(&fraction) } else { write!(f, "{whole}-{fraction}") }
    }
}

/// Total cross-section inside a raceway.
///
/// Source: NEC 2023 Chapter 9 Table 4.
///
/// # Errors
/// [`TableError::NoSuchTradeSize`].
pub fn raceway_area(kind: RacewayKind, trade_size: TradeSize) -> Result<Traced<Area>, TableError> {
    let row = find(kind, trade_size)?;
    Ok(area(row, row.total_in2, "total area"))
}

/// Cross-section that conductors may fill, from the printed column for the case.
///
/// - `conductors`: all conductors in the raceway, at least 1; `nipple`: at most 24 in long.
///
/// Source: NEC 2023 Chapter 9 Tables 1 and 4.
///
/// # Errors
/// [`TableError::NoSuchTradeSize`], or [`TableError::Below`] for no conductor.
pub fn raceway_fill_area(
    kind: RacewayKind,
    trade_size: TradeSize,
    conductors: u32,
    nipple: bool,
) -> Result<Traced<Area>, TableError> {
    // Asked first for its error: no conductor has no limit.
    crate::fill_limit(conductors, nipple)?;
    let row = find(kind, trade_size)?;
    Ok(match (nipple, conductors) {
        (true, _) => area(row, row.nipple60_in2, "60 % for a nipple"),
        (false, 1) => area(row, row.one53_in2, "53 % for 1 conductor"),
        (false, 2) => area(row, row.two31_in2, "31 % for 2 conductors"),
        (false, _) => area(row, row.over40_in2, "40 % for 3 or more conductors"),
    })
}

/// Internal diameter, for the jam ratio of three conductors.
///
/// Source: NEC 2023 Chapter 9 Table 4.
///
/// # Errors
/// [`TableError::NoSuchTradeSize`].
pub fn raceway_internal_diameter(
    kind: RacewayKind,
    trade_size: TradeSize,
) -> Result<Traced<Length>, TableError> {
    let row = find(kind, trade_size)?;
    let diameter = Length::from_si(units::INCH_UNIT.to_si(row.diameter_in));
    Ok(Traced::tabled(diameter, named(row, "internal diameter")))
}

/// Trade sizes in which a kind is listed, ascending.
pub fn trade_sizes(kind: RacewayKind) -> impl DoubleEndedIterator<Item = TradeSize> {
    table().iter().filter(move |row| row.kind == kind).map(|row| row.trade_size)
}

const TABLE: Clause = nec("2023", "Chapter 9 Table 4", Standing::SecondHand);

struct Row {
    kind: RacewayKind,
    trade_size: TradeSize,
    diameter_in: f64,
    total_in2: f64,
    nipple60_in2: f64,
    one53_in2: f64,
    two31_in2: f64,
    over40_in2: f64,
    standing: Standing,
}

fn table() -> &'static [Row] {
    static ROWS: OnceLock<Vec<Row>> = OnceLock::new();
    ROWS.get_or_init(|| {
        sheet::rows(file::RACEWAYS, |line| {
            Some(Row {
                kind: RacewayKind::read(line.text("raceway")?)?,
                trade_size: line.value("trade_size")?,
                diameter_in: line.value("internal_diameter_in")?,
                total_in2: line.value("total_in2")?,
                nipple60_in2: line.value("nipple60_in2")?,
                one53_in2: line.value("one53_in2")?,
                two31_in2: line.value("two31_in2")?,
                over40_in2: line.value("over40_in2")?,
                standing: line.standing()?,
            })
        })
    })
}

fn find(kind: RacewayKind, trade_size: TradeSize) -> Result<&'static Row, TableError> {
    let found = table().iter().find(|row| row.kind == kind && row.trade_size == trade_size);
    found.ok_or(TableError::NoSuchTradeSize { table: &TABLE, kind, trade_size })
}

fn named(row: &Row, column: &str) -> TableRow {
    let text = format!("{} trade size {}, {column}", row.kind, row.trade_size);
    TableRow { clause: TABLE, row: text.into(), standing: row.standing }
}

fn area(row: &Row, in2: f64, column: &str) -> Traced<Area> {
    Traced::tabled(Area::from_si(units::SQUARE_INCH.to_si(in2)), named(row, column))
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::{Insulation, conductor_area};
    use quantity::Gauge;
    use std::f64::consts::PI;

    fn fill_in2(kind: RacewayKind, trade: &str, conductors: u32, nipple: bool) -> f64 {
        let size = TradeSize::read(trade).unwrap();
        units::SQUARE_INCH.of_si(raceway_fill_area(kind, size, conductors, nipple).unwrap().si())
    }

    /// The smallest listed trade size whose fill area takes the conductors, by the plain sum of areas.
    fn smallest(kind: RacewayKind, wires: &[(u32, Insulation, &str)], nipple: bool) -> String {
        let count = wires.iter().map(|wire| wire.0).sum();
        let filled: f64 = wires
            .iter()
            .map(|(n, insulation, size)| {
                f64::from(*n) * conductor_area(*insulation, Gauge::read(size).unwrap()).unwrap().si()
            })
            .sum();
        trade_sizes(kind)
            .find(|trade| raceway_fill_area(kind, *trade, count, nipple).unwrap().si() >= filled)
            .unwrap()
            .to_string()
    }

    /// A circle's area; diameters have three digits and some printed areas were formed from unrounded ones, hence 0.6 %.
    #[test]
    fn every_area_is_that_of_its_diameter_and_the_columns_are_its_parts() {
        assert_eq!(table().len(), 73);
        for row in table() {
            let circle = PI / 4.0 * row.diameter_in * row.diameter_in;
            let name = format!("{} {}", row.kind, row.trade_size);
            assert!((row.total_in2 / circle - 1.0).abs() < 0.006, "{name}: {circle}");
            // Three printed digits: half a unit of the last one, and one more for areas rounded before the product.
            for (part, column) in [
                (0.60, row.nipple60_in2),
                (0.53, row.one53_in2),
                (0.31, row.two31_in2),
                (0.40, row.over40_in2),
            ] {
                assert!((column - part * row.total_in2).abs() < 0.0011, "{name} {part}: {column}");
            }
        }
    }

    #[test]
    fn trade_sizes_rise_with_their_area() {
        for kind in RacewayKind::ALL {
            let rows: Vec<_> = table().iter().filter(|row| row.kind == kind).collect();
            assert!(rows.len() >= 7, "{kind}");
            for pair in rows.windows(2) {
                assert!(pair[0].trade_size < pair[1].trade_size && pair[0].total_in2 < pair[1].total_in2);
            }
        }
    }

    /// Published fill cases: mixed THHN in PVC 40; an RMC nipple; EMT with three sizes; FMC with two types; a short EMT.
    #[test]
    fn raceways_of_published_examples_hold() {
        use Insulation::{ThhnThwn2, Xhhw2};
        let mixed = [(3, ThhnThwn2, "500 kcmil"), (1, ThhnThwn2, "250 kcmil"), (1, ThhnThwn2, "3 AWG")];
        assert_eq!(smallest(RacewayKind::Pvc40, &mixed, false), "3");
        let nipple = [(3, ThhnThwn2, "3/0 AWG"), (1, ThhnThwn2, "1 AWG"), (1, ThhnThwn2, "6 AWG")];
        assert_eq!(smallest(RacewayKind::Rmc, &nipple, true), "1-1/2");
        let emt = [(3, ThhnThwn2, "12 AWG"), (4, ThhnThwn2, "10 AWG"), (8, ThhnThwn2, "8 AWG")];
        assert_eq!(smallest(RacewayKind::Emt, &emt, false), "1-1/4");
        let fmc = [(4, Xhhw2, "6 AWG"), (1, Xhhw2, "8 AWG"), (4, ThhnThwn2, "10 AWG")];
        assert_eq!(smallest(RacewayKind::Fmc, &fmc, false), "1-1/4");
        let short = [
            (34, ThhnThwn2, "8 AWG"),
            (20, ThhnThwn2, "12 AWG"),
            (9, ThhnThwn2, "6 AWG"),
            (1, ThhnThwn2, "10 AWG"),
        ];
        assert_eq!(smallest(RacewayKind::Emt, &short, true), "2");
    }

    /// A trade discussion takes 0.1293 in² for 4 AWG THHN and 1.767 and 1.443 in² for 1-1/2 PVC and counts 5 and 4;
    /// by the tables 9 fit in schedule 40 (9.63, below the 0.8 that rounds up) and 8 in schedule 80 (8.30).
    #[test]
    fn the_wrong_published_count_of_4_awg_in_pvc_is_not_repeated() {
        let wire = conductor_area(Insulation::ThhnThwn2, Gauge::Awg(4)).unwrap().si();
        let wire = units::SQUARE_INCH.of_si(wire);
        let fit = |kind| fill_in2(kind, "1-1/2", 3, false) / wire;
        assert!((fit(RacewayKind::Pvc40) - 9.63).abs() < 0.01);
        assert!((fit(RacewayKind::Pvc80) - 8.30).abs() < 0.01);
    }

    /// Published: 600 kcmil THWN in 3 in schedule 80 is 2.97 by area, three by the 0.8 rule of Note 7.
    #[test]
    fn three_600_kcmil_in_schedule_80_are_2_97_by_area() {
        let wire = conductor_area(Insulation::ThhnThwn2, Gauge::Kcmil(600)).unwrap().si();
        let count = fill_in2(RacewayKind::Pvc80, "3", 3, false) / units::SQUARE_INCH.of_si(wire);
        assert!((count - 2.97).abs() < 0.005, "{count}");
    }

    #[test]
    fn trade_sizes_read_and_print_back() {
        for text in ["3/8", "1/2", "3/4", "1", "1-1/4", "2-1/2", "6"] {
            assert_eq!(TradeSize::read(text).unwrap().to_string(), text);
        }
        assert_eq!(TradeSize::read("1 1/4 in"), TradeSize::read("1-1/4"));
        assert_eq!(TradeSize::read("3/4\""), TradeSize::read("3/4"));
        for text in ["16 mm", "25 mm", "110 mm"] {
            let size = TradeSize::read(text).unwrap();
            assert!(size.is_metric() && size.to_string() == text);
        }
        assert_eq!(TradeSize::read("25mm"), Some(TradeSize::of_millimeters(25)));
        assert_eq!(TradeSize::of_sides(60, 40).to_string(), "60 × 40 mm");
        assert!(!TradeSize::read("1").unwrap().is_metric());
        for text in [
            "",
            "0",
            "0 mm",
            "-5 mm",
            "mm",
            "70000 mm",
            "1/3",
            "5/4",
            "1-1/2-3",
            "in",
            "99",
            "4294967295",
            "-1",
            "1/0",
            "a/2",
        ] {
            assert_eq!(TradeSize::read(text), None, "{text}");
        }
    }

    #[test]
    fn a_size_that_is_not_listed_is_an_error() {
        let error = raceway_area(RacewayKind::Emt, TradeSize::read("3/8").unwrap()).unwrap_err();
        assert_eq!(error.to_string(), "NEC Chapter 9 Table 4: EMT is not listed in trade size 3/8");
        let half = TradeSize::read("1/2").unwrap();
        assert!(raceway_fill_area(RacewayKind::Emt, half, 0, false).is_err());
        assert!(raceway_internal_diameter(RacewayKind::Emt, half).is_ok());
    }

    #[test]
    fn kinds_read_back() {
        for kind in RacewayKind::ALL.into_iter().chain(RacewayKind::METRIC) {
            assert_eq!(RacewayKind::read(&kind.in_words().to_lowercase()), Some(kind));
        }
        assert_eq!(RacewayKind::read("hose"), None);
    }
}
