//! SHA-256 of bytes and of files, and whether a stored file is still what it was.

use std::fs::File;
use std::io::{self, Read};
use std::path::Path;

use sha2::{Digest, Sha256};

use super::fault::io_words;
use crate::digest;

/// How many bytes are read from a file at a time.
pub(crate) const CHUNK: usize = 256 * 1024;

/// The state of one stored original.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Fixity {
    /// The bytes are those that were stored.
    Sound,
    /// The file is not there.
    Missing,
    /// The file is there with other bytes.
    Changed {
        /// SHA-256 of the file as it is now.
        now: String,
    },
    /// The file is there but the disk would not give it up, so nothing is known about its bytes.
    Unreadable {
        /// The cause in words.
        cause: String,
    },
}

/// Whether `text` is a SHA-256 in lower-case hexadecimal.
pub(crate) fn is_sha256(text: &str) -> bool {
    text.len() == 64 && text.bytes().all(|b| matches!(b, b'0'..=b'9' | b'a'..=b'f'))
}

/// Finishes a hash as lower-case hexadecimal.
pub(crate) fn hex(hash: Sha256) -> String {
    digest::hex(&hash.finalize())
}

/// SHA-256 of a file, read in pieces.
pub(crate) fn sha256_of_file(path: &Path) -> io::Result<String> {
    let mut file = File::open(path)?;
    let mut hash = Sha256::new();
    let mut chunk = vec![0; CHUNK];
    loop {
        match file.read(&mut chunk) {
            Ok(0) => return Ok(hex(hash)),
            Ok(n) => hash.update(&chunk[..n]),
            Err(e) if e.kind() == io::ErrorKind::Interrupted => {}
            Err(e) => return Err(e),
        }
    }
}

/// Compares the file at `path` with the hash it was stored under.
pub(crate) fn verify(path: &Path, sha: &str) -> Fixity {
    match sha256_of_file(path) {
        Ok(now) if now.eq_ignore_ascii_case(sha) => Fixity::Sound,
        Ok(now) => Fixity::Changed { now },
        Err(e) if matches!(e.kind(), io::ErrorKind::NotFound | io::ErrorKind::NotADirectory) => Fixity::Missing,
        Err(e) => Fixity::Unreadable { cause: io_words(&e) },
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::digest::sha256;

    // Published values: FIPS 180-4 example messages (NIST), and SHA-256 of no bytes.
    #[test]
    fn the_hash_is_that_of_the_published_messages() {
        let cases: [(&[u8], &str); 3] = [
            (b"abc", "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"),
            (b"", "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"),
            (
                b"abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq",
                "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1",
            ),
        ];
        for (bytes, want) in cases {
            assert_eq!(sha256(bytes), want);
            assert!(is_sha256(want));
        }
    }

    #[test]
    fn reading_in_pieces_gives_the_hash_of_the_whole() {
        let dir = tempfile::tempdir().expect("a folder for the test");
        let path = dir.path().join("long");
        for len in [0, 1, CHUNK - 1, CHUNK, CHUNK + 1, 3 * CHUNK + 7] {
            let bytes: Vec<u8> = (0..len).map(|i| (i * 31 % 251) as u8).collect();
            std::fs::write(&path, &bytes).expect("written");
            assert_eq!(sha256_of_file(&path).expect("read"), sha256(&bytes), "{len} bytes");
        }
    }
}
