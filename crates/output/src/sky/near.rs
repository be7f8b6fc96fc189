//! What the tables hold near a place.

use super::{left, row};
use crate::say::{NOT_KNOWN, words};
use crate::table::Table;
use quantity::{Kind, Measure, Temperature, Units, print, units};
use study::{ColdKind, NearPlace};

/// A place far from the weather it would be given, higher or lower: from so many metres on, 2 K of air, it is said.
const SAID_M: f64 = 300.0;

/// Where a place lies, its zone and the climate row nearest to it, in sentences.
pub fn near_words(place: &NearPlace, units_of: Units) -> Vec<String> {
    let mut said = vec![format!(
        "{}: latitude {:.3}, longitude {:.3}.",
        place.name, place.latitude_deg, place.longitude_deg
    )];
    said.push(match &place.zone {
        Some(zone) => format!("Time zone {}.", zone.in_words()),
        None => "No town is near that would tell the time zone.".into(),
    });
    let height = place.row.elevation_m.map(|m| format!(", {} high", print(m, Kind::Length, units_of)));
    let mut row = format!(
        "Nearest climate row: {} ({}, {}), {:.0} km away{}",
        place.row.in_words(),
        place.row.id,
        place.row.record_in_words(),
        place.distance_km,
        height.unwrap_or_default()
    );
    if let Some(higher) = place.higher_m.filter(|higher| higher.abs() >= SAID_M) {
        let (way, air) = if higher > 0.0 { ("lower", "milder") } else { ("higher", "colder") };
        row.push_str(&format!(
            "; that is {} {way} than yours, and its air is about {:.0} K {air}, which the weather years allow for",
            print(higher.abs(), Kind::Length, units_of),
            place.colder_k().unwrap_or_default().abs()
        ));
    }
    said.push(format!("{row}."));
    if place.is_far() {
        said.push("That far away it is other weather: let weather fetch bring measured years, or give at least sunshine and wind of your own.".into());
    }
    said
}

/// Cold temperatures near a place, side by side with their basis. None of them is taken for the design.
pub fn cold_table(place: &NearPlace, units_of: Units) -> Table {
    let mut rows = Vec::new();
    // An extreme that no table holds is said to be unknown, so that nothing else is read in its stead.
    for kind in [ColdKind::MeanOfExtremes, ColdKind::LowestOnRecord, ColdKind::ZoneBound, ColdKind::NoExtreme]
    {
        let extreme = kind <= ColdKind::LowestOnRecord;
        let mut found = place.cold_of(kind).peekable();
        if extreme && found.peek().is_none() {
            let basis = "no record near enough holds it; ask the building office";
            rows.push(row(vec![words(kind.in_words()), words(NOT_KNOWN), words(basis)]));
        }
        for cold in found {
            let shown = Temperature::from_si(units::CELSIUS.to_si(cold.celsius));
            rows.push(row(vec![
                words(kind.in_words()),
                words(print(shown.si(), Kind::Temperature, units_of)),
                words(cold.basis.clone()),
            ]));
        }
    }
    Table {
        id: "cold-near-by".into(),
        caption: format!("Cold near {}", place.name),
        columns: vec![left("what it is"), left("temperature"), left("basis")],
        rows,
        note: "A hollow may be colder and a hill milder; the building office knows the value it goes by. None of these is used until you write place.coldest. Towns: GeoNames, CC BY 4.0.".into(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn text(table: &Table) -> Vec<String> {
        table
            .rows
            .iter()
            .map(|row| row.cells.iter().map(|cell| cell.text.clone()).collect::<Vec<_>>().join(" | "))
            .collect()
    }

    #[test]
    fn both_extremes_have_a_line_and_what_is_blank_stays_unknown() {
        for asked in ["42.87,-118.21", "52.1,5.18", "-35.3,149.1", "69.3,18.9", "47.92,106.92"] {
            let place = study::near(asked).expect("a point").places.remove(0);
            let lines = text(&cold_table(&place, Units::Metric));
            for kind in [ColdKind::MeanOfExtremes, ColdKind::LowestOnRecord] {
                let line = lines.iter().find(|line| line.starts_with(kind.in_words())).expect("a line");
                assert_eq!(place.cold_of(kind).next().is_none(), line.contains(NOT_KNOWN), "{asked}: {line}");
            }
        }
        // De Bilt has both: the record of the Dutch service is long.
        let bilt = study::near("52.1,5.18").expect("a point").places.remove(0);
        assert!(text(&cold_table(&bilt, Units::Metric)).iter().all(|line| !line.contains(NOT_KNOWN)));
    }

    #[test]
    fn a_far_row_is_said_to_be_other_weather() {
        let far = study::near("47.92,106.92").expect("a point").places.remove(0);
        assert!(near_words(&far, Units::Metric).iter().any(|line| line.contains("other weather")));
        let bilt = study::near("52.1,5.18").expect("a point").places.remove(0);
        assert!(near_words(&bilt, Units::Us).iter().all(|line| !line.contains("other weather")));
    }
}
