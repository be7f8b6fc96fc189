//! Balances of every year put into traced figures.

use super::life::life;
use super::{BALANCE, Balances, BrokenUnit, Brought, DrillStudy, MonthStudy, Stretch, YearStudy};
use crate::house::HouseStudy;
use crate::uses::Unanswered;
use design::Design;
use design::system::{HoldsIn, System};
use quantity::{Clause, Energy, Fact, FieldPath, Measure, Ratio, Term, Time, Traced, units};
use std::sync::Arc;

/// Everything that was found before it is told.
pub(super) struct Found {
    pub(super) results: Arc<Balances>,
    pub(super) brought: Arc<Brought>,
    pub(super) strings: Arc<[super::StringsAtUnit]>,
    pub(super) drill: Option<DrillStudy>,
    pub(super) broken: Vec<BrokenUnit>,
    /// Rated power times light of every year, J.
    pub(super) rated: Vec<f64>,
    /// Twelve mean days by hand.
    pub(super) worst_month: Option<super::WorstMonth>,
    pub(super) at_inputs: Vec<super::input::AtInput>,
    /// Whether the wear of the battery is asked for.
    pub(super) worn: bool,
}

/// Final yield over reference yield.
const PERFORMANCE_RATIO: Clause = Clause {
    document: "IEC 61724-1",
    edition: "2021",
    clause: "performance ratio",
    standing: quantity::Standing::Remembered,
};

pub(super) fn answer(
    found: Found,
    house: &Arc<HouseStudy>,
    design: &Design,
    terms: Vec<Term>,
) -> Result<YearStudy, Unanswered> {
    let Found { results, brought, strings, drill, broken, rated, worst_month, at_inputs, worn } = found;
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
    let in_short: Vec<energy::YearInShort> = all.iter().map(energy::YearInShort::from).collect();
    let backup: Vec<f64> = all.iter().map(|r| r.year.backup_h).collect();
    let dark: Vec<f64> = all.iter().map(|r| r.year.dark_h).collect();
    let own = year.from_sun_wh + year.from_bank_wh;
    let worst = energy::worst_stretch(result, 10).map(|s| Stretch {
        first_day: s.first_day,
        days: s.days,
        backup_h: s.backup_h,
        dark_h: s.dark_h,
        mean_charge: s.mean_state_of_charge,
        lean: energy::lean_days(result, &s),
    });
    let useful = year.from_sun_wh + year.from_bank_wh + year.export_wh;
    let performance_ratio = rated.get(middling).filter(|joules| **joules > 0.0).map(|joules| {
        Traced::series(
            Ratio::from_si(units::WATT_HOUR.to_si(useful) / joules),
            "AC energy from the sun over rated power times light on the planes / 1000 W/m², middling year",
            PERFORMANCE_RATIO,
            terms.clone(),
        )
    });
    let lived = brought.years.get(middling).filter(|_| worn).and_then(|of_year| {
        energy::trace(&house.inputs, &of_year.input(house), energy::Start::AfterDecember).ok()
    });
    let life = lived.and_then(|hours| life(design, &hours, house.inputs.bank.capacity_wh, &terms));
    let by_rate = match house.rate_names.len() {
        0 | 1 => Vec::new(),
        _ => house
            .rate_names
            .iter()
            .enumerate()
            .map(|(rate, name)| {
                let sums = result.of_rate(rate);
                (
                    name.clone(),
                    energy(sums.bought_wh, "bought at this rate in the middling year"),
                    energy(sums.sold_wh, "sold at this rate in the middling year"),
                )
            })
            .collect(),
    };
    let over_all = |take: fn(&energy::YearResult) -> [f64; 2]| {
        all.iter()
            .map(take)
            .fold([f64::INFINITY, f64::NEG_INFINITY], |[low, high], [a, b]| [low.min(a), high.max(b)])
    };
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
        missing_by_tier: [
            energy(year.missing_wh[0], "must-loads not served in the middling year"),
            energy(year.missing_wh[1], "wanted loads not served in the middling year"),
            energy(year.missing_wh[2], "luxury loads not served in the middling year"),
        ],
        heater: energy(year.heater_wh, "asked by the heater of the battery in the middling year"),
        unused_for_cold: energy(
            year.unused_for_cold_wh,
            "unused because the battery was too cold, middling year",
        ),
        starts: number(f64::from(result.starts), "how often utility or generator took over, middling year"),
        throughput: energy(year.removed_wh, "energy out of the cells in the middling year"),
        performance_ratio,
        life,
        by_rate,
        backup_in_nine_of_ten: energy::percentile(&backup, 90.0),
        cell_c: over_all(|r| r.cell_c),
        room_c: over_all(|r| r.room_c),
        inputs: super::input::inputs(&at_inputs, middling, &terms),
        waited: super::waiting::told(design, &brought, middling, &terms),
        broken,
        brought: brought.clone(),
        strings,
        house: house.clone(),
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
        worst_month,
        promise: promise_held(&design.system, &in_short),
        drill,
        terms,
        results: results.clone(),
    })
}

/// What is promised of a year.
pub fn promise_of(system: &System) -> energy::Promise {
    let stated = &system.promise;
    let hours = |fact: &Option<Fact<Time>>| fact.as_ref().and_then(|f| f.si()).map(|s| units::HOUR.of_si(s));
    let wh = |fact: &Option<Fact<Energy>>| {
        fact.as_ref().and_then(|f| f.si()).map(|joules| units::WATT_HOUR.of_si(joules))
    };
    energy::Promise {
        backup_h: hours(&stated.backup),
        dark_h: hours(&stated.must_dark),
        backup_wh: wh(&stated.backup_energy),
        missing_wh: wh(&stated.missing),
        fuel_l: stated.fuel.as_ref().and_then(|f| f.si()).map(|si| units::LITER.of_si(si)),
    }
}

/// How a promise fares over several years; `None` where nothing is promised of a year.
pub fn promise_held(system: &System, years: &[energy::YearInShort]) -> Option<energy::NineInTen> {
    let promise = promise_of(system);
    if promise == energy::Promise::default() {
        return None;
    }
    let held = energy::nine_in_ten_of(&promise, years)?;
    Some(match system.promise.holds_in.value() {
        Some(HoldsIn::TheMiddlingYear) => held.in_the_middling_year(),
        _ => held,
    })
}
