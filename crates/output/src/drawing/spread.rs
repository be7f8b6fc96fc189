//! Months as bars with their spread over the years, and the dullest stretches day by day.

use super::charts::{Form, MONTHS};
use super::pen::{Area, LABEL, Pen, n, rect, text_width};
use super::ticks::ticks;
use super::{Anchor, Drawing};
use quantity::significant;

/// What the line through the bar of a month spans.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Around {
    /// The month in the lowest and in the highest of several years.
    Years,
    /// The lowest and the highest day of the month in one year.
    Days,
}

/// Months: lowest, mean and highest of each; bars to the mean, a line from lowest to highest.
pub fn months_spread(months: &[[f64; 3]; 12], unit: &str, around: Around, form: Form) -> Drawing {
    let top = months.iter().map(|m| m[2]).filter(|v| v.is_finite()).fold(0.0, f64::max).max(1e-9);
    let axis = ticks(0.0, top, 4);
    let left = axis.values.iter().map(|v| text_width(&significant(*v, 4), LABEL)).fold(0.0, f64::max) + 2.0;
    let mut pen = Pen::new(form.width(), 66.0);
    let field = Area::new(left, 7.0, form.width() - left, 43.0);
    let py = |value: f64| field.bottom() - field.height * axis.share(value.max(0.0));
    for value in &axis.values {
        pen.line("grid", field.x, py(*value), field.right(), py(*value));
        let text = significant(*value, 4);
        pen.text("ax", field.x - 1.4, py(*value) + 0.36 * LABEL, LABEL, Anchor::End, &text);
    }
    pen.text("ax", 0.0, 3.2, LABEL, Anchor::Start, unit);
    for (month, name) in MONTHS.iter().enumerate() {
        let [low, mean, high] = months[month].map(|v| if v.is_finite() { v } else { 0.0 });
        let slot = field.width / 12.0;
        let (x, w) = (field.x + slot * (month as f64 + 0.17), slot * 0.66);
        let over = if around == Around::Years { "over the years" } else { "on single days" };
        let title = format!("{name}: {mean:.2} {unit}, {low:.2} to {high:.2} {over}");
        pen.titled("sun", rect(Area::new(x, py(mean), w, field.bottom() - py(mean))), "", &title);
        if high > low {
            let middle = x + w / 2.0;
            let d = format!(
                "M{m} {l}V{h}M{a} {l}h{r}M{a} {h}h{r}",
                m = n(middle),
                l = n(py(low)),
                h = n(py(high)),
                a = n(middle - w * 0.2),
                r = n(w * 0.4)
            );
            pen.titled("brace", d, "", &title);
        }
        let short = if form == Form::Wide { *name } else { &name[..1] };
        pen.text("ax", x + w / 2.0, field.bottom() + 4.4, LABEL, Anchor::Middle, short);
    }
    pen.line("axis", field.x, field.bottom(), field.right(), field.bottom());
    let key = match around {
        Around::Years => "bar: mean of all years; line: lowest to highest year",
        Around::Days => "bar: mean day; line: lowest to highest day of the month",
    };
    pen.text("ax", field.x, field.bottom() + 11.0, LABEL, Anchor::Start, key);
    pen.drawing
}

/// One dull stretch.
#[derive(Clone, Debug, PartialEq)]
pub struct DullStretch {
    /// "3 to 7 January, year 4".
    pub name: String,
    /// Light of each day, kWh/m².
    pub days: Vec<f64>,
    /// Mean day of that month over all years, kWh/m².
    pub usual: f64,
}

/// Dull stretches under each other, each day a bar, with the usual day of the month as a line across.
pub fn dull_stretches(stretches: &[DullStretch], unit: &str, form: Form) -> Drawing {
    const ROW: f64 = 17.0;
    let top = stretches
        .iter()
        .flat_map(|s| s.days.iter().copied().chain([s.usual]))
        .filter(|v| v.is_finite())
        .fold(0.0, f64::max)
        .max(1e-9);
    let decimals = if top < 0.3 { 2 } else { 1 };
    let longest = stretches.iter().map(|s| text_width(&s.name, LABEL)).fold(0.0, f64::max);
    let over = longest > form.width() * 0.4;
    let left = if over { 0.0 } else { longest + 3.0 };
    let head = 6.0;
    // A name above its bars stands nearer to them than to the row before.
    let row = if over { ROW + 8.0 } else { ROW };
    let mut pen = Pen::new(form.width(), head + row * stretches.len() as f64 + 8.0);
    pen.text("ax", 0.0, 3.2, LABEL, Anchor::Start, unit);
    let room = form.width() - left - text_width("00.00 usual", LABEL) - 2.0;
    for (index, stretch) in stretches.iter().enumerate() {
        let floor = head + row * (index as f64 + 1.0) - 5.0;
        let py = |value: f64| floor - (ROW - 6.5) * value.max(0.0) / top;
        if over {
            pen.text("ax", 0.0, floor - ROW + 3.2, LABEL, Anchor::Start, &stretch.name);
        } else {
            pen.text("ax", 0.0, floor - 1.0, LABEL, Anchor::Start, &stretch.name);
        }
        let slot = room / stretch.days.len().max(1) as f64;
        for (day, value) in stretch.days.iter().enumerate() {
            let x = left + slot * (day as f64 + 0.15);
            let area = Area::new(x, py(*value), slot * 0.7, floor - py(*value));
            pen.titled("sun", rect(area), "", &format!("day {}: {value:.2} {unit}", day + 1));
            let text = format!("{value:.decimals$}");
            pen.text("value", x + slot * 0.35, floor + 3.8, LABEL, Anchor::Middle, &text);
        }
        pen.line("axis", left, floor, left + room, floor);
        pen.line("limit-soft", left, py(stretch.usual), left + room, py(stretch.usual));
        let usual = format!("{:.decimals$} usual", stretch.usual);
        let y = py(stretch.usual) + 0.36 * LABEL;
        pen.text("ax", left + room + 1.0, y, LABEL, Anchor::Start, &usual);
    }
    let key = "bars: each day; broken line: the usual day of that time of year";
    pen.text("ax", 0.0, head + row * stretches.len() as f64 + 5.0, LABEL, Anchor::Start, key);
    pen.drawing
}
