//! `dimity photo sampling`: what a photograph can show: resolution at the object, threads, sharpness, exposure.

use crate::analysis::sampling::{Sampling as Found, sampling as from_record};
use crate::cli::{Desk, Failure};
use crate::exchange::import::table::plain;
use crate::optics::Exposure;
use crate::photograph::Store;
use crate::readings::{beginning, sampling};
use crate::record::photograph::Photograph;

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
        let found = from_record(&photograph, &catalogue.piece(&photograph.number)?);
        let picture =
            Store::at(&desk.folder).pixels(&photograph.sha256, &photograph.extension).map_err(|e| e.to_string())?;
        let finest = sampling::finest(&picture);
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
    let unknown = || {
        let set = format!("`dimity photo scale {}`", beginning(&p.sha256));
        format!("no scale is set, so nothing is known of sizes at the object: {set}")
    };
    let head = format!("{}, {} × {} px, of {}", plain(&p.original_name), p.width, p.height, p.number);
    let said = [sampling::resolution(found).unwrap_or_else(unknown)]
        .into_iter()
        .chain(sampling::cloths(found))
        .chain([sampling::sharpness(found, finest)])
        .chain(sampling::exposure(p, found));
    [head].into_iter().chain(said.map(|line| format!("  {line}"))).collect()
}
