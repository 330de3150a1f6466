//! Whoever takes or sends a byte now and then holds nobody up: over each span of waiting a least number of bytes must move.

use std::io::{Error, ErrorKind};
use std::pin::Pin;
use std::task::{Context, Poll, ready};
use std::time::{Duration, Instant};

use tokio::io::{AsyncRead, AsyncWrite, ReadBuf};
use tokio::time::Sleep;

/// Bytes a second; the slowest telephone line brings more.
const LEAST: u64 = 1024;

/// What moved while somebody was waited for.
#[derive(Debug, Clone, Copy)]
pub(super) struct Pace {
    span: Duration,
    waited: Duration,
    bytes: u64,
}

impl Pace {
    /// Judged over spans of this length.
    pub(super) fn over(span: Duration) -> Self {
        Self { span, waited: Duration::ZERO, bytes: 0 }
    }

    /// So many bytes moved after so long a wait; whether that is too slow by now.
    pub(super) fn is_too_slow(&mut self, waited: Duration, bytes: u64) -> bool {
        self.waited += waited;
        self.bytes += bytes;
        if self.waited < self.span {
            return false;
        }
        // In parts of a second too, for whoever waits less than one.
        let least = u128::from(LEAST) * self.span.as_millis() / 1000;
        let slow = u128::from(self.bytes) < least.max(1);
        *self = Self::over(self.span);
        slow
    }

    fn left(&self) -> Duration {
        self.span.saturating_sub(self.waited)
    }
}

/// A stream whose reader is let go when it takes less than that. Time in which nothing is written does not count.
pub(super) struct Paced<S> {
    stream: S,
    pace: Pace,
    /// Since when the reader is waited for, and until when that may last.
    waiting: Option<(Instant, Pin<Box<Sleep>>)>,
}

impl<S> Paced<S> {
    /// With a reader who is judged over spans of this length.
    pub(super) fn new(stream: S, span: Duration) -> Self {
        Self { stream, pace: Pace::over(span), waiting: None }
    }

    /// What becomes of a write, by what the stream says of it.
    fn judged(&mut self, cx: &mut Context<'_>, written: Poll<Result<usize, Error>>) -> Poll<Result<usize, Error>> {
        let too_slow = || Poll::Ready(Err(Error::new(ErrorKind::TimedOut, "it is read too slowly")));
        let Poll::Pending = written else {
            let waited = self.waiting.take().map_or(Duration::ZERO, |(since, _)| since.elapsed());
            let bytes = match &written {
                Poll::Ready(Ok(bytes)) => *bytes as u64,
                _ => 0,
            };
            return if self.pace.is_too_slow(waited, bytes) { too_slow() } else { written };
        };
        loop {
            let left = self.pace.left();
            let (since, sleep) =
                self.waiting.get_or_insert_with(|| (Instant::now(), Box::pin(tokio::time::sleep(left))));
            ready!(sleep.as_mut().poll(cx));
            let waited = since.elapsed().max(left);
            self.waiting = None;
            if self.pace.is_too_slow(waited, 0) {
                return too_slow();
            }
        }
    }
}

impl<S: AsyncWrite + Unpin> AsyncWrite for Paced<S> {
    fn poll_write(mut self: Pin<&mut Self>, cx: &mut Context<'_>, bytes: &[u8]) -> Poll<Result<usize, Error>> {
        let written = Pin::new(&mut self.stream).poll_write(cx, bytes);
        self.judged(cx, written)
    }

    fn poll_write_vectored(
        mut self: Pin<&mut Self>,
        cx: &mut Context<'_>,
        bytes: &[std::io::IoSlice<'_>],
    ) -> Poll<Result<usize, Error>> {
        let written = Pin::new(&mut self.stream).poll_write_vectored(cx, bytes);
        self.judged(cx, written)
    }

    fn is_write_vectored(&self) -> bool {
        self.stream.is_write_vectored()
    }

    fn poll_flush(mut self: Pin<&mut Self>, cx: &mut Context<'_>) -> Poll<Result<(), Error>> {
        Pin::new(&mut self.stream).poll_flush(cx)
    }

    fn poll_shutdown(mut self: Pin<&mut Self>, cx: &mut Context<'_>) -> Poll<Result<(), Error>> {
        Pin::new(&mut self.stream).poll_shutdown(cx)
    }
}

impl<S: AsyncRead + Unpin> AsyncRead for Paced<S> {
    fn poll_read(mut self: Pin<&mut Self>, cx: &mut Context<'_>, into: &mut ReadBuf<'_>) -> Poll<Result<(), Error>> {
        Pin::new(&mut self.stream).poll_read(cx, into)
    }
}

#[cfg(test)]
mod tests {
    use tokio::io::{AsyncReadExt as _, AsyncWriteExt as _};

    use super::*;

    #[test]
    fn a_pace_is_judged_over_each_span_of_waiting() {
        let seconds = Duration::from_secs;
        // Each step is a wait and the bytes that then moved; 1024 bytes a second are 10,240 in a span of ten seconds.
        for (steps, slow) in [
            (vec![(9, 1)], false),
            (vec![(9, 1), (1, 1)], true),
            (vec![(5, 5_000), (5, 5_240)], false),
            (vec![(5, 5_000), (5, 5_239)], true),
            (vec![(0, 1); 1000], false),
            (vec![(10, 20_000), (10, 1)], true),
            (vec![(10, 20_000), (9, 1)], false),
        ] {
            let mut pace = Pace::over(seconds(10));
            let judged = steps.iter().map(|(wait, bytes)| pace.is_too_slow(seconds(*wait), *bytes)).last();
            assert_eq!(judged, Some(slow), "{steps:?}");
        }
    }

    #[tokio::test]
    async fn who_takes_a_byte_now_and_then_is_let_go_and_who_takes_all_is_not() {
        for byte_by_byte in [true, false] {
            let (ours, mut theirs) = tokio::io::duplex(64);
            let mut ours = Paced::new(ours, Duration::from_millis(300));
            let reading = tokio::spawn(async move {
                let mut taken = [0; 4096];
                let most = if byte_by_byte { 1 } else { taken.len() };
                while theirs.read(&mut taken[..most]).await.is_ok_and(|bytes| bytes > 0) {
                    if byte_by_byte {
                        tokio::time::sleep(Duration::from_millis(20)).await;
                    }
                }
            });
            let written = ours.write_all(&vec![7; 100_000]).await;
            assert_eq!(written.map_err(|e| e.kind()).err(), byte_by_byte.then_some(ErrorKind::TimedOut));
            drop(ours);
            reading.await.expect("the reader ends");
        }
    }
}
