//! The energy answer: every weather year walked hour by hour.

mod answer;
mod arrived;
mod broken;
mod drill;
mod input;
mod life;
mod place;
mod waiting;
mod worst_month;

use crate::demand::{DemandStudy, DemandYears, WantedYear};
use crate::fit::BankStudy;
use crate::house::HouseStudy;
use crate::light::PlaneStudy;
use crate::memo::{Key, Memo};
use crate::sky::{SYNTHESIS, SkyStudy};
use crate::uses::{Unanswered, Uses};
use answer::answer;
pub use answer::{promise_held, promise_of};
use arrived::offered;
pub(crate) use arrived::{Group, StringsAtUnit, hold};
pub use arrived::{OfferedYear, WayYear};
pub use broken::BrokenUnit;
use broken::broken_units;
pub(crate) use broken::inverters;
use design::Design;
pub use drill::Rehearsal;
use drill::drill;
use energy::{ControllerYear, CoupledYear, Start, YearInput, YearResult};
pub use input::{InputHours, InputSums};
pub use life::LifeStudy;
use quantity::{Clause, Energy, Ratio, Standing, Term, Time, Traced};
use rayon::prelude::*;
use std::sync::Arc;
pub use waiting::{WaitedLoad, WaitedStudy};
use wiring::Schedule;
pub use worst_month::WorstMonth;

/// What arrives at one input in a year: all that the balance asks of it.
#[derive(Clone, Debug)]
pub struct Arrived {
    /// 8760 hourly means at the input, W.
    pub power_w: Vec<f64>,
    /// 8760 hourly means of the loss in the cables when everything offered is taken, W.
    pub cable_w: Vec<f64>,
    /// What was lost before that.
    pub sums: InputSums,
}

/// What arrives at one input in every year.
pub type InputYears = Result<Vec<Arrived>, String>;
/// The balance of every year.
pub type Balances = Result<Vec<YearResult>, String>;

/// The lean days of a stretch, and values over several years as a person would say them.
pub use energy::{LeanDays, Spread};

/// One month of the middling year.
#[derive(Clone, Debug)]
pub struct MonthStudy {
    /// Wanted.
    pub load: Traced<Energy>,
    /// Offered by the modules.
    pub pv: Traced<Energy>,
    /// Served straight from the sun.
    pub from_sun: Traced<Energy>,
    /// Served through the battery.
    pub from_battery: Traced<Energy>,
    /// From utility or generator, to loads and battery.
    pub backup: Traced<Energy>,
    /// Not served.
    pub missing: Traced<Energy>,
    /// Offered and taken by nothing.
    pub unused: Traced<Energy>,
    /// Fed to the utility.
    pub exported: Traced<Energy>,
    /// Lowest state of charge.
    pub lowest: Traced<Ratio>,
}

/// The worst days in a row.
#[derive(Clone, Debug)]
pub struct Stretch {
    /// First day of the year, from 0.
    pub first_day: usize,
    /// How many.
    pub days: usize,
    /// Hours on backup in it.
    pub backup_h: f64,
    /// Dark hours in it.
    pub dark_h: f64,
    /// Mean state of charge.
    pub mean_charge: f64,
    /// From the first to the last of its days on which the battery is empty, backup helps or load is missing; `None` where
    /// none is.
    pub lean: Option<energy::LeanDays>,
}

/// What sky, household and room bring in every hour of every weather year.
#[derive(Clone, Debug)]
pub struct Brought {
    /// Of each year.
    pub years: Vec<BroughtYear>,
    /// Key of the layer of demand.
    pub(crate) wanted_key: u64,
}

/// One year of it, in 8760 hourly means each.
#[derive(Clone, Debug)]
pub struct BroughtYear {
    /// Offered by the modules, W, by the way it takes.
    pub offered: OfferedYear,
    /// Air around the bank, or outside its room where that is computed, °C.
    pub air_c: Vec<f64>,
    /// What the household wants, what waits being moved into the sun of the year.
    pub wanted: Arc<WantedYear>,
    /// The same as listed: without modules nothing waits for the sun.
    pub listed: Arc<WantedYear>,
    /// Loads that wait for the sun.
    pub waited: Vec<WaitedLoad>,
}

impl BroughtYear {
    /// The year as the balance is told it.
    pub fn input<'a>(&'a self, house: &'a HouseStudy) -> YearInput<'a> {
        let first_leg = || self.wanted.profile.watts.each_ref().map(|legs| legs[0].as_slice());
        YearInput {
            pv_dc_w: &self.offered.units.power_w,
            pv_cable_loss_w: &self.offered.units.cable_w,
            by_controller: ControllerYear {
                dc_w: &self.offered.controllers.power_w,
                bus_w: &self.offered.controllers_bus_w,
                cable_loss_w: &self.offered.controllers.cable_w,
            },
            coupled: CoupledYear {
                dc_w: &self.offered.coupled.power_w,
                cable_loss_w: &self.offered.coupled.cable_w,
            },
            load_w: self.wanted.load_w(),
            first_leg_w: house.inputs.fleet.leg_limit_w.map(|_| first_leg()),
            air_c: &self.air_c,
            rate: &house.rate_of_hour,
        }
    }
}

/// The rehearsal in every weather year.
#[derive(Clone, Debug)]
pub struct DrillStudy {
    /// First day: month from 1, day of the month.
    pub from: (i8, i8),
    /// For how many days.
    pub days: u32,
    /// Dark hours in the middling year, and the spread.
    pub dark: Traced<Time>,
    /// Worst of all years.
    pub worst_dark: Traced<Time>,
    /// In how many years no must-load went dark.
    pub carried: usize,
    /// State of charge at its first hour: least, middling and most of all years.
    pub start_charge: [f64; 3],
    /// The same begun with nothing but the share held back: dark hours in the middling year.
    pub held_dark: Traced<Time>,
    /// Worst of all years.
    pub held_worst_dark: Traced<Time>,
    /// In how many years no must-load went dark.
    pub held_carried: usize,
    /// Years.
    pub of: usize,
    /// In how many of them a must-load may go dark by the promise.
    pub may_fail: usize,
}

/// The year.
#[derive(Clone, Debug)]
pub struct YearStudy {
    /// Every year's balance.
    pub results: Arc<Balances>,
    /// Position of the middling year.
    pub middling: usize,
    /// What stands behind the bank, in words.
    pub backup_name: &'static str,
    /// Wanted in the middling year.
    pub load: Traced<Energy>,
    /// Offered by the modules.
    pub pv: Traced<Energy>,
    /// Share of the load served by sun and battery.
    pub own_share: Traced<Ratio>,
    /// From utility or generator.
    pub backup: Traced<Energy>,
    /// Hours on utility or generator.
    pub backup_hours: Traced<Time>,
    /// Hours in which a must-load is missing.
    pub dark_hours: Traced<Time>,
    /// Not served.
    pub missing: Traced<Energy>,
    /// Not served of must, want and luxury.
    pub missing_by_tier: [Traced<Energy>; 3],
    /// Offered and taken by nothing.
    pub unused: Traced<Energy>,
    /// Fed to the utility.
    pub exported: Traced<Energy>,
    /// Taken by the heater of the battery.
    pub heater: Traced<Energy>,
    /// Unused because the battery was too cold to take it.
    pub unused_for_cold: Traced<Energy>,
    /// How often utility or generator took over.
    pub starts: Traced<quantity::Number>,
    /// Energy out of the cells.
    pub throughput: Traced<Energy>,
    /// Useful AC energy over what the modules would give at their rated efficiency (IEC 61724-1).
    pub performance_ratio: Option<Traced<Ratio>>,
    /// When the battery is down to its end of life.
    pub life: Option<LifeStudy>,
    /// Bought and sold at each rate, where there are several: its name, bought, sold.
    pub by_rate: Vec<(Arc<str>, Traced<Energy>, Traced<Energy>)>,
    /// Hours on backup that nine in ten of all years stay within; from 100 years.
    pub backup_in_nine_of_ten: Option<f64>,
    /// Coldest and warmest cells of the battery over all years, °C.
    pub cell_c: [f64; 2],
    /// Coldest and warmest air around it over all years, °C.
    pub room_c: [f64; 2],
    /// What happens at each module input.
    pub inputs: Vec<InputHours>,
    /// Loads that wait for the sun, in the middling year.
    pub waited: Vec<WaitedStudy>,
    /// Every year while one unit is out of order.
    pub broken: Vec<BrokenUnit>,
    /// What every hour brings.
    pub brought: Arc<Brought>,
    /// The strings of each input.
    pub(crate) strings: Arc<[StringsAtUnit]>,
    /// The house as the balance sees it.
    pub house: Arc<HouseStudy>,
    /// Taken by the idle draw of all inverters.
    pub idle: Traced<Energy>,
    /// Litres of fuel.
    pub fuel_l: Traced<quantity::Number>,
    /// Equivalent full cycles of the battery.
    pub full_cycles: Traced<quantity::Number>,
    /// Losses by cause.
    pub losses: Vec<(&'static str, Traced<Energy>)>,
    /// Months of the middling year.
    pub months: Vec<MonthStudy>,
    /// Spread of hours on backup over the years.
    pub backup_spread: Option<Spread>,
    /// Spread of dark hours over the years.
    pub dark_spread: Option<Spread>,
    /// Worst ten days of the middling year.
    pub worst: Option<Stretch>,
    /// Twelve mean days worked out by hand, where the utility does not carry the house from hour to hour.
    pub worst_month: Option<WorstMonth>,
    /// Promise of backup hours over the years.
    pub promise: Option<energy::NineInTen>,
    /// Rehearsal, where one was asked for.
    pub drill: Option<DrillStudy>,
    /// What all of it rests on.
    pub terms: Vec<Term>,
}

/// The hourly balance of this project.
const BALANCE: Clause = Clause {
    document: "hourly balance of this project",
    edition: "",
    clause: "sun to outlet over 8760 hours; every loss by its own formula",
    standing: Standing::Computed,
};

impl YearStudy {
    /// Whether the house has a battery.
    pub fn has_battery(&self) -> bool {
        self.house.inputs.bank.capacity_wh > 0.0
    }

    /// Whether the utility is always there beside sun and battery, instead of taking over from them.
    pub fn is_joined_to_utility(&self) -> bool {
        matches!(self.house.inputs.system, energy::System::Interactive { .. })
    }

    /// The middling year's balance.
    pub fn result(&self) -> Option<&YearResult> {
        self.results.as_ref().as_ref().ok()?.get(self.middling)
    }

    /// Every hour of a weather year as it was lived, from 0.
    ///
    /// # Errors
    /// What the balance refuses; words for the person who asked.
    pub fn trace(&self, year: usize) -> Result<Vec<energy::Hour>, String> {
        let Some(of_year) = self.brought.years.get(year) else {
            return Err(format!("there is no weather year {}; there are {}", year + 1, self.years()));
        };
        energy::trace(&self.house.inputs, &of_year.input(&self.house), Start::AfterDecember)
            .map_err(|e| e.to_string())
    }

    /// How long the battery lasts, whether or not it was asked for with the year; `None` where no law is published for its
    /// cells.
    pub fn battery_life(&self, design: &Design) -> Option<LifeStudy> {
        self.life.clone().or_else(|| {
            let hours = self.trace(self.middling).ok()?;
            life::life(design, &hours, self.house.inputs.bank.capacity_wh, &self.terms)
        })
    }

    /// How many weather years.
    pub fn years(&self) -> usize {
        self.results.as_ref().as_ref().map_or(0, Vec::len)
    }
}

/// What the year is studied from.
#[derive(Clone, Copy)]
pub(crate) struct Given<'a> {
    pub(crate) design: &'a Design,
    pub(crate) sky: &'a Result<Arc<SkyStudy>, Unanswered>,
    pub(crate) planes: &'a [Result<PlaneStudy, Unanswered>],
    pub(crate) house: &'a Result<Arc<HouseStudy>, Unanswered>,
    pub(crate) demand: &'a DemandStudy,
    pub(crate) banks: &'a [BankStudy],
    pub(crate) schedule: Option<&'a Schedule>,
    /// Also what is only told to a reader and no promise rests on: wear of the battery.
    pub(crate) told: bool,
    /// Also the years without a unit.
    pub(crate) without_units: bool,
}

/// Everything that the years of a house are walked with.
#[derive(Clone, Debug)]
pub struct Ready {
    /// The house as the balance sees it.
    pub house: Arc<HouseStudy>,
    /// What every hour brings.
    pub brought: Arc<Brought>,
    /// Of everything but the house's own inputs: equal where two houses live through the same hours.
    pub hours_key: u64,
    offered_key: u64,
    at_inputs: Vec<input::AtInput>,
    strings: Arc<[StringsAtUnit]>,
    terms: Vec<Term>,
}

impl Ready {
    /// First hour of the rehearsal and its days, where one is asked for, and in how many of so many years a must-load may go
    /// dark in it.
    pub fn drill(&self, design: &Design) -> Option<Rehearsal> {
        Rehearsal::of(design, self.brought.years.len())
    }
}

pub(crate) fn ready(given: &Given<'_>, memo: &mut Memo) -> Result<Ready, Unanswered> {
    let Given { design, demand, schedule, .. } = *given;
    let sky = given.sky.as_ref().map_err(Clone::clone)?;
    let house = given.house.as_ref().map_err(Clone::clone)?;
    let planes = known(given.planes)?;
    let mut uses = Uses::default();
    uses.extend(&house.terms);
    for plane in &planes {
        uses.extend(&plane.terms);
    }
    let offered = offered(design, &planes, given.banks, schedule, &mut uses, None, memo)?;
    let wanted = demand.years.as_ref().map_err(Clone::clone)?;
    let mut terms = uses.done()?;
    terms.shrink_to_fit();
    let strings = offered.strings.into();
    let brought = Arc::new(brought(design, sky, house, wanted, offered.years)?);
    Ok(Ready {
        hours_key: hours_key(house, offered.key, &brought),
        house: house.clone(),
        brought,
        offered_key: offered.key,
        at_inputs: offered.inputs,
        strings,
        terms,
    })
}

fn known(planes: &[Result<PlaneStudy, Unanswered>]) -> Result<Vec<&PlaneStudy>, Unanswered> {
    planes.iter().map(|plane| plane.as_ref().map_err(Clone::clone)).collect()
}

pub(crate) fn year(given: &Given<'_>, memo: &mut Memo) -> Result<Arc<YearStudy>, Unanswered> {
    let Ready { house, brought, offered_key, at_inputs, strings, terms, .. } = ready(given, memo)?;
    let planes = known(given.planes)?;
    let results = balances(&brought, &house, offered_key, memo);
    if let Err(problem) = results.as_ref() {
        return Err(Unanswered::refused(problem.clone(), None));
    }
    let drill = drill(given.design, &house, &brought, &terms)?;
    let broken = if given.without_units { broken_units(given, &planes, &terms, memo) } else { Vec::new() };
    let rated = rated_light(given.design, &planes);
    let worst_month = match results.as_ref() {
        Ok(results) => worst_month::worst_month(given.design, &house, &planes, results, &brought, &terms),
        Err(_) => None,
    };
    let found = answer::Found {
        results,
        brought,
        strings,
        drill,
        broken,
        rated,
        worst_month,
        at_inputs,
        worn: given.told,
    };
    answer(found, &house, given.design, terms).map(Arc::new)
}

/// What every year brings to a house; what waits is moved into the sun it offers.
fn brought(
    design: &Design,
    sky: &SkyStudy,
    house: &HouseStudy,
    wanted: &DemandYears,
    offered: Vec<OfferedYear>,
) -> Result<Brought, Unanswered> {
    let air = sky.weather.years.iter().map(|year| air_around(&year.air_c, house));
    let years = offered.into_iter().zip(air).zip(&wanted.years).map(|((offered, air_c), wanted)| {
        BroughtYear { offered, air_c, wanted: wanted.clone(), listed: wanted.clone(), waited: Vec::new() }
    });
    let years = waiting::moved(design, sky, house, wanted, years.collect())?;
    Ok(Brought { years, wanted_key: wanted.key })
}

/// The balance of every year.
fn balances(brought: &Brought, house: &HouseStudy, key: u64, memo: &mut Memo) -> Arc<Balances> {
    memo.balance.get(balance_key(house, key, brought), || {
        brought
            .years
            .par_iter()
            .map(|year| {
                energy::run(&house.inputs, &year.input(house), Start::AfterDecember)
                    .map_err(|e| e.to_string())
            })
            .collect()
    })
}

/// Energy of every year that all modules would give at their rated efficiency, J: rated power times light on the plane over
/// 1000 W/m²; empty where a rated power is unknown.
fn rated_light(design: &Design, planes: &[&PlaneStudy]) -> Vec<f64> {
    let system = &design.system;
    let count = planes.first().map_or(0, |plane| plane.years.light.len());
    let mut sums = vec![0.0; count];
    for string in &system.strings {
        let plane = planes.iter().find(|plane| plane.name == string.string.plane);
        let power = system.module(&string.string.module).and_then(|module| module.power.si());
        let (Some(plane), Some(power), Some(modules)) = (plane, power, string.string.count.value()) else {
            return Vec::new();
        };
        for (sum, light) in sums.iter_mut().zip(&plane.years.light) {
            let hours = light.plane_w_m2.iter().sum::<f64>() / 1000.0;
            *sum += power * f64::from(modules.0) * hours * 3600.0;
        }
    }
    sums
}

/// Air around the bank: outside where the room is computed, otherwise the daily mean of the outside air inside what the
/// room allows.
fn air_around(air_c: &[f64], house: &HouseStudy) -> Vec<f64> {
    if house.inputs.room.is_some() {
        return air_c.to_vec();
    }
    let mut around = Vec::with_capacity(air_c.len());
    for day in air_c.chunks(24) {
        let mean = day.iter().sum::<f64>() / day.len().max(1) as f64;
        let held = match house.room_c {
            Some([low, high]) if low <= high => mean.clamp(low, high),
            _ => mean,
        };
        around.extend(std::iter::repeat_n(held, day.len()));
    }
    around
}

fn balance_key(house: &HouseStudy, offered: u64, brought: &Brought) -> u64 {
    let hours = hours_key(house, offered, brought);
    Key::new("balance").count(hours).text(&format!("{:?}", house.inputs)).done()
}

/// Of what the hours bring, whatever stands in the house.
fn hours_key(house: &HouseStudy, offered: u64, brought: &Brought) -> u64 {
    let mut key = Key::new("hours").count(offered).count(brought.wanted_key).bytes(&house.rate_of_hour);
    key = key.count(u64::from(house.inputs.room.is_some()));
    // What waits for the sun runs on what the inverters bring of it.
    if brought.years.iter().any(|year| !year.waited.is_empty()) {
        key = key.text(&format!("{:?}", house.inputs.fleet));
    }
    if let Some(room) = house.room_c {
        key = key.numbers(&room);
    }
    key.done()
}

/// The chain that made the weather, for those who print it.
pub fn synthesis() -> Clause {
    SYNTHESIS
}
