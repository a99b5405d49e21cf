//! The schema knows every key the reader knows.

use serde_json::Value;
use sheet::{Answers, plan_schema, schema, swap_schema};

fn property<'v>(schema: &'v Value, key: &str) -> Option<&'v Value> {
    let table = if schema["type"] == "array" { &schema["items"] } else { schema };
    table["properties"].get(key)
}

#[test]
fn exact_every_reading_has_its_place_description_and_pattern() {
    let schema = schema();
    assert_eq!(schema["$schema"], "https://json-schema.org/draft/2020-12/schema");
    for path in Answers::new("x", 1, 1, 1, 1).known_paths() {
        let keys: Vec<&str> = path.split('.').collect();
        // The name of a valve is no key.
        let mut keys = keys.iter().enumerate().filter(|(idx, _)| !(keys.contains(&"valve") && *idx == 2));
        let at = keys.try_fold(&schema, |schema, (_, key)| property(schema, key));
        let reading = at.unwrap_or_else(|| panic!("{path} is not in the schema"));
        assert_eq!(reading["type"], "string", "{path}");
        assert!(reading["description"].as_str().is_some_and(|text| text.len() > 20), "{path}");
        assert!(reading["pattern"].as_str().is_some_and(|pattern| pattern.starts_with('^')), "{path}");
    }
}

#[test]
fn exact_unknown_keys_are_refused_in_every_table() {
    fn check(schema: &Value, path: &str) {
        if schema["type"] == "object" {
            let more = &schema["additionalProperties"];
            assert!(*more == false || more.is_object(), "{path}");
            check(more, &format!("{path}.NAME"));
        }
        check_inner(schema, path);
    }
    fn check_inner(schema: &Value, path: &str) {
        if let Some(properties) = schema["properties"].as_object() {
            properties.iter().for_each(|(key, inner)| check(inner, &format!("{path}.{key}")));
        }
        if schema["items"].is_object() {
            check(&schema["items"], path);
        }
    }
    check(&schema(), "");
    check(&swap_schema(), "");
    check(&plan_schema(), "");
}
