//! What all pages share: the catalogue by a few readers and one writer, the photographs, the people at the door.

use std::net::SocketAddr;
use std::path::{Path, PathBuf};
use std::sync::Mutex;

use tokio::sync::Semaphore;

use super::fault::Wrong;
use super::sessions::{Secret, Sessions};
use super::slowing::Slowing;
use crate::catalogue::{Catalogue, Clock};
use crate::photograph::Store;
use crate::record::account::Role;

/// How people come in.
#[derive(Debug)]
pub enum Entrance {
    /// By a link with a secret that only the terminal shows. Loopback alone does not keep others out: every program and
    /// every person on the machine can reach it, and so can a page in the browser that guesses the port.
    Link {
        /// The secret.
        key: Secret,
        /// The name that the journal is given, if the command line said it.
        by: Option<String>,
    },
    /// By name and password.
    Accounts,
}

/// How the workbench is opened.
#[derive(Debug)]
pub struct Opening {
    /// The catalogue's folder.
    pub folder: PathBuf,
    /// Where the time comes from.
    pub clock: Clock,
    /// Where it listens.
    pub listen: SocketAddr,
    /// The address by which people reach it, where that is another: `https://store.example`.
    pub address: Option<String>,
    /// How people come in.
    pub entrance: Entrance,
}

/// What all pages share.
pub struct Desk {
    pub(super) folder: PathBuf,
    pub(super) clock: Clock,
    pub(super) store: Store,
    pub(super) listen: SocketAddr,
    pub(super) address: Option<String>,
    pub(super) entrance: Entrance,
    pub(super) sessions: Sessions,
    pub(super) slowing: Slowing,
    /// Passwords are hashed one at a time: each takes 19 MiB and a core.
    pub(super) hashing: Semaphore,
    /// So many photographs come in at once.
    pub(super) receiving: Semaphore,
    /// One photograph is taken in at a time: it is decoded in memory.
    pub(super) ingesting: Semaphore,
    pub(super) overlays: super::overlay::Overlays,
    readers: Mutex<Vec<Reader>>,
    reading: Semaphore,
    writer: tokio::sync::Mutex<Option<Catalogue>>,
}

/// One connection for reading, and what it had seen of others' writing.
struct Reader {
    catalogue: Catalogue,
    seen: i64,
}

impl Desk {
    /// Opens the catalogue once, so that what is wrong with it is said before anyone comes.
    ///
    /// # Errors
    /// If the catalogue cannot be opened.
    pub fn open(opening: Opening) -> crate::catalogue::Result<Self> {
        let catalogue = Catalogue::open(&opening.folder, opening.clock)?;
        let seen = catalogue.seen()?;
        let cores = std::thread::available_parallelism().map_or(2, std::num::NonZero::get);
        Ok(Self {
            store: Store::at(&opening.folder),
            folder: opening.folder,
            clock: opening.clock,
            listen: opening.listen,
            address: opening.address,
            entrance: opening.entrance,
            sessions: Sessions::default(),
            slowing: Slowing::default(),
            hashing: Semaphore::new(1),
            receiving: Semaphore::new(4),
            ingesting: Semaphore::new(1),
            overlays: super::overlay::Overlays::default(),
            readers: Mutex::new(vec![Reader { catalogue, seen }]),
            reading: Semaphore::new(cores + 2),
            writer: tokio::sync::Mutex::new(None),
        })
    }

    /// The folder of the catalogue.
    pub fn folder(&self) -> &Path {
        &self.folder
    }

    /// Today, where the machine is.
    pub fn today(&self) -> jiff::civil::Date {
        self.clock.now().to_zoned_datetime(jiff::tz::TimeZone::system()).date()
    }

    /// Whether people sign in with name and password.
    pub fn has_accounts(&self) -> bool {
        matches!(self.entrance, Entrance::Accounts)
    }

    /// What someone may do who came by the link: everything, for the machine is theirs.
    pub(super) fn role_by_link() -> Role {
        Role::Keep
    }
}

/// Reads the catalogue away from the threads that serve requests, by one of a few connections.
pub(super) async fn read<T: Send + 'static>(
    desk: &std::sync::Arc<Desk>,
    work: impl FnOnce(&Catalogue) -> Result<T, Wrong> + Send + 'static,
) -> Result<T, Wrong> {
    let Ok(_turn) = desk.reading.acquire().await else { return Err(Wrong::closing()) };
    let desk = desk.clone();
    let done = tokio::task::spawn_blocking(move || {
        let idle = desk.readers.lock().ok().and_then(|mut idle| idle.pop());
        let mut reader = match idle {
            Some(reader) => reader,
            None => {
                let catalogue = Catalogue::open(&desk.folder, desk.clock)?;
                Reader { seen: catalogue.seen()?, catalogue }
            }
        };
        // Another connection, or the command line, may have added a term.
        let seen = reader.catalogue.seen()?;
        if seen != reader.seen {
            reader.catalogue.refresh_terms()?;
            reader.seen = seen;
        }
        let answer = work(&reader.catalogue);
        if let Ok(mut idle) = desk.readers.lock() {
            idle.push(reader);
        }
        answer
    });
    done.await.map_err(|_| Wrong::broken())?
}

/// Writes to the catalogue, one request at a time.
pub(super) async fn write<T: Send + 'static>(
    desk: &std::sync::Arc<Desk>,
    work: impl FnOnce(&mut Catalogue) -> Result<T, Wrong> + Send + 'static,
) -> Result<T, Wrong> {
    let mut held = desk.writer.lock().await;
    let known = held.take();
    let (folder, clock) = (desk.folder.clone(), desk.clock);
    let done = tokio::task::spawn_blocking(move || {
        let mut catalogue = match known {
            Some(mut catalogue) => {
                catalogue.refresh_terms()?;
                catalogue
            }
            None => Catalogue::open(&folder, clock)?,
        };
        let answer = work(&mut catalogue);
        Ok::<_, Wrong>((catalogue, answer))
    });
    let (catalogue, answer) = done.await.map_err(|_| Wrong::broken())??;
    *held = Some(catalogue);
    answer
}
