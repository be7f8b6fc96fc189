//! Light on each plane and the operating points of its modules, in every weather year.

use crate::memo::{Key, Memo};
use crate::sky::SkyStudy;
use crate::uses::{Unanswered, Uses};
use array::cell_temperature::{CellTemperatureModel, Mounting};
use array::data_sheet_fit::{DataSheet, FittedModule, fit};
use array::facts::{Module, Mount, Plane};
use array::incidence::IncidenceModel;
use array::module_year::ModuleYear;
use array::plane_year::{PlaneYear, cell_temperature_year, plane_year, take_soiling};
use array::transposition::{SkyModel, SkySeries, SkyYear};
use design::system::System;
use quantity::{Clause, FieldPath, Standing, Term, Traced, units};
use rayon::prelude::*;
use std::sync::Arc;

/// Every year reduced to its lit hours.
pub type Skies = Result<Vec<SkyYear>, String>;

/// One plane in every year: light, cell temperature.
#[derive(Clone, Debug)]
pub struct PlaneYears {
    /// Light per year, after dirt.
    pub light: Vec<PlaneYear>,
    /// Cell temperature per year, °C.
    pub cell_c: Vec<Vec<f64>>,
}

/// Operating points of one module on one plane in every year.
pub type ModuleYears = Result<Vec<ModuleYear>, String>;

/// Light on one plane.
#[derive(Clone, Debug)]
pub struct PlaneStudy {
    /// The plane's name.
    pub name: Arc<str>,
    /// Every year.
    pub years: Arc<PlaneYears>,
    /// Mean daily light of each month over all years, kWh/m² before glass and dirt.
    pub months_kwh_m2_day: [f64; 12],
    /// Mean daily light of the whole year, with what it rests on.
    pub daily: Traced<quantity::Number>,
    /// The month with the least.
    pub least_month: usize,
    /// What it rests on.
    pub terms: Vec<Term>,
    pub(crate) key: u64,
}

/// The sky model in use.
pub(crate) const PEREZ: Clause = Clause {
    document: "Perez et al., Solar Energy 44",
    edition: "1990",
    clause: "sky diffuse on a tilted plane",
    standing: Standing::Read,
};

pub(crate) fn planes(
    system: &System,
    sky: &Result<Arc<SkyStudy>, Unanswered>,
    memo: &mut Memo,
) -> Vec<Result<PlaneStudy, Unanswered>> {
    let carries_strings = |plane: &Plane| system.strings.iter().any(|s| s.string.plane == plane.name);
    system.planes.iter().filter(|p| carries_strings(p)).map(|p| plane_of(p, sky, memo)).collect()
}

fn plane_of(
    plane: &Plane,
    sky: &Result<Arc<SkyStudy>, Unanswered>,
    memo: &mut Memo,
) -> Result<PlaneStudy, Unanswered> {
    let sky = sky.as_ref().map_err(Clone::clone)?;
    let field = |key: &str| Some(FieldPath::new(format!("plane.{}.{key}", plane.name)));
    let mut uses = Uses::default();
    uses.extend(&sky.terms);
    let of = |what: &str| format!("{}: {what}", plane.name);
    let tilt = uses.number(&of("tilt"), &plane.tilt, &units::DEGREE_UNIT);
    let bearing = uses.number(&of("bearing"), &plane.bearing, &units::TRUE_DEGREE);
    let reflectance = uses.number(&of("ground reflectance"), &plane.ground_reflectance, &units::RATIO);
    let soiling = uses.number(&of("lost to dirt"), &plane.soiling, &units::RATIO);
    let mount = uses.words(&of("mount"), &plane.mount, |mount| {
        match mount {
            Mount::GroundRack => "open rack on the ground",
            Mount::Roof => "roof",
            Mount::Pole => "pole",
        }
        .to_string()
    });
    let terms = uses.done()?;
    let refused = |because: String| Unanswered::refused(because, field("tilt"));
    let geometry = array::plane::Plane::new(tilt, bearing).map_err(|e| refused(e.to_string()))?;
    let mounting = match mount {
        Some(Mount::Roof) => Mounting::CloseToRoof,
        _ => Mounting::OpenRack,
    };
    let skies_key = Key::new("skies").count(sky.key).number(reflectance).done();
    let skies = memo.skies.get(skies_key, || reduce(sky, reflectance));
    let skies = skies.as_ref().as_ref().map_err(|e| refused(e.clone()))?;
    let key = Key::new("plane")
        .count(skies_key)
        .numbers(&[tilt, bearing, soiling])
        .text(&format!("{mounting:?}"))
        .done();
    let years = {
        let made = memo.light.get(key, || {
            let both: Result<Vec<_>, String> = skies
                .par_iter()
                .zip(&sky.weather.years)
                .map(|(reduced, year)| light_of(reduced, year, &geometry, soiling, mounting))
                .collect();
            let (light, cell_c) = both.unwrap_or_default().into_iter().unzip();
            PlaneYears { light, cell_c }
        });
        if made.light.is_empty() {
            return Err(refused("the weather cannot be put on this plane".into()));
        }
        made
    };
    let months = months_of(&years.light);
    let whole =
        months.iter().zip(sun::MONTH_DAYS).map(|(mean, days)| mean * days as f64).sum::<f64>() / 365.0;
    let least_month = (0..12).min_by(|a, b| months[*a].total_cmp(&months[*b])).unwrap_or(0);
    let daily = Traced::series(
        quantity::Number(whole),
        "mean daily light on the plane over all weather years, kWh/m² (sun hours)",
        PEREZ,
        terms.clone(),
    );
    Ok(PlaneStudy {
        name: plane.name.clone(),
        years,
        months_kwh_m2_day: months,
        daily,
        least_month,
        terms,
        key,
    })
}

fn reduce(sky: &SkyStudy, reflectance: f64) -> Skies {
    let albedo = vec![reflectance; sun::HOURS];
    sky.weather
        .years
        .par_iter()
        .map(|year| {
            SkyYear::new(
                SkyModel::Perez,
                &SkySeries {
                    zenith_deg: &sky.sun.zenith_deg,
                    azimuth_deg: &sky.sun.azimuth_deg,
                    extraterrestrial_w_m2: &sky.sun.extraterrestrial_normal_w_m2,
                    relative_air_mass: &sky.sun.air_mass,
                    ghi_w_m2: &year.ghi_w_m2,
                    dni_w_m2: &year.dni_w_m2,
                    dhi_w_m2: &year.dhi_w_m2,
                    albedo: &albedo,
                },
            )
            .map_err(|e| e.to_string())
        })
        .collect()
}

fn light_of(
    reduced: &SkyYear,
    year: &weather::Year,
    plane: &array::plane::Plane,
    soiling: f64,
    mounting: Mounting,
) -> Result<(PlaneYear, Vec<f64>), String> {
    let mut light = plane_year(reduced, plane, &IncidenceModel::GLASS, None).map_err(|e| e.to_string())?;
    let months: Vec<u8> = (0..sun::HOURS).map(|hour| sun::month_of_hour(hour) as u8 + 1).collect();
    take_soiling(&mut light.cell_w_m2, &months, &[soiling; 12]).map_err(|e| e.to_string())?;
    let model = CellTemperatureModel::for_mounting(mounting);
    let wind = at_height(&model, &year.wind_m_s);
    let cell_c =
        cell_temperature_year(&model, &light.plane_w_m2, &year.air_c, &wind).map_err(|e| e.to_string())?;
    Ok((light, cell_c))
}

fn at_height(model: &CellTemperatureModel, wind_10_m: &[f64]) -> Vec<f64> {
    match model.wind_height_m() {
        Some(height) => {
            wind_10_m.iter().map(|wind| array::cell_temperature::wind_at_height_m_s(*wind, height)).collect()
        }
        None => wind_10_m.to_vec(),
    }
}

/// Mean daily light of each month, kWh/m².
fn months_of(years: &[PlaneYear]) -> [f64; 12] {
    let mut sums = [0.0; 12];
    for year in years {
        for (hour, light) in year.plane_w_m2.iter().enumerate() {
            sums[sun::month_of_hour(hour)] += light;
        }
    }
    let mut means = [0.0; 12];
    for (month, mean) in means.iter_mut().enumerate() {
        *mean = sums[month] / 1000.0 / sun::MONTH_DAYS[month] as f64 / years.len().max(1) as f64;
    }
    means
}

/// A module fitted to its sheet, with what was used.
pub(crate) fn fitted(module: &Module) -> Result<(FittedModule, Vec<Term>, u64), Unanswered> {
    let mut uses = Uses::default();
    let of = |what: &str| format!("{}: {what}", module.name);
    let sheet = DataSheet {
        voc_v: uses.number(&of("open-circuit voltage"), &module.voc, &units::VOLT),
        isc_a: uses.number(&of("short-circuit current"), &module.isc, &units::AMPERE),
        vmp_v: uses.number(&of("voltage at maximum power"), &module.vmp, &units::VOLT),
        imp_a: uses.number(&of("current at maximum power"), &module.imp, &units::AMPERE),
        alpha_isc_a_per_k: uses.number(&of("current change"), &module.isc_change, &units::PER_KELVIN)
            * module.isc.si().unwrap_or(f64::NAN),
        beta_voc_v_per_k: uses.number(&of("voltage change"), &module.voc_change, &units::PER_KELVIN)
            * module.voc.si().unwrap_or(f64::NAN),
        cells_in_series: uses.number(&of("cells in series"), &module.cells_in_series, &units::COUNT) as u32,
        pmax_w: module.power.si(),
        gamma_pmax_per_k: module.power_change.si(),
    };
    // Rated power and its coefficient are held against the curve, so a change in them can turn the answer.
    if module.power.is_known() {
        uses.number(&of("rated power"), &module.power, &units::WATT);
    }
    if module.power_change.is_known() {
        uses.number(&of("power change"), &module.power_change, &units::PER_KELVIN);
    }
    let terms = uses.done()?;
    let made = fit(&sheet).map_err(|e| {
        Unanswered::refused(
            format!("the data sheet of module \"{}\" contradicts itself: {e}", module.name),
            Some(FieldPath::new(format!("module.{}", module.name))),
        )
    })?;
    let key = Key::new("module")
        .numbers(&[
            sheet.voc_v,
            sheet.isc_a,
            sheet.vmp_v,
            sheet.imp_a,
            sheet.alpha_isc_a_per_k,
            sheet.beta_voc_v_per_k,
        ])
        .count(u64::from(sheet.cells_in_series))
        .done();
    Ok((made, terms, key))
}

/// Operating points of a fitted module on a plane.
pub(crate) fn module_years(
    plane: &PlaneStudy,
    made: &FittedModule,
    key: u64,
    memo: &mut Memo,
) -> Arc<ModuleYears> {
    memo.modules.get(Key::new("points").count(plane.key).count(key).done(), || {
        plane
            .years
            .light
            .par_iter()
            .zip(&plane.years.cell_c)
            .map(|(light, cell_c)| {
                ModuleYear::new(&made.module, &light.cell_w_m2, cell_c).map_err(|e| e.to_string())
            })
            .collect()
    })
}
