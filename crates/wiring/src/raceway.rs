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
    pub SunlitChange = sunlit_change(
        t: Interval as FAHRENHEIT_DEGREE = "change of the air",
    ) -> Interval as FAHRENHEIT_DEGREE,
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
    /// Like conductors that fit by the rounding rule (note 7), where the areas alone are over.
    pub rounded: Option<Traced<Count>>,
    /// Whether it may be filled so.
    pub holds: bool,
}

/// What lies in a raceway, measured once for every trade size.
struct Load {
    area: Traced<Area>,
    limit: Traced<Ratio>,
    number: u32,
    /// Area of one conductor when all are alike.
    alike: Option<Traced<Area>>,
}

fn load(contents: &[Content], nipple: bool) -> Result<Load, NoRaceway> {
    let area_of = |content: &Content| {
        tables::conductor_area(content.insulation, content.gauge.value)
            .map_err(|_| NoRaceway::NotInTables(content.gauge.value))
    };
    let mut parts: Vec<(Arc<str>, Traced<Area>)> = Vec::with_capacity(contents.len());
    let mut number = 0;
    for content in contents {
        let each = product_of_count(&content.count, &area_of(content)?, &units::SQUARE_INCH);
        parts.push((content.what.clone(), each));
        number += content.count.count();
    }
    let first = contents.first().ok_or(NoRaceway::Empty)?;
    let like = |c: &Content| c.insulation == first.insulation && c.gauge.value == first.gauge.value;
    let alike = if contents.iter().all(like) { Some(area_of(first)?) } else { None };
    let limit = tables::fill_limit(number, nipple).map_err(|_| NoRaceway::Empty)?;
    Ok(Load { area: sum(parts, &units::SQUARE_INCH), limit, number, alike })
}

impl Load {
    fn fills(&self, kind: RacewayKind, trade: Traced<TradeSize>) -> Option<Fill> {
        let inner = tables::raceway_area(kind, trade.value).ok()?;
        let share = FilledShare::of(&self.area, &inner);
        let by_sum = at_least(self.limit.si(), share.si());
        // Note 7 lets a count of like conductors round up where their summed areas are just over.
        let rounded = self
            .alike
            .as_ref()
            .filter(|_| !by_sum)
            .map(|each| SameSizeCount::of(&self.limit, &inner, each))
            .filter(|fits| fits.count() >= self.number);
        let by_rounding = rounded.is_some();
        Some(Fill {
            trade,
            area: self.area.clone(),
            share,
            limit: self.limit.clone(),
            rounded,
            holds: by_sum || by_rounding,
        })
    }
}

/// How full the owner's trade size is; `holds` says whether it may be.
///
/// # Errors
/// [`NoRaceway`] when the kind is not made in this size or a conductor is not in the tables.
pub fn fill_of(
    kind: RacewayKind,
    trade: &Traced<TradeSize>,
    contents: &[Content],
    nipple: bool,
) -> Result<Fill, NoRaceway> {
    load(contents, nipple)?.fills(kind, trade.clone()).ok_or(NoRaceway::NotMade(trade.value))
}

/// Smallest trade size of a kind that holds the contents; `nipple` for a raceway of 24 in or less between boxes.
///
/// # Errors
/// [`NoRaceway`] when none does or a conductor is not in the tables.
pub fn smallest_raceway(kind: RacewayKind, contents: &[Content], nipple: bool) -> Result<Fill, NoRaceway> {
    let load = load(contents, nipple)?;
    let percent = |share: f64| quantity::print_in(share, &units::PERCENT);
    let mut smaller: Arc<str> = Arc::from("");
    for trade in tables::trade_sizes(kind) {
        // The place of the choice is taken once its reasons are known.
        let Some(mut fill) = load.fills(kind, Traced { value: trade, origin: load.limit.origin.clone() })
        else {
            continue;
        };
        if !fill.holds {
            smaller = format!("{trade} in would be {} full", percent(fill.share.si())).into();
            continue;
        }
        let mut terms = vec![
            fill.share.term("share filled", &units::PERCENT),
            fill.limit.term("largest share", &units::PERCENT),
        ];
        let fits = fill.rounded.as_ref();
        terms.extend(fits.map(|fits| fits.term("conductors of this size that fit", &units::COUNT)));
        let choice = Choice {
            because: format!("the smallest that is filled no more than {}", percent(fill.limit.si())).into(),
            runner_up: smaller,
            clause: nec("2023", "chapter 9 table 1", Standing::SecondHand),
            terms,
        };
        fill.trade = Traced::found(trade, choice);
        return Ok(fill);
    }
    Err(NoRaceway::NoneHolds)
}

/// Why no raceway can be given.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum NoRaceway {
    /// Nothing lies in it.
    Empty,
    /// The kind is not made in this trade size.
    NotMade(TradeSize),
    /// No trade size of this kind is large enough.
    NoneHolds,
    /// This size or insulation has no row in the tables.
    NotInTables(Gauge),
}
