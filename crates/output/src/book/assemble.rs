//! The build book of a study: chapters in the order of the questions.

use crate::answers::{Answer, answers};
use crate::book::{Block, Book, Chapter, FindingBlock, Span};
use crate::drawing::{self, ChargeHours, DeviceSymbol, Form, Mark, TitleBlock};
use crate::say::{Reader, day};
use crate::sheets;
use crate::sheets_wiring;
use crate::size::Sized;
use crate::table::{Table, Tone};
use crate::why::why;
use quantity::{FigureName, units};
use rules::Finding;
use study::{Study, YearStudy};

/// The book of a study. The same study gives the same book.
pub fn book(study: &Study, findings: &[Finding]) -> Book {
    book_with_search(study, findings, None)
}

/// As [`book`], with the search for what to build where one was made.
pub fn book_with_search(study: &Study, findings: &[Finding], sized: Option<&Sized<'_>>) -> Book {
    let system = &study.design.system;
    let mut answered = answers(study, findings);
    if let (Some(sized), Some(fourth)) = (sized, answered.get_mut(3)) {
        fourth.sentence = crate::size::sentence(sized);
    }
    let rules = match system.place.rules.value() {
        Some(_) => match &study.wiring {
            Ok(_) => crate::sheets_wiring::rule_set(study).to_string(),
            Err(not_built) => not_built.to_string(),
        },
        None => "rules not known".to_string(),
    };
    let units = match system.units {
        quantity::Units::Us => "us",
        quantity::Units::Metric => "metric",
    };
    let mut chapters = vec![
        summary(&answered),
        findings_chapter(study, findings),
        open_chapter(study, findings),
        loads_chapter(study, &answered),
        sky_chapter(study, &answered),
        size_chapter(&answered, sized),
        year_chapter(study, &answered),
        parts_chapter(study, &answered),
        wiring_chapter(study, &answered),
        buy_chapter(study, &answered),
    ];
    let workings = workings(study, &chapters);
    chapters.push(workings);
    Book {
        title: system.title.to_string(),
        subtitle: "Build book".into(),
        facts: vec![
            ("house".into(), system.title.to_string()),
            (
                "revision".into(),
                if system.revision.is_empty() { "not numbered".into() } else { system.revision.to_string() },
            ),
            ("rules".into(), rules),
            ("units".into(), units.into()),
        ],
        chapters,
    }
}

fn chapter(id: &str, title: &str, blocks: Vec<Block>) -> Chapter {
    Chapter { id: id.into(), title: title.into(), blocks }
}

fn answer(answered: &[Answer], question: usize) -> Block {
    Block::Answer(answered.get(question - 1).map(|a| a.sentence.clone()).unwrap_or_default())
}

fn text(words: impl Into<String>) -> Block {
    Block::Text(vec![Span::plain(words)])
}

fn table(blocks: &mut Vec<Block>, table: Table) {
    if !table.rows.is_empty() {
        blocks.push(Block::Table(table));
    }
}

fn summary(answered: &[Answer]) -> Chapter {
    let items = answered
        .iter()
        .map(|a| {
            let mut spans = vec![Span { text: format!("{} ", a.title), figure: None, tone: Tone::Soft }];
            spans.extend(a.sentence.iter().cloned());
            spans
        })
        .collect();
    chapter(
        "summary",
        "The ten questions",
        vec![
            Block::Caution(
                "This book says what meets and what does not meet named clauses, as entered. The local authority, licensed \
                 people and the makers' manuals decide. Work on live parts, on roofs and near batteries can kill: isolate, \
                 lock out, prove the absence of voltage with a meter proved before and after."
                    .into(),
            ),
            Block::List(items),
        ],
    )
}

/// A finding as it is shown.
pub fn finding_block(study: &Study, finding: &Finding) -> FindingBlock {
    let place = finding.at.first().map(|place| {
        let line =
            study.design.place_of(&place.field).map(|(line, _)| format!("line {line}, ")).unwrap_or_default();
        format!("{line}{}", place.field)
    });
    let mut more = finding.more.clone();
    if let Some(gap) = &finding.undecided {
        more.push(format!("Not decided until known: {}.", crate::say::listed(&crate::say::missing(gap))));
    }
    FindingBlock {
        code: finding.code.into(),
        severity: finding.severity.word().into(),
        undecided: finding.undecided.is_some(),
        says: finding.says.clone(),
        more,
        remedies: finding.remedies.iter().map(|r| r.says.clone()).collect(),
        clause: finding.clause.to_string(),
        place: place.unwrap_or_default(),
    }
}

fn findings_chapter(study: &Study, findings: &[Finding]) -> Chapter {
    let mut blocks = Vec::new();
    if findings.is_empty() {
        blocks.push(text("No rule that is built stands against this design, as entered."));
    }
    blocks.extend(findings.iter().map(|f| Block::Finding(finding_block(study, f))));
    chapter("findings", "Findings", blocks)
}

fn open_chapter(study: &Study, findings: &[Finding]) -> Chapter {
    let mut blocks = Vec::new();
    table(&mut blocks, sheets::questions(study, findings));
    table(&mut blocks, sheets::assumptions(study));
    table(&mut blocks, sheets::recorded(study));
    if blocks.is_empty() {
        blocks.push(text("Nothing is open and nothing was assumed."));
    }
    chapter("open", "Open questions and assumptions", blocks)
}

fn loads_chapter(study: &Study, answered: &[Answer]) -> Chapter {
    let mut blocks = vec![answer(answered, 2)];
    for picture in crate::demand::pictures(study, Form::Wide) {
        blocks.push(Block::Picture {
            id: picture.id,
            title: picture.title,
            describes: picture.describes,
            drawing: picture.drawing,
        });
        table(&mut blocks, picture.table);
    }
    for each in crate::demand::all_tables(study) {
        table(&mut blocks, each);
    }
    chapter("loads", "How much do we use?", blocks)
}

fn sky_chapter(study: &Study, answered: &[Answer]) -> Chapter {
    let mut blocks = vec![answer(answered, 3)];
    table(&mut blocks, crate::sky::bearings(study));
    if let Some(rows) = crate::sky::rows(study) {
        table(&mut blocks, rows);
    }
    for each in [crate::sky::obstacles(study), crate::sky::best_planes(study)].into_iter().flatten() {
        table(&mut blocks, each);
    }
    for picture in crate::sky::pictures(study, Form::Wide) {
        blocks.push(Block::Picture {
            id: picture.id,
            title: picture.title,
            describes: picture.describes,
            drawing: picture.drawing,
        });
        table(&mut blocks, picture.table);
    }
    if let Some(best) = crate::sky::best_months(study) {
        table(&mut blocks, best);
    }
    if let Ok(look) = study::look_at_study(study) {
        table(&mut blocks, crate::sky::weather_table(&look, study.design.system.units));
        if let Some(filled) = crate::sky::filled_table(&look) {
            table(&mut blocks, filled);
        }
    }
    blocks.extend(crate::sky::weather_remarks(study).into_iter().map(text));
    chapter("sky", "What does our sky give?", blocks)
}

fn size_chapter(answered: &[Answer], sized: Option<&Sized<'_>>) -> Chapter {
    let mut blocks = vec![answer(answered, 4)];
    if let Some(sized) = sized {
        if let Some(drawing) = crate::size::picture(sized, Form::Wide) {
            let (title, describes) = crate::size::picture_words(sized);
            blocks.push(Block::Picture { id: "size-picture".into(), title, describes, drawing });
        }
        if let Some(drawing) = crate::size::budget(sized, Form::Wide) {
            let (title, describes) = crate::size::BUDGET;
            blocks.push(Block::Picture {
                id: "stages-picture".into(),
                title: title.into(),
                describes: describes.into(),
                drawing,
            });
        }
        for each in crate::size::tables(sized) {
            table(&mut blocks, each);
        }
        blocks.extend(crate::size::remarks(sized).into_iter().map(text));
    }
    chapter("size", "What should we build?", blocks)
}

/// State of charge of the middling year as a map.
pub fn charge_picture(year: &YearStudy, form: Form) -> Option<drawing::Drawing> {
    let result = year.result()?;
    let backup: Vec<bool> = result.mode.iter().map(|mode| *mode == 1).collect();
    let dark: Vec<bool> = result.mode.iter().map(|mode| *mode == 2).collect();
    let worst = year.worst.as_ref().filter(|w| w.backup_h > 0.0 || w.dark_h > 0.0);
    let hours = ChargeHours {
        charge: &result.state_of_charge,
        backup: &backup,
        dark: &dark,
        backup_name: if year.backup_name == "the generator" { "on the generator" } else { "on the utility" },
        worst: worst.map(|w| w.first_day..w.first_day + w.days),
        worst_name: "the worst ten days",
    };
    Some(drawing::charge_map(&hours, form))
}

/// Where the energy of each month came from.
pub fn months_picture(year: &YearStudy, form: Form) -> drawing::Drawing {
    let kwh = |take: fn(&study::MonthStudy) -> f64| -> [f64; 12] {
        std::array::from_fn(|i| year.months.get(i).map_or(0.0, |m| units::KILOWATT_HOUR.of_si(take(m))))
    };
    let mut series = vec![
        ("straight from the sun", "sun", kwh(|m| m.from_sun.si())),
        ("through the battery", "battery", kwh(|m| m.from_battery.si())),
        ("from utility or generator", "backup", kwh(|m| m.backup.si())),
    ];
    let missing = kwh(|m| m.missing.si());
    // Less than a printed tenth of a kilowatt-hour cannot be seen in a bar.
    if missing.iter().any(|kwh| *kwh > 0.05) {
        series.push(("missing", "dark", missing));
    }
    drawing::months_stacked(&series, "kWh", form)
}

fn year_chapter(study: &Study, answered: &[Answer]) -> Chapter {
    let mut blocks = vec![answer(answered, 5)];
    if let Ok(year) = &study.year {
        if let Some(drawing) = charge_picture(year, Form::Wide) {
            blocks.push(Block::Picture {
                id: "charge-map".into(),
                title: "How full the battery is, every hour".into(),
                describes: "Days run across, the hours of the day down, in the middling year.".into(),
                drawing,
            });
        }
        blocks.push(Block::Picture {
            id: "months-chart".into(),
            title: "Where the energy came from".into(),
            describes: "Twelve bars of what each month used, by where it came from.".into(),
            drawing: months_picture(year, Form::Wide),
        });
        table(&mut blocks, sheets::months(study, year));
        table(&mut blocks, sheets::seasons(year));
        table(&mut blocks, sheets::worst_month(study, year));
        table(&mut blocks, sheets::every_year(year));
        table(&mut blocks, sheets::rehearsal(study, year));
        table(&mut blocks, sheets::without_a_unit(study, year));
        table(&mut blocks, sheets::waited(study, year));
        table(&mut blocks, sheets::by_rate(study, year));
        table(&mut blocks, sheets::near_limits(study, year));
        table(&mut blocks, sheets::at_inputs(study, year));
        table(&mut blocks, sheets::within_hour(study));
        table(&mut blocks, sheets::losses(study, year));
        if let Some(worst) = &year.worst {
            blocks.push(text(format!(
                "The worst ten days of the middling year run from {} to {}: {:.0} hours on backup, {:.0} dark hours, the battery {:.0} % full on average.",
                day(worst.first_day),
                day(worst.first_day + worst.days - 1),
                worst.backup_h,
                worst.dark_h,
                worst.mean_charge * 100.0
            )));
        }
    }
    chapter("year", "Will it carry us through the year?", blocks)
}

fn parts_chapter(study: &Study, answered: &[Answer]) -> Chapter {
    let mut blocks = vec![answer(answered, 6)];
    table(&mut blocks, sheets::equipment(study));
    table(&mut blocks, sheets::strings(study));
    table(&mut blocks, sheets::legs(study));
    table(&mut blocks, sheets::module_curves(study));
    table(&mut blocks, sheets::busiest_minutes(study));
    if let Some(drawing) = sheets::legs_picture(study, Form::Wide) {
        blocks.push(Block::Picture {
            id: "leg-loads".into(),
            title: "What each leg bears".into(),
            describes: sheets::LEGS.into(),
            drawing,
        });
    }
    let strings = crate::strings::voltage(study, Form::Wide).into_iter();
    for picture in strings.chain(crate::strings::layout(study, Form::Wide)) {
        with_table(&mut blocks, picture);
    }
    chapter("parts", "Do the parts fit together?", blocks)
}

/// A picture with the numbers behind it.
fn with_table(blocks: &mut Vec<Block>, picture: crate::sky::SkyPicture) {
    blocks.push(Block::Picture {
        id: picture.id,
        title: picture.title,
        describes: picture.describes,
        drawing: picture.drawing,
    });
    table(blocks, picture.table);
}

/// The one-line diagram of a study, its flags carrying the schedule's identifiers: a sheet, or the form for a phone.
pub fn one_line_picture(study: &Study, form: Form) -> drawing::Drawing {
    let graph = &study.design.graph;
    let schedule = study.wiring.as_ref().ok();
    let marks: Vec<Mark> = graph
        .circuits
        .iter()
        .enumerate()
        .map(|(i, circuit)| {
            let sized = schedule.and_then(|s| s.circuits.get(i));
            let device = sized.filter(|s| s.protection.needed.value() != Some(&false)).map(|s| {
                match s.protection.supply {
                    wiring::Supply::Dc => DeviceSymbol::Fuse,
                    wiring::Supply::Ac => DeviceSymbol::Breaker,
                }
            });
            let label = sized.map_or_else(|| format!("C{:02}", i + 1), |s| sheets::identifier(i, s));
            Mark { circuit: circuit.name.to_string(), device, label }
        })
        .collect();
    let system = &study.design.system;
    let rules = match &study.wiring {
        Ok(_) => crate::sheets_wiring::rule_set(study).to_string(),
        Err(not_built) => not_built.to_string(),
    };
    let title = TitleBlock {
        title: system.title.to_string(),
        revision: system.revision.to_string(),
        rule_set: rules,
    };
    match form {
        Form::Wide => drawing::one_line(graph, &marks, &title),
        Form::Phone => drawing::one_line_narrow(graph, &marks, &title),
    }
}

fn wiring_chapter(study: &Study, answered: &[Answer]) -> Chapter {
    let mut blocks = vec![
        answer(answered, 7),
        Block::Caution(
            "Conductors of modules are live whenever light falls on them, battery terminals always, and the service side of \
             the utility until the utility opens it. Capacitors in inverters hold charge for minutes after switching off."
                .into(),
        ),
        Block::Picture {
            id: "one-line".into(),
            title: "One-line diagram".into(),
            describes: "Sources left, the house right; each flag carries the identifier of the circuit schedule.".into(),
            drawing: one_line_picture(study, Form::Wide),
        },
    ];
    match &study.wiring {
        Ok(_) => sheets_wiring::tables(study).into_iter().for_each(|each| table(&mut blocks, each)),
        Err(not_built) => {
            blocks.push(text(format!("The schedules are {not_built}. A licensed electrician sizes them.")));
        }
    }
    chapter("wiring", "How is it wired?", blocks)
}

fn buy_chapter(study: &Study, answered: &[Answer]) -> Chapter {
    let mut blocks = vec![answer(answered, 8)];
    table(&mut blocks, sheets::bill(study));
    for picture in crate::money::pictures(study, Form::Wide) {
        with_table(&mut blocks, picture);
    }
    for each in crate::money::all_tables(study) {
        table(&mut blocks, each);
    }
    chapter("buy", "What do we buy?", blocks)
}

/// Columns of the circuit and string schedules whose workings stand in the book; `why` explains all others.
const WORKED: [&str; 6] = ["/conductor", "/device", "/drop", "/cold-voc", "/hot-vmp", "/longest"];
/// Lines of one working in the book; the whole chain is printed by `why`.
const LINES: usize = 26;

/// Workings of the figures that sentences and the schedules show.
fn workings(study: &Study, chapters: &[Chapter]) -> Chapter {
    let reader = Reader::of(study);
    let mut wanted: Vec<FigureName> = Vec::new();
    let mut want = |name: &FigureName| {
        if study.figure(name.as_str()).is_some() && !wanted.contains(name) {
            wanted.push(name.clone());
        }
    };
    for chapter in chapters {
        for block in &chapter.blocks {
            match block {
                Block::Answer(spans) | Block::Text(spans) => {
                    spans.iter().filter_map(|s| s.figure.as_ref()).for_each(&mut want)
                }
                Block::List(items) => {
                    items.iter().flatten().filter_map(|s| s.figure.as_ref()).for_each(&mut want)
                }
                Block::Table(table) if table.id == "circuits" || table.id == "strings" => {
                    let cells = table.rows.iter().flat_map(|r| &r.cells).filter_map(|c| c.figure.as_ref());
                    cells
                        .filter(|name| WORKED.iter().any(|end| name.as_str().ends_with(end)))
                        .for_each(&mut want);
                }
                _ => {}
            }
        }
    }
    let blocks = wanted
        .iter()
        .filter_map(|name| study.figure(name.as_str()))
        .map(|figure| {
            let mut lines: Vec<(u8, String)> = why(figure, &study.design, &reader)
                .into_iter()
                .filter(|line| line.depth <= 3)
                .map(|line| (line.depth, line.text))
                .collect();
            let more = lines.len().saturating_sub(LINES);
            if more > 0 {
                lines.truncate(LINES);
                lines.push((1, format!("… and {more} more lines: wattwright why DESIGN {}", figure.name)));
            }
            Block::Working { figure: figure.name.clone(), lines }
        })
        .collect();
    chapter("workings", "Workings", blocks)
}
