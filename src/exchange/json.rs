//! One piece as JSON: every field by its name, quantities with value, unit and uncertainty, blanks left out.

use jiff::civil::Date;
use serde_json::{Map, Value, json};

use crate::analysis::drawn::sized;
use crate::analysis::{care, hazards};
use crate::colour::target;
use crate::dating::Dated;
use crate::measure::{Estimate, Kind, Quantity};
use crate::record::PieceFile;
use crate::record::care::Overrule;
use crate::record::form::{Earlier, Field, Form, Record, Rows};
use crate::record::photograph::{Photograph, Region};
use crate::record::picture_scale::{PLANE_ONLY, PictureScale};
use crate::record::registration::Registration;
use crate::record::rights::Rights;
use crate::vocabulary::{Scheme, TermId, Vocabulary};

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
    if !file.sources.is_empty() {
        whole.0.insert("old_lists".into(), json!(file.sources));
    }
    Value::Object(whole.0)
}

/// The same, and what follows from it as things stand on a day: hazards to look for, and care.
pub fn with_advice(file: &PieceFile, vocabulary: &Vocabulary, today: Date) -> Value {
    let mut whole = of_piece(file);
    let pointer = |p: &hazards::Pointer| json!({ "rule": p.rule, "sentence": p.sentence, "because": p.reasons, "source": p.source });
    let suggested = hazards::suggest(file, vocabulary);
    let suggested =
        suggested.iter().map(|s| json!({ "hazard": s.hazard, "by": s.by.iter().map(pointer).collect::<Vec<_>>() }));
    whole["hazards_to_look_for"] = json!({
        "are": "suggestions, not findings", "list": suggested.collect::<Vec<_>>(), "first": hazards::DEFER,
    });
    let decided = |o: &Overrule| json!({ "instead": o.instead, "reason": o.reason, "by": o.by, "date": o.date.map(|d| d.to_string()) });
    let topic = |a: &care::Advice| json!({ "topic": a.topic, "advice": a.lines, "overruled": a.overruled.as_ref().map(decided) });
    whole["care_advised"] = care::advise(file, vocabulary, today).iter().map(topic).collect();
    whole
}

fn photograph(photo: &Photograph) -> Value {
    let name = |term: &Option<TermId>| term.as_ref().map(|t| t.name().to_owned());
    let reading = photo.target.as_ref().map(|t| {
        json!({
            "id": t.id, "corners": t.corners, "reference": t.reference, "reference_sha256": t.reference_sha256,
            "results": t.results, "verdicts": target::Scheme::ALL.map(|s| s.judge(&t.results)), "correction": t.correction,
        })
    });
    let regions = photo.regions.iter().map(|r| region(photo, r));
    json!({
        "id": photo.id, "sha256": photo.sha256, "original_name": photo.original_name, "bytes": photo.bytes,
        "width": photo.width, "height": photo.height, "view": name(&photo.view), "light": name(&photo.light),
        "stage": photo.stage, "component": photo.component, "examination": photo.examination.map(|d| d.to_string()),
        "treatment": photo.treatment, "treatment_id": photo.treatment_id, "photographer": photo.photographer, "caption": photo.caption,
        "rights": rights(&photo.rights), "capture": photo.capture, "remarks": photo.remarks, "regions": regions.collect::<Vec<_>>(),
        "scale": photo.scale.as_ref().map(scale), "target": reading,
        "registered": photo.registered.iter().map(registration).collect::<Vec<_>>(),
    })
}

/// Rights of a photograph; nothing where none are recorded.
fn rights(rights: &Rights) -> Option<Value> {
    let set = || {
        json!({ "statement": rights.statement, "holder": rights.holder, "credit_line": rights.credit_line,
                "words": rights.words })
    };
    (!rights.is_blank()).then(set)
}

/// How another photograph lies over one.
pub fn registration(by: &Registration) -> Value {
    json!({
        "id": by.id, "other": by.other, "marks": by.marks, "map": by.map().ok().map(|m| m.rows()),
        "residual_px": by.residual().map(|r| json!({ "rms": r.rms, "worst": r.worst })),
    })
}

/// A region with its size: names end in the unit, `_u` is the standard uncertainty.
pub fn region(photo: &Photograph, region: &Region) -> Value {
    let mut one = Map::new();
    let mut put = |name: &str, value: Value| _ = one.insert(name.into(), value);
    put("id", region.id.clone().into());
    put("label", region.label.clone().into());
    put("shape", region.shape.to_string().into());
    put("shows", region.shows.clone().into());
    put("outlines", region.outlines.clone().into());
    put("piece", region.piece.clone().into());
    put("note", region.note.clone().into());
    let size = sized(photo, region);
    for (name, figure) in [
        ("length_px", size.px.length),
        ("area_px2", size.px.area),
        ("length_mm", size.plane.length),
        ("area_cm2", size.plane.area),
        ("angle_deg", size.plane.angle),
    ] {
        if let Some(figure) = figure {
            put(name, figure.value.into());
            put(&format!("{name}_u"), figure.u.into());
        }
    }
    let share = |(name, s): &(String, Estimate)| json!({ "component": name, "share": s.value, "share_u": s.u });
    if !size.shares.is_empty() {
        put("shares", size.shares.iter().map(share).collect());
    }
    if size.scaled && size.px.length.is_some() {
        put("holds", PLANE_ONLY.into());
    }
    Value::Object(one)
}

/// The scale of a photograph: from what, and what it says.
pub fn scale(scale: &PictureScale) -> Value {
    let said = scale.said();
    let said = said.as_ref();
    json!({
        "id": scale.id, "places": scale.places, "size": scale.size, "across_mm": scale.across_mm,
        "down_mm": scale.down_mm, "u_mm": scale.u_mm, "tolerance": scale.tolerance, "pointing_px": scale.pointing_px,
        "known": scale.further, "px_per_mm": said.map(|s| s.px_per_mm.value), "px_per_mm_u": said.map(|s| s.px_per_mm.u),
        "ppi": said.map(|s| s.ppi), "tilt_deg": said.and_then(|s| s.tilt),
        "residual_rms_mm": said.and_then(|s| s.residual).map(|r| r.rms),
        "residual_worst_mm": said.and_then(|s| s.residual).map(|r| r.worst),
        "warnings": said.map(|s| s.warnings.clone()), "holds": PLANE_ONLY,
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

/// A record; none where nothing is recorded in it.
pub(super) fn object(record: &mut dyn Record) -> Option<Value> {
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
    fn earlier(&mut self, field: Field, _: Earlier, value: &mut Option<String>) {
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
