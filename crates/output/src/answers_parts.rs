//! Answers to questions 4, 6 and 7: what is drawn, whether it fits, how it is wired. Each is held against everything unknown
//! beneath it: findings that cannot be decided, and facts without which a number would be left out unsaid.

use crate::answers::{Answer, cannot, plain, question_of};
use crate::book::Span;
use crate::say::{Reader, fixed, plural};
use quantity::{Fact, Gap, Measure, units};
use rules::{Finding, Severity};
use study::{Study, Unanswered};

/// Facts that are missing, each once.
#[derive(Default)]
struct Missing(Vec<quantity::Missing>);

/// What is drawn.
pub(crate) fn size(study: &Study) -> Answer {
    let system = &study.design.system;
    let mut missing = Missing::default();
    for string in &system.strings {
        missing.of(&string.string.count);
        if let Some(module) = system.module(&string.string.module) {
            missing.of(&module.power);
        }
    }
    for bank in &system.banks {
        missing.of(&bank.bank.parallel);
        missing.of(&bank.bank.series);
    }
    study.banks.iter().for_each(|bank| missing.of(&bank.capacity));
    study.inputs.iter().for_each(|input| missing.of(&input.power));
    let modules: u32 = system.strings.iter().filter_map(|s| s.string.count.value()).map(|n| n.0).sum();
    let watts: f64 = study.inputs.iter().filter_map(|input| input.power.si()).sum();
    let batteries: u32 = system
        .banks
        .iter()
        .filter_map(|b| b.bank.parallel.value().zip(b.bank.series.value()))
        .map(|(p, s)| p.0 * s.0)
        .sum();
    let kwh: f64 =
        study.banks.iter().filter_map(|b| b.capacity.si()).map(|j| units::KILOWATT_HOUR.of_si(j)).sum();
    if let Some(gap) = missing.gap() {
        let (sentence, short) = cannot(&Unanswered::Missing(gap));
        return Answer::new(4, sentence, short).open();
    }
    let text = format!(
        "You have drawn {modules} modules of {} kW together, {} and {batteries} batteries of {} kWh together. Whether another size keeps your promise for less is for the search to say.",
        fixed(watts / 1000.0, 1),
        plural(study.stack.count, "inverter", "inverters"),
        fixed(kwh, 1),
    );
    Answer::new(4, plain(text), format!("{modules} modules, {batteries} batteries"))
}

/// Whether the parts fit together.
pub(crate) fn fit(study: &Study, findings: &[Finding]) -> Answer {
    let system = &study.design.system;
    if system.strings.is_empty() && system.units_in_place.is_empty() && system.banks.is_empty() {
        let text = "Cannot be said until parts are entered: modules in strings, inverters, batteries.";
        return Answer::new(6, plain(text), "no parts yet").open();
    }
    let of_it: Vec<&Finding> = findings.iter().filter(|f| question_of(f) == 6).collect();
    let reader = Reader::of(study);
    let mut missing = Missing::under(&of_it);
    for string in &study.strings {
        missing.of(&string.cold_voc);
        missing.of(&string.limit);
    }
    let highest = study
        .strings
        .iter()
        .filter_map(|s| Some((s, s.cold_voc.known()?, s.limit.known()?)))
        .max_by(|a, b| (a.1.si() / a.2.si()).total_cmp(&(b.1.si() / b.2.si())));
    let stands = counts(&of_it);
    let gap = missing.gap();
    let mut sentence = Vec::new();
    match (refused(&of_it), &gap) {
        (true, _) => sentence.push(Span::plain(format!("No, as entered: {stands}. "))),
        (false, Some(gap)) => sentence.extend(until(gap)),
        (false, None) if stands.is_empty() => {
            sentence.push(Span::plain("Nothing that was checked stands against it, as entered. "));
        }
        (false, None) => sentence.push(Span::plain(format!(
            "No danger and no breach was found in what was checked, as entered, but {stands}. "
        ))),
    }
    let mut short = stands;
    if let Some((string, cold, limit)) = highest {
        sentence.push(Span::plain(format!("On the coldest morning {} reaches ", string.name)));
        sentence.push(reader.span(cold, &["strings", &string.name, "cold-voc"]));
        sentence.push(Span::plain(" of at most "));
        sentence.push(reader.span(limit, &["strings", &string.name, "limit"]));
        sentence.push(Span::plain("."));
        if short.is_empty() && gap.is_none() {
            short = format!(
                "{} to spare when cold",
                reader.measure(quantity::Voltage::from_si(limit.si() - cold.si()))
            );
        }
    }
    if let (true, Some(gap)) = (refused(&of_it), &gap) {
        sentence.push(Span::plain(" The rest: "));
        sentence.extend(until(gap));
    }
    if short.is_empty() {
        short = "not decided".into();
    }
    let answer = Answer::new(6, sentence, short);
    if gap.is_none() && !of_it.iter().any(|f| f.blocks()) { answer } else { answer.open() }
}

/// How it is wired.
pub(crate) fn wired(study: &Study, findings: &[Finding]) -> Answer {
    let of_it: Vec<&Finding> = findings.iter().filter(|f| question_of(f) == 7).collect();
    let schedule = match &study.wiring {
        Ok(schedule) => schedule,
        Err(not_built) => {
            return Answer::new(
                7,
                plain(format!("Nothing is sized: {not_built}. A licensed electrician decides.")),
                not_built.to_string(),
            )
            .open();
        }
    };
    let new = || schedule.circuits.iter().enumerate().filter(|(i, _)| !study.is_existing(*i)).map(|(_, c)| c);
    let all = new().count();
    if all == 0 {
        let text = "Cannot be said until the design has circuits: they follow from what names what.";
        return Answer::new(7, plain(text), "no circuits yet").open();
    }
    let sized = new().filter(|c| c.conductor.is_known()).count();
    let mut missing = Missing::under(&of_it);
    new().for_each(|circuit| missing.of(&circuit.conductor));
    let gap = missing.gap();
    let stands = counts(&of_it);
    let are = plural(all, "circuit is", "circuits are");
    let by = crate::sheets_wiring::rule_set(study);
    let mut sentence = Vec::new();
    let text = match (refused(&of_it), &gap, stands.as_str()) {
        (true, _, _) => format!("No, as entered: {stands}. {sized} of {are} sized by {by}."),
        (false, Some(gap), _) => {
            sentence.extend(until(gap));
            format!("As entered, {sized} of {are} sized by {by}.")
        }
        (false, None, "") => {
            format!("{sized} of {are} sized by {by} as entered; no finding stands against them.")
        }
        (false, None, _) => format!("{sized} of {are} sized by {by} as entered, but {stands}."),
    };
    sentence.push(Span::plain(text));
    if let (true, Some(gap)) = (refused(&of_it), &gap) {
        sentence.push(Span::plain(" The rest: "));
        sentence.extend(until(gap));
    }
    if let Some(current) = study::dwelling(study).and_then(|dwelling| dwelling.load.current.value().copied())
    {
        let amps = Reader::of(study).measure(current);
        sentence.push(Span::plain(format!(" The dwelling asks {amps} of its feed.")));
    }
    let left = not_checked(study);
    if !left.is_empty() {
        sentence.push(Span::plain(format!(" Not checked: {left}.")));
    }
    sentence.push(Span::plain(" The local authority decides."));
    let short = match (stands.is_empty(), gap.is_none()) {
        (false, _) => stands,
        (true, true) => plural(all, "circuit", "circuits"),
        (true, false) => "not decided".into(),
    };
    let answer = Answer::new(7, sentence, short);
    if gap.is_none() && !of_it.iter().any(|f| f.blocks()) { answer } else { answer.open() }
}

/// "Cannot be said until these are known: … ."
fn until(gap: &Gap) -> Vec<Span> {
    let (mut said, _) = cannot(&Unanswered::Missing(gap.clone()));
    said.push(Span::plain(" "));
    said
}

/// Whether a danger or breach was found.
fn refused(findings: &[&Finding]) -> bool {
    findings.iter().any(|f| f.blocks() && f.undecided.is_none())
}

/// Findings in words: "1 breach, 2 not decided". What cannot be decided counts whatever it would be; a note does not.
fn counts(findings: &[&Finding]) -> String {
    let count =
        |severity| findings.iter().filter(|f| f.severity == severity && f.undecided.is_none()).count();
    let undecided = findings.iter().filter(|f| weighs(f)).count();
    let parts: Vec<String> = [
        (count(Severity::Danger), "danger", "dangers"),
        (count(Severity::Breach), "breach", "breaches"),
        (undecided, "not decided", "not decided"),
        (count(Severity::Doubt), "doubt", "doubts"),
    ]
    .into_iter()
    .filter(|(n, _, _)| *n > 0)
    .map(|(n, one, many)| plural(n, one, many))
    .collect();
    parts.join(", ")
}

/// Whether it is undecided and might be more than worth knowing.
fn weighs(finding: &Finding) -> bool {
    finding.undecided.is_some() && finding.severity <= Severity::Doubt
}

impl Missing {
    /// What keeps findings from being decided.
    fn under(findings: &[&Finding]) -> Missing {
        let mut missing = Missing::default();
        let gaps = findings.iter().filter(|finding| weighs(finding)).filter_map(|f| f.undecided.as_ref());
        gaps.for_each(|gap| missing.add(gap));
        missing
    }

    fn of<T>(&mut self, fact: &Fact<T>) {
        if let Some(gap) = fact.gap() {
            self.add(gap);
        }
    }

    fn add(&mut self, gap: &Gap) {
        for one in &gap.missing {
            if !self.0.iter().any(|known| known.field == one.field) {
                self.0.push(one.clone());
            }
        }
    }

    fn gap(self) -> Option<Gap> {
        if self.0.is_empty() { None } else { Some(Gap { missing: self.0 }) }
    }
}

/// What no rule of this rule set looks at yet, so that the absence of a finding is not read as more than it is.
fn not_checked(study: &Study) -> String {
    let mut left = Vec::new();
    if study.design.system.place.rules.value() == Some(&design::system::Rules::Iec60364) {
        // Great Britain has rules of its own for it.
        left.push(match study.design.system.place.country.value() {
            Some(design::system::Country::GreatBritain) => "how many batteries may stand together",
            _ => "where batteries may stand and how many",
        });
        left.push("working space");
    } else if study.design.system.household.is_none() {
        left.push("the load of the dwelling, which no [household] describes");
    }
    crate::say::listed(&left.into_iter().map(String::from).collect::<Vec<_>>())
}
