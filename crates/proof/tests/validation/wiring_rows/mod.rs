//! Worked examples of wiring, and stories worked by hand from the tables of the code.

use quantity::{Count, Gauge, Material, Measure, Traced, units};
use tables::{Insulation, RacewayKind, TerminalColumn, TradeSize};
use wiring::*;

use crate::record::{Digits, Section, Standing};

// The short ways to state facts that the tests of wiring use.
#[path = "../../../../wiring/tests/common/mod.rs"]
mod common;
use common::*;

mod circuits;
mod conductors;
mod raceways;
mod services;
mod shorts_and_room;
mod stories;

pub(crate) fn sections() -> Vec<Section> {
    vec![
        circuits::array_circuits(),
        circuits::battery_circuits(),
        circuits::drop(),
        raceways::fill(),
        conductors::ampacity(),
        conductors::grounds(),
        services::busbars(),
        services::dwellings(),
        shorts_and_room::shorts(),
        shorts_and_room::room(),
        conductors::traps(),
        stories::stories(),
    ]
}

fn case(maximum: f64, continuous: f64, device: f64) -> Case {
    Case {
        maximum,
        continuous,
        device,
        terminals: TerminalColumn::C75,
        insulation: TerminalColumn::C90,
        ambient_c: 30.0,
        together: 2,
        material: Material::Copper,
    }
}

fn figure<T: Measure>(fact: &quantity::Fact<T>) -> f64 {
    fact.si().expect("every fact of the example is stated")
}

fn indoors(length_ft: f64) -> Run {
    run(vec![segment(Where::Indoors, emt(), length_ft, 30.0)])
}
