//! Whether the banks of a house can be followed as one.

use crate::fit::BankStudy;
use crate::uses::Unanswered;
use design::system::{BankIn, System};
use quantity::FieldPath;

/// The bank whose busbars the first bank's units join.
pub(crate) fn main_bank(system: &System) -> Option<&BankIn> {
    system.bank(system.bus_of(&system.banks.first()?.bank.name))
}

/// Refuses with the reason what two banks do that is not computed.
pub(super) fn on_one_bus(system: &System, banks: &[BankStudy], main: &BankIn) -> Result<(), Unanswered> {
    for bank in system.banks.iter().filter(|bank| bank.bank.name != main.bank.name) {
        if let Some((what, words)) = apart(system, banks, main, bank) {
            let path = FieldPath::new(format!("bank.{}{what}", bank.bank.name));
            return Err(Unanswered::refused(words, Some(path)));
        }
    }
    Ok(())
}

/// What keeps two banks from being one: the field and the words.
fn apart(
    system: &System,
    banks: &[BankStudy],
    main: &BankIn,
    bank: &BankIn,
) -> Option<(&'static str, String)> {
    let (name, other) = (&main.bank.name, &bank.bank.name);
    if system.bus_of(other) != &**name {
        return Some((
            "",
            format!(
                "banks \"{name}\" and \"{other}\" have busbars of their own: each would fill and empty by what its own inverters do, and two \
                 stores side by side are not followed; where their units join one pair of busbars, say so with beside = \"{name}\"; otherwise \
                 describe each bank with its inverters, modules and loads as a design of its own"
            ),
        ));
    }
    let chemistry = |bank: &BankIn| system.battery(&bank.bank.battery)?.chemistry.value().copied();
    if let (Some(a), Some(b)) = (chemistry(main), chemistry(bank))
        && a != b
    {
        return Some((
            ".battery",
            format!(
                "\"{name}\" and \"{other}\" are of two chemistries on one bus: their voltages part as they empty, and what each gives is not \
                 computed; do not join them"
            ),
        ));
    }
    let nominal = |bank: &BankIn| banks.iter().find(|study| study.name == bank.bank.name)?.nominal.si();
    if let (Some(a), Some(b)) = (nominal(main), nominal(bank))
        && (a - b).abs() > 1e-6 * a.max(b)
    {
        return Some((
            ".battery",
            format!(
                "\"{name}\" of {a:.1} V and \"{other}\" of {b:.1} V cannot share a bus; do not join them"
            ),
        ));
    }
    if bank.bank.room != main.bank.room {
        return Some((
            ".room",
            format!(
                "\"{name}\" and \"{other}\" share a bus and stand in two rooms: cells of two temperatures on one bus are not computed; put them \
                 into one room, or study the year with each alone"
            ),
        ));
    }
    if bank.heater.is_some() != main.heater.is_some() {
        return Some((
            ".heater",
            format!(
                "\"{name}\" and \"{other}\" share a bus and only one has a heater: cells of two temperatures on one bus are not computed; heat \
                 both, or study the year with each alone"
            ),
        ));
    }
    let own_reserve = bank.reserve.si().is_some_and(|share| share > 0.0);
    if own_reserve || bank.shed.want.is_some() || bank.shed.luxury.is_some() {
        return Some((
            if own_reserve { ".reserve" } else { ".shed" },
            format!(
                "\"{other}\" stands beside \"{name}\": what is held back and given up is stated there, once for both"
            ),
        ));
    }
    None
}
