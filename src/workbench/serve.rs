//! Listening: connections are counted, slow ones are let go, and the end is orderly.

use std::sync::Arc;
use std::time::Duration;

use hyper::server::conn::http1;
use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::server::graceful::GracefulShutdown;
use hyper_util::service::TowerToHyperService;
use tokio::net::TcpListener;
use tokio::sync::Semaphore;

use super::desk::Desk;
use super::pace::Paced;

/// How long is waited, and for how many.
#[derive(Debug, Clone, Copy)]
pub struct Patience {
    /// So many connections at once; a browser opens six.
    pub connections: usize,
    /// The head of a request arrives within this time; a kept connection is let go after as long without one.
    pub head: Duration,
    /// A request has been answered after so long, or is given up.
    pub answer: Duration,
    /// Whoever sends nothing of a body for so long, or a few bytes now and then, is given up.
    pub sending: Duration,
    /// A photograph, or a form with many of them, has come in and been stored after so long, or is given up.
    pub upload: Duration,
    /// Whoever takes nothing of an answer for so long, or a few bytes now and then, is let go.
    pub taking: Duration,
    /// Requests under way get so long to end when the program is asked to end.
    pub ending: Duration,
}

impl Default for Patience {
    fn default() -> Self {
        let seconds = Duration::from_secs;
        Self {
            connections: 256,
            head: seconds(30),
            answer: seconds(120),
            sending: seconds(20),
            upload: seconds(30 * 60),
            taking: seconds(30),
            ending: seconds(10),
        }
    }
}

/// Serves until the process is asked to end, then lets requests under way finish.
///
/// # Errors
/// If signals cannot be listened for.
pub async fn serve(listener: TcpListener, desk: Arc<Desk>) -> std::io::Result<()> {
    serve_until(listener, desk, end()?).await;
    Ok(())
}

/// Serves until `end` comes to its end.
pub async fn serve_until(listener: TcpListener, desk: Arc<Desk>, end: impl Future<Output = ()>) {
    let patience = desk.patience;
    super::desk::count_anew(&desk);
    let app = super::app(desk.clone());
    let mut end = std::pin::pin!(end);
    let turns = Arc::new(Semaphore::new(patience.connections));
    let graceful = GracefulShutdown::new();
    let mut server = http1::Builder::new();
    server.timer(TokioTimer::new()).header_read_timeout(patience.head).max_buf_size(64 * 1024);
    loop {
        let turn = tokio::select! {
            () = &mut end => break,
            turn = turns.clone().acquire_owned() => turn,
        };
        let (stream, _) = tokio::select! {
            () = &mut end => break,
            accepted = listener.accept() => match accepted {
                Ok(accepted) => accepted,
                // No file handles are left, or the peer went away: wait a little rather than spin.
                Err(_) => {
                    tokio::time::sleep(Duration::from_millis(50)).await;
                    continue;
                }
            },
        };
        let _ = stream.set_nodelay(true);
        let stream = Paced::new(stream, patience.taking);
        let service = TowerToHyperService::new(app.clone());
        let connection = server.serve_connection(TokioIo::new(stream), service);
        let connection = graceful.watch(connection);
        tokio::spawn(async move {
            let _turn = turn;
            // How a connection ends is the browser's affair.
            let _ = connection.await;
        });
    }
    drop(listener);
    // A long work stops before its next step, so that it can tidy up; what it leaves is whole even if it is killed.
    let closing = tokio::task::spawn_blocking(move || desk.works.close(patience.ending));
    let _ = tokio::time::timeout(patience.ending, graceful.shutdown()).await;
    let _ = closing.await;
}

/// Ends when the process is asked to: by the keyboard, by the system, by the closing of the terminal.
#[cfg(unix)]
fn end() -> std::io::Result<impl Future<Output = ()>> {
    use tokio::signal::unix::{SignalKind, signal};
    let mut interrupt = signal(SignalKind::interrupt())?;
    let mut terminate = signal(SignalKind::terminate())?;
    let mut hangup = signal(SignalKind::hangup())?;
    Ok(async move {
        tokio::select! {
            _ = interrupt.recv() => {}
            _ = terminate.recv() => {}
            _ = hangup.recv() => {}
        }
    })
}

#[cfg(not(unix))]
fn end() -> std::io::Result<impl Future<Output = ()>> {
    Ok(async {
        let _ = tokio::signal::ctrl_c().await;
    })
}
