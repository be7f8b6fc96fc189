//! The energy of one hour: who supplies whom, what is lost on the way, and where that leaves the bank.
//!
//! Module power arrives at the battery's bus through its conversion, or goes straight to AC where the units convert so;
//! the inverters take from the bus what their loss curve asks; the bank takes a surplus and gives a shortage within its
//! limits. What charge controllers and array inverters bring is used before the rest. Hourly means stand
//! for the whole hour.

use crate::backup::Plan;
use crate::beside::Beside;
use crate::bounds::Bounds;
use crate::hour::{DARK_ABOVE_WH, Given, Hour, House, State};
use crate::{Flows, Losses, System};
use storage::Wells;

/// What the own supply does in an hour before any charging, W.
#[derive(Clone, Copy, Debug)]
struct Own {
    /// AC output for loads.
    output: f64,
    /// Part of it that came from the sun.
    from_sun: f64,
    /// Part of it that went straight from modules to AC.
    direct: f64,
    /// Part of it that came over the bus.
    over_bus: f64,
    /// Idle draw met.
    idle: f64,
    /// Module power that reached the bus from the units' own inputs and was drawn there.
    pv_drawn_bus: f64,
    /// Drawn at the bus of what arrives there beside them.
    beside_drawn: f64,
    /// What that takes at the module inputs.
    pv_drawn_dc: f64,
    /// Module power left over, at the module inputs.
    spare_dc: f64,
    /// The same as it would arrive at the bus beside what is drawn there.
    spare_bus: f64,
    /// Taken from the bank, at the bus.
    discharge: f64,
    /// Share of the demand for which energy sufficed.
    lasts: f64,
}

/// What is taken of the modules at the units' own inputs, and what that loses, W over the hour.
#[derive(Clone, Copy, Default)]
struct Sun {
    /// At the inputs.
    taken_dc: f64,
    /// In the cables.
    array_cable_wh: f64,
    /// On the way to the bus.
    conversion_wh: f64,
    /// On the way straight to AC.
    direct_wh: f64,
}

/// What is asked of the legs.
#[derive(Clone, Copy, Default)]
pub(crate) struct Legs {
    /// Of each, W.
    asked_w: [f64; 2],
    /// The fuller one over its limit.
    fuller: f64,
}

impl House {
    /// The energy of an hour whose last `plan.share` is on the backup. Returns what is stored then, and the share of
    /// the own part's demand that energy sufficed for.
    pub(crate) fn supplied(&self, state: &State, given: &Given, plan: Plan, hour: &mut Hour) -> (Wells, f64) {
        let fleet = &self.inputs.fleet;
        let interactive = self.interactive;
        let rate = self.inputs.rates.get(usize::from(given.rate)).copied().unwrap_or_default();
        let share = plan.share;
        let curve = &fleet.discharge;
        let start_wh = state.wells.total();
        let rested = self.cells.rest(state.wells);
        let output_limit = self.output_limit_w(state.room_c);

        let wanted = self.wanted(state, given, 1.0 - share);
        let coupled_ac = self.coupled_ac_w(given, share);
        let (allowed, legs) = self.allowed(&wanted, given, output_limit, coupled_ac, 1.0 - share);
        let target = allowed[0] + allowed[1] + allowed[2];

        // The idle draw is met first: without it nothing comes out. While the inverters are fed from outside, their
        // idle comes from there.
        let through = self.backup.as_ref().is_some_and(|backup| backup.through_input);
        let idle_outside = if through { curve.idle_w * share } else { 0.0 };
        let idle_wanted = curve.idle_w - idle_outside;
        let bank_gives = |demand: f64, sun: f64| {
            if demand <= sun || (interactive && !rate.discharges) {
                return 0.0;
            }
            self.cells.gives_w(rested.wells, if interactive { self.inputs.held_back } else { 0.0 })
        };
        let beside = self.beside(state, given, rested.wells, coupled_ac, idle_wanted, target);
        let rest = if coupled_ac > 0.0 {
            (target - beside.to_loads).at_most(output_limit * (1.0 - share))
        } else {
            target
        };
        let own = match fleet.direct {
            None => self.over_the_bus(given.pv_dc_w, beside.bus(), idle_wanted, rest, bank_gives),
            Some(_) => self.straight(given.pv_dc_w, beside.bus(), idle_wanted, rest, bank_gives),
        };
        let served_own = in_order(allowed, own.output + beside.to_loads);

        // A surplus of sun charges, then goes out if the utility takes it.
        let cold = self.cells.share_when_cold(state.cell_c);
        let charges_outside = share > 0.0 || interactive;
        let spare_beside = (beside.bus() - own.beside_drawn).at_least(0.0);
        let all_chargers = fleet.charge_limit_w + fleet.controller_limit_w;
        let (charge_limit_w, takes_w) = if own.spare_dc > 0.0 || spare_beside > 0.0 || charges_outside {
            let limit = self.cells.charge_limit_w(rested.wells, all_chargers, cold);
            (limit, self.cells.takes_w(rested.wells, limit))
        } else {
            (f64::INFINITY, 0.0)
        };
        let charge_beside = spare_beside.at_most(takes_w);
        let charge_pv = own.spare_bus.at_most(takes_w - charge_beside).at_most(fleet.charge_limit_w);
        let spare_dc = if charge_pv < own.spare_bus {
            let charging_dc = self.pv.above_idle(own.pv_drawn_bus + charge_pv) - own.pv_drawn_dc;
            (own.spare_dc - charging_dc).at_least(0.0)
        } else {
            0.0
        };
        let used_beside = own.beside_drawn + charge_beside;
        let coupled_bus = (used_beside - beside.controller_bus).at_least(0.0);
        let out = self.out(&beside, &own, coupled_bus, spare_dc, own.spare_bus - charge_pv, output_limit);
        let Out { coupled_ac: export_coupled, ac: export, bus: export_bus, dc: export_dc } = out;
        let taken = self.taken_beside(&beside, given, used_beside, export_coupled);

        // The backup carries its part of the hour, then the idle of what it feeds, then charges with the rest.
        let mut idle_backup = 0.0;
        let mut served_backup = [0.0; 3];
        let mut charge_backup = 0.0;
        let charge_sun = charge_pv + charge_beside;
        let units_left = fleet.charge_limit_w - charge_pv - taken.coupled_bus;
        let room_up_to = |to: f64| {
            (self.cells.room_up_to(rested.wells, to).at_most(takes_w) - charge_sun).at_most(units_left)
        };
        if let Some(backup) = &self.backup
            && share > 0.0
        {
            let limit = backup.limit_w * share;
            idle_backup = idle_outside.at_most(limit);
            served_backup = in_order(given.load_w.map(|watts| watts * share), limit - idle_backup);
            let left = limit - idle_backup - served_backup.iter().sum::<f64>();
            if rate.charges {
                charge_backup = (backup.charge_w * share)
                    .at_most(self.charger.output_for_above_idle(left))
                    .at_most(room_up_to(plan.charge_to))
                    .at_least(0.0);
            }
        }
        let mut backup_share = share;
        if let System::Interactive { charge_w, charge_to, .. } = self.inputs.system {
            for tier in 0..3 {
                served_backup[tier] = wanted[tier] - served_own[tier];
            }
            idle_backup = idle_wanted - own.idle;
            backup_share = if served_backup.iter().sum::<f64>() > DARK_ABOVE_WH { 1.0 } else { 0.0 };
            // A bank that is giving is not charged in the same hour.
            if rate.charges && charge_w > 0.0 && own.discharge == 0.0 {
                charge_backup = charge_w.at_most(room_up_to(charge_to)).at_least(0.0);
            }
        }

        let moved = self.cells.moved(rested.wells, charge_sun + charge_backup, own.discharge);

        let over_bus_ac = own.over_bus + if export_dc > 0.0 { 0.0 } else { export };
        // Half of all hours are dark: nothing is reckoned of modules then.
        let mut sun = Sun::default();
        if given.pv_dc_w > 0.0 {
            let pv_bus = own.pv_drawn_bus + charge_pv + export_bus;
            let straight_ac = own.direct + if export_dc > 0.0 { export } else { 0.0 };
            let straight_dc = fleet.direct.map_or(0.0, |direct| direct.above_idle(straight_ac));
            sun.taken_dc = (self.pv.above_idle(pv_bus) + straight_dc).at_most(given.pv_dc_w);
            let share = sun.taken_dc / given.pv_dc_w;
            sun.array_cable_wh = given.pv_cable_loss_w * share * share;
            sun.conversion_wh = self.pv.loss_beyond_idle(pv_bus);
            sun.direct_wh = fleet.direct.map_or(0.0, |direct| direct.loss_beyond_idle(straight_ac));
        }
        let Sun { taken_dc, array_cable_wh, conversion_wh, direct_wh } = sun;
        let unused_wh = (given.pv_dc_w - taken_dc) + (given.pv_cable_loss_w - array_cable_wh) + taken.unused;

        // Of the unused, what a warmer bank would have taken.
        let unused_for_cold_wh = if cold < 1.0 && (spare_dc > 0.0 || spare_beside > charge_beside) {
            let warm = self.cells.charge_limit_w(rested.wells, all_chargers, 1.0);
            let more = (self.cells.takes_w(rested.wells, warm) - charge_sun).at_least(0.0);
            let beside_more = more.at_most(spare_beside - charge_beside).at_most(taken.unused);
            let pv_more =
                self.pv.above_idle(more - beside_more).at_most(given.pv_dc_w - taken_dc).at_least(0.0);
            pv_more + beside_more
        } else {
            0.0
        };

        // What charges from AC shares one charger: the backup pays for what it adds.
        let by_charger = taken.coupled_bus + charge_backup;
        let (charged_ac, charger_wh) = if by_charger > 0.0 {
            let all_ac = self.charger.above_idle(by_charger);
            (all_ac - self.charger.above_idle(taken.coupled_bus), self.charger.loss_beyond_idle(by_charger))
        } else {
            (0.0, 0.0)
        };
        let mut missing_wh = [0.0; 3];
        for (tier, missing) in missing_wh.iter_mut().enumerate() {
            *missing = (given.load_w[tier] - served_own[tier] - served_backup[tier]).at_least(0.0);
        }
        let dark = missing_wh[0] > DARK_ABOVE_WH;
        // Written where it stays: every field, in place.
        hour.flows = Flows {
            load_wh: given.load_w.iter().sum(),
            heater_wh: 0.0,
            pv_offered_wh: given.pv_dc_w + given.pv_cable_loss_w + taken.offered,
            from_sun_wh: own.from_sun + beside.to_loads,
            from_bank_wh: own.output - own.from_sun,
            backup_to_load_wh: served_backup.iter().sum(),
            backup_to_bank_wh: charged_ac,
            backup_to_idle_wh: idle_backup,
            export_wh: export + export_coupled,
            missing_wh,
            unused_wh,
            unused_for_cold_wh,
            stored_wh: moved.stored_wh,
            removed_wh: moved.removed_wh,
            losses: Losses {
                array_cable_wh: array_cable_wh + taken.cable,
                pv_conversion_wh: conversion_wh + taken.controllers,
                inverter_wh: curve.loss_beyond_idle(over_bus_ac) + direct_wh + taken.inverters,
                idle_wh: own.idle + idle_backup + taken.idle,
                charger_wh,
                link_wh: moved.link_loss_wh,
                bank_in_wh: moved.charge_loss_wh,
                bank_out_wh: moved.discharge_loss_wh,
                standby_wh: rested.standby_wh,
                self_discharge_wh: rested.self_discharge_wh,
            },
            backup_h: backup_share,
            dark_h: f64::from(u8::from(dark)),
        };
        let Hour {
            flows,
            state_of_charge,
            mode,
            started,
            fuel_l,
            taken_dc_w,
            output_w,
            output_limit_w,
            leg_w,
            leg_share,
            charge_w,
            charge_limit_w: charge_limit,
            discharge_w,
            discharge_limit_w,
            cell_c,
            room_c,
            blocked_by_cold,
            empty,
            full,
            closing_error_wh,
        } = hour;
        *closing_error_wh = flows.closing_error_wh(moved.wells.total() - start_wh);
        *state_of_charge = self.cells.state_of_charge(moved.wells);
        *mode = if dark { 2 } else { u8::from(backup_share > 0.0) };
        *started = false;
        *fuel_l = 0.0;
        *taken_dc_w = taken_dc + (taken.offered - taken.cable - taken.unused);
        *output_w = own.output + export;
        *output_limit_w = output_limit;
        *leg_w = legs.asked_w;
        *leg_share = legs.fuller;
        *charge_w = charge_sun + charge_backup;
        *charge_limit = charge_limit_w;
        *discharge_w = own.discharge;
        *discharge_limit_w = self.cells.discharge_limit_w;
        (*cell_c, *room_c) = (0.0, 0.0);
        *blocked_by_cold = unused_for_cold_wh > 0.0;
        *empty = self.cells.is_empty(moved.wells);
        *full = self.cells.is_full(moved.wells);
        (moved.wells, own.lasts)
    }

    /// Output all units give in air of this temperature, W.
    pub(crate) fn output_limit_w(&self, room_c: f64) -> f64 {
        let fleet = &self.inputs.fleet;
        let hot = fleet.derate.map_or(1.0, |derate| {
            (1.0 - derate.per_kelvin * (room_c - derate.above_c).at_least(0.0)).clamp(0.0, 1.0)
        });
        fleet.output_limit_w * hot
    }

    /// Loads asked of the own supply in its part of the hour, those given up in good time left out.
    pub(crate) fn wanted(&self, state: &State, given: &Given, own: f64) -> [f64; 3] {
        let mut wanted = given.load_w.map(|watts| watts * own);
        for (tier, given_up) in state.given_up.into_iter().enumerate() {
            if given_up {
                wanted[tier + 1] = 0.0;
            }
        }
        wanted
    }

    /// What of them the inverters' power allows, the most dispensable tier left out first: on each leg, then together.
    /// Also how full the legs are.
    /// Array inverters add what they make, half of it on each leg.
    pub(crate) fn allowed(
        &self,
        wanted: &[f64; 3],
        given: &Given,
        output_limit: f64,
        coupled_ac: f64,
        own: f64,
    ) -> ([f64; 3], Legs) {
        let fleet = &self.inputs.fleet;
        let all_limit = output_limit * own + coupled_ac;
        let Some(limits) = fleet.leg_limit_w else {
            return (in_order(*wanted, all_limit), Legs::default());
        };
        let hot = if fleet.output_limit_w > 0.0 { output_limit / fleet.output_limit_w } else { 1.0 };
        let mut first = [0.0; 3];
        let mut second = [0.0; 3];
        for tier in 0..3 {
            // A tier given up is given up on both legs.
            if wanted[tier] > 0.0 {
                first[tier] = (given.first_leg_w[tier] * own).at_most(wanted[tier]);
                second[tier] = wanted[tier] - first[tier];
            }
        }
        let mut allowed = [0.0; 3];
        let mut legs = Legs::default();
        for ((leg, limit), asked_w) in [first, second].into_iter().zip(limits).zip(&mut legs.asked_w) {
            let limit = limit * hot * own + coupled_ac / 2.0;
            *asked_w = leg.iter().sum();
            if limit > 0.0 {
                legs.fuller = legs.fuller.at_least(*asked_w / limit);
            }
            for (sum, part) in allowed.iter_mut().zip(in_order(leg, limit)) {
                *sum += part;
            }
        }
        (in_order(allowed, all_limit), legs)
    }

    /// AC that the sun of an hour can bring to loads without the bank, W: no more than the inverters give.
    pub(crate) fn sun_alone_w(&self, given: &Given) -> f64 {
        if given.pv_dc_w + given.by_controller.bus_w + given.coupled.dc_w <= 0.0 {
            return 0.0;
        }
        let fleet = &self.inputs.fleet;
        let idle_w = fleet.discharge.idle_w;
        let limit_w = fleet.output_limit_w;
        let controllers_w = given.by_controller.bus_w;
        let nothing = |_: f64, _: f64| 0.0;
        let own = match fleet.direct {
            None => self.over_the_bus(given.pv_dc_w, controllers_w, idle_w, limit_w, nothing),
            Some(_) => self.straight(given.pv_dc_w, controllers_w, idle_w, limit_w, nothing),
        };
        // Array inverters have a supply to feed: its idle draw comes from the bank where no other modules are.
        own.output + self.coupled_ac_w(given, 0.0)
    }

    /// All module power passes the battery's bus.
    fn over_the_bus(
        &self,
        pv_dc: f64,
        beside: f64,
        idle_wanted: f64,
        target: f64,
        bank_gives: impl Fn(f64, f64) -> f64,
    ) -> Own {
        let curve = &self.inputs.fleet.discharge;
        let pv_bus = if pv_dc > 0.0 { self.pv.output_for_above_idle(pv_dc) } else { 0.0 };
        let sun_bus = pv_bus + beside;
        let demand = idle_wanted + curve.above_idle(target);
        let gives = bank_gives(demand, sun_bus);
        let available = sun_bus + gives;
        let idle = idle_wanted.at_most(available);
        let (output, lasts) = reached(curve, target, demand, available, idle);
        let draw = idle + curve.above_idle(output);
        let sun_drawn = sun_bus.at_most(draw);
        let beside_drawn = beside.at_most(sun_drawn);
        let pv_drawn_bus = (sun_drawn - beside_drawn).at_most(pv_bus);
        let pv_drawn_dc = if pv_drawn_bus > 0.0 { self.pv.above_idle(pv_drawn_bus) } else { 0.0 };
        Own {
            output,
            from_sun: if draw > 0.0 { output * (sun_drawn / draw) } else { 0.0 },
            direct: 0.0,
            over_bus: output,
            idle,
            pv_drawn_bus,
            beside_drawn,
            pv_drawn_dc,
            spare_dc: (pv_dc - pv_drawn_dc).at_least(0.0),
            spare_bus: pv_bus - pv_drawn_bus,
            discharge: (draw - sun_drawn).at_most(gives),
            lasts,
        }
    }

    /// Module power meets the idle draw over the bus, then goes straight to AC; what arrives at the bus beside it and the bank
    /// give the rest.
    fn straight(
        &self,
        pv_dc: f64,
        beside: f64,
        idle_wanted: f64,
        target: f64,
        bank_gives: impl Fn(f64, f64) -> f64,
    ) -> Own {
        let curve = &self.inputs.fleet.discharge;
        let Some(direct) = self.inputs.fleet.direct else {
            return self.over_the_bus(pv_dc, beside, idle_wanted, target, bank_gives);
        };
        let idle_beside = beside.at_most(idle_wanted);
        let idle_rest = idle_wanted - idle_beside;
        let idle_pv = self.pv.output_for_above_idle(pv_dc).at_most(idle_rest);
        let pv_drawn_dc = self.pv.above_idle(idle_pv);
        let left_dc = if idle_pv < idle_rest { 0.0 } else { (pv_dc - pv_drawn_dc).at_least(0.0) };
        let straight = direct.output_for_above_idle(left_dc).at_most(target);
        let rest = target - straight;
        let beside_left = beside - idle_beside;
        let demand = (idle_rest - idle_pv) + curve.above_idle(rest);
        let gives = bank_gives(demand, beside_left);
        let idle_bank = (idle_rest - idle_pv).at_most(gives);
        let (over_bus, _) = reached(curve, rest, demand, beside_left + gives, idle_bank);
        let output = straight + over_bus;
        let drawn = idle_bank + curve.above_idle(over_bus);
        let beside_drawn = beside_left.at_most(drawn);
        let spare_dc =
            if straight < target { 0.0 } else { (left_dc - direct.above_idle(straight)).at_least(0.0) };
        let spare_bus = if spare_dc > 0.0 {
            let with_it = pv_drawn_dc + spare_dc;
            (self.pv.output_for_above_idle(with_it) - idle_pv).at_least(0.0)
        } else {
            0.0
        };
        Own {
            output,
            from_sun: straight + if drawn > 0.0 { over_bus * (beside_drawn / drawn) } else { 0.0 },
            direct: straight,
            over_bus,
            idle: idle_beside + idle_pv + idle_bank,
            pv_drawn_bus: idle_pv,
            pv_drawn_dc,
            beside_drawn: idle_beside + beside_drawn,
            spare_dc,
            spare_bus,
            discharge: (drawn - beside_drawn).at_most(gives),
            lasts: if over_bus < rest && target > 0.0 { output / target } else { 1.0 },
        }
    }

    /// What goes out to the utility: first what array inverters have left, then what the units can add.
    fn out(
        &self,
        beside: &Beside,
        own: &Own,
        coupled_bus: f64,
        spare_dc: f64,
        spare_bus: f64,
        output_limit: f64,
    ) -> Out {
        let System::Interactive { export_limit_w, .. } = self.inputs.system else { return Out::default() };
        if export_limit_w <= 0.0 {
            return Out::default();
        }
        let spare_ac = beside.spare_ac(self.charger.above_idle(coupled_bus));
        let coupled_ac = spare_ac.at_most(export_limit_w);
        if spare_dc <= 0.0 {
            return Out { coupled_ac, ..Out::default() };
        }
        let fleet = &self.inputs.fleet;
        let (curve, so_far, spare) = match &fleet.direct {
            Some(direct) => (direct, own.direct, spare_dc),
            None => (&fleet.discharge, own.over_bus, spare_bus),
        };
        let above = curve.above_idle(so_far);
        let most = curve.output_for_above_idle(above + spare);
        let room = (output_limit - own.output).at_least(0.0);
        let ac = (most - so_far).at_most(export_limit_w - coupled_ac).at_most(room).at_least(0.0);
        let took = (curve.above_idle(so_far + ac) - above).clamp(0.0, spare);
        let (bus, dc) = if fleet.direct.is_some() { (0.0, took) } else { (took, 0.0) };
        Out { coupled_ac, ac, bus, dc }
    }
}

/// What goes out to the utility, W.
#[derive(Clone, Copy, Debug, Default)]
struct Out {
    /// From array inverters, AC.
    coupled_ac: f64,
    /// From the units, AC.
    ac: f64,
    /// What that takes at the bus.
    bus: f64,
    /// What that takes at the module inputs.
    dc: f64,
}

/// Output reached with what is available at the bus, and the share of the target that is.
fn reached(curve: &conversion::LossCurve, target: f64, demand: f64, available: f64, idle: f64) -> (f64, f64) {
    if demand <= available {
        return (target, 1.0);
    }
    let output = curve.output_for_above_idle(available - idle).at_most(target);
    (output, if target > 0.0 { output / target } else { 1.0 })
}

/// Fills must, want, luxury in this order from `limit`.
pub(crate) fn in_order(wanted: [f64; 3], limit: f64) -> [f64; 3] {
    let mut left = limit.at_least(0.0);
    wanted.map(|watts| {
        let given = watts.at_most(left);
        left -= given;
        given
    })
}
