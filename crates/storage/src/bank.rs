//! Design-point figures of a bank: what it stores, what of it is usable, and how long it carries the house.
//! Energy, never ampere-hours alone: 200 Ah at 51.2 V hold more than 600 Ah at 12.8 V.

use quantity::{
    Charge, Clause, Count, Current, Energy, Power, Ratio, Standing, Time, Voltage, formula, practice,
};

const fn definition(clause: &'static str) -> Clause {
    Clause { document: "definition", edition: "", clause, standing: Standing::Computed }
}

/// Energy stored in a full bank at nominal voltage, Wh: `parallel` strings of `series` units of `volts` V and
/// `charge` Ah each.
pub fn bank_capacity(parallel: f64, series: f64, volts: f64, charge: f64) -> f64 {
    parallel * series * volts * charge
}

formula! {
    /// Explained twin of [`bank_capacity`].
    pub BankCapacity = bank_capacity(
        parallel: Count as COUNT = "strings side by side",
        series: Count as COUNT = "units in series in each",
        volts: Voltage as VOLT = "nominal voltage of a unit",
        charge: Charge as AMPERE_HOUR = "rated capacity of a unit",
    ) -> Energy as WATT_HOUR,
    text: "parallel · series · volts · charge",
    clause: definition("energy = charge · voltage"),
}

/// Nominal voltage of the bank, V.
pub fn bank_voltage(series: f64, volts: f64) -> f64 {
    series * volts
}

formula! {
    /// Explained twin of [`bank_voltage`].
    pub BankVoltage = bank_voltage(
        series: Count as COUNT = "units in series",
        volts: Voltage as VOLT = "nominal voltage of a unit",
    ) -> Voltage as VOLT,
    text: "series · volts",
    clause: definition("series connection"),
}

/// Current limit of the bank, A, with the current shared evenly by `parallel` strings of `amps` A.
///
/// Unequal links share unevenly; the trade then plans with 80 % of the sum (common practice), which is the
/// caller's decision, not hidden here.
pub fn bank_current(parallel: f64, amps: f64) -> f64 {
    parallel * amps
}

formula! {
    /// Explained twin of [`bank_current`].
    pub BankCurrent = bank_current(
        parallel: Count as COUNT = "strings side by side",
        amps: Current as AMPERE = "limit of one",
    ) -> Current as AMPERE,
    text: "parallel · amps",
    clause: definition("parallel connection"),
}

/// Power of a current limit at a voltage, W.
pub fn limit_power(amps: f64, volts: f64) -> f64 {
    amps * volts
}

formula! {
    /// Explained twin of [`limit_power`].
    pub LimitPower = limit_power(
        amps: Current as AMPERE = "current limit",
        volts: Voltage as VOLT = "voltage",
    ) -> Power as WATT,
    text: "amps · volts",
    clause: definition("power = current · voltage"),
}

/// Energy between the lowest and highest state of charge in daily use, Wh.
pub fn usable_energy(capacity: f64, high: f64, low: f64) -> f64 {
    capacity * (high - low)
}

formula! {
    /// Explained twin of [`usable_energy`].
    pub UsableEnergy = usable_energy(
        capacity: Energy as WATT_HOUR = "energy of the full bank",
        high: Ratio as RATIO = "highest state of charge in use",
        low: Ratio as RATIO = "lowest state of charge in use",
    ) -> Energy as WATT_HOUR,
    text: "capacity · (high − low)",
    clause: practice("usable window of a battery"),
}

/// Energy a day drawn from the bank, Wh: `load` Wh at the outlets and `idle` W around the clock, through an
/// inverter of constant `efficiency`.
pub fn daily_draw(load: f64, idle: f64, efficiency: f64) -> f64 {
    (load + idle * 24.0) / efficiency
}

formula! {
    /// Explained twin of [`daily_draw`].
    pub DailyDraw = daily_draw(
        load: Energy as WATT_HOUR = "energy a day at the outlets",
        idle: Power as WATT = "idle draw of the running inverters",
        efficiency: Ratio as RATIO = "inverter efficiency",
    ) -> Energy as WATT_HOUR,
    text: "(load + idle · 24) / efficiency",
    clause: practice("energy drawn from the bank in a day"),
}

/// Days the usable energy carries a daily draw without sun.
pub fn days_of_autonomy(usable: f64, draw: f64) -> f64 {
    usable / draw
}

formula! {
    /// Explained twin of [`days_of_autonomy`].
    pub DaysOfAutonomy = days_of_autonomy(
        usable: Energy as WATT_HOUR = "usable energy of the bank",
        draw: Energy as WATT_HOUR = "energy drawn a day",
    ) -> Time as DAY,
    text: "usable / draw",
    clause: Clause { document: "IEEE 1013", edition: "2019", clause: "days of battery reserve", standing: Standing::Remembered },
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use quantity::{Measure, Origin, Traced};

    /// Acceptance story "six hundred is less than two hundred": 12.8 V · 600 Ah = 7.68 kWh, 51.2 V · 200 Ah =
    /// 10.24 kWh, 12 V · 600 Ah = 7.2 kWh; draw (6.0 + 0.96)/0.92 = 7.57 kWh; days 1.08, 0.81, 0.48.
    #[test]
    fn two_hundred_at_high_voltage_outlast_six_hundred_at_low() {
        let draw = daily_draw(6000.0, 40.0, 0.92);
        // Tolerances: the digits printed in the story.
        assert!((draw - 7570.0).abs() < 5.0);
        let cases = [
            (51.2, 200.0, 10_240.0, 0.8, 1.08),
            (12.8, 600.0, 7680.0, 0.8, 0.81),
            (12.0, 600.0, 7200.0, 0.5, 0.48),
        ];
        for (volts, charge, capacity, share, days) in cases {
            let stored = bank_capacity(1.0, 1.0, volts, charge);
            assert!((stored - capacity).abs() < 1e-9);
            let usable = usable_energy(stored, share, 0.0);
            assert!((days_of_autonomy(usable, draw) - days).abs() < 0.005);
        }
        let more: f64 = 10_240.0 / 7680.0 - 1.0;
        assert!((more - 0.33).abs() < 0.005);
    }

    /// A published stand-alone worksheet (layout of the Sandia stand-alone handbook, SAND87-7023): 7463 Wh a day on
    /// 24 V for 7 days at 80 % depth need 2721 Ah; six of 478 Ah hold 68.8 kWh.
    #[test]
    fn a_published_worksheet_is_met() {
        let needed = usable_energy(bank_capacity(1.0, 1.0, 24.0, 2721.0), 0.8, 0.0);
        // The worksheet rounds to whole ampere-hours: half of one in 2721.
        assert!((days_of_autonomy(needed, 7463.0) - 7.0).abs() < 0.002);
        let bank = bank_capacity(6.0, 1.0, 24.0, 478.0);
        assert!((bank - 68_832.0).abs() < 1e-9);
        assert!((days_of_autonomy(usable_energy(bank, 0.8, 0.0), 7463.0) - 7.38).abs() < 0.01);
    }

    #[test]
    fn each_printed_formula_gives_the_computed_value() {
        let count = |n| Traced::stated(Count(n), "bank.count");
        let volts = Traced::stated(Voltage::from_si(51.2), "battery.nominal");
        let charge = Traced::stated(Charge::from_si(100.0 * 3600.0), "battery.capacity");
        let ratio = |r| Traced::stated(Ratio::from_si(r), "ratio");
        let capacity = BankCapacity::of(&count(6), &count(1), &volts, &charge);
        assert!((capacity.si() - 30_720.0 * 3600.0).abs() < 1e-3);
        let usable = UsableEnergy::of(&capacity, &ratio(0.98), &ratio(0.1));
        let load = Traced::stated(Energy::from_si(6000.0 * 3600.0), "loads");
        let idle = Traced::stated(Power::from_si(40.0), "inverter.idle");
        let draw = DailyDraw::of(&load, &idle, &ratio(0.92));
        let days = DaysOfAutonomy::of(&usable, &draw);
        let amps = Traced::stated(Current::from_si(50.0), "battery.charge");
        let limit = LimitPower::of(&BankCurrent::of(&count(6), &amps), &BankVoltage::of(&count(1), &volts));
        // 6 · 50 A · 51.2 V = 15 360 W.
        assert!((limit.si() - 15_360.0).abs() < 1e-9);
        for (value, origin) in [
            (capacity.si(), &capacity.origin),
            (usable.si(), &usable.origin),
            (draw.si(), &draw.origin),
            (days.si(), &days.origin),
            (limit.si(), &limit.origin),
        ] {
            let Origin::Computed(working) = origin else { panic!("no working") };
            assert!((working.recompute().unwrap() / value - 1.0).abs() < 1e-12);
        }
    }
}
