//! The single-diode model of a module: its current at any voltage and its exact maximum power.
//!
//! `I = IL - Io (exp(vd/a) - 1) - vd·Gsh`, `V = vd - I·Rs`. The voltage of the diode `vd` is the free variable
//! (J. W. Bishop, Solar Cells 25 (1988) 73–89): current and voltage follow from it without solving anything, and no
//! exponential is taken beyond the module's own open-circuit voltage by more than its series resistance drops.

use crate::root::bracketed_root;

/// Boltzmann's constant over the elementary charge, eV/K (exact in the SI of 2019, all digits of the quotient that matter).
const BOLTZMANN_EV_K: f64 = 8.617_333_262_145e-5;
/// 0 °C in kelvin.
const ZERO_C_K: f64 = 273.15;
/// Temperature of the data-sheet point, kelvin.
pub const REFERENCE_K: f64 = 298.15;
/// Irradiance of the data-sheet point, W/m².
pub const REFERENCE_W_M2: f64 = 1000.0;
/// Band gap of silicon at 25 °C, eV, and its relative change per kelvin (De Soto et al. 2006).
const BAND_GAP_EV: f64 = 1.121;
const BAND_GAP_PER_K: f64 = -0.000_267_7;

/// `kT` per volt of one ideal junction at the reference temperature, V.
pub(crate) const THERMAL_VOLTAGE_REFERENCE_V: f64 = BOLTZMANN_EV_K * REFERENCE_K;

/// The five parameters of a module at 1000 W/m² and 25 °C, with the temperature coefficient of its current.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ReferenceModule {
    /// Light current, A.
    pub light_current_a: f64,
    /// Natural logarithm of the diode's saturation current in amps.
    pub log_saturation_current: f64,
    /// Modified ideality (cells × ideality × kT/q), V.
    pub ideality_v: f64,
    /// Series resistance, Ω.
    pub series_ohm: f64,
    /// Shunt conductance, 1/Ω; zero for a module without shunt.
    pub shunt_siemens: f64,
    /// Change of the short-circuit current, A/K.
    pub alpha_isc_a_per_k: f64,
}

impl ReferenceModule {
    /// The parameters under `irradiance_w_m2` (after all losses at and on the glass) with cells at `cell_c`.
    ///
    /// Source: De Soto, Klein & Beckman, Solar Energy 80 (2006) 78–88. Standing: remembered, checked against curves
    /// solved apart from this program. Irradiance at or below zero gives a dark module.
    #[must_use]
    pub fn at(&self, irradiance_w_m2: f64, cell_c: f64) -> Diode {
        let share = irradiance_w_m2.max(0.0) / REFERENCE_W_M2;
        let cell_k = cell_c + ZERO_C_K;
        let ratio = cell_k / REFERENCE_K;
        let warmer_k = cell_k - REFERENCE_K;
        let band_gap_ev = BAND_GAP_EV * (1.0 + BAND_GAP_PER_K * warmer_k);
        let gap_change = BAND_GAP_EV / THERMAL_VOLTAGE_REFERENCE_V - band_gap_ev / (BOLTZMANN_EV_K * cell_k);
        let saturation_current_a =
            ratio * ratio * ratio * libm::exp(self.log_saturation_current + gap_change);
        Diode {
            light_current_a: (share * (self.light_current_a + self.alpha_isc_a_per_k * warmer_k)).max(0.0),
            saturation_current_a,
            ideality_v: self.ideality_v * ratio,
            series_ohm: self.series_ohm,
            shunt_siemens: self.shunt_siemens * share,
        }
    }
}

/// A module under given light and temperature.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Diode {
    /// Light current, A, zero in the dark.
    pub light_current_a: f64,
    /// Saturation current, A, above zero.
    pub saturation_current_a: f64,
    /// Modified ideality, V.
    pub ideality_v: f64,
    /// Series resistance, Ω.
    pub series_ohm: f64,
    /// Shunt conductance, 1/Ω.
    pub shunt_siemens: f64,
}

/// Key points of a curve: volts, amps, watts.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct OperatingPoint {
    /// Short-circuit current, A.
    pub isc_a: f64,
    /// Open-circuit voltage, V.
    pub voc_v: f64,
    /// Current at maximum power, A.
    pub imp_a: f64,
    /// Voltage at maximum power, V.
    pub vmp_v: f64,
    /// Maximum power, W.
    pub pmp_w: f64,
}

/// Current and voltage of one point of a curve.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct CurvePoint {
    /// Volts.
    pub voltage_v: f64,
    /// Amps.
    pub current_a: f64,
}

impl Diode {
    /// The same module with `ohm` more in series, as a string sees the cable (its share per module).
    #[must_use]
    pub fn with_added_series_ohm(mut self, ohm: f64) -> Self {
        self.series_ohm += ohm;
        self
    }

    /// The point of the curve at diode voltage `vd`.
    #[must_use]
    pub fn point(&self, diode_v: f64) -> CurvePoint {
        let current_a = self.current_of(diode_v, self.junction_current_a(diode_v));
        CurvePoint { voltage_v: diode_v - current_a * self.series_ohm, current_a }
    }

    /// Open-circuit voltage, V; zero in the dark.
    #[must_use]
    pub fn open_circuit_v(&self) -> f64 {
        self.voltage_of_net_current(self.light_current_a)
    }

    /// Diode voltage at which junction and shunt together carry `net_a`; zero where that is not above zero.
    fn voltage_of_net_current(&self, net_a: f64) -> f64 {
        if net_a <= 0.0 {
            return 0.0;
        }
        let log_ratio = libm::log((net_a + self.saturation_current_a) / self.saturation_current_a);
        self.voltage_of_net_current_from(net_a, log_ratio)
    }

    /// The same with `ln((net + Io)/Io)` already known.
    ///
    /// Without shunt the voltage is `a` times that logarithm. The shunt takes `a·δ` from it, where
    /// `δ = -ln(1 - q + r·δ)`: nearly a straight line in `δ`, which Newton settles in one or two steps. Where the shunt
    /// carries much of the current the bracket takes over.
    fn voltage_of_net_current_from(&self, net_a: f64, log_ratio: f64) -> f64 {
        let carried = net_a + self.saturation_current_a;
        let without_shunt = self.ideality_v * log_ratio;
        let taken = self.shunt_siemens * without_shunt / carried;
        if taken == 0.0 {
            return without_shunt;
        }
        if taken < 0.5 {
            let bend = self.shunt_siemens * self.ideality_v / carried;
            let mut lower = taken * (1.0 + taken * (0.5 + taken / 3.0)) / (1.0 + bend);
            for _ in 0..8 {
                let change = bend * lower - taken;
                let step = (lower + libm::log1p(change)) / (1.0 + bend / (1.0 + change));
                lower -= step;
                // Newton leaves half the square of `bend · step`.
                if (bend * step).abs() <= 1e-8 {
                    return without_shunt - self.ideality_v * lower;
                }
            }
        }
        let balance =
            |voltage: f64| carried - self.junction_current_a(voltage) - self.shunt_siemens * voltage;
        bracketed_root(balance, 0.0, without_shunt, 0.0).unwrap_or(without_shunt)
    }

    /// Short-circuit current, A.
    #[must_use]
    pub fn short_circuit_a(&self) -> f64 {
        self.current_at_voltage_a(0.0)
    }

    /// Current at the terminals for a terminal voltage, A; negative above the open-circuit voltage.
    ///
    /// Newton on the diode voltage from the right of the root, where the function is convex and the steps cannot
    /// overshoot.
    #[must_use]
    pub fn current_at_voltage_a(&self, voltage_v: f64) -> f64 {
        if self.series_ohm == 0.0 {
            return self.current_of(voltage_v, self.junction_current_a(voltage_v));
        }
        let diode_v = self.diode_voltage_at(voltage_v);
        self.current_of(diode_v, self.junction_current_a(diode_v))
    }

    fn diode_voltage_at(&self, voltage_v: f64) -> f64 {
        let series = self.series_ohm;
        // Every current is below IL + Io, so vd < V + Rs (IL + Io); and the junction alone drops no more than that.
        let linear_bound = voltage_v + series * (self.light_current_a + self.saturation_current_a);
        let mut diode_v = linear_bound;
        if linear_bound > 0.0 {
            let junction_bound =
                self.ideality_v * libm::log(linear_bound / (series * self.saturation_current_a)).max(0.0);
            diode_v = linear_bound.min(junction_bound.max(voltage_v.min(0.0)));
            // The junction bound holds for diode voltages above zero only; at the start the function must not be
            // negative, or the root lies to the right.
            let (away, slope) = self.terminal_excess(diode_v, voltage_v);
            if away < 0.0 {
                diode_v = (diode_v - away / slope).min(linear_bound);
            }
        }
        for _ in 0..60 {
            let (away, slope) = self.terminal_excess(diode_v, voltage_v);
            let step = away / slope;
            diode_v -= step;
            if step.abs() <= 4.0 * f64::EPSILON * diode_v.abs().max(1e-3) {
                break;
            }
        }
        diode_v
    }

    /// `vd - Rs·I(vd) - V` and its derivative.
    fn terminal_excess(&self, diode_v: f64, voltage_v: f64) -> (f64, f64) {
        let junction = self.junction_current_a(diode_v);
        let current = self.current_of(diode_v, junction);
        let slope = 1.0 + self.series_ohm * self.conductance(junction);
        (diode_v - self.series_ohm * current - voltage_v, slope)
    }

    /// Terminal voltage at which the module carries `current_a`, V. `None` where no voltage does: a current above what
    /// the light gives in a module without shunt. With a shunt such currents need a reverse voltage (no breakdown).
    #[must_use]
    pub fn voltage_at_current_v(&self, current_a: f64) -> Option<f64> {
        let net = self.light_current_a - current_a;
        if net > 0.0 {
            return Some(self.voltage_of_net_current(net) - current_a * self.series_ohm);
        }
        if self.shunt_siemens <= 0.0 {
            return (net == 0.0).then_some(-current_a * self.series_ohm);
        }
        // Reverse voltage: the junction carries between -Io and nothing there.
        let carried = net + self.saturation_current_a;
        let lowest = net / self.shunt_siemens - 1e-12;
        let balance =
            |voltage: f64| carried - self.junction_current_a(voltage) - self.shunt_siemens * voltage;
        let diode_v = bracketed_root(balance, lowest, 0.0, 0.0)?;
        Some(diode_v - current_a * self.series_ohm)
    }

    /// The point of maximum power.
    ///
    /// `d(IV)/dvd = 0` is solved by Halley's method from the closed form without shunt, and inside a bracket where that
    /// does not settle. The maximum is exact to a few roundings: power is stationary there.
    #[must_use]
    pub fn maximum_power(&self) -> CurvePoint {
        if self.light_current_a <= 0.0 {
            return CurvePoint::default();
        }
        let carried = self.light_current_a + self.saturation_current_a;
        self.maximum_power_from(libm::log(carried / self.saturation_current_a), CLOSE)
    }

    /// Maximum power and open-circuit voltage together, for series of many hours: they share a logarithm, and the voltage
    /// of the maximum is left uncertain by 1e-8 of the ideality (its power is not: it is stationary).
    #[must_use]
    pub fn maximum_power_and_open_circuit_v(&self) -> (CurvePoint, f64) {
        if self.light_current_a <= 0.0 {
            return (CurvePoint::default(), 0.0);
        }
        let carried = self.light_current_a + self.saturation_current_a;
        let log_ratio = libm::log(carried / self.saturation_current_a);
        (
            self.maximum_power_from(log_ratio, QUICK),
            self.voltage_of_net_current_from(self.light_current_a, log_ratio),
        )
    }

    /// The maximum with `ln((IL + Io)/Io)` already known; `last_step` is the step, in idealities, after which the search
    /// may end, at most [`QUICK`]. The iteration is cubic and leaves about a tenth of the cube of its last step.
    fn maximum_power_from(&self, log_ratio: f64, last_step: f64) -> CurvePoint {
        let highest = self.ideality_v * log_ratio;
        let mut diode_v = self.ideality_v * self.guess_of_best(log_ratio);
        if diode_v > 0.0 {
            for _ in 0..8 {
                let junction = self.junction_current_a(diode_v);
                let step = self.halley_step(diode_v, junction);
                diode_v -= step;
                if !(diode_v > 0.0 && diode_v < highest) {
                    break;
                }
                // The exponential changes by so short a step as its first terms.
                let share = step / self.ideality_v;
                if share.abs() <= last_step {
                    let less = share
                        * (1.0 - share * (0.5 - share * (SIXTH - share * (TWENTY_FOURTH - share / 120.0))));
                    let current_a = self.current_of(diode_v, junction - junction * less);
                    let voltage_v = diode_v - current_a * self.series_ohm;
                    if voltage_v > 0.0 && current_a > 0.0 {
                        return CurvePoint { voltage_v, current_a };
                    }
                    break;
                }
            }
        }
        let slope = |voltage: f64| self.power_slope(voltage, self.junction_current_a(voltage)).0;
        bracketed_root(slope, 0.0, highest, 0.0).map_or_else(CurvePoint::default, |root| self.point(root))
    }

    /// Diode voltage of the maximum over the ideality, to about a hundredth for modules of usual quality.
    ///
    /// Without shunt the optimum is `exp(x) (1 + x - 2 Rs I/a) = (IL + Io)/Io`; two substitutions from `x = 0.88 L`, with
    /// 0.93 of the light current for the current and the shunt's share taken off. Only a start: no result depends on it
    /// beyond the tolerance of the iteration that follows.
    fn guess_of_best(&self, log_ratio: f64) -> f64 {
        let ohmic = 0.93 * 2.0 * self.series_ohm * self.light_current_a / self.ideality_v;
        let shunted = 2.0 * self.shunt_siemens * self.ideality_v / self.light_current_a;
        let mut best = 0.88 * log_ratio;
        for _ in 0..2 {
            best = log_ratio - rough_log((1.0 + best - ohmic).max(1.0)) - shunted * best;
        }
        best
    }

    /// The point between maximum power and open circuit where the module gives `power_w`, as an input that limits its
    /// power finds it. `None` above the maximum power, below zero, and in the dark.
    ///
    /// Newton from open circuit: power falls ever faster towards it, so the steps cannot overshoot.
    #[must_use]
    pub fn point_at_power(&self, power_w: f64) -> Option<CurvePoint> {
        let best = self.maximum_power();
        if !(power_w >= 0.0 && power_w <= best.voltage_v * best.current_a && best.current_a > 0.0) {
            return None;
        }
        let lowest = best.voltage_v + best.current_a * self.series_ohm;
        let mut diode_v = self.open_circuit_v();
        for _ in 0..60 {
            let junction = self.junction_current_a(diode_v);
            let current = self.current_of(diode_v, junction);
            let excess = (diode_v - current * self.series_ohm) * current - power_w;
            let slope = self.power_slope(diode_v, junction).0;
            let step = excess / slope;
            // At the very maximum the slope vanishes; the maximum itself is the answer then.
            if !step.is_finite() || diode_v - step < lowest {
                return Some(best);
            }
            diode_v -= step;
            if step.abs() <= 1e-13 * diode_v {
                break;
            }
        }
        Some(self.point(diode_v))
    }

    /// All key points.
    #[must_use]
    pub fn operating_point(&self) -> OperatingPoint {
        let best = self.maximum_power();
        OperatingPoint {
            isc_a: self.short_circuit_a(),
            voc_v: self.open_circuit_v(),
            imp_a: best.current_a,
            vmp_v: best.voltage_v,
            pmp_w: best.current_a * best.voltage_v,
        }
    }

    /// Current at a terminal voltage, and `dI/dV` there, A/V, never above zero.
    #[must_use]
    pub fn current_and_slope_at_voltage(&self, voltage_v: f64) -> (f64, f64) {
        let diode_v = if self.series_ohm == 0.0 { voltage_v } else { self.diode_voltage_at(voltage_v) };
        let junction = self.junction_current_a(diode_v);
        let conductance = self.conductance(junction);
        (self.current_of(diode_v, junction), -conductance / (1.0 + self.series_ohm * conductance))
    }

    /// `Io exp(vd/a)`. The exponent is bounded so that voltages far beyond the module's own stay numbers.
    fn junction_current_a(&self, diode_v: f64) -> f64 {
        self.saturation_current_a * libm::exp((diode_v / self.ideality_v).min(600.0))
    }

    fn current_of(&self, diode_v: f64, junction_a: f64) -> f64 {
        self.light_current_a - (junction_a - self.saturation_current_a) - diode_v * self.shunt_siemens
    }

    /// `-dI/dvd`.
    fn conductance(&self, junction_a: f64) -> f64 {
        junction_a / self.ideality_v + self.shunt_siemens
    }

    /// `F = I (1 + 2 Rs g) - vd g`, which is `d(IV)/dvd`, with its first two derivatives; `g = -dI/dvd`.
    fn power_slope(&self, diode_v: f64, junction_a: f64) -> (f64, f64, f64) {
        let current = self.current_of(diode_v, junction_a);
        let conductance = self.conductance(junction_a);
        let bend = junction_a / (self.ideality_v * self.ideality_v);
        let third = bend / self.ideality_v;
        let twice = 2.0 * self.series_ohm;
        let slope = current * (1.0 + twice * conductance) - diode_v * conductance;
        let first = -conductance * (1.0 + twice * conductance) + twice * current * bend
            - conductance
            - diode_v * bend;
        let second = -bend * (1.0 + twice * conductance) - 2.0 * twice * conductance * bend
            + twice * current * third
            - 2.0 * bend
            - diode_v * third;
        (slope, first, second)
    }

    /// Step of Halley's method towards the maximum of power.
    fn halley_step(&self, diode_v: f64, junction_a: f64) -> f64 {
        let (slope, first, second) = self.power_slope(diode_v, junction_a);
        2.0 * slope * first / (2.0 * first * first - slope * second)
    }
}

/// Last steps of the search for the maximum, in idealities: errors of 1e-13 and 1e-8 of the ideality.
const CLOSE: f64 = 1e-4;
const QUICK: f64 = 4e-3;

const SIXTH: f64 = 1.0 / 6.0;
const TWENTY_FOURTH: f64 = 1.0 / 24.0;

/// Natural logarithm to a thousandth between 5 and 120, where the start of the search needs it; worse elsewhere.
fn rough_log(value: f64) -> f64 {
    const LOG_OF_24: f64 = 3.178_053_830_347_945_6;
    let ratio = (value - 24.0) / (value + 24.0);
    let square = ratio * ratio;
    LOG_OF_24 + 2.0 * ratio * (1.0 + square * (1.0 / 3.0 + square * (0.2 + square / 7.0)))
}
