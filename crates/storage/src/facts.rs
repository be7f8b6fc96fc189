//! What is known of batteries and banks.

use quantity::{Charge, Count, Current, Fact, Mass, Money, Power, Ratio, Temperature, Voltage};
use std::sync::Arc;

/// Cell chemistry.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Chemistry {
    /// Lithium iron phosphate.
    Lfp,
    /// Flooded or sealed lead-acid.
    LeadAcid,
}

/// One battery unit by its data sheet.
#[derive(Clone, Debug, PartialEq)]
pub struct Battery {
    /// The owner's name for the part.
    pub name: Arc<str>,
    /// Chemistry.
    pub chemistry: Fact<Chemistry>,
    /// Nominal voltage.
    pub nominal: Fact<Voltage>,
    /// Rated capacity (lead-acid: at the 20 h rate).
    pub capacity: Fact<Charge>,
    /// Continuous charge current.
    pub charge: Fact<Current>,
    /// Continuous discharge current.
    pub discharge: Fact<Current>,
    /// Peak discharge current.
    pub peak: Fact<Current>,
    /// Voltage at which it cuts off.
    pub cut_off: Fact<Voltage>,
    /// Highest charging voltage.
    pub charge_voltage: Fact<Voltage>,
    /// Lowest state of charge in daily use.
    pub usable_low: Fact<Ratio>,
    /// Highest state of charge in daily use.
    pub usable_high: Fact<Ratio>,
    /// Coldest cell temperature at which it may be charged.
    pub charge_above: Fact<Temperature>,
    /// Cell temperature from which it takes its full charge current, where the maker asks for less in the cold.
    pub full_charge_from: Option<Fact<Temperature>>,
    /// Whether it refuses charging below that temperature by itself.
    pub low_temperature_cut_off: Fact<bool>,
    /// Current into a dead short at the terminals.
    pub short_circuit: Fact<Current>,
    /// Largest number the maker allows side by side.
    pub units_in_parallel: Fact<Count>,
    /// Energy out over energy in, at moderate current.
    pub round_trip: Fact<Ratio>,
    /// Draw of its own electronics.
    pub standby: Fact<Power>,
    /// Loss per month at rest.
    pub self_discharge: Fact<Ratio>,
    /// Whether electronics hold it off until its capacitor load is pre-charged.
    pub electronic_switch: Fact<bool>,
    /// A breaker that breaks its whole current is built in, opened by hand and lockable.
    pub breaker: Fact<bool>,
    /// Fills the capacitors of the inverter by itself before it switches on.
    pub pre_charge: Fact<bool>,
    /// A fire test lets units stand closer together than 3 ft.
    pub close_together: Fact<bool>,
    /// Mass of one.
    pub mass: Fact<Mass>,
    /// Price of one.
    pub price: Fact<Money>,
}

/// Units of one battery part on a common bus.
#[derive(Clone, Debug, PartialEq)]
pub struct Bank {
    /// The owner's name for it.
    pub name: Arc<str>,
    /// Name of the battery part.
    pub battery: Arc<str>,
    /// Strings of units side by side.
    pub parallel: Fact<Count>,
    /// Units in series in each.
    pub series: Fact<Count>,
    /// Room it stands in.
    pub room: Arc<str>,
}
