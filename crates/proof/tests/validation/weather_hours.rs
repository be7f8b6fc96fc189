//! How a month's light lies over the hours of its mean day, against published laws.

use sun::{MONTH_DAYS, YearSky, month_start_day};
use weather::Year;

use crate::cases::quantities;
use crate::record::{Allowed, Digits, Largest, Section, Standing};

/// Share of a day's global light that an hour has, long-term mean: hour angle of its middle and of sunset, degrees.
///
/// Source: Collares-Pereira & Rabl 1979, Solar Energy 22:155, after Duffie & Beckman section 2.13 (from memory).
fn share_of_global(hour_angle: f64, sunset: f64) -> f64 {
    let beyond = (sunset - 60.0).to_radians().sin();
    let (a, b) = (0.409 + 0.5016 * beyond, 0.6609 - 0.4767 * beyond);
    (a + b * hour_angle.to_radians().cos()) * share_of_diffuse(hour_angle, sunset)
}

/// The same of diffuse light, which is that of the light above the air.
///
/// Source: Liu & Jordan 1960, Solar Energy 4:1, after Duffie & Beckman section 2.13 (from memory).
fn share_of_diffuse(hour_angle: f64, sunset: f64) -> f64 {
    let (hour, set) = (hour_angle.to_radians(), sunset.to_radians());
    std::f64::consts::PI / 24.0 * (hour.cos() - set.cos()) / (set.sin() - set * set.cos())
}

/// Differences of mean days from the laws.
#[derive(Default)]
pub(crate) struct HourShares {
    global: Largest,
    diffuse: Largest,
}

impl HourShares {
    /// Looks at the years of one climate.
    pub(crate) fn see(&mut self, sky: &YearSky, years: &[Year]) {
        if sky.observer.latitude_deg.abs() > 60.0 {
            return;
        }
        for (month, days) in MONTH_DAYS.iter().enumerate() {
            let first = month_start_day(month);
            let mean = |of: &dyn Fn(&Year) -> &[f64]| -> [f64; 24] {
                std::array::from_fn(|hour| {
                    let each = years
                        .iter()
                        .map(|year| (first..first + days).map(|day| of(year)[24 * day + hour]).sum::<f64>());
                    each.sum::<f64>() / (years.len() * days) as f64
                })
            };
            let (global, diffuse) = (mean(&|year| &year.ghi_w_m2), mean(&|year| &year.dhi_w_m2));
            let middle = first + days / 2;
            let latitude = sky.observer.latitude_deg.to_radians();
            let set = -latitude.tan() * sky.declination_deg[middle].to_radians().tan();
            // The laws know days with a rise and a set, and light to share.
            if set.abs() >= 1.0 || sky.month_mean_extraterrestrial_wh_m2(month) < 1000.0 {
                continue;
            }
            let sunset = set.acos().to_degrees();
            for hour in 0..24 {
                let angle = sky.hour_angle_deg[24 * middle + hour];
                // Whole hours of sun, also at the ends of the month.
                if angle.abs() > sunset - 10.0 || sky.sunlit_fraction[24 * middle + hour] < 1.0 {
                    continue;
                }
                let share = |of: &[f64; 24]| of[hour] / of.iter().sum::<f64>();
                self.global.see(100.0 * (share(&global) - share_of_global(angle, sunset)));
                self.diffuse.see(100.0 * (share(&diffuse) - share_of_diffuse(angle, sunset)));
            }
        }
    }

    pub(crate) fn rows(&self, section: &mut Section) {
        // The two laws themselves, so that what the years are held against is what was published.
        for (what, quantity, law) in [
            (
                "Share of an hour in a mean day's global light, the law of Collares-Pereira & Rabl 1979",
                "rt_collares_pereira_rabl",
                share_of_global as fn(f64, f64) -> f64,
            ),
            (
                "Share of an hour in a mean day's diffuse light, the law of Liu & Jordan 1960",
                "rd_liu_jordan",
                share_of_diffuse,
            ),
        ] {
            let mut largest = Largest::default();
            for row in quantities("irradiance_checks.csv", quantity) {
                let share = law(row.input("inputs", "omega"), row.input("inputs", "ws"));
                largest.see(share - row.number("value"));
            }
            section.row(
                what,
                "the published equation, evaluated apart from this program (`cases/solar/irradiance_checks.csv`)",
                &largest,
                "",
                Allowed(6e-7, "half a unit of six printed decimals, and a tenth"),
                Standing::Derived,
            );
        }
        // Melbourne, 38° S, 17 January: declination −20.92°, sunset at arccos(−tan(−38°) tan(−20.92°)) = 107.37°; noon.
        section.example(
            "Share of a day's light in the hour about noon, by the law that the next row uses",
            "Duffie & Beckman, Solar Engineering of Thermal Processes, example 2.13.1",
            &Digits::within(1.0, "the source rounds the hour of sunset")
                .is(share_of_global(0.0, 107.37), "0.123"),
            Standing::Remembered,
        );
        for (of, law, found, why) in [
            (
                "global",
                "Collares-Pereira & Rabl 1979",
                &self.global,
                "a clock wrong by half an hour would make 2; no source says how near a place must come to the law",
            ),
            (
                "diffuse",
                "Liu & Jordan 1960",
                &self.diffuse,
                "the law gives diffuse light the course of that above the air; hours split by their clearness need not have it",
            ),
        ] {
            let [half, most, all] = found.within([0.5, 0.95, 1.0]);
            section.found(
                &format!("Share of each hour in the {of} light of a month's mean day, climates below 60° of latitude"),
                &format!("{law}, long-term means (from memory); hours with the whole sun"),
                found.cases,
                &format!("{half:.1}; {most:.1}; {all:.1} % of the day"),
                why,
                Standing::Remembered,
            );
        }
    }
}
