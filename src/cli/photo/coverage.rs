//! `dimity photo coverage`: which of the expected photographs are missing or too coarse.

use crate::analysis::coverage::{Coverage as Found, coverage};
use crate::cli::{Desk, Failure};

/// The pieces to look at.
#[derive(Debug, clap::Args)]
pub struct Coverage {
    /// Accession numbers; all pieces if none is given
    numbers: Vec<String>,
}

impl Coverage {
    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        let catalogue = desk.open()?;
        let numbers = if self.numbers.is_empty() { catalogue.numbers()? } else { self.numbers };
        for number in numbers {
            let found = coverage(&catalogue.piece(&number)?, catalogue.vocabulary());
            if desk.json {
                desk.out.json(&found);
            } else {
                say(desk, &found);
            }
        }
        Ok(())
    }
}

fn say(desk: &mut Desk, found: &Found) {
    desk.out.line(format!("{} {}: {}", found.number, found.object_name, found.summary()));
    for (state, line) in found.wanting() {
        desk.out.line(format!("  {:10}  {line}", state.words()));
    }
    if !found.remark.is_empty() {
        desk.out.line(format!("  {}", found.remark));
    }
}
