//! The command line: a thin door to the rooms behind it, one file a command.

mod accounts;
mod among;
mod backup;
mod changes;
mod check;
mod collection;
mod compare;
mod condition;
mod conventions;
mod convert;
mod demo;
mod departures;
mod due;
mod effort;
mod enter;
mod export;
mod import;
mod intervals;
mod journal;
mod list;
mod new;
mod pattern;
mod photo;
mod report;
mod say;
mod seals;
mod searches;
mod serve;
mod sheet;
mod show;
mod take_back;
mod terms;
mod withdraw;

use std::path::PathBuf;
use std::process::ExitCode;

use clap::{Parser, Subcommand};

use crate::catalogue::{BroughtUp, Catalogue, Clock, SCHEMA_VERSION};
pub use say::{Failure, Out};

/// Documentation of garments in a study collection: catalogue, examine, photograph, report condition, compare.
///
/// A catalogue is a folder. Begin with `dimity new DIR`, or look round in `dimity demo DIR`. At the table, print a
/// sheet (`dimity sheet NUMBER --for spencer > sheet.toml`), fill it in, and `dimity enter sheet.toml`. Add
/// photographs with `dimity photo add`, and print with `dimity report`.
#[derive(Debug, Parser)]
#[command(name = "dimity", version, max_term_width = 100, propagate_version = true)]
struct Arguments {
    /// The catalogue's folder
    #[arg(long = "in", global = true, value_name = "DIR", env = "DIMITY_IN", default_value = ".")]
    folder: PathBuf,
    /// Who is writing; the journal keeps it
    #[arg(long, global = true, value_name = "NAME", env = "DIMITY_BY")]
    by: Option<String>,
    /// Print JSON instead of text
    #[arg(long, global = true)]
    json: bool,
    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, Subcommand)]
enum Command {
    Demo(demo::Demo),
    New(new::New),
    Sheet(sheet::Sheet),
    Enter(enter::Enter),
    List(list::List),
    Find(list::Find),
    Searches(searches::Searches),
    Among(among::Among),
    Show(show::Show),
    Due(due::Due),
    Intervals(intervals::Intervals),
    #[command(subcommand)]
    Photo(photo::Photo),
    #[command(subcommand)]
    Pattern(pattern::Pattern),
    #[command(subcommand)]
    Report(report::Report),
    Seals(seals::Seals),
    Collection(collection::Collection),
    Compare(compare::Compare),
    Departures(departures::Departures),
    Changes(changes::Changes),
    Effort(effort::Of),
    #[command(subcommand)]
    Convert(convert::Convert),
    Terms(terms::Terms),
    Conventions(conventions::Show),
    Journal(journal::Journal),
    TakeBack(take_back::TakeBack),
    Check(check::Check),
    #[command(subcommand)]
    Import(import::Import),
    #[command(subcommand)]
    Export(export::Export),
    Backup(backup::Backup),
    Restore(backup::Restore),
    Withdraw(withdraw::Withdraw),
    Reinstate(withdraw::Reinstate),
    Purge(withdraw::Purge),
    Serve(serve::Serve),
    Accounts(accounts::Accounts),
}

/// What every command is given.
struct Desk {
    folder: PathBuf,
    by: Option<String>,
    json: bool,
    clock: Clock,
    out: Out,
}

impl Desk {
    fn open(&self) -> Result<Catalogue, Failure> {
        let catalogue = Catalogue::open(&self.folder, self.clock)?;
        if let Some(BroughtUp { from, copy }) = catalogue.brought_up() {
            eprintln!(
                "the catalogue was brought up from schema {from} to {SCHEMA_VERSION}; as it was before: `{}`, to be deleted \
                 when all is well",
                copy.display()
            );
        }
        Ok(catalogue)
    }

    /// Who is writing: `--by`, or the name that the machine knows.
    fn author(&self) -> String {
        let from = |name| std::env::var(name).ok().filter(|n| !n.trim().is_empty());
        self.by.clone().or_else(|| from("USER")).or_else(|| from("USERNAME")).unwrap_or_else(|| "unnamed".into())
    }

    fn today(&self) -> jiff::civil::Date {
        self.clock.now().to_zoned_datetime(jiff::tz::TimeZone::system()).date()
    }
}

/// Runs the program: arguments from the command line, an exit code back. 0 is done, 1 refused, 2 not understood.
pub fn main() -> ExitCode {
    let arguments = Arguments::parse();
    let mut desk = Desk {
        folder: arguments.folder,
        by: arguments.by,
        json: arguments.json,
        clock: Clock::System,
        out: Out::default(),
    };
    match run(arguments.command, &mut desk) {
        Ok(()) => ExitCode::SUCCESS,
        Err(failure) => {
            failure.show();
            ExitCode::FAILURE
        }
    }
}

fn run(command: Command, desk: &mut Desk) -> Result<(), Failure> {
    match command {
        Command::Demo(c) => c.run(desk),
        Command::New(c) => c.run(desk),
        Command::Sheet(c) => c.run(desk),
        Command::Enter(c) => c.run(desk),
        Command::Import(c) => c.run(desk),
        Command::List(c) => c.run(desk),
        Command::Find(c) => c.run(desk),
        Command::Searches(c) => c.run(desk),
        Command::Among(c) => c.run(desk),
        Command::Show(c) => c.run(desk),
        Command::Due(c) => c.run(desk),
        Command::Intervals(c) => c.run(desk),
        Command::Photo(c) => c.run(desk),
        Command::Pattern(c) => c.run(desk),
        Command::Report(c) => c.run(desk),
        Command::Seals(c) => c.run(desk),
        Command::Collection(c) => c.run(desk),
        Command::Compare(c) => c.run(desk),
        Command::Departures(c) => c.run(desk),
        Command::Changes(c) => c.run(desk),
        Command::Effort(c) => c.run(desk),
        Command::Convert(c) => c.run(desk),
        Command::Terms(c) => c.run(desk),
        Command::Conventions(c) => c.run(desk),
        Command::Journal(c) => c.run(desk),
        Command::TakeBack(c) => c.run(desk),
        Command::Check(c) => c.run(desk),
        Command::Export(c) => c.run(desk),
        Command::Backup(c) => c.run(desk),
        Command::Restore(c) => c.run(desk),
        Command::Withdraw(c) => c.run(desk),
        Command::Reinstate(c) => c.run(desk),
        Command::Purge(c) => c.run(desk),
        Command::Serve(c) => c.run(desk),
        Command::Accounts(c) => c.run(desk),
    }
}
