//! One answer, for a reader and for a program.

use serde_json::{Map, Value};

/// One worked answer.
#[derive(Debug, Clone, PartialEq)]
pub struct Answer {
    /// The answer in one line, for a person.
    pub text: String,
    /// The same as named values; the name ends in the unit (`mm`, `u_mm`) where there is one.
    pub fields: Map<String, Value>,
}

impl Answer {
    /// An answer that reads `text` and has no values yet.
    pub(super) fn new(text: impl Into<String>) -> Answer {
        Answer { text: text.into(), fields: Map::new() }
    }

    /// The same answer with one value more. What is not finite is left out: JSON has no such number.
    pub(super) fn with(mut self, name: &str, value: impl Into<Value>) -> Answer {
        self.fields.insert(name.into(), value.into());
        self
    }
}
