//! `dimity photo colour`: the colour of an area of cloth, read from a photograph.

use crate::cli::{Desk, Failure};
use crate::geometry::Point;
use crate::photograph::Store;
use crate::readings::beginning;
use crate::readings::colour::{self, CAUTION, LOST};

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
        let target = catalogue.target_reading(&original.sha256)?;
        let picture =
            Store::at(&desk.folder).pixels(&original.sha256, &original.extension).map_err(|e| e.to_string())?;
        let read = colour::read(&picture, &outline, target.as_ref(), self.uncorrected).map_err(|e| e.to_string())?;
        let mend = if read.target_read { "" } else { "; `dimity photo target` does" };
        let how = format!("{}{mend}", read.correction);
        let line = read.for_sheet(&original.sha256);
        if desk.json {
            desk.out.json(&serde_json::json!({
                "photograph": original.sha256, "shows": original.shows, "white": "D65", "observer": "2°",
                "lab": read.found.lab, "spread": read.found.spread, "pixels": read.found.pixels,
                "clipped": read.found.clipped, "corrected": read.fitted.is_some(), "correction": how,
                "fit": read.fitted, "caution": CAUTION, "sheet": line,
            }));
            return Ok(());
        }
        let id = beginning(&original.sha256);
        desk.out.line(format!("photograph {id} of {}: {}", original.shows, read.mean()));
        desk.out.line(format!("  {}", read.spread()));
        if read.is_off() {
            desk.out.line(format!("  {LOST}"));
        }
        desk.out.line(format!("  {how}"));
        desk.out.line(format!("  {CAUTION}"));
        desk.out.line("for the sheet, among the colours of a textile:");
        desk.out.line(format!("  {line}"));
        Ok(())
    }
}

impl Where {
    fn outline(&self) -> Result<Vec<Point>, Failure> {
        Ok(match &self.rectangle {
            Some(text) => colour::rectangle(text)?,
            None => colour::outline(self.area.as_deref().unwrap_or_default())?,
        })
    }
}
