//! Worked answers: a line of words and figures in, one answer out. Every calculator of `dimity convert` is a
//! function here; the formulas are those of the rooms below, and nothing here reads a file or a clock.

mod answer;
mod cloth;
mod cover;
mod fibre;
mod length;
mod mass;
mod pieces;
mod sett;
mod stitches;
mod twist;
mod yarn;

pub use answer::Answer;

use crate::dating::Conventions;
use crate::measure::Unreadable;

/// One calculator.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Calculator {
    /// A written length, or a record's whole line of dimensions.
    Length,
    /// A yarn number in every system.
    Yarn,
    /// Twist: angle, turns or diameter from the other two.
    Twist,
    /// A thread count in the usual units.
    Sett,
    /// Peirce's cover factor.
    Cover,
    /// Mass of a cloth, or the yarn that a mass implies.
    Mass,
    /// A stitch count in the usual units.
    Stitches,
    /// What is known of a fibre.
    Fibre,
}

impl Calculator {
    /// Works out one line. `conventions` decide how dates are read; the other calculators need none.
    ///
    /// # Errors
    /// [`Unreadable`] says where reading stopped and why, with a proposal where there is one.
    pub fn answer(self, line: &str, _conventions: &Conventions) -> Result<Answer, Unreadable> {
        match self {
            Calculator::Length => length::answer(line),
            Calculator::Yarn => yarn::answer(line),
            Calculator::Twist => twist::answer(line),
            Calculator::Sett => sett::answer(line),
            Calculator::Cover => cover::answer(line),
            Calculator::Mass => mass::answer(line),
            Calculator::Stitches => stitches::answer(line),
            Calculator::Fibre => fibre::answer(line),
        }
    }
}
