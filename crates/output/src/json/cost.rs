//! What it costs to own, for machines.

use super::{Missing, head, number};
use crate::answers::Answer;
use quantity::{Fact, Money, units};
use serde_json::{Value as Json, json};
use study::{BillStudy, Study, Unanswered};

/// `cost --json`.
pub fn cost(study: &Study, answer: &Answer) -> Json {
    let mut map = head(study, "cost");
    let mut missing = Missing::default();
    map.insert("answer".into(), json!(answer.text()));
    map.insert("currency".into(), json!(study.design.system.currency.code()));
    let Some(money) = &study.money else {
        if let Err(Unanswered::Missing(gap)) = &study.year {
            missing.gap(gap);
        }
        map.insert("unknown".into(), Json::Array(missing.0));
        return Json::Object(map);
    };
    let coins = |amount: Money| number(amount.units());
    let fact = |fact: &Fact<Money>| fact.value().map_or(Json::Null, |amount| coins(*amount));
    for (key, bills) in [("bills", &money.bills), ("all_bought", &money.bills_without)] {
        map.insert(key.into(), bills.as_ref().map_or(Json::Null, |bills| of_bills(bills, &mut missing)));
    }
    map.insert("fuel".into(), money.fuel.as_ref().map_or(Json::Null, fact));
    map.insert("upkeep".into(), fact(&money.upkeep));
    map.insert("purchase".into(), fact(&money.purchase));
    map.insert("lines_without_price".into(), json!(money.unpriced));
    map.insert("a_year".into(), money.a_year.as_ref().map_or(Json::Null, |sum| coins(sum.value)));
    let life = match &money.life {
        Ok(life) => json!({
            "years": life.years.value.0,
            "discount_pct": number(life.discount.si() * 100.0),
            "total": coins(life.total.value),
            "total_if_battery_lasts_twice_or_half": life.between.map(coins),
            "per_kwh": life.per_kwh.as_ref().map(|each| number(units::COIN_PER_KILOWATT_HOUR.of_si(each.si()))),
            "parts": life.parts.iter().map(|(what, worth)| json!({ "for": &**what, "today": coins(worth.value) })).collect::<Vec<_>>(),
            "bought_again": life.again.iter().map(|(what, lasts, price)| json!({
                "what": &**what, "lasts_years": lasts.value.0, "price": coins(price.value),
            })).collect::<Vec<_>>(),
            "year_by_year": life.table.rows.iter().map(|year| json!({
                "year": year.year, "bought": number(year.parts), "upkeep": number(year.maintenance),
                "fuel": number(year.fuel), "bills": number(year.utility), "cost": number(year.cost),
                "today": number(year.today),
            })).collect::<Vec<_>>(),
            "beside": life.against.iter().map(|other| match other {
                Ok(other) => json!({
                    "way": other.name, "total": coins(other.total.value), "more": coins(other.gain.value),
                    "payback_years": other.payback.as_ref().map(|years| number(years.si())),
                    "payback_today_years": other.payback_discounted.as_ref().map(|years| number(years.si())),
                }),
                Err((name, why)) => {
                    if let Unanswered::Missing(gap) = why {
                        missing.gap(gap);
                    }
                    json!({ "way": name, "total": Json::Null })
                }
            }).collect::<Vec<_>>(),
        }),
        Err(why) => {
            if let Unanswered::Missing(gap) = why {
                missing.gap(gap);
            }
            Json::Null
        }
    };
    map.insert("life".into(), life);
    map.insert("unknown".into(), Json::Array(missing.0));
    Json::Object(map)
}

fn of_bills(bills: &Result<BillStudy, Unanswered>, missing: &mut Missing) -> Json {
    match bills {
        Ok(bills) => json!({
            "a_year": number(bills.a_year.value.units()),
            "smallest_year": number(bills.between[0].units()),
            "largest_year": number(bills.between[1].units()),
            "months": bills.months.iter().map(|bill| number(bill.value.units())).collect::<Vec<_>>(),
            "paid_out": number(bills.paid_out.units()),
            "bought": bills.bought.iter().map(|(rate, kwh)| json!({
                "rate": &**rate, "kwh": number(units::KILOWATT_HOUR.of_si(kwh.si())),
            })).collect::<Vec<_>>(),
            "fed_in_kwh": number(units::KILOWATT_HOUR.of_si(bills.fed.si())),
        }),
        Err(why) => {
            if let Unanswered::Missing(gap) = why {
                missing.gap(gap);
            }
            Json::Null
        }
    }
}
