//! The grey pixels of a part of an original, for those who measure in photographs. Nothing is written.

use image::metadata::Orientation;
use image::{DynamicImage, imageops};

use super::container::Kind;
use super::derived::decode;
use super::fault::IngestFault;
use super::{Store, container};

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
    /// The grey pixels of a rectangle of an original at full size, turned upright as its EXIF `orientation` (1 to 8)
    /// says. What lies outside the picture is left out; `None` if all of it does. The greys are those stored, with no
    /// regard to a colour profile.
    ///
    /// # Errors
    /// If the original is missing, damaged, or of a kind unknown.
    pub fn grey(&self, sha: &str, ext: &str, orientation: u8, wanted: Rectangle) -> Result<Option<Grey>, IngestFault> {
        let path = self.original(sha, ext);
        let bytes = std::fs::read(&path).map_err(|_| IngestFault::NotFound(path.clone()))?;
        let kind = Kind::of(&bytes).ok_or_else(|| container::stranger(&path, &bytes))?;
        let mut grey = DynamicImage::ImageLuma8(decode(kind, &bytes, &path, u32::MAX)?.pixels.into_luma8());
        if let Some(turn) = Orientation::from_exif(orientation) {
            grey.apply_orientation(turn);
        }
        let grey = grey.into_luma8();
        let part = imageops::crop_imm(&grey, wanted.x, wanted.y, wanted.width, wanted.height).to_image();
        let (width, height) = (part.width() as usize, part.height() as usize);
        let pixels = part.into_raw().into_iter().map(f32::from).collect();
        Ok((width > 0 && height > 0).then_some(Grey { pixels, width, height }))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Orientation 6 is shown turned a quarter clockwise (Exif 2.32, tag 274).
    #[test]
    fn a_rectangle_of_the_upright_picture_comes_back_in_grey() {
        let folder = tempfile::tempdir().expect("a folder");
        let store = Store::at(folder.path());
        let sha = "ab".repeat(32);
        let path = store.original(&sha, "png");
        std::fs::create_dir_all(path.parent().expect("a parent")).expect("made");
        // 0 1 2 3 over 4 5 6 7, in tens; upright it is 40 0 / 50 10 / 60 20 / 70 30.
        image::GrayImage::from_fn(4, 2, |x, y| [(10 * (x + 4 * y)) as u8].into()).save(&path).expect("saved");
        let read = |orientation, (x, y, width, height)| {
            let wanted = Rectangle { x, y, width, height };
            store.grey(&sha, "png", orientation, wanted).expect("read").map(|g| (g.width, g.height, g.pixels))
        };
        assert_eq!(read(1, (1, 0, 2, 2)), Some((2, 2, vec![10.0, 20.0, 50.0, 60.0])));
        assert_eq!(read(6, (0, 1, 2, 2)), Some((2, 2, vec![50.0, 10.0, 60.0, 20.0])));
        assert_eq!(read(6, (1, 3, 9, 9)), Some((1, 1, vec![30.0])));
        assert_eq!(read(1, (4, 0, 2, 2)), None);
        let missing = store.grey(&"cd".repeat(32), "png", 1, Rectangle { x: 0, y: 0, width: 1, height: 1 });
        assert!(matches!(missing, Err(IngestFault::NotFound(_))), "{missing:?}");
        std::fs::write(&path, b"no picture").expect("written");
        assert!(store.grey(&sha, "png", 1, Rectangle { x: 0, y: 0, width: 1, height: 1 }).is_err());
    }
}
