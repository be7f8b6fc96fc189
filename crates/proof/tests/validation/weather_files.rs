//! Hourly years of measured and typical weather, where `WATTWRIGHT_DATA` says they are.

use std::path::{Path, PathBuf};

use sun::{Observer, YearSky};
use weather::{FileYear, Fill, Place, Plausibility, Year, read_epw, read_tmy3};

use crate::record::{Allowed, Largest, Section, Standing};
use crate::weather_against::{self as against, Against};
use crate::weather_rows::brightest_hours;

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
    let [mut bright, mut low_sun, mut clean]: [Largest; 3] = Default::default();
    let (mut compared, mut split_by_hour, mut independent) = (Vec::new(), Vec::new(), Vec::new());
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
        beams_above_clean_air(&real, &sky, &mut clean);
        let split = split_of(file, &sky);
        let off = |split: &[f64], real: &[f64]| {
            100.0 * (split.iter().sum::<f64>() / real.iter().sum::<f64>() - 1.0)
        };
        beam.see(off(&split.dni_w_m2, &real.dni_w_m2));
        sky_light.see(off(&split.dhi_w_m2, &real.dhi_w_m2));
        split_by_hour.push((*title, by_hour(&split, &real, &sky)));
        independent.push(climate_row(title, &place, &real));
        compared.push((*title, Against::of(&place, &sky, &real)));
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
        "Beam of the files' own columns, whole hours with the sun above 2°",
        "beam through clean dry air (Kasten 1996, optical thickness from memory): what a split beam never passes",
        &clean,
        "% of the beam above the air over it",
        Allowed(0.1, "the files print whole watts of some 1367"),
        Standing::Remembered,
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
    for (place, (hours, words)) in split_by_hour {
        section.found(
            &format!("Global light of {place} split hour by hour, sunlit hours"),
            modelled(place),
            hours,
            &words,
            "Erbs et al. 1982 know the clearness of the hour alone; no source sets how near one hour must come",
            Standing::Derived,
        );
    }
    section.found(
        "Which rows of the climate table were made from these files",
        "monthly light of the nearest row and of the file; both are printed to 0.01 kWh/m² a day",
        independent.len(),
        &independent.join("; "),
        "what is compared with a file and with its row is compared once; all other rows come from other records",
        Standing::Derived,
    );
    against::rows(&mut section, &compared);
    Some(section)
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

/// By how much, % of the beam above the air, the beam of an hour passes what clean dry air lets through.
fn beams_above_clean_air(real: &Year, sky: &YearSky, clean: &mut Largest) {
    let whole = |hour: &usize| sky.sunlit_fraction[*hour] == 1.0 && sky.zenith_deg[*hour] < 88.0;
    for hour in (0..sun::HOURS).filter(whole) {
        let air_mass = sun::absolute_air_mass(sky.air_mass[hour], sky.observer.elevation_m);
        let share = real.dni_w_m2[hour] / sky.extraterrestrial_normal_w_m2[hour];
        clean.see(100.0 * (share - sun::clean_dry_beam_share(air_mass)).max(0.0));
    }
}

/// What the beam and the diffuse light of a file are.
fn modelled(place: &str) -> &'static str {
    match place {
        "NLD_DeBilt" => "the file's own columns, which are themselves modelled from measured global light",
        _ => "the file's own columns, of which most hours are themselves modelled from cloud reports",
    }
}

/// How many hours have sun, and of beam and diffuse light in them: mean difference and root mean square in W/m² and as shares
/// of the file's means, and what half of the hours, nine in ten and all of them stay within.
fn by_hour(split: &Year, real: &Year, sky: &YearSky) -> (usize, String) {
    let lit: Vec<usize> = (0..sun::HOURS).filter(|hour| sky.has_sun(*hour)).collect();
    let words = |found: &[f64], own: &[f64]| {
        let n = lit.len() as f64;
        let mean = lit.iter().map(|hour| own[*hour]).sum::<f64>() / n;
        let bias = lit.iter().map(|hour| found[*hour] - own[*hour]).sum::<f64>() / n;
        let square = lit.iter().map(|hour| (found[*hour] - own[*hour]).powi(2)).sum::<f64>() / n;
        let mut each = Largest::default();
        lit.iter().for_each(|hour| each.see(found[*hour] - own[*hour]));
        let [half, most, all] = each.within([0.5, 0.9, 1.0]);
        format!(
            "{bias:+.0} W/m² ({:+.1} %), root mean square {:.0} W/m² ({:.0} %), half of the hours within {half:.0} W/m², nine \
             in ten within {most:.0}, the largest {all:.0}",
            100.0 * bias / mean,
            square.sqrt(),
            100.0 * square.sqrt() / mean
        )
    };
    let text = format!(
        "beam {}; diffuse {}",
        words(&split.dni_w_m2, &real.dni_w_m2),
        words(&split.dhi_w_m2, &real.dhi_w_m2)
    );
    (lit.len(), text)
}

/// Whether the nearest row of the climate table was made from this file.
fn climate_row(title: &str, place: &Place, real: &Year) -> String {
    let (row, _) = tables::nearest(place.latitude_deg, place.longitude_deg).expect("a place on the globe");
    let own = real.monthly_ghi_kwh_m2_day();
    let gap = row.ghi_kwh_m2_day.iter().zip(own).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
    match gap < 0.011 {
        true => format!("{title}: made from it"),
        false => format!("{title}: independent, months differ by up to {gap:.2}"),
    }
}

/// The year from its global light alone.
fn split_of(mut file: FileYear, sky: &YearSky) -> Year {
    file.dni_w_m2.fill(None);
    file.dhi_w_m2.fill(None);
    file.into_year(sky, &[Fill::SplitGlobal]).expect("global is whole").year
}
