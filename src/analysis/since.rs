//! What was recorded of a piece then, and what is recorded now: every line that was added, corrected, withdrawn or
//! taken away, field by field. Lines are known by their identifiers, so that a line moved about is no difference.

use std::collections::{BTreeMap, HashSet};

use jiff::civil::Date;

use crate::dating::Dated;
use crate::measure::{Kind, Quantity};
use crate::record::form::{Field, Form, Record, Rows};
use crate::record::photograph::Photograph;
use crate::record::{Examination, PieceFile};
use crate::vocabulary::{Scheme, TermId};

/// One line that is not as it was.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Difference {
    /// The day of the examination that it belongs to, if it belongs to one.
    pub examined: Option<Date>,
    /// The kind of line: `condition`, `event`, `photograph`.
    pub section: &'static str,
    /// Which line: `tear, left front`.
    pub what: String,
    /// What became of it.
    pub became: Became,
    /// The identifier that the line had then; blank for a new one.
    pub then: String,
}

/// What became of a line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Became {
    /// It was not there then.
    Added,
    /// It is not there now: withdrawn, or taken away.
    Gone,
    /// Some of its fields differ: the field, what it said then, what it says now; blank where it said nothing.
    Changed(Vec<(String, String, String)>),
}

/// Every difference, in the order of the sheet, then of the examinations, then of the photographs. `corrected` leads from
/// the identifier of a line to that of its correction. Of an examination that was not there then only one line is given.
pub fn differences(then: &PieceFile, now: &PieceFile, corrected: &BTreeMap<String, String>) -> Vec<Difference> {
    let mut list = lines_differ(None, &file_lines(then), &file_lines(now), corrected);
    let about = |e: &Examination| e.about.id.clone().unwrap_or_default();
    for exam in &then.examinations {
        let day = exam.about.date;
        match now.examinations.iter().find(|e| about(e) == about(exam)) {
            Some(same) => list.extend(lines_differ(day, &exam_lines(exam), &exam_lines(same), corrected)),
            None => list.push(whole(exam, Became::Gone)),
        }
    }
    let known: HashSet<String> = then.examinations.iter().map(about).collect();
    let fresh = now.examinations.iter().filter(|e| !known.contains(&about(e)));
    list.extend(fresh.map(|e| whole(e, Became::Added)));
    list.extend(lines_differ(None, &photographs(then), &photographs(now), corrected));
    list
}

fn whole(exam: &Examination, became: Became) -> Difference {
    let by = exam.about.examiner.as_deref().map(|who| format!("by {who}")).unwrap_or_default();
    let then = if became == Became::Added { String::new() } else { exam.about.id.clone().unwrap_or_default() };
    Difference { examined: exam.about.date, section: "examination", what: by, became, then }
}

/// One line as words.
#[derive(Debug, Clone, Default, PartialEq)]
struct Line {
    section: &'static str,
    id: String,
    fields: Vec<(String, String)>,
}

impl Line {
    /// The first field and the component: `tear, left front`.
    fn name(&self) -> String {
        let field = |name: &str| self.fields.iter().find(|(n, _)| n == name).map(|(_, v)| v.clone());
        let first = self.fields.iter().find(|(n, _)| n != "component").map(|(_, v)| v.clone());
        let parts = [first, field("component").or_else(|| field("place"))];
        let mut words: Vec<String> = parts.into_iter().flatten().collect();
        words.dedup();
        words.join(", ")
    }
}

fn lines_differ(
    examined: Option<Date>,
    then: &[Line],
    now: &[Line],
    corrected: &BTreeMap<String, String>,
) -> Vec<Difference> {
    let mut taken: HashSet<&str> = HashSet::new();
    let mut list = Vec::new();
    for old in then {
        let id = latest(&old.id, corrected);
        // The piece itself and its like have no identifier in a sheet: there is one of them.
        let same = now.iter().find(|n| n.section == old.section && n.id == id);
        let became = match same {
            Some(new) => {
                taken.insert(new.id.as_str());
                let fields = fields_differ(&old.fields, &new.fields);
                if fields.is_empty() {
                    continue;
                }
                Became::Changed(fields)
            }
            None => Became::Gone,
        };
        list.push(Difference { examined, section: old.section, what: old.name(), became, then: old.id.clone() });
    }
    let added = now.iter().filter(|n| !taken.contains(n.id.as_str()) && !then.iter().any(|o| o.id == n.id));
    list.extend(added.map(|n| Difference {
        examined,
        section: n.section,
        what: n.name(),
        became: Became::Added,
        then: String::new(),
    }));
    list
}

/// The last correction of a line. A circle, which nothing here can draw, ends the walk.
fn latest<'a>(id: &'a str, corrected: &'a BTreeMap<String, String>) -> &'a str {
    let mut now = id;
    for _ in 0..=corrected.len() {
        match corrected.get(now) {
            Some(next) => now = next,
            None => break,
        }
    }
    now
}

fn fields_differ(then: &[(String, String)], now: &[(String, String)]) -> Vec<(String, String, String)> {
    let said = |list: &[(String, String)], name: &str| {
        list.iter().find(|(n, _)| n == name).map(|(_, v)| v.clone()).unwrap_or_default()
    };
    let mut names: Vec<&String> = then.iter().map(|(n, _)| n).collect();
    names.extend(now.iter().map(|(n, _)| n).filter(|n| !then.iter().any(|(o, _)| o == *n)));
    let all = names.into_iter().map(|n| (n.clone(), said(then, n), said(now, n)));
    all.filter(|(_, a, b)| a != b).collect()
}

fn file_lines(file: &PieceFile) -> Vec<Line> {
    let mut words = Words::default();
    file.clone().sections(None, &mut words);
    words.lines
}

fn exam_lines(exam: &Examination) -> Vec<Line> {
    let mut words = Words::default();
    exam.clone().sections(&mut words);
    words.lines
}

fn photographs(file: &PieceFile) -> Vec<Line> {
    file.photographs.iter().map(photograph).collect()
}

fn photograph(p: &Photograph) -> Line {
    let name = |t: &Option<TermId>| t.as_ref().map(ToString::to_string);
    let mut fields = Vec::new();
    let mut put = |name: &str, value: Option<String>| {
        if let Some(value) = value.filter(|v| !v.is_empty()) {
            fields.push((name.to_owned(), value));
        }
    };
    put("view", name(&p.view));
    put("component", p.component.clone());
    put("light", name(&p.light));
    put("stage", p.stage.clone());
    put("examination", p.examination.map(|d| d.to_string()));
    put("treatment", p.treatment.clone());
    put("photographer", p.photographer.clone());
    put("caption", p.caption.clone());
    for (i, r) in p.regions.iter().enumerate() {
        let what = [Some(r.label.clone()), Some(r.shape.to_string()), r.outlines.clone(), r.note.clone()];
        let what: Vec<String> = what.into_iter().flatten().filter(|t| !t.is_empty()).collect();
        put(&format!("region {}", i + 1), Some(what.join(", ")));
    }
    Line { section: "photograph", id: p.id.clone(), fields }
}

/// Reads sections off as lines of words.
#[derive(Default)]
struct Words {
    lines: Vec<Line>,
    /// The names of the records that the present field lies in, below the line itself.
    path: Vec<String>,
    within: bool,
}

impl Words {
    fn put(&mut self, field: Field, value: Option<String>) {
        let Some(value) = value.filter(|v| !v.trim().is_empty()) else { return };
        let name = self.path.iter().map(String::as_str).chain([field.name]).collect::<Vec<_>>().join(" ");
        if let Some(line) = self.lines.last_mut() {
            line.fields.push((name.replace('_', " "), value));
        }
    }

    /// A section of the sheet, or a record within a line.
    fn record(&mut self, name: String, section: &'static str, record: &mut dyn Record) {
        if self.within {
            self.path.push(name);
            record.fields(self);
            self.path.pop();
        } else {
            self.lines.push(Line { section, ..Line::default() });
            self.within = true;
            record.fields(self);
            self.within = false;
        }
    }
}

impl Form for Words {
    fn text(&mut self, field: Field, value: &mut Option<String>) {
        self.put(field, value.as_ref().map(|t| t.trim().to_owned()));
    }
    fn texts(&mut self, field: Field, value: &mut Vec<String>) {
        self.put(field, Some(value.join("; ")));
    }
    fn integer(&mut self, field: Field, value: &mut Option<i64>) {
        self.put(field, value.map(|n| n.to_string()));
    }
    fn number(&mut self, field: Field, value: &mut Option<f64>) {
        self.put(field, value.map(|n| n.to_string()));
    }
    fn day(&mut self, field: Field, value: &mut Option<Date>) {
        self.put(field, value.map(|d| d.to_string()));
    }
    fn dated(&mut self, field: Field, value: &mut Option<Dated>) {
        self.put(field, value.as_ref().map(|d| d.as_written.clone()));
    }
    fn term(&mut self, field: Field, _: Scheme, value: &mut Option<TermId>) {
        self.put(field, value.as_ref().map(ToString::to_string));
    }
    fn terms(&mut self, field: Field, _: Scheme, value: &mut Vec<TermId>) {
        self.put(field, Some(value.iter().map(ToString::to_string).collect::<Vec<_>>().join(", ")));
    }
    fn choice(&mut self, field: Field, _: &'static [&'static str], value: &mut Option<String>) {
        self.put(field, value.clone());
    }
    fn quantity(&mut self, field: Field, _: Kind, value: &mut Option<Quantity>) {
        self.put(field, value.as_ref().map(|q| q.as_written.clone()));
    }
    fn quantities(&mut self, field: Field, _: Kind, value: &mut Vec<Quantity>) {
        self.put(field, Some(value.iter().map(|q| q.as_written.clone()).collect::<Vec<_>>().join("; ")));
    }
    fn component(&mut self, field: Field, value: &mut Option<String>) {
        self.put(field, value.clone());
    }
    fn person(&mut self, field: Field, value: &mut Option<String>) {
        self.put(field, value.clone());
    }
    fn piece(&mut self, field: Field, value: &mut Option<String>) {
        self.put(field, value.clone());
    }
    // Which note it continues is an identifier, and follows corrections by itself: no words for a reader.
    fn id(&mut self, value: &mut Option<String>) {
        if let (Some(line), true) = (self.lines.last_mut(), self.path.is_empty()) {
            line.id = value.clone().unwrap_or_default();
        }
    }
    fn row(&mut self, field: Field, row: &mut dyn Record) {
        self.record(field.name.into(), field.name, row);
    }
    fn rows(&mut self, field: Field, rows: &mut dyn Rows) {
        for i in 0..rows.count() {
            self.record(format!("{} {}", field.name, i + 1), field.name, rows.at(i));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::Observed;
    use crate::record::condition::Condition;
    use crate::record::piece::Move;
    use crate::record::textile::{Fibre, Textile};
    use jiff::civil::date;

    fn note(id: &str, damage: &str, extent: &str) -> Observed<Condition> {
        let what = Condition {
            damage: Some(TermId::new(Scheme::Damage, damage)),
            extent: Quantity::parse(Kind::Extent, extent).ok(),
            ..Condition::default()
        };
        Observed { id: Some(id.into()), component: Some("left front".into()), what, ..Observed::default() }
    }

    fn sitting(id: &str, day: Date, conditions: Vec<Observed<Condition>>) -> Examination {
        let mut exam = Examination { conditions, ..Examination::default() };
        exam.about.id = Some(id.into());
        exam.about.date = Some(day);
        exam.about.examiner = Some("Wren Askerdale".into());
        exam
    }

    fn then() -> PieceFile {
        let moved = |id: &str, to: &str| Move { id: Some(id.into()), to: Some(to.into()), ..Move::default() };
        PieceFile {
            moves: vec![moved("m1", "bay A"), moved("m2", "bay B")],
            examinations: vec![sitting(
                "e1",
                date(2018, 11, 14),
                vec![note("c1", "tear", "12 mm"), note("c2", "tideline", "4 cm2")],
            )],
            ..PieceFile::default()
        }
    }

    fn told(now: &PieceFile, corrected: &[(&str, &str)]) -> Vec<String> {
        let corrected = corrected.iter().map(|(a, b)| ((*a).to_owned(), (*b).to_owned())).collect();
        let words = |d: Difference| {
            let day = d.examined.map(|d| format!("{d} ")).unwrap_or_default();
            let became = match d.became {
                Became::Added => "added".to_owned(),
                Became::Gone => "gone".to_owned(),
                Became::Changed(fields) => {
                    fields.iter().map(|(n, a, b)| format!("{n}: {a} > {b}")).collect::<Vec<_>>().join(", ")
                }
            };
            format!("{day}{} {} [{}] {became}", d.section, d.what, d.then)
        };
        differences(&then(), now, &corrected).into_iter().map(words).collect()
    }

    #[test]
    fn every_kind_of_difference_is_told_once_and_nothing_else_is() {
        assert_eq!(told(&then(), &[]), Vec::<String>::new());

        let mut now = then();
        now.moves.reverse();
        assert_eq!(told(&now, &[]), Vec::<String>::new(), "order alone is no difference");

        now.moves[0].to = Some("bay C".into());
        assert_eq!(told(&now, &[]), ["move bay B [m2] to: bay B > bay C"]);
        now.moves.remove(0);
        assert_eq!(told(&now, &[]), ["move bay B [m2] gone"]);

        let mut now = then();
        now.examinations[0].conditions[0] = note("c9", "tear", "14 mm");
        assert_eq!(
            told(&now, &[("c1", "c5"), ("c5", "c9")]),
            ["2018-11-14 condition tear, left front [c1] extent: 12 mm > 14 mm"]
        );
        assert_eq!(
            told(&now, &[]),
            ["2018-11-14 condition tear, left front [c1] gone", "2018-11-14 condition tear, left front [] added"]
        );

        let mut now = then();
        now.examinations[0].conditions.pop();
        now.examinations[0].about.not_examined = Some("the lining".into());
        now.examinations.push(sitting("e2", date(2025, 3, 6), vec![note("c3", "tear", "20 mm")]));
        assert_eq!(
            told(&now, &[]),
            [
                "2018-11-14 examination 2018-11-14 [e1] not examined:  > the lining",
                "2018-11-14 condition tideline, left front [c2] gone",
                "2025-03-06 examination by Wren Askerdale [] added",
            ]
        );
    }

    #[test]
    fn a_record_within_a_line_is_part_of_it() {
        let fibre = |name: &str| Fibre { fibre: Some(TermId::new(Scheme::Fibre, name)), ..Fibre::default() };
        let cloth = |name: &str| {
            let what = Textile { fibres: vec![fibre("silk"), fibre(name)], ..Textile::default() };
            let mut file = then();
            file.examinations[0].textiles = vec![Observed { id: Some("t1".into()), what, ..Observed::default() }];
            file
        };
        let found = differences(&cloth("linen"), &cloth("cotton"), &BTreeMap::new());
        let Became::Changed(fields) = &found[0].became else { panic!("{found:?}") };
        assert_eq!(*fields, [("fibres 2 fibre".to_owned(), "linen".to_owned(), "cotton".to_owned())]);
    }

    #[test]
    fn photographs_and_what_is_drawn_on_them_are_compared() {
        let photo = |caption: &str| Photograph {
            id: "p1".into(),
            view: Some(TermId::new(Scheme::View, "front")),
            caption: Some(caption.into()),
            ..Photograph::default()
        };
        let with = |list: Vec<Photograph>| PieceFile { photographs: list, ..PieceFile::default() };
        let one = differences(&with(vec![photo("a")]), &with(vec![photo("b")]), &BTreeMap::new());
        assert_eq!(one[0].became, Became::Changed(vec![("caption".into(), "a".into(), "b".into())]));
        assert_eq!((one.len(), one[0].what.as_str()), (1, "front"));
        let gone = differences(&with(vec![photo("a")]), &with(Vec::new()), &BTreeMap::new());
        assert_eq!(gone[0].became, Became::Gone);
    }
}
