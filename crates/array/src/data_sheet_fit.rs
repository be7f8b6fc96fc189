//! The five parameters of a module from the numbers of its data sheet, with a report of what fits and what does not.

use std::fmt;

use crate::root::bracketed_root;
use crate::single_diode::{ReferenceModule, THERMAL_VOLTAGE_REFERENCE_V};

/// Data-sheet values at 1000 W/m², 25 °C cell, air mass 1.5.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DataSheet {
    /// Open-circuit voltage, V.
    pub voc_v: f64,
    /// Short-circuit current, A.
    pub isc_a: f64,
    /// Voltage at maximum power, V.
    pub vmp_v: f64,
    /// Current at maximum power, A.
    pub imp_a: f64,
    /// Change of the short-circuit current, A/K.
    pub alpha_isc_a_per_k: f64,
    /// Change of the open-circuit voltage, V/K, below zero.
    pub beta_voc_v_per_k: f64,
    /// Cells in series; for a half-cut module of two halves in parallel, those of one half.
    pub cells_in_series: u32,
    /// Rated power, W, where stated: held against `vmp · imp`.
    pub pmax_w: Option<f64>,
    /// Relative change of the maximum power, 1/K, below zero, where stated: held against the model.
    pub gamma_pmax_per_k: Option<f64>,
}

/// Why a data sheet is refused.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum DataSheetError {
    /// A value is missing, not a number, or not above zero.
    NotPositive {
        /// Name of the value.
        value: &'static str,
        /// What was given.
        found: f64,
    },
    /// The current at maximum power is not below the short-circuit current.
    CurrentsOutOfOrder {
        /// Current at maximum power, A.
        imp_a: f64,
        /// Short-circuit current, A.
        isc_a: f64,
    },
    /// The voltage at maximum power is not below the open-circuit voltage.
    VoltagesOutOfOrder {
        /// Voltage at maximum power, V.
        vmp_v: f64,
        /// Open-circuit voltage, V.
        voc_v: f64,
    },
    /// The rated power differs from `vmp · imp` by more than 2 %.
    PowerDiffers {
        /// Rated power, W.
        stated_w: f64,
        /// Product of voltage and current at maximum power, W.
        product_w: f64,
    },
    /// The open-circuit voltage per cell is not that of a silicon cell (0.45–0.85 V).
    VoltagePerCell {
        /// Open-circuit voltage over cells in series, V.
        voc_per_cell_v: f64,
    },
    /// A temperature coefficient has the wrong sign or size (β between -0.6 and -0.1 %/K, α between -0.05 and 0.2 %/K).
    Coefficient {
        /// Name of the coefficient.
        value: &'static str,
        /// The coefficient relative to its quantity, 1/K.
        found_per_k: f64,
        /// Lowest accepted, 1/K.
        low_per_k: f64,
        /// Highest accepted, 1/K.
        high_per_k: f64,
    },
    /// No single-diode curve passes through the three points with a flat top at the maximum.
    NoCurve {
        /// `vmp·imp / (voc·isc)`.
        fill_factor: f64,
    },
    /// A curve passes through the three points, but its open-circuit voltage changes with temperature too differently
    /// from what is stated.
    TemperatureDiffers {
        /// Stated change of the open-circuit voltage, V/K.
        stated_v_per_k: f64,
        /// Change that the curve implies, V/K.
        implied_v_per_k: f64,
    },
    /// The curve through the stated points changes its power with temperature too differently from what is stated.
    PowerCoefficientDiffers {
        /// Stated relative change of the maximum power, 1/K.
        stated_per_k: f64,
        /// Change that the curve implies, 1/K.
        implied_per_k: f64,
    },
    /// The curve would need a diode that is not silicon's (ideality of one cell outside 0.75–2).
    Ideality {
        /// Ideality of one cell.
        found: f64,
    },
}

impl fmt::Display for DataSheetError {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotPositive { value, found } => {
                write!(out, "{value} is {found}; it must be a number above zero")
            }
            Self::CurrentsOutOfOrder { imp_a, isc_a } => {
                write!(
                    out,
                    "the current at maximum power, {imp_a} A, must be below the short-circuit current, {isc_a} A"
                )
            }
            Self::VoltagesOutOfOrder { vmp_v, voc_v } => {
                write!(
                    out,
                    "the voltage at maximum power, {vmp_v} V, must be below the open-circuit voltage, {voc_v} V"
                )
            }
            Self::PowerDiffers { stated_w, product_w } => write!(
                out,
                "the rated power is {stated_w} W, but voltage times current at maximum power is {product_w:.1} W"
            ),
            Self::VoltagePerCell { voc_per_cell_v } => write!(
                out,
                "the open-circuit voltage is {voc_per_cell_v:.3} V for each cell in series; a silicon cell has 0.45 to 0.85 V \
                 (of a half-cut module with two halves in parallel, count the cells of one half)"
            ),
            Self::Coefficient { value, found_per_k, low_per_k, high_per_k } => write!(
                out,
                "{value} is {:.3} %/K; between {:.2} and {:.2} %/K is expected",
                found_per_k * 100.0,
                low_per_k * 100.0,
                high_per_k * 100.0
            ),
            Self::NoCurve { fill_factor } => write!(
                out,
                "no diode curve passes through open circuit, short circuit and maximum power (fill factor {fill_factor:.3}): \
                 one of the four values is wrong"
            ),
            Self::TemperatureDiffers { stated_v_per_k, implied_v_per_k } => write!(
                out,
                "the stated change of the open-circuit voltage is {stated_v_per_k:.4} V/K, the curve through the stated points \
                 implies {implied_v_per_k:.4} V/K"
            ),
            Self::PowerCoefficientDiffers { stated_per_k, implied_per_k } => write!(
                out,
                "the stated change of the maximum power is {:.3} %/K, the other values imply {:.3} %/K",
                stated_per_k * 100.0,
                implied_per_k * 100.0
            ),
            Self::Ideality { found } => write!(
                out,
                "the values ask for a diode of ideality {found:.2}; silicon cells have 0.75 to 2: the change of the open-circuit \
                 voltage or the number of cells in series does not go with the rest"
            ),
        }
    }
}

impl std::error::Error for DataSheetError {}

/// Which resistance had to be held at its physical limit because the five conditions together ask for less.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Held {
    /// All five conditions are met with both resistances physical.
    Nothing,
    /// No series resistance; the temperature condition is not met exactly.
    SeriesAtZero,
    /// No shunt; the temperature condition is not met exactly.
    ShuntAtNone,
}

/// What the fitted model makes of the data sheet: model minus data sheet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Residuals {
    /// Short-circuit current, A.
    pub isc_a: f64,
    /// Open-circuit voltage, V.
    pub voc_v: f64,
    /// Voltage at maximum power, V.
    pub vmp_v: f64,
    /// Current at maximum power, A.
    pub imp_a: f64,
    /// Change of the open-circuit voltage from 25 to 35 °C, V/K.
    pub beta_voc_v_per_k: f64,
    /// Relative change of the maximum power from 25 to 50 °C, 1/K, where the data sheet states one.
    pub gamma_pmax_per_k: Option<f64>,
}

/// A module fitted to its data sheet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FittedModule {
    /// The five parameters.
    pub module: ReferenceModule,
    /// Model minus data sheet.
    pub residuals: Residuals,
    /// Relative change of the maximum power that the model implies from 25 to 50 °C, 1/K.
    pub implied_gamma_per_k: f64,
    /// Ideality of one cell, about 1 to 1.5 for silicon.
    pub ideality: f64,
    /// Whether a resistance was held at its limit.
    pub held: Held,
}

/// Beyond this share of the stated β the curve and the coefficient contradict each other (chosen, no source; typical
/// sheets fit exactly).
const BETA_TOLERANCE: f64 = 0.15;
/// Beyond this difference, 1/K, stated and implied power coefficient contradict each other (chosen, no source: it is half
/// of a usual coefficient and costs 4 % of power at 50 °C). Below it the difference is reported, not refused.
const GAMMA_TOLERANCE_PER_K: f64 = 0.0015;
/// Cell idealities beyond these are not silicon's (chosen, no source; textbooks give 1 to 2, fits of good sheets 0.9 to 1.4).
const IDEALITY_RANGE: std::ops::RangeInclusive<f64> = 0.75..=2.0;

/// Fits the five parameters so that the curve passes through short circuit, open circuit and maximum power, is flat in
/// power there, and its open-circuit voltage at 35 °C is the stated one.
///
/// Source of the conditions: De Soto, Klein & Beckman, Solar Energy 80 (2006) 78–88. Given ideality and series
/// resistance the other three parameters follow from three linear equations; the remaining two conditions are solved
/// one inside the other by bracketing, so no start value is needed.
///
/// # Errors
/// `DataSheetError` when the values contradict each other or are not those of a silicon module.
pub fn fit(sheet: &DataSheet) -> Result<FittedModule, DataSheetError> {
    refuse_contradictions(sheet)?;
    let problem = Problem { sheet };
    let (candidate, held) =
        problem.solve().ok_or(DataSheetError::NoCurve { fill_factor: sheet.fill_factor() })?;
    let module = candidate.module(sheet);
    let fitted = report(sheet, module, held);
    if fitted.residuals.beta_voc_v_per_k.abs() > BETA_TOLERANCE * sheet.beta_voc_v_per_k.abs() {
        return Err(DataSheetError::TemperatureDiffers {
            stated_v_per_k: sheet.beta_voc_v_per_k,
            implied_v_per_k: sheet.beta_voc_v_per_k + fitted.residuals.beta_voc_v_per_k,
        });
    }
    if let (Some(stated_per_k), Some(difference)) =
        (sheet.gamma_pmax_per_k, fitted.residuals.gamma_pmax_per_k)
        && difference.abs() > GAMMA_TOLERANCE_PER_K
    {
        let implied_per_k = fitted.implied_gamma_per_k;
        return Err(DataSheetError::PowerCoefficientDiffers { stated_per_k, implied_per_k });
    }
    if !IDEALITY_RANGE.contains(&fitted.ideality) {
        return Err(DataSheetError::Ideality { found: fitted.ideality });
    }
    Ok(fitted)
}

impl DataSheet {
    fn fill_factor(&self) -> f64 {
        self.vmp_v * self.imp_a / (self.voc_v * self.isc_a)
    }
}

fn refuse_contradictions(sheet: &DataSheet) -> Result<(), DataSheetError> {
    for (value, found) in [
        ("the open-circuit voltage", sheet.voc_v),
        ("the short-circuit current", sheet.isc_a),
        ("the voltage at maximum power", sheet.vmp_v),
        ("the current at maximum power", sheet.imp_a),
        ("the number of cells in series", f64::from(sheet.cells_in_series)),
        ("the rated power", sheet.pmax_w.unwrap_or(1.0)),
    ] {
        if !(found.is_finite() && found > 0.0) {
            return Err(DataSheetError::NotPositive { value, found });
        }
    }
    if sheet.imp_a >= sheet.isc_a {
        return Err(DataSheetError::CurrentsOutOfOrder { imp_a: sheet.imp_a, isc_a: sheet.isc_a });
    }
    if sheet.vmp_v >= sheet.voc_v {
        return Err(DataSheetError::VoltagesOutOfOrder { vmp_v: sheet.vmp_v, voc_v: sheet.voc_v });
    }
    let product_w = sheet.vmp_v * sheet.imp_a;
    if let Some(stated_w) = sheet.pmax_w
        && (product_w - stated_w).abs() > 0.02 * stated_w
    {
        return Err(DataSheetError::PowerDiffers { stated_w, product_w });
    }
    let voc_per_cell_v = sheet.voc_v / f64::from(sheet.cells_in_series);
    if !(0.45..=0.85).contains(&voc_per_cell_v) {
        return Err(DataSheetError::VoltagePerCell { voc_per_cell_v });
    }
    for (value, found_per_k, low_per_k, high_per_k) in [
        ("the change of the open-circuit voltage", sheet.beta_voc_v_per_k / sheet.voc_v, -0.006, -0.001),
        ("the change of the short-circuit current", sheet.alpha_isc_a_per_k / sheet.isc_a, -0.0005, 0.002),
        ("the change of the maximum power", sheet.gamma_pmax_per_k.unwrap_or(-0.003), -0.008, -0.001),
    ] {
        if !(low_per_k..=high_per_k).contains(&found_per_k) {
            return Err(DataSheetError::Coefficient { value, found_per_k, low_per_k, high_per_k });
        }
    }
    Ok(())
}

fn report(sheet: &DataSheet, module: ReferenceModule, held: Held) -> FittedModule {
    let cold = module.at(1000.0, 25.0).operating_point();
    let warm_voc_v = module.at(1000.0, 25.0 + WARMER_K).open_circuit_v();
    let hot_pmp_w = module.at(1000.0, 50.0).operating_point().pmp_w;
    let implied_gamma_per_k = (hot_pmp_w / cold.pmp_w - 1.0) / 25.0;
    FittedModule {
        module,
        residuals: Residuals {
            isc_a: cold.isc_a - sheet.isc_a,
            voc_v: cold.voc_v - sheet.voc_v,
            vmp_v: cold.vmp_v - sheet.vmp_v,
            imp_a: cold.imp_a - sheet.imp_a,
            beta_voc_v_per_k: (warm_voc_v - cold.voc_v) / WARMER_K - sheet.beta_voc_v_per_k,
            gamma_pmax_per_k: sheet.gamma_pmax_per_k.map(|stated| implied_gamma_per_k - stated),
        },
        implied_gamma_per_k,
        ideality: module.ideality_v / (f64::from(sheet.cells_in_series) * THERMAL_VOLTAGE_REFERENCE_V),
        held,
    }
}

/// Step of the temperature condition, K.
const WARMER_K: f64 = 10.0;

/// One curve through the three points.
#[derive(Clone, Copy)]
struct Candidate {
    ideality_v: f64,
    series_ohm: f64,
    light_current_a: f64,
    /// Junction current at open circuit, `Io exp(Voc/a)`: of the size of the light current, where `Io` is not.
    junction_a: f64,
    shunt_siemens: f64,
}

impl Candidate {
    fn module(&self, sheet: &DataSheet) -> ReferenceModule {
        ReferenceModule {
            light_current_a: self.light_current_a,
            log_saturation_current: libm::log(self.junction_a) - sheet.voc_v / self.ideality_v,
            ideality_v: self.ideality_v,
            series_ohm: self.series_ohm,
            shunt_siemens: self.shunt_siemens,
            alpha_isc_a_per_k: sheet.alpha_isc_a_per_k,
        }
    }
}

struct Problem<'a> {
    sheet: &'a DataSheet,
}

impl Problem<'_> {
    /// The curve that meets all five conditions, else the better of the two with one resistance at its limit.
    fn solve(&self) -> Option<(Candidate, Held)> {
        let through_a = |ideality_v: f64| self.flat_at_maximum(ideality_v);
        let warm = |candidate: Option<Candidate>| candidate.and_then(|found| self.warm_voc_error_v(&found));
        let exact = self
            .root_over_ideality(|ideality_v| warm(through_a(ideality_v)))
            .and_then(through_a)
            .filter(|found| found.shunt_siemens >= 0.0);
        if let Some(found) = exact {
            return Some((found, Held::Nothing));
        }
        let without_series = self
            .root_over_ideality(|ideality_v| {
                self.three_points(ideality_v, 0.0).map(|found| self.slope_error(&found))
            })
            .and_then(|ideality_v| self.three_points(ideality_v, 0.0))
            .filter(|found| found.shunt_siemens >= 0.0);
        let without_shunt = self
            .root_over_ideality(|ideality_v| self.no_shunt(ideality_v).map(|found| self.slope_error(&found)))
            .and_then(|ideality_v| self.no_shunt(ideality_v));
        [(without_series, Held::SeriesAtZero), (without_shunt, Held::ShuntAtNone)]
            .into_iter()
            .filter_map(|(found, held)| {
                let found = found?;
                Some((self.warm_voc_error_v(&found)?.abs(), found, held))
            })
            .min_by(|left, right| left.0.total_cmp(&right.0))
            .map(|(_, found, held)| (found, held))
    }

    /// Root of a condition over the ideality, cell idealities from 0.3 to 3 scanned in 3 % steps.
    fn root_over_ideality(&self, condition: impl Fn(f64) -> Option<f64>) -> Option<f64> {
        let per_unit = f64::from(self.sheet.cells_in_series) * THERMAL_VOLTAGE_REFERENCE_V;
        scanned_root(condition, (0..79).map(|index| 0.3 * per_unit * libm::pow(1.03, f64::from(index))))
    }

    /// Light current, junction and shunt from the three points, linear once ideality and series resistance are given.
    /// `None` where the junction would carry nothing or less.
    fn three_points(&self, ideality_v: f64, series_ohm: f64) -> Option<Candidate> {
        let DataSheet { voc_v, isc_a, vmp_v, imp_a, .. } = *self.sheet;
        let at_zero = libm::exp(-voc_v / ideality_v);
        let junction = |diode_v: f64| libm::exp((diode_v - voc_v) / ideality_v) - at_zero;
        let short_v = isc_a * series_ohm;
        let best_v = vmp_v + imp_a * series_ohm;
        if best_v >= voc_v {
            return None;
        }
        // Subtracting the open-circuit row leaves two equations in junction and shunt.
        let (short_junction, best_junction) =
            (junction(voc_v) - junction(short_v), junction(voc_v) - junction(best_v));
        let (short_shunt, best_shunt) = (voc_v - short_v, voc_v - best_v);
        let determinant = short_junction * best_shunt - best_junction * short_shunt;
        let junction_a = (isc_a * best_shunt - imp_a * short_shunt) / determinant;
        let shunt_siemens = (short_junction * imp_a - best_junction * isc_a) / determinant;
        let light_current_a = junction_a * junction(voc_v) + shunt_siemens * voc_v;
        let candidate = Candidate { ideality_v, series_ohm, light_current_a, junction_a, shunt_siemens };
        (junction_a > 0.0 && junction_a.is_finite() && shunt_siemens.is_finite()).then_some(candidate)
    }

    /// The curve through the three points that is flat in power at the maximum, for one ideality.
    fn flat_at_maximum(&self, ideality_v: f64) -> Option<Candidate> {
        let highest_ohm = (self.sheet.voc_v - self.sheet.vmp_v) / self.sheet.imp_a;
        let condition =
            |series_ohm: f64| self.three_points(ideality_v, series_ohm).map(|found| self.slope_error(&found));
        let series_ohm = scanned_root(condition, (0..48).map(|index| highest_ohm * f64::from(index) / 48.0))?;
        self.three_points(ideality_v, series_ohm)
    }

    /// The curve through the three points without shunt, for one ideality.
    fn no_shunt(&self, ideality_v: f64) -> Option<Candidate> {
        let highest_ohm = (self.sheet.voc_v - self.sheet.vmp_v) / self.sheet.imp_a;
        let condition =
            |series_ohm: f64| self.three_points(ideality_v, series_ohm).map(|found| found.shunt_siemens);
        let series_ohm = scanned_root(condition, (0..48).map(|index| highest_ohm * f64::from(index) / 48.0))?;
        let found = self.three_points(ideality_v, series_ohm)?;
        Some(Candidate { shunt_siemens: 0.0, ..found })
    }

    /// `dP/dV` at the maximum, written as a current and relative to it.
    fn slope_error(&self, candidate: &Candidate) -> f64 {
        let DataSheet { voc_v, vmp_v, imp_a, .. } = *self.sheet;
        let diode_v = vmp_v + imp_a * candidate.series_ohm;
        let conductance = candidate.junction_a / candidate.ideality_v
            * libm::exp((diode_v - voc_v) / candidate.ideality_v)
            + candidate.shunt_siemens;
        1.0 - conductance * (vmp_v - imp_a * candidate.series_ohm) / imp_a
    }

    /// How far the curve, 10 K warmer, is from zero current at the stated voltage, expressed in volts.
    fn warm_voc_error_v(&self, candidate: &Candidate) -> Option<f64> {
        let stated_v = self.sheet.voc_v + WARMER_K * self.sheet.beta_voc_v_per_k;
        let warm = candidate.module(self.sheet).at(1000.0, 25.0 + WARMER_K);
        let through_junction =
            warm.light_current_a + warm.saturation_current_a - warm.shunt_siemens * stated_v;
        (through_junction > 0.0)
            .then(|| warm.ideality_v * libm::log(through_junction / warm.saturation_current_a) - stated_v)
    }
}

/// First root of `condition` between neighbouring scan points of opposite sign. Points without a value separate
/// stretches; inside a bracket a missing value ends the search.
fn scanned_root(condition: impl Fn(f64) -> Option<f64>, points: impl Iterator<Item = f64>) -> Option<f64> {
    let mut previous: Option<(f64, f64)> = None;
    for point in points {
        let value = condition(point);
        if let (Some((before, value_before)), Some(value)) = (previous, value)
            && (value_before > 0.0) != (value > 0.0)
        {
            let inside = |x: f64| condition(x).unwrap_or(f64::NAN);
            if let Some(root) = bracketed_root(inside, before, point, 0.0) {
                return Some(root);
            }
        }
        previous = value.map(|value| (point, value));
    }
    None
}
