//! Pictures of the strings, each with its table: what they reach at every temperature of the air, and where their modules lie.

use crate::drawing::{Form, Limit, Line, PlaneLayout, StringOnPlane, line_with_band, string_map};
use crate::say::{Reader, fixed, listed, plural, words};
use crate::sheets::{left, right, row, unknown};
use crate::sky::SkyPicture;
use crate::table::{Cell, Row, Table, Tone};
use quantity::{Count, Fact, Origin, Temperature, Units, units};
use study::{StringStudy, Study};

/// Strings that reach the same volts and go into alike inputs, so that one picture shows them all.
fn alike(study: &Study) -> Vec<Vec<&StringStudy>> {
    let key = |s: &StringStudy| {
        [&s.cold_voc, &s.cold_vmp, &s.hot_vmp, &s.limit, &s.track_low, &s.track_high]
            .map(|fact| fact.si().map(f64::to_bits))
    };
    let mut groups: Vec<Vec<&StringStudy>> = Vec::new();
    for string in study.strings.iter().filter(|s| !at_ends(study, s).is_empty()) {
        match groups.iter_mut().find(|group| group.first().is_some_and(|one| key(one) == key(string))) {
            Some(group) => group.push(string),
            None => groups.push(vec![string]),
        }
    }
    groups
}

fn celsius(fact: &Fact<Temperature>) -> Option<f64> {
    fact.si().map(|kelvin| units::CELSIUS.of_si(kelvin))
}

/// The coldest and the hottest air at which the string can be told; empty where it cannot.
fn at_ends(study: &Study, string: &StringStudy) -> Vec<f64> {
    let place = &study.design.system.place;
    let told = |air: &f64| string.at_air(&study.design.system, *air).is_some();
    let (cold, hot) = (celsius(&place.coldest), celsius(&place.hottest));
    match (cold, hot) {
        (Some(cold), Some(hot)) if cold < hot => [cold, hot].into_iter().filter(told).collect(),
        _ => Vec::new(),
    }
}

/// What every string reaches from the coldest to the hottest air, against the window and the limit of its input: one picture
/// for all strings that are alike.
pub fn voltage(study: &Study, form: Form) -> Vec<SkyPicture> {
    let groups = alike(study);
    let several = groups.len() > 1;
    groups.iter().enumerate().filter_map(|(at, group)| voltage_of(study, group, at, several, form)).collect()
}

fn voltage_of(
    study: &Study,
    group: &[&StringStudy],
    at: usize,
    several: bool,
    form: Form,
) -> Option<SkyPicture> {
    let string = *group.first()?;
    let system = &study.design.system;
    let (us, ends) = (system.units == Units::Us, at_ends(study, string));
    let shown = |c: f64| if us { c * 9.0 / 5.0 + 32.0 } else { c };
    let (&cold, &hot) = (ends.first()?, ends.last()?);
    let (at_cold, at_hot) = (string.at_air(system, cold)?, string.at_air(system, hot)?);
    // All three are straight in temperature, so their ends say all of them.
    let line = |name: &str, class, from: f64, to: f64| Line {
        name: name.into(),
        class,
        points: vec![(shown(cold), from), (shown(hot), to)],
        marked: Vec::new(),
    };
    let mut open = line("open circuit", "curve", at_cold.open, at_hot.open);
    open.marked.push((shown(cold), at_cold.open, format!("{} V", fixed(at_cold.open, 0))));
    let mut warm = line("working in full sun", "curve-sun", at_cold.working_warm, at_hot.working_warm);
    warm.marked.push((shown(hot), at_hot.working_warm, format!("{} V", fixed(at_hot.working_warm, 0))));
    let cool = line("working, cells cool", "curve-second", at_cold.working_cool, at_hot.working_cool);
    let mut limits = Vec::new();
    if let Some(value) = string.limit.si() {
        limits.push(Limit { name: "must not exceed".into(), value, class: "limit" });
    }
    let own = string.module_limit.si().filter(|own| string.limit.si().is_none_or(|limit| *own < 1.3 * limit));
    if let Some(value) = own.filter(|own| Some(*own) != string.limit.si()) {
        limits.push(Limit { name: "module's own limit".into(), value, class: "limit-soft" });
    }
    let band = string.track_low.si().zip(string.track_high.si());
    let names = listed(&group.iter().map(|s| s.name.to_string()).collect::<Vec<_>>());
    let unknown_limit =
        if string.limit.is_known() { "" } else { " The least limit on their way is not known yet." };
    Some(SkyPicture {
        id: if at == 0 { "string-voltage".into() } else { format!("string-voltage-{}", at + 1) },
        title: match several {
            true => format!("String voltage against temperature: {names}"),
            false => "String voltage against temperature".into(),
        },
        describes: format!(
            "What {names} {} at every temperature of the air: open circuit and working with cells still cool, and working in \
             full sun, with the window of the {} they go into.{unknown_limit}",
            if group.len() == 1 { "reaches" } else { "each reach" },
            if group.len() == 1 { "input" } else { "inputs" },
        ),
        drawing: line_with_band(
            &[open, cool, warm],
            band.map(|(low, high)| ("tracking window", low, high)),
            &limits,
            if us { "air temperature, °F" } else { "air temperature, °C" },
            "V",
            form,
        ),
        frame: None,
        table: voltage_table(study, string, &names, (cold, hot)),
    })
}

/// Volts at the coldest air, at round temperatures and at the hottest air.
fn voltage_table(study: &Study, string: &StringStudy, names: &str, (cold, hot): (f64, f64)) -> Table {
    let system = &study.design.system;
    let reader = Reader::of(study);
    let us = system.units == Units::Us;
    let (step, to_c): (f64, fn(f64) -> f64) = if us { (20.0, |f| (f - 32.0) / 1.8) } else { (10.0, |c| c) };
    let of_c = |c: f64| if us { c * 9.0 / 5.0 + 32.0 } else { c };
    let first = (of_c(cold) / step).floor() as i32 + 1;
    let last = (of_c(hot) / step).ceil() as i32 - 1;
    let mut airs = vec![cold];
    airs.extend((first..=last).map(|k| to_c(f64::from(k) * step)).filter(|c| *c > cold && *c < hot));
    airs.push(hot);
    let volts = |value: f64| words(fixed(value, 1));
    let named = |fact: &Fact<quantity::Voltage>, what: &str| match fact {
        Fact::Known(traced) => reader.number(traced, &units::VOLT, 1, &["strings", &string.name, what]),
        Fact::Unknown(_) => unknown(),
    };
    let rows = airs.iter().filter_map(|air| {
        let at = string.at_air(system, *air)?;
        let cool = if *air == cold { named(&string.cold_vmp, "cold-vmp") } else { volts(at.working_cool) };
        let open = if *air == cold { named(&string.cold_voc, "cold-voc") } else { volts(at.open) };
        let warm = if *air == hot { named(&string.hot_vmp, "hot-vmp") } else { volts(at.working_warm) };
        let room = match string.limit.si().map(|limit| limit - at.open) {
            Some(room) => Cell {
                text: fixed(room, 1),
                tone: if room < 0.0 { Tone::Danger } else { Tone::Plain },
                ..Cell::default()
            },
            None => unknown(),
        };
        Some(row(vec![words(fixed(of_c(*air), 0)), open, room, cool, warm]))
    });
    let rows: Vec<Row> = rows.collect();
    let tracks = match (string.track_low.si(), string.track_high.si()) {
        (Some(low), Some(high)) => {
            format!(" The input tracks from {} to {} V.", fixed(low, 0), fixed(high, 0))
        }
        _ => String::new(),
    };
    Table {
        id: format!("volts-{}", quantity::slug(&string.name)),
        caption: format!("Voltage of {names} by temperature"),
        columns: vec![
            right("air", if us { "°F" } else { "°C" }),
            right("open circuit", "V"),
            right("left to the limit", "V"),
            right("working, cells cool", "V"),
            right("working in full sun", "V"),
        ],
        rows,
        note: format!(
            "Coldest and hottest air are those of the design. Open circuit is on a bright morning, before the sun has warmed the \
             cells; in full sun they are warmer than the air by what the mounting says.{tracks}"
        ),
    }
}

/// A count the owner wrote; 0 where it is not stated.
fn stated(count: Option<&Fact<Count>>) -> usize {
    count
        .and_then(Fact::known)
        .filter(|count| matches!(count.origin, Origin::Stated(_)))
        .map_or(0, |count| count.value.0 as usize)
}

fn layouts(study: &Study) -> Vec<PlaneLayout> {
    let system = &study.design.system;
    let said = |count: &Option<Fact<Count>>| Some(stated(count.as_ref())).filter(|count| *count > 0);
    let planes = system.planes.iter().filter_map(|plane| {
        let strings: Vec<StringOnPlane> = system
            .strings
            .iter()
            .filter(|s| s.string.plane == plane.name)
            .filter_map(|s| {
                let modules = s.string.count.value()?.0 as usize;
                let (row, first_column) = (said(&s.row), said(&s.first_column));
                Some(StringOnPlane { name: s.string.name.to_string(), modules, row, first_column })
            })
            .collect();
        (!strings.is_empty()).then(|| PlaneLayout {
            name: plane.name.to_string(),
            rows: stated(system.site(&plane.name).map(|site| &site.modules_high)),
            columns: stated(system.site(&plane.name).and_then(|site| site.modules_wide.as_ref())),
            strings,
        })
    });
    planes.collect()
}

/// The modules of every plane, numbered and hatched by string; nothing where no string is said.
pub fn layout(study: &Study, form: Form) -> Option<SkyPicture> {
    let layouts = layouts(study);
    let silent: Vec<String> = layouts.iter().filter(|l| !l.is_said()).map(|l| l.name.clone()).collect();
    let describes = match silent.is_empty() {
        true => {
            "Modules of each plane as one looks at the glass, numbered and hatched by string.".to_string()
        }
        false => format!(
            "Modules of each plane, numbered and hatched by string. Where those of {} lie was not written; they are drawn in \
             the order of the design.",
            listed(&silent)
        ),
    };
    (!layouts.is_empty()).then(|| SkyPicture {
        id: "string-map".into(),
        title: "Which module belongs to which string".into(),
        describes,
        drawing: string_map(&layouts, form),
        frame: None,
        table: layout_table(&layouts),
    })
}

/// Where each stretch of a string lies: "row 2, columns 1 to 9, modules 1 to 9".
fn layout_table(layouts: &[PlaneLayout]) -> Table {
    let between = |a: usize, b: usize| if a == b { a.to_string() } else { format!("{a} to {b}") };
    let mut rows = Vec::new();
    let mut twice = 0;
    for plane in layouts {
        let (high, _) = plane.shape();
        let modules = plane.modules();
        twice += modules
            .iter()
            .enumerate()
            .filter(|(k, m)| modules[..*k].iter().any(|o| (o.row, o.column) == (m.row, m.column)))
            .count();
        for stretch in modules.chunk_by(|a, b| a.string == b.string && a.row == b.row) {
            let (Some(first), Some(last)) = (stretch.first(), stretch.last()) else { continue };
            let (from, to) = (first.column.min(last.column) + 1, first.column.max(last.column) + 1);
            rows.push(row(vec![
                words(plane.name.clone()),
                words(plane.strings[first.string].name.clone()),
                words((high - first.row).to_string()),
                words(between(from, to)),
                words(between(first.number, last.number)),
            ]));
        }
    }
    let mut note =
        "Rows are counted up from the lower edge, columns from the left as one looks at the glass."
            .to_string();
    if twice > 0 {
        note.push_str(&format!(
            " {} said to lie where another lies already.",
            plural(twice, "module is", "modules are")
        ));
    }
    Table {
        id: "string-map-table".into(),
        caption: "Where the modules lie".into(),
        columns: vec![
            left("plane"),
            left("string"),
            right("row", ""),
            right("columns", ""),
            right("modules", ""),
        ],
        rows,
        note,
    }
}
