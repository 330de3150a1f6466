//! Promise: the store is looked at in time. What is due, what was never examined, and the state of the whole.

#[path = "report/sample.rs"]
#[allow(dead_code)]
mod sample;
mod support;

use dimity::analysis::programme::{DamageCount, Intervals, Standing, Survey};
use dimity::report::{self, Asked};
use dimity::vocabulary::{Scheme, TermId};
use jiff::civil::date;
use support::{AUTHOR, Desk, Room};

/// A sheet with what bears on the survey.
fn sheet(number: &str, nature: &str, place: &str, exam: &str) -> String {
    let place = if place.is_empty() { String::new() } else { format!("[[move]]\nto = \"{place}\"\n") };
    format!("[piece]\nnumber = \"{number}\"\nnature = \"{nature}\"\nobject_name = \"cap\"\n{place}{exam}")
}

fn exam(day: &str, lines: &str) -> String {
    format!("[examination]\ndate = {day}\nexaminer = \"Wren Askerdale\"\n{lines}")
}

const TEAR: &str = "[[condition]]\ndamage = \"tear\"\nextent = \"12 mm\"\n";
const RISK: &str = "[[overall]]\ngrade = \"fair\"\nstability = \"at risk\"\n";

/// Five pieces and a pattern.
fn sheets() -> Vec<String> {
    vec![
        sheet("1", "extant", "bay A, box 10", &exam("2024-01-10", &format!("{TEAR}{RISK}"))),
        sheet(
            "1",
            "extant",
            "",
            &exam(
                "2025-01-10",
                &format!(
                    "{}[[overall]]\ngrade = \"poor\"\n",
                    TEAR.replace("12 mm", "14 mm") + "continues = \"last\"\n"
                ),
            ),
        ),
        sheet(
            "2",
            "extant",
            "bay A, box 9",
            &exam(
                "2020-05-01",
                &format!(
                    "{TEAR}{TEAR}component = \"\"\nplace = \"hem\"\n[[overall]]\ngrade = \"good\"\nstability = \"stable\"\n"
                ),
            ),
        ),
        sheet("3", "reconstruction", "bay B", ""),
        sheet(
            "4",
            "extant",
            "",
            &exam(
                "2025-02-01",
                "[[condition]]\ndamage = \"mould\"\nextent = \"0 cm2\"\n[[hazard]]\nhazard = \"DDT\"\n",
            ),
        ),
        sheet(
            "5",
            "extant",
            "bay B",
            &exam(
                "2025-02-01",
                "[[overall]]\ngrade = \"good\"\nstability = \"stable\"\n[[hazard]]\nhazard = \"cellulose nitrate\"\n",
            ),
        ),
        sheet("P1", "published pattern", "bay B", ""),
    ]
}

fn desk() -> Desk {
    let mut desk = Desk::new();
    for text in sheets() {
        desk.entered(&text);
    }
    desk
}

#[test]
fn the_state_of_each_piece_is_the_latest_and_a_damage_that_goes_on_counts_once() {
    let desk = desk();
    let survey = desk.catalogue.survey(None).expect("reads");
    let told = |s: &Standing| {
        format!(
            "{} {} {} {} {} {:?}",
            s.number,
            s.location.as_deref().unwrap_or("-"),
            s.examined.map(|d| d.to_string()).unwrap_or_default(),
            s.grade.as_deref().unwrap_or("-"),
            s.stability.as_deref().unwrap_or("-"),
            s.hazards.iter().map(TermId::name).collect::<Vec<_>>(),
        )
    };
    assert_eq!(
        survey.standings.iter().map(told).collect::<Vec<_>>(),
        [
            // The second visit said nothing of stability: what the first said holds.
            "1 bay A, box 10 2025-01-10 poor at risk []",
            "2 bay A, box 9 2020-05-01 good stable []",
            "3 bay B  - - []",
            "4 - 2025-02-01 - - [\"DDT\"]",
            "5 bay B 2025-02-01 good stable [\"cellulose nitrate\"]",
        ]
    );
    assert_eq!(survey.left_out, 1);
    // The tear of 1 goes on; both of 2 stand; the mould of 4 is gone.
    assert_eq!(survey.damages, [DamageCount { damage: "tear".into(), notes: 3, pieces: 2 }]);
}

#[test]
fn a_corrected_note_is_counted_once_and_so_is_its_continuation() {
    let mut desk = desk();
    let filled = desk.filled("1", Some(0)).replace("12 mm", "13 mm");
    assert_eq!(desk.entered(&format!("reason = \"misread\"\n{filled}")).corrected, 1);
    assert_eq!(desk.catalogue.survey(None).expect("reads").damages[0].notes, 3);
    let filled = desk.filled("2", Some(0)).replacen("place = \"hem\"", "place = \"hem\"\nwithdrawn = \"twice\"", 1);
    desk.entered(&format!("reason = \"twice\"\n{filled}"));
    assert_eq!(desk.catalogue.survey(None).expect("reads").damages[0].notes, 2);
}

#[test]
fn a_place_narrows_pieces_and_counts_alike() {
    let desk = desk();
    for (place, numbers, left_out, tears) in [
        (Some("BAY a"), vec!["1", "2"], 0, 3),
        (Some("box 10"), vec!["1"], 0, 1),
        (Some("bay b"), vec!["3", "5"], 1, 0),
        (Some("cellar"), vec![], 0, 0),
        (Some("  "), vec!["1", "2", "3", "4", "5"], 1, 3),
    ] {
        let survey = desk.catalogue.survey(place).expect("reads");
        let found: Vec<_> = survey.standings.iter().map(|s| s.number.as_str()).collect();
        assert_eq!((found, survey.left_out), (numbers, left_out), "{place:?}");
        assert_eq!(survey.damages.iter().map(|d| d.notes).sum::<usize>(), tears, "{place:?}");
    }
}

#[test]
fn due_lists_the_longest_overdue_first_and_the_never_examined_before_all() {
    let texts = sheets();
    let room = Room::with(&texts.iter().map(String::as_str).collect::<Vec<_>>());
    let numbers = |arguments: &[&str]| -> Vec<String> {
        let said = room.run(arguments);
        said.out
            .lines()
            .filter_map(|l| serde_json::from_str::<serde_json::Value>(l).ok())
            .filter_map(|v| v["number"].as_str().map(String::from))
            .collect()
    };
    // 1: at risk, 24 months after 2025-01-10. 2: stable, 60 after 2020-05-01. 4: stability unknown, 12; a hazard 24.
    // 5: cellulose nitrate, 6 months after 2025-02-01.
    for (day, wanted) in [
        ("2025-04-30", vec!["3"]),
        ("2025-05-01", vec!["3", "2"]),
        ("2025-08-01", vec!["3", "2", "5"]),
        ("2026-02-01", vec!["3", "2", "5", "4"]),
        ("2027-01-10", vec!["3", "2", "5", "4", "1"]),
    ] {
        assert_eq!(numbers(&["due", "--until", day, "--json"]), wanted, "{day}");
    }
    assert_eq!(numbers(&["due", "--until", "2027-01-10", "--place", "bay a", "--json"]), ["2", "1"]);
    let said = room.run(&["due", "--until", "2025-05-01"]).out;
    for part in [
        "now         3  cap  bay B  (never examined)",
        "2025-05-01  2  cap  bay A, box 9  (stable: 60 months)",
        "2 pieces due by 2025-05-01, 1 of them never examined; 3 not due yet",
        "common practice, no source",
        "not asked: 1 pattern or picture, which has no condition of its own",
    ] {
        assert!(said.contains(part), "`{part}` is missing from\n{said}");
    }
    // None of bay A was never examined, and no pattern lies there.
    let said = room.run(&["due", "--until", "2027-01-10", "--place", "bay a"]).out;
    assert!(said.contains("2 pieces due by 2027-01-10; 0 not due yet") && !said.contains("not asked"), "{said}");
    let two = [sheet("P1", "published pattern", "", ""), sheet("P2", "depiction", "", "")];
    let said = Room::with(&two.each_ref().map(String::as_str)).run(&["due"]).out;
    assert!(said.contains("not asked: 2 patterns or pictures, which have no condition of their own"), "{said}");
}

#[test]
fn intervals_are_chosen_for_the_catalogue_and_journalled() {
    let texts = sheets();
    let room = Room::with(&texts.iter().map(String::as_str).collect::<Vec<_>>());
    let shown = room.run(&["intervals"]).out;
    assert!(shown.contains("  24 months  at risk") && shown.contains("common practice, no source"), "{shown}");
    let changed = room.run(&["intervals", "--at-risk", "3", "--reason", "damp winter", "--json"]).out;
    assert!(changed.contains("\"at_risk\":3") && changed.contains("\"changed\":true"), "{changed}");
    assert!(room.run(&["intervals", "--at-risk", "3", "--json"]).out.contains("\"changed\":false"));
    assert!(room.run(&["journal", "--json"]).out.contains("damp winter"));
    assert!(
        room.run(&["due", "--until", "2025-04-10"])
            .out
            .contains("2025-04-10  1  cap  bay A, box 10  (at risk: 3 months)")
    );
    assert_eq!(room.run(&["intervals", "--stable", "0"]).code, Some(2));
}

fn standing(number: &str, place: &str, examined: Option<jiff::civil::Date>, words: [&str; 2]) -> Standing {
    let word = |w: &str| Some(w.to_owned()).filter(|w| !w.is_empty());
    Standing {
        number: number.into(),
        object_name: "cap".into(),
        location: word(place),
        examined,
        grade: word(words[0]),
        stability: word(words[1]),
        ..Standing::default()
    }
}

/// The page of a small store.
fn page() -> String {
    let mut poisoned = standing("2018.2", "bay A, box 10", Some(date(2020, 5, 1)), ["good", "stable"]);
    poisoned.title = Some("Green silk spencer".into());
    poisoned.hazards = vec![TermId::new(Scheme::Hazard, "arsenic green")];
    let survey = Survey {
        standings: vec![
            poisoned,
            standing("2019.1", "bay A, box 9", Some(date(2024, 1, 10)), ["fair", "at risk"]),
            standing("2019.2", "", None, ["", ""]),
            standing("2019.3", "bay B", Some(date(2025, 12, 1)), ["good", "stable"]),
        ],
        damages: vec![
            DamageCount { damage: "tear".into(), notes: 3, pieces: 2 },
            DamageCount { damage: "foxing".into(), notes: 1, pieces: 1 },
        ],
        left_out: 2,
    };
    let intervals = Intervals::default();
    let asked = Asked { until: date(2026, 1, 20), place: None, intervals: &intervals };
    report::survey(&survey, &asked, &sample::settings()).expect("prints")
}

#[test]
fn the_survey_page_of_a_small_store() {
    let page = page();
    let (head, rest) = page.split_once("<style>").expect("a style element");
    let (_, rest) = rest.split_once("</style>").expect("its end");
    insta::assert_snapshot!(format!("{head}{rest}"));
}

#[test]
fn the_page_lists_by_location_as_a_person_counts_and_draws_counts_to_length() {
    let page = page();
    let at = |text: &str| page.find(text).unwrap_or_else(|| panic!("`{text}` is missing"));
    assert!(at(">bay A, box 9</th>") < at(">bay A, box 10</th>"));
    assert!(at(">bay A, box 10</th>") < at(">location not recorded</th>"));
    assert!(!page.contains(">bay B</th>"), "what is not due is not in the list");
    assert!(page.contains("3 of 4 pieces due by 20 January 2026, 1 of them never examined; 1 not due yet."));
    assert!(page.contains("May hold: arsenic green"));
    // The longest bar is full; another is as long as its count says: 1 of 3.
    assert!(
        page.contains("<rect width=\"100.0\" height=\"10\" fill=\"#333\"/>") && page.contains("<rect width=\"33.3\"")
    );
    let text = page.to_lowercase();
    for claim in [" is safe", "harmless", "no damage was found"] {
        assert!(!text.contains(claim), "`{claim}`");
    }
}

#[test]
fn an_empty_catalogue_says_that_nothing_is_due() {
    let mut desk = Desk::new();
    assert_eq!(desk.catalogue.survey(None).expect("reads"), Survey::default());
    assert_eq!(desk.catalogue.intervals().expect("reads"), Intervals::default());
    assert!(!desk.catalogue.set_intervals(AUTHOR, "x", &Intervals::default()).expect("nothing to do"));
}

#[test]
fn a_note_withdrawn_between_two_others_hands_on_what_it_continued() {
    let mut desk = Desk::new();
    let visit = |day: &str, extent: &str, more: &str| {
        sheet("1", "extant", "", &exam(day, &format!("{}{more}", TEAR.replace("12 mm", extent))))
    };
    desk.entered(&visit("2020-01-10", "12 mm", ""));
    desk.entered(&visit("2022-01-10", "14 mm", "continues = \"last\"\n"));
    desk.entered(&visit("2024-01-10", "16 mm", "continues = \"last\"\n"));
    let stale = desk.filled("1", Some(2));
    let withdraw = |desk: &mut Desk, which: usize| {
        let filled = desk.filled("1", Some(which));
        let sheet = filled.replacen("damage = \"tear\"\n", "damage = \"tear\"\nwithdrawn = \"a crease\"\n", 1);
        assert_eq!(desk.entered(&format!("reason = \"a crease\"\n{sheet}")).corrected, 1);
    };
    withdraw(&mut desk, 1);
    let file = desk.catalogue.piece("1").expect("reads");
    let (a, c) = (&file.examinations[0].conditions[0], &file.examinations[2].conditions[0]);
    assert_eq!(c.what.continues, a.id);
    let changes =
        dimity::analysis::change::between(&file.examinations, 0, 2, dimity::vocabulary::Vocabulary::shipped());
    let told: Vec<_> = changes.iter().map(|c| c.standing.words()).collect();
    assert_eq!(told, ["worse"], "one damage, seen twice");
    assert_eq!(desk.catalogue.survey(None).expect("reads").damages[0].notes, 1);
    for printed in [stale.clone(), desk.filled("1", Some(2))] {
        assert!(desk.entered(&printed).is_nothing());
    }
    // Nothing is left to continue.
    withdraw(&mut desk, 0);
    let file = desk.catalogue.piece("1").expect("reads");
    assert_eq!(file.examinations[2].conditions[0].what.continues, None);
    assert_eq!(desk.catalogue.survey(None).expect("reads").damages[0].notes, 1);
    for printed in [stale, desk.filled("1", Some(2))] {
        assert!(desk.entered(&printed).is_nothing());
    }
    desk.is_sound();
}

#[test]
fn an_active_damage_an_unstable_grade_and_an_urgency_shorten_the_time_to_the_next_visit() {
    let cases = [
        ("[[condition]]\ndamage = \"tear\"\nactivity = \"active\"\n", Some("active damage, tear")),
        ("[[condition]]\ndamage = \"tear\"\nactivity = \"inactive\"\n", None),
        ("[[overall]]\ngrade = \"unstable\"\nstability = \"stable\"\n", Some("grade unstable")),
        ("[[overall]]\ngrade = \"good\"\nstability = \"stable\"\nurgency = \"now\"\n", Some("urgency now")),
        ("[[overall]]\ngrade = \"good\"\nstability = \"stable\"\n", None),
    ];
    let mut desk = Desk::new();
    for (n, (lines, _)) in cases.iter().enumerate() {
        desk.entered(&sheet(&n.to_string(), "extant", "bay A", &exam("2024-03-12", lines)));
    }
    let survey = desk.catalogue.survey(None).expect("reads");
    for (standing, (lines, pressing)) in survey.standings.iter().zip(cases) {
        assert_eq!(standing.pressing.as_deref(), pressing, "{lines}");
    }
}

#[test]
fn a_damage_goes_on_in_its_own_piece_only() {
    let desk = desk();
    // As a catalogue may hold it that was entered before such links were refused.
    let db = rusqlite::Connection::open(desk.folder().join(dimity::catalogue::FILE)).expect("opens");
    let sql = "UPDATE condition SET continues_id = (SELECT min(o.id) FROM observation o JOIN examination e
                 ON e.id = o.examination_id JOIN piece p ON p.id = e.piece_id WHERE p.number = '2' AND o.kind = 'condition')
               WHERE continues_id IS NOT NULL";
    assert_eq!(db.execute(sql, []).expect("written"), 1);
    let tears = &desk.catalogue.survey(None).expect("reads").damages[0];
    assert_eq!((tears.notes, tears.pieces), (4, 2), "both of 1 stand, and both of 2");
}
