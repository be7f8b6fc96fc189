//! Lanes: where between two columns each wire turns, so that no two wires lie on each other and few cross.

/// A wire between two columns: the height at which it leaves the left one and enters the right one.
#[derive(Clone, Copy, Debug)]
pub(super) struct Passage {
    pub(super) leaves: f64,
    pub(super) enters: f64,
}

/// Where a wire turns.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Turn {
    /// Not at all.
    Straight,
    /// Upright in this lane.
    Lane(usize),
    /// Upright in one lane, along at this height, upright in another: two wires that exchange their heights.
    Jog(usize, f64, usize),
}

/// Turns of all wires between two columns and the number of lanes they need.
pub(super) fn turns(passages: &[Passage]) -> (Vec<Turn>, usize) {
    let turning: Vec<usize> =
        (0..passages.len()).filter(|&i| !same(passages[i].leaves, passages[i].enters)).collect();
    let mut jogs = Vec::new();
    let mut order = Vec::new();
    let mut waiting = turning.clone();
    // A wire that enters at the height where another leaves must turn on the right of it.
    while !waiting.is_empty() {
        let free: Vec<usize> = waiting
            .iter()
            .copied()
            .filter(|&b| !waiting.iter().any(|&a| a != b && same(passages[a].leaves, passages[b].enters)))
            .collect();
        let next = free.iter().copied().min_by_key(|&i| {
            let cost: usize = waiting.iter().filter(|&&j| j != i).map(|&j| crossings(passages, i, j)).sum();
            let other: usize = waiting.iter().filter(|&&j| j != i).map(|&j| crossings(passages, j, i)).sum();
            (cost as isize - other as isize, i)
        });
        match next {
            Some(i) => {
                order.push(i);
                waiting.retain(|&j| j != i);
            }
            // They wait in a ring: one of them goes round.
            None => jogs.push(waiting.remove(0)),
        }
    }
    improve(passages, &mut order);
    let mut lane_of = vec![0usize; passages.len()];
    let mut count = 0;
    let first = jogs.len();
    for (at, &i) in order.iter().enumerate() {
        let after =
            order[..at].iter().filter(|&&j| overlap(passages[i], passages[j])).map(|&j| lane_of[j] + 1).max();
        lane_of[i] = after.unwrap_or(first);
        count = count.max(lane_of[i] + 1);
    }
    count = count.max(first);
    let mut turns = vec![Turn::Straight; passages.len()];
    for &i in &order {
        turns[i] = Turn::Lane(lane_of[i]);
    }
    for (k, &i) in jogs.iter().enumerate() {
        // Off the grid of heights, so that it lies on no other wire.
        let middle = (passages[i].leaves + passages[i].enters) / 2.0;
        let along = middle.floor() + 0.37 + 0.11 * k as f64;
        turns[i] = Turn::Jog(k, along, count + k);
    }
    (turns, count + jogs.len())
}

fn improve(passages: &[Passage], order: &mut [usize]) {
    for _ in 0..8 {
        let mut better = false;
        for at in 1..order.len() {
            let (a, b) = (order[at - 1], order[at]);
            let bound = same(passages[a].leaves, passages[b].enters);
            if !bound && crossings(passages, b, a) < crossings(passages, a, b) {
                order.swap(at - 1, at);
                better = true;
            }
        }
        if !better {
            break;
        }
    }
}

/// Crossings of two wires when `left` turns on the left of `right`.
fn crossings(passages: &[Passage], left: usize, right: usize) -> usize {
    let (a, b) = (passages[left], passages[right]);
    // The right one leaves through the left one's lane; the left one enters through the right one's.
    usize::from(inside(b.leaves, a)) + usize::from(inside(a.enters, b))
}

fn inside(y: f64, p: Passage) -> bool {
    y > p.leaves.min(p.enters) && y < p.leaves.max(p.enters)
}

fn overlap(a: Passage, b: Passage) -> bool {
    const APART: f64 = 1.0;
    a.leaves.min(a.enters) < b.leaves.max(b.enters) + APART
        && b.leaves.min(b.enters) < a.leaves.max(a.enters) + APART
}

/// Heights lie on a grid of whole millimetres.
pub(super) fn same(a: f64, b: f64) -> bool {
    (a - b).abs() < 0.1
}

#[cfg(test)]
mod tests {
    use super::*;

    fn passage(leaves: f64, enters: f64) -> Passage {
        Passage { leaves, enters }
    }

    #[test]
    fn a_level_wire_does_not_turn() {
        assert_eq!(turns(&[passage(3.0, 3.0)]), (vec![Turn::Straight], 0));
    }

    #[test]
    fn a_wire_that_enters_where_another_leaves_turns_on_its_right() {
        // The second enters at 0, where the first leaves.
        let (turns, _) = turns(&[passage(0.0, 9.0), passage(12.0, 0.0)]);
        let (Turn::Lane(first), Turn::Lane(second)) = (turns[0], turns[1]) else { panic!("{turns:?}") };
        assert!(first < second);
    }

    #[test]
    fn wires_that_exchange_heights_go_round_each_other() {
        let (turns, count) = turns(&[passage(0.0, 6.0), passage(6.0, 0.0)]);
        assert!(turns.iter().any(|t| matches!(t, Turn::Jog(..))));
        assert_eq!(count, 3);
    }

    #[test]
    fn wires_that_fan_out_do_not_cross() {
        let fan: Vec<Passage> =
            (0..6).map(|i| passage(f64::from(i) * 6.0, f64::from(i) * 18.0 - 45.0)).collect();
        let (turns, _) = turns(&fan);
        let mut order: Vec<usize> = (0..fan.len()).collect();
        order.sort_by_key(|&i| match turns[i] {
            Turn::Lane(lane) => lane,
            _ => 0,
        });
        for (at, &left) in order.iter().enumerate() {
            for &right in &order[at + 1..] {
                assert_eq!(crossings(&fan, left, right), 0, "{left} before {right}");
            }
        }
    }
}
