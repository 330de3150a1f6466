//! Who sits at which browser: kept in memory, so that the end of the program signs everybody out.

use std::collections::HashMap;
use std::fmt;
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::time::{Duration, Instant};

use base64::Engine as _;
use sha2::{Digest, Sha256};

use crate::measure::System;
use crate::record::account::Role;

/// After so long without a request one signs in again.
const IDLE: Duration = Duration::from_secs(12 * 60 * 60);
/// So many browsers at once; the one that was away longest goes first.
const MOST: usize = 1000;

/// 256 random bits, as text for addresses and cookies. Not shown by `{:?}`.
#[derive(Clone)]
pub struct Secret(String);

impl Secret {
    /// A fresh one.
    ///
    /// # Errors
    /// If the system gives no random bits.
    pub fn fresh() -> Result<Self, String> {
        let mut bits = [0; 32];
        getrandom::fill(&mut bits).map_err(|e| format!("the system gives no random bits: {e}"))?;
        Ok(Self(base64::engine::general_purpose::URL_SAFE_NO_PAD.encode(bits)))
    }

    /// Its text.
    pub fn as_str(&self) -> &str {
        &self.0
    }

    /// Whether this text is it. Hashes are compared, so that the time taken tells nothing of the text.
    pub fn is(&self, text: &str) -> bool {
        digest(&self.0) == digest(text)
    }
}

impl fmt::Debug for Secret {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Secret")
    }
}

fn digest(text: &str) -> [u8; 32] {
    Sha256::digest(text.as_bytes()).into()
}

/// The person who makes a request.
#[derive(Debug, Clone)]
pub struct Visitor {
    /// The name that the journal is given; none until it was asked.
    pub name: Option<String>,
    /// What they may do.
    pub role: Role,
    /// In which system they read lengths first; none where that of the collection holds.
    pub units: Option<System>,
    /// What every writing request of this browser must bring.
    pub token: Secret,
}

struct Session {
    visitor: Visitor,
    touched: Instant,
    /// When the account behind it was last looked up.
    asked: Instant,
}

/// All sessions, by the hash of their cookie.
#[derive(Default)]
pub struct Sessions(Mutex<HashMap<[u8; 32], Session>>);

impl Sessions {
    fn all(&self) -> MutexGuard<'_, HashMap<[u8; 32], Session>> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Begins a session; gives the secret for its cookie.
    ///
    /// # Errors
    /// If the system gives no random bits.
    pub fn begin(&self, name: Option<String>, role: Role) -> Result<Secret, String> {
        let (cookie, token) = (Secret::fresh()?, Secret::fresh()?);
        let now = Instant::now();
        let mut all = self.all();
        all.retain(|_, session| now.duration_since(session.touched) < IDLE);
        if all.len() >= MOST
            && let Some(oldest) = all.iter().min_by_key(|(_, s)| s.touched).map(|(key, _)| *key)
        {
            all.remove(&oldest);
        }
        let visitor = Visitor { name, role, units: None, token };
        all.insert(digest(cookie.as_str()), Session { visitor, touched: now, asked: now });
        Ok(cookie)
    }

    /// Who has this cookie.
    pub fn visitor(&self, cookie: &str) -> Option<Visitor> {
        let mut all = self.all();
        let session = all.get_mut(&digest(cookie))?;
        if session.touched.elapsed() >= IDLE {
            return None;
        }
        session.touched = Instant::now();
        Some(session.visitor.clone())
    }

    /// Whether the account behind a session is due to be looked up again; if so, this counts as having done it.
    pub fn is_to_be_asked(&self, cookie: &str, after: Duration) -> bool {
        let mut all = self.all();
        let Some(session) = all.get_mut(&digest(cookie)) else { return false };
        let due = session.asked.elapsed() >= after;
        if due {
            session.asked = Instant::now();
        }
        due
    }

    /// Gives a session its name, or another role.
    pub fn set(&self, cookie: &str, name: Option<String>, role: Role) {
        if let Some(session) = self.all().get_mut(&digest(cookie)) {
            session.visitor.name = name;
            session.visitor.role = role;
        }
    }

    /// Ends the sessions of a name, in capitals or not, but for the one with this cookie.
    pub fn end_others(&self, name: &str, but: Option<&str>) {
        let (name, but) = (name.trim().to_lowercase(), but.map(digest));
        let is_theirs = |s: &Session| s.visitor.name.as_ref().is_some_and(|n| n.to_lowercase() == name);
        self.all().retain(|key, session| Some(*key) == but || !is_theirs(session));
    }

    /// Ends a session.
    pub fn end(&self, cookie: &str) {
        self.all().remove(&digest(cookie));
    }
}
