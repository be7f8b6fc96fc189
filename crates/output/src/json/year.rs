//! The energy answer for machines.

use super::{Missing, head, number};
use crate::answers::Answer;
use quantity::units;
use serde_json::{Map, Value as Json, json};
use study::{Study, Unanswered};

/// `year --json`.
pub fn year(study: &Study, answer: &Answer) -> Json {
    let mut map = head(study, "year");
    map.insert("answer".into(), json!(answer.text()));
    let year = match &study.year {
        Ok(year) => year,
        Err(why) => {
            let mut missing = Missing::default();
            if let Unanswered::Missing(gap) = why {
                missing.gap(gap);
            }
            map.insert("months".into(), Json::Null);
            map.insert("unknown".into(), Json::Array(missing.0));
            return Json::Object(map);
        }
    };
    let kwh = |t: &quantity::Traced<quantity::Energy>| number(units::KILOWATT_HOUR.of_si(t.si()));
    let hours = |t: &quantity::Traced<quantity::Time>| number(units::HOUR.of_si(t.si()));
    map.insert("load_kwh".into(), kwh(&year.load));
    map.insert("pv_kwh".into(), kwh(&year.pv));
    map.insert("backup_kwh".into(), kwh(&year.backup));
    map.insert("missing_kwh".into(), kwh(&year.missing));
    map.insert("unused_kwh".into(), kwh(&year.unused));
    map.insert("exported_kwh".into(), kwh(&year.exported));
    map.insert("idle_kwh".into(), kwh(&year.idle));
    map.insert("own_share_pct".into(), number(year.own_share.si() * 100.0));
    map.insert("backup_h".into(), hours(&year.backup_hours));
    map.insert("dark_h".into(), hours(&year.dark_hours));
    map.insert("fuel_litres".into(), number(year.fuel_l.si()));
    map.insert("weather_years".into(), json!(year.years()));
    map.insert("weather_says".into(), json!(study.sky.as_ref().ok().map(|sky| &sky.says)));
    map.insert("weather_remarks".into(), json!(crate::sky::weather_remarks(study)));
    let spread = |s: &Option<study::Spread>| {
        s.map_or(Json::Null, |s| {
            json!({ "middle_h": number(s.middle), "low_h": number(s.low), "high_h": number(s.high), "inside": s.inside, "of": s.of })
        })
    };
    map.insert("backup_spread".into(), spread(&year.backup_spread));
    map.insert("dark_spread".into(), spread(&year.dark_spread));
    let months: Vec<Json> = year
        .months
        .iter()
        .enumerate()
        .map(|(i, month)| {
            json!({
                "month": i + 1,
                "load_kwh": kwh(&month.load),
                "pv_kwh": kwh(&month.pv),
                "from_sun_kwh": kwh(&month.from_sun),
                "from_battery_kwh": kwh(&month.from_battery),
                "missing_kwh": kwh(&month.missing),
                "backup_kwh": kwh(&month.backup),
                "unused_kwh": kwh(&month.unused),
                "lowest_charge_pct": number(month.lowest.si() * 100.0),
            })
        })
        .collect();
    map.insert("months".into(), Json::Array(months));
    let losses: Map<String, Json> = year
        .losses
        .iter()
        .map(|(cause, loss)| (format!("{}_kwh", quantity::slug(cause).replace('-', "_")), kwh(loss)))
        .collect();
    map.insert("losses".into(), Json::Object(losses));
    map.insert(
        "worst".into(),
        year.worst.as_ref().map_or(Json::Null, |w| {
            json!({ "first_day": w.first_day + 1, "days": w.days, "backup_h": number(w.backup_h), "dark_h": number(w.dark_h) })
        }),
    );
    map.insert(
        "drill".into(),
        year.drill.as_ref().map_or(Json::Null, |d| {
            json!({
                "month": d.from.0, "day": d.from.1, "days": d.days, "dark_h": hours(&d.dark),
                "worst_dark_h": hours(&d.worst_dark), "carried_years": d.carried, "of_years": d.of,
                "from_held_back": {
                    "dark_h": hours(&d.held_dark), "worst_dark_h": hours(&d.held_worst_dark), "carried_years": d.held_carried,
                },
            })
        }),
    );
    map.insert("worst_month".into(), worst_month(year));
    more_of_year(year, &mut map);
    map.insert("within_hour".into(), within_hour(study));
    map.insert("unknown".into(), Json::Array(Vec::new()));
    Json::Object(map)
}

/// Twelve mean days by hand; null where the utility carries the house from hour to hour.
fn worst_month(year: &study::YearStudy) -> Json {
    let Some(worst) = &year.worst_month else { return Json::Null };
    let with_generator = worst.generator_hours.is_some();
    let months = worst.sheet.months.iter().enumerate().map(|(i, month)| {
        json!({
            "month": i + 1,
            "sun_h": number(worst.given.sun_kwh_per_m2_day[i]),
            "reaches_pct": number(worst.given.factor[i] * 100.0),
            "made_kwh_day": number(month.made_wh / 1000.0),
            "needed_kwh_day": number(month.need_wh / 1000.0),
            "array_needed_kw": number(month.array_needed_w / 1000.0),
            "generator_h": if with_generator { number(month.generator_h) } else { Json::Null },
        })
    });
    json!({
        "month": worst.month + 1,
        "covered_pct": number(worst.covered.si() * 100.0),
        "own_draw_kwh_day": number(units::KILOWATT_HOUR.of_si(worst.own_draw.si())),
        "months": months.collect::<Vec<Json>>(),
    })
}

/// The middling year at shorter steps, its busiest minutes and hardest start; null where it cannot be walked.
fn within_hour(study: &Study) -> Json {
    let Ok(within) = study.within_hour() else { return Json::Null };
    let kwh = |t: &quantity::Traced<quantity::Energy>| number(units::KILOWATT_HOUR.of_si(t.si()));
    let hours = |t: &quantity::Traced<quantity::Time>| number(units::HOUR.of_si(t.si()));
    let steps = within.steps.iter().map(|step| {
        json!({
            "minutes": step.minutes,
            "uses_drawn": step.drawn,
            "lost_to_input_limits_kwh": kwh(&step.limited),
            "input_limited_h": hours(&step.limited_for),
            "unused_kwh": kwh(&step.unused),
            "missing_kwh": kwh(&step.missing),
            "backup_kwh": kwh(&step.backup),
            "battery_out_kwh": kwh(&step.throughput),
            "highest_output_w": number(step.output.si()),
            "highest_battery_a": step.battery_current.as_ref().map_or(Json::Null, |amps| number(amps.si())),
            "loads_above_output_h": hours(&step.over_output),
        })
    });
    let leg = |leg: loads::Leg| match leg {
        loads::Leg::A => json!("A"),
        loads::Leg::B => json!("B"),
        loads::Leg::Both => json!("both"),
        loads::Leg::Only => Json::Null,
    };
    let busiest = within.busiest.iter().map(|busy| {
        json!({
            "leg": leg(busy.leg), "va": number(busy.va.si()),
            "limit_va": busy.limit.map_or(Json::Null, number), "minute_of_year": busy.at,
            "running": busy.running.iter().map(|name| &**name).collect::<Vec<&str>>(),
            "minutes_above": busy.over, "longest_above": busy.longest_over,
        })
    });
    let start = within.start.as_ref().map_or(Json::Null, |start| {
        json!({
            "load": &*start.load, "leg": leg(start.leg), "va": number(start.va.si()),
            "limit_va": start.limit.map_or(Json::Null, number),
            "limit_lasts_s": start.lasts_s.map_or(Json::Null, number), "minute_of_year": start.at,
        })
    });
    json!({ "steps": steps.collect::<Vec<_>>(), "busiest": busiest.collect::<Vec<_>>(), "start": start })
}

/// Tiers, life, units out of order and rates.
fn more_of_year(year: &study::YearStudy, map: &mut Map<String, Json>) {
    let kwh = |t: &quantity::Traced<quantity::Energy>| number(units::KILOWATT_HOUR.of_si(t.si()));
    let hours = |t: &quantity::Traced<quantity::Time>| number(units::HOUR.of_si(t.si()));
    let [must, want, luxury] = &year.missing_by_tier;
    map.insert(
        "missing_by_tier_kwh".into(),
        json!({ "must": kwh(must), "want": kwh(want), "luxury": kwh(luxury) }),
    );
    map.insert("battery_out_kwh".into(), kwh(&year.throughput));
    map.insert(
        "performance_ratio_pct".into(),
        year.performance_ratio.as_ref().map_or(Json::Null, |ratio| number(ratio.si() * 100.0)),
    );
    map.insert(
        "battery_life_years".into(),
        year.life.as_ref().map_or(Json::Null, |life| {
            json!({ "middle": number(life.years.si()), "low": number(life.between[0]), "high": number(life.between[1]) })
        }),
    );
    let broken = year.broken.iter().map(|broken| {
        json!({
            "unit": &*broken.unit, "dark_h": hours(&broken.dark), "worst_dark_h": hours(&broken.worst_dark),
            "backup_h": hours(&broken.backup),
        })
    });
    map.insert("without_unit".into(), broken.collect());
    let waited = year.waited.iter().map(|load| {
        json!({
            "load": &*load.name, "from_h": load.window.0, "until_h": load.window.1, "on_sun_kwh": kwh(&load.on_sun),
            "without_sun_kwh": kwh(&load.without_sun), "days_without": load.days_without,
        })
    });
    map.insert("waited".into(), waited.collect());
    let rates = year.by_rate.iter().map(
        |(rate, bought, sold)| json!({ "rate": &**rate, "bought_kwh": kwh(bought), "sold_kwh": kwh(sold) }),
    );
    map.insert("rates".into(), rates.collect());
}
