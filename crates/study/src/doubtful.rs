//! What cannot be true of a weather file as it stands, with the line to look at.

use weather::{Lines, Observation, Plausibility, Quantity};

/// Hours of a year in which diffuse may exceed global before a column must be wrong; own judgement, no source. Sensors in
/// the shade of a mast do it for a few.
const FEW_HOURS: usize = 200;

/// Light in an hour without sun, W/m², above which a clock or a place must be wrong; own judgement, no source. Full twilight
/// beside sunrise brings some 10, and the sensors of real stations up to 14.
const BRIGHT_NIGHT_W_M2: f64 = 50.0;

/// Hours of a year brighter than above the air, beyond which a place or a unit must be wrong; own judgement, no source. Sensors
/// at a low sun and between bright clouds do it for two or three.
const BRIGHT_HOURS: usize = 50;

/// A year of a file and what was found in it.
pub(crate) struct Looked {
    /// Calendar year, where there are many.
    pub(crate) number: Option<i32>,
    pub(crate) found: Plausibility,
    pub(crate) lines: Lines,
}

/// What in a file cannot be true of any year there: "name, line 9: …; look whether …". What is merely odd is left out. Of
/// several years with the same doubt the first is told, and the others are named.
pub(crate) fn doubtful(name: &str, bytes: &[u8], years: &[Looked]) -> Vec<String> {
    let mut told: Vec<(std::mem::Discriminant<Observation>, String, Vec<String>)> = Vec::new();
    for year in years {
        for odd in &year.found.observations {
            let Some((line, look)) = doubt(odd, year) else { continue };
            let kind = std::mem::discriminant(odd);
            if let Some((_, _, others)) = told.iter_mut().find(|(known, ..)| *known == kind) {
                if !matches!(odd, Observation::ZoneFarFromLongitude { .. }) {
                    others.extend(year.number.map(|number| number.to_string()));
                }
                continue;
            }
            let number = match odd {
                Observation::ZoneFarFromLongitude { .. } => None,
                _ => year.number,
            };
            let called = number.map(|number| format!(", {number}")).unwrap_or_default();
            let at = line.of(bytes, &year.lines).map(|line| format!(", line {line}")).unwrap_or_default();
            // The hour shows the doubt; its cause may stand where the columns are named.
            let named = match line {
                Line::Hour(_) if !bytes.starts_with(b"LOCATION,") => Line::Columns.of(bytes, &year.lines),
                _ => None,
            };
            let named = named.map(|line| format!(" (columns are named in line {line})")).unwrap_or_default();
            told.push((kind, format!("{name}{called}{at}: {odd}; {look}{named}"), Vec::new()));
        }
    }
    told.into_iter()
        .map(|(_, says, others)| match others.is_empty() {
            true => says,
            false => format!("{says}; the same in {}", others.join(", ")),
        })
        .collect()
}

/// Where to look, and for what; `None` for what may well be true.
fn doubt(odd: &Observation, year: &Looked) -> Option<(Line, &'static str)> {
    Some(match odd {
        Observation::ZoneFarFromLongitude { .. } => {
            (Line::Place, "look at the sign of the longitude and at the zone")
        }
        Observation::NoonIsShifted { .. } => {
            (Line::Place, "look at zone and longitude, and whether stamps open or close their hour")
        }
        Observation::DoesNotClose { .. } => (
            Line::Hour(year.found.closure_worst.0),
            "look whether two columns are swapped, or stamps open their hour",
        ),
        Observation::DiffuseAboveGlobal { hours } if *hours > FEW_HOURS => {
            (Line::Columns, "look whether two columns are swapped")
        }
        // A sun of the other half of the globe keeps its noon and, where beam is made from global, closes: the nights tell.
        Observation::LightAtNight { .. } if lit_at_night(odd) && !clock_is_off(year) => {
            (Line::Latitude, "look at the sign of the latitude")
        }
        Observation::BrighterThanSpace { hours, .. } if *hours > BRIGHT_HOURS && !clock_is_off(year) => {
            match year.found.observations.iter().any(lit_at_night) {
                true => (Line::Latitude, "look at the sign of the latitude"),
                false => (
                    Line::Columns,
                    "look whether global light is the mean of its hour in W/m², whether two columns are swapped, and at the \
                     latitude",
                ),
            }
        }
        Observation::WindTooStrong { .. } => {
            (Line::Columns, "look whether air and wind are swapped, and whether wind is in m/s")
        }
        _ => return None,
    })
}

/// Light at night that no twilight and no sensor explains.
fn lit_at_night(odd: &Observation) -> bool {
    matches!(odd, Observation::LightAtNight { hours, worst } if *hours > FEW_HOURS || worst.1 > BRIGHT_NIGHT_W_M2)
}

/// A wrong clock or longitude brings light to the night and to low suns by itself, and is told already.
fn clock_is_off(year: &Looked) -> bool {
    year.found.observations.iter().any(|odd| {
        matches!(odd, Observation::NoonIsShifted { .. } | Observation::ZoneFarFromLongitude { .. })
    })
}

/// What a line of a file says.
#[derive(Clone, Copy)]
enum Line {
    /// How far east it lies.
    Place,
    /// How far north it lies.
    Latitude,
    /// What its columns are.
    Columns,
    /// An hour of the year, from 0.
    Hour(usize),
}

impl Line {
    /// Its number from 1; `None` for a form without lines of that kind, and for an hour that the file left out.
    fn of(self, bytes: &[u8], lines: &Lines) -> Option<usize> {
        if let Line::Hour(hour) = self {
            return lines.of(Quantity::Global, hour);
        }
        let text = String::from_utf8_lossy(bytes);
        let text = text.trim_start_matches('\u{feff}');
        if text.starts_with(['{', '-']) {
            return None;
        }
        if text.starts_with('#') {
            let line_of = |wanted: &dyn Fn(&str) -> bool| text.lines().position(wanted).map(|at| at + 1);
            return match self {
                Line::Place => line_of(&|line| line.starts_with("# longitude_deg")),
                Line::Latitude => line_of(&|line| line.starts_with("# latitude_deg")),
                _ => line_of(&|line| !line.starts_with('#')),
            };
        }
        // EPW names no columns: its eight lines of heading are followed by the hours. TMY3 names them in its second line.
        Some(match (self, text.starts_with("LOCATION,")) {
            (Line::Place | Line::Latitude, _) => 1,
            (_, true) => 9,
            (_, false) => 2,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_are_those_of_each_form() {
        let table = b"# place: x\n# latitude_deg: 45\n# longitude_deg: 9\ntime,ghi\n";
        let none = Lines::default();
        assert_eq!((Line::Place.of(table, &none), Line::Columns.of(table, &none)), (Some(3), Some(4)));
        assert_eq!(Line::Latitude.of(table, &none), Some(2));
        let epw = b"LOCATION,x";
        assert_eq!((Line::Place.of(epw, &none), Line::Columns.of(epw, &none)), (Some(1), Some(9)));
        assert_eq!(Line::Columns.of(b"722780,x", &none), Some(2));
        assert_eq!(
            (Line::Latitude.of(epw, &none), Line::Latitude.of(b"722780,x", &none)),
            (Some(1), Some(1))
        );
        assert_eq!(Line::Hour(7).of(epw, &none), None);
        assert_eq!(Line::Place.of(b"{}", &none), None);
    }
}
