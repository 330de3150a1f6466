//! `dimity convert sett`: a thread count per centimetre, per inch and per ten centimetres; of a cloth, `28 x 24 per cm`,
//! the thread count of the trade as well.

use super::Answer;
use crate::measure::{Kind, Quantity, Unreadable, four_figures};
use crate::textile::sett::{Density, thread_count};

pub(super) fn answer(line: &str) -> Result<Answer, Unreadable> {
    match halves(line) {
        Some((at, ends, picks)) => {
            let (before, behind) = (line.get(..at.end).unwrap_or(""), line.get(at.start..).unwrap_or(""));
            // The second first: the first may borrow its length.
            let picks = count(picks, at.end).map_err(|refusal| whole(refusal, before, ""))?;
            // What the first borrows stands further on in the line.
            let ends = count(&ends, 0)
                .map_err(|refusal| whole(Unreadable { at: refusal.at.min(at.start), ..refusal }, "", behind))?;
            Ok(cloth(ends, picks))
        }
        None => Ok(one(count(line, 0)?)),
    }
}

/// A refusal of one count as that of the line: what is proposed is proposed with the rest of it.
fn whole(mut refusal: Unreadable, before: &str, behind: &str) -> Unreadable {
    refusal.nearest = refusal
        .nearest
        .map(|near| format!("{}{}{near}{behind}", before.trim_end(), if before.is_empty() { "" } else { " " }));
    refusal
}

fn count(text: &str, at: usize) -> Result<Density, Unreadable> {
    let blanks = text.len() - text.trim_start().len();
    Quantity::parse(Kind::Density, text.trim_start())
        .map(|q| Density::per_cm((&q).into()))
        .map_err(|refusal| Unreadable { at: refusal.at + at + blanks, ..refusal })
}

/// The two counts of `28 x 24 per cm` and where the joint stands; the first borrows the length from the second where it has
/// none. None where there is one count.
fn halves(line: &str) -> Option<(std::ops::Range<usize>, String, &str)> {
    let joints = [" x ", " X ", "×", " by ", ", ", ";"];
    let (at, joint) = joints.iter().filter_map(|joint| line.find(joint).map(|at| (at, joint))).min()?;
    let range = at..at + joint.len();
    let (first, second) = (line.get(..at)?, line.get(range.end..)?);
    let bare = first.trim().chars().all(|c| c.is_ascii_digit() || matches!(c, '.' | ','));
    let tail = second.trim_start().trim_start_matches(|c: char| c.is_ascii_digit() || matches!(c, '.' | ','));
    let first = if bare { format!("{first} {tail}") } else { first.to_owned() };
    Some((range, first, second))
}

fn one(sett: Density) -> Answer {
    let (cm, inch, ten) = (sett.per_cm, sett.per_inch(), sett.per_10_cm());
    let text = format!(
        "{} per cm; {} per inch; {} per 10 cm; count over {} cm or more",
        cm.shown(),
        inch.shown(),
        ten.shown(),
        four_figures(sett.least_length_cm())
    );
    Answer::new(text)
        .with("per_cm", cm.value)
        .with("u_per_cm", cm.u)
        .with("per_inch", inch.value)
        .with("u_per_inch", inch.u)
        .with("per_10_cm", ten.value)
        .with("u_per_10_cm", ten.u)
        .with("count_over_cm", sett.least_length_cm())
}

fn cloth(ends: Density, picks: Density) -> Answer {
    let count = thread_count(ends, picks);
    let text = format!(
        "{} × {} per cm; {} × {} per inch; trade thread count {} (ends + picks per square inch)",
        ends.per_cm.shown(),
        picks.per_cm.shown(),
        ends.per_inch().shown(),
        picks.per_inch().shown(),
        count.shown()
    );
    Answer::new(text)
        .with("ends_per_cm", ends.per_cm.value)
        .with("u_ends_per_cm", ends.per_cm.u)
        .with("picks_per_cm", picks.per_cm.value)
        .with("u_picks_per_cm", picks.per_cm.u)
        .with("ends_per_inch", ends.per_inch().value)
        .with("picks_per_inch", picks.per_inch().value)
        .with("threads_per_square_inch", count.value)
        .with("u_threads_per_square_inch", count.u)
}
