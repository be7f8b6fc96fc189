//! Inverters, charge controllers, generators and transfer devices.

mod curve;
mod facts;
mod fit;
mod generator;

pub use curve::{CALIFORNIAN, EUROPEAN, LossCurve};
pub use facts::*;
pub use fit::{CurveError, CurveFit, MEETS};
pub use generator::{HoursToCharge, OutputAtAltitude, hours_to_charge, output_at_altitude};
