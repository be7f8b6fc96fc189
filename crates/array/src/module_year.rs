//! The operating point of one module through a year: the layer that strings, windows and wires build on without ever
//! solving a diode again for an hour inside the window.

use crate::series::{SeriesError, in_range, same_length};
use crate::single_diode::ReferenceModule;

/// Key points of one module, one entry per step; zero in the dark.
#[derive(Debug, Clone, PartialEq)]
pub struct ModuleYear {
    /// Open-circuit voltage, V.
    pub voc_v: Vec<f64>,
    /// Voltage at maximum power, V.
    pub vmp_v: Vec<f64>,
    /// Current at maximum power, A.
    pub imp_a: Vec<f64>,
}

impl ModuleYear {
    /// Solves every step with light: `cell_w_m2` is what reaches the cells (W/m²), `cell_c` their temperature (°C).
    ///
    /// # Errors
    /// `SeriesError` for unequal lengths, values that are not numbers, light outside 0..=3000 W/m² (both faces of a
    /// bifacial module together) or cells outside -100..=200 °C.
    pub fn new(module: &ReferenceModule, cell_w_m2: &[f64], cell_c: &[f64]) -> Result<Self, SeriesError> {
        let steps = cell_w_m2.len();
        same_length("cell temperature", cell_c.len(), steps)?;
        let mut year = Self { voc_v: vec![0.0; steps], vmp_v: vec![0.0; steps], imp_a: vec![0.0; steps] };
        for (step, (light, cell)) in cell_w_m2.iter().zip(cell_c).enumerate() {
            if *light == 0.0 {
                continue;
            }
            in_range("light on the cells", step, *light, 0.0, 3000.0)?;
            in_range("cell temperature", step, *cell, -100.0, 200.0)?;
            let (best, voc_v) = module.at(*light, *cell).maximum_power_and_open_circuit_v();
            year.voc_v[step] = voc_v;
            year.vmp_v[step] = best.voltage_v;
            year.imp_a[step] = best.current_a;
        }
        Ok(year)
    }

    /// Number of steps.
    #[must_use]
    pub fn steps(&self) -> usize {
        self.voc_v.len()
    }

    /// Maximum power of a step, W.
    #[must_use]
    pub fn pmp_w(&self, step: usize) -> f64 {
        self.vmp_v[step] * self.imp_a[step]
    }

    /// Sum of the maximum power over the year, W times steps (Wh for hourly steps), in order of time.
    #[must_use]
    pub fn total_w(&self) -> f64 {
        self.vmp_v.iter().zip(&self.imp_a).map(|(voltage, current)| voltage * current).sum()
    }
}
