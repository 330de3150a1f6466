//! `dimity photo untie`: a photograph off a piece that it does not show, and onto the one that it does.

use crate::cli::{Desk, Failure};
use crate::digest::short;

/// The photograph, and the piece that it was tied to by mistake.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "The original is kept under its hash, and the journal keeps that it was tied. Scale, colour target and registrations are of the\npicture and stay with it. A region that shows an observation of the piece, or outlines a component of it, is removed first:\n`dimity photo region 3fa9c1 --remove A --reason TEXT`. Sealed reports stay as they were sealed.\n\nExamples:\n  dimity photo untie 3fa9c1 --of 2024.1 --reason \"shows the other bodice\"\n  dimity photo untie 3fa9c1 --onto 2024.2 --reason \"shows the other bodice\"\n\nThe second takes it off and ties it in one act, with view, light, photographer and caption. It also ties a photograph that\nshows no piece any more; `dimity check` lists those."
)]
pub struct Untie {
    /// The photograph: the beginning of its SHA-256, as `dimity show NUMBER` lists it
    photograph: String,
    /// The piece that it does not show; need not be named where it shows one alone
    #[arg(long, value_name = "NUMBER")]
    of: Option<String>,
    /// The piece that it does show
    #[arg(long, value_name = "NUMBER")]
    onto: Option<String>,
    /// Why; the journal keeps it
    #[arg(long, value_name = "TEXT")]
    reason: String,
}

impl Untie {
    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        let author = desk.author();
        let (of, onto) = (self.of.as_deref(), self.onto.as_deref());
        let done = desk.open()?.untie_photograph(&author, &self.reason, &self.photograph, of, onto)?;
        let (name, short) = (&done.original_name, short(&done.sha256));
        if desk.json {
            let off = Some(&done.number).filter(|number| !number.is_empty());
            desk.out.json(&serde_json::json!({ "sha256": done.sha256, "file": name, "off": off, "onto": onto }));
            return Ok(());
        }
        let off = Some(format!("taken off {}", done.number)).filter(|_| !done.number.is_empty());
        let tied = onto.map(|number| format!("tied to {number}"));
        let what: Vec<String> = off.into_iter().chain(tied).collect();
        let on = if onto.is_some() { String::new() } else { format!("; {}", done.how_tied()) };
        desk.out.line(format!("{name} ({short}): {}; the original is kept{on}", what.join(" and ")));
        Ok(())
    }
}
