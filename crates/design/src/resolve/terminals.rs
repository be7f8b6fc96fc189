//! Terminals of every part and thing that has any.

use super::Items;
use super::take::Take;
use crate::read::Item;
use crate::system::TerminalsOf;
use quantity::{Fact, Gauge, WhoKnows};
use tables::TerminalColumn;
use wiring::{Metals, Serves, TakesStrands, Terminal};

/// Tables whose things have terminals.
const WITH_TERMINALS: [&str; 8] =
    ["inverter", "controller", "battery", "generator", "combiner", "bank", "transfer", "panel"];

pub(super) fn terminals(items: &Items<'_>) -> Vec<TerminalsOf> {
    WITH_TERMINALS
        .iter()
        .flat_map(|table| items.of(table).map(|item| of_thing(table, item, &items.part(item))))
        .collect()
}

fn of_thing(table: &'static str, item: &Item, take: &Take<'_>) -> TerminalsOf {
    TerminalsOf {
        table,
        name: item.name.clone(),
        terminals: take.records("terminals").iter().map(terminal).collect(),
        field: take.path("terminals"),
    }
}

/// A column of terminal temperatures by its word.
pub(super) fn column(word: &str) -> Option<TerminalColumn> {
    match word {
        "60 °C" => Some(TerminalColumn::C60),
        "75 °C" => Some(TerminalColumn::C75),
        "90 °C" => Some(TerminalColumn::C90),
        _ => None,
    }
}

fn terminal(take: &Take<'_>) -> Terminal {
    let gauge = |key: &str| -> Fact<Gauge> {
        match take.gauge(key) {
            Some(gauge) => Fact::Known(gauge),
            None => Fact::unknown(take.path(key).as_str(), WhoKnows::DataSheet),
        }
    };
    let serves = take.choice("serves", |word| match word {
        "everything" => Some(Serves::Everything),
        "modules" => Some(Serves::Modules),
        "battery" => Some(Serves::Battery),
        "input" => Some(Serves::Input),
        "output" => Some(Serves::Output),
        _ => None,
    });
    Terminal {
        serves: serves.value().copied().unwrap_or(Serves::Everything),
        smallest: gauge("smallest"),
        largest: gauge("largest"),
        metals: take.choice("material", |word| match word {
            "copper" => Some(Metals::Copper),
            "aluminum" => Some(Metals::Aluminum),
            "both" => Some(Metals::Both),
            _ => None,
        }),
        strands: take.choice("strands", |word| match word {
            "building wire" => Some(TakesStrands::Building),
            "fine" => Some(TakesStrands::Fine),
            "any" => Some(TakesStrands::Any),
            _ => None,
        }),
        temperature: take.choice("temperature", column),
        torque: take.quantity("torque"),
        conductors: take.count("conductors"),
        field: quantity::FieldPath::new(take.path("").as_str().trim_end_matches('.').to_string()),
    }
}
