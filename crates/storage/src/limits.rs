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

/// What a taper is made of: power limit, efficiency into the cells, and where it begins and ends.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Taper {
    /// Charge limit before the taper, W at the terminals.
    pub limit_w: f64,
    /// Stored over sent in.
    pub efficiency: f64,
    /// Stored energy at which it begins, Wh.
    pub from_wh: f64,
    /// Stored energy at which it ends, Wh.
    pub full_wh: f64,
    /// Share of the limit left at its end.
    pub share_at_full: f64,
}

/// Highest mean charging power of the coming `hours`, W at the terminals, of a bank that holds `stored_wh`.
///
/// [`tapered_charge_limit`] followed through the step: the stored energy rises straight to the beginning of the taper
/// and then bends towards its end, so that a bank that holds less never overtakes one that holds more.
#[inline]
pub fn tapered_charge_over(taper: &Taper, stored_wh: f64, hours: f64) -> f64 {
    let Taper { limit_w, efficiency, from_wh, full_wh, share_at_full } = *taper;
    let rise_w = limit_w * efficiency;
    let before_h = ((from_wh - stored_wh) / rise_w).max(0.0);
    if !(from_wh < full_wh && before_h < hours && rise_w > 0.0) {
        return limit_w;
    }
    let width = full_wh - from_wh;
    let falls = 1.0 - share_at_full;
    let begins_wh = stored_wh.max(from_wh);
    // dx/dt = rise/width · (1 − falls · x) with x the way through the taper; for no fall it is a straight line.
    let rate_now = rise_w * (1.0 - falls * ((begins_wh - from_wh) / width).min(1.0));
    let speed = rise_w * falls / width;
    let left_h = hours - before_h;
    let bends = if speed > 0.0 { -libm::expm1(-speed * left_h) / speed } else { left_h };
    (begins_wh - stored_wh + rate_now * bends) / efficiency / hours
}

/// Whether charging is blocked by cold cells: at or below `charge_above_c` a lithium cell plates metal, at any
/// current, so the limit is nothing and not less. `None` for cells that may be charged at any temperature.
#[inline]
pub fn charge_blocked(cell_c: f64, charge_above_c: Option<f64>) -> bool {
    charge_above_c.is_some_and(|above| cell_c <= above)
}

/// Share of the charge limit that cells at this temperature allow, 0 to 1: nothing at or below `above_c`, all of it from
/// `full_from_c`, straight between. `None` for cells without such a limit; a `full_from_c` at or below `above_c` is a
/// step.
#[inline]
pub fn cold_charge_share(cell_c: f64, above_c: Option<f64>, full_from_c: Option<f64>) -> f64 {
    if charge_blocked(cell_c, above_c) {
        return 0.0;
    }
    match (above_c, full_from_c) {
        (Some(above), Some(full)) if full > above && cell_c < full => (cell_c - above) / (full - above),
        _ => 1.0,
    }
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

    /// By hand: 5000 W at efficiency 1, taper from 9000 to 10 000 Wh down to a tenth. Far below nothing bends. From
    /// 9000 Wh the rate falls with speed 5000 · 0.9 / 1000 = 4.5 per hour: 5000 · (1 − e^−4.5)/4.5 = 1098.77 Wh. From
    /// 6500 Wh half an hour is straight, then 5000 · (1 − e^−2.25)/4.5 = 994.00 Wh follow.
    #[test]
    fn the_taper_is_followed_through_the_hour() {
        let taper = Taper {
            limit_w: 5000.0,
            efficiency: 1.0,
            from_wh: 9000.0,
            full_wh: 10_000.0,
            share_at_full: 0.1,
        };
        let mean = |stored| tapered_charge_over(&taper, stored, 1.0);
        assert_eq!(mean(3000.0), 5000.0);
        assert!((mean(9000.0) - 1098.77).abs() < 0.005);
        assert!((mean(6500.0) - 3494.00).abs() < 0.005);
        // At the end of the taper the tenth is left: 500 · (1 − e^−4.5)/4.5.
        assert!((mean(10_000.0) - 109.877).abs() < 0.0005);
        let ends: Vec<f64> = (0..=100).map(|i| f64::from(i) * 100.0).map(|wh| wh + mean(wh)).collect();
        assert!(ends.is_sorted());
        let none = Taper { from_wh: 10_000.0, ..taper };
        assert_eq!(tapered_charge_over(&none, 9999.0, 1.0), 5000.0);
        let flat = Taper { share_at_full: 1.0, ..taper };
        assert!((tapered_charge_over(&flat, 9500.0, 1.0) - 5000.0).abs() < 1e-9);
        assert_eq!(tapered_charge_over(&Taper { limit_w: 0.0, ..taper }, 9500.0, 1.0), 0.0);
    }

    #[test]
    fn charging_is_blocked_at_the_limit_and_below_it() {
        assert!(charge_blocked(0.0, Some(0.0)));
        assert!(charge_blocked(-0.1, Some(0.0)));
        assert!(!charge_blocked(0.1, Some(0.0)));
        assert!(!charge_blocked(-20.0, None));
    }

    #[test]
    fn cold_cells_take_a_share_that_rises_to_the_whole() {
        let share = |cell_c| cold_charge_share(cell_c, Some(0.0), Some(10.0));
        assert_eq!((share(-1.0), share(0.0), share(10.0), share(25.0)), (0.0, 0.0, 1.0, 1.0));
        assert!((share(2.5) - 0.25).abs() < 1e-15);
        assert_eq!(cold_charge_share(0.1, Some(0.0), None), 1.0);
        assert_eq!(cold_charge_share(-20.0, None, Some(10.0)), 1.0);
    }

    /// 2 mΩ and 100 A on 51.2 V: 20 W lost of 5120 W.
    #[test]
    fn links_lose_with_the_square_of_power() {
        let factor = link_loss_per_w(0.002, 51.2);
        assert!((factor * 5120.0 * 5120.0 - 20.0).abs() < 1e-9);
    }
}
