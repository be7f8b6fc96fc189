//! What a terminal takes, at each of its limits.
#![allow(missing_docs, clippy::unwrap_used)]

mod common;
use common::*;
use quantity::{Count, Fact, FieldPath, Material, units};
use tables::TerminalColumn;
use wiring::*;

/// A lug for 6 AWG to 1/0 AWG copper, building wire, 75 °C, one conductor.
fn lug() -> Terminal {
    Terminal {
        serves: Serves::Everything,
        smallest: known(size("6 AWG")),
        largest: known(size("1/0 AWG")),
        metals: known(Metals::Copper),
        strands: known(TakesStrands::Building),
        temperature: known(TerminalColumn::C75),
        torque: Fact::Known(of(12.0, &units::NEWTON_METER)),
        conductors: count(1),
        field: FieldPath::new("inverter.i.terminals.1"),
    }
}

fn landed(gauge: &str) -> Landed {
    Landed {
        gauge: known(size(gauge)),
        sets: known(Count(1)),
        material: known(Material::Copper),
        strands: known(Strands::Building),
        column: Some(known(TerminalColumn::C75)),
    }
}

#[test]
fn its_smallest_and_its_largest_size_are_taken_and_the_next_are_not() {
    let against = |gauge: &str| takes(&lug(), &landed(gauge)).refusals;
    for taken in ["6 AWG", "2 AWG", "1/0 AWG"] {
        assert!(takes(&lug(), &landed(taken)).takes(), "{taken}");
    }
    assert_eq!(against("8 AWG"), [Refusal::TooSmall(size("8 AWG"), size("6 AWG"))]);
    assert_eq!(against("2/0 AWG"), [Refusal::TooLarge(size("2/0 AWG"), size("1/0 AWG"))]);
}

#[test]
fn each_mark_that_does_not_suit_is_a_reason_of_its_own() {
    let mut two = landed("2 AWG");
    two.sets = known(Count(2));
    assert_eq!(takes(&lug(), &two).refusals, [Refusal::TooMany(2, 1)]);
    let mut metal = landed("2 AWG");
    metal.material = known(Material::Aluminum);
    assert_eq!(takes(&lug(), &metal).refusals, [Refusal::Metal(Material::Aluminum)]);
    let mut fine = landed("2 AWG");
    fine.strands = known(Strands::Fine);
    assert_eq!(takes(&lug(), &fine).refusals, [Refusal::Stranding(Strands::Fine)]);
    let mut hot = landed("2 AWG");
    hot.column = Some(known(TerminalColumn::C90));
    assert_eq!(takes(&lug(), &hot).refusals, [Refusal::Cooler(TerminalColumn::C75, TerminalColumn::C90)]);
    hot.column = Some(known(TerminalColumn::C60));
    assert!(takes(&lug(), &hot).takes());
}

#[test]
fn what_is_not_stated_is_no_pass() {
    let mut bare = lug();
    bare.metals = unknown("inverter.i.terminals.1.material");
    let said = takes(&bare, &landed("2 AWG"));
    assert!(said.refusals.is_empty() && !said.takes());
    assert_eq!(said.missing.unwrap().missing[0].field.as_str(), "inverter.i.terminals.1.material");
}

#[test]
fn the_terminal_of_the_purpose_comes_before_that_of_everything() {
    let of = |serves: Serves| Terminal { serves, ..lug() };
    let both = [of(Serves::Everything), of(Serves::Battery)];
    assert_eq!(serving(&both, Serves::Battery).unwrap().serves, Serves::Battery);
    assert_eq!(serving(&both, Serves::Input).unwrap().serves, Serves::Everything);
    assert!(serving(&both[1..], Serves::Input).is_none());
    let all = [Serves::Everything, Serves::Modules, Serves::Battery, Serves::Input, Serves::Output];
    assert_eq!(all.map(Serves::in_words), ["all terminals", "modules", "battery", "input", "output"]);
}
