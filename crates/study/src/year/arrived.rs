//! What arrives at the inputs of all units, hour by hour: strings, windows, clipping, cables.

use super::input::AtInput;
use super::place::place_of;
use super::{Arrived, InputSums, InputYears};
use crate::fit::BankStudy;
use crate::house::{PvWay, assumption, controller_limit_w, loop_ohm, pv_way};
use crate::light::{ModuleYears, OnPlane, PlaneStudy, fitted, module_years};
use crate::memo::{Key, Memo};
use crate::uses::{Unanswered, Uses};
use array::data_sheet_fit::FittedModule;
use array::near_shade::ShadedPlaneYear;
use array::reached::{Reached, SectionLayout, StringPlace};
use array::section_shade::{ASSUMED_BYPASS_V, SectionShade, section_shade};
use array::string_year::{
    InputLimits, InputYear, StatedShares, StringGroup, StringLayout, input_year_in_shade,
};
use design::Design;
use design::system::{StringIn, System};
use quantity::{FieldPath, units};
use rayon::prelude::*;
use std::sync::Arc;
use wiring::Schedule;

/// Power offered at the inputs of all units, year by year, by the way it takes to the house.
pub(super) struct Offered {
    pub(super) years: Vec<OfferedYear>,
    /// What was lost at each input.
    pub(super) inputs: Vec<AtInput>,
    /// The strings of each input, for those who look at shorter steps.
    pub(super) strings: Vec<StringsAtUnit>,
    pub(super) key: u64,
}

/// 8760 hourly means each, W; empty where no module takes that way.
#[derive(Clone, Debug, Default)]
pub struct OfferedYear {
    /// At the inputs of the inverters that make the supply, with what the cables lose when all of it is taken.
    pub units: WayYear,
    /// At charge controllers, and at inverters whose way from modules is not that of the others.
    pub controllers: WayYear,
    /// The same as it arrives at the bus.
    pub controllers_bus_w: Vec<f64>,
    /// At array inverters on the AC side.
    pub coupled: WayYear,
}

/// One way of it.
#[derive(Clone, Debug, Default)]
pub struct WayYear {
    /// Offered.
    pub power_w: Vec<f64>,
    /// Lost in the cables when all of it is taken.
    pub cable_w: Vec<f64>,
}

impl WayYear {
    fn add(&mut self, power_w: &[f64], cable_w: &[f64]) {
        for (sum, part) in [(&mut self.power_w, power_w), (&mut self.cable_w, cable_w)] {
            sum.resize(sun::HOURS, 0.0);
            for (sum, part) in sum.iter_mut().zip(part) {
                // Rounding may leave a loss a hair below nothing.
                *sum += part.max(0.0);
            }
        }
    }
}

pub(super) fn offered(
    design: &Design,
    planes: &[&PlaneStudy],
    banks: &[BankStudy],
    schedule: Option<&Schedule>,
    uses: &mut Uses,
    broken: Option<&str>,
    memo: &mut Memo,
) -> Result<Offered, Unanswered> {
    let system = &design.system;
    let count = planes.first().map_or(0, |plane| plane.years.light.len());
    // The units' own inputs stand in every house, if only with nothing at them.
    let empty = || WayYear { power_w: vec![0.0; sun::HOURS], cable_w: vec![0.0; sun::HOURS] };
    let mut years: Vec<OfferedYear> =
        (0..count).map(|_| OfferedYear { units: empty(), ..OfferedYear::default() }).collect();
    let mut inputs = Vec::new();
    let mut kept = Vec::new();
    let mut key = Key::new("offered");
    for unit in system.units_in_place.iter().filter(|unit| broken != Some(&*unit.name)) {
        let Some(way) = pv_way(system, unit) else { continue };
        let first_input = inputs.len();
        // What a controller passes on bounds what it takes from its modules.
        let most_w = match (way, controller_limit_w(system, banks, unit)) {
            (PvWay::Bus(to_bus), Some(limit)) => to_bus.taken_w(limit),
            _ => None,
        };
        let mut of_unit: Vec<WayYear> = vec![WayYear::default(); count];
        let mut strings_at = Vec::new();
        for number in 1..=system.pv_inputs(unit).len() as u32 {
            let strings: Vec<&StringIn> = system
                .strings
                .iter()
                .filter(|s| s.string.unit == unit.name && s.string.input == number)
                .collect();
            if strings.is_empty() {
                continue;
            }
            let (arrived, groups, limits, input_key) =
                at_input(system, &strings, planes, most_w, schedule, uses, memo)?;
            let kept_years = arrived.clone();
            let arrived = arrived.as_ref().as_ref().map_err(|e| {
                Unanswered::refused(e.clone(), Some(FieldPath::new(format!("unit.{}", unit.name))))
            })?;
            key = key.count(input_key);
            let sums = arrived.iter().map(|year| year.sums).collect();
            inputs.push(AtInput { unit: unit.name.clone(), number, sums, years: kept_years });
            strings_at.push((groups, limits));
            for (of_unit, year) in of_unit.iter_mut().zip(arrived) {
                of_unit.add(&year.power_w, &year.cable_w);
            }
        }
        let Some(at_unit) = inputs.get_mut(first_input..).filter(|inputs| !inputs.is_empty()) else {
            continue;
        };
        kept.push(StringsAtUnit { inputs: strings_at, way, most_w });
        if let Some(most_w) = most_w {
            key = key.number(most_w);
            for (number, of_year) in of_unit.iter_mut().enumerate() {
                hold_to(most_w, of_year, number, at_unit);
            }
        }
        for (year, of_unit) in years.iter_mut().zip(&of_unit) {
            match way {
                PvWay::Units => year.units.add(&of_unit.power_w, &of_unit.cable_w),
                PvWay::Coupled => year.coupled.add(&of_unit.power_w, &of_unit.cable_w),
                PvWay::Bus(to_bus) => {
                    year.controllers.add(&of_unit.power_w, &of_unit.cable_w);
                    year.controllers_bus_w.resize(sun::HOURS, 0.0);
                    for (sum, watts) in year.controllers_bus_w.iter_mut().zip(&of_unit.power_w) {
                        *sum += to_bus.arrives_w(*watts);
                    }
                }
            }
        }
        key = match way {
            PvWay::Units => key.count(0),
            PvWay::Bus(to_bus) => key.count(1).numbers(&to_bus.numbers()),
            PvWay::Coupled => key.count(2),
        };
    }
    Ok(Offered { years, inputs, strings: kept, key: key.done() })
}

/// Holds what all inputs of a unit bring together to what it passes on; each gives way alike. What that costs stands with its
/// first input.
fn hold_to(most_w: f64, of_year: &mut WayYear, number: usize, inputs: &mut [AtInput]) {
    let (held_wh, held_h) = hold(most_w, &mut of_year.power_w, &mut of_year.cable_w);
    if let Some(sums) = inputs.first_mut().and_then(|input| input.sums.get_mut(number)) {
        sums.over_power_wh += held_wh;
        sums.limited_h = sums.limited_h.max(held_h);
    }
}

/// Holds power and with it the loss in cables to a limit; the sum of what that takes, in watts times steps, and its steps.
pub(crate) fn hold(most_w: f64, power_w: &mut [f64], cable_w: &mut [f64]) -> (f64, u32) {
    let (mut held, mut steps) = (0.0, 0);
    for (power, cable) in power_w.iter_mut().zip(cable_w) {
        if *power > most_w * (1.0 + 1e-9) {
            let share = most_w / *power;
            held += *power - most_w + *cable * (1.0 - share * share);
            steps += 1;
            *cable *= share * share;
            *power = most_w;
        }
    }
    (held, steps)
}

/// One group of equal strings with everything the input asks for.
#[derive(Clone, Debug)]
pub(crate) struct Group {
    pub(crate) made: FittedModule,
    points: Arc<ModuleYears>,
    /// Position among the planes.
    pub(crate) plane: usize,
    pub(crate) layout: StringLayout,
    pub(crate) shares: StatedShares,
    /// Bypass sections of a module.
    sections: u32,
    /// Where its strings lie on the plane.
    place: StringPlace,
}

/// The strings of one unit, input by input.
#[derive(Clone, Debug)]
pub(crate) struct StringsAtUnit {
    pub(crate) inputs: Vec<(Vec<Group>, InputLimits)>,
    /// Way of its module power to the house.
    pub(crate) way: PvWay,
    /// Most that it takes from all its inputs together, W.
    pub(crate) most_w: Option<f64>,
}

impl Group {
    /// Light on the cells of a year, both faces, W/m², and what shade and snow leave of the strings.
    ///
    /// # Errors
    /// Why the module gives no operating points.
    fn lit(
        &self,
        plane: &PlaneStudy,
        reached: Option<&Reached>,
        year: usize,
    ) -> Result<(Vec<f64>, Option<SectionShade>), String> {
        let points = self.points.as_ref().as_ref().map_err(Clone::clone)?;
        let on_plane = points.get(year).ok_or("no such weather year")?;
        let cells = with_back(&plane.years.light[year].cell_w_m2, on_plane);
        Ok((cells, sections_in_shade(self, plane, on_plane, reached, year)?))
    }

    /// As [`Self::lit`] for one year alone.
    ///
    /// # Errors
    /// As there.
    pub(crate) fn lit_in(
        &self,
        plane: &PlaneStudy,
        year: usize,
    ) -> Result<(Vec<f64>, Option<SectionShade>), String> {
        self.lit(plane, sections_reached(self, plane)?.as_ref(), year)
    }
}

fn at_input(
    system: &System,
    strings: &[&StringIn],
    planes: &[&PlaneStudy],
    most_w: Option<f64>,
    schedule: Option<&Schedule>,
    uses: &mut Uses,
    memo: &mut Memo,
) -> Result<(Arc<InputYears>, Vec<Group>, InputLimits, u64), Unanswered> {
    let Some(unit) = system.unit(&strings[0].string.unit) else {
        return Err(Unanswered::refused("a string goes into no unit", Some(FieldPath::new("string"))));
    };
    let number = (strings[0].string.input.max(1) - 1) as usize;
    let Some(input) = system.pv_inputs(unit).get(number) else {
        return Err(Unanswered::refused("a string goes into no input", Some(FieldPath::new("string"))));
    };
    let of = |what: &str| format!("{} input {}: {what}", unit.name, number + 1);
    let limits = InputLimits {
        start_v: uses.number(&of("lowest tracking voltage"), &input.track_low, &units::VOLT),
        tracker_low_v: input.track_low.si().unwrap_or(f64::NAN),
        tracker_high_v: uses.number(&of("highest tracking voltage"), &input.track_high, &units::VOLT),
        max_current_a: Some(uses.number(&of("highest current it uses"), &input.current, &units::AMPERE)),
        max_power_w: {
            let stated = input.power.is_known();
            let stated = stated.then(|| uses.number(&of("highest power"), &input.power, &units::WATT));
            stated.into_iter().chain(most_w).reduce(f64::min)
        },
    };
    let mut groups: Vec<Group> = Vec::new();
    let mut key = Key::new("input")
        .numbers(&[limits.start_v, limits.tracker_high_v])
        .number(limits.max_current_a.unwrap_or(-1.0))
        .number(limits.max_power_w.unwrap_or(-1.0));
    for string in strings {
        let module = system.module(&string.string.module).ok_or_else(|| {
            Unanswered::refused(
                "a string names no module",
                Some(FieldPath::new(format!("string.{}", string.string.name))),
            )
        })?;
        let (made, terms, module_key) = fitted(module)?;
        uses.extend(&terms);
        let plane = planes.iter().position(|p| p.name == string.string.plane).ok_or_else(|| {
            Unanswered::refused(
                "a string lies on no plane",
                Some(FieldPath::new(format!("string.{}", string.string.name))),
            )
        })?;
        let in_series = uses.number(
            &format!("{}: modules in series", string.string.name),
            &string.string.count,
            &units::COUNT,
        );
        let mismatch =
            uses.number(&format!("{}: mismatch", string.string.name), &string.string.mismatch, &units::RATIO);
        let age = uses.number(
            &format!("{}: age in years", string.string.name),
            &string.string.age_years,
            &units::NUMBER,
        );
        let mut ageing = 1.0;
        if age > 0.0 {
            let of = format!("{}: loss a year", module.name);
            let yearly = uses.number(&of, &module.loss_per_year, &units::RATIO);
            ageing = (1.0 - yearly * age).max(0.0);
        }
        let shares = StatedShares { ageing, mismatch: 1.0 - mismatch };
        let string_ohm = cable_ohm(&string.string.name, schedule, uses);
        let bifacial = system.bifacial.iter().find(|b| b.module == module.name);
        let bifaciality = match bifacial.filter(|_| !planes[plane].years.rear_w_m2.is_empty()) {
            Some(b) => {
                let share = uses.number(&format!("{}: bifaciality", module.name), &b.share, &units::RATIO);
                if share.is_finite() { share } else { 0.0 }
            }
            None => 0.0,
        };
        let sections = sections_of(module, planes[plane], uses);
        let place = place_of(system, string, planes[plane], uses)?;
        let points = module_years(planes[plane], &made, module_key, bifaciality, memo);
        key = key
            .number(bifaciality)
            .count(u64::from(sections))
            .number(place.row.map_or(-1.0, f64::from))
            .number(place.first_column)
            .count(planes[plane].key)
            .count(module_key)
            .number(in_series)
            .number(string_ohm)
            .number(shares.ageing)
            .number(shares.mismatch);
        let layout = StringLayout {
            modules_in_series: in_series as u32,
            strings_in_parallel: 1,
            string_ohm,
            common_ohm: 0.0,
        };
        // Equal strings on one plane are one group with the mean of their cables.
        let twin = groups.iter_mut().find(|g| {
            g.plane == plane
                && g.shares == shares
                && g.place == place
                && Arc::ptr_eq(&g.points, &points)
                && g.layout.modules_in_series == layout.modules_in_series
        });
        match twin {
            Some(twin) => {
                let n = f64::from(twin.layout.strings_in_parallel);
                twin.layout.string_ohm = (twin.layout.string_ohm * n + string_ohm) / (n + 1.0);
                twin.layout.strings_in_parallel += 1;
            }
            None => groups.push(Group { made, points, plane, layout, shares, sections, place }),
        }
    }
    if let Some(gap) = groups.iter().find_map(|g| g.points.as_ref().as_ref().err()) {
        return Err(Unanswered::refused(gap.clone(), None));
    }
    if !limits.start_v.is_finite()
        || !limits.tracker_high_v.is_finite()
        || limits.max_current_a.is_none_or(|a| !a.is_finite())
    {
        // The missing fact is remembered in `uses`; there is nothing to compute until it is answered.
        return Err(uses.clone().done().err().unwrap_or(Unanswered::NotAsked));
    }
    let key = key.done();
    let years = memo.inputs.get(key, || run_input(&groups, planes, &limits));
    Ok((years, groups, limits, key))
}

fn run_input(groups: &[Group], planes: &[&PlaneStudy], limits: &InputLimits) -> InputYears {
    let count = planes.first().map_or(0, |plane| plane.years.light.len());
    // The sun's way through the shade is the same in every year.
    let reached: Result<Vec<Option<Reached>>, String> =
        groups.par_iter().map(|group| sections_reached(group, planes[group.plane])).collect();
    let reached = reached?;
    (0..count)
        .into_par_iter()
        .map(|year| {
            let mut cells: Vec<Vec<f64>> = Vec::with_capacity(groups.len());
            let mut shades = Vec::with_capacity(groups.len());
            for (group, reached) in groups.iter().zip(&reached) {
                let (lit, shade) = group.lit(planes[group.plane], reached.as_ref(), year)?;
                cells.push(lit);
                shades.push(shade);
            }
            let mut of_year = Vec::with_capacity(groups.len());
            for (group, cell_w_m2) in groups.iter().zip(&cells) {
                let on_plane = &group.points.as_ref().as_ref().map_err(Clone::clone)?[year];
                of_year.push(StringGroup {
                    module: &group.made.module,
                    cell_w_m2,
                    cell_c: &planes[group.plane].years.cell_c[year],
                    points: &on_plane.points,
                    layout: group.layout,
                    shares: group.shares,
                });
            }
            let shades: Vec<Option<&SectionShade>> = shades.iter().map(Option::as_ref).collect();
            let input = input_year_in_shade(&of_year, &shades, limits).map_err(|e| e.to_string())?;
            let sums = InputSums::of(&input);
            let InputYear { power_w, losses, .. } = input;
            Ok(Arrived { power_w, cable_w: losses.cable_w, sums })
        })
        .collect()
}

/// Bypass sections of a module, asked for only where shade or snow can reach them.
fn sections_of(module: &array::facts::Module, plane: &PlaneStudy, uses: &mut Uses) -> u32 {
    if plane.years.near.is_none() && plane.years.covered.is_empty() {
        return 1;
    }
    match module.bypass_diodes.known() {
        Some(diodes) => {
            (uses.traced(&format!("{}: bypass diodes", module.name), diodes, &units::COUNT) as u32).max(1)
        }
        None => {
            let words = "three bypass sections, as most modules have";
            let field = format!("module.{}.cells.bypass_diodes", module.name);
            uses.note(
                &format!("{}: bypass sections", module.name),
                words,
                assumption(&field, words, "what shade and snow cost"),
            );
            3
        }
    }
}

fn with_back(front: &[f64], on_plane: &OnPlane) -> Vec<f64> {
    match &on_plane.behind_w_m2 {
        Some(behind) => front.iter().zip(behind).map(|(front, behind)| front + behind).collect(),
        None => front.to_vec(),
    }
}

/// Sections of a group's strings in the near shade of the calendar; `None` where neither shade nor snow comes.
fn sections_reached(group: &Group, plane: &PlaneStudy) -> Result<Option<Reached>, String> {
    let years = &plane.years;
    if years.near.is_none() && years.covered.is_empty() {
        return Ok(None);
    }
    let layout = SectionLayout {
        modules_in_series: group.layout.modules_in_series,
        sections_of_module: group.sections,
        modules_up: plane.lie.modules_up.max(1),
        modules_wide: plane.lie.modules_wide.max(1),
        stand: plane.lie.stand,
        place: group.place,
    };
    let reached = match &years.near {
        Some(near) => Reached::of(near, layout),
        None => Reached::open(sun::HOURS, layout),
    };
    reached.map(Some).map_err(|e| e.to_string())
}

/// What shade and snow leave of a group's strings in a year; `None` where neither comes.
fn sections_in_shade(
    group: &Group,
    plane: &PlaneStudy,
    on_plane: &OnPlane,
    reached: Option<&Reached>,
    year: usize,
) -> Result<Option<SectionShade>, String> {
    let Some(reached) = reached else { return Ok(None) };
    let years = &plane.years;
    let covered = years.covered.get(year).filter(|covered| !covered.is_empty());
    if years.near.is_none() && covered.is_none() {
        return Ok(None);
    }
    let front = &years.light[year];
    let cell_w_m2 = with_back(&front.cell_w_m2, on_plane);
    let shaded_cell_w_m2 = match years.shaded_cell_w_m2.get(year) {
        Some(inside) => with_back(inside, on_plane),
        None => cell_w_m2.clone(),
    };
    let light = ShadedPlaneYear { plane_w_m2: front.plane_w_m2.clone(), cell_w_m2, shaded_cell_w_m2 };
    section_shade(
        &group.made.module,
        &on_plane.points,
        &light,
        &years.cell_c[year],
        reached,
        covered.map(Vec::as_slice),
        ASSUMED_BYPASS_V,
    )
    .map(Some)
    .map_err(|e| e.to_string())
}

/// Resistance of a string's own conductors, out and back, from its scheduled drop; 0 while they are not sized.
fn cable_ohm(string: &str, schedule: Option<&Schedule>, uses: &mut Uses) -> f64 {
    let Some(sized) =
        schedule.and_then(|s| s.circuits.iter().find(|c| c.name.starts_with(&format!("{string} to "))))
    else {
        return 0.0;
    };
    match (loop_ohm(sized), sized.drop.known()) {
        (Some(ohm), Some(drop)) => {
            uses.traced(&format!("{}: drop", sized.name), drop, &units::VOLT);
            ohm
        }
        _ => 0.0,
    }
}
