//! Why places give no scale: said with the place, so that it can be pointed at again.

use std::fmt;

use super::Point;

/// Places from which no plane can be worked out.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Degenerate {
    /// Two of the places are the same.
    Equal(Point),
    /// Three of the places lie in one line.
    InLine(Point, Point, Point),
    /// The four corners do not run round the rectangle.
    Crossed,
    /// A length, an error or a place is no usable number.
    Figure(&'static str),
    /// Fewer than four places.
    TooFew(usize),
    /// The places fit no flat rectangle that a camera could see.
    NoView,
}

impl fmt::Display for Degenerate {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let at = |p: &Point| format!("{},{}", p.0, p.1);
        match self {
            Self::Equal(p) => write!(f, "{} is given twice; point at places that lie apart", at(p)),
            Self::InLine(a, b, c) => write!(
                f,
                "{}, {} and {} lie in one line; point at four corners of which no three do",
                at(a),
                at(b),
                at(c)
            ),
            Self::Crossed => {
                f.write_str("the corners do not run round the rectangle; give them in order, one beside the next")
            }
            Self::Figure(what) => write!(f, "{what} must be a number above zero"),
            Self::TooFew(n) => write!(f, "four places are needed, not {n}"),
            Self::NoView => f.write_str("no camera could see a flat rectangle so; look for a corner that is misplaced"),
        }
    }
}

impl std::error::Error for Degenerate {}
