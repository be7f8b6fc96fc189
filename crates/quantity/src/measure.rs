//! Quantities as types. Most are the units library's own; the ones it lacks are thin wrappers.

use crate::Kind;
pub use uom::si::f64::HeatFluxDensity as Irradiance;
pub use uom::si::f64::{
    Angle, Area, ElectricCharge as Charge, ElectricCurrent as Current, ElectricPotential as Voltage,
    ElectricalResistance as Resistance, Energy, Length, Mass, Power, Ratio, TemperatureInterval as Interval,
    ThermodynamicTemperature as Temperature, Time, Torque, Velocity as Speed,
};

/// A quantity that formulas, terms and printing can handle: a kind and an SI value.
pub trait Measure: Copy {
    /// What it measures.
    const KIND: Kind;
    /// Value in SI units.
    fn si(self) -> f64;
    /// Quantity from an SI value.
    fn from_si(si: f64) -> Self;
}

macro_rules! library_measures {
    ($($type:ident, $kind:ident, $module:ident, $unit:ident;)*) => {$(
        impl Measure for $type {
            const KIND: Kind = Kind::$kind;
            fn si(self) -> f64 {
                self.get::<uom::si::$module::$unit>()
            }
            fn from_si(si: f64) -> Self {
                Self::new::<uom::si::$module::$unit>(si)
            }
        }
    )*};
}

library_measures! {
    Voltage, Voltage, electric_potential, volt;
    Current, Current, electric_current, ampere;
    Power, Power, power, watt;
    Energy, Energy, energy, joule;
    Charge, Charge, electric_charge, coulomb;
    Length, Length, length, meter;
    Area, Area, area, square_meter;
    Mass, Mass, mass, kilogram;
    Resistance, Resistance, electrical_resistance, ohm;
    Temperature, Temperature, thermodynamic_temperature, kelvin;
    Interval, Interval, temperature_interval, kelvin;
    Time, Time, time, second;
    Angle, Angle, angle, radian;
    Ratio, Ratio, ratio, ratio;
    Irradiance, Irradiance, heat_flux_density, watt_per_square_meter;
    Speed, Speed, velocity, meter_per_second;
    Torque, Torque, torque, newton_meter;
}

macro_rules! own_measures {
    ($($(#[$doc:meta])* $type:ident, $kind:ident;)*) => {$(
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
        pub struct $type(
            /// Value in SI units.
            pub f64,
        );
        impl Measure for $type {
            const KIND: Kind = Kind::$kind;
            fn si(self) -> f64 {
                self.0
            }
            fn from_si(si: f64) -> Self {
                Self(si)
            }
        }
    )*};
}

own_measures! {
    /// Volt-amperes. A type of its own because a watt is not a volt-ampere.
    ApparentPower, ApparentPower;
    /// Relative change per kelvin, 1/K; a data sheet's `-0.27 %/K` is `-0.0027`.
    PerKelvin, PerKelvin;
    /// Ohm per metre of one conductor.
    ResistancePerLength, ResistancePerLength;
    /// Volume, m³.
    Volume, Volume;
    /// Volume of water in a time, m³/s.
    Flow, Flow;
    /// Heat lost per kelvin between inside and outside, W/K.
    HeatLoss, HeatLoss;
    /// Energy per distance, J/m.
    EnergyPerLength, EnergyPerLength;
    /// Money for energy, currency units per joule.
    PricePerEnergy, MoneyPerEnergy;
    /// Money for volume, currency units per m³.
    PricePerVolume, MoneyPerVolume;
    /// A plain number without dimension.
    Number, Number;
}

/// A whole number of things.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Count(pub u32);

impl Measure for Count {
    const KIND: Kind = Kind::Count;
    fn si(self) -> f64 {
        f64::from(self.0)
    }
    /// Rounded towards zero; negative and non-finite values become 0.
    fn from_si(si: f64) -> Self {
        // The cast saturates, which is what a count wants.
        Self(si as u32)
    }
}

/// `a − b`, which the units library leaves undefined for absolute temperatures.
pub fn interval(a: Temperature, b: Temperature) -> Interval {
    Interval::from_si(a.si() - b.si())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_difference_of_temperatures_is_an_interval() {
        let warm = Temperature::from_si(300.0);
        let cold = Temperature::from_si(280.0);
        assert_eq!(interval(warm, cold).si(), 20.0);
    }

    #[test]
    fn a_count_never_turns_negative() {
        assert_eq!(Count::from_si(-3.0), Count(0));
        assert_eq!(Count::from_si(8.9), Count(8));
    }
}
