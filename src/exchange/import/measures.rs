//! Measures of an old list as measurements: the label found among the dimensions, both systems checked against each other.

use super::headings;
use crate::measure::{Agreement, Dimensions, Measure, Quantity};
use crate::record::Observed;
use crate::record::measurement::Measurement;
use crate::vocabulary::{Scheme, TermId, Vocabulary};

/// What was found in a cell.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Measures {
    /// One for each measure whose dimension is known.
    pub measurements: Vec<Observed<Measurement>>,
    /// What was read, in words.
    pub read: Vec<String>,
    /// What is doubtful, or could not be placed.
    pub doubts: Vec<String>,
    /// Whether something could not be placed.
    pub is_unread: bool,
}

/// Reads a cell of dimensions. `order` names the dimensions of figures without a label; `unit` is that of a text without
/// any unit.
pub fn read(text: &str, order: &[String], unit: Option<&str>, vocabulary: &Vocabulary) -> Measures {
    let text = super::fill::clean(text);
    let mut found = Measures::default();
    let mut dimensions = Dimensions::read(&text);
    if dimensions.measures.is_empty()
        && let Some(unit) = unit
    {
        dimensions = Dimensions::read(&format!("{text} {unit}"));
    }
    let mut unlabelled = 0;
    for measure in &dimensions.measures {
        let Some(best) = measure.best().filter(|q| q.value > 0.0) else { continue };
        let name = if measure.label.is_empty() {
            let name = order.get(unlabelled).cloned();
            unlabelled += 1;
            name.and_then(|n| headings::dimension(&n, vocabulary))
        } else {
            headings::dimension(&measure.label, vocabulary)
        };
        let Some(name) = name else {
            found.is_unread = true;
            found.doubts.push(if measure.label.is_empty() {
                format!("which dimension is `{}`? `order` in the mapping says it", best.as_written)
            } else {
                format!("`{}` is no dimension of the vocabulary", measure.label)
            });
            continue;
        };
        found.read.push(format!("{name} {}", best.display_si()));
        let (observed, doubt) = measurement(measure, best, &name);
        found.doubts.extend(doubt);
        found.measurements.push(observed);
    }
    if dimensions.measures.is_empty() {
        found.is_unread = true;
        found.doubts.push(if dimensions.others.is_empty() {
            "no measure stands there".into()
        } else {
            format!("{} has no unit; `unit` in the mapping says it", dimensions.others.join(", "))
        });
    }
    found
}

fn measurement(measure: &Measure, best: &Quantity, name: &str) -> (Observed<Measurement>, Option<String>) {
    let mut notes: Vec<String> = Vec::new();
    let mut certainty = None;
    let mut doubt = None;
    if let (Some(metric), Some(imperial)) = (&measure.metric, &measure.imperial) {
        let other = if best == metric { imperial } else { metric };
        notes.push(format!("the list also says {}", other.as_written));
        if let Some(Agreement::Contradict(by)) = measure.agreement {
            certainty = Some(TermId::new(Scheme::Certainty, "possible"));
            doubt = Some(format!(
                "{} and {} differ by {by:.0} mm: one of them is wrong",
                metric.as_written, imperial.as_written
            ));
        }
    }
    if !measure.note.is_empty() {
        notes.push(measure.note.clone());
    }
    if doubt.is_none() && !measure.remarks.is_empty() {
        doubt = Some(measure.remarks.join("; "));
    }
    notes.extend(measure.remarks.iter().cloned());
    let what = Measurement {
        dimension: Some(TermId::new(Scheme::Dimension, name)),
        readings: vec![best.clone()],
        ..Measurement::default()
    };
    let observed = Observed {
        component: (!measure.part.is_empty()).then(|| measure.part.clone()),
        what,
        certainty,
        note: (!notes.is_empty()).then(|| notes.join("; ")),
        ..Observed::default()
    };
    (observed, doubt)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn told(text: &str, order: &[&str], unit: Option<&str>) -> (String, bool) {
        let order: Vec<String> = order.iter().map(|o| (*o).to_owned()).collect();
        let found = read(text, &order, unit, Vocabulary::shipped());
        (found.read.join(" | "), !found.doubts.is_empty())
    }

    #[test]
    fn measures_find_their_dimension_or_are_doubted() {
        let rows: [(&str, &[&str], Option<&str>, &str, bool); 8] = [
            (
                "H. 42 1/2 in. (108 cm); W. 30 cm",
                &[],
                None,
                "total height 1079.5 ± 0.9 mm | total width 300.0 ± 2.9 mm",
                false,
            ),
            ("waist 27 1/2 in", &[], None, "waist girth 698.5 ± 0.9 mm", false),
            (
                "38 x 70.5 cm",
                &["total height", "total width"],
                None,
                "total height 380.0 ± 2.9 mm | total width 705.00 ± 0.29 mm",
                false,
            ),
            ("38 x 70.5 cm", &[], None, "", true),
            ("L 102", &[], Some("cm"), "total length 1020.0 ± 2.9 mm", false),
            ("L 102", &[], None, "", true),
            ("H. 42 in. (42 cm)", &[], None, "total height 420.0 ± 2.9 mm", true),
            ("large", &[], None, "", true),
        ];
        for (text, order, unit, wanted, doubted) in rows {
            let (read, doubt) = told(text, order, unit);
            assert_eq!((read.as_str(), doubt), (wanted, doubted), "{text}");
        }
    }
}
