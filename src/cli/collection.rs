//! `dimity collection`: what the collection is called, and where it is kept.

use super::{Desk, Failure};
use crate::measure::System;
use crate::optics::Place;

/// Show what the collection is called and where it is kept, or say so
///
/// Reports are headed with the name. From the place they reckon how high the sun stood when a daylight photograph was
/// taken; the position that a camera may have written is never used.
#[derive(Debug, clap::Args)]
pub struct Collection {
    /// What reports are headed with; "" for none
    #[arg(long, value_name = "TEXT")]
    name: Option<String>,
    /// Where it is kept: "51.5 N 0.13 W"; "" for nowhere in particular
    #[arg(long, value_name = "POSITION")]
    place: Option<String>,
    /// In which system the browser shows lengths first, until somebody chooses otherwise for themselves: `metric` or `inches`
    #[arg(long, value_name = "SYSTEM", value_parser = ["metric", "inches"])]
    units: Option<String>,
    /// Why it is changed; the journal keeps it
    #[arg(long, value_name = "TEXT", default_value = "collection described")]
    reason: String,
}

impl Collection {
    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        let author = desk.author();
        let mut catalogue = desk.open()?;
        let mut described = catalogue.collection()?;
        if let Some(name) = &self.name {
            described.name = Some(name.trim().to_owned()).filter(|name| !name.is_empty());
        }
        if let Some(place) = &self.place {
            described.place = if place.trim().is_empty() {
                None
            } else {
                Some(Place::parse(place).map_err(|refusal| format!("`{place}` after `--place`: {refusal}"))?)
            };
        }
        if let Some(units) = &self.units {
            described.units = System::named(units);
        }
        let changed = catalogue.set_collection(&author, &self.reason, &described)?;
        if desk.json {
            desk.out.json(&serde_json::json!({
                "name": described.name, "latitude": described.place.map(Place::latitude),
                "longitude": described.place.map(Place::longitude), "units": described.units.map(System::word),
                "changed": changed,
            }));
            return Ok(());
        }
        let blank = || "not recorded".to_owned();
        desk.out.line(format!("name   {}", described.name.unwrap_or_else(blank)));
        desk.out.line(format!("units  {}", described.units.map_or("metric (not recorded)", System::word)));
        desk.out.line(format!("place  {}", described.place.map_or_else(blank, |place| place.to_string())));
        Ok(())
    }
}
