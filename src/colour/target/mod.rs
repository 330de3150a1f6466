//! A colour target in a photograph: reference values, how far the photograph lies from them, what guidelines say of it,
//! and a correction for readings on that photograph alone. Pure: patches come in as numbers, no picture is opened.
//!
//! Differences are reckoned under D50, for which references are given and guidelines written; readings of cloth are told
//! under D65, the white of sRGB.

mod arrangement;
mod correction;
mod evaluation;
mod guideline;
mod least_squares;
mod reference;
mod written;

pub use arrangement::Grid;
pub use correction::{Correction, Fitted, Unfit};
pub use evaluation::{Evaluation, Judged, NEUTRAL, SCATTERED, percentile};
pub use guideline::{Criterion, Limit, Mark, Rung, Scheme, Verdict};
pub use reference::{Reference, ReferencePatch};
pub use written::Misread;
