//! The seal of a consent: what was agreed to, line by line as a fixed text, and its SHA-256.
//!
//! Two texts, each a line a field that is filled in, in the order of the sheet: `name = words`, a row of a list as
//! `list.1.name = words`, line breaks within words as `\n` and `\r`, a backslash doubled. A day stands as 2024-03-12; a
//! quantity as written, its value and standard uncertainty on lines of their own (`hours_expected.value`, `.u`). The
//! first text is the proposal, after the line `piece`; the second the consent, after the line `proposal` with the hash of
//! the first. So the hash that a proposal has before anyone signs it is the one that the consent names.

use std::fmt::Write as _;

use jiff::civil::Date;

use super::form::{Earlier, Field, Form, Record, Rows};
use super::treatment::Treatment;
use crate::dating::Dated;
use crate::digest::sha256;
use crate::measure::{Kind, Quantity};
use crate::vocabulary::{Scheme, TermId};

/// What was agreed to, as text and hash.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Seal {
    /// The proposal, line by line.
    pub proposal: String,
    /// SHA-256 of the proposal, 64 hexadecimal digits.
    pub proposal_sha256: String,
    /// The consent, line by line; its first line is the hash of the proposal.
    pub consent: String,
    /// SHA-256 of the consent.
    pub consent_sha256: String,
}

/// How many digits of a hash are printed where a person compares it by eye.
const SHORT: usize = 8;

impl Seal {
    /// The seal that a treatment of the piece with this number has, or would have if it were consented to now.
    pub fn of(number: &str, treatment: &Treatment) -> Self {
        let proposal = text_of([("piece", number)], &mut treatment.proposal.clone());
        let proposal_sha256 = sha256(proposal.as_bytes());
        let consent = text_of([("proposal", &proposal_sha256)], &mut treatment.consent.clone());
        Self { consent_sha256: sha256(consent.as_bytes()), proposal, proposal_sha256, consent }
    }

    /// Whether each hash is that of its text, and the consent names the proposal.
    pub fn is_whole(&self) -> bool {
        sha256(self.proposal.as_bytes()) == self.proposal_sha256
            && sha256(self.consent.as_bytes()) == self.consent_sha256
            && self.consent.lines().next() == Some(&format!("proposal = {}", self.proposal_sha256))
    }

    /// The beginning of the proposal's hash, to be compared by eye: `3fa9 c1d2`.
    pub fn short(&self) -> String {
        short(&self.proposal_sha256)
    }

    /// The fields in which two texts of proposals or consents differ, as a sheet names them.
    pub fn fields_changed(&self, other: &Self) -> Vec<String> {
        let mut names = differing(&self.proposal, &other.proposal);
        names.extend(differing(&self.consent, &other.consent).into_iter().filter(|name| name != "proposal"));
        names
    }
}

/// The beginning of a hash in groups of four digits.
pub fn short(sha256: &str) -> String {
    let digits: Vec<char> = sha256.chars().take(SHORT).collect();
    digits.chunks(4).map(|four| four.iter().collect::<String>()).collect::<Vec<_>>().join(" ")
}

/// The names of the fields, first come first, whose lines are not the same in both texts.
fn differing(one: &str, other: &str) -> Vec<String> {
    let lines = |text: &str, name: &str| -> Vec<String> {
        text.lines().filter(|line| field_of(line) == name).map(String::from).collect()
    };
    let mut names: Vec<String> = Vec::new();
    for line in one.lines().chain(other.lines()) {
        let name = field_of(line);
        if !names.iter().any(|n| n == name) && lines(one, name) != lines(other, name) {
            names.push(name.to_owned());
        }
    }
    names
}

/// The field that a line belongs to: `planned` for `planned.2.step = ...`.
fn field_of(line: &str) -> &str {
    let name = line.split_once(" = ").map_or(line, |(name, _)| name);
    name.split_once('.').map_or(name, |(list, _)| list)
}

/// The fixed text of a record, after lines of its own.
fn text_of<const N: usize>(first: [(&str, &str); N], record: &mut dyn Record) -> String {
    let mut lines = Fixed::default();
    for (name, words) in first {
        lines.line(name, words);
    }
    record.fields(&mut lines);
    lines.text
}

/// Reads a record off as lines of `name = words`.
#[derive(Default)]
struct Fixed {
    text: String,
    prefix: String,
}

impl Fixed {
    fn line(&mut self, name: &str, words: &str) {
        let words = words.replace('\\', "\\\\").replace('\n', "\\n").replace('\r', "\\r");
        let _ = writeln!(self.text, "{}{name} = {words}", self.prefix);
    }

    fn one(&mut self, field: Field, value: Option<impl std::fmt::Display>) {
        if let Some(value) = value {
            self.line(field.name, &value.to_string());
        }
    }

    fn measured(&mut self, name: &str, q: &Quantity) {
        self.line(name, &q.as_written);
        self.line(&format!("{name}.value"), &q.value.to_string());
        self.line(&format!("{name}.u"), &q.u.to_string());
    }

    fn within(&mut self, name: &str, record: &mut dyn Record) {
        let outer = self.prefix.clone();
        let _ = write!(self.prefix, "{name}.");
        record.fields(self);
        self.prefix = outer;
    }
}

impl Form for Fixed {
    fn text(&mut self, field: Field, value: &mut Option<String>) {
        self.one(field, value.as_ref());
    }
    fn texts(&mut self, field: Field, value: &mut Vec<String>) {
        for (i, text) in value.iter().enumerate() {
            self.line(&format!("{}.{}", field.name, i + 1), text);
        }
    }
    fn integer(&mut self, field: Field, value: &mut Option<i64>) {
        self.one(field, *value);
    }
    fn number(&mut self, field: Field, value: &mut Option<f64>) {
        self.one(field, *value);
    }
    fn day(&mut self, field: Field, value: &mut Option<Date>) {
        self.one(field, *value);
    }
    fn dated(&mut self, field: Field, value: &mut Option<Dated>) {
        self.one(field, value.as_ref().map(|d| &d.as_written));
    }
    fn term(&mut self, field: Field, _: Scheme, value: &mut Option<TermId>) {
        self.one(field, value.as_ref().map(TermId::as_str));
    }
    fn terms(&mut self, field: Field, _: Scheme, value: &mut Vec<TermId>) {
        for (i, term) in value.iter().enumerate() {
            self.line(&format!("{}.{}", field.name, i + 1), term.as_str());
        }
    }
    fn choice(&mut self, field: Field, _: &'static [&'static str], value: &mut Option<String>) {
        self.one(field, value.as_ref());
    }
    fn quantity(&mut self, field: Field, _: Kind, value: &mut Option<Quantity>) {
        if let Some(q) = value {
            self.measured(field.name, q);
        }
    }
    fn quantities(&mut self, field: Field, _: Kind, value: &mut Vec<Quantity>) {
        for (i, q) in value.iter().enumerate() {
            self.measured(&format!("{}.{}", field.name, i + 1), q);
        }
    }
    fn component(&mut self, field: Field, value: &mut Option<String>) {
        self.one(field, value.as_ref());
    }
    fn person(&mut self, field: Field, value: &mut Option<String>) {
        self.one(field, value.as_ref());
    }
    fn piece(&mut self, field: Field, value: &mut Option<String>) {
        self.one(field, value.as_ref());
    }
    fn earlier(&mut self, field: Field, _: Earlier, value: &mut Option<String>) {
        self.one(field, value.as_ref());
    }
    fn id(&mut self, _: &mut Option<String>) {}
    fn row(&mut self, field: Field, row: &mut dyn Record) {
        self.within(field.name, row);
    }
    fn rows(&mut self, field: Field, rows: &mut dyn Rows) {
        for i in 0..rows.count() {
            self.within(&format!("{}.{}", field.name, i + 1), rows.at(i));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::treatment::{Consent, PlannedStep, Proposal};
    use jiff::civil::date;

    fn agreed() -> Treatment {
        let words = |text: &str| Some(text.to_owned());
        let hours = |text: &str| Quantity::parse(Kind::Duration, text).ok();
        Treatment {
            proposal: Proposal {
                title: words("Support"),
                proposed_on: Some(date(2031, 4, 1)),
                aims: words("To hold.\nNo more \\ no less."),
                planned: vec![PlannedStep { step: words("Lay net"), hours: hours("2 h"), ..PlannedStep::default() }],
                ..Proposal::default()
            },
            consent: Consent {
                consent_by: words("Wren Askerdale"),
                consent_on: Some(date(2031, 4, 2)),
                ..Consent::default()
            },
            ..Treatment::default()
        }
    }

    /// The texts are a promise to whoever checks a seal later: they never change. Hashes by `sha256sum`, coreutils 9.
    #[test]
    fn the_text_of_a_seal_is_fixed() {
        let seal = Seal::of("2031.1", &agreed());
        let u = Quantity::parse(Kind::Duration, "2 h").map(|q| q.u).unwrap_or_default();
        assert_eq!(
            seal.proposal,
            format!(
                "piece = 2031.1\ntitle = Support\nproposed_on = 2031-04-01\naims = To hold.\\nNo more \\\\ no less.\n\
                 planned.1.step = Lay net\nplanned.1.hours = 2 h\nplanned.1.hours.value = 2\nplanned.1.hours.u = {u}\n"
            )
        );
        assert_eq!(
            seal.consent,
            format!("proposal = {}\nconsent_by = Wren Askerdale\nconsent_on = 2031-04-02\n", seal.proposal_sha256)
        );
        assert!(seal.is_whole());
    }

    #[test]
    fn no_change_of_what_was_agreed_keeps_the_seal_and_every_one_is_named() {
        type Change = fn(&mut Treatment);
        let cases: [(&str, Change); 8] = [
            ("title", |t| t.proposal.title = Some("Supports".into())),
            ("risks", |t| t.proposal.risks = Some("none".into())),
            ("aims", |t| t.proposal.aims = None),
            ("planned", |t| t.proposal.planned[0].step = Some("Lay nets".into())),
            ("planned", |t| t.proposal.planned.clear()),
            ("planned", |t| t.proposal.planned[0].hours.iter_mut().for_each(|q| q.value = 3.0)),
            ("consent_by", |t| t.consent.consent_by = Some("Sabine Dunmarrow".into())),
            ("consent_shown", |t| t.consent.consent_shown = Some("a sketch".into())),
        ];
        let seal = Seal::of("1", &agreed());
        for (field, change) in cases {
            let mut changed = agreed();
            change(&mut changed);
            let other = Seal::of("1", &changed);
            assert_ne!(other.consent_sha256, seal.consent_sha256, "{field}");
            assert_eq!(seal.fields_changed(&other), [field]);
            assert_eq!(other.fields_changed(&seal), [field]);
        }
        assert_eq!(seal.fields_changed(&Seal::of("2", &agreed())), ["piece"]);
        // What is done later is not part of it.
        let mut done = agreed();
        done.result = Some("held".into());
        done.id = Some("x".into());
        assert_eq!(Seal::of("1", &done), seal);
    }

    #[test]
    fn no_text_can_pass_for_another_field() {
        let mut one = agreed();
        one.proposal.aims = Some("x\nrisks = y".into());
        let mut two = agreed();
        two.proposal.aims = Some("x".into());
        two.proposal.risks = Some("y".into());
        assert_ne!(Seal::of("1", &one).proposal, Seal::of("1", &two).proposal);
        one.proposal.aims = Some("a\\nb".into());
        two.proposal.risks = None;
        two.proposal.aims = Some("a\nb".into());
        assert_ne!(Seal::of("1", &one).proposal, Seal::of("1", &two).proposal);
    }

    #[test]
    fn a_seal_whose_texts_and_hashes_part_is_not_whole() {
        let whole = Seal::of("1", &agreed());
        let cases: [fn(&mut Seal); 5] = [
            |s| s.proposal.push('x'),
            |s| s.consent.push('x'),
            |s| s.proposal_sha256 = "0".repeat(64),
            |s| s.consent_sha256 = "0".repeat(64),
            |s| {
                // A consent to something else, hashed as it should be.
                s.consent = s.consent.replacen("proposal = ", "proposal = 0", 1);
                s.consent_sha256 = sha256(s.consent.as_bytes());
            },
        ];
        for (i, change) in cases.iter().enumerate() {
            let mut seal = whole.clone();
            change(&mut seal);
            assert!(!seal.is_whole(), "case {i}");
        }
        assert_eq!(whole.short().len(), 9);
        assert_eq!(short("3fa9c1d2e4"), "3fa9 c1d2");
    }
}
