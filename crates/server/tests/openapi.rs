//! The description of the interface that the types of the screens are made from is the one this server has.

use std::fs;
use std::path::Path;

/// `HEADROOM_WRITE_DOCS=1` writes it; `npm run types` in `web/` then makes the types anew.
#[test]
fn regress_the_committed_description_is_the_one_served() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../web/openapi.json");
    let now = server::openapi_text();
    if std::env::var_os("HEADROOM_WRITE_DOCS").is_some() {
        fs::write(&path, &now).expect("web/ can be written");
    }
    let committed = fs::read_to_string(&path).expect("web/openapi.json is committed");
    assert!(
        committed == now,
        "web/openapi.json is stale: HEADROOM_WRITE_DOCS=1 cargo test -p headroom-server --test openapi"
    );
}

/// Every reference of the description leads somewhere, and every answer but the stream of events has a shape.
#[test]
fn exact_the_description_is_whole() {
    let text = server::openapi_text();
    let described: serde_json::Value = serde_json::from_str(&text).expect("it is JSON");
    let mut references = Vec::new();
    collect(&described, &mut references);
    assert!(references.len() > 100, "only {} references", references.len());
    for reference in references {
        let pointer = reference.strip_prefix('#').expect("references stay within the description");
        assert!(described.pointer(pointer).is_some(), "{reference} leads nowhere");
    }
    let paths = described["paths"].as_object().expect("there are paths");
    for (path, item) in paths {
        for (method, operation) in item.as_object().expect("a path has operations") {
            assert!(
                operation["responses"]["default"].is_object(),
                "{method} {path} does not say how it fails"
            );
        }
    }
}

fn collect(value: &serde_json::Value, references: &mut Vec<String>) {
    match value {
        serde_json::Value::Object(fields) => {
            references.extend(fields.get("$ref").and_then(|reference| reference.as_str()).map(str::to_owned));
            fields.values().for_each(|field| collect(field, references));
        }
        serde_json::Value::Array(items) => items.iter().for_each(|item| collect(item, references)),
        _ => {}
    }
}
