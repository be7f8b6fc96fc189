//! Lines of a bill and their sums.

use quantity::{Count, Fact, Gap, Length, Money, Traced, formula, practice, sum, units};
use std::sync::Arc;

/// Groups in which a bill is read.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
#[allow(missing_docs)] // The names say it.
pub enum Group {
    Modules,
    Structure,
    Conversion,
    Storage,
    Backup,
    Panels,
    Protection,
    Wire,
    Raceway,
}

impl Group {
    /// The words for a head.
    pub fn in_words(self) -> &'static str {
        match self {
            Group::Modules => "modules",
            Group::Structure => "racks and rails",
            Group::Conversion => "inverters and controllers",
            Group::Storage => "batteries",
            Group::Backup => "generator and transfer",
            Group::Panels => "panels and boxes",
            Group::Protection => "breakers and fuses",
            Group::Wire => "wire",
            Group::Raceway => "raceway",
        }
    }
}

/// One line.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// Where it is read.
    pub group: Group,
    /// What it is.
    pub item: Arc<str>,
    /// What it is for: circuits or things by the owner's names.
    pub serves: Vec<Arc<str>>,
    /// Pieces to buy, or `None` when it is bought by length.
    pub pieces: Option<Fact<Count>>,
    /// Length to buy, or `None` when it is bought by the piece.
    pub length: Option<Fact<Length>>,
    /// Price of one piece, or of one metre.
    pub each: Fact<Money>,
    /// Sum of the line.
    pub total: Fact<Money>,
    /// A word on how it is sold.
    pub note: Arc<str>,
}

/// The whole bill.
#[derive(Clone, Debug, PartialEq)]
pub struct Bill {
    /// Lines, by group, in a stable order.
    pub lines: Vec<Line>,
    /// Sum of all lines whose price is known.
    pub total: Traced<Money>,
    /// Lines whose price or amount is not known.
    pub without_price: usize,
}

/// Pieces times price.
pub fn line_total(n: f64, each: f64) -> f64 {
    // A till rounds to hundredths.
    (n * each * 100.0).round() / 100.0
}

formula! {
    /// Explained twin of [`line_total`].
    pub LineTotal = line_total(
        n: Count as COUNT = "pieces",
        each: Money as COIN = "price of one",
    ) -> Money as COIN,
    text: "floor(n · each · 100 + 0.5) / 100",
    clause: practice("a till rounds to hundredths"),
}

/// Length times price per metre.
pub fn length_total(length: f64, each: f64) -> f64 {
    (length * each * 100.0).round() / 100.0
}

formula! {
    /// Explained twin of [`length_total`].
    pub LengthTotal = length_total(
        length: Length as METER = "length to buy",
        each: Money as COIN = "price of a metre",
    ) -> Money as COIN,
    text: "floor(length · each · 100 + 0.5) / 100",
    clause: practice("a till rounds to hundredths"),
}

impl Line {
    /// A line bought by the piece.
    pub fn by_piece(
        group: Group,
        item: impl Into<Arc<str>>,
        serves: Vec<Arc<str>>,
        pieces: Fact<Count>,
        each: Fact<Money>,
    ) -> Line {
        let total = LineTotal::of_facts(&pieces, &each);
        Line {
            group,
            item: item.into(),
            serves,
            pieces: Some(pieces),
            length: None,
            each,
            total,
            note: "".into(),
        }
    }

    /// A line bought by length; `each` is the price of a metre.
    pub fn by_length(
        group: Group,
        item: impl Into<Arc<str>>,
        serves: Vec<Arc<str>>,
        length: Fact<Length>,
        each: Fact<Money>,
    ) -> Line {
        let total = LengthTotal::of_facts(&length, &each);
        Line {
            group,
            item: item.into(),
            serves,
            pieces: None,
            length: Some(length),
            each,
            total,
            note: "".into(),
        }
    }
}

impl Bill {
    /// The bill of lines; they are put in order of their groups, else kept as given.
    pub fn of(mut lines: Vec<Line>) -> Bill {
        lines.sort_by_key(|line| line.group);
        let known: Vec<(Arc<str>, Traced<Money>)> =
            lines.iter().filter_map(|line| Some((line.item.clone(), line.total.known()?.clone()))).collect();
        let without_price = lines.len() - known.len();
        Bill { total: sum(known, &units::COIN), lines, without_price }
    }

    /// Sum of a group's lines whose price is known.
    pub fn of_group(&self, group: Group) -> Money {
        self.lines
            .iter()
            .filter(|line| line.group == group)
            .filter_map(|line| line.total.value().copied())
            .sum()
    }

    /// What keeps the bill from being complete.
    pub fn gaps(&self) -> Vec<&Gap> {
        self.lines.iter().filter_map(|line| line.total.gap()).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use quantity::WhoKnows;

    #[test]
    fn a_line_without_price_is_counted_and_never_free() {
        let n = Fact::Known(Traced::stated(Count(3), "string.a.count"));
        let priced = Line::by_piece(
            Group::Modules,
            "module",
            vec![],
            n.clone(),
            Fact::Known(Traced::stated(Money::from_units(118.0), "m")),
        );
        let open = Line::by_piece(
            Group::Storage,
            "battery",
            vec![],
            n,
            Fact::unknown("battery.x.price", WhoKnows::SupplyHouse),
        );
        let bill = Bill::of(vec![open, priced]);
        assert_eq!(bill.total.value, Money::from_units(354.0));
        assert_eq!(bill.without_price, 1);
        assert_eq!(bill.lines[0].group, Group::Modules);
    }
}
