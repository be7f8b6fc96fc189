//! Balances of every year put into traced figures.

use super::{BALANCE, Balances, DrillStudy, MonthStudy, Stretch, YearStudy};
use crate::house::HouseStudy;
use crate::uses::Unanswered;
use design::Design;
use quantity::{Energy, FieldPath, Measure, Ratio, Term, Time, Traced, units};
use std::sync::Arc;

pub(super) fn answer(
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
