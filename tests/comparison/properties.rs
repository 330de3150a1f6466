//! What must hold for any two pieces.

use super::pieces::*;
use dimity::analysis::comparison::{Basis, Comparison, Counts, Finding, Relation, Standing, Verdict};
use dimity::record::{Examination, PieceFile};
use proptest::prelude::*;

fn compared(a: &PieceFile, b: &PieceFile) -> Comparison<'static> {
    compare(a, b, &vocabulary(), &Basis::default())
}

fn of<T: std::fmt::Debug + Clone + 'static>(values: &'static [T]) -> impl Strategy<Value = T> {
    prop::sample::select(values)
}

const PLACES: &[&str] = &["", "back", "left front", "left skel flap", "left skel tab"];
const READINGS: &[&str] = &["400 mm", "401 mm", "410 mm", "16 in", "c. 400 mm", "at least 390 mm", "380-420 mm"];
const COUNTS: &[&str] = &["9 in 1 in", "10 in 1 in", "12 in 1 in", "4 in 1 cm"];
const FIBRES: &[&str] = &["skel silk", "wild skel silk", "tame skel silk", "skel wool", "skel fibre"];

fn examination() -> impl Strategy<Value = Examination> {
    let measurement = (
        of(PLACES),
        of(&["length", "width"]),
        prop::collection::vec(of(READINGS), 1..4),
        of(&[None, Some("flat"), Some("inside")]),
    )
        .prop_map(|(place, name, readings, how)| taken(place, name, &readings, how));
    let textile = (
        of(PLACES),
        of(&["shell", "lining"]),
        prop::collection::vec(of(FIBRES), 0..3),
        prop::collection::vec(of(COUNTS), 0..3),
    )
        .prop_map(|(place, role, fibres, ends)| cloth(place, role, &fibres, "plain", [&ends, &[]]));
    let stitches = (
        of(PLACES),
        of(&["hem", "side seam"]),
        of(&["backstitch", "running stitch"]),
        prop::collection::vec(of(COUNTS), 0..4),
        prop::option::of(1i64..6),
    )
        .prop_map(|(place, purpose, stitch, density, order)| seam(place, purpose, stitch, &density, order));
    let fasten =
        (of(PLACES), of(&["button", "lacing"]), prop::option::of(0i64..4)).prop_map(|(p, k, n)| fastening(p, k, n));
    let steps = prop::collection::vec(of(&["cut out", "sew the back", "hem", "line", "press"]), 0..6);
    (
        prop::collection::vec(measurement, 0..6),
        prop::collection::vec(textile, 0..3),
        prop::collection::vec(stitches, 0..5),
        prop::collection::vec(fasten, 0..4),
        steps,
    )
        .prop_map(|(measurements, textiles, stitching, fastenings, steps)| Examination {
            measurements,
            textiles,
            stitching,
            fastenings,
            steps: steps.into_iter().map(step).collect(),
            ..Examination::default()
        })
}

fn file(number: &'static str) -> impl Strategy<Value = PieceFile> {
    prop::collection::vec(examination(), 0..3).prop_map(move |examinations| {
        let mut file = piece(number, "extant", "piece");
        file.examinations = examinations;
        file
    })
}

/// The lines as comparable words, whichever piece came first.
fn facts(comparison: &Comparison, swapped: bool) -> Vec<String> {
    let parts = |text: &str| {
        let mut names: Vec<&str> = text.split(" / ").collect();
        names.sort_unstable();
        names.join("|")
    };
    let mut facts: Vec<String> = comparison
        .groups
        .iter()
        .flat_map(|group| &group.lines)
        .map(|line| {
            let (a, b) = if swapped { (&line.other, &line.subject) } else { (&line.subject, &line.other) };
            let finding = match &line.finding {
                Finding::Number(f) => {
                    let signed = if swapped { -f.difference } else { f.difference };
                    format!("{:.6} U {:.6} T {:.6} {:?}", signed + 0.0, f.expanded, f.tolerance, f.verdict)
                }
                Finding::Term { relation } => {
                    let relation = match relation {
                        Relation::Broader if swapped => &Relation::Narrower,
                        Relation::Narrower if swapped => &Relation::Broader,
                        same => same,
                    };
                    format!("{relation:?}")
                }
                Finding::Colour(f) => format!("ΔE {:.6} U {:.6} {:?}", f.de00, f.expanded, f.verdict),
                Finding::OnlySubject => format!("only {}", if swapped { "b" } else { "a" }),
                Finding::OnlyOther => format!("only {}", if swapped { "a" } else { "b" }),
            };
            // A step is named as the subject words it, and its sides carry the wording.
            let name = if line.aspect.is_empty() { String::new() } else { parts(&line.item) };
            format!("{} {name} {} [{}] [{}] {finding}", parts(&line.component), line.aspect, a.words(), b.words())
        })
        .collect();
    facts.sort();
    facts
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 128, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn a_piece_never_differs_from_itself(p in file("P")) {
        let c = compared(&p, &p);
        prop_assert_eq!((c.counts.differ, c.counts.only_subject, c.counts.only_other), (0, 0, 0));
        for line in c.groups.iter().flat_map(|g| &g.lines) {
            match &line.finding {
                Finding::Number(f) if f.verdict == Verdict::CannotTell => {
                    let limit = line.caveat.is_some();
                    prop_assert!(f.expanded > f.tolerance || limit, "{:?}", line);
                }
                Finding::Number(f) => prop_assert!(f.difference == 0.0 && f.expanded <= f.tolerance),
                Finding::Term { relation } => prop_assert_eq!(relation, &Relation::Identical),
                other => prop_assert!(false, "{:?}", other),
            }
        }
    }

    #[test]
    fn swapping_the_pieces_negates_differences_and_keeps_verdicts(a in file("A"), b in file("B")) {
        let (forth, back) = (compared(&a, &b), compared(&b, &a));
        prop_assert_eq!(facts(&forth, false), facts(&back, true));
        prop_assert_eq!(forth.counts, Counts { only_subject: back.counts.only_other, only_other: back.counts.only_subject, ..back.counts });
    }

    #[test]
    fn not_recorded_never_counts_as_agreement(a in file("A"), b in file("B")) {
        let c = compared(&a, &b);
        for line in c.groups.iter().flat_map(|g| &g.lines) {
            let gap = [&line.subject, &line.other].iter().any(|s| s.standing == Standing::NotRecorded);
            prop_assert_eq!(gap, line.verdict().is_none(), "{:?}", line);
            prop_assert!(line.subject.standing != Standing::NotRecorded || line.other.standing != Standing::NotRecorded);
        }
    }

    #[test]
    fn leaving_records_out_never_adds_agreement(p in file("P"), keep in 0usize..3) {
        let mut less = p.clone();
        for exam in &mut less.examinations {
            exam.measurements.truncate(keep);
            exam.textiles.truncate(keep);
            exam.fastenings.clear();
        }
        let (whole, part) = (compared(&p, &p), compared(&p, &less));
        prop_assert!(part.counts.agree <= whole.counts.agree);
    }
}
