//! Rows of racks one behind the other: how far apart, and how much of a row the one before it shades.

use crate::series::{SeriesError, in_range};

/// Long equal rows on level ground.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rows {
    /// Tilt of the rows, degrees, 0..=90.
    pub tilt_deg: f64,
    /// Where the rows look, degrees clockwise from true north.
    pub azimuth_deg: f64,
    /// Length of a row up its slope, m.
    pub slant_m: f64,
    /// Distance from one lower edge to the next, m.
    pub pitch_m: f64,
}

impl Rows {
    /// Rows, refused where they overlap in plan or a number is out of range.
    ///
    /// # Errors
    /// `SeriesError` for a tilt outside 0..=90°, a slant or pitch not above zero, or a pitch shorter than a row in plan.
    pub fn new(tilt_deg: f64, azimuth_deg: f64, slant_m: f64, pitch_m: f64) -> Result<Self, SeriesError> {
        in_range("tilt of the rows", 0, tilt_deg, 0.0, 90.0)?;
        in_range("azimuth of the rows", 0, azimuth_deg, -360.0, 360.0)?;
        in_range("slant length of a row", 0, slant_m, 0.01, 1000.0)?;
        in_range("distance of the rows", 0, pitch_m, slant_m * libm::cos(tilt_deg.to_radians()), 1e5)?;
        Ok(Self { tilt_deg, azimuth_deg, slant_m, pitch_m })
    }

    /// Share of the ground that modules cover in plan, slant over pitch.
    #[must_use]
    pub fn ground_cover(&self) -> f64 {
        self.slant_m / self.pitch_m
    }

    /// Elevation of the top of the row before, seen from the lower edge, degrees: `atan(L sin β / (p - L cos β))`.
    #[must_use]
    pub fn masking_angle_deg(&self) -> f64 {
        let (sine, cosine) = libm::sincos(self.tilt_deg.to_radians());
        libm::atan2(self.slant_m * sine, self.pitch_m - self.slant_m * cosine).to_degrees()
    }

    /// Share of the slant, from the lower edge up, that the row before shades from the beam, 0..=1; zero while the sun
    /// is down or behind the row's own back.
    ///
    /// In the cross-section the sun stands at the profile angle `tan p = sin h / (cos h cos Δ)`, and the edge of the shade
    /// lies at `1 - (pitch/slant) sin p / sin(β + p)`. Ends of the rows are left out.
    #[must_use]
    pub fn shaded_share(&self, zenith_deg: f64, azimuth_deg: f64) -> f64 {
        if zenith_deg.is_nan() || zenith_deg >= 90.0 {
            return 0.0;
        }
        let profile = profile_angle_rad(90.0 - zenith_deg, azimuth_deg - self.azimuth_deg);
        let lit_face = libm::sin(self.tilt_deg.to_radians() + profile);
        if lit_face <= 0.0 {
            return 0.0;
        }
        (1.0 - self.pitch_m / self.slant_m * libm::sin(profile) / lit_face).clamp(0.0, 1.0)
    }

    /// Share of the even sky that a point at `up` of the slant (0 lower edge, 1 top) sees, relative to a row that stands
    /// alone: the row before covers the sky up to the angle of its top. `(1 + cos(β + m))/(1 + cos β)` for the masking
    /// angle `m` of that point (infinitely long rows, crossed-strings view factor).
    #[must_use]
    pub fn seen_sky_at(&self, up: f64) -> f64 {
        let tilt = self.tilt_deg.to_radians();
        let (sine, cosine) = libm::sincos(tilt);
        let rest = self.slant_m * (1.0 - up.clamp(0.0, 1.0));
        let masked = libm::atan2(rest * sine, self.pitch_m - rest * cosine);
        (1.0 + libm::cos(tilt + masked)) / (1.0 + cosine)
    }

    /// The same for the whole row, a mean over its slant (64 strips).
    #[must_use]
    pub fn seen_sky(&self) -> f64 {
        (0..64_u32).map(|strip| self.seen_sky_at((f64::from(strip) + 0.5) / 64.0)).sum::<f64>() / 64.0
    }

    /// Share of a band of `band_deg` along the horizon that a row sees over the row before, a mean over its slant and
    /// the directions it looks: in a direction turned `Δ` the top of the row before stands at `atan(tan m · cos Δ)`.
    #[must_use]
    pub fn seen_band(&self, band_deg: f64) -> f64 {
        let (sine, cosine) = libm::sincos(self.tilt_deg.to_radians());
        let (mut seen, mut whole) = (0.0, 0.0);
        for strip in 0..16_u32 {
            let rest = self.slant_m * (1.0 - (f64::from(strip) + 0.5) / 16.0);
            let steep = rest * sine / (self.pitch_m - rest * cosine).max(1e-9);
            for turn in 0..90_u32 {
                let turned = libm::cos((2.0 * f64::from(turn) - 89.0).to_radians());
                let masked_deg = libm::atan(steep * turned).to_degrees();
                seen += turned * (1.0 - masked_deg / band_deg).max(0.0);
                whole += turned;
            }
        }
        seen / whole
    }
}

/// Angle of the sun in the cross-section of the rows, radians, 0..π; above π/2 the sun stands behind them.
/// `turned_deg` is the sun's azimuth from the direction the rows look.
#[must_use]
pub fn profile_angle_rad(altitude_deg: f64, turned_deg: f64) -> f64 {
    let (sine, cosine) = libm::sincos(altitude_deg.to_radians());
    libm::atan2(sine, cosine * libm::cos(turned_deg.to_radians()))
}

/// Distance on level ground that an edge of `height_m` shades across the rows for a sun at `altitude_deg`, turned
/// `turned_deg` from the direction the rows look: `height · cos Δ / tan h`. `None` while the sun is down.
#[must_use]
pub fn shadow_m(height_m: f64, altitude_deg: f64, turned_deg: f64) -> Option<f64> {
    (altitude_deg > 0.0 && altitude_deg < 90.0).then(|| {
        let turned = libm::cos(turned_deg.to_radians()).max(0.0);
        height_m * turned / libm::tan(altitude_deg.to_radians())
    })
}

/// The sun at the winter solstice, `hours` of solar time from noon: (altitude, azimuth from the equator's side), degrees.
/// Declination 23.45° as in the usual tables; the same on either half of the Earth.
#[must_use]
pub fn solstice_sun_deg(latitude_deg: f64, hours: f64) -> (f64, f64) {
    let latitude = latitude_deg.abs().to_radians();
    let declination = (-23.45_f64).to_radians();
    let angle = (15.0 * hours).to_radians();
    let (latitude_sine, latitude_cosine) = libm::sincos(latitude);
    let (declination_sine, declination_cosine) = libm::sincos(declination);
    let up = latitude_sine * declination_sine + latitude_cosine * declination_cosine * libm::cos(angle);
    let towards = latitude_sine * declination_cosine * libm::cos(angle) - latitude_cosine * declination_sine;
    let aside = declination_cosine * libm::sin(angle);
    (libm::asin(up.clamp(-1.0, 1.0)).to_degrees(), libm::atan2(aside, towards).to_degrees())
}

/// Distance from one lower edge to the next so that rows looking towards the equator do not shade one another at the
/// winter solstice within `hours` of solar noon (3 is the usual rule: 9 to 15 h). `None` where the sun is down then.
/// Common practice; the geometry is exact.
#[must_use]
pub fn solstice_pitch_m(latitude_deg: f64, tilt_deg: f64, slant_m: f64, hours: f64) -> Option<f64> {
    let (altitude_deg, turned_deg) = solstice_sun_deg(latitude_deg, hours);
    let (sine, cosine) = libm::sincos(tilt_deg.to_radians());
    shadow_m(slant_m * sine, altitude_deg, turned_deg).map(|gap| gap + slant_m * cosine)
}
