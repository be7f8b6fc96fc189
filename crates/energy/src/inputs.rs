//! What the hourly balance is told: plain numbers with their unit in the name. Everything here is small and `Copy`;
//! the hours of a year are borrowed slices.

use conversion::LossCurve;
use std::fmt;
use storage::{Kinetic, ThermalNode};

/// Hours of a year: all years share one calendar of 365 days.
pub const HOURS: usize = loads::HOURS;

/// The system whose year is walked.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Inputs {
    /// Running inverters and what turns module power into battery power.
    pub fleet: Fleet,
    /// The bank.
    pub bank: Bank,
    /// The room the equipment warms, where its air is computed; `None` where the air around the bank is given.
    pub room: Option<Room>,
    /// What stands behind the bank.
    pub system: System,
    /// Share of the bank held back for bad weather or a failing utility, 0 to 1. Interactive: never discharged below
    /// it while the utility is there. Others: the backup is called no later than here.
    pub held_back: f64,
    /// State of charge below which the house lives on without its wanted and its luxury loads while on its own, 0 for
    /// never.
    pub shed_below: Shed,
    /// What the dispatch may do while each rate of the tariff holds ([`crate::YearInput::rate`]).
    pub rates: [Rate; RATES],
}

/// States of charge at which loads are given up in good time; compared at the start of an hour.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Shed {
    /// Wanted loads go below this.
    pub want: f64,
    /// Luxury loads go below this.
    pub luxury: f64,
    /// How far above its threshold the state of charge must rise before a tier comes back.
    pub comes_back_above: f64,
}

/// Most rates a tariff may have.
pub const RATES: usize = 6;

/// What the dispatch may do while a rate of the tariff holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Rate {
    /// The utility may charge the bank.
    pub charges: bool,
    /// The bank may serve loads that the utility could serve (interactive); a house on its own always may.
    pub discharges: bool,
}

impl Default for Rate {
    fn default() -> Rate {
        Rate { charges: true, discharges: true }
    }
}

/// The room the equipment stands in, one node between outside air and the heat of inverters and bank.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Room {
    /// Its heat capacity and what it loses to the outside.
    pub node: ThermalNode,
    /// Air held between these by heating and cooling of its own, °C.
    pub held_c: Option<[f64; 2]>,
}

/// Output given up in heat.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Derate {
    /// Full output up to this air temperature, °C.
    pub above_c: f64,
    /// Share of the output lost per kelvin above it.
    pub per_kelvin: f64,
}

/// All running units taken together.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fleet {
    /// Battery to AC of all running units together ([`LossCurve::side_by_side`]); its idle draw is drawn once in every
    /// hour, whatever else happens, and nowhere else.
    pub discharge: LossCurve,
    /// Modules to AC in one step, where units convert so; its idle draw is 0, because the one of `discharge` is drawn
    /// already. `None` where module power passes the battery's bus.
    pub direct: Option<LossCurve>,
    /// Highest AC output of all units, W, at their volt-ampere limit if that is lower.
    pub output_limit_w: f64,
    /// Highest AC output on each leg, W; `None` for one leg, or where the legs are not told apart.
    pub leg_limit_w: Option<[f64; 2]>,
    /// Output given up in a hot room.
    pub derate: Option<Derate>,
    /// Module input to the battery's bus; its idle draw is 0, for the same reason.
    pub pv: LossCurve,
    /// AC input to the battery's bus; its idle draw is 0, for the same reason.
    pub charge: LossCurve,
    /// Highest power the units may send into the bank from modules and AC together, W at the bus. Module power above it
    /// still feeds loads.
    pub charge_limit_w: f64,
    /// Highest power charge controllers put on the bus, W; what they bring in [`crate::ControllerYear`] stays below it
    /// already. 0 for none.
    pub controller_limit_w: f64,
    /// Inverters that feed modules into the AC side, if any.
    pub coupled: Option<Coupled>,
}

/// Inverters without a battery that feed modules into the supply which the others make, or into the utility's. They follow:
/// alone they give nothing, and what loads, bank and utility do not take they do not make.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Coupled {
    /// Modules to AC of all of them together; the idle draw comes from the modules while any power is taken.
    pub curve: LossCurve,
    /// Highest AC output of all of them, W.
    pub output_limit_w: f64,
    /// What the units at the battery take from AC for the bank, W at the bus.
    pub charge_w: f64,
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
    /// Cells from this temperature take their full charging power, less between; `None` for a step.
    pub full_charge_from_c: Option<f64>,
    /// Cells with a temperature of their own; `None` for cells as warm as the air around them.
    pub thermal: Option<Thermal>,
    /// How stored energy is at hand.
    pub chemistry: Chemistry,
}

/// Cells in their cabinet, with a heater where there is one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Thermal {
    /// Heat capacity of the cells, and what the cabinet loses to the air around it.
    pub node: ThermalNode,
    /// Power of the heater, W at the outlets; 0 for none. It is one of the must-loads of the house.
    pub heater_w: f64,
    /// Temperature it holds the cells at, °C.
    pub heater_holds_c: f64,
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
        /// Charging power from the utility while the rate allows it, W at the bus; 0 for none.
        charge_w: f64,
        /// State of charge up to which it charges.
        charge_to: f64,
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
    /// A rate the tariff does not have.
    NoSuchRate {
        /// Hour of the year, from 0.
        hour: usize,
        /// The rate asked for.
        rate: u8,
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
            Problem::NoSuchRate { hour, rate } => {
                write!(f, "rate {rate} in hour {hour} of the year; a tariff has rates 0 to {}", RATES - 1)
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
        self.fleet.check()?;
        self.bank.check()?;
        if let Some(room) = self.room {
            node("room", room.node)?;
            if let Some([low, high]) = room.held_c {
                within("coldest air of the room, °C", low, -100.0, 100.0)?;
                within("hottest air of the room, °C", high, -100.0, 100.0)?;
                if low > high {
                    return Err(Problem::UpsideDown { what: "air of the room", low, high });
                }
            }
        }
        within("share held back", self.held_back, 0.0, 1.0)?;
        within("state of charge that sheds wanted loads", self.shed_below.want, 0.0, 1.0)?;
        within("state of charge that sheds luxury loads", self.shed_below.luxury, 0.0, 1.0)?;
        within("rise at which loads come back", self.shed_below.comes_back_above, 0.0, 1.0)?;
        let watts = |what, found| within(what, found, 0.0, f64::MAX);
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
            System::Interactive { export_limit_w, charge_w, charge_to } => {
                watts("charging power from the utility, W", charge_w)?;
                within("charging from the utility up to", charge_to, 0.0, 1.0)?;
                within("export limit, W", export_limit_w, 0.0, f64::INFINITY)
            }
        }
    }

    /// Whether any result depends on the temperature of the air.
    pub(crate) fn asks_for_air(&self) -> bool {
        self.bank.charge_above_c.is_some()
            || self.bank.thermal.is_some()
            || self.room.is_some()
            || self.fleet.derate.is_some()
    }

    /// The same house with another bank.
    pub fn with_bank(mut self, bank: Bank) -> Inputs {
        self.bank = bank;
        self
    }

    /// The same house without utility and generator, with everything held back given free.
    pub fn on_its_own(&self) -> Inputs {
        Inputs { system: System::StandAlone { generator: None }, held_back: 0.0, ..*self }
    }
}

impl Fleet {
    fn check(&self) -> Result<(), Problem> {
        let watts = |what, found| within(what, found, 0.0, f64::MAX);
        watts("idle draw, W", self.discharge.idle_w)?;
        let losses = |curve: LossCurve| {
            watts("loss per watt of output", curve.linear)?;
            watts("loss per watt squared of output", curve.square_per_w)?;
            watts("loss that sets in with output, per watt", curve.onset)?;
            watts("output at which that loss is whole, W", curve.onset_to_w)
        };
        losses(self.discharge)?;
        for path in [self.pv, self.charge].into_iter().chain(self.direct) {
            // The idle draw of a unit is drawn once.
            within("idle draw of a path beside that from the battery to AC, W", path.idle_w, 0.0, 0.0)?;
            losses(path)?;
        }
        watts("inverter output limit, W", self.output_limit_w)?;
        for limit in self.leg_limit_w.into_iter().flatten() {
            watts("output limit of a leg, W", limit)?;
        }
        if let Some(derate) = self.derate {
            within("full output up to, °C", derate.above_c, -100.0, 150.0)?;
            within("output lost per kelvin", derate.per_kelvin, 0.0, 1.0)?;
        }
        watts("charge limit of the inverters, W", self.charge_limit_w)?;
        watts("limit of the charge controllers, W", self.controller_limit_w)?;
        let Some(coupled) = self.coupled else { return Ok(()) };
        watts("own draw of the array inverters, W", coupled.curve.idle_w)?;
        losses(coupled.curve)?;
        watts("output limit of the array inverters, W", coupled.output_limit_w)?;
        watts("charge limit from the AC side, W", coupled.charge_w)
    }
}

fn node(what: &'static str, node: ThermalNode) -> Result<(), Problem> {
    for found in [node.capacity_wh_per_k, node.conductance_w_per_k] {
        // Not 0: a body without either has no temperature of its own.
        within(what, found, 1e-9, 1e12)?;
    }
    Ok(())
}

impl Bank {
    pub(crate) fn check(&self) -> Result<(), Problem> {
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
        if let Some(full) = self.full_charge_from_c {
            within("full charging from, °C", full, -273.15, 100.0)?;
        }
        if let Some(thermal) = self.thermal {
            node("cells of the bank", thermal.node)?;
            watts("heater of the bank, W", thermal.heater_w)?;
            within("temperature held by the heater, °C", thermal.heater_holds_c, -100.0, 100.0)?;
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
