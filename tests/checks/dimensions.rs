//! The dimensions of records in open museum data, with the figures that each record itself states.

use std::collections::BTreeMap;

use dimity::measure::{Agreement, Dimensions};

use super::table::{Row, open_data};

/// What a record states: centimetres and inches, one after another, empty where a unit is not given.
fn stated(row: &Row, column: &str) -> Vec<Option<f64>> {
    let text = row.text(column);
    if row.text("n") == "0" {
        return Vec::new();
    }
    text.split('|').map(|n| n.trim().parse().ok()).collect()
}

/// Why a reading is wrong; none when it is right.
fn fault(row: &Row) -> Option<String> {
    let found = Dimensions::read(row.text("raw"));
    let (cm, inches) = (stated(row, "cm"), stated(row, "inches"));
    let n = row.number("n") as usize;
    if found.measures.len() != n {
        return Some(format!("{} measures of {n}", found.measures.len()));
    }
    for (index, measure) in found.measures.iter().enumerate() {
        let metric = measure.metric.as_ref().map(|q| q.value / 10.0);
        let imperial = measure.imperial.as_ref().map(|q| q.value / 25.4);
        for (what, found, wanted, slack) in [
            ("cm", metric, cm.get(index).copied().flatten(), 0.001),
            ("in", imperial, inches.get(index).copied().flatten(), 1.0 / 64.0),
        ] {
            let same = match (found, wanted) {
                (Some(found), Some(wanted)) => (found - wanted).abs() <= slack,
                (None, None) => true,
                _ => false,
            };
            if !same {
                return Some(format!("measure {}: {found:?} {what}, stated {wanted:?}", index + 1));
            }
        }
    }
    let contradicts = found.measures.iter().any(|measure| matches!(measure.agreement, Some(Agreement::Contradict(_))));
    match (row.text("units_agree"), contradicts) {
        ("no", false) => Some("the contradiction of its units is not seen".into()),
        ("tight" | "loose", true) => Some("a contradiction is seen that is none".into()),
        _ => None,
    }
}

/// How many labels or parts are those of the record, of all that it gives; blanks are not scored.
fn named(rows: &[Row], column: &str) -> (usize, usize) {
    let plain = |text: &str| text.to_lowercase().replace(|c: char| !c.is_alphanumeric(), "");
    let (mut right, mut all) = (0, 0);
    for row in rows.iter().filter(|row| !row.text(column).is_empty() && fault(row).is_none()) {
        for (measure, wanted) in Dimensions::read(row.text("raw")).measures.iter().zip(row.text(column).split('|')) {
            let found = if column == "labels" { &measure.label } else { &measure.part };
            if !wanted.is_empty() {
                all += 1;
                right += usize::from(plain(found) == plain(wanted));
                if plain(found) != plain(wanted) && std::env::var_os("LABELS").is_some() {
                    println!("{:?} for {wanted:?} in {:?}", found, row.text("raw"));
                }
            }
        }
    }
    (right, all)
}

#[test]
fn the_dimensions_of_museum_records_are_read_in_both_units() {
    let Some(rows) = open_data("dimensions-dev.csv") else { return };
    let mut by_class: BTreeMap<String, (usize, usize)> = BTreeMap::new();
    let mut missed = Vec::new();
    for row in &rows {
        let entry = by_class.entry(format!("{} {}", row.text("klass"), row.text("difficulty"))).or_default();
        entry.0 += 1;
        match fault(row) {
            None => entry.1 += 1,
            Some(why) => missed.push(format!("{}: {why}\n    {:?}", row.place, row.text("raw"))),
        }
    }
    for (class, (all, right)) in &by_class {
        println!("{class:20} {right:5} of {all:5}");
    }
    for line in &missed {
        println!("{line}");
    }
    let (labels, parts) = (named(&rows, "labels"), named(&rows, "parts"));
    println!("labels {} of {}, parts {} of {}", labels.0, labels.1, parts.0, parts.1);
    let right = rows.len() - missed.len();
    println!("all {right} of {} ({:.2} %)", rows.len(), 100.0 * right as f64 / rows.len() as f64);
    assert!(right * 100 >= rows.len() * 99, "{right} of {} records are read, less than 99 %", rows.len());
}
