//! `dimity photo clock`: the camera's clock was wrong; the record is put right, the file is left alone.

use crate::cli::say::count;
use crate::cli::{Desk, Failure};
use crate::photograph::parse_shift;

/// The photographs and what to do to their times.
#[derive(Debug, clap::Args)]
pub struct ClockSet {
    /// The photographs: the beginning of each SHA-256, as `dimity show NUMBER` lists them
    #[arg(required = true)]
    photographs: Vec<String>,
    /// How much later (+) or earlier (-) they were taken than the camera says: +00:03:20, -1 day is -24:00:00
    #[arg(long, value_name = "±HH:MM:SS", allow_hyphen_values = true)]
    shift: String,
    /// The camera's offset from UTC, where the files do not say: +01:00
    #[arg(long, value_name = "±HH:MM", allow_hyphen_values = true)]
    offset: Option<String>,
    /// How you know; the journal keeps it
    #[arg(long, value_name = "TEXT")]
    reason: String,
}

impl ClockSet {
    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        let shift = parse_shift(&self.shift).map_err(|why| format!("`{}` after `--shift`: {why}", self.shift))?;
        let author = desk.author();
        let mut catalogue = desk.open()?;
        let moved = catalogue.shift_clock(&author, &self.reason, &self.photographs, shift, self.offset.as_deref())?;
        for (name, before, after) in &moved {
            if desk.json {
                desk.out.json(&serde_json::json!({ "file": name, "camera": before, "taken": after }));
            } else {
                desk.out.line(format!("{name}: {before} is now {after}"));
            }
        }
        if !desk.json {
            desk.out.line(format!("{} put right; the files are as they were", count(moved.len(), "time")));
        }
        Ok(())
    }
}
