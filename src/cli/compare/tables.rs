//! How comparisons of many pieces are printed: the list of those kept, one table a subject, one square of counts.

use super::super::{Desk, Failure};
use crate::analysis::comparison::{ByHand, Matrix, Square};
use crate::catalogue::Kept;

/// The day of a moment.
pub(super) fn day(at: &str) -> &str {
    at.split('T').next().unwrap_or(at)
}

pub(super) fn list(kept: &[Kept], as_csv: bool, desk: &mut Desk) -> Result<(), Failure> {
    if desk.json {
        kept.iter().for_each(|one| desk.out.json(one));
        return Ok(());
    }
    if as_csv {
        let rows: Vec<Vec<String>> = kept
            .iter()
            .map(|k| {
                let pairs = k.basis.pairs.iter().map(ByHand::written).collect::<Vec<_>>().join("; ");
                let sizes = k.basis.sizes.written().replace('\n', "; ");
                let tolerances = k.basis.tolerances.written().replace('\n', "; ");
                let stands = if k.stands { "stands" } else { "changed or removed since" };
                let fields =
                    [&k.name, &k.subject, &k.others.join(" "), &pairs, &sizes, &tolerances, &k.by, &k.at, &k.reason];
                fields.into_iter().cloned().chain([stands.to_owned()]).collect()
            })
            .collect();
        let headings = ["name", "piece", "others", "pairs", "sizes", "tolerances", "by", "kept at", "reason", "state"];
        return desk.out.csv(&headings, &rows);
    }
    if kept.is_empty() {
        desk.out.line("no comparison is kept; `dimity compare NUMBER --with NUMBER --keep NAME` keeps one");
    }
    let mut name = "";
    for one in kept {
        let is_last = !name.eq_ignore_ascii_case(&one.name);
        name = &one.name;
        let start = match (one.stands, is_last) {
            (true, _) => name.to_owned(),
            (false, true) => format!("removed: {name}"),
            (false, false) => format!("    before: {name}"),
        };
        let with = one.others.join(", ");
        desk.out.line(format!("{start}: {} beside {with}; {}, {}: {}", one.subject, one.by, day(&one.at), one.reason));
        let sizes = one.basis.sizes.written().replace('\n', "; ");
        let pairs: Vec<String> = one.basis.pairs.iter().map(ByHand::written).collect();
        for terms in [sizes, pairs.join("; ")].iter().filter(|terms| !terms.is_empty()) {
            desk.out.line(format!("        {terms}"));
        }
    }
    Ok(())
}

/// Sets texts in aligned columns, each cut at a width.
fn columns(rows: &[Vec<String>], widest: usize) -> Vec<String> {
    let cut = |text: &String| {
        if text.chars().count() <= widest {
            return text.clone();
        }
        text.chars().take(widest - 1).chain(['…']).collect()
    };
    let rows: Vec<Vec<String>> = rows.iter().map(|row| row.iter().map(cut).collect()).collect();
    let width = |column: usize| rows.iter().filter_map(|r| r.get(column)).map(|t| t.chars().count()).max().unwrap_or(0);
    let widths: Vec<usize> = (0..rows.iter().map(Vec::len).max().unwrap_or(0)).map(width).collect();
    let pad = |(text, width): (&String, &usize)| format!("{text}{}", " ".repeat(width - text.chars().count()));
    rows.iter()
        .map(|row| row.iter().zip(&widths).map(pad).collect::<Vec<_>>().join("  ").trim_end().to_owned())
        .collect()
}

pub(super) fn table(matrix: &Matrix<'_>, as_csv: bool, desk: &mut Desk) -> Result<(), Failure> {
    if desk.json {
        desk.out.json(matrix);
        return Ok(());
    }
    let (headings, rows) = matrix.written();
    if as_csv {
        return desk.out.csv(&headings, &rows);
    }
    for (other, counts) in matrix.others.iter().zip(&matrix.counts) {
        let name = if other.name.is_empty() { String::new() } else { format!(", {}", other.name) };
        desk.out.line(format!("{} beside {}{name}: {}", matrix.subject.number, other.number, counts.words()));
    }
    matrix.scaled.iter().filter(|words| !words.is_empty()).for_each(|words| desk.out.line(words));
    let mut group = "";
    let mut lines: Vec<Vec<String>> = vec![headings[1..].to_vec()];
    let mut titles: Vec<(usize, &str)> = Vec::new();
    for (row, words) in matrix.rows.iter().zip(&rows) {
        if row.group != group {
            group = row.group;
            titles.push((lines.len(), group));
        }
        lines.push(words[1..].to_vec());
    }
    let mut titles = titles.into_iter().peekable();
    for (at, line) in columns(&lines, 30).iter().enumerate() {
        if let Some((_, title)) = titles.next_if(|(place, _)| *place == at) {
            desk.out.line(format!("\n{title}"));
        }
        let blank = if at == 0 { "\n" } else { "" };
        desk.out.line(format!("{blank}  {line}"));
    }
    desk.out.line(
        "\nDifference: compared piece minus the other, ± expanded uncertainty for 95 %. Blank: recorded on neither.",
    );
    desk.out.line("`--full` prints each comparison with reasons, tolerances and what cannot be told.");
    Ok(())
}

pub(super) fn square(square: &Square<'_>, as_csv: bool, desk: &mut Desk) -> Result<(), Failure> {
    if desk.json {
        desk.out.json(square);
        return Ok(());
    }
    let (headings, rows) = square.written();
    if as_csv {
        return desk.out.csv(&headings, &rows);
    }
    let lines = std::iter::once(headings).chain(rows).collect::<Vec<_>>();
    columns(&lines, 30).iter().for_each(|line| desk.out.line(line));
    desk.out.line(
        "\nagree/differ/cannot be told, of the features recorded on both. These are counts, not a measure of likeness.",
    );
    Ok(())
}
