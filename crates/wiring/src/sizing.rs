//! Finds a conductor by three tests that are never stacked, or checks the one the owner has fixed.
//!
//! 1. The continuous current against the table in the *terminals'* column, without factors.
//! 2. The maximum current against the *insulation's* column with the factors of each segment.
//! 3. The device against the ampacity it must protect, with the limits of small conductors.
//!
//! The largest size governs. The owner's drop target, where stated, and the smallest size of the trade come after.

use crate::ampacity::{CorrectedAmpacity, SegmentFactors, TerminalAmpacity};
use crate::at_least;
use crate::drop::{DropShare, LoopDrop};
use quantity::{
    Choice, Clause, Count, Current, Gauge, Length, Material, Origin, Ratio, Standing, Term, Traced, Voltage,
    least, nec, print_in, units,
};
use std::sync::Arc;
use tables::TerminalColumn;

/// Sizes of building wire in rising order, as in NEC table 310.16.
pub const SIZES: &[Gauge] = &[
    Gauge::Awg(14),
    Gauge::Awg(12),
    Gauge::Awg(10),
    Gauge::Awg(8),
    Gauge::Awg(6),
    Gauge::Awg(4),
    Gauge::Awg(3),
    Gauge::Awg(2),
    Gauge::Awg(1),
    Gauge::Awg(0),
    Gauge::Awg(-1),
    Gauge::Awg(-2),
    Gauge::Awg(-3),
    Gauge::Kcmil(250),
    Gauge::Kcmil(300),
    Gauge::Kcmil(350),
    Gauge::Kcmil(400),
    Gauge::Kcmil(500),
];

/// Smallest size that may be run in parallel: 1/0 (NEC 310.10(G), from memory).
const SMALLEST_IN_PARALLEL: Gauge = Gauge::Awg(0);

/// More conductors per pole than this are not sought.
const MOST_SETS: u32 = 6;

/// Device rating up to which the next standard size above the ampacity may protect: 800 A.
const NEXT_SIZE_UP_TO_AMPERES: f64 = 800.0;

/// What the conductor's protection must hold back.
#[derive(Clone, Debug, PartialEq)]
pub enum Guard {
    /// A device of this rating.
    Device(Traced<Current>),
    /// No device is needed; this is what can flow through the conductor at most.
    Flow(Traced<Current>),
}

/// Drop to be held.
#[derive(Clone, Debug, PartialEq)]
pub struct DropBasis {
    /// Largest share of the circuit voltage.
    pub target: Traced<Ratio>,
    /// Operating current.
    pub current: Traced<Current>,
    /// Circuit voltage.
    pub volts: Traced<Voltage>,
    /// One-way length.
    pub length: Traced<Length>,
}

/// Everything a size is found on.
#[derive(Clone, Debug, PartialEq)]
pub struct Basis {
    /// Maximum current, for the second test.
    pub maximum: Traced<Current>,
    /// Continuous current, for the first test.
    pub continuous: Traced<Current>,
    /// For the third test.
    pub guard: Guard,
    /// Whether the next standard device above the ampacity may protect, NEC 240.4(B).
    pub next_size_up: bool,
    /// Conductor metal.
    pub material: Traced<Material>,
    /// Column of the terminals.
    pub terminals: Traced<TerminalColumn>,
    /// Factors of each segment, never empty.
    pub segments: Vec<SegmentFactors>,
    /// The owner's drop target, if stated.
    pub drop: Option<DropBasis>,
    /// Smallest size the trade runs for this use, with its reason.
    pub smallest: (Gauge, Clause),
    /// Largest single conductor, above which conductors are run in parallel.
    pub largest: Gauge,
}

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

/// A size and how many in parallel per pole.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Size {
    /// Size of one conductor.
    pub gauge: Gauge,
    /// Conductors in parallel per pole.
    pub sets: u32,
}

impl std::fmt::Display for Size {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        if self.sets > 1 { write!(f, "{} × {}", self.sets, self.gauge) } else { write!(f, "{}", self.gauge) }
    }
}

/// A conductor found, or the owner's with its check.
#[derive(Clone, Debug, PartialEq)]
pub struct SizedConductor {
    /// Size of one conductor.
    pub gauge: Traced<Gauge>,
    /// Conductors in parallel per pole.
    pub sets: Traced<Count>,
    /// Tests of this very size.
    pub tests: Tests,
    /// Tests that the size fails; only an owner's fixed size can fail any.
    pub fails: Vec<WhichTest>,
    /// Smallest size that passes everything, with its reasons; equal to the above when it was found.
    pub required: Option<Traced<Gauge>>,
    /// Conductors in parallel per pole of the required size.
    pub required_sets: u32,
    /// Smallest size sufficient by ampacity alone, without drop and trade minimum: the base of NEC 250.122(B).
    pub sufficient: Option<Size>,
}

/// Why no conductor can be given.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum NoConductor {
    /// Even the most and largest conductors fail; the words say at which test.
    NoneSuffices(Arc<str>),
    /// The owner's size is not in the tables of this rule set.
    NotInTables(Gauge),
}

/// Finds the smallest conductor that passes all tests.
///
/// # Errors
/// [`NoConductor`] when none of the sizes suffices.
pub fn find(basis: &Basis) -> Result<SizedConductor, NoConductor> {
    let (size, tests, gauge) = found(basis)?;
    Ok(SizedConductor {
        required: Some(gauge.clone()),
        required_sets: size.sets,
        sets: gauge.with(Count(size.sets)),
        gauge,
        tests,
        fails: Vec::new(),
        sufficient: sufficient(basis),
    })
}

/// Checks the size the owner has fixed; says which tests it fails and what would pass.
///
/// # Errors
/// [`NoConductor::NotInTables`] when the rule set has no such size.
pub fn check(
    basis: &Basis,
    gauge: &Traced<Gauge>,
    sets: Option<&Traced<Count>>,
) -> Result<SizedConductor, NoConductor> {
    let sets = sets.cloned().unwrap_or_else(|| gauge.with(Count(1)));
    let size = Size { gauge: gauge.value, sets: sets.count().max(1) };
    let tests = tests(basis, size).ok_or(NoConductor::NotInTables(gauge.value))?;
    let required = found(basis).ok();
    Ok(SizedConductor {
        gauge: gauge.clone(),
        sets,
        fails: tests.failing(),
        tests,
        required_sets: required.as_ref().map_or(0, |(size, ..)| size.sets),
        required: required.map(|(_, _, gauge)| gauge),
        sufficient: sufficient(basis),
    })
}

/// All tests of one size; `None` when the tables do not hold it.
pub fn tests(basis: &Basis, size: Size) -> Option<Tests> {
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

    fn failing_by_ampacity(&self) -> Vec<WhichTest> {
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
    fn terms(&self, basis: &Basis) -> Vec<Term> {
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

/// All sizes in the order in which they are tried: one conductor first, then two and more in parallel.
fn candidates(smallest: Gauge, largest: Gauge) -> impl Iterator<Item = Size> {
    (1..=MOST_SETS).flat_map(move |sets| {
        let floor = if sets > 1 { smallest.max(SMALLEST_IN_PARALLEL) } else { smallest };
        SIZES
            .iter()
            .filter(move |gauge| **gauge >= floor && **gauge <= largest)
            .map(move |gauge| Size { gauge: *gauge, sets })
    })
}

fn found(basis: &Basis) -> Result<(Size, Tests, Traced<Gauge>), NoConductor> {
    let mut last: Option<(Size, Tests)> = None;
    for size in candidates(basis.smallest.0, basis.largest) {
        let Some(tests) = tests(basis, size) else { continue };
        if !tests.failing().is_empty() {
            last = Some((size, tests));
            continue;
        }
        let (because, runner_up, clause) = match &last {
            Some((smaller, their)) => {
                let fails = their.failing();
                let first = fails.first().copied().unwrap_or(WhichTest::Terminal);
                let says = their.in_words(first);
                (
                    format!("the smallest that passes every test is {size}; {smaller} fails: {says}"),
                    format!("{smaller}: {says}"),
                    governing_clause(first),
                )
            }
            None => (
                format!("{size} passes every test and is the smallest the trade runs here"),
                String::new(),
                basis.smallest.1,
            ),
        };
        let choice = Choice {
            because: because.into(),
            runner_up: runner_up.into(),
            clause,
            terms: tests.terms(basis),
        };
        return Ok((size, tests, Traced::found(size.gauge, choice)));
    }
    Err(NoConductor::NoneSuffices(match last {
        Some((size, tests)) => {
            let first = tests.failing().first().copied().unwrap_or(WhichTest::Terminal);
            format!("even {size} fails: {}", tests.in_words(first)).into()
        }
        None => "no size is in the tables for this metal and insulation".into(),
    }))
}

/// Smallest size that passes the three tests alone.
fn sufficient(basis: &Basis) -> Option<Size> {
    candidates(SIZES[0], basis.largest)
        .find(|size| tests(basis, *size).is_some_and(|tests| tests.failing_by_ampacity().is_empty()))
}

fn governing_clause(which: WhichTest) -> Clause {
    match which {
        WhichTest::Terminal => nec("2023", "110.14(C)(1)", Standing::SecondHand),
        WhichTest::Segment(_) => nec("2023", "310.15(B), 310.15(C)", Standing::SecondHand),
        WhichTest::Protection => nec("2023", "240.4", Standing::SecondHand),
        WhichTest::SmallConductor => nec("2023", "240.4(D)", Standing::SecondHand),
        WhichTest::Drop => {
            nec("2023", "215.2(A)(2), informational note (advice, not a rule)", Standing::SecondHand)
        }
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
