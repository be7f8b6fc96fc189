//! Tables of the code against the physics and definitions they were printed from: a wrong copy of a cell shows here.

use std::f64::consts::PI;

use quantity::{Gauge, Material, units};
use tables::{Insulation, RacewayKind, TerminalColumn};

use crate::record::{Allowed, Largest, Section, Standing};

pub(crate) fn sections() -> Vec<Section> {
    let mut section = Section::new(
        "Tables of the code",
        "NEC 2023, from second-hand copies. Each row is held to what it was printed from, so that a copying error shows; the \
         tests of `crates/tables` hold every row, and cells of published examples and of old editions, besides.",
    );
    let code = Standing::SecondHand;

    let mut factors = Largest::default();
    for column in TerminalColumn::ALL {
        let mut top = 10.0;
        while let Ok(printed) = tables::ambient_factor(top, column) {
            let by_equation = ((column.celsius() - top) / (column.celsius() - 30.0)).sqrt();
            factors.see(printed.si() - by_equation);
            top += 5.0;
        }
    }
    section.row(
        "Table 310.15(B)(1), factors for air temperature",
        "NEC 2023, 310.15(B), equation: √((Tc − Ta′) / (Tc − 30)) at the top of each band",
        &factors,
        "",
        Allowed(0.009, "two printed decimals, some rounded down by the code"),
        code,
    );

    let [mut areas, mut copper, mut aluminum]: [Largest; 3] = Default::default();
    // Standard annealed copper 10.371 Ω·cmil/ft and aluminum of 61 % at 20 °C, to 75 °C with 0.00393 and 0.00403 per
    // kelvin; stranding adds 2 %.
    let resistivity = |at_20: f64, change: f64| at_20 * (1.0 + change * 55.0) * 1.02;
    for size in tables::sizes(Material::Copper) {
        let Ok(area) = tables::circular_mils(size) else { continue };
        let cmil = units::CIRCULAR_MIL.of_si(area.si());
        areas.see(100.0 * (cmil / defined_area(size) - 1.0));
        for (material, at_20, change, seen) in [
            (Material::Copper, 10.371, 0.003_93, &mut copper),
            (Material::Aluminum, 17.002, 0.004_03, &mut aluminum),
        ] {
            let Ok(resistance) = tables::dc_resistance(size, material, true, false) else { continue };
            let per_kilofoot = units::OHM_PER_KILOFOOT.of_si(resistance.si());
            seen.see(100.0 * (per_kilofoot * cmil / 1000.0 / resistivity(at_20, change) - 1.0));
        }
    }
    section.row(
        "Chapter 9 table 8, areas",
        "definition of the gauge, 92^((36 − n)/39) · 5 mil (ASTM B258)",
        &areas,
        "%",
        Allowed(0.3, "four printed digits of some sizes"),
        code,
    );
    let stranding = "three printed digits, and stranding near 2 % by size";
    section.row(
        "Chapter 9 table 8, copper at 75 °C",
        "annealed copper, 10.371 Ω·cmil/ft at 20 °C (ASTM B3), stranded",
        &copper,
        "%",
        Allowed(1.0, stranding),
        code,
    );
    section.row(
        "Chapter 9 table 8, aluminum at 75 °C",
        "aluminum of 61 % conductivity, 17.002 Ω·cmil/ft at 20 °C (ASTM B230), stranded",
        &aluminum,
        "%",
        Allowed(1.0, stranding),
        code,
    );

    let [mut bores, mut shares]: [Largest; 2] = Default::default();
    for kind in RacewayKind::ALL {
        for trade in tables::trade_sizes(kind) {
            let diameter = tables::raceway_internal_diameter(kind, trade).expect("a listed size").si();
            let area = tables::raceway_area(kind, trade).expect("a listed size").si();
            bores.see(100.0 * (area / (PI / 4.0 * diameter * diameter) - 1.0));
            for (count, nipple, share) in
                [(3, false, 0.40), (1, false, 0.53), (2, false, 0.31), (3, true, 0.60)]
            {
                let printed =
                    tables::raceway_fill_area(kind, trade, count, nipple).expect("a listed size").si();
                shares.see(units::SQUARE_INCH.of_si(printed - share * area));
            }
        }
    }
    section.row(
        "Chapter 9 table 4, areas of raceways",
        "π/4 of the printed diameter, squared",
        &bores,
        "%",
        Allowed(0.3, "half a unit of three printed decimals of area, 0.26 % of the smallest"),
        code,
    );
    section.row(
        "Chapter 9 table 4, columns of fill",
        "53, 31, 40 and 60 % of the area (chapter 9 table 1)",
        &shares,
        "in²",
        Allowed(0.0011, "three printed decimals, areas rounded before the product"),
        code,
    );
    let mut covered = Largest::default();
    for insulation in Insulation::ALL {
        // The outside size of PV wire is an estimate and marked so.
        if insulation == Insulation::PvWire {
            continue;
        }
        for size in tables::insulated_sizes(insulation) {
            let diameter = tables::conductor_diameter(insulation, size).expect("a listed size").si();
            let area = tables::conductor_area(insulation, size).expect("a listed size").si();
            covered.see(units::SQUARE_INCH.of_si(area - PI / 4.0 * diameter * diameter));
        }
    }
    section.row(
        "Chapter 9 table 5, areas of insulated conductors",
        "π/4 of the printed diameter, squared",
        &covered,
        "in²",
        Allowed(5.1e-5, "half a unit of four printed decimals"),
        code,
    );
    let mut pipe = Largest::default();
    for step in 1..=40 {
        let change_f = 5.0 * f64::from(step);
        let printed = tables::pvc_length_change(change_f).expect("a row").si();
        // Printed in inches per hundred feet.
        pipe.see(1200.0 * (printed - 3.38e-5 * change_f));
    }
    section.row(
        "Table 352.44, lengthening of plastic pipe",
        "3.38e-5 in/in·°F of its heading",
        &pipe,
        "in per 100 ft",
        Allowed(0.0051, "two printed decimals"),
        code,
    );
    columns_of_ampacity(&mut section);
    metric_tables(&mut section);
    vec![section]
}

/// Heat out over heat in: the square of the current times the resistance at the conductor's temperature is what its rise
/// above 30 °C carries away, so that one column follows from another by the ratio alone.
fn columns_of_ampacity(section: &mut Section) {
    let mut columns = Largest::default();
    for (material, inferred_zero) in [(Material::Copper, 234.5), (Material::Aluminum, 228.1)] {
        for size in tables::sizes(material) {
            let amps = |column| tables::ampacity(size, material, column).ok().map(|found| found.si());
            let Some(at_75) = amps(TerminalColumn::C75) else { continue };
            for column in [TerminalColumn::C60, TerminalColumn::C90] {
                let Some(printed) = amps(column) else { continue };
                let (celsius, resistance) = (column.celsius(), inferred_zero + 75.0);
                let law = ((celsius - 30.0) / 45.0 * resistance / (inferred_zero + celsius)).sqrt();
                columns.see(printed - at_75 * law);
            }
        }
    }
    section.row(
        "Table 310.16, columns of 60 and 90 °C from that of 75 °C, copper and aluminum",
        "IEEE 835 and NEC 310.14(B), the equation of Neher and McGrath without losses of the insulation: \
         √((Tc − 30)/45 · R75/RTc); resistance zero at −234.5 and −228.1 °C",
        &columns,
        "A",
        Allowed(2.6, "both columns are rounded to 5 A"),
        Standing::SecondHand,
    );
}

fn square_millimetres(size: Gauge) -> Option<f64> {
    match size {
        Gauge::HundredthsMm2(hundredths) => Some(f64::from(hundredths) / 100.0),
        _ => None,
    }
}

/// Sizes up to which annex D of IEC 60364-5-52 fits: beyond, edition 2009 lowered the printed currents and kept the fit.
const FITTED_UP_TO: f64 = 120.0;

fn metric_tables(section: &mut Section) {
    use tables::{Medium, Method, MetricInsulation};
    let pvc = MetricInsulation::Pvc70;
    let mut currents = Largest::default();
    for (method, loaded, factor, power) in [
        (Method::B1, 2, 13.5, 0.625),
        (Method::B1, 3, 11.84, 0.628),
        (Method::B2, 2, 13.1, 0.600),
        (Method::B2, 3, 11.65, 0.6005),
    ] {
        for size in tables::iec_sizes(Material::Copper) {
            let Some(area) = square_millimetres(size).filter(|area| *area <= FITTED_UP_TO) else { continue };
            // Annex D takes 47.5 mm² where 50 mm² is said.
            let area = if area == 50.0 { 47.5 } else { area };
            let printed = tables::iec_ampacity(size, Material::Copper, pvc, method, loaded)
                .expect("a listed size")
                .si();
            currents.see(100.0 * (factor * area.powf(power) / printed - 1.0));
        }
    }
    section.row(
        "IEC 60364-5-52, currents of PVC in conduit and trunking, 1.5 to 120 mm², two and three loaded",
        "annex D, I = A·S^m with its A and m for methods B1 and B2",
        &currents,
        "%",
        Allowed(1.5, "printed in whole amperes, the smallest in halves: half a unit of 15.5 A is 1.6 %"),
        Standing::Remembered,
    );
    let mut hot = Largest::default();
    for (area, printed) in
        [(10.0, [46.0, 40.0, 36.0, 33.0, 28.0]), (120.0, [206.0, 179.0, 163.0, 146.0, 126.0])]
    {
        for (celsius, wanted) in [30.0, 40.0, 45.0, 50.0, 55.0].into_iter().zip(printed) {
            let size = Gauge::HundredthsMm2((area * 100.0_f64).round() as u32);
            let current =
                tables::iec_ampacity(size, Material::Copper, pvc, Method::B2, 3).expect("a listed size").si();
            let factor = tables::iec_ambient_factor(celsius, pvc, Medium::Air).expect("a row").si();
            hot.see(current * factor - wanted);
        }
    }
    section.row(
        "The same in hot rooms: 10 and 120 mm², method B2, three loaded, 30 to 55 °C",
        "cable tables of a machine's manual by IEC: 46, 40, 36, 33, 28 A and 206, 179, 163, 146, 126 A",
        &hot,
        "A",
        Allowed(0.5, "printed in whole amperes"),
        Standing::Read,
    );
    let mut metals = Largest::default();
    for insulation in [MetricInsulation::Pvc70, MetricInsulation::Xlpe90] {
        for (method, loaded) in [
            (Method::B1, 2),
            (Method::B1, 3),
            (Method::C, 2),
            (Method::C, 3),
            (Method::D1, 2),
            (Method::D1, 3),
        ] {
            for size in tables::iec_sizes(Material::Aluminum) {
                let amps = |metal| {
                    tables::iec_ampacity(size, metal, insulation, method, loaded).expect("a row").si()
                };
                let ohms = |metal| tables::iec_resistance(size, metal, false).expect("a row").si();
                let law = (ohms(Material::Copper) / ohms(Material::Aluminum)).sqrt();
                metals.see(100.0 * (amps(Material::Aluminum) / amps(Material::Copper) / law - 1.0));
            }
        }
    }
    section.row(
        "IEC 60364-5-52, currents of aluminum beside copper, 10 to 240 mm², methods B1, C and D1",
        "equal heat: the root of the resistances of IEC 60228",
        &metals,
        "%",
        Allowed(
            6.5,
            "on a wall from 25 mm² aluminum is printed for sector-shaped conductors, which carry less",
        ),
        Standing::Remembered,
    );
    let mut wires = Largest::default();
    for size in tables::iec_sizes(Material::Copper) {
        let Some(area) = square_millimetres(size) else { continue };
        let ohm_per_km =
            tables::iec_resistance(size, Material::Copper, false).expect("a listed size").si() * 1e3;
        wires.see(100.0 * (ohm_per_km * area / 17.241 - 1.0));
    }
    section.row(
        "IEC 60228, largest resistance of class 2 copper at 20 °C, by area",
        "annealed copper, 17.241 Ω·mm²/km (IEC 60028)",
        &wires,
        "%",
        Allowed(13.0, "a largest value: nominal areas exceed the metal, 50 mm² by 6 %, and stranding adds some per cent"),
        Standing::SecondHand,
    );
}

fn defined_area(size: Gauge) -> f64 {
    size.circular_mils()
}
