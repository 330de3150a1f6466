//! `dimity journal`: who changed what, when and why.

use super::{Desk, Failure};

/// Show who changed what, when and why, oldest first
#[derive(Debug, clap::Args)]
pub struct Journal {
    /// Only the changes to this piece
    number: Option<String>,
}

impl Journal {
    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        let rows = desk.open()?.journal(self.number.as_deref())?;
        for row in rows {
            if desk.json {
                desk.out.json(&row);
                continue;
            }
            desk.out.line(format!(
                "{}  {}  {} {} {}  ({})",
                row.at, row.author, row.act, row.in_table, row.row_id, row.reason
            ));
            for (sign, state) in [('-', &row.before), ('+', &row.after)] {
                if let Some(state) = state {
                    desk.out.line(format!("    {sign} {state}"));
                }
            }
        }
        Ok(())
    }
}
