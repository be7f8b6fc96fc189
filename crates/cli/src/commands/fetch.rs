//! weather fetch: measured hours of many years from an open service, kept beside the design.

use super::answers::refused;
use crate::CLEAN;
use crate::args::FetchYears;
use crate::load;
use crate::show::{self, Failure};
use door::{Fetch, FetchError, Net};
use output::json;
use quantity::{Measure as _, units};
use std::path::Path;
use std::time::Duration;

/// What is asked for, all of it documented by the service: light, its parts, air at 2 m, wind at 10 m.
const PARAMETERS: &str = "ALLSKY_SFC_SW_DWN,ALLSKY_SFC_SW_DNI,ALLSKY_SFC_SW_DIFF,T2M,WS10M";
/// Years of one file: more would be larger than any file that is read.
const MOST_YEARS: u16 = 25;
/// Seconds to wait before asking again.
const PAUSES_S: [u64; 2] = [1, 4];

pub(crate) fn fetch(args: &FetchYears, json: bool) -> Result<u8, Failure> {
    if args.from > args.to || args.from < 2001 || args.to - args.from >= MOST_YEARS {
        return Err(Failure::new(
            format!("the years {} to {} cannot be asked for", args.from, args.to),
            "1 to 25 years, the first not before 2001, where the hourly record begins",
        ));
    }
    let loaded = load::design(&args.design)?;
    if let Some(status) = refused(&loaded, json) {
        return Ok(status);
    }
    let place = &loaded.design.system.place;
    let degrees =
        |fact: &quantity::Fact<quantity::Angle>| fact.value().map(|a| units::DEGREE_UNIT.of_si(a.si()));
    let (Some(latitude), Some(longitude)) = (degrees(&place.latitude), degrees(&place.longitude)) else {
        return Err(Failure::new(
            "the design has no coordinates",
            "state place.latitude and place.longitude",
        ));
    };
    let stem = args.design.file_stem().map_or_else(String::new, |stem| stem.to_string_lossy().to_string());
    let folder = args.design.with_file_name(format!("{stem}-weather"));
    let net = Net { patience: Duration::from_secs(args.patience.max(1)) };
    let ask = Ask { service: &args.service, latitude, longitude };
    let mut whole: Vec<String> = Vec::new();
    let (mut kept, mut brought) = (0, 0);
    for year in args.from..=args.to {
        let path = folder.join(format!("{}.csv", ask.name_of(year)));
        let text = match kept_year(&path) {
            Some(text) => {
                kept += 1;
                text
            }
            None => {
                let text = bring(&net, &ask, year)?;
                door::write_in_new_folder(&path, text.as_bytes())
                    .map_err(|e| Failure::new(e.to_string(), "years before this one are kept"))?;
                brought += 1;
                if !json {
                    show::aside(&format!("{year} brought"));
                }
                text
            }
        };
        whole.push(text);
    }
    let name = format!("{stem}-power.csv");
    let target = args.design.with_file_name(&name);
    let joined = join(&whole);
    let look = study::look_at_file(&name, joined.as_bytes()).map_err(|why| {
        Failure::new(why, "delete the years named in the -weather folder and fetch them again")
    })?;
    door::write_atomically(&target, joined.as_bytes())
        .map_err(|e| Failure::new(e.to_string(), "the years are kept in the -weather folder"))?;
    if json {
        show::json(&serde_json::json!({
            "format": json::FORMAT, "what": "weather-fetched", "file": target.display().to_string(),
            "years": look.weather.years.len(), "brought": brought, "kept": kept, "remarks": look.weather.remarks,
        }));
    } else {
        show::line(&format!(
            "{}: {} measured years, {brought} brought now, {kept} kept from before. Write in [place]: weather = {{ file = \"{name}\" }}",
            target.display(),
            look.weather.years.len()
        ));
        for remark in &look.weather.remarks {
            show::line(&show::wrap(&format!("  {remark}"), show::WIDTH, "    "));
        }
    }
    Ok(CLEAN)
}

/// One place at one service.
struct Ask<'a> {
    service: &'a str,
    latitude: f64,
    longitude: f64,
}

impl Ask<'_> {
    fn address(&self, year: u16) -> String {
        format!(
            "{}?parameters={PARAMETERS}&community=RE&longitude={:.4}&latitude={:.4}&start={year}0101&end={year}1231&format=CSV&time-standard=UTC",
            self.service, self.longitude, self.latitude
        )
    }

    /// Name of the kept file: another place is another file.
    fn name_of(&self, year: u16) -> String {
        format!("power-{year}-{:.4}-{:.4}", self.latitude, self.longitude)
    }
}

/// A year kept from before, if it is still whole.
fn kept_year(path: &Path) -> Option<String> {
    let text = String::from_utf8(door::read_data(path).ok()?).ok()?;
    is_whole_year(&text).then_some(text)
}

/// Whether an answer is a heading and all hours of a year; a cut answer lacks its last rows.
fn is_whole_year(text: &str) -> bool {
    let rows = rows_of(text).count();
    (rows == 8760 || rows == 8784)
        && text.ends_with('\n')
        && study::look_at_file("answer", text.as_bytes()).is_ok()
}

/// Rows of values.
fn rows_of(text: &str) -> impl Iterator<Item = &str> {
    text.lines()
        .skip_while(|line| line.trim() != "-END HEADER-")
        .skip(2)
        .filter(|line| !line.trim().is_empty())
}

/// One year, asked for again after a pause where that may help.
fn bring(net: &dyn Fetch, ask: &Ask<'_>, year: u16) -> Result<String, Failure> {
    let mut pauses = PAUSES_S.iter();
    loop {
        let answer = net.get(&ask.address(year)).and_then(|bytes| {
            let broken = |says: String| FetchError::Broken { says };
            let text = String::from_utf8(bytes).map_err(|_| broken("the answer is no text".into()))?;
            if is_whole_year(&text) {
                return Ok(text);
            }
            let why = match study::look_at_file("answer", text.as_bytes()) {
                Ok(_) => format!("the answer holds {} of the hours of {year}", rows_of(&text).count()),
                Err(why) => why,
            };
            Err(broken(why))
        });
        match answer {
            Ok(text) => return Ok(text),
            Err(error) => {
                let again = pauses.next().filter(|_| error.may_pass());
                let Some(pause) = again else {
                    return Err(Failure::new(
                        format!("{year}: {error}"),
                        "years before this one are kept; the same command goes on from here",
                    ));
                };
                show::aside(&format!("{year}: {error}; asking again"));
                std::thread::sleep(Duration::from_secs(*pause));
            }
        }
    }
}

/// Years in order under the heading of the first.
fn join(years: &[String]) -> String {
    let mut text = String::new();
    for (index, year) in years.iter().enumerate() {
        if index == 0 {
            text.push_str(year);
        } else {
            for row in rows_of(year) {
                text.push_str(row);
                text.push('\n');
            }
        }
    }
    text
}
