//! Threads counted in a macro photograph: ends and picks per centimetre from the Fourier spectrum of a square of cloth,
//! and what a photograph can show of cloth at all. Pure: grey pixels and a scale in, figures or an honest "cannot
//! tell" out.
//!
//! The way of it: the fall of light is divided out (`square`), the spectrum is taken and its peaks found (`spectrum`),
//! every pair of about perpendicular waves is weighed as the two sets of threads of a weave (`weave`), and the best is
//! taken only if no other could be meant (`reading`).
//!
//! What it cannot know: which set is the warp; and whether the picture itself lies. Threads finer than two pixels can
//! fold over into a coarser pattern (moiré), and a stripe of alternating yarns can pass for a thread twice as wide.
//! So a count is offered to be confirmed by eye, never taken.
//!
//! On drawn cloth from 4 pixels a thread up (plain, twills 2/1 and 2/2, satins of 5 and 8; `tests/threads.rs`) every answer
//! lies within 2 %; about one in fourteen plain weaves and twills is not answered, one in fifteen satins of 5, one in six of 8.
//! Below 3 pixels hardly anything is answered, but about one satin of 8 in 200 at 2 pixels a thread passed for a coarse plain
//! weave: look at the cloth. Baskets, herringbones, stripes, checks and napped cloth have not been tried.

mod reading;
mod sampling;
mod scale;
mod spectrum;
mod square;
#[cfg(test)]
mod tests;
mod weave;

pub use sampling::{PIXELS_AT_LEAST, PIXELS_WANTED, Visible, detail, pixels_per_inch_wanted};
pub use scale::Scale;
pub use square::SMALLEST_SIDE;

use spectrum::{Wave, length};
use square::Square;

/// The fewest threads across the square in either direction.
pub const FEWEST_THREADS: f64 = 10.0;
/// The fewest pixels a thread may take. Below it a count may be right, but a fold of finer threads looks the same.
pub const FEWEST_PIXELS: f64 = 3.0;

/// One of the two sets of threads.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
pub struct Threads {
    /// Threads per centimetre.
    pub per_cm: f64,
    /// Standard uncertainty of `per_cm`: the scatter between the quarters of the square, and the scale.
    pub u: f64,
    /// Pixels from thread to thread.
    pub pixels: f64,
    /// Which way the threads run, in degrees clockwise from straight up: above -45 to 45 for threads that run up, 45 to
    /// 135 for threads that run across.
    pub direction: f64,
}

/// The counts of a square.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
pub struct Count {
    /// The threads that run more nearly up and down the picture.
    pub up: Threads,
    /// The threads that run more nearly across it.
    pub across: Threads,
    /// Threads in a repeat of the interlacing, as far as the spectrum tells: 2 in plain weave, 3 or 4 in common twills.
    pub repeat: u32,
    /// How clearly this reading stands out, 0 to 1: from how much it explains and how far the next best lies behind.
    pub confidence: f64,
}

impl Count {
    /// The confidence in words: `clear` from 0.75 on, else `fair`. Less than fair is not answered at all.
    pub fn in_words(&self) -> &'static str {
        if self.confidence >= 0.75 { "clear" } else { "fair" }
    }
}

/// Why a square gives no count.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, thiserror::Error)]
pub enum CannotTell {
    /// The square is no square of pixels, or smaller than [`SMALLEST_SIDE`].
    #[error("the square is smaller than {SMALLEST_SIDE} pixels; choose a larger one")]
    TooSmall,
    /// All pixels are alike.
    #[error("the square is all of one grey")]
    NothingToSee,
    /// Nothing repeats.
    #[error("nothing in the square repeats above its noise; choose a flat, sharp part, or photograph nearer")]
    NoPeaks,
    /// Something repeats in two directions, but does not interlace.
    #[error(
        "what repeats does not show how the threads cross, so threads cannot be told from their diagonals; photograph nearer"
    )]
    NoInterlacing,
    /// Fewer than [`FEWEST_THREADS`] across.
    #[error("fewer than {FEWEST_THREADS} threads lie across the square; choose a larger one")]
    TooFewThreads,
    /// Less than [`FEWEST_PIXELS`] a thread.
    #[error("a thread takes fewer than {FEWEST_PIXELS} pixels, too few to be sure of; photograph nearer")]
    TooFewPixels,
    /// Two readings are about as good.
    #[error("the pattern can be read in more than one way; photograph nearer, in raking light, or count by eye")]
    Ambiguous,
}

/// Counts the threads in the largest square in the middle of a picture of grey pixels, row by row from the top left.
/// Any unit of grey will do, and pixels that are no number count as black.
///
/// Warp and weft must lie within 6.5° of square to each other; at least [`FEWEST_THREADS`] of each must lie in the square,
/// and each take at least [`FEWEST_PIXELS`].
///
/// # Errors
/// The reason why nothing can be told.
///
/// ```
/// use dimity_pixels::threads::{CannotTell, Scale, count};
/// let grey = vec![0.5; 100 * 100];
/// let scale = Scale { px_per_mm: 12.0, u: 0.3 };
/// assert_eq!(count(&grey, 100, 100, scale), Err(CannotTell::NothingToSee));
/// ```
pub fn count(grey: &[f32], width: usize, height: usize, scale: Scale) -> Result<Count, CannotTell> {
    let square = Square::of(grey, width, height).ok_or(CannotTell::TooSmall)?;
    let found = reading::found(&square)?;
    let threads = |i: usize| {
        let size = length(found.waves[i]);
        let per_cm = size * scale.px_per_mm * 10.0;
        let u = per_cm * found.u[i].hypot(scale.u / scale.px_per_mm);
        Threads { per_cm, u, pixels: 1.0 / size, direction: running(found.waves[i]) }
    };
    let (a, b) = (threads(0), threads(1));
    let (up, across) = if a.direction.abs() < b.direction.abs() { (a, b) } else { (b, a) };
    let across = Threads { direction: across.direction.rem_euclid(180.0), ..across };
    Ok(Count { up, across, repeat: found.repeat, confidence: found.confidence })
}

/// Threads run square to their wave: degrees clockwise from straight up, above -90 to 90.
fn running(wave: Wave) -> f64 {
    let angle = wave[1].atan2(wave[0]).to_degrees().rem_euclid(180.0);
    if angle > 90.0 { angle - 180.0 } else { angle }
}
