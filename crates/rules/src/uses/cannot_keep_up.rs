//! # What is heated or charged cannot keep up
//!
//! What it checks: in every weather year, hot water that comes out cold (more than 1 % of what is drawn), rooms more than
//! 1 K colder or warmer than they are kept (more than 24 hours), a vehicle that begins a day of driving with more than a
//! tenth of a day's energy wanting.
//!
//! Why it matters: a heat pump too small for the coldest week, or a charging window too short, takes less energy than the
//! house will really want: people then plug in something that is not on the list.
//!
//! Known limits: one tank and one temperature of the rooms; wood, gas and blankets are not seen.
//!
//! Source: common practice, no source, for the bounds.
//!
//! Fails: 300 W of heating for 200 L of hot water a day.
//! Passes: 3 kW for the same.

use crate::{Findings, Rule, Severity};
use loads::{FollowedYear, Use};
use quantity::practice;
use study::{Study, Unanswered};

pub(crate) static RULE: Rule = Rule {
    code: "L01",
    name: "load-cannot-keep-up",
    severity: Severity::Doubt,
    clause: practice("what is heated or charged keeps up in every weather year"),
    text: include_str!("cannot_keep_up.rs"),
    check,
};

/// Share of the drawn heat that may come out cold.
const COLD_SHARE: f64 = 0.01;
/// Hours a year in which rooms may be off.
const HOURS_OFF: usize = 24;
/// Share of a day's energy a vehicle may lack in the evening.
const BEHIND: f64 = 0.1;

fn check(study: &Study, findings: &mut Findings<'_>) {
    let system = &study.design.system;
    let follows = |load: &loads::Load| matches!(load.usage, Use::Weather { .. });
    let years = match &study.demand.years {
        Ok(years) => years,
        Err(Unanswered::Missing(gap)) if system.loads.iter().any(follows) => {
            findings.undecided("whether what is heated or charged keeps up is not known", gap.clone());
            return;
        }
        Err(_) => return,
    };
    for load in &years.followed {
        let Some(stated) = system.loads.get(load.load) else { continue };
        let bad: Vec<(f64, String)> = load.years.iter().filter_map(wanting).collect();
        let Some((_, worst)) = bad.iter().max_by(|a, b| a.0.total_cmp(&b.0)) else { continue };
        let record = match &load.years[0] {
            FollowedYear::Water(_) => "water.power",
            FollowedYear::Space(_) => "rooms",
            FollowedYear::Vehicle(_) => "vehicle.power",
        };
        findings
            .fails(format!(
                "load \"{}\" cannot keep up in {} of {} weather years: {worst}",
                stated.name,
                bad.len(),
                load.years.len()
            ))
            .at(format!("load.{}.{record}", stated.name), "set here")
            .figure(&["loads", &stated.name, "yearly"])
            .explains("The year then counts only what this equipment can take, which is less than people will want.");
    }
}

/// How far a year is off, for finding the worst, and the words for it.
fn wanting(year: &FollowedYear) -> Option<(f64, String)> {
    match year {
        FollowedYear::Water(water) if water.short_wh > COLD_SHARE * water.drawn_wh => Some((
            water.short_wh,
            format!("{:.0} % of the hot water comes out cold", 100.0 * water.short_wh / water.drawn_wh),
        )),
        FollowedYear::Space(space) if space.too_cold_h > HOURS_OFF => Some((
            space.too_cold_h as f64,
            format!(
                "the rooms are too cold for {} hours, down to {:.0} °C",
                space.too_cold_h, space.coldest_c
            ),
        )),
        FollowedYear::Space(space) if space.too_warm_h > HOURS_OFF => {
            Some((space.too_warm_h as f64, format!("the rooms are too warm for {} hours", space.too_warm_h)))
        }
        FollowedYear::Vehicle(vehicle) if vehicle.most_behind_wh > BEHIND * vehicle.asked_wh / 365.0 => {
            Some((
                vehicle.most_behind_wh,
                format!(
                    "{:.1} kWh are still wanting when the next day's are asked for",
                    vehicle.most_behind_wh / 1000.0
                ),
            ))
        }
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use crate::trial::{of, verdict};

    fn water(power: &str) -> String {
        format!(
            "[[load]]\nname = \"bath\"\nvolts = 240\ntier = \"want\"\n[load.water]\na_day = \"200 L\"\nset_point = \"60 °C\"\n\
             inlet = \"10 °C\"\ntank = \"300 L\"\npower = {power}\n"
        )
    }

    /// 200 L · 50 K · 1.163 Wh are 11.6 kWh a day and 1.5 kWh of standby: 546 W around the clock.
    #[test]
    fn heating_that_gives_less_than_is_drawn_is_found() {
        assert_eq!(verdict("L01", &[("+", &water("\"3 kW\""))]), "passes");
        assert_eq!(verdict("L01", &[("+", &water("\"560 W\""))]), "passes");
        let found = of("L01", &[("+", &water("\"300 W\""))]);
        assert!(found[0].says.contains("comes out cold"), "{}", found[0].says);
        assert_eq!(verdict("L01", &[("+", &water("\"unknown\""))]), "undecided doubt");
    }

    fn car(until: &str) -> String {
        format!(
            "[[load]]\nname = \"car\"\nvolts = 240\ntier = \"want\"\n[load.vehicle]\ndistance = \"50 km\"\ntakes = \"180 Wh/km\"\n\
             power = \"2 kW\"\nefficiency = \"90 %\"\nfrom = 22\nuntil = {until}\n"
        )
    }

    /// 10 kWh a day at 2 kW are five hours.
    #[test]
    fn a_window_shorter_than_a_charge_is_found() {
        assert_eq!(verdict("L01", &[("+", &car("3"))]), "passes");
        assert_eq!(verdict("L01", &[("+", &car("2"))]), "doubt");
    }

    fn rooms(strip: &str) -> String {
        format!(
            "[[load]]\nname = \"rooms\"\nvolts = 240\ntier = \"want\"\n[load.rooms]\nloss = \"100 W/K\"\nwarmed_to = \"20 °C\"\nstrip = {strip}\n"
        )
    }

    #[test]
    fn rooms_that_grow_cold_are_found() {
        assert_eq!(verdict("L01", &[("+", &rooms("\"8 kW\""))]), "passes");
        let found = of("L01", &[("+", &rooms("\"1 kW\""))]);
        assert!(found[0].says.contains("too cold for"), "{}", found[0].says);
    }
}
