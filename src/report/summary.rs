//! The condition report on one sheet, whatever the piece: what someone must know who takes it in hand. Every text has its
//! room; what does not fit is shortened or counted, and the page says so and where the rest is.

use serde::Serialize;

use super::advice::{ToLookFor, dangers, overall, to_look_for};
use super::condition::shows;
use super::damage::{changes, counted};
use super::identity::{Identity, location, owner};
use super::letters::{Letters, standing};
use super::loan::named;
use super::seal::{SealBlock, seal_block};
use super::words::{Facts, day, joined, place, term, text};
use super::{Printing, Settings};
use crate::record::condition::Condition;
use crate::record::{Examination, Observed, PieceFile};

/// How many damages and hazards have room.
const DAMAGES: usize = 5;
const HAZARDS: usize = 3;
/// How many letters the names of suggested hazards may take, all together.
const SUGGESTED: usize = 32;
/// The letters of the longest word that is printed whole.
const LONGEST_WORD: usize = 30;

/// Everything on the sheet.
#[derive(Debug, Serialize)]
pub(super) struct Page {
    heading: String,
    number: String,
    line: String,
    thumbnail: String,
    thumbnail_alt: String,
    facts: Facts,
    not_examined: String,
    grades: Vec<(&'static str, String, String)>,
    statement: String,
    damages: Vec<Row>,
    /// How many more there are.
    more_damages: usize,
    changes: String,
    hazards: Vec<Caution>,
    more_hazards: usize,
    /// The names of what the record points to without naming it; blank if nothing.
    to_look_for: String,
    advice: Facts,
    examiner: String,
    /// Whether anything was shortened or left out.
    shortened: bool,
    seal: Option<SealBlock>,
}

/// One damage in one line.
#[derive(Debug, Serialize)]
struct Row {
    letter: String,
    damage: String,
    place: String,
    state: String,
}

/// One hazard with the caution for this piece.
#[derive(Debug, Serialize)]
struct Caution {
    name: String,
    tested: String,
    own: String,
}

/// Cuts texts to their room, and remembers whether it had to.
#[derive(Default)]
struct Room {
    shortened: bool,
}

impl Room {
    /// The text, in at most so many letters of middling width, cut between words.
    fn cut(&mut self, words: &str, room: u32) -> String {
        let words = words.split_whitespace().map(|w| self.word(w)).collect::<Vec<_>>().join(" ");
        let mut used = 0;
        let mut last_gap = 0;
        for (at, c) in words.char_indices() {
            used += width(c);
            if c == ' ' {
                last_gap = at;
            }
            if used > room * 10 {
                self.shortened = true;
                // Between words, unless that would lose more than half.
                let end = if last_gap * 2 > at { last_gap } else { at };
                let kept = words.get(..end).unwrap_or_default().trim_end_matches([' ', ',', ';', '.']);
                return format!("{kept} …");
            }
        }
        words
    }

    /// A word, or the beginning of one that would push a line apart, as a link does.
    fn word(&mut self, word: &str) -> String {
        if word.chars().count() <= LONGEST_WORD {
            return word.to_owned();
        }
        self.shortened = true;
        word.chars().take(LONGEST_WORD - 6).chain("…".chars()).collect()
    }

    fn facts(&mut self, facts: Facts, room: u32) -> Facts {
        let rows = facts.rows.into_iter();
        let cut = rows.map(|f| super::words::Fact { value: self.cut(&f.value, room), ..f }).collect();
        Facts { rows: cut, missing: facts.missing }
    }
}

/// Tenths of a middling letter, generously: wide scripts and capitals take more.
fn width(c: char) -> u32 {
    match c {
        'i' | 'j' | 'l' | 't' | 'f' | ' ' | '.' | ',' | '\'' => 7,
        'm' | 'w' | '—' | '…' | 'A'..='L' | 'N'..='V' | 'X'..='Z' | '0'..='9' => 14,
        'M' | 'W' | '%' | '@' => 20,
        c if c.is_ascii() => 10,
        c if u32::from(c) < 0x1100 => 15,
        _ => 22,
    }
}

/// The name of the collection, cut to its line.
pub(super) fn collection(name: &str) -> String {
    Room::default().cut(name, 80)
}

pub(super) fn page(
    file: &PieceFile,
    at: usize,
    before: Option<usize>,
    printing: &Printing<'_>,
    s: &Settings<'_>,
) -> Page {
    let blank = Examination::default();
    let exam = file.examinations.get(at).unwrap_or(&blank);
    let identity = Identity::of(file, s.vocabulary);
    let mut room = Room::default();
    let front = file.photographs.iter().find(|p| shows(p, exam));
    let view = front.map(|p| joined([term(p.view.as_ref()), text(p.component.as_ref())], ", ")).unwrap_or_default();
    let view = if view.is_empty() { "the piece".to_owned() } else { view };
    let letters = Letters::of(&file.examinations, at, &file.photographs);
    let (damages, more_damages) = damages(exam, &letters, &mut room, s);
    let found = dangers(file, at, s.vocabulary);
    let hazards = found.iter().take(HAZARDS).map(|d| Caution {
        name: room.cut(&d.name, 34),
        tested: room.cut(&d.tested, 26),
        own: room.cut(&d.own_caution, 95),
    });
    let hazards: Vec<Caution> = hazards.collect();
    let more_hazards = found.len().saturating_sub(HAZARDS);
    let suggested = suggested(&to_look_for(file, s.vocabulary), &mut room);
    let o = overall(exam).map(|o| o.what.clone()).unwrap_or_default();
    let mut graded = |label, id: Option<&crate::vocabulary::TermId>| {
        let meaning = id.and_then(|id| s.vocabulary.get(id));
        let definition = meaning.map(|t| room.cut(&t.definition, 105)).unwrap_or_default();
        (label, room.cut(&term(id), 24), definition)
    };
    let judgements = vec![
        graded("Grade", o.grade.as_ref()),
        graded("Stability", o.stability.as_ref()),
        graded("Urgency", o.urgency.as_ref()),
    ];
    let about = &exam.about;
    let light = term(about.light.as_ref());
    let light = if light.is_empty() { "light not recorded".to_owned() } else { light };
    let facts = Facts::default()
        .say("Examined", room.cut(&joined([day(about.date), text(about.examiner.as_ref()), light], ", "), 85))
        .say("Lies in", room.cut(&location(file), 75))
        .say("Owner", room.cut(&owner(file), 45))
        .say("Parts", room.cut(&identity.parts, 110));
    let advice = Facts::default()
        .say("Handling", text(o.handling.as_ref()))
        .say("Storage", text(o.storage.as_ref()))
        .say("Light and display", text(o.display.as_ref()));
    let advice = room.facts(advice, 92);
    let compared = before.and_then(|i| file.examinations.get(i)).map(|e| day(e.about.date));
    let changes = compared.map(|then| {
        let counted = counted(&changes(file, before, at, s.vocabulary));
        let counted = if counted.is_empty() { "no condition note in either".to_owned() } else { counted };
        let then = if then.is_empty() { "the last examination".to_owned() } else { then };
        format!("Since {then}: {counted}.")
    });
    Page {
        heading: room.cut(&identity.heading, 52),
        number: room.cut(&identity.number, 30),
        line: room.cut(&identity.line, 70),
        thumbnail: front.and_then(|p| s.pictures.thumbnail(&p.sha256)).unwrap_or_default(),
        thumbnail_alt: format!("Small picture: {view}"),
        facts,
        not_examined: room.cut(&text(about.not_examined.as_ref()), 125),
        grades: judgements,
        statement: room.cut(&text(o.statement.as_ref()), 255),
        damages,
        more_damages,
        changes: room.cut(&changes.unwrap_or_else(|| "This is the first examination on record.".to_owned()), 130),
        hazards,
        more_hazards,
        to_look_for: suggested,
        advice,
        examiner: room.cut(&text(about.examiner.as_ref()), 40),
        seal: printing.sealing.map(|x| SealBlock { by: room.cut(&x.by, 40), ..seal_block(x, s) }),
        shortened: room.shortened || more_damages > 0 || more_hazards > 0,
    }
}

/// As many names as there is room for, one at least, and how many more there are: `arsenic green, lead, and 2 more`.
fn suggested(found: &ToLookFor, room: &mut Room) -> String {
    let mut shown: Vec<String> = Vec::new();
    let mut used = 0;
    for s in &found.list {
        used += s.name.chars().count() + 2;
        if used > SUGGESTED && !shown.is_empty() {
            break;
        }
        shown.push(room.cut(&s.name, 50));
    }
    let more = found.list.len() - shown.len();
    let names = joined(shown, ", ");
    if more == 0 {
        return names;
    }
    room.shortened = true;
    format!("{names}, and {more} more")
}

/// The most severe damages, then the others, each kind in the order of the notes; and how many have no room.
fn damages(exam: &Examination, letters: &Letters, room: &mut Room, s: &Settings<'_>) -> (Vec<Row>, usize) {
    let rank = |o: &Observed<Condition>| {
        o.what.severity.as_ref().and_then(|id| s.vocabulary.get(id)?.rank).unwrap_or_default()
    };
    let mut notes: Vec<(usize, &Observed<Condition>)> = standing(exam).enumerate().collect();
    notes.sort_by_key(|(_, o)| std::cmp::Reverse(rank(o)));
    let more = notes.len().saturating_sub(DAMAGES);
    let row = |(n, o): &(usize, &Observed<Condition>)| Row {
        letter: letters.nth(*n).to_owned(),
        damage: room.cut(&named(o), 24),
        place: room.cut(&joined([place(o), text(o.what.place.as_ref())], ", "), 64),
        state: room.cut(&as_written(o), 62),
    };
    (notes.iter().take(DAMAGES).map(row).collect(), more)
}

/// The extent as it was written, severity, activity: the full report has the uncertainty.
fn as_written(o: &Observed<Condition>) -> String {
    let c = &o.what;
    let extent = c.extent.as_ref().map_or_else(|| "extent not recorded".to_owned(), |q| q.as_written.clone());
    joined([extent, term(c.severity.as_ref()), term(c.activity.as_ref())], "; ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::advice::Suggested;

    #[test]
    fn suggested_hazards_are_named_whole_while_there_is_room_and_counted_beyond() {
        let long = "x".repeat(20);
        let cases = [
            (vec![], "", false),
            (vec!["lead"], "lead", false),
            (vec!["lead", "arsenic green"], "lead, arsenic green", false),
            (vec![&*long, "lead", "y"], &*format!("{long}, lead, y"), false),
            (vec!["lead", &*long, &*long, "y"], &*format!("lead, {long}, and 2 more"), true),
        ];
        for (names, wanted, shortened) in cases {
            let one = |name: &&str| Suggested {
                name: (*name).to_owned(),
                definition: String::new(),
                by: Vec::new(),
                cautions: String::new(),
                avoid: String::new(),
            };
            let found = ToLookFor { heading: "", list: names.iter().map(one).collect(), defer: "" };
            let mut room = Room::default();
            assert_eq!((suggested(&found, &mut room).as_str(), room.shortened), (wanted, shortened), "{names:?}");
        }
    }

    #[test]
    fn a_text_is_cut_between_words_and_says_so() {
        let cases = [
            ("short", 10, "short", false),
            ("  two\n lines ", 10, "two lines", false),
            ("the tear runs along the seam, and on", 20, "the tear runs along …", true),
            ("a-word-that-has-no-gaps-at-all", 10, "a-word-th …", true),
            ("éééééééééé", 4, "éé …", true),
            ("see https://example.invalid/a/very/long/way and on", 50, "see https://example.invalid/… and on", true),
        ];
        for (text, size, wanted, shortened) in cases {
            let mut room = Room::default();
            let cut = room.cut(text, size);
            assert_eq!((cut.as_str(), room.shortened), (wanted, shortened), "{text}");
        }
    }
}
