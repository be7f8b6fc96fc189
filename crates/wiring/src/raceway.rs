//! Raceways: how full they are, the trade size that holds the conductors, and how much plastic pipe lengthens.

use crate::at_least;
use quantity::{
    Area, Choice, Count, Gauge, Interval, Length, PerKelvin, Ratio, Standing, Traced, formula, nec,
    product_of_count, sum, units,
};
use std::sync::Arc;
use tables::{Insulation, RacewayKind, TradeSize};

/// Conductors of one size in a raceway.
#[derive(Clone, Debug, PartialEq)]
pub struct Content {
    /// What they are, for the working.
    pub what: Arc<str>,
    /// Insulation.
    pub insulation: Insulation,
    /// Size.
    pub gauge: Traced<Gauge>,
    /// How many, at least 1.
    pub count: Traced<Count>,
}

/// Share of a raceway that is filled.
pub fn filled_share(conductors: f64, raceway: f64) -> f64 {
    conductors / raceway
}

formula! {
    /// Explained twin of [`filled_share`].
    pub FilledShare = filled_share(
        conductors: Area as SQUARE_INCH = "area of all conductors with insulation",
        raceway: Area as SQUARE_INCH = "inner area of the raceway",
    ) -> Ratio as RATIO,
    text: "conductors / raceway",
    clause: nec("2023", "chapter 9 table 1", Standing::SecondHand),
}

/// How many conductors of one area fit: the whole number, rounded up when the decimal is 0.8 or more (note 7).
pub fn same_size_count(limit: f64, raceway: f64, each: f64) -> f64 {
    // The small addend keeps a quotient that is exactly a tenth from falling below it in binary.
    (limit * raceway / each + 0.2 + 1e-9).floor()
}

formula! {
    /// Explained twin of [`same_size_count`].
    pub SameSizeCount = same_size_count(
        limit: Ratio as RATIO = "largest share of the raceway that may be filled",
        raceway: Area as SQUARE_INCH = "inner area of the raceway",
        each: Area as SQUARE_INCH = "area of one conductor",
    ) -> Count as COUNT,
    text: "floor(limit · raceway / each + 0.2 + 0.000000001)",
    clause: nec("2023", "chapter 9, note 7 to the tables", Standing::SecondHand),
}

/// Change of length of rigid plastic pipe: `a` per kelvin, length `l` inches, temperature change `t` kelvin.
pub fn plastic_expansion(a: f64, l: f64, t: f64) -> f64 {
    a * l * t
}

formula! {
    /// Explained twin of [`plastic_expansion`].
    pub PlasticExpansion = plastic_expansion(
        a: PerKelvin as PER_KELVIN = "linear expansion of PVC",
        l: Length as INCH_UNIT = "length between fixed ends",
        t: Interval as KELVIN = "temperature change",
    ) -> Length as INCH_UNIT,
    text: "a · l · t",
    clause: nec("2023", "352.44", Standing::SecondHand),
}

/// Temperature change of pipe in direct sun: 30 °F more than that of the air.
pub fn sunlit_change(t: f64) -> f64 {
    t + 30.0
}

formula! {
    /// Explained twin of [`sunlit_change`].
    pub SunlitChange = sunlit_change(t: Interval as FAHRENHEIT_DEGREE = "change of the air") -> Interval as FAHRENHEIT_DEGREE,
    text: "t + 30",
    clause: nec("2023", "300.7(B), informational note", Standing::Remembered),
}

/// How much a piece of plastic pipe lengthens, and whether it needs an expansion fitting.
#[derive(Clone, Debug, PartialEq)]
pub struct Expansion {
    /// Change of length over the year.
    pub change: Traced<Length>,
    /// Whether a fitting is due: 1/4 in or more between fixed ends.
    pub fitting: bool,
}

/// Expansion of a straight piece between fixed ends over the swing of the air, in sun or not.
pub fn expansion(length: &Traced<Length>, swing: &Traced<Interval>, in_sun: bool) -> Expansion {
    let a = tables::pvc_expansion_coefficient();
    let change = if in_sun {
        PlasticExpansion::of(&a, length, &SunlitChange::of(swing))
    } else {
        PlasticExpansion::of(&a, length, swing)
    };
    let fitting = at_least(change.si(), units::INCH_UNIT.to_si(0.25));
    Expansion { change, fitting }
}

/// How full a raceway of one trade size is.
#[derive(Clone, Debug, PartialEq)]
pub struct Fill {
    /// Trade size, such as `3/4`.
    pub trade: Traced<TradeSize>,
    /// Area of all conductors.
    pub area: Traced<Area>,
    /// Share filled.
    pub share: Traced<Ratio>,
    /// Largest share.
    pub limit: Traced<Ratio>,
    /// Whether it holds only by the rounding rule for conductors of one size (note 7).
    pub by_rounding: bool,
}

/// Smallest trade size of a kind that holds the contents; `nipple` for a raceway of 24 in or less between boxes.
///
/// # Errors
/// [`NoRaceway`] when none does or a size is not in the tables.
pub fn smallest_raceway(kind: RacewayKind, contents: &[Content], nipple: bool) -> Result<Fill, NoRaceway> {
    let mut parts: Vec<(Arc<str>, Traced<Area>)> = Vec::with_capacity(contents.len());
    let mut number = 0;
    for content in contents {
        let each = tables::conductor_area(content.insulation, content.gauge.value)
            .map_err(|_| NoRaceway::NotInTables(content.gauge.value))?;
        parts.push((content.what.clone(), product_of_count(&content.count, &each, &units::SQUARE_INCH)));
        number += content.count.count();
    }
    let area = sum(parts, &units::SQUARE_INCH);
    let limit = tables::fill_limit(number, nipple).map_err(|_| NoRaceway::Empty)?;
    let mut last: Option<(TradeSize, f64)> = None;
    for trade in tables::trade_sizes(kind) {
        let Ok(inner) = tables::raceway_area(kind, trade) else { continue };
        let share = FilledShare::of(&area, &inner);
        let by_sum = at_least(limit.si(), share.si());
        let by_rounding = !by_sum
            && same_size(contents).is_some_and(|(insulation, gauge)| {
                tables::conductor_area(insulation, gauge)
                    .is_ok_and(|each| SameSizeCount::of(&limit, &inner, &each).count() >= number)
            });
        if !by_sum && !by_rounding {
            last = Some((trade, share.si()));
            continue;
        }
        let percent = |share: f64| quantity::print_in(share, &units::PERCENT);
        let choice = Choice {
            because: format!("the smallest that is filled no more than {}", percent(limit.si())).into(),
            runner_up: last
                .map(|(trade, share)| Arc::from(format!("{trade} in would be {} full", percent(share))))
                .unwrap_or_else(|| Arc::from("")),
            clause: nec("2023", "chapter 9 table 1", Standing::SecondHand),
            terms: vec![
                area.term("area of all conductors", &units::SQUARE_INCH),
                inner.term("inner area", &units::SQUARE_INCH),
                limit.term("largest share", &units::PERCENT),
            ],
        };
        return Ok(Fill { trade: Traced::found(trade, choice), area, share, limit, by_rounding });
    }
    Err(NoRaceway::NoneHolds)
}

/// Why no raceway can be given.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum NoRaceway {
    /// Nothing lies in it.
    Empty,
    /// No trade size of this kind is large enough.
    NoneHolds,
    /// This size or insulation has no row in the tables.
    NotInTables(Gauge),
}

/// Insulation and size when all conductors are alike.
fn same_size(contents: &[Content]) -> Option<(Insulation, Gauge)> {
    let first = contents.first()?;
    let like = |content: &Content| {
        content.insulation == first.insulation && content.gauge.value == first.gauge.value
    };
    contents.iter().all(like).then_some((first.insulation, first.gauge.value))
}
