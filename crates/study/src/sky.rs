//! The sun of the place and its weather years.

use crate::height::ToHeight;
use crate::memo::{Key, Memo};
use crate::near::FAR_KM;
use crate::own_means;
use crate::uses::{Unanswered, Uses};
use design::system::{Gaps, System};
use quantity::{Clause, Fact, FieldPath, Measure, Origin, Standing, TableRow, Term, units};
use std::sync::Arc;
use tables::ClimateRow;

/// An hourly year named by a design, as bytes.
#[derive(Clone, Debug, PartialEq)]
pub struct WeatherFile {
    /// Its name as the design writes it.
    pub name: String,
    /// Its contents, or why it could not be read.
    pub bytes: Result<Arc<[u8]>, String>,
}

/// Weather years with the sun they were made for.
#[derive(Clone, Debug)]
pub struct Years {
    /// The years, hour by hour.
    pub years: Vec<weather::Year>,
    /// Things the owner should know of them.
    pub remarks: Vec<String>,
    /// Year-to-year spread of yearly sunshine: made by the chain, added; `None` for a file.
    pub spread: Option<weather::synthesis::Spread>,
    /// Snowfalls of each year.
    pub falls: Vec<Vec<weather::SnowFall>>,
    /// What cannot be true of a file as it stands, with its line; nothing for years made here.
    pub doubtful: Vec<String>,
    /// Calendar year of each, where a file holds many.
    pub numbers: Vec<Option<i32>>,
    /// Hours that a file lacked, by year, quantity and time; nothing for years made here.
    pub filled: Vec<crate::FilledStretch>,
}

/// Weather and sky of a place.
#[derive(Clone, Debug)]
pub struct SkyStudy {
    /// Sun of the nominal year.
    pub sun: Arc<sun::YearSky>,
    /// Weather years.
    pub weather: Arc<Years>,
    /// What they are, in words: "20 synthetic years from the normals of …".
    pub says: String,
    /// The climate row they come from, where they do.
    pub climate: Option<&'static ClimateRow>,
    /// That a file is of another place than the design's, and how far away.
    pub elsewhere: Option<String>,
    /// What they rest on.
    pub terms: Vec<Term>,
    /// Key of the layer.
    pub(crate) key: u64,
}

/// Beyond this difference of latitude a row's light is carried by its clearness; own judgement, no source.
const SAME_LATITUDE_DEG: f64 = 1.0;

/// Beyond this a file is of another place's weather; own judgement, no source. A file is chosen as the place's own, and so it is held
/// to less than a climate row.
const FILE_FAR_KM: f64 = 100.0;

/// The published chain from twelve means to hours.
pub(crate) const SYNTHESIS: Clause = Clause {
    document: "Aguiar, Collares-Pereira & Conde, Solar Energy 40; Aguiar & Collares-Pereira, Solar Energy 49",
    edition: "1988; 1992",
    clause: "daily Markov library; hourly autoregressive model",
    standing: Standing::SecondHand,
};

pub(crate) fn sky(
    system: &System,
    file: Option<&WeatherFile>,
    memo: &mut Memo,
) -> Result<Arc<SkyStudy>, Unanswered> {
    match &system.place.weather.file {
        Some(name) => from_file(system, &name.value, name.origin.clone(), file, memo),
        None => from_normals(system, memo),
    }
    .map(Arc::new)
}

fn from_normals(system: &System, memo: &mut Memo) -> Result<SkyStudy, Unanswered> {
    let place = &system.place;
    let mut uses = Uses::default();
    let latitude = uses.number("latitude", &place.latitude, &units::DEGREE_UNIT);
    let longitude = uses.number("longitude", &place.longitude, &units::DEGREE_UNIT);
    let elevation_m = uses.number("elevation", &place.elevation, &units::METER);
    let offset_h = uses.number("standard time", &place.utc_offset_h, &units::NUMBER);
    let wanted = uses.words("climate row asked for", &place.weather.normals, |name| name.to_string());
    let years = uses.number("weather years", &place.weather.years, &units::COUNT) as usize;
    let seed = uses.number("seed", &place.weather.seed, &units::COUNT) as u64;
    let mut terms = uses.done()?;
    let row = climate_row(wanted.as_deref().unwrap_or("nearest"), latitude, longitude)?;
    let distance =
        tables::nearest(latitude, longitude).ok().filter(|(near, _)| near.id == row.id).map(|(_, km)| km);
    let clause = Clause {
        document: "monthly climate of 1092 places",
        edition: "",
        clause: "climate table of this project; sources in its header",
        standing: Standing::SecondHand,
    };
    let origin = Origin::Tabled(Arc::new(TableRow {
        clause,
        row: row.in_words().into(),
        standing: Standing::SecondHand,
    }));
    terms.push(Term::words("monthly means", row.in_words(), origin));
    let mut ghi = row.ghi_kwh_m2_day;
    let carried = (latitude - row.latitude).abs() > SAME_LATITUDE_DEG && place.weather.sunshine.is_none();
    if carried {
        ghi = weather::carried_to_latitude(&ghi, row.latitude, latitude);
        let words =
            format!("from latitude {:.1}° to {latitude:.1}°, each month as clear as there", row.latitude);
        let because =
            "the climate row lies more than a degree of latitude away, where days have other lengths";
        let origin = crate::house::assumption("place.weather.sunshine", because, "every energy figure");
        terms.push(Term::words("sunshine carried by its clearness", words, origin));
    }
    if let Some(own) = &place.weather.sunshine {
        ghi = own.value.map(|joules| units::KILOWATT_HOUR_PER_SQUARE_METER.of_si(joules));
        terms.push(Term::words("your own monthly sunshine", "twelve numbers", own.origin.clone()));
    }
    let height = ToHeight::of(place, row, elevation_m);
    let [mean_c, min_c, max_c] = own_means::air(place, row, height, &mut terms);
    let normals = weather::Normals {
        latitude_deg: latitude,
        longitude_deg: longitude,
        elevation_m,
        utc_offset_h: offset_h,
        ghi_kwh_m2_day: ghi,
        mean_c,
        min_c,
        max_c,
        wind_m_s: own_means::wind(place, &mut terms),
    };
    let observer = sun::Observer::new(latitude, longitude, elevation_m).map_err(|bad| {
        Unanswered::refused(
            format!("{} {} is outside {} to {}", bad.what, bad.value, bad.allowed.0, bad.allowed.1),
            Some(FieldPath::new("place")),
        )
    })?;
    let sun_key = Key::new("sun").numbers(&[latitude, longitude, elevation_m, offset_h]).done();
    let sun = memo.sun.get(sun_key, || sun::YearSky::new(observer, offset_h));
    let climate_key = Key::new("climate")
        .count(sun_key)
        .numbers(&normals.ghi_kwh_m2_day)
        .numbers(&normals.mean_c)
        .numbers(&normals.min_c)
        .numbers(&normals.max_c)
        .numbers(&normals.wind_m_s)
        .done();
    let prepared = memo.generator.get(climate_key, || weather::Generator::new(&normals, &sun));
    let generator = prepared.as_ref().as_ref().map_err(|bad| {
        Unanswered::refused(
            format!("the climate row cannot be used here: {bad}"),
            Some(FieldPath::new("place.weather")),
        )
    })?;
    let (snow, snow_key) = snow_source(system);
    let stranger = distance.is_some_and(|km| km > FAR_KM);
    let key = Key::new("normals")
        .count(climate_key)
        .count(snow_key)
        .count(seed)
        .count(years as u64)
        .count(u64::from(stranger))
        .count(u64::from(height.remark().is_some()))
        .done();
    let made = memo.weather.get(key, || {
        use rayon::prelude::*;
        let indices: Vec<u32> = (0..years as u32).collect();
        // Each year has streams of its own, so the order of threads does not matter.
        let years: Vec<_> = indices.into_par_iter().map(|index| generator.year(&sun, seed, index)).collect();
        let (falls, mut remarks) = falls_of(&years, &sun, &snow, seed);
        let bias = weather::Bias::of(&normals, &sun);
        remarks.push(match stranger {
            true => "how near years made from a row that far away come to real ones is not known".to_string(),
            false => bias.says(),
        });
        let uneven = bias.class == weather::BiasClass::WarmAllYear;
        remarks.push(spread_said(&generator.spread(), uneven));
        remarks.extend(unreachable(generator.unreachable_months()));
        remarks.extend(own_means::asked_about(place, row, height));
        remarks.extend(height.remark());
        Years {
            numbers: vec![None; years.len()],
            years,
            remarks,
            spread: Some(generator.spread()),
            falls,
            doubtful: Vec::new(),
            filled: Vec::new(),
        }
    });
    note_snow(system, &made, &mut terms);
    let far = distance.map(|km| format!(", {km:.0} km away")).unwrap_or_default();
    let height = height.said();
    let carried = if carried { ", as clear as there but at your latitude" } else { "" };
    let trust = if stranger {
        "; that far away it is other weather, and its air is taken as it is there but for the height: let weather fetch bring measured years, \
         or give at least sunshine and wind of your own"
    } else {
        ""
    };
    let short = match row.record_years() {
        Some(1) => "; one year is no climate".to_string(),
        Some(few) if few < crate::near::FEWEST_YEARS => format!("; {few} years are hardly a climate"),
        _ => String::new(),
    };
    Ok(SkyStudy {
        says: format!(
            "{years} synthetic years from the monthly means of {} ({}){far}{height}{carried}{short}{}{trust}",
            row.name,
            row.record_in_words(),
            own_means::said(place)
        ),
        sun,
        weather: made,
        climate: Some(row),
        elsewhere: None,
        terms,
        key,
    })
}

fn climate_row(wanted: &str, latitude: f64, longitude: f64) -> Result<&'static ClimateRow, Unanswered> {
    let field = Some(FieldPath::new("place.weather.normals"));
    if wanted == "nearest" {
        let found = tables::nearest(latitude, longitude);
        return found.map(|(row, _)| row).map_err(|error| Unanswered::refused(error.to_string(), field));
    }
    tables::by_id(wanted).ok_or_else(|| {
        Unanswered::refused(
            format!("\"{wanted}\" is neither \"nearest\" nor the number of a climate row"),
            field,
        )
    })
}

/// How far years differ, what of it was added, on whose word, and what another word would have changed.
fn spread_said(spread: &weather::synthesis::Spread, uneven: bool) -> String {
    use weather::synthesis::spread::{
        LOWEST_OF_TWENTY, MONTHS_OVER_CHAIN, YEARS_OVER_CHAIN, YEARS_OVER_CHAIN_OF_ONE,
    };
    let month = quantity::MONTHS.get(spread.dark_month).copied().unwrap_or("the darkest month");
    let percent = |share: f64| format!("{:.1} %", 100.0 * share);
    let (low, high) = YEARS_OVER_CHAIN_OF_ONE;
    let dullest = |share: f64| format!("{:.0} %", 100.0 * LOWEST_OF_TWENTY * share);
    let too_much =
        if uneven { "; in a climate that is warm all year it is likely less, as its days are" } else { "" };
    format!(
        "left to themselves the days make the light of years differ by {} and that of {month} by {} (standard deviations over \
         200 years). Two long daily records, one measured at 52° north and one modelled at 42° north, have {YEARS_OVER_CHAIN} \
         times that for years and {MONTHS_OVER_CHAIN} times for months, and so much was added here: years differ by {}, {month} \
         by {}, and the dullest of 20 years brings about {} less than the usual. By the one record alone years would differ \
         by {} and the dullest of 20 bring {} less, by the other {} and {}{too_much}",
        percent(spread.chain),
        percent(spread.chain_months.get(spread.dark_month).copied().unwrap_or_default()),
        percent(spread.of_years()),
        percent(spread.of_month(spread.dark_month)),
        dullest(spread.of_years()),
        percent(low * spread.chain),
        dullest(low * spread.chain),
        percent(high * spread.chain),
        dullest(high * spread.chain)
    )
}

/// Says which months come out duller than the monthly means they were made from.
fn unreachable(months: &[usize]) -> Option<String> {
    let named: Vec<&str> =
        months.iter().filter_map(|month| weather::MONTH_NAMES.get(*month).copied()).collect();
    (!named.is_empty()).then(|| {
        format!(
            "the light stated for {} is more than the sun of this place can give; the years made are duller there",
            named.join(", ")
        )
    })
}

fn from_file(
    system: &System,
    name: &str,
    origin: Origin,
    file: Option<&WeatherFile>,
    memo: &mut Memo,
) -> Result<SkyStudy, Unanswered> {
    let field = Some(FieldPath::new("place.weather.file"));
    let refuse = |because: String| Unanswered::refused(because, field.clone());
    let file = file.filter(|file| file.name == name).ok_or_else(|| refuse(format!("{name} was not read")))?;
    let bytes = file.bytes.as_ref().map_err(|why| {
        // What could not be opened names its own path.
        refuse(if why.contains(name) { why.clone() } else { format!("{name}: {why}") })
    })?;
    let offset = system.place.utc_offset_h.value().map(|hours| hours.0);
    let hours = crate::file::hours(name, bytes, offset).map_err(refuse)?;
    let mut uses = Uses::default();
    uses.number("elevation", &system.place.elevation, &units::METER);
    let says = "hours that the file lacks";
    let gaps = match &system.place.weather.gaps {
        Some(stated) => uses.words(says, stated, crate::filled::choice_said).unwrap_or(Gaps::Refuse),
        None => {
            // An assumption is named only where the file lacks any hour.
            if crate::filled::lacks_hours(&hours) {
                let because = "a file with a few holes was meant to be used";
                let origin = crate::house::assumption("place.weather.gaps", because, says);
                uses.note(says, crate::filled::choice_said(&Gaps::Fill), origin);
            }
            Gaps::Fill
        }
    };
    let mut terms = uses.done()?;
    terms.push(Term::words("weather file", name, origin));
    let place = hours.place.clone();
    let observer =
        sun::Observer::new(place.latitude_deg, place.longitude_deg, place.elevation_m).map_err(|bad| {
            refuse(format!(
                "{name}: {} {} is outside {} to {}",
                bad.what, bad.value, bad.allowed.0, bad.allowed.1
            ))
        })?;
    let sun_key = Key::new("sun")
        .numbers(&[place.latitude_deg, place.longitude_deg, place.elevation_m, place.utc_offset_h])
        .done();
    let sun = memo.sun.get(sun_key, || sun::YearSky::new(observer, place.utc_offset_h));
    let (snow, snow_key) = snow_source(system);
    let key = Key::new("file").count(sun_key).count(snow_key).count(gaps as u64).bytes(bytes).done();
    // Read anew only when the bytes changed; what cannot be read is no layer.
    let whole = crate::file::whole(name, bytes, hours, &sun, &snow, gaps).map_err(refuse)?;
    let weather = memo.weather.get(key, || {
        let mut whole = whole;
        let odd = crate::file::odd(&whole, &place, &sun);
        whole.remarks.extend(crate::filled::first_of(odd, "oddities"));
        whole
    });
    note_snow(system, &weather, &mut terms);
    let degrees =
        |fact: &Fact<quantity::Angle>| fact.value().map(|angle| units::DEGREE_UNIT.of_si(angle.si()));
    let far_km = degrees(&system.place.latitude)
        .zip(degrees(&system.place.longitude))
        .map(|(latitude, longitude)| {
            tables::great_circle_km(latitude, longitude, place.latitude_deg, place.longitude_deg)
        })
        .filter(|km| *km > FILE_FAR_KM);
    let warn = far_km.map(|km| format!(", {km:.0} km from the design's place")).unwrap_or_default();
    let elsewhere = far_km.map(|km| {
        format!(
            "{name} is of {}, {km:.0} km from the design's place: every figure of the year has the sun and the weather of there; \
             look whether it is the right file, and at both latitudes and longitudes",
            place.name
        )
    });
    Ok(SkyStudy {
        says: match weather.years.len() {
            1 => format!("the hourly year of {}{warn}", place.name),
            years => format!("{years} hourly years of {}{warn}", place.name),
        },
        sun,
        weather,
        climate: None,
        elsewhere,
        terms,
        key,
    })
}

/// Snow as the owner knows it, or from the years' own cold dull days; with its part of the key.
fn snow_source(system: &System) -> (weather::SnowSource, u64) {
    let Some(snow) = &system.place.snow else { return (weather::SnowSource::Modelled, 0) };
    let depths =
        snow.depth.as_ref().map_or([weather::ASSUMED_DEPTH_CM; 12], |depth| depth.value.map(|m| m * 100.0));
    let months = std::array::from_fn(|month| weather::SnowMonth {
        days: snow.days.value[month].round() as u32,
        depth_cm: depths[month],
    });
    let key = Key::new("snow").numbers(&snow.days.value).numbers(&depths).done();
    (weather::SnowSource::Stated(months), key)
}

pub(crate) fn falls_of(
    years: &[weather::Year],
    sun: &sun::YearSky,
    source: &weather::SnowSource,
    seed: u64,
) -> (Vec<Vec<weather::SnowFall>>, Vec<String>) {
    let mut remarks = Vec::new();
    let falls = years
        .iter()
        .enumerate()
        .map(|(index, year)| {
            weather::snow_falls(year, sun, source, seed, index as u32).unwrap_or_else(|bad| {
                if remarks.is_empty() {
                    remarks.push(format!("snow is left out: {bad}"));
                }
                Vec::new()
            })
        })
        .collect();
    (falls, remarks)
}

/// Notes what snow rests on, where any falls.
fn note_snow(system: &System, years: &Years, terms: &mut Vec<Term>) {
    let days: usize = years.falls.iter().map(Vec::len).sum();
    if let Some(snow) = &system.place.snow {
        terms.push(Term::words("days with snowfall", "twelve numbers", snow.days.origin.clone()));
        if let Some(depth) = &snow.depth {
            terms.push(Term::words("depth of fresh snow", "twelve numbers", depth.origin.clone()));
        }
    } else if days > 0 {
        let words = format!(
            "{:.0} days with snowfall a year, on cold dull days of the weather years",
            days as f64 / years.years.len().max(1) as f64
        );
        let because = "no snow was stated: cold dull days of the weather years bring it, 4 cm on average";
        let origin = crate::house::assumption("place.snow", because, "energy of winter days");
        terms.push(Term::words("snow", words, origin));
    }
}
