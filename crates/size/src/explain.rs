//! Where the numbers of the answer come from: every figure of every system, and what follows from two of them.
//!
//! A system's own figures are those of its study, so a name is `size`, the system, and the name the figure has there:
//! `size/batteries-6-modules-in-each-row-10/year/backup-hours`. No search is needed to explain one.

use crate::choice::Space;
use crate::outcome::Outcome;
use crate::stages::bought;
use crate::suppose::supposings;
use crate::trial::{bulk, whole};
use crate::{Odds, odds};
use bill::Group;
use design::Design;
use quantity::{
    Choice, Clause, Energy, Figure, FigureName, Kind, Measure, Money, Number, Origin, Ratio, Series,
    Standing, Term, Time, Traced, Value, Working, formula, slug, units,
};
use std::sync::Arc;
use study::{Memo, Study, WeatherFile};

/// First part of the names of these figures.
pub const PREFIX: &str = "size";
/// In place of a system's name, before the name of a stage.
pub const STAGE: &str = "stage-";
/// In place of a system's name, the design as it stands.
pub const AS_DRAWN: &str = "as-drawn";

const SEARCH: Clause = Clause {
    document: "search of this project",
    edition: "",
    clause: "every system of the choices, by rising cost; the first that keeps the promise",
    standing: Standing::Computed,
};

const STAGES: Clause = Clause {
    document: "stages of this project",
    edition: "",
    clause: "each stage a design of its own; what it buys is what its list has more than the one before",
    standing: Standing::Computed,
};

const EXACT_SHARE: Clause = Clause {
    document: "Clopper & Pearson, Biometrika 26 (1934) 404-413",
    edition: "",
    clause: "exact interval of a share, 90 % confidence",
    standing: Standing::Computed,
};

const COMPARISON: Clause = Clause {
    document: "comparison of two systems",
    edition: "",
    clause: "what one has more than the other",
    standing: Standing::Computed,
};

/// What one system has more than another: `there − here`, both in the same unit.
pub fn difference(there: f64, here: f64) -> f64 {
    there - here
}

/// What a system costs when one group of its parts costs `factor` times as much: `cost + (factor − 1) · part`.
///
/// - `cost`: sum of the whole list; `part`: sum of the group within it; both in one currency.
pub fn cost_at_other_price(cost: f64, factor: f64, part: f64) -> f64 {
    cost + (factor - 1.0) * part
}

formula! {
    /// Explained twin of [`difference`] for money.
    MoreMoney = difference(
        there: Money as COIN = "the system compared",
        here: Money as COIN = "the system it is compared with",
    ) -> Money as COIN,
    text: "there − here",
    clause: COMPARISON,
}

formula! {
    /// Explained twin of [`difference`] for hours.
    MoreHours = difference(
        there: Time as HOUR = "the system compared",
        here: Time as HOUR = "the system it is compared with",
    ) -> Time as HOUR,
    text: "there − here",
    clause: COMPARISON,
}

formula! {
    /// Explained twin of [`difference`] for energy.
    MoreEnergy = difference(
        there: Energy as KILOWATT_HOUR = "the system compared",
        here: Energy as KILOWATT_HOUR = "the system it is compared with",
    ) -> Energy as KILOWATT_HOUR,
    text: "there − here",
    clause: COMPARISON,
}

formula! {
    /// Explained twin of [`cost_at_other_price`].
    CostAtOtherPrice = cost_at_other_price(
        cost: Money as COIN = "the whole list",
        factor: Number as NUMBER = "price supposed over the present one",
        part: Money as COIN = "parts whose price is supposed",
    ) -> Money as COIN,
    text: "cost + (factor − 1) · part",
    clause: COMPARISON,
}

/// A field that is not as the owner wrote it.
struct Otherwise {
    field: Arc<str>,
    because: String,
    drawn: String,
}

/// A system with its whole study.
struct Tried {
    says: String,
    text: String,
    study: Study,
    otherwise: Vec<Otherwise>,
}

/// The figure of a name that begins with [`PREFIX`]; `None` where there is no such system, or no such figure of it.
pub fn explain(design: &Arc<Design>, file: Option<&WeatherFile>, name: &str) -> Option<Figure> {
    let mut memo = Memo::default();
    let (system, wanted) = name.strip_prefix(PREFIX)?.strip_prefix('/')?.split_once('/')?;
    let parts: Vec<&str> = name.split('/').collect();
    if let Some(stage) = system.strip_prefix(STAGE) {
        let (says, value, origin) = of_stage(design, file, stage, wanted, &mut memo)?;
        return Some(Figure { name: FigureName::new(&parts), says, value, origin });
    }
    let here = tried(design, file, system, &mut memo)?;
    let (kind, rest) = wanted.split_once('/').unwrap_or((wanted, ""));
    let (says, value, origin) = match kind {
        "step-to" => {
            let (other, figure) = rest.split_once('/')?;
            let there = tried(design, file, other, &mut memo)?;
            more(&there, &here, figure)?
        }
        "if" => {
            let (key, figure) = rest.split_once('/')?;
            let all = supposings(&here.text, &here.study);
            let supposed = all.into_iter().find(|supposed| supposed.key == key)?;
            let because = format!("supposed: {}", supposed.says);
            let mut otherwise = here.otherwise;
            otherwise.extend(supposed.edits.iter().map(|(field, _)| Otherwise {
                field: field.as_str().into(),
                because: because.clone(),
                drawn: "without that".into(),
            }));
            let text = supposed.text.ok()?;
            let study = whole(&text, file, &mut memo);
            let says = format!("{}, if {}", here.says, supposed.says);
            own(&Tried { says, text, study, otherwise }, figure)?
        }
        "leanest" => leanest(&here, rest)?,
        "promise" if rest == "years-broken" => years_broken(&here)?,
        "odds" => of_odds(&here, &odds(&here.text, file)?, rest)?,
        "price" => at_price(&here, rest)?,
        _ => own(&here, wanted)?,
    };
    Some(Figure { name: FigureName::new(&parts), says, value, origin })
}

type Found = (String, Value, Origin);

/// The system of a name, studied.
fn tried(design: &Arc<Design>, file: Option<&WeatherFile>, name: &str, memo: &mut Memo) -> Option<Tried> {
    if name == AS_DRAWN {
        let study = whole(&design.text, file, memo);
        let text = design.text.to_string();
        return Some(Tried { says: "as drawn".into(), text, study, otherwise: Vec::new() });
    }
    let space = Space::of(design).ok()?;
    let system = (0..space.systems() as usize).find(|system| space.name(*system) == name)?;
    let text = space.text(design, system).ok()?;
    let mut otherwise = Vec::new();
    for (knob, pick) in space.knobs.iter().zip(space.picks(system)) {
        if knob.present == Some(pick) {
            continue;
        }
        let drawn = knob.present.map_or("something else", |present| &knob.settings[present].says);
        otherwise.extend(knob.settings[pick].fields().map(|field| Otherwise {
            field: field.into(),
            because: format!("{} {} in the system asked about", knob.name, knob.settings[pick].says),
            drawn: drawn.to_string(),
        }));
    }
    let study = whole(&text, file, memo);
    Some(Tried { says: space.says(system), text, study, otherwise })
}

/// A figure of a stage: what is bought for it, or one of the study of what stands then.
fn of_stage(
    design: &Arc<Design>,
    file: Option<&WeatherFile>,
    named: &str,
    wanted: &str,
    memo: &mut Memo,
) -> Option<Found> {
    let stage = design.system.stages.iter().find(|stage| slug(&stage.name) == named)?;
    let bought = bought(design, named, file, memo)?;
    let fields = stage.with.iter().map(|(path, _)| path.to_string());
    let otherwise = fields.chain(stage.not_yet.iter().map(ToString::to_string)).map(|field| Otherwise {
        field: field.as_str().into(),
        because: format!("so at stage \"{}\"", stage.name),
        drawn: "the design as drawn".into(),
    });
    let says = format!("stage \"{}\"", stage.name);
    let mut tried =
        Tried { says: says.clone(), otherwise: otherwise.collect(), study: bought.now, text: bought.text };
    if wanted != "bought" {
        tried.study = whole(&tried.text, file, memo);
        return own(&tried, wanted);
    }
    let list = &tried.study.bill.total;
    let mut terms =
        vec![term_otherwise(&list.term("list of all that stands", &units::COIN), &tried.otherwise)];
    if let Some(before) = &bought.before {
        terms.push(before.bill.total.term("list of what stood before", &units::COIN));
    }
    let words = "of every item what this list has more than the one before, at its share of the line";
    let sum = Traced { value: bought.sum, origin: series(words, STAGES, terms) };
    Some((format!("{says}: bought for it"), Value::from(&sum), sum.origin))
}

/// A figure of a system's own study.
fn own(tried: &Tried, name: &str) -> Option<Found> {
    let figure = tried.study.figure(name)?;
    let origin = otherwise(&figure.origin, &tried.otherwise);
    Some((format!("{}: {}", tried.says, figure.says), figure.value.clone(), origin))
}

/// What one system has more than the other.
fn more(there: &Tried, here: &Tried, name: &str) -> Option<Found> {
    let says = format!("{} less {}", own(there, name)?.0, here.says);
    let ((_, a, a_origin), (_, b, b_origin)) = (own(there, name)?, own(here, name)?);
    macro_rules! by {
        ($type:ty, $formula:ident) => {{
            let of = |value: &Value, origin: Origin| {
                Some(Traced { value: <$type>::from_si(value.number()?), origin })
            };
            let more = $formula::of(&of(&a, a_origin)?, &of(&b, b_origin)?);
            (Value::from(&more), more.origin)
        }};
    }
    let (value, origin) = match &a {
        Value::Money(_) | Value::Number { kind: Kind::Money, .. } => by!(Money, MoreMoney),
        Value::Number { kind: Kind::Time, .. } => by!(Time, MoreHours),
        Value::Number { kind: Kind::Energy, .. } => by!(Energy, MoreEnergy),
        _ => return None,
    };
    Some((says, value, origin))
}

fn outcome(tried: &Tried) -> Option<Outcome> {
    let year = tried.study.year.as_ref().ok()?;
    Outcome::of(&tried.study.design, year, bulk(&tried.study).cost)
}

/// What the years of a system rest on.
fn rests_on(tried: &Tried) -> Option<Vec<Term>> {
    let year = tried.study.year.as_ref().ok()?;
    Some(year.terms.iter().map(|term| term_otherwise(term, &tried.otherwise)).collect())
}

fn series(says: &str, clause: Clause, terms: Vec<Term>) -> Origin {
    Origin::Series(Arc::new(Series { says: says.into(), clause, terms }))
}

fn leanest(tried: &Tried, name: &str) -> Option<Found> {
    let leanest = outcome(tried)?.leanest;
    let (says, si, kind) = match name {
        "backup-hours" => ("hours on utility or generator", leanest.backup_h * 3600.0, Kind::Time),
        "dark-hours" => ("hours in which a must-load is missing", leanest.dark_h * 3600.0, Kind::Time),
        "missing" => ("load not served", units::WATT_HOUR.to_si(leanest.missing_wh), Kind::Energy),
        _ => return None,
    };
    let words = "of the year with most dark hours, then most load missing, then most hours on backup";
    let origin = series(words, SEARCH, rests_on(tried)?);
    Some((format!("{}, leanest year: {says}", tried.says), Value::Number { si, kind }, origin))
}

fn years_broken(tried: &Tried) -> Option<Found> {
    let outcome = outcome(tried)?;
    let promise = &tried.study.design.system.promise;
    let mut terms = Vec::new();
    for (words, hours) in [("dark hours", &promise.must_dark), ("hours on backup", &promise.backup)] {
        terms.extend(hours.iter().filter_map(|f| f.known()).map(|most| most.term(words, &units::HOUR)));
    }
    let fuel = promise.fuel.iter().filter_map(|f| f.known());
    terms.extend(fuel.map(|most| most.term("fuel", &units::LITER)));
    for (words, energy) in
        [("energy on backup", &promise.backup_energy), ("energy missing", &promise.missing)]
    {
        let known = energy.iter().filter_map(|f| f.known());
        terms.extend(known.map(|most| most.term(words, &units::KILOWATT_HOUR)));
    }
    terms.extend(rests_on(tried)?);
    let words = format!("weather years of {} in which any limit promised of a year is passed", outcome.years);
    let value = Value::Number { si: outcome.broken as f64, kind: Kind::Count };
    Some((format!("{}: years that break the promise", tried.says), value, series(&words, SEARCH, terms)))
}

fn of_odds(tried: &Tried, odds: &Odds, name: &str) -> Option<Found> {
    let kept = Traced {
        value: Number(odds.kept as f64),
        origin: series("weather years that keep the limits of a year", SEARCH, rests_on(tried)?),
    };
    let years = format!("{} synthetic weather years", odds.years);
    let of =
        Term::words("years", years, series("as many as the last word on a promise asks", SEARCH, Vec::new()));
    let (says, share) = match name {
        "kept" => {
            let says = format!("{}: of {} years keep the promise", tried.says, odds.years);
            return Some((says, Value::from(&kept), kept.origin));
        }
        "share-low" => ("least share of all years that keeps the promise", odds.share.0),
        "share-high" => ("greatest share of all years that keeps the promise", odds.share.1),
        _ => return None,
    };
    let terms = vec![kept.term("years that keep it", &units::NUMBER), of];
    let share = Traced { value: Ratio::from_si(share), origin: series(says, EXACT_SHARE, terms) };
    Some((format!("{}: {says}", tried.says), Value::from(&share), share.origin))
}

/// `modules/125-percent/bill`: the cost when that group costs so much of its present price.
fn at_price(tried: &Tried, name: &str) -> Option<Found> {
    let (group, percent) = name.split_once('/')?;
    let factor = percent.strip_suffix("-percent/bill")?.parse::<f64>().ok()? / 100.0;
    let group = [Group::Modules, Group::Storage].into_iter().find(|g| slug(g.in_words()) == group)?;
    let (_, cost, origin) = own(tried, "bill/total")?;
    let cost = Traced { value: Money::from_units(cost.number()?), origin };
    let lines = tried.study.bill.lines.iter().filter(|line| line.group == group);
    let lines = lines.filter_map(|line| line.total.known().map(|total| (line, total)));
    let terms = lines.map(|(line, total)| total.term(line.item.clone(), &units::COIN)).collect::<Vec<_>>();
    let terms = terms.iter().map(|term| term_otherwise(term, &tried.otherwise)).collect();
    let part = Traced {
        value: tried.study.bill.of_group(group),
        origin: series("sum of the lines of the group", SEARCH, terms),
    };
    let supposed = series("a price that was supposed", SEARCH, Vec::new());
    let then = CostAtOtherPrice::of(&cost, &Traced { value: Number(factor), origin: supposed }, &part);
    let says =
        format!("{}: cost with {} at {:.0} % of their price", tried.says, group.in_words(), factor * 100.0);
    Some((says, Value::from(&then), then.origin))
}

/// The same chain, with what a choice or a supposition decided told as such: the design's line says something else.
fn otherwise(origin: &Origin, by: &[Otherwise]) -> Origin {
    let terms = |terms: &[Term]| terms.iter().map(|term| term_otherwise(term, by)).collect();
    match origin {
        Origin::Stated(field) => match by.iter().find(|other| *other.field == *field.as_str()) {
            None => origin.clone(),
            Some(other) => Origin::Found(Arc::new(Choice {
                because: other.because.as_str().into(),
                runner_up: "".into(),
                clause: SEARCH,
                terms: vec![Term::words("as drawn", other.drawn.as_str(), origin.clone())],
            })),
        },
        Origin::Found(choice) => {
            Origin::Found(Arc::new(Choice { terms: terms(&choice.terms), ..(**choice).clone() }))
        }
        Origin::Series(series) => {
            Origin::Series(Arc::new(Series { terms: terms(&series.terms), ..(**series).clone() }))
        }
        Origin::Computed(working) => {
            Origin::Computed(Arc::new(Working { formula: working.formula, terms: terms(&working.terms) }))
        }
        Origin::Tabled(_) | Origin::Shelf(_) | Origin::Assumed(_) | Origin::Measured(_) => origin.clone(),
    }
}

fn term_otherwise(term: &Term, by: &[Otherwise]) -> Term {
    Term { origin: otherwise(&term.origin, by), ..term.clone() }
}
