//! The decision rule and the effective degrees of freedom, row by row against `fixtures/checks`.

use dimity::analysis::comparison::{Tolerance, Verdict, decide};
use dimity::measure::Estimate;
use dimity::measure::welch_satterthwaite;

/// The rows of a small CSV file: comments and the heading left out, a quoted last column kept whole.
fn rows(text: &str) -> impl Iterator<Item = Vec<&str>> {
    text.lines().filter(|l| !l.starts_with('#')).skip(1).map(|line| {
        let (plain, quoted) = line.split_once(",\"").unwrap_or((line, ""));
        plain.split(',').chain([quoted]).collect()
    })
}

fn number(text: &str) -> f64 {
    text.parse().unwrap_or_else(|_| panic!("`{text}` is no number"))
}

fn estimate(value: f64, u: f64, dof: f64) -> Estimate {
    Estimate { dof, ..Estimate::new(value, u) }
}

#[test]
fn the_rule_of_iso_14253_1_decides_as_worked_by_hand() {
    for row in rows(include_str!("../../fixtures/checks/decision.csv")) {
        let n: Vec<f64> = row[..9].iter().map(|t| number(t)).collect();
        let found = decide(&estimate(n[0], n[1], n[2]), &estimate(n[3], n[4], n[5]), n[6]);
        let verdict = match row[9] {
            "agree" => Verdict::Agree,
            "differ" => Verdict::Differ,
            _ => Verdict::CannotTell,
        };
        assert_eq!(found.verdict, verdict, "{row:?}");
        assert!((found.k - n[7]).abs() < 0.006, "k {} in {row:?}", found.k);
        assert!((found.expanded - n[8]).abs() < 0.0006, "U {} in {row:?}", found.expanded);
        assert!((found.difference - (n[0] - n[3])).abs() < 1e-9);
    }
}

#[test]
fn without_tolerance_a_difference_is_proved_where_en_exceeds_one() {
    for row in rows(include_str!("../../fixtures/checks/decision_en.csv")) {
        let n: Vec<f64> = row[..5].iter().map(|t| number(t)).collect();
        // The file states U at k = 2; sixty degrees of freedom each keep k within 1 % of that.
        let found = decide(&estimate(n[0], n[1] / 2.0, 60.0), &estimate(n[2], n[3] / 2.0, 60.0), 0.0);
        let expected = if n[4].abs() > 1.0 { Verdict::Differ } else { Verdict::CannotTell };
        assert_eq!(found.verdict, expected, "{row:?}");
        assert_eq!(row[5] == "differ", expected == Verdict::Differ, "{row:?}");
        assert!((found.difference / found.expanded - n[4]).abs() < 0.02 * n[4].abs().max(1.0), "{row:?}");
    }
}

#[test]
fn degrees_of_freedom_follow_welch_and_satterthwaite() {
    for row in rows(include_str!("../../fixtures/checks/decision_dof.csv")) {
        let parts: Vec<(f64, f64)> =
            row[0].split(' ').filter_map(|p| p.split_once(':')).map(|(u, dof)| (number(u), number(dof))).collect();
        let (found, expected) = (welch_satterthwaite(&parts), number(row[1]));
        let near = (found / expected - 1.0).abs() < 1e-12;
        assert!(near || (found.is_infinite() && expected.is_infinite()), "{found} in {row:?}");
    }
}

#[test]
fn a_tolerance_is_the_larger_of_share_and_amount_and_the_same_both_ways() {
    let length = Tolerance::new(0.02, 5.0);
    for (a, b, expected) in [(100.0, 100.0, 5.0), (500.0, 500.0, 10.0), (510.0, 490.0, 10.0), (240.0, 250.0, 5.0)] {
        assert!((length.between(a, b) - expected).abs() < 1e-12, "{a} {b}");
        assert!((length.between(b, a) - expected).abs() < 1e-12, "{b} {a}");
    }
    assert_eq!(length.words("mm"), "2 % or 5 mm, whichever is larger");
    assert_eq!(Tolerance::new(0.15, 0.0).words("per cm"), "15 %");
    assert_eq!(Tolerance::new(0.0, 2.0).words("mm"), "2 mm");
    assert_eq!(Tolerance::new(f64::NAN, -1.0).words("mm"), "none: any difference counts");
}

#[test]
fn figures_that_are_no_numbers_prove_nothing() {
    for bad in [f64::NAN, f64::INFINITY] {
        let found = decide(&estimate(bad, 1.0, 3.0), &estimate(1.0, bad, 3.0), 10.0);
        assert_ne!(found.verdict, Verdict::Agree);
    }
    assert_eq!(decide(&estimate(3.0, 0.1, 3.0), &estimate(0.0, 0.1, 3.0), 1.0).percent, None);
}

#[test]
fn the_decision_is_put_into_words_that_say_what_would_settle_it() {
    // Worked by hand with k = 1.960.
    for (a, u, tolerance, unit, words) in [
        (5.0, 1.0, 10.0, "mm", "at most 6.96 mm apart (95 % sure), within the tolerance of 10 mm"),
        (-15.0, 1.0, 10.0, "mm", "at least 13 mm apart (95 % sure), beyond the tolerance of 10 mm"),
        (
            9.0,
            1.0,
            10.0,
            "mm",
            "7.04 to 11 mm apart (95 % sure), where the tolerance is 10 mm; known to ± 1 mm in place of ± 2 mm, this \
             difference would be settled",
        ),
        (
            10.05,
            1.0,
            10.0,
            "mm",
            "8.09 to 12 mm apart (95 % sure), where the tolerance is 10 mm; so near the limit that closer readings may \
             not settle it",
        ),
        (2.0, 0.0, 0.0, "", "2 apart; the tolerance is 0"),
    ] {
        let found = decide(&Estimate::new(a, u), &Estimate::exact(0.0), tolerance);
        assert_eq!(found.in_words(unit), words, "{a}");
    }
}
