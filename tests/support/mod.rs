//! What the tests through the public doors share: a folder with the real program, and sheets to enter.
#![allow(dead_code, unused_imports, reason = "each test file uses its own part")]

pub mod browser;
pub mod cases;
pub mod disk;
pub mod full;
pub mod killing;
pub mod machine;
pub mod pictures;
pub mod room;
pub mod serving;
pub mod sheets;
pub mod sitter;
pub mod sql;

pub use disk::Disk;
pub use room::{Room, Said};
pub use serving::Serving;
pub use sheets::{AFTER, AGAIN, PLAIN, SPENCER, second};
pub use sitter::{Client, Sitter};
pub use sql::Tables;

use std::path::Path;

use dimity::catalogue::{Catalogue, Clock, Entered, Intent};
use dimity::exchange::{entry, sheet};

/// SHA-256 in hexadecimal, worked out beside the program's own.
pub fn sha256(text: &str) -> String {
    sha256_of(text.as_bytes())
}

/// The same of bytes.
pub fn sha256_of(bytes: &[u8]) -> String {
    use sha2::{Digest, Sha256};
    use std::fmt::Write as _;
    Sha256::digest(bytes).iter().fold(String::new(), |mut hex, byte| {
        write!(hex, "{byte:02x}").expect("a text takes it");
        hex
    })
}

/// Who writes in these tests.
pub const AUTHOR: &str = "Wren Askerdale";

/// A moment that never moves.
pub fn clock() -> Clock {
    Clock::Fixed("2031-05-01T09:30:00Z".parse().expect("a moment"))
}

/// A catalogue in a folder that vanishes with it.
pub struct Desk {
    pub catalogue: Catalogue,
    folder: tempfile::TempDir,
}

impl Desk {
    pub fn new() -> Self {
        let folder = tempfile::tempdir().expect("a temporary folder");
        let catalogue = Catalogue::create(folder.path(), clock()).expect("a new catalogue");
        Self { catalogue, folder }
    }

    /// A catalogue that the first release began, brought up to today.
    pub fn of_the_first_release() -> Self {
        let folder = tempfile::tempdir().expect("a temporary folder");
        let older = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/older/schema-1.sqlite");
        std::fs::copy(older, folder.path().join("catalogue.sqlite")).expect("copied");
        let catalogue = Catalogue::open(folder.path(), clock()).expect("opens");
        Self { catalogue, folder }
    }

    pub fn folder(&self) -> &Path {
        self.folder.path()
    }

    /// The tables, through plain SQL.
    pub fn sql(&self) -> Tables {
        Tables::open(self.folder())
    }

    /// Enters a sheet; the refusal comes as one text.
    pub fn enter(&mut self, text: &str) -> Result<Entered, String> {
        self.enter_with(text, None)
    }

    /// Enters a sheet with a reason given beside it.
    pub fn enter_with(&mut self, text: &str, reason: Option<&str>) -> Result<Entered, String> {
        let intent = |read: &sheet::Sheet| Intent {
            author: AUTHOR.into(),
            reason: read.reason.clone().or_else(|| reason.map(String::from)),
            ..Intent::default()
        };
        entry::enter(&mut self.catalogue, text.as_bytes(), intent).map_err(|lines| lines.join("\n"))
    }

    /// Enters a sheet that must be accepted.
    pub fn entered(&mut self, text: &str) -> Entered {
        self.enter(text).unwrap_or_else(|refusal| panic!("the sheet was refused:\n{refusal}\n{text}"))
    }

    /// What the sheet is refused with.
    pub fn refused(&mut self, text: &str) -> String {
        self.enter(text).expect_err("the sheet should be refused")
    }

    /// The filled sheet of a piece, with the examination at `index`, or the piece alone.
    pub fn filled(&self, number: &str, index: Option<usize>) -> String {
        sheet::filled(&self.catalogue.piece(number).expect("the piece is there"), index)
    }

    /// What the check finds in a copy of a catalogue's database after somebody changed it with these statements.
    pub fn found_in(folder: &Path, tampering: &str) -> Vec<String> {
        let copy = tempfile::tempdir().expect("a temporary folder");
        let catalogue = Catalogue::open(folder, clock()).expect("opens");
        catalogue.copy_database(&copy.path().join("catalogue.sqlite"), &mut |_, _| ()).expect("copied");
        let sql = Tables::open(copy.path());
        sql.run("PRAGMA foreign_keys = OFF");
        sql.run(tampering);
        drop(sql);
        let catalogue = Catalogue::open(copy.path(), clock()).expect("it still opens");
        catalogue.check().expect("the check runs").into_iter().map(|f| f.what).collect()
    }

    /// Fails if the catalogue's own check finds anything.
    pub fn is_sound(&self) {
        let findings = self.catalogue.check().expect("the check runs");
        assert!(findings.is_empty(), "the check finds {findings:#?}");
    }
}

/// Added, corrected, unchanged.
pub fn counts(entered: &Entered) -> (u32, u32, u32) {
    (entered.added, entered.corrected, entered.unchanged)
}
