//! The middling year at steps shorter than an hour: what hourly means hide of clipping, of load peaks and of the bank.

mod light;
mod loads;

use crate::sky::SkyStudy;
use crate::uses::Unanswered;
use crate::{Study, YearStudy};
use ::loads::{Leg, MinutesOfDay, Switching};
use energy::{ControllerHour, CoupledHour, FinerHouse, FinerSums, Given, State};
use light::{DayOfLight, Strings};
use loads::{Busiest, Worst, leg_name, switching};
use quantity::{
    ApparentPower, Clause, Current, Energy, Fact, Figure, FigureName, Measure, Power, Standing, Term, Time,
    Traced, Value, units,
};
use rayon::prelude::*;
use std::sync::Arc;
use weather::within_hour::WithinHours;

/// Lengths of step, minutes.
const STEPS_MIN: [u32; 3] = [60, 15, 1];

/// One way to walk the year.
#[derive(Clone, Copy)]
struct Way {
    /// Length of its steps, minutes.
    minutes: u32,
    /// Whether each use stands at its drawn hour, or every day is the mean of its kind.
    drawn: bool,
}

/// The ways looked at; the first is what every other answer rests on.
const WAYS: [Way; 4] = [
    Way { minutes: 60, drawn: false },
    Way { minutes: 60, drawn: true },
    Way { minutes: 15, drawn: true },
    Way { minutes: 1, drawn: true },
];

/// The middling year at one length of step.
#[derive(Clone, Debug)]
pub struct AtStep {
    /// Length, minutes.
    pub minutes: u32,
    /// Whether each use stands at its drawn hour, or every day is the mean of its kind.
    pub drawn: bool,
    /// Lost to the limits of current and power of the inputs.
    pub limited: Traced<Energy>,
    /// Time in which such a limit held.
    pub limited_for: Traced<Time>,
    /// Offered and taken by nothing.
    pub unused: Traced<Energy>,
    /// Not served.
    pub missing: Traced<Energy>,
    /// From utility or generator.
    pub backup: Traced<Energy>,
    /// Out of the cells.
    pub throughput: Traced<Energy>,
    /// Highest mean output of a step.
    pub output: Traced<Power>,
    /// Most drawn from the battery in a step over its lowest voltage.
    pub battery_current: Option<Traced<Current>>,
    /// Time in which the loads asked more than the inverters give.
    pub over_output: Traced<Time>,
    /// Largest closing error of a step, Wh.
    pub closing_error_wh: f64,
}

/// The busiest minute of a leg.
#[derive(Clone, Debug)]
pub struct BusyMinute {
    /// Which leg.
    pub leg: Leg,
    /// Apparent power of everything on it.
    pub va: Traced<ApparentPower>,
    /// What the units give on it without a time limit.
    pub limit: Option<f64>,
    /// Minute of the year, from 0.
    pub at: usize,
    /// What is on: the largest first.
    pub running: Vec<Arc<str>>,
    /// Minutes of the year above the limit.
    pub over: u32,
    /// Most of them in a row.
    pub longest_over: u32,
}

/// The hardest start of a motor in the year's minutes.
#[derive(Clone, Debug)]
pub struct BusyStart {
    /// The load.
    pub load: Arc<str>,
    /// The leg that bears most.
    pub leg: Leg,
    /// Apparent power of the start with what else is on in that minute.
    pub va: Traced<ApparentPower>,
    /// What the units give on it for a short while, where known.
    pub limit: Option<f64>,
    /// For how many seconds they give it, where all say so: the shortest.
    pub lasts_s: Option<f64>,
    /// Minute of the year, from 0.
    pub at: usize,
}

/// The middling year within its hours.
#[derive(Clone, Debug)]
pub struct WithinHour {
    /// By hours, quarters of an hour and minutes.
    pub steps: Vec<AtStep>,
    /// The busiest minute of each leg.
    pub busiest: Vec<BusyMinute>,
    /// The hardest start.
    pub start: Option<BusyStart>,
    /// Its numbers by name.
    pub figures: Vec<Figure>,
}

/// What the light of minutes rests on.
const MINUTES: Clause = Clause {
    document: "Skartveit & Olseth, Solar Energy 49; switching of loads of this project",
    edition: "1992",
    clause: "deviation of short means within the hour; loads on for their share of each hour",
    standing: Standing::Remembered,
};

/// Days walked together: enough for two cores, few enough to stay small.
const DAYS_AT_ONCE: usize = 73;

pub(crate) fn within_hour(study: &Study) -> Result<WithinHour, Unanswered> {
    let year = study.year.as_ref().map_err(Clone::clone)?;
    let sky = study.sky.as_ref().map_err(Clone::clone)?;
    let wanted = study.demand.years.as_ref().map_err(Clone::clone)?;
    let system = &study.design.system;
    let seed = system.place.weather.seed.si().map_or(1, |seed| seed as u64);
    let within = hours_of(sky, year.middling);
    let starts: Vec<Option<f64>> =
        study.demand.loads.iter().map(|load| load.start.as_ref().and_then(Fact::si)).collect();
    let waited = year.brought.years.get(year.middling).map_or(&[][..], |of_year| &of_year.waited);
    let (list, names) = switching(system, wanted, sky, &starts, (seed, year.middling), waited);
    let walk = Walk { study, year, sky, within: &within, list: &list, seed };
    let mut worst = Worst::default();
    let all = walk.year(&mut worst).map_err(|why| Unanswered::refused(why, None))?;
    let told = Told { study, year };
    let steps = all.iter().zip(WAYS).map(|(walked, way)| told.step(walked, way)).collect();
    let split = year.house.inputs.fleet.leg_limit_w.is_some();
    let legs = if split { 2 } else { 1 };
    let busiest = (0..legs).map(|leg| told.busiest(&worst.legs[leg], leg, split, &walk, &names)).collect();
    let start = worst.start.map(|hardest| {
        let leg = leg_name(split, hardest.leg);
        let (limit, lasts_s) = told.surge(&names, hardest.load);
        let says = "hardest start in the minutes of the middling year, with what else is on";
        BusyStart {
            load: names[hardest.load].clone(),
            leg,
            va: told.traced(ApparentPower(hardest.va), says),
            limit,
            lasts_s,
            at: hardest.at,
        }
    });
    let mut found = WithinHour { steps, busiest, start, figures: Vec::new() };
    found.figures = figures(&found);
    Ok(found)
}

/// How much each hour of a weather year varies within.
fn hours_of(sky: &SkyStudy, year: usize) -> WithinHours {
    let sun = &sky.sun;
    let clear: Vec<f64> = (0..sun::HOURS)
        .map(|hour| {
            let (airless, observer) = (sun.zenith_deg[hour], &sun.observer);
            let bent = sun::refraction_deg(90.0 - airless, observer.pressure_hpa, observer.temperature_c);
            let clear = sun::ineichen_perez(
                airless - bent,
                sun.observer.elevation_m,
                sun::ASSUMED_LINKE_TURBIDITY,
                sun.extraterrestrial_normal_w_m2[hour],
            );
            clear.ghi_w_m2 * sun.sunlit_fraction[hour]
        })
        .collect();
    WithinHours::of(sky.weather.years.get(year).map_or(&[][..], |year| &year.ghi_w_m2), &clear)
}

/// Everything a walk through the year is told.
struct Walk<'a> {
    study: &'a Study,
    year: &'a YearStudy,
    sky: &'a SkyStudy,
    within: &'a WithinHours,
    list: &'a [Switching],
    seed: u64,
}

/// The year at one length of step.
struct Walked {
    finer: FinerHouse,
    state: State,
    sums: FinerSums,
    limited_wh: f64,
    limited_h: f64,
}

/// One day before the balance: light at every length of step, loads by minutes.
type MadeDay = ([DayOfLight; STEPS_MIN.len()], MinutesOfDay);

impl Walk<'_> {
    /// Walks the middling year at every length of step; the worst of the loads' minutes is kept.
    fn year(&self, worst: &mut Worst) -> Result<Vec<Walked>, String> {
        let middling = self.year.middling;
        let house = &self.year.house.inputs;
        let start = self.year.result().ok_or("the year has no balance")?.start;
        let planes: Vec<_> = self.study.planes.iter().flatten().collect();
        let air_c = &self.sky.weather.years[middling].air_c;
        let strings = Strings::of(&self.year.strings, &planes, air_c, self.within, self.seed, middling)?;
        let mut walked = Vec::new();
        for way in WAYS {
            let finer = FinerHouse::of(house, 60 / way.minutes).map_err(|e| e.to_string())?;
            let state = finer.from_hourly(start);
            walked.push(Walked { finer, state, sums: FinerSums::default(), limited_wh: 0.0, limited_h: 0.0 });
        }
        let fleet = &house.fleet;
        let limits_va = fleet.leg_limit_w.unwrap_or([fleet.output_limit_w, f64::INFINITY]);
        let days: Vec<usize> = (0..365).collect();
        for some in days.chunks(DAYS_AT_ONCE) {
            let made: Vec<MadeDay> = some
                .par_iter()
                .map(|day| {
                    let minutes = strings.minutes(*day);
                    let [hours, quarters, each] =
                        STEPS_MIN.map(|length| strings.day(*day, &minutes, (60 / length) as usize));
                    let loads = MinutesOfDay::of(self.list, *day, self.seed, middling as u32);
                    Ok(([hours?, quarters?, each?], loads))
                })
                .collect::<Result<_, String>>()?;
            for (day, (_, loads)) in some.iter().zip(&made) {
                worst.add(self.list, *day, loads, limits_va);
            }
            walked.par_iter_mut().zip(WAYS).try_for_each(|(walked, way)| {
                let at = STEPS_MIN.iter().position(|minutes| *minutes == way.minutes).unwrap_or(0);
                for (day, (light, loads)) in some.iter().zip(&made) {
                    self.day(*day, &light[at], loads, way, walked)?;
                }
                Ok::<(), String>(())
            })?;
        }
        Ok(walked)
    }

    /// One day through the balance in steps of so many minutes.
    fn day(
        &self,
        day: usize,
        light: &DayOfLight,
        loads: &MinutesOfDay,
        way: Way,
        walked: &mut Walked,
    ) -> Result<(), String> {
        let brought = self.year.brought.years.get(self.year.middling).ok_or("there is no middling year")?;
        let length = way.minutes as usize;
        let steps = 60 / length;
        walked.limited_wh += light.limited_wh;
        walked.limited_h += light.limited_h;
        let means;
        let watts = if !way.drawn {
            let hours = day * 24..day * 24 + 24;
            let profile = &brought.wanted.profile.watts;
            means = profile.each_ref().map(|legs| legs.each_ref().map(|leg| leg[hours.clone()].to_vec()));
            &means
        } else if length == 1 {
            &loads.watts
        } else {
            means = loads.in_steps_of(length);
            &means
        };
        let given = |step: usize| {
            let hour = day * 24 + step / steps;
            let (units, controllers, coupled) = (&light.units, &light.controllers, &light.coupled);
            Given {
                pv_dc_w: units.power_w[step],
                pv_cable_loss_w: units.cable_w[step],
                by_controller: ControllerHour {
                    dc_w: controllers.power_w[step],
                    bus_w: light.controllers_bus_w[step],
                    cable_loss_w: controllers.cable_w[step],
                },
                coupled: CoupledHour { dc_w: coupled.power_w[step], cable_loss_w: coupled.cable_w[step] },
                load_w: [0, 1, 2].map(|tier| watts[tier][0][step] + watts[tier][1][step]),
                first_leg_w: [0, 1, 2].map(|tier| watts[tier][0][step]),
                air_c: brought.air_c.get(hour).copied().unwrap_or(25.0),
                rate: self.year.house.rate_of_hour.get(hour).copied().unwrap_or(0),
            }
        };
        for step in 0..24 * steps {
            walked.finer.live(&mut walked.state, &given(step), &mut walked.sums);
        }
        Ok(())
    }

    /// What is on in a minute of the year on a leg, the largest first.
    fn running(&self, at: usize, leg: usize, names: &[Arc<str>]) -> Vec<Arc<str>> {
        let (day, minute) = (at / 1440, at % 1440);
        let mut on: Vec<(f64, usize)> = Vec::new();
        for (position, load) in self.list.iter().enumerate() {
            let of_day = MinutesOfDay::of_one(load, position, day, self.seed, self.year.middling as u32);
            let va = of_day.va[leg].get(minute).copied().unwrap_or(0.0);
            if va > load.running_w * RUNS_FROM && va > LISTED_FROM_VA {
                on.push((va, position));
            }
        }
        on.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
        on.into_iter().filter_map(|(_, position)| names.get(position).cloned()).collect()
    }
}

/// What takes less of its running power than this in a minute is not running.
const RUNS_FROM: f64 = 0.05;
/// Smaller things are not named beside a peak.
const LISTED_FROM_VA: f64 = 100.0;

/// Results in traced figures.
struct Told<'a> {
    study: &'a Study,
    year: &'a YearStudy,
}

impl Told<'_> {
    fn terms(&self) -> Vec<Term> {
        self.year.terms.clone()
    }

    fn traced<T: Measure>(&self, value: T, says: &str) -> Traced<T> {
        Traced::series(value, says, MINUTES, self.terms())
    }

    fn step(&self, walked: &Walked, way: Way) -> AtStep {
        let minutes = way.minutes;
        let sums = &walked.sums;
        let says = |what: &str| match minutes {
            60 if way.drawn => format!("{what}, middling year by hours, each use at its drawn hour"),
            60 => format!("{what}, middling year by hours with loads as their mean"),
            1 => format!("{what}, middling year by minutes"),
            quarter => format!("{what}, middling year by {quarter} minutes"),
        };
        let energy =
            |wh: f64, what: &str| self.traced(Energy::from_si(units::WATT_HOUR.to_si(wh)), &says(what));
        let time = |h: f64, what: &str| self.traced(Time::from_si(h * 3600.0), &says(what));
        let lowest = self.study.banks.first().and_then(|bank| bank.volts.lowest.si());
        AtStep {
            minutes,
            drawn: way.drawn,
            limited: energy(walked.limited_wh, "lost to limits of current and power of the inputs"),
            limited_for: time(walked.limited_h, "time in which a limit of an input held"),
            unused: energy(sums.flows.unused_wh, "offered and taken by nothing"),
            missing: energy(sums.flows.missing_total_wh(), "load not served"),
            backup: energy(sums.flows.backup_wh(), "from utility or generator"),
            throughput: energy(sums.flows.removed_wh, "out of the cells"),
            output: self
                .traced(Power::from_si(sums.peak_output_w.0), &says("highest output of the inverters")),
            battery_current: lowest.filter(|volts| *volts > 0.0).map(|volts| {
                let amps = Current::from_si(sums.peak_discharge_w / volts);
                self.traced(amps, &says("highest discharge over the lowest voltage of the battery"))
            }),
            over_output: time(
                sums.over_output_h,
                "time in which the loads asked more than the inverters give",
            ),
            closing_error_wh: sums.closing_error_wh,
        }
    }

    fn busiest(
        &self,
        busiest: &Busiest,
        leg: usize,
        split: bool,
        walk: &Walk<'_>,
        names: &[Arc<str>],
    ) -> BusyMinute {
        let fleet = &self.year.house.inputs.fleet;
        BusyMinute {
            leg: leg_name(split, leg),
            va: self.traced(
                ApparentPower(busiest.va),
                "everything on the leg in the busiest minute of the middling year",
            ),
            limit: Some(fleet.leg_limit_w.map_or(fleet.output_limit_w, |legs| legs[leg])),
            at: busiest.at,
            running: walk.running(busiest.at, leg, names),
            over: busiest.minutes_over,
            longest_over: busiest.longest_over,
        }
    }

    /// Short overload on the leg that starts a load, and the shortest time any unit gives it.
    fn surge(&self, names: &[Arc<str>], load: usize) -> (Option<f64>, Option<f64>) {
        let name = names.get(load);
        let limit = self.study.starts.iter().find(|start| Some(&start.load) == name);
        let system = &self.study.design.system;
        let inverters: Vec<_> =
            system.units_in_place.iter().filter_map(|unit| system.inverter_of(unit)).collect();
        let lasts: Option<Vec<f64>> = inverters.iter().map(|inverter| inverter.surge_time.si()).collect();
        let shortest = lasts.and_then(|lasts| lasts.into_iter().min_by(f64::total_cmp));
        (limit.and_then(|start| start.limit.si()), shortest)
    }
}

fn figures(found: &WithinHour) -> Vec<Figure> {
    let mut list = Vec::new();
    fn add<T: Measure>(list: &mut Vec<Figure>, name: &[&str], traced: &Traced<T>, says: String) {
        let name = FigureName::new(name);
        list.push(Figure { name, says, value: Value::from(traced), origin: traced.origin.clone() });
    }
    for step in &found.steps {
        let at = match step.minutes {
            60 if step.drawn => "by-hours-drawn".to_string(),
            60 => "by-hours".to_string(),
            1 => "by-minutes".to_string(),
            minutes => format!("by-{minutes}-minutes"),
        };
        let says = |what: &str| format!("{what}, {}", at.replace('-', " "));
        let name = |what: &'static str| ["within-hour", &at, what].map(str::to_string);
        macro_rules! figure {
            ($field:expr, $name:literal, $says:literal) => {
                add(&mut list, &name($name).each_ref().map(String::as_str), $field, says($says))
            };
        }
        figure!(&step.limited, "limited", "lost to limits of the inputs");
        figure!(&step.limited_for, "limited-hours", "time in which a limit of an input held");
        figure!(&step.unused, "unused", "offered and taken by nothing");
        figure!(&step.missing, "missing", "load not served");
        figure!(&step.backup, "backup", "from utility or generator");
        figure!(&step.throughput, "throughput", "out of the cells");
        figure!(&step.output, "output", "highest output of the inverters");
        figure!(&step.over_output, "over-output-hours", "time in which the loads asked more than is given");
        if let Some(current) = &step.battery_current {
            figure!(current, "battery-current", "highest discharge over the lowest voltage");
        }
    }
    for busy in &found.busiest {
        let leg = format!("leg {:?}", busy.leg);
        add(&mut list, &["within-hour", &leg, "busiest"], &busy.va, format!("{leg}: busiest minute"));
    }
    if let Some(start) = &found.start {
        let says = format!("{}: hardest start by minutes", start.load);
        add(&mut list, &["within-hour", "start"], &start.va, says);
    }
    list
}
