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
        let inside = |at: u32, size: u32, most: u32| size.min(most.saturating_sub(at));
        let (width, height) =
            (inside(wanted.x, wanted.width, picture.width()), inside(wanted.y, wanted.height, picture.height()));
        if width == 0 || height == 0 {
            return Ok(None);
        }
        let part = imageops::grayscale(&imageops::crop_imm(&picture, wanted.x, wanted.y, width, height).to_image());
        let pixels = part.into_raw().into_iter().map(f32::from).collect();
        Ok(Some(Grey { pixels, width: width as usize, height: height as usize }))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_rectangle_of_the_picture_comes_back_in_grey() {
        let folder = tempfile::tempdir().expect("a folder");
        let store = Store::at(folder.path());
        let path = folder.path().join("one.png");
        // 0 1 2 3 over 4 5 6 7, in tens.
        image::GrayImage::from_fn(4, 2, |x, y| [(10 * (x + 4 * y)) as u8].into()).save(&path).expect("saved");
        let sha = store.ingest(&path).expect("taken in").sha256;
        let read = |(x, y, width, height)| {
            let wanted = Rectangle { x, y, width, height };
            store.grey(&sha, "png", wanted).expect("read").map(|g| (g.width, g.height, g.pixels))
        };
        assert_eq!(read((1, 0, 2, 2)), Some((2, 2, vec![10.0, 20.0, 50.0, 60.0])));
        assert_eq!(read((3, 1, 9, 9)), Some((1, 1, vec![70.0])));
        assert_eq!(read((4, 0, 2, 2)), None);
        let one = Rectangle { x: 0, y: 0, width: 1, height: 1 };
        assert!(matches!(store.grey(&"cd".repeat(32), "png", one), Err(IngestFault::NotFound(_))));
        std::fs::write(store.original(&sha, "png"), b"no picture").expect("written");
        assert!(store.grey(&sha, "png", one).is_err(), "other bytes than were stored are not measured in");
    }
}
