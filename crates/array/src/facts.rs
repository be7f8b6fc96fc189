//! What is known of modules, planes and strings. These are the very things a design states; unknown fields stay
//! unknown.

use quantity::{
    Angle, Count, Current, Fact, Interval, Length, Mass, Money, Number, PerKelvin, Power, Ratio, Temperature,
    TrueBearing, Voltage,
};
use std::sync::Arc;

/// A module by its data sheet, at 1000 W/m² and a 25 °C cell where not said otherwise.
#[derive(Clone, Debug, PartialEq)]
pub struct Module {
    /// The owner's name for it.
    pub name: Arc<str>,
    /// Power it loses in each year of age.
    pub loss_per_year: Fact<Ratio>,
    /// Rated maximum power.
    pub power: Fact<Power>,
    /// Open-circuit voltage.
    pub voc: Fact<Voltage>,
    /// Short-circuit current.
    pub isc: Fact<Current>,
    /// Voltage at maximum power.
    pub vmp: Fact<Voltage>,
    /// Current at maximum power.
    pub imp: Fact<Current>,
    /// Relative change of the open-circuit voltage, negative for silicon.
    pub voc_change: Fact<PerKelvin>,
    /// Relative change of the voltage at maximum power; from power and current where the sheet gives none.
    pub vmp_change: Fact<PerKelvin>,
    /// Relative change of maximum power, negative for silicon.
    pub power_change: Fact<PerKelvin>,
    /// Relative change of the short-circuit current, positive for silicon.
    pub isc_change: Fact<PerKelvin>,
    /// Cells in series.
    pub cells_in_series: Fact<Count>,
    /// Parallel strings of cells.
    pub cells_in_parallel: Fact<Count>,
    /// Bypass diodes.
    pub bypass_diodes: Fact<Count>,
    /// Maximum series fuse rating marked on the module.
    pub series_fuse: Fact<Current>,
    /// Maximum system voltage marked on the module.
    pub system_voltage: Fact<Voltage>,
    /// Long side.
    pub length: Fact<Length>,
    /// Short side.
    pub width: Fact<Length>,
    /// Mass.
    pub mass: Fact<Mass>,
    /// Cell temperature at 800 W/m², 20 °C air, 1 m/s wind.
    pub noct: Fact<Temperature>,
    /// Price of one.
    pub price: Fact<Money>,
}

/// How a plane is held up, which decides how cool its cells run.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Mount {
    /// Open rack on the ground.
    GroundRack,
    /// Rails a hand's breadth above a roof, parallel to it.
    Roof,
    /// On a pole.
    Pole,
}

/// One plane of modules.
#[derive(Clone, Debug, PartialEq)]
pub struct Plane {
    /// The owner's name for it.
    pub name: Arc<str>,
    /// How it is held up.
    pub mount: Fact<Mount>,
    /// Building that carries it, empty on the ground.
    pub building: Arc<str>,
    /// Tilt above the horizontal.
    pub tilt: Fact<Angle>,
    /// Bearing the plane faces, clockwise from true north.
    pub bearing: Fact<TrueBearing>,
    /// Cell temperature above ambient on the hottest bright afternoon, for design voltages.
    pub hot_rise: Fact<Interval>,
    /// Reflectance of the ground in front.
    pub ground_reflectance: Fact<Ratio>,
    /// Share of light lost to dirt over the year.
    pub soiling: Fact<Ratio>,
}

/// Modules in series on one plane, going into one input.
#[derive(Clone, Debug, PartialEq)]
pub struct StringOf {
    /// The owner's name for it.
    pub name: Arc<str>,
    /// Name of the plane.
    pub plane: Arc<str>,
    /// Name of the module.
    pub module: Arc<str>,
    /// Modules in series.
    pub count: Fact<Count>,
    /// Name of the inverter or charge controller it goes into.
    pub unit: Arc<str>,
    /// Which of its inputs, counted from 1.
    pub input: u32,
    /// Power lost because its modules are not quite alike.
    pub mismatch: Fact<Ratio>,
    /// Years since its modules were new.
    pub age_years: Fact<Number>,
}
