//! The sheet: symbols, wires with hops, flags, headings, key and title block.

use super::TitleBlock;
use super::net::{Bonded, Columns, Net, What, WireKind};
use super::place::{FLAG, HOP, LINE, Placed, WireMark, place};
use super::symbols::{DEVICE_LENGTH, DeviceSymbol, device, symbol};
use crate::drawing::pen::{Area, LABEL, LEGIBLE, Pen, fitted, n, rect, text_width};
use crate::drawing::{Anchor, Drawing};
use std::fmt::Write;
use wiring::NodeKind;

const MARGIN: f64 = 7.0;
const HEADINGS: f64 = 11.0;
const FOOT: f64 = 25.0;
const TITLE_WIDTH: f64 = 84.0;
pub(super) const KEY_STEP: f64 = 4.6;

pub(super) fn draw(net: &Net, marks: &[WireMark], title: &TitleBlock) -> Drawing {
    let columns = net.columns();
    let buildings: std::collections::BTreeSet<&str> =
        net.nodes.iter().map(|node| node.building.as_str()).filter(|b| !b.is_empty()).collect();
    let mut placed = place(net, &columns, marks, buildings.len() > 1);
    let key = key(net, marks);
    let columns_of_key = key.len().div_ceil(4);
    let least = 2.0 * MARGIN + TITLE_WIDTH + 6.0 + 44.0 * columns_of_key as f64;
    let width = (placed.width + 2.0 * MARGIN + 6.0).max(least).ceil();
    let height = (placed.height + 2.0 * MARGIN + HEADINGS + FOOT).ceil();
    let dx = ((width - placed.width) / 2.0).max(MARGIN);
    placed.shift(dx, MARGIN + HEADINGS);
    let mut pen = Pen::new(width, height);
    pen.path("frame", rect(Area::new(2.0, 2.0, width - 4.0, height - 4.0)));
    headings(&mut pen, net, &columns, &placed);
    body(&mut pen, net, marks, &placed, None);
    let top = height - MARGIN - FOOT + 6.0;
    draw_key(&mut pen, &key, MARGIN, top, 4);
    title_block(
        &mut pen,
        title,
        Area::new(width - 2.0 - TITLE_WIDTH, height - 2.0 - 22.0, TITLE_WIDTH, 22.0),
    );
    pen.drawing
}

/// Wires, devices, flags and symbols in their places. Names stand below the symbols and beside loads, or all of them beside, from
/// `names_at` on.
pub(super) fn body(pen: &mut Pen, net: &Net, marks: &[WireMark], placed: &Placed, names_at: Option<f64>) {
    for (wire, route) in net.wires.iter().zip(routes(net, placed)) {
        wire_line(pen, wire.kind, route, &wire.name);
    }
    for ((wire, at), mark) in net.wires.iter().zip(&placed.wires).zip(marks) {
        if let (Some(kind), Some((x, y))) = (mark.device, at.device) {
            let (class, body, strokes) = device(kind, x, y);
            pen.titled(class, body, &wire.name, &format!("{} of {}", kind.in_words(), wire.name));
            pen.path("mark", strokes);
        }
        if let Some(flag) = at.flag {
            pen.titled("flag", flag_outline(flag), &wire.name, &wire.name);
            let (x, y) = (flag.x + flag.width / 2.0, flag.y + FLAG / 2.0 + 0.36 * LEGIBLE);
            pen.text_of("flag-text", x, y, LEGIBLE, Anchor::Middle, &at.flag_text, &wire.name);
        }
    }
    for (node, at) in net.nodes.iter().zip(&placed.nodes) {
        let (outline, marks) = symbol(node.kind, at.area, &at.left, &at.right);
        let said = match node.building.as_str() {
            "" => format!("{}, {}", node.name, node.kind.in_words()),
            building => format!("{}, {}, {building}", node.name, node.kind.in_words()),
        };
        pen.titled("symbol", outline, &node.name, &said);
        for (class, d) in marks {
            pen.path(class, d);
        }
        let bottom = at.area.bottom() + 1.0 + 0.75 * LEGIBLE;
        for (k, line) in at.label.iter().enumerate() {
            let class =
                if node.kind != NodeKind::Load && k > 0 && *line == node.building { "ax" } else { "value" };
            let middle = at.area.y + at.area.height / 2.0 + 0.36 * LEGIBLE;
            let (x, y, lean) = if let Some(names_at) = names_at {
                let first = middle - LINE * (at.label.len() as f64 - 1.0) / 2.0;
                (names_at, first + k as f64 * LINE, Anchor::Start)
            } else if node.kind == NodeKind::Load {
                (at.area.right() + 1.4, middle, Anchor::Start)
            } else {
                (at.area.x + at.area.width / 2.0, bottom + k as f64 * LINE, Anchor::Middle)
            };
            pen.text_of(class, x, y, LEGIBLE, lean, line, &node.name);
        }
        bond(pen, node.bonded, node.kind, at.area);
    }
}

impl Placed {
    fn shift(&mut self, dx: f64, dy: f64) {
        for node in &mut self.nodes {
            node.area.x += dx;
            node.area.y += dy;
            node.left.iter_mut().chain(&mut node.right).for_each(|y| *y += dy);
        }
        for wire in &mut self.wires {
            wire.corners.iter_mut().for_each(|c| *c = (c.0 + dx, c.1 + dy));
            if let Some(flag) = &mut wire.flag {
                flag.x += dx;
                flag.y += dy;
            }
            wire.device = wire.device.map(|(x, y)| (x + dx, y + dy));
        }
        self.columns.iter_mut().for_each(|c| *c = (c.0 + dx, c.1 + dx));
    }
}

/// Paths of all wires; a level wire hops over the upright ones it crosses.
fn routes(net: &Net, placed: &Placed) -> Vec<String> {
    let mut uprights: Vec<(usize, f64, f64, f64)> = Vec::new();
    for (wire, at) in placed.wires.iter().enumerate() {
        for pair in at.corners.windows(2) {
            if (pair[0].0 - pair[1].0).abs() < 1e-6 {
                uprights.push((wire, pair[0].0, pair[0].1.min(pair[1].1), pair[0].1.max(pair[1].1)));
            }
        }
    }
    let mut paths = vec![String::new(); net.wires.len()];
    for (wire, at) in placed.wires.iter().enumerate() {
        let d = &mut paths[wire];
        let Some(first) = at.corners.first() else { continue };
        let _ = write!(d, "M{} {}", n(first.0), n(first.1));
        for pair in at.corners.windows(2) {
            let ((x1, y1), (x2, y2)) = (pair[0], pair[1]);
            if (y1 - y2).abs() < 1e-6 {
                let (from, to) = (x1.min(x2), x1.max(x2));
                let mut hops: Vec<f64> = uprights
                    .iter()
                    .filter(|u| {
                        u.0 != wire && u.1 > from + HOP && u.1 < to - HOP && y1 > u.2 + 0.1 && y1 < u.3 - 0.1
                    })
                    .map(|u| u.1)
                    .collect();
                hops.sort_by(f64::total_cmp);
                hops.dedup();
                for x in hops {
                    let _ = write!(d, "L{} {}a{HOP} {HOP} 0 0 1 {} 0", n(x - HOP), n(y1), n(2.0 * HOP));
                }
            }
            let _ = write!(d, "L{} {}", n(x2), n(y2));
        }
    }
    paths
}

fn wire_line(pen: &mut Pen, kind: WireKind, d: String, of: &str) {
    match kind {
        WireKind::Dc => pen.titled("wire-dc", d, of, of),
        WireKind::Ac => pen.titled("wire-ac", d, of, of),
        // A double hairline: ink with paper inside.
        WireKind::Split => {
            pen.titled("wire-split", d.clone(), of, of);
            pen.titled("wire-split-core", d, of, of);
        }
        WireKind::Ground => pen.titled("wire-ground", d, of, of),
    }
}

fn flag_outline(a: Area) -> String {
    let h = a.height / 2.0;
    format!(
        "M{} {}L{} {}h{}v{}h{}L{} {}z",
        n(a.x),
        n(a.y + h),
        n(a.x + 1.1),
        n(a.y),
        n(a.width - 1.1),
        n(a.height),
        n(1.1 - a.width),
        n(a.x),
        n(a.y + h)
    )
}

/// A bond of neutral and ground stands at the upper right corner of a symbol.
fn bond(pen: &mut Pen, bonded: Bonded, kind: NodeKind, a: Area) {
    // The diagonal of a converter ends in that corner.
    let aside = if kind == NodeKind::Inverter { 4.9 } else { 1.9 };
    let (x, y) = (a.right() - aside, a.y + 1.2);
    match bonded {
        Bonded::No => {}
        Bonded::Yes | Bonded::Relay => {
            let mut d = String::new();
            let _ = write!(
                d,
                "M{} {}v1M{} {}h2.2m-1.8 0.5h1.4m-1 0.5h0.6",
                n(x),
                n(y - 0.6),
                n(x - 1.1),
                n(y + 0.4)
            );
            pen.path("mark", d);
        }
        Bonded::Unknown => {
            pen.path("mark", format!("M{} {}a0.7 0.7 0 1 1 0.9 0.8v0.5m0 0.45v0.25", n(x - 0.9), n(y)));
        }
    }
}

/// What the columns hold, once over neighbours that hold the same.
fn headings(pen: &mut Pen, net: &Net, columns: &Columns, placed: &Placed) {
    let mut spans: Vec<(&str, f64, f64)> = Vec::new();
    for (items, &(from, to)) in columns.columns.iter().zip(&placed.columns) {
        let mut votes: Vec<(&str, usize)> = Vec::new();
        for &item in items {
            let What::Node(node) = columns.items[item] else { continue };
            let word = heading(net.nodes[node].kind);
            match votes.iter_mut().find(|(known, _)| *known == word) {
                Some(vote) => vote.1 += 1,
                None => votes.push((word, 1)),
            }
        }
        let Some(&(word, _)) = votes.iter().rev().max_by_key(|(_, count)| *count) else { continue };
        match spans.last_mut() {
            Some(last) if last.0 == word => last.2 = to,
            _ => spans.push((word, from, to)),
        }
    }
    let y = MARGIN + 3.0;
    for (word, from, to) in spans {
        let middle = (from + to) / 2.0;
        let half = text_width(word, LABEL) / 2.0 + 1.2;
        pen.text("ax", middle, y, LABEL, Anchor::Middle, word);
        let level = y - 0.36 * LABEL;
        if middle - half > from + 1.0 {
            pen.line("frame-thin", from, level, middle - half, level);
            pen.line("frame-thin", middle + half, level, to, level);
        }
    }
}

fn heading(kind: NodeKind) -> &'static str {
    match kind {
        NodeKind::PvString | NodeKind::BatteryUnit | NodeKind::Utility | NodeKind::Generator => "sources",
        NodeKind::Combiner | NodeKind::Switch => "protection",
        NodeKind::Controller | NodeKind::Inverter => "conversion",
        NodeKind::BatteryBus => "battery bus",
        NodeKind::Panel | NodeKind::Transfer | NodeKind::Service | NodeKind::Electrode => "distribution",
        NodeKind::Load => "house",
    }
}

pub(super) enum KeyEntry {
    Wire(WireKind),
    Device(DeviceSymbol),
    Bond,
    BondUnknown,
}

/// Only what the sheet uses is explained.
pub(super) fn key(net: &Net, marks: &[WireMark]) -> Vec<KeyEntry> {
    let mut entries: Vec<KeyEntry> = [WireKind::Dc, WireKind::Ac, WireKind::Split, WireKind::Ground]
        .into_iter()
        .filter(|kind| net.wires.iter().any(|w| w.kind == *kind))
        .map(KeyEntry::Wire)
        .collect();
    for device in [DeviceSymbol::Breaker, DeviceSymbol::Fuse, DeviceSymbol::Switch, DeviceSymbol::FusedSwitch]
    {
        if marks.iter().any(|m| m.device == Some(device)) {
            entries.push(KeyEntry::Device(device));
        }
    }
    if net.nodes.iter().any(|node| matches!(node.bonded, Bonded::Yes | Bonded::Relay)) {
        entries.push(KeyEntry::Bond);
    }
    if net.nodes.iter().any(|node| node.bonded == Bonded::Unknown) {
        entries.push(KeyEntry::BondUnknown);
    }
    entries
}

pub(super) fn draw_key(pen: &mut Pen, key: &[KeyEntry], left: f64, top: f64, rows: usize) {
    for (k, entry) in key.iter().enumerate() {
        let x = left + 44.0 * (k / rows.max(1)) as f64;
        let y = top + KEY_STEP * (k % rows.max(1)) as f64;
        let d = format!("M{} {}h8", n(x), n(y));
        let words = match entry {
            KeyEntry::Wire(kind) => {
                wire_line(pen, *kind, d, "");
                match kind {
                    WireKind::Dc => "direct current",
                    WireKind::Ac => "alternating, two wires",
                    WireKind::Split => "alternating, three wires",
                    WireKind::Ground => "grounding",
                }
            }
            KeyEntry::Device(kind) => {
                pen.path("wire-ac", d);
                let (class, body, strokes) = device(*kind, x + (8.0 - DEVICE_LENGTH) / 2.0, y);
                pen.path(class, body);
                pen.path("mark", strokes);
                kind.in_words()
            }
            KeyEntry::Bond => {
                bond(pen, Bonded::Yes, NodeKind::Panel, Area::new(x, y - 1.2, 5.9, 3.0));
                "neutral bonded to ground"
            }
            KeyEntry::BondUnknown => {
                bond(pen, Bonded::Unknown, NodeKind::Panel, Area::new(x, y - 1.2, 5.9, 3.0));
                "neutral bond not known"
            }
        };
        pen.text("value", x + 9.6, y + 0.36 * LEGIBLE, LEGIBLE, Anchor::Start, words);
    }
}

fn title_block(pen: &mut Pen, title: &TitleBlock, a: Area) {
    pen.path("frame", rect(a));
    let mut d = String::new();
    let _ = write!(d, "M{} {}h{}", n(a.x), n(a.y + 9.0), n(a.width));
    let _ = write!(d, "M{} {}h{}", n(a.x), n(a.y + 15.5), n(a.width));
    let middle = a.x + a.width * 0.5;
    let _ = write!(d, "M{} {}v6.5", n(middle), n(a.y + 15.5));
    pen.path("frame-thin", d);
    let inner = a.width - 4.0;
    pen.text("sheet-title", a.x + 2.0, a.y + 6.2, 4.2, Anchor::Start, &fitted(&title.title, 4.4, inner));
    let rules = if title.rule_set.is_empty() { "rule set not stated" } else { &title.rule_set };
    pen.text(
        "value",
        a.x + 2.0,
        a.y + 13.3,
        LEGIBLE,
        Anchor::Start,
        &fitted(&format!("One-line diagram · {rules}"), LEGIBLE, inner),
    );
    let half = a.width * 0.5 - 4.0;
    pen.text("value", a.x + 2.0, a.y + 19.8, LEGIBLE, Anchor::Start, &fitted(&title.revision, LEGIBLE, half));
    pen.text("value", middle + 2.0, a.y + 19.8, LEGIBLE, Anchor::Start, "not to scale");
}

#[cfg(test)]
pub(super) fn all_sizes_legible(drawing: &Drawing) -> bool {
    drawing
        .shapes
        .iter()
        .all(|shape| !matches!(shape, crate::drawing::Shape::Text { size, .. } if *size < LEGIBLE))
}
