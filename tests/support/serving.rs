//! The real program, listening on a port of its own. It is killed when the test lets go of it.

use std::io::{BufRead, BufReader};
use std::path::Path;
use std::process::{Child, Command, ExitStatus, Stdio};

use super::AUTHOR;

/// The program, and the link that it printed.
pub struct Serving {
    child: Child,
    pub link: String,
}

impl Serving {
    /// Starts it on a catalogue, under the name of [`AUTHOR`].
    pub fn start(folder: &Path) -> Self {
        let mut command = Command::new(env!("CARGO_BIN_EXE_dimity"));
        command.args(["serve", "--port", "0", "--by", AUTHOR]).arg(folder);
        let mut child = command.stdout(Stdio::piped()).spawn().expect("the program starts");
        let mut first = String::new();
        BufReader::new(child.stdout.take().expect("its words")).read_line(&mut first).expect("a line");
        let link = first.split_whitespace().last().expect("a link").to_owned();
        Self { child, link }
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
