//! What is wanted in every weather year, kept as a layer.

use crate::memo::{Key, Memo};
use crate::sky::SkyStudy;
use crate::uses::{Unanswered, Uses};
use loads::{
    Climate, FollowedYear, Following, HourlyProfile, Leg, LoadInput, MONTH_DAYS, Tier, Unlisted, WorstHour,
    leg_shares, month_sums, tier_index, worst_together,
};
use quantity::{Angle, Fact, units};
use rayon::prelude::*;
use std::sync::Arc;

/// What is wanted in one weather year.
#[derive(Clone, Debug, PartialEq)]
pub struct WantedYear {
    /// Hour by hour, by tier and leg.
    pub profile: HourlyProfile,
    /// Both legs of each tier together: must, want, luxury; 8760 hourly means each, W.
    pub tiers: [Vec<f64>; 3],
}

impl WantedYear {
    pub(crate) fn new(profile: HourlyProfile) -> Self {
        let tiers = [Tier::Must, Tier::Want, Tier::Luxury].map(|tier| profile.tier(tier));
        WantedYear { profile, tiers }
    }

    /// The tiers as the balance takes them.
    pub fn load_w(&self) -> [&[f64]; 3] {
        [&self.tiers[0], &self.tiers[1], &self.tiers[2]]
    }
}

/// A load that follows the weather, year by year.
#[derive(Clone, Debug, PartialEq)]
pub struct FollowedLoad {
    /// Position in the list of loads.
    pub load: usize,
    /// How many there are.
    pub count: f64,
    /// Energy of each weather year, all of them, Wh.
    pub yearly_wh: Vec<f64>,
    /// What became of one of them in each weather year, without its hours.
    pub years: Vec<FollowedYear>,
}

/// What is wanted in every weather year, in their order.
#[derive(Clone, Debug)]
pub struct DemandYears {
    /// Each year; all of them one and the same where nothing follows the weather.
    pub years: Vec<Arc<WantedYear>>,
    /// The year in the middle by energy; where nothing follows the weather, the only one.
    pub middling: Arc<WantedYear>,
    /// Energy of each load in each month, Wh; over weather years their mean.
    pub months_wh: Vec<[f64; 12]>,
    /// Added to the list or taken off by the owner's choice to meet the bills, by month, Wh.
    pub unlisted_wh: [f64; 12],
    /// Reserve for loads to come, by month, Wh.
    pub reserve_wh: [f64; 12],
    /// Loads that follow the weather.
    pub followed: Vec<FollowedLoad>,
    /// Worst coincidence over all years, in hourly means.
    pub worst: Option<WorstHour>,
    /// Key of the layer: equal keys mean equal years.
    pub key: u64,
    /// The list as numbers.
    pub(crate) listed: Vec<Listed>,
    /// What is laid over it.
    pub(crate) laid: Laid,
}

impl DemandYears {
    /// The load at this position of the list, where it follows the weather.
    pub fn followed(&self, load: usize) -> Option<&FollowedLoad> {
        self.followed.iter().find(|followed| followed.load == load)
    }
}

/// One load of the list as numbers.
#[derive(Clone, Debug)]
pub(crate) enum Listed {
    /// The same in every weather year.
    Steady(LoadInput),
    /// Following the weather; in which hours of the day it waits for the sun, where it may.
    Following { following: Following, count: f64, tier: Tier, leg: Leg, waits: Option<[bool; 24]> },
}

/// A load of the list in one weather year.
pub(crate) struct ListedYear {
    /// 8760 hourly means of all of them, W.
    pub(crate) hours_w: Vec<f64>,
    /// Taken in every hour of use whatever runs, all of them together, W.
    pub(crate) rest_w: f64,
    /// Taken by one above its rest while it runs, W; 0 for what is even over the hour.
    pub(crate) running_w: f64,
    pub(crate) count: f64,
    pub(crate) tier: Tier,
    pub(crate) leg: Leg,
}

impl Listed {
    /// In a year of `air_c`, °C, and the inlet water of its days; `most_w` is the power of one while it runs.
    pub(crate) fn year(&self, air_c: &[f64], inlet_c: &[f64], most_w: f64) -> ListedYear {
        match self {
            Listed::Steady(input) => ListedYear {
                hours_w: input.year_w(),
                rest_w: input.rest_w(),
                running_w: (input.power_w - input.standby_w).max(0.0),
                count: input.count,
                tier: input.tier,
                leg: input.leg,
            },
            Listed::Following { following, count, tier, leg, .. } => {
                let mut one = following.year(air_c, inlet_c);
                one.scale_hours(*count);
                let hours_w = one.watts().to_vec();
                ListedYear { hours_w, rest_w: 0.0, running_w: most_w, count: *count, tier: *tier, leg: *leg }
            }
        }
    }

    /// Hours of the day in which it waits for the sun; `None` where it does not, or has no power to run at.
    pub(crate) fn waits(&self) -> Option<[bool; 24]> {
        match self {
            Listed::Steady(input) => input.sun_hours.filter(|_| input.power_w > input.standby_w),
            Listed::Following { waits, .. } => *waits,
        }
    }
}

/// What is laid over the list: energy the bills show and nobody listed, and a reserve.
#[derive(Clone, Debug)]
pub(super) struct More {
    /// What becomes of the difference.
    pub unlisted: Unlisted,
    /// Billed by month, Wh; 0 where nothing is known of a month.
    pub bills_wh: [f64; 12],
    /// Reserve as a share.
    pub growth: f64,
}

/// What [`More`] comes to for a list.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Laid {
    pub(crate) scale: [f64; 12],
    pub(crate) added_w: [f64; 12],
    pub(crate) leg: Leg,
    pub(crate) growth: f64,
}

impl Laid {
    /// What the hours of each month are multiplied with. More energy in a month is more time on, not more watts.
    pub(crate) fn more(&self) -> [f64; 12] {
        self.scale.map(|scale| scale * (1.0 + self.growth))
    }

    fn of(more: &More, list_wh: [f64; 12], listed: &[Listed]) -> Laid {
        let mut laid = Laid { scale: [1.0; 12], added_w: [0.0; 12], leg: Leg::Only, growth: more.growth };
        for month in 0..12 {
            let (bill, list) = (more.bills_wh[month], list_wh[month]);
            match more.unlisted {
                Unlisted::Scaled if bill > 0.0 && list > 0.0 => laid.scale[month] = bill / list,
                Unlisted::Added if bill > list => {
                    laid.added_w[month] = (bill - list) / (MONTH_DAYS[month] * 24) as f64;
                }
                _ => {}
            }
        }
        // Nobody knows where it hangs: on a split-phase panel on both legs alike.
        let split = |load: &Listed| {
            !matches!(
                load,
                Listed::Steady(LoadInput { leg: Leg::Only | Leg::A, .. })
                    | Listed::Following { leg: Leg::Only | Leg::A, .. }
            )
        };
        if listed.iter().any(split) {
            laid.leg = Leg::Both;
        }
        laid
    }

    /// What is added or taken off by month, Wh, and the reserve.
    fn sums_wh(&self, list_wh: [f64; 12]) -> ([f64; 12], [f64; 12]) {
        let unlisted: [f64; 12] = std::array::from_fn(|m| {
            list_wh[m] * (self.scale[m] - 1.0) + self.added_w[m] * (MONTH_DAYS[m] * 24) as f64
        });
        (unlisted, std::array::from_fn(|m| (list_wh[m] + unlisted[m]) * self.growth))
    }

    fn over(&self, profile: HourlyProfile) -> HourlyProfile {
        let mut profile = if self.scale == [1.0; 12] { profile } else { profile.scaled(self.scale) };
        if self.added_w != [0.0; 12] {
            let hours: Vec<f64> = MONTH_DAYS
                .iter()
                .zip(self.added_w)
                .flat_map(|(days, watts)| std::iter::repeat_n(watts, days * 24))
                .collect();
            profile.add(&hours, Tier::Want, self.leg);
        }
        if self.growth != 0.0 { profile.scaled([1.0 + self.growth; 12]) } else { profile }
    }
}

/// The weather that loads follow.
pub(super) struct Weather {
    sky: Option<(Arc<SkyStudy>, Climate)>,
    years: usize,
}

impl Weather {
    /// No load follows the weather: so many years that are all alike.
    pub(super) fn none(years: usize) -> Weather {
        Weather { sky: None, years }
    }

    /// The weather years; what they rest on is noted.
    pub(super) fn of(
        sky: &Result<Arc<SkyStudy>, Unanswered>,
        uses: &mut Uses,
        latitude: &Fact<Angle>,
    ) -> Result<Weather, Unanswered> {
        let sky = match sky {
            Ok(sky) => sky.clone(),
            Err(Unanswered::Missing(gap)) => {
                uses.miss(gap);
                return Err(Unanswered::Missing(gap.clone()));
            }
            Err(why) => return Err(why.clone()),
        };
        uses.extend(&sky.terms);
        let south = uses.number("latitude", latitude, &units::DEGREE_UNIT) < 0.0;
        let airs = sky.weather.years.iter().map(|year| year.air_c.as_slice());
        let climate = Climate::of(airs, south)
            .ok_or_else(|| Unanswered::refused("there is no weather year for loads to follow", None))?;
        let years = sky.weather.years.len();
        Ok(Weather { sky: Some((sky, climate)), years })
    }
}

/// The years, from the layer where nothing changed.
pub(super) fn years(listed: &[Listed], weather: &Weather, more: &More, memo: &mut Memo) -> Arc<DemandYears> {
    let mut key = listed.iter().fold(Key::new("demand").count(weather.years as u64), key_of);
    if let Some((sky, climate)) = &weather.sky {
        key = key.count(sky.key).count(u64::from(climate.south));
    }
    key = key.numbers(&more.bills_wh).numbers(&[more.growth]).count(more.unlisted as u64);
    let key = key.done();
    memo.demand.get(key, || made(listed, weather, more, key))
}

fn made(listed: &[Listed], weather: &Weather, more: &More, key: u64) -> DemandYears {
    let steady: Vec<LoadInput> = listed
        .iter()
        .filter_map(|load| match load {
            Listed::Steady(input) => Some(*input),
            Listed::Following { .. } => None,
        })
        .collect();
    let ground = HourlyProfile::of(&steady);
    let mut months_wh: Vec<[f64; 12]> = listed
        .iter()
        .map(|load| match load {
            Listed::Steady(input) => input.month_wh(),
            Listed::Following { .. } => [0.0; 12],
        })
        .collect();
    let Some((sky, climate)) = &weather.sky else {
        let list_wh = all_of(&months_wh);
        let laid = Laid::of(more, list_wh, listed);
        let (unlisted_wh, reserve_wh) = laid.sums_wh(list_wh);
        let only = Arc::new(WantedYear::new(laid.over(ground)));
        let worst = worst_together(&only.profile);
        let years = vec![only.clone(); weather.years];
        let followed = Vec::new();
        return DemandYears {
            years,
            middling: only,
            months_wh,
            unlisted_wh,
            reserve_wh,
            followed,
            worst,
            key,
            listed: listed.to_vec(),
            laid,
        };
    };
    let inlet_c = climate.mains_c();
    let made: Vec<(HourlyProfile, Vec<FollowedYear>)> = sky
        .weather
        .years
        .par_iter()
        .map(|year| {
            let mut profile = ground.clone();
            let mut accounts = Vec::new();
            for load in listed {
                let Listed::Following { following, count, tier, leg, .. } = load else { continue };
                let mut one = following.year(&year.air_c, &inlet_c);
                if *count != 1.0 {
                    one.scale_hours(*count);
                }
                profile.add(one.watts(), *tier, *leg);
                accounts.push(one);
            }
            (profile, accounts)
        })
        .collect();
    let count = made.len() as f64;
    let mut followed: Vec<FollowedLoad> = listed
        .iter()
        .enumerate()
        .filter_map(|(at, load)| match load {
            Listed::Following { count, .. } => {
                Some(FollowedLoad { load: at, count: *count, yearly_wh: Vec::new(), years: Vec::new() })
            }
            Listed::Steady(_) => None,
        })
        .collect();
    let mut profiles = Vec::with_capacity(made.len());
    for (profile, accounts) in made {
        for (load, account) in followed.iter_mut().zip(accounts) {
            let months = month_sums(account.watts());
            months_wh[load.load].iter_mut().zip(months).for_each(|(sum, month)| *sum += month / count);
            load.yearly_wh.push(months.iter().sum());
            load.years.push(account.without_hours());
        }
        profiles.push(profile);
    }
    let list_wh = all_of(&months_wh);
    let laid = Laid::of(more, list_wh, listed);
    let (unlisted_wh, reserve_wh) = laid.sums_wh(list_wh);
    let years: Vec<(Arc<WantedYear>, Option<WorstHour>)> = profiles
        .into_par_iter()
        .map(|profile| {
            let year = WantedYear::new(laid.over(profile));
            let worst = worst_together(&year.profile);
            (Arc::new(year), worst)
        })
        .collect();
    let worst = years.iter().fold(None, |worst, (_, year)| WorstHour::worse(worst, *year));
    let years: Vec<Arc<WantedYear>> = years.into_iter().map(|(year, _)| year).collect();
    let middling = middling(&years);
    DemandYears {
        years,
        middling,
        months_wh,
        unlisted_wh,
        reserve_wh,
        followed,
        worst,
        key,
        listed: listed.to_vec(),
        laid,
    }
}

fn all_of(months_wh: &[[f64; 12]]) -> [f64; 12] {
    std::array::from_fn(|month| months_wh.iter().map(|load| load[month]).sum())
}

/// The year in the middle by energy; an empty one where there is none.
fn middling(years: &[Arc<WantedYear>]) -> Arc<WantedYear> {
    let mut order: Vec<(f64, &Arc<WantedYear>)> =
        years.iter().map(|year| (year.profile.month_wh().iter().sum(), year)).collect();
    order.sort_by(|a, b| a.0.total_cmp(&b.0));
    order
        .get(order.len() / 2)
        .map_or_else(|| Arc::new(WantedYear::new(HourlyProfile::empty())), |(_, year)| Arc::clone(year))
}

/// The key of the layer so far with one more load.
fn key_of(key: Key, load: &Listed) -> Key {
    let (tier, leg) = match load {
        Listed::Steady(load) => (load.tier, load.leg),
        Listed::Following { tier, leg, .. } => (*tier, *leg),
    };
    let key = key.count(tier_index(tier) as u64).numbers(&leg_shares(leg));
    match load {
        Listed::Steady(load) => {
            let bits = |set: &[bool]| set.iter().fold(1, |bits, used| bits << 1 | u64::from(*used));
            key.numbers(&[load.power_w, load.label_wh_per_year, load.count, load.standby_w, load.days_share])
                .numbers(&load.hours)
                .numbers(load.shares.as_ref().map_or(&[], |shares| shares))
                .count(bits(&load.months))
                .count(bits(&load.weekdays))
                .count(load.sun_hours.map_or(0, |hours| bits(&hours)))
        }
        Listed::Following { following, count, waits, .. } => {
            key.numbers(&[*count]).count(u64::from(waits.is_some())).text(&format!("{following:?}"))
        }
    }
}
