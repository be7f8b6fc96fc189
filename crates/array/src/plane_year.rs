//! A year of light on one plane: what falls on it, and what reaches its cells behind shade, dirt and glass.

use crate::cell_temperature::CellTemperatureModel;
use crate::incidence::{DiffuseModifiers, IncidenceModel};
use crate::plane::Plane;
use crate::series::{SeriesError, in_range, same_length};
use crate::transposition::SkyYear;

/// What obstacles leave of each part of the light, as shares 0..=1.
#[derive(Debug, Clone, Copy)]
pub struct Unshaded<'a> {
    /// Share of the sun's disc that is seen, one entry per step; acts on beam and circumsolar light alike.
    pub beam: &'a [f64],
    /// Month of each step, 1..=12: leaves come and go.
    pub month_of_step: &'a [u8],
    /// Share of the even sky light in each month.
    pub sky: [f64; 12],
    /// Share of the horizon band in each month.
    pub horizon: [f64; 12],
    /// Share of the light from the ground.
    pub ground: f64,
}

/// A year on one plane, one entry per step, W/m².
#[derive(Debug, Clone, PartialEq)]
pub struct PlaneYear {
    /// What falls on the plane after shade, before the glass. Warms the cells.
    pub plane_w_m2: Vec<f64>,
    /// What reaches the cells. Makes the current.
    pub cell_w_m2: Vec<f64>,
}

/// Light on `plane` over the year of `sky` behind the glass of `glass`.
///
/// # Errors
/// `SeriesError` when the shade does not fit the year or a share is outside 0..=1.
pub fn plane_year(
    sky: &SkyYear,
    plane: &Plane,
    glass: &IncidenceModel,
    unshaded: Option<&Unshaded<'_>>,
) -> Result<PlaneYear, SeriesError> {
    if let Some(shares) = unshaded {
        same_length("seen share of the sun", shares.beam.len(), sky.steps())?;
        for (step, share) in shares.beam.iter().enumerate() {
            in_range("seen share of the sun", step, *share, 0.0, 1.0)?;
        }
        same_length("month of the step", shares.month_of_step.len(), sky.steps())?;
        for (step, month) in shares.month_of_step.iter().enumerate() {
            in_range("month of the step", step, f64::from(*month), 1.0, 12.0)?;
        }
        for month in 0..12 {
            in_range("seen share of the sky", month, shares.sky[month], 0.0, 1.0)?;
            in_range("seen share of the horizon", month, shares.horizon[month], 0.0, 1.0)?;
        }
        in_range("seen share of the ground", 0, shares.ground, 0.0, 1.0)?;
    }
    let modifiers = DiffuseModifiers::new(glass, plane);
    let mut year = PlaneYear { plane_w_m2: vec![0.0; sky.steps()], cell_w_m2: vec![0.0; sky.steps()] };
    for hour in sky.lit() {
        let cosine = plane.incidence_cosine(hour.sun);
        let mut parts = hour.on_plane_at(plane, cosine);
        if let Some(shares) = unshaded {
            let beam = shares.beam[hour.step];
            let month = usize::from(shares.month_of_step[hour.step]) - 1;
            parts.beam_w_m2 *= beam;
            parts.circumsolar_w_m2 *= beam;
            parts.sky_w_m2 *= shares.sky[month];
            // A band darker than the sky still takes away no more than all of the diffuse light.
            parts.horizon_w_m2 =
                (parts.horizon_w_m2 * shares.horizon[month]).max(-(parts.circumsolar_w_m2 + parts.sky_w_m2));
            parts.ground_w_m2 *= shares.ground;
        }
        year.plane_w_m2[hour.step] = parts.total_w_m2().max(0.0);
        year.cell_w_m2[hour.step] = modifiers.behind_glass(glass, &parts, cosine).total_w_m2().max(0.0);
    }
    Ok(year)
}

/// Takes the stated loss by dirt from a year of light: `lost_by_month` are shares 0..=1 for January to December,
/// `month_of_step` holds 1..=12 for each step.
///
/// # Errors
/// `SeriesError` for unequal lengths, a month outside 1..=12 or a share outside 0..=1.
pub fn take_soiling(
    cell_w_m2: &mut [f64],
    month_of_step: &[u8],
    lost_by_month: &[f64; 12],
) -> Result<(), SeriesError> {
    same_length("month of the step", month_of_step.len(), cell_w_m2.len())?;
    for (month, lost) in lost_by_month.iter().enumerate() {
        in_range("soiling loss by month", month, *lost, 0.0, 1.0)?;
    }
    for (step, (light, month)) in cell_w_m2.iter_mut().zip(month_of_step).enumerate() {
        in_range("month of the step", step, f64::from(*month), 1.0, 12.0)?;
        *light *= 1.0 - lost_by_month[usize::from(*month) - 1];
    }
    Ok(())
}

/// Cell temperature for every step, °C, from light on the plane (W/m²), air temperature (°C) and wind (m/s at the
/// height the model asks for).
///
/// # Errors
/// `SeriesError` for unequal lengths or values that are not numbers.
pub fn cell_temperature_year(
    model: &CellTemperatureModel,
    plane_w_m2: &[f64],
    air_c: &[f64],
    wind_m_s: &[f64],
) -> Result<Vec<f64>, SeriesError> {
    same_length("air temperature", air_c.len(), plane_w_m2.len())?;
    same_length("wind", wind_m_s.len(), plane_w_m2.len())?;
    let mut cell_c = Vec::with_capacity(air_c.len());
    for (step, ((light, air), wind)) in plane_w_m2.iter().zip(air_c).zip(wind_m_s).enumerate() {
        in_range("air temperature", step, *air, -100.0, 80.0)?;
        in_range("wind", step, *wind, 0.0, 150.0)?;
        // In the dark every model gives the air's temperature: the sun is the only source of heat in them.
        cell_c.push(if *light > 0.0 { model.cell_c(*light, *air, *wind) } else { *air });
    }
    Ok(cell_c)
}
