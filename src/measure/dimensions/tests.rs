//! What a record's dimensions say, spelling by spelling.

use super::{Agreement, Dimensions};
use proptest::prelude::*;

/// The measures as `label: centimetres = inches`, contradictions marked.
fn read(text: &str) -> String {
    let found = Dimensions::read(text);
    let shown = found.measures.iter().map(|m| {
        let number = |q: &Option<crate::measure::Quantity>, unit: f64| {
            q.as_ref().map_or("-".to_owned(), |q| format!("{}", (q.value / unit * 1e6).round() / 1e6))
        };
        let sign = match m.agreement {
            Some(Agreement::Agree) => "=",
            Some(Agreement::Contradict(_)) => "≠",
            None => "|",
        };
        let part = if m.part.is_empty() { String::new() } else { format!("({}) ", m.part) };
        let label = if m.label.is_empty() { String::new() } else { format!("{}: ", m.label) };
        format!("{part}{label}{} {sign} {}", number(&m.metric, 10.0), number(&m.imperial, 25.4))
    });
    shown.collect::<Vec<_>>().join("; ")
}

#[test]
fn every_way_of_writing_a_pair_is_read() {
    let cases = [
        ("92.7 x 61 cm", "92.7 | -; 61 | -"),
        ("H. 42 1/2 in. (108 cm); W. 30 in. (76.2 cm)", "H: 108 = 42.5; W: 76.2 = 30"),
        ("H x W: 20 x 30.5 cm (7 7/8 x 12 in.)", "H: 20 = 7.875; W: 30.5 = 12"),
        ("L. 8 1/2 x W. 2 1/2 inches\n21.6 x 6.4 cm", "L: 21.6 = 8.5; W: 6.4 = 2.5"),
        ("L. 36, W. 50 inches\n(91.4 x 127 cm)", "L: 91.4 = 36; W: 127 = 50"),
        ("5 in. high 4 in. wide (12.7 cm high 10.2 cm wide)", "high: 12.7 = 5; wide: 10.2 = 4"),
        ("20 cm [8\"] x 25.5 cm [10\"]", "20 = 8; 25.5 = 10"),
        ("Weft: 9cm / 3 1/2\"", "Weft: 9 = 3.5"),
        ("120 x 50 cm (3 ft. 11 1/4 in. x 19 11/16 in.)", "120 = 47.25; 50 = 19.6875"),
        ("400 x 90 cm (13 ft. 1 1/2 x 35 7/16 in.)", "400 = 157.5; 90 = 35.4375"),
        ("50cmx30cm", "50 | -; 30 | -"),
        ("246. x 10 cm", "246 | -; 10 | -"),
        ("12 1/2 in x 9 in", "- | 12.5; - | 9"),
        ("2 and 3/4 inches", "- | 2.75"),
    ];
    for (text, wanted) in cases {
        assert_eq!(read(text), wanted, "{text}");
    }
}

#[test]
fn parts_and_brackets_are_kept_apart_from_the_label() {
    let text =
        "A. Warp: 40 cm (15 3/4 in.). Weft (both selvedges): 20 cm (7 7/8 in.). Cut. B. Warp: 30 cm (11 13/16 in.)";
    assert_eq!(read(text), "(A) Warp: 40 = 15.75; (A) Weft: 20 = 7.875; (B) Warp: 30 = 11.8125");
    assert_eq!(Dimensions::read(text).measures[1].note, "both selvedges");
    assert_eq!(
        read("Length at CB (a) 29 in. (73.7 cm)\nLength (b) 22 1/2 in. (57.2 cm)"),
        "(a) Length at CB: 73.7 = 29; (b) Length: 57.2 = 22.5"
    );
    assert_eq!(read("C. Warp: 7 cm D. Warp: 8 cm"), "(C) Warp: 7 | -; (D) Warp: 8 | -");
    assert_eq!(read("D. 3 cm"), "D: 3 | -");
}

#[test]
fn what_is_understood_and_not_read_is_said() {
    let cases = [
        ("95.3 cm (371/2 in.)", "95.3 = 37.5", "`371/2 in` is taken as 37 1/2 in, which the other unit bears out"),
        ("W. 89.1/2 in. (227.3 cm)", "W: 227.3 = 89.5", "`89.1/2` is taken as 89 1/2"),
        ("32 in. (81 .3 cm)", "81.3 = 32", "`81 .3` is taken as 81.3"),
        ("22.5 [9\"]", "22.5 = 9", "`22.5` has no unit of its own; taken as cm"),
        ("102 cm (40)", "102 = 40", "`40` has no unit of its own; taken as in"),
        ("97ccm (38 1/8 in.)", "97 = 38.125", "`97` has no unit of its own; taken as cm"),
        ("13 ft. 4 3/8 x 35 in.", "- | 160.375; - | 35", "`4 3/8` after feet is taken as inches"),
    ];
    for (text, wanted, remark) in cases {
        assert_eq!(read(text), wanted, "{text}");
        assert_eq!(Dimensions::read(text).measures[0].remarks, [remark], "{text}");
    }
}

#[test]
fn a_contradiction_is_seen_and_no_rounding_is_taken_for_one() {
    let cases = [
        ("154 cm (21 1/4 in.)", false),
        ("33 cm (13 in.)", true),
        // Worked out and rounded: 0.5 cm and half a sixteenth.
        ("97 cm (38 3/8 in.)", true),
        ("97.0 cm (38 1/2 in.)", false),
        // Read twice from a tape: to the half centimetre and the quarter inch.
        ("25.5 cm (9 7/8 in.)", true),
        ("35.5 cm (14 in.)", true),
        ("30.48 m (100 ft.)", true),
        ("30.58 m (100 ft.)", false),
    ];
    for (text, agree) in cases {
        let found = Dimensions::read(text).measures[0].agreement;
        assert_eq!(found == Some(Agreement::Agree), agree, "{text}: {found:?}");
    }
}

#[test]
fn numbers_that_are_no_measures_are_left_and_listed() {
    for (text, others) in [
        ("Weft: (2 pieces sewn together) 157 cm", vec!["2"]),
        ("1983-63-9a length: 14 cm", vec![]),
        ("Repeat 12 times", vec!["12"]),
        ("10 x 12", vec!["10", "12"]),
        ("dimensions not taken", vec![]),
    ] {
        assert_eq!(Dimensions::read(text).others, others, "{text}");
    }
    assert_eq!(read("10 in., 4.7 lb. (25.4 cm, 2144 g)"), "25.4 = 10", "a weight is no length");
}

proptest! {
    #[test]
    fn no_record_makes_it_panic(text in "\\PC{0,60}") {
        Dimensions::read(&text);
    }

    #[test]
    fn no_mixture_of_its_words_makes_it_panic(
        words in prop::collection::vec(prop::sample::select(vec![
            "1", "27", "½", "371/2", "3/8", ".", ",", " .", "(", ")", "[", "]", "x", " x ", "by", "\n", ";", "H", "W:", "a.", "(b)",
            "cm", "in.", "\"", "ft.", "'", "and", "-", "lb", "1983-63-9", "high", "ccm", "0", "999999999999999999",
        ]), 0..14),
        glue in prop::sample::select(vec!["", " "]),
    ) {
        let found = Dimensions::read(&words.join(glue));
        for measure in found.measures {
            prop_assert!(measure.metric.is_some() || measure.imperial.is_some());
            prop_assert_eq!(measure.agreement.is_some(), measure.metric.is_some() && measure.imperial.is_some());
        }
    }

    #[test]
    fn a_record_written_from_its_measures_is_read_back(
        sides in prop::collection::vec((1..3000_u32, prop::sample::select(vec!["H", "W", "D", "L"])), 1..4),
    ) {
        let cm: Vec<String> = sides.iter().map(|(mm, _)| format!("{}.{}", mm / 10, mm % 10)).collect();
        let sixteenths: Vec<String> = sides.iter().map(|(mm, _)| {
            let n = (f64::from(*mm) / 25.4 * 16.0).round() as u32;
            if n.is_multiple_of(16) { format!("{}", n / 16) } else { format!("{} {}/16", n / 16, n % 16) }
        }).collect();
        let heads: Vec<&str> = sides.iter().map(|(_, head)| *head).collect();
        let text = format!("{}: {} cm ({} in.)", heads.join(" x "), cm.join(" x "), sixteenths.join(" x "));
        let found = Dimensions::read(&text).measures;
        prop_assert_eq!(found.len(), sides.len(), "{}", &text);
        for (measure, (mm, head)) in found.iter().zip(&sides) {
            prop_assert!((measure.metric.as_ref().unwrap().value - f64::from(*mm)).abs() < 1e-9, "{}", &text);
            prop_assert_eq!(&measure.label, head);
            prop_assert_eq!(measure.agreement, Some(Agreement::Agree), "{}", &text);
        }
    }
}
