//! The section on care: what is advised, why, from what source, and where its keeper decided otherwise.

use serde::Serialize;

use super::Settings;
use super::words::{capital, day, joined, quoted, text};
use crate::analysis::care::{Advice, Line, advise};
use crate::record::PieceFile;

/// The advice on one topic.
#[derive(Debug, Serialize)]
pub(super) struct Topic {
    pub name: String,
    pub lines: Vec<Advised>,
    /// What is done instead, with the reason; blank where the advice stands.
    pub instead: String,
    pub reason: String,
    /// Who decided, and when.
    pub decided: String,
}

/// One line of it.
#[derive(Debug, Serialize)]
pub(super) struct Advised {
    pub text: String,
    pub because: String,
    pub source: String,
    /// A caution for people: never struck out.
    pub caution: bool,
}

/// The advice as things stand on the day of printing.
pub(super) fn care(file: &PieceFile, settings: &Settings<'_>) -> Vec<Topic> {
    advise(file, settings.vocabulary, settings.printed_on).into_iter().map(topic).collect()
}

fn topic(advice: Advice) -> Topic {
    let line = |line: Line| Advised {
        text: line.text,
        because: quoted(&line.because.join("; ")),
        source: line.source,
        caution: line.caution,
    };
    let overruled = advice.overruled.unwrap_or_default();
    Topic {
        name: capital(advice.topic),
        lines: advice.lines.into_iter().map(line).collect(),
        instead: text(overruled.instead.as_ref()),
        reason: text(overruled.reason.as_ref()),
        decided: joined([text(overruled.by.as_ref()), day(overruled.date)], ", "),
    }
}
