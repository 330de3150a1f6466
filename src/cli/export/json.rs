//! `dimity export json`: the whole catalogue in one document, with its photographs and sealed pages beside it.

use super::{Told, Where};
use crate::catalogue::tables;
use crate::cli::say::{count, progress};
use crate::cli::{Desk, Failure};
use crate::exchange::handed::Handed;
use crate::exchange::out;
use crate::photograph::Store;
use crate::sealed::Pages;

/// The whole catalogue as JSON, to be read by anything, and read back by `dimity import json`
///
/// The folder holds `catalogue.json`, `photographs` and `sealed`. Every table is in it, the journal and its hashes as well;
/// read back into a new catalogue it gives the same export again, byte for byte.
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
        let handed = Handed::of(&catalogue, None, self.place.with_gps)?;
        let about = handed.about(None)?;
        parcel.file("catalogue.json", |out| out::json::write(out, &about, &handed))?;
        if !self.alone {
            let (store, pages) = (Store::at(&desk.folder), Pages::at(&desk.folder));
            let originals = catalogue.originals()?;
            let bar = progress(originals.len(), "photographs");
            for original in originals {
                let path = store.original(&original.sha256, &original.extension);
                if !handed.keeps_back(&original.sha256, &path).map_err(|e| format!("`{}`: {e}", path.display()))? {
                    parcel.copy(&path, &inside("photographs", &original.sha256, &original.extension))?;
                }
                bar.inc(1);
            }
            bar.finish_and_clear();
            for seal in catalogue.seals(None)? {
                parcel.copy(&pages.place(&seal.sha256), &inside("sealed", &seal.sha256, "html"))?;
            }
        }
        drop(moment);
        parcel.page("json", PAGE)?;
        let written = parcel.finish()?;
        let what = format!("{}, whole", count(catalogue.numbers()?.len(), "piece"));
        Told { what, place: &place, written, left_out: &about.left_out }.say(desk);
        Ok(())
    }
}

fn inside(room: &str, sha256: &str, extension: &str) -> String {
    format!("{room}/{}/{sha256}.{extension}", sha256.get(..2).unwrap_or_default())
}
