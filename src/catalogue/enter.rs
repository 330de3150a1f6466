//! Entering a sheet: what it adds, what it corrects, what was there already. Nothing is ever overwritten unseen.
//!
//! A line with an `id` is the line of that identifier, changed or not; a line without one is new, unless the same line
//! is there already. A corrected observation becomes a new row to which the old one points.

mod treatments;

use rusqlite::OptionalExtension;
use serde_json::Value;

use super::change::{Row, fresh_uid};
use super::flat::{Flat, Link, Source, earlier, ending};
use super::read::{FromTable, components, find_piece, piece_file};
use super::{Catalogue, Change, Fault, Result};
use crate::record::blanks::fill_blanks;
use crate::record::form::{Field, Form, Record, Rows};
use crate::record::{Examination, Observation, Observed, PieceFile, accession};

/// Who enters a sheet and why.
#[derive(Debug, Clone, Default)]
pub struct Intent {
    /// Who.
    pub author: String,
    /// Why; a correction needs one.
    pub reason: Option<String>,
    /// Work everything out and then change nothing.
    pub dry_run: bool,
}

/// What entering a sheet did.
#[derive(Debug, Clone, Default, PartialEq, Eq, serde::Serialize)]
pub struct Entered {
    /// The piece.
    pub number: String,
    /// Whether the piece is new.
    pub new_piece: bool,
    /// Lines added.
    pub added: u32,
    /// Lines corrected or withdrawn; the earlier state stays readable.
    pub corrected: u32,
    /// Lines that were there already.
    pub unchanged: u32,
}

impl Entered {
    /// Whether the sheet brought nothing new.
    pub fn is_nothing(&self) -> bool {
        !self.new_piece && self.added == 0 && self.corrected == 0
    }
}

impl Catalogue {
    /// Enters a sheet, whole or not at all.
    ///
    /// # Errors
    /// If it names what does not exist, corrects something without a reason, or the database refuses.
    pub fn enter(&mut self, sheet: &PieceFile, intent: &Intent) -> Result<Entered> {
        let mut sheet = sheet.clone();
        sheet.settle();
        let reason = intent.reason.clone().unwrap_or_else(|| "sheet entered".into());
        let mut kept = None;
        let outcome = self.write(&intent.author, &reason, |change| {
            let entered = Entry::new(change, sheet)?.run()?;
            if entered.corrected > 0 && intent.reason.is_none() {
                return Err(Fault::Refused(format!(
                    "this sheet corrects {} of what is recorded; say why, with `reason = \"...\"` at the top of the \
                     sheet or `--reason TEXT`",
                    lines(entered.corrected)
                )));
            }
            kept = Some(entered.clone());
            if intent.dry_run { Err(Fault::Refused("dry run".into())) } else { Ok(entered) }
        });
        match (outcome, kept) {
            (Err(_), Some(entered)) if intent.dry_run => Ok(entered),
            (outcome, _) => outcome,
        }
    }
}

fn lines(n: u32) -> String {
    if n == 1 { "1 line".into() } else { format!("{n} lines") }
}

/// One sheet on its way in.
struct Entry<'a, 'c> {
    change: &'a mut Change<'c>,
    sheet: PieceFile,
    known: PieceFile,
    piece: i64,
    done: Entered,
}

impl<'a, 'c> Entry<'a, 'c> {
    fn new(change: &'a mut Change<'c>, sheet: PieceFile) -> Result<Self> {
        let number = sheet.number().to_owned();
        accession::check(&number).map_err(Fault::Refused)?;
        let known = piece_file(change.db(), &number)?;
        let mut sheet = sheet;
        if let Some(known) = &known {
            keep_years(&mut sheet, known);
        }
        let mut done = Entered { number: number.clone(), new_piece: known.is_none(), ..Entered::default() };
        let mut piece = sheet.piece.clone();
        let piece_row = match (&known, find_piece(change.db(), &number)?) {
            (Some(known), Some(id)) => {
                if merge(&mut piece, &known.piece) {
                    let mut columns = Flat::of(&mut piece).columns;
                    columns.retain(|name, _| name != "uid");
                    change.update("piece", id, &columns)?;
                    done.corrected += 1;
                }
                id
            }
            _ => {
                for (field, blank) in [("nature", piece.nature.is_none()), ("object_name", piece.object_name.is_none())]
                {
                    if blank {
                        return Err(Fault::Refused(format!("`{number}` is new: its sheet needs `{field}` in [piece]")));
                    }
                }
                let mut columns = Flat::of(&mut piece).columns;
                columns.insert("number_order".into(), accession::sort_key(&number).into());
                columns.insert("uid".into(), fresh_uid().into());
                change.insert("piece", &columns)?
            }
        };
        Ok(Self { change, sheet, known: known.unwrap_or_default(), piece: piece_row, done })
    }

    fn run(mut self) -> Result<Entered> {
        let (sheet, known) = (self.sheet.clone(), self.known.clone());
        self.components(&sheet, &known)?;
        self.list("person_role", &sheet.people, &known.people)?;
        self.list("event", &sheet.events, &known.events)?;
        self.list("move", &sheet.moves, &known.moves)?;
        self.list("housing", &sheet.housings, &known.housings)?;
        self.list("display", &sheet.displays, &known.displays)?;
        self.list("care", &sheet.overrules, &known.overrules)?;
        self.list("made_after", &sheet.made_after, &known.made_after)?;
        self.list("departure", &sheet.departures, &known.departures)?;
        self.list("work", &sheet.work, &known.work)?;
        self.treatments(&sheet.treatments, &known.treatments)?;
        for exam in &sheet.examinations {
            self.examination(exam, &known)?;
        }
        self.words()?;
        Ok(self.done)
    }

    /// Components go in parents first, so that `part_of` can name one of the same sheet; a line that names a known
    /// component without its id adds to it.
    fn components(&mut self, sheet: &PieceFile, known: &PieceFile) -> Result<()> {
        let mut waiting = sheet.components.clone();
        for component in &mut waiting {
            if let Some(same) = known.components.iter().find(|k| k.name == component.name)
                && component.id.is_none()
            {
                component.id.clone_from(&same.id);
                merge(component, same);
            }
        }
        while !waiting.is_empty() {
            let present = components(self.change.db(), self.piece)?;
            let ready =
                |c: &crate::record::piece::Component| c.part_of.as_ref().is_none_or(|p| present.contains_key(p));
            let (now, later): (Vec<_>, Vec<_>) = waiting.into_iter().partition(ready);
            if now.is_empty() {
                let stuck = &later[0];
                return Err(Fault::Refused(format!(
                    "the component `{}` is part of `{}`, which is not listed or is part of it in turn",
                    stuck.name.as_deref().unwrap_or_default(),
                    stuck.part_of.as_deref().unwrap_or_default()
                )));
            }
            for component in now {
                let listed = sheet.components.iter().position(|c| c.name == component.name).unwrap_or_default();
                self.list_from("component", listed, &[component], &known.components)?;
            }
            waiting = later;
        }
        Ok(())
    }

    /// A list that belongs to the piece: catalogue facts, corrected in place and journalled.
    fn list<T: Record + Clone + PartialEq>(&mut self, table: &str, incoming: &[T], known: &[T]) -> Result<()> {
        self.list_from(table, 0, incoming, known)
    }

    /// The same, where the first line stands at `first` in its list.
    fn list_from<T: Record + Clone + PartialEq>(
        &mut self,
        table: &str,
        first: usize,
        incoming: &[T],
        known: &[T],
    ) -> Result<()> {
        let mut matching = Matching::of(known);
        let mut position = i64::try_from(known.len() + first).unwrap_or_default();
        for record in incoming {
            match matching.place(record)? {
                Place::Same => self.done.unchanged += 1,
                Place::New => {
                    position += 1;
                    let flat = Flat::of(&mut record.clone());
                    let mut columns = self.columns(&flat)?;
                    columns.insert("uid".into(), fresh_uid().into());
                    columns.insert("piece_id".into(), self.piece.into());
                    columns.insert("position".into(), position.into());
                    let id = self.change.insert(table, &columns)?;
                    self.details(table, id, &flat)?;
                    self.done.added += 1;
                }
                Place::Correction(uid) => {
                    let id = self.row_of(table, &uid)?;
                    let flat = Flat::of(&mut record.clone());
                    let columns = self.columns(&flat)?;
                    self.change.update(table, id, &columns)?;
                    let before = known.iter().map(|k| Flat::of(&mut k.clone())).find(|k| k.uid.as_ref() == Some(&uid));
                    let before = before.unwrap_or_default();
                    for (field, list) in &flat.lists {
                        let was = before.lists.iter().find(|(name, _)| name == field).map_or(&[][..], |(_, l)| l);
                        let kept = list.iter().zip(was).take_while(|(now, was)| now == was).count();
                        let rows = format!("{table}_{field}");
                        self.clear_from(&rows, id, kept)?;
                        self.rows_from(&rows, id, list, kept)?;
                    }
                    self.done.corrected += 1;
                }
            }
        }
        Ok(())
    }

    fn examination(&mut self, exam: &Examination, known: &PieceFile) -> Result<()> {
        let same = known.examinations.iter().find(|k| match &exam.about.id {
            Some(id) => k.about.id.as_ref() == Some(id),
            None => k.about.date == exam.about.date && k.about.examiner == exam.about.examiner,
        });
        let mut about = exam.about.clone();
        let id = match same {
            Some(known) => {
                let id = self.row_of("examination", known.about.id.as_deref().unwrap_or_default())?;
                if merge(&mut about, &known.about) {
                    let columns = self.columns(&Flat::of(&mut about))?;
                    self.change.update("examination", id, &columns)?;
                    self.done.corrected += 1;
                }
                id
            }
            None if exam.about.id.is_some() => {
                return Err(Fault::Refused(format!(
                    "there is no examination `{}` of `{}`; remove the `id` to enter a new one",
                    exam.about.id.as_deref().unwrap_or_default(),
                    self.done.number
                )));
            }
            None => {
                let mut columns = self.columns(&Flat::of(&mut about))?;
                columns.insert("uid".into(), fresh_uid().into());
                columns.insert("piece_id".into(), self.piece.into());
                self.done.added += 1;
                self.change.insert("examination", &columns)?
            }
        };
        let blank = Examination::default();
        let before = same.unwrap_or(&blank);
        let mut conditions = exam.conditions.clone();
        self.resolve_last(&mut conditions, exam, known)?;
        self.observations(id, &exam.textiles, &before.textiles)?;
        self.observations(id, &exam.measurements, &before.measurements)?;
        self.observations(id, &exam.stitching, &before.stitching)?;
        self.observations(id, &exam.fastenings, &before.fastenings)?;
        self.observations(id, &exam.stiffening, &before.stiffening)?;
        self.observations(id, &exam.trimmings, &before.trimmings)?;
        self.observations(id, &exam.steps, &before.steps)?;
        self.observations(id, &exam.signs, &before.signs)?;
        self.observations(id, &conditions, &before.conditions)?;
        self.observations(id, &exam.overall, &before.overall)?;
        self.observations(id, &exam.hazards, &before.hazards)
    }

    /// Replaces the word `last` by the latest earlier note of the same damage on the same component, and the id of a
    /// note that was corrected since by that of its correction.
    fn resolve_last(
        &self,
        conditions: &mut [Observed<crate::record::condition::Condition>],
        exam: &Examination,
        known: &PieceFile,
    ) -> Result<()> {
        for note in conditions.iter_mut() {
            let Some(written) = note.what.continues.clone() else { continue };
            if written != "last" {
                let id = self.row_of("observation", &written)?;
                note.what.continues = FromTable { db: self.change.db(), table: "condition" }.name_of("observation", id);
                continue;
            }
            let earlier = known.examinations.iter().rev().filter(|e| e.about.date < exam.about.date);
            let same = |c: &&Observed<_>| {
                let c: &Observed<crate::record::condition::Condition> = c;
                c.component == note.component && c.what.damage == note.what.damage
            };
            let found = earlier.flat_map(|e| &e.conditions).find(same);
            let Some(found) = found else {
                return Err(Fault::Refused(format!(
                    "`continues = \"last\"`: no earlier examination of `{}` records `{}` on `{}`; leave `continues` out \
                     if it is new",
                    self.done.number,
                    note.what.damage.as_ref().map(ToString::to_string).unwrap_or_default(),
                    note.component.as_deref().unwrap_or("the whole piece")
                )));
            };
            note.what.continues.clone_from(&found.id);
        }
        Ok(())
    }

    fn observations<T: Observation>(
        &mut self,
        examination: i64,
        incoming: &[Observed<T>],
        known: &[Observed<T>],
    ) -> Result<()> {
        let mut matching = Matching::of(known);
        let mut position = i64::try_from(known.len()).unwrap_or_default();
        for record in incoming {
            match matching.place(record)? {
                Place::Same => self.done.unchanged += 1,
                Place::New if record.withdrawn.is_some() => {
                    return Err(Fault::Refused(format!(
                        "a line of [[{}]] is withdrawn but was never entered; leave it out",
                        T::TABLE
                    )));
                }
                Place::New => {
                    position += 1;
                    self.observation(examination, record, position)?;
                    self.done.added += 1;
                }
                Place::Correction(uid) => {
                    let old = self.row_of("observation", &uid)?;
                    let mark = if let Some(why) = &record.withdrawn {
                        Row::from_iter([("withdrawn".to_owned(), Value::from(why.clone()))])
                    } else {
                        let place = self.change.db().query_row(
                            "SELECT position FROM observation WHERE id = ?",
                            [old],
                            |r| r.get::<_, i64>(0),
                        )?;
                        let new = self.observation(examination, record, place)?;
                        Row::from_iter([("replaced_by".to_owned(), Value::from(new))])
                    };
                    self.change.update("observation", old, &mark)?;
                    self.done.corrected += 1;
                }
            }
        }
        Ok(())
    }

    fn observation<T: Observation>(&mut self, examination: i64, record: &Observed<T>, position: i64) -> Result<i64> {
        const COMMON: [&str; 6] = ["component_id", "evidence", "certainty", "interpretation", "note", "withdrawn"];
        let flat = Flat::of(&mut record.clone());
        let (mut common, mut own): (Row, Row) =
            self.columns(&flat)?.into_iter().partition(|(name, _)| COMMON.contains(&name.as_str()));
        common.insert("uid".into(), fresh_uid().into());
        common.insert("examination_id".into(), examination.into());
        common.insert("kind".into(), T::TABLE.into());
        common.insert("position".into(), position.into());
        let id = self.change.insert("observation", &common)?;
        own.insert("id".into(), id.into());
        self.change.insert(T::TABLE, &own)?;
        self.details(T::TABLE, id, &flat)?;
        Ok(id)
    }

    /// The lists inside a record: readings, terms and records of their own.
    fn details(&mut self, table: &str, owner: i64, flat: &Flat) -> Result<()> {
        let row = |field: &str, position: usize| {
            let mut row = placed(owner, position);
            row.insert("field".into(), field.into());
            row
        };
        for (field, readings) in &flat.readings {
            for (i, q) in readings.iter().enumerate() {
                let mut row = row(field, i);
                row.insert("as_written".into(), q.as_written.clone().into());
                row.insert("value".into(), q.value.into());
                row.insert("u".into(), q.u.into());
                row.insert("unit".into(), ending(q.kind).into());
                self.change.insert("reading", &row)?;
            }
        }
        for (field, terms) in &flat.terms {
            for (i, term) in terms.iter().enumerate() {
                let mut row = row(field, i);
                row.insert("term".into(), term.as_str().into());
                self.change.insert("observation_term", &row)?;
            }
        }
        for (field, list) in &flat.lists {
            self.rows_from(&format!("{table}_{field}"), owner, list, 0)?;
        }
        Ok(())
    }

    /// Stores a list inside a record, without its first rows, which are there.
    fn rows_from(&mut self, table: &str, owner: i64, list: &[Flat], kept: usize) -> Result<()> {
        for (i, item) in list.iter().enumerate().skip(kept) {
            let mut columns = placed(owner, i);
            columns.extend(self.columns(item)?);
            self.change.insert(table, &columns)?;
        }
        Ok(())
    }

    /// Removes the rows of a list inside a record, but for the first ones.
    fn clear_from(&mut self, table: &str, owner: i64, kept: usize) -> Result<()> {
        let ids: Vec<i64> = {
            let sql = format!("SELECT id FROM \"{table}\" WHERE owner_id = ? ORDER BY position LIMIT -1 OFFSET ?");
            let mut statement = self.change.db().prepare(&sql)?;
            let kept = i64::try_from(kept).unwrap_or_default();
            statement.query_map((owner, kept), |r| r.get(0))?.collect::<std::result::Result<_, _>>()?
        };
        ids.into_iter().try_for_each(|id| self.change.delete(table, id))
    }

    /// The columns of a record, its links resolved to rows.
    fn columns(&mut self, flat: &Flat) -> Result<Row> {
        let mut columns = flat.columns.clone();
        for (column, link) in &flat.links {
            let id = match link {
                Link::Component(name) => {
                    components(self.change.db(), self.piece)?.get(name).copied().ok_or_else(|| {
                        Fault::Refused(format!(
                            "`{}` has no component `{name}`; list it under [[component]]",
                            self.done.number
                        ))
                    })?
                }
                Link::Person(name) => self.change.person(name)?,
                Link::Piece(number) => find_piece(self.change.db(), number)?.ok_or_else(|| {
                    Fault::Refused(format!(
                        "there is no piece `{number}` in this catalogue; enter its sheet first, or use `source`"
                    ))
                })?,
                Link::Earlier(of, uid) => self.row_of(earlier(*of), uid)?,
            };
            columns.insert(column.clone(), id.into());
        }
        Ok(columns)
    }

    fn row_of(&self, table: &str, uid: &str) -> Result<i64> {
        let sql = format!("SELECT id FROM \"{table}\" WHERE uid = ?");
        let found = self.change.db().prepare_cached(&sql)?.query_row([uid], |r| r.get(0)).optional()?;
        found.ok_or_else(|| Fault::Refused(format!("there is no {table} with the id `{uid}`")))
    }

    /// Rebuilds the words by which the piece is found.
    fn words(&mut self) -> Result<()> {
        let db = self.change.db();
        let Some(mut file) = piece_file(db, &self.done.number)? else { return Ok(()) };
        let mut gather = Gather(String::new());
        for i in 0..file.examinations.len().max(1) {
            if i == 0 {
                file.sections(Some(0), &mut gather);
            } else {
                file.examinations[i].sections(&mut gather);
            }
        }
        db.prepare_cached("DELETE FROM words WHERE rowid = ?")?.execute([self.piece])?;
        let name = file.piece.object_name.unwrap_or_default();
        db.prepare_cached("INSERT INTO words (rowid, number, name, body) VALUES (?, ?, ?, ?)")?.execute((
            self.piece,
            &self.done.number,
            name,
            gather.0,
        ))?;
        Ok(())
    }
}

impl Change<'_> {
    /// The row of a person, made if the name is new.
    pub(super) fn person(&mut self, name: &str) -> Result<i64> {
        let known = self
            .db()
            .prepare_cached("SELECT id FROM person WHERE name = ?")?
            .query_row([name], |r| r.get(0))
            .optional()?;
        match known {
            Some(id) => Ok(id),
            None => {
                let mut row = Row::new();
                row.insert("uid".into(), fresh_uid().into());
                row.insert("name".into(), name.into());
                self.insert("person", &row)
            }
        }
    }
}

/// The columns that a row of a list begins with.
fn placed(owner: i64, position: usize) -> Row {
    Row::from_iter([("owner_id".to_owned(), owner.into()), ("position".to_owned(), (position + 1).into())])
}

/// Where an incoming line belongs.
enum Place {
    Same,
    New,
    Correction(String),
}

/// The known lines of a list, each of which one incoming line can meet.
struct Matching<T> {
    known: Vec<(Option<String>, T, bool)>,
}

impl<T: Record + Clone + PartialEq> Matching<T> {
    fn of(known: &[T]) -> Self {
        let known = known.iter().map(|k| {
            let (id, bare) = split(k);
            (id, bare, false)
        });
        Self { known: known.collect() }
    }

    fn place(&mut self, incoming: &T) -> Result<Place> {
        let (id, bare) = split(incoming);
        if let Some(met) = self.known.iter_mut().find(|(k, ..)| id.is_some() && *k == id) {
            met.2 = true;
            return Ok(if met.1 == bare { Place::Same } else { Place::Correction(id.unwrap_or_default()) });
        }
        // The id of a line that was corrected to just this is that of the correction entered again.
        if let Some(met) = self.known.iter_mut().find(|(_, k, used)| !used && *k == bare) {
            met.2 = true;
            return Ok(Place::Same);
        }
        match id {
            None => Ok(Place::New),
            Some(id) => Err(Fault::Refused(format!(
                "no line with the id `{id}` stands here now: it was corrected or withdrawn meanwhile, or belongs \
                 elsewhere; print the sheet again, or remove the id to enter a new line"
            ))),
        }
    }
}

/// A record's own identifier, and the record without it.
fn split<T: Record + Clone>(record: &T) -> (Option<String>, T) {
    struct TakeId(Option<String>);
    impl Form for TakeId {
        fn id(&mut self, value: &mut Option<String>) {
            self.0 = value.take();
        }
        fn row(&mut self, _: Field, _: &mut dyn Record) {}
        fn rows(&mut self, _: Field, _: &mut dyn Rows) {}
    }
    let mut bare = record.clone();
    let mut form = TakeId(None);
    bare.fields(&mut form);
    (form.0, bare)
}

/// A date written as before keeps the years it was given then, whatever convention holds now.
fn keep_years(sheet: &mut PieceFile, known: &PieceFile) {
    let stored: Vec<_> = known.piece.date.iter().chain(known.events.iter().filter_map(|e| e.date.as_ref())).collect();
    let written = sheet.piece.date.iter_mut().chain(sheet.events.iter_mut().filter_map(|e| e.date.as_mut()));
    for date in written {
        if let Some(same) = stored.iter().find(|known| known.as_written == date.as_written) {
            date.clone_from(same);
        }
    }
}

/// Fills the blanks of `incoming` from `known`; says whether anything else differs.
fn merge<T: Record + Clone + PartialEq>(incoming: &mut T, known: &T) -> bool {
    fill_blanks(incoming, known);
    split(incoming).1 != split(known).1
}

/// Gathers the words of a record.
struct Gather(String);

impl Gather {
    fn add(&mut self, text: &str) {
        self.0.push_str(text);
        self.0.push('\n');
    }
}

impl Form for Gather {
    fn text(&mut self, _: Field, value: &mut Option<String>) {
        if let Some(text) = value {
            self.add(text);
        }
    }
    fn texts(&mut self, _: Field, value: &mut Vec<String>) {
        value.iter().for_each(|text| self.add(text));
    }
    fn dated(&mut self, _: Field, value: &mut Option<crate::dating::Dated>) {
        if let Some(date) = value {
            self.add(&date.as_written);
        }
    }
    fn term(&mut self, _: Field, _: crate::vocabulary::Scheme, value: &mut Option<crate::vocabulary::TermId>) {
        if let Some(term) = value {
            self.add(term.name());
        }
    }
    fn terms(&mut self, _: Field, _: crate::vocabulary::Scheme, value: &mut Vec<crate::vocabulary::TermId>) {
        value.iter().for_each(|term| self.add(term.name()));
    }
    fn choice(&mut self, field: Field, words: &'static [&'static str], value: &mut Option<String>) {
        let _ = words;
        self.text(field, value);
    }
    fn component(&mut self, field: Field, value: &mut Option<String>) {
        self.text(field, value);
    }
    fn person(&mut self, field: Field, value: &mut Option<String>) {
        self.text(field, value);
    }
    fn piece(&mut self, field: Field, value: &mut Option<String>) {
        self.text(field, value);
    }
    fn id(&mut self, _: &mut Option<String>) {}
    fn row(&mut self, _: Field, row: &mut dyn Record) {
        row.fields(self);
    }
    fn rows(&mut self, _: Field, rows: &mut dyn Rows) {
        for i in 0..rows.count() {
            rows.at(i).fields(self);
        }
    }
}
