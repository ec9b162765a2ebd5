//! Reading a JSON object field by field, so that a misfit is named by its path in plain words.

use serde_json::Value;

/// A field's path and what is wrong with it.
pub(super) type Fault = String;

/// One JSON object and the path to it.
#[derive(Clone, Copy)]
pub(super) struct Fields<'a> {
    value: &'a Value,
    path: &'a str,
}

impl<'a> Fields<'a> {
    /// Refuses what is not an object.
    pub(super) fn of(value: &'a Value, path: &'a str) -> Result<Self, Fault> {
        if value.is_object() {
            Ok(Self { value, path })
        } else {
            let what = if path.is_empty() {
                "the statement".to_owned()
            } else {
                format!("`{path}`")
            };
            Err(format!("{what} is {} where an object is due", kind(value)))
        }
    }

    /// The object itself.
    pub(super) fn value(&self) -> &'a Value {
        self.value
    }

    fn name(&self, key: &str) -> String {
        if self.path.is_empty() {
            key.to_owned()
        } else {
            format!("{}.{key}", self.path)
        }
    }

    pub(super) fn get(&self, key: &str) -> Option<&'a Value> {
        self.value.get(key)
    }

    fn due<T>(&self, key: &str, due: &str, found: &Value) -> Result<T, Fault> {
        Err(format!("`{}` is {} where {due} is due", self.name(key), kind(found)))
    }

    fn must<T>(&self, key: &str, value: Option<T>) -> Result<T, Fault> {
        value.ok_or_else(|| format!("`{}` is missing", self.name(key)))
    }

    /// An object below this one, if there is one. `path` is its full path.
    pub(super) fn object(&self, key: &str, path: &'a str) -> Result<Option<Self>, Fault> {
        self.get(key).map(|value| Self::of(value, path)).transpose()
    }

    pub(super) fn must_object(&self, key: &str, path: &'a str) -> Result<Self, Fault> {
        let object = self.object(key, path)?;
        self.must(key, object)
    }

    pub(super) fn text(&self, key: &str) -> Result<Option<&'a str>, Fault> {
        match self.get(key) {
            None => Ok(None),
            Some(Value::String(text)) => Ok(Some(text)),
            Some(found) => self.due(key, "text", found),
        }
    }

    pub(super) fn must_text(&self, key: &str) -> Result<&'a str, Fault> {
        let text = self.text(key)?;
        self.must(key, text)
    }

    pub(super) fn truth(&self, key: &str) -> Result<Option<bool>, Fault> {
        match self.get(key) {
            None => Ok(None),
            Some(Value::Bool(truth)) => Ok(Some(*truth)),
            Some(found) => self.due(key, "true or false", found),
        }
    }

    pub(super) fn number(&self, key: &str) -> Result<Option<f64>, Fault> {
        match self.get(key) {
            None => Ok(None),
            Some(found) => match found.as_f64() {
                Some(number) => Ok(Some(number)),
                None => self.due(key, "a number", found),
            },
        }
    }

    /// A whole number from 0 to 2^32 − 1.
    pub(super) fn whole(&self, key: &str) -> Result<Option<u32>, Fault> {
        match self.get(key) {
            None => Ok(None),
            Some(found) => match found.as_u64().and_then(|whole| u32::try_from(whole).ok()) {
                Some(whole) => Ok(Some(whole)),
                None => self.due(key, "a whole number, 0 or more,", found),
            },
        }
    }

    pub(super) fn must_whole(&self, key: &str) -> Result<u32, Fault> {
        let whole = self.whole(key)?;
        self.must(key, whole)
    }
}

/// A list of texts. `what` names it.
pub(super) fn texts<'a>(value: Option<&'a Value>, what: &str) -> Result<Vec<&'a str>, Fault> {
    value
        .and_then(Value::as_array)
        .and_then(|list| list.iter().map(Value::as_str).collect())
        .ok_or_else(|| format!("{what} must be a list of texts"))
}

fn kind(value: &Value) -> String {
    match value {
        Value::Null => "null".to_owned(),
        Value::Bool(truth) => truth.to_string(),
        Value::Number(number) => format!("the number {number}"),
        Value::String(_) => "text".to_owned(),
        Value::Array(_) => "a list".to_owned(),
        Value::Object(_) => "an object".to_owned(),
    }
}
