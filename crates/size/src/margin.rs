//! What one step of each knob brings.

use crate::choice::Space;
use crate::trial::{Candidate, Fate, Years};

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

/// The knob and the position of every system one step down or up of a knob, as far as it goes.
pub(crate) fn neighbours(space: &Space, candidates: &[Candidate], from: usize) -> Vec<(usize, usize)> {
    let picks = space.picks(from);
    let mut neighbours = Vec::new();
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
            if to != from {
                neighbours.push((at, to));
            }
        }
    }
    neighbours
}

/// What lies one step down and one up of every knob.
pub(crate) fn steps(space: &Space, candidates: &[Candidate], from: usize) -> Vec<Step> {
    let step = |(knob, to): (usize, usize)| {
        let neighbour = match &candidates[to].fate {
            Fate::Buildable { years: Years::Walked(_), .. } => Neighbour::Examined,
            Fate::Rejected(why) => Neighbour::Rejected(why.code, why.says.to_string()),
            _ => Neighbour::NotExamined,
        };
        Step { from, knob, to, neighbour }
    };
    neighbours(space, candidates, from).into_iter().map(step).collect()
}
