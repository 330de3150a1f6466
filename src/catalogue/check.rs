//! Checking the database: each finding names what is wrong and how to mend it; the check does not stop at the first.

use std::path::Path;

use serde::Serialize;

use super::{Catalogue, Last, Result, replay};

/// Something wrong, with its mend.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Finding {
    /// What is wrong, and where.
    pub what: String,
    /// What to do.
    pub mend: String,
}

impl Finding {
    /// A finding.
    pub fn new(what: impl Into<String>, mend: impl Into<String>) -> Self {
        Self { what: what.into(), mend: mend.into() }
    }

    /// A folder cannot be read, for this reason.
    pub fn unread_folder(folder: &Path, why: &str) -> Self {
        Self::new(
            format!("the folder `{}` cannot be read, nor what lies in it: {why}", folder.display()),
            "see that the folder can be read, then begin again",
        )
    }
}

pub(super) const BACKUP: &str = "restore the catalogue from a backup, and keep this copy aside";

impl Catalogue {
    /// Checks the database, that nothing acknowledged is missing in it, that every sealed page holds the bytes that were
    /// sealed, and that every piece is found by what its record says.
    ///
    /// # Errors
    /// If the database cannot be read at all.
    pub fn check(&self) -> Result<Vec<Finding>> {
        // Read before the database: another program may be writing both.
        let last = Last::noted_in(self.folder());
        let mut findings = self.check_database()?;
        findings.extend(self.lost_since(last.as_ref())?);
        self.check_seals(&mut findings)?;
        findings.extend(self.index_findings()?);
        Ok(findings)
    }

    /// Checks file structure, schema, links, the journal's chain, and that the journal tells how the tables came to be.
    ///
    /// # Errors
    /// If the database cannot be read at all.
    pub fn check_database(&self) -> Result<Vec<Finding>> {
        let mut findings = Vec::new();
        match self.look_for(&mut findings) {
            // What keeps the rest from being read has been found.
            Err(fault) if !findings.is_empty() => findings.push(Finding::new(fault.to_string(), BACKUP)),
            looked => looked?,
        }
        Ok(findings)
    }

    fn look_for(&self, findings: &mut Vec<Finding>) -> Result<()> {
        // The word index keeps what it last read of itself, and looks for another's writing only when it is searched: the
        // check of a connection that stays open would find damage where there is none.
        // What this read itself finds damaged is found again below.
        drop(self.db.query_row("SELECT count(*) FROM (SELECT rowid FROM words LIMIT 1)", [], |r| r.get::<_, i64>(0)));
        let mut structure = self.db.prepare("PRAGMA integrity_check(20)")?;
        for line in structure.query_map([], |r| r.get::<_, String>(0))?.flatten().filter(|l| l != "ok") {
            findings.push(Finding::new(format!("the database file is damaged: {line}"), BACKUP));
        }
        let mut links = self.db.prepare("PRAGMA foreign_key_check")?;
        let dangling = links.query_map([], |r| {
            Ok((r.get::<_, String>(0)?, r.get::<_, Option<i64>>(1)?.unwrap_or_default(), r.get::<_, String>(2)?))
        })?;
        for (table, row, to) in dangling.flatten() {
            findings
                .push(Finding::new(format!("row {row} of `{table}` points to a row of `{to}` that is gone"), BACKUP));
        }
        for what in self.altered_schema()? {
            findings.push(Finding::new(format!("the {what} is not as the program made it"), BACKUP));
        }
        for id in self.altered_terms()? {
            findings.push(Finding::new(
                format!("the shipped term `{id}` was changed outside the program"),
                "the lists of `dimity terms` hold what it was; restore the catalogue from a backup",
            ));
        }
        let journal = self.journal(None)?;
        findings.extend(self.consent_findings(&journal)?);
        findings.extend(self.purge_findings(&journal)?);
        match self.chain()? {
            Err(row) => findings.push(Finding::new(
                format!("the journal does not follow from row {row} on: it was changed outside the program"),
                "compare with a backup to see what was changed",
            )),
            Ok(_) => match replay(&journal) {
                Err(e) => findings.push(Finding::new(e.to_string(), BACKUP)),
                Ok(told) => {
                    let present = self.present_state()?;
                    let keys = told.keys().chain(present.keys()).collect::<std::collections::BTreeSet<_>>();
                    for (table, row) in keys.into_iter().filter(|k| told.get(*k) != present.get(*k)) {
                        findings.push(Finding::new(
                            format!("row {row} of `{table}` was changed outside the program"),
                            "the journal holds what it was; compare with a backup",
                        ));
                    }
                }
            },
        }
        Ok(())
    }
}
