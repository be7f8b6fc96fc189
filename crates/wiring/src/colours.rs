//! Colours by which conductors are told apart.

use crate::demand::Demand;
use crate::facts::Supply;
use crate::graph::Circuit;
use crate::schedule::RuleSet;
use quantity::{Clause, Fact, Gauge, Length, Measure, Standing, Traced, Voltage, iec, nec, units};

/// One conductor of a circuit and its colour.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Colour {
    /// Which conductor.
    pub conductor: &'static str,
    /// How it is marked.
    pub colour: &'static str,
}

const fn of(conductor: &'static str, colour: &'static str) -> Colour {
    Colour { conductor, colour }
}

/// Voltage up to which a circuit of two wires runs between one leg and neutral in a 120/240 V house, volts.
const LEG_TO_NEUTRAL: f64 = 130.0;

/// Colours of the conductors of a circuit, its ground last; `None` while its voltage is not known and decides.
///
/// NEC: ungrounded conductors of a house black and red, grounded ones white (200.6), equipment grounds green or bare
/// (250.119); direct current positive red, negative black, neither of them white, gray or green (690.31(B), 210.5(C)(2)). IEC
/// 60445: line brown, neutral blue, protective conductor green and yellow; direct current positive red, negative white. All
/// from memory.
pub fn colours(
    circuit: &Circuit,
    supply: Supply,
    volts: &Fact<Voltage>,
    rules: RuleSet,
) -> Option<Vec<Colour>> {
    let metric = rules == RuleSet::Iec60364;
    let ground = if metric { of("protective", "green and yellow") } else { of("ground", "green or bare") };
    let mut all = match (supply, metric) {
        (Supply::Dc, true) => vec![of("positive", "red"), of("negative", "white")],
        (Supply::Dc, false) if matches!(circuit.demand, Demand::PvStrings(_)) => {
            vec![of("positive", "red or marked +"), of("negative", "black or marked −")]
        }
        (Supply::Dc, false) => vec![of("positive", "red"), of("negative", "black")],
        (Supply::Ac, true) if circuit.conductors >= 4 => {
            vec![of("L1", "brown"), of("L2", "black"), of("L3", "gray"), of("neutral", "blue")]
        }
        (Supply::Ac, true) => vec![of("line", "brown"), of("neutral", "blue")],
        (Supply::Ac, false) if circuit.conductors >= 3 => {
            vec![of("L1", "black"), of("L2", "red"), of("neutral", "white")]
        }
        (Supply::Ac, false) => {
            if units::VOLT.of_si(volts.value()?.si()) <= LEG_TO_NEUTRAL {
                vec![of("line", "black"), of("neutral", "white")]
            } else {
                vec![of("L1", "black"), of("L2", "red")]
            }
        }
    };
    all.push(ground);
    Some(all)
}

/// Whether conductors of this size may be marked at their ends instead of all along: from 4 AWG (NEC 200.6(B),
/// 250.119(B), from memory).
pub fn marked_at_ends(gauge: Gauge) -> bool {
    match gauge {
        Gauge::HundredthsMm2(_) => false,
        gauge => gauge >= Gauge::Awg(4),
    }
}

/// Least room to bend a conductor at a terminal; `None` where none is asked for or the table has no such size.
pub fn bending_space(gauge: Gauge) -> Option<Traced<Length>> {
    tables::bending_space(gauge).ok().flatten()
}

/// Where the colours stand.
pub fn colours_clause(rules: RuleSet) -> Clause {
    match rules {
        RuleSet::Iec60364 => iec("IEC 60445", "2017", "6.2", Standing::Remembered),
        _ => {
            crate::in_edition(rules, nec("2023", "200.6, 210.5(C), 250.119, 690.31(B)", Standing::Remembered))
        }
    }
}
