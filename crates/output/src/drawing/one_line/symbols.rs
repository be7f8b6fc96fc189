//! Graphic symbols in the manner of the IEC 60617 and IEEE 315 families, drawn as paths.

use crate::drawing::pen::{Area, n, rect};
use std::fmt::Write;
use wiring::NodeKind;

/// A protective or switching device on a circuit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
#[allow(missing_docs)]
pub enum DeviceSymbol {
    Breaker,
    Fuse,
    Switch,
    /// A fuse and a switch in one housing.
    FusedSwitch,
}

impl DeviceSymbol {
    /// The words for a key.
    pub fn in_words(self) -> &'static str {
        match self {
            DeviceSymbol::Breaker => "breaker",
            DeviceSymbol::Fuse => "fuse",
            DeviceSymbol::Switch => "switch",
            DeviceSymbol::FusedSwitch => "fused switch",
        }
    }
}

/// Length of a device symbol along its wire, millimetres.
pub(super) const DEVICE_LENGTH: f64 = 6.0;

/// Usual width and least height of a symbol; it grows taller with its connections.
pub(super) fn usual_size(kind: NodeKind) -> (f64, f64) {
    match kind {
        NodeKind::PvString => (16.0, 6.4),
        NodeKind::BatteryUnit => (12.0, 6.4),
        NodeKind::Inverter => (14.0, 14.0),
        NodeKind::Controller => (12.0, 12.0),
        NodeKind::Generator => (11.0, 11.0),
        NodeKind::Utility => (10.0, 10.0),
        NodeKind::Service => (11.0, 11.0),
        NodeKind::Transfer => (13.0, 12.0),
        NodeKind::Combiner => (9.0, 9.0),
        NodeKind::Switch => (11.0, 8.0),
        NodeKind::BatteryBus => (4.0, 10.0),
        NodeKind::Panel => (8.0, 12.0),
        NodeKind::Load => (4.0, 4.0),
        NodeKind::Electrode => (7.0, 5.4),
    }
}

/// A symbol in its area: one outline, and the marks inside it as class and path.
pub(super) fn symbol(
    kind: NodeKind,
    a: Area,
    left: &[f64],
    right: &[f64],
) -> (String, Vec<(&'static str, String)>) {
    let (cx, cy) = (a.x + a.width / 2.0, a.y + a.height / 2.0);
    let mut mark = String::new();
    let mut solid = String::new();
    let mut outline = rect(a);
    match kind {
        NodeKind::PvString => modules(&mut mark, a),
        NodeKind::BatteryUnit => plates(&mut mark, a),
        NodeKind::Inverter | NodeKind::Controller => {
            let _ = write!(mark, "M{} {}L{} {}", n(a.x), n(a.bottom()), n(a.right()), n(a.y));
            direct(&mut mark, a.x + a.width * 0.3, a.y + a.height * 0.25);
            let (x, y) = (a.x + a.width * 0.7, a.y + a.height * 0.75);
            if kind == NodeKind::Inverter { sine(&mut mark, x, y, 5.0) } else { direct(&mut mark, x, y) }
        }
        NodeKind::Generator => {
            if left.len() + right.len() <= 1 {
                outline = circle(cx, cy, a.width / 2.0);
            } else {
                mark.push_str(&circle(cx, cy, a.width / 2.0 - 0.8));
            }
            letter_g(&mut mark, cx, cy - 1.1);
            sine(&mut mark, cx, cy + 2.6, 5.0);
        }
        NodeKind::Utility => {
            crate::drawing::pen::hatch(&mut mark, a, 2.5, true);
            crate::drawing::pen::hatch(&mut mark, a, 2.5, false);
        }
        NodeKind::Service => {
            mark.push_str(&circle(cx, cy, 3.6));
            let _ = write!(mark, "M{} {}v-3l1.5 2 1.5-2v3", n(cx - 1.5), n(cy + 1.5));
        }
        NodeKind::Transfer => transfer(&mut mark, a, cx, cy),
        NodeKind::Combiner => joining(&mut mark, &mut solid, a, cx, left, right),
        NodeKind::Switch => {
            let _ = write!(mark, "M{} {}h{}", n(a.x), n(cy), n(a.width * 0.3));
            let _ = write!(mark, "L{} {}", n(a.right() - a.width * 0.3), n(cy - 2.4));
            let _ = write!(mark, "M{} {}h{}", n(a.right() - a.width * 0.3), n(cy), n(a.width * 0.3));
        }
        NodeKind::BatteryBus => {
            solid.push_str(&rect(Area::new(cx - 0.7, a.y + 1.0, 1.4, a.height - 2.0)));
        }
        NodeKind::Panel => {
            solid.push_str(&rect(Area::new(cx - 0.45, a.y + 1.2, 0.9, a.height - 2.4)));
            for &y in left {
                let _ = write!(mark, "M{} {}H{}", n(a.x), n(y), n(cx));
            }
            for &y in right {
                let _ = write!(mark, "M{} {}H{}", n(cx), n(y), n(a.right()));
            }
        }
        NodeKind::Load => {
            outline = format!(
                "M{} {}l{} {}l{} {}z",
                n(a.x),
                n(a.y),
                n(a.width),
                n(a.height / 2.0),
                n(-a.width),
                n(a.height / 2.0)
            );
        }
        NodeKind::Electrode => {
            outline = format!(
                "M{} {}H{}V{}M{} {}h{}M{} {}h{}M{} {}h{}",
                n(a.x),
                n(cy),
                n(cx),
                n(a.bottom() - 2.0),
                n(a.x),
                n(a.bottom() - 2.0),
                n(a.width),
                n(a.x + 1.3),
                n(a.bottom() - 1.0),
                n(a.width - 2.6),
                n(a.x + 2.5),
                n(a.bottom()),
                n(a.width - 5.0)
            );
        }
    }
    let marks = [("mark", mark), ("solid", solid)].into_iter().filter(|(_, d)| !d.is_empty()).collect();
    (outline, marks)
}

/// A device on a wire that runs from left to right through (x + length / 2, y): the class of its body, its body, and
/// its strokes. Contacts part the wire; a fuse lies on it.
pub(super) fn device(kind: DeviceSymbol, x: f64, y: f64) -> (&'static str, String, String) {
    let mut strokes = String::new();
    if kind == DeviceSymbol::Fuse {
        let _ = write!(strokes, "M{} {}h4.8", n(x + 0.6), n(y));
        return ("device", rect(Area::new(x + 0.6, y - 1.2, 4.8, 2.4)), strokes);
    }
    let _ = write!(strokes, "M{} {}l3.9 -2.1", n(x + 0.9), n(y));
    match kind {
        // A cross at the fixed contact breaks, a bar isolates.
        DeviceSymbol::Breaker => {
            let _ = write!(strokes, "M{} {}l1.7 1.7m0 -1.7l-1.7 1.7", n(x + 4.05), n(y - 0.85));
        }
        _ => {
            let _ = write!(strokes, "M{} {}v2", n(x + 4.9), n(y - 1.0));
        }
    }
    if kind == DeviceSymbol::FusedSwitch {
        // A fuse lies along the blade.
        let _ = write!(strokes, "M{} {}l2.2 -1.18l0.48 0.9l-2.2 1.18z", n(x + 1.52), n(y - 0.84));
    }
    ("device-open", rect(Area::new(x + 0.9, y - 2.2, 4.0, 4.2)), strokes)
}

/// Two lines over three dashes: direct current.
pub(super) fn direct(d: &mut String, x: f64, y: f64) {
    let _ =
        write!(d, "M{} {}h4M{} {}h0.8m0.8 0h0.8m0.8 0h0.8", n(x - 2.0), n(y - 0.6), n(x - 2.0), n(y + 0.7));
}

/// One period of a sine: alternating current.
pub(super) fn sine(d: &mut String, x: f64, y: f64, width: f64) {
    let w = width / 4.0;
    let _ = write!(
        d,
        "M{} {}q{} {} {} 0q{} {} {} 0",
        n(x - width / 2.0),
        n(y),
        n(w),
        n(-2.0 * w),
        n(2.0 * w),
        n(w),
        n(2.0 * w),
        n(2.0 * w)
    );
}

pub(in crate::drawing) fn circle(cx: f64, cy: f64, r: f64) -> String {
    format!(
        "M{} {}a{} {} 0 1 1 {} 0a{} {} 0 1 1 {} 0z",
        n(cx - r),
        n(cy),
        n(r),
        n(r),
        n(2.0 * r),
        n(r),
        n(r),
        n(-2.0 * r)
    )
}

fn letter_g(d: &mut String, x: f64, y: f64) {
    let _ = write!(d, "M{} {}a1.6 1.6 0 1 0 0.3 1.2h-1.3", n(x + 1.2), n(y - 1.05));
}

/// Three modules of the string, each with the wedge of a photovoltaic generator.
fn modules(d: &mut String, a: Area) {
    let w = a.width / 3.0;
    for k in 0..3 {
        let x = a.x + w * f64::from(k);
        if k > 0 {
            let _ = write!(d, "M{} {}v{}", n(x), n(a.y), n(a.height));
        }
        let _ = write!(d, "M{} {}L{} {}L{} {}", n(x), n(a.y), n(x + w / 2.0), n(a.y + 2.6), n(x + w), n(a.y));
    }
}

/// Long and short plates.
fn plates(d: &mut String, a: Area) {
    let (cx, cy) = (a.x + a.width / 2.0, a.y + a.height / 2.0);
    for (at, half) in [(-2.1, 2.2), (-0.7, 1.1), (0.7, 2.2), (2.1, 1.1)] {
        let _ = write!(d, "M{} {}v{}", n(cx + at), n(cy - half), n(2.0 * half));
    }
    let _ = write!(d, "M{} {}H{}M{} {}H{}", n(a.x), n(cy), n(cx - 2.1), n(cx + 2.1), n(cy), n(a.right()));
    let _ = write!(d, "M{} {}h1.4m-0.7 -0.7v1.4", n(cx - 4.9), n(cy - 1.7));
}

/// Two throws and a blade on the upper one.
fn transfer(d: &mut String, a: Area, cx: f64, cy: f64) {
    let _ = write!(d, "M{} {}H{}", n(a.right()), n(cy), n(cx + 2.6));
    let _ = write!(d, "L{} {}", n(cx - 1.9), n(cy - 2.8));
    for y in [cy - 3.0, cy + 3.0] {
        let _ = write!(d, "M{} {}H{}", n(a.x), n(y), n(cx - 2.8));
        d.push_str(&circle(cx - 2.2, y, 0.55));
    }
    d.push_str(&circle(cx + 3.0, cy, 0.45));
}

/// Wires that meet on a bar.
fn joining(d: &mut String, solid: &mut String, a: Area, cx: f64, left: &[f64], right: &[f64]) {
    let all = || left.iter().chain(right).copied();
    let (top, bottom) = (all().fold(f64::INFINITY, f64::min), all().fold(f64::NEG_INFINITY, f64::max));
    for &y in left {
        let _ = write!(d, "M{} {}H{}", n(a.x), n(y), n(cx));
        solid.push_str(&circle(cx, y, 0.6));
    }
    for &y in right {
        let _ = write!(d, "M{} {}H{}", n(cx), n(y), n(a.right()));
        solid.push_str(&circle(cx, y, 0.6));
    }
    if bottom > top {
        let _ = write!(d, "M{} {}V{}", n(cx), n(top), n(bottom));
    }
}
