//! What a motor pulls while starting, alone and together with what already runs.

use crate::Leg;
use quantity::{ApparentPower, Clause, Current, Standing, Voltage, formula};

/// Apparent power of a motor with its rotor locked, which is what it pulls at the start, VA.
///
/// `volts` V of its supply, `amps` A of locked-rotor current from its plate or data sheet. Never estimated from the
/// running current: that ratio lies anywhere between three (soft start) and eight.
pub fn start_va(volts: f64, amps: f64) -> f64 {
    volts * amps
}

formula! {
    /// Explained twin of [`start_va`].
    pub StartVa = start_va(
        volts: Voltage as VOLT = "supply of the motor",
        amps: Current as AMPERE = "locked-rotor current",
    ) -> ApparentPower as VOLT_AMPERE,
    text: "volts · amps",
    clause: Clause { document: "definition", edition: "", clause: "apparent power", standing: Standing::Computed },
}

/// Apparent power on each leg while one motor starts and `running_va` goes on, VA. A motor across both legs loads
/// each with half. Sizes are added as if in phase, which is never too low.
pub fn legs_while_starting(running_va: [f64; 2], start_va: f64, leg: Leg) -> [f64; 2] {
    let [first, second] = running_va;
    match leg {
        Leg::A | Leg::Only => [first + start_va, second],
        Leg::B => [first, second + start_va],
        Leg::Both => [first + start_va / 2.0, second + start_va / 2.0],
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A 240 V pump with 34 A locked: 8160 VA, 4080 on each leg.
    #[test]
    fn a_pump_start_lands_on_both_legs() {
        let start = start_va(240.0, 34.0);
        assert_eq!(start, 8160.0);
        assert_eq!(legs_while_starting([500.0, 800.0], start, Leg::Both), [4580.0, 4880.0]);
        assert_eq!(legs_while_starting([500.0, 800.0], 1000.0, Leg::B), [500.0, 1800.0]);
        assert_eq!(legs_while_starting([500.0, 0.0], 1000.0, Leg::Only), [1500.0, 0.0]);
    }
}
