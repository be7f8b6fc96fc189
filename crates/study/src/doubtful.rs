//! What cannot be true of a weather file as it stands, with the line to look at.

use weather::{Observation, Plausibility};

/// Hours of a year in which diffuse may exceed global before a column must be wrong; own judgement, no source. Sensors in
/// the shade of a mast do it for a few.
const FEW_HOURS: usize = 200;

/// What in a file cannot be true of any year there: "name, line 9: …; look whether …". What is merely odd is left out.
pub(crate) fn doubtful(name: &str, bytes: &[u8], found: &Plausibility) -> Vec<String> {
    let told = found.observations.iter().filter_map(|odd| {
        let (line, look) = match odd {
            Observation::ZoneFarFromLongitude { .. } => {
                (Line::Place, "look at the sign of the longitude and at the zone")
            }
            Observation::NoonIsShifted { .. } => {
                (Line::Place, "look at zone and longitude, and whether stamps open or close their hour")
            }
            Observation::DoesNotClose { .. } => (
                Line::Hour(found.closure_worst.0),
                "look whether two columns are swapped, or stamps open their hour",
            ),
            Observation::DiffuseAboveGlobal { hours } if *hours > FEW_HOURS => {
                (Line::Columns, "look whether two columns are swapped")
            }
            _ => return None,
        };
        let at = line.of(bytes).map(|line| format!(", line {line}")).unwrap_or_default();
        Some(format!("{name}{at}: {odd}; {look}"))
    });
    told.collect()
}

/// What a line of a file says.
#[derive(Clone, Copy)]
enum Line {
    /// Where it lies.
    Place,
    /// What its columns are.
    Columns,
    /// An hour of the year, from 0.
    Hour(usize),
}

impl Line {
    /// Its number from 1; `None` for a form without lines of that kind. A table with hours left out has no line to an hour.
    fn of(self, bytes: &[u8]) -> Option<usize> {
        let text = String::from_utf8_lossy(bytes);
        let text = text.trim_start_matches('\u{feff}');
        if text.starts_with(['{', '-']) {
            return None;
        }
        if text.starts_with('#') {
            let line_of = |wanted: &dyn Fn(&str) -> bool| text.lines().position(wanted).map(|at| at + 1);
            return match self {
                Line::Place => line_of(&|line| line.starts_with("# longitude_deg")),
                Line::Columns | Line::Hour(_) => line_of(&|line| !line.starts_with('#')),
            };
        }
        // EPW names no columns: its eight lines of heading are followed by the hours. TMY3 names them in its second line.
        let epw = text.starts_with("LOCATION,");
        Some(match (self, epw) {
            (Line::Place, _) => 1,
            (Line::Columns, true) => 9,
            (Line::Columns, false) => 2,
            (Line::Hour(hour), true) => 9 + hour,
            (Line::Hour(hour), false) => 3 + hour,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_are_those_of_each_form() {
        let table = b"# place: x\n# latitude_deg: 45\n# longitude_deg: 9\ntime,ghi\n";
        assert_eq!((Line::Place.of(table), Line::Hour(7).of(table)), (Some(3), Some(4)));
        assert_eq!((Line::Place.of(b"LOCATION,x"), Line::Hour(0).of(b"LOCATION,x")), (Some(1), Some(9)));
        assert_eq!((Line::Columns.of(b"722780,x"), Line::Hour(0).of(b"722780,x")), (Some(2), Some(3)));
        assert_eq!(Line::Place.of(b"{}"), None);
    }
}
