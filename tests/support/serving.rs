//! The real program, listening on a port of its own. It is killed when the test lets go of it.

use std::io::{BufRead, BufReader};
use std::path::Path;
use std::process::{Child, Command, ExitStatus, Stdio};

use super::AUTHOR;

/// The program, the link that it printed, and all that it said before it waited for people.
pub struct Serving {
    child: Child,
    pub link: String,
    pub said: String,
}

impl Serving {
    /// Starts it on a catalogue, under the name of [`AUTHOR`].
    pub fn start(folder: &Path) -> Self {
        Self::with(folder, &["--port", "0", "--by", AUTHOR])
    }

    /// Starts it for other desks, on a catalogue that has accounts; with these arguments as well.
    pub fn for_others(folder: &Path, more: &[&str]) -> Self {
        Self::with(folder, &[&["--listen", "0.0.0.0:0"], more].concat())
    }

    fn with(folder: &Path, arguments: &[&str]) -> Self {
        let mut command = Command::new(env!("CARGO_BIN_EXE_dimity"));
        command.arg("serve").args(arguments).arg(folder);
        let mut child = command.stdout(Stdio::piped()).spawn().expect("the program starts");
        let mut lines = BufReader::new(child.stdout.take().expect("its words")).lines();
        let first = lines.next().expect("a line").expect("UTF-8");
        let link = first.split_whitespace().last().expect("a link").to_owned();
        let mut said = first + "\n";
        for line in lines.map(|line| line.expect("UTF-8")) {
            let is_last = line.contains("Ctrl-C");
            said = said + &line + "\n";
            if is_last {
                break;
            }
        }
        Self { child, link, said }
    }

    /// Host and port, and the path of the link.
    pub fn host_and_path(&self) -> (&str, &str) {
        let rest = self.link.strip_prefix("http://").expect("a link");
        rest.split_at(rest.find('/').expect("a path"))
    }

    /// The number of the process.
    pub fn id(&self) -> u32 {
        self.child.id()
    }

    /// Waits until it has ended by itself.
    pub fn ended(&mut self) -> ExitStatus {
        self.child.wait().expect("it ends")
    }
}

/// As by `kill -9`: no warning, no tidying up.
impl Drop for Serving {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}
