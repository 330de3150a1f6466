//! The grey pixels of a part of an original, for those who measure in photographs. Nothing is written.

use image::imageops;

use super::Store;
use super::fault::IngestFault;

/// Grey pixels, row by row from the top left, 0 to 255.
#[derive(Debug, Clone, PartialEq)]
pub struct Grey {
    /// The pixels.
    pub pixels: Vec<f32>,
    /// Pixels in a row.
    pub width: usize,
    /// Rows.
    pub height: usize,
}

/// A rectangle in pixels of the upright picture.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Rectangle {
    /// Pixels left of it.
    pub x: u32,
    /// Pixels above it.
    pub y: u32,
    /// Its width.
    pub width: u32,
    /// Its height.
    pub height: u32,
}

impl Store {
    /// The grey pixels of a rectangle of an original at full size and upright. What lies outside the picture is left
    /// out; `None` if all of it does.
    ///
    /// # Errors
    /// If the original is missing, changed, damaged, or of a kind unknown.
    pub fn grey(&self, sha: &str, ext: &str, wanted: Rectangle) -> Result<Option<Grey>, IngestFault> {
        let picture = self.pixels(sha, ext)?;
        let part = imageops::crop_imm(&picture, wanted.x, wanted.y, wanted.width, wanted.height).to_image();
        let part = imageops::grayscale(&part);
        let (width, height) = (part.width() as usize, part.height() as usize);
        let pixels = part.into_raw().into_iter().map(f32::from).collect();
        Ok((width > 0 && height > 0).then_some(Grey { pixels, width, height }))
    }
}
