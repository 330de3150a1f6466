//! What a value means under its key.

use strsim::jaro_winkler;

use super::key::{KEYS, Key, THINGS, Takes};
use super::mistake::Mistake;
use super::tree::{Field, Test, Thing};
use super::{Reading, day, figure};
use crate::dating::{Dated, Interval};
use crate::measure::Kind;
use crate::vocabulary::{Scheme, Term, TermId};

/// One end of a span and its place.
pub(super) struct End<'a> {
    pub text: &'a str,
    pub at: usize,
}

/// `a..b` taken apart; either may be blank, not both.
pub(super) fn ends(text: &str) -> Option<(End<'_>, End<'_>)> {
    let (first, second) = text.split_once("..")?;
    let lead = |t: &str| t.len() - t.trim_start().len();
    let (a, b) = (first.trim(), second.trim());
    if a.is_empty() && b.is_empty() {
        return None;
    }
    Some((End { text: a, at: lead(first) }, End { text: b, at: first.len() + 2 + lead(second) }))
}

/// How alike two words are; enough to be proposed.
const LIKE_ENOUGH: f64 = 0.75;

/// The words of a list that are most like one, three at most.
pub(super) fn nearest<'a>(word: &str, list: impl Iterator<Item = &'a str>) -> Vec<String> {
    let word = word.to_lowercase();
    let mut ranked: Vec<(f64, &str)> =
        list.map(|w| (jaro_winkler(&word, &w.to_lowercase()), w)).filter(|(s, _)| *s > LIKE_ENOUGH).collect();
    ranked.sort_by(|a, b| b.0.total_cmp(&a.0));
    ranked.dedup_by(|a, b| a.1 == b.1);
    ranked.into_iter().take(3).map(|(_, w)| w.to_owned()).collect()
}

/// Letters alone, in lower case: `Waist-girth` is `waistgirth`.
fn folded(text: &str) -> String {
    text.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_lowercase).collect()
}

/// The key or dimension written before a colon.
pub(super) fn field(word: &str, reading: &Reading<'_>) -> Result<Field, Mistake> {
    let wanted = folded(word);
    let same = |name: &&str| folded(name) == wanted;
    if let Some(key) = KEYS.iter().find(|k| same(&k.name) || k.also.iter().any(same)) {
        return Ok(Field::Key(key));
    }
    if let Ok(term) = reading.vocabulary.find(Scheme::Dimension, word) {
        return Ok(Field::Dimension(term.id.clone()));
    }
    // `bust` for `bust girth`: the dimensions that begin with the word.
    let names = || reading.vocabulary.terms(Scheme::Dimension);
    let begins = |text: &str| text.split_whitespace().next().is_some_and(|first| folded(first) == wanted);
    let likely: Vec<_> = names().filter(|t| t.spellings().any(begins)).collect();
    match likely.as_slice() {
        [one] => Ok(Field::Dimension(one.id.clone())),
        [] => {
            let keys = KEYS.iter().flat_map(|k| std::iter::once(k.name).chain(k.also.iter().copied()));
            let near = nearest(word, keys.chain(names().map(Term::name)));
            Err(Mistake::new(0..word.len(), format!("`{word}` is no key"))
                .nearest(near)
                .mend("to look for the words themselves, put them in quotes; `dimity find --keys` lists the keys"))
        }
        several => Err(Mistake::new(0..word.len(), format!("`{word}` may be several dimensions"))
            .nearest(several.iter().take(4).map(|t| t.name().to_owned()))),
    }
}

/// Reads a value under a field: what it means, and the text under which it is kept.
pub(super) fn read(
    field: &Field,
    sign: &'static str,
    text: &str,
    reading: &Reading<'_>,
) -> Result<(Test, String), Mistake> {
    let kept = |test| (test, text.to_owned());
    let Field::Key(key) = field else { return figure::read(Kind::Length, "", sign, text).map(Test::Figure).map(kept) };
    let compares = matches!(key.takes, Takes::Figure { .. } | Takes::Years | Takes::Days);
    if !compares && !matches!(sign, "" | "=") {
        let why = format!("`{}` takes a word, so it cannot be more or less", key.name);
        return Err(Mistake::new(0..text.len(), why).mend(format!("for instance `{}`", key.example)));
    }
    match key.takes {
        Takes::Terms(lists) => terms(key, lists, sign == "=", text, reading),
        Takes::Text(_) => {
            searchable(text)?;
            Ok(kept(Test::Text { words: text.to_owned(), whole: sign == "=" }))
        }
        Takes::Choice(words) => match words.iter().find(|w| w.eq_ignore_ascii_case(text)) {
            Some(word) => Ok((Test::Choice((*word).to_owned()), (*word).to_owned())),
            None => {
                let refuse = Mistake::new(0..text.len(), format!("`{text}` is no {}", key.name));
                Err(refuse.mend(format!("write {}", listed(words))))
            }
        },
        Takes::Figure { kind, unit } => figure::read(kind, unit, sign, text).map(Test::Figure).map(kept),
        Takes::Years => years(sign, text, reading).map(kept),
        Takes::Days => day::read(sign, text).map(Test::Days).map(kept),
        Takes::Number => {
            let beginning = text.ends_with('*');
            // As SQLite makes lower case: of plain ASCII alone.
            let number = text.strip_suffix('*').unwrap_or(text).to_ascii_lowercase();
            Ok(kept(Test::Number { number, beginning }))
        }
        Takes::Has => thing(text, reading).map(|(t, name)| (Test::Has(t), name)),
        Takes::Lacks => thing(text, reading).map(|(t, name)| (Test::Lacks(t), name)),
        // Sets are read by the parser, which knows what they mean.
        Takes::Kept => Err(Mistake::new(0..text.len(), "a kept search has a name")),
    }
}

fn listed(words: &[&str]) -> String {
    words.iter().map(|w| format!("`{w}`")).collect::<Vec<_>>().join(" or ")
}

/// A text without a letter or digit could find nothing.
pub(super) fn searchable(text: &str) -> Result<(), Mistake> {
    if text.chars().any(char::is_alphanumeric) {
        return Ok(());
    }
    Err(Mistake::new(0..text.len(), "there is no letter or digit in this to look for"))
}

fn terms(
    key: &'static Key,
    lists: &[Scheme],
    exactly: bool,
    text: &str,
    reading: &Reading<'_>,
) -> Result<(Test, String), Mistake> {
    let vocabulary = reading.vocabulary;
    let found: Vec<&TermId> = lists.iter().filter_map(|s| vocabulary.find(*s, text).ok()).map(|t| &t.id).collect();
    let widen = |id: &TermId| if exactly { vec![id.clone()] } else { vocabulary.with_narrower(id) };
    if let Some(first) = found.first() {
        let ids: Vec<TermId> = found.iter().flat_map(|id| widen(id)).collect();
        // One word under several lists (`unstable`) keeps the spelling that all of them know.
        let name = if found.len() == 1 { first.name().to_owned() } else { text.to_lowercase() };
        return Ok((Test::Terms(ids), name));
    }
    if key.name == "component"
        && let (Some(side), Some(term)) = vocabulary.component_side(text)
    {
        return Ok((Test::Sided(side.to_string(), widen(&term.id)), format!("{side} {}", term.name())));
    }
    let near = match lists {
        [one] => vocabulary.find(*one, text).err().map(|e| e.nearest).unwrap_or_default(),
        several => nearest(text, several.iter().flat_map(|s| vocabulary.terms(*s)).map(Term::name)),
    };
    let noun = if let [one] = lists { one.noun() } else { "word of condition" };
    let mistake = Mistake::new(0..text.len(), format!("`{text}` is no {noun}")).nearest(near);
    Err(if mistake.nearest.is_empty() {
        let all: Vec<String> = lists.iter().map(|s| format!("`dimity terms {}`", s.key())).collect();
        mistake.mend(format!("{} lists them", all.join(", ")))
    } else {
        mistake
    })
}

fn thing(text: &str, reading: &Reading<'_>) -> Result<(Thing, String), Mistake> {
    let wanted = folded(text);
    let plural = wanted.strip_suffix('s').unwrap_or(&wanted).to_owned();
    if let Some(thing) = THINGS.iter().find(|t| folded(t) == wanted || folded(t) == plural) {
        return Ok((Thing::Listed(thing), (*thing).to_owned()));
    }
    match field(text, reading) {
        Ok(found) if found.may_be_blank() => {
            let name = found.name().to_owned();
            Ok((Thing::Of(found), name))
        }
        _ => {
            let keys = KEYS.iter().filter(|k| Field::Key(k).may_be_blank()).map(|k| k.name);
            Err(Mistake::new(0..text.len(), format!("`{text}` is nothing that a record has or lacks"))
                .nearest(nearest(text, THINGS.iter().copied().chain(keys)))
                .mend(format!("write one of {}, or a key", THINGS.join(", "))))
        }
    }
}

fn years(sign: &str, text: &str, reading: &Reading<'_>) -> Result<Test, Mistake> {
    let within = sign == "=";
    if let Some((from, to)) = ends(text).filter(|_| !text.contains('[')) {
        let first = (!from.text.is_empty()).then(|| dated(from.text, from.at, reading)).transpose()?;
        let last = (!to.text.is_empty()).then(|| dated(to.text, to.at, reading)).transpose()?;
        let years = Interval::new(first.and_then(|i| i.earliest), last.and_then(|i| i.latest));
        if years.earliest.zip(years.latest).is_some_and(|(a, b)| a > b) {
            let turned = format!("{}..{}", to.text, from.text);
            return Err(Mistake::new(0..text.len(), "the first year lies behind the last").nearest([turned]));
        }
        return Ok(Test::Years { years, within });
    }
    let asked = dated(text, 0, reading)?;
    let years = match sign {
        ">" => Interval::new(asked.latest.map(|y| y.saturating_add(1)), None),
        ">=" => Interval::new(asked.earliest, None),
        "<" => Interval::new(None, asked.earliest.map(|y| y.saturating_sub(1))),
        "<=" => Interval::new(None, asked.latest),
        _ => asked,
    };
    if years.is_undated() {
        return Err(Mistake::new(0..text.len(), "nothing lies beyond an open end"));
    }
    Ok(Test::Years { years, within })
}

fn dated(text: &str, at: usize, reading: &Reading<'_>) -> Result<Interval, Mistake> {
    let date = Dated::parse(text, &reading.conventions).map_err(|refusal| {
        let from = at + refusal.at.min(text.len());
        Mistake::new(from..at + text.len(), refusal.why).nearest(refusal.nearest)
    })?;
    let years = date.interval();
    if years.is_undated() {
        let none = Mistake::new(at..at + text.len(), format!("`{text}` names no years"));
        return Err(none.mend("write for instance `1800..1820` or `c. 1815`; `lacks:date` finds what is not dated"));
    }
    Ok(years)
}
