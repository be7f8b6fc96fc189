//! The air of a climate row, brought to the height of the place.

use design::system::Place;
use quantity::{Clause, FieldPath, Origin, Reason, Standing, Term};
use tables::ClimateRow;

/// From this difference of height on the owner is told apart from the figures, metres: 2 K, as much as one winter differs from
/// the next. Own judgement, no source.
const TOLD_M: f64 = 300.0;

const STANDARD_ATMOSPHERE: Clause = Clause {
    document: "ISO 2533, Standard Atmosphere",
    edition: "1975",
    clause: "temperature gradient below 11 km",
    standing: Standing::Remembered,
};

/// What becomes of the air of a climate row at a place of another height.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum ToHeight {
    /// The owner's own twelve means stand for the place as it is.
    Own { higher_m: Option<f64> },
    /// The record does not say how high it was taken.
    NotOnRecord,
    /// The row's air is moved.
    Moved { from_m: f64, to_m: f64 },
}

impl ToHeight {
    pub(crate) fn of(place: &Place, row: &ClimateRow, elevation_m: f64) -> Self {
        match (row.elevation_m, &place.weather.air_c) {
            (there, Some(_)) => ToHeight::Own { higher_m: there.map(|there| elevation_m - there) },
            (None, None) => ToHeight::NotOnRecord,
            (Some(from_m), None) => ToHeight::Moved { from_m, to_m: elevation_m },
        }
    }

    /// How much higher the place lies than the row, metres, where that is known.
    fn higher_m(self) -> Option<f64> {
        match self {
            ToHeight::Own { higher_m } => higher_m,
            ToHeight::NotOnRecord => None,
            ToHeight::Moved { from_m, to_m } => Some(to_m - from_m),
        }
    }

    /// How much colder the standard atmosphere is at the place than at the row, K, whether or not the air is moved by it.
    pub(crate) fn standard_colder_k(self) -> f64 {
        self.higher_m().map_or(0.0, weather::colder_by_height_k)
    }

    /// By how much the air is made colder, K; negative where it is made warmer.
    pub(crate) fn colder_k(self) -> f64 {
        if matches!(self, ToHeight::Moved { .. }) { self.standard_colder_k() } else { 0.0 }
    }

    /// "1.4 K warmer"; nothing for less than a twentieth of a kelvin.
    fn change(self) -> Option<String> {
        let colder = self.colder_k();
        let way = if colder > 0.0 { "colder" } else { "warmer" };
        (colder.abs() >= 0.05).then(|| format!("{:.1} K {way}", colder.abs()))
    }

    /// The assumption by its name.
    pub(crate) fn term(self) -> Option<Term> {
        let origin = |because: String| {
            Origin::Assumed(Reason {
                field: FieldPath::new("place.weather.air"),
                because: because.into(),
                moves: "heating and cooling, charging in the cold, snow, and how warm the modules get".into(),
                clause: STANDARD_ATMOSPHERE,
            })
        };
        match self {
            ToHeight::Own { .. } => None,
            ToHeight::NotOnRecord => Some(Term::words(
                "air at the height of the place",
                "as in the climate row",
                origin("the climate row does not say how high it lies".into()),
            )),
            ToHeight::Moved { from_m, to_m } => Some(Term::words(
                "air at the height of the place",
                format!(
                    "carried from {from_m:.0} m to {to_m:.0} m: {}",
                    self.change().unwrap_or_else(|| "the same within 0.05 K".into())
                ),
                origin(format!(
                    "the air of the climate row is taken to cool by {} K a kilometre of height",
                    weather::COOLING_K_PER_KM
                )),
            )),
        }
    }

    /// Part of the sentence that says where the years come from: ", 222 m higher (its air made 1.4 K warmer for that)". Of the
    /// row, as it is read.
    pub(crate) fn said(self) -> String {
        if self == ToHeight::NotOnRecord {
            return ", its height not on record and its air taken as it is".into();
        }
        let Some(higher_m) = self.higher_m() else { return String::new() };
        let way = if higher_m > 0.0 { "lower" } else { "higher" };
        let change = self.change().map(|change| format!(" (its air made {change} for that)"));
        format!(", {:.0} m {way}{}", higher_m.abs(), change.unwrap_or_default())
    }

    /// What to know of air that was moved far, or could not be.
    pub(crate) fn remark(self) -> Option<String> {
        let own = "twelve means of your own (place.weather.air) take its place";
        match self {
            ToHeight::Own { .. } => None,
            ToHeight::NotOnRecord => Some(format!(
                "the climate row does not say how high it lies, so its air is taken as it is: where your place lies 1000 m higher it \
                 is some {:.0} K too warm; {own}",
                weather::COOLING_K_PER_KM
            )),
            ToHeight::Moved { from_m, to_m } if (to_m - from_m).abs() >= TOLD_M => {
                let colder = self.colder_k();
                let (way, beside) = if colder > 0.0 {
                    ("higher", "slopes above the winter fog are often milder than that")
                } else {
                    (
                        "lower",
                        "valleys that hold cold air in winter are colder than that, so heating and charging in the cold may be worse",
                    )
                };
                Some(format!(
                    "your place lies {:.0} m {way} than the climate row, and its air was made {} for that, by the {} K a kilometre of \
                     the standard atmosphere; of neighbouring places in the climate table four pairs of five differ by 1.9 to 6.5 K a \
                     kilometre over the year, the middle one by 4.7, and {beside}; {own}",
                    (to_m - from_m).abs(),
                    self.change().unwrap_or_default(),
                    weather::COOLING_K_PER_KM
                ))
            }
            ToHeight::Moved { .. } => None,
        }
    }
}
