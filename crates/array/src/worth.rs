//! What modules make of light on any plane: heat, low light, dirt and snow, quick enough for thousands of planes.

use crate::cell_temperature::CellTemperatureModel;
use crate::series::{SeriesError, in_range, same_length};
use crate::single_diode::{REFERENCE_W_M2, ReferenceModule};

const LIGHT_STEP_W_M2: f64 = 25.0;
const LIGHT_STEPS: usize = 64;
const COLDEST_C: f64 = -60.0;
const CELL_STEP_K: f64 = 10.0;
const CELL_STEPS: usize = 18;

/// Power of a module over its power at 1000 W/m² and 25 °C, in W/m² of light that would give as much then: a table over
/// light and cell temperature.
///
/// Read between its steps it is right to 0.6 W/m² in any light of a year (held by a test).
#[derive(Debug, Clone)]
pub struct PowerTable {
    /// Rows of one cell temperature.
    rows: Vec<[f64; LIGHT_STEPS + 1]>,
}

impl PowerTable {
    /// The table of a module.
    #[must_use]
    pub fn new(module: &ReferenceModule) -> Self {
        let power = |light: f64, cell_c: f64| {
            let point = module.at(light, cell_c).maximum_power();
            point.voltage_v * point.current_a
        };
        let rated = power(REFERENCE_W_M2, 25.0);
        let rows = (0..=CELL_STEPS)
            .map(|row| {
                let cell_c = COLDEST_C + row as f64 * CELL_STEP_K;
                std::array::from_fn(|step| match step {
                    0 => 0.0,
                    _ => REFERENCE_W_M2 * power(step as f64 * LIGHT_STEP_W_M2, cell_c) / rated,
                })
            })
            .collect();
        Self { rows }
    }

    /// Power in so much light on the cells (W/m²) at a cell temperature (°C); beyond the table its edge goes on.
    #[must_use]
    pub fn at(&self, cell_w_m2: f64, cell_c: f64) -> f64 {
        let light = (cell_w_m2 / LIGHT_STEP_W_M2).clamp(0.0, LIGHT_STEPS as f64);
        let warm = ((cell_c - COLDEST_C) / CELL_STEP_K).clamp(0.0, CELL_STEPS as f64);
        let (step, row) = ((light as usize).min(LIGHT_STEPS - 1), (warm as usize).min(CELL_STEPS - 1));
        let (along, up) = (light - step as f64, warm - row as f64);
        let (cool, hot) = (&self.rows[row], &self.rows[row + 1]);
        let of = |row: &[f64; LIGHT_STEPS + 1]| row[step] + (row[step + 1] - row[step]) * along;
        of(cool) * (1.0 - up) + of(hot) * up
    }
}

/// Air and snow of one year, 8760 steps each.
#[derive(Debug, Clone, Default)]
pub struct Conditions {
    /// Air, °C.
    pub air_c: Vec<f64>,
    /// Wind at the height the model of the cells wants, m/s.
    pub wind_m_s: Vec<f64>,
    /// Share of a string's sections that snow puts out of work, at tilts evenly spaced from 0 to 90°; empty without snow.
    pub snowed_in: Vec<Vec<f64>>,
}

/// What the finder needs to rank planes by what modules give.
#[derive(Debug, Clone)]
pub struct Worth {
    /// Power of the module.
    pub power: PowerTable,
    /// How warm its cells get.
    pub cells: CellTemperatureModel,
    /// Share of light that dirt leaves in each month.
    pub clean: [f64; 12],
    /// Air and snow of each year.
    pub years: Vec<Conditions>,
}

impl Worth {
    pub(crate) fn check(&self, years: usize) -> Result<(), SeriesError> {
        same_length("years with air and snow", self.years.len(), years)?;
        for (month, share) in self.clean.iter().enumerate() {
            in_range("share of light that dirt leaves", month, *share, 0.0, 1.0)?;
        }
        for year in &self.years {
            same_length("air", year.air_c.len(), 8760)?;
            same_length("wind", year.wind_m_s.len(), 8760)?;
            for step in 0..8760 {
                in_range("air", step, year.air_c[step], -90.0, 70.0)?;
                in_range("wind", step, year.wind_m_s[step], 0.0, 150.0)?;
            }
            for tilt in &year.snowed_in {
                same_length("share under snow", tilt.len(), 8760)?;
                for (step, share) in tilt.iter().enumerate() {
                    in_range("share under snow", step, *share, 0.0, 1.0)?;
                }
            }
        }
        Ok(())
    }

    /// How much warmer than the air cells are for each W/m² on the plane: all models are straight in the light.
    pub(crate) fn warming(&self, wind_m_s: f64) -> f64 {
        self.cells.cell_c(1000.0, 0.0, wind_m_s) / 1000.0
    }
}

/// The two tilts on either side of one and how far it lies from the first, among so many from 0 to 90°.
pub(crate) fn between_tilts(tilt_deg: f64, count: usize) -> (usize, usize, f64) {
    if count < 2 {
        return (0, 0, 0.0);
    }
    let place = (tilt_deg / 90.0 * (count - 1) as f64).clamp(0.0, (count - 1) as f64);
    let first = (place as usize).min(count - 2);
    (first, first + 1, place - first as f64)
}
