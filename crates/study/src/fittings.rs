//! What is bought beside a raceway: supports, connectors, couplings, bends, fittings and boxes.

use bill::{Group, Line};
use design::Design;
use quantity::{Count, Fact, Money, Traced, WhoKnows, units};
use std::collections::BTreeMap;
use std::sync::Arc;
use wiring::{BoxSize, Joint, JointKind, Raceway, Run, Schedule, SizedRaceway};

/// Pieces on one line, each with what it is for.
type Pieces = BTreeMap<String, Vec<(Arc<str>, Fact<Count>)>>;

/// Lines for every piece of the raceways and for every box.
pub(crate) fn fittings(design: &Design, schedule: &Schedule, lines: &mut Vec<Line>) {
    let mut pieces = Pieces::new();
    for row in &schedule.raceways {
        if let Some(run) = design.system.runs.get(row.run.0) {
            along(run, row, &mut pieces);
        }
    }
    for joint in &schedule.joints {
        if let Some(run) = design.system.runs.get(joint.run.0) {
            let parts =
                Arc::from(format!("{} between parts {} and {}", run.name, joint.after + 1, joint.after + 2));
            let field = run.segments.get(joint.after).map_or(&run.field, |part| &part.field);
            let one = Fact::Known(Traced::stated(Count(1), format!("{field}.raceway")));
            pieces.entry(joint_in_words(run, schedule, joint)).or_default().push((parts, one));
        }
    }
    for (item, parts) in pieces {
        let mut serves: Vec<Arc<str>> = parts.iter().map(|(name, _)| name.clone()).collect();
        serves.dedup();
        let count = crate::fit::sum_of(parts, &units::COUNT);
        let price = price_of(design, &item);
        lines.push(Line::by_piece(Group::Raceway, item, serves, count, price));
    }
}

/// What the shop asks for a piece of this name; it is asked where the design does not say.
pub(crate) fn price_of(design: &Design, item: &str) -> Fact<Money> {
    let named = item.to_lowercase();
    let piece = design.system.pieces.iter().find(|piece| piece.name.trim().to_lowercase() == named);
    piece.map_or_else(|| Fact::unknown("piece", WhoKnows::SupplyHouse), |piece| piece.price.clone())
}

/// Signal cables, each bought as it is.
pub(crate) fn cables(design: &Design, lines: &mut Vec<Line>) {
    for cable in &design.system.cables {
        let one = Fact::Known(Traced::stated(Count(1), format!("{}.between", cable.field)));
        let item = match &*cable.carries {
            "" => format!("signal cable \"{}\"", cable.name),
            carries => format!("signal cable \"{}\", {carries}", cable.name),
        };
        let mut line = Line::by_piece(Group::Wire, item, cable.between.clone(), one, cable.price.clone());
        if let Fact::Known(length) = &cable.length {
            line.note =
                format!("{} long", quantity::print(length.si(), quantity::Kind::Length, design.system.units))
                    .into();
        }
        lines.push(line);
    }
}

fn along(run: &Run, row: &SizedRaceway, pieces: &mut Pieces) {
    let Some(raceway) = row.raceway.value() else { return };
    let name = match raceway {
        Raceway::Kind(kind) => match trade_of(row) {
            Some(trade) => format!("{kind} {trade}"),
            None => format!("{kind} of unknown size"),
        },
        other => other.in_words().to_string(),
    };
    let hardware = &row.hardware;
    let strap = match raceway {
        Raceway::Open => "support for exposed module conductors".to_string(),
        _ => format!("{name} strap"),
    };
    let connectors = hardware.connectors.clone().map(Fact::Known);
    let counts = [
        (strap, &hardware.supports),
        (format!("{name} connector"), &connectors),
        (format!("{name} coupling"), &hardware.couplings),
        (format!("{name} quarter bend"), &hardware.quarter_bends),
        (format!("{name} expansion fitting"), &hardware.expansion_fittings),
        (
            match &hardware.pull_box {
                None => format!("{name} conduit body"),
                Some(size) => box_in_words("pull box", is_wet(run, row.segment), size.value()),
            },
            &hardware.pull_points,
        ),
    ];
    let serves: Arc<str> = Arc::from(format!("{} part {}", run.name, row.segment + 1));
    for (item, count) in counts {
        if let Some(count) = count
            && count.value() != Some(&Count(0))
        {
            pieces.entry(item).or_default().push((serves.clone(), count.clone()));
        }
    }
}

fn trade_of(row: &SizedRaceway) -> Option<tables::TradeSize> {
    Some(row.fill.as_ref()?.value()?.trade.value)
}

fn is_wet(run: &Run, segment: usize) -> bool {
    run.segments.get(segment).and_then(|part| part.place.value()).is_none_or(|place| place.is_wet())
}

fn box_in_words(what: &str, wet: bool, size: Option<&BoxSize>) -> String {
    let tight = if wet { " for wet places" } else { "" };
    match size {
        Some(BoxSize::Volume { metal: Some(metal), needs }) if !wet => format!(
            "{what}, square metal {} in or any of at least {}",
            metal.trade_size,
            quantity::print_in(quantity::Measure::si(needs.value), &units::CUBIC_INCH)
        ),
        Some(size) => format!("{what}{tight}, {}", size.in_words()),
        None => format!("{what}{tight}, size not known yet"),
    }
}

/// What stands where the method changes, as it is asked for in a shop.
pub fn joint_in_words(run: &Run, schedule: &Schedule, joint: &Joint) -> String {
    match joint.kind {
        JointKind::Box => {
            let what = if joint.transition { "transition box" } else { "junction box" };
            box_in_words(what, joint.wet, joint.size.as_ref().and_then(|size| size.value()))
        }
        JointKind::Fitting => {
            let part = |k: usize| {
                let kind = run.segments.get(k).and_then(|part| part.raceway.value());
                let kind = kind.map_or("raceway", |raceway| raceway.in_words());
                let row = schedule.raceways.iter().find(|row| row.run == joint.run && row.segment == k);
                match row.and_then(trade_of) {
                    Some(trade) => format!("{kind} {trade}"),
                    None => kind.to_string(),
                }
            };
            format!("fitting {} to {}", part(joint.after), part(joint.after + 1))
        }
    }
}
