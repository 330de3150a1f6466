//! What a photograph can show of cloth: pixels to the inch, pixels to the thread, and how fine its detail is.

use super::square::Square;

/// Pixels from thread to thread that are wanted, to see the twist and to count safely: a rule of this house; no guide to
/// photography gives one for dress.
pub const PIXELS_WANTED: f64 = 5.0;
/// Pixels from thread to thread below which threads fold over into another pattern: the sampling limit.
pub const PIXELS_AT_LEAST: f64 = 2.0;

/// How a photograph shows threads of a known sett.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Visible {
    /// At least [`PIXELS_WANTED`] a thread.
    Countable,
    /// Fewer: threads are seen, and may be miscounted.
    Barely,
    /// Fewer than [`PIXELS_AT_LEAST`]: what looks like threads is not.
    Not,
}

impl Visible {
    /// With so many pixels from thread to thread.
    pub fn of(pixels: f64) -> Self {
        if pixels >= PIXELS_WANTED {
            Self::Countable
        } else if pixels >= PIXELS_AT_LEAST {
            Self::Barely
        } else {
            Self::Not
        }
    }

    /// In words, after "its threads are".
    pub fn in_words(self) -> &'static str {
        match self {
            Self::Countable => "shown well enough to count",
            Self::Barely => "seen, but too coarsely to count safely",
            Self::Not => "not shown: what looks like threads is a fold of finer ones",
        }
    }
}

/// Pixels per inch at the object that cloth of so many threads per centimetre needs for so many pixels a thread:
/// 2.54 × pixels × threads.
pub fn pixels_per_inch_wanted(threads_per_cm: f64, pixels: f64) -> f64 {
    2.54 * pixels * threads_per_cm
}

/// The sharpness of a picture as a plain measure: the size, in pixels, of the finest detail it is made of.
///
/// Compares the change of grey over one pixel with that over two. A wave of period P changes by sin²(π/P) and
/// sin²(2π/P), whose ratio is 1/(4 cos²(π/P)); the P that the picture's ratio belongs to is the answer. Neither
/// contrast nor lightness matters. A sharp picture of fine things has 4 to 8, a soft one 15 and more; threads are not
/// resolved where it is larger than a thread. Noise looks like detail of 3 pixels, so a grainy picture is flattered.
/// `None` for a picture too small, or without change.
pub fn detail(grey: &[f32], width: usize, height: usize) -> Option<f64> {
    let square = Square::of(grey, width, height)?.flattened()?;
    let side = square.side;
    let (mut one, mut two) = (0.0, 0.0);
    for y in 0..side - 2 {
        for x in 0..side - 2 {
            let at = |dx: usize, dy: usize| f64::from(square.pixels[(y + dy) * side + x + dx]);
            let here = at(0, 0);
            one += (at(1, 0) - here).powi(2) + (at(0, 1) - here).powi(2);
            two += (at(2, 0) - here).powi(2) + (at(0, 2) - here).powi(2);
        }
    }
    if one <= 0.0 {
        return None;
    }
    let cos = (two / one).sqrt() / 2.0;
    let period = std::f64::consts::PI / cos.clamp(0.0, 1.0 - 1e-9).acos();
    // Longer than the square is no detail at all.
    Some(period.clamp(2.0, side as f64))
}
