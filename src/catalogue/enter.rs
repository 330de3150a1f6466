//! Entering a sheet: what it adds, what it corrects, what was there already. Nothing is ever overwritten unseen.
//!
//! A line with an `id` is the line of that identifier, changed or not; a line without one is new, unless the same line
//! is there already. A corrected observation becomes a new row to which the old one points.

mod continues;
mod matching;
mod rows;
pub(super) mod strike;
mod treatments;

use serde_json::Value;

use self::matching::{Matching, Place, keep_years, merge};
use self::strike::Strike;
use super::change::{Row, fresh_uid, rows};
use super::flat::Flat;
use super::read::{components, find_piece, piece_file, piece_file_by_id};
use super::withdrawal::refuse_withdrawn;
use super::{Catalogue, Change, Fault, Result, consents, naming};
use crate::record::account::Role;
use crate::record::blanks;
use crate::record::form::Record;
use crate::record::seal::Seal;
use crate::record::treatment::Treatment;
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
    /// Facts that were never so: `piece.maker`, `examination.light`, `departure.ID`. A blank on a sheet erases nothing, so
    /// that what is to be blank is named.
    pub strike: Vec<String>,
    /// What this person may do: everything, unless an account says otherwise. Who examines adds to the record and corrects
    /// what was observed; facts of a piece that stand are changed by who keeps the collection.
    pub may: Role,
    /// Whether a piece that is withdrawn comes back by it: the one that brought it, took it back, and enters it again.
    pub again: bool,
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
    /// Those of them that are facts of the piece, and no observations.
    #[serde(skip)]
    pub facts: u32,
    /// Lines that were there already.
    pub unchanged: u32,
    /// Treatments that this sheet brought the consent to, and that were sealed by it.
    pub sealed: Vec<Sealed>,
    /// The last row of the journal that it wrote; by it the whole entry can be taken back.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub row: Option<i64>,
}

/// A treatment that was consented to and sealed.
#[derive(Debug, Clone, Default, PartialEq, Eq, serde::Serialize)]
pub struct Sealed {
    /// Its title.
    pub treatment: String,
    /// SHA-256 of its proposal, 64 hexadecimal digits.
    pub proposal_sha256: String,
    /// The beginning of that, as it is printed: `3fa9 c1d2`.
    pub seal: String,
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
        self.write_or_try(&intent.author, &reason, intent.dry_run, |change| {
            let again = intent.again && bring_back(change, sheet.number())?;
            let entered = Entry::new(change, sheet, Strike::read(&intent.strike)?)?.run()?;
            let entered = Entered { row: change.last_row().filter(|_| !intent.dry_run), ..entered };
            if intent.may < Role::Keep && !again && (entered.facts > 0 || !entered.sealed.is_empty()) {
                let what = if entered.facts > 0 {
                    format!("changes {} of the facts of the piece", lines(entered.facts))
                } else {
                    "seals a treatment by its consent".into()
                };
                return Err(Fault::Refused(format!(
                    "this {what}; that is done by those who keep the collection. Your account may add to the record and \
                     correct what was observed: leave the rest as it stands, or ask one of them; nothing was entered"
                )));
            }
            if entered.corrected > 0 && intent.reason.is_none() {
                return Err(Fault::Refused(format!(
                    "this sheet corrects {} of what is recorded; say why, with `reason = \"...\"` at the top of the \
                     sheet or `--reason TEXT`",
                    lines(entered.corrected)
                )));
            }
            Ok(entered)
        })
    }
}

/// Brings a withdrawn piece back; says whether it was one.
fn bring_back(change: &mut Change<'_>, number: &str) -> Result<bool> {
    let Some(piece) = find_piece(change.db(), number)? else { return Ok(false) };
    change.withdraw("piece", piece, None)
}

/// Blanks the fields of a record that are struck out; says whether there were any. `sheet` is the record as it was brought.
fn blank_out<T: Record + Clone>(record: &mut T, sheet: &T, names: &[String]) -> Result<bool> {
    blanks::strike(&mut sheet.clone(), names).written.first().map_or(Ok(()), |name| {
        Err(Fault::Refused(format!("`{name}` is written and struck out on one sheet; leave one of them away")))
    })?;
    let struck = blanks::strike(record, names);
    let refused = |names: &[String], why: &str| match names.first() {
        Some(name) => Err(Fault::Refused(format!("`{name}` cannot be struck out: {why}"))),
        None => Ok(()),
    };
    refused(&struck.unknown, "there is no such field")?;
    refused(&struck.needed, "it is needed; write what is right instead")?;
    refused(&struck.blank, "nothing is recorded there")?;
    Ok(!struck.written.is_empty())
}

fn lines(n: u32) -> String {
    if n == 1 { "1 line".into() } else { format!("{n} lines") }
}

/// One sheet on its way in.
pub(super) struct Entry<'a, 'c> {
    change: &'a mut Change<'c>,
    sheet: PieceFile,
    known: PieceFile,
    piece: i64,
    strike: Strike,
    done: Entered,
}

impl<'a, 'c> Entry<'a, 'c> {
    pub(super) fn new(change: &'a mut Change<'c>, sheet: PieceFile, strike: Strike) -> Result<Self> {
        let number = sheet.number().to_owned();
        accession::check(&number).map_err(Fault::Refused)?;
        let row = find_piece(change.db(), &number)?;
        let known = row.map(|row| piece_file_by_id(change.db(), row)).transpose()?.flatten();
        let mut sheet = sheet;
        if let Some(known) = &known {
            keep_years(&mut sheet, known);
        }
        let mut done = Entered { number: number.clone(), new_piece: known.is_none(), ..Entered::default() };
        let mut piece = sheet.piece.clone();
        let piece_row = match (&known, row) {
            (Some(known), Some(id)) => {
                refuse_withdrawn(change.db(), id, &number)?;
                let merged = merge(&mut piece, &known.piece);
                if blank_out(&mut piece, &sheet.piece, &strike.piece)? || merged {
                    let mut columns = Flat::of(&mut piece).columns;
                    columns.retain(|name, _| name != "uid");
                    change.update("piece", id, &columns)?;
                    done.corrected += 1;
                }
                id
            }
            _ => {
                if let Some(field) = strike.piece.first() {
                    return Err(Fault::Refused(format!("`{number}` is new: there is no `{field}` to strike out")));
                }
                for (field, blank) in [("nature", piece.nature.is_none()), ("object_name", piece.object_name.is_none())]
                {
                    if blank {
                        return Err(Fault::Refused(format!("`{number}` is new: its sheet needs `{field}` in [piece]")));
                    }
                }
                let mut columns = Flat::of_new(&mut piece).columns;
                columns.insert("number_order".into(), accession::sort_key(&number).into());
                columns.insert("uid".into(), fresh_uid().into());
                change.insert("piece", &columns)?
            }
        };
        Ok(Self { change, sheet, known: known.unwrap_or_default(), piece: piece_row, strike, done })
    }

    /// Whether the piece was not in the catalogue before.
    pub(super) fn is_new(&self) -> bool {
        self.done.new_piece
    }

    fn run(self) -> Result<Entered> {
        self.run_as().map(|(entered, _)| entered)
    }

    /// The same, and the row of the piece.
    pub(super) fn run_as(mut self) -> Result<(Entered, i64)> {
        let (sheet, known) = (std::mem::take(&mut self.sheet), std::mem::take(&mut self.known));
        self.components(&sheet, &known)?;
        if self.done.corrected > 0 {
            consents::still_fit(self.change.db(), self.piece)?;
        }
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
        if !sheet.treatments.is_empty() {
            self.done.sealed = self.newly_sealed(&known.treatments)?;
        }
        if sheet.examinations.len() != 1 && !self.strike.examination.is_empty() {
            return Err(Fault::Refused("say which examination is meant: one [examination] with its `id`".into()));
        }
        let before = self.done.corrected;
        for exam in &sheet.examinations {
            self.examination(exam, &known)?;
        }
        let observed = self.done.corrected - before;
        self.strike_lines()?;
        self.done.facts = self.done.corrected - observed;
        Ok((self.done, self.piece))
    }

    /// The treatments that have a consent now and had none before.
    fn newly_sealed(&self, known: &[Treatment]) -> Result<Vec<Sealed>> {
        let number = &self.done.number;
        let now = piece_file(self.change.db(), number)?.unwrap_or_default().treatments;
        let had = |t: &Treatment| Treatment::by_id(known, t.id.as_ref()).is_some_and(Treatment::is_consented);
        let sealed = |t: &Treatment| {
            let seal = Seal::of(number, t);
            let treatment = t.proposal.title.clone().unwrap_or_default();
            Sealed { treatment, seal: seal.short(), proposal_sha256: seal.proposal_sha256 }
        };
        Ok(now.iter().filter(|t| t.is_consented() && !had(t)).map(sealed).collect())
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
                    let mut flat = Flat::of_new(&mut record.clone());
                    let mut columns = self.columns_of(&mut flat)?;
                    columns.insert("uid".into(), fresh_uid().into());
                    columns.insert("piece_id".into(), self.piece.into());
                    columns.insert("position".into(), position.into());
                    if let Some(number) = naming::fresh_number(self.change.db(), table)? {
                        columns.insert("id".into(), number.into());
                    }
                    let id = self.insert_or_again(table, &columns)?;
                    self.details(table, id, &flat)?;
                    self.done.added += 1;
                }
                Place::Correction(uid) => {
                    let id = self.row_of(table, &uid)?;
                    let mut flat = Flat::of(&mut record.clone());
                    let columns = self.columns_of(&mut flat)?;
                    self.refuse_second_name(table, id, &columns)?;
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

    /// Refuses a component a name that another of the piece has, or had when it was taken back.
    fn refuse_second_name(&self, table: &str, id: i64, columns: &Row) -> Result<()> {
        let name = columns.get("name").and_then(Value::as_str).filter(|_| table == "component");
        let sql = "SELECT 1 FROM component WHERE piece_id = ? AND name = ? AND id <> ?";
        match name {
            Some(name) if self.change.db().prepare_cached(sql)?.exists((self.piece, name, id))? => {
                Err(Fault::Refused(format!(
                    "`{name}` is the name of another component of `{}`, or of one that was taken back; choose another name",
                    self.done.number
                )))
            }
            _ => Ok(()),
        }
    }

    /// What has the name of a component that was taken back, or the day and examiner of an examination, is that one again, with what
    /// is said of it now: what was observed there and withdrawn names it still.
    fn taken_back(&mut self, table: &str, columns: &Row) -> Result<Option<i64>> {
        let names: &[&str] = match table {
            "component" => &["name"],
            "examination" => &["date", "examiner_id"],
            _ => return Ok(None),
        };
        let sql = format!("SELECT * FROM \"{table}\" WHERE piece_id = ? AND withdrawn IS NOT NULL");
        let is_it = |row: &Row| names.iter().all(|name| row.get(*name) == columns.get(*name));
        let Some(was) = rows(self.change.db(), &sql, [self.piece])?.into_iter().find(is_it) else { return Ok(None) };
        let id = was.get("id").and_then(Value::as_i64).unwrap_or_default();
        let keeps = |name: &str| matches!(name, "id" | "uid" | "piece_id");
        let mut now: Row = was.keys().filter(|name| !keeps(name)).map(|name| (name.clone(), Value::Null)).collect();
        now.extend(columns.iter().filter(|(name, _)| !keeps(name)).map(|(name, value)| (name.clone(), value.clone())));
        self.change.update(table, id, &now)?;
        Ok(Some(id))
    }

    /// The row of a new line: a new one, or that of one that was taken back.
    fn insert_or_again(&mut self, table: &str, columns: &Row) -> Result<i64> {
        match self.taken_back(table, columns)? {
            Some(id) => Ok(id),
            None => self.change.insert(table, columns),
        }
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
                let merged = merge(&mut about, &known.about);
                if blank_out(&mut about, &exam.about, &self.strike.examination)? || merged {
                    let columns = self.columns_of(&mut Flat::of(&mut about))?;
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
                if let Some(field) = self.strike.examination.first() {
                    return Err(Fault::Refused(format!(
                        "this examination is new: there is no `{field}` to strike out"
                    )));
                }
                let mut columns = self.columns_of(&mut Flat::of_new(&mut about))?;
                columns.insert("uid".into(), fresh_uid().into());
                columns.insert("piece_id".into(), self.piece.into());
                self.done.added += 1;
                self.insert_or_again("examination", &columns)?
            }
        };
        let blank = Examination::default();
        let before = same.unwrap_or(&blank);
        let mut conditions = exam.conditions.clone();
        self.continues(&mut conditions, &continues::Here { row: id, date: about.date }, known)?;
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
        let mut flat = Flat::of_new(&mut record.clone());
        let (mut common, mut own): (Row, Row) =
            self.columns_of(&mut flat)?.into_iter().partition(|(name, _)| COMMON.contains(&name.as_str()));
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
}
