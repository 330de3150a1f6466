//! The whole catalogue in one JSON document, with its photographs and sealed pages beside it.

use super::{Made, NotMade, To, held};
use crate::exchange::handed::{Handed, Wanted};
use crate::exchange::out;
use crate::exchange::parcel::Parcel;
use crate::photograph::Store;
use crate::sealed::Pages;
use crate::words::count;

/// What `EXPORT.txt` says below its first line.
const PAGE: &str = "\
catalogue.json         every table of the catalogue, a row a line: UTF-8, JSON (RFC 8259). The names of numbers end in their
                       unit; `_u` is a standard uncertainty (GUM, JCGM 100).
photographs/, sealed/  the original photographs and the sealed reports, each under the SHA-256 of its bytes, in a folder
                       named by the first two digits. The tables `photograph` and `seal` say which is which.

`dimity import json catalogue.json` reads it back into a new catalogue.
";

pub(super) fn make(to: To<'_>, with_gps: bool, alone: bool) -> Result<Made, NotMade> {
    let To { catalogue, place, watch } = to;
    let mut parcel = Parcel::begin(place)?;
    let moment = catalogue.steady()?;
    let files = (!alone).then_some(watch);
    let handed = Handed::of(catalogue, Wanted { pieces: None, with_gps, files })?;
    let about = handed.about()?;
    parcel.file("catalogue.json", |out| out::json::write(out, &about, &handed))?;
    if !alone {
        let (store, pages) = (Store::at(catalogue.folder()), Pages::at(catalogue.folder()));
        let originals = catalogue.originals()?.into_iter().map(|o| (store.original(&o.sha256, &o.extension), o.sha256));
        let sealed = catalogue.seals(None)?.into_iter().map(|seal| (pages.place(&seal.sha256), seal.sha256));
        let files: Vec<_> = originals.chain(sealed).filter(|(_, sha)| handed.keeps_back(sha).is_none()).collect();
        watch.begin("files", files.len() as u64);
        for (from, sha256) in files {
            // In the export as they lie here.
            let name = from.strip_prefix(catalogue.folder()).unwrap_or(&from).to_string_lossy().into_owned();
            parcel.copy(&from, &name, Some(&sha256))?;
            to.step()?;
        }
    }
    drop(moment);
    parcel.page("json", &format!("{PAGE}{}", held(&about)))?;
    let written = parcel.finish()?;
    Ok(Made {
        what: whole(catalogue.numbers()?.len(), catalogue.withdrawn()?.len()),
        written,
        findings: super::findings(&about),
        left_out: about.left_out,
        list: None,
        care: None,
    })
}

/// `14 pieces, one of them withdrawn, whole`: those that stand in no list are in it too.
fn whole(listed: usize, withdrawn: usize) -> String {
    let all = count(listed + withdrawn, "piece");
    match withdrawn {
        0 => format!("{all}, whole"),
        1 => format!("{all}, one of them withdrawn, whole"),
        n => format!("{all}, {n} of them withdrawn, whole"),
    }
}
