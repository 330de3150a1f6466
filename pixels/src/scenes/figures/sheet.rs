//! The published pattern: a printed plate of the spencer's pieces at one eighth.

use super::super::canvas::{Colour, P, p, shape};
use super::super::garment::Trim;
use super::{Figure, Wardrobe};

const INK: Colour = [0.16, 0.14, 0.13];
const GRID: Colour = [0.36, 0.46, 0.56];

/// How the plate is drawn: an eighth of full size.
const EIGHTH: f32 = 0.125;

/// The plate was laid out larger; this brings pieces and words to an eighth about its middle.
const DRAWN_IN: f32 = EIGHTH / 0.19;

fn piece(f: &mut Figure, text: &str, at: P) {
    let outline: Vec<P> = shape(text).iter().map(|q| *q * EIGHTH + at * DRAWN_IN).collect();
    let rim: Vec<P> = outline.iter().chain(outline.first()).copied().collect();
    let middle = outline.iter().fold(p(0.0, 0.0), |a, q| a + *q) * (1.0 / outline.len().max(1) as f32);
    f.trim(Trim::Line(rim, 0.55, INK, 0.92));
    let seam: Vec<P> = outline.iter().chain(outline.first()).map(|q| middle + (*q - middle) * 0.93).collect();
    f.trim(Trim::Stitches(seam, 1.3, 1.0, 0.26, INK));
}

fn word(f: &mut Figure, x: f32, y: f32, tall: f32, text: &str) {
    f.trim(Trim::Text(p(x, y), tall, INK, text.to_owned()));
}

/// The whole plate.
pub fn pattern(w: &Wardrobe) -> Figure {
    let mut f = Figure::default();
    let page = f.panel(shape("-98,-124! 98,-124! 98,124! -98,124!"), w.shell);
    (page.round, page.puff, page.lift, page.rumple) = (5.0, 0.7, 2.2, 1.6);
    page.folds = vec![fold_line()];
    let frame = [p(-88.0, -112.0), p(88.0, -112.0), p(88.0, 112.0), p(-88.0, 112.0), p(-88.0, -112.0)];
    f.trim(Trim::Line(frame.to_vec(), 0.7, INK, 0.85));
    let inner: Vec<P> = frame.iter().map(|q| *q * 0.982).collect();
    f.trim(Trim::Line(inner, 0.25, INK, 0.8));
    piece(
        &mut f,
        "64,-2! 168,34! 153,66 148,104 158,146 190,184! 184,262 178,326! 60,343 -14,345! -15,230 -13,84! 34,52 50,22",
        p(-74.0, -88.0),
    );
    piece(&mut f, "0,0! 62,-8! 160,40! 146,74 140,112! 104,160 64,224 40,330! 0,334!", p(-18.0, -88.0));
    piece(&mut f, "140,112! 150,152 186,186! 178,262 168,322! 42,332! 66,224 106,160", p(18.0, -88.0));
    piece(&mut f, "0,90 60,24 150,0 240,34 300,110! 270,240 240,420 226,520! 80,524! 60,380 30,220", p(-72.0, 6.0));
    piece(&mut f, "0,0! 140,-20 220,20 236,80! 140,96 0,90!", p(8.0, 20.0));
    piece(&mut f, "0,0! 380,0! 380,48! 0,48!", p(4.0, 60.0));
    piece(&mut f, "0,0! 52,0! 58,52 30,66 2,54!", p(66.0, 24.0));
    for (x, y, text) in [
        (-62.0, -38.0, "A FRONT"),
        (-15.0, -64.0, "B BACK"),
        (40.0, -34.0, "C SIDE"),
        (-54.0, 40.0, "D SLEEVE"),
        (18.0, 28.0, "E COLLAR"),
        (24.0, 63.5, "F WAIST"),
        (68.0, 29.0, "G"),
    ] {
        word(&mut f, x * DRAWN_IN, y * DRAWN_IN, 2.0, text);
    }
    word(&mut f, -34.0, -106.0, 5.4, "A SPENCER");
    word(&mut f, 60.0, -106.0, 3.0, "PLATE 14");
    word(&mut f, 4.0, 84.0, 2.8, "ONE EIGHTH OF FULL SIZE");
    for k in 0..=6 {
        let x = 4.0 + 12.7 * k as f32;
        f.trim(Trim::Line(vec![p(x, 94.0), p(x, if k % 2 == 0 { 99.0 } else { 97.0 })], 0.45, INK, 0.9));
    }
    f.trim(Trim::Line(vec![p(4.0, 94.0), p(80.2, 94.0)], 0.45, INK, 0.9));
    word(&mut f, 3.2, 101.5, 2.6, "0");
    word(&mut f, 70.0, 101.5, 2.6, "24 IN");
    for grain in
        [[p(-56.0, -70.0), p(-56.0, -46.0)], [p(-12.0, -50.0), p(-12.0, -32.0)], [p(-44.0, 50.0), p(-44.0, 84.0)]]
    {
        let grain = grain.map(|q| q * DRAWN_IN);
        f.trim(Trim::Line(grain.to_vec(), 0.4, INK, 0.85));
        for end in [0, 1] {
            let back = if end == 0 { 1.8 } else { -1.8 };
            f.trim(Trim::Line(vec![grain[end] + p(-1.0, back), grain[end], grain[end] + p(1.0, back)], 0.4, INK, 0.85));
        }
    }
    f
}

fn fold_line() -> super::super::garment::Fold {
    super::fold("-96,2 0,1 96,2", 1.0, (2.4, 2.4), -0.8, 0.8)
}

/// The pieces of the detail plate at full size, in millimetres, and where their first place lies on the page.
const PIECES: [(&str, P); 4] = [
    // Half of the back, its centre on the fold.
    ("0,0! 30,-2 58,-14! 120,4 150,22! 147,60 150,100! 118,150 84,210 58,280 42,332! 0,332!", p(-20.0, -34.0)),
    // Half of the collar, its centre back on the fold.
    ("0,0! 80,4 170,-6 232,-30! 250,40 254,70! 190,96 90,106 0,108!", p(8.0, -30.0)),
    // Half of the waistband, its centre back on the fold.
    ("0,0! 372,0! 372,28! 0,28!", p(8.0, -6.0)),
    (
        "0,120! 30,70 90,15 146,0 205,14 262,66 292,120! 285,250 264,340 240,440 234,556! 58,556! 50,430 28,320 8,230",
        p(-66.0, -38.0),
    ),
];

/// The detail plate as it comes from a flatbed: half back, half collar, half waistband and sleeve at an eighth, on a grid of
/// one inch at full size, with a bar of 24 in.
pub fn detail(w: &Wardrobe) -> Figure {
    let mut f = Figure::default();
    let page = f.panel(shape("-76,-54! 76,-54! 76,70! -76,70!"), w.shell);
    (page.round, page.puff, page.lift, page.rumple) = (0.5, 0.1, 0.3, 0.2);
    let square = 25.4 * EIGHTH;
    for k in 0..=40 {
        let x = (k as f32 - 20.0) * square;
        f.trim(Trim::Line(vec![p(x, -14.0 * square), p(x, 14.0 * square)], 0.1, GRID, 0.4));
        if k <= 28 {
            let y = (k as f32 - 14.0) * square;
            f.trim(Trim::Line(vec![p(-20.0 * square, y), p(20.0 * square, y)], 0.1, GRID, 0.4));
        }
    }
    for (text, at) in PIECES {
        let outline: Vec<P> = shape(text).iter().map(|q| *q * EIGHTH + at).collect();
        f.trim(Trim::Line(outline.iter().chain(outline.first()).copied().collect(), 0.4, INK, 0.92));
    }
    // Grain, and the folds a little outside the edge.
    for line in [[p(-14.0, -22.0), p(-14.0, -4.0)], [p(20.0, -28.0), p(20.0, -19.0)], [p(-48.0, -20.0), p(-48.0, 20.0)]]
    {
        f.trim(Trim::Line(line.to_vec(), 0.3, INK, 0.85));
        for (end, back) in [(0, 1.4), (1, -1.4)] {
            f.trim(Trim::Line(vec![line[end] + p(-0.8, back), line[end], line[end] + p(0.8, back)], 0.3, INK, 0.85));
        }
    }
    for (x, y, text) in [
        (-12.6, -20.0, "BACK"),
        (23.0, -25.0, "COLLAR"),
        (14.0, -5.2, "WAISTBAND"),
        (-46.0, -4.0, "SLEEVE"),
        (-19.6, -30.5, "FOLD"),
        (8.4, -20.0, "FOLD"),
    ] {
        word(&mut f, x, y, 1.7, text);
    }
    word(&mut f, -66.0, -50.0, 3.4, "A SPENCER: DETAILS");
    word(&mut f, 34.0, -50.0, 2.2, "PLATE 14 B");
    word(&mut f, -20.0, 20.0, 2.0, "ONE EIGHTH OF FULL SIZE");
    for k in 0..=6 {
        let x = -20.0 + 12.7 * k as f32;
        f.trim(Trim::Line(vec![p(x, 28.0), p(x, if k % 2 == 0 { 33.0 } else { 31.0 })], 0.35, INK, 0.9));
    }
    f.trim(Trim::Line(vec![p(-20.0, 28.0), p(56.2, 28.0)], 0.35, INK, 0.9));
    word(&mut f, -20.8, 35.0, 2.0, "0");
    word(&mut f, 50.0, 35.0, 2.0, "24 IN");
    f
}
