//! Monthly means that the owner knows better than the climate table.

use crate::height::ToHeight;
use design::system::Place;
use quantity::Term;
use tables::ClimateRow;

/// Twelve monthly means, mean lows and mean highs of the air, °C: the row's, moved to the owner's own means where there are any,
/// and else to the height of the place.
pub(crate) fn air(
    place: &Place,
    row: &ClimateRow,
    height: ToHeight,
    terms: &mut Vec<Term>,
) -> [[f64; 12]; 3] {
    let of_row = [row.mean_c, row.mean_low_c, row.mean_high_c];
    let Some(own) = &place.weather.air_c else {
        terms.extend(height.term());
        return of_row.map(|all| all.map(|celsius| celsius - height.colder_k()));
    };
    let words = "twelve numbers; mean lows and highs as far from them as in the climate row";
    terms.push(Term::words("your own monthly air", words, own.origin.clone()));
    of_row.map(|all| std::array::from_fn(|month| all[month] + own.value[month] - row.mean_c[month]))
}

/// Beyond this difference of a month's mean air from the climate row's at the height of the place, K, the owner is asked about
/// it; own judgement, no source.
const OTHER_AIR_K: f64 = 12.0;

/// What to ask of the owner's air where it is far from the row's.
pub(crate) fn asked_about(place: &Place, row: &ClimateRow, height: ToHeight) -> Option<String> {
    let own = place.weather.air_c.as_ref()?;
    let of_row = |month: usize| row.mean_c[month] - height.standard_colder_k();
    let apart = |month: &usize| (own.value[*month] - of_row(*month)).abs();
    let month = (0..12).max_by(|a, b| apart(a).total_cmp(&apart(b)))?;
    (apart(&month) > OTHER_AIR_K).then(|| {
        format!(
            "your air of {} is {:.0} °C, that of the climate row at your height {:.0} °C: place.weather.air is in degrees \
             Celsius",
            quantity::MONTHS[month], own.value[month], of_row(month)
        )
    })
}

/// Which of the twelve means are the owner's, for the sentence that says where the years come from.
pub(crate) fn said(place: &Place) -> String {
    let own = [
        (place.weather.sunshine.is_some(), "sunshine"),
        (place.weather.air_c.is_some(), "air"),
        (place.weather.wind.is_some(), "wind"),
    ];
    let names: Vec<&str> = own.iter().filter(|(stated, _)| *stated).map(|(_, name)| *name).collect();
    match names.split_last() {
        None => String::new(),
        Some((last, [])) => format!(", with your own {last}"),
        Some((last, rest)) => format!(", with your own {} and {last}", rest.join(", ")),
    }
}

/// Twelve monthly means of wind, m/s: the owner's, or the assumption, which no climate row can replace.
pub(crate) fn wind(place: &Place, terms: &mut Vec<Term>) -> [f64; 12] {
    match &place.weather.wind {
        Some(own) => {
            terms.push(Term::words("your own monthly wind", "twelve numbers", own.origin.clone()));
            own.value
        }
        None => {
            let assumed = weather::ASSUMED_WIND_M_S;
            let because = "climate rows hold no wind; seven hourly years have 3.8 m/s on average, and inland sites less";
            let moves = "how warm the modules get: about a hundredth of their energy for 1 m/s";
            let origin = crate::house::assumption("place.weather.wind", because, moves);
            terms.push(Term::words("mean wind 10 m above the ground", format!("{assumed} m/s"), origin));
            [assumed; 12]
        }
    }
}
