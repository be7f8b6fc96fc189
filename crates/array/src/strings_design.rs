//! Voltages a string reaches on the coldest bright morning and the hottest bright afternoon.

use quantity::{Count, Interval, PerKelvin, Ratio, Standing, Temperature, Voltage, formula, nec, practice};

/// Highest open-circuit voltage of a series string, reached on the coldest bright morning.
///
/// `V = n · voc · (1 + beta · (t − 25))`
///
/// - `n`: modules in series, at least 1.
/// - `voc`: label value at 1000 W/m² and a 25 °C cell, volts; `beta`: per kelvin, negative for silicon.
/// - `t`: lowest expected ambient temperature at the site, °C.
///
/// Source: NEC 2023, 690.7(A)(1).
pub fn cold_open_circuit(n: f64, voc: f64, beta: f64, t: f64) -> f64 {
    n * voc * (1.0 + beta * (t - 25.0))
}

formula! {
    /// Explained twin of [`cold_open_circuit`].
    pub ColdOpenCircuit = cold_open_circuit(
        n: Count as COUNT = "modules in series",
        voc: Voltage as VOLT = "open-circuit voltage on the label",
        beta: PerKelvin as PER_KELVIN = "its change per kelvin",
        t: Temperature as CELSIUS = "lowest expected air temperature",
    ) -> Voltage as VOLT,
    text: "n · voc · (1 + beta · (t − 25))",
    clause: nec("2023", "690.7(A)(1)", Standing::SecondHand),
}

/// As [`cold_open_circuit`] by the table of factors, for crystalline silicon without a stated coefficient.
///
/// Source: NEC 2023, 690.7(A)(2) and Table 690.7(A).
pub fn cold_open_circuit_by_table(n: f64, voc: f64, factor: f64) -> f64 {
    n * voc * factor
}

formula! {
    /// Explained twin of [`cold_open_circuit_by_table`].
    pub ColdOpenCircuitByTable = cold_open_circuit_by_table(
        n: Count as COUNT = "modules in series",
        voc: Voltage as VOLT = "open-circuit voltage on the label",
        factor: Ratio as RATIO = "factor of the table for the lowest expected air temperature",
    ) -> Voltage as VOLT,
    text: "n · voc · factor",
    clause: nec("2023", "690.7(A)(2)", Standing::SecondHand),
}

/// Relative change per kelvin of a voltage stated in volts per kelvin.
pub fn relative_change(slope: f64, at_25: f64) -> f64 {
    slope / at_25
}

formula! {
    /// Explained twin of [`relative_change`] for voltages.
    pub RelativeVoltageChange = relative_change(
        slope: VoltsPerKelvinMeasure as VOLT_PER_KELVIN = "change in volts per kelvin",
        at_25: Voltage as VOLT = "value at 25 °C",
    ) -> PerKelvin as PER_KELVIN,
    text: "slope / at_25",
    clause: practice("definition of a relative coefficient"),
}

formula! {
    /// Explained twin of [`relative_change`] for currents.
    pub RelativeCurrentChange = relative_change(
        slope: AmperesPerKelvinMeasure as AMPERE_PER_KELVIN = "change in amperes per kelvin",
        at_25: quantity::Current as AMPERE = "value at 25 °C",
    ) -> PerKelvin as PER_KELVIN,
    text: "slope / at_25",
    clause: practice("definition of a relative coefficient"),
}

/// Volts per kelvin as a measure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct VoltsPerKelvinMeasure(pub f64);

impl quantity::Measure for VoltsPerKelvinMeasure {
    const KIND: quantity::Kind = quantity::Kind::VoltsPerKelvin;
    fn si(self) -> f64 {
        self.0
    }
    fn from_si(si: f64) -> Self {
        Self(si)
    }
}

/// Amperes per kelvin as a measure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AmperesPerKelvinMeasure(pub f64);

impl quantity::Measure for AmperesPerKelvinMeasure {
    const KIND: quantity::Kind = quantity::Kind::AmperesPerKelvin;
    fn si(self) -> f64 {
        self.0
    }
    fn from_si(si: f64) -> Self {
        Self(si)
    }
}

/// Relative change of the voltage at maximum power: power is voltage times current, so relative changes add.
///
/// The current at maximum power is taken to change as the short-circuit current does.
pub fn max_power_voltage_change(gamma: f64, alpha: f64) -> f64 {
    gamma - alpha
}

formula! {
    /// Explained twin of [`max_power_voltage_change`].
    pub MaxPowerVoltageChange = max_power_voltage_change(
        gamma: PerKelvin as PER_KELVIN = "change of maximum power per kelvin",
        alpha: PerKelvin as PER_KELVIN = "change of short-circuit current per kelvin",
    ) -> PerKelvin as PER_KELVIN,
    text: "gamma − alpha",
    clause: practice("P = V · I, so relative changes add"),
}

/// Voltage at maximum power of a string whose cells are `rise` above an air temperature `t`.
///
/// `V = n · vmp · (1 + beta · (t + rise − 25))`, volts; temperatures in °C, the rise in kelvin.
pub fn max_power_voltage(n: f64, vmp: f64, beta: f64, t: f64, rise: f64) -> f64 {
    n * vmp * (1.0 + beta * (t + rise - 25.0))
}

formula! {
    /// Explained twin of [`max_power_voltage`].
    pub MaxPowerVoltage = max_power_voltage(
        n: Count as COUNT = "modules in series",
        vmp: Voltage as VOLT = "voltage at maximum power on the label",
        beta: PerKelvin as PER_KELVIN = "its change per kelvin",
        t: Temperature as CELSIUS = "air temperature",
        rise: Interval as KELVIN = "cells above air",
    ) -> Voltage as VOLT,
    text: "n · vmp · (1 + beta · (t + rise − 25))",
    clause: practice("linear coefficient of the data sheet"),
}

/// Most modules in series whose cold open-circuit voltage stays at or under a limit; 0 when not even one does.
pub fn longest_string(limit: f64, one: f64) -> f64 {
    // A module that meets the limit to the last printed digit counts as meeting it.
    (limit / one + 1e-9).floor()
}

formula! {
    /// Explained twin of [`longest_string`].
    pub LongestString = longest_string(
        limit: Voltage as VOLT = "lowest voltage limit",
        one: Voltage as VOLT = "cold open-circuit voltage of one module",
    ) -> Count as COUNT,
    text: "floor(limit / one + 0.000000001)",
    clause: nec("2023", "690.7", Standing::SecondHand),
}

/// Fewest modules in series whose hot voltage at maximum power reaches the tracker.
pub fn shortest_string(track_low: f64, one: f64) -> f64 {
    (track_low / one - 1e-9).ceil()
}

formula! {
    /// Explained twin of [`shortest_string`].
    pub ShortestString = shortest_string(
        track_low: Voltage as VOLT = "lowest tracking voltage",
        one: Voltage as VOLT = "hot voltage at maximum power of one module",
    ) -> Count as COUNT,
    text: "ceil(track_low / one − 0.000000001)",
    clause: practice("the hot string must reach the tracker"),
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Worked example W01: module Voc 49.0 V, −0.24 %/°C, −7.2 °C gives 52.79 V. Tolerance: the printed digits.
    #[test]
    fn one_cold_module_matches_the_published_quiz_answer() {
        assert!((cold_open_circuit(1.0, 49.0, -0.0024, -7.2) - 52.79).abs() < 0.005);
    }

    /// Worked example W02: Voc 49.5 V, −0.28 %/°C, 1000 V, −5 °C: at most 18; Vmp 41.2 V at a 45 °C cell: 700 V,
    /// at least 6 for 200 V.
    #[test]
    fn longest_and_shortest_string_match_the_training_example() {
        let one = cold_open_circuit(1.0, 49.5, -0.0028, -5.0);
        assert!((one - 53.66).abs() < 0.005);
        assert_eq!(longest_string(1000.0, one), 18.0);
        let hot = max_power_voltage(1.0, 41.2, -0.0028, 45.0, 0.0);
        assert!((18.0 * hot - 700.0).abs() < 0.5);
        assert_eq!(shortest_string(200.0, hot), 6.0);
    }

    /// Worked example W03: −5 °C falls in the 1.12 row: 55.44 V, 10 for 600 V, while the coefficient allows 11.
    #[test]
    fn the_two_permitted_methods_give_different_counts() {
        let by_table = cold_open_circuit_by_table(1.0, 49.5, 1.12);
        assert!((by_table - 55.44).abs() < 0.005);
        assert_eq!(longest_string(600.0, by_table), 10.0);
        assert_eq!(longest_string(600.0, cold_open_circuit(1.0, 49.5, -0.0028, -5.0)), 11.0);
    }

    /// Acceptance story S1: 565.8 V for ten, eight is the most, 452.7 V; hot 279.7 V at a 70 °C cell.
    #[test]
    fn the_mountain_house_string_is_too_long_by_two() {
        assert!((cold_open_circuit(10.0, 49.5, -0.0027, -28.0) - 565.8).abs() < 0.05);
        let one = cold_open_circuit(1.0, 49.5, -0.0027, -28.0);
        assert_eq!(longest_string(500.0, one), 8.0);
        assert!((8.0 * one - 452.7).abs() < 0.05);
        assert!((max_power_voltage(8.0, 41.5, -0.0035, 40.0, 30.0) - 279.7).abs() < 0.05);
    }
}
