//! Question 8's second half: what the system costs to own, its tables and its pictures.

mod pictures;
mod tables;

pub use pictures::pictures;
pub use tables::{a_year, again, beside, parts, year_by_year};

use crate::answers::cannot;
use crate::book::Span;
use crate::say::{Reader, begun, fixed, plural};
use crate::table::Table;
use quantity::{FigureName, Measure, Money, PricePerEnergy, Traced, units};
use study::{Against, LifeMoney, MoneyStudy, Study, Unanswered};

/// The tables, in order, but those that stand behind a picture.
pub fn all_tables(study: &Study) -> Vec<Table> {
    [a_year(study), parts(study), again(study), beside(study)].into_iter().flatten().collect()
}

/// An amount in whole units of the currency, as sums over years are told.
pub(crate) fn whole(reader: &Reader, amount: Money) -> String {
    Money::from_units(amount.units().round()).show(reader.currency)
}

/// A price of a kWh.
pub(crate) fn each_kwh(reader: &Reader, price: PricePerEnergy) -> String {
    let coins = units::COIN_PER_KILOWATT_HOUR.of_si(price.si());
    let sign = if coins < 0.0 { "−" } else { "" };
    format!("{sign}{}{}", reader.currency.sign(), fixed(coins.abs(), 3))
}

/// What it costs to own, in sentences; empty where there are no years to say it of.
pub fn sentence(study: &Study) -> Vec<Span> {
    let Some(money) = &study.money else { return Vec::new() };
    let reader = Reader::of(study);
    let mut said = Vec::new();
    if let Ok(a_year) = &money.a_year {
        said.push(Span::plain("At the prices stated a mean weather year then costs "));
        said.push(Span::figure(whole(&reader, a_year.value), FigureName::new(&["money", "a-year"])));
        said.push(Span::plain(format!(" for {}. ", of_what(money))));
    }
    match &money.life {
        Ok(life) => over_the_years(&reader, life, &mut said),
        Err(why) => said.push(Span::plain(not_yet(money, why))),
    }
    // Racks with a price are on the list; money that was set aside for them as well would count twice.
    let racks = study.bill.of_group(bill::Group::Structure);
    if study.design.system.money.set_aside.is_some() && racks > Money::ZERO {
        said.push(Span::plain(format!(
            " Racks and rails are on the purchase list at {}: leave them out of what is set aside (money.set_aside), or they \
             count twice.",
            whole(&reader, racks)
        )));
    }
    said
}

/// What a year is paid for.
fn of_what(money: &MoneyStudy) -> String {
    let mut things = Vec::new();
    if money.bills.is_some() {
        things.push("bills".to_string());
    }
    if money.fuel.is_some() {
        things.push("fuel".to_string());
    }
    things.push("upkeep".to_string());
    crate::say::listed(&things)
}

/// "What it costs over the years cannot be said until …".
fn not_yet(money: &MoneyStudy, why: &Unanswered) -> String {
    let words: String = cannot(why).0.into_iter().map(|span| span.text).collect();
    let unpriced = match money.unpriced {
        0 => String::new(),
        n => format!(
            " {} of the purchase list {} no price, and nothing is set aside for {}.",
            plural(n, "line", "lines"),
            if n == 1 { "has" } else { "have" },
            if n == 1 { "it" } else { "them" }
        ),
    };
    let mut rest = words.chars();
    let first = rest.next().map(|c| c.to_lowercase().to_string()).unwrap_or_default();
    format!("What it costs over the years {first}{}{unpriced}", rest.as_str())
}

fn over_the_years(reader: &Reader, life: &LifeMoney, said: &mut Vec<Span>) {
    let named = |text: String, figure: &[&str]| Span::figure(text, FigureName::new(figure));
    said.push(Span::plain(format!("Over {} years all costs come to ", life.years.value.0)));
    said.push(named(whole(reader, life.total.value), &["money", "over-the-years"]));
    said.push(Span::plain(" in today's money"));
    if let Some(each) = &life.per_kwh {
        said.push(Span::plain(", "));
        said.push(named(each_kwh(reader, each.value), &["money", "per-kwh"]));
        said.push(Span::plain(" a kWh served"));
    }
    let [long, short] = life.between;
    if long != short {
        said.push(Span::plain(format!(
            " ({} to {} if the battery lasts twice or half as long as its cells are known to)",
            whole(reader, long),
            whole(reader, short)
        )));
    }
    said.push(Span::plain("."));
    for other in &life.against {
        match other {
            Ok(other) => compared(reader, other, said),
            Err((name, why)) => {
                let words: String = cannot(why).0.into_iter().map(|span| span.text).collect();
                said.push(Span::plain(format!(" {}: {}", begun(name), words)));
            }
        }
    }
}

fn compared(reader: &Reader, other: &Against, said: &mut Vec<Span>) {
    let named = |text: String, what: &str| {
        Span::figure(text, FigureName::new(&["money", "beside", other.name, what]))
    };
    let more = other.gain.value.units() >= 0.0;
    said.push(Span::plain(format!(" {} would come to ", begun(other.name))));
    said.push(named(whole(reader, other.total.value), "total"));
    said.push(Span::plain(", "));
    said.push(named(whole(reader, Money::from_units(other.gain.value.units().abs())), "more"));
    said.push(Span::plain(if more { " more" } else { " less" }));
    match (&other.payback, &other.payback_discounted) {
        (Some(simple), _) if simple.si() <= 0.0 => {
            said.push(Span::plain("; the system costs less from the first day."));
        }
        (Some(simple), discounted) => {
            said.push(Span::plain("; the system would have paid for itself after "));
            said.push(named(years(simple), "payback"));
            match discounted {
                Some(today) => {
                    said.push(Span::plain(", in today's money after "));
                    said.push(named(years(today), "payback-discounted"));
                    said.push(Span::plain("."));
                }
                None => said.push(Span::plain(", in today's money not within these years.")),
            }
        }
        (None, _) => said.push(Span::plain("; the system does not pay for itself within these years.")),
    }
}

fn years(after: &Traced<quantity::Number>) -> String {
    format!("{} years", fixed(after.si(), 1))
}
