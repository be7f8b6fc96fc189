//! Array: light on planes, glass, cell temperature, the single diode, rows, strings.

use array::cell_temperature::{CellTemperatureModel, Mounting};
use array::data_sheet_fit::{DataSheet, Held, fit};
use array::incidence::{IncidenceModel, effective_ground_angle_deg, effective_sky_angle_deg};
use array::perez::PerezSky;
use array::plane::Plane;
use array::rear::{Rack, RearView};
use array::rows::{Rows, shadow_m, solstice_pitch_m, solstice_sun_deg};
use array::single_diode::{Diode, ReferenceModule};
use array::strings_design::{
    cold_open_circuit, cold_open_circuit_by_table, longest_string, max_power_voltage, shortest_string,
};
use array::transposition::{LitHour, PlaneIrradiance, Sky, SkyModel, SkySeries, SkyYear};

use crate::cases::{Row, rows};
use crate::record::{Allowed, Digits, Largest, Section, Standing};
use crate::textbook_rows;

pub(crate) fn sections() -> Vec<Section> {
    vec![planes(), back(), modules(), strings()]
}

pub(crate) fn on(model: SkyModel, sky: &Sky, plane: &Plane) -> PlaneIrradiance {
    let hour = LitHour::new(model, 0, sky).expect("a usable sky");
    hour.map_or_else(PlaneIrradiance::default, |hour| hour.on_plane(plane))
}

fn planes() -> Section {
    let mut section = Section::new(
        "Array: light on planes and through glass",
        "Perez et al., Solar Energy 44 (1990) 271–289, with Hay & Davies 1980 and the isotropic sky of Liu & Jordan 1963 to \
         choose from.",
    );
    let mut largest: [Largest; 7] = Default::default();
    for row in rows("transposition_grid.csv") {
        let sky = Sky {
            zenith_deg: row.number("zenith_deg"),
            azimuth_deg: row.number("sun_az_deg"),
            extraterrestrial_w_m2: row.number("ext_normal"),
            relative_air_mass: row.number("rel_airmass"),
            ghi_w_m2: row.number("ghi"),
            dni_w_m2: row.number("dni"),
            dhi_w_m2: row.number("dhi"),
            albedo: 0.2,
        };
        let plane = Plane::new(row.number("tilt_deg"), row.number("surface_az_deg")).expect("a plane");
        largest[0].see(plane.angle_of_incidence_deg(sky.zenith_deg, sky.azimuth_deg) - row.number("aoi_deg"));
        let state = PerezSky::new(
            sky.dni_w_m2,
            sky.dhi_w_m2,
            sky.zenith_deg.to_radians(),
            sky.extraterrestrial_w_m2,
            sky.relative_air_mass,
        );
        largest[1].see(state.clearness - row.number("perez_eps"));
        largest[1].see(state.brightness - row.number("perez_Delta"));
        largest[1].see(state.circumsolar - row.number("perez_F1"));
        largest[1].see(state.horizon - row.number("perez_F2"));
        let perez = on(SkyModel::Perez, &sky, &plane);
        largest[2].see(perez.beam_w_m2 - row.number("beam_poa"));
        largest[3].see(perez.ground_w_m2 - row.number("ground_poa_rho0.2"));
        largest[4].see(on(SkyModel::Isotropic, &sky, &plane).diffuse_w_m2() - row.number("sky_isotropic"));
        largest[5].see(on(SkyModel::HayDavies, &sky, &plane).diffuse_w_m2() - row.number("sky_hay_davies"));
        largest[6].see(perez.diffuse_w_m2() - row.number("sky_perez1990"));
    }
    let grid = "a grid of 40 skies and planes, computed apart from this program (`cases/solar/transposition_grid.csv`)";
    let input =
        "half a unit of the last digit of inputs and answers, times factors up to 4 where the sun is low";
    let names = [
        ("Angle of incidence", "°", 5.1e-5),
        ("Perez clearness, brightness and coefficients", "", 1.5e-5),
        ("Beam on the plane", "W/m²", 1.0e-4),
        ("Light from the ground", "W/m²", 6e-5),
        ("Sky, isotropic", "W/m²", 1.1e-4),
        ("Sky, Hay & Davies", "W/m²", 2e-4),
        ("Sky, Perez", "W/m²", 2e-4),
    ];
    for (seen, (what, unit, limit)) in largest.iter().zip(names) {
        section.row(what, grid, seen, unit, Allowed(limit, input), Standing::Derived);
    }
    textbook_rows::add(&mut section);

    let [mut glass, mut simple, mut angles]: [Largest; 3] = Default::default();
    let ashrae = IncidenceModel::Ashrae { b0: 0.05 };
    for row in rows("iam_checks.csv") {
        let angle = row.number("aoi_deg");
        glass.see(IncidenceModel::GLASS.modifier(angle) - row.number("physical_n1.526_K4_L0.002"));
        simple.see(ashrae.modifier(angle) - row.number("ashrae_b0_0.05"));
    }
    for row in rows("iam_effective_diffuse_angles.csv") {
        let tilt = row.number("tilt_deg");
        angles.see(effective_sky_angle_deg(tilt) - row.number("theta_e_sky_deg"));
        angles.see(effective_ground_angle_deg(tilt) - row.number("theta_e_ground_deg"));
    }
    let half = "half a unit of the last printed digit, and a tenth";
    section.row(
        "Glass, physical",
        "De Soto et al. 2006: n 1.526, K 4/m, L 2 mm",
        &glass,
        "",
        Allowed(5.5e-7, half),
        Standing::Derived,
    );
    section.row(
        "Glass, simple",
        "ASHRAE Standard 93: b0 0.05",
        &simple,
        "",
        Allowed(5.5e-7, half),
        Standing::Derived,
    );
    section.row(
        "Effective angles of diffuse light",
        "Brandemuehl & Beckman, Solar Energy 24 (1980) 511–513",
        &angles,
        "°",
        Allowed(5.5e-5, half),
        Standing::Derived,
    );

    let [mut sun, mut lengths]: [Largest; 2] = Default::default();
    for row in rows("row_spacing_checks.csv") {
        let latitude = row.number("lat_N_deg");
        let (altitude, turned) = solstice_sun_deg(latitude, -3.0);
        sun.see(altitude - row.number("alt_at_9h_solar_deg"));
        sun.see(turned - row.number("sun_az_from_south_deg(east negative)"));
        lengths
            .see(shadow_m(1.0, altitude, turned).expect("the sun is up") - row.number("gap_per_unit_height"));
        for side in [latitude, -latitude] {
            let pitch = solstice_pitch_m(side, 30.0, 1.0, 3.0).expect("the sun is up");
            lengths.see(pitch - row.number("pitch_m"));
            let racks = Rows::new(30.0, 180.0, 1.0, pitch).expect("rows");
            lengths.see(racks.ground_cover() - row.number("ground_cover_ratio"));
        }
    }
    let geometry = "geometry worked apart from this program (`cases/solar/row_spacing_checks.csv`)";
    section.row(
        "Sun of the winter solstice at 9 h",
        geometry,
        &sun,
        "°",
        Allowed(5.5e-5, half),
        Standing::Derived,
    );
    section.row(
        "Row spacing, both halves of the earth",
        geometry,
        &lengths,
        "m",
        Allowed(5.5e-6, half),
        Standing::Derived,
    );
    section
}

/// One hour of an even sky with the sun due south.
fn even_sky(zenith_deg: f64, dni_w_m2: f64, dhi_w_m2: f64, albedo: f64) -> SkyYear {
    let ghi = dni_w_m2 * zenith_deg.to_radians().cos().max(0.0) + dhi_w_m2;
    let series = SkySeries {
        zenith_deg: &[zenith_deg],
        azimuth_deg: &[180.0],
        extraterrestrial_w_m2: &[1361.0],
        relative_air_mass: &[1.0],
        ghi_w_m2: &[ghi],
        dni_w_m2: &[dni_w_m2],
        dhi_w_m2: &[dhi_w_m2],
        albedo: &[albedo],
    };
    SkyYear::new(SkyModel::Isotropic, &series).expect("usable series")
}

fn back() -> Section {
    let mut section = Section::new(
        "Array: the back of bifacial modules",
        "View factors by rays of one degree from twelve strips, across long rows. No measured rear side was compared.",
    );
    let rack = |tilt_deg: f64, clearance_m: f64| Rack {
        tilt_deg,
        azimuth_deg: 180.0,
        slant_m: 2.0,
        clearance_m,
        pitch_m: None,
    };
    let light = |rack: &Rack, sky: &SkyYear| RearView::new(rack).expect("a rack").rear_w_m2(sky)[0];

    let mut view = Largest::default();
    for tilt in [0.0, 20.5, 45.0, 90.0] {
        let (sky, ground, _) = RearView::new(&rack(tilt, 1.0)).expect("a rack").view_factors();
        let closed = 0.5 * (1.0 - f64::cos(tilt.to_radians()));
        view.see(sky - closed);
        view.see(ground - (1.0 - closed));
    }
    section.row(
        "View of sky and ground from the back of a rack alone",
        "closed form (1 ∓ cos tilt)/2",
        &view,
        "",
        Allowed(0.0088, "the horizon falls between two rays of one degree, worth half a ray's share at most"),
        Standing::Derived,
    );

    // Each light as a share of its closed form, per cent.
    let mut shares = Largest::default();
    // A wall high above the ground hides nothing of it: half of an even sky and half of what the ground throws back.
    let wall = light(&rack(90.0, 200.0), &even_sky(60.0, 0.0, 200.0, 0.5));
    shares.see(100.0 * (wall / (0.5 * 200.0 + 0.5 * 0.5 * 200.0) - 1.0));
    // A flat table whose shadow is lost gets what open ground throws back.
    let open = 0.25 * (800.0 * f64::cos(40f64.to_radians()) + 100.0);
    shares.see(100.0 * (light(&rack(0.0, 500.0), &even_sky(40.0, 800.0, 100.0, 0.25)) / open - 1.0));
    // Two equal parallel strips, width 2 m, 1 m apart: √(1 + (h/w)²) − h/w of the table's view is its own shadow.
    let shadow = 1.25_f64.sqrt() - 0.5;
    let table = light(&rack(0.0, 1.0), &even_sky(0.0, 1000.0, 0.0, 0.25));
    shares.see(100.0 * (table / (250.0 * (1.0 - shadow)) - 1.0));
    section.row(
        "Light on the back of a high wall, a high table and a table at 1 m",
        "closed forms of long strips (Hottel's crossed strings), worked by hand",
        &shares,
        "%",
        Allowed(2.0, "twelve strips and one-degree rays"),
        Standing::Derived,
    );

    let mut beam = Largest::default();
    let north = Rack { azimuth_deg: 0.0, ..rack(90.0, 1.0) };
    let straight = 500.0 * f64::sin(60f64.to_radians());
    beam.see(light(&north, &even_sky(60.0, 500.0, 0.0, 0.0)) - straight);
    section.row(
        "Beam straight on the back of a wall that faces away from the sun",
        "500 W/m² · sin 60°, by hand",
        &beam,
        "W/m²",
        Allowed(1e-9, "the same product"),
        Standing::Derived,
    );
    section
}

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

fn temperature_model(name: &str) -> CellTemperatureModel {
    let king = |kind: &str, mount: &str| {
        let table = rows("cell_temperature_king2004_coeffs.csv");
        let row = table.iter().find(|row| row.text("module_type") == kind && row.text("mount") == mount);
        let row = row.expect("a row of coefficients");
        CellTemperatureModel::King { a: row.number("a"), b: row.number("b"), delta_k: row.number("deltaT_C") }
    };
    match name {
        "faiman_u0_25_u1_6.84" => CellTemperatureModel::OPEN_RACK,
        "noct_45_tau_alpha_0.9_eta_0_linear" => CellTemperatureModel::Noct { noct_c: 45.0 },
        "noct_45_duffie_beckman_eta0.18_ta0.9_windcorrected" => CellTemperatureModel::NoctWithWind {
            noct_c: 45.0,
            efficiency: 0.18,
            transmittance_absorptance: 0.9,
        },
        "king2004_cell glass/cell/glass open rack" => king("glass/cell/glass", "open rack"),
        "king2004_cell glass/cell/glass close roof mount" => {
            CellTemperatureModel::for_mounting(Mounting::CloseToRoof)
        }
        "king2004_cell glass/cell/polymer sheet open rack" => king("glass/cell/polymer sheet", "open rack"),
        "king2004_cell glass/cell/polymer sheet insulated back" => {
            CellTemperatureModel::for_mounting(Mounting::InsulatedBack)
        }
        other => panic!("no model for {other}"),
    }
}

fn modules() -> Section {
    let mut section = Section::new(
        "Array: cell temperature and the curve of a module",
        "Five-parameter single diode: De Soto, Klein & Beckman, Solar Energy 80 (2006) 78–88, with the exact maximum of power.",
    );
    let half = "half a unit of the last printed digit, and a tenth";
    let mut cell = Largest::default();
    for row in rows("cell_temperature_checks.csv") {
        let wind = row.text("wind_m_s").parse().unwrap_or(0.0);
        let model = temperature_model(row.text("model"));
        cell.see(model.cell_c(row.number("poa_W_m2"), row.number("T_air_C"), wind) - row.number("T_cell_C"));
    }
    section.row(
        "Cell temperature, seven models",
        "Faiman 2008; NOCT after Duffie & Beckman ch. 23; King, Boyson & Kratochvil, SAND2004-3535; computed apart from this program",
        &cell,
        "K",
        Allowed(5.5e-5, half),
        Standing::Derived,
    );
    let sets = rows("iv_desoto_reference_parameters.csv");
    let [mut parameters, mut residuals]: [Largest; 2] = Default::default();
    for row in &sets {
        let fitted = fit(&sheet(row)).expect("a consistent data sheet");
        assert_eq!(fitted.held, Held::Nothing);
        let (found, wanted) = (fitted.module, module(row));
        let saturation = (found.log_saturation_current - wanted.log_saturation_current).exp();
        for ratio in [
            found.ideality_v / wanted.ideality_v,
            found.light_current_a / wanted.light_current_a,
            saturation,
            found.series_ohm / wanted.series_ohm,
            found.shunt_siemens / wanted.shunt_siemens,
        ] {
            parameters.see(ratio - 1.0);
        }
        let left = fitted.residuals;
        for value in [left.isc_a, left.voc_v, left.vmp_v, left.imp_a, left.beta_voc_v_per_k] {
            residuals.see(value);
        }
    }
    section.row(
        "Five parameters from a data sheet, relative",
        "the five conditions of De Soto et al. 2006 for four data sheets, solved apart from this program (`cases/solar/iv_desoto_reference_parameters.csv`)",
        &parameters,
        "",
        Allowed(1e-9, "ten printed digits and the conditioning of the five equations"),
        Standing::Derived,
    );
    section.row(
        "The curve at the data sheet's own points, A, V and V/K",
        "the data sheet",
        &residuals,
        "",
        Allowed(1e-9, "what the solver promises"),
        Standing::Derived,
    );
    let [mut points, mut powers]: [Largest; 2] = Default::default();
    for row in rows("iv_desoto_checks.csv") {
        let set = sets.iter().find(|set| set.text("set") == row.text("set")).expect("the set of the row");
        let point = module(set).at(row.number("G_W_m2"), row.number("Tcell_C")).operating_point();
        points.see(point.isc_a - row.number("Isc_A"));
        points.see(point.voc_v - row.number("Voc_V"));
        points.see(point.imp_a - row.number("Imp_A"));
        points.see(point.vmp_v - row.number("Vmp_V"));
        powers.see(point.pmp_w - row.number("Pmp_W"));
    }
    let other = "the translation of De Soto et al. 2006, solved apart from this program and agreed with the Lambert W form";
    section.row(
        "Isc, Voc, Imp and Vmp in other light and heat",
        other,
        &points,
        "V or A",
        Allowed(5.5e-7, half),
        Standing::Derived,
    );
    section.row(
        "Maximum power in other light and heat",
        other,
        &powers,
        "W",
        Allowed(5.5e-6, half),
        Standing::Derived,
    );

    // Parameters published for the cell at 33 °C; k/q of the 2019 SI.
    let cell = Diode {
        light_current_a: 0.760_775_53,
        saturation_current_a: 3.230_208_16e-7,
        ideality_v: 1.481_183_59 * 8.617_333_262_145e-5 * 306.15,
        series_ohm: 0.036_377_09,
        shunt_siemens: 1.0 / 53.718_52,
    };
    let (mut squares, mut count) = (0.0, 0.0);
    let mut model = Largest::default();
    for row in rows("iv_easwarakhanthan_cell.csv") {
        let (voltage, measured) = (row.number("V_meas_V"), row.number("I_meas_A"));
        model.see(cell.current_at_voltage_a(voltage) - row.number("I_model_A"));
        // The published figure is the error of the equation with the measured current on both sides.
        let implied = cell.point(voltage + measured * cell.series_ohm).current_a;
        squares += (implied - measured) * (implied - measured);
        count += 1.0;
    }
    section.row(
        "Model current of a measured cell",
        "the published parameters, solved apart from this program (`cases/solar/iv_easwarakhanthan_cell.csv`)",
        &model,
        "A",
        Allowed(5.5e-8, half),
        Standing::Derived,
    );
    let mut error = Largest::default();
    error.see((squares / count).sqrt() - 9.8602e-4);
    section.row(
        "Error of the model against the measured cell, 9.8602e-4 A",
        "Easwarakhanthan, Bottin, Bouhouch & Boutrit, Int. J. Solar Energy 4 (1986) 1–12",
        &error,
        "A",
        Allowed(5e-8, "parameters of eight digits and another value of k/q"),
        Standing::Remembered,
    );
    section
}

fn strings() -> Section {
    let mut section = Section::new(
        "Array: strings in the cold and in the heat",
        "NEC 2023, 690.7. Examples and stories are named by what they are; pages of shops and makers are not cited.",
    );
    section.example(
        "One module at −7.2 °C",
        "question of an installers' examination: Voc 49.0 V, −0.24 %/°C",
        &Digits::new().is(cold_open_circuit(1.0, 49.0, -0.0024, -7.2), "52.79"),
        Standing::Read,
    );
    let one = cold_open_circuit(1.0, 49.5, -0.0028, -5.0);
    let hot = max_power_voltage(1.0, 41.2, -0.0028, 45.0, 0.0);
    section.example(
        "Longest and shortest string of a 550 W module, 200–1000 V",
        "training course: at most 18, 700 V at the hot end; the least of 6 worked by hand",
        &Digits::new()
            .is(one, "53.66")
            .is(18.0 * hot, "700")
            .says("18 at most", longest_string(1000.0, one) == 18.0)
            .says("6 at least", shortest_string(200.0, hot) == 6.0),
        Standing::Read,
    );
    let factor = tables::voltage_factor(-5.0).expect("a row").si();
    let by_table = cold_open_circuit_by_table(1.0, 49.5, factor);
    section.example(
        "The same module by the table of factors",
        "NEC 2023, Table 690.7(A), worked by hand: 1.12, 10 for 600 V where the coefficient allows 11",
        &Digits::new()
            .is(by_table, "55.44")
            .is(factor, "1.12")
            .says("10 by the table", longest_string(600.0, by_table) == 10.0)
            .says("11 by the coefficient", longest_string(600.0, one) == 11.0),
        Standing::SecondHand,
    );
    let module = cold_open_circuit(1.0, 49.5, -0.0027, -28.0);
    section.example(
        "Story: the string that is too long in January",
        "NEC 2023, 690.7, worked by hand: ten modules against 500 V at −28 °C",
        &Digits::new()
            .is(cold_open_circuit(10.0, 49.5, -0.0027, -28.0), "565.8")
            .is(8.0 * module, "452.7")
            .is(9.0 * module, "509.3")
            .is(max_power_voltage(8.0, 41.5, -0.0035, 40.0, 30.0), "279.7")
            .is(10.0 * 49.5 * tables::voltage_factor(-28.0).expect("a row").si(), "599.0")
            .says("ten do not fit", 10.0 * module > 500.0)
            .says("eight are the most", longest_string(500.0, module) == 8.0),
        Standing::Derived,
    );
    section
}
