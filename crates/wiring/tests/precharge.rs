//! Filling of capacitors against the closed form of a capacitor behind a resistor.
#![allow(missing_docs, clippy::unwrap_used)]

mod common;

use common::volts;
use wiring::{filling_resistor, filling_time, first_current, stored_energy};

/// ½ · 20 mF · (56 V)² = 31.36 J.
#[test]
fn energy_is_half_of_capacitance_times_voltage_squared() {
    assert!((stored_energy(20.0, 56.0) - 31.36).abs() < 1e-9);
}

/// After five time constants 1 − exp(−5) = 99.33 % of the voltage stands at the capacitor, and the power in the resistor
/// summed over the time is the energy of the capacitor, by integration of (v/r)² · r · exp(−2t/rc).
#[test]
fn after_the_time_it_is_within_one_per_cent_and_the_resistor_has_taken_as_much() {
    let (v, r, c) = (56.0, 22.0, 20.0);
    let (end, tau) = (filling_time(r, c), r * c / 1000.0);
    assert!((end - 2.2).abs() < 1e-12);
    assert!((-end / tau).exp() < 0.01);
    let steps = 200_000;
    let dt = 20.0 * tau / f64::from(steps);
    let heat: f64 = (0..steps)
        .map(|k| {
            let amps = first_current(v, r) * (-(f64::from(k) + 0.5) * dt / tau).exp();
            amps * amps * r * dt
        })
        .sum();
    assert!((heat / stored_energy(c, v) - 1.0).abs() < 1e-6);
}

/// 56.8 V / 3 A = 18.9 Ω: the next of the series is 22 Ω. 29.6 V: 9.87 Ω, 10 Ω.
#[test]
fn the_resistor_is_of_the_series_and_lets_little_through() {
    assert_eq!(filling_resistor(&volts(56.8)).si(), Some(22.0));
    assert_eq!(filling_resistor(&volts(29.6)).si(), Some(10.0));
    assert_eq!(filling_resistor(&volts(3.0)).si(), Some(1.0));
    assert!(!filling_resistor(&volts(0.0)).is_known());
    assert!(!filling_resistor(&volts(5000.0)).is_known());
}
