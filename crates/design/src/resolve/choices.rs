//! What may be bought or built in several ways, and in which stages.

use super::Items;
use super::take::Take;
use crate::read::Given;
use crate::system::{Choice, Stage, Tries};
use std::sync::Arc;

pub(super) fn choices(items: &Items<'_>) -> Vec<Choice> {
    items
        .of("choice")
        .map(|item| {
            let take = Take::new(item, None);
            Choice { name: item.name.clone(), sets: texts(&take, "sets"), tries: tries(&take) }
        })
        .collect()
}

pub(super) fn stages(items: &Items<'_>) -> Vec<Stage> {
    let mut stages: Vec<Stage> = items
        .of("stage")
        .map(|item| {
            let take = Take::new(item, None);
            let when = match take.given("when") {
                Some((Given::Date(year, month, day), _)) => Some((*year, *month, *day)),
                _ => None,
            };
            let with = take.records("with");
            let with = with.iter().filter_map(|record| {
                Some((record.text("sets").value()?.clone(), record.text("to").value()?.clone()))
            });
            Stage {
                name: item.name.clone(),
                when,
                not_yet: texts(&take, "not_yet"),
                with: with.collect(),
                gives_up: texts(&take, "gives_up"),
                budget: take.is_written("budget").then(|| take.money("budget")),
            }
        })
        .collect();
    stages.sort_by_key(|stage| (stage.when.is_none(), stage.when));
    stages
}

fn tries(take: &Take<'_>) -> Tries {
    let written = |key| take.is_written(key);
    let number = |key: &str| take.count(key).value().map(|count| count.0);
    let numbers = match (number("from"), number("to"), number("step")) {
        (Some(from), Some(to), Some(step)) if from <= to && step > 0 => {
            Some(Tries::Numbers { from, to, step })
        }
        _ => None,
    };
    match (written("from") || written("to"), written("among"), written("may_leave_out")) {
        (true, false, false) => numbers.unwrap_or(Tries::Unclear),
        (false, true, false) => Tries::Among(texts(take, "among")),
        (false, false, true) => Tries::LeaveOut(texts(take, "may_leave_out")),
        _ => Tries::Unclear,
    }
}

fn texts(take: &Take<'_>, key: &str) -> Vec<Arc<str>> {
    match take.given(key) {
        Some((Given::Texts(texts), _)) => texts.clone(),
        _ => Vec::new(),
    }
}
