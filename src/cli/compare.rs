//! `dimity compare`: a piece beside others in the terminal, as CSV or as JSON; on stated terms, which can be kept by name.

mod cloth;
mod tables;

use super::{Desk, Failure};
use crate::analysis::comparison::{self, Basis, ByHand, Features, Heading, Matrix, Sizing, Square};
use crate::catalogue::{Catalogue, Keeping, Kept};
use crate::record::PieceFile;
use cloth::rank;
use tables::{day, list, square, table};

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
#[command(group = clap::ArgGroup::new("named").args(["keep", "remove"]))]
#[expect(clippy::struct_excessive_bools, reason = "each is a flag of the command line")]
pub struct Compare {
    /// Accession number of the piece
    #[arg(required_unless_present_any = ["kept", "list", "remove"])]
    number: Option<String>,
    /// What to compare it with
    #[arg(long = "with", value_name = "NUMBER", required_unless_present_any = ["kept", "list", "cloth", "remove"], num_args = 1..)]
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
    /// Remove the comparison kept by this name, with `--reason`; what it was stays readable
    #[arg(long, value_name = "NAME", requires = "reason", conflicts_with_all = ["number", "others", "kept", "cloth", "full", "table", "among", "csv"])]
    remove: Option<String>,
    /// Why it is kept, changed or removed; the journal keeps it
    #[arg(long, value_name = "TEXT", requires = "named")]
    reason: Option<String>,
    /// List the comparisons that are kept
    #[arg(long, conflicts_with_all = ["number", "others", "kept", "keep", "remove", "cloth", "full", "table", "among"])]
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

    /// By what name the terms are kept, by whom and when; blank where they are not.
    pub(super) fn kept_words(&self) -> String {
        let words = |kept: &Kept| format!("“{}”, by {}, {}: {}", kept.name, kept.by, day(&kept.at), kept.reason);
        self.kept.as_ref().map(words).unwrap_or_default()
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
        if let Some(name) = &self.remove {
            let name = catalogue.remove_comparison(&author, &self.reason.unwrap_or_default(), name)?;
            if desk.json {
                desk.out.json(&serde_json::json!({ "removed": name }));
            } else {
                desk.out.line(format!("removed `{name}`; what it was is read with `--kept \"{name}\" --before 1`"));
            }
            return Ok(());
        }
        let asked = self.terms.settle(self.number.as_ref(), &self.others, &catalogue)?;
        if let Some(cloth) = &self.cloth {
            return rank(cloth, &asked, &catalogue, self.csv, desk);
        }
        let (subject, others) = asked.pieces(&catalogue)?;
        let words = catalogue.vocabulary();
        let (ours, theirs) = (Features::of(&subject, words), Features::all(&others, words));
        let mut found = comparison::compare_many(&ours, &theirs, words, &asked.basis)?;
        if let Some(name) = &self.keep {
            let kept = catalogue.keep_comparison(
                &author,
                self.reason.as_deref().unwrap_or("comparison kept"),
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
        let plain = Basis { tolerances: asked.basis.tolerances.clone(), ..Basis::default() };
        if self.among {
            if asked.basis.sizes != Basis::default().sizes {
                return Err("`--among` compares at the sizes recorded; leave out `--scale` and `--fit`".into());
            }
            found.extend(comparison::among_all(&theirs, catalogue.vocabulary(), &plain));
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
            desk.out.csv(&headings, &rows)?;
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
