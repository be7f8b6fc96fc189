//! What can be wrong with an hourly series handed to this crate.

use std::fmt;

/// A series or a single figure that cannot be used, with the place and the number needed for a message.
#[derive(Debug, Clone, PartialEq)]
pub enum SeriesError {
    /// Two series that belong together have different lengths.
    LengthDiffers {
        /// Name of the series with the unexpected length.
        series: &'static str,
        /// Number of steps found in it.
        found: usize,
        /// Number of steps expected.
        expected: usize,
    },
    /// A value is NaN or infinite.
    NotFinite {
        /// Name of the series.
        series: &'static str,
        /// Index of the step, counted from 0.
        step: usize,
    },
    /// A value lies outside the range that has a meaning.
    OutOfRange {
        /// Name of the series.
        series: &'static str,
        /// Index of the step, counted from 0.
        step: usize,
        /// The value found.
        value: f64,
        /// Lowest accepted value.
        low: f64,
        /// Highest accepted value.
        high: f64,
    },
}

impl fmt::Display for SeriesError {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::LengthDiffers { series, found, expected } => {
                write!(out, "{series} has {found} steps where {expected} are expected")
            }
            Self::NotFinite { series, step } => write!(out, "{series} is not a number at step {step}"),
            Self::OutOfRange { series, step, value, low, high } => {
                write!(out, "{series} is {value} at step {step}; it must lie between {low} and {high}")
            }
        }
    }
}

impl std::error::Error for SeriesError {}

/// Refuses a series whose length differs from the length of its companions.
pub(crate) fn same_length(series: &'static str, found: usize, expected: usize) -> Result<(), SeriesError> {
    if found == expected { Ok(()) } else { Err(SeriesError::LengthDiffers { series, found, expected }) }
}

/// Refuses NaN, infinities and values outside `low..=high`.
pub(crate) fn in_range(
    series: &'static str,
    step: usize,
    value: f64,
    low: f64,
    high: f64,
) -> Result<(), SeriesError> {
    if !value.is_finite() {
        Err(SeriesError::NotFinite { series, step })
    } else if value < low || value > high {
        Err(SeriesError::OutOfRange { series, step, value, low, high })
    } else {
        Ok(())
    }
}
