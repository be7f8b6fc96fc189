//! Which way and how steep: the best plane for each purpose, and what the owner's plane gives up.

mod walk;

use crate::around;
use crate::demand::DemandStudy;
use crate::light::{PlaneStudy, fitted};
use crate::memo::{Key, Memo};
use crate::models::glass_numbers;
use crate::sky::SkyStudy;
use crate::uses::Unanswered;
use array::cell_temperature::CellTemperatureModel;
use array::finder::{Aim, Finder, PlaneEnergy, PlaneMap, Retilt, given_up, rules_of_thumb};
use array::plane::Plane;
use design::system::System;
use quantity::{Angle, Choice, Clause, Measure, Origin, Ratio, Standing, Term, Traced, TrueBearing, units};
use std::sync::Arc;
use walk::{Modules, walk};

/// Weather years the finder walks, from dull to bright: more of them move the best plane by less than a degree.
const YEARS: usize = 5;
/// Days of the dullest stretch that is asked for.
pub const STRETCH_DAYS: usize = 5;
/// A month whose best plane gets less than this share of the brightest month's is dark; own judgement, no source. Beyond the
/// polar circle twilight leaves a trace of light.
const DARK: f64 = 0.01;
/// Steps of the map, degrees of tilt and of bearing.
const STEPS_DEG: (f64, f64) = (5.0, 10.0);

const FINDER: Clause = Clause {
    document: "search of this project",
    edition: "",
    clause: "every plane of a grid, then ever smaller steps down to 0.25°; what modules give under heat, dirt and snow",
    standing: Standing::Computed,
};

/// Every plane of a place: what a map shows.
#[derive(Debug)]
pub struct PlanesOfPlace {
    finder: Finder,
    /// The grid.
    pub map: PlaneMap,
    bests: Vec<(Purpose, PlaneEnergy)>,
    months: Vec<PlaneEnergy>,
    retilts: Vec<(&'static str, Retilt)>,
    /// Months in which no plane gets any light worth the name.
    dark: [bool; 12],
}

/// What a plane is wanted for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Purpose {
    /// Most energy in the year.
    Year,
    /// The month with the least is as good as can be.
    WorstMonth,
    /// The month with the least for what is used in it is as good as can be.
    Load,
    /// Most energy in the year, each month counting by what is used in it.
    LoadWeighted,
    /// The dullest days are as good as can be.
    DullestDays,
}

impl Purpose {
    /// In words.
    pub fn in_words(self) -> &'static str {
        match self {
            Purpose::Year => "most energy in the year",
            Purpose::WorstMonth => "best least month",
            Purpose::Load => "best least month for what you use",
            Purpose::LoadWeighted => "most energy when you use most",
            Purpose::DullestDays => "best dullest five days of a year",
        }
    }

    /// Short, for names of figures.
    pub fn key(self) -> &'static str {
        match self {
            Purpose::Year => "year",
            Purpose::WorstMonth => "least-month",
            Purpose::Load => "load",
            Purpose::LoadWeighted => "load-weighted",
            Purpose::DullestDays => "dullest-days",
        }
    }
}

/// The best plane for one purpose.
#[derive(Clone, Debug)]
pub struct BestPlane {
    /// What for.
    pub purpose: Purpose,
    /// Its tilt.
    pub tilt: Traced<Angle>,
    /// Where it faces.
    pub bearing: Traced<TrueBearing>,
    /// Its year, kWh from each kW of modules.
    pub year_kwh_per_kw: f64,
    /// What the owner's plane gives up of it, for that purpose.
    pub given_up: Traced<Ratio>,
    /// Months without sun, 0 to 11, that were left out of the comparison.
    pub left_out: Vec<usize>,
}

/// A purpose for which no plane is better than another.
#[derive(Clone, Debug, PartialEq)]
pub struct NoBest {
    /// What for.
    pub purpose: Purpose,
    /// Why.
    pub because: String,
}

/// What setting a rack anew by season gains.
#[derive(Clone, Debug)]
pub struct Seasonal {
    /// "two settings a year".
    pub says: &'static str,
    /// Months, 0 to 11, on whose first day each tilt is set.
    pub starts: Vec<usize>,
    /// Tilts of the seasons, degrees.
    pub tilts_deg: Vec<f64>,
    /// Gain over the best single tilt.
    pub gain: Traced<Ratio>,
}

/// A plane that a rule of thumb names.
#[derive(Clone, Debug, PartialEq)]
pub struct Thumb {
    /// The rule.
    pub says: &'static str,
    /// Its tilt, degrees.
    pub tilt_deg: f64,
    /// Where it faces, degrees.
    pub azimuth_deg: f64,
    /// What it gives up of the best year and of the best least month.
    pub gives_up: [f64; 2],
}

/// The finder's answer for one plane of a design.
#[derive(Clone, Debug)]
pub struct FinderStudy {
    /// The plane.
    pub plane: Arc<str>,
    /// Its tilt and bearing, degrees.
    pub own_deg: (f64, f64),
    /// Its year, kWh from each kW of modules.
    pub own_kwh_per_kw: f64,
    /// Every plane.
    pub place: Arc<Result<PlanesOfPlace, String>>,
    /// Best planes by purpose.
    pub best: Vec<BestPlane>,
    /// Purposes without a best plane, each with its reason.
    pub without: Vec<NoBest>,
    /// Setting it by season, at its own bearing.
    pub seasonal: Vec<Seasonal>,
    /// Rules of thumb beside it.
    pub thumbs: Vec<Thumb>,
    /// Weather years that were walked.
    pub years: usize,
}

impl FinderStudy {
    /// The best plane of each month, and what the owner's plane gets on that month's mean day, Wh from each kW of modules.
    pub fn months(&self) -> Option<Vec<(PlaneEnergy, f64)>> {
        let found = self.place.as_ref().as_ref().ok()?;
        let own = Plane::new(self.own_deg.0, self.own_deg.1).ok().map(|plane| found.finder.energy(&plane))?;
        Some(found.months.iter().cloned().zip(own.month_day_wh_m2).collect())
    }

    /// Every plane of the grid.
    pub fn map(&self) -> Option<&PlaneMap> {
        self.place.as_ref().as_ref().ok().map(|found| &found.map)
    }
}

/// Walks every plane of a place once; what depends on loads is found on top of it.
pub(crate) fn finder(
    system: &System,
    plane: &PlaneStudy,
    sky: &SkyStudy,
    demand: &DemandStudy,
    memo: &mut Memo,
) -> Result<FinderStudy, Unanswered> {
    let refused = |because: String| Unanswered::refused(because, None);
    let Some(around) = plane.around.as_ref() else {
        return Err(refused("the plane is not known".into()));
    };
    let own = around.stand.plane;
    // Rows would stand otherwise at another tilt: only what stands there anyway counts for every plane.
    let seen = Some(around).filter(|a| !a.horizon.is_empty() || !a.named.is_empty()).and_then(|a| {
        let months: Vec<u8> = (0..sun::HOURS).map(|hour| sun::month_of_hour(hour) as u8 + 1).collect();
        let shade = a.surroundings.shade(&a.stand, None, &sky.sun.zenith_deg, &sky.sun.azimuth_deg, &months);
        shade.ok().map(|shade| shade.beam_share())
    });
    let module =
        around::module_on(system, &plane.name).ok_or_else(|| refused("no module lies on it".into()))?;
    let (made, module_terms, module_key) = fitted(module)?;
    let cells = CellTemperatureModel::for_mounting(plane.mounting);
    let sections = module.bypass_diodes.value().map_or(3, |count| count.0.max(1));
    let key = Key::new("finder")
        .count(plane.skies_key)
        .count(module_key)
        .count(u64::from(sections))
        .text(&format!("{:?} {:?}", plane.mounting, plane.lie))
        .number(around.cleared_after.map_or(-1.0, f64::from))
        .numbers(&around.soiling)
        .number(own.azimuth_deg())
        .numbers(&glass_numbers(&plane.glass))
        .numbers(seen.as_deref().unwrap_or(&[]))
        .done();
    let skies = plane.skies.clone();
    let place = memo.finder.get(key, || {
        let modules = Modules { made: &made.module, cells, around, sections, azimuth_deg: own.azimuth_deg() };
        walk(skies.as_ref(), sky, &plane.glass, seen.as_deref(), &modules)
    });
    let found = place.as_ref().as_ref().map_err(|e| refused(e.clone()))?;
    let mine = found.finder.energy(&own);
    let choice = |because: String, more: &[Term]| {
        let mut terms = plane.terms.clone();
        terms.extend_from_slice(&module_terms);
        terms.extend_from_slice(more);
        Origin::Found(Arc::new(Choice {
            because: because.into(),
            runner_up: "".into(),
            clause: FINDER,
            terms,
        }))
    };
    let mut bests = found.bests.clone();
    let mut without = Vec::new();
    let load: Option<[f64; 12]> = demand.profile.as_ref().ok().map(|profile| {
        let wanted = profile.month_wh();
        std::array::from_fn(|month| wanted[month] / sun::MONTH_DAYS[month] as f64)
    });
    for purpose in [Purpose::Load, Purpose::LoadWeighted] {
        let because = match &load {
            None => "what the house uses is not known yet".to_string(),
            Some(load) => match found.finder.best(&found.map, &found.aim(purpose, Some(*load))) {
                Ok(best) => {
                    bests.push((purpose, best));
                    continue;
                }
                Err(why) => why.to_string(),
            },
        };
        without.push(NoBest { purpose, because });
    }
    let mut best = Vec::new();
    for (purpose, plane) in bests {
        let aim = found.aim(purpose, load);
        if plane.score(&aim) <= 0.0 {
            let because = match purpose {
                Purpose::DullestDays => format!(
                    "the sun stays down for {STRETCH_DAYS} days and more, and no plane gets any light then"
                ),
                Purpose::Load | Purpose::LoadWeighted => "nothing is used while there is sun".to_string(),
                Purpose::Year | Purpose::WorstMonth => "no plane gets any light".to_string(),
            };
            without.push(NoBest { purpose, because });
            continue;
        }
        let because = format!(
            "{}, over {} weather years of every tilt and bearing, by what modules give",
            purpose.in_words(),
            sky.weather.years.len().min(YEARS)
        );
        let uses_load = matches!(purpose, Purpose::Load | Purpose::LoadWeighted);
        let origin = choice(because, if uses_load { &demand.terms } else { &[] });
        let by_month = matches!(purpose, Purpose::WorstMonth | Purpose::Load);
        let left_out = (0..12).filter(|month| by_month && found.dark[*month]).collect();
        best.push(BestPlane {
            purpose,
            tilt: Traced {
                value: Angle::from_si(units::DEGREE_UNIT.to_si(plane.tilt_deg)),
                origin: origin.clone(),
            },
            bearing: Traced { value: TrueBearing::from_degrees(plane.azimuth_deg), origin: origin.clone() },
            year_kwh_per_kw: plane.year_wh_m2 / 1000.0,
            given_up: Traced { value: Ratio::from_si(given_up(&mine, &plane, &aim)), origin },
            left_out,
        });
    }
    let seasonal = found
        .retilts
        .iter()
        .map(|(says, set)| Seasonal {
            says,
            starts: set.starts.clone(),
            tilts_deg: set.tilts_deg.clone(),
            gain: Traced {
                value: Ratio::from_si(match set.fixed_wh_m2 > 0.0 {
                    true => (set.retilted_wh_m2 / set.fixed_wh_m2 - 1.0).max(0.0),
                    false => 0.0,
                }),
                origin: choice(format!("{says}, each at its best tilt, against the best single tilt"), &[]),
            },
        })
        .collect();
    let best_of = |purpose| found.bests.iter().find(|(p, _)| *p == purpose).map(|(_, best)| best);
    let thumbs = rules_of_thumb(sky.sun.observer.latitude_deg)
        .map(|rules| {
            rules
                .iter()
                .map(|(says, plane)| {
                    let energy = found.finder.energy(plane);
                    let gives_up = [Purpose::Year, Purpose::WorstMonth].map(|purpose| {
                        best_of(purpose)
                            .map_or(0.0, |best| given_up(&energy, best, &found.aim(purpose, None)))
                    });
                    Thumb { says, tilt_deg: plane.tilt_deg(), azimuth_deg: plane.azimuth_deg(), gives_up }
                })
                .collect()
        })
        .unwrap_or_default();
    Ok(FinderStudy {
        plane: plane.name.clone(),
        own_deg: (own.tilt_deg(), own.azimuth_deg()),
        own_kwh_per_kw: mine.year_wh_m2 / 1000.0,
        best,
        without,
        seasonal,
        thumbs,
        years: sky.weather.years.len().min(YEARS),
        place,
    })
}

impl PlanesOfPlace {
    /// What a purpose compares; a month without sun is met by no plane and is left out where the least month counts.
    fn aim(&self, purpose: Purpose, load_wh_a_day: Option<[f64; 12]>) -> Aim {
        let lit = |wanted: [f64; 12]| {
            std::array::from_fn(|month| if self.dark[month] { 0.0 } else { wanted[month] })
        };
        match (purpose, load_wh_a_day) {
            (Purpose::Year, _) => Aim::Year,
            (Purpose::DullestDays, _) => Aim::WorstStretch(STRETCH_DAYS),
            (Purpose::Load, Some(wanted)) => Aim::WorstMonthForLoad(lit(wanted)),
            (Purpose::LoadWeighted, Some(wanted)) => Aim::LoadWeighted(wanted),
            (Purpose::LoadWeighted, None) => Aim::Year,
            (Purpose::Load, None) | (Purpose::WorstMonth, _) => Aim::WorstMonthForLoad(lit([1.0; 12])),
        }
    }

    /// A year on any plane, kWh from each kW of modules; `None` for angles that are none.
    pub fn year_kwh_per_kw(&self, tilt_deg: f64, azimuth_deg: f64) -> Option<f64> {
        Plane::new(tilt_deg, azimuth_deg).ok().map(|plane| self.finder.energy(&plane).year_wh_m2 / 1000.0)
    }
}
