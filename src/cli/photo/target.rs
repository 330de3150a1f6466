//! `dimity photo target`: how true the colours of a photograph are, by the target in its frame.

use std::path::PathBuf;

use crate::catalogue::Named;
use crate::cli::{Desk, Failure};
use crate::colour::target::{Scheme, Unfit};
use crate::geometry::written;
use crate::photograph::{NamedReference, Store, find_target, read_target};
use crate::readings::beginning;
use crate::readings::target::{self, NoReference};
use crate::record::target::{TargetReading, corners};

/// The target to read.
#[derive(Debug, clap::Args)]
pub struct Target {
    /// The photograph: the beginning of its SHA-256, as `dimity show NUMBER` lists it
    photograph: String,
    /// The outer corners of its four corner patches, in pixels of the upright picture: upper left, upper right, lower
    /// right and lower left of the target as it is read, with the first patch (dark skin) at the upper left
    #[arg(long, num_args = 1..=4, required_unless_present = "find", value_name = "X,Y", allow_hyphen_values = true)]
    corners: Vec<String>,
    /// Look for the target in the picture and offer the command that would read it; stores nothing
    #[arg(long, conflicts_with_all = ["corners", "correct"])]
    find: bool,
    /// Reference CIELAB of its patches, as CGATS text or CSV; the usual 24 patches if not given
    #[arg(long, value_name = "FILE")]
    reference: Option<PathBuf>,
    /// Columns and rows of the target, as in 6x4, where the reference file does not tell
    #[arg(long, value_name = "COLUMNSxROWS")]
    grid: Option<String>,
    /// Fit a correction, for colour readings on this photograph alone
    #[arg(long)]
    correct: bool,
    /// Say what would be stored, and store nothing
    #[arg(long)]
    dry_run: bool,
}

impl Target {
    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        let mut catalogue = desk.open()?;
        let original = catalogue.photograph_named(&self.photograph)?;
        let reference = self.reference()?;
        if self.find {
            return self.found(desk, &original, &reference);
        }
        let corners = corners(self.corners.iter().flat_map(|c| c.split_whitespace()))?;
        let picture =
            Store::at(&desk.folder).pixels(&original.sha256, &original.extension).map_err(|e| e.to_string())?;
        let (reading, refused) = read_target(&picture, corners, &reference, self.correct).map_err(|e| e.to_string())?;
        let replaced = if self.dry_run {
            None
        } else {
            Some(catalogue.add_target_reading(&desk.author(), &original.sha256, &reading)?)
        };
        say(desk, &original.sha256, &reading, refused.as_ref(), replaced);
        Ok(())
    }

    /// Offers what may be the target.
    fn found(&self, desk: &mut Desk, original: &Named, reference: &NamedReference) -> Result<(), Failure> {
        let picture =
            Store::at(&desk.folder).pixels(&original.sha256, &original.extension).map_err(|e| e.to_string())?;
        let found = find_target(&picture, reference);
        if desk.json {
            let one = found.map(|t| serde_json::json!({ "corners": t.corners, "mean_de00": t.mean }));
            desk.out.json(&serde_json::json!({ "photograph": original.sha256, "found": one }));
            return Ok(());
        }
        let Some(target) = found else {
            desk.out.line(format!(
                "no colour target found; point at its corners yourself: `dimity photo target {} --corners ...`",
                self.photograph
            ));
            return Ok(());
        };
        desk.out.line(format!(
            "may be the target, mean ΔE00 {:.1} against {}. Look at it, then this reads it:",
            target.mean, reference.name
        ));
        desk.out.line(format!("  dimity photo target {} --corners {}", self.photograph, written(&target.corners)));
        desk.out.line("and this takes the scale, with what the rectangle of its patches measures outside:");
        desk.out.line(format!(
            "  dimity photo scale {} --rectangle {} --size \"WIDTH x HEIGHT cm\"",
            self.photograph,
            written(&target.corners)
        ));
        Ok(())
    }

    fn reference(&self) -> Result<NamedReference, Failure> {
        let grid = self.grid.as_deref();
        let Some(path) = &self.reference else {
            let mend = |why| match why {
                NoReference::BuiltIn(_) => format!("{why} with `--reference FILE`"),
                other => other.to_string(),
            };
            return Ok(target::reference(None, grid).map_err(mend)?);
        };
        let shown = path.display();
        let bytes = std::fs::read(path).map_err(|e| format!("`{shown}` cannot be read: {e}; check its name"))?;
        let name = path.file_name().map_or_else(|| shown.to_string(), |n| n.to_string_lossy().into_owned());
        let named = |why| match why {
            NoReference::Misread(why) => format!("`{shown}`: {why}"),
            other => other.to_string(),
        };
        Ok(target::reference(Some((&name, &bytes)), grid).map_err(named)?)
    }
}

fn say(desk: &mut Desk, sha: &str, reading: &TargetReading, refused: Option<&Unfit>, replaced: Option<bool>) {
    let found = &reading.results;
    let verdicts = Scheme::ALL.map(|s| s.judge(found));
    if desk.json {
        desk.out.json(&serde_json::json!({
            "photograph": sha, "reference": reading.reference, "reference_sha256": reading.reference_sha256,
            "white": "D50", "corners": reading.corners, "results": found, "warnings": found.warnings(),
            "verdicts": verdicts, "correction": reading.correction,
            "correction_refused": refused.map(ToString::to_string), "stored": replaced.is_some(),
        }));
        return;
    }
    desk.out.line(format!("photograph {}, against {}; CIELAB for D50", beginning(sha), reading.reference));
    for p in &found.patches {
        desk.out.line(format!(
            "  {:20} {:42} ΔE00 {:5.2}  (reference {})",
            p.title(),
            p.measured.to_string(),
            p.delta_e00,
            p.reference
        ));
    }
    desk.out.line(target::differences(found));
    desk.out.line(target::greys(found));
    for verdict in &verdicts {
        let [level, source] = target::judged(verdict);
        desk.out.line(format!("{level}\n  {source}"));
    }
    for warning in found.warnings() {
        desk.out.line(format!("note: {warning}"));
    }
    if let Some(fitted) = &reading.correction {
        desk.out.line(target::corrected(fitted));
    }
    if let Some(unfit) = refused {
        desk.out.line(unfit.to_string());
    }
    desk.out.line(match replaced {
        None => "nothing was stored",
        Some(false) => "stored; the original is untouched",
        Some(true) => "stored in place of the earlier reading, which stays in the journal; the original is untouched",
    });
}
