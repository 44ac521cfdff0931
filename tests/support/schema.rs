//! An independent validator: the published schemas, held against documents by a crate that knows nothing of this one.

use std::path::Path;

use serde_json::Value;

/// What a schema of `schemas/` has against a document, one line each; nothing means that it is valid.
pub fn objections(schema: &str, document: &Value) -> Vec<String> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("schemas").join(schema);
    let schema: Value = serde_json::from_slice(&std::fs::read(&path).unwrap()).unwrap();
    assert!(jsonschema::meta::is_valid(&schema), "{} is no JSON Schema", path.display());
    let validator = jsonschema::validator_for(&schema).unwrap();
    validator.iter_errors(document).map(|error| format!("{}: {error}", error.instance_path())).collect()
}

/// Panics with every objection.
#[track_caller]
pub fn assert_valid(schema: &str, document: &Value) {
    let objections = objections(schema, document);
    assert!(objections.is_empty(), "{}", objections.join("\n"));
}
