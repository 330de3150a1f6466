//! Three close bodies laid flat: the piped checked bodice of about 1848, the satin bodice of 1879-82, the silk and
//! lace blouse of about 1905.

use super::super::canvas::{Colour, dim, line, p, shape, symmetric};
use super::super::garment::{Fold, Trim};
use super::{Figure, Wardrobe, flip, fold, gathers, half, ribbon, stitches};

const SLEEVE: &str = "160,54! 204,76 232,130 262,230 290,340 316,452 330,520! 306,530 284,530! 262,440 236,330 208,240 \
                      188,198! 148,170 132,130 136,92";

/// Creases at elbow, upper arm and wrist.
fn elbow(side: f32, depth: f32) -> Vec<Fold> {
    vec![
        fold("214,256 240,270 274,254", side, (7.0, 11.0), depth, 0.35),
        fold("222,288 250,302 282,290", side, (7.0, 11.0), -depth * 0.8, 0.3),
        fold("230,318 258,330 288,316", side, (7.0, 11.0), depth, 0.35),
        fold("250,392 272,402 302,388", side, (6.0, 9.0), depth * 0.6, 0.2),
        fold("186,110 206,140 232,140", side, (8.0, 12.0), depth * 0.8, 0.2),
    ]
}

fn sleeves(f: &mut Figure, w: &Wardrobe, grain: f32, seam: &str) {
    for side in [-1.0, 1.0] {
        let sleeve = f.panel(half(SLEEVE, side), w.shell);
        (sleeve.round, sleeve.puff, sleeve.lift, sleeve.grain) = (34.0, 18.0, 5.0, grain * side);
        sleeve.folds = elbow(side, 5.0);
        f.seam(seam, side);
    }
}

fn check(w: &Wardrobe, back: bool) -> Figure {
    let mut f = Figure::default();
    let cord: Colour = [0.25, 0.33, 0.45];
    if !back {
        let inside = f.panel(symmetric("0,-6 60,-4 96,10! 60,60 0,80"), w.lining);
        (inside.tone, inside.puff, inside.lift) = (0.74, -5.0, 3.0);
    }
    sleeves(&mut f, w, 0.62, "206,250 244,350 290,520");
    for side in [-1.0, 1.0] {
        f.trim(Trim::Cord(flip(line("284,529 306,529 330,519"), side), 3.4, cord));
    }
    let body = if back {
        symmetric("0,-4 60,-6 94,4! 176,58! 160,96 160,130 168,164 190,196! 174,290 150,378! 80,400 0,412!")
    } else {
        symmetric("0,64 50,50 94,6! 176,58! 160,96 160,130 168,164 190,196! 174,290 150,378! 80,412 0,452!")
    };
    let body = f.panel(body, w.shell);
    (body.round, body.puff, body.lift) = (32.0, 12.0, 2.0);
    if !back {
        body.folds = gathers(&line("-34,420 0,440 34,420"), &line("-110,190 0,200 110,190"), 10, (4.0, 12.0), 4.5, 71);
    }
    for side in [-1.0, 1.0] {
        body.folds.push(fold("156,130 126,160 100,172", side, (9.0, 15.0), 5.0, 0.1));
        body.folds.push(fold("80,150 94,230 78,310", side, (36.0, 28.0), if back { 4.0 } else { 9.0 }, 0.0));
    }
    for side in [-1.0, 1.0] {
        f.trim(Trim::Cord(flip(line("176,59 161,96 160,130 168,164 190,196"), side), 3.4, cord));
        f.seam("184,200 168,290 144,380", side);
        if back {
            f.trim(Trim::Cord(flip(line("161,136 110,210 62,300 34,404"), side), 2.6, cord));
            f.trim(Trim::Cord(flip(line("94,6 140,36 172,70"), side), 2.4, cord));
        } else {
            f.seam("100,408 104,320 96,240", side);
            f.seam("64,424 70,340 66,250", side);
        }
    }
    if back {
        f.seam("0,0 0,408", 1.0);
        f.trim(Trim::Cord(line("-94,4 -60,-6 0,-4 60,-6 94,4"), 3.0, cord));
        f.trim(Trim::Cord(line("-150,378 -80,400 0,412 80,400 150,378"), 3.6, cord));
    } else {
        f.trim(Trim::Line(line("2,66 2,250 2,448"), 1.2, [0.06, 0.04, 0.03], 0.6));
        f.trim(Trim::Cord(line("-93,8 -50,51 0,64 50,51 93,8"), 3.0, cord));
        f.trim(Trim::Cord(line("-150,378 -80,412 0,451! 80,412 150,378"), 3.6, cord));
        f.trim(stitches("-6,72 -6,250 -5,440", 1.0, [0.52, 0.42, 0.33]));
    }
    f
}

/// The checked bodice, front.
pub fn check_front(w: &Wardrobe) -> Figure {
    check(w, false)
}

/// The checked bodice, back.
pub fn check_back(w: &Wardrobe) -> Figure {
    check(w, true)
}

fn satin(w: &Wardrobe, back: bool) -> Figure {
    let mut f = Figure::default();
    let thread = [0.25, 0.245, 0.26];
    sleeves(&mut f, w, -0.18, "206,250 244,350 290,520");
    for side in [-1.0, 1.0] {
        let cuff = f.panel(half("272,480! 298,482 324,472! 334,520! 308,532 282,532!", side), w.shell);
        (cuff.round, cuff.puff, cuff.lift, cuff.rumple) = (12.0, 6.0, 2.0, 0.4);
        for k in 0..3 {
            f.trim(Trim::Button(
                p((312.0 + k as f32 * 2.6) * side, 486.0 + 13.0 * k as f32),
                4.6,
                [0.16, 0.155, 0.165],
                false,
            ));
        }
    }
    let outline = if back {
        "0,0 40,-4 66,-2! 170,56! 152,96 150,130 160,162 186,196! 166,300 148,396 172,520 178,598! 100,622 60,640! 30,668 0,676"
    } else {
        "0,16 40,10 66,0! 170,56! 152,96 150,130 160,162 186,196! 166,300 150,396 176,520 184,604! 110,640 50,664 0,690!"
    };
    let body = f.panel(symmetric(outline), w.shell);
    (body.round, body.puff, body.lift, body.rumple) = (46.0, 24.0, 3.0, 0.9);
    for side in [-1.0, 1.0] {
        body.folds.extend([
            fold("76,120 90,220 66,340", side, (42.0, 26.0), if back { 5.0 } else { 15.0 }, 0.0),
            fold("150,380 110,396 60,394", side, (8.0, 14.0), 5.0, 0.2),
            fold("148,402 110,420 70,424", side, (7.0, 12.0), 4.0, 0.3),
            fold("146,130 118,154 96,160", side, (9.0, 15.0), 5.0, 0.1),
            fold("120,430 136,520 130,600", side, (24.0, 30.0), 8.0, 0.0),
        ]);
    }
    for side in [-1.0, 1.0] {
        f.seam("168,58 153,96 150,130 160,162 185,195", side);
        f.seam("166,202 146,300 128,396 140,520 148,606", side);
        if back {
            f.seam("150,128 96,220 52,396 70,560 84,626", side);
            f.seam("76,4 70,200 24,396 30,560 30,660", side);
        } else {
            f.seam("112,240 104,396 122,520 124,634", side);
            f.seam("66,236 62,396 72,520 70,654", side);
        }
    }
    if back {
        f.seam("0,4 0,520", 1.0);
        let pleat = f.panel(symmetric("0,520 22,524! 52,650! 24,684 0,690"), w.shell);
        (pleat.round, pleat.puff, pleat.lift) = (10.0, 6.0, 2.0);
        pleat.folds = gathers(&line("-16,526 16,526"), &line("-40,672 40,672"), 4, (4.0, 10.0), 7.0, 75);
    } else {
        f.trim(Trim::Line(line("11,20 11,300 10,660"), 1.2, [0.0, 0.0, 0.0], 0.7));
        f.trim(stitches("15,24 15,300 14,656", 1.0, thread));
        for i in 0..17 {
            f.trim(Trim::Button(p(0.0, 36.0 + 36.5 * i as f32), 6.2, [0.15, 0.145, 0.155], false));
        }
    }
    let collar = f.panel(
        symmetric(if back {
            "0,-44 50,-42 66,-36! 70,2! 40,8 0,10"
        } else {
            "0,-22! 46,-36 64,-40! 70,2! 40,18 0,26!"
        }),
        w.shell,
    );
    (collar.round, collar.puff, collar.lift, collar.rumple) = (14.0, 9.0, 3.0, 0.3);
    f.trim(stitches(if back { "-63,-36 0,-40 63,-36" } else { "-60,-34 -44,-31 0,-17 44,-31 60,-34" }, 1.0, thread));
    f
}

/// The satin bodice, front.
pub fn satin_front(w: &Wardrobe) -> Figure {
    satin(w, false)
}

/// The satin bodice, back.
pub fn satin_back(w: &Wardrobe) -> Figure {
    satin(w, true)
}

/// The satin bodice laid open: brown lining, boned seams, waist tape.
pub fn satin_interior(w: &Wardrobe) -> Figure {
    let mut f = Figure::default();
    let thread: Colour = [0.78, 0.70, 0.56];
    for side in [-1.0, 1.0] {
        let open = f.panel(half("170,196! 168,90 186,30! 262,-14! 296,40 336,40! 352,220 352,420 372,640! 280,640 170,612! 150,500 146,396 160,300", side), w.lining);
        (open.round, open.puff, open.lift) = (24.0, 9.0, 4.0);
        open.folds = vec![fold("270,120 284,220 264,320", side, (36.0, 28.0), 10.0, 0.0)];
        let facing = f.panel(half("328,42! 342,42! 358,220 358,420 378,640! 360,640! 342,420 342,220", side), w.shell);
        (facing.round, facing.puff, facing.lift) = (7.0, 2.0, 1.0);
    }
    let back = f.panel(
        symmetric("0,4 66,-2! 176,40! 156,96 154,130 160,162 184,196! 166,300 148,396 170,520 178,598! 80,630 0,650"),
        w.lining,
    );
    (back.round, back.puff, back.lift) = (30.0, 12.0, 2.0);
    let bones = [
        "0,150 0,396 0,600",
        "96,220 54,396 70,580",
        "150,240 130,396 148,580",
        "214,250 206,396 226,600",
        "264,250 262,396 284,610",
    ];
    for side in [-1.0, 1.0] {
        for text in bones {
            let casing = f.panel(flip(ribbon(&line(text), 13.0), side), w.trim);
            (casing.round, casing.puff, casing.lift, casing.rumple) = (6.0, 4.5, 1.2, 0.1);
            f.trim(Trim::Stitches(flip(ribbon(&line(text), 11.0), side), 2.0, 1.6, 0.8, thread));
        }
        f.seam("178,60 156,96 154,130 162,166 182,196", side);
        f.trim(Trim::Stitches(flip(line("172,60 150,96 148,132 156,168 176,200"), side), 1.6, 2.2, 0.8, thread));
    }
    let tape = f.panel(ribbon(&line("-330,394 -150,400 0,404 150,400 330,394"), 20.0), w.trim);
    (tape.round, tape.puff, tape.lift, tape.tone, tape.grain) = (6.0, 2.5, 3.0, 1.1, 1.57);
    for side in [-1.0, 1.0] {
        for x in [0.0, 56.0, 130.0] {
            f.trim(Trim::Cord(vec![p((x - 5.0) * side, 395.0), p((x + 5.0) * side, 412.0)], 1.2, thread));
            f.trim(Trim::Cord(vec![p((x + 5.0) * side, 395.0), p((x - 5.0) * side, 412.0)], 1.2, thread));
        }
    }
    let collar = f.panel(symmetric("0,-44 64,-40! 72,2! 40,14 0,18"), w.shell);
    (collar.round, collar.puff, collar.lift) = (10.0, 5.0, 2.0);
    f
}

fn blouse(w: &Wardrobe, back: bool) -> Figure {
    let mut f = Figure::default();
    let white: Colour = [0.96, 0.93, 0.85];
    for side in [-1.0, 1.0] {
        let sleeve = f.panel(half("156,46! 206,70 242,150 284,270 326,380 342,440 326,478! 288,492! 256,480 232,400 212,300 190,200! 140,170 128,130 134,90", side), w.shell);
        (sleeve.round, sleeve.puff, sleeve.lift, sleeve.grain) = (46.0, 22.0, 5.0, -0.3 * side);
        sleeve.folds = gathers(
            &flip(line("262,484 292,490 326,474"), side),
            &flip(line("220,360 262,350 308,330"), side),
            9,
            (4.0, 13.0),
            9.0,
            81,
        );
        sleeve.folds.extend(gathers(
            &flip(line("166,80 180,60 204,72"), side),
            &flip(line("196,180 222,170 246,160"), side),
            7,
            (4.0, 10.0),
            5.0,
            82,
        ));
        let cuff = f.panel(
            half(
                "262,480! 296,490 330,474! 352,560! 344,566 336,562 328,572 320,567 312,576 304,570 296,577 288,568!",
                side,
            ),
            w.trim,
        );
        (cuff.round, cuff.puff, cuff.lift, cuff.rumple) = (16.0, 7.0, 3.0, 0.2);
        f.trim(Trim::Cord(flip(line("262,481 296,491 330,475"), side), 3.0, white));
    }
    let body = f.panel(
        symmetric("0,10 60,0! 168,50! 152,96 150,130 162,164 192,198! 196,300 186,392 130,436! 60,440 0,452"),
        w.shell,
    );
    (body.round, body.puff, body.lift) = (44.0, 20.0, 3.0);
    body.folds = gathers(
        &line("-120,430 0,446 120,430"),
        &line("-150,230 0,250 150,230"),
        if back { 11 } else { 17 },
        (5.0, 15.0),
        if back { 6.0 } else { 11.0 },
        84,
    );
    for side in [-1.0, 1.0] {
        // Three fine tucks from each shoulder.
        body.folds.extend((0..3).map(|k| {
            let x = 104.0 + 13.0 * k as f32;
            fold(&format!("{x},28 {x},120 {x},214"), side, (3.0, 3.0), 2.2, 0.9)
        }));
        body.folds.push(fold("150,130 124,156 100,164", side, (9.0, 15.0), 5.0, 0.1));
    }
    if back {
        for side in [-1.0, 1.0] {
            let strip = f.panel(half("40,8! 72,6! 64,240 44,430! 20,430! 36,230", side), w.trim);
            (strip.round, strip.puff, strip.lift, strip.rumple) = (6.0, 1.5, 0.8, 0.2);
        }
        f.trim(Trim::Line(line("9,14 9,200 8,440"), 1.0, [0.30, 0.26, 0.18], 0.6));
        f.trim(Trim::Stitches(line("13,14 13,200 12,440"), 2.0, 1.0, 0.7, white));
        for i in 0..9 {
            f.trim(Trim::Button(p(0.0, 34.0 + 46.0 * i as f32), 5.2, [0.86, 0.76, 0.50], true));
        }
    } else {
        let yoke = f.panel(symmetric("0,14 56,4! 94,22! 86,96 52,150! 40,146 30,158 16,152 0,166!"), w.trim);
        (yoke.round, yoke.puff, yoke.lift, yoke.rumple) = (14.0, 4.0, 1.5, 0.3);
        f.trim(Trim::Cord(line("-93,24 -86,96 -52,149"), 2.4, white));
        f.trim(Trim::Cord(line("93,24 86,96 52,149"), 2.4, white));
        for side in [-1.0, 1.0] {
            let strip = f.panel(half("58,150! 78,120! 82,300 72,436! 50,438! 60,300", side), w.trim);
            (strip.round, strip.puff, strip.lift, strip.rumple) = (6.0, 1.5, 0.8, 0.2);
        }
    }
    for side in [-1.0, 1.0] {
        f.seam("167,52 153,96 150,130 162,164 191,197", side);
    }
    let band = f.panel(ribbon(&line("-132,436 -60,442 0,452 60,442 132,436"), 24.0), w.shell);
    (band.round, band.puff, band.lift, band.grain) = (9.0, 4.0, 3.0, 1.57);
    f.trim(stitches("-130,446 -60,452 0,462 60,452 130,446", 1.0, dim(w.shell.warp, 0.86)));
    let behind = f.panel(shape("-54,-46! 54,-46! 58,10! -58,10!"), w.shell);
    (behind.tone, behind.lift) = (0.80, 2.0);
    let collar = f.panel(
        shape("-60,8! -56,-50! -42,-57 -28,-52 -14,-59 0,-54 14,-59 28,-52 42,-57 56,-50! 60,8! 30,16 0,18 -30,16"),
        w.trim,
    );
    (collar.round, collar.puff, collar.lift, collar.rumple) = (26.0, 14.0, 3.0, 0.1);
    for y in [-40.0, 4.0] {
        f.trim(Trim::Cord(line(&format!("-58,{} 0,{} 58,{}", y, y + 10.0, y)), 2.0, white));
    }
    f
}

/// The blouse, front.
pub fn blouse_front(w: &Wardrobe) -> Figure {
    blouse(w, false)
}

/// The blouse, back, with its clear yellowish buttons.
pub fn blouse_back(w: &Wardrobe) -> Figure {
    blouse(w, true)
}
