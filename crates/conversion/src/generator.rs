//! What an engine generator gives at its height above the sea, and what it burns.

use quantity::{Clause, Length, Power, Ratio, Standing, formula, practice};

/// Continuous power of a naturally aspirated engine at `altitude` metres, W; not below zero.
///
/// `loss` is the share lost per 1000 m, from the data sheet; 0.115 (3.5 % per 1000 ft) is common practice.
pub fn output_at_altitude(output: f64, loss: f64, altitude: f64) -> f64 {
    output * (1.0 - loss * altitude.max(0.0) / 1000.0).max(0.0)
}

formula! {
    /// Explained twin of [`output_at_altitude`].
    pub OutputAtAltitude = output_at_altitude(
        output: Power as WATT = "continuous power at sea level",
        loss: Ratio as RATIO = "share lost per 1000 m",
        altitude: Length as METER = "height above the sea",
    ) -> Power as WATT,
    text: "output · max(1 − loss · max(altitude, 0) / 1000, 0)",
    clause: practice("engine derating with altitude"),
}

/// Hours a generator must run to put `energy` (Wh, DC) into a bank through a charger of `charger` W.
pub fn hours_to_charge(energy: f64, charger: f64) -> f64 {
    energy / charger
}

formula! {
    /// Explained twin of [`hours_to_charge`].
    pub HoursToCharge = hours_to_charge(
        energy: quantity::Energy as WATT_HOUR = "energy to put into the bank",
        charger: Power as WATT = "direct-current power of the charger",
    ) -> quantity::Time as HOUR,
    text: "energy / charger",
    clause: Clause { document: "definition", edition: "", clause: "time = energy / power", standing: Standing::Computed },
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use quantity::{Measure, Origin, Traced};

    /// By hand: 3000 W, 11.5 % per 1000 m, 1264.9 m (4150 ft): 3000 · (1 − 0.14546) = 2563.6 W.
    #[test]
    fn thin_air_takes_its_share() {
        assert!((output_at_altitude(3000.0, 0.115, 1264.9) - 2563.6).abs() < 0.05);
        assert_eq!(output_at_altitude(3000.0, 0.115, -50.0), 3000.0);
        assert_eq!(output_at_altitude(3000.0, 0.115, 1e6), 0.0);
    }

    #[test]
    fn the_printed_formula_gives_the_computed_value() {
        let traced = OutputAtAltitude::of(
            &Traced::stated(Power::from_si(3000.0), "generator.output"),
            &Traced::stated(Ratio::from_si(0.115), "generator.altitude_loss"),
            &Traced::stated(Length::from_si(1264.9), "place.elevation"),
        );
        let Origin::Computed(working) = &traced.origin else { panic!("no working") };
        assert!((working.recompute().unwrap() - traced.si()).abs() < 1e-9);
        // Story S3: 5.43 kWh a day at 4.0 kW.
        assert!((hours_to_charge(5430.0, 4000.0) - 1.3575).abs() < 1e-12);
    }
}
