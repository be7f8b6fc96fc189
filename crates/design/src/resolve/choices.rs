//! What may be bought or built in several ways.

use super::Items;
use super::take::Take;
use crate::read::Given;
use crate::system::{Choice, Tries};
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
