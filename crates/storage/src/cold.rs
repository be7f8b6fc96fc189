//! A bank in a cold place: the heat that holds it above its limit, and the energy of warming it up.

use quantity::{
    Area, Clause, Energy, Interval, Mass, Number, Power, Standing, Temperature, formula, practice,
};

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

/// How far `holds` °C lies above `around` °C, K; 0 where it lies below.
pub fn rise(holds: f64, around: f64) -> f64 {
    (holds - around).max(0.0)
}

formula! {
    /// Explained twin of [`rise`].
    pub Rise = rise(
        holds: Temperature as CELSIUS = "cell temperature that is held",
        around: Temperature as CELSIUS = "air around them",
    ) -> Interval as KELVIN,
    text: "max(holds − around, 0)",
    clause: Clause { document: "definition", edition: "", clause: "difference of temperatures", standing: Standing::Computed },
}

/// Heat that cells in the open lose per kilogram, W/(kg·K): 0.015 m² of surface at 7 W/(m²·K); from memory, no source.
pub const OPEN_W_PER_KG_K: f64 = 0.105;

/// Heat that holds `mass` kg of cells in the open `rise` K above the air, W.
pub fn holding_heat_in_the_open(mass: f64, rise: f64) -> f64 {
    OPEN_W_PER_KG_K * mass * rise
}

formula! {
    /// Explained twin of [`holding_heat_in_the_open`].
    pub HoldingHeatInTheOpen = holding_heat_in_the_open(
        mass: Mass as KILOGRAM = "mass of the cells",
        rise: Interval as KELVIN = "how far above the air",
    ) -> Power as WATT,
    text: "0.105 · mass · rise",
    clause: practice("units in the open lose 0.1 W for each kelvin and kilogram"),
}

/// Energy of a day of steady heat, Wh.
pub fn heat_of_a_day(heat: f64) -> f64 {
    heat * 24.0
}

formula! {
    /// Explained twin of [`heat_of_a_day`].
    pub HeatOfADay = heat_of_a_day(
        heat: Power as WATT = "steady heat",
    ) -> Energy as WATT_HOUR,
    text: "heat · 24",
    clause: Clause { document: "definition", edition: "", clause: "energy = power · time", standing: Standing::Computed },
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
