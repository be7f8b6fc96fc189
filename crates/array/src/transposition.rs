//! From the irradiance a weather file gives to the irradiance on a plane, its parts kept apart.
//!
//! Everything that does not depend on the plane is worked out once per hour of sun ([`LitHour`]), so that another
//! plane, or another thousand of them, costs a few multiplications an hour.

use crate::perez::PerezSky;
use crate::plane::{Direction, Plane};
use crate::series::{SeriesError, in_range, same_length};

/// How the diffuse light is spread over the sky.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum SkyModel {
    /// Perez et al. 1990: circumsolar disc, horizon band, even rest.
    #[default]
    Perez,
    /// Hay & Davies 1980: circumsolar share by the beam's transmittance, even rest.
    HayDavies,
    /// Liu & Jordan 1963: even everywhere.
    Isotropic,
}

/// The sky of one step, all irradiances in W/m².
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sky {
    /// Zenith angle of the sun in degrees, 0..=180; above 90 the sun is down.
    pub zenith_deg: f64,
    /// Azimuth of the sun in degrees clockwise from true north.
    pub azimuth_deg: f64,
    /// Irradiance outside the atmosphere on a plane facing the sun, above zero.
    pub extraterrestrial_w_m2: f64,
    /// Relative (not pressure-corrected) air mass; read only while the sun is up.
    pub relative_air_mass: f64,
    /// Global irradiance on the horizontal.
    pub ghi_w_m2: f64,
    /// Beam irradiance on a plane facing the sun.
    pub dni_w_m2: f64,
    /// Diffuse irradiance on the horizontal.
    pub dhi_w_m2: f64,
    /// Share of the global irradiance that the ground throws back, 0..=1 (0.2 for grass, 0.6–0.8 for fresh snow).
    pub albedo: f64,
}

/// Irradiance on a plane by where it comes from, W/m².
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct PlaneIrradiance {
    /// Straight from the sun.
    pub beam_w_m2: f64,
    /// From the bright ring around the sun; is shaded together with the beam.
    pub circumsolar_w_m2: f64,
    /// From the even part of the sky.
    pub sky_w_m2: f64,
    /// From the band along the horizon; negative where the band is darker than the even sky.
    pub horizon_w_m2: f64,
    /// Thrown back by the ground.
    pub ground_w_m2: f64,
}

impl PlaneIrradiance {
    /// Sum of the parts, W/m², never below zero.
    #[must_use]
    pub fn total_w_m2(&self) -> f64 {
        self.beam_w_m2 + self.diffuse_w_m2() + self.ground_w_m2
    }

    /// What comes from the sky without the beam: circumsolar, even sky and horizon band.
    #[must_use]
    pub fn diffuse_w_m2(&self) -> f64 {
        self.circumsolar_w_m2 + self.sky_w_m2 + self.horizon_w_m2
    }
}

/// One step with light, reduced to what any plane needs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LitHour {
    /// Index of the step in the year.
    pub step: usize,
    /// Where the sun stands.
    pub sun: Direction,
    /// Beam facing the sun.
    beam_normal_w_m2: f64,
    /// Circumsolar light facing the sun.
    circumsolar_normal_w_m2: f64,
    /// Even sky light on the horizontal.
    even_w_m2: f64,
    /// Horizon band on a wall.
    horizon_w_m2: f64,
    /// Light leaving the ground.
    reflected_w_m2: f64,
}

/// The light of one step by its source, W/m².
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LightSources {
    /// Beam and circumsolar light on a plane facing the sun.
    pub sun_normal_w_m2: f64,
    /// Even sky light on the horizontal.
    pub even_w_m2: f64,
    /// Horizon band on a wall; may be negative.
    pub horizon_w_m2: f64,
    /// Light leaving open ground.
    pub reflected_w_m2: f64,
}

impl LitHour {
    /// Reduces the sky of step `step`; `None` when it is dark (no beam, no diffuse and no global light).
    ///
    /// Beam and circumsolar light need the sun above the horizon: light that a file gives with the sun down is taken as
    /// even sky light (twilight), and beam given then is dropped. Without diffuse light there is no sky part at all.
    /// Near the horizon the divisor of the circumsolar part is bounded: cos 85° (Perez, as published), cos 89° (Hay &
    /// Davies, where the published ratio grows without bound).
    ///
    /// # Errors
    /// `SeriesError` for a value that is not a number or lies outside its documented range.
    pub fn new(model: SkyModel, step: usize, sky: &Sky) -> Result<Option<Self>, SeriesError> {
        in_range("zenith angle", step, sky.zenith_deg, 0.0, 180.0)?;
        in_range("sun azimuth", step, sky.azimuth_deg, -360.0, 360.0)?;
        Self::with_direction(model, step, sky, Direction::from_angles(sky.zenith_deg, sky.azimuth_deg))
    }

    /// Where the light of the step comes from, before any plane.
    #[must_use]
    pub fn sources(&self) -> LightSources {
        LightSources {
            sun_normal_w_m2: self.beam_normal_w_m2 + self.circumsolar_normal_w_m2,
            even_w_m2: self.even_w_m2,
            horizon_w_m2: self.horizon_w_m2,
            reflected_w_m2: self.reflected_w_m2,
        }
    }

    fn with_direction(
        model: SkyModel,
        step: usize,
        sky: &Sky,
        sun: Direction,
    ) -> Result<Option<Self>, SeriesError> {
        // No irradiance at the ground exceeds 2000 W/m²: the sun gives about 1360, and bright cloud edges add some tenths.
        in_range("global irradiance", step, sky.ghi_w_m2, 0.0, 2000.0)?;
        in_range("beam irradiance", step, sky.dni_w_m2, 0.0, 2000.0)?;
        in_range("diffuse irradiance", step, sky.dhi_w_m2, 0.0, 2000.0)?;
        in_range("albedo", step, sky.albedo, 0.0, 1.0)?;
        if sky.ghi_w_m2 + sky.dni_w_m2 + sky.dhi_w_m2 <= 0.0 {
            return Ok(None);
        }
        let mut hour = Self {
            step,
            sun,
            beam_normal_w_m2: 0.0,
            circumsolar_normal_w_m2: 0.0,
            even_w_m2: sky.dhi_w_m2,
            horizon_w_m2: 0.0,
            reflected_w_m2: sky.ghi_w_m2 * sky.albedo,
        };
        if sun.up <= 0.0 {
            return Ok(Some(hour));
        }
        hour.beam_normal_w_m2 = sky.dni_w_m2;
        if sky.dhi_w_m2 <= 0.0 || model == SkyModel::Isotropic {
            return Ok(Some(hour));
        }
        in_range("extraterrestrial irradiance", step, sky.extraterrestrial_w_m2, 1000.0, 2000.0)?;
        if model == SkyModel::HayDavies {
            let circumsolar = (sky.dni_w_m2 / sky.extraterrestrial_w_m2).min(1.0);
            hour.even_w_m2 = sky.dhi_w_m2 * (1.0 - circumsolar);
            hour.circumsolar_normal_w_m2 = sky.dhi_w_m2 * circumsolar / sun.up.max(COSINE_OF_89_DEG);
        } else {
            // Kasten & Young give 38 at the horizon; a sun seen through refraction may need a little more.
            in_range("relative air mass", step, sky.relative_air_mass, 0.9, 100.0)?;
            let zenith_rad = sky.zenith_deg.to_radians();
            let state = PerezSky::new(
                sky.dni_w_m2,
                sky.dhi_w_m2,
                zenith_rad,
                sky.extraterrestrial_w_m2,
                sky.relative_air_mass,
            );
            hour.even_w_m2 = sky.dhi_w_m2 * (1.0 - state.circumsolar);
            hour.circumsolar_normal_w_m2 = sky.dhi_w_m2 * state.circumsolar / sun.up.max(COSINE_OF_85_DEG);
            hour.horizon_w_m2 = sky.dhi_w_m2 * state.horizon;
        }
        Ok(Some(hour))
    }

    /// Irradiance on `plane`. A plane that faces away from the sun gets neither beam nor circumsolar light; a horizon
    /// band darker than the sky may take away all of the diffuse light, never more.
    #[must_use]
    pub fn on_plane(&self, plane: &Plane) -> PlaneIrradiance {
        self.on_plane_at(plane, plane.incidence_cosine(self.sun))
    }

    /// As [`LitHour::on_plane`] with the cosine of incidence already known.
    #[must_use]
    pub fn on_plane_at(&self, plane: &Plane, incidence_cosine: f64) -> PlaneIrradiance {
        let towards = incidence_cosine.max(0.0);
        let circumsolar_w_m2 = self.circumsolar_normal_w_m2 * towards;
        let sky_w_m2 = self.even_w_m2 * 0.5 * (1.0 + plane.tilt_cosine());
        let horizon = self.horizon_w_m2 * plane.tilt_sine();
        PlaneIrradiance {
            beam_w_m2: self.beam_normal_w_m2 * towards,
            circumsolar_w_m2,
            sky_w_m2,
            horizon_w_m2: horizon.max(-(circumsolar_w_m2 + sky_w_m2)),
            ground_w_m2: self.reflected_w_m2 * 0.5 * (1.0 - plane.tilt_cosine()),
        }
    }
}

const COSINE_OF_85_DEG: f64 = 0.087_155_742_747_658_17;
const COSINE_OF_89_DEG: f64 = 0.017_452_406_437_283_51;

/// The series of a year (or any number of steps), one entry per step; irradiances in W/m², means over the step, the sun
/// taken at the middle of the sunlit part of the step.
#[derive(Debug, Clone, Copy)]
pub struct SkySeries<'a> {
    /// Zenith angle of the sun, degrees.
    pub zenith_deg: &'a [f64],
    /// Azimuth of the sun, degrees clockwise from true north.
    pub azimuth_deg: &'a [f64],
    /// Extraterrestrial normal irradiance.
    pub extraterrestrial_w_m2: &'a [f64],
    /// Relative air mass; may hold anything finite or not while the sun is down.
    pub relative_air_mass: &'a [f64],
    /// Global horizontal irradiance.
    pub ghi_w_m2: &'a [f64],
    /// Direct normal irradiance.
    pub dni_w_m2: &'a [f64],
    /// Diffuse horizontal irradiance.
    pub dhi_w_m2: &'a [f64],
    /// Albedo of each step.
    pub albedo: &'a [f64],
}

/// All steps with light of a year, ready for any plane.
#[derive(Debug, Clone, PartialEq)]
pub struct SkyYear {
    steps: usize,
    lit: Vec<LitHour>,
}

impl SkyYear {
    /// Reduces the series.
    ///
    /// # Errors
    /// `SeriesError` when lengths differ or a value is not a number or outside its range.
    pub fn new(model: SkyModel, series: &SkySeries<'_>) -> Result<Self, SeriesError> {
        let steps = series.ghi_w_m2.len();
        for (name, length) in [
            ("zenith angle", series.zenith_deg.len()),
            ("sun azimuth", series.azimuth_deg.len()),
            ("extraterrestrial irradiance", series.extraterrestrial_w_m2.len()),
            ("relative air mass", series.relative_air_mass.len()),
            ("beam irradiance", series.dni_w_m2.len()),
            ("diffuse irradiance", series.dhi_w_m2.len()),
            ("albedo", series.albedo.len()),
        ] {
            same_length(name, length, steps)?;
        }
        let mut lit = Vec::with_capacity(steps / 2 + steps / 8);
        for step in 0..steps {
            let sky = Sky {
                zenith_deg: series.zenith_deg[step],
                azimuth_deg: series.azimuth_deg[step],
                extraterrestrial_w_m2: series.extraterrestrial_w_m2[step],
                relative_air_mass: series.relative_air_mass[step],
                ghi_w_m2: series.ghi_w_m2[step],
                dni_w_m2: series.dni_w_m2[step],
                dhi_w_m2: series.dhi_w_m2[step],
                albedo: series.albedo[step],
            };
            // The night is the larger half of a year: leave before any sine is taken, but never over a NaN.
            if sky.ghi_w_m2 == 0.0 && sky.dni_w_m2 == 0.0 && sky.dhi_w_m2 == 0.0 {
                continue;
            }
            if let Some(hour) = LitHour::new(model, step, &sky)? {
                lit.push(hour);
            }
        }
        Ok(Self { steps, lit })
    }

    /// Number of steps of the year, dark ones included.
    #[must_use]
    pub fn steps(&self) -> usize {
        self.steps
    }

    /// The steps with light, in order.
    #[must_use]
    pub fn lit(&self) -> &[LitHour] {
        &self.lit
    }

    /// Irradiance on `plane` for every step, before any loss at the glass.
    #[must_use]
    pub fn on_plane(&self, plane: &Plane) -> Vec<PlaneIrradiance> {
        let mut parts = vec![PlaneIrradiance::default(); self.steps];
        for hour in &self.lit {
            parts[hour.step] = hour.on_plane(plane);
        }
        parts
    }

    /// Sum over the year of the irradiance on `plane`, in W/m² times steps (Wh/m² for hourly steps). The sum runs in
    /// order of time.
    #[must_use]
    pub fn total_on_plane(&self, plane: &Plane) -> f64 {
        self.lit.iter().map(|hour| hour.on_plane(plane).total_w_m2()).sum()
    }
}
