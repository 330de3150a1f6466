//! `dimity convert twist`: of turns, diameter and surface angle, the one from the two that are given; with a yarn number,
//! the twist factor.

use super::{Answer, pieces};
use crate::measure::cursor::Cursor;
use crate::measure::{Estimate, Kind, Quantity, Unreadable, four_figures};
use crate::textile::twist::{self, Tightness};

/// What may stand in the line: tried in this order.
const KINDS: [Kind; 4] = [Kind::Density, Kind::Yarn, Kind::Angle, Kind::Length];

/// What is written, by the places of [`KINDS`].
type Given = [Option<Quantity>; 4];

pub(super) fn answer(line: &str) -> Result<Answer, Unreadable> {
    let given = read(line)?;
    let of = |at: usize| given[at].as_ref().map(Estimate::from);
    let (turns, tex, angle, diameter) = (of(0), of(1), of(2), of(3));
    let answer = match (turns, angle, diameter) {
        (Some(turns), None, Some(diameter)) => angled(twist::angle(turns, diameter)),
        (Some(turns), Some(angle), None) => twist::diameter(angle, turns)
            .map(|mm| Answer::new(format!("diameter {} mm", mm.shown())).with("mm", mm.value).with("u_mm", mm.u))
            .ok_or_else(|| upright(line))?,
        (None, Some(angle), Some(diameter)) => turned(twist::turns(angle, diameter).ok_or_else(|| upright(line))?),
        (Some(turns), None, None) if tex.is_some() => turned(turns),
        (None, Some(angle), None) => angled(angle),
        (Some(_), Some(_), Some(_)) => {
            let why = "turns, angle and diameter are all given: leave out the one that is wanted";
            return Err(Unreadable::new(line.len(), why));
        }
        _ => {
            let why = "two of turns (`600 per m`), diameter (`0.2 mm`) and angle (`20 deg`) are wanted";
            return Err(Unreadable::new(line.len(), why));
        }
    };
    Ok(match (turns, tex) {
        (Some(turns), Some(tex)) if tex.value > 0.0 => with_factor(answer, turns, tex),
        _ => answer,
    })
}

fn read(line: &str) -> Result<Given, Unreadable> {
    let mut cursor = Cursor::new(line);
    let mut given = Given::default();
    loop {
        cursor.skip_blanks();
        if cursor.take(|c| matches!(c, ',' | ';' | '×' | '@')).is_some() || cursor.eat_any(&["and", "at", "x", "by"]) {
            continue;
        }
        if cursor.at_end() {
            return Ok(given);
        }
        let start = cursor.at;
        let Some((at, found)) = pieces::next(&mut cursor, &KINDS) else {
            let wanted = "turns (`600 per m`), diameter (`0.2 mm`), angle (`20 deg`) or yarn (`20 tex`)";
            return Err(pieces::none_of(&cursor, wanted));
        };
        if let Some(first) = &given[at] {
            let why = format!("`{}` says again what `{}` says", found.as_written, first.as_written);
            return Err(Unreadable::new(start, why));
        }
        given[at] = Some(found);
    }
}

fn angled(angle: Estimate) -> Answer {
    let word = Tightness::of(angle.value).words();
    let text = format!("angle {} deg, {word} (limits of 1966, {})", angle.shown(), Tightness::MARK.words());
    Answer::new(text).with("deg", angle.value).with("u_deg", angle.u).with("word", word)
}

fn turned(turns: Estimate) -> Answer {
    let (per_m, per_inch) = (turns.times(100.0), turns.times(2.54));
    let text = format!("{} turns per m; {} turns per inch", per_m.shown(), per_inch.shown());
    Answer::new(text)
        .with("turns_per_m", per_m.value)
        .with("u_turns_per_m", per_m.u)
        .with("turns_per_inch", per_inch.value)
        .with("u_turns_per_inch", per_inch.u)
}

fn with_factor(answer: Answer, turns: Estimate, tex: Estimate) -> Answer {
    let (factor, multiplier) = (twist::factor(turns, tex), twist::multiplier(turns, tex));
    let text = format!(
        "{}; twist factor {} (turns per m × √tex), multiplier {}",
        answer.text,
        four_figures(factor.value),
        four_figures(multiplier.value)
    );
    Answer { text, ..answer }
        .with("factor", factor.value)
        .with("u_factor", factor.u)
        .with("multiplier", multiplier.value)
}

fn upright(line: &str) -> Unreadable {
    Unreadable::new(
        line.len(),
        "the angle of a twisted yarn lies between 0 and 90 deg, and its diameter and turns above 0",
    )
}
