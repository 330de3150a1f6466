//! `dimity export bag`: chosen pieces with their photographs and reports, in a bag that proves itself (BagIt 1.0).

use jiff::Timestamp;
use jiff::civil::Date;

use super::{Told, Where, Which};
use crate::catalogue::Catalogue;
use crate::cli::say::{count, progress};
use crate::cli::{Desk, Failure};
use crate::exchange::handed::Handed;
use crate::exchange::out::{self, bagit};
use crate::exchange::parcel::Parcel;
use crate::photograph::Store;
use crate::record::PieceFile;
use crate::record::accession::file_stem;
use crate::record::photograph::Photograph;
use crate::report::{self, Settings, StorePictures};

/// Chosen pieces in a bag (BagIt 1.0, RFC 8493): records as JSON, photographs, reports, each file with its SHA-256
///
/// For a deposit, a loan, a colleague. Any BagIt tool tells whether a bit has changed since: `bagit.py --validate DIR`, or
/// `sha256sum -c manifest-sha256.txt` in the folder. The reports are dated by the last change to the catalogue.
#[derive(Debug, clap::Args)]
pub struct Bag {
    #[command(flatten)]
    which: Which,
    #[command(flatten)]
    place: Where,
}

/// What `EXPORT.txt` says below its first line.
const PAGE: &str = "\
A bag (BagIt 1.0, RFC 8493). `sha256sum -c manifest-sha256.txt` tells whether any file has changed since.

data/catalogue.json            what is recorded of the pieces: UTF-8, JSON, a row a line; data/catalogue.schema.json explains it
data/photographs/              the photographs: originals, named by the SHA-256 of their bytes
data/NUMBER/                   reports as plain HTML pages: the catalogue entry, the latest condition report
";

impl Bag {
    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        let catalogue = desk.open()?;
        let chosen = self.which.chosen(&catalogue)?;
        let (place, mut parcel) = self.place.begin("bag", desk)?;
        let moment = catalogue.steady()?;
        let handed = Handed::of(&catalogue, Some(&chosen), self.place.with_gps)?;
        let mut about = handed.about(Some(&chosen))?;
        let day = about
            .made_at
            .parse()
            .map_or(Date::constant(1970, 1, 1), |at: Timestamp| at.to_zoned_datetime(jiff::tz::TimeZone::UTC).date());
        parcel.file("data/catalogue.json", |to| out::json::write(to, &about, &handed))?;
        let schema = out::schema::schema(crate::catalogue::tables()?);
        parcel.file("data/catalogue.schema.json", |to| writeln!(to, "{schema:#}"))?;
        let bar = progress(chosen.len(), "pieces");
        let store = Store::at(&desk.folder);
        let (mut taken, mut in_their_place) = (0, 0);
        for number in &chosen {
            let file = catalogue.piece(number)?;
            reports(&mut parcel, &catalogue, &store, &file, day)?;
            for photo in &file.photographs {
                let packed = pack(&mut parcel, &handed, &store, photo)?;
                taken += usize::from(packed != Packed::Before);
                in_their_place += usize::from(packed == Packed::View);
            }
            bar.inc(1);
        }
        bar.finish_and_clear();
        if in_their_place > 0 {
            about.left_out.push(format!(
                "{} that hold a position; a smaller copy without it is in the bag",
                count(in_their_place, "original")
            ));
        }
        let name = catalogue.collection()?.name.unwrap_or_default();
        drop(moment);
        parcel.page("bag", PAGE)?;
        tags(&mut parcel, &name, &chosen, day)?;
        let written = parcel.finish()?;
        let what = format!("{} with {}", count(chosen.len(), "piece"), count(taken, "photograph"));
        Told { what, place: &place, written, left_out: &handed.left_out(&about) }.say(desk);
        Ok(())
    }
}

/// The pages of a piece.
fn reports(
    parcel: &mut Parcel,
    catalogue: &Catalogue,
    store: &Store,
    file: &PieceFile,
    day: Date,
) -> Result<(), Failure> {
    let pictures = StorePictures::embedded(store);
    let collection = catalogue.collection()?;
    let settings = Settings {
        vocabulary: catalogue.vocabulary(),
        printed_on: day,
        collection: collection.name.as_deref().unwrap_or_default(),
        place: collection.place,
        pictures: &pictures,
    };
    let mut put = |name: &str, page: String| {
        let name = format!("data/{}/{name}.html", file_stem(file.number()));
        parcel.file(&name, |to| to.write_all(page.as_bytes()))
    };
    put("catalogue", report::catalogue_entry(file, &settings).map_err(|e| e.to_string())?)?;
    if !file.examinations.is_empty() {
        put("condition", report::condition(file, None, &settings).map_err(|e| e.to_string())?)?;
    }
    Ok(())
}

/// How a photograph came into the bag.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Packed {
    /// With another piece that it shows.
    Before,
    /// Whole.
    Original,
    /// As a smaller copy, because a position stands in the original.
    View,
}

fn pack(parcel: &mut Parcel, handed: &Handed<'_>, store: &Store, photo: &Photograph) -> Result<Packed, Failure> {
    let named = |end: &str| format!("data/photographs/{}{end}", photo.sha256);
    let original = store.original(&photo.sha256, &photo.extension);
    let whole = named(&format!(".{}", photo.extension));
    if parcel.files().contains_key(&whole) || parcel.files().contains_key(&named("-view.jpg")) {
        return Ok(Packed::Before);
    }
    let unread = |e: std::io::Error| Failure::from(format!("cannot read `{}`: {e}", original.display()));
    if !handed.keeps_back(&photo.sha256, &original).map_err(unread)? {
        parcel.copy(&original, &whole)?;
        return Ok(Packed::Original);
    }
    let view = store.view(&photo.sha256);
    if !view.is_file() {
        return Err(format!(
            "`{}` holds a position, and there is no smaller copy without it; `dimity check` makes one, or `--with-gps`",
            photo.original_name
        )
        .into());
    }
    parcel.copy(&view, &named("-view.jpg"))?;
    Ok(Packed::View)
}

/// The files that make it a bag, last of all.
fn tags(parcel: &mut Parcel, collection: &str, chosen: &[String], day: Date) -> Result<(), Failure> {
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
