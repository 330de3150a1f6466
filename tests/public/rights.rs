//! The statement of rights on a piece and the licence on a photograph go along in every format, each where a reader of that
//! format looks for it.

use std::collections::BTreeMap;
use std::fs::File;
use std::path::Path;

use parquet::file::reader::{FileReader as _, SerializedFileReader};
use serde_json::Value;

use crate::{export, room, text_of};

/// Of rightsstatements.org 1.0, on the piece.
const STATEMENT: &str = "http://rightsstatements.org/vocab/NoC-OKLR/1.0/";
/// On the photograph: the address of Creative Commons, and the identifier of the SPDX licence list.
const LICENCE: &str = "http://creativecommons.org/licenses/by/4.0/";
const SPDX: &str = "CC-BY-4.0";

/// The first part of a file between two texts that also holds a third.
fn part(file: &Path, from: &str, to: &str, with: &str) -> String {
    let text = text_of(file);
    let mut parts = text.split(from).skip(1).map(|rest| rest.split(to).next().unwrap_or_default());
    parts.find(|part| part.contains(with)).unwrap_or_else(|| panic!("no `{from}` in {}", file.display())).to_owned()
}

fn at(file: &Path, pointer: &str) -> String {
    let whole: Value = serde_json::from_str(&text_of(file)).expect("JSON");
    whole.pointer(pointer).unwrap_or_else(|| panic!("no `{pointer}` in {}", file.display())).to_string()
}

type Rows = Vec<BTreeMap<String, String>>;

fn json_rows(document: &Path, table: &str) -> Rows {
    let whole: Value = serde_json::from_str(&text_of(document)).expect("JSON");
    let text = |v: &Value| v.as_str().map_or_else(|| v.to_string(), String::from);
    let row = |row: &Value| row.as_object().expect("a row").iter().map(|(name, v)| (name.clone(), text(v))).collect();
    whole["tables"][table].as_array().expect("a table").iter().map(row).collect()
}

fn csv_rows(folder: &Path, table: &str) -> Rows {
    let mut reader = csv::Reader::from_path(folder.join(format!("{table}.csv"))).expect("a table");
    reader.deserialize().map(|row| row.expect("a row")).collect()
}

fn parquet_rows(folder: &Path, table: &str) -> Rows {
    let file = File::open(folder.join(table).join("collection=Askerdale/part-0.parquet")).expect("a table");
    let reader = SerializedFileReader::new(file).expect("Parquet");
    let text = |field: &parquet::record::Field| match field {
        parquet::record::Field::Str(text) => text.clone(),
        other => other.to_string(),
    };
    let rows = reader.get_row_iter(None).expect("rows").map(|row| row.expect("a row"));
    rows.map(|row| row.get_column_iter().map(|(name, field)| (name.clone(), text(field))).collect()).collect()
}

/// What the rows of a table state, looked up in the table of terms: identifiers and addresses.
fn stated(rows: &dyn Fn(&str) -> Rows, table: &str) -> String {
    let terms = rows("term");
    let of = |row: &BTreeMap<String, String>| {
        let term = terms.iter().find(|term| Some(&term["id"]) == row.get("rights_statement"))?;
        Some(format!("{} {}", term["identifier"], term["uri"]))
    };
    rows(table).iter().filter_map(of).collect::<Vec<_>>().join("\n")
}

#[test]
fn a_statement_of_rights_and_a_licence_go_along_in_every_format() {
    let room = room();
    let base = ["--base", "https://example.org/c"];
    let out = |format: &str, more: &[&str]| export(&room, format, &format!("out/{format}"), more).0;
    let (lido, art, dc) = (out("lido", &base), out("linked-art", &base), out("dublin-core", &base));
    let (iiif, site, json) = (out("iiif", &base), out("site", &[]), out("json", &[]));
    let (csv, parquet) = (out("csv", &[]), out("parquet", &["--collection", "Askerdale"]));
    let bag = out("bag", &["2031.1"]);
    let (lido, dc) = (lido.join("lido.xml"), dc.join("dublin-core.rdf"));
    let (object, work) = (art.join("objects/2031.1.json"), art.join("works/2031.1.json"));
    let (manifest, page) = (iiif.join("pieces/2031.1/manifest.json"), site.join("pieces/2031.1.html"));
    let printed = bag.join("data/2031.1/catalogue.html");
    let in_json = |table: &str| json_rows(&json.join("catalogue.json"), table);
    let in_bag = |table: &str| json_rows(&bag.join("data/catalogue.json"), table);
    let in_csv = |table: &str| csv_rows(&csv, table);
    let in_parquet = |table: &str| parquet_rows(&parquet, table);
    let both: &[&str] = &[SPDX, LICENCE];
    let linked = [format!("rdf:resource=\"{STATEMENT}\""), format!("rdf:resource=\"{LICENCE}\"")];
    let href = [format!("<a rel=\"license\" href=\"{STATEMENT}\">"), format!("<a rel=\"license\" href=\"{LICENCE}\">")];
    let right = "/digitally_shown_by/0/subject_to/0/classified_as/0";
    for (place, found, wanted) in [
        ("LIDO, piece", part(&lido, "<lido:rightsWorkWrap>", "</lido:rightsWorkWrap>", ""), &[STATEMENT][..]),
        ("LIDO, photograph", part(&lido, "<lido:rightsResource>", "</lido:rightsResource>", ""), both),
        ("Linked Art, piece", at(&work, "/subject_to/0/classified_as/0/id"), &[STATEMENT]),
        ("Linked Art, photograph", at(&object, &format!("/representation/0{right}")), both),
        ("Dublin Core, piece", part(&dc, "<rdf:Description", "</rdf:Description>", ">2031.1<"), &[&linked[0]]),
        (
            "Dublin Core, photograph",
            part(&dc, "<rdf:Description", "</rdf:Description>", ">front<"),
            &[SPDX, &linked[1]],
        ),
        ("IIIF, piece", at(&manifest, "/rights"), &[STATEMENT]),
        ("IIIF, photograph", at(&manifest, "/items/0/rights"), &[LICENCE]),
        ("IIIF, words of the photograph", at(&manifest, "/items/0/metadata"), both),
        ("site, piece", part(&page, "<h2>Credit and rights</h2>", "</section>", ""), &[&href[0]]),
        ("site, photograph", part(&page, "<h2>Credit and rights</h2>", "</section>", ""), &[SPDX, &href[1]]),
        ("site, caption", part(&page, "<figcaption", "</figcaption>", "front"), &[SPDX]),
        ("BagIt, printed", text_of(&printed), &[STATEMENT, SPDX]),
        ("BagIt, piece", stated(&in_bag, "piece"), &[STATEMENT]),
        ("BagIt, photograph", stated(&in_bag, "photograph"), both),
        ("JSON, piece", stated(&in_json, "piece"), &[STATEMENT]),
        ("JSON, photograph", stated(&in_json, "photograph"), both),
        ("CSV, piece", stated(&in_csv, "piece"), &[STATEMENT]),
        ("CSV, photograph", stated(&in_csv, "photograph"), both),
        ("Parquet, piece", stated(&in_parquet, "piece"), &[STATEMENT]),
        ("Parquet, photograph", stated(&in_parquet, "photograph"), both),
    ] {
        for words in wanted {
            assert!(found.contains(words), "{place}: no `{words}` in\n{found}");
        }
        assert!(
            !wanted.contains(&STATEMENT) || !found.contains(LICENCE) || place.contains("printed"),
            "{place}: {found}"
        );
    }
}
