//! `dimity journal`: who changed what, when and why.

use super::{Desk, Failure};

/// Show who changed what, when and why, oldest first
///
/// Changes made together stand under one line with their time (UTC), author and reason. A new row shows what was filled
/// in; a changed one, each field before and after. `dimity show NUMBER --as-of DAY` shows a piece as it stood, and
/// `dimity take-back NUMBER --entry ENTRY` undoes one entry.
#[derive(Debug, clap::Args)]
pub struct Journal {
    /// Only the changes to this piece
    number: Option<String>,
}

impl Journal {
    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        let rows = desk.open()?.journal(self.number.as_deref())?;
        let mut occasion = String::new();
        for row in &rows {
            if desk.json {
                desk.out.json(row);
                continue;
            }
            let now = format!("{}  {}: {}", row.at, row.author, row.reason);
            if now != occasion {
                desk.out.line(format!("{now}  (entry {})", row.id));
                occasion = now;
            }
            let (what, fields) = row.in_words();
            desk.out.line(format!("  {what}"));
            fields.iter().for_each(|line| desk.out.line(format!("    {line}")));
        }
        Ok(())
    }
}
