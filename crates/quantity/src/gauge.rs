//! Conductor sizes as the trade names them: AWG, kcmil and square millimetres.

use crate::unit::units;
use std::fmt;

/// Conductor metal.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Material {
    /// Copper.
    Copper,
    /// Aluminium.
    Aluminum,
}

impl Material {
    /// The word for a schedule.
    pub fn in_words(self) -> &'static str {
        match self {
            Material::Copper => "copper",
            Material::Aluminum => "aluminum",
        }
    }
}

/// A conductor size by its designation. Sizes order by cross-section.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Gauge {
    /// American wire gauge; 1/0 to 4/0 are kept as 0, -1, -2, -3.
    Awg(i8),
    /// Thousands of circular mils.
    Kcmil(u16),
    /// Hundredths of a square millimetre, so that 2.5 mm² stays exact.
    HundredthsMm2(u32),
}

/// Why a text is no conductor size.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct GaugeError;

impl fmt::Display for GaugeError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(
            "not a conductor size; write it like \"10 AWG\", \"4/0 AWG\", \"250 kcmil\" or \"95 mm²\"",
        )
    }
}

impl std::error::Error for GaugeError {}

impl Gauge {
    /// Circular mils of an AWG size by the definition `d = 5 mil · 92^((36 − n)/39)`, rounded as tables do not;
    /// used only to order sizes, tables give the printed areas.
    pub fn circular_mils(self) -> f64 {
        match self {
            Gauge::Awg(n) => {
                let diameter_mil = 5.0 * 92f64.powf((36.0 - f64::from(n)) / 39.0);
                diameter_mil * diameter_mil
            }
            Gauge::Kcmil(k) => f64::from(k) * 1000.0,
            Gauge::HundredthsMm2(h) => f64::from(h) / 100.0 * 1e-6 / units::CIRCULAR_MIL.factor,
        }
    }

    /// Whether this is a metric size.
    pub fn is_metric(self) -> bool {
        matches!(self, Gauge::HundredthsMm2(_))
    }

    /// Reads `4/0 AWG`, `#10`, `10 AWG`, `250 kcmil`, `250 MCM`, `95 mm²`, `95 mm2`.
    ///
    /// # Errors
    /// [`GaugeError`] when the text is none of these or the size does not exist.
    pub fn read(text: &str) -> Result<Gauge, GaugeError> {
        let squeezed: String = text.chars().filter(|c| !c.is_whitespace()).collect();
        let lower = squeezed.to_lowercase().replace('²', "2").replace("mm^2", "mm2");
        if let Some(number) = lower.strip_suffix("mm2") {
            let area: f64 = number.parse().map_err(|_| GaugeError)?;
            let hundredths = (area * 100.0).round();
            if !(10.0..=200_000.0).contains(&hundredths) {
                return Err(GaugeError);
            }
            return Ok(Gauge::HundredthsMm2(hundredths as u32));
        }
        for suffix in ["kcmil", "mcm"] {
            if let Some(number) = lower.strip_suffix(suffix) {
                let k: u16 = number.parse().map_err(|_| GaugeError)?;
                return if (250..=2000).contains(&k) { Ok(Gauge::Kcmil(k)) } else { Err(GaugeError) };
            }
        }
        let bare = lower.strip_suffix("awg").or_else(|| lower.strip_prefix('#')).ok_or(GaugeError)?;
        if let Some(zeros) = bare.strip_suffix("/0") {
            let n: i8 = zeros.parse().map_err(|_| GaugeError)?;
            return if (1..=4).contains(&n) { Ok(Gauge::Awg(1 - n)) } else { Err(GaugeError) };
        }
        let n: i8 = bare.parse().map_err(|_| GaugeError)?;
        if (1..=24).contains(&n) { Ok(Gauge::Awg(n)) } else { Err(GaugeError) }
    }
}

impl fmt::Display for Gauge {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match *self {
            Gauge::Awg(n) if n <= 0 => write!(f, "{}/0 AWG", 1 - n),
            Gauge::Awg(n) => write!(f, "{n} AWG"),
            Gauge::Kcmil(k) => write!(f, "{k} kcmil"),
            Gauge::HundredthsMm2(h) if h % 100 == 0 => write!(f, "{} mm²", h / 100),
            Gauge::HundredthsMm2(h) if h % 10 == 0 => write!(f, "{}.{} mm²", h / 100, h % 100 / 10),
            Gauge::HundredthsMm2(h) => write!(f, "{}.{:02} mm²", h / 100, h % 100),
        }
    }
}

impl PartialOrd for Gauge {
    fn partial_cmp(&self, other: &Self) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Gauge {
    fn cmp(&self, other: &Self) -> std::cmp::Ordering {
        self.circular_mils().total_cmp(&other.circular_mils())
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn designations_read_and_print_back() {
        for text in ["18 AWG", "10 AWG", "1 AWG", "1/0 AWG", "4/0 AWG", "250 kcmil", "2.5 mm²", "95 mm²"] {
            assert_eq!(Gauge::read(text).unwrap().to_string(), text);
        }
        assert_eq!(Gauge::read("95mm2").unwrap(), Gauge::HundredthsMm2(9500));
        assert_eq!(Gauge::read("#10").unwrap(), Gauge::Awg(10));
        assert_eq!(Gauge::read("4/0awg").unwrap(), Gauge::Awg(-3));
    }

    #[test]
    fn sizes_that_do_not_exist_are_refused() {
        for text in ["", "5/0 AWG", "0 AWG", "99 AWG", "100 kcmil", "ten", "10", "-3 mm2", "4/0"] {
            assert!(Gauge::read(text).is_err(), "{text} was read");
        }
    }

    #[test]
    fn sizes_order_by_cross_section() {
        let sizes = ["14 AWG", "10 AWG", "16 mm²", "4 AWG", "1/0 AWG", "4/0 AWG", "250 kcmil", "500 kcmil"];
        let read: Vec<_> = sizes.iter().map(|t| Gauge::read(t).unwrap()).collect();
        assert!(read.is_sorted());
    }
}
