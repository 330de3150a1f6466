//! The pixels of a stored original, at full size. Apart from the derived pictures, which are smaller and compressed anew.

use image::RgbImage;

use super::derived::whole;
use super::fault::IngestFault;
use super::ingest::{Shown, Sound};
use super::{Store, read_capture};

impl Store {
    /// Every pixel of an original, upright, as sRGB of eight bits a channel: another colour space is converted as for
    /// the view, sixteen bits are rounded. Of a raw or HEIF file it is the preview inside, which is what regions are
    /// drawn on. The original is only read.
    ///
    /// # Errors
    /// If the original is gone, no longer holds its bytes, or cannot be decoded.
    pub fn pixels(&self, sha: &str, ext: &str) -> Result<RgbImage, IngestFault> {
        let Sound { place, bytes, kind } = self.sound(sha, ext)?;
        let (capture, _, _) = read_capture(&bytes);
        let Some(picture) = Shown::of(kind, &bytes).bytes() else {
            return Err(IngestFault::Unsupported {
                path: place,
                what: "a raw or HEIF file without a preview".into(),
                mend: "add a JPEG or TIFF made from it, and measure on that".into(),
            });
        };
        whole(kind, picture, &capture, &place)
    }
}
