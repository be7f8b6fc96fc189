//! Loss in conductors over a year against the correction factors of the NEC and against sums by hand.
#![allow(clippy::unwrap_used)]

use quantity::Material;
use wiring::{Around, PartOfYear, RuleSet, conductor_temperature, per_kelvin, year_loss};

fn near(found: f64, wanted: f64, within: f64) {
    assert!((found - wanted).abs() <= within, "{found} is not {wanted} within {within}");
}

/// Table 310.15(B)(1)(1): with the factor of a hotter place times the ampacity a conductor reaches the temperature of its
/// insulation again. Factors are rounded to hundredths and stand for the upper end of their 5 °C, 9 °F.
#[test]
fn factors_for_the_ambient_are_the_same_law() {
    for (column, insulation) in [
        (tables::TerminalColumn::C60, 60.0),
        (tables::TerminalColumn::C75, 75.0),
        (tables::TerminalColumn::C90, 90.0),
    ] {
        for ambient in [15.0, 20.0, 25.0, 30.0, 35.0, 40.0, 45.0, 50.0] {
            let factor = tables::ambient_factor(ambient, column).unwrap().si();
            let reached = conductor_temperature(ambient, insulation, 30.0, factor * factor);
            // Half a hundredth of the factor moves the rise by 2 · f · 0.005 · (Tc − 30).
            near(reached, insulation, 2.0 * factor * 0.0051 * (insulation - 30.0));
        }
    }
}

/// 17.5 A in a conductor that bears 35 A at 30 °C with 75 °C insulation: 30 + 45 / 4 = 41.25 °C, 0.3 Ω at 75 °C become
/// 0.3 · (1 − 0.00323 · 33.75) = 0.26730 Ω, times 306.25 A² is 81.860 W; 717.1 kWh in 8760 hours.
#[test]
fn a_steady_current_by_hand() {
    let part = PartOfYear {
        share: 1.0,
        around: Around::Always(30.0),
        reaches_c: 75.0,
        rated_around_c: 30.0,
        bears_a: 35.0,
    };
    let a = per_kelvin(RuleSet::Nec2023, Material::Copper);
    let lost = year_loss(0.3, a, &[part], &[17.5 * 17.5; 8760]);
    near(lost.mean_c, 41.25, 1e-9);
    near(lost.hottest_c, 41.25, 1e-9);
    near(lost.lost_wh / 1000.0, 717.1, 0.05);
    near(lost.at_75_wh / 1000.0, 0.3 * 306.25 * 8.76, 1e-6);
    // Half in the open at 0 °C: 11.25 °C there.
    let air = vec![0.0; 8760];
    let half = PartOfYear { share: 0.5, ..part };
    let out = PartOfYear { around: Around::Outdoors(&air, 0.0), ..half };
    let both = year_loss(0.3, a, &[half, out], &[17.5 * 17.5; 8760]);
    let cold = 0.15 * 306.25 * 8.76 * (1.0 - 0.003_23 * 63.75);
    near(both.lost_wh / 1000.0, 717.1 / 2.0 + cold, 0.05);
}

/// IEC 60228: 0.004 a kelvin of the resistance at 20 °C; at 75 °C that is 1/305 of it, and 55 K less give 1/1.22.
#[test]
fn the_metric_coefficient_leads_back_to_20_degrees() {
    let a = per_kelvin(RuleSet::Iec60364, Material::Copper);
    near(1.0 - a * 55.0, 1.0 / 1.22, 1e-12);
}

/// More current, hotter air and more ohms never lose less, and no hour makes less of nothing.
#[test]
fn loss_rises_with_current_air_and_ohms() {
    let of = |ohm: f64, air: f64, amps: f64| {
        let around = Around::Always(air);
        let part = PartOfYear { share: 1.0, around, reaches_c: 90.0, rated_around_c: 30.0, bears_a: 100.0 };
        year_loss(ohm, 0.003_23, &[part], &[amps * amps; 24]).lost_wh
    };
    for amps in [0.0, 0.3, 7.0, 55.0, 100.0, 190.0] {
        for air in [-40.0, -5.0, 20.0, 48.0] {
            for ohm in [0.002, 0.3, 2.0] {
                let now = of(ohm, air, amps);
                assert!(now >= 0.0 && of(ohm, air, amps + 3.0) > now);
                assert!(of(ohm, air + 5.0, amps) >= now && of(ohm * 1.26, air, amps) >= now);
            }
        }
    }
}
