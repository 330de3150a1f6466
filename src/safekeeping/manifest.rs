//! The list of a backup's files with their SHA-256, in the form that `sha256sum` writes and checks.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::path::{Component, Path, PathBuf};

use crate::photograph::fixity::is_sha256;

/// The file that holds it.
pub(super) const FILE: &str = "SHA256SUMS";

/// SHA-256 by path below the folder, with `/` between the parts.
pub(super) type Manifest = BTreeMap<String, String>;

/// The list as text: hash, two spaces, path. A path with a backslash or a line break is written with escapes and a
/// backslash before the hash, as `sha256sum` does.
pub(super) fn written(manifest: &Manifest) -> String {
    manifest.iter().fold(String::new(), |mut text, (path, sha256)| {
        if path.contains(['\\', '\n', '\r']) {
            let path = path.replace('\\', "\\\\").replace('\n', "\\n").replace('\r', "\\r");
            let _ = writeln!(text, "\\{sha256}  {path}");
        } else {
            let _ = writeln!(text, "{sha256}  {path}");
        }
        text
    })
}

/// Reads such a list.
///
/// # Errors
/// The number of the first line that is none of it, or that leads out of the folder.
pub(super) fn read(text: &str) -> Result<Manifest, usize> {
    let mut manifest = Manifest::new();
    for (number, line) in (1usize..).zip(text.lines()) {
        let entry = entry(line).filter(|(path, _)| stays_inside(path)).ok_or(number)?;
        manifest.insert(entry.0, entry.1);
    }
    Ok(manifest)
}

fn entry(line: &str) -> Option<(String, String)> {
    let (escaped, line) = line.strip_prefix('\\').map_or((false, line), |rest| (true, rest));
    let (sha256, path) = line.split_once("  ")?;
    let path = if escaped { unescaped(path)? } else { path.to_owned() };
    is_sha256(sha256).then(|| (path, sha256.to_owned()))
}

fn unescaped(text: &str) -> Option<String> {
    let (mut plain, mut chars) = (String::new(), text.chars());
    while let Some(c) = chars.next() {
        plain.push(match c {
            '\\' => match chars.next()? {
                'n' => '\n',
                'r' => '\r',
                '\\' => '\\',
                _ => return None,
            },
            c => c,
        });
    }
    Some(plain)
}

/// A list from elsewhere must not reach beyond the folder.
fn stays_inside(path: &str) -> bool {
    !path.is_empty() && Path::new(path).components().all(|part| matches!(part, Component::Normal(_)))
}

/// A path below a folder as the list names it; none if it is no text.
pub(super) fn name(path: &Path) -> Option<String> {
    let parts: Option<Vec<&str>> = path.components().map(|part| part.as_os_str().to_str()).collect();
    parts.map(|parts| parts.join("/"))
}

/// Where a listed file lies below a folder.
pub(super) fn place(folder: &Path, name: &str) -> PathBuf {
    name.split('/').fold(folder.to_path_buf(), |path, part| path.join(part))
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    const SHA: &str = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";

    #[test]
    fn lines_that_are_none_or_lead_outside_are_refused_with_their_number() {
        for (line, fits) in [
            (format!("{SHA}  photographs/ba/x.jpg"), true),
            (format!("{SHA}  a file  with spaces"), true),
            (format!("\\{SHA}  a\\nb\\\\c"), true),
            (format!("\\{SHA}  a\\x"), false),
            (format!("{SHA}  ../x"), false),
            (format!("{SHA}  a/../../x"), false),
            (format!("{SHA}  /etc/passwd"), false),
            (format!("{SHA}  "), false),
            (format!("{SHA} *x"), false),
            (SHA.into(), false),
            (format!("{}  x", &SHA[1..]), false),
            (String::new(), false),
        ] {
            let text = format!("{SHA}  first\n{line}\n");
            assert_eq!(read(&text).err(), if fits { None } else { Some(2) }, "{line}");
        }
    }

    proptest! {
        #[test]
        fn what_is_written_is_read_back(names in prop::collection::btree_set("[^/\0]{1,12}", 1..6)) {
            let manifest: Manifest = names.into_iter().filter(|n| stays_inside(n)).map(|n| (n, SHA.to_owned())).collect();
            prop_assert_eq!(read(&written(&manifest)), Ok(manifest));
        }

        #[test]
        fn no_text_makes_the_reader_panic(text in any::<String>()) {
            let _ = read(&text);
        }
    }
}
