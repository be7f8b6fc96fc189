//! What cannot be true in a whole design: each kind of problem with its place and its words.

use design::Design;
use design::problem::Problem;
use design::read::Lines;

/// The farm as it was when the places below were counted; the demo itself may grow.
const FARM: &str = include_str!("farm.toml");
const HOLLOW_FARM: &str = include_str!("../../../designs/hollow-farm/hollow-farm.toml");
const CABIN: &str = include_str!("../../../designs/pine-cabin/pine-cabin.toml");
const HARBOUR: &str = include_str!("../../../designs/harbour-house/harbour-house.toml");
const WRONG: &str = include_str!("../../../designs/wrong-turns/wrong-turns.toml");

fn shown(text: &str, problem: &Problem) -> String {
    let (line, column) = Lines::new(text).at(text, problem.labels[0].span.start);
    format!("{} {line}:{column} {}", problem.what.word(), problem.says)
}

fn told(text: &str) -> Vec<String> {
    Design::of_text(text).problems.iter().map(|problem| shown(text, problem)).collect()
}

/// The farm with the first of a line replaced; the line must be there.
fn farm(old: &str, new: &str) -> String {
    assert!(FARM.contains(old), "{old}");
    FARM.replacen(old, new, 1)
}

/// A change of the farm and the problems it leads to.
fn leads_to(old: &str, new: &str, expected: &[&str]) {
    assert_eq!(told(&farm(old, new)), expected, "{old} -> {new}");
}

#[test]
fn designs_that_are_shipped_have_no_problem() {
    for text in [FARM, HOLLOW_FARM, CABIN, HARBOUR, WRONG] {
        assert_eq!(told(text), Vec::<String>::new());
    }
}

#[test]
fn names_that_figures_cannot_tell_apart_are_duplicates() {
    // The name is given up here alone, so what refers to it leads nowhere.
    leads_to(
        "name = \"south row\"",
        "name = \"north-row\"",
        &[
            "duplicate-name 232:8 \"north row\" and \"north-row\" of string are told apart by their marks alone",
            "dangling-reference 327:25 carries: there is no string or combiner named \"south row\"",
        ],
    );
    leads_to(
        "name = \"lights\"",
        "name = \"Well, pump\"",
        &["duplicate-name 71:8 \"well pump\" and \"Well, pump\" of load are told apart by their marks alone"],
    );
    leads_to(
        "name = \"rack links\"",
        "name = \"field-to-workshop\"",
        &[
            "duplicate-name 337:8 \"field to workshop\" and \"field-to-workshop\" of run are told apart by their marks alone",
        ],
    );
    // Circuits join things of several tables, so these share one set of names.
    leads_to(
        "\n[[stock]]\nconductor = \"10 AWG\"",
        "\n[[panel]]\nname = \"Inverter-A\"\nfed_by = [\"utility\"]\nvolts = \"120\"\n\n[[stock]]\nconductor = \"10 AWG\"",
        &["duplicate-name 392:8 a unit and a panel are both called \"Inverter-A\""],
    );
}

#[test]
fn a_name_without_letters_or_with_a_line_break_is_no_name() {
    leads_to(
        "name = \"lights\"",
        "name = \"— !\"",
        &["wrong-shape 71:8 the name \"— !\" has neither letter nor digit"],
    );
    leads_to(
        "name = \"lights\"",
        "name = \"lights\\nout\"",
        &["wrong-shape 71:8 the name \"lights\\nout\" holds a line break or another control character"],
    );
}

#[test]
fn values_outside_physics_are_told_with_the_range() {
    let usable = "usable = [\"10 %\", \"98 %\"]";
    let voc = "voc_per_kelvin = \"-0.25 %/K\"";
    let battery = "battery = \"rack_unit\"";
    let changes: [(&str, &str, &str); 18] = [
        (
            usable,
            "usable = [\"10 %\", \"198 %\"]",
            "out-of-range 181:19 usable is 198 %; it lies between 0 % and 100 %",
        ),
        (
            usable,
            "usable = [\"-10 %\", \"98 %\"]",
            "out-of-range 181:11 usable is −10 %; it lies between 0 % and 100 %",
        ),
        (
            "round_trip = \"95 %\"",
            "round_trip = \"105 %\"",
            "out-of-range 186:14 round_trip is 105 %; it lies between 10 % and 100 %",
        ),
        (
            "round_trip = \"95 %\"",
            "self_discharge = \"150 %\"",
            "out-of-range 186:18 self_discharge is 150 %; it lies between 0 % and 100 %",
        ),
        (
            battery,
            "battery = \"rack_unit\"\nreserve = \"120 %\"",
            "out-of-range 256:11 reserve is 120 %; it lies between 0 % and 100 %",
        ),
        (
            "charge = \"90 A\"",
            "pv_efficiency = \"101 %\"\ncharge = \"90 A\"",
            "out-of-range 157:17 pv_efficiency is 101 %; it lies between 30 % and 100 %",
        ),
        (
            "charge = \"90 A\"",
            "charge_efficiency = \"101 %\"\ncharge = \"90 A\"",
            "out-of-range 157:21 charge_efficiency is 101 %; it lies between 30 % and 100 %",
        ),
        (
            "price = 1240",
            "price = -1240",
            "out-of-range 190:9 price is −1,240; it lies between 0 and 10,000,000",
        ),
        (
            "weight = \"99 lb\"",
            "weight = \"-99 lb\"",
            "out-of-range 189:10 weight is −99 lb; it lies between 0.1102 lb and 6,614 lb",
        ),
        (
            "acts_within = \"2 h\"",
            "acts_within = \"-2 h\"",
            "out-of-range 303:15 acts_within is −2 h; it lies between 0 h and 720 h",
        ),
        (
            "price = \"0.14 USD/kWh\"",
            "price = \"-0.14 USD/kWh\"",
            "out-of-range 269:9 price is −0.14/kWh; it lies between 0/kWh and 100/kWh",
        ),
        (
            "charge = \"50 A\"",
            "charge = \"-50 A\"",
            "out-of-range 178:22 current.charge is −50 A; it lies between 0 A and 10,000 A",
        ),
        ("amps = 6.2", "amps = -6.2", "out-of-range 46:8 amps is −6.2; it lies between 0 and 1,000"),
        (
            "\"100 %\" = \"91 %\"",
            "\"150 %\" = \"91 %\"",
            "out-of-range 152:14 efficiency is given at 150 % load",
        ),
        (
            voc,
            "voc_per_kelvin = \"-2.5 %/K\"",
            "contradiction 137:18 module \"field\": voc_per_kelvin is −2.5 % of voc per kelvin; it lies between −1 % and 0 %",
        ),
        // 970 mV/K of 38.9 V are 2.49 %/K.
        (
            voc,
            "voc_per_kelvin = \"-970 mV/K\"",
            "contradiction 137:18 module \"field\": voc_per_kelvin is −2.49 % of voc per kelvin; it lies between −1 % and 0 %",
        ),
        (
            "isc_per_kelvin = \"0.045 %/K\"",
            "isc_per_kelvin = \"4.5 %/K\"",
            "contradiction 139:18 module \"field\": isc_per_kelvin is 4.5 % of isc per kelvin; it lies between −0.1 % and 0.5 %",
        ),
        // −97 mV/K of 38.9 V are −0.25 %/K, as the sheet says.
        (voc, "voc_per_kelvin = \"-97 mV/K\"", ""),
    ];
    for (old, new, expected) in changes {
        let expected: &[&str] = if expected.is_empty() { &[] } else { &[expected] };
        // A load whose amperes are refused says no power either.
        let told: Vec<String> =
            told(&farm(old, new)).into_iter().filter(|told| !told.starts_with("missing")).collect();
        assert_eq!(told, expected, "{old} -> {new}");
    }
}

#[test]
fn values_of_one_sheet_that_exclude_each_other_are_shown_with_both_places() {
    let nominal = "nominal = \"51.2 V\"";
    let changes: [(&str, &str, &[&str]); 7] = [
        (
            "idle = \"42 W\"",
            "idle = \"42 W\"\npeak_efficiency = \"93.5 %\"",
            &[
                "contradiction 154:19 the highest efficiency of 93.5 % is less than the 94.0 % at 40 % of the output",
            ],
        ),
        ("idle = \"42 W\"", "idle = \"42 W\"\npeak_efficiency = \"94 %\"", &[]),
        (
            "series_fuse = \"25 A\"",
            "series_fuse = \"12 A\"",
            &[
                "contradiction 141:15 module \"field\": a series fuse of 12 A lies under its 14 A in short circuit",
            ],
        ),
        (
            nominal,
            "nominal = \"58 V\"",
            &[
                "contradiction 180:18 battery \"rack_unit\": charge_voltage of 56.8 V does not go with 58 V nominal",
            ],
        ),
        (
            nominal,
            "nominal = \"12.8 V\"",
            &[
                "contradiction 179:11 battery \"rack_unit\": cut_off of 45 V does not go with 12.8 V nominal",
                "contradiction 180:18 battery \"rack_unit\": charge_voltage of 56.8 V does not go with 12.8 V nominal",
            ],
        ),
        (
            "cut_off = \"45 V\"",
            "cut_off = \"20 V\"",
            &["contradiction 179:11 battery \"rack_unit\": cut_off of 20 V does not go with 51.2 V nominal"],
        ),
        // Where it hands back is left out and assumed as 40 %.
        (
            "role = \"backup by transfer\"",
            "role = \"backup by transfer\"\ncharge_below = \"60 %\"",
            &["contradiction 264:2 the utility begins below 60 % and ends above 40 %"],
        ),
    ];
    for (old, new, expected) in changes {
        leads_to(old, new, expected);
        let problems = Design::of_text(&farm(old, new)).problems;
        assert!(problems.iter().all(|problem| problem.labels.len() == 2), "{old} -> {new}");
    }
    let late = CABIN.replacen("start_below = \"55 %\"", "start_below = \"95 %\"", 1);
    let line = 1 + late.lines().position(|line| line.starts_with("stop_above")).unwrap_or(0);
    assert_eq!(
        told(&late),
        [format!("contradiction {line}:14 generator \"yard\" begins below 95 % and ends above 85 %")]
    );
}

#[test]
fn a_run_joins_two_things() {
    let between = "between = [\"rack\", \"inverter A\"]";
    leads_to(
        between,
        "between = [\"rack\"]",
        &["wrong-shape 345:11 run \"bus to inverter A\" joins two things; between names 1"],
    );
    leads_to(
        between,
        "between = [\"rack\", \"inverter A\", \"inverter B\"]",
        &["wrong-shape 345:11 run \"bus to inverter A\" joins two things; between names 3"],
    );
}

#[test]
fn an_input_that_is_not_there_is_told_with_how_many_there_are() {
    leads_to(
        "input = 1",
        "input = 7",
        &["dangling-reference 228:39 input 7 of \"inverter A\" is not there; it has one input for modules"],
    );
}

#[test]
fn what_feeds_itself_is_a_contradiction_where_the_ring_closes() {
    let fed_by = "fed_by = [\"inverter A\", \"inverter B\"]";
    leads_to(
        fed_by,
        "fed_by = [\"inverter panel\"]",
        &["contradiction 286:11 panel \"inverter panel\" feeds itself"],
    );
    leads_to(
        fed_by,
        "fed_by = [\"inverter A\", \"house panel\"]",
        &[
            "contradiction 286:25 panel \"house panel\" feeds itself through \"inverter panel\", \"house switch\"",
        ],
    );
}

#[test]
fn watts_go_with_volts_times_amperes() {
    // 240 V · 6.2 A · 0.8 = 1190 W
    leads_to("amps = 6.2", "amps = 6.2\nwatts = 1190", &[]);
    leads_to(
        "amps = 6.2",
        "amps = 6.2\nwatts = 900",
        &["contradiction 47:9 load \"well pump\": 900 W is less than 240 V times 6.2 A at power factor 0.8"],
    );
    leads_to(
        "amps = 6.2",
        "amps = 6.2\nwatts = 1400",
        &["contradiction 47:9 load \"well pump\": 1400 W is more than 240 V times 6.2 A"],
    );
    leads_to(
        "watts = 1500",
        "watts = 1500\namps = 20",
        &["contradiction 96:9 load \"kitchen counter\": 1500 W is less than 120 V times 20 A"],
    );
}

#[test]
fn what_waits_for_the_sun_has_an_hour_to_wait_in() {
    leads_to("shift_into_sun = \"yes\"", "shift_into_sun = \"yes\"\nearliest = 9\nlatest = 17", &[]);
    leads_to(
        "shift_into_sun = \"yes\"",
        "shift_into_sun = \"yes\"\nearliest = 20\nlatest = 6",
        &["contradiction 93:12 load \"heat-pump water heater\" may run from 20 h and must be done by 6 h"],
    );
    // Against the hour that stands where none is written.
    leads_to(
        "shift_into_sun = \"yes\"",
        "shift_into_sun = \"yes\"\nearliest = 16",
        &["contradiction 93:12 load \"heat-pump water heater\" may run from 16 h and must be done by 16 h"],
    );
}

#[test]
fn one_wire_has_one_price() {
    leads_to(
        "conductor = \"8 AWG\"",
        "conductor = \"10 AWG\"",
        &["duplicate-name 396:13 10 AWG is priced twice"],
    );
}

#[test]
fn messages_say_each_thing_once_and_name_the_range_of_the_field() {
    leads_to(
        "conductor = \"4/0 AWG\"",
        "conductor = \"5/0 AWG\"",
        &["wrong-unit 348:13 conductor: \"5/0 AWG\" is no conductor size"],
    );
    let problem =
        Design::of_text(&farm("conductor = \"4/0 AWG\"", "conductor = \"5/0 AWG\"")).problems.remove(0);
    assert!(!problem.says.contains(&problem.labels[0].says), "{problem:?}");
    leads_to("count = 9", "count = -9", &["out-of-range 227:9 count is -9; it lies between 1 and 60"]);
    leads_to(
        "[\"44 V\", \"58.4 V\"]",
        "[\"44 V\", \"58.4 V\", \"60 V\"]",
        &[
            "wrong-shape 154:17 battery_range is a list of 3; a list of two, each a voltage with its unit, the lower first is wanted",
        ],
    );
    // Two strings of one name are listed once among what there is.
    let text = farm("name = \"south row\"", "name = \"north row\"");
    let problems = Design::of_text(&text).problems;
    assert_eq!(problems.last().map(|problem| problem.help.as_str()), Some("There is \"north row\"."));
}

/// A comparison of each load with each other one would be felt here; how long it takes is measured in the benches.
#[test]
fn ten_thousand_loads_are_read_without_a_problem() {
    let loads: String =
        (0..10_000).map(|n| format!("[[load]]\nname = \"load {n}\"\nwatts = 140\nhours = 2\n")).collect();
    let design = Design::of_text(&format!("{FARM}\n{loads}"));
    assert_eq!(design.problems, []);
}

#[test]
fn a_panel_and_a_bond_that_disagree_are_told_at_both() {
    let text = farm("at = \"service panel\"", "at = \"service panel\"\nfitted = \"no\"");
    let problems = Design::of_text(&text).problems;
    assert_eq!(problems.len(), 1, "{problems:#?}");
    assert!(problems[0].says.contains("do not agree whether neutral is tied"), "{}", problems[0].says);
    assert_eq!(problems[0].labels.len(), 2);
}
