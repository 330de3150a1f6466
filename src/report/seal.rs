//! What a page says of its own seal, and what differs from the report that was sealed before.

use std::collections::{BTreeMap, HashMap};

use serde::Serialize;

use super::Settings;
use super::words::{day, joined};
use crate::analysis::since::{Became, Difference, differences};
use crate::catalogue::{Fate, Revision, Seal};
use crate::record::PieceFile;

/// What a page that is about to be sealed can say of its seal. Its check code follows from its bytes and cannot stand in
/// them: the page leaves a line for it.
#[derive(Debug, Clone)]
pub struct Sealing {
    /// Who seals it.
    pub by: String,
    /// The state of the catalogue that it is printed from, with the number that this seal will have.
    pub revision: Revision,
}

/// A report that was sealed before, with the record of that moment.
#[derive(Debug, Clone)]
pub struct Before {
    /// The seal.
    pub seal: Seal,
    /// What was recorded then.
    pub then: PieceFile,
    /// What became of the observations that were corrected or withdrawn, by identifier.
    pub fates: HashMap<String, Fate>,
}

impl Before {
    /// From the identifier of a line to that of its correction.
    pub(super) fn corrected(&self) -> BTreeMap<String, String> {
        self.fates.iter().filter_map(|(id, fate)| Some((id.clone(), fate.now.clone()?))).collect()
    }

    /// `sealed report 3, check code 7KMR-4HXC-9PDT, sealed by Wren Askerdale on 6 March 2025`.
    pub(super) fn words(&self) -> String {
        let s = &self.seal;
        format!(
            "sealed report {}, check code {}, sealed by {} on {}",
            s.no,
            s.code,
            s.sealed_by,
            day(Some(s.sealed_on))
        )
    }
}

/// The day of printing, with the number of the seal, as the foot of each sheet says it.
pub(super) fn mark(printed_on: String, sealing: Option<&Sealing>) -> String {
    match sealing {
        Some(s) => format!("{printed_on} as sealed report {}", s.revision.next),
        None => printed_on,
    }
}

/// What the page says of its own seal.
#[derive(Debug, Serialize)]
pub(super) struct SealBlock {
    pub no: i64,
    pub by: String,
    pub on: String,
    pub revision: String,
    pub definitions: String,
    pub program: &'static str,
}

pub(super) fn seal_block(sealing: &Sealing, s: &Settings<'_>) -> SealBlock {
    let own = s.vocabulary.definitions();
    let own = if own == "none" { String::new() } else { format!("own definitions {own}") };
    let hash: String = sealing.revision.hash.chars().take(16).collect();
    SealBlock {
        no: sealing.revision.next,
        by: sealing.by.clone(),
        on: day(Some(s.printed_on)),
        revision: format!("journal row {}, {hash}", sealing.revision.row),
        definitions: joined([format!("vocabulary {}", s.vocabulary.version()), own], ", "),
        program: env!("CARGO_PKG_VERSION"),
    }
}

/// What differs from the report that was sealed before.
#[derive(Debug, Serialize)]
pub(super) struct Since {
    /// Which report that was.
    pub words: String,
    /// The examination that it reported.
    pub examined: String,
    pub rows: Vec<SinceRow>,
}

/// One line that is not as it was sealed.
#[derive(Debug, Serialize)]
pub(super) struct SinceRow {
    /// `condition, 14 November 2018`.
    pub place: String,
    pub what: String,
    /// `corrected`, `withdrawn`, `taken away`, `added`, `changed`.
    pub became: &'static str,
    /// The fields that differ, what they said then and now.
    pub fields: Vec<(String, String, String)>,
    /// By whom, when and why; blank where the row does not say.
    pub told: String,
}

pub(super) fn since(file: &PieceFile, before: &Before) -> Since {
    let list = differences(&before.then, file, &before.corrected());
    Since {
        words: before.words(),
        examined: day(Some(before.seal.examined)),
        rows: list.into_iter().map(|d| row(d, &before.fates)).collect(),
    }
}

fn row(d: Difference, fates: &HashMap<String, Fate>) -> SinceRow {
    let fate = fates.get(&d.then);
    let withdrawn = fate.and_then(|f| f.withdrawn.clone());
    let (became, fields) = match d.became {
        Became::Added => ("added", Vec::new()),
        Became::Gone if withdrawn.is_some() => ("withdrawn", Vec::new()),
        Became::Gone => ("taken away", Vec::new()),
        Became::Changed(fields) if fate.is_some() => ("corrected", fields),
        Became::Changed(fields) => ("changed", fields),
    };
    let who = |f: &Fate| {
        let on = f.on.parse().ok().map(|d| day(Some(d))).unwrap_or_default();
        joined([joined([f.by.clone(), on], ", "), withdrawn.clone().unwrap_or_else(|| f.why.clone())], ": ")
    };
    SinceRow {
        place: joined([d.section.replace('_', " "), day(d.examined)], ", "),
        what: d.what,
        became,
        fields,
        told: fate.map(who).unwrap_or_default(),
    }
}
