//! `dimity serve`: the workbench in a browser.

use std::net::{IpAddr, Ipv4Addr, SocketAddr};
use std::path::PathBuf;
use std::sync::Arc;

use super::{Desk, Failure};
use crate::catalogue::{Catalogue, FILE};
use crate::workbench::{self, Entrance, Opening, Patience, Secret};

/// Open the catalogue in a browser: the whole job, on this machine and without a network
///
/// Prints an address with a secret in it; open it in the browser. The secret keeps out other people and programs of this
/// machine, and pages of other sites: whoever can reach the port cannot guess it. It holds until the program ends.
///
/// With `--listen` other desks can reach it. They sign in with accounts (`dimity accounts --add NAME`). Passwords and
/// records then cross the network, so put a reverse proxy with a certificate before it, let it pass requests on to this
/// port with their `Host` unchanged, and name its address: `--address https://store.example`.
#[derive(Debug, clap::Args)]
pub struct Serve {
    /// The catalogue's folder; the same as --in
    folder: Option<PathBuf>,
    /// Make an empty catalogue there first, if there is none
    #[arg(long)]
    new: bool,
    /// The port on this machine; 0 takes a free one
    #[arg(long, default_value_t = 8470, conflicts_with = "listen")]
    port: u16,
    /// Listen here, beyond this machine if so wished: `0.0.0.0:8470`. Needs accounts
    #[arg(long, value_name = "ADDRESS:PORT")]
    listen: Option<SocketAddr>,
    /// The address by which other desks reach it, where something stands before it: `https://store.example`. Needs accounts
    #[arg(long, value_name = "URL")]
    address: Option<String>,
    /// The folder for backups made in the browser, best on another disk. With accounts no other can be used there
    #[arg(long, value_name = "DIR")]
    backup: Option<PathBuf>,
}

impl Serve {
    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        let folder = self.folder.clone().unwrap_or_else(|| desk.folder.clone());
        if self.new && !folder.join(FILE).is_file() {
            Catalogue::create(&folder, desk.clock)?;
            desk.out.line(format!("made an empty catalogue in {}", folder.display()));
        }
        let listen = self.listen.unwrap_or(SocketAddr::new(IpAddr::V4(Ipv4Addr::LOCALHOST), self.port));
        let address = self.address.as_deref().map(whole_address).transpose()?;
        let absolute =
            |dir: PathBuf| std::path::absolute(&dir).map_err(|e| format!("cannot find `{}`: {e}", dir.display()));
        let backup = self.backup.map(absolute).transpose()?;
        let by_account = !listen.ip().is_loopback() || address.is_some();
        if by_account && Catalogue::open(&folder, desk.clock)?.accounts()?.is_empty() {
            return Err(
                "other desks sign in by name and password, and this catalogue has no accounts yet; add one for \
                        each person with `dimity accounts --add NAME --role keep`"
                    .into(),
            );
        }
        let key = Secret::fresh()?;
        let link = key.as_str().to_owned();
        let entrance = if by_account { Entrance::Accounts } else { Entrance::Link { key, by: desk.by.clone() } };
        let wrong = |what: &str, e: std::io::Error| Failure::from(format!("cannot {what}: {e}"));
        let runtime = tokio::runtime::Builder::new_multi_thread().enable_all().build();
        let runtime = runtime.map_err(|e| wrong("start", e))?;
        runtime.block_on(async {
            let listener = tokio::net::TcpListener::bind(listen).await;
            let listener = listener.map_err(|e| wrong(&format!("listen at {listen} (another port: `--port`)"), e))?;
            let listen = listener.local_addr().map_err(|e| wrong("listen", e))?;
            let (clock, patience) = (desk.clock, Patience::default());
            let opening = Opening { folder, clock, listen, address: address.clone(), entrance, backup, patience };
            let opened = Arc::new(workbench::Desk::open(opening)?);
            if by_account {
                let at = address.unwrap_or_else(|| format!("http://{listen}"));
                desk.out.line(format!("the catalogue is open at {at}/"));
                if !at.starts_with("https://") {
                    desk.out.line(
                        "passwords and records cross the network unencrypted: put a reverse proxy with a certificate \
                         before it, and start it with `--address https://NAME`",
                    );
                }
            } else {
                desk.out.line(format!("the catalogue is open; go to http://{listen}/enter?key={link}"));
            }
            desk.out.line("end it with Ctrl-C");
            workbench::serve(listener, opened).await.map_err(|e| wrong("serve", e))
        })
    }
}

/// `https://name[:port]`, nothing behind it.
fn whole_address(text: &str) -> Result<String, Failure> {
    let trimmed = text.trim().trim_end_matches('/').to_lowercase();
    let host = trimmed.strip_prefix("https://").or_else(|| trimmed.strip_prefix("http://"));
    let fits = |host: &&str| {
        !host.is_empty() && host.chars().all(|c| c.is_ascii_alphanumeric() || matches!(c, '.' | '-' | ':' | '[' | ']'))
    };
    match host.filter(fits) {
        Some(_) => Ok(trimmed),
        None => {
            Err(format!("`{text}` is no address of a catalogue in a browser; write it as `https://store.example`")
                .into())
        }
    }
}
