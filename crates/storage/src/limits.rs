//! What a bank takes and gives: window, taper near full, and no lithium charging in the cold.

/// Highest charging power now, W at the bank's terminals.
///
/// - `limit_w`: continuous charge limit.
/// - `state`: state of charge, 0 to 1; `taper_from` and `full`: where the taper begins and ends; `share_at_full`:
///   share of the limit left at `full`.
///
/// Straight between the two points: an hourly stand-in for the constant-voltage stage. With `taper_from` at or
/// above `full` there is no taper.
pub fn tapered_charge_limit(limit_w: f64, state: f64, taper_from: f64, full: f64, share_at_full: f64) -> f64 {
    if state <= taper_from || taper_from >= full {
        return limit_w;
    }
    let along = ((state - taper_from) / (full - taper_from)).min(1.0);
    limit_w * (1.0 - along * (1.0 - share_at_full))
}

/// Whether charging is blocked by cold cells: at or below `charge_above_c` a lithium cell plates metal, at any
/// current, so the limit is nothing and not less. `None` for cells that may be charged at any temperature.
pub fn charge_blocked(cell_c: f64, charge_above_c: Option<f64>) -> bool {
    charge_above_c.is_some_and(|above| cell_c <= above)
}

/// Lowest and highest stored energy in daily use, Wh.
pub fn window(capacity_wh: f64, low: f64, high: f64) -> (f64, f64) {
    (capacity_wh * low, capacity_wh * high)
}

/// Loss in the links between bank and bus as a factor of the power squared, 1/W: `resistance_ohm` is the loop
/// (both conductors and all joints), `volts` the nominal voltage of the bank.
pub fn link_loss_per_w(resistance_ohm: f64, volts: f64) -> f64 {
    resistance_ohm / (volts * volts)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_taper_is_whole_before_half_way_between_and_least_at_full() {
        let limit = |state| tapered_charge_limit(5000.0, state, 0.9, 1.0, 0.1);
        assert_eq!(limit(0.5), 5000.0);
        assert_eq!(limit(0.9), 5000.0);
        // Half way: 5000 · (1 − 0.5 · 0.9) = 2750 W.
        assert!((limit(0.95) - 2750.0).abs() < 1e-9);
        assert!((limit(1.0) - 500.0).abs() < 1e-9);
        assert_eq!(tapered_charge_limit(5000.0, 0.99, 1.0, 1.0, 0.1), 5000.0);
    }

    #[test]
    fn charging_is_blocked_at_the_limit_and_below_it() {
        assert!(charge_blocked(0.0, Some(0.0)));
        assert!(charge_blocked(-0.1, Some(0.0)));
        assert!(!charge_blocked(0.1, Some(0.0)));
        assert!(!charge_blocked(-20.0, None));
    }

    /// 2 mΩ and 100 A on 51.2 V: 20 W lost of 5120 W.
    #[test]
    fn links_lose_with_the_square_of_power() {
        let factor = link_loss_per_w(0.002, 51.2);
        assert!((factor * 5120.0 * 5120.0 - 20.0).abs() < 1e-9);
    }
}
