//! What must hold in every house and every year.
#![allow(clippy::unwrap_used)]

mod common;

use common::{Draws, Year, plain, random_inputs};
use conversion::LossCurve;
use energy::{
    Chemistry, ControllerYear, CoupledYear, Given, HOURS, House, Inputs, Problem, Promise, Shed, Start,
    Supply, System, Transfer, YearInput, drill, middling_year, nine_in_ten, run, run_years, worst_stretch,
};

const HOUSES: u64 = 120;

fn each(mut check: impl FnMut(u64, &Inputs, &Year)) {
    for seed in 0..HOUSES {
        let mut draws = Draws(seed);
        let inputs = random_inputs(&mut draws);
        let year = Year::random(&mut draws);
        check(seed, &inputs, &year);
    }
}

/// The promise of the balance: 1e-9 kWh a step, 1e-11 of the yearly throughput.
#[test]
fn every_step_and_every_year_closes() {
    each(|seed, inputs, year| {
        let result = run(inputs, &year.input(), Start::AfterDecember).unwrap();
        assert!(result.closing_error_wh <= 1e-6, "house {seed}: {} Wh", result.closing_error_wh);
        let throughput = result.throughput_wh();
        // Where nothing comes in, nothing can be lost of it: the cells only empty themselves.
        let allowed = 1e-11 * if throughput > 0.0 { throughput } else { result.start.wells.total() };
        assert!(result.closing_error_year_wh.abs() <= allowed, "house {seed}");
        // The same from the months and the two ends of the store, so that no hour was left out of the sums.
        let gained = result.end.wells.total() - result.start.wells.total();
        let left = result.year.closing_error_wh(gained);
        assert!(left.abs() <= allowed, "house {seed}: {left} of {throughput}");
    });
}

#[test]
fn the_outlets_add_up_and_nothing_is_negative() {
    each(|seed, inputs, year| {
        let result = run(inputs, &year.input(), Start::AfterDecember).unwrap();
        for flows in result.months.iter().chain([&result.year]) {
            let sum = flows.served_wh() + flows.missing_total_wh();
            // Rounding of 744 hours of some kilowatt-hours each.
            assert!((sum - flows.load_wh).abs() <= 1e-12 * flows.load_wh.max(1.0), "house {seed}");
        }
        let house = House::of(inputs).unwrap();
        let mut state = house.at_rest(0.6);
        for hour in 0..HOURS {
            let (lived, next) = house.hour(&state, &Given::at(&year.input(), hour));
            state = next;
            if inputs.shed_below == Shed::default() {
                assert_eq!(state.given_up, [false; 2], "house {seed}, hour {hour}");
            }
            let flows = lived.flows;
            for (cause, loss) in flows.losses.by_cause() {
                assert!(loss >= 0.0, "house {seed}, hour {hour}, {cause}: {loss}");
            }
            let all = [
                flows.from_sun_wh,
                flows.from_bank_wh,
                flows.backup_to_load_wh,
                flows.backup_to_bank_wh,
                flows.backup_to_idle_wh,
                flows.export_wh,
                flows.unused_wh,
                flows.stored_wh,
                flows.removed_wh,
            ];
            assert!(all.iter().all(|&flow| flow >= -1e-9), "house {seed}, hour {hour}: {flows:?}");
            assert!(lived.output_w <= inputs.fleet.output_limit_w * (1.0 + 1e-12));
            assert!(lived.charge_w <= lived.charge_limit_w * (1.0 + 1e-12) + 1e-9);
            assert!(lived.discharge_w <= lived.discharge_limit_w * (1.0 + 1e-12) + 1e-9);
            let high = inputs.bank.usable_high.max(0.6) + 1e-9;
            assert!((-1e-9..=high).contains(&lived.state_of_charge), "house {seed}, hour {hour}");
        }
    });
}

#[test]
fn night_gives_no_sun() {
    each(|_, inputs, year| {
        let house = House::of(inputs).unwrap();
        let mut state = house.at_rest(0.7);
        for hour in 0..HOURS {
            let given = Given::at(&year.input(), hour);
            let (lived, next) = house.hour(&state, &given);
            state = next;
            if given.pv_dc_w == 0.0 {
                let flows = lived.flows;
                assert_eq!(flows.from_sun_wh + flows.export_wh + flows.unused_wh + flows.pv_offered_wh, 0.0);
            }
        }
    });
}

/// With standby, heater, self-discharge, link resistance and shedding by state of charge at zero, a fixed arrangement of
/// strings, a conditioned room and no backup. Everything else stays as drawn: both chemistries, taper, charging held down
/// by cold, cells with a temperature of their own, output given up in heat, legs and both ways from modules to AC.
#[test]
fn more_array_or_more_bank_never_raises_what_is_missing() {
    let mut kinds = [0; 4];
    each(|seed, inputs, year| {
        let mut bare = *inputs;
        bare.system = System::StandAlone { generator: None };
        bare.shed_below = Shed::default();
        bare.bank.standby_w = 0.0;
        bare.bank.self_discharge_per_h = 0.0;
        bare.bank.link_loss_per_w = 0.0;
        if let Some(thermal) = &mut bare.bank.thermal {
            thermal.heater_w = 0.0;
        }
        if let Some(room) = &mut bare.room {
            room.held_c = Some([18.0, 18.0]);
        }
        // Air that follows the weather stands for no conditioned room; a constant one does.
        let air = vec![18.0; HOURS];
        let with = |inputs: &Inputs, share: f64| {
            let more = |slice: &[f64]| slice.iter().map(|watts| watts * share).collect::<Vec<f64>>();
            let (pv, cable) = (more(&year.pv), more(&year.cable));
            let (dc, bus, coupled) =
                (more(&year.controller[0]), more(&year.controller[1]), more(&year.coupled));
            let lived = YearInput {
                pv_dc_w: &pv,
                pv_cable_loss_w: &cable,
                by_controller: ControllerYear { dc_w: &dc, bus_w: &bus, cable_loss_w: &[] },
                coupled: CoupledYear { dc_w: &coupled, cable_loss_w: &[] },
                air_c: &air,
                ..year.input()
            };
            let start = House::of(inputs).unwrap().at_rest_in(inputs.bank.usable_high, 18.0);
            run(inputs, &lived, Start::At(start)).unwrap().year.missing_total_wh()
        };
        let mut last = f64::INFINITY;
        for share in [0.3, 0.7, 1.0, 1.1, 2.0] {
            let now = with(&bare, share);
            // A year of rounding.
            assert!(now <= last + 1e-6, "house {seed}: {now} above {last} with array {share}");
            last = now;
        }
        // Larger cells behind the same limits, then more units, each with limits of its own.
        last = f64::INFINITY;
        let one = bare;
        for capacity in [0.0, 1000.0, 3000.0, 5000.0, 5100.0, 20_000.0] {
            bare.bank.capacity_wh = capacity;
            let now = with(&bare, 1.0);
            assert!(now <= last + 1e-6, "house {seed}: {now} above {last} with {capacity} Wh");
            last = now;
        }
        last = f64::INFINITY;
        for units in [1.0, 2.0, 3.0, 7.0] {
            bare = one;
            bare.bank.capacity_wh *= units;
            bare.bank.charge_w *= units;
            bare.bank.discharge_w *= units;
            if let Some(thermal) = &mut bare.bank.thermal {
                thermal.node.capacity_wh_per_k *= units;
                thermal.node.conductance_w_per_k *= units;
            }
            let now = with(&bare, 1.0);
            assert!(now <= last + 1e-6, "house {seed}: {now} above {last} with {units} units");
            last = now;
        }
        let kinetic = matches!(one.bank.chemistry, Chemistry::Kinetic(_));
        for (seen, is) in kinds.iter_mut().zip([
            kinetic,
            one.bank.thermal.is_some(),
            one.fleet.direct.is_some(),
            one.fleet.leg_limit_w.is_some(),
        ]) {
            *seen += usize::from(is);
        }
    });
    assert!(kinds.iter().all(|&seen| seen > 20), "{kinds:?}");
}

/// Half of everything, twice, is the whole: idle draw, limits, store and loads. Per unit of power squared the half
/// loses twice as much.
#[test]
fn two_equal_halves_equal_the_whole() {
    each(|seed, inputs, year| {
        if let System::StandAlone { generator: Some(_) } = inputs.system {
            return;
        }
        let mut half = *inputs;
        let bent = |curve: LossCurve| LossCurve {
            idle_w: curve.idle_w / 2.0,
            square_per_w: curve.square_per_w * 2.0,
            onset_to_w: curve.onset_to_w / 2.0,
            ..curve
        };
        half.fleet.discharge = bent(half.fleet.discharge);
        half.fleet.output_limit_w /= 2.0;
        half.fleet.pv = bent(half.fleet.pv);
        half.fleet.charge = bent(half.fleet.charge);
        half.fleet.direct = half.fleet.direct.map(bent);
        half.fleet.leg_limit_w = inputs.fleet.leg_limit_w.map(|legs| legs.map(|watts| watts / 2.0));
        if let Some(thermal) = &mut half.bank.thermal {
            thermal.node = halved_node(thermal.node);
            thermal.heater_w /= 2.0;
        }
        if let Some(room) = &mut half.room {
            room.node = halved_node(room.node);
        }
        half.fleet.charge_limit_w /= 2.0;
        half.fleet.controller_limit_w /= 2.0;
        if let Some(coupled) = &mut half.fleet.coupled {
            coupled.curve = bent(coupled.curve);
            coupled.output_limit_w /= 2.0;
            coupled.charge_w /= 2.0;
        }
        half.bank.capacity_wh /= 2.0;
        half.bank.charge_w /= 2.0;
        half.bank.discharge_w /= 2.0;
        half.bank.standby_w /= 2.0;
        half.bank.link_loss_per_w *= 2.0;
        half.system = match inputs.system {
            System::BackupByTransfer(t) => System::BackupByTransfer(halved(t)),
            System::BackupThroughInput(t) => System::BackupThroughInput(halved(t)),
            System::Interactive { export_limit_w, charge_w, charge_to } => System::Interactive {
                export_limit_w: export_limit_w / 2.0,
                charge_w: charge_w / 2.0,
                charge_to,
            },
            alone => alone,
        };
        let halves = |slice: &[f64]| slice.iter().map(|watts| watts / 2.0).collect::<Vec<_>>();
        let half_year = Year {
            pv: halves(&year.pv),
            cable: halves(&year.cable),
            load: [0, 1, 2].map(|tier| halves(&year.load[tier])),
            first_leg: [0, 1, 2].map(|tier| halves(&year.first_leg[tier])),
            air: year.air.clone(),
            rate: year.rate.clone(),
            controller: [0, 1].map(|end| halves(&year.controller[end])),
            coupled: halves(&year.coupled),
        };
        let whole = run(inputs, &year.input(), Start::AfterDecember).unwrap().year;
        let part = run(&half, &half_year.input(), Start::AfterDecember).unwrap().year;
        for (a, b) in [
            (whole.missing_total_wh(), part.missing_total_wh()),
            (whole.from_bank_wh, part.from_bank_wh),
            (whole.unused_wh, part.unused_wh),
            (whole.losses.total_wh(), part.losses.total_wh()),
        ] {
            assert!((a - 2.0 * b).abs() <= 1e-12 * a.max(1.0), "house {seed}: {a} {b}");
        }
    });
}

fn halved_node(node: storage::ThermalNode) -> storage::ThermalNode {
    storage::ThermalNode {
        capacity_wh_per_k: node.capacity_wh_per_k / 2.0,
        conductance_w_per_k: node.conductance_w_per_k / 2.0,
    }
}

fn halved(transfer: Transfer) -> Transfer {
    Transfer { charge_w: transfer.charge_w / 2.0, limit_w: transfer.limit_w / 2.0, ..transfer }
}

/// The bank of two strings of 50 Ah is the bank of one string of 100 Ah.
#[test]
fn two_half_batteries_make_one() {
    let two = storage::bank_capacity(2.0, 1.0, 51.2, 50.0);
    let one = storage::bank_capacity(1.0, 1.0, 51.2, 100.0);
    assert!((two / one - 1.0).abs() < 1e-12);
    let limit = |parallel, amps| storage::limit_power(storage::bank_current(parallel, amps), 51.2);
    assert!((limit(2.0, 25.0) / limit(1.0, 50.0) - 1.0).abs() < 1e-12);
}

#[test]
fn a_device_without_limit_leaves_nothing_missing() {
    let mut draws = Draws(77);
    let mut seen = 0;
    for _ in 0..20 {
        let mut inputs = random_inputs(&mut draws);
        let year = Year::random(&mut draws);
        inputs.fleet.output_limit_w = 20_000.0;
        inputs.fleet.leg_limit_w = None;
        inputs.fleet.derate = None;
        inputs.shed_below = Shed::default();
        let transfer = Transfer {
            acts_within_h: 0.0,
            start_below: 0.2,
            stop_above: 0.6,
            charge_w: 0.0,
            limit_w: f64::INFINITY,
        };
        for system in [System::BackupByTransfer(transfer), System::BackupThroughInput(transfer)] {
            inputs.system = system;
            let result = run(&inputs, &year.input(), Start::AfterDecember).unwrap();
            // Each of 8760 hours may round an hour's load.
            assert!(result.year.missing_total_wh() < HOURS as f64 * 1e-9);
            assert_eq!(result.year.dark_h, 0.0);
            assert!(result.mode.iter().all(|&mode| mode < 2));
            seen += usize::from(result.year.backup_h > 0.0);
        }
    }
    assert!(seen > 10);
}

#[test]
fn a_generator_runs_no_shorter_than_its_shortest_run() {
    let mut seen = 0;
    each(|_, inputs, year| {
        let System::StandAlone { generator: Some(generator) } = inputs.system else { return };
        let house = House::of(inputs).unwrap();
        let mut state = house.at_rest(0.5);
        let mut ran_h = 0.0;
        for hour in 0..HOURS {
            let before = state.supply;
            let (lived, next) = house.hour(&state, &Given::at(&year.input(), hour));
            if lived.started {
                ran_h = 0.0;
            }
            ran_h += lived.flows.backup_h;
            let went_off = matches!(before, Supply::Backup { .. } | Supply::Returning { .. });
            if went_off && next.supply == Supply::Own {
                assert!(ran_h >= generator.shortest_run_h - 1e-6, "{ran_h} of {}", generator.shortest_run_h);
                seen += 1;
            }
            state = next;
        }
    });
    assert!(seen > 10, "{seen}");
}

#[test]
fn the_same_input_gives_the_same_bits() {
    let mut draws = Draws(5);
    let (inputs, year) = (random_inputs(&mut draws), Year::random(&mut draws));
    let first = run(&inputs, &year.input(), Start::AfterDecember).unwrap();
    assert_eq!(first, run(&inputs, &year.input(), Start::AfterDecember).unwrap());
}

#[test]
fn the_trace_the_days_and_the_months_tell_the_same_year() {
    each(|_, inputs, year| {
        let result = run(inputs, &year.input(), Start::AfterDecember).unwrap();
        assert_eq!((result.state_of_charge.len(), result.mode.len(), result.days.len()), (HOURS, HOURS, 365));
        let close = |a: f64, b: f64| (a - b).abs() <= 1e-9 * a.abs().max(1.0);
        assert!(close(result.days.iter().map(|day| day.load_wh).sum(), result.year.load_wh));
        assert!(close(result.days.iter().map(|day| day.missing_wh).sum(), result.year.missing_total_wh()));
        let dark = result.mode.iter().filter(|&&mode| mode == 2).count();
        assert_eq!(dark as f64, result.year.dark_h);
        let lowest = result.state_of_charge.iter().copied().fold(f32::INFINITY, f32::min);
        assert!((f64::from(lowest) - result.lowest_state_of_charge).abs() < 1e-6);
        // Heat only comes in: nothing is ever colder than the coldest air, or than a room is cooled to.
        let cooled_to = inputs.room.and_then(|room| room.held_c).map_or(f64::INFINITY, |held| held[1]);
        let coldest = year.air.iter().copied().fold(cooled_to, f64::min) - 1e-9;
        for [low, high] in [result.cell_c, result.room_c] {
            assert!(low >= coldest && high.is_finite(), "{low} {high} {coldest}");
        }
        let worst = worst_stretch(&result, 5).unwrap();
        let fetched: f64 = result.days[40..45].iter().map(|day| day.backup_wh + day.missing_wh).sum();
        assert!(worst.backup_wh + worst.missing_wh >= fetched - 1e-6);
    });
}

#[test]
fn cold_cells_are_never_charged_and_the_reason_is_told() {
    let inputs = {
        let mut inputs = plain(System::StandAlone { generator: None });
        inputs.bank.charge_above_c = Some(0.0);
        inputs
    };
    let house = House::of(&inputs).unwrap();
    let given = |air_c| Given {
        pv_dc_w: 3000.0,
        pv_cable_loss_w: 0.0,
        by_controller: Default::default(),
        coupled: Default::default(),
        load_w: [400.0, 0.0, 0.0],
        first_leg_w: [0.0; 3],
        air_c,
        rate: 0,
    };
    let (cold, _) = house.hour(&house.at_rest(0.5), &given(0.0));
    assert_eq!(cold.flows.stored_wh, 0.0);
    // 600 W for load and idle, 750 W of module power; the other 2250 W find no taker.
    assert!((cold.flows.unused_for_cold_wh - 2250.0).abs() < 1e-9 && cold.blocked_by_cold);
    assert!((cold.flows.from_sun_wh - 400.0).abs() < 1e-9);
    let (warm, _) = house.hour(&house.at_rest(0.5), &given(0.1));
    assert!((warm.flows.stored_wh - 1440.0).abs() < 1e-9 && !warm.blocked_by_cold);
}

/// The drill begins where the year stands.
#[test]
fn a_drill_starts_from_the_state_the_year_has_then() {
    each(|seed, inputs, year| {
        let result = run(inputs, &year.input(), Start::AfterDecember).unwrap();
        let hour = 9 * 24;
        let done = drill(inputs, &year.input(), hour, 4).unwrap();
        // The trace is kept with seven digits.
        assert!((done.start_state_of_charge - f64::from(result.state_of_charge[hour - 1])).abs() < 1e-6);
        assert!(done.missing_wh.iter().all(|&wh| (0.0..=done.load_wh).contains(&wh)), "house {seed}");
        assert_eq!(done.first_dark_after_h.is_some(), done.dark_h > 0.0);
        assert!(drill(inputs, &year.input(), 364 * 24, 4).is_ok());
        assert_eq!(drill(inputs, &year.input(), HOURS, 1), Err(Problem::NoSuchHour { hour: HOURS }));
    });
}

#[test]
fn a_promise_may_break_in_a_tenth_of_the_years_and_no_more() {
    let mut draws = Draws(11);
    let transfer = Transfer {
        acts_within_h: 0.0,
        start_below: 0.2,
        stop_above: 0.6,
        charge_w: 0.0,
        limit_w: f64::INFINITY,
    };
    let inputs = plain(System::BackupByTransfer(transfer));
    let years: Vec<Year> = (0..20).map(|_| Year::random(&mut draws)).collect();
    let slices: Vec<_> = years.iter().map(Year::input).collect();
    let results = run_years(&inputs, &slices).unwrap();
    let mut hours: Vec<f64> = results.iter().map(|result| result.year.backup_h).collect();
    assert_eq!(results[middling_year(&results).unwrap()].year.backup_h, {
        hours.sort_by(f64::total_cmp);
        hours[9]
    });
    // A promise just met by the third worst year breaks in two of twenty, which is allowed; met by the fourth worst
    // it breaks in three, which is not.
    let held = |most| nine_in_ten(&Promise { backup_h: Some(most), ..Promise::default() }, &results).unwrap();
    let (two, three) = (held(hours[17]), held(hours[16]));
    assert_eq!((two.broken, two.allowed, two.holds), (2, 2, true));
    assert_eq!((three.broken, three.allowed, three.holds), (3, 2, false));
    assert!(two.broken_share.0 < 0.1 && two.broken_share.1 > 0.1);
    assert_eq!(nine_in_ten(&Promise::default(), &[]), None);
}

#[test]
fn what_cannot_be_is_refused_with_place_and_numbers() {
    let mut draws = Draws(3);
    let year = Year::random(&mut draws);
    let good = plain(System::StandAlone { generator: None });
    let refused = |inputs: &Inputs, year: &YearInput| run(inputs, year, Start::AfterDecember).err();
    let mut inputs = good;
    inputs.bank.usable_low = 0.9;
    inputs.bank.usable_high = 0.3;
    assert!(matches!(refused(&inputs, &year.input()), Some(Problem::UpsideDown { low: 0.9, high: 0.3, .. })));
    inputs = good;
    inputs.fleet.pv = LossCurve::of_efficiency(1.01);
    assert!(matches!(refused(&inputs, &year.input()), Some(Problem::Range { found, .. }) if found < 0.0));
    inputs = good;
    inputs.fleet.charge.idle_w = 20.0;
    assert!(matches!(refused(&inputs, &year.input()), Some(Problem::Range { found: 20.0, .. })));
    inputs = good;
    inputs.fleet.discharge.idle_w = f64::NAN;
    assert!(matches!(refused(&inputs, &year.input()), Some(Problem::Range { .. })));
    let short = YearInput { pv_dc_w: &year.pv[1..], ..year.input() };
    assert_eq!(refused(&good, &short), Some(Problem::Length { what: "module power", found: 8759 }));
    let mut spoilt = year.load[1].clone();
    spoilt[17] = -1.0;
    let negative = YearInput { load_w: [&year.load[0], &spoilt, &year.load[2]], ..year.input() };
    assert_eq!(
        refused(&good, &negative),
        Some(Problem::Hour { what: "wanted loads", hour: 17, found: -1.0 })
    );
    inputs = good;
    inputs.bank.charge_above_c = Some(0.0);
    let unknown = YearInput { air_c: &[], ..year.input() };
    assert!(matches!(refused(&inputs, &unknown), Some(Problem::Length { what: "air temperature", .. })));
    assert_eq!(refused(&good, &unknown), None);
}
