//! The curve that an input sees: strings of one kind, or strings that differ, held at one voltage.

use crate::root::bracketed_root;
use crate::single_diode::Diode;
use crate::string_year::{Scale, StringGroup};

/// A point of the curve seen from the input.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) struct Working {
    /// Voltage at the input, V.
    pub(crate) voltage_v: f64,
    /// Current of all strings, A.
    pub(crate) current_a: f64,
    /// Power at the module terminals, W.
    pub(crate) array_w: f64,
    /// Power turned to heat in the conductors, W.
    pub(crate) cable_w: f64,
}

/// What the limits of an input ask of a curve.
pub(crate) trait InputCurve {
    /// The point at an input voltage.
    fn at_voltage(&self, voltage_v: f64) -> Working;
    /// The point above `from_v` with this current.
    fn at_current(&self, current_a: f64, from_v: f64) -> Option<Working>;
    /// The point above `from_v` with this power at the input.
    fn at_power(&self, power_w: f64, from_v: f64) -> Option<Working>;

    /// The point between `lowest_v` and `to_v` with this power at the input; power rises with voltage there.
    fn at_power_below(&self, power_w: f64, lowest_v: f64, to_v: f64) -> Option<Working> {
        let excess = |voltage: f64| {
            let point = self.at_voltage(voltage);
            point.voltage_v * point.current_a - power_w
        };
        bracketed_root(excess, lowest_v, to_v, 0.0).map(|voltage| self.at_voltage(voltage))
    }
}

/// Strings of one kind on one plane.
pub(crate) struct OneGroup {
    /// One module with its share of the conductors in series.
    diode: Diode,
    series: f64,
    parallel: f64,
    share: f64,
    ohm_per_string: f64,
    /// Of one string, V.
    open_circuit_v: f64,
}

impl OneGroup {
    pub(crate) fn new(group: &StringGroup<'_>, step: usize, scale: Scale) -> Self {
        let (series, share) = (group.series() * scale.voltage, group.share() * scale.current);
        let ohm_per_string = group.ohm_per_string();
        // A string carries `share` of the module's current, so its conductors drop that much less per module current.
        let diode = group
            .module
            .at(group.cell_w_m2[step], group.cell_c[step])
            .with_added_series_ohm(ohm_per_string * share / series);
        let open_circuit_v = series * group.points.voc_v[step];
        Self { diode, series, parallel: group.parallel(), share, ohm_per_string, open_circuit_v }
    }

    fn seen(&self, voltage_v: f64, module_a: f64) -> Working {
        let string_a = module_a * self.share;
        let drop_v = string_a * self.ohm_per_string;
        Working {
            voltage_v,
            current_a: string_a * self.parallel,
            array_w: (voltage_v + drop_v) * string_a * self.parallel,
            cable_w: drop_v * string_a * self.parallel,
        }
    }

    /// Change of the power at the module terminals with the voltage at the input, A.
    fn array_slope(&self, voltage_v: f64) -> f64 {
        let module_v = voltage_v / self.series;
        let (module_a, module_slope) = self.diode.current_and_slope_at_voltage(module_v);
        let (string_a, string_slope) = (module_a * self.share, module_slope * self.share / self.series);
        self.parallel * (string_a + (voltage_v + 2.0 * string_a * self.ohm_per_string) * string_slope)
    }
}

impl InputCurve for OneGroup {
    fn at_voltage(&self, voltage_v: f64) -> Working {
        self.seen(voltage_v, self.diode.current_at_voltage_a(voltage_v / self.series))
    }

    fn at_current(&self, current_a: f64, _from_v: f64) -> Option<Working> {
        let module_a = current_a / (self.parallel * self.share);
        self.diode.voltage_at_current_v(module_a).map(|voltage| self.seen(voltage * self.series, module_a))
    }

    fn at_power(&self, power_w: f64, from_v: f64) -> Option<Working> {
        let of_module = power_w / (self.series * self.parallel * self.share);
        let point = self.diode.point_at_power(of_module)?;
        let reached = self.seen(point.voltage_v * self.series, point.current_a);
        (reached.voltage_v >= from_v * (1.0 - 1e-9)).then_some(reached)
    }
}

/// Groups that differ in module, length, plane or age, all at the voltage of one input.
pub(crate) struct SeveralGroups {
    groups: Vec<OneGroup>,
    lowest_best_v: f64,
    highest_best_v: f64,
}

impl SeveralGroups {
    pub(crate) fn new(groups: &[StringGroup<'_>], step: usize, scale_of: impl Fn(usize) -> Scale) -> Self {
        let (mut lowest_best_v, mut highest_best_v) = (f64::INFINITY, 0.0_f64);
        for (index, group) in groups.iter().enumerate() {
            let scale = scale_of(index);
            // A string without any light takes no part in the choice of a voltage.
            if scale.current <= 0.0 {
                continue;
            }
            let best_v = group.best_working(step, scale).voltage_v;
            lowest_best_v = lowest_best_v.min(best_v);
            highest_best_v = highest_best_v.max(best_v);
        }
        let groups = groups
            .iter()
            .enumerate()
            .map(|(index, group)| (group, scale_of(index)))
            .filter(|(_, scale)| scale.current > 0.0)
            .map(|(group, scale)| OneGroup::new(group, step, scale))
            .collect();
        Self { groups, lowest_best_v, highest_best_v }
    }

    /// The voltage at which the modules of all groups together give most, between the lowest and the highest voltage
    /// that a group would like for itself.
    pub(crate) fn best(&self) -> Working {
        let slope = |voltage: f64| self.groups.iter().map(|group| group.array_slope(voltage)).sum::<f64>();
        // Power is stationary here: a billionth of the voltage is far below any rounding of the power.
        let tolerance = 1e-9 * self.highest_best_v;
        let voltage = bracketed_root(slope, self.lowest_best_v, self.highest_best_v, tolerance);
        // Without a sign change the groups share one best voltage to the last rounding.
        self.at_voltage(voltage.unwrap_or(self.lowest_best_v))
    }

    /// Highest open-circuit voltage of the groups, V: no current flows out of any of them above it.
    fn highest_open_circuit_v(&self) -> f64 {
        self.groups.iter().map(|group| group.open_circuit_v).fold(0.0, f64::max)
    }
}

impl InputCurve for SeveralGroups {
    fn at_voltage(&self, voltage_v: f64) -> Working {
        let mut sum = Working { voltage_v, ..Working::default() };
        for group in &self.groups {
            let part = group.at_voltage(voltage_v);
            sum.current_a += part.current_a;
            sum.array_w += part.array_w;
            sum.cable_w += part.cable_w;
        }
        sum
    }

    fn at_current(&self, current_a: f64, from_v: f64) -> Option<Working> {
        let excess = |voltage: f64| self.at_voltage(voltage).current_a - current_a;
        bracketed_root(excess, from_v, self.highest_open_circuit_v(), 0.0)
            .map(|voltage| self.at_voltage(voltage))
    }

    fn at_power(&self, power_w: f64, from_v: f64) -> Option<Working> {
        let excess = |voltage: f64| voltage * self.at_voltage(voltage).current_a - power_w;
        bracketed_root(excess, from_v, self.highest_open_circuit_v(), 0.0)
            .map(|voltage| self.at_voltage(voltage))
    }
}
