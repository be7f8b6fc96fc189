//! Loss at the glass when light comes in at a slant, relative to light that comes in straight.

use crate::plane::Plane;
use crate::transposition::PlaneIrradiance;

/// How the glass passes slanting light.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum IncidenceModel {
    /// Refraction, reflection at one face and absorption in a sheet of glass.
    /// Source: De Soto, Klein & Beckman, Solar Energy 80 (2006) 78–88, equations for the incidence angle modifier.
    /// Standing: remembered.
    Physical {
        /// Refractive index of the cover, above 1.
        refractive_index: f64,
        /// Extinction coefficient of the cover, 1/m.
        extinction_per_m: f64,
        /// Thickness of the cover, m.
        thickness_m: f64,
    },
    /// `1 - b0 (1/cos θ - 1)`, zero where that is negative; fitted up to about 60–80°.
    /// Source: ASHRAE Standard 93, incident angle modifier. Standing: remembered.
    Ashrae {
        /// The coefficient b0; 0.05 for one plain glass.
        b0: f64,
    },
}

impl IncidenceModel {
    /// Plain low-iron glass: index 1.526, 4 per metre, 2 mm (De Soto et al. 2006).
    pub const GLASS: Self =
        Self::Physical { refractive_index: 1.526, extinction_per_m: 4.0, thickness_m: 0.002 };

    /// Share of the light at `angle_deg` from the normal that passes, relative to normal incidence, 0..=1.
    /// Zero at and beyond 90°.
    #[must_use]
    pub fn modifier(&self, angle_deg: f64) -> f64 {
        if angle_deg >= 90.0 { 0.0 } else { self.modifier_at_cosine(libm::cos(angle_deg.to_radians())) }
    }

    /// As [`IncidenceModel::modifier`] for the cosine of the angle; zero for a cosine of zero or below.
    #[must_use]
    pub fn modifier_at_cosine(&self, cosine: f64) -> f64 {
        if cosine <= 0.0 || cosine.is_nan() {
            return 0.0;
        }
        let cosine = cosine.min(1.0);
        match *self {
            Self::Physical { refractive_index, extinction_per_m, thickness_m } => {
                let absorption = extinction_per_m * thickness_m;
                let normal_reflection = (refractive_index - 1.0) / (refractive_index + 1.0);
                let straight = (1.0 - normal_reflection * normal_reflection) * libm::exp(-absorption);
                let sine_squared = 1.0 - cosine * cosine;
                let inside = (1.0 - sine_squared / (refractive_index * refractive_index)).max(0.0).sqrt();
                // Fresnel's two polarisations, written with cosines so that straight light needs no special case.
                let across = (cosine - refractive_index * inside) / (cosine + refractive_index * inside);
                let along = (refractive_index * cosine - inside) / (refractive_index * cosine + inside);
                let passed = 1.0 - 0.5 * (across * across + along * along);
                (passed * libm::exp(-absorption / inside) / straight).clamp(0.0, 1.0)
            }
            Self::Ashrae { b0 } => (1.0 - b0 * (1.0 / cosine - 1.0)).clamp(0.0, 1.0),
        }
    }
}

/// Angle at which beam would lose as much as even sky light does on a plane of `tilt_deg` (0..=90), degrees.
///
/// `59.7 - 0.1388 β + 0.001497 β²`. Source: Brandemuehl & Beckman, Solar Energy 24 (1980) 511–513. Standing: remembered.
#[must_use]
pub fn effective_sky_angle_deg(tilt_deg: f64) -> f64 {
    59.7 - 0.1388 * tilt_deg + 0.001_497 * tilt_deg * tilt_deg
}

/// The same for light from the ground: `90 - 0.5788 β + 0.002693 β²`. Source and standing as above.
#[must_use]
pub fn effective_ground_angle_deg(tilt_deg: f64) -> f64 {
    90.0 - 0.5788 * tilt_deg + 0.002_693 * tilt_deg * tilt_deg
}

/// The modifiers of a plane that do not depend on the sun.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DiffuseModifiers {
    /// For even sky light, and for the horizon band, for which no separate fit is published.
    pub sky: f64,
    /// For light from the ground.
    pub ground: f64,
}

impl DiffuseModifiers {
    /// Modifiers of `plane`. The fits cover tilts to 90°; a plane that looks down sees sky and ground exchanged.
    #[must_use]
    pub fn new(model: &IncidenceModel, plane: &Plane) -> Self {
        let tilt_deg = plane.tilt_deg();
        let upright_deg = if tilt_deg <= 90.0 { tilt_deg } else { 180.0 - tilt_deg };
        let larger = model.modifier(effective_sky_angle_deg(upright_deg));
        let smaller = model.modifier(effective_ground_angle_deg(upright_deg));
        if tilt_deg <= 90.0 {
            Self { sky: larger, ground: smaller }
        } else {
            Self { sky: smaller, ground: larger }
        }
    }

    /// The irradiance that reaches the cells: beam and circumsolar light by the angle of the sun, the rest by the
    /// effective angles.
    #[must_use]
    pub fn behind_glass(
        &self,
        model: &IncidenceModel,
        parts: &PlaneIrradiance,
        incidence_cosine: f64,
    ) -> PlaneIrradiance {
        let beam = if parts.beam_w_m2 + parts.circumsolar_w_m2 > 0.0 {
            model.modifier_at_cosine(incidence_cosine)
        } else {
            0.0
        };
        PlaneIrradiance {
            beam_w_m2: parts.beam_w_m2 * beam,
            circumsolar_w_m2: parts.circumsolar_w_m2 * beam,
            sky_w_m2: parts.sky_w_m2 * self.sky,
            // The horizon band may take away all of the diffuse light, never more, behind the glass as before it.
            horizon_w_m2: (parts.horizon_w_m2 * self.sky)
                .max(-(parts.circumsolar_w_m2 * beam + parts.sky_w_m2 * self.sky)),
            ground_w_m2: parts.ground_w_m2 * self.ground,
        }
    }
}
