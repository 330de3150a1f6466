//! Dates of several clauses: what happened one after the other, the parts of a piece, lists, and notes in brackets.

use super::{
    Conventions, Event,
    clause::{self, Reading, Trouble, joined},
    interval::Interval,
    period,
    token::Token,
    words::{Act, Word},
};

/// A clause between commas or brackets, and what it turned out to be.
struct Piece<'t> {
    phrase: &'t [Token],
    bracketed: bool,
    labelled: bool,
}

/// A clause that was read.
struct Said {
    act: Option<Act>,
    verb: Option<String>,
    from: usize,
    to: usize,
    reading: Reading,
    labelled: bool,
}

/// What a written date says as a whole, and each thing that happened.
pub(super) struct Story {
    pub(super) reading: Reading,
    pub(super) events: Vec<Event>,
}

/// Reads a date, of one clause or several.
pub(super) fn read(phrase: &[Token], conventions: &Conventions, text: &str) -> Option<Result<Story, Trouble>> {
    let (around, whole) = clause::read(phrase, conventions, text);
    match whole {
        Some(Ok(reading)) => {
            let verb = around.act.and_then(|(_, from, to)| text.get(from..to)).map(str::to_owned);
            let events = vec![event(verb, text, &reading)];
            return Some(Ok(Story { reading, events }));
        }
        Some(Err(trouble)) => return Some(Err(trouble)),
        None => {}
    }
    if let Some(story) = two_clauses(phrase, conventions, text) {
        return Some(Ok(story));
    }
    let pieces = pieces(phrase, text);
    if pieces.len() < 2 && !pieces.iter().any(|piece| piece.labelled) {
        return None;
    }
    let mut said: Vec<Said> = Vec::new();
    let mut notes: Vec<String> = Vec::new();
    for (place, piece) in pieces.iter().enumerate() {
        if let Some(trouble) = take(piece, pieces.get(place + 1), &mut said, &mut notes, conventions, text)? {
            return Some(Err(trouble));
        }
    }
    if said.is_empty() {
        return None;
    }
    let mut story = told(&said, phrase, text);
    let unread = (!notes.is_empty()).then(|| format!("not read: {}", notes.join(", ")));
    story.reading.remark = joined([story.reading.remark, unread]);
    Some(Ok(story))
}

/// `1888–9 and 1891`: clauses that are whole in themselves.
fn two_clauses(phrase: &[Token], conventions: &Conventions, text: &str) -> Option<Story> {
    let joints =
        phrase.iter().enumerate().filter(|(_, token)| matches!(token.word, Word::And | Word::Or | Word::Loose));
    let places: Vec<usize> = joints.map(|(place, _)| place).collect();
    places.into_iter().find_map(|place| {
        let (left, right) = (phrase.get(..place)?, phrase.get(place + 1..)?);
        let said: Option<Vec<Said>> = [left, right]
            .into_iter()
            .map(|side| match clause::read(side, conventions, text) {
                (around, Some(Ok(reading))) if around.act.is_none() => {
                    let (from, to) = (side.first()?.at, side.last()?.end);
                    Some(Said { act: None, verb: None, from, to, reading, labelled: false })
                }
                _ => None,
            })
            .collect();
        said.map(|said| told(&said, phrase, text))
    })
}

fn event(verb: Option<String>, written: &str, reading: &Reading) -> Event {
    Event { verb, as_written: written.trim().to_owned(), years: reading.years, edtf: reading.edtf.clone() }
}

/// Cuts at commas and brackets, before a verb that follows a date, and before a label.
fn pieces<'t>(phrase: &'t [Token], text: &str) -> Vec<Piece<'t>> {
    let mut made: Vec<Piece> = Vec::new();
    let (mut start, mut depth) = (0, 0_usize);
    let dated = |word: Word| {
        !matches!(word, Word::Verb(_) | Word::And | Word::Slash | Word::Dash | Word::Ordinal(1) | Word::Loose)
    };
    let mut label = None;
    let mut close = |from: usize, to: usize, bracketed: bool| {
        let mut slice = phrase.get(from..to).unwrap_or_default();
        let mut labelled = false;
        // `a.` begins a list of parts; `c.` is one only where a part `b` has gone before.
        while let [first, rest @ ..] = slice {
            let letter = match text.as_bytes().get(first.at..first.end) {
                Some([letter] | [letter, b'.']) => Some(letter.to_ascii_lowercase()),
                _ => None,
            };
            let follows = label.is_some() && letter == label.map(|last: u8| last + 1);
            let begins = letter == Some(b'a') && from == 0 && label.is_none();
            if !(first.word == Word::Label || follows || begins) {
                break;
            }
            (label, labelled, slice) = (letter, true, rest);
        }
        if !slice.is_empty() || labelled {
            made.push(Piece { phrase: slice, bracketed, labelled });
        }
    };
    for (place, token) in phrase.iter().enumerate() {
        let next = phrase.get(place + 1).map(|token| token.word);
        let begun = phrase.get(start..place).unwrap_or_default();
        let has_date = begun.last().is_some_and(|last| dated(last.word));
        match token.word {
            Word::Comma => {
                close(start, place, depth > 0);
                start = place + 1;
            }
            Word::Open => {
                close(start, place, depth > 0);
                start = place + 1;
                depth += 1;
            }
            Word::Close => {
                close(start, place, depth > 0);
                start = place + 1;
                depth = depth.saturating_sub(1);
            }
            Word::And | Word::Slash | Word::Dash if has_date && matches!(next, Some(Word::Verb(_))) => {
                close(start, place, depth > 0);
                start = place + 1;
            }
            Word::Verb(_) | Word::Label if has_date => {
                close(start, place, depth > 0);
                start = place;
            }
            _ => {}
        }
    }
    close(start, phrase.len(), depth > 0);
    made
}

/// Reads one piece into what was said so far. Nothing at all when it stops the whole from being a date.
#[allow(clippy::option_option, reason = "no date, a date that is wrong, a date")]
fn take(
    piece: &Piece,
    next: Option<&Piece>,
    said: &mut Vec<Said>,
    notes: &mut Vec<String>,
    conventions: &Conventions,
    text: &str,
) -> Option<Option<Trouble>> {
    let (Some(first), Some(last)) = (piece.phrase.first(), piece.phrase.last()) else { return Some(None) };
    let written = text.get(first.at..last.end).unwrap_or_default();
    // `1912 (design)`: what the year before was.
    if piece.phrase.iter().all(|token| matches!(token.word, Word::Verb(_)))
        && let (Some(before), Word::Verb(act)) = (said.last_mut(), first.word)
    {
        if before.verb.is_none() {
            (before.act, before.verb) = (Some(act), Some(written.to_owned()));
        }
        return Some(None);
    }
    // `19th century, first half`
    let (part, rest) = period::part(piece.phrase);
    if part.is_some() && rest.is_empty() {
        let before = said.pop()?;
        let noun = text.get(before.from..before.to)?;
        let turned = super::token::tokens(&format!("{written} {noun}"));
        let (_, reading) = clause::read(&turned, conventions, "");
        said.push(Said { reading: reading?.ok()?, to: last.end, ..before });
        return Some(None);
    }
    let (around, reading) = clause::read(piece.phrase, conventions, text);
    let reading = match reading {
        Some(Ok(reading)) => reading,
        Some(Err(trouble)) if !piece.bracketed => return Some(Some(trouble)),
        _ => {
            // A note, or the name of a time: only where the date stands beside it.
            let figures = piece.phrase.iter().any(|token| {
                matches!(
                    token.word,
                    Word::Figure(..) | Word::Decade(..) | Word::Century | Word::Day(..) | Word::Named(_)
                )
            });
            let named = piece.phrase.iter().any(|token| token.word == Word::Reign);
            let beside = next.is_some_and(|next| next.bracketed);
            if (piece.bracketed && !said.is_empty()) || (!figures && (named || beside)) {
                notes.push(format!("`{written}`"));
                return Some(None);
            }
            return None;
        }
    };
    let verb = around.act.and_then(|(_, from, to)| text.get(from..to)).map(str::to_owned);
    if let Some(before) = said.last_mut().filter(|_| verb.is_none() && !piece.labelled) {
        let is_open = |years: Interval| years.earliest.is_none() || years.latest.is_none();
        let open = is_open(reading.years) || is_open(before.reading.years);
        let within = before.reading.years.overlaps(reading.years);
        let nested = before.reading.years.holds(reading.years) || reading.years.holds(before.reading.years);
        // `early 19th century, after 1804`, `19th century (1840–1860)`, `1790, 18th century` say one thing twice.
        if within && (open || nested) {
            let years = before.reading.years.common(reading.years);
            if !open && years == before.reading.years {
                return Some(None);
            }
            let edtf = if years == reading.years { reading.edtf } else { Some(span_in_edtf(years)) };
            let remark = joined([before.reading.remark.take(), reading.remark]);
            before.reading = Reading { years, edtf, remark, is_year: reading.is_year };
            before.to = last.end;
            return Some(None);
        }
    }
    let act = around.act.map(|(act, ..)| act);
    said.push(Said { act, verb, from: first.at, to: last.end, reading, labelled: piece.labelled });
    Some(None)
}

fn span_in_edtf(years: Interval) -> String {
    let end = |year: Option<i32>| year.map_or("..".to_owned(), period::edtf_year);
    format!("{}/{}", end(years.earliest), end(years.latest))
}

/// What the clauses say together.
fn told(said: &[Said], phrase: &[Token], text: &str) -> Story {
    let events: Vec<Event> = said
        .iter()
        .map(|one| event(one.verb.clone(), text.get(one.from..one.to).unwrap_or_default(), &one.reading))
        .collect();
    let plain = said.iter().all(|one| one.verb.is_none()) || said.iter().any(|one| one.labelled);
    if plain && said.len() > 1 {
        return Story { reading: listed(said, phrase), events };
    }
    // Making ends with the first clause that is a making; a date without a verb is one.
    let made = |one: &Said| matches!(one.act, None | Some(Act::Made));
    let until = said.iter().position(made).unwrap_or(0);
    let making = said.get(..=until).unwrap_or(said);
    let mut reading = listed(making, &[]);
    if let [one] = making {
        reading = one.reading.clone();
    } else {
        // Nothing is woven before it is designed: from the first begins to the last ends, where they are in order.
        if let (Some(first), Some(last)) = (making.first(), making.last()) {
            let years = Interval::new(first.reading.years.earliest, last.reading.years.latest);
            let ordered = years.earliest.is_none_or(|a| years.latest.is_none_or(|b| a <= b));
            reading.years = if ordered && !years.is_undated() { years } else { reading.years };
        }
        reading.edtf = if reading.years.is_undated() { None } else { Some(span_in_edtf(reading.years)) };
    }
    let apart = said.get(until + 1..).unwrap_or_default().iter().map(|one| {
        let words = text.get(one.from..one.to).unwrap_or_default();
        let years = one.reading.years.to_string();
        let said = if words.ends_with(&years) { words.to_owned() } else { format!("{words}, that is {years}") };
        Some(format!("apart from that: {said}"))
    });
    reading.remark = joined([reading.remark.take()].into_iter().chain(apart));
    Story { reading, events }
}

/// Several dates for one piece, or for its parts: the years of all.
fn listed(said: &[Said], phrase: &[Token]) -> Reading {
    let years = said.iter().map(|one| one.reading.years).reduce(Interval::with);
    let one_of = phrase.iter().any(|token| token.word == Word::Or);
    let members = said.iter().map(|one| {
        let edtf = one.reading.edtf.as_deref()?;
        let bare = edtf.trim_matches(['[', ']', '{', '}']);
        let (start, end) = bare.split_once('/').unwrap_or((bare, bare));
        let blank = |end: &str| if end == ".." { String::new() } else { end.to_owned() };
        Some(if start == end { start.to_owned() } else { format!("{}..{}", blank(start), blank(end)) })
    });
    let members: Option<Vec<String>> = members.collect();
    let edtf = members.map(|members| {
        let list = members.join(",");
        if one_of { format!("[{list}]") } else { format!("{{{list}}}") }
    });
    Reading {
        years: years.unwrap_or(Interval::new(None, None)),
        edtf: edtf.filter(|edtf| super::edtf::years(edtf).is_ok()),
        remark: joined(said.iter().map(|one| one.reading.remark.clone())),
        is_year: false,
    }
}
