//! The JSON Schema of the design file, from the catalogue, for editors that complete and check TOML.

use crate::catalogue::{Blank, Field, Form, Shape, Table};
use crate::read::compound::COMPASS;
use crate::read::forms::{fitting_examples, wanted};
use crate::read::interpret::header_of;
use quantity::Kind;
use serde_json::{Map, Value, json};

/// The dialect the schema is written in.
const DIALECT: &str = "https://json-schema.org/draft/2020-12/schema";

/// The schema of a design file. Quantities are texts there, so that it checks keys, words, numbers and what is needed;
/// units, references and contradictions are for the reader.
pub fn schema(tables: &[Table]) -> Value {
    let mut properties = Map::new();
    let mut required = Vec::new();
    for table in tables {
        if table.key.is_empty() {
            let object = fields(table.fields, &[]);
            if let Some(Value::Object(own)) = object.get("properties").cloned() {
                properties.extend(own);
            }
            required.extend(object.get("required").and_then(Value::as_array).cloned().unwrap_or_default());
        } else {
            properties.insert(table.key.to_string(), table_schema(table));
        }
    }
    json!({
        "$schema": DIALECT,
        "title": "Wattwright design file",
        "description": "One home solar and battery system. The word \"unknown\" may stand for any value.",
        "type": "object",
        "properties": properties,
        "required": required,
        "additionalProperties": false,
    })
}

fn table_schema(table: &Table) -> Value {
    let name =
        Field { blank: Blank::Needed, ..crate::catalogue::field("name", Shape::Text, "Your name for it.") };
    let like = crate::catalogue::field("like", Shape::Text, "A typical part that fills what is blank here.");
    let mut extra: Vec<&Field> = Vec::new();
    if table.form == Form::List {
        extra.push(&name);
    }
    if table.shelf.is_some() {
        extra.push(&like);
    }
    let mut object = fields(table.fields, &extra);
    if table.shelf.is_some()
        && let Some(needed) = object.as_object_mut().and_then(|object| object.remove("required"))
    {
        // A typical part may fill what is needed.
        object["anyOf"] = json!([{ "required": needed }, { "required": ["like"] }]);
    }
    let described = |mut schema: Value| {
        schema["title"] = json!(header_of(table));
        schema["description"] = json!(table.doc);
        schema
    };
    match table.form {
        Form::One => described(object),
        Form::Named => described(json!({ "type": "object", "additionalProperties": object })),
        Form::List | Form::Unnamed => described(json!({ "type": "array", "items": object })),
    }
}

fn fields(fields: &[Field], extra: &[&Field]) -> Value {
    let mut properties = Map::new();
    let mut required = Vec::new();
    let missing = extra.iter().filter(|extra| fields.iter().all(|field| field.key != extra.key));
    for field in missing.copied().chain(fields) {
        properties.insert(field.key.to_string(), field_schema(field));
        if field.blank == Blank::Needed {
            required.push(json!(field.key));
        }
    }
    let mut object = json!({ "type": "object", "properties": properties, "additionalProperties": false });
    if !required.is_empty() {
        object["required"] = Value::Array(required);
    }
    object
}

fn field_schema(field: &Field) -> Value {
    let mut schema = shape_schema(field);
    let mut doc = field.doc.to_string();
    match field.blank {
        Blank::Assumed { value, because, .. } => {
            schema["default"] = json!(value.trim_matches('"'));
            doc.push_str(&format!(" Blank means {value}, assumed because {because}."));
        }
        Blank::Asked => doc.push_str(&format!(" Blank is unknown; {} can tell.", field.ask.in_words())),
        Blank::Needed | Blank::None => {}
    }
    if !field.used {
        doc.push_str(" Recorded, not yet used.");
    }
    schema["title"] = json!(wanted(&field.shape));
    schema["description"] = json!(doc);
    schema
}

fn shape_schema(field: &Field) -> Value {
    let examples = || fitting_examples(field, "USD");
    // Examples are TOML; for texts the quotes come off, other shapes show them in their description only.
    let texts = || -> Vec<String> {
        examples()
            .iter()
            .filter_map(|e| e.strip_prefix('"')?.strip_suffix('"').map(|t| t.replace("\\\"", "\"")))
            .collect()
    };
    let text = || json!({ "type": "string", "examples": texts() });
    match &field.shape {
        Shape::Quantity(Kind::Count | Kind::Number) => or_unknown(number(field, 1.0)),
        Shape::Quantity(_) | Shape::OneOf(_) | Shape::Price(_) | Shape::Gauge => text(),
        Shape::Range(_) => or_unknown(json!({
            "type": "array", "items": { "type": "string" }, "minItems": 2, "maxItems": 2,
        })),
        Shape::Count => {
            let mut schema = number(field, 1.0);
            schema["type"] = json!("integer");
            schema["minimum"] = json!(field.within.map_or(0.0, |(low, _)| low.max(0.0)) as i64);
            or_unknown(schema)
        }
        Shape::Bare { factor, .. } => or_unknown(number(field, *factor)),
        Shape::Money => json!({ "anyOf": [number(field, 1.0), { "type": "string" }] }),
        Shape::Text | Shape::Reference(_) => json!({ "type": "string" }),
        Shape::YesNo => json!({ "enum": ["yes", "no", "unknown", true, false] }),
        Shape::Choice(words) => {
            let mut known: Vec<Value> = words.iter().map(|word| json!(word)).collect();
            // A word that is a whole number may stand without quotes.
            known
                .extend(words.iter().filter_map(|word| word.parse::<i64>().ok()).map(|number| json!(number)));
            if !words.contains(&"unknown") {
                known.push(json!("unknown"));
            }
            json!({ "enum": known })
        }
        Shape::Date | Shape::MonthSet => {
            json!({ "anyOf": [{ "type": "string" }, { "type": "array", "items": { "type": "string" } }], "examples": texts() })
        }
        Shape::Bearing => {
            json!({ "anyOf": [{ "type": "string", "examples": texts() }, fields(COMPASS, &[])] })
        }
        Shape::References(_) | Shape::Texts => {
            or_unknown(json!({ "type": "array", "items": { "type": "string" } }))
        }
        Shape::Months { factor, .. } => or_unknown(json!({
            "type": "array", "items": number(field, *factor), "minItems": 12, "maxItems": 12,
        })),
        Shape::Curve => or_unknown(json!({
            "type": "object", "additionalProperties": { "type": "string" }, "minProperties": 1,
        })),
        Shape::DayHours => {
            let part = |most: u8| json!({ "type": "number", "minimum": 0, "maximum": most });
            json!({ "anyOf": [part(24), { "const": "unknown" }, {
                "type": "object",
                "properties": { "morning": part(4), "midday": part(6), "evening": part(6), "night": part(8) },
                "additionalProperties": false,
            }] })
        }
        Shape::Record(inner) => or_unknown(fields(inner, &[])),
        Shape::Records(inner) => or_unknown(json!({ "type": "array", "items": fields(inner, &[]) })),
    }
}

fn number(field: &Field, factor: f64) -> Value {
    let mut schema = json!({ "type": "number" });
    if let Some((low, high)) = field.within {
        // Conversions leave a last digit or two that nobody wrote.
        let rounded = |si: f64| (si / factor * 1e9).round() / 1e9;
        schema["minimum"] = json!(rounded(low));
        schema["maximum"] = json!(rounded(high));
    }
    schema
}

fn or_unknown(schema: Value) -> Value {
    json!({ "anyOf": [schema, { "const": "unknown" }] })
}
