//! Inverters, charge controllers, generators and transfer devices.

mod curve;
mod facts;
mod generator;

pub use curve::{CALIFORNIAN, CurveError, CurveFit, EUROPEAN, LossCurve};
pub use facts::*;
pub use generator::{HoursToCharge, OutputAtAltitude, hours_to_charge, output_at_altitude};
