//! Reading: what is understood, and each kind of problem with its place.
#![allow(clippy::unwrap_used)]

mod small;

use design::problem::{Problem, What};
use design::read::{Given, LARGEST, Lines, MOST_PROBLEMS, Reading, read, read_bytes};
use quantity::{Kind, Units};
use small::{DESIGN, TABLES};

/// The design with one line replaced; the line must be there once.
fn with(old: &str, new: &str) -> String {
    assert_eq!(DESIGN.matches(old).count(), 1, "{old}");
    DESIGN.replace(old, new)
}

/// `what line:column says | help`, for comparing.
fn shown(text: &str, problem: &Problem) -> String {
    let (line, column) = Lines::new(text).at(text, problem.labels[0].span.start);
    format!("{} {line}:{column} {} | {}", problem.what.word(), problem.says, problem.help)
}

fn all_shown(text: &str) -> Vec<String> {
    let reading = read(text, TABLES);
    reading.problems.iter().map(|problem| shown(text, problem)).collect()
}

/// The text has exactly this problem, and where a mend is offered, it leads to a text without any.
fn only(text: &str, expected: &str) {
    assert_eq!(all_shown(text), [expected]);
}

/// The text has exactly this problem, and its mend removes it.
fn mended(text: &str, expected: &str) {
    only(text, expected);
    let problem = read(text, TABLES).problems.remove(0);
    let mend = problem.mend.expect("a mend is offered");
    let mut mended = text.to_string();
    mended.replace_range(mend.span, &mend.with);
    assert_eq!(all_shown(&mended), Vec::<String>::new(), "{mended}");
}

fn given<'r>(reading: &'r Reading, table: &str, name: &str, key: &str) -> &'r Given {
    &reading.named(table, name).unwrap().entry(key).unwrap().value
}

#[test]
fn a_whole_design_is_understood() {
    let reading = read(DESIGN, TABLES);
    assert_eq!(all_shown(DESIGN), Vec::<String>::new());
    assert_eq!(reading.header.units, Some(Units::Us));
    assert_eq!(reading.header.wattwright, Some(1));
    assert_eq!(reading.header.title.as_deref(), Some("Small Bench"));
    assert_eq!(reading.header.currency.unwrap().code(), "USD");
    let paths: Vec<&str> = reading.items.iter().map(|item| &*item.path).collect();
    let expected = [
        "",
        "place",
        "bills",
        "load.well pump",
        "load.kitchen counter",
        "module.field",
        "inverter.wall",
        "plane.east rack",
        "string.north row",
        "string.south row",
        "run.field to workshop",
        "stage.1",
    ];
    assert_eq!(paths, expected);
    // 4150 ft · 0.3048 m/ft
    let place = reading.one("place").unwrap();
    let Given::Quantity { si, kind: Kind::Length } = place.entry("elevation").unwrap().value else {
        panic!()
    };
    assert!((si - 1264.92).abs() < 1e-9);
    assert_eq!(place.entry("owner_may_pull").unwrap().value, Given::Unknown);
    let Given::Record(weather) = &place.entry("weather").unwrap().value else { panic!() };
    assert_eq!(weather.iter().map(|e| &e.value).collect::<Vec<_>>(), [&Given::Count(20), &Given::Count(7)]);
    assert_eq!(given(&reading, "inverter", "wall", "battery_range"), &Given::Range([44.0, 58.4]));
    let Given::Curve(curve) = given(&reading, "inverter", "wall", "efficiency") else { panic!() };
    assert_eq!(curve.iter().map(|p| (p.0 * 100.0).round()).collect::<Vec<_>>(), [10.0, 40.0, 100.0]);
    let Given::DayHours(hours) = given(&reading, "load", "kitchen counter", "hours") else { panic!() };
    assert_eq!(hours, &[0.2, 0.0, 0.3, 0.0]);
    let Given::DayHours(even) = given(&reading, "load", "well pump", "hours") else { panic!() };
    assert!((even.iter().sum::<f64>() - 0.9).abs() < 1e-12);
    let Given::Compass { bearing, taken, declination_deg } = given(&reading, "plane", "east rack", "bearing")
    else {
        panic!()
    };
    assert!((bearing.degrees() - 163.0).abs() < 1e-9);
    assert_eq!((*taken, *declination_deg), (Some((2026, 3, 20)), None));
    assert_eq!(given(&reading, "stage", "1", "when"), &Given::Date(2026, 8, 1));
    let Given::Records(inputs) = given(&reading, "inverter", "wall", "pv_input") else { panic!() };
    assert_eq!(inputs[0].0[0].field.key, "voltage_limit");
}

#[test]
fn every_way_toml_has_to_write_a_table_is_the_same_design() {
    let headers = with(
        "size = { length = \"1722 mm\", width = \"1134 mm\" }\nprice = 118\n",
        "price = 118\n\n[module.field.size]\nlength = \"1722 mm\"\nwidth = \"1134 mm\"\n",
    );
    let dotted = with(
        "size = { length = \"1722 mm\", width = \"1134 mm\" }",
        "size.length = \"1722 mm\"\nsize.width = \"1134 mm\"",
    );
    let list = with(
        "pv_input = [\n  { voltage_limit = \"500 V\", power = \"7 kW\" },   # the only one\n]\n",
        "\n[[inverter.wall.pv_input]]\nvoltage_limit = \"500 V\"\npower = \"7 kW\"\n",
    );
    let inline = with("[[stage]]\nwhen = \"2026-08\"\nincludes = [\"north row\"]\n", "");
    let inline = format!("stage = [{{ when = \"2026-08\", includes = [\"north row\"] }}]\n{inline}");
    let windows = DESIGN.replace('\n', "\r\n");
    let marked = format!("\u{feff}{DESIGN}");
    let plain = read(DESIGN, TABLES);
    for text in [headers, dotted, list, inline, windows, marked] {
        assert_eq!(all_shown(&text), Vec::<String>::new(), "{text}");
        let reading = read(&text, TABLES);
        for item in &plain.items {
            let other = reading.items.iter().find(|other| other.path == item.path).unwrap();
            assert_eq!(other.entries.len(), item.entries.len(), "{}", item.path);
            for entry in &item.entries {
                assert!(other.entries.contains(entry), "{}.{}", item.path, entry.field.key);
            }
        }
    }
}

#[test]
fn an_unknown_key_suggests_the_nearest() {
    mended(
        &with("voc = \"38.9 V\"", "vocc = \"38.9 V\""),
        "unknown-key 37:1 vocc is no field of [module.NAME] | Write voc, if that is what you mean.",
    );
    only(
        &with("price = 118\n", "price = 118\ntilt = \"3°\"\n"),
        "unknown-key 42:1 tilt is no field of [module.NAME] | It is a field of [[plane]].",
    );
    only(
        &with("price = 118\n", "price = 118\ncolor = \"blue\"\n"),
        "unknown-key 42:1 color is no field of [module.NAME] | All fields of this table are written already.",
    );
}

#[test]
fn an_unknown_table_suggests_the_nearest() {
    mended(
        &with("[bills]", "[bils]"),
        "unknown-table 17:2 bils is no table of a design | Write bills, if that is what you mean.",
    );
    let text = format!("{DESIGN}\n[furniture]\nchairs = 4\n");
    only(
        &text,
        "unknown-table 78:2 furniture is no table of a design | The tables are place, bills, load, module, \
         inverter, plane, string, run and stage.",
    );
}

#[test]
fn a_unit_of_the_wrong_kind_is_pointed_at() {
    only(
        &with("output = \"6500 W\"", "output = \"6500 kWh\""),
        "wrong-unit 44:16 output: kWh is an energy; a power in watts is wanted | \
         Write it like \"430 W\" or \"6.5 kW\".",
    );
    // Column 13 is the quote, 15 to 17 the unit behind the degree-free number.
    only(
        &with("tilt = \"38°\"", "tilt = \"38 kg\""),
        "wrong-unit 53:12 tilt: kg is a weight; an angle or a pitch is wanted | \
         Write it like \"38°\", \"38 deg\" or \"8:12\".",
    );
    only(
        &with("voc_per_kelvin = \"-0.25 %/K\"", "voc_per_kelvin = \"-0.25 V\""),
        "wrong-unit 39:25 voc_per_kelvin: V is a voltage; a relative change per kelvin or volts per kelvin is wanted | \
         Write it like \"-0.27 %/K\", \"-0.29 %/°C\", \"-116 mV/K\" or \"-0.116 V/K\".",
    );
    only(
        &with("\"0.79 USD/ft\"", "\"0.79 EUR/ft\""),
        "wrong-unit 72:19 wire_price: \"EUR/ft\" is no unit of a price per length | \
         Write it like \"0.79 USD/ft\" or \"2.60 USD/m\".",
    );
    only(
        &with("\"4/0 AWG\"", "\"5/0 AWG\""),
        "wrong-unit 71:13 conductor: \"5/0 AWG\" is no conductor size | \
         Write it like \"10 AWG\", \"4/0 AWG\", \"250 kcmil\" or \"95 mm²\".",
    );
}

#[test]
fn a_bare_number_is_never_given_a_unit() {
    only(
        &with("voc = \"38.9 V\"", "voc = 38.9"),
        "wrong-unit 37:7 voc is 38.9 without a unit; a voltage needs its unit | \
         Write it like \"48 V\".",
    );
    only(
        &with("\"4150 ft\"", "\"4150\""),
        "wrong-unit 11:14 elevation: a length needs its unit | \
         Write it like \"120 ft\", '12\\'6\"', \"36 m\", \"22 in\" or \"1134 mm\"."
            .replace("'12\\'6\"'", "\"12'6\\\"\"")
            .as_str(),
    );
}

#[test]
fn a_value_of_the_wrong_shape_is_named() {
    mended(
        &with("count = 9\n\n[[string]]", "count = \"9\"\n\n[[string]]"),
        "wrong-shape 60:9 count is the text \"9\"; a bare whole number is wanted | Write 9.",
    );
    mended(
        &with("latitude = 42.87", "latitude = \"42.87°\""),
        "wrong-shape 9:12 latitude is the text \"42.87°\"; a bare number is wanted | Write 42.87.",
    );
    mended(
        &with("tier = \"want\"", "tier = \"wnat\""),
        "wrong-shape 30:8 tier cannot be \"wnat\" | It is \"must\", \"want\" or \"can wait\".",
    );
    mended(
        &with("carries = [\"north row\", \"south row\"]", "carries = \"north row\""),
        "wrong-shape 70:11 carries is the text \"north row\"; a list of names, each of a string or bills is wanted | \
         Write [\"north row\"].",
    );
    only(
        &with("when = \"2026-08\"", "when = \"August\""),
        "wrong-shape 75:8 when is the text \"August\"; a date or a month is wanted | \
         Write it like 2026-05-02 or \"2026-08\".",
    );
    only(
        &with("390, 478, 582]", "390, 478]"),
        "wrong-shape 18:7 kwh has 11 numbers; a year has twelve months | \
         Write it like [590, 527, 483, 414, 383, 424, 500, 489, 401, 390, 478, 582].",
    );
    mended(
        &with("[bills]", "[[bills]]"),
        "wrong-shape 17:1 [[bills]] is written once and in single brackets | Write [bills].",
    );
    mended(
        &with("[[plane]]", "[plane]"),
        "wrong-shape 51:1 [plane] wants double brackets | Write [[plane]].",
    );
    only(
        &with("[inverter.wall]", "[inverter]")
            .replace("output = \"6500 W\"                   # at 77 °F\n", ""),
        "wrong-shape 43:2 [inverter] lacks a name | Give it a name of yours: [inverter.NAME].",
    );
}

#[test]
fn a_value_out_of_range_shows_the_range_in_the_unit_as_written() {
    only(
        &with("voc = \"38.9 V\"", "voc = \"38.9 kV\""),
        "out-of-range 37:7 voc is 38.9 kV; it lies between 0.001 kV and 1.5 kV | \
         Write it like \"48 V\".",
    );
    only(
        &with("latitude = 42.87", "latitude = 92.87"),
        "out-of-range 9:12 latitude is 92.87; it lies between −90 and 90 | Write it like 38.",
    );
    only(
        &with("\"-24 °F\"", "\"-124 °F\""),
        "out-of-range 12:21 coldest.value is −124 °F; it lies between −99.7 °F and 116.3 °F | \
         Write it like \"-24 °F\" or \"-31 °C\".",
    );
    only(
        &with("evening = 0.3", "evening = 7"),
        "out-of-range 29:36 hours is 7; evening has 0 to 6 hours | \
         Write it like 0.9 or { morning = 0.2, midday = 0, evening = 0.3, night = 0 }.",
    );
    only(
        &with("hours = 0.9 ", "hours = nan "),
        "out-of-range 23:9 hours is nan, which is no number to reckon with | \
         Write it like 0.9 or { morning = 0.2, midday = 0, evening = 0.3, night = 0 }.",
    );
    only(
        &with("compass = \"163°\"", "compass = \"-3°\""),
        "out-of-range 54:23 bearing is \"-3°\"; a bearing lies between 0° and 360° | \
         Write it like \"182°\", \"7° east of south\" or { compass = \"170°\", taken = 2026-03-20, declination = \"12°\" }.",
    );
}

#[test]
fn what_is_needed_and_not_written_is_missing() {
    only(
        &with("power = \"430 W\"\n", ""),
        "missing 35:1 [module.field] lacks power | At standard conditions. Write it like \"430 W\" or \"6.5 kW\". \
         The data sheet can tell.",
    );
    only(
        &with("length = \"1722 mm\", ", ""),
        "missing 40:1 size lacks length | Long side. Write it like \"120 ft\", \"12'6\\\"\", \"36 m\", \"22 in\" or \
         \"1134 mm\". You can tell.",
    );
    only(
        &with("wattwright = 1 ", "# "),
        "missing 1:1 the top of the file lacks wattwright | Version of the format. Write it like 9. You can tell.",
    );
    only(
        &with("latitude = 42.87", "latitude = \"unknown\""),
        "missing 9:12 latitude cannot stay unknown | Degrees north. Write it like 38. You can tell.",
    );
    only(
        &with("name = \"east rack\"\n", "").replace("plane = \"east rack\"", "plane = \"1\""),
        "missing 51:1 this [[plane]] has no name | Give it a name of yours; other parts of the design refer to it \
         by that: name = \"…\"",
    );
    // A typical part of the shelf fills what is blank.
    assert_eq!(all_shown(&with("power = \"430 W\"\n", "like = \"typical 430 W\"\n")), Vec::<String>::new());
}

#[test]
fn a_name_given_twice_is_a_problem_with_both_places() {
    let text = with("name = \"south row\"", "name = \" North Row\"").replace(", \"south row\"]", "]");
    only(
        &text,
        "duplicate-name 63:8 two things of string are named \"North Row\" | Give each its own name; capital letters \
         make no difference.",
    );
    let labels = read(&text, TABLES).problems.remove(0).labels;
    assert_eq!(Lines::new(&text).at(&text, labels[1].span.start), (57, 8));
    let text = with("isc = \"14.0 A\"", "voc = \"14.0 V\"");
    only(
        &text,
        "duplicate-name 38:1 voc is written twice | Keep one of the two; the first one is used for now.",
    );
    let reading = read(&text, TABLES);
    assert_eq!(given(&reading, "module", "field", "voc"), &Given::Quantity { si: 38.9, kind: Kind::Voltage });
}

#[test]
fn a_reference_to_nothing_suggests_the_nearest_and_lists_what_there_is() {
    mended(
        &with("carries = [\"north row\", \"south row\"]", "carries = [\"nroth row\", \"south row\"]"),
        "dangling-reference 70:12 carries: there is no string or bills named \"nroth row\" | \
         There is \"north row\", \"south row\" and \"bills\".",
    );
    let text = with("[[plane]]", "# [[plane]]").replace(
        "name = \"east rack\"\ntilt = \"38°\"\nbearing = { compass = \"163°\", taken = 2026-03-20 }\n",
        "",
    );
    let told = "dangling-reference 55:9 plane: there is no plane named \"east rack\" | \
                There is no [[plane]] in this design yet.";
    assert_eq!(all_shown(&text), [told, &told.replace("55:9", "61:9")]);
}

#[test]
fn what_there_is_one_of_goes_by_the_name_of_its_table() {
    let text = with("carries = [\"north row\", \"south row\"]", "carries = [\"north row\", \"bills\"]");
    assert_eq!(all_shown(&text), Vec::<String>::new());
    let without = text.replace("[bills]", "# [bills]").replace("kwh = ", "# kwh = ");
    only(
        &without,
        "dangling-reference 70:25 carries: there is no string or bills named \"bills\" | \
         There is \"north row\" and \"south row\".",
    );
}

#[test]
fn a_word_that_is_a_number_may_stand_without_quotes() {
    for (written, word) in [("120", "120"), ("\"120/240\"", "120/240"), ("230", "230")] {
        let text = with("battery_range", &format!("volts = {written}\nbattery_range"));
        assert_eq!(all_shown(&text), Vec::<String>::new());
        assert_eq!(given(&read(&text, TABLES), "inverter", "wall", "volts"), &Given::Choice(word));
    }
    only(
        &with("battery_range", "volts = 240\nbattery_range"),
        "wrong-shape 45:9 volts is a bare number; one of \"120\", \"120/240\" or \"230\" is wanted | \
         Write it like \"120\", \"120/240\" or \"230\".",
    );
}

#[test]
fn a_range_upside_down_contradicts_itself() {
    let text = with("[\"44 V\", \"58.4 V\"]", "[\"58.4 V\", \"44 V\"]");
    only(
        &text,
        "contradiction 45:18 battery_range is upside down: its lower end lies above its upper end | \
         Write the lower value first.",
    );
    assert_eq!(read(&text, TABLES).problems[0].labels.len(), 2);
    only(
        &with("\"40 %\" = \"94 %\"", "\"10.0 %\" = \"94 %\""),
        "contradiction 46:16 efficiency is given twice at 10 % | Keep one of the two.",
    );
}

#[test]
fn a_broken_line_is_told_and_never_hides_a_good_one() {
    mended(
        &with("voc = \"38.9 V\"", "voc = 38.9 V"),
        "syntax 37:7 38.9 V needs quotes | Texts and quantities stand in straight quotes: \"38.9 V\".",
    );
    mended(
        &with("voc = \"38.9 V\"", "voc = “38.9 V”"),
        "syntax 37:7 “38.9 V” needs quotes | Texts and quantities stand in straight quotes: \"38.9 V\".",
    );
    only(
        &with("voc = \"38.9 V\"", "voc = \"38.9 V"),
        "syntax 37:14 voc has a text that is not closed | Begin and end a text with the same straight quote on the \
         same line.",
    );
    only(
        &with("power = \"430 W\"", "power"),
        "syntax 36:6 this line has no equals sign: power | A line is a key, an equals sign and a value: \
         latitude = 42.87",
    );
    only(
        &with("output = \"6500 W\"  ", "output =  "),
        "syntax 44:9 output has no value | Write a value after the equals sign, or \"unknown\" where you do not know \
         it yet.",
    );
    let unclosed = [
        with("[\"44 V\", \"58.4 V\"]", "[\"44 V\", \"58.4 V\""),
        with(
            "size = { length = \"1722 mm\", width = \"1134 mm\" }",
            "size = { length = \"1722 mm\", width = \"1134 mm\"",
        ),
        with("7 kW\" },   # the only one\n]", "7 kW\" },   # the only one\n"),
        with("title = \"Small Bench\"", "title = \"\"\"Small Bench"),
        with("[inverter.wall]", "[inverter.wall"),
        with("[[plane]]", "[[plane]"),
    ];
    for text in unclosed {
        let reading = read(&text, TABLES);
        assert_eq!(reading.problems.len(), 1, "{text}\n{:#?}", reading.problems);
        assert_eq!(reading.problems[0].what, What::Syntax);
        let whole = read(DESIGN, TABLES);
        let entries = |reading: &Reading| reading.items.iter().map(|item| item.entries.len()).sum::<usize>();
        assert_eq!(reading.items.len(), whole.items.len(), "{text}");
        assert!(entries(&reading) + 1 >= entries(&whole), "{text}");
    }
}

#[test]
fn every_problem_is_listed_in_one_run_in_file_order() {
    let text = DESIGN
        .replace("latitude = 42.87", "latitude = 42,87")
        .replace("watts = 1488", "wats = 1488")
        .replace("power = \"430 W\"", "power = \"430 VA\"")
        .replace("[\"44 V\", \"58.4 V\"]", "[\"58.4 V\", \"44 V\"]")
        .replace("carries = [\"north row\"", "carries = [\"north\"");
    let reading = read(&text, TABLES);
    let kinds: Vec<(What, usize)> = reading
        .problems
        .iter()
        .map(|problem| (problem.what, Lines::new(&text).at(&text, problem.labels[0].span.start).0))
        .collect();
    let expected = [
        (What::Syntax, 9),
        (What::UnknownKey, 22),
        (What::WrongUnit, 36),
        (What::Contradiction, 45),
        (What::Dangling, 70),
    ];
    assert_eq!(kinds, expected);
}

#[test]
fn bytes_that_are_no_design_get_a_clear_answer() {
    let told = |bytes: &[u8]| {
        let problems = read_bytes(bytes, TABLES).problems;
        (problems[0].what, problems[0].says.clone(), problems.len())
    };
    assert_eq!(told(b""), (What::Missing, "the file is empty".into(), 1));
    assert_eq!(told(b"\n  \n"), (What::Missing, "the file is empty".into(), 1));
    assert_eq!(told(b"# only words\n"), (What::Missing, "the file holds nothing but comments".into(), 1));
    assert_eq!(
        told(b"a = 1\nb = \"\xFF\"\n"),
        (What::NotUtf8, "byte 12 (line 2) is not UTF-8 text".into(), 1)
    );
    let huge = vec![b'#'; LARGEST + 1];
    assert_eq!(told(&huge), (What::TooLarge, "the file has 10.0 MB; a design is read up to 10 MB".into(), 1));
    // Cut anywhere, the design is read up to there.
    let bytes = DESIGN.as_bytes();
    for end in (0..bytes.len()).step_by(7) {
        let reading = read_bytes(&bytes[..end], TABLES);
        assert!(reading.problems.iter().all(|problem| !problem.labels.is_empty()), "cut at {end}");
    }
}

/// The work a hopeless file makes is bounded: texts of ten megabytes, each built to hurt. The bound is generous
/// because tests run unoptimised and beside others; a quadratic reader would take hours.
#[test]
fn ten_megabytes_of_garbage_are_answered_with_no_more_problems_than_can_be_read() {
    let garbage = [
        "a = \"x\"\n",
        "a = [\n",
        "a = {\n",
        "[a]\n",
        "[[load]]\n",
        "a = \"\"\"\n",
        "a = '''\n\"\"\"\n",
        "[",
        "a.",
        "\"",
        "\u{0}",
        "a\n",
        "[[string]]\nname = \"a\"\nplane = \"b\"\n",
        "é",
    ];
    for piece in garbage {
        let text = piece.repeat(LARGEST / piece.len());
        let reading = read_bytes(text.as_bytes(), TABLES);
        assert!(!reading.problems.is_empty() && reading.problems.len() <= MOST_PROBLEMS, "{piece:?}");
    }
}

mod mutations {
    use super::*;
    use proptest::prelude::*;

    /// Cuts, doublings, swaps and strange letters at random places of the design.
    fn mutated() -> impl Strategy<Value = Vec<u8>> {
        let change = (
            0usize..4000,
            0usize..60,
            prop::sample::select(vec![
                "\"",
                "'",
                "[",
                "]",
                "{",
                "}",
                "=",
                "\n",
                "#",
                ".",
                "\\",
                "\"\"\"",
                "'''",
                "é",
                "\u{0}",
                "unknown",
                "1e999",
                "[[",
                "]]",
                "nan",
                ",",
                "\r",
                "9999999999999999999999",
                "\u{feff}",
                "\\u{110000}",
                "°",
            ]),
        );
        prop::collection::vec(change, 1..8).prop_map(|changes| {
            let mut bytes = DESIGN.as_bytes().to_vec();
            for (at, length, insert) in changes {
                let at = at % (bytes.len() + 1);
                let end = (at + length).min(bytes.len());
                // A third deletes, a third replaces, a third inserts.
                let end = if length % 3 == 0 { at } else { end };
                let insert = if length % 3 == 1 { "" } else { insert };
                bytes.splice(at..end, insert.bytes());
            }
            bytes
        })
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 1500, failure_persistence: None, ..ProptestConfig::default() })]
        #[test]
        fn a_damaged_design_never_panics_and_every_place_lies_in_the_text(bytes in mutated()) {
            let reading = read_bytes(&bytes, TABLES);
            let text = String::from_utf8_lossy(&bytes);
            for problem in &reading.problems {
                prop_assert!(!problem.labels.is_empty() && !problem.says.is_empty());
                for label in &problem.labels {
                    prop_assert!(text.get(label.span.clone()).is_some(), "{:?}", problem);
                }
                if let Some(mend) = &problem.mend {
                    prop_assert!(text.get(mend.span.clone()).is_some(), "{:?}", problem);
                }
            }
            // What the reader takes without a problem is TOML for everyone else too.
            if reading.problems.is_empty() {
                prop_assert!(toml::de::DeTable::parse(&text).is_ok());
            }
        }
    }
}
