//! Shows quantities in the owner's units with sensible digits.

use crate::money::grouped;
use crate::unit::units;
use crate::{Kind, Unit};

/// The owner's system of units.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Units {
    /// Feet, pounds, degrees Fahrenheit.
    Us,
    /// Metres, kilograms, degrees Celsius.
    Metric,
}

/// Unit a quantity of this kind and size is shown in.
pub fn unit_for(kind: Kind, si: f64, system: Units) -> &'static Unit {
    let us = system == Units::Us;
    let size = si.abs();
    match kind {
        Kind::Voltage => &units::VOLT,
        Kind::Current if size >= 1000.0 => &units::KILOAMPERE,
        Kind::Current => &units::AMPERE,
        Kind::Power if size >= 10_000.0 => &units::KILOWATT,
        Kind::Power => &units::WATT,
        Kind::ApparentPower if size >= 10_000.0 => &units::KILOVOLT_AMPERE,
        Kind::ApparentPower => &units::VOLT_AMPERE,
        Kind::Energy if size < 0.1 * units::KILOWATT_HOUR.factor && size > 0.0 => &units::WATT_HOUR,
        Kind::Energy => &units::KILOWATT_HOUR,
        Kind::Charge => &units::AMPERE_HOUR,
        Kind::Length if us && size < 3.0 * units::FOOT_UNIT.factor => &units::INCH_UNIT,
        Kind::Length if us => &units::FOOT_UNIT,
        Kind::Length if size < 1.0 => &units::MILLIMETER,
        Kind::Length => &units::METER,
        Kind::Area if size < 0.05 && us => &units::SQUARE_INCH,
        Kind::Area if size < 0.05 => &units::SQUARE_MILLIMETER,
        Kind::Area if us => &units::SQUARE_FOOT,
        Kind::Area => &units::SQUARE_METER,
        Kind::Mass if us => &units::POUND_UNIT,
        Kind::Mass => &units::KILOGRAM,
        Kind::Resistance if size < 1.0 => &units::MILLIOHM,
        Kind::Resistance => &units::OHM,
        Kind::ResistancePerLength if us => &units::OHM_PER_KILOFOOT,
        Kind::ResistancePerLength => &units::OHM_PER_KILOMETER,
        Kind::Temperature if us => &units::FAHRENHEIT,
        Kind::Temperature => &units::CELSIUS,
        Kind::Interval if us => &units::FAHRENHEIT_DEGREE,
        Kind::Interval => &units::KELVIN,
        Kind::Time if size >= units::YEAR.factor => &units::YEAR,
        Kind::Time if size >= 3600.0 || size == 0.0 => &units::HOUR,
        Kind::Time if size >= 120.0 => &units::MINUTE,
        Kind::Time => &units::SECOND,
        Kind::Angle => &units::DEGREE_UNIT,
        Kind::TrueBearing => &units::TRUE_DEGREE,
        Kind::CompassBearing => &units::COMPASS_DEGREE,
        Kind::Ratio => &units::PERCENT,
        Kind::PerKelvin => &units::PERCENT_PER_KELVIN,
        Kind::VoltsPerKelvin => &units::MILLIVOLT_PER_KELVIN,
        Kind::AmperesPerKelvin => &units::MILLIAMPERE_PER_KELVIN,
        Kind::Irradiance => &units::WATT_PER_SQUARE_METER,
        Kind::Irradiation => &units::KILOWATT_HOUR_PER_SQUARE_METER,
        Kind::Speed if us => &units::MILE_PER_HOUR,
        Kind::Speed => &units::METER_PER_SECOND,
        Kind::Torque if us => &units::POUND_INCH,
        Kind::Torque => &units::NEWTON_METER,
        Kind::Count => &units::COUNT,
        Kind::Number => &units::NUMBER,
        Kind::Money => &units::COIN,
        Kind::MoneyPerLength if us => &units::COIN_PER_FOOT,
        Kind::MoneyPerLength => &units::COIN_PER_METER,
        Kind::MoneyPerEnergy => &units::COIN_PER_KILOWATT_HOUR,
        Kind::MoneyPerVolume if us => &units::COIN_PER_GALLON,
        Kind::MoneyPerVolume => &units::COIN_PER_LITER,
        // Boxes are counted in cubic inches, tanks in gallons.
        Kind::Volume if us && size < 0.003 => &units::CUBIC_INCH,
        Kind::Volume if us => &units::GALLON,
        Kind::Volume => &units::LITER,
        Kind::Flow if us => &units::GALLON_PER_MINUTE,
        Kind::Flow => &units::LITER_PER_MINUTE,
        Kind::HeatLoss if us => &units::BTU_PER_HOUR_FAHRENHEIT,
        Kind::HeatLoss => &units::WATT_PER_KELVIN,
        Kind::EnergyPerLength if us => &units::WATT_HOUR_PER_MILE,
        Kind::EnergyPerLength => &units::WATT_HOUR_PER_KILOMETER,
    }
}

/// Shows an SI value with its unit in the owner's system.
pub fn print(si: f64, kind: Kind, system: Units) -> String {
    print_in(si, unit_for(kind, si, system))
}

/// Shows an SI value in a given unit.
pub fn print_in(si: f64, unit: &Unit) -> String {
    let value = unit.of_si(si);
    let text = match unit.kind {
        Kind::Count => fixed(value, 0),
        Kind::Temperature => fixed(value, usize::from(!is_whole(value, 0.05))),
        Kind::Voltage | Kind::Length | Kind::Angle | Kind::TrueBearing | Kind::CompassBearing
            if value.abs() >= 10.0 && is_whole(value, 0.005) =>
        {
            fixed(value, 0)
        }
        Kind::Money => fixed(value, if is_whole(value, 0.004) { 0 } else { 2 }),
        _ => significant(value, 4),
    };
    match unit.symbol {
        "" => text,
        symbol @ ("°" | "/ft" | "/m" | "/kWh" | "/L" | "/gal") => format!("{text}{symbol}"),
        symbol => format!("{text} {symbol}"),
    }
}

/// A number with at most so many significant digits, at most four decimals, thousands grouped, a true minus sign.
pub fn significant(value: f64, digits: i32) -> String {
    if value == 0.0 {
        return "0".to_string();
    }
    let magnitude = value.abs().log10().floor() as i32;
    let decimals = (digits - 1 - magnitude).clamp(0, 5) as usize;
    let text = fixed(value, decimals);
    if decimals > 0 { text.trim_end_matches('0').trim_end_matches('.').to_string() } else { text }
}

fn is_whole(value: f64, within: f64) -> bool {
    (value - value.round()).abs() < within
}

fn fixed(value: f64, decimals: usize) -> String {
    if !value.is_finite() {
        return "not a number".to_string();
    }
    let text = format!("{:.*}", decimals, value.abs());
    let (whole, rest) = text.split_once('.').unwrap_or((&text, ""));
    let whole = match whole.parse::<u64>() {
        Ok(n) if n >= 10_000 => grouped(n),
        Ok(n) if n >= 1000 => grouped(n),
        _ => whole.to_string(),
    };
    let zero = whole == "0" && rest.chars().all(|c| c == '0');
    let sign = if value < 0.0 && !zero { "−" } else { "" };
    if rest.is_empty() { format!("{sign}{whole}") } else { format!("{sign}{whole}.{rest}") }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parse;

    #[test]
    fn quantities_are_shown_in_the_owners_units() {
        assert_eq!(print(36.576, Kind::Length, Units::Us), "120 ft");
        assert_eq!(print(36.576, Kind::Length, Units::Metric), "36.58 m");
        assert_eq!(print(245.15, Kind::Temperature, Units::Metric), "−28 °C");
        assert_eq!(print(245.15, Kind::Temperature, Units::Us), "−18.4 °F");
        assert_eq!(print(565.8345, Kind::Voltage, Units::Us), "565.8 V");
        assert_eq!(print(0.0175, Kind::Ratio, Units::Us), "1.75 %");
        assert_eq!(print(5343.0 * 3.6e6, Kind::Energy, Units::Us), "5,343 kWh");
        assert_eq!(print(-0.0027, Kind::PerKelvin, Units::Us), "−0.27 %/K");
        assert_eq!(print(0.0, Kind::Energy, Units::Us), "0 kWh");
    }

    #[test]
    fn rounding_never_shows_a_negative_zero() {
        assert_eq!(print(-1e-9, Kind::Voltage, Units::Us), "0 V");
    }

    #[test]
    fn what_is_shown_can_be_read_again() {
        for (si, kind) in
            [(36.576, Kind::Length), (430.0, Kind::Power), (245.15, Kind::Temperature), (0.94, Kind::Ratio)]
        {
            for system in [Units::Us, Units::Metric] {
                let shown = print(si, kind, system);
                let again = parse(kind, &shown).unwrap_or(f64::NAN);
                assert!((again - si).abs() < 1e-3 * si.abs(), "{shown}");
            }
        }
    }
}
