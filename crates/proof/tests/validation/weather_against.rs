//! A hundred synthetic years against the hourly year whose monthly means they were made from.

use sun::YearSky;
use weather::{Bias, BiasClass, Generator, Normals, Place, Year, season_of_day};

use crate::record::{Allowed, Largest, Section, Standing};
use crate::weather_rows::{daily_clearness, moments, share_of_days_below};

const YEARS: u32 = 100;

/// What was found against one file.
pub(crate) struct Against {
    /// What the program says of this climate.
    bias: Bias,
    /// Standard deviation of daily sums by season, synthetic over real.
    spread: [f64; 4],
    /// For 3, 5 and 10 days: the file's dullest sum and those of the synthetic years, sorted, kWh/m².
    dullest: [(f64, Vec<f64>); 3],
    /// By how much, K, nights of the clearest quarter of winter days are warmer than those of the dullest, and days of summer
    /// likewise: the file's and the years'.
    nights: [f64; 2],
    days: [f64; 2],
    /// Largest gap of the file's cumulative shares of days from the synthetic years' and from the published form.
    shapes: [f64; 2],
}

impl Against {
    pub(crate) fn of(place: &Place, sky: &YearSky, real: &Year) -> Against {
        let normals = normals_of(place, real);
        let generator = Generator::new(&normals, sky).expect("normals of a real year");
        let years: Vec<Year> = (0..YEARS).map(|index| generator.year(sky, 11, index)).collect();
        let daily: Vec<Vec<f64>> = years.iter().map(Year::daily_ghi_wh_m2).collect();
        let own_days = real.daily_ghi_wh_m2();
        let own = by_season(&own_days);
        let mut squares = [0.0; 4];
        for year in &daily {
            for (square, deviation) in squares.iter_mut().zip(by_season(year)) {
                *square += deviation * deviation / daily.len() as f64;
            }
        }
        Against {
            bias: Bias::of(&normals, sky),
            spread: std::array::from_fn(|season| squares[season].sqrt() / own[season]),
            dullest: [3, 5, 10].map(|days| {
                let mut all: Vec<f64> = daily.iter().map(|year| lowest_kwh(year, days)).collect();
                all.sort_by(f64::total_cmp);
                (lowest_kwh(&own_days, days), all)
            }),
            nights: [std::slice::from_ref(real), &years]
                .map(|some| by_clearness(some, sky, [11, 0, 1], f64::min, f64::MAX)),
            days: [std::slice::from_ref(real), &years]
                .map(|some| by_clearness(some, sky, [5, 6, 7], f64::max, f64::MIN)),
            shapes: shapes(&normals, sky, real, &years),
        }
    }

    /// The usual synthetic year's dullest stretch over the file's.
    fn ratio(&self, at: usize) -> f64 {
        let (own, all) = &self.dullest[at];
        all[all.len() / 2] / own
    }

    /// Synthetic years with a duller stretch than the file.
    fn rank(&self, at: usize) -> usize {
        let (own, all) = &self.dullest[at];
        all.iter().filter(|sum| *sum < own).count()
    }
}

fn normals_of(place: &Place, real: &Year) -> Normals {
    let extremes: Vec<(f64, f64)> = real
        .air_c
        .chunks(24)
        .map(|day| {
            (day.iter().copied().fold(f64::MAX, f64::min), day.iter().copied().fold(f64::MIN, f64::max))
        })
        .collect();
    let month_mean = |pick: fn(&(f64, f64)) -> f64| -> [f64; 12] {
        std::array::from_fn(|month| {
            let from = sun::month_start_day(month);
            let span = &extremes[from..from + sun::MONTH_DAYS[month]];
            span.iter().map(pick).sum::<f64>() / span.len() as f64
        })
    };
    Normals {
        latitude_deg: place.latitude_deg,
        longitude_deg: place.longitude_deg,
        elevation_m: place.elevation_m,
        utc_offset_h: place.utc_offset_h,
        ghi_kwh_m2_day: real.monthly_ghi_kwh_m2_day(),
        mean_c: real.monthly_air_c(),
        min_c: month_mean(|day| day.0),
        max_c: month_mean(|day| day.1),
        wind_m_s: [weather::ASSUMED_WIND_M_S; 12],
    }
}

fn by_season(daily: &[f64]) -> [f64; 4] {
    std::array::from_fn(|season| {
        let days: Vec<f64> =
            (0..365).filter(|day| season_of_day(*day) == season).map(|day| daily[day]).collect();
        moments(&days).1
    })
}

/// Mean lowest (or highest) temperature of the clearest quarter of the days of three months less that of the dullest, K. Each
/// day counts from its own month's mean, so that no month is taken for weather.
fn by_clearness(
    years: &[Year],
    sky: &YearSky,
    months: [usize; 3],
    pick: fn(f64, f64) -> f64,
    from: f64,
) -> f64 {
    let mut all: Vec<(f64, f64)> = Vec::new();
    for month in months {
        let first = sun::month_start_day(month);
        let mut of_month: Vec<(f64, f64)> = Vec::new();
        for year in years {
            let clearness = daily_clearness(year, sky);
            of_month.extend((first..first + sun::MONTH_DAYS[month]).map(|day| {
                let hours = &year.air_c[24 * day..24 * day + 24];
                (clearness[day], hours.iter().copied().fold(from, pick))
            }));
        }
        let n = of_month.len() as f64;
        let mean = |of: fn(&(f64, f64)) -> f64| of_month.iter().map(of).sum::<f64>() / n;
        let (clear, air) = (mean(|day| day.0), mean(|day| day.1));
        all.extend(of_month.iter().map(|day| (day.0 - clear, day.1 - air)));
    }
    all.sort_by(|a, b| a.0.total_cmp(&b.0));
    let quarter = all.len() / 4;
    let mean = |part: &[(f64, f64)]| part.iter().map(|day| day.1).sum::<f64>() / part.len() as f64;
    mean(&all[all.len() - quarter..]) - mean(&all[..quarter])
}

pub(crate) fn lowest_kwh(daily: &[f64], days: usize) -> f64 {
    daily.windows(days).map(|window| window.iter().sum::<f64>()).fold(f64::MAX, f64::min) / 1000.0
}

/// Each day of the file takes its place among all days that its own month should have, once by the synthetic years and once
/// by the published form: if the law is right the places are spread evenly. The largest departure of both.
fn shapes(normals: &Normals, sky: &YearSky, real: &Year, years: &[Year]) -> [f64; 2] {
    let own = daily_clearness(real, sky);
    let made: Vec<Vec<f64>> = years.iter().map(|year| daily_clearness(year, sky)).collect();
    let [mut by_years, mut by_form] = [Vec::new(), Vec::new()];
    for month in 0..12 {
        let mean = 1000.0 * normals.ghi_kwh_m2_day[month] / sky.month_mean_extraterrestrial_wh_m2(month);
        if !(0.3..=0.7).contains(&mean) {
            continue;
        }
        let span = sun::month_start_day(month)..sun::month_start_day(month) + sun::MONTH_DAYS[month];
        let mut all: Vec<f64> = made.iter().flat_map(|year| &year[span.clone()]).copied().collect();
        all.sort_by(f64::total_cmp);
        for day in &own[span] {
            by_years.push(all.partition_point(|kt| kt < day) as f64 / all.len() as f64);
            by_form.push(share_of_days_below(*day, mean));
        }
    }
    [by_years, by_form].map(|mut places| {
        places.sort_by(f64::total_cmp);
        let n = places.len() as f64;
        let gaps = places.iter().enumerate().map(|(at, place)| (place - (at as f64 + 0.5) / n).abs());
        gaps.fold(0.0, f64::max)
    })
}

pub(crate) fn rows(section: &mut Section, compared: &[(&'static str, Against)]) {
    for (place, found) in compared {
        let [winter, spring, summer, autumn] = found.spread.map(|ratio| format!("{ratio:.2}"));
        section.found(
            &format!("Synthetic years fed with the monthly means of {place}: how uneven their days are"),
            "standard deviation of the file's daily sums, pooled by season",
            4,
            &format!("winter {winter}, spring {spring}, summer {summer}, autumn {autumn} of the file's"),
            "the method knows twelve means and no more; what lies beyond 15 % is stated to the owner as bias",
            Standing::Derived,
        );
        let sums: Vec<String> = [3, 5, 10]
            .iter()
            .zip(&found.dullest)
            .enumerate()
            .map(|(at, (days, (own, all)))| {
                format!(
                    "{days} days: file {own:.2}, years {:.2}, {:.2}, {:.2} ({} of {YEARS} duller)",
                    all[5],
                    all[50],
                    all[95],
                    found.rank(at)
                )
            })
            .collect();
        section.found(
            &format!(
                "Synthetic years fed with the monthly means of {place}: dullest 3, 5 and 10 days, kWh/m²"
            ),
            "the file's, beside what 5, 50 and 95 of a hundred years stay below",
            3,
            &sums.join("; "),
            "a file is one year, which may be of any rank; outside 5 to 95 is stated to the owner as bias",
            Standing::Derived,
        );
    }
    nights_and_days(section, compared);
    shapes_of_days(section, compared);
    biases(section, compared);
    left_out(section, compared);
}

fn nights_and_days(section: &mut Section, compared: &[(&'static str, Against)]) {
    let words: Vec<String> = compared
        .iter()
        .map(|(place, found)| {
            format!(
                "{place} {:+.1} and {:+.1}, {:+.1} and {:+.1}",
                found.nights[0], found.nights[1], found.days[0], found.days[1]
            )
        })
        .collect();
    section.found(
        "Lowest temperature of the clearest quarter of the days of December to February less that of the dullest, and highest of \
         June to August likewise, K: the file and the years",
        "the file's own days",
        compared.len(),
        &words.join("; "),
        "temperature goes with clearness by one fit to these seven files; ninety days of one winter know such a difference to about 2 K",
        Standing::Derived,
    );
}

fn shapes_of_days(section: &mut Section, compared: &[(&'static str, Against)]) {
    let words: Vec<String> = compared
        .iter()
        .map(|(place, found)| format!("{place} {:.2} and {:.2}", found.shapes[0], found.shapes[1]))
        .collect();
    section.found(
        "Shares of dull and clear days of the files, largest gap from the synthetic years' shares and from the published form",
        "each day's place in its month's law; months of clearness 0.3 to 0.7",
        compared.len(),
        &words.join("; "),
        "365 days that fit their law perfectly would show about 0.05; which law is nearer differs from place to place",
        Standing::Derived,
    );
}

/// What the program says of each kind of climate, against what its files give today.
fn biases(section: &mut Section, compared: &[(&'static str, Against)]) {
    for bias in Bias::ALL {
        let of_class: Vec<&Against> =
            compared.iter().filter(|(_, found)| found.bias == bias).map(|(_, found)| found).collect();
        let mut ends = Largest::default();
        let mut compare = |values: &[f64], (low, high): (f64, f64)| {
            ends.see(values.iter().copied().fold(f64::MAX, f64::min) - low);
            ends.see(values.iter().copied().fold(f64::MIN, f64::max) - high);
        };
        let spreads: Vec<f64> = of_class.iter().flat_map(|found| found.spread).collect();
        compare(&spreads, bias.spread);
        for (at, (_, low, high)) in bias.dullest.iter().enumerate() {
            let medians: Vec<f64> = of_class.iter().map(|found| found.ratio(at)).collect();
            compare(&medians, (*low, *high));
        }
        let ((low, high), [three, five, ten]) = (bias.spread, bias.dullest);
        section.row(
            &format!(
                "Stated bias of synthetic years, {}: spread {low:.2} to {high:.2}; dullest 3, 5 and 10 days {:.2} to {:.2}, \
                 {:.2} to {:.2}, {:.2} to {:.2} of real ones",
                class_name(&bias),
                three.1,
                three.2,
                five.1,
                five.2,
                ten.1,
                ten.2
            ),
            &format!(
                "lowest and highest ratio to the files of {}, from which the figures were drawn: this keeps them up to date and tests nothing else",
                bias.measured_on.join(", ")
            ),
            &ends,
            "",
            Allowed(0.0051, "half a unit of the stated digits"),
            Standing::Derived,
        );
    }
}

/// How wrong the stated bias would be for each file, had that file not been there.
fn left_out(section: &mut Section, compared: &[(&'static str, Against)]) {
    let outside = |value: f64, others: &[f64]| {
        let low = others.iter().copied().fold(f64::MAX, f64::min);
        let high = others.iter().copied().fold(f64::MIN, f64::max);
        (low - value).max(value - high).max(0.0)
    };
    let words: Vec<String> = compared
        .iter()
        .map(|(place, found)| {
            let of = |class: BiasClass| -> Vec<&Against> {
                let same =
                    |(other, against): &&(&str, Against)| other != place && against.bias.class == class;
                compared.iter().filter(same).map(|(_, against)| against).collect()
            };
            // The only file of its class would have been told what is told of all others.
            let own = of(found.bias.class);
            let others = if own.is_empty() { of(BiasClass::Fair) } else { own };
            let spreads: Vec<f64> = others.iter().flat_map(|other| other.spread).collect();
            let spread = found.spread.iter().map(|value| outside(*value, &spreads)).fold(0.0, f64::max);
            let dullest = [0, 1, 2].map(|at| {
                let ratios: Vec<f64> = others.iter().map(|other| other.ratio(at)).collect();
                format!("{:.2}", outside(found.ratio(at), &ratios))
            });
            format!("{place} {spread:.2} and {}", dullest.join(", "))
        })
        .collect();
    section.found(
        "Each file left out: how far it lies outside what the other files of its class say, spread and dullest 3, 5 and 10 days",
        "ratios of the files left in; Toronto, alone in its class, against \"all others\"",
        compared.len(),
        &words.join("; "),
        "classes of four, two and one file: the stated figures are those of their files, and a new place may lie as far outside",
        Standing::Derived,
    );
}

fn class_name(bias: &Bias) -> &'static str {
    match bias.class {
        BiasClass::WarmAllYear => "warm all year",
        BiasClass::ColdDullWinter => "cold with a dull winter",
        BiasClass::Fair => "all others",
    }
}
