//! What is known of the things that use electricity.

use crate::Points;
use quantity::{
    ApparentPower, Count, Current, Energy, EnergyPerLength, Fact, HeatLoss, Length, Money, Number, Power,
    Ratio, Temperature, Time, Traced, Voltage, Volume,
};
use std::sync::Arc;

/// How much a load matters.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Tier {
    /// Must never go dark.
    Must,
    /// Wanted; shed after luxury.
    Want,
    /// Shed first.
    Luxury,
}

/// Where a load hangs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Leg {
    /// Leg A to neutral.
    A,
    /// Leg B to neutral.
    B,
    /// Across both legs.
    Both,
    /// The only leg there is.
    Only,
}

/// How the use is known.
#[derive(Clone, Debug, PartialEq)]
pub enum Use {
    /// Power while running and hours a day: morning (6–10 h), midday (10–16 h), evening (16–22 h), night.
    Hours {
        /// Power while running, of one.
        power: Fact<Power>,
        /// Hours a day in each of the four parts of the day.
        hours: Fact<[f64; 4]>,
    },
    /// Energy a year from a label or meter, spread evenly over all hours.
    Label {
        /// Energy a year, of one.
        energy: Fact<Energy>,
    },
    /// It follows the weather of each year.
    Weather {
        /// Most power it draws, of one.
        power: Fact<Power>,
        /// What it is for.
        follows: Follows,
    },
}

impl Use {
    /// Power of one while it runs; `None` where only the energy of a year is known.
    pub fn running_power(&self) -> Option<&Fact<Power>> {
        match self {
            Use::Hours { power, .. } | Use::Weather { power, .. } => Some(power),
            Use::Label { .. } => None,
        }
    }
}

/// What is known of a use that follows the weather.
#[derive(Clone, Debug, PartialEq)]
pub enum Follows {
    /// Hot water from a tank.
    Water(Box<HotWater>),
    /// Rooms kept warm or cool.
    Rooms(Box<Rooms>),
    /// A vehicle charged at home.
    Vehicle(Box<Driven>),
}

/// What is known of a water heater.
#[derive(Clone, Debug, PartialEq)]
pub struct HotWater {
    /// Hot water a day, at the set point.
    pub a_day: Fact<Volume>,
    /// Set point.
    pub set_point: Fact<Temperature>,
    /// Temperature of the water that comes in, where stated.
    pub inlet: Option<Fact<Temperature>>,
    /// Tank.
    pub tank: Fact<Volume>,
    /// Heat the tank loses in a day when nothing is drawn.
    pub standby: Fact<Energy>,
    /// Room the tank stands in.
    pub room: Fact<Temperature>,
    /// Electric power of the element, or of the heat pump.
    pub power: Fact<Power>,
    /// Heat over electricity of a heat pump by the temperature of the air it takes heat from.
    pub cop: Option<Fact<Points>>,
    /// It takes its heat from outdoor air.
    pub outdoors: Fact<bool>,
    /// Element beside a heat pump.
    pub element: Fact<Power>,
    /// Below this temperature of the tank it heats at any hour.
    pub lowest: Fact<Temperature>,
}

/// What is known of rooms and of what heats and cools them.
#[derive(Clone, Debug, PartialEq)]
pub struct Rooms {
    /// Heat lost per kelvin.
    pub loss: Fact<HeatLoss>,
    /// Time in which unheated rooms come 63 % nearer to the outdoors.
    pub holds: Fact<Time>,
    /// Heat of people, lamps, appliances and sun.
    pub gains: Fact<Power>,
    /// Warmed to by day; `None` where nothing is heated.
    pub warmed_to: Option<Fact<Temperature>>,
    /// Warmed to by night, where that differs.
    pub night: Option<Fact<Temperature>>,
    /// Cooled to; `None` where nothing is cooled.
    pub cooled_to: Option<Fact<Temperature>>,
    /// Heat pump, heating.
    pub heating: Option<MachinePoints>,
    /// Resistance heat.
    pub strip: Fact<Power>,
    /// Heat pump, cooling.
    pub cooling: Option<MachinePoints>,
    /// Loss by starting and stopping.
    pub cycling: Fact<Ratio>,
}

/// A heat pump by outdoor temperature, from its data sheet.
#[derive(Clone, Debug, PartialEq)]
pub struct MachinePoints {
    /// Most heat it moves, W.
    pub capacity: Fact<Points>,
    /// Heat over electricity.
    pub cop: Fact<Points>,
}

/// What is known of a vehicle.
#[derive(Clone, Debug, PartialEq)]
pub struct Driven {
    /// Distance of a day of driving.
    pub distance: Fact<Length>,
    /// Energy from its battery per distance in mild weather.
    pub takes: Fact<EnergyPerLength>,
    /// Power at the outlet.
    pub power: Fact<Power>,
    /// From the outlet into its battery.
    pub efficiency: Fact<Ratio>,
    /// Hour of the day at which charging may begin, from midnight.
    pub from: Fact<Time>,
    /// Hour at which it must end.
    pub until: Fact<Time>,
    /// Share more that driving takes by the mean temperature of the day.
    pub cold: Option<Fact<Points>>,
}

/// One entry of the load list.
#[derive(Clone, Debug, PartialEq)]
pub struct Load {
    /// The owner's name for it.
    pub name: Arc<str>,
    /// Appliance of the published list whose typical figures stand in, where one is named.
    pub like: Option<Arc<str>>,
    /// How the use is known.
    pub usage: Use,
    /// How many.
    pub count: Fact<Count>,
    /// Supply voltage.
    pub volts: Fact<Voltage>,
    /// Running current, where stated.
    pub amps: Fact<Current>,
    /// Watts per volt-ampere.
    pub power_factor: Fact<Ratio>,
    /// Locked-rotor current of a motor, unknown unless stated; `None` when it is no motor.
    pub locked_rotor: Option<Fact<Current>>,
    /// Apparent power while starting, where stated instead.
    pub start: Option<Fact<ApparentPower>>,
    /// How much it matters.
    pub tier: Fact<Tier>,
    /// Where it hangs.
    pub leg: Fact<Leg>,
    /// Days a week it is used.
    pub days_per_week: Fact<Number>,
    /// Months in which it is used, January first.
    pub months: [bool; 12],
    /// Days of the week on which it is used, Monday first.
    pub weekdays: [bool; 7],
    /// Power while it does not run, where stated.
    pub standby: Option<Fact<Power>>,
    /// Share of full power in each hour of the day, where stated.
    pub profile: Option<Fact<[f64; 24]>>,
    /// Where it may be moved into hours of sun: between which hours of the day.
    pub sun_hours: Option<SunHours>,
    /// Panel that feeds it.
    pub panel: Arc<str>,
}

/// Between which hours of the day a load that can wait must have run.
#[derive(Clone, Debug, PartialEq)]
pub struct SunHours {
    /// Hour from which it may run, from midnight.
    pub earliest: Fact<Time>,
    /// Hour at which it must be done.
    pub latest: Fact<Time>,
}

/// Twelve monthly bills, a meter, and what becomes of energy that nobody listed.
#[derive(Clone, Debug, PartialEq)]
pub struct Bills {
    /// Energy of each month in kWh, January first.
    pub energy: Fact<[f64; 12]>,
    /// Interval readings, where a file of them is named.
    pub meter: Option<MeterFile>,
    /// What becomes of the difference between bills and list.
    pub unlisted: Fact<Unlisted>,
}

/// A file of interval readings.
#[derive(Clone, Debug, PartialEq)]
pub struct MeterFile {
    /// Its name as the design writes it.
    pub name: Traced<Arc<str>>,
    /// What its columns mean; `None` for a feed that says so itself.
    pub columns: Option<crate::meter::Columns>,
}

/// What becomes of the difference between bills and list, as the owner chooses.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Unlisted {
    /// The list stands as it is; the difference is shown.
    Left,
    /// Every hour of a month is scaled until the month meets its bill.
    Scaled,
    /// Where a bill is higher, the rest is added evenly over the month's hours as a load that is wanted.
    Added,
}

/// A change of the household that would take less.
#[derive(Clone, Debug, PartialEq)]
pub struct Saving {
    /// The owner's name for it.
    pub name: Arc<str>,
    /// Name of the load it is about.
    pub load: Arc<str>,
    /// What the load takes then.
    pub then: Then,
    /// What the change costs.
    pub price: Fact<Money>,
}

/// What a load takes after a saving.
#[derive(Clone, Debug, PartialEq)]
pub enum Then {
    /// Other power in the same hours, of one.
    Power(Fact<Power>),
    /// Another yearly label, of one.
    Label(Fact<Energy>),
    /// So much of what it takes now: 0 % where it goes.
    Share(Fact<Ratio>),
}
