//! `dimity terms`: the vocabulary, and the collection's own terms.

use super::{Desk, Failure};
use crate::catalogue::{Catalogue, Fault};
use crate::vocabulary::{Scheme, TermId, Vocabulary, Wording};

/// List the vocabulary, add a term of your own, or define one in your own words
///
/// `dimity terms` names the lists; `dimity terms damage` shows one with definitions and sources;
/// `dimity terms fibre --add "pina" --definition "..." --source "..."` adds a term to your catalogue;
/// `dimity terms grade --define good --definition "..." --source "house rules" --since 2024-01-01` defines a word of
/// judgement (grade, stability, urgency, severity, activity, damage) in your own words. A report prints the definition
/// in force on the day of its examination; earlier wordings stay. `--restore good` goes back to the shipped one.
#[derive(Debug, clap::Args)]
pub struct Terms {
    /// Which list
    scheme: Option<String>,
    /// Add a term of your own
    #[arg(
        long,
        value_name = "NAME",
        requires = "scheme",
        requires = "definition",
        requires = "source",
        group = "meant"
    )]
    add: Option<String>,
    /// The broader term that it belongs under
    #[arg(long, requires = "add")]
    broader: Option<String>,
    /// What it means
    #[arg(long, requires = "meant")]
    definition: Option<String>,
    /// Where that is written, who decided it, or how you know
    #[arg(long, requires = "meant")]
    source: Option<String>,
    /// Define a term in your own words, from a day on
    #[arg(
        long,
        value_name = "NAME",
        requires = "scheme",
        requires = "definition",
        requires = "source",
        group = "meant"
    )]
    define: Option<String>,
    /// Go back to the shipped definition, from a day on
    #[arg(long, value_name = "NAME", requires = "scheme", conflicts_with = "definition", group = "meant")]
    restore: Option<String>,
    /// The first day on which that holds; today if not given
    #[arg(long, value_name = "DAY", conflicts_with = "add", requires = "meant")]
    since: Option<jiff::civil::Date>,
    /// Remove a term of your own that no record uses
    #[arg(long, value_name = "NAME", requires = "scheme", conflicts_with = "meant")]
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
        if self.define.is_some() || self.restore.is_some() {
            return self.word(scheme, &author, desk);
        }
        let catalogue = match Catalogue::open(&desk.folder, desk.clock) {
            Ok(catalogue) => Some(catalogue),
            Err(Fault::NoCatalogue(_)) => None,
            Err(other) => return Err(other.into()),
        };
        let words = catalogue.as_ref().map_or(Vocabulary::shipped(), Catalogue::vocabulary);
        for term in words.on(desk.today()).terms(scheme) {
            if desk.json {
                desk.out.json(&serde_json::json!({
                    "id": term.id.as_str(), "name": term.id.name(), "also": term.also,
                    "identifier": term.identifier, "uri": term.uri,
                    "broader": term.broader.as_ref().map(TermId::name), "definition": term.definition,
                    "source": term.source, "local": term.local, "own_wording": term.own_wording,
                    "wordings": words.wordings(&term.id).map(|w| serde_json::json!({
                        "since": w.since.to_string(), "entered": w.entered.to_string(), "definition": w.definition,
                        "source": w.source,
                    })).collect::<Vec<_>>(),
                }));
                continue;
            }
            let also = if term.also.is_empty() { String::new() } else { format!(" (also {})", term.also.join(", ")) };
            let local = if term.local { " [your own]" } else { "" };
            desk.out.line(format!("{}{also}{local}", term.id.name()));
            if let Some(uri) = &term.uri {
                let identifier = term.identifier.as_deref().unwrap_or_default();
                desk.out.line(format!("    {identifier}  {uri}"));
            }
            desk.out.line(format!("    {}", term.definition));
            let own = term.own_wording.as_ref().map(|own| format!("; {own}")).unwrap_or_default();
            desk.out.line(format!("    source: {}{own}", term.source));
            for w in words.wordings(&term.id).filter(|_| !desk.json) {
                let definition = w.definition.as_deref().unwrap_or("as shipped");
                desk.out.line(format!("    from {}: {definition} ({}; entered {})", w.since, w.source, w.entered));
            }
        }
        Ok(())
    }

    /// Defines a term in the collection's own words, or goes back to the shipped ones.
    fn word(&self, scheme: Scheme, author: &str, desk: &mut Desk) -> Result<(), Failure> {
        let name = self.define.as_ref().or(self.restore.as_ref()).map_or("", |n| n.trim());
        let since = self.since.unwrap_or_else(|| desk.today());
        let wording = Wording {
            term: TermId::new(scheme, name),
            since,
            entered: desk.today(),
            definition: self.definition.clone().filter(|_| self.define.is_some()),
            source: self.source.clone().unwrap_or_else(|| "as shipped".into()),
        };
        let changed = desk.open()?.word_term(author, &wording)?;
        desk.out.line(match (changed, self.define.is_some()) {
            (false, _) => format!("`{name}` means that already on {since}; nothing was changed"),
            (true, true) => format!("from {since} on `{name}` is printed with your own definition"),
            (true, false) => format!("from {since} on `{name}` is printed with the shipped definition again"),
        });
        Ok(())
    }
}
