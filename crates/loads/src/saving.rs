//! What a saving spares of a battery.

use quantity::{Clause, Energy, Standing, formula};

/// Battery that may be left out, Wh, so that the rest reaches as many days as before: `capacity` Wh in all, `saved` of
/// `daily` Wh.
pub fn battery_spared(capacity: f64, saved: f64, daily: f64) -> f64 {
    capacity * saved / daily
}

formula! {
    /// Explained twin of [`battery_spared`].
    pub BatterySpared = battery_spared(
        capacity: Energy as WATT_HOUR = "all banks",
        saved: Energy as WATT_HOUR = "saved on a day of the critical month",
        daily: Energy as WATT_HOUR = "used on such a day, idle draw included",
    ) -> Energy as WATT_HOUR,
    text: "capacity · saved / daily",
    clause: Clause {
        document: "definition",
        edition: "",
        clause: "as many days of reserve as before",
        standing: Standing::Computed,
    },
}
