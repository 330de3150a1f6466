//! `dimity photo sampling`: what a photograph can show: resolution at the object, threads, sharpness, exposure.

use super::target::short;
use crate::analysis::sampling::{Sampling as Found, sampling};
use crate::cli::{Desk, Failure};
use crate::optics::Exposure;
use crate::photograph::Store;
use crate::record::photograph::Photograph;
use crate::threads::detail;

/// The photograph to look at.
#[derive(Debug, clap::Args)]
pub struct Sampling {
    /// The beginning of its SHA-256, as `dimity show NUMBER` lists it
    photograph: String,
}

impl Sampling {
    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        let catalogue = desk.open()?;
        let photograph = catalogue.photograph(&self.photograph)?;
        let found = sampling(&photograph, &catalogue.piece(&photograph.number)?);
        let picture =
            Store::at(&desk.folder).pixels(&photograph.sha256, &photograph.extension).map_err(|e| e.to_string())?;
        let grey: Vec<f32> = image::imageops::grayscale(&picture).into_raw().into_iter().map(f32::from).collect();
        let finest = detail(&grey, picture.width() as usize, picture.height() as usize);
        if desk.json {
            desk.out.json(&serde_json::json!({
                "photograph": photograph.sha256, "sampling": found, "finest_detail_px": finest,
                "finest_detail_mm": finest.zip(found.px_per_mm).map(|(px, k)| px / k), "ev100": photograph.capture.exposure().map(Exposure::ev100),
            }));
        } else {
            lines(&photograph, &found, finest).into_iter().for_each(|line| desk.out.line(line));
        }
        Ok(())
    }
}

fn lines(p: &Photograph, found: &Found, finest: Option<f64>) -> Vec<String> {
    let mut lines = vec![format!("{}, {} × {} px, of {}", p.original_name, p.width, p.height, p.number)];
    lines.push(match found.px_per_mm.zip(found.ppi) {
        Some((k, ppi)) => format!("  {ppi:.0} pixels an inch at the object ({k:.2} px/mm), in the plane of its scale"),
        None => format!(
            "  no scale is set, so nothing is known of sizes at the object: `dimity photo scale {}`",
            short(&p.sha256)
        ),
    });
    for cloth in &found.cloths {
        lines.push(format!(
            "  {}, {:.0} threads/cm: {:.1} px a thread, its threads are {}",
            cloth.cloth, cloth.threads_per_cm, cloth.pixels, cloth.shown
        ));
    }
    if found.px_per_mm.is_some() && found.cloths.is_empty() {
        lines.push("  no sett is recorded of what it shows, so it is not known whether threads can be counted".into());
    }
    lines.push(match finest {
        Some(px) => {
            let mm = found.px_per_mm.map(|k| format!(", {:.2} mm", px / k)).unwrap_or_default();
            format!("  sharpness: the finest detail in its middle is about {px:.1} px{mm} (4 to 8 sharp, above 15 soft; grain flatters)")
        }
        None => "  sharpness: it shows no detail to judge by".into(),
    });
    if let Some(ev) = p.capture.exposure().map(Exposure::ev100) {
        lines.push(format!("  exposure: EV {ev:.1} at ISO 100").replace('-', "−"));
    }
    if !found.hand_held.is_empty() {
        lines.push(format!("  exposure time: {}", found.hand_held));
    }
    lines
}
