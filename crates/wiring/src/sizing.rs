//! Finds a conductor by the three tests of [`crate::test_size`], or checks the one the owner has fixed.
//!
//! The largest size governs. The owner's drop target, where stated, and the smallest size of the trade come after.

use crate::ampacity::SegmentFactors;
use crate::conductor_test::{Tests, WhichTest, test_size};
use quantity::{
    Choice, Clause, Count, Current, Gauge, Length, Material, Ratio, Standing, Traced, Voltage, nec,
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
    let tests = test_size(basis, size).ok_or(NoConductor::NotInTables(gauge.value))?;
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
        let Some(tests) = test_size(basis, size) else { continue };
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
        .find(|size| test_size(basis, *size).is_some_and(|tests| tests.failing_by_ampacity().is_empty()))
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
