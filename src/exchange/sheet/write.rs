//! Prints a sheet: blank with words that teach, or filled with what is known.

use std::fmt::Write as _;

use jiff::civil::Date;

use crate::dating::Dated;
use crate::measure::{Kind, Quantity};
use crate::record::condition::{Condition, Overall};
use crate::record::form::{Earlier, Field, Form, Record, Rows};
use crate::record::measurement::Measurement;
use crate::record::piece::Component;
use crate::record::{Examination, Observed, PieceFile};
use crate::vocabulary::{Scheme, Term, TermId};

const TEACH: &str = "\
# Examination sheet. Fill in what you saw; leave the rest: a blank means NOT RECORDED, never no, none or good.
# Quantities as you read them: \"27 1/2 in\", \"41.5 cm\", \"2 x 3 cm\"; counts as \"9 in 1 in\"; several readings in a list.
# Dates as you would write them: \"c. 1812\", \"1780-90\", \"late 18th century\"; days as 2024-03-12.
# A line that begins with # is a remark. To use a section that is only named, remove its # and add the fields you need.
# Every observation may also carry: evidence (measured, seen, inferred, published, depicted, reported),
# certainty (certain, probable, possible), interpretation, note. `dimity terms SCHEME` lists the words of a field.
";

/// Sections printed in full on a blank sheet; the others are named with their fields.
const IN_FULL: [&str; 8] =
    ["piece", "component", "examination", "textile", "stitching", "condition", "overall", "measurement"];

/// A blank sheet for a piece, with the components and dimensions that belong to the kind of garment.
pub fn blank(number: &str, garment: Option<&Term>) -> String {
    let mut file = PieceFile::default();
    file.piece.number = Some(number.into());
    let mut exam = Examination::default();
    if let Some(garment) = garment {
        file.piece.garment = Some(garment.id.clone());
        file.components = garment
            .components
            .iter()
            .map(|name| Component { name: Some(name.clone()), ..Component::default() })
            .collect();
        exam.measurements = garment
            .dimensions
            .iter()
            .map(|name| Observed {
                what: Measurement { dimension: Some(TermId::new(Scheme::Dimension, name)), ..Measurement::default() },
                ..Observed::default()
            })
            .collect();
    }
    file.examinations.push(exam);
    let mut printer = Printer { out: TEACH.into(), teach: true };
    file.sections(Some(0), &mut printer);
    printer.out
}

/// A sheet filled with what is known of a piece and of one of its examinations.
pub fn filled(file: &PieceFile, examination: Option<usize>) -> String {
    let mut printer = Printer { out: String::new(), teach: false };
    file.clone().sections(examination, &mut printer);
    printer.out.trim_start().to_owned()
}

/// The fields that a person fills in, each with the line that teaches it; those that every observation has are left out.
pub fn fields_of(record: &mut dyn Record) -> Vec<(String, &'static str)> {
    Lines::of(record, true).into_iter().map(|(name, _, help)| (name, help)).collect()
}

/// A sheet for a new examination of a piece: each condition note of the last one, already tied to the note that it
/// continues. What was measured and judged then stands beside blanks, as a remark: a figure that is only left standing
/// would count as seen again.
pub fn again(file: &PieceFile, today: Date) -> String {
    let mut next = PieceFile::default();
    next.piece.number.clone_from(&file.piece.number);
    let mut exam = Examination::default();
    exam.about.date = Some(today);
    let notes = file.examinations.last().map(|last| last.conditions.clone()).unwrap_or_default();
    let mut out = String::from(
        "# A new examination. Each condition note below stood in the last one: look again, write what you see now,\n\
         # and remove those that you did not look at. What was found then stands as `last`. Add new notes without `continues`.\n",
    );
    let mut printer = Printer { out: String::new(), teach: false };
    next.sections(None, &mut printer);
    let _ = writeln!(printer.out);
    printer.block("[examination]", &mut exam.about, true);
    for note in notes.into_iter().filter(|n| n.withdrawn.is_none()) {
        let _ = writeln!(printer.out);
        printer.once_more(note);
    }
    let _ = writeln!(printer.out);
    printer.block("[[overall]]", &mut Observed::<Overall>::default(), true);
    out.push_str(&printer.out);
    out
}

/// Prints section after section.
struct Printer {
    out: String,
    teach: bool,
}

impl Printer {
    /// A condition note to be looked at again: what and where as before, how much and how bad left open.
    fn once_more(&mut self, mut note: Observed<Condition>) {
        let what = std::mem::take(&mut note.what);
        let name = |id: Option<&TermId>| id.map(|id| id.name().to_owned()).unwrap_or_default();
        let last = [
            ("extent", what.extent.as_ref().map(|q| q.as_written.clone()).unwrap_or_default()),
            ("severity", name(what.severity.as_ref())),
            ("activity", name(what.activity.as_ref())),
        ];
        note.what =
            Condition { damage: what.damage, place: what.place, continues: note.id.take(), ..Condition::default() };
        note.what.cause = what.cause;
        (note.interpretation, note.note, note.evidence, note.certainty) = (None, None, None, None);
        self.block("[[condition]]", &mut note, false);
        for (field, last) in last {
            let last = if last.is_empty() { "not recorded".to_owned() } else { last.replace(char::is_control, " ") };
            let _ = writeln!(self.out, "{field} = \"\"  # last: {last}");
        }
    }

    fn block(&mut self, heading: &str, record: &mut dyn Record, with_blanks: bool) {
        let fields = Lines::of(record, with_blanks);
        let _ = writeln!(self.out, "{heading}");
        let widest = fields.iter().map(|l| l.0.len() + l.1.len()).filter(|w| *w < 44).max().unwrap_or(0);
        for (name, value, help) in fields {
            let entry = format!("{name} = {value}");
            if with_blanks {
                let _ = writeln!(self.out, "{entry:widest$}  # {help}", widest = widest + 3);
            } else {
                let _ = writeln!(self.out, "{entry}");
            }
        }
    }
}

impl Form for Printer {
    fn id(&mut self, _: &mut Option<String>) {}
    fn row(&mut self, field: Field, row: &mut dyn Record) {
        let nothing = Lines::of(row, false).is_empty();
        if nothing && !self.teach {
            return;
        }
        let _ = writeln!(self.out);
        if self.teach {
            let _ = writeln!(self.out, "# {}", field.help);
        }
        self.block(&format!("[{}]", field.name), row, self.teach);
    }
    fn rows(&mut self, field: Field, rows: &mut dyn Rows) {
        let heading = format!("[[{}]]", field.name);
        if self.teach {
            let _ = writeln!(self.out, "\n# {}", field.help);
            if rows.count() == 0 {
                let full = IN_FULL.contains(&field.name);
                let blank = rows.add();
                if full {
                    self.block(&heading, blank, true);
                } else {
                    let names: Vec<_> = Lines::of(blank, true).into_iter().map(|l| l.0).collect();
                    let _ = writeln!(self.out, "# {heading}  {}", names.join(", "));
                }
                rows.drop_last();
                return;
            }
        }
        for i in 0..rows.count() {
            if self.teach && field.name == "measurement" {
                let mut lines = Lines::of(rows.at(i), false);
                lines.push(("readings".into(), "[]".into(), ""));
                let line: Vec<_> = lines.iter().map(|(name, value, _)| format!("{name} = {value}")).collect();
                let _ = writeln!(self.out, "{heading}\n{}", line.join("\n"));
            } else {
                if !self.teach {
                    let _ = writeln!(self.out);
                }
                self.block(&heading, rows.at(i), false);
            }
        }
    }
}

/// Fields that every observation has: told once at the top of a blank sheet.
const TOLD_ONCE: [&str; 5] = ["evidence", "certainty", "interpretation", "note", "withdrawn"];

/// The lines of one record: name, TOML value, help.
struct Lines {
    lines: Vec<(String, String, &'static str)>,
    with_blanks: bool,
}

impl Lines {
    fn of(record: &mut dyn Record, with_blanks: bool) -> Vec<(String, String, &'static str)> {
        let mut lines = Self { lines: Vec::new(), with_blanks };
        record.fields(&mut lines);
        lines.lines
    }

    fn add(&mut self, field: Field, value: Option<String>, blank: &str) {
        let told_once = TOLD_ONCE.contains(&field.name);
        match value {
            Some(value) => self.lines.push((field.name.into(), value, field.help)),
            None if self.with_blanks && !told_once => self.lines.push((field.name.into(), blank.into(), field.help)),
            None => {}
        }
    }

    fn words(&mut self, field: Field, value: Option<&str>) {
        self.add(field, value.map(quoted), "\"\"");
    }

    fn list<'a>(&mut self, field: Field, values: impl Iterator<Item = &'a str>) {
        let values: Vec<_> = values.map(quoted).collect();
        self.add(field, (!values.is_empty()).then(|| format!("[{}]", values.join(", "))), "[]");
    }
}

/// A TOML text on one line.
pub fn quoted(text: &str) -> String {
    let mut out = String::with_capacity(text.len() + 2);
    out.push('"');
    for c in text.chars() {
        match c {
            '"' => out.push_str("\\\""),
            '\\' => out.push_str("\\\\"),
            '\n' => out.push_str("\\n"),
            '\t' => out.push_str("\\t"),
            '\r' => out.push_str("\\r"),
            c if c.is_control() => {
                let _ = write!(out, "\\u{:04X}", c as u32);
            }
            c => out.push(c),
        }
    }
    out.push('"');
    out
}

fn inline(record: &mut dyn Record) -> Option<String> {
    let fields: Vec<_> =
        Lines::of(record, false).into_iter().map(|(name, value, _)| format!("{name} = {value}")).collect();
    (!fields.is_empty()).then(|| format!("{{ {} }}", fields.join(", ")))
}

impl Form for Lines {
    fn text(&mut self, field: Field, value: &mut Option<String>) {
        self.words(field, value.as_deref());
    }
    fn texts(&mut self, field: Field, value: &mut Vec<String>) {
        self.list(field, value.iter().map(String::as_str));
    }
    fn integer(&mut self, field: Field, value: &mut Option<i64>) {
        self.add(field, value.map(|n| n.to_string()), "\"\"");
    }
    fn number(&mut self, field: Field, value: &mut Option<f64>) {
        self.add(field, value.map(|n| format!("{n:?}")), "\"\"");
    }
    fn day(&mut self, field: Field, value: &mut Option<Date>) {
        self.add(field, value.map(|d| d.to_string()), "\"\"");
    }
    fn dated(&mut self, field: Field, value: &mut Option<Dated>) {
        self.words(field, value.as_ref().map(|d| d.as_written.as_str()));
    }
    fn term(&mut self, field: Field, _: Scheme, value: &mut Option<TermId>) {
        self.words(field, value.as_ref().map(TermId::name));
    }
    fn terms(&mut self, field: Field, _: Scheme, value: &mut Vec<TermId>) {
        self.list(field, value.iter().map(TermId::name));
    }
    fn choice(&mut self, field: Field, _: &'static [&'static str], value: &mut Option<String>) {
        self.words(field, value.as_deref());
    }
    fn quantity(&mut self, field: Field, _: Kind, value: &mut Option<Quantity>) {
        self.words(field, value.as_ref().map(|q| q.as_written.as_str()));
    }
    fn quantities(&mut self, field: Field, _: Kind, value: &mut Vec<Quantity>) {
        self.list(field, value.iter().map(|q| q.as_written.as_str()));
    }
    fn component(&mut self, field: Field, value: &mut Option<String>) {
        self.words(field, value.as_deref());
    }
    fn person(&mut self, field: Field, value: &mut Option<String>) {
        self.words(field, value.as_deref());
    }
    fn piece(&mut self, field: Field, value: &mut Option<String>) {
        self.words(field, value.as_deref());
    }
    fn earlier(&mut self, field: Field, _: Earlier, value: &mut Option<String>) {
        self.words(field, value.as_deref());
    }
    fn id(&mut self, value: &mut Option<String>) {
        if let Some(id) = value {
            self.lines.push(("id".into(), quoted(id), ""));
        }
    }
    fn row(&mut self, field: Field, row: &mut dyn Record) {
        let value = inline(row);
        self.add(field, value, "{}");
    }
    fn rows(&mut self, field: Field, rows: &mut dyn Rows) {
        let values: Vec<_> = (0..rows.count()).filter_map(|i| inline(rows.at(i))).collect();
        self.add(field, (!values.is_empty()).then(|| format!("[{}]", values.join(", "))), "[]");
    }
}
