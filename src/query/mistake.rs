//! A query that cannot be read: the place, the cause, the mend.

use std::fmt;
use std::ops::Range;

/// Why a query cannot be read.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize)]
pub struct Mistake {
    /// The query as written.
    pub text: String,
    /// The place in it, in bytes.
    pub span: Range<usize>,
    /// What is wrong, in lower case.
    pub why: String,
    /// What to write instead, likeliest first; may be empty.
    pub nearest: Vec<String>,
    /// What to do, where a nearest word does not say it.
    pub mend: Option<String>,
}

impl Mistake {
    pub(super) fn new(span: Range<usize>, why: impl Into<String>) -> Self {
        Self { text: String::new(), span, why: why.into(), nearest: Vec::new(), mend: None }
    }

    pub(super) fn nearest(mut self, words: impl IntoIterator<Item = String>) -> Self {
        self.nearest.extend(words);
        self
    }

    pub(super) fn mend(mut self, mend: impl Into<String>) -> Self {
        self.mend = Some(mend.into());
        self
    }

    /// Cause and mend in one line, without the place.
    pub fn sentence(&self) -> String {
        let meant = match self.nearest.as_slice() {
            [] => String::new(),
            [one] => format!("; did you mean `{one}`?"),
            [first @ .., last] => {
                let first: Vec<String> = first.iter().map(|w| format!("`{w}`")).collect();
                format!("; did you mean {} or `{last}`?", first.join(", "))
            }
        };
        let mend = self.mend.as_ref().map(|mend| format!("; {mend}")).unwrap_or_default();
        format!("{}{meant}{mend}", self.why)
    }
}

/// The query, a mark under the place, and the sentence.
impl fmt::Display for Mistake {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        // One line, whatever was written.
        let shown = |text: &str| text.chars().map(|c| if c.is_control() { ' ' } else { c }).collect::<String>();
        let before = self.text.get(..self.span.start).map_or(0, |t| t.chars().count());
        let marked = self.text.get(self.span.clone()).map_or(0, |t| t.chars().count()).max(1);
        write!(f, "this search cannot be read\n  {}\n  ", shown(&self.text))?;
        write!(f, "{}{}\n{}", " ".repeat(before), "^".repeat(marked), self.sentence())
    }
}

impl std::error::Error for Mistake {}
