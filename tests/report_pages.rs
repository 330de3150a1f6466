//! The condition report and the catalogue entry, printed from records built here, without a database.

#[path = "report/sample.rs"]
mod sample;

use dimity::catalogue::{Fate, Revision, Seal};
use dimity::record::PieceFile;
use dimity::record::photograph::{Photograph, Region, Shape};
use dimity::record::picture_scale::PictureScale;
use dimity::record::seal::Seal as ConsentSeal;
use dimity::record::treatment::Treatment;
use dimity::report::{
    Before, PrintSet, Printing, ReportFault, Sealing, TreatmentAsked, TreatmentPart, against, catalogue_entry,
    condition, condition_as, treatment,
};
use jiff::civil::date;
use sample::{blank, hostile, rich, settings, treated};

/// The page without its style sheet, which has files of its own.
fn body(page: &str) -> String {
    let (head, rest) = page.split_once("<style>").expect("a style element");
    let (_, rest) = rest.split_once("</style>").expect("its end");
    format!("{head}{rest}")
}

/// The words of a page, without its tags.
fn words(page: &str) -> String {
    let mut text = String::new();
    let mut inside = false;
    for c in body(page).chars() {
        match c {
            '<' => inside = true,
            '>' => {
                inside = false;
                text.push(' ');
            }
            _ if !inside => text.push(c),
            _ => {}
        }
    }
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn the_condition_report_of_a_rich_record() {
    insta::assert_snapshot!(body(&condition(&rich(), None, &settings()).expect("prints")));
}

#[test]
fn the_condition_report_of_a_blank_record() {
    insta::assert_snapshot!(body(&condition(&blank(), None, &settings()).expect("prints")));
}

#[test]
fn the_catalogue_entry_of_a_rich_record() {
    insta::assert_snapshot!(body(&catalogue_entry(&rich(), &settings()).expect("prints")));
}

#[test]
fn the_catalogue_entry_of_a_blank_record() {
    insta::assert_snapshot!(body(&catalogue_entry(&blank(), &settings()).expect("prints")));
}

/// The page of a treatment, by identifier.
fn cure(file: &PieceFile, id: &str, part: Option<TreatmentPart>) -> String {
    let asked = TreatmentAsked { treatment: Some(id), part, seals: &[] };
    treatment(file, &asked, &settings()).expect("prints")
}

/// A piece of which nothing is known, with a treatment of which nothing is known.
fn blank_treatment() -> PieceFile {
    PieceFile { treatments: vec![Treatment { id: Some("t".into()), ..Treatment::default() }], ..blank() }
}

#[test]
fn the_record_of_a_treatment() {
    insta::assert_snapshot!(body(&cure(&treated(), "tr2", None)));
}

#[test]
fn the_proposal_of_a_new_version() {
    insta::assert_snapshot!(body(&cure(&treated(), "tr3", None)));
}

#[test]
fn the_proposal_of_a_blank_treatment() {
    insta::assert_snapshot!(body(&cure(&blank_treatment(), "t", None)));
}

#[test]
fn a_treatment_is_printed_as_its_record_once_begun_and_as_either_half_when_asked() {
    let file = treated();
    let cases = [
        ("tr2", None, true),
        ("tr2", Some(TreatmentPart::Proposal), false),
        ("tr3", None, false),
        ("tr3", Some(TreatmentPart::Record), true),
        ("Support of the SLIT", None, true),
    ];
    for (which, part, record) in cases {
        let text = words(&cure(&file, which, part));
        assert_eq!(text.starts_with("Treatment record 2018.2"), record, "{which}");
        assert_eq!(text.contains("Steps done") || text.contains("Nothing is recorded as done"), record, "{which}");
    }
    let latest = words(&treatment(&file, &TreatmentAsked::default(), &settings()).expect("prints"));
    assert!(latest.contains("version 2") && latest.contains("proposal"), "the latest one if none is named");
    let asked = TreatmentAsked { treatment: Some("bath"), ..TreatmentAsked::default() };
    let fault = treatment(&file, &asked, &settings()).expect_err("no such treatment").to_string();
    assert!(fault.contains("`bath`") && fault.contains("`support of the slit`"), "{fault}");
    let fault = treatment(&blank(), &asked, &settings()).expect_err("no treatment at all").to_string();
    assert!(fault.contains("no treatment of"), "{fault}");
}

#[test]
fn a_treatment_says_what_was_agreed_what_was_done_and_how_far_they_part() {
    let file = treated();
    let record = words(&cure(&file, "tr2", None));
    let proposal = words(&cure(&file, "tr3", None));
    let seal = |id: &str| {
        ConsentSeal::of("2018.2", file.treatments.iter().find(|t| t.id.as_deref() == Some(id)).expect("there"))
    };
    for (text, said) in [
        (&record, "agreed, not undertaken".replace("agreed, not ", "")),
        (&record, format!("{} is the seal of this proposal: it stands as it was agreed to", seal("tr2").short())),
        (
            &record,
            "A later version follows this one: version 2; proposed by Jory Penhallan, 1 June 2025; not agreed".into(),
        ),
        (&record, "2.5 h in 1 entry; 1 step without a time is not counted".into()),
        (&record, "Difference 0.5 h less, 83 % of it".into()),
        (&record, "Silk net 10 x 10 cm amount not recorded N-7".into()),
        (&record, "silk filament not in the proposal 1 m not recorded".into()),
        (&record, "As recorded at the examination of 6 March 2025".into()),
        (&record, "Stage not recorded".into()),
        (&record, "No photograph during treatment is recorded.".into()),
        (
            &proposal,
            "Against version 1; proposed by Jory Penhallan, 11 April 2025; agreed by Wren Askerdale, 20 April 2025"
                .into(),
        ),
        (
            &proposal,
            format!(
                "{} will be the seal of this proposal as it is printed here. It is not sealed",
                seal("tr3").short()
            ),
        ),
        (&proposal, "Proposal Couch the edges on net, damp. Couch the edges on net, dry.".into()),
        (&proposal, "Planned nothing there Press under glass; left front; 15 min".into()),
        (&proposal, "Risks Needle holes. left out".into()),
        (&proposal, "Hours planned 3.25 h in 3 steps".into()),
        (&proposal, "may contain or carry".replace("may", "May")),
    ] {
        assert!(text.contains(&said), "`{said}` is missing from {text}");
    }
    assert!(!proposal.contains("Silk net; support"), "what did not change is not told as changed");
    // Before stands left of after, whatever the order in which they were added.
    let page = cure(&file, "tr2", None);
    let at = |words: &str| page.find(words).unwrap_or_else(|| panic!("no {words}"));
    assert!(at("<p class=\"label\">before</p>") < at("<p class=\"label\">after</p>"));
    // The short section of the condition report tells the same.
    let brief = words(&condition(&file, None, &settings()).expect("prints"));
    for said in [
        format!("Consent Wren Askerdale, 20 April 2025; sealed {}", seal("tr2").short()),
        "undertaken; a later version follows".into(),
        "proposed; version 2".into(),
        "On condition a damp test first".into(),
        "Not to be done No wash.".into(),
    ] {
        assert!(brief.contains(&said), "`{said}` is missing from {brief}");
    }
}

#[test]
fn a_page_that_is_not_what_was_sealed_says_so() {
    let file = treated();
    let mut other = file.treatments[1].clone();
    let set = vec![("tr2".to_owned(), ConsentSeal::of("2018.2", &other))];
    let asked = |seals| TreatmentAsked { treatment: Some("tr2"), part: None, seals };
    let sound = words(&treatment(&file, &asked(&set), &settings()).expect("prints"));
    assert!(!sound.contains("not what was agreed to"));
    other.proposal.aims = Some("to sell it".into());
    other.consent.consent_shown = None;
    let set = vec![("tr2".to_owned(), ConsentSeal::of("2018.2", &other))];
    let broken = words(&treatment(&file, &asked(&set), &settings()).expect("prints"));
    assert!(
        broken.contains("This page is not what was agreed to. Changed since it was sealed: aims, consent_shown."),
        "{broken}"
    );
    // A consent of which one half is missing is none.
    let mut half = treated();
    half.treatments[1].consent.consent_on = None;
    let half = words(&cure(&half, "tr2", None));
    assert!(half.contains("It is not sealed: a consent needs who and when."), "{half}");
}

#[test]
fn cautions_stand_on_every_treatment_and_nothing_calls_it_safe() {
    let mut hostile = hostile();
    hostile.treatments[0].id = Some("t".into());
    for (file, id) in [(treated(), "tr2"), (treated(), "tr3"), (blank_treatment(), "t"), (hostile, "t")] {
        for part in [TreatmentPart::Proposal, TreatmentPart::Record] {
            let page = cure(&file, id, Some(part));
            let text = words(&page).to_lowercase();
            for said in [
                "wet cleaning and any other use of water",
                "solvents",
                "blades and needles",
                "dust, mould and old poisons",
                "safety data sheet and licensed or qualified practice come first",
                "local law",
                "owner or person responsible",
            ] {
                assert!(text.contains(said), "{id}: `{said}` is missing");
            }
            for claim in [" is safe", "harmless", "no risk", " nan"] {
                assert!(!text.contains(claim), "{id}: `{claim}`");
            }
            assert!(!page.contains("<script") && !page.contains("<img src=x"), "{id}: markup got through");
        }
    }
}

fn as_set(set: PrintSet) -> Printing<'static> {
    Printing { set, ..Printing::default() }
}

#[test]
fn the_summary_of_a_rich_record() {
    insta::assert_snapshot!(body(
        &condition_as(&rich(), None, &as_set(PrintSet::Summary), &settings()).expect("prints")
    ));
}

#[test]
fn the_loan_set_of_a_rich_record() {
    insta::assert_snapshot!(body(&condition_as(&rich(), None, &as_set(PrintSet::Loan), &settings()).expect("prints")));
}

/// The rich record, sealed at its first examination; its first note was corrected since.
fn sealed() -> (dimity::record::PieceFile, Before) {
    let mut file = rich();
    for (i, exam) in file.examinations.iter_mut().enumerate() {
        exam.about.id = Some(format!("exam-{i}"));
    }
    let seal = Seal {
        no: 1,
        number: "2018.2".into(),
        examination: "exam-0".into(),
        examined: date(2018, 11, 14),
        print_set: "loan".into(),
        against: None,
        sha256: "b".repeat(64),
        code: "2346-789A-CDEF".into(),
        bytes: 9,
        sealed_on: date(2018, 11, 15),
        sealed_by: "Wren Askerdale".into(),
        revision: 40,
        revision_hash: "4".repeat(64),
        program: "0".into(),
        vocabulary: "1".into(),
        definitions: "none".into(),
    };
    let mut then = file.clone();
    then.examinations.truncate(1);
    let note = &mut file.examinations[0].conditions[0];
    let old = note.id.clone().expect("a stored note");
    note.id = Some("corrected".into());
    note.what.place = Some("corrected place".into());
    let fate = Fate {
        now: Some("corrected".into()),
        withdrawn: None,
        on: "2019-02-01".into(),
        by: "Tamsin Orrel".into(),
        why: "place read wrongly".into(),
    };
    for note in &mut file.examinations[1].conditions {
        if note.what.continues.as_ref() == Some(&old) {
            note.what.continues = Some("corrected".into());
        }
    }
    (file, Before { seal, then, fates: [(old, fate)].into() })
}

#[test]
fn the_condition_outgoing_and_incoming_of_a_rich_record() {
    let (file, before) = sealed();
    let revision = Revision { row: 41, hash: "5".repeat(64), next: 2 };
    let sealing = Sealing { by: "Tamsin Orrel".into(), revision };
    insta::assert_snapshot!(body(&against(&file, None, &before, Some(&sealing), &settings()).expect("prints")));
}

#[test]
fn a_later_report_tells_the_correction_of_a_sealed_note() {
    let (file, before) = sealed();
    for set in [PrintSet::Full, PrintSet::Loan] {
        let printing = Printing { set, before: Some(&before), ..Printing::default() };
        let text = words(&condition_as(&file, None, &printing, &settings()).expect("prints"));
        for said in
            ["check code 2346-789A-CDEF", "Tamsin Orrel, 1 February 2019: place read wrongly", "corrected place"]
        {
            assert!(text.contains(said), "`{said}` is missing");
        }
    }
    let fault = against(&file, Some(date(2018, 11, 14)), &before, None, &settings()).expect_err("not later");
    assert!(matches!(fault, ReportFault::NoneLater { .. }), "{fault}");
}

#[test]
fn a_blank_is_not_recorded_and_never_good_or_no() {
    for page in [condition(&blank(), None, &settings()), catalogue_entry(&blank(), &settings())] {
        let text = words(&page.expect("prints"));
        // The conventions speak of `good` and `no` themselves; all before them must not.
        let text = text.split("Conventions").next().unwrap_or_default().to_lowercase();
        assert!(text.matches("not recorded").count() > 10, "{text}");
        assert!(text.contains("not assessed"), "{text}");
        for verdict in ["good", "safe", "stable", "sound.", " no,", " no;", " nan", "none found", "default"] {
            let text = text.replace("not a statement that the piece is sound.", "");
            assert!(!text.contains(verdict), "`{verdict}` in {text}");
        }
    }
}

#[test]
fn nothing_says_that_a_piece_is_safe() {
    for page in [condition(&rich(), None, &settings()), catalogue_entry(&rich(), &settings())] {
        let text = words(&page.expect("prints")).to_lowercase();
        assert!(text.contains("may contain or carry: "), "{text}");
        assert!(text.contains("not tested"), "{text}");
        assert!(text.contains("local law, licensed practice and a qualified test come first"), "{text}");
        for claim in [" is safe", "harmless", "no hazard found"] {
            assert!(!text.contains(claim), "`{claim}`");
        }
    }
}

#[test]
fn html_in_every_text_comes_out_escaped() {
    let file = hostile();
    for page in [condition(&file, None, &settings()), catalogue_entry(&file, &settings())] {
        let page = page.expect("prints");
        assert!(!page.contains("<script"), "a script got through");
        assert!(!page.contains("<img src=x"), "an attribute was left");
        assert_eq!(page.matches("</style>").count(), 1, "the style element was left");
        assert_eq!(page.matches("<style>").count(), 1);
        assert!(page.matches("&lt;script&gt;").count() > 60, "{}", page.matches("&lt;script&gt;").count());
        // Within the style element the number stands as code points only.
        let style = &page[page.find("<style>").expect("style")..page.find("</style>").expect("its end")];
        assert!(!style.contains("alert("), "{style}");
    }
}

#[test]
fn the_letter_of_a_note_is_the_letter_on_its_photograph() {
    let page = condition(&rich(), None, &settings()).expect("prints");
    let note = |letter: &str| {
        let start = page.find(&format!("id=\"note-{letter}\"")).unwrap_or_else(|| panic!("no note {letter}"));
        let end = page[start..].find("</div>").map_or(page.len(), |e| start + e);
        &page[start..end]
    };
    // The tideline's region is labelled B in the catalogue; the slippage has none and takes the next free letter.
    assert!(note("B").contains("Tideline") && note("B").contains("href=\"#fig-1\""), "{}", note("B"));
    assert!(note("A").contains("Seam slippage") && !note("A").contains("#fig-"), "{}", note("A"));
    let figure = &page[page.find("id=\"fig-1\"").expect("figure 1")..];
    let figure = &figure[..figure.find("</figure>").expect("its end")];
    assert!(figure.contains(">B</text>") && figure.contains("<b>B</b> tideline, left front"), "{figure}");
    // A region that shows no note may not wear a note's letter: it was labelled A, and is numbered.
    assert!(figure.contains(">1</text>") && !figure.contains(">A</text>"), "{figure}");
}

#[test]
fn what_is_drawn_on_a_photograph_with_a_scale_is_measured_and_counted_once() {
    let mut file = rich();
    let plain = condition(&file, None, &settings()).expect("prints");
    assert!(!plain.contains("Sizes of what is drawn"), "nothing can be measured without a scale");
    let p = &mut file.photographs[0];
    let ends = [(0.0, 1900.0), (2000.0, 1900.0)];
    p.scale = Some(PictureScale::between(ends, "20 cm", Some("0.1 mm"), 1.0).expect("a scale"));
    // The tideline drawn twice, and the component on which it lies: 3.3 cm² of 100 cm².
    let again = p.regions[0].clone();
    let whole = Shape::parse("outline 0,0 1000,0 1000,1000 0,1000").expect("a shape");
    p.regions.extend([again, Region { shape: whole, outlines: Some("left front".into()), ..Region::default() }]);
    let page = condition(&file, None, &settings()).expect("prints").replace('\u{a0}', " ");
    for said in [
        "Sizes of what is drawn",
        "holds in the plane of the bar only",
        "3.30 ± 0.16 cm²",
        "100.0 ± ",
        "All tideline, 2 outlines, overlaps counted once",
        "All that is outlined on left front, 2 outlines, overlaps counted once",
        "% of left front",
        "Fig. 1: 10.000 px/mm",
        "from 20 cm within 0.1 mm",
        "url(#hatch-1-0)",
        "stroke-dasharray",
    ] {
        assert!(page.contains(said), "`{said}` is missing");
    }
    assert!(
        page.matches("3.3 ± 0.3 cm²").count() == 2,
        "the sum of both is one tideline, on its figure and on the piece"
    );
}

#[test]
fn changes_uncertainty_and_withdrawal_are_told() {
    let text = words(&condition(&rich(), None, &settings()).expect("prints"));
    for said in [
        "unchanged within uncertainty",
        "worse",
        "not looked at again",
        "1 line of this examination was withdrawn",
        "zone not recorded",
        "As recorded on 14 November 2018 by Wren Askerdale, and not anew since.",
        "Interpretation Perhaps rain.",
    ] {
        assert!(text.contains(said), "`{said}` is missing from {text}");
    }
    assert!(!text.contains("entered by mistake"), "a withdrawn note was printed");
}

#[test]
fn what_follows_from_a_cloth_and_what_speaks_against_it_is_told() {
    let text = words(&condition(&sample::measured_cloth(), None, &settings()).expect("prints"));
    for said in [
        "Z twist, 25 deg (u 0.29°), tight twist, 20 tex (u 0.29 tex), turns 5 in 1 cm",
        "diameter 0.28 mm (u 2.9 µm), crimp 5 %",
        "Twist by its angle: loose below 10°",
        "Twist by turns and diameter warp 23.7°, u 1.8°, agrees with the angle read;",
        "Cover factor warp 13.1, weft 12.5, cloth 19.77, u 0.17 (Peirce; threads touch at 28);",
        "Estimated mass 124 g/m², u 3 g/m²; crimp not recorded, taken as 0 to 16 %; does not agree with the mass measured",
        "Mass 8.5 oz/yd² (288.2 g/m², u 1.0 g/m²)",
        "cultivated silk (method not recorded, certainty not recorded, diameter 38 ± 1 µm, density 1.5 g/cm³, \
         birefringence 0.05)",
        "Remark 38 µm diameter is outside the 10–13 µm of cultivated silk (University of Alaska, LARS, page on fine fibres; \
         read in the source)",
        "Remark 1.5 g/cm³ density is outside the 1.34 g/cm³ of cultivated silk",
        "Remark viscose is not known before about 1905",
        "from memory)",
    ] {
        assert!(text.contains(said), "`{said}` is missing from {text}");
    }
    // Without an angle of twist its limits are not explained.
    assert!(!words(&condition(&blank(), None, &settings()).expect("prints")).contains("Twist by its angle"));
}

#[test]
fn hazards_of_other_examinations_still_stand() {
    for day in [date(2018, 11, 14), date(2025, 3, 6)] {
        let text = words(&condition(&rich(), Some(day), &settings()).expect("prints"));
        assert!(text.contains("arsenic"), "{day}");
    }
}

#[test]
fn an_examination_that_is_not_there_is_named_with_those_that_are() {
    let fault = condition(&rich(), Some(date(2020, 1, 1)), &settings()).expect_err("no such day");
    assert_eq!(
        fault.to_string(),
        "`2018.2` was not examined on `2020-01-01`; its examinations: 2018-11-14, 2025-03-06"
    );
    let mut file = blank();
    file.examinations.clear();
    assert!(matches!(condition(&file, None, &settings()), Err(ReportFault::NotExamined { .. })));
}

#[test]
fn the_same_records_give_the_same_page() {
    let once = condition(&rich(), None, &settings()).expect("prints");
    assert_eq!(once, condition(&rich(), None, &settings()).expect("prints"));
    for outside in ["http://", "https://", "<script", "url(http", "@import"] {
        let page = once.replace("http://rightsstatements.org/vocab/NoC-OKLR/1.0/", "");
        assert!(!page.contains(outside), "`{outside}`");
    }
}

/// The rich record with an examination between the two and one before them, and colour read again.
fn often_examined() -> dimity::record::PieceFile {
    let mut file = rich();
    let mut before = file.examinations[0].clone();
    before.about.date = Some(date(2012, 11, 14));
    for note in &mut before.conditions {
        note.id = note.id.as_ref().map(|id| format!("{id} of 2012"));
    }
    for note in &mut file.examinations[0].conditions {
        note.what.continues = note.id.as_ref().map(|id| format!("{id} of 2012"));
    }
    let cloth = file.examinations[0].textiles[0].clone();
    file.examinations[1].textiles.push(cloth);
    file.examinations.insert(0, before);
    file
}

#[test]
fn a_damage_seen_again_has_a_panel_a_table_and_a_rate_where_there_are_three() {
    let text = words(&condition(&often_examined(), None, &settings()).expect("prints"));
    for said in [
        "Over time",
        // 12, 12 and 31 mm lie on no line: the scatter tells nothing.
        "Rate cannot be told from nought: between",
        "mm a year (95 % interval, a straight line through 3 examinations).",
        "not looked at",
        "14 November 2012",
    ] {
        assert!(text.contains(said), "`{said}` is missing from {text}");
    }
    let page = condition(&often_examined(), None, &settings()).expect("prints");
    assert!(page.contains("role=\"img\" aria-labelledby=\"over-1-t over-1-d\""));
    assert!(!page.contains("class=\"rate\" d=\"M"), "no line is drawn where the rate is not told");
    // A first examination has nothing to follow.
    let first = words(&condition(&rich(), Some(date(2018, 11, 14)), &settings()).expect("prints"));
    assert!(!first.contains("Over time"));
}

#[test]
fn changes_are_told_since_any_earlier_examination() {
    let file = often_examined();
    let since = |day| condition_as(&file, None, &Printing { since: Some(day), ..Printing::default() }, &settings());
    let text = words(&since(date(2012, 11, 14)).expect("prints"));
    for said in ["Changes since 14 November 2012", "Compared with 14 November 2012", "worse since 14 November 2012"] {
        assert!(text.contains(said), "`{said}` is missing from {text}");
    }
    assert!(words(&since(date(2018, 11, 14)).expect("prints")).contains("Changes since last time"));
    assert_eq!(
        since(date(2025, 3, 6)).expect_err("the same day").to_string(),
        "`2018.2` was examined on `2025-03-06`, which is not before `2025-03-06`; compare with an earlier day"
    );
    assert!(matches!(since(date(2000, 1, 1)), Err(ReportFault::NoSuchExamination { .. })));
}

#[test]
fn colour_read_again_is_compared_and_its_caution_said() {
    let mut file = often_examined();
    let text = words(&condition(&file, None, &settings()).expect("prints"));
    assert!(text.contains("Colour read again") && text.contains("unchanged within the scatter of readings"), "{text}");
    if let Some(colour) = file.examinations[2].textiles[0].what.colours.first_mut() {
        colour.l = colour.l.map(|l| l + 6.0);
    }
    let text = words(&condition(&file, None, &settings()).expect("prints"));
    assert!(
        text.contains("changed: much lighter") && text.contains("An indication: the grey scale asks for"),
        "{text}"
    );
}

#[test]
fn notes_lie_on_the_figure_of_the_garment_and_none_is_dropped() {
    let mut file = rich();
    let page = condition(&file, None, &settings()).expect("prints");
    let text = words(&page);
    for said in ["Where the damage lies", "a jacket that ends under the bust", "(front", "colour", "structural"] {
        assert!(text.contains(said), "`{said}` is missing from {text}");
    }
    assert_eq!(page.matches("<g class=\"flag\" transform").count(), 2, "both standing notes are marked");
    file.examinations[1].conditions[1].component = None;
    file.examinations[1].conditions[2].component = Some("right front".into());
    let text = words(&condition(&file, None, &settings()).expect("prints"));
    assert!(text.contains("(not marked: the piece as a whole)"), "{text}");
    file.piece.garment = None;
    let text = words(&condition(&file, None, &settings()).expect("prints"));
    assert!(text.contains("The kind of garment is not recorded, so that no figure could be chosen."), "{text}");
    assert!(!words(&condition(&blank(), None, &settings()).expect("prints")).contains("Where the damage lies"));
}

#[test]
fn areas_on_the_piece_as_a_whole_count_a_note_once() {
    let mut file = rich();
    let p: &mut Photograph = &mut file.photographs[0];
    p.scale =
        Some(PictureScale::between([(0.0, 1900.0), (2000.0, 1900.0)], "20 cm", Some("0.1 mm"), 1.0).expect("a scale"));
    let again = p.clone();
    file.photographs.push(again);
    let page = condition(&file, None, &settings()).expect("prints").replace('\u{a0}', " ");
    let table = &page[page.find("<table class=\"damaged\">").expect("the table")..];
    let table = &table[..table.find("</table>").expect("its end")];
    assert_eq!(table.matches("3.30 ± 0.16 cm²").count(), 1, "{table}");
}
