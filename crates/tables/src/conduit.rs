//! Conduit and trunking of 230 V countries: what is inside, what a conductor takes up, and how full they may be.
//!
//! IEC 61386 names conduit by its outside diameter and leaves the inside to the maker; IEC 60364 gives no share that may
//! be filled. Both are answered from what the trade uses, and a maker's figure replaces the first.

use crate::{Insulation, RacewayKind, TableError, TradeSize, file, sheet};
use quantity::{
    Area, Clause, Gauge, Length, Measure, Ratio, Standing, TableRow, Traced, formula, iec, units,
};
use std::sync::OnceLock;

/// Area of a circle of diameter `d`.
pub fn circle_area(d: f64) -> f64 {
    std::f64::consts::FRAC_PI_4 * d * d
}

formula! {
    /// Explained twin of [`circle_area`].
    pub CircleArea = circle_area(
        d: Length as MILLIMETER = "diameter",
    ) -> Area as SQUARE_MILLIMETER,
    text: "0.7853981633974483 · d · d",
    clause: Clause { document: "geometry", edition: "", clause: "circle", standing: Standing::Computed },
}

/// Least inside diameter of a conduit of this outside diameter.
///
/// # Errors
/// [`TableError::NoSuchTradeSize`] where none is known: steel conduit, trunking, and sizes that are not made.
pub fn conduit_inside(kind: RacewayKind, trade_size: TradeSize) -> Result<Traced<Length>, TableError> {
    let Some(found) = of_kind(kind).find(|row| row.trade_size == trade_size) else {
        return Err(TableError::NoSuchTradeSize { table: &CONDUIT, kind, trade_size });
    };
    let named = format!("{kind} {trade_size}, inside diameter");
    let row = TableRow { clause: clause_of(kind), row: named.into(), standing: found.standing };
    Ok(Traced::tabled(Length::from_si(units::MILLIMETER.to_si(found.inside_mm)), row))
}

/// Sizes of a conduit whose inside is known, ascending.
pub fn conduit_sizes(kind: RacewayKind) -> impl DoubleEndedIterator<Item = TradeSize> {
    of_kind(kind).map(|row| row.trade_size)
}

/// Outside diameter of a single conductor of a metric size.
///
/// # Errors
/// [`TableError::NoSuchSize`] for sizes and insulations without a row.
pub fn metric_diameter(insulation: Insulation, size: Gauge) -> Result<Traced<Length>, TableError> {
    let (key, clause) = match insulation {
        Insulation::Pvc70 | Insulation::Xlpe90 => ("pvc", SINGLES),
        Insulation::ArrayCable => ("array", ARRAY_CABLE),
        _ => ("", SINGLES),
    };
    let rows = || conductors().iter().filter(move |row| row.insulation == key);
    let Some(found) = rows().find(|row| row.size == size) else {
        return Err(TableError::NoSuchSize {
            table: &SINGLES,
            size,
            of: insulation.in_words(),
            smallest: rows().map(|row| row.size).min().unwrap_or(size),
            largest: rows().map(|row| row.size).max().unwrap_or(size),
        });
    };
    let named = format!("{size} {insulation}, outside diameter");
    let row = TableRow { clause, row: named.into(), standing: found.standing };
    Ok(Traced::tabled(Length::from_si(units::MILLIMETER.to_si(found.outside_mm)), row))
}

/// Share of a conduit or of a trunking that `conductors` may fill, protective ones counted.
///
/// # Errors
/// [`TableError::Below`] for no conductor.
pub fn space_factor(kind: RacewayKind, conductors: u32) -> Result<Traced<Ratio>, TableError> {
    let (key, clause) = match kind {
        RacewayKind::Trunking => ("trunking", TRUNKING_SPACE),
        _ => ("conduit", CONDUIT_SPACE),
    };
    let inside = |row: &&Space| {
        row.raceway == key && conductors >= row.least && row.most.is_none_or(|m| conductors <= m)
    };
    let Some(found) = spaces().iter().find(inside) else {
        let asked = f64::from(conductors);
        return Err(TableError::Below {
            table: &CONDUIT_SPACE,
            what: "number of conductors",
            asked,
            least: 1.0,
            unit: "conductors",
        });
    };
    let named = match (found.least, found.most) {
        (1, None) => format!("{key}, any number of conductors"),
        (least, None) => format!("{key}, {least} or more conductors"),
        (_, Some(1)) => format!("{key}, 1 conductor"),
        (_, Some(most)) => format!("{key}, {most} conductors"),
    };
    let row = TableRow { clause, row: named.into(), standing: found.standing };
    Ok(Traced::tabled(Ratio::from_si(found.percent / 100.0), row))
}

const CONDUIT: Clause = iec("IEC 61386-1", "2008", "inside diameter", Standing::Remembered);
const SINGLES: Clause = iec("IEC 60227-3", "1997", "table 1", Standing::Remembered);
const ARRAY_CABLE: Clause =
    iec("IEC 62930", "2017", "outside diameters, by EN 50618 table 1", Standing::Remembered);
const CONDUIT_SPACE: Clause = Clause {
    document: "AS/NZS 3000",
    edition: "2018",
    clause: "appendix C, space factors; IEC 60364 leaves it to national practice",
    standing: Standing::Remembered,
};
const TRUNKING_SPACE: Clause =
    quantity::practice("45 % of a trunking; IEC 60364 leaves it to national practice");

fn clause_of(kind: RacewayKind) -> Clause {
    match kind {
        RacewayKind::PlasticConduit => {
            iec("IEC 60614-2-2", "1980", "medium class, least inside diameter", Standing::Remembered)
        }
        RacewayKind::PliableConduit => {
            iec("IEC 60614-2-3", "1990", "least inside diameter", Standing::Remembered)
        }
        RacewayKind::BuriedConduit => iec("IEC 61386-24", "2004", "table 101", Standing::Remembered),
        _ => CONDUIT,
    }
}

struct Pipe {
    kind: RacewayKind,
    trade_size: TradeSize,
    inside_mm: f64,
    standing: Standing,
}

fn of_kind(kind: RacewayKind) -> impl DoubleEndedIterator<Item = &'static Pipe> {
    static ROWS: OnceLock<Vec<Pipe>> = OnceLock::new();
    let rows = ROWS.get_or_init(|| {
        sheet::rows(file::CONDUIT, |line| {
            Some(Pipe {
                kind: RacewayKind::read(line.text("raceway")?)?,
                trade_size: TradeSize::of_millimeters(line.value("outside_mm")?),
                inside_mm: line.value("inside_mm")?,
                standing: line.standing()?,
            })
        })
    });
    rows.iter().filter(move |row| row.kind == kind)
}

struct Conductor {
    insulation: String,
    size: Gauge,
    outside_mm: f64,
    standing: Standing,
}

fn conductors() -> &'static [Conductor] {
    static ROWS: OnceLock<Vec<Conductor>> = OnceLock::new();
    ROWS.get_or_init(|| {
        sheet::rows(file::METRIC_CONDUCTORS, |line| {
            Some(Conductor {
                insulation: line.text("insulation")?.to_owned(),
                size: line.size("size")?,
                outside_mm: line.value("outside_mm")?,
                standing: line.standing()?,
            })
        })
    })
}

struct Space {
    raceway: String,
    least: u32,
    most: Option<u32>,
    percent: f64,
    standing: Standing,
}

fn spaces() -> &'static [Space] {
    static ROWS: OnceLock<Vec<Space>> = OnceLock::new();
    ROWS.get_or_init(|| {
        sheet::rows(file::SPACE_FACTORS, |line| {
            Some(Space {
                raceway: line.text("raceway")?.to_owned(),
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
    use std::f64::consts::FRAC_PI_4;

    fn inside(kind: RacewayKind, mm: u16) -> f64 {
        units::MILLIMETER.of_si(conduit_inside(kind, TradeSize::of_millimeters(mm)).unwrap().si())
    }

    fn outside(insulation: Insulation, size: &str) -> f64 {
        units::MILLIMETER.of_si(metric_diameter(insulation, Gauge::read(size).unwrap()).unwrap().si())
    }

    /// Buried conduit is made so that its inside is at least three quarters of its outside, rounded to a millimetre.
    #[test]
    fn every_conduit_has_a_wall_and_each_size_holds_more_than_the_one_before() {
        let mut rows = 0;
        for kind in RacewayKind::METRIC {
            let mut last = 0.0;
            for size in conduit_sizes(kind) {
                let out = size.millimeters();
                let within = units::MILLIMETER.of_si(conduit_inside(kind, size).unwrap().si());
                assert!(within < out && within > last, "{kind} {size}");
                match kind {
                    RacewayKind::PlasticConduit => {
                        let wall = (out - within) / 2.0 / out;
                        assert!((0.04..0.10).contains(&wall), "{kind} {size}: {wall}");
                    }
                    RacewayKind::BuriedConduit => assert!((within - 0.75 * out).abs() <= 1.5, "{size}"),
                    _ => {}
                }
                last = within;
                rows += 1;
            }
        }
        assert_eq!(rows, 19);
        assert_eq!(conduit_sizes(RacewayKind::SteelConduit).count(), 0);
    }

    /// Nominal insulation of IEC 60227-3 table 1 (from memory): 0.7 mm at 1.5 mm², 0.8 to 6, 1.0 to 16, 1.2 to 35, 1.4 to
    /// 70, 1.6 to 120, 1.8, 2.0 and 2.2 above. A conductor of class 2 is no thinner than a solid round of its area.
    #[test]
    fn every_conductor_has_room_for_its_metal_and_its_insulation() {
        let nominal = |mm2: f64| match mm2 {
            a if a <= 1.5 => 0.7,
            a if a <= 6.0 => 0.8,
            a if a <= 16.0 => 1.0,
            a if a <= 35.0 => 1.2,
            a if a <= 70.0 => 1.4,
            a if a <= 120.0 => 1.6,
            a if a <= 150.0 => 1.8,
            a if a <= 185.0 => 2.0,
            _ => 2.2,
        };
        let mut last = 0.0;
        for row in conductors().iter().filter(|row| row.insulation == "pvc") {
            let Gauge::HundredthsMm2(h) = row.size else { panic!("metric") };
            let area = f64::from(h) / 100.0;
            let least = (area / FRAC_PI_4).sqrt() + 2.0 * nominal(area);
            assert!(row.outside_mm > least && row.outside_mm < 1.25 * least, "{}: {least}", row.size);
            assert!(row.outside_mm > last);
            last = row.outside_mm;
            if let Ok(array) = metric_diameter(Insulation::ArrayCable, row.size) {
                assert!(units::MILLIMETER.of_si(array.si()) > row.outside_mm);
            }
        }
        assert_eq!(conductors().len(), 26);
        assert_eq!(outside(Insulation::Xlpe90, "10 mm²"), outside(Insulation::Pvc70, "10 mm²"));
    }

    #[test]
    fn space_factors_by_their_count() {
        let of = |kind, n| space_factor(kind, n).unwrap().si();
        assert_eq!([1, 2, 3, 9].map(|n| of(RacewayKind::PlasticConduit, n)), [0.50, 0.33, 0.40, 0.40]);
        assert_eq!([1, 2, 3, 9].map(|n| of(RacewayKind::Trunking, n)), [0.45; 4]);
        assert!(space_factor(RacewayKind::Trunking, 0).is_err());
    }

    #[test]
    fn what_has_no_row_is_an_error_and_not_a_guess() {
        let twenty = TradeSize::of_millimeters(20);
        assert!(conduit_inside(RacewayKind::SteelConduit, twenty).is_err());
        assert!(conduit_inside(RacewayKind::Emt, twenty).is_err());
        assert!(metric_diameter(Insulation::ThhnThwn2, Gauge::HundredthsMm2(400)).is_err());
        assert!(metric_diameter(Insulation::Pvc70, Gauge::Awg(10)).is_err());
        assert!((inside(RacewayKind::PlasticConduit, 25) - 21.4).abs() < 1e-9);
    }
}
