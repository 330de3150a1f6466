//! What a photograph can show, in lines: resolution at the object, threads, sharpness, exposure.

use image::RgbImage;

use crate::analysis::sampling::Sampling;
use crate::optics::Exposure;
use crate::record::photograph::Photograph;
use crate::threads::detail;

/// The finest detail in the middle of a picture, in pixels; none if it shows nothing to judge by.
pub fn finest(picture: &RgbImage) -> Option<f64> {
    let grey: Vec<f32> = image::imageops::grayscale(picture).into_raw().into_iter().map(f32::from).collect();
    detail(&grey, picture.width() as usize, picture.height() as usize)
}

/// How many pixels it has at the object; none without a scale.
pub fn resolution(found: &Sampling) -> Option<String> {
    let (k, ppi) = found.px_per_mm.zip(found.ppi)?;
    Some(format!("{ppi:.0} pixels an inch at the object ({k:.2} px/mm), in the plane of its scale"))
}

/// How it shows the threads of each cloth.
pub fn cloths(found: &Sampling) -> Vec<String> {
    let one = |cloth: &crate::analysis::sampling::Cloth| {
        format!(
            "{}, {:.0} threads/cm: {:.1} px a thread, its threads are {}",
            cloth.cloth, cloth.threads_per_cm, cloth.pixels, cloth.shown
        )
    };
    if found.px_per_mm.is_some() && found.cloths.is_empty() {
        return vec![
            "no sett is recorded of what it shows, so it is not known whether threads can be counted".to_owned(),
        ];
    }
    found.cloths.iter().map(one).collect()
}

/// How sharp it is, from its finest detail in pixels.
pub fn sharpness(found: &Sampling, finest: Option<f64>) -> String {
    let Some(px) = finest else { return "sharpness: it shows no detail to judge by".into() };
    let mm = found.px_per_mm.map(|k| format!(", {:.2} mm", px / k)).unwrap_or_default();
    format!(
        "sharpness: the finest detail in its middle is about {px:.1} px{mm} (4 to 8 sharp, above 15 soft; grain flatters)"
    )
}

/// How it was exposed, as far as the camera says.
pub fn exposure(p: &Photograph, found: &Sampling) -> Vec<String> {
    let value = p.capture.exposure().map(Exposure::ev100);
    let value = value.map(|ev| format!("exposure: EV {ev:.1} at ISO 100").replace('-', "−"));
    let held = Some(&found.hand_held).filter(|words| !words.is_empty());
    value.into_iter().chain(held.map(|words| format!("exposure time: {words}"))).collect()
}
