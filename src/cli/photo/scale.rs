//! `dimity photo scale`: how many pixels make a millimetre.

use crate::cli::{Desk, Failure};
use crate::geometry::{POINTING_PX, Point, written};
use crate::photograph::{FoundBar, NamedReference, Store, bars, find_target};
use crate::record::photograph::place;
use crate::record::picture_scale::{PictureScale, known_place};
use crate::report::scale_lines;

/// The bar or the rectangle.
///
/// With neither, says what scale the photograph has. A scale set before is kept in the catalogue, and no longer used.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  dimity photo scale 3fa9c1 --between 212,1890 1392,1893 --length \"10 cm\" --tolerance \"0.1 mm\"\n  dimity photo scale 3fa9c1 --rectangle 310,402 1490,420 1478,1301 305,1290 --size \"20 x 15 cm\""
)]
pub struct Scale {
    /// The photograph: the beginning of its SHA-256, as `dimity show NUMBER` lists it
    photograph: String,
    /// The two ends of a known length, in pixels of the upright picture
    #[arg(long, num_args = 2, value_names = ["X1,Y1", "X2,Y2"], requires = "length", conflicts_with = "rectangle")]
    between: Vec<String>,
    /// How long it is: `10 cm`
    #[arg(long, requires = "between")]
    length: Option<String>,
    /// The four corners of a known rectangle, in order round it; the first side of its size joins the first two
    #[arg(long, num_args = 4, value_name = "X,Y", requires = "size")]
    rectangle: Vec<String>,
    /// How large it is: `20 x 15 cm`
    #[arg(long, requires = "rectangle")]
    size: Option<String>,
    /// One more place known in the plane of the rectangle, from its first corner: `812,1240 = 100 x 50 mm`
    #[arg(long, value_name = "PLACE", requires = "rectangle")]
    known: Vec<String>,
    /// Look for a ruled bar or a colour target in the picture and offer the command that would take its scale; stores
    /// nothing
    #[arg(long, conflicts_with_all = ["between", "rectangle"])]
    find: bool,
    /// How far the bar or each side may be out either way: `0.1 mm`
    #[arg(long)]
    tolerance: Option<String>,
    /// How far a pointed place may be out in each direction, in pixels (standard uncertainty)
    #[arg(long, value_name = "PX", default_value_t = POINTING_PX)]
    pointing: f64,
}

impl Scale {
    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        if self.find {
            return self.found(desk);
        }
        let made = self.made()?;
        let mut catalogue = desk.open()?;
        let scale = match made {
            Some(made) => {
                catalogue.set_scale(&desk.author(), &self.photograph, &made)?;
                made
            }
            None => catalogue.photograph(&self.photograph)?.scale.ok_or_else(|| {
                format!(
                    "the photograph `{0}` has no scale; set one: `dimity photo scale {0} --between X1,Y1 X2,Y2 \
                     --length \"10 cm\"`",
                    self.photograph
                )
            })?,
        };
        if desk.json {
            desk.out.json(&crate::exchange::json::scale(&scale));
        } else {
            for (n, line) in scale_lines(&scale).into_iter().enumerate() {
                desk.out.line(if n == 0 { line } else { format!("  {line}") });
            }
        }
        Ok(())
    }

    /// Offers what may be a bar.
    fn found(&self, desk: &mut Desk) -> Result<(), Failure> {
        let p = desk.open()?.photograph(&self.photograph)?;
        let store = Store::at(&desk.folder);
        let picture = store.pixels(&p.sha256, &p.extension).map_err(|e| e.to_string())?;
        let found = bars(&image::imageops::grayscale(&picture));
        let target = find_target(&picture, &NamedReference::built_in());
        if desk.json {
            let bar = |b: &FoundBar| serde_json::json!({ "between": b.ends, "blocks": b.blocks });
            let target = target.iter().map(|t| serde_json::json!({ "rectangle": t.corners, "mean_de00": t.mean }));
            desk.out.json(&found.iter().map(bar).chain(target).collect::<Vec<_>>());
            return Ok(());
        }
        if found.is_empty() && target.is_none() {
            desk.out.line(
                "no ruled bar and no colour target found; point at the ends of a known length yourself: `--between X1,Y1 X2,Y2 \
                 --length \"10 cm\"`",
            );
        }
        if let Some(target) = target {
            desk.out.line(
                "may be a colour target. Look at it; with what its patches measure together outside, this takes the scale:",
            );
            desk.out.line(format!(
                "  dimity photo scale {} --rectangle {} --size \"WIDTH x HEIGHT cm\" --tolerance \"0.2 mm\"",
                self.photograph,
                written(&target.corners)
            ));
        }
        for bar in found {
            let [a, b] = bar.ends.map(|(x, y)| format!("{x:.1},{y:.1}"));
            desk.out.line(format!(
                "may be a bar: {} blocks, dark at both ends. Look at it (checked cloth is ruled too); if each block is 1 cm, this takes its scale:",
                bar.blocks
            ));
            desk.out.line(format!(
                "  dimity photo scale {} --between {a} {b} --length \"{} cm\" --tolerance \"0.1 mm\"",
                self.photograph, bar.blocks
            ));
        }
        Ok(())
    }

    fn made(&self) -> Result<Option<PictureScale>, String> {
        let places = |words: &[String]| words.iter().map(|w| place(w)).collect::<Result<Vec<Point>, String>>();
        let tolerance = self.tolerance.as_deref();
        if let Some(length) = &self.length {
            let ends = places(&self.between)?;
            let [a, b] = ends[..] else { return Err("a length has two ends".into()) };
            return PictureScale::between([a, b], length, tolerance, self.pointing).map(Some);
        }
        if let Some(size) = &self.size {
            let corners = places(&self.rectangle)?;
            let [a, b, c, d] = corners[..] else { return Err("a rectangle has four corners".into()) };
            let known = self.known.iter().map(|k| known_place(k)).collect::<Result<Vec<_>, _>>()?;
            return PictureScale::rectangle([a, b, c, d], size, tolerance, self.pointing, known).map(Some);
        }
        if tolerance.is_some() {
            return Err("a tolerance belongs to a bar or a rectangle; give `--between` or `--rectangle` with it".into());
        }
        Ok(None)
    }
}
