//! check, year, wire, buy, cost.

use crate::args::{Check, Schedule, YearOf};
use crate::load::{self, Loaded};
use crate::show::{self, Failure, WIDTH};
use crate::{CLEAN, FAILED, FOUND};
use output::answers::{Answer, answers};
use output::json;
use output::table::{Table, terminal};
use output::{book::Span, sheets, sheets_wiring};
use rules::{Finding, Severity};
use study::{Depth, Study};

pub(crate) fn table(table: &Table) {
    if !table.rows.is_empty() {
        show::line(&terminal(table, WIDTH));
    }
}

/// Exit status of a study: anything that blocks is a finding.
pub(crate) fn status(findings: &[Finding]) -> u8 {
    if findings.iter().any(Finding::blocks) { FOUND } else { CLEAN }
}

/// Prints the problems of a text that was not understood; the status is then that of a failure.
pub(crate) fn refused(loaded: &Loaded, json: bool) -> Option<u8> {
    if loaded.design.problems.is_empty() {
        return None;
    }
    if json {
        show::json(&serde_json::json!({
            "format": json::FORMAT, "what": "problems", "problems": json::problems(&loaded.design, &loaded.file),
        }));
    } else {
        show::problems(&loaded.design, &loaded.file);
        let count = output::say::plural(loaded.design.problems.len(), "problem", "problems");
        show::aside(&format!(
            "{count} in {}; nothing is answered from a text that is not understood",
            loaded.file
        ));
    }
    Some(FAILED)
}

pub(crate) fn check(args: &Check, json: bool) -> Result<u8, Failure> {
    let loaded = load::design(&args.design)?;
    if let Some(status) = refused(&loaded, json) {
        return Ok(status);
    }
    let depth = if args.no_year { Depth::WithoutYear } else { Depth::Whole };
    let (study, findings) = load::study(&loaded, depth)?;
    let answered = answers(&study, &findings);
    if json {
        show::json(&json::check(&study, &findings, &answered, &loaded.file));
        return Ok(status(&findings));
    }
    for finding in &findings {
        show::finding(&study, finding, &loaded.file);
    }
    if args.questions {
        table(&sheets::questions(&study, &findings));
        if !study.design.system.place.coldest.is_known()
            && let Some(near) = study::near_design(&study.design.system.place)
        {
            super::weather::say_near(&near, study.design.system.units);
        }
        table(&sheets::assumptions(&study));
        table(&sheets::recorded(&study));
    }
    for answer in &answered {
        let text = format!("{:>2}  {} {}", answer.question, answer.title, answer.text());
        show::line(&show::wrap(&text, WIDTH, "    "));
    }
    show::line("");
    show::line(&summary(&study, &findings));
    Ok(status(&findings))
}

fn summary(study: &Study, findings: &[Finding]) -> String {
    let count = |severity, undecided| {
        findings.iter().filter(|f| f.severity == severity && f.undecided.is_some() == undecided).count()
    };
    let parts = [
        (count(Severity::Danger, false), "danger", "dangers"),
        (count(Severity::Breach, false), "breach", "breaches"),
        (count(Severity::Danger, true) + count(Severity::Breach, true), "undecided", "undecided"),
        (count(Severity::Doubt, false) + count(Severity::Doubt, true), "doubt", "doubts"),
        (count(Severity::Note, false) + count(Severity::Note, true), "note", "notes"),
    ];
    let said: Vec<String> = parts
        .into_iter()
        .filter(|(n, _, _)| *n > 0)
        .map(|(n, one, many)| output::say::plural(n, one, many))
        .collect();
    let open = study.design.questions().len();
    let open = if open > 0 {
        format!("; {} (--questions)", output::say::plural(open, "open question", "open questions"))
    } else {
        String::new()
    };
    if said.is_empty() { format!("no findings{open}") } else { format!("{}{open}", said.join(", ")) }
}

fn answer(study: &Study, findings: &[Finding], question: usize) -> Answer {
    answers(study, findings).swap_remove(question - 1)
}

/// Says on standard error what else stands against the design.
fn note(study: &Study, findings: &[Finding]) {
    if findings.iter().any(Finding::blocks) {
        show::aside(&format!("{}: run check", summary(study, findings)));
    }
}

pub(crate) fn year(args: &YearOf, json: bool) -> Result<u8, Failure> {
    let loaded = load::design(&args.design)?;
    if let Some(status) = refused(&loaded, json) {
        return Ok(status);
    }
    let (study, findings) = load::study(&loaded, Depth::Whole)?;
    let answer = answer(&study, &findings, 5);
    if let Ok(year) = &study.year {
        super::hours::write(&study, year, args, json)?;
    }
    if json {
        show::json(&json::year(&study, &answer));
        return Ok(status(&findings));
    }
    show::sentence(&answer.sentence);
    if let Ok(year) = &study.year {
        show::line("");
        table(&sheets::months(&study, year));
        table(&sheets::seasons(year));
        table(&sheets::worst_month(&study, year));
        table(&sheets::every_year(year));
        table(&sheets::rehearsal(&study, year));
        table(&sheets::without_a_unit(&study, year));
        table(&sheets::waited(&study, year));
        table(&sheets::by_rate(&study, year));
        table(&sheets::near_limits(&study, year));
        table(&sheets::at_inputs(&study, year));
        table(&sheets::within_hour(&study));
        table(&sheets::busiest_minutes(&study));
        table(&sheets::losses(&study, year));
        if let Ok(sky) = &study.sky {
            show::line(&show::wrap(&format!("Weather: {}.", sky.says), WIDTH, "  "));
            for remark in output::sky::weather_remarks(&study) {
                show::line(&show::wrap(&remark, WIDTH, "  "));
            }
        }
    }
    note(&study, &findings);
    Ok(status(&findings))
}

pub(crate) fn uses(args: &Schedule, json: bool) -> Result<u8, Failure> {
    let loaded = load::design(&args.design)?;
    if let Some(status) = refused(&loaded, json) {
        return Ok(status);
    }
    let (study, findings) = load::study(&loaded, Depth::Whole)?;
    let answer = answer(&study, &findings, 2);
    if json {
        show::json(&json::uses(&study, &answer));
        return Ok(status(&findings));
    }
    let tables = output::demand::all_tables(&study);
    if args.csv {
        for (i, each) in tables.iter().enumerate() {
            if i > 0 {
                show::line("");
            }
            csv(each)?;
        }
        return Ok(status(&findings));
    }
    show::sentence(&answer.sentence);
    show::line("");
    tables.iter().for_each(table);
    note(&study, &findings);
    Ok(status(&findings))
}

pub(crate) fn wire(args: &Schedule, json: bool) -> Result<u8, Failure> {
    let loaded = load::design(&args.design)?;
    if let Some(status) = refused(&loaded, json) {
        return Ok(status);
    }
    let (study, findings) = load::study(&loaded, Depth::Whole)?;
    if json {
        show::json(&json::wire(&study));
        return Ok(status(&findings));
    }
    let tables = sheets_wiring::tables(&study);
    if args.csv {
        for (i, each) in tables.iter().enumerate() {
            if i > 0 {
                show::line("");
            }
            csv(each)?;
        }
        return Ok(status(&findings));
    }
    show::sentence(&answer(&study, &findings, 7).sentence);
    show::line("");
    tables.iter().for_each(table);
    note(&study, &findings);
    Ok(status(&findings))
}

pub(crate) fn buy(args: &Schedule, json: bool) -> Result<u8, Failure> {
    let loaded = load::design(&args.design)?;
    if let Some(status) = refused(&loaded, json) {
        return Ok(status);
    }
    let (study, findings) = load::study(&loaded, Depth::WithoutYear)?;
    if json {
        show::json(&json::buy(&study));
        return Ok(status(&findings));
    }
    let bill = sheets::bill(&study);
    if args.csv {
        csv(&bill)?;
        return Ok(status(&findings));
    }
    show::sentence(&answer(&study, &findings, 8).sentence);
    let first = answer(&study, &findings, 1);
    if first.open {
        show::sentence(&[Span::plain(first.text())]);
    }
    show::line("");
    table(&bill);
    note(&study, &findings);
    Ok(status(&findings))
}

pub(crate) fn cost(args: &Schedule, json: bool) -> Result<u8, Failure> {
    let loaded = load::design(&args.design)?;
    if let Some(status) = refused(&loaded, json) {
        return Ok(status);
    }
    let (study, findings) = load::study(&loaded, Depth::Whole)?;
    let answer = answer(&study, &findings, 8);
    if json {
        show::json(&json::cost(&study, &answer));
        return Ok(status(&findings));
    }
    let mut tables = output::money::all_tables(&study);
    let pictures = output::money::pictures(&study, output::drawing::Form::Wide);
    tables.extend(pictures.into_iter().map(|picture| picture.table));
    if args.csv {
        for (i, each) in tables.iter().enumerate() {
            if i > 0 {
                show::line("");
            }
            csv(each)?;
        }
        return Ok(status(&findings));
    }
    show::sentence(&answer.sentence);
    if let Err(why) = &study.year {
        let (sentence, _) = output::answers::cannot(why);
        show::sentence(&sentence);
    }
    show::line("");
    tables.iter().for_each(table);
    note(&study, &findings);
    Ok(status(&findings))
}

/// A table as comma-separated values: heads with their units, then rows.
fn csv(table: &Table) -> Result<(), Failure> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    let fail = |e: csv::Error| Failure::new(format!("comma-separated values: {e}"), "");
    let heads = table
        .columns
        .iter()
        .map(|c| if c.unit.is_empty() { c.head.clone() } else { format!("{} [{}]", c.head, c.unit) });
    writer.write_record(heads).map_err(fail)?;
    for row in &table.rows {
        writer.write_record(row.cells.iter().map(|cell| cell.text.replace('−', "-"))).map_err(fail)?;
    }
    let bytes = writer.into_inner().map_err(|e| Failure::new(e.to_string(), ""))?;
    show::line(String::from_utf8_lossy(&bytes).trim_end());
    Ok(())
}
