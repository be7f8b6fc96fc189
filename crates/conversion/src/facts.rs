//! What is known of inverters, charge controllers, generators and transfer devices.

use quantity::{
    ApparentPower, Count, Current, Fact, Mass, Money, PerKelvin, Power, Ratio, Temperature, Time, Voltage,
};
use std::sync::Arc;

/// Output arrangement of one unit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum OutputVolts {
    /// One leg, 120 V.
    Single120,
    /// Both legs from one unit, 120/240 V.
    Split240,
    /// Single phase, 230 V.
    Single230,
}

impl OutputVolts {
    /// Volts from leg to neutral.
    pub fn to_neutral(self) -> f64 {
        match self {
            OutputVolts::Single120 | OutputVolts::Split240 => 120.0,
            OutputVolts::Single230 => 230.0,
        }
    }

    /// Volts across the unit's own output.
    pub fn across(self) -> f64 {
        match self {
            OutputVolts::Single120 => 120.0,
            OutputVolts::Split240 => 240.0,
            OutputVolts::Single230 => 230.0,
        }
    }
}

/// Whether a device ties neutral to ground inside.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum NeutralBond {
    /// No bond inside.
    None,
    /// Always bonded, cannot be lifted.
    Fixed,
    /// Bonded as delivered, can be lifted.
    Removable,
    /// A relay bonds while inverting and opens when another source is present.
    RelayWhenInverting,
}

/// How units of one part may be stacked to run as one source.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Stackable {
    /// Not at all: each stands alone.
    No,
    /// Several on one leg.
    SamePhase,
    /// One on each of two legs.
    SplitPhase,
    /// Several on each of two legs.
    Both,
}

/// One tracker input for modules.
#[derive(Clone, Debug, PartialEq)]
pub struct PvInput {
    /// Voltage that must never be exceeded.
    pub voltage_limit: Fact<Voltage>,
    /// Lowest voltage at which it tracks maximum power.
    pub track_low: Fact<Voltage>,
    /// Highest voltage at which it tracks maximum power.
    pub track_high: Fact<Voltage>,
    /// Highest current it uses.
    pub current: Fact<Current>,
    /// Highest short-circuit current it withstands.
    pub short_circuit: Fact<Current>,
    /// Highest power it takes.
    pub power: Fact<Power>,
    /// Current it can feed back into a faulted string; unknown counts as "can".
    pub back_feed: Fact<Current>,
}

/// A point of an efficiency curve: share of rated output, efficiency there.
pub type CurvePoint = (f64, f64);

/// An inverter, with charger and module inputs where it has them.
#[derive(Clone, Debug, PartialEq)]
pub struct Inverter {
    /// The owner's name for the part.
    pub name: Arc<str>,
    /// Continuous output at the stated temperature.
    pub output: Fact<Power>,
    /// Continuous output in volt-amperes.
    pub output_va: Fact<ApparentPower>,
    /// Output arrangement.
    pub volts: Fact<OutputVolts>,
    /// Short overload it carries.
    pub surge: Fact<ApparentPower>,
    /// For how long.
    pub surge_time: Fact<Time>,
    /// Efficiency from battery to AC at shares of rated output, at least one point.
    pub efficiency: Fact<Arc<[CurvePoint]>>,
    /// Highest of them at any output, where stated.
    pub peak_efficiency: Option<Fact<Ratio>>,
    /// Efficiency from AC to battery.
    pub charge_efficiency: Fact<Ratio>,
    /// Efficiency from module input to battery.
    pub pv_efficiency: Fact<Ratio>,
    /// Efficiency from module input to battery at shares of rated output, where given.
    pub pv_to_battery: Option<Fact<Arc<[CurvePoint]>>>,
    /// Efficiency from AC to battery at shares of rated output, where given.
    pub ac_to_battery: Option<Fact<Arc<[CurvePoint]>>>,
    /// Efficiency from modules to AC in one step at shares of rated output, for a unit that converts so.
    pub pv_to_ac: Option<Fact<Arc<[CurvePoint]>>>,
    /// Draw while on without load.
    pub idle: Fact<Power>,
    /// Output given up in a hot room, where stated: full up to, and change per kelvin above, negative.
    pub in_heat: Option<(Fact<Temperature>, Fact<PerKelvin>)>,
    /// Lowest battery voltage at which it still gives full output.
    pub battery_low: Fact<Voltage>,
    /// Highest battery voltage it accepts.
    pub battery_high: Fact<Voltage>,
    /// Neutral bond inside.
    pub neutral_bond: Fact<NeutralBond>,
    /// Whether it parts the neutral of its input while it makes its own supply.
    pub parts_neutral: Fact<bool>,
    /// Current it passes from AC input to output.
    pub passes_through: Fact<Current>,
    /// Inputs for modules, in order.
    pub pv_inputs: Vec<PvInput>,
    /// Largest array the maker allows on one unit.
    pub array_power: Fact<Power>,
    /// Highest charge current into the battery, all sources together.
    pub charge: Fact<Current>,
    /// Highest charge current from its AC input.
    pub charge_from_ac: Fact<Current>,
    /// Largest number the maker allows side by side.
    pub units_in_parallel: Fact<Count>,
    /// How units may be stacked.
    pub stackable: Fact<Stackable>,
    /// Current it feeds into a short on its output.
    pub fault_current: Fact<Current>,
    /// Switches itself off on a short at its output.
    pub ends_short: Fact<bool>,
    /// Time after which its output voltage has fallen to 50 V or less on a short.
    pub voltage_gone_within: Fact<Time>,
    /// Its direct and its alternating side are separated by a transformer at least.
    pub separated: Fact<bool>,
    /// Its maker asks for a residual-current device of type B on its alternating side.
    pub asks_type_b: Fact<bool>,
    /// Capacitance of its battery input, millifarads.
    pub input_millifarads: Fact<quantity::Number>,
    /// Fills its capacitors by itself when a battery is switched on to it.
    pub pre_charge: Fact<bool>,
    /// May feed the utility.
    pub interactive: Fact<bool>,
    /// Lowers its output when the frequency of its supply rises.
    pub follows_frequency: Fact<bool>,
    /// Highest ambient temperature at full output.
    pub works_up_to: Fact<Temperature>,
    /// A load-break switch for the module inputs is built in, turned by hand and lockable.
    pub pv_switch: Fact<bool>,
    /// Time after which its capacitors are down to a harmless voltage.
    pub discharges_within: Fact<Time>,
    /// Watches its modules for current to ground.
    pub ground_fault_protection: Fact<bool>,
    /// Listens for arcs in the module circuits and stops them.
    pub arc_fault_protection: Fact<bool>,
    /// Surge protective devices are built in at its module inputs.
    pub surge_protection: Fact<bool>,
    /// Mass of one.
    pub mass: Fact<Mass>,
    /// Price of one.
    pub price: Fact<Money>,
}

/// A charge controller between modules and battery.
#[derive(Clone, Debug, PartialEq)]
pub struct Controller {
    /// The owner's name for the part.
    pub name: Arc<str>,
    /// Its inputs for modules.
    pub pv_inputs: Vec<PvInput>,
    /// Highest charge current into the battery.
    pub charge: Fact<Current>,
    /// Conversion efficiency.
    pub efficiency: Fact<Ratio>,
    /// Own draw.
    pub idle: Fact<Power>,
    /// A load-break switch for the module inputs is built in, turned by hand and lockable.
    pub pv_switch: Fact<bool>,
    /// Time after which its capacitors are down to a harmless voltage.
    pub discharges_within: Fact<Time>,
    /// Watches its modules for current to ground.
    pub ground_fault_protection: Fact<bool>,
    /// Listens for arcs in the module circuits and stops them.
    pub arc_fault_protection: Fact<bool>,
    /// Surge protective devices are built in at its module inputs.
    pub surge_protection: Fact<bool>,
    /// Mass of one.
    pub mass: Fact<Mass>,
    /// Price of one.
    pub price: Fact<Money>,
}

/// An engine generator.
#[derive(Clone, Debug, PartialEq)]
pub struct Generator {
    /// The owner's name for it.
    pub name: Arc<str>,
    /// Continuous power at sea level.
    pub output: Fact<Power>,
    /// Volts of its output.
    pub volts: Fact<OutputVolts>,
    /// Neutral bond inside.
    pub neutral_bond: Fact<NeutralBond>,
    /// Share of power lost per 1000 m above sea level.
    pub altitude_loss: Fact<Ratio>,
    /// Fuel in litres per kilowatt-hour.
    pub fuel_per_kwh: Fact<quantity::Number>,
    /// Price of one.
    pub price: Fact<Money>,
    /// Battery state of charge at which it starts.
    pub start_below: Fact<Ratio>,
    /// Battery state of charge at which it stops.
    pub stop_above: Fact<Ratio>,
    /// Shortest run once started.
    pub shortest_run: Fact<Time>,
    /// Starts without a person.
    pub automatic: Fact<bool>,
    /// Rated output in volt-amperes; its watts where nothing else is stated.
    pub output_va: Fact<ApparentPower>,
    /// Subtransient reactance, share of its rating.
    pub subtransient: Fact<Ratio>,
    /// Current it feeds into a short in the first cycles.
    pub fault_current: Fact<Current>,
    /// Current it keeps feeding into a short.
    pub lasting_fault: Fact<Current>,
    /// Switches itself off on a short at its output.
    pub ends_short: Fact<bool>,
}

/// How one of several sources is chosen.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum TransferKind {
    /// A person turns a switch.
    Manual,
    /// A device does it.
    Automatic,
}

/// A device that connects its load side to one of several sources, never to two.
#[derive(Clone, Debug, PartialEq)]
pub struct Transfer {
    /// The owner's name for it.
    pub name: Arc<str>,
    /// Who turns it.
    pub kind: Fact<TransferKind>,
    /// Rating.
    pub rating: Fact<Current>,
    /// Whether it switches the neutral too.
    pub switches_neutral: Fact<bool>,
    /// How long the house is dark until it is turned.
    pub acts_within: Fact<Time>,
    /// Sources, in the order of its positions.
    pub from: Vec<Arc<str>>,
    /// Price of one.
    pub price: Fact<Money>,
}
