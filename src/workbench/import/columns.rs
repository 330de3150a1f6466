//! The columns of a list and its layout as a form: what stands in its fields, and what a form says of a mapping.

use std::collections::BTreeMap;

use serde::Serialize;

use crate::exchange::import::correct::{self, Asked};
use crate::exchange::import::mapping::{Column, Layout, Mapping};
use crate::exchange::import::table::short;
use crate::exchange::import::target::Target;
use crate::exchange::old_list::Read;
use crate::vocabulary::Vocabulary;
use crate::workbench::choice::Choice;
use crate::workbench::fault::written;

/// A list of more columns is mapped by the choices alone; what is rarer is written in the text.
const DETAILED: usize = 150;
/// So many letters of an example are shown.
const EXAMPLE: usize = 60;

/// What a form sent: its fields by their names.
pub(super) type Fields = BTreeMap<String, String>;

/// What was wrong, by the name of the field.
pub(super) type Amiss = BTreeMap<String, String>;

/// One column.
#[derive(Serialize)]
pub(super) struct Line {
    at: usize,
    heading: String,
    examples: Vec<String>,
    choices: Vec<Choice>,
    sure: String,
    amiss: String,
    /// Whether its rarer fields are shown at all, and whether they stand open.
    detailed: bool,
    open: bool,
    other: String,
    dimension: String,
    with: String,
    unit: String,
    order: String,
    /// Which is the day, of a column of dates.
    days: Vec<Choice>,
    instead: Vec<Instead>,
}

/// A cell that is read as something else.
#[derive(Serialize)]
struct Instead {
    at: usize,
    text: String,
    meant: String,
}

/// The list as a whole.
#[derive(Serialize)]
pub(super) struct Whole {
    sheets: Vec<Choice>,
    is_text: bool,
    encoding: String,
    delimiters: Vec<Choice>,
    headings: String,
    heading_rows: String,
    day_first: Vec<Choice>,
    date: String,
    examiner: String,
    /// Fields that are the same for every piece, and numbers that are meant otherwise: what stands there, what is meant.
    fixed: Vec<(String, String)>,
    numbers: Vec<(String, String)>,
    amiss: Amiss,
}

/// The columns as the page shows them; `typed` is what stood in a form that was refused.
pub(super) fn lines(read: &Read, typed: &Fields, amiss: &Amiss) -> Vec<Line> {
    let all = correct::choices();
    let detailed = read.headings.names.len() <= DETAILED;
    let line = |(at, heading): (usize, &String)| {
        let none = Column { heading: heading.clone(), ..Column::default() };
        let column = read.mapping.of(heading).unwrap_or(&none);
        let proposed = read.proposal.of(heading).unwrap_or(&none);
        let said = |field: &str, now: String| typed.get(&format!("c{at}-{field}")).cloned().unwrap_or(now);
        let now = correct::choice_of(column);
        let chosen = said("as", now.as_ref().map(|c| c.called.clone()).unwrap_or_default());
        let mut choices: Vec<Choice> = Vec::new();
        if now.is_none() {
            let with: Vec<&str> = column.with.values().map(String::as_str).collect();
            let with = if with.is_empty() { String::new() } else { format!(" ({})", with.join(", ")) };
            choices.push(Choice::of("", format!("{}{with}", in_words(&column.target)), &chosen));
        }
        choices.extend(all.iter().map(|c| Choice::of(&c.called, &c.called, &chosen)));
        let instead = column.instead.iter().enumerate().map(|(j, (text, meant))| Instead {
            at: j,
            text: text.clone(),
            meant: said(&format!("instead-{j}"), meant.clone()),
        });
        let amiss = amiss.get(&format!("c{at}")).cloned().unwrap_or_default();
        let day = said("day_first", order_of_days(column.day_first).into());
        let days = [("", "not known: as the list as a whole has it")];
        let days = if column.target.is_dated() { Choice::list(&[&days[..], &DAYS].concat(), &day) } else { Vec::new() };
        Line {
            at,
            heading: heading.clone(),
            examples: proposed.examples.iter().map(|text| short(text, EXAMPLE)).collect(),
            sure: if (&column.target, &column.with) == (&proposed.target, &proposed.with) {
                proposed.sure.clone()
            } else if read.mapping.of(heading).is_none() {
                "the mapping does not name it: its cells are kept, and not read".into()
            } else {
                "as you chose".into()
            },
            detailed,
            open: !amiss.is_empty(),
            amiss,
            choices,
            other: said("other", String::new()),
            dimension: said("dimension", column.with.get("dimension").cloned().unwrap_or_default()),
            with: said("with", correct::with_in_lines(column)),
            unit: said("unit", column.unit.clone().unwrap_or_default()),
            order: said("order", correct::order_in_words(column)),
            days,
            instead: instead.collect(),
        }
    };
    read.headings.names.iter().enumerate().map(line).collect()
}

/// What `3/4/1998` is, where it is said.
const DAYS: [(&str, &str); 2] = [("yes", "3 April 1998"), ("no", "4 March 1998")];

fn order_of_days(day_first: Option<bool>) -> &'static str {
    day_first.map_or("", |first| if first { "yes" } else { "no" })
}

/// What a field says of that; as it was, where the form has no such field.
fn asked_order(said: Option<&String>, now: Option<bool>) -> Option<bool> {
    match said.map(String::as_str) {
        Some("yes") => Some(true),
        Some("no") => Some(false),
        Some(_) => None,
        None => now,
    }
}

/// What a column is taken for, where it is none of the usual.
fn in_words(target: &Target) -> String {
    target.word().replace('.', ": ").replace('_', " ")
}

/// The list as a whole, as the page shows it.
pub(super) fn whole(read: &Read, typed: &Fields, amiss: Amiss) -> Whole {
    let (file, table) = (&read.mapping.file, &read.table);
    let said = |field: &str, now: String| typed.get(field).cloned().unwrap_or(now);
    let now = said("sheet", table.sheet.clone().unwrap_or_default());
    let sheets = table.sheet.iter().chain(&table.other_sheets).map(|sheet| Choice::of(sheet, sheet, &now)).collect();
    let delimiter = said("delimiter", sign(file.delimiter));
    let signs = [("", "found by looking"), (",", "comma"), (";", "semicolon"), ("tab", "tab"), ("|", "upright stroke")];
    let mut delimiters: Vec<Choice> = Choice::list(&signs, &delimiter);
    if !delimiters.iter().any(Choice::is_chosen) {
        delimiters.push(Choice::of(&delimiter, &delimiter, &delimiter));
    }
    let day = said("day_first", order_of_days(file.day_first).into());
    let days = [&[("", "not known: such days stay doubtful")][..], &DAYS].concat();
    let number = |n: Option<u32>, otherwise: u32| n.unwrap_or(otherwise).to_string();
    let examination = &read.mapping.examination;
    let pairs = |lead: &str, list: Vec<(String, String)>| {
        let one = |(j, (text, meant)): (usize, (String, String))| (text, said(&format!("{lead}{j}"), meant));
        list.into_iter().enumerate().map(one).collect()
    };
    Whole {
        sheets,
        is_text: table.written.is_some(),
        encoding: said("encoding", file.encoding.clone().unwrap_or_default()),
        delimiters,
        headings: said("headings", number(file.headings, 1)),
        heading_rows: said("heading_rows", number(file.heading_rows, 1)),
        day_first: Choice::list(&days, &day),
        date: said("date", examination.date.map(|d| d.to_string()).unwrap_or_default()),
        examiner: said("examiner", examination.examiner.clone().unwrap_or_default()),
        fixed: pairs("f", fixed(&read.mapping)),
        numbers: pairs("n", read.mapping.numbers.clone().into_iter().collect()),
        amiss,
    }
}

fn fixed(mapping: &Mapping) -> Vec<(String, String)> {
    mapping.fixed.iter().map(|(target, value)| (target.word(), value.clone())).collect()
}

fn sign(delimiter: Option<char>) -> String {
    match delimiter {
        Some('\t') => "tab".into(),
        Some(sign) => sign.to_string(),
        None => String::new(),
    }
}

/// The mapping as a form corrects it, and how it lays the file out; else what is wrong, by field.
pub(super) fn corrected(read: &Read, fields: &Fields, vocabulary: &Vocabulary) -> Result<(Mapping, Layout), Amiss> {
    let mut mapping = read.mapping.clone();
    let mut amiss = Amiss::new();
    let said = |field: &str| fields.get(field).map_or("", String::as_str);
    for (at, heading) in read.headings.names.iter().enumerate() {
        let said = |field: &str| said(&format!("c{at}-{field}"));
        if !fields.contains_key(&format!("c{at}-as")) {
            continue;
        }
        let known = mapping.column.iter().position(|c| c.heading == *heading);
        let place = known.unwrap_or(mapping.column.len());
        if known.is_none() {
            mapping.column.push(Column { heading: heading.clone(), ..Column::default() });
        }
        let column = &mut mapping.column[place];
        // Where the rarer fields were not shown, they stay as they are.
        let (with, order) = (correct::with_in_lines(column), correct::order_in_words(column));
        let (unit, dimension) = (column.unit.clone().unwrap_or_default(), column.with.get("dimension").cloned());
        let or = |field: &str, now: &str| {
            fields.get(&format!("c{at}-{field}")).map_or(now.to_owned(), |text| text.replace("\r\n", "\n"))
        };
        let asked = Asked {
            called: said("as"),
            other: said("other"),
            dimension: &or("dimension", dimension.as_deref().unwrap_or_default()),
            with: &or("with", &with),
            unit: &or("unit", &unit),
            order: &or("order", &order),
        };
        if let Err(why) = column.ask(&asked, vocabulary) {
            amiss.insert(format!("c{at}"), why);
        }
        column.day_first = asked_order(fields.get(&format!("c{at}-day_first")), column.day_first);
        for (j, text) in column.instead.clone().into_keys().enumerate() {
            if fields.contains_key(&format!("c{at}-asis-{j}")) {
                column.instead.remove(&text);
            } else if let Some(meant) = fields.get(&format!("c{at}-instead-{j}")) {
                column.instead.insert(text, meant.trim().to_owned());
            }
        }
    }
    let mut layout = mapping.file.clone();
    let mut figure = |field: &str, now: &mut Option<u32>| match fields.get(field).map(|text| text.trim().parse()) {
        None => {}
        Some(Ok(n)) => *now = Some(n),
        Some(Err(_)) => _ = amiss.insert(field.into(), "write a whole number".into()),
    };
    figure("headings", &mut layout.headings);
    figure("heading_rows", &mut layout.heading_rows);
    if fields.contains_key("sheet") {
        layout.sheet = written(said("sheet"));
    }
    if fields.contains_key("delimiter") {
        let sign = said("delimiter");
        layout.delimiter = if sign == "tab" { Some('\t') } else { sign.chars().next() };
        layout.encoding = written(said("encoding"));
    }
    layout.day_first = asked_order(fields.get("day_first"), layout.day_first);
    if fields.contains_key("date") {
        mapping.examination.examiner = written(said("examiner"));
        match said("date").trim() {
            "" => mapping.examination.date = None,
            text => match text.parse() {
                Ok(date) => mapping.examination.date = Some(date),
                Err(_) => _ = amiss.insert("date".into(), format!("`{text}` is no day; write it as 2009-05-31")),
            },
        }
    }
    for (j, (word, _)) in fixed(&mapping).into_iter().enumerate() {
        let (Some(value), Ok(target)) = (fields.get(&format!("f{j}")), Target::parse(&word)) else { continue };
        match written(value) {
            Some(value) => _ = mapping.fixed.insert(target, value),
            None => _ = mapping.fixed.remove(&target),
        }
    }
    if let (Some(word), Some(value)) = (written(said("f-field")), written(said("f-value"))) {
        match Target::parse(&word) {
            Ok(target) => _ = mapping.fixed.insert(target, value),
            Err(why) => _ = amiss.insert("f-field".into(), why),
        }
    }
    for (j, stands) in mapping.numbers.clone().into_keys().enumerate() {
        match fields.get(&format!("n{j}")).map(|meant| written(meant)) {
            Some(Some(meant)) => _ = mapping.numbers.insert(stands, meant),
            Some(None) => _ = mapping.numbers.remove(&stands),
            None => {}
        }
    }
    if let (Some(stands), Some(meant)) = (written(said("n-written")), written(said("n-meant"))) {
        mapping.numbers.insert(stands, meant);
    }
    if amiss.is_empty() { Ok((mapping, layout)) } else { Err(amiss) }
}
