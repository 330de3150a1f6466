//! The records of a piece as lines meet them.

use crate::exchange::line::{Section, Written, written};
use crate::record::PieceFile;
use crate::record::form::{Field, Form, Record as Fields, Rows};

/// One record of a piece.
#[derive(Debug, Clone)]
pub(super) struct Record {
    pub section: &'static Section,
    pub id: Option<String>,
    pub written: Vec<Written>,
    /// Its examination: day and examiner; none for what belongs to the piece.
    pub of: Option<(String, String)>,
}

impl Record {
    pub fn is_observation(&self) -> bool {
        self.section.observed && self.section.several
    }
}

/// All records of a piece, each examination after the other.
pub(super) fn records(file: &PieceFile) -> Vec<Record> {
    let mut file = file.clone();
    let mut walk = Walk { list: Vec::new(), of: None };
    file.sections(None, &mut walk);
    for exam in &mut file.examinations {
        let day = exam.about.date.map(|d| d.to_string()).unwrap_or_default();
        walk.of = Some((day, exam.about.examiner.clone().unwrap_or_default()));
        exam.sections(&mut walk);
    }
    walk.list
}

struct Walk {
    list: Vec<Record>,
    of: Option<(String, String)>,
}

impl Walk {
    fn add(&mut self, field: Field, record: &mut dyn Fields) {
        let Some(section) = Section::named(field.name) else { return };
        let (id, written) = written(record);
        self.list.push(Record { section, id, written, of: self.of.clone() });
    }
}

impl Form for Walk {
    fn id(&mut self, _: &mut Option<String>) {}
    fn row(&mut self, field: Field, row: &mut dyn Fields) {
        self.add(field, row);
    }
    fn rows(&mut self, field: Field, rows: &mut dyn Rows) {
        for i in 0..rows.count() {
            self.add(field, rows.at(i));
        }
    }
}
