//! weather look, make, near.

use super::answers::{refused, status, table};
use crate::args::{Look as LookArgs, MakeYears};
use crate::load;
use crate::show::{self, Failure, WIDTH};
use crate::{CLEAN, FOUND};
use output::drawing::{Form, svg};
use output::{json, sky};
use quantity::Units;
use std::path::{Path, PathBuf};
use study::{Depth, Look, NearPlace, Study};

pub(crate) fn look(args: &LookArgs, json: bool) -> Result<u8, Failure> {
    let is_design = args.file.extension().is_some_and(|ending| ending.eq_ignore_ascii_case("toml"));
    if is_design { look_at_design(args, json) } else { look_at_file(args, json) }
}

fn look_at_file(args: &LookArgs, json: bool) -> Result<u8, Failure> {
    let bytes = door::read_data(&args.file)
        .map_err(|e| Failure::new(e.to_string(), "name an hourly file, or a design ending in .toml"))?;
    let name = args.file.file_name().map_or_else(String::new, |name| name.to_string_lossy().to_string());
    let look = study::look_at_file(&name, &bytes)
        .map_err(|why| Failure::new(why, "nothing is guessed; correct the file or use another one"))?;
    let written = write_pictures(args.picture.as_deref(), &look, None)?;
    if json {
        show::json(&json::weather(&look, None, &written));
    } else {
        print(&look, Units::Metric);
        say_written(&written);
    }
    Ok(if look.weather.doubtful.is_empty() { CLEAN } else { FOUND })
}

fn look_at_design(args: &LookArgs, json: bool) -> Result<u8, Failure> {
    let loaded = load::design(&args.file)?;
    if let Some(status) = refused(&loaded, json) {
        return Ok(status);
    }
    let (study, findings) = load::study(&loaded, Depth::Whole)?;
    let answer = output::answers::answers(&study, &findings).swap_remove(2);
    let look = match study::look_at_study(&study) {
        Ok(look) => look,
        Err(_) => {
            if json {
                show::json(&serde_json::json!({
                    "format": json::FORMAT, "what": "weather", "answer": answer.text(),
                }));
            } else {
                show::sentence(&answer.sentence);
            }
            return Ok(FOUND);
        }
    };
    let written = write_pictures(args.picture.as_deref(), &look, Some(&study))?;
    if json {
        show::json(&json::weather(&look, Some((&study, &answer)), &written));
        return Ok(status(&findings));
    }
    show::sentence(&answer.sentence);
    show::line("");
    table(&sky::bearings(&study));
    let tables =
        [sky::rows(&study), sky::obstacles(&study), sky::best_planes(&study), sky::best_months(&study)];
    for each in tables.into_iter().flatten() {
        table(&each);
    }
    print(&look, study.design.system.units);
    if !study.design.system.place.coldest.is_known()
        && let Some(near) = study::near_design(&study.design.system.place)
    {
        say_near(&near, study.design.system.units);
    }
    say_written(&written);
    Ok(status(&findings))
}

fn print(look: &Look, units: Units) {
    show::line(&show::wrap(&format!("{}.", output::say::begun(&look.says)), WIDTH, "  "));
    show::line("");
    table(&sky::weather_table(look, units));
    if let Some(words) = sky::spread_words(&look.weather) {
        show::line(&show::wrap(&words, WIDTH, ""));
        show::line("");
    }
    table(&sky::dullest_table(look));
    show::line("Can it be true?");
    for line in &look.weather.doubtful {
        show::line(&show::wrap(&format!("  No: {line}"), WIDTH, "    "));
    }
    for line in &look.report {
        show::line(&show::wrap(&format!("  {line}"), WIDTH, "    "));
    }
}

fn say_written(written: &[PathBuf]) {
    for path in written {
        show::line(&format!("{} written", path.display()));
    }
}

/// The months into the file named, of a design the other pictures beside it.
fn write_pictures(
    picture: Option<&Path>,
    look: &Look,
    study: Option<&Study>,
) -> Result<Vec<PathBuf>, Failure> {
    let Some(path) = picture else { return Ok(Vec::new()) };
    if !path.extension().is_some_and(|ending| ending.eq_ignore_ascii_case("svg")) {
        return Err(Failure::new(
            format!("{} does not end in .svg", path.display()),
            "pictures are SVG files",
        ));
    }
    let mut all = vec![(path.to_path_buf(), sky::weather_picture(look, Form::Wide))];
    let stem = path.file_stem().map_or_else(String::new, |stem| stem.to_string_lossy().to_string());
    let more = match study {
        Some(study) => sky::pictures(study, Form::Wide),
        None => [Some(sky::sun_path_picture(look, Form::Wide)), sky::dullest(look, Form::Wide)]
            .into_iter()
            .flatten()
            .collect(),
    };
    all.extend(more.into_iter().map(|p| (path.with_file_name(format!("{stem}-{}.svg", p.id)), p.drawing)));
    let mut written = Vec::with_capacity(all.len());
    for (path, drawing) in all {
        door::write_atomically(&path, svg::file(&drawing).as_bytes())
            .map_err(|e| Failure::new(e.to_string(), "nothing else was written"))?;
        written.push(path);
    }
    Ok(written)
}

pub(crate) fn make(args: &MakeYears, json: bool) -> Result<u8, Failure> {
    if !args.output.extension().is_some_and(|ending| ending.eq_ignore_ascii_case("csv")) {
        return Err(Failure::new(
            format!("{} does not end in .csv", args.output.display()),
            "years are written as comma-separated values",
        ));
    }
    let loaded = load::design(&args.design)?;
    if let Some(status) = refused(&loaded, json) {
        return Ok(status);
    }
    let (study, _) = load::study(&loaded, Depth::Whole)?;
    let look = study::look_at_study(&study).map_err(|why| {
        let says: String = output::answers::cannot(&why).0.iter().map(|span| span.text.clone()).collect();
        Failure::new(says, "check DESIGN --questions lists what is missing")
    })?;
    let stem = args.output.file_stem().map_or_else(String::new, |stem| stem.to_string_lossy().to_string());
    let count = args.years.unwrap_or(usize::MAX).min(look.weather.years.len());
    let mut written = Vec::new();
    for index in 0..count {
        let path = match index {
            0 => args.output.clone(),
            _ => args.output.with_file_name(format!("{stem}-{}.csv", index + 1)),
        };
        let Some(text) = study::year_as_table(&look, index) else { break };
        door::write_atomically(&path, text.as_bytes())
            .map_err(|e| Failure::new(e.to_string(), "years before this one stand written"))?;
        written.push(path);
    }
    if json {
        show::json(&serde_json::json!({
            "format": json::FORMAT, "what": "weather-years", "says": look.says,
            "files": written.iter().map(|path| path.display().to_string()).collect::<Vec<_>>(),
        }));
    } else {
        show::line(&format!(
            "{} written: {}",
            output::say::plural(written.len(), "year", "years"),
            look.says
        ));
    }
    Ok(CLEAN)
}

pub(crate) fn near(asked: &str, json: bool) -> Result<u8, Failure> {
    let found = study::near(asked).map_err(|why| {
        Failure::new(why, "write part of a name, or latitude,longitude such as 42.9,-118.2")
    })?;
    if json {
        show::json(&json::near(&found.places));
        return Ok(CLEAN);
    }
    let more = found.more;
    let mut found = found.places.iter();
    if let Some(first) = found.next() {
        say_near(first, Units::Metric);
    }
    let others: Vec<_> = found.collect();
    if !others.is_empty() {
        show::line("Others of that name; write more of it, or latitude,longitude:");
    }
    for place in others {
        let zone = place.zone.as_ref().map_or("zone not known", |zone| &zone.zone);
        show::line(&format!(
            "  {}: {:.3},{:.3}, {zone}",
            place.name, place.latitude_deg, place.longitude_deg
        ));
    }
    if more > 0 {
        show::line(&format!("  and {more} more"));
    }
    Ok(CLEAN)
}

/// A place with its zone, its climate row and its colds.
pub(super) fn say_near(place: &NearPlace, units: Units) {
    for sentence in sky::near_words(place, units) {
        show::line(&show::wrap(&sentence, WIDTH, "  "));
    }
    show::line("");
    table(&sky::cold_table(place, units));
}
