//! The bank within one hour: what it can give and take, and what is stored afterwards.

use crate::bounds::Bounds;
use crate::{Bank, Chemistry};
use storage::{KineticStep, Taper, Wells, cold_charge_share, tapered_charge_over};

/// A bank with the terms that every hour shares.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Cells {
    bank: Bank,
    low_wh: f64,
    high_wh: f64,
    taper: Taper,
    /// Discharge limit at the bus.
    pub(crate) discharge_limit_w: f64,
    kinetic: Option<KineticStep>,
}

/// The bank after an hour of rest, before anything is moved.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Rested {
    pub(crate) wells: Wells,
    pub(crate) self_discharge_wh: f64,
    pub(crate) standby_wh: f64,
}

/// What was moved in one hour, all Wh.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Moved {
    pub(crate) wells: Wells,
    pub(crate) stored_wh: f64,
    pub(crate) removed_wh: f64,
    pub(crate) link_loss_wh: f64,
    pub(crate) charge_loss_wh: f64,
    pub(crate) discharge_loss_wh: f64,
}

impl Cells {
    pub(crate) fn of(bank: Bank) -> Cells {
        let (low_wh, high_wh) = storage::window(bank.capacity_wh, bank.usable_low, bank.usable_high);
        let kinetic = match bank.chemistry {
            Chemistry::Linear => None,
            Chemistry::Kinetic(kinetic) => Some(kinetic.step(1.0)),
        };
        let taper = Taper {
            limit_w: bank.charge_w,
            efficiency: bank.charge_efficiency,
            from_wh: bank.taper_from * bank.capacity_wh,
            full_wh: high_wh,
            share_at_full: bank.taper_share,
        };
        let mut cells = Cells { bank, low_wh, high_wh, taper, discharge_limit_w: 0.0, kinetic };
        cells.discharge_limit_w = cells.bus_when_giving(bank.discharge_w);
        cells
    }

    /// State of charge, 0 for a house without a bank. Rounding may leave a hair below nothing in an emptied bank, which stays in the
    /// wells so that the hour closes; a state of charge is not below 0.
    pub(crate) fn state_of_charge(&self, wells: Wells) -> f64 {
        if self.bank.capacity_wh > 0.0 { (wells.total() / self.bank.capacity_wh).at_least(0.0) } else { 0.0 }
    }

    /// Whether nothing usable is left: within a millionth of the capacity of the lower end. A house without a bank has none that
    /// could be empty.
    pub(crate) fn is_empty(&self, wells: Wells) -> bool {
        self.bank.capacity_wh > 0.0 && wells.total() <= self.low_wh + 1e-6 * self.bank.capacity_wh
    }

    /// Whether nothing more fits in: within a millionth of the capacity of the upper end.
    pub(crate) fn is_full(&self, wells: Wells) -> bool {
        self.bank.capacity_wh > 0.0 && wells.total() >= self.high_wh - 1e-6 * self.bank.capacity_wh
    }

    /// Self-discharge and the draw of the bank's own electronics, which comes from the cells also below the window.
    pub(crate) fn rest(&self, before: Wells) -> Rested {
        // Rounding may leave a hair below nothing in an emptied bank.
        let start = before.total();
        let self_discharge_wh = start.at_least(0.0) * self.bank.self_discharge_per_h;
        let standby_wh = self.bank.standby_w.at_most(start - self_discharge_wh).at_least(0.0);
        let left = start - self_discharge_wh - standby_wh;
        // Both wells give alike at rest; a bank without a bound well keeps an exact zero there.
        let wells = if before.bound == 0.0 || start <= 0.0 {
            Wells { at_hand: left, bound: 0.0 }
        } else {
            let share = left / start;
            Wells { at_hand: before.at_hand * share, bound: before.bound * share }
        };
        Rested { wells, self_discharge_wh, standby_wh }
    }

    /// Highest power it can give at the bus for the hour, discharging no lower than the state of charge `floor`.
    pub(crate) fn gives_w(&self, wells: Wells, floor: f64) -> f64 {
        let lowest = self.low_wh.at_least(floor * self.bank.capacity_wh);
        let mut cells_give = (wells.total() - lowest).at_least(0.0);
        if let Some(step) = &self.kinetic {
            cells_give = cells_give.at_most(step.discharge_limit(wells));
        }
        self.bus_when_giving(cells_give * self.bank.discharge_efficiency).at_most(self.discharge_limit_w)
    }

    /// Highest power it can take at the bus by its charge limit and taper, whatever room is left, W. `share` is what cold
    /// leaves of the limit.
    pub(crate) fn charge_limit_w(&self, wells: Wells, fleet_limit_w: f64, share: f64) -> f64 {
        let taper = Taper { limit_w: self.taper.limit_w * share, ..self.taper };
        self.bus_when_taking(tapered_charge_over(&taper, wells.total(), 1.0)).at_most(fleet_limit_w)
    }

    /// Highest power it can take at the bus for the hour within that limit.
    pub(crate) fn takes_w(&self, wells: Wells, charge_limit_w: f64) -> f64 {
        let mut cells_take = (self.high_wh - wells.total()).at_least(0.0);
        if let Some(step) = &self.kinetic {
            cells_take = cells_take.at_most(step.charge_limit(wells, self.bank.capacity_wh));
        }
        self.bus_when_taking(cells_take / self.bank.charge_efficiency).at_most(charge_limit_w)
    }

    /// Share of the charge limit that cells at this temperature allow.
    pub(crate) fn share_when_cold(&self, cell_c: f64) -> f64 {
        cold_charge_share(cell_c, self.bank.charge_above_c, self.bank.full_charge_from_c)
    }

    /// Charging power at the bus that fills the cells no further than the state of charge `to`.
    pub(crate) fn room_up_to(&self, wells: Wells, to: f64) -> f64 {
        let room = (to * self.bank.capacity_wh - wells.total()).at_least(0.0);
        self.bus_when_taking(room / self.bank.charge_efficiency)
    }

    /// Moves `in_wh` into and `out_wh` out of the bank, both at the bus and within its reach.
    pub(crate) fn moved(&self, wells: Wells, in_wh: f64, out_wh: f64) -> Moved {
        let bank = &self.bank;
        let link_in = bank.link_loss_per_w * in_wh * in_wh;
        let link_out = bank.link_loss_per_w * out_wh * out_wh;
        let stored_wh = (in_wh - link_in) * bank.charge_efficiency;
        let removed_wh = (out_wh + link_out) / bank.discharge_efficiency;
        let after = match &self.kinetic {
            None => Wells { at_hand: wells.at_hand + stored_wh - removed_wh, bound: wells.bound },
            Some(step) => step.after(wells, removed_wh - stored_wh),
        };
        Moved {
            wells: after,
            stored_wh,
            removed_wh,
            link_loss_wh: link_in + link_out,
            charge_loss_wh: (in_wh - link_in) * (1.0 - bank.charge_efficiency),
            discharge_loss_wh: removed_wh * (1.0 - bank.discharge_efficiency),
        }
    }

    /// Power left at the bus when the terminals give `terminal_w` and the links lose `r·bus²` of it.
    fn bus_when_giving(&self, terminal_w: f64) -> f64 {
        let r = self.bank.link_loss_per_w;
        if r == 0.0 {
            return terminal_w;
        }
        2.0 * terminal_w / (1.0 + (1.0 + 4.0 * r * terminal_w).sqrt())
    }

    /// Power needed at the bus when the terminals take `terminal_w` and the links lose `r·bus²` on the way; no more than
    /// links of that resistance can carry.
    fn bus_when_taking(&self, terminal_w: f64) -> f64 {
        let r = self.bank.link_loss_per_w;
        if r == 0.0 {
            return terminal_w;
        }
        let carried_w = terminal_w.at_most(0.25 / r);
        2.0 * carried_w / (1.0 + (1.0 - 4.0 * r * carried_w).at_least(0.0).sqrt())
    }
}
