//! What chosen pieces tell of pieces that were not chosen stays here: their numbers, and what is drawn of them on photographs
//! that show both. Which whole rows stay is settled by the tables' links (`catalogue::Chosen`); this is for what rows and
//! pages say in words.

use std::collections::HashSet;

use serde_json::{Map, Value};

use crate::catalogue::Row;
use crate::record::PieceFile;
use crate::record::making::MadeAfter;

/// What stands for a model that is not named.
const UNNAMED: &str = "a piece that is not handed on with it";

/// Takes out of a piece, before its pages are printed, what it tells of pieces that were not chosen.
pub fn hide(file: &mut PieceFile, chosen: &[String]) {
    for photo in &mut file.photographs {
        photo.regions.retain(|region| region.piece.as_ref().is_none_or(|piece| chosen.contains(piece)));
    }
    for after in &mut file.made_after {
        unnamed(&mut after.model, &mut after.source, chosen);
    }
}

/// Takes out of a row that is handed on what it tells in words of pieces that were not chosen: those words; none where there
/// is nothing to take out.
pub fn take_out(table: &str, row: &mut Row, chosen: &[String]) -> Option<Vec<String>> {
    match table {
        "made_after" => unnamed_in(row, chosen),
        // The whole record of the piece, as it stood when the report was sealed.
        "seal" => {
            let mut record = serde_json::from_str(row.get("record")?.as_str()?).ok()?;
            let words = out_of_record(&mut record, chosen)?;
            row.insert("record".into(), record.to_string().into());
            Some(words)
        }
        _ => None,
    }
}

/// Whether a printed page holds one of these words.
pub fn stands_in(page: &[u8], words: &[String]) -> bool {
    let page = String::from_utf8_lossy(page);
    // The parts between signs that a page escapes are looked for one by one: rather found too often than too seldom.
    let holds = |word: &String| word.split(['&', '<', '>', '"', '\'']).all(|part| alone_in(&page, part.trim()));
    words.iter().any(holds)
}

/// Whether a word stands in a text, and is not the middle of a longer one.
fn alone_in(text: &str, word: &str) -> bool {
    let joins = |c: Option<char>| c.is_some_and(char::is_alphanumeric);
    let apart = |at| !joins(text[..at].chars().next_back()) && !joins(text[at + word.len()..].chars().next());
    word.is_empty() || text.match_indices(word).any(|(at, _)| apart(at))
}

fn out_of_record(record: &mut Value, chosen: &[String]) -> Option<Vec<String>> {
    let ours = Ours::of(record, chosen);
    let (mut found, mut words) = (false, Vec::new());
    for after in rows(record, "made_after").filter_map(Value::as_object_mut) {
        if let Some(names) = unnamed_in(after, chosen) {
            found = true;
            words.extend(names);
        }
    }
    for photo in rows(record, "photographs") {
        let mut outlined = HashSet::new();
        let Some(regions) = list(photo, "regions") else { continue };
        for region in regions.extract_if(.., |region| !ours.drew(region)) {
            found = true;
            let said = |name: &str| text(&region, name).map(String::from);
            outlined.extend(said("outlines").filter(|name| !ours.components.contains(name)));
            words.extend(["outlines", "note"].into_iter().filter_map(said));
        }
        // How much of a component an outline covers stands with the outline.
        let of_others = |share: &Value| text(share, "component").is_some_and(|name| outlined.contains(name));
        for shares in regions.iter_mut().filter_map(|region| list(region, "shares")) {
            shares.retain(|share| !of_others(share));
        }
    }
    found.then_some(words)
}

/// Takes away the number of a model that was not chosen, and the words that stand for one that was purged; gives both.
fn unnamed(model: &mut Option<String>, source: &mut Option<String>, chosen: &[String]) -> Vec<String> {
    let stranger = model.take_if(|model| !chosen.contains(model));
    let purged = source.take_if(|source| MadeAfter::names_purged(source));
    if (stranger.is_some() || purged.is_some()) && source.is_none() {
        *source = Some(UNNAMED.into());
    }
    stranger.into_iter().chain(purged).collect()
}

/// The same in a row; none where nothing is to be taken away.
fn unnamed_in(row: &mut Map<String, Value>, chosen: &[String]) -> Option<Vec<String>> {
    let said = |name: &str| row.get(name).and_then(Value::as_str).map(String::from);
    let (mut model, mut source) = (said("model"), said("source"));
    let words = unnamed(&mut model, &mut source, chosen);
    if words.is_empty() {
        return None;
    }
    if model.is_none() {
        row.shift_remove("model");
    }
    row.extend(source.map(|source| ("source".to_owned(), source.into())));
    Some(words)
}

/// What a record itself has.
struct Ours<'a> {
    components: HashSet<String>,
    ids: HashSet<String>,
    chosen: &'a [String],
}

impl<'a> Ours<'a> {
    fn of(record: &mut Value, chosen: &'a [String]) -> Self {
        let name = |component: &mut Value| text(component, "name").map(String::from);
        let components = rows(record, "component").filter_map(name).collect();
        let mut ids = HashSet::new();
        gather(record, &mut ids);
        Self { components, ids, chosen }
    }

    /// Whether a region is of a chosen piece, or of none. Records sealed by earlier programs do not say whose a region is.
    fn drew(&self, region: &Value) -> bool {
        match text(region, "piece") {
            Some(piece) => self.chosen.iter().any(|number| number == piece),
            None => {
                text(region, "outlines").is_none_or(|name| self.components.contains(name))
                    && text(region, "shows").is_none_or(|id| self.ids.contains(id))
            }
        }
    }
}

/// Every identifier in a record.
fn gather(value: &Value, ids: &mut HashSet<String>) {
    match value {
        Value::Object(fields) => {
            ids.extend(text(value, "id").map(String::from));
            fields.values().for_each(|inner| gather(inner, ids));
        }
        Value::Array(list) => list.iter().for_each(|inner| gather(inner, ids)),
        _ => {}
    }
}

fn text<'a>(value: &'a Value, name: &str) -> Option<&'a str> {
    value.get(name).and_then(Value::as_str)
}

fn list<'a>(value: &'a mut Value, name: &str) -> Option<&'a mut Vec<Value>> {
    value.get_mut(name).and_then(Value::as_array_mut)
}

fn rows<'a>(value: &'a mut Value, name: &str) -> impl Iterator<Item = &'a mut Value> {
    list(value, name).into_iter().flatten()
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::*;

    fn chosen() -> Vec<String> {
        vec!["2031.1".into()]
    }

    /// What a sealed record told of another piece is taken out of it word by word; what it tells of its own stays.
    #[test]
    fn a_sealed_record_keeps_what_is_its_own() {
        let regions = json!([
            { "id": "r1", "outlines": "secret pocket", "piece": "2031.2", "note": "Hester's" },
            { "id": "r2", "outlines": "back", "piece": "2031.1", "shares": [{ "component": "secret pocket" }, { "component": "back" }] },
            // As earlier programs sealed them.
            { "id": "r3", "outlines": "fob" },
            { "id": "r4", "outlines": "back" },
            { "id": "r5", "shows": "elsewhere" },
            { "id": "r6", "shows": "o1" },
            { "id": "r7", "note": "a pin" },
        ]);
        let record = json!({
            "component": [{ "id": "c1", "name": "back" }],
            "made_after": [{ "model": "2031.2" }, { "model": "2031.1" }, { "source": "2031.9, purged from this catalogue" }],
            "examinations": [{ "sign": [{ "id": "o1" }] }],
            "photographs": [{ "regions": regions }],
        });
        let mut row = Row::from_iter([("record".to_owned(), record.to_string().into())]);
        let words = take_out("seal", &mut row, &chosen()).expect("others are named");
        assert_eq!(words, ["2031.2", "2031.9, purged from this catalogue", "secret pocket", "Hester's", "fob"]);
        let after: Value = serde_json::from_str(row["record"].as_str().expect("a text")).expect("JSON");
        let drawn = after["photographs"][0]["regions"].as_array().expect("regions");
        let ids: Vec<_> = drawn.iter().map(|region| region["id"].as_str().expect("an id")).collect();
        assert_eq!(ids, ["r2", "r4", "r6", "r7"]);
        assert_eq!(drawn[0]["shares"], json!([{ "component": "back" }]));
        let after = &after["made_after"];
        assert_eq!(after, &json!([{ "source": UNNAMED }, { "model": "2031.1" }, { "source": UNNAMED }]));

        let before = row.clone();
        assert_eq!(take_out("seal", &mut row, &chosen()), None, "nothing is left to take out");
        assert_eq!(row, before, "and then not a byte is other");
    }

    #[test]
    fn words_are_found_in_a_page_however_it_escapes_them() {
        let page = "<p>Made after 2031.12; outline of Hester&#x27;s pocket &amp; flap</p>".as_bytes();
        for (word, there) in [
            ("2031.12", true),
            ("2031.1", false),
            ("Hester's pocket & flap", true),
            ("pocket & fob", false),
            ("ester", false),
        ] {
            assert_eq!(stands_in(page, &[word.to_owned()]), there, "{word}");
        }
        assert!(!stands_in(page, &[]));
    }
}
