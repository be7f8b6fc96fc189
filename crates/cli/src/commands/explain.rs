//! why, rule, schema.

use super::answers::refused;
use crate::args::Why;
use crate::load;
use crate::show::{self, Failure, WIDTH, wrap};
use crate::{CLEAN, FAILED};
use output::say::Reader;
use study::Depth;

pub(crate) fn why(args: &Why, json: bool) -> Result<u8, Failure> {
    let loaded = load::design(&args.design)?;
    if let Some(status) = refused(&loaded, json) {
        return Ok(status);
    }
    let (study, _) = load::study(&loaded, Depth::Whole)?;
    let reader = Reader::of(&study);
    let Some(wanted) = &args.figure else {
        if json {
            let names: Vec<&str> = all(&study).map(|figure| figure.name.as_str()).collect();
            show::json(
                &serde_json::json!({ "format": output::json::FORMAT, "what": "figures", "figures": names }),
            );
            return Ok(CLEAN);
        }
        for figure in all(&study) {
            show::line(&format!("{:56} {}", figure.name.as_str(), reader.value(&figure.value)));
        }
        let prefix = ::size::PREFIX;
        show::aside(&format!(
            "Each of them can be asked of every system of question 4: {prefix}/{}/NAME as drawn, and by its settings as \
             size --json names them.",
            ::size::AS_DRAWN
        ));
        return Ok(CLEAN);
    };
    let found = study
        .figure(wanted)
        .cloned()
        .or_else(|| ::size::explain(&loaded.design, loaded.weather.as_ref(), wanted));
    let Some(figure) = &found else {
        let near = nearest(wanted, all(&study).map(|figure| figure.name.as_str()));
        let help = match near.as_slice() {
            _ if wanted.starts_with(::size::PREFIX) => {
                "size --json names every system and every supposition, such as size/as-drawn/bill/total"
                    .to_string()
            }
            [] => "list all figures: wattwright why DESIGN".to_string(),
            names => format!("did you mean {}?", names.join(" or ")),
        };
        return Err(Failure::new(format!("no figure of this design is called {wanted}"), help));
    };
    let chain = output::why::why(figure, &study.design, &reader);
    if json {
        show::json(&output::json::why(&study, figure, &chain));
        return Ok(CLEAN);
    }
    for line in &chain {
        let indent = "  ".repeat(usize::from(line.depth));
        let text = wrap(&line.text, WIDTH - indent.len(), &format!("{indent}    "));
        show::line(&format!("{indent}{text}"));
    }
    show::line(&format!("weakest source in the chain: {}", figure.origin.standing().in_words()));
    Ok(CLEAN)
}

/// Every figure, those of the minutes last.
fn all(study: &study::Study) -> impl Iterator<Item = &quantity::Figure> {
    study.figures.values().chain(study.within_hour().into_iter().flat_map(|within| &within.figures))
}

/// Names that share the most with what was typed.
fn nearest<'a>(wanted: &str, names: impl Iterator<Item = &'a str>) -> Vec<&'a str> {
    let words: Vec<&str> = wanted.split(['/', '-', ' ']).filter(|word| word.len() > 2).collect();
    let mut scored: Vec<(usize, &str)> = names
        .map(|name| (words.iter().filter(|word| name.contains(*word)).count(), name))
        .filter(|(score, _)| *score > 0)
        .collect();
    scored.sort_by_key(|(score, name)| (std::cmp::Reverse(*score), name.len()));
    scored.into_iter().take(3).map(|(_, name)| name).collect()
}

pub(crate) fn rule(code: Option<&str>, json: bool) -> Result<u8, Failure> {
    let Some(code) = code else {
        if json {
            let all: Vec<_> = rules::RULES
                .iter()
                .map(|r| serde_json::json!({ "code": r.code, "name": r.name, "severity": r.severity.word(), "clause": r.clause.to_string() }))
                .collect();
            show::json(&serde_json::json!({ "format": output::json::FORMAT, "what": "rules", "rules": all }));
        } else {
            for rule in rules::RULES {
                show::line(&format!(
                    "{:8} {:8} {}",
                    rule.code,
                    rule.severity.word(),
                    rule.name.replace('-', " ")
                ));
            }
        }
        return Ok(CLEAN);
    };
    let Some(rule) =
        rules::RULES.iter().find(|rule| rule.code.eq_ignore_ascii_case(code) || rule.name == code)
    else {
        show::failure(
            &Failure::new(format!("no rule has the code {code}"), "list all rules: wattwright rule"),
            json,
        );
        return Ok(FAILED);
    };
    if json {
        show::json(&serde_json::json!({
            "format": output::json::FORMAT, "what": "rule", "code": rule.code, "name": rule.name,
            "severity": rule.severity.word(), "clause": rule.clause.to_string(), "about": rule.about(),
        }));
    } else {
        show::line(&format!("{} ({}), {}", rule.code, rule.severity.word(), rule.clause));
        show::line("");
        show::line(&rule.about());
    }
    Ok(CLEAN)
}

pub(crate) fn schema(guide: bool) -> u8 {
    if guide {
        show::line(design::guide::guide(design::catalogue::TABLES).trim_end());
    } else {
        show::json(&design::schema::schema(design::catalogue::TABLES));
    }
    CLEAN
}
