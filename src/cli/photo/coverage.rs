//! `dimity photo coverage`: which of the expected photographs are missing or too coarse.

use crate::analysis::coverage::{Coverage as Found, State, coverage};
use crate::cli::say::count;
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
    let present = found.in_state(State::Present).count();
    let all = found.views.len();
    let head = format!("{} {}: {}", found.number, found.object_name, count(found.photographs, "photograph"));
    let share = if found.complete() { format!("all {all}") } else { format!("{present} of {all}") };
    desk.out.line(format!("{head}, {share} expected views"));
    for (state, word) in [(State::Missing, "missing"), (State::TooCoarse, "too coarse"), (State::NotKnown, "not known")]
    {
        let (plain, told): (Vec<_>, Vec<_>) = found.in_state(state).partition(|v| v.why.is_empty());
        if !plain.is_empty() {
            let list: Vec<&str> = plain.iter().map(|v| v.view.as_str()).collect();
            desk.out.line(format!("  {word:10}  {}", list.join(", ")));
        }
        for view in told {
            desk.out.line(format!("  {word:10}  {} ({})", view.view, view.why));
        }
    }
    if !found.remark.is_empty() {
        desk.out.line(format!("  {}", found.remark));
    }
}
