//! Cell temperatures against a table computed apart from this program.

mod common;

use array::cell_temperature::{CellTemperatureModel, Mounting, wind_at_height_m_s};
use common::{Largest, rows};

const CHECKS: &str = include_str!("../../../cases/solar/cell_temperature_checks.csv");
const KING: &str = include_str!("../../../cases/solar/cell_temperature_king2004_coeffs.csv");

fn king(module_type: &str, mount: &str) -> Option<CellTemperatureModel> {
    let table = rows(KING);
    let row =
        table.iter().find(|row| row.text("module_type") == module_type && row.text("mount") == mount)?;
    Some(CellTemperatureModel::King {
        a: row.number("a"),
        b: row.number("b"),
        delta_k: row.number("deltaT_C"),
    })
}

fn model(name: &str) -> CellTemperatureModel {
    match name {
        "faiman_u0_25_u1_6.84" => CellTemperatureModel::OPEN_RACK,
        "noct_45_tau_alpha_0.9_eta_0_linear" => CellTemperatureModel::Noct { noct_c: 45.0 },
        "noct_45_duffie_beckman_eta0.18_ta0.9_windcorrected" => CellTemperatureModel::NoctWithWind {
            noct_c: 45.0,
            efficiency: 0.18,
            transmittance_absorptance: 0.9,
        },
        "king2004_cell glass/cell/glass open rack" => king("glass/cell/glass", "open rack").expect("a row"),
        "king2004_cell glass/cell/glass close roof mount" => {
            CellTemperatureModel::for_mounting(Mounting::CloseToRoof)
        }
        "king2004_cell glass/cell/polymer sheet open rack" => {
            king("glass/cell/polymer sheet", "open rack").expect("a row")
        }
        "king2004_cell glass/cell/polymer sheet insulated back" => {
            CellTemperatureModel::for_mounting(Mounting::InsulatedBack)
        }
        other => panic!("no model for {other}"),
    }
}

#[test]
fn every_model_gives_the_tabled_temperature() {
    let mut largest = Largest::default();
    let table = rows(CHECKS);
    assert_eq!(table.len(), 35);
    for row in &table {
        let wind = row.text("wind_m_s").parse().unwrap_or(0.0);
        let found = model(row.text("model")).cell_c(row.number("poa_W_m2"), row.number("T_air_C"), wind);
        largest.see(
            found - row.number("T_cell_C"),
            format!("{} {} W/m²", row.text("model"), row.text("poa_W_m2")),
        );
    }
    // Half a unit of four printed decimals, and a tenth.
    largest.at_most("cell temperature, K", 5.5e-5);
}

#[test]
fn the_coefficients_of_the_mountings_are_those_of_the_table() {
    assert_eq!(
        king("glass/cell/glass", "close roof mount"),
        Some(CellTemperatureModel::for_mounting(Mounting::CloseToRoof))
    );
    assert_eq!(
        king("glass/cell/polymer sheet", "insulated back"),
        Some(CellTemperatureModel::for_mounting(Mounting::InsulatedBack))
    );
}

#[test]
fn a_mounting_with_less_air_is_never_cooler() {
    for light in [0.0, 200.0, 700.0, 1100.0] {
        for wind in [0.0, 1.0, 3.0, 8.0] {
            let cell = |mounting| CellTemperatureModel::for_mounting(mounting).cell_c(light, 20.0, wind);
            assert!(cell(Mounting::OpenRack) <= cell(Mounting::CloseToRoof));
            assert!(cell(Mounting::CloseToRoof) <= cell(Mounting::InsulatedBack));
        }
    }
}

#[test]
fn wind_near_the_ground_is_less_than_at_ten_metres() {
    // (2/10)^(1/7) = exp(-1.609438/7) = 0.79460.
    assert!((wind_at_height_m_s(5.0, 2.0) - 5.0 * 0.794_60).abs() < 1e-4);
    assert_eq!(wind_at_height_m_s(5.0, 10.0), 5.0);
}
