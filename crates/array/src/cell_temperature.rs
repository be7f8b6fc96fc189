//! How warm the cells get under the sun. All models are for steady states: use means over a quarter of an hour or more.

/// How the modules are held, which decides how air reaches their backs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Mounting {
    /// A rack in the open; air on both sides.
    OpenRack,
    /// Parallel to a roof with a gap of a hand's breadth or less.
    CloseToRoof,
    /// Lying on insulation or built into the roof.
    InsulatedBack,
}

/// A published model of cell temperature with its coefficients.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum CellTemperatureModel {
    /// `T = Ta + G / (u0 + u1 v)`, wind at module height.
    /// Source: Faiman, Progress in Photovoltaics 16 (2008) 307–315; u0 = 25 (23.5–26.5), u1 = 6.84 (6.25–7.68) read in
    /// a government modelling guide. Gives the temperature of the module.
    Faiman {
        /// Heat loss in still air, W/m²K.
        u0_w_m2_k: f64,
        /// Added heat loss per wind speed, W s/m³K.
        u1_w_s_m3_k: f64,
    },
    /// `T = Ta + (NOCT - 20) G / 800`, without wind.
    /// Source: Duffie & Beckman, Solar Engineering of Thermal Processes, ch. 23. Standing: remembered.
    Noct {
        /// Nominal operating cell temperature of the data sheet (800 W/m², 20 °C, 1 m/s, open rack), °C.
        noct_c: f64,
    },
    /// The same with wind and the power taken away: times `9.5 / (5.7 + 3.8 v) · (1 - η/τα)`.
    NoctWithWind {
        /// Nominal operating cell temperature of the data sheet, °C.
        noct_c: f64,
        /// Module efficiency as a share.
        efficiency: f64,
        /// Transmittance times absorptance, 0.9 where unknown.
        transmittance_absorptance: f64,
    },
    /// `T = Ta + G exp(a + b v) + (G / 1000) ΔT`, wind at 10 m.
    /// Source: King, Boyson & Kratochvil, SAND2004-3535, Table 1. Standing: remembered.
    King {
        /// Exponent in still air.
        a: f64,
        /// Exponent per wind speed, s/m.
        b: f64,
        /// Cell above the back of the module at 1000 W/m², K.
        delta_k: f64,
    },
}

impl CellTemperatureModel {
    /// Faiman's coefficients for glass modules on an open rack.
    pub const OPEN_RACK: Self = Self::Faiman { u0_w_m2_k: 25.0, u1_w_s_m3_k: 6.84 };

    /// The model used for a mounting when the data sheet gives nothing better: Faiman on an open rack, King's close
    /// roof mount and insulated back otherwise, because Faiman measured open racks only.
    #[must_use]
    pub fn for_mounting(mounting: Mounting) -> Self {
        match mounting {
            Mounting::OpenRack => Self::OPEN_RACK,
            Mounting::CloseToRoof => Self::King { a: -2.98, b: -0.0471, delta_k: 1.0 },
            Mounting::InsulatedBack => Self::King { a: -2.81, b: -0.0455, delta_k: 0.0 },
        }
    }

    /// Height above ground at which the model wants its wind, or `None` where it uses no wind; module height is taken
    /// as 2 m for ground racks and low roofs.
    #[must_use]
    pub fn wind_height_m(&self) -> Option<f64> {
        match self {
            Self::Faiman { .. } | Self::NoctWithWind { .. } => Some(2.0),
            Self::Noct { .. } => None,
            Self::King { .. } => Some(10.0),
        }
    }

    /// Cell temperature in °C from the irradiance on the plane (W/m², before losses at the glass), air temperature (°C)
    /// and wind (m/s, at the height of [`CellTemperatureModel::wind_height_m`]; negative wind counts as calm).
    #[must_use]
    pub fn cell_c(&self, plane_w_m2: f64, air_c: f64, wind_m_s: f64) -> f64 {
        let wind = wind_m_s.max(0.0);
        match *self {
            Self::Faiman { u0_w_m2_k, u1_w_s_m3_k } => air_c + plane_w_m2 / (u0_w_m2_k + u1_w_s_m3_k * wind),
            Self::Noct { noct_c } => air_c + (noct_c - 20.0) * plane_w_m2 / 800.0,
            Self::NoctWithWind { noct_c, efficiency, transmittance_absorptance } => {
                air_c
                    + (noct_c - 20.0) * plane_w_m2 / 800.0
                        * (9.5 / (5.7 + 3.8 * wind))
                        * (1.0 - efficiency / transmittance_absorptance)
            }
            Self::King { a, b, delta_k } => {
                air_c + plane_w_m2 * libm::exp(a + b * wind) + plane_w_m2 / 1000.0 * delta_k
            }
        }
    }
}

/// Wind at `height_m` from wind at 10 m by the one-seventh power law for open country.
/// Source: common practice, from memory. Heights below 0.5 m are taken as 0.5 m.
#[must_use]
pub fn wind_at_height_m_s(wind_10_m_m_s: f64, height_m: f64) -> f64 {
    wind_10_m_m_s * libm::pow(height_m.max(0.5) / 10.0, 1.0 / 7.0)
}
