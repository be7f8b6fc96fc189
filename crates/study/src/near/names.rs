//! Names of towns and climate rows, found as people write them.

use std::sync::OnceLock;
use unicode_normalization::UnicodeNormalization;
use unicode_normalization::char::is_combining_mark;

/// A place with a name.
#[derive(Clone, Debug)]
pub(super) struct Named {
    pub(super) name: String,
    pub(super) latitude_deg: f64,
    pub(super) longitude_deg: f64,
    pub(super) elevation_m: Option<f64>,
    /// As it is compared: small letters without accents, with region and country.
    folded: String,
    /// The bare name, folded.
    bare: String,
    /// People; 0 for a climate row, so that towns come first.
    population: u32,
}

/// Most names that are offered when none fits.
const OFFERED: usize = 4;
/// Likeness of two names, 0 to 1, from which one is offered for the other; own judgement, no source.
const ALIKE: f64 = 0.85;

/// Small letters without accents and without what stands between words: "Saint-Étienne" is "saint etienne".
fn folded(name: &str) -> String {
    let plain: String = name
        .nfkd()
        .filter(|c| !is_combining_mark(*c))
        .flat_map(char::to_lowercase)
        .map(|c| match c {
            // Letters that do not decompose.
            'ø' => 'o',
            'ł' => 'l',
            'đ' | 'ð' => 'd',
            'ı' => 'i',
            c if c.is_alphanumeric() => c,
            _ => ' ',
        })
        .collect();
    let plain = plain.replace('ß', "ss").replace('æ', "ae").replace('œ', "oe");
    plain.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn all() -> &'static [Named] {
    static ALL: OnceLock<Vec<Named>> = OnceLock::new();
    ALL.get_or_init(|| {
        let towns = tables::towns().iter().map(|town| Named {
            name: town.in_words(),
            latitude_deg: town.latitude,
            longitude_deg: town.longitude,
            elevation_m: None,
            folded: folded(&town.in_words()),
            bare: folded(&town.name),
            population: town.population,
        });
        let rows = tables::climate_rows().iter().map(|row| Named {
            name: row.in_words(),
            latitude_deg: row.latitude,
            longitude_deg: row.longitude,
            elevation_m: row.elevation_m,
            folded: folded(&row.in_words()),
            bare: folded(&row.name),
            population: 0,
        });
        towns.chain(rows).collect()
    })
}

/// Places whose name holds the words asked for: exact names first, then names that begin so, larger towns first.
pub(super) fn find(asked: &str) -> Result<Vec<Named>, String> {
    let wanted = folded(asked);
    if wanted.chars().count() < 2 {
        return Err("write at least two letters of a name, or latitude, longitude".into());
    }
    let mut found: Vec<&Named> = all().iter().filter(|place| place.folded.contains(&wanted)).collect();
    let rank = |place: &Named| {
        if place.bare == wanted || place.folded == wanted {
            0
        } else if place.folded.starts_with(&wanted) {
            1
        } else if place.folded.contains(&format!(" {wanted}")) {
            2
        } else {
            3
        }
    };
    // Part of a word in the middle of a name is what nobody asked for, while there is something better.
    let best = found.iter().map(|place| rank(place)).min();
    found.retain(|place| rank(place) < 3 || best == Some(3));
    found.sort_by_key(|place| (rank(place), std::cmp::Reverse(place.population)));
    if found.is_empty() {
        return Err(none_of(asked, &wanted));
    }
    Ok(found.into_iter().cloned().collect())
}

fn none_of(asked: &str, wanted: &str) -> String {
    let mut alike: Vec<(f64, &Named)> = all()
        .iter()
        .map(|place| {
            let likeness = [&place.bare, &place.folded].map(|name| strsim::jaro_winkler(name, wanted));
            (likeness[0].max(likeness[1]), place)
        })
        .filter(|(likeness, _)| *likeness >= ALIKE)
        .collect();
    alike.sort_by(|a, b| b.0.total_cmp(&a.0).then(b.1.population.cmp(&a.1.population)));
    let mut offered: Vec<&str> = Vec::new();
    for (_, place) in alike {
        if offered.len() < OFFERED && !offered.contains(&place.name.as_str()) {
            offered.push(&place.name);
        }
    }
    let near =
        if offered.is_empty() { String::new() } else { format!("; near names: {}", offered.join("; ")) };
    format!(
        "none of {} towns and {} places of the climate table is called \"{asked}\"{near}",
        tables::towns().len(),
        tables::climate_rows().len()
    )
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    fn first(asked: &str) -> String {
        find(asked).unwrap()[0].name.clone()
    }

    #[test]
    fn names_are_found_with_and_without_accents_and_the_large_town_first() {
        assert_eq!(first("zurich"), first("Zürich"));
        assert_eq!(first("tromso"), "Tromsø, NO");
        assert_eq!(first("saint etienne"), "Saint-Étienne, FR");
        assert_eq!(first("Bend"), "Bend, OR, US");
        assert_eq!(first("bend, or"), "Bend, OR, US");
        // Portland in Oregon has more people than that in Maine.
        assert_eq!(first("portland"), "Portland, OR, US");
        assert_eq!(first("portland, me"), "Portland, ME, US");
        // A climate row that is no town is found too, with its height.
        let row = find("Adak Nas").unwrap();
        assert!(row[0].name.contains("AK") && row[0].population == 0);
    }

    #[test]
    fn an_unknown_name_is_answered_with_near_ones() {
        let why = find("Minneapolsi").unwrap_err();
        assert!(why.contains("Minneapolis, MN, US"), "{why}");
        assert!(find("qqqqzzzzxx").unwrap_err().ends_with("\"qqqqzzzzxx\""));
        assert!(find("x").is_err() && find("").is_err() && find("--").is_err());
    }
}
