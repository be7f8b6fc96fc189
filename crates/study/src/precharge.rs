//! How the capacitors of the inverters on a bank are filled before the bank is switched on to them.

use crate::Study;
use design::system::{BankIn, System};
use quantity::{
    Current, Energy, Fact, Figure, FigureName, Gap, Number, Resistance, Time, Value, WhoKnows, sum, units,
};
use std::sync::Arc;

/// What fills them.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FilledBy {
    /// A path with a resistor past the switch of the bank.
    Path,
    /// Every battery unit, by its own electronics.
    Battery,
    /// Every inverter, by itself.
    Inverters,
    /// Nothing that is stated.
    Nothing,
}

impl FilledBy {
    /// The words for a table.
    pub fn in_words(self) -> &'static str {
        match self {
            FilledBy::Path => "a resistor past the switch",
            FilledBy::Battery => "the battery units themselves",
            FilledBy::Inverters => "the inverters themselves",
            FilledBy::Nothing => "nothing stated",
        }
    }
}

/// One bank with the inverters on it.
#[derive(Clone, Debug)]
pub struct PreCharge {
    /// The bank.
    pub bank: Arc<str>,
    /// Inverters on it.
    pub inverters: Vec<Arc<str>>,
    /// Capacitance of their battery inputs together, millifarads.
    pub capacitance: Fact<Number>,
    /// What they hold at the highest voltage of the bank.
    pub energy: Fact<Energy>,
    /// What fills them.
    pub by: Fact<FilledBy>,
    /// The resistor: the one stated, else the one found for the voltage.
    pub resistor: Fact<Resistance>,
    /// Energy the stated resistor bears in one pulse; `None` without a stated path.
    pub bears: Option<Fact<Energy>>,
    /// Current at first.
    pub first: Fact<Current>,
    /// Time until they are within 1 % of the battery.
    pub time: Fact<Time>,
}

/// Every bank with inverters on it.
pub fn pre_charges(study: &Study) -> Vec<PreCharge> {
    study.design.system.banks.iter().filter_map(|bank| of_bank(study, bank)).collect()
}

fn of_bank(study: &Study, bank: &BankIn) -> Option<PreCharge> {
    let system = &study.design.system;
    let name = &bank.bank.name;
    if system.bus_of(name) != &**name {
        return None;
    }
    let hanging: Vec<_> = system
        .units_on(name)
        .filter_map(|unit| Some((unit.name.clone(), system.inverter_of(unit)?)))
        .collect();
    if hanging.is_empty() {
        return None;
    }
    let mut parts = Vec::new();
    let mut gap: Option<Gap> = None;
    for (unit, inverter) in &hanging {
        match &inverter.input_millifarads {
            Fact::Known(each) => parts.push((unit.clone(), each.clone())),
            Fact::Unknown(more) => gap = Some(gap.map_or(more.clone(), |gap| gap.and(more))),
        }
    }
    let capacitance = gap.map_or_else(|| Fact::Known(sum(parts, &units::NUMBER)), Fact::Unknown);
    let volts = study.banks.iter().find(|found| found.name == *name).map_or_else(
        || Fact::unknown(format!("bank.{name}"), WhoKnows::Owner),
        |found| found.volts.highest.clone(),
    );
    let (resistor, bears) = match &bank.pre_charge {
        Some(path) => (path.resistor.clone(), Some(path.bears.clone())),
        None => (wiring::filling_resistor(&volts), None),
    };
    Some(PreCharge {
        bank: name.clone(),
        energy: wiring::StoredEnergy::of_facts(&capacitance, &volts),
        by: filled_by(system, bank, hanging.iter().map(|(_, inverter)| *inverter)),
        first: wiring::FirstCurrent::of_facts(&volts, &positive(&resistor)),
        time: wiring::FillingTime::of_facts(&resistor, &capacitance),
        inverters: hanging.into_iter().map(|(unit, _)| unit).collect(),
        capacitance,
        resistor,
        bears,
    })
}

/// A resistor of nothing fills nothing.
fn positive(resistor: &Fact<Resistance>) -> Fact<Resistance> {
    resistor.and_then(|r| {
        if r.si() > 0.0 {
            Fact::Known(r.clone())
        } else {
            Fact::unknown("bank.pre_charge.ohms", WhoKnows::Owner)
        }
    })
}

fn filled_by<'a>(
    system: &System,
    bank: &BankIn,
    inverters: impl Iterator<Item = &'a conversion::Inverter>,
) -> Fact<FilledBy> {
    if let Some(path) = &bank.pre_charge {
        return path.resistor.clone().map(|_| FilledBy::Path);
    }
    // Whichever bank of the bus is switched on first meets the empty capacitors.
    let each = system.banks_on(&bank.bank.name).map(|on_bus| {
        system.battery(&on_bus.bank.battery).map_or_else(
            || Fact::unknown(format!("battery.{}", on_bus.bank.battery), WhoKnows::Maker),
            |battery| battery.pre_charge.clone(),
        )
    });
    let battery = each.reduce(both_fill).unwrap_or_else(|| Fact::unknown("bank", WhoKnows::Owner));
    if battery.value() == Some(&true) {
        return battery.map(|_| FilledBy::Battery);
    }
    let own: Vec<Fact<bool>> = inverters.map(|inverter| inverter.pre_charge.clone()).collect();
    if let Some(first) = own.first().filter(|_| own.iter().all(|own| own.value() == Some(&true))) {
        return first.clone().map(|_| FilledBy::Inverters);
    }
    // One inverter without suffices to need another way, so only the battery can still decide it.
    let inverters_known_without = own.iter().any(|own| own.value() == Some(&false));
    let mut gaps = battery.gap().into_iter();
    let gap = if inverters_known_without {
        gaps.next().cloned()
    } else {
        gaps.chain(own.iter().filter_map(Fact::gap)).cloned().reduce(|a, b| a.and(&b))
    };
    match gap {
        Some(gap) => Fact::Unknown(gap),
        None => battery.map(|_| FilledBy::Nothing),
    }
}

/// Whether two batteries both do it: one that does not suffices to know.
fn both_fill(one: Fact<bool>, other: Fact<bool>) -> Fact<bool> {
    match (one.value(), other.value()) {
        (Some(false), _) => one,
        (_, Some(false)) => other,
        (Some(true), _) => other,
        (None, _) => one,
    }
}

/// Name of a figure of a bank's filling.
fn named(bank: &str, what: &str) -> FigureName {
    FigureName::new(&["pre-charge", bank, what])
}

/// Figures by their names.
pub(crate) fn figures(study: &Study) -> Vec<Figure> {
    let mut all = Vec::new();
    for fill in pre_charges(study) {
        macro_rules! put {
            ($what:literal, $says:literal, $fact:expr) => {
                if let Fact::Known(traced) = &$fact {
                    all.push(Figure {
                        name: named(&fill.bank, $what),
                        says: format!("{}: {}", fill.bank, $says),
                        value: Value::from(traced),
                        origin: traced.origin.clone(),
                    });
                }
            };
        }
        put!("capacitance", "capacitance of the inverters on it, millifarads", fill.capacitance);
        put!("energy", "energy in their capacitors at its highest voltage", fill.energy);
        put!("resistor", "resistor to fill them through", fill.resistor);
        put!("first-current", "current when the resistor is joined", fill.first);
        put!("time", "time until they are full", fill.time);
    }
    all
}
