//! Promise: what is printed reads back, what is stored comes out, and the journal tells how it came to be.

#[path = "support/random.rs"]
mod random;
mod support;

use std::cell::RefCell;

use dimity::catalogue::{Intent, replay};
use dimity::dating::Conventions;
use dimity::exchange::sheet::{self, Known};
use dimity::exchange::{json, json_in};
use dimity::record::PieceFile;
use dimity::record::photograph::{Photograph, Region, Shape};
use dimity::vocabulary::{Scheme, TermId, Vocabulary};
use proptest::prelude::*;
use random::{Changer, Dice};
use support::{AUTHOR, Desk, second};

fn read(text: &str) -> sheet::Sheet {
    let known = Known { vocabulary: Vocabulary::shipped(), components: &|_| None, conventions: Conventions::default() };
    sheet::read(text, &known).unwrap_or_else(|mistakes| {
        let all: Vec<_> = mistakes.iter().map(ToString::to_string).collect();
        panic!("a printed sheet should read back:\n{}\n{text}", all.join("\n"))
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 160, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn a_printed_sheet_reads_back_as_what_was_printed(start in any::<u64>(), density in 0u8..=100) {
        let file = random::file(start, density, &["1900.1", "x/y"], true);
        let text = sheet::filled(&file, Some(0));
        let back = read(&text);
        prop_assert_eq!(back.file, file, "from the sheet\n{}", text);
        prop_assert_eq!(back.reason, None);
    }

    #[test]
    fn a_piece_written_as_json_reads_back_as_it_was(start in any::<u64>(), density in 0u8..=100) {
        let mut file = random::file(start, density, &["1900.1", "x/y"], true);
        let more = random::file(start ^ 1, density, &["x/y"], true);
        file.examinations.extend(more.examinations);
        file.photographs = vec![photograph(file.number())];
        let text = json::of_piece(&file).to_string();
        let back = json_in::piece(&serde_json::from_str(&text).expect("JSON"));
        prop_assert_eq!(back, file, "from {}", text);
    }
}

fn photograph(number: &str) -> Photograph {
    let term = |scheme, name| Some(TermId::new(scheme, name));
    let shape = Shape::parse("outline 1,1 9,1 9,9 hole 3,3 5,3 5,5").expect("a shape");
    Photograph {
        id: "p".into(),
        sha256: "5".repeat(64),
        original_name: "IMG_1.jpg".into(),
        bytes: 7,
        width: 40,
        height: 30,
        number: number.to_owned(),
        component: Some("hem".into()),
        examination: Some(jiff::civil::date(2018, 11, 14)),
        treatment: Some("support".into()),
        view: term(Scheme::View, "front"),
        light: term(Scheme::Light, "daylight"),
        stage: Some("before".into()),
        photographer: Some("Tamsin Orrel".into()),
        caption: Some("as it lay".into()),
        remarks: vec!["no date".into()],
        regions: vec![Region {
            id: "r".into(),
            label: "A".into(),
            shape,
            shows: Some("n".into()),
            outlines: Some("hem".into()),
            piece: Some(number.to_owned()),
            note: Some("torn".into()),
        }],
        ..Photograph::default()
    }
}

#[test]
fn what_is_stored_comes_out_as_it_went_in() {
    let desk = RefCell::new(Desk::new());
    for model in ["1900.1", "1900/2"] {
        desk.borrow_mut().entered(&second(model));
    }
    let config = ProptestConfig { cases: 96, failure_persistence: None, ..ProptestConfig::default() };
    proptest!(config, |(start in any::<u64>(), density in 0u8..=100)| {
        let desk = &mut *desk.borrow_mut();
        let mut file = random::file(start, density, &["1900.1", "1900/2"], false);
        if desk.catalogue.piece_if_any(file.number()).expect("reads").is_some() {
            let fresh = format!("{}'", file.number());
            file.piece.number = Some(fresh);
        }
        let intent = Intent { author: AUTHOR.into(), ..Intent::default() };
        desk.catalogue.enter(&file, &intent).unwrap_or_else(|e| panic!("{e}\n{}", sheet::filled(&file, Some(0))));
        let stored = desk.catalogue.piece(file.number()).expect("it was entered");
        prop_assert_eq!(stored.clone().without_ids(), file.clone().without_ids());
        let printed = sheet::filled(&stored, Some(0));
        prop_assert_eq!(read(&printed).file, stored, "with its identifiers, from\n{}", printed);
        let again = desk.catalogue.enter(&file, &intent).expect("the same again");
        prop_assert!(again.is_nothing(), "the same again adds {:?}", again);
    });
    desk.borrow().is_sound();
}

#[test]
fn every_field_of_every_record_is_tried() {
    // The dice must not leave a field out: over many files, each line that a blank sheet names is printed filled.
    let blank = sheet::blank("1", None);
    let asked: std::collections::BTreeSet<_> = blank.lines().filter_map(named).collect();
    let mut met = std::collections::BTreeSet::new();
    for start in 0..60 {
        let text = sheet::filled(&random::file(start, 90, &["1900.1"], true), Some(0));
        met.extend(text.lines().filter_map(named).map(String::from));
    }
    let missed: Vec<_> = asked.iter().filter(|field| !met.contains(**field)).collect();
    assert!(asked.len() > 60, "{asked:?}");
    assert!(missed.is_empty(), "never filled: {missed:?}");
}

/// The field that a line of a sheet begins with.
fn named(line: &str) -> Option<&str> {
    let (name, _) = line.split_once(" = ")?;
    name.chars().all(|c| c.is_ascii_lowercase() || c == '_').then_some(name)
}

#[test]
fn the_journal_tells_every_state_that_was_read_after_any_entries_and_corrections() {
    let config = ProptestConfig { cases: 10, failure_persistence: None, ..ProptestConfig::default() };
    proptest!(config, |(start in any::<u64>())| {
        let mut dice = Dice::new(start);
        let mut desk = Desk::new();
        desk.entered(&second("1900.1"));
        let (mut corrected, mut album) = (0, Vec::new());
        for step in 0..12 {
            let numbers = desk.catalogue.numbers().expect("reads");
            let (file, reason) = if step < 3 || dice.percent(25) {
                (random::file(dice.next(), 60, &["1900.1"], false), None)
            } else {
                (altered(&desk, &numbers[dice.below(numbers.len())], dice.next()), Some("looked again".to_owned()))
            };
            let intent = Intent { author: AUTHOR.into(), reason, dry_run: dice.percent(10), ..Intent::default() };
            let entered = desk.catalogue.enter(&file, &intent).unwrap_or_else(|e| panic!("step {step}: {e}"));
            corrected += entered.corrected;
            if let Some(now) = desk.catalogue.piece_if_any(&entered.number).expect("reads") {
                album.push((desk.catalogue.revision().expect("reads").row, now));
            }
        }
        for (row, then) in album {
            let told = desk.catalogue.piece_after(then.number(), row).expect("tells");
            prop_assert_eq!(told, Some(then), "as it stood after row {} of the journal", row);
        }
        let told = replay(&desk.catalogue.journal(None).expect("reads")).expect("the journal follows");
        prop_assert_eq!(told, desk.catalogue.present_state().expect("reads"));
        prop_assert!(corrected > 0, "nothing was corrected; the dice are loaded");
        desk.is_sound();
    });
}

/// A stored piece with one of its examinations, some of its lines changed, as on a corrected sheet.
fn altered(desk: &Desk, number: &str, start: u64) -> PieceFile {
    let mut file = desk.catalogue.piece(number).expect("it is there");
    let mut changer = Changer { dice: Dice::new(start), changed: 0 };
    if !file.examinations.is_empty() {
        let chosen = changer.dice.below(file.examinations.len());
        file.examinations = vec![file.examinations.swap_remove(chosen)];
    }
    let before = file.treatments.clone();
    file.sections(Some(0), &mut changer);
    // What was consented to is not corrected.
    for (treatment, agreed) in file.treatments.iter_mut().zip(before).filter(|(_, b)| b.is_consented()) {
        (treatment.proposal, treatment.consent) = (agreed.proposal, agreed.consent);
    }
    file
}
