//! Where a page gets its pictures: put into it, or linked beside it.

use std::path::{Component, Path, PathBuf};

use base64::Engine as _;

use super::{Laid, Pictures};
use crate::photograph::Store;
use crate::record::photograph::Photograph;
use crate::record::registration::Registration;

/// The pictures of a photograph store.
pub struct StorePictures<'a> {
    store: &'a Store,
    /// The folder that the page is written to, if pictures are linked from there.
    page_folder: Option<PathBuf>,
}

impl<'a> StorePictures<'a> {
    /// Pictures put into the page, so that the page is one file that can be sent and kept.
    pub fn embedded(store: &'a Store) -> Self {
        Self { store, page_folder: None }
    }

    /// Pictures linked from a page at `page`; from the catalogue's folder `reports` if no place is given.
    pub fn linked(store: &'a Store, page: Option<&Path>, catalogue: &Path) -> Self {
        let folder = page.map_or_else(|| catalogue.join("reports"), |p| p.parent().unwrap_or(Path::new("")).to_owned());
        Self { store, page_folder: Some(folder) }
    }

    fn src(&self, picture: &Path) -> Option<String> {
        if !picture.is_file() {
            return None;
        }
        match &self.page_folder {
            Some(folder) => Some(relative(&std::path::absolute(folder).ok()?, &std::path::absolute(picture).ok()?)),
            None => Some(embedded(&std::fs::read(picture).ok()?)),
        }
    }
}

impl Pictures for StorePictures<'_> {
    fn view(&self, sha256: &str) -> Option<String> {
        self.src(&self.store.view(sha256))
    }
    fn thumbnail(&self, sha256: &str) -> Option<String> {
        self.src(&self.store.thumbnail(sha256))
    }
    /// Always put into the page: it is made for it, and lies nowhere else.
    fn laid(&self, first: &Photograph, second: &Photograph, by: &Registration) -> Option<Laid> {
        let found = self.store.overlay(first, second, by)?;
        Some(Laid {
            over: embedded(&found.laid),
            difference: embedded(&found.difference),
            shared: found.shared,
            median: found.median,
            p95: found.p95,
            evened: found.evened,
        })
    }
}

fn embedded(jpeg: &[u8]) -> String {
    format!("data:image/jpeg;base64,{}", base64::engine::general_purpose::STANDARD.encode(jpeg))
}

/// The way from a folder to a file, as a link; both absolute.
fn relative(folder: &Path, file: &Path) -> String {
    let parts = |p: &Path| -> Vec<String> {
        p.components()
            .filter(|c| !matches!(c, Component::CurDir))
            .map(|c| c.as_os_str().to_string_lossy().into_owned())
            .collect()
    };
    let (from, to) = (parts(folder), parts(file));
    let shared = from.iter().zip(&to).take_while(|(a, b)| a == b).count();
    let up = std::iter::repeat_n("..".to_owned(), from.len() - shared);
    up.chain(to[shared..].iter().cloned()).map(|part| link_part(&part)).collect::<Vec<_>>().join("/")
}

/// A relative path as a link.
pub(super) fn link(path: &str) -> String {
    path.split('/').map(link_part).collect::<Vec<_>>().join("/")
}

/// One part of a link, with everything but plain characters percent-encoded (RFC 3986).
pub(crate) fn link_part(part: &str) -> String {
    use std::fmt::Write as _;
    part.bytes().fold(String::new(), |mut out, byte| {
        if byte.is_ascii_alphanumeric() || b"-._~".contains(&byte) {
            out.push(byte.into());
        } else {
            let _ = write!(out, "%{byte:02X}");
        }
        out
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn links_lead_from_page_to_picture() {
        let cases = [
            ("/c/reports", "/c/derived/ab/x.jpg", "../derived/ab/x.jpg"),
            ("/c", "/c/derived/x.jpg", "derived/x.jpg"),
            ("/elsewhere/out", "/c/a b/x#1.jpg", "../../c/a%20b/x%231.jpg"),
        ];
        for (folder, file, link) in cases {
            assert_eq!(relative(Path::new(folder), Path::new(file)), link, "{folder} to {file}");
        }
    }
}
