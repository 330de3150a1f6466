//! The tables of a comparison, one a group, and the signs that stand for a finding without colour.

use serde::Serialize;

use super::lengths::{in_other, is_length};
use super::readings::in_short;
use crate::analysis::comparison::{
    Explanation, Figures, Finding, Group, Line, Relation, Side, Standing, Verdict, difference_words, finding_words,
};
use crate::measure::plus_minus;
use crate::report::words::{capital, joined};

/// A sign and the words for it.
#[derive(Debug, Serialize)]
pub(super) struct Sign {
    pub name: &'static str,
    pub word: &'static str,
    pub means: &'static str,
}

/// The four signs, in the order of the key.
pub(super) fn signs() -> Vec<Sign> {
    [
        ("agree", "agree", "within the tolerance, uncertainty and all; or one term"),
        ("differ", "differ", "beyond the tolerance, uncertainty and all; or other terms"),
        ("unsure", "cannot be told", "the uncertainty reaches across the limit, or the words differ in precision"),
        ("one", "on one only", "neither agreement nor difference"),
    ]
    .into_iter()
    .map(|(name, word, means)| Sign { name, word, means })
    .collect()
}

/// The name of the sign for a line.
pub(super) fn sign(line: &Line<'_>) -> &'static str {
    sign_of(line.verdict())
}

/// The name of the sign for what can be said; that of one piece only where nothing can.
pub(super) fn sign_of(verdict: Option<Verdict>) -> &'static str {
    match verdict {
        Some(Verdict::Agree) => "agree",
        Some(Verdict::Differ) => "differ",
        Some(Verdict::CannotTell) => "unsure",
        None => "one",
    }
}

/// How much of a comparison has a row of its own.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Extent {
    /// All that has figures, all that is not alike.
    Full,
    /// What is not alike, and what a departure speaks of; the rest stands in the matrix alone.
    Brief,
}

impl Extent {
    /// Where a line stands.
    fn place(self, line: &Line<'_>) -> Place {
        let plain = line.departures.is_empty();
        let same_words = line.finding == Finding::Term { relation: Relation::Identical } && line.caveat.is_none();
        match line.verdict() {
            None => Place::OnOneOnly,
            Some(Verdict::Agree) if plain && (same_words || self == Self::Brief) => Place::Alike,
            _ => Place::Row,
        }
    }
}

/// Where a line stands: in a row of its own, or run on with others of its component.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Place {
    Row,
    Alike,
    OnOneOnly,
}

/// One group of features.
#[derive(Debug, Serialize)]
pub(super) struct Table {
    pub title: String,
    /// Whether any line has figures, and so the column for them.
    pub figures: bool,
    pub parts: Vec<Part>,
    /// What agrees and has no row.
    pub alike: Vec<RunOn>,
}

/// The features of one component.
#[derive(Debug, Serialize)]
pub(super) struct Part {
    pub component: String,
    pub rows: Vec<Row>,
}

/// One feature, as finished words.
#[derive(Debug, Serialize)]
pub(super) struct Row {
    pub feature: String,
    pub subject: Cell,
    pub other: Cell,
    /// The other's value at the size of the subject; blank where nothing was scaled.
    pub scaled: String,
    pub difference: String,
    /// The same in the other system, where it is a length.
    pub in_other: String,
    /// The difference in per cent, and the ratio of two dimensions.
    pub percent: String,
    pub sign: &'static str,
    pub finding: String,
    /// Where it cannot be told, or a colour was read: the decision in words.
    pub settles: String,
    pub caveat: String,
    /// How it is known, where that is weaker than measured or seen.
    pub evidence: String,
    pub reasons: Vec<Reason>,
    /// Whether there is more to say, in a row below: reasons, what would settle it, what to bear in mind.
    pub told: bool,
}

/// Why the maker departed.
#[derive(Debug, Serialize)]
pub(super) struct Reason {
    /// The term from the list.
    pub term: String,
    /// In the maker's words; blank where they stand a few rows above.
    pub note: String,
    /// What was learned for next time; blank as the note is.
    pub learned: String,
    /// The same departure as above.
    pub again: bool,
}

/// What one piece records.
#[derive(Debug, Default, Serialize)]
pub(super) struct Cell {
    pub words: String,
    /// The value in SI with its standard uncertainty, where that says more than the words.
    pub si: String,
    /// The value in millimetres where it stands in inches; blank otherwise.
    pub metric: String,
    /// Nothing is recorded, or nothing is there: printed apart from what is written.
    pub blank: bool,
}

impl Cell {
    /// Both sides of a line, which stands in the other system as `turned`. Whatever somebody prefers to read, what is kept
    /// in SI stands there too.
    fn both(line: &Line<'_>, turned: Option<&Line<'_>>) -> [Self; 2] {
        let metric = turned.filter(|other| other.unit == "mm");
        let metric = metric.map(|other| [other.subject.si(), other.other.si()]).unwrap_or_default();
        let [subject, other] = metric.map(|si| unbroken(&si));
        [Self { metric: subject, ..Self::of(&line.subject) }, Self { metric: other, ..Self::of(&line.other) }]
    }

    fn of(side: &Side<'_>) -> Self {
        let words = side.words();
        let words = if side.value.is_some() { in_short(&words) } else { words.into_owned() };
        let blank = side.standing != Standing::Recorded;
        let si = unbroken(&side.si());
        // A proportion is written as it was worked out, to fewer figures: once is enough.
        if !words.is_empty() && si.starts_with(&words) {
            return Self { words: si, blank, ..Self::default() };
        }
        Self { words, si, blank, ..Self::default() }
    }
}

/// Features of one component in running text.
#[derive(Debug, PartialEq, Serialize)]
pub(super) struct RunOn {
    pub component: String,
    pub features: String,
}

/// Features of one component, gathered by what was observed: `side seam: stitch backstitch, made by hand`.
#[derive(Default)]
struct Gathered {
    parts: Vec<(String, Vec<(String, Vec<String>)>)>,
}

impl Gathered {
    fn add(&mut self, line: &Line<'_>, what: &str) {
        let what = what.trim_end_matches('.').to_owned();
        let parts = &mut self.parts;
        let at = parts.iter().position(|(component, _)| *component == line.component).unwrap_or_else(|| {
            parts.push((line.component.to_string(), Vec::new()));
            parts.len() - 1
        });
        let items = &mut parts[at].1;
        match items.iter_mut().find(|(item, _)| *item == line.item) {
            Some((_, all)) => all.push(what),
            None => items.push((line.item.to_string(), vec![what])),
        }
    }

    fn run_on(self) -> Vec<RunOn> {
        let words = |(item, all): (String, Vec<String>)| {
            // What names its item already, as a step of the work does, needs no label.
            match all.as_slice() {
                [only] if only.ends_with(item.trim_end_matches('.')) => only.clone(),
                _ => format!(
                    "{}: {}",
                    item.trim_end_matches('.'),
                    all.into_iter().filter(|w| *w != item).collect::<Vec<_>>().join(", ")
                ),
            }
        };
        self.parts
            .into_iter()
            .map(|(component, items)| RunOn {
                component,
                features: items.into_iter().map(words).collect::<Vec<_>>().join("; "),
            })
            .collect()
    }
}

/// An aspect and its value: `stitch backstitch`; the value alone for the thing itself.
fn said(line: &Line<'_>, value: &str) -> String {
    if line.aspect.is_empty() { value.to_owned() } else { format!("{} {value}", line.aspect) }
}

/// What only the subject records, or only the other, by component: one line each in place of a row a feature.
pub(super) fn only(groups: &[Group<'_>], subject: bool) -> Vec<RunOn> {
    let wanted = if subject { Finding::OnlySubject } else { Finding::OnlyOther };
    let mut list = Gathered::default();
    for line in groups.iter().flat_map(|g| &g.lines).filter(|l| l.finding == wanted) {
        let side = if subject { &line.subject } else { &line.other };
        let reasons: Vec<&str> = line.departures.iter().map(|d| d.reason.as_str()).collect();
        let why = if reasons.is_empty() { String::new() } else { format!(" (departure: {})", reasons.join(", ")) };
        list.add(line, &said(line, &format!("{}{why}", in_short(&side.words()))));
    }
    list.run_on()
}

/// The lines of a group, gathered by component in the order in which components first appear.
pub(super) fn of(group: &Group<'_>, extent: Extent) -> Table {
    let mut parts: Vec<Part> = Vec::new();
    let mut alike = Gathered::default();
    for line in &group.lines {
        match extent.place(line) {
            Place::OnOneOnly => {}
            Place::Alike if extent == Extent::Brief => {}
            Place::Alike => alike.add(line, &said(line, &line.subject.words())),
            Place::Row => match parts.iter_mut().find(|p| p.component == line.component) {
                Some(part) => {
                    let row = row(line, Some(part));
                    part.rows.push(row);
                }
                None => parts.push(Part { component: line.component.to_string(), rows: vec![row(line, None)] }),
            },
        }
    }
    let figures = parts.iter().flat_map(|p| &p.rows).any(|r| !r.difference.is_empty());
    Table { title: group.title.to_owned(), figures, parts, alike: alike.run_on() }
}

/// `above` are the rows of the same component that come before: a departure is told in full beside the first.
fn row(line: &Line<'_>, above: Option<&Part>) -> Row {
    let (difference, percent) = difference_words(line);
    let told = |e: &Explanation| {
        let mut reasons = above.iter().flat_map(|p| &p.rows).flat_map(|r| &r.reasons);
        reasons.any(|r| r.term == e.reason && Some(&r.note) == e.note.as_ref())
    };
    let reasons: Vec<Reason> = line
        .departures
        .iter()
        .map(|e| {
            let again = told(e);
            let once = |words: &Option<String>| words.clone().filter(|_| !again).unwrap_or_default();
            Reason { term: e.reason.clone(), note: once(&e.note), learned: once(&e.learned), again }
        })
        .collect();
    let settles = match line.finding {
        Finding::Number(f) if f.verdict != Verdict::CannotTell => String::new(),
        _ => line.in_words(),
    };
    let turned = in_other(line);
    let [subject, other] = Cell::both(line, turned.as_ref());
    Row {
        feature: line.feature().into_owned(),
        scaled: unbroken(&line.other_scaled()),
        subject,
        other,
        difference: unbroken(&difference),
        in_other: turned.map(|other| unbroken(&difference_words(&other).0)).unwrap_or_default(),
        percent: joined([unbroken(&percent), ratio(line)], ", "),
        sign: sign(line),
        finding: finding_words(line),
        told: !reasons.is_empty() || line.caveat.is_some() || !settles.is_empty(),
        caveat: line.caveat.as_ref().map(|c| capital(c)).unwrap_or_default(),
        evidence: weak(&line.weakest_evidence()).into(),
        settles: capital(&settles),
        reasons,
    }
}

/// A figure that does not break before its unit.
fn unbroken(figure: &str) -> String {
    figure.replace(' ', "\u{a0}")
}

/// Evidence that must be named: what was neither measured nor seen for certain.
fn weak(evidence: &str) -> &str {
    if matches!(evidence, "measured" | "seen") { "" } else { evidence }
}

/// Letters of the list of differences that the first sheet has room for.
const ROOM: usize = 1250;

/// The features that differ, for the first sheet, each with its difference and the reason, if there is one; and how many
/// more there are than it has room for.
pub(super) fn differing(groups: &[Group<'_>]) -> (Vec<RunOn>, usize) {
    let mut list = Gathered::default();
    let (mut letters, mut more) = (0, 0);
    for line in groups.iter().flat_map(|g| &g.lines).filter(|l| l.verdict() == Some(Verdict::Differ)) {
        let what = match difference_words(line).0 {
            figure if !figure.is_empty() => figure,
            _ => format!("{} against {}", line.subject.words().trim_end_matches('.'), line.other.words()),
        };
        let reasons: Vec<&str> = line.departures.iter().map(|d| d.reason.as_str()).collect();
        let why = if reasons.is_empty() { "no reason recorded".into() } else { reasons.join(", ") };
        let words = said(line, &unbroken_figure(&what, &why));
        letters += words.chars().count() + line.item.chars().count() + line.component.chars().count() / 2;
        if letters > ROOM {
            more += 1;
        } else {
            list.add(line, &words);
        }
    }
    (list.run_on(), more)
}

fn unbroken_figure(what: &str, why: &str) -> String {
    let what = if what.contains('±') { unbroken(what) } else { what.to_owned() };
    format!("{what} ({why})")
}

/// `ratio 1.032 ± 0.004` of two dimensions: what a scale would have to be.
fn ratio(line: &Line<'_>) -> String {
    match line.finding {
        Finding::Number(Figures { ratio: Some(r), .. }) if is_length(line) && line.aspect.is_empty() => {
            unbroken(&format!("ratio {}", plus_minus(r.value, r.expanded)))
        }
        _ => String::new(),
    }
}
