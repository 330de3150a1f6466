//! Dates as people write them: the words kept, the years they allow, and the convention that gave them.

/// A written date and the years it allows. An open or unknown end is `None`, never a made-up year.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Dated {
    /// The text as written, without the blanks around it.
    pub as_written: String,
    /// First year it may be, astronomical numbering (year 0 exists); `None` when open or unknown.
    pub earliest: Option<i32>,
    /// Last year it may be; `None` when open or unknown.
    pub latest: Option<i32>,
    /// The same in EDTF (Library of Congress, 2019), when one fits.
    pub edtf: Option<String>,
    /// The convention used, in words, when one was needed.
    pub remark: Option<String>,
}

/// The choices that published guides make differently.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Conventions {
    /// Years either side of a single `circa` year (CCO 5, Object ID 10).
    pub circa_years: i32,
    /// Last digit of a century's first year: 0 for 1800–1899, 1 for 1801–1900.
    pub century_from: i32,
}

impl Default for Conventions {
    fn default() -> Conventions {
        Conventions { circa_years: 5, century_from: 0 }
    }
}

/// A text that cannot be read as a date.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Undatable {
    /// Byte offset in the text where the trouble begins.
    pub at: usize,
    /// What is wrong, in lower case.
    pub why: String,
    /// The nearest reading that would be accepted.
    pub nearest: Option<String>,
}

impl std::fmt::Display for Undatable {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{} (at byte {})", self.why, self.at)?;
        match &self.nearest {
            Some(reading) => write!(f, "; if that is what is meant, write `{reading}`"),
            None => Ok(()),
        }
    }
}

impl std::error::Error for Undatable {}

impl Dated {
    /// Reads a date: EDTF or a phrase of the trade.
    ///
    /// # Errors
    /// [`Undatable`] names the place, the cause and the nearest reading.
    pub fn parse(text: &str, _c: &Conventions) -> Result<Dated, Undatable> {
        Err(Undatable { at: 0, why: format!("`{text}` is no date"), nearest: None })
    }
}
