//! Design-point figures of a load: energy of a day and of a year, and running power from volts and amps.

use quantity::{
    Clause, Count, Current, Energy, Flow, Length, Number, Power, Ratio, Standing, Time, Voltage, Volume,
    formula,
};

const fn definition(clause: &'static str) -> Clause {
    Clause { document: "definition", edition: "", clause, standing: Standing::Computed }
}

/// Running power, W, of `volts` V and `amps` A at a power factor. Volts times amps are watts only at factor 1.
pub fn running_power(volts: f64, amps: f64, factor: f64) -> f64 {
    volts * amps * factor
}

formula! {
    /// Explained twin of [`running_power`].
    pub RunningPower = running_power(
        volts: Voltage as VOLT = "supply",
        amps: Current as AMPERE = "running current",
        factor: Ratio as RATIO = "power factor",
    ) -> Power as WATT,
    text: "volts · amps · factor",
    clause: definition("real power"),
}

/// Electric power of a pump, W: `flow` L/min lifted by `lift` m, water of 1 kg/L, at an efficiency of pump and motor.
pub fn pump_power(flow: f64, lift: f64, efficiency: f64) -> f64 {
    flow / 60.0 * 9.80665 * lift / efficiency
}

formula! {
    /// Explained twin of [`pump_power`].
    pub PumpPower = pump_power(
        flow: Flow as LITER_PER_MINUTE = "lifted while running",
        lift: Length as METER = "height, pressure and friction as metres of water",
        efficiency: Ratio as RATIO = "of pump and motor",
    ) -> Power as WATT,
    text: "flow / 60 · 9.80665 · lift / efficiency",
    clause: definition("power = weight a second · height"),
}

/// Hours a day in which `a_day` L are lifted at `flow` L/min.
pub fn pump_hours(a_day: f64, flow: f64) -> f64 {
    a_day / (flow * 60.0)
}

formula! {
    /// Explained twin of [`pump_hours`].
    pub PumpHours = pump_hours(
        a_day: Volume as LITER = "water a day",
        flow: Flow as LITER_PER_MINUTE = "lifted while running",
    ) -> Time as HOUR,
    text: "a_day / (flow · 60)",
    clause: definition("time = volume / flow"),
}

/// Energy of a day of use, Wh: `count` of `power` W running `hours` h.
pub fn energy_per_day(count: f64, power: f64, hours: f64) -> f64 {
    count * power * hours
}

formula! {
    /// Explained twin of [`energy_per_day`].
    pub EnergyPerDay = energy_per_day(
        count: Count as COUNT = "how many",
        power: Power as WATT = "power while running, of one",
        hours: Time as HOUR = "hours a day",
    ) -> Energy as WATT_HOUR,
    text: "count · power · hours",
    clause: definition("energy = power · time"),
}

/// Energy of a day by a yearly label, Wh.
pub fn label_energy_per_day(count: f64, label: f64) -> f64 {
    count * label / 365.0
}

formula! {
    /// Explained twin of [`label_energy_per_day`].
    pub LabelEnergyPerDay = label_energy_per_day(
        count: Count as COUNT = "how many",
        label: Energy as WATT_HOUR = "energy a year of one",
    ) -> Energy as WATT_HOUR,
    text: "count · label / 365",
    clause: definition("evenly over 365 days"),
}

/// Energy of a year, Wh, of `daily` Wh on each of `days` days of use.
pub fn energy_per_year(daily: f64, days: f64) -> f64 {
    daily * days
}

formula! {
    /// Explained twin of [`energy_per_year`].
    pub EnergyPerYear = energy_per_year(
        daily: Energy as WATT_HOUR = "energy of a day of use",
        days: Count as COUNT = "days of use",
    ) -> Energy as WATT_HOUR,
    text: "daily · days",
    clause: definition("sum over the days of use"),
}

/// Energy of a year, Wh, of `daily` Wh on each day of use, `days` days of the months in use, `per_week` of seven.
pub fn year_of_use(daily: f64, days: f64, per_week: f64) -> f64 {
    daily * days * per_week / 7.0
}

formula! {
    /// Explained twin of [`year_of_use`].
    pub YearOfUse = year_of_use(
        daily: Energy as WATT_HOUR = "energy of a day of use",
        days: Count as COUNT = "days of the months in use",
        per_week: Number as NUMBER = "days of use a week",
    ) -> Energy as WATT_HOUR,
    text: "daily · days · per_week / 7",
    clause: definition("sum over the days of use"),
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use quantity::{Measure, Origin, Traced};

    #[test]
    fn each_printed_formula_gives_the_computed_value() {
        let count = Traced::stated(Count(2), "load.count");
        let power = Traced::stated(Power::from_si(150.0), "load.power");
        let hours = Traced::stated(Time::from_si(2.0 * 3600.0), "load.hours");
        let daily = EnergyPerDay::of(&count, &power, &hours);
        // 2 · 150 W · 2 h = 600 Wh; · 365 = 219 kWh.
        assert!((daily.si() - 600.0 * 3600.0).abs() < 1e-6);
        let yearly = EnergyPerYear::of(&daily, &Traced::stated(Count(365), "load.months"));
        assert!((yearly.si() - 219_000.0 * 3600.0).abs() < 1e-3);
        let label = Traced::stated(Energy::from_si(512.0 * 3.6e6), "load.label");
        let by_label = LabelEnergyPerDay::of(&count, &label);
        let volts = Traced::stated(Voltage::from_si(240.0), "load.volts");
        let amps = Traced::stated(Current::from_si(6.2), "load.amps");
        let factor = Traced::stated(Ratio::from_si(0.8), "load.power_factor");
        let watts = RunningPower::of(&volts, &amps, &factor);
        assert!((watts.si() - 1190.4).abs() < 1e-9);
        // 19 L/min lifted 60 m at 45 %: 19/60 kg/s · 9.80665 · 60 / 0.45 = 414.06 W; 600 L take 31.6 min.
        let flow = Traced::stated(Flow::from_si(19e-3 / 60.0), "load.pump.flow");
        let lift = Traced::stated(Length::from_si(60.0), "load.pump.lift");
        let pump = PumpPower::of(&flow, &lift, &Traced::stated(Ratio::from_si(0.45), "load.pump.efficiency"));
        assert!((pump.si() - 414.06).abs() < 0.01, "{}", pump.si());
        let runs = PumpHours::of(&Traced::stated(Volume::from_si(0.6), "load.pump.a_day"), &flow);
        assert!((runs.si() / 60.0 - 31.579).abs() < 1e-3);
        let all = [
            (pump.si(), &pump.origin),
            (runs.si(), &runs.origin),
            (daily.si(), &daily.origin),
            (yearly.si(), &yearly.origin),
            (by_label.si(), &by_label.origin),
            (watts.si(), &watts.origin),
        ];
        for (value, origin) in all {
            let Origin::Computed(working) = origin else { panic!("no working") };
            assert!((working.recompute().unwrap() / value - 1.0).abs() < 1e-12);
        }
    }
}
