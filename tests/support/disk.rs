//! A small disk of its own for one test, which can be filled to the brim. It is taken away with this value.

use std::path::Path;
use std::process::Command;

use super::machine::Need;

/// A mounted disk in memory.
pub struct Disk(String);

impl Disk {
    /// Mounts a disk of so many megabytes at an empty folder for a check, which takes root. Where that is not allowed, it
    /// is said.
    pub fn mounted(what: &str, at: &Path, megabytes: u32) -> Option<Self> {
        std::fs::create_dir_all(at).expect("made");
        let at = at.to_str().expect("plain").to_owned();
        let size = format!("size={megabytes}m");
        let mount = Command::new("mount").args(["-t", "tmpfs", "-o", &size, "none", &at]).output();
        if mount.is_ok_and(|output| output.status.success()) {
            return Some(Self(at));
        }
        Need::Faults.lacking(&format!("{what}: a small disk cannot be mounted here"));
        None
    }

    /// Where it is.
    pub fn place(&self) -> &str {
        &self.0
    }

    /// Fills it but for so many bytes.
    pub fn fill(&self, leave: u64) {
        let output = Command::new("df").args(["--output=avail", "-B1", &self.0]).output().expect("df runs");
        let words = String::from_utf8_lossy(&output.stdout).into_owned();
        let available: u64 = words.split_whitespace().last().and_then(|n| n.parse().ok()).expect("a number");
        let bytes = usize::try_from(available.saturating_sub(leave)).expect("a small disk");
        std::fs::write(format!("{}/filler", self.0), vec![1u8; bytes]).expect("the filler fits");
    }

    /// Makes room again.
    pub fn free(&self) {
        std::fs::remove_file(format!("{}/filler", self.0)).expect("removed");
    }
}

impl Drop for Disk {
    fn drop(&mut self) {
        let _ = Command::new("umount").arg(&self.0).status();
    }
}
