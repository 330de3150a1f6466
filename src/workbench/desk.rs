//! What all pages share: the catalogue by a few readers and one writer, the photographs, the people at the door.

use std::net::SocketAddr;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex};

use tokio::sync::{OwnedSemaphorePermit, Semaphore};

use super::fault::Wrong;
use super::serve::Patience;
use super::sessions::{Secret, Sessions};
use super::slowing::Slowing;
use super::works::Works;
use crate::catalogue::{Catalogue, Clock, Recall};
use crate::photograph::Store;
use crate::query::Query;
use crate::record::account::Role;

/// How people come in.
#[derive(Debug)]
pub enum Entrance {
    /// By a link with a secret that only the terminal shows. Loopback alone does not keep others out: every program and
    /// every person on the machine can reach it, and so can a page in the browser that guesses the port.
    /// It is kept nowhere, so that each run has another: in the catalogue's folder it would go with every backup.
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
    /// The folder for backups that whoever started it named.
    pub backup: Option<PathBuf>,
    /// How long is waited for those who are slow.
    pub patience: Patience,
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
    pub(super) hashing: Turns,
    /// So many photographs come in at once.
    pub(super) receiving: Turns,
    /// One photograph is decoded at a time, to be taken in or read: it stands in memory whole.
    pub(super) decoding: Turns,
    /// So many exports are carried away at once.
    pub(super) packing: Turns,
    pub(super) overlays: super::overlay::Overlays,
    /// The old list that was read last.
    pub(super) old_list: super::import::LastRead,
    pub(super) works: Works,
    /// The folder for backups that whoever started it named.
    pub(super) backup: Option<PathBuf>,
    pub(super) patience: Patience,
    readers: Mutex<Vec<Reader>>,
    /// What one reader has found, the others need not look for.
    recall: Recall,
    reading: Turns,
    /// Whether what most pages count is about to be counted anyhow.
    counting: AtomicBool,
    writer: Arc<tokio::sync::Mutex<Option<Catalogue>>>,
}

/// So many may be at something at once; the others wait.
pub(super) struct Turns(Arc<Semaphore>);

/// One of them; the next begins when it is dropped.
pub(super) type Turn = OwnedSemaphorePermit;

impl Turns {
    fn of(many: usize) -> Self {
        Self(Arc::new(Semaphore::new(many)))
    }

    /// Waits for a turn. It goes with the work, not with the request: whoever asked may be gone before the work ends.
    pub(super) async fn turn(&self) -> Result<Turn, Wrong> {
        self.0.clone().acquire_owned().await.map_err(|_| Wrong::closing())
    }
}

/// Works away from the threads that serve requests. The turn ends when the work does, even if nobody waits for it any more:
/// work once begun is not stopped by a browser that goes away.
pub(super) async fn work<T: Send + 'static>(turn: Turn, work: impl FnOnce() -> T + Send + 'static) -> Result<T, Wrong> {
    let done = tokio::task::spawn_blocking(move || {
        let _turn = turn;
        work()
    });
    done.await.map_err(|_| Wrong::broken())
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
        let recall = Recall::default();
        let catalogue = Catalogue::open(&opening.folder, opening.clock)?.sharing(&recall);
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
            hashing: Turns::of(1),
            receiving: Turns::of(4),
            decoding: Turns::of(1),
            packing: Turns::of(2),
            overlays: super::overlay::Overlays::default(),
            old_list: super::import::LastRead::default(),
            works: Works::default(),
            backup: opening.backup,
            patience: opening.patience,
            readers: Mutex::new(vec![Reader { catalogue, seen }]),
            recall,
            reading: Turns::of(cores + 2),
            counting: AtomicBool::new(false),
            writer: Arc::default(),
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
    desk: &Arc<Desk>,
    ask: impl FnOnce(&Catalogue) -> Result<T, Wrong> + Send + 'static,
) -> Result<T, Wrong> {
    let turn = desk.reading.turn().await?;
    let desk = desk.clone();
    work(turn, move || {
        let idle = desk.readers.lock().ok().and_then(|mut idle| idle.pop());
        let mut reader = match idle {
            Some(reader) => reader,
            None => {
                let catalogue = Catalogue::open(&desk.folder, desk.clock)?.sharing(&desk.recall);
                Reader { seen: catalogue.seen()?, catalogue }
            }
        };
        // Another connection, or the command line, may have added a term.
        let seen = reader.catalogue.seen()?;
        if seen != reader.seen {
            reader.catalogue.refresh_terms()?;
            reader.seen = seen;
        }
        let answer = reader.catalogue.at_once(|| ask(&reader.catalogue));
        if let Ok(mut idle) = desk.readers.lock() {
            idle.push(reader);
        }
        answer
    })
    .await?
}

/// Writes to the catalogue, one request at a time.
pub(super) async fn write<T: Send + 'static>(
    desk: &Arc<Desk>,
    put: impl FnOnce(&mut Catalogue) -> Result<T, Wrong> + Send + 'static,
) -> Result<T, Wrong> {
    let mut held = desk.writer.clone().lock_owned().await;
    let (folder, clock, recall) = (desk.folder.clone(), desk.clock, desk.recall.clone());
    let done = tokio::task::spawn_blocking(move || {
        // Taken out, so that a connection on which something broke is never used again.
        let mut catalogue = match held.take() {
            Some(mut catalogue) => {
                catalogue.refresh_terms()?;
                catalogue
            }
            None => Catalogue::open(&folder, clock)?.sharing(&recall),
        };
        let answer = put(&mut catalogue);
        *held = Some(catalogue);
        answer
    });
    let answer = done.await.map_err(|_| Wrong::broken())?;
    count_anew(desk);
    answer
}

/// Counts the whole collection for the shelf of filters, after it changed and when the workbench opens, so that whoever comes
/// next need not wait for it. Changes that follow one another closely are counted once.
pub(super) fn count_anew(desk: &Arc<Desk>) {
    if desk.counting.swap(true, Ordering::AcqRel) {
        return;
    }
    let desk = desk.clone();
    tokio::spawn(async move {
        let counted = read(&desk, |catalogue| Ok(catalogue.facets(&Query::default()).map(drop)?));
        // What is written from here on is not counted yet.
        desk.counting.store(false, Ordering::Release);
        // A page that needs the counts says what is wrong with them.
        let _ = counted.await;
    });
}

#[cfg(test)]
mod tests {
    use std::sync::atomic::{AtomicUsize, Ordering};
    use std::sync::mpsc;
    use std::time::Duration;

    use super::*;

    fn desk(folder: &Path) -> Arc<Desk> {
        let clock = Clock::Fixed("2031-05-01T09:30:00Z".parse().expect("a moment"));
        Catalogue::create(folder, clock).expect("a new catalogue");
        let listen = "127.0.0.1:0".parse().expect("an address");
        let (folder, address) = (folder.to_owned(), None);
        let (entrance, patience) = (Entrance::Accounts, Patience::default());
        let opening = Opening { folder, clock, listen, address, entrance, backup: None, patience };
        Arc::new(Desk::open(opening).expect("the workbench opens"))
    }

    /// Begins work that lasts until it is let go, and leaves before it ends, as a browser does that goes away.
    macro_rules! left_early {
        ($begun:expr, $work:expr) => {{
            let working = tokio::spawn($work);
            $begun.recv_timeout(Duration::from_secs(20)).expect("the work begins");
            working.abort();
            let _ = working.await;
        }};
    }

    #[tokio::test(flavor = "multi_thread", worker_threads = 2)]
    async fn a_turn_lasts_as_long_as_the_work_even_if_nobody_waits_for_it() {
        let room = tempfile::tempdir().expect("a temporary folder");
        let desk = desk(room.path());
        let (tell, begun) = mpsc::channel();
        let (go, wait) = mpsc::channel::<()>();
        let of_desk = desk.clone();
        left_early!(begun, async move {
            let turn = of_desk.hashing.turn().await?;
            work(turn, move || {
                let _ = tell.send(());
                let _ = wait.recv();
            })
            .await
        });
        assert_eq!(desk.hashing.0.available_permits(), 0, "the work that was left is still at it");
        drop(go);
        drop(desk.hashing.turn().await.expect("its turn is over once it ended"));
    }

    #[tokio::test(flavor = "multi_thread", worker_threads = 2)]
    async fn readers_that_were_left_count_and_a_writer_that_was_left_is_waited_for() {
        let room = tempfile::tempdir().expect("a temporary folder");
        let desk = desk(room.path());
        let many = desk.reading.0.available_permits();
        let (tell, begun) = mpsc::channel();
        let (go, wait) = mpsc::channel::<()>();
        let wait = Arc::new(Mutex::new(wait));
        for _ in 0..many {
            let (of_desk, tell, wait) = (desk.clone(), tell.clone(), wait.clone());
            left_early!(begun, async move {
                read(&of_desk, move |_| {
                    let _ = tell.send(());
                    let _ = wait.lock().map(|wait| wait.recv());
                    Ok(())
                })
                .await
            });
        }
        assert_eq!(desk.reading.0.available_permits(), 0, "all {many} are still reading");
        let writing = Arc::new(AtomicUsize::new(0));
        let (of_desk, at, waits) = (desk.clone(), writing.clone(), wait.clone());
        left_early!(begun, async move {
            write(&of_desk, move |_| {
                at.fetch_add(1, Ordering::SeqCst);
                let _ = tell.send(());
                let _ = waits.lock().map(|wait| wait.recv());
                at.fetch_sub(1, Ordering::SeqCst);
                Ok(())
            })
            .await
        });
        assert!(desk.writer.try_lock().is_err(), "the writer that was left is still at it");
        drop(go);
        let beside = write(&desk, move |_| Ok(writing.load(Ordering::SeqCst))).await.expect("written");
        assert_eq!(beside, 0, "two never write at once");
        assert!(desk.writer.lock().await.is_some(), "the connection is put back");
        read(&desk, |_| Ok(())).await.expect("read");
    }
}
