//! Sums at the table: lengths, yarns, dates, light, without any piece. Nothing is kept of them.

use std::sync::Arc;

use axum::Router;
use axum::extract::{Path, Query, State};
use axum::response::Response;
use axum::routing::get;
use serde::{Deserialize, Serialize};

use super::desk::Desk;
use super::fault::{Wrong, sentence};
use super::frame::{self, Leaf, Room};
use super::sessions::Visitor;
use crate::dating::Conventions;
use crate::reckon::{Calculator, Help};
use crate::report::{capital, link_part};

/// So many lines of a field are worked out; a sum at the table has one.
const MOST: usize = 100;

/// The routes of this file.
pub(super) fn routes() -> Router<Arc<Desk>> {
    Router::new().route("/reckon", get(whole)).route("/reckon/{word}/answers", get(part))
}

/// A calculator with what was written and what comes out.
#[derive(Serialize)]
struct Sum {
    help: Help,
    title: String,
    /// A line to try, and where it is answered.
    examples: Vec<(&'static str, String)>,
    written: String,
    answers: Answers,
}

/// What the lines of one field come to.
#[derive(Default, Serialize)]
struct Answers {
    lines: Vec<Line>,
    /// Lines beyond those that are worked out.
    beyond: usize,
}

/// One line worked out, or why it cannot be.
#[derive(Serialize)]
struct Line {
    /// The line, where there are several.
    of: String,
    answer: String,
    amiss: String,
}

#[derive(Serialize)]
struct Page {
    sums: Vec<Sum>,
}

async fn whole(
    State(desk): State<Arc<Desk>>,
    visitor: Visitor,
    Query(written): Query<Vec<(String, String)>>,
) -> Result<Response, Wrong> {
    frame::page(&desk, &visitor, Room::Reckon, move |catalogue, _| {
        let conventions = catalogue.conventions()?;
        let sums = Calculator::ALL.map(|calculator| sum(calculator, &written, &conventions)).into();
        Ok(Leaf { template: "reckon.html", title: "Reckon".into(), page: Page { sums } })
    })
    .await
}

fn sum(calculator: Calculator, written: &[(String, String)], conventions: &Conventions) -> Sum {
    let help = calculator.help();
    let text = written.iter().rfind(|(word, _)| word == help.word).map(|(_, text)| text.clone()).unwrap_or_default();
    let example = |line: &&'static str| (*line, format!("/reckon?{}={}#{0}", help.word, link_part(line)));
    Sum {
        title: capital(help.word),
        examples: help.examples.iter().map(example).collect(),
        answers: answers(calculator, &text, conventions),
        written: text,
        help,
    }
}

fn answers(calculator: Calculator, text: &str, conventions: &Conventions) -> Answers {
    let lines: Vec<&str> = text.lines().map(str::trim).filter(|line| !line.is_empty()).collect();
    let worked = |line: &&str| {
        let of = if lines.len() > 1 { (*line).to_owned() } else { String::new() };
        match calculator.answer(line, conventions) {
            Ok(answer) => Line { of, answer: answer.text, amiss: String::new() },
            Err(refusal) => Line { of, answer: String::new(), amiss: sentence(&refusal.to_string()) },
        }
    };
    Answers { lines: lines.iter().take(MOST).map(worked).collect(), beyond: lines.len().saturating_sub(MOST) }
}

#[derive(Default, Deserialize)]
#[serde(default)]
struct Typed {
    lines: String,
}

/// The answers of one calculator, for the script that works while one types.
async fn part(
    State(desk): State<Arc<Desk>>,
    _: Visitor,
    Path(word): Path<String>,
    Query(typed): Query<Typed>,
) -> Result<Response, Wrong> {
    let calculator = Calculator::of_word(&word)
        .ok_or_else(|| Wrong::not_found("There is no such sum. `Reckon` in the menu shows those there are."))?;
    frame::part(&desk, "reckon_answers.html", move |catalogue| {
        Ok(answers(calculator, &typed.lines, &catalogue.conventions()?))
    })
    .await
}
