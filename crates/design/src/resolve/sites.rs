//! What stands around planes, how modules lie on them, and modules with a working back.

use super::Items;
use super::bearings::{MODEL, bearing, left_open_deg};
use super::take::{Take, assumed};
use crate::compass::SecondBearing;
use crate::read::Given;
use crate::system::{Bifacial, Near, Place, Site};
use array::incidence::IncidenceModel;
use quantity::{Angle, Fact, Length, Measure, Number, Origin, Term, Traced, WhoKnows, units};

pub(super) fn sites(items: &Items<'_>, place: &Place) -> Vec<Site> {
    items
        .of("plane")
        .map(|item| {
            let take = Take::new(item, None);
            let rows = take.record("rows");
            let horizon = take.records("horizon");
            Site {
                plane: item.name.clone(),
                second_bearing: take
                    .is_written("second_bearing")
                    .then(|| second_bearing(&take.record("second_bearing"), take.given("bearing"), place)),
                glass: glass(&take.record("glass")),
                horizon: horizon.iter().map(|p| (bearing(p, "bearing", place), p.quantity("up"))).collect(),
                obstacles: take.records("obstacles").iter().map(|near| obstacle(near, place)).collect(),
                lower_edge: lower_edge(&take),
                modules_high: rows.count("modules_high"),
                modules_wide: rows.is_written("modules_wide").then(|| rows.count("modules_wide")),
                lying: rows.choice("modules", |word| Some(word == "lying")),
                ground_gap: rows.optional("ground_gap"),
                pitch: rows.optional("pitch"),
                structure_price: take.is_written("structure_price").then(|| take.money("structure_price")),
                soiling_by_month: months(&take, "soiling_by_month"),
                reflectance_by_month: months(&take, "reflectance_by_month"),
                cleared_after: take.is_written("cleared_after").then(|| take.count("cleared_after")),
            }
        })
        .collect()
}

/// What was said a second time, and how far apart the two may lie: as stated, and by what the magnetic model leaves open.
fn second_bearing(again: &Take<'_>, first: Option<(&Given, Origin)>, place: &Place) -> SecondBearing {
    let given = [first.map(|(given, _)| given), again.given("bearing").map(|(given, _)| given)];
    let open: f64 = given.into_iter().flatten().map(|given| left_open_deg(given, place)).sum();
    let within: Fact<Angle> = again.quantity("within");
    let apart = match within {
        Fact::Known(within) if open > 0.0 => {
            let terms = vec![
                within.term("how far apart they may lie", &units::DEGREE_UNIT),
                Term::words(
                    "two standard deviations of the magnetic model",
                    format!("{open:.1}°"),
                    within.origin.clone(),
                ),
            ];
            let sum = Angle::from_si(within.si() + open.to_radians());
            Fact::Known(Traced::series(sum, "both together", MODEL, terms))
        }
        within => within,
    };
    SecondBearing {
        bearing: bearing(again, "bearing", place),
        apart,
        basis: again.is_written("basis").then(|| again.text("basis").value().cloned()).flatten(),
    }
}

/// The cover of the modules as its model wants it.
fn glass(take: &Take<'_>) -> Fact<IncidenceModel> {
    let number = |key| take.quantity::<Number>(key).value().map_or(f64::NAN, |number| number.0);
    let (index, b0) = (number("index"), number("b0"));
    take.choice("model", |word| match (word, IncidenceModel::GLASS) {
        ("refraction", IncidenceModel::Physical { extinction_per_m, thickness_m, .. }) => index
            .is_finite()
            .then_some(IncidenceModel::Physical { refractive_index: index, extinction_per_m, thickness_m }),
        ("ashrae", _) => b0.is_finite().then_some(IncidenceModel::Ashrae { b0 }),
        _ => None,
    })
}

fn months(take: &Take<'_>, key: &str) -> Option<Traced<[f64; 12]>> {
    match take.given(key) {
        Some((Given::Months(values), origin)) => Some(Traced { value: *values, origin }),
        _ => None,
    }
}

/// A rack on the ground stands clear of grass; how high a roof is, only the owner can say.
fn lower_edge(take: &Take<'_>) -> Fact<Length> {
    let stated: Fact<Length> = take.quantity("lower_edge");
    let on_ground = take.choice("mount", |word| Some(word == "ground rack"));
    if stated.is_known() || take.is_written("lower_edge") || on_ground.value() != Some(&true) {
        return match stated {
            Fact::Known(_) => stated,
            Fact::Unknown(_) => Fact::unknown(take.path("lower_edge").0, WhoKnows::Measurement),
        };
    }
    assumed(
        Length::from_si(0.6),
        take.path("lower_edge"),
        "racks on the ground stand clear of grass, about 0.6 m; common practice, no source",
        "shade of what stands near, light on the backs",
    )
}

fn obstacle(take: &Take<'_>, place: &Place) -> Near {
    Near {
        name: take.text("name").value().cloned().unwrap_or_else(|| "".into()),
        from: bearing(take, "from", place),
        to: bearing(take, "to", place),
        distance: take.quantity("distance"),
        height: take.quantity("height"),
        depth: take.optional("depth"),
        leafless: match take.given("leafless") {
            Some((Given::MonthSet(set), origin)) => Some(Traced { value: *set, origin }),
            _ => None,
        },
    }
}

pub(super) fn bifacial(items: &Items<'_>) -> Vec<Bifacial> {
    items
        .of("module")
        .filter_map(|item| {
            let take = items.part(item);
            take.is_written("bifaciality")
                .then(|| Bifacial { module: item.name.clone(), share: take.quantity("bifaciality") })
        })
        .collect()
}
