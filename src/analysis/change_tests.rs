//! Each standing, by table: what was written then, what is written now, and what became of it.

use super::*;
use crate::measure::{Kind, Quantity};
use crate::record::Circumstances;
use crate::vocabulary::{Scheme, TermId};

fn note(id: &str, extent: Option<&str>, severity: Option<&str>) -> Observed<Condition> {
    Observed {
        id: Some(id.into()),
        component: Some("left front".into()),
        what: Condition {
            damage: Some(TermId::new(Scheme::Damage, "tideline")),
            extent: extent.map(|t| Quantity::parse(Kind::Extent, t).expect("a readable extent")),
            severity: severity.map(|s| TermId::new(Scheme::Severity, s)),
            ..Condition::default()
        },
        ..Observed::default()
    }
}

fn continuing(earlier: &str, mut note: Observed<Condition>) -> Observed<Condition> {
    note.what.continues = Some(earlier.into());
    note
}

fn exam(year: i16, conditions: Vec<Observed<Condition>>) -> Examination {
    let about = Circumstances { date: Some(jiff::civil::date(year, 3, 6)), ..Circumstances::default() };
    Examination { about, conditions, ..Examination::default() }
}

fn standings(examinations: &[Examination], earlier: usize, later: usize) -> Vec<Standing> {
    between(examinations, earlier, later, Vocabulary::shipped()).iter().map(|c| c.standing).collect()
}

#[test]
fn a_note_is_compared_by_extent_then_by_severity() {
    use Standing::{Better, NoLongerFound, NotComparable, Unchanged, Worse};
    type Said = (Option<&'static str>, Option<&'static str>);
    let cases: &[(Said, Said, Standing)] = &[
        // limit 2·√(0.6² + 0.5²) = 1.56 cm²
        ((Some("4.1 ± 0.6 cm2"), None), (Some("4.6 ± 0.5 cm2"), None), Unchanged),
        ((Some("4.1 ± 0.6 cm2"), None), (Some("5.6 ± 0.5 cm2"), None), Unchanged),
        ((Some("4.1 ± 0.6 cm2"), None), (Some("5.7 ± 0.5 cm2"), None), Worse),
        ((Some("5.7 ± 0.6 cm2"), None), (Some("4.1 ± 0.5 cm2"), None), Better),
        ((Some("5.6 ± 0.6 cm2"), None), (Some("4.1 ± 0.5 cm2"), None), Unchanged),
        ((Some("12 mm"), None), (Some("31 mm"), None), Worse),
        ((Some("6"), None), (Some("11"), None), Worse),
        ((Some("6"), None), (Some("6"), None), Unchanged),
        ((Some("6"), None), (Some("0"), None), NoLongerFound),
        ((Some("15 %"), None), (Some("5 %"), None), Better),
        // kinds and limits
        ((Some("12 mm"), None), (Some("4 cm2"), None), NotComparable),
        ((Some("12 mm"), Some("slight")), (Some("4 cm2"), Some("severe")), Worse),
        ((Some("at least 12 mm"), None), (Some("40 mm"), None), NotComparable),
        ((Some("12 mm"), None), (Some("at least 40 mm"), None), Worse),
        ((Some("40 mm"), None), (Some("up to 12 mm"), None), Better),
        ((Some("up to 40 mm"), None), (Some("12 mm"), None), NotComparable),
        ((Some("at least 12 mm"), None), (Some("at least 12 mm"), None), NotComparable),
        ((Some("at least 12 mm"), None), (Some("at least 40 mm"), None), NotComparable),
        ((Some("over 50 %"), None), (Some("50 %"), None), NotComparable),
        ((Some("50 %"), None), (Some("over 50 %"), None), NotComparable),
        ((Some("up to 12 mm"), None), (Some("12 mm"), None), NotComparable),
        ((Some("12 mm"), None), (Some("up to 12 mm"), None), NotComparable),
        ((Some("up to 12 mm"), None), (Some("at least 40 mm"), None), Worse),
        ((Some("at least 40 mm"), None), (Some("up to 12 mm"), None), Better),
        ((Some("at least 12 mm"), Some("slight")), (Some("at least 12 mm"), Some("slight")), Unchanged),
        // severity speaks where extents are silent, and is heard when it is worse
        ((None, None), (None, None), NotComparable),
        ((None, Some("slight")), (None, None), NotComparable),
        ((None, Some("slight")), (None, Some("slight")), Unchanged),
        ((None, Some("slight")), (None, Some("severe")), Worse),
        ((None, Some("severe")), (None, Some("slight")), Better),
        ((Some("6"), Some("slight")), (Some("6"), Some("moderate")), Worse),
        ((Some("6"), Some("slight")), (Some("3"), Some("moderate")), Worse),
        ((Some("3"), Some("moderate")), (Some("6"), Some("slight")), Worse),
        ((Some("6"), Some("moderate")), (Some("6"), Some("slight")), Better),
        ((Some("6"), Some("slight")), (Some("3"), Some("slight")), Better),
        ((Some("6"), Some("slight")), (Some("6"), Some("slight")), Unchanged),
    ];
    for ((x1, s1), (x2, s2), wanted) in cases {
        let exams = [exam(2018, vec![note("a", *x1, *s1)]), exam(2025, vec![continuing("a", note("b", *x2, *s2))])];
        assert_eq!(standings(&exams, 0, 1), [*wanted], "{x1:?} {s1:?} then {x2:?} {s2:?}");
    }
}

#[test]
fn treatment_since_is_told_once_and_only_when_it_is_new() {
    let treated = |mut n: Observed<Condition>, how: Option<&str>| {
        n.what.treated = how.map(Into::into);
        n
    };
    let cases = [
        (None, Some("supported 2021"), "3", Standing::Treated),
        (None, Some("supported 2021"), "9", Standing::Treated),
        (None, Some("supported 2021"), "0", Standing::NoLongerFound),
        (Some("supported 2021"), Some("supported 2021"), "3", Standing::Unchanged),
        (Some("supported 2021"), Some("supported 2021"), "9", Standing::Worse),
        (Some("supported 2021"), None, "9", Standing::Worse),
    ];
    for (then, now, count, wanted) in cases {
        let exams = [
            exam(2018, vec![treated(note("a", Some("3"), None), then)]),
            exam(2025, vec![treated(continuing("a", note("b", Some(count), None)), now)]),
        ];
        assert_eq!(standings(&exams, 0, 1), [wanted], "{then:?} {now:?} {count}");
    }
}

#[test]
fn a_note_that_nobody_took_up_is_never_dropped() {
    let mut exams = [exam(2018, vec![note("a", Some("6"), None)]), exam(2025, vec![])];
    assert_eq!(standings(&exams, 0, 1), [Standing::NotMentioned]);
    exams[1].about.not_examined = Some("the lining".into());
    assert_eq!(standings(&exams, 0, 1), [Standing::NotLookedAt]);
    exams[1].about.not_examined = Some("  ".into());
    assert_eq!(standings(&exams, 0, 1), [Standing::NotMentioned], "a blank says nothing");
    exams[0].conditions[0].withdrawn = Some("entered twice".into());
    assert_eq!(standings(&exams, 0, 1), [], "a withdrawn note was never there");
}

#[test]
fn chains_reach_back_over_examinations_that_did_not_mention_them() {
    let elsewhere = |n: Observed<Condition>| Observed { component: Some("lining".into()), ..n };
    let exams = [
        exam(2010, vec![note("a", Some("6"), None), note("x", Some("0"), None)]),
        exam(2015, vec![continuing("a", note("b", Some("6"), None)), elsewhere(note("c", Some("1"), None))]),
        exam(2020, vec![]),
        exam(
            2025,
            vec![
                continuing("b", note("d", Some("9"), None)),
                continuing("last", elsewhere(note("e", Some("1"), None))),
            ],
        ),
    ];
    // From the last but one: `d` continues `b` of 2015; `last` finds the latest note alike, `c`.
    assert_eq!(standings(&exams, 2, 3), [Standing::Worse, Standing::Unchanged]);
    let changes = between(&exams, 2, 3, Vocabulary::shipped());
    assert_eq!(changes[0].earlier.and_then(|s| s.note.id.as_deref()), Some("b"));
    // From 2010: the nearest note known then is `a`; `c` came later, so `e` is new since.
    let changes = between(&exams, 0, 3, Vocabulary::shipped());
    assert_eq!(changes[0].earlier.and_then(|s| s.note.id.as_deref()), Some("a"));
    assert_eq!(changes.iter().map(|c| c.standing).collect::<Vec<_>>(), [Standing::Worse, Standing::New]);
    // 2020 mentioned nothing: both open notes are asked for, the superseded and the vanished are not.
    assert_eq!(standings(&exams, 1, 2), [Standing::NotMentioned, Standing::NotMentioned]);
}

#[test]
fn last_means_the_one_note_alike_of_the_latest_examination_that_has_any() {
    let (one, two) = (note("a", Some("1"), None), note("b", Some("1"), None));
    let last = continuing("last", note("c", Some("9"), None));
    let withdrawn = Observed { withdrawn: Some("twice".into()), ..two.clone() };
    for (then, wanted) in [
        (vec![one.clone()], vec![Standing::Worse]),
        (vec![one.clone(), withdrawn], vec![Standing::Worse]),
        (vec![one, two], vec![Standing::New, Standing::NotMentioned, Standing::NotMentioned]),
        (vec![], vec![Standing::New]),
    ] {
        // Two examinations of one day: the order of the list tells which is the earlier.
        let exams = [exam(2018, then.clone()), exam(2018, vec![last.clone()])];
        assert_eq!(standings(&exams, 0, 1), wanted, "{then:?}");
        let because = between(&exams, 0, 1, Vocabulary::shipped()).remove(0).because;
        assert_eq!(because.contains("not exactly one"), wanted[0] == Standing::New, "{because}");
    }
}

#[test]
fn lost_links_and_circles_end_as_new_with_the_reason() {
    let lost = [exam(2018, vec![]), exam(2025, vec![continuing("gone", note("b", Some("1"), None))])];
    let changes = between(&lost, 0, 1, Vocabulary::shipped());
    assert_eq!((changes[0].standing, changes[0].because.contains("not in this file")), (Standing::New, true));
    let circle = [
        exam(2018, vec![continuing("b", note("a", Some("1"), None))]),
        exam(2025, vec![continuing("a", note("b", Some("1"), None)), continuing("b", note("b", Some("1"), None))]),
    ];
    assert_eq!(standings(&circle, 0, 1), [Standing::Unchanged, Standing::New]);
    assert_eq!(standings(&circle, 0, 9), []);
    assert_eq!(standings(&circle, 9, 1), []);
    let again = [exam(2018, vec![note("a", Some("1"), None)]), exam(2025, vec![note("b", Some("1"), None)])];
    let changes = between(&again, 0, 1, Vocabulary::shipped());
    assert!(changes[0].because.contains("ask whether it is the same"));
    assert_eq!(changes[1].standing, Standing::NotMentioned);
}

#[test]
fn a_damage_recorded_under_another_term_is_told_by_the_vocabulary() {
    use Renamed::{Akin, Another, Broader, Confusable, Narrower};
    let cases = [
        ("staining", "tideline", Some(Narrower), "more closely as tideline now"),
        ("tideline", "staining", Some(Broader), "more widely as staining now"),
        ("tear", "split", Some(Confusable), "easily taken for split"),
        ("tideline", "foxing", Some(Akin), "both are kinds of staining"),
        ("tear", "hole", Some(Confusable), "easily taken for hole"),
        ("tear", "fading", Some(Another), "another damage term"),
        ("hole", "tear", Some(Confusable), "easily taken for tear"),
        ("tear", "tear", None, ""),
        ("tear", "word of nobody", Some(Another), "another damage term"),
    ];
    for (then, now, wanted, words) in cases {
        let named = |id: &str, term: &str| {
            let mut n = note(id, Some("3"), None);
            n.what.damage = Some(TermId::new(Scheme::Damage, term));
            n
        };
        let exams = [exam(2018, vec![named("a", then)]), exam(2025, vec![continuing("a", named("b", now))])];
        let changes = between(&exams, 0, 1, Vocabulary::shipped());
        assert_eq!((changes[0].renamed, changes[0].standing), (wanted, Standing::Unchanged), "{then} {now}");
        assert!(changes[0].because.contains(words), "{}", changes[0].because);
    }
}

#[test]
fn a_damage_that_went_on_under_another_component_says_so() {
    let mut moved = continuing("a", note("b", Some("6"), None));
    moved.component = Some("left side front".into());
    let exams = [exam(2018, vec![note("a", Some("6"), None)]), exam(2025, vec![moved])];
    let because = &between(&exams, 0, 1, Vocabulary::shipped())[0].because;
    assert!(because.ends_with("; recorded on left front then"), "{because}");
}

#[test]
fn what_happened_between_two_examinations_is_told() {
    use Standing::{NoLongerFound, NotMentioned};
    let exams = [
        exam(2010, vec![note("a", Some("6"), None), note("b", Some("6"), None), note("c", Some("0"), None)]),
        exam(
            2015,
            vec![
                continuing("a", note("d", Some("0"), None)),
                continuing("b", note("e", Some("7"), None)),
                note("f", Some("1"), None),
                note("g", Some("0"), None),
            ],
        ),
        exam(2025, vec![]),
    ];
    let changes = between(&exams, 0, 2, Vocabulary::shipped());
    let told: Vec<_> = changes
        .iter()
        .map(|c| {
            let id = |s: Option<Seen<'_>>| s.and_then(|s| s.note.id.clone()).unwrap_or_default();
            (c.standing, id(c.earlier), id(c.later), c.because.split(" between").next().unwrap_or_default())
        })
        .collect();
    assert_eq!(
        told,
        [
            (NoLongerFound, "a".into(), "d".into(), "found gone"),
            (NotMentioned, "e".into(), String::new(), "last seen"),
            (NotMentioned, "f".into(), String::new(), "first seen"),
        ]
    );
    // From 2015 on the damage that had gone is no news.
    assert_eq!(standings(&exams, 1, 2), [NotMentioned, NotMentioned]);
    // A withdrawn note hands on what it continued.
    let mut mistaken = exams.clone();
    mistaken[1].conditions[1].withdrawn = Some("entered twice".into());
    mistaken[2].conditions.push(continuing("e", note("h", Some("9"), None)));
    let changes = between(&mistaken, 1, 2, Vocabulary::shipped());
    assert_eq!(changes[0].earlier.and_then(|s| s.note.id.as_deref()), Some("b"));
}
