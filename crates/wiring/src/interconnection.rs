//! How much other sources may feed onto a busbar that a utility feeds: NEC 705.12, by edition.
//!
//! One of the tests has to pass; which of them may be used depends on where the devices sit.

use crate::at_least;
use quantity::{Clause, Current, Fact, Gap, Standing, Traced, formula, nec, sum, units};
use std::sync::Arc;

/// Editions whose busbar rules differ.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum BusEdition {
    /// 2011 and before: the ratings of source breakers are summed.
    Nec2011,
    /// 2014: 125 % of the source currents, and the sum of all devices as another test.
    Nec2014,
    /// 2017.
    Nec2017,
    /// 2020.
    Nec2020,
    /// 2023.
    Nec2023,
    /// 2026, whose text was not seen; its numbers are taken as those of 2023.
    Nec2026,
}

impl BusEdition {
    /// Of a rule set; none for one that is no edition of the NEC.
    pub fn of(rules: crate::RuleSet) -> Option<BusEdition> {
        match rules {
            crate::RuleSet::Nec2020 => Some(BusEdition::Nec2020),
            crate::RuleSet::Nec2023 => Some(BusEdition::Nec2023),
            crate::RuleSet::Nec2026 => Some(BusEdition::Nec2026),
            crate::RuleSet::Iec60364 => None,
        }
    }
}

/// The tests.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum BusTest {
    /// Sources and the main device together within the busbar.
    PlainSum,
    /// Within 120 % of the busbar where sources sit at the end opposite to the main device.
    OppositeEnds,
    /// All devices but the main one together within the busbar.
    AllDevices,
    /// A panel fed at its centre, with sources at one end only, by the 120 % test.
    CenterFed,
    /// A listed power control system holds a current.
    PowerControl,
}

impl BusTest {
    /// The words for a schedule.
    pub fn in_words(self) -> &'static str {
        match self {
            BusTest::PlainSum => "sources and main device within the busbar",
            BusTest::OppositeEnds => "120 % of the busbar, sources at the end opposite to the main device",
            BusTest::AllDevices => "all devices but the main one within the busbar",
            BusTest::CenterFed => "120 % of the busbar, fed at the centre",
            BusTest::PowerControl => "with what the power control system holds",
        }
    }

    /// Where the edition has it; `None` where the edition does not have it.
    pub fn clause(self, edition: BusEdition) -> Option<Clause> {
        use BusEdition::{Nec2011, Nec2014, Nec2017, Nec2020, Nec2023, Nec2026};
        use Standing::{Remembered, SecondHand};
        Some(match (self, edition) {
            (BusTest::PlainSum, Nec2011) => nec("2011", "705.12(D)(2)", Remembered),
            (BusTest::PlainSum, Nec2014) => nec("2014", "705.12(D)(2)(3)(a)", Remembered),
            (BusTest::PlainSum, Nec2017) => nec("2017", "705.12(B)(2)(3)(a)", SecondHand),
            (BusTest::PlainSum, Nec2020) => nec("2020", "705.12(B)(3)(1)", SecondHand),
            (BusTest::PlainSum, Nec2023) => nec("2023", "705.12(B)(1)", SecondHand),
            (BusTest::PlainSum, Nec2026) => nec("2026", "705.12(B)(1)", Remembered),
            (BusTest::OppositeEnds, Nec2011) => nec("2011", "705.12(D)(2), (7)", Remembered),
            (BusTest::OppositeEnds, Nec2014) => nec("2014", "705.12(D)(2)(3)(b)", SecondHand),
            (BusTest::OppositeEnds, Nec2017) => nec("2017", "705.12(B)(2)(3)(b)", SecondHand),
            (BusTest::OppositeEnds, Nec2020) => nec("2020", "705.12(B)(3)(2)", SecondHand),
            (BusTest::OppositeEnds, Nec2023) => nec("2023", "705.12(B)(2)", SecondHand),
            (BusTest::OppositeEnds, Nec2026) => nec("2026", "705.12(B)(2)", Remembered),
            (BusTest::AllDevices, Nec2011) => return None,
            (BusTest::AllDevices, Nec2014) => nec("2014", "705.12(D)(2)(3)(c)", Remembered),
            (BusTest::AllDevices, Nec2017) => nec("2017", "705.12(B)(2)(3)(c)", Remembered),
            (BusTest::AllDevices, Nec2020) => nec("2020", "705.12(B)(3)(3)", SecondHand),
            (BusTest::AllDevices, Nec2023) => nec("2023", "705.12(B)(3)", SecondHand),
            (BusTest::AllDevices, Nec2026) => nec("2026", "705.12(B)(3)", Remembered),
            (BusTest::CenterFed, Nec2011 | Nec2014) => return None,
            (BusTest::CenterFed, Nec2017) => nec("2017", "705.12(B)(2)(3)(d)", Remembered),
            (BusTest::CenterFed, Nec2020) => nec("2020", "705.12(B)(3)(4)", SecondHand),
            (BusTest::CenterFed, Nec2023) => nec("2023", "705.12(B)(4)", SecondHand),
            (BusTest::CenterFed, Nec2026) => nec("2026", "705.12(B)(4)", Remembered),
            (BusTest::PowerControl, Nec2011 | Nec2014 | Nec2017) => return None,
            (BusTest::PowerControl, Nec2020) => nec("2020", "705.13", SecondHand),
            (BusTest::PowerControl, Nec2023) => nec("2023", "705.13", SecondHand),
            (BusTest::PowerControl, Nec2026) => nec("2026", "article 130", SecondHand),
        })
    }
}

/// What the sources ask of a busbar: 125 % of their continuous output `i`, amperes.
pub fn source_on_bus(i: f64) -> f64 {
    1.25 * i
}

formula! {
    /// Explained twin of [`source_on_bus`].
    pub SourceOnBus = source_on_bus(
        i: Current as AMPERE = "continuous output of the sources",
    ) -> Current as AMPERE,
    text: "1.25 · i",
    clause: nec("2023", "705.12(B); 705.28(A)", Standing::SecondHand),
}

/// Sources and the device that protects the busbar, amperes.
pub fn bus_plain_sum(sources: f64, main: f64) -> f64 {
    sources + main
}

formula! {
    /// Explained twin of [`bus_plain_sum`].
    pub BusPlainSum = bus_plain_sum(
        sources: Current as AMPERE = "what the sources count with",
        main: Current as AMPERE = "device that protects the busbar",
    ) -> Current as AMPERE,
    text: "sources + main",
    clause: nec("2023", "705.12(B)(1), (2)", Standing::SecondHand),
}

/// 120 % of a busbar of `bus` amperes.
pub fn bus_120(bus: f64) -> f64 {
    1.2 * bus
}

formula! {
    /// Explained twin of [`bus_120`].
    pub Bus120 = bus_120(
        bus: Current as AMPERE = "rating of the busbar",
    ) -> Current as AMPERE,
    text: "1.2 · bus",
    clause: nec("2023", "705.12(B)(2)", Standing::SecondHand),
}

/// Largest main device that passes the 120 % test, amperes.
pub fn largest_main(bus: f64, sources: f64) -> f64 {
    1.2 * bus - sources
}

formula! {
    /// Explained twin of [`largest_main`].
    pub LargestMain = largest_main(
        bus: Current as AMPERE = "rating of the busbar",
        sources: Current as AMPERE = "what the sources count with",
    ) -> Current as AMPERE,
    text: "1.2 · bus − sources",
    clause: nec("2023", "705.12(B)(2)", Standing::SecondHand),
}

/// Largest continuous output of sources that passes the 120 % test, amperes.
pub fn largest_source(bus: f64, main: f64) -> f64 {
    (1.2 * bus - main) / 1.25
}

formula! {
    /// Explained twin of [`largest_source`].
    pub LargestSource = largest_source(
        bus: Current as AMPERE = "rating of the busbar",
        main: Current as AMPERE = "device that protects the busbar",
    ) -> Current as AMPERE,
    text: "(1.2 · bus − main) / 1.25",
    clause: nec("2023", "705.12(B)(2)", Standing::SecondHand),
}

/// A source on the busbar.
#[derive(Clone, Debug, PartialEq)]
pub struct BusSource {
    /// Owner's name.
    pub name: Arc<str>,
    /// Continuous output.
    pub output: Fact<Current>,
    /// Rating of its device on the busbar.
    pub device: Fact<Current>,
}

/// What a power control system holds at its setting.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Holds {
    /// The current of the whole busbar: it watches the feed and the sources together.
    Busbar,
    /// What the sources give together.
    Sources,
}

/// A power control system of a busbar.
#[derive(Clone, Debug, PartialEq)]
pub struct PowerControl {
    /// Its setting, which only the qualified may change.
    pub setting: Fact<Current>,
    /// What it holds.
    pub holds: Fact<Holds>,
    /// Whether it is listed for this; one that is not counts for nothing.
    pub listed: Fact<bool>,
}

/// A busbar with what sits on it.
#[derive(Clone, Debug, PartialEq)]
pub struct Busbar {
    /// Rating.
    pub rating: Fact<Current>,
    /// Device that protects it.
    pub main: Fact<Current>,
    /// Sources other than the utility.
    pub sources: Vec<BusSource>,
    /// Devices of loads, by name.
    pub loads: Vec<(Arc<str>, Fact<Current>)>,
    /// Whether every source sits at the end opposite to the main device.
    pub opposite_ends: Fact<bool>,
    /// Whether the main device sits at the centre, the sources at one end and the panel in a dwelling.
    pub centre_fed_one_end: Fact<bool>,
    /// A system that holds its current, where there is one.
    pub power_control: Option<PowerControl>,
}

/// One test with its figures.
#[derive(Clone, Debug, PartialEq)]
pub struct BusAnswer {
    /// Which.
    pub test: BusTest,
    /// Where the edition has it.
    pub clause: Clause,
    /// What it needs.
    pub needs: Fact<Current>,
    /// What the busbar allows by it.
    pub allows: Fact<Current>,
    /// Whether it passes; unknown while a fact is missing that decides it.
    pub passes: Fact<bool>,
}

/// Every test the edition has. A busbar is right when one of them passes; it is undecided while none passes and one is
/// unknown.
pub fn busbar(bus: &Busbar, edition: BusEdition) -> Vec<BusAnswer> {
    let counted = |source: &BusSource| match edition {
        BusEdition::Nec2011 => source.device.clone(),
        _ => SourceOnBus::of_facts(&source.output),
    };
    let sources = sum_of(bus.sources.iter().map(|s| (s.name.clone(), counted(s))));
    let with_main = BusPlainSum::of_facts(&sources, &bus.main);
    let devices = sum_of(
        bus.sources
            .iter()
            .map(|s| (s.name.clone(), s.device.clone()))
            .chain(bus.loads.iter().map(|(name, device)| (name.clone(), device.clone()))),
    );
    let more = Bus120::of_facts(&bus.rating);
    let always = None;
    [
        (BusTest::PlainSum, with_main.clone(), bus.rating.clone(), always),
        (BusTest::OppositeEnds, with_main.clone(), more.clone(), Some(&bus.opposite_ends)),
        (BusTest::AllDevices, devices, bus.rating.clone(), always),
        (BusTest::CenterFed, with_main, more, Some(&bus.centre_fed_one_end)),
    ]
    .into_iter()
    .chain(bus.power_control.as_ref().map(|held| {
        let (needs, allows) = held_at(bus, held);
        (BusTest::PowerControl, needs, allows, Some(&held.listed))
    }))
    .filter_map(|(test, needs, allows, only_if)| {
        let clause = test.clause(edition)?;
        let passes = passes(&needs, &allows, only_if);
        Some(BusAnswer { test, clause, needs, allows, passes })
    })
    .collect()
}

/// What a busbar needs and what it allows with its current held: the setting itself where all of it is held, else the
/// setting in place of the outputs of the sources in the other tests.
fn held_at(bus: &Busbar, held: &PowerControl) -> (Fact<Current>, Fact<Current>) {
    let holds = match &held.holds {
        Fact::Known(holds) => holds.value,
        Fact::Unknown(gap) => return (Fact::Unknown(gap.clone()), bus.rating.clone()),
    };
    if holds == Holds::Busbar {
        return (held.setting.clone(), bus.rating.clone());
    }
    let needs = BusPlainSum::of_facts(&SourceOnBus::of_facts(&held.setting), &bus.main);
    let allows = match &bus.opposite_ends {
        Fact::Known(far) if far.value => Bus120::of_facts(&bus.rating),
        Fact::Known(_) => bus.rating.clone(),
        Fact::Unknown(gap) => match (needs.si(), bus.rating.si()) {
            (Some(needs), Some(rating)) if !at_least(rating, needs) && at_least(bus_120(rating), needs) => {
                Fact::Unknown(gap.clone())
            }
            _ => bus.rating.clone(),
        },
    };
    (needs, allows)
}

/// Where a feeder with sources at its far end has its sum; the editions number it apart.
pub fn feeder_clause(edition: BusEdition) -> Clause {
    use Standing::Remembered;
    match edition {
        BusEdition::Nec2011 => nec("2011", "705.12(D)(2)", Remembered),
        BusEdition::Nec2014 => nec("2014", "705.12(D)(2)(1)", Remembered),
        BusEdition::Nec2017 => nec("2017", "705.12(B)(2)(1)", Remembered),
        BusEdition::Nec2020 => nec("2020", "705.12(B)(1)", Remembered),
        BusEdition::Nec2023 => nec("2023", "705.12(A)", Remembered),
        BusEdition::Nec2026 => nec("2026", "705.12(A)", Remembered),
    }
}

fn passes(needs: &Fact<Current>, allows: &Fact<Current>, only_if: Option<&Fact<bool>>) -> Fact<bool> {
    let enough = needs.and_then(|needs| {
        allows.and_then(|allows| Fact::Known(needs.with(at_least(allows.si(), needs.si()))))
    });
    match only_if {
        None => enough,
        // A test that fails by its numbers fails wherever the devices sit, and the other way round.
        Some(placed) => match (enough, placed) {
            (Fact::Known(enough), _) if !enough.value => Fact::Known(enough),
            (_, Fact::Known(placed)) if !placed.value => Fact::Known(placed.clone()),
            (Fact::Unknown(gap), Fact::Unknown(more)) => Fact::Unknown(gap.and(more)),
            (Fact::Unknown(gap), _) => Fact::Unknown(gap),
            (_, Fact::Unknown(gap)) => Fact::Unknown(gap.clone()),
            (enough, _) => enough,
        },
    }
}

/// Whether any test passes; unknown while none does and a fact is missing.
pub fn busbar_passes(answers: &[BusAnswer]) -> Fact<bool> {
    let mut gap: Option<Gap> = None;
    let mut failed: Option<Traced<bool>> = None;
    for answer in answers {
        match &answer.passes {
            Fact::Known(passes) if passes.value => return Fact::Known(passes.clone()),
            Fact::Known(passes) => failed = Some(passes.clone()),
            Fact::Unknown(more) => gap = Some(gap.map_or(more.clone(), |gap| gap.and(more))),
        }
    }
    match (gap, failed) {
        (Some(gap), _) => Fact::Unknown(gap),
        (None, Some(failed)) => Fact::Known(failed),
        (None, None) => Fact::unknown("busbar", quantity::WhoKnows::Owner),
    }
}

fn sum_of(parts: impl Iterator<Item = (Arc<str>, Fact<Current>)>) -> Fact<Current> {
    let mut known = Vec::new();
    let mut gap: Option<Gap> = None;
    for (name, part) in parts {
        match part {
            Fact::Known(part) => known.push((name, part)),
            Fact::Unknown(more) => gap = Some(gap.map_or(more.clone(), |gap| gap.and(&more))),
        }
    }
    match gap {
        Some(gap) => Fact::Unknown(gap),
        None => Fact::Known(sum(known, &units::AMPERE)),
    }
}
