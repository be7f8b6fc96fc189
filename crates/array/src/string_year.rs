//! A year of strings at one input: what arrives, and what each limit and each loss took.
//!
//! In every step the ideal maximum of all modules is the sum of the losses by age, mismatch, shaded sections, unequal
//! strings, waiting for the start, working below or above the best voltage, the current limit, the power limit and the conductors, and of
//! the power at the input. Each term comes from its own formula or its own pair of operating points; a test adds them up.

use crate::module_year::ModuleYear;
use crate::section_shade::SectionShade;
use crate::series::{SeriesError, in_range, same_length};
use crate::shared_input::{InputCurve, OneGroup, SeveralGroups, Working};
use crate::single_diode::ReferenceModule;

/// How the modules of a group are connected.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StringLayout {
    /// Modules in series in each string, at least 1.
    pub modules_in_series: u32,
    /// Strings in parallel, at least 1.
    pub strings_in_parallel: u32,
    /// Resistance of the conductors of one string, out and back, Ω.
    pub string_ohm: f64,
    /// Resistance of the conductors that all strings of the group share, out and back, Ω.
    pub common_ohm: f64,
}

/// Losses that are stated, not computed here, as shares that remain (0..=1). Both act on the current at every voltage.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StatedShares {
    /// What age has left of the power.
    pub ageing: f64,
    /// What differences between modules of one kind and plane leave.
    pub mismatch: f64,
}

/// Identical strings on one plane.
#[derive(Debug, Clone, Copy)]
pub struct StringGroup<'a> {
    /// The module.
    pub module: &'a ReferenceModule,
    /// Light on the cells, W/m², one entry per step.
    pub cell_w_m2: &'a [f64],
    /// Cell temperature, °C, one entry per step.
    pub cell_c: &'a [f64],
    /// The module's operating points in that light.
    pub points: &'a ModuleYear,
    /// How the modules are connected.
    pub layout: StringLayout,
    /// Stated losses.
    pub shares: StatedShares,
}

/// What an input accepts. `None` means that the data sheet states no such limit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct InputLimits {
    /// Open-circuit voltage at which a resting input starts, V.
    pub start_v: f64,
    /// Lowest working voltage of the tracker, V.
    pub tracker_low_v: f64,
    /// Highest working voltage of the tracker, V.
    pub tracker_high_v: f64,
    /// Largest working current, A.
    pub max_current_a: Option<f64>,
    /// Largest power drawn, W.
    pub max_power_w: Option<f64>,
}

/// What was lost in each step, W, never below zero but for roundings.
#[derive(Debug, Clone, PartialEq)]
pub struct InputLosses {
    /// By age.
    pub ageing_w: Vec<f64>,
    /// By differences between modules.
    pub mismatch_w: Vec<f64>,
    /// By near shade and snow: what the shaded sections do not give, and what they hold back in the others.
    pub shade_sections_w: Vec<f64>,
    /// By one voltage for strings that would each like their own.
    pub unequal_strings_w: Vec<f64>,
    /// While the open-circuit voltage had not reached the start voltage.
    pub waiting_w: Vec<f64>,
    /// By working above the best voltage because it lies below the window.
    pub below_window_w: Vec<f64>,
    /// By working below the best voltage because it lies above the window.
    pub above_window_w: Vec<f64>,
    /// By the current limit.
    pub over_current_w: Vec<f64>,
    /// By the power limit.
    pub over_power_w: Vec<f64>,
    /// In the conductors.
    pub cable_w: Vec<f64>,
}

/// A year at one input, one entry per step.
#[derive(Debug, Clone, PartialEq)]
pub struct InputYear {
    /// Power at the input, W.
    pub power_w: Vec<f64>,
    /// Voltage at the input, V; zero while it does not run.
    pub voltage_v: Vec<f64>,
    /// Current of all strings together, A.
    pub current_a: Vec<f64>,
    /// Highest open-circuit voltage of any string, V.
    pub open_circuit_v: Vec<f64>,
    /// What was lost by cause.
    pub losses: InputLosses,
}

/// Runs the strings of one input through the year.
///
/// A resting input starts when the open-circuit voltage reaches `start_v` and rests again when there is no light or when
/// the open-circuit voltage is below the window. A best voltage outside the window is replaced by the nearest one inside.
/// Too much current or power moves the voltage up until the limit is met; where the window's upper end forbids that, a
/// power limit may be met from below, and if neither works the input gives nothing in that step.
///
/// The best point is where the modules give most; the conductors' own small pull on it, second order in the drop, is left
/// out.
///
/// # Errors
/// `SeriesError` for no group, unequal lengths, shares outside 0..=1, negative resistances or limits out of order.
pub fn input_year(groups: &[StringGroup<'_>], limits: &InputLimits) -> Result<InputYear, SeriesError> {
    input_year_in_shade(groups, &vec![None; groups.len()], limits)
}

/// As [`input_year`] with the near shade on each group's sections; `None` is no shade. The groups' light and points are
/// those outside the shade ([`crate::near_shade::ShadedPlaneYear::cell_w_m2`]).
///
/// Around its best point a shaded string is taken as a string of the same modules, shorter in voltage and smaller in
/// current, with the best point of [`crate::section_shade::section_shade`]. Its open-circuit voltage, which decides when a
/// resting input starts, is that without shade.
///
/// # Errors
/// As [`input_year`]; also shades that do not match the groups, or shares out of range.
pub fn input_year_in_shade(
    groups: &[StringGroup<'_>],
    shades: &[Option<&SectionShade>],
    limits: &InputLimits,
) -> Result<InputYear, SeriesError> {
    refuse_bad_inputs(groups, limits)?;
    refuse_bad_shades(groups, shades)?;
    let scale_of = |index: usize, step: usize| shades[index].map_or(Scale::FULL, |shade| shade.at(step));
    let steps = groups.first().map_or(0, |group| group.points.steps());
    let zeros = || vec![0.0; steps];
    let mut year = InputYear {
        power_w: zeros(),
        voltage_v: zeros(),
        current_a: zeros(),
        open_circuit_v: zeros(),
        losses: InputLosses {
            ageing_w: zeros(),
            mismatch_w: zeros(),
            shade_sections_w: zeros(),
            unequal_strings_w: zeros(),
            waiting_w: zeros(),
            below_window_w: zeros(),
            above_window_w: zeros(),
            over_current_w: zeros(),
            over_power_w: zeros(),
            cable_w: zeros(),
        },
    };
    let mut running = false;
    for step in 0..steps {
        let (mut available_w, mut open_circuit_v) = (0.0, 0.0_f64);
        for (index, group) in groups.iter().enumerate() {
            let ideal_w = group.modules() * group.points.pmp_w(step);
            let aged_w = ideal_w * group.shares.ageing;
            let matched_w = aged_w * group.shares.mismatch;
            year.losses.ageing_w[step] += ideal_w - aged_w;
            year.losses.mismatch_w[step] += aged_w - matched_w;
            let scale = scale_of(index, step);
            let lit_w = matched_w * scale.voltage * scale.current;
            year.losses.shade_sections_w[step] += matched_w - lit_w;
            available_w += lit_w;
            open_circuit_v = open_circuit_v.max(group.series() * group.points.voc_v[step]);
        }
        if available_w <= 0.0 {
            running = false;
            continue;
        }
        year.open_circuit_v[step] = open_circuit_v;
        if !running && open_circuit_v < limits.start_v {
            year.losses.waiting_w[step] = available_w;
            continue;
        }
        running = true;
        let worked = if let [group] = groups {
            let scale = scale_of(0, step);
            let best = group.best_working(step, scale);
            if limits.accept(&best) {
                Settled { working: Some(best), ..Settled::default() }
            } else {
                settle(&OneGroup::new(group, step, scale), best, limits)
            }
        } else {
            let curve = SeveralGroups::new(groups, step, |index| scale_of(index, step));
            let best = curve.best();
            year.losses.unequal_strings_w[step] = available_w - best.array_w;
            settle(&curve, best, limits)
        };
        year.losses.below_window_w[step] = worked.below_window_w;
        year.losses.above_window_w[step] = worked.above_window_w;
        year.losses.over_current_w[step] = worked.over_current_w;
        year.losses.over_power_w[step] = worked.over_power_w;
        if let Some(working) = worked.working {
            year.voltage_v[step] = working.voltage_v;
            year.current_a[step] = working.current_a;
            year.power_w[step] = working.voltage_v * working.current_a;
            year.losses.cable_w[step] = working.cable_w;
        } else {
            running = open_circuit_v >= limits.tracker_low_v;
        }
    }
    Ok(year)
}

impl StringGroup<'_> {
    pub(crate) fn series(&self) -> f64 {
        f64::from(self.layout.modules_in_series)
    }

    pub(crate) fn parallel(&self) -> f64 {
        f64::from(self.layout.strings_in_parallel)
    }

    fn modules(&self) -> f64 {
        self.series() * self.parallel()
    }

    /// What remains of the current.
    pub(crate) fn share(&self) -> f64 {
        self.shares.ageing * self.shares.mismatch
    }

    /// Resistance that one string sees: its own conductors, and the shared ones that carry all strings' current.
    pub(crate) fn ohm_per_string(&self) -> f64 {
        self.layout.string_ohm + self.parallel() * self.layout.common_ohm
    }

    /// The modules' own best point, seen from the input.
    pub(crate) fn best_working(&self, step: usize, scale: Scale) -> Working {
        let string_a = self.points.imp_a[step] * self.share() * scale.current;
        let string_v = self.series() * scale.voltage * self.points.vmp_v[step];
        let drop_v = string_a * self.ohm_per_string();
        Working {
            voltage_v: string_v - drop_v,
            current_a: string_a * self.parallel(),
            array_w: string_v * string_a * self.parallel(),
            cable_w: drop_v * string_a * self.parallel(),
        }
    }
}

/// How a shaded string's best point lies to the one without shade, as factors of voltage and current.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Scale {
    pub(crate) voltage: f64,
    pub(crate) current: f64,
}

impl Scale {
    const FULL: Self = Self { voltage: 1.0, current: 1.0 };
}

impl SectionShade {
    fn at(&self, step: usize) -> Scale {
        let voltage = self.voltage_share[step];
        Scale { voltage, current: self.power_share[step] / voltage }
    }
}

impl InputLimits {
    fn accept(&self, working: &Working) -> bool {
        working.voltage_v >= self.tracker_low_v
            && working.voltage_v <= self.tracker_high_v
            && self.max_current_a.is_none_or(|limit| working.current_a <= limit)
            && self.max_power_w.is_none_or(|limit| working.voltage_v * working.current_a <= limit)
    }
}

/// Where an input settles, and what its limits took.
#[derive(Default)]
struct Settled {
    working: Option<Working>,
    below_window_w: f64,
    above_window_w: f64,
    over_current_w: f64,
    over_power_w: f64,
}

fn settle(curve: &impl InputCurve, best: Working, limits: &InputLimits) -> Settled {
    let mut settled = Settled::default();
    let mut now = best;
    if best.voltage_v < limits.tracker_low_v {
        now = curve.at_voltage(limits.tracker_low_v);
        if now.current_a <= 0.0 {
            // The open-circuit voltage of the strings together lies below the window.
            settled.below_window_w = best.array_w;
            return settled;
        }
        settled.below_window_w = best.array_w - now.array_w;
    } else if best.voltage_v > limits.tracker_high_v {
        now = curve.at_voltage(limits.tracker_high_v);
        settled.above_window_w = best.array_w - now.array_w;
    }
    if let Some(limit) = limits.max_current_a
        && now.current_a > limit
    {
        let reached =
            curve.at_current(limit, now.voltage_v).filter(|point| point.voltage_v <= limits.tracker_high_v);
        let Some(reached) = reached else {
            settled.over_current_w = now.array_w;
            return settled;
        };
        settled.over_current_w = now.array_w - reached.array_w;
        now = reached;
    }
    if let Some(limit) = limits.max_power_w
        && now.voltage_v * now.current_a > limit
    {
        let above =
            curve.at_power(limit, now.voltage_v).filter(|point| point.voltage_v <= limits.tracker_high_v);
        let reached = above.or_else(|| {
            curve
                .at_power_below(limit, limits.tracker_low_v, now.voltage_v)
                .filter(|point| limits.max_current_a.is_none_or(|most| point.current_a <= most))
        });
        let Some(reached) = reached else {
            settled.over_power_w = now.array_w;
            return settled;
        };
        settled.over_power_w = now.array_w - reached.array_w;
        now = reached;
    }
    settled.working = Some(now);
    settled
}

fn refuse_bad_inputs(groups: &[StringGroup<'_>], limits: &InputLimits) -> Result<(), SeriesError> {
    // Voltages and currents far beyond any house's array are typing errors; the bounds keep the solvers in range.
    in_range("number of string groups", 0, groups.len() as f64, 1.0, 1000.0)?;
    in_range("tracker's highest voltage", 0, limits.tracker_high_v, 1.0, 1e5)?;
    in_range("tracker's lowest voltage", 0, limits.tracker_low_v, 0.0, limits.tracker_high_v)?;
    in_range("start voltage", 0, limits.start_v, 0.0, 1e5)?;
    in_range("largest current", 0, limits.max_current_a.unwrap_or(0.0), 0.0, 1e5)?;
    in_range("largest power", 0, limits.max_power_w.unwrap_or(0.0), 0.0, 1e9)?;
    let steps = groups[0].points.steps();
    for group in groups {
        same_length("module points", group.points.steps(), steps)?;
        same_length("light on the cells", group.cell_w_m2.len(), steps)?;
        same_length("cell temperature", group.cell_c.len(), steps)?;
        in_range("modules in series", 0, group.series(), 1.0, 1000.0)?;
        in_range("strings in parallel", 0, group.parallel(), 1.0, 10_000.0)?;
        in_range("resistance of a string's conductors", 0, group.layout.string_ohm, 0.0, 1e3)?;
        in_range("resistance of shared conductors", 0, group.layout.common_ohm, 0.0, 1e3)?;
        in_range("share left by age", 0, group.shares.ageing, 0.0, 1.0)?;
        in_range("share left by mismatch", 0, group.shares.mismatch, 0.0, 1.0)?;
    }
    Ok(())
}

fn refuse_bad_shades(
    groups: &[StringGroup<'_>],
    shades: &[Option<&SectionShade>],
) -> Result<(), SeriesError> {
    same_length("shades of the strings", shades.len(), groups.len())?;
    for (group, shade) in groups.iter().zip(shades) {
        let Some(shade) = shade else { continue };
        same_length("power left in shade", shade.power_share.len(), group.points.steps())?;
        same_length("voltage left in shade", shade.voltage_share.len(), group.points.steps())?;
        for (step, (power, voltage)) in shade.power_share.iter().zip(&shade.voltage_share).enumerate() {
            in_range("power left in shade", step, *power, 0.0, 1.0)?;
            in_range("voltage left in shade", step, *voltage, 0.01, 2.0)?;
        }
    }
    Ok(())
}
