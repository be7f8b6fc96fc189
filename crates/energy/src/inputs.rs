//! What the hourly balance is told: plain numbers with their unit in the name. Everything here is small and `Copy`;
//! the hours of a year are borrowed slices.

use conversion::LossCurve;
use std::fmt;
use storage::Kinetic;

/// Hours of a year: all years share one calendar of 365 days.
pub const HOURS: usize = loads::HOURS;

/// The system whose year is walked.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Inputs {
    /// Running inverters and what turns module power into battery power.
    pub fleet: Fleet,
    /// The bank.
    pub bank: Bank,
    /// What stands behind the bank.
    pub system: System,
    /// Share of the bank held back for bad weather or a failing utility, 0 to 1. Interactive: never discharged below
    /// it while the utility is there. Others: the backup is called no later than here.
    pub held_back: f64,
    /// State of charge below which the house lives on without its wanted and its luxury loads while on its own, 0 for
    /// never.
    pub shed_below: Shed,
}

/// States of charge at which loads are given up in good time; compared at the start of an hour.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Shed {
    /// Wanted loads go below this.
    pub want: f64,
    /// Luxury loads go below this.
    pub luxury: f64,
}

/// All running units taken together.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fleet {
    /// Battery to AC of all running units together ([`LossCurve::side_by_side`]); its idle draw is drawn once in every
    /// hour, whatever else happens, and nowhere else.
    pub discharge: LossCurve,
    /// Highest AC output of all units, W, at their volt-ampere limit and room temperature if that is lower.
    pub output_limit_w: f64,
    /// Efficiency from module input to the battery's bus.
    pub pv_efficiency: f64,
    /// Efficiency from AC input to the battery's bus.
    pub charge_efficiency: f64,
    /// Highest power all sources together may send into the bank, W at the bus. Module power above it still feeds
    /// loads.
    pub charge_limit_w: f64,
}

/// The bank as seen from the bus.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bank {
    /// Energy of the full bank, Wh; for a kinetic bank that of both wells ([`Kinetic::full_from_rated`]). 0 for none.
    pub capacity_wh: f64,
    /// Lowest state of charge in daily use.
    pub usable_low: f64,
    /// Highest state of charge in daily use.
    pub usable_high: f64,
    /// Charge limit, W at its terminals.
    pub charge_w: f64,
    /// Discharge limit, W at its terminals.
    pub discharge_w: f64,
    /// Stored over sent in.
    pub charge_efficiency: f64,
    /// Given over taken from store.
    pub discharge_efficiency: f64,
    /// State of charge from which the charge limit tapers; at or above `usable_high` for no taper.
    pub taper_from: f64,
    /// Share of the charge limit left at `usable_high`.
    pub taper_share: f64,
    /// Draw of its own electronics, W, from the cells, also below `usable_low`.
    pub standby_w: f64,
    /// Share of what is stored lost in an hour ([`storage::hourly_self_discharge`]).
    pub self_discharge_per_h: f64,
    /// Loss in its links as a factor of power squared, 1/W ([`storage::link_loss_per_w`]).
    pub link_loss_per_w: f64,
    /// Cells at or below this temperature are not charged at all; `None` where any temperature will do.
    pub charge_above_c: Option<f64>,
    /// How stored energy is at hand.
    pub chemistry: Chemistry,
}

/// How stored energy is at hand.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Chemistry {
    /// All of it (lithium).
    Linear,
    /// Two wells (lead-acid).
    Kinetic(Kinetic),
}

/// What stands behind the bank.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum System {
    /// No utility.
    StandAlone {
        /// Its generator, if any.
        generator: Option<Generator>,
    },
    /// The house is moved to the utility by a device that connects it to one source, never to two. The inverters stay
    /// on and keep drawing their idle from sun and bank.
    BackupByTransfer(Transfer),
    /// The utility is joined to an input of the inverters, which pass it on, charge from it and draw their idle from it.
    BackupThroughInput(Transfer),
    /// Always joined to the utility: own use first, then the bank, then export.
    Interactive {
        /// Highest export, W; 0 for none.
        export_limit_w: f64,
    },
}

/// When the utility is called, and whether it charges.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Transfer {
    /// Hours from the call until the house is on the utility, and again back: a person's way to the switch, or next to
    /// nothing for a device. The house lives on what is left, then stays dark.
    pub acts_within_h: f64,
    /// State of charge at which it is called.
    pub start_below: f64,
    /// State of charge at which the house goes back to its own.
    pub stop_above: f64,
    /// Highest charging power from the utility, W at the bus; 0 for none. It charges up to `stop_above` only, to
    /// leave room for the sun.
    pub charge_w: f64,
    /// What the connection carries, W; infinite where no limit is known to bind.
    pub limit_w: f64,
}

/// A generator joined to an input of the inverters: it carries the loads, and charges with the rest.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Generator {
    /// Continuous output at its altitude, W ([`conversion::output_at_altitude`]).
    pub output_w: f64,
    /// Highest charging power from it, W at the bus.
    pub charge_w: f64,
    /// State of charge at which it is called.
    pub start_below: f64,
    /// State of charge at which it stops.
    pub stop_above: f64,
    /// Shortest run once started, hours.
    pub shortest_run_h: f64,
    /// Hours from the call until it carries the house: about 0 when it starts by itself.
    pub acts_within_h: f64,
    /// Fuel in litres per kilowatt-hour it gives.
    pub fuel_per_kwh: f64,
}

/// The hours of one weather year.
#[derive(Clone, Copy, Debug)]
pub struct YearInput<'a> {
    /// 8760 hourly means, W: what the modules offer at the inverters' inputs after strings, windows, clipping and
    /// cables.
    pub pv_dc_w: &'a [f64],
    /// 8760 hourly means, W: loss in the array cables if everything offered is taken; empty for none. What is
    /// really lost goes with the square of what is taken.
    pub pv_cable_loss_w: &'a [f64],
    /// 8760 hourly means each, W at the inverters' outputs: must, want, luxury.
    pub load_w: [&'a [f64]; 3],
    /// 8760 hourly means, °C: cells of the bank; empty only when `charge_above_c` is `None`.
    pub cell_c: &'a [f64],
}

/// Why no year can be walked. Each names the place and the numbers; nothing is mended silently.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Problem {
    /// A slice of another length than 8760.
    Length {
        /// Which.
        what: &'static str,
        /// Its length.
        found: usize,
    },
    /// An hourly value that is negative (temperatures may be) or no finite number.
    Hour {
        /// Which slice.
        what: &'static str,
        /// Hour of the year, from 0.
        hour: usize,
        /// The value.
        found: f64,
    },
    /// A number outside its range or no number.
    Range {
        /// Which.
        what: &'static str,
        /// The value.
        found: f64,
        /// Lowest allowed.
        low: f64,
        /// Highest allowed.
        high: f64,
    },
    /// A window whose lower end is not below its upper end.
    UpsideDown {
        /// Which.
        what: &'static str,
        /// Its lower end.
        low: f64,
        /// Its upper end.
        high: f64,
    },
    /// An hour of the year above 8759.
    NoSuchHour {
        /// The hour asked for.
        hour: usize,
    },
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Problem::Length { what, found } => write!(f, "{what}: {found} hours instead of {HOURS}"),
            Problem::Hour { what, hour, found } => write!(f, "{what}: {found} in hour {hour} of the year"),
            Problem::Range { what, found, low, high } => {
                write!(f, "{what}: {found} is not between {low} and {high}")
            }
            Problem::UpsideDown { what, low, high } => {
                write!(f, "{what}: the lower end {low} is not below the upper end {high}")
            }
            Problem::NoSuchHour { hour } => write!(f, "hour {hour} of a year of {HOURS} hours"),
        }
    }
}

impl std::error::Error for Problem {}

impl Inputs {
    /// Holds every number to its range.
    ///
    /// # Errors
    /// The first [`Problem`] found, in the order of the fields.
    pub fn check(&self) -> Result<(), Problem> {
        let Fleet { discharge, output_limit_w, pv_efficiency, charge_efficiency, charge_limit_w } =
            self.fleet;
        let watts = |what, found| within(what, found, 0.0, f64::MAX);
        watts("idle draw, W", discharge.idle_w)?;
        watts("loss per watt of output", discharge.linear)?;
        watts("loss per watt squared of output", discharge.square_per_w)?;
        watts("inverter output limit, W", output_limit_w)?;
        efficiency("efficiency from modules to battery", pv_efficiency)?;
        efficiency("efficiency from AC to battery", charge_efficiency)?;
        watts("charge limit of the inverters, W", charge_limit_w)?;
        self.bank.check()?;
        within("share held back", self.held_back, 0.0, 1.0)?;
        within("state of charge that sheds wanted loads", self.shed_below.want, 0.0, 1.0)?;
        within("state of charge that sheds luxury loads", self.shed_below.luxury, 0.0, 1.0)?;
        match self.system {
            System::StandAlone { generator: None } => Ok(()),
            System::StandAlone { generator: Some(generator) } => {
                watts("generator output, W", generator.output_w)?;
                watts("charging power from the generator, W", generator.charge_w)?;
                thresholds("generator start and stop", generator.start_below, generator.stop_above)?;
                within("shortest run, h", generator.shortest_run_h, 0.0, HOURS as f64)?;
                within("time until the generator is started, h", generator.acts_within_h, 0.0, HOURS as f64)?;
                within("fuel, litres per kWh", generator.fuel_per_kwh, 0.0, f64::MAX)
            }
            System::BackupByTransfer(transfer) | System::BackupThroughInput(transfer) => {
                within("time until someone acts, h", transfer.acts_within_h, 0.0, HOURS as f64)?;
                thresholds("call and return of the utility", transfer.start_below, transfer.stop_above)?;
                watts("charging power from the utility, W", transfer.charge_w)?;
                within("limit of the connection, W", transfer.limit_w, 0.0, f64::INFINITY)
            }
            System::Interactive { export_limit_w } => {
                within("export limit, W", export_limit_w, 0.0, f64::INFINITY)
            }
        }
    }

    /// The same house without utility and generator, with everything held back given free.
    pub fn on_its_own(&self) -> Inputs {
        Inputs { system: System::StandAlone { generator: None }, held_back: 0.0, ..*self }
    }
}

impl Bank {
    fn check(&self) -> Result<(), Problem> {
        let watts = |what, found| within(what, found, 0.0, f64::MAX);
        watts("bank capacity, Wh", self.capacity_wh)?;
        within("lowest state of charge", self.usable_low, 0.0, 1.0)?;
        within("highest state of charge", self.usable_high, 0.0, 1.0)?;
        if self.usable_low >= self.usable_high {
            return Err(Problem::UpsideDown {
                what: "window of the bank",
                low: self.usable_low,
                high: self.usable_high,
            });
        }
        watts("charge limit of the bank, W", self.charge_w)?;
        watts("discharge limit of the bank, W", self.discharge_w)?;
        efficiency("charge efficiency of the bank", self.charge_efficiency)?;
        efficiency("discharge efficiency of the bank", self.discharge_efficiency)?;
        within("start of the taper", self.taper_from, 0.0, f64::MAX)?;
        within("share of the charge limit when full", self.taper_share, 0.0, 1.0)?;
        watts("standby of the bank, W", self.standby_w)?;
        within("self-discharge per hour", self.self_discharge_per_h, 0.0, 0.999)?;
        within("link loss, 1/W", self.link_loss_per_w, 0.0, 1.0)?;
        if let Some(above) = self.charge_above_c {
            within("coldest charging temperature, °C", above, -273.15, 100.0)?;
        }
        match self.chemistry {
            Chemistry::Linear => Ok(()),
            Chemistry::Kinetic(Kinetic { share_at_hand, rate_per_h }) => {
                within("share of charge at hand", share_at_hand, 0.001, 0.999)?;
                within("rate between the wells, 1/h", rate_per_h, 1e-6, 1e3)
            }
        }
    }
}

impl YearInput<'_> {
    /// Holds every hour to its range.
    ///
    /// # Errors
    /// The first [`Problem`] found.
    pub fn check(&self, inputs: &Inputs) -> Result<(), Problem> {
        hours("module power", self.pv_dc_w, 0.0)?;
        if !self.pv_cable_loss_w.is_empty() {
            hours("loss in array cables", self.pv_cable_loss_w, 0.0)?;
        }
        for (what, load) in ["must loads", "wanted loads", "luxury loads"].into_iter().zip(self.load_w) {
            hours(what, load, 0.0)?;
        }
        if self.cell_c.is_empty() && inputs.bank.charge_above_c.is_none() {
            return Ok(());
        }
        hours("cell temperature", self.cell_c, -273.15)
    }
}

fn within(what: &'static str, found: f64, low: f64, high: f64) -> Result<(), Problem> {
    // Written so that NaN is outside.
    if found >= low && found <= high { Ok(()) } else { Err(Problem::Range { what, found, low, high }) }
}

fn efficiency(what: &'static str, found: f64) -> Result<(), Problem> {
    if found > 0.0 {
        within(what, found, 0.0, 1.0)
    } else {
        Err(Problem::Range { what, found, low: 0.0, high: 1.0 })
    }
}

fn thresholds(what: &'static str, low: f64, high: f64) -> Result<(), Problem> {
    within(what, low, 0.0, 1.0)?;
    within(what, high, 0.0, 1.0)?;
    if low < high { Ok(()) } else { Err(Problem::UpsideDown { what, low, high }) }
}

fn hours(what: &'static str, slice: &[f64], low: f64) -> Result<(), Problem> {
    if slice.len() != HOURS {
        return Err(Problem::Length { what, found: slice.len() });
    }
    match slice.iter().position(|&value| !(value >= low && value < f64::INFINITY)) {
        Some(hour) => Err(Problem::Hour { what, hour, found: slice[hour] }),
        None => Ok(()),
    }
}
