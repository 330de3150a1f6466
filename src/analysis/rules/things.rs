//! The recorded lines of a piece as rules look at them: terms, texts and colour readings, each with its field.

use std::collections::HashSet;

use super::phrase::tokens;
use crate::colour::Lab;
use crate::record::form::{Field, Form, Record, Rows};
use crate::record::{Observation, Observed, PieceFile};
use crate::vocabulary::{Scheme, TermId, Vocabulary};

/// One recorded line.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Thing {
    /// Its section in the sheet: `textile`, `trimming`, `condition` ...
    pub section: &'static str,
    /// Its terms, each with the name of its field.
    pub terms: Vec<(&'static str, TermId)>,
    /// Its texts.
    pub(super) texts: Vec<Text>,
    /// Its colour readings.
    pub labs: Vec<Lab>,
    component: Option<String>,
}

/// One written text, taken apart once for all rules.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Text {
    /// The name of its field.
    pub field: &'static str,
    /// As it stands.
    pub written: String,
    /// Its words.
    pub words: Vec<String>,
}

impl Text {
    fn of(field: &'static str, written: &str) -> Self {
        Self { field, written: written.to_owned(), words: tokens(written) }
    }
}

impl Thing {
    fn of(section: &'static str, record: &mut dyn Record) -> Self {
        let mut gather = Gather { thing: Thing { section, ..Thing::default() }, reading: [None; 3] };
        record.fields(&mut gather);
        gather.thing
    }

    /// The field and the term of this line that is this term, or narrower.
    pub(super) fn names(&self, wanted: &TermId, vocabulary: &Vocabulary) -> Option<(&'static str, &TermId)> {
        let fits = |term: &TermId| {
            term.scheme() == wanted.scheme() && (term == wanted || vocabulary.wider(term).contains(&wanted))
        };
        self.terms.iter().find(|(_, term)| fits(term)).map(|(field, term)| (*field, term))
    }

    /// ``colour `bright green` of trimming `ribbon` (bodice)``.
    pub(super) fn told(&self, what: &str, value: &str) -> String {
        // The vocabulary's word for a component stands in the field `term`.
        let what = if what == "term" { self.section.to_owned() } else { what.replace('_', " ") };
        let lead = self.terms.first().map(|(_, term)| term.name());
        let of = match (self.section, lead) {
            ("piece", _) => "the piece".to_owned(),
            (section, Some(lead)) if lead != value && section != what => format!("{section} `{lead}`"),
            (section, _) if section == what => String::new(),
            (section, _) => section.to_owned(),
        };
        let of = if of.is_empty() { of } else { format!(" of {of}") };
        let place = self.component.as_ref().map(|c| format!(" ({c})")).unwrap_or_default();
        format!("{what} `{value}`{of}{place}")
    }
}

/// The lines of a piece that tell of its material and its state. Withdrawn lines are left out, and notes of damage that a
/// later note continues: the later one says how it stands.
pub fn things(file: &PieceFile) -> Vec<Thing> {
    let mut file = file.clone();
    let continued: HashSet<String> =
        file.examinations.iter().flat_map(|e| &e.conditions).filter_map(|c| c.what.continues.clone()).collect();
    let mut list = vec![Thing::of("piece", &mut file.piece)];
    list.extend(file.components.iter_mut().map(|r| Thing::of("component", r)));
    list.extend(file.events.iter_mut().map(|r| Thing::of("event", r)));
    list.extend(file.housings.iter_mut().map(|r| Thing::of("housing", r)));
    list.extend(file.treatments.iter_mut().map(|r| Thing::of("treatment", r)));
    for exam in &mut file.examinations {
        list.push(Thing::of("examination", &mut exam.about));
        add(&mut list, &mut exam.textiles);
        add(&mut list, &mut exam.stitching);
        add(&mut list, &mut exam.fastenings);
        add(&mut list, &mut exam.stiffening);
        add(&mut list, &mut exam.trimmings);
        add(&mut list, &mut exam.signs);
        exam.conditions.retain(|note| !note.id.as_ref().is_some_and(|id| continued.contains(id)));
        add(&mut list, &mut exam.conditions);
        add(&mut list, &mut exam.hazards);
    }
    // Of the statements on the whole only the last one holds.
    let overall = file.examinations.iter_mut().rev().flat_map(|e| e.overall.iter_mut().rev());
    list.extend(overall.filter(|o| o.withdrawn.is_none()).map(|o| Thing::of("overall", o)).take(1));
    for thing in list.iter_mut().filter(|thing| thing.section == "hazard") {
        // What a hazard is suspected for is no second reason to suspect it.
        thing.texts.clear();
    }
    list
}

fn add<T: Observation>(list: &mut Vec<Thing>, lines: &mut [Observed<T>]) {
    list.extend(lines.iter_mut().filter(|o| o.withdrawn.is_none()).map(|o| Thing::of(T::TABLE, o)));
}

/// Texts that say nothing of the piece itself.
const LEFT_OUT: [&str; 10] = [
    "instrument",
    "withdrawn",
    "methods",
    "reason",
    "magnification",
    "rights",
    "rights_holder",
    "credit_line",
    "source",
    "not_examined",
];

/// Walks a record's fields and notes what rules look at.
struct Gather {
    thing: Thing,
    reading: [Option<f64>; 3],
}

impl Form for Gather {
    fn text(&mut self, field: Field, value: &mut Option<String>) {
        if let Some(text) = value
            && !LEFT_OUT.contains(&field.name)
        {
            self.thing.texts.push(Text::of(field.name, text));
        }
    }
    fn texts(&mut self, field: Field, value: &mut Vec<String>) {
        self.thing.texts.extend(value.iter().map(|text| Text::of(field.name, text)));
    }
    fn number(&mut self, field: Field, value: &mut Option<f64>) {
        if let Some(at) = ["l", "a", "b"].iter().position(|name| *name == field.name) {
            self.reading[at] = *value;
        }
    }
    fn term(&mut self, field: Field, scheme: Scheme, value: &mut Option<TermId>) {
        // How a thing is known is no property of it.
        if let Some(term) = value
            && !matches!(scheme, Scheme::Evidence | Scheme::Certainty | Scheme::Method | Scheme::Light)
        {
            self.thing.terms.push((field.name, term.clone()));
        }
    }
    fn terms(&mut self, field: Field, _: Scheme, value: &mut Vec<TermId>) {
        self.thing.terms.extend(value.iter().map(|term| (field.name, term.clone())));
    }
    fn component(&mut self, _: Field, value: &mut Option<String>) {
        self.thing.component.clone_from(value);
    }
    fn id(&mut self, _: &mut Option<String>) {}
    fn row(&mut self, _: Field, row: &mut dyn Record) {
        row.fields(self);
    }
    fn rows(&mut self, _: Field, rows: &mut dyn Rows) {
        for i in 0..rows.count() {
            self.reading = [None; 3];
            rows.at(i).fields(self);
            if let [Some(l), Some(a), Some(b)] = self.reading {
                self.thing.labs.push(Lab::new(l, a, b));
            }
        }
    }
}
