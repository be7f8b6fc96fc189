//! Words of the field: quantities with their dimension, what is known of them, and where each number came from.
//!
//! Values are kept in SI units behind the types of a maintained units library, wrapped once here. What people
//! write is read by [`parse`], what they are shown is made by [`print()`], both by [`Kind`]: the field of a design,
//! never the text, decides what kind of quantity is meant.

mod bearing;
mod clause;
mod expression;
mod fact;
mod figure;
mod formula;
mod gauge;
mod kind;
mod measure;
mod money;
mod parse;
mod print;
mod settle;
mod traced;
mod unit;

pub use bearing::{CompassBearing, TrueBearing, in_words as bearing_in_words, of_words as bearing_of_words};
pub use clause::{Clause, Standing, TableRow, iec, nec, practice};
pub use expression::{ExpressionError, evaluate};
pub use fact::{Fact, FieldPath, Gap, Missing, Unknown, WhoKnows};
pub use figure::{Figure, FigureName, slug};
pub use formula::{Formula, Symbol};
pub use gauge::{Gauge, GaugeError, Material};
pub use kind::Kind;
pub use measure::{
    Angle, ApparentPower, Area, Charge, Count, Current, Energy, EnergyPerLength, Flow, HeatLoss, Interval,
    Irradiance, Length, Mass, Measure, Number, PerKelvin, Power, PricePerEnergy, PricePerVolume, Ratio,
    Resistance, ResistancePerLength, Speed, Temperature, Time, Torque, Voltage, Volume, interval,
};
pub use money::{Currency, Money, MoneyError};
pub use parse::{ParseError, ParseProblem, accepted, parse, parse_compass, parse_money, parse_price};
pub use print::{Units, print, print_in, significant, unit_for};
#[doc(hidden)]
pub use settle::gaps_of;
pub use settle::{greatest, least, product_of_count, sum};
pub use traced::{Choice, Origin, Reason, Series, Term, Traced, Value, Working};
pub use unit::{Unit, units};

/// Months in full, January first.
pub const MONTHS: [&str; 12] = [
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
];

/// The months as names of figures have them and as they may be typed, in small letters.
pub const MONTH_KEYS: [&str; 12] = [
    "january",
    "february",
    "march",
    "april",
    "may",
    "june",
    "july",
    "august",
    "september",
    "october",
    "november",
    "december",
];

/// Digits after which two figures count as the same: accepted figures are compared at this relative difference.
pub const SAME: f64 = 1e-9;
