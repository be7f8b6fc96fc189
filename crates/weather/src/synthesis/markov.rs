//! Clearness of the days: the library of Markov matrices.

use std::sync::OnceLock;

/// Number of states of a day within a class, equal steps between its lowest and highest clearness.
pub const STATES: usize = 10;

/// One matrix of the library: for months whose mean clearness lies in the class.
#[derive(Clone, Debug, PartialEq)]
pub struct Class {
    /// Monthly mean clearness above which the class holds.
    pub above: f64,
    /// Monthly mean clearness up to which the class holds.
    pub up_to: f64,
    /// Lowest daily clearness.
    pub lowest: f64,
    /// Highest daily clearness.
    pub highest: f64,
    /// Probability of tomorrow's state, by today's state; rows sum to 1.
    pub steps: [[f64; STATES]; STATES],
    /// Long-run share of days in each state.
    pub long_run: [f64; STATES],
}

/// The ten classes of the library, dullest first.
///
/// Source: Aguiar, Collares-Pereira & Conde 1988, Solar Energy 40:269 (`data/markov_daily_clearness.csv`). The one
/// row that is misprinted in the text that was read (class 5, state 2: its ninth entry 0.530 makes the sum 1.530)
/// is used with 0.000 there, which restores its sum; all rows are then divided by their sums (1.000 ± 0.003).
pub fn library() -> &'static [Class] {
    static LIBRARY: OnceLock<Vec<Class>> = OnceLock::new();
    LIBRARY.get_or_init(|| parse(include_str!("../../data/markov_daily_clearness.csv")))
}

/// The class of a monthly mean clearness: the last one above 0.7, the first one for anything dull.
pub fn class_of(mean_clearness: f64) -> &'static Class {
    let classes = library();
    let place = classes.iter().position(|c| mean_clearness <= c.up_to).unwrap_or(classes.len() - 1);
    &classes[place]
}

impl Class {
    /// Tomorrow's state from today's, by a uniform number in 0 to 1.
    pub fn next_state(&self, today: usize, uniform: f64) -> usize {
        pick(&self.steps[today.min(STATES - 1)], uniform)
    }

    /// A state drawn from the long run, to begin with.
    pub fn first_state(&self, uniform: f64) -> usize {
        pick(&self.long_run, uniform)
    }
}

fn pick(shares: &[f64; STATES], uniform: f64) -> usize {
    let mut sum = 0.0;
    for (state, share) in shares.iter().enumerate() {
        sum += share;
        if uniform < sum {
            return state;
        }
    }
    // Rounding may leave the sum a hair below 1: the last state that can be reached.
    shares.iter().rposition(|share| *share > 0.0).unwrap_or(STATES - 1)
}

fn parse(text: &str) -> Vec<Class> {
    let mut classes: Vec<Class> = Vec::new();
    for line in text.lines().filter(|l| !l.starts_with('#') && !l.starts_with("class")) {
        let cells: Vec<&str> = line.split(',').collect();
        let number = |i: usize| cells.get(i).and_then(|c| c.parse::<f64>().ok()).unwrap_or(0.0);
        let mut row: [f64; STATES] = core::array::from_fn(|state| number(6 + state));
        if cells.get(17) == Some(&"misprint") {
            row[8] = 0.0;
        }
        let sum: f64 = row.iter().sum();
        let row = row.map(|p| p / sum);
        let from = number(5) as usize;
        if from == 1 {
            classes.push(Class {
                above: number(1),
                up_to: number(2),
                lowest: number(3),
                highest: number(4),
                steps: [[0.0; STATES]; STATES],
                long_run: [0.0; STATES],
            });
        }
        if let (Some(class), 1..=STATES) = (classes.last_mut(), from) {
            class.steps[from - 1] = row;
        }
    }
    for class in &mut classes {
        class.long_run = long_run(&class.steps);
    }
    classes
}

/// Shares that a step leaves unchanged, by stepping long enough; half steps, so that no cycle can swing for ever.
fn long_run(steps: &[[f64; STATES]; STATES]) -> [f64; STATES] {
    let mut shares = [1.0 / STATES as f64; STATES];
    for _ in 0..400 {
        let mut next = [0.0; STATES];
        for (from, row) in steps.iter().enumerate() {
            for (to, p) in row.iter().enumerate() {
                next[to] += shares[from] * p;
            }
        }
        shares = core::array::from_fn(|s| 0.5 * (shares[s] + next[s]));
    }
    shares
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_row_of_the_library_is_read_and_sums_to_one() {
        let classes = library();
        assert_eq!(classes.len(), 10);
        for class in classes {
            assert!(class.lowest < class.highest && class.above < class.up_to);
            for row in class.steps {
                assert!(
                    (row.iter().sum::<f64>() - 1.0).abs() < 1e-12
                        && row.iter().all(|p| (0.0..=1.0).contains(p))
                );
            }
        }
        // The misprinted row, openly: class 5, from state 2, ninth entry.
        assert_eq!(classes[4].steps[1][8], 0.0);
        let text = include_str!("../../data/markov_daily_clearness.csv");
        assert_eq!(text.lines().filter(|l| l.ends_with(",misprint")).count(), 1);
        for line in text
            .lines()
            .filter(|l| !l.starts_with('#') && !l.starts_with("class") && !l.ends_with("misprint"))
        {
            let cells: Vec<f64> = line.split(',').take(17).map(|c| c.parse().expect("a number")).collect();
            // Three printed decimals, ten entries: 0.005.
            assert!((cells[6..16].iter().sum::<f64>() - 1.0).abs() <= 0.005, "{line}");
        }
    }

    #[test]
    fn the_long_run_of_each_chain_falls_in_its_own_class() {
        // Means stated with the reprint: 0.241 0.334 0.375 0.429 0.483 0.526 0.575 0.620 0.668 0.728; the fifth was
        // computed there with the misprinted entry (divided by the row's sum), so only its class is compared.
        let stated = [0.241, 0.334, 0.375, 0.429, f64::NAN, 0.526, 0.575, 0.620, 0.668, 0.728];
        for (class, stated) in library().iter().zip(stated) {
            let step = (class.highest - class.lowest) / STATES as f64;
            let mean: f64 = class
                .long_run
                .iter()
                .enumerate()
                .map(|(s, p)| p * (class.lowest + (s as f64 + 0.5) * step))
                .sum();
            // One unit of the last digit.
            assert!(stated.is_nan() || (mean - stated).abs() < 0.0011, "{mean} {stated}");
            assert!(mean > class.above && mean <= class.up_to);
        }
    }
}
