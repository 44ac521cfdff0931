//! An independent validator: the published schemas, held against documents by a crate that knows nothing of this one.

use std::collections::HashMap;
use std::path::Path;
use std::sync::{Arc, LazyLock, Mutex};

use jsonschema::Validator;
use serde_json::Value;

/// Schemas are built once: some tests ask hundreds of times.
static BUILT: LazyLock<Mutex<HashMap<String, Arc<Validator>>>> = LazyLock::new(Mutex::default);

/// What a schema of `schemas/` has against a document, one line each; nothing means that it is valid.
pub fn objections(schema: &str, document: &Value) -> Vec<String> {
    let known = BUILT.lock().unwrap().get(schema).cloned();
    let validator = known.unwrap_or_else(|| build(schema));
    validator.iter_errors(document).map(|error| format!("{}: {error}", error.instance_path())).collect()
}

fn build(name: &str) -> Arc<Validator> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("schemas").join(name);
    let schema: Value = serde_json::from_slice(&std::fs::read(&path).unwrap()).unwrap();
    assert!(jsonschema::meta::is_valid(&schema), "{} is no JSON Schema", path.display());
    let validator = Arc::new(jsonschema::validator_for(&schema).unwrap());
    BUILT.lock().unwrap().insert(name.to_owned(), Arc::clone(&validator));
    validator
}

/// Panics with every objection.
#[track_caller]
pub fn assert_valid(schema: &str, document: &Value) {
    let objections = objections(schema, document);
    assert!(objections.is_empty(), "{}", objections.join("\n"));
}
