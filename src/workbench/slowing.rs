//! A wrong password makes the next try wait: by name, and a little for everybody.

use std::collections::HashMap;
use std::sync::{Mutex, PoisonError};
use std::time::{Duration, Instant};

/// The first failures cost nothing: fingers slip.
const FREE: u32 = 3;
/// The longest wait.
const LONGEST: Duration = Duration::from_secs(5 * 60);
/// After so long without a failure all is forgotten.
const FORGOTTEN: Duration = Duration::from_secs(30 * 60);
/// So many names are remembered; more are only met by someone who makes names up.
const MOST: usize = 10_000;
/// So many failures of all names together are free.
const FREE_TOGETHER: u32 = 30;

#[derive(Clone, Copy)]
struct Failures {
    count: u32,
    last: Instant,
}

/// Failures by name, in small letters; the blank name counts all.
#[derive(Default)]
pub struct Slowing(Mutex<HashMap<String, Failures>>);

impl Slowing {
    /// How long a try for this name has to wait from `now` on; none if it may be made.
    pub fn wait(&self, name: &str, now: Instant) -> Option<Duration> {
        let all = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let left = |key: &str, free| {
            let failures = all.get(key)?;
            let wait = delay(failures.count.saturating_sub(free));
            wait.checked_sub(now.duration_since(failures.last)).filter(|left| !left.is_zero())
        };
        left(&key(name), FREE).max(left("", FREE_TOGETHER))
    }

    /// Remembers a failure.
    pub fn failed(&self, name: &str, now: Instant) {
        let mut all = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        all.retain(|_, f| now.duration_since(f.last) < FORGOTTEN);
        for key in [key(name), String::new()] {
            if all.len() < MOST || all.contains_key(&key) {
                let failures = all.entry(key).or_insert(Failures { count: 0, last: now });
                failures.count = failures.count.saturating_add(1);
                failures.last = now;
            }
        }
    }

    /// Forgets the failures of a name that came in.
    pub fn succeeded(&self, name: &str) {
        self.0.lock().unwrap_or_else(PoisonError::into_inner).remove(&key(name));
    }
}

fn key(name: &str) -> String {
    format!(" {}", name.trim().to_lowercase())
}

/// 0, then 2, 4, 8 ... seconds.
fn delay(beyond: u32) -> Duration {
    match beyond {
        0 => Duration::ZERO,
        n => Duration::from_secs(1 << n.min(20)).min(LONGEST),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn waiting_doubles_by_name_and_is_forgotten_on_success() {
        let (slowing, now) = (Slowing::default(), Instant::now());
        for (failures, wait) in [(1, 0), (2, 0), (3, 0), (4, 2), (5, 4), (6, 8)] {
            slowing.failed("Wren", now);
            let found = slowing.wait(" wren ", now).unwrap_or_default();
            assert_eq!(found, Duration::from_secs(wait), "after {failures} failures");
        }
        assert_eq!(slowing.wait("wren", now + Duration::from_secs(8)), None, "eight seconds later");
        assert_eq!(slowing.wait("Ida", now), None, "another name need not wait");
        slowing.succeeded("WREN");
        assert_eq!(slowing.wait("wren", now), None);
    }

    #[test]
    fn many_names_together_slow_everybody_down() {
        let (slowing, now) = (Slowing::default(), Instant::now());
        for i in 0..=FREE_TOGETHER {
            slowing.failed(&format!("name {i}"), now);
        }
        assert!(slowing.wait("Wren", now).is_some());
    }
}
