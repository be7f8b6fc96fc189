//! How deep a buried segment must lie, NEC table 300.5(A), from memory.

use crate::facts::{Raceway, Segment, Surface, Where};
use quantity::{Fact, Length, Measure, Standing, TableRow, Traced, nec, units};
use std::sync::Arc;
use tables::RacewayKind;

/// Least cover over a segment and what is there.
#[derive(Clone, Debug, PartialEq)]
pub struct Cover {
    /// Least cover; `None` where nothing may be buried this way at any depth.
    pub least: Option<Traced<Length>>,
    /// Cover the owner plans.
    pub planned: Fact<Length>,
    /// Whether the plan reaches the least; unknown when the plan is not stated.
    pub reaches: Fact<bool>,
}

/// Least cover of a buried segment for circuits up to 1000 V; `None` when it is not buried.
pub fn cover(segment: &Segment) -> Option<Fact<Cover>> {
    match segment.place.value() {
        Some(Where::Underground) => {}
        Some(_) => return None,
        // Whether it is buried is itself missing; the place is asked for elsewhere.
        None => return None,
    }
    let gap = match (&segment.raceway, &segment.surface) {
        (Fact::Known(raceway), Fact::Known(surface)) => {
            let row = row(raceway.value, surface.value);
            let least = least_inches(raceway.value, surface.value)
                .map(|inches| Traced::tabled(Length::from_si(units::INCH_UNIT.to_si(inches)), row.clone()));
            let reaches = segment.depth.and_then(|depth| {
                let reaches = least.as_ref().is_some_and(|least| crate::at_least(depth.si(), least.si()));
                Fact::Known(depth.with(reaches))
            });
            let origin = quantity::Origin::Tabled(Arc::new(row));
            let cover = Cover { least, planned: segment.depth.clone(), reaches };
            return Some(Fact::Known(Traced { value: cover, origin }));
        }
        (Fact::Unknown(a), Fact::Unknown(b)) => a.clone().and(b),
        (Fact::Unknown(gap), _) | (_, Fact::Unknown(gap)) => gap.clone(),
    };
    Some(Fact::Unknown(gap))
}

/// Inches of cover; `None` where direct burial is not allowed at all.
fn least_inches(raceway: Raceway, surface: Surface) -> Option<f64> {
    Some(match (raceway, surface) {
        // Only a raceway may pass under a building.
        (Raceway::Open | Raceway::MetalClad { .. } | Raceway::Sheathed, Surface::Building) => return None,
        (Raceway::Open | Raceway::MetalClad { .. } | Raceway::Sheathed, Surface::OpenGround) => 24.0,
        (_, Surface::Road) => 24.0,
        (_, Surface::DwellingDriveway)
        | (Raceway::Open | Raceway::MetalClad { .. } | Raceway::Sheathed, Surface::Concrete) => 18.0,
        (_, Surface::Concrete) => 4.0,
        (_, Surface::Building) => 0.0,
        (Raceway::Kind(RacewayKind::Rmc), Surface::OpenGround) => 6.0,
        (Raceway::Kind(_), Surface::OpenGround) => 18.0,
    })
}

fn row(raceway: Raceway, surface: Surface) -> TableRow {
    let column = match raceway {
        Raceway::Open | Raceway::MetalClad { .. } | Raceway::Sheathed => "direct-buried cable or conductors",
        Raceway::Kind(RacewayKind::Rmc) => "rigid metal conduit",
        Raceway::Kind(_) => "other raceways listed for burial",
    };
    let place = match surface {
        Surface::OpenGround => "open ground",
        Surface::DwellingDriveway => "dwelling driveway",
        Surface::Road => "roads and parking",
        Surface::Concrete => "under 4 in of concrete",
        Surface::Building => "under a building",
    };
    TableRow {
        clause: nec("2023", "table 300.5(A)", Standing::Remembered),
        row: Arc::from(format!("{place}, {column}")),
        standing: Standing::Remembered,
    }
}
