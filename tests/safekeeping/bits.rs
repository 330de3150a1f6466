//! Single flipped bits: every one is found and its file named, or does no harm that could be found.
//!
//! `DIMITY_FLIPS` sets how many places of a catalogue's folder are tried, and a third as many in SQLite's log; 500 before a
//! release.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use dimity::catalogue::{Catalogue, Finding};
use dimity::draft::{Draft, DraftLine, Drafts, KeptList, Lists};
use dimity::safekeeping::{Asked, check};
use rusqlite::Connection;

use super::backup::{files, kept};
use super::log::with_a_log;
use crate::support::{Tables, clock, sha256_of};

fn flips() -> u64 {
    std::env::var("DIMITY_FLIPS").ok().and_then(|n| n.parse().ok()).unwrap_or(24)
}

/// Everything that a reader of the folder can learn from it: every cell of every table, the schema, every file's bytes
/// beside the database. Of the word index it is what it says, each word with every place where it stands: some of the bytes
/// beneath (counters of its segments) say nothing of any word, and its own check, which the program runs, passes over them.
fn all_of_it(folder: &Path) -> Result<BTreeMap<String, Vec<u8>>, String> {
    let mut whole = BTreeMap::new();
    for file in files(folder).iter().filter(|f| !f.to_string_lossy().contains("catalogue.sqlite")) {
        whole.insert(file.display().to_string(), std::fs::read(file).map_err(|e| e.to_string())?);
    }
    let read = || -> rusqlite::Result<Vec<(String, Vec<u8>)>> {
        let db = Connection::open(folder.join("catalogue.sqlite"))?;
        let mut tables = Vec::new();
        let names = db
            .prepare("SELECT name FROM sqlite_master WHERE type IN ('table', 'view') ORDER BY name")?
            .query_map([], |r| r.get::<_, String>(0))?
            .collect::<Result<Vec<_>, _>>()?;
        db.execute_batch("CREATE VIRTUAL TABLE temp.stands_at USING fts5vocab(main, words, instance)")?;
        let tables_of_cells = names.iter().map(String::as_str).filter(|name| *name != "words_data");
        for name in tables_of_cells.chain(["sqlite_master", "stands_at"]) {
            let rowid = if name == "setting" { " WHERE name <> 'vocabulary'" } else { "" };
            let mut statement = db.prepare(&format!("SELECT * FROM \"{name}\"{rowid}"))?;
            let columns = statement.column_count();
            let rows = statement.query_map([], |r| {
                (0..columns).map(|i| r.get::<_, rusqlite::types::Value>(i)).collect::<Result<Vec<_>, _>>()
            })?;
            tables.push((name.to_owned(), format!("{:?}", rows.collect::<Result<Vec<_>, _>>()?).into_bytes()));
        }
        Ok(tables)
    };
    whole.extend(read().map_err(|e| e.to_string())?);
    Ok(whole)
}

/// What the program says of the folder: its findings, or the refusal to open it.
fn said(folder: &Path) -> Vec<String> {
    match Catalogue::open(folder, clock()) {
        Err(fault) => vec![fault.to_string()],
        Ok(catalogue) => match check(&catalogue, &Asked { views: true, ..Asked::default() }, &()) {
            Err(fault) => vec![fault.to_string()],
            Ok(whole) => {
                let told = whole.findings.iter().map(|Finding { what, .. }| what.clone());
                let rebuilt = (whole.rebuilt > 0).then(|| "views made again".to_owned());
                told.chain(whole.remarks).chain(rebuilt).collect()
            }
        },
    }
}

/// An examination in progress and an old list on its way in.
pub fn drafts_in(folder: &Path) {
    let line = |key: u64| DraftLine { key, text: format!("tear, back, {key} mm, slight"), ..DraftLine::default() };
    let draft = Draft { number: "2031.1".into(), lines: (0..8).map(line).collect(), ..Draft::default() };
    Drafts::at(folder).begin(draft).expect("begun");
    let bytes = b"No;Object\n2031.8;cap\n".repeat(20);
    let lists = Lists::at(folder);
    let coming = lists.coming().expect("room for it");
    std::fs::write(coming.path(), &bytes).expect("written");
    let list = KeptList { sha256: sha256_of(&bytes), name: "old.csv".into(), ..KeptList::default() };
    lists.keep(coming, list).expect("kept");
}

/// Whether what was told names this file: by its name, or by the SHA-256 that its name holds. Of the database any word will do.
fn is_named(told: &[String], file: &Path) -> bool {
    let name = file.file_name().expect("a name").to_string_lossy().into_owned();
    let stem = name.split('.').next().expect("one");
    let by_digest = stem.len() == 64 && stem.bytes().all(|b| b.is_ascii_hexdigit());
    name == "catalogue.sqlite" || told.iter().any(|line| line.contains(&name) || (by_digest && line.contains(stem)))
}

/// xorshift (Marsaglia 2003): the same places each time.
fn next(mut state: u64) -> u64 {
    state ^= state << 13;
    state ^= state >> 7;
    state ^ (state << 17)
}

/// Every file below a folder, with its bytes.
pub fn bytes_of(folder: &Path) -> Vec<(PathBuf, Vec<u8>)> {
    files(folder).into_iter().map(|f| (f.clone(), std::fs::read(&f).expect("reads"))).collect()
}

/// Makes a folder hold these files and no others.
pub fn put_back(folder: &Path, sound: &[(PathBuf, Vec<u8>)]) {
    for file in files(folder) {
        std::fs::remove_file(file).expect("removed");
    }
    for (file, bytes) in sound {
        std::fs::write(file, bytes).expect("written");
    }
}

#[test]
fn a_single_flipped_bit_is_found_or_does_no_harm() {
    let room = kept();
    Tables::open(&room.collection()).run("PRAGMA wal_checkpoint(TRUNCATE); PRAGMA journal_mode = DELETE");
    let folder = room.collection();
    // Printed reports are not watched: what must hold is sealed, and the rest can be printed again.
    std::fs::remove_dir_all(folder.join("reports")).expect("removed");
    drafts_in(&folder);
    let sound = bytes_of(&folder);
    assert_eq!(said(&folder), [""; 0], "sound to begin with");
    let put_back = || put_back(&folder, &sound);
    put_back();
    let whole = all_of_it(&folder).expect("reads");
    let (mut found, mut harmless) = (BTreeMap::<String, u32>::new(), BTreeMap::<String, u32>::new());
    let mut state = 0x9e37_79b9_7f4a_7c15_u64;
    for round in 0..flips() {
        state = next(state);
        // Two of three in the database, the rest over the other files.
        let others: Vec<_> = sound.iter().filter(|(f, b)| !f.ends_with("catalogue.sqlite") && !b.is_empty()).collect();
        let database = sound.iter().find(|(f, _)| f.ends_with("catalogue.sqlite")).expect("there");
        let (file, bytes) = if round % 3 < 2 { database } else { others[(state >> 8) as usize % others.len()] };
        let at = (state >> 20) as usize % bytes.len();
        let mut spoilt = bytes.clone();
        spoilt[at] ^= 1 << (state & 7);
        std::fs::write(file, &spoilt).expect("written");
        let name = file
            .strip_prefix(&folder)
            .expect("below")
            .components()
            .next()
            .expect("a name")
            .as_os_str()
            .to_string_lossy()
            .into_owned();
        let told = said(&folder);
        if told.is_empty() {
            // Nothing to be found must mean that nothing is other than it was.
            let now =
                all_of_it(&folder).unwrap_or_else(|e| panic!("round {round}, {name} at {at}: nothing found, yet {e}"));
            for (part, before) in &whole {
                assert!(
                    now.get(part) == Some(before),
                    "round {round}, {name} at {at}: `{part}` differs, and nothing was found"
                );
            }
            *harmless.entry(name).or_default() += 1;
        } else {
            // A smaller copy is not told but made again, to the byte.
            if name == "derived" {
                assert_eq!(all_of_it(&folder).as_ref(), Ok(&whole), "round {round}, {}: made again", file.display());
            } else {
                assert!(is_named(&told, file), "round {round}: {} is not named in {told:#?}", file.display());
            }
            *found.entry(name).or_default() += 1;
        }
        put_back();
    }
    println!("{} flips: found and named {found:?}; no harm {harmless:?}", flips());
    assert!(found.len() > 1, "flips in several kinds of files should be found: {found:?}");
}

#[test]
fn the_schema_is_held_against_that_of_the_program_to_the_letter() {
    let room = kept();
    let folder = room.collection();
    Tables::open(&folder).run("PRAGMA wal_checkpoint(TRUNCATE); PRAGMA journal_mode = DELETE");
    let sound = bytes_of(&folder);
    assert_eq!(said(&folder), [""; 0], "sound to begin with");
    // A letter's case is one bit, and SQLite passes over it. What SQLite makes by itself has no statement.
    let (name, table, sql) =
        ("name = upper(name)", "tbl_name = upper(tbl_name)", "sql = replace(sql, 'CREATE', 'create')");
    for entry in
        ["name = 'piece'", "name = 'piece_order'", "name = 'journal_stands'", "name GLOB 'sqlite_autoindex_p*'"]
    {
        for change in [name, table, sql].into_iter().filter(|change| *change != sql || !entry.contains("sqlite_")) {
            put_back(&folder, &sound);
            let altering = format!("PRAGMA writable_schema = ON; UPDATE sqlite_master SET {change} WHERE {entry}");
            Tables::open(&folder).run(&altering);
            assert_ne!(said(&folder), [""; 0], "{altering}");
        }
    }
}

#[test]
fn a_single_flipped_bit_in_the_log_is_found_or_does_no_harm() {
    let room = with_a_log();
    let folder = room.collection();
    let sound = bytes_of(&folder);
    assert_eq!(said(&folder), [""; 0], "sound to begin with");
    let whole = all_of_it(&folder).expect("reads");
    let rounds = flips() / 3;
    let (mut found, mut harmless, mut state) = (0, 0, 0x6a09_e667_f3bc_c908_u64);
    for round in 0..rounds {
        put_back(&folder, &sound);
        state = next(state);
        // In turns the log and the note of what was acknowledged last.
        let ending = if round % 4 == 3 { "sqlite-last" } else { "sqlite-wal" };
        let (file, bytes) = sound.iter().find(|(f, _)| f.to_string_lossy().ends_with(ending)).expect("there");
        let (at, mut spoilt) = ((state >> 20) as usize % bytes.len(), bytes.clone());
        spoilt[at] ^= 1 << (state & 7);
        std::fs::write(file, spoilt).expect("written");
        let told = said(&folder);
        if told.is_empty() {
            let now = all_of_it(&folder)
                .unwrap_or_else(|e| panic!("round {round}, {ending} at {at}: nothing found, yet {e}"));
            let differ: Vec<_> =
                whole.iter().filter(|(part, before)| now.get(*part) != Some(before)).map(|(p, _)| p).collect();
            assert!(differ.is_empty(), "round {round}, {ending} at {at}: {differ:?} differ, and nothing was found");
            harmless += 1;
        } else {
            assert!(told.iter().any(|line| line.contains("was acknowledged")), "round {round}, at {at}: {told:#?}");
            found += 1;
        }
    }
    println!("{rounds} flips in the log and its note: {found} found, {harmless} did no harm");
    assert!(found > 0 && harmless > 0, "some should matter and some not: {found} found, {harmless} harmless");
}
