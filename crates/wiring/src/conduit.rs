//! How full conduit and trunking of 230 V countries are.
//!
//! IEC 60364 gives no share that may be filled; the one of national practice stands in its place and says so. A conduit is
//! named by its outside diameter; what the maker states of its inside goes before the table.

use crate::at_least;
use crate::facts::Segment;
use crate::raceway::{Content, Fill, NoRaceway};
use quantity::{
    Area, Choice, Clause, Fact, FieldPath, Gap, Length, Ratio, Standing, Traced, WhoKnows, formula, practice,
    product_of_count, sum, units,
};
use std::sync::Arc;
use tables::{CircleArea, RacewayKind, TradeSize};

/// Share of a conduit or trunking that is filled.
pub fn space_filled(conductors: f64, inside: f64) -> f64 {
    conductors / inside
}

formula! {
    /// Explained twin of [`space_filled`].
    pub SpaceFilled = space_filled(
        conductors: Area as SQUARE_MILLIMETER = "area of all conductors with insulation",
        inside: Area as SQUARE_MILLIMETER = "area inside the raceway",
    ) -> Ratio as RATIO,
    text: "conductors / inside",
    clause: practice("space factor: area of the conductors over the area inside"),
}

/// Area inside a trunking.
pub fn trunking_area(w: f64, h: f64) -> f64 {
    w * h
}

formula! {
    /// Explained twin of [`trunking_area`].
    pub TrunkingArea = trunking_area(
        w: Length as MILLIMETER = "width inside",
        h: Length as MILLIMETER = "height inside",
    ) -> Area as SQUARE_MILLIMETER,
    text: "w · h",
    clause: Clause { document: "geometry", edition: "", clause: "rectangle", standing: Standing::Computed },
}

/// Whether a raceway of this kind is filled at all; a tray is open.
pub(crate) fn is_filled(kind: RacewayKind) -> bool {
    kind.is_metric() && kind != RacewayKind::CableTray
}

/// What lies in it.
struct Load {
    area: Traced<Area>,
    number: u32,
}

fn load(contents: &[Content]) -> Result<Load, NoRaceway> {
    let mut parts: Vec<(Arc<str>, Traced<Area>)> = Vec::with_capacity(contents.len());
    let mut number = 0;
    for content in contents {
        let diameter = tables::metric_diameter(content.insulation, content.gauge.value)
            .map_err(|_| NoRaceway::NotInTables(content.gauge.value))?;
        let each = CircleArea::of(&diameter);
        parts
            .push((content.what.clone(), product_of_count(&content.count, &each, &units::SQUARE_MILLIMETER)));
        number += content.count.count();
    }
    if number == 0 {
        return Err(NoRaceway::Empty);
    }
    Ok(Load { area: sum(parts, &units::SQUARE_MILLIMETER), number })
}

/// Why there is no answer: a fact is missing, or none can be given.
pub(crate) enum NoFill {
    /// A fact is missing.
    Missing(Gap),
    /// None can be given.
    Problem(NoRaceway),
}

/// How full a segment of this kind is: of the size its owner has fixed, or of the smallest that holds its contents.
pub(crate) fn fill(kind: RacewayKind, segment: &Segment, contents: &[Content]) -> Result<Fill, NoFill> {
    let load = load(contents).map_err(NoFill::Problem)?;
    let limit = tables::space_factor(kind, load.number).map_err(|_| NoFill::Problem(NoRaceway::Empty))?;
    let of = |trade: Traced<TradeSize>, inside: &Traced<Area>| {
        let share = SpaceFilled::of(&load.area, inside);
        let holds = at_least(limit.si(), share.si());
        Fill { trade, area: load.area.clone(), share, limit: limit.clone(), rounded: None, holds }
    };
    let field = |key: &str| FieldPath::new(format!("{}.{key}", segment.field));
    let stated = |fact: &Option<Fact<Length>>, key: &str| match fact {
        Some(Fact::Known(length)) => Ok(length.clone()),
        Some(Fact::Unknown(gap)) => Err(gap.clone()),
        None => Err(Gap::one(field(key), WhoKnows::DataSheet)),
    };
    if kind == RacewayKind::Trunking {
        let (width, height) =
            match (stated(&segment.inside, "inside"), stated(&segment.inside_height, "inside_height")) {
                (Ok(width), Ok(height)) => (width, height),
                (Err(a), Err(b)) => return Err(NoFill::Missing(a.and(&b))),
                (Err(gap), _) | (_, Err(gap)) => return Err(NoFill::Missing(gap)),
            };
        let whole =
            |length: &Traced<Length>| units::MILLIMETER.of_si(length.si()).round().clamp(1.0, 9999.0) as u16;
        let trade = width.with(TradeSize::of_sides(whole(&width), whole(&height)));
        return Ok(of(trade, &TrunkingArea::of(&width, &height)));
    }
    if let Some(trade) = &segment.trade_size {
        let too_wide = |inside: &Fact<Length>| {
            inside.si().is_some_and(|m| units::MILLIMETER.of_si(m) >= trade.value.millimeters())
        };
        // Sizes of conduit are outside diameters: nothing is wider inside.
        if segment.inside.as_ref().is_some_and(too_wide) {
            return Err(NoFill::Problem(NoRaceway::NotMade(trade.value)));
        }
        let inside = match (stated(&segment.inside, "inside"), tables::conduit_inside(kind, trade.value)) {
            (Ok(inside), _) => inside,
            (Err(_), Ok(inside)) => inside,
            (Err(_), Err(_)) if tables::conduit_sizes(kind).next().is_some() => {
                return Err(NoFill::Problem(NoRaceway::NotMade(trade.value)));
            }
            (Err(gap), Err(_)) => return Err(NoFill::Missing(gap)),
        };
        return Ok(of(trade.clone(), &CircleArea::of(&inside)));
    }
    if segment.inside.is_some() {
        return Err(NoFill::Missing(Gap::one(field("trade_size"), WhoKnows::Owner)));
    }
    smallest(kind, &limit, of, || {
        Gap::one(field("trade_size"), WhoKnows::Owner).and(&Gap::one(field("inside"), WhoKnows::DataSheet))
    })
}

fn smallest(
    kind: RacewayKind,
    limit: &Traced<Ratio>,
    of: impl Fn(Traced<TradeSize>, &Traced<Area>) -> Fill,
    missing: impl Fn() -> Gap,
) -> Result<Fill, NoFill> {
    let percent = |share: f64| quantity::print_in(share, &units::PERCENT);
    let mut smaller: Arc<str> = Arc::from("");
    let mut any = false;
    for trade in tables::conduit_sizes(kind) {
        let Ok(inside) = tables::conduit_inside(kind, trade) else { continue };
        any = true;
        let mut fill = of(limit.with(trade), &CircleArea::of(&inside));
        if !fill.holds {
            smaller = format!("{trade} would be {} full", percent(fill.share.si())).into();
            continue;
        }
        let terms = vec![
            fill.share.term("share filled", &units::PERCENT),
            fill.limit.term("largest share", &units::PERCENT),
        ];
        let choice = Choice {
            because: format!("the smallest that is filled no more than {}", percent(limit.si())).into(),
            runner_up: smaller,
            clause: practice("the smallest conduit within the space factor"),
            terms,
        };
        fill.trade = Traced::found(trade, choice);
        return Ok(fill);
    }
    Err(if any { NoFill::Problem(NoRaceway::NoneHolds) } else { NoFill::Missing(missing()) })
}
