//! What a weather file holds before its gaps are dealt with.

use sun::{HOURS, YearSky};

use crate::erbs::split_global;
use crate::fields::hour_in_words;
use crate::lines::Lines;
use crate::normals::ASSUMED_WIND_M_S;
use crate::year::{Place, Year};

/// A measured quantity of a file.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Quantity {
    /// Global irradiance on the horizontal.
    Global,
    /// Beam irradiance facing the sun.
    Beam,
    /// Diffuse irradiance on the horizontal.
    Diffuse,
    /// Air temperature.
    Air,
    /// Wind speed.
    Wind,
}

impl Quantity {
    /// All of them.
    pub const ALL: [Quantity; 5] = [Self::Global, Self::Beam, Self::Diffuse, Self::Air, Self::Wind];

    /// The name a person reads.
    pub fn name(self) -> &'static str {
        match self {
            Self::Global => "global irradiance",
            Self::Beam => "beam irradiance",
            Self::Diffuse => "diffuse irradiance",
            Self::Air => "air temperature",
            Self::Wind => "wind speed",
        }
    }
}

/// A run of hours without a value.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Gap {
    /// What is missing.
    pub quantity: Quantity,
    /// First hour of the year without a value, 0 to 8759.
    pub first_hour: usize,
    /// How many hours.
    pub hours: usize,
}

/// How gaps may be filled. Each is used only when named, in the order named.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fill {
    /// Temperature and wind: straight between the hours before and after, for gaps up to so many hours.
    StraightLine {
        /// Longest gap that is bridged.
        longest_hours: usize,
    },
    /// Any quantity: the same hour of the nearest day that has it, earlier before later.
    NearestDay {
        /// How many days away that day may be.
        farthest_days: usize,
    },
    /// Beam and diffuse from global, by Erbs, Klein & Duffie 1982; where one of the two is given, the other by
    /// `global = diffuse + beam · cos z`.
    SplitGlobal,
    /// Wind, where the file has none at all: [`ASSUMED_WIND_M_S`] in every hour.
    AssumedWind,
}

impl Fill {
    /// What was done, for a sentence such as "wind: 3 hours run straight between their neighbours".
    pub fn says(&self) -> String {
        match self {
            Fill::StraightLine { .. } => "run straight between their neighbours".into(),
            Fill::NearestDay { .. } => "taken from the same hour of the nearest day that has it".into(),
            Fill::SplitGlobal => "made from the global light (Erbs, Klein and Duffie 1982)".into(),
            Fill::AssumedWind => format!("assumed at {ASSUMED_WIND_M_S} m/s"),
        }
    }
}

/// A year read from a file, with its gaps.
///
/// Lists are 8760 hours ending at their stamps, local standard time of the file; `None` is a missing value.
#[derive(Clone, Debug, PartialEq)]
pub struct FileYear {
    /// Where, as the file says.
    pub place: Place,
    /// The format it was read as.
    pub format: &'static str,
    /// Global irradiance, W/m².
    pub ghi_w_m2: Vec<Option<f64>>,
    /// Beam irradiance, W/m²; all missing when the file has no such column.
    pub dni_w_m2: Vec<Option<f64>>,
    /// Diffuse irradiance, W/m²; all missing when the file has no such column.
    pub dhi_w_m2: Vec<Option<f64>>,
    /// Air temperature, °C.
    pub air_c: Vec<Option<f64>>,
    /// Wind speed, m/s.
    pub wind_m_s: Vec<Option<f64>>,
    /// Snow depth, cm.
    pub snow_cm: Vec<Option<f64>>,
    /// Ground albedo, 0 to 1.
    pub albedo: Vec<Option<f64>>,
    /// The line each hour was read from.
    pub lines: Lines,
    /// What the reader did that the owner should know: leap days left out, columns not used.
    pub remarks: Vec<String>,
}

/// A year without gaps, and how it came to be so.
#[derive(Clone, Debug, PartialEq)]
pub struct Filled {
    /// The year.
    pub year: Year,
    /// Every gap that was filled and by which method.
    pub filled: Vec<(Gap, Fill)>,
    /// The reader's remarks and those of filling.
    pub remarks: Vec<String>,
}

/// Gaps that no named method fills.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StillMissing {
    /// The gaps.
    pub gaps: Vec<Gap>,
}

impl core::fmt::Display for StillMissing {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        let hours: usize = self.gaps.iter().map(|g| g.hours).sum();
        write!(f, "{hours} hourly values are missing in {} gaps", self.gaps.len())?;
        if let Some(gap) = self.gaps.first() {
            let from = hour_in_words(gap.first_hour);
            write!(f, "; the first: {} from {from}, {} hours", gap.quantity.name(), gap.hours)?;
        }
        Ok(())
    }
}

impl std::error::Error for StillMissing {}

impl FileYear {
    pub(crate) fn empty(place: Place, format: &'static str) -> Self {
        let none = || vec![None; HOURS];
        Self {
            place,
            format,
            ghi_w_m2: none(),
            dni_w_m2: none(),
            dhi_w_m2: none(),
            air_c: none(),
            wind_m_s: none(),
            snow_cm: none(),
            albedo: none(),
            lines: Lines::empty(),
            remarks: Vec::new(),
        }
    }

    /// The hours of a quantity.
    pub fn values(&self, quantity: Quantity) -> &[Option<f64>] {
        match quantity {
            Quantity::Global => &self.ghi_w_m2,
            Quantity::Beam => &self.dni_w_m2,
            Quantity::Diffuse => &self.dhi_w_m2,
            Quantity::Air => &self.air_c,
            Quantity::Wind => &self.wind_m_s,
        }
    }

    fn values_mut(&mut self, quantity: Quantity) -> &mut Vec<Option<f64>> {
        match quantity {
            Quantity::Global => &mut self.ghi_w_m2,
            Quantity::Beam => &mut self.dni_w_m2,
            Quantity::Diffuse => &mut self.dhi_w_m2,
            Quantity::Air => &mut self.air_c,
            Quantity::Wind => &mut self.wind_m_s,
        }
    }

    /// All gaps, by quantity and time.
    pub fn gaps(&self) -> Vec<Gap> {
        Quantity::ALL.into_iter().flat_map(|q| gaps_of(q, self.values(q))).collect()
    }

    /// The year, its gaps filled by the named methods in their order; `sky` is the sky of the file's place.
    ///
    /// Snow and albedo are optional: incomplete, they are left out with a remark.
    ///
    /// # Errors
    /// The gaps that remain when every named method has had its turn.
    pub fn into_year(mut self, sky: &YearSky, methods: &[Fill]) -> Result<Filled, StillMissing> {
        let mut filled = Vec::new();
        for method in methods {
            let before = self.gaps();
            match method {
                Fill::StraightLine { longest_hours } => {
                    for quantity in [Quantity::Air, Quantity::Wind] {
                        straight_line(self.values_mut(quantity), *longest_hours);
                    }
                }
                Fill::NearestDay { farthest_days } => {
                    for quantity in Quantity::ALL {
                        nearest_day(self.values_mut(quantity), *farthest_days);
                    }
                }
                Fill::SplitGlobal => self.split(sky),
                Fill::AssumedWind if self.wind_m_s.iter().all(Option::is_none) => {
                    self.wind_m_s.fill(Some(ASSUMED_WIND_M_S));
                }
                Fill::AssumedWind => {}
            }
            for gap in before {
                // What this method filled: the parts of the old gaps that have values now.
                let values = &self.values(gap.quantity)[gap.first_hour..gap.first_hour + gap.hours];
                let inverted: Vec<Option<f64>> =
                    values.iter().map(|v| if v.is_some() { None } else { Some(0.0) }).collect();
                filled.extend(
                    gaps_of(gap.quantity, &inverted)
                        .into_iter()
                        .map(|part| (Gap { first_hour: gap.first_hour + part.first_hour, ..part }, *method)),
                );
            }
        }
        let gaps = self.gaps();
        if !gaps.is_empty() {
            return Err(StillMissing { gaps });
        }
        let mut remarks = self.remarks;
        let mut optional = |name: &str, values: Vec<Option<f64>>| {
            let missing = values.iter().filter(|v| v.is_none()).count();
            if missing > 0 && missing < HOURS {
                remarks.push(format!("{name} lacks {missing} of {HOURS} hours: the column is left out"));
            }
            values.into_iter().collect::<Option<Vec<f64>>>()
        };
        let snow_cm = optional("snow depth", self.snow_cm);
        let albedo = optional("albedo", self.albedo);
        let whole = |values: Vec<Option<f64>>| values.into_iter().flatten().collect::<Vec<f64>>();
        let year = Year {
            ghi_w_m2: whole(self.ghi_w_m2),
            dni_w_m2: whole(self.dni_w_m2),
            dhi_w_m2: whole(self.dhi_w_m2),
            air_c: whole(self.air_c),
            wind_m_s: whole(self.wind_m_s),
            snow_cm,
            albedo,
        };
        Ok(Filled { year, filled, remarks })
    }

    fn split(&mut self, sky: &YearSky) {
        let known: Vec<f64> = self.ghi_w_m2.iter().map(|g| g.unwrap_or(0.0)).collect();
        let (dni, dhi) = split_global(&known, sky);
        for hour in 0..HOURS {
            let Some(global) = self.ghi_w_m2[hour] else { continue };
            let cos_z = sky.cos_zenith[hour];
            match (self.dni_w_m2[hour], self.dhi_w_m2[hour]) {
                (None, None) => {
                    self.dni_w_m2[hour] = Some(dni[hour]);
                    self.dhi_w_m2[hour] = Some(dhi[hour]);
                }
                (Some(beam), None) => self.dhi_w_m2[hour] = Some((global - beam * cos_z).max(0.0)),
                (None, Some(diffuse)) => {
                    // Below 1° of height the division says nothing: such an hour has no beam worth the name.
                    let beam = if cos_z > 0.0175 { (global - diffuse).max(0.0) / cos_z } else { 0.0 };
                    self.dni_w_m2[hour] = Some(beam.min(sky.extraterrestrial_normal_w_m2[hour]));
                }
                (Some(_), Some(_)) => {}
            }
        }
    }
}

fn gaps_of(quantity: Quantity, values: &[Option<f64>]) -> Vec<Gap> {
    let mut gaps: Vec<Gap> = Vec::new();
    for (hour, _) in values.iter().enumerate().filter(|(_, v)| v.is_none()) {
        match gaps.last_mut() {
            Some(gap) if gap.first_hour + gap.hours == hour => gap.hours += 1,
            _ => gaps.push(Gap { quantity, first_hour: hour, hours: 1 }),
        }
    }
    gaps
}

fn straight_line(values: &mut [Option<f64>], longest_hours: usize) {
    for gap in gaps_of(Quantity::Air, values) {
        let after = gap.first_hour + gap.hours;
        if gap.hours > longest_hours || gap.first_hour == 0 || after >= values.len() {
            continue;
        }
        if let (Some(from), Some(to)) = (values[gap.first_hour - 1], values[after]) {
            for step in 0..gap.hours {
                let share = (step as f64 + 1.0) / (gap.hours as f64 + 1.0);
                values[gap.first_hour + step] = Some(from + (to - from) * share);
            }
        }
    }
}

fn nearest_day(values: &mut [Option<f64>], farthest_days: usize) {
    let given = values.to_vec();
    for (hour, value) in values.iter_mut().enumerate().filter(|(_, v)| v.is_none()) {
        *value = (1..=farthest_days).find_map(|days| {
            let earlier = hour.checked_sub(24 * days).and_then(|h| given[h]);
            earlier.or_else(|| given.get(hour + 24 * days).copied().flatten())
        });
    }
}
