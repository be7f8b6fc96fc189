//! What happens at each module input, hour by hour: open-circuit voltage, and what window and limits take.

use array::string_year::InputYear;
use quantity::{Clause, Energy, Measure, Standing, Term, Traced, Voltage, units};
use std::sync::Arc;

/// What was lost at an input in a year before the power that arrives, Wh, and the highest voltage met.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct InputSums {
    /// By age.
    pub ageing_wh: f64,
    /// By differences between modules.
    pub mismatch_wh: f64,
    /// By shaded sections.
    pub shade_wh: f64,
    /// By one voltage for strings that would each like their own.
    pub unequal_wh: f64,
    /// By waiting for the start and by a best voltage outside the window.
    pub window_wh: f64,
    /// By the limit of current.
    pub over_current_wh: f64,
    /// By the limit of power.
    pub over_power_wh: f64,
    /// Hours in which a limit of current or power held.
    pub limited_h: u32,
    /// Highest open-circuit voltage in the mean light of an hour, V.
    pub highest_v: f64,
    /// Hour of the year in which it was met.
    pub highest_at: usize,
}

/// Less than this, W, is rounding of an operating point and no limit.
const LIMITED_ABOVE_W: f64 = 0.5;

impl InputSums {
    pub(super) fn of(year: &InputYear) -> InputSums {
        let losses = &year.losses;
        // Rounding may leave a loss a hair below nothing.
        let sum = |hours: &[f64]| hours.iter().sum::<f64>().max(0.0);
        let limited = losses
            .over_current_w
            .iter()
            .zip(&losses.over_power_w)
            .filter(|(current, power)| *current + *power > LIMITED_ABOVE_W);
        let (highest_at, highest_v) = year
            .open_circuit_v
            .iter()
            .copied()
            .enumerate()
            .fold((0, 0.0), |highest, (at, volts)| if volts > highest.1 { (at, volts) } else { highest });
        InputSums {
            ageing_wh: sum(&losses.ageing_w),
            mismatch_wh: sum(&losses.mismatch_w),
            shade_wh: sum(&losses.shade_sections_w),
            unequal_wh: sum(&losses.unequal_strings_w),
            window_wh: sum(&losses.waiting_w) + sum(&losses.below_window_w) + sum(&losses.above_window_w),
            over_current_wh: sum(&losses.over_current_w),
            over_power_wh: sum(&losses.over_power_w),
            limited_h: limited.count() as u32,
            highest_v,
            highest_at,
        }
    }
}

/// One input through all years.
#[derive(Clone, Debug)]
pub(super) struct AtInput {
    pub(super) unit: Arc<str>,
    pub(super) number: u32,
    pub(super) sums: Vec<InputSums>,
    pub(super) years: Arc<super::InputYears>,
}

/// One input as its owner asks about it.
#[derive(Clone, Debug)]
pub struct InputHours {
    /// The unit.
    pub unit: Arc<str>,
    /// Number of the input on it, from 1.
    pub number: u32,
    /// Highest open-circuit voltage in any hour of all weather years.
    pub highest: Traced<Voltage>,
    /// Where it was met: weather year from 0, hour of the year.
    pub highest_at: (usize, usize),
    /// Lost to the voltage window, the current limit, the power limit, unequal strings, shaded sections, mismatch and age in the
    /// middling year.
    pub lost: Vec<(&'static str, Traced<Energy>)>,
    /// Hours of the middling year in which a limit of current or power held.
    pub limited_h: u32,
    /// 8760 hourly means of the loss in its cables at 75 °C in the middling year when everything offered is taken, W.
    pub cable_w: Vec<f64>,
}

/// The strings of this project.
const STRINGS: Clause = Clause {
    document: "hourly strings of this project",
    edition: "",
    clause: "De Soto et al. 2006 through window and limits of the input, hour by hour",
    standing: Standing::Computed,
};

pub(super) fn inputs(at: &[AtInput], middling: usize, terms: &[Term]) -> Vec<InputHours> {
    at.iter()
        .filter_map(|input| {
            let (year, highest) =
                input.sums.iter().enumerate().max_by(|a, b| a.1.highest_v.total_cmp(&b.1.highest_v))?;
            let sums = input.sums.get(middling)?;
            let energy = |wh: f64, says: &str| {
                Traced::series(Energy::from_si(units::WATT_HOUR.to_si(wh)), says, STRINGS, terms.to_vec())
            };
            let lost = [
                ("voltage window", sums.window_wh),
                ("current limit", sums.over_current_wh),
                ("power limit", sums.over_power_wh),
                ("unequal strings", sums.unequal_wh),
                ("shaded sections", sums.shade_wh),
                ("mismatch", sums.mismatch_wh),
                ("age", sums.ageing_wh),
            ];
            Some(InputHours {
                unit: input.unit.clone(),
                number: input.number,
                highest: Traced::series(
                    Voltage::from_si(highest.highest_v),
                    "highest open-circuit voltage in any hour of all weather years",
                    STRINGS,
                    terms.to_vec(),
                ),
                highest_at: (year, highest.highest_at),
                lost: lost
                    .into_iter()
                    .map(|(cause, wh)| (cause, energy(wh, "lost at this input in the middling year")))
                    .collect(),
                limited_h: sums.limited_h,
                cable_w: input
                    .years
                    .as_ref()
                    .as_ref()
                    .ok()
                    .and_then(|years| years.get(middling))
                    .map_or_else(Vec::new, |year| year.cable_w.clone()),
            })
        })
        .collect()
}
