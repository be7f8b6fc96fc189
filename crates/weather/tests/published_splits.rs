//! Diffuse fractions against tables of the published equations.

use std::path::Path;

use weather::{daily_diffuse_fraction, hourly_diffuse_fraction, monthly_diffuse_fraction};

fn check(quantity: &str, of: impl Fn(&dyn Fn(&str) -> f64) -> f64) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../cases/solar/irradiance_checks.csv");
    let text = std::fs::read_to_string(path).expect("the case file is part of the repository");
    let mut count = 0;
    for line in text.lines().filter(|l| l.starts_with(quantity)) {
        let cells: Vec<&str> = line.split(',').collect();
        let input = |name: &str| -> f64 {
            let found = cells[1].split(';').find_map(|p| p.strip_prefix(name)?.strip_prefix('='));
            found.expect("the input").parse().expect("a number")
        };
        let value: f64 = cells[2].parse().expect("a number");
        // Half a unit of the sixth decimal.
        assert!((of(&input) - value).abs() < 6e-7, "{line}: {}", of(&input));
        count += 1;
    }
    assert!(count >= 8, "{quantity}");
}

#[test]
fn diffuse_fractions_match_their_tables() {
    check("erbs_1982_hourly_diffuse_fraction", |x| hourly_diffuse_fraction(x("kt")));
    check("erbs_1982_daily_diffuse_fraction", |x| daily_diffuse_fraction(x("KT"), x("ws")));
    check("erbs_1982_monthly_diffuse_fraction", |x| monthly_diffuse_fraction(x("KTbar"), x("ws")));
}

#[test]
fn the_hourly_model_matches_its_table() {
    // KT, sun height: expected clearness, deviation and memory from the coefficients of Aguiar & Collares-Pereira 1992.
    use weather::synthesis::hourly_clearness::{deviation, expected, memory};
    for (k, height, mean, sigma, phi) in [
        (0.2, 10f64, 0.121670, 0.104670, 0.411402),
        (0.35, 30.0, 0.354705, 0.148214, 0.439757),
        (0.5, 60.0, 0.566094, 0.095549, 0.401741),
        (0.65, 10.0, 0.559435, 0.118498, 0.339578),
        (0.75, 60.0, 0.787947, 0.009840, 0.320252),
    ] {
        let s = height.to_radians().sin();
        assert!((expected(k, s) - mean).abs() < 1e-6, "{k} {height}");
        assert!((deviation(k, s) - sigma).abs() < 1e-6);
        assert!((memory(k) - phi).abs() < 1e-6);
    }
}
