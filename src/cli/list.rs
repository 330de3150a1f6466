//! `dimity list` and `dimity find`: the pieces, a line each.

use super::{Desk, Failure};
use crate::catalogue::Line;

/// List all pieces, a line each
#[derive(Debug, clap::Args)]
pub struct List {}

/// Find pieces whose record holds all of these words
#[derive(Debug, clap::Args)]
pub struct Find {
    /// The words; the beginning of a word is enough
    #[arg(required = true)]
    words: Vec<String>,
}

impl List {
    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        let lines = desk.open()?.list()?;
        show(desk, &lines);
        if lines.is_empty() && !desk.json {
            desk.out.line("no pieces yet; print a sheet with `dimity sheet NUMBER`, fill it in, and `dimity enter` it");
        }
        Ok(())
    }
}

impl Find {
    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        let words = self.words.join(" ");
        let lines = desk.open()?.find(&words)?;
        show(desk, &lines);
        if lines.is_empty() && !desk.json {
            desk.out.line(format!("no piece has all of: {words}"));
        }
        Ok(())
    }
}

fn show(desk: &mut Desk, lines: &[Line]) {
    if desk.json {
        lines.iter().for_each(|line| desk.out.json(line));
        return;
    }
    let width = |text: fn(&Line) -> &str| lines.iter().map(|l| text(l).chars().count()).max().unwrap_or(0);
    let number = width(|l| &l.number);
    let name = width(|l| &l.object_name);
    let date = width(|l| l.date.as_deref().unwrap_or("undated"));
    for line in lines {
        desk.out.line(format!(
            "{:number$}  {:name$}  {:date$}  {:17}  {}",
            line.number,
            line.object_name,
            line.date.as_deref().unwrap_or("undated"),
            line.nature,
            line.location.as_deref().unwrap_or("location not recorded"),
        ));
    }
}
