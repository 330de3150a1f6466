//! Worked answers: a line of words and figures in, one answer out. Every calculator of `dimity convert` is a
//! function here; the formulas are those of the rooms below, and nothing here reads a file or a clock.

mod answer;
mod date;
mod length;

pub use answer::Answer;

use crate::dating::Conventions;
use crate::measure::Unreadable;

/// One calculator.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Calculator {
    /// A written length, or a record's whole line of dimensions.
    Length,
    /// A written date.
    Date,
}

impl Calculator {
    /// Works out one line. `conventions` decide how dates are read; the other calculators need none.
    ///
    /// # Errors
    /// [`Unreadable`] says where reading stopped and why, with a proposal where there is one.
    pub fn answer(self, line: &str, conventions: &Conventions) -> Result<Answer, Unreadable> {
        match self {
            Calculator::Length => length::answer(line),
            Calculator::Date => date::answer(line, conventions),
        }
    }
}
