//! Units: symbol, factor to SI, and the spellings people use.

use crate::Kind;

/// One unit of one kind. `si = (value + offset) · factor`.
#[derive(Debug, PartialEq)]
pub struct Unit {
    /// Symbol as printed, such as `kWh`.
    pub symbol: &'static str,
    /// What it measures.
    pub kind: Kind,
    /// SI value of one unit.
    pub factor: f64,
    /// Added before the factor; only temperatures have one.
    pub offset: f64,
    /// Other accepted spellings, already without spaces.
    pub spellings: &'static [&'static str],
}

impl Unit {
    /// SI value of `value` given in this unit.
    pub fn to_si(&self, value: f64) -> f64 {
        (value + self.offset) * self.factor
    }

    /// Value in this unit of an SI value.
    pub fn of_si(&self, si: f64) -> f64 {
        si / self.factor - self.offset
    }
}

/// All units by name, for formulas and printing.
pub mod units {
    use super::Unit;
    use crate::Kind;

    macro_rules! units {
        ($($name:ident = $symbol:literal $kind:ident $factor:expr, $offset:expr, [$($spelling:literal),*];)*) => {
            $(#[doc = concat!("`", $symbol, "`")]
            pub static $name: Unit = Unit {
                symbol: $symbol, kind: Kind::$kind, factor: $factor, offset: $offset, spellings: &[$($spelling),*],
            };)*
            /// Every unit that can be written in a design.
            pub static ALL: &[&Unit] = &[$(&$name),*];
        };
    }

    const FOOT: f64 = 0.3048;
    const INCH: f64 = 0.0254;
    const POUND: f64 = 0.453_592_37;
    const DEGREE: f64 = core::f64::consts::PI / 180.0;
    // Area of one circular mil: π/4 of a square thousandth of an inch.
    const CMIL: f64 = core::f64::consts::PI / 4.0 * (INCH / 1000.0) * (INCH / 1000.0);

    // The gallon of the United States: 231 cubic inches.
    const GALLON_M3: f64 = 231.0 * INCH * INCH * INCH;
    // International-table British thermal unit, joules.
    const BTU: f64 = 1_055.055_852_62;

    units! {
        VOLT = "V" Voltage 1.0, 0.0, ["volt", "volts", "Vdc", "Vac"];
        MILLIVOLT = "mV" Voltage 1e-3, 0.0, [];
        KILOVOLT = "kV" Voltage 1e3, 0.0, [];
        AMPERE = "A" Current 1.0, 0.0, ["amp", "amps", "ampere", "amperes"];
        MILLIAMPERE = "mA" Current 1e-3, 0.0, [];
        KILOAMPERE = "kA" Current 1e3, 0.0, [];
        WATT = "W" Power 1.0, 0.0, ["watt", "watts"];
        KILOWATT = "kW" Power 1e3, 0.0, ["kilowatt", "kilowatts"];
        VOLT_AMPERE = "VA" ApparentPower 1.0, 0.0, [];
        KILOVOLT_AMPERE = "kVA" ApparentPower 1e3, 0.0, [];
        WATT_HOUR = "Wh" Energy 3600.0, 0.0, [];
        KILOWATT_HOUR = "kWh" Energy 3.6e6, 0.0, ["kW·h", "kW*h"];
        MEGAWATT_HOUR = "MWh" Energy 3.6e9, 0.0, [];
        MEGAJOULE = "MJ" Energy 1e6, 0.0, [];
        JOULE = "J" Energy 1.0, 0.0, [];
        AMPERE_HOUR = "Ah" Charge 3600.0, 0.0, ["A·h"];
        FOOT_UNIT = "ft" Length FOOT, 0.0, ["foot", "feet", "'", "′"];
        INCH_UNIT = "in" Length INCH, 0.0, ["inch", "inches", "\"", "″"];
        METER = "m" Length 1.0, 0.0, ["meter", "meters", "metre", "metres"];
        CENTIMETER = "cm" Length 0.01, 0.0, [];
        MILLIMETER = "mm" Length 1e-3, 0.0, [];
        KILOMETER = "km" Length 1e3, 0.0, [];
        MILE = "mi" Length 1609.344, 0.0, ["mile", "miles"];
        SQUARE_METER = "m²" Area 1.0, 0.0, ["m2", "m^2", "sqm"];
        SQUARE_FOOT = "ft²" Area FOOT * FOOT, 0.0, ["ft2", "ft^2", "sqft"];
        SQUARE_INCH = "in²" Area INCH * INCH, 0.0, ["in2", "in^2", "sqin"];
        SQUARE_MILLIMETER = "mm²" Area 1e-6, 0.0, ["mm2", "mm^2"];
        CIRCULAR_MIL = "cmil" Area CMIL, 0.0, [];
        KILOGRAM = "kg" Mass 1.0, 0.0, [];
        POUND_UNIT = "lb" Mass POUND, 0.0, ["lbs", "pound", "pounds"];
        OHM = "Ω" Resistance 1.0, 0.0, ["ohm", "ohms"];
        MILLIOHM = "mΩ" Resistance 1e-3, 0.0, ["mohm", "milliohm"];
        OHM_PER_KILOFOOT = "Ω/kft" ResistancePerLength 1.0 / (1000.0 * FOOT), 0.0, ["ohm/kft"];
        OHM_PER_KILOMETER = "Ω/km" ResistancePerLength 1e-3, 0.0, ["ohm/km"];
        CELSIUS = "°C" Temperature 1.0, 273.15, ["C", "degC", "℃"];
        FAHRENHEIT = "°F" Temperature 5.0 / 9.0, 459.67, ["F", "degF", "℉"];
        KELVIN = "K" Interval 1.0, 0.0, ["°C", "C", "degC"];
        FAHRENHEIT_DEGREE = "°F" Interval 5.0 / 9.0, 0.0, ["F", "degF"];
        SECOND = "s" Time 1.0, 0.0, ["sec", "second", "seconds"];
        MINUTE = "min" Time 60.0, 0.0, ["minute", "minutes"];
        HOUR = "h" Time 3600.0, 0.0, ["hour", "hours", "hr"];
        DAY = "d" Time 86400.0, 0.0, ["day", "days"];
        YEAR = "yr" Time 31_536_000.0, 0.0, ["year", "years", "a"];
        DEGREE_UNIT = "°" Angle DEGREE, 0.0, ["deg", "degree", "degrees"];
        TRUE_DEGREE = "°" TrueBearing DEGREE, 0.0, ["deg", "degree", "degrees"];
        COMPASS_DEGREE = "°" CompassBearing DEGREE, 0.0, ["deg", "degree", "degrees"];
        PERCENT = "%" Ratio 0.01, 0.0, ["percent"];
        RATIO = "" Ratio 1.0, 0.0, [];
        PERCENT_PER_KELVIN = "%/K" PerKelvin 0.01, 0.0, ["%/°C", "%/C", "%/degC"];
        PER_KELVIN = "1/K" PerKelvin 1.0, 0.0, ["/K", "/°C"];
        VOLT_PER_KELVIN = "V/K" VoltsPerKelvin 1.0, 0.0, ["V/°C", "V/C"];
        MILLIVOLT_PER_KELVIN = "mV/K" VoltsPerKelvin 1e-3, 0.0, ["mV/°C", "mV/C"];
        AMPERE_PER_KELVIN = "A/K" AmperesPerKelvin 1.0, 0.0, ["A/°C", "A/C"];
        MILLIAMPERE_PER_KELVIN = "mA/K" AmperesPerKelvin 1e-3, 0.0, ["mA/°C", "mA/C"];
        WATT_PER_SQUARE_METER = "W/m²" Irradiance 1.0, 0.0, ["W/m2"];
        KILOWATT_HOUR_PER_SQUARE_METER = "kWh/m²" Irradiation 3.6e6, 0.0, ["kWh/m2"];
        METER_PER_SECOND = "m/s" Speed 1.0, 0.0, [];
        MILE_PER_HOUR = "mph" Speed 0.447_04, 0.0, [];
        NEWTON_METER = "N·m" Torque 1.0, 0.0, ["Nm", "N*m"];
        POUND_INCH = "lb·in" Torque 0.112_984_829, 0.0, ["lb-in", "lbin", "in-lb", "inlb"];
        POUND_FOOT = "lb·ft" Torque 1.355_817_948, 0.0, ["lb-ft", "lbft", "ft-lb"];
        COUNT = "" Count 1.0, 0.0, [];
        NUMBER = "" Number 1.0, 0.0, [];
        COIN = "" Money 1.0, 0.0, [];
        COIN_PER_METER = "/m" MoneyPerLength 1.0, 0.0, [];
        COIN_PER_FOOT = "/ft" MoneyPerLength 1.0 / FOOT, 0.0, [];
        LITER = "L" Volume 1e-3, 0.0, ["l", "liter", "liters", "litre", "litres"];
        GALLON = "gal" Volume GALLON_M3, 0.0, ["gallon", "gallons"];
        CUBIC_INCH = "in³" Volume INCH * INCH * INCH, 0.0, ["in3", "in^3", "cu in"];
        CUBIC_METER = "m³" Volume 1.0, 0.0, ["m3", "m^3"];
        LITER_PER_MINUTE = "L/min" Flow 1e-3 / 60.0, 0.0, ["l/min"];
        GALLON_PER_MINUTE = "gal/min" Flow GALLON_M3 / 60.0, 0.0, ["gpm"];
        CUBIC_METER_PER_HOUR = "m³/h" Flow 1.0 / 3600.0, 0.0, ["m3/h"];
        WATT_PER_KELVIN = "W/K" HeatLoss 1.0, 0.0, ["W/°C"];
        BTU_PER_HOUR_FAHRENHEIT = "Btu/h·°F" HeatLoss BTU / 3600.0 * 1.8, 0.0, ["BTU/h·°F", "Btu/h°F", "BTU/h°F", "Btu/h·F", "Btu/(h·°F)"];
        WATT_HOUR_PER_KILOMETER = "Wh/km" EnergyPerLength 3.6, 0.0, [];
        KILOWATT_HOUR_PER_KILOMETER = "kWh/km" EnergyPerLength 3600.0, 0.0, [];
        WATT_HOUR_PER_MILE = "Wh/mi" EnergyPerLength 3600.0 / 1609.344, 0.0, ["Wh/mile"];
        KILOWATT_HOUR_PER_MILE = "kWh/mi" EnergyPerLength 3.6e6 / 1609.344, 0.0, ["kWh/mile"];
        COIN_PER_KILOWATT_HOUR = "/kWh" MoneyPerEnergy 1.0 / 3.6e6, 0.0, [];
        COIN_PER_LITER = "/L" MoneyPerVolume 1e3, 0.0, ["/l"];
        COIN_PER_GALLON = "/gal" MoneyPerVolume 1.0 / GALLON_M3, 0.0, [];
    }
}

/// Units in which a quantity of this kind may be written, first spelling each.
pub(crate) fn of_kind(kind: Kind) -> impl Iterator<Item = &'static Unit> {
    units::ALL.iter().copied().filter(move |unit| unit.kind == kind && !unit.symbol.is_empty())
}
