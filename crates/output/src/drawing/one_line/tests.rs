//! Hand-made and random systems: everything appears once, nothing lies on anything else.
#![allow(clippy::unwrap_used)]

use super::*;
use crate::drawing::pen::text_width;
use crate::drawing::{Anchor, svg};
use quantity::{Fact, FieldPath, Reason, WhoKnows, practice};
use std::sync::Arc;
use wiring::{CircuitId, Demand, GeneratorSupply, Node, NodeId, PvStrings};

/// A system under construction.
pub(super) struct Made {
    pub(super) graph: Graph,
    pub(super) marks: Vec<Mark>,
}

fn unknown<T>() -> Fact<T> {
    Fact::unknown("test", WhoKnows::Owner)
}

impl Made {
    fn new() -> Self {
        Made { graph: Graph::default(), marks: Vec::new() }
    }
    fn node(&mut self, kind: NodeKind, name: &str, building: &str) -> NodeId {
        let bond = match kind {
            NodeKind::Inverter => Some(Fact::unknown("bond", WhoKnows::Owner)),
            NodeKind::Service => {
                let reason = Reason {
                    field: FieldPath::new("test"),
                    because: "usual at the service".into(),
                    moves: "".into(),
                    clause: practice("test"),
                };
                Some(Fact::assumed(NeutralBond::Fitted, reason))
            }
            _ => None,
        };
        self.graph.add(Node {
            name: Arc::from(name),
            kind,
            building: Arc::from(building),
            bond,
            interactive: None,
            stack: None,
        })
    }
    fn join(&mut self, from: NodeId, to: NodeId, ac_wires: u32, device: Option<DeviceSymbol>) -> CircuitId {
        let dc = ac_wires == 0;
        let demand = if dc {
            Demand::PvStrings(PvStrings {
                in_parallel: unknown(),
                isc: unknown(),
                imp: unknown(),
                vmp: unknown(),
                voc_cold: unknown(),
                series_fuse: unknown(),
                strings_on_the_input: unknown(),
                back_feed: unknown(),
            })
        } else {
            Demand::GeneratorSupply(GeneratorSupply {
                rated: unknown(),
                volts: unknown(),
                fault: unknown().into(),
            })
        };
        let name = format!("c{}", self.graph.circuits.len() + 1);
        self.marks.push(Mark { circuit: name.clone(), device, label: String::new() });
        self.graph.join(Circuit {
            name: Arc::from(name.as_str()),
            from,
            to,
            demand,
            run: None,
            conductors: if dc { 2 } else { ac_wires },
            carrying: 2,
            poles: 1,
        })
    }
    fn title(&self) -> TitleBlock {
        TitleBlock { title: "Test house".into(), revision: "revision 3".into(), rule_set: "NEC 2023".into() }
    }
    fn draw(&self) -> Drawing {
        one_line(&self.graph, &self.marks, &self.title())
    }
}

use DeviceSymbol::{Breaker, Fuse, FusedSwitch, Switch};
use NodeKind::*;

/// One string, one battery, one inverter of 120 V, a generator.
pub(super) fn cabin() -> Made {
    let mut m = Made::new();
    let string = m.node(PvString, "south roof", "");
    let controller = m.node(Controller, "charge controller", "");
    let battery = m.node(BatteryUnit, "lead-acid bank", "");
    let bus = m.node(BatteryBus, "battery bus", "");
    let inverter = m.node(Inverter, "inverter", "");
    let generator = m.node(Generator, "generator", "");
    let panel = m.node(Panel, "cabin panel", "");
    let rod = m.node(Electrode, "ground rod", "");
    m.join(string, controller, 0, Some(Switch));
    m.join(controller, bus, 0, Some(Breaker));
    m.join(battery, bus, 0, Some(Fuse));
    m.join(bus, inverter, 0, Some(Breaker));
    m.join(generator, inverter, 2, Some(Breaker));
    m.join(inverter, panel, 2, Some(Breaker));
    for load in ["lights", "refrigerator", "pump"] {
        let load = m.node(Load, load, "");
        m.join(panel, load, 2, Some(Breaker));
    }
    m.join(panel, rod, 2, None);
    m
}

/// Two stacked inverters at 120/240 V, three strings on a rack, utility through a manual transfer device.
pub(super) fn farmhouse() -> Made {
    let mut m = Made::new();
    let inverters = [m.node(Inverter, "inverter A", "workshop"), m.node(Inverter, "inverter B", "workshop")];
    let bus = m.node(BatteryBus, "battery bus", "workshop");
    for (k, &inverter) in inverters.iter().enumerate() {
        for s in 0..2 - k {
            let string = m.node(PvString, &format!("rack row {}", k * 2 + s + 1), "rack");
            m.join(string, inverter, 0, Some(Switch));
        }
        m.join(bus, inverter, 0, Some(Fuse));
    }
    for k in 0..6 {
        let unit = m.node(BatteryUnit, &format!("battery {}", k + 1), "workshop");
        m.join(unit, bus, 0, Some(Breaker));
    }
    let utility = m.node(Utility, "utility", "");
    let service = m.node(Service, "meter and main", "house");
    let transfer = m.node(Transfer, "manual transfer", "house");
    let collect = m.node(Panel, "inverter panel", "workshop");
    let panel = m.node(Panel, "house panel", "house");
    let rod = m.node(Electrode, "electrodes", "house");
    m.join(utility, service, 3, None);
    m.join(service, transfer, 3, Some(Breaker));
    for inverter in inverters {
        m.join(inverter, collect, 2, Some(Breaker));
    }
    m.join(collect, transfer, 3, Some(Breaker));
    m.join(transfer, panel, 3, None);
    m.join(service, rod, 2, None);
    for load in
        ["well pump", "range", "lights up", "lights down", "kitchen", "heat pump", "washer", "freezer"]
    {
        let load = m.node(Load, load, "house");
        m.join(panel, load, if load.0.is_multiple_of(3) { 3 } else { 2 }, Some(Breaker));
    }
    m
}

/// Sixty modules in six strings, four inverters, two banks, two generators' worth of everything.
pub(super) fn large() -> Made {
    let mut m = Made::new();
    let buses = [m.node(BatteryBus, "bank bus east", "barn"), m.node(BatteryBus, "bank bus west", "barn")];
    let output = m.node(Panel, "inverter output panel", "barn");
    let transfer = m.node(Transfer, "transfer", "house");
    let main = m.node(Panel, "main panel", "house");
    let sub = m.node(Panel, "workshop panel", "workshop");
    let input = m.node(Panel, "generator distribution", "barn");
    for k in 0..4 {
        let inverter = m.node(Inverter, &format!("inverter {}", k + 1), "barn");
        m.join(buses[k / 2], inverter, 0, Some(FusedSwitch));
        m.join(input, inverter, 3, Some(Breaker));
        m.join(inverter, output, 3, Some(Breaker));
    }
    for k in 0..3 {
        let controller = m.node(Controller, &format!("controller {}", k + 1), "barn");
        let combiner = m.node(Combiner, &format!("combiner {}", k + 1), "array");
        let switch = m.node(NodeKind::Switch, &format!("array switch {}", k + 1), "barn");
        for s in 0..2 {
            let string = m.node(PvString, &format!("field row {} string {}", k + 1, s + 1), "array");
            m.join(string, combiner, 0, Some(Fuse));
        }
        m.join(combiner, switch, 0, None);
        m.join(switch, controller, 0, None);
        m.join(controller, buses[k % 2], 0, Some(Breaker));
    }
    for k in 0..8 {
        let unit = m.node(BatteryUnit, &format!("unit {}", k + 1), "barn");
        m.join(unit, buses[k / 4], 0, Some(Fuse));
    }
    let generator = m.node(Generator, "generator", "barn");
    m.join(generator, input, 3, Some(Breaker));
    let utility = m.node(Utility, "utility", "");
    let service = m.node(Service, "service", "house");
    let rod = m.node(Electrode, "electrodes", "house");
    m.join(utility, service, 3, None);
    m.join(service, transfer, 3, Some(Breaker));
    m.join(service, rod, 2, None);
    m.join(output, transfer, 3, Some(Breaker));
    m.join(transfer, main, 3, None);
    m.join(main, sub, 3, Some(Breaker));
    for k in 0..14 {
        let load = m.node(Load, &format!("house circuit {}", k + 1), "house");
        m.join(main, load, 2 + u32::from(k % 4 == 0), Some(Breaker));
    }
    for k in 0..5 {
        let load = m.node(Load, &format!("shop circuit {}", k + 1), "workshop");
        m.join(sub, load, 2, Some(Breaker));
    }
    m
}

/// Numbers from a seed, the same on every machine (a linear congruential generator, constants of Knuth's MMIX).
struct Dice(u64);

impl Dice {
    fn below(&mut self, sides: usize) -> usize {
        self.0 = self.0.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
        ((self.0 >> 33) as usize) % sides.max(1)
    }
    fn device(&mut self) -> Option<DeviceSymbol> {
        [None, Some(Breaker), Some(Fuse), Some(Switch), Some(FusedSwitch)][self.below(5)]
    }
}

fn random(seed: u64) -> Made {
    let mut dice = Dice(seed);
    let mut m = Made::new();
    let mut all = Vec::new();
    let buses: Vec<NodeId> =
        (0..dice.below(3)).map(|k| m.node(BatteryBus, &format!("bus {k}"), "shed")).collect();
    let panels: Vec<NodeId> =
        (0..1 + dice.below(4)).map(|k| m.node(Panel, &format!("panel number {k}"), "house")).collect();
    let inverters: Vec<NodeId> =
        (0..1 + dice.below(5)).map(|k| m.node(Inverter, &format!("inverter {k}"), "")).collect();
    for &inverter in &inverters {
        if let Some(&bus) = buses.get(dice.below(buses.len())) {
            let device = dice.device();
            m.join(bus, inverter, 0, device);
        }
        let panel = panels[dice.below(panels.len())];
        let device = dice.device();
        m.join(inverter, panel, 2 + dice.below(2) as u32, device);
        if dice.below(4) == 0 {
            // A panel that also feeds an inverter may close a ring.
            let panel = panels[dice.below(panels.len())];
            m.join(panel, inverter, 2, None);
        }
    }
    for pair in panels.windows(2) {
        let device = dice.device();
        m.join(pair[0], pair[1], 3, device);
    }
    for k in 0..dice.below(9) {
        let string = m.node(PvString, &format!("a rather long name of a string {k}"), "roof");
        let device = dice.device();
        match (dice.below(3), buses.first()) {
            (0, Some(&bus)) => {
                let controller = m.node(Controller, &format!("controller {k}"), "shed");
                m.join(string, controller, 0, device);
                m.join(controller, bus, 0, None);
            }
            (1, _) => {
                let combiner = m.node(Combiner, &format!("combiner {k}"), "");
                m.join(string, combiner, 0, device);
                m.join(combiner, inverters[dice.below(inverters.len())], 0, None);
            }
            _ => {
                m.join(string, inverters[dice.below(inverters.len())], 0, device);
            }
        }
    }
    for &bus in &buses {
        for k in 0..dice.below(7) {
            let unit = m.node(BatteryUnit, &format!("unit {} {k}", bus.0), "shed");
            m.join(unit, bus, 0, Some(Fuse));
        }
    }
    for (kind, name) in [(Utility, "utility"), (Generator, "generator")] {
        if dice.below(2) == 0 {
            let source = m.node(kind, name, "");
            let target = if dice.below(2) == 0 { panels[0] } else { inverters[0] };
            if dice.below(2) == 0 {
                let transfer = m.node(Transfer, &format!("transfer of {name}"), "");
                m.join(source, transfer, 3, None);
                m.join(transfer, target, 3, Some(Breaker));
            } else {
                m.join(source, target, 3, Some(Breaker));
            }
        }
    }
    for &panel in &panels {
        for k in 0..dice.below(12) {
            let load = m.node(Load, &format!("load {k} of panel {}", panel.0), "house");
            let device = dice.device();
            m.join(panel, load, 2, device);
        }
        all.push(panel);
    }
    if dice.below(2) == 0 {
        let rod = m.node(Electrode, "electrode", "");
        m.join(panels[0], rod, 2, None);
    }
    if dice.below(3) == 0 {
        // Something not yet connected.
        m.node(Controller, "spare controller", "shed");
    }
    m
}

/// A shape on the sheet as the checks see it.
#[derive(Clone, Debug)]
struct Seen {
    class: &'static str,
    of: String,
    /// Left, top, right, bottom.
    area: [f64; 4],
    segments: Vec<[f64; 4]>,
}

/// Reads the path commands the drawing uses, upper and lower case `M L H V A Q` and `z`; arcs count as their chord,
/// and reach out by their radius.
fn seen(drawing: &Drawing) -> Vec<Seen> {
    drawing
        .shapes
        .iter()
        .map(|shape| match shape {
            Shape::Path { d, class, of, .. } => {
                let (area, segments) = traced(d);
                Seen { class, of: of.clone(), area, segments }
            }
            Shape::Text { x, y, size, anchor, class, of, text } => {
                // A tenth is taken off because the measure is generous.
                let w = text_width(text, *size) * 0.9;
                let left = match anchor {
                    Anchor::Start => *x,
                    Anchor::Middle => x - w / 2.0,
                    Anchor::End => x - w,
                };
                let area = [left, y - 0.75 * size, left + w, y + 0.2 * size];
                Seen { class, of: of.clone(), area, segments: vec![] }
            }
        })
        .collect()
}

fn traced(d: &str) -> ([f64; 4], Vec<[f64; 4]>) {
    let mut spaced = String::new();
    for c in d.chars() {
        if c.is_ascii_alphabetic() {
            spaced.push_str(&format!(" {c} "));
        } else if c == '-' {
            spaced.push_str(" -");
        } else {
            spaced.push(c);
        }
    }
    let mut tokens = spaced.split_whitespace().peekable();
    let (mut x, mut y, mut start) = (0.0, 0.0, (0.0, 0.0));
    let mut area = [f64::INFINITY, f64::INFINITY, f64::NEG_INFINITY, f64::NEG_INFINITY];
    let mut segments = Vec::new();
    let mut command = 'M';
    while let Some(token) = tokens.peek() {
        if token.starts_with(|c: char| c.is_ascii_alphabetic()) {
            command = token.chars().next().unwrap();
            tokens.next();
        }
        let mut number = || tokens.next().unwrap().parse::<f64>().unwrap();
        let before = (x, y);
        let mut reach = 0.0;
        let relative = command.is_ascii_lowercase();
        let (ox, oy) = if relative { (x, y) } else { (0.0, 0.0) };
        match command.to_ascii_uppercase() {
            'M' | 'L' => (x, y) = (ox + number(), oy + number()),
            'H' => x = ox + number(),
            'V' => y = oy + number(),
            'A' => {
                reach = number();
                for _ in 0..4 {
                    number();
                }
                (x, y) = (ox + number(), oy + number());
            }
            'Q' => {
                number();
                number();
                (x, y) = (ox + number(), oy + number());
            }
            'Z' => (x, y) = start,
            other => panic!("{other} in {d}"),
        }
        if command.eq_ignore_ascii_case(&'M') {
            start = (x, y);
            command = if relative { 'l' } else { 'L' };
        } else {
            segments.push([before.0, before.1, x, y]);
        }
        for (px, py) in [before, (x, y)] {
            if segments.is_empty() && (px, py) == before {
                continue;
            }
            area = [area[0].min(px), area[1].min(py - reach), area[2].max(px), area[3].max(py + reach)];
        }
    }
    (area, segments)
}

fn overlap(a: [f64; 4], b: [f64; 4]) -> bool {
    const TOUCH: f64 = 0.05;
    a[0] < b[2] - TOUCH && b[0] < a[2] - TOUCH && a[1] < b[3] - TOUCH && b[1] < a[3] - TOUCH
}

/// Every complaint about a sheet.
fn complaints(made: &Made, drawing: &Drawing) -> Vec<String> {
    let mut found = Vec::new();
    let symbols = symbols_of(drawing);
    let flags = flags_of(drawing);
    for node in &made.graph.nodes {
        if symbols.get(&*node.name) != Some(&1) {
            found.push(format!("node {} appears {:?} times", node.name, symbols.get(&*node.name)));
        }
    }
    for circuit in &made.graph.circuits {
        if flags.get(&*circuit.name) != Some(&1) {
            found.push(format!("circuit {} appears {:?} times", circuit.name, flags.get(&*circuit.name)));
        }
    }
    if symbols.len() != made.graph.nodes.len() || flags.len() != made.graph.circuits.len() {
        found.push("something is drawn that is not in the graph".into());
    }
    let all = seen(drawing);
    let is_wire = |s: &Seen| s.class.starts_with("wire-") && !s.of.is_empty();
    let texts = ["value", "ax", "flag-text", "sheet-title"];
    // A flag's letters and its outline belong together; so do a frame and what is in it.
    let solid: Vec<&Seen> = all
        .iter()
        .filter(|s| {
            matches!(s.class, "symbol" | "device" | "device-open" | "flag") || texts.contains(&s.class)
        })
        .collect();
    for (k, a) in solid.iter().enumerate() {
        if a.area[0] < 0.0 || a.area[1] < 0.0 || a.area[2] > drawing.width || a.area[3] > drawing.height {
            found.push(format!("{} {} leaves the sheet", a.class, a.of));
        }
        for b in &solid[k + 1..] {
            let belongs = a.of == b.of && (a.class == "flag-text" || b.class == "flag-text");
            if !belongs && overlap(a.area, b.area) {
                found.push(format!("{} {} lies on {} {}", a.class, a.of, b.class, b.of));
            }
        }
    }
    for wire in all.iter().filter(|s| is_wire(s)) {
        for s in &wire.segments {
            let level = [s[0].min(s[2]), s[1].min(s[3]) - 0.06, s[0].max(s[2]), s[1].max(s[3]) + 0.06];
            let level = if (s[0] - s[2]).abs() < 0.01 {
                [level[0] - 0.06, s[1].min(s[3]), level[2] + 0.06, s[1].max(s[3])]
            } else {
                level
            };
            for thing in &solid {
                let own = thing.of == wire.of
                    && matches!(thing.class, "flag" | "flag-text" | "device" | "device-open");
                if !own && overlap(level, thing.area) {
                    found.push(format!("wire {} runs through {} {}", wire.of, thing.class, thing.of));
                }
            }
        }
    }
    // No two wires lie on each other along a stretch.
    let lines: Vec<(&str, [f64; 4])> = all
        .iter()
        .filter(|s| is_wire(s) && s.class != "wire-split-core")
        .flat_map(|s| s.segments.iter().map(|seg| (s.of.as_str(), *seg)))
        .collect();
    for (k, (of, a)) in lines.iter().enumerate() {
        for (other, b) in &lines[k + 1..] {
            if of == other {
                continue;
            }
            let along = |u: usize, v: usize| {
                (a[u] - a[u + 2]).abs() < 0.01
                    && (b[u] - b[u + 2]).abs() < 0.01
                    && (a[u] - b[u]).abs() < 0.3
                    && a[v].min(a[v + 2]) < b[v].max(b[v + 2]) - 0.1
                    && b[v].min(b[v + 2]) < a[v].max(a[v + 2]) - 0.1
            };
            if along(0, 1) || along(1, 0) {
                found.push(format!("wires {of} and {other} lie on each other"));
            }
        }
    }
    // Every wire is drawn from one of its nodes to the other.
    for circuit in &made.graph.circuits {
        let wire = all.iter().find(|s| is_wire(s) && s.of == *circuit.name).unwrap();
        let (first, last) = (wire.segments.first().unwrap(), wire.segments.last().unwrap());
        let ends = [(first[0], first[1]), (last[2], last[3])];
        let area_of = |id: NodeId| {
            all.iter().find(|s| s.class == "symbol" && s.of == *made.graph.nodes[id.0].name).unwrap().area
        };
        let (a, b) = (area_of(circuit.from), area_of(circuit.to));
        let at = |(x, y): (f64, f64), area: [f64; 4]| {
            ((x - area[0]).abs() < 0.02 || (x - area[2]).abs() < 0.02)
                && y > area[1] - 0.02
                && y < area[3] + 0.02
        };
        if !(at(ends[0], a) && at(ends[1], b) || at(ends[0], b) && at(ends[1], a)) {
            found.push(format!("wire {} does not join its nodes: {ends:?} {a:?} {b:?}", circuit.name));
        }
    }
    for shape in &drawing.shapes {
        let (Shape::Path { class, .. } | Shape::Text { class, .. }) = shape;
        if crate::drawing::palette::paint(class).is_none() {
            found.push(format!("class {class} is not in the palette"));
        }
    }
    if !sheet::all_sizes_legible(drawing) {
        found.push("letters too small".into());
    }
    let printed = svg::print(drawing);
    for text in [&printed, &svg::inline(drawing, "one-line", "One-line diagram", "Sources left, house right")]
    {
        if let Err(error) = roxmltree::Document::parse(text) {
            found.push(format!("not XML: {error}"));
        }
    }
    found
}

fn check(name: &str, made: &Made) {
    let narrow = one_line_narrow(&made.graph, &made.marks, &made.title());
    for (form, drawing) in [("sheet", made.draw()), ("narrow", narrow)] {
        if let Some(folder) = std::env::var_os("WATTWRIGHT_PICTURES") {
            let file = std::path::Path::new(&folder).join(format!("{name}-{form}.svg"));
            std::fs::write(file, svg::print(&drawing)).unwrap();
        }
        let found = complaints(made, &drawing);
        assert!(
            found.is_empty(),
            "{name} {form}: {} complaints, first {:#?}",
            found.len(),
            &found[..found.len().min(8)]
        );
    }
}

#[test]
fn a_phone_sees_each_piece_below_what_feeds_it() {
    let made = farmhouse();
    let drawing = one_line_narrow(&made.graph, &made.marks, &made.title());
    assert!(drawing.width <= crate::drawing::Form::Phone.width(), "{} mm", drawing.width);
    let top_of = |id: NodeId| {
        let name = &made.graph.nodes[id.0].name;
        seen(&drawing).iter().find(|s| s.class == "symbol" && s.of == **name).unwrap().area[1]
    };
    for circuit in &made.graph.circuits {
        let (from, to) = (top_of(circuit.from), top_of(circuit.to));
        let turned = made.graph.nodes[circuit.to.0].kind.is_source();
        assert!((from < to) != turned, "{}", circuit.name);
    }
}

#[test]
fn a_cabin_with_one_string_is_drawn_cleanly() {
    check("cabin", &cabin());
}

#[test]
fn a_farmhouse_with_two_stacked_inverters_is_drawn_cleanly() {
    check("farmhouse", &farmhouse());
}

#[test]
fn sixty_modules_four_inverters_and_two_banks_are_drawn_cleanly() {
    check("large", &large());
}

#[test]
fn a_hundred_random_systems_are_drawn_cleanly() {
    for seed in 0..100 {
        check(&format!("random-{seed}"), &random(seed));
    }
}

#[test]
fn an_empty_graph_gives_an_empty_sheet() {
    check("empty", &Made::new());
}

#[test]
fn simple_systems_have_no_crossing() {
    for made in [cabin(), farmhouse()] {
        let drawing = made.draw();
        let hops = drawing.shapes.iter().filter(|s| {
            matches!(s, Shape::Path { d, class, of, .. } if class.starts_with("wire-") && !of.is_empty() && d.contains('a'))
        });
        assert!(hops.count() <= 1, "a sheet this small needs at most one hop");
    }
}

#[test]
fn the_same_graph_gives_the_same_sheet() {
    assert_eq!(svg::print(&large().draw()), svg::print(&large().draw()));
}

#[test]
fn a_circuit_that_leads_nowhere_is_left_to_the_graphs_own_problems() {
    let mut made = cabin();
    made.join(NodeId(0), NodeId(99), 0, None);
    made.join(NodeId(1), NodeId(1), 0, None);
    let flags = flags_of(&made.draw());
    assert_eq!(flags.len(), made.graph.circuits.len() - 2);
}

#[test]
fn long_identifiers_are_shown_whole() {
    let mut made = farmhouse();
    for mark in &mut made.marks {
        mark.label = format!("{} from here to there", mark.circuit);
    }
    check("long", &made);
    let drawing = made.draw();
    for mark in &made.marks {
        let whole =
            drawing.shapes.iter().any(|s| matches!(s, Shape::Text { text, .. } if *text == mark.label));
        assert!(whole, "{}", mark.label);
    }
}

#[test]
fn a_shorter_identifier_from_the_schedule_stands_in_the_flag() {
    let mut made = cabin();
    made.marks[0].label = "W-7".into();
    let drawing = made.draw();
    assert!(
        drawing
            .shapes
            .iter()
            .any(|s| matches!(s, Shape::Text { text, of, .. } if text == "W-7" && of == "c1"))
    );
    assert_eq!(elements(&drawing).get("c1"), Some(&1));
}
