//! Batteries, inverters, loads and the worksheet of the worst month.

use conversion::{CALIFORNIAN, EUROPEAN, hours_to_charge};
use energy::{WorksheetInput, worksheet};
use loads::space::degree_day_heat;
use loads::vehicle::charge_per_day;
use loads::water::yearly_by_factor;
use loads::{Leg, Running, leg_watts, neutral_current, pump_hours, pump_power, smallest_move};
use quantity::Measure;
use storage::{
    Kinetic, Wells, bank_capacity, calendar_loss, calendar_resistance, cycle_loss, daily_draw,
    days_of_autonomy, heat_of_a_day, holding_heat, rise, usable_energy, warming_energy,
};

use crate::cases::rows;
use crate::record::{Allowed, Digits, Largest, Section, Standing};

pub(crate) fn sections() -> Vec<Section> {
    vec![storage_rows(), house()]
}

fn storage_rows() -> Section {
    let mut section = Section::new(
        "Batteries",
        "Lead-acid: two wells of Manwell & McGowan, Solar Energy 50 (1993) 399–405. Iron phosphate: ageing of Naumann et al., \
         J. Energy Storage 17 (2018) 153–169 and J. Power Sources 451 (2020) 227666, fitted to one small cell.",
    );
    let [mut wells, mut limits, mut capacity]: [Largest; 3] = Default::default();
    for row in rows("kibam_checks.csv") {
        let step = Kinetic { share_at_hand: row.number("c"), rate_per_h: row.number("k_per_h") }
            .step(row.number("dt_h"));
        let before = Wells { at_hand: row.number("q1_start"), bound: row.number("q2_start") };
        let after = step.after(before, row.number("I_A_discharge_positive"));
        wells.see(after.at_hand - row.number("q1_end"));
        wells.see(after.bound - row.number("q2_end"));
        limits.see(step.discharge_limit(before) - row.number("I_max_discharge_over_dt"));
        let full = row.number("qmax_Ah");
        limits.see(step.charge_limit(before, full) + row.number("I_max_charge_over_dt(negative)"));
    }
    for row in rows("kibam_capacity_vs_rate.csv") {
        let kinetic = Kinetic { share_at_hand: row.number("c"), rate_per_h: row.number("k_per_h") };
        let hours = row.number("discharge_time_h");
        capacity.see(kinetic.capacity_within(row.number("qmax_Ah"), hours) - row.number("capacity_Ah"));
    }
    let integrated = "direct integration of the two-well equations, apart from this program (`cases/solar/kibam_checks.csv`)";
    let print = "six printed decimals, to which the integration itself agrees";
    section.row(
        "Charge of both wells after a step",
        integrated,
        &wells,
        "Ah",
        Allowed(1.5e-6, print),
        Standing::Derived,
    );
    section.row(
        "Highest current into and out of them",
        integrated,
        &limits,
        "A",
        Allowed(1.5e-6, print),
        Standing::Derived,
    );
    section.row(
        "Capacity against discharge time",
        "the same equations (`cases/solar/kibam_capacity_vs_rate.csv`)",
        &capacity,
        "Ah",
        Allowed(1e-5, "five printed decimals"),
        Standing::Derived,
    );
    let [mut calendar, mut cycles, mut resistance]: [Largest; 3] = Default::default();
    for row in rows("lfp_ageing_checks.csv") {
        let of = |name: &str| row.input("inputs", name);
        let seconds = || of("years365.25") * 365.25 * 86_400.0;
        let wanted = row.number("value");
        match row.text("quantity") {
            "naumann2018_calendar_capacity_loss_fraction" => {
                calendar.see(calendar_loss(of("T_C"), of("SOC"), seconds()) - wanted);
            }
            "naumann2018_calendar_resistance_increase_fraction" => {
                resistance.see(calendar_resistance(of("T_C"), of("SOC"), seconds()) - wanted);
            }
            name if name.starts_with("naumann") => {
                cycles.see(cycle_loss(of("DOD"), of("C_rate"), of("FEC")) - wanted);
            }
            // A second model in the table that the program does not use.
            _ => {}
        }
    }
    let half = "half a unit of six printed decimals, and a tenth";
    let table =
        "the published equation, evaluated apart from this program (`cases/solar/lfp_ageing_checks.csv`)";
    section.row(
        "Capacity lost by the calendar, share",
        table,
        &calendar,
        "",
        Allowed(6e-7, half),
        Standing::Derived,
    );
    section.row(
        "Resistance gained by the calendar, share",
        table,
        &resistance,
        "",
        Allowed(6e-7, half),
        Standing::Derived,
    );
    section.row("Capacity lost by cycles, share", table, &cycles, "", Allowed(6e-7, half), Standing::Derived);

    let draw = daily_draw(6000.0, 40.0, 0.92);
    let days = |volts: f64, charge: f64, share: f64| {
        days_of_autonomy(usable_energy(bank_capacity(1.0, 1.0, volts, charge), share, 0.0), draw)
    };
    let kwh = |volts: f64, charge: f64| bank_capacity(1.0, 1.0, volts, charge) / 1000.0;
    section.example(
        "Story: 200 Ah that outlast 600 Ah",
        "worked by hand: 51.2 V · 200 Ah, 12.8 V · 600 Ah, 12 V · 600 Ah; usable shares common practice",
        &Digits::new()
            .is(kwh(51.2, 200.0), "10.24")
            .is(kwh(12.8, 600.0), "7.68")
            .is(kwh(12.0, 600.0), "7.2")
            .is(draw / 1000.0, "7.57")
            .is(days(51.2, 200.0, 0.8), "1.08")
            .is(days(12.8, 600.0, 0.8), "0.81")
            .is(days(12.0, 600.0, 0.5), "0.48")
            .says("a third more energy", (kwh(51.2, 200.0) / kwh(12.8, 600.0) * 100.0).round() == 133.0),
        Standing::Derived,
    );
    section.example(
        "Story: the barn at minus fifteen",
        "steady conduction and 1 kJ/(kg·K), worked by hand: 5.0 m² and 2.5 m²·K/W held 20 K above −15 °C; 270 kg warmed from −10 to 5 °C",
        &Digits::new()
            .is(holding_heat(5.0, rise(5.0, -15.0), 2.5), "40")
            .is(heat_of_a_day(holding_heat(5.0, 20.0, 2.5)) / 1000.0, "0.96")
            .is(warming_energy(6.0 * 45.0, rise(5.0, -10.0)) / 1000.0, "1.13"),
        Standing::Derived,
    );
    section.example(
        "Story: a small house in Britain, battery in the roof",
        "PAS 63100:2024 (summaries); 3 · 5.12 kWh; 3680 W and 5 kW at 230 V against the 16 A of G98 (from memory)",
        &Digits::new()
            .is(3.0 * bank_capacity(1.0, 1.0, 51.2, 100.0) / 1000.0, "15.36")
            .is(wiring::inverter_output_current(3680.0, 230.0), "16.0")
            .is(wiring::inverter_output_current(5000.0, 230.0), "21.7")
            .says("not in the loft", storage::PlaceKind::RoofSpace.never_in_britain())
            .says("in the garage", !storage::PlaceKind::AttachedGarage.never_in_britain())
            .says("on a wall not 0.6 m from a door", storage::least_distance_britain().value.si() > 0.6),
        Standing::SecondHand,
    );
    // 100 Ah at 96 % and 50 Ah at 90 % round trip with limits of 100 A and 50 A.
    let shares =
        storage::first_and_lasting(&[storage::ease(100.0, 0.96), storage::ease(50.0, 0.9)], &[100.0, 50.0]);
    let most = shares.iter().map(|[first, lasting]| first.max(*lasting));
    let limit = storage::bus_limit([100.0, 50.0].into_iter().zip(most));
    section.example(
        "A worn bank beside a good one on one bus: what the good one carries at first and after an hour, and what the bus may carry",
        "Kirchhoff's laws for two branches of a voltage that rises with charge, integrated apart from this program",
        &Digits::new().is(shares[0][0], "0.83552").is(shares[0][1], "0.66667").is(limit, "119.69"),
        Standing::Derived,
    );
    let needed = usable_energy(bank_capacity(1.0, 1.0, 24.0, 2721.0), 0.8, 0.0);
    section.example(
        "A stand-alone worksheet: 7463 Wh a day, 24 V, 7 days, 80 %",
        "layout of the Stand-Alone Photovoltaic Systems handbook, Sandia SAND87-7023",
        &Digits::new()
            .is(days_of_autonomy(needed, 7463.0), "7.00")
            .is(bank_capacity(6.0, 1.0, 24.0, 478.0) / 1000.0, "68.8"),
        Standing::SecondHand,
    );
    section
}

fn house() -> Section {
    let mut section =
        Section::new("Inverters, loads and the worst month", "Weights, stories and a worksheet.");
    let mut weights = Largest::default();
    for row in rows("inverter_weights.csv") {
        let list: &[(f64, f64)] = if row.text("scheme") == "european" { &EUROPEAN } else { &CALIFORNIAN };
        let share = row.number("load_fraction");
        let found = list.iter().find(|(at, _)| *at == share).map_or(f64::INFINITY, |(_, weight)| *weight);
        weights.see(found - row.number("weight"));
    }
    section.row(
        "Weights of the European and Californian efficiency",
        "EN 50530:2010, annex D",
        &weights,
        "",
        Allowed(0.0, "the same numbers"),
        Standing::SecondHand,
    );
    let a = |watts| Running { watts, leg: Leg::A };
    let kitchen = [
        a(1500.0),
        a(1200.0),
        a(1500.0),
        a(200.0),
        a(150.0),
        a(150.0),
        Running { watts: 600.0, leg: Leg::B },
        Running { watts: 1000.0, leg: Leg::Both },
    ];
    let legs = leg_watts(&kitchen);
    let moved = smallest_move(&kitchen, 4000.0).expect("one move helps");
    section.example(
        "Story: the 8 kW inverter that trips at 6.3 kW",
        "definition of split phase, worked by hand",
        &Digits::new()
            .is(legs[0], "5200")
            .is(legs[1], "1100")
            .is(neutral_current(legs[0], legs[1], 120.0), "34.2")
            .is(moved.legs_w[0], "3700")
            .is(moved.legs_w[1], "2600")
            .is(neutral_current(moved.legs_w[0], moved.legs_w[1], 120.0), "9.2")
            .says(
                "leg above its 4 kW though the total is below 8 kW",
                legs[0] > 4000.0 && legs[0] + legs[1] < 8000.0,
            )
            .says("the kettle is the smallest move", moved.index == 2),
        Standing::Derived,
    );
    section.example(
        "A water heater's yearly label, a winter of degree days",
        "10 CFR 430, subpart B, appendix E (1998): 12.03 kWh of heat a day at energy factor 0.90; ASHRAE Handbook Fundamentals \
         (2009), chapter 19: 200 W/K over 365 days 15 K below the set point",
        &Digits::new()
            .is(yearly_by_factor(12_030.0, 0.90) / 1000.0, "4879")
            .is(degree_day_heat(200.0, 15.0 * 365.0) / 1e6, "26.28"),
        Standing::Remembered,
    );
    section.example(
        "A pump's power and minutes, a day of driving",
        "worked by hand: 19 L/min lifted 60 m at 45 %; 50 km at 180 Wh/km through 90 %",
        &Digits::new()
            .is(pump_power(19.0, 60.0, 0.45), "414.1")
            .is(pump_hours(600.0, 19.0) * 60.0, "31.58")
            .is(charge_per_day(50.0, 180.0, 0.9) / 1000.0, "10.0"),
        Standing::Derived,
    );
    // June and December are the story's; the months between are invented and not compared.
    let sheet = worksheet(&WorksheetInput {
        load_wh_per_day: [9000.0; 12],
        idle_w: 60.0,
        sun_kwh_per_m2_day: [3.0, 3.6, 4.4, 5.0, 5.6, 6.0, 5.9, 5.5, 4.7, 3.7, 2.7, 2.1],
        factor: [0.72; 12],
        array_w: 3600.0,
        inverter_efficiency: 0.92,
        charger_w: 4000.0,
    });
    let (june, december) = (&sheet.months[5], &sheet.months[11]);
    section.example(
        "Story: sized by July",
        "worst month of IEEE 1562 (2007), worked by hand; overall factor common practice",
        &Digits::new()
            .is(december.need_wh / 1000.0, "10.44")
            .is(december.made_wh / 1000.0, "5.44")
            .is(-december.surplus_wh / 1000.0, "5.00")
            .is(december.covered, "0.52")
            .is(sheet.array_needed_w / 1000.0, "6.90")
            .is(sheet.array_without_idle_w / 1000.0, "5.95")
            .is(hours_to_charge(5430.0, 4000.0), "1.36")
            .is(december.generator_h, "42")
            .is(december.generator_dc_wh / 1000.0, "168")
            .is(june.made_wh / 1000.0, "15.55")
            .is(june.surplus_wh / 1000.0, "5.11")
            .is(sheet.idle_share, "0.14")
            .says("December is the design month", sheet.design_month == 11),
        Standing::Derived,
    );
    section
}
