//! The faster forms against the reference on thousands of random houses inside what they need, and their refusals.
#![allow(clippy::unwrap_used)]

mod common;

use common::{Draws, Year, plain, random_inputs};
use conversion::LossCurve;
use energy::{
    Bank, Chemistry, Floor, HOURS, House, Inputs, LANES, Outside, Promise, Row, Shed, SideBySide, SizeCurve,
    Start, System, Transfer, YearInShort, drill, drill_from, run,
};

/// A random house without backup whose bank has one well, no taper and the temperature of the air.
fn alone(draws: &mut Draws) -> Inputs {
    let mut inputs = random_inputs(draws);
    inputs.system = System::StandAlone { generator: None };
    inputs.fleet.direct = None;
    inputs.fleet.coupled = None;
    inputs.room = None;
    inputs.bank.thermal = None;
    inputs.bank.chemistry = Chemistry::Linear;
    inputs.bank.taper_from = 1.1;
    inputs.shed_below = Shed::default();
    inputs
}

/// The same bank in another size: more of the same in parallel.
fn times(bank: &Bank, units: f64) -> Bank {
    Bank {
        capacity_wh: bank.capacity_wh * units,
        charge_w: bank.charge_w * units,
        discharge_w: bank.discharge_w * units,
        standby_w: bank.standby_w * units,
        link_loss_per_w: bank.link_loss_per_w / units,
        ..*bank
    }
}

fn without_controllers(mut year: Year) -> Year {
    year.controller = [vec![], vec![]];
    year.coupled = vec![];
    year
}

fn near(found: f64, expected: f64, what: &str) {
    assert!((found - expected).abs() <= 1e-9 * expected.abs().max(1.0), "{what}: {found} {expected}");
}

#[test]
fn the_row_form_is_the_reference_for_four_thousand_banks() {
    let mut draws = Draws(11);
    let mut in_the_dark = 0;
    for house in 0..340 {
        let inputs = alone(&mut draws);
        let year = without_controllers(Year::random(&mut draws));
        let input = year.input();
        let row = Row::of(&inputs, &input).unwrap();
        // One lane more than fit side by side, so that the last chunk is not full.
        let banks: Vec<Bank> = (0..LANES + 4).map(|_| times(&inputs.bank, draws.between(0.2, 5.0))).collect();
        let sums = row.run(&banks).unwrap();
        assert_eq!(sums.len(), banks.len());
        for (bank, sums) in banks.iter().zip(sums) {
            let expected = run(&Inputs { bank: *bank, ..inputs }, &input, Start::AfterDecember).unwrap();
            let of = |what: &str| format!("house {house}: {what}");
            for tier in 0..3 {
                near(sums.missing_wh[tier], expected.year.missing_wh[tier], &of("missing"));
            }
            near(sums.unused_wh, expected.year.unused_wh, &of("unused"));
            near(sums.stored_wh, expected.year.stored_wh, &of("stored"));
            near(sums.removed_wh, expected.year.removed_wh, &of("removed"));
            near(sums.lowest_state_of_charge, expected.lowest_state_of_charge, &of("lowest"));
            near(sums.end_wh, expected.end.wells.total(), &of("end"));
            // Counts are equal, not near.
            assert_eq!(sums.dark_h, expected.year.dark_h, "{}", of("dark"));
            assert_eq!(sums.empty_h, expected.near_limits.empty, "{}", of("empty"));
            in_the_dark += usize::from(sums.dark_h > 0.0);
        }
    }
    assert!(in_the_dark > 400, "too few went short for the comparison to say much: {in_the_dark}");
}

#[test]
fn all_sizes_in_one_pass_are_the_reference_for_each_of_them() {
    let mut draws = Draws(12);
    let mut short = 0;
    for house in 0..500 {
        let mut inputs = alone(&mut draws);
        inputs.fleet.discharge = LossCurve::quadratic(0.0, draws.between(0.0, 0.08), 0.0);
        inputs.fleet.output_limit_w = 1e5;
        inputs.fleet.leg_limit_w = None;
        inputs.fleet.derate = None;
        inputs.fleet.charge_limit_w = 1e5;
        inputs.bank.charge_w = 1e5;
        inputs.bank.discharge_w = 1e5;
        inputs.bank.standby_w = 0.0;
        inputs.bank.self_discharge_per_h = 0.0;
        inputs.bank.link_loss_per_w = 0.0;
        inputs.bank.charge_above_c = None;
        let year = without_controllers(Year::random(&mut draws));
        let input = year.input();
        let curve = SizeCurve::of(&inputs, &input, &inputs.bank).unwrap();
        let mut last = f64::INFINITY;
        for _ in 0..4 {
            let capacity_wh = draws.between(100.0, 80_000.0);
            let bank = Bank { capacity_wh, ..inputs.bank };
            let inputs = Inputs { bank, ..inputs };
            let full = House::of(&inputs).unwrap().at_rest(bank.usable_high);
            let expected = run(&inputs, &input, Start::At(full)).unwrap().year.missing_total_wh();
            let found = curve.unserved_wh(capacity_wh * (bank.usable_high - bank.usable_low));
            near(found, expected, &format!("house {house}, {capacity_wh} Wh"));
            short += usize::from(expected > 1.0);
            last = last.min(found);
        }
        // Falls and is convex: theory says so of losses that do not depend on size.
        let at: Vec<f64> = (0..60).map(|k| curve.unserved_wh(f64::from(k) * 1000.0)).collect();
        assert!(at.windows(2).all(|pair| pair[1] <= pair[0] + 1e-6));
        assert!(at.windows(3).all(|three| three[0] - three[1] >= three[1] - three[2] - 1e-6));
        assert_eq!(curve.unserved_wh(curve.enough_wh()), 0.0);
    }
    assert!(short > 300, "{short}");
}

/// Whatever a house loses and limits, with whatever stands behind it: it leaves no less to be missing or bought than a
/// battery of the same usable size without losses would.
#[test]
fn no_house_does_better_than_the_ideal_of_its_size() {
    let mut draws = Draws(13);
    let mut tight = 0;
    for house in 0..1500 {
        let inputs = random_inputs(&mut draws);
        let year = Year::random(&mut draws);
        let input = year.input();
        let found = run(&inputs, &input, Start::AfterDecember).unwrap();
        let helped = found.year.missing_total_wh() + found.year.backup_wh();
        let usable = inputs.bank.capacity_wh * (inputs.bank.usable_high - inputs.bank.usable_low);
        let least = SizeCurve::ideal(&inputs, &input).unwrap().unserved_wh(usable);
        assert!(helped >= least * (1.0 - 1e-9) - 1e-6, "house {house}: {helped} {least}");
        tight += usize::from(least > 0.5 * helped);
    }
    assert!(tight > 300, "a bound that is never near says little: {tight}");
}

/// Houses of every kind against what their energy alone says of them: no year brings less hardship, none that must break a
/// promise keeps it.
#[test]
fn no_house_suffers_less_than_its_energy_asks() {
    let mut draws = Draws(18);
    let (mut tight, mut must_break, mut dark, mut behind) = (0, 0, 0, 0);
    for house in 0..1500 {
        let mut inputs = random_inputs(&mut draws);
        match house % 4 {
            0 => inputs.system = System::StandAlone { generator: None },
            1 => (inputs.fleet.direct, inputs.fleet.coupled) = (None, None),
            _ => {}
        }
        let year = Year::random(&mut draws);
        let input = year.input();
        let houses = [inputs, inputs.with_bank(times(&inputs.bank, draws.between(0.2, 5.0)))];
        let floor = Floor::of(&houses, &input).unwrap();
        for inputs in &houses {
            let found = YearInShort::from(&run(inputs, &input, Start::AfterDecember).unwrap());
            let least = floor.under(inputs).unwrap();
            let of = |what: &str| format!("house {house}: {what}: {found:?} {least:?} {inputs:?}");
            let helped = found.missing_total_wh() + found.backup_wh;
            assert!(helped >= least.missing_and_backup_wh, "{}", of("together"));
            assert!(found.missing_wh[0] + found.backup_wh >= least.must_and_backup_wh, "{}", of("must"));
            assert!(found.missing_total_wh() >= least.missing_wh(), "{}", of("missing"));
            assert!(found.dark_h >= least.dark_h(), "{}", of("dark"));
            if least.backup_gives_w.is_finite() {
                assert!(found.backup_wh <= found.backup_h * least.backup_gives_w + 1e-6, "{}", of("backup"));
                behind += usize::from(found.backup_h > 0.0);
            }
            tight += usize::from(least.missing_and_backup_wh > 0.5 * helped);
            dark += usize::from(least.dark_h() > 0.1 * found.dark_h && found.dark_h > 0.0);
            // A promise that the year keeps, each limit just as it was or a little wider, must not be called broken.
            let mut limit = |found: f64| draws.chance(0.5).then(|| found * draws.between(1.0, 1.5));
            let kept = Promise {
                backup_h: limit(found.backup_h),
                dark_h: limit(found.dark_h),
                backup_wh: limit(found.backup_wh),
                missing_wh: limit(found.missing_total_wh()),
                fuel_l: limit(found.fuel_l),
            };
            assert!(kept.kept_in(&found) && !least.breaks(&kept), "{}", of("kept"));
            let half = |limit: Option<f64>| limit.map(|most| 0.3 * most);
            let strict = Promise {
                backup_h: half(kept.backup_h),
                dark_h: half(kept.dark_h),
                backup_wh: half(kept.backup_wh),
                missing_wh: half(kept.missing_wh),
                fuel_l: half(kept.fuel_l),
            };
            if least.breaks(&strict) {
                assert!(!strict.kept_in(&found), "{}", of("broken"));
                must_break += 1;
            }
        }
    }
    assert!(
        tight > 500 && must_break > 100 && dark > 50 && behind > 200,
        "bounds that are never near say little: {tight} {must_break} {dark} {behind}"
    );
}

/// Whatever stands behind the bank and whatever its cells feel: thousands of houses side by side are each the house alone.
#[test]
fn houses_side_by_side_are_the_reference_for_three_thousand_of_them() {
    let mut draws = Draws(15);
    let (mut on_backup, mut in_the_dark, mut plain_h, mut all_h) = (0, 0, 0.0, 0.0);
    let mut house = 0;
    while house < 250 {
        let mut inputs = random_inputs(&mut draws);
        if matches!(inputs.system, System::Interactive { .. }) {
            continue;
        }
        house += 1;
        (inputs.fleet.direct, inputs.fleet.coupled, inputs.room) = (None, None, None);
        inputs.bank.chemistry = Chemistry::Linear;
        let year = without_controllers(Year::random(&mut draws));
        let input = year.input();
        let side = SideBySide::of(&inputs, &input).unwrap();
        let houses: Vec<Inputs> =
            (0..LANES + 4).map(|_| inputs.with_bank(times(&inputs.bank, draws.between(0.2, 5.0)))).collect();
        let from_hour = (draws.unit() * HOURS as f64) as usize;
        let passed = side.run(&houses, Some(from_hour)).unwrap();
        assert_eq!(passed.len(), houses.len());
        for (inputs, passed) in houses.iter().zip(passed) {
            let expected = YearInShort::from(&run(inputs, &input, Start::AfterDecember).unwrap());
            let of = |what: &str| format!("house {house}: {what}, {inputs:?}");
            let short = passed.short;
            for tier in 0..3 {
                near(short.missing_wh[tier], expected.missing_wh[tier], &of("missing"));
            }
            near(short.unused_wh, expected.unused_wh, &of("unused"));
            near(short.backup_wh, expected.backup_wh, &of("from backup"));
            near(short.backup_h, expected.backup_h, &of("hours on backup"));
            near(short.fuel_l, expected.fuel_l, &of("fuel"));
            // Counts are equal, not near.
            assert_eq!(short.dark_h, expected.dark_h, "{}", of("dark"));
            // The drill of a house that was side by side is the drill of the house alone.
            let alone = drill(inputs, &input, from_hour, 3).unwrap();
            let beside = drill_from(inputs, &input, passed.at.unwrap(), from_hour, 3).unwrap();
            near(beside.start_state_of_charge, alone.start_state_of_charge, &of("charge at the drill"));
            assert_eq!(beside.dark_h, alone.dark_h, "{}", of("dark in the drill"));
            on_backup += usize::from(short.backup_h > 0.0);
            in_the_dark += usize::from(short.dark_h > 0.0);
            all_h += (HOURS + 31 * 24) as f64;
            plain_h += (HOURS + 31 * 24) as f64 - f64::from(passed.by_reference_h);
        }
    }
    assert!(on_backup > 1000 && in_the_dark > 1000, "{on_backup} {in_the_dark}");
    assert!(plain_h > 0.2 * all_h, "too few hours were lived side by side: {}", plain_h / all_h);
}

#[test]
fn houses_that_differ_in_more_than_their_banks_are_not_side_by_side() {
    let year = without_controllers(Year::random(&mut Draws(16)));
    let input = year.input();
    let house = plain(System::StandAlone { generator: None });
    let side = SideBySide::of(&house, &input).unwrap();
    let mut other = house;
    other.fleet.output_limit_w += 1.0;
    assert_eq!(side.run(&[house, other], None).err(), Some(Outside::Other));
    let refused = |change: &dyn Fn(&mut Inputs)| {
        let mut inputs = house;
        change(&mut inputs);
        SideBySide::of(&inputs, &input).err()
    };
    let interactive = System::Interactive { export_limit_w: 0.0, charge_w: 0.0, charge_to: 1.0 };
    assert_eq!(refused(&|inputs| inputs.system = interactive), Some(Outside::Backup));
    let straight = house.fleet.discharge.without_idle();
    assert_eq!(refused(&|inputs| inputs.fleet.direct = Some(straight)), Some(Outside::Direct));
    let wells = storage::Kinetic { share_at_hand: 0.3, rate_per_h: 1.0 };
    assert_eq!(refused(&|inputs| inputs.bank.chemistry = Chemistry::Kinetic(wells)), Some(Outside::Kinetic));
    let node = storage::ThermalNode { capacity_wh_per_k: 100.0, conductance_w_per_k: 5.0 };
    assert_eq!(
        refused(&|inputs| inputs.room = Some(energy::Room { node, held_c: None })),
        Some(Outside::Warmth)
    );
    let mut beside = Year::random(&mut Draws(17));
    beside.coupled = vec![];
    assert_eq!(SideBySide::of(&house, &beside.input()).err(), Some(Outside::Beside));
}

#[test]
fn what_a_form_does_not_hold_for_is_refused() {
    let year = without_controllers(Year::random(&mut Draws(14)));
    let house = plain(System::StandAlone { generator: None });
    let refused = |change: &dyn Fn(&mut Inputs)| {
        let mut inputs = house;
        change(&mut inputs);
        Row::of(&inputs, &year.input()).and_then(|row| row.run(&[inputs.bank])).err()
    };
    assert_eq!(refused(&|_| ()), None);
    let transfer =
        Transfer { acts_within_h: 0.0, start_below: 0.2, stop_above: 0.6, charge_w: 0.0, limit_w: 1e4 };
    assert_eq!(refused(&|i| i.system = System::BackupByTransfer(transfer)), Some(Outside::Backup));
    assert_eq!(refused(&|i| i.fleet.direct = Some(LossCurve::LOSSLESS)), Some(Outside::Direct));
    assert_eq!(refused(&|i| i.shed_below.want = 0.3), Some(Outside::Shed));
    let kinetic = storage::Kinetic { share_at_hand: 0.4, rate_per_h: 1.0 };
    assert_eq!(refused(&|i| i.bank.chemistry = Chemistry::Kinetic(kinetic)), Some(Outside::Kinetic));
    assert_eq!(refused(&|i| i.bank.taper_from = 0.8), Some(Outside::Taper));
    assert!(matches!(refused(&|i| i.bank.charge_efficiency = f64::NAN), Some(Outside::Problem(_))));
    let with_controllers = Year::random(&mut Draws(15));
    assert!(matches!(Row::of(&house, &with_controllers.input()), Err(Outside::Beside)));
    // A bank that stops charging at another temperature than the row was made for.
    let row = Row::of(&house, &year.input()).unwrap();
    let cold = Bank { charge_above_c: Some(0.0), ..house.bank };
    assert_eq!(row.run(&[cold]), Err(Outside::Cold));
    // The one-pass curve needs more: here the idle draw stands against it, then a limit that binds.
    assert_eq!(SizeCurve::of(&house, &year.input(), &house.bank).err(), Some(Outside::Losses));
    let mut tight = house;
    tight.fleet.discharge.idle_w = 0.0;
    tight.fleet.output_limit_w = 1e5;
    tight.bank.discharge_w = 10.0;
    assert_eq!(SizeCurve::of(&tight, &year.input(), &tight.bank).err(), Some(Outside::Limit));
    assert_eq!(year.pv.len(), HOURS);
}

/// Systems that leave the same energy unserved, in the plane of array and battery, lie on a curve that falls and is convex:
/// as the isoreliability curves are drawn in Egido & Lorenzo, Solar Energy Materials and Solar Cells 26 (1992) 51-69 (from
/// memory). For an ideal battery it follows from linear programming: the least energy unserved is convex in both sizes.
#[test]
fn curves_of_equal_reliability_fall_and_are_convex() {
    let mut draws = Draws(16);
    let mut points = 0;
    for house in 0..40 {
        let mut year = without_controllers(Year::random(&mut draws));
        let inputs = plain(System::StandAlone { generator: None });
        let offered: f64 = year.pv.iter().sum();
        let asked: f64 = year.load.iter().flatten().sum();
        if offered == 0.0 {
            continue;
        }
        // Arrays that bring from the load of the year to three times that much, in equal steps.
        let unit: Vec<f64> = year.pv.iter().map(|watts| watts * asked / offered).collect();
        let curves: Vec<SizeCurve> = (0..9)
            .map(|step| {
                let size = 1.0 + 0.25 * f64::from(step);
                year.pv = unit.iter().map(|watts| watts * size).collect();
                SizeCurve::ideal(&inputs, &year.input()).unwrap()
            })
            .collect();
        for share in [0.001, 0.01, 0.05] {
            let needed = |curve: &SizeCurve| {
                let (mut low, mut high) = (0.0, curve.enough_wh());
                for _ in 0..100 {
                    let middle = 0.5 * (low + high);
                    if curve.unserved_wh(middle) > share * asked { low = middle } else { high = middle }
                }
                high
            };
            let sizes: Vec<f64> = curves.iter().map(needed).collect();
            // Halving ends within a millionth of a watt-hour.
            assert!(sizes.windows(2).all(|pair| pair[1] <= pair[0] + 1e-6), "house {house}: {sizes:?}");
            let convex = |three: &[f64]| three[0] - three[1] >= three[1] - three[2] - 1e-5;
            assert!(sizes.windows(3).all(convex), "house {house}, {share}: {sizes:?}");
            points += sizes.len();
        }
    }
    assert!(points > 900);
}
