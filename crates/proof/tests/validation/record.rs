//! Rows of the record: what was compared with what, how many cases, the largest difference and what was allowed.

/// How well a source is known.
#[derive(Clone, Copy)]
pub(crate) enum Standing {
    Read,
    SecondHand,
    Remembered,
    Derived,
}

impl Standing {
    fn text(self) -> &'static str {
        match self {
            Standing::Read => "read",
            Standing::SecondHand => "second-hand",
            Standing::Remembered => "remembered",
            Standing::Derived => "derived",
        }
    }
}

/// A heading, its introduction and its rows.
pub(crate) struct Section {
    title: &'static str,
    about: &'static str,
    rows: Vec<String>,
}

pub(crate) fn heading(title: &str) -> String {
    format!("\n## {title}\n")
}

/// Two significant digits; what is below a billionth is rounding of the last bits and is not told apart.
pub(crate) fn two_digits(value: f64) -> String {
    let size = value.abs();
    if size == 0.0 {
        return "0".to_owned();
    }
    if size < 1e-9 {
        return "under 1e-9".to_owned();
    }
    let exponent = size.log10().floor() as i32;
    let rounded = format!("{value:.1e}");
    if (-4..4).contains(&exponent) {
        // Printed without an exponent where a person would write it so.
        let plain: f64 = rounded.parse().unwrap_or(value);
        return plain.to_string();
    }
    rounded.replace(".0e", "e")
}

/// Largest difference of many, NaN never counting as small, and how the others lie below it.
#[derive(Default)]
pub(crate) struct Largest {
    pub(crate) value: f64,
    pub(crate) cases: usize,
    sizes: Vec<f64>,
}

/// Of one or two cases the largest is all there is to say.
const FEWEST_FOR_QUANTILES: usize = 3;

impl Largest {
    pub(crate) fn see(&mut self, difference: f64) {
        assert!(!difference.is_nan(), "not a number");
        self.cases += 1;
        self.value = self.value.max(difference.abs());
        self.sizes.push(difference.abs());
    }

    /// What these shares of the cases stay within.
    pub(crate) fn within<const N: usize>(&self, shares: [f64; N]) -> [f64; N] {
        let mut sizes = self.sizes.clone();
        sizes.sort_by(f64::total_cmp);
        shares.map(|share| sizes[((share * sizes.len() as f64).ceil() as usize).max(1) - 1])
    }

    /// The largest, and before it what half and nine in ten of the cases stay within, where there are enough of them.
    fn in_words(&self, digits: impl Fn(f64) -> String + Copy) -> String {
        let largest = digits(self.value);
        if self.cases < FEWEST_FOR_QUANTILES {
            return largest;
        }
        let [half, most] = self.within([0.5, 0.9]).map(digits);
        if half == largest { largest } else { format!("{half}; {most}; {largest}") }
    }
}

/// What may differ and why.
pub(crate) struct Allowed(pub(crate) f64, pub(crate) &'static str);

impl Section {
    pub(crate) fn new(title: &'static str, about: &'static str) -> Section {
        Section { title, about, rows: Vec::new() }
    }

    /// A row of numbers in one unit.
    pub(crate) fn row(
        &mut self,
        what: &str,
        with: &str,
        seen: &Largest,
        unit: &str,
        allowed: Allowed,
        standing: Standing,
    ) {
        assert!(seen.cases > 0, "{what}: nothing was compared");
        let Allowed(limit, reason) = allowed;
        assert!(seen.value <= limit, "{what}: {:e} {unit} exceeds {limit:e}", seen.value);
        let unit = if unit.is_empty() { String::new() } else { format!(" {unit}") };
        self.rows.push(format!(
            "| {what} | {with} | {} | {}{unit} | {}{unit}: {reason} | {} |",
            seen.cases,
            seen.in_words(two_digits),
            two_digits(limit),
            standing.text()
        ));
    }

    /// What was found where no source says how near it must come; printed, never a pass.
    pub(crate) fn found(
        &mut self,
        what: &str,
        with: &str,
        cases: usize,
        found: &str,
        why: &str,
        standing: Standing,
    ) {
        let standing = standing.text();
        self.rows.push(format!(
            "| {what} | {with} | {cases} | {found} | published as found: {why} | {standing} |"
        ));
    }

    /// A row whose cases either agree or not: sizes, verdicts.
    pub(crate) fn verdicts(&mut self, what: &str, with: &str, verdicts: &[(&str, bool)], standing: Standing) {
        let wrong: Vec<&str> = verdicts.iter().filter(|(_, holds)| !holds).map(|(name, _)| *name).collect();
        assert!(wrong.is_empty(), "{what}: {wrong:?}");
        self.rows.push(format!(
            "| {what} | {with} | {} | none | none: a verdict is the same or not | {} |",
            verdicts.len(),
            standing.text()
        ));
    }

    /// A worked example: figures as the source prints them, and verdicts.
    pub(crate) fn example(&mut self, what: &str, with: &str, figures: &Digits, standing: Standing) {
        assert!(figures.wrong.is_empty(), "{what}: {:?}", figures.wrong);
        assert!(
            figures.largest.value <= figures.allowed + 1e-6,
            "{what}: {} digits at {}",
            figures.largest.value,
            figures.place
        );
        assert!(figures.largest.cases + figures.verdicts > 0, "{what}: nothing was compared");
        let verdicts = match figures.verdicts {
            0 => String::new(),
            1 => " + 1 verdict".to_owned(),
            n => format!(" + {n} verdicts"),
        };
        let (difference, allowed) = if figures.largest.cases == 0 {
            ("none".to_owned(), "none: a verdict is the same or not".to_owned())
        } else {
            (
                match figures.largest.value {
                    // Rounding of the last bits.
                    off if off < 1e-6 => "none".to_owned(),
                    _ => format!("{} digits", figures.largest.in_words(two_digits)),
                },
                format!("{} digits: {}", two_digits(figures.allowed), figures.reason),
            )
        };
        self.rows.push(format!(
            "| {what} | {with} | {}{verdicts} | {difference} | {allowed} | {} |",
            figures.largest.cases,
            standing.text()
        ));
    }

    pub(crate) fn text(&self) -> String {
        format!(
            "{}\n{}\n\n| What | Compared with | Cases | Difference | Allowed, and why | Standing |\n|---|---|---|---|---|---|\n{}\n",
            heading(self.title),
            self.about,
            self.rows.join("\n")
        )
        .replace("\n\n\n", "\n\n")
    }
}

/// Figures against their printed digits, in units of the last printed digit.
pub(crate) struct Digits {
    largest: Largest,
    place: String,
    verdicts: usize,
    wrong: Vec<String>,
    allowed: f64,
    reason: &'static str,
}

impl Digits {
    /// Of a source that rounds only what it prints.
    pub(crate) fn new() -> Digits {
        Digits::within(0.5, "rounds to the printed digits")
    }

    /// Of a source that works on with rounded numbers, cuts digits off, or reads from a chart.
    pub(crate) fn within(allowed: f64, reason: &'static str) -> Digits {
        Digits {
            largest: Largest::default(),
            place: String::new(),
            verdicts: 0,
            wrong: Vec::new(),
            allowed,
            reason,
        }
    }

    /// A figure as printed: `"13.75"` is compared in hundredths.
    pub(crate) fn is(mut self, value: f64, printed: &str) -> Digits {
        let decimals = printed.split_once('.').map_or(0, |(_, tail)| tail.len());
        let wanted: f64 = printed.parse().expect("a printed number");
        let off = (value - wanted).abs() * 10f64.powi(i32::try_from(decimals).expect("few digits"));
        if off > self.largest.value {
            self.place = format!("{value} against {printed}");
        }
        self.largest.see(off);
        self
    }

    /// A verdict of the source that the program shares.
    pub(crate) fn says(mut self, what: &str, holds: bool) -> Digits {
        self.verdicts += 1;
        if !holds {
            self.wrong.push(what.to_owned());
        }
        self
    }
}
