//! Heights of everything in its column, so that as many wires as can run level; then widths, lanes and routes.

use super::DeviceSymbol;
use super::lanes::{Passage, Turn, turns};
use super::net::{Columns, Net, What};
use super::symbols::{DEVICE_LENGTH, usual_size};
use crate::drawing::pen::{Area, LEGIBLE, fitted, text_width, wrapped};
use wiring::NodeKind;

/// Between neighbouring wires in a column, millimetres; heights lie on half of it.
pub(super) const PITCH: f64 = 6.0;
const GRID: f64 = PITCH / 2.0;
/// Between lanes; a hop fits between two.
const LANE: f64 = 2.6;
/// Radius of a hop.
pub(super) const HOP: f64 = 1.0;
/// From line to line of a label.
pub(super) const LINE: f64 = 3.5;
const WIDEST_LABEL: f64 = 27.0;
const WIDEST_JOINED: f64 = 31.0;
/// An identifier is never cut while it is at all usable: two cut ones could read alike.
const WIDEST_FLAG: f64 = 60.0;
const WIDEST_LOAD: f64 = 48.0;
/// Height of a flag of one line.
pub(super) const FLAG: f64 = 4.2;

/// A node with its symbol and its label set.
#[derive(Clone, Debug)]
pub(super) struct PlacedNode {
    pub(super) area: Area,
    /// Heights of its wires on either side.
    pub(super) left: Vec<f64>,
    pub(super) right: Vec<f64>,
    /// Lines of its label: beside a load, below all else.
    pub(super) label: Vec<String>,
}

/// A wire with its corners, its flag and its device.
#[derive(Clone, Debug, Default)]
pub(super) struct PlacedWire {
    pub(super) corners: Vec<(f64, f64)>,
    pub(super) flag: Option<Area>,
    pub(super) flag_text: String,
    /// Left end and height of its device.
    pub(super) device: Option<(f64, f64)>,
}

/// Everything placed; the origin is the upper left corner of the drawing field.
#[derive(Clone, Debug, Default)]
pub(super) struct Placed {
    pub(super) nodes: Vec<PlacedNode>,
    pub(super) wires: Vec<PlacedWire>,
    /// Left and right edge of each column.
    pub(super) columns: Vec<(f64, f64)>,
    pub(super) width: f64,
    pub(super) height: f64,
}

/// What the caller knows of a wire beyond the graph.
#[derive(Clone, Debug, Default)]
pub(super) struct WireMark {
    pub(super) flag: String,
    pub(super) device: Option<DeviceSymbol>,
}

/// Box of one item: what it needs above and below its middle, and where its wires leave.
struct Frame {
    up: f64,
    down: f64,
    half: f64,
}

/// Places a net.
pub(super) fn place(net: &Net, columns: &Columns, marks: &[WireMark], show_buildings: bool) -> Placed {
    let labels: Vec<Vec<String>> = net.nodes.iter().map(|node| label(node, show_buildings)).collect();
    let places = columns.places();
    let ports = Ports::new(columns, &places);
    let frames: Vec<Frame> = columns
        .items
        .iter()
        .enumerate()
        .map(|(item, what)| frame(net, &labels, &ports, item, *what))
        .collect();
    let mut heights = heights(columns, &frames, &ports);
    let top = heights.iter().zip(&frames).map(|(y, f)| y - f.up).fold(f64::INFINITY, f64::min);
    let top = if top.is_finite() { (top / GRID).floor() * GRID } else { 0.0 };
    heights.iter_mut().for_each(|y| *y -= top);

    let flag_width = |wire: usize| text_width(&flag_text(&marks[wire].flag), LEGIBLE) + 2.4;
    let mut placed = Placed {
        nodes: vec![
            PlacedNode {
                area: Area::new(0.0, 0.0, 0.0, 0.0),
                left: vec![],
                right: vec![],
                label: vec![]
            };
            net.nodes.len()
        ],
        wires: vec![PlacedWire::default(); net.wires.len()],
        ..Placed::default()
    };
    placed.height = heights.iter().zip(&frames).map(|(y, f)| y + f.down).fold(0.0, f64::max);
    let mut x = 0.0;
    for (column, items) in columns.columns.iter().enumerate() {
        let width = items
            .iter()
            .map(|&item| match columns.items[item] {
                What::Node(node) => column_width(net.nodes[node].kind, &labels[node]),
                What::Pass(_) => 2.0,
            })
            .fold(0.0, f64::max);
        placed.columns.push((x, x + width));
        // Loads stand under each other, also where something wider shares their column.
        let loads_width = items
            .iter()
            .filter_map(|&item| match columns.items[item] {
                What::Node(node) if net.nodes[node].kind == NodeKind::Load => {
                    Some(column_width(NodeKind::Load, &labels[node]))
                }
                _ => None,
            })
            .fold(0.0, f64::max);
        for &item in items {
            let What::Node(node) = columns.items[item] else { continue };
            let kind = net.nodes[node].kind;
            let (w, _) = usual_size(kind);
            let half = frames[item].half;
            let taken = if kind == NodeKind::Load { loads_width } else { w };
            let left_edge = x + (width - taken) / 2.0;
            placed.nodes[node] = PlacedNode {
                area: Area::new(left_edge, heights[item] - half, w, 2.0 * half),
                left: ports.left[item].iter().map(|&p| heights[item] + ports.offset(p, item, true)).collect(),
                right: ports.right[item]
                    .iter()
                    .map(|&p| heights[item] + ports.offset(p, item, false))
                    .collect(),
                label: labels[node].clone(),
            };
        }
        // The gap to the next column: devices, then lanes, then flags.
        let pieces: Vec<usize> =
            (0..columns.pieces.len()).filter(|&p| columns.pieces[p].gap == column).collect();
        let passages: Vec<Passage> = pieces
            .iter()
            .map(|&p| Passage {
                leaves: heights[columns.pieces[p].left] + ports.offset(p, columns.pieces[p].left, false),
                enters: heights[columns.pieces[p].right] + ports.offset(p, columns.pieces[p].right, true),
            })
            .collect();
        let (turned, lanes) = turns(&passages);
        let with_device =
            pieces.iter().any(|&p| columns.pieces[p].first && marks[columns.pieces[p].wire].device.is_some());
        let first_flags = pieces.iter().filter(|&&p| columns.pieces[p].first);
        let flags = first_flags.map(|&p| flag_width(columns.pieces[p].wire)).fold(0.0, f64::max);
        let devices_from = x + width + 1.0;
        let lanes_from = devices_from + if with_device { DEVICE_LENGTH + 0.6 } else { 0.6 };
        let flags_from = lanes_from + LANE * lanes as f64 + 1.2;
        let next = flags_from + if flags > 0.0 { flags + 2.4 } else { 0.6 };
        for ((&p, passage), turn) in pieces.iter().zip(&passages).zip(&turned) {
            let piece = columns.pieces[p];
            let wire = &mut placed.wires[piece.wire];
            if wire.corners.is_empty() {
                let from = match columns.items[piece.left] {
                    What::Node(node) => placed.nodes[node].area.right(),
                    What::Pass(_) => x,
                };
                wire.corners.push((from, passage.leaves));
            }
            let lane_x = |lane: usize| lanes_from + LANE * (lane as f64 + 0.5);
            match *turn {
                Turn::Straight => {}
                Turn::Lane(lane) => {
                    wire.corners.extend([(lane_x(lane), passage.leaves), (lane_x(lane), passage.enters)]);
                }
                Turn::Jog(first, along, second) => wire.corners.extend([
                    (lane_x(first), passage.leaves),
                    (lane_x(first), along),
                    (lane_x(second), along),
                    (lane_x(second), passage.enters),
                ]),
            }
            wire.corners.push((next, passage.enters));
            if piece.first {
                let width = flag_width(piece.wire);
                wire.flag = Some(Area::new(flags_from + 0.4, passage.enters - FLAG / 2.0, width, FLAG));
                wire.flag_text = flag_text(&marks[piece.wire].flag);
                wire.device = marks[piece.wire].device.map(|_| (devices_from, passage.leaves));
            }
        }
        x = next;
    }
    placed.width = placed.columns.last().map_or(0.0, |c| c.1);
    // The last corner of each wire is the edge of its right-hand symbol, which is only now known.
    for piece in &columns.pieces {
        if let What::Node(node) = columns.items[piece.right]
            && let Some(last) = placed.wires[piece.wire].corners.last_mut()
        {
            last.0 = placed.nodes[node].area.x;
        }
    }
    for wire in &mut placed.wires {
        straighten(&mut wire.corners);
    }
    placed
}

fn flag_text(text: &str) -> String {
    fitted(text, LEGIBLE, WIDEST_FLAG)
}

fn label(node: &super::net::NetNode, show_buildings: bool) -> Vec<String> {
    if node.kind == NodeKind::Load {
        return vec![fitted(&node.name, LEGIBLE, WIDEST_LOAD)];
    }
    if !show_buildings || node.building.is_empty() {
        return wrapped(&node.name, LEGIBLE, WIDEST_LABEL, 2);
    }
    // Name and place on one line where they fit, so that a column of equal parts stays short.
    let both = format!("{} · {}", node.name, node.building);
    if text_width(&both, LEGIBLE) <= WIDEST_JOINED {
        return vec![both];
    }
    let mut lines = wrapped(&node.name, LEGIBLE, WIDEST_LABEL, 2);
    lines.push(fitted(&node.building, LEGIBLE, WIDEST_LABEL));
    lines
}

fn column_width(kind: NodeKind, label: &[String]) -> f64 {
    let text = label.iter().map(|line| text_width(line, LEGIBLE)).fold(0.0, f64::max);
    let (symbol, _) = usual_size(kind);
    if kind == NodeKind::Load { symbol + 1.4 + text } else { symbol.max(text) }
}

/// Which pieces meet an item on either side, from top to bottom.
struct Ports {
    left: Vec<Vec<usize>>,
    right: Vec<Vec<usize>>,
    ends: Vec<(usize, usize)>,
}

impl Ports {
    fn new(columns: &Columns, places: &[usize]) -> Self {
        let mut left = vec![Vec::new(); columns.items.len()];
        let mut right = vec![Vec::new(); columns.items.len()];
        for (p, piece) in columns.pieces.iter().enumerate() {
            right[piece.left].push(p);
            left[piece.right].push(p);
        }
        let ends: Vec<(usize, usize)> = columns.pieces.iter().map(|p| (p.left, p.right)).collect();
        for list in &mut left {
            list.sort_by_key(|&p| (places[ends[p].0], columns.pieces[p].wire));
        }
        for list in &mut right {
            list.sort_by_key(|&p| (places[ends[p].1], columns.pieces[p].wire));
        }
        Ports { left, right, ends }
    }

    /// Height of a piece's end from the middle of the item it meets.
    fn offset(&self, piece: usize, item: usize, on_left: bool) -> f64 {
        let list = if on_left { &self.left[item] } else { &self.right[item] };
        let at = list.iter().position(|&p| p == piece).unwrap_or(0);
        (at as f64 - (list.len() as f64 - 1.0) / 2.0) * PITCH
    }
}

fn frame(net: &Net, labels: &[Vec<String>], ports: &Ports, item: usize, what: What) -> Frame {
    let What::Node(node) = what else { return Frame { up: PITCH / 2.0, down: PITCH / 2.0, half: 0.0 } };
    let kind = net.nodes[node].kind;
    let most = ports.left[item].len().max(ports.right[item].len()) as f64;
    let span = ((most - 1.0) / 2.0 * PITCH).max(0.0);
    let (_, usual) = usual_size(kind);
    if kind == NodeKind::Load && most <= 1.0 {
        return Frame { up: PITCH / 2.0, down: PITCH / 2.0, half: usual / 2.0 };
    }
    let half = (usual / 2.0).max(span + 2.0);
    let below = if kind == NodeKind::Load { 1.0 } else { labels[node].len() as f64 * LINE + 1.0 };
    Frame { up: half + 0.8, down: half + below, half }
}

/// Heights that keep the order of each column and its distances, and run as many wires level as they can.
fn heights(columns: &Columns, frames: &[Frame], ports: &Ports) -> Vec<f64> {
    let mut y = vec![0.0; columns.items.len()];
    for items in &columns.columns {
        settle(items, frames, &mut y, |_| None);
    }
    for sweep in 0..17 {
        let rightwards = sweep % 2 == 0;
        let count = columns.columns.len();
        for step in 0..count {
            let column = if rightwards { step } else { count - 1 - step };
            let before = y.clone();
            settle(&columns.columns[column], frames, &mut y, |item| {
                let mut wish: Vec<f64> = Vec::new();
                for &p in &ports.left[item] {
                    let other = ports.ends[p].0;
                    wish.push(before[other] + ports.offset(p, other, false) - ports.offset(p, item, true));
                }
                for &p in &ports.right[item] {
                    let other = ports.ends[p].1;
                    wish.push(before[other] + ports.offset(p, other, true) - ports.offset(p, item, false));
                }
                wish.sort_by(f64::total_cmp);
                // The middle wish is granted, so that at least one wire runs level.
                wish.get((wish.len().max(1) - 1) / 2).copied()
            });
        }
    }
    for _ in 0..2 {
        for wire in 0..columns.pieces.iter().map(|p| p.wire + 1).max().unwrap_or(0) {
            level(wire, columns, frames, ports, &mut y);
        }
    }
    y
}

/// Lets a wire that passes several columns keep one height in all of them, where there is room and it saves bends.
fn level(wire: usize, columns: &Columns, frames: &[Frame], ports: &Ports, y: &mut [f64]) {
    let pieces: Vec<usize> = (0..columns.pieces.len()).filter(|&p| columns.pieces[p].wire == wire).collect();
    let (Some(&first), Some(&last)) = (pieces.first(), pieces.last()) else { return };
    let passes: Vec<usize> = pieces.iter().skip(1).map(|&p| ports.ends[p].0).collect();
    if passes.is_empty() {
        return;
    }
    let start = y[ports.ends[first].0] + ports.offset(first, ports.ends[first].0, false);
    let end = y[ports.ends[last].1] + ports.offset(last, ports.ends[last].1, true);
    let bends = |heights: &[f64]| {
        let all: Vec<f64> = std::iter::once(start).chain(heights.iter().copied()).chain([end]).collect();
        all.windows(2).filter(|pair| (pair[0] - pair[1]).abs() > 0.1).count()
    };
    let now: Vec<f64> = passes.iter().map(|&item| y[item]).collect();
    let mut best = (bends(&now), now.clone());
    for height in [start, end].into_iter().chain(now) {
        let room = passes.iter().all(|&item| has_room(item, height, columns, frames, y));
        let level = vec![height; passes.len()];
        if room && bends(&level) < best.0 {
            best = (bends(&level), level);
        }
    }
    for (&item, height) in passes.iter().zip(best.1) {
        y[item] = height;
    }
}

fn has_room(item: usize, height: f64, columns: &Columns, frames: &[Frame], y: &[f64]) -> bool {
    let Some(column) = columns.columns.iter().find(|column| column.contains(&item)) else { return false };
    let at = column.iter().position(|&i| i == item).unwrap_or(0);
    let above = at.checked_sub(1).map(|i| column[i]);
    above.is_none_or(|i| y[i] + frames[i].down + frames[item].up <= height + 1e-6)
        && column.get(at + 1).is_none_or(|&i| height + frames[item].down + frames[i].up <= y[i] + 1e-6)
}

/// Least squares under the distances of a column: neighbours that would overlap share their wish. Rounding to the
/// grid keeps the distances because they are whole steps of it.
fn settle(items: &[usize], frames: &[Frame], y: &mut [f64], wish: impl Fn(usize) -> Option<f64>) {
    let mut shift = 0.0;
    let mut blocks: Vec<(f64, f64, usize)> = Vec::new();
    let mut shifts = Vec::with_capacity(items.len());
    for (place, &item) in items.iter().enumerate() {
        if place > 0 {
            shift += ((frames[items[place - 1]].down + frames[item].up) / GRID).ceil() * GRID;
        }
        shifts.push(shift);
        // What has no wish follows the others weakly.
        let (target, weight) = wish(item).map_or((y[item], 0.05), |w| (w, 1.0));
        blocks.push(((target - shift) * weight, weight, 1));
        while let [.., a, b] = blocks[..]
            && a.0 / a.1 > b.0 / b.1
        {
            blocks.truncate(blocks.len() - 2);
            blocks.push((a.0 + b.0, a.1 + b.1, a.2 + b.2));
        }
    }
    let mut place = 0;
    for (sum, weight, count) in blocks {
        for _ in 0..count {
            y[items[place]] = ((sum / weight) / GRID).round() * GRID + shifts[place];
            place += 1;
        }
    }
}

/// Drops corners that lie on a straight line.
fn straighten(corners: &mut Vec<(f64, f64)>) {
    let mut kept: Vec<(f64, f64)> = Vec::with_capacity(corners.len());
    for &corner in corners.iter() {
        if let [.., a, b] = kept[..]
            && ((a.1 - b.1).abs() < 1e-6 && (b.1 - corner.1).abs() < 1e-6
                || (a.0 - b.0).abs() < 1e-6 && (b.0 - corner.0).abs() < 1e-6)
        {
            kept.pop();
        }
        kept.push(corner);
    }
    *corners = kept;
}
