//! Air mass, extraterrestrial radiation and clear skies against tables of the published equations and textbook answers.
#![allow(clippy::print_stderr)] // The figures of the comparisons are printed for the validation record.

use std::path::PathBuf;

use sun::{
    ClearSky, SOLAR_CONSTANT_W_M2, cooper_declination_deg, daily_horizontal_mj_m2, haurwitz_ghi,
    ineichen_perez, relative_air_mass, simple_normal_factor, spencer_equation_of_time_min,
    spencer_normal_factor, sunset_hour_angle_deg,
};

/// Rows of the case table with a given quantity: the named inputs and the value.
fn rows(quantity: &str) -> Vec<(impl Fn(&str) -> f64, f64)> {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../cases/solar/irradiance_checks.csv");
    let text = std::fs::read_to_string(path).expect("the case file is part of the repository");
    let found: Vec<_> = text
        .lines()
        .filter_map(|line| {
            let mut parts = line.split(',');
            if parts.next()? != quantity {
                return None;
            }
            let inputs = parts.next()?.to_string();
            let value = parts.next()?.parse().ok()?;
            let input = move |name: &str| -> f64 {
                inputs
                    .split(';')
                    .find_map(|pair| pair.strip_prefix(name)?.strip_prefix('='))
                    .unwrap_or_else(|| panic!("{name} in {inputs}"))
                    .parse()
                    .expect("a number")
            };
            Some((input, value))
        })
        .collect();
    assert!(!found.is_empty(), "no rows of {quantity}");
    found
}

fn compare(quantity: &str, tolerance: f64, of: impl Fn(&dyn Fn(&str) -> f64) -> f64) {
    let mut worst = 0f64;
    for (input, value) in rows(quantity) {
        let ours = of(&input);
        worst = worst.max((ours - value).abs());
        assert!((ours - value).abs() <= tolerance, "{quantity}: {ours} against {value}");
    }
    eprintln!("{quantity}: {worst:.2e} at most");
}

#[test]
fn simple_series_match_their_tables() {
    // Half a unit of the last printed digit.
    compare("declination_cooper", 5.1e-5, |x| cooper_declination_deg(x("n")));
    compare("equation_of_time_spencer", 5.1e-5, |x| spencer_equation_of_time_min(x("n")));
    compare("extraterrestrial_normal_simple_Gsc1367", 5.1e-4, |x| 1367.0 * simple_normal_factor(x("n")));
    compare("extraterrestrial_normal_spencer_Gsc1367", 5.1e-4, |x| 1367.0 * spencer_normal_factor(x("n")));
    compare("daily_extraterrestrial_H0_Gsc1367", 5.1e-5, |x| {
        let n = x("n");
        daily_horizontal_mj_m2(x("lat"), cooper_declination_deg(n), 1367.0 * simple_normal_factor(n))
    });
}

#[test]
fn air_mass_and_clear_skies_match_their_tables() {
    compare("kasten_young_1989_rel_airmass", 5.1e-5, |x| relative_air_mass(x("zenith_apparent_deg")));
    compare("haurwitz_ghi", 5.1e-5, |x| haurwitz_ghi(x("zenith_deg")));
    let sky = |x: &dyn Fn(&str) -> f64| -> ClearSky {
        ineichen_perez(x("apparent_zenith_deg"), x("elev_m"), x("TL"), 1366.1)
    };
    compare("ineichen_perez_2002_ghi_I0_1366.1", 5.1e-3, |x| sky(x).ghi_w_m2);
    compare("ineichen_perez_2002_dni_I0_1366.1", 5.1e-3, |x| sky(x).dni_w_m2);
    compare("ineichen_perez_2002_dhi_I0_1366.1", 5.1e-3, |x| sky(x).dhi_w_m2);
}

#[test]
fn textbook_answers_are_met_to_their_printed_digits() {
    // Duffie & Beckman, example 1.5.1: equation of time on 3 February (n = 34), -13.5 min.
    assert!((spencer_equation_of_time_min(34.0) - -13.5).abs() < 0.05);
    // Example 1.10.1: daily extraterrestrial radiation at 43 N on 15 April (n = 105), 33.8 MJ/m².
    let n = 105.0;
    let h0 = daily_horizontal_mj_m2(
        43.0,
        cooper_declination_deg(n),
        SOLAR_CONSTANT_W_M2 * simple_normal_factor(n),
    );
    assert!((h0 - 33.8).abs() < 0.05, "{h0}");
    // Example 1.6.3: sunset hour angle at 43 N with declination -2.4°, 87.8°.
    assert!((sunset_hour_angle_deg(43.0, -2.4) - 87.8).abs() < 0.05);
    // Kasten & Young 1989: about 38 at the horizon.
    assert!((relative_air_mass(90.0) - 38.0).abs() < 0.2);
}

#[test]
fn a_clear_sky_closes_and_stays_finite_down_to_the_horizon() {
    for tenth in 0..1000 {
        let zenith = f64::from(tenth) * 0.1;
        let sky = ineichen_perez(zenith, 100.0, 3.0, 1367.0);
        assert!(
            sky.ghi_w_m2.is_finite() && sky.ghi_w_m2 >= 0.0 && sky.dhi_w_m2 >= 0.0 && sky.dni_w_m2 >= 0.0
        );
        let cos_z = zenith.to_radians().cos();
        if zenith < 90.0 {
            assert!((sky.ghi_w_m2 - sky.dhi_w_m2 - sky.dni_w_m2 * cos_z).abs() < 1e-9);
            assert!(sky.ghi_w_m2 <= 1367.0 * cos_z, "{zenith}");
        }
    }
}
