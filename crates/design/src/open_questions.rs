//! What the owner has not answered, what was assumed for them, and what is recorded but not used yet.

use crate::Design;
use crate::catalogue::{Blank, Field, Shape};
use crate::read::{Entry, Given};
use quantity::{FieldPath, WhoKnows};

/// A fact that is not known.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Question {
    /// Where the design would state it.
    pub field: FieldPath,
    /// Who can answer.
    pub ask: WhoKnows,
    /// What it is.
    pub doc: &'static str,
}

/// A harmless default.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Assumption {
    /// Where the design would state it.
    pub field: FieldPath,
    /// What was assumed, as an owner would write it.
    pub value: &'static str,
    /// Why.
    pub because: &'static str,
    /// What would move.
    pub moves: &'static str,
}

/// A field that is kept but rests under no answer yet.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Recorded {
    /// Where it stands.
    pub field: FieldPath,
}

#[derive(Default)]
struct Open<'a> {
    /// The model of the Earth's field answers for a place and a day.
    place: Option<&'a crate::system::Place>,
    questions: Vec<Question>,
    assumptions: Vec<Assumption>,
    recorded: Vec<Recorded>,
}

impl Design {
    /// Everything blank that someone can answer, in file order.
    pub fn questions(&self) -> Vec<Question> {
        self.open().questions
    }

    /// Everything assumed, in file order.
    pub fn assumptions(&self) -> Vec<Assumption> {
        self.open().assumptions
    }

    /// Everything recorded but not used yet, in file order.
    pub fn recorded(&self) -> Vec<Recorded> {
        self.open().recorded
    }

    fn open(&self) -> Open<'_> {
        let mut open = Open { place: Some(&self.system.place), ..Open::default() };
        for item in &self.items {
            let shelf = item.entry("like").and_then(|entry| match &entry.value {
                Given::Text(name) => crate::shelf::shelf()
                    .iter()
                    .find(|part| part.table.key == item.table.key && part.name.eq_ignore_ascii_case(name)),
                _ => None,
            });
            let shelf = shelf.map_or(&[][..], |part| &part.entries);
            // What is there already is not bought.
            let existing = matches!(item.entry("existing").map(|e| &e.value), Some(Given::YesNo(true)));
            let before = open.questions.len();
            open.fields(&item.path, item.table.fields, &item.entries, shelf);
            // A bank's rate stands in its place.
            if item.table.key == "money" && item.entry("interest").is_some() {
                open.assumptions.retain(|assumed| assumed.field.as_str() != "money.discount");
            }
            if existing {
                let price = format!("{}.price", item.path);
                let added = open.questions.split_off(before);
                open.questions.extend(added.into_iter().filter(|q| q.field.as_str() != price));
            }
        }
        for site in &self.system.sites {
            if !site.obstacles.is_empty() && !site.lower_edge.is_known() {
                let field = FieldPath::new(format!("plane.{}.lower_edge", site.plane));
                if !open.questions.iter().any(|q| q.field == field) {
                    let doc = "Height of the modules' lower edge above the ground that obstacles are measured from.";
                    open.questions.push(Question { field, ask: WhoKnows::Measurement, doc });
                }
            }
        }
        open
    }
}

impl Open<'_> {
    fn fields(&mut self, path: &str, fields: &'static [Field], entries: &[Entry], shelf: &[Entry]) {
        for field in fields {
            let at = FieldPath::new(if path.is_empty() {
                field.key.to_string()
            } else {
                format!("{path}.{}", field.key)
            });
            let written = entries.iter().find(|entry| entry.field.key == field.key);
            let typical = shelf.iter().find(|entry| entry.field.key == field.key);
            if written.is_some() && !field.used {
                self.recorded.push(Recorded { field: at.clone() });
                continue;
            }
            match (&written.map(|entry| &entry.value), &field.shape) {
                (Some(Given::Record(inner)), Shape::Record(nested)) => {
                    let below = typical.and_then(|t| match &t.value {
                        Given::Record(inner) => Some(inner.as_slice()),
                        _ => None,
                    });
                    self.fields(at.as_str(), nested, inner, below.unwrap_or(&[]));
                }
                (Some(Given::Records(list)), Shape::Records(nested)) => {
                    for (i, (inner, _)) in list.iter().enumerate() {
                        self.fields(&format!("{}.{}", at.as_str(), i + 1), nested, inner, &[]);
                    }
                }
                (Some(Given::Compass { declination_deg: None, taken, .. }), _)
                    if self.place.is_some_and(|p| crate::resolve::declination_of(p, *taken).is_some()) => {}
                (Some(Given::Compass { declination_deg: None, .. }), _) => self.questions.push(Question {
                    field: FieldPath::new(format!("{}.declination", at.as_str())),
                    ask: WhoKnows::Measurement,
                    doc: "Declination of the place and date, east positive; or `taken`, the day of the reading, from which the magnetic model of 2025 to 2029 gives it.",
                }),
                (Some(Given::Unknown), _) => self.questions.push(Question { field: at, ask: field.ask, doc: field.doc }),
                (Some(_), _) => {}
                (None, Shape::Records(nested)) if typical.is_some() => {
                    if let Some(Entry { value: Given::Records(list), .. }) = typical {
                        for (i, (inner, _)) in list.iter().enumerate() {
                            self.fields(&format!("{}.{}", at.as_str(), i + 1), nested, &[], inner);
                        }
                    }
                }
                (None, Shape::Record(nested)) if field.blank == Blank::Asked => {
                    let below = typical.and_then(|t| match &t.value {
                        Given::Record(inner) => Some(inner.as_slice()),
                        _ => None,
                    });
                    self.fields(at.as_str(), nested, &[], below.unwrap_or(&[]));
                }
                (None, _) if typical.is_some() => {}
                (None, _) => match field.blank {
                    Blank::Asked => self.questions.push(Question { field: at, ask: field.ask, doc: field.doc }),
                    Blank::Assumed { value, because, moves } => {
                        self.assumptions.push(Assumption { field: at, value, because, moves });
                    }
                    Blank::Needed | Blank::None => {}
                },
            }
        }
    }
}
