//! Photographs in folders, matched to pieces by accession number; what is not sure is asked about.

use std::collections::HashMap;
use std::io::{BufRead, Write};
use std::path::{Path, PathBuf};

use crate::catalogue::{Catalogue, NewPhotograph};
use crate::cli::photo::{gathered, remarked, take_in};
use crate::cli::say::count;
use crate::cli::{Desk, Failure};
use crate::exchange::import::Doubt;
use crate::exchange::import::list::Line;
use crate::exchange::import::table::plain;
use crate::exchange::old_list::Read;
use crate::exchange::old_list::pictures::{Known, Whose};
use crate::photograph::Ingested;

/// What became of the photographs of a folder.
pub(super) struct Pictures {
    /// Each file and the pieces that it shows.
    sure: Vec<(PathBuf, Vec<String>)>,
    /// Files that name no piece.
    none: Vec<PathBuf>,
    /// What is to be done by hand.
    pub(super) lines: Vec<Line>,
}

/// Somebody who can be asked.
pub(super) struct Ask<'a> {
    /// What they type.
    pub typed: &'a mut dyn BufRead,
    /// What they are shown.
    pub shown: &'a mut dyn Write,
}

/// Matches the photographs in and below a folder; what is not sure is asked about where somebody can answer.
pub(super) fn matched(
    folder: &Path,
    read: &Read,
    catalogue: &Catalogue,
    mut ask: Option<&mut Ask<'_>>,
    desk: &mut Desk,
) -> Result<Pictures, Failure> {
    if !folder.is_dir() {
        return Err(format!("`{}` is no folder", folder.display()).into());
    }
    let (files, passed_over) = gathered(&[folder.to_owned()]);
    let parts: Vec<Vec<String>> = files.iter().map(|file| parts(folder, file)).collect();
    let whose = Known::with_list(catalogue, read)?.whose(&parts);
    let mut pictures = Pictures { sure: Vec::new(), none: Vec::new(), lines: Vec::new() };
    for (file, whose) in files.into_iter().zip(whose) {
        match whose {
            Whose::Sure(numbers) => pictures.sure.push((file, numbers)),
            Whose::Nobody => pictures.none.push(file),
            Whose::Open(list, why) => match ask.as_mut().and_then(|ask| ask.whose(&file, &list, &why)) {
                Some(number) => pictures.sure.push((file, vec![number])),
                None => pictures.lines.push(open_line(&file, &list, &why)),
            },
        }
    }
    if !desk.json {
        desk.out.line(format!(
            "\nphotographs in `{}`: {} matched, {} to be asked about, {} of no piece{}",
            folder.display(),
            pictures.sure.len(),
            pictures.lines.len(),
            pictures.none.len(),
            if passed_over > 0 { format!(", {passed_over} passed over, being no photographs") } else { String::new() }
        ));
        for (file, list) in &pictures.sure {
            desk.out.line(format!("  {} -> {}", plain(&file.display().to_string()), list.join(", ")));
        }
        for line in &pictures.lines {
            desk.out.line(format!("  ? {}: {}; {}", plain(&line.doubt.text), line.doubt.why, line.doubt.mend));
        }
        for file in &pictures.none {
            desk.out.line(format!("  - {}", plain(&file.display().to_string())));
        }
    }
    Ok(pictures)
}

/// The folders above a file in the one that was given, and its own name.
fn parts(folder: &Path, file: &Path) -> Vec<String> {
    let inside = file.strip_prefix(folder).unwrap_or(file);
    inside.components().map(|c| c.as_os_str().to_string_lossy().into_owned()).collect()
}

fn open_line(file: &Path, list: &[String], why: &str) -> Line {
    let shown = file.display().to_string();
    let number = list.first().map_or("NUMBER", String::as_str);
    Line {
        row: None,
        number: String::new(),
        doubt: Doubt {
            heading: "photograph".into(),
            text: shown.clone(),
            why: format!("{why}: {}", list.join(" or ")),
            mend: format!(
                "`dimity photo add \"{number}\" \"{}\"` with the right number, or rename the file",
                plain(&shown)
            ),
            unread: true,
        },
    }
}

impl Ask<'_> {
    /// Asks whose a photograph is; none where it is passed over.
    fn whose(&mut self, file: &Path, list: &[String], why: &str) -> Option<String> {
        let mut question = format!("{}: {why}\n", plain(&file.display().to_string()));
        for (i, number) in list.iter().enumerate() {
            question.extend([&format!("  {}  ", i + 1), number, "\n"]);
        }
        question.push_str("Which one? A figure, or Enter to leave it for later: ");
        self.shown.write_all(question.as_bytes()).and_then(|()| self.shown.flush()).ok()?;
        let mut typed = String::new();
        self.typed.read_line(&mut typed).ok()?;
        let at: usize = typed.trim().parse().ok()?;
        list.get(at.checked_sub(1)?).cloned()
    }
}

impl Pictures {
    /// As JSON.
    pub(super) fn told(&self) -> serde_json::Value {
        let matched: Vec<_> = self
            .sure
            .iter()
            .map(|(file, numbers)| serde_json::json!({ "file": file.display().to_string(), "numbers": numbers }))
            .collect();
        let none: Vec<_> = self.none.iter().map(|f| f.display().to_string()).collect();
        serde_json::json!({ "matched": matched, "to_be_asked_about": self.lines.len(), "of_no_piece": none })
    }

    /// Adds those that are sure.
    pub(super) fn add(self, catalogue: &mut Catalogue, enter: bool, desk: &mut Desk) -> Result<(), Failure> {
        if !enter {
            return Ok(());
        }
        let whose: HashMap<PathBuf, Vec<String>> = self.sure.iter().cloned().collect();
        let files: Vec<PathBuf> = self.sure.into_iter().map(|(file, _)| file).collect();
        let whose = |file: &Path| {
            let shows = |number: &String| NewPhotograph { number: number.clone(), ..NewPhotograph::default() };
            whose.get(file).into_iter().flatten().map(shows).collect()
        };
        let author = desk.author();
        // As JSON all of the import is one object.
        let tell = |desk: &mut Desk, file: &Path, taken: &Ingested| {
            if !desk.json {
                remarked(desk, file, taken);
            }
        };
        let taken = take_in(&files, catalogue, &author, &whose, &tell, desk);
        if !desk.json {
            desk.out.line(format!(
                "{} added, {} there already",
                count(taken.added, "photograph"),
                taken.known + taken.tied
            ));
        }
        taken.ended()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn whose_a_photograph_is_can_be_answered_or_left_for_later() {
        let list = ["2031.4".to_owned(), "2031.4.2".to_owned()];
        let rows = [
            ("1\n", Some("2031.4")),
            (" 2 \n", Some("2031.4.2")),
            ("\n", None),
            ("", None),
            ("0\n", None),
            ("3\n", None),
            ("2031.4\n", None),
        ];
        for (typed, wanted) in rows {
            let mut shown = Vec::new();
            let mut ask = Ask { typed: &mut typed.as_bytes(), shown: &mut shown };
            assert_eq!(
                ask.whose(Path::new("2031.4_2\u{1b}.jpg"), &list, "two numbers").as_deref(),
                wanted,
                "{typed:?}"
            );
            let shown = String::from_utf8(shown).expect("text");
            assert!(
                shown.starts_with("2031.4_2 .jpg: two numbers\n  1  2031.4\n  2  2031.4.2\nWhich one?"),
                "{shown:?}"
            );
        }
    }

    #[test]
    fn each_question_takes_its_own_line() {
        let list = ["1".to_owned(), "2".to_owned()];
        let (mut typed, mut shown) = ("2\n\n1\n".as_bytes(), std::io::sink());
        let mut ask = Ask { typed: &mut typed, shown: &mut shown };
        let mut next = || ask.whose(Path::new("a.jpg"), &list, "why");
        assert_eq!([next(), next(), next(), next()], [Some("2".to_owned()), None, Some("1".to_owned()), None]);
    }
}
