//! One pair in full, and the cases in which a comparison could claim too much.

use super::pieces::*;
use dimity::analysis::comparison::{Basis, Comparison, Finding, Line, PairedBy, Relation, Standing, Verdict, as_text};
use dimity::measure::Kind;
use dimity::record::{Examination, PieceFile};

fn compared(a: &PieceFile, b: &PieceFile) -> Comparison<'static> {
    compare(a, b, &vocabulary(), &Basis::default())
}

fn line<'c, 'a>(c: &'c Comparison<'a>, feature: &str) -> &'c Line<'a> {
    let mut found = c.groups.iter().flat_map(|g| &g.lines).filter(|l| l.feature() == feature);
    let first = found.next().unwrap_or_else(|| panic!("no line `{feature}`"));
    assert!(found.next().is_none(), "two lines `{feature}`");
    first
}

fn with(exam: impl FnOnce(&mut Examination)) -> PieceFile {
    let mut file = piece("X", "extant", "piece");
    let mut examination = Examination::default();
    exam(&mut examination);
    file.examinations = vec![examination];
    file
}

#[test]
fn a_spencer_and_its_reconstruction_read_as_recorded() {
    insta::assert_snapshot!(as_text(&compared(&reconstruction(), &spencer())));
}

#[test]
fn cover_and_mass_are_worked_out_where_both_allow_it_and_never_shown_of_one_alone() {
    let woven = |number: Option<&str>, mass: Option<&str>| {
        let mut cloth = cloth("front", "shell", &["linen"], "tabby", [&["16 per cm"], &["15 per cm"]]);
        let yarn = |kind, text: Option<&str>| text.map(|text| quantity(kind, text));
        cloth.what.warp.number = yarn(Kind::Yarn, number);
        cloth.what.weft.number = yarn(Kind::Yarn, number);
        cloth.what.mass = yarn(Kind::MassPerArea, mass);
        with(|e| e.textiles = vec![cloth])
    };
    let c = compared(&woven(Some("40 lea"), None), &woven(Some("40 lea"), Some("138 g/m2")));
    let cover = line(&c, "shell: cover factor");
    assert_eq!((cover.verdict(), cover.subject.words().as_ref()), (Some(Verdict::Agree), "from setts and yarns"));
    let mass = line(&c, "shell: mass per area");
    assert_eq!(mass.subject.words(), "from setts, yarns and crimp");
    assert_eq!((mass.other.words().as_ref(), mass.unit), ("138 g/m2", "g/m²"));
    assert_eq!(mass.verdict(), Some(Verdict::Agree));
    let c = compared(&woven(Some("20 lea"), None), &woven(Some("40 lea"), None));
    assert_eq!(line(&c, "shell: cover factor").verdict(), Some(Verdict::Differ));
    let c = compared(&woven(Some("40 lea"), None), &woven(None, None));
    assert!(
        c.groups.iter().flat_map(|g| &g.lines).all(|l| !l.feature().contains("cover") && !l.feature().contains("mass"))
    );
    let c = compared(&woven(None, Some("138 g/m2")), &woven(None, None));
    assert_eq!(line(&c, "shell: mass per area").finding, Finding::OnlySubject);
}

#[test]
fn the_latest_value_stands_and_a_withdrawn_one_does_not() {
    let c = compared(&spencer(), &reconstruction());
    assert_eq!(line(&c, "back length").subject.words(), "374 mm; 375 mm; 374 mm");
    assert_eq!(line(&c, "back length").subject.examined, Some(jiff::civil::date(2025, 3, 6)));
    let mut spencer = spencer();
    spencer.examinations[1].measurements[0].withdrawn = Some("wrong piece".into());
    let c = compared(&spencer, &reconstruction());
    assert_eq!(line(&c, "back length").subject.words(), "372 mm; 373 mm; 372 mm");
}

#[test]
fn components_with_other_names_meet_through_term_and_side() {
    let c = compared(&spencer(), &reconstruction());
    assert_eq!(line(&c, "front length").component, "left front / left forepart");
    let by = c.components.iter().find(|p| p.subject == Some("left front")).and_then(|p| p.by);
    assert_eq!(by, Some(PairedBy::TermAndSide));
    assert!(c.components.iter().any(|p| p.other == Some("pocket") && p.by.is_none()));
}

#[test]
fn a_component_is_told_from_its_name_when_no_term_is_given_and_never_when_two_could_be_meant() {
    let flap = |name: &str| with(|e| e.measurements = vec![dimension(name, "width", &["50 mm"])]);
    let c = compared(&flap("left skel flap"), &flap("left skel tab"));
    assert_eq!(line(&c, "width").component, "left skel flap / left skel tab");
    for other in ["right skel tab", "skel tab"] {
        let c = compared(&flap("left skel flap"), &flap(other));
        assert_eq!((c.counts.on_both(), c.counts.only_subject, c.counts.only_other), (0, 1, 1), "{other}");
    }
    let two = with(|e| {
        e.measurements =
            vec![dimension("left skel tab", "width", &["50 mm"]), dimension("skel tab, left", "width", &["9 mm"])];
    });
    assert_eq!(compared(&flap("left skel flap"), &two).counts.on_both(), 0);
}

#[test]
fn terms_that_differ_in_precision_cannot_be_told_and_siblings_differ() {
    use Relation::{Broader, Different, Identical, Mixed, Narrower};
    let related = |common: &str| Relation::Related { common: common.into() };
    let cases: [(&[&str], &[&str], Relation, Verdict); 10] = [
        (&["skel silk"], &["skel silk"], Identical, Verdict::Agree),
        (&["skel silk"], &["wild skel silk"], Broader, Verdict::CannotTell),
        (&["wild skel silk"], &["skel silk"], Narrower, Verdict::CannotTell),
        (&["wild skel silk"], &["tame skel silk"], related("skel silk"), Verdict::Differ),
        (&["wild skel silk"], &["skel wool"], related("skel fibre"), Verdict::Differ),
        (&["skel silk"], &["nothing known"], Different, Verdict::Differ),
        (&["skel silk", "skel wool"], &["skel wool", "skel silk"], Identical, Verdict::Agree),
        (&["skel silk", "skel wool"], &["skel silk"], Different, Verdict::Differ),
        (&["skel silk", "skel wool"], &["wild skel silk", "skel wool"], Broader, Verdict::CannotTell),
        (&["wild skel silk", "skel fibre"], &["skel silk", "skel wool"], Mixed, Verdict::CannotTell),
    ];
    for (a, b, relation, verdict) in cases {
        let of = |fibres: &[&str]| with(|e| e.textiles = vec![cloth("", "shell", fibres, "w", [&[], &[]])]);
        let c = compared(&of(a), &of(b));
        let found = line(&c, "shell: fibres");
        assert_eq!(found.finding, Finding::Term { relation }, "{a:?} {b:?}");
        assert_eq!(found.verdict(), Some(verdict), "{a:?} {b:?}");
    }
}

#[test]
fn not_recorded_none_and_some_are_three_different_things() {
    let of = |kinds: Vec<(&str, Option<i64>)>| {
        with(|e| e.fastenings = kinds.iter().map(|(k, n)| fastening("", k, *n)).collect())
    };
    let some = of(vec![("button", Some(6))]);
    let uncounted = of(vec![("button", None)]);
    let none = of(vec![("button", Some(0))]);
    let silent = with(|e| e.steps = vec![step("Sew")]);

    let c = compared(&some, &none);
    assert_eq!(line(&c, "button").verdict(), Some(Verdict::Differ));
    assert_eq!(line(&c, "button").other.standing, Standing::Absent);
    assert_eq!(line(&c, "button").other.words(), "none, known to be absent");
    assert_eq!(c.counts.on_both(), 1, "the count is not a second difference");

    let c = compared(&some, &silent);
    assert_eq!(line(&c, "button").finding, Finding::OnlySubject);
    assert_eq!(line(&c, "button").other.words(), "not recorded");

    let c = compared(&some, &uncounted);
    assert_eq!(line(&c, "button").verdict(), Some(Verdict::Agree));
    assert_eq!(line(&c, "button: count").finding, Finding::OnlySubject);

    assert_eq!(line(&compared(&none, &none), "button").verdict(), Some(Verdict::Agree));
    assert_eq!(line(&compared(&none, &silent), "button").finding, Finding::OnlySubject);
    assert_eq!(line(&compared(&none, &uncounted), "button").verdict(), Some(Verdict::Differ));
}

#[test]
fn one_kind_in_place_of_another_is_a_difference_but_none_of_one_is_no_counterpart() {
    let of = |kind: &str, n| with(|e| e.fastenings = vec![fastening("back", kind, n)]);
    let c = compared(&of("lacing", None), &of("zip", None));
    assert_eq!(line(&c, "lacing / zip").verdict(), Some(Verdict::Differ));
    let c = compared(&of("lacing", None), &of("zip", Some(0)));
    assert_eq!((c.counts.only_subject, c.counts.only_other), (1, 1));
    let two = with(|e| {
        e.fastenings = vec![fastening("back", "zip", None), fastening("back", "button", None)];
    });
    assert_eq!(compared(&of("lacing", None), &two).counts.on_both(), 0, "which one stands for it is not known");
    let c = compared(
        &with(|e| e.stiffening = vec![stiffening("back", "baleen", Some(12), "6 mm")]),
        &with(|e| e.stiffening = vec![stiffening("back", "steel", Some(12), "6 mm")]),
    );
    assert_eq!(line(&c, "baleen / steel").verdict(), Some(Verdict::Differ));
    assert_eq!(line(&c, "baleen / steel: count").verdict(), Some(Verdict::Agree));
}

#[test]
fn a_dimension_meets_the_one_taken_alike_and_says_so_when_there_is_none() {
    let a = with(|e| {
        e.measurements =
            vec![taken("", "waist", &["700 mm"], Some("inside")), taken("", "waist", &["720 mm"], Some("outside"))];
    });
    let b = with(|e| e.measurements = vec![taken("", "waist", &["721 mm"], Some("outside"))]);
    let c = compared(&a, &b);
    let both: Vec<&Line> = c.groups[0].lines.iter().filter(|l| l.verdict().is_some()).collect();
    assert_eq!(both.len(), 1);
    assert_eq!((both[0].subject.words().as_ref(), both[0].caveat.as_deref()), ("720 mm", None));
    let flat = with(|e| e.measurements = vec![taken("", "waist", &["721 mm"], Some("flat"))]);
    let c = compared(&flat, &b);
    assert_eq!(line(&c, "waist").caveat.as_deref(), Some("not taken alike: flat, and outside"));
}

#[test]
fn a_limit_proves_only_a_difference_that_lies_beyond_it() {
    let cases = [
        ("at least 300 mm", "200 mm", Verdict::Differ),
        ("at least 200 mm", "300 mm", Verdict::CannotTell),
        ("at least 200 mm", "200 mm", Verdict::CannotTell),
        ("up to 200 mm", "300 mm", Verdict::Differ),
        ("up to 300 mm", "200 mm", Verdict::CannotTell),
        ("200 mm", "at least 300 mm", Verdict::Differ),
        ("200 mm", "up to 300 mm", Verdict::CannotTell),
    ];
    for (a, b, verdict) in cases {
        let of = |reading: &str| with(|e| e.measurements = vec![dimension("", "length", &[reading])]);
        assert_eq!(line(&compared(&of(a), &of(b)), "length").verdict(), Some(verdict), "{a} {b}");
    }
}

#[test]
fn the_tolerance_follows_the_group_of_the_dimension() {
    let of = |name: &str, reading: &str| with(|e| e.measurements = vec![dimension("", name, &[reading])]);
    for (name, tolerance) in [("skel tape width", 2.0), ("skel girth", 10.0), ("some length", 5.0)] {
        let c = compared(&of(name, "100 mm"), &of(name, "101 mm"));
        let Finding::Number(figures) = &line(&c, name).finding else { panic!("{name}") };
        assert!((figures.tolerance - tolerance).abs() < 1e-12, "{name}: {}", figures.tolerance);
    }
}

#[test]
fn a_departure_stands_beside_what_it_names_and_nowhere_else() {
    let c = compared(&reconstruction(), &spencer());
    let reasons = |feature: &str| line(&c, feature).departures.iter().map(|d| d.reason.clone()).collect::<Vec<_>>();
    assert_eq!(reasons("sleeve length"), ["fit"]);
    assert_eq!(reasons("lining: fibres"), ["cost"]);
    assert!(reasons("lining: structure").is_empty());
    assert_eq!(reasons("lining: ends"), ["supply"]);
    assert_eq!(reasons("hook and eye: count"), ["mistake"]);
    let named =
        |list: &[dimity::analysis::comparison::Accounted]| list.iter().map(|a| a.feature.clone()).collect::<Vec<_>>();
    assert_eq!(named(&c.departures_without_difference), ["back length"]);
    assert_eq!(named(&c.departures_untested), ["upper arm girth", "collar lining"]);
    assert!(c.unexplained().iter().all(|u| u.feature != "sleeve length"));
    assert!(c.unexplained().iter().any(|u| u.feature == "front length"));
}

#[test]
fn a_departure_on_another_component_explains_nothing() {
    let mut subject = with(|e| e.measurements = vec![dimension("left sleeve", "length", &["500 mm"])]);
    subject.departures = vec![departure("length", Some("right sleeve"), "fit", "")];
    let other = with(|e| e.measurements = vec![dimension("left sleeve", "length", &["600 mm"])]);
    let c = compared(&subject, &other);
    assert_eq!((c.unexplained().len(), c.departures_untested.len()), (1, 1));
}

#[test]
fn the_summary_claims_no_more_than_the_numbers() {
    let one = with(|e| e.measurements = vec![dimension("", "length", &["500 mm", "500 mm"])]);
    let nothing = piece("Y", "extant", "piece");
    assert_eq!(
        compared(&one, &one).summary(),
        "Of 1 feature recorded on both, 1 agrees, 0 differ, and 0 cannot be told."
    );
    assert_eq!(
        compared(&one, &nothing).summary(),
        "No feature is recorded on both X and Y: nothing can be said of how they compare. \
         1 feature of X is not recorded on Y."
    );
}

#[test]
fn the_summary_counts_reasons_without_empty_numbers() {
    let of = |readings: &[&str]| {
        with(|e| {
            e.measurements =
                readings.iter().enumerate().map(|(i, r)| dimension("", &format!("width {i}"), &[r])).collect();
        })
    };
    let (subject, other) = (of(&["300 mm", "300 mm"]), of(&["400 mm", "400 mm"]));
    let with_reasons = |n: usize| {
        let mut subject = subject.clone();
        subject.departures = (0..n).map(|i| departure(&format!("width {i}"), None, "fit", "")).collect();
        compared(&subject, &other).summary()
    };
    for (n, ending) in [
        (0, "No departure is recorded for any of the 2 differences."),
        (1, "A departure is recorded for 1 of the 2 differences; 1 stands without one."),
        (2, "A departure is recorded for each of the 2 differences."),
    ] {
        assert!(with_reasons(n).ends_with(ending), "{}", with_reasons(n));
    }
}

#[test]
fn the_result_is_plain_data() {
    let json = serde_json::to_value(compared(&reconstruction(), &spencer())).expect("serialises");
    assert_eq!(json["groups"][0]["lines"][0]["finding"]["kind"], "number");
    assert!(json["counts"]["agree"].is_u64());
}
