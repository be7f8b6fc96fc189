//! The answer to each of the ten questions as a sentence. An answer is never better than the worst unknown beneath it.

use crate::book::Span;
use crate::say::{Reader, day, fixed, listed, missing, plural};
use quantity::{FigureName, units};
use rules::{Finding, Severity};
use study::{Study, Unanswered};

/// The ten questions.
pub const QUESTIONS: [&str; 10] = [
    "May I build it?",
    "How much do we use?",
    "What does our sky give?",
    "What should we build?",
    "Will it carry us through the year?",
    "Do the parts fit together?",
    "How is it wired, and what protects us?",
    "What do we buy?",
    "How do we build and prove it?",
    "Is it doing what it should?",
];

/// An answer.
#[derive(Clone, Debug, PartialEq)]
pub struct Answer {
    /// Question, from 1.
    pub question: u8,
    /// The question.
    pub title: &'static str,
    /// The sentence.
    pub sentence: Vec<Span>,
    /// The same in a few words.
    pub short: String,
    /// Whether something keeps it from being said.
    pub open: bool,
}

impl Answer {
    pub(crate) fn new(question: u8, sentence: Vec<Span>, short: impl Into<String>) -> Self {
        Answer {
            question,
            title: QUESTIONS[usize::from(question) - 1],
            sentence,
            short: short.into(),
            open: false,
        }
    }

    pub(crate) fn open(mut self) -> Self {
        self.open = true;
        self
    }

    /// The sentence as plain text.
    pub fn text(&self) -> String {
        self.sentence.iter().map(|span| span.text.as_str()).collect()
    }
}

/// All ten answers.
pub fn answers(study: &Study, findings: &[Finding]) -> Vec<Answer> {
    vec![
        permits(study),
        crate::demand::answer(study),
        sky(study),
        crate::answers_parts::size(study),
        year(study, findings),
        crate::answers_parts::fit(study, findings),
        crate::answers_parts::wired(study, findings),
        buy(study),
        built(study),
        Answer::new(10, plain("The journal of readings is not built yet."), "not built yet").open(),
    ]
}

/// Question of the ten a finding belongs to, by the table its first place stands in.
pub fn question_of(finding: &Finding) -> u8 {
    let field = finding.at.first().map(|place| place.field.as_str()).unwrap_or("");
    let key = field.split('.').next().unwrap_or("");
    design::catalogue::TABLES.iter().find(|table| table.key == key).map_or(6, |table| table.question)
}

pub(crate) fn plain(text: impl Into<String>) -> Vec<Span> {
    vec![Span::plain(text)]
}

/// "Cannot be said until … is known", for an answer that is missing facts.
pub fn cannot(why: &Unanswered) -> (Vec<Span>, String) {
    match why {
        Unanswered::Missing(gap) => {
            let facts = missing(gap);
            let shown = listed(&facts[..facts.len().min(4)]);
            let more = facts.len().saturating_sub(4);
            let rest = if more > 0 { format!(", and {} more", more) } else { String::new() };
            (
                plain(format!("Cannot be said until these are known: {shown}{rest}.")),
                format!("{} wanted", plural(facts.len(), "answer", "answers")),
            )
        }
        Unanswered::Refused { because, .. } => {
            (plain(format!("Cannot be said: {because}.")), "cannot be said".into())
        }
        Unanswered::NotAsked => (plain("Not asked for in this run."), "not asked".into()),
    }
}

fn permits(study: &Study) -> Answer {
    let permits = &study.design.system.permits;
    let open: Vec<String> =
        permits.iter().filter(|p| !p.answer.is_known()).map(|p| p.asks.to_string()).collect();
    let no: Vec<String> =
        permits.iter().filter(|p| p.answer.value() == Some(&false)).map(|p| p.asks.to_string()).collect();
    let hired = &study.design.system.hired_out;
    let unlisted: Vec<String> =
        study.design.system.listings.iter().filter(|l| !l.mark.is_known()).map(|l| l.part.clone()).collect();
    if !open.is_empty() {
        let text = format!(
            "Plan, but do not buy yet: {} still open. {}",
            plural(open.len(), "answer is", "answers are"),
            open.join(" ")
        );
        let marks = if unlisted.is_empty() {
            String::new()
        } else {
            format!(" No listing mark is known of {}.", listed(&unlisted))
        };
        let text = format!("{text}{marks}");
        return Answer::new(1, plain(text), format!("{} wanted", plural(open.len(), "answer", "answers")))
            .open();
    }
    if !unlisted.is_empty() {
        let text = format!("Plan, but do not buy yet: no listing mark is known of {}.", listed(&unlisted));
        return Answer::new(
            1,
            plain(text),
            format!("{} of parts wanted", plural(unlisted.len(), "mark", "marks")),
        )
        .open();
    }
    if !no.is_empty() {
        let by = if hired.is_empty() {
            "Someone else must do that part.".to_string()
        } else {
            format!("Hired out: {}.", listed(&hired.iter().map(ToString::to_string).collect::<Vec<_>>()))
        };
        return Answer::new(
            1,
            plain(format!("Not all of it yourself. Answered with no: {} {by}", no.join(" "))),
            "part is hired out",
        );
    }
    Answer::new(
        1,
        plain("Every office you listed has answered yes. The local authority decides in the end."),
        "all answered yes",
    )
}

fn sky(study: &Study) -> Answer {
    let sky = match &study.sky {
        Ok(sky) => sky,
        Err(why) => {
            let (sentence, short) = cannot(why);
            return Answer::new(3, sentence, short).open();
        }
    };
    let mut sentence = Vec::new();
    let mut short = String::new();
    for plane in &study.planes {
        match plane {
            Ok(plane) => {
                let least = plane.months_kwh_m2_day[plane.least_month];
                let month = day(sun::MONTH_DAYS[..plane.least_month].iter().sum());
                let month = month.trim_start_matches("1 ").to_string();
                sentence.push(Span::plain(format!("The {} gets ", plane.name)));
                let text = format!("{} sun hours", fixed(plane.daily.si(), 1));
                sentence.push(Span::figure(text, FigureName::new(&["planes", &plane.name, "sun-hours"])));
                sentence.push(Span::plain(format!(" a day, {} in {month}. ", fixed(least, 1))));
                sentence.extend(given_up(study, &plane.name));
                if let Some(shade) = &plane.shade {
                    sentence.push(Span::plain("What stands around it takes "));
                    let text = format!("{} %", fixed(shade.si() * 100.0, 1));
                    sentence.push(Span::figure(text, FigureName::new(&["planes", &plane.name, "shade"])));
                    sentence.push(Span::plain(" of its light. "));
                }
                if let Some(days) = plane.snow_days.as_ref().filter(|days| days.si() >= 0.5) {
                    sentence.push(Span::plain("Snow lies on it on "));
                    let text = plural(days.si().round() as usize, "day", "days");
                    sentence.push(Span::figure(text, FigureName::new(&["planes", &plane.name, "snow-days"])));
                    sentence.push(Span::plain(" a year. "));
                }
                if short.is_empty() {
                    short = format!(
                        "{} sun hours a day; {month} {}",
                        fixed(plane.daily.si(), 1),
                        fixed(least, 1)
                    );
                }
            }
            Err(why) => {
                let (more, few) = cannot(why);
                sentence.extend(more);
                sentence.push(Span::plain(" "));
                short = few;
            }
        }
    }
    if study.planes.is_empty() {
        return Answer::new(3, plain("Cannot be said until a plane for modules is entered."), "no plane yet")
            .open();
    }
    sentence.push(Span::plain(format!("From {}.", sky.says)));
    let answer = Answer::new(3, sentence, short);
    if study.planes.iter().all(Result::is_ok) { answer } else { answer.open() }
}

/// What a plane gives up against the best tilt and bearing of the place.
fn given_up(study: &Study, plane: &str) -> Vec<Span> {
    let Some(found) = study.finders.iter().flatten().find(|f| &*f.plane == plane) else { return Vec::new() };
    let share = |purpose: study::Purpose| {
        let best = found.best.iter().find(|best| best.purpose == purpose)?;
        let text = format!("{} %", fixed(best.given_up.si() * 100.0, 0));
        Some(Span::figure(text, FigureName::new(&["planes", plane, purpose.key(), "given-up"])))
    };
    let dark = found.best.iter().any(|best| !best.left_out.is_empty());
    let least = if dark { " of the least month with sun. " } else { " of the least month. " };
    match (share(study::Purpose::Year), share(study::Purpose::WorstMonth)) {
        (Some(year), Some(month)) => vec![
            Span::plain("Against the best tilt and bearing it gives up "),
            year,
            Span::plain(" of the year and "),
            month,
            Span::plain(least),
        ],
        (Some(year), None) => vec![
            Span::plain("Against the best tilt and bearing it gives up "),
            year,
            Span::plain(" of the year. "),
        ],
        _ => Vec::new(),
    }
}

/// What an answer waits for: dangers and breaches, and questions on whose answers one hangs. Nothing where there is none.
fn beside(findings: &[Finding]) -> Option<String> {
    let count = |severity, undecided: bool| {
        findings.iter().filter(|f| f.severity == severity && f.undecided.is_some() == undecided).count()
    };
    let (dangers, breaches) = (count(Severity::Danger, false), count(Severity::Breach, false));
    let asked = count(Severity::Danger, true) + count(Severity::Breach, true);
    let found: Vec<String> = [(dangers, "danger", "dangers"), (breaches, "breach", "breaches")]
        .into_iter()
        .filter(|(n, _, _)| *n > 0)
        .map(|(n, one, many)| plural(n, one, many))
        .collect();
    let verb = if dangers + breaches == 1 { "is" } else { "are" };
    let questions = plural(
        asked,
        "question on which a danger or breach hangs",
        "questions on which dangers or breaches hang",
    );
    let answered = if asked == 1 { "is answered" } else { "are answered" };
    match (asked, found.as_slice()) {
        (0, []) => None,
        (0, found) => Some(format!("Only once {} {verb} dealt with: ", listed(found))),
        (_, []) => Some(format!("Cannot be said until {questions} {answered}. As entered: ")),
        (_, found) => Some(format!(
            "Cannot be said until {questions} {answered} and {} {verb} dealt with. As entered: ",
            listed(found)
        )),
    }
}

fn year(study: &Study, findings: &[Finding]) -> Answer {
    let year = match &study.year {
        Ok(year) => year,
        Err(why) => {
            let (sentence, short) = cannot(why);
            return Answer::new(5, sentence, short).open();
        }
    };
    let mut sentence = crate::year_words::year_sentence(study, year);
    if let Some(beside) = beside(findings) {
        sentence.insert(0, Span::plain(beside));
    }
    let hours = units::HOUR.of_si(year.backup_hours.si());
    let dark = units::HOUR.of_si(year.dark_hours.si());
    let name = if year.backup_name == "the generator" { "generator" } else { "utility" };
    let short = match (dark >= 0.5, hours >= 0.5) {
        (true, false) => format!("{} h dark", fixed(dark, 0)),
        (true, true) => format!("{} h dark, {} h on the {name}", fixed(dark, 0), fixed(hours, 0)),
        (false, true) => format!("{} h on the {name}", fixed(hours, 0)),
        (false, false) => "carried by sun and battery".to_string(),
    };
    Answer::new(5, sentence, short)
}

fn built(study: &Study) -> Answer {
    let map = if study.wiring.is_ok() { "The lock-out map stands with the wiring. " } else { "" };
    Answer::new(9, plain(format!("{map}Build steps and test sheets are not built yet.")), "not built yet")
        .open()
}

fn buy(study: &Study) -> Answer {
    let reader = Reader::of(study);
    let bill = &study.bill;
    if bill.lines.is_empty() {
        return Answer::new(8, plain("The design names nothing to buy yet."), "nothing yet").open();
    }
    if bill.without_price == bill.lines.len() {
        let text = format!(
            "Nothing has a price yet: {}.",
            plural(bill.lines.len(), "line waits for one", "lines wait for one")
        );
        return Answer::new(8, plain(text), "no prices yet").open();
    }
    let mut sentence = vec![
        Span::plain("Everything with a price comes to "),
        reader.span(&bill.total, &["bill", "total"]),
        Span::plain(format!(" in {}", plural(bill.lines.len(), "line", "lines"))),
    ];
    if bill.without_price > 0 {
        sentence.push(Span::plain(format!(
            "; {} still without a price.",
            plural(bill.without_price, "line is", "lines are")
        )));
    } else {
        sentence.push(Span::plain("."));
    }
    let owning = crate::money::sentence(study);
    if !owning.is_empty() {
        sentence.push(Span::plain(" "));
        sentence.extend(owning);
    }
    let short =
        format!("{}, {}", reader.measure(bill.total.value), plural(bill.lines.len(), "line", "lines"));
    let answer = Answer::new(8, sentence, short);
    if bill.without_price > 0 { answer.open() } else { answer }
}
