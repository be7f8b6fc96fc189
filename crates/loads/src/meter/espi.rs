//! Interval readings in XML after NAESB REQ.21, Energy Services Provider Interface (ESPI): an Atom feed of usage points,
//! meter readings, reading types and interval blocks that name each other by links.

use super::{Interval, MeterError, Readings};
use roxmltree::{Document, Node};

/// Unit of measure 72 is the watt-hour.
const WATT_HOUR: &str = "72";
/// Flow direction 19 is reverse: from the house to the utility.
const REVERSE: &str = "19";

/// A reading type.
struct Kind<'a> {
    href: &'a str,
    factor: f64,
    reverse: bool,
    unit: &'a str,
}

/// Reads a feed.
///
/// # Errors
/// Where it is no feed with energy readings; see [`MeterError`].
pub fn read_espi(bytes: &[u8]) -> Result<Readings, MeterError> {
    let text = std::str::from_utf8(bytes).map_err(|_| MeterError::NotText)?;
    let document = Document::parse(text.trim_start_matches('\u{feff}'))
        .map_err(|error| MeterError::NotXml { says: error.to_string() })?;
    let lines: Vec<usize> = document.input_text().match_indices('\n').map(|(at, _)| at).collect();
    let line = |node: Node<'_, '_>| lines.partition_point(|at| *at < node.range().start) + 1;
    let entries: Vec<Node<'_, '_>> = document.descendants().filter(|n| n.has_tag_name_of("entry")).collect();
    let kinds: Vec<Kind<'_>> = entries
        .iter()
        .filter_map(|entry| {
            let kind = below(*entry, "ReadingType")?;
            let tens: i32 = word(kind, "powerOfTenMultiplier").and_then(|p| p.parse().ok()).unwrap_or(0);
            Some(Kind {
                href: links(*entry, "self").next().unwrap_or(""),
                factor: libm::pow(10.0, f64::from(tens.clamp(-12, 12))),
                reverse: word(kind, "flowDirection") == Some(REVERSE),
                unit: word(kind, "uom").unwrap_or(""),
            })
        })
        .collect();
    let meters: Vec<Node<'_, '_>> =
        entries.iter().copied().filter(|entry| below(*entry, "MeterReading").is_some()).collect();
    let mut readings = Readings {
        offset_s: document
            .descendants()
            .find(|node| node.has_tag_name_of("LocalTimeParameters"))
            .and_then(|local| word(local, "tzOffset")?.parse().ok()),
        ..Readings::default()
    };
    for entry in &entries {
        let blocks: Vec<Node<'_, '_>> =
            entry.descendants().filter(|node| node.has_tag_name_of("IntervalBlock")).collect();
        let Some(block) = blocks.first() else { continue };
        let kind = kind_of(*entry, &kinds, &meters).ok_or(MeterError::Unlinked { line: line(*block) })?;
        if kind.unit != WATT_HOUR {
            continue;
        }
        for reading in blocks.iter().flat_map(|block| block.children()) {
            if !reading.has_tag_name_of("IntervalReading") {
                continue;
            }
            let at = line(reading);
            let period = reading.children().find(|node| node.has_tag_name_of("timePeriod"));
            let number = |node: Option<Node<'_, '_>>, name: &str| -> Result<i64, MeterError> {
                let found = node.and_then(|node| word(node, name)).unwrap_or("");
                found.parse().map_err(|_| MeterError::Unreadable {
                    line: at,
                    what: format!("a whole number as {name}"),
                    found: found.to_string(),
                })
            };
            let seconds = number(period, "duration")?;
            if seconds < 0 {
                let found = seconds.to_string();
                return Err(MeterError::Unreadable {
                    line: at,
                    what: "a duration of at least 0".into(),
                    found,
                });
            }
            let wh = number(Some(reading), "value")? as f64 * kind.factor;
            let one = Interval { start_s: number(period, "start")?, seconds, wh: wh.abs(), line: at };
            if kind.reverse != (wh < 0.0) {
                readings.fed.push(one)
            } else {
                readings.taken.push(one)
            }
            // A net meter writes what is fed back as a negative number: nothing was taken then, which is no gap.
            if !kind.reverse && wh < 0.0 {
                readings.taken.push(Interval { wh: 0.0, ..one });
            }
        }
    }
    if readings.taken.is_empty() && readings.fed.is_empty() {
        let found = kinds.iter().map(|kind| kind.unit.to_string()).collect();
        return Err(MeterError::NoEnergy { found });
    }
    Ok(readings)
}

/// The reading type of a block: through the meter reading it lies under; the only one there is where links are wanting.
fn kind_of<'a>(block: Node<'_, '_>, kinds: &'a [Kind<'a>], meters: &[Node<'_, '_>]) -> Option<&'a Kind<'a>> {
    if let [only] = kinds {
        return Some(only);
    }
    let up = links(block, "up").next()?;
    let meter = meters.iter().find(|meter| {
        links(**meter, "related").any(|href| href == up)
            || links(**meter, "self").any(|href| Some(href) == up.strip_suffix("/IntervalBlock"))
    })?;
    kinds.iter().find(|kind| links(*meter, "related").any(|href| href == kind.href))
}

/// Elements by their name in any namespace: feeds use several for the same.
trait ByName {
    fn has_tag_name_of(&self, name: &str) -> bool;
}

impl ByName for Node<'_, '_> {
    fn has_tag_name_of(&self, name: &str) -> bool {
        self.is_element() && self.tag_name().name() == name
    }
}

fn below<'a, 'b>(node: Node<'a, 'b>, name: &str) -> Option<Node<'a, 'b>> {
    node.descendants().find(|node| node.has_tag_name_of(name))
}

fn word<'a>(node: Node<'a, '_>, name: &str) -> Option<&'a str> {
    node.children().find(|node| node.has_tag_name_of(name))?.text().map(str::trim)
}

fn links<'a>(entry: Node<'a, '_>, rel: &'a str) -> impl Iterator<Item = &'a str> {
    entry
        .children()
        .filter(move |node| node.has_tag_name_of("link") && node.attribute("rel") == Some(rel))
        .filter_map(|node| node.attribute("href"))
}
