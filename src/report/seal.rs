//! What a page says of its own seal, and what differs from the report that was sealed before.

use std::collections::{BTreeMap, HashMap};

use serde::Serialize;

use super::Settings;
use super::words::{day, joined};
use crate::analysis::since::{Became, Difference, differences};
use crate::catalogue::{Fate, Revision, Seal};
use crate::record::{Examination, Observed, PieceFile};

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
    /// What an examination made since holds: `3 condition notes, 1 dimension`; blank for any other line.
    pub holds: String,
    /// By whom, when and why; blank where the row does not say.
    pub told: String,
}

pub(super) fn since(file: &PieceFile, before: &Before) -> Since {
    let list = differences(&before.then, file, &before.corrected());
    let mut made = made_since(file, before);
    let told = |d: Difference| {
        let holds = match (d.section, &d.became) {
            // One line for each, in their order.
            ("examination", Became::Added) => made.next().map(holds).unwrap_or_default(),
            _ => String::new(),
        };
        SinceRow { holds, ..row(d, &before.fates) }
    };
    Since {
        words: before.words(),
        examined: day(Some(before.seal.examined)),
        rows: list.into_iter().map(told).collect(),
    }
}

/// The examinations that the sealed record does not have.
fn made_since<'a>(file: &'a PieceFile, before: &Before) -> impl Iterator<Item = &'a Examination> + use<'a> {
    let known: Vec<Option<String>> = before.then.examinations.iter().map(|e| e.about.id.clone()).collect();
    file.examinations.iter().filter(move |e| !known.contains(&e.about.id))
}

fn holds(exam: &Examination) -> String {
    fn standing<T>(list: &[Observed<T>]) -> usize {
        list.iter().filter(|o| o.withdrawn.is_none()).count()
    }
    let counted = |n: usize, one: &str| match n {
        0 => String::new(),
        1 => format!("1 {one}"),
        n => format!("{n} {one}s"),
    };
    let parts =
        [counted(standing(&exam.conditions), "condition note"), counted(standing(&exam.measurements), "dimension")];
    let held = joined(parts, ", ");
    if held.is_empty() { "no condition note, no dimension".to_owned() } else { held }
}

/// What became last of a line: the fate of its last correction that has one. A circle ends the walk.
fn last_fate<'a>(id: &str, fates: &'a HashMap<String, Fate>) -> Option<&'a Fate> {
    let mut last = fates.get(id)?;
    for _ in 0..fates.len() {
        match last.now.as_ref().and_then(|next| fates.get(next)) {
            Some(next) => last = next,
            None => break,
        }
    }
    Some(last)
}

fn row(d: Difference, fates: &HashMap<String, Fate>) -> SinceRow {
    let fate = last_fate(&d.then, fates);
    let withdrawn = fate.and_then(|f| f.withdrawn.clone());
    let whole = d.section == "examination" && !matches!(d.became, Became::Changed(_));
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
    let (what, place) = if whole {
        let on = day(d.examined);
        let on = if on.is_empty() { "examination without a date".to_owned() } else { format!("examination of {on}") };
        (joined([on, d.what], ", "), String::new())
    } else {
        (d.what, joined([d.section.replace('_', " "), day(d.examined)], ", "))
    };
    SinceRow { place, what, became, fields, holds: String::new(), told: fate.map(who).unwrap_or_default() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_is_told_by_what_became_of_its_last_correction() {
        let fate = |now: Option<&str>, withdrawn: Option<&str>, by: &str| Fate {
            now: now.map(Into::into),
            withdrawn: withdrawn.map(Into::into),
            on: "2031-04-01".into(),
            by: by.into(),
            why: "read again".into(),
        };
        let fates: HashMap<String, Fate> = [
            ("once", fate(Some("stands"), None, "Ida")),
            ("twice", fate(Some("between"), None, "Ida")),
            ("between", fate(Some("stands"), None, "Wren")),
            ("lost", fate(Some("later"), None, "Ida")),
            ("later", fate(None, Some("a crease"), "Tamsin")),
            ("round", fate(Some("about"), None, "Ida")),
            ("about", fate(Some("round"), None, "Wren")),
        ]
        .map(|(id, fate)| (id.to_owned(), fate))
        .into();
        let gone = || Became::Gone;
        let changed = || Became::Changed(Vec::new());
        for (id, what, became, told) in [
            ("unheard of", gone(), "taken away", ""),
            ("unheard of", changed(), "changed", ""),
            ("once", changed(), "corrected", "Ida, 1 April 2031: read again"),
            ("twice", changed(), "corrected", "Wren, 1 April 2031: read again"),
            ("lost", gone(), "withdrawn", "Tamsin, 1 April 2031: a crease"),
            ("later", gone(), "withdrawn", "Tamsin, 1 April 2031: a crease"),
        ] {
            let d =
                Difference { examined: None, section: "condition", what: "tear".into(), became: what, then: id.into() };
            let row = row(d, &fates);
            assert_eq!((row.became, row.told.as_str()), (became, told), "{id}");
        }
        assert!(last_fate("round", &fates).is_some(), "a circle ends");
    }
}
