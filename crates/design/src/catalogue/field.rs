//! What one field of a design file is: the single description behind reader, schema, guide, forms and edits.

use quantity::{Kind, WhoKnows};

/// One table of the file, such as `[place]`, `[module.NAME]` or `[[string]]`.
#[derive(Debug)]
pub struct Table {
    /// Key in the file.
    pub key: &'static str,
    /// How it is written.
    pub form: Form,
    /// What it is, for the guide.
    pub doc: &'static str,
    /// Question of the ten it belongs to.
    pub question: u8,
    /// Its fields, in the order the guide shows them.
    pub fields: &'static [Field],
    /// Key of the table of the shelf whose typical parts may stand in (`like = "…"`), if any.
    pub shelf: Option<&'static str>,
}

/// How a table is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Form {
    /// `[key]`, at most once.
    One,
    /// `[key.NAME]`, the name being the owner's.
    Named,
    /// `[[key]]` with a `name`.
    List,
    /// `[[key]]` without a name; things of it are called by number.
    Unnamed,
}

/// One field.
#[derive(Debug)]
pub struct Field {
    /// Key in the file.
    pub key: &'static str,
    /// What may be written.
    pub shape: Shape,
    /// What it is and where to find it, in a sentence or two.
    pub doc: &'static str,
    /// Who can answer when it is blank.
    pub ask: WhoKnows,
    /// What a blank means.
    pub blank: Blank,
    /// Sensible range in SI units; outside is a problem ("out of physics").
    pub within: Option<(f64, f64)>,
    /// Whether an answer rests on it already; otherwise it is listed as "recorded, not yet used".
    pub used: bool,
}

/// What may be written in a field.
#[derive(Debug)]
pub enum Shape {
    /// A quantity as text with its unit, `"120 ft"`.
    Quantity(Kind),
    /// A quantity of one of several kinds, such as a coefficient in %/K or mV/K.
    OneOf(&'static [Kind]),
    /// Two quantities, the lower first: `["44 V", "58.4 V"]`.
    Range(Kind),
    /// A bare whole number.
    Count,
    /// A bare number: latitude, days, `volts`, `amps`, `hours`; the kind says what it is in SI.
    Bare {
        /// What it measures.
        kind: Kind,
        /// SI value of one.
        factor: f64,
    },
    /// Money in the design's currency, bare.
    Money,
    /// A price per length or energy, `"0.79 USD/ft"`.
    Price(Kind),
    /// Free text.
    Text,
    /// `"yes"`, `"no"` or `true`, `false`.
    YesNo,
    /// One of a few words.
    Choice(&'static [&'static str]),
    /// A date, `2026-05-02`, or a month, `"2026-08"`.
    Date,
    /// A conductor size, `"4/0 AWG"`.
    Gauge,
    /// A true bearing, `"182°"`, or `{ compass = "163°", taken = 2026-03-20, declination = "12°" }`.
    Bearing,
    /// The name of a thing in one of these tables.
    Reference(&'static [&'static str]),
    /// Names of things.
    References(&'static [&'static str]),
    /// Twelve bare numbers, January first; the kind and factor as in `Bare`.
    Months {
        /// What each measures.
        kind: Kind,
        /// SI value of one.
        factor: f64,
    },
    /// Months in use: `"Nov..Apr"` or `["Jan", "Feb"]`.
    MonthSet,
    /// Shares against shares: `{ "10 %" = "89 %" }`.
    Curve,
    /// Hours a day: a bare number or `{ morning = 0.2, midday = 0, evening = 0.3, night = 0 }`.
    DayHours,
    /// A nested table with fields of its own.
    Record(&'static [Field]),
    /// A list of nested tables.
    Records(&'static [Field]),
    /// A list of texts.
    Texts,
}

/// What a blank means. A fact that a danger or breach depends on is never `Assumed`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Blank {
    /// The thing cannot be understood without it: a problem.
    Needed,
    /// Unknown, and asked for.
    Asked,
    /// Left out on purpose is fine and means "none".
    None,
    /// A harmless default, as it would be written, with the reason and what it moves.
    Assumed {
        /// As an owner would write it.
        value: &'static str,
        /// The reason the owner is shown.
        because: &'static str,
        /// What would move if it were otherwise.
        moves: &'static str,
    },
}

impl Field {
    /// Marks the field as recorded but not yet used by any answer.
    pub const fn recorded(mut self) -> Self {
        self.used = false;
        self
    }

    /// Sets the sensible range, in SI units.
    pub const fn within(mut self, low: f64, high: f64) -> Self {
        self.within = Some((low, high));
        self
    }

    /// Gives a harmless default.
    pub const fn assume(mut self, value: &'static str, because: &'static str, moves: &'static str) -> Self {
        self.blank = Blank::Assumed { value, because, moves };
        self
    }

    /// Left out means none.
    pub const fn optional(mut self) -> Self {
        self.blank = Blank::None;
        self
    }

    /// The thing cannot be understood without it.
    pub const fn needed(mut self) -> Self {
        self.blank = Blank::Needed;
        self
    }

    /// Who can answer.
    pub const fn ask(mut self, ask: WhoKnows) -> Self {
        self.ask = ask;
        self
    }
}

/// A field that is used, and unknown when blank.
pub const fn field(key: &'static str, shape: Shape, doc: &'static str) -> Field {
    Field { key, shape, doc, ask: WhoKnows::Owner, blank: Blank::Asked, within: None, used: true }
}
