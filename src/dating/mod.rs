//! Dates as people write them: the words kept, the years they allow, and the convention that gave them.
//!
//! EDTF is tried first, then the phrases of the trade. Published guides disagree on `circa` and on where a
//! century begins, so the choice is a `Conventions` value and is written beside every date that needed one.

mod calendar;
mod century;
mod clause;
mod convention;
mod doubt;
pub mod edtf;
mod events;
mod interval;
mod period;
mod phrase;
mod span;
#[cfg(test)]
#[cfg(test)]
mod tests;
mod tidy;
mod token;
mod words;

pub use convention::{Beyond, CIRCA_MOST, Choice, Conventions, Cut, Hundreds};
pub use interval::{Interval, year_in_words};

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

/// One thing that happened to a piece: `designed 1912` of `designed 1912, woven 1914`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Event {
    /// What was done, as written; `None` where only the date is written.
    pub verb: Option<String>,
    /// The words of this date alone.
    pub as_written: String,
    /// Its years.
    pub years: Interval,
    /// The same in EDTF, when one fits.
    pub edtf: Option<String>,
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

/// Whether words stand beside a date that say nothing of it: `c. 1815 (worn by an aunt)`.
pub fn says_more(text: &str) -> bool {
    token::tokens(text).iter().any(|token| token.word == words::Word::Other)
}

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
        Dated::with_events(text, conventions).map(|(dated, _)| dated)
    }

    /// Reads a date and each thing that is said to have happened.
    ///
    /// The years of the date are those of the making: from its first clause to the first one that is a making, so that
    /// `designed 1912, woven 1914` is 1912–1914, and `about 1905, altered about 1920` is 1900–1910 with the alteration
    /// as an event of its own and in the remark. Dates of the parts of a piece (`a. 1952, b. 1902`) and lists of dates
    /// count all together.
    ///
    /// ```
    /// use dimity::dating::{Conventions, Dated};
    /// let (made, events) = Dated::with_events("about 1905, altered about 1920", &Conventions::default())?;
    /// assert_eq!((made.earliest, made.latest), (Some(1900), Some(1910)));
    /// assert_eq!((events[1].verb.as_deref(), events[1].years.earliest), (Some("altered"), Some(1915)));
    /// # Ok::<(), dimity::dating::Undatable>(())
    /// ```
    ///
    /// # Errors
    /// As [`Dated::parse`].
    pub fn with_events(text: &str, conventions: &Conventions) -> Result<(Dated, Vec<Event>), Undatable> {
        let written = text.trim();
        let lead = text.len() - text.trim_start().len();
        if written.is_empty() {
            return Err(Undatable { at: 0, why: "nothing is written where a date is wanted".into(), nearest: None });
        }
        let refusal = match edtf::years(written) {
            Ok((earliest, latest)) if !is_span_of_years(written) => {
                let remark = month_or_span(written);
                let edtf = Some(written.to_string());
                let years = Interval::new(earliest, latest);
                let event = Event { verb: None, as_written: written.to_string(), years, edtf: edtf.clone() };
                return Ok((Dated { as_written: written.to_string(), earliest, latest, edtf, remark }, vec![event]));
            }
            Ok(_) => None,
            Err(refusal) => Some(refusal),
        };
        // What is written with the signs of EDTF alone is told what EDTF lacks in it.
        let strict = written.bytes().all(|b| b.is_ascii_digit() || b"-/.XYES?~%[]{},T:Z+".contains(&b));
        phrase::read(written, conventions, refusal.filter(|_| strict))
            .map_err(|refusal| Undatable { at: refusal.at + lead, ..refusal })
    }

    /// Its years, to sort by and to ask for an overlap.
    #[must_use]
    pub fn interval(&self) -> Interval {
        Interval::new(self.earliest, self.latest)
    }
}

/// A year and the two figures behind it: `1798-02`, with or without a mark of doubt.
fn year_and_two(written: &str) -> Option<(i32, i32)> {
    let (year, two) = written.trim_end_matches(['?', '~', '%']).split_once('-')?;
    let figures = |text: &str, n: usize| text.len() == n && text.bytes().all(|b| b.is_ascii_digit());
    (figures(year, 4) && figures(two, 2)).then(|| Some((year.parse().ok()?, two.parse().ok()?))).flatten()
}

/// Whether what could be EDTF is a span of years: EDTF has quarters and halves of a year by 25 to 41 (level 2), and nobody who
/// writes `1820-40` of a garment means the first half of 1820 (common practice, no source).
fn is_span_of_years(written: &str) -> bool {
    year_and_two(written).is_some_and(|(first, two)| (25..=41).contains(&two) && first % 100 < two)
}

/// `1798-02` is February 1798 in EDTF, and `1815-21` its spring; some write them for 1798–1802 and 1815–1821, so the reading is
/// named. From 1900 on a month is the likelier by far (common practice) and nothing is said.
pub fn month_or_span(written: &str) -> Option<String> {
    let (first, end) = year_and_two(written)?;
    let read = match end {
        1..=12 if first < 1900 => format!("month {end}"),
        21..=24 => ["spring", "summer", "autumn", "winter"][usize::try_from(end - 21).ok()?].to_owned(),
        _ => return None,
    };
    let crosses = end <= 12 && first % 100 > 75;
    let last = first - first % 100 + end + if crosses { 100 } else { 0 };
    (last > first).then(|| format!("read as {read} of {first}; for the years write {first}–{last}"))
}
