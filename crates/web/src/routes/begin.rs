//! Opening and beginning designs. Files are called by bare name in the one folder, or are those opened lately.

use super::ask::pairs;
use super::deeds::field;
use super::{At, Pairs, at_work};
use crate::Bench;
use crate::page::{self, Begun, DEMOS};
use axum::Form;
use axum::extract::rejection::{FormRejection, QueryRejection};
use axum::extract::{Query, State};
use axum::http::StatusCode;
use axum::response::{Html, IntoResponse, Redirect, Response};
use design::starter::{Wishes, starter};

type Given = Result<Form<Pairs>, FormRejection>;

fn looked_up(place: &str) -> Begun {
    let place = place.trim().to_string();
    let found = (!place.is_empty()).then(|| study::near(&place).map(|found| found.places));
    Begun { place, found, ..Begun::default() }
}

pub(super) async fn start(State(bench): At, query: Result<Query<Pairs>, QueryRejection>) -> Response {
    let pairs = pairs(query);
    shown(at_work(move || page::begin(&bench, &looked_up(field(&pairs, "place")))).await, StatusCode::OK)
}

fn shown(made: Result<String, StatusCode>, status: StatusCode) -> Response {
    match made {
        Ok(page) => (status, Html(page)).into_response(),
        Err(status) => status.into_response(),
    }
}

/// Why something was not done: the field it is about, empty for the whole, and words.
type Refused = (String, String);

pub(super) async fn begin(state: At, given: Given) -> Response {
    posted(state, given, begun).await
}

pub(super) async fn open(state: At, given: Given) -> Response {
    posted(state, given, opened).await
}

/// Does what a form of this page asks for; on to the address it gives, or the page again with what was refused.
async fn posted(
    State(bench): At,
    given: Given,
    work: fn(&Bench, &Pairs) -> Result<&'static str, Refused>,
) -> Response {
    let pairs = match given {
        Ok(Form(pairs)) => pairs,
        Err(refused) => return (refused.status(), "This form cannot be read.").into_response(),
    };
    let done = at_work(move || match work(&bench, &pairs) {
        Ok(to) => Ok(to),
        Err(refused) => {
            let mut begun = looked_up(field(&pairs, "place"));
            begun.refused = Some(refused);
            begun.typed = pairs;
            Err(page::begin(&bench, &begun))
        }
    });
    match done.await {
        Ok(Ok(to)) => Redirect::to(to).into_response(),
        Ok(Err(page)) => shown(Ok(page), StatusCode::CONFLICT),
        Err(status) => status.into_response(),
    }
}

fn whole(says: impl ToString) -> Refused {
    (String::new(), says.to_string())
}

fn begun(bench: &Bench, pairs: &Pairs) -> Result<&'static str, Refused> {
    let demo = DEMOS.iter().find(|demo| demo.key == field(pairs, "demo"));
    let (name, text, to) = match demo {
        Some(demo) => (page::free_name(bench, demo.key), demo.text.to_string(), "/5"),
        None => (field(pairs, "file").trim().to_string(), wished(pairs)?, "/2"),
    };
    let path = bench.inside(&name).map_err(|says| ("file".to_string(), says))?;
    if bench.files().read_design(&path).is_ok() {
        return Err(("file".into(), format!("there is a file {name} already; choose another name")));
    }
    bench.files().write(&path, text.as_bytes()).map_err(whole)?;
    bench.open(path).map_err(whole)?;
    Ok(to)
}

/// The text of a new design, understood without a problem, or the field that is wrong.
fn wished(pairs: &Pairs) -> Result<String, Refused> {
    let places = study::near(field(pairs, "place")).map_err(|says| ("place".to_string(), says))?;
    let pick: usize = field(pairs, "pick").parse().unwrap_or(0);
    let place = places.places.get(pick).ok_or_else(|| whole("choose one of the places"))?;
    let wishes = Wishes {
        title: field(pairs, "title").trim().chars().take(80).collect(),
        // Hundredths of a degree are a kilometre; more is not known of a town.
        latitude: (place.latitude_deg * 1e4).round() / 1e4,
        longitude: (place.longitude_deg * 1e4).round() / 1e4,
        elevation: field(pairs, "elevation").trim().chars().take(40).collect(),
        zone: place.zone.as_ref().map_or_else(|| "UTC".into(), |zone| zone.zone.clone()),
        american: field(pairs, "supply") != "230",
    };
    if wishes.title.is_empty() {
        return Err(("title".into(), "a house has a name".into()));
    }
    let text = starter(&wishes);
    let design = design::Design::of_text(&text);
    match design.problems.first() {
        None => Ok(text),
        Some(problem) => {
            // What was refused has no place among what was understood; its line is found in the text.
            let elevation = text.lines().position(|line| line.starts_with("elevation")).map(|line| line + 1);
            let at = problem
                .labels
                .first()
                .map(|label| design::read::Lines::new(&text).at(&text, label.span.start));
            let about = if at.map(|at| at.0) == elevation { "elevation" } else { "" };
            Err((about.into(), format!("{}. {}", problem.says.trim_end_matches('.'), problem.help)))
        }
    }
}

fn opened(bench: &Bench, pairs: &Pairs) -> Result<&'static str, Refused> {
    let path = match field(pairs, "recent") {
        "" => bench.inside(field(pairs, "file")).map_err(whole)?,
        wanted => {
            let recent = bench.memory().recent();
            let found = recent.into_iter().find(|path| page::called(path) == wanted);
            found.ok_or_else(|| whole("that file is not there any more"))?
        }
    };
    bench.open(path).map_err(whole)?;
    Ok("/5")
}
