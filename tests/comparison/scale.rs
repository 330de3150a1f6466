//! Size apart from shape: factors stated and fitted, and what is never scaled.

use super::pieces::*;
use dimity::analysis::comparison::{Basis, Comparison, Figures, Finding, Line, Measure, Tolerance, Verdict};
use dimity::measure::{Kind, Quantity};
use dimity::record::construction::Stitching;
use dimity::record::{Examination, PieceFile};
use proptest::prelude::*;

fn with(exam: impl FnOnce(&mut Examination)) -> PieceFile {
    let mut file = piece("X", "extant", "piece");
    let mut examination = Examination::default();
    exam(&mut examination);
    file.examinations = vec![examination];
    file
}

fn sized(dimensions: &[(&str, f64)]) -> PieceFile {
    with(|e| {
        e.measurements = dimensions.iter().map(|(name, mm)| dimension("", name, &[&format!("{mm:.2} mm")])).collect();
    })
}

fn stated(scale: &str) -> Basis {
    let mut basis = Basis::default();
    basis.sizes.state(scale).expect("a scale");
    basis
}

fn fitted(dimensions: &str) -> Basis {
    let mut basis = Basis::default();
    basis.sizes.fit(dimensions, &vocabulary()).expect("dimensions");
    basis
}

fn figures<'c, 'a>(c: &'c Comparison<'a>, feature: &str) -> (&'c Figures, &'c Line<'a>) {
    let line = c.groups.iter().flat_map(|g| &g.lines).find(|l| l.feature() == feature).expect(feature);
    let Finding::Number(figures) = &line.finding else { panic!("{line:?}") };
    (figures, line)
}

/// A coat at full size: girths, lengths, and things that no scale touches.
const COAT: [(&str, f64); 6] = [
    ("bust girth", 960.0),
    ("waist girth", 880.0),
    ("centre back length", 1040.0),
    ("sleeve length", 640.0),
    ("across back", 360.0),
    ("tape width", 19.05),
];

#[test]
fn a_pattern_at_an_eighth_is_brought_to_full_size_but_not_its_tape() {
    let pattern: Vec<(&str, f64)> =
        COAT.iter().map(|(name, mm)| (*name, if *name == "tape width" { *mm } else { mm / 8.0 })).collect();
    let c = compare(&sized(&COAT), &sized(&pattern), &vocabulary(), &stated("1/8"));
    let (waist, _) = figures(&c, "waist girth");
    assert!(waist.difference.abs() < 1e-9 && waist.other_scaled.is_some_and(|x| (x - 880.0).abs() < 1e-9));
    let ratio = waist.ratio.expect("a ratio");
    assert!((ratio.value - 8.0).abs() < 1e-9, "the ratio is of the figures as recorded");
    let (tape, _) = figures(&c, "tape width");
    assert_eq!((tape.other_scaled, tape.verdict), (None, Verdict::Agree));
    assert!(
        c.summary().starts_with("Lengths and girths of X are multiplied by 8 (X being stated as 1/8 of X)."),
        "{}",
        c.summary()
    );
    // The other way round the tolerance of 10 mm holds at the larger size: at an eighth it is 1.25 mm.
    let back =
        compare(&sized(&[("waist girth", 110.0)]), &sized(&[("waist girth", 960.0)]), &vocabulary(), &stated("8:1"));
    let (waist, _) = figures(&back, "waist girth");
    assert!((waist.difference + 10.0).abs() < 1e-9 && (waist.tolerance - 2.3).abs() < 1e-9, "{waist:?}");
    assert_eq!(waist.verdict, Verdict::Differ);
}

#[test]
fn stitches_allowances_and_cloth_are_never_scaled() {
    let line = |density: &str, allowance: &str| {
        with(|e| {
            let mut seam = seam("", "side seam", "backstitch", &[density], None);
            seam.what = Stitching { allowance: Some(quantity(Kind::Length, allowance)), ..seam.what };
            e.stitching = vec![seam];
            e.textiles = vec![cloth("", "shell", &["linen"], "tabby", [&["20 per cm"], &["20 per cm"]])];
        })
    };
    let c = compare(&line("10 in 1 in", "10 mm"), &line("10 in 1 in", "10 mm"), &vocabulary(), &stated("1/8"));
    for name in ["side seam: stitch density", "side seam: seam allowance", "shell: ends"] {
        let (found, _) = figures(&c, name);
        assert!(found.other_scaled.is_none() && found.difference == 0.0, "{name}");
    }
}

#[test]
fn lengths_and_girths_may_have_factors_of_their_own() {
    let c = compare(&sized(&COAT), &sized(&COAT), &vocabulary(), &stated("girths 92 %"));
    let (waist, _) = figures(&c, "waist girth");
    assert!(waist.other_scaled.is_some_and(|x| (x - 880.0 / 0.92).abs() < 1e-9));
    assert_eq!(figures(&c, "sleeve length").0.other_scaled, None);
}

#[test]
fn a_fitted_factor_shows_what_is_left_and_what_was_missing() {
    let mut smaller: Vec<(&str, f64)> = COAT.iter().map(|(name, mm)| (*name, mm * 0.94)).collect();
    smaller[3].1 += 40.0;
    let c = compare(&sized(&COAT), &sized(&smaller), &vocabulary(), &fitted("bust, waist, centre back length, hem"));
    let scaling = c.scaling.as_ref().expect("scaled");
    let factor = scaling.lengths.as_ref().expect("a factor");
    assert!(scaling.one_fit && (factor.value.expect("fitted") - 1.0 / 0.94).abs() < 1e-9, "{factor:?}");
    assert_eq!(factor.fitted_to.len(), 3);
    assert_eq!(factor.not_on_both, ["hem girth"]);
    assert!(factor.fitted_to.iter().all(|f| f.residual.abs() < 1e-6));
    assert!((factor.fitted_to.iter().map(|f| f.leverage).sum::<f64>() - 1.0).abs() < 1e-9);
    assert_eq!(figures(&c, "sleeve length").0.verdict, Verdict::Differ);
    assert_eq!(figures(&c, "across back").0.verdict, Verdict::Agree);
    assert!(c.summary().contains("fitted to 3 dimensions") && c.summary().contains("hem girth"), "{}", c.summary());
    // What was fitted to is better known than what was not: the factor followed it.
    assert!(figures(&c, "bust girth").0.leverage.is_some() && figures(&c, "across back").0.leverage.is_none());
}

#[test]
fn one_dimension_alone_is_made_equal_and_proves_nothing() {
    let c = compare(&sized(&COAT), &sized(&[("waist girth", 700.0)]), &vocabulary(), &fitted("waist"));
    let (waist, line) = figures(&c, "waist girth");
    assert_eq!(waist.verdict, Verdict::CannotTell);
    assert_eq!(line.caveat.as_deref(), Some("made equal by the fit"));
    assert_eq!(c.counts.agree, 0);
}

#[test]
fn without_a_dimension_on_both_no_factor_is_fitted_and_no_verdict_given() {
    let other = sized(&[("waist girth", 880.0), ("sleeve length", 640.0), ("tape width", 19.05)]);
    let c = compare(&sized(&COAT), &other, &vocabulary(), &fitted("hem girth"));
    assert_eq!(figures(&c, "waist girth").0.verdict, Verdict::CannotTell);
    assert_eq!(figures(&c, "tape width").0.verdict, Verdict::Agree);
    assert!(c.summary().contains("no factor could be fitted"), "{}", c.summary());
}

#[test]
fn what_was_not_taken_alike_or_is_only_a_limit_is_not_fitted_to() {
    let a = with(|e| e.measurements = vec![taken("", "waist girth", &["800 mm"], Some("inside"))]);
    let b = with(|e| e.measurements = vec![taken("", "waist girth", &["400 mm"], Some("outside"))]);
    let limit = sized(&[]);
    let at_least = with(|e| e.measurements = vec![dimension("", "waist girth", &["at least 400 mm"])]);
    for (a, b) in [(&a, &b), (&a, &limit), (&a, &at_least)] {
        let c = compare(a, b, &vocabulary(), &fitted("waist"));
        assert_eq!(c.scaling.and_then(|s| s.girths).and_then(|f| f.value), None);
    }
}

#[test]
fn proportions_compare_shape_and_are_not_counted() {
    let double: Vec<(&str, f64)> = COAT.iter().map(|(name, mm)| (*name, mm * 2.0)).collect();
    let c = compare(&sized(&COAT), &sized(&double), &vocabulary(), &Basis::default());
    let names: Vec<_> = c.proportions.iter().map(|l| l.feature()).collect();
    assert_eq!(
        names,
        ["bust girth by waist girth", "waist girth by centre back length", "sleeve length by across back"]
    );
    assert!(c.proportions.iter().all(|l| l.verdict() == Some(Verdict::Agree)), "{:?}", c.proportions);
    assert_eq!(c.counts.on_both(), COAT.len());
    assert_eq!(c.counts.differ, COAT.len(), "every dimension differs, and no proportion does");
}

#[test]
fn one_tape_for_both_leaves_only_what_its_error_does_not_share() {
    let tape = |mm: &str| {
        with(|e| {
            let mut seen = dimension("", "waist girth", &[mm]);
            seen.what.error_limit = Some(quantity(Kind::Length, "3 mm"));
            e.measurements = vec![seen];
        })
    };
    let c = compare(&tape("800 mm"), &tape("400 mm"), &vocabulary(), &stated("1/2"));
    let (waist, line) = figures(&c, "waist girth");
    // The tape is out by 3 mm/√3 on both; doubled on one, one of it is left. Beside it 1 mm/√12 on one and twice on the other.
    let expected = (3.0 + 5.0 / 12.0_f64).sqrt();
    assert!((waist.u - expected).abs() < 0.03, "{} and {expected}", waist.u);
    assert!(line.caveat.as_deref().is_some_and(|c| c.contains("one instrument")));
}

/// The same piece with every length and girth multiplied, uncertainty and all; fixed things stay.
fn enlarged(file: &PieceFile, factor: f64) -> PieceFile {
    let mut file = file.clone();
    for seen in file.examinations.iter_mut().flat_map(|e| &mut e.measurements) {
        if seen.what.dimension.as_ref().is_some_and(|d| d.name() == "tape width") {
            continue;
        }
        let times = |q: &Quantity| Quantity { value: q.value * factor, u: q.u * factor, ..q.clone() };
        seen.what.readings = seen.what.readings.iter().map(times).collect();
        seen.what.resolution = seen.what.resolution.as_ref().map(times);
    }
    file
}

fn coat() -> impl Strategy<Value = PieceFile> {
    prop::collection::vec((0.93..1.07f64, prop::bool::ANY), COAT.len()).prop_map(|off| {
        let kept: Vec<(&str, f64)> = COAT
            .iter()
            .zip(&off)
            .filter(|(_, (_, keep))| *keep)
            .map(|((name, mm), (off, _))| (*name, (mm * off).round()))
            .collect();
        sized(&kept)
    })
}

/// Verdicts by feature.
fn verdicts(c: &Comparison) -> Vec<(String, Option<Verdict>)> {
    c.groups.iter().flat_map(|g| &g.lines).map(|l| (l.feature().into_owned(), l.verdict())).collect()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn a_fitted_comparison_does_not_ask_for_the_size_of_either(a in coat(), b in coat(), factor in 0.05..20.0f64) {
        let mut basis = fitted("bust, waist, centre back length");
        for measure in [Measure::Length, Measure::Girth] {
            basis.tolerances.set(measure, Tolerance::new(0.02, 0.0));
        }
        let plain = compare(&a, &b, &vocabulary(), &basis);
        for (a, b) in [(enlarged(&a, factor), b.clone()), (a.clone(), enlarged(&b, factor))] {
            prop_assert_eq!(verdicts(&plain), verdicts(&compare(&a, &b, &vocabulary(), &basis)));
        }
        // With an amount in the tolerance too, as long as the piece that is drawn smaller stays the smaller one.
        let amounts = fitted("bust, waist, centre back length");
        let small = |factor: f64| compare(&a, &enlarged(&b, factor / 100.0), &vocabulary(), &amounts);
        prop_assert_eq!(verdicts(&small(1.0)), verdicts(&small(factor)));
    }

    #[test]
    fn exchanging_scaled_pieces_keeps_verdicts_and_inverts_the_factor(a in coat(), b in coat(), size in 0.05..1.0f64) {
        let b = enlarged(&b, size);
        for (there, back) in [
            (fitted("bust, waist, centre back length"), fitted("bust, waist, centre back length")),
            (stated(&format!("{size}")), stated(&format!("{}", 1.0 / size))),
        ] {
            let (there, back) = (compare(&a, &b, &vocabulary(), &there), compare(&b, &a, &vocabulary(), &back));
            let of = |c: &Comparison| c.scaling.as_ref().and_then(|s| s.lengths.as_ref()).and_then(|f| f.value);
            if let (Some(f), Some(g)) = (of(&there), of(&back)) {
                prop_assert!((f * g - 1.0).abs() < 1e-9);
            }
            let sorted = |c: &Comparison| { let mut v = verdicts(c); v.sort_by(|x, y| x.0.cmp(&y.0)); v };
            prop_assert_eq!(sorted(&there), sorted(&back));
            for line in there.groups.iter().flat_map(|g| &g.lines) {
                let Finding::Number(f) = &line.finding else { continue };
                let Finding::Number(g) = figures_of(&back, &line.feature()) else { continue };
                let factor = if f.other_scaled.is_some() { of(&there).unwrap_or(1.0) } else { 1.0 };
                prop_assert!((f.difference + g.difference * factor).abs() < 1e-6, "{f:?} {g:?}");
                if let (Some(p), Some(q)) = (f.ratio, g.ratio) {
                    prop_assert!((p.value * q.value - 1.0).abs() < 1e-9);
                    prop_assert!((p.u / p.value - q.u / q.value).abs() < 1e-9);
                }
            }
        }
    }

    #[test]
    fn a_scaled_piece_agrees_with_itself(a in coat(), size in 0.05..1.0f64) {
        let c = compare(&a, &enlarged(&a, size), &vocabulary(), &stated(&format!("{size}")));
        prop_assert_eq!(c.counts.differ, 0);
        prop_assert_eq!(c.counts.cannot_tell, 0);
    }
}

fn figures_of(c: &Comparison, feature: &str) -> Finding {
    c.groups
        .iter()
        .flat_map(|g| &g.lines)
        .find(|l| l.feature() == feature)
        .map_or(Finding::OnlyOther, |l| l.finding.clone())
}
