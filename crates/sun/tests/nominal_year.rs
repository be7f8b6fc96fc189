//! The sky of a year against the full algorithm and against the textbook's daily integral.
#![allow(clippy::print_stderr)] // The figures of the comparisons are printed for the validation record.

use sun::{
    DAYS, Daylight, HOURS, NOMINAL_YEAR, Observer, SOLAR_CONSTANT_W_M2, SunPosition, YearSky,
    daily_horizontal_mj_m2, delta_t_s, julian_day, month_of_day, month_of_hour, month_start_day,
    spencer_normal_factor,
};

const PLACES: [(f64, f64, f64); 8] = [
    (0.0, 0.0, 0.0),
    (39.74, -105.18, -7.0),
    (-35.3, 149.1, 10.0),
    (69.65, 18.96, 1.0),
    (52.1, 5.18, 0.0),
    (78.22, 15.65, 1.0),
    (-77.85, 166.67, 12.0),
    (90.0, 0.0, 0.0),
];

fn sky(place: (f64, f64, f64)) -> YearSky {
    YearSky::new(Observer::new(place.0, place.1, 100.0).expect("a place"), place.2)
}

#[test]
fn every_hour_agrees_with_the_full_algorithm() {
    let delta_t = delta_t_s(f64::from(NOMINAL_YEAR) + 0.5);
    let mut worst = 0f64;
    for place in PLACES {
        let sky = sky(place);
        let start = julian_day(NOMINAL_YEAR, 1, 1, -place.2);
        for hour in (0..HOURS).step_by(7) {
            if sky.sunlit_fraction[hour] > 0.0 && sky.sunlit_fraction[hour] < 1.0 {
                continue; // The middle of its sunlit part is checked below.
            }
            let full = SunPosition::at(start + (hour as f64 + 0.5) / 24.0, delta_t, &sky.observer);
            worst = worst.max((full.zenith_airless_deg - sky.zenith_deg[hour]).abs());
        }
    }
    eprintln!("interpolated hours: {worst:.2e}° from the full algorithm at most");
    // 0.00002°: the interpolation's bound in right ascension and declination together.
    assert!(worst < 2e-5);
}

#[test]
fn a_sunrise_hour_uses_the_middle_of_its_sunlit_part() {
    let delta_t = delta_t_s(f64::from(NOMINAL_YEAR) + 0.5);
    let sky = sky(PLACES[1]);
    let start = julian_day(NOMINAL_YEAR, 1, 1, 7.0);
    let mut seen = 0;
    for hour in 0..HOURS {
        let lit = sky.sunlit_fraction[hour];
        if lit <= 0.0 || lit >= 1.0 || hour % 24 >= 12 {
            continue;
        }
        seen += 1;
        let rise = hour as f64 + 1.0 - lit;
        let at_rise = SunPosition::at(start + rise / 24.0, delta_t, &sky.observer);
        assert!(
            (at_rise.zenith_airless_deg - 90.0).abs() < 1e-4,
            "the lit part of hour {hour} starts on the horizon: {lit} {at_rise:?}"
        );
        let middle = SunPosition::at(start + (rise + 0.5 * lit) / 24.0, delta_t, &sky.observer);
        assert!((middle.zenith_airless_deg - sky.zenith_deg[hour]).abs() < 1e-4);
        assert!(sky.cos_zenith[hour] > 0.0);
    }
    // One sunrise per day, unless it falls on a full hour.
    assert!(seen >= 360, "{seen}");
}

#[test]
fn daily_sums_agree_with_the_closed_integral() {
    for place in PLACES {
        let sky = sky(place);
        for day in 0..DAYS {
            let sum = sky.extraterrestrial_day_wh_m2[day] * 0.0036;
            let normal = SOLAR_CONSTANT_W_M2 * spencer_normal_factor(day as f64 + 1.0);
            let closed = daily_horizontal_mj_m2(place.0, sky.declination_deg[day], normal);
            // 0.4 %: Spencer's series follows the mean year, and the closed form holds the declination still for a day,
            // which at the pole on an equinox is 0.06 MJ/m².
            assert!((sum - closed).abs() < 0.004 * closed + 0.07, "{place:?} day {day}: {sum} {closed}");
        }
    }
}

#[test]
fn polar_nights_have_no_hour_of_sun_and_nothing_is_not_a_number() {
    for place in PLACES {
        let sky = sky(place);
        for list in [
            &sky.zenith_deg,
            &sky.azimuth_deg,
            &sky.hour_angle_deg,
            &sky.cos_zenith,
            &sky.sunlit_fraction,
            &sky.extraterrestrial_normal_w_m2,
            &sky.extraterrestrial_horizontal_w_m2,
            &sky.air_mass,
        ] {
            assert_eq!(list.len(), HOURS);
            assert!(list.iter().all(|v| v.is_finite()));
        }
        assert!(sky.sunlit_fraction.iter().all(|f| (0.0..=1.0).contains(f)));
        assert_eq!(sky.events.len(), DAYS);
    }
    let tromso = sky(PLACES[3]);
    assert_eq!(tromso.extraterrestrial_day_wh_m2[354], 0.0);
    assert_eq!(tromso.events[354].daylight, Daylight::DownAllDay);
    assert_eq!(tromso.events[171].daylight, Daylight::UpAllDay);
}

#[test]
fn months_and_hours_belong_together() {
    assert_eq!(
        (month_of_day(0), month_of_day(30), month_of_day(31), month_of_day(58), month_of_day(59)),
        (0, 0, 1, 1, 2)
    );
    assert_eq!((month_of_day(364), month_of_hour(8759), month_start_day(2)), (11, 11, 59));
}
