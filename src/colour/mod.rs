//! Colour: CIELAB, sRGB and XYZ, differences, the grey scale, and words for a change. Pure: no IO, no clock.
//!
//! Every figure here speaks of readings that are alike in illuminant, observer and geometry. Readings taken otherwise
//! may be converted, never compared.

mod difference;
mod grey_scale;
mod lab;
mod matrix;
mod srgb;
mod tally;
pub mod target;
mod words;
mod written;

pub use difference::{
    Application, Spread, cie76, cie94, ciede2000, ciede2000_even, ciede2000_spread, cmc, hue_difference,
};
pub use grey_scale::{Grade, GreyScale, change_in_colour, staining};
pub use lab::{Lab, Lch, White, Xyz};
pub use srgb::{Light, Srgb, Unprintable};
pub use tally::{Swatch, Tally};
pub use words::{CLEAR, Change, GREY, HUES, MARKED, SEEN, Seen, change};
pub use written::{Pair, Written};

/// What to print beside every grade and difference that does not come from a laboratory.
pub const CAUTION: &str = "An indication: the grey scale asks for a spectrophotometer, illuminant D65 and the 10° \
     observer; a hand-held reading or a photograph only points to it.";
