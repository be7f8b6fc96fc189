//! Equipment grounding conductors: NEC table 250.122, and their increase with the circuit conductors.

use crate::at_least;
use crate::sizing::Size;
use quantity::{
    Area, Choice, Clause, Count, Current, Gauge, Material, Standing, Traced, formula, nec, units,
};
use std::sync::Arc;

const PARALLEL: Clause = Clause {
    document: "definition",
    edition: "",
    clause: "areas in parallel add",
    standing: Standing::Computed,
};

/// Circular mils of the equipment ground in proportion to the circuit conductors: `base` of table 250.122,
/// `installed` and `sufficient` of the circuit conductors.
pub fn proportional_ground(base: f64, installed: f64, sufficient: f64) -> f64 {
    base * installed / sufficient
}

formula! {
    /// Explained twin of [`proportional_ground`].
    pub ProportionalGround = proportional_ground(
        base: Area as CIRCULAR_MIL = "equipment ground of the table",
        installed: Area as CIRCULAR_MIL = "circuit conductors as installed",
        sufficient: Area as CIRCULAR_MIL = "smallest circuit conductors with sufficient ampacity",
    ) -> Area as CIRCULAR_MIL,
    text: "base · installed / sufficient",
    clause: nec("2023", "250.122(B)", Standing::SecondHand),
}

/// Conductors in parallel have the sum of their areas.
pub fn area_of_sets(each: f64, sets: f64) -> f64 {
    each * sets
}

formula! {
    /// Explained twin of [`area_of_sets`].
    pub AreaOfSets = area_of_sets(
        each: Area as CIRCULAR_MIL = "area of one conductor",
        sets: Count as COUNT = "conductors in parallel per pole",
    ) -> Area as CIRCULAR_MIL,
    text: "each · sets",
    clause: PARALLEL,
}

/// What an equipment ground is sized on.
#[derive(Clone, Debug, PartialEq)]
pub struct GroundBasis<'a> {
    /// Rating of the circuit's device, or of the device its size would be found with where none is needed.
    pub device: &'a Traced<Current>,
    /// Metal of the equipment ground.
    pub material: Material,
    /// Circuit conductors as installed, with their origin.
    pub installed: &'a Traced<Gauge>,
    /// Installed conductors in parallel per pole.
    pub sets: &'a Traced<Count>,
    /// Smallest circuit conductors with sufficient ampacity after all factors.
    pub sufficient: Size,
    /// Array circuits need no increase for voltage drop (NEC 690.45, from memory).
    pub is_pv: bool,
}

/// Equipment ground for each raceway of a circuit; `None` when the tables hold no answer.
pub fn equipment_ground(basis: &GroundBasis<'_>) -> Option<Traced<Gauge>> {
    let base = tables::equipment_ground(basis.device.si(), basis.material).ok()?;
    let grown = basis.installed.value.circular_mils() * f64::from(basis.sets.count().max(1));
    let sufficient = basis.sufficient.gauge.circular_mils() * f64::from(basis.sufficient.sets);
    let mut terms =
        vec![basis.device.term("device", &units::AMPERE), base.size_term("equipment ground of the table")];
    let mut clause = nec("2023", "250.122(A)", Standing::SecondHand);
    let mut because = String::from("table 250.122 by the rating of the device");
    let mut gauge = base.value;
    if at_least(sufficient, grown) {
        // Not increased beyond what suffices: the table stands.
    } else if basis.is_pv {
        clause = nec("2023", "690.45", Standing::SecondHand);
        because.push_str("; array conductors larger than their current asks for do not increase it");
    } else {
        let needed = proportional(&base, basis)?;
        // Above the largest size of the table the circuit conductors themselves are the bound.
        gauge = tables::smallest_size_of_area(units::CIRCULAR_MIL.of_si(needed.si()))
            .map_or(basis.installed.value, |row| row.value)
            .max(base.value);
        clause = nec("2023", "250.122(B)", Standing::SecondHand);
        because = format!("increased in proportion to the circuit conductors, from {}", base.value);
        terms.push(needed.term("area in proportion", &units::CIRCULAR_MIL));
    }
    // It never has to be larger than the circuit conductors.
    if gauge > basis.installed.value {
        gauge = basis.installed.value;
        because.push_str("; never larger than the circuit conductors");
        terms.push(basis.installed.size_term("circuit conductors"));
    }
    Some(Traced::found(gauge, Choice { because: because.into(), runner_up: Arc::from(""), clause, terms }))
}

fn proportional(base: &Traced<Gauge>, basis: &GroundBasis<'_>) -> Option<Traced<Area>> {
    let area = |gauge: Gauge| tables::circular_mils(gauge).ok();
    let sufficient_sets = Traced { value: Count(basis.sufficient.sets), origin: basis.sets.origin.clone() };
    Some(ProportionalGround::of(
        &area(base.value)?,
        &AreaOfSets::of(&area(basis.installed.value)?, basis.sets),
        &AreaOfSets::of(&area(basis.sufficient.gauge)?, &sufficient_sets),
    ))
}

/// Grounding electrode conductor of a service, or to one kind of electrode alone, where it need not be larger than a
/// size of its own; `None` when the tables hold no answer.
///
/// Sources: NEC 2023 table 250.66, 250.66(A) and (B).
pub fn electrode_ground(
    service: &Traced<Gauge>,
    sets: u32,
    service_material: Material,
    material: Material,
    only_to: Option<tables::Electrode>,
) -> Option<Traced<Gauge>> {
    let each = tables::circular_mils(service.value).ok()?;
    let area = units::CIRCULAR_MIL.of_si(each.si()) * f64::from(sets.max(1));
    let table = tables::electrode_conductor_of_area(area, service_material, material).ok()?;
    let mut terms = vec![
        service.size_term("largest service conductor"),
        table.size_term("electrode conductor of the table"),
    ];
    let (mut gauge, mut because) = (table.value, "table 250.66 by the service conductors".to_string());
    if let Some(limit) = only_to.and_then(|electrode| tables::electrode_limit(electrode, material))
        && limit.value < gauge
    {
        gauge = limit.value;
        because.push_str("; to this electrode alone it need not be larger");
        terms.push(limit.size_term("need not exceed"));
    }
    let clause = nec("2023", "250.66", Standing::SecondHand);
    Some(Traced::found(gauge, Choice { because: because.into(), runner_up: Arc::from(""), clause, terms }))
}
