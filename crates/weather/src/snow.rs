//! Snow as events of a weather year: when it falls, how long it lies on a plane, and when it slides, melts or is cleared.

use sun::{DAYS, HOURS, MONTH_DAYS, YearSky, month_start_day};

use crate::synthesis::random::{Purpose, Stream};
use crate::year::Year;

/// A day on which snow falls.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SnowFall {
    /// Day of the year, 0 to 364; it falls before the day's light.
    pub day: usize,
    /// Fresh snow, cm.
    pub depth_cm: f64,
}

/// What an owner knows of one month's snow.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SnowMonth {
    /// Days with snowfall, 0 to the days of the month.
    pub days: u32,
    /// Fresh snow of such a day on average, cm, 0 to 200.
    pub depth_cm: f64,
}

/// Where the falls come from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum SnowSource {
    /// From the year's own cold dull days ([`chance_of_snow`]); an assumption, to be shown as one.
    Modelled,
    /// So many days and so much snow in each month, January first, laid on the coldest and dullest days by a weighted
    /// draw. The month's total depth is the stated one.
    Stated([SnowMonth; 12]),
}

/// A snow figure that cannot be used.
#[derive(Clone, Debug, PartialEq)]
pub struct BadSnow {
    /// What is wrong, in words.
    pub what: String,
    /// What would be accepted.
    pub allowed: &'static str,
}

impl core::fmt::Display for BadSnow {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        write!(f, "{}; allowed: {}", self.what, self.allowed)
    }
}

impl std::error::Error for BadSnow {}

/// Daily mean air temperature up to which precipitation is taken as snow, °C.
///
/// Half of the falls at 1 to 2 °C are snow. Source: US Army Corps of Engineers, Snow Hydrology, 1956 (from memory).
pub const SNOW_UP_TO_C: f64 = 1.0;

/// Mean fresh snow of a modelled snow day, cm. An assumption without a source.
pub const ASSUMED_DEPTH_CM: f64 = 4.0;

/// Fresh snow: water in 1 cm of it, mm (100 kg/m³). Common practice, no source.
const WATER_MM_PER_CM: f64 = 1.0;

/// Melt of one day with a mean of 1 K above freezing, mm of water. Source: Hock, Journal of Hydrology 282 (2003) 104–115,
/// degree-day factors of snow 2.5 to 5.5 (from memory).
const MELT_MM_PER_KELVIN_DAY: f64 = 4.0;

/// Irradiance on the plane that lets snow begin to slide, per kelvin below freezing, W/m²K.
///
/// Source: Marion, Schaefer, Caine & Sanchez, Measured and modeled photovoltaic system energy losses from snow for
/// Colorado and Wisconsin locations, Solar Energy 97 (2013) 112–121 (from memory): snow slides while
/// `T_air > G / m`, `m = −80 W/(m² K)`.
const SLIDE_W_M2_PER_KELVIN: f64 = -80.0;

/// Share of the slant by which snow slides in an hour, times the sine of the tilt. Same source: 1.97 tenths of the array's
/// height, for roofs; 2.0 or 3.0 tenths were fitted to free-standing racks (from memory), so that this is the cautious one.
const SLIDE_SHARE_PER_HOUR: f64 = 0.197;

/// From this tilt on snow slides in any cold: a slope as steep carries none unless something holds it back.
///
/// Source: EN 1991-1-3:2003, table 5.2, where the snow load of a pitch of 60° and more is nil (from memory). The racks behind
/// the published line were flatter, and by it a steep plane in an arctic winter would lie under its first snow until spring.
const STEEP_DEG: f64 = 60.0;

/// Chance that a day of a clearness brings snow when it is cold enough, 0 to 0.7.
///
/// 0.7 up to a clearness of 0.2, falling straight to 0 at 0.5. Snow was reported in 80 % of the cold days with a clearness
/// below 0.2 and for few hours in those above 0.5 of one typical year with weather codes (Toronto); most of the latter
/// leave nothing that can be measured. An assumption, to be shown as one.
pub fn chance_of_snow(day_clearness: f64) -> f64 {
    0.7 * ((0.5 - day_clearness) / 0.3).clamp(0.0, 1.0)
}

/// The falls of a year, in order of days. The same arguments give the same falls on every machine.
///
/// `sky` is the sky of the year's place; `seed` and `year_index` those the year was made with (any fixed numbers for a
/// year read from a file).
///
/// # Errors
/// A year that is not 8760 hours; stated days or depths out of range.
pub fn snow_falls(
    year: &Year,
    sky: &YearSky,
    source: &SnowSource,
    seed: u64,
    year_index: u32,
) -> Result<Vec<SnowFall>, BadSnow> {
    whole_year("air temperature", year.air_c.len())?;
    whole_year("global irradiance", year.ghi_w_m2.len())?;
    let mean_c: Vec<f64> = year.air_c.chunks(24).map(|day| day.iter().sum::<f64>() / 24.0).collect();
    let clearness: Vec<f64> = year
        .daily_ghi_wh_m2()
        .iter()
        .zip(&sky.extraterrestrial_day_wh_m2)
        // A day of the polar night is neither clear nor dull: take it as the middle.
        .map(|(global, outside)| if *outside > 0.0 { global / outside } else { 0.4 })
        .collect();
    let mut random = Stream::new(seed, year_index, Purpose::Snow);
    match source {
        SnowSource::Modelled => Ok((0..DAYS)
            .filter_map(|day| {
                // Both numbers are drawn every day, so that a warmer March does not move the falls of December.
                let (turn, depth) = (random.uniform(), exponential(&mut random));
                let falls = mean_c[day] <= SNOW_UP_TO_C && turn < chance_of_snow(clearness[day]);
                falls.then_some(SnowFall { day, depth_cm: ASSUMED_DEPTH_CM * depth })
            })
            .collect()),
        SnowSource::Stated(months) => {
            let mut falls = Vec::new();
            for (month, stated) in months.iter().enumerate() {
                let days = MONTH_DAYS[month];
                if stated.days as usize > days || !(0.0..=200.0).contains(&stated.depth_cm) {
                    return Err(BadSnow {
                        what: format!(
                            "month {}: {} days of {} cm of snow",
                            month + 1,
                            stated.days,
                            stated.depth_cm
                        ),
                        allowed: "no more days than the month has, 0 to 200 cm a day",
                    });
                }
                let first = month_start_day(month);
                // Weighted draw without putting back (Efraimidis & Spirakis 2006): the smallest of −ln u / weight.
                let mut keyed: Vec<(f64, usize)> = (first..first + days)
                    .map(|day| {
                        let cold = libm::exp(-(mean_c[day] - SNOW_UP_TO_C).clamp(0.0, 30.0));
                        let weight = (chance_of_snow(clearness[day]) + 0.01) * cold;
                        (exponential(&mut random) / weight, day)
                    })
                    .collect();
                keyed.sort_by(|a, b| a.0.total_cmp(&b.0));
                let mut of_month: Vec<SnowFall> = keyed
                    .iter()
                    .take(stated.days as usize)
                    .map(|(_, day)| SnowFall { day: *day, depth_cm: exponential(&mut random) })
                    .collect();
                let drawn: f64 = of_month.iter().map(|fall| fall.depth_cm).sum();
                let wanted = f64::from(stated.days) * stated.depth_cm;
                for fall in &mut of_month {
                    fall.depth_cm *= if drawn > 0.0 { wanted / drawn } else { 0.0 };
                }
                of_month.sort_by_key(|fall| fall.day);
                falls.extend(of_month);
            }
            Ok(falls)
        }
    }
}

/// Share of a plane's slant under snow in every hour, from the lower edge up, 0 to 1.
///
/// A fall covers the whole plane from the first hour of its day. In every hour in which the air is warm enough for the light
/// on the plane ([`snow_slides`]) the snow slides down by `0.197 sin(tilt)` of the slant, so that the upper part is free
/// first; from 60° of tilt on it does so in any cold; warm air also melts it from above until nothing is left, which alone clears a flat plane. With
/// `cleared_after_days` the owner clears it by nine in the morning so many days after the last fall (0: the same day).
/// The year begins without snow. `plane_w_m2` is the light on the plane as if it were free.
///
/// # Errors
/// Series that are not 8760 hours or hold values that are not numbers; a tilt outside 0 to 90°; falls out of order.
pub fn snow_cover(
    falls: &[SnowFall],
    tilt_deg: f64,
    air_c: &[f64],
    plane_w_m2: &[f64],
    cleared_after_days: Option<u32>,
) -> Result<Vec<f64>, BadSnow> {
    whole_year("light on the plane", plane_w_m2.len())?;
    if !(0.0..=90.0).contains(&tilt_deg) {
        return Err(BadSnow { what: format!("a tilt of {tilt_deg}°"), allowed: "0 to 90°" });
    }
    if let Some(hour) = plane_w_m2.iter().position(|light| !light.is_finite()) {
        return Err(BadSnow { what: format!("light of hour {hour} is not a number"), allowed: "W/m²" });
    }
    let slide = SLIDE_SHARE_PER_HOUR * libm::sin(tilt_deg.to_radians());
    let mut cover = Vec::with_capacity(HOURS);
    let (mut covered, mut last_fall) = (0.0_f64, 0);
    let water = Lying::new(falls, air_c)?;
    for (hour, (fallen, water_mm)) in water.enumerate() {
        if fallen {
            (covered, last_fall) = (1.0, hour / 24);
        } else if covered > 0.0 && (tilt_deg >= STEEP_DEG || snow_slides(air_c[hour], plane_w_m2[hour])) {
            covered = (covered - slide).max(0.0);
        }
        let clears = cleared_after_days.is_some_and(|days| hour >= 24 * (last_fall + days as usize) + 9);
        if water_mm <= 0.0 || clears {
            covered = 0.0;
        }
        cover.push(covered);
    }
    Ok(cover)
}

/// Whether snow on a plane slides in an hour of an air temperature (°C) and light on the plane (W/m²):
/// `T > G / −80`. Source: Marion et al. 2013.
pub fn snow_slides(air_c: f64, plane_w_m2: f64) -> bool {
    air_c > plane_w_m2 / SLIDE_W_M2_PER_KELVIN
}

/// Hours in which snow lies on open ground, for the light it throws back: falls, less what warm air melts.
///
/// # Errors
/// As [`snow_cover`].
pub fn snow_on_ground(falls: &[SnowFall], air_c: &[f64]) -> Result<Vec<bool>, BadSnow> {
    Ok(Lying::new(falls, air_c)?.map(|(_, water_mm)| water_mm > 0.0).collect())
}

/// Water in lying snow, hour by hour: whether snow has just fallen, and millimetres after the hour's melt.
struct Lying<'a> {
    falls: &'a [SnowFall],
    air_c: &'a [f64],
    hour: usize,
    water_mm: f64,
}

impl<'a> Lying<'a> {
    fn new(falls: &'a [SnowFall], air_c: &'a [f64]) -> Result<Self, BadSnow> {
        whole_year("air temperature", air_c.len())?;
        if let Some(hour) = air_c.iter().position(|air| !air.is_finite()) {
            return Err(BadSnow { what: format!("air of hour {hour} is not a number"), allowed: "°C" });
        }
        let in_order = falls.windows(2).all(|pair| pair[0].day < pair[1].day);
        let in_range = falls.iter().all(|fall| fall.day < DAYS && (0.0..=10_000.0).contains(&fall.depth_cm));
        if !(in_order && in_range) {
            return Err(BadSnow {
                what: "falls are out of order or out of range".into(),
                allowed: "days 0 to 364 in order, each once, depths from 0 cm",
            });
        }
        Ok(Self { falls, air_c, hour: 0, water_mm: 0.0 })
    }
}

impl Iterator for Lying<'_> {
    type Item = (bool, f64);

    fn next(&mut self) -> Option<Self::Item> {
        let air = *self.air_c.get(self.hour)?;
        let falling = self.falls.first().filter(|fall| 24 * fall.day == self.hour);
        if let Some(fall) = falling {
            self.water_mm += fall.depth_cm * WATER_MM_PER_CM;
            self.falls = &self.falls[1..];
        }
        let fallen = falling.is_some_and(|fall| fall.depth_cm > 0.0);
        self.water_mm = (self.water_mm - MELT_MM_PER_KELVIN_DAY * air.max(0.0) / 24.0).max(0.0);
        self.hour += 1;
        Some((fallen, self.water_mm))
    }
}

/// A number of the exponential law with mean 1.
fn exponential(random: &mut Stream) -> f64 {
    -libm::log(1.0 - random.uniform())
}

fn whole_year(what: &str, hours: usize) -> Result<(), BadSnow> {
    if hours == HOURS {
        return Ok(());
    }
    Err(BadSnow { what: format!("{what} has {hours} hours"), allowed: "8760 hours" })
}
