//! `dimity intervals`: after how many months pieces are looked at again.

use super::{Desk, Failure};
use crate::analysis::programme::{BASIS, Intervals as Chosen};

/// Show after how many months pieces are looked at again, or choose otherwise
///
/// Of the intervals that apply to a piece the shortest holds. `dimity intervals --at-risk 18` changes one for this
/// catalogue; `dimity due` and `dimity report survey` go by them.
#[derive(Debug, clap::Args)]
pub struct Intervals {
    /// A piece in active change
    #[arg(long, value_name = "MONTHS", value_parser = Chosen::months)]
    active_change: Option<u16>,
    /// A piece at risk
    #[arg(long, value_name = "MONTHS", value_parser = Chosen::months)]
    at_risk: Option<u16>,
    /// A stable piece
    #[arg(long, value_name = "MONTHS", value_parser = Chosen::months)]
    stable: Option<u16>,
    /// A piece whose stability is not recorded
    #[arg(long, value_name = "MONTHS", value_parser = Chosen::months)]
    not_recorded: Option<u16>,
    /// A piece that holds a hazard
    #[arg(long, value_name = "MONTHS", value_parser = Chosen::months)]
    hazard: Option<u16>,
    /// A piece that holds a hazard which grows by itself: plastic or glass that breaks down, mould, insects
    #[arg(long, value_name = "MONTHS", value_parser = Chosen::months)]
    growing: Option<u16>,
    /// Why it is changed; the journal keeps it
    #[arg(long, value_name = "TEXT", default_value = "survey planned")]
    reason: String,
}

impl Intervals {
    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        let author = desk.author();
        let mut catalogue = desk.open()?;
        let standing = catalogue.intervals()?;
        let chosen = Chosen {
            active_change: self.active_change.unwrap_or(standing.active_change),
            at_risk: self.at_risk.unwrap_or(standing.at_risk),
            stable: self.stable.unwrap_or(standing.stable),
            not_recorded: self.not_recorded.unwrap_or(standing.not_recorded),
            hazard: self.hazard.unwrap_or(standing.hazard),
            growing: self.growing.unwrap_or(standing.growing),
        };
        let changed = catalogue.set_intervals(&author, &self.reason, &chosen)?;
        if desk.json {
            desk.out.json(&serde_json::json!({ "months": chosen, "basis": BASIS, "changed": changed }));
            return Ok(());
        }
        for (name, months) in chosen.named() {
            desk.out.line(format!("{months:4} months  {name}"));
        }
        desk.out.line(format!("of those that apply the shortest holds; {BASIS}"));
        Ok(())
    }
}
