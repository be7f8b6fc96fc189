//! The models of sky and glass that an owner chooses reach the year, and what is left out is the published default.
#![allow(clippy::unwrap_used)]

use design::Design;
use std::sync::Arc;
use study::{Depth, Memo, Study};

const FARM: &str = include_str!("../../../designs/hollow-farm/hollow-farm.toml");

fn farm(sky: &str, glass: &str) -> String {
    let weather = "weather = { normals = \"nearest\", years = 20, seed = 7 }";
    assert!(FARM.contains(weather));
    FARM.replacen(weather, &format!("weather = {{ normals = \"nearest\", years = 2, seed = 7{sky} }}"), 1)
        .replacen("bearing = \"178°\"\n", &format!("bearing = \"178°\"\n{glass}\n"), 1)
}

fn study(sky: &str, glass: &str, memo: &mut Memo) -> Study {
    let design = Design::of_text(&farm(sky, glass));
    assert!(design.is_sound(), "{:?}", design.problems);
    Study::of(Arc::new(design), None, Depth::Whole, memo)
}

/// Light on the plane and what the strings offer in the year.
fn light_and_yield(study: &Study) -> (f64, f64) {
    (study.planes[0].as_ref().unwrap().daily.value.0, study.year.as_ref().unwrap().pv.si())
}

#[test]
fn the_sky_model_reaches_the_year_and_an_even_sky_gives_a_tilted_plane_least() {
    // One memo for all: a key that forgot the model would answer with the layer of another one.
    let memo = &mut Memo::default();
    let mut of = |model: &str| study(&format!(", sky_model = \"{model}\""), "", memo);
    let studies = ["perez", "hay-davies", "isotropic"].map(&mut of);
    let [perez, hay, even] = [0, 1, 2].map(|at| light_and_yield(&studies[at]));
    // The circumsolar part counts for a plane that faces the sun: Duffie and Beckman name isotropic skies the most cautious.
    assert!(even.0 < hay.0 && hay.0 < perez.0, "{perez:?} {hay:?} {even:?}");
    assert!(even.1 < hay.1 && hay.1 < perez.1);
    let blank = light_and_yield(&study("", "", memo));
    assert_eq!(blank, perez);
    let said = format!("{:?}", studies[2].planes[0].as_ref().unwrap().terms);
    assert!(said.contains("isotropic") && !said.contains("Perez"), "{said}");
}

#[test]
fn the_glass_reaches_the_year_and_leaves_the_light_before_it() {
    let memo = &mut Memo::default();
    let plain = light_and_yield(&study("", "", memo));
    let same = light_and_yield(&study("", "glass = { model = \"refraction\", index = 1.526 }", memo));
    assert_eq!(plain, same);
    let dense = light_and_yield(&study("", "glass = { index = 1.8 }", memo));
    let fit = light_and_yield(&study("", "glass = { model = \"ashrae\" }", memo));
    let steep = light_and_yield(&study("", "glass = { model = \"ashrae\", b0 = 0.1 }", memo));
    for other in [dense, fit, steep] {
        assert_eq!(other.0, plain.0);
    }
    assert!(
        dense.1 < plain.1 && steep.1 < fit.1 && fit.1 != plain.1,
        "{plain:?} {dense:?} {fit:?} {steep:?}"
    );
}

#[test]
fn a_model_that_is_none_is_told_with_those_there_are() {
    let design = Design::of_text(&farm(", sky_model = \"perec\"", ""));
    assert!(design.problems[0].help.contains("hay-davies"), "{:?}", design.problems);
    let design = Design::of_text(&farm("", "glass = { index = 0.5 }"));
    assert!(design.problems[0].says.contains("between"), "{:?}", design.problems);
}
