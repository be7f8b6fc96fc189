//! The energy answer in sentences.

use crate::book::Span;
use crate::say::{Reader, day, fixed, plural};
use crate::table::Tone;
use quantity::{FigureName, units};
use study::{Stretch, Study, YearStudy};

/// The energy answer in full.
pub fn year_sentence(study: &Study, year: &YearStudy) -> Vec<Span> {
    let mut sentence = share(study, year);
    sentence.extend(helped(year));
    sentence.extend(dark(year));
    sentence.extend(drill(year));
    sentence.extend(battery(year));
    sentence
}

fn name(what: &str) -> FigureName {
    FigureName::new(&["year", what])
}

fn share(study: &Study, year: &YearStudy) -> Vec<Span> {
    let hours = units::HOUR.of_si(year.backup_hours.si());
    let dark = units::HOUR.of_si(year.dark_hours.si());
    let share = year.own_share.si() * 100.0;
    let kept = year.promise.is_some_and(|promise| promise.holds);
    let first = match (dark >= 0.5, hours >= 0.5) {
        // Broken in most years is no near miss.
        (true, _) if year.promise.is_some_and(|promise| 2 * promise.broken > promise.years) => "No. Of the ",
        (true, _) => "Not quite. Of the ",
        (false, true) if !year.has_battery() => "With the utility beside it. Of the ",
        (false, true) if kept => "As promised, with some help. Of the ",
        (false, true) => "Nearly. Of the ",
        (false, false) => "Yes, as entered. Of the ",
    };
    // More digits where the last tenth of a per cent tells a full share from a nearly full one.
    let decimals = usize::from((99.0..100.0).contains(&share));
    let gives = match year.has_battery() {
        true => " the house asks for in a middling year, sun and battery give ",
        false => " the house asks for in a middling year, the sun gives ",
    };
    let mut sentence = vec![
        Span::plain(first),
        Reader::of(study).span(&year.load, &["year", "load"]),
        Span::plain(gives),
        Span::figure(format!("{} %", fixed(share, decimals)), name("own-share")),
    ];
    if units::KILOWATT_HOUR.of_si(year.exported.si()) >= 0.5 {
        sentence.push(Span::plain("; "));
        sentence.push(Reader::of(study).span(&year.exported, &["year", "exported"]));
        sentence.push(Span::plain(" are sold"));
    }
    sentence.push(Span::plain(". "));
    sentence
}

/// What stands behind the battery, and what it does on the days it is needed.
fn what_helps(year: &YearStudy) -> &'static str {
    match year.backup_name {
        "the generator" => "the generator runs",
        _ if year.is_joined_to_utility() => "the utility adds to sun and battery",
        _ => "the utility takes over",
    }
}

/// "From 9 to 17 January the battery is empty on four mornings; 31 h on the utility in that year, 12–58 h in 16 of 20."
fn helped(year: &YearStudy) -> Vec<Span> {
    let hours = units::HOUR.of_si(year.backup_hours.si());
    let mut sentence = Vec::new();
    let worst = year.worst.as_ref().filter(|_| year.has_battery());
    let lean = worst.and_then(|worst| lean_words(worst, what_helps(year)));
    if let Some(lean) = &lean {
        sentence.push(Span::plain(lean.clone()));
    }
    if hours >= 0.5 {
        sentence.push(Span::plain(if lean.is_some() { "; " } else { "It takes " }));
        sentence.push(Span::figure(format!("{} h", fixed(hours, 0)), name("backup-hours")));
        sentence.push(Span::plain(format!(" on {} in that year", year.backup_name)));
        if let Some(spread) = year.backup_spread.filter(|_| year.years() > 1) {
            sentence.push(Span::plain(format!(
                ", {}–{} h in {} of {}",
                fixed(spread.low, 0),
                fixed(spread.high, 0),
                spread.inside,
                spread.of
            )));
        }
        if let Some(most) = year.backup_in_nine_of_ten {
            sentence.push(Span::plain(format!(", at most {} h in nine of ten", fixed(most, 0))));
        }
    }
    if !sentence.is_empty() {
        sentence.push(Span::plain(". "));
    }
    if let Some(promise) = year.promise.filter(|promise| !promise.holds) {
        sentence.push(Span::plain(format!(
            "That breaks what you promised yourself in {} of {} years, {}. ",
            promise.broken,
            promise.years,
            allowed(promise.allowed)
        )));
    }
    sentence
}

/// In how many years a promise may be broken, in words.
pub(crate) fn allowed(years: usize) -> String {
    match years {
        0 => "where none is allowed".to_string(),
        1 => "where 1 is allowed".to_string(),
        many => format!("where {many} are allowed"),
    }
}

/// What the worst days look like, and `helps`, what then happens; `None` where the battery never runs out and nothing helps.
pub fn lean_words(worst: &Stretch, helps: &str) -> Option<String> {
    let lean = worst.lean.as_ref()?;
    let when = dates(lean.first_day, lean.last_day);
    let (days, mornings) = lean.empty;
    let what = match (days, lean.helped) {
        (0, 0) => return None,
        (0, helped) => format!("{helps} on {}", counted(helped, "day", "days")),
        (days, _) if days == mornings => {
            format!("the battery is empty on {}", counted(days, "morning", "mornings"))
        }
        (days, _) => format!("the battery is empty on {}", counted(days, "day", "days")),
    };
    // A utility that takes over before the battery is empty helps on more days than that.
    let helped = match lean.helped > days && days > 0 {
        true => format!(" and {helps} on {}", counted(lean.helped, "day", "days")),
        false => String::new(),
    };
    Some(format!("{when} {what}{helped}"))
}

/// "From 9 to 17 January", "From 28 February to 3 March", "On 9 January"; days of the nominal year from 0.
pub fn dates(first: usize, last: usize) -> String {
    let (from, to) = (day(first), day(last));
    if from == to {
        return format!("On {from}");
    }
    match (from.split_once(' '), to.split_once(' ')) {
        (Some((number, a)), Some((_, b))) if a == b => format!("From {number} to {to}"),
        _ => format!("From {from} to {to}"),
    }
}

/// Small numbers as words.
fn counted(count: usize, one: &str, many: &str) -> String {
    const WORDS: [&str; 13] = [
        "no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven",
        "twelve",
    ];
    match WORDS.get(count) {
        Some(word) => format!("{word} {}", if count == 1 { one } else { many }),
        None => plural(count, one, many),
    }
}

fn dark(year: &YearStudy) -> Vec<Span> {
    let dark = units::HOUR.of_si(year.dark_hours.si());
    let mut sentence = Vec::new();
    if dark >= 0.5 {
        sentence.push(Span::plain("A must-load is missing for "));
        sentence.push(Span {
            text: format!("{} {}", fixed(dark, 0), if dark < 1.5 { "hour" } else { "hours" }),
            figure: Some(name("dark-hours")),
            tone: Tone::Danger,
        });
        if let Some(spread) = year.dark_spread.filter(|_| year.years() > 1) {
            sentence.push(Span::plain(format!(
                "; in {} of {} years between {} and {}",
                spread.inside,
                spread.of,
                fixed(spread.low, 0),
                fixed(spread.high, 0)
            )));
        }
        sentence.push(Span::plain(". "));
    } else {
        sentence.push(Span::plain("No must-load is missing in that year. "));
    }
    let given_up: Vec<(&str, &str, f64)> = [("want", "missing-want"), ("luxury", "missing-luxury")]
        .into_iter()
        .zip(&year.missing_by_tier[1..])
        .map(|((tier, figure), missing)| (tier, figure, units::KILOWATT_HOUR.of_si(missing.si())))
        .filter(|(_, _, kwh)| *kwh >= 0.5)
        .collect();
    for (i, (tier, figure, kwh)) in given_up.iter().enumerate() {
        sentence.push(Span::plain(if i == 0 { "Given up besides: " } else { " and " }));
        sentence.push(Span::figure(format!("{} kWh", fixed(*kwh, 0)), name(figure)));
        sentence.push(Span::plain(format!(" of {tier}")));
    }
    if !given_up.is_empty() {
        sentence.push(Span::plain(". "));
    }
    sentence
}

fn drill(year: &YearStudy) -> Vec<Span> {
    let Some(drill) = &year.drill else { return Vec::new() };
    let first = sun::MONTH_DAYS[..(drill.from.0.clamp(1, 12) - 1) as usize].iter().sum::<usize>()
        + drill.from.1.max(1) as usize
        - 1;
    let days = plural(drill.days as usize, "day", "days");
    let without = match year.backup_name {
        "nothing" => format!("In the {days} from {}", day(first)),
        backup => format!("With {backup} gone for {days} from {}", day(first)),
    };
    let mut sentence = vec![Span::plain(format!(
        "{without}, every must-load is carried in {} of {} years",
        drill.carried, drill.of
    ))];
    let worst = units::HOUR.of_si(drill.worst_dark.si());
    if worst >= 0.5 {
        sentence.push(Span::plain(", the worst of them with "));
        sentence.push(Span::figure(
            plural(worst.round() as usize, "dark hour", "dark hours"),
            FigureName::new(&["year", "drill", "worst-dark-hours"]),
        ));
    }
    sentence.push(Span::plain(format!(
        "; begun with only the share held back, in {} of {}. ",
        drill.held_carried, drill.of
    )));
    sentence
}

fn battery(year: &YearStudy) -> Vec<Span> {
    let Some(life) = &year.life else { return Vec::new() };
    vec![
        Span::plain(format!(
            "At this pace the battery is down to {} % after about ",
            fixed(life.end * 100.0, 0)
        )),
        Span::figure(plural(life.years.si().round() as usize, "year", "years"), name("battery-life")),
        Span::plain(format!(
            ", {}–{} by how other cells age. ",
            fixed(life.between[0], 0),
            fixed(life.between[1], 0)
        )),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Days by the calendar of 365 days: 9 January is day 8, 1 March day 59.
    #[test]
    fn dates_read_as_people_say_them() {
        assert_eq!(dates(8, 16), "From 9 to 17 January");
        assert_eq!(dates(57, 59), "From 27 February to 1 March");
        assert_eq!(dates(8, 8), "On 9 January");
    }

    #[test]
    fn the_worst_days_in_words() {
        let lean = |empty, helped| {
            Some(energy_lean(empty, helped)).and_then(|lean| {
                let stretch = Stretch {
                    first_day: 5,
                    days: 10,
                    backup_h: 31.0,
                    dark_h: 0.0,
                    mean_charge: 0.3,
                    lean: Some(lean),
                };
                lean_words(&stretch, "the generator runs")
            })
        };
        let says = |text: &str| Some(text.to_string());
        assert_eq!(lean((4, 4), 3), says("From 9 to 17 January the battery is empty on four mornings"));
        assert_eq!(lean((4, 2), 3), says("From 9 to 17 January the battery is empty on four days"));
        assert_eq!(
            lean((1, 0), 3),
            says("From 9 to 17 January the battery is empty on one day and the generator runs on three days")
        );
        assert_eq!(lean((0, 0), 1), says("From 9 to 17 January the generator runs on one day"));
        assert_eq!(lean((0, 0), 0), None);
    }

    fn energy_lean(empty: (usize, usize), helped: usize) -> study::LeanDays {
        study::LeanDays { first_day: 8, last_day: 16, empty, helped, backup_h: 31.0 }
    }
}
