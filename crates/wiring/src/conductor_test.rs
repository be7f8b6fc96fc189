//! The three tests of one conductor size, never stacked, and the owner's drop target beside them.
//!
//! 1. The continuous current against the table in the *terminals'* column, without factors.
//! 2. The maximum current against the *insulation's* column with the factors of each segment.
//! 3. The device against the ampacity it must protect, with the limits of small conductors.

use crate::ampacity::{CorrectedAmpacity, TerminalAmpacity};
use crate::at_least;
use crate::drop::{DropShare, LoopDrop};
use crate::sizing::{Basis, Guard, Size};
use quantity::{Choice, Count, Current, Origin, Ratio, Standing, Term, Traced, least, nec, print_in, units};
use std::sync::Arc;

/// What a size must bear and what it bears.
#[derive(Clone, Debug, PartialEq)]
pub struct Test {
    /// Needed.
    pub needs: Traced<Current>,
    /// Offered by this size.
    pub offers: Traced<Current>,
    /// Whether it is enough.
    pub passes: bool,
}

/// The third test.
#[derive(Clone, Debug, PartialEq)]
pub struct GuardTest {
    /// The device or the flow without one.
    pub guard: Guard,
    /// Ampacity to be protected: the least of terminals and segments.
    pub protected: Traced<Current>,
    /// Largest device for a small conductor, NEC 240.4(D); `None` for larger sizes.
    pub limit: Option<Traced<Current>>,
    /// Whether the device protects only as the next standard size above the ampacity, NEC 240.4(B).
    pub by_next_size_up: bool,
    /// Whether the ampacity is already reduced to the rating of a fuse whose fusing current it bears.
    pub by_fusing_current: bool,
    /// Whether it protects.
    pub passes: bool,
}

/// The drop of a size against the owner's target.
#[derive(Clone, Debug, PartialEq)]
pub struct DropTest {
    /// Share that drops.
    pub share: Traced<Ratio>,
    /// Largest share the owner allows.
    pub target: Traced<Ratio>,
    /// Whether it is held.
    pub passes: bool,
}

/// All tests of one size.
#[derive(Clone, Debug, PartialEq)]
pub struct Tests {
    /// First test, at the terminals.
    pub terminal: Test,
    /// Second test, one entry per segment.
    pub segments: Vec<Test>,
    /// Third test.
    pub guard: GuardTest,
    /// The drop, where the owner states a target.
    pub drop: Option<DropTest>,
}

/// One of the tests, to say which one failed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum WhichTest {
    /// Continuous current at the terminals.
    Terminal,
    /// Maximum current in the segment of this place, counted from 0.
    Segment(usize),
    /// The device against the ampacity.
    Protection,
    /// The device against the limit of small conductors.
    SmallConductor,
    /// The drop target.
    Drop,
}

/// Device rating up to which the next standard size above the ampacity may protect: 800 A.
const NEXT_SIZE_UP_TO_AMPERES: f64 = 800.0;

/// All tests of one size; `None` when the tables do not hold it.
pub fn test_size(basis: &Basis, size: Size) -> Option<Tests> {
    let sets = Traced { value: Count(size.sets), origin: counted(size.sets) };
    let table = |column| tables::ampacity(size.gauge, basis.material.value, column).ok();
    let at_terminals = TerminalAmpacity::of(&table(basis.terminals.value)?, &sets);
    let terminal = Test {
        passes: at_least(at_terminals.si(), basis.continuous.si()),
        needs: basis.continuous.clone(),
        offers: at_terminals.clone(),
    };
    let mut segments = Vec::with_capacity(basis.segments.len());
    let mut all: Vec<(Arc<str>, Traced<Current>)> = vec![(Arc::from("at the terminals"), at_terminals)];
    for (k, segment) in basis.segments.iter().enumerate() {
        let offers = CorrectedAmpacity::of(
            &table(segment.column.value)?,
            &segment.ambient_factor,
            &segment.count_factor,
            &sets,
        );
        all.push((Arc::from(format!("in segment {}", k + 1)), offers.clone()));
        segments.push(Test {
            passes: at_least(offers.si(), basis.maximum.si()),
            needs: basis.maximum.clone(),
            offers,
        });
    }
    let protected = least(all, &units::AMPERE)?;
    let guard = guard_test(basis, size, protected);
    let drop = match &basis.drop {
        None => None,
        Some(drop) => {
            let r = tables::dc_resistance(size.gauge, basis.material.value, true, false).ok()?;
            let share = DropShare::of(&LoopDrop::of(&drop.length, &r, &drop.current, &sets), &drop.volts);
            let passes = at_least(drop.target.si(), share.si());
            Some(DropTest { share, target: drop.target.clone(), passes })
        }
    };
    Some(Tests { terminal, segments, guard, drop })
}

fn guard_test(basis: &Basis, size: Size, protected: Traced<Current>) -> GuardTest {
    let device = match &basis.guard {
        Guard::Device(device) => device,
        Guard::Flow(flow) => {
            let passes = at_least(protected.si(), flow.si());
            return GuardTest {
                guard: basis.guard.clone(),
                protected,
                limit: None,
                by_next_size_up: false,
                by_fusing_current: false,
                passes,
            };
        }
    };
    // Sizes without a row are not sought, so no answer and no limit are the same here.
    let limit = tables::small_conductor_limit(size.gauge, basis.material.value).ok().flatten();
    let within_limit = limit.as_ref().is_none_or(|limit| at_least(limit.si(), device.si()));
    let directly = at_least(protected.si(), device.si());
    // The next standard rating above an ampacity that is none itself; an ampacity that is one is found as its own.
    let next = tables::next_standard_rating(protected.si(), tables::Protection::Breaker).ok();
    let by_next_size_up = !directly
        && basis.next_size_up
        && device.si() <= NEXT_SIZE_UP_TO_AMPERES
        && next.is_some_and(|next| at_least(next.si(), device.si()));
    GuardTest {
        guard: basis.guard.clone(),
        protected,
        limit,
        by_next_size_up,
        by_fusing_current: false,
        passes: within_limit && (directly || by_next_size_up),
    }
}

impl Tests {
    /// The tests that fail, in their order.
    pub fn failing(&self) -> Vec<WhichTest> {
        let mut fails = self.failing_by_ampacity();
        if self.drop.as_ref().is_some_and(|drop| !drop.passes) {
            fails.push(WhichTest::Drop);
        }
        fails
    }

    pub(crate) fn failing_by_ampacity(&self) -> Vec<WhichTest> {
        let mut fails = Vec::new();
        if !self.terminal.passes {
            fails.push(WhichTest::Terminal);
        }
        for (k, segment) in self.segments.iter().enumerate() {
            if !segment.passes {
                fails.push(WhichTest::Segment(k));
            }
        }
        if !self.guard.passes {
            let over_limit = match (&self.guard.guard, &self.guard.limit) {
                (Guard::Device(device), Some(limit)) => !at_least(limit.si(), device.si()),
                _ => false,
            };
            fails.push(if over_limit { WhichTest::SmallConductor } else { WhichTest::Protection });
        }
        fails
    }

    /// One test in words with its figures.
    pub fn in_words(&self, which: WhichTest) -> String {
        let amps = |traced: &Traced<Current>| print_in(traced.si(), &units::AMPERE);
        match which {
            WhichTest::Terminal => format!(
                "its terminals bear {}, the continuous current is {}",
                amps(&self.terminal.offers),
                amps(&self.terminal.needs)
            ),
            WhichTest::Segment(k) => match self.segments.get(k) {
                Some(test) => format!(
                    "it bears {} in segment {}, the maximum current is {}",
                    amps(&test.offers),
                    k + 1,
                    amps(&test.needs)
                ),
                None => String::new(),
            },
            WhichTest::Protection => match &self.guard.guard {
                Guard::Device(device) if self.guard.by_fusing_current => format!(
                    "a fuse of {} is more than the {} it may be fused at",
                    amps(device),
                    amps(&self.guard.protected)
                ),
                Guard::Device(device) => format!(
                    "a device of {} does not protect its ampacity of {}",
                    amps(device),
                    amps(&self.guard.protected)
                ),
                Guard::Flow(flow) => format!(
                    "{} can flow without a device, its ampacity is {}",
                    amps(flow),
                    amps(&self.guard.protected)
                ),
            },
            WhichTest::SmallConductor => match (&self.guard.guard, &self.guard.limit) {
                (Guard::Device(device), Some(limit)) => {
                    format!("its device may be {} at most and is {}", amps(limit), amps(device))
                }
                _ => String::new(),
            },
            WhichTest::Drop => match &self.drop {
                Some(drop) => format!(
                    "{} drop on it, the target is {}",
                    print_in(drop.share.si(), &units::PERCENT),
                    print_in(drop.target.si(), &units::PERCENT)
                ),
                None => String::new(),
            },
        }
    }

    /// The figures of all tests, as terms of the choice.
    pub(crate) fn terms(&self, basis: &Basis) -> Vec<Term> {
        let amps = &units::AMPERE;
        let mut terms = vec![
            self.terminal.needs.term("continuous current", amps),
            self.terminal.offers.term("ampacity at the terminals", amps),
            basis.maximum.term("maximum current", amps),
        ];
        for (k, segment) in self.segments.iter().enumerate() {
            terms.push(segment.offers.term(format!("ampacity in segment {}", k + 1), amps));
        }
        match &self.guard.guard {
            Guard::Device(device) => terms.push(device.term("device", amps)),
            Guard::Flow(flow) => terms.push(flow.term("can flow without a device", amps)),
        }
        terms.push(self.guard.protected.term("ampacity to be protected", amps));
        if let Some(limit) = &self.guard.limit {
            terms.push(limit.term("largest device for this size", amps));
        }
        if let Some(drop) = &self.drop {
            terms.push(drop.share.term("voltage drop", &units::PERCENT));
            terms.push(drop.target.term("drop target", &units::PERCENT));
        }
        terms.push(Term::words(
            "terminals",
            basis.terminals.value.in_words(),
            basis.terminals.origin.clone(),
        ));
        terms.push(Term::words("metal", basis.material.value.in_words(), basis.material.origin.clone()));
        terms
    }
}

/// How many in parallel is part of the candidate that is tried.
fn counted(sets: u32) -> Origin {
    Origin::Found(Arc::new(Choice {
        because: Arc::from(if sets == 1 {
            "one conductor per pole"
        } else {
            "conductors in parallel per pole"
        }),
        runner_up: Arc::from(if sets == 1 { "" } else { "fewer of the largest size fail" }),
        clause: nec("2023", "310.10(G)", Standing::Remembered),
        terms: Vec::new(),
    }))
}
