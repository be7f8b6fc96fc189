//! The worst stretch of days in a year.

use crate::{Day, YearResult};

/// Some days in a row.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stretch {
    /// First day of the year, from 0.
    pub first_day: usize,
    /// How many.
    pub days: usize,
    /// Wanted at the outlets, Wh.
    pub load_wh: f64,
    /// Offered by the modules, Wh.
    pub pv_offered_wh: f64,
    /// From utility or generator, Wh.
    pub backup_wh: f64,
    /// Load not served, Wh.
    pub missing_wh: f64,
    /// Hours on utility or generator.
    pub backup_h: f64,
    /// Hours in which a must-load is missing.
    pub dark_h: f64,
    /// Mean state of charge.
    pub mean_state_of_charge: f64,
    /// Lowest state of charge at the end of an hour.
    pub lowest_state_of_charge: f64,
}

/// The `days` days in a row with the most energy missing or fetched from utility or generator; of equals the one with
/// the lowest mean state of charge, then the earliest. Stretches do not cross the end of the year. `None` for 0 days
/// or more than a year has.
pub fn worst_stretch(result: &YearResult, days: usize) -> Option<Stretch> {
    if days == 0 {
        return None;
    }
    let mut worst: Option<Stretch> = None;
    for (first_day, window) in result.days.windows(days).enumerate() {
        let stretch = Stretch::of(first_day, window);
        let lack = |s: &Stretch| s.backup_wh + s.missing_wh;
        let is_worse = worst.as_ref().is_none_or(|so_far| {
            let (new, old) = (lack(&stretch), lack(so_far));
            new > old || (new == old && stretch.mean_state_of_charge < so_far.mean_state_of_charge)
        });
        if is_worse {
            worst = Some(stretch);
        }
    }
    worst
}

/// The lean days of a stretch, from the first to the last.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LeanDays {
    /// First of them, day of the year from 0.
    pub first_day: usize,
    /// Last of them.
    pub last_day: usize,
    /// On how many of them the battery runs empty or is so all day, and on how many of these it does so between midnight and noon.
    pub empty: (usize, usize),
    /// On how many of them utility or generator helps.
    pub helped: usize,
    /// Hours on utility or generator.
    pub backup_h: f64,
}

/// Cuts a stretch down to its lean days: the battery is empty, backup helps or load is missing. `None` where none is.
pub fn lean_days(result: &YearResult, stretch: &Stretch) -> Option<LeanDays> {
    let is_lean = |day: &&Day| day.empty_h > 0 || day.backup_h > 0.0 || day.missing_wh > 1.0;
    let days = result.days.get(stretch.first_day..stretch.first_day + stretch.days)?;
    let first = days.iter().position(|day| is_lean(&day))?;
    let last = days.iter().rposition(|day| is_lean(&day))?;
    let lean = &days[first..=last];
    let at: Vec<u8> = lean.iter().filter_map(|day| day.ran_empty_at).collect();
    // A day that begins and ends empty runs empty at no hour of its own.
    let throughout = lean.iter().filter(|day| day.ran_empty_at.is_none() && day.empty_h >= 24).count();
    Some(LeanDays {
        first_day: stretch.first_day + first,
        last_day: stretch.first_day + last,
        empty: (at.len() + throughout, at.iter().filter(|hour| **hour < 12).count()),
        helped: lean.iter().filter(|day| day.backup_h > 0.0).count(),
        backup_h: lean.iter().map(|day| day.backup_h).sum(),
    })
}

impl Stretch {
    fn of(first_day: usize, window: &[Day]) -> Stretch {
        let sum = |part: fn(&Day) -> f64| window.iter().map(part).sum::<f64>();
        Stretch {
            first_day,
            days: window.len(),
            load_wh: sum(|day| day.load_wh),
            pv_offered_wh: sum(|day| day.pv_offered_wh),
            backup_wh: sum(|day| day.backup_wh),
            missing_wh: sum(|day| day.missing_wh),
            backup_h: sum(|day| day.backup_h),
            dark_h: sum(|day| day.dark_h),
            mean_state_of_charge: sum(|day| day.mean_state_of_charge) / window.len() as f64,
            lowest_state_of_charge: window
                .iter()
                .map(|day| day.lowest_state_of_charge)
                .fold(f64::INFINITY, f64::min),
        }
    }
}
