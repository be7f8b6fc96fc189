//! Conductors, their devices and what they run in, for direct and alternating current.

pub(crate) mod buried_too_shallow;
pub(crate) mod circuit_not_sized;
pub(crate) mod circuits_mixed;
pub(crate) mod conductor_too_small;
pub(crate) mod device_unfit;
pub(crate) mod fault_current_unknown;
pub(crate) mod hazardous_place;
pub(crate) mod insulation_not_allowed;
pub(crate) mod method_of_other_rules;
pub(crate) mod no_conductor_suffices;
pub(crate) mod plastic_lengthens;
pub(crate) mod raceway_does_not_hold;
pub(crate) mod raceway_not_for_place;
pub(crate) mod route_missing;
pub(crate) mod rules_not_built;
pub(crate) mod rules_unknown;
pub(crate) mod run_joins_nothing;
pub(crate) mod short_not_ended;
pub(crate) mod signal_cable_too_long;
pub(crate) mod signal_cable_with_power;
pub(crate) mod terminal_unfit;
pub(crate) mod too_many_bends;
pub(crate) mod voltage_drop;

use study::Study;
use wiring::{Run, Sized};

/// Sized circuits by the run they share, in schedule order; a circuit without a run stands alone.
fn by_run(study: &Study) -> Vec<(Option<&Run>, Vec<&Sized>)> {
    let Ok(schedule) = &study.wiring else { return Vec::new() };
    let mut groups: Vec<(Option<wiring::RunId>, Vec<&Sized>)> = Vec::new();
    for sized in &schedule.circuits {
        match groups.iter_mut().find(|(run, _)| run.is_some() && *run == sized.run) {
            Some((_, group)) => group.push(sized),
            None => groups.push((sized.run, vec![sized])),
        }
    }
    let runs = &study.design.system.runs;
    groups.into_iter().map(|(run, group)| (run.and_then(|run| runs.get(run.0)), group)).collect()
}

/// "circuit "a"" or "circuits "a" and "b" on run "c"".
fn circuits(group: &[&Sized]) -> String {
    let names: Vec<&str> = group.iter().map(|sized| &*sized.name).collect();
    let word = if names.len() == 1 { "circuit" } else { "circuits" };
    // A bank of many units has as many circuits; two and their number say it.
    if names.len() > 3 {
        return format!("{} and {} circuits like it", crate::words::named(&names[..1]), names.len() - 1);
    }
    format!("{word} {}", crate::words::named(&names))
}
