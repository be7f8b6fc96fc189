//! What one step of each knob brings.

use crate::choice::Space;
use crate::trial::{Candidate, Fate};

/// A step of one knob from a system.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// The system it begins from.
    pub from: usize,
    /// Which knob.
    pub knob: usize,
    /// Position of the system it leads to.
    pub to: usize,
    /// What lies there.
    pub neighbour: Neighbour,
}

/// What lies a step away.
#[derive(Clone, Debug, PartialEq)]
pub enum Neighbour {
    /// A system with its years.
    Examined,
    /// One that cannot be built, with the code of the rule and its words.
    Rejected(&'static str, String),
    /// One whose years were not looked at.
    NotExamined,
}

/// One step down and one up of every knob, as far as it goes.
pub(crate) fn steps(space: &Space, candidates: &[Candidate], from: usize) -> Vec<Step> {
    let picks = space.picks(from);
    let mut steps = Vec::new();
    for (at, knob) in space.knobs.iter().enumerate() {
        let one_less = picks[at].checked_sub(1);
        let one_more = Some(picks[at] + 1).filter(|more| *more < knob.settings.len());
        for pick in one_less.into_iter().chain(one_more) {
            let mut other = picks.clone();
            other[at] = pick;
            let mut to = space.system(&other);
            if let Fate::Same(first) = candidates[to].fate {
                to = first;
            }
            let neighbour = match &candidates[to].fate {
                Fate::Buildable { outcome: Some(Ok(_)), .. } => Neighbour::Examined,
                Fate::Rejected(why) => Neighbour::Rejected(why.code, why.says.clone()),
                _ => Neighbour::NotExamined,
            };
            if to != from {
                steps.push(Step { from, knob: at, to, neighbour });
            }
        }
    }
    steps
}
