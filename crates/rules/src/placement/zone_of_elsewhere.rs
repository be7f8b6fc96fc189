//! # The place lies far from every town of its time zone
//!
//! What it checks: the distance from the place to the nearest town that keeps the time zone of the design.
//!
//! Why it matters: a latitude that lost its sign reads without an error, and then winter and summer change places, the best
//! bearing turns round and the weather is that of the other half of the Earth. The longitude is held against the zone where
//! the design is read; only the towns of a zone show that its latitude fits.
//!
//! Known limits: nearer to the equator than about 9° a lost sign moves a place by less than this. Towns are those of
//! 15 000 people and more; a zone without one is not looked at.
//!
//! Source: GeoNames for towns and their zones. The limit is own judgement: the far ends of the emptiest zones lie nearer to
//! one of their towns.
//!
//! Fails: latitude 33.4 with the zone Australia/Sydney.
//! Passes: latitude −33.4 there.

use crate::words::field;
use crate::{Findings, Rule, Severity};
use quantity::{Fact, practice};
use study::Study;

pub(crate) static RULE: Rule = Rule {
    code: "P07",
    name: "zone-of-elsewhere",
    severity: Severity::Doubt,
    clause: practice("a place lies in its time zone"),
    text: include_str!("zone_of_elsewhere.rs"),
    check,
};

/// A zone all of whose towns lie farther away is that of another place.
const FAR_KM: f64 = 2000.0;

fn check(study: &Study, findings: &mut Findings<'_>) {
    let place = &study.design.system.place;
    let Some((town, km)) = study::town_of_zone(place) else { return };
    let (Fact::Known(latitude), Fact::Known(zone)) = (&place.latitude, &place.zone) else { return };
    if km <= FAR_KM {
        return;
    }
    let hundreds = (km / 100.0).round() * 100.0;
    findings
        .fails(format!(
            "the nearest town of zone {} is {town}, {hundreds:.0} km from this place",
            zone.value
        ))
        .at_field(field(latitude), "place set here")
        .at_field(field(zone), "zone set here")
        .explains("North is positive and south negative: look whether the latitude lost its sign, or whether latitude and longitude changed places.");
}

#[cfg(test)]
mod tests {
    use crate::trial::{of, verdict};

    #[test]
    fn a_latitude_without_its_sign_is_told() {
        let at = |latitude: &'static str, longitude: &'static str, zone: &'static str| {
            [("place.latitude", latitude), ("place.longitude", longitude), ("place.zone", zone)]
        };
        assert_eq!(verdict("P07", &[]), "passes");
        let sydney = "\"Australia/Sydney\"";
        assert_eq!(verdict("P07", &at("-33.4", "151.3", sydney)), "passes");
        let lost = of("P07", &at("33.4", "151.3", sydney));
        assert!(lost[0].says.contains("AU") && lost[0].at.len() == 2, "{:?}", lost[0]);
        // The north coast of Yakutia lies far from the towns of its zone, and in it all the same.
        assert_eq!(verdict("P07", &at("71.6", "128.9", "\"Asia/Yakutsk\"")), "passes");
        // No town is known of it.
        assert_eq!(verdict("P07", &at("-77.8", "166.7", "\"Antarctica/McMurdo\"")), "passes");
    }
}
