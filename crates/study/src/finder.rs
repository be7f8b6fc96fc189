//! Which way and how steep: the best plane for each purpose, and what the owner's plane gives up.

use crate::demand::DemandStudy;
use crate::light::PlaneStudy;
use crate::memo::{Key, Memo};
use crate::sky::SkyStudy;
use crate::uses::Unanswered;
use array::finder::{
    Aim, FOUR_SEASONS, Finder, PlaneEnergy, PlaneMap, TWO_SEASONS, given_up, rules_of_thumb,
};
use array::incidence::IncidenceModel;
use array::plane::Plane;
use quantity::{Angle, Choice, Clause, Measure, Origin, Ratio, Standing, Term, Traced, TrueBearing, units};
use std::sync::Arc;

/// Weather years the finder walks: more of them move the best plane by less than a degree.
const YEARS: usize = 5;
/// Days of the dullest stretch that is asked for.
pub const STRETCH_DAYS: usize = 5;
/// Steps of the map, degrees of tilt and of bearing.
const STEPS_DEG: (f64, f64) = (5.0, 10.0);

const FINDER: Clause = Clause {
    document: "search of this project",
    edition: "",
    clause: "every plane of a grid, then ever smaller steps down to 0.25°; light behind the glass",
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
    retilts: Vec<(&'static str, Vec<f64>, f64)>,
}

/// What a plane is wanted for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Purpose {
    /// Most light in the year.
    Year,
    /// The month with the least is as good as can be.
    WorstMonth,
    /// The month with the least for what is used in it is as good as can be.
    Load,
    /// The dullest days are as good as can be.
    DullestDays,
}

impl Purpose {
    /// In words.
    pub fn in_words(self) -> &'static str {
        match self {
            Purpose::Year => "most light in the year",
            Purpose::WorstMonth => "best least month",
            Purpose::Load => "best least month for what you use",
            Purpose::DullestDays => "best dullest five days",
        }
    }

    /// Short, for names of figures.
    pub fn key(self) -> &'static str {
        match self {
            Purpose::Year => "year",
            Purpose::WorstMonth => "least-month",
            Purpose::Load => "load",
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
    /// Light of its year, kWh/m² behind the glass.
    pub year_kwh_m2: f64,
    /// What the owner's plane gives up of it, for that purpose.
    pub given_up: Traced<Ratio>,
}

/// What setting a rack anew by season gains.
#[derive(Clone, Debug)]
pub struct Seasonal {
    /// "two settings a year".
    pub says: &'static str,
    /// Tilts of the seasons, degrees.
    pub tilts_deg: Vec<f64>,
    /// Gain over the best single tilt.
    pub gain: Traced<Ratio>,
}

/// A plane that a rule of thumb names.
#[derive(Clone, Debug)]
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
    /// Its year, kWh/m² behind the glass.
    pub own_kwh_m2: f64,
    /// Every plane.
    pub place: Arc<Result<PlanesOfPlace, String>>,
    /// Best planes by purpose.
    pub best: Vec<BestPlane>,
    /// Setting it by season, at its own bearing.
    pub seasonal: Vec<Seasonal>,
    /// Rules of thumb beside it.
    pub thumbs: Vec<Thumb>,
    /// Weather years that were walked.
    pub years: usize,
}

impl FinderStudy {
    /// The best plane of each month, and what the owner's plane gets on that month's mean day, Wh/m² behind the glass.
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
    plane: &PlaneStudy,
    sky: &SkyStudy,
    demand: &DemandStudy,
    memo: &mut Memo,
) -> Result<FinderStudy, Unanswered> {
    let refused = |because: String| Unanswered::refused(because, None);
    let around = plane.around.as_ref();
    let Some(own) = around.map(|around| around.stand.plane) else {
        return Err(refused("the plane is not known".into()));
    };
    // Rows would stand otherwise at another tilt: only what stands there anyway counts for every plane.
    let seen = around.filter(|a| !a.horizon.is_empty() || !a.named.is_empty()).and_then(|a| {
        let months: Vec<u8> = (0..sun::HOURS).map(|hour| sun::month_of_hour(hour) as u8 + 1).collect();
        let shade = a.surroundings.shade(&a.stand, None, &sky.sun.zenith_deg, &sky.sun.azimuth_deg, &months);
        shade.ok().map(|shade| shade.beam_share())
    });
    let key = Key::new("finder")
        .count(plane.skies_key)
        .number(own.azimuth_deg())
        .numbers(seen.as_deref().unwrap_or(&[]))
        .done();
    let skies = plane.skies.clone();
    let place = memo.finder.get(key, || walk(skies.as_ref(), seen.as_deref(), own.azimuth_deg()));
    let found = place.as_ref().as_ref().map_err(|e| refused(e.clone()))?;
    let mine = found.finder.energy(&own);
    let choice = |because: String, more: &[Term]| {
        let mut terms = plane.terms.clone();
        terms.extend_from_slice(more);
        Origin::Found(Arc::new(Choice {
            because: because.into(),
            runner_up: "".into(),
            clause: FINDER,
            terms,
        }))
    };
    let mut bests = found.bests.clone();
    let mut load_terms: Vec<Term> = Vec::new();
    if let Ok(profile) = &demand.profile {
        let wanted = profile.month_wh();
        let a_day = std::array::from_fn(|month| wanted[month] / sun::MONTH_DAYS[month] as f64);
        let aim = Aim::WorstMonthForLoad(a_day);
        if let Ok(best) = found.finder.best(&found.map, &aim) {
            bests.push((Purpose::Load, best));
            load_terms = demand.terms.clone();
        }
    }
    let load = demand.profile.as_ref().ok().map(|profile| profile.month_wh());
    let best = bests
        .into_iter()
        // In the polar night every plane is as good as any other.
        .filter(|(purpose, best)| best.score(&aim_of(*purpose, load)) > 0.0)
        .map(|(purpose, best)| {
            let because = format!(
                "{}, over {} weather years of every tilt and bearing",
                purpose.in_words(),
                sky.weather.years.len().min(YEARS)
            );
            let more: &[Term] = if purpose == Purpose::Load { &load_terms } else { &[] };
            let origin = choice(because, more);
            let lost = given_up(&mine, &best, &aim_of(purpose, load));
            BestPlane {
                purpose,
                tilt: Traced {
                    value: Angle::from_si(units::DEGREE_UNIT.to_si(best.tilt_deg)),
                    origin: origin.clone(),
                },
                bearing: Traced {
                    value: TrueBearing::from_degrees(best.azimuth_deg),
                    origin: origin.clone(),
                },
                year_kwh_m2: best.year_wh_m2 / 1000.0,
                given_up: Traced { value: Ratio::from_si(lost), origin },
            }
        })
        .collect();
    let seasonal = found
        .retilts
        .iter()
        .map(|(says, tilts, gain)| Seasonal {
            says,
            tilts_deg: tilts.clone(),
            gain: Traced {
                value: Ratio::from_si(*gain),
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
                        best_of(purpose).map_or(0.0, |best| given_up(&energy, best, &aim_of(purpose, None)))
                    });
                    Thumb { says, tilt_deg: plane.tilt_deg(), azimuth_deg: plane.azimuth_deg(), gives_up }
                })
                .collect()
        })
        .unwrap_or_default();
    Ok(FinderStudy {
        plane: plane.name.clone(),
        own_deg: (own.tilt_deg(), own.azimuth_deg()),
        own_kwh_m2: mine.year_wh_m2 / 1000.0,
        best,
        seasonal,
        thumbs,
        years: sky.weather.years.len().min(YEARS),
        place,
    })
}

fn aim_of(purpose: Purpose, load_wh: Option<[f64; 12]>) -> Aim {
    match (purpose, load_wh) {
        (Purpose::Year, _) => Aim::Year,
        (Purpose::DullestDays, _) => Aim::WorstStretch(STRETCH_DAYS),
        (Purpose::Load, Some(wanted)) => {
            Aim::WorstMonthForLoad(std::array::from_fn(|month| wanted[month] / sun::MONTH_DAYS[month] as f64))
        }
        (Purpose::Load, None) | (Purpose::WorstMonth, _) => Aim::WorstMonth,
    }
}

fn walk(
    skies: &crate::light::Skies,
    seen: Option<&[f64]>,
    azimuth_deg: f64,
) -> Result<PlanesOfPlace, String> {
    let say = |e: array::series::SeriesError| e.to_string();
    let skies = skies.as_ref().map_err(Clone::clone)?;
    let walked = &skies[..skies.len().min(YEARS)];
    let finder = Finder::new(walked, &IncidenceModel::GLASS, Some(STRETCH_DAYS), seen).map_err(say)?;
    let map = finder.map(STEPS_DEG.0, STEPS_DEG.1).map_err(say)?;
    let mut bests = Vec::new();
    for purpose in [Purpose::Year, Purpose::WorstMonth, Purpose::DullestDays] {
        bests.push((purpose, finder.best(&map, &aim_of(purpose, None)).map_err(say)?));
    }
    let months: Result<Vec<PlaneEnergy>, _> =
        (0..12).map(|month| finder.best(&map, &Aim::Month(month)).map_err(say)).collect();
    let mut retilts = Vec::new();
    for (says, seasons) in [("two settings a year", &TWO_SEASONS), ("four settings a year", &FOUR_SEASONS)] {
        let found = finder.seasonal(azimuth_deg, seasons).map_err(say)?;
        let gain = if found.fixed_wh_m2 > 0.0 { found.retilted_wh_m2 / found.fixed_wh_m2 - 1.0 } else { 0.0 };
        retilts.push((says, found.tilts_deg, gain.max(0.0)));
    }
    Ok(PlanesOfPlace { finder, map, bests, months: months?, retilts })
}

impl PlanesOfPlace {
    /// Light of a year on any plane, kWh/m² behind the glass; `None` for angles that are none.
    pub fn year_kwh_m2(&self, tilt_deg: f64, azimuth_deg: f64) -> Option<f64> {
        Plane::new(tilt_deg, azimuth_deg).ok().map(|plane| self.finder.energy(&plane).year_wh_m2 / 1000.0)
    }
}
