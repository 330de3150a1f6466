//! Dates as people write them: the words kept, the years they allow, and the convention that gave them.
//!
//! EDTF is tried first, then the phrases of the trade. Published guides disagree on `circa` and on where a
//! century begins, so the choice is a `Conventions` value and is written beside every date that needed one.

mod calendar;
mod doubt;
pub mod edtf;
mod period;
mod phrase;
mod span;
#[cfg(test)]
mod tests;

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
        f.write_str(&self.why)?;
        match &self.nearest {
            Some(reading) => write!(f, "; if that is what is meant, write `{reading}`"),
            None => Ok(()),
        }
    }
}

impl std::error::Error for Undatable {}

impl Dated {
    /// Reads a date: EDTF or a phrase of the trade. What says that there is no date gives no years.
    ///
    /// ```
    /// use dimity::dating::{Conventions, Dated};
    /// let made = Dated::parse("c. 1812", &Conventions::default())?;
    /// assert_eq!((made.earliest, made.latest), (Some(1807), Some(1817)));
    /// assert_eq!(made.edtf.as_deref(), Some("1812~"));
    /// # Ok::<(), dimity::dating::Undatable>(())
    /// ```
    ///
    /// # Errors
    /// [`Undatable`] names the place, the cause and, where there is one, the nearest reading.
    pub fn parse(text: &str, conventions: &Conventions) -> Result<Dated, Undatable> {
        let written = text.trim();
        let lead = text.len() - text.trim_start().len();
        if written.is_empty() {
            return Err(Undatable { at: 0, why: "nothing is written where a date is wanted".into(), nearest: None });
        }
        let refusal = match edtf::years(written) {
            Ok((earliest, latest)) => {
                let remark = month_or_span(written);
                let edtf = Some(written.to_string());
                return Ok(Dated { as_written: written.to_string(), earliest, latest, edtf, remark });
            }
            Err(refusal) => refusal,
        };
        // What is written with the signs of EDTF alone is told what EDTF lacks in it.
        let strict = written.bytes().all(|b| b.is_ascii_digit() || b"-/.XYES?~%[]{},T:Z+".contains(&b));
        phrase::read(written, conventions, strict.then_some(refusal))
            .map_err(|refusal| Undatable { at: refusal.at + lead, ..refusal })
    }
}

/// `1798-02` is February 1798 in EDTF; some write it for 1798–1802, so the reading is named. From 1900 on a
/// month is the likelier by far (common practice) and nothing is said.
fn month_or_span(written: &str) -> Option<String> {
    let (year, month) =
        written.split_once('-').filter(|(year, month)| year.len() == 4 && month.len() == 2 && *year < "1900")?;
    let (first, end): (i32, i32) = (year.parse().ok()?, month.parse().ok()?);
    let crosses = (1..=12).contains(&end) && first % 100 > 75;
    let follows = (1..=12).contains(&end) && first % 100 < end;
    let last = first - first % 100 + end + if crosses { 100 } else { 0 };
    (crosses || follows).then(|| format!("read as month {end} of {first}; for the years write {first}–{last}"))
}
