//! `dimity searches`: searches kept under a name.

use super::say::count;
use super::{Desk, Failure};
use crate::catalogue::KeptSearch;

/// List the searches kept under a name, keep one, or remove one
///
/// A kept search is asked anew each time: what is entered later is found if it fits. `kept:"NAME"` stands for it in any search.
#[derive(Debug, clap::Args)]
pub struct Searches {
    /// Keep this search; the one of that name, if there is one, is replaced
    #[arg(long, value_name = "NAME", requires = "query", conflicts_with = "remove")]
    keep: Option<String>,
    /// The search to keep, in single quotes
    #[arg(requires = "keep")]
    query: Vec<String>,
    /// What it is for
    #[arg(long, value_name = "TEXT", requires = "keep")]
    note: Option<String>,
    /// Remove the search of this name; the journal keeps what it was
    #[arg(long, value_name = "NAME")]
    remove: Option<String>,
    /// Why; the journal keeps it
    #[arg(long, value_name = "TEXT", default_value = "search kept")]
    reason: String,
}

impl Searches {
    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        let author = desk.author();
        let mut catalogue = desk.open()?;
        if let Some(name) = &self.remove {
            catalogue.remove_search(&author, &self.reason, name)?;
            desk.out.line(format!("removed the search `{name}`; the journal keeps what it was"));
            return Ok(());
        }
        if let Some(name) = &self.keep {
            let search = KeptSearch { name: name.clone(), query: self.query.join(" "), note: self.note.clone() };
            let changed = catalogue.keep_search(&author, &self.reason, &search)?;
            let query = catalogue.query(&search.query)?;
            let holds = count(catalogue.count(&search.query)?, "piece");
            let said = if changed { "kept" } else { "nothing to change:" };
            desk.out.line(format!("{said} `{}` as `{query}`, now {holds}", name.trim()));
            return Ok(());
        }
        let kept = catalogue.kept_searches()?;
        for search in &kept {
            // A search whose term is gone is still listed, with what is wrong.
            let holds = catalogue.count(&search.query);
            if desk.json {
                let pieces = holds.ok();
                desk.out.json(
                    &serde_json::json!({ "name": search.name, "query": search.query, "note": search.note, "pieces": pieces }),
                );
                continue;
            }
            let holds = holds.map_or_else(|_| "cannot be read now".into(), |n| count(n, "piece"));
            let note = search.note.as_ref().map(|n| format!("; {n}")).unwrap_or_default();
            desk.out.line(format!("{}: {}  ({holds}{note})", search.name, search.query));
        }
        if kept.is_empty() && !desk.json {
            desk.out.line(
                "no search is kept yet; `dimity searches --keep \"regency bodices\" 'garment:bodice date:1800..1820'` keeps one",
            );
        }
        Ok(())
    }
}
