//! Schema and guide say what the catalogue says.
#![allow(clippy::unwrap_used)]

mod small;

use design::catalogue::{Field, Shape};
use design::guide::guide;
use design::read::{Given, Item, read};
use design::schema::schema;
use serde_json::{Value, json};
use small::{DESIGN, TABLES};

/// The design as JSON, the way an editor's language server sees it: dates are texts.
fn as_json(value: &toml::Value) -> Value {
    match value {
        toml::Value::String(text) => json!(text),
        toml::Value::Integer(number) => json!(number),
        toml::Value::Float(number) => json!(number),
        toml::Value::Boolean(yes) => json!(yes),
        toml::Value::Datetime(date) => json!(date.to_string()),
        toml::Value::Array(list) => list.iter().map(as_json).collect(),
        toml::Value::Table(table) => table.iter().map(|(key, value)| (key.clone(), as_json(value))).collect(),
    }
}

/// A validator for the words of JSON Schema that the schema uses; an unknown word fails the test.
fn violations(schema: &Value, value: &Value, at: &str, found: &mut Vec<String>) {
    for (word, wanted) in schema.as_object().unwrap() {
        let holds = match word.as_str() {
            "$schema" | "title" | "description" | "examples" | "default" => true,
            "type" => match wanted.as_str().unwrap() {
                "object" => value.is_object(),
                "array" => value.is_array(),
                "string" => value.is_string(),
                "number" => value.is_number(),
                "integer" => value.is_i64(),
                other => panic!("type {other}"),
            },
            "enum" => wanted.as_array().unwrap().contains(value),
            "const" => wanted == value,
            "minimum" => value.as_f64().is_none_or(|number| number >= wanted.as_f64().unwrap()),
            "maximum" => value.as_f64().is_none_or(|number| number <= wanted.as_f64().unwrap()),
            "minItems" => value.as_array().is_none_or(|list| list.len() as u64 >= wanted.as_u64().unwrap()),
            "maxItems" => value.as_array().is_none_or(|list| list.len() as u64 <= wanted.as_u64().unwrap()),
            "minProperties" => {
                value.as_object().is_none_or(|map| map.len() as u64 >= wanted.as_u64().unwrap())
            }
            "required" => value.as_object().is_none_or(|map| {
                wanted.as_array().unwrap().iter().all(|key| map.contains_key(key.as_str().unwrap()))
            }),
            "items" => {
                for (index, item) in value.as_array().into_iter().flatten().enumerate() {
                    violations(wanted, item, &format!("{at}.{index}"), found);
                }
                true
            }
            "properties" => {
                for (key, inner) in value.as_object().into_iter().flatten() {
                    if let Some(schema) = wanted.get(key) {
                        violations(schema, inner, &format!("{at}.{key}"), found);
                    }
                }
                true
            }
            "additionalProperties" => {
                let known =
                    |key: &str| schema.get("properties").is_some_and(|known| known.get(key).is_some());
                let others = value.as_object().into_iter().flatten().filter(|(key, _)| !known(key));
                let others: Vec<_> = others.collect();
                if wanted.is_object() {
                    others
                        .iter()
                        .for_each(|(key, inner)| violations(wanted, inner, &format!("{at}.{key}"), found));
                    true
                } else {
                    others.is_empty()
                }
            }
            "anyOf" => wanted.as_array().unwrap().iter().any(|option| {
                let mut inside = Vec::new();
                violations(option, value, at, &mut inside);
                inside.is_empty()
            }),
            other => panic!("a word this test does not know: {other}"),
        };
        if !holds {
            found.push(format!("{at}: {word}"));
        }
    }
}

fn checked(text: &str) -> Vec<String> {
    let value = as_json(&toml::Value::Table(text.parse().unwrap()));
    let mut found = Vec::new();
    violations(&schema(TABLES), &value, "", &mut found);
    found
}

#[test]
fn a_sound_design_fits_the_schema() {
    assert_eq!(checked(DESIGN), Vec::<String>::new());
    let like = DESIGN.replace("power = \"430 W\"\n", "like = \"typical\"\n");
    assert_eq!(checked(&like), Vec::<String>::new());
    let unknown = DESIGN.replace(
        "pv_input = [\n  { voltage_limit = \"500 V\", power = \"7 kW\" },   # the only one\n]",
        "pv_input = \"unknown\"",
    );
    assert_eq!(checked(&unknown), Vec::<String>::new());
}

#[test]
fn what_the_reader_refuses_for_its_form_the_schema_refuses_too() {
    for (old, new, expected) in [
        ("voc = ", "vocc = ", ".module.field: additionalProperties"),
        ("voc = \"38.9 V\"", "voc = 38.9", ".module.field.voc: type"),
        ("latitude = 42.87", "latitude = 142.87", ".place.latitude: anyOf"),
        ("latitude = 42.87\n", "", ".place: required"),
        ("power = \"430 W\"\n", "", ".module.field: anyOf"),
        ("tier = \"must\"", "tier = \"mustt\"", ".load.0.tier: enum"),
        ("390, 478, 582]", "390, 478]", ".bills.kwh: anyOf"),
        ("name = \"well pump\"\n", "", ".load.0: required"),
        ("wattwright = 1 ", "wattwright = -1 ", ".wattwright: anyOf"),
        ("evening = 0.3", "evening = 7", ".load.1.hours: anyOf"),
        ("[bills]", "[bils]", ": additionalProperties"),
    ] {
        let text = DESIGN.replace(old, new);
        assert_eq!(checked(&text), [expected], "{new}");
        assert!(!read(&text, TABLES).problems.is_empty(), "{new}");
    }
}

#[test]
fn the_guide_names_every_field_with_what_a_blank_means() {
    fn all<'f>(fields: &'f [Field], prefix: &str, found: &mut Vec<(String, &'f Field)>) {
        for field in fields {
            let key = format!("{prefix}{}", field.key);
            if let Shape::Record(inner) | Shape::Records(inner) = &field.shape {
                all(inner, &format!("{key}."), found);
            }
            found.push((key, field));
        }
    }
    let guide = guide(TABLES);
    for table in TABLES {
        let mut fields = Vec::new();
        all(table.fields, "", &mut fields);
        for (key, field) in fields {
            let row = guide
                .lines()
                .find(|line| line.starts_with(&format!("| `{key}` |")) && line.contains(field.doc));
            let row = row.unwrap_or_else(|| panic!("{key} of {} is not in the guide", table.key));
            assert_eq!(row.matches(" | ").count(), 4, "{row}");
            assert_eq!(row.contains("*Recorded, not yet used.*"), !field.used, "{row}");
            assert!(row.contains(field.ask.in_words()), "{row}");
        }
    }
    assert!(guide.contains(
        "| `currency` | a text | USD, because most designs here are; it moves nothing but the sign |"
    ));
}

/// Every example that guide, schema and messages show is read by the reader without a problem.
#[test]
fn every_form_shown_is_read() {
    let guide = guide(TABLES);
    let mut tried = 0;
    for table in TABLES.iter().filter(|table| !table.key.is_empty()) {
        for field in table.fields {
            let row = guide.lines().find(|line| line.starts_with(&format!("| `{}` |", field.key))).unwrap();
            let Some((_, forms)) = row.split(" | ").nth(1).unwrap().split_once(": ") else { continue };
            for form in forms.split("`").skip(1).step_by(2) {
                if form.contains('…') || form.contains("NAME") {
                    continue;
                }
                let header = match table.form {
                    design::catalogue::Form::One => format!("[{}]", table.key),
                    design::catalogue::Form::Named => format!("[{}.x]", table.key),
                    _ => format!("[[{}]]\nname = \"x\"", table.key),
                };
                let text = format!("{header}\n{} = {form}\n", field.key);
                let reading = read(&text, TABLES);
                let entry = reading.items.iter().find_map(|item: &Item| item.entry(field.key));
                assert!(
                    entry.is_some_and(|entry| entry.value != Given::Unknown),
                    "{text}{:?}",
                    reading.problems
                );
                tried += 1;
            }
        }
    }
    assert!(tried > 40, "{tried} forms were tried");
}
