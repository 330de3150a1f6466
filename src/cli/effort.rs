//! `dimity effort`: what a piece takes to sew by hand, and what is left to do.

use super::{Desk, Failure};
use crate::analysis::effort::Effort;
use crate::measure::rounded;
use crate::printing;
use crate::report::{self, clock, interval, sum};

/// Reckon the stitches and hours of a piece from its seams and a maker's pace
///
/// Stitches are seam length times stitch density. Hours follow from the pace that the work logs give: write `purpose` (and
/// `component`) into a line of [[work]], and its hours are set against the stitches of that seam. Fewer than three lines of
/// one stitch, and a built-in rate with a wide interval is used. What is not recorded stays unknown and is named.
#[derive(Debug, clap::Args)]
pub struct Of {
    /// Accession number
    number: String,
    /// Whose pace: only work logs of pieces by this maker. If not given, the piece's own maker if there is a log, else all
    #[arg(long, value_name = "NAME")]
    maker: Option<String>,
}

impl Of {
    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        let catalogue = desk.open()?;
        let file = catalogue.piece(&self.number)?;
        let found = printing::effort(&catalogue, &file, self.maker.as_deref())?;
        if desk.json {
            desk.out.json(&found);
        } else {
            lines(&found).iter().for_each(|line| desk.out.line(line));
        }
        Ok(())
    }
}

fn lines(e: &Effort) -> Vec<String> {
    let mut lines = vec![format!("{}: lines of stitches, hours with their 95 % interval", e.number)];
    for l in &e.lines {
        let place = if l.component.is_empty() { String::new() } else { format!(", {}", l.component) };
        let after = l.after.as_ref().map(|n| format!(" (as on {n})")).unwrap_or_default();
        let standing = report::standing(l);
        let standing = if standing.is_empty() { standing } else { format!("; {standing}") };
        let found = match (&l.hours, l.stitches) {
            (Some(hours), Some((n, u))) => {
                let (n, u) = rounded(n, u);
                format!("{n} stitches (u {u}), {} ({})", clock(hours.value), interval(hours))
            }
            _ => format!("not reckoned: {}", l.why_not),
        };
        let remark = if l.remark.is_empty() { String::new() } else { format!("; {}", l.remark) };
        lines.push(format!("  {}{place}{after}, {}: {found}{standing}{remark}", l.purpose, l.stitch));
    }
    lines.push(format!("the whole: {}", sum(&e.whole)));
    if let Some(left) = &e.left {
        lines.push(if left.lines + left.unknown == 0 {
            "left to do: nothing; the log names every line".into()
        } else {
            format!("left to do: {}", sum(left))
        });
        lines.push(format!("logged: {} in all, {} of it sewing", clock(e.logged.all), clock(e.logged.sewing)));
    }
    if e.compared.lines > 0 {
        lines.push(format!(
            "of that {} sewed what should take {} ({})",
            clock(e.logged.comparable),
            clock(e.compared.hours.value),
            interval(&e.compared.hours)
        ));
    }
    for r in &e.rates {
        let low = r.interval.0.max(0.0);
        lines.push(format!(
            "rate, {}: {:.0} stitches an hour ({low:.0} to {:.0}), {}",
            r.stitch,
            r.per_hour,
            r.interval.1,
            r.in_words()
        ));
    }
    for p in &e.passed_over {
        lines.push(format!("no pace from {}, {}, {}: {}", p.number, p.date, p.task, p.why));
    }
    lines
}
