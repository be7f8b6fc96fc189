//! The house as the hourly balance sees it: plain numbers out of facts.

mod bank;
mod behind;
mod fleet;
mod one_bus;
mod rates;
mod room;
mod way;

use crate::demand::DemandStudy;
use crate::fit::BankStudy;
use crate::uses::{Unanswered, Uses};
use bank::bank;
pub(crate) use bank::loop_ohm;
use behind::behind;
use design::Design;
use energy::{Inputs, Shed};
use fleet::fleet;

use quantity::{FieldPath, Origin, Reason, Term, practice, units};
use std::sync::Arc;
pub(crate) use way::{PvWay, controller_limit_w, pv_way};
use wiring::Schedule;

/// The balance's inputs and what they rest on.
#[derive(Clone, Debug)]
pub struct HouseStudy {
    /// Inputs of the balance.
    pub inputs: Inputs,
    /// What they rest on.
    pub terms: Vec<Term>,
    /// What stands behind the bank, in words: "the utility", "the generator", "nothing".
    pub backup_name: &'static str,
    /// Air around the bank, °C: lowest and highest over the year.
    pub room_c: Option<[f64; 2]>,
    /// Rate of every hour of the year; empty where one holds throughout.
    pub rate_of_hour: Vec<u8>,
    /// Names of the rates, in the order of their numbers.
    pub rate_names: Vec<Arc<str>>,
}

pub(crate) fn house(
    design: &Design,
    banks: &[BankStudy],
    demand: &DemandStudy,
    schedule: Option<&Schedule>,
) -> Result<Arc<HouseStudy>, Unanswered> {
    house_without(design, banks, demand, schedule, None).map(Arc::new)
}

/// The house while one of its units is out of order.
pub(crate) fn house_without(
    design: &Design,
    banks: &[BankStudy],
    demand: &DemandStudy,
    schedule: Option<&Schedule>,
    broken: Option<&str>,
) -> Result<HouseStudy, Unanswered> {
    let system = &design.system;
    let mut uses = Uses::default();
    if let Err(missing) = &demand.profile {
        return Err(missing.clone());
    }
    let fleet = fleet(system, banks, broken, &mut uses)?;
    let (bank, room_c) = bank(design, banks, schedule, broken, &mut uses)?;
    let room = room::room(system, &mut uses);
    let (behind, backup_name) = behind(system, banks, broken, &mut uses);
    let mut shed_below = Shed::default();
    let held_back = match one_bus::main_bank(system) {
        Some(bank) => {
            let of = |what: &str| format!("{}: {what}", bank.bank.name);
            let mut below = |what: &str, fact: &Option<quantity::Fact<quantity::Ratio>>| {
                fact.as_ref().map_or(0.0, |fact| uses.number(&of(what), fact, &units::RATIO))
            };
            shed_below.want = below("wanted loads go below", &bank.shed.want);
            shed_below.luxury = below("luxury loads go below", &bank.shed.luxury);
            if shed_below != Shed::default() {
                shed_below.comes_back_above =
                    uses.number(&of("loads come back after"), &bank.shed.back_after, &units::RATIO);
            }
            uses.number("share held back", &bank.reserve, &units::RATIO)
        }
        None => 0.0,
    };
    let tariff = rates::rates(system, &mut uses)?;
    uses.extend(&demand.terms);
    let terms = uses.done()?;
    let inputs = Inputs { fleet, bank, room, system: behind, held_back, shed_below, rates: tariff.rates };
    inputs.check().map_err(|problem| Unanswered::refused(problem.to_string(), None))?;
    Ok(HouseStudy {
        inputs,
        terms,
        backup_name,
        room_c,
        rate_of_hour: tariff.of_hour,
        rate_names: tariff.names,
    })
}

pub(crate) fn assumption(field: &str, because: &str, moves: &str) -> Origin {
    Origin::Assumed(Reason {
        field: FieldPath::new(field.to_string()),
        because: format!("{because}; from memory").into(),
        moves: moves.into(),
        clause: practice("assumption"),
    })
}
