//! The one door to the database file: make, open, upgrade, refuse.

use std::path::Path;

use jiff::Timestamp;
use rusqlite::{Connection, ErrorCode, OpenFlags};

use super::{Catalogue, Fault, Result, consents, io};
use crate::vocabulary::Vocabulary;

/// The database file in a catalogue's folder.
pub const FILE: &str = "catalogue.sqlite";

/// `DMTY`, written into the file's header so that the program knows its own.
pub const APPLICATION_ID: i64 = 0x444d_5459;

/// Numbered steps, each run once in its own transaction; a step is never edited after it has shipped.
const STEPS: &[&[&str]] = &[
    &[include_str!("../../schema/0001_catalogue.sql"), include_str!("../../schema/0001_views.sql")],
    &[include_str!("../../schema/0002_dating_convention.sql")],
    &[include_str!("../../schema/0003_cloth.sql")],
    &[include_str!("../../schema/0004_light.sql")],
    &[include_str!("../../schema/0005_measurement.sql")],
    &[include_str!("../../schema/0006_scale.sql")],
    &[include_str!("../../schema/0007_target.sql")],
    &[include_str!("../../schema/0008_collection.sql")],
    &[include_str!("../../schema/0009_treatment.sql")],
    &[include_str!("../../schema/0010_care.sql")],
    &[include_str!("../../schema/0011_seal.sql")],
    &[include_str!("../../schema/0012_registration.sql")],
    &[include_str!("../../schema/0013_comparison.sql")],
    &[include_str!("../../schema/0014_finding.sql")],
    &[include_str!("../../schema/0015_effort.sql")],
    &[include_str!("../../schema/0016_accounts.sql")],
];

/// The newest schema version that this program knows.
pub const SCHEMA_VERSION: i64 = STEPS.len() as i64;

/// The page that explains the folder.
const PAGE: &str = "READ-ME-FIRST.txt";

/// The database while it is being made.
const UNFINISHED: &str = "catalogue.sqlite.unfinished";

const READ_ME_FIRST: &str = include_str!("../../schema/READ-ME-FIRST.txt");

/// Where the time of a journal row comes from.
#[derive(Debug, Clone, Copy)]
pub enum Clock {
    /// The machine's clock.
    System,
    /// Always the same moment, so that a test or the demo can be repeated.
    Fixed(Timestamp),
}

impl Clock {
    /// The time now, by this clock.
    pub fn now(self) -> Timestamp {
        match self {
            Self::System => Timestamp::now(),
            Self::Fixed(at) => at,
        }
    }
}

impl Catalogue {
    /// Makes an empty catalogue in a new or empty folder. The database gets its name only when it is whole, so that a
    /// kill on the way leaves a folder in which it can be made again.
    ///
    /// # Errors
    /// [`Fault::NotEmpty`] if the folder holds anything, or if it cannot be written.
    pub fn create(folder: &Path, clock: Clock) -> Result<Self> {
        let left_over = |name: &str| name == PAGE || name.starts_with(UNFINISHED);
        let taken = std::fs::read_dir(folder)
            .is_ok_and(|entries| entries.flatten().any(|e| !e.file_name().to_str().is_some_and(left_over)));
        if taken || folder.is_file() {
            return Err(Fault::NotEmpty(folder.into()));
        }
        std::fs::create_dir_all(folder).map_err(io("make the folder", folder))?;
        let unfinished = folder.join(UNFINISHED);
        for ending in ["", "-journal"] {
            let _ = std::fs::remove_file(folder.join(format!("{UNFINISHED}{ending}")));
        }
        let page = folder.join(PAGE);
        std::fs::write(&page, READ_ME_FIRST).map_err(io("write", &page))?;
        let flags = OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_CREATE;
        let mut db = Connection::open_with_flags(&unfinished, flags)?;
        db.pragma_update(None, "application_id", APPLICATION_ID)?;
        db.pragma_update(None, "synchronous", "FULL")?;
        upgrade(&mut db, clock)?;
        db.close().map_err(|(_, e)| e)?;
        let path = folder.join(FILE);
        std::fs::rename(&unfinished, &path).map_err(io("name", path))?;
        Self::open(folder, clock)
    }

    /// Opens the catalogue in a folder, bringing an older one up to date.
    ///
    /// # Errors
    /// If there is none, if it is foreign or damaged, or if a newer program wrote it. It is never replaced.
    pub fn open(folder: &Path, clock: Clock) -> Result<Self> {
        let path = folder.join(FILE);
        if !path.is_file() {
            return Err(Fault::NoCatalogue(folder.into()));
        }
        let db = connect(&path)?;
        let damaged = |e: rusqlite::Error| match e.sqlite_error_code() {
            // A full or failing disk says nothing against the file.
            Some(ErrorCode::SystemIoFailure | ErrorCode::DiskFull) => Fault::Database(e),
            _ => Fault::Damaged { path: path.clone(), why: e.to_string() },
        };
        let id: i64 = db.pragma_query_value(None, "application_id", |r| r.get(0)).map_err(damaged)?;
        let version: i64 = db.pragma_query_value(None, "user_version", |r| r.get(0)).map_err(damaged)?;
        if id != APPLICATION_ID {
            return Err(Fault::Foreign(path));
        }
        if version > SCHEMA_VERSION {
            return Err(Fault::Newer { found: version, known: SCHEMA_VERSION });
        }
        Self::finish(folder, db, clock)
    }

    /// Whether the file has this table; one that could not be brought up to date may lack it.
    pub(super) fn has_table(&self, name: &str) -> Result<bool> {
        let sql = "SELECT count(*) FROM sqlite_master WHERE type = 'table' AND name = ?";
        let tables: i64 = self.db.prepare_cached(sql)?.query_row([name], |r| r.get(0))?;
        Ok(tables > 0)
    }

    fn finish(folder: &Path, mut db: Connection, clock: Clock) -> Result<Self> {
        prepare(&db)?;
        upgrade(&mut db, clock)?;
        let mut catalogue = Self { folder: folder.into(), db, vocabulary: Vocabulary::shipped().clone(), clock };
        catalogue.load_terms()?;
        catalogue.see_to_index()?;
        Ok(catalogue)
    }
}

/// Opens the file for writing; where file or folder is read-only, for reading alone.
fn connect(path: &Path) -> Result<Connection> {
    let db = Connection::open_with_flags(path, OpenFlags::SQLITE_OPEN_READ_WRITE)?;
    let first_look = db.query_row("SELECT count(*) FROM sqlite_master", [], |r| r.get::<_, i64>(0));
    let code = first_look.err().and_then(|e| e.sqlite_error_code());
    if !matches!(code, Some(ErrorCode::CannotOpen | ErrorCode::ReadOnly)) {
        return Ok(db);
    }
    // What was written last may still lie beside the database; read without it, the catalogue would be older than it is.
    let mut beside = path.as_os_str().to_owned();
    beside.push("-wal");
    if std::fs::metadata(&beside).is_ok_and(|file| file.len() > 0) {
        return Err(Fault::Refused(format!(
            "`{}` holds changes that are not in the database yet, and nothing can be written here; copy the whole \
             folder to a place that can be written, and open it there",
            Path::new(&beside).display()
        )));
    }
    // In WAL mode a reader wants to make files beside the database. Where it may not (a disc, a write-protected card),
    // nobody else can write either, so the file can be read as it lies.
    let escaped: String = path.to_string_lossy().chars().fold(String::new(), |mut name, c| {
        match c {
            '?' => name.push_str("%3f"),
            '#' => name.push_str("%23"),
            '%' => name.push_str("%25"),
            c => name.push(c),
        }
        name
    });
    let flags = OpenFlags::SQLITE_OPEN_READ_ONLY | OpenFlags::SQLITE_OPEN_URI;
    Ok(Connection::open_with_flags(format!("file:{escaped}?immutable=1"), flags)?)
}

fn prepare(db: &Connection) -> Result<()> {
    // Readers go on while one writes, and a kill leaves the old or the new state. A read-only folder cannot switch
    // modes; reading works there all the same.
    let _ = db.pragma_update(None, "journal_mode", "WAL");
    // An acknowledged entry survives a power cut.
    db.pragma_update(None, "synchronous", "FULL")?;
    // SQLite leaves foreign keys off unless asked.
    db.pragma_update(None, "foreign_keys", true)?;
    // A second writer waits a little before it is told.
    db.busy_timeout(std::time::Duration::from_secs(5))?;
    db.set_prepared_statement_cache_capacity(256);
    Ok(())
}

/// Runs the steps that the file has not had, each whole or not at all.
fn upgrade(db: &mut Connection, clock: Clock) -> Result<()> {
    // What cannot be written is read as it is; a table that a later step would bring counts as empty.
    if db.is_readonly(rusqlite::MAIN_DB).unwrap_or(false) {
        return Ok(());
    }
    let version: i64 = db.pragma_query_value(None, "user_version", |r| r.get(0))?;
    for (number, parts) in (1i64..).zip(STEPS).skip(usize::try_from(version).unwrap_or(0)) {
        let step = db.transaction()?;
        for part in *parts {
            step.execute_batch(part)?;
        }
        if number == consents::SINCE {
            consents::seal_older(&step, clock)?;
        }
        step.pragma_update(None, "user_version", number)?;
        step.commit()?;
    }
    Ok(())
}
