//! `dimity export json`: the whole catalogue in one document, with its photographs and sealed pages beside it.

use super::{Told, Where, held};
use crate::catalogue::tables;
use crate::cli::say::{Bar, count, progress};
use crate::cli::{Desk, Failure};
use crate::exchange::handed::{Handed, Wanted};
use crate::exchange::out;
use crate::photograph::Store;
use crate::safekeeping::Watch;
use crate::sealed::Pages;

/// The whole catalogue as JSON, to be read by anything, and read back by `dimity import json`
///
/// The folder holds `catalogue.json`, `photographs` and `sealed`. Every table is in it, the journal and its hashes as well;
/// read back into a new catalogue it gives the same export again, byte for byte. Photographs that hold a GPS position stay
/// here unless `--with-gps` is given; the document names them, and can be read back without them.
#[derive(Debug, clap::Args)]
pub struct Json {
    #[command(flatten)]
    place: Where,
    /// Write the document alone, without photographs and sealed pages
    #[arg(long)]
    alone: bool,
    /// Print the JSON Schema (2020-12) of the document, and write nothing
    #[arg(long)]
    schema: bool,
}

/// What `EXPORT.txt` says below its first line.
const PAGE: &str = "\
catalogue.json         every table of the catalogue, a row a line: UTF-8, JSON (RFC 8259). The names of numbers end in their
                       unit; `_u` is a standard uncertainty (GUM, JCGM 100).
photographs/, sealed/  the original photographs and the sealed reports, each under the SHA-256 of its bytes, in a folder
                       named by the first two digits. The tables `photograph` and `seal` say which is which.

`dimity import json catalogue.json` reads it back into a new catalogue.
";

impl Json {
    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        if self.schema {
            desk.out.line(format!("{:#}", out::schema::schema(tables()?)));
            return Ok(());
        }
        let catalogue = desk.open()?;
        let (place, mut parcel) = self.place.begin("json", desk)?;
        let moment = catalogue.steady()?;
        let bar = Bar::default();
        let files = (!self.alone).then_some(&bar as &dyn Watch);
        let handed = Handed::of(&catalogue, Wanted { pieces: None, with_gps: self.place.with_gps, files })?;
        bar.finish();
        let about = handed.about()?;
        parcel.file("catalogue.json", |out| out::json::write(out, &about, &handed))?;
        if !self.alone {
            let (store, pages) = (Store::at(&desk.folder), Pages::at(&desk.folder));
            let originals =
                catalogue.originals()?.into_iter().map(|o| (store.original(&o.sha256, &o.extension), o.sha256));
            let sealed = catalogue.seals(None)?.into_iter().map(|seal| (pages.place(&seal.sha256), seal.sha256));
            let files: Vec<_> = originals.chain(sealed).filter(|(_, sha)| handed.keeps_back(sha).is_none()).collect();
            let bar = progress(files.len(), "files");
            for (from, sha256) in files {
                // In the export as they lie here.
                let name = from.strip_prefix(&desk.folder).unwrap_or(&from).to_string_lossy().into_owned();
                parcel.copy(&from, &name, Some(&sha256))?;
                bar.inc(1);
            }
            bar.finish_and_clear();
        }
        drop(moment);
        parcel.page("json", &format!("{PAGE}{}", held(&about)))?;
        let written = parcel.finish()?;
        let what = format!("{}, whole", count(catalogue.numbers()?.len(), "piece"));
        Told { what, place: &place, written, left_out: &about.left_out, list: None, findings: &super::findings(&about) }
            .say(desk)
    }
}
