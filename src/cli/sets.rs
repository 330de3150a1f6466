//! `dimity sets`: searches kept under a name.

use super::say::count;
use super::{Desk, Failure};
use crate::catalogue::{Ask, SavedSet};

/// List the searches kept under a name, keep one, or remove one
///
/// A set is asked anew each time: what is entered later is in it if it fits. `set:"NAME"` stands for it in any search.
#[derive(Debug, clap::Args)]
pub struct Sets {
    /// Keep this search; the set of that name, if there is one, is replaced
    #[arg(long, value_name = "NAME", requires = "query", conflicts_with = "remove")]
    keep: Option<String>,
    /// The search to keep, in single quotes
    #[arg(requires = "keep")]
    query: Vec<String>,
    /// What the set is for
    #[arg(long, value_name = "TEXT", requires = "keep")]
    note: Option<String>,
    /// Remove the set of this name; the journal keeps what it was
    #[arg(long, value_name = "NAME")]
    remove: Option<String>,
    /// Why; the journal keeps it
    #[arg(long, value_name = "TEXT", default_value = "set of pieces")]
    reason: String,
}

impl Sets {
    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        let author = desk.author();
        let mut catalogue = desk.open()?;
        if let Some(name) = &self.remove {
            catalogue.remove_set(&author, &self.reason, name)?;
            desk.out.line(format!("removed the set `{name}`; the journal keeps what it was"));
            return Ok(());
        }
        if let Some(name) = &self.keep {
            let set = SavedSet { name: name.clone(), query: self.query.join(" "), note: self.note.clone() };
            let changed = catalogue.keep_set(&author, &self.reason, &set)?;
            let query = catalogue.query(&set.query)?;
            let holds = count(catalogue.hits(&query, &Ask::default())?.total(), "piece");
            let said = if changed { "kept" } else { "nothing to change:" };
            desk.out.line(format!("{said} `{}` as `{query}`, now {holds}", name.trim()));
            return Ok(());
        }
        let sets = catalogue.sets()?;
        for set in &sets {
            // A set whose term is gone is still listed, with what is wrong.
            let holds = catalogue.query(&set.query).and_then(|q| Ok(catalogue.hits(&q, &Ask::default())?.total()));
            if desk.json {
                let pieces = holds.ok();
                desk.out.json(
                    &serde_json::json!({ "name": set.name, "query": set.query, "note": set.note, "pieces": pieces }),
                );
                continue;
            }
            let holds = holds.map_or_else(|_| "cannot be read now".into(), |n| count(n, "piece"));
            let note = set.note.as_ref().map(|n| format!("; {n}")).unwrap_or_default();
            desk.out.line(format!("{}: {}  ({holds}{note})", set.name, set.query));
        }
        if sets.is_empty() && !desk.json {
            desk.out.line(
                "no sets yet; `dimity sets --keep \"regency bodices\" 'garment:bodice date:1800..1820'` keeps one",
            );
        }
        Ok(())
    }
}
