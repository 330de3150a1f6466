//! Yarn numbers in every system, with their ply: the resultant, the single, and printing that reads back.

pub use crate::measure::{Estimate, YarnSystem, four_figures};
use crate::measure::{Kind, Quantity, Unreadable, reading::yarn_put};

/// A yarn number as written: `30/2 Ne` is two strands of 30 Ne, a resultant of 15 Ne.
///
/// ```
/// use dimity::textile::yarn::{YarnNumber, YarnSystem};
/// let sewing = YarnNumber::parse("30/2 Ne")?;
/// assert_eq!((sewing.ply, sewing.system), (2, YarnSystem::Cotton));
/// assert!((sewing.in_system(YarnSystem::Cotton) - 15.0).abs() < 1e-12);
/// assert_eq!(sewing.to_string(), "30/2 Ne");
/// # Ok::<(), dimity::measure::Unreadable>(())
/// ```
#[derive(Debug, Clone, PartialEq)]
pub struct YarnNumber {
    /// Resultant tex of the whole yarn, with the uncertainty of the writing.
    pub tex: Estimate,
    /// The system it was written in.
    pub system: YarnSystem,
    /// Strands plied; 1 is a single yarn, or one whose ply was not written.
    pub ply: u32,
}

impl YarnNumber {
    /// Reads `30/2 Ne`, `2/60 Nm`, `20 tex x 2`, `40 den`.
    ///
    /// # Errors
    /// [`Unreadable`] names the place and the cause.
    pub fn parse(text: &str) -> Result<YarnNumber, Unreadable> {
        let quantity = Quantity::parse(Kind::Yarn, text)?;
        Ok(YarnNumber::of(&quantity))
    }

    /// The number that a recorded quantity was written as; its value is kept as recorded.
    pub fn of(quantity: &Quantity) -> YarnNumber {
        let put = yarn_put(&quantity.as_written);
        YarnNumber {
            tex: quantity.into(),
            system: put.map_or(YarnSystem::Tex, |put| put.system),
            ply: put.and_then(|put| u32::try_from(put.ply).ok()).unwrap_or(1),
        }
    }

    /// The resultant number in a system.
    pub fn in_system(&self, system: YarnSystem) -> f64 {
        system.from_tex(self.tex.value)
    }

    /// Tex of one strand, were the strands alike and not shortened by plying.
    pub fn single(&self) -> Estimate {
        self.tex.times(1.0 / f64::from(self.ply.max(1)))
    }
}

/// Prints the number in its own system, the ply after a stroke in a count and after `x` in a direct one.
impl std::fmt::Display for YarnNumber {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let number = four_figures(self.system.from_tex(self.single().value));
        let sign = self.system.sign();
        match (self.ply, self.system.is_direct()) {
            (..=1, _) => write!(f, "{number} {sign}"),
            // A stroke joins whole numbers, of which the smaller is read as the ply; otherwise the factor is written.
            (ply, false) if ply <= 12 && number.parse().is_ok_and(|count: u32| count > ply) => {
                write!(f, "{number}/{ply} {sign}")
            }
            (ply, _) => write!(f, "{number} {sign} x {ply}"),
        }
    }
}

/// Resultant tex of strands plied together: their tex added, and the whole lengthened in mass by the share that plying
/// shortens it (`contraction` 0.05 for 5 %). Plain addition where nothing is known of the contraction.
pub fn resultant(strands: &[Estimate], contraction: f64) -> Estimate {
    let factor = 1.0 / (1.0 - contraction.clamp(0.0, 0.9));
    let sum = strands.iter().map(|tex| tex.value).sum::<f64>() * factor;
    let shares: Vec<f64> = strands.iter().map(|tex| tex.u * factor).collect();
    Estimate::from_shares(sum, &shares)
}
