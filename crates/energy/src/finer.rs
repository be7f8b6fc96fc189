//! The balance at steps shorter than an hour: the same kernel with its unit of time changed.
//!
//! The kernel moves the energy of one step, so in steps of an hour watts and watt-hours are one number. For a step of a
//! quarter of an hour every quantity that has time in it is told per step instead of per hour, power as watt-hours a step
//! among them: nothing else changes, and in steps of an hour not a bit does.

use crate::{
    Bank, Chemistry, ControllerHour, Coupled, CoupledHour, Fleet, Flows, Generator, Given, Hour, House,
    Inputs, Problem, Room, State, System, Thermal, Transfer,
};
use conversion::LossCurve;
use storage::{Kinetic, ThermalNode};

/// A house that lives in steps of a part of an hour.
#[derive(Clone, Copy, Debug)]
pub struct FinerHouse {
    house: House,
    steps_per_hour: u32,
}

/// What many steps brought.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct FinerSums {
    /// Energies, Wh; hours in hours.
    pub flows: Flows,
    /// Steps lived.
    pub steps: usize,
    /// How often the backup took over.
    pub starts: u32,
    /// Highest mean output of a step, W, and its number from 0.
    pub peak_output_w: (f64, usize),
    /// Highest mean power out of the bank at the bus, W.
    pub peak_discharge_w: f64,
    /// Highest mean power into the bank at the bus, W.
    pub peak_charge_w: f64,
    /// Hours in which the loads asked more than the inverters give, so that some were missing.
    pub over_output_h: f64,
    /// Lowest state of charge at the end of a step.
    pub lowest_state_of_charge: f64,
    /// Largest closing error of a step, Wh.
    pub closing_error_wh: f64,
}

impl FinerHouse {
    /// Checks and prepares; `steps_per_hour` from 1 (hours) to 60 (minutes).
    ///
    /// # Errors
    /// [`Problem`] of [`Inputs::check`], or of a number of steps outside 1 to 60.
    pub fn of(inputs: &Inputs, steps_per_hour: u32) -> Result<FinerHouse, Problem> {
        if !(1..=60).contains(&steps_per_hour) {
            let found = f64::from(steps_per_hour);
            return Err(Problem::Range { what: "steps of an hour", found, low: 1.0, high: 60.0 });
        }
        inputs.check()?;
        let house = House::of(&told_per_step(inputs, 1.0 / f64::from(steps_per_hour)))?;
        Ok(FinerHouse { house, steps_per_hour })
    }

    /// Lives one step: `given` in watts and degrees as ever. The sums are added to.
    pub fn live(&self, state: &mut State, given: &Given, sums: &mut FinerSums) {
        let step_h = 1.0 / f64::from(self.steps_per_hour);
        let per_step = Given {
            pv_dc_w: given.pv_dc_w * step_h,
            pv_cable_loss_w: given.pv_cable_loss_w * step_h,
            by_controller: ControllerHour {
                dc_w: given.by_controller.dc_w * step_h,
                bus_w: given.by_controller.bus_w * step_h,
                cable_loss_w: given.by_controller.cable_loss_w * step_h,
            },
            coupled: CoupledHour {
                dc_w: given.coupled.dc_w * step_h,
                cable_loss_w: given.coupled.cable_loss_w * step_h,
            },
            load_w: given.load_w.map(|watts| watts * step_h),
            first_leg_w: given.first_leg_w.map(|watts| watts * step_h),
            ..*given
        };
        let mut step = Hour::default();
        self.house.live(state, &per_step, &mut step);
        sums.add(&step, step_h);
    }

    /// A state of the hourly house as this one counts its waits: in steps.
    pub fn from_hourly(&self, state: State) -> State {
        State { supply: state.supply.waits_times(f64::from(self.steps_per_hour)), ..state }
    }
}

impl FinerSums {
    fn add(&mut self, step: &Hour, step_h: f64) {
        if self.steps == 0 {
            self.lowest_state_of_charge = f64::INFINITY;
        }
        let mut flows = step.flows;
        flows.backup_h *= step_h;
        flows.dark_h *= step_h;
        self.flows += &flows;
        self.starts += u32::from(step.started);
        if step.output_w / step_h > self.peak_output_w.0 {
            self.peak_output_w = (step.output_w / step_h, self.steps);
        }
        self.peak_discharge_w = self.peak_discharge_w.max(step.discharge_w / step_h);
        self.peak_charge_w = self.peak_charge_w.max(step.charge_w / step_h);
        let over = step.leg_share > 1.0
            || (step.output_w >= step.output_limit_w && step.flows.missing_total_wh() > 0.0);
        if over {
            self.over_output_h += step_h;
        }
        self.lowest_state_of_charge = self.lowest_state_of_charge.min(step.state_of_charge);
        self.closing_error_wh = self.closing_error_wh.max(step.closing_error_wh.abs());
        self.steps += 1;
    }
}

/// The inputs with a step of `step_h` hours as the unit of time.
fn told_per_step(inputs: &Inputs, step_h: f64) -> Inputs {
    Inputs {
        fleet: fleet(&inputs.fleet, step_h),
        bank: bank(&inputs.bank, step_h),
        room: inputs.room.map(|room| Room { node: node(room.node, step_h), ..room }),
        system: system(inputs.system, step_h),
        ..*inputs
    }
}

fn fleet(fleet: &Fleet, step_h: f64) -> Fleet {
    let curve = |curve: LossCurve| curve.per_step(step_h);
    Fleet {
        discharge: curve(fleet.discharge),
        direct: fleet.direct.map(curve),
        output_limit_w: fleet.output_limit_w * step_h,
        leg_limit_w: fleet.leg_limit_w.map(|legs| legs.map(|watts| watts * step_h)),
        pv: curve(fleet.pv),
        charge: curve(fleet.charge),
        charge_limit_w: fleet.charge_limit_w * step_h,
        controller_limit_w: fleet.controller_limit_w * step_h,
        coupled: fleet.coupled.map(|coupled| Coupled {
            curve: curve(coupled.curve),
            output_limit_w: coupled.output_limit_w * step_h,
            charge_w: coupled.charge_w * step_h,
        }),
        ..*fleet
    }
}

fn bank(bank: &Bank, step_h: f64) -> Bank {
    let kept = 1.0 - bank.self_discharge_per_h;
    Bank {
        charge_w: bank.charge_w * step_h,
        discharge_w: bank.discharge_w * step_h,
        standby_w: bank.standby_w * step_h,
        self_discharge_per_h: if step_h == 1.0 {
            bank.self_discharge_per_h
        } else {
            1.0 - libm::pow(kept, step_h)
        },
        link_loss_per_w: bank.link_loss_per_w / step_h,
        thermal: bank.thermal.map(|thermal| Thermal {
            node: node(thermal.node, step_h),
            heater_w: thermal.heater_w * step_h,
            ..thermal
        }),
        chemistry: match bank.chemistry {
            Chemistry::Linear => Chemistry::Linear,
            Chemistry::Kinetic(kinetic) => {
                Chemistry::Kinetic(Kinetic { rate_per_h: kinetic.rate_per_h * step_h, ..kinetic })
            }
        },
        ..*bank
    }
}

fn node(node: ThermalNode, step_h: f64) -> ThermalNode {
    ThermalNode { conductance_w_per_k: node.conductance_w_per_k * step_h, ..node }
}

fn system(system: System, step_h: f64) -> System {
    let transfer = |transfer: Transfer| Transfer {
        acts_within_h: transfer.acts_within_h / step_h,
        charge_w: transfer.charge_w * step_h,
        limit_w: transfer.limit_w * step_h,
        ..transfer
    };
    match system {
        System::StandAlone { generator } => System::StandAlone {
            generator: generator.map(|generator| Generator {
                output_w: generator.output_w * step_h,
                charge_w: generator.charge_w * step_h,
                shortest_run_h: generator.shortest_run_h / step_h,
                acts_within_h: generator.acts_within_h / step_h,
                ..generator
            }),
        },
        System::BackupByTransfer(stated) => System::BackupByTransfer(transfer(stated)),
        System::BackupThroughInput(stated) => System::BackupThroughInput(transfer(stated)),
        System::Interactive { export_limit_w, charge_w, charge_to } => System::Interactive {
            export_limit_w: export_limit_w * step_h,
            charge_w: charge_w * step_h,
            charge_to,
        },
    }
}
