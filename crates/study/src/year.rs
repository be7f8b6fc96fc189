//! The energy answer: every weather year walked hour by hour.

use crate::demand::DemandStudy;
use crate::house::{HouseStudy, assumption, loop_ohm};
use crate::light::{ModuleYears, OnPlane, PlaneStudy, fitted, module_years};
use crate::memo::{Key, Memo};
use crate::sky::{SYNTHESIS, SkyStudy};
use crate::uses::{Unanswered, Uses};
use array::data_sheet_fit::FittedModule;
use array::near_shade::{NearShade, ShadedPlaneYear};
use array::section_shade::{ASSUMED_BYPASS_V, SectionLayout, SectionShade, StringPlace, section_shade};
use array::string_year::{
    InputLimits, InputYear, StatedShares, StringGroup, StringLayout, input_year_in_shade,
};
use design::Design;
use design::system::{StringIn, System, UnitPart};
use energy::{Start, YearInput, YearResult};
use quantity::{Clause, Energy, FieldPath, Measure, Ratio, Standing, Term, Time, Traced, units};
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

/// Share that is left after differences between modules of one kind; from memory, no source.
const MISMATCH: f64 = 0.985;

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
    let profile = demand.profile.as_ref().map_err(Clone::clone)?;
    let mut terms = uses.done()?;
    terms.shrink_to_fit();
    let tiers = [loads::Tier::Must, loads::Tier::Want, loads::Tier::Luxury].map(|tier| profile.tier(tier));
    let cells: Vec<Vec<f64>> =
        sky.weather.years.iter().map(|year| around_the_bank(&year.air_c, house.room_c)).collect();
    let inputs: Vec<YearInput<'_>> = offered
        .years
        .iter()
        .zip(&cells)
        .map(|((pv, cable), cell_c)| YearInput {
            pv_dc_w: pv,
            pv_cable_loss_w: cable,
            load_w: [&tiers[0], &tiers[1], &tiers[2]],
            cell_c,
        })
        .collect();
    let key = balance_key(house, &offered, &tiers);
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

/// Power offered at the inputs of all units, and what the cables would lose, year by year.
struct Offered {
    years: Vec<(Vec<f64>, Vec<f64>)>,
    key: u64,
}

fn offered(
    design: &Design,
    planes: &[&PlaneStudy],
    house: &HouseStudy,
    schedule: Option<&Schedule>,
    uses: &mut Uses,
    memo: &mut Memo,
) -> Result<Offered, Unanswered> {
    let system = &design.system;
    let count = planes.first().map_or(0, |plane| plane.years.light.len());
    let mut years = vec![(vec![0.0; sun::HOURS], vec![0.0; sun::HOURS]); count];
    let mut key = Key::new("offered");
    let words = "modules of one kind differ by about 1.5 %";
    uses.note("mismatch", words, assumption("string", words, "all energy from the modules"));
    for unit in &system.units_in_place {
        let efficiency = match &unit.part {
            UnitPart::Inverter(name) => system.inverter(name).and_then(|part| part.pv_efficiency.si()),
            UnitPart::Controller(name) => system.controller(name).and_then(|part| part.efficiency.si()),
            UnitPart::Unclear => None,
        };
        // The balance knows one efficiency from modules to battery; a unit below the best one is put on its scale.
        let scale = efficiency.map_or(1.0, |e| (e / house.inputs.fleet.pv_efficiency).min(1.0));
        for number in 1..=system.pv_inputs(unit).len() as u32 {
            let strings: Vec<&StringIn> = system
                .strings
                .iter()
                .filter(|s| s.string.unit == unit.name && s.string.input == number)
                .collect();
            if strings.is_empty() {
                continue;
            }
            let (arrived, input_key) = at_input(system, &strings, planes, schedule, uses, memo)?;
            let arrived = arrived.as_ref().as_ref().map_err(|e| {
                Unanswered::refused(e.clone(), Some(FieldPath::new(format!("unit.{}", unit.name))))
            })?;
            key = key.count(input_key).number(scale);
            for ((pv, cable), year) in years.iter_mut().zip(arrived) {
                for hour in 0..sun::HOURS {
                    pv[hour] += year.power_w[hour] * scale;
                    // Rounding may leave a loss a hair below nothing.
                    cable[hour] += year.cable_w[hour].max(0.0);
                }
            }
        }
    }
    Ok(Offered { years, key: key.done() })
}

/// One group of equal strings with everything the input asks for.
struct Group {
    made: FittedModule,
    points: Arc<ModuleYears>,
    plane: usize,
    layout: StringLayout,
    /// Bypass sections of a module.
    sections: u32,
}

fn at_input(
    system: &System,
    strings: &[&StringIn],
    planes: &[&PlaneStudy],
    schedule: Option<&Schedule>,
    uses: &mut Uses,
    memo: &mut Memo,
) -> Result<(Arc<InputYears>, u64), Unanswered> {
    let Some(unit) = system.unit(&strings[0].string.unit) else {
        return Err(Unanswered::refused("a string goes into no unit", Some(FieldPath::new("string"))));
    };
    let number = (strings[0].string.input.max(1) - 1) as usize;
    let Some(input) = system.pv_inputs(unit).get(number) else {
        return Err(Unanswered::refused("a string goes into no input", Some(FieldPath::new("string"))));
    };
    let of = |what: &str| format!("{} input {}: {what}", unit.name, number + 1);
    let limits = InputLimits {
        start_v: uses.number(&of("lowest tracking voltage"), &input.track_low, &units::VOLT),
        tracker_low_v: input.track_low.si().unwrap_or(f64::NAN),
        tracker_high_v: uses.number(&of("highest tracking voltage"), &input.track_high, &units::VOLT),
        max_current_a: Some(uses.number(&of("highest current it uses"), &input.current, &units::AMPERE)),
        max_power_w: input
            .power
            .is_known()
            .then(|| uses.number(&of("highest power"), &input.power, &units::WATT)),
    };
    let mut groups: Vec<Group> = Vec::new();
    let mut key = Key::new("input")
        .numbers(&[limits.start_v, limits.tracker_high_v])
        .number(limits.max_current_a.unwrap_or(-1.0))
        .number(limits.max_power_w.unwrap_or(-1.0));
    for string in strings {
        let module = system.module(&string.string.module).ok_or_else(|| {
            Unanswered::refused(
                "a string names no module",
                Some(FieldPath::new(format!("string.{}", string.string.name))),
            )
        })?;
        let (made, terms, module_key) = fitted(module)?;
        uses.extend(&terms);
        let plane = planes.iter().position(|p| p.name == string.string.plane).ok_or_else(|| {
            Unanswered::refused(
                "a string lies on no plane",
                Some(FieldPath::new(format!("string.{}", string.string.name))),
            )
        })?;
        let in_series = uses.number(
            &format!("{}: modules in series", string.string.name),
            &string.string.count,
            &units::COUNT,
        );
        let string_ohm = cable_ohm(&string.string.name, schedule, uses);
        let bifacial = system.bifacial.iter().find(|b| b.module == module.name);
        let bifaciality = match bifacial.filter(|_| !planes[plane].years.rear_w_m2.is_empty()) {
            Some(b) => {
                let share = uses.number(&format!("{}: bifaciality", module.name), &b.share, &units::RATIO);
                if share.is_finite() { share } else { 0.0 }
            }
            None => 0.0,
        };
        let sections = sections_of(module, planes[plane], uses);
        let points = module_years(planes[plane], &made, module_key, bifaciality, memo);
        key = key
            .number(bifaciality)
            .count(u64::from(sections))
            .count(planes[plane].key)
            .count(module_key)
            .number(in_series)
            .number(string_ohm);
        let layout = StringLayout {
            modules_in_series: in_series as u32,
            strings_in_parallel: 1,
            string_ohm,
            common_ohm: 0.0,
        };
        // Equal strings on one plane are one group with the mean of their cables.
        let twin = groups.iter_mut().find(|g| {
            g.plane == plane
                && Arc::ptr_eq(&g.points, &points)
                && g.layout.modules_in_series == layout.modules_in_series
        });
        match twin {
            Some(twin) => {
                let n = f64::from(twin.layout.strings_in_parallel);
                twin.layout.string_ohm = (twin.layout.string_ohm * n + string_ohm) / (n + 1.0);
                twin.layout.strings_in_parallel += 1;
            }
            None => groups.push(Group { made, points, plane, layout, sections }),
        }
    }
    if let Some(gap) = groups.iter().find_map(|g| g.points.as_ref().as_ref().err()) {
        return Err(Unanswered::refused(gap.clone(), None));
    }
    if !limits.start_v.is_finite()
        || !limits.tracker_high_v.is_finite()
        || limits.max_current_a.is_none_or(|a| !a.is_finite())
    {
        // The missing fact is remembered in `uses`; there is nothing to compute until it is answered.
        return Err(uses.clone().done().err().unwrap_or(Unanswered::NotAsked));
    }
    let key = key.done();
    let years = memo.inputs.get(key, || run_input(&groups, planes, &limits));
    Ok((years, key))
}

fn run_input(groups: &[Group], planes: &[&PlaneStudy], limits: &InputLimits) -> InputYears {
    let count = planes.first().map_or(0, |plane| plane.years.light.len());
    (0..count)
        .into_par_iter()
        .map(|year| {
            let mut cells: Vec<Vec<f64>> = Vec::with_capacity(groups.len());
            let mut shades = Vec::with_capacity(groups.len());
            for group in groups {
                let on_plane = &group.points.as_ref().as_ref().map_err(Clone::clone)?[year];
                let plane = planes[group.plane];
                let front = &plane.years.light[year].cell_w_m2;
                cells.push(with_back(front, on_plane));
                shades.push(sections_in_shade(group, plane, on_plane, year)?);
            }
            let mut of_year = Vec::with_capacity(groups.len());
            for (group, cell_w_m2) in groups.iter().zip(&cells) {
                let on_plane = &group.points.as_ref().as_ref().map_err(Clone::clone)?[year];
                of_year.push(StringGroup {
                    module: &group.made.module,
                    cell_w_m2,
                    cell_c: &planes[group.plane].years.cell_c[year],
                    points: &on_plane.points,
                    layout: group.layout,
                    shares: StatedShares { ageing: 1.0, mismatch: MISMATCH },
                });
            }
            let shades: Vec<Option<&SectionShade>> = shades.iter().map(Option::as_ref).collect();
            let InputYear { power_w, losses, .. } =
                input_year_in_shade(&of_year, &shades, limits).map_err(|e| e.to_string())?;
            Ok(Arrived { power_w, cable_w: losses.cable_w })
        })
        .collect()
}

/// Bypass sections of a module, asked for only where shade or snow can reach them.
fn sections_of(module: &array::facts::Module, plane: &PlaneStudy, uses: &mut Uses) -> u32 {
    if plane.years.near.is_none() && plane.years.covered.is_empty() {
        return 1;
    }
    match module.bypass_diodes.known() {
        Some(diodes) => {
            (uses.traced(&format!("{}: bypass diodes", module.name), diodes, &units::COUNT) as u32).max(1)
        }
        None => {
            let words = "three bypass sections, as most modules have";
            let field = format!("module.{}.cells.bypass_diodes", module.name);
            uses.note(
                &format!("{}: bypass sections", module.name),
                words,
                assumption(&field, words, "what shade and snow cost"),
            );
            3
        }
    }
}

fn with_back(front: &[f64], on_plane: &OnPlane) -> Vec<f64> {
    match &on_plane.behind_w_m2 {
        Some(behind) => front.iter().zip(behind).map(|(front, behind)| front + behind).collect(),
        None => front.to_vec(),
    }
}

/// What shade and snow leave of a group's strings in a year; `None` where neither comes.
fn sections_in_shade(
    group: &Group,
    plane: &PlaneStudy,
    on_plane: &OnPlane,
    year: usize,
) -> Result<Option<SectionShade>, String> {
    let years = &plane.years;
    let covered = years.covered.get(year).filter(|covered| !covered.is_empty());
    if years.near.is_none() && covered.is_none() {
        return Ok(None);
    }
    let front = &years.light[year];
    let cell_w_m2 = with_back(&front.cell_w_m2, on_plane);
    let shaded_cell_w_m2 = match years.shaded_cell_w_m2.get(year) {
        Some(inside) => with_back(inside, on_plane),
        None => cell_w_m2.clone(),
    };
    let light = ShadedPlaneYear { plane_w_m2: front.plane_w_m2.clone(), cell_w_m2, shaded_cell_w_m2 };
    let open;
    let near = match &years.near {
        Some(near) => near,
        None => {
            open = NearShade::open((0..sun::HOURS).map(|h| sun::month_of_hour(h) as u8 + 1).collect());
            &open
        }
    };
    let layout = SectionLayout {
        modules_in_series: group.layout.modules_in_series,
        sections_of_module: group.sections,
        modules_up: plane.lie.modules_up.max(1),
        stand: plane.lie.stand,
        place: StringPlace::Spread,
        bypass_v: ASSUMED_BYPASS_V,
    };
    section_shade(
        &group.made.module,
        &on_plane.points,
        &light,
        &years.cell_c[year],
        near,
        covered.map(Vec::as_slice),
        &layout,
    )
    .map(Some)
    .map_err(|e| e.to_string())
}

/// Resistance of a string's own conductors, out and back, from its scheduled drop; 0 while they are not sized.
fn cable_ohm(string: &str, schedule: Option<&Schedule>, uses: &mut Uses) -> f64 {
    let Some(sized) =
        schedule.and_then(|s| s.circuits.iter().find(|c| c.name.starts_with(&format!("{string} to "))))
    else {
        return 0.0;
    };
    match (loop_ohm(sized), sized.drop.known()) {
        (Some(ohm), Some(drop)) => {
            uses.traced(&format!("{}: drop", sized.name), drop, &units::VOLT);
            ohm
        }
        _ => 0.0,
    }
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

fn balance_key(house: &HouseStudy, offered: &Offered, tiers: &[Vec<f64>; 3]) -> u64 {
    let mut key = Key::new("balance").count(offered.key).text(&format!("{:?}", house.inputs));
    if let Some(room) = house.room_c {
        key = key.numbers(&room);
    }
    for tier in tiers {
        key = key.numbers(tier);
    }
    key.done()
}

fn drill(
    design: &Design,
    house: &HouseStudy,
    inputs: &[YearInput<'_>],
    terms: &[Term],
) -> Result<Option<DrillStudy>, Unanswered> {
    let Some(asked) = &design.system.promise.drill else { return Ok(None) };
    let Some(days) = asked.days.value() else { return Ok(None) };
    let (month, day) = asked.from.value;
    let first_of_month: usize = sun::MONTH_DAYS[..(month.clamp(1, 12) - 1) as usize].iter().sum();
    let from_hour = ((first_of_month + day.max(1) as usize - 1).min(364)) * 24;
    let runs: Result<Vec<energy::Drill>, String> = inputs
        .par_iter()
        .map(|input| {
            energy::drill(&house.inputs, input, from_hour, days.0 as usize).map_err(|e| e.to_string())
        })
        .collect();
    let runs = runs.map_err(|e| Unanswered::refused(e, None))?;
    let dark: Vec<f64> = runs.iter().map(|run| run.dark_h).collect();
    let Some(spread) = energy::spread(&dark) else { return Ok(None) };
    let mut all = terms.to_vec();
    all.push(Term::words("first day without", format!("{day} of month {month}"), asked.from.origin.clone()));
    if let Some(days) = asked.days.known() {
        all.push(days.term("days", &units::COUNT));
    }
    let hours = |h: f64, says: &str| Traced::series(Time::from_si(h * 3600.0), says, BALANCE, all.clone());
    let worst = dark.iter().copied().fold(0.0, f64::max);
    Ok(Some(DrillStudy {
        from: (month, day),
        days: days.0,
        dark: hours(spread.middle, "dark hours of the drill in the middling of all weather years"),
        worst_dark: hours(worst, "dark hours of the drill in the worst of all weather years"),
        carried: dark.iter().filter(|h| **h == 0.0).count(),
        of: dark.len(),
    }))
}

fn answer(
    results: Arc<Balances>,
    house: &HouseStudy,
    design: &Design,
    terms: Vec<Term>,
    drill: Option<DrillStudy>,
) -> Result<YearStudy, Unanswered> {
    let Ok(all) = results.as_ref() else { return Err(Unanswered::NotAsked) };
    let Some(middling) = energy::middling_year(all) else {
        return Err(match design.system.strings.is_empty() {
            true => Unanswered::refused("no string of modules is entered", Some(FieldPath::new("string"))),
            false => Unanswered::refused("there is no weather year", Some(FieldPath::new("place.weather"))),
        });
    };
    let result = &all[middling];
    let year = &result.year;
    let energy = |wh: f64, says: &str| {
        Traced::series(Energy::from_si(units::WATT_HOUR.to_si(wh)), says, BALANCE, terms.clone())
    };
    let hours = |h: f64, says: &str| Traced::series(Time::from_si(h * 3600.0), says, BALANCE, terms.clone());
    let number = |n: f64, says: &str| Traced::series(quantity::Number(n), says, BALANCE, terms.clone());
    let ratio = |x: f64, says: &str| Traced::series(Ratio::from_si(x), says, BALANCE, terms.clone());
    let months = (0..12)
        .map(|month| {
            let flows = &result.months[month];
            let first: usize = sun::MONTH_DAYS[..month].iter().sum();
            let lowest = result.days[first..first + sun::MONTH_DAYS[month]]
                .iter()
                .map(|day| day.lowest_state_of_charge)
                .fold(f64::INFINITY, f64::min);
            MonthStudy {
                load: energy(flows.load_wh, "wanted in this month of the middling year"),
                pv: energy(flows.pv_offered_wh, "offered by the modules in this month"),
                from_sun: energy(flows.from_sun_wh, "served straight from the sun in this month"),
                from_battery: energy(flows.from_bank_wh, "served through the battery in this month"),
                backup: energy(flows.backup_wh(), "from utility or generator in this month"),
                missing: energy(flows.missing_total_wh(), "load not served in this month"),
                unused: energy(flows.unused_wh, "offered and taken by nothing in this month"),
                exported: energy(flows.export_wh, "fed to the utility in this month"),
                lowest: ratio(lowest, "lowest state of charge in this month"),
            }
        })
        .collect();
    let backup: Vec<f64> = all.iter().map(|r| r.year.backup_h).collect();
    let dark: Vec<f64> = all.iter().map(|r| r.year.dark_h).collect();
    let promised =
        |fact: &Option<quantity::Fact<Time>>| fact.as_ref().and_then(|f| f.si()).map(|s| s / 3600.0);
    let promise = energy::Promise {
        backup_h: promised(&design.system.promise.backup),
        dark_h: promised(&design.system.promise.must_dark),
        missing_wh: None,
    };
    let own = year.from_sun_wh + year.from_bank_wh;
    let worst = energy::worst_stretch(result, 10).map(|s| Stretch {
        first_day: s.first_day,
        days: s.days,
        backup_h: s.backup_h,
        dark_h: s.dark_h,
        mean_charge: s.mean_state_of_charge,
    });
    Ok(YearStudy {
        middling,
        backup_name: house.backup_name,
        load: energy(year.load_wh, "wanted in the middling year"),
        pv: energy(year.pv_offered_wh, "offered by the modules in the middling year"),
        own_share: ratio(
            if year.load_wh > 0.0 { own / year.load_wh } else { 1.0 },
            "(from sun + through the battery) / wanted, middling year",
        ),
        backup: energy(year.backup_wh(), "from utility or generator in the middling year"),
        backup_hours: hours(year.backup_h, "hours on utility or generator in the middling year"),
        dark_hours: hours(year.dark_h, "hours in which a must-load is missing, middling year"),
        missing: energy(year.missing_total_wh(), "load not served in the middling year"),
        unused: energy(year.unused_wh, "offered and taken by nothing in the middling year"),
        exported: energy(year.export_wh, "fed to the utility in the middling year"),
        idle: energy(year.losses.idle_wh, "idle draw of the inverters in the middling year"),
        fuel_l: number(result.fuel_l, "litres of fuel in the middling year"),
        full_cycles: number(result.full_cycles, "energy out of the cells over capacity, middling year"),
        losses: year
            .losses
            .by_cause()
            .into_iter()
            .map(|(cause, wh)| (cause, energy(wh, "lost in the middling year, by its own formula")))
            .collect(),
        months,
        backup_spread: energy::spread(&backup),
        dark_spread: energy::spread(&dark),
        worst,
        promise: (promise.backup_h.is_some() || promise.dark_h.is_some())
            .then(|| energy::nine_in_ten(&promise, all))
            .flatten(),
        drill,
        terms,
        results: results.clone(),
    })
}

/// The chain that made the weather, for those who print it.
pub fn synthesis() -> Clause {
    SYNTHESIS
}
