//! Light on each plane and the operating points of its modules, in every weather year.

use crate::around::{Around, LEFT_BY_STRUCTURE, Lie, around, monthly};
use crate::house::assumption;
use crate::memo::{Key, Memo};
use crate::models::{clause_of, glass_in_words, glass_numbers, model_in_words};
use crate::sky::SkyStudy;
use crate::taken::Taken;
use crate::uses::{Unanswered, Uses};
use array::cell_temperature::{CellTemperatureModel, Mounting};
use array::data_sheet_fit::{DataSheet, FittedModule, fit};
use array::facts::{Module, Mount, Plane};
use array::incidence::IncidenceModel;
use array::module_year::ModuleYear;
use array::near_shade::{NearShade, shaded_plane_year};
use array::plane_year::{PlaneYear, cell_temperature_year, plane_year, take_soiling};
use array::rear::{RearView, add_rear};
use array::transposition::{SkyModel, SkySeries, SkyYear};
use design::system::System;
use quantity::{Clause, FieldPath, Standing, Term, Traced, units};
use rayon::prelude::*;
use std::sync::Arc;

/// Every year reduced to its lit hours.
pub type Skies = Result<Vec<SkyYear>, String>;

/// One plane in every year: light, cell temperature, shade, snow.
#[derive(Clone, Debug, Default)]
pub struct PlaneYears {
    /// Light per year, after dirt.
    pub light: Vec<PlaneYear>,
    /// Cell temperature per year, °C.
    pub cell_c: Vec<Vec<f64>>,
    /// Near shade, the same in every year; `None` where nothing shades.
    pub near: Option<NearShade>,
    /// Light on cells inside the near shade per year; empty where nothing shades.
    pub shaded_cell_w_m2: Vec<Vec<f64>>,
    /// Share of the slant under snow per year, empty where no year brings any.
    pub covered: Vec<Vec<f64>>,
    /// Light on the backs per year, empty where no back works.
    pub rear_w_m2: Vec<Vec<f64>>,
    /// What each obstacle takes by itself.
    pub taken: Vec<Taken>,
    /// Mean daily light of each month without horizon, obstacles and rows, kWh/m².
    pub open_kwh_m2_day: [f64; 12],
}

/// Operating points of one module on one plane in every year.
pub type ModuleYears = Result<Vec<OnPlane>, String>;

/// One year of a module on a plane.
#[derive(Clone, Debug)]
pub struct OnPlane {
    /// Its operating points outside the near shade.
    pub points: ModuleYear,
    /// What its back adds to the light on its cells, W/m², where it works.
    pub behind_w_m2: Option<Vec<f64>>,
}

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
    /// Share of the light that horizon, obstacles and rows take, by area; `None` where nothing stands around.
    pub shade: Option<Traced<quantity::Ratio>>,
    /// Mean days a year on which snow covers some of it at noon; `None` where none falls.
    pub snow_days: Option<Traced<quantity::Number>>,
    /// Mean share that a working back adds to the light of the front, of a back as good as the front.
    pub rear: Option<Traced<quantity::Ratio>>,
    /// What stands around it.
    pub around: Option<Around>,
    /// How its modules lie.
    pub lie: Lie,
    /// How they are held, for the warmth of their cells.
    pub mounting: Mounting,
    /// How the glass passes slanting light.
    pub glass: IncidenceModel,
    /// What it rests on.
    pub terms: Vec<Term>,
    pub(crate) key: u64,
    /// The skies it was made from.
    pub(crate) skies: Arc<Skies>,
    pub(crate) skies_key: u64,
}

const SHADE: Clause = Clause {
    document: "geometry of this project",
    edition: "",
    clause: "horizon by direction, obstacles by the outline of their shadow on the plane, rows by the shaded share of the slant, four sun positions an hour; edges as of a point sun",
    standing: Standing::Computed,
};

const SNOW: Clause = Clause {
    document: "Marion et al., Solar Energy 97",
    edition: "2013",
    clause: "snow slides by tilt, air and light; melt by degree-days",
    standing: Standing::Remembered,
};

const REAR: Clause = Clause {
    document: "Marion et al., IEEE Photovoltaic Specialists Conference 44",
    edition: "2017",
    clause: "view factors of the back of a rack",
    standing: Standing::Remembered,
};

/// Light that lying snow throws back, the lower end of 0.6 to 0.8 (Duffie and Beckman; from memory).
const SNOW_REFLECTANCE: f64 = 0.6;

pub(crate) fn planes(
    system: &System,
    sky: &Result<Arc<SkyStudy>, Unanswered>,
    memo: &mut Memo,
) -> Vec<Result<PlaneStudy, Unanswered>> {
    let carries_strings = |plane: &Plane| system.strings.iter().any(|s| s.string.plane == plane.name);
    system.planes.iter().filter(|p| carries_strings(p)).map(|p| plane_of(system, p, sky, memo)).collect()
}

fn plane_of(
    system: &System,
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
    let by_month = system.site(&plane.name).and_then(|site| site.reflectance_by_month.as_ref());
    let reflectance = match by_month {
        Some(months) => monthly(&of("ground reflectance"), months, &mut uses),
        None => [uses.number(&of("ground reflectance"), &plane.ground_reflectance, &units::RATIO); 12],
    };
    let mount = uses.words(&of("mount"), &plane.mount, |mount| {
        match mount {
            Mount::GroundRack => "open rack on the ground",
            Mount::Roof => "roof",
            Mount::Pole => "pole",
        }
        .to_string()
    });
    let model = uses
        .words(&of("light of the sky"), &system.place.weather.sky_model, |m| model_in_words(*m).to_string())
        .unwrap_or_default();
    let glass = system.site(&plane.name).map(|site| &site.glass);
    let glass = glass.and_then(|glass| uses.words(&of("glass"), glass, glass_in_words));
    let refused = |because: String| Unanswered::refused(because, field("tilt"));
    let geometry = match tilt.is_finite() && bearing.is_finite() {
        true => array::plane::Plane::new(tilt, bearing).map_err(|e| refused(e.to_string()))?,
        false => return Err(uses.done().err().unwrap_or(Unanswered::NotAsked)),
    };
    let around = around(system, plane, geometry, &mut uses)?;
    let snowy = sky.weather.falls.iter().any(|falls| !falls.is_empty());
    if snowy {
        let words = "60 % where snow lies";
        let because = "old and fresh snow throw back 60 to 80 % (Duffie and Beckman)";
        let field = format!("plane.{}.reflectance", plane.name);
        uses.note(&of("ground under snow"), words, assumption(&field, because, "steep planes in snow"));
    }
    let terms = uses.done()?;
    let (Some(around), Some(glass)) = (around, glass) else {
        return Err(refused("what stands around it is not understood".into()));
    };
    let mounting = match mount {
        Some(Mount::Roof) => Mounting::CloseToRoof,
        _ => Mounting::OpenRack,
    };
    let skies_key = Key::new("skies").count(sky.key).numbers(&reflectance).text(&format!("{model:?}")).done();
    let skies = memo.skies.get(skies_key, || reduce(sky, &reflectance, model));
    let all_skies = skies.clone();
    let skies = skies.as_ref().as_ref().map_err(|e| refused(e.clone()))?;
    let key = Key::new("plane")
        .count(skies_key)
        .numbers(&[tilt, bearing])
        .numbers(&around.numbers)
        .numbers(&glass_numbers(&glass))
        .text(&format!("{mounting:?}"))
        .done();
    let years = {
        let made = memo.light.get(key, || plane_years(skies, sky, &geometry, &around, &glass, mounting));
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
        clause_of(model),
        terms.clone(),
    );
    let shade = around.shades.then(|| {
        let days = |months: &[f64; 12]| -> f64 {
            months.iter().zip(sun::MONTH_DAYS).map(|(mean, days)| mean * days as f64).sum()
        };
        let open = days(&years.open_kwh_m2_day);
        let taken = if open > 0.0 { (1.0 - days(&months) / open).clamp(0.0, 1.0) } else { 0.0 };
        let says = "light that horizon, obstacles and rows take from the plane, by area";
        Traced::series(<quantity::Ratio as quantity::Measure>::from_si(taken), says, SHADE, terms.clone())
    });
    let snow_days = (!years.covered.is_empty()).then(|| {
        let noons = |year: &Vec<f64>| {
            (0..365).filter(|day| year.get(24 * day + 12).is_some_and(|share| *share > 0.0)).count()
        };
        let days: usize = years.covered.iter().map(noons).sum();
        let says = "mean days a year on which snow covers some of the plane at noon";
        let mean = days as f64 / years.covered.len() as f64;
        Traced::series(quantity::Number(mean), says, SNOW, terms.clone())
    });
    let rear = (!years.rear_w_m2.is_empty()).then(|| {
        let sum = |year: &[f64]| -> f64 { year.iter().sum() };
        let behind: f64 = years.rear_w_m2.iter().map(|year| sum(year)).sum();
        let front: f64 = years.light.iter().map(|year| sum(&year.plane_w_m2)).sum();
        let share = if front > 0.0 { behind / front } else { 0.0 };
        let says = "light on the backs over light on the fronts, mean of all years";
        Traced::series(<quantity::Ratio as quantity::Measure>::from_si(share), says, REAR, terms.clone())
    });
    Ok(PlaneStudy {
        name: plane.name.clone(),
        shade,
        snow_days,
        rear,
        lie: around.lie,
        mounting,
        around: Some(around),
        years,
        glass,
        months_kwh_m2_day: months,
        daily,
        least_month,
        terms,
        key,
        skies: all_skies,
        skies_key,
    })
}

fn reduce(sky: &SkyStudy, reflectance: &[f64; 12], model: SkyModel) -> Skies {
    sky.weather
        .years
        .par_iter()
        .zip(&sky.weather.falls)
        .map(|(year, falls)| {
            let mut albedo: Vec<f64> =
                (0..sun::HOURS).map(|hour| reflectance[sun::month_of_hour(hour)]).collect();
            if !falls.is_empty() {
                let lies = weather::snow_on_ground(falls, &year.air_c).map_err(|e| e.to_string())?;
                for (share, white) in albedo.iter_mut().zip(lies) {
                    if white {
                        *share = share.max(SNOW_REFLECTANCE);
                    }
                }
            }
            SkyYear::new(
                model,
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

/// Light of one year on a plane.
struct OneYear {
    light: PlaneYear,
    cell_c: Vec<f64>,
    shaded: Option<Vec<f64>>,
    covered: Vec<f64>,
    rear: Option<Vec<f64>>,
    open: [f64; 12],
}

/// Every year of a plane; without any light where the weather cannot be put on it.
fn plane_years(
    skies: &[SkyYear],
    sky: &SkyStudy,
    plane: &array::plane::Plane,
    around: &Around,
    glass: &IncidenceModel,
    mounting: Mounting,
) -> PlaneYears {
    let months: Vec<u8> = (0..sun::HOURS).map(|hour| sun::month_of_hour(hour) as u8 + 1).collect();
    let near = around.shades.then(|| {
        around.surroundings.shade(
            &around.stand,
            around.rows.as_ref(),
            &sky.sun.zenith_deg,
            &sky.sun.azimuth_deg,
            &months,
        )
    });
    let back = around.rack.as_ref().map(RearView::new);
    let (near, back) = match (near.transpose(), back.transpose()) {
        (Ok(near), Ok(back)) => (near, back),
        _ => return PlaneYears::default(),
    };
    let all: Result<Vec<OneYear>, String> = skies
        .par_iter()
        .zip(&sky.weather.years)
        .zip(&sky.weather.falls)
        .map(|((reduced, year), falls)| {
            light_of(
                reduced,
                year,
                falls,
                plane,
                around,
                glass,
                near.as_ref(),
                back.as_ref(),
                mounting,
                &months,
            )
        })
        .collect();
    let taken = crate::taken::taken(skies, sky, around, glass, &months);
    let mut made = PlaneYears { near, taken, ..PlaneYears::default() };
    let all = all.unwrap_or_default();
    let snowy = all.iter().any(|year| year.covered.iter().any(|share| *share > 0.0));
    let count = all.len().max(1) as f64;
    for year in all {
        made.light.push(year.light);
        made.cell_c.push(year.cell_c);
        made.shaded_cell_w_m2.extend(year.shaded);
        made.rear_w_m2.extend(year.rear);
        if snowy {
            made.covered.push(year.covered);
        }
        for (sum, month) in made.open_kwh_m2_day.iter_mut().zip(year.open) {
            *sum += month / count;
        }
    }
    made
}

#[allow(clippy::too_many_arguments)]
fn light_of(
    reduced: &SkyYear,
    year: &weather::Year,
    falls: &[weather::SnowFall],
    plane: &array::plane::Plane,
    around: &Around,
    glass: &IncidenceModel,
    near: Option<&NearShade>,
    back: Option<&RearView>,
    mounting: Mounting,
    months: &[u8],
) -> Result<OneYear, String> {
    let say = |e: array::series::SeriesError| e.to_string();
    let mut light = plane_year(reduced, plane, glass, None).map_err(say)?;
    let open = months_of(std::slice::from_ref(&light));
    let mut shaded = None;
    if let Some(near) = near {
        let lit = shaded_plane_year(reduced, plane, glass, near).map_err(say)?;
        light = PlaneYear { plane_w_m2: lit.plane_w_m2, cell_w_m2: lit.cell_w_m2 };
        let mut inside = lit.shaded_cell_w_m2;
        take_soiling(&mut inside, months, &around.soiling).map_err(say)?;
        shaded = Some(inside);
    }
    take_soiling(&mut light.cell_w_m2, months, &around.soiling).map_err(say)?;
    let covered = match falls.is_empty() {
        true => Vec::new(),
        false => {
            weather::snow_cover(falls, plane.tilt_deg(), &year.air_c, &light.plane_w_m2, around.cleared_after)
                .map_err(|e| e.to_string())?
        }
    };
    let model = CellTemperatureModel::for_mounting(mounting);
    let wind = at_height(&model, &year.wind_m_s);
    let cell_c = cell_temperature_year(&model, &light.plane_w_m2, &year.air_c, &wind).map_err(say)?;
    let rear = back.map(|back| back.rear_w_m2(reduced));
    Ok(OneYear { light, cell_c, shaded, covered, rear, open })
}

pub(crate) fn at_height(model: &CellTemperatureModel, wind_10_m: &[f64]) -> Vec<f64> {
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

/// Operating points of a fitted module on a plane; `bifaciality` is 0 for a module whose back is closed.
pub(crate) fn module_years(
    plane: &PlaneStudy,
    made: &FittedModule,
    key: u64,
    bifaciality: f64,
    memo: &mut Memo,
) -> Arc<ModuleYears> {
    memo.modules.get(Key::new("points").count(plane.key).count(key).number(bifaciality).done(), || {
        let years = &plane.years;
        (0..years.light.len())
            .into_par_iter()
            .map(|index| {
                let mut cell_w_m2 = years.light[index].cell_w_m2.clone();
                let behind_w_m2 = match years.rear_w_m2.get(index).filter(|_| bifaciality > 0.0) {
                    Some(rear) => {
                        let mut behind = vec![0.0; rear.len()];
                        add_rear(&mut behind, rear, bifaciality, LEFT_BY_STRUCTURE)
                            .map_err(|e| e.to_string())?;
                        cell_w_m2.iter_mut().zip(&behind).for_each(|(front, back)| *front += back);
                        Some(behind)
                    }
                    None => None,
                };
                let points = ModuleYear::new(&made.module, &cell_w_m2, &years.cell_c[index])
                    .map_err(|e| e.to_string())?;
                Ok(OnPlane { points, behind_w_m2 })
            })
            .collect()
    })
}
