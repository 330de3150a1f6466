//! What became of each damage, colour and extent, as JSON and as lines for a terminal.

use std::fmt::Write as _;

use serde_json::{Value, json};

use crate::analysis::change::{Change, Renamed, Seen, Standing, between};
use crate::analysis::colour_change::{self, ColourChange, Outcome};
use crate::analysis::series::{Point, Series, Trend, series, unit};
use crate::colour::Lab;
use crate::measure::Quantity;
use crate::record::condition::Condition;
use crate::record::{Observed, PieceFile};
use crate::vocabulary::{TermId, Vocabulary};

/// Two examinations of a piece and all that follows from them.
#[derive(Debug)]
pub struct Changes<'a> {
    file: &'a PieceFile,
    earlier: Option<usize>,
    later: usize,
    notes: Vec<Change<'a>>,
    colours: Vec<ColourChange>,
    series: Vec<Series<'a>>,
}

impl<'a> Changes<'a> {
    /// What changed from the examination at `earlier` to that at `later`, and each damage up to then; without an earlier
    /// one only the latter.
    pub fn of(file: &'a PieceFile, earlier: Option<usize>, later: usize, vocabulary: &Vocabulary) -> Self {
        let exams = &file.examinations;
        Self {
            file,
            earlier,
            later,
            notes: earlier.map(|e| between(exams, e, later, vocabulary)).unwrap_or_default(),
            colours: earlier.map(|e| colour_change::between(exams, e, later)).unwrap_or_default(),
            series: series(exams, later, vocabulary),
        }
    }

    fn day(&self, at: usize) -> Option<String> {
        self.file.examinations.get(at).and_then(|e| e.about.date).map(|d| d.to_string())
    }

    /// As JSON; names end in the unit where they have one, `_u` is the standard uncertainty.
    pub fn json(&self) -> Value {
        json!({
            "number": self.file.number(),
            "since": self.earlier.and_then(|e| self.day(e)),
            "examination": self.day(self.later),
            "changes": self.notes.iter().map(change).collect::<Vec<_>>(),
            "colours": self.colours.iter().map(colour).collect::<Vec<_>>(),
            "series": self.series.iter().map(one_series).collect::<Vec<_>>(),
        })
    }

    /// As lines for a terminal.
    pub fn text(&self) -> String {
        let day = |at| self.day(at).unwrap_or_else(|| "an examination without a date".into());
        let mut text = format!("{}, examined {}", self.file.number(), day(self.later));
        match self.earlier {
            Some(earlier) => _ = writeln!(text, ", compared with {}", day(earlier)),
            None => text.push_str(", the first examination: there is none to compare it with\n"),
        }
        for standing in Standing::ALL {
            for c in self.notes.iter().filter(|c| c.standing == standing) {
                let (then, now) = (c.earlier.map(state), c.later.map(state));
                let states = [then, now].into_iter().flatten().collect::<Vec<_>>().join(" -> ");
                let _ = writeln!(text, "  {}: {}: {states} ({})", standing.words(), subject(c), c.because);
            }
        }
        self.colour_lines(&mut text);
        let followed: Vec<&Series<'_>> = self.series.iter().filter(|s| s.notes().count() > 1).collect();
        if !followed.is_empty() {
            text.push_str("\nOver time\n");
        }
        for s in followed {
            let Some(note) = s.latest() else { continue };
            let points = s.points.iter().map(|p| {
                let extent = p.extent().map(|q| q.as_written.clone());
                let said = extent.or_else(|| p.standing.filter(|_| p.note.is_none()).map(|s| s.words().to_owned()));
                let date = p.date.map_or_else(|| "no date".to_owned(), |d| d.to_string());
                format!("{date} {}", said.unwrap_or_else(|| "no extent".to_owned()))
            });
            let points = points.collect::<Vec<_>>().join("; ");
            let rate = match s.trend {
                Trend::Gone => "no longer found".to_owned(),
                Trend::TooFew(_) => "no rate: fewer than three extents of one kind".to_owned(),
                Trend::Rate(rate) => format!("rate {} ({})", rate.words(), rate.rests_on()),
            };
            let _ = writeln!(text, "  {}: {points}\n    {rate}", named(note));
        }
        text
    }

    fn colour_lines(&self, text: &mut String) {
        let mut head = "\nColour\n";
        for c in &self.colours {
            let said = match &c.outcome {
                Outcome::First | Outcome::NotReadAgain => continue,
                Outcome::NotComparable(why) => format!("not compared: {why}"),
                Outcome::Compared(d) => {
                    let what =
                        if d.changed { d.words.to_string() } else { "unchanged within the scatter of readings".into() };
                    format!("ΔE00 {:.1}, limit {:.1}, grey-scale grade {}: {what}", d.de00, d.limit, d.grade)
                }
            };
            text.push_str(std::mem::take(&mut head));
            let component = if c.component.is_empty() { "whole piece" } else { &c.component };
            let _ = writeln!(text, "  {component}, {}, {}: {said}", c.role, c.place);
        }
    }
}

fn change(c: &Change<'_>) -> Value {
    let shown = c.later.or(c.earlier);
    json!({
        "standing": c.standing.words(),
        "damage": shown.and_then(|s| s.note.what.damage.as_ref()).map(TermId::name),
        "component": shown.and_then(|s| s.note.component.clone()),
        "place": shown.and_then(|s| s.note.what.place.clone()),
        "earlier": c.earlier.map(seen),
        "later": c.later.map(seen),
        "term": c.renamed.map(Renamed::word),
        "because": c.because,
    })
}

fn seen(s: Seen<'_>) -> Value {
    let what = &s.note.what;
    json!({
        "id": s.note.id, "date": s.date.map(|d| d.to_string()), "damage": what.damage.as_ref().map(TermId::name),
        "component": s.note.component, "extent": what.extent.as_ref().map(extent),
        "severity": what.severity.as_ref().map(TermId::name), "treated": what.treated,
    })
}

fn extent(q: &Quantity) -> Value {
    let (factor, unit) = unit(q.kind);
    json!({
        "as_written": q.as_written, "kind": q.kind.name(), "value": q.value * factor, "u": q.u * factor, "unit": unit,
        "bound": format!("{:?}", q.bound).to_lowercase(),
    })
}

fn lab(lab: Option<Lab>) -> Option<[f64; 3]> {
    lab.map(|c| [c.l, c.a, c.b])
}

fn colour(c: &ColourChange) -> Value {
    let outcome = match &c.outcome {
        Outcome::First => json!({ "outcome": "first reading" }),
        Outcome::NotReadAgain => json!({ "outcome": "not read again" }),
        Outcome::NotComparable(why) => json!({ "outcome": "not comparable", "because": why }),
        Outcome::Compared(d) => json!({
            "outcome": if d.changed { "changed" } else { "unchanged" }, "de00": d.de00, "limit": d.limit,
            "grey_scale": d.grade.value(), "words": d.words.to_string(),
        }),
    };
    json!({
        "component": c.component, "role": c.role, "place": c.place, "then_on": c.then_on.map(|d| d.to_string()),
        "then": lab(c.then), "now": lab(c.now), "found": outcome,
    })
}

fn one_series(s: &Series<'_>) -> Value {
    let note = s.latest();
    let point = |p: &Point<'_>| {
        json!({
            "date": p.date.map(|d| d.to_string()), "id": p.note.and_then(|n| n.id.clone()),
            "standing": p.standing.map(Standing::words), "extent": p.extent().map(extent),
        })
    };
    let rate = match s.trend {
        Trend::Rate(r) => {
            let (factor, unit) = unit(r.kind);
            let (slope, half) = (r.line.slope * factor, r.line.slope_half_width() * factor);
            json!({
                "per_year": slope, "low": slope - half, "high": slope + half, "coverage": 0.95, "unit": unit,
                "told_from_nought": r.is_told(), "examinations": r.line.n, "from": r.from.to_string(),
                "to": r.to.to_string(), "after_treatment": r.after_treatment,
            })
        }
        Trend::Gone | Trend::TooFew(_) => Value::Null,
    };
    json!({
        "damage": note.and_then(|n| n.what.damage.as_ref()).map(TermId::name),
        "component": note.and_then(|n| n.component.clone()),
        "place": note.and_then(|n| n.what.place.clone()),
        "points": s.points.iter().map(point).collect::<Vec<_>>(),
        "rate": rate,
    })
}

fn subject(c: &Change<'_>) -> String {
    c.later.or(c.earlier).map(|s| named(s.note)).unwrap_or_default()
}

fn named(note: &Observed<Condition>) -> String {
    let damage = note.what.damage.as_ref().map_or("damage not named", TermId::name);
    let mut words = vec![damage, note.component.as_deref().unwrap_or("whole piece")];
    words.extend(note.what.place.as_deref().map(str::trim).filter(|p| !p.is_empty()));
    words.join(", ")
}

fn state(s: Seen<'_>) -> String {
    let what = &s.note.what;
    let extent = what.extent.as_ref().map(|q| q.as_written.clone());
    let parts: Vec<String> = extent.into_iter().chain(what.severity.as_ref().map(|t| t.name().to_owned())).collect();
    if parts.is_empty() { "extent not recorded".to_owned() } else { parts.join(", ") }
}
