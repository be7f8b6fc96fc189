//! From lengths along routes to lengths to order.

use quantity::{Count, Fact, Length, Measure, Ratio, Reason, Traced, formula, practice};

/// Share added to every length of wire for ends, bends and mistakes (common practice, no source).
pub const SLACK: f64 = 0.20;

/// Length to order for `wires` conductors along `length` metres with a share of slack.
///
/// Checked by acceptance story S10: (720 + 180) ft · 1.2 = 1080 ft.
pub fn wire_order(wires: f64, length: f64, slack: f64) -> f64 {
    wires * length * (1.0 + slack)
}

formula! {
    /// Explained twin of [`wire_order`].
    pub WireOrder = wire_order(
        wires: Count as COUNT = "conductors of this size along the route",
        length: Length as METER = "length of the route",
        slack: Ratio as RATIO = "slack",
    ) -> Length as METER,
    text: "wires · length · (1 + slack)",
    clause: practice("20 % slack on wire"),
}

/// The slack as an assumption the owner is shown.
pub fn to_buy(wires: &Traced<Count>, length: &Fact<Length>) -> Fact<Length> {
    let slack = Fact::assumed(
        Ratio::from_si(SLACK),
        Reason {
            field: quantity::FieldPath::new("bill.slack"),
            because: "ends, bends and mistakes; common practice".into(),
            moves: "lengths and price of wire".into(),
            clause: practice("20 % slack on wire"),
        },
    );
    WireOrder::of_facts(&Fact::Known(wires.clone()), length, &slack)
}

/// Pieces to buy of a thing sold in lengths of `piece`: whole pieces, never fewer. Both in metres, `piece` above 0.
pub fn pieces(length: f64, piece: f64) -> f64 {
    // A length that meets a whole number of pieces but for rounding needs no further one.
    (length / piece - 1e-9).ceil().max(0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Acceptance story S10: two strings 180 ft away take 4 · 180 ft of PV wire and 180 ft of ground.
    #[test]
    fn two_strings_far_away_take_1080_feet_of_wire() {
        let feet = wire_order(4.0, 180.0, SLACK) + wire_order(1.0, 180.0, SLACK);
        assert!((feet - 1080.0).abs() < 1e-9);
    }

    #[test]
    fn raceway_is_bought_in_whole_pieces() {
        assert_eq!(pieces(131.0, 10.0), 14.0);
        assert_eq!(pieces(130.0, 10.0), 13.0);
        assert_eq!(pieces(0.0, 10.0), 0.0);
    }
}
