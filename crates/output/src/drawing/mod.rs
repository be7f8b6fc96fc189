//! A drawing is a value first: shapes in millimetres with classes. Colours are chosen where it is shown.

pub mod palette;
pub mod svg;

mod charge_map;
mod charts;
mod light_map;
mod on_paper;
mod one_line;
mod pen;
mod plane_map;
mod spread;
mod string_map;
mod sun_path;
mod ticks;
mod trade_off;

pub use charge_map::{ChargeHours, charge_map, charge_map_days};
pub(crate) use charts::month_starts;
pub use charts::{Form, Limit, Line, bars, line_with_band, months_beside, months_stacked, sun_hours};
pub use light_map::{LIGHT_CLASSES_W_M2, light_map};
pub use on_paper::{OnPaper, on_paper};
pub use one_line::{
    DeviceSymbol, Mark, TitleBlock, elements, flags_of, one_line, one_line_narrow, symbols_of,
};
pub use pen::{LABEL, LEGIBLE, text_width};
pub use plane_map::{PlaneGrid, plane_map};
pub use spread::{Around, DullStretch, dull_stretches, months_spread};
pub use string_map::{PlacedModule, PlaneLayout, StringOnPlane, string_map};
pub use sun_path::{SkyFrame, SkyPoint, SunPath, sun_path};
pub use ticks::{Ticks, ticks};
pub use trade_off::{Dot, DotKind, trade_off};

/// Shapes on a sheet, in millimetres, y downwards.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Drawing {
    /// Width.
    pub width: f64,
    /// Height.
    pub height: f64,
    /// Shapes, drawn in order.
    pub shapes: Vec<Shape>,
}

/// One shape. `class` names what it means; a page maps classes to its own colours, print to plain ones.
#[derive(Clone, Debug, PartialEq)]
pub enum Shape {
    /// A path in SVG path syntax, coordinates in millimetres.
    Path {
        /// Path data.
        d: String,
        /// Class.
        class: &'static str,
        /// Identifier of the thing it stands for, empty where there is none.
        of: String,
        /// Shown on hover and to screen readers, empty where there is none.
        title: String,
    },
    /// A text line.
    Text {
        /// Anchor point.
        x: f64,
        /// Baseline.
        y: f64,
        /// Height of the letters, millimetres.
        size: f64,
        /// Which way it leans from the anchor.
        anchor: Anchor,
        /// Class.
        class: &'static str,
        /// Identifier of the thing it stands for.
        of: String,
        /// Text.
        text: String,
    },
}

/// Which part of a text stands at its point.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(missing_docs)]
pub enum Anchor {
    Start,
    Middle,
    End,
}
