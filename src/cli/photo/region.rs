//! `dimity photo region`: a point, line or outline on a photograph, and how large it is.

use crate::analysis::drawn::{Size, sized};
use crate::catalogue::NewRegion;
use crate::cli::{Desk, Failure};
use crate::measure::{Estimate, rounded};
use crate::record::photograph::{self as record, Photograph, Shape};

/// The region to draw.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  dimity photo region 3fa9c1 \"outline 810,420 870,415 902,498\" --shows ID\n  dimity photo region 3fa9c1 \"outline 40,60 900,60 900,1400 40,1400 hole 400,200 480,200 480,300\" --outlines \"left front\"\n  dimity photo region 3fa9c1 --remove B --reason \"drawn on the wrong picture\""
)]
pub struct Region {
    /// The photograph: the beginning of its SHA-256, as `dimity show NUMBER` lists it
    photograph: String,
    /// `point x,y`, `line x,y x,y ...` or `outline x,y x,y x,y ... hole x,y ...`, in pixels of the upright picture
    #[arg(required_unless_present_any = ["remove", "put_back"])]
    shape: Option<String>,
    /// Remove the region with this letter instead of drawing one; the journal keeps it
    #[arg(long, value_name = "LETTER", requires = "reason", conflicts_with_all = ["shape", "shows", "outlines", "label", "note"])]
    remove: Option<String>,
    /// Draw the region with this letter again that was removed
    #[arg(long, value_name = "LETTER", conflicts_with_all = ["remove", "shape", "shows", "outlines", "label", "note"])]
    put_back: Option<String>,
    /// Why it is removed or put back
    #[arg(long, value_name = "TEXT")]
    reason: Option<String>,
    /// Identifier of the observation that it shows, as `dimity show NUMBER` lists it
    #[arg(long, value_name = "ID")]
    shows: Option<String>,
    /// The component whose outline it is: the areas of damage are then said as a share of it
    #[arg(long, value_name = "COMPONENT", conflicts_with = "shows")]
    outlines: Option<String>,
    /// The letter beside it; the next one free if not given
    #[arg(long)]
    label: Option<String>,
    /// What it shows, in words
    #[arg(long)]
    note: Option<String>,
}

impl Region {
    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        if self.remove.is_some() || self.put_back.is_some() {
            return self.taken_back(desk);
        }
        let region = NewRegion {
            label: self.label,
            shape: Shape::parse(self.shape.as_deref().unwrap_or_default())?,
            shows: self.shows,
            outlines: self.outlines,
            note: self.note,
        };
        let author = desk.author();
        let mut catalogue = desk.open()?;
        let label = catalogue.add_region(&author, &self.photograph, &region)?;
        let photograph = catalogue.photograph(&self.photograph)?;
        if desk.json {
            let drawn = photograph.regions.last().map(|r| crate::exchange::json::region(&photograph, r));
            desk.out.json(&drawn);
            return Ok(());
        }
        let size = photograph.regions.last().map(|r| size(&photograph, r)).unwrap_or_default();
        let size = if size.is_empty() { size } else { format!(": {size}") };
        desk.out.line(format!("drew region {label}{size}"));
        Ok(())
    }

    /// Removes a region, or puts a removed one back.
    fn taken_back(self, desk: &mut Desk) -> Result<(), Failure> {
        let author = desk.author();
        let reason = self.reason.unwrap_or_else(|| "region put back".to_owned());
        let mut catalogue = desk.open()?;
        let (done, label) = if let Some(label) = &self.remove {
            ("removed", catalogue.remove_region(&author, &reason, &self.photograph, label)?)
        } else {
            let wanted = self.put_back.unwrap_or_default();
            let removed = catalogue.removed_regions(&self.photograph)?;
            let Some(one) = removed.iter().rev().find(|r| r.label == wanted || r.id == wanted) else {
                return Err(format!("no region `{wanted}` was removed from this photograph").into());
            };
            ("put back", catalogue.put_back_region(&author, &reason, &self.photograph, &one.id)?)
        };
        if desk.json {
            desk.out.json(&serde_json::json!({ "done": done, "label": label }));
        } else {
            desk.out.line(format!("{done} region {label}"));
        }
        Ok(())
    }
}

/// How large a region is, in words; blank for a point.
pub(crate) fn size(p: &Photograph, region: &record::Region) -> String {
    let found = sized(p, region);
    let round = if matches!(region.shape, Shape::Outline(_)) { " round" } else { "" };
    let mut words = figures(found.px, ["px", "px²"], round);
    if found.scaled {
        words.extend(figures(found.plane, ["mm", "cm²"], round));
    }
    let share = |(name, s): &(String, Estimate)| {
        let (value, u) = rounded(s.value * 100.0, s.u * 100.0);
        format!("{value} % of {name} (u {u} %)")
    };
    words.extend(found.shares.iter().map(share));
    words.join("; ")
}

fn figures(size: Size, units: [&str; 2], round: &str) -> Vec<String> {
    let figure = |e: Estimate, unit: &str, what: &str| {
        let (value, u) = rounded(e.value, e.u);
        format!("{value} {unit}{what} (u {u} {unit})")
    };
    let area = size.area.map(|a| figure(a, units[1], ""));
    let length = size.length.map(|l| figure(l, units[0], round));
    let angle = size.angle.map(|a| figure(a, "°", " at the middle place"));
    area.into_iter().chain(length).chain(angle).collect()
}
