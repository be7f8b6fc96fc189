//! Lengths and sizes of conductors tried on page 7.

use super::{Asked, year};
use crate::knobs::Knob;
use crate::workbook::Answered;
use maud::{Markup, html};
use output::say::fixed;
use quantity::{Fact, units};

pub(super) fn try_wires(asked: &Asked<'_>) -> Markup {
    let any = asked.tried.knobs.iter().any(|knob| knob.page == 7);
    html! {
        @if any {
            details.days #try-wires open[asked.moved().any(|knob| knob.page == 7)] {
                summary { "try other lengths and sizes of conductors" }
                (year::controls(asked))
            }
            div #change .change data-part aria-live="polite" { (year::change(asked)) }
        }
    }
}

/// The circuit of a control's run: its conductor and its drop, as words.
fn of_run(of: &Answered, knob: &Knob) -> Option<(String, Option<f64>)> {
    let field = knob.fields.first()?.as_str();
    let system = &of.design().system;
    let at = system.runs.iter().position(|run| {
        let rest = field.strip_prefix("run.").and_then(|rest| rest.strip_prefix(&*run.name));
        rest.is_some_and(|rest| rest.starts_with('.'))
    })?;
    let schedule = of.study.wiring.as_ref().ok()?;
    let sized = schedule.circuits.iter().find(|sized| sized.run.is_some_and(|run| run.0 == at))?;
    let gauge = match sized.gauge() {
        Fact::Known(gauge) => gauge.value.to_string(),
        Fact::Unknown(_) => "a size that is not known".into(),
    };
    Some((gauge, sized.drop_share.si().map(|share| units::PERCENT.of_si(share))))
}

/// What it brings to the run: "drop 1.62 % → 1.71 %, conductors 6 AWG → 4 AWG".
pub(super) fn difference(from: &Answered, to: &Answered, knob: &Knob) -> Markup {
    let (Some(before), Some(after)) = (of_run(from, knob), of_run(to, knob)) else {
        return html! { "cannot be said" };
    };
    html! {
        @match (before.1, after.1) {
            (Some(before), Some(after)) => { "drop " (fixed(before, 2)) " % → " b { (fixed(after, 2)) " %" } },
            _ => { "drop not known" },
        }
        @if before.0 != after.0 { ", conductors " (before.0) " → " b { (after.0) } }
    }
}
