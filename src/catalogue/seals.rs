//! Seals: which page was sealed, by whom, from which state of the catalogue, and whether all of it still stands.

use std::collections::{HashMap, HashSet};

use jiff::civil::Date;
use rusqlite::OptionalExtension;
use serde_json::Value;

use super::change::{Row, fresh_uid};
use super::{Catalogue, Fault, Finding, Result, journal};
use crate::photograph::Fixity;
use crate::sealed::{Pages, Stray, check_code, read_code};

/// What the catalogue is at a moment: its journal so far. A sealed page prints it, so that paper bears witness.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Revision {
    /// The last row of the journal; 0 before the first.
    pub row: i64,
    /// Its hash.
    pub hash: String,
    /// The number that the next sealed report gets.
    pub next: i64,
}

/// A report about to be sealed.
#[derive(Debug, Clone)]
pub struct NewSeal {
    /// Accession number of the piece.
    pub number: String,
    /// Identifier of the examination reported.
    pub examination: String,
    /// `full`, `summary`, `loan`; `against` beside an earlier sealed report.
    pub print_set: String,
    /// Check code of that earlier one.
    pub against: Option<String>,
    /// The day printed on the page.
    pub sealed_on: Date,
    /// Everything recorded of the piece.
    pub record: Value,
    /// The state of the catalogue from which the page was printed.
    pub revision: Revision,
}

/// A sealed report, without its record.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Seal {
    /// Its number in this catalogue, from 1.
    pub no: i64,
    /// Accession number of the piece.
    pub number: String,
    /// Identifier of the examination reported.
    pub examination: String,
    /// Its day.
    pub examined: Date,
    /// `full`, `summary`, `loan`, `against`.
    pub print_set: String,
    /// Check code of the report that it stands beside.
    pub against: Option<String>,
    /// SHA-256 of the page.
    pub sha256: String,
    /// Check code.
    pub code: String,
    /// Size of the page.
    pub bytes: i64,
    /// The day printed on it.
    pub sealed_on: Date,
    /// Who sealed it.
    pub sealed_by: String,
    /// Last row of the journal then, and its hash.
    pub revision: i64,
    /// Hash of that row.
    pub revision_hash: String,
    /// Version of the program.
    pub program: String,
    /// Version of the shipped vocabulary.
    pub vocabulary: String,
    /// Version of the own terms and wordings.
    pub definitions: String,
}

/// What became of an observation: corrected or withdrawn, when, by whom and why.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Fate {
    /// Identifier of the correction.
    pub now: Option<String>,
    /// Why it was withdrawn.
    pub withdrawn: Option<String>,
    /// The day (UTC).
    pub on: String,
    /// Who did it.
    pub by: String,
    /// The reason given.
    pub why: String,
}

const SEALS: &str = "SELECT s.id, p.number, e.uid, e.date, s.print_set, a.code, s.sha256, s.code, s.bytes, s.sealed_on,
        s.sealed_by, s.revision, s.revision_hash, s.program, s.vocabulary, s.definitions
   FROM seal s JOIN piece p ON p.id = s.piece_id JOIN examination e ON e.id = s.examination_id
   LEFT JOIN seal a ON a.id = s.against_id";

impl Catalogue {
    /// What the catalogue is now.
    ///
    /// # Errors
    /// If the database refuses.
    pub fn revision(&self) -> Result<Revision> {
        revision(&self.db)
    }

    /// Seals a page: the file first, then the row, so that no row ever lacks its page. If the row is refused, the file
    /// goes again; if the machine dies between the two, `check` tells of a page that no row names.
    ///
    /// # Errors
    /// If the catalogue has moved on since the page was printed, the author is blank, or disk or database refuse.
    pub fn seal(&mut self, author: &str, page: &[u8], new: &NewSeal) -> Result<Seal> {
        let against = new.against.as_deref().map(|code| self.seal_named(code)).transpose()?;
        let pages = Pages::at(self.folder());
        let piece = self.piece_id(&new.number)?;
        let sql = "SELECT id FROM examination WHERE uid = ? AND piece_id = ?";
        let examination: Option<i64> = self.db.query_row(sql, (&new.examination, piece), |r| r.get(0)).optional()?;
        let examination = examination
            .ok_or_else(|| Fault::Refused(format!("`{}` has no examination `{}`", new.number, new.examination)))?;
        let (vocabulary, definitions) = (self.vocabulary.version(), self.vocabulary.definitions());
        // The page is kept, and taken back if its row is refused, while no other desk can write: two desks that seal the
        // same bytes at once never take a page from under each other.
        let sha256 = self.write(author, "condition report sealed", |change| {
            if revision(change.db())? != new.revision {
                return Err(Fault::Refused(
                    "the catalogue was changed while the page was printed; seal it again".into(),
                ));
            }
            let (sha256, fresh) = pages.keep(page).map_err(|e| Fault::Refused(e.to_string()))?;
            let row = Row::from_iter([
                ("id".to_owned(), new.revision.next.into()),
                ("uid".to_owned(), fresh_uid().into()),
                ("piece_id".to_owned(), piece.into()),
                ("examination_id".to_owned(), examination.into()),
                ("print_set".to_owned(), new.print_set.clone().into()),
                ("against_id".to_owned(), against.as_ref().map(|a| a.no).into()),
                ("sha256".to_owned(), sha256.clone().into()),
                ("code".to_owned(), check_code(&sha256).unwrap_or_default().into()),
                ("bytes".to_owned(), page.len().into()),
                ("sealed_on".to_owned(), new.sealed_on.to_string().into()),
                ("sealed_by".to_owned(), author.trim().into()),
                ("revision".to_owned(), new.revision.row.into()),
                ("revision_hash".to_owned(), new.revision.hash.clone().into()),
                ("program".to_owned(), env!("CARGO_PKG_VERSION").into()),
                ("vocabulary".to_owned(), vocabulary.into()),
                ("definitions".to_owned(), definitions.into()),
                ("record".to_owned(), new.record.to_string().into()),
            ]);
            match change.insert("seal", &row) {
                Ok(_) => Ok(sha256),
                Err(fault) => {
                    if fresh {
                        pages.take_back(&sha256);
                    }
                    Err(fault)
                }
            }
        })?;
        self.seal_named(&check_code(&sha256).unwrap_or_default())
    }

    /// The sealed reports, oldest first; with a number, those of that piece.
    ///
    /// # Errors
    /// If there is no such piece.
    pub fn seals(&self, number: Option<&str>) -> Result<Vec<Seal>> {
        let piece = number.map(|n| self.piece_id(n)).transpose()?;
        // An older catalogue on a medium that cannot be written has no such table.
        if !self.has_table("seal")? {
            return Ok(Vec::new());
        }
        let sql = format!("{SEALS} WHERE ?1 IS NULL OR s.piece_id = ?1 ORDER BY s.id");
        let mut statement = self.db.prepare_cached(&sql)?;
        let found = statement.query_map([piece], seal)?.collect::<std::result::Result<Vec<_>, _>>()?;
        Ok(found)
    }

    /// The sealed report with this check code, however it is written; or with this number; or whose SHA-256 begins so.
    ///
    /// # Errors
    /// If there is none, or more than one whose SHA-256 begins so.
    pub fn seal_named(&self, name: &str) -> Result<Seal> {
        let all = self.seals(None)?;
        let (code, lower) = (read_code(name), name.trim().to_ascii_lowercase());
        let exact = all.iter().find(|s| Some(&s.code) == code.as_ref() || s.no.to_string() == lower);
        if let Some(found) = exact {
            return Ok(found.clone());
        }
        let begins: Vec<&Seal> = all.iter().filter(|s| lower.len() >= 6 && s.sha256.starts_with(&lower)).collect();
        if let [one] = begins[..] {
            return Ok(one.clone());
        }
        // Two slips of the pen at most, or two neighbours that changed places.
        let slips = |s: &&Seal| strsim::damerau_levenshtein(&s.code, &name.trim().to_ascii_uppercase());
        let near = all.iter().filter(|s| slips(s) <= 2).min_by_key(slips);
        let hint = near.map(|s| format!("; did you mean `{}`, of {}?", s.code, s.number)).unwrap_or_default();
        Err(Fault::Refused(format!("no report is sealed under `{}`{hint}; `dimity seals` lists them", name.trim())))
    }

    /// Everything that was recorded of the piece when this report was sealed.
    ///
    /// # Errors
    /// If the database refuses.
    pub fn sealed_record(&self, seal: &Seal) -> Result<Value> {
        let text: String = self.db.query_row("SELECT record FROM seal WHERE id = ?", [seal.no], |r| r.get(0))?;
        serde_json::from_str(&text).map_err(|e| Fault::Unreadable(format!("the record of seal {}: {e}", seal.no)))
    }

    /// What became of the observations of a piece that were corrected or withdrawn, by identifier.
    ///
    /// # Errors
    /// If there is no such piece.
    pub fn fates(&self, number: &str) -> Result<HashMap<String, Fate>> {
        let piece = self.piece_id(number)?;
        let mut marked = self.db.prepare_cached(
            "SELECT o.uid, n.uid, o.withdrawn, j.at, j.author, j.reason FROM observation o
               JOIN examination e ON e.id = o.examination_id LEFT JOIN observation n ON n.id = o.replaced_by
               LEFT JOIN journal j ON j.id = (SELECT max(id) FROM journal
                           WHERE in_table = 'observation' AND act = 'update' AND row_id = o.id)
              WHERE e.piece_id = ? AND (o.replaced_by IS NOT NULL OR o.withdrawn IS NOT NULL)",
        )?;
        let fates = marked.query_map([piece], |r| {
            let text = |i: usize| r.get::<_, Option<String>>(i).map(Option::unwrap_or_default);
            let on = text(3)?.chars().take(10).collect();
            Ok((r.get(0)?, Fate { now: r.get(1)?, withdrawn: r.get(2)?, on, by: text(4)?, why: text(5)? }))
        })?;
        Ok(fates.collect::<std::result::Result<_, _>>()?)
    }

    /// Checks every sealed page against its seal, and every seal against the journal.
    pub(super) fn check_seals(&self, findings: &mut Vec<Finding>) -> Result<()> {
        const BACKUP: &str = "put the page back from a backup; the seal in the catalogue says what it must be";
        let pages = Pages::at(self.folder());
        let seals = self.seals(None)?;
        for seal in &seals {
            let place = pages.place(&seal.sha256);
            let of = format!("sealed report {} of `{}`, check code {},", seal.no, seal.number, seal.code);
            let place = place.display();
            match pages.verify(&seal.sha256) {
                Fixity::Sound => {}
                Fixity::Missing => findings.push(Finding::new(format!("{of} is missing: `{place}`"), BACKUP)),
                Fixity::Changed { now } => findings
                    .push(Finding::new(format!("{of} was changed: the SHA-256 of `{place}` is now {now}"), BACKUP)),
                Fixity::Unreadable { cause } => findings.push(Finding::new(
                    format!("{of} cannot be read: `{place}`: {cause}"),
                    "see to the disk, then check again",
                )),
            }
            if check_code(&seal.sha256).as_deref() != Some(&seal.code) {
                findings.push(Finding::new(
                    format!("{of} bears a check code that is not that of its SHA-256"),
                    "the row was changed outside the program; restore the catalogue from a backup",
                ));
            }
            let sql = "SELECT hash FROM journal WHERE id = ?";
            let hash: Option<String> = self.db.query_row(sql, [seal.revision], |r| r.get(0)).optional()?;
            if seal.revision > 0 && hash.as_ref() != Some(&seal.revision_hash) {
                findings.push(Finding::new(
                    format!("{of} was printed from a journal that is not this one: row {} differs", seal.revision),
                    "the journal was changed outside the program, or the seal was; compare with a backup",
                ));
            }
        }
        let known: HashSet<String> = seals.into_iter().map(|s| s.sha256).collect();
        for stray in pages.strays(&known) {
            findings.push(match stray {
                Stray::Unfinished(path) => Finding::new(
                    format!("`{}` was left behind when sealing was interrupted", path.display()),
                    "delete it, and seal the report again",
                ),
                Stray::Unnamed(path) => Finding::new(
                    format!("`{}` is a whole page, but no seal names it", path.display()),
                    "if sealing was interrupted, delete it and seal again; if not, seals are missing from the \
                     catalogue: compare with a backup",
                ),
                Stray::Foreign(path) => Finding::new(
                    format!("`{}` is no sealed page", path.display()),
                    "move it to where it belongs; the folder keeps sealed pages alone",
                ),
                Stray::Unread(folder, why) => Finding::unread_folder(&folder, &why),
            });
        }
        Ok(())
    }
}

fn revision(db: &rusqlite::Connection) -> Result<Revision> {
    let one = |sql: &str| db.query_row(sql, [], |r| r.get::<_, i64>(0));
    Ok(Revision {
        row: one("SELECT coalesce(max(id), 0) FROM journal")?,
        hash: journal::last_hash(db)?,
        // The number of a report that was purged stands on paper, and is not given again.
        next: one("SELECT coalesce(max(row_id), 0) + 1 FROM journal WHERE in_table = 'seal'")?,
    })
}

fn seal(r: &rusqlite::Row<'_>) -> rusqlite::Result<Seal> {
    // A day that was spoilt from outside must not hide the other seals; the check finds its row by the journal.
    let day = |i: usize| r.get::<_, String>(i).map(|text| text.parse().unwrap_or(Date::ZERO));
    Ok(Seal {
        no: r.get(0)?,
        number: r.get(1)?,
        examination: r.get(2)?,
        examined: day(3)?,
        print_set: r.get(4)?,
        against: r.get(5)?,
        sha256: r.get(6)?,
        code: r.get(7)?,
        bytes: r.get(8)?,
        sealed_on: day(9)?,
        sealed_by: r.get(10)?,
        revision: r.get(11)?,
        revision_hash: r.get(12)?,
        program: r.get(13)?,
        vocabulary: r.get(14)?,
        definitions: r.get(15)?,
    })
}
