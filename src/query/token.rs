//! A text cut into brackets and lumps. A lump runs to the next blank or bracket; what stands in quotes belongs to it whole.

use std::ops::Range;

use super::mistake::Mistake;

/// Longest query, in bytes.
const LONGEST: usize = 10_000;

/// One piece of a query.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Token {
    Open(Range<usize>),
    Close(Range<usize>),
    Lump(Lump),
}

/// What stands between blanks: `silk`, `"silk twill"`, `date:1800..1820`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Lump {
    pub span: Range<usize>,
    /// The word before the first colon, and its place.
    pub key: Option<(String, Range<usize>)>,
    /// What the value begins with: `=`, `>`, `>=`, `<`, `<=`; blank is none of them.
    pub sign: &'static str,
    /// The value without its quotes.
    pub text: String,
    pub text_span: Range<usize>,
    /// Where the value stands in the query letter by letter; none where quotes stand within it.
    pub verbatim: Option<usize>,
    /// Whether any of the value stood in quotes.
    pub quoted: bool,
}

impl Token {
    pub fn span(&self) -> Range<usize> {
        match self {
            Self::Open(span) | Self::Close(span) => span.clone(),
            Self::Lump(lump) => lump.span.clone(),
        }
    }
}

impl Lump {
    /// Whether it is the operator `word`: plainly written, without key, sign and quotes.
    pub fn is(&self, word: &str) -> bool {
        self.is_plain() && self.text.eq_ignore_ascii_case(word)
    }

    pub fn is_operator(&self) -> bool {
        ["and", "or", "not"].iter().any(|word| self.is(word))
    }

    pub fn is_plain(&self) -> bool {
        self.key.is_none() && !self.quoted && self.sign.is_empty()
    }
}

const SIGNS: [&str; 5] = [">=", "<=", ">", "<", "="];

fn is_quote(c: char) -> bool {
    matches!(c, '"' | '“' | '”' | '„')
}

/// Cuts a query into tokens.
pub(super) fn tokens(text: &str) -> Result<Vec<Token>, Mistake> {
    if text.len() > LONGEST {
        let cut = (0..=LONGEST).rev().find(|at| text.is_char_boundary(*at)).unwrap_or_default();
        return Err(Mistake::new(cut..text.len(), format!("a search has at most {LONGEST} bytes"))
            .mend("keep a part of it as a search of its own, and name that"));
    }
    let mut tokens = Vec::new();
    let mut at = 0;
    while let Some(c) = text[at..].chars().next() {
        let end = at + c.len_utf8();
        match c {
            c if c.is_whitespace() => at = end,
            '(' => {
                tokens.push(Token::Open(at..end));
                at = end;
            }
            ')' => {
                tokens.push(Token::Close(at..end));
                at = end;
            }
            _ => {
                let lump = lump(text, at)?;
                at = lump.span.end;
                tokens.push(Token::Lump(lump));
            }
        }
    }
    Ok(tokens)
}

/// Reads the lump that begins at `start`.
fn lump(text: &str, start: usize) -> Result<Lump, Mistake> {
    let mut key = None;
    let mut sign = "";
    let (mut part, mut part_start, mut quoted) = (String::new(), start, false);
    let mut at = start;
    while let Some(c) = text[at..].chars().next() {
        let end = at + c.len_utf8();
        if c.is_whitespace() || matches!(c, '(' | ')') {
            break;
        }
        if is_quote(c) {
            quoted = true;
            at = quote(text, at, &mut part)?;
        } else if c == ':' && at == start {
            let mistake = Mistake::new(start..end, "there is no key before this colon");
            return Err(mistake.mend("for instance `fibre:silk`; to look for the colon itself, put it in quotes"));
        } else if c == ':' && key.is_none() && sign.is_empty() {
            key = Some((std::mem::take(&mut part), start..at));
            (part_start, quoted) = (end, false);
            at = end;
        } else if let Some(found) =
            SIGNS.iter().find(|s| sign.is_empty() && part.is_empty() && !quoted && text[at..].starts_with(**s))
        {
            sign = found;
            at += found.len();
            part_start = at;
        } else {
            part.push(c);
            at = end;
        }
    }
    let raw = &text[part_start..at];
    let inner = raw.strip_prefix(is_quote).and_then(|raw| raw.strip_suffix(is_quote));
    let verbatim = if raw == part {
        Some(part_start)
    } else {
        inner.filter(|inner| *inner == part).map(|_| part_start + raw.chars().next().map_or(0, char::len_utf8))
    };
    Ok(Lump { span: start..at, key, sign, text: part, text_span: part_start..at, verbatim, quoted })
}

/// Takes over what stands in quotes at `start`, a doubled quote as one; gives the place behind it.
fn quote(text: &str, start: usize, into: &mut String) -> Result<usize, Mistake> {
    let mut chars = text[start..].char_indices().skip(1).peekable();
    while let Some((at, c)) = chars.next() {
        if !is_quote(c) {
            into.push(c);
        } else if c == '"' && chars.peek().is_some_and(|(_, next)| *next == '"') {
            into.push('"');
            chars.next();
        } else {
            return Ok(start + at + c.len_utf8());
        }
    }
    let mistake = Mistake::new(start..text.len(), "these quotes are not closed");
    Err(mistake.mend("close them with `\"`; for inches write `in`"))
}
