//! `dimity photo count`: threads counted in a square of a photograph, shown to be confirmed, and stored only then.

use crate::catalogue::Catalogue;
use crate::cli::{Desk, Failure};
use crate::photograph::Store;
use crate::readings::threads::{Looked, Place, Square, Warp, in_words, look, scale_of, warp_and_weft, written};
use crate::record::photograph::Photograph;
use crate::threads::{self, Scale, Threads};

/// Count the threads in a square of a macro photograph
///
/// Prints threads per centimetre both ways with their standard uncertainty, or why nothing can be told. Look whether the
/// figures can be right before you take them: `--confirm` stores them as ends and picks, with the photograph and the
/// square named. Example: `dimity photo count 3fa9c1 --square 800,600,512 --scale "42.5 px/mm" --warp up`.
#[derive(Debug, clap::Args)]
pub struct Count {
    /// The photograph: the beginning of its SHA-256, as `dimity show NUMBER` lists it
    photograph: String,
    /// Left, top and side of the square, in pixels of the upright picture
    #[arg(long, value_name = "X,Y,SIDE")]
    square: String,
    /// Pixels to a length at the cloth: `11.8 px/mm`, `11.8 ± 0.1 px/mm`, `300 ppi`
    #[arg(long)]
    scale: Option<String>,
    /// Which way the warp runs in the picture; no picture tells that by itself
    #[arg(long, value_parser = ["across", "up"])]
    warp: Option<String>,
    /// Store the counts as ends and picks
    #[arg(long, requires_all = ["examination", "role", "warp"])]
    confirm: bool,
    /// Day of the examination that the counts belong to
    #[arg(long, value_name = "DAY")]
    examination: Option<jiff::civil::Date>,
    /// Which textile: shell, lining, trim ...
    #[arg(long)]
    role: Option<String>,
    /// Component that the square shows, if the photograph does not say
    #[arg(long)]
    component: Option<String>,
}

impl Count {
    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        let square = Square::parse(&self.square)?;
        let mut catalogue = desk.open()?;
        let photograph = catalogue.photograph(&self.photograph)?;
        let scale = self.scale(&photograph)?;
        let looked = look(&Store::at(&desk.folder), &photograph, square, scale)?;
        let count = match &looked.count {
            Ok(count) => count,
            Err(why) if desk.json => {
                desk.out.json(&serde_json::json!({ "cannot_tell": why.to_string(), "detail_px": looked.detail,
                    "ppi_at_object": scale.per_inch() }));
                return Ok(());
            }
            Err(why) => return Err(format!("cannot tell: {why}").into()),
        };
        let runs = if self.warp.as_deref() == Some("across") { Warp::Across } else { Warp::Up };
        let (warp, weft) = warp_and_weft(count, runs);
        if desk.json {
            desk.out.json(&serde_json::json!({ "up": count.up, "across": count.across, "repeat": count.repeat,
                "confidence": count.confidence, "confidence_words": count.in_words(), "detail_px": looked.detail,
                "ppi_at_object": scale.per_inch() }));
        } else {
            for (way, threads) in [("up", count.up), ("across", count.across)] {
                desk.out.line(format!("threads running {way:7} {}", in_words(&threads)));
            }
            desk.out.line(looked.clearness(count));
            if self.warp.is_some() {
                desk.out.line(format!("ends = [\"{}\"]\npicks = [\"{}\"]", written(&warp), written(&weft)));
            } else {
                desk.out.line("say which way the warp runs, `--warp up` or `--warp across`, to have ends and picks");
            }
        }
        if self.confirm { self.store(desk, &mut catalogue, &photograph, &looked, (&warp, &weft)) } else { Ok(()) }
    }

    /// The scale: the one given here, else the one set on the photograph.
    fn scale(&self, photograph: &Photograph) -> Result<Scale, Failure> {
        if let Some(text) = &self.scale {
            return threads::scale(text).map_err(|e| format!("`--scale {text}`: {e}").into());
        }
        scale_of(photograph).ok_or_else(|| {
            format!(
                "no scale is known for the photograph `{0}`; set it with `dimity photo scale {0} ...`, or give one here: \
                 `--scale \"11.8 px/mm\"`",
                self.photograph
            )
            .into()
        })
    }

    /// Enters the counts.
    fn store(
        &self,
        desk: &mut Desk,
        catalogue: &mut Catalogue,
        photograph: &Photograph,
        looked: &Looked,
        counts: (&Threads, &Threads),
    ) -> Result<(), Failure> {
        let (Some(day), Some(role)) = (self.examination, &self.role) else {
            return Err("to store a count give `--examination DAY` and `--role`".into());
        };
        let place = Place { day, role, component: self.component.as_deref() };
        let author = desk.author();
        let drawn = looked.enter((catalogue, &author), photograph, counts, place).map_err(Failure::of_sheet)?;
        // JSON has been printed already.
        if !desk.json {
            let number = &photograph.number;
            desk.out.line(match drawn {
                None => format!("nothing new; this count is recorded for {number} already"),
                Some(label) => format!("{number}: count stored with evidence measured; the square is region {label}"),
            });
        }
        Ok(())
    }
}
