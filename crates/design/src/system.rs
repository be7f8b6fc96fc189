//! The system a design describes, with unknown facts as unknown.

use crate::compass::{CompassReading, SecondBearing};
use array::facts::{Module, Plane, StringOf};
use array::incidence::IncidenceModel;
use array::transposition::SkyModel;
use conversion::{Controller, Generator, Inverter, Transfer};
use loads::{Bills, Load, Saving};
use quantity::{
    Angle, Area, Count, Currency, Current, Energy, Fact, FieldPath, Gauge, Length, Money, Number, Power,
    PricePerVolume, Ratio, Temperature, Time, Traced, TrueBearing, Units, Volume,
};
use std::sync::Arc;
use storage::{Bank, Battery};
use wiring::Run;

pub use crate::means::*;
pub use crate::prices::*;

/// Everything a design says, resolved: typical parts stood in, assumptions made, references by name.
#[derive(Clone, Debug, PartialEq)]
pub struct System {
    /// What the owner calls the house.
    pub title: Arc<str>,
    /// Revision in words: "3 of 2026-05-02", empty where none is stated.
    pub revision: Arc<str>,
    /// How answers are printed.
    pub units: Units,
    /// Currency of all money.
    pub currency: Currency,
    /// Place, rules and weather.
    pub place: Place,
    /// What the house may suffer.
    pub promise: Promise,
    /// What may be bought or built in several ways.
    pub choices: Vec<Choice>,
    /// Stages of growth, in order of their dates; those without a date last, in the order written.
    pub stages: Vec<Stage>,
    /// Answers of offices.
    pub permits: Vec<Permit>,
    /// Listing mark of every part that is bought.
    pub listings: Vec<Listing>,
    /// Terminals of parts and things, as stated.
    pub terminals: Vec<TerminalsOf>,
    /// Work that will be hired out.
    pub hired_out: Vec<Arc<str>>,
    /// What it uses.
    pub loads: Vec<Load>,
    /// Changes that would use less.
    pub savings: Vec<Saving>,
    /// Twelve bills.
    pub bills: Bills,
    /// Module parts.
    pub modules: Vec<Module>,
    /// Inverter parts.
    pub inverters: Vec<Inverter>,
    /// Charge-controller parts.
    pub controllers: Vec<Controller>,
    /// Battery parts.
    pub batteries: Vec<Battery>,
    /// Generator parts.
    pub generators: Vec<Generator>,
    /// Buildings.
    pub buildings: Vec<Building>,
    /// Rooms.
    pub rooms: Vec<Room>,
    /// Planes of modules.
    pub planes: Vec<Plane>,
    /// What stands around each plane, in the order of the planes.
    pub sites: Vec<Site>,
    /// Modules whose back gives power too.
    pub bifacial: Vec<Bifacial>,
    /// Strings; `unit` and `input` are those reached through a combiner where there is one.
    pub strings: Vec<StringIn>,
    /// Combiners.
    pub combiners: Vec<Combiner>,
    /// Inverters and charge controllers in their places.
    pub units_in_place: Vec<Unit>,
    /// Banks.
    pub banks: Vec<BankIn>,
    /// Generators in their places.
    pub engines: Vec<Engine>,
    /// The public supply.
    pub utility: Utility,
    /// What else the cost of its years rests on.
    pub money: MoneyIn,
    /// How long parts last, in file order.
    pub lives: Vec<PartLife>,
    /// Transfer devices.
    pub transfers: Vec<TransferIn>,
    /// Panels.
    pub panels: Vec<Panel>,
    /// Routes.
    pub runs: Vec<Run>,
    /// Switches apart from breakers and fuses.
    pub disconnects: Vec<Disconnect>,
    /// Surge protective devices.
    pub surges: Vec<SurgeDevice>,
    /// Ties between neutral and ground that the owner names.
    pub bonds: Vec<StatedBond>,
    /// Grounding electrodes.
    pub electrodes: Vec<wiring::GroundElectrode>,
    /// The dwelling as its service sees it; `None` where nothing was said.
    pub household: Option<Household>,
    /// Equipment of the load calculation.
    pub appliances: Vec<Appliance>,
    /// Signal cables.
    pub cables: Vec<Cable>,
    /// Prices of wire and raceway.
    pub stock: Vec<Stock>,
    /// Prices of what is bought by the piece.
    pub pieces: Vec<Piece>,
    /// Every compass reading of the design, in file order.
    pub compass: Vec<CompassReading>,
}

/// Wiring rules of an edition.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[allow(missing_docs)]
pub enum Rules {
    Nec2023,
    Nec2020,
    Nec2026,
    Iec60364,
}

/// Kind of building.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[allow(missing_docs)]
pub enum Dwelling {
    OneFamily,
    TwoFamily,
    Other,
}

/// Country with rules of its own beside those of wiring.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[allow(missing_docs)]
pub enum Country {
    GreatBritain,
    Elsewhere,
}

/// Place, rules and weather.
#[derive(Clone, Debug, PartialEq)]
pub struct Place {
    /// North positive.
    pub latitude: Fact<Angle>,
    /// East positive.
    pub longitude: Fact<Angle>,
    /// Above the sea.
    pub elevation: Fact<Length>,
    /// IANA zone.
    pub zone: Fact<Arc<str>>,
    /// Standard time of the zone, hours ahead of UTC.
    pub utc_offset_h: Fact<quantity::Number>,
    /// Rules and edition.
    pub rules: Fact<Rules>,
    /// Kind of building.
    pub dwelling: Fact<Dwelling>,
    /// Country whose own rules hold, where the owner said so.
    pub country: Fact<Country>,
    /// Strokes of lightning to the ground in a year on each square kilometre.
    pub lightning: Fact<Number>,
    /// Lowest expected air temperature; never assumed.
    pub coldest: Fact<Temperature>,
    /// Its basis in words.
    pub coldest_basis: Fact<Arc<str>>,
    /// Hot design air temperature.
    pub hottest: Fact<Temperature>,
    /// What the owner knows of its snow; `None` where nothing was said.
    pub snow: Option<Snow>,
    /// Where weather years come from.
    pub weather: Weather,
}

/// Where weather years come from.
#[derive(Clone, Debug, PartialEq)]
pub struct Weather {
    /// `nearest` or the number of a climate row.
    pub normals: Fact<Arc<str>>,
    /// An hourly year beside the design.
    pub file: Option<Traced<Arc<str>>>,
    /// What becomes of hours that the file lacks, where stated.
    pub gaps: Option<Fact<Gaps>>,
    /// How diffuse light is spread over the sky.
    pub sky_model: Fact<SkyModel>,
    /// The owner's twelve monthly means of daily sunshine on the level, J/m².
    pub sunshine: Option<Traced<[f64; 12]>>,
    /// The owner's twelve monthly means of the air's temperature, °C.
    pub air_c: Option<Traced<[f64; 12]>>,
    /// The owner's twelve monthly means of wind 10 m above the ground, m/s.
    pub wind: Option<Traced<[f64; 12]>>,
    /// How many synthetic years.
    pub years: Fact<Count>,
    /// Seed.
    pub seed: Fact<Count>,
}

/// What becomes of hours that a weather file lacks.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Gaps {
    /// By all methods, whole days borrowed from their neighbours last.
    Fill,
    /// Short gaps alone, and light from other light.
    Bridge,
    /// Not at all: such a file is refused.
    Refuse,
}

/// What the house may suffer; `None` where nothing was promised.
#[derive(Clone, Debug, PartialEq)]
pub struct Promise {
    /// Hours a year a must-load may be dark.
    pub must_dark: Option<Fact<Time>>,
    /// Hours a year on backup.
    pub backup: Option<Fact<Time>>,
    /// Energy a year from utility or generator.
    pub backup_energy: Option<Fact<Energy>>,
    /// Load a year that may stay unserved.
    pub missing: Option<Fact<Energy>>,
    /// Fuel a year.
    pub fuel: Option<Fact<Volume>>,
    /// In how many weather years it must hold.
    pub holds_in: Fact<HoldsIn>,
    /// First day (month, day) and number of days of the rehearsal.
    pub drill: Option<Drill>,
    /// Ceiling for what is bought.
    pub budget: Option<Fact<Money>>,
    /// Reserve for loads to come, as a share of the list.
    pub growth: Option<Fact<quantity::Ratio>>,
}

/// In how many weather years a promise must hold.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum HoldsIn {
    /// At most one year in ten may break it.
    NineYearsOfTen,
    /// The middling year must keep it.
    TheMiddlingYear,
}

/// One thing that may be bought or built in several ways.
#[derive(Clone, Debug, PartialEq)]
pub struct Choice {
    /// The owner's name for it.
    pub name: Arc<str>,
    /// Paths of the fields it decides.
    pub sets: Vec<Arc<str>>,
    /// What is tried.
    pub tries: Tries,
}

/// A stage of growth: the design as drawn with something else in places.
#[derive(Clone, Debug, PartialEq)]
pub struct Stage {
    /// The owner's name for it.
    pub name: Arc<str>,
    /// Year, month and day.
    pub when: Option<(i16, i8, i8)>,
    /// Things that are not there, by their paths.
    pub not_yet: Vec<Arc<str>>,
    /// Fields with their values at this stage.
    pub with: Vec<(Arc<str>, Arc<str>)>,
    /// Items bought before and no longer used, by their names in the purchase list.
    pub gives_up: Vec<Arc<str>>,
    /// Ceiling for what is bought for it.
    pub budget: Option<Fact<Money>>,
}

/// What a choice tries.
#[derive(Clone, Debug, PartialEq)]
pub enum Tries {
    /// Whole numbers.
    Numbers {
        /// The least.
        from: u32,
        /// The greatest.
        to: u32,
        /// From one to the next.
        step: u32,
    },
    /// Values as they would be written, without quotes.
    Among(Vec<Arc<str>>),
    /// Things that are there or left out together, by their paths.
    LeaveOut(Vec<Arc<str>>),
    /// None of these, or several of them at once.
    Unclear,
}

/// A rehearsal without utility and generator.
#[derive(Clone, Debug, PartialEq)]
pub struct Drill {
    /// First day: month 1 to 12 and day of the month.
    pub from: Traced<(i8, i8)>,
    /// For how many days.
    pub days: Fact<Count>,
    /// Whether one year in ten may go dark; otherwise none may.
    pub one_in_ten_may_fail: Fact<bool>,
}

/// One answer of an office.
#[derive(Clone, Debug, PartialEq)]
pub struct Permit {
    /// The question in words.
    pub asks: &'static str,
    /// Yes, no or unknown.
    pub answer: Fact<bool>,
}

/// The listing mark of a part.
#[derive(Clone, Debug, PartialEq)]
pub struct Listing {
    /// The part in words: `inverter "wall"`.
    pub part: String,
    /// Path of the part.
    pub path: FieldPath,
    /// Standard on the mark, or "none".
    pub mark: Fact<Arc<str>>,
}

/// Terminals of a part or thing, as its data sheet gives them; empty where nothing is stated.
#[derive(Clone, Debug, PartialEq)]
pub struct TerminalsOf {
    /// Table it stands in.
    pub table: &'static str,
    /// Its name.
    pub name: Arc<str>,
    /// What they take.
    pub terminals: Vec<wiring::Terminal>,
    /// Where the design states them.
    pub field: FieldPath,
}

/// What a building is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[allow(missing_docs)]
pub enum BuildingKind {
    Dwelling,
    Workshop,
    Barn,
    Garage,
    Other,
}

/// A building.
#[derive(Clone, Debug, PartialEq)]
pub struct Building {
    /// Name.
    pub name: Arc<str>,
    /// What it is.
    pub kind: Fact<BuildingKind>,
    /// An open structure apart from the house, without walls.
    pub open: Fact<bool>,
    /// It houses nothing but equipment of this system.
    pub only_equipment: Fact<bool>,
}

/// A room.
#[derive(Clone, Debug, PartialEq)]
pub struct Room {
    /// Name.
    pub name: Arc<str>,
    /// Building, empty where none is named.
    pub building: Arc<str>,
    /// Coldest air over the year.
    pub coldest: Fact<Temperature>,
    /// Hottest air over the year.
    pub hottest: Fact<Temperature>,
    /// Heated or cooled, so that its air stays between these.
    pub conditioned: Fact<bool>,
    /// Its walls, where its air is to be computed.
    pub envelope: Option<Envelope>,
    /// What it is; it decides how much storage may stand in it.
    pub kind: Fact<storage::PlaceKind>,
    /// A smoke or heat detector in it is joined with those of the house.
    pub detector: Fact<bool>,
}

/// Surface and insulation of a room or a cabinet.
#[derive(Clone, Debug, PartialEq)]
pub struct Envelope {
    /// All outer surfaces together.
    pub surface: Fact<Area>,
    /// Thermal resistance, m²·K/W.
    pub insulation: Fact<Number>,
}

/// A module with a working back.
#[derive(Clone, Debug, PartialEq)]
pub struct Bifacial {
    /// Name of the module part.
    pub module: Arc<str>,
    /// Rear side over front side.
    pub share: Fact<Ratio>,
}

/// What stands around a plane, and how its modules lie on it.
#[derive(Clone, Debug, PartialEq)]
pub struct Site {
    /// Name of the plane.
    pub plane: Arc<str>,
    /// Where it faces by another source, where stated.
    pub second_bearing: Option<SecondBearing>,
    /// How the glass passes slanting light.
    pub glass: Fact<IncidenceModel>,
    /// Points of the far horizon: bearing and elevation, as written.
    pub horizon: Vec<(Fact<TrueBearing>, Fact<Angle>)>,
    /// Near obstacles.
    pub obstacles: Vec<Near>,
    /// Height of the lower edge above the ground.
    pub lower_edge: Fact<Length>,
    /// Modules above each other.
    pub modules_high: Fact<Count>,
    /// Modules side by side, where stated.
    pub modules_wide: Option<Fact<Count>>,
    /// Whether the long sides lie level.
    pub lying: Fact<bool>,
    /// Level gap to the next row; `None` for a row that stands alone.
    pub ground_gap: Option<Fact<Length>>,
    /// From one lower edge to the next; `None` where it is not stated.
    pub pitch: Option<Fact<Length>>,
    /// Price of rack or rails for one module; `None` where they are on no list.
    pub structure_price: Option<Fact<Money>>,
    /// Share of light lost to dirt by month, where stated.
    pub soiling_by_month: Option<Traced<[f64; 12]>>,
    /// Share of light the ground throws back by month, where stated.
    pub reflectance_by_month: Option<Traced<[f64; 12]>>,
    /// Days after the last fall on which the owner clears snow.
    pub cleared_after: Option<Fact<Count>>,
}

/// A house or a tree near a plane.
#[derive(Clone, Debug, PartialEq)]
pub struct Near {
    /// The owner's name for it.
    pub name: Arc<str>,
    /// Bearing of one side.
    pub from: Fact<TrueBearing>,
    /// Bearing of the other side, clockwise from the first.
    pub to: Fact<TrueBearing>,
    /// Level distance to its near face.
    pub distance: Fact<Length>,
    /// Its top above the ground.
    pub height: Fact<Length>,
    /// How far it reaches back from its near face, where stated.
    pub depth: Option<Fact<Length>>,
    /// Months without leaves, for a tree that sheds them.
    pub leafless: Option<Traced<[bool; 12]>>,
}

/// What an owner knows of the snow of a place.
#[derive(Clone, Debug, PartialEq)]
pub struct Snow {
    /// Days with snowfall in each month.
    pub days: Traced<[f64; 12]>,
    /// Fresh snow of such a day, m, where stated.
    pub depth: Option<Traced<[f64; 12]>>,
}

/// A string and the combiner it goes through.
#[derive(Clone, Debug, PartialEq)]
pub struct StringIn {
    /// The string.
    pub string: StringOf,
    /// The module row it fills, counted from 1 at the lower edge; `None` where it lies over all rows.
    pub row: Option<Fact<Count>>,
    /// Its first column, counted from 1 at the left, where stated.
    pub first_column: Option<Fact<Count>>,
    /// Combiner, empty where there is none.
    pub through: Arc<str>,
    /// What shuts its conductors down.
    pub rapid_shutdown: Fact<RapidShutdown>,
}

/// What brings module conductors down to a low voltage when one switch is turned.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum RapidShutdown {
    /// Electronics at every module.
    ModuleElectronics,
    /// A device where the conductors leave the array.
    DeviceAtArray,
    /// Nothing.
    None,
}

/// A combiner.
#[derive(Clone, Debug, PartialEq)]
pub struct Combiner {
    /// Name.
    pub name: Arc<str>,
    /// Unit it goes into.
    pub unit: Arc<str>,
    /// Input of that unit, from 1.
    pub input: u32,
    /// Building, empty outdoors.
    pub building: Arc<str>,
    /// Fuse of each string, where fixed.
    pub fuse: Option<Fact<Current>>,
    /// Voltage it is rated for.
    pub volts: Fact<quantity::Voltage>,
    /// It listens for arcs in its strings and stops them.
    pub arc_fault_protection: Fact<bool>,
    /// Price.
    pub price: Fact<Money>,
}

/// What a unit is.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub enum UnitPart {
    /// An inverter, by the name of its part.
    Inverter(Arc<str>),
    /// A charge controller, by the name of its part.
    Controller(Arc<str>),
    /// Neither or both were named.
    Unclear,
}

/// One inverter or charge controller in its place.
#[derive(Clone, Debug, PartialEq)]
pub struct Unit {
    /// Name.
    pub name: Arc<str>,
    /// What it is.
    pub part: UnitPart,
    /// Bank it hangs on, empty for none.
    pub bank: Arc<str>,
    /// Leg it feeds when stacked.
    pub leg: Fact<loads::Leg>,
    /// Room, empty where none is named.
    pub room: Arc<str>,
    /// What feeds its AC input, empty for nothing.
    pub ac_input: Arc<str>,
    /// Free space in front of it, where stated.
    pub working_space: Option<WorkingSpace>,
}

/// A bank and the share held back.
#[derive(Clone, Debug, PartialEq)]
pub struct BankIn {
    /// The bank.
    pub bank: Bank,
    /// Bank whose busbars its units join; empty for busbars of its own.
    pub beside: Arc<str>,
    /// Share held back for bad weather.
    pub reserve: Fact<Ratio>,
    /// Loads given up in good time.
    pub shed: ShedIn,
    /// Cabinet around the cells; `None` for cells that stand in the open.
    pub cabinet: Option<Envelope>,
    /// Heater of the cells: its power and the temperature it holds.
    pub heater: Option<(Fact<Power>, Fact<Temperature>)>,
    /// Where it is stopped in an emergency.
    pub emergency_stop: Fact<Control>,
    /// Path that fills the capacitors of its inverters, where one is stated.
    pub pre_charge: Option<PreChargePath>,
    /// Free space in front of it, where stated.
    pub working_space: Option<WorkingSpace>,
    /// From one unit to the next.
    pub gap: Fact<Length>,
    /// From its units to doors and windows of the house, outdoors.
    pub from_openings: Fact<Length>,
    /// Whether vehicles can hit it.
    pub vehicles: Fact<Vehicles>,
}

/// States of charge below which loads are given up; `None` for never.
#[derive(Clone, Debug, PartialEq)]
pub struct ShedIn {
    /// Wanted loads.
    pub want: Option<Fact<Ratio>>,
    /// Luxury loads.
    pub luxury: Option<Fact<Ratio>>,
    /// How far above that it must rise before they come back.
    pub back_after: Fact<Ratio>,
}

/// One generator in its place.
#[derive(Clone, Debug, PartialEq)]
pub struct Engine {
    /// Name.
    pub name: Arc<str>,
    /// Generator part.
    pub generator: Arc<str>,
    /// Building it stands at.
    pub building: Arc<str>,
    /// Whether it is plugged in by a cord; unknown counts as wired.
    pub by_cord: Fact<bool>,
    /// Price of its fuel.
    pub fuel_price: Fact<PricePerVolume>,
}

/// What the public supply does for the house.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum UtilityRole {
    /// There is none.
    None,
    /// A transfer device brings it in.
    BackupByTransfer,
    /// An inverter's AC input brings it in.
    BackupThroughInput,
    /// It takes what is left over and gives what is missing.
    Interactive,
}

/// The public supply.
#[derive(Clone, Debug, PartialEq)]
pub struct Utility {
    /// What it does.
    pub role: Fact<UtilityRole>,
    /// Rating of the service.
    pub service: Fact<Current>,
    /// Current it feeds into a short at the service.
    pub fault_current: Fact<Current>,
    /// Where the service is switched off in an emergency.
    pub emergency_disconnect: Fact<Control>,
    /// Service conductors that are there.
    pub conductors: wiring::ServiceConductors,
    /// Longest conductor from a joint ahead of the main device to the device of a source.
    pub joint_to_device: Fact<Length>,
    /// Earthing arrangement.
    pub earthing: Fact<wiring::Arrangement>,
    /// Whether a device watches the insulation to earth and signals a first fault, of an IT supply.
    pub insulation_monitor: Fact<bool>,
    /// Most that may be fed in; `None` when nothing was said.
    pub export_limit: Option<Fact<Power>>,
    /// Prices in the hours in which no other rate holds.
    pub prices: RatePrices,
    /// What stands on each monthly bill.
    pub monthly: Fact<Money>,
    /// No monthly bill is below this; `None` where there is no such limit.
    pub least_bill: Option<Fact<Money>>,
    /// Whether energy fed in is set against energy bought instead of being paid at a price of its own.
    pub netted: Fact<bool>,
    /// Whether credit left at the end of the year is paid out.
    pub pays_left_over: Fact<bool>,
    /// What it would cost to be connected; `None` where nothing was said.
    pub connection: Option<Fact<Money>>,
    /// State of charge below which it takes over.
    pub takes_over: Fact<Ratio>,
    /// State of charge at which the battery takes over again.
    pub hands_back: Fact<Ratio>,
    /// Power with which an interactive system charges from it; `None` for never.
    pub charge_power: Option<Fact<Power>>,
    /// Hours in which another rate holds.
    pub rates: Vec<RateIn>,
}

/// Days on which a rate holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[allow(missing_docs)]
pub enum RateDays {
    Every,
    Weekdays,
    Weekend,
}

/// Hours in which a rate of the utility holds.
#[derive(Clone, Debug, PartialEq)]
pub struct RateIn {
    /// What the utility calls it.
    pub name: Fact<Arc<str>>,
    /// Months in which it holds.
    pub months: [bool; 12],
    /// Days on which it holds.
    pub days: Fact<RateDays>,
    /// Hour of standard time at which it begins.
    pub from: Fact<Count>,
    /// Hour at which it ends.
    pub to: Fact<Count>,
    /// The utility may charge the battery while it holds.
    pub charges: Fact<bool>,
    /// The battery may serve loads that the utility could serve.
    pub discharges: Fact<bool>,
    /// What energy costs and brings while it holds.
    pub prices: RatePrices,
}

/// A transfer device in its place.
#[derive(Clone, Debug, PartialEq)]
pub struct TransferIn {
    /// The device.
    pub transfer: Transfer,
    /// Building.
    pub building: Arc<str>,
    /// It has a position in which no source is connected.
    pub off_position: Fact<bool>,
}

/// A panel.
#[derive(Clone, Debug, PartialEq)]
pub struct Panel {
    /// Name.
    pub name: Arc<str>,
    /// What feeds it.
    pub fed_by: Vec<Arc<str>>,
    /// Volts between its outer conductors: 120, 240 or 230; of three line conductors those of one to neutral.
    pub volts: Fact<conversion::OutputVolts>,
    /// Whether it has three line conductors, 400 V between two of them.
    pub three_phase: bool,
    /// Rating of its busbar.
    pub bus: Fact<Current>,
    /// Rating of its main device, where it has one.
    pub main: Option<Fact<Current>>,
    /// Breaker spaces that are free for circuits of this design.
    pub spaces: Fact<Count>,
    /// Neutral tied to ground in it.
    pub bond: Fact<bool>,
    /// Where the breakers of other sources sit on its busbar.
    pub sources_at: Fact<SourcesAt>,
    /// A system that holds the current on its busbar, if any.
    pub power_control: Option<wiring::PowerControl>,
    /// Ratings of all its load breakers together.
    pub load_breakers: Fact<Current>,
    /// It feeds circuits that share one neutral between two breakers.
    pub multiwire: Fact<bool>,
    /// The residual-current device of the circuits that leave it, if any.
    pub residual: Option<wiring::Residual>,
    /// Free space in front of it, where stated.
    pub working_space: Option<WorkingSpace>,
    /// Building.
    pub building: Arc<str>,
    /// There already.
    pub existing: Fact<bool>,
    /// Price.
    pub price: Fact<Money>,
}

/// What a shop asks.
#[derive(Clone, Debug, PartialEq)]
pub struct Stock {
    /// For a conductor size.
    pub conductor: Option<Gauge>,
    /// For a raceway, kind and trade size.
    pub raceway: Option<Arc<str>>,
    /// Currency per metre.
    pub price: Traced<f64>,
    /// Sold in lengths of.
    pub sold_by: Option<Fact<Length>>,
    /// Where it stands.
    pub field: FieldPath,
}

macro_rules! find {
    ($($(#[$doc:meta])* $name:ident in $list:ident: $type:ty, $key:expr;)*) => {
        impl System {$(
            $(#[$doc])*
            pub fn $name(&self, name: &str) -> Option<&$type> {
                let key: fn(&$type) -> &Arc<str> = $key;
                self.$list.iter().find(|thing| &**key(thing) == name)
            }
        )*}
    };
}

find! {
    /// Module part of a name.
    module in modules: Module, |m| &m.name;
    /// Inverter part of a name.
    inverter in inverters: Inverter, |m| &m.name;
    /// Charge-controller part of a name.
    controller in controllers: Controller, |m| &m.name;
    /// Battery part of a name.
    battery in batteries: Battery, |m| &m.name;
    /// Generator part of a name.
    generator in generators: Generator, |m| &m.name;
    /// Building of a name.
    building in buildings: Building, |m| &m.name;
    /// Room of a name.
    room in rooms: Room, |m| &m.name;
    /// Plane of a name.
    plane in planes: Plane, |m| &m.name;
    /// Surroundings of a plane.
    site in sites: Site, |s| &s.plane;
    /// Combiner of a name.
    combiner in combiners: Combiner, |m| &m.name;
    /// Unit of a name.
    unit in units_in_place: Unit, |m| &m.name;
    /// Bank of a name.
    bank in banks: BankIn, |m| &m.bank.name;
    /// Engine of a name.
    engine in engines: Engine, |m| &m.name;
    /// Transfer device of a name.
    transfer in transfers: TransferIn, |m| &m.transfer.name;
    /// Panel of a name.
    panel in panels: Panel, |m| &m.name;
}

impl System {
    /// The bank whose busbars the units of a bank join: its own, unless it stands beside another. Banks that only name each
    /// other keep their own.
    pub fn bus_of<'a>(&'a self, bank: &'a str) -> &'a str {
        let mut at = bank;
        for _ in 0..self.banks.len() {
            match self.bank(at).map(|found| &*found.beside).filter(|beside| !beside.is_empty()) {
                Some(beside) => at = beside,
                None => return at,
            }
        }
        bank
    }

    /// Banks on the busbars of a bank, in the order of the design.
    pub fn banks_on<'a>(&'a self, bus: &'a str) -> impl Iterator<Item = &'a BankIn> {
        self.banks.iter().filter(move |bank| self.bus_of(&bank.bank.name) == bus)
    }

    /// Units on the busbars of a bank.
    pub fn units_on<'a>(&'a self, bus: &'a str) -> impl Iterator<Item = &'a Unit> {
        let hangs = move |unit: &&Unit| !unit.bank.is_empty() && self.bus_of(&unit.bank) == bus;
        self.units_in_place.iter().filter(hangs)
    }

    /// The controller a unit is.
    pub fn controller_of(&self, unit: &Unit) -> Option<&Controller> {
        match &unit.part {
            UnitPart::Controller(name) => self.controller(name),
            _ => None,
        }
    }

    /// Inverter part of a unit, if it is one.
    pub fn inverter_of(&self, unit: &Unit) -> Option<&Inverter> {
        match &unit.part {
            UnitPart::Inverter(name) => self.inverter(name),
            UnitPart::Controller(_) | UnitPart::Unclear => None,
        }
    }

    /// Whether a unit is an array inverter: it has no battery while others of the house have one, so it feeds its modules into the
    /// supply that these make and makes none itself.
    pub fn is_array_inverter(&self, unit: &Unit) -> bool {
        let others = self.units_in_place.iter().filter(|other| self.inverter_of(other).is_some());
        self.inverter_of(unit).is_some()
            && unit.bank.is_empty()
            && others.into_iter().any(|o| !o.bank.is_empty())
    }

    /// Whether a unit only gives what its modules give to the supply it hangs on: it has no battery, may feed the utility, and
    /// nothing lies behind its output.
    pub fn only_gives(&self, unit: &Unit) -> bool {
        let behind = |names: &[Arc<str>]| names.contains(&unit.name);
        let feeds = self.panels.iter().any(|panel| behind(&panel.fed_by))
            || self.transfers.iter().any(|device| behind(&device.transfer.from));
        let interactive = self.inverter_of(unit).is_some_and(|part| part.interactive.value() == Some(&true));
        unit.bank.is_empty() && interactive && !feeds
    }

    /// Whether an inverter of the house can carry it alone; those without a battery that work beside the utility do not.
    pub fn can_run_by_itself(&self) -> bool {
        let beside = |part: &Inverter| part.interactive.value() == Some(&true);
        self.supply_units().any(|(unit, part)| !unit.bank.is_empty() || !beside(part))
    }

    /// The inverters that make the supply of the house: all but array inverters, in the order of the design.
    pub fn supply_units(&self) -> impl Iterator<Item = (&Unit, &Inverter)> {
        let at_work = self.units_in_place.iter().filter(|unit| !self.is_array_inverter(unit));
        at_work.filter_map(|unit| Some((unit, self.inverter_of(unit)?)))
    }

    /// Module inputs of a unit, whatever it is.
    pub fn pv_inputs(&self, unit: &Unit) -> &[conversion::PvInput] {
        match &unit.part {
            UnitPart::Inverter(name) => self.inverter(name).map_or(&[], |part| &part.pv_inputs),
            UnitPart::Controller(name) => self.controller(name).map_or(&[], |part| &part.pv_inputs),
            UnitPart::Unclear => &[],
        }
    }
}
