//! Rates of the utility: in which hours they hold, and what the dispatch may do then.

use crate::uses::{Unanswered, Uses};
use design::system::{RateDays, RateIn, System};
use energy::{Days, RATES, Rate, Window, Windows};
use quantity::{FieldPath, units};
use std::sync::Arc;

/// Hours and rates.
pub(super) struct Tariff {
    pub(super) rates: [Rate; RATES],
    pub(super) of_hour: Vec<u8>,
    pub(super) names: Vec<Arc<str>>,
}

pub(super) fn rates(system: &System, uses: &mut Uses) -> Result<Tariff, Unanswered> {
    let mut tariff = Tariff {
        rates: [Rate::default(); RATES],
        of_hour: Vec::new(),
        names: vec!["the other hours".into()],
    };
    let mut open = Vec::new();
    if !system.utility.rates.is_empty() {
        // Where windows are stated, charging belongs to them.
        tariff.rates[0] = Rate { charges: false, discharges: true };
    }
    for (i, stated) in system.utility.rates.iter().enumerate() {
        let path = || Some(FieldPath::new(format!("utility.rates.{}", i + 1)));
        let Some(name) = uses.words(&format!("rate {}", i + 1), &stated.name, |name| name.to_string()) else {
            continue;
        };
        let number = match tariff.names.iter().position(|known| *known == name) {
            Some(number) => number,
            None if tariff.names.len() < RATES => {
                tariff.names.push(name.clone());
                tariff.names.len() - 1
            }
            None => {
                let words = format!("more than {} rates of the utility are not modelled", RATES - 1);
                return Err(Unanswered::refused(words, path()));
            }
        };
        let mut yes = |what: &str, fact| uses.words(&format!("{name}: {what}"), fact, bool::to_string);
        tariff.rates[number] = Rate {
            charges: yes("the utility may charge", &stated.charges) == Some(true),
            discharges: yes("the battery may serve", &stated.discharges) != Some(false),
        };
        open.push((window(&name, stated, uses), number as u8));
    }
    // Weather years have no days of the week; this calendar begins on a Monday.
    tariff.of_hour = Windows { open }.rates(0);
    Ok(tariff)
}

fn window(name: &str, stated: &RateIn, uses: &mut Uses) -> Window {
    let days = uses.words(&format!("{name}: days"), &stated.days, |days| {
        match days {
            RateDays::Every => "every day",
            RateDays::Weekdays => "weekdays",
            RateDays::Weekend => "the weekend",
        }
        .to_string()
    });
    let mut hour = |what: &str, fact| {
        let hour = uses.number(&format!("{name}: {what}"), fact, &units::COUNT);
        if hour.is_finite() { hour.clamp(0.0, 24.0) as u8 } else { 0 }
    };
    Window {
        months: stated.months,
        days: match days {
            Some(RateDays::Weekdays) => Days::Weekdays,
            Some(RateDays::Weekend) => Days::Weekend,
            Some(RateDays::Every) | None => Days::Every,
        },
        from: hour("from", &stated.from),
        to: hour("to", &stated.to),
    }
}
