//! What a person waits for: one plane through one year, from the sky to the input.
//!
//! `cargo bench -p array`. Each line prints the median of the runs and what was computed; results are compared with the
//! plain per-step functions before any time is taken.
#![allow(clippy::print_stdout)]

use std::hint::black_box;
use std::time::Instant;

use array::cell_temperature::{CellTemperatureModel, Mounting};
use array::data_sheet_fit::{DataSheet, fit};
use array::incidence::IncidenceModel;
use array::module_year::ModuleYear;
use array::plane::Plane;
use array::plane_year::{cell_temperature_year, plane_year};
use array::string_year::{InputLimits, StatedShares, StringGroup, StringLayout, input_year};
use array::transposition::{SkyModel, SkySeries, SkyYear};

/// A made-up year at 40° north: the sun by the textbook series, clearness from a fixed pattern of days.
struct Year {
    zenith_deg: Vec<f64>,
    azimuth_deg: Vec<f64>,
    extraterrestrial_w_m2: Vec<f64>,
    relative_air_mass: Vec<f64>,
    ghi_w_m2: Vec<f64>,
    dni_w_m2: Vec<f64>,
    dhi_w_m2: Vec<f64>,
    albedo: Vec<f64>,
    air_c: Vec<f64>,
    wind_m_s: Vec<f64>,
}

impl Year {
    fn new() -> Self {
        let mut year = Self {
            zenith_deg: Vec::new(),
            azimuth_deg: Vec::new(),
            extraterrestrial_w_m2: vec![1361.0; 8760],
            relative_air_mass: Vec::new(),
            ghi_w_m2: Vec::new(),
            dni_w_m2: Vec::new(),
            dhi_w_m2: Vec::new(),
            albedo: vec![0.2; 8760],
            air_c: Vec::new(),
            wind_m_s: vec![2.5; 8760],
        };
        let latitude = 40f64.to_radians();
        for hour in 0..8760_u32 {
            let day = f64::from(hour / 24 + 1);
            let declination = (23.45 * (360.0 * (284.0 + day) / 365.0).to_radians().sin()).to_radians();
            let angle = (15.0 * (f64::from(hour % 24) + 0.5 - 12.0)).to_radians();
            let up = latitude.sin() * declination.sin() + latitude.cos() * declination.cos() * angle.cos();
            let east = -declination.cos() * angle.sin();
            let north = latitude.cos() * declination.sin() - latitude.sin() * declination.cos() * angle.cos();
            let zenith = up.acos().to_degrees();
            year.zenith_deg.push(zenith);
            year.azimuth_deg.push(east.atan2(north).to_degrees().rem_euclid(360.0));
            let lit = up > 0.0;
            let air_mass =
                if lit { 1.0 / (up + 0.505_72 * (96.079_95 - zenith).powf(-1.6364)) } else { f64::NAN };
            year.relative_air_mass.push(air_mass);
            // Eleven days of changing clearness, from overcast to clear.
            let clearness = 0.1 + 0.06 * f64::from((hour / 24) % 11);
            let global = if lit { 1361.0 * up * clearness } else { 0.0 };
            let diffuse = global * (1.0 - 0.9 * clearness).clamp(0.15, 1.0);
            year.ghi_w_m2.push(global);
            year.dhi_w_m2.push(diffuse);
            year.dni_w_m2.push(if lit { ((global - diffuse) / up).min(1000.0) } else { 0.0 });
            year.air_c
                .push(12.0 - 14.0 * ((day - 20.0) / 365.0 * std::f64::consts::TAU).cos() - 4.0 * angle.cos());
        }
        year
    }

    fn series(&self) -> SkySeries<'_> {
        SkySeries {
            zenith_deg: &self.zenith_deg,
            azimuth_deg: &self.azimuth_deg,
            extraterrestrial_w_m2: &self.extraterrestrial_w_m2,
            relative_air_mass: &self.relative_air_mass,
            ghi_w_m2: &self.ghi_w_m2,
            dni_w_m2: &self.dni_w_m2,
            dhi_w_m2: &self.dhi_w_m2,
            albedo: &self.albedo,
        }
    }
}

fn timed<T>(what: &str, runs: usize, mut work: impl FnMut() -> T) -> T {
    let mut result = work();
    let mut micros: Vec<f64> = (0..runs)
        .map(|_| {
            let begun = Instant::now();
            result = black_box(work());
            begun.elapsed().as_secs_f64() * 1e6
        })
        .collect();
    micros.sort_by(f64::total_cmp);
    println!("{what:<58} {:>9.1} µs (fastest {:.1})", micros[runs / 2], micros[0]);
    result
}

fn main() {
    let year = Year::new();
    let sheet = DataSheet {
        voc_v: 37.2,
        isc_a: 13.85,
        vmp_v: 30.9,
        imp_a: 12.95,
        alpha_isc_a_per_k: 0.0062,
        beta_voc_v_per_k: -0.0967,
        cells_in_series: 54,
        pmax_w: None,
        gamma_pmax_per_k: None,
    };
    let plane = Plane::new(35.0, 190.0).expect("a valid plane");
    let glass = IncidenceModel::GLASS;
    let roof = CellTemperatureModel::for_mounting(Mounting::CloseToRoof);
    let module = timed("fit of a data sheet", 51, || fit(&sheet)).expect("a consistent sheet").module;
    let sky = timed("sky of a year, Perez (once for all planes)", 101, || {
        SkyYear::new(SkyModel::Perez, &year.series())
    })
    .expect("usable series");
    timed("yearly sum on one plane (finder)", 101, || sky.total_on_plane(&plane));
    let light = timed("sky to light on and behind the glass of one plane", 101, || {
        plane_year(&sky, &plane, &glass, None)
    })
    .expect("usable series");
    let cell = timed("cell temperature", 101, || {
        cell_temperature_year(&roof, &light.plane_w_m2, &year.air_c, &year.wind_m_s)
    })
    .expect("usable series");
    let points = timed("module operating points", 101, || ModuleYear::new(&module, &light.cell_w_m2, &cell))
        .expect("usable series");
    for (step, (light, cell)) in light.cell_w_m2.iter().zip(&cell).enumerate() {
        let reference = module.at(*light, *cell).operating_point();
        assert!((points.pmp_w(step) - reference.pmp_w).abs() <= 1e-9);
    }
    let group = StringGroup {
        module: &module,
        cell_w_m2: &light.cell_w_m2,
        cell_c: &cell,
        points: &points,
        layout: StringLayout {
            modules_in_series: 9,
            strings_in_parallel: 2,
            string_ohm: 0.2,
            common_ohm: 0.0,
        },
        shares: StatedShares { ageing: 0.97, mismatch: 0.985 },
    };
    let wide = InputLimits {
        start_v: 150.0,
        tracker_low_v: 120.0,
        tracker_high_v: 450.0,
        max_current_a: Some(30.0),
        max_power_w: None,
    };
    timed("strings inside the window", 101, || input_year(&[group], &wide)).expect("usable inputs");
    let clipping = InputLimits { max_power_w: Some(4000.0), ..wide };
    let clipped =
        timed("strings with a power limit at 56 % of the array", 101, || input_year(&[group], &clipping))
            .expect("usable");
    println!(
        "   clipped steps: {}",
        clipped.losses.over_power_w.iter().filter(|watts| **watts > 0.0).count()
    );
    let shorter = StringGroup { layout: StringLayout { modules_in_series: 8, ..group.layout }, ..group };
    timed("strings of two lengths on one input", 21, || input_year(&[group, shorter], &wide))
        .expect("usable inputs");
    println!("   lit steps: {}; module: {:.3} kWh a year", sky.lit().len(), points.total_w() / 1000.0);
}
