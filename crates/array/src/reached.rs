//! Which bypass sections of a string the shade on its plane reaches, and for how long.

use crate::bypass_sections::{ModuleStand, share_of_sections_reached};
use crate::near_shade::{NearShade, refuse_bad_shadows};
use crate::series::{SeriesError, in_range};
use crate::shadow::{Shadow, reach_between};

/// Where a string's modules lie on its plane.
///
/// Columns are counted from 0 at the left, as one looks at the glass, and may begin within a module: three modules in two
/// rows take one column and a half. Columns beyond the last go on at the first, on the next of several equal racks.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StringPlace {
    /// The module row it fills, counted from the lower edge, from 0; `None`: all of them alike.
    pub row: Option<u32>,
    /// Where it begins, columns from the left.
    pub first_column: f64,
}

/// How the sections of a string lie on its plane.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SectionLayout {
    /// Modules in series, at least 1.
    pub modules_in_series: u32,
    /// Bypass sections of a module, at least 1: one per bypass diode.
    pub sections_of_module: u32,
    /// Module rows one above the other on the plane, at least 1.
    pub modules_up: u32,
    /// Modules side by side on the plane, at least 1.
    pub modules_wide: u32,
    /// Which way up the modules lie.
    pub stand: ModuleStand,
    /// Which modules of the plane the string is.
    pub place: StringPlace,
}

impl SectionLayout {
    /// Sections of the string.
    #[must_use]
    pub fn sections(&self) -> u32 {
        self.modules_in_series.saturating_mul(self.sections_of_module)
    }

    /// Sections of the string that shade or snow over `share` of the slant reaches, from the lower edge, as wide as the
    /// plane.
    #[must_use]
    pub fn reached_from_below(&self, share: f64) -> u32 {
        let reached = match self.place.row {
            None => share_of_sections_reached(share, self.modules_up, self.stand, self.sections_of_module),
            Some(row) => {
                let of_row = (share * f64::from(self.modules_up) - f64::from(row)).clamp(0.0, 1.0);
                share_of_sections_reached(of_row, 1, self.stand, self.sections_of_module)
            }
        };
        self.whole_sections(reached)
    }

    /// A string that does not divide evenly over the rows is taken with the larger part in the shade.
    fn whole_sections(&self, share: f64) -> u32 {
        let all = self.sections();
        (libm::ceil(share * f64::from(all) - 1e-9).max(0.0) as u32).min(all)
    }

    /// Sections side by side in a module, and one above the other.
    fn grid(&self) -> (u32, u32) {
        match self.stand {
            ModuleStand::Upright => (self.sections_of_module, 1),
            ModuleStand::Lying => (1, self.sections_of_module),
        }
    }

    /// How much of the string lies in each column of the plane, in columns.
    fn in_columns(&self) -> Vec<f64> {
        let rows = if self.place.row.is_some() { 1 } else { self.modules_up };
        let (first, wide) = (self.place.first_column, f64::from(self.modules_wide));
        let last = first + f64::from(self.modules_in_series) / f64::from(rows);
        (0..self.modules_wide)
            .map(|column| {
                let mut left = f64::from(column) + wide * libm::floor(first / wide);
                let mut sum = 0.0;
                while left < last {
                    sum += (last.min(left + 1.0) - first.max(left)).max(0.0);
                    left += wide;
                }
                sum
            })
            .collect()
    }

    fn check(&self) -> Result<(), SeriesError> {
        in_range("modules in series", 0, f64::from(self.modules_in_series), 1.0, 1000.0)?;
        in_range("bypass sections of a module", 0, f64::from(self.sections_of_module), 1.0, 100.0)?;
        in_range("module rows", 0, f64::from(self.modules_up), 1.0, 1000.0)?;
        in_range("modules side by side", 0, f64::from(self.modules_wide), 1.0, 10_000.0)?;
        let row = f64::from(self.place.row.unwrap_or(0));
        in_range("module row of a string", 0, row, 0.0, f64::from(self.modules_up) - 1.0)?;
        in_range("first column of a string", 0, self.place.first_column, 0.0, 1e6)
    }
}

/// A part of a step with some of a string's sections in the shade.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ReachedPart {
    /// The step.
    pub step: usize,
    /// Share of the time in which the far horizon shows the sun in that step.
    pub share: f64,
    /// Sections in the shade, at least 1.
    pub sections: u32,
}

/// The shade of a calendar on one string.
#[derive(Debug, Clone, PartialEq)]
pub struct Reached {
    layout: SectionLayout,
    parts: Vec<ReachedPart>,
    /// Where each step's parts begin, and the end.
    begins: Vec<usize>,
}

impl Reached {
    /// Which of a string's sections lie in the near shade, step by step.
    ///
    /// # Errors
    /// `SeriesError` for a layout or shadows out of range, or shadows that are not in the order of their steps.
    pub fn of(shade: &NearShade, layout: SectionLayout) -> Result<Self, SeriesError> {
        layout.check()?;
        refuse_bad_shadows(shade)?;
        let steps = shade.month_of_step.len();
        let columns = layout.in_columns();
        let mut parts: Vec<ReachedPart> = Vec::with_capacity(shade.shadows.len());
        let mut begins = vec![0; steps + 1];
        for shadow in &shade.shadows {
            let sections = sections_under(shadow, &layout, &columns, shade.width_m);
            if sections == 0 {
                continue;
            }
            let mut of_step = parts.iter_mut().rev().take_while(|part| part.step == shadow.step);
            match of_step.find(|part| part.sections == sections) {
                Some(same) => same.share += shadow.share,
                None => {
                    parts.push(ReachedPart { step: shadow.step, share: shadow.share, sections });
                    begins[shadow.step + 1] += 1;
                }
            }
        }
        for step in 0..steps {
            begins[step + 1] += begins[step];
        }
        Ok(Self { layout, parts, begins })
    }

    /// No shade in so many steps.
    ///
    /// # Errors
    /// `SeriesError` for a layout out of range.
    pub fn open(steps: usize, layout: SectionLayout) -> Result<Self, SeriesError> {
        layout.check()?;
        Ok(Self { layout, parts: Vec::new(), begins: vec![0; steps + 1] })
    }

    /// How the string lies.
    #[must_use]
    pub fn layout(&self) -> &SectionLayout {
        &self.layout
    }

    /// Number of steps.
    #[must_use]
    pub fn steps(&self) -> usize {
        self.begins.len() - 1
    }

    /// The parts of a step in which any of its sections is shaded.
    #[must_use]
    pub fn in_step(&self, step: usize) -> &[ReachedPart] {
        &self.parts[self.begins[step]..self.begins[step + 1]]
    }
}

fn sections_under(shadow: &Shadow, layout: &SectionLayout, columns: &[f64], width_m: f64) -> u32 {
    if shadow.screens.is_empty() {
        return layout.reached_from_below(shadow.from_below);
    }
    let (across, up) = layout.grid();
    let bands = layout.modules_up * up;
    let (lowest, highest) = match layout.place.row {
        Some(row) => (row * up, (row + 1) * up),
        None => (0, bands),
    };
    let strip_m = width_m / f64::from(layout.modules_wide * across);
    let below = libm::ceil(shadow.from_below * f64::from(bands) - 1e-9).max(0.0) as u32;
    let mut touched = vec![false; bands as usize];
    // In columns times strips times bands of the string.
    let mut sum = 0.0;
    for (column, weight) in columns.iter().enumerate() {
        if *weight <= 0.0 {
            continue;
        }
        for strip in 0..across {
            let left_m = -0.5 * width_m + f64::from(column as u32 * across + strip) * strip_m;
            touched.iter_mut().enumerate().for_each(|(band, touched)| *touched = (band as u32) < below);
            for screen in &shadow.screens {
                let Some((low, high)) = reach_between(&screen.corners, left_m, left_m + strip_m) else {
                    continue;
                };
                let first = libm::floor(low * f64::from(bands) + 1e-9).max(0.0) as usize;
                let last = libm::ceil(high * f64::from(bands) - 1e-9).max(0.0) as usize;
                touched.iter_mut().take(last).skip(first).for_each(|touched| *touched = true);
            }
            let here = touched[lowest as usize..highest as usize].iter().filter(|touched| **touched).count();
            sum += weight * here as f64;
        }
    }
    let whole: f64 = columns.iter().sum::<f64>() * f64::from(across * (highest - lowest));
    layout.whole_sections(sum / whole)
}
