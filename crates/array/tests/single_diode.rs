//! The single-diode model against curves solved apart from this program and a measured cell.

#![allow(clippy::print_stdout)]

mod common;

use array::data_sheet_fit::{DataSheet, DataSheetError, Held, fit};
use array::single_diode::{Diode, ReferenceModule};
use common::{Largest, Row, rows};
use proptest::prelude::*;

const SETS: &str = include_str!("../../../cases/solar/iv_desoto_reference_parameters.csv");
const POINTS: &str = include_str!("../../../cases/solar/iv_desoto_checks.csv");
const CELL: &str = include_str!("../../../cases/solar/iv_easwarakhanthan_cell.csv");

fn sheet(row: &Row) -> DataSheet {
    DataSheet {
        voc_v: row.number("Voc"),
        isc_a: row.number("Isc"),
        vmp_v: row.number("Vmp"),
        imp_a: row.number("Imp"),
        alpha_isc_a_per_k: row.number("alpha_Isc_A_K"),
        beta_voc_v_per_k: row.number("beta_Voc_V_K"),
        cells_in_series: row.text("Ns").parse().expect("a count"),
        pmax_w: None,
        gamma_pmax_per_k: None,
    }
}

fn module(row: &Row) -> ReferenceModule {
    ReferenceModule {
        light_current_a: row.number("IL_ref_A"),
        log_saturation_current: row.number("Io_ref_A").ln(),
        ideality_v: row.number("a_ref_V"),
        series_ohm: row.number("Rs_ohm"),
        shunt_siemens: 1.0 / row.number("Rsh_ref_ohm"),
        alpha_isc_a_per_k: row.number("alpha_Isc_A_K"),
    }
}

fn invented() -> DataSheet {
    DataSheet {
        voc_v: 37.2,
        isc_a: 13.85,
        vmp_v: 30.9,
        imp_a: 12.95,
        alpha_isc_a_per_k: 0.0062,
        beta_voc_v_per_k: -0.0967,
        cells_in_series: 54,
        pmax_w: Some(400.0),
        gamma_pmax_per_k: Some(-0.0034),
    }
}

#[test]
fn four_data_sheets_give_the_reference_parameters() {
    let mut largest = Largest::default();
    for row in rows(SETS) {
        let fitted = fit(&sheet(&row)).expect("a consistent data sheet");
        assert_eq!(fitted.held, Held::Nothing);
        let expected = module(&row);
        let set = row.text("set");
        let mut see =
            |name: &str, found: f64, wanted: f64| largest.see(found / wanted - 1.0, format!("{set} {name}"));
        see("a", fitted.module.ideality_v, expected.ideality_v);
        see("IL", fitted.module.light_current_a, expected.light_current_a);
        see("Io", fitted.module.log_saturation_current.exp(), expected.log_saturation_current.exp());
        see("Rs", fitted.module.series_ohm, expected.series_ohm);
        see("Rsh", fitted.module.shunt_siemens, expected.shunt_siemens);
    }
    // The table prints ten digits: half a unit of the last one is at most 5e-10 of the value; as much again for the
    // conditioning of the five equations.
    largest.at_most("five parameters, relative", 1e-9);
}

#[test]
fn a_fit_passes_through_the_points_of_its_data_sheet() {
    let mut largest = Largest::default();
    for row in rows(SETS) {
        let fitted = fit(&sheet(&row)).expect("a consistent data sheet");
        let residuals = fitted.residuals;
        for value in
            [residuals.isc_a, residuals.voc_v, residuals.vmp_v, residuals.imp_a, residuals.beta_voc_v_per_k]
        {
            largest.see(value, row.text("set"));
        }
    }
    // The data-sheet points are promised to 1e-9.
    largest.at_most("fit residuals, V A V/K", 1e-9);
}

#[test]
fn translated_key_points_agree_with_the_reference() {
    let sets = rows(SETS);
    let mut parameters = Largest::default();
    let mut points = Largest::default();
    let mut powers = Largest::default();
    for row in rows(POINTS) {
        let set = sets.iter().find(|set| set.text("set") == row.text("set")).expect("the set of the row");
        let diode = module(set).at(row.number("G_W_m2"), row.number("Tcell_C"));
        let place = format!("{} {} {}", row.text("set"), row.text("G_W_m2"), row.text("Tcell_C"));
        parameters.see(diode.ideality_v / row.number("a_V") - 1.0, place.clone());
        parameters.see(diode.light_current_a / row.number("IL_A") - 1.0, place.clone());
        parameters.see(diode.saturation_current_a / row.number("Io_A") - 1.0, place.clone());
        parameters.see(diode.shunt_siemens * row.number("Rsh_ohm") - 1.0, place.clone());
        let point = diode.operating_point();
        points.see(point.isc_a - row.number("Isc_A"), place.clone());
        points.see(point.voc_v - row.number("Voc_V"), place.clone());
        points.see(point.imp_a - row.number("Imp_A"), place.clone());
        points.see(point.vmp_v - row.number("Vmp_V"), place.clone());
        powers.see(point.pmp_w - row.number("Pmp_W"), place);
    }
    // Half a unit of the last digit printed, and a tenth of it for the ten digits of the parameters: eight digits of
    // the parameters, six decimals of volts and amps, five decimals of watts.
    parameters.at_most("translated parameters, relative", 5.5e-8);
    points.at_most("translated key points, V and A", 5.5e-7);
    powers.at_most("translated maximum power, W", 5.5e-6);
}

#[test]
fn the_measured_cell_is_met_as_closely_as_published() {
    // Easwarakhanthan et al. 1986: the parameters published for the cell at 33 °C; kT/q with k/q = 8.617333262e-5 V/K (2019 SI).
    let saturation = 3.230_208_16e-7;
    let cell = Diode {
        light_current_a: 0.760_775_53,
        saturation_current_a: saturation,
        ideality_v: 1.481_183_59 * 8.617_333_262_145e-5 * 306.15,
        series_ohm: 0.036_377_09,
        shunt_siemens: 1.0 / 53.718_52,
    };
    let mut model = Largest::default();
    let mut implicit_squares = 0.0;
    let table = rows(CELL);
    for row in &table {
        let (voltage, measured) = (row.number("V_meas_V"), row.number("I_meas_A"));
        model.see(cell.current_at_voltage_a(voltage) - row.number("I_model_A"), row.text("V_meas_V"));
        // The published figure is the error of the equation with the measured current put in on both sides.
        let diode_v = voltage + measured * cell.series_ohm;
        let implied = cell.point(diode_v).current_a;
        implicit_squares += (implied - measured) * (implied - measured);
    }
    // Half a unit of seven printed decimals, and a tenth.
    model.at_most("current of the measured cell's model, A", 5.5e-8);
    let error = (implicit_squares / 26.0).sqrt();
    println!("implicit error of the measured cell: {error:.6e} A");
    // Published as 9.8602e-4 A; parameters with eight digits and another kT/q reproduce it to a few 1e-8.
    assert!((error - 9.8602e-4).abs() < 5e-8);
    assert_eq!(table.len(), 26);
}

#[test]
fn the_power_coefficient_of_the_data_sheet_is_held_against_the_model() {
    let fitted = fit(&invented()).expect("a consistent data sheet");
    // Set C of the table: 369.08334 W at 50 °C from 400.155 W at 25 °C, (369.08334/400.155 - 1)/25 = -0.31060 %/K.
    assert!((fitted.implied_gamma_per_k + 0.003_106_0).abs() < 1e-7);
    let difference = fitted.residuals.gamma_pmax_per_k.expect("the sheet states a coefficient");
    assert!((difference - 0.000_294_0).abs() < 1e-7);
    assert!((1.0..1.1).contains(&fitted.ideality) || (0.9..1.0).contains(&fitted.ideality));
}

#[test]
fn data_sheets_that_contradict_themselves_are_refused_by_name() {
    let good = invented();
    let refused = |sheet: DataSheet| fit(&sheet).expect_err("a contradiction");
    assert_eq!(
        refused(DataSheet { imp_a: 13.9, ..good }),
        DataSheetError::CurrentsOutOfOrder { imp_a: 13.9, isc_a: 13.85 }
    );
    assert_eq!(
        refused(DataSheet { vmp_v: 37.2, ..good }),
        DataSheetError::VoltagesOutOfOrder { vmp_v: 37.2, voc_v: 37.2 }
    );
    assert!(matches!(refused(DataSheet { voc_v: f64::NAN, ..good }), DataSheetError::NotPositive { .. }));
    assert!(matches!(refused(DataSheet { isc_a: 0.0, ..good }), DataSheetError::NotPositive { .. }));
    assert!(matches!(
        refused(DataSheet { pmax_w: Some(440.0), ..good }),
        DataSheetError::PowerDiffers { .. }
    ));
    // 108 half cells, 54 of them in series: 0.344 V for each.
    assert!(matches!(
        refused(DataSheet { cells_in_series: 108, ..good }),
        DataSheetError::VoltagePerCell { .. }
    ));
    // Per cent typed for volts.
    assert!(matches!(
        refused(DataSheet { beta_voc_v_per_k: -0.26, ..good }),
        DataSheetError::Coefficient { .. }
    ));
    assert!(matches!(
        refused(DataSheet { beta_voc_v_per_k: 0.0967, ..good }),
        DataSheetError::Coefficient { .. }
    ));
    // A fill factor of 0.95 is beyond any silicon diode, whose ideal limit at 0.69 V per cell is about 0.84.
    let square = DataSheet { vmp_v: 36.0, imp_a: 13.6, pmax_w: None, ..good };
    assert!(matches!(
        refused(square),
        DataSheetError::NoCurve { .. } | DataSheetError::TemperatureDiffers { .. }
    ));
    // Coefficients of another module: a curve can be bent to them, but not with the stated change of power, nor with a
    // diode of silicon.
    for beta_per_k in [-0.0045, -0.0012] {
        let bent = DataSheet { beta_voc_v_per_k: beta_per_k * 37.2, ..good };
        assert!(matches!(refused(bent), DataSheetError::PowerCoefficientDiffers { .. }));
    }
    let unknown_power = DataSheet { beta_voc_v_per_k: -0.0012 * 37.2, gamma_pmax_per_k: None, ..good };
    assert!(matches!(refused(unknown_power), DataSheetError::Ideality { .. }));
}

fn any_module() -> impl Strategy<Value = ReferenceModule> {
    // Cells, ideality, volts per cell at open circuit, current, series and shunt loss at full sun as shares.
    (30u32..100, 0.95f64..1.6, 0.58f64..0.74, 2.0f64..20.0, 0.005f64..0.05, 0.002f64..0.06, 0.0f64..0.001)
        .prop_map(|(cells, ideality, per_cell, current, series, shunt, alpha)| {
            let cells = f64::from(cells);
            let voc = cells * per_cell;
            let ideality_v = cells * ideality * 8.617_333_262_145e-5 * 298.15;
            ReferenceModule {
                light_current_a: current,
                log_saturation_current: current.ln() - voc / ideality_v,
                ideality_v,
                series_ohm: series * voc / current,
                shunt_siemens: shunt * current / voc,
                alpha_isc_a_per_k: alpha * current,
            }
        })
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, max_global_rejects: 100_000, ..ProptestConfig::default() })]

    #[test]
    fn a_data_sheet_made_from_a_module_gives_the_module_back(module in any_module()) {
        let point = module.at(1000.0, 25.0).operating_point();
        let warm = module.at(1000.0, 35.0).open_circuit_v();
        let cells = (point.voc_v / 0.66).round().max(1.0);
        let per_cell = point.voc_v / cells;
        prop_assume!((0.46..0.84).contains(&per_cell));
        prop_assume!((0.8..1.9).contains(&(module.ideality_v / (cells * 0.025_693))));
        prop_assume!((-0.0059..-0.0011).contains(&((warm / point.voc_v - 1.0) / 10.0)));
        let made = DataSheet {
            voc_v: point.voc_v,
            isc_a: point.isc_a,
            vmp_v: point.vmp_v,
            imp_a: point.imp_a,
            alpha_isc_a_per_k: module.alpha_isc_a_per_k,
            beta_voc_v_per_k: (warm - point.voc_v) / 10.0,
            cells_in_series: cells as u32,
            pmax_w: Some(point.pmp_w),
            gamma_pmax_per_k: None,
        };
        let fitted = fit(&made).expect("a sheet made from a module is consistent");
        prop_assert_eq!(fitted.held, Held::Nothing);
        // The maximum is known to about 1e-9 of a volt (power is stationary), which the fit hands on to the parameters.
        prop_assert!((fitted.module.ideality_v / module.ideality_v - 1.0).abs() < 1e-5);
        prop_assert!((fitted.module.series_ohm / module.series_ohm - 1.0).abs() < 1e-3);
    }

    #[test]
    fn maximum_power_is_a_maximum_and_lies_on_the_curve(
        module in any_module(), light in 0.01f64..1400.0, cell_c in -50.0f64..95.0,
    ) {
        let diode = module.at(light, cell_c);
        let best = diode.operating_point();
        prop_assert!(best.pmp_w > 0.0);
        prop_assert!(best.vmp_v < best.voc_v && best.imp_a < best.isc_a);
        prop_assert!((diode.current_at_voltage_a(best.vmp_v) - best.imp_a).abs() < 1e-10 * best.isc_a.max(1e-3));
        prop_assert!(diode.current_at_voltage_a(best.voc_v).abs() < 1e-10 * best.isc_a.max(1e-3));
        let back = diode.voltage_at_current_v(best.imp_a).expect("a current below short circuit");
        prop_assert!((back - best.vmp_v).abs() < 1e-8);
        for share in [0.2, 0.5, 0.9, 0.99, 0.999, 1.001, 1.01] {
            let voltage = share * best.vmp_v;
            prop_assert!(voltage * diode.current_at_voltage_a(voltage) <= best.pmp_w * (1.0 + 1e-13));
        }
    }

    #[test]
    fn more_light_never_gives_less_power(
        module in any_module(), light in 0.0f64..1300.0, more in 0.0f64..100.0, cell_c in -40.0f64..90.0,
    ) {
        let before = module.at(light, cell_c).maximum_power();
        let after = module.at(light + more, cell_c).maximum_power();
        let (before, after) = (before.voltage_v * before.current_a, after.voltage_v * after.current_a);
        prop_assert!(after >= before * (1.0 - 1e-13));
    }

    #[test]
    fn no_voltage_and_no_temperature_makes_a_number_vanish(
        module in any_module(), light in 0.0f64..1500.0, cell_c in -90.0f64..150.0, share in -3.0f64..3.0,
    ) {
        let diode = module.at(light, cell_c);
        let current = diode.current_at_voltage_a(share * 40.0);
        prop_assert!(current.is_finite());
        let point = diode.operating_point();
        prop_assert!(point.pmp_w.is_finite() && point.voc_v.is_finite() && point.isc_a.is_finite());
        prop_assert!(diode.current_and_slope_at_voltage(share * 40.0).1 <= 0.0);
    }
}

#[test]
fn a_dark_module_gives_nothing() {
    let module = fit(&invented()).expect("a consistent data sheet").module;
    for light in [0.0, -5.0] {
        let point = module.at(light, 10.0).operating_point();
        assert_eq!((point.pmp_w, point.voc_v), (0.0, 0.0));
        // The dark short-circuit current is zero to the rounding of a sum with Io (1e-12 A).
        assert!(point.isc_a.abs() < 1e-20, "{}", point.isc_a);
    }
}
