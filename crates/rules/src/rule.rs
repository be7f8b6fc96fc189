//! A rule and how its findings are collected.

use crate::finding::{Finding, Place, Remedy, Severity};
use quantity::{Clause, FieldPath, FigureName, Gap, Term};
use study::Study;

/// One rule: the file it stands in is its whole life.
pub struct Rule {
    /// Stable code, never reused.
    pub code: &'static str,
    /// The situation, not the remedy.
    pub name: &'static str,
    /// How bad a failure is.
    pub severity: Severity,
    /// Where the rule stands.
    pub clause: Clause,
    /// The whole file; its `//!` head is what `rule CODE` prints.
    pub text: &'static str,
    /// The check.
    pub check: fn(&Study, &mut Findings<'_>),
}

impl Rule {
    /// What the rule checks and why, from the head of its file.
    pub fn about(&self) -> String {
        let head = self.text.lines().take_while(|line| line.starts_with("//!"));
        head.map(|line| line.trim_start_matches("//!").trim_start_matches(' ')).collect::<Vec<_>>().join("\n")
    }
}

/// Findings of one rule as they are made.
pub struct Findings<'a> {
    pub(crate) rule: &'a Rule,
    pub(crate) all: &'a mut Vec<Finding>,
}

impl Findings<'_> {
    /// A failure at the rule's own severity.
    pub fn fails(&mut self, says: impl Into<String>) -> &mut Finding {
        self.add(self.rule.severity, None, says.into())
    }

    /// A failure at another severity.
    pub fn fails_as(&mut self, severity: Severity, says: impl Into<String>) -> &mut Finding {
        self.add(severity, None, says.into())
    }

    /// The rule cannot be decided; the gap names what is missing.
    pub fn undecided(&mut self, says: impl Into<String>, gap: Gap) -> &mut Finding {
        let at: Vec<Place> = gap
            .missing
            .iter()
            .map(|missing| Place {
                field: missing.field.clone(),
                says: format!("not known; ask {}", missing.ask.in_words()),
            })
            .collect();
        let finding = self.add(self.rule.severity, Some(gap), says.into());
        finding.at = at;
        finding
    }

    /// As [`Findings::undecided`] for one of several things: those with the same gap are told together.
    pub fn undecided_for(&mut self, thing: &str, says: &str, gap: Gap) -> &mut Finding {
        let code = self.rule.code;
        let twin = self.all.iter().position(|f| f.code == code && f.undecided.as_ref() == Some(&gap));
        match twin {
            Some(at) => self.all[at].explains(format!("The same holds for {thing}.")),
            None => self.undecided(format!("{thing}: {says}"), gap),
        }
    }

    fn add(&mut self, severity: Severity, undecided: Option<Gap>, says: String) -> &mut Finding {
        self.all.push(Finding {
            code: self.rule.code,
            name: self.rule.name,
            severity,
            undecided,
            says,
            more: Vec::new(),
            at: Vec::new(),
            because: Vec::new(),
            figure: None,
            clause: self.rule.clause,
            remedies: Vec::new(),
        });
        let last = self.all.len() - 1;
        &mut self.all[last]
    }
}

impl Finding {
    /// Adds a place.
    pub fn at(&mut self, field: impl Into<String>, says: impl Into<String>) -> &mut Self {
        let field = FieldPath::new(field.into());
        self.at.push(Place { field, says: says.into() });
        self
    }

    /// Adds the place of a field, where there is one.
    pub(crate) fn at_field(&mut self, field: Option<FieldPath>, says: impl Into<String>) -> &mut Self {
        match field {
            Some(field) => self.at(field.as_str(), says),
            None => self,
        }
    }

    /// Adds a paragraph.
    pub fn explains(&mut self, more: impl Into<String>) -> &mut Self {
        self.more.push(more.into());
        self
    }

    /// Names the figures it rests on.
    pub fn because(&mut self, terms: impl IntoIterator<Item = Term>) -> &mut Self {
        self.because.extend(terms);
        self
    }

    /// Names the figure to ask about.
    pub fn figure(&mut self, parts: &[&str]) -> &mut Self {
        self.figure = Some(FigureName::new(parts));
        self
    }

    /// Offers a way out.
    pub fn remedy(&mut self, remedy: Remedy) -> &mut Self {
        self.remedies.push(remedy);
        self
    }
}
