//! Strings at an input: hand-worked hours, closed sums, and directions that must hold.

mod common;

use array::data_sheet_fit::{DataSheet, fit};
use array::module_year::ModuleYear;
use array::section_shade::SectionShade;
use array::single_diode::ReferenceModule;
use array::string_year::{
    InputLimits, InputYear, StatedShares, StringGroup, StringLayout, input_year, input_year_in_shade,
};
use proptest::prelude::*;

/// Set C of `cases/solar/iv_desoto_checks.csv`: 400.155 W at 1000 W/m² and 25 °C, 369.08334 W (28.355994 V,
/// 13.016061 A) at 50 °C, 201.25068 W (31.004639 V) at 500 W/m², 442.32704 W (34.483623 V, Voc 40.551833 V) at -10 °C.
fn module() -> ReferenceModule {
    fit(&DataSheet {
        voc_v: 37.2,
        isc_a: 13.85,
        vmp_v: 30.9,
        imp_a: 12.95,
        alpha_isc_a_per_k: 0.0062,
        beta_voc_v_per_k: -0.0967,
        cells_in_series: 54,
        pmax_w: None,
        gamma_pmax_per_k: None,
    })
    .expect("a consistent data sheet")
    .module
}

const PLAIN: StringLayout =
    StringLayout { modules_in_series: 8, strings_in_parallel: 2, string_ohm: 0.0, common_ohm: 0.0 };
const NEW: StatedShares = StatedShares { ageing: 1.0, mismatch: 1.0 };
const WIDE: InputLimits = InputLimits {
    start_v: 0.0,
    tracker_low_v: 0.0,
    tracker_high_v: 1000.0,
    max_current_a: None,
    max_power_w: None,
};

fn run(
    light: &[f64],
    cell: &[f64],
    layout: StringLayout,
    shares: StatedShares,
    limits: &InputLimits,
) -> InputYear {
    let module = module();
    let points = ModuleYear::new(&module, light, cell).expect("usable series");
    let group =
        StringGroup { module: &module, cell_w_m2: light, cell_c: cell, points: &points, layout, shares };
    input_year(&[group], limits).expect("usable inputs")
}

fn lost(year: &InputYear, step: usize) -> f64 {
    let losses = &year.losses;
    [
        &losses.ageing_w,
        &losses.mismatch_w,
        &losses.shade_sections_w,
        &losses.unequal_strings_w,
        &losses.waiting_w,
        &losses.below_window_w,
        &losses.above_window_w,
        &losses.over_current_w,
        &losses.over_power_w,
        &losses.cable_w,
    ]
    .iter()
    .map(|series| series[step])
    .sum()
}

#[test]
fn sixteen_modules_without_limits_give_sixteen_times_one() {
    let year = run(&[1000.0, 500.0, 0.0], &[50.0, 25.0, 5.0], PLAIN, NEW, &WIDE);
    // Five printed decimals of watts of one module, times sixteen.
    assert!((year.power_w[0] - 16.0 * 369.083_34).abs() < 1e-4);
    assert!((year.power_w[1] - 16.0 * 201.250_68).abs() < 1e-4);
    assert!((year.voltage_v[0] - 8.0 * 28.355_994).abs() < 1e-5);
    assert!((year.current_a[0] - 2.0 * 13.016_061).abs() < 2e-6);
    assert_eq!((year.power_w[2], year.voltage_v[2], year.open_circuit_v[2]), (0.0, 0.0, 0.0));
}

#[test]
fn conductors_take_current_squared_times_resistance() {
    let layout = StringLayout { string_ohm: 0.3, common_ohm: 0.05, ..PLAIN };
    let year = run(&[1000.0], &[50.0], layout, NEW, &WIDE);
    // Two strings of 13.016061 A: each its own 0.3 Ω, both together 0.05 Ω. 2·13.016061²·0.3 + 26.032122²·0.05 =
    // 101.6507 + 33.8836 = 135.5343 W; six printed digits of the current.
    assert!((year.losses.cable_w[0] - 135.5343).abs() < 1e-3);
    assert!((year.power_w[0] - (5905.3334 - 135.5343)).abs() < 1e-3);
    // 226.84795 V less 13.016061·(0.3 + 2·0.05) V.
    assert!((year.voltage_v[0] - (226.847_95 - 5.206_424)).abs() < 1e-4);
}

#[test]
fn stated_losses_are_taken_one_after_the_other() {
    let shares = StatedShares { ageing: 0.9, mismatch: 0.98 };
    let year = run(&[1000.0], &[25.0], PLAIN, shares, &WIDE);
    let ideal = 16.0 * 400.155;
    assert!((year.losses.ageing_w[0] - 0.1 * ideal).abs() < 1e-6);
    assert!((year.losses.mismatch_w[0] - 0.9 * 0.02 * ideal).abs() < 1e-6);
    assert!((year.power_w[0] - 0.882 * ideal).abs() < 1e-6);
}

#[test]
fn an_input_waits_for_its_start_voltage_and_then_keeps_running() {
    // 8 × 40.55 = 324.4 V cold, 8 × 34.775273 = 278.2 V at 50 °C, 8 × 32.327516 = 258.6 V at 75 °C.
    let limits = InputLimits { start_v: 270.0, tracker_low_v: 100.0, ..WIDE };
    let year =
        run(&[1000.0, 1000.0, 1000.0, 0.0, 1000.0], &[75.0, 50.0, 75.0, 20.0, 75.0], PLAIN, NEW, &limits);
    assert_eq!(year.power_w[0], 0.0);
    // 337.31909 W for a module at 75 °C.
    assert!((year.losses.waiting_w[0] - 16.0 * 337.319_09).abs() < 1e-4);
    assert!(year.power_w[1] > 5900.0);
    assert!((year.power_w[2] - 16.0 * 337.319_09).abs() < 1e-4);
    assert_eq!(year.power_w[4], 0.0);
}

#[test]
fn a_string_outside_the_window_works_at_its_nearest_voltage() {
    let module = module();
    let diode = module.at(1000.0, 50.0);
    let low = InputLimits { tracker_low_v: 240.0, ..WIDE };
    let year = run(&[1000.0], &[50.0], PLAIN, NEW, &low);
    assert!((year.voltage_v[0] - 240.0).abs() < 1e-12);
    assert!((year.current_a[0] - 2.0 * diode.current_at_voltage_a(30.0)).abs() < 1e-9);
    assert!(year.losses.below_window_w[0] > 0.0);
    let high = InputLimits { tracker_high_v: 200.0, ..WIDE };
    let year = run(&[1000.0], &[50.0], PLAIN, NEW, &high);
    assert!((year.power_w[0] - 200.0 * 2.0 * diode.current_at_voltage_a(25.0)).abs() < 1e-9);
    assert!(year.losses.above_window_w[0] > 0.0);
    // Open circuit 278.2 V never reaches a window that begins at 280 V.
    let year = run(&[1000.0], &[50.0], PLAIN, NEW, &InputLimits { tracker_low_v: 280.0, ..WIDE });
    assert_eq!(year.power_w[0], 0.0);
    assert!((year.losses.below_window_w[0] - 5905.3334).abs() < 1e-3);
}

#[test]
fn limits_of_current_and_power_are_met_exactly() {
    let year = run(&[1000.0], &[25.0], PLAIN, NEW, &InputLimits { max_current_a: Some(20.0), ..WIDE });
    assert!((year.current_a[0] - 20.0).abs() < 1e-9);
    assert!(year.voltage_v[0] > 8.0 * 30.9 && year.voltage_v[0] < 8.0 * 37.2);
    let layout = StringLayout { string_ohm: 0.3, ..PLAIN };
    let year = run(&[1000.0], &[25.0], layout, NEW, &InputLimits { max_power_w: Some(5000.0), ..WIDE });
    assert!((year.power_w[0] - 5000.0).abs() < 1e-8);
    assert!(year.voltage_v[0] > 8.0 * 30.9);
    // The window ends just above the best voltage: the power limit has to be met from below.
    let tight = InputLimits { max_power_w: Some(5000.0), tracker_high_v: 250.0, ..WIDE };
    let year = run(&[1000.0], &[25.0], PLAIN, NEW, &tight);
    assert!((year.power_w[0] - 5000.0).abs() < 1e-6);
    assert!(year.voltage_v[0] < 8.0 * 30.9);
    // A window and a current limit that exclude one another leave nothing, and say which took it.
    let none = InputLimits { max_current_a: Some(5.0), tracker_high_v: 200.0, ..WIDE };
    let year = run(&[1000.0], &[25.0], PLAIN, NEW, &none);
    assert_eq!(year.power_w[0], 0.0);
    assert!(year.losses.over_current_w[0] > 0.0);
}

#[test]
fn two_equal_halves_on_one_input_equal_the_whole() {
    let module = module();
    let (light, cell) = ([1000.0, 300.0], [45.0, 20.0]);
    let points = ModuleYear::new(&module, &light, &cell).expect("usable series");
    let half = StringGroup {
        module: &module,
        cell_w_m2: &light,
        cell_c: &cell,
        points: &points,
        layout: StringLayout { strings_in_parallel: 1, ..PLAIN },
        shares: NEW,
    };
    let halves = input_year(&[half, half], &WIDE).expect("usable inputs");
    let whole = run(&light, &cell, PLAIN, NEW, &WIDE);
    for step in 0..2 {
        assert!((halves.power_w[step] - whole.power_w[step]).abs() < 1e-9 * whole.power_w[step]);
        assert!(halves.losses.unequal_strings_w[step].abs() < 1e-9 * whole.power_w[step]);
    }
}

#[test]
fn strings_of_different_length_share_one_voltage() {
    let module = module();
    let (light, cell) = ([800.0], [30.0]);
    let points = ModuleYear::new(&module, &light, &cell).expect("usable series");
    let group = |modules_in_series| StringGroup {
        module: &module,
        cell_w_m2: &light,
        cell_c: &cell,
        points: &points,
        layout: StringLayout { modules_in_series, strings_in_parallel: 1, ..PLAIN },
        shares: NEW,
    };
    let year = input_year(&[group(8), group(9)], &WIDE).expect("usable inputs");
    // Found by trying voltages, 1 mV apart, with the module's own curve.
    let diode = module.at(800.0, 30.0);
    let power = |voltage: f64| {
        voltage * (diode.current_at_voltage_a(voltage / 8.0) + diode.current_at_voltage_a(voltage / 9.0))
    };
    let best = (200_000..330_000).map(|milli| power(f64::from(milli) / 1000.0)).fold(0.0, f64::max);
    // A grid of 1 mV misses the summit by at most half a step, second order: below 1e-6 W.
    assert!((year.power_w[0] - best).abs() < 1e-5 && year.power_w[0] >= best - 1e-9);
    assert!(year.losses.unequal_strings_w[0] > 1.0);
}

#[test]
fn bad_inputs_are_refused() {
    let module = module();
    let (light, cell) = ([800.0], [30.0]);
    let points = ModuleYear::new(&module, &light, &cell).expect("usable series");
    let group = StringGroup {
        module: &module,
        cell_w_m2: &light,
        cell_c: &cell,
        points: &points,
        layout: PLAIN,
        shares: NEW,
    };
    assert!(input_year(&[], &WIDE).is_err());
    assert!(
        input_year(&[group], &InputLimits { tracker_low_v: 500.0, tracker_high_v: 400.0, ..WIDE }).is_err()
    );
    assert!(input_year(&[group], &InputLimits { max_power_w: Some(f64::NAN), ..WIDE }).is_err());
    let none = StringLayout { modules_in_series: 0, ..PLAIN };
    assert!(input_year(&[StringGroup { layout: none, ..group }], &WIDE).is_err());
    let gaining = StatedShares { ageing: 1.1, mismatch: 1.0 };
    assert!(input_year(&[StringGroup { shares: gaining, ..group }], &WIDE).is_err());
    assert!(ModuleYear::new(&module, &[f64::NAN], &[20.0]).is_err());
    assert!(ModuleYear::new(&module, &[500.0], &[f64::NAN]).is_err());
    assert!(ModuleYear::new(&module, &[500.0, 1.0], &[20.0]).is_err());
}

fn any_limits() -> impl Strategy<Value = InputLimits> {
    (
        0.0f64..350.0,
        0.0f64..300.0,
        20.0f64..400.0,
        proptest::option::of(1.0f64..40.0),
        proptest::option::of(50.0f64..8000.0),
    )
        .prop_map(|(start_v, tracker_low_v, width, max_current_a, max_power_w)| InputLimits {
            start_v,
            tracker_low_v,
            tracker_high_v: tracker_low_v + width,
            max_current_a,
            max_power_w,
        })
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn every_step_closes_and_keeps_its_limits(
        limits in any_limits(),
        light in proptest::collection::vec(0.0f64..1200.0, 6),
        cell in -20.0f64..80.0,
        string_ohm in 0.0f64..2.0,
        common_ohm in 0.0f64..0.5,
        ageing in 0.7f64..1.0,
        second_length in proptest::option::of(4u32..12),
    ) {
        let module = module();
        let cells = [cell; 6];
        let points = ModuleYear::new(&module, &light, &cells).expect("usable series");
        let layout = StringLayout { string_ohm, common_ohm, ..PLAIN };
        let shares = StatedShares { ageing, mismatch: 0.98 };
        let group = StringGroup { module: &module, cell_w_m2: &light, cell_c: &cells, points: &points, layout, shares };
        let mut groups = vec![group];
        if let Some(modules_in_series) = second_length {
            groups.push(StringGroup { layout: StringLayout { modules_in_series, ..layout }, ..group });
        }
        let modules: u32 = groups.iter().map(|group| group.layout.modules_in_series * 2).sum();
        let year = input_year(&groups, &limits).expect("usable inputs");
        for step in 0..6 {
            let ideal = f64::from(modules) * points.pmp_w(step);
            let sum = year.power_w[step] + lost(&year, step);
            prop_assert!((sum - ideal).abs() < 1e-9 * ideal.max(1.0), "{sum} of {ideal}");
            let small = -1e-9 * ideal.max(1.0);
            let losses = &year.losses;
            for loss in [&losses.below_window_w, &losses.above_window_w, &losses.over_current_w, &losses.over_power_w,
                &losses.cable_w, &losses.unequal_strings_w] {
                prop_assert!(loss[step] >= small, "{:?}", year);
            }
            prop_assert!(year.power_w[step] >= 0.0);
            if year.power_w[step] > 0.0 {
                prop_assert!(year.voltage_v[step] >= limits.tracker_low_v * (1.0 - 1e-12));
                prop_assert!(year.voltage_v[step] <= limits.tracker_high_v * (1.0 + 1e-12));
                prop_assert!(limits.max_current_a.is_none_or(|most| year.current_a[step] <= most * (1.0 + 1e-9)));
                prop_assert!(limits.max_power_w.is_none_or(|most| year.power_w[step] <= most * (1.0 + 1e-9)));
            }
        }
    }

    #[test]
    fn a_longer_cable_never_delivers_more(light in 1.0f64..1200.0, cell in -20.0f64..80.0, ohm in 0.0f64..2.0) {
        let at = |string_ohm| {
            run(&[light], &[cell], StringLayout { string_ohm, ..PLAIN }, NEW, &WIDE).power_w[0]
        };
        prop_assert!(at(ohm + 0.1) < at(ohm));
    }

    #[test]
    fn more_light_never_delivers_less_inside_the_window(
        light in 0.0f64..1200.0, more in 0.0f64..100.0, cell in -20.0f64..80.0, most in 500.0f64..6000.0,
    ) {
        let limits = InputLimits { max_power_w: Some(most), ..WIDE };
        let at = |light| run(&[light], &[cell], PLAIN, NEW, &limits).power_w[0];
        prop_assert!(at(light + more) >= at(light) * (1.0 - 1e-9));
    }

    #[test]
    fn every_step_in_shade_closes_and_shade_never_adds(
        limits in any_limits(),
        light in proptest::collection::vec(0.0f64..1200.0, 6),
        power in proptest::collection::vec(0.0f64..1.0, 6),
        voltage in proptest::collection::vec(0.3f64..1.1, 6),
        second_length in proptest::option::of(4u32..12),
    ) {
        let module = module();
        let cells = [25.0; 6];
        let points = ModuleYear::new(&module, &light, &cells).expect("usable series");
        let layout = StringLayout { string_ohm: 0.2, common_ohm: 0.05, ..PLAIN };
        let shares = StatedShares { ageing: 0.97, mismatch: 0.98 };
        let group = StringGroup { module: &module, cell_w_m2: &light, cell_c: &cells, points: &points, layout, shares };
        let shade = SectionShade { power_share: power.clone(), voltage_share: voltage };
        let (mut groups, mut shades) = (vec![group], vec![Some(&shade)]);
        if let Some(modules_in_series) = second_length {
            groups.push(StringGroup { layout: StringLayout { modules_in_series, ..layout }, ..group });
            shades.push(None);
        }
        let modules: u32 = groups.iter().map(|group| group.layout.modules_in_series * 2).sum();
        let year = input_year_in_shade(&groups, &shades, &limits).expect("usable inputs");
        for (step, left) in power.iter().enumerate() {
            let ideal = f64::from(modules) * points.pmp_w(step);
            let sum = year.power_w[step] + lost(&year, step);
            prop_assert!((sum - ideal).abs() < 1e-9 * ideal.max(1.0), "{sum} of {ideal}");
            // By hand: sixteen modules of the shaded group, less age and mismatch, less what is left.
            let own = 16.0 * points.pmp_w(step) * 0.97 * 0.98 * (1.0 - left);
            prop_assert!((year.losses.shade_sections_w[step] - own).abs() < 1e-9 * ideal.max(1.0));
            prop_assert!(year.losses.unequal_strings_w[step] >= -1e-9 * ideal.max(1.0));
            prop_assert!(year.power_w[step] >= 0.0 && year.power_w[step].is_finite());
        }
    }
}

#[test]
fn without_shade_both_ways_give_the_same_bits_and_bad_shade_is_refused() {
    let module = module();
    let (light, cells) = ([900.0, 300.0], [40.0, 20.0]);
    let points = ModuleYear::new(&module, &light, &cells).expect("usable series");
    let group = StringGroup {
        module: &module,
        cell_w_m2: &light,
        cell_c: &cells,
        points: &points,
        layout: PLAIN,
        shares: NEW,
    };
    let none = SectionShade { power_share: vec![1.0; 2], voltage_share: vec![1.0; 2] };
    let plain = input_year(&[group], &WIDE).expect("usable inputs");
    assert_eq!(plain, input_year_in_shade(&[group], &[Some(&none)], &WIDE).expect("usable inputs"));
    assert!(input_year_in_shade(&[group], &[], &WIDE).is_err());
    for bad in [
        SectionShade { power_share: vec![1.0; 3], voltage_share: vec![1.0; 2] },
        SectionShade { power_share: vec![1.0, 1.1], voltage_share: vec![1.0; 2] },
        SectionShade { power_share: vec![1.0; 2], voltage_share: vec![0.0, 1.0] },
        SectionShade { power_share: vec![f64::NAN, 1.0], voltage_share: vec![1.0; 2] },
    ] {
        assert!(input_year_in_shade(&[group], &[Some(&bad)], &WIDE).is_err());
    }
}

#[test]
fn passed_by_sections_can_drop_a_string_out_of_the_window() {
    // Eight modules at 1000 W/m², 25 °C: 247 V. With half of the voltage gone the string lies at 124 V, below a window from
    // 150 V; with the same power left at full voltage it lies inside.
    let module = module();
    let points = ModuleYear::new(&module, &[1000.0], &[25.0]).expect("usable series");
    let group = StringGroup {
        module: &module,
        cell_w_m2: &[1000.0],
        cell_c: &[25.0],
        points: &points,
        layout: PLAIN,
        shares: NEW,
    };
    let window = InputLimits { tracker_low_v: 150.0, tracker_high_v: 400.0, ..WIDE };
    let run = |voltage: f64| {
        let shade = SectionShade { power_share: vec![0.5], voltage_share: vec![voltage] };
        input_year_in_shade(&[group], &[Some(&shade)], &window).expect("usable inputs")
    };
    let (low, full) = (run(0.5), run(1.0));
    assert!(low.losses.below_window_w[0] > 0.0 && low.power_w[0] < full.power_w[0]);
    assert_eq!(full.losses.below_window_w[0], 0.0);
    // 16 × 400.155 W × 0.5.
    assert!((full.power_w[0] - 3201.24).abs() < 0.01);
}
