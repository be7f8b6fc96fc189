//! Equipment grounding and grounding electrode conductors, NEC Tables 250.122 and 250.66.

use crate::error::finite;
use crate::{TableError, circular_mils, file, sheet};
use quantity::{Clause, Gauge, Material, SAME, Standing, TableRow, Traced, nec, units};
use std::sync::OnceLock;

/// Smallest equipment grounding conductor behind a device.
///
/// - `device_amps`: rating of the overcurrent device ahead, above 0 up to 6000 A.
/// - `material`: metal of the grounding conductor.
///
/// The increase with upsized conductors, 250.122(B), is the caller's. Source: NEC 2023 Table 250.122.
///
/// # Errors
/// [`TableError::Above`], [`TableError::Below`] or [`TableError::NotANumber`].
pub fn equipment_ground(device_amps: f64, material: Material) -> Result<Traced<Gauge>, TableError> {
    let what = "overcurrent device";
    let amps = finite(device_amps, &EQUIPMENT, what)?;
    if amps <= 0.0 {
        return Err(TableError::Below { table: &EQUIPMENT, what, asked: amps, least: 0.0, unit: "A" });
    }
    let Some(found) = devices().iter().find(|row| amps <= row.device_a * (1.0 + SAME)) else {
        let most = devices().last().map_or(0.0, |row| row.device_a);
        return Err(TableError::Above { table: &EQUIPMENT, what, asked: amps, most, unit: "A" });
    };
    let named = format!("device not exceeding {} A, {}", found.device_a, material.in_words());
    let row = TableRow { clause: EQUIPMENT, row: named.into(), standing: found.standing };
    Ok(Traced::tabled(of(material, found.copper, found.aluminum), row))
}

/// Grounding electrode conductor for a service of single conductors.
///
/// - `service`, `service_material`: the largest ungrounded service conductor.
/// - `material`: metal of the electrode conductor.
///
/// Source: NEC 2023 Table 250.66.
///
/// # Errors
/// [`TableError::NoSuchSize`] for metric sizes.
pub fn electrode_conductor(
    service: Gauge,
    service_material: Material,
    material: Material,
) -> Result<Traced<Gauge>, TableError> {
    electrode_conductor_of_area(printed_area(service)?, service_material, material)
}

/// Grounding electrode conductor for parallel service conductors: by the sum of the areas of one phase.
///
/// - `area_cmil`: equivalent area, circular mils, above 0.
///
/// Source: NEC 2023 Table 250.66 and its Note 1.
///
/// # Errors
/// [`TableError::Below`] or [`TableError::NotANumber`].
pub fn electrode_conductor_of_area(
    area_cmil: f64,
    service_material: Material,
    material: Material,
) -> Result<Traced<Gauge>, TableError> {
    let what = "equivalent service conductor area";
    let area = finite(area_cmil, &ELECTRODE, what)?;
    if area <= 0.0 {
        return Err(TableError::Below { table: &ELECTRODE, what, asked: area, least: 0.0, unit: "cmil" });
    }
    let limit = |row: &Service| match service_material {
        Material::Copper => row.copper,
        Material::Aluminum => row.aluminum,
    };
    let fits = |row: &&Service| limit(row).is_none_or(|(_, cmil)| area <= cmil * (1.0 + SAME));
    let Some(found) = services().iter().find(fits) else {
        // The last row is open, so this arm is met only if the data file lost it.
        return Err(TableError::NotANumber { table: &ELECTRODE, what });
    };
    let metal = service_material.in_words();
    let bound = match (limit(found), services().iter().filter_map(limit).next_back()) {
        (Some((size, _)), _) => format!("service to {size} {metal}"),
        (None, Some((size, _))) => format!("service over {size} {metal}"),
        (None, None) => format!("any {metal} service"),
    };
    let row = TableRow {
        clause: ELECTRODE,
        row: format!("{bound}, {} electrode conductor", material.in_words()).into(),
        standing: found.standing,
    };
    Ok(Traced::tabled(of(material, found.electrode_copper, found.electrode_aluminum), row))
}

/// A grounding electrode whose own conductor need not follow the service.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Electrode {
    /// Rod, pipe or plate.
    RodPipePlate,
    /// Concrete-encased.
    ConcreteEncased,
}

/// Size that the conductor to only this electrode need not exceed; `None` where no allowance was read for the metal.
///
/// Source: NEC 2023 250.66(A) and (B).
pub fn electrode_limit(electrode: Electrode, material: Material) -> Option<Traced<Gauge>> {
    let found = allowances().iter().find(|row| row.electrode == electrode)?;
    let (clause, words) = match electrode {
        Electrode::RodPipePlate => ("250.66(A)", "rod, pipe or plate"),
        Electrode::ConcreteEncased => ("250.66(B)", "concrete-encased"),
    };
    let size = of(material, found.copper, found.aluminum)?;
    let row = TableRow {
        clause: nec("2023", clause, Standing::SecondHand),
        row: format!("only to a {words} electrode, {}", material.in_words()).into(),
        standing: found.standing,
    };
    Some(Traced::tabled(size, row))
}

const EQUIPMENT: Clause = nec("2023", "Table 250.122", Standing::SecondHand);
const ELECTRODE: Clause = nec("2023", "Table 250.66", Standing::SecondHand);

fn of<T>(material: Material, copper: T, aluminum: T) -> T {
    match material {
        Material::Copper => copper,
        Material::Aluminum => aluminum,
    }
}

/// Area in circular mils: as Table 8 prints it; a kcmil size is its area by definition, also beyond that table.
fn printed_area(size: Gauge) -> Result<f64, TableError> {
    match size {
        Gauge::Kcmil(thousands) => Ok(f64::from(thousands) * 1000.0),
        _ => Ok(units::CIRCULAR_MIL.of_si(circular_mils(size)?.si())),
    }
}

struct Device {
    device_a: f64,
    copper: Gauge,
    aluminum: Gauge,
    standing: Standing,
}

fn devices() -> &'static [Device] {
    static ROWS: OnceLock<Vec<Device>> = OnceLock::new();
    ROWS.get_or_init(|| {
        sheet::rows(file::EQUIPMENT_GROUND, |line| {
            Some(Device {
                device_a: line.value("device_a")?,
                copper: line.size("copper")?,
                aluminum: line.size("aluminum")?,
                standing: line.standing()?,
            })
        })
    })
}

struct Service {
    /// Largest service conductor of the row with its area in circular mils; `None` in the open last row.
    copper: Option<(Gauge, f64)>,
    aluminum: Option<(Gauge, f64)>,
    electrode_copper: Gauge,
    electrode_aluminum: Gauge,
    standing: Standing,
}

fn services() -> &'static [Service] {
    static ROWS: OnceLock<Vec<Service>> = OnceLock::new();
    ROWS.get_or_init(|| {
        sheet::rows(file::ELECTRODE, |line| {
            let largest = |column| match line.optional_size(column)? {
                Some(size) => Some(Some((size, printed_area(size).ok()?))),
                None => Some(None),
            };
            Some(Service {
                copper: largest("service_copper")?,
                aluminum: largest("service_aluminum")?,
                electrode_copper: line.size("electrode_copper")?,
                electrode_aluminum: line.size("electrode_aluminum")?,
                standing: line.standing()?,
            })
        })
    })
}

struct Allowance {
    electrode: Electrode,
    copper: Option<Gauge>,
    aluminum: Option<Gauge>,
    standing: Standing,
}

fn allowances() -> &'static [Allowance] {
    static ROWS: OnceLock<Vec<Allowance>> = OnceLock::new();
    ROWS.get_or_init(|| {
        sheet::rows(file::ELECTRODE_LIMIT, |line| {
            Some(Allowance {
                electrode: match line.text("electrode")? {
                    "rod, pipe or plate" => Electrode::RodPipePlate,
                    "concrete-encased" => Electrode::ConcreteEncased,
                    _ => return None,
                },
                copper: line.optional_size("copper")?,
                aluminum: line.optional_size("aluminum")?,
                standing: line.standing()?,
            })
        })
    })
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use Material::{Aluminum, Copper};

    fn ground(amps: f64, material: Material) -> String {
        equipment_ground(amps, material).unwrap().value.to_string()
    }

    /// Published: 20 A takes 12 AWG, 40 A 10 AWG, 200 A 6 AWG, 300 A 4 AWG; a 125 A circuit takes 6 AWG, not the
    /// 8 AWG one trade discussion printed.
    #[test]
    fn grounds_of_published_examples_hold() {
        let found = [20.0, 40.0, 200.0, 300.0, 125.0].map(|amps| ground(amps, Copper));
        assert_eq!(found, ["12 AWG", "10 AWG", "6 AWG", "4 AWG", "6 AWG"]);
        assert_eq!(ground(200.0, Aluminum), "4 AWG");
        assert_eq!(ground(6000.0, Aluminum), "1250 kcmil");
    }

    #[test]
    fn a_larger_device_never_takes_a_smaller_ground_and_aluminum_is_larger() {
        assert_eq!(devices().len(), 19);
        for pair in devices().windows(2) {
            assert!(pair[0].device_a < pair[1].device_a);
            assert!(pair[0].copper <= pair[1].copper && pair[0].aluminum <= pair[1].aluminum);
        }
        assert!(devices().iter().all(|row| row.aluminum > row.copper));
    }

    #[test]
    fn outside_table_250_122_is_an_error() {
        assert!(matches!(equipment_ground(6001.0, Copper), Err(TableError::Above { .. })));
        assert!(matches!(equipment_ground(0.0, Copper), Err(TableError::Below { .. })));
        assert!(matches!(equipment_ground(f64::NAN, Copper), Err(TableError::NotANumber { .. })));
    }

    fn electrode(service: &str, service_material: Material, material: Material) -> String {
        electrode_conductor(Gauge::read(service).unwrap(), service_material, material)
            .unwrap()
            .value
            .to_string()
    }

    /// One published copy prints "1 or smaller" for aluminum in the first row, which would leave 1/0 without a row.
    #[test]
    fn a_1_0_aluminum_service_is_in_the_first_row() {
        assert_eq!(electrode("1/0 AWG", Aluminum, Copper), "8 AWG");
        assert_eq!(electrode("2/0 AWG", Aluminum, Copper), "6 AWG");
    }

    #[test]
    fn every_row_of_table_250_66_answers_at_its_ends() {
        for (service, cu) in [
            ("4 AWG", "8 AWG"),
            ("2 AWG", "8 AWG"),
            ("1 AWG", "6 AWG"),
            ("1/0 AWG", "6 AWG"),
            ("2/0 AWG", "4 AWG"),
            ("3/0 AWG", "4 AWG"),
            ("4/0 AWG", "2 AWG"),
            ("350 kcmil", "2 AWG"),
            ("400 kcmil", "1/0 AWG"),
            ("600 kcmil", "1/0 AWG"),
            ("700 kcmil", "2/0 AWG"),
            ("1100 kcmil", "2/0 AWG"),
            ("1250 kcmil", "3/0 AWG"),
        ] {
            assert_eq!(electrode(service, Copper, Copper), cu, "{service}");
        }
        for (service, al) in [
            ("3/0 AWG", "4 AWG"),
            ("4/0 AWG", "2 AWG"),
            ("250 kcmil", "2 AWG"),
            ("500 kcmil", "1/0 AWG"),
            ("900 kcmil", "3/0 AWG"),
            ("1750 kcmil", "4/0 AWG"),
            ("2000 kcmil", "250 kcmil"),
        ] {
            assert_eq!(electrode(service, Aluminum, Aluminum), al, "{service}");
        }
    }

    #[test]
    fn parallel_services_count_by_the_sum_of_their_areas() {
        // Two 3/0 in parallel are 335,600 cmil, in the row to 350 kcmil.
        let found = electrode_conductor_of_area(335_600.0, Copper, Copper).unwrap();
        assert_eq!(found.value, Gauge::Awg(2));
        assert!(electrode_conductor_of_area(0.0, Copper, Copper).is_err());
        assert!(electrode_conductor_of_area(f64::NAN, Copper, Copper).is_err());
        assert!(electrode_conductor(Gauge::HundredthsMm2(9500), Copper, Copper).is_err());
    }

    #[test]
    fn a_rod_needs_no_more_than_6_awg_copper() {
        let size = |electrode, material| electrode_limit(electrode, material).map(|found| found.value);
        assert_eq!(size(Electrode::RodPipePlate, Copper), Some(Gauge::Awg(6)));
        assert_eq!(size(Electrode::RodPipePlate, Aluminum), Some(Gauge::Awg(4)));
        assert_eq!(size(Electrode::ConcreteEncased, Copper), Some(Gauge::Awg(4)));
        assert_eq!(size(Electrode::ConcreteEncased, Aluminum), None);
    }
}
