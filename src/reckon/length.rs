//! `dimity convert length`: a written length, or the dimensions of a whole record, in both systems.

use serde_json::{Map, Value};

use super::Answer;
use crate::measure::{Agreement, Dimensions, Kind, MM_PER_INCH, Measure, Quantity, Unreadable, plus_minus};

pub(super) fn answer(line: &str) -> Result<Answer, Unreadable> {
    match Quantity::parse(Kind::Length, line) {
        Ok(found) => Ok(one(&found)),
        Err(refusal) => {
            let found = Dimensions::read(line);
            if found.measures.is_empty() { Err(refusal) } else { Ok(record(&found)) }
        }
    }
}

fn one(found: &Quantity) -> Answer {
    Answer::new(format!(
        "{} · {} · {}",
        found.display_si(),
        scaled(found, 10.0, "cm"),
        scaled(found, MM_PER_INCH, "in")
    ))
    .with("mm", found.value)
    .with("u_mm", found.u)
    .with("cm", found.value / 10.0)
    .with("in", found.value / MM_PER_INCH)
    .with("bound", super::bound(found.bound))
}

fn scaled(found: &Quantity, unit: f64, name: &str) -> String {
    format!("{} {name}", plus_minus(found.value / unit, found.u / unit))
}

/// Every measure of a record, and whether its two statements agree.
fn record(found: &Dimensions) -> Answer {
    let text: Vec<String> = found.measures.iter().map(told).collect();
    let measures: Vec<Value> = found.measures.iter().map(fields).collect();
    Answer::new(text.join("; ")).with("measures", measures).with("others", found.others.clone())
}

fn told(measure: &Measure) -> String {
    let name = match (measure.part.as_str(), measure.label.as_str()) {
        ("", "") => String::new(),
        ("", label) => format!("{label}: "),
        (part, label) => format!("({part}) {label}: ").replace("  ", " "),
    };
    let shown = |quantity: &Option<Quantity>| quantity.as_ref().map(Quantity::display_si).unwrap_or_default();
    let length = match measure.agreement {
        Some(Agreement::Contradict(apart)) => {
            let (metric, imperial) = (shown(&measure.metric), shown(&measure.imperial));
            format!("{metric} against {imperial}: its two units contradict each other by {apart:.1} mm")
        }
        Some(Agreement::Agree) => {
            format!("{} (both units agree)", measure.best().map(Quantity::display_si).unwrap_or_default())
        }
        None => measure.best().map(Quantity::display_si).unwrap_or_default(),
    };
    let remarks = if measure.remarks.is_empty() { String::new() } else { format!(" ({})", measure.remarks.join("; ")) };
    format!("{name}{length}{remarks}")
}

fn fields(measure: &Measure) -> Value {
    let value = |quantity: &Option<Quantity>| quantity.as_ref().map(|q| q.value);
    let mut map = Map::new();
    map.insert("label".into(), measure.label.clone().into());
    map.insert("part".into(), measure.part.clone().into());
    map.insert("note".into(), measure.note.clone().into());
    map.insert("metric_mm".into(), value(&measure.metric).into());
    map.insert("imperial_mm".into(), value(&measure.imperial).into());
    map.insert("u_mm".into(), measure.best().map(|q| q.u).into());
    map.insert("agree".into(), measure.agreement.map(|a| a == Agreement::Agree).into());
    map.insert("remarks".into(), measure.remarks.clone().into());
    Value::Object(map)
}
