//! Hourly years of measured and typical weather, where `WATTWRIGHT_DATA` says they are.

use std::path::{Path, PathBuf};

use sun::{Observer, YearSky};
use weather::{
    Bias, BiasClass, FileYear, Fill, Generator, Normals, Place, Plausibility, Year, read_epw, read_tmy3,
    season_of_day,
};

use crate::record::{Allowed, Largest, Section, Standing};
use crate::weather_rows::{brightest_hours, moments};

pub(crate) const TITLE: &str = "Weather files (needs WATTWRIGHT_DATA)";

/// Yearly global, beam and diffuse light stated with the files, kWh/m².
const STATED: [(&str, f64, f64, f64); 7] = [
    ("CAN_ON_Toronto", 1318.0, 1252.0, 612.0),
    ("NLD_DeBilt", 991.0, 792.0, 562.0),
    ("USA_AZ_Phoenix", 2094.0, 2524.0, 564.0),
    ("USA_CO_Golden", 1620.0, 1867.0, 578.0),
    ("USA_FL_Miami", 1753.0, 1454.0, 811.0),
    ("USA_MN_Minneapolis", 1399.0, 1503.0, 586.0),
    ("USA_PR_SanJuan", 1954.0, 1680.0, 802.0),
];

/// `None` where there are no files.
pub(crate) fn section() -> Option<Section> {
    let root = std::env::var("WATTWRIGHT_DATA").ok().filter(|root| !root.is_empty())?;
    let mut files: Vec<PathBuf> = std::fs::read_dir(Path::new(&root).join("weather"))
        .expect("WATTWRIGHT_DATA has a folder weather")
        .map(|entry| entry.expect("an entry").path())
        .collect();
    files.sort();
    let mut section = Section::new(
        TITLE,
        "Seven years of hours: typical years (NREL TMY3, Wilcox & Marion 2008; CWEC; ISO 15927-4). The files are not part \
         of the project.",
    );
    let [mut sums, mut closure, mut bias, mut noon, mut beam, mut sky_light]: [Largest; 6] =
        Default::default();
    let [mut bright, mut low_sun]: [Largest; 2] = Default::default();
    let mut compared = Vec::new();
    for path in files {
        let name = path.file_name().expect("a name").to_string_lossy().into_owned();
        let Some((title, global, direct, diffuse)) = STATED.iter().find(|stated| name.starts_with(stated.0))
        else {
            continue;
        };
        let file = read(&path);
        let place = file.place.clone();
        let sky = sky_of(&place);
        let real = file.clone().into_year(&sky, &[]).expect("no gaps").year;
        let look = Plausibility::of(&real, &place, &sky);
        let (g, b, d) = look.yearly_kwh_m2;
        for (found, stated) in [(g, global), (b, direct), (d, diffuse)] {
            sums.see(found - stated);
        }
        closure.see(look.closure_rms_w_m2);
        bias.see(100.0 * look.closure_bias);
        noon.see(60.0 * look.noon_shift_h);
        brightest_hours(std::slice::from_ref(&real), &sky, &mut bright, &mut low_sun);
        let split = split_of(file, &sky);
        let off = |split: &[f64], real: &[f64]| {
            100.0 * (split.iter().sum::<f64>() / real.iter().sum::<f64>() - 1.0)
        };
        beam.see(off(&split.dni_w_m2, &real.dni_w_m2));
        sky_light.see(off(&split.dhi_w_m2, &real.dhi_w_m2));
        compared.push((*title, against_synthetic(&place, &sky, &real)));
    }
    let own = "the file's own columns";
    section.row(
        "Yearly global, beam and diffuse light as read",
        "the totals stated with the files",
        &sums,
        "kWh/m²",
        Allowed(0.6, "half a unit of the stated digits, and a tenth for the leap day that some leave out"),
        Standing::Derived,
    );
    section.row(
        "Global less diffuse less beam · cos z of each hour, root mean square",
        own,
        &closure,
        "W/m²",
        Allowed(6.0, "1.0 to 4.4 by another position routine; hours of sunrise lie between two rules for the sun's place"),
        Standing::Derived,
    );
    section.row(
        "The same, over the year",
        own,
        &bias,
        "%",
        Allowed(0.2, "twice what another routine finds"),
        Standing::Derived,
    );
    section.row(
        "Middle of the day's light against solar noon",
        own,
        &noon,
        "min",
        Allowed(24.0, "an hour's stamp taken for its start instead of its end would be 60; cloudy afternoons move the middle"),
        Standing::Derived,
    );
    section.row(
        "Hours with the sun above 10°",
        "clear sky of Ineichen & Perez 2002 without haze and vapour (turbidity 1)",
        &bright,
        "% above it",
        Allowed(11.0, "what synthetic years are held to, and the rounding of it"),
        Standing::Derived,
    );
    section.row(
        "Hours with the sun at 5 to 10°",
        "clear sky of Ineichen & Perez 2002 of turbidity 1.5",
        &low_sun,
        "% above it",
        Allowed(23.0, "what synthetic years are held to, and the rounding of it"),
        Standing::Derived,
    );
    section.row(
        "Beam split from global light, year's total",
        own,
        &beam,
        "%",
        Allowed(15.0, "a correlation of one variable on climates it was not fitted on"),
        Standing::Derived,
    );
    section.row(
        "Diffuse split from global light, year's total",
        own,
        &sky_light,
        "%",
        Allowed(15.0, "the same; where light is half diffuse, what the beam gains the diffuse loses"),
        Standing::Derived,
    );
    for (place, Against { spread, ranks, .. }) in &compared {
        let [winter, spring, summer, autumn] = spread.map(|ratio| format!("{ratio:.2}"));
        section.found(
            &format!("Synthetic years fed with the monthly means of {place}"),
            "the file: spread of daily light by season; how many of 100 years have duller 3, 5 and 10 days than it",
            7,
            &format!(
                "spread winter {winter}, spring {spring}, summer {summer}, autumn {autumn} of the file's; {}, {} and {} of 100",
                ranks[0], ranks[1], ranks[2]
            ),
            "the method knows twelve means and no more; a file is one year, which may be of any rank",
            Standing::Derived,
        );
    }
    biases(&mut section, &compared);
    Some(section)
}

/// What the program says of each kind of climate, against what its files give today.
fn biases(section: &mut Section, compared: &[(&'static str, Against)]) {
    for bias in Bias::ALL {
        let of_class: Vec<&Against> =
            compared.iter().filter(|(_, found)| found.bias == bias).map(|(_, found)| found).collect();
        let mut ends = Largest::default();
        let mut compare = |values: &[f64], (low, high): (f64, f64)| {
            ends.see(values.iter().copied().fold(f64::MAX, f64::min) - low);
            ends.see(values.iter().copied().fold(f64::MIN, f64::max) - high);
        };
        let spreads: Vec<f64> = of_class.iter().flat_map(|found| found.spread).collect();
        compare(&spreads, bias.spread);
        for (at, (_, low, high)) in bias.dullest.iter().enumerate() {
            let medians: Vec<f64> = of_class.iter().map(|found| found.dullest[at]).collect();
            compare(&medians, (*low, *high));
        }
        let ((low, high), [three, five, ten]) = (bias.spread, bias.dullest);
        section.row(
            &format!(
                "Stated bias of synthetic years, {}: spread {low:.2} to {high:.2}; dullest 3, 5 and 10 days {:.2} to {:.2}, \
                 {:.2} to {:.2}, {:.2} to {:.2} of real ones",
                class_name(&bias),
                three.1,
                three.2,
                five.1,
                five.2,
                ten.1,
                ten.2
            ),
            &format!("lowest and highest ratio to the files of {}", bias.measured_on.join(", ")),
            &ends,
            "",
            Allowed(0.0051, "half a unit of the stated digits; measured on few files, so another place may lie outside"),
            Standing::Derived,
        );
    }
}

fn class_name(bias: &Bias) -> &'static str {
    match bias.class {
        BiasClass::WarmAllYear => "warm all year",
        BiasClass::ColdDullWinter => "cold with a dull winter",
        BiasClass::Fair => "all others",
    }
}

fn read(path: &Path) -> FileYear {
    let bytes = std::fs::read(path).expect("a readable file");
    let epw = path.extension().is_some_and(|ending| ending == "epw");
    if epw { read_epw(&bytes) } else { read_tmy3(&bytes) }
        .unwrap_or_else(|e| panic!("{}: {e}", path.display()))
}

fn sky_of(place: &Place) -> YearSky {
    let observer = Observer::new(place.latitude_deg, place.longitude_deg, place.elevation_m)
        .expect("a place on the globe");
    YearSky::new(observer, place.utc_offset_h)
}

/// The year from its global light alone.
fn split_of(mut file: FileYear, sky: &YearSky) -> Year {
    file.dni_w_m2.fill(None);
    file.dhi_w_m2.fill(None);
    file.into_year(sky, &[Fill::SplitGlobal]).expect("global is whole").year
}

/// A hundred synthetic years against the file whose monthly means they were made from.
struct Against {
    /// What the program says of this climate.
    bias: Bias,
    /// Standard deviation of daily sums by season, synthetic over real.
    spread: [f64; 4],
    /// Synthetic years with duller 3, 5 and 10 days than the file.
    ranks: [usize; 3],
    /// Dullest 3, 5 and 10 days of the middling synthetic year over the file's.
    dullest: [f64; 3],
}

fn against_synthetic(place: &Place, sky: &YearSky, real: &Year) -> Against {
    let extremes: Vec<(f64, f64)> = real
        .air_c
        .chunks(24)
        .map(|day| {
            (day.iter().copied().fold(f64::MAX, f64::min), day.iter().copied().fold(f64::MIN, f64::max))
        })
        .collect();
    let month_mean = |pick: fn(&(f64, f64)) -> f64| -> [f64; 12] {
        std::array::from_fn(|month| {
            let from = sun::month_start_day(month);
            let span = &extremes[from..from + sun::MONTH_DAYS[month]];
            span.iter().map(pick).sum::<f64>() / span.len() as f64
        })
    };
    let normals = Normals {
        latitude_deg: place.latitude_deg,
        longitude_deg: place.longitude_deg,
        elevation_m: place.elevation_m,
        utc_offset_h: place.utc_offset_h,
        ghi_kwh_m2_day: real.monthly_ghi_kwh_m2_day(),
        mean_c: real.monthly_air_c(),
        min_c: month_mean(|day| day.0),
        max_c: month_mean(|day| day.1),
    };
    let generator = Generator::new(&normals, sky).expect("normals of a real year");
    let years: Vec<Vec<f64>> =
        (0..100).map(|index| generator.year(sky, 11, index).daily_ghi_wh_m2()).collect();
    let by_season = |daily: &[f64]| -> [f64; 4] {
        std::array::from_fn(|season| {
            let days: Vec<f64> =
                (0..365).filter(|day| season_of_day(*day) == season).map(|day| daily[day]).collect();
            moments(&days).1
        })
    };
    let own_days = real.daily_ghi_wh_m2();
    let own = by_season(&own_days);
    let mut squares = [0.0; 4];
    for year in &years {
        for (square, deviation) in squares.iter_mut().zip(by_season(year)) {
            *square += deviation * deviation / years.len() as f64;
        }
    }
    let lowest = |daily: &[f64], days: usize| {
        daily.windows(days).map(|window| window.iter().sum::<f64>()).fold(f64::MAX, f64::min)
    };
    let stretches = [3, 5, 10].map(|days| {
        let mut all: Vec<f64> = years.iter().map(|year| lowest(year, days)).collect();
        all.sort_by(f64::total_cmp);
        (all, lowest(&own_days, days))
    });
    Against {
        bias: Bias::of(&normals, sky),
        spread: std::array::from_fn(|season| squares[season].sqrt() / own[season]),
        ranks: std::array::from_fn(|at| stretches[at].0.iter().filter(|sum| **sum < stretches[at].1).count()),
        dullest: std::array::from_fn(|at| stretches[at].0[years.len() / 2] / stretches[at].1),
    }
}
