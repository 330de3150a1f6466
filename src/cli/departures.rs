//! `dimity departures`: where makers departed, and what they learned, across all reconstructions.

use super::say::count;
use super::{Desk, Failure};
use crate::catalogue::KeptDeparture;
use crate::printing::{self, WhichDepartures};

/// List the departures of all reconstructions, with reasons and what was learned for next time
///
/// `dimity departures --reason fit` lists those made for the fit; `--of 2023.R1` those of one piece; `--learned` those
/// from which something was learned. Whether a departure still shows, `dimity compare` says.
#[derive(Debug, clap::Args)]
pub struct Departures {
    /// Only for this reason: fit, cost, supply, time ...; `dimity terms departure_reason` names them all
    #[arg(long, value_name = "REASON")]
    reason: Option<String>,
    /// Only of this piece
    #[arg(long, value_name = "NUMBER")]
    of: Option<String>,
    /// Only those from which something was learned
    #[arg(long)]
    learned: bool,
    /// Print CSV
    #[arg(long, conflicts_with = "json")]
    csv: bool,
}

impl Departures {
    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        let catalogue = desk.open()?;
        let which = WhichDepartures { reason: self.reason.as_deref(), of: self.of.as_deref(), learned: self.learned };
        let list = printing::some_departures(&catalogue, which)?;
        if desk.json {
            list.iter().for_each(|one| desk.out.json(one));
            return Ok(());
        }
        if self.csv {
            let rows: Vec<Vec<String>> = list.iter().map(printing::departure_row).collect();
            return desk.out.csv(&printing::DEPARTURE_HEADINGS, &rows);
        }
        by_reason(&list, desk);
        Ok(())
    }
}

/// The departures under their reasons, the most frequent first.
fn by_reason(list: &[KeptDeparture], desk: &mut Desk) {
    if list.is_empty() {
        desk.out.line("no such departure is recorded; they are entered under [[departure]] in a sheet");
        return;
    }
    let mut reasons: Vec<(&str, usize)> = Vec::new();
    for departure in list {
        match reasons.iter_mut().find(|(reason, _)| *reason == departure.reason) {
            Some((_, n)) => *n += 1,
            None => reasons.push((&departure.reason, 1)),
        }
    }
    reasons.sort_by_key(|(_, n)| std::cmp::Reverse(*n));
    for (reason, n) in reasons {
        desk.out.line(format!("{reason}: {}", count(n, "departure")));
        for d in list.iter().filter(|d| d.reason == reason) {
            let place = if d.component.is_empty() { String::new() } else { format!("{}, ", d.component) };
            let change = match (&d.was, &d.now) {
                (Some(was), Some(now)) => format!(": {was} → {now}"),
                (Some(was), None) => format!(": was {was}"),
                (None, Some(now)) => format!(": now {now}"),
                (None, None) => String::new(),
            };
            desk.out.line(format!("  {:<10} {place}{}{change}", d.number, d.feature));
            d.note.iter().for_each(|note| desk.out.line(format!("             {note}")));
            d.learned.iter().for_each(|learned| desk.out.line(format!("             for next time: {learned}")));
        }
    }
}
