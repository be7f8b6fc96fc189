//! Banks on one bus as one bank.

use crate::bounds::Bounds;
use crate::{Bank, Thermal};
use storage::ThermalNode;

impl Bank {
    /// Banks of one chemistry on one bus, each with the greatest share of the current it carries
    /// ([`storage::first_and_lasting`]); `None` for none.
    ///
    /// - They are charged and emptied together, so their states of charge are one: energies add up, and the narrower window
    ///   holds.
    /// - A limit holds for the bus as soon as the first bank is at its own.
    /// - What passes divides by capacity: losses are those of each bank at its part.
    /// - Cells are one body with the heat, the surface and the heaters of all; the coldest demand holds for all.
    ///
    /// A bank alone comes back as it is.
    pub fn side_by_side(banks: &[(Bank, f64)]) -> Option<Bank> {
        let ((first, _), others) = banks.split_first()?;
        if others.is_empty() {
            return Some(*first);
        }
        let sum = |of: &dyn Fn(&Bank) -> f64| -> f64 { banks.iter().map(|(bank, _)| of(bank)).sum() };
        let capacity_wh = sum(&|bank| bank.capacity_wh);
        let part = |bank: &Bank| if capacity_wh > 0.0 { bank.capacity_wh / capacity_wh } else { 0.0 };
        let most = |of: fn(&Bank) -> Option<f64>| {
            banks.iter().filter_map(|(bank, _)| of(bank)).reduce(Bounds::at_least)
        };
        let limit =
            |of: fn(&Bank) -> f64| storage::bus_limit(banks.iter().map(|(bank, share)| (of(bank), *share)));
        let mut usable_low = first.usable_low;
        let mut usable_high = first.usable_high;
        let mut thermal = first.thermal;
        for (bank, _) in others {
            usable_low = usable_low.at_least(bank.usable_low);
            usable_high = usable_high.at_most(bank.usable_high);
            thermal = match (thermal, bank.thermal) {
                (Some(one), Some(other)) => Some(one.joined(&other)),
                (one, other) => one.or(other),
            };
        }
        Some(Bank {
            capacity_wh,
            usable_low,
            usable_high,
            charge_w: limit(|bank| bank.charge_w),
            discharge_w: limit(|bank| bank.discharge_w),
            charge_efficiency: sum(&|bank| part(bank) * bank.charge_efficiency),
            discharge_efficiency: 1.0 / sum(&|bank| part(bank) / bank.discharge_efficiency),
            taper_from: banks.iter().map(|(bank, _)| bank.taper_from).fold(f64::INFINITY, f64::min),
            taper_share: banks.iter().map(|(bank, _)| bank.taper_share).fold(f64::INFINITY, f64::min),
            standby_w: sum(&|bank| bank.standby_w),
            self_discharge_per_h: sum(&|bank| part(bank) * bank.self_discharge_per_h),
            link_loss_per_w: sum(&|bank| part(bank) * part(bank) * bank.link_loss_per_w),
            charge_above_c: most(|bank| bank.charge_above_c),
            full_charge_from_c: most(|bank| bank.full_charge_from_c),
            thermal,
            chemistry: first.chemistry,
        })
    }
}

impl Thermal {
    /// Two bodies as one.
    fn joined(&self, other: &Thermal) -> Thermal {
        Thermal {
            node: ThermalNode {
                capacity_wh_per_k: self.node.capacity_wh_per_k + other.node.capacity_wh_per_k,
                conductance_w_per_k: self.node.conductance_w_per_k + other.node.conductance_w_per_k,
            },
            heater_w: self.heater_w + other.heater_w,
            heater_holds_c: self.heater_holds_c.at_most(other.heater_holds_c),
        }
    }
}
