//! The picture of each page that shows its answer.

use super::parts::{Links, picture};
use super::{Asked, paper, size, skyline};
use design::Question;
use maud::{Markup, html};
use output::drawing::{Drawing, Form, bars};
use output::sheets::{self, LEGS};
use output::sky::SkyPicture;
use output::{demand, money, strings};
use quantity::{Fact, Money, WhoKnows, units};
use study::Study;

/// Bars beyond which the rest is one bar, so that each can be read.
const MOST_BARS: usize = 14;

/// The pictures of a page, the first one showing its answer.
pub(super) fn pictures(asked: &Asked<'_>, question: u8) -> Markup {
    let (study, links) = (&asked.shown().study, &Links::of(asked.tried));
    match question {
        1 => asked_of(study),
        2 => html! {
            (used_by(study))
            (folded(&demand::pictures(study, Form::Wide), &demand::pictures(study, Form::Phone), links))
        },
        3 => sky(asked),
        4 => {
            let of = |form| Vec::from_iter(strings::layout(study, form));
            folded(&of(Form::Wide), &of(Form::Phone), links)
        }
        6 => html! {
            (folded(&strings::voltage(study, Form::Wide), &strings::voltage(study, Form::Phone), links))
            (two("leg-loads", "What each leg bears", LEGS, |form| sheets::legs_picture(study, form)))
        },
        7 => paper::one_line(asked),
        8 => html! {
            (cost(study))
            (folded(&money::pictures(study, Form::Wide), &money::pictures(study, Form::Phone), links))
            (size::budget(asked))
        },
        _ => html! {},
    }
}

fn two(id: &str, title: &str, describes: &str, draw: impl Fn(Form) -> Option<Drawing>) -> Markup {
    html! {
        @if let (Some(wide), Some(phone)) = (draw(Form::Wide), draw(Form::Phone)) {
            h2 { (title) }
            p.cap { (describes) }
            (picture(id, title, describes, &wide, &phone))
        }
    }
}

type Bar = (String, &'static str, f64);

/// The largest first, the many small ones as one bar at the end.
fn in_order(mut items: Vec<Bar>, rest: &str) -> Vec<Bar> {
    items.retain(|item| item.2.is_finite() && item.2 > 0.0);
    items.sort_by(|a, b| b.2.total_cmp(&a.2));
    if items.len() > MOST_BARS {
        let left: f64 = items.split_off(MOST_BARS - 1).iter().map(|item| item.2).sum();
        items.push((rest.to_string(), "soft", left));
    }
    items
}

fn barred(id: &str, title: &str, describes: &str, unit: &str, items: Vec<Bar>) -> Markup {
    if items.is_empty() {
        return html! {};
    }
    two(id, title, describes, |form| Some(bars(&items, unit, form)))
}

/// How many facts are wanted from whom.
fn asked_of(study: &Study) -> Markup {
    let questions = study.design.questions();
    let permits = study.design.system.permits.iter().filter(|permit| !permit.answer.is_known()).count();
    let mut people: Vec<(WhoKnows, f64)> = Vec::new();
    for Question { ask, .. } in &questions {
        match people.iter_mut().find(|(who, _)| who == ask) {
            Some((_, count)) => *count += 1.0,
            None => people.push((*ask, 1.0)),
        }
    }
    let items =
        people.into_iter().map(|(who, count)| (who.in_words().to_string(), "backup", count)).collect();
    let describes = match permits {
        0 => "Facts that are still blank, by who can answer them. The table has each of them.".to_string(),
        n => format!(
            "Facts that are still blank, by who can answer them, among them {}. The table has each of them.",
            output::say::plural(n, "permission", "permissions")
        ),
    };
    barred("asked", "Whom to ask, and for how much", &describes, "facts wanted", in_order(items, "others"))
}

/// What each load uses in a year.
fn used_by(study: &Study) -> Markup {
    let items = study
        .demand
        .loads
        .iter()
        .filter_map(|load| match &load.yearly {
            Fact::Known(yearly) => Some((
                load.name.to_string(),
                "plain",
                units::KILOWATT_HOUR.of_si(quantity::Measure::si(yearly.value)),
            )),
            Fact::Unknown(_) => None,
        })
        .collect();
    let describes = "Energy of each load in a year, the largest first. The table has every load.";
    barred("used", "Who uses it", describes, "kWh a year", in_order(items, "all others"))
}

/// What each group of the bill costs.
fn cost(study: &Study) -> Markup {
    let mut groups: Vec<(&'static str, Money)> = Vec::new();
    for line in &study.bill.lines {
        let Fact::Known(total) = &line.total else { continue };
        let name = line.group.in_words();
        match groups.iter_mut().find(|(group, _)| *group == name) {
            Some((_, sum)) => *sum = *sum + total.value,
            None => groups.push((name, total.value)),
        }
    }
    let items = groups.into_iter().map(|(name, sum)| (name.to_string(), "plain", sum.units())).collect();
    let left = study.bill.without_price;
    let describes = match left {
        0 => "What each group of the list costs, as priced in the design.".to_string(),
        n => format!(
            "What each group of the list costs, as priced in the design; {} without a price stay out of it.",
            output::say::plural(n, "line", "lines")
        ),
    };
    barred(
        "cost",
        "Where the money goes",
        &describes,
        study.design.system.currency.code(),
        in_order(items, "others"),
    )
}

/// The sky over each plane, with its horizon to be drawn, and the years.
fn sky(asked: &Asked<'_>) -> Markup {
    let sky = asked.shown().sky();
    html! {
        @for (wide, phone) in sky.wide.iter().zip(&sky.phone) {
            @let line = asked.tried.lines.iter().find(|line| wide.id == line.id.replacen("horizon", "sun-path", 1));
            @match line {
                Some(line) => { (skyline::drawn_over(asked, line, wide, phone)) },
                None => { (folded(std::slice::from_ref(wide), std::slice::from_ref(phone), &Links::of(asked.tried))) },
            }
        }
    }
}

/// Pictures in both forms, each with its numbers folded behind it.
fn folded(wide: &[SkyPicture], phone: &[SkyPicture], links: &Links) -> Markup {
    html! {
        @for (wide, phone) in wide.iter().zip(phone) {
            h2 { (wide.title) }
            p.cap { (wide.describes) }
            (picture(&wide.id, &wide.title, &wide.describes, &wide.drawing, &phone.drawing))
            details.days {
                summary { "this picture as a table" }
                (links.table(&wide.table))
            }
        }
    }
}
