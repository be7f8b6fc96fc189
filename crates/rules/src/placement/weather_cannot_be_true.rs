//! # A weather file cannot be true as it stands
//!
//! What it checks: the hourly file named by the design. Global light must be diffuse light plus beam times the cosine of the
//! sun's zenith; the light must be brightest about the sun's own noon; the longitude must lie near the meridian of the time
//! zone; diffuse light must not exceed the global light it is a part of.
//!
//! Why it matters: swapped columns, a longitude that lost its sign and stamps of another convention read without an error,
//! and every energy figure then comes from a sun that stands elsewhere.
//!
//! Known limits: of several years with the same doubt the first is told in full and the others are named. A file of another place closes as well as that of your own:
//! compare the place that `weather look` names.
//!
//! Source: closure of the three components is their definition. Limits are own judgement, with room for the sensors of real
//! stations.
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
    let Some((first, others)) = sky.weather.doubtful.split_first() else { return };
    let finding = findings.fails(first.clone());
    finding.at("place.weather.file", "named here");
    for other in others {
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
}
