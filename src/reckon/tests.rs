//! What the calculators answer, and what they refuse.

use super::{Answer, Calculator};
use crate::dating::Conventions;
use proptest::prelude::*;

fn answer(calculator: Calculator, line: &str) -> Result<Answer, crate::measure::Unreadable> {
    calculator.answer(line, &Conventions::default())
}

#[test]
fn lengths_are_told_in_three_units_and_records_measure_by_measure() {
    let cases = [
        ("27 1/2 in", "698.5 ± 0.9 mm · 69.85 ± 0.09 cm · 27.50 ± 0.04 in"),
        ("H. 42 1/2 in. (108 cm); W. 5 cm", "H: 1079.5 ± 0.9 mm (both units agree); W: 50.0 ± 2.9 mm"),
        ("154 cm x 12 in (30.5 cm)", "1540.0 ± 2.9 mm; 305.00 ± 0.29 mm (both units agree)"),
        ("10 cm (21 1/4 in)", "100.0 ± 2.9 mm against 539.8 ± 0.9 mm: its two units contradict each other by 439.8 mm"),
    ];
    for (line, wanted) in cases {
        assert_eq!(answer(Calculator::Length, line).map(|a| a.text).as_deref(), Ok(wanted), "{line}");
    }
    let fields = answer(Calculator::Length, "at least 12 cm").unwrap().fields;
    assert_eq!((&fields["cm"], &fields["bound"]), (&12.0.into(), &"at least".into()));
    assert_eq!(answer(Calculator::Length, "27 1/2").unwrap_err().nearest.as_deref(), Some("27 1/2 in"));
}

#[test]
fn sums_say_whether_parts_make_the_whole() {
    let cases = [
        ("312 + 315 mm", "2 parts: 627.0 ± 0.4 mm (u)"),
        (
            "312 mm + 2 x 298 mm = 908 mm",
            "3 parts: 908.0 ± 0.6 mm (u); whole 908.00 ± 0.29 mm; difference 0.0 ± 1.4 mm (U, 95 %): they add up within their uncertainty",
        ),
        (
            "8 x 312 = 2510 mm",
            "8 parts: 2496.0 ± 2.3 mm (u); whole 2510.00 ± 0.29 mm; difference -14 ± 5 mm (U, 95 %): they do not add up; each part is out by -2.32 to -1.18 mm",
        ),
        ("100 + 100 mm, tape 1 mm", "2 parts: 200.0 ± 1.2 mm (u)"),
    ];
    for (line, wanted) in cases {
        assert_eq!(answer(Calculator::Sum, line).map(|a| a.text).as_deref(), Ok(wanted), "{line}");
    }
    for (line, at) in [
        ("312 + 3x", 3),
        ("a x 3 mm", 0),
        ("312 mm + lnen mm", 9),
        ("312", 3),
        ("100 mm = ", 8),
        ("5 mm, tape", 10),
        ("½in+circa", 10),
    ] {
        let refusal = answer(Calculator::Sum, line).expect_err(line);
        assert_eq!(refusal.at, at, "{line}: {refusal}");
    }
}

proptest! {
    #[test]
    fn no_line_makes_a_calculator_panic(line in "\\PC{0,40}") {
        for calculator in Calculator::ALL {
            if let Err(refusal) = answer(calculator, &line) {
                prop_assert!(refusal.at <= line.len(), "{calculator:?} of `{line}`: {refusal:?}");
            }
        }
    }
}
