//! A string whose bypass sections stand in different light: its exact best point.
//!
//! A module is two or three sections of cells in series, each with a diode beside it that lets the string's current pass
//! when the section cannot carry it. Shade therefore costs sections, not area: a section with a shaded row of cells works
//! at the light of those cells, or is passed by.

use crate::single_diode::{CurvePoint, Diode};

/// Sections of one string in the same light.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SectionGroup {
    /// Number of sections, at least 1.
    pub count: u32,
    /// One section: the module's curve, in that light, over the sections of a module (see [`section_of`]).
    pub section: Diode,
}

/// One of `sections` equal bypass sections of a module: the same currents at that part of the voltage.
#[must_use]
pub fn section_of(module: &Diode, sections: u32) -> Diode {
    let share = f64::from(sections.max(1));
    Diode {
        ideality_v: module.ideality_v / share,
        series_ohm: module.series_ohm / share,
        shunt_siemens: module.shunt_siemens * share,
        ..*module
    }
}

/// Where a shaded string works best, and how many sections are passed by there.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct SectionPoint {
    /// Voltage and current of the string.
    pub point: CurvePoint,
    /// Sections passed by.
    pub passed_by: u32,
}

/// Voltage of a string at a current, V; sections that cannot carry it drop `bypass_v` (about 0.5 V, above zero) each.
#[must_use]
pub fn string_voltage_v(groups: &[SectionGroup], current_a: f64, bypass_v: f64) -> f64 {
    groups
        .iter()
        .map(|group| {
            let own = group.section.voltage_at_current_v(current_a).unwrap_or(-bypass_v);
            f64::from(group.count) * own.max(-bypass_v)
        })
        .sum()
}

/// The best point of a string of sections in different light.
///
/// Between the currents at which groups begin to be passed by, the voltage of the string falls ever faster with current,
/// so the power has one maximum there: each stretch is searched by golden section, and the best of all is taken. A real
/// tracker may stay at a lesser summit; that is left out.
#[must_use]
pub fn best_point(groups: &[SectionGroup], bypass_v: f64) -> SectionPoint {
    best_point_over(groups, 0, bypass_v, 1e-9)
}

/// As [`best_point`] with `dark` further sections that give nothing and are always passed by; each stretch of currents
/// is searched to the part `precision` of its length.
pub(crate) fn best_point_over(
    groups: &[SectionGroup],
    dark: u32,
    bypass_v: f64,
    precision: f64,
) -> SectionPoint {
    let dark_v = f64::from(dark) * bypass_v;
    // The current at which a section is passed by: its voltage is -bypass_v there.
    let mut turns: Vec<f64> =
        groups.iter().map(|group| group.section.current_at_voltage_a(-bypass_v)).collect();
    turns.sort_by(f64::total_cmp);
    let voltage = |current: f64| string_voltage_v(groups, current, bypass_v) - dark_v;
    let power = |current: f64| current * voltage(current);
    let (mut best, mut best_w, mut low) = (0.0, 0.0, 0.0);
    for high in turns {
        if high > low {
            let current = golden_maximum(power, low, high, precision);
            let found_w = power(current);
            if found_w > best_w {
                best = current;
                best_w = found_w;
            }
            low = high;
        }
    }
    let passed_by: u32 = groups
        .iter()
        .filter(|group| group.section.voltage_at_current_v(best).is_none_or(|voltage| voltage <= -bypass_v))
        .map(|group| group.count)
        .sum();
    SectionPoint {
        point: CurvePoint { voltage_v: voltage(best), current_a: best },
        passed_by: passed_by + dark,
    }
}

/// Maximum of a function with one summit between two ends, to a part of their distance (power is stationary there).
fn golden_maximum(function: impl Fn(f64) -> f64, mut low: f64, mut high: f64, precision: f64) -> f64 {
    const GOLDEN: f64 = 0.618_033_988_749_894_9;
    let enough = precision * (high - low);
    let (mut left, mut right) = (high - GOLDEN * (high - low), low + GOLDEN * (high - low));
    let (mut at_left, mut at_right) = (function(left), function(right));
    while high - low > enough {
        if at_left < at_right {
            low = left;
            left = right;
            at_left = at_right;
            right = low + GOLDEN * (high - low);
            at_right = function(right);
        } else {
            high = right;
            right = left;
            at_right = at_left;
            left = high - GOLDEN * (high - low);
            at_left = function(left);
        }
    }
    0.5 * (low + high)
}

/// How the sections of a rack's modules lie, for shade that climbs from the lower edge.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ModuleStand {
    /// Long side up the slope: shade reaches all sections of a module at once.
    Upright,
    /// Long side level: sections lie one above the other and are reached one by one.
    Lying,
}

/// Share of a row's sections that shade of `shaded_share` of the slant (from below, 0..=1) reaches, for `modules_up`
/// modules one above the other with `sections` each. A section counts as soon as any of it is shaded.
#[must_use]
pub fn share_of_sections_reached(
    shaded_share: f64,
    modules_up: u32,
    stand: ModuleStand,
    sections: u32,
) -> f64 {
    let bands = f64::from(modules_up.max(1))
        * match stand {
            ModuleStand::Upright => 1.0,
            ModuleStand::Lying => f64::from(sections.max(1)),
        };
    // A hair of shade by rounding is none.
    let reached = (shaded_share.clamp(0.0, 1.0) * bands - 1e-9).max(0.0);
    libm::ceil(reached) / bands
}
