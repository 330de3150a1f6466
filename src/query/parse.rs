//! From tokens to a tree. `not` binds closest, then `and` (or nothing between two conditions), then `or`.

use std::collections::BTreeMap;
use std::ops::Range;
use std::sync::Arc;

use super::key::{Key, Takes};
use super::mistake::Mistake;
use super::token::{Lump, Token, tokens};
use super::tree::{Clause, Field, Tree};
use super::value::{self, nearest, searchable};
use super::{Query, Reading};

/// Brackets, `not`s and sets inside one another at most.
const DEEPEST: usize = 60;
/// Words that a value without quotes may take in after a blank: `31 1/2 in`, `early 19th century`.
const LONGEST_VALUE: usize = 4;

pub(super) fn query(text: &str, reading: &Reading<'_>) -> Result<Query, Mistake> {
    let mut sets = Sets { reading, read: BTreeMap::new(), open: Vec::new(), depth: 0 };
    let tree = whole(text, &mut sets).map_err(|mistake| Mistake { text: text.to_owned(), ..mistake })?;
    Ok(Query { tree })
}

/// The kept searches read so far, and those being read.
struct Sets<'a> {
    reading: &'a Reading<'a>,
    read: BTreeMap<String, Arc<Option<Tree>>>,
    open: Vec<String>,
    /// Brackets, `not`s and sets that stand open.
    depth: usize,
}

fn whole(text: &str, sets: &mut Sets<'_>) -> Result<Option<Tree>, Mistake> {
    let tokens = tokens(text)?;
    if tokens.is_empty() {
        return Ok(None);
    }
    let mut parser = Parser { tokens: &tokens, at: 0, end: text.len(), under: None, sets };
    let tree = parser.either()?;
    match parser.peek() {
        None => Ok(Some(tree)),
        Some(Token::Close(span)) => {
            let mistake = Mistake::new(span.clone(), "this bracket closes nothing");
            Err(mistake.mend("take it out, or open one before it with `(`"))
        }
        Some(other) => Err(Mistake::new(other.span(), "this is left over")),
    }
}

struct Parser<'t, 's, 'a> {
    tokens: &'t [Token],
    at: usize,
    end: usize,
    /// The key before an open bracket: the words in it are its values.
    under: Option<Field>,
    sets: &'s mut Sets<'a>,
}

impl<'t> Parser<'t, '_, '_> {
    fn peek(&self) -> Option<&'t Token> {
        self.tokens.get(self.at)
    }

    fn operator(&self, word: &str) -> bool {
        matches!(self.peek(), Some(Token::Lump(lump)) if lump.is(word))
    }

    fn either(&mut self) -> Result<Tree, Mistake> {
        let mut parts = vec![self.all()?];
        while self.operator("or") {
            self.at += 1;
            parts.push(self.all()?);
        }
        Ok(if parts.len() > 1 { Tree::Or(parts) } else { parts.remove(0) })
    }

    fn all(&mut self) -> Result<Tree, Mistake> {
        let mut parts = vec![self.negated()?];
        loop {
            if self.operator("and") {
                self.at += 1;
            } else if matches!(self.peek(), None | Some(Token::Close(_))) || self.operator("or") {
                break;
            }
            parts.push(self.negated()?);
        }
        Ok(if parts.len() > 1 { Tree::And(parts) } else { parts.remove(0) })
    }

    fn negated(&mut self) -> Result<Tree, Mistake> {
        if !self.operator("not") {
            return self.single();
        }
        self.deeper()?;
        self.at += 1;
        let inner = self.negated()?;
        self.sets.depth -= 1;
        Ok(Tree::Not(Box::new(inner)))
    }

    fn deeper(&mut self) -> Result<(), Mistake> {
        self.sets.depth += 1;
        if self.sets.depth <= DEEPEST {
            return Ok(());
        }
        let here = self.peek().map_or(self.end..self.end, Token::span);
        Err(Mistake::new(here, format!("more than {DEEPEST} brackets and `not`s stand in one another"))
            .mend("keep a part of it as a search of its own, and name that"))
    }

    fn single(&mut self) -> Result<Tree, Mistake> {
        match self.peek() {
            None => Err(Mistake::new(self.end..self.end, "something is missing here").mend(
                "write a word, a `key:value` or a bracket; to look for `and`, `or`, `not` themselves, quote them",
            )),
            Some(Token::Close(span)) => Err(Mistake::new(span.clone(), "something is missing before this bracket")
                .mend("write a word or a `key:value` there")),
            Some(Token::Open(span)) => self.bracket(span.clone()),
            Some(Token::Lump(lump)) if lump.is_operator() => {
                Err(Mistake::new(lump.span.clone(), format!("something is missing before `{}`", lump.text))
                    .mend("to look for the word itself, put it in quotes"))
            }
            Some(Token::Lump(lump)) => {
                self.at += 1;
                self.condition(lump)
            }
        }
    }

    fn bracket(&mut self, opened: Range<usize>) -> Result<Tree, Mistake> {
        self.deeper()?;
        self.at += 1;
        let tree = self.either()?;
        self.sets.depth -= 1;
        match self.peek() {
            Some(Token::Close(_)) => {
                self.at += 1;
                Ok(tree)
            }
            _ => Err(Mistake::new(opened, "this bracket is not closed").mend("close it with `)`")),
        }
    }

    fn condition(&mut self, lump: &'t Lump) -> Result<Tree, Mistake> {
        let field = match (&lump.key, &self.under) {
            (Some((word, span)), _) => {
                let shifted = |m: Mistake| Mistake { span: span.clone(), ..m };
                Some(value::field(word, self.sets.reading).map_err(shifted)?)
            }
            (None, under) => under.clone(),
        };
        let Some(field) = field else {
            if !lump.sign.is_empty() {
                let mistake = Mistake::new(lump.span.clone(), format!("`{}` needs a key before it", lump.sign));
                return Err(mistake.mend("for instance `sett:>30`; to look for the sign itself, put it in quotes"));
            }
            let shifted = |m: Mistake| Mistake { span: lump.span.clone(), ..m };
            searchable(&lump.text).map_err(shifted)?;
            let text = if lump.quoted { lump.text.clone() } else { lump.text.trim_end_matches('*').to_owned() };
            return Ok(Tree::Words { text, whole: lump.quoted });
        };
        if lump.text.is_empty() && !lump.quoted {
            if lump.sign.is_empty()
                && let Some(Token::Open(span)) = self.peek()
            {
                let outer = self.under.replace(field);
                let tree = self.bracket(span.clone());
                self.under = outer;
                return tree;
            }
            // `fibre: silk`, `sett: >30`, `sett:> 30`, `sett: > 30`.
            let (mut sign, from) = (lump.sign, self.at);
            while let Some(Token::Lump(next)) = self.peek()
                && next.key.is_none()
                && !next.is_operator()
                && (sign.is_empty() || next.sign.is_empty())
            {
                self.at += 1;
                sign = if sign.is_empty() { next.sign } else { sign };
                if !next.text.is_empty() || next.quoted {
                    return self.clause(field, sign, next);
                }
            }
            self.at = from;
            let example = if let Field::Key(key) = &field { key.example } else { "bust:>80cm" };
            return Err(Mistake::new(lump.span.clone(), format!("`{}` has no value", field.name()))
                .mend(format!("for instance `{example}`; `lacks:` finds what is not recorded")));
        }
        self.clause(field, lump.sign, lump)
    }

    /// Reads the value; where it cannot be read alone, with the words that follow it.
    fn clause(&mut self, field: Field, sign: &'static str, lump: &'t Lump) -> Result<Tree, Mistake> {
        if let Field::Key(Key { takes: Takes::Kept, .. }) = &field {
            return self.set(lump, sign);
        }
        let mut written = lump.text.clone();
        let first = match value::read(&field, sign, &written, self.sets.reading) {
            Ok((test, kept)) => return Ok(Tree::Clause(Clause { field, sign, text: kept, test })),
            Err(mistake) => mistake,
        };
        if !lump.quoted {
            for (more, token) in (1..LONGEST_VALUE).zip(&self.tokens[self.at..]) {
                let Token::Lump(next) = token else { break };
                if !next.is_plain() || next.is_operator() {
                    break;
                }
                written = format!("{written} {}", next.text);
                if let Ok((test, kept)) = value::read(&field, sign, &written, self.sets.reading) {
                    self.at += more;
                    return Ok(Tree::Clause(Clause { field, sign, text: kept, test }));
                }
            }
        }
        let span = match lump.verbatim {
            Some(from) => from + first.span.start..from + first.span.end,
            None => lump.text_span.clone(),
        };
        Err(Mistake { span, ..first })
    }

    fn set(&mut self, lump: &Lump, sign: &str) -> Result<Tree, Mistake> {
        let at = |why: String| Mistake::new(lump.text_span.clone(), why);
        if !sign.is_empty() {
            return Err(at("a kept search is named without a sign".into()));
        }
        let names = &self.sets.reading.sets;
        let wanted = lump.text.trim().to_lowercase();
        let Some((name, text)) = names.iter().find(|(name, _)| name.to_lowercase() == wanted) else {
            let mistake = at(format!("there is no kept search `{}`", lump.text));
            let near = nearest(&lump.text, names.keys().map(String::as_str));
            return Err(mistake.nearest(near).mend("`dimity searches` lists them"));
        };
        if let Some(begin) = self.sets.open.iter().position(|n| n == name) {
            let mut circle: Vec<&str> = self.sets.open[begin..].iter().map(String::as_str).collect();
            circle.push(name);
            return Err(at(format!("the search names itself in a circle: {}", circle.join(", which names "))));
        }
        let means = match self.sets.read.get(name) {
            Some(means) => Arc::clone(means),
            None => {
                self.deeper()?;
                self.sets.open.push(name.clone());
                let read = whole(text, self.sets);
                self.sets.open.pop();
                self.sets.depth -= 1;
                let circle = |m: &Mistake| m.why.starts_with("the search names itself");
                let tree = read.map_err(|m| {
                    if circle(&m) {
                        at(m.why)
                    } else {
                        at(format!("the kept search `{name}` cannot be read: {}", m.sentence()))
                    }
                })?;
                let means = Arc::new(tree);
                self.sets.read.insert(name.clone(), Arc::clone(&means));
                means
            }
        };
        Ok(Tree::Kept { name: name.clone(), means })
    }
}
