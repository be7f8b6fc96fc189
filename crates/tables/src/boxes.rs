//! Boxes: the space each conductor takes, the volumes of square metal boxes, and the room to bend at a terminal.

use crate::{TableError, file, sheet};
use quantity::{Clause, Gauge, Length, Measure, Standing, TableRow, Traced, Volume, nec, units};
use std::sync::{Arc, OnceLock};

/// Free space that one conductor takes in a box, for sizes from 18 to 6 AWG; larger ones need a pull box instead.
///
/// Source: NEC 2023 Table 314.16(B)(1).
///
/// # Errors
/// [`TableError::NoSuchSize`].
pub fn box_volume(size: Gauge) -> Result<Traced<Volume>, TableError> {
    let rows = spaces();
    let Some(found) = rows.iter().find(|row| row.size == size) else {
        let (smallest, largest) = (Gauge::Awg(18), Gauge::Awg(6));
        return Err(TableError::NoSuchSize {
            table: &SPACE,
            size,
            of: "conductors in a box",
            smallest,
            largest,
        });
    };
    let row = TableRow { clause: SPACE, row: Arc::from(size.to_string()), standing: found.standing };
    Ok(Traced::tabled(Volume::from_si(units::CUBIC_INCH.to_si(found.in3)), row))
}

/// A square metal box as shops keep it.
#[derive(Clone, Debug, PartialEq)]
pub struct MetalBox {
    /// Side by depth in inches, as the trade writes it.
    pub trade_size: Arc<str>,
    /// Least volume.
    pub volume: Traced<Volume>,
}

/// The smallest square metal box with at least this volume; `None` where the table ends below it.
///
/// Source: NEC 2023 Table 314.16(A).
pub fn smallest_metal_box(volume: Volume) -> Option<MetalBox> {
    let asked = units::CUBIC_INCH.of_si(volume.si());
    let found = metal_boxes().iter().find(|row| row.in3 >= asked * (1.0 - quantity::SAME))?;
    let named = format!("square metal box {}", found.trade_size);
    let row = TableRow { clause: BOXES, row: named.into(), standing: found.standing };
    Some(MetalBox {
        trade_size: found.trade_size.clone(),
        volume: Traced::tabled(Volume::from_si(units::CUBIC_INCH.to_si(found.in3)), row),
    })
}

/// Least room to bend a conductor at a terminal; `None` where the table asks for none.
///
/// Source: NEC 2023 Table 312.6(A), one conductor on each terminal.
///
/// # Errors
/// [`TableError::NoSuchSize`].
pub fn bending_space(size: Gauge) -> Result<Option<Traced<Length>>, TableError> {
    let Some(found) = bends().iter().find(|row| row.size == size) else {
        let (smallest, largest) = (Gauge::Awg(14), Gauge::Kcmil(750));
        return Err(TableError::NoSuchSize { table: &BENDING, size, of: "conductors", smallest, largest });
    };
    let row = || TableRow { clause: BENDING, row: Arc::from(size.to_string()), standing: found.standing };
    Ok(found.inches.map(|inches| Traced::tabled(Length::from_si(units::INCH_UNIT.to_si(inches)), row())))
}

const SPACE: Clause = nec("2023", "Table 314.16(B)(1)", Standing::Remembered);
const BOXES: Clause = nec("2023", "Table 314.16(A)", Standing::Remembered);
const BENDING: Clause = nec("2023", "Table 312.6(A)", Standing::Remembered);

struct Space {
    size: Gauge,
    in3: f64,
    standing: Standing,
}

fn spaces() -> &'static [Space] {
    static ROWS: OnceLock<Vec<Space>> = OnceLock::new();
    ROWS.get_or_init(|| {
        sheet::rows(file::BOX_VOLUMES, |line| {
            Some(Space {
                size: line.size("size")?,
                in3: line.value("volume_in3")?,
                standing: line.standing()?,
            })
        })
    })
}

struct BoxRow {
    trade_size: Arc<str>,
    #[cfg_attr(not(test), allow(dead_code))]
    side_in: f64,
    #[cfg_attr(not(test), allow(dead_code))]
    depth_in: f64,
    in3: f64,
    standing: Standing,
}

fn metal_boxes() -> &'static [BoxRow] {
    static ROWS: OnceLock<Vec<BoxRow>> = OnceLock::new();
    ROWS.get_or_init(|| {
        sheet::rows(file::BOXES, |line| {
            Some(BoxRow {
                trade_size: line.text("trade_size")?.into(),
                side_in: line.value("side_in")?,
                depth_in: line.value("depth_in")?,
                in3: line.value("volume_in3")?,
                standing: line.standing()?,
            })
        })
    })
}

struct Bend {
    size: Gauge,
    inches: Option<f64>,
    standing: Standing,
}

fn bends() -> &'static [Bend] {
    static ROWS: OnceLock<Vec<Bend>> = OnceLock::new();
    ROWS.get_or_init(|| {
        sheet::rows(file::BENDING, |line| {
            Some(Bend {
                size: line.size("size")?,
                inches: line.optional("space_in")?,
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
    fn every_space_rises_in_quarters_of_a_cubic_inch() {
        assert_eq!(spaces().len(), 7);
        for pair in spaces().windows(2) {
            assert!(pair[0].size < pair[1].size && pair[0].in3 < pair[1].in3);
        }
        assert!(spaces().iter().all(|row| (row.in3 * 4.0).fract() == 0.0));
        assert!(box_volume(Gauge::Awg(4)).is_err());
    }

    /// Walls, rounded edges and screws take 5 to 14 % of what the outside measures enclose.
    #[test]
    fn every_box_holds_a_little_less_than_its_outside() {
        assert_eq!(metal_boxes().len(), 6);
        for row in metal_boxes() {
            let outside = row.side_in * row.side_in * row.depth_in;
            let taken = 1.0 - row.in3 / outside;
            assert!((0.05..=0.14).contains(&taken), "{}: {taken}", row.trade_size);
        }
        for pair in metal_boxes().windows(2) {
            assert!(pair[0].in3 < pair[1].in3, "rows rise with their volume");
        }
    }

    #[test]
    fn the_smallest_box_that_holds_it_is_named() {
        let cubic = |in3: f64| Volume::from_si(units::CUBIC_INCH.to_si(in3));
        assert_eq!(&*smallest_metal_box(cubic(21.0)).unwrap().trade_size, "4 x 1-1/2");
        assert_eq!(&*smallest_metal_box(cubic(21.01)).unwrap().trade_size, "4-11/16 x 1-1/4");
        assert!(smallest_metal_box(cubic(42.5)).is_none());
    }

    #[test]
    fn bending_space_never_falls_and_is_not_asked_for_below_8_awg() {
        let inches: Vec<f64> = bends().iter().map(|row| row.inches.unwrap_or(0.0)).collect();
        assert!(inches.windows(2).all(|pair| pair[0] <= pair[1]));
        assert!(bends().windows(2).all(|pair| pair[0].size < pair[1].size));
        assert_eq!(bending_space(Gauge::Awg(10)), Ok(None));
        assert!(bending_space(Gauge::Awg(8)).unwrap().is_some());
        assert!(bending_space(Gauge::HundredthsMm2(400)).is_err());
    }
}
