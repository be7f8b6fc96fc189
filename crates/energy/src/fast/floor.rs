//! What no bank, no dispatch and no source behind the bank can do better than: the hardship of a year from its energy alone,
//! without walking it.
//!
//! Whatever a house does, what its loads are not served and what comes from utility or generator is together at least what a
//! store of the same usable size could not carry from sun to load, were it limited by nothing but its size: a kilowatt-hour from
//! outside serves at most a kilowatt-hour of load, and thresholds, limits of power, cold, tapers, electronics and loads given up
//! only add to it. The sums of several hours are one step of that store, which leaves it more freedom than it has. So the figure
//! is a bound of the whole model and rests on no monotony of it.

use super::{Outside, SizeCurve};
use crate::hour::DARK_ABOVE_WH;
use crate::{HOURS, House, Inputs, Promise, System, YearInput};

/// Hours in one step: long enough to be quick, short enough to tell evening from noon.
const STEP_H: usize = 6;
/// A bound is lowered by this share and so many watt-hours, far above the rounding of a year of sums.
const ROUNDING: (f64, f64) = (1e-9, 1e-3);

/// A year of houses that differ in their banks alone.
#[derive(Clone, Debug)]
pub struct Floor {
    all: SizeCurve,
    must: SizeCurve,
    /// Highest hourly mean of all loads and of the must-loads, W.
    highest_w: [f64; 2],
    pattern: Inputs,
}

/// What a year of a house brings at least.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Least {
    /// Load not served and energy from utility or generator together, Wh.
    pub missing_and_backup_wh: f64,
    /// The same of the must-loads alone.
    pub must_and_backup_wh: f64,
    /// What utility and generator can give in an hour of running, Wh; 0 where none stands behind the bank.
    pub backup_gives_w: f64,
    /// The most of the must-loads that can be missing in an hour, Wh.
    pub must_asks_w: f64,
    /// Litres for each kilowatt-hour from the generator.
    fuel_per_kwh: f64,
}

impl Floor {
    /// The year of these houses.
    ///
    /// # Errors
    /// [`Outside::Other`] where they differ in more than their banks, or are none; [`Outside::Problem`] of the year's slices.
    pub fn of(houses: &[Inputs], year: &YearInput) -> Result<Floor, Outside> {
        let pattern = houses.first().copied().ok_or(Outside::Other)?;
        if houses.iter().any(|house| house.with_bank(pattern.bank) != pattern) {
            return Err(Outside::Other);
        }
        year.check(&pattern).map_err(Outside::Problem)?;
        let best = |of: fn(&Inputs) -> f64| houses.iter().map(of).fold(0.0, f64::max);
        let fleet = &pattern.fleet;
        // Where everything passes the bus, what passes it is lessened in any case; elsewhere nothing is.
        let over_bus = fleet.direct.is_none() && fleet.coupled.is_none();
        let (sun_share, to_ac, stored, given) = if over_bus {
            let stored = best(|house| house.bank.charge_efficiency);
            let given = best(|house| house.bank.discharge_efficiency);
            (1.0 / (1.0 + fleet.pv.linear), 1.0 + fleet.discharge.linear, stored, given)
        } else {
            (1.0, 1.0, 1.0, 1.0)
        };
        let controllers = if over_bus { year.by_controller.bus_w } else { year.by_controller.dc_w };
        let sun = |hour: usize| {
            let beside = |slice: &[f64]| slice.get(hour).copied().unwrap_or(0.0);
            year.pv_dc_w[hour] * sun_share + beside(controllers) + beside(year.coupled.dc_w)
        };
        let curve = |load: &dyn Fn(usize) -> f64| {
            let nets = (0..HOURS / STEP_H).map(|step| {
                let hours = step * STEP_H..(step + 1) * STEP_H;
                let net: f64 = hours.map(|hour| sun(hour) - load(hour) * to_ac).sum();
                if net > 0.0 { net * stored } else { net / given }
            });
            SizeCurve::over(nets, given / to_ac)
        };
        let all = |hour: usize| year.load_w[0][hour] + year.load_w[1][hour] + year.load_w[2][hour];
        let must = |hour: usize| year.load_w[0][hour];
        let highest = |load: &dyn Fn(usize) -> f64| (0..HOURS).map(load).fold(0.0, f64::max);
        Ok(Floor {
            all: curve(&all),
            must: curve(&must),
            highest_w: [highest(&all), highest(&must)],
            pattern,
        })
    }

    /// What one of these houses suffers at least.
    ///
    /// # Errors
    /// [`Outside::Other`] for a house that was not among them; [`Outside::Problem`] of its inputs.
    pub fn under(&self, inputs: &Inputs) -> Result<Least, Outside> {
        if inputs.with_bank(self.pattern.bank) != self.pattern {
            return Err(Outside::Other);
        }
        let house = House::of(inputs).map_err(Outside::Problem)?;
        let bank = &inputs.bank;
        let usable_wh = bank.capacity_wh * (bank.usable_high - bank.usable_low);
        let rounded = |wh: f64| (wh * (1.0 - ROUNDING.0) - ROUNDING.1).max(0.0);
        let heater_w = bank.thermal.map_or(0.0, |thermal| thermal.heater_w);
        let idle_w = inputs.fleet.discharge.idle_w;
        let backup_gives_w = match (&house.backup, inputs.system) {
            // It is there in every hour and counts the hours of its loads alone.
            (_, System::Interactive { .. }) => f64::INFINITY,
            (None, _) => 0.0,
            // What array inverters bring shares a charger with it.
            (Some(_), _) if inputs.fleet.coupled.is_some() => f64::INFINITY,
            (Some(backup), _) => {
                let loads = self.highest_w[0] + heater_w + idle_w;
                backup.limit_w.min(loads + house.charger.above_idle(backup.charge_w)) * (1.0 + ROUNDING.0)
            }
        };
        Ok(Least {
            missing_and_backup_wh: rounded(self.all.unserved_wh(usable_wh)),
            must_and_backup_wh: rounded(self.must.unserved_wh(usable_wh)),
            backup_gives_w,
            must_asks_w: self.highest_w[1] + heater_w,
            fuel_per_kwh: house.backup.map_or(0.0, |backup| backup.fuel_per_kwh),
        })
    }
}

impl Least {
    /// Whether the year breaks a promise whatever its hours bring.
    pub fn breaks(&self, promise: &Promise) -> bool {
        let backup_wh = self.backup_at_most(promise);
        let missing_wh = promise.missing_wh.unwrap_or(f64::INFINITY);
        let dark = promise.dark_h.unwrap_or(f64::INFINITY);
        let must_wh = missing_wh.min(dark * self.must_asks_w + HOURS as f64 * DARK_ABOVE_WH);
        self.missing_and_backup_wh > backup_wh + missing_wh || self.must_and_backup_wh > backup_wh + must_wh
    }

    /// The most energy that may come from outside by a promise, Wh; infinite where it says nothing of it.
    fn backup_at_most(&self, promise: &Promise) -> f64 {
        if self.backup_gives_w == 0.0 {
            return 0.0;
        }
        let hours = promise.backup_h.map_or(f64::INFINITY, |hours| hours * self.backup_gives_w);
        let fuel = match promise.fuel_l {
            Some(litres) if self.fuel_per_kwh > 0.0 => litres / self.fuel_per_kwh * 1000.0,
            _ => f64::INFINITY,
        };
        // No hours of an endless source are no energy, not an unknown one.
        let hours = if hours.is_nan() { 0.0 } else { hours };
        promise.backup_wh.unwrap_or(f64::INFINITY).min(hours).min(fuel)
    }

    /// Load not served at least, Wh: nothing is known of it where a source stands behind the bank.
    pub fn missing_wh(&self) -> f64 {
        if self.backup_gives_w == 0.0 { self.missing_and_backup_wh } else { 0.0 }
    }

    /// Dark hours at least; 0 where a source stands behind the bank.
    pub fn dark_h(&self) -> f64 {
        if self.backup_gives_w > 0.0 || self.must_asks_w <= 0.0 {
            return 0.0;
        }
        ((self.must_and_backup_wh - HOURS as f64 * DARK_ABOVE_WH) / self.must_asks_w).max(0.0)
    }

    /// Whether no source stands behind the bank, so that the hours of its use are none.
    pub fn alone(&self) -> bool {
        self.backup_gives_w == 0.0
    }
}
