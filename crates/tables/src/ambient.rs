//! Ambient temperature: correction factors and the sun above a roof, NEC 310.15(B).

use crate::error::finite;
use crate::{Insulation, TableError, TerminalColumn, file, sheet};
use quantity::{Clause, Interval, Measure, Ratio, Standing, TableRow, Traced, nec};
use std::sync::OnceLock;

/// Ambient correction factor on the 30 °C base.
///
/// - `ambient_c`: ambient temperature, °C. The printed bands are whole degrees; a value between two bands, such
///   as 35.4, belongs to the warmer one. A value within a millionth of a degree of a band's end is in that band,
///   so that 95 °F is 35 °C whatever the arithmetic did.
/// - `column`: temperature rating of the insulation whose ampacity is corrected.
///
/// Source: NEC 2023 Table 310.15(B)(1)(1).
///
/// # Errors
/// [`TableError::Above`] where the column ends (55, 70 and 85 °C); [`TableError::Below`] under absolute zero;
/// [`TableError::NotANumber`].
pub fn ambient_factor(ambient_c: f64, column: TerminalColumn) -> Result<Traced<Ratio>, TableError> {
    let what = "ambient temperature";
    let ambient_c = finite(ambient_c, &FACTORS, what)?;
    if ambient_c < -273.15 {
        return Err(TableError::Below {
            table: &FACTORS,
            what,
            asked: ambient_c,
            least: -273.15,
            unit: "°C",
        });
    }
    let found = bands().iter().find(|band| ambient_c <= band.to_c + ROUNDING_K);
    match found.and_then(|band| band.factors[column as usize].map(|factor| (band, factor))) {
        Some((band, factor)) => {
            let named = match band.from_c {
                Some(from) => format!("{from} to {} °C, {column}", band.to_c),
                None => format!("{} °C or less, {column}", band.to_c),
            };
            let row = TableRow { clause: FACTORS, row: named.into(), standing: band.standing };
            Ok(Traced::tabled(Ratio::from_si(factor), row))
        }
        None => {
            let has_value = |band: &&Band| band.factors[column as usize].is_some();
            let most = bands().iter().rev().find(has_value).map_or(30.0, |band| band.to_c);
            Err(TableError::Above { table: &FACTORS, what, asked: ambient_c, most, unit: "°C" })
        }
    }
}

/// Temperature added to the ambient for a raceway or cable in direct sun above a roof.
///
/// - `height_in`: distance from the roof to the bottom of the raceway, inches, not negative.
///
/// Source: NEC 2017 to 2023, 310.15(B)(2); XHHW-2 is exempt. Earlier editions have a table of heights instead.
///
/// # Errors
/// [`TableError::Below`] for a negative height, [`TableError::NotANumber`].
pub fn rooftop_adder(height_in: f64, insulation: Insulation) -> Result<Traced<Interval>, TableError> {
    let what = "height above the roof";
    let height_in = finite(height_in, &ROOFTOP, what)?;
    if insulation == Insulation::Xhhw2 && height_in >= 0.0 {
        let row =
            TableRow { clause: ROOFTOP, row: "XHHW-2 is exempt".into(), standing: Standing::SecondHand };
        return Ok(Traced::tabled(Interval::from_si(0.0), row));
    }
    let inside = |row: &&Roof| height_in >= row.from_in && row.below_in.is_none_or(|below| height_in < below);
    match roofs().iter().find(inside) {
        Some(roof) => {
            let named = match roof.below_in {
                Some(below) => format!("less than {below} in above the roof"),
                None => format!("{} in or more above the roof", roof.from_in),
            };
            let row = TableRow { clause: ROOFTOP, row: named.into(), standing: roof.standing };
            Ok(Traced::tabled(Interval::from_si(roof.adder_k), row))
        }
        None => Err(TableError::Below { table: &ROOFTOP, what, asked: height_in, least: 0.0, unit: "in" }),
    }
}

const FACTORS: Clause = nec("2023", "Table 310.15(B)(1)(1)", Standing::SecondHand);
const ROOFTOP: Clause = nec("2023", "310.15(B)(2)", Standing::SecondHand);
// Wider than any rounding of a unit conversion, narrower than any thermometer.
const ROUNDING_K: f64 = 1e-6;

struct Band {
    from_c: Option<f64>,
    to_c: f64,
    factors: [Option<f64>; 3],
    standing: Standing,
}

fn bands() -> &'static [Band] {
    static ROWS: OnceLock<Vec<Band>> = OnceLock::new();
    ROWS.get_or_init(|| {
        sheet::rows(file::AMBIENT, |line| {
            Some(Band {
                from_c: line.optional("from_c")?,
                to_c: line.value("to_c")?,
                factors: [line.optional("f60")?, line.optional("f75")?, line.optional("f90")?],
                standing: line.standing()?,
            })
        })
    })
}

struct Roof {
    from_in: f64,
    below_in: Option<f64>,
    adder_k: f64,
    standing: Standing,
}

fn roofs() -> &'static [Roof] {
    static ROWS: OnceLock<Vec<Roof>> = OnceLock::new();
    ROWS.get_or_init(|| {
        sheet::rows(file::ROOFTOP, |line| {
            Some(Roof {
                from_in: line.value("from_in")?,
                below_in: line.optional("below_in")?,
                adder_k: line.value("adder_k")?,
                standing: line.standing()?,
            })
        })
    })
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    fn factor(ambient_c: f64, column: TerminalColumn) -> f64 {
        ambient_factor(ambient_c, column).unwrap().si()
    }

    /// NEC 310.15(B)(1) equation: the factor is the root of the ratio of the temperature rises, taken at the top of
    /// each band; printed with two digits, with at most 0.009 between.
    #[test]
    fn every_factor_follows_the_equation_at_the_top_of_its_band() {
        let mut cells = 0;
        for band in bands() {
            for column in TerminalColumn::ALL {
                let Some(printed) = band.factors[column as usize] else { continue };
                let expected = ((column.celsius() - band.to_c) / (column.celsius() - 30.0)).sqrt();
                assert!((printed - expected).abs() < 0.009, "{} °C {column}: {expected}", band.to_c);
                cells += 1;
            }
        }
        assert_eq!(cells, 10 + 13 + 16);
    }

    #[test]
    fn bands_join_and_factors_fall_with_heat() {
        for pair in bands().windows(2) {
            assert_eq!(pair[1].from_c, Some(pair[0].to_c + 1.0));
            for column in 0..3 {
                assert!(
                    pair[1].factors[column].is_none() || pair[1].factors[column] < pair[0].factors[column]
                );
            }
        }
    }

    /// Published source-circuit table for 47 °C and nine conductors: 40 A × 0.82 × 0.70 = 22.96 A.
    #[test]
    fn at_47_degrees_the_90_degree_factor_is_0_82() {
        assert_eq!(factor(47.0, TerminalColumn::C90), 0.82);
        assert!((40.0 * factor(47.0, TerminalColumn::C90) * 0.7 - 22.96_f64).abs() < 1e-9);
    }

    /// A permit record took 0.58 for 62.9 °C from the one-step band of 2008; since 2011 that band is 0.65.
    #[test]
    fn the_one_step_band_of_2008_is_not_used() {
        assert_eq!(factor(62.9, TerminalColumn::C90), 0.65);
        assert_eq!(factor(40.9, TerminalColumn::C90), 0.87);
    }

    #[test]
    fn a_value_between_bands_belongs_to_the_warmer() {
        assert_eq!(factor(35.0, TerminalColumn::C90), 0.96);
        assert_eq!(factor(35.4, TerminalColumn::C90), 0.91);
        // 95 °F by way of kelvin carries the rounding of the conversion.
        assert_eq!(factor((95.0 + 459.67) * 5.0 / 9.0 - 273.15, TerminalColumn::C90), 0.96);
        assert_eq!(factor(-40.0, TerminalColumn::C60), 1.29);
    }

    #[test]
    fn beyond_the_column_is_an_error() {
        let hot = ambient_factor(58.0, TerminalColumn::C60).unwrap_err();
        assert_eq!(
            hot.to_string(),
            "NEC Table 310.15(B)(1)(1): ambient temperature of 58 °C is above 55 °C, where the table ends"
        );
        assert!(ambient_factor(85.5, TerminalColumn::C90).is_err());
        assert!(ambient_factor(f64::NAN, TerminalColumn::C90).is_err());
        assert!(ambient_factor(-300.0, TerminalColumn::C90).is_err());
    }

    #[test]
    fn the_sun_adds_33_kelvin_only_close_to_the_roof() {
        let adder = |height| rooftop_adder(height, Insulation::ThhnThwn2).unwrap().si();
        assert_eq!([adder(0.0), adder(0.87), adder(0.875), adder(12.0)], [33.0, 33.0, 0.0, 0.0]);
        assert_eq!(rooftop_adder(0.5, Insulation::Xhhw2).unwrap().si(), 0.0);
        assert!(rooftop_adder(-1.0, Insulation::ThhnThwn2).is_err());
        assert!(rooftop_adder(-1.0, Insulation::Xhhw2).is_err());
        assert!(rooftop_adder(f64::INFINITY, Insulation::ThhnThwn2).is_err());
    }
}
