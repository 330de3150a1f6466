//! What the program says: lines out, failures in words.

use std::borrow::Cow;
use std::io::Write;
use std::sync::{Mutex, PoisonError};

use indicatif::{ProgressBar, ProgressStyle};

use crate::catalogue::{Fault, Finding};
use crate::exchange::csv;
use crate::printing::NotPrinted;
use crate::safekeeping::Watch;
pub use crate::words::count;

/// Standard output, which may be closed early by the reader without that being an error of ours.
#[derive(Debug, Default)]
pub struct Out {
    closed: bool,
}

impl Out {
    /// Prints one line, without what a terminal would obey.
    pub fn line(&mut self, text: impl AsRef<str>) {
        self.as_it_is(&obeyed_by_none(text.as_ref()));
    }

    fn as_it_is(&mut self, text: &str) {
        if !self.closed {
            self.closed = writeln!(std::io::stdout().lock(), "{text}").is_err();
        }
    }

    /// Prints a value as one line of JSON.
    pub fn json(&mut self, value: &impl serde::Serialize) {
        self.line(serde_json::to_string(value).unwrap_or_else(|e| format!("{{\"error\":\"{e}\"}}")));
    }

    /// Prints a table as CSV: headings, then rows.
    pub fn csv<H: AsRef<[u8]>>(&mut self, headings: &[H], rows: &[Vec<String>]) -> Result<(), Failure> {
        self.as_it_is(csv(headings, rows)?.trim_end());
        Ok(())
    }

    /// Prints what a check found, each with its mend.
    pub fn findings(&mut self, findings: &[Finding]) {
        for finding in findings {
            self.line(format!("{}\n    mend: {}", finding.what, finding.mend));
        }
    }
}

/// Text without what a terminal would obey: control characters but line ends and tabs, those from U+0080 to U+009F among
/// them, and the signs that turn the direction of writing round (UAX #9: embeddings, overrides, isolates). Names of files and
/// texts of a document are whatever somebody wrote. Each is shown as `\u009b`, which means the same sign in JSON and TOML.
fn obeyed_by_none(text: &str) -> Cow<'_, str> {
    use std::fmt::Write as _;
    let turns = |c: char| matches!(c, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}');
    let obeyed = |c: char| c.is_control() && !matches!(c, '\n' | '\r' | '\t') || turns(c);
    if !text.contains(obeyed) {
        return text.into();
    }
    text.chars()
        .fold(String::with_capacity(text.len() + 8), |mut shown, c| {
            if obeyed(c) {
                let _ = write!(shown, "\\u{:04x}", u32::from(c));
            } else {
                shown.push(c);
            }
            shown
        })
        .into()
}

/// Why a command did not do what was asked, in as many lines as it takes.
#[derive(Debug)]
pub struct Failure(Vec<String>);

impl Failure {
    /// A failure in several lines.
    pub fn lines(lines: Vec<String>) -> Self {
        Self(lines)
    }

    /// What a sheet was refused with, a text each, to be put behind a name.
    pub fn of_sheet(refused: Vec<String>) -> Self {
        Self(refused.into_iter().map(|line| format!("dimity:{line}")).collect())
    }

    /// Shows it on standard error.
    pub fn show(&self) {
        let mut err = std::io::stderr().lock();
        for line in &self.0 {
            let _ = writeln!(err, "{}", obeyed_by_none(line));
        }
    }
}

impl From<String> for Failure {
    fn from(text: String) -> Self {
        Self(vec![format!("dimity: {text}")])
    }
}

impl From<&str> for Failure {
    fn from(text: &str) -> Self {
        text.to_owned().into()
    }
}

impl From<Fault> for Failure {
    fn from(fault: Fault) -> Self {
        fault.to_string().into()
    }
}

impl From<NotPrinted> for Failure {
    fn from(not: NotPrinted) -> Self {
        not.to_string().into()
    }
}

/// A failure that counts what was found, unless nothing was.
pub fn all_well(findings: &[Finding]) -> Result<(), Failure> {
    if findings.is_empty() { Ok(()) } else { Err(format!("{} above", count(findings.len(), "finding")).into()) }
}

/// A day as it is typed: `2024-05-01`.
pub fn day(text: &str) -> Result<jiff::civil::Date, String> {
    text.trim().parse().map_err(|_| format!("`{text}` is no day; write year, month and day, as in 2024-05-01"))
}

/// A bar on standard error, where that is a terminal; `what` is counted.
pub fn progress(length: usize, what: &str) -> ProgressBar {
    let style = ProgressStyle::with_template(&format!("{{bar:30}} {{pos}}/{{len}} {what}, {{eta}} to go"));
    let bar = ProgressBar::new(length as u64);
    style.map_or(bar.clone(), |style| bar.with_style(style))
}

/// The same for work in several parts, each with a bar of its own.
#[derive(Debug, Default)]
pub struct Bar(Mutex<Option<ProgressBar>>);

impl Bar {
    /// Takes the bar away.
    pub fn finish(&self) {
        if let Some(bar) = self.0.lock().unwrap_or_else(PoisonError::into_inner).take() {
            bar.finish_and_clear();
        }
    }
}

impl Watch for Bar {
    fn begin(&self, what: &str, of: u64) {
        self.finish();
        *self.0.lock().unwrap_or_else(PoisonError::into_inner) = Some(progress(of as usize, what));
    }
    fn more(&self, n: u64) {
        if let Some(bar) = &*self.0.lock().unwrap_or_else(PoisonError::into_inner) {
            bar.inc(n);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::obeyed_by_none;

    #[test]
    fn what_a_terminal_would_obey_is_shown_and_means_the_same_in_json() {
        let plain = "a line\n\tof it\r, café, עברית, 衣服 — ’";
        assert_eq!(obeyed_by_none(plain), plain);
        for (sign, shown) in [
            ('\u{1b}', "\\u001b"),
            ('\u{7f}', "\\u007f"),
            ('\u{80}', "\\u0080"),
            ('\u{9b}', "\\u009b"),
            ('\u{9f}', "\\u009f"),
            ('\u{202e}', "\\u202e"),
            ('\u{2066}', "\\u2066"),
        ] {
            let text = format!("a{sign}b");
            assert_eq!(obeyed_by_none(&text), format!("a{shown}b"));
            let json = serde_json::to_string(&text).expect("written");
            let read: String = serde_json::from_str(&obeyed_by_none(&json)).expect("still JSON");
            assert_eq!(read, text);
        }
    }
}
