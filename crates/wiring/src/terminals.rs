//! Whether a terminal takes its conductor: size, metal, stranding, number, and the temperature it is marked for.
//!
//! What a terminal is not said to take is not known; nothing is taken for granted but that a terminal takes one
//! conductor unless it is identified for more (NEC 110.14(A), from memory; IEC 60364-5-52 526.2, from memory).

use quantity::{Count, Fact, FieldPath, Gap, Gauge, Material, Torque, WhoKnows};
use tables::TerminalColumn;

/// How a conductor is stranded.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Strands {
    /// Class B or C of building wire; IEC 60228 class 1 and 2.
    Building,
    /// Finer, such as welding and flexible battery cable; IEC 60228 class 5 and 6.
    Fine,
}

/// Conductors of a metal that a terminal is marked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Metals {
    /// Copper alone; also where nothing is marked.
    Copper,
    /// Aluminium alone.
    Aluminum,
    /// Either.
    Both,
}

/// Stranding that a terminal is identified for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum TakesStrands {
    /// Class B and C alone.
    Building,
    /// Fine strands alone, as a crimped lug of flexible cable.
    Fine,
    /// Any.
    Any,
}

/// Which of the terminals of a piece of equipment.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Serves {
    /// All of them alike.
    Everything,
    /// Those of the modules.
    Modules,
    /// Those of the battery.
    Battery,
    /// Those of what feeds it.
    Input,
    /// Those of what it feeds.
    Output,
}

impl Serves {
    /// "its input".
    pub fn in_words(self) -> &'static str {
        match self {
            Serves::Everything => "all terminals",
            Serves::Modules => "modules",
            Serves::Battery => "battery",
            Serves::Input => "input",
            Serves::Output => "output",
        }
    }
}

/// What a data sheet says of a terminal.
#[derive(Clone, Debug, PartialEq)]
pub struct Terminal {
    /// Which it is.
    pub serves: Serves,
    /// Smallest conductor.
    pub smallest: Fact<Gauge>,
    /// Largest conductor.
    pub largest: Fact<Gauge>,
    /// Metals.
    pub metals: Fact<Metals>,
    /// Stranding.
    pub strands: Fact<TakesStrands>,
    /// Temperature it is marked for.
    pub temperature: Fact<TerminalColumn>,
    /// Tightening torque.
    pub torque: Fact<Torque>,
    /// Conductors it takes at once.
    pub conductors: Fact<Count>,
    /// Where the design states it.
    pub field: FieldPath,
}

/// What is to be landed on a terminal.
#[derive(Clone, Debug, PartialEq)]
pub struct Landed {
    /// Size.
    pub gauge: Fact<Gauge>,
    /// In parallel per pole.
    pub sets: Fact<Count>,
    /// Metal.
    pub material: Fact<Material>,
    /// Stranding.
    pub strands: Fact<Strands>,
    /// Column by which the circuit is sized at its terminals; `None` where the rules know no such column.
    pub column: Option<Fact<TerminalColumn>>,
}

/// Why a terminal does not take a conductor.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Refusal {
    /// Smaller than the smallest.
    TooSmall(Gauge, Gauge),
    /// Larger than the largest.
    TooLarge(Gauge, Gauge),
    /// Another metal.
    Metal(Material),
    /// Another stranding.
    Stranding(Strands),
    /// More conductors than it takes.
    TooMany(u32, u32),
    /// Marked for less than the column the circuit is sized by.
    Cooler(TerminalColumn, TerminalColumn),
}

impl std::fmt::Display for Refusal {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Refusal::TooSmall(size, least) => write!(f, "{size} is smaller than {least}, the least it grips"),
            Refusal::TooLarge(size, most) => write!(f, "{size} is larger than {most}, the most it takes"),
            Refusal::Metal(metal) => write!(f, "it is not marked for {}", metal.in_words()),
            Refusal::Stranding(Strands::Fine) => f.write_str("it is not identified for fine strands"),
            Refusal::Stranding(Strands::Building) => f.write_str("it takes fine strands alone"),
            Refusal::TooMany(n, 1) => write!(f, "{n} conductors come to a terminal for one"),
            Refusal::TooMany(n, most) => write!(f, "{n} conductors come to a terminal for {most}"),
            Refusal::Cooler(marked, sized) => write!(
                f,
                "it is marked {:.0} °C and the circuit is sized at {:.0} °C",
                marked.celsius(),
                sized.celsius()
            ),
        }
    }
}

/// Everything that speaks against it, and everything missing. Neither is a pass: it takes the conductor when both are
/// empty.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Taken {
    /// Reasons against.
    pub refusals: Vec<Refusal>,
    /// Facts missing.
    pub missing: Option<Gap>,
}

impl Taken {
    /// Whether it takes the conductor; unknown is no.
    pub fn takes(&self) -> bool {
        self.refusals.is_empty() && self.missing.is_none()
    }

    fn note(&mut self, gap: &Gap) {
        self.missing = Some(self.missing.take().map_or_else(|| gap.clone(), |all| all.and(gap)));
    }

    fn both<A: Copy, B: Copy>(&mut self, a: &Fact<A>, b: &Fact<B>, test: impl Fn(A, B) -> Option<Refusal>) {
        match (a, b) {
            (Fact::Known(a), Fact::Known(b)) => self.refusals.extend(test(a.value, b.value)),
            (a, b) => [a.gap(), b.gap()].into_iter().flatten().for_each(|gap| self.note(gap)),
        }
    }
}

/// Holds a conductor against a terminal. A size that is not found is a question of its own and is not asked again.
pub fn takes(terminal: &Terminal, landed: &Landed) -> Taken {
    let mut said = Taken::default();
    for limit in [&terminal.smallest, &terminal.largest] {
        if let Some(gap) = limit.gap() {
            said.note(gap);
        }
    }
    if landed.gauge.is_known() {
        said.both(&terminal.smallest, &landed.gauge, |least, size| {
            (size < least).then_some(Refusal::TooSmall(size, least))
        });
        said.both(&terminal.largest, &landed.gauge, |most, size| {
            (size > most).then_some(Refusal::TooLarge(size, most))
        });
        said.both(&terminal.conductors, &landed.sets, |most, n| {
            (n.0 > most.0).then_some(Refusal::TooMany(n.0, most.0))
        });
    } else {
        said.note(&Gap::one(terminal.field.clone(), WhoKnows::Electrician));
    }
    said.both(&terminal.metals, &landed.material, |metals, metal| {
        let right = match metals {
            Metals::Both => true,
            Metals::Copper => metal == Material::Copper,
            Metals::Aluminum => metal == Material::Aluminum,
        };
        (!right).then_some(Refusal::Metal(metal))
    });
    said.both(&terminal.strands, &landed.strands, |takes, strands| {
        let right = match takes {
            TakesStrands::Any => true,
            TakesStrands::Building => strands == Strands::Building,
            TakesStrands::Fine => strands == Strands::Fine,
        };
        (!right).then_some(Refusal::Stranding(strands))
    });
    if let Some(column) = &landed.column {
        said.both(&terminal.temperature, column, |marked, sized| {
            (marked < sized).then_some(Refusal::Cooler(marked, sized))
        });
    }
    said
}

/// The terminal that serves a purpose: the one said to serve it, else the one said to serve everything.
pub fn serving(terminals: &[Terminal], purpose: Serves) -> Option<&Terminal> {
    let of = |serves: Serves| terminals.iter().find(|terminal| terminal.serves == serves);
    of(purpose).or_else(|| of(Serves::Everything))
}
