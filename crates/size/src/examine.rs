//! The years of many systems at once: those that live through the same hours and differ in their banks alone are walked side
//! by side ([`energy::SideBySide`]), all others one after another by the reference. Either gives the figures of a study.

use crate::choice::Space;
use crate::outcome::{Outcome, Rehearsed};
use crate::trial::lived;
use design::Design;
use energy::{Inputs, Passed, SideBySide, Start, YearInShort, YearInput};
use quantity::Money;
use rayon::prelude::*;
use std::sync::Arc;
use study::{Depth, Memo, Ready, Rehearsal, Study, Unanswered, WeatherFile};

/// Weather years walked, by how.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Walked {
    /// Many systems at once.
    pub side_by_side: usize,
    /// One after another.
    pub one_by_one: usize,
}

/// A system whose years are asked for: its position and the sum of its bill.
pub(crate) type Asked = (usize, Money);

/// A system that is ready to be walked.
struct Member {
    /// Its place among those asked for.
    place: usize,
    design: Arc<Design>,
    inputs: Inputs,
    cost: Money,
}

/// Systems that live through the same hours and differ in their banks alone.
struct Group {
    ready: Arc<Ready>,
    drill: Option<Rehearsal>,
    members: Vec<Member>,
}

/// One year of one system.
struct Lived {
    short: YearInShort,
    /// Whether the rehearsal in it, where one is asked for, had no dark hour.
    carried: bool,
}

/// One year of every system of a group.
struct OneYear {
    side_by_side: bool,
    lived: Vec<Result<Lived, String>>,
}

/// The years of systems of a space, in the order in which they are asked for; in words why one has none.
pub(crate) fn examine(
    space: &Space,
    design: &Design,
    asked: &[Asked],
    file: Option<&WeatherFile>,
    memo: &mut Memo,
    walked: &mut Walked,
) -> Vec<Result<Outcome, String>> {
    let mut outcomes: Vec<Result<Outcome, String>> =
        asked.iter().map(|_| Err("its years have no result".to_string())).collect();
    let mut groups: Vec<Group> = Vec::new();
    for (place, (system, cost)) in asked.iter().enumerate() {
        match space.text(design, *system).and_then(|text| made_ready(&text, file, memo)) {
            Ok((design, ready)) => join(&mut groups, place, design, ready, *cost),
            Err(says) => outcomes[place] = Err(says),
        }
    }
    let of_group = |group: &Group| {
        let years = (0..group.ready.brought.years.len()).into_par_iter();
        years.map(|year| one_year(group, year)).collect::<Vec<_>>()
    };
    let all: Vec<Vec<OneYear>> = groups.par_iter().map(of_group).collect();
    for (group, years) in groups.iter().zip(all) {
        for year in &years {
            let count = if year.side_by_side { &mut walked.side_by_side } else { &mut walked.one_by_one };
            *count += group.members.len();
        }
        let mut of_member: Vec<Result<Vec<Lived>, String>> =
            group.members.iter().map(|_| Ok(Vec::with_capacity(years.len()))).collect();
        for year in years {
            for (sums, lived) in of_member.iter_mut().zip(year.lived) {
                match (sums.as_mut(), lived) {
                    (Ok(sums), Ok(lived)) => sums.push(lived),
                    (Ok(_), Err(says)) => *sums = Err(says),
                    (Err(_), _) => {}
                }
            }
        }
        for (member, lived) in group.members.iter().zip(of_member) {
            outcomes[member.place] = lived.and_then(|lived| outcome(member, group.drill, &lived));
        }
    }
    outcomes
}

/// The same with what each system costs over the years, which rests on more of a year than a promise does: every system is
/// studied for itself.
pub(crate) fn examine_costs(
    space: &Space,
    design: &Design,
    asked: &[Asked],
    file: Option<&WeatherFile>,
    memo: &mut Memo,
    walked: &mut Walked,
) -> Vec<Result<Outcome, String>> {
    let mut examined = |(system, cost): &Asked| {
        let study = lived(&space.text(design, *system)?, file, memo);
        let outcome = with_life(&study, *cost)?;
        walked.one_by_one += outcome.years;
        Ok(outcome)
    };
    asked.iter().map(&mut examined).collect()
}

/// The years of a study with all their costs.
pub(crate) fn with_life(study: &Study, cost: Money) -> Result<Outcome, String> {
    let life = study::lifetime_cost(study).map_err(|why| in_words(&why))?;
    let year = study.year.as_ref().map_err(in_words)?;
    let outcome =
        Outcome::of(&study.design, year, cost).ok_or_else(|| "its years have no result".to_string())?;
    Ok(Outcome { life: Some(life.value), ..outcome })
}

fn in_words(why: &Unanswered) -> String {
    match why {
        Unanswered::Refused { because, .. } => because.clone(),
        Unanswered::Missing(gap) => {
            let fields: Vec<&str> = gap.missing.iter().map(|m| m.field.as_str()).collect();
            format!("not known: {}", fields.join(", "))
        }
        Unanswered::NotAsked => "its year was not asked for".into(),
    }
}

/// Everything the years of a text are walked with.
fn made_ready(
    text: &str,
    file: Option<&WeatherFile>,
    memo: &mut Memo,
) -> Result<(Arc<Design>, Arc<Ready>), String> {
    let study = Study::of(Arc::new(Design::of_text(text)), file, Depth::Ready, memo);
    let ready = study.ready.map_err(|why| in_words(&why))?;
    Ok((study.design, ready))
}

/// Puts a system to those it can be walked with; hours that are there already are not kept twice.
fn join(groups: &mut Vec<Group>, place: usize, design: Arc<Design>, ready: Arc<Ready>, cost: Money) {
    let inputs = ready.house.inputs;
    let drill = ready.drill(&design);
    let member = Member { place, design, inputs, cost };
    let alike = |group: &&mut Group| {
        let pattern = group.ready.house.inputs;
        group.ready.hours_key == ready.hours_key
            && group.drill == drill
            && inputs.with_bank(pattern.bank) == pattern
    };
    match groups.iter_mut().find(alike) {
        Some(group) => group.members.push(member),
        None => groups.push(Group { ready, drill, members: vec![member] }),
    }
}

/// A year of every system of a group.
fn one_year(group: &Group, year: usize) -> OneYear {
    let input = group.ready.brought.years[year].input(&group.ready.house);
    let houses: Vec<Inputs> = group.members.iter().map(|member| member.inputs).collect();
    let at = group.drill.map(|drill| drill.from_hour);
    match SideBySide::of(&houses[0], &input).and_then(|side| side.run(&houses, at)) {
        Ok(passed) => {
            let lived = |(house, passed): (&Inputs, &Passed)| beside(house, passed, &input, group.drill);
            OneYear { side_by_side: true, lived: houses.iter().zip(&passed).map(lived).collect() }
        }
        // Outside of what can be walked side by side: the reference holds for every house.
        Err(_) => {
            let lived = |house: &Inputs| alone(house, &input, group.drill);
            OneYear { side_by_side: false, lived: houses.iter().map(lived).collect() }
        }
    }
}

fn beside(
    house: &Inputs,
    passed: &Passed,
    input: &YearInput<'_>,
    drill: Option<Rehearsal>,
) -> Result<Lived, String> {
    let carried = match (drill, passed.at) {
        (Some(drill), Some(state)) => {
            let days = drill.days as usize;
            energy::drill_from(house, input, state, drill.from_hour, days).map_err(|e| e.to_string())?.dark_h
                == 0.0
        }
        _ => true,
    };
    Ok(Lived { short: passed.short, carried })
}

fn alone(house: &Inputs, input: &YearInput<'_>, drill: Option<Rehearsal>) -> Result<Lived, String> {
    let result = energy::run(house, input, Start::AfterDecember).map_err(|e| e.to_string())?;
    let carried = match drill {
        Some(drill) => {
            let days = drill.days as usize;
            energy::drill(house, input, drill.from_hour, days).map_err(|e| e.to_string())?.dark_h == 0.0
        }
        None => true,
    };
    Ok(Lived { short: YearInShort::from(&result), carried })
}

fn outcome(member: &Member, drill: Option<Rehearsal>, lived: &[Lived]) -> Result<Outcome, String> {
    let years: Vec<YearInShort> = lived.iter().map(|year| year.short).collect();
    let rehearsed = drill.map(|drill| Rehearsed {
        carried: lived.iter().filter(|year| year.carried).count(),
        of: lived.len(),
        may_fail: drill.may_fail,
    });
    Outcome::of_years(&member.design, &years, rehearsed, member.cost)
        .ok_or_else(|| "its years have no result".to_string())
}
