//! `dimity list` and `dimity find`: the pieces, a line each.

use super::say::count;
use super::{Desk, Failure};
use crate::catalogue::{Line, Search};
use crate::dating::{Conventions, Dated, Interval};

/// List all pieces, a line each
#[derive(Debug, clap::Args)]
pub struct List {
    /// In the order of their dates, the undated last
    #[arg(long)]
    by_date: bool,
    /// The pieces that were withdrawn, instead of those in the catalogue
    #[arg(long)]
    withdrawn: bool,
}

/// Find pieces whose record holds all of these words, or whose date meets some years
///
/// `dimity find silk twill` looks for words, `dimity find --dated 1810/1830` for pieces that may be of those years,
/// `dimity find silk --dated "early 19th century"` for both. A piece without a date is never found by its years.
#[derive(Debug, clap::Args)]
pub struct Find {
    /// The words; the beginning of a word is enough
    #[arg(required_unless_present = "dated")]
    words: Vec<String>,
    /// Years, as you would write a date: `1810/1830`, `c. 1815`, `before 1800`
    #[arg(long, value_name = "DATE")]
    dated: Option<String>,
    /// In the order of their dates
    #[arg(long)]
    by_date: bool,
    /// Among the pieces that were withdrawn
    #[arg(long)]
    withdrawn: bool,
}

impl List {
    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        let search = Search { by_date: self.by_date, withdrawn: self.withdrawn, ..Search::default() };
        let lines = desk.open()?.search(&search)?;
        show(desk, &lines);
        if lines.is_empty() && self.withdrawn && !desk.json {
            desk.out.line("no piece is withdrawn");
        } else if lines.is_empty() && !desk.json {
            desk.out.line("no pieces yet; print a sheet with `dimity sheet NUMBER`, fill it in, and `dimity enter` it");
        }
        Ok(())
    }
}

impl Find {
    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        let words = self.words.join(" ");
        let catalogue = desk.open()?;
        let dated = self.dated.as_deref().map(|text| years(text, &catalogue.conventions()?)).transpose()?;
        let search = Search { words, dated, by_date: self.by_date, withdrawn: self.withdrawn };
        let (lines, undated) = (catalogue.search(&search)?, catalogue.undated()?);
        show(desk, &lines);
        if desk.json {
            return Ok(());
        }
        if lines.is_empty() {
            let wanted = [Some(search.words), search.dated.map(|years| format!("a date that meets {years}"))];
            let wanted: Vec<String> = wanted.into_iter().flatten().filter(|text| !text.is_empty()).collect();
            desk.out.line(format!("no piece has all of: {}", wanted.join(", ")));
        }
        if search.dated.is_some() && undated > 0 {
            desk.out.line(format!("not asked: {} without a date", count(undated, "piece")));
        }
        Ok(())
    }
}

/// The years that a text of the command line means, under the catalogue's convention.
fn years(text: &str, conventions: &Conventions) -> Result<Interval, Failure> {
    let date = Dated::parse(text, conventions).map_err(|refusal| format!("`{text}` after `--dated`: {refusal}"))?;
    let years = date.interval();
    if years.is_undated() {
        return Err(format!("`{text}` after `--dated` names no years; write for instance `1810/1830`").into());
    }
    Ok(years)
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
