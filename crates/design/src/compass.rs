//! Bearings that can be held against each other: told twice, or read from a compass.

use quantity::{Angle, Fact, FieldPath, Number, Traced, TrueBearing};
use std::sync::Arc;
use sun::MagneticZone;

/// Where a plane faces by another source than the first.
#[derive(Clone, Debug, PartialEq)]
pub struct SecondBearing {
    /// Clockwise from true north.
    pub bearing: Fact<TrueBearing>,
    /// How far the two may lie apart: as stated, and by two standard deviations of the magnetic model where a compass reading
    /// rests on it.
    pub apart: Fact<Angle>,
    /// How it was taken, where that is said.
    pub basis: Option<Arc<str>>,
}

/// A compass reading somewhere in a design.
#[derive(Clone, Debug, PartialEq)]
pub struct CompassReading {
    /// Where it stands.
    pub field: FieldPath,
    /// The declination stated with it, degrees, east positive.
    pub declination: Option<Traced<Number>>,
    /// What the magnetic model says of the place and the day; `None` where place or height is not known, or the day lies
    /// outside the model.
    pub model: Option<ModelDeclination>,
}

/// Declination by the magnetic model: on the day of a reading, or over all years of the model where no day was named.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ModelDeclination {
    /// Least, degrees, east positive.
    pub least_deg: f64,
    /// Most, degrees, east positive.
    pub most_deg: f64,
    /// Standard deviation, degrees, iron near by not counted.
    pub uncertainty_deg: f64,
    /// Strength of the level field, nT.
    pub horizontal_nt: f64,
    /// Whether a compass is of use there.
    pub zone: MagneticZone,
}
