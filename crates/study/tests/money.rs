//! What it costs to own, through a whole study: against published factors, sums made another way, and prices left out.
#![allow(clippy::unwrap_used)]

use quantity::units;
use std::sync::Arc;
use study::{Depth, Memo, MoneyStudy, Study, Unanswered, lifetime_cost};

const FACTORS: &str = include_str!("../../../cases/money/economics_checks.csv");

/// A shipped design with three weather years, which are enough for sums.
fn text_of(name: &str) -> String {
    let path = format!("{}/../../designs/{name}/{name}.toml", env!("CARGO_MANIFEST_DIR"));
    std::fs::read_to_string(path).unwrap().replace("years = 20, seed", "years = 3, seed")
}

fn study_of(text: &str, depth: Depth, memo: &mut Memo) -> Study {
    let design = design::Design::of_text(text);
    assert!(design.problems.is_empty(), "{:?}", design.problems);
    Study::of(Arc::new(design), None, depth, memo)
}

fn money_of(text: &str, memo: &mut Memo) -> MoneyStudy {
    study_of(text, Depth::Whole, memo).money.unwrap()
}

/// The text with the one line that begins so put otherwise; an empty new line takes it away.
fn changed(text: &str, begins: &str, new: &str) -> String {
    let hit = text.lines().filter(|line| line.starts_with(begins)).count();
    assert_eq!(hit, 1, "{begins} begins {hit} lines");
    text.lines().map(|line| if line.starts_with(begins) { new } else { line }).collect::<Vec<_>>().join("\n")
}

/// `i=0.05;n=25` as numbers by name.
fn named(inputs: &str) -> std::collections::BTreeMap<&str, f64> {
    let pairs = inputs.split(';').filter_map(|pair| pair.split_once('='));
    pairs.filter_map(|(name, value)| Some((name, value.parse().ok()?))).collect()
}

/// Capital recovery factors, present-worth factors and real rates of `cases/money/economics_checks.csv`, read off the study of
/// a shipped design whose rates are those of the row: 14 of its 21 rows (the others suppose energy that falls by a fixed share a
/// year, which no design states; they hold the crate itself).
#[test]
fn published_factors_come_out_of_a_whole_study() {
    let mut memo = Memo::default();
    let farm = text_of("hollow-farm");
    let farm = changed(&farm, "upkeep = ", "upkeep = 1000000");
    let mut rows = 0;
    for line in FACTORS.lines().filter(|line| !line.starts_with('#')).skip(1) {
        let cells: Vec<&str> = line.split(',').collect();
        let (v, printed) = (named(cells[1]), cells[2].parse::<f64>().unwrap());
        // Half a unit of the last printed digit, and what rounding a sum of a million to hundredths moves.
        let near = |found: f64| assert!((found - printed).abs() <= 0.5e-6 + 1e-8, "{line}: {found}");
        let with = |years: f64, discount: f64, rises: f64| {
            let text = changed(&farm, "years = ", &format!("years = {years}"));
            let text = changed(&text, "discount = ", &format!("discount = \"{} %\"", discount * 100.0));
            changed(&text, "utility_rises = ", &format!("utility_rises = \"{} %\"", rises * 100.0))
        };
        match cells[0].split('_').next().unwrap() {
            "capital" => {
                let life = money_of(&with(v["n"], v["i"], 0.0), &mut memo).life.unwrap();
                let year = life.per_kwh.as_ref().unwrap().si() * served_j(&farm, &mut memo);
                near(year / life.total.si());
            }
            "present" => {
                let study = money_of(&with(v["N"], v["d"], v["i"]), &mut memo);
                let life = study.life.unwrap();
                let part = |what: &str| {
                    life.parts.iter().find(|(name, _)| &**name == what).map(|(_, worth)| worth.si()).unwrap()
                };
                if v["i"] == 0.0 {
                    near(part("upkeep") / 1e6);
                }
                // A bill of hundreds rounded to hundredths keeps fewer digits of the factor.
                let Some(Ok(bills)) = &study.bills else { panic!() };
                let factor = part("bills of the utility") / bills.a_year.si();
                assert!((factor - printed).abs() <= 0.006 / bills.a_year.si() + 0.5e-6, "{line}: {factor}");
            }
            "real" => {
                let text = with(25.0, 0.03, 0.0);
                let rates = format!(
                    "interest = \"{} %\"\ninflation = \"{} %\"",
                    v["nominal"] * 100.0,
                    v["inflation"] * 100.0
                );
                near(money_of(&changed(&text, "discount = ", &rates), &mut memo).life.unwrap().discount.si());
            }
            _ => continue,
        }
        rows += 1;
    }
    assert_eq!(rows, 14);
}

fn served_j(text: &str, memo: &mut Memo) -> f64 {
    let study = study_of(text, Depth::Whole, memo);
    let year = study.year.as_ref().unwrap();
    let results = year.results.as_ref().as_ref().unwrap();
    results.iter().map(|r| units::WATT_HOUR.to_si(r.year.served_wh())).sum::<f64>() / results.len() as f64
}

/// The bills of harbour-house, hour by hour from the trace of every weather year with a calendar of this test: summer evenings
/// on weekdays from November to March, evenings on weekdays from April to October, 15 to 21 h; nights from 23 to 6 h; a year
/// that begins on a Monday. Money fed in is carried on within the year and lapses at its end.
#[test]
fn bills_of_windows_are_the_sum_of_their_hours() {
    let study = study_of(&text_of("harbour-house"), Depth::Whole, &mut Memo::default());
    let year = study.year.as_ref().unwrap();
    let mut total = 0.0;
    for weather in 0..year.years() {
        let hours = year.trace(weather).unwrap();
        let mut credit = 0.0;
        let mut first = 0;
        for (month, days) in [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31].into_iter().enumerate() {
            let (mut energy, mut earned) = (0.0, 0.0);
            for (hour, lived) in hours.iter().enumerate().skip(first).take(days * 24) {
                let (clock, weekday) = (hour % 24, hour / 24 % 7);
                let evening = weekday < 5 && (15..21).contains(&clock);
                let price = match month {
                    10 | 11 | 0 | 1 | 2 if evening => 0.52,
                    _ if evening => 0.44,
                    _ if !(6..23).contains(&clock) => 0.22,
                    _ => 0.31,
                };
                energy += price * lived.flows.backup_wh() / 1000.0;
                earned += 0.05 * lived.flows.export_wh / 1000.0;
            }
            first += days * 24;
            credit += earned;
            let used = f64::min(credit, energy);
            credit -= used;
            total += energy - used + 34.0;
        }
    }
    let mean = total / year.years() as f64;
    let Some(Ok(bills)) = &study.money.as_ref().unwrap().bills else { panic!("no bills") };
    // Each of twelve bills is rounded to a hundredth, its energy and credit too.
    assert!((bills.a_year.si() - mean).abs() < 12.0 * 0.015, "{} and {mean}", bills.a_year.si());
    let months: f64 = bills.months.iter().map(|bill| bill.si()).sum();
    assert!((months - bills.a_year.si()).abs() < 0.01);
}

/// All costs of pine-cabin by a loop of this test: fuel and upkeep of each year, oil every second year, batteries at the ends of
/// years 7 and 14, the inverter of 12, the controller of 15, none in the last, discounted at 3 %.
#[test]
fn the_total_is_the_discounted_sum_of_its_years() {
    let money = money_of(&text_of("pine-cabin"), &mut Memo::default());
    let life = money.life.unwrap();
    let fuel = money.fuel.unwrap().si().unwrap();
    let mut total = money.purchase.si().unwrap();
    for year in 1..=20u32 {
        let mut cost = fuel + 40.0;
        if year < 20 {
            cost += if year % 2 == 0 { 35.0 } else { 0.0 };
            cost += if year % 7 == 0 { 8.0 * 185.0 } else { 0.0 };
            cost += if year == 12 { 890.0 } else { 0.0 } + if year == 15 { 480.0 } else { 0.0 };
        }
        total += cost / 1.03f64.powi(year as i32);
    }
    // Two dozen sums are rounded to hundredths.
    assert!((life.total.si() - total).abs() < 24.0 * 0.005, "{} and {total}", life.total.si());
    assert!((life.table.total - total).abs() < 1e-6, "{} and {total}", life.table.total);
}

/// A system of a search is priced from its years alone, and comes to the figure that its whole study prints.
#[test]
fn a_system_of_the_search_costs_what_its_study_says() {
    for name in ["hollow-farm", "harbour-house", "pine-cabin"] {
        let mut memo = Memo::default();
        let whole = study_of(&text_of(name), Depth::Whole, &mut memo).money.unwrap().life.unwrap().total.si();
        let alone =
            lifetime_cost(&study_of(&text_of(name), Depth::Years, &mut Memo::default())).unwrap().si();
        assert!((whole - alone).abs() <= 1e-9 * whole.abs(), "{name}: {whole} and {alone}");
    }
}

/// Nothing is said of the years while a price is missing, and what is missing is named.
#[test]
fn a_price_left_out_is_unknown_and_never_nothing() {
    let mut memo = Memo::default();
    for (design, line, field) in [
        ("hollow-farm", "price = \"0.14 USD/kWh\"", "utility.price"),
        ("hollow-farm", "monthly = ", "utility.monthly"),
        ("hollow-farm", "upkeep = ", "money.upkeep"),
        ("hollow-farm", "set_aside = ", "money.set_aside"),
        ("harbour-house", "export_price = ", "utility.export_price"),
        ("pine-cabin", "fuel_price = ", "engine.yard set.fuel_price"),
        ("pine-cabin", "lasts = ", "battery.golf.lasts"),
    ] {
        let study = study_of(&changed(&text_of(design), line, ""), Depth::Whole, &mut memo);
        let Err(Unanswered::Missing(gap)) = &study.money.as_ref().unwrap().life else {
            panic!("{design} without {field} is answered");
        };
        assert!(gap.missing.iter().any(|m| m.field.as_str() == field), "{design}, {field}: {gap:?}");
        assert!(study.figure("money/over-the-years").is_none());
        assert!(lifetime_cost(&study).is_err());
    }
}

/// One rate in two windows has one price.
#[test]
fn one_rate_with_two_prices_is_refused_where_it_stands() {
    let text = text_of("harbour-house").replace("name = \"summer evening\"", "name = \"evening\"");
    let money = money_of(&text, &mut Memo::default());
    let Some(Err(Unanswered::Refused { because, field })) = money.bills else { panic!("{:?}", money.bills) };
    assert!(because.contains("one rate with two prices"), "{because}");
    assert_eq!(field.unwrap().as_str(), "utility.rates.2");
}

/// Tiers, a least bill and netting, on the farm that feeds nothing in: by hand from what it buys in each month.
#[test]
fn tiers_and_a_least_bill_are_climbed_month_by_month() {
    let text = text_of("hollow-farm").replace(
        "price = \"0.14 USD/kWh\"",
        "price = \"0.30 USD/kWh\"\nleast_bill = 16\ntiers = [{ up_to = \"5 kWh\", price = \"0.10 USD/kWh\" }, { up_to = \"10 kWh\", price = \"0.20 USD/kWh\" }]",
    );
    let study = study_of(&text, Depth::Whole, &mut Memo::default());
    let year = study.year.as_ref().unwrap();
    let results = year.results.as_ref().as_ref().unwrap();
    let mut total = 0.0;
    for month in results.iter().flat_map(|result| &result.months) {
        let kwh = month.backup_wh() / 1000.0;
        let energy =
            0.10 * kwh.min(5.0) + 0.20 * (kwh.min(10.0) - 5.0).max(0.0) + 0.30 * (kwh - 10.0).max(0.0);
        total += (energy + 13.5).max(16.0);
    }
    let Some(Ok(bills)) = &study.money.as_ref().unwrap().bills else { panic!("no bills") };
    let mean = total / results.len() as f64;
    assert!((bills.a_year.si() - mean).abs() < 12.0 * 0.01, "{} and {mean}", bills.a_year.si());
}

/// A tier that ends no higher than the one before it is pointed at, in the table it stands in.
#[test]
fn tiers_that_do_not_rise_are_refused_where_they_stand() {
    let text = text_of("hollow-farm").replace(
        "price = \"0.14 USD/kWh\"",
        "price = \"0.30 USD/kWh\"\ntiers = [{ up_to = \"10 kWh\", price = \"0.10 USD/kWh\" }, { up_to = \"5 kWh\", price = \"0.20 USD/kWh\" }]",
    );
    let money = money_of(&text, &mut Memo::default());
    let Some(Err(Unanswered::Refused { because, field })) = money.bills else { panic!("{:?}", money.bills) };
    assert!(because.contains("tier 2 ends at 5 kWh"), "{because}");
    assert_eq!(field.unwrap().as_str(), "utility.tiers.2.up_to");
}

/// A rate that a bank stated takes the place of the assumed one, and the assumption is not told then; without the rise of prices
/// that belongs to it nothing is said.
#[test]
fn a_rate_of_a_bank_takes_the_place_of_the_assumed_one() {
    let told = |text: &str| {
        let design = design::Design::of_text(text);
        design.assumptions().iter().any(|assumed| assumed.field.as_str() == "money.discount")
    };
    let harbour = text_of("harbour-house");
    assert!(!told(&harbour));
    assert!(told(&changed(&changed(&harbour, "interest = ", ""), "inflation = ", "")));
    let money = money_of(&changed(&harbour, "inflation = ", ""), &mut Memo::default());
    let Err(Unanswered::Missing(gap)) = money.life else { panic!("a rate without its inflation") };
    assert_eq!(gap.missing[0].field.as_str(), "money.inflation");
}
