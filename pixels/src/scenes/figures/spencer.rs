//! The spencer of about 1815, its calico mock-up and its reconstruction: one cut, three cloths.

use super::super::canvas::{Colour, dim, line, p, shape};
use super::super::garment::Trim;
use super::{Figure, Wardrobe, flip, fold, gathers, half, ribbon, stitches};

const SLEEVE: &str = "160,40! 186,22 218,34 240,74 251,140 262,220 273,300 284,380 293,455 299,528! 278,536 \
                      254,537! 247,470 234,390 220,310 204,235 190,186! 163,160 149,125 146,104 150,70";
const FRONT: &str = "64,-2! 168,34! 153,66 148,104 158,146 190,184! 184,262 178,326! 120,338 60,343 -14,345! \
                     -15,230 -13,84! 12,80 34,52 50,22";
const COLLAR: &str = "0,-40! 34,-36 66,-18 84,12 94,62! 66,78 30,92! 40,58 47,28 38,4 20,-8 0,-12!";

fn sleeves(f: &mut Figure, w: &Wardrobe, back: bool) {
    for side in [-1.0, 1.0] {
        let sleeve = f.panel(half(SLEEVE, side), w.shell);
        (sleeve.round, sleeve.puff, sleeve.grain, sleeve.lie) = (40.0, 20.0, -0.13 * side, -0.2 * side);
        sleeve.folds = gathers(
            &flip(line("150,86 156,52 186,24 216,34"), side),
            &flip(line("180,150 196,128 220,118 246,126"), side),
            14,
            (3.0, 6.0),
            3.4,
            if back { 5 } else { 3 },
        );
        sleeve.folds.extend([
            fold("206,250 226,268 262,262", side, (7.0, 9.0), 5.0, 0.3),
            fold("212,280 236,300 272,306", side, (6.0, 10.0), -4.0, 0.2),
            fold("222,306 246,322 276,318", side, (6.0, 8.0), 4.5, 0.35),
            fold("238,392 256,402 284,392", side, (5.0, 8.0), 3.2, 0.2),
            fold("200,196 214,214 246,204", side, (6.0, 10.0), 4.0, 0.2),
            fold("248,452 266,458 292,448", side, (4.0, 7.0), 2.4, 0.2),
        ]);
        f.seam(if back { "186,184 214,250 244,372 262,537" } else { "196,192 220,280 240,380 259,500" }, side);
        let cuff = f.panel(flip(ribbon(&line("250,512 272,513 296,505"), 20.0), side), w.shell);
        (cuff.round, cuff.puff, cuff.grain, cuff.lift, cuff.rumple) = (16.0, 7.0, -0.13 * side, 0.8, 0.3);
        f.trim(stitches("249,503 272,504 295,496", side, dim(w.shell.warp, 1.12)));
        f.trim(stitches("254,533 276,532 298,524", side, dim(w.shell.warp, 1.12)));
    }
}

fn waistband(f: &mut Figure, w: &Wardrobe, text: &str, stitch: (&str, &str)) {
    let band = f.panel(ribbon(&line(text), 24.0), w.shell);
    (band.round, band.puff, band.lift, band.rumple, band.grain) = (10.0, 3.0, 1.0, 0.35, 1.57);
    f.trim(stitches(stitch.0, 1.0, dim(w.shell.warp, 1.14)));
    f.trim(stitches(stitch.1, 1.0, dim(w.shell.warp, 1.14)));
}

/// Closed, from the front.
pub fn front(w: &Wardrobe) -> Figure {
    let mut f = Figure::default();
    let inside = f.panel(shape("-66,0! -30,-24 0,-28 30,-24 66,0! 60,60 20,110! -20,110! -60,60"), w.lining);
    (inside.tone, inside.puff, inside.round, inside.lift) = (0.72, -6.0, 40.0, 2.0);
    f.trim(stitches("-58,10 -28,-10 0,-14 28,-10 58,10", 1.0, [0.95, 0.92, 0.85]));
    sleeves(&mut f, w, false);
    for side in [-1.0, 1.0] {
        let front = f.panel(half(FRONT, side), w.shell);
        (front.round, front.puff, front.lift) = (24.0, 7.0, 1.2);
        front.grain = 0.06 * side;
        front.folds = gathers(
            &flip(line("16,322 60,322 112,316"), side),
            &flip(line("40,200 70,196 104,206"), side),
            9,
            (3.2, 9.0),
            3.0,
            if side > 0.0 { 12 } else { 15 },
        );
        front.folds.extend([
            fold("152,120 128,140 96,146", side, (8.0, 16.0), 5.0, 0.1),
            fold("164,160 136,186 108,196", side, (7.0, 14.0), 3.6, 0.2),
            fold("74,96 84,160 80,236", side, (34.0, 34.0), 9.0, 0.0),
        ]);
        f.seam("154,60 147,104 158,146 189,184", side);
        f.trim(Trim::Cord(flip(line("168,35 153,68 148,104 158,146 189,184"), side), 2.6, dim(w.shell.warp, 1.10)));
        f.seam("112,318 108,270 98,226", side);
        f.seam("66,322 66,280 70,240", side);
    }
    f.trim(stitches("-6,86 -8,200 -7,318", 1.0, dim(w.shell.warp, 1.15)));
    f.trim(Trim::Cord(line("-14,84 -15,220 -14,332"), 2.2, dim(w.shell.warp, 1.02)));
    waistband(
        &mut f,
        w,
        "-181,318 -120,328 -60,333 0,334 60,333 120,328 181,318",
        ("-180,309 -60,323 0,324 60,323 180,309", "-180,327 -60,342 0,343 60,342 180,327"),
    );
    for side in [-1.0, 1.0] {
        let collar = f.panel(half(COLLAR, side), w.shell);
        (collar.round, collar.puff, collar.lift, collar.grain) = (12.0, 5.0, 4.0, 0.5 * side);
        collar.folds = vec![fold("0,-24 34,-20 58,4 66,40", side, (8.0, 12.0), 4.0, 0.3)];
        f.trim(stitches("2,-36 34,-32 63,-15 80,13 89,59 66,73 36,86", side, dim(w.shell.warp, 1.15)));
    }
    for i in 0..5 {
        f.trim(Trim::Button(p(0.0, 112.0 + 49.0 * i as f32), 6.6, dim(w.shell.warp, 1.05), false));
    }
    f
}

/// Closed, from the back.
pub fn back(w: &Wardrobe) -> Figure {
    let mut f = Figure::default();
    sleeves(&mut f, w, true);
    let body = f.panel(
        shape(
            "64,-8! 166,38! 150,70 145,104 148,126 162,161 191,187! 182,262 170,322! 90,334 0,338 -90,334 -170,322! \
             -182,262 -191,187! -162,161 -148,126 -145,104 -150,70 -166,38! -64,-8! 0,-20",
        ),
        w.shell,
    );
    (body.round, body.puff, body.lift) = (26.0, 8.0, 1.2);
    for side in [-1.0, 1.0] {
        body.folds.extend([
            fold("140,130 110,150 84,190", side, (8.0, 16.0), 4.0, 0.1),
            fold("60,200 64,260 58,318", side, (10.0, 8.0), 3.4, 0.2),
            fold("120,230 116,270 112,318", side, (10.0, 8.0), 3.4, 0.1),
            fold("24,60 30,140 22,230", side, (22.0, 18.0), 6.0, 0.0),
        ]);
    }
    for side in [-1.0, 1.0] {
        f.trim(Trim::Cord(
            flip(line("163,42 150,70 146,104 149,126 163,161 190,186"), side),
            2.6,
            dim(w.shell.warp, 1.10),
        ));
        f.seam("141,124 104,160 64,224 40,326", side);
        f.trim(Trim::Cord(flip(line("139,124 102,160 62,224 38,326"), side), 2.0, dim(w.shell.warp, 1.10)));
        f.seam("66,-4 118,30 160,58", side);
        f.seam("170,196 164,250 156,318", side);
    }
    f.seam("0,0 0,160 0,330", 1.0);
    waistband(
        &mut f,
        w,
        "-170,316 -90,326 0,330 90,326 170,316",
        ("-170,306 -90,317 0,320 90,317 170,306", "-169,325 -90,335 0,339 90,335 169,325"),
    );
    for side in [-1.0, 1.0] {
        let tab = f.panel(half("4,336! 48,334! 54,372 30,388 2,384!", side), w.shell);
        (tab.round, tab.puff, tab.lift) = (12.0, 4.0, 2.0);
        tab.folds = vec![fold("20,336 24,360 22,384", side, (5.0, 9.0), 4.0, 0.3)];
        f.trim(stitches("6,380 28,383 50,370 45,338", side, dim(w.shell.warp, 1.15)));
    }
    let collar =
        f.panel(shape("0,-44 46,-38 84,-12 96,30 92,62! 60,52 0,58 -60,52 -92,62! -96,30 -84,-12 -46,-38"), w.shell);
    (collar.round, collar.puff, collar.lift, collar.rumple) = (16.0, 8.0, 4.0, 0.6);
    collar.folds = vec![fold("-84,-4 -40,-26 0,-30 40,-26 84,-4", 1.0, (9.0, 9.0), 6.0, 0.4)];
    f.trim(stitches("-87,57 -60,47 0,53 60,47 87,57", 1.0, dim(w.shell.warp, 1.15)));
    f
}

/// Laid open, the lining towards the camera.
pub fn interior(w: &Wardrobe) -> Figure {
    let mut f = Figure::default();
    let thread: Colour = [0.93, 0.90, 0.82];
    for side in [-1.0, 1.0] {
        let sleeve = f.panel(
            half(
                "150,70! 190,30 236,40 268,92 300,170 336,300 362,410! 330,424 318,426! 280,330 240,240 196,190!",
                side,
            ),
            w.shell,
        );
        (sleeve.round, sleeve.puff, sleeve.grain, sleeve.tone) = (34.0, 16.0, -0.3 * side, 0.92);
        sleeve.folds = vec![
            fold("236,230 264,240 304,216", side, (8.0, 10.0), 5.0, 0.3),
            fold("262,292 290,300 330,282", side, (7.0, 10.0), 4.0, 0.3),
        ];
        let open = f.panel(
            half("178,186! 176,60 188,4! 262,-20 300,18 330,72! 352,180 364,338! 300,340 230,336 170,326!", side),
            w.lining,
        );
        (open.round, open.puff, open.lift, open.grain) = (26.0, 8.0, 3.5, 0.1 * side);
        open.folds = vec![
            fold("250,330 256,280 250,230", side, (6.0, 12.0), 4.0, 0.2),
            fold("300,334 304,290 296,240", side, (6.0, 12.0), 3.6, 0.2),
            fold("186,120 216,140 260,130", side, (8.0, 14.0), 4.0, 0.1),
        ];
        let facing = f.panel(half("326,72! 336,72! 358,180 372,340! 352,340! 340,180", side), w.shell);
        (facing.round, facing.puff, facing.lift) = (8.0, 2.0, 0.8);
        f.trim(Trim::Stitches(flip(line("327,76 340,180 352,336"), side), 1.6, 3.4, 0.7, thread));
        f.trim(Trim::Stitches(flip(line("262,-14 298,22 324,70"), side), 1.6, 3.4, 0.7, thread));
        f.seam("248,330 246,270 240,230", side);
        f.trim(Trim::Stitches(flip(line("253,330 251,270 245,230"), side), 2.6, 1.6, 0.6, thread));
    }
    let back = f.panel(
        shape(
            "64,-8! 188,26! 162,70 152,110 160,152 186,184! 182,262 172,326! 90,336 0,340 -90,336 -172,326! \
             -182,262 -186,184! -160,152 -152,110 -162,70 -188,26! -64,-8! 0,10",
        ),
        w.lining,
    );
    (back.round, back.puff, back.lift, back.rumple) = (30.0, 9.0, 2.4, 1.1);
    for side in [-1.0, 1.0] {
        back.folds.extend([
            fold("120,220 124,270 116,326", side, (8.0, 10.0), 4.0, 0.2),
            fold("50,90 66,150 60,220", side, (14.0, 18.0), 5.0, 0.0),
        ]);
    }
    for side in [-1.0, 1.0] {
        let raw = f.panel(flip(ribbon(&line("184,30 158,72 148,112 156,154 182,190"), 13.0), side), w.shell);
        (raw.round, raw.puff, raw.lift, raw.rumple) = (5.0, 2.0, 1.2, 0.6);
        f.trim(Trim::Stitches(flip(line("178,30 152,74 142,112 150,156 177,194"), side), 1.4, 3.0, 0.8, thread));
        f.seam("141,124 104,160 64,224 40,332", side);
        f.trim(Trim::Stitches(flip(line("146,128 109,164 69,228 45,332"), side), 2.6, 1.4, 0.6, thread));
        f.trim(Trim::Stitches(flip(line("136,120 99,156 59,220 35,332"), side), 2.6, 1.4, 0.6, thread));
        f.seam("184,190 180,262 171,322", side);
    }
    f.seam("0,12 0,336", 1.0);
    let band = f.panel(ribbon(&line("-172,318 -90,328 0,332 90,328 172,318"), 15.0), w.shell);
    (band.round, band.puff, band.lift, band.grain) = (6.0, 2.0, 0.8, 1.57);
    f.trim(Trim::Stitches(line("-171,310 -90,320 0,324 90,320 171,310"), 1.6, 3.2, 0.7, thread));
    let collar = f.panel(shape("-70,0! -64,-40 0,-56 64,-40 70,0! 34,14 0,18 -34,14"), w.shell);
    (collar.round, collar.puff, collar.lift) = (12.0, 5.0, 2.0);
    collar.folds = vec![fold("-60,-16 0,-28 60,-16", 1.0, (10.0, 10.0), 4.0, 0.3)];
    f.trim(Trim::Stitches(line("-66,0 -34,12 0,16 34,12 66,0"), 1.6, 3.2, 0.7, thread));
    f
}

fn pencilled(mut f: Figure, lines: &[&str]) -> Figure {
    let pencil = [0.30, 0.30, 0.33];
    for text in lines {
        for side in [-1.0, 1.0] {
            f.trim(Trim::Line(flip(line(text), side), 0.7, pencil, 0.55));
        }
    }
    f
}

/// The calico mock-up: the same cut with fitting lines in pencil.
pub fn mockup_front(w: &Wardrobe) -> Figure {
    pencilled(front(w), &["30,150 90,146 146,150", "84,110 84,306", "208,110 262,420"])
}

/// The mock-up from the back.
pub fn mockup_back(w: &Wardrobe) -> Figure {
    pencilled(back(w), &["4,150 80,148 140,150", "90,60 90,300", "208,110 262,420"])
}
