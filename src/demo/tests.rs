//! What the scale bars in the drawn photographs promise.

use dimity_pixels::scenes::{Photograph, draw, photographs};

fn list() -> Vec<Photograph> {
    photographs().unwrap()
}

#[test]
fn a_bar_that_someone_pointed_at_gives_the_scale_of_the_drawing() {
    let measured: Vec<_> = list().into_iter().filter(|photo| photo.bar.is_some()).collect();
    assert!(measured.len() >= 3);
    for photo in measured {
        let scale = super::build::scale(photo.bar.as_ref().unwrap()).unwrap();
        let found = scale.said().unwrap().px_per_mm;
        let out = (found.value - f64::from(photo.px_per_mm)).abs();
        assert!(out < found.u, "{}: {found:?}", photo.file);
    }
}

#[test]
fn the_bar_is_found_in_the_drawing_and_nothing_else_is() {
    for name in ["spencer-front-2018.jpg", "spencer-tideline-2025.jpg", "spencer-interior-2018.jpg"] {
        let photo = list().into_iter().find(|photo| photo.file == name).unwrap();
        let grey = image::DynamicImage::ImageRgb8(draw(&photo)).into_luma8();
        let found = crate::photograph::bars(&grey);
        assert_eq!(found.len(), 1, "{name}: {found:?}");
        let [a, b] = found[0].ends;
        let scale = (b.0 - a.0) / (10.0 * found[0].blocks as f64);
        assert!((scale / f64::from(photo.px_per_mm) - 1.0).abs() < 0.005, "{name}: {scale}");
    }
}
