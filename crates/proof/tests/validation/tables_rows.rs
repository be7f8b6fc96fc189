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
    vec![section]
}

fn defined_area(size: Gauge) -> f64 {
    size.circular_mils()
}
