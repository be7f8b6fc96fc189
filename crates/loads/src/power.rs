//! Power of a load from what its plate says.

use quantity::{Current, Power, Ratio, Voltage, formula, practice};

/// Real power of a load given by volts and amperes.
pub fn watts_of(volts: f64, amps: f64, power_factor: f64) -> f64 {
    volts * amps * power_factor
}

formula! {
    /// Explained twin of [`watts_of`].
    pub WattsOf = watts_of(
        volts: Voltage as VOLT = "supply voltage",
        amps: Current as AMPERE = "running current",
        power_factor: Ratio as RATIO = "watts per volt-ampere",
    ) -> Power as WATT,
    text: "volts · amps · power_factor",
    clause: practice("definition of real power"),
}
