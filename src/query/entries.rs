//! By what a piece is found: worked out from its record, kept by the catalogue beside it.
//!
//! A word of the index is `key/value` (`fibre/silk`, `has/photograph`, `maker/wren askerdale`); a figure stands under the
//! name of its key or dimension with the lowest and highest value it may have. Each key's meaning is fixed here alone.

use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::Date;

use super::key::Text;
use crate::analysis::latest_notes;
use crate::measure::{Bound, Estimate, Quantity};
use crate::record::form::{Field, Form, Record, Rows};
use crate::record::textile::{Textile, Yarn};
use crate::record::{Examination, Observed, PieceFile};
use crate::vocabulary::{Scheme, TermId, Vocabulary};

/// What is known of a piece beside its record.
#[derive(Debug, Clone, Copy, Default)]
pub struct Beside {
    /// Whether a report of it was sealed.
    pub sealed: bool,
    /// The day of the last change.
    pub changed: Option<Date>,
}

/// A figure under a key.
#[derive(Debug, Clone, PartialEq)]
pub struct FigureEntry {
    /// The key or dimension.
    pub key: String,
    /// Lowest value it is recorded as: the figure itself, or minus infinity for an upper limit.
    pub low: f64,
    /// Highest value it is recorded as.
    pub high: f64,
    /// Lowest value with its uncertainty: two standard uncertainties below.
    pub least: f64,
    /// Highest value with its uncertainty.
    pub most: f64,
}

/// By what a piece is found.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Entries {
    /// Words of the index.
    pub words: BTreeSet<String>,
    /// Figures.
    pub figures: Vec<FigureEntry>,
    /// The texts that can be asked for by themselves, in the order of [`Text::ALL`], lines apart.
    pub texts: [String; 7],
    /// Every word of the record.
    pub body: String,
    /// Where it lies.
    pub location: Option<String>,
    /// Its grade, by the latest statement.
    pub grade: Option<String>,
    /// Fibres in the order in which they were recorded, each once.
    pub fibres: Vec<String>,
    /// Day of the last examination.
    pub examined: Option<Date>,
    /// Number of photographs.
    pub photographs: usize,
    /// SHA-256 of the photograph that stands for it.
    pub photograph: Option<String>,
}

/// Lower case, single spaces: whole texts are compared by this.
pub fn normal(text: &str) -> String {
    text.split_whitespace().map(str::to_lowercase).collect::<Vec<_>>().join(" ")
}

/// Days since 1970-01-01, by which days are kept as figures.
fn day_number(day: Date) -> f64 {
    f64::from(day.duration_since(jiff::civil::date(1970, 1, 1)).as_hours() as i32 / 24)
}

impl super::Days {
    /// The days as bounds of [`FigureEntry`] values.
    pub fn numbers(&self) -> (f64, f64) {
        (self.first.map_or(f64::NEG_INFINITY, day_number), self.last.map_or(f64::INFINITY, day_number))
    }
}

/// Works out by what a piece is found.
pub fn entries(file: &PieceFile, beside: Beside) -> Entries {
    let mut found = Entries::default();
    found.of_piece(file);
    for exam in &file.examinations {
        found.of_examination(exam);
    }
    found.of_state(file);
    found.of_photographs(file);
    if beside.sealed {
        found.has("seal");
    }
    if let Some(day) = beside.changed {
        found.day("changed", day);
    }
    found.body = body(file);
    let order = |f: &FigureEntry| [f.low, f.high, f.least, f.most];
    found.figures.sort_by(|a, b| {
        let ends = order(a).into_iter().zip(order(b)).map(|(a, b)| a.total_cmp(&b)).find(|o| o.is_ne());
        a.key.cmp(&b.key).then(ends.unwrap_or(std::cmp::Ordering::Equal))
    });
    found.figures.dedup();
    found
}

impl Entries {
    fn has(&mut self, thing: &str) {
        self.words.insert(format!("has/{thing}"));
    }

    fn any<T>(&mut self, list: &[T], thing: &str) {
        if !list.is_empty() {
            self.has(thing);
        }
    }

    fn term(&mut self, term: Option<&TermId>) {
        self.words.extend(term.map(|t| t.as_str().to_owned()));
    }

    fn terms<'a>(&mut self, terms: impl IntoIterator<Item = &'a TermId>) {
        terms.into_iter().for_each(|t| self.term(Some(t)));
    }

    fn choice(&mut self, key: &str, word: Option<&String>) {
        self.words.extend(word.map(|w| format!("{key}/{w}")));
    }

    fn text(&mut self, text: Text, words: Option<&String>) {
        let Some(words) = words.filter(|w| !w.trim().is_empty()) else { return };
        self.words.insert(format!("{}/{}", text.name(), normal(words)));
        let lines = &mut self.texts[text as usize];
        lines.push_str(words);
        lines.push('\n');
    }

    fn day(&mut self, key: &str, day: Date) {
        let n = day_number(day);
        self.figure(FigureEntry { key: key.into(), low: n, high: n, least: n, most: n });
    }

    fn figure(&mut self, entry: FigureEntry) {
        self.figures.push(entry);
    }

    /// The estimate of some readings under a key.
    fn readings(&mut self, key: &str, estimate: Option<Estimate>, readings: &[Quantity]) {
        let Some(e) = estimate.filter(Estimate::is_sound) else { return };
        let any = |bound| readings.iter().any(|q| q.bound == bound);
        // What was written as a range lies anywhere in it (half width u·√3, GUM 4.3.7).
        let half = if any(Bound::Range) { e.u * 3f64.sqrt() } else { 0.0 };
        let down = any(Bound::AtMost);
        let up = any(Bound::AtLeast);
        let open = |limit: bool, end: f64, value: f64| if limit { end } else { value };
        self.figure(FigureEntry {
            key: key.into(),
            low: open(down, f64::NEG_INFINITY, e.value - half),
            high: open(up, f64::INFINITY, e.value + half),
            least: open(down, f64::NEG_INFINITY, e.value - (2.0 * e.u).max(half)),
            most: open(up, f64::INFINITY, e.value + (2.0 * e.u).max(half)),
        });
    }

    fn single(&mut self, key: &str, quantity: Option<&Quantity>) {
        if let Some(q) = quantity {
            self.readings(key, Some(Estimate::new(q.value, q.u)), std::slice::from_ref(q));
        }
    }

    fn of_piece(&mut self, file: &PieceFile) {
        let piece = &file.piece;
        self.term(piece.nature.as_ref());
        self.term(piece.garment.as_ref());
        // Words that name a statement count as one, and what is said in other words decides nothing.
        self.term(piece.rights().stated(Vocabulary::shipped()).map(|t| &t.id).or(piece.rights_statement.as_ref()));
        self.text(Text::Object, piece.object_name.as_ref());
        self.text(Text::Title, piece.title.as_ref());
        self.text(Text::Maker, piece.maker.as_ref());
        self.text(Text::Person, piece.maker.as_ref());
        self.text(Text::Place, piece.place.as_ref());
        if piece.date.as_ref().is_some_and(|d| !d.interval().is_undated()) {
            self.words.insert("date/".into());
        }
        if piece.description.is_some() {
            self.has("description");
        }
        for part in &file.components {
            self.has("component");
            self.term(part.term.as_ref());
            if let (Some(side), Some(term)) = (&part.side, &part.term) {
                self.words.insert(format!("{side} {}", term.as_str()));
            }
        }
        for role in &file.people {
            self.text(Text::Person, role.person.as_ref());
            if role.role.as_ref().is_some_and(|r| r.name() == "maker") {
                self.text(Text::Maker, role.person.as_ref());
            }
        }
        for event in &file.events {
            self.term(event.event.as_ref());
            self.text(Text::Person, event.person.as_ref());
        }
        self.any(&file.events, "event");
        self.terms(file.housings.iter().filter_map(|h| h.storage.as_ref()));
        self.any(&file.housings, "housing");
        self.any(&file.departures, "departure");
        self.any(&file.treatments, "treatment");
        // The last by its day; of one day, or without one, the last listed.
        let place = file.moves.iter().enumerate().max_by_key(|(i, m)| (m.date, *i)).and_then(|(_, m)| m.to.clone());
        self.text(Text::Location, place.as_ref());
        self.location = place;
    }

    fn of_examination(&mut self, exam: &Examination) {
        self.has("examination");
        // What an old list says is no examination of the piece.
        if let Some(day) = exam.about.date.filter(|_| !exam.is_hearsay()) {
            self.day("examined", day);
            self.examined = self.examined.max(Some(day));
        }
        self.text(Text::Person, exam.about.examiner.as_ref());
        self.any(&exam.textiles, "textile");
        self.any(&exam.measurements, "measurement");
        self.any(&exam.stitching, "stitching");
        self.any(&exam.fastenings, "fastening");
        self.any(&exam.stiffening, "stiffening");
        self.any(&exam.trimmings, "trimming");
        self.any(&exam.steps, "step");
        self.any(&exam.signs, "sign");
        self.any(&exam.conditions, "condition");
        self.any(&exam.overall, "overall");
        self.any(&exam.hazards, "hazard");
        for seen in &exam.textiles {
            self.of_textile(&seen.what);
        }
        for m in exam.measurements.iter().map(|seen| &seen.what) {
            if let Some(dimension) = &m.dimension {
                self.readings(dimension.name(), m.estimate(), &m.readings);
            }
        }
        for s in exam.stitching.iter().map(|seen| &seen.what) {
            self.terms(s.purpose.iter().chain(&s.stitch).chain(&s.seam));
            self.choice("sewn", s.made.as_ref());
            self.readings("stitches", s.estimate(), &s.density);
            self.single("allowance", s.allowance.as_ref());
        }
        // A count of none says that it is not there.
        self.counted(&exam.fastenings, |f| (f.fastening.as_ref(), f.count));
        self.counted(&exam.stiffening, |s| (s.stiffener.as_ref(), s.count));
        self.terms(exam.trimmings.iter().filter_map(|t| t.what.trimming.as_ref()));
        self.terms(exam.signs.iter().filter_map(|s| s.what.sign.as_ref()));
        self.terms(exam.hazards.iter().filter_map(|h| h.what.hazard.as_ref()));
    }

    fn counted<T>(&mut self, list: &[Observed<T>], read: impl Fn(&T) -> (Option<&TermId>, Option<i64>)) {
        for seen in list {
            match read(&seen.what) {
                (Some(term), Some(0)) => {
                    self.words.insert(format!("{}/", term.scheme().key()));
                }
                (term, _) => self.term(term),
            }
        }
    }

    fn of_textile(&mut self, t: &Textile) {
        self.terms(t.role.iter().chain(&t.structure).chain(&t.finish));
        let listed = t.fibres.iter().filter_map(|f| f.fibre.as_ref());
        for fibre in listed.clone() {
            if !self.fibres.iter().any(|f| f == fibre.name()) {
                self.fibres.push(fibre.name().to_owned());
            }
        }
        self.terms(listed.chain(&t.warp.fibre).chain(&t.weft.fibre));
        self.text(Text::Colour, t.colour.as_ref());
        for (key, estimate, readings) in [("ends", t.ends_estimate(), &t.ends), ("picks", t.picks_estimate(), &t.picks)]
        {
            self.readings(key, estimate, readings);
            self.readings("sett", estimate, readings);
        }
        self.single("weight", t.mass.as_ref());
        self.of_yarn(&t.warp);
        self.of_yarn(&t.weft);
    }

    fn of_yarn(&mut self, yarn: &Yarn) {
        self.single("yarn", yarn.number.as_ref());
        self.single("turns", yarn.turns.as_ref());
        self.choice("twist", yarn.twist.as_ref());
    }

    /// The state by the latest word on it: of each damage the last note, of the whole the last statement.
    fn of_state(&mut self, file: &PieceFile) {
        for note in latest_notes(&file.examinations) {
            if note.what.extent.as_ref().is_some_and(|e| e.value == 0.0) {
                // Counted as none: looked for, and not there.
                self.words.insert("damage/".into());
                continue;
            }
            self.terms(
                note.what.damage.iter().chain(&note.what.cause).chain(&note.what.activity).chain(&note.what.severity),
            );
        }
        let mut latest: BTreeMap<Scheme, &TermId> = BTreeMap::new();
        for overall in file.examinations.iter().flat_map(|e| &e.overall) {
            let said = overall.what.grade.iter().chain(&overall.what.stability).chain(&overall.what.urgency);
            latest.extend(said.map(|term| (term.scheme(), term)));
        }
        self.grade = latest.get(&Scheme::Grade).map(|t| t.name().to_owned());
        self.terms(latest.into_values());
    }

    fn of_photographs(&mut self, file: &PieceFile) {
        self.photographs = file.photographs.len();
        for shot in &file.photographs {
            self.has("photograph");
            self.term(shot.view.as_ref());
            if shot.scale.is_some() {
                self.has("scale");
            }
            if shot.target.is_some() {
                self.has("target");
            }
        }
        let front = |i: &usize| file.photographs[*i].view.as_ref().is_some_and(|v| v.name() == "front");
        let chosen = (0..file.photographs.len()).max_by_key(|i| (front(i), *i));
        self.photograph = chosen.map(|i| file.photographs[i].sha256.clone());
    }
}

/// Every word of the record, a field a line.
fn body(file: &PieceFile) -> String {
    let mut file = file.clone();
    let mut gather = Gather(String::new());
    file.sections(None, &mut gather);
    for exam in &mut file.examinations {
        exam.sections(&mut gather);
    }
    for caption in file.photographs.iter().filter_map(|p| p.caption.as_ref()) {
        gather.add(caption);
    }
    gather.0
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
    fn term(&mut self, _: Field, _: Scheme, value: &mut Option<TermId>) {
        if let Some(term) = value {
            self.add(term.name());
        }
    }
    fn terms(&mut self, _: Field, _: Scheme, value: &mut Vec<TermId>) {
        value.iter().for_each(|term| self.add(term.name()));
    }
    fn choice(&mut self, field: Field, _: &'static [&'static str], value: &mut Option<String>) {
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
