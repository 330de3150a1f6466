//! Reads a sheet: every mistake is found and shown at once, each with its place and the nearest right thing.

use std::cell::RefCell;
use std::collections::BTreeSet;
use std::ops::Range;

use jiff::civil::Date;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::Mistake;
use crate::dating::{Conventions, Dated};
use crate::measure::{Kind, Quantity};
use crate::record::form::{Earlier, Field, Form, Leaf, Record, Rows};
use crate::record::{Circumstances, Examination, PieceFile};
use crate::vocabulary::{Scheme, TermId, Vocabulary};

/// What a sheet may refer to beside itself.
pub struct Known<'a> {
    /// The terms.
    pub vocabulary: &'a Vocabulary,
    /// The component names of a piece, if the catalogue has it.
    pub components: &'a dyn Fn(&str) -> Option<Vec<String>>,
    /// How dates are understood.
    pub conventions: Conventions,
}

/// A sheet as read.
#[derive(Debug, Clone, PartialEq)]
pub struct Sheet {
    /// The piece, with one examination at most.
    pub file: PieceFile,
    /// Why it is entered, if it says.
    pub reason: Option<String>,
    /// Facts that were never so, by name: `piece.maker`, `departure.ID`.
    pub strike: Vec<String>,
}

/// Reads a sheet.
///
/// # Errors
/// All mistakes, in the order of their lines.
pub fn read(source: &str, known: &Known<'_>) -> Result<Sheet, Vec<Mistake>> {
    let (root, faults) = DeTable::parse_recoverable(source);
    if !faults.is_empty() {
        let found =
            |e: &toml::de::Error| (e.span().unwrap_or(0..0), format!("this is not TOML: {}", e.message().trim()));
        return Err(shown(source, faults.iter().take(MOST).map(found).collect()));
    }
    let text_in =
        |table: &str, key: &str| root.get_ref().get(table)?.get_ref().as_table()?.get(key)?.get_ref().as_str();
    let number = text_in("piece", "number").unwrap_or_default().to_owned();
    let existing = (known.components)(&number);
    let mut components: Vec<String> = existing.clone().unwrap_or_default();
    if let Some(list) = root.get_ref().get("component").and_then(|v| v.get_ref().as_array()) {
        let names =
            list.iter().filter_map(|c| c.get_ref().as_table()?.get("name")?.get_ref().as_str().map(String::from));
        components.extend(names);
    }
    let named_twice = named_twice(root.get_ref());
    let context = Context { source, known, components, is_new: existing.is_none(), mistakes: RefCell::default() };
    for (span, name) in named_twice {
        context.say(
            span,
            format!("the component `{name}` is listed already; a component has one line, and a name of its own"),
        );
    }
    let whole = root.span();
    let mut reader = Reader::new(&context, root.get_ref(), whole.clone());
    let mut file = PieceFile { examinations: vec![Examination::default()], ..PieceFile::default() };
    file.sections(Some(0), &mut reader);
    let mut reason = None;
    reader.text(crate::record::form::field("reason", ""), &mut reason);
    let mut strike = Vec::new();
    reader.texts(crate::record::form::field("strike", ""), &mut strike);
    reader.unknown_keys("section");
    if !root.get_ref().contains_key("piece") {
        context.say(0..0, "the sheet has no [piece]; it begins with [piece] and `number = \"...\"`".into());
    }
    let blank = file.examinations[0] == Examination::default();
    if !blank && !root.get_ref().contains_key("examination") {
        context.say(0..0, "observations belong to an examination; add [examination] with `date` and `examiner`".into());
    }
    if let (false, Some(section)) = (blank, root.get_ref().get("examination"))
        && file.examinations[0].about == Circumstances::default()
        && section.get_ref().as_table().is_some_and(|fields| fields.values().all(|v| says_nothing(v.get_ref())))
    {
        context.say(
            section.span(),
            "observations are filled in below, but [examination] says neither `date` nor `examiner`".into(),
        );
    }
    if blank {
        file.examinations.clear();
    }
    let mistakes = context.mistakes.into_inner();
    if mistakes.is_empty() {
        file.settle();
        file.name_components(known.vocabulary);
        Ok(Sheet { file, reason, strike })
    } else {
        Err(shown(source, mistakes))
    }
}

/// So many mistakes of one sheet are looked for; a file with more was never meant as a sheet.
const MOST: usize = 1000;

/// So many of them are shown.
const SHOWN: usize = 100;

/// The mistakes in the order of their places, with a last line if there are too many to show.
fn shown(source: &str, mut found: Vec<(Range<usize>, String)>) -> Vec<Mistake> {
    found.sort_by_key(|(span, _)| span.start);
    let all = found.len();
    let mut list: Vec<_> = found.into_iter().take(SHOWN).map(|(span, what)| Mistake::at(source, span, what)).collect();
    if let (Some(last), true) = (list.last().cloned(), all > SHOWN) {
        let or_more = if all >= MOST { " or more" } else { "" };
        let what = format!("{} mistakes{or_more} from here on are not shown; mend those above first", all - SHOWN);
        list.push(Mistake { what, ..last });
    }
    list
}

/// Components that are listed more than once, by the place of the later line.
fn named_twice(root: &DeTable<'_>) -> Vec<(Range<usize>, String)> {
    let list = root.get("component").and_then(|v| v.get_ref().as_array());
    let names = list.into_iter().flatten().filter_map(|c| c.get_ref().as_table()?.get("name"));
    let mut seen = BTreeSet::new();
    let again = |value: &&Spanned<DeValue<'_>>| {
        value.get_ref().as_str().is_some_and(|name| !name.trim().is_empty() && !seen.insert(name.trim().to_lowercase()))
    };
    names.filter(again).map(|v| (v.span(), v.get_ref().as_str().unwrap_or_default().trim().to_owned())).collect()
}

/// Whether a value says as little as a field that is not there.
fn says_nothing(value: &DeValue<'_>) -> bool {
    match value {
        DeValue::String(text) => text.trim().is_empty(),
        DeValue::Array(list) => list.is_empty(),
        DeValue::Table(fields) => fields.is_empty(),
        _ => false,
    }
}

struct Context<'a> {
    source: &'a str,
    known: &'a Known<'a>,
    components: Vec<String>,
    is_new: bool,
    mistakes: RefCell<Vec<(Range<usize>, String)>>,
}

impl Context<'_> {
    fn say(&self, span: Range<usize>, what: String) {
        if !self.is_full() {
            self.mistakes.borrow_mut().push((span, what));
        }
    }

    fn is_full(&self) -> bool {
        self.mistakes.borrow().len() >= MOST
    }
}

/// Fills a record from a table.
struct Reader<'a> {
    context: &'a Context<'a>,
    table: &'a DeTable<'a>,
    span: Range<usize>,
    seen: BTreeSet<&'static str>,
    /// A lone value standing for a record: it fills the first field.
    lone: Option<&'a Spanned<DeValue<'a>>>,
    /// How many fields say something.
    filled: usize,
    /// A list that was printed to be filled in and was left empty.
    left_blank: bool,
}

impl<'a> Reader<'a> {
    fn new(context: &'a Context<'a>, table: &'a DeTable<'a>, span: Range<usize>) -> Self {
        Self { context, table, span, seen: BTreeSet::new(), lone: None, filled: 0, left_blank: false }
    }

    /// The value of a field; blank texts and empty lists count as not recorded.
    fn get(&mut self, field: Field) -> Option<&'a Spanned<DeValue<'a>>> {
        let first = self.seen.is_empty();
        self.seen.insert(field.name);
        let value = match self.lone {
            Some(value) if first => Some(value),
            Some(_) => None,
            None => self.table.get(field.name),
        };
        self.left_blank |=
            field.needed && value.is_some_and(|v| v.get_ref().as_array().is_some_and(|list| list.is_empty()));
        let value = value.filter(|v| !says_nothing(v.get_ref()));
        self.filled += usize::from(value.is_some());
        value
    }

    fn say(&self, value: &Spanned<DeValue<'_>>, what: impl Into<String>) {
        self.context.say(value.span(), what.into());
    }

    /// A value as the person wrote it: a text, or a bare number.
    fn words(&self, field: Field, value: &'a Spanned<DeValue<'a>>) -> Option<String> {
        match value.get_ref() {
            DeValue::String(s) => Some(s.trim().to_owned()),
            DeValue::Integer(_) | DeValue::Float(_) | DeValue::Datetime(_) => {
                self.context.source.get(value.span()).map(|s| s.trim().to_owned())
            }
            other => {
                self.say(
                    value,
                    format!("`{}` is written as a text in quotes, not as {}", field.name, kind_word(other)),
                );
                None
            }
        }
    }

    fn get_words(&mut self, field: Field) -> Option<(&'a Spanned<DeValue<'a>>, String)> {
        let value = self.get(field)?;
        self.words(field, value).map(|words| (value, words))
    }

    /// The elements of a list; a lone value is a list of one.
    fn elements(&mut self, field: Field) -> Vec<&'a Spanned<DeValue<'a>>> {
        match self.get(field) {
            None => Vec::new(),
            Some(value) => match value.get_ref() {
                DeValue::Array(list) => list.iter().collect(),
                _ => vec![value],
            },
        }
    }

    fn find_term(&self, scheme: Scheme, value: &'a Spanned<DeValue<'a>>, words: &str) -> Option<TermId> {
        match self.context.known.vocabulary.find(scheme, words) {
            Ok(term) => Some(term.id.clone()),
            Err(unknown) => {
                self.say(value, unknown.to_string());
                None
            }
        }
    }

    fn find_quantity(&self, kind: Kind, value: &'a Spanned<DeValue<'a>>, words: &str) -> Option<Quantity> {
        match Quantity::parse(kind, words) {
            Ok(quantity) => Some(quantity),
            Err(unreadable) => {
                self.context.say(self.inside(value, words, unreadable.at), unreadable.to_string());
                None
            }
        }
    }

    /// The place in the sheet of byte `at` of a value's words; the whole value where it is written with escapes.
    fn inside(&self, value: &Spanned<DeValue<'_>>, words: &str, at: usize) -> Range<usize> {
        let span = value.span();
        let written = self.context.source.get(span.clone()).unwrap_or_default();
        match written.find(words) {
            Some(begin) if at < words.len() => span.start + begin + at..span.start + begin + words.len(),
            _ => span,
        }
    }

    fn unknown_keys(&self, what: &str) {
        for (key, _) in self.table {
            let name = key.get_ref().as_ref();
            if !self.seen.contains(name) && !self.context.is_full() {
                let near = self
                    .seen
                    .iter()
                    .map(|s| (strsim::jaro_winkler(s, name), *s))
                    .filter(|(likeness, _)| *likeness > 0.75);
                let mend = match near.max_by(|a, b| a.0.total_cmp(&b.0)) {
                    Some((_, near)) => format!("did you mean `{near}`?"),
                    None => format!("known here: {}", self.seen.iter().copied().collect::<Vec<_>>().join(", ")),
                };
                self.context.say(key.span(), format!("`{name}` is no {what} of a sheet here; {mend}"));
            }
        }
    }

    /// Fills one record and checks it; says whether anything but a printed blank stood there.
    fn fill(mut self, record: &mut dyn Record, needs: bool) -> bool {
        record.fields(&mut self);
        if self.lone.is_none() {
            self.unknown_keys("field");
        }
        // A printed line is one name and an empty list; with more than that beside it, the list was forgotten.
        if self.filled == 0 || (self.left_blank && self.filled == 1) {
            return false;
        }
        if needs {
            let mut missing = Missing {
                context: self.context,
                span: self.span.clone(),
                table: self.table,
                lone: self.lone.is_some(),
                first: true,
            };
            record.fields(&mut missing);
        }
        let place = |field: &str| match (self.lone, self.table.get(field)) {
            (Some(value), _) | (None, Some(value)) => value.span(),
            (None, None) => self.span.clone(),
        };
        record.rules(&mut |field, what| self.context.say(place(field), what));
        true
    }
}

fn kind_word(value: &DeValue<'_>) -> &'static str {
    match value {
        DeValue::Array(_) => "a list",
        DeValue::Table(_) => "a table",
        DeValue::Boolean(_) => "true or false",
        DeValue::String(_) => "a text",
        DeValue::Integer(_) | DeValue::Float(_) => "a number",
        DeValue::Datetime(_) => "a date",
    }
}

impl Form for Reader<'_> {
    fn text(&mut self, field: Field, value: &mut Option<String>) {
        if let Some((_, words)) = self.get_words(field) {
            *value = Some(words);
        }
    }
    fn texts(&mut self, field: Field, value: &mut Vec<String>) {
        for element in self.elements(field) {
            value.extend(self.words(field, element).filter(|w| !w.is_empty()));
        }
    }
    fn integer(&mut self, field: Field, value: &mut Option<i64>) {
        if let Some((place, words)) = self.get_words(field) {
            match words.parse() {
                Ok(number) => *value = Some(number),
                Err(_) => self.say(place, format!("`{words}` is no whole number for `{}`", field.name)),
            }
        }
    }
    fn number(&mut self, field: Field, value: &mut Option<f64>) {
        if let Some((place, words)) = self.get_words(field) {
            match words.replace(',', ".").parse::<f64>() {
                Ok(number) if number.is_finite() => *value = Some(number),
                _ => self.say(place, format!("`{words}` is no number for `{}`", field.name)),
            }
        }
    }
    fn day(&mut self, field: Field, value: &mut Option<Date>) {
        if let Some((place, words)) = self.get_words(field) {
            match words.parse::<Date>() {
                Ok(day) if (1500..=2500).contains(&day.year()) => *value = Some(day),
                Ok(_) => self.say(place, format!("`{words}` is no likely day; write year-month-day as 2024-03-12")),
                Err(_) => self.say(place, format!("`{words}` is no day; write year-month-day as 2024-03-12")),
            }
        }
    }
    fn dated(&mut self, field: Field, value: &mut Option<Dated>) {
        if let Some((place, words)) = self.get_words(field) {
            match Dated::parse(&words, &self.context.known.conventions) {
                Ok(date) => *value = Some(date),
                Err(undatable) => self.context.say(self.inside(place, &words, undatable.at), undatable.to_string()),
            }
        }
    }
    fn term(&mut self, field: Field, scheme: Scheme, value: &mut Option<TermId>) {
        if let Some((place, words)) = self.get_words(field) {
            *value = self.find_term(scheme, place, &words);
        }
    }
    fn terms(&mut self, field: Field, scheme: Scheme, value: &mut Vec<TermId>) {
        for element in self.elements(field) {
            if let Some(words) = self.words(field, element) {
                value.extend(self.find_term(scheme, element, &words));
            }
        }
    }
    fn choice(&mut self, field: Field, words: &'static [&'static str], value: &mut Option<String>) {
        if let Some((place, written)) = self.get_words(field) {
            match words.iter().find(|w| w.eq_ignore_ascii_case(&written)) {
                Some(word) => *value = Some((*word).to_owned()),
                None => {
                    let list = words.iter().map(|w| format!("`{w}`")).collect::<Vec<_>>().join(", ");
                    self.say(place, format!("`{written}` does not fit `{}`; write one of {list}", field.name));
                }
            }
        }
    }
    fn quantity(&mut self, field: Field, kind: Kind, value: &mut Option<Quantity>) {
        if let Some((place, words)) = self.get_words(field) {
            *value = self.find_quantity(kind, place, &words);
        }
    }
    fn quantities(&mut self, field: Field, kind: Kind, value: &mut Vec<Quantity>) {
        for element in self.elements(field) {
            if let Some(words) = self.words(field, element) {
                value.extend(self.find_quantity(kind, element, &words));
            }
        }
    }
    fn component(&mut self, field: Field, value: &mut Option<String>) {
        let Some((place, words)) = self.get_words(field) else { return };
        let components = &self.context.components;
        if let Some(name) = components.iter().find(|c| c.eq_ignore_ascii_case(&words)) {
            *value = Some(name.clone());
            return;
        }
        let near =
            components.iter().map(|c| (strsim::jaro_winkler(c, &words), c)).filter(|(likeness, _)| *likeness > 0.75);
        let mend = match near.max_by(|a, b| a.0.total_cmp(&b.0)) {
            Some((_, near)) => format!("did you mean `{near}`? A new one is listed under [[component]]"),
            None => "list it under [[component]]".into(),
        };
        self.say(place, format!("this piece has no component `{words}`; {mend}"));
    }
    fn person(&mut self, field: Field, value: &mut Option<String>) {
        self.text(field, value);
    }
    fn piece(&mut self, field: Field, value: &mut Option<String>) {
        self.text(field, value);
    }
    fn earlier(&mut self, field: Field, _: Earlier, value: &mut Option<String>) {
        self.text(field, value);
    }
    fn id(&mut self, value: &mut Option<String>) {
        if self.lone.is_some() {
            return;
        }
        self.text(crate::record::form::field("id", ""), value);
    }
    fn row(&mut self, field: Field, row: &mut dyn Record) {
        // A [piece] without a number is a mistake also where nothing at all stands in it.
        let value = self.get(field).or_else(|| self.table.get(field.name).filter(|_| field.name == "piece"));
        let Some(value) = value else { return };
        let Some(table) = value.get_ref().as_table() else {
            self.say(value, format!("`{}` is a table: [{0}] with its fields below, or {{ ... }}", field.name));
            return;
        };
        let needs = field.name != "piece" || self.context.is_new;
        let mut reader = Reader::new(self.context, table, value.span());
        reader.filled = usize::from(field.name == "piece");
        if !reader.fill(row, needs) {
            // A table of blanks says as little as no table.
            self.filled = self.filled.saturating_sub(1);
        }
    }
    fn rows(&mut self, field: Field, rows: &mut dyn Rows) {
        let before = (self.filled, rows.count());
        for element in self.elements(field) {
            let reader = match element.get_ref() {
                DeValue::Table(table) => Reader::new(self.context, table, element.span()),
                _ => Reader { lone: Some(element), ..Reader::new(self.context, self.table, element.span()) },
            };
            if !reader.fill(rows.add(), true) {
                rows.drop_last();
            }
        }
        if rows.count() == before.1 {
            self.filled = before.0;
        }
    }
}

/// Names the needed fields that are blank.
struct Missing<'a> {
    context: &'a Context<'a>,
    span: Range<usize>,
    table: &'a DeTable<'a>,
    lone: bool,
    first: bool,
}

impl Missing<'_> {
    fn look(&mut self, field: Field, blank: bool) {
        let first = std::mem::take(&mut self.first);
        // A value that stood there but could not be read has been spoken of already.
        let spoken_of =
            if self.lone { first } else { self.table.get(field.name).is_some_and(|v| !says_nothing(v.get_ref())) };
        if blank && field.needed && !spoken_of {
            self.context.say(self.span.clone(), format!("`{}` is missing here: {}", field.name, field.help));
        }
    }
}

impl Form for Missing<'_> {
    fn leaf(&mut self, field: Field, value: &mut dyn Leaf) {
        self.look(field, value.is_blank());
    }
    fn id(&mut self, _: &mut Option<String>) {}
    fn row(&mut self, _: Field, _: &mut dyn Record) {}
    fn rows(&mut self, _: Field, _: &mut dyn Rows) {}
}
