//! Stages of growth as tables and words.

use super::tables::told;
use super::{Sized, limit_words};
use crate::say::{fixed, listed as in_a_row, words};
use crate::sheets::{left, right, row, toned};
use crate::table::{Table, Tone};
use quantity::{Units, slug, units};
use size::{GivenUp, StageStudy};

/// A date as the owner wrote it.
fn when(stage: &StageStudy) -> String {
    stage.when.map_or_else(|| "–".into(), |(year, month, day)| format!("{year:04}-{month:02}-{day:02}"))
}

fn amount(sized: &Sized<'_>, gone: &GivenUp) -> String {
    if !gone.by_length {
        return format!("{} × {}", fixed(gone.amount, 0), gone.item);
    }
    let (unit, symbol) = match sized.design.system.units {
        Units::Us => (&units::FOOT_UNIT, "ft"),
        Units::Metric => (&units::METER, "m"),
    };
    format!("{} {symbol} of {}", fixed(unit.of_si(gone.amount), 0), gone.item)
}

/// The stages: what is bought for each, how the house fares then, and what speaks against it.
pub fn stages(sized: &Sized<'_>) -> Table {
    let currency = sized.design.system.currency;
    let mut rows = Vec::new();
    for stage in &sized.study.growth.stages {
        let mut cells = vec![words(stage.name.to_string()), words(when(stage))];
        match &stage.stands {
            Err(why) => {
                cells.extend((0..5).map(|_| words("")));
                let why = if why.code.is_empty() {
                    why.says.to_string()
                } else {
                    format!("{}: {}", why.code, why.says)
                };
                cells.push(toned(words(format!("cannot be built: {why}")), Tone::Danger));
            }
            Ok(stands) => {
                let name = format!("{}{}", size::STAGE, slug(&stage.name));
                cells.push(told(fixed(stands.bought.units(), 0), &name, "bought"));
                cells.push(told(fixed(stands.cost.units(), 0), &name, "bill/total"));
                match &stands.outcome {
                    Ok(outcome) => cells.extend([
                        toned(told(fixed(outcome.backup_h, 0), &name, "year/backup-hours"), Tone::Backup),
                        toned(told(fixed(outcome.dark_h, 0), &name, "year/dark-hours"), Tone::Danger),
                        told(fixed(outcome.missing_wh / 1000.0, 1), &name, "year/missing"),
                    ]),
                    Err(_) => cells.extend((0..3).map(|_| words(""))),
                }
                let mut says = Vec::new();
                match &stands.outcome {
                    Ok(outcome) if outcome.keeps() => says.push("keeps the promise".to_string()),
                    Ok(outcome) => {
                        let broken: Vec<String> =
                            outcome.breaks.iter().map(|limit| limit_words(*limit).to_string()).collect();
                        says.push(format!("breaks {}", in_a_row(&broken)));
                    }
                    Err(why) => says.push(why.clone()),
                }
                if let Some(most) = stands.over_budget {
                    says.push(format!("over its budget of {}", most.show(currency)));
                }
                cells.push(words(says.join("; ")));
            }
        }
        rows.push(row(cells));
    }
    let unpriced: usize = sized
        .study
        .growth
        .stages
        .iter()
        .filter_map(|s| s.stands.as_ref().ok())
        .map(|s| s.bought_unpriced)
        .sum();
    Table {
        id: "size-stages".into(),
        caption: "Stages of growth: each held against the same rules as a design of its own".into(),
        columns: vec![
            left("stage"),
            left("when"),
            right("bought for it", currency.code()),
            right("all that stands", currency.code()),
            right("on backup", "h"),
            right("dark", "h"),
            right("missing", "kWh"),
            left(""),
        ],
        rows,
        note: match unpriced {
            0 => "Hours and energy are those of the middling weather year.".into(),
            n => format!(
                "Hours and energy are those of the middling weather year. In no sum, for want of a price: {n} of the \
                 items bought."
            ),
        },
    }
}

/// What was bought for one stage and is not used in the next: nothing, unless it stands here.
pub fn given_up(sized: &Sized<'_>) -> Table {
    let currency = sized.design.system.currency;
    let mut rows = Vec::new();
    for stage in &sized.study.growth.stages {
        let Ok(stands) = &stage.stands else { continue };
        for gone in &stands.given_up {
            let worth = gone.worth.map_or_else(String::new, |worth| worth.show(currency));
            let says =
                if gone.said { "as the design says" } else { "thrown away, and the design does not say so" };
            let tone = if gone.said { Tone::Plain } else { Tone::Backup };
            rows.push(row(vec![
                words(stage.name.to_string()),
                words(amount(sized, gone)),
                words(worth),
                toned(words(says), tone),
            ]));
        }
    }
    Table {
        id: "size-given-up".into(),
        caption: "Bought for one stage and no longer used at the next".into(),
        columns: vec![left("stage"), left("no longer used"), right("worth", ""), left("")],
        rows,
        note: "What the table below provides at once need not be bought twice. Name an item in gives_up to say it is meant."
            .into(),
    }
}

/// What the first stage should provide for the last one.
pub fn ahead(sized: &Sized<'_>) -> Table {
    let growth = &sized.study.growth;
    let rows = growth.ahead.iter().map(|ahead| {
        let first = if ahead.first.is_empty() { "–".to_string() } else { ahead.first.clone() };
        row(vec![words(ahead.what.clone()), words(first), words(ahead.last.clone())])
    });
    Table {
        id: "size-ahead".into(),
        caption: "Provide now for the last stage".into(),
        columns: vec![left("what"), left("the first stage asks for"), left("the last stage asks for")],
        rows: rows.collect(),
        note: "Raceway and conductors laid once at the last stage's size are not pulled out again; a device protects \
               the conductors that lie there now and is chosen for each stage. The busbars, inputs and limits of the \
               last stage are held against the rules with it."
            .into(),
    }
}

/// The stages in a sentence; empty without any.
pub fn growth_words(sized: &Sized<'_>) -> String {
    let stages = &sized.study.growth.stages;
    if stages.is_empty() {
        return String::new();
    }
    let blocked: Vec<String> =
        stages.iter().filter(|s| s.stands.is_err()).map(|s| s.name.to_string()).collect();
    let mut text = match blocked.as_slice() {
        [] => format!("Each of the {} stages can be built as entered.", stages.len()),
        names => format!("Of the {} stages these cannot be built: {}.", stages.len(), in_a_row(names)),
    };
    let unsaid = stages
        .iter()
        .filter_map(|s| s.stands.as_ref().ok())
        .flat_map(|s| &s.given_up)
        .filter(|gone| !gone.said)
        .count();
    if unsaid > 0 {
        text.push_str(&format!(
            " {unsaid} of the items bought on the way would be thrown away, which the design does not say."
        ));
    } else if blocked.is_empty() {
        text.push_str(" Nothing bought is thrown away unless the design says so.");
    }
    if !sized.study.growth.ahead.is_empty() {
        text.push_str(" The first stage has something to provide for the last one.");
    }
    text
}
