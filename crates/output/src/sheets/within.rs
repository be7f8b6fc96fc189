//! What the hours hide: the middling year by quarters of an hour and by minutes.

use super::{left, right, row, toned};
use crate::say::{Reader, day, fixed, listed, words};
use crate::table::{Cell, Row, Table, Tone};
use quantity::{Measure, Traced, Unit, units};
use study::{AtStep, Study, WithinHour};

/// Caption of [`within_hour`], for who names the table before it is made.
pub const WITHIN_HOUR: &str = "What the hours hide: the middling year at shorter steps";

/// Caption of [`busiest_minutes`].
pub const BUSIEST_MINUTES: &str = "Busiest minutes of the middling year";

/// Clipping, load peaks and the battery at three lengths of step; empty where there is no year.
pub fn within_hour(study: &Study) -> Table {
    let Ok(within) = study.within_hour() else { return Table::default() };
    let reader = Reader::of(study);
    let mut rows = Vec::new();
    let kwh = &units::KILOWATT_HOUR;
    let mut energy = |what: &str, unit: &str, name: &str, decimals, take: fn(&AtStep) -> &Traced<_>| {
        rows.push(line(&reader, within, what, unit, (kwh, decimals), name, take));
    };
    energy("lost to limits of current and power at the inputs", "kWh", "limited", 1, |step| &step.limited);
    energy("unused", "kWh", "unused", 0, |step| &step.unused);
    energy("not served", "kWh", "missing", 1, |step| &step.missing);
    energy("from utility or generator", "kWh", "backup", 0, |step| &step.backup);
    energy("out of the cells", "kWh", "throughput", 0, |step| &step.throughput);
    let hour = (&units::HOUR, 1);
    rows.push(line(&reader, within, "a limit of an input holds", "h", hour, "limited-hours", |s| {
        &s.limited_for
    }));
    rows.push(line(
        &reader,
        within,
        "loads ask more than the inverters give",
        "h",
        hour,
        "over-output-hours",
        |s| &s.over_output,
    ));
    let watt = (&units::WATT, 0);
    rows.push(line(&reader, within, "highest output of the inverters", "W", watt, "output", |s| &s.output));
    let currents: Option<Vec<_>> =
        within.steps.iter().map(|step| Some((step, step.battery_current.as_ref()?))).collect();
    if let Some(currents) = currents {
        let mut cells = vec![words("highest discharge at the battery's lowest voltage")];
        cells.extend(currents.into_iter().map(|(step, current)| {
            reader.number(current, &units::AMPERE, 0, &["within-hour", at(step), "battery-current"])
        }));
        cells.push(words("A"));
        rows.push(row(cells));
    }
    Table {
        id: "within-hour".into(),
        caption: WITHIN_HOUR.into(),
        columns: vec![
            left("what"),
            right("by hours", ""),
            right("uses drawn", ""),
            right("by 15 minutes", ""),
            right("by minutes", ""),
            left(""),
        ],
        rows,
        note: format!(
            "By hours every day is the mean of its kind; then each use stands at an hour drawn from the seed of the weather, on \
               whole days where it is not used on all, and minutes keep the energy of every such hour. Light varies within the hour as Skartveit and Olseth 1992 give it (from \
               memory), the sun being out or behind a cloud; each load is on for its share of the hour. A load given by its yearly energy stays even.{}",
            waiting(study)
        ),
    }
}

/// What shorter steps do not change of loads that wait for the sun.
fn waiting(study: &Study) -> &'static str {
    match &study.year {
        Ok(year) if !year.waited.is_empty() => {
            " Loads that wait for the sun run in the hours that hourly means of the sun gave them: a cloud of some minutes does \
             not hold one up, and the battery bridges it."
        }
        _ => "",
    }
}

fn at(step: &AtStep) -> &'static str {
    match step.minutes {
        60 if step.drawn => "by-hours-drawn",
        60 => "by-hours",
        1 => "by-minutes",
        _ => "by-15-minutes",
    }
}

fn line<T: Measure>(
    reader: &Reader,
    within: &WithinHour,
    what: &str,
    unit: &str,
    (shown_in, decimals): (&Unit, usize),
    name: &str,
    take: impl Fn(&AtStep) -> &Traced<T>,
) -> Row {
    let mut cells = vec![words(what)];
    cells.extend(
        within
            .steps
            .iter()
            .map(|step| reader.number(take(step), shown_in, decimals, &["within-hour", at(step), name])),
    );
    cells.push(words(unit));
    row(cells)
}

/// The busiest minute of each leg and the hardest start of a motor, against what the units give; empty where there is no
/// year.
pub fn busiest_minutes(study: &Study) -> Table {
    let Ok(within) = study.within_hour() else { return Table::default() };
    let reader = Reader::of(study);
    let va = &units::VOLT_AMPERE;
    let against = |cell: Cell, over: bool| if over { toned(cell, Tone::Danger) } else { cell };
    let mut rows = Vec::new();
    for busy in &within.busiest {
        let leg = leg_words(busy.leg);
        let name = format!("leg {:?}", busy.leg);
        let cell = reader.number(&busy.va, va, 0, &["within-hour", &name, "busiest"]);
        let over = match busy.over {
            0 => "stays below".to_string(),
            minutes => format!("{minutes} min a year above, at most {} in a row", busy.longest_over),
        };
        rows.push(row(vec![
            words(format!("busiest minute{leg}")),
            against(cell, busy.limit.is_some_and(|limit| busy.va.si() > limit)),
            words(busy.limit.map_or_else(String::new, |limit| fixed(limit, 0))),
            words(over),
            words(when(busy.at)),
            words(listed(&busy.running.iter().take(4).map(ToString::to_string).collect::<Vec<_>>())),
        ]));
    }
    if let Some(start) = &within.start {
        let cell = reader.number(&start.va, va, 0, &["within-hour", "start"]);
        let lasts = start.lasts_s.map(|seconds| format!("given for {} s", fixed(seconds, 0)));
        rows.push(row(vec![
            words(format!("hardest start{}", leg_words(start.leg))),
            against(cell, start.limit.is_some_and(|limit| start.va.si() > limit)),
            words(start.limit.map_or_else(|| crate::say::NOT_KNOWN.into(), |limit| fixed(limit, 0))),
            words(lasts.unwrap_or_else(|| "for how many seconds is not known".into())),
            words(when(start.at)),
            words(start.load.to_string()),
        ]));
    }
    Table {
        id: "busiest-minutes".into(),
        caption: BUSIEST_MINUTES.into(),
        columns: vec![
            left("what"),
            right("together", "VA"),
            right("the units give", "VA"),
            left("how long"),
            left("when"),
            left("what is on"),
        ],
        rows,
        note: "Volt-amperes of everything on at once, added as if in phase. The minutes are drawn from a seed: another seed \
               meets in other minutes, and what can run together at worst stands with the legs."
            .into(),
    }
}

fn leg_words(leg: loads::Leg) -> String {
    match leg {
        loads::Leg::A => " of leg A".into(),
        loads::Leg::B => " of leg B".into(),
        loads::Leg::Both | loads::Leg::Only => String::new(),
    }
}

/// "9 January, 18:42" of a minute of the nominal year.
fn when(minute: usize) -> String {
    let of_day = minute % 1440;
    format!("{}, {:02}:{:02}", day(minute / 1440), of_day / 60, of_day % 60)
}
