//! `dimity compare`: a piece beside others in the terminal, as CSV or as JSON; on stated terms, which can be kept by name.

use super::say::{count, csv};
use super::{Desk, Failure};
use crate::analysis::comparison::{
    self, Basis, ByHand, Cell, Comparison, Features, Heading, Matrix, Nearest, Sizing, Square, nearest,
};
use crate::catalogue::{Catalogue, Keeping, Kept};
use crate::record::PieceFile;

/// Compare a piece with others, feature by feature
///
/// `dimity compare 2023.R1 --with 2018.2` sets a reconstruction beside its model. Several others come as one table;
/// `--full` prints each in full, `--csv` every figure, `--among` the others with one another too.
///
/// Size apart from shape: `--scale 1/8` says that the others are an eighth of the piece (a pattern); `--fit "bust, waist,
/// centre back length"` fits the factor to these dimensions. Lengths and girths are scaled; fixed things (tape, seam
/// allowance, buttons, stitches) and cloth never are.
///
/// `--pair "collar = neck band"` says which components belong together. `--tolerance "length 3 % or 4 mm"` says how
/// large a difference still counts as agreement: length, girth, fixed, thickness, loom width, threads, stitches, yarn,
/// angle, turns, crimp, cover, mass, count, colour, proportion. `--keep NAME` keeps all of this for `--kept NAME`.
///
/// `--cloth shell` ranks the cloths of the other pieces for the shell of this one, nearest first.
#[derive(Debug, clap::Args)]
#[expect(clippy::struct_excessive_bools, reason = "each is a flag of the command line")]
pub struct Compare {
    /// Accession number of the piece
    #[arg(required_unless_present_any = ["kept", "list"])]
    number: Option<String>,
    /// What to compare it with
    #[arg(long = "with", value_name = "NUMBER", required_unless_present_any = ["kept", "list", "cloth"], num_args = 1..)]
    others: Vec<String>,
    #[command(flatten)]
    terms: Terms,
    /// Each of several others in full
    #[arg(long, conflicts_with_all = ["table", "among", "cloth"])]
    full: bool,
    /// All in one table, also where there is one other only
    #[arg(long)]
    table: bool,
    /// Compare the others with one another too, and count what agrees and differs
    #[arg(long, conflicts_with_all = ["table", "cloth"])]
    among: bool,
    /// Print CSV: a row a feature with every figure; of `--table`, `--among`, `--cloth` and `--list` the table
    #[arg(long, conflicts_with = "json")]
    csv: bool,
    /// Rank the cloths of the others for this one, nearest first: `shell`, or `collar: interlining`; without `--with`,
    /// those of every piece that is not extant
    #[arg(long, value_name = "ROLE")]
    cloth: Option<String>,
    /// Keep the comparison by this name; one of that name that stood before stays readable
    #[arg(long, value_name = "NAME", conflicts_with = "cloth")]
    keep: Option<String>,
    /// Why it is kept or changed; the journal keeps it
    #[arg(long, value_name = "TEXT", requires = "keep", default_value = "comparison kept")]
    reason: String,
    /// List the comparisons that are kept
    #[arg(long, conflicts_with_all = ["number", "others", "kept", "keep", "cloth", "full", "table", "among"])]
    list: bool,
}

/// On what terms pieces are compared: the same for `compare` and `report comparison`.
#[derive(Debug, Clone, Default, clap::Args)]
pub struct Terms {
    /// Components that belong together: that of the piece, then that of the other: `collar = neck band`
    #[arg(long = "pair", value_name = "OURS = THEIRS")]
    pairs: Vec<String>,
    /// How large a difference still counts as agreement: `length 3 % or 4 mm`
    #[arg(long = "tolerance", value_name = "RULE")]
    tolerances: Vec<String>,
    /// Size of the others beside the piece: `1/8`, `94 %`, `lengths 97 %, girths 92 %`
    #[arg(long, value_name = "SIZE")]
    scale: Option<String>,
    /// Fit their size to these dimensions: `bust, waist, centre back length`; `girths: bust, waist` for girths alone
    #[arg(long, value_name = "DIMENSIONS")]
    fit: Vec<String>,
    /// A comparison kept by this name; what else is given takes the place of what it says
    #[arg(long, value_name = "NAME")]
    kept: Option<String>,
    /// The kept comparison as it was so many changes before
    #[arg(long, value_name = "CHANGES", requires = "kept", default_value_t = 0)]
    before: usize,
}

/// What is to be compared, all of it settled.
pub(super) struct Settled {
    pub subject: String,
    pub others: Vec<String>,
    pub basis: Basis,
    kept: Option<Kept>,
}

impl Terms {
    /// Puts together what a kept comparison says and what is given beside it.
    pub(super) fn settle(
        &self,
        number: Option<&String>,
        others: &[String],
        catalogue: &Catalogue,
    ) -> Result<Settled, Failure> {
        let kept = self.kept.as_ref().map(|name| catalogue.kept_comparison(name, self.before)).transpose()?;
        let mut settled = Settled::plain("", &[]);
        if let Some(kept) = kept {
            let basis = kept.basis.clone();
            settled = Settled { subject: kept.subject.clone(), others: kept.others.clone(), basis, kept: Some(kept) };
        }
        if let Some(number) = number {
            settled.subject.clone_from(number);
        }
        if !others.is_empty() {
            settled.others = others.to_vec();
        }
        let basis = &mut settled.basis;
        self.tolerances.iter().try_for_each(|rule| basis.tolerances.set_written(rule))?;
        if !self.pairs.is_empty() {
            basis.pairs = self.pairs.iter().map(|pair| ByHand::read(pair)).collect::<Result<_, _>>()?;
        }
        if let Some(scale) = &self.scale {
            basis.sizes.state(scale)?;
        }
        let stated = basis.sizes.clone();
        for fit in &self.fit {
            basis.sizes.fit(fit, catalogue.vocabulary())?;
        }
        let both = |stated: &Sizing, now: &Sizing| matches!(stated, Sizing::Stated { .. }) && stated != now;
        if self.scale.is_some()
            && (both(&stated.lengths, &basis.sizes.lengths) || both(&stated.girths, &basis.sizes.girths))
        {
            return Err(
                "a size is either stated or fitted: give `--scale` or `--fit`, or each for `lengths` or `girths` alone"
                    .into(),
            );
        }
        Ok(settled)
    }
}

impl Settled {
    /// One piece beside others, on the terms that hold where nothing is said.
    pub(super) fn plain(subject: &str, others: &[&str]) -> Self {
        let others = others.iter().map(|other| (*other).to_owned()).collect();
        Self { subject: subject.into(), others, basis: Basis::default(), kept: None }
    }

    /// Reads the pieces.
    pub(super) fn pieces(&self, catalogue: &Catalogue) -> Result<(PieceFile, Vec<PieceFile>), Failure> {
        let subject = catalogue.piece(&self.subject)?;
        let others = self.others.iter().map(|o| catalogue.piece(o)).collect::<Result<Vec<_>, _>>()?;
        Ok((subject, others))
    }
}

impl Compare {
    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        let author = desk.author();
        let mut catalogue = desk.open()?;
        if self.list {
            return list(&catalogue.kept_comparisons()?, self.csv, desk);
        }
        let asked = self.terms.settle(self.number.as_ref(), &self.others, &catalogue)?;
        if let Some(cloth) = &self.cloth {
            return rank(cloth, &asked, &catalogue, self.csv, desk);
        }
        let (subject, others) = asked.pieces(&catalogue)?;
        let mut found = comparison::compare_many(&subject, &others, catalogue.vocabulary(), &asked.basis)?;
        if let Some(name) = &self.keep {
            let kept = catalogue.keep_comparison(
                &author,
                &self.reason,
                name,
                (&asked.subject, &asked.others),
                &asked.basis,
            )?;
            if !desk.json && !self.csv {
                desk.out.line(match kept {
                    Keeping::New => format!("kept as `{name}`\n"),
                    Keeping::Changed => {
                        format!("kept as `{name}`; what stood before is read with `--kept \"{name}\" --before 1`\n")
                    }
                    Keeping::Same => format!("`{name}` says the same already; nothing was changed\n"),
                });
            }
        }
        if self.among {
            found.extend(among(&others, &catalogue, &asked.basis)?);
            let mut pieces = vec![Heading::of(&subject)];
            pieces.extend(others.iter().filter(|o| o.number() != subject.number()).map(Heading::of));
            return square(&Square::of(&pieces, &found), self.csv, desk);
        }
        if self.table {
            return match Matrix::of(&found) {
                Some(matrix) => table(&matrix, self.csv, desk),
                None => Err("there is nothing to set beside each other".into()),
            };
        }
        if self.csv {
            let (headings, rows) = comparison::rows(&found);
            desk.out.line(csv(&headings, &rows)?.trim_end());
            return Ok(());
        }
        if desk.json {
            found.iter().for_each(|one| desk.out.json(one));
            return Ok(());
        }
        if let Some(kept) = &asked.kept {
            desk.out.line(format!("`{}`, kept by {} on {}: {}\n", kept.name, kept.by, day(&kept.at), kept.reason));
        }
        match found.as_slice() {
            many if many.len() > 1 && !self.full => Matrix::of(many).map_or(Ok(()), |m| table(&m, false, desk)),
            all => {
                all.iter().for_each(|one| desk.out.line(comparison::as_text(one).trim_end()));
                Ok(())
            }
        }
    }
}

/// The others beside one another. Components paired by hand and sizes are between the piece and the others, and have no
/// part here.
fn among(others: &[PieceFile], catalogue: &Catalogue, basis: &Basis) -> Result<Vec<Comparison>, Failure> {
    if basis.sizes != Basis::default().sizes {
        return Err("`--among` compares at the sizes recorded; leave out `--scale` and `--fit`".into());
    }
    let vocabulary = catalogue.vocabulary();
    let plain = Basis { pairs: Vec::new(), ..basis.clone() };
    let read: Vec<Features<'_>> = others.iter().map(|other| Features::of(other, vocabulary)).collect();
    let pairs = read.iter().enumerate().flat_map(|(i, one)| read[i + 1..].iter().map(move |other| (one, other)));
    Ok(pairs.map(|(one, other)| comparison::compare_features(one, other, vocabulary, &plain)).collect())
}

/// The day of a moment.
fn day(at: &str) -> &str {
    at.split('T').next().unwrap_or(at)
}

fn list(kept: &[Kept], as_csv: bool, desk: &mut Desk) -> Result<(), Failure> {
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
                let stands = if k.stands { "stands" } else { "changed since" };
                let fields =
                    [&k.name, &k.subject, &k.others.join(" "), &pairs, &sizes, &tolerances, &k.by, &k.at, &k.reason];
                fields.into_iter().cloned().chain([stands.to_owned()]).collect()
            })
            .collect();
        let headings = ["name", "piece", "others", "pairs", "sizes", "tolerances", "by", "kept at", "reason", "state"];
        desk.out.line(csv(&headings, &rows)?.trim_end());
        return Ok(());
    }
    if kept.is_empty() {
        desk.out.line("no comparison is kept; `dimity compare NUMBER --with NUMBER --keep NAME` keeps one");
    }
    for one in kept {
        let start = if one.stands { one.name.clone() } else { format!("    before: {}", one.name) };
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

/// What a cell of the table says: the difference and the verdict, or what is recorded where nothing can be decided.
fn cell(cell: Option<&Cell>, subject: bool) -> String {
    match cell {
        None if subject => "not recorded".into(),
        None => String::new(),
        Some(Cell { verdict: None, words, .. }) => words.clone(),
        Some(Cell { verdict: Some(verdict), difference, words, .. }) => {
            let what = if difference.is_empty() || difference == "0" { words } else { difference };
            format!("{}: {what}", verdict.words())
        }
    }
}

fn table(matrix: &Matrix, as_csv: bool, desk: &mut Desk) -> Result<(), Failure> {
    if desk.json {
        desk.out.json(matrix);
        return Ok(());
    }
    let numbers = matrix.others.iter().map(|o| o.number.as_str());
    let mut headings = vec!["group", "component", "feature", matrix.subject.number.as_str()];
    headings.extend(numbers);
    let rows = |row: &comparison::Row| {
        let cells = row.cells.iter().map(|c| cell(c.as_ref(), row.subject.is_some()));
        let start = [row.group.clone(), row.component.clone(), row.feature.clone()];
        let subject = row.subject.clone().unwrap_or_else(|| "not recorded".into());
        start.into_iter().chain([subject]).chain(cells).collect::<Vec<String>>()
    };
    let rows: Vec<Vec<String>> = matrix.rows.iter().map(rows).collect();
    if as_csv {
        desk.out.line(csv(&headings, &rows)?.trim_end());
        return Ok(());
    }
    for (other, counts) in matrix.others.iter().zip(&matrix.counts) {
        let name = if other.name.is_empty() { String::new() } else { format!(", {}", other.name) };
        desk.out.line(format!("{} beside {}{name}: {}", matrix.subject.number, other.number, counts.words()));
    }
    matrix.scaled.iter().filter(|words| !words.is_empty()).for_each(|words| desk.out.line(words));
    let mut group = "";
    let mut lines: Vec<Vec<String>> = vec![headings[1..].iter().map(ToString::to_string).collect()];
    let mut titles: Vec<(usize, &str)> = Vec::new();
    for (row, words) in matrix.rows.iter().zip(&rows) {
        if row.group != group {
            group = &row.group;
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

fn square(square: &Square, as_csv: bool, desk: &mut Desk) -> Result<(), Failure> {
    if desk.json {
        desk.out.json(square);
        return Ok(());
    }
    let numbers: Vec<&str> = square.pieces.iter().map(|p| p.number.as_str()).collect();
    let headings: Vec<&str> = std::iter::once("").chain(numbers.iter().copied()).collect();
    let words = |counts: &Option<comparison::Counts>| {
        counts.map_or_else(
            || "·".to_owned(),
            |c| match c.on_both() {
                0 => "nothing on both".to_owned(),
                both => format!("{}/{}/{} of {both}", c.agree, c.differ, c.cannot_tell),
            },
        )
    };
    let rows: Vec<Vec<String>> = numbers
        .iter()
        .zip(&square.counts)
        .map(|(number, counts)| std::iter::once((*number).to_owned()).chain(counts.iter().map(words)).collect())
        .collect();
    if as_csv {
        desk.out.line(csv(&headings, &rows)?.trim_end());
        return Ok(());
    }
    let lines = std::iter::once(headings.iter().map(ToString::to_string).collect()).chain(rows).collect::<Vec<_>>();
    columns(&lines, 30).iter().for_each(|line| desk.out.line(line));
    desk.out.line(
        "\nagree/differ/cannot be told, of the features recorded on both. These are counts, not a measure of likeness.",
    );
    Ok(())
}

/// Ranks cloths for one cloth of the piece.
fn rank(cloth: &str, asked: &Settled, catalogue: &Catalogue, as_csv: bool, desk: &mut Desk) -> Result<(), Failure> {
    let piece = catalogue.piece(&asked.subject)?;
    let (component, role) = match cloth.rsplit_once(':') {
        Some((component, role)) => (Some(component.trim()), role.trim()),
        None => (None, cloth.trim()),
    };
    let numbers: Vec<String> = if asked.others.is_empty() {
        catalogue.list()?.into_iter().filter(|line| line.nature != "extant").map(|line| line.number).collect()
    } else {
        asked.others.clone()
    };
    let others = numbers.iter().map(|n| catalogue.piece(n)).collect::<Result<Vec<_>, _>>()?;
    let found = nearest(&piece, role, component, &others, catalogue.vocabulary(), &asked.basis.tolerances)?;
    if desk.json {
        desk.out.json(&found);
        return Ok(());
    }
    if as_csv {
        let headings = [
            "piece",
            "component",
            "role",
            "cloth",
            "distance",
            "properties compared",
            "of",
            "property",
            "wanted",
            "found",
            "in tolerances",
            "share",
        ];
        let rows: Vec<Vec<String>> = found
            .candidates
            .iter()
            .flat_map(|c| {
                c.parts.iter().map(|part| {
                    let cloth = [&c.cloth.number, &c.cloth.component, &c.cloth.role, &c.cloth.name].map(Clone::clone);
                    let figures = [format!("{}", c.distance), c.compared.to_string(), found.properties.to_string()];
                    let part = [
                        part.property.to_owned(),
                        part.wanted.clone(),
                        part.found.clone(),
                        format!("{}", part.tolerances),
                        format!("{}", part.share),
                    ];
                    cloth.into_iter().chain(figures).chain(part).collect()
                })
            })
            .collect();
        desk.out.line(csv(&headings, &rows)?.trim_end());
        return Ok(());
    }
    ranked(&found, desk);
    Ok(())
}

fn ranked(found: &Nearest, desk: &mut Desk) {
    let named = |cloth: &comparison::Cloth| {
        let parts = [&cloth.component, &cloth.role, &cloth.name];
        parts.into_iter().filter(|p| !p.is_empty()).cloned().collect::<Vec<_>>().join(", ")
    };
    let properties = count(found.properties, "property").replace("propertys", "properties");
    desk.out.line(format!("Cloths for {}, {} ({properties} recorded)", found.wanted.number, named(&found.wanted)));
    let mut sparse = false;
    for candidate in &found.candidates {
        if !candidate.enough && !sparse {
            sparse = true;
            desk.out.line("\nToo little recorded to rank with the others (less than half of the properties):");
        }
        desk.out.line(format!(
            "\n{:>6.2}  {} {}: {}; {} of {} compared",
            candidate.distance,
            candidate.cloth.number,
            candidate.cloth.piece,
            named(&candidate.cloth),
            candidate.compared,
            found.properties
        ));
        for part in candidate.parts.iter().filter(|part| part.share >= 0.05).take(4) {
            let share = 100.0 * part.share;
            desk.out.line(format!(
                "        {:.1} tolerances in {}: {} for {} ({share:.0} % of the distance squared)",
                part.tolerances, part.property, part.found, part.wanted
            ));
        }
    }
    if found.candidates.is_empty() {
        desk.out.line("\nNo other cloth shares a recorded property with it.");
    }
    if found.without > 0 {
        desk.out.line(format!("\nWithout a property in common: {}.", count(found.without, "cloth")));
    }
    desk.out.line(
        "\nDistance in tolerances: for each property recorded on both, how many times its tolerance the two differ; over the\n\
         properties, the root of the mean square. Terms count 0 if the same, 0.5 if one is broader, 1 if under one broader\n\
         term, 2 if different. A small distance over few properties says little.",
    );
}
