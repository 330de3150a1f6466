//! The statistics of comparison: factors through the origin, quotients, the test of equivalence.

use dimity::analysis::comparison::{Verdict, decide};
use dimity::measure::{
    Estimate, Kind, Pair, Proportion, Quantity, coverage, quotient, statistics, student_t, upper_tail,
};

use super::table::{Row, rows};

fn numbers(row: &Row, column: &str) -> Vec<f64> {
    let number = |text: &str| text.parse().unwrap_or_else(|_| panic!("{}: `{text}` is no number", row.place));
    row.text(column).split_whitespace().map(number).collect()
}

#[test]
fn factors_through_the_origin_are_the_certified_ones() {
    for row in rows("uncertainty_proportion.csv") {
        let (x, y, u_x, u_y) = (numbers(&row, "x"), numbers(&row, "y"), numbers(&row, "u_x"), numbers(&row, "u_y"));
        let pairs: Vec<Pair> = (0..x.len())
            .map(|i| Pair { x: x[i], y: y[i], u_x: u_x.get(i).copied().unwrap_or(0.0), u_y: u_y[i] })
            .collect();
        let fit = Proportion::through(&pairs).unwrap_or_else(|| panic!("{}: no factor", row.place));
        let tolerance = row.number("tolerance");
        row.near("factor", fit.factor, row.number("factor"), tolerance);
        row.near(
            "u_scatter",
            fit.u_scatter.expect("more than one pair"),
            row.number("u_scatter"),
            tolerance.max(1e-12),
        );
        if let Some(known) = row.maybe("u_known") {
            row.near("u_known", fit.u_known, known, tolerance);
        }
    }
}

#[test]
fn quotients_carry_what_their_errors_share() {
    for row in rows("uncertainty_quotient.csv") {
        let (a, b) = (row.number("u_a"), row.number("u_b"));
        let (one, other) = (Estimate::new(row.number("a"), a), Estimate::new(row.number("b"), b));
        let found = quotient(&one, &other, row.number("r") * a * b).expect("a quotient");
        row.near("z", found.value, row.number("z"), row.number("tolerance"));
        row.near("u", found.u, row.number("u_z"), row.number("tolerance"));
    }
    assert_eq!(quotient(&Estimate::exact(1.0), &Estimate::exact(0.0), 0.0), None);
}

#[test]
fn equivalence_is_tested_as_two_one_sided_tests() {
    for row in rows("decision_equivalence.csv") {
        let estimate = |column: &str| {
            let values = numbers(&row, column);
            let n = values.len() as f64;
            let u = statistics::stdev(&values).expect("more than one") / n.sqrt();
            Estimate { dof: n - 1.0, ..Estimate::new(statistics::mean(&values).expect("a mean"), u) }
        };
        let found = decide(&estimate("a"), &estimate("b"), row.number("tolerance"));
        let tail = |distance: f64, dof: f64| upper_tail(distance / found.u, dof);
        let p =
            |dof: f64| tail(found.tolerance + found.difference, dof).max(tail(found.tolerance - found.difference, dof));
        row.near("p", p(found.dof), row.number("p"), 1e-11);
        // The decision cuts the degrees of freedom to a whole number (GUM G.4.1), and so does its own p.
        row.near("p of the decision", found.equivalence(), p(found.dof.floor()), 1e-12);
        assert_eq!(found.verdict == Verdict::Agree, found.equivalence() <= 0.025, "{}", row.place);
    }
}

#[test]
fn the_kept_coverage_factors_are_those_worked_out() {
    for dof in (1..=450).map(f64::from).chain([1e3, 2.5e3, 1e4, 1e5, f64::INFINITY]) {
        let (kept, fresh) = (coverage(dof), student_t(0.95, dof));
        assert!((kept - fresh).abs() < 1e-9, "{dof}: {kept} and {fresh}");
    }
    assert!(
        (coverage(5.9) - student_t(0.95, 5.0)).abs() < 1e-12 && (coverage(0.3) - student_t(0.95, 1.0)).abs() < 1e-12
    );
    assert!(coverage(f64::NAN).is_nan());
}

#[test]
fn sizes_that_the_trade_calls_by_fractions_of_an_inch() {
    // A three-quarter inch tape is 19.05 mm: the inch is 25.4 mm exactly (international yard and pound agreement, 1959;
    // from memory).
    let tape = Quantity::parse(Kind::Length, "3/4 in").expect("read");
    assert!((tape.value - 19.05).abs() < 1e-12);
}
