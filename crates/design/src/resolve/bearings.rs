//! From the compass to true north: by the declination stated, or by the model of the Earth's field.

use super::take::Take;
use crate::compass::{CompassReading, ModelDeclination};
use crate::read::{Entry, Given, Item};
use crate::system::Place;
use quantity::{
    Clause, CompassBearing, Fact, FieldPath, Gap, Missing, Number, Origin, Standing, Term, Traced,
    TrueBearing, WhoKnows, bearing_in_words, units,
};
use sun::{Declination, MagneticZone};

/// The published model of the field.
pub(super) const MODEL: Clause = Clause {
    document: "World Magnetic Model 2025, technical report",
    edition: "2024",
    clause: "spherical-harmonic synthesis, degree 12; error model",
    standing: Standing::Remembered,
};

const TURN: Clause = Clause {
    document: "definition",
    edition: "",
    clause: "true = compass + declination",
    standing: Standing::Computed,
};

/// A true bearing as stated, or a compass bearing with its declination: the stated one, else that of the model for the
/// place and the day of the reading. Where the model does not hold it stays unknown and becomes a question.
pub(super) fn bearing(take: &Take<'_>, key: &str, place: &Place) -> Fact<TrueBearing> {
    let path = take.path(key);
    match take.given(key) {
        Some((Given::Bearing(bearing), origin)) => Fact::Known(Traced { value: *bearing, origin }),
        Some((Given::Compass { bearing, declination_deg: Some(declination), .. }, origin)) => {
            Fact::Known(Traced { value: bearing.to_true(*declination), origin })
        }
        Some((Given::Compass { bearing, taken, declination_deg: None }, origin)) => {
            match taken.and_then(|day| Some((day, declination_of(place, Some(day))?))) {
                Some((day, found)) => Fact::Known(by_model(*bearing, day, &found, place, origin)),
                None => {
                    let field = FieldPath::new(format!("{path}.declination"));
                    Fact::Unknown(Gap { missing: vec![Missing { field, ask: WhoKnows::Measurement }] })
                }
            }
        }
        _ => Fact::unknown(path.0, WhoKnows::Measurement),
    }
}

/// The model's declination at a place on a day; `None` where place or day is not known, where the model does not hold,
/// and where no compass is to be believed.
pub(crate) fn declination_of(place: &Place, taken: Option<(i16, i8, i8)>) -> Option<Declination> {
    model_on(place, taken?).filter(|found| found.zone != MagneticZone::Blackout)
}

fn model_on(place: &Place, (year, month, day): (i16, i8, i8)) -> Option<Declination> {
    let degrees = |fact: &Fact<quantity::Angle>| fact.si().map(|si| units::DEGREE_UNIT.of_si(si));
    let when = sun::decimal_year(i32::from(year), u32::try_from(month).ok()?, u32::try_from(day).ok()?);
    sun::magnetic_declination(
        degrees(&place.latitude)?,
        degrees(&place.longitude)?,
        place.elevation.si()?,
        when,
    )
    .ok()
}

/// Two standard deviations of the model's declination where a bearing rests on it, degrees; nothing where it does not.
pub(super) fn left_open_deg(given: &Given, place: &Place) -> f64 {
    match given {
        Given::Compass { declination_deg: None, taken, .. } => {
            declination_of(place, *taken).map_or(0.0, |found| 2.0 * found.uncertainty_deg)
        }
        _ => 0.0,
    }
}

/// Every compass reading of a design, with what the model says of its place.
pub(super) fn readings(items: &[Item], place: &Place) -> Vec<CompassReading> {
    fn walk(path: &str, entries: &[Entry], place: &Place, found: &mut Vec<CompassReading>) {
        for entry in entries {
            let at = format!("{path}.{}", entry.field.key);
            match &entry.value {
                Given::Compass { taken, declination_deg, .. } => found.push(CompassReading {
                    declination: declination_deg.map(|degrees| Traced {
                        value: Number(degrees),
                        origin: Origin::Stated(FieldPath::new(format!("{at}.declination"))),
                    }),
                    model: model_of(place, *taken),
                    field: FieldPath::new(at),
                }),
                Given::Record(inner) => walk(&at, inner, place, found),
                Given::Records(list) => {
                    for (index, (inner, _)) in list.iter().enumerate() {
                        walk(&format!("{at}.{}", index + 1), inner, place, found);
                    }
                }
                _ => {}
            }
        }
    }
    let mut found = Vec::new();
    for item in items {
        walk(&item.path, &item.entries, place, &mut found);
    }
    found
}

/// What the model gives for a place on a day, or over all its years where no day was named.
fn model_of(place: &Place, taken: Option<(i16, i8, i8)>) -> Option<ModelDeclination> {
    let days = match taken {
        Some(day) => vec![day],
        // The ends of the model; in between the needle moves steadily.
        None => vec![(2025, 1, 1), (2029, 12, 31)],
    };
    let found: Option<Vec<Declination>> = days.into_iter().map(|day| model_on(place, day)).collect();
    let found = found?;
    let of = |pick: fn(f64, f64) -> f64| found.iter().map(|d| d.declination_deg).reduce(pick);
    let worst = found.iter().map(|d| d.uncertainty_deg).fold(0.0, f64::max);
    let weakest = found.iter().min_by(|a, b| a.horizontal_nt.total_cmp(&b.horizontal_nt))?;
    Some(ModelDeclination {
        least_deg: of(f64::min)?,
        most_deg: of(f64::max)?,
        uncertainty_deg: worst,
        horizontal_nt: weakest.horizontal_nt,
        zone: weakest.zone,
    })
}

fn by_model(
    compass: CompassBearing,
    (year, month, day): (i16, i8, i8),
    found: &Declination,
    place: &Place,
    stated: Origin,
) -> Traced<TrueBearing> {
    let mut terms =
        vec![Term::words("day of the reading", format!("{year:04}-{month:02}-{day:02}"), stated.clone())];
    for (says, fact) in [("latitude", &place.latitude), ("longitude", &place.longitude)] {
        if let Fact::Known(angle) = fact {
            terms.push(angle.term(says, &units::DEGREE_UNIT));
        }
    }
    if let Fact::Known(elevation) = &place.elevation {
        terms.push(elevation.term("elevation", &units::METER));
    }
    let caution = match found.zone {
        MagneticZone::Usual => "",
        MagneticZone::Caution | MagneticZone::Blackout => {
            "; the field is weak here (caution zone of the model): check by the sun or a map"
        }
    };
    let value = found.declination_deg;
    let says = format!(
        "declination of the model, {:.1}° {}, ± {:.1}° (one standard deviation, iron near by not counted){caution}",
        value.abs(),
        if value < 0.0 { "west" } else { "east" },
        found.uncertainty_deg,
    );
    let declination = Traced::series(Number(value), says, MODEL, terms);
    let read = Traced { value: compass, origin: stated };
    let value = compass.to_true(value);
    Traced::series(
        value,
        format!("compass reading and declination together: {}", bearing_in_words(value)),
        TURN,
        vec![
            read.term("compass reading", &units::COMPASS_DEGREE),
            declination.term("declination, degrees, east positive", &units::NUMBER),
        ],
    )
}
