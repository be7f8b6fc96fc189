//! Coefficients of the Perez sky model and the brightness of its circumsolar disc and horizon band.

/// Lower edges of the eight clearness bins; the last has no upper edge.
const BIN_EDGES: [f64; 8] = [1.0, 1.065, 1.230, 1.500, 1.950, 2.800, 4.500, 6.200];

/// `F11 F12 F13 F21 F22 F23` for each clearness bin.
///
/// Source: Perez, Ineichen, Seals, Michalsky & Stewart, "Modeling daylight availability and irradiance components from
/// direct and global irradiance", Solar Energy 44 (1990) 271–289, Table 6, with the seven decimals that reprints say
/// the first author supplied in 1999. Standing: read in three reprints. Rounded to three decimals they are the printed
/// table, except F11 of bin 6, printed 1.132 (a test holds this).
const COEFFICIENTS: [[f64; 6]; 8] = [
    [-0.008_311_7, 0.587_728_5, -0.062_063_6, -0.059_601_2, 0.072_124_9, -0.022_021_6],
    [0.129_945_7, 0.682_595_4, -0.151_375_2, -0.018_932_5, 0.065_965_0, -0.028_874_8],
    [0.329_695_8, 0.486_873_5, -0.221_095_8, 0.055_414_0, -0.063_958_8, -0.026_054_2],
    [0.568_205_3, 0.187_452_5, -0.295_129_0, 0.108_863_1, -0.151_922_9, -0.013_975_4],
    [0.873_028_0, -0.392_040_3, -0.361_614_9, 0.225_564_7, -0.462_044_2, 0.001_244_8],
    [1.132_607_7, -1.236_728_4, -0.411_849_4, 0.287_781_3, -0.823_035_7, 0.055_865_1],
    [1.060_159_1, -1.599_913_7, -0.358_922_1, 0.264_212_4, -1.127_234_0, 0.131_069_4],
    [0.677_747_0, -0.327_258_8, -0.250_428_6, 0.156_131_3, -1.376_503_1, 0.250_621_2],
];

/// The state of the sky that decides where its diffuse light comes from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PerezSky {
    /// Clearness ε, from 1 (overcast) upwards.
    pub clearness: f64,
    /// Clearness bin, 1..=8.
    pub bin: usize,
    /// Brightness Δ, diffuse over extraterrestrial times air mass.
    pub brightness: f64,
    /// Share F1 of the diffuse light that comes from around the sun, 0..=1.
    pub circumsolar: f64,
    /// Share F2 that comes from the horizon band; negative where the horizon is darker than the rest.
    pub horizon: f64,
}

impl PerezSky {
    /// The sky of one hour from `dni` and `dhi` (W/m², diffuse above zero), zenith angle in radians, extraterrestrial
    /// normal irradiance (W/m², above zero) and relative air mass.
    ///
    /// `F1` is bounded below by 0 as published and above by 1, where the published form would leave the rest of the
    /// sky with less than no light (only seen with the sun overhead and almost no light at all).
    /// Source: Perez et al. 1990, equations 1, 2 and 9; zenith coefficient 1.041 for radians.
    #[must_use]
    pub fn new(
        dni_w_m2: f64,
        dhi_w_m2: f64,
        zenith_rad: f64,
        extraterrestrial_w_m2: f64,
        relative_air_mass: f64,
    ) -> Self {
        let zenith_term = 1.041 * zenith_rad * zenith_rad * zenith_rad;
        let clearness = ((dhi_w_m2 + dni_w_m2) / dhi_w_m2 + zenith_term) / (1.0 + zenith_term);
        let brightness = dhi_w_m2 * relative_air_mass / extraterrestrial_w_m2;
        let bin = BIN_EDGES.iter().rposition(|edge| clearness >= *edge).unwrap_or(0);
        let [f11, f12, f13, f21, f22, f23] = COEFFICIENTS[bin];
        Self {
            clearness,
            bin: bin + 1,
            brightness,
            circumsolar: (f11 + f12 * brightness + f13 * zenith_rad).clamp(0.0, 1.0),
            horizon: f21 + f22 * brightness + f23 * zenith_rad,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_coefficient_is_that_of_the_published_table() {
        let table = include_str!("../../../cases/solar/perez_coefficients.csv");
        let rows: Vec<Vec<f64>> = table
            .lines()
            .filter(|line| !line.starts_with('#') && !line.starts_with("bin"))
            .map(|line| line.split(',').map(|cell| cell.parse().expect("a number")).collect())
            .collect();
        assert_eq!(rows.len(), 8);
        for (index, row) in rows.iter().enumerate() {
            assert_eq!(row[1], BIN_EDGES[index]);
            for column in 0..6 {
                assert_eq!(COEFFICIENTS[index][column], row[3 + column], "bin {} column {column}", index + 1);
                // The printed table has three decimals; F11 of bin 6 is printed one unit lower.
                let printed = row[9 + column];
                let allowed = if index == 5 && column == 0 { 0.000_61 } else { 0.000_51 };
                assert!((COEFFICIENTS[index][column] - printed).abs() < allowed);
            }
        }
    }
}
