//! The JSON Schema (draft 2020-12) of sheets and plans, for editors that complete and explain keys while typing.
//! Leaves out what depends on more than one key: a sheet the schema accepts may still be refused by the reader, a sheet
//! the reader accepts is never refused by the schema.

use serde_json::{Map, Value, json};
use units::{Length, Quantity};

use crate::vocabulary::lobe::ROWS;
use crate::vocabulary::outline::CORNERS;
use crate::vocabulary::{Entry, Form, Missing, Reads, Section, Shape, plan, sheet, swap};

const DRAFT: &str = "https://json-schema.org/draft/2020-12/schema";

/// Schema of `*.build.toml`.
pub fn schema() -> Value {
    document("Headroom build sheet", &sheet::BUILD)
}

/// Schema of `*.swap.toml`.
pub fn swap_schema() -> Value {
    document("Headroom swap sheet", &swap::SWAP)
}

/// Schema of `*.plan.toml`.
pub fn plan_schema() -> Value {
    document("Headroom plan", &plan::PLAN)
}

fn document(title: &str, root: &Section) -> Value {
    let mut schema = table(root);
    if let Value::Object(object) = &mut schema {
        object.insert("$schema".into(), DRAFT.into());
        object.insert("title".into(), title.into());
    }
    schema
}

fn table(section: &Section) -> Value {
    let mut properties = Map::new();
    let mut required: Vec<Value> = Vec::new();
    for entry in section.entries {
        properties.insert(entry.words.key.into(), value(entry));
        // A reading may stand in the common part or in each cylinder's own, so none is asked for in one place.
        let reading = matches!(entry.form, Form::Reading { .. });
        if entry.missing == Missing::Required && !reading {
            required.push(entry.words.key.into());
        }
    }
    for inner in section.sections {
        properties.insert(inner.key.into(), nested(inner));
    }
    let mut object = json!({
        "type": "object",
        "description": capital(section.meaning),
        "properties": properties,
        "additionalProperties": false,
    });
    if !required.is_empty() {
        object["required"] = Value::Array(required);
    }
    object
}

fn nested(section: &Section) -> Value {
    let one = table(section);
    let description = capital(section.meaning);
    match section.shape {
        Shape::Once => one,
        Shape::List => json!({ "type": "array", "description": description, "items": one }),
        Shape::Named => json!({ "type": "object", "description": description, "additionalProperties": one }),
    }
}

fn value(entry: &Entry) -> Value {
    let mut schema = match &entry.form {
        Form::Reading { reads, .. } => json!({ "type": "string", "pattern": pattern(reads) }),
        Form::Limit => limit(),
        Form::Text => json!({ "type": "string", "minLength": 1 }),
        Form::Name => json!({ "type": "string", "pattern": "^[A-Za-z0-9_-]{1,40}$" }),
        Form::Names(known) => {
            json!({ "type": "array", "items": { "enum": known }, "minItems": 1, "uniqueItems": true })
        }
        Form::Count { least, most } if least == most => json!({ "const": least }),
        Form::Count { least, most } => json!({ "type": "integer", "minimum": least, "maximum": most }),
        Form::Flag => json!({ "type": "boolean" }),
        Form::Choice(words) => json!({ "enum": words }),
        Form::LengthUnit => {
            json!({ "enum": spellings(Length::UNITS).collect::<Vec<_>>() })
        }
        Form::Corners => pairs(&CORNERS),
        Form::Rows => pairs(&ROWS),
        Form::Pairs(rows) => pairs(&(rows.least..=rows.most)),
        Form::Numbers => json!({ "type": "array", "minItems": 1, "items": { "type": "number" } }),
        Form::Groups => json!({
            "type": "array",
            "minItems": 1,
            "items": {
                "type": "array",
                "minItems": 1,
                "items": { "type": "integer", "minimum": 1, "maximum": 32 },
            },
        }),
    };
    schema["description"] = description(entry).into();
    if matches!(entry.form, Form::Reading { .. } | Form::Limit | Form::Text | Form::Name) {
        schema["examples"] = json!([entry.words.example]);
    }
    schema
}

fn pairs(count: &std::ops::RangeInclusive<usize>) -> Value {
    json!({
        "type": "array",
        "minItems": count.start(),
        "maxItems": count.end(),
        "items": { "type": "array", "items": { "type": "number" }, "minItems": 2, "maxItems": 2 },
    })
}

fn limit() -> Value {
    let pattern = format!("^\\s*[-+−]?[0-9.].*{}\\s*$", units_of(Length::UNITS));
    json!({
        "oneOf": [
            { "type": "string", "pattern": pattern },
            {
                "type": "object",
                "properties": {
                    "least": { "type": "string", "pattern": pattern },
                    "source": { "type": "string" },
                },
                "required": ["least"],
                "additionalProperties": false,
            },
        ],
    })
}

/// A number first and one of the kind's units somewhere behind it; the reader knows the rest.
fn pattern(reads: &Reads) -> String {
    format!("^\\s*[-+−]?[0-9.].*{}", units_of(reads.units))
}

fn units_of(units: &[units::Unit]) -> String {
    // Typed units are read with raised digits too, in³ for in3.
    let escaped = spellings(units).map(|spelling| {
        let blanks = spelling.replace(' ', "[ ·-]?");
        blanks.replace('3', "\\^?[3³]").replace('2', "\\^?[2²]")
    });
    format!("({})", escaped.collect::<Vec<_>>().join("|"))
}

fn spellings(units: &[units::Unit]) -> impl Iterator<Item = &'static str> {
    units.iter().flat_map(|unit| std::iter::once(unit.symbol).chain(unit.spellings.iter().copied()))
}

fn description(entry: &Entry) -> String {
    let mut text = format!("{}.", capital(entry.words.meaning));
    if !entry.words.measure.is_empty() {
        text.push_str(&format!(" How to measure: {}.", entry.words.measure));
    }
    if let Form::Reading { reads, range, .. } = &entry.form {
        text.push_str(&format!(" Allowed: {}.", range.describe(&reads.metric)));
    }
    if let Some(without) = crate::manual::without(entry) {
        text.push_str(&format!(" Without it: {without}."));
    }
    text
}

pub(crate) fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |first| first.to_uppercase().chain(chars).collect())
}
