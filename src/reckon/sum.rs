//! `dimity convert sum`: parts against the whole that they make.
//!
//! `312 + 315 mm + 2 x 298 mm = 1220 mm, tape 1 mm`: parts joined by `+`, a number of alike ones before a `x`, the
//! whole after `=`, and how far the tape itself may be out after `tape`.

use super::Answer;
use crate::measure::{Closure, Estimate, Kind, Part, Quantity, Unreadable, closure, plus_minus};

pub(super) fn answer(line: &str) -> Result<Answer, Unreadable> {
    let (sum, tape) = match line.find("tape") {
        Some(at) => (line[..at].trim_end().trim_end_matches([',', ';']), Some(at + "tape".len())),
        None => (line, None),
    };
    let limit = match tape {
        Some(at) => {
            let text = line[at..].trim_start_matches([' ', '±']);
            let from = line.len() - text.len();
            Some(read(text, from)?.value)
        }
        None => None,
    };
    let figure = |quantity: &Quantity| {
        let estimate = Estimate::new(quantity.value, quantity.u);
        limit.map_or(estimate, |limit| estimate.with_error_limit(limit))
    };
    let (parts_text, whole_text) = match sum.split_once('=') {
        Some((parts, whole)) => (parts, Some(whole)),
        None => (sum, None),
    };
    // The unit that a part leaves out is that of the next part, or of the whole: `312 + 315 mm`.
    let pieces: Vec<&str> = parts_text.split('+').collect();
    let fallback = whole_text.and_then(unit_of).or_else(|| pieces.iter().rev().find_map(|piece| unit_of(piece)));
    let mut parts = Vec::with_capacity(pieces.len());
    let mut at = 0;
    for (index, piece) in pieces.iter().enumerate() {
        let (times, text, skipped) = alike(piece, at)?;
        let unit = pieces[index + 1..].iter().find_map(|later| unit_of(later)).or(fallback);
        let quantity = read_with(text, at + skipped, unit)?;
        parts.push(Part { estimate: figure(&quantity), times });
        at += piece.len() + 1;
    }
    let whole = match whole_text {
        Some(text) => Some(figure(&read_with(text, sum.len() - text.len(), fallback)?)),
        None => None,
    };
    let found = closure(&parts, whole, limit.is_some()).ok_or_else(|| Unreadable {
        at: 0,
        why: "there are no parts to add up".into(),
        nearest: None,
    })?;
    Ok(told(&found))
}

/// `2 x 298 mm` taken apart: how many, the length, and where it begins.
fn alike(piece: &str, at: usize) -> Result<(u32, &str, usize), Unreadable> {
    let Some(sign) = piece.find(['x', '×', '*']) else { return Ok((1, piece, 0)) };
    let after = sign + piece[sign..].chars().next().map_or(1, char::len_utf8);
    let number = piece[..sign].trim();
    let times = number.parse::<u32>().ok().filter(|n| (1..=10_000).contains(n));
    let times = times.ok_or_else(|| Unreadable {
        at,
        why: format!("`{number}` is no number of parts: a whole number stands before the `x`"),
        nearest: None,
    })?;
    Ok((times, &piece[after..], after))
}

/// The unit at the end of a part, blank ones left out.
fn unit_of(text: &str) -> Option<&str> {
    let text = text.trim();
    let at = text.rfind(|c: char| c.is_ascii_digit() || "½¼¾⅛⅜⅝⅞⅓⅔".contains(c))?;
    let unit = text[at + text[at..].chars().next()?.len_utf8()..].trim();
    (!unit.is_empty()).then_some(unit)
}

fn read_with(text: &str, at: usize, unit: Option<&str>) -> Result<Quantity, Unreadable> {
    match (unit_of(text), unit) {
        (None, Some(unit)) if !text.trim().is_empty() => {
            // The unit was lent: what is wrong with it stands elsewhere, so the place stays inside the part.
            let written = text.trim_end();
            read(&format!("{written} {unit}"), at)
                .map_err(|refusal| Unreadable { at: refusal.at.min(at + written.len()), ..refusal })
        }
        _ => read(text, at),
    }
}

fn read(text: &str, at: usize) -> Result<Quantity, Unreadable> {
    Quantity::parse(Kind::Length, text).map_err(|refusal| Unreadable { at: refusal.at + at, ..refusal })
}

fn told(found: &Closure) -> Answer {
    let figure = |value: f64, u: f64| format!("{} mm", plus_minus(value, u));
    let sum = &found.sum;
    let parts = if found.parts == 1 { "1 part".to_owned() } else { format!("{} parts", found.parts) };
    let text = format!("{parts}: {} (u)", figure(sum.value, sum.u));
    let Some(against) = &found.against else {
        return Answer::new(text).with("parts", found.parts).with("mm", sum.value).with("u_mm", sum.u);
    };
    let (low, high) = against.each;
    let finding = if against.closes {
        "they add up within their uncertainty".to_owned()
    } else {
        format!("they do not add up; each part is out by {low:.2} to {high:.2} mm")
    };
    let excess = figure(against.excess, against.expanded);
    Answer::new(format!(
        "{text}; whole {}; difference {excess} (U, 95 %): {finding}",
        figure(against.whole.value, against.whole.u)
    ))
    .with("parts", found.parts)
    .with("mm", sum.value)
    .with("u_mm", sum.u)
    .with("whole_mm", against.whole.value)
    .with("difference_mm", against.excess)
    .with("difference_u_mm", against.u)
    .with("difference_expanded_mm", against.expanded)
    .with("adds_up", against.closes)
    .with("each_from_mm", low)
    .with("each_to_mm", high)
}
