//! Takes facts out of what was read: stated, typical, assumed or unknown.

use crate::catalogue::{Blank, Field, Shape};
use crate::read::{Entry, Given, Item};
use quantity::{
    Clause, Count, Fact, FieldPath, Gauge, Measure, Money, Origin, Reason, Standing, Traced, parse, practice,
};
use std::sync::Arc;

/// The fields of one thing, with a typical part to stand in where one was named.
#[derive(Clone)]
pub(crate) struct Take<'a> {
    path: String,
    fields: &'static [Field],
    entries: &'a [Entry],
    shelf: Option<&'a [Entry]>,
    shelf_name: Arc<str>,
}

/// A value and where it came from, before it has a type.
enum Found<'a> {
    Given(&'a Given, Origin),
    Assumed(&'static str, &'static Field, Reason),
    Unknown(&'static Field),
}

impl<'a> Take<'a> {
    pub(crate) fn new(item: &'a Item, shelf: Option<&'a Item>) -> Self {
        Take {
            path: item.path.to_string(),
            fields: item.table.fields,
            entries: &item.entries,
            shelf: shelf.map(|part| part.entries.as_slice()),
            shelf_name: shelf.map_or_else(|| "".into(), |part| part.name.clone()),
        }
    }

    /// Fields of a table that is not in the file: everything is blank.
    pub(crate) fn absent(path: &str, fields: &'static [Field]) -> Take<'static> {
        Take { path: path.to_string(), fields, entries: &[], shelf: None, shelf_name: "".into() }
    }

    fn field(&self, key: &str) -> Option<&'static Field> {
        let field = self.fields.iter().find(|field| field.key == key);
        debug_assert!(field.is_some_and(|f| f.used), "{}.{key} is read but not marked as used", self.path);
        field
    }

    pub(crate) fn path(&self, key: &str) -> FieldPath {
        FieldPath::new(if self.path.is_empty() { key.to_string() } else { format!("{}.{key}", self.path) })
    }

    /// Whether the owner wrote something other than "unknown" for the key.
    pub(crate) fn is_written(&self, key: &str) -> bool {
        self.entries.iter().any(|e| e.field.key == key)
            || self.shelf.is_some_and(|s| s.iter().any(|e| e.field.key == key))
    }

    /// Whether the owner wrote the key, whatever a typical part says.
    pub(crate) fn is_stated(&self, key: &str) -> bool {
        self.entries.iter().any(|e| e.field.key == key)
    }

    fn find(&self, key: &str) -> Option<Found<'a>> {
        let field = self.field(key)?;
        if let Some(entry) = self.entries.iter().find(|e| e.field.key == key) {
            return Some(match &entry.value {
                Given::Unknown => Found::Unknown(field),
                given => Found::Given(given, Origin::Stated(self.path(key))),
            });
        }
        if let Some(entry) = self.shelf.and_then(|s| s.iter().find(|e| e.field.key == key)) {
            return Some(Found::Given(&entry.value, self.shelf_origin(key)));
        }
        Some(match field.blank {
            Blank::Assumed { value, because, moves } => {
                let standing =
                    if because.contains("from memory") { Standing::Remembered } else { Standing::Practice };
                let clause = Clause { document: "", edition: "", clause: "assumption", standing };
                let reason =
                    Reason { field: self.path(key), because: because.into(), moves: moves.into(), clause };
                Found::Assumed(value, field, reason)
            }
            Blank::Needed | Blank::Asked | Blank::None => Found::Unknown(field),
        })
    }

    fn shelf_origin(&self, key: &str) -> Origin {
        Origin::Shelf(FieldPath::new(format!("{}: {}", self.shelf_name, self.path(key))))
    }

    fn take<T>(
        &self,
        key: &str,
        of_given: impl Fn(&'a Given) -> Option<T>,
        of_text: impl Fn(&'static str, &'static Field) -> Option<T>,
    ) -> Fact<T> {
        let unknown = |field: &Field| Fact::unknown(self.path(key).0, field.ask);
        match self.find(key) {
            Some(Found::Given(given, origin)) => match of_given(given) {
                Some(value) => Fact::Known(Traced { value, origin }),
                None => Fact::unknown(self.path(key).0, quantity::WhoKnows::Owner),
            },
            Some(Found::Assumed(text, field, reason)) => match of_text(text, field) {
                Some(value) => Fact::assumed(value, reason),
                None => unknown(field),
            },
            Some(Found::Unknown(field)) => unknown(field),
            None => Fact::unknown(self.path(key).0, quantity::WhoKnows::Owner),
        }
    }

    /// A quantity.
    pub(crate) fn quantity<T: Measure>(&self, key: &str) -> Fact<T> {
        self.take(
            key,
            |given| match given {
                Given::Quantity { si, kind } if *kind == T::KIND => Some(T::from_si(*si)),
                _ => None,
            },
            |text, field| match field.shape {
                Shape::Bare { factor, .. } => text.parse::<f64>().ok().map(|n| T::from_si(n * factor)),
                _ => parse(T::KIND, text).ok().map(T::from_si),
            },
        )
    }

    /// A quantity that may be left out on purpose.
    pub(crate) fn optional<T: Measure>(&self, key: &str) -> Option<Fact<T>> {
        self.is_written(key).then(|| self.quantity(key))
    }

    /// Lower and upper end of a range.
    pub(crate) fn range<T: Measure>(&self, key: &str) -> (Fact<T>, Fact<T>) {
        let end = |i: usize| {
            self.take(
                key,
                move |given| match given {
                    Given::Range(ends) => Some(T::from_si(ends[i])),
                    _ => None,
                },
                |_, _| None,
            )
        };
        (end(0), end(1))
    }

    /// A whole number.
    pub(crate) fn count(&self, key: &str) -> Fact<Count> {
        self.take(
            key,
            |given| match given {
                Given::Count(n) => Some(Count(*n)),
                _ => None,
            },
            |text, _| text.parse().ok().map(Count),
        )
    }

    /// An amount of money.
    pub(crate) fn money(&self, key: &str) -> Fact<Money> {
        self.take(
            key,
            |given| match given {
                Given::Money(money) => Some(*money),
                _ => None,
            },
            |_, _| None,
        )
    }

    /// A text.
    pub(crate) fn text(&self, key: &str) -> Fact<Arc<str>> {
        self.take(
            key,
            |given| match given {
                Given::Text(text) => Some(text.clone()),
                _ => None,
            },
            |text, _| Some(text.into()),
        )
    }

    /// Yes or no.
    pub(crate) fn yes_no(&self, key: &str) -> Fact<bool> {
        self.take(
            key,
            |given| match given {
                Given::YesNo(yes) => Some(*yes),
                _ => None,
            },
            |text, _| match text {
                "yes" => Some(true),
                "no" => Some(false),
                _ => None,
            },
        )
    }

    /// One of a few words, turned into a type.
    pub(crate) fn choice<T>(&self, key: &str, of_word: impl Fn(&str) -> Option<T>) -> Fact<T> {
        self.take(
            key,
            |given| match given {
                Given::Choice(word) => of_word(word),
                _ => None,
            },
            |word, _| of_word(word),
        )
    }

    /// A conductor size fixed by the owner.
    pub(crate) fn gauge(&self, key: &str) -> Option<Traced<Gauge>> {
        match self.find(key) {
            Some(Found::Given(Given::Gauge(gauge), origin)) => Some(Traced { value: *gauge, origin }),
            _ => None,
        }
    }

    /// The raw value, for shapes read once.
    pub(crate) fn given(&self, key: &str) -> Option<(&'a Given, Origin)> {
        match self.find(key) {
            Some(Found::Given(given, origin)) => Some((given, origin)),
            _ => None,
        }
    }

    /// The name another thing is called by.
    pub(crate) fn reference(&self, key: &str) -> Arc<str> {
        match self.find(key) {
            Some(Found::Given(Given::Reference(name), _)) => name.clone(),
            _ => "".into(),
        }
    }

    /// Names of other things.
    pub(crate) fn references(&self, key: &str) -> Vec<Arc<str>> {
        match self.find(key) {
            Some(Found::Given(Given::References(names), _)) => {
                names.iter().map(|(name, _)| name.clone()).collect()
            }
            _ => Vec::new(),
        }
    }

    /// The fields of a nested table; blank when it was left out.
    pub(crate) fn record(&self, key: &str) -> Take<'a> {
        let path = self.path(key).to_string();
        let fields: &'static [Field] = match self.field(key).map(|f| &f.shape) {
            Some(Shape::Record(fields)) => fields,
            _ => &[],
        };
        let nested = |entries: &'a [Entry]| {
            entries.iter().find(|e| e.field.key == key).and_then(|e| match &e.value {
                Given::Record(inner) => Some(inner.as_slice()),
                _ => None,
            })
        };
        Take {
            path,
            fields,
            entries: nested(self.entries).unwrap_or(&[]),
            shelf: self.shelf.and_then(nested),
            shelf_name: self.shelf_name.clone(),
        }
    }

    /// The nested tables of a list; those of the typical part when the owner wrote none.
    pub(crate) fn records(&self, key: &str) -> Vec<Take<'a>> {
        let fields: &'static [Field] = match self.field(key).map(|f| &f.shape) {
            Some(Shape::Records(fields)) => fields,
            _ => &[],
        };
        let nested = |entries: &'a [Entry]| {
            entries.iter().find(|e| e.field.key == key).and_then(|e| match &e.value {
                Given::Records(list) => Some(list.as_slice()),
                _ => None,
            })
        };
        let own = nested(self.entries);
        let list = own.or_else(|| self.shelf.and_then(nested)).unwrap_or(&[]);
        list.iter()
            .enumerate()
            .map(|(i, (entries, _))| {
                let path = format!("{}.{}", self.path(key), i + 1);
                let from_shelf = own.is_none();
                Take {
                    path,
                    fields,
                    entries: if from_shelf { &[] } else { entries },
                    shelf: from_shelf.then_some(entries.as_slice()),
                    shelf_name: self.shelf_name.clone(),
                }
            })
            .collect()
    }
}

/// A value chosen by this crate with its reason, for defaults that depend on other fields.
pub(crate) fn assumed<T>(value: T, field: FieldPath, because: &str, moves: &str) -> Fact<T> {
    let clause = practice("assumption");
    Fact::assumed(value, Reason { field, because: because.into(), moves: moves.into(), clause })
}
