//! `dimity convert`: the calculators, one line in and one line out.

use std::io::{BufRead, IsTerminal};

use rayon::prelude::*;

use super::conventions::Choices;
use super::{Desk, Failure};
use crate::dating::Conventions;
use crate::reckon::Calculator;

/// Work out a length, a yarn number, a date, a light dose ... without any catalogue
///
/// The words after the calculator are one line: `dimity convert length 27 1/2 in`. Without words it reads standard
/// input and answers line by line; a line that cannot be read gets a line that says why.
#[derive(Debug, clap::Subcommand)]
pub enum Convert {
    #[command(about = about(Calculator::Length))]
    Length(Line),
    #[command(about = about(Calculator::Sum))]
    Sum(Line),
    #[command(about = about(Calculator::Colour))]
    Colour(Line),
    #[command(about = about(Calculator::Light))]
    Light(Line),
    #[command(about = about(Calculator::Sun))]
    Sun(Line),
    #[command(about = about(Calculator::Yarn))]
    Yarn(Line),
    #[command(about = about(Calculator::Twist))]
    Twist(Line),
    #[command(about = about(Calculator::Sett))]
    Sett(Line),
    #[command(about = about(Calculator::Cover))]
    Cover(Line),
    #[command(about = about(Calculator::Mass))]
    Mass(Line),
    #[command(about = about(Calculator::Stitches))]
    Stitches(Line),
    #[command(about = about(Calculator::Fibre))]
    Fibre(Line),
    #[command(about = about(Calculator::Date))]
    Date(DateLine),
}

/// What a calculator takes, with lines that it answers.
fn about(calculator: Calculator) -> String {
    let help = calculator.help();
    let examples: Vec<String> = help.examples.iter().map(|line| format!("`{line}`")).collect();
    format!("{}: {}", help.takes, examples.join(", "))
}

/// A date, and how it is to be understood.
#[derive(Debug, clap::Args)]
pub struct DateLine {
    #[command(flatten)]
    line: Line,
    #[command(flatten)]
    choices: Choices,
}

/// One line, or standard input.
#[derive(Debug, clap::Args)]
pub struct Line {
    /// The line; without it, standard input is answered line by line
    #[arg(value_name = "WORDS", allow_negative_numbers = true)]
    words: Vec<String>,
}

/// Lines worked out at a time: enough to keep the cores busy, few enough to answer while more is written.
const BATCH: usize = 4096;

impl Convert {
    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        let mut conventions = Conventions::default();
        let (calculator, line) = match self {
            Convert::Length(line) => (Calculator::Length, line),
            Convert::Sum(line) => (Calculator::Sum, line),
            Convert::Colour(line) => (Calculator::Colour, line),
            Convert::Light(line) => (Calculator::Light, line),
            Convert::Sun(line) => (Calculator::Sun, line),
            Convert::Yarn(line) => (Calculator::Yarn, line),
            Convert::Twist(line) => (Calculator::Twist, line),
            Convert::Sett(line) => (Calculator::Sett, line),
            Convert::Cover(line) => (Calculator::Cover, line),
            Convert::Mass(line) => (Calculator::Mass, line),
            Convert::Stitches(line) => (Calculator::Stitches, line),
            Convert::Fibre(line) => (Calculator::Fibre, line),
            Convert::Date(DateLine { line, choices }) => {
                conventions = choices.over(&conventions)?;
                (Calculator::Date, line)
            }
        };
        let json = desk.json;
        let work = |line: &str| worked(calculator, line, &conventions, json);
        if !line.words.is_empty() {
            return match work(&line.words.join(" ")) {
                (true, text) => {
                    desk.out.line(text);
                    Ok(())
                }
                (false, text) if json => {
                    desk.out.line(text);
                    Err(Failure::lines(Vec::new()))
                }
                (false, text) => Err(text.into()),
            };
        }
        let mut input = std::io::stdin().lock();
        if input.is_terminal() {
            return Err("nothing to work out: write it after the calculator, or pipe in one a line".into());
        }
        let mut unread = 0;
        loop {
            let lines = batch(&mut input)?;
            if lines.is_empty() {
                break;
            }
            let answers: Vec<(bool, String)> = lines.par_iter().map(|line| work(line)).collect();
            unread += answers.iter().filter(|(read, _)| !read).count();
            let texts: Vec<String> = answers.into_iter().map(|(_, text)| text).collect();
            desk.out.line(texts.join("\n"));
        }
        if unread > 0 {
            return Err(format!("{} could not be read", super::say::count(unread, "line")).into());
        }
        Ok(())
    }
}

/// The next lines of standard input; bytes that are no UTF-8 are shown as such.
fn batch(input: &mut impl BufRead) -> Result<Vec<String>, Failure> {
    let mut lines = Vec::new();
    let mut bytes = Vec::new();
    while lines.len() < BATCH {
        bytes.clear();
        let read = input.read_until(b'\n', &mut bytes).map_err(|e| format!("standard input cannot be read: {e}"))?;
        if read == 0 {
            break;
        }
        lines.push(String::from_utf8_lossy(&bytes).trim_end_matches(['\n', '\r']).to_owned());
        // Somebody types, or a program waits for each answer: answer what is there.
        if bytes.last() != Some(&b'\n') {
            break;
        }
    }
    Ok(lines)
}

/// One line worked out, and whether it could be.
fn worked(calculator: Calculator, line: &str, conventions: &Conventions, json: bool) -> (bool, String) {
    let outcome = calculator.answer(line, conventions);
    if !json {
        return match outcome {
            Ok(answer) => (true, answer.text),
            Err(refusal) => (false, format!("cannot be read: {refusal}")),
        };
    }
    let mut object = serde_json::Map::new();
    object.insert("input".into(), line.into());
    let read = outcome.is_ok();
    match outcome {
        Ok(answer) => {
            object.insert("answer".into(), answer.text.into());
            object.extend(answer.fields);
        }
        Err(refusal) => {
            object.insert("error".into(), refusal.why.clone().into());
            object.insert("at".into(), refusal.at.into());
            object.insert("nearest".into(), refusal.nearest.into());
        }
    }
    (read, serde_json::Value::Object(object).to_string())
}
