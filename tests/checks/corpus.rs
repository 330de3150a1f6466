//! Quantiles, shares and medians against general reference libraries and a worked example.

use dimity::measure::statistics::{Plotting, quantile};
use dimity::measure::{median_interval, share_interval};

use super::table::rows;

#[test]
fn the_interval_of_a_share_is_that_of_clopper_and_pearson() {
    for row in rows("corpus_shares.csv") {
        let (low, high) = share_interval(row.number("count") as usize, row.number("of") as usize, 0.95);
        row.near("the lower end", low, row.number("low"), 1e-9);
        row.near("the upper end", high, row.number("high"), 1e-9);
    }
    assert_eq!(share_interval(0, 0, 0.95), (0.0, 1.0));
}

#[test]
fn quantiles_follow_hyndman_and_fan() {
    // Types 4 to 9 with the a and b of their paper, table 1.
    let types = [
        ("type4", 0.0, 1.0),
        ("type5", 0.5, 0.5),
        ("type6", 0.0, 0.0),
        ("type7", 1.0, 1.0),
        ("type8", 1.0 / 3.0, 1.0 / 3.0),
        ("type9", 0.375, 0.375),
    ];
    for row in rows("corpus_quantiles.csv") {
        let mut values: Vec<f64> = row.text("values").split(' ').map(|v| v.parse().expect("a number")).collect();
        values.sort_by(f64::total_cmp);
        for (name, a, b) in types {
            let found = quantile(&values, row.number("p"), Plotting { a, b }).expect("a quantile");
            row.near(name, found, row.number(name), 1e-9);
        }
    }
    assert_eq!(Plotting::MEDIAN_UNBIASED, Plotting { a: 1.0 / 3.0, b: 1.0 / 3.0 });
    assert_eq!(quantile(&[], 0.5, Plotting::MEDIAN_UNBIASED), None);
}

#[test]
fn the_ninetieth_percentile_of_the_handbook_comes_out() {
    // NIST/SEMATECH e-Handbook of Statistical Methods, 7.2.6.2 Percentiles: p(n+1) = 11.7, 90th percentile 95.1981 (from
    // memory).
    let mut values =
        [95.1772, 95.1567, 95.1937, 95.1959, 95.1442, 95.0610, 95.1591, 95.1195, 95.1065, 95.0925, 95.1990, 95.1682];
    values.sort_by(f64::total_cmp);
    let found = quantile(&values, 0.9, Plotting { a: 0.0, b: 0.0 }).expect("a quantile");
    assert!((found - 95.1981).abs() < 5e-5, "{found}");
}

#[test]
fn the_interval_of_a_median_begins_at_the_right_value() {
    for row in rows("corpus_medians.csv") {
        let (k, coverage) = median_interval(row.number("n") as usize, 0.95).expect("an interval");
        row.near("the first value", k as f64, row.number("k"), 0.0);
        row.near("the coverage", coverage, row.number("coverage"), 1e-9);
    }
    assert_eq!(median_interval(0, 0.95), None);
}
