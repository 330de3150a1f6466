//! What an entry did to a piece, taken back: told by the journal, change by change, the newest first.
//!
//! Nothing goes on which something else rests. An observation is withdrawn, and the one that it corrected stands again; a field
//! says what it said before; a line of facts goes, or stands no more where a withdrawn observation names it; a new piece is
//! withdrawn. What was changed again since, and what others name, stays as it is and is told of. Taking back is an entry of its
//! own, and can be taken back.

mod fields;
mod lists;

use std::collections::{BTreeMap, HashSet};

use rusqlite::OptionalExtension;
use serde_json::Value;

pub(super) use self::fields::Stems;
use super::belonging::{OWNED, links};
use super::change::{Change, Row, row_if_any};
use super::facts::{self, Facts};
use super::withdrawal::refuse_withdrawn;
use super::{Catalogue, Fault, Intent, JournalRow, Result, consents, naming};
use crate::record::account::Role;

/// How much of an entry is taken back.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Extent {
    /// All that it did to the piece.
    Entry,
    /// What it did to one line of facts, whatever that line says by now.
    Line,
}

/// What was taken back.
#[derive(Debug, Clone, Default, PartialEq, Eq, serde::Serialize)]
pub struct TakenBack {
    /// Accession number of the piece.
    pub number: String,
    /// Lines and fields that are again as they were before.
    pub lines: u32,
    /// Whether the piece itself was withdrawn, since the entry had brought it.
    pub piece: bool,
    /// What stays as it is, and why.
    pub stays: Vec<String>,
}

impl TakenBack {
    /// In words, one line each.
    pub fn in_words(&self, dry_run: bool) -> Vec<String> {
        let verb = if dry_run { "would be taken back" } else { "taken back" };
        let piece = if self.piece { ", and the piece itself, which is withdrawn" } else { "" };
        let head = format!("{}: {} {verb}{piece}", self.number, crate::words::count(self.lines as usize, "line"));
        std::iter::once(head).chain(self.stays.iter().map(|why| format!("stays: {why}"))).collect()
    }
}

impl Catalogue {
    /// Takes back what an entry did to a piece: the entry to which a row of the journal belongs.
    ///
    /// # Errors
    /// If there is no such entry of the piece, if nothing of it can be taken back, if it brought what is taken back elsewhere
    /// (photographs, what is drawn on them, seals), if this person may not, or if author or reason is blank. Then nothing is
    /// changed.
    pub fn take_back(&mut self, number: &str, row: i64, extent: Extent, intent: &Intent) -> Result<TakenBack> {
        let piece = self.piece_id(number)?;
        let mut rows = self.entry_of(number, row)?;
        let kinds = Kinds::of(&self.db)?;
        if extent == Extent::Line {
            rows = kinds.of_line(rows, row)?;
        }
        let last = self.journal_leaf(number, None, 1)?.rows.first().map(|row| row.id);
        let is_last = last == rows.first().map(|row| row.id);
        let reason = intent.reason.as_deref().unwrap_or_default();
        self.write_or_try(&intent.author, reason, intent.dry_run, |change| {
            let brings_back = |row: &JournalRow| row.in_table == "piece" && row.row_after().contains_key("withdrawn");
            if !rows.iter().any(brings_back) {
                refuse_withdrawn(change.db(), piece, number)?;
            }
            let done = TakenBack { number: number.to_owned(), ..TakenBack::default() };
            let reversal = Reversal { change, reason, extent, is_last, kinds: &kinds, done };
            let (done, touched_facts) = reversal.run(&rows)?;
            let theirs = rows.first().is_some_and(|row| row.author == intent.author.trim());
            if intent.may < Role::Keep && touched_facts && !theirs {
                return Err(Fault::Refused(
                    "this entry of somebody else holds facts of the piece; those who keep the collection take it back. \
                     Nothing was changed"
                        .into(),
                ));
            }
            if done.lines == 0 && !done.piece {
                let why = if done.stays.is_empty() {
                    "nothing of it stands any more".to_owned()
                } else {
                    done.stays.join("; ")
                };
                return Err(Fault::Refused(format!("nothing was taken back: {why}")));
            }
            consents::still_fit(change.db(), piece)?;
            Ok(done)
        })
    }

    /// Which changes are taken back with the entry that made them.
    ///
    /// # Errors
    /// If the database refuses.
    pub fn reversible(&self) -> Result<Reversible> {
        Kinds::of(&self.db).map(Reversible)
    }

    /// Whether the tables tell what was taken back; an older catalogue that cannot be written does not.
    pub(super) fn knows_taking_back(&self) -> Result<bool> {
        let sql = "SELECT 1 FROM pragma_table_info('examination') WHERE name = 'withdrawn'";
        Ok(self.db.prepare_cached(sql)?.exists([])?)
    }

    /// What the entry to which a row of the journal belongs did to a piece, newest first.
    fn entry_of(&self, number: &str, row: i64) -> Result<Vec<JournalRow>> {
        let unknown = || Fault::Refused(format!("the journal of `{number}` has no entry with the row {row}"));
        let next = "SELECT n.id FROM journal j JOIN journal n ON n.id > j.id
                     WHERE j.id = ? AND (n.at, n.author, n.reason) <> (j.at, j.author, j.reason) ORDER BY n.id LIMIT 1";
        let mut before: Option<i64> = self.db.query_row(next, [row], |r| r.get(0)).optional()?;
        let mut entry: Vec<JournalRow> = Vec::new();
        loop {
            let leaf = self.journal_leaf(number, before, 1)?;
            let here = leaf.rows.len();
            let is_same = |found: &JournalRow| entry.first().is_none_or(|first| first.same_act(found));
            let more: Vec<_> = leaf.rows.into_iter().take_while(is_same).collect();
            let whole = more.len() < here || leaf.older.is_none() || more.is_empty();
            entry.extend(more);
            if whole {
                break;
            }
            before = leaf.older;
        }
        if !entry.iter().any(|found| found.id == row) {
            return Err(unknown());
        }
        Ok(entry)
    }
}

/// Tells which changes are taken back with the entry that made them, and which where they were made, or never.
pub struct Reversible(Kinds);

impl Reversible {
    /// Whether a change is.
    pub fn holds(&self, row: &JournalRow) -> bool {
        !matches!(self.0.of_table(&row.in_table), Kind::Elsewhere)
    }
}

/// What the rows of a table are to a piece.
enum Kind {
    Piece,
    Examination,
    Observation,
    /// Belongs to an observation, and shares its fate; or is known beyond the piece and stays: a person, a cell of an old list.
    Shares,
    /// A line of facts, or a list inside one.
    Line,
    Elsewhere,
}

/// Which tables belong to what, told by their own links.
struct Kinds {
    of_observations: HashSet<String>,
    inside: BTreeMap<String, (&'static Facts, String)>,
}

impl Kinds {
    fn of(db: &rusqlite::Connection) -> Result<Self> {
        let owned = links(db, &format!("{OWNED} AND m.name <> 'treatment_seal'"))?;
        let mut of_observations = HashSet::from(["observation".to_owned()]);
        // Each round goes one link further.
        loop {
            let more = owned.iter().filter(|(_, _, to)| of_observations.contains(to)).map(|(table, ..)| table.clone());
            let more: Vec<String> = more.filter(|table| !of_observations.contains(table)).collect();
            if more.is_empty() {
                break;
            }
            of_observations.extend(more);
        }
        let inside = owned.into_iter().filter_map(|(table, column, to)| Some((table, (line(&to)?, column))));
        Ok(Self { inside: inside.collect(), of_observations })
    }

    fn of_table(&self, table: &str) -> Kind {
        match table {
            "piece" => Kind::Piece,
            "examination" => Kind::Examination,
            "observation" => Kind::Observation,
            "person" | "source_row" => Kind::Shares,
            _ if self.of_observations.contains(table) => Kind::Shares,
            _ if self.inside.contains_key(table) || line(table).is_some() => Kind::Line,
            _ => Kind::Elsewhere,
        }
    }

    /// The line of facts that a change is to, itself or a list inside it: its list, and its number there.
    fn line_of(&self, row: &JournalRow) -> Option<(&'static Facts, i64)> {
        if let Some(facts) = line(&row.in_table) {
            return Some((facts, row.row_id));
        }
        let (facts, column) = self.inside.get(&row.in_table)?;
        Some((*facts, row.content().get(column).and_then(Value::as_i64)?))
    }

    /// Of an entry, what it did to the line of facts that a row of the journal tells of; to the piece itself, where it tells of
    /// that.
    fn of_line(&self, entry: Vec<JournalRow>, row: i64) -> Result<Vec<JournalRow>> {
        let line = |row: &JournalRow| match row.in_table.as_str() {
            "piece" => Some(("piece", row.row_id)),
            _ => self.line_of(row).map(|(facts, id)| (facts.table, id)),
        };
        let Some(meant) = entry.iter().find(|found| found.id == row).and_then(line) else {
            return Err(Fault::Refused("this change is to no fact of the piece; take back its whole entry".into()));
        };
        Ok(entry.into_iter().filter(|row| line(row) == Some(meant)).collect())
    }
}

/// The list of facts that stands in a table.
fn line(table: &str) -> Option<&'static Facts> {
    facts::FACTS.iter().find(|facts| facts.table == table)
}

/// What an entry did to one line of facts.
struct OfLine<'r> {
    facts: &'static Facts,
    /// The line's number in its table.
    id: i64,
    /// What it did to the line itself and to the lists inside it, newest first.
    rows: Vec<&'r JournalRow>,
}

impl<'r> OfLine<'r> {
    /// What it did to the line itself, newest first.
    fn own(&self) -> impl DoubleEndedIterator<Item = &'r JournalRow> {
        self.rows.iter().copied().filter(|row| row.in_table == self.facts.table)
    }

    fn act(&self, act: &str) -> Option<&'r JournalRow> {
        self.own().find(|row| row.act == act)
    }
}

/// An entry on its way back.
struct Reversal<'a, 'c> {
    change: &'a mut Change<'c>,
    reason: &'a str,
    extent: Extent,
    /// Whether nothing was entered of the piece since.
    is_last: bool,
    kinds: &'a Kinds,
    done: TakenBack,
}

impl Reversal<'_, '_> {
    /// Does it; gives what was done, and whether facts of the piece were touched.
    fn run(mut self, rows: &[JournalRow]) -> Result<(TakenBack, bool)> {
        let mut lines: BTreeMap<(&str, i64), OfLine<'_>> = BTreeMap::new();
        let mut single: Vec<&JournalRow> = Vec::new();
        for row in rows {
            match self.kinds.of_table(&row.in_table) {
                Kind::Shares => {}
                Kind::Piece | Kind::Examination | Kind::Observation => single.push(row),
                Kind::Line => {
                    let Some((facts, id)) = self.kinds.line_of(row) else { continue };
                    lines
                        .entry((facts.table, id))
                        .or_insert_with(|| OfLine { facts, id, rows: Vec::new() })
                        .rows
                        .push(row);
                }
                Kind::Elsewhere => {
                    return Err(Fault::Refused(format!(
                        "this entry wrote to `{}` too, which is taken back where it was made: photographs, what is drawn on \
                         them, comparisons and searches on their own pages; a seal never. Nothing was changed",
                        row.in_table.replace('_', " ")
                    )));
                }
            }
        }
        let touched_facts = !lines.is_empty() || single.iter().any(|row| row.in_table == "piece");
        // What names others came after them, and goes before them.
        let mut lines: Vec<OfLine<'_>> = lines.into_values().collect();
        let place = |line: &OfLine<'_>| {
            let own = line.act("insert").or(line.act("delete")).or(line.rows.first().copied());
            std::cmp::Reverse(own.map(|row| row.id))
        };
        lines.sort_by_key(place);
        let is_piece = |row: &&&JournalRow| row.in_table == "piece";
        for row in single.iter().filter(|row| !is_piece(row)) {
            self.single(row)?;
        }
        for line in &lines {
            self.line(line)?;
        }
        for row in single.iter().filter(is_piece) {
            self.single(row)?;
        }
        Ok((self.done, touched_facts))
    }

    fn stays(&mut self, why: String) {
        if !self.done.stays.contains(&why) {
            self.done.stays.push(why);
        }
    }

    /// The piece itself, an examination or an observation.
    fn single(&mut self, row: &JournalRow) -> Result<()> {
        let Some(now) = row_if_any(self.change.db(), &row.in_table, row.row_id)? else { return Ok(()) };
        match (row.in_table.as_str(), row.act.as_str()) {
            ("observation", "insert") => self.observation(row, &now),
            ("observation", _) => self.fate(row, &now),
            ("examination", "insert") => self.examination(row, &now),
            ("piece", "insert") => self.new_piece(row, &now),
            (table, _) => {
                let what = if table == "piece" { String::new() } else { format!(" of the {table}") };
                self.fields(table, row, &now, &what)
            }
        }
    }

    /// An observation that the entry brought is withdrawn, where it stands.
    fn observation(&mut self, row: &JournalRow, now: &Row) -> Result<()> {
        if now.contains_key("replaced_by") {
            let kind = now.get("kind").and_then(Value::as_str).unwrap_or_default().replace('_', " ");
            self.stays(format!("a {kind} line that was corrected since"));
        } else if !now.contains_key("withdrawn") {
            self.withdraw("observation", row.row_id)?;
        }
        Ok(())
    }

    /// One that the entry corrected stands again, where the correction stands; one that it withdrew is there again.
    fn fate(&mut self, row: &JournalRow, now: &Row) -> Result<()> {
        let (was, became) = (row.row_before(), row.row_after());
        if now.get("replaced_by") != became.get("replaced_by") || now.get("withdrawn") != became.get("withdrawn") {
            return Ok(());
        }
        let correction = became.get("replaced_by").and_then(Value::as_i64).filter(|_| !was.contains_key("replaced_by"));
        if let Some(id) = correction {
            let correction = row_if_any(self.change.db(), "observation", id)?.unwrap_or_default();
            if ["replaced_by", "withdrawn"].iter().any(|mark| correction.contains_key(*mark)) {
                return Ok(());
            }
        }
        let mark = |name: &str| (name.to_owned(), was.get(name).cloned().unwrap_or_default());
        let changed =
            self.change.update("observation", row.row_id, &Row::from_iter([mark("replaced_by"), mark("withdrawn")]))?;
        // A correction that goes is counted where it goes.
        self.done.lines += u32::from(changed && correction.is_none());
        Ok(())
    }

    /// The circumstances of an examination stand no more where none of its observations does, and nothing else names it.
    fn examination(&mut self, row: &JournalRow, now: &Row) -> Result<()> {
        let (id, day) = (row.row_id, now.get("date").and_then(Value::as_str).unwrap_or_default());
        if now.contains_key("withdrawn") {
            return Ok(());
        }
        let db = self.change.db();
        let standing =
            "SELECT count(*) FROM observation WHERE examination_id = ? AND replaced_by IS NULL AND withdrawn IS NULL";
        let mut named: Vec<String> = Vec::new();
        if db.query_row(standing, [id], |r| r.get::<_, i64>(0))? > 0 {
            named.push("observations of it stand".to_owned());
        }
        for (table, column, _) in links(db, "f.\"table\" = 'examination' AND m.name <> 'observation'")? {
            if db.prepare(&format!("SELECT 1 FROM \"{table}\" WHERE \"{column}\" = ?"))?.exists([id])? {
                let what = if table == "photograph_of" { "photograph".to_owned() } else { table.replace('_', " ") };
                named.push(format!("a {what} belongs to it"));
            }
        }
        if named.is_empty() {
            self.withdraw("examination", id)
        } else {
            self.stays(format!("the examination of {day}: {}", named.join(", ")));
            Ok(())
        }
    }

    fn withdraw(&mut self, table: &str, id: i64) -> Result<()> {
        self.done.lines += u32::from(self.change.withdraw(table, id, Some(self.reason))?);
        Ok(())
    }

    /// A piece that the entry brought is withdrawn, if nothing was entered of it since.
    fn new_piece(&mut self, row: &JournalRow, now: &Row) -> Result<()> {
        if now.contains_key("withdrawn") {
            return Ok(());
        }
        if !self.is_last {
            self.stays("the piece itself: something was entered of it since; it can be withdrawn as a piece".into());
            return Ok(());
        }
        self.done.piece = self.change.withdraw("piece", row.row_id, Some(self.reason))?;
        Ok(())
    }

    /// The fields of a row that was changed in place.
    fn fields(&mut self, table: &str, row: &JournalRow, now: &Row, of: &str) -> Result<()> {
        let (was, became) = (row.row_before(), row.row_after());
        let stems = Stems::of(&was, &became, now);
        let mut back = Row::new();
        let mut fields = 0;
        for (stem, field) in stems.changed() {
            if field.says_so_already() {
                continue;
            }
            if field.changed_since() && self.extent == Extent::Entry {
                self.stays(format!("{}{of}: it was changed since", stem.replace('_', " ")));
                continue;
            }
            back.extend(field.was());
            fields += 1;
        }
        if self.change.update(table, row.row_id, &back)? {
            self.done.lines += fields;
        }
        Ok(())
    }

    /// A line of facts: one that was added goes, one that was struck out is there again, one that was changed says what it said.
    fn line(&mut self, line: &OfLine<'_>) -> Result<()> {
        let (db, facts) = (self.change.db(), line.facts);
        let is_sealed = |row: &JournalRow| {
            consents::seals_list(&row.in_table)
                || row.in_table == "treatment"
                    && (row.act != "update" || !consents::differ_openly(&row.row_before(), &row.row_after()))
        };
        if facts.table == "treatment" && line.rows.iter().any(|row| is_sealed(row)) && consents::has_seal(db, line.id)?
        {
            self.stays("a treatment: its consent is sealed".into());
            return Ok(());
        }
        match (line.act("insert"), line.act("delete")) {
            (Some(_), Some(_)) => Ok(()),
            (Some(_), None) => self.added(line),
            (None, Some(struck)) => self.struck(line, struck),
            (None, None) => {
                for row in line.own() {
                    if let Some(now) = row_if_any(self.change.db(), facts.table, line.id)? {
                        self.fields(
                            facts.table,
                            row,
                            &now,
                            &format!(" of a line of {}", facts.section.replace('_', " ")),
                        )?;
                    }
                }
                self.inside(line)
            }
        }
    }

    fn added(&mut self, line: &OfLine<'_>) -> Result<()> {
        let (table, section) = (line.facts.table, line.facts.section.replace('_', " "));
        let Some(now) = row_if_any(self.change.db(), table, line.id)?.filter(|now| !now.contains_key("withdrawn"))
        else {
            return Ok(());
        };
        let name = now.get("name").and_then(Value::as_str).map(|name| format!(" `{name}`")).unwrap_or_default();
        let left = line.own().next().map(JournalRow::row_after).unwrap_or_default();
        let inside = naming::inside(self.change.db(), table, line.id)?;
        let is_ours = |(table, id): &(String, i64)| {
            line.rows.iter().any(|row| row.in_table == *table && row.row_id == *id && row.act == "insert")
        };
        if !fields::are_same(&left, &now) || !inside.iter().all(is_ours) {
            self.stays(format!("the {section}{name}: it was changed since"));
            return Ok(());
        }
        let named = naming::of(self.change.db(), table, line.id)?;
        if !named.by.is_empty() && !named.only_past {
            self.stays(format!("the {section}{name}: {}", named.by.join(", ")));
            return Ok(());
        }
        facts::let_go(self.change, table, line.id, &named, self.reason)?;
        self.done.lines += 1;
        Ok(())
    }
}
