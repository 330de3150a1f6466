//! `dimity seals`: sealed reports, listed, shown again byte for byte, and told from altered copies.

use std::io::Write as _;
use std::path::{Path, PathBuf};

use super::{Desk, Failure};
use crate::catalogue::{Catalogue, Seal};
use crate::printing::{self, SealedCopy};
use crate::sealed::Pages;

/// List the sealed reports, show one again byte for byte, or tell whether a copy is unaltered
///
/// `dimity report condition 2024.1 --seal --by NAME` seals a report. A check code may be written small or without its
/// strokes; the number of the seal does as well.
#[derive(Debug, clap::Args)]
pub struct Seals {
    /// Only those of this piece
    number: Option<String>,
    /// Show the page with this check code, exactly as it was sealed
    #[arg(long, value_name = "CODE", conflicts_with_all = ["number", "verify"])]
    show: Option<String>,
    /// The file to write it to; standard output if not given
    #[arg(long, value_name = "FILE", requires = "show")]
    out: Option<PathBuf>,
    /// Tell whether this file is a sealed page, unaltered, and which
    #[arg(long, value_name = "FILE", conflicts_with = "number")]
    verify: Option<PathBuf>,
}

impl Seals {
    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        let catalogue = desk.open()?;
        if let Some(code) = &self.show {
            return show(&catalogue, code, self.out.as_deref(), desk);
        }
        if let Some(file) = &self.verify {
            return verify(&catalogue, file, desk);
        }
        let seals = catalogue.seals(self.number.as_deref())?;
        for seal in &seals {
            if desk.json {
                desk.out.json(&as_json(seal));
                continue;
            }
            desk.out.line(line(seal));
        }
        if seals.is_empty() && !desk.json {
            desk.out.line("no report is sealed; `dimity report condition NUMBER --seal --by NAME` seals one");
        }
        Ok(())
    }
}

/// `3  7KMR-4HXC-9PDT  2018.2  examination of 2025-03-06, full, sealed 2025-03-08 by Wren Askerdale`.
fn line(seal: &Seal) -> String {
    let set = match &seal.against {
        Some(code) => format!("outgoing and incoming, against {code}"),
        None => seal.print_set.clone(),
    };
    format!(
        "{}  {}  {}  examination of {}, {set}, sealed {} by {}",
        seal.no, seal.code, seal.number, seal.examined, seal.sealed_on, seal.sealed_by
    )
}

pub(super) fn as_json(seal: &Seal) -> serde_json::Value {
    serde_json::json!({
        "no": seal.no, "code": seal.code, "number": seal.number, "examined": seal.examined.to_string(),
        "set": seal.print_set, "against": seal.against, "sealed_on": seal.sealed_on.to_string(),
        "sealed_by": seal.sealed_by, "sha256": seal.sha256, "bytes": seal.bytes, "revision": seal.revision,
        "revision_hash": seal.revision_hash, "program": seal.program, "vocabulary": seal.vocabulary,
        "definitions": seal.definitions,
    })
}

fn show(catalogue: &Catalogue, code: &str, out: Option<&Path>, desk: &mut Desk) -> Result<(), Failure> {
    let seal = catalogue.seal_named(code)?;
    let page = Pages::at(catalogue.folder()).read(&seal.sha256)?;
    match out.filter(|p| *p != Path::new("-")) {
        Some(path) => {
            super::report::write_bytes(path, &page)?;
            desk.out.line(format!("wrote {}: {}", path.display(), line(&seal)));
        }
        // Byte for byte: no line end is added. A reader that closes early is no error of ours.
        None => _ = std::io::stdout().lock().write_all(&page),
    }
    Ok(())
}

fn verify(catalogue: &Catalogue, file: &Path, desk: &mut Desk) -> Result<(), Failure> {
    let shown = file.display();
    let bytes = std::fs::read(file).map_err(|e| format!("cannot read `{shown}`: {e}"))?;
    if bytes.starts_with(b"%PDF") {
        return Err(format!(
            "`{shown}` is a PDF, {}: `dimity seals --show CODE --out FILE`",
            printing::NO_COPY_OF_A_PDF
        )
        .into());
    }
    match printing::held_against_seals(catalogue, &bytes)? {
        SealedCopy::Unaltered(seal) => {
            if desk.json {
                desk.out.json(&as_json(&seal));
            } else {
                desk.out.line(format!("unaltered: {}", line(&seal)));
            }
            Ok(())
        }
        other => {
            let unknown = "`dimity seals` lists those that are sealed";
            Err(format!("`{shown}` is not as any report was sealed: {}", other.in_words(unknown)).into())
        }
    }
}
