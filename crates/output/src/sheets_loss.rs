//! What the conductors lose in a year, and what the next size would cost and spare.

use crate::say::{NOT_KNOWN, Reader, words};
use crate::sheets::{identifier, left, right, row};
use crate::table::{Cell, Table, Tone};
use quantity::{Fact, units};
use study::Study;

/// Loss of every circuit of which the year says what it carries, beside the next size.
pub fn losses(study: &Study) -> Option<Table> {
    let schedule = study.wiring.as_ref().ok()?;
    let reader = Reader::of(study);
    let rows: Vec<_> = study
        .conductor_losses
        .iter()
        .filter_map(|loss| {
            let sized = schedule.circuits.get(loss.circuit)?;
            let name = |what: &'static str| ["circuits", &*loss.name, what];
            let mut cells = vec![
                words(identifier(loss.circuit, sized)),
                words(loss.name.to_string()),
                reader.number(&loss.lost, &units::KILOWATT_HOUR, 1, &name("lost-in-a-year")),
                reader.known(&loss.mean, &name("mean-temperature")),
                reader.known(&loss.hottest, &name("hottest")),
            ];
            match &loss.next {
                None => cells.extend((0..4).map(|_| words(""))),
                Some(next) => {
                    let pays = match (next.costs.si(), next.worth.si()) {
                        (Some(costs), Some(worth)) if worth > costs => "pays",
                        (Some(_), Some(_)) => "does not pay",
                        _ => NOT_KNOWN,
                    };
                    let tone = if pays == NOT_KNOWN { Tone::Unknown } else { Tone::Plain };
                    cells.extend([
                        words(next.gauge.to_string()),
                        reader.cell(&next.costs, &name("next-size-costs")),
                        reader.number(&next.spares, &units::KILOWATT_HOUR, 1, &name("next-size-spares")),
                        reader.cell(&next.worth, &name("next-size-worth")),
                        Cell { text: pays.into(), figure: None, tone },
                    ]);
                }
            }
            cells.resize_with(10, || words(""));
            Some(row(cells))
        })
        .collect();
    let mut unpriced: Vec<String> = study
        .conductor_losses
        .iter()
        .filter_map(|loss| loss.next.as_ref())
        .flat_map(|next| next.unpriced.iter().map(ToString::to_string))
        .collect();
    unpriced.sort();
    unpriced.dedup();
    let unpriced = match crate::say::listed(&unpriced) {
        none if none.is_empty() => none,
        some => format!(" Prices that are missing for the costs: {some}."),
    };
    let years = study.design.system.money.years.value().map_or(NOT_KNOWN.to_string(), |n| n.0.to_string());
    let (rise, ground) = match study::is_iec(study) {
        true => ("IEC 60364-5-52 523", "protective conductor"),
        false => ("NEC 310.15(B)(2)", "ground"),
    };
    (!rows.is_empty()).then(|| Table {
        id: "conductor-losses".into(),
        caption: "What the conductors lose in a year, and the next size".into(),
        columns: vec![
            left("id"),
            left("circuit"),
            right("lost", "kWh"),
            right("conductors, mean", ""),
            right("hottest hour", ""),
            left("next size"),
            right("costs more", ""),
            right("spares a year", "kWh"),
            right("worth today", ""),
            left(""),
        ],
        rows,
        note: format!(
            "Of the middling weather year, with the resistance at the temperature of every hour: the air outdoors, indoors and in the \
             ground the design temperature, and the rise with the square of the current ({rise}, from memory). The drop of \
             the schedule holds at 75 °C. Batteries at their nominal voltage; alternating current as if all loads hung at the far \
             end. The cost is of the whole run, with {ground}, raceway and fittings that follow; the worth is of all its circuits over \
             {years} years, at the utility's price and at most: what is spared while energy goes unused is worth nothing. Without a \
             price nothing is said.{unpriced}"
        ),
    })
}

/// The same for a machine.
pub(crate) fn as_json(study: &Study) -> serde_json::Value {
    use serde_json::json;
    let celsius = |t: &quantity::Traced<quantity::Temperature>| units::CELSIUS.of_si(t.si());
    let kwh = |e: &quantity::Traced<quantity::Energy>| units::KILOWATT_HOUR.of_si(e.si());
    let money = |fact: &Fact<quantity::Money>| fact.si();
    study
        .conductor_losses
        .iter()
        .map(|loss| {
            json!({
                "circuit": &*loss.name,
                "lost_kwh": kwh(&loss.lost),
                "mean_c": celsius(&loss.mean),
                "hottest_c": celsius(&loss.hottest),
                "next_size": loss.next.as_ref().map(|next| next.gauge.to_string()),
                "next_costs": loss.next.as_ref().and_then(|next| money(&next.costs)),
                "next_unpriced": loss.next.as_ref().map(|next| {
                    next.unpriced.iter().map(ToString::to_string).collect::<Vec<_>>()
                }),
                "next_spares_kwh": loss.next.as_ref().map(|next| kwh(&next.spares)),
                "next_worth": loss.next.as_ref().and_then(|next| money(&next.worth)),
            })
        })
        .collect()
}
