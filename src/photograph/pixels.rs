//! The pixels of a stored original, at full size. Apart from the derived pictures, which are smaller and compressed anew.

use std::io::Read as _;

use image::RgbImage;

use super::container::{Kind, stranger};
use super::derived::whole;
use super::fault::IngestFault;
use super::fixity::sha256;
use super::ingest::{Shown, open};
use super::{Store, read_capture};

impl Store {
    /// Every pixel of an original, upright, as sRGB of eight bits a channel: another colour space is converted as for
    /// the view, sixteen bits are rounded. Of a raw or HEIF file it is the preview inside, which is what regions are
    /// drawn on. The original is only read.
    ///
    /// # Errors
    /// If the original is gone, no longer holds its bytes, or cannot be decoded.
    pub fn pixels(&self, sha: &str, ext: &str) -> Result<RgbImage, IngestFault> {
        let place = self.original(sha, ext);
        let mut bytes = vec![];
        open(&place)?.read_to_end(&mut bytes).map_err(IngestFault::io("read", &place))?;
        if !sha256(&bytes).eq_ignore_ascii_case(sha) {
            return Err(IngestFault::Changed(place));
        }
        let kind = Kind::of(&bytes).ok_or_else(|| stranger(&place, &bytes))?.refined(&bytes, &place);
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
