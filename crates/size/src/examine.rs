//! The years of many systems at once: those that live through the same hours and differ in their banks alone are walked side
//! by side ([`energy::SideBySide`]), all others one after another by the reference. Either gives the figures of a study.

use crate::choice::Space;
use crate::outcome::{Outcome, Rehearsed, may_break};
use crate::proof::{AtLeast, Incumbent, Proof, Skipped, YearAtLeast, rank_of_middling};
use crate::trial::{Years, lived};
use design::Design;
use energy::{Floor, Inputs, Least, Passed, Promise, SideBySide, Start, System, YearInShort, YearInput};
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

/// Whose years are asked for, and under which sky.
#[derive(Clone, Copy)]
pub(crate) struct View<'a> {
    pub(crate) space: &'a Space,
    pub(crate) design: &'a Design,
    pub(crate) file: Option<&'a WeatherFile>,
    /// Weather years, the hardest for the present design first.
    pub(crate) hardest: &'a [usize],
}

/// A system that is ready to be walked.
struct Member {
    /// Its place among those asked for.
    place: usize,
    design: Arc<Design>,
    inputs: Inputs,
    cost: Money,
    /// What it must not pass in a year, and in how many years it may.
    promise: Promise,
    may_break: usize,
    /// Its years as far as they were walked.
    lived: Vec<Option<Result<Lived, String>>>,
    /// What years not walked ask by their energy alone, where that was looked at.
    least: Vec<Option<Least>>,
    skipped: Option<Skipped>,
    /// Whether it may be the answer or on the front as far as was seen.
    leads: bool,
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

/// One year of every system of a group that is still walked.
struct OneYear {
    side_by_side: bool,
    lived: Vec<Result<Lived, String>>,
}

/// Years of different hours held at a time: each is some 0.7 MB, and systems of many arrays would otherwise fill the memory.
const YEARS_HELD: usize = 100;

/// The years of systems of a space, in the order in which they are asked for. Held against an incumbent, a system is left
/// alone as soon as it is ruled out.
pub(crate) fn examine(
    view: &View<'_>,
    asked: &[Asked],
    incumbent: Option<&Incumbent>,
    memo: &mut Memo,
    walked: &mut Walked,
) -> Vec<Years> {
    let mut found: Vec<Years> =
        asked.iter().map(|_| Years::None("its years have no result".to_string())).collect();
    let mut groups: Vec<Group> = Vec::new();
    for (place, (system, cost)) in asked.iter().enumerate() {
        match view.space.text(view.design, *system).and_then(|text| made_ready(&text, view.file, memo)) {
            Ok((design, ready)) => join(&mut groups, place, design, ready, *cost),
            Err(says) => found[place] = Years::None(says),
        }
        if groups.iter().map(Group::years).sum::<usize>() >= YEARS_HELD {
            settle(std::mem::take(&mut groups), view, incumbent, walked, &mut found);
        }
    }
    settle(groups, view, incumbent, walked, &mut found);
    found
}

/// Walks what has to be walked of some systems.
fn settle(
    mut groups: Vec<Group>,
    view: &View<'_>,
    incumbent: Option<&Incumbent>,
    walked: &mut Walked,
    found: &mut [Years],
) {
    match incumbent {
        None => pass(&mut groups, &|group| (0..group.years()).collect(), &|_| true, walked),
        Some(incumbent) => {
            if incumbent.asks_for_energy() {
                groups.iter_mut().filter(|group| group.alone()).for_each(Group::look_at_energy);
            }
            leave_alone(&mut groups, incumbent, Proof::Unwalked);
            pass(&mut groups, &|group| group.parted(view.hardest).0, &|_| true, walked);
            // Those that may be the answer or on the front go first, so that the others can be held against them.
            leave_alone(&mut groups, incumbent, Proof::HardestYears);
            pass(&mut groups, &|group| group.parted(view.hardest).1, &|member| member.leads, walked);
            leave_alone(&mut groups, incumbent, Proof::HardestYears);
            pass(&mut groups, &|group| group.parted(view.hardest).1, &|_| true, walked);
        }
    }
    for group in groups {
        for member in group.members {
            let place = member.place;
            found[place] = member.found(group.drill);
        }
    }
}

/// Walks some years of those systems, where they were not walked yet and the system is not left alone.
fn pass(
    groups: &mut [Group],
    years: &(dyn Fn(&Group) -> Vec<usize> + Sync),
    which: &(dyn Fn(&Member) -> bool + Sync),
    walked: &mut Walked,
) {
    let walks = |member: &Member, year: usize| {
        member.skipped.is_none() && member.lived[year].is_none() && which(member)
    };
    let of_group = |group: &Group| {
        let of_year = |year: usize| {
            let members = group.members.iter().filter(|member| walks(member, year));
            (year, one_year(group, &members.map(|member| member.inputs).collect::<Vec<_>>(), year))
        };
        years(group).into_par_iter().map(of_year).collect::<Vec<_>>()
    };
    let all: Vec<Vec<(usize, OneYear)>> = groups.par_iter().map(of_group).collect();
    for (group, years) in groups.iter_mut().zip(all) {
        for (year, OneYear { side_by_side, lived }) in years {
            let count = if side_by_side { &mut walked.side_by_side } else { &mut walked.one_by_one };
            *count += lived.len();
            let members = group.members.iter_mut().filter(|member| walks(member, year));
            for (member, lived) in members.zip(lived) {
                member.lived[year] = Some(lived);
            }
        }
    }
}

/// Leaves alone, in order, what is ruled out by what is known so far of those before it; and marks those of which that is not
/// to be expected.
fn leave_alone(groups: &mut [Group], incumbent: &Incumbent, proof: Proof) {
    let mut members: Vec<(bool, Option<Rehearsal>, &mut Member)> = Vec::new();
    for group in groups {
        let (alone, drill) = (group.alone(), group.drill);
        members.extend(group.members.iter_mut().map(|member| (alone, drill, member)));
    }
    members.sort_by_key(|(_, _, member)| member.place);
    let mut before = incumbent.clone();
    let mut hoped = incumbent.clone();
    for (alone, drill, member) in members {
        let Some(known) = member.at_least(alone) else { continue };
        let spared = member.lived.iter().filter(|year| year.is_none()).count();
        if spared == 0 {
            if let Some(outcome) = member.outcome(drill) {
                before.saw(&outcome);
            }
        } else if before.rules_out(&known) {
            member.skipped = Some(Skipped { proof, breaks: known.breaks(), spared });
            continue;
        }
        member.leads = !hoped.rules_out(&known);
        hoped.hopes(&known);
    }
}

impl Group {
    fn years(&self) -> usize {
        self.ready.brought.years.len()
    }

    /// The years that are walked first and those after them. The first are as few as can prove the middling year to be no better
    /// than some value: those of its rank and above. A system with other years than the present design has no first ones.
    fn parted(&self, hardest: &[usize]) -> (Vec<usize>, Vec<usize>) {
        let years = self.years();
        if hardest.len() != years {
            return ((0..years).collect(), Vec::new());
        }
        let (first, rest) = hardest.split_at(years - rank_of_middling(years));
        (first.to_vec(), rest.to_vec())
    }

    /// Whether nothing stands behind the bank.
    fn alone(&self) -> bool {
        self.ready.house.inputs.system == System::StandAlone { generator: None }
    }

    /// What every year asks of every system by its energy alone.
    fn look_at_energy(&mut self) {
        let houses: Vec<Inputs> = self.members.iter().map(|member| member.inputs).collect();
        let of_year = |year: usize| {
            let input = self.ready.brought.years[year].input(&self.ready.house);
            let floor = Floor::of(&houses, &input).ok();
            houses.iter().map(|house| floor.as_ref()?.under(house).ok()).collect::<Vec<_>>()
        };
        let all: Vec<Vec<Option<Least>>> = (0..self.years()).into_par_iter().map(of_year).collect();
        for (year, of_members) in all.into_iter().enumerate() {
            for (member, least) in self.members.iter_mut().zip(of_members) {
                member.least[year] = least;
            }
        }
    }
}

impl Member {
    /// What is known of its years; nothing where one of them could not be walked.
    fn at_least(&self, alone: bool) -> Option<AtLeast> {
        let of = |(lived, least): (&Option<Result<Lived, String>>, &Option<Least>)| match (lived, least) {
            (Some(Ok(lived)), _) => Some(YearAtLeast::walked(&lived.short, &self.promise)),
            (Some(Err(_)), _) => None,
            (None, Some(least)) => Some(YearAtLeast::of_energy(least, &self.promise)),
            (None, None) => Some(YearAtLeast::default()),
        };
        let years: Option<Vec<YearAtLeast>> = self.lived.iter().zip(&self.least).map(of).collect();
        Some(AtLeast { years: years?, may_break: self.may_break, alone })
    }

    /// What was found of it.
    fn found(self, drill: Option<Rehearsal>) -> Years {
        if let Some(skipped) = self.skipped {
            return Years::Skipped(skipped);
        }
        match self.lived.iter().flatten().find_map(|year| year.as_ref().err()) {
            Some(says) => Years::None(says.clone()),
            None => match self.outcome(drill) {
                Some(outcome) => Years::Walked(Box::new(outcome)),
                None => Years::None("its years have no result".to_string()),
            },
        }
    }

    /// Its years in short, where all were walked.
    fn outcome(&self, drill: Option<Rehearsal>) -> Option<Outcome> {
        let lived: Option<Vec<&Lived>> =
            self.lived.iter().map(|year| year.as_ref().and_then(|year| year.as_ref().ok())).collect();
        let lived = lived?;
        let years: Vec<YearInShort> = lived.iter().map(|year| year.short).collect();
        let rehearsed = drill.map(|drill| Rehearsed {
            carried: lived.iter().filter(|year| year.carried).count(),
            of: lived.len(),
            may_fail: drill.may_fail,
        });
        Outcome::of_years(&self.design, &years, rehearsed, self.cost)
    }
}

/// The same with what each system costs over the years, which rests on more of a year than a promise does: every system is
/// studied for itself.
pub(crate) fn examine_costs(
    view: &View<'_>,
    asked: &[Asked],
    memo: &mut Memo,
    walked: &mut Walked,
) -> Vec<Years> {
    let mut examined = |(system, cost): &Asked| {
        let study = lived(&view.space.text(view.design, *system)?, view.file, memo);
        let outcome = with_life(&study, *cost)?;
        walked.one_by_one += outcome.years;
        Ok(outcome)
    };
    let found = asked.iter().map(&mut examined);
    found.map(|found| found.map_or_else(Years::None, |outcome| Years::Walked(Box::new(outcome)))).collect()
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
    let years = ready.brought.years.len();
    let member = Member {
        place,
        promise: study::promise_of(&design.system),
        may_break: may_break(&design.system, years),
        lived: (0..years).map(|_| None).collect(),
        least: vec![None; years],
        skipped: None,
        leads: false,
        design,
        inputs,
        cost,
    };
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

/// A year of some houses of a group.
fn one_year(group: &Group, houses: &[Inputs], year: usize) -> OneYear {
    let Some(first) = houses.first() else {
        return OneYear { side_by_side: false, lived: Vec::new() };
    };
    let input = group.ready.brought.years[year].input(&group.ready.house);
    let at = group.drill.map(|drill| drill.from_hour);
    match SideBySide::of(first, &input).and_then(|side| side.run(houses, at)) {
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
