//! Whether every field has a decision, and whether what is private stays.

use std::collections::BTreeMap;

use super::super::fields::{KEPT, PUBLIC};
use super::veil::{Decision, decision};
use super::*;
use crate::record::condition::Condition;
use crate::record::form::{Field, Form, Leaf, Record, Rows};
use crate::record::making::MadeAfter;
use crate::record::measurement::Measurement;
use crate::record::photograph::{Beside, Shape};
use crate::record::piece::{Move, Role};

/// Names every field that a record has, by path; each list is given one row so that its fields are walked.
#[derive(Default)]
struct Every {
    path: Vec<&'static str>,
    names: Vec<(String, String)>,
    people: Vec<(String, String)>,
}

impl Every {
    fn say(&mut self, field: Field) {
        self.names.push((self.path.join("."), field.name.to_owned()));
    }
}

impl Form for Every {
    fn leaf(&mut self, f: Field, _: &mut dyn Leaf) {
        self.say(f);
    }
    fn person(&mut self, f: Field, _: &mut Option<String>) {
        self.say(f);
        self.people.push((self.path.join("."), f.name.to_owned()));
    }
    fn id(&mut self, _: &mut Option<String>) {}
    fn row(&mut self, f: Field, row: &mut dyn Record) {
        self.path.push(f.name);
        row.fields(self);
        self.path.pop();
    }
    fn rows(&mut self, f: Field, rows: &mut dyn Rows) {
        self.path.push(f.name);
        rows.add().fields(self);
        rows.drop_last();
        self.path.pop();
    }
}

fn every_field() -> Every {
    let mut every = Every::default();
    let mut file = PieceFile { examinations: vec![Examination::default()], ..PieceFile::default() };
    file.sections(Some(0), &mut every);
    every
}

#[test]
fn every_field_of_every_record_has_one_decision_and_no_decision_is_left_over() {
    let names = every_field().names;
    assert!(names.len() > 150, "the walk found {} fields only", names.len());
    let decided = |at: &str, names: &str| -> Vec<(String, String)> {
        names.split_whitespace().map(|name| (at.to_owned(), name.to_owned())).collect()
    };
    let public = PUBLIC.iter().flat_map(|(at, names)| decided(at, names));
    let kept = KEPT.iter().flat_map(|(at, _, names)| decided(at, names));
    let mut all: Vec<_> = public.chain(kept).collect();
    let undecided: Vec<_> = names.iter().filter(|name| !all.contains(name)).collect();
    assert!(undecided.is_empty(), "decide in src/exchange/out/fields.rs whether these are public: {undecided:?}");
    let stale: Vec<_> = all.iter().filter(|name| !names.contains(name)).collect();
    assert!(stale.is_empty(), "decided, but no record has them: {stale:?}");
    all.sort();
    let count = all.len();
    all.dedup();
    assert_eq!(all.len(), count, "a field is decided twice");
}

#[test]
fn no_name_of_a_person_is_public() {
    for (path, name) in every_field().people {
        assert!(matches!(decision(&path, &name), Decision::Left(_)), "{path}.{name}");
    }
}

#[test]
fn a_field_that_nobody_decided_on_stays_at_home_whatever_is_included() {
    struct New(Option<String>);
    impl Record for New {
        fn fields(&mut self, form: &mut dyn Form) {
            form.text(crate::record::form::field("never_heard_of", ""), &mut self.0);
        }
    }
    let terms = Terms::new(&every_kind(), []);
    let mut veil = Veil { terms: &terms, path: vec!["piece"], shows: false, left_out: LeftOut::default() };
    let mut new = New(Some("x".into()));
    new.fields(&mut veil);
    assert_eq!(new.0, None);
    assert_eq!(veil.left_out.by_kind(), BTreeMap::from([(Kind::Undecided, 1)]));
}

fn every_kind() -> Vec<Kind> {
    Kind::CAN_BE_INCLUDED.iter().map(|(kind, _)| *kind).collect()
}

#[expect(clippy::unnecessary_wraps, reason = "fields may be blank")]
fn words(text: &str) -> Option<String> {
    Some(text.to_owned())
}

/// A piece with something of every sort in it.
fn piece() -> PieceFile {
    let mut file = PieceFile::default();
    file.piece.number = words("2031.1");
    file.piece.description = words("a spencer");
    file.piece.distinguishing_features = words("SECRET scorch at the hem");
    file.moves = vec![Move { to: words("SECRET shelf"), by: words("SECRET Wren"), ..Move::default() }];
    file.people = vec![Role { person: words("SECRET donor"), ..Role::default() }];
    let mut exam = Examination::default();
    exam.about.examiner = words("SECRET examiner");
    let observed = |id: &str| Observed::<Condition> {
        id: words(id),
        note: words("SECRET note"),
        component: words("back"),
        ..Observed::default()
    };
    exam.conditions = vec![observed("c1")];
    exam.measurements = vec![
        Observed::<Measurement> {
            id: words("m1"),
            note: words("SECRET"),
            component: words("back"),
            ..Observed::default()
        },
        Observed::<Measurement> { id: words("m2"), withdrawn: words("mistake"), ..Observed::default() },
    ];
    file.examinations = vec![exam];
    let region = |id: &str, shows: Option<&str>| Region {
        id: id.into(),
        shape: Shape::Point((1.0, 1.0)),
        shows: shows.map(String::from),
        note: words("SECRET note"),
        ..Region::default()
    };
    let outline = |id: &str| Region { outlines: words("back"), ..region(id, None) };
    file.photographs = vec![
        Photograph {
            original_name: "SECRET.jpg".into(),
            photographer: words("SECRET"),
            capture: Capture { has_position: true, make: words("SECRET"), ..Capture::default() },
            regions: vec![region("r1", Some("c1")), region("r2", Some("m1")), region("r3", None), outline("r4")],
            ..Photograph::default()
        },
        Photograph { stage: words("before"), ..Photograph::default() },
    ];
    file
}

#[test]
fn what_is_private_is_gone_and_counted() {
    let (shown, left_out) = for_the_public(piece(), &Terms::default());
    assert!(!format!("{shown:?}").contains("SECRET"), "{shown:?}");
    assert_eq!(shown.piece.description.as_deref(), Some("a spencer"));
    assert!(shown.moves.is_empty() && shown.people.is_empty() && shown.examinations[0].conditions.is_empty());
    let ids: Vec<_> = shown.examinations[0].measurements.iter().map(|m| m.id.as_deref()).collect();
    assert_eq!(ids, [Some("m1")], "a line withdrawn as a mistake must not come back as an observation");
    assert_eq!(shown.photographs.len(), 1, "a photograph of a treatment stays at home with it");
    let drawn: Vec<_> = shown.photographs[0].regions.iter().map(|r| r.id.as_str()).collect();
    assert_eq!(drawn, ["r2", "r4"], "a region goes with the observation that it shows, and where a note is all it has");
    assert!(!shown.photographs[0].capture.has_position);
    let sums = left_out.by_kind();
    assert!(left_out.page(1).contains("photograph.region.note 3"), "the notes of regions are counted");
    for kind in [Kind::Location, Kind::People, Kind::Distinguishing, Kind::Condition, Kind::Treatment, Kind::Position] {
        assert!(sums.contains_key(&kind), "{kind:?} is not told: {left_out:?}");
    }
    let page = left_out.page(1);
    assert!(page.contains("move.to 1") && !page.contains("SECRET"), "{page}");
}

#[test]
fn what_is_included_by_name_is_there_but_no_name_of_a_person_with_it() {
    let (shown, _) = for_the_public(piece(), &Terms::new(&[Kind::Location, Kind::Condition], []));
    assert_eq!(shown.moves[0].to.as_deref(), Some("SECRET shelf"));
    assert_eq!(shown.moves[0].by, None);
    assert_eq!(shown.examinations[0].conditions.len(), 1);
    assert_eq!(shown.photographs[0].regions.len(), 3, "all but the one that has no more than a note");
    let (shown, _) = for_the_public(piece(), &Terms::new(&[Kind::Notes, Kind::Condition], []));
    assert_eq!(shown.photographs[0].regions.len(), 4);
    assert_eq!(shown.photographs[0].regions[2].note.as_deref(), Some("SECRET note"));
    let (shown, _) = for_the_public(piece(), &Terms::new(&[Kind::Location, Kind::People], []));
    assert_eq!(shown.moves[0].by.as_deref(), Some("SECRET Wren"));
}

#[test]
fn a_model_is_named_only_where_it_is_published_too() {
    let model = MadeAfter { model: words("2031.9"), ..MadeAfter::default() };
    let file = PieceFile { made_after: vec![model], ..PieceFile::default() };
    let (shown, left_out) = for_the_public(file.clone(), &Terms::default());
    assert!(shown.made_after.is_empty());
    assert_eq!(left_out.by_kind(), BTreeMap::from([(Kind::OtherPieces, 1)]));
    let (shown, _) = for_the_public(file, &Terms::new(&[], ["2031.9".to_owned()]));
    assert_eq!(shown.made_after.len(), 1);
}

/// Consents and positions have no word on the command line, and naming them in code includes nothing.
#[test]
fn consents_positions_and_undecided_fields_cannot_be_included() {
    let kinds = [Kind::Consent, Kind::Position, Kind::OldList, Kind::Undecided];
    let terms = Terms::new(&kinds, []);
    for kind in kinds {
        assert!(!terms.includes(kind) && Kind::from_word(kind.word()).is_none());
    }
}

/// A photograph may show several pieces; what is drawn of one goes out with that one.
#[test]
fn what_is_drawn_of_another_piece_goes_out_only_with_it() {
    let mut file = piece();
    let own = |piece: Option<&str>, shows: Option<&str>, outlines: Option<&str>| Region {
        piece: piece.map(String::from),
        shows: shows.map(String::from),
        outlines: outlines.map(String::from),
        ..Region::default()
    };
    let regions = vec![
        own(Some("2031.1"), None, Some("back")),
        own(Some("2031.1"), Some("m1"), None),
        own(Some("2031.2"), None, Some("secret pocket")),
        own(Some("2031.2"), Some("elsewhere"), None),
    ];
    file.photographs = vec![Photograph { number: "2031.1".into(), regions, ..Photograph::default() }];
    let other = Some("2031.2".to_owned());
    for (included, published, drawn, other_pieces, condition) in [
        (&[][..], None, 2, 2, 0),
        (&[Kind::Condition, Kind::Notes], None, 2, 2, 0),
        // An observation of a piece that is not in the export is in none.
        (&[Kind::OtherPieces], None, 3, 0, 1),
        (&[], other, 3, 0, 0),
    ] {
        let terms = Terms::new(included, published.clone());
        let (shown, left_out) = for_the_public(file.clone(), &terms);
        let sum = |kind: Kind| {
            let page = left_out.page(1);
            let of_kind =
                page.split("\n\n").find(|part| part.starts_with(&format!("{} ", kind.word()))).unwrap_or_default();
            let line = of_kind.lines().find_map(|line| line.strip_prefix("  photograph.region "));
            line.map_or(0, |n| n.parse().expect("a count"))
        };
        assert_eq!(
            (shown.photographs[0].regions.len(), sum(Kind::OtherPieces), sum(Kind::Condition)),
            (drawn, other_pieces, condition),
            "{included:?}, {published:?}: {left_out:?}"
        );
    }
}

#[test]
fn a_photograph_of_a_treatment_of_any_piece_stays_with_the_treatment() {
    let beside = |treated| vec![Beside { number: "2031.2".into(), treated }];
    let shown = |treated, included: &[Kind]| {
        let photo = Photograph { number: "2031.1".into(), beside: beside(treated), ..Photograph::default() };
        let file = PieceFile { photographs: vec![photo], ..PieceFile::default() };
        let (shown, left_out) = for_the_public(file, &Terms::new(included, []));
        assert!(shown.photographs.iter().all(|photo| photo.beside.is_empty()), "no number of another piece goes along");
        (shown.photographs.len(), left_out.by_kind().get(&Kind::Treatment).copied().unwrap_or_default())
    };
    assert_eq!([shown(false, &[]), shown(true, &[]), shown(true, &[Kind::Treatment])], [(1, 0), (0, 1), (1, 0)]);
}
