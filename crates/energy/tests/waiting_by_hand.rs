//! Loads that wait for the sun, by hand and over random years.
//!
//! The house of round numbers: modules give 0.8 of what they offer at the bus, 100 W there are idle, and a watt at the outlets
//! takes 1.25 of the rest: 800 W of modules bring (640 − 100) / 1.25 = 432 W.
#![allow(clippy::unwrap_used)]

mod common;

use common::{Draws, Year, plain, random_inputs};
use energy::{HOURS, Inputs, Start, System, Waited, Waiting, YearInput, run, wait_for_sun};

const ALONE: System = System::StandAlone { generator: None };

/// From ten to four.
fn midday() -> [bool; 24] {
    std::array::from_fn(|hour| (10..16).contains(&hour))
}

/// Every day alike.
fn days(day: [f64; 24]) -> Vec<f64> {
    day.iter().copied().cycle().take(HOURS).collect()
}

fn at_midday(watts: [f64; 6]) -> [f64; 24] {
    let mut day = [0.0; 24];
    day[10..16].copy_from_slice(&watts);
    day
}

struct House {
    pv: Vec<f64>,
    load: Vec<f64>,
    none: Vec<f64>,
}

impl House {
    fn of(pv: [f64; 6]) -> House {
        House { pv: days(at_midday(pv)), load: days([200.0; 24]), none: vec![0.0; HOURS] }
    }

    fn year(&self) -> YearInput<'_> {
        YearInput {
            pv_dc_w: &self.pv,
            pv_cable_loss_w: &[],
            by_controller: Default::default(),
            coupled: Default::default(),
            load_w: [&self.load, &self.none, &self.none],
            first_leg_w: None,
            air_c: &[],
            rate: &[],
        }
    }

    fn waited(&self, inputs: &Inputs, list: &[(&[f64], f64)]) -> Vec<Waited> {
        let waiting: Vec<Waiting<'_>> = list
            .iter()
            .map(|(hours_w, running_w)| Waiting {
                hours_w,
                running_w: *running_w,
                window: midday(),
                legs: [1.0, 0.0],
            })
            .collect();
        wait_for_sun(inputs, &self.year(), &waiting).unwrap()
    }
}

fn near(a: &[f64], b: &[f64]) -> bool {
    a.len() == b.len() && a.iter().zip(b).all(|(a, b)| (a - b).abs() < 1e-9)
}

/// 2400 Wh of 800 W, listed evenly. At 10 h no sun. At 11 h 432 W less the 200 W of the other loads: 232 W. At 12 and 13 h
/// (1600 − 100) / 1.25 = 1200, less 200: 1000 W, of which 800. At 14 h 1000 W of modules: 560 − 200 = 360 W. What is left, 2400 −
/// 232 − 1600 − 360 = 208 Wh, runs in the last hour without sun.
#[test]
fn it_runs_on_what_the_sun_leaves_and_the_rest_at_the_end() {
    let house = House::of([0.0, 800.0, 2000.0, 2000.0, 1000.0, 0.0]);
    let listed = days(at_midday([400.0; 6]));
    let [waited] = &house.waited(&plain(ALONE), &[(&listed, 800.0)])[..] else { panic!() };
    for day in [0, 200, 364] {
        let hours = &waited.hours_w[day * 24 + 10..day * 24 + 16];
        assert!(near(hours, &[0.0, 232.0, 800.0, 800.0, 360.0, 208.0]), "{hours:?}");
    }
    assert!((waited.on_sun_wh - 365.0 * 2192.0).abs() < 1e-6);
    assert!((waited.without_sun_wh - 365.0 * 208.0).abs() < 1e-6);
    assert_eq!(waited.days_without, 365);
}

/// Without sun 2400 Wh at 800 W take the last three hours; hours outside the window stay as they are listed.
#[test]
fn a_dark_day_runs_at_the_end_of_its_hours() {
    let house = House::of([0.0; 6]);
    let mut day = at_midday([400.0; 6]);
    day[20] = 800.0;
    let waited = &house.waited(&plain(ALONE), &[(&days(day), 800.0)])[0];
    assert!(
        near(&waited.hours_w[10..16], &[0.0, 0.0, 0.0, 800.0, 800.0, 800.0]),
        "{:?}",
        &waited.hours_w[10..16]
    );
    assert_eq!((waited.hours_w[20], waited.on_sun_wh), (800.0, 0.0));
}

/// The first of the list takes 800 of the 1000 W left at 12 and 13 h, the second the other 200: at noon no more than the sun.
#[test]
fn the_first_of_the_list_goes_first() {
    let house = House::of([0.0, 0.0, 2000.0, 2000.0, 0.0, 0.0]);
    let (first, second) = (days(at_midday([200.0; 6])), days(at_midday([100.0; 6])));
    let waited = house.waited(&plain(ALONE), &[(&first, 800.0), (&second, 600.0)]);
    // 1200 Wh: 800 and 400. 600 Wh: 200, then 600 − 200 = 400 of the 600 left.
    assert!(near(&waited[0].hours_w[10..16], &[0.0, 0.0, 800.0, 400.0, 0.0, 0.0]));
    assert!(near(&waited[1].hours_w[10..16], &[0.0, 0.0, 200.0, 400.0, 0.0, 0.0]));
    assert_eq!(waited[1].days_without, 0);
}

/// A leg of 700 W with 200 W on it leaves 500 W, whatever the sun gives.
#[test]
fn a_leg_leaves_no_more_than_its_limit() {
    let mut inputs = plain(ALONE);
    inputs.fleet.leg_limit_w = Some([700.0, 700.0]);
    let house = House::of([4000.0; 6]);
    let listed = days(at_midday([200.0; 6]));
    let legs = [&house.load[..], &house.none, &house.none];
    let year = YearInput { first_leg_w: Some(legs), ..house.year() };
    let waiting = Waiting { hours_w: &listed, running_w: 1200.0, window: midday(), legs: [1.0, 0.0] };
    let waited = &wait_for_sun(&inputs, &year, &[waiting]).unwrap()[0];
    assert!(
        near(&waited.hours_w[10..16], &[500.0, 500.0, 200.0, 0.0, 0.0, 0.0]),
        "{:?}",
        &waited.hours_w[10..16]
    );
    // Half of it on either leg: the first leaves 500 W, so 1000 W in all.
    let waiting = Waiting { legs: [0.5, 0.5], ..waiting };
    let waited = &wait_for_sun(&inputs, &year, &[waiting]).unwrap()[0];
    assert!((waited.hours_w[10] - 1000.0).abs() < 1e-9);
}

/// Energy that waits for the sun goes through no battery: with the sun at 12 and 13 h alone, a load listed over six hours takes
/// less from the bank than the same load listed and not moved. By hand, listed evenly 200 W an hour run at 10, 11, 14 and 15 h from
/// the bank: 800 Wh at the outlets of 1200; waiting, none.
#[test]
fn what_waits_spares_the_bank() {
    let house = House::of([0.0, 0.0, 2000.0, 2000.0, 0.0, 0.0]);
    let inputs = plain(ALONE);
    let listed = days(at_midday([200.0; 6]));
    let waited = house.waited(&inputs, &[(&listed, 800.0)]);
    let sums = |more: &[f64]| {
        let year = YearInput { load_w: [&house.none, more, &house.none], ..house.year() };
        run(&inputs, &year, Start::AfterDecember).unwrap().year
    };
    let (as_listed, moved) = (sums(&listed), sums(&waited[0].hours_w));
    assert!((as_listed.load_wh - moved.load_wh).abs() < 1e-6);
    assert!((moved.from_sun_wh - 365.0 * 1200.0).abs() < 1e-6, "{}", moved.from_sun_wh);
    assert!((as_listed.from_sun_wh - 365.0 * 400.0).abs() < 1e-6, "{}", as_listed.from_sun_wh);
}

/// Over random houses and years every day keeps its energy, hours outside the window theirs, no hour runs above its power, and
/// what ran on sun and without is all that the window held.
#[test]
fn every_day_keeps_its_energy() {
    let mut draws = Draws(29);
    for _ in 0..20 {
        let (inputs, year) = (random_inputs(&mut draws), Year::random(&mut draws));
        let hours: Vec<f64> = (0..HOURS).map(|_| draws.between(0.0, 500.0)).collect();
        let waiting =
            Waiting { hours_w: &hours, running_w: 900.0, window: midday(), legs: [draws.unit(), 0.3] };
        let waited = &wait_for_sun(&inputs, &year.input(), &[waiting, waiting]).unwrap()[1];
        let mut inside_wh = 0.0;
        for (listed, run) in hours.chunks(24).zip(waited.hours_w.chunks(24)) {
            let sum = |day: &[f64]| day.iter().sum::<f64>();
            assert!((sum(listed) - sum(run)).abs() < 1e-9);
            assert_eq!((&listed[..10], &listed[16..]), (&run[..10], &run[16..]));
            assert!(run[10..16].iter().all(|watts| (0.0..=900.0 + 1e-9).contains(watts)));
            inside_wh += sum(&listed[10..16]);
        }
        assert!((waited.on_sun_wh + waited.without_sun_wh - inside_wh).abs() < 1e-6);
    }
}

#[test]
fn hours_that_are_none_are_refused() {
    let house = House::of([0.0; 6]);
    let inputs = plain(ALONE);
    for hours in [vec![0.0; 24], vec![f64::NAN; HOURS], vec![-1.0; HOURS]] {
        let waiting = Waiting { hours_w: &hours, running_w: 1.0, window: midday(), legs: [1.0, 0.0] };
        assert!(wait_for_sun(&inputs, &house.year(), &[waiting]).is_err());
    }
}
