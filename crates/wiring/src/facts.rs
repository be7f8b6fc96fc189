//! What the owner states of a route: a run in a design *is* a [`Run`], with unknown fields as unknown facts.

use quantity::{
    Count, Current, Fact, FieldPath, Gauge, Length, Material, Ratio, Temperature, Traced, Voltage,
};
use std::sync::Arc;
use tables::{Insulation, RacewayKind, TerminalColumn, TradeSize};

/// Where a segment of a run lies. It decides whether the inside of a raceway counts as wet and whether the rule
/// for sunlit roofs applies.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Where {
    /// Inside a building, dry.
    Indoors,
    /// Inside a building where it is damp at times: cellar, barn, wash house.
    Damp,
    /// Outside in the shade.
    Outdoors,
    /// Outside in direct sun, not on a roof.
    InSun,
    /// In the ground.
    Underground,
    /// On a roof in direct sun.
    OnRoof,
    /// Where gas, vapour or dust can burn (NEC articles 500 to 516).
    Hazardous,
}

impl Where {
    /// Whether the inside of a raceway there is a wet location (NEC 300.5(B), 300.9, from memory).
    pub fn is_wet(self) -> bool {
        matches!(self, Where::Outdoors | Where::InSun | Where::Underground | Where::OnRoof)
    }

    /// Whether it is inside a building. A hazardous place counts as one, since it is the stricter reading.
    pub fn is_inside(self) -> bool {
        matches!(self, Where::Indoors | Where::Damp | Where::Hazardous)
    }

    /// "underground", "on the roof in sun".
    pub fn in_words(self) -> &'static str {
        match self {
            Where::Indoors => "indoors",
            Where::Damp => "indoors, damp",
            Where::Outdoors => "outdoors in shade",
            Where::InSun => "outdoors in sun",
            Where::Underground => "underground",
            Where::OnRoof => "on the roof in sun",
            Where::Hazardous => "hazardous place",
        }
    }
}

/// What the conductors of a segment lie in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Raceway {
    /// Exposed single conductors or cable, no raceway.
    Open,
    /// Cable with a metal sheath (type MC), which is raceway and conductors in one.
    MetalClad {
        /// Whether it has a covering marked for wet places.
        for_wet: bool,
    },
    /// Cable with a sheath of plastic, which holds its conductors and the protective one (such as IEC 60227-4), on a wall.
    Sheathed,
    /// A raceway of this kind.
    Kind(RacewayKind),
}

impl Raceway {
    /// Whether it is a metal raceway or metal-clad cable, as strings inside a building need (NEC 690.31(D), from memory).
    pub fn is_metal(self) -> bool {
        match self {
            Raceway::Open | Raceway::Sheathed => false,
            Raceway::MetalClad { .. } => true,
            Raceway::Kind(kind) => kind.is_metal(),
        }
    }

    /// Whether it is cable that brings its own conductors and ground.
    pub fn is_cable(self) -> bool {
        matches!(self, Raceway::MetalClad { .. } | Raceway::Sheathed)
    }

    /// Whether only IEC standards know it; `None` where both worlds do.
    pub fn is_metric(self) -> Option<bool> {
        match self {
            Raceway::Open => None,
            Raceway::MetalClad { .. } => Some(false),
            Raceway::Sheathed => Some(true),
            Raceway::Kind(kind) => Some(kind.is_metric()),
        }
    }

    /// "EMT", "open".
    pub fn in_words(self) -> &'static str {
        match self {
            Raceway::Open => "open",
            Raceway::MetalClad { for_wet: false } => "MC cable",
            Raceway::MetalClad { for_wet: true } => "MC cable for wet places",
            Raceway::Sheathed => "sheathed cable",
            Raceway::Kind(kind) => kind.in_words(),
        }
    }
}

/// What is above a buried segment; it decides how deep the segment must lie.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Surface {
    /// Lawn, garden, field.
    OpenGround,
    /// Driveway or parking of a one- or two-family dwelling.
    DwellingDriveway,
    /// Street, road, alley, other driveways and parking.
    Road,
    /// At least 4 in of concrete without vehicles, reaching 6 in beyond the run.
    Concrete,
    /// A building.
    Building,
}

/// One stretch of a run with the same surroundings.
#[derive(Clone, Debug, PartialEq)]
pub struct Segment {
    /// One-way length.
    pub length: Fact<Length>,
    /// Where it lies.
    pub place: Fact<Where>,
    /// What it lies in.
    pub raceway: Fact<Raceway>,
    /// Insulation of this segment, where the owner says that it differs from that of the run.
    pub insulation: Option<Fact<Insulation>>,
    /// Whether a fixed barrier keeps array circuits from others in its raceway and boxes.
    pub barrier: Fact<bool>,
    /// All bends of its raceway together.
    pub bends: Fact<quantity::Angle>,
    /// Boxes and conduit bodies between its ends through which conductors are pulled.
    pub pull_points: Fact<Count>,
    /// Trade size of the raceway fixed by the owner, which is then checked instead of found.
    pub trade_size: Option<Traced<TradeSize>>,
    /// Inside diameter of its conduit or width inside its trunking, where the owner states it.
    pub inside: Option<Fact<Length>>,
    /// Height inside its trunking, where the owner states it.
    pub inside_height: Option<Fact<Length>>,
    /// Cover over the top of a buried segment; unknown where it is not buried is never asked for.
    pub depth: Fact<Length>,
    /// What is above a buried segment.
    pub surface: Fact<Surface>,
    /// Distance from the roof to the bottom of the raceway; only asked for on a roof.
    pub height_above_roof: Fact<Length>,
    /// Design ambient of the segment; where the owner states none, the caller assumes it and says why.
    pub ambient: Fact<Temperature>,
    /// Largest swing of air temperature over the year, for raceways that lengthen with heat.
    pub swing: Fact<quantity::Interval>,
    /// Owner's name of the room, empty outdoors.
    pub room: Arc<str>,
    /// Where the design states the segment.
    pub field: FieldPath,
}

/// A route and the owner's choices on it.
#[derive(Clone, Debug, PartialEq)]
pub struct Run {
    /// Owner's name.
    pub name: Arc<str>,
    /// The two things it joins, where the owner names them.
    pub between: Option<[Arc<str>; 2]>,
    /// What it carries, by the owner's names.
    pub carries: Vec<Arc<str>>,
    /// From one end to the other.
    pub segments: Vec<Segment>,
    /// Size fixed by the owner, which is then checked instead of found.
    pub conductor: Option<Traced<Gauge>>,
    /// Conductors in parallel per pole fixed by the owner; one where absent and the size is fixed.
    pub sets: Option<Traced<Count>>,
    /// Conductor metal.
    pub material: Fact<Material>,
    /// Insulation type, where a segment does not say its own.
    pub insulation: Fact<Insulation>,
    /// Stranding of the conductors; the choice of what is bought.
    pub strands: Fact<crate::terminals::Strands>,
    /// Temperature for which both terminals are marked; the lower one where they differ.
    pub terminals: Fact<TerminalColumn>,
    /// Largest share of the circuit voltage the owner lets drop; unknown sizes by heat alone.
    pub drop_target: Fact<Ratio>,
    /// Voltage printed on its cable, where stated.
    pub cable_volts: Option<Fact<Voltage>>,
    /// The device the owner has chosen, if any, which is then checked.
    pub device: Option<Device>,
    /// The residual-current device in it, if any.
    pub residual: Option<Residual>,
    /// Where the design states the run.
    pub field: FieldPath,
}

/// A fuse or a breaker.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum DeviceKind {
    /// A fuse with its holder.
    Fuse,
    /// A circuit breaker.
    Breaker,
}

/// Direct or alternating current.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Supply {
    /// Direct current.
    Dc,
    /// Alternating current.
    Ac,
}

/// Currents a device is marked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Suits {
    /// Direct current only.
    Dc,
    /// Alternating current only.
    Ac,
    /// Both.
    Both,
}

impl Suits {
    /// Whether a device so marked may be used on this supply.
    pub fn on(self, supply: Supply) -> bool {
        matches!((self, supply), (Suits::Both, _) | (Suits::Dc, Supply::Dc) | (Suits::Ac, Supply::Ac))
    }
}

/// An overcurrent device as the owner states it.
#[derive(Clone, Debug, PartialEq)]
pub struct Device {
    /// Rated current.
    pub rating: Fact<Current>,
    /// Fuse or breaker.
    pub kind: Fact<DeviceKind>,
    /// Currents it is marked for.
    pub suits: Fact<Suits>,
    /// Rated voltage on the supply it is used on.
    pub volts: Fact<Voltage>,
    /// Whether it breaks current in one direction only.
    pub polarised: Fact<bool>,
    /// Interrupting rating at that voltage.
    pub interrupting: Fact<Current>,
    /// Instantaneous release of a breaker to IEC 60898-1.
    pub curve: Fact<Curve>,
    /// Where the design states it.
    pub field: FieldPath,
}

/// Instantaneous release of a breaker (IEC 60898-1, from memory).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[allow(missing_docs)] // The letters stand on the breaker.
pub enum Curve {
    B,
    C,
    D,
}

impl Curve {
    /// Times its rating from which it opens at once.
    pub fn at_once(self) -> f64 {
        match self {
            Curve::B => 5.0,
            Curve::C => 10.0,
            Curve::D => 20.0,
        }
    }
}

/// Residual currents a residual-current device sees (IEC 61008-1, IEC 62423, from memory).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum ResidualType {
    /// Alternating ones alone.
    Ac,
    /// Pulsating direct ones too.
    A,
    /// Those of mixed frequencies too.
    F,
    /// Smooth direct ones too.
    B,
}

impl ResidualType {
    /// "type A".
    pub fn in_words(self) -> &'static str {
        match self {
            ResidualType::Ac => "type AC",
            ResidualType::A => "type A",
            ResidualType::F => "type F",
            ResidualType::B => "type B",
        }
    }
}

/// A residual-current device as the owner states it.
#[derive(Clone, Debug, PartialEq)]
pub struct Residual {
    /// Residual current at which it trips.
    pub trips: Fact<Current>,
    /// What it sees.
    pub kind: Fact<ResidualType>,
    /// Whether it waits for devices further down (type S).
    pub delayed: Fact<bool>,
    /// Where the design states it.
    pub field: FieldPath,
}

impl Run {
    /// Insulation of the conductors in a segment, counted from 0.
    pub fn insulation_in(&self, segment: usize) -> &Fact<Insulation> {
        self.segments.get(segment).and_then(|s| s.insulation.as_ref()).unwrap_or(&self.insulation)
    }

    /// Field that states the insulation of a segment.
    pub fn insulation_field(&self, segment: usize) -> FieldPath {
        match self.segments.get(segment) {
            Some(part) if part.insulation.is_some() => FieldPath::new(format!("{}.insulation", part.field)),
            _ => FieldPath::new(format!("{}.insulation", self.field)),
        }
    }

    /// One-way length of all segments, unknown when any is or when there is none.
    pub fn length(&self) -> Fact<Length> {
        if self.segments.is_empty() {
            return Fact::unknown(format!("{}.route", self.field), quantity::WhoKnows::Owner);
        }
        let mut gap: Option<quantity::Gap> = None;
        let mut parts = Vec::new();
        for (k, segment) in self.segments.iter().enumerate() {
            match &segment.length {
                Fact::Known(length) => parts.push((Arc::from(format!("segment {}", k + 1)), length.clone())),
                Fact::Unknown(more) => {
                    gap = Some(match gap {
                        Some(gap) => gap.and(more),
                        None => more.clone(),
                    });
                }
            }
        }
        match gap {
            Some(gap) => Fact::Unknown(gap),
            None => Fact::Known(quantity::sum(parts, &quantity::units::FOOT_UNIT)),
        }
    }
}
