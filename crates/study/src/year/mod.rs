//! The energy answer: every weather year walked hour by hour.

mod answer;
mod arrived;
mod drill;

use crate::demand::DemandStudy;
use crate::house::HouseStudy;
use crate::light::PlaneStudy;
use crate::memo::{Key, Memo};
use crate::sky::{SYNTHESIS, SkyStudy};
use crate::uses::{Unanswered, Uses};
use answer::answer;
use arrived::{Offered, offered};
use design::Design;
use drill::drill;
use energy::{Start, YearInput, YearResult};
use quantity::{Clause, Energy, Ratio, Standing, Term, Time, Traced};
use rayon::prelude::*;
use std::sync::Arc;
use wiring::Schedule;

/// What arrives at one input in a year: all that the balance asks of it.
#[derive(Clone, Debug)]
pub struct Arrived {
    /// 8760 hourly means at the input, W.
    pub power_w: Vec<f64>,
    /// 8760 hourly means of the loss in the cables when everything offered is taken, W.
    pub cable_w: Vec<f64>,
}

/// What arrives at one input in every year.
pub type InputYears = Result<Vec<Arrived>, String>;
/// The balance of every year.
pub type Balances = Result<Vec<YearResult>, String>;

/// Values over several years as a person would say them.
pub use energy::Spread;

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
    /// Years.
    pub of: usize,
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
    /// Offered and taken by nothing.
    pub unused: Traced<Energy>,
    /// Fed to the utility.
    pub exported: Traced<Energy>,
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
    /// The middling year's balance.
    pub fn result(&self) -> Option<&YearResult> {
        self.results.as_ref().as_ref().ok()?.get(self.middling)
    }

    /// How many weather years.
    pub fn years(&self) -> usize {
        self.results.as_ref().as_ref().map_or(0, Vec::len)
    }
}

pub(crate) fn year(
    design: &Design,
    sky: &Result<Arc<SkyStudy>, Unanswered>,
    planes: &[Result<PlaneStudy, Unanswered>],
    house: &Result<Arc<HouseStudy>, Unanswered>,
    demand: &DemandStudy,
    schedule: Option<&Schedule>,
    memo: &mut Memo,
) -> Result<Arc<YearStudy>, Unanswered> {
    let sky = sky.as_ref().map_err(Clone::clone)?;
    let house = house.as_ref().map_err(Clone::clone)?;
    let mut known_planes = Vec::new();
    for plane in planes {
        known_planes.push(plane.as_ref().map_err(Clone::clone)?);
    }
    let mut uses = Uses::default();
    uses.extend(&house.terms);
    for plane in &known_planes {
        uses.extend(&plane.terms);
    }
    let offered = offered(design, &known_planes, house, schedule, &mut uses, memo)?;
    let wanted = demand.years.as_ref().map_err(Clone::clone)?;
    let mut terms = uses.done()?;
    terms.shrink_to_fit();
    let cells: Vec<Vec<f64>> =
        sky.weather.years.iter().map(|year| around_the_bank(&year.air_c, house.room_c)).collect();
    let inputs: Vec<YearInput<'_>> = offered
        .years
        .iter()
        .zip(&cells)
        .zip(&wanted.years)
        .map(|(((pv, cable), cell_c), wanted)| YearInput {
            pv_dc_w: pv,
            pv_cable_loss_w: cable,
            load_w: wanted.load_w(),
            first_leg_w: None,
            air_c: cell_c,
            rate: &[],
        })
        .collect();
    let key = balance_key(house, &offered, wanted.key);
    let results = memo.balance.get(key, || {
        inputs
            .par_iter()
            .map(|input| energy::run(&house.inputs, input, Start::AfterDecember).map_err(|e| e.to_string()))
            .collect()
    });
    if let Err(problem) = results.as_ref() {
        return Err(Unanswered::refused(problem.clone(), None));
    }
    let drill = drill(design, house, &inputs, &terms)?;
    answer(results, house, design, terms, drill).map(Arc::new)
}

/// Cells of the bank follow the daily mean of the outside air inside what the room allows.
fn around_the_bank(air_c: &[f64], room_c: Option<[f64; 2]>) -> Vec<f64> {
    let mut cells = Vec::with_capacity(air_c.len());
    for day in air_c.chunks(24) {
        let mean = day.iter().sum::<f64>() / day.len().max(1) as f64;
        let held = match room_c {
            Some([low, high]) if low <= high => mean.clamp(low, high),
            _ => mean,
        };
        cells.extend(std::iter::repeat_n(held, day.len()));
    }
    cells
}

fn balance_key(house: &HouseStudy, offered: &Offered, wanted: u64) -> u64 {
    let mut key = Key::new("balance").count(offered.key).count(wanted).text(&format!("{:?}", house.inputs));
    if let Some(room) = house.room_c {
        key = key.numbers(&room);
    }
    key.done()
}

/// The chain that made the weather, for those who print it.
pub fn synthesis() -> Clause {
    SYNTHESIS
}
