//! A colour target against its published values and a library of linear algebra.

use dimity::colour::target::{Correction, Evaluation, Mark, Reference, Scheme, Unfit, percentile};
use dimity::colour::{Lab, Light, Swatch, Tally, White, Xyz, cie76, ciede2000, ciede2000_even};
use proptest::prelude::*;

use super::table::rows;

/// An even patch of this light.
fn even(light: Light) -> Swatch {
    let lab = Xyz::from_light(light).to_lab(White::D65);
    Swatch { light, lab, spread: Lab::new(0.5, 0.5, 0.5), pixels: 400, clipped: 0.0 }
}

/// The patches as a faithful photograph would show them, each light put through `camera`.
fn seen(camera: impl Fn(Light) -> Light) -> Vec<Swatch> {
    Reference::built_in().patches.iter().map(|p| even(camera(p.light()))).collect()
}

fn through(matrix: [[f64; 3]; 3], offset: f64) -> impl Fn(Light) -> Light {
    move |light| Correction { matrix, offset: [offset; 3] }.apply(light)
}

fn evaluated(swatches: &[Swatch]) -> Evaluation {
    Evaluation::of(Reference::built_in(), swatches, None).expect("as many swatches as patches")
}

#[test]
fn the_built_in_target_has_the_published_values_row_by_row() {
    let target = Reference::built_in();
    let published = rows("colour_target24.csv");
    assert_eq!((target.patches.len(), target.grid.to_string().as_str()), (24, "6x4"));
    for (i, (patch, row)) in target.patches.iter().zip(&published).enumerate() {
        let wanted = Lab::new(row.number("L_D50"), row.number("a_D50"), row.number("b_D50"));
        assert!(cie76(patch.lab, wanted) < 1e-9, "{}", row.place);
        assert_eq!((patch.id.as_str(), patch.place), (row.text("patch"), ((i % 6) as u32, (i / 6) as u32)));
        assert!(row.text("name").starts_with(&patch.name));
        assert_eq!(patch.shown_by_srgb(), row.text("out_of_srgb") == "no");
    }
}

#[test]
fn least_squares_are_those_of_a_library() {
    let light = rows("colour_target_light.csv");
    let of = |side: &str| -> Vec<Light> {
        light.iter().map(|r| ["r", "g", "b"].map(|c| r.number(&format!("{side}_{c}")))).collect()
    };
    let (seen, wanted) = (of("seen"), of("wanted"));
    for row in rows("colour_target_fit.csv") {
        let fit = Correction::through(&seen, &wanted, row.text("offset") == "yes").expect("fits");
        let channel = "rgb".find(row.text("channel")).expect("a channel");
        for (i, column) in ["r", "g", "b"].into_iter().enumerate() {
            row.near(column, fit.matrix[channel][i], row.number(column), 1e-11);
        }
        row.near("one", fit.offset[channel], row.number("one"), 1e-11);
    }
}

#[test]
fn a_faithful_photograph_is_off_by_nothing_and_its_fit_changes_nothing() {
    let faithful = seen(|light| light);
    let found = evaluated(&faithful);
    // Adaptation there and back is all that differs.
    assert!(found.max < 1e-6 && found.mean_even < 1e-6, "{found:?}");
    assert!(found.white_balance.expect("greys") < 1e-6 && found.exposure.expect("greys").abs() < 1e-6);
    assert_eq!(found.patches.iter().filter(|p| p.neutral).count(), 6);
    for scheme in Scheme::ALL {
        let verdict = scheme.judge(&found);
        assert_eq!((verdict.level, verdict.wanting), (Some(scheme.rungs[0].name), vec![]), "{}", scheme.name);
    }
    let light: Vec<Light> = faithful.iter().map(|s| s.light).collect();
    for offset in [false, true] {
        let fit = Correction::through(&light, &light, offset).expect("fits");
        for (i, row) in fit.matrix.iter().enumerate() {
            for (j, value) in row.iter().enumerate() {
                assert!((value - f64::from(u8::from(i == j))).abs() < 1e-9, "{fit:?}");
            }
        }
        assert!(fit.offset.iter().all(|o| o.abs() < 1e-9), "{fit:?}");
    }
    // Eight bits a channel cost little: ΔE00 below 0.5 wherever sRGB shows the patch.
    for patch in &Reference::built_in().patches {
        let (srgb, within) = patch.lab.adapted(White::D50, White::D65).to_srgb();
        let mut tally = Tally::new(None);
        tally.add([srgb.r, srgb.g, srgb.b]);
        let lab = tally.swatch().expect("a pixel").lab.adapted(White::D65, White::D50);
        assert!(!within || ciede2000(lab, patch.lab) < 0.5, "{}", patch.title());
    }
}

#[test]
fn a_known_distortion_is_undone_and_stray_light_only_where_there_is_some() {
    let matrix = [[0.80, 0.12, 0.03], [0.05, 0.92, -0.02], [-0.01, 0.10, 0.70]];
    let readings = |offset| {
        let swatches = seen(through(matrix, offset));
        let fitted = Correction::fit(Reference::built_in(), &swatches).expect("fits");
        let after = Evaluation::of(Reference::built_in(), &swatches, Some(&fitted.correction)).expect("judged");
        (fitted, after)
    };
    let (fitted, after) = readings(0.0);
    assert!(!fitted.correction.has_offset(), "{fitted:?}");
    assert!(after.max < 1e-6 && fitted.left_out_max < 1e-6 && fitted.before > 3.0, "{fitted:?} {}", after.max);
    assert_eq!((fitted.patches, fitted.left_aside.len()), (24, 0));
    let (fitted, after) = readings(0.02);
    assert!(fitted.correction.has_offset(), "{fitted:?}");
    assert!(after.max < 1e-6, "{}", after.max);
}

#[test]
fn the_proof_leaves_each_patch_out_of_its_own_fit() {
    let target = Reference::built_in();
    // A curve that no matrix undoes.
    let swatches = seen(|light| light.map(|v| 0.85 * v.max(0.0).powf(1.08)));
    let fitted = Correction::fit(target, &swatches).expect("fits");
    let seen: Vec<Light> = swatches.iter().map(|s| s.light).collect();
    let wanted: Vec<Light> = target.patches.iter().map(dimity::colour::target::ReferencePatch::light).collect();
    let differences: Vec<f64> = (0..24)
        .map(|i| {
            let (mut a, mut b) = (seen.clone(), wanted.clone());
            a.remove(i);
            b.remove(i);
            let fit = Correction::through(&a, &b, fitted.correction.has_offset()).expect("fits");
            let lab = Xyz::from_light(fit.apply(seen[i])).adapted(White::D65, White::D50).to_lab(White::D50);
            ciede2000(lab, target.patches[i].lab)
        })
        .collect();
    let mean = differences.iter().sum::<f64>() / 24.0;
    assert!((fitted.left_out_mean - mean).abs() < 1e-9);
    assert!((fitted.left_out_max - differences.iter().copied().fold(0.0, f64::max)).abs() < 1e-9);
    let own = Evaluation::of(target, &swatches, Some(&fitted.correction)).expect("judged");
    assert!(fitted.left_out_mean > own.mean, "a patch left out is met less well than one that was fitted");
    assert!(fitted.left_out_mean < fitted.before);
}

#[test]
fn a_correction_is_refused_where_it_cannot_be_had_or_does_not_help() {
    let target = Reference::built_in();
    let with = |change: &dyn Fn(usize, &mut Swatch)| {
        let mut swatches = seen(through([[0.8, 0.0, 0.0], [0.0, 0.9, 0.0], [0.0, 0.0, 0.7]], 0.0));
        swatches.iter_mut().enumerate().for_each(|(i, s)| change(i, s));
        Correction::fit(target, &swatches)
    };
    let clipped = with(&|i, s| s.clipped = if i == 18 { 0.06 } else { 0.04 }).expect_err("white is clipped");
    assert_eq!(clipped, Unfit::Clipped("19 white 9.5 is".into()));
    let cyan = with(&|i, s| s.clipped = f64::from(u8::from(i == 17))).expect("a coloured patch is left aside");
    assert_eq!((cyan.patches, cyan.left_aside), (23, vec!["18 cyan".to_owned()]));
    assert_eq!(with(&|i, s| s.clipped = f64::from(u8::from(i < 13))), Err(Unfit::TooFew(11)));
    assert!(with(&|i, s| s.clipped = f64::from(u8::from(i < 12))).is_ok());
    assert_eq!(with(&|_, s| s.light = [s.light[1]; 3]), Err(Unfit::Alike));
    assert_eq!(with(&|_, s| s.light = [0.0; 3]), Err(Unfit::Alike));
    // Readings that are right but for noise: a fit would only add to it.
    let noisy: Vec<Swatch> = seen(|l| l)
        .into_iter()
        .enumerate()
        .map(|(i, s)| even(s.light.map(|v| v * (1.0 + 0.004 * f64::from([1, -1, 1, 0, -1][i % 5])))))
        .collect();
    let refused = Correction::fit(target, &noisy);
    assert!(matches!(refused, Err(Unfit::NoBetter { before, after }) if after >= before), "{refused:?}");
    assert!(Evaluation::of(target, &noisy[1..], None).is_none());
}

#[test]
fn a_darker_and_a_tinged_photograph_show_in_exposure_tone_and_white_balance() {
    let found = evaluated(&seen(|light| light.map(|v| v * 0.8)));
    let reckoned: Vec<f64> = found.patches.iter().filter(|p| p.neutral).map(|p| p.measured.l - p.reference.l).collect();
    assert!(found.exposure.expect("greys") < -4.0 && reckoned.iter().all(|d| *d < -1.0), "{reckoned:?}");
    assert!((found.tone.expect("greys") - reckoned[0].abs()).abs() < 1e-9, "white loses the most: {reckoned:?}");
    assert!(found.white_balance.expect("greys") < 0.5, "{:?}", found.white_balance);
    let tinged = evaluated(&seen(|[r, g, b]| [r, g, b * 0.8]));
    assert!(tinged.white_balance.expect("greys") > 8.0 && tinged.exposure.expect("greys").abs() < 1.0);
    assert!(found.p90 <= found.max && found.mean <= found.p90);
    assert_eq!(tinged.worst().map(|p| p.delta_e00), Some(tinged.max));
}

#[test]
fn percentiles_lie_in_a_straight_line_between_ranks() {
    // numpy 2.4.6: numpy.percentile(list, q), its usual method.
    let list = [3.1, 0.4, 2.2, 9.7, 5.0, 1.3, 0.9];
    for (share, wanted) in [(0.0, 0.4), (0.5, 2.2), (0.9, 6.88), (1.0, 9.7)] {
        assert!((percentile(&list, share).expect("a list") - wanted).abs() < 1e-12, "{share}");
    }
    assert_eq!((percentile(&[], 0.9), percentile(&list, 1.1)), (None, None));
}

#[test]
fn with_an_even_weight_of_lightness_a_grey_pair_is_off_by_its_lightness() {
    for (one, other) in [(95.0, 90.0), (20.0, 12.5), (48.0, 52.0)] {
        let (a, b) = (Lab::new(one, 0.0, 0.0), Lab::new(other, 0.0, 0.0));
        assert!((ciede2000_even(a, b) - (one - other).abs()).abs() < 1e-12);
        assert!(ciede2000(a, b) <= ciede2000_even(a, b) + 1e-12);
    }
    // At a mean lightness of 50 the weight is 1 either way.
    let (a, b) = (Lab::new(40.0, 20.0, -10.0), Lab::new(60.0, 10.0, 5.0));
    assert!((ciede2000(a, b) - ciede2000_even(a, b)).abs() < 1e-12);
}

type Case = (Evaluation, [Option<&'static str>; 3], &'static str);

/// FADGI 2023 and ISO 19264-1 as read in a comparison (skandalski.pl); Metamorfoze 2.0, draft (preservationimaging.com).
#[test]
fn verdicts_follow_the_published_tolerances() {
    let base = evaluated(&seen(|light| light));
    let with = |white_balance, mean, p90, max, tone: f64| Evaluation {
        white_balance: Some(white_balance),
        mean,
        p90,
        max,
        mean_even: mean,
        max_even: max,
        tone: Some(tone),
        ..base.clone()
    };
    let cases: [Case; 8] = [
        (with(1.9, 1.9, 3.9, 7.0, 1.4), [Some("4 star"), Some("Metamorfoze"), Some("level A")], ""),
        (
            with(2.0, 1.9, 3.9, 7.0, 1.4),
            [Some("3 star"), Some("Metamorfoze"), Some("level A")],
            "white balance ΔE(a*b*) 2.00, below 2 asked for",
        ),
        (
            with(1.0, 2.0, 3.9, 7.1, 1.5),
            [Some("3 star"), Some("Metamorfoze Light"), Some("level A")],
            "mean ΔE00 2.00, below 2 asked for; tone response ΔL* 1.50, below 1.5 asked for",
        ),
        (
            with(3.0, 3.4, 7.0, 14.0, 1.0),
            [Some("2 star"), Some("Metamorfoze Light"), None],
            "90th percentile of ΔE00 7.00, below 7 asked for",
        ),
        (
            with(3.1, 3.0, 6.0, 6.0, 1.0),
            [Some("3 star"), None, Some("level A")],
            "white balance ΔE(a*b*) 3.10, below 2 asked for; mean ΔE00 3.00, below 2 asked for; 90th percentile of ΔE00 6.00, below 4 asked for",
        ),
        (
            with(7.9, 6.4, 30.0, 30.0, 5.9),
            [Some("1 star"), None, None],
            "white balance ΔE(a*b*) 7.90, below 6 asked for; mean ΔE00 6.40, below 5 asked for; 90th percentile of ΔE00 30.00, below 10 asked for; tone response ΔL* 5.90, below 4.5 asked for",
        ),
        (
            with(0.0, 4.0, 5.0, 10.0, 4.5),
            [Some("1 star"), Some("Metamorfoze Light"), Some("level A")],
            "tone response ΔL* 4.50, below 4.5 asked for",
        ),
        (with(0.0, 6.5, 5.0, 10.0, 0.0), [None, None, None], "mean ΔE00 6.50, below 6.5 asked for"),
    ];
    for (found, levels, wanting) in cases {
        let verdicts = Scheme::ALL.map(|s| s.judge(&found));
        assert_eq!(verdicts.clone().map(|v| v.level), levels, "{verdicts:?}");
        assert_eq!(verdicts[0].wanting.join("; "), wanting);
        assert!(verdicts.iter().all(|v| v.mark == Mark::Read && !v.source.is_empty()));
    }
    // Without greys nothing can be said of white balance, and no level is given away.
    let blind = Evaluation { white_balance: None, tone: None, ..base };
    assert_eq!(Scheme::ALL.map(|s| s.judge(&blind).level), [None, None, Some("level A")]);
}

#[test]
fn warnings_name_the_patches() {
    let mut swatches = seen(|light| light);
    assert_eq!(
        evaluated(&swatches).warnings(),
        ["18 cyan: outside sRGB, so that a photograph in sRGB is off by that alone"]
    );
    swatches[0].spread = Lab::new(5.0, 3.0, 3.0);
    swatches[1].spread = Lab::new(3.0, 3.0, 3.0);
    swatches[18].clipped = 0.5;
    let said = evaluated(&swatches).warnings().join("\n");
    assert!(said.contains("the pixels of 1 dark skin scatter widely"), "{said}");
    assert!(said.contains("19 white 9.5: clipped"), "{said}");
}

proptest! {
    #[test]
    fn a_gentle_matrix_is_always_undone(bend in prop::array::uniform9(-0.12..0.12f64)) {
        let mut matrix = Correction::NONE.matrix;
        bend.iter().enumerate().for_each(|(i, b)| matrix[i / 3][i % 3] += b);
        let swatches = seen(through(matrix, 0.0));
        let light: Vec<Light> = swatches.iter().map(|s| s.light).collect();
        let wanted: Vec<Light> = Reference::built_in().patches.iter().map(dimity::colour::target::ReferencePatch::light).collect();
        let fit = Correction::through(&light, &wanted, false).expect("fits");
        let after = Evaluation::of(Reference::built_in(), &swatches, Some(&fit)).expect("judged");
        prop_assert!(after.max < 1e-6);
    }

    #[test]
    fn no_file_and_no_light_is_a_panic(text in "\\PC{0,200}", light in any::<[u64; 3]>(), data in "(BEGIN_DATA_FORMAT|END_DATA|BEGIN_DATA|LAB_L|\n| |[0-9]|\"|,){0,60}") {
        let _ = Reference::parse(&text, None);
        let _ = Reference::parse(&data, dimity::colour::target::Grid::parse("2x3").ok());
        let light = light.map(f64::from_bits);
        let swatches = seen(|_| light);
        let _ = Correction::fit(Reference::built_in(), &swatches);
        let found = evaluated(&swatches);
        let _ = (found.warnings(), Scheme::ALL.map(|s| s.judge(&found)));
    }
}
