//! `dimity accounts`: who may sign in at the workbench from another desk.

use std::io::{BufRead, IsTerminal};

use clap::builder::{PossibleValue, PossibleValuesParser, TypedValueParser};

use super::{Desk, Failure};
use crate::record::account::{Account, Role};
use crate::report::capital;

/// List who may sign in in the browser, or add, change and remove an account
///
/// `dimity accounts --add "Wren Askerdale" --role examine` asks for a password; from a pipe it is the first line. The role
/// `read` looks and prints, `examine` also enters examinations and photographs and corrects observations, `keep` does
/// everything. The name stands in the journal beside all that is entered.
#[derive(Debug, clap::Args)]
pub struct Accounts {
    /// Add an account
    #[arg(long, value_name = "NAME", group = "act")]
    add: Option<String>,
    /// Give an account another role or password
    #[arg(long, value_name = "NAME", group = "act")]
    change: Option<String>,
    /// Remove an account; what its holder entered stays theirs
    #[arg(long, value_name = "NAME", group = "act")]
    remove: Option<String>,
    /// What they may do
    #[arg(long, value_name = "ROLE", requires = "act", value_parser = roles())]
    role: Option<Role>,
    /// With --change: ask for a new password
    #[arg(long, requires = "change")]
    password: bool,
}

/// The roles by their words.
fn roles() -> impl TypedValueParser<Value = Role> {
    let word = |role: Role| PossibleValue::new(role.word()).help(capital(role.may()));
    PossibleValuesParser::new(Role::ALL.map(word))
        .try_map(|word| Role::from_word(&word).ok_or_else(|| format!("`{word}` is no role")))
}

impl Accounts {
    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        let author = desk.author();
        let mut catalogue = desk.open()?;
        let role = self.role;
        if let Some(name) = &self.add {
            let new = Account { name: name.trim().to_owned(), role: role.unwrap_or(Role::Read) };
            catalogue.add_account(&author, &new, &password()?)?;
            desk.out.line(format!("added `{}`, who may {}", new.name, new.role.word()));
        } else if let Some(name) = &self.change {
            if role.is_none() && !self.password {
                return Err("say what to change: `--role ROLE`, `--password`, or both".into());
            }
            let password = if self.password { Some(password()?) } else { None };
            catalogue.change_account(&author, name, role, password.as_deref())?;
            desk.out.line(format!("changed `{}`", name.trim()));
        } else if let Some(name) = &self.remove {
            catalogue.remove_account(&author, name)?;
            desk.out.line(format!("removed `{}`; what they entered stays theirs in the journal", name.trim()));
        } else {
            let accounts = catalogue.accounts()?;
            for account in &accounts {
                if desk.json {
                    desk.out.json(account);
                } else {
                    desk.out.line(format!("{:8}  {}", account.role.word(), account.name));
                }
            }
            if accounts.is_empty() && !desk.json {
                desk.out.line("no accounts; `dimity accounts --add NAME --role examine` adds one");
            }
        }
        Ok(())
    }
}

/// A password from the keyboard, unseen and twice; from a pipe its first line.
fn password() -> Result<String, Failure> {
    let unread = |e: std::io::Error| Failure::from(format!("the password cannot be read: {e}"));
    if !std::io::stdin().is_terminal() {
        let mut line = String::new();
        std::io::stdin().lock().read_line(&mut line).map_err(unread)?;
        return Ok(line.trim_end_matches(['\r', '\n']).to_owned());
    }
    let first = rpassword::prompt_password("password: ").map_err(unread)?;
    let again = rpassword::prompt_password("the same again: ").map_err(unread)?;
    if first == again { Ok(first) } else { Err("the two passwords differ; nothing was changed".into()) }
}
