//! One hour of the house: what it is told, what happens, and what it leaves to the next.

use crate::backup::{Backup, Plan};
use crate::bounds::Bounds;
use crate::cells::Cells;
use crate::{Flows, Inputs, Problem, Supply, System, YearInput};
use conversion::LossCurve;
use storage::{ThermalPair, ThermalStep, Wells};

/// What an hour leaves to the next.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct State {
    /// Stored energy, Wh; a linear bank keeps all of it at hand.
    pub wells: Wells,
    /// On its own or on the backup.
    pub supply: Supply,
    /// Whether wanted and luxury loads are given up.
    pub given_up: [bool; 2],
    /// Cells of the bank, °C; without a thermal node they are as warm as the air.
    pub cell_c: f64,
    /// Air of the room, °C, where it is computed.
    pub room_c: f64,
}

/// What the sky, the household and the room bring in one hour.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Given {
    /// Offered at the module inputs, W.
    pub pv_dc_w: f64,
    /// Lost in array cables if all of it is taken, W.
    pub pv_cable_loss_w: f64,
    /// Modules behind charge controllers.
    pub by_controller: ControllerHour,
    /// Modules behind array inverters on the AC side.
    pub coupled: CoupledHour,
    /// Must, want, luxury, W.
    pub load_w: [f64; 3],
    /// The part of each on the first of two legs, W; used only where the legs have limits of their own.
    pub first_leg_w: [f64; 3],
    /// Air around the bank, or outside the room where the room is computed, °C.
    pub air_c: f64,
    /// Position of the rate that holds.
    pub rate: u8,
}

/// An hour of [`crate::ControllerYear`], W.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct ControllerHour {
    /// Offered at the controllers' inputs.
    pub dc_w: f64,
    /// The same as it arrives at the bus.
    pub bus_w: f64,
    /// Lost in the cables to them if all of it is taken.
    pub cable_loss_w: f64,
}

/// An hour of [`crate::CoupledYear`], W.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct CoupledHour {
    /// Offered at the inputs of the array inverters.
    pub dc_w: f64,
    /// Lost in the cables to them if all of it is taken.
    pub cable_loss_w: f64,
}

impl Given {
    /// Hour `hour` (below 8760) of a checked year.
    pub fn at(year: &YearInput, hour: usize) -> Given {
        // An empty slice stands for nothing.
        let at = |slice: &[f64]| slice.get(hour).copied().unwrap_or(0.0);
        Given {
            pv_dc_w: year.pv_dc_w[hour],
            pv_cable_loss_w: at(year.pv_cable_loss_w),
            by_controller: ControllerHour {
                dc_w: at(year.by_controller.dc_w),
                bus_w: at(year.by_controller.bus_w),
                cable_loss_w: at(year.by_controller.cable_loss_w),
            },
            coupled: CoupledHour { dc_w: at(year.coupled.dc_w), cable_loss_w: at(year.coupled.cable_loss_w) },
            load_w: year.load_w.map(|load| load[hour]),
            first_leg_w: year.first_leg_w.map_or([0.0; 3], |legs| legs.map(|load| load[hour])),
            // An empty slice is accepted only where nothing depends on it.
            air_c: year.air_c.get(hour).copied().unwrap_or(25.0),
            rate: year.rate.get(hour).copied().unwrap_or(0),
        }
    }
}

/// What happened in one hour.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Hour {
    /// Energies and hours.
    pub flows: Flows,
    /// State of charge at its end.
    pub state_of_charge: f64,
    /// 0 on its own, 1 on utility or generator for any part of it, 2 a must-load is missing.
    pub mode: u8,
    /// The backup took over in this hour.
    pub started: bool,
    /// Fuel burnt, litres.
    pub fuel_l: f64,
    /// Taken from the modules at all inputs, those of units beside the bank included, W.
    pub taken_dc_w: f64,
    /// AC output of the inverters, export included, W.
    pub output_w: f64,
    /// Its limit then, at the air temperature of the room, W.
    pub output_limit_w: f64,
    /// Asked of the inverters on each of two legs, W; 0 where legs have no limits of their own.
    pub leg_w: [f64; 2],
    /// The fuller of two legs over its limit; 0 where legs have none of their own.
    pub leg_share: f64,
    /// Charging power at the bus, W.
    pub charge_w: f64,
    /// Its limit then, taper included; infinite in an hour in which nothing was to be charged.
    pub charge_limit_w: f64,
    /// Discharging power at the bus, W.
    pub discharge_w: f64,
    /// Its limit.
    pub discharge_limit_w: f64,
    /// Cells of the bank at its end, °C.
    pub cell_c: f64,
    /// Air of the room at its end, °C.
    pub room_c: f64,
    /// Charging was blocked or held down by cold while the sun offered a surplus.
    pub blocked_by_cold: bool,
    /// Nothing usable is left at its end.
    pub empty: bool,
    /// Nothing more fits in at its end.
    pub full: bool,
    /// Came in less accounted for, Wh: rounding only.
    pub closing_error_wh: f64,
}

/// A must-load counts as missing above this, Wh: rounding of an exactly served hour stays below.
pub const DARK_ABOVE_WH: f64 = 1e-6;

/// A checked house, ready to live hour by hour.
#[derive(Clone, Copy, Debug)]
pub struct House {
    pub(crate) inputs: Inputs,
    pub(crate) cells: Cells,
    pub(crate) backup: Option<Backup>,
    pub(crate) interactive: bool,
    /// Whether loads are ever given up in good time: never while joined to the utility.
    sheds: bool,
    /// Modules to bus.
    pub(crate) pv: LossCurve,
    /// AC to bus.
    pub(crate) charger: LossCurve,
    pub(crate) cabinet: Option<ThermalStep>,
    room: Option<ThermalStep>,
    /// Both, where both are computed.
    cabinet_in_room: Option<ThermalPair>,
}

/// Air in which a state at rest stands until an hour tells better, °C.
const AT_REST_C: f64 = 20.0;

impl House {
    /// Checks and prepares.
    ///
    /// # Errors
    /// [`Problem`] of [`Inputs::check`].
    pub fn of(inputs: &Inputs) -> Result<House, Problem> {
        inputs.check()?;
        let interactive = matches!(inputs.system, System::Interactive { .. });
        Ok(House {
            inputs: *inputs,
            cells: Cells::of(inputs.bank),
            backup: Backup::of(inputs),
            interactive,
            sheds: !interactive && (inputs.shed_below.want > 0.0 || inputs.shed_below.luxury > 0.0),
            pv: inputs.fleet.pv,
            charger: inputs.fleet.charge,
            cabinet: inputs.bank.thermal.map(|thermal| thermal.node.step(1.0)),
            room: inputs.room.map(|room| room.node.step(1.0)),
            cabinet_in_room: inputs
                .bank
                .thermal
                .zip(inputs.room)
                .map(|(thermal, room)| ThermalPair::of(thermal.node, room.node, 1.0)),
        })
    }

    /// A state at rest on its own supply, with a state of charge between 0 and 1, cells and room at 20 °C.
    pub fn at_rest(&self, state_of_charge: f64) -> State {
        self.at_rest_in(state_of_charge, AT_REST_C)
    }

    /// The same with cells and room as warm as the air given.
    pub fn at_rest_in(&self, state_of_charge: f64, air_c: f64) -> State {
        let stored = state_of_charge.clamp(0.0, 1.0) * self.inputs.bank.capacity_wh;
        let wells = match self.inputs.bank.chemistry {
            crate::Chemistry::Linear => Wells { at_hand: stored, bound: 0.0 },
            crate::Chemistry::Kinetic(kinetic) => kinetic.at_rest(stored),
        };
        State { wells, supply: Supply::Own, given_up: [false; 2], cell_c: air_c, room_c: air_c }
    }

    /// State of charge of a state.
    pub fn state_of_charge(&self, state: &State) -> f64 {
        self.cells.state_of_charge(state.wells)
    }

    /// Lives one hour.
    pub fn hour(&self, state: &State, given: &Given) -> (Hour, State) {
        let mut hour = Hour::default();
        let mut state = *state;
        self.live(&mut state, given, &mut hour);
        (hour, state)
    }

    /// Lives one hour in place, which spares the loops of a year most of the copying.
    pub(crate) fn live(&self, state: &mut State, given: &Given, hour: &mut Hour) {
        if self.room.is_none() {
            state.room_c = given.air_c;
        }
        if self.cabinet.is_none() {
            state.cell_c = state.room_c;
        }
        state.given_up = if self.sheds { self.given_up(state) } else { [false; 2] };
        let heater_w = self.heater_w(state);
        // Copied only where something is added: an hour that was just written is slow to copy.
        let mut heated;
        let given = if heater_w > 0.0 {
            heated = *given;
            heated.load_w[0] += heater_w;
            heated.first_leg_w[0] += heater_w / 2.0;
            &heated
        } else {
            given
        };
        let (wells, supply) = self.dispatched(state, given, hour);
        hour.flows.heater_wh = heater_w;
        self.warm(state, given, hour);
        hour.cell_c = state.cell_c;
        hour.room_c = state.room_c;
        state.wells = wells;
        state.supply = supply;
    }

    /// Who supplies the hour: its own sun and bank, or the backup for a share of it.
    fn dispatched(&self, state: &State, given: &Given, hour: &mut Hour) -> (Wells, Supply) {
        let high = self.inputs.bank.usable_high;
        let Some(backup) = &self.backup else {
            let alone = Plan { share: 0.0, supply: Supply::Own, charge_to: high };
            let (wells, _) = self.supplied(state, given, alone, hour);
            return (wells, Supply::Own);
        };
        let mut plan = backup.plan(state.supply, self.state_of_charge(state), high);
        let (mut wells, lasts) = self.supplied(state, given, plan, hour);
        // Only energy that gives out calls the backup within the hour; a load beyond the inverters' power is shed.
        if plan.supply == Supply::Own && plan.share == 0.0 && lasts < 1.0 {
            plan = backup.called_at(lasts, high);
            if plan.share > 0.0 {
                (wells, _) = self.supplied(state, given, plan, hour);
            }
        }
        hour.started = plan.share > 0.0 && matches!(state.supply, Supply::Own | Supply::Called { .. });
        hour.fuel_l = hour.flows.backup_wh() / 1000.0 * backup.fuel_per_kwh;
        (wells, backup.after(plan, hour.state_of_charge))
    }

    /// Tiers given up in good time: below their threshold, until the bank has recovered well above it.
    fn given_up(&self, state: &State) -> [bool; 2] {
        let shed = &self.inputs.shed_below;
        let charge = self.state_of_charge(state);
        let below = |threshold: f64, given_up: bool| {
            charge < if given_up { threshold + shed.comes_back_above } else { threshold }
        };
        [below(shed.want, state.given_up[0]), below(shed.luxury, state.given_up[1])]
    }

    /// Power the heater of the bank asks for, W.
    fn heater_w(&self, state: &State) -> f64 {
        match (&self.inputs.bank.thermal, &self.cabinet) {
            (Some(thermal), Some(cabinet)) if thermal.heater_w > 0.0 => {
                cabinet.heat_for(thermal.heater_holds_c, state.cell_c, state.room_c).at_most(thermal.heater_w)
            }
            _ => 0.0,
        }
    }

    /// Cells and room after the hour: losses in the cells warm the cells, those of the inverters and the cabinet's warm
    /// the room.
    fn warm(&self, state: &mut State, given: &Given, hour: &Hour) {
        let losses = &hour.flows.losses;
        let in_cells = losses.bank_in_wh + losses.bank_out_wh + losses.standby_wh + losses.self_discharge_wh;
        let wanted = given.load_w[0];
        let served = if wanted > 0.0 { 1.0 - hour.flows.missing_wh[0] / wanted } else { 1.0 };
        let heated = in_cells + hour.flows.heater_wh * served;
        let (Some(room), Some(step)) = (&self.inputs.room, &self.room) else {
            if let Some(cabinet) = &self.cabinet {
                state.cell_c = cabinet.after(state.cell_c, state.room_c, heated);
            }
            return;
        };
        let converted = losses.inverter_wh
            + losses.idle_wh
            + losses.charger_wh
            + losses.pv_conversion_wh
            + losses.link_wh;
        let held = |free: f64| room.held_c.map_or(free, |[low, high]| free.clamp(low, high));
        match (&self.cabinet_in_room, &self.cabinet) {
            (Some(both), Some(cabinet)) => {
                let begun = [state.cell_c, state.room_c];
                let [cell_c, room_c] = both.after(begun, given.air_c, [heated, converted]);
                state.room_c = held(room_c);
                // Around the cells is then what the room is held at.
                state.cell_c = if state.room_c == room_c {
                    cell_c
                } else {
                    cabinet.after(state.cell_c, state.room_c, heated)
                };
            }
            _ => state.room_c = held(step.after(state.room_c, given.air_c, converted + in_cells)),
        }
    }
}
