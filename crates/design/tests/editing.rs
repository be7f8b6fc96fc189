//! Editing: the one value changes and nothing else, and an edit undone leaves the very bytes.
#![allow(clippy::unwrap_used)]

mod small;

use design::edit::{EditError, add_item, apply_mends, remove, rename, set};
use design::problem::Mend;
use design::read::{Entry, Given, read};
use small::{DESIGN, TABLES};

/// The edit changes exactly these lines: `-` gone, `+` new.
fn check(edited: Result<String, EditError>, expected: &[&str]) -> String {
    let edited = edited.unwrap();
    let (old, new): (Vec<&str>, Vec<&str>) = (DESIGN.lines().collect(), edited.lines().collect());
    let same = old.iter().zip(&new).take_while(|(a, b)| a == b).count();
    let tail = old[same..].iter().rev().zip(new[same..].iter().rev()).take_while(|(a, b)| a == b).count();
    let gone = old[same..old.len() - tail].iter().map(|line| format!("-{line}"));
    let fresh = new[same..new.len() - tail].iter().map(|line| format!("+{line}"));
    assert_eq!(gone.chain(fresh).collect::<Vec<_>>(), expected);
    edited
}

fn to(path: &str, value: &str) -> Result<String, EditError> {
    set(DESIGN, path, value, TABLES)
}

#[test]
fn a_value_that_is_there_keeps_its_place_and_its_comment() {
    check(
        to("place.elevation", "\"1265 m\""),
        &[
            "-elevation = \"4150 ft\"               # from the map",
            "+elevation = \"1265 m\"               # from the map",
        ],
    );
    check(to("title", "\"Bench\""), &["-title = \"Small Bench\"", "+title = \"Bench\""]);
    check(
        to("place.coldest.value", "\"-31 °C\""),
        &[
            "-coldest = { value = \"-24 °F\", basis = \"nearest station\" }   # unknown stays unknown",
            "+coldest = { value = \"-31 °C\", basis = \"nearest station\" }   # unknown stays unknown",
        ],
    );
    check(to("place.weather.seed", "8"), &["-weather.seed = 7", "+weather.seed = 8"]);
    check(
        to("inverter.wall.pv_input.1.power", "\"6 kW\""),
        &[
            "-  { voltage_limit = \"500 V\", power = \"7 kW\" },   # the only one",
            "+  { voltage_limit = \"500 V\", power = \"6 kW\" },   # the only one",
        ],
    );
    // The first string has the same line; only the named one changes.
    let edited = to("string.south row.count", "8").unwrap();
    let reading = read(&edited, TABLES);
    assert_eq!(reading.named("string", "north row").unwrap().entry("count").unwrap().value, Given::Count(9));
    assert_eq!(reading.named("string", "south row").unwrap().entry("count").unwrap().value, Given::Count(8));
    check(
        to("inverter.wall.efficiency.40 %", "\"93 %\""),
        &[
            "-efficiency = { \"10 %\" = \"89 %\", \"40 %\" = \"94 %\", \"100 %\" = \"91 %\" }",
            "+efficiency = { \"10 %\" = \"89 %\", \"40 %\" = \"93 %\", \"100 %\" = \"91 %\" }",
        ],
    );
}

#[test]
fn a_value_that_is_not_there_is_written_below_the_last_one_of_its_table() {
    check(to("module.field.like", "\"typical\""), &["+like = \"typical\""]);
    check(to("place.weather.normals", "\"nearest\""), &["+weather.normals = \"nearest\""]);
    check(
        to("module.field.size.depth", "\"30 mm\""),
        &[
            "-size = { length = \"1722 mm\", width = \"1134 mm\" }",
            "+size = { length = \"1722 mm\", width = \"1134 mm\", depth = \"30 mm\" }",
        ],
    );
    check(to("load.well pump.months", "\"Apr..Oct\""), &["+months = \"Apr..Oct\""]);
    check(to("plane.east rack.rows.wide", "9"), &["+rows = { wide = 9 }"]);
    check(to("note", "\"x\""), &["+note = \"x\""]);
    // What was unknown as a whole becomes a record with the part that is known.
    check(
        to("place.owner_may_pull.office", "\"county\""),
        &["-owner_may_pull = \"unknown\"", "+owner_may_pull = { office = \"county\" }"],
    );
}

#[test]
fn a_table_that_is_not_there_is_begun_at_the_end() {
    let without = remove(DESIGN, "bills").unwrap();
    let edited = set(&without, "bills.kwh", "[1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12]", TABLES).unwrap();
    assert!(
        edited.ends_with(
            "includes = [\"north row\"]\n\n[bills]\nkwh = [1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12]\n"
        )
    );
    let edited = to("module.roof.power", "\"400 W\"").unwrap();
    assert!(edited.ends_with("\n\n[module.roof]\npower = \"400 W\"\n"), "{edited}");
    let empty = set("", "place.latitude", "42.87", TABLES).unwrap();
    assert_eq!(empty, "[place]\nlatitude = 42.87");
    assert_eq!(set("", "title", "\"x\"", TABLES).unwrap(), "title = \"x\"\n");
}

#[test]
fn windows_line_ends_stay() {
    let text = DESIGN.replace('\n', "\r\n");
    let edited = set(&text, "module.field.like", "\"typical\"", TABLES).unwrap();
    assert_eq!(edited.matches('\n').count(), edited.matches("\r\n").count());
    assert_eq!(edited.replace("\r\n", "\n"), to("module.field.like", "\"typical\"").unwrap());
    assert_eq!(remove(&edited, "module.field.like").unwrap(), text);
}

#[test]
fn a_thing_is_added_below_the_last_of_its_kind_and_removed_again() {
    let edited = check(
        add_item(DESIGN, "load", "bread \"oven\"", &[("watts", "2000"), ("tier", "\"want\"")], TABLES),
        &["+[[load]]", "+name = 'bread \"oven\"'", "+watts = 2000", "+tier = \"want\"", "+"],
    );
    assert_eq!(remove(&edited, "load.bread \"oven\"").unwrap(), DESIGN);
    let edited = add_item(DESIGN, "module", "roof, west", &[("power", "\"400 W\"")], TABLES).unwrap();
    assert!(
        edited.contains("price = 118\n\n[module.\"roof, west\"]\npower = \"400 W\"\n\n[inverter.wall]"),
        "{edited}"
    );
    assert_eq!(remove(&edited, "module.roof, west").unwrap(), DESIGN);
    let edited = add_item(DESIGN, "stage", "", &[("when", "\"2027-06\"")], TABLES).unwrap();
    assert!(edited.ends_with("\n\n[[stage]]\nwhen = \"2027-06\"\n"), "{edited}");
    assert_eq!(remove(&edited, "stage.2").unwrap(), DESIGN);
    // A thing with tables of its own goes with them.
    let text = DESIGN.replace(
        "price = 118\n",
        "price = 118\n\n[module.roof]\npower = \"1 W\"\n\n[module.roof.size]\nlength = \"1 m\"\n",
    );
    assert_eq!(remove(&text, "module.roof").unwrap(), DESIGN);
    let inline = "stage = [{ when = \"2026-08\" }] # planned\n";
    let added = add_item(inline, "stage", "", &[("when", "\"2027-06\"")], TABLES).unwrap();
    assert_eq!(added, "stage = [{ when = \"2026-08\" }, { when = \"2027-06\" }] # planned\n");
    assert_eq!(remove(&added, "stage.2").unwrap(), inline);
}

#[test]
fn a_field_is_removed_with_the_comment_on_its_line() {
    check(remove(DESIGN, "place.elevation"), &["-elevation = \"4150 ft\"               # from the map"]);
    check(
        remove(DESIGN, "module.field.size.length"),
        &["-size = { length = \"1722 mm\", width = \"1134 mm\" }", "+size = { width = \"1134 mm\" }"],
    );
    check(remove(DESIGN, "place.weather"), &["-weather.years = 20", "-weather.seed = 7"]);
    check(
        remove(DESIGN, "run.field to workshop.carries.2"),
        &["-carries = [\"north row\", \"south row\"]", "+carries = [\"north row\"]"],
    );
    let top = remove("a = 1\nb = 2\n", "a").unwrap();
    assert_eq!(top, "b = 2\n");
}

#[test]
fn a_thing_is_renamed_wherever_it_is_named() {
    let edited = rename(DESIGN, "module", "field", "field, new", TABLES).unwrap();
    assert!(edited.contains("[module.\"field, new\"]") && !edited.contains("module = \"field\""));
    assert_eq!(rename(&edited, "module", "field, new", "field", TABLES).unwrap(), DESIGN);
    let edited = rename(DESIGN, "string", "north row", "first", TABLES).unwrap();
    assert_eq!(edited.matches("\"first\"").count(), 3, "its own name, the run and the stage");
    assert!(read(&edited, TABLES).problems.is_empty());
    assert_eq!(rename(&edited, "string", "first", "north row", TABLES).unwrap(), DESIGN);
    let taken = rename(DESIGN, "string", "north row", "South Row", TABLES);
    assert!(matches!(taken, Err(EditError::BadName { .. })));
}

#[test]
fn an_edit_that_does_not_apply_is_refused() {
    assert!(matches!(to("place.latitude", "42,87"), Err(EditError::BadValue { .. })));
    assert!(matches!(to("place.latitude", "1\nlongitude = 2"), Err(EditError::BadValue { .. })));
    assert!(matches!(to("place.latitude", "1 # and"), Err(EditError::BadValue { .. })));
    assert!(matches!(to("place.latitude", ""), Err(EditError::BadValue { .. })));
    assert!(matches!(to("place.latitude.degrees", "3"), Err(EditError::IsValue { .. })));
    assert!(matches!(to("place", "3"), Err(EditError::IsTable { .. })));
    assert!(matches!(to("string.third row.count", "3"), Err(EditError::NoSuchPlace { .. })));
    assert!(matches!(to("", "3"), Err(EditError::NoSuchPlace { .. })));
    assert!(matches!(remove(DESIGN, "place.hottest"), Err(EditError::NoSuchPlace { .. })));
    assert!(matches!(add_item(DESIGN, "load", "Well Pump", &[], TABLES), Err(EditError::BadName { .. })));
    assert!(matches!(add_item(DESIGN, "chair", "x", &[], TABLES), Err(EditError::NoSuchTable { .. })));
    assert!(matches!(add_item(DESIGN, "place", "", &[], TABLES), Err(EditError::DidNotApply { .. })));
}

#[test]
fn a_text_with_a_broken_line_can_be_edited_and_the_line_itself_mended() {
    let text = DESIGN.replace("voc = \"38.9 V\"", "voc = \"38.9 V");
    let edited = set(&text, "module.field.isc", "\"14.1 A\"", TABLES).unwrap();
    assert_eq!(edited, text.replace("14.0 A", "14.1 A"));
    assert_eq!(set(&text, "module.field.voc", "\"38.9 V\"", TABLES).unwrap(), DESIGN);
}

#[test]
fn mends_are_applied_together_or_not_at_all() {
    let text = DESIGN.replace("voc = ", "vocc = ").replace("tier = \"must\"", "tier = \"mustt\"");
    let mends: Vec<Mend> = read(&text, TABLES).problems.into_iter().filter_map(|p| p.mend).collect();
    assert_eq!(mends.len(), 2);
    assert_eq!(apply_mends(&text, &mends).unwrap(), DESIGN);
    let outside = Mend { span: 5..text.len() + 1, with: String::new() };
    assert_eq!(apply_mends(&text, &[mends[0].clone(), outside]), Err(EditError::Misplaced));
    let twice = [mends[0].clone(), mends[0].clone()];
    assert_eq!(apply_mends(&text, &twice), Err(EditError::Misplaced));
}

/// Paths of all values, nested ones included, with the text of each.
fn values() -> Vec<(String, String)> {
    fn walk(path: &str, entries: &[Entry], found: &mut Vec<(String, String)>) {
        for entry in entries {
            let path =
                [path, entry.field.key].into_iter().filter(|p| !p.is_empty()).collect::<Vec<_>>().join(".");
            match &entry.value {
                Given::Record(inner) => walk(&path, inner, found),
                Given::Records(records) => {
                    for (index, (inner, _)) in records.iter().enumerate() {
                        walk(&format!("{path}.{}", index + 1), inner, found);
                    }
                }
                _ => found.push((path, DESIGN[entry.span.clone()].to_string())),
            }
        }
    }
    let mut found = Vec::new();
    for item in read(DESIGN, TABLES).items {
        walk(&item.path, &item.entries, &mut found);
    }
    found
}

mod round_trips {
    use super::*;
    use proptest::prelude::*;

    fn a_value() -> impl Strategy<Value = String> {
        prop_oneof![
            any::<i32>().prop_map(|n| n.to_string()),
            "[a-zA-Z0-9 °.,#=\\[\\]{}]{0,20}".prop_map(|text| format!("\"{text}\"")),
            Just("{ a = 1, b = [1, 2] }".to_string()),
            Just("[\n  1, # one\n  2,\n]".to_string()),
            Just("2026-05-02".to_string()),
            Just("'''\n[x]\n'''".to_string()),
            Just("\"unknown\"".to_string()),
        ]
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]

        #[test]
        fn a_value_set_and_set_back_leaves_the_very_bytes(at in 0usize..1000, value in a_value()) {
            let values = values();
            prop_assert!(values.len() > 40);
            let (path, before) = &values[at % values.len()];
            let edited = to(path, &value).unwrap();
            prop_assert_eq!(set(&edited, path, before, TABLES).unwrap(), DESIGN);
        }

        #[test]
        fn a_value_begun_and_removed_leaves_the_very_bytes(at in 0usize..1000, value in a_value()) {
            let values = values();
            let (path, _) = &values[at % values.len()];
            let fresh = match path.rsplit_once('.') {
                Some((table, _)) => format!("{table}.brand new"),
                None => "brand new".to_string(),
            };
            let edited = to(&fresh, &value).unwrap();
            prop_assert_eq!(remove(&edited, &fresh).unwrap(), DESIGN);
        }

        /// The text may be damaged too; what comes back is then still the asked edit or a refusal.
        #[test]
        fn a_damaged_text_is_edited_rightly_or_not_at_all(
            cuts in prop::collection::vec((0usize..3000, 0usize..40, "[\\[\\]{}\"'=#.,\n a]{0,4}"), 1..5),
            at in 0usize..1000,
        ) {
            let mut text = DESIGN.to_string();
            for (from, length, insert) in cuts {
                let boundary = |at: usize| (0..=at.min(text.len())).rev().find(|at| text.is_char_boundary(*at)).unwrap();
                let range = boundary(from)..boundary(from + length);
                text.replace_range(range, &insert);
            }
            let values = values();
            let (path, before) = &values[at % values.len()];
            if let Ok(edited) = set(&text, path, before, TABLES) {
                prop_assert!(edited.contains(before.as_str()));
                prop_assert!(read(&edited, TABLES).items.len() + 1 >= read(&text, TABLES).items.len());
            }
            let _ = remove(&text, path);
            let _ = add_item(&text, "load", "new", &[("watts", "1")], TABLES);
            let _ = rename(&text, "string", "north row", "new", TABLES);
        }

        #[test]
        fn no_path_and_no_value_panics(path in "[a-z. 0-9]{0,30}", value in ".{0,12}") {
            let _ = to(&path, &value);
            let _ = remove(DESIGN, &path);
            let _ = add_item(DESIGN, &path, &value, &[(&value, &path)], TABLES);
            let _ = rename(DESIGN, "load", &path, &value, TABLES);
        }
    }
}
