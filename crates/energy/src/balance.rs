//! A year of hours added up: the plain, readable reference that every faster form is held against.

use crate::bounds::Bounds;
use crate::{Flows, Given, HOURS, Hour, House, Inputs, Problem, RATES, State, YearInput};
use loads::MONTH_DAYS;

/// What a year brought.
#[derive(Clone, Debug, PartialEq)]
pub struct YearResult {
    /// Each month, January first.
    pub months: [Flows; 12],
    /// The twelve together, added from January.
    pub year: Flows,
    /// Each of 365 days.
    pub days: Vec<Day>,
    /// State of charge at the end of each of 8760 hours.
    pub state_of_charge: Vec<f32>,
    /// Mode of each of 8760 hours: 0 on its own, 1 on utility or generator for any part of it, 2 a must-load is
    /// missing.
    pub mode: Vec<u8>,
    /// How often utility or generator took over.
    pub starts: u32,
    /// Fuel burnt, litres.
    pub fuel_l: f64,
    /// Energy out of the cells over the capacity: equivalent full cycles. 0 without a bank.
    pub full_cycles: f64,
    /// Highest hourly mean of the load, W, and its hour of the year.
    pub peak_load_w: (f64, usize),
    /// Highest hourly mean of the inverters' output, W.
    pub peak_output_w: f64,
    /// Highest hourly mean asked of each of two legs, W; 0 where legs have no limits of their own.
    pub peak_leg_w: [f64; 2],
    /// Lowest state of charge at the end of an hour.
    pub lowest_state_of_charge: f64,
    /// Hours at or near limits.
    pub near_limits: NearLimits,
    /// What was bought and sold in each month, January first, while each rate of the tariff held.
    pub by_rate: [[RateFlows; 12]; RATES],
    /// Coldest and warmest cells of the bank at the end of an hour, °C.
    pub cell_c: [f64; 2],
    /// Coldest and warmest air around the bank at the end of an hour, °C.
    pub room_c: [f64; 2],
    /// Largest closing error of an hour, Wh.
    pub closing_error_wh: f64,
    /// Sum of the closing errors of all hours, Wh.
    pub closing_error_year_wh: f64,
    /// State in which the year begins.
    pub start: State,
    /// State in which it ends.
    pub end: State,
}

/// Energy over the utility's meter while one rate held.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct RateFlows {
    /// From utility or generator, Wh.
    pub bought_wh: f64,
    /// To the utility, Wh.
    pub sold_wh: f64,
}

/// One day in short.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Day {
    /// Wanted at the outlets, Wh.
    pub load_wh: f64,
    /// Offered by the modules, Wh.
    pub pv_offered_wh: f64,
    /// From utility or generator, Wh.
    pub backup_wh: f64,
    /// Load not served, Wh.
    pub missing_wh: f64,
    /// Offered and taken by nothing, Wh.
    pub unused_wh: f64,
    /// Mean state of charge at the ends of its hours.
    pub mean_state_of_charge: f64,
    /// Lowest of them.
    pub lowest_state_of_charge: f64,
    /// Hours on utility or generator.
    pub backup_h: f64,
    /// Hours in which a must-load is missing.
    pub dark_h: f64,
    /// Hours at the end of which nothing usable is left.
    pub empty_h: u8,
    /// The first of them that follows one with something left, counted from midnight.
    pub ran_empty_at: Option<u8>,
}

/// Hours of the year at or near a limit.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct NearLimits {
    /// Inverter output at or above 90 % of its limit.
    pub output: u32,
    /// Loads of a leg at or above 90 % of its limit.
    pub leg: u32,
    /// Output limit lowered by the heat of the room.
    pub hot_room: u32,
    /// Charging at or above 99 % of its limit.
    pub charge: u32,
    /// Discharging at or above 90 % of its limit.
    pub discharge: u32,
    /// Nothing usable left at the end of the hour.
    pub empty: u32,
    /// Full at the end of the hour.
    pub full: u32,
    /// A surplus could not be stored, or not all of it, because the cells were too cold.
    pub blocked_by_cold: u32,
}

/// How the year begins.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Start {
    /// With the state in which a run through this year's own December, begun with a full bank, ends. A bank forgets
    /// within days, so this is the state in which the year would follow itself.
    AfterDecember,
    /// With a given state, such as the end of the year before.
    At(State),
}

/// First hour of the warm-up: 1 December.
pub(crate) const DECEMBER: usize = 334 * 24;

/// Walks one year.
///
/// # Errors
/// [`Problem`] of the inputs or the year's slices.
pub fn run(inputs: &Inputs, year: &YearInput, start: Start) -> Result<YearResult, Problem> {
    let house = House::of(inputs)?;
    year.check(inputs)?;
    let mut state = first_state(&house, inputs, year, start);
    let mut result = YearResult::empty(state);
    let mut hour = Hour::default();
    let mut hour_of_year = 0;
    let mut was_empty = false;
    for (month, days) in MONTH_DAYS.into_iter().enumerate() {
        for _ in 0..days {
            let mut day = Day { lowest_state_of_charge: f64::INFINITY, ..Day::default() };
            for _ in 0..24 {
                house.live(&mut state, &Given::at(year, hour_of_year), &mut hour);
                result.months[month] += &hour.flows;
                day.add(&hour, hour_of_year, was_empty);
                was_empty = hour.empty;
                result.add(&hour, hour_of_year, inputs.fleet.output_limit_w);
                let rate = year.rate.get(hour_of_year).copied().unwrap_or(0);
                if let Some(sums) = result.by_rate.get_mut(usize::from(rate)).and_then(|of| of.get_mut(month))
                {
                    sums.bought_wh += hour.flows.backup_wh();
                    sums.sold_wh += hour.flows.export_wh;
                }
                hour_of_year += 1;
            }
            day.mean_state_of_charge /= 24.0;
            result.days.push(day);
        }
    }
    for month in &result.months {
        result.year += month;
    }
    if inputs.bank.capacity_wh > 0.0 {
        result.full_cycles = result.year.removed_wh / inputs.bank.capacity_wh;
    }
    result.end = state;
    Ok(result)
}

/// Every hour of a year as it was lived, for those who want to see them; the sums are those of [`run`].
///
/// # Errors
/// [`Problem`] of the inputs or the year's slices.
pub fn trace(inputs: &Inputs, year: &YearInput, start: Start) -> Result<Vec<Hour>, Problem> {
    let house = House::of(inputs)?;
    year.check(inputs)?;
    let mut state = first_state(&house, inputs, year, start);
    Ok((0..HOURS)
        .map(|hour_of_year| {
            let (hour, next) = house.hour(&state, &Given::at(year, hour_of_year));
            state = next;
            hour
        })
        .collect())
}

/// The state in which a checked year begins.
pub(crate) fn first_state(house: &House, inputs: &Inputs, year: &YearInput, start: Start) -> State {
    match start {
        Start::At(state) => state,
        Start::AfterDecember => {
            let mut state = house.at_rest_in(inputs.bank.usable_high, Given::at(year, DECEMBER).air_c);
            let mut lived = Hour::default();
            for hour in DECEMBER..HOURS {
                house.live(&mut state, &Given::at(year, hour), &mut lived);
            }
            state
        }
    }
}

impl YearResult {
    /// What was bought and sold over the year while a rate held; nothing for a rate that is not there.
    pub fn of_rate(&self, rate: usize) -> RateFlows {
        self.by_rate.get(rate).into_iter().flatten().fold(RateFlows::default(), |mut sum, month| {
            sum.bought_wh += month.bought_wh;
            sum.sold_wh += month.sold_wh;
            sum
        })
    }

    /// Everything that came in over the year, Wh: the measure against which the closing error is held.
    pub fn throughput_wh(&self) -> f64 {
        self.year.pv_offered_wh + self.year.backup_wh()
    }

    fn empty(start: State) -> YearResult {
        YearResult {
            months: [Flows::default(); 12],
            year: Flows::default(),
            days: Vec::with_capacity(365),
            state_of_charge: Vec::with_capacity(HOURS),
            mode: Vec::with_capacity(HOURS),
            starts: 0,
            fuel_l: 0.0,
            full_cycles: 0.0,
            peak_load_w: (0.0, 0),
            peak_output_w: 0.0,
            peak_leg_w: [0.0; 2],
            lowest_state_of_charge: f64::INFINITY,
            near_limits: NearLimits::default(),
            by_rate: [[RateFlows::default(); 12]; RATES],
            cell_c: [f64::INFINITY, f64::NEG_INFINITY],
            room_c: [f64::INFINITY, f64::NEG_INFINITY],
            closing_error_wh: 0.0,
            closing_error_year_wh: 0.0,
            start,
            end: start,
        }
    }

    fn add(&mut self, hour: &Hour, hour_of_year: usize, output_limit_w: f64) {
        // Storage of a map of the year: f32 keeps seven digits, enough for a picture and a sentence.
        self.state_of_charge.push(hour.state_of_charge as f32);
        self.mode.push(hour.mode);
        self.starts += u32::from(hour.started);
        self.fuel_l += hour.fuel_l;
        if hour.flows.load_wh > self.peak_load_w.0 {
            self.peak_load_w = (hour.flows.load_wh, hour_of_year);
        }
        self.peak_output_w = self.peak_output_w.at_least(hour.output_w);
        for (peak, now) in self.peak_leg_w.iter_mut().zip(hour.leg_w) {
            *peak = peak.at_least(now);
        }
        self.lowest_state_of_charge = self.lowest_state_of_charge.at_most(hour.state_of_charge);
        self.closing_error_wh = self.closing_error_wh.at_least(hour.closing_error_wh.abs());
        self.closing_error_year_wh += hour.closing_error_wh;
        for ([low, high], now) in [(&mut self.cell_c, hour.cell_c), (&mut self.room_c, hour.room_c)] {
            *low = low.at_most(now);
            *high = high.at_least(now);
        }
        let near = &mut self.near_limits;
        near.output += u32::from(hour.output_w >= 0.9 * hour.output_limit_w && hour.output_w > 0.0);
        near.leg += u32::from(hour.leg_share >= 0.9);
        near.hot_room += u32::from(hour.output_limit_w < output_limit_w);
        near.charge += u32::from(hour.charge_w >= 0.99 * hour.charge_limit_w && hour.charge_w > 0.0);
        near.discharge +=
            u32::from(hour.discharge_w >= 0.9 * hour.discharge_limit_w && hour.discharge_w > 0.0);
        near.empty += u32::from(hour.empty);
        near.full += u32::from(hour.full);
        near.blocked_by_cold += u32::from(hour.blocked_by_cold);
    }
}

impl Day {
    fn add(&mut self, hour: &Hour, hour_of_year: usize, was_empty: bool) {
        let flows = &hour.flows;
        self.load_wh += flows.load_wh;
        self.pv_offered_wh += flows.pv_offered_wh;
        self.backup_wh += flows.backup_wh();
        self.missing_wh += flows.missing_total_wh();
        self.unused_wh += flows.unused_wh;
        self.mean_state_of_charge += hour.state_of_charge;
        self.lowest_state_of_charge = self.lowest_state_of_charge.at_most(hour.state_of_charge);
        self.backup_h += flows.backup_h;
        self.dark_h += flows.dark_h;
        if hour.empty {
            self.empty_h += 1;
            if !was_empty && self.ran_empty_at.is_none() {
                self.ran_empty_at = Some((hour_of_year % 24) as u8);
            }
        }
    }
}
