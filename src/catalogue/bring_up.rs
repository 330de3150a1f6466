//! An older catalogue is brought up to date: a copy first, then all steps or none, by one program at a time.

use std::io::ErrorKind;
use std::path::{Path, PathBuf};
use std::time::Duration;

use rusqlite::{Connection, TransactionBehavior};
use tempfile::TempPath;

use super::open::{DIGESTS, PAGE, READ_ME_FIRST, SCHEMA_VERSION, UNFINISHED_ENDING, connect, recognised};
use super::{Clock, Fault, Result, consents, copy, io, journal};
use crate::photograph::fixity::sha256_of_file;

/// How long whoever opens a catalogue waits for another who brings it up to date.
pub(super) const PATIENCE: Duration = Duration::from_secs(120);

/// An older catalogue that was brought up to date.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BroughtUp {
    /// The schema that it had.
    pub from: i64,
    /// The catalogue as it was before.
    pub copy: PathBuf,
}

/// Brings the database at `path` up to date by these steps, if it is older and can be written.
pub(super) fn bring_up(path: &Path, db: &mut Connection, clock: Clock, steps: &[&[&str]]) -> Result<Option<BroughtUp>> {
    // What cannot be written is read as it is; a table that a later step would bring counts as empty.
    if db.is_readonly(rusqlite::MAIN_DB).unwrap_or(false) {
        return Ok(None);
    }
    let found = version(db)?;
    if found >= SCHEMA_VERSION {
        return Ok(None);
    }
    let left = |why: Fault| Fault::NotBroughtUp { path: path.into(), found, known: SCHEMA_VERSION, why: Box::new(why) };
    // The right to write is the lock: whoever has it makes the copy as well, and all others wait before they look again.
    let whole = db.transaction_with_behavior(TransactionBehavior::Immediate).map_err(|e| left(e.into()))?;
    recognised(&whole, path)?;
    let from = version(&whole)?;
    if from >= SCHEMA_VERSION {
        return Ok(None);
    }
    let copy = Copy::made(path, from).map_err(left)?;
    let done = run(&whole, clock, steps).and_then(|()| Ok(whole.execute_batch("COMMIT")?));
    if let Err(why) = done {
        copy.take_back(&whole, from);
        return Err(left(why));
    }
    drop(whole);
    // A step that makes a table anew leaves as much unused; where there is no room to write the file anew, it stays so.
    let _ = db.execute_batch("VACUUM");
    let page = path.with_file_name(PAGE);
    std::fs::write(&page, READ_ME_FIRST).map_err(io("write", &page))?;
    Ok(Some(BroughtUp { from, copy: copy.place }))
}

/// The catalogue as it was, kept beside it.
struct Copy {
    place: PathBuf,
    /// Whether it was made now; if not, just the same lay there already.
    new: bool,
}

impl Copy {
    /// Copies the database, whose right to write another connection has, and gives the copy a name that nothing has.
    fn made(path: &Path, from: i64) -> Result<Self> {
        let name = |number: u32| {
            let number = if number > 1 { format!("-{number}") } else { String::new() };
            path.with_file_name(format!("catalogue.schema-{from}{number}.sqlite"))
        };
        let unfinished = path.with_file_name(format!("catalogue.schema-{from}.sqlite{UNFINISHED_ENDING}"));
        // It goes with this value, unless it gets its name.
        let unfinished = TempPath::try_from_path(&unfinished).map_err(io("write", unfinished))?;
        copy::database(&connect(path)?, &unfinished, &mut |_, _| ())?;
        let mut number = 1;
        loop {
            let place = name(number);
            match std::fs::symlink_metadata(&place) {
                Err(e) if e.kind() == ErrorKind::NotFound => {
                    unfinished.persist(&place).map_err(|e| io("name", &place)(e.error))?;
                    return Ok(Self { place, new: true });
                }
                Ok(there) if there.is_file() => {
                    let sum = |file: &Path| sha256_of_file(file).map_err(io("read", file));
                    if sum(&place)? == sum(&unfinished)? {
                        return Ok(Self { place, new: false });
                    }
                }
                other => return Err(io("name", place)(other.err().unwrap_or(ErrorKind::AlreadyExists.into()))),
            }
            number += 1;
        }
    }

    /// Takes the copy back: the catalogue is as it was, and needs none.
    fn take_back(self, whole: &Connection, from: i64) {
        // After some faults SQLite has let go of the right to write. Another program may have come to it since, and may go
        // by this copy.
        let ours = !whole.is_autocommit()
            || (whole.execute_batch("BEGIN IMMEDIATE").is_ok() && version(whole).is_ok_and(|now| now == from));
        if self.new && ours {
            let _ = std::fs::remove_file(&self.place);
        }
    }
}

fn version(db: &Connection) -> Result<i64> {
    Ok(db.pragma_query_value(None, "user_version", |r| r.get(0))?)
}

/// Runs the steps that a file which nobody else knows has not had, in one transaction.
pub(super) fn upgrade(db: &mut Connection, clock: Clock, steps: &[&[&str]]) -> Result<()> {
    let whole = db.transaction_with_behavior(TransactionBehavior::Immediate)?;
    run(&whole, clock, steps)?;
    Ok(whole.commit()?)
}

fn run(whole: &Connection, clock: Clock, steps: &[&[&str]]) -> Result<()> {
    let had = usize::try_from(version(whole)?).unwrap_or(0);
    for (number, parts) in (1i64..).zip(steps).skip(had) {
        step(whole, clock, number, parts).map_err(|why| Fault::AtStep { step: number, why: Box::new(why) })?;
    }
    Ok(())
}

/// One step, with what SQL alone cannot work out.
fn step(db: &Connection, clock: Clock, number: i64, parts: &[&str]) -> Result<()> {
    for part in parts {
        db.execute_batch(part)?;
    }
    if number == consents::SINCE {
        consents::seal_older(db, clock)?;
    }
    if parts.contains(&DIGESTS) {
        journal::cover_older(db, clock)?;
    }
    Ok(db.pragma_update(None, "user_version", number)?)
}

#[cfg(test)]
mod tests {
    use jiff::Timestamp;

    use super::*;
    use crate::catalogue::open::STEPS;
    use crate::catalogue::{Catalogue, FILE};

    #[test]
    fn a_step_that_fails_midway_leaves_the_old_file_and_all_beside_it_as_it_was() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join(FILE);
        std::fs::copy(Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/older/schema-5.sqlite"), &path)
            .expect("copied");
        let before = std::fs::read(&path).expect("reads");
        let broken = "CREATE TABLE half (x); INSERT INTO half VALUES (1); ALTER TABLE piece ADD COLUMN half TEXT;
                      UPDATE piece SET half = 'x', title = NULL; SELECT * FROM nowhere;";
        let broken = [broken];
        let steps: Vec<&[&str]> = STEPS[..9].iter().copied().chain([&broken[..]]).collect();
        let clock = Clock::Fixed(Timestamp::UNIX_EPOCH);
        let open = || Connection::open(&path).expect("opens");
        let names = || {
            let entries = std::fs::read_dir(folder.path()).expect("reads");
            let mut names: Vec<_> = entries.map(|e| e.expect("an entry").file_name()).collect();
            names.sort();
            names
        };
        let fails = || {
            let mut db = open();
            let fault = bring_up(&path, &mut db, clock, &steps).expect_err("the last step is broken");
            let words = fault.to_string();
            assert!(
                words.contains("has schema 5 and could not be brought up") && words.contains("it was left as it was"),
                "{words}"
            );
            drop(db);
            assert_eq!(std::fs::read(&path).expect("reads"), before, "not a byte is other than before");
        };
        fails();
        assert_eq!(names(), [FILE], "no copy is needed");

        // What lies where the copy would is no copy of this program, and stays whatever happens.
        let letter = folder.path().join("catalogue.schema-5.sqlite");
        std::fs::write(&letter, "mine").expect("written");
        fails();
        assert_eq!(names(), ["catalogue.schema-5.sqlite", FILE]);
        let done = bring_up(&path, &mut open(), clock, STEPS).expect("brought up").expect("it was older");
        assert!(done.copy.ends_with("catalogue.schema-5-2.sqlite"), "{}", done.copy.display());
        assert_eq!(std::fs::read(&letter).expect("reads"), b"mine");
        assert!(Catalogue::open(folder.path(), clock).expect("opens").check().expect("checks").is_empty());

        // The same copy, as a kill between copy and steps leaves it, is not made twice, and stays as well.
        std::fs::write(&path, &before).expect("written");
        fails();
        assert_eq!(names(), ["READ-ME-FIRST.txt", "catalogue.schema-5-2.sqlite", "catalogue.schema-5.sqlite", FILE]);
        let again = bring_up(&path, &mut open(), clock, STEPS).expect("brought up").expect("it was older");
        assert_eq!(again, done);
    }
}
