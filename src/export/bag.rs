//! Chosen pieces with their photographs, reports and sealed reports, in a bag that proves itself (BagIt 1.0).

use std::collections::BTreeSet;

use jiff::Timestamp;
use jiff::civil::Date;

use super::{Made, NotMade, To, Which, held};
use crate::exchange::handed::{Handed, Wanted};
use crate::exchange::out::{self, bagit, others};
use crate::exchange::parcel::Parcel;
use crate::photograph::Store;
use crate::record::PieceFile;
use crate::record::accession::file_stem;
use crate::record::photograph::Photograph;
use crate::record::seal::Seal;
use crate::report::{self, Settings, StorePictures, TreatmentAsked};
use crate::sealed::Pages;
use crate::words::count;

/// What `EXPORT.txt` says below its first line.
const PAGE: &str = "\
A bag (BagIt 1.0, RFC 8493). `sha256sum -c manifest-sha256.txt` tells whether any file has changed since.

data/catalogue.json            what is recorded of the pieces: UTF-8, JSON, a row a line; data/catalogue.schema.json explains it
data/photographs/              the photographs: originals, named by the SHA-256 of their bytes
data/NUMBER/                   reports as plain HTML pages: the catalogue entry, the latest condition report, and each treatment:
                               the proposal, or the record once anything was done
data/sealed/                   the sealed reports as they were sealed, named by the SHA-256 of their bytes
";

/// Where the photographs lie in the bag.
const PHOTOGRAPHS: &str = "data/photographs/";
/// Where the sealed reports lie.
const SEALED: &str = "data/sealed/";
/// How the name of a smaller copy ends.
const VIEW: &str = "-view.jpg";

pub(super) fn make(to: To<'_>, which: &Which, with_gps: bool) -> Result<Made, NotMade> {
    let To { catalogue, place, watch } = to;
    let chosen = which.chosen(catalogue)?;
    let mut parcel = Parcel::begin(place)?;
    let moment = catalogue.steady()?;
    let handed = Handed::of(catalogue, Wanted { pieces: Some(&chosen), with_gps, files: Some(watch) })?;
    let about = handed.about()?;
    let day = about
        .made_at
        .parse()
        .map_or(Date::constant(1970, 1, 1), |at: Timestamp| at.to_zoned_datetime(jiff::tz::TimeZone::UTC).date());
    parcel.file("data/catalogue.json", |to| out::json::write(to, &about, &handed))?;
    let schema = out::schema::schema(crate::catalogue::tables()?);
    parcel.file("data/catalogue.schema.json", |to| writeln!(to, "{schema:#}"))?;
    watch.begin("pieces", chosen.len() as u64);
    let (store, pages) = (Store::at(catalogue.folder()), Pages::at(catalogue.folder()));
    let (collection, pictures) = (catalogue.collection()?, StorePictures::embedded(&store));
    let settings = Settings {
        vocabulary: catalogue.vocabulary(),
        printed_on: day,
        collection: collection.name.as_deref().unwrap_or_default(),
        place: collection.place,
        units: collection.units.unwrap_or_default(),
        pictures: &pictures,
    };
    let mut packed = BTreeSet::new();
    for number in &chosen {
        let mut file = catalogue.piece(number)?;
        others::hide(&mut file, &chosen);
        reports(&mut parcel, &file, &catalogue.consent_seals(number)?, &settings)?;
        for photo in &file.photographs {
            // One photograph may show several pieces.
            if packed.insert(photo.sha256.clone()) {
                pack(&mut parcel, &handed, &store, photo)?;
            }
        }
        for seal in catalogue.seals(Some(number))? {
            let sha = &seal.sha256;
            if handed.keeps_back(sha).is_none() && packed.insert(sha.clone()) {
                parcel.copy(&pages.place(sha), &format!("{SEALED}{sha}.html"), Some(sha))?;
            }
        }
        to.step()?;
    }
    let mut left_out = handed.left_out(&about);
    let mut page = format!("{PAGE}{}", held(&about));
    let copies = parcel.files().keys().filter(|name| name.ends_with(VIEW)).count();
    if copies > 0 {
        page.push_str("\nWhere SHA-256-view.jpg is here, it is a smaller copy without what the camera wrote.\n");
        left_out.push(format!("in place of {} a smaller copy is in the bag", count(copies, "original")));
    }
    drop(moment);
    parcel.page("bag", &page)?;
    let lie_in = |folder: &str| parcel.files().keys().filter(|name| name.starts_with(folder)).count();
    let (photographs, sealed) = (lie_in(PHOTOGRAPHS), lie_in(SEALED));
    tags(&mut parcel, settings.collection, &chosen, day)?;
    let written = parcel.finish()?;
    let mut what = format!("{} with {}", count(chosen.len(), "piece"), count(photographs, "photograph"));
    if sealed > 0 {
        what = format!("{what} and {}", count(sealed, "sealed report"));
    }
    Ok(Made { what, written, left_out, list: None, findings: super::findings(&about), care: None })
}

/// The pages of a piece. `seals` are those of the consents to its treatments.
fn reports(
    parcel: &mut Parcel,
    file: &PieceFile,
    seals: &[(String, Seal)],
    settings: &Settings<'_>,
) -> Result<(), NotMade> {
    let mut put = |name: &str, page: String| {
        let name = format!("data/{}/{name}.html", file_stem(file.number()));
        parcel.file(&name, |to| to.write_all(page.as_bytes()))
    };
    put("catalogue", report::catalogue_entry(file, settings)?)?;
    if !file.examinations.is_empty() {
        put("condition", report::condition(file, None, settings)?)?;
    }
    for (at, treatment) in file.treatments.iter().enumerate() {
        // Versions of one treatment share a title: they are told apart by their place in the record.
        let asked = TreatmentAsked { treatment: treatment.id.as_deref(), part: None, seals };
        put(&format!("treatment-{}", at + 1), report::treatment(file, &asked, settings)?)?;
    }
    Ok(())
}

/// Packs the original, or the smaller copy in its place where the original is held back.
fn pack(parcel: &mut Parcel, handed: &Handed<'_>, store: &Store, photo: &Photograph) -> Result<(), String> {
    let sha = &photo.sha256;
    if handed.keeps_back(sha).is_none() {
        let original = store.original(sha, &photo.extension);
        return parcel.copy(&original, &format!("{PHOTOGRAPHS}{sha}.{}", photo.extension), Some(sha));
    }
    let view = store.view(sha);
    if view.is_file() { parcel.copy(&view, &format!("{PHOTOGRAPHS}{sha}{VIEW}"), None) } else { Ok(()) }
}

/// The files that make it a bag, last of all.
fn tags(parcel: &mut Parcel, collection: &str, chosen: &[String], day: Date) -> Result<(), NotMade> {
    let said = [
        ("Source-Organization", collection.to_owned()),
        ("External-Description", format!("Records, photographs and reports of {}", count(chosen.len(), "piece"))),
        ("External-Identifier", chosen.join("; ")),
        ("Bagging-Date", day.to_string()),
        ("Bag-Software-Agent", format!("dimity {}", env!("CARGO_PKG_VERSION"))),
    ];
    let info = bagit::info(&said, parcel.files());
    let payload = bagit::manifest(parcel.files().iter().filter(|(name, _)| name.starts_with(bagit::PAYLOAD)));
    for (name, text) in [(bagit::DECLARED, bagit::DECLARATION), (bagit::INFO, &info), (bagit::MANIFEST, &payload)] {
        parcel.file(name, |to| to.write_all(text.as_bytes()))?;
    }
    let tags = bagit::manifest(parcel.files().iter().filter(|(name, _)| !name.starts_with(bagit::PAYLOAD)));
    Ok(parcel.file(bagit::TAGS, |to| to.write_all(tags.as_bytes()))?)
}
