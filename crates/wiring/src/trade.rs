//! What the trade runs and sells, where no rule sets it.

use crate::demand::Demand;
use quantity::{Clause, Gauge, Material, Standing, nec, practice};

/// Smallest conductor for a use, with its reason.
pub(crate) fn smallest(demand: &Demand, material: Material) -> (Gauge, Clause) {
    match (demand, material) {
        (Demand::PvStrings(_), Material::Copper) => (
            Gauge::Awg(10),
            practice(
                "array conductors are run no smaller than 10 AWG, the size module leads and connectors are made for",
            ),
        ),
        (Demand::PvStrings(_), Material::Aluminum) => {
            (Gauge::Awg(8), practice("array conductors of aluminum are run no smaller than 8 AWG"))
        }
        (_, Material::Copper) => (Gauge::Awg(14), nec("2023", "310.3(A)", Standing::Remembered)),
        (_, Material::Aluminum) => (Gauge::Awg(12), nec("2023", "310.3(A)", Standing::Remembered)),
    }
}

/// Largest single conductor before conductors are run in parallel. Battery cable and its lugs are commonly stocked
/// to 4/0, building wire for a house to 500 kcmil (common practice, no source).
pub(crate) fn largest_single(demand: &Demand) -> Gauge {
    match demand {
        Demand::BatteryUnit(_) | Demand::BusToInverters(_) | Demand::ControllerToBus(_) => Gauge::Awg(-3),
        Demand::PvStrings(_)
        | Demand::InverterOutput(_)
        | Demand::Ac(_)
        | Demand::UtilitySupply(_)
        | Demand::GeneratorSupply(_) => Gauge::Kcmil(500),
    }
}
