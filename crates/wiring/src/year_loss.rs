//! Energy lost in conductors over a year, with their resistance at the temperature of every hour.
//!
//! A conductor rises above the air around it with the square of its current. Its ampacity says how far: at that current it
//! reaches the temperature of its insulation. The same law turns table 310.16 from one ambient to another (NEC 2023,
//! 310.15(B)(2): I' = I · √((Tc − Ta') / (Tc − Ta)), from memory; after Neher and McGrath 1957). The rise of resistance with
//! temperature is left out of the rise itself, which at house loads is a few kelvin.

use crate::facts::{Run, Where};
use crate::schedule::{RuleSet, Sized};
use quantity::{
    Energy, Material, Money, PricePerEnergy, Standing, Temperature, formula, nec, practice, units,
};

/// Temperature of a conductor, °C.
///
/// - `a`: around it, °C.
/// - `c`: temperature it reaches at its ampacity, °C.
/// - `b`: around it for that ampacity, °C.
/// - `s`: square of its current over the square of that ampacity.
pub fn conductor_temperature(a: f64, c: f64, b: f64, s: f64) -> f64 {
    a + (c - b) * s
}

/// What surrounds a part of a route.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Around<'a> {
    /// Outdoors: the air of every hour and what is added to it close to a sunlit roof, °C.
    Outdoors(&'a [f64], f64),
    /// Indoors and in the ground: the same all year, °C.
    Always(f64),
}

/// A part of a route for the sum over a year.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PartOfYear<'a> {
    /// Its share of the length of the route.
    pub share: f64,
    /// What surrounds it.
    pub around: Around<'a>,
    /// Temperature the conductor reaches at its ampacity, °C.
    pub reaches_c: f64,
    /// What surrounds it for that ampacity, °C.
    pub rated_around_c: f64,
    /// The ampacity, A.
    pub bears_a: f64,
}

/// What a year takes.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct YearLoss {
    /// Lost, Wh.
    pub lost_wh: f64,
    /// The same with the conductors at 75 °C in every hour, Wh.
    pub at_75_wh: f64,
    /// Mean temperature of the conductors, weighted by what is lost, °C.
    pub mean_c: f64,
    /// Highest temperature of the conductors, °C.
    pub hottest_c: f64,
}

/// Sums a year over a route with the loop resistance `ohm` at 75 °C, which changes by `per_kelvin` of it. `square_a2` has
/// the mean of the squared current of every hour.
pub fn year_loss(ohm: f64, per_kelvin: f64, parts: &[PartOfYear<'_>], square_a2: &[f64]) -> YearLoss {
    let mut sum = YearLoss { hottest_c: f64::NEG_INFINITY, ..YearLoss::default() };
    let mut weighted = 0.0;
    for part in parts {
        let bears2 = part.bears_a * part.bears_a;
        for (hour, square) in square_a2.iter().enumerate() {
            let around = match part.around {
                Around::Outdoors(air, more) => air.get(hour).copied().unwrap_or(part.rated_around_c) + more,
                Around::Always(always) => always,
            };
            let hot = conductor_temperature(around, part.reaches_c, part.rated_around_c, square / bears2);
            let at_75 = ohm * part.share * square;
            let lost = crate::drop::resistance_at(at_75, per_kelvin, hot);
            sum.at_75_wh += at_75;
            sum.lost_wh += lost;
            weighted += lost * hot;
            sum.hottest_c = sum.hottest_c.max(hot);
        }
    }
    sum.mean_c = if sum.lost_wh > 0.0 { weighted / sum.lost_wh } else { 0.0 };
    sum.hottest_c = if sum.hottest_c.is_finite() { sum.hottest_c } else { 0.0 };
    sum
}

/// Change of resistance per kelvin at 75 °C by the tables of a rule set.
pub fn per_kelvin(rules: RuleSet, material: Material) -> f64 {
    match rules {
        // 0.004 of the resistance at 20 °C (IEC 60228, from memory), turned to that at 75 °C.
        RuleSet::Iec60364 => 0.004 / tables::iec_resistance_at(1.0, 75.0),
        RuleSet::Nec2020 | RuleSet::Nec2023 | RuleSet::Nec2026 => crate::drop::change_per_kelvin(material).0,
    }
}

/// The parts of the route of a sized circuit in a year of this air; `None` while a part or the size is not known. Inside
/// buildings and in the ground the part's design ambient counts all year, which is never too cold.
pub fn parts_of_year<'a>(
    rules: RuleSet,
    run: &Run,
    sized: &Sized,
    air_c: &'a [f64],
) -> Option<Vec<PartOfYear<'a>>> {
    let tests = &sized.conductor.value()?.tests;
    let whole = sized.length.si().filter(|length| *length > 0.0)?;
    run.segments
        .iter()
        .enumerate()
        .map(|(k, segment)| {
            let stated = units::CELSIUS.of_si(segment.ambient.si()?);
            let (reaches_c, rated_around_c) = match rules {
                RuleSet::Iec60364 => crate::iec::reaches(segment, run.insulation_in(k))?,
                _ => {
                    let factors = sized.segments.get(k)?.value()?;
                    (factors.column.value.celsius(), units::CELSIUS.of_si(factors.ambient.si()))
                }
            };
            let around = match segment.place.value()? {
                Where::Outdoors | Where::InSun | Where::OnRoof => {
                    Around::Outdoors(air_c, (rated_around_c - stated).max(0.0))
                }
                _ => Around::Always(stated),
            };
            let bears_a = units::AMPERE.of_si(tests.segments.get(k)?.offers.si());
            let share = segment.length.si()? / whole;
            (bears_a > 0.0).then_some(PartOfYear { share, around, reaches_c, rated_around_c, bears_a })
        })
        .collect()
}

/// What energy is worth at the price of energy bought.
pub fn worth_of_energy(e: f64, p: f64) -> f64 {
    e * p
}

formula! {
    /// Explained twin of [`worth_of_energy`].
    pub WorthOfEnergy = worth_of_energy(
        e: Energy as KILOWATT_HOUR = "energy of a year",
        p: PricePerEnergy as COIN_PER_KILOWATT_HOUR = "price of energy bought",
    ) -> Money as COIN,
    text: "e · p",
    clause: practice("energy that is not lost need not be bought"),
}

/// Where the temperature of a conductor comes from.
pub const CONDUCTOR_TEMPERATURE: quantity::Clause = nec("2023", "310.15(B)(2)", Standing::Remembered);

/// The hottest hour as a temperature.
pub fn at_celsius(c: f64) -> Temperature {
    quantity::Measure::from_si(units::CELSIUS.to_si(c))
}
