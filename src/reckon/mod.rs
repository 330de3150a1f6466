//! Worked answers: a line of words and figures in, one answer out. Every calculator of `dimity convert` is a
//! function here; the formulas are those of the rooms below, and nothing here reads a file or a clock.

mod answer;
mod length;
mod sum;
#[cfg(test)]
mod tests;

pub use answer::Answer;

use crate::dating::Conventions;
use crate::measure::{Bound, Unreadable};

/// One calculator.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Calculator {
    /// A written length, or a record's whole line of dimensions.
    Length,
    /// Parts against the whole that they make.
    Sum,
}

impl Calculator {
    /// Every calculator.
    pub const ALL: [Calculator; 2] = [Calculator::Length, Calculator::Sum];

    /// Works out one line. `conventions` decide how dates are read; the other calculators need none.
    ///
    /// # Errors
    /// [`Unreadable`] says where reading stopped and why, with a proposal where there is one.
    pub fn answer(self, line: &str, _conventions: &Conventions) -> Result<Answer, Unreadable> {
        match self {
            Calculator::Length => length::answer(line),
            Calculator::Sum => sum::answer(line),
        }
    }
}

/// The word for how a figure is limited.
fn bound(bound: Bound) -> &'static str {
    match bound {
        Bound::Plain => "plain",
        Bound::Stated => "stated",
        Bound::Approximate => "approximate",
        Bound::AtLeast => "at least",
        Bound::AtMost => "at most",
        Bound::Range => "range",
    }
}
