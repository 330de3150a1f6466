//! `dimity photo colour`: the colour of an area of cloth, read from a photograph.

use super::target::short;
use crate::cli::{Desk, Failure};
use crate::photograph::{Store, area};
use crate::record::photograph::Shape;
use crate::record::target::TargetReading;

/// What to bear in mind with every reading.
const CAUTION: &str = "an indication: a photograph sees with its camera's eyes and by its light; for a colour of record use \
    a spectrophotometer";
/// From this share of clipped pixels on, the reading is said to be off.
const CLIPPED: f64 = 0.01;

/// The area to read.
#[derive(Debug, clap::Args)]
#[group(id = "where", required = true, multiple = false)]
pub struct Where {
    /// `outline x,y x,y x,y ...`, in pixels of the upright picture
    #[arg(long, value_name = "SHAPE")]
    area: Option<String>,
    /// A rectangle, by its upper left corner, width and height
    #[arg(long, value_name = "X,Y,W,H", allow_hyphen_values = true)]
    rectangle: Option<String>,
}

/// The colour to read.
#[derive(Debug, clap::Args)]
pub struct Colour {
    /// The photograph: the beginning of its SHA-256, as `dimity show NUMBER` lists it
    photograph: String,
    #[command(flatten)]
    place: Where,
    /// Leave the correction by the photograph's target away
    #[arg(long)]
    uncorrected: bool,
}

impl Colour {
    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        let outline = self.place.outline()?;
        let catalogue = desk.open()?;
        let original = catalogue.photograph_named(&self.photograph)?;
        let reading = catalogue.target_reading(&original.sha256)?;
        let fitted = reading.as_ref().and_then(|r| r.correction.as_ref()).filter(|_| !self.uncorrected);
        let picture =
            Store::at(&desk.folder).pixels(&original.sha256, &original.extension).map_err(|e| e.to_string())?;
        let found = area(&picture, &outline, fitted.map(|f| &f.correction)).map_err(|e| e.to_string())?;
        let id = short(&original.sha256);
        let how = correction(reading.as_ref(), self.uncorrected);
        let instrument = if fitted.is_some() {
            format!("photograph {id}, corrected by its target (D65, 2°)")
        } else {
            format!("photograph {id}, not corrected (D65, 2°)")
        };
        // A minus zero would look odd on a sheet.
        let [l, a, b] = [found.lab.l, found.lab.a, found.lab.b].map(|v| (v * 10.0).round() / 10.0 + 0.0);
        let line = format!("{{ place = \"\", l = {l:.1}, a = {a:.1}, b = {b:.1}, instrument = \"{instrument}\" }}");
        if desk.json {
            desk.out.json(&serde_json::json!({
                "photograph": original.sha256, "shows": original.shows, "white": "D65", "observer": "2°",
                "lab": found.lab, "spread": found.spread, "pixels": found.pixels, "clipped": found.clipped,
                "corrected": fitted.is_some(), "correction": how, "fit": fitted, "caution": CAUTION, "sheet": line,
            }));
            return Ok(());
        }
        let (chip, within) = found.lab.to_srgb();
        let beyond = if within { "" } else { ", which sRGB cannot quite show" };
        desk.out.line(format!("photograph {id} of {}: {} (D65, 2°), about {chip}{beyond}", original.shows, found.lab));
        desk.out.line(format!(
            "  spread (standard deviation): L* {:.1}, a* {:.1}, b* {:.1} over {} pixels, {:.1} % of them clipped",
            found.spread.l,
            found.spread.a,
            found.spread.b,
            found.pixels,
            100.0 * found.clipped
        ));
        if found.clipped > CLIPPED {
            desk.out.line("  clipped pixels have lost their colour: the reading is off; choose another place");
        }
        desk.out.line(format!("  {how}"));
        desk.out.line(format!("  {CAUTION}"));
        desk.out.line("for the sheet, among the colours of a textile:");
        desk.out.line(format!("  {line}"));
        Ok(())
    }
}

impl Where {
    fn outline(&self) -> Result<Vec<(f64, f64)>, Failure> {
        if let Some(text) = &self.rectangle {
            let numbers: Option<Vec<f64>> = text.split(',').map(|n| n.trim().parse().ok()).collect();
            return match numbers.as_deref() {
                Some([x, y, w, h]) if *w > 0.0 && *h > 0.0 => {
                    Ok(vec![(*x, *y), (x + w, *y), (x + w, y + h), (*x, y + h)])
                }
                _ => Err(format!("`{text}` is no rectangle; write x,y,width,height such as 640,500,200,150").into()),
            };
        }
        match Shape::parse(self.area.as_deref().unwrap_or_default())? {
            Shape::Outline(outline) if outline.holes.is_empty() => Ok(outline.around),
            Shape::Outline(_) => Err("a colour is read from an area without holes; read the parts one by one".into()),
            _ => Err("a colour is read from an area; write `outline x,y x,y x,y`".into()),
        }
    }
}

/// Whether and how the reading is corrected.
fn correction(reading: Option<&TargetReading>, uncorrected: bool) -> String {
    match reading {
        None => "not corrected: the photograph's colour target has not been read; `dimity photo target` does".into(),
        Some(reading) => match &reading.correction {
            Some(_) if uncorrected => "not corrected, as asked".into(),
            Some(fitted) => format!(
                "corrected by its own target ({}): patches left out come to ΔE00 {:.2} on average, {:.2} at worst",
                reading.reference, fitted.left_out_mean, fitted.left_out_max
            ),
            None => format!(
                "not corrected: its target was read without fitting a correction; as it is, mean ΔE00 {:.2}, largest {:.2}",
                reading.results.mean, reading.results.max
            ),
        },
    }
}
