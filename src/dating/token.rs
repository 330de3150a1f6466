//! A written date cut into words that are understood, each with its place in the text.

use super::words::{self, Act, Word};

/// A word of a date and the bytes it takes in the text.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Token {
    pub(super) word: Word,
    pub(super) at: usize,
    pub(super) end: usize,
}

/// A letter without case and accents, every dash a hyphen, every blank a space.
fn fold(c: char, mut push: impl FnMut(char)) {
    match c {
        'A'..='Z' => push(c.to_ascii_lowercase()),
        ' '..='~' => push(c),
        'à'..='å' | 'À'..='Å' | 'ª' => push('a'),
        'ç' | 'Ç' => push('c'),
        'è'..='ë' | 'È'..='Ë' | 'ᵉ' => push('e'),
        'ì'..='ï' | 'Ì'..='Ï' => push('i'),
        'ñ' | 'Ñ' | 'ⁿ' => push('n'),
        'ò'..='ö' | 'Ò'..='Ö' | 'º' => push('o'),
        'ù'..='ü' | 'Ù'..='Ü' => push('u'),
        'ß' => {
            push('s');
            push('s');
        }
        'ᵗ' => push('t'),
        'ʰ' => push('h'),
        'ˢ' => push('s'),
        'ᵈ' => push('d'),
        'ʳ' => push('r'),
        'ᵐ' => push('m'),
        // Accents written after their letter.
        '\u{300}'..='\u{36f}' => (),
        '‐' | '‑' | '‒' | '–' | '—' | '―' | '−' => push('-'),
        '’' | '‘' | 'ʼ' | '´' => push('\''),
        c if c.is_whitespace() => push(' '),
        c => push(c.to_lowercase().next().unwrap_or(c)),
    }
}

/// A text folded as above.
pub(super) fn folded(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    text.chars().for_each(|c| fold(c, |c| out.push(c)));
    out
}

struct Scan<'t> {
    text: &'t str,
    /// Folded letters, and where each stands in the text; one place more for the end.
    letters: Vec<char>,
    places: Vec<usize>,
    at: usize,
    found: Vec<Token>,
}

/// The words of a date, in order.
pub(super) fn tokens(text: &str) -> Vec<Token> {
    let mut scan = Scan {
        text,
        letters: Vec::with_capacity(text.len()),
        places: Vec::with_capacity(text.len()),
        at: 0,
        found: Vec::new(),
    };
    for (place, c) in text.char_indices() {
        fold(c, |folded| {
            scan.letters.push(folded);
            scan.places.push(place);
        });
    }
    scan.places.push(text.len());
    while let Some(c) = scan.peek(0) {
        match c {
            '0'..='9' => scan.figure(),
            c if c.is_alphabetic() => scan.word(),
            _ => scan.sign(c),
        }
    }
    super::tidy::tidied(&scan.found)
}

impl Scan<'_> {
    fn peek(&self, ahead: usize) -> Option<char> {
        self.letters.get(self.at + ahead).copied()
    }

    fn run(&self, from: usize, fits: impl Fn(char) -> bool) -> usize {
        self.letters.get(from..).unwrap_or_default().iter().take_while(|c| fits(**c)).count()
    }

    fn take(&mut self, length: usize, word: Word) {
        let (at, end) = (self.places[self.at], self.places[self.at + length]);
        self.found.push(Token { word, at, end });
        self.at += length;
    }

    fn before(&self) -> Option<Word> {
        self.found.last().map(|token| token.word)
    }

    fn text_of(&self, from: usize, length: usize) -> String {
        self.letters.get(from..from + length).unwrap_or_default().iter().collect()
    }

    fn number(&self, from: usize, length: usize) -> Option<i32> {
        self.text_of(from, length).parse().ok()
    }

    fn sign(&mut self, c: char) {
        let word = match c {
            '-' => Word::Dash,
            '/' => Word::Slash,
            ',' | ';' => Word::Comma,
            '(' | '[' => Word::Open,
            ')' | ']' => Word::Close,
            '?' => Word::Query,
            '~' => Word::Circa,
            '&' | '+' => Word::And,
            // `1760..1775`, and not `ca.. 1760`.
            '.' if self.peek(1) == Some('.') && self.before() != Some(Word::Circa) => return self.take(2, Word::To),
            ' ' | '.' | '\'' | '"' | '“' | '”' | ':' => {
                self.at += 1;
                return;
            }
            _ => Word::Other,
        };
        self.take(1, word);
    }

    fn figure(&mut self) {
        let digits = self.run(self.at, |c| c.is_ascii_digit());
        if let Some((length, day)) = self.day_in_figures(digits) {
            return self.take(length, day);
        }
        let Some(value) = self.number(self.at, digits).filter(|_| digits < 10) else {
            return self.take(digits, Word::Other);
        };
        let size = u8::try_from(digits).unwrap_or(u8::MAX);
        let hyphen = usize::from(matches!(self.peek(digits), Some('\'' | '-')));
        let start = self.at + digits + hyphen;
        let length = self.run(start, char::is_alphabetic);
        let ending = self.text_of(start, length.min(5));
        let round = digits > 1 && value % 10 == 0;
        let decade = match ending.as_str() {
            "s" => hyphen == 0 || self.peek(digits) == Some('\''),
            "er" | "ers" => round,
            _ => false,
        };
        if decade {
            return self.take(digits + hyphen + length, Word::Decade(value, size));
        }
        let small = u8::try_from(value).ok().filter(|n| *n <= 31 && hyphen == 0);
        if let Some(small) = small {
            let ordinal = match ending.get(..2) {
                Some("st" | "nd" | "rd" | "th") if ending != "ste" => 2,
                _ if matches!(
                    ending.as_str(),
                    "e" | "eme" | "ieme" | "er" | "re" | "ere" | "de" | "nde" | "ste" | "o" | "a"
                ) =>
                {
                    length
                }
                _ => 0,
            };
            if ordinal > 0 {
                return self.take(digits + ordinal, Word::Ordinal(small));
            }
        }
        let dotted = self.peek(digits) == Some('.') && self.peek(digits + 1) != Some('.');
        self.take(digits, Word::Figure(value, size, dotted));
    }

    /// `12/03/1987`, `14.3.1987`.
    fn day_in_figures(&self, digits: usize) -> Option<(usize, Word)> {
        let sign = self.peek(digits).filter(|c| "/.-".contains(*c) && digits <= 2)?;
        let second = self.at + digits + 1;
        let middle = self.run(second, |c| c.is_ascii_digit());
        let third = second + middle + 1;
        let same = self.letters.get(second + middle) == Some(&sign);
        if !same || !(1..=2).contains(&middle) || self.run(third, |c| c.is_ascii_digit()) != 4 {
            return None;
        }
        let small = |from, length| u8::try_from(self.number(from, length)?).ok();
        let day = Word::Day(small(self.at, digits)?, small(second, middle)?, self.number(third, 4)?, sign == '.');
        Some((third + 4 - self.at, day))
    }

    /// The words from here, as many together as have a meaning.
    fn word(&mut self) {
        let first = self.run(self.at, char::is_alphabetic);
        let mut key = self.text_of(self.at, first);
        let single = key.clone();
        let mut ends = vec![(key.len(), first)];
        let mut length = first;
        while ends.len() < words::longest(&single) {
            let gap = self.run(self.at + length, |c| " .-'".contains(c));
            let next = self.run(self.at + length + gap, char::is_alphabetic);
            if gap > 2 || next == 0 {
                break;
            }
            key.push(' ');
            key.push_str(&self.text_of(self.at + length + gap, next));
            length += gap + next;
            ends.push((key.len(), length));
        }
        let known = ends.iter().rev().find_map(|(size, length)| Some((*length, words::meaning(key.get(..*size)?)?)));
        let (length, word) = match self.special(&single, first) {
            Some(found) if known.is_none_or(|(length, _)| length <= first) => found,
            _ => known.unwrap_or_else(|| self.unlisted(&single, first)),
        };
        let suffix = matches!(word, Word::Filler) && matches!(single.as_str(), "st" | "nd" | "rd" | "th");
        if let (true, Some(Token { word: Word::Figure(value, ..), .. })) = (suffix, self.found.last().copied()) {
            self.found.pop();
            self.take(length, Word::Ordinal(u8::try_from(value).unwrap_or(0)));
            return;
        }
        self.take(length, word);
        if self.peek(0) == Some('.') && self.peek(1) != Some('.') {
            self.at += 1;
            if let Some(last) = self.found.last_mut() {
                last.end = self.places[self.at];
            }
        }
    }

    /// Words whose meaning hangs on their neighbours: `c` is circa or a century, `s` a century.
    fn special(&self, word: &str, length: usize) -> Option<(usize, Word)> {
        let counted = match self.before() {
            Some(Word::Ordinal(_) | Word::Roman(_)) => true,
            Some(Word::Figure(value, digits, _)) => digits <= 2 && value <= 31,
            _ => false,
        };
        // The next figure, past a full stop and a blank.
        let gap = self.run(self.at + length, |c| c == '.' || c == ' ');
        let figure = self.run(self.at + length + gap, |c| c.is_ascii_digit());
        let found = match word {
            "c" | "s" if counted => Word::Century,
            // `C18`, and not `c. 18`.
            "c" if (1..=2).contains(&figure) && self.run(self.at + length, |c| c == '.') == gap => Word::Century,
            "c" => Word::Circa,
            "s" if self.roman(self.at + length + gap).is_some() => Word::Century,
            "v" | "h" if figure >= 3 => Word::Circa,
            "st" | "nd" | "rd" | "th" if counted && matches!(self.before(), Some(Word::Figure(..))) => Word::Filler,
            // In small letters it is a German word: `am 14. März`.
            "am" if self.text.get(self.places[self.at]..).is_some_and(|text| text.starts_with('a')) => Word::Filler,
            "d" | "l" if self.peek(length) == Some('\'') => Word::Filler,
            _ => return None,
        };
        Some((length, found))
    }

    fn unlisted(&self, word: &str, length: usize) -> (usize, Word) {
        if let Some((number, length)) = self.roman(self.at) {
            return (length, Word::Roman(number));
        }
        // An English participle that is in no list still tells what was done.
        if word.len() > 4 && word.ends_with("ed") {
            return (length, Word::Verb(Act::Later));
        }
        (length, if length == 1 { Word::Label } else { Word::Other })
    }

    /// `XVIII`, `XVIIIe`, `XIXth`, `xviiie`: a number to 21 and its length. A single letter must be a capital.
    fn roman(&self, from: usize) -> Option<(u8, usize)> {
        const TENS: [&str; 3] = ["", "x", "xx"];
        const ONES: [&str; 10] = ["", "i", "ii", "iii", "iv", "v", "vi", "vii", "viii", "ix"];
        let length = self.run(from, char::is_alphabetic);
        let figures = self.run(from, |c| "ivx".contains(c));
        let capital = self
            .places
            .get(from)
            .and_then(|place| self.text.get(*place..))
            .is_some_and(|text| text.starts_with(|c: char| c.is_ascii_uppercase()));
        let ending = self.text_of(from + figures, length.saturating_sub(figures).min(5));
        let ends = matches!(ending.as_str(), "" | "e" | "eme" | "ieme" | "er" | "th" | "st" | "nd" | "rd" | "o");
        if figures == 0 || !ends || (length == 1 && !capital) {
            return None;
        }
        let written = self.text_of(from, figures);
        let number = (1..=21).find(|n| {
            let (tens, ones) = (TENS[usize::from(n / 10)], ONES[usize::from(n % 10)]);
            written.strip_prefix(tens) == Some(ones)
        })?;
        Some((number, length))
    }
}
