//! What a dwelling asks of its service: the standard and the optional calculation, new and existing, and the least
//! source of a house that stands alone. NEC article 220 (120 from 2026) and 710.15.

use crate::schedule::RuleSet;
use quantity::{
    ApparentPower, Area, Clause, Count, Current, Fact, Measure, Power, Standing, Traced, Voltage, formula,
    nec, sum, units,
};
use std::sync::Arc;

/// What an edition counts with.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LoadRules {
    /// General lighting and receptacles, VA per square foot.
    pub per_square_foot: f64,
    /// First tier of the optional calculation, VA, at 100 %; the rest counts 40 %.
    pub first_tier: f64,
    /// Clause of the optional calculation.
    pub optional: Clause,
    /// Clause of the calculation for existing dwellings.
    pub existing: Clause,
}

impl LoadRules {
    /// Of an edition; none for a rule set that is no edition of the NEC.
    ///
    /// The numbers of 2026 rest on summaries that do not agree (2 VA/ft² and 8 kVA in several, 10 kVA in one).
    pub fn of(rules: RuleSet) -> Option<LoadRules> {
        Some(match rules {
            RuleSet::Nec2020 => LoadRules {
                per_square_foot: 3.0,
                first_tier: 10_000.0,
                optional: nec("2020", "220.82", Standing::SecondHand),
                existing: nec("2020", "220.83", Standing::SecondHand),
            },
            RuleSet::Nec2023 => LoadRules {
                per_square_foot: 3.0,
                first_tier: 10_000.0,
                optional: nec("2023", "220.82", Standing::SecondHand),
                existing: nec("2023", "220.83", Standing::SecondHand),
            },
            RuleSet::Nec2026 => LoadRules {
                per_square_foot: 2.0,
                first_tier: 8_000.0,
                optional: nec("2026", "120.82", Standing::Remembered),
                existing: nec("2026", "120.83", Standing::Remembered),
            },
            RuleSet::Iec60364 => return None,
        })
    }
}

/// General lighting and receptacles, VA: `area` square feet, `each` VA per square foot.
pub fn general_lighting(area: f64, each: f64) -> f64 {
    area * each
}

formula! {
    /// Explained twin of [`general_lighting`].
    pub GeneralLighting = general_lighting(
        area: Area as SQUARE_FOOT = "floor area",
        each: quantity::Number as NUMBER = "VA per square foot",
    ) -> ApparentPower as VOLT_AMPERE,
    text: "area · each",
    clause: nec("2023", "220.82(B)(1)", Standing::SecondHand),
}

/// Small-appliance and laundry circuits, 1500 VA each.
pub fn appliance_circuits(n: f64) -> f64 {
    1500.0 * n
}

formula! {
    /// Explained twin of [`appliance_circuits`].
    pub ApplianceCircuits = appliance_circuits(
        n: Count as COUNT = "small-appliance and laundry circuits",
    ) -> ApparentPower as VOLT_AMPERE,
    text: "1500 · n",
    clause: nec("2023", "220.82(B)(2)", Standing::SecondHand),
}

/// First `tier` VA of a general load `g` at 100 %, the rest at 40 %.
pub fn tiered(g: f64, tier: f64) -> f64 {
    g.min(tier) + 0.4 * (g - tier).max(0.0)
}

formula! {
    /// Explained twin of [`tiered`].
    pub Tiered = tiered(
        g: ApparentPower as VOLT_AMPERE = "general loads",
        tier: ApparentPower as VOLT_AMPERE = "first tier, counted in full",
    ) -> ApparentPower as VOLT_AMPERE,
    text: "min(g, tier) + 0.4 · max(g − tier, 0)",
    clause: nec("2023", "220.82(B), 220.83", Standing::SecondHand),
}

/// Current of a load `s` VA at `u` volts.
pub fn service_current(s: f64, u: f64) -> f64 {
    s / u
}

formula! {
    /// Explained twin of [`service_current`].
    pub ServiceCurrent = service_current(
        s: ApparentPower as VOLT_AMPERE = "calculated load",
        u: Voltage as VOLT = "voltage between the outer conductors",
    ) -> Current as AMPERE,
    text: "s / u",
    clause: nec("2023", "220.5", Standing::Remembered),
}

/// Heating and cooling of a dwelling, VA; zero for what it has not.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Climate {
    /// Nameplate of air conditioning.
    pub cooling: f64,
    /// Nameplate of a heat pump.
    pub heat_pump: f64,
    /// Electric heat that runs together with the heat pump.
    pub supplementary: f64,
    /// Electric space heating.
    pub space_heat: f64,
    /// How many separately controlled units of space heating.
    pub heat_units: u32,
}

/// The largest of the heating and cooling selections, VA: cooling in full; heat pump in full and 65 % of the heat that
/// runs with it; space heating at 65 %, or at 40 % with four or more separately controlled units.
///
/// Source: NEC 2023, 220.82(C). Worked cases: Annex D2(a), five rooms of 9 kVA count 3600 VA; D2(c), 5760 VA with
/// 15 kW count 15 510 VA.
pub fn heating_or_cooling(climate: &Climate) -> f64 {
    let share = if climate.heat_units >= 4 { 0.4 } else { 0.65 };
    let pump = climate.heat_pump + 0.65 * climate.supplementary;
    climate.cooling.max(pump).max(share * climate.space_heat)
}

/// Lighting and appliance circuits of the standard calculation, VA: 3000 VA in full, to 120 kVA at 35 %, above at
/// 25 %.
///
/// Source: NEC 2023, table 220.45 (220.42 before). Worked case: Annex D1(a), 9000 VA count 5100 VA.
pub fn standard_lighting(s: f64) -> f64 {
    s.min(3000.0) + 0.35 * (s.min(120_000.0) - 3000.0).max(0.0) + 0.25 * (s - 120_000.0).max(0.0)
}

/// Fixed appliances of the standard calculation, VA: four or more at 75 %.
///
/// Source: NEC 2023, 220.53.
pub fn fixed_appliances(nameplates: &[f64]) -> f64 {
    let all: f64 = nameplates.iter().sum();
    if nameplates.len() >= 4 { 0.75 * all } else { all }
}

/// A dryer of the standard calculation, VA: its nameplate and 5000 VA at least; none for none.
///
/// Source: NEC 2023, 220.54.
pub fn dryer(nameplate: f64) -> f64 {
    if nameplate > 0.0 { nameplate.max(5000.0) } else { 0.0 }
}

/// One range of the standard calculation: 8 kW up to 12 kW; `None` above, where the notes of table 220.55 speak.
///
/// Source: NEC 2023, table 220.55, column C.
pub fn one_range(nameplate: f64) -> Option<f64> {
    match nameplate {
        w if w <= 0.0 => Some(0.0),
        w if w <= 12_000.0 => Some(8000.0),
        _ => None,
    }
}

/// Neutral of the standard and the optional calculation, VA: `lighting` after its demand factor, 70 % of range and
/// dryer, and what else runs at 120 V.
///
/// Source: NEC 2023, 220.61. Worked case: Annex D1(a), 14 550 VA.
pub fn neutral_load(lighting: f64, range: f64, dryer: f64, other_120: f64) -> f64 {
    lighting + 0.7 * (range + dryer) + other_120
}

/// General loads of a dwelling for the optional calculation.
#[derive(Clone, Debug, PartialEq)]
pub struct Dwelling {
    /// Floor area.
    pub area: Fact<Area>,
    /// Small-appliance and laundry circuits.
    pub circuits: Fact<Count>,
    /// Nameplates of everything fastened in place, with their names.
    pub nameplates: Vec<(Arc<str>, Fact<ApparentPower>)>,
    /// Volts between the outer conductors.
    pub volts: Fact<Voltage>,
}

/// What a dwelling asks.
#[derive(Clone, Debug, PartialEq)]
pub struct ServiceLoad {
    /// General loads before the demand factor.
    pub general: Fact<ApparentPower>,
    /// After it.
    pub counted: Fact<ApparentPower>,
    /// With heating and cooling.
    pub total: Fact<ApparentPower>,
    /// As a current.
    pub current: Fact<Current>,
}

fn general(dwelling: &Dwelling, rules: &LoadRules, clause: Clause) -> Fact<ApparentPower> {
    let each = Traced::tabled(
        quantity::Number(rules.per_square_foot),
        quantity::TableRow {
            clause,
            row: "general lighting and receptacles, VA per square foot".into(),
            standing: clause.standing,
        },
    );
    let lighting = GeneralLighting::of_facts(&dwelling.area, &Fact::Known(each));
    let circuits = ApplianceCircuits::of_facts(&dwelling.circuits);
    let mut parts = vec![(Arc::from("lighting and receptacles"), lighting)];
    parts.push((Arc::from("small-appliance and laundry circuits"), circuits));
    parts.extend(dwelling.nameplates.iter().cloned());
    add(parts)
}

fn add(parts: Vec<(Arc<str>, Fact<ApparentPower>)>) -> Fact<ApparentPower> {
    let mut known = Vec::new();
    let mut gap: Option<quantity::Gap> = None;
    for (name, part) in parts {
        match part {
            Fact::Known(part) => known.push((name, part)),
            Fact::Unknown(more) => gap = Some(gap.map_or(more.clone(), |gap| gap.and(&more))),
        }
    }
    match gap {
        Some(gap) => Fact::Unknown(gap),
        None => Fact::Known(sum(known, &units::VOLT_AMPERE)),
    }
}

fn tier(va: f64, clause: Clause) -> Fact<ApparentPower> {
    let row = quantity::TableRow { clause, row: "first tier".into(), standing: clause.standing };
    Fact::Known(Traced::tabled(ApparentPower::from_si(va), row))
}

fn loaded(
    dwelling: &Dwelling,
    general: Fact<ApparentPower>,
    first: Fact<ApparentPower>,
    climate: Option<&Fact<ApparentPower>>,
) -> ServiceLoad {
    let counted = Tiered::of_facts(&general, &first);
    let mut parts = vec![(Arc::from("general loads after the demand factor"), counted.clone())];
    parts.extend(climate.map(|climate| (Arc::from("heating or cooling"), climate.clone())));
    let total = add(parts);
    let current = ServiceCurrent::of_facts(&total, &crate::above_zero(&dwelling.volts));
    ServiceLoad { general, counted, total, current }
}

/// The optional calculation of a new dwelling; `climate` is what [`heating_or_cooling`] selects, `None` where there is
/// neither.
pub fn new_dwelling(
    dwelling: &Dwelling,
    climate: Option<&Fact<ApparentPower>>,
    rules: &LoadRules,
) -> ServiceLoad {
    let general = general(dwelling, rules, rules.optional);
    loaded(dwelling, general, tier(rules.first_tier, rules.optional), climate)
}

/// The calculation of an existing dwelling: 8 kVA in full, the rest at 40 %; heating or cooling that is *added* counts in
/// full, `None` where none is.
///
/// Some offices count added vehicle chargers in full too; this reading does not.
pub fn existing_dwelling(
    dwelling: &Dwelling,
    added_climate: Option<&Fact<ApparentPower>>,
    rules: &LoadRules,
) -> ServiceLoad {
    let general = general(dwelling, rules, rules.existing);
    loaded(dwelling, general, tier(8000.0, rules.existing), added_climate)
}

/// Volt-amperes of a vehicle charger of nameplate `s`: 7200 VA at least.
pub fn vehicle_charger(s: f64) -> f64 {
    s.max(7200.0)
}

formula! {
    /// Explained twin of [`vehicle_charger`].
    pub VehicleCharger = vehicle_charger(
        s: ApparentPower as VOLT_AMPERE = "nameplate of the vehicle charger",
    ) -> ApparentPower as VOLT_AMPERE,
    text: "max(s, 7200)",
    clause: nec("2023", "220.57(A)", Standing::Remembered),
}

/// Kind of an appliance in the load calculation.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[allow(missing_docs)] // The names say it.
pub enum ApplianceKind {
    General,
    Cooling,
    HeatPump,
    HeatBesidePump,
    SpaceHeating,
    VehicleCharger,
}

/// An appliance of the load calculation.
#[derive(Clone, Debug, PartialEq)]
pub struct Nameplate {
    /// Owner's name.
    pub name: Arc<str>,
    /// What it is.
    pub kind: Fact<ApplianceKind>,
    /// Nameplate.
    pub rated: Fact<ApparentPower>,
    /// Heaters with a thermostat of their own.
    pub controlled_apart: u32,
    /// Comes to an existing dwelling.
    pub added: bool,
}

/// The optional calculation of a dwelling with everything its appliances ask: of a new one, 220.82; of an existing one,
/// 220.83(A) where no heating or cooling is added, else 220.83(B), heating or cooling in full.
pub fn dwelling_load(
    floor_area: &Fact<Area>,
    circuits: &Fact<Count>,
    volts: &Fact<Voltage>,
    appliances: &[Nameplate],
    existing: bool,
    edition: RuleSet,
    rules: &LoadRules,
) -> ServiceLoad {
    use ApplianceKind::{
        Cooling, General, HeatBesidePump, HeatPump, SpaceHeating, VehicleCharger as Charger,
    };
    let mut nameplates = Vec::new();
    let mut climate: Vec<(ApplianceKind, u32, &Nameplate)> = Vec::new();
    for each in appliances {
        match &each.kind {
            Fact::Unknown(gap) => nameplates.push((each.name.clone(), Fact::Unknown(gap.clone()))),
            Fact::Known(kind) => match kind.value {
                // 220.57 came with the edition of 2023.
                Charger if edition != RuleSet::Nec2020 => {
                    nameplates.push((each.name.clone(), VehicleCharger::of_facts(&each.rated)));
                }
                General | Charger => nameplates.push((each.name.clone(), each.rated.clone())),
                kind @ (Cooling | HeatPump | HeatBesidePump | SpaceHeating) => {
                    climate.push((kind, each.controlled_apart, each));
                }
            },
        }
    }
    let chosen = (!climate.is_empty()).then(|| selection(&climate, existing, rules));
    let adds = climate.iter().any(|(.., each)| each.added);
    if existing && !adds {
        nameplates.extend(chosen.clone().map(|load| (Arc::from("heating or cooling"), load)));
    }
    let dwelling =
        Dwelling { area: floor_area.clone(), circuits: circuits.clone(), nameplates, volts: volts.clone() };
    if existing {
        return existing_dwelling(&dwelling, chosen.as_ref().filter(|_| adds), rules);
    }
    new_dwelling(&dwelling, chosen.as_ref(), rules)
}

/// What heating or cooling counts with, the larger of them: by the shares of [`heating_or_cooling`] in a new dwelling,
/// in full in an existing one.
fn selection(
    climate: &[(ApplianceKind, u32, &Nameplate)],
    existing: bool,
    rules: &LoadRules,
) -> Fact<ApparentPower> {
    let mut asked = Climate::default();
    let mut terms = Vec::new();
    for (kind, apart, each) in climate {
        let rated = match &each.rated {
            Fact::Known(rated) => rated,
            Fact::Unknown(gap) => return Fact::Unknown(gap.clone()),
        };
        terms.push(rated.term(each.name.clone(), &units::VOLT_AMPERE));
        let slot = match kind {
            ApplianceKind::Cooling => &mut asked.cooling,
            ApplianceKind::HeatPump => &mut asked.heat_pump,
            ApplianceKind::HeatBesidePump => &mut asked.supplementary,
            _ => {
                asked.heat_units += apart;
                &mut asked.space_heat
            }
        };
        *slot += rated.si();
    }
    let (va, because, clause) = if existing {
        let heating = asked.heat_pump + asked.supplementary + asked.space_heat;
        let because = "the larger of heating and cooling, in full";
        (asked.cooling.max(heating), because, rules.existing)
    } else {
        let because = "the largest of cooling in full, heat pump in full with 65 % of the heat beside it, and space heating at 65 %, or 40 % from four heaters controlled apart";
        (heating_or_cooling(&asked), because, rules.optional)
    };
    let choice = quantity::Choice { because: because.into(), runner_up: Arc::from(""), clause, terms };
    Fact::Known(Traced::found(ApparentPower::from_si(va), choice))
}

/// Whether a source that stands alone is at least as large as the largest single load; it may be smaller than the
/// calculated load. General lighting is no single load. Unknown while either is.
///
/// Source: NEC 2023, 710.15(A).
pub fn stands_alone(source: &Fact<Power>, largest: &Fact<Power>) -> Fact<bool> {
    source.and_then(|source| {
        largest.and_then(|largest| Fact::Known(source.with(crate::at_least(source.si(), largest.si()))))
    })
}
