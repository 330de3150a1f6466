//! A picture made smaller.

use fast_image_resize::{FilterType, ResizeAlg, ResizeOptions, Resizer};
use image::DynamicImage;

/// How the pixels of the small picture follow from those of the large one.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Filter {
    /// The mean of what lies under each: what halves and halves again stays even.
    Box,
    /// Lanczos with three lobes: sharp, for pictures that are looked at.
    Lanczos,
}

/// The picture in so many pixels across and down, in the same layout.
pub fn smaller(picture: &DynamicImage, (width, height): (u32, u32), filter: Filter) -> DynamicImage {
    let mut small = DynamicImage::new(width, height, picture.color());
    let filter = match filter {
        Filter::Box => FilterType::Box,
        Filter::Lanczos => FilterType::Lanczos3,
    };
    let options = ResizeOptions::new().resize_alg(ResizeAlg::Convolution(filter));
    match Resizer::new().resize(picture, &mut small, &options) {
        Ok(()) => small,
        // A pixel layout that the fast way does not know.
        Err(_) => picture.thumbnail_exact(width, height),
    }
}
