//! Facts that let a person work on the system.

use quantity::{ApparentPower, Area, Count, Current, Energy, Fact, Length, Money, Resistance, Voltage};
use std::sync::Arc;

/// A tie between neutral and ground that the owner names.
#[derive(Clone, Debug, PartialEq)]
pub struct StatedBond {
    /// Name.
    pub name: Arc<str>,
    /// Panel or generator it is in.
    pub at: Arc<str>,
    /// Whether it is fitted.
    pub fitted: Fact<bool>,
}

/// The dwelling as its service sees it.
#[derive(Clone, Debug, PartialEq)]
pub struct Household {
    /// Panel that carries the whole dwelling.
    pub panel: Arc<str>,
    /// Floor area.
    pub floor_area: Fact<Area>,
    /// Small-appliance and laundry circuits.
    pub circuits: Fact<Count>,
    /// Whether the calculation for existing dwellings is asked for.
    pub existing: Fact<bool>,
}

/// Equipment fastened in place.
#[derive(Clone, Debug, PartialEq)]
pub struct Appliance {
    /// Name.
    pub name: Arc<str>,
    /// What it is.
    pub kind: Fact<wiring::ApplianceKind>,
    /// Nameplate.
    pub rated: Fact<ApparentPower>,
    /// Heaters with a thermostat of their own; one where nothing is said.
    pub controlled_apart: u32,
    /// Whether it comes with this design, in an existing dwelling.
    pub added: bool,
}

/// Where sources sit on a busbar.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SourcesAt {
    /// At the end opposite to the feed.
    OppositeEnd,
    /// At one end of a busbar that is fed at its centre.
    CentreFedOneEnd,
    /// Elsewhere.
    Elsewhere,
}

/// Where a control for an emergency is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Control {
    /// Outside, within easy reach.
    Outside,
    /// Inside.
    Inside,
    /// There is none.
    None,
}

/// How far a disconnect stands from what it serves.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stands {
    /// In or at the equipment.
    AtEquipment,
    /// In sight of it and within 10 ft.
    InSight,
    /// Farther away.
    Away,
}

/// A switch that opens one circuit by hand.
#[derive(Clone, Debug, PartialEq)]
pub struct Disconnect {
    /// Name.
    pub name: Arc<str>,
    /// The two ends of the circuit it opens; fewer or more where the design is wrong.
    pub between: Vec<Arc<str>>,
    /// The end it stands at.
    pub at: Arc<str>,
    /// What it is.
    pub kind: Fact<wiring::SwitchKind>,
    /// Rated current.
    pub rating: Fact<Current>,
    /// Rated voltage.
    pub volts: Fact<Voltage>,
    /// How far from the equipment.
    pub stands: Fact<Stands>,
    /// Whether it can be locked open.
    pub lockable: Fact<bool>,
    /// Price.
    pub price: Fact<Money>,
}

/// Type of a surge protective device.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum SurgeType {
    /// Before or behind the service device.
    One,
    /// Behind it.
    Two,
    /// Both.
    OneAndTwo,
    /// At the point of use, 10 m from the service and more.
    Three,
}

impl SurgeType {
    /// Every type.
    pub const ALL: [SurgeType; 4] = [SurgeType::One, SurgeType::Two, SurgeType::OneAndTwo, SurgeType::Three];

    /// The words of the design.
    pub fn in_words(self) -> &'static str {
        match self {
            SurgeType::One => "type 1",
            SurgeType::Two => "type 2",
            SurgeType::OneAndTwo => "type 1 and 2",
            SurgeType::Three => "type 3",
        }
    }
}

/// A surge protective device.
#[derive(Clone, Debug, PartialEq)]
pub struct SurgeDevice {
    /// Name.
    pub name: Arc<str>,
    /// What it is connected at.
    pub at: Arc<str>,
    /// Whether it is on module circuits; unknown counts as on neither.
    pub on_modules: Fact<bool>,
    /// Type on its label.
    pub kind: Fact<SurgeType>,
    /// Highest voltage at which it may lie for good.
    pub volts: Fact<Voltage>,
    /// Price.
    pub price: Fact<Money>,
}

/// A path with a resistor past the switch of a bank.
#[derive(Clone, Debug, PartialEq)]
pub struct PreChargePath {
    /// Its resistor.
    pub resistor: Fact<Resistance>,
    /// Energy the resistor bears in one pulse.
    pub bears: Fact<Energy>,
}

/// Whether vehicles can hit a bank.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Vehicles {
    /// They cannot reach it.
    Away,
    /// Posts or a curb guard it.
    Guarded,
    /// They can hit it.
    Unguarded,
}

/// Free space in front of equipment, as measured.
#[derive(Clone, Debug, PartialEq)]
pub struct WorkingSpace {
    /// From its front to what stands opposite.
    pub depth: Fact<Length>,
    /// Width.
    pub width: Fact<Length>,
    /// Height from the floor.
    pub height: Fact<Length>,
    /// What stands opposite.
    pub opposite: Fact<wiring::Opposite>,
    /// Width of the equipment, where it is stated.
    pub own_width: Option<Fact<Length>>,
    /// Its door opens by 90 degrees.
    pub door_opens: Fact<bool>,
    /// No pipes and ducts run above and below it.
    pub free_of_pipes: Fact<bool>,
}

/// How a signal cable is kept from power conductors.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Separation {
    /// 2 in or more apart.
    Apart,
    /// In a raceway of its own.
    OwnRaceway,
    /// Behind a barrier.
    Barrier,
    /// Together with power conductors.
    None,
}

impl Separation {
    /// The words.
    pub fn in_words(self) -> &'static str {
        match self {
            Separation::Apart => "2 in from power conductors",
            Separation::OwnRaceway => "in a raceway of its own",
            Separation::Barrier => "behind a barrier",
            Separation::None => "with power conductors",
        }
    }
}

/// A cable for signals.
#[derive(Clone, Debug, PartialEq)]
pub struct Cable {
    /// Name.
    pub name: Arc<str>,
    /// The two things it joins.
    pub between: Vec<Arc<str>>,
    /// What it carries, in words.
    pub carries: Arc<str>,
    /// Its way, in words.
    pub way: Arc<str>,
    /// Length along its way.
    pub length: Fact<Length>,
    /// Greatest length its maker allows.
    pub longest: Fact<Length>,
    /// How it is kept from power conductors.
    pub separation: Fact<Separation>,
    /// How its ends are made.
    pub ends: Fact<Arc<str>>,
    /// Price.
    pub price: Fact<Money>,
    /// Where the design states it.
    pub field: quantity::FieldPath,
}

/// What a shop asks for a thing bought by the piece.
#[derive(Clone, Debug, PartialEq)]
pub struct Piece {
    /// As it stands on the purchase list.
    pub name: Arc<str>,
    /// Price of one.
    pub price: Fact<Money>,
}
