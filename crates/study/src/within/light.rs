//! Strings of every input through the steps of a day.

use crate::house::PvWay;
use crate::light::PlaneStudy;
use crate::year::{Group, StringsAtUnit, hold};
use array::module_year::ModuleYear;
use array::section_shade::SectionShade;
use array::string_year::{InputLimits, InputYear, StringGroup, input_year_in_shade};
use array::within_hour::rise_within_hours;
use std::sync::Arc;
use weather::within_hour::WithinHours;

/// What the inputs offer in the steps of one day.
pub(super) struct DayOfLight {
    /// By the way to the house.
    pub(super) units: Way,
    pub(super) controllers: Way,
    /// What the controllers bring as it arrives at the bus, W.
    pub(super) controllers_bus_w: Vec<f64>,
    pub(super) coupled: Way,
    /// Lost to a limit of current or power, Wh.
    pub(super) limited_wh: f64,
    /// Hours in which a limit held, summed over the inputs.
    pub(super) limited_h: f64,
}

/// One way of it.
pub(super) struct Way {
    /// Offered, W.
    pub(super) power_w: Vec<f64>,
    /// Lost in cables when all is taken, W.
    pub(super) cable_w: Vec<f64>,
}

impl Way {
    fn none(steps: usize) -> Way {
        Way { power_w: vec![0.0; steps], cable_w: vec![0.0; steps] }
    }

    fn add(&mut self, power_w: &[f64], cable_w: &[f64]) {
        for (sum, part) in [(&mut self.power_w, power_w), (&mut self.cable_w, cable_w)] {
            // Rounding may leave a loss a hair below nothing.
            sum.iter_mut().zip(part).for_each(|(sum, part)| *sum += part.max(0.0));
        }
    }
}

/// The strings of the house with the light of one weather year.
pub(super) struct Strings<'a> {
    units: Vec<AtUnit<'a>>,
    air_c: &'a [f64],
    within: &'a WithinHours,
    seed: u64,
    year: usize,
}

struct AtUnit<'a> {
    of: &'a StringsAtUnit,
    inputs: Vec<(&'a InputLimits, Vec<Lit<'a>>)>,
}

/// Equal strings in the hours of the year.
struct Lit<'a> {
    group: &'a Group,
    /// On the cells, both faces, W/m².
    light_w_m2: Vec<f64>,
    shade: Option<SectionShade>,
    cell_c: &'a [f64],
}

/// A limit is not reached below this, W: rounding of an operating point.
const LIMITED_ABOVE_W: f64 = 0.5;

impl<'a> Strings<'a> {
    pub(super) fn of(
        strings: &'a Arc<[StringsAtUnit]>,
        planes: &[&'a PlaneStudy],
        air_c: &'a [f64],
        within: &'a WithinHours,
        seed: u64,
        year: usize,
    ) -> Result<Strings<'a>, String> {
        let mut units = Vec::new();
        for of in strings.iter() {
            let mut inputs = Vec::new();
            for (groups, limits) in &of.inputs {
                let mut lit = Vec::new();
                for group in groups {
                    let plane = planes.get(group.plane).ok_or("a string lies on no plane")?;
                    let (light_w_m2, shade) = group.lit_in(plane, year)?;
                    let cell_c = plane.years.cell_c.get(year).ok_or("no such weather year")?;
                    lit.push(Lit { group, light_w_m2, shade, cell_c });
                }
                inputs.push((limits, lit));
            }
            units.push(AtUnit { of, inputs });
        }
        Ok(Strings { units, air_c, within, seed, year })
    }

    /// Light of every minute of a day over the mean of its hour.
    pub(super) fn minutes(&self, day: usize) -> Vec<f64> {
        self.within.minutes_of_day(day, self.seed, self.year as u32)
    }

    /// One day in so many steps an hour, a divisor of 60, in the light of these minutes.
    pub(super) fn day(&self, day: usize, minutes: &[f64], steps: usize) -> Result<DayOfLight, String> {
        let over: Vec<f64> =
            minutes.chunks(60 / steps).map(|step| step.iter().sum::<f64>() / step.len() as f64).collect();
        let warm = rise_within_hours(&over, 60.0 / steps as f64);
        let hours = day * 24..day * 24 + 24;
        let count = 24 * steps;
        let step_h = 1.0 / steps as f64;
        let mut of_day = DayOfLight {
            units: Way::none(count),
            controllers: Way::none(count),
            controllers_bus_w: vec![0.0; count],
            coupled: Way::none(count),
            limited_wh: 0.0,
            limited_h: 0.0,
        };
        for unit in &self.units {
            let mut of_unit = Way::none(count);
            for (limits, groups) in &unit.inputs {
                let lit = |lit: &Lit<'_>| lit.light_w_m2[hours.clone()].iter().any(|light| *light > 0.0);
                if !groups.iter().any(lit) {
                    continue;
                }
                let arrived = self.at_input(groups, limits, hours.clone(), &over, &warm)?;
                of_unit.add(&arrived.power_w, &arrived.losses.cable_w);
                let losses = arrived.losses.over_current_w.iter().zip(&arrived.losses.over_power_w);
                for limited in losses.map(|(current, power)| current + power).filter(|w| *w > LIMITED_ABOVE_W)
                {
                    of_day.limited_wh += limited * step_h;
                    of_day.limited_h += step_h;
                }
            }
            if let Some(most_w) = unit.of.most_w {
                let (held, held_steps) = hold(most_w, &mut of_unit.power_w, &mut of_unit.cable_w);
                of_day.limited_wh += held * step_h;
                of_day.limited_h += f64::from(held_steps) * step_h;
            }
            match unit.of.way {
                PvWay::Units => of_day.units.add(&of_unit.power_w, &of_unit.cable_w),
                PvWay::Coupled => of_day.coupled.add(&of_unit.power_w, &of_unit.cable_w),
                PvWay::Bus(to_bus) => {
                    of_day.controllers.add(&of_unit.power_w, &of_unit.cable_w);
                    let bus = of_day.controllers_bus_w.iter_mut().zip(&of_unit.power_w);
                    bus.for_each(|(sum, watts)| *sum += to_bus.arrives_w(*watts));
                }
            }
        }
        Ok(of_day)
    }

    /// The strings of one input through the steps of a day.
    fn at_input(
        &self,
        groups: &[Lit<'_>],
        limits: &InputLimits,
        hours: std::ops::Range<usize>,
        over: &[f64],
        warm: &[f64],
    ) -> Result<InputYear, String> {
        let steps = over.len() / hours.len();
        let stretched = |of_hours: &[f64]| -> Vec<f64> {
            hours.clone().flat_map(|hour| std::iter::repeat_n(of_hours[hour], steps)).collect()
        };
        let mut made = Vec::with_capacity(groups.len());
        for Lit { group, light_w_m2, shade, cell_c } in groups {
            let light: Vec<f64> =
                stretched(light_w_m2).iter().zip(over).map(|(mean, over)| mean * over).collect();
            let air = stretched(self.air_c);
            let cells: Vec<f64> = stretched(cell_c)
                .iter()
                .zip(air)
                .zip(warm)
                .map(|((cell, air), warm)| air + (cell - air) * warm)
                .collect();
            let points = ModuleYear::new(&group.made.module, &light, &cells).map_err(|e| e.to_string())?;
            let shade = shade.as_ref().map(|shade| SectionShade {
                power_share: stretched(&shade.power_share),
                voltage_share: stretched(&shade.voltage_share),
            });
            made.push((group, light, cells, points, shade));
        }
        let strings: Vec<StringGroup<'_>> = made
            .iter()
            .map(|(group, light, cells, points, _)| StringGroup {
                module: &group.made.module,
                cell_w_m2: light,
                cell_c: cells,
                points,
                layout: group.layout,
                shares: group.shares,
            })
            .collect();
        let shades: Vec<Option<&SectionShade>> = made.iter().map(|(.., shade)| shade.as_ref()).collect();
        input_year_in_shade(&strings, &shades, limits).map_err(|e| e.to_string())
    }
}
