//! Comparing and saying: the few helpers that all rules share.

use quantity::{Fact, FieldPath, Gap, Measure, Origin, SAME, Traced, print};
use study::Study;
use wiring::Sized;

/// A value in the owner's units.
pub(crate) fn say<T: Measure>(study: &Study, traced: &Traced<T>) -> String {
    print(traced.si(), T::KIND, study.design.system.units)
}

/// Whether `a` lies above `b`, beyond the digits that a change of units costs.
pub(crate) fn above(a: f64, b: f64) -> bool {
    a > b + b.abs() * SAME
}

/// Whether one known value lies above another.
pub(crate) fn exceeds<T: Measure>(a: &Traced<T>, b: &Traced<T>) -> bool {
    above(a.si(), b.si())
}

/// The field a value was written in, when the owner wrote it; else the first field it rests on.
pub(crate) fn field<T>(traced: &Traced<T>) -> Option<FieldPath> {
    match &traced.origin {
        Origin::Stated(field) => Some(field.clone()),
        origin => origin.fields().into_iter().next(),
    }
}

/// Everything missing for a comparison of two facts; `None` when both are known.
pub(crate) fn gap_of<A, B>(a: &Fact<A>, b: &Fact<B>) -> Option<Gap> {
    match (a.gap(), b.gap()) {
        (Some(a), Some(b)) => Some(a.clone().and(b)),
        (Some(gap), None) | (None, Some(gap)) => Some(gap.clone()),
        (None, None) => None,
    }
}

/// Both facts when known, or everything that is missing.
pub(crate) fn both<'a, A, B>(a: &'a Fact<A>, b: &'a Fact<B>) -> Result<(&'a Traced<A>, &'a Traced<B>), Gap> {
    match (a, b) {
        (Fact::Known(a), Fact::Known(b)) => Ok((a, b)),
        _ => Err(gap_of(a, b).unwrap_or(Gap { missing: Vec::new() })),
    }
}

/// A gap without what the schedule itself lacks and rules of their own ask for; `None` when nothing is left of it.
pub(crate) fn beyond_schedule(gap: &Gap, sized: &Sized) -> Option<Gap> {
    let asked: Vec<&Gap> = [
        sized.protection.available.gap(),
        sized.protection.rating.gap(),
        sized.conductor.gap(),
        sized.ground.gap(),
        sized.length.gap(),
        sized.currents.volts.gap(),
    ]
    .into_iter()
    .flatten()
    .collect();
    let new = gap.missing.iter().filter(|missing| !asked.iter().any(|gap| gap.missing.contains(missing)));
    let missing: Vec<_> = new.cloned().collect();
    (!missing.is_empty()).then_some(Gap { missing })
}

/// Names in a sentence: `"a"`, `"b" and "c"`.
pub(crate) fn named<S: AsRef<str>>(names: &[S]) -> String {
    let quoted: Vec<String> = names.iter().map(|name| format!("\"{}\"", name.as_ref())).collect();
    match quoted.split_last() {
        None => String::new(),
        Some((last, [])) => last.clone(),
        Some((last, rest)) => format!("{} and {last}", rest.join(", ")),
    }
}

/// The design path of a piece of equipment by its name, such as `unit.inverter A`.
pub(crate) fn thing(study: &Study, name: &str) -> String {
    let system = &study.design.system;
    let table = if system.strings.iter().any(|s| &*s.string.name == name) {
        "string"
    } else if system.combiner(name).is_some() {
        "combiner"
    } else if system.unit(name).is_some() {
        "unit"
    } else if system.panel(name).is_some() {
        "panel"
    } else if system.transfer(name).is_some() {
        "transfer"
    } else if system.engine(name).is_some() {
        "engine"
    } else if system.bank(name).is_some() {
        "bank"
    } else if let Some(bank) = system.banks.iter().find(|bank| {
        name.strip_prefix(&*bank.bank.name).is_some_and(|rest| rest.trim_start().parse::<u32>().is_ok())
    }) {
        return format!("bank.{}", bank.bank.name);
    } else {
        return "utility".into();
    };
    format!("{table}.{name}")
}
