//! Growth: each stage held against the rules as a design of its own, what is bought for it, and what to provide now for the
//! last one.

use crate::Rejection;
use crate::choice::staged;
use crate::outcome::Outcome;
use crate::trial::{Open, judged, open_questions, years_of};
use bill::Group;
use design::Design;
use quantity::{Fact, Money, slug};
use std::collections::BTreeMap;
use std::sync::Arc;
use study::{Depth, Memo, Study, WeatherFile};
use wiring::NodeKind;

/// All stages, and what the first of them should provide.
#[derive(Clone, Debug, Default)]
pub struct Growth {
    /// In order.
    pub stages: Vec<StageStudy>,
    /// What the last stage needs larger than the first.
    pub ahead: Vec<Ahead>,
}

/// One stage.
#[derive(Clone, Debug)]
pub struct StageStudy {
    /// The owner's name for it.
    pub name: Arc<str>,
    /// Year, month and day.
    pub when: Option<(i16, i8, i8)>,
    /// What stands then, or why it cannot be built.
    pub stands: Result<Box<StageStands>, Rejection>,
}

/// What stands at a stage.
#[derive(Clone, Debug)]
pub struct StageStands {
    /// Sum of everything that stands, as one list.
    pub cost: Money,
    /// Sum of what is bought for it beyond what stood before.
    pub bought: Money,
    /// Items bought for it that have no price.
    pub bought_unpriced: usize,
    /// The ceiling for that, where it is passed.
    pub over_budget: Option<Money>,
    /// Items bought before and not used at this stage.
    pub given_up: Vec<GivenUp>,
    /// Its years, or why there are none.
    pub outcome: Result<Outcome, String>,
}

/// Something bought for an earlier stage and not used any more.
#[derive(Clone, Debug, PartialEq)]
pub struct GivenUp {
    /// The item.
    pub item: Arc<str>,
    /// Pieces, or metres.
    pub amount: f64,
    /// Whether it is bought by length.
    pub by_length: bool,
    /// What it cost, where that is known.
    pub worth: Option<Money>,
    /// Whether the design says so.
    pub said: bool,
}

/// Something that the first stage should provide for the last one.
#[derive(Clone, Debug, PartialEq)]
pub struct Ahead {
    /// What.
    pub what: String,
    /// What the first stage alone would ask for; empty where it asks for nothing.
    pub first: String,
    /// What the last one asks for.
    pub last: String,
}

/// Studies the stages of a design.
pub(crate) fn stages(design: &Design, file: Option<&WeatherFile>, open: &Open, memo: &mut Memo) -> Growth {
    let mut growth = Growth::default();
    let mut before: Option<Study> = None;
    let mut first: Option<Study> = None;
    for stage in &design.system.stages {
        let text = staged(design, stage);
        let judged = match &text {
            Ok(text) => judged(text, file, open, memo),
            Err(says) => {
                let says = says.as_str().into();
                Err(Rejection { code: "", name: "not-understood", says, undecided: false })
            }
        };
        let stands = match (judged, text) {
            (Ok(study), Ok(text)) => {
                let held = before.as_ref().map(holdings).unwrap_or_default();
                let mut stands = changes(&held, &holdings(&study), &stage.gives_up);
                stands.cost = study.bill.total.value;
                stands.outcome = years_of(&text, stands.cost, file, memo);
                stands.over_budget = match &stage.budget {
                    Some(Fact::Known(most)) if stands.bought > most.value => Some(most.value),
                    _ => None,
                };
                if first.is_none() {
                    first = Some(study.clone());
                }
                before = Some(study);
                Ok(Box::new(stands))
            }
            (Err(rejection), _) => Err(rejection),
            (Ok(_), Err(says)) => {
                let says = says.into();
                Err(Rejection { code: "", name: "not-understood", says, undecided: false })
            }
        };
        growth.stages.push(StageStudy { name: stage.name.clone(), when: stage.when, stands });
    }
    if let (Some(first), Some(last)) = (&first, &before) {
        growth.ahead = ahead(first, last);
    }
    growth
}

/// What is bought for a stage, with the study of what stands then and of what stood before.
pub(crate) struct Bought {
    pub(crate) sum: Money,
    pub(crate) text: String,
    pub(crate) now: Study,
    pub(crate) before: Option<Study>,
}

/// The same for the stage whose name reads so in the name of a figure; `None` where it cannot be built.
pub(crate) fn bought(
    design: &Arc<Design>,
    named: &str,
    file: Option<&WeatherFile>,
    memo: &mut Memo,
) -> Option<Bought> {
    let open = open_questions(&Study::of(design.clone(), file, Depth::WithoutYear, memo));
    let mut before: Option<Study> = None;
    for stage in &design.system.stages {
        let Ok(text) = staged(design, stage) else { continue };
        let Ok(study) = judged(&text, file, &open, memo) else { continue };
        if slug(&stage.name) == named {
            let held = before.as_ref().map(holdings).unwrap_or_default();
            let sum = changes(&held, &holdings(&study), &stage.gives_up).bought;
            return Some(Bought { sum, text, now: study, before });
        }
        before = Some(study);
    }
    None
}

/// What is held of an item.
#[derive(Clone, Copy, Debug, Default)]
struct Held {
    amount: f64,
    by_length: bool,
    worth: Option<Money>,
}

type Holdings = BTreeMap<(Group, Arc<str>), Held>;

/// Everything of a purchase list, by item.
fn holdings(study: &Study) -> Holdings {
    let mut held = Holdings::new();
    for line in &study.bill.lines {
        let pieces = line.pieces.as_ref().and_then(|n| n.value()).map(|n| f64::from(n.0));
        let length = line.length.as_ref().and_then(Fact::si);
        let entry = held.entry((line.group, line.item.clone())).or_default();
        entry.amount += pieces.or(length).unwrap_or(0.0);
        entry.by_length = line.length.is_some();
        let total = line.total.value().copied();
        entry.worth = match (entry.worth, total) {
            (Some(a), Some(b)) => Some(a + b),
            (a, b) => a.or(b),
        };
    }
    held
}

/// A length shorter than this is the same length: metres.
const SAME_LENGTH: f64 = 0.01;

/// What one list has more and less than the one before.
fn changes(before: &Holdings, now: &Holdings, said: &[Arc<str>]) -> StageStands {
    let mut bought = Money::ZERO;
    let mut bought_unpriced = 0;
    for (key, held) in now {
        let had = before.get(key).map_or(0.0, |had| had.amount);
        let more = held.amount - had;
        if more <= SAME_LENGTH {
            continue;
        }
        match held.worth {
            Some(worth) if had > 0.0 => {
                bought = bought + Money::from_units(worth.units() * more / held.amount)
            }
            Some(worth) => bought = bought + worth,
            None => bought_unpriced += 1,
        }
    }
    let mut given_up = Vec::new();
    for (key, had) in before {
        let less = had.amount - now.get(key).map_or(0.0, |held| held.amount);
        if less <= SAME_LENGTH {
            continue;
        }
        given_up.push(GivenUp {
            item: key.1.clone(),
            amount: less,
            by_length: had.by_length,
            worth: had.worth.map(|worth| Money::from_units(worth.units() * less / had.amount)),
            said: said.iter().any(|name| names(name, &key.1)),
        });
    }
    StageStands {
        cost: Money::ZERO,
        bought,
        bought_unpriced,
        over_budget: None,
        given_up,
        outcome: Err(String::new()),
    }
}

/// Whether the owner's words name an item of the list: all of its name or whole words of it.
fn names(said: &str, item: &str) -> bool {
    let (said, item) = (slug(said), slug(item));
    !said.is_empty() && format!("-{item}-").contains(&format!("-{said}-"))
}

/// What the last stage needs larger than the first, and the places it needs kept free.
fn ahead(first: &Study, last: &Study) -> Vec<Ahead> {
    let mut ahead = Vec::new();
    let (Ok(now), Ok(then)) = (&first.wiring, &last.wiring) else { return ahead };
    let mut push = |what: String, first: String, last: String| {
        if first == last {
            return;
        }
        match ahead.iter_mut().find(|held: &&mut Ahead| held.what == what && held.first.is_empty()) {
            Some(held) => held.last.push_str(&format!(", {last}")),
            None => ahead.push(Ahead { what, first, last }),
        }
    };
    for circuit in &then.circuits {
        let Some(early) = now.circuits.iter().find(|early| early.name == circuit.name) else {
            places(first, last, circuit.circuit.0, &mut push);
            continue;
        };
        let conductor = |sized: &wiring::Sized| {
            let sets = sized.sets().value().map_or(1, |sets| sets.0);
            sized.gauge().value().map(|gauge| match sets {
                1 => gauge.to_string(),
                sets => format!("{sets} × {gauge}"),
            })
        };
        if let (Some(a), Some(b)) = (conductor(early), conductor(circuit)) {
            push(format!("conductors of {}", circuit.name), a, b);
        }
        let device = |sized: &wiring::Sized| sized.protection.rating.si().map(|a| format!("{a:.0} A"));
        if let (Some(a), Some(b)) = (device(early), device(circuit)) {
            push(format!("overcurrent device of {}", circuit.name), a, b);
        }
    }
    for raceway in &then.raceways {
        let name = |study: &Study, run: usize| study.design.system.runs.get(run).map(|run| run.name.clone());
        let Some(run) = name(last, raceway.run.0) else { continue };
        let early = now.raceways.iter().find(|early| {
            early.segment == raceway.segment && name(first, early.run.0).as_ref() == Some(&run)
        });
        let trade = |row: &wiring::SizedRaceway| {
            let fill = row.fill.as_ref()?.value()?;
            let count = if row.raceways > 1 { format!("{} × ", row.raceways) } else { String::new() };
            Some(format!("{count}{}", fill.trade.value))
        };
        if let (Some(a), Some(b)) = (early.and_then(trade), trade(raceway)) {
            push(format!("raceway of {run}, part {}", raceway.segment + 1), a, b);
        }
    }
    ahead
}

/// Ends of a later circuit on equipment that stands from the first stage on.
fn places(first: &Study, last: &Study, circuit: usize, push: &mut impl FnMut(String, String, String)) {
    let graph = &last.design.graph;
    let Some(circuit) = graph.circuits.get(circuit) else { return };
    for end in [circuit.from, circuit.to] {
        let Some(node) = graph.nodes.get(end.0) else { continue };
        let stands = first.design.graph.nodes.iter().any(|early| early.name == node.name);
        let place = match node.kind {
            NodeKind::Panel | NodeKind::Combiner => "a breaker space",
            NodeKind::Inverter | NodeKind::Controller => "an input",
            NodeKind::BatteryBus => "room on the busbar",
            NodeKind::Transfer | NodeKind::Switch | NodeKind::Service => "terminals",
            _ => continue,
        };
        if stands {
            push(
                format!("{}: {}", node.kind.in_words(), node.name),
                String::new(),
                format!("{place} for {}", circuit.name),
            );
        }
    }
}
