//! What a weather file lacked and what stands there now; what else is to be known of the years.

use super::{left, right, row};
use crate::say;
use crate::table::{Cell, Table};
use study::{FilledStretch, Look, Study};

/// How many stretches the table lists one by one.
const LISTED: usize = 40;

fn words(text: impl Into<String>) -> Cell {
    Cell { text: text.into(), ..Cell::default() }
}

/// Hours that the file lacked, each stretch with its line and how it was filled; `None` where nothing was.
pub fn filled_table(look: &Look) -> Option<Table> {
    let filled = &look.weather.filled;
    let many = filled.iter().any(|stretch| stretch.year.is_some());
    let mut rows = Vec::new();
    for stretch in filled.iter().take(LISTED) {
        let mut cells = vec![
            words(stretch.quantity.name()),
            words(if stretch.never_given { "every hour".to_string() } else { stretch.from() }),
            words(stretch.hours.to_string()),
            words(place_in_file(stretch)),
            words(stretch.method.clone()),
        ];
        if many {
            cells.insert(0, words(stretch.year.map(|year| year.to_string()).unwrap_or_default()));
        }
        rows.push(row(cells));
    }
    if rows.is_empty() {
        return None;
    }
    let mut columns =
        vec![left("what"), left("from"), right("hours", "h"), left("in the file"), left("filled how")];
    if many {
        columns.insert(0, left("year"));
    }
    let more = match filled.len().saturating_sub(LISTED) {
        0 => String::new(),
        more => {
            let hours: usize = filled[LISTED..].iter().map(|stretch| stretch.hours).sum();
            format!(
                "{more} more stretches, {hours} hours together, are in the machine form of weather look. "
            )
        }
    };
    Some(Table {
        id: "filled".into(),
        caption: "Hours the weather file lacked".into(),
        columns,
        rows,
        note: format!(
            "{more}Hours are named by the stamp that closes them. place.weather.gaps says what becomes of them: \
             \"fill\", \"bridge\" (no borrowed days) or \"refuse\"."
        ),
    })
}

fn place_in_file(stretch: &FilledStretch) -> String {
    match (stretch.lines, stretch.after_line) {
        _ if stretch.never_given => "no such column".into(),
        (Some((first, last)), _) if first == last => format!("line {first}"),
        (Some((first, last)), _) => format!("lines {first} to {last}"),
        (None, Some(line)) => format!("left out after line {line}"),
        (None, None) => "not said".into(),
    }
}

/// What the owner should know of the weather years, a sentence each: their spread, their bias, what is odd of a file.
pub fn weather_remarks(study: &Study) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    if let Ok(sky) = &study.sky {
        lines.extend(super::spread_words(&sky.weather));
        let remarks = sky.weather.doubtful.iter().chain(&sky.elsewhere).chain(&sky.weather.remarks);
        for remark in remarks {
            let line = format!("{}.", say::begun(remark));
            if !lines.contains(&line) {
                lines.push(line);
            }
        }
    }
    lines
}
