//! Written dates of museums against the years that the museums themselves gave them.

use std::collections::BTreeMap;

use super::table::{Row, open_data};
use dimity::dating::{Beyond, Conventions, Dated};

/// The house rules of a data set, never of a row. The years of `circa` and the beginning of a century are those measured
/// over whole sets and listed beside the data. The other two are not listed there: they were chosen on these same rows.
fn house(dataset: &str) -> Conventions {
    // `before 1850` ends with 1850 in every such row (three sets have some). Early and late end and begin anywhere from
    // a quarter to a half of the century; its third lies between, and 20 years of tolerance do the rest: with
    // `Cut::Quarters` 15 rows were missed at first, 14 of them parts of a century.
    let house = Conventions { beyond: Beyond::Inclusive, ..Conventions::default() };
    match dataset {
        "walters-v1" => Conventions { circa_years: 12, century_from: 1, ..house },
        "tate-2014" => Conventions { circa_years: 0, ..house },
        _ => house,
    }
}

#[derive(Debug, PartialEq)]
enum Outcome {
    Right,
    /// With the years found.
    Wrong(String),
    Refused(String),
}

/// A year as the data set counts it: without a year 0.
fn without_zero(year: Option<i32>) -> Option<f64> {
    year.map(|year| f64::from(if year <= 0 { year - 1 } else { year }))
}

fn outcome(row: &Row, conventions: &Conventions) -> Outcome {
    let found = match Dated::parse(row.text("raw"), conventions) {
        Ok(found) => found,
        // To give no years is right where there are none.
        Err(_) if row.text("kind") == "undated" => return Outcome::Right,
        Err(refusal) => return Outcome::Refused(refusal.to_string()),
    };
    let (first, last) = (without_zero(found.earliest), without_zero(found.latest));
    let near = |found: Option<f64>, wanted: &str, tolerance: &str| match row.maybe(tolerance) {
        Some(tolerance) => found.is_some_and(|found| (found - row.number(wanted)).abs() <= tolerance),
        None => true,
    };
    let right = if row.text("kind") == "undated" {
        first.is_none() && last.is_none()
    } else {
        near(first, "begin_year", "begin_tol") && near(last, "end_year", "end_tol")
    };
    if right { Outcome::Right } else { Outcome::Wrong(found.interval().to_string()) }
}

/// Why a row is missed, by what its wording shows.
fn explanation(row: &Row, outcome: &Outcome) -> &'static str {
    let raw = row.text("raw").to_lowercase();
    match outcome {
        Outcome::Refused(_) if raw.contains("00s") => "ten years or a hundred: the words do not say",
        Outcome::Refused(_) => "wording outside the grammar",
        _ if raw.contains("before") || raw.contains("after") => "the set holds the year itself to be possible",
        _ if raw.contains("c.") || raw.contains("ca") => "margin of circa beyond the tolerance",
        _ if raw.contains("century") => "the set cuts this century by hand",
        _ => "the set gives other years than its words",
    }
}

fn table(conventions_of: impl Fn(&str) -> Conventions) -> Option<(usize, usize)> {
    let rows = open_data("dates-dev.csv")?;
    let mut kinds: BTreeMap<String, [usize; 3]> = BTreeMap::new();
    let mut misses = Vec::new();
    for row in &rows {
        let outcome = outcome(row, &conventions_of(row.text("dataset")));
        let place = match &outcome {
            Outcome::Right => 0,
            Outcome::Wrong(_) => 1,
            Outcome::Refused(_) => 2,
        };
        kinds.entry(row.text("kind").to_owned()).or_default()[place] += 1;
        let said = match &outcome {
            Outcome::Right => continue,
            Outcome::Wrong(years) => format!("read as {years}"),
            Outcome::Refused(why) => format!("refused: {why}"),
        };
        let wanted = format!("{}–{}", row.text("begin_year"), row.text("end_year"));
        let why = explanation(row, &outcome);
        misses.push(format!("  {} `{}`, wanted {wanted}, {said} [{why}]", row.text("dataset"), row.text("raw")));
    }
    println!("{:20} {:>6} {:>6} {:>8}", "kind", "right", "wrong", "refused");
    for (kind, [right, wrong, refused]) in &kinds {
        println!("{kind:20} {right:6} {wrong:6} {refused:8}");
    }
    println!("{} of {} right; the misses:\n{}", rows.len() - misses.len(), rows.len(), misses.join("\n"));
    Some((rows.len() - misses.len(), rows.len()))
}

#[test]
fn dates_of_museums_are_read_as_the_museum_meant_them() {
    if let Some((right, all)) = table(house) {
        assert!(right * 1000 >= all * 995, "{right} of {all} are right, fewer than 995 in a thousand");
    }
}

#[test]
fn dates_of_museums_are_mostly_read_alike_without_their_conventions() {
    if let Some((right, all)) = table(|_| Conventions::default()) {
        assert!(right * 100 >= all * 98, "{right} of {all} are right, fewer than 98 in a hundred");
    }
}
