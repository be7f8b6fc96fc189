//! From a design to every result for it: subjects are called in layers, traced results are kept. No formula of its own.

mod around;
mod buildings;
mod conductor_loss;
mod demand;
mod disconnection;
mod doubtful;
mod figures;
mod file;
mod filled;
mod finder;
mod fit;
mod fittings;
mod height;
mod house;
mod light;
mod means;
mod memo;
mod meter;
mod models;
mod modules;
mod money;
mod near;
mod neutrals;
mod own_means;
mod places;
mod precharge;
mod purchase;
mod savings;
mod service;
mod sky;
mod states;
mod strings;
mod taken;
mod terminals;
mod uses;
mod watched;
mod within;
mod year;

pub use self::money::{Against, BillStudy, LifeMoney, MoneyStudy, lifetime_cost};
pub use around::{Around, Lie};
pub use buildings::{PanelSpaces, feeders_between_buildings, panel_spaces};
pub use conductor_loss::{ConductorLoss, NextSize};
pub use demand::{DemandStudy, DemandYears, FollowedLoad, LoadStudy, WantedYear};
pub use disconnection::{Behind, disconnection_figure, disconnections, is_iec, residuals_before_units};
pub use file::{Look, look_at_file, look_at_study, year_as_table};
pub use filled::FilledStretch;
pub use finder::{BestPlane, FinderStudy, NoBest, PlanesOfPlace, Purpose, STRETCH_DAYS, Seasonal, Thumb};
pub use fit::{
    BankStudy, CurveMiss, HeldWarm, InputStudy, LegStudy, StackStudy, StartStudy, curve_misses, running,
};
pub use fittings::joint_in_words;
pub use house::HouseStudy;
pub use light::PlaneStudy;
pub use light::{ModuleYears, OnPlane, PlaneYears, Skies};
pub use means::{circuit_of, opens_under_load};
pub use memo::{Layer, Memo};
pub use meter::{Files, MeterStudy, NamedFile};
pub use modules::{CurveStudy, ModuleStudy};
pub use near::{Cold, ColdKind, NearPlace, PlacesFound, ZoneNear, near, near_design, town_of_zone};
pub use neutrals::{Neutral, neutral_of_loads, neutrals};
pub use places::{SpaceStudy, StoragePlace, storage_places, unit_energy, working_spaces};
pub use precharge::{FilledBy, PreCharge, pre_charges};
pub use purchase::purchase;
pub use savings::{CriticalMonth, SavingStudy};
pub use service::{
    BusStudy, DwellingStudy, FeederStudy, SupplySide, busbars, dwelling, feeders, largest_load,
    network_current, supply_side, word_of,
};
pub use sky::{SkyStudy, WeatherFile, Years};
pub use states::{arrangement, bond_figure, bond_states, electrode_conductors, lock_out_map, state_facts};
pub use strings::{AtAir, StringStudy, VoltageLimit};
pub use taken::Taken;
pub use terminals::{End, terminal_ends, torque_figure};
pub use uses::Unanswered;
pub use watched::{ArrayWatch, SurgeAsked, array_watches, surges_asked, surges_at};
pub use within::{AtStep, BusyMinute, BusyStart, WithinHour};
pub use year::{
    Arrived, BrokenUnit, Brought, BroughtYear, InputHours, InputSums, InputYears, LifeStudy, OfferedYear,
    WaitedLoad, WaitedStudy, WayYear, WorstMonth,
};
pub use year::{
    Balances, DrillStudy, LeanDays, MonthStudy, Ready, Rehearsal, Spread, Stretch, YearStudy, promise_held,
    promise_of, synthesis,
};

use bill::Bill;
use design::Design;
use quantity::{Figure, FigureName};
use std::collections::BTreeMap;
use std::sync::{Arc, OnceLock};
use wiring::{NotBuilt, Schedule};

/// Every result for a design.
#[derive(Clone, Debug)]
pub struct Study {
    /// The design it is of.
    pub design: Arc<Design>,
    /// Strings cold and hot.
    pub strings: Vec<StringStudy>,
    /// Kinds of modules in the strings, each as the curve through its data sheet; empty where only the years were asked for.
    pub modules: Vec<ModuleStudy>,
    /// Inputs of units with what goes into them.
    pub inputs: Vec<InputStudy>,
    /// Banks.
    pub banks: Vec<BankStudy>,
    /// Legs with what runs on them.
    pub legs: Vec<LegStudy>,
    /// Motors while they start.
    pub starts: Vec<StartStudy>,
    /// Stacked inverters as one source.
    pub stack: StackStudy,
    /// What the house uses.
    pub demand: DemandStudy,
    /// Both schedules, or why nothing is sized.
    pub wiring: Result<Schedule, NotSized>,
    /// Weather and sky.
    pub sky: Result<Arc<SkyStudy>, Unanswered>,
    /// Light on each plane.
    pub planes: Vec<Result<PlaneStudy, Unanswered>>,
    /// Best planes for each plane, in their order; `None` where the plane itself has no answer.
    pub finders: Vec<Option<FinderStudy>>,
    /// The house as the hourly balance sees it.
    pub house: Result<Arc<HouseStudy>, Unanswered>,
    /// The month in which what is used is most for the light there is.
    pub critical: Option<CriticalMonth>,
    /// What each saving spares.
    pub savings: Vec<SavingStudy>,
    /// What the year is walked with; kept only where that is all that was asked for ([`Depth::Ready`]).
    pub ready: Result<Arc<Ready>, Unanswered>,
    /// The year.
    pub year: Result<Arc<YearStudy>, Unanswered>,
    /// The purchase list.
    pub bill: Bill,
    /// What circuits lose in the middling year; empty without one.
    pub conductor_losses: Vec<ConductorLoss>,
    /// What it costs to own, where there are years to say it of; of a study of [`Depth::Shown`] or more.
    pub money: Option<MoneyStudy>,
    /// Every figure a person can ask about, by its name; those of [`Study::within_hour`] are found by [`Study::figure`].
    pub figures: BTreeMap<FigureName, Figure>,
    within: OnceLock<Result<Arc<WithinHour>, Unanswered>>,
    look: OnceLock<Result<Arc<Look>, Unanswered>>,
}

/// Why nothing is sized.
#[derive(Clone, Debug, PartialEq)]
pub enum NotSized {
    /// The rule set is not built.
    NotBuilt(NotBuilt),
    /// Nobody has said which rules hold.
    RulesUnknown(quantity::Gap),
}

impl std::fmt::Display for NotSized {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            NotSized::NotBuilt(not_built) => not_built.fmt(f),
            NotSized::RulesUnknown(_) => f.write_str("the wiring rules of the place are not known"),
        }
    }
}

/// How far to go.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Depth {
    /// Everything but the sky and the year.
    WithoutYear,
    /// As before, with everything the years are walked with ([`Study::ready`]), but without walking them.
    Ready,
    /// The years and what a promise rests on; nothing that is only told to a reader: no best planes, no years without a
    /// unit, no wear of the battery, no list of figures.
    Years,
    /// Everything but the years without a unit, which take twice as long as all else where there are two: for a page that is
    /// alive under the hand.
    Shown,
    /// Everything.
    Whole,
}

impl Study {
    /// Studies a design; layers whose inputs did not change come from `memo`.
    pub fn of(design: Arc<Design>, file: Option<&WeatherFile>, depth: Depth, memo: &mut Memo) -> Study {
        Study::of_files(design, Files { weather: file, meter: None }, depth, memo)
    }

    /// As [`Study::of`], with every file the design names.
    pub fn of_files(design: Arc<Design>, files: Files<'_>, depth: Depth, memo: &mut Memo) -> Study {
        let file = files.weather;
        let told = matches!(depth, Depth::Shown | Depth::Whole);
        let system = &design.system;
        let strings = strings::strings(system, &design.graph);
        let inputs = fit::inputs(system);
        let mut banks = fit::banks(system);
        let mut sky = match depth {
            Depth::WithoutYear if !demand::follows_weather(system) => Err(Unanswered::NotAsked),
            _ => sky::sky(system, file, memo),
        };
        let meter = meter::meter(system, files.meter, memo);
        let demand = demand::demand(system, &sky, meter, memo);
        if depth == Depth::WithoutYear {
            sky = Err(Unanswered::NotAsked);
        }
        let legs = fit::legs(system);
        let stack = fit::stack(system, &demand);
        let starts = fit::starts(system, &demand, &legs);
        fit::autonomy(system, &mut banks, &demand, &stack);
        let wiring = match (rule_set(system), system.place.rules.gap()) {
            (Some(rules), _) => {
                wiring::size_all(&design.graph, &system.runs, rules).map_err(NotSized::NotBuilt)
            }
            (None, gap) => {
                Err(NotSized::RulesUnknown(gap.cloned().unwrap_or(quantity::Gap { missing: Vec::new() })))
            }
        };
        let not_asked = || Err(Unanswered::NotAsked);
        let (planes, house, ready, year) = match depth {
            Depth::WithoutYear => {
                (Vec::new(), Err(Unanswered::NotAsked), not_asked(), Err(Unanswered::NotAsked))
            }
            Depth::Ready | Depth::Years | Depth::Shown | Depth::Whole => {
                let planes = light::planes(system, &sky, memo);
                let house = house::house(&design, &banks, &demand, wiring.as_ref().ok());
                let (ready, year) = {
                    let given = year::Given {
                        design: &design,
                        sky: &sky,
                        planes: &planes,
                        house: &house,
                        demand: &demand,
                        banks: &banks,
                        schedule: wiring.as_ref().ok(),
                        told,
                        without_units: depth == Depth::Whole,
                    };
                    match depth {
                        Depth::Ready => (year::ready(&given, memo).map(Arc::new), Err(Unanswered::NotAsked)),
                        _ => (not_asked(), year::year(&given, memo)),
                    }
                };
                (planes, house, ready, year)
            }
        };
        let finders = planes
            .iter()
            .map(|plane| {
                let (plane, sky) = (plane.as_ref().ok().filter(|_| told)?, sky.as_ref().ok()?);
                finder::finder(system, plane, sky, &demand, memo).ok()
            })
            .collect();
        let critical = savings::critical(system, &demand, &planes, &stack);
        let savings = savings::savings(system, &demand, critical.as_ref(), &banks);
        let bill = purchase::purchase(&design, wiring.as_ref().ok());
        let modules = if depth == Depth::Years { Vec::new() } else { modules::modules(system) };
        let mut study = Study {
            strings,
            modules,
            inputs,
            banks,
            legs,
            starts,
            stack,
            demand,
            wiring,
            sky,
            planes,
            finders,
            house,
            critical,
            savings,
            ready,
            year,
            bill,
            conductor_losses: Vec::new(),
            money: None,
            figures: BTreeMap::new(),
            within: OnceLock::new(),
            look: OnceLock::new(),
            design,
        };
        if told {
            study.money = self::money::money(&study);
            study.conductor_losses = conductor_loss::losses(&study);
        }
        if told || depth == Depth::WithoutYear {
            study.figures = figures::figures(&study);
        }
        study
    }

    /// Whether a circuit of the graph is there already: from the utility to a panel that is.
    pub fn is_existing(&self, circuit: usize) -> bool {
        purchase::is_existing(&self.design, wiring::CircuitId(circuit))
    }

    /// Whether there are years without a unit to be told: one of several inverters may be out of order.
    pub fn may_lose_a_unit(&self) -> bool {
        self.year.is_ok() && year::inverters(&self.design.system).len() > 1
    }

    /// The figure of a name.
    pub fn figure(&self, name: &str) -> Option<&Figure> {
        if name.starts_with("within-hour/") {
            let within = self.within_hour().ok()?;
            return within.figures.iter().find(|figure| figure.name.as_str() == name);
        }
        self.figures.iter().find(|(key, _)| key.as_str() == name).map(|(_, figure)| figure)
    }

    /// The middling year at quarters of an hour and minutes: walked when it is first asked for, half a million steps.
    ///
    /// # Errors
    /// Why there is no year to walk.
    pub fn within_hour(&self) -> Result<&WithinHour, Unanswered> {
        let within = self.within.get_or_init(|| within::within_hour(self).map(Arc::new));
        within.as_ref().map(Arc::as_ref).map_err(Clone::clone)
    }
}

/// The rule set a system names; `None` when the office has not been asked.
pub fn rule_set(system: &design::system::System) -> Option<wiring::RuleSet> {
    use design::system::Rules;
    Some(match system.place.rules.value()? {
        Rules::Nec2023 => wiring::RuleSet::Nec2023,
        Rules::Nec2020 => wiring::RuleSet::Nec2020,
        Rules::Nec2026 => wiring::RuleSet::Nec2026,
        Rules::Iec60364 => wiring::RuleSet::Iec60364,
    })
}

/// Trade sizes of conductors of a metal in the rule set of a system, smallest first; none where the rule set is not known.
pub fn conductor_sizes(system: &design::system::System, metal: quantity::Material) -> Vec<quantity::Gauge> {
    rule_set(system).map(|rules| wiring::conductor_sizes(rules, metal)).unwrap_or_default()
}
