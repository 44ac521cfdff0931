//! Reads the properties of a JSON document one by one, and names the one that is at fault.

use serde::de::DeserializeOwned;
use serde_json::Value;
use thiserror::Error;

/// A property that is not as it must be.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("{field}: {what}")]
pub struct FieldError {
    /// Where it stands, such as `schema.fields[2].type`, counted from 0; "the file" where it is no JSON object at all.
    pub field: String,
    /// What is wrong with it, in plain words.
    pub what: String,
}

/// A property of a document, which may be missing.
#[derive(Debug, Clone)]
pub struct Property<'a> {
    value: Option<&'a Value>,
    path: String,
}

impl<'a> Property<'a> {
    /// The document itself.
    pub const fn document(value: &'a Value) -> Self {
        Self { value: Some(value), path: String::new() }
    }

    /// A property of this one; a property that is `null` counts as missing.
    pub fn get(&self, name: &str) -> Self {
        let value = self.value.and_then(|value| value.get(name)).filter(|value| !value.is_null());
        let path = if self.path.is_empty() { name.to_owned() } else { format!("{}.{name}", self.path) };
        Self { value, path }
    }

    /// Whether it is there.
    pub const fn is_there(&self) -> bool {
        self.value.is_some()
    }

    /// What is wrong with it.
    pub fn wrong(&self, what: impl Into<String>) -> FieldError {
        let field = if self.path.is_empty() { "the file".to_owned() } else { self.path.clone() };
        FieldError { field, what: what.into() }
    }

    /// It must be an object, or missing.
    pub fn object(self) -> Result<Self, FieldError> {
        match self.value {
            Some(value) if !value.is_object() => Err(self.wrong("must be a JSON object, in braces")),
            _ => Ok(self),
        }
    }

    /// Its items, where it is a list; none where it is missing.
    pub fn items(&self) -> Result<Vec<Self>, FieldError> {
        let Some(value) = self.value else { return Ok(Vec::new()) };
        let items = value.as_array().ok_or_else(|| self.wrong("must be a list, in square brackets"))?;
        let item = |(index, value)| Self { value: Some(value), path: format!("{}[{index}]", self.path) };
        Ok(items.iter().enumerate().map(item).collect())
    }

    /// Its value; `None` where it is missing. `what` says what it must be.
    pub fn read<T: DeserializeOwned>(&self, what: &str) -> Result<Option<T>, FieldError> {
        let Some(value) = self.value else { return Ok(None) };
        T::deserialize(value).map(Some).map_err(|_| self.wrong(format!("must be {what}, and is {}", shown(value))))
    }

    /// A text.
    pub fn text(&self) -> Result<Option<String>, FieldError> {
        self.read("a text")
    }

    /// A single character.
    pub fn letter(&self) -> Result<Option<char>, FieldError> {
        self.read("one character")
    }
}

/// A value for quoting, cut where it is long.
fn shown(value: &Value) -> String {
    let text = value.to_string();
    text.char_indices().nth(40).map_or_else(|| text.clone(), |(at, _)| text.chars().take(at).collect::<String>() + "…")
}
