//! What was understood of a design text, before it becomes a system.

use crate::catalogue::{Field, Table};
use quantity::{CompassBearing, Gauge, Kind, Money, TrueBearing};
use std::ops::Range;
use std::sync::Arc;

/// Bytes of the source text.
pub type Span = Range<usize>;

/// One table of the file as it was understood: `[place]`, one `[module.NAME]`, one `[[string]]`.
#[derive(Clone, Debug)]
pub struct Item {
    /// Its description.
    pub table: &'static Table,
    /// The owner's name, or the ordinal for unnamed tables, or empty for single ones.
    pub name: Arc<str>,
    /// Path: `place`, `module.field`, `string.north row`.
    pub path: Arc<str>,
    /// Where it begins: its header.
    pub span: Span,
    /// Where its name stands.
    pub name_span: Span,
    /// The fields that were understood, in file order.
    pub entries: Vec<Entry>,
}

/// A field as written.
#[derive(Clone, Debug)]
pub struct Entry {
    /// Its description.
    pub field: &'static Field,
    /// Where the key stands.
    pub key_span: Span,
    /// Where the value stands.
    pub span: Span,
    /// The value.
    pub value: Given,
}

/// A value as understood.
#[derive(Clone, Debug)]
pub enum Given {
    /// `"unknown"`: asked for and not known.
    Unknown,
    /// A quantity in SI units.
    Quantity {
        /// SI value.
        si: f64,
        /// What it measures.
        kind: Kind,
    },
    /// Two quantities in SI units, the lower first.
    Range([f64; 2]),
    /// A whole number.
    Count(u32),
    /// An amount.
    Money(Money),
    /// Text.
    Text(Arc<str>),
    /// Texts.
    Texts(Vec<Arc<str>>),
    /// Yes or no.
    YesNo(bool),
    /// One of a few words, as the catalogue spells it.
    Choice(&'static str),
    /// A date as year, month, day (day 1 for a month).
    Date(i16, i8, i8),
    /// A conductor size.
    Gauge(Gauge),
    /// A true bearing.
    Bearing(TrueBearing),
    /// A compass bearing, with the declination in degrees, east positive, where stated.
    Compass {
        /// As read from the compass.
        bearing: CompassBearing,
        /// The day it was read, as year, month, day.
        taken: Option<(i16, i8, i8)>,
        /// Declination in degrees, east positive.
        declination_deg: Option<f64>,
    },
    /// The name of another thing.
    Reference(Arc<str>),
    /// Names of other things, each with its place.
    References(Vec<(Arc<str>, Span)>),
    /// Twelve numbers in SI units.
    Months([f64; 12]),
    /// Months in use.
    MonthSet([bool; 12]),
    /// Shares against shares, ascending.
    Curve(Vec<(f64, f64)>),
    /// Hours a day in morning (6–10), midday (10–16), evening (16–22), night (22–6).
    DayHours([f64; 4]),
    /// A nested table.
    Record(Vec<Entry>),
    /// Nested tables, each with its place.
    Records(Vec<(Vec<Entry>, Span)>),
}

impl Item {
    /// The entry of a key, if written.
    pub fn entry(&self, key: &str) -> Option<&Entry> {
        self.entries.iter().find(|entry| entry.field.key == key)
    }
}

impl PartialEq for Entry {
    /// Entries are the same when they say the same; where they stand does not matter.
    fn eq(&self, other: &Self) -> bool {
        self.field.key == other.field.key && self.value == other.value
    }
}

impl PartialEq for Given {
    /// Values are the same when they say the same; where they stand does not matter.
    fn eq(&self, other: &Self) -> bool {
        match (self, other) {
            (Given::Unknown, Given::Unknown) => true,
            (Given::Quantity { si: a, kind: k }, Given::Quantity { si: b, kind: l }) => a == b && k == l,
            (Given::Range(a), Given::Range(b)) => a == b,
            (Given::Count(a), Given::Count(b)) => a == b,
            (Given::Money(a), Given::Money(b)) => a == b,
            (Given::Text(a), Given::Text(b)) | (Given::Reference(a), Given::Reference(b)) => a == b,
            (Given::Texts(a), Given::Texts(b)) => a == b,
            (Given::YesNo(a), Given::YesNo(b)) => a == b,
            (Given::Choice(a), Given::Choice(b)) => a == b,
            (Given::Date(y, m, d), Given::Date(v, n, e)) => (y, m, d) == (v, n, e),
            (Given::Gauge(a), Given::Gauge(b)) => a == b,
            (Given::Bearing(a), Given::Bearing(b)) => a == b,
            (
                Given::Compass { bearing: a, taken: t, declination_deg: d },
                Given::Compass { bearing: b, taken: u, declination_deg: e },
            ) => a == b && t == u && d == e,
            (Given::References(a), Given::References(b)) => a.iter().map(|r| &r.0).eq(b.iter().map(|r| &r.0)),
            (Given::Months(a), Given::Months(b)) => a == b,
            (Given::MonthSet(a), Given::MonthSet(b)) => a == b,
            (Given::Curve(a), Given::Curve(b)) => a == b,
            (Given::DayHours(a), Given::DayHours(b)) => a == b,
            (Given::Record(a), Given::Record(b)) => a == b,
            (Given::Records(a), Given::Records(b)) => a.iter().map(|r| &r.0).eq(b.iter().map(|r| &r.0)),
            _ => false,
        }
    }
}
