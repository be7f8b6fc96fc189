//! The kinds of quantity the field knows. A kind decides which units are accepted and how a value is shown.

/// What a number measures. Watts and volt-amperes, a temperature and a temperature difference, a true and a
/// compass bearing are different kinds although they share units.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
#[allow(missing_docs)] // The names are the field's own words.
pub enum Kind {
    Voltage,
    Current,
    Power,
    ApparentPower,
    Energy,
    Charge,
    Length,
    Area,
    Mass,
    Resistance,
    ResistancePerLength,
    Temperature,
    Interval,
    Time,
    Angle,
    TrueBearing,
    CompassBearing,
    Ratio,
    PerKelvin,
    VoltsPerKelvin,
    AmperesPerKelvin,
    Irradiance,
    Irradiation,
    Speed,
    Torque,
    Count,
    Number,
    Money,
    MoneyPerLength,
    MoneyPerEnergy,
    Volume,
    Flow,
    HeatLoss,
    EnergyPerLength,
}

impl Kind {
    /// The kind in a sentence: "a length", "a temperature difference".
    pub fn in_words(self) -> &'static str {
        match self {
            Kind::Voltage => "a voltage",
            Kind::Current => "a current",
            Kind::Power => "a power in watts",
            Kind::ApparentPower => "an apparent power in volt-amperes",
            Kind::Energy => "an energy",
            Kind::Charge => "a charge in ampere-hours",
            Kind::Length => "a length",
            Kind::Area => "an area",
            Kind::Mass => "a weight",
            Kind::Resistance => "a resistance",
            Kind::ResistancePerLength => "a resistance per length",
            Kind::Temperature => "a temperature",
            Kind::Interval => "a temperature difference",
            Kind::Time => "a time",
            Kind::Angle => "an angle or a pitch",
            Kind::TrueBearing => "a true bearing",
            Kind::CompassBearing => "a compass bearing",
            Kind::Ratio => "a share in per cent",
            Kind::PerKelvin => "a relative change per kelvin",
            Kind::VoltsPerKelvin => "volts per kelvin",
            Kind::AmperesPerKelvin => "amperes per kelvin",
            Kind::Irradiance => "an irradiance",
            Kind::Irradiation => "sunshine energy on an area",
            Kind::Speed => "a speed",
            Kind::Torque => "a torque",
            Kind::Count => "a whole number",
            Kind::Number => "a number",
            Kind::Money => "an amount of money",
            Kind::MoneyPerLength => "a price per length",
            Kind::MoneyPerEnergy => "a price per energy",
            Kind::Volume => "a volume",
            Kind::Flow => "a flow of water",
            Kind::HeatLoss => "a heat loss per kelvin",
            Kind::EnergyPerLength => "an energy per distance",
        }
    }
}
