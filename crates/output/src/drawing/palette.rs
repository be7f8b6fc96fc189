//! The one list of classes a drawing may carry, what each means, and how it is inked on a page and in print.
//!
//! Colour means something and nothing else is coloured: ochre comes straight from the sun, teal through the
//! battery, violet from the utility or a generator or is a doubt, deep red is a dark hour or a danger. All else is ink.

use std::fmt::Write;

/// An ink by what it says, not by its colour.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(missing_docs)]
pub enum Ink {
    Ink,
    Soft,
    Faint,
    Rule,
    Hair,
    Paper,
    Sun,
    Battery,
    Backup,
    Dark,
    /// State of charge from 0 (empty) to 9 (full).
    Charge(u8),
    /// Light from the sun from 0 (dull) to 5 (bright).
    Light(u8),
}

/// Where a drawing is shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(missing_docs)]
pub enum Scheme {
    Light,
    Dark,
    Print,
}

/// How one class is inked.
#[derive(Clone, Copy, Debug)]
pub struct Paint {
    /// Class.
    pub class: &'static str,
    /// Area or letters.
    pub fill: Option<Ink>,
    /// Line and its width in millimetres.
    pub stroke: Option<(Ink, f64)>,
    /// Dash lengths in millimetres, empty for a whole line.
    pub dash: &'static str,
    /// Letters: which face, weight and slant.
    pub letters: Letters,
}

/// How letters are set.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(missing_docs)]
pub enum Letters {
    /// The figure face.
    Figure,
    FigureBold,
    /// The text face, leaning.
    Note,
    /// The text face, bold.
    Title,
}

/// Faces a drawing is set in, as CSS font lists.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Faces {
    /// For words.
    pub text: String,
    /// For figures and labels.
    pub figure: String,
}

impl Default for Faces {
    fn default() -> Self {
        Faces {
            text: "\"Charter\", \"Source Serif 4\", \"Noto Serif\", \"DejaVu Serif\", Georgia, serif".into(),
            figure: "\"Seravek\", \"Noto Sans\", \"Liberation Sans\", \"DejaVu Sans\", sans-serif".into(),
        }
    }
}

const fn area(class: &'static str, ink: Ink) -> Paint {
    Paint { class, fill: Some(ink), stroke: None, dash: "", letters: Letters::Figure }
}
const fn line(class: &'static str, ink: Ink, width: f64) -> Paint {
    Paint { class, fill: None, stroke: Some((ink, width)), dash: "", letters: Letters::Figure }
}
const fn dashed(class: &'static str, ink: Ink, width: f64, dash: &'static str) -> Paint {
    Paint { class, fill: None, stroke: Some((ink, width)), dash, letters: Letters::Figure }
}
const fn cell(class: &'static str, fill: Ink, stroke: Ink, width: f64) -> Paint {
    Paint { class, fill: Some(fill), stroke: Some((stroke, width)), dash: "", letters: Letters::Figure }
}
const fn words(class: &'static str, ink: Ink, letters: Letters) -> Paint {
    Paint { class, fill: Some(ink), stroke: None, dash: "", letters }
}

/// Every class, in the order of the style sheets.
pub const CLASSES: &[Paint] = &[
    // Areas of charts.
    area("sun", Ink::Sun),
    area("battery", Ink::Battery),
    area("backup", Ink::Backup),
    area("dark", Ink::Dark),
    area("plain", Ink::Soft),
    area("soft", Ink::Rule),
    area("band", Ink::Hair),
    area("solid", Ink::Ink),
    area("q0", Ink::Charge(0)),
    area("q1", Ink::Charge(1)),
    area("q2", Ink::Charge(2)),
    area("q3", Ink::Charge(3)),
    area("q4", Ink::Charge(4)),
    area("q5", Ink::Charge(5)),
    area("q6", Ink::Charge(6)),
    area("q7", Ink::Charge(7)),
    area("q8", Ink::Charge(8)),
    area("q9", Ink::Charge(9)),
    area("l0", Ink::Light(0)),
    area("l1", Ink::Light(1)),
    area("l2", Ink::Light(2)),
    area("l3", Ink::Light(3)),
    area("l4", Ink::Light(4)),
    area("l5", Ink::Light(5)),
    // Hatching, so that meanings stay apart in grey.
    line("hatch-ink", Ink::Ink, 0.12),
    line("hatch-paper", Ink::Paper, 0.2),
    // Lines of charts.
    line("axis", Ink::Soft, 0.2),
    line("grid", Ink::Rule, 0.15),
    line("gap", Ink::Paper, 0.3),
    line("brace", Ink::Ink, 0.4),
    line("curve", Ink::Ink, 0.5),
    dashed("curve-second", Ink::Ink, 0.35, "1.6 0.9"),
    line("curve-sun", Ink::Sun, 0.5),
    line("curve-battery", Ink::Battery, 0.5),
    line("limit", Ink::Dark, 0.45),
    dashed("limit-soft", Ink::Soft, 0.3, "2.4 0.9 0.5 0.9"),
    // Words.
    words("ax", Ink::Soft, Letters::Figure),
    words("value", Ink::Ink, Letters::Figure),
    words("head", Ink::Ink, Letters::FigureBold),
    words("note", Ink::Ink, Letters::Note),
    words("sheet-title", Ink::Ink, Letters::Title),
    words("danger", Ink::Dark, Letters::Figure),
    words("flag-text", Ink::Ink, Letters::Figure),
    // Engineering drawings.
    cell("symbol", Ink::Paper, Ink::Ink, 0.32),
    line("mark", Ink::Ink, 0.25),
    cell("device", Ink::Paper, Ink::Ink, 0.3),
    area("device-open", Ink::Paper),
    cell("flag", Ink::Paper, Ink::Soft, 0.18),
    // A walk on paper: what is still reached lies on a band, an opened circuit carries its flag in ink.
    line("reached", Ink::Charge(2), 2.6),
    cell("flag-open", Ink::Ink, Ink::Ink, 0.18),
    words("flag-open-text", Ink::Paper, Letters::Figure),
    cell("symbol-here", Ink::Hair, Ink::Ink, 0.8),
    line("wire-dc", Ink::Ink, 0.55),
    line("wire-ac", Ink::Ink, 0.3),
    // Ink with paper inside: a double hairline.
    line("wire-split", Ink::Ink, 0.95),
    line("wire-split-core", Ink::Paper, 0.55),
    dashed("wire-ground", Ink::Ink, 0.3, "1.8 0.9"),
    line("frame", Ink::Ink, 0.35),
    line("frame-thin", Ink::Soft, 0.15),
    // String map.
    cell("module", Ink::Paper, Ink::Ink, 0.2),
    cell("module-tint", Ink::Hair, Ink::Ink, 0.2),
    cell("module-spare", Ink::Paper, Ink::Faint, 0.15),
    line("plane", Ink::Soft, 0.3),
];

/// How a class is inked, if there is such a class.
pub fn paint(class: &str) -> Option<&'static Paint> {
    CLASSES.iter().find(|p| p.class == class)
}

/// Custom property of an ink on a page.
pub fn variable(ink: Ink) -> String {
    match ink {
        Ink::Ink => "--ink".into(),
        Ink::Soft => "--soft".into(),
        Ink::Faint => "--faint".into(),
        Ink::Rule => "--rule".into(),
        Ink::Hair => "--hair".into(),
        Ink::Paper => "--sheet".into(),
        Ink::Sun => "--sun".into(),
        Ink::Battery => "--battery".into(),
        Ink::Backup => "--backup".into(),
        Ink::Dark => "--dark".into(),
        Ink::Charge(n) => format!("--q{n}"),
        Ink::Light(n) => format!("--l{n}"),
    }
}

/// Every ink, in the order of [`variables`].
pub const INKS: [Ink; 26] = [
    Ink::Ink,
    Ink::Soft,
    Ink::Faint,
    Ink::Rule,
    Ink::Hair,
    Ink::Paper,
    Ink::Sun,
    Ink::Battery,
    Ink::Backup,
    Ink::Dark,
    Ink::Charge(0),
    Ink::Charge(1),
    Ink::Charge(2),
    Ink::Charge(3),
    Ink::Charge(4),
    Ink::Charge(5),
    Ink::Charge(6),
    Ink::Charge(7),
    Ink::Charge(8),
    Ink::Charge(9),
    Ink::Light(0),
    Ink::Light(1),
    Ink::Light(2),
    Ink::Light(3),
    Ink::Light(4),
    Ink::Light(5),
];

/// Colour of an ink, as `#rrggbb`.
pub fn colour(ink: Ink, scheme: Scheme) -> &'static str {
    const RAMP: [&str; 10] = [
        "#b9925f", "#c4a273", "#cfb388", "#d9c39f", "#e3d5b9", "#e6e2d2", "#cbdcd3", "#a2c3bf", "#6fa1a2",
        "#3a7a7e",
    ];
    // The light ramp's sandy end glows on a dark page, so the dark page has a ramp of its own.
    const RAMP_AT_NIGHT: [&str; 10] = [
        "#8a6a3c", "#7b6140", "#6a5742", "#584d42", "#474640", "#3b4644", "#355054", "#386468", "#447d81",
        "#5aa3a6",
    ];
    const SUNLIGHT: [&str; 6] = ["#f3e8cd", "#ead5a3", "#dfbd74", "#d0a043", "#b37d1f", "#825614"];
    const SUNLIGHT_AT_NIGHT: [&str; 6] = ["#322d22", "#4a3e26", "#6b5529", "#93712f", "#bd8f38", "#e6ba62"];
    let [light, dark, print] = match ink {
        Ink::Ink => ["#1f2421", "#e6e3d8", "#111111"],
        Ink::Soft => ["#5d625c", "#a9aca1", "#4a4d49"],
        Ink::Faint => ["#8b8f86", "#7d8178", "#84877f"],
        Ink::Rule => ["#ddd8cb", "#363b36", "#c9c5ba"],
        Ink::Hair => ["#ece7db", "#2a2f2b", "#e4e0d6"],
        Ink::Paper => ["#fffdf8", "#1d211e", "#ffffff"],
        Ink::Sun => ["#c98a1b", "#dba13c", "#c98a1b"],
        Ink::Battery => ["#2f6f73", "#5aa3a6", "#2f6f73"],
        Ink::Backup => ["#6a5d8f", "#a597cf", "#6a5d8f"],
        Ink::Dark => ["#a3262a", "#e0625f", "#a3262a"],
        Ink::Charge(n) => {
            let n = usize::from(n.min(9));
            [RAMP[n], RAMP_AT_NIGHT[n], RAMP[n]]
        }
        Ink::Light(n) => {
            let n = usize::from(n.min(5));
            [SUNLIGHT[n], SUNLIGHT_AT_NIGHT[n], SUNLIGHT[n]]
        }
    };
    match scheme {
        Scheme::Light => light,
        Scheme::Dark => dark,
        Scheme::Print => print,
    }
}

/// The custom properties of a page in one scheme: `--ink:#1f2421;…`.
pub fn variables(scheme: Scheme) -> String {
    INKS.iter().fold(String::new(), |mut css, &ink| {
        let _ = write!(css, "{}:{};", variable(ink), colour(ink, scheme));
        css
    })
}

/// Rules for every class on a page, with inks as custom properties; selectors stay inside `svg.fig`.
pub fn page_rules(faces: &Faces) -> String {
    rules("svg.fig ", faces, |ink| format!("var({})", variable(ink)))
}

/// Rules for the classes named, with plain colours: the engine of the typeset book paints `var()` black.
pub fn print_rules(classes: &[&str], faces: &Faces) -> String {
    let all = |p: &Paint| classes.contains(&p.class);
    rules_of(CLASSES.iter().filter(|p| all(p)), "", faces, |ink| colour(ink, Scheme::Print).to_string())
}

fn rules(prefix: &str, faces: &Faces, ink: impl Fn(Ink) -> String) -> String {
    rules_of(CLASSES.iter(), prefix, faces, ink)
}

fn rules_of<'a>(
    classes: impl Iterator<Item = &'a Paint>,
    prefix: &str,
    faces: &Faces,
    ink: impl Fn(Ink) -> String,
) -> String {
    let mut css = format!(
        "{prefix}path{{fill:none;stroke:none}}{prefix}text{{font-family:{};font-variant-numeric:lining-nums tabular-nums}}",
        faces.figure
    );
    for paint in classes {
        let _ = write!(css, "{prefix}.{}{{", paint.class);
        if let Some(fill) = paint.fill {
            let _ = write!(css, "fill:{};", ink(fill));
        }
        if let Some((stroke, width)) = paint.stroke {
            let _ = write!(css, "stroke:{};stroke-width:{width};", ink(stroke));
        }
        if !paint.dash.is_empty() {
            let _ = write!(css, "stroke-dasharray:{};", paint.dash);
        }
        match paint.letters {
            Letters::Figure => {}
            Letters::FigureBold => css.push_str("font-weight:600;"),
            Letters::Note => {
                let _ = write!(css, "font-family:{};font-style:italic;", faces.text);
            }
            Letters::Title => {
                let _ = write!(css, "font-family:{};font-weight:600;", faces.text);
            }
        }
        css.push('}');
    }
    css
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_class_is_named_once() {
        for (i, a) in CLASSES.iter().enumerate() {
            assert!(CLASSES[i + 1..].iter().all(|b| b.class != a.class), "{} twice", a.class);
        }
    }

    #[test]
    fn print_holds_no_custom_property() {
        let all: Vec<&str> = CLASSES.iter().map(|p| p.class).collect();
        assert!(!print_rules(&all, &Faces::default()).contains("var("));
    }

    #[test]
    fn colour_is_kept_for_what_means_something() {
        // A grey has equal channels within what a warm paper needs; only the named meanings may exceed it.
        for ink in INKS {
            let means = matches!(
                ink,
                Ink::Sun | Ink::Battery | Ink::Backup | Ink::Dark | Ink::Charge(_) | Ink::Light(_)
            );
            for scheme in [Scheme::Light, Scheme::Dark, Scheme::Print] {
                let channel = |at: usize| {
                    i32::from_str_radix(&colour(ink, scheme)[at..at + 2], 16)
                        .expect("colours are six hex digits")
                };
                let all = [channel(1), channel(3), channel(5)];
                let spread = all.iter().max().unwrap_or(&0) - all.iter().min().unwrap_or(&0);
                assert!(means || spread <= 20, "{ink:?} is coloured in {scheme:?}");
            }
        }
    }
}
