//! `size --json`.

use super::tables::{hardship, listed};
use super::{Sized, limit_words, scale_words, sentence};
use crate::json::{FORMAT, number};
use serde_json::{Map, Value as Json, json};
use size::{Bulk, Finished, Neighbour, Outcome, Ranking, StageStudy};

fn system(sized: &Sized<'_>, at: Option<usize>, bulk: &Bulk, outcome: &Outcome) -> Json {
    let study = sized.study;
    let mut settings = Map::new();
    for (k, knob) in study.space.knobs.iter().enumerate() {
        let pick = at.map_or(knob.present, |at| Some(study.space.picks(at)[k]));
        settings.insert(knob.name.clone(), json!(pick.map(|pick| knob.settings[pick].says.clone())));
    }
    let number_of = at.and_then(|at| listed(study).iter().position(|l| *l == at)).map(|k| k + 1);
    let name = at.map_or_else(|| size::AS_DRAWN.to_string(), |at| study.space.name(at));
    let cost = match study.ranking {
        Ranking::Cost | Ranking::AllYears => number(bulk.cost.units()),
        Ranking::Size(_) => Json::Null,
    };
    json!({
        "number": number_of, "name": name, "settings": settings, "cost": cost, "cost_over_years": outcome.life.map(|life| number(life.units())), "priced_part_of_cost": number(bulk.cost.units()),
        "battery_kwh": number(bulk.battery_wh / 1000.0), "modules_kw": number(bulk.module_w / 1000.0),
        "hardship": number(hardship(study, outcome)),
        "backup_h": number(outcome.backup_h), "backup_kwh": number(outcome.backup_wh / 1000.0),
        "dark_h": number(outcome.dark_h), "missing_kwh": number(outcome.missing_wh / 1000.0),
        "unused_kwh": number(outcome.unused_wh / 1000.0), "fuel_l": number(outcome.fuel_l),
        "years": outcome.years, "years_broken": outcome.broken, "years_may_break": outcome.allowed,
        "drill_carried": outcome.drill.map(|(carried, _)| carried), "keeps_promise": outcome.keeps(),
        "breaks": outcome.breaks.iter().map(|l| limit_words(*l)).collect::<Vec<_>>(),
    })
}

/// A stage for machines.
fn stage(stage: &StageStudy) -> Json {
    let when = stage.when.map(|(year, month, day)| format!("{year:04}-{month:02}-{day:02}"));
    let stands = match &stage.stands {
        Ok(stands) => stands,
        Err(why) => {
            let rejected = json!({ "code": why.code, "message": &*why.says });
            return json!({ "name": &*stage.name, "when": when, "rejected": rejected });
        }
    };
    let outcome = stands.outcome.as_ref().ok();
    json!({
        "name": &*stage.name, "when": when, "rejected": Json::Null,
        "bought": number(stands.bought.units()), "bought_unpriced": stands.bought_unpriced,
        "cost": number(stands.cost.units()), "over_budget": stands.over_budget.is_some(),
        "backup_h": outcome.map(|o| number(o.backup_h)), "dark_h": outcome.map(|o| number(o.dark_h)),
        "missing_kwh": outcome.map(|o| number(o.missing_wh / 1000.0)),
        "keeps_promise": outcome.map(Outcome::keeps),
        "given_up": stands.given_up.iter().map(|gone| json!({
            "item": &*gone.item, "amount": number(gone.amount), "unit": if gone.by_length { "m" } else { "" },
            "worth": gone.worth.map(|worth| number(worth.units())), "said": gone.said,
        })).collect::<Vec<_>>(),
    })
}

/// The search for machines.
pub fn size(sized: &Sized<'_>) -> Json {
    let study = sized.study;
    let of = |at: usize| {
        let candidate = &study.candidates[at];
        candidate.bulk().zip(candidate.outcome()).map_or(Json::Null, |(b, o)| system(sized, Some(at), b, o))
    };
    let steps: Vec<Json> = study
        .steps
        .iter()
        .map(|step| {
            let knob = &study.space.knobs[step.knob];
            let setting = |at: usize| knob.settings[study.space.picks(at)[step.knob]].says.clone();
            let rejected = match &step.neighbour {
                Neighbour::Rejected(code, says) => json!({ "code": code, "message": says }),
                _ => Json::Null,
            };
            json!({
                "choice": knob.name, "from": setting(step.from), "to": setting(step.to), "system": of(step.to),
                "rejected": rejected,
            })
        })
        .collect();
    let counts = &study.counts;
    let (words, unit) = scale_words(study.scale);
    let text: String = sentence(sized).iter().map(|span| span.text.as_str()).collect();
    json!({
        "format": FORMAT, "what": "size", "title": &*sized.design.system.title, "answer": text,
        "objective": match study.ranking {
            Ranking::Cost => "purchase cost",
            Ranking::AllYears => "cost over the years",
            Ranking::Size(_) => "size",
        },
        "cost_over_years_unknown": study.costs_unknown,
        "unpriced": match &study.ranking {
            Ranking::Cost | Ranking::AllYears => Vec::new(),
            Ranking::Size(items) => items.iter().map(ToString::to_string).collect(),
        },
        "hardship": format!("{unit} {words}"),
        "proven": study.finished != Finished::Stopped, "complete": study.finished == Finished::Whole,
        "cheapest": study.best.map_or(Json::Null, of),
        "present": system(sized, None, &study.present.0, &study.present.1),
        "front": study.front.iter().map(|at| of(*at)).collect::<Vec<_>>(),
        "nearest_misses": study.misses.iter().map(|at| of(*at)).collect::<Vec<_>>(),
        "steps": steps,
        "odds": sized.odds.map(|odds| json!({
            "years": odds.years, "kept": odds.kept, "share_low": number(odds.share.0), "share_high": number(odds.share.1),
            "confidence": 0.9, "breaks": odds.breaks.iter().map(|l| limit_words(*l)).collect::<Vec<_>>(),
        })),
        "what_if": sized.supposed.iter().map(|supposed| match &supposed.outcome {
            Ok(o) => json!({
                "if": supposed.says, "key": supposed.key, "backup_h": number(o.backup_h), "dark_h": number(o.dark_h),
                "missing_kwh": number(o.missing_wh / 1000.0), "keeps_promise": o.keeps(), "why_not": Json::Null,
            }),
            Err(why) => json!({
                "if": supposed.says, "key": supposed.key, "backup_h": Json::Null, "dark_h": Json::Null, "missing_kwh": Json::Null,
                "keeps_promise": Json::Null, "why_not": why,
            }),
        }).collect::<Vec<_>>(),
        "what_if_prices": study.price_shifts.iter().map(|shift| json!({
            "parts": shift.group.in_words(), "price_over_present": shift.factor, "cheapest": of(shift.best),
            "cost_then": number(shift.cost.units()),
        })).collect::<Vec<_>>(),
        "counts": {
            "systems": counts.systems, "repeated": counts.repeated, "buildable": counts.buildable,
            "examined": counts.examined, "over_budget": counts.over_budget, "without_year": counts.without_year,
            "not_reached": counts.not_reached,
            "skipped_with_proof": {
                "before_any_year": counts.skipped_unwalked, "after_the_hardest_years": counts.skipped_after_hardest,
                "years_spared": counts.years_spared,
            },
            "years_side_by_side": study.walked.side_by_side, "years_one_by_one": study.walked.one_by_one,
            "rejected": counts.rejected.iter().map(|r| json!({
                "code": r.code, "name": r.name, "systems": r.systems, "message": r.says, "undecided": r.undecided,
            })).collect::<Vec<_>>(),
        },
        "open": study.open,
        "stages": study.growth.stages.iter().map(stage).collect::<Vec<_>>(),
        "provide_now": study.growth.ahead.iter().map(|ahead| json!({
            "what": ahead.what, "first": ahead.first, "last": ahead.last,
        })).collect::<Vec<_>>(),
    })
}
