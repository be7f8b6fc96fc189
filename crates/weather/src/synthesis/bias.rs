//! Where synthetic years are known to differ from real ones, measured on seven hourly years.
//!
//! Each file's own monthly means were given to the generator (100 years, one seed), and the file's daily sums and dullest
//! stretches compared with those years. A single typical year stands for a climate here, so that the figures are coarse;
//! what they show is the direction. The classes were drawn with these files in view and their figures are those files' own:
//! they describe, and are no test. What a file left out would have shown is in `VALIDATION.md`. No published correction could be read; that days of the humid tropics follow a
//! narrower law than those the library was made from was found by Saunier, Reddy & Kumar, Solar Energy 38 (1987) 169–177
//! (from memory).

use sun::{MONTH_DAYS, YearSky, month_start_day};

use crate::normals::Normals;

/// A kind of climate by how the generator fares there.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BiasClass {
    /// The coldest month has a mean of 18 °C or more (Köppen's group A): days are too uneven, dull stretches too dull.
    WarmAllYear,
    /// The coldest month has a mean below 0 °C and the three darkest months a clearness below 0.40: days are too even,
    /// short dull stretches too mild.
    ColdDullWinter,
    /// Everything else: no bias beyond the scatter of single years.
    Fair,
}

/// What was measured in a class: synthetic over real, so that above 1 the synthetic years are larger.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bias {
    /// The class.
    pub class: BiasClass,
    /// Lowest and highest ratio of the standard deviation of daily sums, over the four seasons of each file.
    pub spread: (f64, f64),
    /// For stretches of 3, 5 and 10 days: lowest and highest ratio, over the files, of the median of the synthetic years'
    /// dullest stretch to the file's.
    pub dullest: [(usize, f64, f64); 3],
    /// The files it was measured on.
    pub measured_on: &'static [&'static str],
}

const WARM_ALL_YEAR: Bias = Bias {
    class: BiasClass::WarmAllYear,
    spread: (1.05, 1.58),
    dullest: [(3, 0.37, 0.46), (5, 0.61, 0.63), (10, 0.80, 0.90)],
    measured_on: &["Miami", "San Juan"],
};

const COLD_DULL_WINTER: Bias = Bias {
    class: BiasClass::ColdDullWinter,
    spread: (0.80, 0.91),
    dullest: [(3, 1.89, 1.89), (5, 1.15, 1.15), (10, 1.19, 1.19)],
    measured_on: &["Toronto"],
};

const FAIR: Bias = Bias {
    class: BiasClass::Fair,
    spread: (0.85, 1.16),
    dullest: [(3, 0.81, 1.60), (5, 0.86, 1.15), (10, 0.92, 1.18)],
    measured_on: &["Phoenix", "Minneapolis", "Golden", "De Bilt"],
};

impl Bias {
    /// All classes.
    pub const ALL: [Bias; 3] = [WARM_ALL_YEAR, COLD_DULL_WINTER, FAIR];

    /// The class of a climate; `sky` is the sky of its place.
    pub fn of(normals: &Normals, sky: &YearSky) -> Self {
        let coldest = normals.mean_c.iter().copied().fold(f64::MAX, f64::min);
        if coldest >= 18.0 {
            return WARM_ALL_YEAR;
        }
        // 0.40 parts Toronto (0.35) from Minneapolis (0.44); where exactly is not known.
        if coldest < 0.0 && dark_months_clearness(normals, sky) < 0.40 {
            return COLD_DULL_WINTER;
        }
        FAIR
    }

    /// What a reader should know, made of the figures.
    pub fn says(&self) -> String {
        let ends = |(low, high): (f64, f64)| match high - low < 0.005 {
            true => format!("{low:.2}"),
            false => format!("{low:.2} to {high:.2}"),
        };
        let [three, five, ten] = self.dullest.map(|(_, low, high)| ends((low, high)));
        let tendency = match self.class {
            BiasClass::WarmAllYear => "synthetic days are too uneven here and their dull stretches too dull",
            BiasClass::ColdDullWinter => "synthetic days are too even here and their dull stretches too mild",
            BiasClass::Fair => {
                "synthetic days and their dull stretches come out on either side of real ones here"
            }
        };
        let so = match self.class {
            BiasClass::WarmAllYear => "a battery sized for them is larger than needed",
            BiasClass::ColdDullWinter => "plan more reserve than the years show",
            BiasClass::Fair => {
                "a real dull stretch may be darker than the usual year shows: look at the worst one too"
            }
        };
        let years = if self.measured_on.len() == 1 { "one year" } else { "one year each" };
        format!(
            "{tendency}: by season they spread {} times as far as in real years, and the dullest 3, 5 and 10 days of the usual \
             synthetic year bring {three}, {five} and {ten} times the real light (measured on {years} of {}, the years the \
             figures were drawn from; another place may lie outside); {so}",
            ends(self.spread),
            self.measured_on.join(", ")
        )
    }
}

/// Clearness of the three neighbouring months with the least light above the air.
fn dark_months_clearness(normals: &Normals, sky: &YearSky) -> f64 {
    let outside = |month: usize| {
        let from = month_start_day(month);
        sky.extraterrestrial_day_wh_m2[from..from + MONTH_DAYS[month]].iter().sum::<f64>() / 1000.0
    };
    let of_three = |first: usize| {
        let months = (first..first + 3).map(|month| month % 12);
        months.fold((0.0, 0.0), |sum, month| {
            (sum.0 + outside(month), sum.1 + normals.ghi_kwh_m2_day[month] * MONTH_DAYS[month] as f64)
        })
    };
    let darkest = (0..12).map(of_three).min_by(|a, b| a.0.total_cmp(&b.0));
    darkest.map_or(0.0, |(above, below)| if above > 0.0 { below / above } else { 0.0 })
}
