//! Ampacity of a conductor at its terminals and in each segment of its route.

use crate::at_least;
use crate::facts::{Raceway, Run, Segment, Where};
use quantity::{
    Count, Current, Fact, FieldPath, Gap, Interval, Ratio, Reason, Standing, Temperature, Traced, formula,
    nec, units,
};
use std::sync::Arc;
use tables::{Insulation, TableError, TerminalColumn};

/// Lets a height that is exactly 7/8 in pass after a change of units.
const ROUNDING_INCHES: f64 = 1e-9;

/// Ampacity of `sets` conductors in parallel at their terminals, without factors.
pub fn terminal_ampacity(a: f64, sets: f64) -> f64 {
    a * sets
}

formula! {
    /// Explained twin of [`terminal_ampacity`].
    pub TerminalAmpacity = terminal_ampacity(
        a: Current as AMPERE = "table ampacity in the terminals' column",
        sets: Count as COUNT = "conductors in parallel per pole",
    ) -> Current as AMPERE,
    text: "a · sets",
    clause: nec("2023", "110.14(C)(1)", Standing::SecondHand),
}

/// Ampacity after correction for ambient and adjustment for the number of conductors together.
pub fn corrected_ampacity(a: f64, ambient: f64, count: f64, sets: f64) -> f64 {
    a * ambient * count * sets
}

formula! {
    /// Explained twin of [`corrected_ampacity`].
    pub CorrectedAmpacity = corrected_ampacity(
        a: Current as AMPERE = "table ampacity in the insulation's column",
        ambient: Ratio as RATIO = "factor for the ambient temperature",
        count: Ratio as RATIO = "factor for the conductors that lie together",
        sets: Count as COUNT = "conductors in parallel per pole",
    ) -> Current as AMPERE,
    text: "a · ambient · count · sets",
    clause: nec("2023", "310.15(B), 310.15(C)", Standing::SecondHand),
}

/// Temperature inside a raceway close to a sunlit roof: `adder` kelvin above the ambient `t` °C.
pub fn roof_ambient(t: f64, adder: f64) -> f64 {
    t + adder
}

formula! {
    /// Explained twin of [`roof_ambient`].
    pub RoofAmbient = roof_ambient(
        t: Temperature as CELSIUS = "design ambient",
        adder: Interval as KELVIN = "added in sun close to a roof",
    ) -> Temperature as CELSIUS,
    text: "t + adder",
    clause: nec("2023", "310.15(B)(2)", Standing::SecondHand),
}

/// The factors of one segment, the same for every size.
#[derive(Clone, Debug, PartialEq)]
pub struct SegmentFactors {
    /// Column of the insulation in this place.
    pub column: Traced<TerminalColumn>,
    /// Ambient the factor was read at, with the roof rule applied.
    pub ambient: Traced<Temperature>,
    /// Factor for the ambient.
    pub ambient_factor: Traced<Ratio>,
    /// Current-carrying conductors that lie together.
    pub together: u32,
    /// Factor for their number.
    pub count_factor: Traced<Ratio>,
}

/// Why the factors of a segment cannot be had.
#[derive(Clone, Debug, PartialEq)]
pub enum NoFactors {
    /// A fact is missing.
    Missing(Gap),
    /// The insulation may not be used in a wet place, or at this temperature.
    NotAllowed(Arc<str>),
}

/// Factors of a segment in which `together` current-carrying conductors lie; `nipple` when it is a short raceway
/// between two boxes.
///
/// # Errors
/// [`NoFactors`] when a fact is missing or the insulation does not suit the place.
pub fn segment_factors(
    segment: &Segment,
    nipple: bool,
    insulation: &Fact<Insulation>,
    together: u32,
) -> Result<SegmentFactors, NoFactors> {
    let missing = |gap: Gap| NoFactors::Missing(gap);
    let all = [insulation.gap(), segment.place.gap(), segment.ambient.gap()];
    if let Some(gap) = all
        .into_iter()
        .flatten()
        .fold(None, |sum: Option<Gap>, gap| Some(sum.map_or(gap.clone(), |sum| sum.and(gap))))
    {
        return Err(missing(gap));
    }
    let insulation = insulation.need().map_err(missing)?;
    let place = segment.place.need().map_err(missing)?.value;
    let mut ambient = segment.ambient.need().map_err(missing)?.clone();
    let refused = |why: TableError| NoFactors::NotAllowed(Arc::from(why.to_string()));
    if place == Where::OnRoof && segment.raceway.need().map_err(missing)?.value != Raceway::Open {
        // XHHW-2 is exempt, so the height is asked for only where it matters.
        let height = if insulation.value == Insulation::Xhhw2 {
            0.0
        } else {
            units::INCH_UNIT.of_si(segment.height_above_roof.need().map_err(missing)?.si())
        };
        let adder = tables::rooftop_adder(height + ROUNDING_INCHES, insulation.value).map_err(refused)?;
        if adder.si() > 0.0 {
            ambient = RoofAmbient::of(&ambient, &adder);
        }
    }
    if insulation.value.is_metric() {
        return Err(NoFactors::NotAllowed(Arc::from(format!(
            "{} is a type of IEC standards, which the NEC does not list",
            insulation.value.in_words()
        ))));
    }
    let exposed = segment.raceway.value() == Some(&Raceway::Open) && place.is_wet();
    if exposed && !matches!(insulation.value, Insulation::PvWire | Insulation::Rhw2Use2) {
        return Err(NoFactors::NotAllowed(Arc::from(format!(
            "{} lies exposed {}; outside a raceway only PV wire or RHW-2/USE-2 may (NEC 690.31(C), from memory)",
            insulation.value.in_words(),
            place.in_words()
        ))));
    }
    if place.is_wet() && segment.raceway.value() == Some(&Raceway::MetalClad { for_wet: false }) {
        return Err(NoFactors::NotAllowed(Arc::from(format!(
            "metal-clad cable lies {}, which is a wet place; there its sheath needs a covering marked for that (NEC 330.10(A)(11), from memory)",
            place.in_words()
        ))));
    }
    let rating = if place.is_wet() { insulation.value.wet() } else { Some(insulation.value.dry()) };
    let column = insulation.with(rating.ok_or_else(|| {
        NoFactors::NotAllowed(Arc::from(format!(
            "{} is not for a wet place, and {} is one",
            insulation.value.in_words(),
            place.in_words()
        )))
    })?);
    let ambient_factor =
        tables::ambient_factor(units::CELSIUS.of_si(ambient.si()), column.value).map_err(refused)?;
    // A nipple needs no adjustment, so its conductors count as if they lay alone.
    let counted = if nipple { 1 } else { together.max(1) };
    let count_factor = tables::bundling_factor(counted).map_err(refused)?;
    Ok(SegmentFactors { column, ambient, ambient_factor, together, count_factor })
}

/// Column of the terminals: as both are marked, else by NEC 110.14(C)(1), 60 °C for circuits up to 100 A and 75 °C
/// above; unknown only when the current is.
pub fn terminal_column(run: &Run, continuous: &Fact<Current>) -> Fact<TerminalColumn> {
    if let Fact::Known(stated) = &run.terminals {
        return Fact::Known(stated.clone());
    }
    continuous.and_then(|amps| {
        let small = at_least(100.0, amps.si());
        let (column, because) = if small {
            (
                TerminalColumn::C60,
                "terminals of circuits up to 100 A count as 60 °C until both are marked higher",
            )
        } else {
            (TerminalColumn::C75, "terminals of circuits above 100 A count as 75 °C")
        };
        Fact::assumed(
            column,
            Reason {
                field: FieldPath::new(format!("{}.terminals", run.field)),
                because: Arc::from(because),
                moves: Arc::from("the size of the conductor"),
                clause: nec("2023", "110.14(C)(1)", Standing::SecondHand),
            },
        )
    })
}
