//! A bag (BagIt 1.0, RFC 8493): the tag files over files that are there already, each known by its SHA-256.

use std::collections::BTreeMap;
use std::fmt::Write as _;

/// What is known of one file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Sum {
    /// SHA-256, 64 digits.
    pub sha256: String,
    /// Length in bytes.
    pub bytes: u64,
}

/// The declaration, `bagit.txt`.
pub const DECLARATION: &str = "BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n";

/// The names of the tag files.
pub const DECLARED: &str = "bagit.txt";
/// What the bag is.
pub const INFO: &str = "bag-info.txt";
/// The payload, file by file.
pub const MANIFEST: &str = "manifest-sha256.txt";
/// The tag files, file by file.
pub const TAGS: &str = "tagmanifest-sha256.txt";
/// What every file of the payload lies below.
pub const PAYLOAD: &str = "data/";

/// A manifest of some files, by name.
pub fn manifest<'a>(files: impl Iterator<Item = (&'a String, &'a Sum)>) -> String {
    files.fold(String::new(), |mut text, (name, sum)| {
        let _ = writeln!(text, "{}  {}", sum.sha256, escaped(name)); // writing to a String cannot fail
        text
    })
}

/// What the bag says of itself: each line a label and what it says; with the payload's count of bytes and files.
pub fn info(said: &[(&str, String)], files: &BTreeMap<String, Sum>) -> String {
    let payload = || files.iter().filter(|(name, _)| name.starts_with(PAYLOAD)).map(|(_, sum)| sum.bytes);
    let oxum = ("Payload-Oxum", format!("{}.{}", payload().sum::<u64>(), payload().count()));
    said.iter().chain([&oxum]).filter(|(_, text)| !text.trim().is_empty()).fold(
        String::new(),
        |mut lines, (label, text)| {
            // A line feed would begin another label.
            let text = text.split(['\r', '\n']).map(str::trim).collect::<Vec<_>>().join(" ");
            let _ = writeln!(lines, "{label}: {text}");
            lines
        },
    )
}

/// A name in a manifest: line feed, return and the sign of percent as `%XX` (RFC 8493, 2.1.3).
fn escaped(name: &str) -> String {
    name.replace('%', "%25").replace('\n', "%0A").replace('\r', "%0D")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_escaped_and_the_payload_is_counted() {
        let sum = |bytes| Sum { sha256: "ab".repeat(32), bytes };
        let files = BTreeMap::from([
            ("data/a%b\nc.txt".to_owned(), sum(3)),
            ("data/d.txt".to_owned(), sum(4)),
            ("bagit.txt".to_owned(), sum(55)),
        ]);
        let payload = files.iter().filter(|(name, _)| name.starts_with(PAYLOAD));
        let hash = "ab".repeat(32);
        assert_eq!(manifest(payload), format!("{hash}  data/a%25b%0Ac.txt\n{hash}  data/d.txt\n"));
        let said = [("Source-Organization", "A\nB: c".to_owned()), ("Contact-Name", " ".to_owned())];
        assert_eq!(info(&said, &files), "Source-Organization: A B: c\nPayload-Oxum: 7.2\n");
    }
}
