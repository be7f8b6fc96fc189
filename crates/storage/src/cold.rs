//! A bank in a cold place: the heat that holds it above its limit, and the energy of warming it up.

use quantity::{Area, Clause, Energy, Interval, Mass, Number, Power, Standing, formula, practice};

/// Heat that holds a cabinet `rise` K above its surroundings, W: `area` m² of surface with a thermal resistance of
/// `insulation` m²·K/W.
pub fn holding_heat(area: f64, rise: f64, insulation: f64) -> f64 {
    area * rise / insulation
}

formula! {
    /// Explained twin of [`holding_heat`].
    pub HoldingHeat = holding_heat(
        area: Area as SQUARE_METER = "surface of the cabinet",
        rise: Interval as KELVIN = "how far above its surroundings",
        insulation: Number as NUMBER = "thermal resistance, m²·K/W",
    ) -> Power as WATT,
    text: "area · rise / insulation",
    clause: Clause { document: "definition", edition: "", clause: "steady conduction", standing: Standing::Computed },
}

/// Energy that warms `mass` kg of cells by `rise` K, Wh, at about 1 kJ/(kg·K) (0.9 to 1.1, from memory).
pub fn warming_energy(mass: f64, rise: f64) -> f64 {
    mass * 1000.0 * rise / 3600.0
}

formula! {
    /// Explained twin of [`warming_energy`].
    pub WarmingEnergy = warming_energy(
        mass: Mass as KILOGRAM = "mass of the cells",
        rise: Interval as KELVIN = "how far they are warmed",
    ) -> Energy as WATT_HOUR,
    text: "mass · 1000 · rise / 3600",
    clause: practice("heat capacity of lithium cells about 1 kJ/(kg·K)"),
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Acceptance story "barn at minus fifteen": 5.0 m² · 20 K / 2.5 = 40 W = 0.96 kWh a day; 270 kg by 15 K =
    /// 4050 kJ = 1.13 kWh (1.125).
    #[test]
    fn the_barn_needs_forty_watts_and_a_kilowatt_hour_a_start() {
        let heat = holding_heat(5.0, 20.0, 2.5);
        assert!((heat - 40.0).abs() < 1e-12);
        assert!((heat * 24.0 - 960.0).abs() < 1e-9);
        assert!((warming_energy(270.0, 15.0) - 1125.0).abs() < 1e-9);
    }
}
