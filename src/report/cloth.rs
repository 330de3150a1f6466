//! Textiles as finished words: what is recorded of fibre and yarn, what follows from it, and what speaks against it.

use serde::Serialize;

use super::colours::{self, Readings};
use super::making::{Group, Line, Row, groups, line};
use super::words::{Facts, amount, bracketed, density, joined, readings, term, terms, text, with_u};
use crate::analysis::cloth::{self, Cover, Figures, Mass, Of, Twist};
use crate::measure::{Estimate, Kind, Quantity, four_figures};
use crate::record::textile::{Fibre, Textile, Yarn};
use crate::record::{Observed, PieceFile};
use crate::textile::mass::Agreement;
use crate::textile::twist::Tightness;
use crate::vocabulary::Vocabulary;

/// One textile.
#[derive(Debug, Serialize)]
pub(super) struct TextileRow {
    pub line: Line,
    pub yarns: Vec<YarnRow>,
    /// What follows from setts, yarns and mass; blank rows are left out.
    pub worked: Facts,
    /// What speaks against the record, each with its source.
    pub remarks: Vec<String>,
    pub colours: Readings,
}

impl Row for TextileRow {
    fn about(&self) -> (&str, &str) {
        self.line.about()
    }
    fn says(&self) -> usize {
        self.line.says() + 4 * self.yarns.len() + usize::from(!self.colours.rows.is_empty())
    }
}

/// Warp or weft.
#[derive(Debug, Serialize)]
pub(super) struct YarnRow {
    pub system: &'static str,
    pub yarn: String,
    pub counted: String,
    pub per_cm: String,
    pub per_inch: String,
    /// Whether the words for the twist stand in `yarn`, so that their limits must be told.
    pub twist_named: bool,
}

/// The textiles of the examination at `at` and those that still stand from earlier ones.
pub(super) fn textiles(file: &PieceFile, at: usize, vocabulary: &Vocabulary) -> Vec<Group<TextileRow>> {
    let mut list = groups(file, at, |e| &e.textiles, |o| textile(o, file, vocabulary));
    for group in &mut list {
        if group.rows.iter().flat_map(|t| &t.yarns).any(|y| y.twist_named) {
            let limits = "Twist by its angle: loose below 10°, medium below 25°, tight up to 45°";
            group.shared = format!("{limits} (Emery 1966, {}).", Tightness::MARK.words());
        }
    }
    list
}

fn textile(o: &Observed<Textile>, file: &PieceFile, vocabulary: &Vocabulary) -> TextileRow {
    let t = &o.what;
    let worked = cloth::figures(t);
    let facts = Facts::default()
        .say("Fibres", joined(t.fibres.iter().map(fibre), "; "))
        .say("Structure", term(t.structure.as_ref()))
        .say("Colour", text(t.colour.as_ref()))
        .say("Dye", text(t.dye.as_ref()))
        .say("Finish", terms(&t.finish))
        .may_say("Mass", amount(t.mass.as_ref()))
        .may_say("Selvedge", text(t.selvedge.as_ref()))
        .may_say("Loom width", amount(t.loom_width.as_ref()));
    let yarns = [
        yarn("Warp", &t.warp, &worked.warp, &readings(&t.ends), density(t.ends_estimate().as_ref())),
        yarn("Weft", &t.weft, &worked.weft, &readings(&t.picks), density(t.picks_estimate().as_ref())),
    ];
    let head = joined([term(t.role.as_ref()), text(t.name.as_ref())], ": ");
    let remarks = cloth::remarks(t, file.piece.date.as_ref(), vocabulary);
    TextileRow {
        line: line(o, &head, facts),
        yarns: yarns.into_iter().flatten().collect(),
        worked: facts_worked_out(&worked, t),
        remarks: remarks.iter().map(crate::textile::evidence::Remark::in_full).collect(),
        colours: colours::readings(&t.colours),
    }
}

/// None where neither yarn nor count is recorded.
fn yarn(
    system: &'static str,
    y: &Yarn,
    worked: &Twist,
    counted: &str,
    (per_cm, per_inch): (String, String),
) -> Option<YarnRow> {
    let ply = match y.ply {
        Some(1) => "single".to_owned(),
        Some(n) => format!("{n}-ply"),
        None => String::new(),
    };
    let twist = match y.twist.as_deref() {
        Some("none") => "no twist".to_owned(),
        Some(twist) => format!("{twist} twist"),
        None => String::new(),
    };
    let named = |label: &str, words: String| if words.is_empty() { words } else { format!("{label} {words}") };
    let yarn = joined(
        [
            term(y.fibre.as_ref()),
            ply,
            twist,
            amount(y.angle.as_ref()),
            worked.tightness.map(|t| t.words().to_owned()).unwrap_or_default(),
            amount(y.number.as_ref()),
            named("turns", amount(y.turns.as_ref())),
            named("diameter", small(y.diameter.as_ref())),
            named("crimp", amount(y.crimp.as_ref())),
        ],
        ", ",
    );
    let blank = yarn.is_empty() && counted.is_empty();
    let twist_named = worked.tightness.is_some();
    (!blank).then(|| YarnRow { system, yarn, counted: counted.to_owned(), per_cm, per_inch, twist_named })
}

/// `warp 19.7°, u 0.3°, agrees with the angle read; weft ...`: angles from turns and diameter.
fn angles(worked: &Figures) -> String {
    let one = |(system, twist): (&str, &Twist)| {
        let found = format!("{system} {}", with_u(twist.angle?, Kind::Angle));
        let agreement = twist.agreement.map(|a| standing(a, "the angle read")).unwrap_or_default();
        Some(joined([found, agreement], ", "))
    };
    joined([("warp", &worked.warp), ("weft", &worked.weft)].into_iter().filter_map(one), "; ")
}

fn standing(agreement: Agreement, with: &str) -> String {
    match agreement {
        Agreement::Agree => format!("agrees with {with}"),
        Agreement::Doubtful => format!("agrees doubtfully with {with}"),
        Agreement::Differ => format!("does not agree with {with}"),
    }
}

fn facts_worked_out(worked: &Figures, t: &Textile) -> Facts {
    let crimps = t.warp.crimp.is_some() && t.weft.crimp.is_some();
    Facts::default()
        .may_say("Twist by turns and diameter", angles(worked))
        .may_say("Cover factor", worked.cover.as_ref().map(covered).unwrap_or_default())
        .may_say("Estimated mass", worked.mass.as_ref().map(weighed).unwrap_or_default())
        .may_say("Yarn that the mass implies", worked.implied.map(|found| implied(found, crimps)).unwrap_or_default())
}

/// `warp 13.1, weft 12.5, cloth 19.8, u 0.17 (Peirce; threads touch at 28)`.
fn covered(cover: &Cover) -> String {
    let short = |k: Estimate| format!("{:.1}", k.value);
    let cloth = with_u(cover.cloth, Kind::Count);
    format!("warp {}, weft {}, cloth {cloth} (Peirce; threads touch at 28)", short(cover.warp), short(cover.weft))
}

/// `124 g/m², u 4 g/m²; crimp not recorded, taken as 0 to 16 %; agrees with the mass measured`.
fn weighed(mass: &Mass) -> String {
    let agreement = mass.agreement.map(|a| standing(a, "the mass measured")).unwrap_or_default();
    joined([with_u(mass.estimate, Kind::MassPerArea), crimp_taken(mass.crimp_known).to_owned(), agreement], "; ")
}

fn crimp_taken(known: bool) -> &'static str {
    if known { "" } else { "crimp not recorded, taken as 0 to 16 %" }
}

/// `weft 23 to 25 tex, value ± 2 u`.
fn implied((of, tex): (Of, Estimate), crimps_known: bool) -> String {
    let which = match of {
        Of::Both => "warp and weft alike",
        Of::Warp => "warp",
        Of::Weft => "weft",
    };
    let (low, high) = tex.range();
    if high <= 0.0 {
        return format!("{which} none: the other yarn alone is heavier than the cloth");
    }
    let whole = |x: f64| if high >= 10.0 { format!("{x:.0}") } else { four_figures((x * 10.0).round() / 10.0) };
    let found = format!("{which} {} to {}\u{a0}tex (value ± 2 u)", whole(low), whole(high));
    joined([found.as_str(), crimp_taken(crimps_known)], "; ")
}

/// A quantity of small size as written, with its uncertainty in micrometres where the writing does not say it.
fn small(q: Option<&Quantity>) -> String {
    let Some(q) = q else { return String::new() };
    if q.as_written.contains('±') {
        return q.as_written.clone();
    }
    let micro = Estimate::from(q).times(1000.0);
    let shown = crate::measure::rounded(micro.value, micro.u).1;
    if micro.u > 0.0 { format!("{} (u\u{a0}{shown}\u{a0}µm)", q.as_written) } else { q.as_written.clone() }
}

fn fibre(f: &Fibre) -> String {
    let method = f.method.as_ref().map_or("method not recorded".to_owned(), |m| match m.name() {
        said @ "reported by others" => said.to_owned(),
        means => format!("by {means}"),
    });
    let certainty = f.certainty.as_ref().map_or("certainty not recorded".to_owned(), ToString::to_string);
    let share = amount(f.percent.as_ref());
    let diameter = f.diameter.as_ref().map(|d| format!("diameter {}", small(Some(d)))).unwrap_or_default();
    let density = f.density.map(|d| format!("density {d}\u{a0}g/cm³")).unwrap_or_default();
    let bent = f.birefringence.map(|b| format!("birefringence {b}").replace('-', "−")).unwrap_or_default();
    let aside = joined([share, method, certainty, diameter, density, bent, text(f.note.as_ref())], ", ");
    bracketed(&term(f.fibre.as_ref()), &aside)
}
