//! `dimity photo add`: photographs into the store and the catalogue.

use std::path::{Path, PathBuf};

use super::rights::Given;
use super::said::Said;
use crate::catalogue::{Added, Catalogue, NewPhotograph};
use crate::cli::say::{count, progress};
use crate::cli::{Desk, Failure};
use crate::photograph::{Ingested, Store, is_hidden, is_photograph};

/// What the photographs show. One that is there already is tied to the treatment that is named
#[derive(Debug, clap::Args)]
pub struct Add {
    /// Accession number of the piece that they show
    number: String,
    /// The files; of a folder everything in it that is a photograph
    #[arg(required = true)]
    files: Vec<PathBuf>,
    #[command(flatten)]
    said: Said,
    #[command(flatten)]
    rights: Given,
}

impl Add {
    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        let author = self.said.photographer.clone().unwrap_or_else(|| desk.author());
        let author = desk.by.clone().unwrap_or(author);
        let mut catalogue = desk.open()?;
        let shows = self.shows(&catalogue)?;
        // A wrong number is told before a card full of photographs is copied.
        catalogue.accepts(&self.number)?;
        let (files, passed_over) = gathered(&self.files);
        let taken = take_in(&files, &mut catalogue, &author, &|_| vec![shows.clone()], &told, desk);
        if !desk.json {
            let TakenIn { added, known, tied, .. } = taken;
            let already = if known > 0 { format!(", {known} there already") } else { String::new() };
            let tied =
                if tied > 0 { format!(", {tied} there already and now tied to the treatment") } else { String::new() };
            desk.out.line(format!("{}: {} added{already}{tied}", self.number, count(added, "photograph")));
            if passed_over > 0 {
                desk.out
                    .line(format!("passed over in the folders, being no photographs: {}", count(passed_over, "file")));
            }
        }
        taken.ended()
    }

    fn shows(&self, catalogue: &Catalogue) -> Result<NewPhotograph, Failure> {
        let said = &self.said;
        let (view, light) = said.terms(catalogue)?;
        Ok(NewPhotograph {
            number: self.number.clone(),
            component: said.component.clone(),
            examination: said.examination.map(|d| d.to_string()),
            treatment: said.treatment.clone(),
            view,
            light,
            stage: said.stage.clone(),
            photographer: said.photographer.clone(),
            caption: said.caption.clone(),
            rights: self.rights.rights(catalogue)?,
        })
    }
}

/// What became of photographs that were taken in: how many were added to a piece, were there already, and were there and
/// belong to the treatment named now.
#[derive(Debug, Default)]
pub(in crate::cli) struct TakenIn {
    pub added: usize,
    pub known: usize,
    pub tied: usize,
    failed: Vec<String>,
}

impl TakenIn {
    /// Fails if one of them could not be taken in; the others are there.
    pub fn ended(self) -> Result<(), Failure> {
        if self.failed.is_empty() { Ok(()) } else { Err(Failure::lines(self.failed)) }
    }
}

/// Takes files into the store and the catalogue; `shows` says what is recorded of each, piece by piece, and `tell` tells of
/// each that is there. What is refused of one piece stops no other.
pub(in crate::cli) fn take_in(
    files: &[PathBuf],
    catalogue: &mut Catalogue,
    author: &str,
    shows: &dyn Fn(&Path) -> Vec<NewPhotograph>,
    tell: &dyn Fn(&mut Desk, &Path, &Ingested),
    desk: &mut Desk,
) -> TakenIn {
    let mut done = TakenIn::default();
    let bar = progress(files.len(), "photographs");
    Store::at(&desk.folder).ingest_all(files, |file, result| {
        bar.inc(1);
        let taken = match result {
            Ok(taken) => taken,
            Err(fault) => return done.failed.push(format!("dimity: {fault}")),
        };
        let failed = done.failed.len();
        for shows in shows(file) {
            match catalogue.add_photograph(author, &taken, &shows) {
                Ok(Added::New) => done.added += 1,
                Ok(Added::Known) => done.known += 1,
                Ok(Added::Tied) => done.tied += 1,
                Err(fault) => done.failed.push(format!("dimity: {}: {fault}", file.display())),
            }
        }
        if done.failed.len() == failed {
            bar.suspend(|| tell(desk, file, &taken));
        }
    });
    bar.finish_and_clear();
    done
}

/// The files named, and those in the folders named, in the order of their names. Hidden files and what does not begin
/// as a photograph does are passed over in a folder; how many is told. A file named by itself is always tried.
pub(in crate::cli) fn gathered(named: &[PathBuf]) -> (Vec<PathBuf>, usize) {
    let (mut files, mut passed_over) = (Vec::new(), 0);
    for path in named {
        if path.is_dir() {
            walk(path, &mut files, &mut passed_over, 0);
        } else {
            files.push(path.clone());
        }
    }
    (files, passed_over)
}

/// Cards nest their folders two or three deep; a loop of links ends here.
const DEEPEST: usize = 32;

fn walk(folder: &Path, files: &mut Vec<PathBuf>, passed_over: &mut usize, depth: usize) {
    let Ok(entries) = std::fs::read_dir(folder) else {
        // The attempt to take it in says why it cannot be read.
        files.push(folder.into());
        return;
    };
    let mut entries: Vec<PathBuf> = entries.flatten().map(|entry| entry.path()).collect();
    entries.sort();
    for path in entries {
        let hidden = path.file_name().is_some_and(|name| is_hidden(&name.to_string_lossy()));
        if hidden {
            continue;
        }
        if path.is_dir() {
            if depth < DEEPEST {
                walk(&path, files, passed_over, depth + 1);
            }
        } else if is_photograph(&path) {
            files.push(path);
        } else {
            *passed_over += 1;
        }
    }
}

fn told(desk: &mut Desk, file: &Path, taken: &Ingested) {
    if desk.json {
        desk.out.json(&serde_json::json!({
            "file": file.display().to_string(), "sha256": taken.sha256, "bytes": taken.bytes, "width": taken.width,
            "height": taken.height, "already": taken.already, "capture": taken.capture, "remarks": taken.remarks,
        }));
    } else {
        remarked(desk, file, taken);
    }
}

/// What was remarked of a file that is stored, for a person.
pub(in crate::cli) fn remarked(desk: &mut Desk, file: &Path, taken: &Ingested) {
    for remark in &taken.remarks {
        desk.out.line(format!("{}: stored; {remark}", file.display()));
    }
}
