//! The tables of a treatment: options, tests, steps, materials proposed against used, changes of a version, hours.

use serde::Serialize;

use super::super::advice::hours;
use super::super::words::{Facts, capital, day, joined, rounded_hours, text};
use crate::analysis::versions::{self, Run};
use crate::measure::Quantity;
use crate::record::treatment::{Proposal, Treatment};

/// A course that was thought of.
#[derive(Debug, Serialize)]
pub struct OptionRow {
    option: String,
    taken: String,
    reason: String,
}

pub fn options(p: &Proposal) -> Vec<OptionRow> {
    let row = |o: &crate::record::treatment::OptionConsidered| OptionRow {
        option: text(o.option.as_ref()),
        taken: text(o.taken.as_ref()),
        reason: text(o.reason.as_ref()),
    };
    p.options.iter().map(row).collect()
}

/// A test made before.
#[derive(Debug, Serialize)]
pub struct TestRow {
    test: String,
    place: String,
    method: String,
    result: String,
    meaning: String,
    made: String,
}

pub fn tests(p: &Proposal) -> Vec<TestRow> {
    let row = |t: &crate::record::treatment::TrialBefore| TestRow {
        test: text(t.test.as_ref()),
        place: text(t.place.as_ref()),
        method: text(t.method.as_ref()),
        result: text(t.result.as_ref()),
        meaning: text(t.meaning.as_ref()),
        made: joined([text(t.by.as_ref()), day(t.date)], ", "),
    };
    p.tests.iter().map(row).collect()
}

/// A step that is proposed.
#[derive(Debug, Serialize)]
pub struct PlannedRow {
    number: usize,
    step: String,
    component: String,
    hours: String,
}

pub fn planned(p: &Proposal) -> Vec<PlannedRow> {
    let row = |(i, s): (usize, &crate::record::treatment::PlannedStep)| PlannedRow {
        number: i + 1,
        step: text(s.step.as_ref()),
        component: text(s.component.as_ref()),
        hours: written(s.hours.as_ref()),
    };
    p.planned.iter().enumerate().map(row).collect()
}

fn written(q: Option<&Quantity>) -> String {
    q.map(|q| q.as_written.clone()).unwrap_or_default()
}

/// A material, as proposed and as used.
#[derive(Debug, Serialize)]
pub struct MaterialRow {
    material: String,
    purpose: String,
    proposed: String,
    used: String,
    lot: String,
    /// Whether it stands in the proposal, and whether in the record.
    in_proposal: bool,
    in_record: bool,
}

/// Every material of proposal and record. Two count as one if their names are the same but for capitals; no likeness is
/// guessed at.
pub fn materials(t: &Treatment) -> Vec<MaterialRow> {
    let key = |name: Option<&String>| text(name).to_lowercase();
    let mut rows: Vec<(String, MaterialRow)> = Vec::new();
    for m in &t.proposal.proposed_materials {
        let row = MaterialRow {
            material: text(m.material.as_ref()),
            purpose: text(m.purpose.as_ref()),
            proposed: joined([text(m.amount.as_ref()), text(m.supplier.as_ref())], "; "),
            used: String::new(),
            lot: String::new(),
            in_proposal: true,
            in_record: false,
        };
        rows.push((key(m.material.as_ref()), row));
    }
    for m in &t.materials {
        let used = joined([text(m.amount.as_ref()), text(m.supplier.as_ref())], "; ");
        let (name, lot) = (key(m.material.as_ref()), text(m.lot.as_ref()));
        match rows.iter_mut().find(|(known, row)| *known == name && !row.in_record) {
            Some((_, row)) => (row.used, row.lot, row.in_record) = (used, lot, true),
            None => {
                let row = MaterialRow {
                    material: text(m.material.as_ref()),
                    purpose: String::new(),
                    proposed: String::new(),
                    used,
                    lot,
                    in_proposal: false,
                    in_record: true,
                };
                rows.push((name, row));
            }
        }
    }
    rows.into_iter().map(|(_, row)| row).collect()
}

/// What a version changes.
#[derive(Debug, Serialize)]
pub struct ChangeRow {
    field: String,
    /// Text by text, in runs of words; the second of each says whether the other version lacks them.
    before: Vec<Vec<Run>>,
    after: Vec<Vec<Run>>,
    order_only: bool,
}

pub fn changes(before: &Proposal, after: &Proposal) -> Vec<ChangeRow> {
    let row = |c: versions::Change| {
        let (before, after) = side_by_side(&c.before, &c.after);
        ChangeRow { field: capital(&c.field.replace('_', " ")), before, after, order_only: c.order_only }
    };
    versions::changes(before, after).into_iter().map(row).collect()
}

/// Texts that stand against each other, word by word; what has nothing to stand against is told whole, unmarked.
fn side_by_side(before: &[String], after: &[String]) -> (Vec<Vec<Run>>, Vec<Vec<Run>>) {
    let words = |text: &String| text.parse().map_or_else(|_| text.clone(), |date| day(Some(date)));
    let alone = |list: &[String]| list.iter().map(|text| vec![(words(text), false)]).collect();
    if before.len() != after.len() {
        return (alone(before), alone(after));
    }
    before.iter().zip(after).map(|(b, a)| versions::words_apart(&words(b), &words(a))).unzip()
}

/// Hours expected, planned and worked, with the difference.
pub fn hour_facts(t: &Treatment, record: bool) -> Facts {
    let expected = t.proposal.hours_expected.as_ref();
    let planned = hours(t.proposal.planned.iter().filter_map(|s| s.hours.as_ref())).replace(" entries", " steps");
    let planned = planned.replace(" entry", " step");
    let facts = Facts::default().say("Hours expected", written(expected)).may_say("Hours planned", planned);
    if !record {
        return facts;
    }
    let timed: Vec<&Quantity> = t.steps.iter().filter_map(|s| s.hours.as_ref()).collect();
    let untimed = t.steps.len() - timed.len();
    let worked = hours(timed.iter().copied());
    let without = match untimed {
        0 => String::new(),
        1 => "1 step without a time is not counted".to_owned(),
        n => format!("{n} steps without a time are not counted"),
    };
    let sum: f64 = timed.iter().map(|q| q.value).sum();
    let against = match expected {
        Some(expected) if !timed.is_empty() => against(sum, expected.value),
        _ => String::new(),
    };
    facts.say("Hours worked", joined([worked, without], "; ")).may_say("Difference", against)
}

fn against(worked: f64, expected: f64) -> String {
    let more = worked - expected;
    let percent = if expected > 0.0 { format!(", {:.0} % of it", worked / expected * 100.0) } else { String::new() };
    match rounded_hours(more.abs()).as_str() {
        "0" => "as expected".to_owned(),
        hours if more > 0.0 => format!("{hours} h more{percent}"),
        hours => format!("{hours} h less{percent}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::Kind;
    use crate::record::treatment::{Material, ProposedMaterial, TreatmentStep};

    fn used(name: &str, lot: &str) -> Material {
        Material { material: Some(name.into()), lot: Some(lot.into()), ..Material::default() }
    }

    fn proposed(name: &str) -> ProposedMaterial {
        ProposedMaterial { material: Some(name.into()), amount: Some("10 ml".into()), ..ProposedMaterial::default() }
    }

    #[test]
    fn each_material_used_meets_one_proposed_of_its_name_and_no_other() {
        let mut t = Treatment::default();
        t.proposal.proposed_materials = vec![proposed("Silk crepeline"), proposed("water")];
        t.materials = vec![used("silk crepeline ", "7"), used("Silk crepeline", "8"), used("pins", "-")];
        let rows: Vec<_> = materials(&t).into_iter().map(|r| (r.material, r.in_proposal, r.in_record, r.lot)).collect();
        let want = [
            ("Silk crepeline", true, true, "7"),
            ("water", true, false, ""),
            ("Silk crepeline", false, true, "8"),
            ("pins", false, true, "-"),
        ];
        assert_eq!(rows, want.map(|(m, p, r, l)| (m.to_owned(), p, r, l.to_owned())));
    }

    #[test]
    fn hours_are_set_against_what_was_expected() {
        let cases: [(Option<&str>, &[Option<&str>], &str, &str); 6] = [
            (Some("6 h"), &[Some("3 h"), Some("3 h")], "6 h in 2 entries", "as expected"),
            (Some("6 h"), &[Some("7 h 30 min")], "7.5 h in 1 entry", "1.5 h more, 125 % of it"),
            (
                Some("6 h"),
                &[Some("3 h"), None],
                "3 h in 1 entry; 1 step without a time is not counted",
                "3 h less, 50 % of it",
            ),
            (None, &[Some("3 h")], "3 h in 1 entry", ""),
            (Some("6 h"), &[None, None], "2 steps without a time are not counted", ""),
            (Some("6 h"), &[], "", ""),
        ];
        let quantity = |text: &str| Quantity::parse(Kind::Duration, text).ok();
        for (expected, steps, worked, against) in cases {
            let mut t = Treatment::default();
            t.proposal.hours_expected = expected.and_then(quantity);
            t.steps = steps
                .iter()
                .map(|h| TreatmentStep { hours: h.and_then(quantity), ..TreatmentStep::default() })
                .collect();
            let facts = hour_facts(&t, true);
            let said = |label: &str| facts.rows.iter().find(|f| f.label == label).map_or("", |f| &f.value).to_owned();
            assert_eq!((said("Hours worked"), said("Difference")), (worked.to_owned(), against.to_owned()));
        }
    }
}
