//! The interval meter a design names.

use crate::memo::{Key, Memo};
use crate::sky::WeatherFile;
use crate::uses::Unanswered;
use design::system::System;
use loads::MeterFile;
use loads::meter::{MeterAccount, MeterError, account, read_csv, read_espi};
use quantity::{FieldPath, Traced};
use std::sync::Arc;

/// A file named by a design, as bytes.
pub type NamedFile = WeatherFile;

/// Files a design names, as its caller read them.
#[derive(Clone, Copy, Debug, Default)]
pub struct Files<'a> {
    /// The hourly year.
    pub weather: Option<&'a WeatherFile>,
    /// Interval readings.
    pub meter: Option<&'a NamedFile>,
}

/// What an interval meter has recorded.
#[derive(Clone, Debug)]
pub struct MeterStudy {
    /// Its file.
    pub name: Traced<Arc<str>>,
    /// Months and what is odd.
    pub account: Arc<MeterAccount>,
}

/// The account of the meter; `None` where no file is named.
pub(crate) fn meter(
    system: &System,
    file: Option<&NamedFile>,
    memo: &mut Memo,
) -> Option<Result<MeterStudy, Unanswered>> {
    let stated = system.bills.meter.as_ref()?;
    let field = Some(FieldPath::new("bills.meter"));
    let made = kept(system, stated, file, memo).map_err(|because| Unanswered::refused(because, field));
    Some(made.map(|account| MeterStudy { name: stated.name.clone(), account }))
}

fn kept(
    system: &System,
    stated: &MeterFile,
    file: Option<&NamedFile>,
    memo: &mut Memo,
) -> Result<Arc<MeterAccount>, String> {
    let name = &stated.name.value;
    let file = file.filter(|file| file.name == **name).ok_or_else(|| format!("{name} was not read"))?;
    let bytes = file.bytes.as_ref().map_err(|why| {
        // What could not be opened names its own path.
        if why.contains(&**name) { why.clone() } else { format!("{name}: {why}") }
    })?;
    let place_s = system.place.utc_offset_h.value().map(|hours| (hours.0 * 3600.0).round() as i64);
    let key = Key::new("meter").bytes(bytes).text(&format!("{:?} {place_s:?}", stated.columns)).done();
    let found = memo.meter.get(key, || {
        if bytes.iter().all(u8::is_ascii_whitespace) {
            return Err(format!("{name}: {}", MeterError::Empty));
        }
        let is_feed = bytes.iter().find(|byte| !byte.is_ascii_whitespace() && **byte < 0x80) == Some(&b'<');
        let readings = match (&stated.columns, is_feed) {
            (_, true) => read_espi(bytes).map_err(|error| format!("{name}: {error}"))?,
            (Some(columns), false) => read_csv(bytes, columns).map_err(|error| format!("{name}: {error}"))?,
            (None, false) => {
                return Err(format!(
                    "{name} is no XML, and what its columns mean is not declared: give bills.columns with stamp, taken, unit, stamped, dates and clock"
                ));
            }
        };
        let offset_s = readings
            .offset_s
            .or(place_s)
            .ok_or_else(|| format!("{name}: the standard time of the place is not known"))?;
        let done = account(&readings, offset_s).ok_or_else(|| format!("{name} holds no energy taken"))?;
        Ok(Arc::new(done))
    });
    Result::clone(&found)
}
