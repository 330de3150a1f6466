//! One written quantity: the words kept as they stand, the value they give, and how well it is known.

use super::{
    Kind, Unreadable, reading,
    rounding::{plus_minus, rounded},
};

/// How the writer limited the value.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Bound {
    /// Plainly written: known as finely as it is written.
    #[default]
    Plain,
    /// Written with its own uncertainty after `±`.
    Stated,
    /// Marked as approximate (`c.`, `about`).
    Approximate,
    /// A lower limit (`at least`): the true value may be larger.
    AtLeast,
    /// An upper limit (`up to`): the true value may be smaller.
    AtMost,
    /// Two ends (`12–14 in`): the value is the middle.
    Range,
}

/// A quantity read from what somebody wrote.
///
/// ```
/// use dimity::measure::{Kind, Quantity};
/// let waist = Quantity::parse(Kind::Length, "27 ½ in")?;
/// assert_eq!(waist.as_written, "27 ½ in");
/// assert_eq!(waist.display_si(), "698.5 ± 0.9 mm");
/// # Ok::<(), dimity::measure::Unreadable>(())
/// ```
#[derive(Debug, Clone, PartialEq)]
pub struct Quantity {
    /// The text as written, without the blanks around it.
    pub as_written: String,
    /// The kind; for an extent, the kind that was found.
    pub kind: Kind,
    /// The value in the unit of the kind ([`Kind::unit`]).
    pub value: f64,
    /// Standard uncertainty from the writing alone, in the same unit.
    pub u: f64,
    /// How the writer limited the value.
    pub bound: Bound,
}

impl Quantity {
    /// Reads `text` as a quantity of this kind. A missing unit is refused, never guessed.
    ///
    /// # Errors
    /// [`Unreadable`] names the place, the cause and, where there is one, the nearest reading.
    pub fn parse(kind: Kind, text: &str) -> Result<Quantity, Unreadable> {
        reading::read(kind, text)
    }

    /// The value in SI with its uncertainty, rounded to what the uncertainty supports: `698.5 ± 0.9 mm`.
    /// The result reads back as a quantity of the same kind.
    pub fn display_si(&self) -> String {
        let mark = match self.bound {
            Bound::Plain | Bound::Stated | Bound::Range => "",
            Bound::Approximate => "about ",
            Bound::AtLeast => "at least ",
            Bound::AtMost => "up to ",
        };
        if self.kind == Kind::Scale {
            return format!("{mark}{}", super::scale::print(self.value));
        }
        // Below a millionth of the unit nothing is printed, and nothing that is recorded here is so fine.
        let u = if self.u < 1e-6 { 0.0 } else { self.u };
        let figures = if u > 0.0 { plus_minus(self.value, u) } else { rounded(self.value, u).0 };
        let unit = self.kind.unit();
        if unit.is_empty() { format!("{mark}{figures}") } else { format!("{mark}{figures} {unit}") }
    }
}
