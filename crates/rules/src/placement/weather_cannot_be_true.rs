//! # A weather file cannot be true as it stands
//!
//! What it checks: the hourly file named by the design. Global light must be diffuse light plus beam times the cosine of the
//! sun's zenith; the light must be brightest about the sun's own noon; the longitude must lie near the meridian of the time
//! zone; diffuse light must not exceed the global light it is a part of. Nights must be dark: a doubt is more than 50 W/m² in an
//! hour without sun, or light in more than 200 of them. No more than 50 hours may be brighter than sunlight above the air. The wind
//! must not blow at more than 12 m/s on average, nor at more than 5 m/s in its calmest hour. And the file must be of the design's
//! place: a doubt is more than 100 km.
//!
//! Why it matters: swapped columns, a latitude or longitude that lost its sign and stamps of another convention read without an
//! error, and every energy figure then comes from a sun that stands elsewhere.
//!
//! Known limits: of several years with the same doubt the first is told in full and the others are named. Of a file that names a wrong
//! place and has its sun, nothing shows it. Within a few degrees of the equator both signs of the latitude have nearly the same
//! sun, and the wrong one is not seen. Air of a cold place in the wind's column is refused earlier, as a wind below zero.
//!
//! Source: closure of the three components is their definition. Limits are own judgement, with room for the sensors of real
//! stations; those of the wind are common practice, from memory.
//!
//! Fails: a table whose heading names beam and diffuse light the wrong way round.
//! Passes: the same table with its columns named as they are.

use crate::{Findings, Rule, Severity};
use quantity::practice;
use study::Study;

pub(crate) static RULE: Rule = Rule {
    code: "P06",
    name: "weather-cannot-be-true",
    severity: Severity::Doubt,
    clause: practice("global light is diffuse light and beam together"),
    text: include_str!("weather_cannot_be_true.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    let Ok(sky) = &study.sky else { return };
    let mut doubts = sky.weather.doubtful.iter().chain(&sky.elsewhere);
    let Some(first) = doubts.next() else { return };
    let finding = findings.fails(first.clone());
    finding.at("place.weather.file", "named here");
    for other in doubts {
        finding.explains(other.clone());
    }
    finding.explains("`weather look` with the file shows its months and what else is odd about it.");
}

#[cfg(test)]
mod tests {
    use crate::Finding;
    use crate::trial::{study_of, text};
    use design::Design;
    use std::sync::Arc;
    use study::{Depth, Memo, Study, WeatherFile};

    /// A year made here, as a table that names itself.
    fn table() -> String {
        let study =
            study_of(&[("place.weather", "{ normals = \"nearest\", years = 1, seed = 3 }")], Depth::Whole);
        let look = study::look_at_study(&study).expect("the trial house has weather");
        study::year_as_table(&look, 0).expect("a year")
    }

    fn found(table: &str) -> Vec<Finding> {
        let name = "measured.csv";
        let file = WeatherFile { name: name.into(), bytes: Ok(Arc::from(table.as_bytes())) };
        let design = Arc::new(Design::of_text(&text(&[("place.weather", "{ file = \"measured.csv\" }")])));
        assert!(design.problems.is_empty(), "{:#?}", design.problems);
        let study = Study::of(design, Some(&file), Depth::Whole, &mut Memo::default());
        assert!(study.sky.is_ok(), "{:?}", study.sky.as_ref().err());
        crate::inspect(&study).into_iter().filter(|finding| finding.code == "P06").collect()
    }

    #[test]
    fn a_good_table_passes_and_swapped_columns_are_told_with_their_line() {
        let good = table();
        assert!(found(&good).is_empty());
        let swapped = good.replacen("dni_w_m2,dhi_w_m2", "dhi_w_m2,dni_w_m2", 1);
        assert_ne!(swapped, good);
        let told = found(&swapped);
        assert_eq!(told.len(), 1);
        assert!(
            told[0].says.contains("columns are named in line 7") && told[0].says.contains("swapped"),
            "{}",
            told[0].says
        );
    }

    #[test]
    fn a_longitude_without_its_sign_is_told_with_its_line() {
        let good = table();
        let lost = good.replacen("# longitude_deg: -", "# longitude_deg: ", 1);
        assert_ne!(lost, good);
        let told = found(&lost);
        let all: Vec<&String> = std::iter::once(&told[0].says).chain(&told[0].more).collect();
        assert!(
            all.iter().any(|said| said.contains("line 3") && said.contains("sign of the longitude")),
            "{all:?}"
        );
    }

    #[test]
    fn a_file_of_another_place_is_told_with_its_distance_and_one_of_the_next_town_is_not() {
        // So little does the sun of another latitude differ that the light itself shows nothing.
        let good = table();
        let line = good.lines().nth(1).expect("a second line").to_string();
        let latitude: f64 =
            line.strip_prefix("# latitude_deg: ").and_then(|cell| cell.parse().ok()).expect("a latitude");
        let moved =
            |by: f64| global_alone(&good.replacen(&line, &format!("# latitude_deg: {}", latitude + by), 1));
        assert!(found(&moved(0.5)).is_empty());
        let told = found(&moved(2.0));
        assert_eq!(told.len(), 1);
        // Two degrees of a meridian of a sphere of 6371 km.
        assert!(told[0].says.contains("222 km from the design's place"), "{}", told[0].says);
    }

    /// Beam and diffuse taken out of a table: they are made from global, and close whatever the sun.
    fn global_alone(table: &str) -> String {
        let without = |line: &str| {
            let cells: Vec<&str> = line.split(',').collect();
            match cells.as_slice() {
                [time, global, _, _, air, wind] if !line.starts_with('#') => {
                    format!("{time},{global},{air},{wind}\n")
                }
                _ => format!("{line}\n"),
            }
        };
        table.lines().map(without).collect()
    }

    #[test]
    fn a_latitude_without_its_sign_is_told_with_its_line_though_global_light_alone_closes() {
        let good = global_alone(&table());
        assert!(good.contains("\ntime,ghi_w_m2,air_c,wind_m_s\n"));
        assert!(found(&good).is_empty());
        let lost = good.replacen("# latitude_deg: ", "# latitude_deg: -", 1);
        let told = found(&lost);
        assert_eq!(told.len(), 1);
        let says = &told[0].says;
        assert!(
            says.starts_with("measured.csv, line 2: ")
                && says.contains("light at night")
                && says.contains("sign of the latitude"),
            "{says}"
        );
    }

    #[test]
    fn light_in_another_unit_is_told_where_the_columns_are_named() {
        // Kilojoules in the column of watts, for an hour: 3.6 times as many.
        let kilojoules = |line: &str| {
            let mut cells: Vec<String> = line.split(',').map(String::from).collect();
            let light = cells.get(1).and_then(|cell| cell.parse::<f64>().ok());
            if let (Some(light), false) = (light, line.starts_with('#')) {
                // What the sensor of a table may hold at most.
                cells[1] = format!("{:.1}", (light * 3.6).min(1490.0));
            }
            cells.join(",") + "\n"
        };
        let wrong: String = global_alone(&table()).lines().map(kilojoules).collect();
        let told = found(&wrong);
        assert_eq!(told.len(), 1);
        let says = &told[0].says;
        assert!(
            says.starts_with("measured.csv, line 7: ")
                && says.contains("brighter than sunlight above the air")
                && says.contains("W/m²"),
            "{says}"
        );
    }
}
