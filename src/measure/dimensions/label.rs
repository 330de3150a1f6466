//! What was measured, and of which part, in the record's own words.

use super::run::{Run, joint_label};

/// The label and part of one amount; empty where the record does not say.
#[derive(Debug, Clone, Default)]
pub(super) struct Label {
    pub(super) name: String,
    pub(super) part: String,
    /// What stands in brackets behind it: `from shoulder`, `without tassels`.
    pub(super) note: String,
}

/// The text before a number, taken apart.
#[derive(Debug, Default)]
struct Head {
    name: String,
    part: String,
    note: String,
}

/// Words that stand behind a number and say what it measures.
const BEHIND: &[&str] = &["high", "wide", "deep", "long", "thick", "tall", "in diameter", "diameter"];

/// The labels of every amount of every run.
pub(super) fn labels(text: &str, runs: &[Run]) -> Vec<Vec<Label>> {
    let mut part = String::new();
    runs.iter()
        .enumerate()
        .map(|(index, run)| {
            let before = text.get(run.before.clone()).unwrap_or("");
            let behind_last = BEHIND.contains(&before.trim());
            let head = if behind_last { Head::default() } else { head(before, &part) };
            if !head.part.is_empty() {
                part.clone_from(&head.part);
            }
            let count = run.amounts.len();
            let mut names: Vec<String> = head_names(&head.name, count);
            for (neighbours, name) in run.amounts.windows(2).zip(names.iter_mut().skip(1)) {
                let label = joint_label(text.get(neighbours[0].end..neighbours[1].start).unwrap_or(""));
                if !label.is_empty() {
                    label.clone_into(name);
                }
            }
            let next = runs.get(index + 1).map_or(text.len(), Run::start);
            let behind = text.get(run.end()..next).unwrap_or("").trim_start_matches(['.', ' ']);
            if names.iter().all(String::is_empty)
                && let Some(word) = BEHIND.iter().find(|word| behind.starts_with(**word))
                && let Some(last) = names.last_mut()
            {
                (*word).clone_into(last);
            }
            let label = |name| Label { name, part: part.clone(), note: head.note.clone() };
            names.into_iter().map(label).collect()
        })
        .collect()
}

/// The names of a heading such as `H x W`, one for each number.
fn head_names(head: &str, count: usize) -> Vec<String> {
    let mut names = vec![String::new(); count];
    let split: Vec<&str> = head.split([' ', '\u{a0}']).filter(|word| !word.is_empty()).collect();
    let joint = |word: &&str| matches!(*word, "x" | "X" | "×" | "by");
    if count > 1 && split.iter().any(joint) {
        let parts: Vec<String> = split.split(joint).map(|words| words.join(" ")).collect();
        for (name, part) in names.iter_mut().zip(parts) {
            part.trim_end_matches(['.', ':', ';']).clone_into(name);
        }
    } else if let Some(first) = names.first_mut() {
        head.clone_into(first);
    }
    names
}

/// The heading at the end of the text before a number, taken apart.
/// `current` is the part that the text is at: `D.` after part C is a part and no depth.
fn head(before: &str, current: &str) -> Head {
    let line = before.rsplit('\n').next().unwrap_or(before);
    let line = if line.trim().is_empty() { before.trim_end().rsplit('\n').next().unwrap_or("") } else { line };
    // What closes the statement before: a bracket, a full stop after it, a semicolon outside brackets.
    let line = line.trim_start_matches([')', ']', '.', ',', ' ']).trim();
    let (part, line) = match last_part(line, current) {
        Some((part, rest)) => (part, rest),
        None => (String::new(), line),
    };
    let mut found = Head { part, ..Head::default() };
    let mut outside = String::new();
    let mut rest = line;
    while let Some((head, tail)) = rest.split_once('(') {
        outside.push_str(head);
        let (inside, tail) = tail.split_once(')').unwrap_or((tail, ""));
        let (first, more) = inside.split_once(';').unwrap_or((inside, ""));
        if is_part(first.trim()) {
            first.trim().clone_into(&mut found.part);
            more.trim().clone_into(&mut found.note);
        } else if !inside.trim().is_empty() {
            inside.trim().clone_into(&mut found.note);
        }
        rest = tail;
    }
    outside.push_str(rest);
    let outside = outside.trim_end_matches([':', ';', '.', ' ']);
    let name = outside.rsplit(';').next().unwrap_or("").trim();
    let sentence = name.rsplit_once(". ").filter(|(_, last)| last.starts_with(char::is_uppercase));
    let name = sentence.map_or(name, |(_, last)| last);
    let name = if name == "x" { "" } else { name };
    let name = ["x ", "by "].iter().find_map(|joint| name.strip_prefix(joint)).unwrap_or(name);
    found.name =
        name.trim_end_matches(['.', ':', ';', ',', '(', '[', ' ']).split_whitespace().collect::<Vec<_>>().join(" ");
    found
}

/// The last `a.`, `a)`, `(a)`, `(b, c)` or `A:` that words follow, and those words.
fn last_part<'a>(line: &'a str, current: &str) -> Option<(String, &'a str)> {
    let begins = |at: usize| at == 0 || line[..at].ends_with([' ', '.', ')', ']', '\t']);
    line.char_indices().rev().find_map(|(at, c)| {
        let rest = &line[at..];
        if c == '(' && begins(at) {
            let (inside, rest) = rest[1..].split_once(')')?;
            return (is_part(inside) && rest.trim_start().starts_with(char::is_alphabetic))
                .then(|| (inside.to_owned(), rest.trim_start()));
        }
        let tail = rest.strip_prefix(c)?.strip_prefix(['.', ')', ':'])?;
        // `H.` and `W.` are headings: height, width.
        let next = current.chars().next_back().is_some_and(|last| c as u32 == last as u32 + 1);
        let initial = matches!(c, 'H' | 'W' | 'L' | 'D') && !next;
        let words = tail.trim_start().starts_with(char::is_alphabetic);
        (c.is_ascii_alphabetic() && !initial && begins(at) && words).then(|| (c.to_string(), tail.trim_start()))
    })
}

/// Letters of parts: `a`, `b, c`, `a–d`.
fn is_part(text: &str) -> bool {
    let letters = text.split([',', '-', '–', '/', '&']).map(str::trim);
    !text.is_empty() && letters.clone().all(|part| part.len() == 1 && part.starts_with(char::is_alphabetic))
}
