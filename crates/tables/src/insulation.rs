//! Insulation of single conductors: temperature ratings dry and wet, and the group that gives the outside size.

use crate::TerminalColumn;
use quantity::{Clause, Standing, nec};
use std::fmt;

/// Insulation type of a single conductor.
///
/// Ratings from memory of NEC 2023 Table 310.4(1) (310.4(A) in 2020, 310.104(A) before); PV wire from memory of UL 4703.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Insulation {
    /// THHN marked THWN-2 as well: 90 °C dry and wet.
    ThhnThwn2,
    /// XHHW-2: 90 °C dry and wet.
    Xhhw2,
    /// RHH or RHW-2 marked USE-2 as well, without outer covering: 90 °C dry and wet, may be buried directly.
    Rhw2Use2,
    /// RHH or RHW-2 with an outer covering: 90 °C dry and wet.
    Rhw2Covered,
    /// PV wire: 90 °C wet and dry, sunlight resistant. Its outside size is an estimate here.
    PvWire,
    /// THW: 75 °C dry and wet.
    Thw,
    /// THHW: 90 °C dry, 75 °C wet.
    Thhw,
    /// THW-2: 90 °C dry and wet.
    Thw2,
    /// THHN without a wet marking: 90 °C, dry and damp places only.
    Thhn,
    /// THWN: 75 °C dry and wet.
    Thwn,
    /// Single conductor insulated with PVC, 70 °C (IEC 60227-3).
    Pvc70,
    /// Single conductor insulated with a cross-linked compound, 90 °C (as EN 50525-3-41).
    Xlpe90,
    /// Single-core cable for arrays, with insulation and sheath, 90 °C (IEC 62930).
    ArrayCable,
}

impl Insulation {
    /// The types of the NEC.
    pub const ALL: [Insulation; 10] = [
        Insulation::ThhnThwn2,
        Insulation::Xhhw2,
        Insulation::Rhw2Use2,
        Insulation::Rhw2Covered,
        Insulation::PvWire,
        Insulation::Thw,
        Insulation::Thhw,
        Insulation::Thw2,
        Insulation::Thhn,
        Insulation::Thwn,
    ];

    /// The types of IEC standards.
    pub const METRIC: [Insulation; 3] = [Insulation::Pvc70, Insulation::Xlpe90, Insulation::ArrayCable];

    /// Whether it is a type of IEC standards.
    pub fn is_metric(self) -> bool {
        Insulation::METRIC.contains(&self)
    }

    /// Where the ratings are published.
    pub const RATINGS: Clause = nec("2023", "Table 310.4(1)", Standing::Remembered);

    /// The marking as the trade writes it.
    pub fn in_words(self) -> &'static str {
        match self {
            Insulation::ThhnThwn2 => "THHN/THWN-2",
            Insulation::Xhhw2 => "XHHW-2",
            Insulation::Rhw2Use2 => "RHW-2/USE-2",
            Insulation::Rhw2Covered => "RHW-2 with outer covering",
            Insulation::PvWire => "PV wire",
            Insulation::Thw => "THW",
            Insulation::Thhw => "THHW",
            Insulation::Thw2 => "THW-2",
            Insulation::Thhn => "THHN",
            Insulation::Thwn => "THWN",
            Insulation::Pvc70 => "PVC 70 °C",
            Insulation::Xlpe90 => "XLPE 90 °C",
            Insulation::ArrayCable => "array cable",
        }
    }

    /// Type from a marking: case, spaces, hyphens and slashes do not matter.
    pub fn read(text: &str) -> Option<Insulation> {
        let bare = |text: &str| -> String {
            text.chars().filter(|c| c.is_alphanumeric()).map(|c| c.to_ascii_uppercase()).collect()
        };
        let asked = bare(text);
        let mut all = Insulation::ALL.into_iter().chain(Insulation::METRIC);
        let known = all.find(|kind| bare(kind.in_words()) == asked);
        known.or(match asked.as_str() {
            "THWN2" => Some(Insulation::ThhnThwn2),
            "USE2" | "USE2RHW2" | "RHHRHW2USE2" => Some(Insulation::Rhw2Use2),
            "PV" | "PVW" => Some(Insulation::PvWire),
            _ => None,
        })
    }

    /// Temperature rating in dry places.
    pub fn dry(self) -> TerminalColumn {
        match self {
            // The column below the 70 °C of IEC, for who asks by columns of the NEC.
            Insulation::Pvc70 => TerminalColumn::C60,
            Insulation::Thw | Insulation::Thwn => TerminalColumn::C75,
            _ => TerminalColumn::C90,
        }
    }

    /// Temperature rating in wet places, which includes the inside of raceways outdoors and underground; `None`
    /// where the type may not be used wet.
    pub fn wet(self) -> Option<TerminalColumn> {
        match self {
            Insulation::Thhn => None,
            Insulation::Pvc70 => Some(TerminalColumn::C60),
            Insulation::Thw | Insulation::Thhw | Insulation::Thwn => Some(TerminalColumn::C75),
            _ => Some(TerminalColumn::C90),
        }
    }

    /// Type name of the rows of Chapter 9 Table 5 with this outside size; `None` for PV wire, which has none, and empty
    /// for types of IEC, of which no row is.
    pub(crate) fn group(self) -> Option<&'static str> {
        match self {
            Insulation::ThhnThwn2 | Insulation::Thhn | Insulation::Thwn => Some("THHN/THWN-2"),
            Insulation::Xhhw2 => Some("XHHW-2"),
            Insulation::Thw | Insulation::Thhw | Insulation::Thw2 => Some("THW/THHW/THW-2"),
            Insulation::Rhw2Use2 => Some("RHH/RHW/RHW-2 without outer covering"),
            Insulation::Rhw2Covered => Some("RHH/RHW/RHW-2 with outer covering"),
            Insulation::PvWire => None,
            Insulation::Pvc70 | Insulation::Xlpe90 | Insulation::ArrayCable => Some(""),
        }
    }
}

impl fmt::Display for Insulation {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.in_words())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_marking_reads_back() {
        for kind in Insulation::ALL.into_iter().chain(Insulation::METRIC) {
            assert_eq!(Insulation::read(kind.in_words()), Some(kind));
        }
        assert_eq!(Insulation::read("thwn-2"), Some(Insulation::ThhnThwn2));
        assert_eq!(Insulation::read("USE-2/RHW-2"), Some(Insulation::Rhw2Use2));
        assert_eq!(Insulation::read("lamp cord"), None);
        assert_eq!(Insulation::read(""), None);
    }

    #[test]
    fn no_type_is_rated_higher_wet_than_dry() {
        for kind in Insulation::ALL.into_iter().chain(Insulation::METRIC) {
            assert!(kind.wet().is_none_or(|wet| wet <= kind.dry()), "{kind}");
        }
    }
}
