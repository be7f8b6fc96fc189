//! Loads that can wait for the sun: when they run on each day of a year.
//!
//! The rule is that of a person or a switch at the panel that sees only the present hour. As soon as the sun gives more than
//! the loads that cannot wait, what waits runs on the rest, in the order of the list; what the sun has not covered runs in the
//! last hours that are left of its window. The energy of every day stays what it was.

use crate::bounds::Bounds;
use crate::{Given, HOURS, House, Inputs, Problem, YearInput};

/// A load that can wait, all of its kind together.
#[derive(Clone, Copy, Debug)]
pub struct Waiting<'a> {
    /// 8760 hourly means as they are listed, without what it takes while it does not run, W. Hours outside the window stay.
    pub hours_w: &'a [f64],
    /// What it takes while it runs, W. A day that holds more than the window can at this power runs at more.
    pub running_w: f64,
    /// Hours of the day between which it may run.
    pub window: [bool; 24],
    /// Its shares on the first and the second leg.
    pub legs: [f64; 2],
}

/// The year of a load that waited.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Waited {
    /// 8760 hourly means, W.
    pub hours_w: Vec<f64>,
    /// Run in its window on what the sun left over, Wh.
    pub on_sun_wh: f64,
    /// Run at the end of its window without it, Wh.
    pub without_sun_wh: f64,
    /// Days on which some of it ran without.
    pub days_without: u32,
}

/// Less than this in a day, Wh, is rounding.
const SHORT_ABOVE_WH: f64 = 1e-6;

/// When loads run that wait for what `year` leaves of the sun, its loads being those that cannot wait. Earlier entries of the
/// list go first. Power for them is bounded by what the inverters and their legs have left, until the window forces the rest.
///
/// # Errors
/// [`Problem`] of the inputs, of the slices of the year, or of hours that are not 8760 numbers from 0.
pub fn wait_for_sun(
    inputs: &Inputs,
    year: &YearInput<'_>,
    waiting: &[Waiting<'_>],
) -> Result<Vec<Waited>, Problem> {
    let house = House::of(inputs)?;
    year.check(inputs)?;
    for load in waiting {
        crate::year_input::hours("loads that wait", load.hours_w, 0.0)?;
        if !(load.running_w >= 0.0 && load.running_w < f64::INFINITY) {
            let found = load.running_w;
            return Err(Problem::Range { what: "power of loads that wait", found, low: 0.0, high: f64::MAX });
        }
    }
    let mut waited: Vec<Waited> =
        waiting.iter().map(|load| Waited { hours_w: load.hours_w.to_vec(), ..Waited::default() }).collect();
    let mut left = vec![Left::default(); waiting.len()];
    for day in 0..HOURS / 24 {
        let hours = day * 24..day * 24 + 24;
        for (left, load) in left.iter_mut().zip(waiting) {
            *left = Left::of(load, &load.hours_w[hours.clone()]);
        }
        for (clock, hour) in hours.enumerate() {
            let mut spare = Spare::of(&house, &Given::at(year, hour));
            for ((left, load), waited) in left.iter_mut().zip(waiting).zip(&mut waited) {
                let run_w = if load.window[clock] { left.run(load, &mut spare, waited) } else { continue };
                waited.hours_w[hour] = run_w;
            }
        }
        for (left, waited) in left.iter().zip(&mut waited) {
            waited.days_without += u32::from(left.without_wh > SHORT_ABOVE_WH);
        }
    }
    Ok(waited)
}

/// What is still to do of a load on a day.
#[derive(Clone, Copy, Debug, Default)]
struct Left {
    /// To run in the hours of the window that are left, Wh.
    energy_wh: f64,
    /// How many these are.
    hours: f64,
    /// Highest power, W.
    most_w: f64,
    /// Run without sun so far, Wh.
    without_wh: f64,
}

impl Left {
    fn of(load: &Waiting<'_>, day: &[f64]) -> Left {
        let inside = || day.iter().zip(load.window).filter(|(_, inside)| *inside);
        let energy_wh: f64 = inside().map(|(watts, _)| watts).sum();
        let hours = inside().count() as f64;
        let most_w = if hours > 0.0 { load.running_w.at_least(energy_wh / hours) } else { 0.0 };
        Left { energy_wh, hours, most_w, without_wh: 0.0 }
    }

    /// Power in an hour of the window, W.
    fn run(&mut self, load: &Waiting<'_>, spare: &mut Spare, waited: &mut Waited) -> f64 {
        self.hours -= 1.0;
        // The last hour takes whatever is left, so that nothing is lost to rounding.
        let forced = if self.hours > 0.0 {
            (self.energy_wh - self.most_w * self.hours).at_least(0.0)
        } else {
            self.energy_wh
        };
        let on_sun = spare.for_load(load.legs).at_most(self.most_w).at_most(self.energy_wh);
        let run = on_sun.at_least(forced);
        self.energy_wh = (self.energy_wh - run).at_least(0.0);
        spare.take(run, load.legs);
        waited.on_sun_wh += on_sun;
        waited.without_sun_wh += run - on_sun;
        self.without_wh += run - on_sun;
        run
    }
}

/// What an hour has left for loads that wait, W.
struct Spare {
    /// Of the sun, at the outlets.
    sun: f64,
    /// Of each leg; infinite where legs have no limits of their own.
    legs: [f64; 2],
}

impl Spare {
    fn of(house: &House, given: &Given) -> Spare {
        let loads: f64 = given.load_w.iter().sum();
        let sun = (house.sun_alone_w(given) - loads).at_least(0.0);
        let first: f64 = given.first_leg_w.iter().sum();
        let legs = house.inputs.fleet.leg_limit_w.map_or([f64::INFINITY; 2], |limits| {
            [limits[0] - first, limits[1] - (loads - first)].map(|left| left.at_least(0.0))
        });
        Spare { sun, legs }
    }

    fn for_load(&self, shares: [f64; 2]) -> f64 {
        let mut left = self.sun;
        for (leg, share) in self.legs.into_iter().zip(shares) {
            if share > 0.0 {
                left = left.at_most(leg / share);
            }
        }
        left
    }

    fn take(&mut self, run: f64, shares: [f64; 2]) {
        self.sun = (self.sun - run).at_least(0.0);
        for (leg, share) in self.legs.iter_mut().zip(shares) {
            *leg = (*leg - run * share).at_least(0.0);
        }
    }
}
