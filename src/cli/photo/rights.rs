//! `dimity photo rights`: what others may do with photographs, whose rights they are, and how to credit them.

use crate::catalogue::Catalogue;
use crate::cli::say::count;
use crate::cli::{Desk, Failure};
use crate::digest::short;
use crate::exchange::import::table::plain;
use crate::record::photograph::Photograph;
use crate::record::rights::Rights as Recorded;
use crate::vocabulary::Scheme;

/// What is to be recorded of rights, on any command that takes photographs in or changes them.
#[derive(Debug, Clone, Default, clap::Args)]
pub struct Given {
    /// What others may do with them: InC, NKC, CC-BY-4.0, CC0-1.0 ... (`dimity terms rights`)
    #[arg(long = "rights", value_name = "STATEMENT")]
    statement: Option<String>,
    /// Whose rights they are
    #[arg(long = "holder", value_name = "NAME")]
    holder: Option<String>,
    /// How to credit them
    #[arg(long = "credit", value_name = "TEXT")]
    credit: Option<String>,
    /// What else is to be said of their rights
    #[arg(long = "rights-note", value_name = "TEXT")]
    note: Option<String>,
}

impl Given {
    /// What was given, with the statement looked up.
    pub(super) fn rights(&self, catalogue: &Catalogue) -> Result<Recorded, Failure> {
        let find = |word: &String| catalogue.vocabulary().find(Scheme::Rights, word).map(|term| term.id.clone());
        let text = |text: &Option<String>| text.as_ref().map(|t| t.trim().to_owned()).filter(|t| !t.is_empty());
        Ok(Recorded {
            statement: self.statement.as_ref().map(find).transpose().map_err(|e| e.to_string())?,
            holder: text(&self.holder),
            credit_line: text(&self.credit),
            words: text(&self.note),
        })
    }
}

/// The photographs, and what to record.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  dimity photo rights 3fa9c1 77d0e2 --rights CC-BY-4.0 --holder \"Your Name\"\n  dimity photo rights --of 2024.1 --rights InC --holder \"the maker's heirs\"\n  dimity photo rights --of 2024.1"
)]
pub struct Rights {
    /// The photographs: the beginning of each SHA-256, as `dimity show NUMBER` lists them
    #[arg(required_unless_present = "of")]
    photographs: Vec<String>,
    /// All photographs of this piece
    #[arg(long, value_name = "NUMBER", conflicts_with = "photographs")]
    of: Option<String>,
    #[command(flatten)]
    given: Given,
    /// Blank what is not given, instead of leaving it as it stands
    #[arg(long)]
    replace: bool,
}

impl Rights {
    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        let author = desk.author();
        let mut catalogue = desk.open()?;
        let photographs = match &self.of {
            Some(number) => catalogue.piece(number)?.photographs.into_iter().map(|p| p.sha256).collect(),
            None => self.photographs.clone(),
        };
        let given = self.given.rights(&catalogue)?;
        if given.is_blank() && !self.replace {
            for beginning in &photographs {
                say(desk, &catalogue, &catalogue.photograph(beginning)?);
            }
            return Ok(());
        }
        let changed = catalogue.set_photograph_rights(&author, &photographs, &given, self.replace)?;
        if desk.json {
            desk.out.json(&serde_json::json!({ "changed": changed, "of": photographs.len() }));
        } else {
            desk.out.line(format!("rights of {} set; {changed} changed", count(photographs.len(), "photograph")));
        }
        Ok(())
    }
}

fn say(desk: &mut Desk, catalogue: &Catalogue, photo: &Photograph) {
    let stated = photo.rights.stated(catalogue.vocabulary());
    if desk.json {
        let term = stated.map(|t| serde_json::json!({ "id": t.id, "identifier": t.identifier, "uri": t.uri }));
        let said = &photo.rights;
        desk.out.json(&serde_json::json!({
            "sha256": photo.sha256, "statement": term, "holder": said.holder, "credit_line": said.credit_line,
            "words": said.words,
        }));
        return;
    }
    let line = photo.rights.line(catalogue.vocabulary());
    let line = if line.is_empty() { "rights not recorded".to_owned() } else { line };
    desk.out.line(format!("{}  {}  {line}", short(&photo.sha256), plain(&photo.original_name)));
}
