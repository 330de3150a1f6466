//! A temporary folder in which the real program runs, and what it said.

use std::path::{Path, PathBuf};

use assert_cmd::Command;

/// A temporary folder; the catalogue, where there is one, is `collection` in it.
pub struct Room {
    folder: tempfile::TempDir,
}

impl Room {
    /// An empty folder.
    pub fn bare() -> Self {
        Self { folder: tempfile::tempdir().expect("a temporary folder") }
    }

    /// A folder with an empty catalogue.
    pub fn new() -> Self {
        let room = Self::bare();
        dimity::catalogue::Catalogue::create(&room.collection(), super::clock()).expect("a new catalogue");
        room
    }

    /// A folder with a catalogue and these sheets entered.
    pub fn with(sheets: &[&str]) -> Self {
        let room = Self::new();
        for (i, text) in sheets.iter().enumerate() {
            let path = room.write(&format!("given-{i}.toml"), text);
            room.run(&["enter", &path]).done();
        }
        room
    }

    pub fn path(&self) -> &Path {
        self.folder.path()
    }

    pub fn collection(&self) -> PathBuf {
        self.path().join("collection")
    }

    /// Writes a file into the room; its path comes back.
    pub fn write(&self, name: &str, content: impl AsRef<[u8]>) -> String {
        let path = self.path().join(name);
        std::fs::write(&path, content).expect("the room can be written");
        path.to_str().expect("a temporary folder has a plain name").to_owned()
    }

    /// Writes a small photograph into the room; its path comes back. Each `shade` gives another file.
    pub fn photograph(&self, name: &str, shade: u8) -> String {
        let picture = image::RgbImage::from_fn(40, 30, |x, _| image::Rgb([shade, x as u8, 200]));
        let path = self.path().join(name);
        picture.save(&path).expect("a picture can be saved");
        path.to_str().expect("a temporary folder has a plain name").to_owned()
    }

    /// The program, ready to be run in this room with nothing from outside.
    pub fn program(&self, arguments: &[&str]) -> std::process::Command {
        let mut command = std::process::Command::new(env!("CARGO_BIN_EXE_dimity"));
        command.current_dir(self.path()).env_remove("DIMITY_BY").env("USER", "someone").env("COLUMNS", "100");
        command.env("DIMITY_IN", "collection").args(arguments);
        command
    }

    /// The program as somebody elsewhere would run it on the same catalogue: from another folder, in another zone and another
    /// language, under another name.
    pub fn abroad(&self, arguments: &[&str]) -> Said {
        let elsewhere = tempfile::tempdir().expect("a temporary folder");
        let mut command = self.program(arguments);
        command.current_dir(elsewhere.path()).env("DIMITY_IN", self.collection()).env("USER", "nobody");
        command.env("TZ", "Pacific/Kiritimati").env("LANG", "tr_TR.UTF-8").env("LC_ALL", "tr_TR.UTF-8");
        self.said(Command::from_std(command), arguments)
    }

    /// The same, to be given words on its standard input and waited for.
    pub fn command(&self, arguments: &[&str]) -> Command {
        Command::from_std(self.program(arguments))
    }

    /// Runs the program.
    pub fn run(&self, arguments: &[&str]) -> Said {
        self.said(self.command(arguments), arguments)
    }

    fn said(&self, mut command: Command, arguments: &[&str]) -> Said {
        let output = command.output().expect("the program starts");
        let text = |bytes: Vec<u8>| String::from_utf8(bytes).expect("the program speaks UTF-8");
        Said {
            asked: format!("dimity {}", arguments.join(" ")),
            code: output.status.code(),
            out: text(output.stdout),
            err: text(output.stderr).replace(self.path().to_str().unwrap_or("?"), "ROOM"),
        }
    }
}

/// What the program said, and how it ended.
#[derive(Debug)]
pub struct Said {
    pub asked: String,
    pub code: Option<i32>,
    pub out: String,
    pub err: String,
}

impl Said {
    /// Fails unless the program did what was asked; gives what it printed.
    pub fn done(self) -> String {
        assert_eq!(self.code, Some(0), "`{}` should succeed\n{}{}", self.asked, self.out, self.err);
        assert_eq!(self.err, "", "`{}` should have nothing to complain of", self.asked);
        self.out
    }

    /// What it printed while it ended with 1.
    pub fn said_wrong(self) -> String {
        assert_eq!(self.code, Some(1), "`{}` should find something: {}{}", self.asked, self.out, self.err);
        self.out
    }

    /// Fails unless the program refused; gives its words.
    pub fn refused(self) -> String {
        assert_eq!(self.code, Some(1), "`{}` should be refused\n{}{}", self.asked, self.out, self.err);
        self.err
    }

    /// Each line of the output as JSON.
    pub fn json(self) -> Vec<serde_json::Value> {
        let asked = self.asked.clone();
        let read = |line: &str| {
            serde_json::from_str(line).unwrap_or_else(|e| panic!("`{asked}` should print JSON: {e}\n{line}"))
        };
        self.done().lines().map(read).collect()
    }
}
