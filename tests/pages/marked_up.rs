//! Pieces at the edge: one of which nothing is recorded, one with HTML in every field that takes words, and one with far
//! too many words in each.

use std::path::Path;

use dimity::analysis::programme::{DamageCount, Intervals, Standing, Survey};
use dimity::catalogue::{Fate, Revision, Seal};
use dimity::dating::{Conventions, Dated};
use dimity::measure::{Kind, Quantity};
use dimity::record::form::{Field, Form, Record, Rows};
use dimity::record::photograph::{Photograph, Region, Shape};
use dimity::record::treatment::Treatment;
use dimity::record::{Examination, PieceFile};
use dimity::report::{
    self, Asked, Before, IndexEntry, Pictures, PrintSet, Printing, Sealing, Settings, TreatmentAsked, TreatmentPart,
};
use dimity::vocabulary::{Scheme, TermId, Vocabulary, Wording};
use jiff::civil::{Date, date};

use super::WIDTHS;
use super::tools::{Page, Paper, Search, Size, put_style_in};

/// Leaves an element with `data-planted`, or runs as script, wherever it is not printed as the words that it is.
const MARKUP: &str = r#"<i data-planted="x">&amp; "a" 'b' {{ 7 }}</i></script></style></title><img data-planted="y" src="x" onerror="alert(1)">"#;
/// The same for a quantity, whose words are few.
const SHORT: &str = r#"<b data-planted="q">3&nbsp;h</b>"#;
/// A word too long for a narrow column, as links are.
const LONG: &str =
    "https://example.invalid/rights/of/a/study/collection/that/nobody/would/ever/type/by/hand?yes=1&no=2";
/// A grey point.
const PICTURE: &str = "data:image/png;base64,iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAAAAAA6fptVAAAACklEQVR42mNoAAAAggCBd81ytgAAAABJRU5ErkJggg==";

/// Every report of both pieces, written into `folder`.
pub fn pages(folder: &Path) -> Vec<Page> {
    let settings = Settings {
        vocabulary: Vocabulary::shipped(),
        printed_on: date(2025, 3, 6),
        collection: MARKUP,
        place: None,
        units: dimity::measure::System::Metric,
        pictures: &OnePicture,
    };
    let blank = PieceFile { examinations: vec![Examination::default()], ..PieceFile::default() };
    let (blank, full, other) = (numbered(blank, "1999.1"), marked_up("2001.7"), marked_up("2001.8"));
    let mut pages = summaries(folder, &full, &blank, &settings);
    let mut put = |name: &str, number: &str, max: usize, text: Result<String, report::ReportFault>| {
        let file = folder.join(format!("{name}.html"));
        std::fs::write(&file, text.unwrap()).unwrap();
        let mut page = Page::of(&file, &WIDTHS);
        page.paper.push(Paper { size: Size::A4, min: 1, max, number: Some(number.into()) });
        pages.push(page);
    };
    put("blank-condition", "1999.1", 4, report::condition(&blank, None, &settings));
    put("blank-catalogue", "1999.1", 3, report::catalogue_entry(&blank, &settings));
    put("markup-condition", "2001.7", 30, report::condition(&full, None, &settings));
    put("markup-catalogue", "2001.7", 30, report::catalogue_entry(&full, &settings));
    let mut blank_treated = blank.clone();
    blank_treated.treatments.push(Treatment::default());
    for (name, file, number) in [("blank", &blank_treated, "1999.1"), ("markup", &full, "2001.7")] {
        for (half, part) in [("proposal", TreatmentPart::Proposal), ("treatment", TreatmentPart::Record)] {
            let asked = TreatmentAsked { part: Some(part), ..TreatmentAsked::default() };
            put(&format!("{name}-{half}"), number, 14, report::treatment(file, &asked, &settings));
        }
    }
    let compared = report::Compared::default();
    let others = [other, blank.clone()];
    put("markup-comparison", "2001.7", 30, report::comparison(&full, &others, &compared, &settings));
    put("blank-comparison", "1999.1", 30, report::comparison(&blank, &others[..1], &compared, &settings));
    let before = before(&full);
    let sealing = sealing();
    let sealed = |set| Printing { set, sealing: Some(&sealing), before: Some(&before), ..Printing::default() };
    put("markup-sealed", "2001.7", 30, report::condition_as(&full, None, &sealed(PrintSet::Full), &settings));
    put("markup-loan", "2001.7", 30, report::condition_as(&full, None, &sealed(PrintSet::Loan), &settings));
    let bare = Printing { set: PrintSet::Loan, ..Printing::default() };
    put("blank-loan", "1999.1", 4, report::condition_as(&blank, None, &bare, &settings));
    let incoming = later(full.clone());
    put("markup-against", "2001.7", 30, report::against(&incoming, None, &before, Some(&sealing), &settings));
    for (name, state) in [("blank-survey", Survey::default()), ("markup-survey", survey())] {
        let intervals = Intervals::default();
        let asked = Asked { until: date(2025, 3, 6), place: Some(MARKUP), intervals: &intervals };
        let file = folder.join(format!("{name}.html"));
        std::fs::write(&file, report::survey(&state, &asked, &settings).unwrap()).unwrap();
        pages.push(Page {
            paper: vec![Paper { size: Size::A4, min: 1, max: 4, number: None }],
            ..Page::of(&file, &WIDTHS)
        });
    }
    pages.push(index(folder, &settings));
    pages.extend(site(folder, &[full, blank]));
    pages
}

/// The public's pages of these pieces, as if everything in them were let out.
fn site(folder: &Path, pieces: &[PieceFile]) -> Vec<Page> {
    let manifest = |_: &PieceFile| Some("https://example.org/c?a=1&b=2".to_owned());
    let site = report::site::Site {
        vocabulary: Vocabulary::shipped(),
        collection: MARKUP,
        units: dimity::measure::System::default(),
        pictures: &OnePicture,
        manifest: &manifest,
    };
    let folder = folder.join("site");
    std::fs::create_dir_all(folder.join("pieces")).unwrap();
    let mut texts = vec![("index.html".to_owned(), report::site::index(pieces, &site).unwrap())];
    for (at, file) in pieces.iter().enumerate() {
        texts.push((report::site::page_of(file.number()), report::site::piece(pieces, at, &site).unwrap()));
    }
    let page = |(path, text): (String, String)| {
        let file = folder.join(&path);
        std::fs::write(&file, text).unwrap();
        put_style_in(&file, report::site::STYLE);
        let mut page = Page::of(&file, &WIDTHS);
        page.name = format!("markup-site-{}", page.name);
        page.paper.push(Paper { size: Size::A4, min: 1, max: 30, number: None });
        page
    };
    texts.into_iter().map(page).collect()
}

/// The summary of a blank piece, of markup and of far too many words: one sheet each, on either paper.
fn summaries(folder: &Path, full: &PieceFile, blank: &PieceFile, settings: &Settings<'_>) -> Vec<Page> {
    let sealing = sealing();
    // Definitions of the collection's own may be as long as it likes.
    let own = |(scheme, name)| Wording {
        term: TermId::new(scheme, name),
        since: date(2020, 1, 1),
        entered: date(2024, 9, 9),
        definition: Some("Our own words for what we mean, which go on for longer than anyone will read. ".repeat(9)),
        source: "house rules".into(),
    };
    let judged = [(Scheme::Grade, "good"), (Scheme::Stability, "stable"), (Scheme::Urgency, "none")];
    let vocabulary = Vocabulary::shipped().clone().with_wordings(judged.map(own).into());
    let settings = &Settings { vocabulary: &vocabulary, ..*settings };
    let printing = Printing { set: PrintSet::Summary, sealing: Some(&sealing), ..Printing::default() };
    let wordy = |words: &str, number| numbered(overfull(words), number);
    let files = [
        ("blank-summary", blank.clone()),
        ("markup-summary", full.clone()),
        (
            "wordy-summary",
            wordy("A conservator’s long account of everything that was seen, in plain words. ", "2002.1"),
        ),
        ("capital-summary", wordy("WIDE MAMMOTH WOMEN 2468 % ", "2002.2")),
        ("unbroken-summary", wordy("nobreakhere", "2002.3")),
        ("other-scripts-summary", wordy("衣服の状態 Ωμέγα ЖШЩ ", "2002.4")),
    ];
    let page = |(name, file): &(&str, PieceFile)| {
        let text = report::condition_as(file, None, &printing, settings).unwrap();
        let path = folder.join(format!("{name}.html"));
        std::fs::write(&path, text).unwrap();
        let number = Some(file.number().to_owned());
        let paper = |size| Paper { size, min: 1, max: 1, number: number.clone() };
        Page { paper: vec![paper(Size::A4), paper(Size::Letter)], ..Page::of(&path, &WIDTHS) }
    };
    files.iter().map(page).collect()
}

/// A piece with these words over and over in every field, and more of everything than one sheet can hold.
fn overfull(words: &str) -> PieceFile {
    let mut file = PieceFile { examinations: vec![Examination::default()], ..PieceFile::default() };
    file.sections(Some(0), &mut Scribble { records: 0, words: words.repeat(3000 / words.len()) });
    let exam = &mut file.examinations[0];
    exam.conditions = vec![exam.conditions[0].clone(); 30];
    let hazards = Vocabulary::shipped().terms(Scheme::Hazard).take(9).map(|t| t.id.clone());
    exam.hazards = hazards
        .map(|id| {
            let mut one = exam.hazards[0].clone();
            one.what.hazard = Some(id);
            one
        })
        .collect();
    let mut earlier = exam.clone();
    earlier.about.date = Some(date(2019, 3, 12));
    file.examinations.insert(0, earlier);
    file.photographs = vec![Photograph { sha256: "a".repeat(64), ..Photograph::default() }];
    file
}

fn sealing() -> Sealing {
    Sealing { by: MARKUP.into(), revision: Revision { row: 41, hash: "5".repeat(64), next: 7 } }
}

/// A seal of the piece as it is, after which one note was corrected.
fn before(file: &PieceFile) -> Before {
    let exam = &file.examinations[0];
    let seal = Seal {
        no: 6,
        number: file.number().into(),
        examination: exam.about.id.clone().unwrap(),
        examined: exam.about.date.unwrap(),
        print_set: "full".into(),
        against: None,
        sha256: "b".repeat(64),
        code: "2346-789A-CDEF".into(),
        bytes: 9,
        sealed_on: date(2024, 3, 13),
        sealed_by: MARKUP.into(),
        revision: 40,
        revision_hash: "4".repeat(64),
        program: "0".into(),
        vocabulary: "1".into(),
        definitions: "none".into(),
    };
    let mut then = file.clone();
    let note = &mut then.examinations[0].conditions[0];
    note.id = Some("as-sealed".into());
    note.what.place = Some("elsewhere".into());
    let fate = Fate {
        now: file.examinations[0].conditions[0].id.clone(),
        withdrawn: None,
        on: "2024-03-14".into(),
        by: MARKUP.into(),
        why: MARKUP.into(),
    };
    Before { seal, then, fates: [("as-sealed".to_owned(), fate)].into() }
}

/// The same with a second examination, in which everything was looked at again.
fn later(mut file: PieceFile) -> PieceFile {
    let mut again = file.examinations[0].clone();
    again.about.id = Some("later".into());
    again.about.date = Some(date(2025, 3, 5));
    let notes = &mut again.conditions;
    notes[0].what.continues.clone_from(&file.examinations[0].conditions[0].id);
    notes.iter_mut().for_each(|n| n.id = n.id.as_ref().map(|id| format!("{id}-again")));
    let mut photograph = file.photographs[0].clone();
    photograph.id = "q".into();
    photograph.examination = again.about.date;
    file.photographs.push(photograph);
    file.examinations.push(again);
    file
}

/// Two pieces with markup in every word, one never examined, and a damage of that name.
fn survey() -> Survey {
    let standing = |examined| Standing {
        number: MARKUP.into(),
        object_name: MARKUP.into(),
        title: Some(MARKUP.into()),
        location: Some(MARKUP.into()),
        examined,
        grade: Some(MARKUP.into()),
        stability: Some(MARKUP.into()),
        pressing: Some(MARKUP.into()),
        hazards: vec![TermId::new(Scheme::Hazard, MARKUP)],
    };
    Survey {
        standings: vec![standing(None), standing(Some(date(2020, 3, 12)))],
        damages: vec![DamageCount { damage: MARKUP.into(), notes: 2, pieces: 1 }],
        left_out: 1,
    }
}

fn index(folder: &Path, settings: &Settings<'_>) -> Page {
    let entries = [entry("1999.1", ""), entry("2001.7", MARKUP)];
    let file = folder.join("markup-index.html");
    std::fs::write(&file, report::index(&entries, settings).unwrap()).unwrap();
    let numbers = vec!["1999.1".into(), "2001.7".into()];
    Page {
        search: Some(Search { numbers, word: "onerror".into(), finds: vec!["2001.7".into()] }),
        paper: vec![Paper { size: Size::A4, min: 1, max: 3, number: None }],
        ..Page::of(&file, &WIDTHS)
    }
}

fn entry(number: &str, words: &str) -> IndexEntry {
    let some = || Some(words.to_owned()).filter(|w| !w.is_empty());
    IndexEntry {
        number: number.into(),
        nature: "extant".into(),
        object_name: words.into(),
        garment: some(),
        title: some(),
        date: some(),
        earliest: None,
        latest: None,
        location: some(),
        grade: None,
        fibres: some().into_iter().collect(),
        thumbnail: some().map(|_| "a".repeat(64)),
        links: some().map(|w| (w, "catalogue-2001.7.html".to_owned())).into_iter().collect(),
    }
}

fn numbered(mut file: PieceFile, number: &str) -> PieceFile {
    file.piece.number = Some(number.into());
    file
}

fn marked_up(number: &str) -> PieceFile {
    let mut file = PieceFile { examinations: vec![Examination::default()], ..PieceFile::default() };
    file.sections(Some(0), &mut Scribble { records: 0, words: MARKUP.into() });
    file.photographs.push(Photograph {
        id: "p".into(),
        sha256: "a".repeat(64),
        original_name: MARKUP.into(),
        width: 400,
        height: 300,
        remarks: vec![MARKUP.into()],
        component: Some(MARKUP.into()),
        examination: Some(date(2024, 3, 12)),
        treatment: Some(MARKUP.into()),
        treatment_id: file.treatments[0].id.clone(),
        stage: Some("before".into()),
        photographer: Some(MARKUP.into()),
        caption: Some(MARKUP.into()),
        regions: vec![Region {
            id: "r".into(),
            label: "<b data-planted=\"z\">".into(),
            shape: Shape::Point((40.0, 60.0)),
            shows: file.examinations[0].conditions[0].id.clone(),
            outlines: None,
            piece: None,
            note: Some(MARKUP.into()),
        }],
        ..Photograph::default()
    });
    numbered(file, number)
}

/// Writes markup into every field that takes words, and something sensible into the rest; one line in every list.
struct Scribble {
    records: usize,
    words: String,
}

impl Form for Scribble {
    fn text(&mut self, field: Field, value: &mut Option<String>) {
        // What is withdrawn is not printed.
        *value = (field.name != "withdrawn").then(|| self.words.clone());
    }
    fn texts(&mut self, _: Field, value: &mut Vec<String>) {
        *value = vec![self.words.clone(), LONG.into()];
    }
    fn integer(&mut self, _: Field, value: &mut Option<i64>) {
        *value = Some(2);
    }
    fn number(&mut self, _: Field, value: &mut Option<f64>) {
        *value = Some(1.5);
    }
    fn day(&mut self, _: Field, value: &mut Option<Date>) {
        *value = Some(date(2024, 3, 12));
    }
    fn dated(&mut self, _: Field, value: &mut Option<Dated>) {
        let date = Dated::parse("c. 1812", &Conventions::default()).unwrap();
        *value = Some(Dated { as_written: self.words.clone(), remark: Some(self.words.clone()), ..date });
    }
    fn term(&mut self, _: Field, scheme: Scheme, value: &mut Option<TermId>) {
        *value = Vocabulary::shipped().terms(scheme).next().map(|t| t.id.clone());
    }
    fn terms(&mut self, _: Field, scheme: Scheme, value: &mut Vec<TermId>) {
        *value = Vocabulary::shipped().terms(scheme).take(2).map(|t| t.id.clone()).collect();
    }
    fn choice(&mut self, _: Field, words: &'static [&'static str], value: &mut Option<String>) {
        *value = words.first().map(|w| (*w).to_owned());
    }
    fn quantity(&mut self, _: Field, kind: Kind, value: &mut Option<Quantity>) {
        *value = Some(quantity(kind));
    }
    fn quantities(&mut self, _: Field, kind: Kind, value: &mut Vec<Quantity>) {
        *value = vec![quantity(kind), quantity(kind)];
    }
    fn component(&mut self, field: Field, value: &mut Option<String>) {
        // A component is no part of itself.
        *value = (field.name != "part_of").then(|| self.words.clone());
    }
    fn person(&mut self, _: Field, value: &mut Option<String>) {
        *value = Some(self.words.clone());
    }
    fn piece(&mut self, _: Field, value: &mut Option<String>) {
        *value = Some(self.words.clone());
    }
    fn id(&mut self, value: &mut Option<String>) {
        self.records += 1;
        *value = Some(format!("record-{}", self.records));
    }
    fn row(&mut self, _: Field, row: &mut dyn Record) {
        row.fields(self);
    }
    fn rows(&mut self, field: Field, rows: &mut dyn Rows) {
        rows.add().fields(self);
        if field.name == "condition" {
            rows.add().fields(self);
        }
    }
}

/// A quantity whose words are markup; the value is of its kind.
fn quantity(kind: Kind) -> Quantity {
    let like = match kind {
        Kind::Length | Kind::Extent => "27 1/2 in",
        Kind::Area => "4.1 cm2",
        Kind::Density => "24 in 1 cm",
        Kind::Count => "3",
        Kind::Percent => "52 %",
        Kind::Mass => "120 g",
        Kind::MassPerArea => "120 g/m2",
        Kind::Angle => "45 deg",
        Kind::Yarn => "20 tex",
        Kind::Duration => "1 h 30 min",
        Kind::Temperature => "18 °C",
        Kind::Illuminance => "50 lx",
        Kind::Ultraviolet => "10 µW/lm",
        Kind::Scale => "1:8",
    };
    Quantity { as_written: SHORT.into(), ..Quantity::parse(kind, like).unwrap() }
}

/// The same picture for every photograph.
struct OnePicture;

impl Pictures for OnePicture {
    fn view(&self, _: &str) -> Option<String> {
        Some(PICTURE.into())
    }
    fn thumbnail(&self, _: &str) -> Option<String> {
        Some(PICTURE.into())
    }
}
