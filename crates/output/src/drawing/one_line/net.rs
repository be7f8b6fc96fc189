//! The circuit graph as the drawing needs it, its columns by longest path, and the order of each column.

use wiring::NodeKind;

/// How a wire is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(super) enum WireKind {
    Dc,
    Ac,
    /// Alternating current on three wires or more.
    Split,
    Ground,
}

/// A piece of equipment.
#[derive(Clone, Debug)]
pub(super) struct NetNode {
    pub(super) name: String,
    pub(super) kind: NodeKind,
    pub(super) building: String,
    pub(super) bonded: Bonded,
}

/// Whether the sheet shows a bond of neutral and ground there.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Bonded {
    No,
    Yes,
    Relay,
    Unknown,
}

/// A circuit; `from` and `to` are places in the list of nodes.
#[derive(Clone, Debug)]
pub(super) struct Wire {
    pub(super) name: String,
    pub(super) from: usize,
    pub(super) to: usize,
    pub(super) kind: WireKind,
}

/// What is drawn.
#[derive(Clone, Debug, Default)]
pub(super) struct Net {
    pub(super) nodes: Vec<NetNode>,
    pub(super) wires: Vec<Wire>,
}

/// One thing in a column: a node, or a wire that only passes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum What {
    Node(usize),
    Pass(usize),
}

/// One stretch of a wire between neighbouring columns; `left` and `right` are places in the list of items.
#[derive(Clone, Copy, Debug)]
pub(super) struct Piece {
    pub(super) wire: usize,
    pub(super) left: usize,
    pub(super) right: usize,
    /// Column on its left.
    pub(super) gap: usize,
    /// Whether it is the wire's leftmost stretch.
    pub(super) first: bool,
}

/// Columns in order, each a list of items from top to bottom.
#[derive(Clone, Debug, Default)]
pub(super) struct Columns {
    pub(super) items: Vec<What>,
    pub(super) columns: Vec<Vec<usize>>,
    pub(super) pieces: Vec<Piece>,
}

impl Net {
    /// Columns of the sheet with few crossings between them.
    pub(super) fn columns(&self) -> Columns {
        let ends = self.oriented();
        let rank = self.ranks(&ends);
        let mut placed = Columns::default();
        let count = rank.iter().max().map_or(0, |r| r + 1);
        placed.columns = vec![Vec::new(); count];
        let mut order: Vec<usize> = (0..self.nodes.len()).collect();
        order.sort_by_key(|&node| (standing(self.nodes[node].kind), node));
        let mut item_of = vec![0; self.nodes.len()];
        for &node in &order {
            item_of[node] = placed.add(What::Node(node), rank[node]);
        }
        for (wire, &(left, right)) in ends.iter().enumerate() {
            let mut from = item_of[left];
            for column in rank[left]..rank[right] {
                let to = if column + 1 == rank[right] {
                    item_of[right]
                } else {
                    placed.add(What::Pass(wire), column + 1)
                };
                placed.pieces.push(Piece {
                    wire,
                    left: from,
                    right: to,
                    gap: column,
                    first: column == rank[left],
                });
                from = to;
            }
        }
        placed.sort();
        placed
    }

    /// Left and right node of each wire, so that no walk to the right returns: wires that would are turned round.
    pub(super) fn oriented(&self) -> Vec<(usize, usize)> {
        let mut leaving: Vec<Vec<usize>> = vec![Vec::new(); self.nodes.len()];
        for (wire, w) in self.wires.iter().enumerate() {
            leaving[w.from].push(wire);
        }
        let mut ends: Vec<(usize, usize)> = self
            .wires
            .iter()
            // A source has nothing on its left, whatever its circuit is named from.
            .map(|w| {
                if self.nodes[w.to].kind.is_source() && !self.nodes[w.from].kind.is_source() {
                    (w.to, w.from)
                } else {
                    (w.from, w.to)
                }
            })
            .collect();
        for list in &mut leaving {
            list.clear();
        }
        for (wire, &(left, _)) in ends.iter().enumerate() {
            leaving[left].push(wire);
        }
        // 0 not seen, 1 on the way, 2 done.
        let mut state = vec![0u8; self.nodes.len()];
        let mut roots: Vec<usize> = (0..self.nodes.len()).collect();
        roots.sort_by_key(|&node| (!self.nodes[node].kind.is_source(), node));
        for root in roots {
            if state[root] != 0 {
                continue;
            }
            let mut stack = vec![(root, 0usize)];
            state[root] = 1;
            while let Some((node, at)) = stack.pop() {
                let Some(&wire) = leaving[node].get(at) else {
                    state[node] = 2;
                    continue;
                };
                stack.push((node, at + 1));
                let there = ends[wire].1;
                match state[there] {
                    0 => {
                        state[there] = 1;
                        stack.push((there, 0));
                    }
                    1 => ends[wire] = (there, node),
                    _ => {}
                }
            }
        }
        ends
    }

    /// Column of each node: sources left, then by longest path; distribution as far right as it can stand, loads last.
    fn ranks(&self, ends: &[(usize, usize)]) -> Vec<usize> {
        let count = self.nodes.len();
        let mut waits = vec![0usize; count];
        for &(_, right) in ends {
            waits[right] += 1;
        }
        let mut rank = vec![0usize; count];
        for (node, r) in rank.iter_mut().enumerate() {
            *r = usize::from(!self.nodes[node].kind.is_source());
        }
        let mut ready: Vec<usize> = (0..count).filter(|&node| waits[node] == 0).collect();
        let mut order = Vec::with_capacity(count);
        while let Some(node) = ready.pop() {
            order.push(node);
            for &(left, right) in ends.iter().filter(|e| e.0 == node) {
                rank[right] = rank[right].max(rank[left] + 1);
                waits[right] -= 1;
                if waits[right] == 0 {
                    ready.push(right);
                }
            }
        }
        let last = rank.iter().copied().max().unwrap_or(0);
        for &node in order.iter().rev() {
            let kind = self.nodes[node].kind;
            if kind == NodeKind::Load && !ends.iter().any(|e| e.0 == node) {
                rank[node] = last;
            }
            let moves =
                matches!(kind, NodeKind::Panel | NodeKind::Transfer | NodeKind::Service | NodeKind::Switch);
            let next = ends
                .iter()
                // A load or an electrode stands where its panel leaves it; it does not draw the panel after itself.
                .filter(|e| {
                    e.0 == node && !matches!(self.nodes[e.1].kind, NodeKind::Load | NodeKind::Electrode)
                })
                .map(|e| rank[e.1])
                .min();
            if let (true, Some(next)) = (moves, next) {
                rank[node] = rank[node].max(next.saturating_sub(1));
            }
        }
        // What hangs on a node that moved must stay on its right.
        for &node in &order {
            for &(left, right) in ends.iter().filter(|e| e.0 == node) {
                rank[right] = rank[right].max(rank[left] + 1);
            }
        }
        rank
    }
}

/// From top to bottom of a column, before lines have a say.
fn standing(kind: NodeKind) -> u8 {
    match kind {
        NodeKind::PvString => 0,
        NodeKind::Combiner | NodeKind::Controller => 1,
        NodeKind::BatteryUnit | NodeKind::BatteryBus => 2,
        NodeKind::Inverter | NodeKind::Switch => 3,
        NodeKind::Panel | NodeKind::Transfer | NodeKind::Load => 4,
        NodeKind::Generator => 5,
        NodeKind::Utility | NodeKind::Service => 6,
        NodeKind::Electrode => 7,
    }
}

impl Columns {
    fn add(&mut self, what: What, column: usize) -> usize {
        self.items.push(what);
        self.columns[column].push(self.items.len() - 1);
        self.items.len() - 1
    }

    /// Place of each item in its column.
    pub(super) fn places(&self) -> Vec<usize> {
        let mut places = vec![0; self.items.len()];
        for column in &self.columns {
            for (place, &item) in column.iter().enumerate() {
                places[item] = place;
            }
        }
        places
    }

    /// Crossings between columns, with the order as it is.
    pub(super) fn crossings(&self) -> usize {
        let places = self.places();
        (0..self.columns.len().saturating_sub(1)).map(|gap| self.crossings_in(gap, &places)).sum()
    }

    fn crossings_in(&self, gap: usize, places: &[usize]) -> usize {
        let ends: Vec<(usize, usize)> =
            self.pieces.iter().filter(|p| p.gap == gap).map(|p| (places[p.left], places[p.right])).collect();
        let mut count = 0;
        for (i, a) in ends.iter().enumerate() {
            for b in &ends[i + 1..] {
                count += usize::from((a.0 < b.0 && a.1 > b.1) || (a.0 > b.0 && a.1 < b.1));
            }
        }
        count
    }

    /// Orders each column by where its neighbours stand, to and fro, and keeps the order with the fewest crossings.
    fn sort(&mut self) {
        let mut best = (self.crossings(), self.columns.clone());
        for sweep in 0..12 {
            let rightwards = sweep % 2 == 0;
            let count = self.columns.len();
            for step in 0..count {
                let column = if rightwards { step } else { count - 1 - step };
                self.sort_column(column, rightwards);
            }
            self.exchange();
            let crossings = self.crossings();
            if crossings < best.0 {
                best = (crossings, self.columns.clone());
            }
            if best.0 == 0 {
                break;
            }
        }
        self.columns = best.1;
    }

    fn sort_column(&mut self, column: usize, rightwards: bool) {
        let places = self.places();
        let mean = |item: usize| {
            let neighbours: Vec<usize> = self
                .pieces
                .iter()
                .filter_map(|p| match (rightwards, p.left == item, p.right == item) {
                    (true, _, true) => Some(places[p.left]),
                    (false, true, _) => Some(places[p.right]),
                    _ => None,
                })
                .collect();
            if neighbours.is_empty() {
                return None;
            }
            Some(neighbours.iter().sum::<usize>() as f64 / neighbours.len() as f64)
        };
        // Items without neighbours on that side keep their places; the others fill the rest in order.
        let mut moving: Vec<(f64, usize)> =
            self.columns[column].iter().filter_map(|&item| mean(item).map(|m| (m, item))).collect();
        moving.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut moving = moving.into_iter().map(|(_, item)| item);
        let fixed: Vec<bool> = self.columns[column].iter().map(|&item| mean(item).is_none()).collect();
        for (slot, fixed) in self.columns[column].iter_mut().zip(fixed) {
            if !fixed && let Some(item) = moving.next() {
                *slot = item;
            }
        }
    }

    /// Exchanges neighbours while that saves crossings.
    fn exchange(&mut self) {
        for _ in 0..6 {
            let mut better = false;
            for column in 0..self.columns.len() {
                for at in 1..self.columns[column].len() {
                    let count = |this: &Self| {
                        let places = this.places();
                        let before = column.checked_sub(1).map_or(0, |gap| this.crossings_in(gap, &places));
                        before + this.crossings_in(column, &places)
                    };
                    let before = count(self);
                    if before == 0 {
                        break;
                    }
                    self.columns[column].swap(at - 1, at);
                    if count(self) < before {
                        better = true;
                    } else {
                        self.columns[column].swap(at - 1, at);
                    }
                }
            }
            if !better {
                break;
            }
        }
    }
}
