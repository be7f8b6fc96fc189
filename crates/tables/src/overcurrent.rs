//! Overcurrent devices: standard ratings and the limits of small conductors, NEC 240.6(A) and 240.4(D).

use crate::error::finite;
use crate::{TableError, file, sheet};
use quantity::{Clause, Current, Gauge, Material, Measure, SAME, Standing, TableRow, Traced, nec};
use std::sync::OnceLock;

/// What interrupts the current.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Protection {
    /// An inverse-time circuit breaker.
    Breaker,
    /// A fuse, which has a few additional ratings.
    Fuse,
}

/// The smallest standard rating that is not below `amps`; a current equal to a rating is answered by that rating.
///
/// Source: NEC 2023 240.6(A). Where the code lets a device be the next size above a conductor's ampacity, the
/// caller checks the conditions of 240.4(B).
///
/// # Errors
/// [`TableError::Above`] over 6000 A, [`TableError::Below`] for a negative current, [`TableError::NotANumber`].
pub fn next_standard_rating(amps: f64, device: Protection) -> Result<Traced<Current>, TableError> {
    let amps = current(amps)?;
    let found = ratings(device).find(|rating| rating.amps >= amps * (1.0 - SAME));
    found.map(answer).ok_or_else(|| {
        let most = ratings(device).next_back().map_or(0.0, |rating| rating.amps);
        TableError::Above { table: &RATINGS, what: DEVICE, asked: amps, most, unit: "A" }
    })
}

/// The largest standard rating that is not above `amps`.
///
/// Source: NEC 2023 240.6(A).
///
/// # Errors
/// [`TableError::Below`] where even the smallest rating is above, [`TableError::NotANumber`].
pub fn largest_standard_rating_not_above(
    amps: f64,
    device: Protection,
) -> Result<Traced<Current>, TableError> {
    let amps = current(amps)?;
    let found = ratings(device).rev().find(|rating| rating.amps <= amps * (1.0 + SAME));
    found.map(answer).ok_or_else(|| {
        let least = ratings(device).next().map_or(0.0, |rating| rating.amps);
        TableError::Below { table: &RATINGS, what: DEVICE, asked: amps, least, unit: "A" }
    })
}

/// Standard ratings in amperes, ascending.
pub fn standard_ratings(device: Protection) -> impl DoubleEndedIterator<Item = f64> {
    ratings(device).map(|rating| rating.amps)
}

/// Largest device for a small conductor; `None` for sizes larger than 10 AWG, which 240.4(D) does not limit.
///
/// 18 and 16 AWG carry conditions (listed device types, limited continuous load) that the row names.
/// Source: NEC 2023 240.4(D).
///
/// # Errors
/// [`TableError::NoSuchSize`] for a smaller size without a row, and for metric sizes.
pub fn small_conductor_limit(size: Gauge, material: Material) -> Result<Option<Traced<Current>>, TableError> {
    if let Some(found) = limits().iter().find(|row| row.size == size && row.material == Some(material)) {
        let named = format!("{size} {}", material.in_words());
        let named = if found.condition.is_empty() { named } else { format!("{named}, {}", found.condition) };
        let row = TableRow { clause: SMALL, row: named.into(), standing: found.standing };
        return Ok(Some(Traced::tabled(Current::from_si(found.amps), row)));
    }
    if !size.is_metric() && size > Gauge::Awg(10) {
        return Ok(None);
    }
    let of_metal = || limits().iter().filter(|row| row.material == Some(material)).map(|row| row.size);
    Err(TableError::NoSuchSize {
        table: &SMALL,
        size,
        of: material.in_words(),
        smallest: of_metal().min().unwrap_or(size),
        largest: of_metal().max().unwrap_or(size),
    })
}

const RATINGS: Clause = nec("2023", "240.6(A)", Standing::SecondHand);
const SMALL: Clause = nec("2023", "240.4(D)", Standing::SecondHand);
const DEVICE: &str = "device rating";

fn current(amps: f64) -> Result<f64, TableError> {
    let amps = finite(amps, &RATINGS, DEVICE)?;
    if amps < 0.0 {
        return Err(TableError::Below { table: &RATINGS, what: DEVICE, asked: amps, least: 0.0, unit: "A" });
    }
    Ok(amps)
}

fn answer(rating: &Rating) -> Traced<Current> {
    let kind = if rating.fuse_only { ", additional fuse rating" } else { "" };
    let row = format!("{} A{kind}", rating.amps).into();
    Traced::tabled(
        Current::from_si(rating.amps),
        TableRow { clause: RATINGS, row, standing: rating.standing },
    )
}

struct Rating {
    amps: f64,
    fuse_only: bool,
    standing: Standing,
}

fn ratings(device: Protection) -> impl DoubleEndedIterator<Item = &'static Rating> {
    static ROWS: OnceLock<Vec<Rating>> = OnceLock::new();
    let all = ROWS.get_or_init(|| {
        sheet::rows(file::STANDARD_RATINGS, |line| {
            Some(Rating {
                amps: line.value("amps")?,
                fuse_only: match line.text("device")? {
                    "both" => false,
                    "fuse" => true,
                    _ => return None,
                },
                standing: line.standing()?,
            })
        })
    });
    all.iter().filter(move |rating| device == Protection::Fuse || !rating.fuse_only)
}

struct Limit {
    size: Gauge,
    /// `None` for copper-clad aluminum, which no look-up offers.
    material: Option<Material>,
    amps: f64,
    condition: String,
    standing: Standing,
}

fn limits() -> &'static [Limit] {
    static ROWS: OnceLock<Vec<Limit>> = OnceLock::new();
    ROWS.get_or_init(|| {
        sheet::rows(file::SMALL_CONDUCTORS, |line| {
            Some(Limit {
                size: line.size("size")?,
                material: sheet::material(line.text("material")?),
                amps: line.value("device_a")?,
                condition: line.text("condition")?.to_owned(),
                standing: line.standing()?,
            })
        })
    })
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    fn next(amps: f64) -> f64 {
        next_standard_rating(amps, Protection::Breaker).unwrap().si()
    }

    /// Published device sizes: 13.75 A takes 15 A, 15.6 A takes 20 A, 62.5 A takes 70 A, 118.75 A takes 125 A,
    /// 235 A × 1.25 = 294 A takes 300 A, 154.4 A takes 175 A.
    #[test]
    fn devices_of_published_examples_hold() {
        let found = [13.75, 15.6, 62.5, 118.75, 294.0, 154.4].map(next);
        assert_eq!(found, [15.0, 20.0, 70.0, 125.0, 300.0, 175.0]);
        // A bus of 200 A leaves 183.75 A for the main: 175 A.
        let below = largest_standard_rating_not_above(183.75, Protection::Breaker).unwrap();
        assert_eq!(below.si(), 175.0);
    }

    #[test]
    fn a_current_equal_to_a_rating_is_answered_by_that_rating() {
        for rating in standard_ratings(Protection::Breaker) {
            assert_eq!(next(rating), rating);
            assert_eq!(largest_standard_rating_not_above(rating, Protection::Breaker).unwrap().si(), rating);
        }
        // 1.25² × 12.8 A is 20 A but for the rounding of the product.
        assert_eq!(next(20.000_000_000_000_004), 20.0);
    }

    #[test]
    fn ratings_rise_and_only_fuses_have_the_small_ones() {
        for device in [Protection::Breaker, Protection::Fuse] {
            let all: Vec<f64> = standard_ratings(device).collect();
            assert!(all.windows(2).all(|pair| pair[0] < pair[1]));
        }
        assert_eq!(standard_ratings(Protection::Breaker).count(), 38);
        assert_eq!(standard_ratings(Protection::Fuse).count(), 42);
        assert_eq!(next(5.34), 10.0);
        assert_eq!(next_standard_rating(5.34, Protection::Fuse).unwrap().si(), 6.0);
        let ten = next_standard_rating(10.0, Protection::Breaker).unwrap();
        assert_eq!(ten.origin.standing(), Standing::Remembered);
    }

    #[test]
    fn outside_the_list_is_an_error() {
        assert!(matches!(next_standard_rating(6001.0, Protection::Breaker), Err(TableError::Above { .. })));
        assert!(matches!(
            largest_standard_rating_not_above(9.0, Protection::Breaker),
            Err(TableError::Below { .. })
        ));
        assert!(next_standard_rating(f64::NAN, Protection::Fuse).is_err());
        assert!(next_standard_rating(-1.0, Protection::Fuse).is_err());
    }

    #[test]
    fn small_conductors_are_limited_and_larger_ones_are_not() {
        use Material::{Aluminum, Copper};
        let limit = |n, material| small_conductor_limit(Gauge::Awg(n), material).unwrap().map(|t| t.si());
        assert_eq!([14, 12, 10].map(|n| limit(n, Copper)), [Some(15.0), Some(20.0), Some(30.0)]);
        assert_eq!([12, 10].map(|n| limit(n, Aluminum)), [Some(15.0), Some(25.0)]);
        assert_eq!([18, 16].map(|n| limit(n, Copper)), [Some(7.0), Some(10.0)]);
        assert_eq!(limit(8, Copper), None);
        assert_eq!(limit(-3, Aluminum), None);
        assert_eq!(limits().len(), 10);
    }

    #[test]
    fn a_small_conductor_without_a_row_is_an_error_not_a_pass() {
        assert!(small_conductor_limit(Gauge::Awg(20), Material::Copper).is_err());
        assert!(small_conductor_limit(Gauge::Awg(14), Material::Aluminum).is_err());
        assert!(small_conductor_limit(Gauge::HundredthsMm2(1000), Material::Copper).is_err());
    }
}
