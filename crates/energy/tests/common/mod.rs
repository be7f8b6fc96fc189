//! Houses and years for the tests: a plain house of round numbers, and reproducible random ones.
#![allow(dead_code)]

pub(crate) mod day;

use conversion::LossCurve;
use energy::{
    Bank, Chemistry, ControllerYear, Coupled, CoupledYear, Derate, Fleet, Generator, HOURS, Inputs, RATES,
    Rate, Room, Shed, System, Thermal, Transfer, YearInput,
};
use storage::{Kinetic, ThermalNode};

/// Round numbers for calculations by hand: idle 100 W, 1.25 W of bus power per watt of output, 0.8 everywhere else.
pub(crate) fn plain(system: System) -> Inputs {
    Inputs {
        fleet: Fleet {
            discharge: LossCurve::quadratic(100.0, 0.25, 0.0),
            direct: None,
            output_limit_w: 1500.0,
            leg_limit_w: None,
            derate: None,
            pv: LossCurve::of_efficiency(0.8),
            charge: LossCurve::of_efficiency(0.8),
            charge_limit_w: 3000.0,
            controller_limit_w: 0.0,
            coupled: None,
        },
        bank: Bank {
            capacity_wh: 10_000.0,
            usable_low: 0.2,
            usable_high: 1.0,
            charge_w: 3000.0,
            discharge_w: 4000.0,
            charge_efficiency: 0.8,
            discharge_efficiency: 0.8,
            taper_from: 1.0,
            taper_share: 1.0,
            standby_w: 0.0,
            self_discharge_per_h: 0.0,
            link_loss_per_w: 0.0,
            charge_above_c: None,
            full_charge_from_c: None,
            thermal: None,
            chemistry: Chemistry::Linear,
        },
        room: None,
        system,
        held_back: 0.0,
        shed_below: Shed::default(),
        rates: [Rate::default(); RATES],
    }
}

/// SplitMix64 (Steele, Lea & Flood 2014): small, and the same on every machine.
pub(crate) struct Draws(pub(crate) u64);

impl Draws {
    pub(crate) fn unit(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
    }

    pub(crate) fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }

    pub(crate) fn chance(&mut self, of: f64) -> bool {
        self.unit() < of
    }
}

/// The slices of a year, owned.
pub(crate) struct Year {
    pub(crate) pv: Vec<f64>,
    pub(crate) cable: Vec<f64>,
    pub(crate) load: [Vec<f64>; 3],
    /// The part of the loads on the first leg.
    pub(crate) first_leg: [Vec<f64>; 3],
    pub(crate) air: Vec<f64>,
    pub(crate) rate: Vec<u8>,
    /// Offered at charge controllers and arriving from them, offered at array inverters; part of the sun above.
    pub(crate) controller: [Vec<f64>; 2],
    pub(crate) coupled: Vec<f64>,
}

impl Year {
    pub(crate) fn input(&self) -> YearInput<'_> {
        YearInput {
            pv_dc_w: &self.pv,
            pv_cable_loss_w: &self.cable,
            by_controller: ControllerYear {
                dc_w: &self.controller[0],
                bus_w: &self.controller[1],
                cable_loss_w: &[],
            },
            coupled: CoupledYear {
                dc_w: &self.coupled,
                cable_loss_w: if self.coupled.is_empty() { &[] } else { &self.cable },
            },
            load_w: [&self.load[0], &self.load[1], &self.load[2]],
            first_leg_w: Some([&self.first_leg[0], &self.first_leg[1], &self.first_leg[2]]),
            air_c: &self.air,
            rate: &self.rate,
        }
    }

    /// Cloudy and bright days in a season, loads with mornings and evenings, cells from −12 to 32 °C.
    pub(crate) fn random(draws: &mut Draws) -> Year {
        let array_w = draws.between(0.0, 9000.0);
        let mut clear = 0.5;
        let mut year = Year {
            pv: vec![],
            cable: vec![],
            load: [vec![], vec![], vec![]],
            first_leg: [vec![], vec![], vec![]],
            air: vec![],
            rate: vec![],
            controller: [vec![], vec![]],
            coupled: vec![],
        };
        let (by_controller, coupled) = (draws.between(0.0, 0.6), draws.between(0.0, 0.6));
        for hour in 0..HOURS {
            let (day, of_day) = (hour / 24, hour % 24);
            if of_day == 0 {
                clear = 0.3 * clear + 0.7 * draws.unit();
            }
            let season = 0.5 - 0.5 * (std::f64::consts::TAU * (day as f64 + 10.0) / 365.0).cos();
            let half_day = 4.0 + 3.5 * season;
            let from_noon = (of_day as f64 - 11.5).abs();
            let sun = if from_noon < half_day { 1.0 - (from_noon / half_day).powi(2) } else { 0.0 };
            let pv = array_w * sun * clear;
            year.pv.push(pv);
            year.cable.push(3e-6 * pv * pv);
            year.controller[0].push(pv * by_controller);
            year.controller[1].push(0.96 * pv * by_controller);
            year.coupled.push(pv * coupled);
            let evening = if (17..22).contains(&of_day) { 2.0 } else { 0.6 };
            year.load[0].push(draws.between(100.0, 500.0));
            year.load[1].push(draws.between(0.0, 600.0) * evening);
            year.load[2].push(if draws.chance(0.1) { draws.between(0.0, 4000.0) } else { 0.0 });
            year.air.push(-12.0 + 44.0 * season * draws.between(0.6, 1.0));
            for tier in 0..3 {
                let share = draws.unit();
                year.first_leg[tier].push(year.load[tier][hour] * share);
            }
            year.rate.push(if (2..5).contains(&of_day) {
                1
            } else {
                u8::from((17..21).contains(&of_day)) * 2
            });
        }
        year
    }
}

fn random_node(draws: &mut Draws) -> ThermalNode {
    ThermalNode {
        capacity_wh_per_k: draws.between(1.0, 500.0),
        conductance_w_per_k: draws.between(0.5, 60.0),
    }
}

pub(crate) fn random_system(draws: &mut Draws) -> System {
    let start_below = draws.between(0.05, 0.5);
    let stop_above = draws.between(start_below + 0.01, 1.0);
    let transfer = Transfer {
        acts_within_h: if draws.chance(0.5) { draws.between(0.0, 5.0) } else { 0.0 },
        start_below,
        stop_above,
        charge_w: if draws.chance(0.5) { draws.between(0.0, 5000.0) } else { 0.0 },
        limit_w: if draws.chance(0.7) { f64::INFINITY } else { draws.between(500.0, 6000.0) },
    };
    match (draws.unit() * 5.0) as u8 {
        0 => System::StandAlone { generator: None },
        1 => System::StandAlone {
            generator: Some(Generator {
                output_w: draws.between(500.0, 6000.0),
                charge_w: draws.between(0.0, 5000.0),
                start_below,
                stop_above,
                shortest_run_h: draws.between(0.0, 5.0),
                acts_within_h: transfer.acts_within_h,
                fuel_per_kwh: 0.4,
            }),
        },
        2 => System::BackupByTransfer(transfer),
        3 => System::BackupThroughInput(transfer),
        _ => System::Interactive {
            export_limit_w: draws.between(0.0, 6000.0),
            charge_w: if draws.chance(0.5) { draws.between(0.0, 5000.0) } else { 0.0 },
            charge_to: draws.between(0.3, 1.0),
        },
    }
}

/// A curve with an idle draw, a loss per watt and one per watt squared up to these; half of them bend, half set in.
fn random_curve(draws: &mut Draws, idle_w: f64, linear: f64, square_per_w: f64) -> LossCurve {
    let curve = LossCurve::quadratic(
        draws.between(0.0, idle_w),
        draws.between(0.0, linear),
        if draws.chance(0.5) { draws.between(0.0, square_per_w) } else { 0.0 },
    );
    let (onset, onset_to_w) =
        if draws.chance(0.5) { (draws.between(0.0, 0.1), draws.between(50.0, 1500.0)) } else { (0.0, 0.0) };
    LossCurve { onset, onset_to_w, ..curve }
}

pub(crate) fn random_inputs(draws: &mut Draws) -> Inputs {
    let usable_low = draws.between(0.0, 0.5);
    let output_limit_w = draws.between(500.0, 12_000.0);
    let cell_limit = draws.between(500.0, 12_000.0);
    Inputs {
        fleet: Fleet {
            discharge: random_curve(draws, 150.0, 0.08, 2e-5),
            direct: if draws.chance(0.4) { Some(random_curve(draws, 0.0, 0.06, 1e-5)) } else { None },
            output_limit_w,
            leg_limit_w: if draws.chance(0.3) { Some([output_limit_w / 2.0; 2]) } else { None },
            derate: if draws.chance(0.3) { Some(Derate { above_c: 15.0, per_kelvin: 0.02 }) } else { None },
            pv: random_curve(draws, 0.0, 0.17, 1e-5),
            charge: random_curve(draws, 0.0, 0.17, 1e-5),
            charge_limit_w: draws.between(500.0, 12_000.0),
            controller_limit_w: if draws.chance(0.3) { draws.between(200.0, 5000.0) } else { 0.0 },
            coupled: if draws.chance(0.3) {
                Some(Coupled {
                    curve: random_curve(draws, 20.0, 0.05, 1e-5),
                    output_limit_w: draws.between(500.0, 8000.0),
                    charge_w: draws.between(0.0, 6000.0),
                })
            } else {
                None
            },
        },
        bank: Bank {
            capacity_wh: if draws.chance(0.05) { 0.0 } else { draws.between(500.0, 60_000.0) },
            usable_low,
            usable_high: draws.between(usable_low + 0.05, 1.0),
            charge_w: cell_limit,
            discharge_w: draws.between(500.0, 12_000.0),
            charge_efficiency: draws.between(0.85, 1.0),
            discharge_efficiency: draws.between(0.85, 1.0),
            taper_from: draws.between(0.6, 1.1),
            taper_share: draws.between(0.0, 1.0),
            standby_w: draws.between(0.0, 30.0),
            self_discharge_per_h: storage::hourly_self_discharge(draws.between(0.0, 0.1)),
            link_loss_per_w: if draws.chance(0.5) { draws.between(0.0, 5e-6) } else { 0.0 },
            charge_above_c: if draws.chance(0.5) { Some(0.0) } else { None },
            full_charge_from_c: if draws.chance(0.5) { Some(10.0) } else { None },
            thermal: if draws.chance(0.5) {
                Some(Thermal {
                    node: random_node(draws),
                    heater_w: if draws.chance(0.5) { draws.between(0.0, 300.0) } else { 0.0 },
                    heater_holds_c: 5.0,
                })
            } else {
                None
            },
            chemistry: if draws.chance(0.4) {
                Chemistry::Kinetic(Kinetic {
                    share_at_hand: draws.between(0.2, 0.7),
                    rate_per_h: draws.between(0.05, 2.0),
                })
            } else {
                Chemistry::Linear
            },
        },
        room: if draws.chance(0.4) {
            Some(Room {
                node: random_node(draws),
                held_c: if draws.chance(0.5) { Some([5.0, 30.0]) } else { None },
            })
        } else {
            None
        },
        system: random_system(draws),
        held_back: if draws.chance(0.3) { draws.between(0.0, 0.5) } else { 0.0 },
        shed_below: if draws.chance(0.3) {
            Shed { want: 0.3, luxury: 0.5, comes_back_above: 0.1 }
        } else {
            Shed::default()
        },
        rates: std::array::from_fn(|_| Rate { charges: draws.chance(0.7), discharges: draws.chance(0.7) }),
    }
}
