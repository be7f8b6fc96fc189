//! Voltage drop: the scheduled drop with the resistances of chapter 9 table 8 at 75 °C, and resistance at another
//! conductor temperature for the energy lost over a year.

use quantity::{
    Clause, Count, Current, Length, PerKelvin, Ratio, ResistancePerLength, Standing, Temperature, Voltage,
    formula, nec,
};

const OHM: Clause =
    Clause { document: "Ohm's law", edition: "", clause: "two-wire loop", standing: Standing::Computed };

/// Drop over a two-wire loop in volts: `l` one-way feet, `r` ohms per 1000 ft of one conductor, `i` amperes,
/// `sets` conductors in parallel per pole, at least 1. Direct-current resistance; for the sizes and power factors
/// of a house the difference to alternating-current impedance is left out.
pub fn loop_drop(l: f64, r: f64, i: f64, sets: f64) -> f64 {
    2.0 * l * r / 1000.0 * i / sets
}

formula! {
    /// Explained twin of [`loop_drop`].
    pub LoopDrop = loop_drop(
        l: Length as FOOT_UNIT = "one-way length",
        r: ResistancePerLength as OHM_PER_KILOFOOT = "resistance of one conductor at 75 °C",
        i: Current as AMPERE = "operating current",
        sets: Count as COUNT = "conductors in parallel per pole",
    ) -> Voltage as VOLT,
    text: "2 · l · r / 1000 · i / sets",
    clause: OHM,
}

/// Drop between line and neutral of three phases that carry the same current, so that none returns by the neutral:
/// units as in [`loop_drop`].
pub fn balanced_drop(l: f64, r: f64, i: f64, sets: f64) -> f64 {
    l * r / 1000.0 * i / sets
}

formula! {
    /// Explained twin of [`balanced_drop`].
    pub BalancedDrop = balanced_drop(
        l: Length as FOOT_UNIT = "one-way length",
        r: ResistancePerLength as OHM_PER_KILOFOOT = "resistance of one conductor at 75 °C",
        i: Current as AMPERE = "operating current of one line",
        sets: Count as COUNT = "conductors in parallel per pole",
    ) -> Voltage as VOLT,
    text: "l · r / 1000 · i / sets",
    clause: quantity::iec("IEC 60364-5-52", "2009", "annex G, b = 1", Standing::Remembered),
}

/// Drop `v` as a share of the circuit voltage `u`, which must not be zero.
pub fn drop_share(v: f64, u: f64) -> f64 {
    v / u
}

formula! {
    /// Explained twin of [`drop_share`].
    pub DropShare = drop_share(
        v: Voltage as VOLT = "voltage drop",
        u: Voltage as VOLT = "circuit voltage",
    ) -> Ratio as RATIO,
    text: "v / u",
    clause: OHM,
}

/// Resistance at conductor temperature `t` °C of a conductor that has `r` at 75 °C; `a` is
/// the [`change_per_kelvin`] of its metal.
pub fn resistance_at(r: f64, a: f64, t: f64) -> f64 {
    r * (1.0 + a * (t - 75.0))
}

formula! {
    /// Explained twin of [`resistance_at`].
    pub ResistanceAt = resistance_at(
        r: ResistancePerLength as OHM_PER_KILOFOOT = "resistance at 75 °C",
        a: PerKelvin as PER_KELVIN = "change per kelvin of the metal, at 75 °C",
        t: Temperature as CELSIUS = "conductor temperature",
    ) -> ResistancePerLength as OHM_PER_KILOFOOT,
    text: "r · (1 + a · (t − 75))",
    clause: nec("2023", "chapter 9 table 8, note 2", Standing::Remembered),
}

/// Change of resistance per kelvin at 75 °C, 1/K (NEC chapter 9 table 8 note 2, from memory).
pub fn change_per_kelvin(material: quantity::Material) -> PerKelvin {
    match material {
        quantity::Material::Copper => PerKelvin(0.003_23),
        quantity::Material::Aluminum => PerKelvin(0.003_30),
    }
}
