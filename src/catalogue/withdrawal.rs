//! Pieces withdrawn from the catalogue: out of its lists, with a reason, and back again. Nothing of them is lost.

use rusqlite::{Connection, OptionalExtension};

use super::{Catalogue, Fault, Result};

/// That a piece was withdrawn.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize)]
pub struct Withdrawal {
    /// When, in UTC.
    pub at: String,
    /// By whom.
    pub by: String,
    /// Why.
    pub reason: String,
}

impl Withdrawal {
    /// In words, its day as it is to be read.
    pub fn on(&self, day: &str) -> String {
        format!("withdrawn on {day} by {}: {}", self.by, self.reason)
    }
}

impl std::fmt::Display for Withdrawal {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.on(self.at.get(..10).unwrap_or(&self.at)))
    }
}

impl Catalogue {
    /// Withdraws a piece: it stands in no list and is not found until it comes back or is asked for.
    ///
    /// # Errors
    /// If there is no such piece, if it is withdrawn already, or if author or reason is blank.
    pub fn withdraw(&mut self, author: &str, number: &str, reason: &str) -> Result<()> {
        if let Some(already) = self.withdrawal(number)? {
            return Err(Fault::Refused(format!("`{number}` was {already}")));
        }
        self.set_withdrawn(author, number, reason, Some(reason))
    }

    /// Brings a withdrawn piece back.
    ///
    /// # Errors
    /// If there is no such piece, if it is not withdrawn, or if author or reason is blank.
    pub fn reinstate(&mut self, author: &str, number: &str, reason: &str) -> Result<()> {
        if self.withdrawal(number)?.is_none() {
            return Err(Fault::Refused(format!(
                "`{number}` is not withdrawn; `dimity list --withdrawn` lists what is"
            )));
        }
        self.set_withdrawn(author, number, reason, None)
    }

    fn set_withdrawn(&mut self, author: &str, number: &str, reason: &str, why: Option<&str>) -> Result<()> {
        let piece = self.piece_id(number)?;
        self.write(author, reason, |change| change.withdraw("piece", piece, why).map(drop))
    }

    /// Whether a piece is withdrawn: when, by whom and why.
    ///
    /// # Errors
    /// If there is no such piece.
    pub fn withdrawal(&self, number: &str) -> Result<Option<Withdrawal>> {
        let piece = self.piece_id(number)?;
        if !self.knows_withdrawal()? {
            return Ok(None);
        }
        withdrawal(&self.db, piece)
    }

    /// The pieces that are withdrawn, by number: the number, what it is, and why it was withdrawn.
    ///
    /// # Errors
    /// If the database refuses.
    pub fn withdrawn(&self) -> Result<Vec<(String, String, Withdrawal)>> {
        if !self.knows_withdrawal()? {
            return Ok(Vec::new());
        }
        let sql = "SELECT id, number, coalesce(title, object_name, '') FROM piece WHERE withdrawn IS NOT NULL
                    ORDER BY number_order";
        let mut statement = self.db.prepare_cached(sql)?;
        let pieces = statement
            .query_map([], |r| Ok((r.get::<_, i64>(0)?, r.get(1)?, r.get(2)?)))?
            .collect::<std::result::Result<Vec<_>, _>>()?;
        let mut found = Vec::new();
        for (id, number, name) in pieces {
            found.extend(withdrawal(&self.db, id)?.map(|why| (number, name, why)));
        }
        Ok(found)
    }

    /// Refuses what would be added to a piece that is not there or is withdrawn, before any work is done for it.
    ///
    /// # Errors
    /// If it is so.
    pub fn accepts(&self, number: &str) -> Result<()> {
        let piece = self.piece_id(number)?;
        if self.knows_withdrawal()? { refuse_withdrawn(&self.db, piece, number) } else { Ok(()) }
    }

    /// Whether the tables have withdrawn pieces at all; an older catalogue that cannot be written has none.
    pub(super) fn knows_withdrawal(&self) -> Result<bool> {
        self.has_table("purge")
    }
}

fn withdrawal(db: &Connection, piece: i64) -> Result<Option<Withdrawal>> {
    let sql = "SELECT p.withdrawn, j.at, j.author FROM piece p LEFT JOIN journal j ON j.id =
          (SELECT max(id) FROM journal WHERE in_table = 'piece' AND row_id = p.id AND act = 'update'
              AND before ->> '$.withdrawn' IS NULL AND after ->> '$.withdrawn' IS NOT NULL)
         WHERE p.id = ? AND p.withdrawn IS NOT NULL";
    let found = db.prepare_cached(sql)?.query_row([piece], |r| {
        let text = |i: usize| r.get::<_, Option<String>>(i).map(Option::unwrap_or_default);
        Ok(Withdrawal { reason: text(0)?, at: text(1)?, by: text(2)? })
    });
    Ok(found.optional()?)
}

/// Refuses to add to a piece that is withdrawn.
pub(super) fn refuse_withdrawn(db: &Connection, piece: i64, number: &str) -> Result<()> {
    match withdrawal(db, piece)? {
        Some(found) => Err(Fault::Refused(format!(
            "`{number}` was {found}; `dimity reinstate {number} --reason TEXT` brings it back"
        ))),
        None => Ok(()),
    }
}
