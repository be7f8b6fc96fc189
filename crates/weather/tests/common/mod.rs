//! Climates and weather files for the tests.
#![allow(dead_code, unreachable_pub, clippy::print_stderr)] // Each test binary uses its own part.

use std::path::{Path, PathBuf};

use sun::{Observer, YearSky};
use weather::{FileYear, Normals, Place, Year, read_epw, read_tmy3};

/// The climates of `cases/solar/climates.csv`.
pub fn climates() -> Vec<(String, Normals)> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../cases/solar/climates.csv");
    let text = std::fs::read_to_string(path).expect("the case file is part of the repository");
    text.lines()
        .filter(|line| !line.starts_with('#') && !line.starts_with("id,"))
        .map(|line| {
            let cells: Vec<&str> = line.split(',').collect();
            let number = |i: usize| cells[i].parse::<f64>().expect("a number");
            let twelve = |from: usize| core::array::from_fn(|month| number(from + month));
            let normals = Normals {
                latitude_deg: number(2),
                longitude_deg: number(3),
                elevation_m: number(4),
                utc_offset_h: number(5),
                ghi_kwh_m2_day: twelve(6),
                mean_c: twelve(18),
                min_c: twelve(30),
                max_c: twelve(42),
                wind_m_s: [weather::ASSUMED_WIND_M_S; 12],
            };
            (cells[1].to_string(), normals)
        })
        .collect()
}

/// The sky of a place.
pub fn sky_of(place: &Place) -> YearSky {
    let observer = Observer::new(place.latitude_deg, place.longitude_deg, place.elevation_m)
        .expect("a place on the globe");
    YearSky::new(observer, place.utc_offset_h)
}

/// The weather files, where the environment says they are; prints why there are none.
pub fn files() -> Vec<PathBuf> {
    let Ok(root) = std::env::var("WATTWRIGHT_DATA") else {
        eprintln!("skipped: WATTWRIGHT_DATA is not set");
        return Vec::new();
    };
    let mut found: Vec<PathBuf> = std::fs::read_dir(Path::new(&root).join("weather"))
        .expect("WATTWRIGHT_DATA has a folder weather")
        .map(|entry| entry.expect("a folder entry").path())
        .collect();
    found.sort();
    assert!(!found.is_empty());
    found
}

/// Reads either form by its ending.
pub fn read(path: &Path) -> FileYear {
    let bytes = std::fs::read(path).expect("a readable file");
    let epw = path.extension().is_some_and(|e| e == "epw");
    if epw { read_epw(&bytes) } else { read_tmy3(&bytes) }
        .unwrap_or_else(|e| panic!("{}: {e}", path.display()))
}

/// The monthly climate of a year of hours.
pub fn normals_of(place: &Place, year: &Year) -> Normals {
    let days: Vec<(f64, f64)> = year
        .air_c
        .chunks(24)
        .map(|day| {
            (day.iter().copied().fold(f64::MAX, f64::min), day.iter().copied().fold(f64::MIN, f64::max))
        })
        .collect();
    let month_mean = |pick: fn(&(f64, f64)) -> f64| -> [f64; 12] {
        core::array::from_fn(|month| {
            let from = sun::month_start_day(month);
            let span = &days[from..from + sun::MONTH_DAYS[month]];
            span.iter().map(pick).sum::<f64>() / span.len() as f64
        })
    };
    Normals {
        latitude_deg: place.latitude_deg,
        longitude_deg: place.longitude_deg,
        elevation_m: place.elevation_m,
        utc_offset_h: place.utc_offset_h,
        ghi_kwh_m2_day: year.monthly_ghi_kwh_m2_day(),
        mean_c: year.monthly_air_c(),
        min_c: month_mean(|d| d.0),
        max_c: month_mean(|d| d.1),
        wind_m_s: [weather::ASSUMED_WIND_M_S; 12],
    }
}

/// Mean and standard deviation (n − 1).
pub fn moments(values: &[f64]) -> (f64, f64) {
    let n = values.len() as f64;
    let mean = values.iter().sum::<f64>() / n;
    let variance = values.iter().map(|v| (v - mean) * (v - mean)).sum::<f64>() / (n - 1.0);
    (mean, variance.sqrt())
}

/// Correlation of two lists.
pub fn correlation(a: &[f64], b: &[f64]) -> f64 {
    let ((ma, sa), (mb, sb)) = (moments(a), moments(b));
    let covariance = a.iter().zip(b).map(|(x, y)| (x - ma) * (y - mb)).sum::<f64>() / (a.len() as f64 - 1.0);
    covariance / (sa * sb)
}
