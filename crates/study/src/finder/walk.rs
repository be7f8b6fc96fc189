//! The walk over every tilt and bearing: which years, and what modules give in them under heat, dirt and snow.

use super::{DARK, PlanesOfPlace, Purpose, STEPS_DEG, STRETCH_DAYS, YEARS};
use crate::around::Around;
use crate::light::Skies;
use crate::sky::SkyStudy;
use array::bypass_sections::share_of_sections_reached;
use array::cell_temperature::CellTemperatureModel;
use array::finder::{Aim, Finder, PlaneEnergy};
use array::incidence::IncidenceModel;
use array::plane::Plane;
use array::plane_year::plane_year;
use array::single_diode::ReferenceModule;
use array::transposition::SkyYear;
use array::worth::{Conditions, PowerTable, Worth};
use rayon::prelude::*;

/// Tilts at which snow is followed, evenly from 0 to 90°.
const SNOW_TILTS: usize = 19;

/// What lies on a plane, for any plane.
pub(super) struct Modules<'a> {
    pub(super) made: &'a ReferenceModule,
    pub(super) cells: CellTemperatureModel,
    pub(super) around: &'a Around,
    pub(super) sections: u32,
    pub(super) azimuth_deg: f64,
}

/// So many years by the light of each, from the dull end to the bright one, in the order of the weather.
fn walked_years(sky: &SkyStudy) -> Vec<usize> {
    let count = sky.weather.years.len();
    let mut by_light: Vec<(f64, usize)> = sky
        .weather
        .years
        .iter()
        .enumerate()
        .map(|(index, year)| (year.ghi_w_m2.iter().sum::<f64>(), index))
        .collect();
    by_light.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    let wanted = count.min(YEARS);
    let mut walked: Vec<usize> =
        (0..wanted).map(|rank| by_light[(2 * rank + 1) * count / (2 * wanted)].1).collect();
    walked.sort_unstable();
    walked
}

/// Air of a year, and what snow puts out of work at each tilt. Snow slides by the light on the plane: that of the bearing the
/// owner's plane has.
fn conditions(
    sky: &SkyStudy,
    year: usize,
    reduced: &SkyYear,
    glass: &IncidenceModel,
    modules: &Modules<'_>,
) -> Result<Conditions, String> {
    let weather = &sky.weather.years[year];
    let falls = &sky.weather.falls[year];
    let around = modules.around;
    let of_tilt = |at: usize| -> Result<Vec<f64>, String> {
        let tilt_deg = 90.0 * at as f64 / (SNOW_TILTS - 1) as f64;
        let plane = Plane::new(tilt_deg, modules.azimuth_deg).map_err(|e| e.to_string())?;
        let light = plane_year(reduced, &plane, glass, None).map_err(|e| e.to_string())?;
        let cover =
            weather::snow_cover(falls, tilt_deg, &weather.air_c, &light.plane_w_m2, around.cleared_after)
                .map_err(|e| e.to_string())?;
        let out = |share: f64| {
            share_of_sections_reached(share, around.lie.modules_up, around.lie.stand, modules.sections)
        };
        Ok(cover.into_iter().map(out).collect())
    };
    let snowed_in = match falls.is_empty() {
        true => Vec::new(),
        false => (0..SNOW_TILTS).into_par_iter().map(of_tilt).collect::<Result<_, _>>()?,
    };
    let wind_m_s = crate::light::at_height(&modules.cells, &weather.wind_m_s);
    Ok(Conditions { air_c: weather.air_c.clone(), wind_m_s, snowed_in })
}

/// Walks every plane of a place.
pub(super) fn walk(
    skies: &Skies,
    sky: &SkyStudy,
    glass: &IncidenceModel,
    seen: Option<&[f64]>,
    modules: &Modules<'_>,
) -> Result<PlanesOfPlace, String> {
    let say = |e: array::series::SeriesError| e.to_string();
    let skies = skies.as_ref().map_err(Clone::clone)?;
    let chosen = walked_years(sky);
    let walked: Vec<SkyYear> = chosen.iter().filter_map(|year| skies.get(*year)).cloned().collect();
    let years: Result<Vec<Conditions>, String> = chosen
        .iter()
        .zip(&walked)
        .map(|(year, reduced)| conditions(sky, *year, reduced, glass, modules))
        .collect();
    let worth = Worth {
        power: PowerTable::new(modules.made),
        cells: modules.cells,
        clean: modules.around.soiling.map(|lost| 1.0 - lost),
        years: years?,
    };
    let finder = Finder::new(&walked, glass, Some(STRETCH_DAYS), seen)
        .and_then(|finder| finder.with_modules(worth))
        .map_err(say)?;
    let azimuth_deg = modules.azimuth_deg;
    let map = finder.map(STEPS_DEG.0, STEPS_DEG.1).map_err(say)?;
    let months: Result<Vec<PlaneEnergy>, _> =
        (0..12).map(|month| finder.best(&map, &Aim::Month(month)).map_err(say)).collect();
    let months = months?;
    let of_month = |month: usize| months[month].month_day_wh_m2[month];
    let brightest = (0..12).map(of_month).fold(0.0, f64::max);
    let dark = std::array::from_fn(|month| of_month(month) <= DARK * brightest);
    let mut retilts = Vec::new();
    for (says, times) in [("two settings a year", 2), ("four settings a year", 4)] {
        retilts.push((says, finder.seasonal(azimuth_deg, times).map_err(say)?));
    }
    let mut place = PlanesOfPlace { finder, map, bests: Vec::new(), months, retilts, dark };
    for purpose in [Purpose::Year, Purpose::WorstMonth, Purpose::DullestDays] {
        let best = place.finder.best(&place.map, &place.aim(purpose, None)).map_err(say)?;
        place.bests.push((purpose, best));
    }
    Ok(place)
}
