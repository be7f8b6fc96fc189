//! When the house is on its own and when on utility or generator: call, wait, run, return.

use crate::{Generator, Inputs, System, Transfer};

/// Where the house stands between its own supply and the backup.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Supply {
    /// On sun and bank.
    Own,
    /// The backup was called; so many hours until it carries the house, which lives on what is left.
    Called {
        /// Hours left.
        wait_h: f64,
    },
    /// On utility or generator.
    Backup {
        /// Hours it has run.
        ran_h: f64,
    },
    /// The bank has recovered; so many hours until someone moves the house back.
    Returning {
        /// Hours left.
        wait_h: f64,
    },
}

impl Supply {
    /// The same with every wait and run counted in a unit of which an hour has so many.
    pub(crate) fn waits_times(self, units: f64) -> Supply {
        match self {
            Supply::Own => Supply::Own,
            Supply::Called { wait_h } => Supply::Called { wait_h: wait_h * units },
            Supply::Backup { ran_h } => Supply::Backup { ran_h: ran_h * units },
            Supply::Returning { wait_h } => Supply::Returning { wait_h: wait_h * units },
        }
    }
}

/// A source behind the bank, whichever the system calls it.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Backup {
    pub(crate) acts_within_h: f64,
    pub(crate) start_below: f64,
    pub(crate) stop_above: f64,
    pub(crate) charge_w: f64,
    pub(crate) limit_w: f64,
    pub(crate) shortest_run_h: f64,
    pub(crate) fuel_per_kwh: f64,
    /// Joined to an input of the inverters, so that their idle comes from it.
    pub(crate) through_input: bool,
}

/// What an hour's walk is told about the backup.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Plan {
    /// Share of the hour on the backup.
    pub(crate) share: f64,
    /// Where the house stands then.
    pub(crate) supply: Supply,
    /// State of charge up to which the backup charges.
    pub(crate) charge_to: f64,
}

/// States of charge nearer than this to a threshold have reached it: sums of hours round.
const REACHED: f64 = 1e-9;

impl Backup {
    /// The backup of a system; `None` when it has none or is always joined to the utility.
    pub(crate) fn of(inputs: &Inputs) -> Option<Backup> {
        let high = inputs.bank.usable_high;
        let utility = |transfer: Transfer, through_input| Backup {
            acts_within_h: transfer.acts_within_h,
            start_below: transfer.start_below.max(inputs.held_back),
            stop_above: transfer.stop_above.min(high),
            charge_w: transfer.charge_w,
            limit_w: transfer.limit_w,
            shortest_run_h: 0.0,
            fuel_per_kwh: 0.0,
            through_input,
        };
        match inputs.system {
            System::Interactive { .. } | System::StandAlone { generator: None } => None,
            System::BackupByTransfer(transfer) => Some(utility(transfer, false)),
            System::BackupThroughInput(transfer) => Some(utility(transfer, true)),
            System::StandAlone { generator: Some(generator) } => {
                let Generator { output_w, charge_w, start_below, stop_above, .. } = generator;
                Some(Backup {
                    acts_within_h: generator.acts_within_h,
                    start_below: start_below.max(inputs.held_back),
                    stop_above: stop_above.min(high),
                    charge_w,
                    limit_w: output_w,
                    shortest_run_h: generator.shortest_run_h,
                    fuel_per_kwh: generator.fuel_per_kwh,
                    through_input: true,
                })
            }
        }
    }

    /// What the hour begins with.
    pub(crate) fn plan(&self, supply: Supply, state_of_charge: f64, high: f64) -> Plan {
        let (share, supply) = match supply {
            Supply::Own if state_of_charge <= self.start_below + REACHED => self.wait(self.acts_within_h),
            Supply::Own => (0.0, Supply::Own),
            Supply::Called { wait_h } => self.wait(wait_h),
            Supply::Backup { ran_h } => (1.0, Supply::Backup { ran_h }),
            Supply::Returning { wait_h } if wait_h < 1.0 => (wait_h, Supply::Own),
            Supply::Returning { wait_h } => (1.0, Supply::Returning { wait_h: wait_h - 1.0 }),
        };
        self.planned(share, supply, high)
    }

    /// The hour in which stored energy gives out after the share `lasts`: the call goes out then.
    pub(crate) fn called_at(&self, lasts: f64, high: f64) -> Plan {
        let wait_h = self.acts_within_h - (1.0 - lasts);
        let (share, supply) = if wait_h < 0.0 {
            (-wait_h, Supply::Backup { ran_h: 0.0 })
        } else {
            (0.0, Supply::Called { wait_h })
        };
        self.planned(share, supply, high)
    }

    /// Where the house stands after the hour.
    pub(crate) fn after(&self, plan: Plan, state_of_charge: f64) -> Supply {
        match plan.supply {
            Supply::Backup { ran_h } => {
                let ran_h = ran_h + plan.share;
                let ran_enough = ran_h >= self.shortest_run_h - REACHED;
                if !(ran_enough && state_of_charge >= self.stop_above - REACHED) {
                    Supply::Backup { ran_h }
                } else if self.acts_within_h > 0.0 {
                    Supply::Returning { wait_h: self.acts_within_h }
                } else {
                    Supply::Own
                }
            }
            Supply::Returning { .. } if state_of_charge <= self.start_below + REACHED => {
                Supply::Backup { ran_h: self.shortest_run_h }
            }
            other => other,
        }
    }

    fn wait(&self, wait_h: f64) -> (f64, Supply) {
        if wait_h < 1.0 {
            (1.0 - wait_h, Supply::Backup { ran_h: 0.0 })
        } else {
            (0.0, Supply::Called { wait_h: wait_h - 1.0 })
        }
    }

    /// A source that must run on charges as far as the bank allows, otherwise only to where it stops.
    fn planned(&self, share: f64, supply: Supply, high: f64) -> Plan {
        let must_run_on = match supply {
            Supply::Backup { ran_h } => ran_h < self.shortest_run_h - REACHED,
            _ => false,
        };
        Plan { share, supply, charge_to: if must_run_on { high } else { self.stop_above } }
    }
}
