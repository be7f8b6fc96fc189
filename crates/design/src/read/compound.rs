//! Values of several parts: bearings, months, curves, hours of the day, lists of records.

use super::interpret::Reader;
use super::shapes::{Spot, all};
use super::tree::{Node, Value};
use super::{Given, Span, What};
use crate::catalogue::{Field, Shape, field};
use crate::problem::{Label, Problem};
use quantity::{CompassBearing, Kind, TrueBearing, parse, print};

/// The record of a compass bearing.
pub(crate) static COMPASS: &[Field] = &[
    field(
        "compass",
        Shape::Quantity(Kind::CompassBearing),
        "What the compass shows, clockwise from magnetic north.",
    )
    .needed(),
    field("taken", Shape::Date, "The day it was read; the magnetic pole wanders."),
    field(
        "declination",
        Shape::Quantity(Kind::Angle),
        "How far magnetic north lies east of true north at the place; west is negative.",
    )
    .within(-std::f64::consts::PI, std::f64::consts::PI),
];

/// Parts of the day with their hours: morning 6–10, midday 10–16, evening 16–22, night 22–6.
const PARTS_OF_DAY: [(&str, f64); 4] = [("morning", 4.0), ("midday", 6.0), ("evening", 6.0), ("night", 8.0)];

impl Reader<'_> {
    pub(super) fn bearing(&mut self, spot: &Spot<'_>) -> Option<Given> {
        let Value::Table(table) = &spot.node.value else {
            if let Value::Text(text) = &spot.node.value
                && let Some(bearing) = quantity::bearing_of_words(text)
            {
                return Some(Given::Bearing(bearing));
            }
            return match self.quantity(spot, spot.node, &[Kind::TrueBearing])? {
                Given::Quantity { si, .. } if in_a_turn(si) => {
                    Some(Given::Bearing(TrueBearing::from_degrees(si.to_degrees())))
                }
                _ => self.no_bearing(spot, spot.node),
            };
        };
        let entries = self.entries(COMPASS, table, spot.called, spot.key_span);
        let find = |key: &str| entries.iter().find(|entry| entry.field.key == key).map(|entry| &entry.value);
        let taken = match find("taken") {
            Some(Given::Date(year, month, day)) => Some((*year, *month, *day)),
            _ => None,
        };
        let declination_deg = match find("declination") {
            Some(Given::Quantity { si, .. }) => Some(si.to_degrees()),
            _ => None,
        };
        match find("compass")? {
            Given::Quantity { si, .. } if in_a_turn(*si) => {
                let bearing = CompassBearing::from_degrees(si.to_degrees());
                Some(Given::Compass { bearing, taken, declination_deg })
            }
            Given::Unknown => Some(Given::Unknown),
            _ => {
                let node = table.get("compass").map_or(spot.node, |member| &member.node);
                self.no_bearing(spot, node)
            }
        }
    }

    fn no_bearing(&mut self, spot: &Spot<'_>, node: &Node) -> Option<Given> {
        let says = format!("{} is {}; a bearing lies between 0° and 360°", spot.called, self.source(node));
        self.problem(spot, What::OutOfRange, says, &node.span, "clockwise from north", None)
    }

    pub(super) fn months(
        &mut self,
        spot: &Spot<'_>,
        list: &[Node],
        kind: Kind,
        factor: f64,
    ) -> Option<Given> {
        let numbers = all(list.iter().map(|node| self.bare(spot, node, kind, factor)).collect())?;
        match <[f64; 12]>::try_from(numbers) {
            Ok(months) => Some(Given::Months(months)),
            Err(numbers) => {
                let says = format!("{} has {} numbers; a year has twelve months", spot.called, numbers.len());
                self.problem(spot, What::WrongShape, says, &spot.node.span, "not twelve", None)
            }
        }
    }

    pub(super) fn curve(&mut self, spot: &Spot<'_>) -> Option<Given> {
        let Value::Table(table) = &spot.node.value else {
            return None;
        };
        let mut points: Vec<(f64, f64, Span)> = Vec::new();
        let mut whole = true;
        for member in &table.members {
            let at = match parse(Kind::Ratio, &member.key) {
                Ok(at) => at,
                Err(error) => {
                    let key = Node { span: member.key_span.clone(), value: Value::Text(member.key.clone()) };
                    self.misread::<()>(spot, &key, &error, Kind::Ratio.in_words());
                    whole = false;
                    continue;
                }
            };
            match self.quantity(spot, &member.node, &[Kind::Ratio]) {
                Some(Given::Quantity { si, .. }) => points.push((at, si, member.key_span.clone())),
                _ => whole = false,
            }
        }
        points.sort_by(|a, b| a.0.total_cmp(&b.0));
        if let Some(pair) = points.windows(2).find(|pair| pair[0].0 == pair[1].0) {
            self.problems.push(Problem {
                what: What::Contradiction,
                says: format!(
                    "{} is given twice at {}",
                    spot.called,
                    print(pair[0].0, Kind::Ratio, self.units)
                ),
                help: "Keep one of the two.".into(),
                labels: pair
                    .iter()
                    .map(|point| Label { span: point.2.clone(), says: "the same share".into() })
                    .collect(),
                mend: None,
            });
            return None;
        }
        if points.is_empty() {
            return if whole { self.wrong_shape(spot, spot.node, None) } else { None };
        }
        whole.then(|| Given::Curve(points.into_iter().map(|(at, value, _)| (at, value)).collect()))
    }

    /// A bare number of hours is spread evenly over the day.
    pub(super) fn day_hours(&mut self, spot: &Spot<'_>) -> Option<Given> {
        let bound = |reader: &mut Self, node: &Node, most: f64, part: &str| {
            let hours = reader.number(spot, node)?;
            if (0.0..=most).contains(&hours) {
                return Some(hours);
            }
            let says = format!("{} is {}; {part} has 0 to {most} hours", spot.called, reader.source(node));
            reader.problem(spot, What::OutOfRange, says, &node.span, "out of range", None)
        };
        let Value::Table(table) = &spot.node.value else {
            if !matches!(spot.node.value, Value::Integer(_) | Value::Float(_)) {
                return self.wrong_shape(spot, spot.node, None);
            }
            let hours = bound(self, spot.node, 24.0, "a day")?;
            return Some(Given::DayHours(PARTS_OF_DAY.map(|(_, length)| hours * length / 24.0)));
        };
        let mut hours = [0.0; 4];
        let mut whole = true;
        for member in &table.members {
            let Some(part) = PARTS_OF_DAY.iter().position(|(name, _)| *name == member.key) else {
                self.unknown_key(
                    &member.key,
                    &member.key_span,
                    &PARTS_OF_DAY.map(|(name, _)| name),
                    spot.called,
                );
                whole = false;
                continue;
            };
            let (name, length) = PARTS_OF_DAY[part];
            match bound(self, &member.node, length, name) {
                Some(value) => hours[part] = value,
                None => whole = false,
            }
        }
        whole.then_some(Given::DayHours(hours))
    }

    pub(super) fn records(
        &mut self,
        spot: &Spot<'_>,
        fields: &'static [Field],
        list: &[Node],
    ) -> Option<Given> {
        let mut records = Vec::with_capacity(list.len());
        for (index, node) in list.iter().enumerate() {
            match &node.value {
                Value::Table(table) => {
                    let called = format!("{}.{}", spot.called, index + 1);
                    records.push((self.entries(fields, table, &called, &node.span), node.span.clone()));
                }
                Value::Broken => {}
                _ => {
                    self.wrong_shape::<()>(spot, node, None);
                }
            }
        }
        Some(Given::Records(records))
    }
}

fn in_a_turn(radians: f64) -> bool {
    (-1e-9..=std::f64::consts::TAU + 1e-9).contains(&radians)
}
