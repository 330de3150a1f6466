//! Accounts of the workbench: added, changed, removed under the journal; the password apart from it.

use std::sync::OnceLock;

use rusqlite::OptionalExtension;

use super::change::{Row, fresh_uid};
use super::{Catalogue, Fault, Result, password};
use crate::record::account::{Account, Role};

/// What a password is held against; outlives the connection, so that hashing holds nobody up.
pub struct Credentials {
    account: Option<Account>,
    hash: String,
}

impl Credentials {
    /// The account, if the password is its own. A name that nobody has takes as long as one that somebody has, so that
    /// the time of the answer does not tell names.
    pub fn open_to(self, password: &str) -> Option<Account> {
        let fits = password::fits(password, &self.hash);
        self.account.filter(|_| fits)
    }
}

impl Catalogue {
    /// All accounts, by name.
    ///
    /// # Errors
    /// If the database refuses.
    pub fn accounts(&self) -> Result<Vec<Account>> {
        // An older catalogue on a medium that cannot be written has no such table.
        if !self.has_table("account")? {
            return Ok(Vec::new());
        }
        let mut statement = self.db.prepare_cached("SELECT name, role FROM account ORDER BY name")?;
        Ok(statement.query_map([], account)?.collect::<std::result::Result<_, _>>()?)
    }

    /// The account of a name, in capitals or not, as it stands now.
    ///
    /// # Errors
    /// If the database refuses.
    pub fn account(&self, name: &str) -> Result<Option<Account>> {
        let sql = "SELECT name, role FROM account WHERE name = ?";
        Ok(self.db.prepare_cached(sql)?.query_row([name.trim()], account).optional()?)
    }

    /// What the password of a name is held against; also for a name that nobody has.
    ///
    /// # Errors
    /// If the database refuses.
    pub fn credentials(&self, name: &str) -> Result<Credentials> {
        static NOBODY: OnceLock<String> = OnceLock::new();
        let account = self.account(name)?;
        let sql = "SELECT p.hash FROM account_password p JOIN account a ON a.id = p.account_id WHERE a.name = ?";
        let hash = self.db.prepare_cached(sql)?.query_row([name.trim()], |r| r.get(0)).optional()?;
        let nobody = || NOBODY.get_or_init(|| password::hash("a name that nobody has").unwrap_or_default()).clone();
        Ok(Credentials { account, hash: hash.unwrap_or_else(nobody) })
    }

    /// Adds an account.
    ///
    /// # Errors
    /// If the name is blank or taken, or the password too short.
    pub fn add_account(&mut self, author: &str, new: &Account, password: &str) -> Result<()> {
        let name = new.name.trim();
        if name.is_empty() || name.chars().any(char::is_control) || name.chars().count() > 120 {
            return Err(Fault::Refused("an account needs a name of 1 to 120 characters on one line".into()));
        }
        if let Some(taken) = self.account(name)? {
            return Err(Fault::Refused(format!("there is an account `{}` already", taken.name)));
        }
        let hash = password::hash(password)?;
        self.write(author, "account added", |change| {
            let mut row = Row::new();
            row.insert("uid".into(), fresh_uid().into());
            row.insert("name".into(), name.into());
            row.insert("role".into(), new.role.word().into());
            let id = change.insert("account", &row)?;
            keep_password(change.db(), id, &hash)
        })
    }

    /// Gives an account another role, another password, or both.
    ///
    /// # Errors
    /// If there is no such account, the password is too short, or nobody could keep the collection any more.
    pub fn change_account(
        &mut self,
        author: &str,
        name: &str,
        role: Option<Role>,
        password: Option<&str>,
    ) -> Result<()> {
        let id = self.account_row(name)?;
        if role.is_some_and(|role| role < Role::Keep) {
            self.leaves_a_keeper(name)?;
        }
        let hash = password.map(password::hash).transpose()?;
        self.write(author, "account changed", |change| {
            if let Some(role) = role {
                change.update("account", id, &Row::from_iter([("role".to_owned(), role.word().into())]))?;
            }
            hash.iter().try_for_each(|hash| keep_password(change.db(), id, hash))
        })
    }

    /// Removes an account. What its holder wrote stays theirs in the journal.
    ///
    /// # Errors
    /// If there is no such account, or nobody could keep the collection any more.
    pub fn remove_account(&mut self, author: &str, name: &str) -> Result<()> {
        let id = self.account_row(name)?;
        self.leaves_a_keeper(name)?;
        self.write(author, "account removed", |change| change.delete("account", id))
    }

    /// Refuses what would leave accounts of which none may keep the collection.
    fn leaves_a_keeper(&self, name: &str) -> Result<()> {
        let others: Vec<Account> =
            self.accounts()?.into_iter().filter(|other| !other.name.eq_ignore_ascii_case(name.trim())).collect();
        if others.is_empty() || others.iter().any(|other| other.role == Role::Keep) {
            return Ok(());
        }
        let was_none = self.account(name)?.is_some_and(|account| account.role < Role::Keep);
        if was_none {
            return Ok(());
        }
        Err(Fault::Refused(format!(
            "`{}` is the last who may keep the collection; give another account that role first",
            name.trim()
        )))
    }

    fn account_row(&self, name: &str) -> Result<i64> {
        let sql = "SELECT id FROM account WHERE name = ?";
        let id = self.db.prepare_cached(sql)?.query_row([name.trim()], |r| r.get(0)).optional()?;
        id.ok_or_else(|| Fault::Refused(format!("there is no account `{name}`; the list of accounts names them all")))
    }
}

fn account(r: &rusqlite::Row<'_>) -> rusqlite::Result<Account> {
    let role: String = r.get(1)?;
    // A word that was spoilt from outside gives the least.
    Ok(Account { name: r.get(0)?, role: Role::from_word(&role).unwrap_or(Role::Read) })
}

/// The one table that is written without the journal: a hash in it could be tried against guesses for ever.
fn keep_password(db: &rusqlite::Connection, account: i64, hash: &str) -> Result<()> {
    let sql = "INSERT INTO account_password (account_id, hash) VALUES (?1, ?2)
               ON CONFLICT (account_id) DO UPDATE SET hash = ?2";
    db.execute(sql, (account, hash))?;
    Ok(())
}
