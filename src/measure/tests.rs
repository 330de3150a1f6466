//! Spellings, uncertainties, refusals and properties of written quantities.

use super::{Bound, Kind, Quantity, combine, rounded};
use proptest::prelude::*;

fn read(kind: Kind, text: &str) -> Quantity {
    Quantity::parse(kind, text).unwrap_or_else(|refusal| panic!("`{text}` as {kind}: {refusal}"))
}

#[track_caller]
fn close(found: f64, wanted: f64, what: &str) {
    assert!((found - wanted).abs() <= 1e-12 * wanted.abs().max(1e-9), "{what}: found {found}, wanted {wanted}");
}

const INCH: f64 = 25.4;
fn step(d: f64) -> f64 {
    d / 12f64.sqrt()
}

#[test]
fn lengths_read_in_every_spelling_with_the_step_of_their_writing() {
    let cases = [
        ("27 1/2 in", 27.5 * INCH, INCH / 8.0),
        ("27½ in", 27.5 * INCH, INCH / 8.0),
        ("27-1/2\"", 27.5 * INCH, INCH / 8.0),
        ("27\u{a0}1\u{2044}2\u{202f}″", 27.5 * INCH, INCH / 8.0),
        ("27½ inches", 27.5 * INCH, INCH / 8.0),
        ("27½ IN.", 27.5 * INCH, INCH / 8.0),
        ("27 0/8 in", 27.0 * INCH, INCH / 8.0),
        ("27 in", 27.0 * INCH, INCH),
        ("27.5 in", 27.5 * INCH, INCH / 10.0),
        ("27,50 in", 27.5 * INCH, INCH / 100.0),
        ("5/16 in", 5.0 / 16.0 * INCH, INCH / 16.0),
        ("5 3/32 in", (5.0 + 3.0 / 32.0) * INCH, INCH / 32.0),
        ("⅞ in", 0.875 * INCH, INCH / 8.0),
        ("5⅛\"", 5.125 * INCH, INCH / 8.0),
        ("1' 3 1/2\"", 15.5 * INCH, INCH / 8.0),
        ("1 ft 3 in", 15.0 * INCH, INCH),
        ("1 yd 4 in", 40.0 * INCH, INCH),
        ("2½ yd", 90.0 * INCH, 18.0 * INCH),
        ("12 cm", 120.0, 10.0),
        ("12cm", 120.0, 10.0),
        ("412 mm", 412.0, 1.0),
        ("0,125 m", 125.0, 1.0),
        ("1 m 4 cm", 1040.0, 10.0),
        ("180 µm", 0.18, 0.001),
    ];
    for (text, value, d) in cases {
        let found = read(Kind::Length, text);
        close(found.value, value, text);
        close(found.u, step(d), text);
        assert_eq!((found.bound, found.as_written.as_str()), (Bound::Plain, text));
    }
    assert_eq!(read(Kind::Length, "27 ½ in").display_si(), "698.5 ± 0.9 mm");
}

#[test]
fn an_old_measure_carries_what_is_not_known_of_it() {
    let ell = read(Kind::Length, "2 English ells");
    close(ell.u, step(1143.0).hypot(0.01 * 2286.0 / 3f64.sqrt()), "ell");
    assert_eq!(read(Kind::Length, "1 Scots ell").bound, Bound::Approximate);
    assert_eq!(read(Kind::Length, "1 aune de Paris").bound, Bound::Plain);
}

#[test]
fn hedges_and_ranges_keep_their_meaning_and_widen_u() {
    let cases = [
        ("c. 12 cm", 120.0, Bound::Approximate, step(10.0).hypot(6.0 / 3f64.sqrt())),
        ("c12 cm", 120.0, Bound::Approximate, step(10.0).hypot(6.0 / 3f64.sqrt())),
        ("about 12 cm", 120.0, Bound::Approximate, step(10.0).hypot(6.0 / 3f64.sqrt())),
        ("12 cm approx.", 120.0, Bound::Approximate, step(10.0).hypot(6.0 / 3f64.sqrt())),
        ("at least 12 cm", 120.0, Bound::AtLeast, step(10.0)),
        ("12 cm or more", 120.0, Bound::AtLeast, step(10.0)),
        ("> 12 cm", 120.0, Bound::AtLeast, step(10.0)),
        ("up to 12 cm", 120.0, Bound::AtMost, step(10.0)),
        ("≤12 cm", 120.0, Bound::AtMost, step(10.0)),
        ("12–14 cm", 130.0, Bound::Range, 10.0 / 3f64.sqrt()),
        ("12 to 14 cm", 130.0, Bound::Range, 10.0 / 3f64.sqrt()),
        ("12 cm - 14 cm", 130.0, Bound::Range, 10.0 / 3f64.sqrt()),
        ("between 12 and 14 cm", 130.0, Bound::Range, 10.0 / 3f64.sqrt()),
        ("1½–2 in", 44.45, Bound::Range, INCH / 4.0 / 3f64.sqrt()),
        ("12–12⅛ in", 12.0625 * INCH, Bound::Range, step(INCH / 8.0)),
        ("12 or 13 cm", 125.0, Bound::Range, 5.0 / 3f64.sqrt()),
        ("12–12 cm", 120.0, Bound::Range, step(10.0)),
        ("about 12–14 cm", 130.0, Bound::Approximate, (10.0 / 3f64.sqrt()).hypot(6.5 / 3f64.sqrt())),
        ("12.5 cm ± 2 mm", 125.0, Bound::Stated, 2.0),
        ("12.5 ± 0.2 cm", 125.0, Bound::Stated, 2.0),
        ("125 +/- 4 mm (k=2)", 125.0, Bound::Stated, 2.0),
        ("about 125 ± 4 mm", 125.0, Bound::Approximate, 4.0),
    ];
    for (text, value, bound, u) in cases {
        let found = read(Kind::Length, text);
        close(found.value, value, text);
        close(found.u, u, text);
        assert_eq!(found.bound, bound, "{text}");
    }
}

#[test]
fn areas_read_alone_and_as_two_sides() {
    let cases = [
        ("4.1 cm²", 410.0, step(10.0)),
        ("4.1 cm2", 410.0, step(10.0)),
        ("4.1 ± 0.6 cm²", 410.0, 60.0),
        ("2 sq in", 2.0 * INCH * INCH, step(INCH * INCH)),
        ("2 sq. in.", 2.0 * INCH * INCH, step(INCH * INCH)),
        ("2 x 3 cm", 600.0, (30.0 * step(10.0)).hypot(20.0 * step(10.0))),
        ("20 mm × 3 cm", 600.0, (30.0 * step(1.0)).hypot(20.0 * step(10.0))),
        ("1½ x 2 in", 3.0 * INCH * INCH, (2.0 * INCH * step(INCH / 8.0)).hypot(1.5 * INCH * step(INCH))),
    ];
    for (text, value, u) in cases {
        let found = read(Kind::Area, text);
        close(found.value, value, text);
        close(found.u, u, text);
    }
}

#[test]
fn densities_carry_the_count_and_the_window() {
    let n = 1.0 / 6f64.sqrt();
    let per_inch = |count: f64| count / 2.54;
    for text in
        ["9 per inch", "9/in", "9 spi", "9 stitches per inch", "9 to the inch", "9/inch", "9 st/in", "9 per in."]
    {
        close(read(Kind::Density, text).value, per_inch(9.0), text);
        close(read(Kind::Density, text).u, per_inch(n), text);
    }
    let cases = [
        ("36 per cm", 36.0, n),
        ("36 ends/cm", 36.0, n),
        ("8–10 per inch", per_inch(9.0), per_inch(1.0 / 3f64.sqrt())),
        ("8-10/inch", per_inch(9.0), per_inch(1.0 / 3f64.sqrt())),
        ("9 or 10 stitches per inch", per_inch(9.5), per_inch(n)),
        ("8-9 spi", per_inch(8.5), per_inch(n)),
        ("8½ per inch", per_inch(8.5), per_inch(n)),
        ("24 per 2 cm", 12.0, (n / 2.0).hypot(12.0 * step(1.0) / 20.0)),
        ("24 in 1 in", per_inch(24.0), per_inch(n).hypot(per_inch(24.0) * step(0.125))),
        ("24 to 1 in", per_inch(24.0), per_inch(n).hypot(per_inch(24.0) * step(0.125))),
        ("57 in 51 mm", 570.0 / 51.0, (n / 5.1).hypot(570.0 / 51.0 * step(1.0) / 51.0)),
        ("12 ± 1 per cm", 12.0, 1.0),
        ("0 per cm", 0.0, n),
        ("c. 9 per inch", per_inch(9.0), per_inch(n).hypot(0.05 * per_inch(9.0) / 3f64.sqrt())),
    ];
    for (text, value, u) in cases {
        close(read(Kind::Density, text).value, value, text);
        close(read(Kind::Density, text).u, u, text);
    }
}

#[test]
fn counts_yarns_scales_and_the_rest_read() {
    let ne = 590.541_247_448_235_6;
    let cases = [
        (Kind::Count, "3", 3.0, 0.0),
        (Kind::Count, "×3", 3.0, 0.0),
        (Kind::Count, "3 x", 3.0, 0.0),
        (Kind::Count, "c. 20", 20.0, step(1.0).hypot(1.0 / 3f64.sqrt())),
        (Kind::Count, "5-7", 6.0, 1.0 / 3f64.sqrt()),
        (Kind::Percent, "40 %", 40.0, step(1.0)),
        (Kind::Percent, "about 5-10%", 7.5, (2.5 / 3f64.sqrt()).hypot(0.375 / 3f64.sqrt())),
        (Kind::Yarn, "20 tex", 20.0, step(1.0)),
        (Kind::Yarn, "20 tex x 2", 40.0, step(2.0)),
        (Kind::Yarn, "30/2 Ne", ne / 30.0 * 2.0, ne / 30.0 * 2.0 * step(1.0) / 30.0),
        (Kind::Yarn, "Ne 30/2", ne / 30.0 * 2.0, ne / 30.0 * 2.0 * step(1.0) / 30.0),
        (Kind::Yarn, "2/60 Nm", 1000.0 / 60.0 * 2.0, 2000.0 / 60.0 * step(1.0) / 60.0),
        (Kind::Yarn, "60/2 Nm", 1000.0 / 60.0 * 2.0, 2000.0 / 60.0 * step(1.0) / 60.0),
        (Kind::Yarn, "30s cotton", ne / 30.0, ne / 30.0 * step(1.0) / 30.0),
        (Kind::Yarn, "40 den", 40.0 / 9.0, step(1.0 / 9.0)),
        (Kind::Yarn, "30 lea", 1_653.515_492_855_059_8 / 30.0, 1_653.515_492_855_059_8 / 900.0 * step(1.0)),
        (Kind::Yarn, "20 ± 1 tex", 20.0, 1.0),
        (Kind::Yarn, "20–22 tex", 21.0, 1.0 / 3f64.sqrt()),
        (Kind::Mass, "1.25 kg", 1250.0, step(10.0)),
        (Kind::Mass, "1 lb 4 oz", 566.990_462_5, step(28.349_523_125)),
        (Kind::Duration, "3 h", 3.0, step(1.0)),
        (Kind::Duration, "2 h 30 min", 2.5, step(1.0 / 60.0)),
        (Kind::Duration, "45 min", 0.75, step(1.0 / 60.0)),
        (Kind::Duration, "3.5 hours", 3.5, step(0.1)),
        (Kind::Temperature, "18 °C", 18.0, step(1.0)),
        (Kind::Temperature, "65 °F", 165.0 / 9.0, step(5.0 / 9.0)),
        (Kind::Temperature, "-2 °C", -2.0, step(1.0)),
        (Kind::Temperature, "18–20 °C", 19.0, 1.0 / 3f64.sqrt()),
        (Kind::Temperature, "65 ± 9 °F", 165.0 / 9.0, 5.0),
        (Kind::Illuminance, "50 lx", 50.0, step(1.0)),
        (Kind::Illuminance, "48 ± 5 lux", 48.0, 5.0),
        // 1 fc = 1 lm/ft² = 1/0.09290304 lx, by the foot of 1959.
        (Kind::Illuminance, "5 fc", 5.0 / 0.092_903_04, step(1.0 / 0.092_903_04)),
        (Kind::Ultraviolet, "10 µW/lm", 10.0, step(1.0)),
        (Kind::Angle, "22.5°", 22.5, step(0.1)),
        (Kind::Scale, "1:8", 0.125, 0.0),
        (Kind::Scale, "1/8", 0.125, 0.0),
        (Kind::Scale, "scale 1 : 8", 0.125, 0.0),
        (Kind::Scale, "1/4 scale", 0.25, 0.0),
        (Kind::Scale, "100 %", 1.0, 0.0),
        (Kind::Scale, "full size", 1.0, 0.0),
        (Kind::Scale, "1/8 in to the inch", 0.125, 0.0),
        (Kind::Scale, "1 cm to 8 cm", 0.125, 0.0),
    ];
    for (kind, text, value, u) in cases {
        let found = read(kind, text);
        close(found.value, value, text);
        close(found.u, u, text);
        assert_eq!(found.kind, kind);
    }
}

#[test]
fn an_extent_takes_the_kind_it_finds() {
    let cases = [
        ("3", Kind::Count),
        ("12 mm", Kind::Length),
        ("4.6 cm2", Kind::Area),
        ("3 x 4 mm", Kind::Area),
        ("c. 10 %", Kind::Percent),
        ("2–3 in", Kind::Length),
    ];
    for (text, kind) in cases {
        assert_eq!(read(Kind::Extent, text).kind, kind, "{text}");
    }
}

#[test]
fn refusals_name_the_place_and_the_nearest_reading() {
    let cases: [(Kind, &str, usize, Option<&str>); 41] = [
        (Kind::Length, "27 1/2", 6, Some("27 1/2 in")),
        (Kind::Length, "27.5", 4, Some("27.5 cm")),
        (Kind::Length, "412", 3, Some("412 mm")),
        (Kind::Length, "5′ 2½", 8, Some("5′ 2½ in")),
        (Kind::Length, "12–14", 2, None),
        (Kind::Length, "27 inchs", 3, Some("27 inch")),
        (Kind::Length, "1 2 in", 2, None),
        (Kind::Length, "1/0 in", 2, None),
        (Kind::Length, "27 3/2 in", 3, None),
        (Kind::Length, "1,200 mm", 1, Some("1200 mm")),
        (Kind::Length, "1.2.3 mm", 3, None),
        (Kind::Length, "3 in 2 ft", 5, None),
        (Kind::Length, "2.5 ft 3 in", 0, None),
        (Kind::Length, "14–12 in", 5, Some("12 – 14 in")),
        (Kind::Length, "12 cm ± 2", 10, Some("12 cm ± 2 mm")),
        (Kind::Length, "12 ± 0 mm", 10, None),
        (Kind::Count, "1 ± 999999999999", 0, None),
        (Kind::Length, "27 in wide", 6, Some("27 in")),
        (Kind::Length, "4.1 cm2", 3, None),
        (Kind::Length, "-3 in", 0, None),
        (Kind::Length, "12345678901234567890 in", 0, None),
        (Kind::Length, "99999999 m", 0, None),
        (Kind::Length, "1 ell", 2, Some("1 English ell")),
        (Kind::Area, "3 x 4", 5, Some("3 x 4 mm")),
        (Kind::Density, "9", 1, Some("9 per cm")),
        (Kind::Density, "60 x 50 per inch", 3, None),
        (Kind::Density, "9 stitches", 10, Some("9 stitches per cm")),
        (Kind::Temperature, "18 °C or warm", 7, Some("18 °C")),
        (Kind::Density, "24 in", 3, Some("24 per inch")),
        (Kind::Density, "24/2 cm", 0, Some("24 per 2 cm")),
        (Kind::Density, "24 in 0 cm", 6, None),
        (Kind::Count, "12 spots", 3, Some("12")),
        (Kind::Count, "2½", 0, None),
        (Kind::Extent, "6 spots", 2, Some("6")),
        (Kind::Percent, "40", 2, Some("40 %")),
        (Kind::Yarn, "30/2", 4, Some("30/2 Ne")),
        (Kind::Yarn, "20/2 tex", 0, Some("20 tex x 2")),
        (Kind::Yarn, "0 Ne", 0, None),
        (Kind::Yarn, "30/30 Ne", 0, None),
        (Kind::Duration, "2h30", 4, Some("2h30 min")),
        (Kind::Scale, "8", 1, Some("1:8")),
    ];
    for (kind, text, at, nearest) in cases {
        let refusal = Quantity::parse(kind, text).expect_err(text);
        assert_eq!((refusal.at, refusal.nearest.as_deref()), (at, nearest), "`{text}`: {refusal}");
    }
    let refusal = Quantity::parse(Kind::Length, "27 1/2").unwrap_err();
    assert_eq!(refusal.to_string(), "`27 1/2` has no unit; if that is what is meant, write `27 1/2 in`");
}

#[test]
fn values_print_to_what_their_uncertainty_supports() {
    let cases = [
        (698.5, 0.917, "698.5", "0.9"),
        (412.3, 0.4, "412.3", "0.4"),
        (412.345, 0.2887, "412.35", "0.29"),
        (412.345, 0.0999, "412.35", "0.10"),
        (3.1496, 0.1607, "3.15", "0.16"),
        (1234.0, 31.7, "1234", "32"),
        (1234.0, 317.0, "1230", "320"),
        (1234.0, 99.7, "1230", "100"),
        (-0.004, 0.3, "0.0", "0.3"),
        (0.125, 0.0, "0.125", "0"),
        (40.0, 0.0, "40", "0"),
        (5.0, f64::NAN, "5", "NaN"),
    ];
    for (value, u, shown, shown_u) in cases {
        assert_eq!(rounded(value, u), (shown.to_string(), shown_u.to_string()), "{value} ± {u}");
    }
    assert_eq!(read(Kind::Scale, "1/8").display_si(), "1:8");
    assert_eq!(read(Kind::Count, "×3").display_si(), "3");
    assert_eq!(read(Kind::Length, "at least 12 cm").display_si(), "at least 120.0 ± 2.9 mm");
}

#[test]
fn readings_combine_by_what_they_share_and_what_they_do_not() {
    let all = |kind, texts: &[&str]| texts.iter().map(|text| read(kind, text)).collect::<Vec<_>>();
    // One hand with one tape writes 27 for 27 0/8: the finest writing is the resolution of the series.
    let tape = combine(&all(Kind::Length, &["27½ in", "27½ in", "27 in", "28 in"]), None).unwrap();
    let spread = (0.5_f64.powi(2) * 2.0 / 3.0).sqrt() * INCH / 2.0;
    close(tape.u, spread.hypot(step(INCH / 8.0)), "tape");
    assert!(tape.dof > 3.0);
    let one = combine(&all(Kind::Length, &["412 mm"]), None).unwrap();
    close(one.u, step(1.0), "one reading");
    assert!(one.dof.is_infinite());
    close(one.expanded().1, 1.959_963_984_540_054, "k of type B alone");
    // A stated uncertainty is shared; a hedge is each reading's own.
    close(combine(&all(Kind::Length, &["10 ± 3 mm", "10 ± 3 mm"]), None).unwrap().u, 3.0, "stated");
    let about = all(Kind::Length, &["c. 100 mm", "c. 100 mm"]);
    close(combine(&about, None).unwrap().u, about[0].u / 2f64.sqrt(), "about");
    // Windows of counts: the counting uncertainty averages, and the spread replaces it when larger.
    let windows = all(Kind::Density, &["24 per cm", "24 per cm", "24 per cm", "24 per cm"]);
    close(combine(&windows, None).unwrap().u, 1.0 / 6f64.sqrt() / 2.0, "equal windows");
    let windows = all(Kind::Density, &["20 per cm", "28 per cm"]);
    close(combine(&windows, None).unwrap().u, 4.0, "windows that differ");
    assert!(combine(&[], None).is_none());
    assert!(combine(&[read(Kind::Count, "3"), read(Kind::Length, "3 mm")], None).is_none());
    assert!(combine(&[read(Kind::Length, "3 mm")], Some(&read(Kind::Count, "3"))).is_none());
}

#[test]
fn a_length_may_be_stated_in_both_systems_when_they_agree() {
    for text in ["27 1/2 in (69.9 cm)", "69.9 cm (27 1/2 in)", "69.9 cm [27 1/2\"]", "c. 5 ft 2 in. (157.5 cm)"] {
        let found = read(Kind::Length, text);
        let first = text.split(['(', '[']).next().unwrap();
        assert_eq!((found.value, found.u), (read(Kind::Length, first).value, read(Kind::Length, first).u), "{text}");
        assert_eq!(found.as_written, text);
    }
    let refusal = Quantity::parse(Kind::Length, "27 1/2 in (96.9 cm)").unwrap_err();
    assert_eq!((refusal.at, refusal.nearest.as_deref()), (10, Some("27 1/2 in")));
    assert_eq!(refusal.why, "the two do not agree: 698.5 ± 0.9 mm against 969.00 ± 0.29 mm");
    assert!(Quantity::parse(Kind::Length, "12 cm (13 cm)").is_err(), "one system twice is not a check");
}

#[test]
fn parts_add_up_to_the_whole_within_what_is_known() {
    use super::{Estimate, Part, closure};
    let part = |value, u, times| Part { estimate: Estimate::new(value, u), times };
    // Eight panels each read: what is each one's own averages out.
    let eight: Vec<Part> = (0..8).map(|_| part(312.0, 0.5, 1)).collect();
    let found = closure(&eight, Some(Estimate::new(2500.0, 1.0)), false).unwrap();
    close(found.sum.value, 2496.0, "sum");
    close(found.sum.u, 0.5 * 8f64.sqrt(), "u of the sum");
    let against = found.against.unwrap();
    close(against.excess, -4.0, "excess");
    close(against.u, (0.25 * 8.0 + 1.0_f64).sqrt(), "u of the excess");
    assert!(!against.closes, "4 mm are more than U = {}", against.expanded);
    close(against.each.0 + against.each.1, -1.0, "half a millimetre short each");
    // One panel read for eight: its error counts eight times, and the same four millimetres are nothing.
    let alike = closure(&[part(312.0, 0.5, 8)], Some(Estimate::new(2500.0, 1.0)), false).unwrap();
    close(alike.sum.u, 4.0, "u of eight alike");
    assert_eq!((alike.parts, alike.against.unwrap().closes), (8, true));
    // A tape that may be out by 1 mm: its error is laid on eight times and does not average out.
    let taped: Vec<Part> =
        (0..8).map(|_| Part { estimate: Estimate::new(312.0, 0.0).with_error_limit(1.0), times: 1 }).collect();
    close(closure(&taped, None, true).unwrap().sum.u, 8.0 / 3f64.sqrt(), "shared adds as it stands");
    let whole = Estimate::new(2500.0, 0.0).with_error_limit(1.0);
    let same = closure(&taped, Some(whole), true).unwrap().against.unwrap();
    close(same.u, 7.0 / 3f64.sqrt(), "the laying of the whole cancels one");
    let other = closure(&taped, Some(whole), false).unwrap().against.unwrap();
    close(other.u, 65f64.sqrt() / 3f64.sqrt(), "another tape cancels nothing");
    assert!(closure(&[], None, false).is_none());
    assert!(closure(&[part(1.0, 0.1, 0)], None, false).is_none());
}

#[test]
fn figures_print_to_what_they_support() {
    use super::{Estimate, four_figures};
    assert_eq!(Estimate::new(23.622, 0.161).shown(), "23.62 ± 0.16");
    assert_eq!(Estimate::exact(23.622_047).shown(), "23.62");
    assert_eq!(Estimate::exact(1234.56).shown(), "1235");
    assert_eq!([0.0, 0.012_345, 120.0].map(four_figures), ["0", "0.01235", "120"]);
    assert_eq!(Estimate::new(1.0, 2.0).range(), (0.0, 5.0));
    let between = Estimate::between(0.0, 12.0);
    assert!((between.value - 6.0).abs() < 1e-12 && (between.u - 12f64.sqrt()).abs() < 1e-12);
    let taped = Estimate::new(2.0, 0.3).with_error_limit(0.4).times(10.0);
    assert!((taped.value - 20.0).abs() < 1e-12 && (taped.own() - 3.0).abs() < 1e-12, "the shared part goes along");
}

#[test]
fn an_error_limit_is_shared_and_can_be_taken_out_again() {
    let readings: Vec<Quantity> = ["712 mm", "713 mm", "713 mm"].iter().map(|t| read(Kind::Length, t)).collect();
    let plain = combine(&readings, None).unwrap();
    let taped = plain.with_error_limit(1.5);
    close(taped.u, plain.u.hypot(1.5 / 3f64.sqrt()), "u");
    close(taped.own(), plain.u, "own");
    assert!(taped.dof > plain.dof, "a part that is known well adds degrees of freedom");
    let back = taped.without_shared();
    close(back.u, plain.u, "u without the shared part");
    assert!((back.dof - plain.dof).abs() < 1e-9, "{} and {}", back.dof, plain.dof);
}

fn any_kind() -> impl Strategy<Value = Kind> {
    prop::sample::select(Kind::ALL.to_vec())
}

proptest! {
    #[test]
    fn no_text_makes_it_panic(kind in any_kind(), text in "\\PC{0,40}") {
        let _ = Quantity::parse(kind, &text);
    }

    #[test]
    fn whatever_is_read_is_finite_and_prints_so_that_it_reads_again(
        kind in any_kind(),
        words in prop::collection::vec(
            prop::sample::select(vec![
                "1", "27", "999999999999999", "0", "½", "1/2", "/", "⁄", "3/8", ".", ",", "5", "-", "–", "±", "x", "c.", "at least", "to",
                "in", "\"", "'", "cm", "mm²", "sq in", "per", "inch", "%", "Ne", "tex", "Nm", "oz", "lb", "h", "min", "°C", "°F", "K", ":",
                "ell", "aune", "de Paris", "English ells", "pouces", "\u{a0}", "(k=2)", "or so", "s", "spi", "between", "and", "12",
            ]),
            0..7,
        ),
        glue in prop::sample::select(vec!["", " "]),
    ) {
        let text = words.join(glue);
        match Quantity::parse(kind, &text) {
            Ok(found) => {
                prop_assert!(found.value.is_finite() && found.u.is_finite() && found.u >= 0.0, "{text}: {found:?}");
                prop_assert_eq!(&Quantity::parse(kind, &found.as_written).unwrap(), &found);
                let shown = found.display_si();
                let again = Quantity::parse(found.kind, &shown);
                prop_assert!(again.is_ok(), "`{}` shown as `{}`: {:?}", text, shown, again);
                let again = again.unwrap();
                let slack = if found.u > 0.0 { found.u.max(1e-6) } else { found.value.abs() * 1e-3 + 1e-6 };
                prop_assert!((again.value - found.value).abs() <= slack, "`{}` shown as `{}`", text, shown);
            }
            Err(refusal) => {
                prop_assert!(refusal.at <= text.len() && text.is_char_boundary(refusal.at), "`{}`: {:?}", text, refusal);
                if let Some(nearest) = refusal.nearest {
                    prop_assert!(Quantity::parse(kind, &nearest).is_ok(), "`{}`: proposed `{}`", text, nearest);
                }
            }
        }
    }

    #[test]
    fn a_tape_reading_comes_back_from_every_spelling(whole in 1..400_u32, eighths in 1..8_u32, blank in prop::sample::select(vec![" ", "-", "\u{2009}"])) {
        let glyph = ["⅛", "¼", "⅜", "½", "⅝", "¾", "⅞"][eighths as usize - 1];
        let exact = f64::from(whole * 8 + eighths) * 25.4 / 8.0;
        for text in [format!("{whole}{blank}{eighths}/8 in"), format!("{whole}{glyph}\""), format!("{whole} {glyph} inches")] {
            let found = Quantity::parse(Kind::Length, &text).unwrap();
            prop_assert!((found.value - exact).abs() <= exact * 1e-15, "{}", text);
            prop_assert!((found.u - step(25.4 / 8.0)).abs() < 1e-12);
        }
    }

    #[test]
    fn a_decimal_length_is_read_as_it_stands(tenths in 0..1_000_000_u32) {
        let text = format!("{}.{} mm", tenths / 10, tenths % 10);
        let found = Quantity::parse(Kind::Length, &text).unwrap();
        prop_assert!((found.value - f64::from(tenths) / 10.0).abs() <= found.value * 1e-15);
    }
}
