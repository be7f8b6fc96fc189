//! What a circuit must carry: the facts on which its design current, its voltage and its faults rest.

use crate::facts::Supply;
use crate::faults::AcFault;
use quantity::{Count, Current, Fact, Power, Ratio, Voltage};
use std::sync::Arc;

/// What a circuit is for.
#[derive(Clone, Debug, PartialEq)]
pub enum Demand {
    /// One or several strings of modules on one pair of conductors.
    PvStrings(PvStrings),
    /// One battery unit to the bus.
    BatteryUnit(BatteryUnit),
    /// The bus to one inverter, or a conductor shared by several.
    BusToInverters(BusToInverters),
    /// A charge controller to the bus.
    ControllerToBus(ControllerToBus),
    /// The output of an inverter.
    InverterOutput(InverterOutput),
    /// A feeder or a load circuit whose continuous current is known or stated.
    Ac(AcLoad),
    /// The supply from the utility, behind its main device.
    UtilitySupply(UtilitySupply),
    /// The output of a generator.
    GeneratorSupply(GeneratorSupply),
}

/// Strings in parallel on one pair of conductors. The label values are those of one string.
#[derive(Clone, Debug, PartialEq)]
pub struct PvStrings {
    /// Strings joined ahead of this pair; 1 for a source circuit.
    pub in_parallel: Fact<Count>,
    /// Short-circuit current of one string at standard conditions.
    pub isc: Fact<Current>,
    /// Current of one string at maximum power.
    pub imp: Fact<Current>,
    /// Voltage of the string at maximum power, standard conditions.
    pub vmp: Fact<Voltage>,
    /// Open-circuit voltage of the string on the coldest morning.
    pub voc_cold: Fact<Voltage>,
    /// Largest series fuse the module allows.
    pub series_fuse: Fact<Current>,
    /// Strings in parallel on the same input or controller, this circuit's own among them.
    pub strings_on_the_input: Fact<Count>,
    /// Current the input can push back into a fault; 0 A only when its maker says so. Unknown counts as can.
    pub back_feed: Fact<Current>,
}

/// Voltages of a battery between which its circuits work.
#[derive(Clone, Debug, PartialEq)]
pub struct BatteryVolts {
    /// Lowest voltage at which the inverter still runs at full output: its or the battery's cut-off.
    pub lowest: Fact<Voltage>,
    /// Nominal voltage.
    pub nominal: Fact<Voltage>,
    /// Highest charging voltage.
    pub highest: Fact<Voltage>,
}

/// Units of other banks on the same bus.
#[derive(Clone, Debug, PartialEq)]
pub struct BesideUnits {
    /// Short-circuit current of all of them together.
    pub all: Fact<Current>,
    /// That of the one that gives least.
    pub least: Fact<Current>,
}

/// One of several units in parallel on a bus.
#[derive(Clone, Debug, PartialEq)]
pub struct BatteryUnit {
    /// Rated continuous charge current of the unit.
    pub charge: Fact<Current>,
    /// Rated continuous discharge current of the unit.
    pub discharge: Fact<Current>,
    /// Voltages.
    pub volts: BatteryVolts,
    /// Current the unit delivers into a short circuit, from its maker.
    pub short_circuit: Fact<Current>,
    /// Units of its bank in parallel on the bus, this one among them.
    pub units_on_the_bus: Fact<Count>,
    /// Units of other banks on the same bus; `None` where there are none.
    pub beside: Option<Box<BesideUnits>>,
    /// Greatest continuous current between the bus and everything that is not a battery.
    pub bus_current: Fact<Current>,
}

/// An inverter as its battery conductors see it.
#[derive(Clone, Debug, PartialEq)]
pub struct InverterInput {
    /// Owner's name.
    pub name: Arc<str>,
    /// Rated continuous output.
    pub output: Fact<Power>,
    /// Efficiency at full output.
    pub efficiency: Fact<Ratio>,
    /// Largest charging current it sends to the battery; 0 A for one that cannot charge.
    pub charge: Fact<Current>,
}

/// One conductor pair from the bus to one or several inverters.
#[derive(Clone, Debug, PartialEq)]
pub struct BusToInverters {
    /// The inverters behind it, never empty in a valid graph.
    pub inverters: Vec<InverterInput>,
    /// Voltages.
    pub volts: BatteryVolts,
    /// Short-circuit current of one battery unit.
    pub short_circuit: Fact<Current>,
    /// Units in parallel on the bus.
    pub units_on_the_bus: Fact<Count>,
    /// Units of other banks on the same bus; `None` where there are none.
    pub beside: Option<Box<BesideUnits>>,
}

/// A charge controller's battery side.
#[derive(Clone, Debug, PartialEq)]
pub struct ControllerToBus {
    /// Largest charging current.
    pub charge: Fact<Current>,
    /// Voltages.
    pub volts: BatteryVolts,
    /// Short-circuit current of one battery unit.
    pub short_circuit: Fact<Current>,
    /// Units in parallel on the bus.
    pub units_on_the_bus: Fact<Count>,
    /// Units of other banks on the same bus; `None` where there are none.
    pub beside: Option<Box<BesideUnits>>,
}

/// What an inverter sends to its panel.
#[derive(Clone, Debug, PartialEq)]
pub struct InverterOutput {
    /// Rated continuous output; the rating governs, not the load.
    pub output: Fact<Power>,
    /// Voltage between the conductors that carry it.
    pub volts: Fact<Voltage>,
    /// Continuous current it passes from its input to its output, which the same conductors carry; 0 A for none.
    pub passes_through: Fact<Current>,
    /// Sources of a short on it, among them what it passes through.
    pub fault: AcFault,
}

/// A feeder or a load circuit.
#[derive(Clone, Debug, PartialEq)]
pub struct AcLoad {
    /// Continuous current.
    pub continuous: Fact<Current>,
    /// Voltage between the conductors that carry it.
    pub volts: Fact<Voltage>,
    /// Sources of a short on it.
    pub fault: AcFault,
    /// Whether it feeds several receptacles for cord-and-plug loads; unknown counts as yes.
    pub receptacles: Fact<bool>,
}

/// The conductors behind a main device.
#[derive(Clone, Debug, PartialEq)]
pub struct UtilitySupply {
    /// Rating of the main device that protects them.
    pub main: Fact<Current>,
    /// Voltage between the outer conductors.
    pub volts: Fact<Voltage>,
    /// Whether the conductors carry the whole load of one dwelling, so that NEC 310.12 applies.
    pub whole_dwelling: Fact<bool>,
    /// Sources of a short on it; what the utility feeds only the utility knows.
    pub fault: AcFault,
}

/// A generator's output.
#[derive(Clone, Debug, PartialEq)]
pub struct GeneratorSupply {
    /// Rated continuous current from its nameplate.
    pub rated: Fact<Current>,
    /// Voltage between the outer conductors.
    pub volts: Fact<Voltage>,
    /// Sources of a short on it.
    pub fault: AcFault,
}

impl Demand {
    /// Direct or alternating current.
    pub fn supply(&self) -> Supply {
        match self {
            Demand::PvStrings(_)
            | Demand::BatteryUnit(_)
            | Demand::BusToInverters(_)
            | Demand::ControllerToBus(_) => Supply::Dc,
            Demand::InverterOutput(_)
            | Demand::Ac(_)
            | Demand::UtilitySupply(_)
            | Demand::GeneratorSupply(_) => Supply::Ac,
        }
    }

    /// Sources of a short on a circuit of alternating current.
    pub fn ac_fault(&self) -> Option<&AcFault> {
        match self {
            Demand::InverterOutput(inverter) => Some(&inverter.fault),
            Demand::Ac(load) => Some(&load.fault),
            Demand::UtilitySupply(utility) => Some(&utility.fault),
            Demand::GeneratorSupply(generator) => Some(&generator.fault),
            _ => None,
        }
    }

    /// Whether it is a circuit of the array, for which NEC article 690 speaks.
    pub fn is_pv(&self) -> bool {
        matches!(self, Demand::PvStrings(_))
    }

    /// Whether current may flow in both directions through its device, so that a polarised one would fail.
    /// For strings this depends on what can flow back.
    pub fn flows_both_ways(&self) -> bool {
        match self {
            // A controller passes nothing back by itself, but the battery feeds a fault on its side.
            Demand::BatteryUnit(_) | Demand::BusToInverters(_) | Demand::ControllerToBus(_) => true,
            Demand::PvStrings(pv) => {
                pv.strings_on_the_input.value().is_none_or(|n| n.0 > 1)
                    || pv.back_feed.si().is_none_or(|amps| amps > 0.0)
            }
            Demand::InverterOutput(_)
            | Demand::Ac(_)
            | Demand::UtilitySupply(_)
            | Demand::GeneratorSupply(_) => false,
        }
    }
}
