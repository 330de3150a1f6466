//! `dimity photo add`: photographs into the store and the catalogue.

use std::path::PathBuf;

use indicatif::{ProgressBar, ProgressStyle};
use rayon::prelude::*;

use crate::catalogue::{Catalogue, NewPhotograph};
use crate::cli::say::count;
use crate::cli::{Desk, Failure};
use crate::photograph::{Ingested, Store};
use crate::record::photograph::STAGES;
use crate::vocabulary::{Scheme, TermId};

/// What the photographs show.
#[derive(Debug, clap::Args)]
pub struct Add {
    /// Accession number of the piece that they show
    number: String,
    /// The files
    #[arg(required = true)]
    files: Vec<PathBuf>,
    /// Front, back, interior, detail ... (`dimity terms view`)
    #[arg(long)]
    view: Option<String>,
    /// By what light (`dimity terms light`)
    #[arg(long)]
    light: Option<String>,
    /// Component shown
    #[arg(long)]
    component: Option<String>,
    /// Day of the examination that they belong to
    #[arg(long, value_name = "DAY")]
    examination: Option<jiff::civil::Date>,
    /// Title of the treatment that they belong to
    #[arg(long)]
    treatment: Option<String>,
    /// Before, during or after treatment
    #[arg(long, value_parser = clap::builder::PossibleValuesParser::new(STAGES))]
    stage: Option<String>,
    /// Who took them
    #[arg(long, value_name = "NAME")]
    photographer: Option<String>,
    /// What to print below them
    #[arg(long)]
    caption: Option<String>,
}

impl Add {
    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        let author = self.photographer.clone().unwrap_or_else(|| desk.author());
        let author = desk.by.clone().unwrap_or(author);
        let mut catalogue = desk.open()?;
        let shows = self.shows(&catalogue)?;
        // A wrong number is told before a card full of photographs is copied.
        catalogue.piece(&self.number)?;
        let store = Store::at(&desk.folder);
        let (mut added, mut known, mut failed) = (0, 0, Vec::new());
        let bar = progress(self.files.len());
        // In small batches, so that an interruption loses little and memory stays bounded.
        for batch in self.files.chunks(rayon::current_num_threads() * 2) {
            let results: Vec<_> = batch.par_iter().map(|file| (file, store.ingest(file))).collect();
            for (file, result) in results {
                bar.inc(1);
                let taken = match result {
                    Ok(taken) => taken,
                    Err(fault) => {
                        failed.push(format!("dimity: {fault}"));
                        continue;
                    }
                };
                match catalogue.add_photograph(&author, &taken, &shows) {
                    Ok(true) => added += 1,
                    Ok(false) => known += 1,
                    Err(fault) => {
                        failed.push(format!("dimity: {}: {fault}", file.display()));
                        continue;
                    }
                }
                bar.suspend(|| told(desk, file, &taken));
            }
        }
        bar.finish_and_clear();
        if !desk.json {
            let already = if known > 0 { format!(", {known} there already") } else { String::new() };
            desk.out.line(format!("{}: {} added{already}", self.number, count(added, "photograph")));
        }
        if failed.is_empty() { Ok(()) } else { Err(Failure::lines(failed)) }
    }

    fn shows(&self, catalogue: &Catalogue) -> Result<NewPhotograph, Failure> {
        let term = |scheme, word: &Option<String>| -> Result<Option<TermId>, Failure> {
            let Some(word) = word else { return Ok(None) };
            let term = catalogue.vocabulary().find(scheme, word).map_err(|e| e.to_string())?;
            Ok(Some(term.id.clone()))
        };
        Ok(NewPhotograph {
            number: self.number.clone(),
            component: self.component.clone(),
            examination: self.examination.map(|d| d.to_string()),
            treatment: self.treatment.clone(),
            view: term(Scheme::View, &self.view)?,
            light: term(Scheme::Light, &self.light)?,
            stage: self.stage.clone(),
            photographer: self.photographer.clone(),
            caption: self.caption.clone(),
        })
    }
}

fn told(desk: &mut Desk, file: &std::path::Path, taken: &Ingested) {
    if desk.json {
        desk.out.json(&serde_json::json!({
            "file": file.display().to_string(), "sha256": taken.sha256, "bytes": taken.bytes, "width": taken.width,
            "height": taken.height, "already": taken.already, "capture": taken.capture, "remarks": taken.remarks,
        }));
    } else {
        for remark in &taken.remarks {
            desk.out.line(format!("{}: stored; {remark}", file.display()));
        }
    }
}

/// A bar on standard error, where that is a terminal.
fn progress(length: usize) -> ProgressBar {
    let style = ProgressStyle::with_template("{bar:30} {pos}/{len} photographs, {eta} to go");
    let bar = ProgressBar::new(length as u64);
    style.map_or(bar.clone(), |style| bar.with_style(style))
}
