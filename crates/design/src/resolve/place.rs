//! Header, place, promise and permits.

use super::Items;
use crate::read::Given;
use crate::system::{Country, Drill, Dwelling, Gaps, HoldsIn, Permit, Place, Promise, Rules, Weather};
use array::transposition::SkyModel;
use quantity::{Currency, Fact, Number, Temperature, Traced, Units, units};
use std::sync::Arc;

pub(super) struct Header {
    pub(super) title: Arc<str>,
    pub(super) revision: Arc<str>,
    pub(super) units: Units,
    pub(super) currency: Currency,
}

pub(super) fn header(items: &Items<'_>) -> Header {
    let take = items.one("");
    let words = |key| take.text(key).value().cloned().unwrap_or_else(|| "".into());
    let revision = take.record("revision");
    let number = revision.count("number").value().map(|n| n.0.to_string()).unwrap_or_default();
    let date = match revision.given("date") {
        Some((Given::Date(year, month, day), _)) => format!("{year:04}-{month:02}-{day:02}"),
        _ => String::new(),
    };
    let note = revision.text("note").value().map(|note| note.to_string()).unwrap_or_default();
    let said: Vec<String> = [number, date, note].into_iter().filter(|part| !part.is_empty()).collect();
    Header {
        title: words("title"),
        revision: said.join(", ").into(),
        units: match take.choice("units", |word| Some(word == "us")).value() {
            Some(true) => Units::Us,
            _ => Units::Metric,
        },
        // The reader has already complained about anything else; ISO 4217 has a code for "no currency".
        currency: Currency::read(&words("currency"))
            .or_else(|_| Currency::read("XXX"))
            .unwrap_or_else(|_| usd()),
    }
}

fn usd() -> Currency {
    Currency::read("USD").expect("USD is a currency code")
}

pub(super) fn place(items: &Items<'_>) -> Place {
    let take = items.one("place");
    let rules = |word: &str| match word {
        "nec-2023" => Some(Rules::Nec2023),
        "nec-2020" => Some(Rules::Nec2020),
        "nec-2026" => Some(Rules::Nec2026),
        "iec-60364" => Some(Rules::Iec60364),
        _ => None,
    };
    let dwelling = |word: &str| match word {
        "one-family" => Some(Dwelling::OneFamily),
        "two-family" => Some(Dwelling::TwoFamily),
        "other" => Some(Dwelling::Other),
        _ => None,
    };
    let zone = take.text("zone");
    let latitude = take.quantity("latitude");
    let longitude = take.quantity("longitude");
    let coldest = take.record("coldest");
    let hottest: Fact<Temperature> =
        take.record("hottest").quantity("value").or(|| hot_from_climate(&latitude, &longitude));
    let weather = take.record("weather");
    let stated_text = |key| weather.text(key).known().cloned();
    Place {
        elevation: take.quantity("elevation"),
        utc_offset_h: zone.and_then(|name| match standard_offset_h(&name.value) {
            Some(hours) => Fact::Known(name.with(Number(hours))),
            None => Fact::unknown("place.zone", quantity::WhoKnows::Owner),
        }),
        zone,
        rules: take.choice("rules", rules),
        dwelling: take.choice("dwelling", dwelling),
        country: take.choice("country", |word| match word {
            "great britain" => Some(Country::GreatBritain),
            "elsewhere" => Some(Country::Elsewhere),
            _ => None,
        }),
        coldest: coldest.quantity("value"),
        coldest_basis: coldest.text("basis"),
        lightning: take.quantity("lightning"),
        hottest,
        snow: snow(&take.record("snow")),
        weather: Weather {
            normals: weather.text("normals"),
            file: stated_text("file"),
            gaps: weather.is_written("gaps").then(|| {
                weather.choice("gaps", |word| match word {
                    "fill" => Some(Gaps::Fill),
                    "bridge" => Some(Gaps::Bridge),
                    "refuse" => Some(Gaps::Refuse),
                    _ => None,
                })
            }),
            sky_model: weather.choice("sky_model", |word| match word {
                "perez" => Some(SkyModel::Perez),
                "hay-davies" => Some(SkyModel::HayDavies),
                "isotropic" => Some(SkyModel::Isotropic),
                _ => None,
            }),
            sunshine: months(&weather, "sunshine"),
            air_c: months(&weather, "air"),
            wind: months(&weather, "wind"),
            years: weather.count("years"),
            seed: weather.count("seed"),
        },
        latitude,
        longitude,
    }
}

fn snow(take: &super::take::Take<'_>) -> Option<crate::system::Snow> {
    Some(crate::system::Snow { days: months(take, "days")?, depth: months(take, "depth_cm") })
}

/// Twelve numbers of the owner's.
fn months(take: &super::take::Take<'_>, key: &'static str) -> Option<Traced<[f64; 12]>> {
    match take.given(key) {
        Some((Given::Months(values), origin)) => Some(Traced { value: *values, origin }),
        _ => None,
    }
}

/// Standard time of an IANA zone, hours ahead of UTC: the smaller of its January and July offsets in the nominal year.
/// Zones with "negative daylight saving" in winter come out by their smaller offset too.
pub(crate) fn standard_offset_h(zone: &str) -> Option<f64> {
    let zone = jiff::tz::TimeZone::get(zone).ok()?;
    let seconds = [1i8, 7].into_iter().filter_map(|month| {
        let noon = jiff::civil::date(2025, month, 15).at(12, 0, 0, 0);
        noon.to_zoned_datetime(zone.clone()).ok().map(|there| there.offset().seconds())
    });
    seconds.min().map(|s| f64::from(s) / 3600.0)
}

/// The temperature exceeded 2 % of the year at the nearest place of the climate table.
fn hot_from_climate(
    latitude: &Fact<quantity::Angle>,
    longitude: &Fact<quantity::Angle>,
) -> Fact<Temperature> {
    let (Some(lat), Some(lon)) = (latitude.si(), longitude.si()) else {
        return Fact::unknown("place.hottest", quantity::WhoKnows::BuildingOffice);
    };
    let degrees = |radians: f64| units::DEGREE_UNIT.of_si(radians);
    match tables::nearest(degrees(lat), degrees(lon)) {
        Ok((row, _)) => Fact::Known(row.high()),
        Err(_) => Fact::unknown("place.hottest", quantity::WhoKnows::BuildingOffice),
    }
}

pub(super) fn promise(items: &Items<'_>) -> Promise {
    let take = items.one("promise");
    let drill = take.record("drill");
    let from = match drill.given("from") {
        Some((Given::Date(_, month, day), origin)) => Some(Traced { value: (*month, *day), origin }),
        _ => None,
    };
    Promise {
        must_dark: take.optional("must_loads_dark"),
        backup: take.optional("backup_hours_per_year"),
        backup_energy: take.optional("backup_energy_per_year"),
        missing: take.optional("missing_per_year"),
        fuel: take.optional("fuel_per_year"),
        holds_in: take.choice("holds_in", |word| match word {
            "nine years of ten" => Some(HoldsIn::NineYearsOfTen),
            "the middling year" => Some(HoldsIn::TheMiddlingYear),
            _ => None,
        }),
        drill: from.map(|from| Drill {
            from,
            days: drill.count("days"),
            one_in_ten_may_fail: drill.choice("may_fail", |word| match word {
                "in no year" => Some(false),
                "in one year of ten" => Some(true),
                _ => None,
            }),
        }),
        budget: take.is_written("budget").then(|| take.money("budget")),
        growth: take.optional("growth"),
    }
}

pub(super) fn permits(items: &Items<'_>) -> Vec<Permit> {
    let take = items.one("permits");
    // Where no battery stands nobody is asked about its place.
    let stores = items.of("bank").next().is_some();
    [
        ("owner_may_wire", "May the owner pull the electrical permit and do the work?"),
        ("building_permit", "Does the office accept the rack or roof work as planned?"),
        ("utility_agrees", "Has the utility answered?"),
        ("insurer_agrees", "Has the insurer agreed in writing?"),
        ("storage_place_agreed", "Does the office accept where the batteries stand?"),
    ]
    .into_iter()
    .filter(|(key, _)| stores || *key != "storage_place_agreed")
    .map(|(key, asks)| Permit { asks, answer: take.yes_no(key) })
    .collect()
}

pub(super) fn hired_out(items: &Items<'_>) -> Vec<Arc<str>> {
    match items.one("permits").given("hired_out") {
        Some((Given::Texts(texts), _)) => texts.clone(),
        _ => Vec::new(),
    }
}
