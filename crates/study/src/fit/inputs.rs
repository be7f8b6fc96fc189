//! Inputs of units with the strings that go into them.

use super::{sum_of, unknown};
use design::system::System;
use quantity::{Count, Current, Fact, Power, Traced, WhoKnows, product_of_count, units};
use std::sync::Arc;

/// One input of a unit with what goes into it.
#[derive(Clone, Debug)]
pub struct InputStudy {
    /// Unit.
    pub unit: Arc<str>,
    /// Input, from 1.
    pub input: u32,
    /// Strings that go into it.
    pub strings: Vec<Arc<str>>,
    /// Short-circuit currents of all strings together.
    pub isc: Fact<Current>,
    /// Maximum current: 1.25 times that.
    pub maximum: Fact<Current>,
    /// Currents at maximum power of all strings together.
    pub imp: Fact<Current>,
    /// Rated power of all modules on it.
    pub power: Fact<Power>,
    /// Highest short-circuit current the input withstands.
    pub short_circuit_limit: Fact<Current>,
    /// Highest current the input uses.
    pub current_limit: Fact<Current>,
}

pub(crate) fn inputs(system: &System) -> Vec<InputStudy> {
    let mut studied = Vec::new();
    for unit in &system.units_in_place {
        for (i, input) in system.pv_inputs(unit).iter().enumerate() {
            let number = i as u32 + 1;
            let into: Vec<_> = system
                .strings
                .iter()
                .filter(|s| s.string.unit == unit.name && s.string.input == number)
                .collect();
            if into.is_empty() {
                continue;
            }
            let of_module = |take: fn(&array::facts::Module) -> Fact<Current>| {
                let parts = into
                    .iter()
                    .map(|s| {
                        let module = system.module(&s.string.module);
                        let none = || unknown(format!("module.{}", s.string.module), WhoKnows::Owner);
                        (s.string.name.clone(), module.map_or_else(none, take))
                    })
                    .collect();
                sum_of(parts, &units::AMPERE)
            };
            let isc = of_module(|m| m.isc.clone());
            let power = sum_of(
                into.iter()
                    .map(|s| {
                        let module = system.module(&s.string.module);
                        let each = module.map_or_else(
                            || unknown(format!("module.{}", s.string.module), WhoKnows::Owner),
                            |m| m.power.clone(),
                        );
                        let all = s.string.count.and_then(|n| {
                            each.and_then(|each| Fact::Known(product_of_count(n, each, &units::WATT)))
                        });
                        (s.string.name.clone(), all)
                    })
                    .collect(),
                &units::WATT,
            );
            let one = Fact::Known(Traced::stated(Count(1), format!("unit.{}", unit.name)));
            studied.push(InputStudy {
                unit: unit.name.clone(),
                input: number,
                strings: into.iter().map(|s| s.string.name.clone()).collect(),
                maximum: wiring::PvMaximum::of_facts(&one, &isc),
                imp: of_module(|m| m.imp.clone()),
                isc,
                power,
                short_circuit_limit: input.short_circuit.clone(),
                current_limit: input.current.clone(),
            });
        }
    }
    studied
}
