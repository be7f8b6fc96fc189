//! The models of sky and glass that an owner may choose: their names, their sources, their numbers.

use array::incidence::IncidenceModel;
use array::transposition::SkyModel;
use quantity::{Clause, Standing};

/// Where a sky model is published.
pub(crate) fn clause_of(model: SkyModel) -> Clause {
    let (document, edition, standing) = match model {
        SkyModel::Perez => ("Perez et al., Solar Energy 44", "1990", Standing::Read),
        SkyModel::HayDavies => {
            ("Hay and Davies, First Canadian Solar Radiation Data Workshop", "1980", Standing::Remembered)
        }
        SkyModel::Isotropic => ("Liu and Jordan, Solar Energy 7", "1963", Standing::Remembered),
    };
    Clause { document, edition, clause: "sky diffuse on a tilted plane", standing }
}

/// A sky model in words.
pub(crate) fn model_in_words(model: SkyModel) -> &'static str {
    match model {
        SkyModel::Perez => "ring around the sun, band along the horizon, even rest (Perez)",
        SkyModel::HayDavies => "ring around the sun, even rest (Hay and Davies)",
        SkyModel::Isotropic => "even all over (isotropic)",
    }
}

/// A glass model in words.
pub(crate) fn glass_in_words(glass: &IncidenceModel) -> String {
    match glass {
        IncidenceModel::Physical { refractive_index, .. } => {
            format!("refraction and absorption, index {refractive_index}")
        }
        IncidenceModel::Ashrae { b0 } => format!("ASHRAE 93, b0 {b0}"),
    }
}

/// A glass model in numbers, for keys of layers.
pub(crate) fn glass_numbers(glass: &IncidenceModel) -> [f64; 4] {
    match *glass {
        IncidenceModel::Physical { refractive_index, extinction_per_m, thickness_m } => {
            [0.0, refractive_index, extinction_per_m, thickness_m]
        }
        IncidenceModel::Ashrae { b0 } => [1.0, b0, 0.0, 0.0],
    }
}
