//! A piece read back from its JSON, so that a record kept with a sealed report can be laid beside a later one. What the
//! JSON lacks stays blank; what it has more is passed over, so that records of older and newer programs are read.

use jiff::civil::Date;
use serde_json::{Map, Value};

use super::json::object;
use crate::dating::Dated;
use crate::measure::{Bound, Kind, Quantity};
use crate::record::form::{Earlier, Field, Form, Record, Rows};
use crate::record::photograph::{Photograph, Region, Shape};
use crate::record::rights::Rights;
use crate::record::{Examination, PieceFile};
use crate::vocabulary::{Scheme, TermId};

/// The piece that [`of_piece`](super::json::of_piece) wrote; of its photographs what identifies and describes them, and
/// what is drawn on them.
pub fn piece(whole: &Value) -> PieceFile {
    let blank = Map::new();
    let object = |value: &Value| value.as_object().cloned().unwrap_or_default();
    let list = |name: &str| whole.get(name).and_then(Value::as_array).cloned().unwrap_or_default();
    let mut file = PieceFile::default();
    file.sections(None, &mut FromJson(whole.as_object().unwrap_or(&blank)));
    for exam in list("examinations") {
        let mut one = Examination::default();
        one.sections(&mut FromJson(&object(&exam)));
        file.examinations.push(one);
    }
    file.photographs = list("photographs").iter().map(|p| photograph(p, file.number())).collect();
    file
}

fn photograph(value: &Value, number: &str) -> Photograph {
    let get = |name: &str| value.get(name);
    let text = |name: &str| get(name).and_then(Value::as_str).map(String::from);
    let size = |name: &str| get(name).and_then(Value::as_u64).unwrap_or_default();
    let term = |name: &str, scheme| text(name).map(|t| TermId::new(scheme, &t));
    let regions = get("regions").and_then(Value::as_array).map(|r| r.iter().map(region).collect());
    Photograph {
        id: text("id").unwrap_or_default(),
        sha256: text("sha256").unwrap_or_default(),
        original_name: text("original_name").unwrap_or_default(),
        bytes: size("bytes"),
        width: size("width").try_into().unwrap_or_default(),
        height: size("height").try_into().unwrap_or_default(),
        capture: get("capture").and_then(|c| serde_json::from_value(c.clone()).ok()).unwrap_or_default(),
        remarks: get("remarks").and_then(|r| serde_json::from_value(r.clone()).ok()).unwrap_or_default(),
        number: number.to_owned(),
        component: text("component"),
        examination: text("examination").and_then(|d| d.parse().ok()),
        treatment: text("treatment"),
        view: term("view", Scheme::View),
        light: term("light", Scheme::Light),
        stage: text("stage"),
        photographer: text("photographer"),
        caption: text("caption"),
        rights: get("rights").map(rights).unwrap_or_default(),
        regions: regions.unwrap_or_default(),
        ..Photograph::default()
    }
}

fn rights(value: &Value) -> Rights {
    let text = |name: &str| value.get(name).and_then(Value::as_str).map(String::from);
    Rights {
        statement: text("statement").as_deref().and_then(TermId::parse),
        holder: text("holder"),
        credit_line: text("credit_line"),
        words: text("words"),
    }
}

fn region(value: &Value) -> Region {
    let text = |name: &str| value.get(name).and_then(Value::as_str).map(String::from);
    Region {
        id: text("id").unwrap_or_default(),
        label: text("label").unwrap_or_default(),
        shape: text("shape").and_then(|s| Shape::parse(&s).ok()).unwrap_or_default(),
        shows: text("shows"),
        outlines: text("outlines"),
        piece: text("piece"),
        note: text("note"),
    }
}

/// Fills a record from an object.
struct FromJson<'a>(&'a Map<String, Value>);

impl FromJson<'_> {
    fn string(&self, name: &str) -> Option<String> {
        self.0.get(name).and_then(Value::as_str).map(String::from)
    }
    fn list(&self, name: &str) -> &[Value] {
        self.0.get(name).and_then(Value::as_array).map(Vec::as_slice).unwrap_or_default()
    }
}

/// Value and uncertainty as they stand, whatever this program would make of the words.
fn quantity(kind: Kind, value: &Value) -> Option<Quantity> {
    let as_written = value.get("as_written")?.as_str()?.to_owned();
    let (figure, u) = (value.get("value")?.as_f64()?, value.get("u")?.as_f64()?);
    Some(match Quantity::parse(kind, &as_written) {
        Ok(parsed) => Quantity { value: figure, u, ..parsed },
        Err(_) => Quantity { as_written, kind, value: figure, u, bound: Bound::default() },
    })
}

impl Form for FromJson<'_> {
    fn text(&mut self, field: Field, value: &mut Option<String>) {
        *value = self.string(field.name);
    }
    fn texts(&mut self, field: Field, value: &mut Vec<String>) {
        *value = self.list(field.name).iter().filter_map(Value::as_str).map(String::from).collect();
    }
    fn integer(&mut self, field: Field, value: &mut Option<i64>) {
        *value = self.0.get(field.name).and_then(Value::as_i64);
    }
    fn number(&mut self, field: Field, value: &mut Option<f64>) {
        *value = self.0.get(field.name).and_then(Value::as_f64);
    }
    fn day(&mut self, field: Field, value: &mut Option<Date>) {
        *value = self.string(field.name).and_then(|t| t.parse().ok());
    }
    fn dated(&mut self, field: Field, value: &mut Option<Dated>) {
        let Some(found) = self.0.get(field.name) else { return };
        let text = |name: &str| found.get(name).and_then(Value::as_str).map(String::from);
        let year = |name: &str| found.get(name).and_then(Value::as_i64).and_then(|y| y.try_into().ok());
        *value = text("as_written").map(|as_written| Dated {
            as_written,
            earliest: year("earliest"),
            latest: year("latest"),
            edtf: text("edtf"),
            remark: text("convention"),
        });
    }
    fn term(&mut self, field: Field, _: Scheme, value: &mut Option<TermId>) {
        *value = self.string(field.name).as_deref().and_then(TermId::parse);
    }
    fn terms(&mut self, field: Field, _: Scheme, value: &mut Vec<TermId>) {
        *value = self.list(field.name).iter().filter_map(Value::as_str).filter_map(TermId::parse).collect();
    }
    fn choice(&mut self, field: Field, _: &'static [&'static str], value: &mut Option<String>) {
        *value = self.string(field.name);
    }
    fn quantity(&mut self, field: Field, kind: Kind, value: &mut Option<Quantity>) {
        *value = self.0.get(field.name).and_then(|q| quantity(kind, q));
    }
    fn quantities(&mut self, field: Field, kind: Kind, value: &mut Vec<Quantity>) {
        *value = self.list(field.name).iter().filter_map(|q| quantity(kind, q)).collect();
    }
    fn component(&mut self, field: Field, value: &mut Option<String>) {
        *value = self.string(field.name);
    }
    fn person(&mut self, field: Field, value: &mut Option<String>) {
        *value = self.string(field.name);
    }
    fn piece(&mut self, field: Field, value: &mut Option<String>) {
        *value = self.string(field.name);
    }
    fn earlier(&mut self, field: Field, _of: Earlier, value: &mut Option<String>) {
        *value = self.string(field.name);
    }
    fn id(&mut self, value: &mut Option<String>) {
        *value = self.string("id");
    }
    fn row(&mut self, field: Field, row: &mut dyn Record) {
        if let Some(inner) = self.0.get(field.name).and_then(Value::as_object) {
            row.fields(&mut FromJson(inner));
        }
    }
    fn rows(&mut self, field: Field, rows: &mut dyn Rows) {
        for inner in self.list(field.name).iter().filter_map(Value::as_object) {
            let record = rows.add();
            record.fields(&mut FromJson(inner));
            // A line that says nothing is none.
            if object(record).is_none() {
                rows.drop_last();
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_that_say_nothing_are_none() {
        let read = piece(&serde_json::json!({ "person": [{}, { "person": "Wren Askerdale" }, { "note": null }] }));
        assert_eq!(read.people.len(), 1, "{:?}", read.people);
    }

    #[test]
    fn anything_else_is_a_blank_piece() {
        for value in [Value::Null, serde_json::json!([1]), serde_json::json!({ "piece": 5, "examinations": "x" })] {
            assert_eq!(piece(&value), PieceFile::default(), "{value}");
        }
    }
}
