//! Damage to bytes that something reads, and how often it is tried.

use proptest::prelude::*;
use proptest::sample::Index;

/// How many cases of each: `DIMITY_FUZZ` sets it, thousands before a release.
pub fn cases(usually: u32) -> ProptestConfig {
    let cases = std::env::var("DIMITY_FUZZ").ok().and_then(|n| n.parse().ok()).unwrap_or(usually);
    ProptestConfig { cases, failure_persistence: None, ..ProptestConfig::default() }
}

/// What befell the bytes, each at a place of its own.
#[derive(Debug, Clone)]
pub enum Damage {
    Flipped(Index, u8),
    Cut(Index, usize),
    Repeated(Index, usize),
    Ended(Index),
    Put(Index, &'static str),
    /// The next figure after the place became this one.
    Figure(Index, &'static str),
}

const WORDS: [&str; 22] = [
    "",
    "[[[[",
    "{\"a\":",
    "}",
    "]",
    "null",
    "-1",
    "1e999",
    "\0",
    "\\ud800",
    "\"",
    "'''",
    "\\",
    "\n",
    "=",
    "<",
    "</",
    "&amp;",
    "&#x110000;",
    "]]>",
    "<!DOCTYPE a [<!ENTITY x \"y\"><!ENTITY z \"&x;&x;\">]>",
    "<!--",
];
const FIGURES: [&str; 9] =
    ["0", "-1", "65536", "4294967295", "4294967296", "18446744073709551616", "1e308", "0.0000000001", "NaN"];

pub fn damage() -> impl Strategy<Value = Vec<Damage>> {
    let at = any::<Index>;
    let one = prop_oneof![
        (at(), 0u8..8).prop_map(|(at, bit)| Damage::Flipped(at, bit)),
        (at(), 1usize..200).prop_map(|(at, length)| Damage::Cut(at, length)),
        (at(), 1usize..200).prop_map(|(at, length)| Damage::Repeated(at, length)),
        at().prop_map(Damage::Ended),
        (at(), prop::sample::select(&WORDS[..])).prop_map(|(at, word)| Damage::Put(at, word)),
        (at(), prop::sample::select(&FIGURES[..])).prop_map(|(at, figure)| Damage::Figure(at, figure)),
    ];
    prop::collection::vec(one, 1..5)
}

/// The bytes after all of it.
pub fn damaged(sound: &[u8], damage: &[Damage]) -> Vec<u8> {
    let mut bytes = sound.to_vec();
    for one in damage {
        if bytes.is_empty() {
            break;
        }
        let length = bytes.len();
        match one {
            Damage::Flipped(at, bit) => bytes[at.index(length)] ^= 1 << bit,
            Damage::Cut(at, n) => drop(bytes.drain(at.index(length)..length.min(at.index(length) + n))),
            Damage::Repeated(at, n) => {
                let (from, to) = (at.index(length), length.min(at.index(length) + n));
                let twice = bytes[from..to].to_vec();
                bytes.splice(to..to, twice);
            }
            Damage::Ended(at) => bytes.truncate(at.index(length)),
            Damage::Put(at, word) => {
                let at = at.index(length);
                bytes.splice(at..at, word.bytes());
            }
            Damage::Figure(at, figure) => {
                let from = (at.index(length)..length).find(|i| bytes[*i].is_ascii_digit());
                if let Some(from) = from {
                    let to = (from..length).find(|i| !bytes[*i].is_ascii_digit()).unwrap_or(length);
                    bytes.splice(from..to, figure.bytes());
                }
            }
        }
    }
    bytes
}
