//! The catalogue as it is handed on: all of it or chosen pieces, positions in it or not, and what is said to be left out.

use std::collections::{HashMap, HashSet};
use std::path::PathBuf;

use rayon::prelude::*;
use serde_json::Value;

use super::out::{About, Absent, HeldBack, Source, Why, others, positions};
use crate::catalogue::{Catalogue, Chosen, Fault, Row, SCHEMA_VERSION, Table, tables};
use crate::digest::sha256;
use crate::photograph::Store;
use crate::safekeeping::Watch;
use crate::sealed::Pages;
use crate::words::count;

/// A catalogue's rows on their way out, and what of its files may go with them. What is held back is settled once, at the
/// beginning, so that every page and list says the same.
pub struct Handed<'c> {
    catalogue: &'c Catalogue,
    chosen: Chosen,
    of: Option<Vec<String>>,
    with_gps: bool,
    held_back: HeldBack,
    /// The files of it, by SHA-256.
    kept: HashMap<String, Why>,
    /// How many sealed records go without what they tell of pieces that were not chosen.
    veiled: usize,
}

/// What is wanted of a catalogue.
#[derive(Clone, Copy)]
pub struct Wanted<'a> {
    /// The numbers of these pieces; none for all there is.
    pub pieces: Option<&'a [String]>,
    /// Whether GPS positions stay in.
    pub with_gps: bool,
    /// Whether the files go out as well: each is read then and looked at.
    pub files: Option<&'a dyn Watch>,
}

/// A file that may go out.
struct File {
    table: &'static str,
    sha256: String,
    place: PathBuf,
    /// What stands in it, if it stands, of pieces that were not chosen.
    others: Vec<String>,
}

impl<'c> Handed<'c> {
    /// Of these pieces, or of all there is.
    ///
    /// # Errors
    /// If there is no such piece, if the database refuses, or if whoever watches wants no more.
    pub fn of(catalogue: &'c Catalogue, wanted: Wanted<'_>) -> Result<Self, Fault> {
        let chosen = wanted.pieces.map_or(Ok(Chosen::all()), |numbers| catalogue.choose(numbers))?;
        let (store, pages) = (Store::at(catalogue.folder()), Pages::at(catalogue.folder()));
        let (mut held_back, mut files, mut veiled) = (HeldBack::default(), Vec::new(), 0);
        let text = |row: &Row, name: &str| row.get(name).and_then(Value::as_str).unwrap_or_default().to_owned();
        for table in tables()?.iter().filter(|table| matches!(table.name.as_str(), "photograph" | "seal")) {
            catalogue.each_row(table, &chosen, &mut |mut row| {
                let sha256 = text(&row, "sha256");
                match table.name.as_str() {
                    "photograph" => {
                        let place = store.original(&sha256, &text(&row, "extension"));
                        files.push(File { table: "photograph", sha256: sha256.clone(), place, others: Vec::new() });
                        if !wanted.with_gps && positions::take_out(&table.name, &mut row) {
                            held_back.positions.push(sha256);
                        }
                    }
                    // A page stays as it was sealed: it goes out as it is, or not at all.
                    "seal" => {
                        let others = wanted.pieces.and_then(|pieces| others::take_out("seal", &mut row, pieces));
                        veiled += usize::from(others.is_some());
                        let others = others.unwrap_or_default();
                        files.push(File { table: "seal", place: pages.place(&sha256), sha256, others });
                    }
                    _ => {}
                }
                Ok::<(), Fault>(())
            })?;
        }
        if let Some(watch) = wanted.files {
            watch.begin("files looked at", files.len() as u64);
            let placed: HashSet<&str> = held_back.positions.iter().map(String::as_str).collect();
            let look = |file: &File| {
                if !watch.is_wanted() {
                    return None;
                }
                let why = why_not(file, wanted.with_gps, placed.contains(file.sha256.as_str()));
                watch.more(1);
                why.map(|why| Absent { table: file.table.into(), sha256: file.sha256.clone(), why })
            };
            held_back.files = files.par_iter().filter_map(look).collect();
            watch.go_on()?;
        }
        let of = wanted.pieces.map(<[String]>::to_vec);
        let kept = held_back.files.iter().map(|file| (file.sha256.clone(), file.why)).collect();
        Ok(Self { catalogue, chosen, of, with_gps: wanted.with_gps, held_back, kept, veiled })
    }

    /// What the export says of itself.
    ///
    /// # Errors
    /// If the database refuses.
    pub fn about(&self) -> Result<About, Fault> {
        let whole = self.chosen.is_all();
        let mut left_out = vec!["passwords of accounts".to_owned(), "drafts of examinations".to_owned()];
        if !whole {
            left_out = vec!["the journal, and what belongs to no chosen piece".into()];
        }
        if !self.held_back.positions.is_empty() {
            let told = if whole { ", and the journal's rows that hold them" } else { "" };
            let those = count(self.held_back.positions.len(), "photograph");
            left_out.push(format!("GPS positions of {those}{told} (`--with-gps`)"));
        }
        if self.veiled > 0 {
            left_out.push(format!("what {} {}", count(self.veiled, "sealed record"), tell_of_others(self.veiled)));
        }
        left_out.extend(self.files_left_out());
        Ok(About {
            schema: SCHEMA_VERSION,
            made_at: self.catalogue.last_changed()?,
            of: self.of.clone(),
            complete: whole && self.held_back.is_empty(),
            left_out,
            held_back: self.held_back.clone(),
        })
    }

    /// The files that do not go out, counted by kind and reason.
    fn files_left_out(&self) -> Vec<String> {
        let mut counts: Vec<((&str, Why), usize)> = Vec::new();
        for file in &self.held_back.files {
            let key = (file.kind(), file.why);
            match counts.iter_mut().find(|(known, _)| *known == key) {
                Some((_, n)) => *n += 1,
                None => counts.push((key, 1)),
            }
        }
        let words = |((kind, why), n): ((&str, Why), usize)| {
            let which = count(n, kind);
            match why {
                Why::Position if n == 1 => format!("{which} that holds a GPS position"),
                Why::Position => format!("{which} that hold GPS positions"),
                Why::Others => format!("{which} that {}", tell_of_others(n)),
                Why::Changed => format!("{which} no longer as stored"),
                Why::Unread => format!("{which} that cannot be read"),
            }
        };
        counts.into_iter().map(words).collect()
    }

    /// What was left out in the end: what is said in the export, and what tells of pieces that were not chosen.
    pub fn left_out(&self, about: &About) -> Vec<String> {
        let mut all = about.left_out.clone();
        match self.chosen.blanked() {
            0 => {}
            n => all.push(format!("{} to what was not chosen", count(n, "link"))),
        }
        match self.chosen.shared() {
            0 => {}
            n => all.push(format!("{} that {}", count(n, "row"), tell_of_others(n))),
        }
        all
    }

    /// Why the file of this SHA-256 does not go out; none if it does.
    pub fn keeps_back(&self, sha256: &str) -> Option<Why> {
        self.kept.get(sha256).copied()
    }
}

fn tell_of_others(n: usize) -> &'static str {
    if n == 1 { "tells of other pieces" } else { "tell of other pieces" }
}

/// Why a file may not go out. A position stands in it by the tags that were read when it came in, or by the words of a
/// description inside the file. A sealed page is held against what was sealed with it.
fn why_not(file: &File, with_gps: bool, placed: bool) -> Option<Why> {
    let Ok(bytes) = std::fs::read(&file.place) else { return Some(Why::Unread) };
    if sha256(&bytes) != file.sha256 {
        return Some(Why::Changed);
    }
    let says_where = || file.table == "photograph" && memchr::memmem::find(&bytes, b"GPSLatitude").is_some();
    if !with_gps && (placed || says_where()) {
        return Some(Why::Position);
    }
    others::stands_in(&bytes, &file.others).then_some(Why::Others)
}

impl Source for Handed<'_> {
    fn tables(&self) -> &[Table] {
        tables().unwrap_or_default()
    }

    fn rows(&self, table: &Table, visit: &mut dyn FnMut(Row) -> Result<(), String>) -> Result<(), String> {
        self.catalogue
            .each_row(table, &self.chosen, &mut |mut row| {
                if !self.with_gps {
                    positions::take_out(&table.name, &mut row);
                }
                if let Some(chosen) = &self.of {
                    others::take_out(&table.name, &mut row, chosen);
                }
                visit(row).map_err(Stopped::Visitor)
            })
            .map_err(|stopped| match stopped {
                Stopped::Catalogue(fault) => fault.to_string(),
                Stopped::Visitor(why) => why,
            })
    }
}

/// Why rows came to an end before the last.
enum Stopped {
    Catalogue(Fault),
    Visitor(String),
}

impl From<Fault> for Stopped {
    fn from(fault: Fault) -> Self {
        Self::Catalogue(fault)
    }
}
