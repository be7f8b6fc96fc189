//! Twelve mean days: what the array brings and the house needs, as one would work it out by hand, with the share from array
//! to outlet that the hours have shown.

use super::{BALANCE, Brought};
use crate::house::HouseStudy;
use crate::light::PlaneStudy;
use design::Design;
use energy::{
    ArrayNeeded, Covered, GeneratorHours, IdlePerDay, LackingPerDay, MadePerDay, NeededPerDay, System,
    Worksheet, WorksheetInput, YearResult, worksheet,
};
use quantity::{Energy, Measure, Number, Power, Ratio, Term, Time, Traced, units};

/// The month that is covered least.
#[derive(Clone, Debug)]
pub struct WorstMonth {
    /// What the worksheet was told: means over all weather years.
    pub given: WorksheetInput,
    /// The worksheet, all months.
    pub sheet: Worksheet,
    /// The month covered least, 0 for January.
    pub month: usize,
    /// Whether there is no utility behind the house.
    pub alone: bool,
    /// Charging power behind the generator; `None` without one.
    pub charger: Option<Traced<Power>>,
    /// Rated power of all modules.
    pub array: Traced<Power>,
    /// Hours of full sun a day on the planes in it.
    pub sun: Traced<Time>,
    /// Share of the array's power that reaches the outlets in it.
    pub factor: Traced<Ratio>,
    /// Taken a day by inverters and electronics for being on.
    pub own_draw: Traced<Energy>,
    /// Needed a day.
    pub need: Traced<Energy>,
    /// Brought to the outlets a day.
    pub made: Traced<Energy>,
    /// Brought over needed.
    pub covered: Traced<Ratio>,
    /// Rated power that would cover it; `None` without sun.
    pub array_needed: Option<Traced<Power>>,
    /// Hours the generator runs in it for what lacks, through the battery; `None` without one.
    pub generator_hours: Option<Traced<Time>>,
    /// What it puts into the battery in those hours.
    pub generator_energy: Option<Traced<Energy>>,
}

/// The worksheet of a house that the utility does not carry from hour to hour; `None` for others, and where there is no array or
/// nothing is needed.
pub(super) fn worst_month(
    design: &Design,
    house: &HouseStudy,
    planes: &[&PlaneStudy],
    results: &[YearResult],
    brought: &Brought,
    terms: &[Term],
) -> Option<WorstMonth> {
    let charger_w = match house.inputs.system {
        System::Interactive { .. } => return None,
        System::StandAlone { generator } => generator.map_or(0.0, |set| set.charge_w),
        System::BackupByTransfer(_) | System::BackupThroughInput(_) => 0.0,
    };
    let (array_w, rated_wh) = rated_by_month(design, planes)?;
    let years = results.len() as f64;
    if array_w <= 0.0 || results.is_empty() || brought.years.len() != results.len() {
        return None;
    }
    let passes = Passes::of(results)?;
    let days = |month: usize| sun::MONTH_DAYS[month] as f64 * years;
    let over_years = |month: usize, of: fn(&energy::Flows) -> f64| -> f64 {
        results.iter().map(|year| of(&year.months[month])).sum()
    };
    let given = WorksheetInput {
        load_wh_per_day: std::array::from_fn(|month| over_years(month, |flows| flows.load_wh) / days(month)),
        idle_w: results.iter().map(|year| own_draw_wh(&year.year)).sum::<f64>() / (years * sun::HOURS as f64),
        sun_kwh_per_m2_day: std::array::from_fn(|month| rated_wh[month] / array_w / days(month)),
        factor: std::array::from_fn(|month| {
            let offered = over_years(month, |flows| flows.pv_offered_wh);
            if rated_wh[month] > 0.0 { offered / rated_wh[month] * passes.all_the_way() } else { 0.0 }
        }),
        array_w,
        inverter_efficiency: passes.bus_to_outlets,
        charger_w,
    };
    let sheet = worksheet(&given);
    let month = sheet.design_month;
    if sheet.months[month].need_wh <= 0.0 {
        return None;
    }
    let alone = matches!(house.inputs.system, System::StandAlone { .. });
    Some(told(given, sheet, alone, terms))
}

/// Efficiencies that the hours have shown: of what was taken, not of what was offered.
struct Passes {
    modules_to_bus: f64,
    bus_to_outlets: f64,
}

impl Passes {
    /// `None` where nothing ever reached the outlets. What utility or generator gave to loads past the battery has no part in
    /// them.
    fn of(results: &[YearResult]) -> Option<Passes> {
        let (mut taken, mut on_the_way, mut useful, mut lost) = (0.0, 0.0, 0.0, 0.0);
        for year in results {
            let (flows, losses) = (&year.year, &year.year.losses);
            taken += flows.pv_offered_wh - flows.unused_wh;
            on_the_way += losses.array_cable_wh + losses.pv_conversion_wh;
            useful += flows.from_sun_wh + flows.from_bank_wh + own_draw_wh(flows) - flows.backup_to_idle_wh;
            lost += losses.link_wh
                + losses.bank_in_wh
                + losses.self_discharge_wh
                + losses.bank_out_wh
                + losses.inverter_wh;
        }
        (taken > 0.0 && useful > 0.0).then(|| Passes {
            modules_to_bus: 1.0 - on_the_way / taken,
            bus_to_outlets: useful / (useful + lost),
        })
    }

    fn all_the_way(&self) -> f64 {
        self.modules_to_bus * self.bus_to_outlets
    }
}

/// Taken by inverters and electronics of the battery for being on.
fn own_draw_wh(flows: &energy::Flows) -> f64 {
    flows.losses.idle_wh + flows.losses.standby_wh
}

/// Rated power of all modules, W, and rated power times light on their planes over 1000 W/m², Wh, summed over all years by
/// month; `None` where a rated power is unknown.
fn rated_by_month(design: &Design, planes: &[&PlaneStudy]) -> Option<(f64, [f64; 12])> {
    let system = &design.system;
    let (mut array_w, mut sums) = (0.0, [0.0; 12]);
    for string in &system.strings {
        let plane = planes.iter().find(|plane| plane.name == string.string.plane)?;
        let module = system.module(&string.string.module)?;
        let watts = module.power.si()? * f64::from(string.string.count.value()?.0);
        array_w += watts;
        for light in &plane.years.light {
            for (day, hours) in light.plane_w_m2.chunks(24).enumerate() {
                sums[sun::month_of_day(day)] += watts * hours.iter().sum::<f64>() / 1000.0;
            }
        }
    }
    Some((array_w, sums))
}

/// The design month with the working of each of its figures.
fn told(given: WorksheetInput, sheet: Worksheet, alone: bool, terms: &[Term]) -> WorstMonth {
    let month = sheet.design_month;
    let energy = |wh: f64, says: &str| {
        Traced::series(Energy::from_si(units::WATT_HOUR.to_si(wh)), says, BALANCE, terms.to_vec())
    };
    let power = |w: f64, says: &str| Traced::series(Power::from_si(w), says, BALANCE, terms.to_vec());
    let ratio = |x: f64, says: &str| Traced::series(Ratio::from_si(x), says, BALANCE, terms.to_vec());
    let array = power(given.array_w, "rated power of all modules");
    let sun = Traced::series(
        Time::from_si(units::HOUR.to_si(given.sun_kwh_per_m2_day[month])),
        "light on the planes a day of this month over 1000 W/m², all weather years",
        BALANCE,
        terms.to_vec(),
    );
    let factor = ratio(
        given.factor[month],
        "share of rated power times light that reaches the outlets where it is taken, this month of all weather years",
    );
    let load =
        energy(given.load_wh_per_day[month], "asked at the outlets a day of this month, all weather years");
    let idle =
        power(given.idle_w, "mean draw of inverters and battery electronics for being on, all weather years");
    let own_draw = IdlePerDay::of(&idle);
    let need = NeededPerDay::of(&load, &own_draw);
    let made = MadePerDay::of(&array, &sun, &factor);
    let lacking = LackingPerDay::of(&need, &made);
    let charger = (given.charger_w > 0.0)
        .then(|| power(given.charger_w, "charging power behind the generator, at the battery"));
    let generator_hours = charger.as_ref().map(|charger| {
        let passes =
            ratio(given.inverter_efficiency, "from the battery's bus to the outlets, all weather years");
        let days = Traced::series(
            Number(sun::MONTH_DAYS[month] as f64),
            "days of the month",
            BALANCE,
            terms.to_vec(),
        );
        GeneratorHours::of(&lacking, &passes, charger, &days)
    });
    WorstMonth {
        month,
        covered: Covered::of(&made, &need),
        array_needed: (given.sun_kwh_per_m2_day[month] > 0.0 && given.factor[month] > 0.0)
            .then(|| ArrayNeeded::of(&need, &sun, &factor)),
        generator_energy: (given.charger_w > 0.0)
            .then(|| energy(sheet.months[month].generator_dc_wh, "generator hours · charging power")),
        generator_hours,
        alone,
        charger,
        given,
        sheet,
        array,
        sun,
        factor,
        own_draw,
        need,
        made,
    }
}
