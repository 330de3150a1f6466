//! Flat geometry on a photograph: from pixels to millimetres and back, lengths, angles, outlines with holes, what
//! several outlines cover together. Pure: no IO, no clock, no SQL.
//!
//! Everything here holds in one plane, that of the bar or rectangle from which the scale was taken. Cloth on a body
//! or a mount is not flat, and what lies nearer the camera than the bar reads long.
// Places have coordinates, maps have rows: single letters are their names. Equal means equal here.
#![allow(clippy::many_single_char_names, clippy::float_cmp)]

mod bar;
mod cover;
mod degenerate;
mod homography;
mod outline;
mod parallel;
mod rectangle;
mod scale;
mod solve;

pub use bar::{Bar, above_the_plane};
pub use cover::{area_of_all, area_of_union, area_within};
pub use degenerate::Degenerate;
pub use homography::{Homography, Residual};
pub use outline::{Outline, length, meeting};
pub use parallel::parallel;
pub use rectangle::Rectangle;
pub use scale::{Scale, View};

/// A place: across and down, in pixels of the upright picture or in millimetres of a plane.
pub type Point = (f64, f64);

/// Pointing error of one place in pixels, standard uncertainty in each direction, where none is stated (common
/// practice, no source).
pub const POINTING_PX: f64 = 1.0;

/// Places as they are written: `x,y x,y …`.
pub fn written(places: &[Point]) -> String {
    places.iter().map(|(x, y)| format!("{x},{y}")).collect::<Vec<_>>().join(" ")
}

/// The distance between two places.
pub fn distance(a: Point, b: Point) -> f64 {
    (a.0 - b.0).hypot(a.1 - b.1)
}

/// Twice the signed area of the triangle of three places; positive where they run clockwise on a picture.
pub(crate) fn cross(a: Point, b: Point, c: Point) -> f64 {
    (b.0 - a.0) * (c.1 - a.1) - (b.1 - a.1) * (c.0 - a.0)
}
