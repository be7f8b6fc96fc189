//! What is known of the things that use electricity.

use quantity::{ApparentPower, Count, Current, Energy, Fact, Number, Power, Ratio, Voltage};
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
}

/// One entry of the load list.
#[derive(Clone, Debug, PartialEq)]
pub struct Load {
    /// The owner's name for it.
    pub name: Arc<str>,
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
    /// May be moved into sunny hours.
    pub shift_into_sun: bool,
    /// Panel that feeds it.
    pub panel: Arc<str>,
}

/// Twelve monthly bills.
#[derive(Clone, Debug, PartialEq)]
pub struct Bills {
    /// Energy of each month in kWh, January first.
    pub energy: Fact<[f64; 12]>,
}
