//! What the words of a date are once their neighbours are known: fillers out, `(?)` a mark, a hyphen within a phrase no
//! joint.

use super::{token::Token, words::Word};

pub(super) fn tidied(found: &[Token]) -> Vec<Token> {
    use Word::{
        After, And, Before, Between, By, Century, Circa, Close, Comma, Dash, Decade, Figure, Filler, From, Half, Label,
        Loose, Month, Of, Open, Or, Ordinal, Part, Quarter, Query, Roman, Season, To, Uncertain, Until,
    };
    let mut kept: Vec<Token> = Vec::with_capacity(found.len());
    let mut rest = found;
    while let Some((token, after)) = rest.split_first() {
        rest = after;
        let before = kept.last().map(|token| token.word);
        let next = after.first().map(|token| token.word);
        let then = after.get(1).map(|token| token.word);
        let mut word = token.word;
        match word {
            Filler => continue,
            Of => {
                let whole = matches!(before, Some(Figure(..) | Decade(..) | Century | Ordinal(_) | Roman(_)));
                if !whole || matches!(next, Some(Month(_) | Filler | Of)) {
                    continue;
                }
                word = Or;
            }
            Open => {
                // `(?)` and `[ca.]` are marks, not notes.
                if let (Some(mark @ (Query | Circa | Uncertain)), Some(Close)) = (next, then) {
                    kept.push(Token { word: mark, at: token.at, end: after[1].end });
                    rest = &after[2..];
                    continue;
                }
                // `(a) 1950; (b) 1952`
                if let ([inner, _, rest_after @ ..], Some(Close)) = (after, then)
                    && inner.end - inner.at == 1
                    && matches!(inner.word, Label | Loose | And | Or)
                {
                    kept.push(Token { word: Label, ..*inner });
                    rest = rest_after;
                    continue;
                }
            }
            Dash => {
                let within = match before {
                    Some(Before | After | By | From | Between) => true,
                    Some(Part(_)) => !matches!((next, then), (Some(Part(_)), _) | (_, Some(Half | Quarter))),
                    Some(Ordinal(_)) if matches!(next, Some(Half | Quarter)) => true,
                    Some(Ordinal(_) | Roman(_) | Figure(..)) => next == Some(Century),
                    _ => false,
                };
                if within || matches!(next, Some(To | Until)) {
                    continue;
                }
            }
            Comma => {
                let year = matches!(next, Some(Figure(_, 4, _)));
                let second = kept.len().checked_sub(2).and_then(|place| kept.get(place)).map(|token| token.word);
                let in_day = match before {
                    Some(Month(_) | Season(_)) => year,
                    Some(Figure(..) | Ordinal(_)) => year && matches!(second, Some(Month(_))),
                    _ => false,
                };
                // `second quarter, 19th century`
                let of_century = matches!(before, Some(Part(_) | Half | Quarter))
                    && matches!(next, Some(Ordinal(_) | Roman(_) | Figure(..)))
                    && then == Some(Century);
                if in_day || of_century || matches!(next, Some(Or | And | To | Until)) {
                    continue;
                }
            }
            _ => (),
        }
        // `late 19th early 20th century`: the joint is left to the reader.
        let ends = matches!(before, Some(Ordinal(_) | Roman(_) | Century | Decade(..) | Figure(..)));
        let begins = matches!(next, Some(Ordinal(_) | Roman(_) | Decade(..) | Figure(..)));
        if ends && begins && matches!(word, Part(_)) {
            kept.push(Token { word: Dash, at: token.at, end: token.at });
        }
        kept.push(Token { word, ..*token });
    }
    // `19th (?) century`
    for place in 1..kept.len() {
        if kept[place].word == Century && matches!(kept[place - 1].word, Query | Uncertain) {
            kept.swap(place - 1, place);
        }
    }
    kept
}
