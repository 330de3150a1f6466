//! The refusal of a written quantity: where reading stopped, why, and what may have been meant.

use std::fmt;

/// A text that cannot be read as a quantity. Nothing is guessed: `nearest` is a proposal for the writer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unreadable {
    /// Byte offset in the text where the trouble begins.
    pub at: usize,
    /// What is wrong, in lower case.
    pub why: String,
    /// The nearest reading that would be accepted, such as `27 1/2 in`.
    pub nearest: Option<String>,
}

impl Unreadable {
    pub(crate) fn new(at: usize, why: impl Into<String>) -> Unreadable {
        Unreadable { at, why: why.into(), nearest: None }
    }

    pub(crate) fn nearest(mut self, reading: impl Into<String>) -> Unreadable {
        self.nearest = Some(reading.into());
        self
    }
}

impl fmt::Display for Unreadable {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.why)?;
        match &self.nearest {
            Some(reading) => write!(f, "; if that is what is meant, write `{reading}`"),
            None => Ok(()),
        }
    }
}

impl std::error::Error for Unreadable {}
