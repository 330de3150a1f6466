//! Files among the drafts that are none of them.

use std::path::{Path, PathBuf};

use super::{Holds, holds, store};
use crate::photograph::{walk, writing};

/// A file among the drafts that is no draft and no old list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Stray {
    /// Left behind by an interruption while it was written; nothing is lost with it.
    Unfinished(PathBuf),
    /// The bytes of an old list, without what was decided about it.
    Alone(PathBuf),
    /// Anything else.
    Foreign(PathBuf),
    /// A folder that cannot be read, and why.
    Unread(PathBuf, String),
}

/// The files below the drafts of `root`, the catalogue folder, that are none of theirs, sorted by path.
pub fn strays(root: &Path) -> Vec<Stray> {
    let drafts = root.join(store::ROOM);
    let mut found = Vec::new();
    let unread = walk(&drafts, &mut |path| {
        let parts: Vec<_> =
            path.strip_prefix(&drafts).unwrap_or(path).iter().map(|part| part.to_string_lossy()).collect();
        let name = parts.last().map(AsRef::as_ref).unwrap_or_default();
        let stray = match holds(&parts.join("/")) {
            Some(Holds::List(_)) if !path.with_extension("json").exists() => Stray::Alone(path.into()),
            Some(_) => return,
            None if name.starts_with(writing::UNFINISHED) => Stray::Unfinished(path.into()),
            None => Stray::Foreign(path.into()),
        };
        found.push(stray);
    });
    found.extend(unread.into_iter().map(|(folder, why)| Stray::Unread(folder, why)));
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::draft::{Draft, Drafts, KeptList, Lists};

    #[test]
    fn what_is_no_draft_is_told_apart() {
        let folder = tempfile::tempdir().expect("a folder");
        assert_eq!(strays(folder.path()), []);
        let (drafts, lists) = (Drafts::at(folder.path()), Lists::at(folder.path()));
        let draft = drafts.begin(Draft::default()).expect("begun");
        drafts.change(&draft.id, 1, |_| Ok::<_, crate::draft::DraftFault>(())).expect("changed");
        let coming = lists.coming().expect("room for it");
        std::fs::write(coming.path(), "No;Object").expect("written");
        let sha256 = crate::digest::sha256(b"No;Object");
        lists.keep(coming, KeptList { sha256: sha256.clone(), ..KeptList::default() }).expect("kept");
        assert_eq!(strays(folder.path()), [], "what the program keeps there is none");

        let place = |name: &str| folder.path().join("drafts").join(name);
        for name in [".incoming-x", "lists/notes.txt", "notes.json", "lists/.incoming-y"] {
            std::fs::write(place(name), "x").expect("written");
        }
        std::fs::remove_file(place(&format!("lists/{sha256}.json"))).expect("removed");
        assert_eq!(
            strays(folder.path()),
            [
                Stray::Unfinished(place(".incoming-x")),
                Stray::Unfinished(place("lists/.incoming-y")),
                Stray::Alone(place(&format!("lists/{sha256}.list"))),
                Stray::Foreign(place("lists/notes.txt")),
                Stray::Foreign(place("notes.json")),
            ]
        );
    }
}
