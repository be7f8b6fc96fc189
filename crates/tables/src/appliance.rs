//! Household loads with the published range of their power, for an owner who has no label at hand.

use crate::{file, sheet};
use quantity::{Clause, Measure, Power, Standing, TableRow, Traced};
use std::sync::OnceLock;

/// What turns in an appliance; it decides how hard it starts. The sorting is this project's own.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Motor {
    /// Nothing that turns.
    None,
    /// A refrigerant compressor.
    Compressor,
    /// An induction motor.
    Induction,
    /// A brushed universal motor, which starts gently.
    Universal,
    /// A small motor or pump.
    Small,
    /// A motor beside a heater.
    WithHeater,
}

/// One kind of appliance. Ranges are as published, old and cautious; a label or a measurement beats every row.
#[derive(Clone, Debug, PartialEq)]
pub struct Appliance {
    /// What it is.
    pub name: String,
    /// Room or use.
    pub category: String,
    /// Running power, W: lowest, typical, highest published.
    pub running_w: [f64; 3],
    /// Supply, V: 120 or 240, usual practice in North America.
    pub volts: f64,
    /// What turns in it.
    pub motor: Motor,
    /// Hours a day at the typical power; `None` where no list says.
    pub hours_per_day: Option<f64>,
    /// Power while starting, in total, W.
    pub starting_w: Option<f64>,
    /// Starting over typical running power, lowest and highest.
    pub starting_multiple: Option<[f64; 2]>,
    /// Kind of source of the power, the hours and the start.
    pub sources: [String; 3],
    /// What a reader should know of this row.
    pub note: String,
}

impl Appliance {
    /// Typical running power.
    pub fn typical_power(&self) -> Traced<Power> {
        let [low, _, high] = self.running_w;
        let range = if low < high { format!("typical of {low} to {high} W") } else { format!("{high} W") };
        let text = format!("{}, {range} ({})", self.name, self.sources[0]);
        let standing = if self.sources[0] == "computed" { Standing::Computed } else { Standing::SecondHand };
        Traced::tabled(
            Power::from_si(self.running_w[1]),
            TableRow { clause: TABLE, row: text.into(), standing },
        )
    }
}

/// The appliance with this name; case does not matter.
pub fn appliance(name: &str) -> Option<&'static Appliance> {
    appliances().iter().find(|row| row.name.eq_ignore_ascii_case(name.trim()))
}

/// All appliances, in the order of the file.
pub fn appliances() -> &'static [Appliance] {
    static ROWS: OnceLock<Vec<Appliance>> = OnceLock::new();
    ROWS.get_or_init(|| sheet::rows(file::APPLIANCES, read))
}

const TABLE: Clause = Clause {
    document: "Household loads",
    edition: "",
    clause: "published wattages",
    standing: Standing::SecondHand,
};

fn read(line: &sheet::Line<'_>) -> Option<Appliance> {
    let text = |column| line.text(column).map(str::to_owned);
    let multiple = match (line.optional("start_low")?, line.optional("start_high")?) {
        (Some(low), Some(high)) => Some([low, high]),
        (None, None) => None,
        _ => return None,
    };
    Some(Appliance {
        name: text("name")?,
        category: text("category")?,
        running_w: [line.value("low_w")?, line.value("typical_w")?, line.value("high_w")?],
        volts: line.value("volts")?,
        motor: match line.text("motor")? {
            "no" => Motor::None,
            "compressor" => Motor::Compressor,
            "induction motor" => Motor::Induction,
            "universal motor" => Motor::Universal,
            "small motor" => Motor::Small,
            "motor+heater" | "small pump+heater" => Motor::WithHeater,
            _ => return None,
        },
        hours_per_day: line.optional("hours")?,
        starting_w: line.optional("start_w")?,
        starting_multiple: multiple,
        sources: [text("source_power")?, text("source_hours")?, text("source_start")?],
        note: text("note")?,
    })
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn every_row_is_ordered_and_plausible() {
        assert_eq!(appliances().len(), 80);
        for row in appliances() {
            let [low, typical, high] = row.running_w;
            assert!(0.0 < low && low <= typical && typical <= high && high < 20_000.0, "{}", row.name);
            assert!(row.volts == 120.0 || row.volts == 240.0, "{}", row.name);
            // Hours a month over 30.4 days prints 24.01 for appliances that never rest.
            assert!(row.hours_per_day.is_none_or(|hours| (0.0..=24.02).contains(&hours)), "{}", row.name);
            assert!(row.starting_multiple.is_none_or(|[low, high]| 1.0 <= low && low <= high && high <= 7.0));
            assert!(!row.sources[0].is_empty(), "{}", row.name);
        }
    }

    #[test]
    fn a_stated_start_agrees_with_its_multiple() {
        for row in appliances() {
            let (Some(start), Some([multiple, _])) = (row.starting_w, row.starting_multiple) else {
                continue;
            };
            // The multiple has one decimal and belongs to one of the three running powers.
            let fits = row.running_w.iter().any(|running| (start / running - multiple).abs() < 0.06);
            assert!(fits, "{}: {start} W, {multiple}", row.name);
        }
    }

    #[test]
    fn nothing_that_turns_needs_no_starting_power() {
        for row in appliances().iter().filter(|row| row.motor == Motor::None) {
            assert!(row.starting_w.is_none() && row.starting_multiple.is_none_or(|[_, high]| high == 1.0));
        }
    }

    #[test]
    fn sources_are_kinds_not_names() {
        let kinds = [
            "US Department of Energy",
            "utility list",
            "cooperative list",
            "printed guide",
            "computed",
            "always on",
        ];
        for source in appliances().iter().flat_map(|row| &row.sources).filter(|text| !text.is_empty()) {
            assert!(source.split("; ").all(|kind| kinds.contains(&kind)), "{source}");
        }
    }

    #[test]
    fn an_appliance_is_found_by_name_and_says_its_range() {
        let toaster = appliance(" toaster ").unwrap();
        assert_eq!(toaster.typical_power().si(), 1150.0);
        assert!(appliance("time machine").is_none());
    }
}
