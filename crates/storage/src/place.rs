//! How much storage may stand where at one- and two-family dwellings.
//!
//! NFPA 855 (2023), chapter 15, and IRC R328, the parallel text for houses; both read second-hand: 1 to 20 kWh a unit, 40
//! kWh in a utility or storage space, 80 kWh at each other place, none where people live and sleep.

use quantity::{Clause, Energy, Length, Measure, Standing, TableRow, Traced, units};

/// What the place of a bank is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum PlaceKind {
    /// A bedroom, or a closet or space that opens into one.
    Bedroom,
    /// Another room people live in.
    LivingSpace,
    /// A closet, cellar or room for utilities or storage, apart from rooms people live in.
    UtilitySpace,
    /// A garage that is part of the house.
    AttachedGarage,
    /// A garage, shed or workshop apart from the house.
    Outbuilding,
    /// Outdoors on the outside of a wall.
    OutsideWall,
    /// Outdoors on the ground.
    Ground,
    /// Under a roof, or another void of the building.
    RoofSpace,
    /// Stairs, landing, hall or corridor by which people leave.
    EscapeRoute,
}

impl PlaceKind {
    /// The words of the design.
    pub fn in_words(self) -> &'static str {
        match self {
            PlaceKind::Bedroom => "bedroom",
            PlaceKind::LivingSpace => "living space",
            PlaceKind::UtilitySpace => "utility or storage space",
            PlaceKind::AttachedGarage => "attached garage",
            PlaceKind::Outbuilding => "outbuilding",
            PlaceKind::OutsideWall => "outside wall",
            PlaceKind::Ground => "ground outdoors",
            PlaceKind::RoofSpace => "loft or roof space",
            PlaceKind::EscapeRoute => "stairs, hall or corridor",
        }
    }

    /// Every kind, for the words of the design.
    pub const ALL: [PlaceKind; 9] = [
        PlaceKind::Bedroom,
        PlaceKind::LivingSpace,
        PlaceKind::UtilitySpace,
        PlaceKind::AttachedGarage,
        PlaceKind::Outbuilding,
        PlaceKind::OutsideWall,
        PlaceKind::Ground,
        PlaceKind::RoofSpace,
        PlaceKind::EscapeRoute,
    ];

    /// Whether no storage may stand there at all (R328.4 lists the places that may; the last two, from memory, are not
    /// among them).
    pub fn never(self) -> bool {
        use PlaceKind::{Bedroom, EscapeRoute, LivingSpace, RoofSpace};
        matches!(self, Bedroom | LivingSpace | RoofSpace | EscapeRoute)
    }

    /// Whether PAS 63100 lets none stand there: where people sleep, on the way out, in lofts and voids.
    pub fn never_in_britain(self) -> bool {
        matches!(self, PlaceKind::Bedroom | PlaceKind::RoofSpace | PlaceKind::EscapeRoute)
    }

    /// Whether a vehicle may reach it.
    pub fn vehicles_reach(self) -> bool {
        matches!(self, PlaceKind::AttachedGarage | PlaceKind::Outbuilding | PlaceKind::Ground)
    }

    /// Whether a detector joined with those of the house is asked for there (R328.7).
    pub fn asks_detector(self) -> bool {
        matches!(self, PlaceKind::UtilitySpace | PlaceKind::AttachedGarage)
    }

    /// Whether it is outdoors, where doors and windows of the house keep their distance.
    pub fn outdoors(self) -> bool {
        matches!(self, PlaceKind::OutsideWall | PlaceKind::Ground)
    }
}

/// Where these limits stand.
pub const STORAGE_PLACE: Clause = Clause {
    document: "NFPA 855",
    edition: "2023",
    clause: "chapter 15; IRC R328",
    standing: Standing::SecondHand,
};

fn row<T>(value: T, words: &str) -> Traced<T> {
    Traced::tabled(
        value,
        TableRow { clause: STORAGE_PLACE, row: words.into(), standing: Standing::SecondHand },
    )
}

fn kilowatt_hours(kwh: f64, words: &str) -> Traced<Energy> {
    row(Energy::from_si(units::KILOWATT_HOUR.to_si(kwh)), words)
}

/// Most energy all storage of one such place may hold together; nothing where none may stand.
pub fn place_most(kind: PlaceKind) -> Traced<Energy> {
    match kind {
        PlaceKind::Bedroom | PlaceKind::LivingSpace => {
            kilowatt_hours(0.0, "where people live and sleep: none")
        }
        PlaceKind::RoofSpace | PlaceKind::EscapeRoute => {
            kilowatt_hours(0.0, "not among the places where it may stand: none")
        }
        PlaceKind::UtilitySpace => {
            kilowatt_hours(40.0, "utility closets, storage and utility spaces: 40 kWh")
        }
        PlaceKind::AttachedGarage => kilowatt_hours(80.0, "attached garage: 80 kWh"),
        PlaceKind::Outbuilding => kilowatt_hours(80.0, "detached garage or accessory structure: 80 kWh"),
        PlaceKind::OutsideWall => kilowatt_hours(80.0, "on or within 3 ft of exterior walls: 80 kWh"),
        PlaceKind::Ground => kilowatt_hours(80.0, "outdoors on the ground: 80 kWh"),
    }
}

/// Most energy of one unit.
pub fn unit_most() -> Traced<Energy> {
    kilowatt_hours(20.0, "one unit: 20 kWh")
}

/// Energy from which these limits hold at all.
pub fn rules_from() -> Traced<Energy> {
    kilowatt_hours(1.0, "units of 1 kWh and more")
}

/// Least distance of units from each other and, outdoors, from doors and windows of the house.
pub fn least_distance() -> Traced<Length> {
    row(Length::from_si(units::FOOT_UNIT.to_si(3.0)), "3 ft unless a large-scale fire test allows less")
}

/// Where storage may stand at dwellings of Great Britain.
pub const STORAGE_PLACE_BRITAIN: Clause = Clause {
    document: "PAS 63100",
    edition: "2024",
    clause: "location of batteries",
    standing: Standing::SecondHand,
};

/// Least distance from doors, windows, vents and ways of escape in Great Britain.
pub fn least_distance_britain() -> Traced<Length> {
    let row = TableRow {
        clause: STORAGE_PLACE_BRITAIN,
        row: "1 m from doors, windows, vents and ways of escape".into(),
        standing: Standing::SecondHand,
    };
    Traced::tabled(Length::from_si(1.0), row)
}
