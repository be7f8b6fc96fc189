//! How the house is carried: seasons, every weather year, hours near limits, rehearsal, a unit out of order, rates.

use super::{left, right, row, toned};
use crate::say::{Reader, fixed, words};
use crate::table::{Row, Table, Tone};
use quantity::units;
use study::{MonthStudy, Study, YearStudy};

/// Three months each, as the sky divides the year.
const SEASONS: [(&str, [usize; 3]); 4] =
    [("Dec–Feb", [11, 0, 1]), ("Mar–May", [2, 3, 4]), ("Jun–Aug", [5, 6, 7]), ("Sep–Nov", [8, 9, 10])];

/// The middling year by seasons: sums of the months.
pub fn seasons(year: &YearStudy) -> Table {
    let rows = SEASONS
        .iter()
        .map(|(name, months)| {
            let of: Vec<&MonthStudy> = months.iter().filter_map(|month| year.months.get(*month)).collect();
            let sum = |take: fn(&MonthStudy) -> f64| -> f64 { of.iter().map(|month| take(month)).sum() };
            let kwh = |joules: f64| words(fixed(units::KILOWATT_HOUR.of_si(joules), 0));
            let load = sum(|m| m.load.si());
            let own = sum(|m| m.from_sun.si() + m.from_battery.si());
            row(vec![
                words(*name),
                kwh(load),
                kwh(sum(|m| m.pv.si())),
                kwh(own),
                words(fixed(if load > 0.0 { own / load * 100.0 } else { 100.0 }, 1)),
                toned(kwh(sum(|m| m.backup.si())), Tone::Backup),
                toned(kwh(sum(|m| m.missing.si())), Tone::Danger),
                kwh(sum(|m| m.unused.si())),
            ])
        })
        .collect();
    Table {
        id: "seasons".into(),
        caption: "The middling year by seasons".into(),
        columns: vec![
            left("months"),
            right("asked", "kWh"),
            right("offered by sun", "kWh"),
            right("from sun and battery", "kWh"),
            right("share", "%"),
            right("from backup", "kWh"),
            right("missing", "kWh"),
            right("unused", "kWh"),
        ],
        rows,
        note: String::new(),
    }
}

/// Every weather year in a line.
pub fn every_year(year: &YearStudy) -> Table {
    let results = year.results.as_ref().as_ref().map(Vec::as_slice).unwrap_or_default();
    let rows = results
        .iter()
        .enumerate()
        .map(|(i, result)| {
            let kwh = |wh: f64, decimals| words(fixed(wh / 1000.0, decimals));
            let flows = &result.year;
            let name = if i == year.middling { format!("{} (middling)", i + 1) } else { (i + 1).to_string() };
            row(vec![
                words(name),
                kwh(flows.load_wh, 0),
                kwh(flows.pv_offered_wh, 0),
                toned(words(fixed(flows.backup_h, 0)), Tone::Backup),
                words(result.starts.to_string()),
                words(fixed(result.fuel_l, 0)),
                toned(words(fixed(flows.dark_h, 0)), Tone::Danger),
                toned(kwh(flows.missing_wh[0], 1), Tone::Danger),
                kwh(flows.missing_wh[1], 1),
                kwh(flows.missing_wh[2], 1),
                words(fixed(result.lowest_state_of_charge * 100.0, 0)),
            ])
        })
        .collect();
    let note = match &year.promise {
        Some(promise) => {
            let (low, high) = promise.broken_share;
            format!(
                "The promise is broken in {} of {} years; {} may break it. From so few years, between {} and {} % of all \
                 years break it (nine chances in ten).",
                promise.broken,
                promise.years,
                promise.allowed,
                fixed(low * 100.0, 0),
                fixed(high * 100.0, 0)
            )
        }
        None => String::new(),
    };
    let mut table = Table {
        id: "weather-years".into(),
        caption: "Every weather year".into(),
        columns: vec![
            left("year"),
            right("asked", "kWh"),
            right("offered by sun", "kWh"),
            right("backup", "h"),
            right("starts", ""),
            right("fuel", "L"),
            right("dark", "h"),
            right("missing of must", "kWh"),
            right("of want", "kWh"),
            right("of luxury", "kWh"),
            right("lowest charge", "%"),
        ],
        rows,
        note,
    };
    // Columns in which nothing ever happens say nothing.
    for (column, silent) in [
        (10, !year.has_battery()),
        (5, results.iter().all(|r| r.fuel_l == 0.0)),
        (4, results.iter().all(|r| r.starts == 0)),
    ] {
        if silent {
            table.columns.remove(column);
            table.rows.iter_mut().for_each(|row| drop(row.cells.remove(column)));
        }
    }
    table
}

/// Peaks, and hours of the middling year spent at or near a limit.
pub fn near_limits(study: &Study, year: &YearStudy) -> Table {
    let reader = Reader::of(study);
    let Some(result) = year.result() else { return Table::default() };
    let near = &result.near_limits;
    let mut rows = Vec::new();
    let mut hours = |what: &str, count: u32| {
        if count > 0 {
            rows.push(row(vec![words(what), words(fixed(f64::from(count), 0)), words("h")]));
        }
    };
    hours("inverters at 90 % of their output or more", near.output);
    hours("a leg at 90 % of its output or more", near.leg);
    hours("output lowered by the heat of the room", near.hot_room);
    hours("battery charging at its limit", near.charge);
    hours("battery discharging at 90 % of its limit or more", near.discharge);
    hours("battery empty", near.empty);
    hours("battery full", near.full);
    hours("charging held down by cold cells", near.blocked_by_cold);
    let watts = |what: &str, w: f64| row(vec![words(what), words(fixed(w, 0)), words("W")]);
    rows.insert(0, watts("highest hour of the loads", result.peak_load_w.0));
    rows.insert(1, watts("highest hour of the inverters, their limit being", result.peak_output_w));
    let limit = year.house.inputs.fleet.output_limit_w;
    if let Some(Some(cell)) = rows.get_mut(1).map(|row: &mut Row| row.cells.first_mut()) {
        cell.text = format!("highest hour of the inverters, of {} W", fixed(limit, 0));
    }
    for (leg, (peak, limit)) in ["a", "b"]
        .iter()
        .zip(result.peak_leg_w.into_iter().zip(year.house.inputs.fleet.leg_limit_w.unwrap_or_default()))
        .filter(|_| year.house.inputs.fleet.leg_limit_w.is_some())
    {
        rows.push(watts(&format!("highest hour of leg {leg}, of {} W", fixed(limit, 0)), peak));
    }
    let celsius =
        |value: f64| reader.measure(<quantity::Temperature as quantity::Measure>::from_si(value + 273.15));
    if year.house.inputs.bank.capacity_wh > 0.0 {
        let [low, high] = year.cell_c;
        rows.push(row(vec![
            words("cells of the battery, all years"),
            words(format!("{} to {}", celsius(low), celsius(high))),
            words(""),
        ]));
        if year.house.inputs.room.is_some() {
            let [low, high] = year.room_c;
            rows.push(row(vec![
                words("air of its room as computed, all years"),
                words(format!("{} to {}", celsius(low), celsius(high))),
                words(""),
            ]));
        }
        let thermal = year.house.inputs.bank.thermal;
        if thermal.is_some_and(|cells| cells.heater_w > 0.0) {
            rows.push(row(vec![
                words("asked by its heater"),
                reader.number(&year.heater, &units::KILOWATT_HOUR, 1, &["year", "heater"]),
                words("kWh"),
            ]));
        }
        if year.unused_for_cold.si() > 0.0 {
            rows.push(row(vec![
                words("unused because the cells were too cold"),
                reader.number(&year.unused_for_cold, &units::KILOWATT_HOUR, 1, &["year", "unused-for-cold"]),
                words("kWh"),
            ]));
        }
        rows.push(row(vec![
            words("energy out of the cells"),
            reader.number(&year.throughput, &units::KILOWATT_HOUR, 0, &["year", "throughput"]),
            words("kWh"),
        ]));
        rows.push(row(vec![
            words("full cycles in the year"),
            reader.number(&year.full_cycles, &units::NUMBER, 0, &["year", "full-cycles"]),
            words(""),
        ]));
    }
    if let Some(life) = &year.life {
        rows.push(row(vec![
            words(format!("years to {} % of its capacity", fixed(life.end * 100.0, 0))),
            reader.number(&life.years, &units::NUMBER, 0, &["year", "battery-life"]),
            words(format!("{}–{}", fixed(life.between[0], 0), fixed(life.between[1], 0))),
        ]));
    }
    let note = match &year.performance_ratio {
        Some(ratio) => format!(
            "Performance ratio (IEC 61724-1) {} %: AC energy from the sun over rated power times light on the planes; what \
             stays unused lowers it.",
            fixed(ratio.si() * 100.0, 0)
        ),
        None => String::new(),
    };
    Table {
        id: "limits".into(),
        caption: "Peaks and limits in the middling year".into(),
        columns: vec![left("what"), right("value", ""), left("")],
        rows,
        note,
    }
}

/// The rehearsal without utility and generator, as the year stands then and from the share held back.
pub fn rehearsal(study: &Study, year: &YearStudy) -> Table {
    let reader = Reader::of(study);
    let Some(drill) = &year.drill else { return Table::default() };
    let percent = |share: f64| fixed(share * 100.0, 0);
    let [low, middle, high] = drill.start_charge;
    let hour = &units::HOUR;
    let named = |what: &'static str| ["year", "drill", what];
    let held = year.house.inputs.held_back.max(year.house.inputs.bank.usable_low);
    let rows = vec![
        row(vec![
            words("as full as the year has it"),
            words(format!("{} ({}–{})", percent(middle), percent(low), percent(high))),
            toned(reader.number(&drill.dark, hour, 0, &named("dark-hours")), Tone::Danger),
            toned(reader.number(&drill.worst_dark, hour, 0, &named("worst-dark-hours")), Tone::Danger),
            words(format!("{} of {}", drill.carried, drill.of)),
        ]),
        row(vec![
            words("only the share held back"),
            words(percent(held)),
            toned(reader.number(&drill.held_dark, hour, 0, &named("held-dark-hours")), Tone::Danger),
            toned(
                reader.number(&drill.held_worst_dark, hour, 0, &named("held-worst-dark-hours")),
                Tone::Danger,
            ),
            words(format!("{} of {}", drill.held_carried, drill.of)),
        ]),
    ];
    Table {
        id: "drill".into(),
        caption: "Rehearsal: no utility and no generator".into(),
        columns: vec![
            left("begun with"),
            right("charge", "%"),
            right("dark, middling", "h"),
            right("dark, worst", "h"),
            right("every must-load carried", "years"),
        ],
        rows,
        note: String::new(),
    }
}

/// Caption of [`without_a_unit`], for who names the table before it is made.
pub const WITHOUT_A_UNIT: &str = "A whole year while one unit is out of order";

/// The year while one inverter is out of order; empty for a study of less than [`study::Depth::Whole`].
pub fn without_a_unit(study: &Study, year: &YearStudy) -> Table {
    let reader = Reader::of(study);
    let hour = &units::HOUR;
    let rows = year
        .broken
        .iter()
        .map(|broken| {
            let named = |what: &'static str| ["year", "without", &broken.unit, what];
            row(vec![
                words(broken.unit.to_string()),
                toned(reader.number(&broken.dark, hour, 0, &named("dark-hours")), Tone::Danger),
                toned(reader.number(&broken.worst_dark, hour, 0, &named("worst-dark-hours")), Tone::Danger),
                toned(reader.number(&broken.backup, hour, 0, &named("backup-hours")), Tone::Backup),
            ])
        })
        .collect();
    Table {
        id: "one-unit-out".into(),
        caption: WITHOUT_A_UNIT.into(),
        columns: vec![
            left("out of order"),
            right("dark, middling", "h"),
            right("dark, worst", "h"),
            right("backup, middling", "h"),
        ],
        rows,
        note: "Its output, its idle draw and its strings are gone; whether the others start and run without it is the \
               maker's to say."
            .into(),
    }
}

/// Loads that wait for the sun, and how far it reached.
pub fn waited(study: &Study, year: &YearStudy) -> Table {
    let reader = Reader::of(study);
    let kwh = &units::KILOWATT_HOUR;
    let rows = year
        .waited
        .iter()
        .map(|load| {
            let named = |what: &'static str| ["year", "waited", &load.name, what];
            let (on_sun, without) = (load.on_sun.si(), load.without_sun.si());
            let share = if on_sun + without > 0.0 { on_sun / (on_sun + without) * 100.0 } else { 100.0 };
            row(vec![
                words(load.name.to_string()),
                words(format!("{}–{} h", load.window.0, load.window.1)),
                reader.number(&load.on_sun, kwh, 1, &named("on-sun")),
                reader.number(&load.without_sun, kwh, 1, &named("without-sun")),
                words(fixed(share, 0)),
                words(load.days_without.to_string()),
            ])
        })
        .collect();
    Table {
        id: "waited".into(),
        caption: "Loads that wait for the sun, in the middling year".into(),
        columns: vec![
            left("load"),
            left("may run"),
            right("on spare sun", "kWh"),
            right("without", "kWh"),
            right("on sun", "%"),
            right("days not enough", ""),
        ],
        rows,
        note: "Each runs as soon as the sun gives more than the loads that cannot wait, in the order of the list; what the sun \
               has not covered runs in the last of its hours, from the battery or from what stands behind it. Hours of \
               standard time."
            .into(),
    }
}

/// Bought and sold at each rate of the utility.
pub fn by_rate(study: &Study, year: &YearStudy) -> Table {
    let reader = Reader::of(study);
    let kwh = &units::KILOWATT_HOUR;
    let rows = year
        .by_rate
        .iter()
        .map(|(rate, bought, sold)| {
            row(vec![
                words(rate.to_string()),
                reader.number(bought, kwh, 0, &["year", "rates", rate, "bought"]),
                reader.number(sold, kwh, 0, &["year", "rates", rate, "sold"]),
            ])
        })
        .collect();
    Table {
        id: "rates".into(),
        caption: "Over the utility's meter, by rate".into(),
        columns: vec![left("rate"), right("bought", "kWh"), right("sold", "kWh")],
        rows,
        note: String::new(),
    }
}

/// What happens at each module input: the hourly open-circuit voltage beside the design extreme, and what was lost there.
pub fn at_inputs(study: &Study, year: &YearStudy) -> Table {
    let reader = Reader::of(study);
    let kwh = &units::KILOWATT_HOUR;
    let mut columns =
        vec![left("input"), right("highest hour", "V"), right("coldest morning", "V"), right("limited", "h")];
    let causes = year.inputs.first().map(|input| input.lost.iter().map(|(cause, _)| *cause).collect());
    let causes: Vec<&str> = causes.unwrap_or_default();
    columns.extend(causes.iter().map(|cause| right(cause, "kWh")));
    let rows: Vec<Row> = year
        .inputs
        .iter()
        .map(|input| {
            let number = format!("input {}", input.number);
            let named = |what: &[&str]| -> Vec<String> {
                ["inputs", &input.unit, &number].iter().chain(what).map(ToString::to_string).collect()
            };
            let path = named(&["hourly-voc"]);
            let path: Vec<&str> = path.iter().map(String::as_str).collect();
            let extreme = study
                .strings
                .iter()
                .filter(|string| string.unit == input.unit && string.input == input.number)
                .filter_map(|string| Some((string, string.cold_voc.known()?)))
                .max_by(|a, b| a.1.si().total_cmp(&b.1.si()));
            let mut cells = vec![
                words(format!("{} {number}", input.unit)),
                reader.number(&input.highest, &units::VOLT, 0, &path),
                extreme.map_or_else(super::unknown, |(string, volts)| {
                    reader.number(volts, &units::VOLT, 0, &["strings", &string.name, "cold-voc"])
                }),
                words(input.limited_h.to_string()),
            ];
            for (cause, lost) in &input.lost {
                let path = named(&["lost", cause]);
                let path: Vec<&str> = path.iter().map(String::as_str).collect();
                cells.push(reader.number(lost, kwh, 1, &path));
            }
            row(cells)
        })
        .collect();
    let mut table = Table {
        id: "at-inputs".into(),
        caption: "At the module inputs".into(),
        columns,
        rows,
        note: "Open-circuit voltage in the mean light and heat of an hour, the highest of all weather years; the coldest \
               morning is what the design must bear. Lost in the middling year, before what the sun offers above."
            .into(),
    };
    // Causes that take nothing anywhere say nothing.
    for (i, _) in causes.iter().enumerate().rev() {
        if year.inputs.iter().all(|input| input.lost.get(i).is_none_or(|lost| kwh.of_si(lost.1.si()) < 0.05))
        {
            table.columns.remove(4 + i);
            table.rows.iter_mut().for_each(|row| drop(row.cells.remove(4 + i)));
        }
    }
    table
}
