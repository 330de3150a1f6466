//! The one door to the database file: make, open, upgrade, refuse.

use std::path::Path;
use std::time::Duration;

use jiff::Timestamp;
use rusqlite::config::DbConfig;
use rusqlite::{Connection, ErrorCode, OpenFlags};

use super::bring_up::{BroughtUp, PATIENCE, bring_up, upgrade};
use super::{Catalogue, Fault, Recall, Result, copy, io, once};
use crate::vocabulary::Vocabulary;

/// The database file in a catalogue's folder.
pub const FILE: &str = "catalogue.sqlite";

/// `DMTY`, written into the file's header so that the program knows its own.
pub const APPLICATION_ID: i64 = 0x444d_5459;

/// The step that has the journal cover digests; SQL alone cannot work them out.
pub(super) const DIGESTS: &str = include_str!("../../schema/0017_safekeeping.sql");

/// Numbered steps, each run once; a step is never edited after it has shipped.
pub(super) const STEPS: &[&[&str]] = &[
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
    &[DIGESTS],
    &[include_str!("../../schema/0018_rights.sql")],
    &[include_str!("../../schema/0019_source.sql")],
    &[include_str!("../../schema/0020_workbench.sql")],
    &[include_str!("../../schema/0021_links.sql")],
    &[include_str!("../../schema/0022_journal.sql"), include_str!("../../schema/0022_numbers.sql")],
    &[include_str!("../../schema/0023_finding.sql")],
    &[include_str!("../../schema/0024_taken_back.sql")],
];

/// The newest schema version that this program knows.
pub const SCHEMA_VERSION: i64 = STEPS.len() as i64;

/// A connection is never used by two threads at once, which the compiler sees to; it needs no locks of its own.
const ONE_THREAD: OpenFlags = OpenFlags::SQLITE_OPEN_NO_MUTEX;

/// How long a second writer waits before it is told.
const SECOND_WRITER: Duration = Duration::from_secs(5);

/// The page that explains the folder.
pub(super) const PAGE: &str = "READ-ME-FIRST.txt";

/// What a database is called behind its name while it is being made.
pub(crate) const UNFINISHED_ENDING: &str = ".unfinished";

pub(super) const READ_ME_FIRST: &str = include_str!("../../schema/READ-ME-FIRST.txt");

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
        let unfinished = format!("{FILE}{UNFINISHED_ENDING}");
        let left_over = |name: &str| name == PAGE || name.starts_with(&unfinished);
        let taken = std::fs::read_dir(folder)
            .is_ok_and(|entries| entries.flatten().any(|e| !e.file_name().to_str().is_some_and(left_over)));
        if taken || folder.is_file() {
            return Err(Fault::NotEmpty(folder.into()));
        }
        std::fs::create_dir_all(folder).map_err(io("make the folder", folder))?;
        let unfinished = folder.join(unfinished);
        copy::clear(&unfinished)?;
        let page = folder.join(PAGE);
        std::fs::write(&page, READ_ME_FIRST).map_err(io("write", &page))?;
        let flags = ONE_THREAD | OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_CREATE;
        let mut db = Connection::open_with_flags(&unfinished, flags)?;
        db.pragma_update(None, "application_id", APPLICATION_ID)?;
        db.pragma_update(None, "synchronous", "FULL")?;
        upgrade(&mut db, clock, STEPS)?;
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
        recognised(&db, &path)?;
        Self::finish(folder, db, clock)
    }

    /// Whether the file has this table; one that could not be brought up to date may lack it.
    pub(super) fn has_table(&self, name: &str) -> Result<bool> {
        let sql = "SELECT count(*) FROM sqlite_master WHERE type = 'table' AND name = ?";
        let tables: i64 = self.db.prepare_cached(sql)?.query_row([name], |r| r.get(0))?;
        Ok(tables > 0)
    }

    /// Opens a copy of a database for reading alone: nothing is written, neither into it nor beside it, and an older one
    /// is read as it is. Its photographs and sealed pages are looked for in its folder.
    ///
    /// # Errors
    /// If the file cannot be read, or is no catalogue.
    pub fn open_copy(path: &Path, clock: Clock) -> Result<Self> {
        let db = unchanging(path)?;
        recognised(&db, path)?;
        Self::finish(path.parent().unwrap_or(Path::new(".")), db, clock)
    }

    /// What opening the catalogue brought up to date, if it was older than the program.
    pub fn brought_up(&self) -> Option<&BroughtUp> {
        self.brought_up.as_ref()
    }

    fn finish(folder: &Path, mut db: Connection, clock: Clock) -> Result<Self> {
        prepare(&db)?;
        let brought_up = bring_up(&folder.join(FILE), &mut db, clock, STEPS)?;
        write_ahead(&db)?;
        let vocabulary = Vocabulary::shipped().clone();
        let mut catalogue =
            Self { folder: folder.into(), db, vocabulary, clock, brought_up, recall: Recall::default() };
        catalogue.load_terms()?;
        catalogue.see_to_index()?;
        catalogue.db.busy_timeout(SECOND_WRITER)?;
        Ok(catalogue)
    }

    /// Sees to the page that explains the folder: writes it anew where it is missing or not this program's. Says whether
    /// it was.
    ///
    /// # Errors
    /// If it cannot be written.
    pub fn see_to_page(&self) -> Result<bool> {
        let page = self.folder.join(PAGE);
        if std::fs::read(&page).is_ok_and(|there| there == READ_ME_FIRST.as_bytes()) {
            return Ok(false);
        }
        std::fs::write(&page, READ_ME_FIRST).map_err(io("write", &page))?;
        Ok(true)
    }

    /// What in the schema is other than the program makes it: the names of tables, views, indexes and triggers.
    pub(super) fn altered_schema(&self) -> Result<Vec<String>> {
        let version: i64 = self.db.pragma_query_value(None, "user_version", |r| r.get(0))?;
        let there = schema_of(&self.db)?;
        let ours = if version == SCHEMA_VERSION { todays_schema()?.clone() } else { made_schema(version)? };
        Ok(ours.symmetric_difference(&there).map(|(kind, name, ..)| format!("{kind} `{name}`")).collect())
    }
}

/// Refuses a file that is no catalogue of this program or an older one.
pub(super) fn recognised(db: &Connection, path: &Path) -> Result<()> {
    let damaged = |e: rusqlite::Error| match e.sqlite_error_code() {
        // A full or failing disk says nothing against the file, nor does another program that is writing.
        Some(
            ErrorCode::SystemIoFailure | ErrorCode::DiskFull | ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked,
        ) => Fault::Database(e),
        _ => Fault::Damaged { path: path.into(), why: e.to_string() },
    };
    let id: i64 = db.pragma_query_value(None, "application_id", |r| r.get(0)).map_err(damaged)?;
    let version: i64 = db.pragma_query_value(None, "user_version", |r| r.get(0)).map_err(damaged)?;
    if id != APPLICATION_ID {
        return Err(Fault::Foreign(path.into()));
    }
    if version > SCHEMA_VERSION {
        return Err(Fault::Newer { found: version, known: SCHEMA_VERSION });
    }
    Ok(())
}

/// The tables of today, empty, in memory.
pub(super) fn in_memory(clock: Clock) -> Result<Connection> {
    made_in_memory(clock, STEPS)
}

fn made_in_memory(clock: Clock, steps: &[&[&str]]) -> Result<Connection> {
    let mut db = Connection::open_in_memory()?;
    upgrade(&mut db, clock, steps)?;
    Ok(db)
}

/// Kind and name of everything in a schema, the table it is of, and its statement; what SQLite makes by itself has none.
type Schema = std::collections::BTreeSet<(String, String, String, Option<String>)>;

/// The schema of a version, as the program makes it.
fn made_schema(version: i64) -> Result<Schema> {
    let steps = STEPS.get(..usize::try_from(version).unwrap_or(0)).unwrap_or(STEPS);
    schema_of(&made_in_memory(Clock::System, steps)?)
}

/// The newest, made once.
fn todays_schema() -> Result<&'static Schema> {
    static MADE: std::sync::OnceLock<Schema> = std::sync::OnceLock::new();
    once(&MADE, || made_schema(SCHEMA_VERSION))
}

/// The statements that make the tables by which pieces are found, each table before its indexes.
pub(super) fn finding_tables() -> Result<Vec<&'static str>> {
    let finds = |name: &str| name == "words" || name.starts_with("found_");
    // By kind, `table` comes after `index`.
    let made = todays_schema()?.iter().rev().filter(|(_, name, ..)| finds(name));
    Ok(made.filter_map(|(.., sql)| sql.as_deref()).collect())
}

fn schema_of(db: &Connection) -> Result<Schema> {
    let mut statement = db.prepare_cached("SELECT type, name, tbl_name, sql FROM sqlite_master")?;
    let row = |r: &rusqlite::Row<'_>| Ok((r.get(0)?, r.get(1)?, r.get(2)?, r.get(3)?));
    Ok(statement.query_map([], row)?.collect::<std::result::Result<_, _>>()?)
}

/// Opens the file for writing; where file or folder is read-only, for reading alone.
pub(super) fn connect(path: &Path) -> Result<Connection> {
    let db = Connection::open_with_flags(path, ONE_THREAD | OpenFlags::SQLITE_OPEN_READ_WRITE)?;
    db.busy_timeout(PATIENCE)?;
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
    unchanging(path)
}

/// Opens a file that nobody writes to while it is read.
fn unchanging(path: &Path) -> Result<Connection> {
    let escaped: String = path.to_string_lossy().chars().fold(String::new(), |mut name, c| {
        match c {
            '?' => name.push_str("%3f"),
            '#' => name.push_str("%23"),
            '%' => name.push_str("%25"),
            c => name.push(c),
        }
        name
    });
    let flags = ONE_THREAD | OpenFlags::SQLITE_OPEN_READ_ONLY | OpenFlags::SQLITE_OPEN_URI;
    Ok(Connection::open_with_flags(format!("file:{escaped}?immutable=1"), flags)?)
}

/// Readers go on while one writes, and a kill leaves the old or the new state. It is written into the file, so an older one is
/// brought up first: what cannot be brought up stays as it was to the byte. A read-only folder cannot switch modes; reading
/// works there all the same.
fn write_ahead(db: &Connection) -> Result<()> {
    // Somebody who reads for long is not waited for: the mode is switched another time.
    db.busy_timeout(SECOND_WRITER)?;
    let _ = db.pragma_update(None, "journal_mode", "WAL");
    Ok(db.busy_timeout(PATIENCE)?)
}

fn prepare(db: &Connection) -> Result<()> {
    // An acknowledged entry survives a power cut.
    db.pragma_update(None, "synchronous", "FULL")?;
    // SQLite leaves foreign keys off unless asked.
    db.pragma_update(None, "foreign_keys", true)?;
    // The plan of a statement does not hang on the values that it is run with: else it would be planned anew for each.
    db.set_db_config(DbConfig::SQLITE_DBCONFIG_ENABLE_QPSG, true)?;
    // One for each set of columns that records fill, beside those that are asked.
    db.set_prepared_statement_cache_capacity(512);
    Ok(())
}
