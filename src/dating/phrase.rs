//! Date phrases from text to years, and what to say of those that are none.

use super::{
    Conventions, Dated, Event, Undatable,
    convention::Hundreds,
    doubt::marks,
    edtf, events, period,
    token::{Token, tokens},
    words::{self, Word},
};

/// Reads a phrase that is not EDTF. `text` has no blanks around it. Where nothing better is known than that it is no
/// date, the refusal is the one given.
pub(super) fn read(
    text: &str,
    conventions: &Conventions,
    otherwise: Option<Undatable>,
) -> Result<(Dated, Vec<Event>), Undatable> {
    attempt(text, conventions, otherwise).map_err(|mut refusal| {
        if refusal.nearest.is_none() {
            refusal.nearest = respelt(text);
        }
        let accepted =
            |proposal: &String| edtf::years(proposal).is_ok() || attempt(proposal, conventions, None).is_ok();
        refusal.nearest = refusal.nearest.take().filter(accepted);
        refusal
    })
}

fn attempt(
    text: &str,
    conventions: &Conventions,
    otherwise: Option<Undatable>,
) -> Result<(Dated, Vec<Event>), Undatable> {
    let found = tokens(text);
    if undated(&found) {
        let dated = Dated {
            as_written: text.to_string(),
            earliest: None,
            latest: None,
            edtf: None,
            remark: Some("no date is given".into()),
        };
        return Ok((dated, Vec::new()));
    }
    let (found, elsewhere) = without_other_reckoning(&found);
    let (core, _) = marks(found);
    // The marks before it are understood; what says nothing, such as `the`, belongs to what is not.
    let plain = core.len() == found.len() || core.is_empty();
    let at = if plain { 0 } else { core.first().map_or(0, |token| token.at) };
    let refuse = |why: String| Undatable { at, why, nearest: None };
    match events::read(found, conventions, text) {
        Some(Ok(story)) => {
            let remark = super::clause::joined([story.reading.remark, elsewhere.map(String::from)]);
            let years = story.reading.years;
            let edtf = story.reading.edtf.filter(|edtf| edtf::years(edtf).is_ok());
            let dated =
                Dated { as_written: text.to_string(), earliest: years.earliest, latest: years.latest, edtf, remark };
            Ok((dated, story.events))
        }
        Some(Err(trouble)) => {
            Err(Undatable { at: trouble.at.unwrap_or(at), why: trouble.why, nearest: trouble.nearest })
        }
        None if core.is_empty() => Err(refuse("a year is missing".into())),
        None => Err(hundred_or_ten(core, conventions, text)
            .map(|(why, nearest)| Undatable { nearest, ..refuse(why) })
            .or(otherwise)
            .unwrap_or_else(|| {
                refuse(format!("`{}` is no date that can be read here", text.get(at..).unwrap_or(text)))
            })),
    }
}

fn undated(found: &[Token]) -> bool {
    let said = |token: &Token| !matches!(token.word, Word::Open | Word::Close | Word::Dash | Word::Query);
    found.iter().any(|token| token.word == Word::Undated)
        && found.iter().filter(|token| said(token)).all(|token| token.word == Word::Undated)
}

/// `941 AH/AD 1534`: the side of the common era alone.
fn without_other_reckoning(found: &[Token]) -> (&[Token], Option<&'static str>) {
    if !found.iter().any(|token| token.word == Word::Elsewhere) {
        return (found, None);
    }
    let joint = |token: &Token| matches!(token.word, Word::Slash | Word::Comma | Word::Open | Word::Close);
    let sides = || found.split(joint).filter(|side| !side.is_empty());
    let has = |side: &[Token], word: Word| side.iter().any(|token| token.word == word);
    let common = sides().find(|side| has(side, Word::Ad)).or_else(|| sides().find(|side| !has(side, Word::Elsewhere)));
    match common {
        Some(side) => (side, Some("the year of the other reckoning is kept as written")),
        None => (found, None),
    }
}

/// What to say of a phrase with a word such as `1800s` in it.
fn hundred_or_ten(core: &[Token], conventions: &Conventions, text: &str) -> Option<(String, Option<String>)> {
    if conventions.hundreds != Hundreds::Ask {
        return None;
    }
    let (year, word) = core.iter().find_map(|token| {
        let (year, hundred) = period::decade(std::slice::from_ref(token), false)?;
        hundred.then(|| (year, text.get(token.at..token.end).unwrap_or_default()))
    })?;
    let alone = matches!(core, [_]);
    let nearest = alone.then(|| format!("{year}–{}", year + 9));
    let more = if alone { "" } else { ": write the years" };
    Some((format!("`{word}` may be ten years or a hundred{more}"), nearest))
}

/// The phrase with its misspelt words put right, when the dictionary of date words has a near one.
fn respelt(text: &str) -> Option<String> {
    let mut changed = false;
    let words: Vec<&str> = text
        .split(char::is_whitespace)
        .map(|word| match words::nearest(word) {
            Some(known) => {
                changed = true;
                known
            }
            None => word,
        })
        .collect();
    changed.then(|| words.join(" "))
}
