//! Global light split into beam and diffuse.
#![allow(clippy::expect_used)]

use sun::{HOURS, Observer, YearSky, absolute_air_mass, clean_dry_optical_thickness};

/// Light as bright as above the air, which no air lets through, all year: the sum closes, and no beam is stronger than
/// through clean dry air, least of all at sunrise, where the way through it is longest.
#[test]
fn no_split_beam_is_stronger_than_clean_air_lets_through() {
    let observer = Observer::new(52.1, 5.2, 2.0).expect("a place");
    let sky = YearSky::new(observer, 1.0);
    let ghi = &sky.extraterrestrial_horizontal_w_m2;
    let (dni, dhi) = weather::split_global(ghi, &sky);
    let (mut bound, mut low) = (0, 0.0_f64);
    for hour in (0..HOURS).filter(|hour| ghi[*hour] > 0.0) {
        assert!((ghi[hour] - dhi[hour] - dni[hour] * sky.cos_zenith[hour]).abs() < 1e-9, "hour {hour}");
        let air_mass = absolute_air_mass(sky.air_mass[hour], 2.0);
        let outside = sky.extraterrestrial_normal_w_m2[hour];
        let clean = outside * (-air_mass * clean_dry_optical_thickness(air_mass)).exp();
        assert!(dni[hour] <= clean + 1e-9, "hour {hour}: {} of {clean}", dni[hour]);
        bound += usize::from((dni[hour] - clean).abs() < 1e-9);
        if sky.zenith_deg[hour] > 88.0 {
            low = low.max(dni[hour] / outside);
        }
    }
    assert!(bound > 100 && low < 0.5, "{bound} hours at the bound; lowest suns reach {low}");
}
