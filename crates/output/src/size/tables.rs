//! Tables of question 4.

use super::{Sized, limit_words, scaled, told_of};
use crate::say::{fixed, listed as in_a_row, words};
use crate::sheets::{left, right, row, toned};
use crate::table::{Cell, Row, Table, Tone};
use quantity::{Money, slug};
use size::{Hardship, Neighbour, Outcome, Ranking, Scale, SizeStudy};

/// Systems that have a number: the front, the best one, the nearest misses; by rising cost or size.
pub fn listed(study: &SizeStudy) -> Vec<usize> {
    let mut listed: Vec<usize> = study.front.clone();
    listed.extend(study.best);
    listed.extend(&study.misses);
    let rank = |at: usize| {
        let candidate = &study.candidates[at];
        let cost = match study.ranking {
            Ranking::Size(_) => Some(Money::ZERO),
            Ranking::Cost | Ranking::AllYears => study.ranking.cost(candidate),
        };
        let size = candidate.bulk().map_or((0.0, 0.0), |bulk| (bulk.battery_wh, bulk.module_w));
        (cost.map_or(i64::MAX, |cost| cost.0), size.0, size.1)
    };
    listed.sort_by(|a, b| {
        let (one, other) = (rank(*a), rank(*b));
        one.0.cmp(&other.0).then(one.1.total_cmp(&other.1)).then(one.2.total_cmp(&other.2)).then(a.cmp(b))
    });
    listed.dedup();
    listed
}

fn kept(outcome: &Outcome, name: &str) -> Cell {
    if outcome.keeps() {
        return told("kept".into(), name, "promise/years-broken");
    }
    let broken: Vec<String> = outcome.breaks.iter().map(|limit| limit_words(*limit).to_string()).collect();
    toned(told(format!("breaks {}", in_a_row(&broken)), name, "promise/years-broken"), Tone::Backup)
}

/// A number that is a figure of a system: what `why` is asked for.
pub(super) fn told(text: String, system: &str, figure: &str) -> Cell {
    Cell { text, figure: Some(told_of(system, figure)), tone: Tone::Plain }
}

/// Numbered systems beside the design as drawn.
pub fn systems(sized: &Sized<'_>) -> Table {
    let study = sized.study;
    let by_cost = !matches!(study.ranking, Ranking::Size(_));
    let by_years = study.ranking == Ranking::AllYears;
    let currency = sized.design.system.currency.code();
    let mut columns = vec![right("no.", "")];
    columns.extend(study.space.knobs.iter().map(|knob| right(&knob.name, "")));
    if by_years {
        columns.push(right("cost over the years", currency));
    }
    let cost = match study.ranking {
        Ranking::Cost => "cost",
        Ranking::AllYears => "cost to buy",
        Ranking::Size(_) => "cost of what has a price",
    };
    columns.extend([
        right(cost, currency),
        right("on backup", "h"),
        right("dark", "h"),
        right("missing", "kWh"),
        left("promise"),
        left(""),
    ]);
    let cells = |number: String,
                 name: &str,
                 settings: Vec<String>,
                 cost: Money,
                 outcome: &Outcome,
                 says: String|
     -> Row {
        let mut cells = vec![words(number)];
        cells.extend(settings.into_iter().map(words));
        if by_years {
            let life = outcome.life.map_or_else(|| "–".to_string(), |life| fixed(life.units(), 0));
            cells.push(told(life, name, "money/over-the-years"));
        }
        cells.extend([
            told(fixed(cost.units(), 0), name, "bill/total"),
            toned(told(fixed(outcome.backup_h, 0), name, "year/backup-hours"), Tone::Backup),
            toned(told(fixed(outcome.dark_h, 0), name, "year/dark-hours"), Tone::Danger),
            told(fixed(outcome.missing_wh / 1000.0, 1), name, "year/missing"),
            kept(outcome, name),
            words(says),
        ]);
        row(cells)
    };
    let settings = |at: usize| -> Vec<String> {
        let picks = study.space.picks(at);
        study.space.knobs.iter().zip(picks).map(|(knob, pick)| knob.settings[pick].says.clone()).collect()
    };
    let mut rows = Vec::new();
    for (k, at) in listed(study).into_iter().enumerate() {
        let candidate = &study.candidates[at];
        let (Some(bulk), Some(outcome)) = (candidate.bulk(), candidate.outcome()) else { continue };
        let mut says = Vec::new();
        if study.best == Some(at) {
            says.push(if by_cost { "the cheapest" } else { "the smallest" });
        }
        if study.present_at == Some(at) {
            says.push("as drawn");
        }
        if study.misses.first() == Some(&at) {
            says.push("the nearest");
        }
        rows.push(cells(
            (k + 1).to_string(),
            &study.space.name(at),
            settings(at),
            bulk.cost,
            outcome,
            says.join(", "),
        ));
    }
    let (bulk, outcome) = &study.present;
    let drawn =
        study.space.knobs.iter().map(|knob| {
            knob.present.map_or_else(|| "–".to_string(), |pick| knob.settings[pick].says.clone())
        });
    let mut present =
        cells("–".into(), size::AS_DRAWN, drawn.collect(), bulk.cost, outcome, "as drawn".into());
    present.total = true;
    rows.push(present);
    Table {
        id: "size-systems".into(),
        caption: "What money buys: systems that no other beats in both cost and hardship".into(),
        columns,
        rows,
        note:
            "Hours and energy are those of the middling weather year; the promise is held against all years."
                .into(),
    }
}

/// What one step of each knob brings.
pub fn steps(sized: &Sized<'_>) -> Table {
    let study = sized.study;
    let currency = sized.design.system.currency;
    let from = study.steps.first().map(|step| step.from);
    let begin = from.and_then(|at| Some((study.candidates[at].bulk()?, study.candidates[at].outcome()?)));
    let signed = |value: f64, decimals: usize| {
        let text = fixed(value, decimals);
        if value > 0.0 && text.chars().any(|c| c.is_ascii_digit() && c != '0') {
            format!("+{text}")
        } else {
            text
        }
    };
    let mut rows = Vec::new();
    for step in &study.steps {
        let knob = &study.space.knobs[step.knob];
        let setting = |at: usize| knob.settings[study.space.picks(at)[step.knob]].says.clone();
        let to = &study.candidates[step.to];
        let mut cells =
            vec![words(knob.name.clone()), words(format!("{} → {}", setting(step.from), setting(step.to)))];
        match (&step.neighbour, begin, to.bulk(), to.outcome()) {
            (Neighbour::Examined, Some((bulk, outcome)), Some(other), Some(there)) => {
                let (here, to) = (study.space.name(step.from), study.space.name(step.to));
                let more = |value: f64, decimals: usize, figure: &str| {
                    told(signed(value, decimals), &here, &format!("step-to/{to}/{figure}"))
                };
                cells.extend([
                    more(Money(other.cost.0 - bulk.cost.0).units(), 0, "bill/total"),
                    more(there.backup_h - outcome.backup_h, 0, "year/backup-hours"),
                    more(there.dark_h - outcome.dark_h, 0, "year/dark-hours"),
                    more((there.missing_wh - outcome.missing_wh) / 1000.0, 1, "year/missing"),
                    kept(there, &to),
                ]);
            }
            (Neighbour::Rejected(code, says), ..) => {
                let why = if code.is_empty() { says.clone() } else { format!("{code}: {says}") };
                cells.extend([
                    words(""),
                    words(""),
                    words(""),
                    words(""),
                    words(format!("cannot be built: {why}")),
                ]);
            }
            _ => {
                let cost = match (begin, to.bulk()) {
                    (Some((bulk, _)), Some(other)) => signed(Money(other.cost.0 - bulk.cost.0).units(), 0),
                    _ => String::new(),
                };
                cells.extend([words(cost), words(""), words(""), words(""), words("years not looked at")]);
            }
        }
        rows.push(row(cells));
    }
    let which = match (from, study.best) {
        (Some(from), Some(best)) if from == best && !matches!(study.ranking, Ranking::Size(_)) => {
            "from the cheapest system"
        }
        (Some(from), Some(best)) if from == best => "from the smallest system",
        _ => "from the design as drawn",
    };
    Table {
        id: "size-steps".into(),
        caption: format!("What one step brings, {which}"),
        columns: vec![
            left("choice"),
            left("step"),
            right("cost", currency.code()),
            right("on backup", "h a year"),
            right("dark", "h a year"),
            right("missing", "kWh a year"),
            left("promise"),
        ],
        rows,
        note: if study.scale == Scale::BackupHours {
            "A larger system may spend more hours on backup: a source that switches at thresholds does not fall evenly.".into()
        } else {
            String::new()
        },
    }
}

/// The best system, or the present one, under other circumstances and prices.
pub fn what_if(sized: &Sized<'_>) -> Table {
    let study = sized.study;
    let mut rows = Vec::new();
    let outcome = match study.best {
        Some(best) => study.candidates[best].outcome(),
        None => Some(&study.present.1),
    };
    let name = study.best.map_or_else(|| size::AS_DRAWN.to_string(), |best| study.space.name(best));
    let hardship = |says: String, h: &Hardship, under: &str, promise: Cell| {
        row(vec![
            words(says),
            toned(told(fixed(h.backup_h, 0), &name, &format!("{under}/backup-hours")), Tone::Backup),
            toned(told(fixed(h.dark_h, 0), &name, &format!("{under}/dark-hours")), Tone::Danger),
            told(fixed(h.missing_wh / 1000.0, 1), &name, &format!("{under}/missing")),
            promise,
        ])
    };
    let middling =
        |o: &Outcome| Hardship { backup_h: o.backup_h, dark_h: o.dark_h, missing_wh: o.missing_wh };
    if let Some(outcome) = outcome {
        rows.push(hardship("nothing changes".into(), &middling(outcome), "year", kept(outcome, &name)));
        let says = format!("the leanest of {} years", outcome.years);
        rows.push(hardship(says, &outcome.leanest, "leanest", words("")));
    }
    for supposed in sized.supposed {
        rows.push(match &supposed.outcome {
            Ok(outcome) => {
                let under = format!("if/{}/year", supposed.key);
                let promise = Cell { figure: None, ..kept(outcome, &name) };
                hardship(supposed.says.clone(), &middling(outcome), &under, promise)
            }
            Err(why) => {
                let cells = [supposed.says.as_str(), "", "", "", why];
                row(cells.into_iter().map(words).collect())
            }
        });
    }
    for shift in &study.price_shifts {
        let way = if shift.factor < 1.0 { "less" } else { "more" };
        let stays = if study.best == Some(shift.best) {
            "the same system".to_string()
        } else {
            sized.settings(shift.best)
        };
        let money = shift.cost.show(sized.design.system.currency);
        let says = format!("{} cost a quarter {way}", shift.group.in_words());
        rows.push(row(vec![
            words(says),
            words(""),
            words(""),
            words(""),
            told(
                format!("cheapest is {stays}, {money}"),
                &study.space.name(shift.best),
                &format!("price/{}/{:.0}-percent/bill", slug(shift.group.in_words()), shift.factor * 100.0),
            ),
        ]));
    }
    Table {
        id: "size-what-if".into(),
        caption: match study.best {
            Some(_) => "What if, for the best system".into(),
            None => "What if, for the design as drawn".into(),
        },
        columns: vec![
            left("if"),
            right("on backup", "h"),
            right("dark", "h"),
            right("missing", "kWh"),
            left("promise"),
        ],
        rows,
        note: "Hours and energy of the middling year where no other is named. Ten years take from modules what their \
               sheet says, from iron-phosphate batteries what the law of ageing of the year says."
            .into(),
    }
}

/// Systems that cannot be built, by reason.
pub fn rejected(sized: &Sized<'_>) -> Table {
    let rows = sized
        .study
        .counts
        .rejected
        .iter()
        .map(|r| {
            let code = if r.code.is_empty() { "–" } else { r.code };
            let says = if r.undecided { format!("not decided: {}", r.says) } else { r.says.clone() };
            row(vec![words(code), words(r.name.replace('-', " ")), words(r.systems.to_string()), words(says)])
        })
        .collect();
    Table {
        id: "size-rejected".into(),
        caption: "Systems that cannot be built as drawn, each counted under its worst finding".into(),
        columns: vec![left("rule"), left("situation"), right("systems", ""), left("the first of them")],
        rows,
        note: String::new(),
    }
}

/// The hardship of a system for machines.
pub(super) fn hardship(study: &SizeStudy, outcome: &Outcome) -> f64 {
    scaled(study.scale, outcome)
}
