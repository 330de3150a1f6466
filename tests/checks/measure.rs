//! Quantities and uncertainty against published and exactly computed values, read from `fixtures/checks`.

use dimity::measure::{Bound, Estimate, Kind, Line, Quantity, combine, propagate, rounded, statistics, student_t};

use super::table;

/// The rows of a check file as fields, in the order of its columns.
fn rows(name: &str) -> Vec<Vec<String>> {
    table::rows(name).iter().map(table::Row::fields).collect()
}

fn number(text: &str) -> f64 {
    text.parse().unwrap_or_else(|_| panic!("`{text}` is no number"))
}

#[track_caller]
fn close(found: f64, wanted: f64, relative: f64, what: &str) {
    let same = (found - wanted).abs() <= relative * wanted.abs();
    assert!(same, "{what}: found {found}, wanted {wanted}");
}

fn read(kind: Kind, text: &str) -> Quantity {
    Quantity::parse(kind, text).unwrap_or_else(|refusal| panic!("`{text}` as {kind}: {refusal}"))
}

#[test]
fn every_row_of_lengths_reads_converts_or_is_refused_as_published() {
    for row in rows("units.csv") {
        let (text, status) = (row[0].as_str(), row[3].as_str());
        let found = Quantity::parse(Kind::Length, text);
        match status {
            "valid" => close(read(Kind::Length, text).value, number(&row[2]), 1e-14, text),
            "invalid" => assert!(found.is_err(), "`{text}` was read as {found:?}"),
            "needs-unit" => assert_eq!(found.unwrap_err().nearest.as_deref(), Some("27½ in")),
            "ambiguous" => {
                let refusal = found.unwrap_err();
                assert!(refusal.why.contains("ambiguous"), "`{text}`: {refusal}");
                assert!(refusal.nearest.is_some());
            }
            "range" => {
                let range = found.unwrap();
                close(range.value, 330.2, 1e-14, text);
                close(range.u, 25.4 / 3f64.sqrt(), 1e-14, text);
                assert_eq!(range.bound, Bound::Range);
            }
            "approximate" => {
                let about = found.unwrap();
                close(about.value, 685.8, 1e-14, text);
                assert_eq!(about.bound, Bound::Approximate);
            }
            other => panic!("`{other}` is no status"),
        }
    }
}

#[test]
fn yarn_numbers_convert_with_exact_constants() {
    for row in rows("units_yarn.csv") {
        let (value, from, to, expected) = (&row[0], row[1].as_str(), row[2].as_str(), number(&row[3]));
        let tex = read(Kind::Yarn, &format!("{value} {from}")).value;
        // One unit of the target, in tex: direct systems multiply, counts divide.
        let one = read(Kind::Yarn, &format!("1 {to}")).value;
        let found = if to.contains("tex") || to == "denier" { tex / one } else { one / tex };
        close(found, expected, 1e-12, &format!("{value} {from} in {to}"));
    }
}

#[test]
fn counts_per_inch_and_per_centimetre_convert_exactly() {
    for row in rows("units_counts.csv") {
        let (value, from, to, expected) = (&row[0], row[1].as_str(), row[2].as_str(), number(&row[3]));
        if from == "stitch_pitch_mm" {
            continue; // a length, not a count
        }
        let per_cm = read(Kind::Density, &format!("{value} {from}")).value;
        let found = match to {
            "threads/cm" | "stitches/cm" => per_cm,
            "threads/in" | "stitches/in" => per_cm * 2.54,
            "stitches/10cm" => per_cm * 10.0,
            "stitch_pitch_mm" => 10.0 / per_cm,
            other => panic!("`{other}` is no unit"),
        };
        close(found, expected, 1e-14, &format!("{value} {from} in {to}"));
    }
}

#[test]
fn repeated_readings_and_resolution_give_the_published_path_from_s_to_u() {
    for row in rows("uncertainty_readings.csv") {
        let what = row[0].as_str();
        let readings: Vec<Quantity> = what.split(' ').map(|mm| read(Kind::Length, &format!("{mm} mm"))).collect();
        let resolution = read(Kind::Length, &format!("{} mm", row[1]));
        let estimate = combine(&readings, Some(&resolution)).unwrap();
        close(estimate.value, number(&row[2]), 1e-13, what);
        close(estimate.u, number(&row[6]), 1e-11, what);
        assert_eq!(estimate.n, readings.len());
        if row[7] == "inf" {
            assert!(estimate.dof.is_infinite(), "{what}");
        } else {
            close(estimate.dof, number(&row[7]), 1e-10, what);
        }
        let (expanded, k) = estimate.expanded();
        close(k, number(&row[8]), 1e-10, what);
        close(expanded, number(&row[9]), 1e-10, what);
    }
}

#[test]
fn counts_over_a_length_combine_as_in_the_table() {
    // Rows `n/L*10, n=57±0.41; L=51.0±0.25`. The table takes u(N) = 0.41; the program the exact 1/√6.
    for row in rows("uncertainty_combine.csv").iter().filter(|row| row[0] == "n/L*10") {
        let part =
            |i: usize| row[1].split("; ").nth(i).and_then(|p| p.split('=').nth(1)).and_then(|p| p.split('±').next());
        let (n, length) = (part(0).unwrap(), part(1).unwrap());
        let density = read(Kind::Density, &format!("{n} in {length} mm"));
        close(density.value, number(&row[2]), 1e-14, &row[1]);
        // u of 0.1 mm decimals alone, from the formula of GUM 5.1.6.
        let l = number(length);
        let u_l = 0.1 / 12f64.sqrt();
        let wanted = density.value * ((1.0 / 6f64.sqrt() / number(n)).powi(2) + (u_l / l).powi(2)).sqrt();
        close(density.u, wanted, 1e-12, &row[1]);
    }
}

/// The formulas of `uncertainty_combine.csv` by their text.
fn formula(text: &str) -> fn(&[f64]) -> f64 {
    match text {
        "a+b" => |x| x[0] + x[1],
        "a+b+c" => |x| x[0] + x[1] + x[2],
        "a-b" => |x| x[0] - x[1],
        "a/b" | "n/L" => |x| x[0] / x[1],
        "n/L*10" => |x| x[0] / x[1] * 10.0,
        "a*b/2" => |x| x[0] * x[1] / 2.0,
        "n/sqrt(Ne)" => |x| x[0] / x[1].sqrt(),
        "(a-b)/b*100" => |x| (x[0] - x[1]) / x[1] * 100.0,
        "sqrt(a**2+b**2)" => |x| x[0].hypot(x[1]),
        "(n1*t1*(1+c1)+n2*t2*(1+c2))/10" => |x| (x[0] * x[1] * (1.0 + x[2]) + x[3] * x[4] * (1.0 + x[5])) / 10.0,
        other => panic!("no formula stands here for `{other}`"),
    }
}

#[test]
fn uncertainty_goes_through_every_formula_as_in_the_table() {
    for row in table::rows("uncertainty_combine.csv") {
        let inputs: Vec<Estimate> = row
            .text("inputs")
            .split("; ")
            .map(|input| {
                let (value, u) = input.split_once('=').and_then(|(_, figure)| figure.split_once('±')).expect("x=1±2");
                Estimate::new(number(value), number(u))
            })
            .collect();
        let found = propagate(formula(row.text("expression")), &inputs);
        row.near("the value", found.value, row.number("value"), 1e-9);
        row.near("u", found.u, row.number("u"), 1e-7 * row.number("u"));
    }
}

#[test]
fn the_rules_for_resolution_and_half_width_are_those_of_the_guide() {
    let rules = rows("uncertainty_rules.csv");
    let rule = |start: &str| number(&rules.iter().find(|row| row[0].starts_with(start)).unwrap()[3]);
    close(read(Kind::Length, "412 mm").u, rule("digital resolution"), 1e-14, "resolution");
    close(read(Kind::Length, "11–13 mm").u, rule("rectangular half-width"), 1e-14, "half width");
    close(read(Kind::Density, "24 per cm").u, rule("count, fraction unknown"), 1e-14, "count");
}

#[test]
fn coverage_factors_match_the_table_of_students_t() {
    for row in rows("uncertainty_student_t.csv") {
        let (dof, percent) = (number(&row[0]), number(&row[1]));
        let t = student_t(percent / 100.0, dof);
        close(t, number(&row[3]), 2e-11, &format!("dof {dof}, {percent} %"));
    }
    close(student_t(0.95, f64::INFINITY), 1.959_963_984_540_054, 1e-13, "normal");
    // Either side of the place where the expansion takes over from the incomplete beta function.
    let step = student_t(0.95, 9999.0) - student_t(0.95, 10001.0);
    assert!(step > 0.0 && step < 1e-7, "{step}");
}

#[test]
fn the_end_gauge_of_the_guide_comes_out_as_printed() {
    let rows = rows("uncertainty_gum_h1.csv");
    let printed = |quantity: &str| number(&rows.iter().find(|row| row[1].starts_with(quantity)).unwrap()[2]);
    let k = student_t(0.99, printed("nu_eff"));
    close((k * 100.0).round() / 100.0, printed("k99"), 1e-12, "k99");
    close((k * 31.710_609_640_431_85).round(), printed("U99"), 1e-12, "U99");
    assert_eq!(rounded(printed("l_nm"), 31.710_609_640_431_85), ("50000838".into(), "32".into()));
}

#[test]
fn certified_means_and_deviations_are_met_by_all_nine_sets() {
    for row in rows("uncertainty_strd_certified.csv") {
        let values: Vec<f64> = rows(&row[6]).iter().map(|value| number(&value[0])).collect();
        assert_eq!(values.len(), row[1].parse::<usize>().unwrap(), "{}", row[0]);
        close(statistics::mean(&values).unwrap(), number(&row[3]), 1e-13, &row[0]);
        // The decimals of NumAcc3 and NumAcc4 are not binary fractions, so the data themselves are off by that much.
        let allowed = match row[0].as_str() {
            "NumAcc4" => 1e-8,
            "NumAcc3" => 1e-9,
            _ => 1e-12,
        };
        close(statistics::stdev(&values).unwrap(), number(&row[4]), allowed, &row[0]);
    }
}

#[test]
fn a_line_through_weighted_points_agrees_with_certified_and_reference_values() {
    let figures = |text: &str| -> Vec<f64> { text.split_whitespace().map(number).collect() };
    for row in table::rows("uncertainty_line.csv") {
        let (x, y, mut u) = (figures(row.text("x")), figures(row.text("y")), figures(row.text("u")));
        u.resize(x.len(), 0.0);
        let points: Vec<_> = x.iter().zip(&y).zip(&u).map(|((x, y), u)| (*x, *y, *u)).collect();
        let line = Line::through(&points).unwrap_or_else(|| panic!("{}: no line", row.place));
        let found = [
            ("slope", line.slope),
            ("mean_x", line.mean_x),
            ("at_mean", line.at_mean),
            ("slope_u_known", line.u_known),
            ("slope_u_scatter", line.u_scatter),
        ];
        for (column, found) in found {
            if let Some(wanted) = row.maybe(column) {
                row.near(column, found, wanted, 1e-11 * wanted.abs().max(1e-3));
            }
        }
    }
}
