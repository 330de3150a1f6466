//! Many generated collections, exported into one pool and asked as one.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use dimity::analysis::comparison::Features;
use dimity::analysis::corpus::{Asked, corpus};
use dimity::catalogue::Catalogue;
use dimity::record::PieceFile;
use serde_json::Value;

use crate::support::{Room, Tables, clock};

/// How many collections there are.
const COLLECTIONS: usize = 20;

/// Pieces in each, unless `DIMITY_POOL` says another number; 10,000 before a release.
const PIECES: usize = 150;

/// A collection of generated pieces: each dated to a year, with one cloth of one fibre and one hem. Written into the tables
/// directly, since what is tried here begins with what stands in them.
fn generated(folder: &Path, collection: usize, pieces: usize) {
    drop(Catalogue::create(folder, clock()).expect("a new catalogue"));
    let sql = Tables::open(folder);
    let piece = format!("WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < {pieces})");
    let c = collection;
    // Any step that shares no factor with the modulus visits every year, fibre and density.
    sql.run(&format!(
        "BEGIN;
         INSERT INTO collection (id, name) VALUES (1, 'Collection {c}');
         INSERT INTO person (id, uid, name) VALUES (1, printf('%036d', 1), 'Wren Askerdale');
         {piece} INSERT INTO piece (id, uid, number, number_order, nature, object_name, date, date_earliest, date_latest)
           SELECT i, printf('%036d', i), '{c}.' || i, printf('%06d', i), 'nature/extant', 'gown', year, year, year
             FROM (SELECT i, 1740 + (i * 37 + {c} * 11) % 120 AS year FROM n);
         {piece} INSERT INTO examination (id, uid, piece_id, date, examiner_id)
           SELECT i, printf('%036d', i), i, '2031-03-02', 1 FROM n;
         {piece} INSERT INTO observation (id, uid, examination_id, kind, position, evidence, certainty)
           SELECT 2 * i - 1, printf('%036d', 2 * i - 1), i, 'textile', 1, 'evidence/seen', 'certainty/certain' FROM n
           UNION ALL SELECT 2 * i, printf('%036d', 2 * i), i, 'stitching', 1, 'evidence/measured', 'certainty/certain' FROM n;
         {piece} INSERT INTO textile (id, role) SELECT 2 * i - 1, 'textile_role/shell' FROM n;
         {piece} INSERT INTO textile_fibres (id, owner_id, position, fibre)
           SELECT i, 2 * i - 1, 1, CASE (i * 7 + {c}) % 4 WHEN 0 THEN 'fibre/linen' WHEN 1 THEN 'fibre/cotton'
             WHEN 2 THEN 'fibre/wool' ELSE 'fibre/cultivated silk' END FROM n;
         {piece} INSERT INTO stitching (id, purpose, made, per_cm, u_per_cm)
           SELECT 2 * i, 'purpose/hem', 'hand', 2 + (i * 31 + {c} * 17) % 97 / 10.0, 0.1 FROM n WHERE i % 10 > 0;
         {piece} INSERT INTO stitching (id, purpose) SELECT 2 * i, 'purpose/hem' FROM n WHERE i % 10 = 0;
         INSERT INTO reading (owner_id, field, position, as_written, value, u, unit)
           SELECT id, 'density', 1, printf('%.1f per cm', per_cm), per_cm, u_per_cm, 'per_cm' FROM stitching
            WHERE per_cm IS NOT NULL;
         COMMIT;"
    ));
}

#[test]
fn many_collections_answer_as_one_and_as_the_program_itself_does() {
    let pieces = std::env::var("DIMITY_POOL").ok().and_then(|n| n.parse().ok()).unwrap_or(PIECES);
    let room = Room::bare();
    let pool = room.path().join("pool");
    std::fs::create_dir(&pool).expect("made");
    let folders: Vec<PathBuf> = (0..COLLECTIONS).map(|c| room.path().join(format!("c{c}"))).collect();
    let began = std::time::Instant::now();
    for (c, folder) in folders.iter().enumerate() {
        generated(folder, c, pieces);
        let (from, to) = (folder.to_str().expect("plain"), pool.join(format!("{c}")));
        let said = room.run(&["--in", from, "export", "parquet", "--out", to.to_str().expect("plain")]).done();
        assert!(said.contains(&format!("of {pieces} pieces in")), "{said}");
    }
    let exported = began.elapsed().as_secs_f64();
    let Some(said) = crate::check("density", &[&pool]) else { return };
    let answer: Value = serde_json::from_str(&said).expect("JSON");
    assert_eq!((&answer["collections"], &answer["pieces"]), (&COLLECTIONS.into(), &(COLLECTIONS * pieces).into()));
    println!(
        "{COLLECTIONS} collections of {pieces} pieces made and exported in {exported:.1} s; asked by DuckDB in {:.2} s, \
         {:.1} MB",
        answer["seconds"].as_f64().unwrap_or_default(),
        answer["bytes"].as_f64().unwrap_or_default() / 1e6
    );
    let rows = answer["rows"].as_array().expect("rows");
    assert_eq!(rows.len(), 12 * 4, "twelve decades of four fibres: {rows:?}");
    let catalogues: Vec<Catalogue> =
        folders.iter().map(|folder| Catalogue::open(folder, clock()).expect("opens")).collect();
    let mut counted = counted(pieces);
    for row in rows {
        let (decade, fibre) = (row[0].as_i64().expect("a decade"), row[1].as_str().expect("a fibre"));
        let densities = counted.remove(&(decade, fibre.to_owned())).expect("a cell that was made");
        assert_eq!(row[2], densities.len(), "{decade} {fibre}: pieces");
        for (i, wanted) in quartiles(&densities).into_iter().enumerate() {
            let found = row[3][i].as_f64().expect("a number");
            assert!((found - wanted).abs() < 1e-9, "{decade} {fibre}: quartile {i} is {wanted}, not {found}");
        }
        agrees(&catalogues, decade, fibre, row);
    }
    assert!(counted.is_empty(), "cells that nobody told of: {:?}", counted.keys());
}

/// The densities of every decade and fibre, in order, counted from the rule by which the pieces are made.
fn counted(pieces: usize) -> BTreeMap<(i64, String), Vec<f64>> {
    let mut cells: BTreeMap<(i64, String), Vec<f64>> = BTreeMap::new();
    for (c, i) in (0..COLLECTIONS).flat_map(|c| (1..=pieces).map(move |i| (c, i))).filter(|(_, i)| i % 10 > 0) {
        let decade = (1740 + (i * 37 + c * 11) % 120) / 10 * 10;
        let fibre = ["linen", "cotton", "wool", "cultivated silk"][(i * 7 + c) % 4];
        let density = 2.0 + ((i * 31 + c * 17) % 97) as f64 / 10.0;
        cells.entry((decade as i64, fibre.into())).or_default().push(density);
    }
    cells.values_mut().for_each(|cell| cell.sort_by(f64::total_cmp));
    cells
}

/// Least, quartiles and most of numbers in order, by linear interpolation (type 7 of Hyndman and Fan 1996, as `quantile_cont`).
fn quartiles(sorted: &[f64]) -> [f64; 5] {
    [0.0, 0.25, 0.5, 0.75, 1.0].map(|share| {
        let at = share * (sorted.len() - 1) as f64;
        let (below, above) = (sorted[at.floor() as usize], sorted[at.ceil() as usize]);
        below + (above - below) * at.fract()
    })
}

/// Whether what DuckDB says of a decade and a fibre is what the program says of the same pieces.
fn agrees(catalogues: &[Catalogue], decade: i64, fibre: &str, row: &Value) {
    let words = format!("fibre:\"{fibre}\" date:{decade}..{}", decade + 9);
    // The tables were filled behind the program's back, and nothing is indexed: which pieces are meant is asked of them.
    let sql = format!(
        "SELECT number FROM piece p JOIN textile_fibres f ON f.id = p.id WHERE f.fibre = 'fibre/{fibre}'
            AND p.date_earliest BETWEEN {decade} AND {} ORDER BY p.id",
        decade + 9
    );
    let mut set: Vec<PieceFile> = Vec::new();
    for catalogue in catalogues {
        let numbers = Tables::open(catalogue.folder()).all(&sql);
        set.extend(numbers.iter().map(|number| catalogue.piece(number).expect("it is there")));
    }
    let catalogue = &catalogues[0];
    let years = catalogue.query(&words).expect("a search").years();
    let found = corpus(
        &Features::all(&set, catalogue.vocabulary()),
        Asked { subject: None, years, feature: "stitch density", any_component: true },
        catalogue.vocabulary(),
    );
    let [spread] = &found.features[..] else { panic!("one feature: {:?}", found.features) };
    let summary = spread.summary.expect("enough pieces");
    // The program's own unit, per centimetre or per inch.
    let scale = if spread.unit.contains("in") { 2.54 } else { 1.0 };
    assert_eq!(row[2], spread.recorded, "{decade} {fibre}: pieces");
    // The quartiles are of two kinds (type 7 there, type 8 here); least, median and most are the same in all.
    for (i, ours) in [(0, summary.least), (2, summary.median), (4, summary.most)] {
        let theirs = row[3][i].as_f64().expect("a number") * scale;
        assert!((theirs - ours).abs() < 1e-9, "{decade} {fibre}: {theirs} there, {ours} here, of {row}");
    }
}
