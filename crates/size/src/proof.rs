//! What is proven of a system before all of its years are walked: enough, often, to leave the rest of them alone.
//!
//! A system is skipped where it can be neither the answer nor on the front. It is not the answer when a cheaper one keeps the
//! promise already, or when more of its years break the promise than may. It is not on the front when a cheaper one has no more
//! hardship in its middling year than this one has at least. What a year brings at least is what it brought where it was walked,
//! and elsewhere what its energy alone asks ([`energy::Floor`]), or nothing. The hours on backup of the middling year are those
//! of one rank among the years, and a value of a rank falls with none of its values: so least values of all years give the least
//! of that rank. Nothing here rests on a larger system having less hardship, which is false.

use crate::outcome::Outcome;
use energy::{Least, Promise, YearInShort};

/// Why a system was skipped.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Proof {
    /// Before any of its years was walked.
    Unwalked,
    /// After the years that were hardest for the present design.
    HardestYears,
}

/// A system whose years were not all walked, because it is proven to be neither the answer nor on the front.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Skipped {
    /// By what.
    pub proof: Proof,
    /// Whether it is proven to break the promise; otherwise that is open.
    pub breaks: bool,
    /// Weather years that were not walked.
    pub spared: usize,
}

/// Against what every further system is held: what was found among those before it in order.
#[derive(Clone, Debug)]
pub(crate) struct Incumbent {
    /// Whether an answer can still be found: a promise is made and nothing keeps it yet.
    seeking: bool,
    /// Whether any system has hours on backup in its middling year, which makes them the measure of the front.
    backup_seen: bool,
    /// Whether any has dark hours in it.
    dark_seen: bool,
    least_backup_h: f64,
    least_dark_h: f64,
}

/// What is known of a year of a system.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct YearAtLeast {
    backup_h: f64,
    dark_h: f64,
    /// Whether it breaks the promise for certain.
    breaks: bool,
}

/// What is known of all years of a system.
#[derive(Clone, Debug)]
pub(crate) struct AtLeast {
    pub(crate) years: Vec<YearAtLeast>,
    /// So many of them may break the promise.
    pub(crate) may_break: usize,
    /// Whether nothing stands behind its bank.
    pub(crate) alone: bool,
}

impl YearAtLeast {
    /// Of a year that was walked.
    pub(crate) fn walked(year: &YearInShort, promise: &Promise) -> YearAtLeast {
        YearAtLeast { backup_h: year.backup_h, dark_h: year.dark_h, breaks: !promise.kept_in(year) }
    }

    /// Of a year whose energy alone is known.
    pub(crate) fn of_energy(least: &Least, promise: &Promise) -> YearAtLeast {
        YearAtLeast { backup_h: 0.0, dark_h: least.dark_h(), breaks: least.breaks(promise) }
    }
}

impl AtLeast {
    /// Whether more years break the promise for certain than may.
    pub(crate) fn breaks(&self) -> bool {
        self.years.iter().filter(|year| year.breaks).count() > self.may_break
    }

    /// Hours on backup of the middling year at least: [`energy::middling_of`] takes the year of this rank by them.
    fn backup_h(&self) -> f64 {
        let mut hours: Vec<f64> = self.years.iter().map(|year| year.backup_h).collect();
        hours.sort_by(f64::total_cmp);
        hours.get(rank_of_middling(hours.len())).copied().unwrap_or(0.0)
    }

    /// Dark hours of the middling year at least, whichever year it is.
    fn dark_h(&self) -> f64 {
        self.years.iter().map(|year| year.dark_h).reduce(f64::min).unwrap_or(0.0)
    }
}

/// Rank of the middling of so many years, the years with least backup first.
pub(crate) fn rank_of_middling(years: usize) -> usize {
    years.saturating_sub(1) / 2
}

impl Incumbent {
    /// Before the walk, with the present design as the only one whose years are known.
    pub(crate) fn of(now: &Outcome, promised: bool) -> Incumbent {
        Incumbent {
            seeking: promised,
            backup_seen: now.backup_h > 0.0,
            dark_seen: now.dark_h > 0.0,
            least_backup_h: f64::INFINITY,
            least_dark_h: f64::INFINITY,
        }
    }

    /// Takes note of a system whose years were walked.
    pub(crate) fn saw(&mut self, outcome: &Outcome) {
        self.seeking &= !outcome.keeps();
        self.backup_seen |= outcome.backup_h > 0.0;
        self.dark_seen |= outcome.dark_h > 0.0;
        self.least_backup_h = self.least_backup_h.min(outcome.backup_h);
        self.least_dark_h = self.least_dark_h.min(outcome.dark_h);
    }

    /// Takes the least that is known of a system for what it will be: only to guess which systems are worth walking first.
    pub(crate) fn hopes(&mut self, system: &AtLeast) {
        self.seeking &= system.breaks();
        self.least_backup_h = self.least_backup_h.min(system.backup_h());
        self.least_dark_h = self.least_dark_h.min(system.dark_h());
    }

    /// Whether what a year asks by its energy alone could help to skip a system with nothing behind its bank.
    pub(crate) fn asks_for_energy(&self) -> bool {
        !self.backup_seen && self.dark_seen
    }

    /// Whether a system of which so much is known is neither the answer nor on the front.
    pub(crate) fn rules_out(&self, system: &AtLeast) -> bool {
        (!self.seeking || system.breaks()) && self.beats(system)
    }

    /// Whether a cheaper system has no more hardship, on every measure that the front may still come to have.
    fn beats(&self, system: &AtLeast) -> bool {
        if self.backup_seen {
            return system.backup_h() >= self.least_backup_h;
        }
        // Hours on backup become the measure as soon as a later system has some; this one has none, as had all before it.
        system.alone && self.dark_seen && self.least_backup_h <= 0.0 && system.dark_h() >= self.least_dark_h
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use energy::middling_of;

    /// Numbers of the xorshift generator (Marsaglia 2003).
    struct Draws(u64);

    impl Draws {
        fn below(&mut self, most: u64) -> u64 {
            self.0 ^= self.0 << 13;
            self.0 ^= self.0 >> 7;
            self.0 ^= self.0 << 17;
            (self.0 >> 11) % most
        }
    }

    fn middling(years: &[YearInShort]) -> YearInShort {
        middling_of(years).map(|at| years[at]).unwrap_or_default()
    }

    /// What the walk takes note of, for a system whose years are these.
    fn saw(incumbent: &mut Incumbent, years: &[YearInShort], keeps: bool) {
        let middling = middling(years);
        incumbent.seeking &= !keeps;
        incumbent.backup_seen |= middling.backup_h > 0.0;
        incumbent.dark_seen |= middling.dark_h > 0.0;
        incumbent.least_backup_h = incumbent.least_backup_h.min(middling.backup_h);
        incumbent.least_dark_h = incumbent.least_dark_h.min(middling.dark_h);
    }

    fn broken(years: &[YearInShort], promise: &Promise) -> usize {
        years.iter().filter(|year| !promise.kept_in(year)).count()
    }

    /// First in order that keeps the promise, the measure, and the front by it, of systems in order of their cost.
    fn brute(systems: &[Vec<YearInShort>], promise: &Promise) -> (Option<usize>, Vec<usize>) {
        let best = systems.iter().position(|years| broken(years, promise) <= years.len() / 10);
        let any = |of: fn(&YearInShort) -> f64| systems.iter().any(|years| of(&middling(years)) > 0.0);
        let of: fn(&YearInShort) -> f64 = if any(|year| year.backup_h) {
            |year| year.backup_h
        } else if any(|year| year.dark_h) {
            |year| year.dark_h
        } else {
            YearInShort::missing_total_wh
        };
        let mut least = f64::INFINITY;
        let mut front = Vec::new();
        for (at, years) in systems.iter().enumerate() {
            let hardship = of(&middling(years));
            if hardship < least {
                least = hardship;
                front.push(at);
            }
        }
        (best, front)
    }

    /// Tables of years that no house would have, in which nothing falls with size: whatever is left alone, answer and front are
    /// those of all systems, and years walked in another order than that of their hardship only spare less.
    #[test]
    fn what_is_left_alone_is_neither_the_answer_nor_on_the_front() {
        let mut draws = Draws(0x2545_f491_4f6c_dd1d);
        let (mut unwalked, mut after_hardest, mut answers) = (0, 0, 0);
        for round in 0..4000 {
            let years = 1 + draws.below(20) as usize;
            let with_backup = round % 3 != 0;
            let range = 1 + draws.below(if round % 2 == 0 { 6 } else { 400 });
            let hard: Vec<u64> = (0..years).map(|_| draws.below(range)).collect();
            let mut system = || -> (bool, Vec<YearInShort>) {
                let ease = draws.below(range);
                let alone = !with_backup || draws.below(4) == 0;
                let year = |hard: &u64| {
                    let hours = (hard + draws.below(1 + range / 4)).saturating_sub(ease) as f64;
                    YearInShort {
                        backup_h: if alone { 0.0 } else { hours },
                        dark_h: if alone { hours } else { 0.0 },
                        missing_wh: [if alone { 100.0 * hours } else { 0.0 }, 0.0, 0.0],
                        ..YearInShort::default()
                    }
                };
                (alone, hard.iter().map(year).collect())
            };
            let systems: Vec<(bool, Vec<YearInShort>)> = (0..12).map(|_| system()).collect();
            let promise = Promise {
                backup_h: Some(draws.below(range) as f64),
                dark_h: Some(draws.below(range) as f64),
                ..Promise::default()
            };
            let mut order: Vec<usize> = (0..years).collect();
            order.sort_by_key(|year| std::cmp::Reverse(hard[*year]));
            let first = &order[..years - rank_of_middling(years)];
            let mut incumbent = Incumbent {
                seeking: true,
                backup_seen: false,
                dark_seen: false,
                least_backup_h: f64::INFINITY,
                least_dark_h: f64::INFINITY,
            };
            let mut walked: Vec<Vec<YearInShort>> = Vec::new();
            let mut at_of: Vec<usize> = Vec::new();
            for (at, (alone, all)) in systems.iter().enumerate() {
                // The energy of a year asks for a part of what it brings.
                let energy = |year: &YearInShort| YearAtLeast {
                    backup_h: 0.0,
                    dark_h: (0.8 * year.dark_h).floor(),
                    breaks: promise.dark_h.is_some_and(|most| 0.8 * year.dark_h > most),
                };
                let nothing: Vec<YearAtLeast> = all.iter().map(energy).collect();
                let mut some = nothing.clone();
                for year in first {
                    some[*year] = YearAtLeast::walked(&all[*year], &promise);
                }
                let known = |years| AtLeast { years, may_break: years_that_may(all), alone: *alone };
                if incumbent.rules_out(&known(nothing)) {
                    unwalked += 1;
                    continue;
                }
                let known = known(some);
                if incumbent.rules_out(&known) {
                    assert!(!known.breaks() || broken(all, &promise) > years / 10);
                    after_hardest += 1;
                    continue;
                }
                saw(&mut incumbent, all, broken(all, &promise) <= years / 10);
                walked.push(all.clone());
                at_of.push(at);
            }
            let all: Vec<Vec<YearInShort>> = systems.into_iter().map(|(_, years)| years).collect();
            let (best, front) = brute(&all, &promise);
            let (best_walked, front_walked) = brute(&walked, &promise);
            assert_eq!(best_walked.map(|at| at_of[at]), best, "round {round}");
            assert_eq!(front_walked.iter().map(|at| at_of[*at]).collect::<Vec<_>>(), front, "round {round}");
            answers += usize::from(best.is_some());
        }
        assert!(unwalked > 1000 && after_hardest > 1000, "{unwalked} {after_hardest}");
        assert!(answers > 500, "{answers}");
    }

    fn years_that_may(years: &[YearInShort]) -> usize {
        years.len() / 10
    }
}
