//! A number and its unit stay on one line.

/// What follows a number as its unit. Words that also begin a phrase ("9 in January") do no harm glued.
const UNITS: [&str; 44] = [
    "%", "°", "°C", "°F", "K", "A", "mA", "kA", "Ah", "V", "mV", "kV", "W", "kW", "Wh", "kWh", "MWh", "VA",
    "kVA", "Ω", "mΩ", "in", "ft", "m", "mm", "cm", "km", "mm²", "m²", "kg", "g", "lb", "N·m", "h", "min",
    "s", "d", "Hz", "AWG", "kcmil", "USD", "EUR", "days", "hours",
];

/// The text with a no-break space between each number and its unit.
pub fn glued(text: &str) -> String {
    let mut out = String::with_capacity(text.len() + 8);
    for (at, c) in text.char_indices() {
        let after_digit = out.ends_with(|before: char| before.is_ascii_digit());
        let is_unit = || {
            let rest = &text[at + 1..];
            let end = rest
                .find(|c: char| c.is_whitespace() || matches!(c, '/' | ',' | ';' | ':' | ')'))
                .unwrap_or(rest.len());
            UNITS.contains(&rest[..end].trim_end_matches('.'))
        };
        out.push(if c == ' ' && after_digit && is_unit() { '\u{a0}' } else { c });
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_unit_stays_with_its_number_and_words_stay_free() {
        assert_eq!(
            glued("idle at 62 W each: 1,086 kWh, 20 %."),
            "idle at 62\u{a0}W each: 1,086\u{a0}kWh, 20\u{a0}%."
        );
        assert_eq!(glued("0.321 Ω/kft at 75 °C"), "0.321\u{a0}Ω/kft at 75\u{a0}°C");
        assert_eq!(glued("only 6 years of 20 Wide"), "only 6 years of 20 Wide");
        assert_eq!(glued(""), "");
    }
}
