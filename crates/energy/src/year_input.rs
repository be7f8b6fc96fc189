//! The hours of a year as the balance is told them: borrowed slices, each checked once.

use crate::{HOURS, Inputs, Problem, RATES};

/// The hours of one weather year.
#[derive(Clone, Copy, Debug)]
pub struct YearInput<'a> {
    /// 8760 hourly means, W: what the modules offer at the inverters' inputs after strings, windows, clipping and
    /// cables.
    pub pv_dc_w: &'a [f64],
    /// 8760 hourly means, W: loss in the array cables if everything offered is taken; empty for none. What is
    /// really lost goes with the square of what is taken.
    pub pv_cable_loss_w: &'a [f64],
    /// Modules behind charge controllers.
    pub by_controller: ControllerYear<'a>,
    /// Modules behind array inverters on the AC side ([`crate::Coupled`]).
    pub coupled: CoupledYear<'a>,
    /// 8760 hourly means each, W at the inverters' outputs: must, want, luxury.
    pub load_w: [&'a [f64]; 3],
    /// The part of each of them on the first of two legs; `None` where the legs are not told apart.
    pub first_leg_w: Option<[&'a [f64]; 3]>,
    /// 8760 hourly means, °C: air around the bank; outside the room where the room is computed. Empty only where nothing
    /// depends on it.
    pub air_c: &'a [f64],
    /// 8760 positions in [`Inputs::rates`]; empty for the first of them throughout.
    pub rate: &'a [u8],
}

/// Modules behind charge controllers, which bring them to the battery's bus at an efficiency of their own: 8760 hourly means each,
/// W; empty for none.
#[derive(Clone, Copy, Debug, Default)]
pub struct ControllerYear<'a> {
    /// Offered at the controllers' inputs, no more than they can pass on.
    pub dc_w: &'a [f64],
    /// The same as it arrives at the bus.
    pub bus_w: &'a [f64],
    /// Lost in the cables to them if all of it is taken; empty for none.
    pub cable_loss_w: &'a [f64],
}

/// Modules behind array inverters on the AC side: 8760 hourly means each, W; empty for none.
#[derive(Clone, Copy, Debug, Default)]
pub struct CoupledYear<'a> {
    /// Offered at their inputs.
    pub dc_w: &'a [f64],
    /// Lost in the cables to them if all of it is taken; empty for none.
    pub cable_loss_w: &'a [f64],
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
        for (what, slice) in [
            ("module power at charge controllers", self.by_controller.dc_w),
            ("power of charge controllers", self.by_controller.bus_w),
            ("loss in cables to charge controllers", self.by_controller.cable_loss_w),
            ("module power at array inverters", self.coupled.dc_w),
            ("loss in cables to array inverters", self.coupled.cable_loss_w),
        ] {
            if !slice.is_empty() {
                hours(what, slice, 0.0)?;
            }
        }
        // A controller never gives more than it is offered, and both are told or neither.
        let (offered, arrives) = (self.by_controller.dc_w, self.by_controller.bus_w);
        if offered.len() != arrives.len() {
            return Err(Problem::Length { what: "power of charge controllers", found: arrives.len() });
        }
        if let Some(hour) = offered.iter().zip(arrives).position(|(dc, bus)| bus > dc) {
            let what = "power of charge controllers above what is offered to them";
            return Err(Problem::Hour { what, hour, found: arrives[hour] });
        }
        for (what, load) in ["must loads", "wanted loads", "luxury loads"].into_iter().zip(self.load_w) {
            hours(what, load, 0.0)?;
        }
        for (what, load) in ["must loads on a leg", "wanted loads on a leg", "luxury loads on a leg"]
            .into_iter()
            .zip(self.first_leg_w.into_iter().flatten())
        {
            hours(what, load, 0.0)?;
        }
        if !self.rate.is_empty() {
            if self.rate.len() != HOURS {
                return Err(Problem::Length { what: "rates", found: self.rate.len() });
            }
            if let Some(hour) = self.rate.iter().position(|&rate| usize::from(rate) >= RATES) {
                return Err(Problem::NoSuchRate { hour, rate: self.rate[hour] });
            }
        }
        if self.air_c.is_empty() && !inputs.asks_for_air() {
            return Ok(());
        }
        hours("air temperature", self.air_c, -273.15)
    }
}

pub(crate) fn hours(what: &'static str, slice: &[f64], low: f64) -> Result<(), Problem> {
    if slice.len() != HOURS {
        return Err(Problem::Length { what, found: slice.len() });
    }
    if outside_of(slice, low) == 0 {
        return Ok(());
    }
    match slice.iter().position(|&value| outside(value, low)) {
        Some(hour) => Err(Problem::Hour { what, hour, found: slice[hour] }),
        None => Ok(()),
    }
}

fn outside(value: f64, low: f64) -> bool {
    !((value >= low) & (value < f64::INFINITY))
}

/// How many lie outside: counted without stopping, in numbers as wide as the hours, which a processor does several at a time. On its
/// own so that its bound is not known beforehand: for a bound of 0 compilers look into the bits of each number instead, ten times
/// as long.
#[inline(never)]
fn outside_of(slice: &[f64], low: f64) -> u64 {
    slice.iter().map(|&value| u64::from(outside(value, low))).sum()
}
