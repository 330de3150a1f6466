//! Photographs on a page: the picture, the regions drawn over it, the caption, and what the camera recorded.

use std::collections::{HashMap, HashSet};

use serde::Serialize;

use super::Settings;
use super::letters::Letters;
use super::light;
use super::target;
use super::words::{Facts, capital, day, joined, term, text};
use crate::analysis::sampling::sampling;
use crate::geometry::Point;
use crate::record::capture::Capture;
use crate::record::photograph::{Photograph, Region, Shape};
use crate::record::{Examination, Observation, Observed, PieceFile};
use crate::threads::PIXELS_AT_LEAST;

/// One photograph, ready to print.
#[derive(Debug, Serialize)]
pub(super) struct Plate {
    /// Number of the figure.
    pub number: usize,
    /// The picture; blank if there is none.
    pub src: String,
    pub alt: String,
    pub width: u32,
    pub height: u32,
    /// Marks over the picture; empty if nothing is drawn.
    pub marks: Vec<Mark>,
    /// Sizes for the marks, in pixels of the original.
    pub pen: Pen,
    /// The hatches used, as the page draws them.
    pub hatches: Vec<usize>,
    /// The sign of each region, in order; blank where nothing is drawn.
    #[serde(skip)]
    pub signs: Vec<String>,
    /// The kind of what each region shows, in order.
    #[serde(skip)]
    pub kinds: Vec<String>,
    /// What each mark shows.
    pub keys: Vec<Key>,
    /// View and component, then the photographer's own words.
    pub lead: String,
    pub caption: String,
    /// Light, day, photographer, stage.
    pub circumstances: String,
    /// Credit, holder and statement; blank where none is recorded.
    pub rights: String,
    pub missing: Vec<&'static str>,
    /// What the file and the camera say.
    pub file: FileData,
}

/// The file of a photograph and its capture data.
#[derive(Debug, Serialize)]
pub(super) struct FileData {
    pub name: String,
    pub size: String,
    pub sha256: String,
    pub sha256_short: String,
    pub facts: Facts,
    pub remarks: Vec<String>,
}

/// One mark: a shape and the sign beside it.
#[derive(Debug, PartialEq, Serialize)]
pub(super) struct Mark {
    /// `point`, `line`, `outline`, or `part` for the outline of a component.
    pub shape: &'static str,
    /// Positions as SVG wants them; for outlines a path, holes and all.
    pub points: String,
    /// Which hatch fills an outline.
    pub hatch: usize,
    /// The first position.
    pub x: String,
    pub y: String,
    /// The letter or figure, and where it stands.
    pub sign: String,
    pub sign_x: String,
    pub sign_y: String,
}

/// A sign and what it stands for.
#[derive(Debug, PartialEq, Serialize)]
pub(super) struct Key {
    pub sign: String,
    pub words: String,
    /// `hatched`, `part` or blank: which sample stands beside it.
    pub sample: &'static str,
    pub hatch: usize,
}

/// How many hatches the page can draw; a kind beyond them takes one that was used before. Its letter still tells.
const HATCHES: usize = 6;

/// Line widths and letter size, in pixels of the original, so that they look alike on every picture.
#[derive(Debug, Default, PartialEq, Serialize)]
pub(super) struct Pen {
    pub line: String,
    pub halo: String,
    pub letter: String,
    pub letter_halo: String,
    pub pitch: String,
    pub hatch: String,
    pub dot: String,
    pub sample_wide: String,
    pub sample_tall: String,
}

/// What an observation is called.
#[derive(Debug, Clone)]
pub(super) struct Name {
    /// The damage, sign or dimension: one kind has one hatch.
    pub kind: String,
    /// The same with the component.
    pub words: String,
}

/// What the photographs are of, and what is drawn on them.
#[derive(Clone, Copy)]
pub(super) struct Subject<'a> {
    pub file: &'a PieceFile,
    pub letters: &'a Letters,
    pub names: &'a Names,
    /// The piece in words, for those who do not see the picture.
    pub words: &'a str,
}

/// What each observation of a piece is called, by identifier.
pub(super) type Names = HashMap<String, Name>;

/// Names every observation, so that a region can say what it shows.
pub(super) fn names(examinations: &[Examination]) -> Names {
    fn each<T: Observation>(names: &mut Names, list: &[Observed<T>], name: impl Fn(&T) -> String) {
        for o in list {
            if let Some(id) = &o.id {
                let kind = name(&o.what);
                let words = joined([kind.clone(), text(o.component.as_ref())], ", ");
                names.insert(id.clone(), Name { kind, words });
            }
        }
    }
    let mut names = Names::new();
    for e in examinations {
        each(&mut names, &e.textiles, |t| joined([term(t.role.as_ref()), text(t.name.as_ref())], ": "));
        each(&mut names, &e.measurements, |m| term(m.dimension.as_ref()));
        each(&mut names, &e.stitching, |s| joined([term(s.purpose.as_ref()), term(s.stitch.as_ref())], ": "));
        each(&mut names, &e.fastenings, |f| term(f.fastening.as_ref()));
        each(&mut names, &e.stiffening, |s| term(s.stiffener.as_ref()));
        each(&mut names, &e.trimmings, |t| term(t.trimming.as_ref()));
        each(&mut names, &e.steps, |s| text(s.done.as_ref()));
        each(&mut names, &e.signs, |s| term(s.sign.as_ref()));
        each(&mut names, &e.conditions, |c| term(c.damage.as_ref()));
        each(&mut names, &e.hazards, |h| term(h.hazard.as_ref()));
    }
    names
}

/// One photograph of a piece, by its place among them.
pub(super) fn one(file: &PieceFile, at: usize, settings: &Settings<'_>) -> Option<Plate> {
    let letters = Letters::of(&file.examinations, file.examinations.len().saturating_sub(1), &[]);
    let of = Subject { file, letters: &letters, names: &names(&file.examinations), words: file.number() };
    plates(file.photographs.get(at).into_iter(), &of, settings).pop()
}

/// Prepares photographs in the order given, numbered from 1.
pub(super) fn plates<'a>(
    photographs: impl Iterator<Item = &'a Photograph>,
    of: &Subject<'_>,
    settings: &Settings<'_>,
) -> Vec<Plate> {
    let mut kinds = Vec::new();
    photographs.enumerate().map(|(i, p)| plate(p, i + 1, of, &mut kinds, settings)).collect()
}

fn plate(p: &Photograph, number: usize, of: &Subject<'_>, kinds: &mut Vec<String>, s: &Settings<'_>) -> Plate {
    let Drawn { marks, keys, signs, kinds } = drawn(p, of.letters, of.names, kinds);
    let mut hatches: Vec<usize> = marks.iter().filter(|m| m.shape == "outline").map(|m| m.hatch).collect();
    hatches.sort_unstable();
    hatches.dedup();
    let view = term(p.view.as_ref());
    let lead = capital(&joined([view.clone(), text(p.component.as_ref())], ", "));
    let taken = day(p.capture.day());
    let light = term(p.light.as_ref());
    let photographer = text(p.photographer.as_ref());
    let blanks = [("view", &view), ("light", &light), ("date", &taken), ("photographer", &photographer)];
    let missing = blanks.into_iter().filter(|(_, v)| v.is_empty()).map(|(name, _)| name).collect();
    let stage = text(p.stage.as_ref());
    let stage = if stage.is_empty() { stage } else { format!("{stage} treatment") };
    let by = if photographer.is_empty() { photographer } else { format!("photograph {photographer}") };
    let caption = text(p.caption.as_ref());
    let drawn = joined(keys.iter().map(|k| format!("{} {}", k.sign, k.words)), "; ");
    let drawn = if drawn.is_empty() { drawn } else { format!("drawn on it: {drawn}") };
    let head = if lead.is_empty() { "Photograph".to_owned() } else { lead.clone() };
    let alt = joined([format!("{head} of {}", of.words), caption.clone(), drawn], ". ");
    Plate {
        number,
        src: s.pictures.view(&p.sha256).unwrap_or_default(),
        alt,
        width: p.width,
        height: p.height,
        pen: pen(p),
        hatches,
        signs,
        kinds,
        marks,
        keys,
        lead,
        caption,
        circumstances: capital(&joined([light, stage, taken, by], ", ")),
        rights: p.rights.caption(s.vocabulary),
        missing,
        file: file_data(p, of.file, s),
    }
}

/// What is drawn on one photograph.
#[derive(Default)]
struct Drawn {
    marks: Vec<Mark>,
    keys: Vec<Key>,
    signs: Vec<String>,
    kinds: Vec<String>,
}

/// The marks of a photograph and what they stand for. A region that shows a condition note takes the note's letter;
/// any other keeps its own label, or a number where that would be taken for a note. `hatched` lists the kinds that have
/// a hatch already, so that a kind looks alike on every figure.
fn drawn(p: &Photograph, letters: &Letters, names: &Names, hatched: &mut Vec<String>) -> Drawn {
    let mut used = HashSet::new();
    let mut drawn = Drawn::default();
    let mut count = 0..;
    for region in &p.regions {
        let note = region.shows.as_deref().and_then(|id| letters.of_note(id));
        let own = region.label.trim();
        let sign = match note {
            Some(letter) => letter.to_owned(),
            None if !own.is_empty() && own.chars().count() <= 3 && !letters.has(own) && used.insert(own.to_owned()) => {
                own.to_owned()
            }
            None => {
                count.by_ref().map(|n: u32| (n + 1).to_string()).find(|n| used.insert(n.clone())).unwrap_or_default()
            }
        };
        let name = region.shows.as_ref().and_then(|id| names.get(id));
        let part = region.outlines.as_ref().map(|name| format!("outline of {name}")).unwrap_or_default();
        let kind = name.map(|n| n.kind.clone()).unwrap_or_default();
        let what = name.map(|n| n.words.clone()).unwrap_or_default();
        let words = joined([what, part, text(region.note.as_ref())], "; ");
        let words = if words.is_empty() { "what it shows is not recorded".to_owned() } else { words };
        let outline = matches!(region.shape, Shape::Outline(_));
        let hatch = if outline && region.outlines.is_none() { hatch(&kind, hatched) } else { 0 };
        let sample = match (outline, &region.outlines) {
            (false, _) => "",
            (true, Some(_)) => "part",
            (true, None) => "hatched",
        };
        if let Some(mark) = mark(region, &sign, hatch, p) {
            drawn.marks.push(mark);
        }
        if !drawn.keys.iter().any(|k: &Key| k.sign == sign && k.words == words) {
            drawn.keys.push(Key { sign: sign.clone(), words, sample, hatch });
        }
        drawn.signs.push(sign);
        drawn.kinds.push(kind);
    }
    drawn
}

/// The hatch of a kind: the next one free for a new kind.
fn hatch(kind: &str, hatched: &mut Vec<String>) -> usize {
    let at = hatched.iter().position(|k| k == kind).unwrap_or_else(|| {
        hatched.push(kind.to_owned());
        hatched.len() - 1
    });
    at % HATCHES
}

/// One pixel of a picture a thousand pixels long.
fn unit(p: &Photograph) -> f64 {
    f64::from(p.width.max(p.height).max(1)) / 1000.0
}

fn pen(p: &Photograph) -> Pen {
    let of = |times: f64| figure(unit(p) * times);
    Pen {
        line: of(2.4),
        halo: of(7.0),
        letter: of(36.0),
        letter_halo: of(8.0),
        pitch: of(12.0),
        hatch: of(1.4),
        dot: of(9.0),
        sample_wide: of(58.0),
        sample_tall: of(34.0),
    }
}

fn mark(region: &Region, sign: &str, hatch: usize, p: &Photograph) -> Option<Mark> {
    let shape = match region.shape {
        Shape::Blank => return None,
        Shape::Point(_) => "point",
        Shape::Line(_) => "line",
        Shape::Outline(_) if region.outlines.is_some() => "part",
        Shape::Outline(_) => "outline",
    };
    let finite = |(x, y): &Point| x.is_finite() && y.is_finite();
    let points: Vec<Point> = region.shape.points().filter(finite).collect();
    let first = *points.first()?;
    let (left, right) = points.iter().fold((first.0, first.0), |(a, b), (x, _)| (a.min(*x), b.max(*x)));
    let top = points.iter().fold(first.1, |a, (_, y)| a.min(*y));
    let letter = 36.0 * unit(p);
    // The sign stands above the shape, and below its upper edge where the picture ends.
    let within =
        |value: f64, length: u32| value.clamp(letter * 0.6, (f64::from(length) - letter * 0.6).max(letter * 0.6));
    let (x, y) = match shape {
        "outline" | "part" => (f64::midpoint(left, right), top - letter * 0.75),
        _ => (first.0 + letter * 0.6, first.1 - letter * 0.6),
    };
    let pairs = |points: &[Point]| {
        let pairs = points.iter().filter(|p| finite(p)).map(|(x, y)| format!("{},{}", figure(*x), figure(*y)));
        pairs.collect::<Vec<_>>()
    };
    let written = match &region.shape {
        Shape::Outline(outline) => {
            outline.rings().flat_map(|ring| ["M".into(), pairs(ring).join("L"), "Z".into()]).collect()
        }
        _ => pairs(&points).join(" "),
    };
    Some(Mark {
        shape,
        points: written,
        hatch,
        x: figure(first.0),
        y: figure(first.1),
        sign: sign.to_owned(),
        sign_x: figure(within(x, p.width)),
        sign_y: figure(within(y, p.height)),
    })
}

/// A number with one decimal at most.
fn figure(value: f64) -> String {
    let text = format!("{value:.1}");
    text.strip_suffix(".0").unwrap_or(&text).to_owned()
}

fn file_data(p: &Photograph, file: &PieceFile, s: &Settings<'_>) -> FileData {
    FileData {
        name: p.original_name.clone(),
        size: format!("{} × {} px, {}", p.width, p.height, bytes(p.bytes)),
        sha256_short: p.sha256.chars().take(8).collect(),
        sha256: p.sha256.clone(),
        facts: target::facts(p, shows(p, file, light::facts(p, s, capture(&p.capture)))),
        remarks: p.remarks.clone(),
    }
}

/// Adds what the photograph can show of the piece.
fn shows(p: &Photograph, file: &PieceFile, facts: Facts) -> Facts {
    let found = sampling(p, file);
    let seen = found.cloths.iter().filter(|c| c.pixels >= PIXELS_AT_LEAST);
    let threads = joined(seen.map(|c| format!("{}: {:.1} px a thread, {}", c.cloth, c.pixels, c.shown)), "; ");
    let too_coarse = threads.is_empty() && !found.cloths.is_empty();
    let threads = if too_coarse { "too coarse to show those of any cloth".to_owned() } else { threads };
    facts
        .may_say("At the object", found.ppi.map(|ppi| format!("{ppi:.0} pixels an inch")).unwrap_or_default())
        .may_say("Threads", threads)
        .may_say("Exposure time", found.hand_held)
}

fn bytes(n: u64) -> String {
    match n {
        0..1_000 => format!("{n} bytes"),
        1_000..1_000_000 => format!("{:.0} kB", n as f64 / 1e3),
        _ => format!("{:.1} MB", n as f64 / 1e6),
    }
}

/// What the camera says, each item or its blank.
fn capture(c: &Capture) -> Facts {
    let number = |n: Option<f64>, before: &str, after: &str| {
        n.filter(|n| n.is_finite()).map(|n| format!("{before}{}{after}", figure(n))).unwrap_or_default()
    };
    let make = text(c.make.as_ref());
    let model = text(c.model.as_ref());
    let camera = if model.starts_with(&make) { model } else { joined([make, model], " ") };
    let bias = c.exposure_bias_ev.filter(|b| b.is_finite() && *b != 0.0).map(|b| format!("{b:+.1} EV"));
    let position = if c.has_position { "in the file, not printed here" } else { "" };
    Facts::default()
        .say("Time", time(c))
        .say("Camera", camera)
        .say("Lens", text(c.lens.as_ref()))
        .say("Focal length", number(c.focal_length_mm, "", " mm"))
        .say("Aperture", number(c.aperture, "f/", ""))
        .say("Shutter", c.shutter_s.and_then(shutter).unwrap_or_default())
        .say("ISO", c.iso.map(|i| i.to_string()).unwrap_or_default())
        .may_say("Compensation", bias.unwrap_or_default())
        .say("Flash", text(c.flash.as_ref()))
        .say("White balance", text(c.white_balance.as_ref()))
        .say("Colour space", text(c.colour_space.as_ref()))
        .may_say("Written by", text(c.software.as_ref()))
        .may_say("Position", position)
}

fn time(c: &Capture) -> String {
    let Some(taken) = c.taken.as_deref().map(str::trim).filter(|t| !t.is_empty()) else {
        return String::new();
    };
    let zone = c.offset.as_ref().map_or_else(|| "zone not recorded".to_owned(), |o| format!("UTC {o}"));
    format!("{}, {zone}", taken.replacen('T', " ", 1))
}

/// An exposure time as a photographer says it: `1/125 s`, `2 s`.
fn shutter(seconds: f64) -> Option<String> {
    if !seconds.is_finite() || seconds <= 0.0 {
        return None;
    }
    Some(if seconds < 0.4 { format!("1/{:.0} s", 1.0 / seconds) } else { format!("{} s", figure(seconds)) })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn exposure_reads_as_a_photographer_says_it() {
        let cases = [(0.008, Some("1/125 s")), (0.5, Some("0.5 s")), (2.0, Some("2 s")), (0.0, None), (f64::NAN, None)];
        for (seconds, wanted) in cases {
            assert_eq!(shutter(seconds).as_deref(), wanted, "{seconds}");
        }
    }

    #[test]
    fn a_time_without_an_offset_says_that_its_zone_is_unknown() {
        let mut c = Capture { taken: Some("2018-11-14T11:20:05".into()), ..Capture::default() };
        assert_eq!(time(&c), "2018-11-14 11:20:05, zone not recorded");
        c.offset = Some("+01:00".into());
        assert_eq!(time(&c), "2018-11-14 11:20:05, UTC +01:00");
    }

    #[test]
    fn signs_stay_inside_the_picture_and_odd_positions_are_left_out() {
        let p = Photograph { width: 1000, height: 500, ..Photograph::default() };
        let region = |shape| Region { shape, ..Region::default() };
        let cases = [
            (Shape::Outline(vec![(0.0, 0.0), (10.0, 0.0), (5.0, 5.0)].into()), Some(("21.6", "21.6"))),
            (Shape::Outline(vec![(400.0, 300.0), (600.0, 300.0), (500.0, 400.0)].into()), Some(("500", "273"))),
            (Shape::Point((1000.0, 500.0)), Some(("978.4", "478.4"))),
            (Shape::Point((f64::NAN, 5.0)), None),
            (Shape::Blank, None),
        ];
        for (shape, wanted) in cases {
            let found = mark(&region(shape.clone()), "A", 0, &p);
            let at = found.as_ref().map(|m| (m.sign_x.as_str(), m.sign_y.as_str()));
            assert_eq!(at, wanted, "{shape:?}");
        }
    }
}
