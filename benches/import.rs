//! How long an old list of ten thousand rows takes: read and proposed and read into records; entered in one transaction; and
//! the whole of `dimity import csv LIST --enter` as one waits for it, from the start of the program to its end: opened, read,
//! told row by row, entered, the mapping and the list to work down written.

use std::fmt::Write as _;
use std::hint::black_box;
use std::process::{Command, Stdio};
use std::time::Duration;

use criterion::{BatchSize, Criterion, criterion_group, criterion_main};
use dimity::catalogue::{Catalogue, Clock, Incoming, Intent};
use dimity::dating::Conventions;
use dimity::exchange::import::mapping::Layout;
use dimity::exchange::import::{Origin, Reader, Reading, Words, open, propose};
use dimity::vocabulary::Vocabulary;
use rayon::prelude::*;

const ROWS: usize = 10_000;

fn list() -> String {
    let mut text = String::from("No;Object;Date;Material;Size;Condition;Where;Donor;Acquired;Notes\n");
    for i in 0..ROWS {
        let _ = writeln!(
            text,
            "{}.{};{};c. {};{};\"CB {} 1/4 in ({:.1} cm); waist {} cm\";{};Box {};Donor {};{}/3/1998;\"label torn\nno. {i}\"",
            1900 + i / 100,
            i % 100,
            ["spencer", "gown", "stays", "petticoat"][i % 4],
            1700 + i % 200,
            ["silk/cotton mix?", "silk, lined with linen", "wool", "60% cotton 40% linen"][i % 4],
            10 + i % 9,
            (10.25 + (i % 9) as f64) * 2.54,
            60 + i % 20,
            ["Good", "fair; moth holes", "poor"][i % 3],
            i % 300,
            i % 80,
            1 + i % 28,
        );
    }
    text
}

fn read(bytes: &[u8]) -> Vec<Incoming> {
    let table = open(bytes, &Layout::default()).expect("a list");
    let conventions = Conventions::default();
    let words = Words { vocabulary: Vocabulary::shipped(), conventions: &conventions, day_first: Some(true) };
    let mapping = propose(&table, &Layout::default(), &words);
    let headings = mapping.headings(&table);
    let origin = Origin {
        file: "list.csv",
        sha256: &"0".repeat(64),
        sheet: None,
        today: jiff::civil::date(2031, 5, 1),
        importer: "Wren Askerdale",
    };
    let reader = Reader::new(&mapping, &headings, words, origin);
    let rows: Vec<_> = table.body(&headings).collect();
    let readings: Vec<Reading> = rows.par_iter().map(|row| reader.read(row)).collect();
    readings.into_iter().map(|r| Incoming { file: r.file, source: r.source }).collect()
}

fn benches(criterion: &mut Criterion) {
    let list = list();
    criterion.bench_function("read a list of 10,000 rows", |b| b.iter(|| black_box(read(list.as_bytes()).len())));
    let incoming = read(list.as_bytes());
    let intent = Intent { author: "Wren Askerdale".into(), ..Intent::default() };
    criterion.bench_function("enter 10,000 rows", |b| {
        b.iter_batched(
            || {
                let folder = tempfile::tempdir().expect("a folder");
                let catalogue =
                    Catalogue::create(folder.path(), Clock::Fixed(jiff::Timestamp::UNIX_EPOCH)).expect("made");
                (folder, catalogue)
            },
            |(folder, mut catalogue)| {
                let done = catalogue.import(&incoming, &[], &intent, &mut || Ok(())).expect("entered");
                assert_eq!(done.pieces, ROWS);
                folder
            },
            BatchSize::PerIteration,
        );
    });
    criterion.bench_function("dimity import csv --enter, 10,000 rows, start to end", |b| {
        b.iter_batched(
            || {
                let folder = tempfile::tempdir().expect("a folder");
                Catalogue::create(&folder.path().join("collection"), Clock::System).expect("made");
                std::fs::write(folder.path().join("list.csv"), &list).expect("written");
                folder
            },
            |folder| {
                let told = std::fs::File::create(folder.path().join("told.txt")).expect("a file");
                let done = Command::new(env!("CARGO_BIN_EXE_dimity"))
                    .args(["import", "csv", "list.csv", "--enter", "--in", "collection", "--by", "Wren Askerdale"])
                    .current_dir(folder.path())
                    .stdin(Stdio::null())
                    .stdout(told)
                    .status()
                    .expect("it runs");
                assert!(done.success());
                folder
            },
            BatchSize::PerIteration,
        );
    });
}

criterion_group! {
    name = group;
    config = Criterion::default().sample_size(10).measurement_time(Duration::from_secs(20));
    targets = benches
}
criterion_main!(group);
