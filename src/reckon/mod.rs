//! Worked answers: a line of words and figures in, one answer out. Every calculator of `dimity convert` is a
//! function here; the formulas are those of the rooms below, and nothing here reads a file or a clock.

mod answer;
mod cloth;
mod colour;
mod cover;
mod date;
mod fibre;
mod help;
mod length;
mod light;
mod mass;
mod pieces;
mod sett;
mod stitches;
mod sum;
mod sun;
#[cfg(test)]
mod tests;
mod twist;
mod yarn;

pub use answer::Answer;
pub use help::Help;

use crate::dating::Conventions;
use crate::measure::{Bound, Unreadable};

/// One calculator.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Calculator {
    /// A written length, or a record's whole line of dimensions.
    Length,
    /// Parts against the whole that they make.
    Sum,
    /// A written colour, or two and the difference between them.
    Colour,
    /// A camera's exposure, a dose of light, or the dew point of air.
    Light,
    /// The sun's height at a place and moment, or its hours on a day.
    Sun,
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
    /// A written date.
    Date,
}

impl Calculator {
    /// Every calculator.
    pub const ALL: [Calculator; 13] = [
        Calculator::Date,
        Calculator::Length,
        Calculator::Sum,
        Calculator::Yarn,
        Calculator::Twist,
        Calculator::Sett,
        Calculator::Cover,
        Calculator::Mass,
        Calculator::Stitches,
        Calculator::Fibre,
        Calculator::Colour,
        Calculator::Light,
        Calculator::Sun,
    ];

    /// Works out one line. `conventions` decide how dates are read; the other calculators need none.
    ///
    /// # Errors
    /// [`Unreadable`] says where reading stopped and why, with a proposal where there is one.
    pub fn answer(self, line: &str, conventions: &Conventions) -> Result<Answer, Unreadable> {
        match self {
            Calculator::Length => length::answer(line),
            Calculator::Sum => sum::answer(line),
            Calculator::Colour => colour::answer(line),
            Calculator::Light => light::answer(line),
            Calculator::Sun => sun::answer(line),
            Calculator::Yarn => yarn::answer(line),
            Calculator::Twist => twist::answer(line),
            Calculator::Sett => sett::answer(line),
            Calculator::Cover => cover::answer(line),
            Calculator::Mass => mass::answer(line),
            Calculator::Stitches => stitches::answer(line),
            Calculator::Fibre => fibre::answer(line),
            Calculator::Date => date::answer(line, conventions),
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
