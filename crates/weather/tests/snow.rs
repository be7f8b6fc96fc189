//! Snow: events that belong to the year, and the hours a plane lies under them.
#![allow(clippy::print_stderr)] // The figures are printed for the validation record.

mod common;

use common::climates;
use sun::{HOURS, month_of_day};
use weather::{
    Generator, SnowFall, SnowMonth, SnowSource, chance_of_snow, snow_cover, snow_falls, snow_on_ground,
    snow_slides,
};

/// Hourly air and light: −10 °C and dark but for what is set.
fn cold_and_dark() -> (Vec<f64>, Vec<f64>) {
    (vec![-10.0; HOURS], vec![0.0; HOURS])
}

#[test]
fn snow_slides_above_the_published_line() {
    // Marion et al. 2013, m = −80 W/(m² K): at −5 °C from 400 W/m² upwards, in the dark above freezing.
    assert!(snow_slides(-5.0, 401.0) && !snow_slides(-5.0, 399.0));
    assert!(snow_slides(0.1, 0.0) && !snow_slides(-0.1, 0.0));
}

#[test]
fn a_cover_slides_by_the_published_share_of_the_slant_in_an_hour() {
    let (air, mut light) = cold_and_dark();
    // Three bright hours on day 40: 1000 W/m² slides down to −12.5 °C.
    light[24 * 40 + 11..24 * 40 + 14].fill(1000.0);
    let falls = [SnowFall { day: 40, depth_cm: 8.0 }];
    let cover = snow_cover(&falls, 30.0, &air, &light, None).expect("usable series");
    assert_eq!((cover[24 * 40 - 1], cover[24 * 40], cover[24 * 40 + 10]), (0.0, 1.0, 1.0));
    // 0.197 sin 30° = 0.0985 an hour.
    assert!((cover[24 * 40 + 11] - 0.9015).abs() < 1e-12);
    assert!((cover[24 * 40 + 13] - 0.7045).abs() < 1e-12);
    assert!((cover[HOURS - 1] - 0.7045).abs() < 1e-12);
    // A flat plane never slides.
    assert_eq!(snow_cover(&falls, 0.0, &air, &light, None).expect("usable series")[24 * 41], 1.0);
    // A second fall covers all of it again.
    let twice = [falls[0], SnowFall { day: 42, depth_cm: 1.0 }];
    assert_eq!(snow_cover(&twice, 30.0, &air, &light, None).expect("usable series")[24 * 42], 1.0);
}

/// EN 1991-1-3:2003, table 5.2: from 60° a slope carries no snow.
#[test]
fn a_steep_plane_sheds_its_snow_in_any_cold() {
    let (air, light) = cold_and_dark();
    let falls = [SnowFall { day: 40, depth_cm: 8.0 }];
    let cover = |tilt| snow_cover(&falls, tilt, &air, &light, None).expect("usable series");
    // 0.197 sin 60° = 0.1706 an hour: free after six hours.
    let steep = cover(60.0);
    assert!(steep[24 * 40 + 5] > 0.0 && steep[24 * 40 + 6] == 0.0);
    assert_eq!(cover(59.0)[HOURS - 1], 1.0);
}

#[test]
fn warm_air_melts_even_a_flat_plane_free() {
    let (mut air, light) = cold_and_dark();
    // 6 cm are 6 mm of water; at +3 °C an hour melts 4 × 3/24 = 0.5 mm: gone after twelve hours.
    air[24 * 50..24 * 52].fill(3.0);
    let falls = [SnowFall { day: 49, depth_cm: 6.0 }];
    let cover = snow_cover(&falls, 0.0, &air, &light, None).expect("usable series");
    assert_eq!((cover[24 * 50 + 10], cover[24 * 50 + 11]), (1.0, 0.0));
    let ground = snow_on_ground(&falls, &air).expect("usable series");
    assert!(ground[24 * 50 + 10] && !ground[24 * 50 + 11] && !ground[24 * 49 - 1]);
}

#[test]
fn the_owner_clears_after_the_stated_days_and_not_before() {
    let (air, light) = cold_and_dark();
    let falls = [SnowFall { day: 10, depth_cm: 10.0 }, SnowFall { day: 12, depth_cm: 10.0 }];
    let cover = snow_cover(&falls, 35.0, &air, &light, Some(3)).expect("usable series");
    // The second fall begins the count anew: day 15, nine o'clock.
    assert_eq!((cover[24 * 13 + 12], cover[24 * 15 + 8], cover[24 * 15 + 9]), (1.0, 1.0, 0.0));
    let never = snow_cover(&falls, 35.0, &air, &light, None).expect("usable series");
    assert_eq!(never[HOURS - 1], 1.0);
}

#[test]
fn falls_belong_to_the_cold_dull_days_of_their_year() {
    for (name, normals) in climates() {
        let sky = normals.sky().expect("a place");
        let generator = Generator::new(&normals, &sky).expect("normals");
        let (mut days, mut depth) = (0, 0.0);
        for index in 0..20 {
            let year = generator.year(&sky, 4, index);
            let falls = snow_falls(&year, &sky, &SnowSource::Modelled, 4, index).expect("a whole year");
            assert_eq!(
                falls,
                snow_falls(&year, &sky, &SnowSource::Modelled, 4, index).expect("a whole year")
            );
            for fall in &falls {
                let hours = 24 * fall.day..24 * fall.day + 24;
                let mean = year.air_c[hours.clone()].iter().sum::<f64>() / 24.0;
                let outside = sky.extraterrestrial_day_wh_m2[fall.day];
                let kt = year.ghi_w_m2[hours].iter().sum::<f64>() / outside.max(1e-9);
                assert!(mean <= 1.0 && fall.depth_cm >= 0.0, "{name}: {mean}");
                assert!(kt < 0.5 || outside <= 0.0, "{name}: {kt}");
            }
            days += falls.len();
            depth += falls.iter().map(|fall| fall.depth_cm).sum::<f64>();
        }
        eprintln!("{name}: {:.1} days of snowfall a year, {:.0} cm", days as f64 / 20.0, depth / 20.0);
        if normals.mean_c.iter().all(|mean| *mean > 12.0) {
            assert_eq!(days, 0, "{name}");
        }
    }
}

#[test]
fn stated_days_and_depths_come_out_exactly_and_prefer_dull_cold_days() {
    let (_, normals) = climates().remove(7);
    let sky = normals.sky().expect("a place");
    let year = Generator::new(&normals, &sky).expect("normals").year(&sky, 4, 0);
    let mut months = [SnowMonth { days: 0, depth_cm: 0.0 }; 12];
    months[0] = SnowMonth { days: 9, depth_cm: 6.0 };
    months[11] = SnowMonth { days: 31, depth_cm: 1.5 };
    let falls = snow_falls(&year, &sky, &SnowSource::Stated(months), 4, 0).expect("a whole year");
    let of = |month: usize| -> Vec<SnowFall> {
        falls.iter().copied().filter(|fall| month_of_day(fall.day) == month).collect()
    };
    assert_eq!((of(0).len(), of(11).len(), falls.len()), (9, 31, 40));
    let total = |month: usize| of(month).iter().map(|fall| fall.depth_cm).sum::<f64>();
    assert!((total(0) - 54.0).abs() < 1e-9 && (total(11) - 46.5).abs() < 1e-9);
    // The chosen January days are duller than the month on average.
    let kt = |day: usize| {
        year.ghi_w_m2[24 * day..24 * day + 24].iter().sum::<f64>() / sky.extraterrestrial_day_wh_m2[day]
    };
    let chosen = of(0).iter().map(|fall| kt(fall.day)).sum::<f64>() / 9.0;
    let all = (0..31).map(kt).sum::<f64>() / 31.0;
    assert!(chosen < all, "{chosen} {all}");
    months[1] = SnowMonth { days: 29, depth_cm: 1.0 };
    assert!(snow_falls(&year, &sky, &SnowSource::Stated(months), 4, 0).is_err());
    months[1] = SnowMonth { days: 2, depth_cm: f64::NAN };
    assert!(snow_falls(&year, &sky, &SnowSource::Stated(months), 4, 0).is_err());
}

#[test]
fn the_chance_of_snow_falls_with_clearness() {
    assert_eq!((chance_of_snow(0.1), chance_of_snow(0.5), chance_of_snow(0.9)), (0.7, 0.0, 0.0));
    assert!((chance_of_snow(0.35) - 0.35).abs() < 1e-12);
}

#[test]
fn snow_that_cannot_be_is_refused() {
    let (air, light) = cold_and_dark();
    let fall = |day| SnowFall { day, depth_cm: 3.0 };
    assert!(snow_cover(&[fall(365)], 30.0, &air, &light, None).is_err());
    assert!(snow_cover(&[fall(5), fall(5)], 30.0, &air, &light, None).is_err());
    assert!(snow_cover(&[fall(5)], 95.0, &air, &light, None).is_err());
    assert!(snow_cover(&[fall(5)], 30.0, &air[..100], &light, None).is_err());
    let gap = vec![f64::NAN; HOURS];
    assert!(snow_cover(&[fall(5)], 30.0, &gap, &light, None).is_err());
    assert!(snow_cover(&[fall(5)], 30.0, &air, &gap, None).is_err());
}
