//! Whose the photographs of a folder are: by the old list that names their files, else by the numbers in the names of files
//! and folders.

use std::collections::{BTreeMap, BTreeSet, HashMap};

use super::Read;
use crate::catalogue::{Catalogue, Result};
use crate::exchange::import::pictures::{Match, Numbers};
use crate::exchange::import::reading::file_names;

/// Whose a photograph is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Whose {
    /// It shows these pieces.
    Sure(Vec<String>),
    /// It may show one of these; why it is not sure.
    Open(Vec<String>, String),
    /// Its name says nothing.
    Nobody,
}

/// What names of files are held against.
#[derive(Debug)]
pub struct Known {
    numbers: Numbers,
    /// Files that lists name, in lower case and without folders: the pieces, list by list.
    named: HashMap<String, BTreeMap<String, Vec<String>>>,
}

impl Known {
    /// The pieces of the catalogue and those of a list that may not be in it yet; files as this list names them.
    ///
    /// # Errors
    /// If the catalogue cannot be asked.
    pub fn with_list(catalogue: &Catalogue, read: &Read) -> Result<Self> {
        let mut all: BTreeSet<String> = catalogue.numbers()?.into_iter().collect();
        all.extend(read.pieces().map(|(number, _)| number.to_owned()));
        let mut known = Self { numbers: Numbers::of(all.iter()), named: HashMap::new() };
        for (number, files) in read.pieces() {
            files.iter().for_each(|file| known.name(&read.sha256, file, number));
        }
        Ok(known)
    }

    /// The pieces of the catalogue; files as the old lists name them that its pieces came from.
    ///
    /// # Errors
    /// If the catalogue cannot be asked.
    pub fn of_catalogue(catalogue: &Catalogue) -> Result<Self> {
        let all: BTreeSet<String> = catalogue.numbers()?.into_iter().collect();
        let mut known = Self { numbers: Numbers::of(all.iter()), named: HashMap::new() };
        let rows: BTreeMap<_, _> = catalogue.source_rows()?.into_iter().filter(|(n, _)| all.contains(n)).collect();
        for (number, rows) in &rows {
            for row in rows {
                let cells = row.cells.iter().filter(|cell| cell.taken_for == "photographs");
                let files = cells.flat_map(|cell| file_names(&cell.read));
                files.for_each(|file| known.name(&row.file_sha256, &file, number));
            }
        }
        Ok(known)
    }

    /// Only the last part of a name counts: nothing outside the folder that was given is ever meant.
    fn name(&mut self, list: &str, file: &str, number: &str) {
        let own = file.rsplit(['/', '\\']).next().unwrap_or(file).trim().to_lowercase();
        if own.is_empty() {
            return;
        }
        let numbers = self.named.entry(own).or_default().entry(list.to_owned()).or_default();
        if !numbers.iter().any(|known| known == number) {
            numbers.push(number.to_owned());
        }
    }

    /// Whose each of these files is. A file is the folders above it, the outermost first, and its own name.
    pub fn whose(&self, files: &[Vec<String>]) -> Vec<Whose> {
        let own = |file: &Vec<String>| file.last().map(|name| name.to_lowercase()).unwrap_or_default();
        let mut same_name: HashMap<String, usize> = HashMap::new();
        for file in files {
            *same_name.entry(own(file)).or_default() += 1;
        }
        let one = |file: &Vec<String>| {
            let name = own(file);
            let Some(lists) = self.named.get(&name) else { return self.by_name(file) };
            let sets: BTreeSet<&Vec<String>> = lists.values().collect();
            let mut all: Vec<String> = Vec::new();
            for number in lists.values().flatten() {
                if !all.contains(number) {
                    all.push(number.clone());
                }
            }
            if sets.len() > 1 {
                Whose::Open(all, "old lists name it for different pieces".into())
            } else if same_name.get(&name) == Some(&1) {
                Whose::Sure(all)
            } else {
                Whose::Open(all, "the list names it, but several files are called so".into())
            }
        };
        files.iter().map(one).collect()
    }

    fn by_name(&self, file: &[String]) -> Whose {
        let Some((name, folders)) = file.split_last() else { return Whose::Nobody };
        let folders: Vec<&str> = folders.iter().map(String::as_str).collect();
        match self.numbers.find(&folders, name) {
            Match::Sure(number) => Whose::Sure(vec![number]),
            Match::Open(list, why) => Whose::Open(list, why),
            Match::None => Whose::Nobody,
        }
    }
}
