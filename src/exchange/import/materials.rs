//! What a piece is made of, in the words of an old list: `silk/cotton mix?`, `wool, lined with linen`, `(a) silk; (b) straw`.
//!
//! Every clause keeps its words, as a note: what a cell says beside fibres and cloths may be nobody's business. Fibres, cloths
//! and finishes in it are found by the vocabulary, the longest run of words first. What is hedged is possible, the rest
//! probable: an old list tells, it does not look. Nothing is ever certain.

use super::headings;
use crate::measure::{Kind, Quantity};
use crate::record::Observed;
use crate::record::textile::{Fibre, Textile};
use crate::vocabulary::{Scheme, TermId, Vocabulary};

/// What was found in a cell.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Materials {
    /// A textile for each clause, in order.
    pub textiles: Vec<Observed<Textile>>,
    /// Words that were not understood, and what is doubtful.
    pub doubts: Vec<String>,
    /// Clauses in which nothing was understood.
    pub unread: Vec<String>,
}

/// Parts that a labelled text is made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Labelled {
    /// Stuff: fibres.
    Medium,
    /// How it was made.
    Technique,
}

/// Labels that stand before a part.
const LABELS: [(&str, Labelled); 9] = [
    ("medium", Labelled::Medium),
    ("materials", Labelled::Medium),
    ("material", Labelled::Medium),
    ("fibre", Labelled::Medium),
    ("fiber", Labelled::Medium),
    ("techniques", Labelled::Technique),
    ("technique", Labelled::Technique),
    ("technik", Labelled::Technique),
    ("structure", Labelled::Technique),
];

/// Cuts a text at its labels (`Medium: silk` and `Technique: woven`, with a letter or two wrong). A text without labels is
/// one part.
pub fn labelled(text: &str) -> Vec<(Option<Labelled>, String)> {
    let mut parts: Vec<(Option<Labelled>, String)> = Vec::new();
    // A label may also begin a sentence.
    let text = ["Technique:", "Medium:"].iter().fold(text.to_owned(), |text, label| {
        let (one, two) = (format!(". {label}"), format!(".  {label}"));
        text.replace(&two, &format!(".\n{label}")).replace(&one, &format!(".\n{label}"))
    });
    for line in text.split('\n') {
        let head = line.split_once([':', ';']).filter(|(label, _)| !label.trim().contains(' '));
        let label = head.and_then(|(label, rest)| {
            let word = label.trim().to_lowercase();
            let near = |known: &str| {
                word == known || (known.len() > 5 && word.len() > 4 && strsim::osa_distance(known, &word) <= 2)
            };
            LABELS.iter().find(|(known, _)| near(known)).map(|(_, label)| (*label, rest))
        });
        match (label, parts.last_mut()) {
            (Some((label, rest)), _) => parts.push((Some(label), rest.trim().to_owned())),
            (None, Some((_, last))) => {
                last.push('\n');
                last.push_str(line);
            }
            (None, None) => parts.push((None, line.to_owned())),
        }
    }
    for (_, part) in &mut parts {
        *part = part.trim().trim_end_matches(['.', ';']).trim_end().to_owned();
    }
    parts.retain(|(_, part)| !part.is_empty());
    parts
}

/// Reads a cell.
pub fn read(text: &str, vocabulary: &Vocabulary) -> Materials {
    let mut found = Materials::default();
    for (label, part) in labelled(text) {
        if label == Some(Labelled::Technique) && found.textiles.len() == 1 {
            // The technique of the one cloth that the medium named.
            let of = clause(&part, vocabulary);
            let textile = &mut found.textiles[0];
            textile.what.structure = textile.what.structure.take().or(of.what.structure);
            textile.what.finish.extend(of.what.finish);
            let before = textile.note.take().map(|note| format!("{note}\n")).unwrap_or_default();
            textile.note = Some(format!("{before}{part}"));
            continue;
        }
        for (component, words) in by_part(&part) {
            for words in clauses(&words, vocabulary) {
                let mut one = clause(&words, vocabulary);
                one.component.clone_from(&component);
                let understood =
                    !one.what.fibres.is_empty() || one.what.structure.is_some() || !one.what.finish.is_empty();
                if understood {
                    let strange = words.split(", ").filter(|part| says_nothing_known(part, vocabulary));
                    found.doubts.extend(strange.map(|part| {
                        format!("no fibre, cloth or finish is found in `{part}`, which is kept as a note")
                    }));
                } else {
                    found.unread.push(words.clone());
                }
                for fibre in &one.what.fibres {
                    if fibre.certainty.as_ref().is_some_and(|c| c.name() == "possible") {
                        let name = fibre.fibre.as_ref().map_or("", TermId::name);
                        found.doubts.push(format!("{name} in `{words}` is possible, no more"));
                    }
                }
                found.textiles.push(one);
            }
        }
    }
    found
}

/// The letters of parts before their words: `(a, b) silk; (c) straw`, `a-d) silk`.
fn by_part(text: &str) -> Vec<(Option<String>, String)> {
    let mut parts: Vec<(Option<String>, String)> = Vec::new();
    let mut rest = text;
    let mut current: Option<String> = None;
    while let Some((before, letters, after)) = next_part(rest) {
        if !before.trim().is_empty() {
            parts.push((current.clone(), tidy(before)));
        }
        current = Some(letters);
        rest = after;
    }
    parts.push((current, tidy(rest)));
    parts.retain(|(_, words)| !words.is_empty());
    parts
}

fn tidy(text: &str) -> String {
    text.trim().trim_matches([';', ',']).trim().to_owned()
}

/// The next letters of parts that stand in or before a bracket.
fn next_part(text: &str) -> Option<(&str, String, &str)> {
    for (close, _) in text.match_indices(')') {
        let before = &text[..close];
        let open = before.rfind('(').map(|at| (at, at + 1));
        // Without an opening bracket the letters begin the text or a clause.
        let begin = before.rfind([';', '\n', ')']).map_or(0, |at| at + 1);
        let (from, inside) = open.filter(|(at, _)| *at >= begin).unwrap_or((begin, begin));
        let letters = text.get(inside..close)?.trim();
        let fits = !letters.is_empty()
            && letters
                .split([',', '-', '–', '/', '&', ' '])
                .all(|l| l.trim().is_empty() || (l.trim().len() == 1 && l.trim().chars().all(char::is_alphabetic)));
        if fits {
            return Some((&text[..from], super::table::plain(letters), &text[close + 1..]));
        }
    }
    None
}

/// Where another textile begins within a clause.
const TURNS: [&str; 3] = [" lined ", " lining", " trimmed "];

/// Clauses end at a semicolon, a line break, a stroke between spaces, and where a lining or a trimming begins. What stands
/// between commas with the word for another part is a clause of its own: `silk satin, cotton lining`.
fn clauses(text: &str, vocabulary: &Vocabulary) -> Vec<String> {
    let mut out = Vec::new();
    for piece in text.replace(" / ", "\n").split([';', '\n']) {
        let lower = piece.to_ascii_lowercase();
        let groups = groups(piece);
        let of_part = |(begin, end): &(usize, usize)| {
            let words = words(&piece[*begin..*end]);
            words.len() > 1 && words.last().is_some_and(|last| part_named(last, vocabulary).is_some())
        };
        let own: Vec<(usize, usize)> = groups.into_iter().filter(of_part).collect();
        let within = |at: &usize| own.iter().any(|(begin, end)| (*begin..*end).contains(at));
        let turns = TURNS.iter().flat_map(|turn| lower.match_indices(turn)).map(|(at, _)| at).filter(|at| !within(at));
        let mut cuts: Vec<usize> = own.iter().flat_map(|(begin, end)| [*begin, *end]).chain(turns).collect();
        cuts.sort_unstable();
        let mut begin = 0;
        for cut in cuts {
            out.push(tidy(&piece[begin..cut]));
            begin = cut;
        }
        out.push(tidy(&piece[begin..]));
    }
    out.retain(|clause| !clause.is_empty());
    out
}

/// What stands between commas: from where to where. A comma before a figure stands in a number.
fn groups(text: &str) -> Vec<(usize, usize)> {
    let stops = text.match_indices(',').map(|(at, _)| at);
    let ends = stops.filter(|at| !text[at + 1..].starts_with(|c: char| c.is_ascii_digit())).chain([text.len()]);
    let mut begin = 0;
    ends.map(|end| (std::mem::replace(&mut begin, (end + 1).min(text.len())), end)).collect()
}

/// The part of a garment that a word is for: `lining`, `wadding`.
fn part_named<'v>(word: &str, vocabulary: &'v Vocabulary) -> Option<&'v str> {
    let term = vocabulary.known(Scheme::TextileRole, word).map(crate::vocabulary::Term::name);
    term.filter(|name| *name != "thread" && *name != "embroidery")
}

/// Whether nothing in these words is a fibre, a cloth, a finish or a word for a part.
fn says_nothing_known(text: &str, vocabulary: &Vocabulary) -> bool {
    let words = words(text);
    let known = |at: usize| {
        let word = words[at].as_str();
        longest(&words[at..], vocabulary).1.is_some()
            || part_named(word, vocabulary).is_some()
            || HEDGES.contains(&word)
            || word.ends_with('%')
            || MIXED.contains(&word)
    };
    words.iter().any(|word| word.chars().any(char::is_alphabetic)) && !(0..words.len()).any(known)
}

/// Words that say that fibres are mixed, and not which.
const MIXED: [&str; 7] = ["mix", "mixed", "mixture", "blend", "blended", "union", "lined"];

/// Words that hedge what stands beside them.
const HEDGES: [&str; 14] = [
    "?",
    "possibly",
    "poss",
    "perhaps",
    "maybe",
    "probably",
    "prob",
    "likely",
    "uncertain",
    "wohl",
    "vermutlich",
    "vielleicht",
    "peut",
    "misschien",
];

/// Words before a fibre that say it is none.
const DENIALS: [&str; 9] = ["no", "not", "without", "imitation", "faux", "fake", "mock", "kein", "sans"];

/// One cloth.
fn clause(text: &str, vocabulary: &Vocabulary) -> Observed<Textile> {
    let words = words(text);
    let mut textile = Textile { role: Some(role(&words, vocabulary)), ..Textile::default() };
    let mut name = Name::default();
    let mut denied = false;
    // A hedge holds for its group: the words up to the next comma.
    let mut at = 0;
    let mut hedged = false;
    let mut percent: Option<String> = None;
    let mut group_begin = 0;
    while at < words.len() {
        let word = &words[at];
        if word == "," {
            (hedged, denied, percent, group_begin) = (false, false, None, textile.fibres.len());
            at += 1;
            continue;
        }
        if HEDGES.contains(&word.as_str()) || word == "or" || word == "oder" || word == "ou" {
            hedged = true;
            // What stands before it in the group is meant as well.
            for fibre in &mut textile.fibres[group_begin..] {
                fibre.certainty = Some(TermId::new(Scheme::Certainty, "possible"));
            }
            at += 1;
            continue;
        }
        if DENIALS.contains(&word.as_str()) {
            denied = true;
            at += 1;
            continue;
        }
        // A share in brackets is that of the fibre before it.
        if let Some(bracketed) = word.strip_suffix(')') {
            if let Some(fibre) = textile.fibres.last_mut().filter(|f| f.percent.is_none()) {
                fibre.percent = share(bracketed);
            }
            at += 1;
            continue;
        }
        if word.ends_with('%') {
            match textile.fibres.last_mut().filter(|f| f.percent.is_none() && textile_share_follows(&words, at)) {
                Some(fibre) => fibre.percent = share(word),
                None => percent = Some(word.clone()),
            }
            at += 1;
            continue;
        }
        let (taken, meaning) = longest(&words[at..], vocabulary);
        let mut call = |kind| name.add(kind, at, &words[at..at + taken]);
        match meaning {
            Some(Meaning::Fibre(_)) if denied => denied = false,
            Some(Meaning::Fibre(term)) if !textile.fibres.iter().any(|f| f.fibre.as_ref() == Some(&term)) => {
                let certainty = if hedged { "possible" } else { "probable" };
                call("fibre");
                textile.fibres.push(Fibre {
                    fibre: Some(term),
                    certainty: Some(TermId::new(Scheme::Certainty, certainty)),
                    method: Some(TermId::new(Scheme::Method, "reported by others")),
                    percent: percent.take().and_then(|p| share(&p)),
                    ..Fibre::default()
                });
            }
            Some(Meaning::Weave(term)) => {
                call("weave");
                textile.structure.get_or_insert(term);
            }
            Some(Meaning::Finish(term)) if !textile.finish.contains(&term) => {
                call("finish");
                textile.finish.push(term);
            }
            Some(Meaning::Fibre(_) | Meaning::Finish(_)) | None => {}
        }
        at += taken;
    }
    let any_hedge = words.iter().any(|w| HEDGES.contains(&w.as_str()) || w == "or");
    let certainty = any_hedge.then(|| TermId::new(Scheme::Certainty, "possible"));
    // Shares that add up to more than the whole were no shares of fibres.
    let sum: f64 = textile.fibres.iter().filter_map(|f| f.percent.as_ref()).map(|q| q.value).sum();
    if sum > 100.5 {
        textile.fibres.iter_mut().for_each(|f| f.percent = None);
    }
    textile.name = Some(name.text).filter(|name| !name.is_empty());
    let said = super::fill::clean(text);
    let all_said = textile.name.as_ref().is_some_and(|name| *name == said.to_lowercase());
    Observed { what: textile, certainty, note: Some(said).filter(|_| !all_said), ..Observed::default() }
}

/// What a cloth is called: the words of its clause that were understood, and no others.
#[derive(Default)]
struct Name {
    text: String,
    /// The kind of the last words, and where they end.
    last: Option<(&'static str, usize)>,
}

impl Name {
    fn add(&mut self, kind: &'static str, at: usize, words: &[String]) {
        // `silk taffeta` is one cloth; `silk cotton` are two fibres.
        match self.last {
            Some((before, end)) if before != kind && end == at => self.text.push(' '),
            Some(_) => self.text.push_str(", "),
            None => {}
        }
        self.text.push_str(&words.join(" "));
        self.last = Some((kind, at + words.len()));
    }
}

/// Whether a share stands behind its fibre (`cotton 60%, silk 40%`): nothing but a comma or the end follows it.
fn textile_share_follows(words: &[String], at: usize) -> bool {
    at > 0 && words[at - 1] != "," && words.get(at + 1).is_none_or(|next| next == ",")
}

fn share(word: &str) -> Option<Quantity> {
    Quantity::parse(Kind::Percent, &word.replace('%', " %")).ok().filter(|q| q.value <= 100.0)
}

enum Meaning {
    Fibre(TermId),
    Weave(TermId),
    Finish(TermId),
}

/// Words that are a term elsewhere and none here.
const NO_TERMS: [&str; 3] = ["unknown", "none", "point"];

/// The longest run of words that is a term, and how many it takes; one word is passed over where there is none.
fn longest(words: &[String], vocabulary: &Vocabulary) -> (usize, Option<Meaning>) {
    for length in (1..=words.len().min(4)).rev() {
        let run = &words[..length];
        if run.iter().any(|w| w == "," || w == "?") {
            continue;
        }
        let text = run.join(" ");
        if length == 1 && NO_TERMS.contains(&text.as_str()) {
            continue;
        }
        let singular = text.strip_suffix('s').filter(|s| s.len() > 3);
        for spelling in [Some(text.as_str()), singular].into_iter().flatten() {
            if let Some(term) = headings::fibre(spelling, vocabulary) {
                return (length, Some(Meaning::Fibre(term.id.clone())));
            }
            if let Some(term) = vocabulary.known(Scheme::Weave, spelling).filter(|t| t.name() != "not determined") {
                return (length, Some(Meaning::Weave(term.id.clone())));
            }
            if let Some(term) = vocabulary.known(Scheme::Finish, spelling) {
                return (length, Some(Meaning::Finish(term.id.clone())));
            }
        }
    }
    (1, None)
}

/// Words in lower case; commas and question marks stand for themselves, other signs are gone.
fn words(text: &str) -> Vec<String> {
    let mut words = Vec::new();
    let mut word = String::new();
    for c in text.chars().flat_map(char::to_lowercase).chain([' ']) {
        if c.is_alphanumeric()
            || c == '%'
            || (c == '/' && word.ends_with(|d: char| d.is_ascii_digit()))
            || (matches!(c, '.' | ',') && word.ends_with(|d: char| d.is_ascii_digit()))
        {
            word.push(c);
            continue;
        }
        if !word.is_empty() {
            let whole = std::mem::take(&mut word);
            let ended = whole.ends_with(',');
            words.push(whole.trim_end_matches(['.', ',', '/']).to_owned());
            if ended {
                words.push(",".into());
            }
        }
        match c {
            ',' | '&' | '+' => words.push(",".into()),
            '?' => words.push("?".into()),
            ')' => words.last_mut().filter(|w| w.ends_with('%')).into_iter().for_each(|w| w.push(')')),
            _ => {}
        }
    }
    // `60 %`
    let mut joined: Vec<String> = Vec::with_capacity(words.len());
    for word in words {
        match joined.last_mut() {
            Some(last) if word == "%" && last.ends_with(|c: char| c.is_ascii_digit()) => last.push('%'),
            _ => joined.push(word),
        }
    }
    joined
}

/// What the cloth does; the shell where nothing is said.
fn role(words: &[String], vocabulary: &Vocabulary) -> TermId {
    let named = words.iter().find_map(|word| match word.as_str() {
        "lined" | "futter" | "doublure" => Some("lining"),
        "trimmed" => Some("trim"),
        "embroidered" if words.first() == Some(word) => Some("embroidery"),
        _ => None,
    });
    let first = words.iter().take_while(|word| *word != ",");
    let term = || first.clone().find_map(|word| part_named(word, vocabulary));
    TermId::new(Scheme::TextileRole, named.or_else(term).unwrap_or("shell"))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// `role: fibre certainty, ...; structure` of each textile.
    fn told(text: &str) -> String {
        let found = read(text, Vocabulary::shipped());
        let one = |t: &Observed<Textile>| {
            let fibres: Vec<String> = t
                .what
                .fibres
                .iter()
                .map(|f| {
                    let share = f.percent.as_ref().map(|p| format!(" {}", p.value)).unwrap_or_default();
                    format!(
                        "{} {}{share}",
                        f.fibre.as_ref().map_or("", TermId::name),
                        f.certainty.as_ref().map_or("", TermId::name)
                    )
                })
                .collect();
            let structure = t.what.structure.as_ref().map(|s| format!("; {}", s.name())).unwrap_or_default();
            let part = t.component.as_ref().map(|c| format!("{c} ")).unwrap_or_default();
            format!("{part}{}: {}{structure}", t.what.role.as_ref().map_or("", TermId::name), fibres.join(", "))
        };
        found.textiles.iter().map(one).collect::<Vec<_>>().join(" | ")
    }

    #[test]
    fn old_lists_are_read_and_nothing_is_certain() {
        let rows = [
            ("silk", "shell: silk probable"),
            ("silk/cotton mix?", "shell: silk possible, cotton possible"),
            ("silk (?), cotton", "shell: silk possible, cotton probable"),
            ("prob. linen", "shell: linen possible"),
            ("wool or cotton", "shell: wool possible, cotton possible"),
            ("Silk taffeta, lined with linen", "shell: silk probable; taffeta | lining: linen probable"),
            ("silk satin, cotton lining", "shell: silk probable; satin | lining: cotton probable"),
            ("linen lining", "lining: linen probable"),
            (
                "silk taffeta, wool wadding, cotton",
                "shell: silk probable; taffeta | padding: wool probable; wadding | shell: cotton probable",
            ),
            ("silk; lining: cotton, linen", "shell: silk probable | lining: cotton probable, linen probable"),
            ("silk and cotton lining", "lining: silk probable, cotton probable"),
            ("silk, padding", "shell: silk probable"),
            ("steel, cotton tape", "shell:  | tape: cotton probable"),
            ("cotton 60,5 %, linen lining", "shell: cotton probable 60.5 | lining: linen probable"),
            ("60% cotton 40% linen", "shell: cotton probable 60, linen probable 40"),
            ("cotton 60 %, silk 40%", "shell: cotton probable 60, silk probable 40"),
            (
                "cotton (48%) rayon (39%) and linen (13%)",
                "shell: cotton probable 48, viscose probable 39, linen probable 13",
            ),
            ("not silk, cotton", "shell: cotton probable"),
            ("(a, b) wool; (c) silk", "a, b shell: wool probable | c shell: silk probable"),
            ("Medium: silk\nTechnique: plain weave", "shell: silk probable; tabby"),
            ("Mediun: silk\nTechnique; woven", "shell: silk probable; woven"),
            ("gabardine from the attic", "shell: "),
            ("", ""),
        ];
        for (text, wanted) in rows {
            assert_eq!(told(text), wanted, "{text}");
        }
    }

    #[test]
    fn what_is_not_understood_between_commas_is_doubtful() {
        let rows = [
            ("linen, baleen", 1),
            ("ivory, paper", 1),
            ("silk", 0),
            ("silk, cotton (?)", 0),
            ("60% cotton, 40% linen", 0),
            ("silk taffeta, lined with linen", 0),
            ("silk, bequest of Aunt Hester, 12 Mill Lane", 2),
        ];
        for (text, wanted) in rows {
            let doubts = read(text, Vocabulary::shipped()).doubts;
            let strange = doubts.iter().filter(|doubt| doubt.starts_with("no fibre")).count();
            assert_eq!(strange, wanted, "{text}: {doubts:?}");
        }
    }

    #[test]
    fn a_cloth_is_called_by_what_was_understood_and_the_rest_is_a_note() {
        let rows = [
            ("Silk taffeta", Some("silk taffeta"), None),
            ("silk/cotton mix?", Some("silk, cotton"), Some("silk/cotton mix?")),
            ("not silk, cotton", Some("cotton"), Some("not silk, cotton")),
            (
                "Shell: silk, bequest of Aunt Hester Quillfeather, 12 Mill Lane",
                Some("silk"),
                Some("Shell: silk, bequest of Aunt Hester Quillfeather, 12 Mill Lane"),
            ),
            ("gabardine from the attic", None, Some("gabardine from the attic")),
            ("Medium: silk, from Aunt Hester\nTechnique: twill", Some("silk"), Some("silk, from Aunt Hester\ntwill")),
        ];
        for (text, name, note) in rows {
            let found = read(text, Vocabulary::shipped());
            let one = &found.textiles[0];
            assert_eq!((one.what.name.as_deref(), one.note.as_deref()), (name, note), "{text}");
        }
    }

    proptest::proptest! {
        #[test]
        fn no_words_are_dropped_and_nothing_becomes_certain(text in "[a-z%0-9?/,;() \\n&éß\u{1F9F5}-]{0,60}|(silk|cotton|mix|\\?|, |lined with |/| or |60%|\\(a\\) ){0,12}") {
            let found = read(&text, Vocabulary::shipped());
            for textile in &found.textiles {
                proptest::prop_assert!(textile.note.is_some() || textile.what.name.is_some());
                for fibre in &textile.what.fibres {
                    proptest::prop_assert!(fibre.certainty.as_ref().is_some_and(|c| c.name() != "certain"));
                }
            }
        }
    }
}
