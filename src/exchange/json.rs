//! One piece as JSON: every field by its name, quantities with value, unit and uncertainty, blanks left out.

use jiff::civil::Date;
use serde_json::{Map, Value, json};

use crate::colour::target;
use crate::dating::Dated;
use crate::measure::{Kind, Quantity};
use crate::record::PieceFile;
use crate::record::form::{Field, Form, Record, Rows};
use crate::vocabulary::{Scheme, TermId};

/// Everything recorded of one piece. GPS positions are never in it.
pub fn of_piece(file: &PieceFile) -> Value {
    let mut file = file.clone();
    let mut whole = Json::default();
    file.sections(None, &mut whole);
    let exams = file.examinations.iter_mut().map(|exam| {
        let mut one = Json::default();
        exam.sections(&mut one);
        Value::Object(one.0)
    });
    whole.0.insert("examinations".into(), exams.collect());
    whole.0.insert("photographs".into(), file.photographs.iter().map(photograph).collect());
    Value::Object(whole.0)
}

fn photograph(photo: &crate::record::photograph::Photograph) -> Value {
    let name = |term: &Option<TermId>| term.as_ref().map(|t| t.name().to_owned());
    let regions = photo.regions.iter().map(
        |r| json!({ "id": r.id, "label": r.label, "shape": r.shape.to_string(), "shows": r.shows, "note": r.note }),
    );
    let reading = photo.target.as_ref().map(|t| {
        json!({
            "id": t.id, "corners": t.corners, "reference": t.reference, "reference_sha256": t.reference_sha256,
            "results": t.results, "verdicts": target::Scheme::ALL.map(|s| s.judge(&t.results)), "correction": t.correction,
        })
    });
    json!({
        "id": photo.id, "sha256": photo.sha256, "original_name": photo.original_name, "bytes": photo.bytes,
        "width": photo.width, "height": photo.height, "view": name(&photo.view), "light": name(&photo.light),
        "stage": photo.stage, "component": photo.component, "examination": photo.examination.map(|d| d.to_string()),
        "treatment": photo.treatment, "photographer": photo.photographer, "caption": photo.caption,
        "capture": photo.capture, "remarks": photo.remarks, "regions": regions.collect::<Vec<_>>(), "target": reading,
    })
}

/// Reads a record off as an object.
#[derive(Default)]
struct Json(Map<String, Value>);

impl Json {
    fn put(&mut self, field: Field, value: Option<impl Into<Value>>) {
        if let Some(value) = value {
            self.0.insert(field.name.into(), value.into());
        }
    }

    fn put_list(&mut self, field: Field, list: Vec<Value>) {
        self.put(field, (!list.is_empty()).then_some(list));
    }
}

fn quantity(q: &Quantity) -> Value {
    json!({ "as_written": q.as_written, "value": q.value, "u": q.u, "unit": q.kind.unit() })
}

fn object(record: &mut dyn Record) -> Option<Value> {
    let mut one = Json::default();
    record.fields(&mut one);
    (!one.0.is_empty()).then_some(Value::Object(one.0))
}

impl Form for Json {
    fn text(&mut self, field: Field, value: &mut Option<String>) {
        self.put(field, value.clone());
    }
    fn texts(&mut self, field: Field, value: &mut Vec<String>) {
        self.put_list(field, value.iter().cloned().map(Value::from).collect());
    }
    fn integer(&mut self, field: Field, value: &mut Option<i64>) {
        self.put(field, *value);
    }
    fn number(&mut self, field: Field, value: &mut Option<f64>) {
        self.put(field, *value);
    }
    fn day(&mut self, field: Field, value: &mut Option<Date>) {
        self.put(field, value.map(|d| d.to_string()));
    }
    fn dated(&mut self, field: Field, value: &mut Option<Dated>) {
        let date = value.as_ref().map(|d| {
            json!({ "as_written": d.as_written, "earliest": d.earliest, "latest": d.latest, "edtf": d.edtf,
                    "convention": d.remark })
        });
        self.put(field, date);
    }
    fn term(&mut self, field: Field, _: Scheme, value: &mut Option<TermId>) {
        self.put(field, value.as_ref().map(|t| t.as_str().to_owned()));
    }
    fn terms(&mut self, field: Field, _: Scheme, value: &mut Vec<TermId>) {
        self.put_list(field, value.iter().map(|t| t.as_str().into()).collect());
    }
    fn choice(&mut self, field: Field, _: &'static [&'static str], value: &mut Option<String>) {
        self.put(field, value.clone());
    }
    fn quantity(&mut self, field: Field, _: Kind, value: &mut Option<Quantity>) {
        self.put(field, value.as_ref().map(quantity));
    }
    fn quantities(&mut self, field: Field, _: Kind, value: &mut Vec<Quantity>) {
        self.put_list(field, value.iter().map(quantity).collect());
    }
    fn component(&mut self, field: Field, value: &mut Option<String>) {
        self.put(field, value.clone());
    }
    fn person(&mut self, field: Field, value: &mut Option<String>) {
        self.put(field, value.clone());
    }
    fn piece(&mut self, field: Field, value: &mut Option<String>) {
        self.put(field, value.clone());
    }
    fn earlier(&mut self, field: Field, value: &mut Option<String>) {
        self.put(field, value.clone());
    }
    fn id(&mut self, value: &mut Option<String>) {
        if let Some(id) = value {
            self.0.insert("id".into(), id.clone().into());
        }
    }
    fn computed(&mut self, column: &'static str, value: Option<f64>) {
        if let Some(value) = value {
            self.0.insert(column.into(), value.into());
        }
    }
    fn row(&mut self, field: Field, row: &mut dyn Record) {
        self.put(field, object(row));
    }
    fn rows(&mut self, field: Field, rows: &mut dyn Rows) {
        let list = (0..rows.count()).filter_map(|i| object(rows.at(i))).collect();
        self.put_list(field, list);
    }
}
