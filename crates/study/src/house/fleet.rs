//! The inverters and charge controllers of a house as the hourly balance sees them.
//!
//! Inverters that make the supply share what is asked of them by their rated output (common practice, no source: units kept in
//! step droop alike in per cent of their rating). Array inverters follow them on the AC side.

use super::assumption;
use super::way::{PvWay, ToBus, main_kind, pv_way, with_strings};
use crate::fit::{BankStudy, power_at};
use crate::uses::{Unanswered, Uses};
use conversion::{CurveError, CurveFit, CurvePoint, Inverter, LossCurve, OutputVolts};
use design::system::{System, Unit, UnitPart};
use energy::{Coupled, Derate, Fleet};
use loads::Leg;
use quantity::{Fact, FieldPath, Origin, units};
use std::sync::Arc;

fn refused_curve(name: &str, field: &str, e: CurveError) -> Unanswered {
    Unanswered::refused(
        format!("the efficiencies of inverter \"{name}\" cannot be: {e}"),
        Some(FieldPath::new(format!("inverter.{name}.{field}"))),
    )
}

/// Points of a curve in words.
fn in_words(points: &Arc<[CurvePoint]>) -> String {
    let all: Vec<String> =
        points.iter().map(|(x, e)| format!("{:.0} % → {:.1} %", x * 100.0, e * 100.0)).collect();
    all.join(", ")
}

/// A curve from points, rated output and idle draw.
type Fit = fn(&[CurvePoint], f64, f64) -> Result<CurveFit, CurveError>;

/// Equal units at work and the numbers of their data sheet.
struct Kind<'a> {
    part: &'a Inverter,
    count: u32,
    rated_w: f64,
    /// Rated output, or that in volt-amperes if it is lower.
    limit_w: f64,
    idle_w: f64,
    points: Option<Arc<[CurvePoint]>>,
}

impl Kind<'_> {
    fn of(&self, what: &str) -> String {
        format!("{}: {what}", self.part.name)
    }

    fn limit_of_all_w(&self) -> f64 {
        self.limit_w * f64::from(self.count)
    }

    /// Curve of all its units side by side, idle draw included; `None` while a number is missing, which stops the answer
    /// later.
    fn curve(&self, points: &[CurvePoint], field: &str) -> Result<Option<LossCurve>, Unanswered> {
        self.fitted(points, LossCurve::fit, field)
    }

    /// The same by its main efficiencies, never above the highest its data sheet states.
    fn main_curve(&self, points: &[CurvePoint], uses: &mut Uses) -> Result<Option<LossCurve>, Unanswered> {
        let highest = self.part.peak_efficiency.as_ref();
        let highest = highest.map(|peak| uses.number(&self.of("highest efficiency"), peak, &units::RATIO));
        let all_w = self.rated_w * f64::from(self.count);
        let held = |curve: LossCurve| highest.map_or(curve, |highest| curve.held_to(highest, all_w));
        Ok(self.curve(points, "efficiency")?.map(held))
    }

    fn fitted(&self, points: &[CurvePoint], by: Fit, field: &str) -> Result<Option<LossCurve>, Unanswered> {
        if !(self.rated_w.is_finite() && self.idle_w.is_finite()) {
            return Ok(None);
        }
        by(points, self.rated_w, self.idle_w)
            .map(|fit| Some(fit.curve.side_by_side(self.count)))
            .map_err(|e| refused_curve(&self.part.name, field, e))
    }

    /// A curve that the data sheet may give for one of its ways, without the idle draw, which is counted once with the way
    /// from battery to AC.
    fn on_path(
        &self,
        what: &str,
        field: &str,
        curve: &Option<Fact<Arc<[CurvePoint]>>>,
        uses: &mut Uses,
    ) -> Result<Option<LossCurve>, Unanswered> {
        let points = curve.as_ref().and_then(|curve| uses.words(&self.of(what), curve, in_words));
        points.map_or(Ok(None), |points| self.fitted(&points, LossCurve::fit_path, field))
    }
}

fn kinds<'a>(inverters: impl Iterator<Item = &'a Inverter>, uses: &mut Uses) -> Vec<Kind<'a>> {
    let mut kinds: Vec<Kind<'a>> = Vec::new();
    for part in inverters {
        if let Some(known) = kinds.iter_mut().find(|kind| kind.part.name == part.name) {
            known.count += 1;
            continue;
        }
        let of = |what: &str| format!("{}: {what}", part.name);
        let rated_w = uses.number(&of("continuous output"), &part.output, &units::WATT);
        let rated_va = uses.number(&of("continuous output in VA"), &part.output_va, &units::VOLT_AMPERE);
        kinds.push(Kind {
            part,
            count: 1,
            rated_w,
            limit_w: rated_w.min(rated_va),
            idle_w: uses.number(&of("idle draw"), &part.idle, &units::WATT),
            points: uses.words(&of("efficiency"), &part.efficiency, in_words),
        });
    }
    kinds
}

/// Says where the data sheet of a unit has it lose more at work than it draws idle.
fn more_at_work(kind: &Kind<'_>, curve: Option<LossCurve>, uses: &mut Uses) {
    let Some(curve) = curve.filter(|curve| curve.onset_w() >= 0.5) else { return };
    let units = f64::from(kind.count);
    let words = format!(
        "by its efficiencies one \"{}\" loses {:.0} W more at work than it draws idle: below {:.0} W, where its data sheet says \
         nothing, in proportion",
        kind.part.name,
        curve.onset_w() / units,
        curve.onset_to_w / units
    );
    let field = format!("inverter.{}.efficiency", kind.part.name);
    let source = assumption(&field, &words, "losses at small power, the nights above all");
    uses.note(&kind.of("loss at work"), words, source);
}

/// Curves of several kinds that share power by their rating; that of the only kind unchanged.
fn shared(kinds: &[Kind<'_>], curves: &[LossCurve]) -> LossCurve {
    if let [only] = curves {
        return *only;
    }
    let all: f64 = kinds.iter().map(Kind::limit_of_all_w).sum();
    let parts: Vec<_> =
        curves.iter().zip(kinds).map(|(curve, kind)| (*curve, kind.limit_of_all_w() / all)).collect();
    LossCurve::sharing(&parts)
}

pub(super) fn fleet(
    system: &System,
    banks: &[BankStudy],
    broken: Option<&str>,
    uses: &mut Uses,
) -> Result<Fleet, Unanswered> {
    let works = |unit: &Unit| broken != Some(&*unit.name);
    let supply = system.supply_units().filter(|(unit, _)| works(unit)).map(|(_, part)| part);
    let kinds = kinds(supply, uses);
    if kinds.is_empty() {
        return Err(Unanswered::refused(
            "the design names no inverter in its place",
            Some(FieldPath::new("unit")),
        ));
    }
    let main = main_kind(system);
    let count: u32 = kinds.iter().map(|kind| kind.count).sum();
    uses.note("inverters", count.to_string(), Origin::Stated(FieldPath::new("unit")));
    if kinds.len() > 1 {
        let words = "inverters of several kinds share every load by their rated output";
        uses.note("sharing", words, assumption("unit", words, "losses, and which unit is full first"));
    }
    let mut curves = Vec::new();
    for kind in &kinds {
        let curve = match &kind.points {
            Some(points) => kind.main_curve(points, uses)?,
            None => None,
        };
        more_at_work(kind, curve, uses);
        // The gap is remembered and stops the answer below.
        curves.push(curve.unwrap_or(LossCurve::LOSSLESS));
    }
    let discharge = shared(&kinds, &curves);
    // The kind whose modules the fleet's own way stands for.
    let of_modules = kinds.iter().find(|kind| main.as_ref() == Some(&kind.part.name)).or(kinds.first());
    let mut direct = None;
    let mut pv_curve = None;
    if let Some(kind) = of_modules {
        // The idle draw belongs to the unit and is counted once, with the way from battery to AC.
        let straight = match &kind.part.pv_to_ac {
            Some(curve) => {
                uses.words(&kind.of("modules to AC"), curve, in_words).map(|points| (points, "pv_to_ac"))
            }
            // A unit without a battery has no other way: its efficiency is that of modules to AC.
            None if system.banks.is_empty() => kind.points.clone().map(|points| (points, "efficiency")),
            None => None,
        };
        if let Some((points, field)) = straight {
            // Its idle draw is in these points: the modules feed the unit while it converts.
            let curve = match field {
                "efficiency" => kind.main_curve(&points, uses)?,
                _ => kind.curve(&points, field)?,
            };
            direct = curve.map(LossCurve::without_idle);
        }
        pv_curve = kind.on_path("modules to battery", "pv_to_battery", &kind.part.pv_to_battery, uses)?;
    }
    for kind in kinds.iter().filter(|kind| main.as_ref().is_some_and(|main| *main != kind.part.name)) {
        beside_the_main_way(system, kind, direct.is_some(), uses)?;
    }
    let mut chargers = Vec::new();
    for kind in &kinds {
        let curve = kind.on_path("AC to battery", "ac_to_battery", &kind.part.ac_to_battery, uses)?;
        chargers.push(match curve {
            Some(curve) => curve,
            None => {
                let of = kind.of("efficiency AC to battery");
                LossCurve::of_efficiency(uses.number(&of, &kind.part.charge_efficiency, &units::RATIO))
            }
        });
    }
    let (mut charge_limit_w, mut controller_limit_w) = (0.0, 0.0);
    let mut pv_efficiency = 1.0;
    let nominal = banks.first().map(|bank| &bank.nominal);
    for unit in system.units_in_place.iter().filter(|unit| works(unit)) {
        let (charge, efficiency, name, limit) = match &unit.part {
            UnitPart::Inverter(name) => match system.inverter(name) {
                Some(part) if !system.is_array_inverter(unit) => {
                    let own_inputs = (!part.pv_inputs.is_empty()).then_some(&part.pv_efficiency);
                    (&part.charge, own_inputs, name, &mut charge_limit_w)
                }
                _ => continue,
            },
            UnitPart::Controller(name) => match system.controller(name) {
                Some(part) => (&part.charge, Some(&part.efficiency), name, &mut controller_limit_w),
                None => continue,
            },
            UnitPart::Unclear => continue,
        };
        if let Some(nominal) = nominal {
            let of = format!("{}: charge limit", unit.name);
            *limit += uses.number(&of, &power_at(charge, nominal), &units::WATT);
        }
        // Where the fleet has a curve from modules, its units' single figure is not used.
        let way = pv_way(system, unit);
        let of_fleet = way == Some(PvWay::Units);
        let bends = (of_fleet && pv_curve.is_some()) || matches!(way, Some(PvWay::Bus(ToBus::Curve(_))));
        if let Some(efficiency) = efficiency.filter(|_| !bends) {
            let from_modules = uses.number(&format!("{name}: from modules"), efficiency, &units::RATIO);
            if of_fleet {
                pv_efficiency = from_modules;
            }
        }
    }
    Ok(Fleet {
        discharge,
        direct,
        output_limit_w: kinds.iter().map(Kind::limit_of_all_w).sum(),
        leg_limit_w: leg_limits(system, broken, &kinds),
        derate: derate(&kinds, uses),
        pv: pv_curve.unwrap_or(LossCurve::of_efficiency(if pv_efficiency > 0.0 {
            pv_efficiency
        } else {
            1.0
        })),
        charge: shared(&kinds, &chargers),
        charge_limit_w,
        controller_limit_w,
        coupled: coupled(system, banks, broken, uses)?,
    })
}

/// Modules at units of another kind than the one whose way is the fleet's: over the bus, by the curve of their own where their
/// data sheet gives one.
fn beside_the_main_way(
    system: &System,
    kind: &Kind<'_>,
    straight: bool,
    uses: &mut Uses,
) -> Result<(), Unanswered> {
    if !with_strings(system).any(|part| part.name == kind.part.name) {
        return Ok(());
    }
    // Each of its units has its own modules, so that the curve is that of one; the fit is checked here.
    kind.on_path("modules to battery", "pv_to_battery", &kind.part.pv_to_battery, uses)?;
    if straight && kind.part.pv_to_ac.is_some() {
        let words = format!(
            "modules at \"{}\" reach the house over the battery's bus: its way straight to AC, which loses less, is not counted",
            kind.part.name
        );
        let field = format!("inverter.{}.pv_to_ac", kind.part.name);
        uses.note(&kind.of("modules"), words.clone(), assumption(&field, &words, "energy from its modules"));
    }
    Ok(())
}

/// Output given up in heat; of several kinds that of the most sensitive one for all of them.
fn derate(kinds: &[Kind<'_>], uses: &mut Uses) -> Option<Derate> {
    let mut strictest: Option<Derate> = None;
    for kind in kinds {
        let Some((full_up_to, loses)) = &kind.part.in_heat else { continue };
        let above_c = uses.number(&kind.of("full output up to"), full_up_to, &units::CELSIUS);
        let per_kelvin = -uses.number(&kind.of("loses in heat"), loses, &units::PER_KELVIN);
        strictest = Some(match strictest {
            Some(other) => {
                Derate { above_c: other.above_c.min(above_c), per_kelvin: other.per_kelvin.max(per_kelvin) }
            }
            None => Derate { above_c, per_kelvin },
        });
    }
    strictest
}

/// Array inverters on the AC side, if any.
fn coupled(
    system: &System,
    banks: &[BankStudy],
    broken: Option<&str>,
    uses: &mut Uses,
) -> Result<Option<Coupled>, Unanswered> {
    let works = |unit: &&Unit| broken != Some(&*unit.name) && system.is_array_inverter(unit);
    let in_place: Vec<&Unit> = system.units_in_place.iter().filter(works).collect();
    if in_place.is_empty() {
        return Ok(None);
    }
    let split = system.supply_units().any(|(unit, _)| unit.leg.is_known());
    for unit in &in_place {
        if split && matches!(unit.leg.value(), Some(Leg::A | Leg::B)) {
            let words = format!(
                "\"{}\" feeds one leg of two with modules: the other leg's loads reach it only through units that tie the legs, which is \
                 not computed; use a unit for both legs",
                unit.name
            );
            return Err(Unanswered::refused(words, Some(FieldPath::new(format!("unit.{}.leg", unit.name)))));
        }
    }
    let kinds = kinds(in_place.iter().filter_map(|unit| system.inverter_of(unit)), uses);
    for kind in &kinds {
        // What is not held back by the frequency charges past every limit: there is no year to walk then.
        if uses.words(&kind.of("follows the frequency"), &kind.part.follows_frequency, yes_or_no)
            == Some(false)
        {
            let field = format!("inverter.{}.follows_frequency", kind.part.name);
            let words = format!(
                "inverter \"{}\" does not follow the frequency of a supply made from the battery: nothing holds it back when \
                 the battery is full",
                kind.part.name
            );
            return Err(Unanswered::refused(words, Some(FieldPath::new(field))));
        }
    }
    let mut curves = Vec::new();
    for kind in &kinds {
        // Such a unit has one way: its efficiency is that of modules to AC.
        let straight = kind.part.pv_to_ac.as_ref();
        let straight = straight.and_then(|points| uses.words(&kind.of("modules to AC"), points, in_words));
        let curve = match (straight, &kind.points) {
            (Some(points), _) => kind.curve(&points, "pv_to_ac")?,
            (None, Some(points)) => kind.main_curve(points, uses)?,
            (None, None) => None,
        };
        more_at_work(kind, curve, uses);
        curves.push(curve.unwrap_or(LossCurve::LOSSLESS));
    }
    let Some(nominal) = banks.first().map(|bank| &bank.nominal) else { return Ok(None) };
    let mut charge_w = 0.0;
    for (unit, part) in system.supply_units().filter(|(unit, _)| broken != Some(&*unit.name)) {
        let charge = if part.charge_from_ac.is_known() { &part.charge_from_ac } else { &part.charge };
        let of = format!("{}: charge from AC", unit.name);
        charge_w += uses.number(&of, &power_at(charge, nominal), &units::WATT);
    }
    let words =
        "array inverters make what loads, battery and utility take; a rise of frequency holds the rest back";
    uses.note("array inverters", words, assumption("unit", words, "unused energy"));
    let words = "after the battery has run empty someone or something starts the inverters again by daylight";
    uses.note(
        "started again",
        words,
        assumption("unit", words, "dark hours of a house with array inverters"),
    );
    Ok(Some(Coupled {
        curve: shared(&kinds, &curves),
        output_limit_w: kinds.iter().map(Kind::limit_of_all_w).sum(),
        charge_w,
    }))
}

fn yes_or_no(yes: &bool) -> String {
    if *yes { "yes" } else { "no" }.into()
}

/// What the units give on each of two legs; `None` where there is one.
fn leg_limits(system: &System, broken: Option<&str>, kinds: &[Kind<'_>]) -> Option<[f64; 2]> {
    let whole = |part: &Inverter| part.volts.value() == Some(&OutputVolts::Split240);
    if !system.supply_units().any(|(unit, part)| unit.leg.is_known() || whole(part)) {
        return None;
    }
    let mut legs = [0.0; 2];
    for (unit, part) in system.supply_units().filter(|(unit, _)| broken != Some(&*unit.name)) {
        let rated_w = kinds.iter().find(|kind| kind.part.name == part.name).map_or(0.0, |kind| kind.limit_w);
        match unit.leg.value() {
            Some(Leg::A) => legs[0] += rated_w,
            Some(Leg::B) => legs[1] += rated_w,
            // Common practice, no source: a split-phase unit gives half its output on each leg.
            _ => legs.iter_mut().for_each(|leg| *leg += rated_w / 2.0),
        }
    }
    Some(legs)
}
