//! Circuits of direct current: strings to their inputs, battery units to their bus, the bus to what hangs on it.

use super::{Build, branch_name, counted};
use crate::system::{BankIn, StringIn, System, Unit, UnitPart};
use array::strings_design::ColdOpenCircuit;
use conversion::PvInput;
use quantity::{
    Charge, Count, Current, Fact, FieldPath, Gap, Measure, Ratio, Traced, Voltage, WhoKnows, greatest,
    product_of_count, sum, units,
};
use std::sync::Arc;
use wiring::{
    BatteryUnit, BatteryVolts, BesideUnits, BusToInverters, ControllerToBus, Demand, InverterInput, PvStrings,
};

impl Build<'_> {
    pub(super) fn strings(&mut self) {
        let system = self.system;
        for string in &system.strings {
            let to = if string.through.is_empty() { &string.string.unit } else { &string.through };
            let alone: Traced<Count> = counted(std::iter::once(&*format!("string.{}", string.string.name)));
            let demand = self.strings_demand(string, Fact::Known(alone));
            self.join(&string.string.name.clone(), &to.clone(), demand, 2, 2, 2);
        }
        for combiner in &system.combiners {
            let joined: Vec<&StringIn> =
                system.strings.iter().filter(|s| s.through == combiner.name).collect();
            let Some(first) = joined.first() else { continue };
            let paths: Vec<String> = joined.iter().map(|s| format!("string.{}", s.string.name)).collect();
            let demand = self.strings_demand(first, Fact::Known(counted(paths.iter().map(String::as_str))));
            self.join(&combiner.name.clone(), &combiner.unit.clone(), demand, 2, 2, 2);
        }
    }

    fn input_of(&self, string: &StringIn) -> Option<&PvInput> {
        let unit = self.system.unit(&string.string.unit)?;
        self.system.pv_inputs(unit).get((string.string.input.max(1) - 1) as usize)
    }

    fn strings_demand(&self, string: &StringIn, in_parallel: Fact<Count>) -> Demand {
        let system = self.system;
        let missing = |what: &str| -> Gap { Gap::one(FieldPath::new(what.to_string()), WhoKnows::Owner) };
        let module = system.module(&string.string.module);
        let no_module = format!("module.{}", string.string.module);
        macro_rules! of_module {
            ($field:ident) => {
                module.map_or_else(|| Fact::Unknown(missing(&no_module)), |m| m.$field.clone())
            };
        }
        let count = &string.string.count;
        let vmp: Fact<Voltage> = of_module!(vmp);
        let vmp_string =
            count.and_then(|n| vmp.and_then(|each| Fact::Known(product_of_count(n, each, &units::VOLT))));
        let voc_cold = ColdOpenCircuit::of_facts(
            count,
            &of_module!(voc),
            &of_module!(voc_change),
            &system.place.coldest,
        );
        let same_input: Vec<String> = system
            .strings
            .iter()
            .filter(|s| s.string.unit == string.string.unit && s.string.input == string.string.input)
            .map(|s| format!("string.{}", s.string.name))
            .collect();
        let input = self.input_of(string);
        Demand::PvStrings(PvStrings {
            in_parallel,
            isc: of_module!(isc),
            imp: of_module!(imp),
            vmp: vmp_string,
            voc_cold,
            series_fuse: of_module!(series_fuse),
            strings_on_the_input: Fact::Known(counted(same_input.iter().map(String::as_str))),
            back_feed: input.map_or_else(
                || Fact::Unknown(missing(&format!("unit.{}", string.string.unit))),
                |input| input.back_feed.clone(),
            ),
        })
    }

    pub(super) fn banks(&mut self) {
        let system = self.system;
        for bank in &system.banks {
            let bus: Arc<str> = system.bus_of(&bank.bank.name).into();
            let volts = battery_volts(system, bank);
            let hanging: Vec<&Unit> = system.units_on(&bus).collect();
            let of_battery = |fact: fn(&storage::Battery) -> &Fact<Current>| of_battery(system, bank, fact);
            let short_circuit = of_battery(|b| &b.short_circuit);
            let beside = beside(system, bank);
            let whole = self.bus_current(&hanging, &bus_volts(system, &bus));
            let bus_current = match share_of_bus(system, bank) {
                Some(share) => storage::Carried::of_facts(&share, &whole),
                None => whole,
            };
            let branches = bank.bank.parallel.value().map_or(1, |n| n.0.min(400));
            for branch in 1..=branches {
                let demand = Demand::BatteryUnit(BatteryUnit {
                    charge: of_battery(|b| &b.charge),
                    discharge: of_battery(|b| &b.discharge),
                    volts: volts.clone(),
                    short_circuit: short_circuit.clone(),
                    units_on_the_bus: bank.bank.parallel.clone(),
                    beside: beside.clone(),
                    bus_current: bus_current.clone(),
                });
                self.join(&branch_name(bank, branch), &bus, demand, 2, 2, 1);
            }
            if bank.bank.name != bus {
                continue;
            }
            let volts = bus_volts(system, &bus);
            for unit in hanging {
                match &unit.part {
                    UnitPart::Inverter(_) => {
                        let Some(input) = inverter_input(self.system, unit) else { continue };
                        let demand = Demand::BusToInverters(BusToInverters {
                            inverters: vec![input],
                            volts: volts.clone(),
                            short_circuit: short_circuit.clone(),
                            units_on_the_bus: bank.bank.parallel.clone(),
                            beside: beside.clone(),
                        });
                        self.join(&bus, &unit.name.clone(), demand, 2, 2, 1);
                    }
                    UnitPart::Controller(name) => {
                        let charge = match self.system.controller(name) {
                            Some(part) => part.charge.clone(),
                            None => Fact::unknown(format!("controller.{name}"), WhoKnows::DataSheet),
                        };
                        let demand = Demand::ControllerToBus(ControllerToBus {
                            charge,
                            volts: volts.clone(),
                            short_circuit: short_circuit.clone(),
                            units_on_the_bus: bank.bank.parallel.clone(),
                            beside: beside.clone(),
                        });
                        self.join(&unit.name.clone(), &bus, demand, 2, 2, 1);
                    }
                    UnitPart::Unclear => {}
                }
            }
        }
    }

    fn bus_current(&self, hanging: &[&Unit], volts: &BatteryVolts) -> Fact<Current> {
        let mut parts = Vec::new();
        for unit in hanging {
            let current = match &unit.part {
                UnitPart::Inverter(_) => match inverter_input(self.system, unit) {
                    Some(input) => {
                        let demand = Demand::BusToInverters(BusToInverters {
                            inverters: vec![input],
                            volts: volts.clone(),
                            short_circuit: Fact::unknown("battery", WhoKnows::Maker),
                            units_on_the_bus: Fact::unknown("bank", WhoKnows::Owner),
                            beside: None,
                        });
                        demand.design_currents().maximum
                    }
                    None => continue,
                },
                UnitPart::Controller(name) => match self.system.controller(name) {
                    Some(part) => part.charge.clone(),
                    None => continue,
                },
                UnitPart::Unclear => continue,
            };
            match current {
                Fact::Known(current) => parts.push((unit.name.clone(), current)),
                Fact::Unknown(gap) => return Fact::Unknown(gap),
            }
        }
        Fact::Known(sum(parts, &units::AMPERE))
    }
}

/// Voltages between which the circuits of a bank work. The lowest is where inverter or battery stops, whichever is
/// higher; with one of them unknown the other alone gives more current, not less.
pub fn battery_volts(system: &System, bank: &BankIn) -> BatteryVolts {
    let none = || Fact::unknown(format!("battery.{}", bank.bank.battery), WhoKnows::DataSheet);
    let battery = system.battery(&bank.bank.battery);
    let of_series = |fact: Option<&Fact<Voltage>>| match fact {
        Some(fact) => bank
            .bank
            .series
            .and_then(|n| fact.and_then(|each| Fact::Known(product_of_count(n, each, &units::VOLT)))),
        None => none(),
    };
    let cut_off = of_series(battery.map(|b| &b.cut_off));
    let inverters: Vec<_> =
        system.units_on(system.bus_of(&bank.bank.name)).filter_map(|unit| system.inverter_of(unit)).collect();
    let mut stops: Vec<(Arc<str>, Traced<Voltage>)> = Vec::new();
    for inverter in &inverters {
        if let Fact::Known(low) = &inverter.battery_low {
            stops.push((inverter.name.clone(), low.clone()));
        }
    }
    if let Fact::Known(low) = &cut_off {
        stops.push(("battery".into(), low.clone()));
    }
    let lowest = greatest(stops, &units::VOLT).map_or(cut_off, Fact::Known);
    let charge = of_series(battery.map(|b| &b.charge_voltage));
    let highest = charge.or(|| {
        let limits = inverters
            .iter()
            .filter_map(|i| i.battery_high.known().map(|high| (i.name.clone(), high.clone())))
            .collect();
        greatest(limits, &units::VOLT).map_or_else(none, Fact::Known)
    });
    BatteryVolts { lowest, nominal: of_series(battery.map(|b| &b.nominal)), highest }
}

/// Voltages of a bus: the widest of all banks on it, because the others carry on when the first has stopped.
fn bus_volts(system: &System, bus: &str) -> BatteryVolts {
    let mut all: Vec<(Arc<str>, BatteryVolts)> =
        system.banks_on(bus).map(|bank| (bank.bank.name.clone(), battery_volts(system, bank))).collect();
    if let [(_, only)] = &mut all[..] {
        return only.clone();
    }
    let each = |of: fn(&BatteryVolts) -> &Fact<Voltage>| {
        every(all.iter().map(|(name, volts)| (name.clone(), of(volts).clone())))
    };
    let none = || Gap::one(FieldPath::new(format!("bank.{bus}")), WhoKnows::Owner);
    let settled = |settle: SettleVolts, of| match each(of) {
        Ok(parts) => settle(parts, &units::VOLT).map_or_else(|| Fact::Unknown(none()), Fact::Known),
        Err(gap) => Fact::Unknown(gap),
    };
    let nominal = system.bank(bus).map(|bank| battery_volts(system, bank).nominal);
    BatteryVolts {
        lowest: settled(quantity::least, |volts| &volts.lowest),
        nominal: nominal.unwrap_or_else(|| Fact::Unknown(none())),
        highest: settled(greatest, |volts| &volts.highest),
    }
}

type Named<T> = Vec<(Arc<str>, Traced<T>)>;
type SettleVolts = fn(Named<Voltage>, &'static quantity::Unit) -> Option<Traced<Voltage>>;

/// All of named facts, or what is missing of them.
fn every<T>(facts: impl Iterator<Item = (Arc<str>, Fact<T>)>) -> Result<Named<T>, Gap> {
    let (mut known, mut missing): (Vec<_>, Option<Gap>) = (Vec::new(), None);
    for (name, fact) in facts {
        match fact {
            Fact::Known(traced) => known.push((name, traced)),
            Fact::Unknown(gap) => missing = Some(missing.map_or(gap.clone(), |all| all.and(&gap))),
        }
    }
    missing.map_or(Ok(known), Err)
}

fn of_battery<T: Clone>(system: &System, bank: &BankIn, fact: fn(&storage::Battery) -> &Fact<T>) -> Fact<T> {
    match system.battery(&bank.bank.battery) {
        Some(battery) => fact(battery).clone(),
        None => Fact::unknown(format!("battery.{}", bank.bank.battery), WhoKnows::DataSheet),
    }
}

/// Units of other banks on the bus of a bank, as a short sees them.
fn beside(system: &System, bank: &BankIn) -> Option<Box<BesideUnits>> {
    let others: Vec<&BankIn> = system
        .banks_on(system.bus_of(&bank.bank.name))
        .filter(|other| other.bank.name != bank.bank.name)
        .collect();
    if others.is_empty() {
        return None;
    }
    let each = |other: &BankIn| of_battery(system, other, |b| &b.short_circuit);
    let all = every(others.iter().map(|other| {
        let all = other.bank.parallel.and_then(|n| {
            each(other).and_then(|each| Fact::Known(product_of_count(n, each, &units::AMPERE)))
        });
        (other.bank.name.clone(), all)
    }));
    let least = every(others.iter().map(|other| (other.bank.name.clone(), each(other))));
    Some(Box::new(BesideUnits {
        all: all.map_or_else(Fact::Unknown, |parts| Fact::Known(sum(parts, &units::AMPERE))),
        least: match least {
            Ok(parts) => quantity::least(parts, &units::AMPERE).map_or_else(
                || Fact::unknown(format!("bank.{}", bank.bank.name), WhoKnows::Owner),
                Fact::Known,
            ),
            Err(gap) => Fact::Unknown(gap),
        },
    }))
}

/// Greatest share of the current of its bus that a bank carries, at first or in the long run; `None` for a bank that has its bus
/// for itself.
pub fn share_of_bus(system: &System, bank: &BankIn) -> Option<Fact<Ratio>> {
    let on_bus: Vec<&BankIn> = system.banks_on(system.bus_of(&bank.bank.name)).collect();
    if on_bus.len() < 2 {
        return None;
    }
    let charge = |bank: &BankIn| {
        let each = of_battery(system, bank, |b| &b.capacity);
        bank.bank
            .parallel
            .and_then(|n| each.and_then(|each| Fact::Known(product_of_count(n, each, &units::AMPERE_HOUR))))
    };
    let eases =
        |bank: &BankIn| storage::Ease::of_facts(&charge(bank), &of_battery(system, bank, |b| &b.round_trip));
    let part = |of: &dyn Fn(&BankIn) -> Fact<Charge>| {
        let all = every(on_bus.iter().map(|other| (other.bank.name.clone(), of(other))));
        let all = all.map_or_else(Fact::Unknown, |parts| Fact::Known(sum(parts, &units::AMPERE_HOUR)));
        storage::PartOfBus::of_facts(&of(bank), &all)
    };
    let (lasting, first) = (part(&charge), part(&eases));
    Some(match every([("in the long run".into(), lasting), ("at first".into(), first)].into_iter()) {
        Ok(shares) => quantity::greatest(shares, &units::RATIO)
            .map_or_else(|| Fact::unknown(format!("bank.{}", bank.bank.name), WhoKnows::Owner), Fact::Known),
        Err(gap) => Fact::Unknown(gap),
    })
}

/// An inverter as its battery conductors see it.
fn inverter_input(system: &System, unit: &Unit) -> Option<InverterInput> {
    let inverter = system.inverter_of(unit)?;
    let efficiency = inverter.efficiency.and_then(|points| match points.value.last() {
        Some((_, at_full)) => Fact::Known(points.with(Ratio::from_si(*at_full))),
        None => Fact::unknown(format!("inverter.{}.efficiency", inverter.name), WhoKnows::DataSheet),
    });
    Some(InverterInput {
        name: unit.name.clone(),
        output: inverter.output.clone(),
        efficiency,
        charge: inverter.charge.clone(),
    })
}
