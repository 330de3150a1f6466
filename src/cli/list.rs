//! `dimity list` and `dimity find`: the pieces, a line each.

use serde_json::json;

use super::say::count;
use super::{Desk, Failure};
use crate::catalogue::{Ask, Catalogue, Facets, Hits, Line, Order};
use crate::query::{KEYS, Query, guide};

/// List all pieces, or those that fit a search, a line each
///
/// `dimity list 'garment:bodice date:1800..1820'` takes the same searches as `dimity find`, and keeps the order of the
/// accession numbers.
#[derive(Debug, clap::Args)]
pub struct List {
    /// A search, in the language of `dimity find`
    query: Vec<String>,
    /// In the order of their dates, the undated last
    #[arg(long)]
    by_date: bool,
    /// The pieces that were withdrawn and why, instead of those in the catalogue
    #[arg(long, conflicts_with_all = ["query", "by_date"])]
    withdrawn: bool,
}

/// Find pieces by words, terms, figures, dates and what is or is not recorded
///
/// `dimity find silk twill` looks for words; `dimity find 'fibre:silk not date:1800..1820'` asks for more. A blank is
/// not a no: a piece of which the thing asked for is not recorded is left out and counted. `dimity find --help-search`
/// teaches the language in a page, `--keys` lists its keys.
#[derive(Debug, clap::Args)]
#[allow(clippy::struct_excessive_bools, reason = "each is a switch of its own")]
pub struct Find {
    /// What to look for; put it in single quotes where it holds quotes, brackets or < >
    #[arg(required_unless_present_any = ["dated", "keys", "help_search"])]
    query: Vec<String>,
    /// Years that the date may be of, as you would write a date: `1810/1830`, `c. 1815`, `before 1800`
    #[arg(long, value_name = "DATE")]
    dated: Option<String>,
    /// In the order of their dates
    #[arg(long)]
    by_date: bool,
    /// Take in the pieces of which the thing asked for is not recorded
    #[arg(long)]
    undecided: bool,
    /// Print so many lines at most
    #[arg(long, value_name = "LINES")]
    first: Option<usize>,
    /// Count what is found, by nature, garment, fibre, decade, condition and location
    #[arg(long)]
    counts: bool,
    /// Teach the language of searches in a page
    #[arg(long)]
    help_search: bool,
    /// List the keys
    #[arg(long)]
    keys: bool,
}

impl List {
    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        let catalogue = desk.open()?;
        if self.withdrawn {
            return withdrawn(desk, &catalogue);
        }
        let query = catalogue.query(&self.query.join(" "))?;
        let order = if self.by_date { Order::Date } else { Order::Number };
        let hits = catalogue.hits(&query, &Ask { order, ..Ask::default() })?;
        show(desk, &catalogue, &hits, usize::MAX)?;
        if desk.json {
            return Ok(());
        }
        if hits.of == 0 {
            desk.out.line("no pieces yet; print a sheet with `dimity sheet NUMBER`, fill it in, and `dimity enter` it");
        } else if query.tree.is_some() {
            result(desk, &query, &hits, false);
        }
        Ok(())
    }
}

/// Lists what was withdrawn, with the reason.
fn withdrawn(desk: &mut Desk, catalogue: &Catalogue) -> Result<(), Failure> {
    let pieces = catalogue.withdrawn()?;
    for (number, name, why) in &pieces {
        if desk.json {
            desk.out.json(&json!({ "number": number, "name": name, "withdrawn": why }));
        } else {
            desk.out.line(format!("{number} {name}: {why}"));
        }
    }
    if pieces.is_empty() && !desk.json {
        desk.out.line("no piece is withdrawn");
    }
    Ok(())
}

impl Find {
    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        if self.help_search {
            desk.out.line(guide().trim_end());
            return Ok(());
        }
        if self.keys {
            for key in KEYS {
                if desk.json {
                    desk.out
                        .json(&json!({ "key": key.name, "also": key.also, "help": key.help, "example": key.example }));
                } else {
                    desk.out.line(format!("{:12} {}; {}", key.name, key.help, key.example));
                }
            }
            return Ok(());
        }
        let catalogue = desk.open()?;
        let mut query = catalogue.query(&self.query.join(" "))?;
        if let Some(years) = &self.dated {
            query = query.and(dated(&catalogue, years)?);
        }
        if self.counts {
            let facets = catalogue.facets(&query)?;
            if desk.json {
                desk.out.json(&facets);
            } else {
                counts(desk, &facets);
            }
            return Ok(());
        }
        let order = if self.by_date { Order::Date } else { Order::Match };
        let hits = catalogue.hits(&query, &Ask { order, undecided: self.undecided, ..Ask::default() })?;
        show(desk, &catalogue, &hits, self.first.unwrap_or(usize::MAX))?;
        if !desk.json {
            let left = hits.total().saturating_sub(self.first.unwrap_or(usize::MAX));
            if left > 0 {
                desk.out.line(format!("and {} more", count(left, "piece")));
            }
            result(desk, &query, &hits, self.undecided);
        }
        Ok(())
    }
}

/// The years of `--dated` as a query.
fn dated(catalogue: &Catalogue, years: &str) -> Result<Query, Failure> {
    catalogue.query(&format!("date:\"{}\"", years.replace('"', "\"\""))).map_err(|fault| match fault {
        crate::catalogue::Fault::Asked(mistake) => format!("`{years}` after `--dated`: {}", mistake.sentence()).into(),
        other => other.into(),
    })
}

/// How many were found, and of how many it is undecided.
fn result(desk: &mut Desk, query: &Query, hits: &Hits, with_undecided: bool) {
    if hits.total() == 0 {
        desk.out.line(format!("no piece fits `{query}`"));
    } else {
        desk.out.line(format!("{} of {} for `{query}`", hits.total(), count(hits.of, "piece")));
    }
    if hits.undecided > 0 {
        let keys = query.may_be_blank().join(", ");
        let fate = if with_undecided { "are in" } else { "are not in; `--undecided` takes them in" };
        let (n, what) =
            (count(hits.undecided, "piece"), if keys.is_empty() { "what is asked for".into() } else { keys });
        desk.out.line(format!("not decided: {n} of which too little is recorded ({what}); they {fate}"));
    }
}

/// Lines read and printed in one go, so that the first stand there at once.
const AT_ONCE: usize = 500;

fn show(desk: &mut Desk, catalogue: &Catalogue, hits: &Hits, most: usize) -> Result<(), Failure> {
    let most = most.min(hits.total());
    let mut widths = [0; 3];
    for from in (0..most).step_by(AT_ONCE) {
        let lines = catalogue.lines(hits, from, AT_ONCE.min(most - from))?;
        if desk.json {
            lines.iter().for_each(|line| desk.out.json(line));
        } else {
            print(desk, &lines, &mut widths);
        }
    }
    Ok(())
}

fn print(desk: &mut Desk, lines: &[Line], widths: &mut [usize; 3]) {
    let texts =
        |line: &Line| [line.number.clone(), line.object_name.clone(), line.date.clone().unwrap_or("undated".into())];
    for line in lines {
        for (width, text) in widths.iter_mut().zip(texts(line)) {
            *width = (*width).max(text.chars().count());
        }
    }
    let [number, name, date] = *widths;
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

fn counts(desk: &mut Desk, facets: &Facets) {
    desk.out.line(count(facets.pieces, "piece"));
    for group in &facets.groups {
        desk.out.line(format!("\n{}", group.title));
        for value in &group.values {
            desk.out.line(format!("  {:7}  {:30}  {}", value.pieces, value.label, value.clause));
        }
        if group.not_recorded > 0 {
            desk.out.line(format!("  {:7}  {:30}  lacks:{}", group.not_recorded, "not recorded", group.key));
        }
    }
}
