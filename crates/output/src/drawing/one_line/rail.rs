//! The diagram for a narrow sheet: equipment below each other, each after what feeds it, its circuits as lanes on the left.

use super::TitleBlock;
use super::net::Net;
use super::place::{FLAG, PITCH, Placed, PlacedNode, PlacedWire, WireMark};
use super::sheet;
use super::symbols::{DEVICE_LENGTH, usual_size};
use crate::drawing::pen::{Area, LABEL, LEGIBLE, Pen, fitted, text_width, wrapped};
use crate::drawing::{Anchor, Drawing, Form};

const LANE: f64 = 2.6;
const EDGE: f64 = 1.0;
/// The widest symbol; names begin to the right of it.
const SYMBOL: f64 = 16.0;
const LINE: f64 = 3.5;
/// A name is never narrower than this, however many lanes there are; the sheet grows instead.
const LEAST_NAME: f64 = 22.0;
/// As on the sheet: two cut identifiers could read alike.
const WIDEST_FLAG: f64 = 60.0;

/// Draws the net at the width of a phone; wider only where there are more lanes than that holds.
pub(super) fn draw(net: &Net, marks: &[WireMark], title: &TitleBlock) -> Drawing {
    let (placed, names_at) = place(net, marks);
    let key = sheet::key(net, marks);
    let rules = if title.rule_set.is_empty() { "rule set not stated" } else { &title.rule_set };
    let top = placed.height + 5.0;
    let rows = key.len().div_ceil(2);
    let mut pen = Pen::new(placed.width, top + sheet::KEY_STEP * rows as f64 + 4.0);
    sheet::body(&mut pen, net, marks, &placed, Some(names_at));
    sheet::draw_key(&mut pen, &key, EDGE, top, rows);
    let words = fitted(&format!("not to scale · {rules}"), LABEL, placed.width - 2.0);
    pen.text("ax", EDGE, pen.drawing.height - 1.0, LABEL, Anchor::Start, &words);
    pen.drawing
}

/// Every piece of equipment after all that feed it, and as near to them as can be.
fn order(net: &Net, ends: &[(usize, usize)]) -> Vec<usize> {
    let feeds = |node: usize| ends.iter().filter(move |end| end.1 == node).map(|end| end.0);
    let mut seen = vec![false; net.nodes.len()];
    let mut order = Vec::with_capacity(net.nodes.len());
    let last_first = (0..net.nodes.len()).filter(|node| !ends.iter().any(|end| end.0 == *node));
    for root in last_first.chain(0..net.nodes.len()) {
        let mut stack = vec![root];
        while let Some(&node) = stack.last() {
            match feeds(node).find(|from| !seen[*from] && !stack.contains(from)) {
                Some(from) if !seen[node] => stack.push(from),
                _ => {
                    stack.pop();
                    if !seen[node] {
                        seen[node] = true;
                        order.push(node);
                    }
                }
            }
        }
    }
    order
}

/// Places of everything and where the names begin.
fn place(net: &Net, marks: &[WireMark]) -> (Placed, f64) {
    let ends = net.oriented();
    let order = order(net, &ends);
    let mut at = vec![0_usize; net.nodes.len()];
    for (row, &node) in order.iter().enumerate() {
        at[node] = row;
    }
    let span = |wire: usize| at[ends[wire].1].abs_diff(at[ends[wire].0]);
    // What comes from near enters above, what goes far leaves above: then lanes of one node do not cross each other.
    let ports: Vec<Vec<(usize, bool)>> = (0..net.nodes.len())
        .map(|node| {
            let mut into: Vec<usize> = (0..ends.len()).filter(|w| ends[*w].1 == node).collect();
            let mut out: Vec<usize> = (0..ends.len()).filter(|w| ends[*w].0 == node).collect();
            into.sort_by_key(|wire| (span(*wire), *wire));
            out.sort_by_key(|wire| (std::cmp::Reverse(span(*wire)), *wire));
            into.into_iter().map(|w| (w, true)).chain(out.into_iter().map(|w| (w, false))).collect()
        })
        .collect();
    let lane_of = lanes(&ports, &order, &at, &ends);
    let lanes = lane_of.iter().map(|lane| lane + 1).max().unwrap_or(0) as f64;
    let flags: Vec<String> = marks.iter().map(|mark| fitted(&mark.flag, LEGIBLE, WIDEST_FLAG)).collect();
    let flag_width = |wire: usize| text_width(&flags[wire], LEGIBLE) + 2.4;
    let widest_flag = (0..flags.len()).map(flag_width).fold(0.0, f64::max);
    let flags_from = EDGE + lanes * LANE + 1.2;
    let devices_from = flags_from + widest_flag + 0.8;
    let with_device = marks.iter().any(|mark| mark.device.is_some());
    let symbols_at = devices_from + if with_device { DEVICE_LENGTH + 0.8 } else { 0.8 };
    let names_at = symbols_at + SYMBOL + 1.6;
    let width = Form::Phone.width().max(names_at + LEAST_NAME);

    let mut placed =
        Placed { width, wires: vec![PlacedWire::default(); net.wires.len()], ..Placed::default() };
    placed.nodes =
        vec![
            PlacedNode { area: Area::new(0.0, 0.0, 0.0, 0.0), left: vec![], right: vec![], label: vec![] };
            net.nodes.len()
        ];
    let mut y = EDGE;
    let mut leaves = vec![0.0; net.wires.len()];
    let mut enters = vec![0.0; net.wires.len()];
    for &node in &order {
        let of = &net.nodes[node];
        let (w, usual) = usual_size(of.kind);
        let mut label = wrapped(&of.name, LEGIBLE, width - names_at, 2);
        if !of.building.is_empty() {
            label.push(fitted(&of.building, LEGIBLE, width - names_at));
        }
        let reach = (ports[node].len().max(1) as f64 - 1.0) / 2.0 * PITCH;
        let half = (usual / 2.0).max(reach + 2.0);
        // A flag fits above and below the outermost circuit, and the lines of the name beside the symbol.
        let room = half.max(reach + PITCH / 2.0).max(label.len() as f64 * LINE / 2.0) + 0.8;
        let middle = y + room;
        let heights: Vec<f64> = (0..ports[node].len()).map(|k| middle - reach + PITCH * k as f64).collect();
        for ((wire, into), height) in ports[node].iter().zip(&heights) {
            if *into { enters[*wire] = *height } else { leaves[*wire] = *height }
        }
        let area = Area::new(symbols_at, middle - half, w, 2.0 * half);
        placed.nodes[node] = PlacedNode { area, left: heights, right: vec![], label };
        y = middle + room;
    }
    placed.height = y;
    for (wire, at) in placed.wires.iter_mut().enumerate() {
        let lane = EDGE + LANE * (lanes - lane_of[wire] as f64 - 0.5);
        let (from, to) = (leaves[wire], enters[wire]);
        at.corners = vec![(symbols_at, from), (lane, from), (lane, to), (symbols_at, to)];
        at.flag = Some(Area::new(flags_from, from - FLAG / 2.0, flag_width(wire), FLAG));
        at.flag_text = flags[wire].clone();
        at.device = marks[wire].device.map(|_| (devices_from, from));
    }
    (placed, names_at)
}

/// A lane for each wire, 0 next to the symbols: short ones inside, and none shared by two that pass the same row.
fn lanes(ports: &[Vec<(usize, bool)>], order: &[usize], at: &[usize], ends: &[(usize, usize)]) -> Vec<usize> {
    // Heights in the order of the ports, which is all that matters for who passes whom.
    let mut leaves = vec![0; ends.len()];
    let mut enters = vec![0; ends.len()];
    let mut height = 0;
    for &node in order {
        for (wire, into) in &ports[node] {
            height += 1;
            if *into { enters[*wire] = height } else { leaves[*wire] = height }
        }
    }
    let mut wires: Vec<usize> = (0..ends.len()).collect();
    wires.sort_by_key(|wire| (at[ends[*wire].1].abs_diff(at[ends[*wire].0]), *wire));
    let mut taken: Vec<Vec<(i32, i32)>> = Vec::new();
    let mut lane_of = vec![0; ends.len()];
    for wire in wires {
        let (from, to): (i32, i32) = (leaves[wire].min(enters[wire]), leaves[wire].max(enters[wire]));
        let free = |lane: &Vec<(i32, i32)>| lane.iter().all(|(a, b)| to < *a || from > *b);
        let lane = taken.iter().position(free).unwrap_or(taken.len());
        if lane == taken.len() {
            taken.push(Vec::new());
        }
        taken[lane].push((from, to));
        lane_of[wire] = lane;
    }
    lane_of
}
