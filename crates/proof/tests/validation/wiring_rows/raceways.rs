//! What raceways hold.

use super::common::*;
use super::*;

pub(super) fn contents(insulation: Insulation, list: &[(u32, &str)]) -> Vec<Content> {
    let one = |(n, text): &(u32, &str)| Content {
        what: (*text).into(),
        insulation,
        gauge: stated(size(text)),
        count: stated(Count(*n)),
    };
    list.iter().map(one).collect()
}

pub(super) fn trade(text: &str) -> TradeSize {
    TradeSize::read(text).expect("a trade size")
}

pub(super) fn fill() -> Section {
    let mut section =
        Section::new("Wiring: raceways", "NEC 2023, chapter 9 tables 1, 4 and 5 with their notes; 352.44.");
    let mut raceway = |what: &str, source: &str, kind, all: &[Content], nipple, area: &str, found: &str| {
        let fill = smallest_raceway(kind, all, nipple).expect("one is large enough");
        let figures = Digits::new()
            .is(units::SQUARE_INCH.of_si(fill.area.si()), area)
            .says(found, fill.trade.value == trade(found));
        section.example(what, source, &figures, Standing::Read);
    };
    let thhn = Insulation::ThhnThwn2;
    let three = contents(thhn, &[(3, "500 kcmil"), (1, "250 kcmil"), (1, "3 AWG")]);
    let magazine = "EC&M magazine, Code Calculations, example 1: 3 in";
    raceway(
        "Three 500 kcmil, one 250, one 3 AWG THHN in schedule 40",
        magazine,
        RacewayKind::Pvc40,
        &three,
        false,
        "2.6162",
        "3",
    );
    let nipple = contents(thhn, &[(3, "3/0 AWG"), (1, "1 AWG"), (1, "6 AWG")]);
    let magazine = "the same, example 2: 1-1/2 in (final size worked by hand)";
    raceway(
        "Three 3/0, one 1, one 6 AWG THHN in a rigid nipple",
        magazine,
        RacewayKind::Rmc,
        &nipple,
        true,
        "1.0106",
        "1-1/2",
    );
    let thwn = contents(Insulation::Thwn, &[(3, "12 AWG"), (4, "10 AWG"), (8, "8 AWG")]);
    let tubes = "Steel Tube Institute, conduit and EMT fill: 1-1/4 in";
    raceway(
        "Three 12, four 10, eight 8 AWG THWN in EMT",
        tubes,
        RacewayKind::Emt,
        &thwn,
        false,
        "0.4171",
        "1-1/4",
    );
    let mut mixed = contents(Insulation::Xhhw2, &[(4, "6 AWG"), (1, "8 AWG")]);
    mixed.extend(contents(thhn, &[(4, "10 AWG")]));
    let notes = "notes for an installers' examination: 1-1/4 in";
    raceway(
        "Five XHHW and four THHN in flexible metal",
        notes,
        RacewayKind::Fmc,
        &mixed,
        false,
        "0.3641",
        "1-1/4",
    );
    let crowd = contents(thhn, &[(34, "8 AWG"), (20, "12 AWG"), (9, "6 AWG"), (1, "10 AWG")]);
    let study = "question for electricians in their fourth year: 2 in";
    raceway(
        "Sixty-four conductors in EMT of 5 in length",
        study,
        RacewayKind::Emt,
        &crowd,
        true,
        "1.988",
        "2",
    );
    let like = contents(Insulation::Thwn, &[(3, "600 kcmil")]);
    let rounded = smallest_raceway(RacewayKind::Pvc80, &like, false).expect("one is large enough");
    section.example(
        "Three 600 kcmil THWN in schedule 80: 2.97 counts as 3",
        "electricians' discussion; chapter 9 note 7: 3 in, though the sum of areas is over",
        &Digits::new()
            .is(units::SQUARE_INCH.of_si(rounded.area.si()), "2.603")
            .says("3 in", rounded.trade.value == trade("3"))
            .says("by note 7", rounded.rounded.is_some() && rounded.share.si() > rounded.limit.si()),
        Standing::Read,
    );
    let change = |ft: f64, f: f64| {
        let length: Traced<quantity::Length> = of(ft, &units::FOOT_UNIT);
        expansion(&length, &of(f, &units::FAHRENHEIT_DEGREE), false)
    };
    let inches = |found: &Expansion| units::INCH_UNIT.of_si(found.change.si());
    section.example(
        "Plastic pipe of 10 and 100 ft over 100 °F; when a fitting is due",
        "NEC 2008, Table 352.44, as reproduced",
        &Digits::new()
            .is(inches(&change(10.0, 100.0)), "0.406")
            .is(inches(&change(100.0, 100.0)), "4.06")
            .says("10 ft take a fitting", change(10.0, 100.0).fitting)
            .says("24.6 ft over 25 °F do not", !change(24.6, 25.0).fitting)
            .says("24.7 ft do", change(24.7, 25.0).fitting),
        Standing::SecondHand,
    );
    section
}
