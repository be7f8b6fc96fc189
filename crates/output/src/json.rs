//! The same content for machines: stable names with unit suffixes, nine significant digits, unknown as null and listed.

mod cost;
mod year;

pub use cost::cost;
pub use year::year;

use crate::answers::Answer;
use crate::say::Reader;
use crate::sheets::identifier;
use crate::why::Line;
use quantity::{Fact, Figure, Measure, Unit, Value, units};
use rules::Finding;
use serde_json::{Map, Value as Json, json};
use study::{Study, Unanswered};

/// Version of the machine form.
pub const FORMAT: u32 = 1;

/// A number with nine significant digits; null when it is not finite.
pub fn number(value: f64) -> Json {
    if !value.is_finite() {
        return Json::Null;
    }
    let rounded: f64 = format!("{value:.8e}").parse().unwrap_or(value);
    // A whole number is written without a fraction, and no negative zero.
    if rounded == 0.0 { json!(0.0) } else { json!(rounded) }
}

fn of<T: Measure>(fact: &Fact<T>, unit: &Unit) -> Json {
    fact.si().map_or(Json::Null, |si| number(unit.of_si(si)))
}

/// What is missing in a document, each fact once.
#[derive(Default)]
struct Missing(Vec<Json>);

impl Missing {
    fn note<T>(&mut self, fact: &Fact<T>) {
        if let Some(gap) = fact.gap() {
            self.gap(gap);
        }
    }

    fn gap(&mut self, gap: &quantity::Gap) {
        for missing in &gap.missing {
            let entry = json!({ "field": missing.field.as_str(), "ask": missing.ask.in_words() });
            if !self.0.contains(&entry) {
                self.0.push(entry);
            }
        }
    }
}

fn head(study: &Study, what: &str) -> Map<String, Json> {
    let mut map = Map::new();
    map.insert("format".into(), json!(FORMAT));
    map.insert("what".into(), json!(what));
    map.insert("title".into(), json!(&*study.design.system.title));
    map
}

/// Problems of a text.
pub fn problems(design: &design::Design, file: &str) -> Json {
    let lines = design::read::Lines::new(&design.text);
    let place = |span: &std::ops::Range<usize>| lines.at(&design.text, span.start);
    Json::Array(
        design
            .problems
            .iter()
            .map(|problem| {
                let at: Vec<Json> = problem
                    .labels
                    .iter()
                    .map(|label| {
                        let (line, column) = place(&label.span);
                        json!({ "file": file, "line": line, "column": column, "label": label.says })
                    })
                    .collect();
                json!({
                    "kind": problem.what.word(), "message": problem.says, "help": problem.help, "at": at,
                    "mend": problem.mend.as_ref().map(|mend| json!({ "with": mend.with })),
                })
            })
            .collect(),
    )
}

/// Findings.
pub fn findings(study: &Study, findings: &[Finding], file: &str) -> Json {
    Json::Array(
        findings
            .iter()
            .map(|f| {
                let at: Vec<Json> = f
                    .at
                    .iter()
                    .map(|place| {
                        let (line, column) = study.design.place_of(&place.field).unzip();
                        json!({
                            "file": file, "line": line, "column": column, "label": place.says,
                            "field": place.field.as_str(),
                            "figure": f.figure.as_ref().map(|name| name.as_str()),
                        })
                    })
                    .collect();
                let missing: Vec<Json> = f.undecided.iter().flat_map(|gap| &gap.missing).map(|m| {
                    json!({ "field": m.field.as_str(), "ask": m.ask.in_words() })
                }).collect();
                json!({
                    "code": f.code, "name": f.name, "severity": f.severity.word(), "undecided": f.undecided.is_some(),
                    "message": f.says, "more": f.more, "clause": f.clause.to_string(), "at": at, "missing": missing,
                    "remedies": f.remedies.iter().map(|r| r.says.clone()).collect::<Vec<_>>(),
                })
            })
            .collect(),
    )
}

/// `check --json`.
pub fn check(study: &Study, all: &[Finding], answers: &[Answer], file: &str) -> Json {
    let mut map = head(study, "check");
    map.insert("problems".into(), problems(&study.design, file));
    map.insert("findings".into(), findings(study, all, file));
    map.insert("answers".into(), answers_json(answers));
    let question =
        |q: design::Question| json!({ "field": q.field.as_str(), "ask": q.ask.in_words(), "what": q.doc });
    map.insert("questions".into(), Json::Array(study.design.questions().into_iter().map(question).collect()));
    let assumption = |a: design::Assumption| json!({ "field": a.field.as_str(), "value": a.value, "because": a.because, "moves": a.moves });
    map.insert(
        "assumptions".into(),
        Json::Array(study.design.assumptions().into_iter().map(assumption).collect()),
    );
    let recorded = |r: design::Recorded| json!(r.field.as_str());
    map.insert(
        "recorded_not_used".into(),
        Json::Array(study.design.recorded().into_iter().map(recorded).collect()),
    );
    Json::Object(map)
}

fn answers_json(answers: &[Answer]) -> Json {
    Json::Array(
        answers
            .iter()
            .map(|a| json!({ "question": a.question, "title": a.title, "answer": a.text(), "short": a.short, "open": a.open }))
            .collect(),
    )
}

/// `wire --json`.
pub fn wire(study: &Study) -> Json {
    let mut map = head(study, "wire");
    let schedule = match &study.wiring {
        Ok(schedule) => schedule,
        Err(not_built) => {
            map.insert("circuits".into(), Json::Null);
            map.insert("raceways".into(), Json::Null);
            map.insert("not_computed".into(), json!(not_built.to_string()));
            return Json::Object(map);
        }
    };
    let mut missing = Missing::default();
    let amps = &units::AMPERE;
    let circuits: Vec<Json> = schedule
        .circuits
        .iter()
        .enumerate()
        .map(|(i, c)| {
            missing.note(&c.conductor);
            missing.note(&c.length);
            missing.note(&c.protection.available);
            missing.note(&c.currents.maximum);
            json!({
                "id": identifier(i, c),
                "name": &*c.name,
                "run": c.run.and_then(|run| study.design.system.runs.get(run.0)).map(|run| run.name.to_string()),
                "supply": match c.protection.supply { wiring::Supply::Dc => "dc", wiring::Supply::Ac => "ac" },
                "maximum_a": of(&c.currents.maximum, amps),
                "continuous_a": of(&c.currents.continuous, amps),
                "operating_a": of(&c.currents.operating, amps),
                "highest_v": of(&c.currents.highest, &units::VOLT),
                "device_needed": c.protection.needed.value(),
                "device_a": of(&c.protection.rating, amps),
                "least_device_a": of(&c.protection.least, amps),
                "poles": c.protection.poles,
                "conductor": c.gauge().value().map(ToString::to_string),
                "sets": c.sets().value().map(|n| n.0),
                "required_conductor": c.conductor.value().and_then(|s| s.required.as_ref()).map(|g| g.value.to_string()),
                "fails": c.conductor.value().map(|s| s.fails.iter().map(|w| format!("{w:?}")).collect::<Vec<_>>()),
                "material": c.material.value().map(|m| m.in_words()),
                "ground": c.ground.value().map(ToString::to_string),
                "available_fault_a": of(&c.protection.available, amps),
                "far_end": crate::sheets_faults::as_json(c),
                "length_m": of(&c.length, &units::METER),
                "drop_v": of(&c.drop, &units::VOLT),
                "drop_pct": of(&c.drop_share, &units::PERCENT),
            })
        })
        .collect();
    let count =
        |fact: Option<&quantity::Fact<quantity::Count>>| fact.and_then(|fact| fact.value()).map(|n| n.0);
    let raceways: Vec<Json> = schedule
        .raceways
        .iter()
        .map(|r| {
            let run = study.design.system.runs.get(r.run.0);
            let segment = run.and_then(|run| run.segments.get(r.segment));
            json!({
                "run": run.map(|run| run.name.to_string()),
                "part": r.segment + 1,
                "where": segment.and_then(|s| s.place.value()).map(|p| p.in_words()),
                "raceway": r.raceway.value().map(|k| k.in_words()),
                "trade_size": r.fill.as_ref().and_then(|f| f.value()).map(|f| f.trade.value.to_string()),
                "fill_pct": r.fill.as_ref().and_then(|f| f.value()).map(|f| number(f.share.si() * 100.0)),
                "supports": count(r.hardware.supports.as_ref()),
                "connectors": r.hardware.connectors.as_ref().map(|n| n.value.0),
                "couplings": count(r.hardware.couplings.as_ref()),
                "quarter_bends": count(r.hardware.quarter_bends.as_ref()),
                "expansion_fittings": count(r.hardware.expansion_fittings.as_ref()),
                "pull_points": count(r.hardware.pull_points.as_ref()),
                "length_m": segment.map_or(Json::Null, |s| of(&s.length, &units::METER)),
            })
        })
        .collect();
    map.insert("circuits".into(), Json::Array(circuits));
    map.insert("raceways".into(), Json::Array(raceways));
    map.insert("neutrals".into(), crate::sheets_legs::as_json(study));
    map.insert("cables".into(), crate::sheets::cables_as_json(study));
    map.insert("boxes".into(), crate::sheets::boxes_as_json(study));
    let (lock_out, enclosures, bonds) = crate::sheets_wiring::as_json(study);
    map.insert("lock_out".into(), lock_out);
    map.insert("enclosures".into(), enclosures);
    map.insert("bonds".into(), bonds);
    map.insert("earth_faults".into(), crate::sheets_earth::as_json(study));
    map.insert("terminals".into(), crate::sheets_terminals::as_json(study));
    map.insert("conductor_losses".into(), crate::sheets_loss::as_json(study));
    map.extend(crate::sheets_protect::as_json(study).map(|(key, value)| (key.to_string(), value)));
    map.extend(crate::sheets_places::as_json(study).map(|(key, value)| (key.to_string(), value)));
    let electrodes: Vec<Json> = study
        .design
        .system
        .electrodes
        .iter()
        .zip(study::electrode_conductors(study))
        .map(|(electrode, least)| {
            json!({
                "electrode": &*electrode.name,
                "kind": electrode.kind.value().map(|kind| kind.in_words()),
                "building": &*electrode.building,
                "at": &*electrode.at,
                "at_least": least.value().map(ToString::to_string),
                "fixed": electrode.conductor.as_ref().map(|fixed| fixed.value.to_string()),
            })
        })
        .collect();
    map.insert("electrodes".into(), Json::Array(electrodes));
    let busbars: Vec<Json> = study::busbars(study)
        .iter()
        .map(|bus| {
            let tests: Vec<Json> = bus
                .answers
                .iter()
                .map(|answer| {
                    json!({
                        "test": study::word_of(answer.test),
                        "clause": answer.clause.clause,
                        "needs_a": of(&answer.needs, &units::AMPERE),
                        "allows_a": of(&answer.allows, &units::AMPERE),
                        "passes": answer.passes.value(),
                    })
                })
                .collect();
            json!({ "panel": &*bus.panel, "passes": bus.passes.value(), "tests": tests })
        })
        .collect();
    map.insert("busbars".into(), Json::Array(busbars));
    let dwelling = study::dwelling(study).map_or(Json::Null, |dwelling| {
        json!({
            "panel": &*dwelling.panel,
            "general_va": of(&dwelling.load.general, &units::VOLT_AMPERE),
            "counted_va": of(&dwelling.load.counted, &units::VOLT_AMPERE),
            "total_va": of(&dwelling.load.total, &units::VOLT_AMPERE),
            "current_a": of(&dwelling.load.current, &units::AMPERE),
        })
    });
    map.insert("dwelling".into(), dwelling);
    map.insert("unknown".into(), Json::Array(missing.0));
    Json::Object(map)
}

/// `uses --json`.
pub fn uses(study: &Study, answer: &Answer) -> Json {
    let mut map = head(study, "uses");
    let mut missing = Missing::default();
    let demand = &study.demand;
    let kwh = |wh: f64| number(wh / 1000.0);
    map.insert("answer".into(), json!(answer.text()));
    map.insert("daily_kwh".into(), of(&demand.daily, &units::KILOWATT_HOUR));
    map.insert("yearly_kwh".into(), of(&demand.yearly, &units::KILOWATT_HOUR));
    let loads: Vec<Json> = demand
        .loads
        .iter()
        .map(|load| {
            missing.note(&load.yearly);
            json!({
                "load": &*load.name,
                "tier": load.tier.value().map(|tier| format!("{tier:?}").to_lowercase()),
                "leg": load.leg.value().map(|leg| format!("{leg:?}").to_lowercase()),
                "running_w": load.running_w.map(number),
                "yearly_kwh": of(&load.yearly, &units::KILOWATT_HOUR),
                "months_kwh": load.months_wh.map(|months| months.map(kwh).to_vec()),
            })
        })
        .collect();
    map.insert("loads".into(), Json::Array(loads));
    let bills = demand.reconciled.as_ref().map(|reconciled| {
        let line = |line: &loads::Reconciled| {
            json!({
                "list_kwh": kwh(line.list_wh),
                "bill_kwh": kwh(line.bill_wh),
                "not_listed_kwh": kwh(line.unexplained_wh),
                "of_bill_pct": line.difference.map(|d| number(d * 100.0)),
                "so": line.agreement.map(loads::Agreement::in_words),
            })
        };
        json!({ "months": reconciled.months.iter().map(line).collect::<Vec<_>>(), "year": line(&reconciled.year) })
    });
    map.insert("against_bills".into(), json!(bills));
    let meter = demand.meter.as_ref().and_then(|meter| meter.as_ref().ok()).map(|meter| {
        let months = meter.account.months.iter().map(|month| {
            json!({
                "year": month.year,
                "month": month.month + 1,
                "taken_kwh": kwh(month.taken_wh),
                "fed_kwh": kwh(month.fed_wh),
                "missing_h": number(month.missing_s as f64 / 3600.0),
                "twice_h": number(month.twice_s as f64 / 3600.0),
                "whole": month.is_whole(),
            })
        });
        json!({ "file": &*meter.name.value, "readings": meter.account.count, "months": months.collect::<Vec<_>>() })
    });
    map.insert("meter".into(), json!(meter));
    if let Err(Unanswered::Missing(gap)) = &demand.years {
        missing.gap(gap);
    }
    map.insert("unknown".into(), Json::Array(missing.0));
    Json::Object(map)
}

/// `buy --json`.
pub fn buy(study: &Study) -> Json {
    let mut map = head(study, "buy");
    let mut missing = Missing::default();
    let lines: Vec<Json> = study
        .bill
        .lines
        .iter()
        .map(|line| {
            missing.note(&line.total);
            json!({
                "group": line.group.in_words(),
                "item": &*line.item,
                "for": line.serves.iter().map(ToString::to_string).collect::<Vec<_>>(),
                "pieces": line.pieces.as_ref().and_then(|n| n.value()).map(|n| n.0),
                "length_m": line.length.as_ref().map_or(Json::Null, |l| of(l, &units::METER)),
                "each": line.each.value().map(|m| number(m.units())),
                "total": line.total.value().map(|m| number(m.units())),
                "note": &*line.note,
            })
        })
        .collect();
    map.insert("currency".into(), json!(study.design.system.currency.code()));
    map.insert("total".into(), number(study.bill.total.value.units()));
    map.insert("lines_without_price".into(), json!(study.bill.without_price));
    map.insert("lines".into(), Json::Array(lines));
    map.insert("unknown".into(), Json::Array(missing.0));
    Json::Object(map)
}

/// `why --json`.
pub fn why(study: &Study, figure: &Figure, chain: &[Line]) -> Json {
    let mut map = head(study, "why");
    let reader = Reader::of(study);
    map.insert("figure".into(), json!(figure.name.as_str()));
    map.insert("says".into(), json!(figure.says));
    map.insert("shown".into(), json!(reader.value(&figure.value)));
    map.insert(
        "si".into(),
        match &figure.value {
            Value::Number { si, .. } => number(*si),
            other => other.number().map_or(Json::Null, number),
        },
    );
    map.insert("standing".into(), json!(figure.origin.standing().in_words()));
    let lines = chain.iter().map(|line| {
        json!({ "depth": line.depth, "text": line.text, "field": line.field.as_ref().map(|f| f.as_str()) })
    });
    map.insert("chain".into(), Json::Array(lines.collect()));
    Json::Object(map)
}

/// A look at weather; of a design with its answer and its best planes.
pub fn weather(look: &study::Look, of: Option<(&Study, &Answer)>, written: &[std::path::PathBuf]) -> Json {
    let years = &look.weather.years;
    let light = crate::sky::spread_of(years.iter().map(|year| year.monthly_ghi_kwh_m2_day()));
    let air = crate::sky::spread_of(years.iter().map(|year| year.monthly_air_c()));
    let months: Vec<Json> = (0..12)
        .map(|month| {
            json!({
                "month": month + 1, "light_kwh_m2_day": number(light[month][1]),
                "dullest_year_kwh_m2_day": number(light[month][0]),
                "brightest_year_kwh_m2_day": number(light[month][2]), "air_c": number(air[month][1]),
            })
        })
        .collect();
    let dullest: Vec<Json> = [3, 5, 10]
        .into_iter()
        .flat_map(|days| {
            crate::sky::dullest_of(look, days, 5).into_iter().map(move |(year, first, mean)| {
                json!({ "days": days, "year": year + 1, "first_day": first + 1, "mean_kwh_m2_day": number(mean) })
            })
        })
        .collect();
    let filled: Vec<Json> = look
        .weather
        .filled
        .iter()
        .map(|stretch| {
            json!({
                "year": stretch.year, "quantity": stretch.quantity.name(), "first_hour": stretch.first_hour,
                "from": stretch.from(), "hours": stretch.hours,
                "first_line": stretch.lines.map(|(first, _)| first),
                "last_line": stretch.lines.map(|(_, last)| last), "left_out_after_line": stretch.after_line,
                "method": stretch.method,
            })
        })
        .collect();
    let [latitude, longitude, elevation, offset] = look.place;
    let mut value = json!({
        "format": FORMAT, "what": "weather", "says": look.says, "latitude_deg": number(latitude),
        "longitude_deg": number(longitude), "elevation_m": number(elevation), "utc_offset_h": number(offset),
        "years": years.len(), "months": months, "dullest": dullest, "report": look.report, "odd": look.odd, "filled": filled, "doubtful": look.weather.doubtful,
        "pictures": written.iter().map(|path| path.display().to_string()).collect::<Vec<_>>(),
    });
    if let Some((study, answer)) = of {
        let planes: Vec<Json> = study
            .finders
            .iter()
            .flatten()
            .map(|found| {
                let best: Vec<Json> = found
                    .best
                    .iter()
                    .map(|best| {
                        json!({
                            "wanted": best.purpose.key(),
                            "tilt_deg": number(quantity::units::DEGREE_UNIT.of_si(best.tilt.si())),
                            "bearing_deg": number(best.bearing.value.degrees()),
                            "given_up_pct": number(best.given_up.si() * 100.0),
                            "months_left_out": best.left_out.iter().map(|m| m + 1).collect::<Vec<_>>(),
                        })
                    })
                    .collect();
                let seasonal: Vec<Json> = found
                    .seasonal
                    .iter()
                    .map(|each| {
                        let tilts: Vec<Json> = each.tilts_deg.iter().map(|t| number(*t)).collect();
                        let starts: Vec<usize> = each.starts.iter().map(|month| month + 1).collect();
                        json!({ "says": each.says, "from_month": starts, "tilts_deg": tilts, "gain_pct": number(each.gain.si() * 100.0) })
                    })
                    .collect();
                let without: Vec<Json> = found
                    .without
                    .iter()
                    .map(|none| json!({ "wanted": none.purpose.key(), "because": none.because }))
                    .collect();
                json!({ "plane": &*found.plane, "best": best, "without": without, "seasonal": seasonal })
            })
            .collect();
        value["answer"] = json!(answer.text());
        value["planes"] = json!(planes);
    }
    value
}

/// Places with what the tables hold near them.
pub fn near(places: &[study::NearPlace]) -> Json {
    let places: Vec<Json> = places
        .iter()
        .map(|place| {
            let cold: Vec<Json> = place
                .cold
                .iter()
                .map(|cold| {
                    let is_extreme = cold.kind <= study::ColdKind::LowestOnRecord;
                    json!({
                        "is": cold.kind.in_words(), "c": number(cold.celsius), "basis": cold.basis,
                        "is_extreme": is_extreme,
                    })
                })
                .collect();
            let zone = place.zone.as_ref().map_or(Json::Null, |zone| {
                let others: Vec<Json> = zone
                    .others
                    .iter()
                    .map(|(zone, town, km)| json!({ "zone": zone, "town": town, "distance_km": number(*km) }))
                    .collect();
                json!({
                    "zone": zone.zone, "town": zone.town, "distance_km": number(zone.distance_km),
                    "others": others,
                })
            });
            json!({
                "name": place.name, "latitude_deg": number(place.latitude_deg),
                "longitude_deg": number(place.longitude_deg), "zone": zone,
                "row": {
                    "id": place.row.id, "name": place.row.in_words(),
                    "latitude_deg": number(place.row.latitude), "longitude_deg": number(place.row.longitude),
                    "elevation_m": place.row.elevation_m.map_or(Json::Null, number),
                    "distance_km": number(place.distance_km), "is_far": place.is_far(),
                },
                "higher_than_row_m": place.higher_m.map_or(Json::Null, number), "cold": cold,
            })
        })
        .collect();
    json!({ "format": FORMAT, "what": "near", "places": places })
}
