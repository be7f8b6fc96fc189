//! Modules that reach the house beside the inputs of its inverters: through charge controllers to the battery's bus, and
//! through array inverters to the AC side.
//!
//! Array inverters follow: the units at the battery make the supply, so without these there is nothing to feed. What loads
//! and bank do not take is refused by a rise of frequency (IEEE 1547-2018, clause 6.5, frequency-droop); it shows as unused.

use crate::bounds::Bounds;
use crate::hour::{Given, House, State};
use storage::Wells;

/// What stands beside the inputs of the inverters in an hour before any charging, W.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Beside {
    /// Arrives at the bus through controllers.
    pub(crate) controller_bus: f64,
    /// AC that array inverters can make.
    pub(crate) coupled_ac: f64,
    /// Part of it that goes straight to loads.
    pub(crate) to_loads: f64,
    /// What is left of it as it would arrive at the bus.
    pub(crate) coupled_bus: f64,
}

/// What was taken of it, Wh, and what that lost.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Taken {
    /// Offered, cables included.
    pub(crate) offered: f64,
    /// Offered and taken by nothing, cables included.
    pub(crate) unused: f64,
    /// In the cables.
    pub(crate) cable: f64,
    /// In the controllers.
    pub(crate) controllers: f64,
    /// In the array inverters beyond their own draw.
    pub(crate) inverters: f64,
    /// Their own draw.
    pub(crate) idle: f64,
    /// Of `coupled_bus`, what was used.
    pub(crate) coupled_bus: f64,
}

impl Beside {
    /// Everything that can reach the bus.
    pub(crate) fn bus(&self) -> f64 {
        self.controller_bus + self.coupled_bus
    }

    /// AC left after loads and what went to the bus.
    pub(crate) fn spare_ac(&self, took_ac: f64) -> f64 {
        (self.coupled_ac - self.to_loads - took_ac).at_least(0.0)
    }
}

impl House {
    /// AC that array inverters can make in the hour, W: nothing on a supply that is not theirs to feed.
    pub(crate) fn coupled_ac_w(&self, given: &Given, share: f64) -> f64 {
        let Some(coupled) = &self.inputs.fleet.coupled else { return 0.0 };
        // A generator or a utility behind an input of the inverters is not fed back into: the array inverters are off.
        let through = self.backup.as_ref().is_some_and(|backup| backup.through_input);
        let own = if through { 1.0 - share } else { 1.0 };
        coupled.curve.output_for_input(given.coupled.dc_w).at_most(coupled.output_limit_w) * own
    }

    /// What controllers and array inverters bring. `idle_wanted` is drawn at the bus by the units at the battery, and `pv_bus`
    /// arrives there from their own inputs; `target` is what loads ask of the AC side.
    pub(crate) fn beside(
        &self,
        state: &State,
        given: &Given,
        rested: Wells,
        coupled_ac: f64,
        idle_wanted: f64,
        target: f64,
    ) -> Beside {
        let controller_bus = given.by_controller.bus_w;
        let Some(coupled) = self.inputs.fleet.coupled.as_ref().filter(|_| coupled_ac > 0.0) else {
            return Beside { controller_bus, ..Beside::default() };
        };
        let mut for_idle = 0.0;
        if !self.interactive {
            // The units at the battery must run before there is a supply to feed. An empty bank starts them from what it
            // holds below its daily window; one with nothing at all does not.
            let at_bus = controller_bus + self.pv.output_for_above_idle(given.pv_dc_w);
            if at_bus < idle_wanted && state.wells.total() <= 0.0 {
                return Beside { controller_bus, ..Beside::default() };
            }
            let short = idle_wanted - at_bus - self.cells.gives_w(rested, 0.0);
            for_idle = self.charger.above_idle(short.at_least(0.0));
            if for_idle > coupled_ac {
                return Beside { controller_bus, ..Beside::default() };
            }
        }
        let to_loads = (coupled_ac - for_idle).at_most(target);
        let coupled_bus = self.charger.output_for_above_idle(coupled_ac - to_loads).at_most(coupled.charge_w);
        Beside { controller_bus, coupled_ac, to_loads, coupled_bus }
    }

    /// What of it was taken when `bus` of it was used at the bus and `export` went out on the AC side.
    pub(crate) fn taken_beside(&self, beside: &Beside, given: &Given, bus: f64, export: f64) -> Taken {
        let controller_bus = beside.controller_bus.at_most(bus);
        let coupled_bus = (bus - controller_bus).at_most(beside.coupled_bus);
        let mut taken = Taken { coupled_bus, ..Taken::default() };
        if given.by_controller.dc_w == 0.0 && given.coupled.dc_w == 0.0 {
            return taken;
        }
        if given.by_controller.bus_w > 0.0 {
            let share = controller_bus / given.by_controller.bus_w;
            let dc = given.by_controller.dc_w * share;
            taken.controllers = dc - controller_bus;
            taken.cable = given.by_controller.cable_loss_w * share * share;
            taken.unused = given.by_controller.dc_w - dc;
        } else {
            taken.unused = given.by_controller.dc_w;
        }
        taken.offered = given.by_controller.dc_w + given.by_controller.cable_loss_w;
        taken.unused += given.by_controller.cable_loss_w - taken.cable;
        let Some(coupled) = &self.inputs.fleet.coupled else { return taken };
        let ac = beside.to_loads + self.charger.above_idle(coupled_bus) + export;
        let dc_offered = given.coupled.dc_w;
        let mut dc = 0.0;
        let mut cable = 0.0;
        if ac > 0.0 && dc_offered > 0.0 {
            taken.inverters = coupled.curve.loss_beyond_idle(ac);
            taken.idle = coupled.curve.idle_w;
            dc = (ac + taken.inverters + taken.idle).at_most(dc_offered);
            let share = dc / dc_offered;
            cable = given.coupled.cable_loss_w * share * share;
        }
        taken.cable += cable;
        taken.offered += dc_offered + given.coupled.cable_loss_w;
        taken.unused += (dc_offered - dc) + (given.coupled.cable_loss_w - cable);
        taken
    }
}
