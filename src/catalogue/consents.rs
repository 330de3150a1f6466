//! Seals of consents: set when a consent stands, read for reports, and held against what the tables and the journal say.

use rusqlite::{Connection, OptionalExtension};
use serde_json::Value;

use super::change::{Change, Row, row_by_id, rows};
use super::flat::Fill;
use super::journal::{self, Covers, JournalRow};
use super::read::FromTable;
use super::{Catalogue, Clock, Fault, Finding, Result};
use crate::record::seal::Seal;
use crate::record::treatment::Treatment;

/// The schema that brought seals.
pub(super) const SINCE: i64 = 9;

/// The lists of a proposal; each is sealed with it.
const LISTS: [&str; 4] = ["treatment_options", "treatment_tests", "treatment_planned", "treatment_proposed_materials"];

/// What may still be written of a sealed treatment. Any other column is taken to be sealed.
const OPEN: [&str; 7] = [
    "position",
    "departures",
    "result",
    "after_care",
    "consent_withdrawn_by_id",
    "consent_withdrawn_on",
    "consent_withdrawn_why",
];

/// Treatments whose consent says who and when but has no seal.
const UNSEALED: &str = "SELECT t.id, t.uid, t.title, p.number FROM treatment t JOIN piece p ON p.id = t.piece_id
    WHERE t.consent_by_id IS NOT NULL AND t.consent_on IS NOT NULL
      AND NOT EXISTS (SELECT 1 FROM treatment_seal s WHERE s.owner_id = t.id)";

impl Catalogue {
    /// The seals of a piece's treatments as they were set, by the identifier of the treatment.
    ///
    /// # Errors
    /// If there is no such piece, or the database refuses.
    pub fn consent_seals(&self, number: &str) -> Result<Vec<(String, Seal)>> {
        let piece = self.piece_id(number)?;
        if !self.has_table("treatment_seal")? {
            return Ok(Vec::new());
        }
        let sql = "SELECT s.*, t.uid FROM treatment_seal s JOIN treatment t ON t.id = s.owner_id
                    WHERE t.piece_id = ? ORDER BY t.position, t.id";
        Ok(rows(&self.db, sql, [piece])?.iter().map(|row| (text(row, "uid"), stored(row))).collect())
    }

    /// What speaks against a consent: in the tables as they stand, and in the journal since the seal was set.
    pub(super) fn consent_findings(&self, journal: &[JournalRow]) -> Result<Vec<Finding>> {
        const MEND: &str = "the seal in `treatment_seal` holds the text that was agreed to; restore the catalogue from a \
                            backup, and enter a change as a new version";
        let mut findings = Vec::new();
        if !self.has_table("treatment_seal")? {
            return Ok(findings);
        }
        let sealed = "SELECT s.*, t.title, t.consent_by_id, t.consent_on, p.number FROM treatment_seal s
            JOIN treatment t ON t.id = s.owner_id JOIN piece p ON p.id = t.piece_id ORDER BY s.id";
        for row in rows(&self.db, sealed, [])? {
            let consent = consent_to(&row);
            let seal = stored(&row);
            let now = Seal::of(&text(&row, "number"), &treatment(&self.db, owner(&row))?);
            if !seal.is_whole() {
                findings.push(Finding::new(format!("the seal of {consent} was altered: its hashes do not fit"), MEND));
            }
            if now != seal {
                let changed = seal.fields_changed(&now).join("`, `");
                let what = if changed.is_empty() { String::new() } else { format!(", in `{changed}`") };
                let what =
                    format!("{consent} no longer fits what was agreed to{what}: it was changed after it was sealed");
                findings.push(Finding::new(what, MEND));
            }
        }
        for row in rows(&self.db, UNSEALED, [])? {
            findings.push(Finding::new(format!("{} has lost its seal", consent_to(&row)), MEND));
        }
        for (id, change) in changed_since(journal) {
            let name = rows(
                &self.db,
                "SELECT t.title, p.number FROM treatment t JOIN piece p ON p.id = t.piece_id WHERE t.id = ?",
                [id],
            )?;
            let consent = name.first().map_or_else(|| format!("the consent of treatment row {id}"), consent_to);
            let JournalRow { at, author, in_table, row_id, act, .. } = change;
            findings.push(Finding::new(
                format!(
                    "{consent} was changed after it was sealed: the journal has {act} of row {row_id} of `{in_table}`, \
                     {at}, by {author}"
                ),
                MEND,
            ));
        }
        Ok(findings)
    }
}

impl Change<'_> {
    /// Seals the consents of a piece that stand and have no seal yet, but those of the treatments named: they had one.
    pub(super) fn seal_consents(&mut self, piece: i64, but: &[String]) -> Result<()> {
        for row in rows(self.db(), &format!("{UNSEALED} AND t.piece_id = ?"), [piece])? {
            if but.contains(&text(&row, "uid")) {
                continue;
            }
            let seal = seal_row(self.db(), &row)?;
            self.insert("treatment_seal", &seal)?;
        }
        Ok(())
    }
}

/// Refuses a change to a piece after which a sealed consent would say other words than were agreed to: a component that
/// it names has another name now.
pub(super) fn still_fit(db: &Connection, piece: i64) -> Result<()> {
    let sealed = "SELECT s.*, t.title, p.number FROM treatment_seal s JOIN treatment t ON t.id = s.owner_id
        JOIN piece p ON p.id = t.piece_id WHERE t.piece_id = ?";
    for row in rows(db, sealed, [piece])? {
        let (then, now) = (stored(&row), Seal::of(&text(&row, "number"), &treatment(db, owner(&row))?));
        if then != now {
            return Err(Fault::Refused(format!(
                "{} names a component by the name that it had, in `{}`, and is sealed ({}); leave the component its name; \
                 if it is to have another, list a new component beside it, or as a part of it",
                consent_to(&row),
                then.fields_changed(&now).join("`, `"),
                then.short()
            )));
        }
    }
    Ok(())
}

/// Whether a treatment, by its identifier, is sealed.
pub(super) fn is_sealed(db: &Connection, uid: &str) -> Result<bool> {
    let sql = "SELECT 1 FROM treatment_seal s JOIN treatment t ON t.id = s.owner_id WHERE t.uid = ?";
    Ok(db.prepare_cached(sql)?.query_row([uid], |_| Ok(())).optional()?.is_some())
}

/// Whether the treatment in a row is sealed.
pub(super) fn has_seal(db: &Connection, treatment: i64) -> Result<bool> {
    Ok(db.prepare_cached("SELECT 1 FROM treatment_seal WHERE owner_id = ?")?.exists([treatment])?)
}

/// Whether a list inside a treatment is sealed with its consent.
pub(super) fn seals_list(table: &str) -> bool {
    LISTS.contains(&table)
}

/// Whether two states of a treatment differ in nothing but what may still be written when its consent is sealed.
pub(super) fn differ_openly(one: &Row, other: &Row) -> bool {
    closed(one) == closed(other)
}

/// Seals consents that were given before there were seals, as they stand; the journal says so.
pub(super) fn seal_older(db: &Connection, clock: Clock) -> Result<()> {
    for row in rows(db, UNSEALED, [])? {
        let mut seal = seal_row(db, &row)?;
        let sql = "INSERT INTO treatment_seal (owner_id, proposal, proposal_sha256, consent, consent_sha256)
                   VALUES (?, ?, ?, ?, ?)";
        let said = |name: &str| text(&seal, name);
        db.execute(
            sql,
            (owner(&seal), said("proposal"), said("proposal_sha256"), said("consent"), said("consent_sha256")),
        )?;
        let id = db.last_insert_rowid();
        seal.insert("id".into(), id.into());
        let reason = "a consent from before there were seals: sealed as it stands";
        let content = Value::Object(seal).to_string();
        journal::by_program(db, clock, reason, ("treatment_seal", id, content), Covers::Contents)?;
    }
    Ok(())
}

/// The row that seals what [`UNSEALED`] found.
fn seal_row(db: &Connection, found: &Row) -> Result<Row> {
    let id = found.get("id").and_then(Value::as_i64).unwrap_or_default();
    let seal = Seal::of(&text(found, "number"), &treatment(db, id)?);
    Ok(Row::from_iter([
        ("owner_id".to_owned(), id.into()),
        ("proposal".to_owned(), seal.proposal.into()),
        ("proposal_sha256".to_owned(), seal.proposal_sha256.into()),
        ("consent".to_owned(), seal.consent.into()),
        ("consent_sha256".to_owned(), seal.consent_sha256.into()),
    ]))
}

fn treatment(db: &Connection, id: i64) -> Result<Treatment> {
    let mut treatment = Treatment::default();
    Fill::record(&row_by_id(db, "treatment", id)?, &FromTable::of(db, "treatment"), &mut treatment);
    Ok(treatment)
}

fn text(row: &Row, name: &str) -> String {
    row.get(name).and_then(Value::as_str).unwrap_or_default().to_owned()
}

fn owner(row: &Row) -> i64 {
    row.get("owner_id").and_then(Value::as_i64).unwrap_or_default()
}

fn stored(row: &Row) -> Seal {
    Seal {
        proposal: text(row, "proposal"),
        proposal_sha256: text(row, "proposal_sha256"),
        consent: text(row, "consent"),
        consent_sha256: text(row, "consent_sha256"),
    }
}

fn consent_to(row: &Row) -> String {
    format!("the consent to the treatment `{}` of `{}`", text(row, "title"), text(row, "number"))
}

/// The journal's changes to treatments after they were sealed, with the treatment's row. The program makes none; someone
/// who writes a journal row beside his change makes it fit the tables, and is found here.
fn changed_since(journal: &[JournalRow]) -> Vec<(i64, JournalRow)> {
    let mut sealed: Vec<i64> = Vec::new();
    let mut found = Vec::new();
    for change in journal.iter().filter(|change| !change.is_digest()) {
        let read = |text: &Option<String>| -> Row {
            text.as_deref().and_then(|t| serde_json::from_str(t).ok()).unwrap_or_default()
        };
        let table = change.in_table.as_str();
        if table != "treatment" && table != "treatment_seal" && !LISTS.contains(&table) {
            continue;
        }
        let (before, after) = (read(&change.before), read(&change.after));
        let owners = if table == "treatment" { [change.row_id; 2] } else { [owner(&before), owner(&after)] };
        let hit = owners.into_iter().find(|id| sealed.contains(id));
        match hit {
            Some(id) if table != "treatment" || change.act == "delete" || closed(&before) != closed(&after) => {
                found.push((id, change.clone()));
            }
            None if table == "treatment_seal" => sealed.push(owners[1]),
            _ => {}
        }
    }
    found
}

/// The sealed columns of a treatment's row.
fn closed(row: &Row) -> Row {
    row.iter().filter(|(name, _)| !OPEN.contains(&name.as_str())).map(|(n, v)| (n.clone(), v.clone())).collect()
}
