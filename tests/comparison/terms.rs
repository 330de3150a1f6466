//! The terms of a comparison: components paired by hand, counts of components, many pieces in one table, steps in order.

use super::pieces::*;
use dimity::analysis::comparison::{
    Basis, ByHand, Features, Line, Matrix, PairedBy, Square, Verdict, compare_many, rows,
};
use dimity::record::{Examination, PieceFile};

fn measured(number: &str, component: &str, width: &str) -> PieceFile {
    let mut file = piece(number, "extant", "piece");
    file.examinations = vec![Examination {
        measurements: vec![dimension(component, "collar depth", &[width])],
        ..Examination::default()
    }];
    file
}

fn paired(pair: &str) -> Basis {
    Basis { pairs: vec![ByHand::read(pair).expect("a pair")], ..Basis::default() }
}

#[test]
fn components_paired_by_hand_meet_whatever_their_names_say() {
    let (a, b) = (measured("A", "collar", "60 mm"), measured("B", "Neck  Band", "61 mm"));
    assert_eq!(compare(&a, &b, &vocabulary(), &Basis::default()).counts.on_both(), 0);
    let c = compare(&a, &b, &vocabulary(), &paired("Collar = neck band"));
    assert_eq!((c.counts.agree, c.components[0].by), (1, Some(PairedBy::Hand)));
    assert_eq!(c.groups[0].lines[0].component, "collar / Neck  Band");
    // A pair by hand takes the place of a pair by name.
    let mut both = measured("B", "neck band", "61 mm");
    both.examinations[0].measurements.push(dimension("collar", "collar depth", &["90 mm"]));
    let c = compare(&a, &both, &vocabulary(), &paired("collar = neck band"));
    assert_eq!((c.counts.agree, c.counts.only_other), (1, 1));
}

#[test]
fn a_pair_that_names_nothing_is_refused_with_what_there_is() {
    let (a, b) = (measured("A", "collar", "60 mm"), measured("B", "neck band", "61 mm"));
    let all = vocabulary();
    let words = &all;
    let ask = |pair: &str| {
        let read = |file| Features::of(file, words);
        compare_many(&read(&a), &[read(&b)], words, &paired(pair)).map(|c| c.len())
    };
    assert_eq!(ask("collar = neck band"), Ok(1));
    let refusal = ask("colar = neck band").expect_err("misspelt");
    assert!(refusal.contains("A has no component `colar`; it has collar"), "{refusal}");
    let refusal = ask("collar = band").expect_err("misspelt");
    assert!(refusal.contains("no other piece has a component `band`; B has neck band"), "{refusal}");
}

#[test]
fn how_many_alike_is_compared_where_it_is_recorded() {
    // A pair of side hoops has two side, two bottom and two boning panels (common practice, no source).
    let hoops = |counts: [Option<i64>; 3]| {
        let mut file = piece("H", "extant", "side hoops");
        file.components = ["side panel", "bottom panel", "boning panel"]
            .iter()
            .zip(counts)
            .map(|(name, count)| dimity::record::piece::Component { count, ..component(name, None, None) })
            .collect();
        file
    };
    let c = compare(&hoops([Some(2); 3]), &hoops([Some(2), Some(1), None]), &vocabulary(), &Basis::default());
    let verdicts: Vec<Option<Verdict>> = c.groups[0].lines.iter().map(Line::verdict).collect();
    assert_eq!(c.groups[0].title, "Components");
    assert_eq!(verdicts, [Some(Verdict::Agree), Some(Verdict::Differ), None]);
}

/// A piece with sleeves under these names: how many alike, and their lengths.
fn sleeves(number: &str, sleeves: &[(&str, Option<i64>, Option<&str>)]) -> PieceFile {
    let mut file = piece(number, "extant", "spencer");
    file.components = sleeves
        .iter()
        .map(|(name, count, _)| dimity::record::piece::Component { count: *count, ..component(name, None, None) })
        .collect();
    let lengths = sleeves.iter().filter_map(|(name, _, length)| Some(dimension(name, "sleeve length", &[(*length)?])));
    file.examinations = vec![Examination { measurements: lengths.collect(), ..Examination::default() }];
    file
}

/// Component, what either side says, the verdict and what is to be borne in mind, line by line.
fn told(c: &dimity::analysis::comparison::Comparison) -> Vec<(String, String, String, Option<Verdict>, String)> {
    let line = |l: &Line| {
        let caveat = l.caveat.as_deref().unwrap_or_default().to_owned();
        (l.component.to_string(), l.subject.words().into(), l.other.words().into(), l.verdict(), caveat)
    };
    c.groups.iter().flat_map(|g| &g.lines).map(line).collect()
}

#[test]
fn a_sleeve_recorded_once_for_two_is_set_against_the_left_and_the_right_one() {
    let once = sleeves("A", &[("sleeve", Some(2), Some("560 mm"))]);
    let each = sleeves("B", &[("left sleeve", None, Some("561 mm")), ("right sleeve", None, Some("590 mm"))]);
    let c = compare(&once, &each, &vocabulary(), &Basis::default());
    let line =
        |a: &str, b: &str, c: &str, verdict, caveat: &str| (a.into(), b.into(), c.into(), verdict, caveat.into());
    let note = "sleeve recorded once for 2";
    let wanted = [
        line("sleeve / left sleeve, right sleeve", "2", "2 (left sleeve, right sleeve)", Some(Verdict::Agree), ""),
        line("sleeve / left sleeve", "560 mm", "561 mm", Some(Verdict::Agree), note),
        line("sleeve / right sleeve", "560 mm", "590 mm", Some(Verdict::Differ), note),
    ];
    assert_eq!(told(&c), wanted);
    assert!(c.components.iter().all(|p| p.by == Some(PairedBy::Count)
        && p.subject == Some("sleeve")
        && p.once.as_deref() == Some("sleeve recorded once for 2")));

    let back = compare(&each, &once, &vocabulary(), &Basis::default());
    let turned = |name: &str| name.split(" / ").collect::<Vec<_>>().into_iter().rev().collect::<Vec<_>>().join(" / ");
    let swapped: Vec<_> =
        told(&back).into_iter().map(|(a, b, c, verdict, caveat)| (turned(&a), c, b, verdict, caveat)).collect();
    assert_eq!(swapped, wanted, "swapping the pieces changes nothing but the side");
}

#[test]
fn what_a_count_stands_for_is_never_guessed() {
    let once = |count| sleeves("A", &[("sleeve", count, Some("560 mm"))]);
    let by = |a: &PieceFile, b: &PieceFile| {
        let c = compare(a, b, &vocabulary(), &Basis::default());
        let paired = c.components.iter().filter(|p| p.by == Some(PairedBy::Count)).count();
        (paired, c.counts.on_both(), c.counts.only_subject, c.counts.only_other)
    };
    let uncounted = |name, length| (name, None, length);
    let left = sleeves("B", &[uncounted("left sleeve", Some("561 mm"))]);
    // One of two: the other may be there or not, so the count is told of one piece only.
    assert_eq!(by(&once(Some(2)), &left), (1, 1, 1, 0));
    assert_eq!(by(&once(None), &left), (0, 0, 1, 1), "a sleeve that is not counted may be the right one");
    let three = sleeves(
        "B",
        &[uncounted("sleeve, inner", None), uncounted("sleeve, outer", None), uncounted("sleeve 3", None)],
    );
    assert_eq!(by(&once(Some(2)), &three).0, 0, "more than it counts");
    assert_eq!(by(&once(Some(3)), &three).0, 3);
    // Recorded once, and on neither of the two: one gap and not two.
    let silent = sleeves("B", &[uncounted("left sleeve", None), uncounted("right sleeve", None)]);
    assert_eq!(by(&once(Some(2)), &silent), (2, 1, 1, 0), "the count agrees, the length is told once");
    // Two that could stand for them: neither does.
    let two = sleeves("A", &[("sleeve", Some(2), None), ("sleeve, outer", Some(2), None)]);
    assert_eq!(by(&two, &silent).0, 0);
}

#[test]
fn a_pair_by_hand_wins_over_a_count() {
    let once = sleeves("A", &[("sleeve", Some(2), Some("560 mm"))]);
    let each = sleeves("B", &[("left sleeve", None, Some("561 mm")), ("right sleeve", None, Some("590 mm"))]);
    let c = compare(&once, &each, &vocabulary(), &paired("sleeve = right sleeve"));
    let by: Vec<_> = c.components.iter().map(|p| (p.other, p.by)).collect();
    assert_eq!(by, [(Some("right sleeve"), Some(PairedBy::Hand)), (Some("left sleeve"), None)]);
    assert_eq!((c.counts.differ, c.counts.only_subject, c.counts.only_other), (1, 1, 1));
    // By hand a component may be set against several.
    let both = ["sleeve = left sleeve", "sleeve = right sleeve"].map(|pair| ByHand::read(pair).expect("a pair"));
    let c = compare(&once, &each, &vocabulary(), &Basis { pairs: both.into(), ..Basis::default() });
    assert!(c.components.iter().all(|p| p.by == Some(PairedBy::Hand) && p.once.is_some()));
    assert_eq!((c.counts.agree, c.counts.differ, c.counts.only_subject), (1, 1, 1), "its own count is told once");
}

#[test]
fn a_figure_recorded_once_for_two_has_one_say_in_a_fit() {
    let once = sleeves("A", &[("sleeve", Some(2), Some("560 mm"))]);
    let each = sleeves("B", &[("left sleeve", None, Some("280 mm")), ("right sleeve", None, Some("281 mm"))]);
    let mut basis = Basis::default();
    basis.sizes.fit("sleeve length", &vocabulary()).expect("a dimension");
    let c = compare(&once, &each, &vocabulary(), &basis);
    let fitted = c.scaling.and_then(|s| s.lengths).expect("a factor");
    assert_eq!((fitted.fitted_to.len(), fitted.value), (1, Some(2.0)));
}

#[test]
fn many_pieces_stand_in_one_table_by_the_subjects_names() {
    let subject = measured("A", "collar", "60 mm");
    let others = [measured("B", "collar", "61 mm"), measured("C", "collar", "80 mm"), measured("D", "cuff", "60 mm")];
    let (words, basis) = (vocabulary(), Basis::default());
    let (ours, theirs) = (Features::of(&subject, &words), Features::all(&others, &words));
    let found = compare_many(&ours, &theirs, &words, &basis).expect("compared");
    let matrix = Matrix::of(&found).expect("a table");
    assert_eq!(matrix.rows.len(), 2);
    let verdicts =
        |row: usize| matrix.rows[row].cells.iter().map(|c| c.as_ref().map(|c| c.verdict)).collect::<Vec<_>>();
    assert_eq!(verdicts(0), [Some(Some(Verdict::Agree)), Some(Some(Verdict::Differ)), None]);
    assert_eq!(matrix.rows[0].subject.as_deref(), Some("60 mm"));
    assert_eq!(verdicts(1), [None, None, Some(None)], "what only one other records is no finding");
    assert_eq!(matrix.rows[1].subject, None);
    assert_eq!(Matrix::of(&[]), None);

    let (headings, table) = rows(&found);
    assert!(table.iter().all(|row| row.len() == headings.len()));
    assert_eq!(table.len(), found.iter().flat_map(|c| &c.groups).map(|g| g.lines.len()).sum::<usize>());
}

#[test]
fn every_piece_beside_every_other_is_counted_both_ways() {
    let files = [measured("A", "collar", "60 mm"), measured("B", "collar", "61 mm"), measured("C", "cuff", "61 mm")];
    let words = vocabulary();
    let pair = |i: usize, j: usize| compare(&files[i], &files[j], &words, &Basis::default());
    let found = [pair(0, 1), pair(0, 2), pair(1, 2)];
    let headings: Vec<_> = files.iter().map(dimity::analysis::comparison::Heading::of).collect();
    let square = Square::of(&headings, &found);
    for i in 0..3 {
        assert_eq!(square.counts[i][i], None);
    }
    let (there, back) = (square.counts[0][2].expect("counted"), square.counts[2][0].expect("counted"));
    assert_eq!((there.only_subject, there.only_other), (back.only_other, back.only_subject));
    assert_eq!(square.counts[0][1].map(|c| c.agree), Some(1));
}

#[test]
fn the_two_orders_of_making_lie_beside_each_other() {
    let of = |steps: &[&str]| {
        let mut file = piece("P", "extant", "piece");
        file.examinations =
            vec![Examination { steps: steps.iter().map(|s| step(s)).collect(), ..Examination::default() }];
        file
    };
    let ours = of(&["Cut out", "Sew darts", "Sew side seams", "Set the left sleeve", "Hem"]);
    let theirs =
        of(&["Cut out", "Sew the side seams by hand", "Baste the lining", "Set the right sleeve", "Hem", "Sew darts"]);
    let c = compare(&ours, &theirs, &vocabulary(), &Basis::default());
    let order: Vec<(&str, Option<usize>, Option<usize>, bool)> =
        c.order_of_work.iter().map(|s| (s.done.as_str(), s.subject, s.other, s.moved)).collect();
    assert_eq!(
        order,
        [
            ("Cut out", Some(1), Some(1), false),
            ("Sew darts", Some(2), Some(6), true),
            ("Sew side seams", Some(3), Some(2), false),
            ("Set the left sleeve", Some(4), None, false),
            ("Baste the lining", None, Some(3), false),
            ("Set the right sleeve", None, Some(4), false),
            ("Hem", Some(5), Some(5), false),
        ],
        "most words the same is the same step; left is not right"
    );
    let caveat =
        c.groups.iter().flat_map(|g| &g.lines).find(|l| l.item == "Sew side seams").and_then(|l| l.caveat.clone());
    assert_eq!(caveat.as_deref(), Some("in other words"));
}
