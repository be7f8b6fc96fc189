//! Every hour of a weather year written to a file.

use crate::args::YearOf;
use crate::show::{self, Failure};
use study::{Study, YearStudy};

/// Writes the file that was asked for, where one was.
pub(crate) fn write(study: &Study, year: &YearStudy, args: &YearOf, json: bool) -> Result<(), Failure> {
    let Some(path) = &args.hours else { return Ok(()) };
    let of = match args.weather_year {
        None => year.middling,
        Some(number) if (1..=year.years()).contains(&number) => number - 1,
        Some(number) => {
            return Err(Failure::new(
                format!("there is no weather year {number}"),
                format!("weather years go from 1 to {}", year.years()),
            ));
        }
    };
    let hours =
        output::hours::hours(study, year, of).map_err(|says| Failure::new(says, "nothing was written"))?;
    let mut writer = csv::Writer::from_writer(Vec::new());
    let fail = |e: csv::Error| Failure::new(format!("comma-separated values: {e}"), "nothing was written");
    writer.write_record(&hours.columns).map_err(fail)?;
    for row in &hours.rows {
        writer.write_record(row.iter().map(|value| in_thousandths(*value))).map_err(fail)?;
    }
    let bytes = writer.into_inner().map_err(|e| Failure::new(e.to_string(), "nothing was written"))?;
    door::write_atomically(path, &bytes).map_err(|e| Failure::new(e.to_string(), "nothing was written"))?;
    if !json {
        show::aside(&format!("every hour of weather year {} written to {}", of + 1, path.display()));
    }
    Ok(())
}

/// Thousandths of a watt are rounding; whole numbers stay whole.
fn in_thousandths(value: f64) -> String {
    let text = format!("{value:.3}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".into() } else { text.into() }
}
