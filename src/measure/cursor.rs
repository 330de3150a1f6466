//! A place in a text, moved forward by what is recognised there. Offsets stay those of the writer's own text.

/// A text and how far it has been read. Cheap to copy: to look ahead, move a copy.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Cursor<'a> {
    pub(crate) text: &'a str,
    pub(crate) at: usize,
}

impl<'a> Cursor<'a> {
    pub(crate) fn new(text: &'a str) -> Cursor<'a> {
        let mut cursor = Cursor { text, at: 0 };
        cursor.skip_blanks();
        cursor
    }

    pub(crate) fn rest(&self) -> &'a str {
        self.text.get(self.at..).unwrap_or("")
    }

    pub(crate) fn peek(&self) -> Option<char> {
        self.rest().chars().next()
    }

    pub(crate) fn at_end(&self) -> bool {
        self.rest().trim_start().is_empty()
    }

    /// Blanks of every width, no-break ones included.
    pub(crate) fn skip_blanks(&mut self) {
        let rest = self.rest();
        self.at += rest.len() - rest.trim_start().len();
    }

    pub(crate) fn take(&mut self, wanted: impl Fn(char) -> bool) -> Option<char> {
        let c = self.peek().filter(|c| wanted(*c))?;
        self.at += c.len_utf8();
        Some(c)
    }

    pub(crate) fn take_digits(&mut self) -> &'a str {
        let rest = self.rest();
        let end = rest.find(|c: char| !c.is_ascii_digit()).unwrap_or(rest.len());
        self.at += end;
        &rest[..end]
    }

    /// Eats the first of these spellings that stands here, blanks before it included.
    pub(crate) fn eat_any(&mut self, spellings: &[&str]) -> bool {
        spellings.iter().any(|spelling| self.eat(spelling))
    }

    pub(crate) fn eat(&mut self, spelling: &str) -> bool {
        let mut ahead = *self;
        ahead.skip_blanks();
        match length_of(ahead.rest(), spelling) {
            Some(length) => {
                self.at = ahead.at + length;
                true
            }
            None => false,
        }
    }

    /// The word or mark that stands here, to be quoted in a message.
    pub(crate) fn word(&self) -> &'a str {
        let rest = self.rest().trim_start();
        let first_is_letter = rest.chars().next().is_some_and(char::is_alphabetic);
        let end =
            rest.find(
                |c: char| {
                    if first_is_letter { !c.is_alphanumeric() } else { c.is_whitespace() || c.is_alphabetic() }
                },
            );
        &rest[..end.unwrap_or(rest.len())]
    }
}

/// How many bytes of `rest` this spelling covers: letter case is free, a blank stands for any run of blanks,
/// and a spelling that ends in a letter must not run on into another.
pub(crate) fn length_of(rest: &str, spelling: &str) -> Option<usize> {
    // Nearly all of a list fail at their first letter.
    let first = rest.as_bytes().first().zip(spelling.as_bytes().first());
    if first.is_some_and(|(a, b)| a.is_ascii() && b.is_ascii() && *b != b' ' && !a.eq_ignore_ascii_case(b)) {
        return None;
    }
    let mut chars = rest.char_indices().peekable();
    for wanted in spelling.chars() {
        if wanted == ' ' {
            chars.next_if(|(_, c)| c.is_whitespace())?;
            while chars.next_if(|(_, c)| c.is_whitespace()).is_some() {}
        } else {
            chars.next_if(|(_, c)| is_same_letter(*c, wanted))?;
        }
    }
    let ends_in_letter = spelling.chars().next_back().is_some_and(char::is_alphabetic);
    match chars.peek() {
        Some((_, c)) if ends_in_letter && c.is_alphabetic() => None,
        Some((at, _)) => Some(*at),
        None => Some(rest.len()),
    }
}

/// Whether two letters are one, whatever their case.
fn is_same_letter(a: char, b: char) -> bool {
    if a.is_ascii() && b.is_ascii() {
        a.eq_ignore_ascii_case(&b)
    } else {
        a == b || a.to_lowercase().eq(b.to_lowercase())
    }
}
