//! Surges in the conductors of an array: from which length on devices against them are asked for.

use quantity::{Length, Number, Standing, formula, iec};

/// Metres times strokes in a year on a square kilometre, for a dwelling of one household.
pub const OF_DWELLINGS: f64 = 115.0;
/// The same for other buildings that people work in: services, industry, farms.
pub const OF_OTHER_BUILDINGS: f64 = 450.0;

/// Longest way from the modules to the converter without surge protective devices, m.
///
/// - `k`: [`OF_DWELLINGS`] or [`OF_OTHER_BUILDINGS`].
/// - `n`: strokes to the ground in a year on a square kilometre, above zero.
///
/// Source: IEC 60364-7-712:2017, 712.443.102 (from memory).
pub fn longest_without_surge_device(k: f64, n: f64) -> f64 {
    k / n
}

formula! {
    /// Explained twin of [`longest_without_surge_device`].
    pub LongestWithoutSurgeDevice = longest_without_surge_device(
        k: Number as NUMBER = "constant of the kind of building",
        n: Number as NUMBER = "strokes to the ground in a year on a square kilometre",
    ) -> Length as METER,
    text: "k / n",
    clause: iec("IEC 60364-7-712", "2017", "712.443.102", Standing::Remembered),
}

/// Length from which on both ends of a way of module circuits want a device, m (IEC 61643-32:2017 6.2, from memory).
pub const BOTH_ENDS_BEYOND_M: f64 = 10.0;
