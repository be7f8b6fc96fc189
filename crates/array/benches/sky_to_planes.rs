//! What a person waits for before any string is computed: sun, weather years, planes, shade, the finder.
//!
//! `cargo bench -p array --bench sky_to_planes`. Each line prints the median of the runs; what is timed is first compared
//! with a slower or plainer way to the same numbers.
#![allow(clippy::print_stdout)]

use std::hint::black_box;
use std::time::Instant;

use array::bypass_sections::ModuleStand;
use array::data_sheet_fit::{DataSheet, fit};
use array::finder::{Aim, Finder};
use array::incidence::IncidenceModel;
use array::module_year::ModuleYear;
use array::near_shade::shaded_plane_year;
use array::obstacle::{Obstacle, Stand, Surroundings};
use array::plane::Plane;
use array::plane_year::plane_year;
use array::reached::{Reached, SectionLayout, StringPlace};
use array::rear::{Rack, RearView};
use array::rows::Rows;
use array::section_shade::{ASSUMED_BYPASS_V, section_shade};
use array::transposition::{SkyModel, SkySeries, SkyYear};
use sun::{HOURS, Observer, YearSky, month_of_hour};
use weather::{Generator, Normals, Year};

const GLASS: IncidenceModel = IncidenceModel::GLASS;

/// Twelve months of a mid-latitude place (made up, of the size of a real one).
const NORMALS: Normals = Normals {
    latitude_deg: 44.9,
    longitude_deg: -93.2,
    elevation_m: 265.0,
    utc_offset_h: -6.0,
    ghi_kwh_m2_day: [1.8, 2.7, 3.9, 4.8, 5.7, 6.2, 6.2, 5.2, 4.0, 2.6, 1.7, 1.4],
    mean_c: [-10.0, -7.0, 0.0, 8.0, 15.0, 20.0, 23.0, 21.0, 16.0, 9.0, 0.0, -7.0],
    min_c: [-15.0, -12.0, -5.0, 2.0, 9.0, 14.0, 17.0, 16.0, 10.0, 4.0, -4.0, -11.0],
    max_c: [-5.0, -2.0, 5.0, 14.0, 21.0, 26.0, 29.0, 27.0, 22.0, 14.0, 4.0, -3.0],
    wind_m_s: [3.5; 12],
};

fn reduced(sky: &YearSky, year: &Year, albedo: &[f64]) -> SkyYear {
    SkyYear::new(
        SkyModel::Perez,
        &SkySeries {
            zenith_deg: &sky.zenith_deg,
            azimuth_deg: &sky.azimuth_deg,
            extraterrestrial_w_m2: &sky.extraterrestrial_normal_w_m2,
            relative_air_mass: &sky.air_mass,
            ghi_w_m2: &year.ghi_w_m2,
            dni_w_m2: &year.dni_w_m2,
            dhi_w_m2: &year.dhi_w_m2,
            albedo,
        },
    )
    .expect("a synthetic year is in range")
}

/// Light behind the glass on every plane in the years of a range, Wh/m² by year and plane.
fn sums(
    generator: &Generator,
    sky: &YearSky,
    planes: &[Plane],
    albedo: &[f64],
    years: std::ops::Range<u32>,
) -> Vec<f64> {
    years
        .flat_map(|index| {
            let year = reduced(sky, &generator.year(sky, 7, index), albedo);
            planes
                .iter()
                .map(|plane| {
                    let light = plane_year(&year, plane, &GLASS, None).expect("no shade");
                    light.cell_w_m2.iter().sum()
                })
                .collect::<Vec<f64>>()
        })
        .collect()
}

fn timed<T>(what: &str, runs: usize, mut work: impl FnMut() -> T) -> T {
    let mut result = work();
    let mut millis: Vec<f64> = (0..runs)
        .map(|_| {
            let begun = Instant::now();
            result = black_box(work());
            begun.elapsed().as_secs_f64() * 1e3
        })
        .collect();
    millis.sort_by(f64::total_cmp);
    println!("{what:<66} {:>9.2} ms (fastest {:.2})", millis[runs / 2], millis[0]);
    result
}

fn main() {
    let observer = Observer::new(NORMALS.latitude_deg, NORMALS.longitude_deg, NORMALS.elevation_m)
        .expect("a place on the globe");
    let sky = timed("sun of a calendar: 8760 hours of one place", 21, || {
        YearSky::new(observer, NORMALS.utc_offset_h)
    });
    let generator =
        timed("preparing a climate", 21, || Generator::new(&NORMALS, &sky)).expect("a usable climate");
    let year = timed("one synthetic year", 51, || generator.year(&sky, 7, 0));
    let albedo = vec![0.2; HOURS];
    let planes = [(35.0, 180.0), (20.0, 95.0), (60.0, 200.0)]
        .map(|(tilt, azimuth)| Plane::new(tilt, azimuth).expect("a plane"));
    let one = timed("weather to one plane: sky model, plane, glass", 51, || {
        let sky_year = reduced(&sky, &year, &albedo);
        let light = plane_year(&sky_year, &planes[0], &GLASS, None).expect("no shade");
        (sky_year, light)
    });
    let serial = timed("20 synthetic years on three planes, one thread", 11, || {
        sums(&generator, &sky, &planes, &albedo, 0..20)
    });
    let shared = timed("20 synthetic years on three planes, two threads", 11, || {
        std::thread::scope(|scope| {
            let second = scope.spawn(|| sums(&generator, &sky, &planes, &albedo, 10..20));
            let mut all = sums(&generator, &sky, &planes, &albedo, 0..10);
            all.extend(second.join().expect("no year panics"));
            all
        })
    });
    assert_eq!(serial, shared, "years alone and side by side");

    let (sky_year, light) = one;
    let finder = Finder::new(std::slice::from_ref(&sky_year), &GLASS, Some(5), None).expect("a year");
    let slow: f64 = light.cell_w_m2.iter().sum();
    assert!((finder.energy(&planes[0]).year_wh_m2 / slow - 1.0).abs() < 1e-5, "fast and slow way");
    let map = timed("finder: all planes at 2° by 5°, one year", 5, || finder.map(2.0, 5.0)).expect("steps");
    let best = timed("finder: best plane for the year from its map", 11, || finder.best(&map, &Aim::Year))
        .expect("an aim");
    println!("   {} planes; best for the year {}° at {}°", map.planes.len(), best.tilt_deg, best.azimuth_deg);

    let months: Vec<u8> = (0..HOURS).map(|hour| month_of_hour(hour) as u8 + 1).collect();
    let stand = Stand { plane: planes[0], lower_edge_m: 0.6, slant_m: 2.1, width_m: 17.2 };
    let rows = Rows::new(35.0, 180.0, 2.1, 4.5).expect("rows");
    let around = Surroundings::new(
        None,
        vec![
            Obstacle::building(225.0, 9.0, 18.0, 7.0),
            Obstacle::building(150.0, 6.0, 14.0, 11.0).as_tree(&[true; 12], 0.6, 0.15),
        ],
    )
    .expect("a house and a tree");
    let shade = timed("shade of a house, a tree and a row through a calendar", 21, || {
        around.shade(&stand, Some(&rows), &sky.zenith_deg, &sky.azimuth_deg, &months)
    })
    .expect("a usable stand");
    let shaded = timed("weather to one plane in that shade", 51, || {
        shaded_plane_year(&sky_year, &planes[0], &GLASS, &shade)
    })
    .expect("usable shade");
    let module = fit(&DataSheet {
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
    .expect("a consistent sheet")
    .module;
    let points = ModuleYear::new(&module, &shaded.cell_w_m2, &year.air_c).expect("usable series");
    let layout = SectionLayout {
        modules_in_series: 10,
        sections_of_module: 3,
        modules_up: 1,
        modules_wide: 10,
        stand: ModuleStand::Upright,
        place: StringPlace { row: None, first_column: 0.0 },
    };
    let reached = timed("sections of that string in that shade", 21, || Reached::of(&shade, layout))
        .expect("a usable layout");
    let left = timed("best points of a string in that shade", 11, || {
        section_shade(&module, &points, &shaded, &year.air_c, &reached, None, ASSUMED_BYPASS_V)
    })
    .expect("usable shade");
    println!(
        "   {} hours in near shade, {} with sections reached",
        shade.during.iter().filter(|share| **share > 0.0).count(),
        left.power_share.iter().filter(|share| **share < 1.0).count()
    );
    let rack =
        Rack { tilt_deg: 35.0, azimuth_deg: 180.0, slant_m: 2.1, clearance_m: 0.6, pitch_m: Some(4.5) };
    let view = timed("view of a rack's back", 11, || RearView::new(&rack)).expect("a rack");
    let rear = timed("light on its back through a year", 51, || view.rear_w_m2(&sky_year));
    println!(
        "   back {:.0} of front {:.0} kWh/m²",
        rear.iter().sum::<f64>() / 1e3,
        light.plane_w_m2.iter().sum::<f64>() / 1e3
    );
}
