//! Generic parts in typical sizes, each plainly marked typical, so that a house can be drawn before a part is chosen.
//!
//! Values are from memory of the kind of part, of no maker's. What a danger depends on is not on the shelf and stays
//! unknown until a data sheet says it: series fuse, system and input voltage limits, short-circuit currents, the bond
//! of a neutral, what is fed back, pass-through, cut-off and charging voltages and the cut-off in the cold. The
//! lowest battery voltage of an inverter is on the shelf at the low end of its kind, which asks for the larger cable.

/// A typical part.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ShelfPart {
    /// Table of a design it belongs to, such as `module`.
    pub table: &'static str,
    /// Name on the shelf; always begins with "typical".
    pub name: &'static str,
    /// Field keys with their values as an owner would write them: words without quotes, lists in `[ ]` and groups in
    /// `{ }` as TOML has them.
    pub fields: &'static [(&'static str, &'static str)],
}

impl ShelfPart {
    /// The text of one field.
    pub fn field(&self, key: &str) -> Option<&'static str> {
        self.fields.iter().find(|(name, _)| *name == key).map(|(_, value)| *value)
    }

    /// The field as a TOML value: lists, groups and plain numbers as they are, words in quotes.
    pub fn toml_value(text: &str) -> String {
        let plain = text.starts_with(['[', '{']) || text.parse::<f64>().is_ok();
        if plain { text.to_owned() } else { format!("\"{text}\"") }
    }
}

/// All parts of the shelf.
pub fn parts() -> &'static [ShelfPart] {
    PARTS
}

/// The part of a table with this shelf name; case does not matter.
pub fn part(table: &str, name: &str) -> Option<&'static ShelfPart> {
    PARTS.iter().find(|part| part.table == table && part.name.eq_ignore_ascii_case(name.trim()))
}

static PARTS: &[ShelfPart] = &[
    ShelfPart {
        table: "module",
        name: "typical 400 W module",
        fields: &[
            ("power", "400 W"),
            ("voc", "37.2 V"),
            ("isc", "13.7 A"),
            ("vmp", "31.1 V"),
            ("imp", "12.86 A"),
            ("voc_per_kelvin", "-0.27 %/K"),
            ("pmax_per_kelvin", "-0.34 %/K"),
            ("isc_per_kelvin", "0.05 %/K"),
            ("cells", "{ in_series = 54, in_parallel = 2, bypass_diodes = 3 }"),
            ("size", r#"{ length = "1722 mm", width = "1134 mm" }"#),
            ("weight", "21.5 kg"),
        ],
    },
    ShelfPart {
        table: "module",
        name: "typical 100 W module",
        fields: &[
            ("power", "100 W"),
            ("voc", "22.3 V"),
            ("isc", "5.75 A"),
            ("vmp", "18.6 V"),
            ("imp", "5.38 A"),
            ("voc_per_kelvin", "-0.29 %/K"),
            ("pmax_per_kelvin", "-0.38 %/K"),
            ("isc_per_kelvin", "0.05 %/K"),
            ("cells", "{ in_series = 36, in_parallel = 1, bypass_diodes = 2 }"),
            ("size", r#"{ length = "1060 mm", width = "530 mm" }"#),
            ("weight", "6.4 kg"),
        ],
    },
    ShelfPart {
        table: "inverter",
        name: "typical 3 kW 24 V inverter",
        fields: &[
            ("output", "3000 W"),
            ("volts", "120"),
            ("surge", r#"{ power = "6 kVA", lasts = "5 s" }"#),
            ("efficiency", r#"{ "10 %" = "87 %", "40 %" = "92 %", "100 %" = "87 %" }"#),
            ("idle", "30 W"),
            ("battery_range", r#"["20 V", "30 V"]"#),
            ("charge", "70 A"),
            ("weight", "42 lb"),
        ],
    },
    ShelfPart {
        table: "inverter",
        name: "typical 6 kW 48 V stackable inverter",
        fields: &[
            ("output", "6000 W"),
            ("volts", "120"),
            ("surge", r#"{ power = "12 kVA", lasts = "5 s" }"#),
            ("efficiency", r#"{ "10 %" = "89 %", "40 %" = "94 %", "100 %" = "91 %" }"#),
            ("idle", "60 W"),
            ("battery_range", r#"["40 V", "60 V"]"#),
            ("pv_input", r#"[{ tracks = ["90 V", "430 V"], current = "22 A", power = "7 kW" }]"#),
            ("charge", "100 A"),
            ("stackable", "split phase"),
            ("weight", "32 lb"),
        ],
    },
    ShelfPart {
        table: "inverter",
        name: "typical 8 kW 120/240 V inverter",
        fields: &[
            ("output", "8000 W"),
            ("volts", "120/240"),
            ("surge", r#"{ power = "16 kVA", lasts = "5 s" }"#),
            ("efficiency", r#"{ "10 %" = "90 %", "40 %" = "95 %", "100 %" = "93 %" }"#),
            ("idle", "80 W"),
            ("battery_range", r#"["40 V", "60 V"]"#),
            (
                "pv_input",
                r#"[{ tracks = ["125 V", "425 V"], current = "22 A", power = "6 kW" }, { tracks = ["125 V", "425 V"], current = "22 A", power = "6 kW" }]"#,
            ),
            ("charge", "180 A"),
            ("weight", "75 lb"),
        ],
    },
    ShelfPart {
        table: "inverter",
        name: "typical 5 kW 230 V hybrid inverter",
        fields: &[
            ("output", "5000 W"),
            ("volts", "230"),
            ("surge", r#"{ power = "10 kVA", lasts = "5 s" }"#),
            ("efficiency", r#"{ "10 %" = "90 %", "40 %" = "95 %", "100 %" = "94 %" }"#),
            ("idle", "50 W"),
            ("battery_range", r#"["40 V", "60 V"]"#),
            (
                "pv_input",
                r#"[{ tracks = ["125 V", "425 V"], current = "14 A", power = "3.5 kW" }, { tracks = ["125 V", "425 V"], current = "14 A", power = "3.5 kW" }]"#,
            ),
            ("charge", "100 A"),
            ("weight", "24 kg"),
        ],
    },
    ShelfPart {
        table: "controller",
        name: "typical 60 A 150 V charge controller",
        fields: &[("charge", "60 A"), ("efficiency", "96 %"), ("idle", "2 W"), ("weight", "9 lb")],
    },
    ShelfPart {
        table: "battery",
        name: "typical 51.2 V 100 Ah iron phosphate rack unit",
        fields: &[
            ("chemistry", "lfp"),
            ("nominal", "51.2 V"),
            ("capacity", "100 Ah"),
            ("current", r#"{ charge = "50 A", discharge = "100 A" }"#),
            ("usable", r#"["10 %", "100 %"]"#),
            ("charge_above", "32 °F"),
            ("weight", "98 lb"),
        ],
    },
    ShelfPart {
        table: "battery",
        name: "typical 12.8 V 100 Ah iron phosphate battery",
        fields: &[
            ("chemistry", "lfp"),
            ("nominal", "12.8 V"),
            ("capacity", "100 Ah"),
            ("current", r#"{ charge = "50 A", discharge = "100 A" }"#),
            ("usable", r#"["10 %", "100 %"]"#),
            ("charge_above", "32 °F"),
            ("weight", "24 lb"),
        ],
    },
    ShelfPart {
        table: "battery",
        name: "typical 6 V 225 Ah flooded battery",
        fields: &[
            ("chemistry", "lead-acid"),
            ("nominal", "6 V"),
            ("capacity", "225 Ah"),
            ("current", r#"{ charge = "29 A", discharge = "75 A" }"#),
            ("usable", r#"["50 %", "100 %"]"#),
            ("weight", "62 lb"),
        ],
    },
    ShelfPart {
        table: "battery",
        name: "typical 12 V 100 Ah sealed battery",
        fields: &[
            ("chemistry", "lead-acid"),
            ("nominal", "12 V"),
            ("capacity", "100 Ah"),
            ("current", r#"{ charge = "20 A", discharge = "50 A" }"#),
            ("usable", r#"["50 %", "100 %"]"#),
            ("weight", "66 lb"),
        ],
    },
    ShelfPart {
        table: "generator",
        name: "typical 3.5 kW generator",
        fields: &[("output", "3500 W"), ("volts", "120"), ("litres_per_kwh", "0.5"), ("weight", "105 lb")],
    },
];

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use quantity::{Kind, units};

    fn number(part: &ShelfPart, key: &str, kind: Kind) -> f64 {
        quantity::parse(kind, part.field(key).unwrap()).unwrap()
    }

    #[test]
    fn every_part_is_marked_typical_and_stands_once() {
        for part in parts() {
            assert!(part.name.starts_with("typical "), "{}", part.name);
            assert_eq!(parts().iter().filter(|other| other.name == part.name).count(), 1);
            assert!(std::ptr::eq(super::part(part.table, part.name).unwrap(), part));
        }
    }

    /// What a danger depends on has no default.
    #[test]
    fn nothing_a_danger_depends_on_is_on_the_shelf() {
        let withheld = [
            "short_circuit",
            "cut_off",
            "charge_voltage",
            "neutral_bond",
            "passes_through",
            "series_fuse",
            "system_voltage",
            "voltage_limit",
            "fault",
            "feed",
            "interrupting",
            "listing",
        ];
        for part in parts() {
            for (key, value) in part.fields {
                for word in withheld {
                    assert!(!key.contains(word) && !value.contains(word), "{} has {word}", part.name);
                }
            }
        }
    }

    #[test]
    fn every_module_agrees_with_itself() {
        for part in parts().iter().filter(|part| part.table == "module") {
            let power = number(part, "power", Kind::Power);
            let [vmp, voc] = ["vmp", "voc"].map(|key| number(part, key, Kind::Voltage));
            let [imp, isc] = ["imp", "isc"].map(|key| number(part, key, Kind::Current));
            // A label's power is its product within the rounding of three digits.
            assert!((vmp * imp / power - 1.0).abs() < 0.01, "{}", part.name);
            let fill = power / (voc * isc);
            assert!((0.70..0.85).contains(&fill), "{}: fill factor {fill}", part.name);
            let cells = part.field("cells").unwrap();
            let in_series: f64 =
                cells.split("in_series = ").nth(1).unwrap().split(',').next().unwrap().parse().unwrap();
            assert!((0.5..0.78).contains(&(voc / in_series)), "{}", part.name);
            let [voc_change, power_change] =
                ["voc_per_kelvin", "pmax_per_kelvin"].map(|key| number(part, key, Kind::PerKelvin));
            assert!(power_change < voc_change && voc_change < 0.0);
            assert!(number(part, "isc_per_kelvin", Kind::PerKelvin) > 0.0);
        }
    }

    #[test]
    fn every_battery_has_energy_and_plausible_weight() {
        for part in parts().iter().filter(|part| part.table == "battery") {
            let energy_wh = number(part, "nominal", Kind::Voltage)
                * units::AMPERE_HOUR.of_si(number(part, "capacity", Kind::Charge));
            let specific = energy_wh / number(part, "weight", Kind::Mass);
            // Iron phosphate packs hold 100 to 130 Wh/kg, lead-acid 35 to 50 at the 20 h rate.
            let expected = if part.field("chemistry") == Some("lfp") { 100.0..130.0 } else { 35.0..50.0 };
            assert!(expected.contains(&specific), "{}: {specific} Wh/kg", part.name);
        }
    }

    #[test]
    fn values_become_toml() {
        assert_eq!(ShelfPart::toml_value("37.2 V"), "\"37.2 V\"");
        assert_eq!(ShelfPart::toml_value("120"), "120");
        assert_eq!(ShelfPart::toml_value("120/240"), "\"120/240\"");
        assert_eq!(ShelfPart::toml_value("[\"21 V\"]"), "[\"21 V\"]");
    }
}
