//! A correction of one line, with a reason: written as a sheet and entered like one, so that it meets the same rules.
//!
//! Who corrects names the version of the line that they saw. If another stands there by now, nothing is entered and both
//! are handed back.

use serde::Deserialize;
use serde_json::{Map, Value};

use super::lines::{self, Entry, Line};
use super::{entry, line, sheet};
use crate::catalogue::{Catalogue, Entered, Extent, FactChange, Fate, Fault, Intent, TakenBack};
use crate::record::{Circumstances, Examination, PieceFile};

/// What is to be corrected, and how.
#[derive(Debug, Clone, Default, Deserialize)]
pub struct Correction {
    /// Heading of the line in a sheet.
    pub section: String,
    /// Its identifier; blank for the piece itself.
    #[serde(default)]
    pub id: Option<String>,
    /// The version that was seen.
    pub version: String,
    /// The fields that are to change, each a text, several one below the other; records as a list of such fields.
    #[serde(default)]
    pub fields: Map<String, Value>,
    /// The observation is withdrawn, the line of facts struck out, and not corrected.
    #[serde(default)]
    pub withdraw: bool,
}

/// One mistake, by the field in which it stands.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize)]
pub struct Mistaken {
    /// The field; blank if it is none in particular.
    pub field: String,
    /// What is wrong, and the mend.
    pub what: String,
}

/// Why a correction was not entered. Nothing was changed.
#[derive(Debug)]
pub enum Refusal {
    /// The line is another by now.
    Meanwhile {
        /// As it stands now; none if it was withdrawn or is not there.
        now: Option<Box<Line>>,
        /// Who made it so, when and why, where that is known.
        by: Option<Box<Fate>>,
    },
    /// What is written cannot be read.
    Mistakes(Vec<Mistaken>),
    /// The catalogue refuses.
    Fault(Fault),
}

impl From<Fault> for Refusal {
    fn from(fault: Fault) -> Self {
        Self::Fault(fault)
    }
}

/// A line of a piece, with the place of its examination among those of the piece if it belongs to one.
pub fn find(file: &PieceFile, section: &str, id: Option<&str>) -> Option<(Line, Option<usize>)> {
    let meant =
        |line: &Line| line.section == section && (section == "piece" || (id.is_some() && line.id.as_deref() == id));
    if let Some(line) = lines::of_piece(file).into_iter().find(&meant) {
        return Some((line, None));
    }
    let mut exams = file.examinations.iter().enumerate();
    exams.find_map(|(i, exam)| Some((lines::of_examination(exam).into_iter().find(&meant)?, Some(i))))
}

/// Whether a line of this section belongs to an examination.
pub fn is_observed(section: &str) -> bool {
    line::Section::named(section).is_some_and(|s| s.observed)
}

/// Whether a line of this section can be withdrawn or struck out as a whole.
pub fn can_go(section: &str) -> bool {
    !matches!(section, "piece" | "examination")
}

/// Corrects a line.
///
/// # Errors
/// If the line is another by now, if what is written cannot be read, or if the catalogue refuses.
pub fn correct(
    catalogue: &mut Catalogue,
    number: &str,
    correction: &Correction,
    author: &str,
    reason: &str,
) -> Result<Entered, Refusal> {
    let reason = reason.trim();
    if reason.is_empty() {
        let what = "say why: the journal keeps it beside what stood before".into();
        return Err(Refusal::Mistakes(vec![Mistaken { field: "reason".into(), what }]));
    }
    let file = catalogue.piece(number)?;
    let Some((line, exam)) = find(&file, &correction.section, correction.id.as_deref()) else {
        return Err(meanwhile(catalogue, &file, correction)?);
    };
    if line.version != correction.version {
        return Err(Refusal::Meanwhile { now: Some(Box::new(line)), by: None });
    }
    let out = written(&file, &line, exam, correction, reason).map_err(Refusal::Mistakes)?;
    entered(catalogue, &out, author, reason)
}

/// Enters the sheet that was written, or says its mistakes by the fields in which they stand.
fn entered(catalogue: &mut Catalogue, out: &Out, author: &str, reason: &str) -> Result<Entered, Refusal> {
    let read = entry::read(catalogue, out.text.as_bytes()).map_err(|mistakes| {
        let field = |line: usize| out.fields.get(line.wrapping_sub(1)).cloned().unwrap_or_default();
        let mistaken = |m: sheet::Mistake| Mistaken { field: field(m.line), what: m.what };
        Refusal::Mistakes(mistakes.into_iter().map(mistaken).collect())
    })?;
    let intent =
        Intent { author: author.to_owned(), reason: Some(reason.to_owned()), strike: read.strike, ..Intent::default() };
    Ok(catalogue.enter(&read.file, &intent)?)
}

/// Puts back what stood before: a corrected line says again what it said, a withdrawn one comes in anew. Nothing is erased by
/// it.
///
/// # Errors
/// If no such line stood before, if what it said cannot be entered any more, or if the catalogue refuses.
pub fn put_back(
    catalogue: &mut Catalogue,
    number: &str,
    section: &str,
    id: &str,
    author: &str,
    reason: &str,
) -> Result<Entered, Refusal> {
    let earlier = catalogue.earlier(number)?;
    let stood = |exam: &Examination| {
        let mut lines = lines::of_examination(exam).into_iter();
        lines.find(|line| line.section == section && line.id.as_deref() == Some(id))
    };
    let found = earlier.iter().find_map(|exam| Some((exam.about.id.clone()?, stood(exam)?)));
    let Some((exam, was)) = found else {
        return Err(Fault::Refused("no such line stood before; load the page again".into()).into());
    };
    let file = catalogue.piece(number)?;
    let gone = Correction { section: section.into(), id: Some(id.into()), ..Correction::default() };
    if let Refusal::Meanwhile { now: Some(now), .. } = meanwhile(catalogue, &file, &gone)? {
        let fields = was.fields.iter().filter(|f| f.name != "withdrawn");
        let fields = fields.map(|f| (f.name.to_owned(), as_value(f))).collect();
        let correction = Correction { id: now.id, version: now.version, fields, ..gone };
        return correct(catalogue, number, &correction, author, reason);
    }
    if reason.trim().is_empty() {
        return Err(Fault::Refused("say why: the journal keeps it".into()).into());
    }
    let Some(about) = file.examinations.iter().map(|e| &e.about).find(|about| about.id.as_ref() == Some(&exam)) else {
        let says = "the whole examination of this line was taken back; take that back, in the journal of the piece";
        return Err(Fault::Refused(says.into()).into());
    };
    let mut out = Out::default();
    out.line("", "[piece]");
    out.field("", "number", &text(number));
    out.examination(about, |_| false);
    out.line("", &format!("[[{section}]]"));
    for field in was.written().filter(|f| f.name != "withdrawn") {
        out.field(field.name, field.name, &kept(field));
    }
    entered(catalogue, &out, author, reason)
}

/// Lets a fact say again what it said before a change, by the row of the journal, if its line still is the version that was
/// seen; a line that was struck out is there again.
///
/// # Errors
/// As [`correct`]; and if there was no such change, or it cannot be put back.
pub fn put_back_fact(
    catalogue: &mut Catalogue,
    number: &str,
    (row, version): (i64, &str),
    author: &str,
    reason: &str,
) -> Result<TakenBack, Refusal> {
    let file = catalogue.piece(number)?;
    let Some(change) = catalogue.fact_changes(number)?.into_iter().find(|change| change.row == row) else {
        return Err(Fault::Refused("there was no such change; load the page again".into()).into());
    };
    if version_of(&file, &change) != version {
        let now = find(&file, change.section, change.line.as_deref()).map(|(line, _)| Box::new(line));
        return Err(Refusal::Meanwhile { now, by: None });
    }
    let intent = Intent { author: author.to_owned(), reason: Some(reason.to_owned()), ..Intent::default() };
    Ok(catalogue.take_back(number, row, Extent::Line, &intent)?)
}

/// The version of the line that was changed, as it stands now; `gone` where it does not.
pub fn version_of(file: &PieceFile, change: &FactChange) -> String {
    find(file, change.section, change.line.as_deref()).map_or_else(|| "gone".to_owned(), |(line, _)| line.version)
}

/// A field as a page would send it.
fn as_value(field: &Entry) -> Value {
    if field.kind != "record" {
        return Value::String(field.text.clone());
    }
    let row = |row: &Vec<Entry>| {
        let written = row.iter().filter(|e| e.is_written());
        Value::Object(written.map(|e| (e.name.to_owned(), as_value(e))).collect())
    };
    Value::Array(field.rows.iter().map(row).collect())
}

/// What became of a line that does not stand any more.
fn meanwhile(catalogue: &Catalogue, file: &PieceFile, correction: &Correction) -> Result<Refusal, Fault> {
    let fates = catalogue.fates(file.number())?;
    let mut id = correction.id.clone().unwrap_or_default();
    let mut by = None;
    // Each correction is a new line; a chain of them is never longer than all there are.
    for _ in 0..=fates.len() {
        let Some(fate) = fates.get(&id) else { break };
        by = Some(Box::new(fate.clone()));
        let Some(next) = &fate.now else { break };
        id.clone_from(next);
    }
    let now = find(file, &correction.section, Some(&id)).map(|(line, _)| Box::new(line));
    Ok(Refusal::Meanwhile { now, by })
}

/// The sheet of a correction.
fn written(
    file: &PieceFile,
    line: &Line,
    exam: Option<usize>,
    correction: &Correction,
    reason: &str,
) -> Result<Out, Vec<Mistaken>> {
    let mut out = Out::default();
    let known = |name: &str| line.fields.iter().any(|f| f.name == name);
    let strange = correction.fields.keys().filter(|name| !known(name) || *name == "number" || *name == "withdrawn");
    let strange: Vec<Mistaken> = strange
        .map(|name| Mistaken { field: name.clone(), what: format!("`{name}` cannot be corrected here") })
        .collect();
    if !strange.is_empty() {
        return Err(strange);
    }
    // A fact that is left alone stays as it is; an observation is written anew, whole.
    let whole = !matches!(line.section, "piece" | "examination");
    let id = line.id.as_deref().unwrap_or_default();
    let struck = if correction.withdraw && !is_observed(line.section) {
        if line.section == "piece" {
            let what = "the piece itself cannot be struck out; withdraw it with `dimity withdraw`".into();
            return Err(vec![Mistaken { field: String::new(), what }]);
        }
        vec![format!("{}.{id}", line.section)]
    } else if whole {
        Vec::new()
    } else {
        struck_out(line, correction)?
    };
    if !struck.is_empty() {
        out.field("", "strike", &list(&struck.join("\n")));
    }
    out.line("", "[piece]");
    out.field("", "number", &text(file.number()));
    let about = exam.and_then(|i| file.examinations.get(i)).map(|exam| &exam.about);
    if let Some(about) = about {
        out.examination(about, |name| correction.section == "examination" && correction.fields.contains_key(name));
    }
    if whole && !struck.is_empty() {
        return Ok(out);
    }
    if whole {
        out.line("", &format!("[[{}]]", line.section));
        out.field("", "id", &text(id));
    }
    for field in &line.fields {
        if field.name == "withdrawn" {
            if correction.withdraw {
                out.field("reason", field.name, &text(reason));
            }
            continue;
        }
        match correction.fields.get(field.name) {
            Some(value) => out.field(field.name, field.name, &value_of(field, value)),
            None if whole && field.is_written() => out.field(field.name, field.name, &kept(field)),
            None => {}
        }
    }
    Ok(out)
}

/// The fields of a fact in which something is written and nothing is to be, as a sheet strikes them out.
fn struck_out(line: &Line, correction: &Correction) -> Result<Vec<String>, Vec<Mistaken>> {
    let is_blank = |value: &Value| match value {
        Value::String(words) => words.trim().is_empty(),
        Value::Array(rows) => rows.is_empty(),
        _ => false,
    };
    let blanked: Vec<&Entry> = line
        .fields
        .iter()
        .filter(|field| field.is_written() && correction.fields.get(field.name).is_some_and(is_blank))
        .collect();
    let needed = |field: &&&Entry| field.needed;
    let mistakes: Vec<Mistaken> = blanked
        .iter()
        .filter(needed)
        .map(|field| Mistaken { field: field.name.into(), what: "it is needed; write what is right instead".into() })
        .collect();
    if !mistakes.is_empty() {
        return Err(mistakes);
    }
    Ok(blanked.iter().map(|field| format!("{}.{}", line.section, field.name)).collect())
}

/// A sheet being written, and for each of its lines the field that it writes.
#[derive(Default)]
struct Out {
    text: String,
    fields: Vec<String>,
}

impl Out {
    fn line(&mut self, field: &str, text: &str) {
        self.text.push_str(text);
        self.text.push('\n');
        self.fields.push(field.to_owned());
    }
    fn field(&mut self, field: &str, name: &str, value: &str) {
        self.line(field, &format!("{name} = {value}"));
    }
    /// A sheet's examination says when and who, also where a line of it is meant; but not what is written below.
    fn examination(&mut self, about: &Circumstances, is_written: impl Fn(&str) -> bool) {
        self.line("", "[examination]");
        self.field("", "id", &text(about.id.as_deref().unwrap_or_default()));
        for (name, value) in [("date", about.date.map(|d| d.to_string())), ("examiner", about.examiner.clone())] {
            if let (Some(value), false) = (value, is_written(name)) {
                self.field(name, name, &text(&value));
            }
        }
    }
}

fn text(words: &str) -> String {
    sheet::quoted(words)
}

fn list(texts: &str) -> String {
    let texts: Vec<String> = texts.lines().map(str::trim).filter(|t| !t.is_empty()).map(text).collect();
    format!("[{}]", texts.join(", "))
}

/// A field as it stands.
fn kept(field: &Entry) -> String {
    if field.kind != "record" {
        return if field.several { list(&field.text) } else { text(&field.text) };
    }
    let row = |row: &Vec<Entry>| {
        let inner = row.iter().filter(|e| e.is_written()).map(|e| format!("{} = {}", e.name, kept(e)));
        format!("{{ {} }}", inner.collect::<Vec<_>>().join(", "))
    };
    let rows: Vec<String> = field.rows.iter().map(row).collect();
    if field.several { format!("[{}]", rows.join(", ")) } else { rows.into_iter().next().unwrap_or_default() }
}

/// A field as someone wrote it now.
fn value_of(field: &Entry, value: &Value) -> String {
    if field.kind != "record" {
        let words = value.as_str().unwrap_or_default();
        return if field.several { list(words) } else { text(words.trim()) };
    }
    let inner = if field.several { &field.blank } else { field.rows.first().unwrap_or(&field.blank) };
    let row = |row: &Map<String, Value>| {
        let entries = inner.iter().filter_map(|e| Some((e, row.get(e.name)?)));
        // Blanks say nothing, and a line of blanks is none.
        let entries = entries
            .map(|(e, v)| (e.name, value_of(e, v)))
            .filter(|(_, v)| !matches!(v.as_str(), "\"\"" | "[]" | "{  }"));
        format!("{{ {} }}", entries.map(|(name, v)| format!("{name} = {v}")).collect::<Vec<_>>().join(", "))
    };
    let rows = value.as_array().map(Vec::as_slice).unwrap_or_default().iter().filter_map(Value::as_object);
    let rows: Vec<String> = rows.map(row).filter(|row| row != "{  }").collect();
    if field.several { format!("[{}]", rows.join(", ")) } else { rows.into_iter().next().unwrap_or("{  }".into()) }
}
