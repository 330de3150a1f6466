//! Killing the program at random moments, as by `kill -9`.

use std::io::{BufRead, BufReader};
use std::process::Stdio;
use std::time::{Duration, Instant};

use super::Room;

/// How often each is killed: `DIMITY_KILLS` sets it; 250 before a release.
pub fn kills() -> u32 {
    std::env::var("DIMITY_KILLS").ok().and_then(|n| n.parse().ok()).unwrap_or(12)
}

/// Waits of uneven length up to `longest`, so that the kills fall everywhere.
pub fn wait(round: u32, longest: Duration) -> Duration {
    longest.mul_f64(f64::from(round.wrapping_mul(2_654_435_761) % 1000) / 1000.0)
}

/// A little longer than an undisturbed run takes on this machine just now: the span in which a kill is worth trying.
pub fn span(run: impl FnOnce()) -> Duration {
    let start = Instant::now();
    run();
    start.elapsed().mul_f64(1.2)
}

/// What a run that was killed had come to.
pub struct Killed {
    /// The lines that it had printed by then.
    pub lines: Vec<String>,
    /// Whether it had ended by itself before.
    pub ended: bool,
}

/// Starts a command in a room and kills it after a while.
pub fn killed(room: &Room, arguments: &[&str], after: Duration) -> Killed {
    let mut command = room.program(arguments);
    let mut child = command.stdout(Stdio::piped()).stderr(Stdio::null()).spawn().expect("starts");
    let out = child.stdout.take().expect("piped");
    // Read as it comes: a program that prints much would stand still at a full pipe, and never come to the kill's moment.
    let reader = std::thread::spawn(move || BufReader::new(out).lines().map(|line| line.expect("UTF-8")).collect());
    std::thread::sleep(after);
    let ended = child.try_wait().expect("asked").is_some();
    child.kill().expect("killed"); // SIGKILL
    child.wait().expect("ended");
    Killed { lines: reader.join().expect("read"), ended }
}
