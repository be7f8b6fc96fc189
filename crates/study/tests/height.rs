//! The air of a climate row at a place of another height.

use quantity::Origin;

const FARM: &str = include_str!("../../../designs/hollow-farm/hollow-farm.toml");
const NEAREST: &str = "normals = \"nearest\"";

/// A farm's sky with another height and other words in the place of its weather.
fn sky_of(elevation_m: f64, weather: &str) -> std::sync::Arc<study::SkyStudy> {
    let elevation = format!("elevation = \"{elevation_m} m\"");
    let weather = format!("weather = {{ {weather}, years = 1, seed = 5 }}");
    let lines = FARM.lines().map(|line| match line {
        line if line.starts_with("weather = ") => &weather,
        line if line.starts_with("elevation = ") => &elevation,
        line => line,
    });
    let text: String = lines.flat_map(|line| [line, "\n"]).collect();
    let design = design::Design::of_text(&text);
    assert!(design.is_sound(), "{:?}", design.problems);
    let study =
        study::Study::of(std::sync::Arc::new(design), None, study::Depth::Whole, &mut study::Memo::default());
    study.sky.expect("a place with a climate")
}

/// Twelve own means: those of a row, colder by so many kelvin.
fn own(row: &tables::ClimateRow, colder_k: f64) -> String {
    let means: Vec<String> = row.mean_c.iter().map(|mean| format!("{}", mean - colder_k)).collect();
    format!("air = [{}]", means.join(", "))
}

fn farm_row() -> (&'static tables::ClimateRow, f64) {
    let (row, _) = tables::nearest(42.87, -118.21).expect("a place");
    (row, row.elevation_m.expect("a height on record"))
}

fn same_air(a: &study::SkyStudy, b: &study::SkyStudy) {
    for (hour, (a, b)) in a.weather.years[0].air_c.iter().zip(&b.weather.years[0].air_c).enumerate() {
        assert!((a - b).abs() < 1e-6, "hour {hour}: {a} {b}");
    }
}

/// A kilometre and a half up is 9.75 K colder and a kilometre down 6.5 K warmer (ISO 2533, 6.5 K a kilometre): hour for hour the
/// air of an owner who states such means. An owner's own means stay as they are at every height.
#[test]
fn the_rows_air_is_carried_to_the_height_of_the_place_up_and_down() {
    let (row, there) = farm_row();
    for (higher_m, colder_k, way, words) in [
        (1500.0, 9.75, "1500 m lower (its air made 9.8 K colder for that)", "milder"),
        (-1000.0, -6.5, "1000 m higher (its air made 6.5 K warmer for that)", "valleys"),
    ] {
        let moved = sky_of(there + higher_m, NEAREST);
        let stated = sky_of(there + higher_m, &format!("{NEAREST}, {}", own(row, colder_k)));
        same_air(&moved, &stated);
        assert!(moved.says.contains(way), "{}", moved.says);
        assert!(!stated.says.contains("its air made"), "{}", stated.says);
        let told = |sky: &study::SkyStudy| {
            sky.weather
                .remarks
                .iter()
                .any(|line| line.contains("standard atmosphere") && line.contains(words))
        };
        assert!(told(&moved) && !told(&stated), "{:?}", moved.weather.remarks);
        // Own air that fits the height is not taken for degrees Fahrenheit.
        assert!(!stated.weather.remarks.iter().any(|line| line.contains("degrees")));
        // The assumption has a name, a field that replaces it, and a source.
        let named = |sky: &study::SkyStudy| {
            sky.terms
                .iter()
                .find(|term| &*term.symbol == "air at the height of the place")
                .map(|term| term.origin.clone())
        };
        assert!(named(&stated).is_none());
        let Some(Origin::Assumed(reason)) = named(&moved) else { panic!("{:?}", moved.terms) };
        assert_eq!(reason.field.to_string(), "place.weather.air");
        assert!(reason.clause.document.contains("ISO 2533"));
    }
    let level = sky_of(there, NEAREST);
    same_air(&level, &sky_of(there, &format!("{NEAREST}, {}", own(row, 0.0))));
    assert!(!level.says.contains("its air made"), "{}", level.says);
    assert!(!level.weather.remarks.iter().any(|line| line.contains("standard atmosphere")));
}

#[test]
fn a_row_without_a_height_keeps_its_air_and_says_so() {
    let rows = tables::climate_rows();
    let row = rows.iter().find(|row| row.elevation_m.is_none()).expect("nine rows have none");
    let asked = format!("normals = \"{}\"", row.id);
    let kept = sky_of(1500.0, &asked);
    same_air(&kept, &sky_of(1500.0, &format!("{asked}, {}", own(row, 0.0))));
    assert!(kept.says.contains("its height not on record and its air taken as it is"), "{}", kept.says);
    assert!(kept.weather.remarks.iter().any(|line| line.contains("does not say how high")));
}

/// Great circle on a sphere of 6371 km.
fn apart_km(a: &tables::ClimateRow, b: &tables::ClimateRow) -> f64 {
    let [north, east, other_north, other_east] =
        [a.latitude, a.longitude, b.latitude, b.longitude].map(f64::to_radians);
    let cosine =
        north.sin() * other_north.sin() + north.cos() * other_north.cos() * (other_east - east).cos();
    6371.0 * cosine.clamp(-1.0, 1.0).acos()
}

/// What the remark says of real neighbours is so: of all pairs of rows within 100 km of each other and 800 m or more apart in
/// height, four of five cool by 1.9 to 6.5 K a kilometre over the year, the middle one by 4.7 K, and air carried by 6.5 K is
/// nearer to the neighbour's than air as it is.
#[test]
fn neighbouring_rows_cool_with_height_as_is_said() {
    let rows = tables::climate_rows();
    let (mut rates, mut as_it_is, mut carried) = (Vec::new(), 0.0, 0.0);
    for (index, a) in rows.iter().enumerate() {
        for b in &rows[index + 1..] {
            let (Some(high), Some(low)) = (a.elevation_m, b.elevation_m) else { continue };
            let higher_m = high - low;
            if higher_m.abs() < 800.0 || apart_km(a, b) > 100.0 {
                continue;
            }
            let year = |row: &tables::ClimateRow| row.mean_c.iter().sum::<f64>() / 12.0;
            let colder_k = year(b) - year(a);
            rates.push(1000.0 * colder_k / higher_m);
            as_it_is += colder_k.powi(2);
            carried += (colder_k - weather::colder_by_height_k(higher_m)).powi(2);
        }
    }
    rates.sort_by(f64::total_cmp);
    let at = |share: f64| rates[(share * (rates.len() - 1) as f64).round() as usize];
    assert!(rates.len() >= 30, "{}", rates.len());
    let rounded = [0.1, 0.5, 0.9].map(|share| format!("{:.1}", at(share)));
    assert_eq!(rounded, ["1.9", "4.7", "6.5"], "{rates:?}");
    assert!(carried < 0.5 * as_it_is, "{carried} {as_it_is}");
}
