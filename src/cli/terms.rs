//! `dimity terms`: the vocabulary, and the collection's own terms.

use super::{Desk, Failure};
use crate::catalogue::{Catalogue, Fault};
use crate::vocabulary::{Scheme, TermId, Vocabulary};

/// List the vocabulary, or add a term of your own
///
/// `dimity terms` names the lists; `dimity terms damage` shows one with definitions and sources;
/// `dimity terms fibre --add "pina" --definition "..." --source "..."` adds a term to your catalogue.
#[derive(Debug, clap::Args)]
pub struct Terms {
    /// Which list
    scheme: Option<String>,
    /// Add a term of your own
    #[arg(long, value_name = "NAME", requires = "scheme", requires = "definition", requires = "source")]
    add: Option<String>,
    /// The broader term that it belongs under
    #[arg(long, requires = "add")]
    broader: Option<String>,
    /// What it means
    #[arg(long, requires = "add")]
    definition: Option<String>,
    /// Where that is written, or how you know
    #[arg(long, requires = "add")]
    source: Option<String>,
    /// Remove a term of your own that no record uses
    #[arg(long, value_name = "NAME", requires = "scheme", conflicts_with = "add")]
    remove: Option<String>,
}

impl Terms {
    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        let Some(word) = &self.scheme else {
            for scheme in Scheme::ALL {
                if desk.json {
                    desk.out.json(&serde_json::json!({ "scheme": scheme.key(), "title": scheme.title() }));
                    continue;
                }
                desk.out.line(format!("{:18} {}", scheme.key(), scheme.title()));
            }
            return Ok(());
        };
        let scheme = Scheme::from_key(word)
            .ok_or_else(|| Failure::from(format!("there is no list `{word}`; `dimity terms` names them all")))?;
        let author = desk.author();
        if let Some(name) = &self.add {
            let id = TermId::new(scheme, name.trim());
            let text = |t: &Option<String>| t.clone().unwrap_or_default();
            let mut catalogue = desk.open()?;
            catalogue.add_term(&author, &id, self.broader.as_deref(), &text(&self.definition), &text(&self.source))?;
            desk.out.line(format!("added `{}` to the list `{}`", id.name(), scheme.key()));
            return Ok(());
        }
        if let Some(name) = &self.remove {
            desk.open()?.remove_term(&author, &TermId::new(scheme, name.trim()))?;
            desk.out.line(format!("removed `{}` from the list `{}`", name.trim(), scheme.key()));
            return Ok(());
        }
        let catalogue = match Catalogue::open(&desk.folder, desk.clock) {
            Ok(catalogue) => Some(catalogue),
            Err(Fault::NoCatalogue(_)) => None,
            Err(other) => return Err(other.into()),
        };
        let shipped = Vocabulary::shipped();
        for term in catalogue.as_ref().map_or(shipped, Catalogue::vocabulary).terms(scheme) {
            if desk.json {
                desk.out.json(&serde_json::json!({
                    "id": term.id.as_str(), "name": term.id.name(), "also": term.also,
                    "broader": term.broader.as_ref().map(TermId::name), "definition": term.definition,
                    "source": term.source, "local": term.local,
                }));
                continue;
            }
            let also = if term.also.is_empty() { String::new() } else { format!(" (also {})", term.also.join(", ")) };
            let local = if term.local { " [your own]" } else { "" };
            desk.out.line(format!("{}{also}{local}", term.id.name()));
            desk.out.line(format!("    {}", term.definition));
            desk.out.line(format!("    source: {}", term.source));
        }
        Ok(())
    }
}
