//! One hour of the house: who supplies whom, what is lost on the way, and where that leaves the bank.
//!
//! Everything meets at the battery's bus. Module power arrives there through its conversion; the inverters take
//! from there what their loss curve asks; the bank takes a surplus and gives a shortage within its limits. Hourly means
//! stand for the whole hour.

use crate::backup::{Backup, Plan};
use crate::cells::Cells;
use crate::{Flows, Inputs, Losses, Problem, Supply, System, YearInput};
use storage::Wells;

/// What an hour leaves to the next.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct State {
    /// Stored energy, Wh; a linear bank keeps all of it at hand.
    pub wells: Wells,
    /// On its own or on the backup.
    pub supply: Supply,
}

/// What the sky, the household and the room bring in one hour.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Given {
    /// Offered at the module inputs, W.
    pub pv_dc_w: f64,
    /// Lost in array cables if all of it is taken, W.
    pub pv_cable_loss_w: f64,
    /// Must, want, luxury, W.
    pub load_w: [f64; 3],
    /// Cells, °C.
    pub cell_c: f64,
}

impl Given {
    /// Hour `hour` (below 8760) of a checked year.
    pub fn at(year: &YearInput, hour: usize) -> Given {
        Given {
            pv_dc_w: year.pv_dc_w[hour],
            pv_cable_loss_w: year.pv_cable_loss_w.get(hour).copied().unwrap_or(0.0),
            load_w: year.load_w.map(|load| load[hour]),
            // An empty slice is accepted only for cells that may be charged at any temperature.
            cell_c: year.cell_c.get(hour).copied().unwrap_or(25.0),
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
    /// AC output of the inverters, export included, W.
    pub output_w: f64,
    /// Charging power at the bus, W.
    pub charge_w: f64,
    /// Its limit then, taper included; infinite in an hour in which nothing was to be charged.
    pub charge_limit_w: f64,
    /// Discharging power at the bus, W.
    pub discharge_w: f64,
    /// Its limit.
    pub discharge_limit_w: f64,
    /// Charging was blocked by cold while the sun offered a surplus.
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
    inputs: Inputs,
    cells: Cells,
    backup: Option<Backup>,
}

impl House {
    /// Checks and prepares.
    ///
    /// # Errors
    /// [`Problem`] of [`Inputs::check`].
    pub fn of(inputs: &Inputs) -> Result<House, Problem> {
        inputs.check()?;
        Ok(House { inputs: *inputs, cells: Cells::of(inputs.bank), backup: Backup::of(inputs) })
    }

    /// A state at rest on its own supply, with a state of charge between 0 and 1.
    pub fn at_rest(&self, state_of_charge: f64) -> State {
        let stored = state_of_charge.clamp(0.0, 1.0) * self.inputs.bank.capacity_wh;
        let wells = match self.inputs.bank.chemistry {
            crate::Chemistry::Linear => Wells { at_hand: stored, bound: 0.0 },
            crate::Chemistry::Kinetic(kinetic) => kinetic.at_rest(stored),
        };
        State { wells, supply: Supply::Own }
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
        let high = self.inputs.bank.usable_high;
        let Some(backup) = &self.backup else {
            let alone = Plan { share: 0.0, supply: Supply::Own, charge_to: high };
            let (wells, _) = self.supply(state, given, alone, hour);
            *state = State { wells, supply: Supply::Own };
            return;
        };
        let mut plan = backup.plan(state.supply, self.state_of_charge(state), high);
        let (mut wells, lasts) = self.supply(state, given, plan, hour);
        // Only energy that gives out calls the backup within the hour; a load beyond the inverters' power is shed.
        if plan.supply == Supply::Own && plan.share == 0.0 && lasts < 1.0 {
            plan = backup.called_at(lasts, high);
            if plan.share > 0.0 {
                (wells, _) = self.supply(state, given, plan, hour);
            }
        }
        hour.started = plan.share > 0.0 && matches!(state.supply, Supply::Own | Supply::Called { .. });
        hour.fuel_l = hour.flows.backup_wh() / 1000.0 * backup.fuel_per_kwh;
        *state = State { wells, supply: backup.after(plan, hour.state_of_charge) };
    }

    /// The energy of an hour whose last `plan.share` is on the backup. Returns what is stored then, and the share of
    /// the own part's demand that energy sufficed for.
    fn supply(&self, state: &State, given: &Given, plan: Plan, hour: &mut Hour) -> (Wells, f64) {
        let Inputs { fleet, system, held_back, shed_below, .. } = &self.inputs;
        let (interactive, export_limit_w) = match system {
            System::Interactive { export_limit_w } => (true, *export_limit_w),
            _ => (false, 0.0),
        };
        let share = plan.share;
        let own = 1.0 - share;
        let curve = &fleet.discharge;
        let start_wh = state.wells.total();
        let start_of_charge = self.cells.state_of_charge(state.wells);
        let floor = if interactive { *held_back } else { 0.0 };
        let rested = self.cells.rest(state.wells);

        // Demand on the own supply: loads given up in good time, then the inverters' power, the most dispensable
        // tier first.
        let mut wanted = given.load_w.map(|watts| watts * own);
        if !interactive {
            if start_of_charge < shed_below.want {
                wanted[1] = 0.0;
            }
            if start_of_charge < shed_below.luxury {
                wanted[2] = 0.0;
            }
        }
        let allowed = in_order(wanted, fleet.output_limit_w * own);
        let target = allowed[0] + allowed[1] + allowed[2];

        // The idle draw is met first: without it nothing comes out. While the inverters are fed from outside, their
        // idle comes from there.
        let through = self.backup.as_ref().is_some_and(|backup| backup.through_input);
        let idle_outside = if through { curve.idle_w * share } else { 0.0 };
        let idle_wanted = curve.idle_w - idle_outside;
        let pv_bus = given.pv_dc_w * fleet.pv_efficiency;
        let demand = idle_wanted + curve.above_idle(target);
        let gives_w = if demand > pv_bus { self.cells.gives_w(rested.wells, floor) } else { 0.0 };
        let available = pv_bus + gives_w;
        let idle_own = idle_wanted.min(available);
        let (output, lasts) = if demand <= available {
            (target, 1.0)
        } else {
            let output = curve.output_for_above_idle(available - idle_own).min(target);
            (output, if target > 0.0 { output / target } else { 1.0 })
        };
        let served_own = in_order(allowed, output);
        let draw = idle_own + curve.above_idle(output);
        let pv_to_draw = pv_bus.min(draw);
        let discharge_w = (draw - pv_to_draw).min(gives_w);

        // A surplus of sun charges, then goes out if the utility takes it.
        let surplus = pv_bus - pv_to_draw;
        let blocked = self.cells.is_blocked(given.cell_c);
        let (charge_limit_w, takes_w) = if surplus > 0.0 || share > 0.0 {
            let limit = self.cells.charge_limit_w(rested.wells, fleet.charge_limit_w);
            (limit, if blocked { 0.0 } else { self.cells.takes_w(rested.wells, limit) })
        } else {
            (f64::INFINITY, 0.0)
        };
        let charge_pv = surplus.min(takes_w);
        let spare = surplus - charge_pv;
        let (export, export_bus) = if spare > 0.0 && export_limit_w > 0.0 {
            let above = curve.above_idle(output);
            let most = curve.output_for_above_idle(above + spare);
            let total = most.min(output + export_limit_w).min(fleet.output_limit_w).max(output);
            (total - output, (curve.above_idle(total) - above).min(spare))
        } else {
            (0.0, 0.0)
        };

        // The backup carries its part of the hour, then the idle of what it feeds, then charges with the rest.
        let mut idle_backup = 0.0;
        let mut served_backup = [0.0; 3];
        let mut charge_backup = 0.0;
        if let Some(backup) = &self.backup
            && share > 0.0
        {
            let limit = backup.limit_w * share;
            idle_backup = idle_outside.min(limit);
            served_backup = in_order(given.load_w.map(|watts| watts * share), limit - idle_backup);
            let left = limit - idle_backup - served_backup.iter().sum::<f64>();
            let room = self.cells.room_up_to(rested.wells, plan.charge_to).min(takes_w) - charge_pv;
            charge_backup = (backup.charge_w * share).min(left * fleet.charge_efficiency).min(room).max(0.0);
        }
        let mut backup_share = share;
        if interactive {
            for tier in 0..3 {
                served_backup[tier] = wanted[tier] - served_own[tier];
            }
            idle_backup = idle_wanted - idle_own;
            backup_share = if served_backup.iter().sum::<f64>() > DARK_ABOVE_WH { 1.0 } else { 0.0 };
        }

        let moved = self.cells.moved(rested.wells, charge_pv + charge_backup, discharge_w);

        let taken_bus = pv_to_draw + charge_pv + export_bus;
        let taken_dc = (taken_bus / fleet.pv_efficiency).min(given.pv_dc_w);
        let taken_share = if given.pv_dc_w > 0.0 { taken_dc / given.pv_dc_w } else { 0.0 };
        let array_cable_wh = given.pv_cable_loss_w * taken_share * taken_share;
        let unused_wh = (given.pv_dc_w - taken_dc) + (given.pv_cable_loss_w - array_cable_wh);

        // Of the unused, what a warmer bank would have taken.
        let unused_for_cold_wh = if blocked && spare > 0.0 {
            spare.min(self.cells.takes_w(rested.wells, charge_limit_w)) / fleet.pv_efficiency
        } else {
            0.0
        };

        let from_sun_wh = if draw > 0.0 { output * (pv_to_draw / draw) } else { 0.0 };
        let charged_ac = charge_backup / fleet.charge_efficiency;
        let mut missing_wh = [0.0; 3];
        for (tier, missing) in missing_wh.iter_mut().enumerate() {
            *missing = (given.load_w[tier] - served_own[tier] - served_backup[tier]).max(0.0);
        }
        let dark = missing_wh[0] > DARK_ABOVE_WH;
        let flows = Flows {
            load_wh: given.load_w.iter().sum(),
            pv_offered_wh: given.pv_dc_w + given.pv_cable_loss_w,
            from_sun_wh,
            from_bank_wh: output - from_sun_wh,
            backup_to_load_wh: served_backup.iter().sum(),
            backup_to_bank_wh: charged_ac,
            backup_to_idle_wh: idle_backup,
            export_wh: export,
            missing_wh,
            unused_wh,
            unused_for_cold_wh,
            stored_wh: moved.stored_wh,
            removed_wh: moved.removed_wh,
            losses: Losses {
                array_cable_wh,
                pv_conversion_wh: taken_dc * (1.0 - fleet.pv_efficiency),
                inverter_wh: curve.loss_beyond_idle(output + export),
                idle_wh: idle_own + idle_backup,
                charger_wh: charged_ac * (1.0 - fleet.charge_efficiency),
                link_wh: moved.link_loss_wh,
                bank_in_wh: moved.charge_loss_wh,
                bank_out_wh: moved.discharge_loss_wh,
                standby_wh: rested.standby_wh,
                self_discharge_wh: rested.self_discharge_wh,
            },
            backup_h: backup_share,
            dark_h: f64::from(u8::from(dark)),
        };
        *hour = Hour {
            closing_error_wh: flows.closing_error_wh(moved.wells.total() - start_wh),
            flows,
            state_of_charge: self.cells.state_of_charge(moved.wells),
            mode: if dark { 2 } else { u8::from(backup_share > 0.0) },
            started: false,
            fuel_l: 0.0,
            output_w: output + export,
            charge_w: charge_pv + charge_backup,
            charge_limit_w,
            discharge_w,
            discharge_limit_w: self.cells.discharge_limit_w,
            blocked_by_cold: blocked && spare > 0.0,
            empty: self.cells.is_empty(moved.wells),
            full: self.cells.is_full(moved.wells),
        };
        (moved.wells, lasts)
    }
}

/// Fills must, want, luxury in this order from `limit`.
fn in_order(wanted: [f64; 3], limit: f64) -> [f64; 3] {
    let mut left = limit.max(0.0);
    wanted.map(|watts| {
        let given = watts.min(left);
        left -= given;
        given
    })
}
