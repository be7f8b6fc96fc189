//! Filling the capacitors of inverters through a resistor before a battery is switched on to them.

use quantity::{
    Clause, Current, Energy, Fact, Measure, Number, Resistance, Standing, Time, Traced, Voltage, formula,
    units,
};

const RC: Clause = Clause {
    document: "definition",
    edition: "",
    clause: "a capacitor filled through a resistor",
    standing: Standing::Computed,
};

/// Energy that `c` millifarads hold at `v` volts, joules. Filled through a resistor, the resistor takes as much again.
pub fn stored_energy(c: f64, v: f64) -> f64 {
    c * v * v / 2000.0
}

formula! {
    /// Explained twin of [`stored_energy`].
    pub StoredEnergy = stored_energy(
        c: Number as NUMBER = "capacitance in millifarads",
        v: Voltage as VOLT = "highest battery voltage",
    ) -> Energy as JOULE,
    text: "c · v · v / 2000",
    clause: RC,
}

/// Time in which `c` millifarads behind `r` ohms come within 1 % of the battery: five time constants, seconds.
pub fn filling_time(r: f64, c: f64) -> f64 {
    5.0 * r * c / 1000.0
}

formula! {
    /// Explained twin of [`filling_time`].
    pub FillingTime = filling_time(
        r: Resistance as OHM = "resistor",
        c: Number as NUMBER = "capacitance in millifarads",
    ) -> Time as SECOND,
    text: "5 · r · c / 1000",
    clause: RC,
}

/// Current at the moment the resistor is joined to `v` volts.
pub fn first_current(v: f64, r: f64) -> f64 {
    v / r
}

formula! {
    /// Explained twin of [`first_current`].
    pub FirstCurrent = first_current(
        v: Voltage as VOLT = "highest battery voltage",
        r: Resistance as OHM = "resistor",
    ) -> Current as AMPERE,
    text: "v / r",
    clause: RC,
}

/// Current a filling resistor lets through at first; 0.5 to 3 A are usual (common practice, no source).
const FIRST_AT_MOST: f64 = 3.0;

/// The smallest resistor of the E6 series (IEC 60063) that lets at most 3 A through at the highest battery voltage;
/// unknown while the voltage is, or where no resistor between 1 Ω and 1 kΩ does.
pub fn filling_resistor(v: &Fact<Voltage>) -> Fact<Resistance> {
    const E6: [f64; 6] = [1.0, 1.5, 2.2, 3.3, 4.7, 6.8];
    crate::above_zero(v).and_then(|v| {
        let volts = units::VOLT.of_si(v.si());
        let fits = |ohms: &f64| crate::at_least(FIRST_AT_MOST, first_current(volts, *ohms));
        match [1.0, 10.0, 100.0].iter().flat_map(|decade| E6.map(|step| step * decade)).find(fits) {
            Some(ohms) => Fact::Known(Traced::found(
                Resistance::from_si(units::OHM.to_si(ohms)),
                quantity::Choice {
                    because: "the smallest resistor of the E6 series that lets at most 3 A through".into(),
                    runner_up: "".into(),
                    clause: quantity::practice("0.5 to 3 A at first"),
                    terms: vec![v.term("highest battery voltage", &units::VOLT)],
                },
            )),
            None => Fact::unknown("pre_charge.ohms", quantity::WhoKnows::Maker),
        }
    })
}
