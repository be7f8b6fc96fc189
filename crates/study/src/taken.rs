//! What each house and tree near a plane takes by itself: hours of shade and light, so that an owner knows which one matters.

use crate::around::Around;
use crate::sky::SkyStudy;
use array::incidence::IncidenceModel;
use array::near_shade::shaded_plane_year;
use array::obstacle::Surroundings;
use array::plane_year::plane_year;
use array::transposition::SkyYear;
use std::sync::Arc;

/// One obstacle alone before a plane.
#[derive(Clone, Debug, PartialEq)]
pub struct Taken {
    /// The owner's name for it.
    pub name: Arc<str>,
    /// Middle of it, degrees from true north, and how far up it stands seen from the middle of the plane, degrees.
    pub seen_deg: (f64, f64),
    /// Hours of a year in which its shadow lies on any of the plane.
    pub hours: f64,
    /// Share of the plane under its shadow then, on average.
    pub of_plane: f64,
    /// Share of the year's light that it takes, by area, as if it stood there alone: mean over the weather years.
    pub of_light: f64,
}

/// Each obstacle of a plane alone; nothing where a kernel refuses, which the whole shade has said before.
pub(crate) fn taken(
    skies: &[SkyYear],
    sky: &SkyStudy,
    around: &Around,
    glass: &IncidenceModel,
    months: &[u8],
) -> Vec<Taken> {
    let plane = &around.stand.plane;
    let sum = |light: &[f64]| light.iter().sum::<f64>();
    let open: f64 = skies
        .iter()
        .filter_map(|year| plane_year(year, plane, glass, None).ok())
        .map(|year| sum(&year.plane_w_m2))
        .sum();
    around
        .named
        .iter()
        .filter_map(|(name, obstacle)| {
            let alone = Surroundings::new(None, vec![*obstacle]).ok()?;
            let shade =
                alone.shade(&around.stand, None, &sky.sun.zenith_deg, &sky.sun.azimuth_deg, months).ok()?;
            let lit = |hour: &usize| sky.sun.has_sun(*hour);
            let hours: f64 = (0..sun::HOURS).filter(lit).map(|hour| shade.during[hour]).sum();
            let area: f64 =
                (0..sun::HOURS).filter(lit).map(|hour| shade.during[hour] * shade.shaded[hour]).sum();
            let left: f64 = skies
                .iter()
                .filter_map(|year| shaded_plane_year(year, plane, glass, &shade).ok())
                .map(|year| sum(&year.plane_w_m2))
                .sum();
            Some(Taken {
                name: name.as_str().into(),
                seen_deg: (
                    obstacle.bearing_deg.rem_euclid(360.0),
                    obstacle.elevation_deg(&around.stand, 0.5, obstacle.bearing_deg),
                ),
                hours,
                of_plane: if hours > 0.0 { area / hours } else { 0.0 },
                of_light: if open > 0.0 { (1.0 - left / open).clamp(0.0, 1.0) } else { 0.0 },
            })
        })
        .collect()
}
