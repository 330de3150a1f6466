//! A scheme file as written: TOML in, terms out. Apart, so that the shape of the file can be seen
//! at once by whoever adds a term.

use serde::Deserialize;

use super::{Scheme, Term, TermId};

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct SchemeFile {
    scheme: String,
    title: String,
    note: String,
    #[serde(default)]
    term: Vec<Entry>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Entry {
    name: String,
    #[serde(default)]
    also: Vec<String>,
    identifier: Option<String>,
    uri: Option<String>,
    broader: Option<String>,
    definition: String,
    source: String,
    kind: Option<String>,
    looks: Option<String>,
    #[serde(default)]
    confused_with: Vec<String>,
    #[serde(default)]
    causes: Vec<String>,
    #[serde(default)]
    extent: Vec<String>,
    occurs: Option<String>,
    #[serde(default)]
    cautions: Vec<String>,
    #[serde(default)]
    avoid: Vec<String>,
    #[serde(default)]
    dimensions: Vec<String>,
    #[serde(default)]
    components: Vec<String>,
    how: Option<String>,
    group: Option<String>,
    rank: Option<u8>,
}

/// Reads one scheme file, checking what a file can check of itself: the scheme is known, the title
/// is its title, and every term has a name, a definition and a source. Terms keep the file's order.
///
/// # Errors
/// A sentence that names the term and the mend; for broken TOML, the reader's own message with its line.
pub fn parse_scheme(text: &str) -> Result<Vec<Term>, String> {
    let file: SchemeFile = toml::from_str(text).map_err(|error| error.to_string())?;
    let scheme = Scheme::from_key(&file.scheme)
        .ok_or_else(|| format!("`{}` is no scheme; the file's name without `.toml` is the key", file.scheme))?;
    if file.title != scheme.title() {
        return Err(format!("title `{}` of `{}`: write `{}`", file.title, file.scheme, scheme.title()));
    }
    if file.note.trim().is_empty() {
        return Err(format!("`{}` has an empty note; say what the list is for", file.scheme));
    }
    file.term.into_iter().map(|entry| term(scheme, entry)).collect()
}

fn term(scheme: Scheme, entry: Entry) -> Result<Term, String> {
    let name = entry.name.trim().to_owned();
    if name.is_empty() {
        return Err(format!("a term of `{}` has no name; give one", scheme.key()));
    }
    for (what, value) in [("definition", &entry.definition), ("source", &entry.source)] {
        if value.trim().is_empty() {
            return Err(format!("`{name}` of `{}` has an empty {what}; write one", scheme.key()));
        }
    }
    Ok(Term {
        id: TermId::new(scheme, &name),
        also: entry.also,
        identifier: entry.identifier,
        uri: entry.uri,
        broader: entry.broader.map(|wider| TermId::new(scheme, &wider)),
        definition: entry.definition,
        source: entry.source,
        local: false,
        own_wording: None,
        kind: entry.kind,
        looks: entry.looks,
        confused_with: entry.confused_with,
        causes: entry.causes,
        extent: entry.extent,
        occurs: entry.occurs,
        cautions: entry.cautions,
        avoid: entry.avoid,
        dimensions: entry.dimensions,
        components: entry.components,
        how: entry.how,
        group: entry.group,
        rank: entry.rank,
    })
}
