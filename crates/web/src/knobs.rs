//! What can be tried by hand: batteries, modules in a string, tilt and bearing on the page of the year; lengths and sizes of
//! conductors on the page of the wiring.
//!
//! A knob is one or more fields of the design moved together. Trying it is the very edit that keeping it would write.

use design::edit::{EditError, set};
use quantity::{FieldPath, Gauge, Measure, Units, slug, units};
use study::Study;

/// One thing that can be moved.
#[derive(Clone, Debug, PartialEq)]
pub struct Knob {
    /// Name in addresses and forms, such as `batteries`.
    pub id: String,
    /// Name on the page.
    pub label: String,
    /// Fields that move together.
    pub fields: Vec<FieldPath>,
    /// Value in the design on disk.
    pub stored: f64,
    /// Value on the page.
    pub value: f64,
    /// Least value.
    pub low: f64,
    /// Greatest value.
    pub high: f64,
    /// Why no more, empty where the greatest value is only the end of the scale.
    pub high_because: &'static str,
    kind: Kind,
    /// The page on which it stands.
    pub page: u8,
}

#[derive(Clone, Debug, PartialEq)]
enum Kind {
    Pieces,
    Degrees,
    /// Clockwise from true north.
    Bearing,
    /// In whole feet or metres; the length that is stored, in words.
    Length(&'static str, String),
    /// Place in a list of trade sizes.
    Size(Vec<Gauge>),
}

/// A value asked for.
#[derive(Clone, Debug, PartialEq)]
pub struct Wish {
    /// Name of the knob.
    pub id: String,
    /// The value.
    pub value: f64,
    /// The value the asker saw in the design, where the asker tells.
    pub was: Option<f64>,
}

impl Knob {
    /// A value as shown beside the slider.
    pub fn shown(&self, value: f64) -> String {
        match &self.kind {
            Kind::Pieces => format!("{value:.0}"),
            Kind::Degrees | Kind::Bearing => format!("{value:.0}°"),
            Kind::Length(_, stored) if (value - self.stored).abs() < 0.5 => stored.clone(),
            Kind::Length(unit, _) => format!("{value:.0} {unit}"),
            Kind::Size(sizes) => sizes.get(value as usize).map(Gauge::to_string).unwrap_or_default(),
        }
    }

    /// The words of every value, where they are no numbers.
    pub fn words(&self) -> Option<String> {
        match &self.kind {
            Kind::Size(sizes) => Some(sizes.iter().map(Gauge::to_string).collect::<Vec<_>>().join("|")),
            _ => None,
        }
    }

    /// What follows the bare number.
    pub fn unit(&self) -> &'static str {
        match self.kind {
            Kind::Pieces | Kind::Size(_) => "",
            Kind::Degrees | Kind::Bearing => "°",
            Kind::Length("ft", _) => " ft",
            Kind::Length(..) => " m",
        }
    }

    /// The value as it would stand in the design file.
    fn written(&self, value: f64) -> String {
        match self.kind {
            Kind::Pieces => format!("{value:.0}"),
            Kind::Degrees | Kind::Bearing => format!("\"{value:.0}°\""),
            Kind::Length(..) | Kind::Size(_) => format!("\"{}\"", self.shown(value)),
        }
    }

    /// One more step and its words, or nothing at the end of the scale.
    pub fn next(&self) -> Option<(f64, &'static str)> {
        let (step, words) = match self.kind {
            Kind::Pieces => (1.0, "one more"),
            Kind::Degrees => (5.0, "5° steeper"),
            Kind::Bearing => (5.0, "5° further clockwise"),
            Kind::Length("ft", _) => (10.0, "10 ft more"),
            Kind::Length(..) => (3.0, "3 m more"),
            Kind::Size(_) => (1.0, "one size up"),
        };
        (self.value + step <= self.high).then_some((self.value + step, words))
    }

    /// Whether moving it buys or saves something.
    pub fn is_bought(&self) -> bool {
        !matches!(self.kind, Kind::Degrees | Kind::Bearing)
    }

    /// Whether it stands elsewhere than in the design.
    pub fn is_moved(&self) -> bool {
        (self.value - self.stored).abs() > 0.5
    }

    /// The design text with this knob at a value.
    ///
    /// # Errors
    /// What the edit says; the text is then unchanged.
    pub fn set(&self, text: &str, value: f64) -> Result<String, EditError> {
        let written = self.written(value);
        self.fields.iter().try_fold(text.to_string(), |text, field| {
            set(&text, field.as_str(), &written, design::catalogue::TABLES)
        })
    }
}

/// The knobs of a design, at its own values.
pub(crate) fn knobs(study: &Study) -> Vec<Knob> {
    let mut found = batteries(study);
    found.extend(modules(study));
    found.extend(tilts(study));
    found.extend(bearings(study));
    found.extend(runs(study));
    found
}

fn knob(
    id: String,
    label: String,
    fields: Vec<FieldPath>,
    stored: f64,
    low: f64,
    high: f64,
    kind: Kind,
) -> Knob {
    Knob {
        id,
        label,
        fields,
        stored,
        value: stored,
        low,
        high: high.max(stored),
        high_because: "",
        kind,
        page: 5,
    }
}

/// One is called by its bare name, several by the owner's names.
fn named(base: &str, name: &str, several: bool) -> String {
    if several { format!("{base}-{}", slug(name)) } else { base.to_string() }
}

fn batteries(study: &Study) -> Vec<Knob> {
    let banks = &study.design.system.banks;
    let several = banks.len() > 1;
    banks
        .iter()
        .filter_map(|bank| {
            let name = &bank.bank.name;
            let stored = f64::from(bank.bank.parallel.value()?.0);
            let in_series = bank.bank.series.value().map_or(1, |n| n.0);
            let label = if in_series > 1 {
                format!("Rows of {in_series} batteries")
            } else {
                "Batteries".to_string()
            };
            let label = if several { format!("{label}, {name}") } else { label };
            let most = study
                .banks
                .iter()
                .find(|studied| studied.name == *name)
                .and_then(|studied| studied.most_parallel.value())
                .map(|most| f64::from(most.0));
            let scale = (2.0 * stored).max(12.0);
            let fields = vec![FieldPath::new(format!("bank.{name}.parallel"))];
            let id = named("batteries", name, several);
            let mut knob =
                knob(id, label, fields, stored, 1.0, most.unwrap_or(scale).min(scale), Kind::Pieces);
            if most.is_some_and(|most| most <= scale) {
                knob.high_because = "the most its maker allows side by side";
            }
            Some(knob)
        })
        .collect()
}

fn modules(study: &Study) -> Vec<Knob> {
    let system = &study.design.system;
    let several = system.planes.len() > 1;
    let mut found = Vec::new();
    for plane in &system.planes {
        let strings: Vec<_> = system.strings.iter().filter(|s| s.string.plane == plane.name).collect();
        let mut counts = strings.iter().map(|s| s.string.count.value().map(|n| n.0));
        let Some(Some(stored)) = counts.next() else { continue };
        // Strings of different length are not one thing to move.
        if counts.any(|count| count != Some(stored)) {
            continue;
        }
        let longest = study
            .strings
            .iter()
            .filter(|s| strings.iter().any(|of| of.string.name == s.name))
            .filter_map(|s| s.longest.value())
            .map(|most| most.0)
            .min();
        let label = match strings.len() {
            1 => "Modules".to_string(),
            _ => "Modules in each string".to_string(),
        };
        let label = if several { format!("{label}, {}", plane.name) } else { label };
        let fields =
            strings.iter().map(|s| FieldPath::new(format!("string.{}.count", s.string.name))).collect();
        let high = f64::from(longest.unwrap_or(stored + 6));
        let id = named("modules", &plane.name, several);
        let mut knob = knob(id, label, fields, f64::from(stored), 1.0, high, Kind::Pieces);
        if longest.is_some_and(|most| most >= stored) {
            knob.high_because = "the most its input's voltage allows on the coldest morning";
        }
        found.push(knob);
    }
    found
}

fn tilts(study: &Study) -> Vec<Knob> {
    let planes = &study.design.system.planes;
    let several = planes.len() > 1;
    planes
        .iter()
        // What lies on a building has the building's tilt.
        .filter(|plane| plane.building.is_empty())
        .filter_map(|plane| {
            let stored = units::DEGREE_UNIT.of_si(plane.tilt.value()?.si()).round();
            let label = if several { format!("Tilt, {}", plane.name) } else { "Tilt".to_string() };
            let fields = vec![FieldPath::new(format!("plane.{}.tilt", plane.name))];
            Some(knob(named("tilt", &plane.name, several), label, fields, stored, 0.0, 90.0, Kind::Degrees))
        })
        .collect()
}

fn bearings(study: &Study) -> Vec<Knob> {
    let planes = &study.design.system.planes;
    let several = planes.len() > 1;
    planes
        .iter()
        // What lies on a building looks where its roof looks.
        .filter(|plane| plane.building.is_empty())
        .filter_map(|plane| {
            let stored = plane.bearing.value()?.degrees().round() % 360.0;
            let label = "Bearing from true north";
            let label = if several { format!("{label}, {}", plane.name) } else { label.to_string() };
            let fields = vec![FieldPath::new(format!("plane.{}.bearing", plane.name))];
            let id = named("bearing", &plane.name, several);
            Some(knob(id, label, fields, stored, 0.0, 359.0, Kind::Bearing))
        })
        .collect()
}

/// The longest stretch of each run, and the size of its conductors.
fn runs(study: &Study) -> Vec<Knob> {
    let system = &study.design.system;
    let (unit, word) = match system.units {
        Units::Us => (&units::FOOT_UNIT, "ft"),
        Units::Metric => (&units::METER, "m"),
    };
    let mut found = Vec::new();
    for (at, run) in system.runs.iter().enumerate() {
        let lengths = run.segments.iter().map(|segment| segment.length.si());
        let longest = lengths
            .enumerate()
            .filter_map(|(k, length)| Some((k, unit.of_si(length?))))
            .max_by(|a, b| a.1.total_cmp(&b.1));
        if let Some((k, length)) = longest.filter(|(_, length)| *length >= 2.0) {
            let fields = vec![FieldPath::new(format!("run.{}.route.{}.length", run.name, k + 1))];
            let whole = (length - length.round()).abs() < 0.005;
            let said = if whole { format!("{length:.0} {word}") } else { format!("{length:.2} {word}") };
            let label = match run.segments.len() {
                1 => format!("Length, {}", run.name),
                _ => format!("Longest stretch, {}", run.name),
            };
            let kind = Kind::Length(word, said);
            let high = (2.0_f64 * length).round().max(if word == "ft" { 30.0 } else { 10.0 });
            let id = named("length", &run.name, true);
            found.push(Knob { page: 7, ..knob(id, label, fields, length.round(), 1.0, high, kind) });
        }
        let Ok(schedule) = &study.wiring else { continue };
        let sized = schedule.circuits.iter().find(|sized| sized.run.is_some_and(|run| run.0 == at));
        let Some(metal) = run.material.value() else { continue };
        let sizes = study::conductor_sizes(system, *metal);
        let gauge = sized.map(|sized| sized.gauge());
        let stored = gauge.as_ref().and_then(|gauge| gauge.value());
        let Some(stored) = stored.and_then(|gauge| sizes.iter().position(|size| size == gauge)) else {
            continue;
        };
        let high = (stored + 6).min(sizes.len() - 1);
        let fields = vec![FieldPath::new(format!("run.{}.conductor", run.name))];
        let (id, label) = (named("size", &run.name, true), format!("Conductors, {}", run.name));
        let low = stored.saturating_sub(6) as f64;
        let kind = Kind::Size(sizes);
        found.push(Knob { page: 7, ..knob(id, label, fields, stored as f64, low, high as f64, kind) });
    }
    found
}

/// Reads what was asked for from the names and values of an address or a form. What cannot be taken is told in words.
pub(crate) fn read(pairs: &[(String, String)], knobs: &[Knob]) -> (Vec<Wish>, Vec<String>) {
    let (mut wishes, mut notes) = (Vec::new(), Vec::new());
    for knob in knobs {
        let Some((_, text)) = pairs.iter().find(|(name, _)| *name == knob.id) else { continue };
        let was =
            pairs.iter().find(|(name, _)| *name == format!("was-{}", knob.id)).and_then(|(_, t)| number(t));
        match number(text) {
            Some(value) if value.fract() == 0.0 && (knob.low..=knob.high).contains(&value) => {
                wishes.push(Wish { id: knob.id.clone(), value, was });
            }
            _ => notes.push(format!(
                "{}: \"{}\" is not a whole number from {} to {}. Shown is what the design says.",
                knob.label,
                text.chars().take(40).collect::<String>(),
                knob.shown(knob.low),
                knob.shown(knob.high)
            )),
        }
    }
    (wishes, notes)
}

fn number(text: &str) -> Option<f64> {
    text.trim().trim_end_matches('°').parse::<f64>().ok().filter(|value| value.is_finite())
}
