//! How long the battery lasts at the pace of the middling year.

use super::BALANCE;
use crate::uses::Uses;
use design::Design;
use energy::Hour;
use quantity::{Measure, Number, Ratio, Term, Traced};
use storage::{Ageing, END_OF_LIFE, Wear};

/// The battery's life.
#[derive(Clone, Debug)]
pub struct LifeStudy {
    /// Years until the capacity is down to its end of life.
    pub years: Traced<Number>,
    /// The same for cells that last half and twice as long as those of the source; makes differ so much (from memory).
    pub between: [f64; 2],
    /// Capacity lost in ten years.
    pub lost_in_ten: Traced<Ratio>,
    /// Capacity left at the end of life.
    pub end: f64,
}

/// Only iron phosphate has a published law here; `None` for others and where the year does not age it.
pub(super) fn life(design: &Design, hours: &[Hour], capacity_wh: f64, terms: &[Term]) -> Option<LifeStudy> {
    let bank = design.system.banks.first()?;
    let battery = design.system.battery(&bank.bank.battery)?;
    if battery.chemistry.value() != Some(&storage::Chemistry::Lfp) || capacity_wh <= 0.0 {
        return None;
    }
    let mut ageing = Ageing::default();
    for day in hours.chunks(24) {
        for hour in day {
            ageing.rest(hour.cell_c, hour.state_of_charge, 3600.0);
        }
        let out: f64 = day.iter().map(|hour| hour.flows.removed_wh).sum();
        let moving = day.iter().filter(|hour| hour.flows.removed_wh > 0.0).count();
        let full_cycles = out / capacity_wh;
        let rate = if moving > 0 { full_cycles / moving as f64 } else { 0.0 };
        ageing.cycles(Wear { depth: full_cycles.min(1.0), rate, full_cycles });
    }
    let years = ageing.years_until(END_OF_LIFE)?;
    let mut uses = Uses::default();
    let words = "a battery is replaced at 80 % of its new capacity";
    uses.note("end of life", words, crate::house::assumption("battery", words, "year of replacement"));
    let mut all = terms.to_vec();
    all.extend(uses.done().ok()?);
    let clause = quantity::Clause {
        document: "Naumann et al., J. Energy Storage 17 (2018) 153-169; J. Power Sources 451 (2020) 227666",
        edition: "",
        clause: "capacity lost by the calendar and by cycles, with the square root of time and of cycles",
        standing: BALANCE.standing,
    };
    Some(LifeStudy {
        years: Traced::series(Number(years), "years to 80 % of the new capacity", clause, all.clone()),
        between: [years / 2.0, years * 2.0],
        lost_in_ten: Traced::series(
            Ratio::from_si(ageing.lost_after(10.0)),
            "capacity lost in ten years like the middling one",
            clause,
            all,
        ),
        end: END_OF_LIFE,
    })
}
