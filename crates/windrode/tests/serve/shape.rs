//! Answers held against the document of the API: the part of JSON Schema (2020-12) that it uses, and no more. A word
//! that is not known here is a failure, so that no promise of the document goes unread.

use std::sync::LazyLock;

use serde_json::{Map, Value};

use crate::asking::Answer;

static DOCUMENT: LazyLock<Value> = LazyLock::new(|| {
    let text = include_str!("../../src/serve/openapi.json");
    serde_json::from_str(text).expect("a document")
});

/// Words that constrain nothing here.
const SILENT: [&str; 2] = ["description", "format"];

/// Holds an answer against the document.
#[track_caller]
pub(crate) fn hold(method: &str, path: &str, answer: &Answer) {
    let path = path.split('?').next().unwrap_or_default();
    let Some(operation) = operation(method, path) else { return };
    let responses = &operation["responses"];
    let response = responses.get(answer.status.to_string()).unwrap_or(&responses["default"]);
    let content = response["content"].as_object().expect("content");
    let told = answer.header("content-type").unwrap_or_default().split(';').next().unwrap_or_default();
    let told = content.get(told).unwrap_or_else(|| panic!("{method} {path}: {} as {told}", answer.status));
    if let Some(schema) = told.get("schema") {
        let wrong = wrong(schema, &answer.json(), "");
        assert!(wrong.is_empty(), "{method} {path}: {wrong:#?}");
    }
}

/// Holds an event of the stream against the document.
#[track_caller]
pub(crate) fn hold_event(name: &str, data: &Value) {
    let events = &DOCUMENT["paths"]["/api/v1/live"]["get"]["x-events"];
    let schema = events.get(name).unwrap_or_else(|| panic!("an event of the name {name}"));
    let wrong = wrong(schema, data, "");
    assert!(wrong.is_empty(), "{name}: {wrong:#?}");
}

/// Every path of the document, with its operations by method.
pub(crate) fn paths() -> impl Iterator<Item = (&'static str, &'static Value)> {
    DOCUMENT["paths"].as_object().into_iter().flatten().map(|(path, operations)| (path.as_str(), operations))
}

/// What a reference of the document leads to.
pub(crate) fn at(reference: &str) -> &'static Value {
    DOCUMENT.pointer(reference.trim_start_matches('#')).expect("a schema")
}

fn operation(method: &str, path: &str) -> Option<&'static Value> {
    let parts: Vec<&str> = path.split('/').collect();
    let fits = |template: &str| {
        let wanted: Vec<&str> = template.split('/').collect();
        wanted.len() == parts.len()
            && wanted.iter().zip(&parts).all(|(wanted, part)| wanted.starts_with('{') || wanted == part)
    };
    let paths = DOCUMENT["paths"].as_object()?;
    let found = paths.iter().find(|(template, _)| fits(template))?;
    found.1.get(method.to_lowercase())
}

/// What is wrong with a value, each with where it stands.
fn wrong(schema: &Value, value: &Value, at: &str) -> Vec<String> {
    let mut wrongs = Vec::new();
    for (word, wanted) in schema.as_object().into_iter().flatten() {
        match (word.as_str(), value) {
            ("$ref", _) => {
                let to = wanted.as_str().and_then(|to| DOCUMENT.pointer(to.trim_start_matches('#')));
                wrongs.extend(wrong(to.expect("a schema"), value, at));
            }
            ("anyOf", _) => {
                let all = wanted.as_array().into_iter().flatten().map(|one| wrong(one, value, at));
                let all: Vec<Vec<String>> = all.collect();
                if all.iter().all(|wrongs| !wrongs.is_empty()) {
                    wrongs.extend(all.into_iter().flatten());
                }
            }
            ("type", _) if !is_of(wanted, value) => wrongs.push(format!("{at} is {value}, not {wanted}")),
            ("const", _) if wanted != value => wrongs.push(format!("{at} is {value}, not {wanted}")),
            ("enum", _) if !wanted.as_array().is_some_and(|all| all.contains(value)) => {
                wrongs.push(format!("{at} is {value}, none of {wanted}"));
            }
            ("required", Value::Object(fields)) => {
                let names = wanted.as_array().into_iter().flatten().filter_map(Value::as_str);
                wrongs.extend(
                    names.filter(|it| !fields.contains_key(*it)).map(|it| format!("{at}.{it} is missing")),
                );
            }
            ("properties", Value::Object(fields)) => wrongs.extend(of_fields(schema, fields, at)),
            ("additionalProperties", Value::Object(fields)) => wrongs.extend(of_others(schema, fields, at)),
            ("items", Value::Array(list)) => {
                let each = list.iter().enumerate();
                wrongs.extend(each.flat_map(|(index, item)| wrong(wanted, item, &format!("{at}[{index}]"))));
            }
            ("minItems", Value::Array(list)) if (list.len() as u64) < wanted.as_u64().unwrap_or(0) => {
                wrongs.push(format!("{at} has too few"));
            }
            ("maxItems", Value::Array(list)) if wanted.as_u64().unwrap_or(0) < list.len() as u64 => {
                wrongs.push(format!("{at} has too many"));
            }
            (
                "type"
                | "const"
                | "enum"
                | "required"
                | "properties"
                | "additionalProperties"
                | "items"
                | "minItems"
                | "maxItems",
                _,
            ) => {}
            (word, _) => assert!(SILENT.contains(&word), "a word that is not known here: {word}"),
        }
    }
    wrongs
}

fn of_fields(schema: &Value, fields: &Map<String, Value>, at: &str) -> Vec<String> {
    let known = schema["properties"].as_object().into_iter().flatten();
    known
        .filter_map(|(name, schema)| Some((name, schema, fields.get(name)?)))
        .flat_map(|(name, schema, value)| wrong(schema, value, &format!("{at}.{name}")))
        .collect()
}

fn of_others(schema: &Value, fields: &Map<String, Value>, at: &str) -> Vec<String> {
    let known = schema["properties"].as_object();
    let others = fields.iter().filter(|(name, _)| !known.is_some_and(|known| known.contains_key(*name)));
    match &schema["additionalProperties"] {
        Value::Bool(false) => others.map(|(name, _)| format!("{at}.{name} is not in the document")).collect(),
        other => others.flat_map(|(name, value)| wrong(other, value, &format!("{at}.{name}"))).collect(),
    }
}

fn is_of(wanted: &Value, value: &Value) -> bool {
    let one = |name: &str| match name {
        "object" => value.is_object(),
        "array" => value.is_array(),
        "string" => value.is_string(),
        "number" => value.is_number(),
        "integer" => value.is_i64() || value.is_u64(),
        "boolean" => value.is_boolean(),
        "null" => value.is_null(),
        other => panic!("a type that is not known here: {other}"),
    };
    match wanted {
        Value::String(name) => one(name),
        Value::Array(names) => names.iter().filter_map(Value::as_str).any(one),
        _ => false,
    }
}

#[test]
fn what_differs_from_a_shape_is_found() {
    let schema = serde_json::json!({
        "type": "object", "required": ["a"], "additionalProperties": false,
        "properties": { "a": { "type": ["number", "null"] }, "b": { "type": "array", "items": { "enum": ["x"] } } }
    });
    let wrongs = |value: Value| wrong(&schema, &value, "").len();
    assert_eq!(wrongs(serde_json::json!({ "a": 1.5, "b": ["x"] })), 0);
    assert_eq!(wrongs(serde_json::json!({ "a": null })), 0);
    assert_eq!(wrongs(serde_json::json!({})), 1);
    assert_eq!(wrongs(serde_json::json!({ "a": "1", "b": ["y", "z"], "c": 1 })), 4);
    assert_eq!(wrongs(serde_json::json!([])), 1);
}
