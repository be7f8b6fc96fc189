//! Question 2: its sentence, its tables by load and month, and its pictures.

mod pictures;
mod tables;

pub use pictures::pictures;
pub use tables::{against_bills, by_month, followed, meter, savings, typical};

use crate::answers::{Answer, cannot};
use crate::book::Span;
use crate::say::{Reader, fixed};
use crate::sheets::LONG_MONTHS;
use crate::table::Table;
use loads::MONTH_DAYS;
use quantity::{Energy, Fact, FigureName, Measure, Traced};
use study::{Study, Unanswered};

/// The tables of question 2, in order.
pub fn all_tables(study: &Study) -> Vec<Table> {
    let more = [
        typical(study),
        by_month(study),
        against_bills(study),
        meter(study),
        followed(study),
        savings(study),
    ];
    std::iter::once(crate::sheets::loads(study)).chain(more.into_iter().flatten()).collect()
}

/// A month differs from the mean by this share before the sentence names it; own judgement, no source.
const WORTH_SAYING: f64 = 0.1;

/// The answer to question 2.
pub(crate) fn answer(study: &Study) -> Answer {
    let demand = &study.demand;
    if let Err(why @ (Unanswered::Refused { .. } | Unanswered::NotAsked)) = &demand.years {
        let (sentence, short) = cannot(why);
        return Answer::new(2, sentence, short).open();
    }
    let (daily, yearly) = match (&demand.daily, &demand.yearly) {
        (Fact::Known(daily), Fact::Known(yearly)) => (daily, yearly),
        (Fact::Unknown(gap), _) | (_, Fact::Unknown(gap)) => {
            let (sentence, short) = cannot(&Unanswered::Missing(gap.clone()));
            return Answer::new(2, sentence, short).open();
        }
    };
    let reader = Reader::of(study);
    let mut sentence = vec![
        Span::plain("The house uses "),
        reader.span(daily, &["loads-total", "daily"]),
        Span::plain(" a day, "),
        reader.span(yearly, &["loads-total", "yearly"]),
        Span::plain(" a year"),
    ];
    sentence.extend(most_month(study, &reader, daily));
    sentence.extend(largest(study, &reader));
    let mut short = format!("{} a day", reader.measure(daily.value));
    if let Some(difference) = &demand.difference {
        let share = difference.si();
        let text = format!("{} %", fixed(share.abs() * 100.0, 0));
        if share.abs() < 0.005 {
            sentence.push(Span::plain("; your bills agree."));
        } else {
            let side = if share > 0.0 { "; your bills say more, by " } else { "; your bills say less, by " };
            sentence.push(Span::plain(side));
            sentence.push(Span::figure(text.clone(), FigureName::new(&["loads-total", "against-bills"])));
            sentence.push(Span::plain(" of them."));
        }
        short.push_str(&format!(", bills differ by {text}"));
    } else if let Some(Err(Unanswered::Refused { because, .. })) = &demand.meter {
        sentence.push(Span::plain(format!(". Your meter cannot be held against it: {because}.")));
    } else {
        sentence.push(Span::plain(". There are no bills to hold it against."));
    }
    Answer::new(2, sentence, short)
}

/// "; most in July, 18.2 kWh a day", where months differ.
fn most_month(study: &Study, reader: &Reader, daily: &Traced<Energy>) -> Vec<Span> {
    let Some(months) = &study.demand.months else { return Vec::new() };
    let a_day = |month: usize| months[month].si() / MONTH_DAYS[month] as f64;
    let Some(most) = (0..12).max_by(|a, b| a_day(*a).total_cmp(&a_day(*b))) else { return Vec::new() };
    if a_day(most) < daily.si() * (1.0 + WORTH_SAYING) {
        return Vec::new();
    }
    vec![
        Span::plain(format!("; most in {}, ", quantity::MONTHS[most])),
        Span::figure(
            reader.measure(Energy::from_si(a_day(most))),
            FigureName::new(&["loads-total", LONG_MONTHS[most]]),
        ),
        Span::plain(" a day"),
    ]
}

/// "; heating takes most of it, 2310 kWh a year", where one load does.
fn largest(study: &Study, reader: &Reader) -> Vec<Span> {
    let known = study.demand.loads.iter().filter_map(|load| Some((&load.name, load.yearly.known()?)));
    let Some((name, yearly)) = known.max_by(|a, b| a.1.si().total_cmp(&b.1.si())) else { return Vec::new() };
    if study.demand.loads.len() < 2 {
        return Vec::new();
    }
    vec![Span::plain(format!("; the most for {name}, ")), reader.span(yearly, &["loads", name, "yearly"])]
}
