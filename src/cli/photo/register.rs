//! `dimity photo register`: one photograph laid over another, and whether the two may be compared.

use crate::analysis::comparability::Comparability;
use crate::cli::{Desk, Failure};
use crate::exchange::import::table::plain;
use crate::exchange::json;
use crate::geometry::Point;
use crate::record::photograph::Photograph;
use crate::record::registration::{Registration, mark};

/// The two photographs and the marks that both show.
///
/// With marks, keeps how the second lies over the first; reports then show the two under a slider, and where they
/// differ. Without, says whether the two are alike enough to be compared, and how they lie if that is known.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  dimity photo register 3fa9c1 77d0e2\n  dimity photo register 3fa9c1 77d0e2 --mark \"812,400 = 830,411\" --mark \"1490,420 = 1502,436\" \\\n      --mark \"1478,1301 = 1481,1320\" --mark \"305,1290 = 318,1297\"\n\nMarks are pixels of the upright photographs, the first before the sign: seam ends, buttonholes, a print's corners. Four at least, of which no three lie in a line, far apart and in one plane; from five on it is said how far they are missed."
)]
pub struct Register {
    /// The photograph that stays as it is, the earlier or the original: the beginning of its SHA-256
    first: String,
    /// The photograph that is laid over it
    second: String,
    /// The same mark on both, as `X,Y = X,Y`; four or more
    #[arg(long = "mark", value_name = "PLACES")]
    marks: Vec<String>,
    /// Take the marks back by which the second lies over the first, with `--reason`; those set before hold again, if there
    /// were any
    #[arg(long, requires = "reason", conflicts_with = "marks")]
    take_back: bool,
    /// Why they are taken back; the journal keeps it
    #[arg(long, value_name = "TEXT", requires = "take_back")]
    reason: Option<String>,
}

impl Register {
    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        let marks = self.marks.iter().map(|m| mark(m)).collect::<Result<Vec<(Point, Point)>, _>>()?;
        let mut catalogue = desk.open()?;
        if !marks.is_empty() {
            catalogue.register(&desk.author(), &self.first, &self.second, &marks)?;
        }
        if self.take_back {
            let reason = self.reason.unwrap_or_default();
            let pair = (self.first.as_str(), self.second.as_str());
            let before = catalogue.take_back_registration(&desk.author(), &reason, pair, None)?;
            let holds =
                if before { "those set before hold again" } else { "the two are not laid over each other any more" };
            if !desk.json {
                desk.out.line(format!("took the marks back; {holds}"));
            }
        }
        let (first, second) = (catalogue.photograph(&self.first)?, catalogue.photograph(&self.second)?);
        let found = Comparability::of(&first, &second);
        let by = first.registered.iter().find(|r| r.other == second.sha256);
        if desk.json {
            desk.out.json(&serde_json::json!({
                "first": first.sha256, "second": second.sha256, "conditions": found.lines,
                "verdicts": found.verdicts(), "registration": by.map(json::registration),
            }));
        } else {
            lines(&first, &second, &found, by).into_iter().for_each(|line| desk.out.line(line));
        }
        Ok(())
    }
}

fn lines(first: &Photograph, second: &Photograph, found: &Comparability, by: Option<&Registration>) -> Vec<String> {
    let named = |p: &Photograph| format!("{} of {}", plain(&p.original_name), p.number);
    let mut lines = vec![format!("{} beside {}", named(first), named(second))];
    for line in &found.lines {
        let or_blank = |text: &str| if text.is_empty() { "not recorded".to_owned() } else { text.to_owned() };
        let limit = if line.limit.is_empty() { String::new() } else { format!(" ({})", line.limit) };
        lines.push(format!(
            "  {}: {}; {} | {}{limit}",
            line.condition,
            line.likeness.words(),
            or_blank(&line.first),
            or_blank(&line.second)
        ));
    }
    lines.extend(found.verdicts());
    lines.push(match by.map(|by| (by.marks.len(), by.residual())) {
        None => "Not registered: give four marks or more that both show, `--mark \"X,Y = X,Y\"`".into(),
        Some((n, Some(r))) => format!(
            "Registered by {n} marks, missed by {:.1} px (rms) and {:.1} px at most; what is not in their plane is shifted",
            r.rms, r.worst
        ),
        Some((n, None)) => {
            format!("Registered by {n} marks; a fifth would tell how well. What is not in their plane is shifted")
        }
    });
    lines
}
