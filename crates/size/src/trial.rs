//! One system tried: read, resolved, studied without its year, inspected, priced.

use crate::{Outcome, Skipped};
use bill::Group;
use design::Design;
use quantity::{FieldPath, Gap, Measure, Money, units};
use rules::{Finding, Severity};
use std::collections::{BTreeSet, HashSet};
use std::hash::Hash;
use std::sync::{Arc, Mutex};
use study::{Depth, Memo, Study, WeatherFile};

/// One system of the space; which one is told by its position. A search may hold a million, so that each is kept small.
#[derive(Clone, Debug)]
pub struct Candidate {
    /// What became of it.
    pub fate: Fate,
}

/// What became of a system.
#[derive(Clone, Debug)]
pub enum Fate {
    /// The search was stopped before it came to this one.
    NotTried,
    /// The same system as the one at this position: they differ only in what is left out.
    Same(usize),
    /// It cannot be built as drawn.
    Rejected(Rejection),
    /// It can be built.
    Buildable {
        /// What it is.
        bulk: Bulk,
        /// Its years.
        years: Years,
    },
}

/// What became of the years of a system that can be built.
#[derive(Clone, Debug)]
pub enum Years {
    /// Nobody looked at them.
    NotLookedAt,
    /// All of them were walked.
    Walked(Box<Outcome>),
    /// It has none; in words why.
    None(String),
    /// Not all of them were walked, because of a proof.
    Skipped(Skipped),
}

impl Candidate {
    /// What it is, where it can be built.
    pub fn bulk(&self) -> Option<&Bulk> {
        match &self.fate {
            Fate::Buildable { bulk, .. } => Some(bulk),
            _ => None,
        }
    }

    /// Its years, where all of them were walked.
    pub fn outcome(&self) -> Option<&Outcome> {
        match &self.fate {
            Fate::Buildable { years: Years::Walked(outcome), .. } => Some(outcome),
            _ => None,
        }
    }

    /// By what it was skipped, where it was.
    pub fn skipped(&self) -> Option<Skipped> {
        match &self.fate {
            Fate::Buildable { years: Years::Skipped(skipped), .. } => Some(*skipped),
            _ => None,
        }
    }
}

/// Why a system cannot be built.
#[derive(Clone, Debug, PartialEq)]
pub struct Rejection {
    /// Code of the rule; empty where the text is not understood.
    pub code: &'static str,
    /// Name of the situation.
    pub name: &'static str,
    /// In the words of the finding.
    pub says: Arc<str>,
    /// A fact is missing that the present design does not ask for.
    pub undecided: bool,
}

/// Lines of a list without a price: group, item and how much of it.
pub type Unpriced = BTreeSet<(Group, Arc<str>, u64)>;

/// What many systems have in common and is kept once.
#[derive(Default)]
pub(crate) struct Shared {
    words: Mutex<HashSet<Arc<str>>>,
    unpriced: Mutex<HashSet<Arc<Unpriced>>>,
}

impl Shared {
    /// The fate with what others have too taken from them.
    pub(crate) fn shared(&self, mut fate: Fate) -> Fate {
        match &mut fate {
            Fate::Rejected(rejection) => once(&self.words, &mut rejection.says),
            Fate::Buildable { bulk, .. } => once(&self.unpriced, &mut bulk.unpriced),
            Fate::NotTried | Fate::Same(_) => {}
        }
        fate
    }
}

fn once<T: Hash + Eq + ?Sized>(all: &Mutex<HashSet<Arc<T>>>, one: &mut Arc<T>) {
    let Ok(mut all) = all.lock() else { return };
    match all.get(one) {
        Some(same) => *one = same.clone(),
        None => {
            all.insert(one.clone());
        }
    }
}

/// How much of everything a system is.
#[derive(Clone, Debug, PartialEq)]
pub struct Bulk {
    /// Sum of all lines of its purchase list with a price.
    pub cost: Money,
    /// The part of it for modules.
    pub modules: Money,
    /// The part of it for batteries.
    pub batteries: Money,
    /// Lines without a price, one list for all systems that have the same.
    pub unpriced: Arc<Unpriced>,
    /// Nominal energy of all batteries, Wh.
    pub battery_wh: f64,
    /// Power of all modules on their labels, W.
    pub module_w: f64,
    /// Continuous output of all inverters, W.
    pub inverter_w: f64,
}

/// Findings without an answer that stand against the present design already, by code and place.
pub(crate) type Open = BTreeSet<(&'static str, Option<FieldPath>)>;

fn key(finding: &Finding) -> (&'static str, Option<FieldPath>) {
    (finding.code, finding.at.first().map(|place| place.field.clone()))
}

/// What is not decided of the present design although a danger or breach hangs on it.
pub(crate) fn open_questions(study: &Study) -> Open {
    let findings = rules::inspect(study);
    findings.iter().filter(|f| f.blocks() && f.undecided.is_some()).map(key).collect()
}

/// The facts that would decide it; nothing where all is decided.
pub(crate) fn unanswered(study: &Study) -> Option<Gap> {
    let findings = rules::inspect(study);
    let gaps = findings.iter().filter(|f| f.blocks()).filter_map(|f| f.undecided.as_ref());
    gaps.fold(None, |all: Option<Gap>, gap| Some(all.map_or_else(|| gap.clone(), |all| all.and(gap))))
}

/// Tries one text.
pub(crate) fn try_text(text: &str, file: Option<&WeatherFile>, open: &Open, memo: &mut Memo) -> Fate {
    match judged(text, file, open, memo) {
        Ok(study) => Fate::Buildable { bulk: bulk(&study), years: Years::NotLookedAt },
        Err(rejection) => Fate::Rejected(rejection),
    }
}

/// The study of a text without its year, or the worst that stands against building it.
pub(crate) fn judged(
    text: &str,
    file: Option<&WeatherFile>,
    open: &Open,
    memo: &mut Memo,
) -> Result<Study, Rejection> {
    let design = Arc::new(Design::of_text(text));
    if let Some(problem) = design.problems.first() {
        let says = problem.says.as_str().into();
        return Err(Rejection { code: "", name: "not-understood", says, undecided: false });
    }
    let study = Study::of(design, file, Depth::WithoutYear, memo);
    let findings = rules::inspect(&study);
    let against = |finding: &&Finding| {
        finding.severity <= Severity::Breach && (finding.undecided.is_none() || !open.contains(&key(finding)))
    };
    match findings.iter().find(against) {
        Some(finding) => Err(Rejection {
            code: finding.code,
            name: finding.name,
            says: finding.says.as_str().into(),
            undecided: finding.undecided.is_some(),
        }),
        None => Ok(study),
    }
}

pub(crate) fn bulk(study: &Study) -> Bulk {
    let system = &study.design.system;
    let unpriced: Unpriced = study
        .bill
        .lines
        .iter()
        .filter(|line| !line.total.is_known())
        .map(|line| {
            let pieces = line.pieces.as_ref().and_then(|n| n.value()).map(|n| u64::from(n.0));
            // Millimetres tell lengths apart that a shop would.
            let length =
                line.length.as_ref().and_then(|l| l.value()).map(|l| (l.si() * 1000.0).round() as u64);
            (line.group, line.item.clone(), pieces.or(length).unwrap_or(0))
        })
        .collect();
    let battery_wh = study.banks.iter().filter_map(|b| b.capacity.si()).map(|j| units::WATT_HOUR.of_si(j));
    let module_w = study.inputs.iter().filter_map(|input| input.power.si());
    let inverters = system.units_in_place.iter().filter_map(|unit| system.inverter_of(unit));
    Bulk {
        cost: study.bill.total.value,
        modules: study.bill.of_group(Group::Modules),
        batteries: study.bill.of_group(Group::Storage),
        unpriced: Arc::new(unpriced),
        battery_wh: battery_wh.sum(),
        module_w: module_w.sum(),
        inverter_w: inverters.filter_map(|inverter| inverter.output.si()).sum(),
    }
}

/// The years of a text: those that anyone asking for its year gets, without what is only told to a reader.
pub(crate) fn lived(text: &str, file: Option<&WeatherFile>, memo: &mut Memo) -> Study {
    Study::of(Arc::new(Design::of_text(text)), file, Depth::Years, memo)
}

/// The whole study of a text: the same that anyone asking for its year gets.
pub(crate) fn whole(text: &str, file: Option<&WeatherFile>, memo: &mut Memo) -> Study {
    Study::of(Arc::new(Design::of_text(text)), file, Depth::Whole, memo)
}

/// The years of a text.
pub(crate) fn years_of(
    text: &str,
    cost: Money,
    file: Option<&WeatherFile>,
    memo: &mut Memo,
) -> Result<Outcome, String> {
    let study = lived(text, file, memo);
    match &study.year {
        Ok(year) => {
            Outcome::of(&study.design, year, cost).ok_or_else(|| "its years have no result".to_string())
        }
        Err(study::Unanswered::Refused { because, .. }) => Err(because.clone()),
        Err(study::Unanswered::Missing(gap)) => {
            let fields: Vec<&str> = gap.missing.iter().map(|m| m.field.as_str()).collect();
            Err(format!("not known: {}", fields.join(", ")))
        }
        Err(study::Unanswered::NotAsked) => Err("its year was not asked for".into()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A million systems, every one walked and with words or a list of its own part in common with others, stay below 500 MB with
    /// room for the program: 96 bytes and 192 bytes, and 16 of the allocator, are 304 MB.
    #[test]
    fn a_system_is_small() {
        assert!(size_of::<Candidate>() <= 96, "{}", size_of::<Candidate>());
        assert!(size_of::<Outcome>() <= 192, "{}", size_of::<Outcome>());
    }
}
