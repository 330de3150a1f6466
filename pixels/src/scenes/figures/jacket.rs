//! The printed cotton jacket of about 1785: close body, elbow sleeves, skirts pleated behind.

use super::super::canvas::{line, p, symmetric};
use super::super::garment::Trim;
use super::{Figure, Wardrobe, flip, fold, gathers, half, ribbon, stitches};

const SLEEVE: &str = "146,18! 186,12 218,36 246,110 276,200 306,290 322,332! 290,352 244,368! 222,310 196,236 182,198! \
                      140,166 124,110 130,56";
const THREAD: [f32; 3] = [0.88, 0.84, 0.74];

fn sleeves(f: &mut Figure, w: &Wardrobe) {
    for side in [-1.0, 1.0] {
        let sleeve = f.panel(half(SLEEVE, side), w.shell);
        (sleeve.round, sleeve.puff, sleeve.grain, sleeve.lift) = (36.0, 17.0, -0.3 * side, 5.0);
        sleeve.folds = vec![
            fold("202,200 226,210 262,190", side, (7.0, 10.0), 5.0, 0.3),
            fold("216,240 240,250 280,228", side, (7.0, 10.0), -4.0, 0.2),
            fold("226,268 252,276 292,256", side, (7.0, 10.0), 4.6, 0.3),
            fold("166,60 186,90 214,100", side, (7.0, 12.0), 4.0, 0.2),
        ];
        let cuff = f.panel(flip(ribbon(&line("242,364 286,350 320,330"), 20.0), side), w.shell);
        (cuff.round, cuff.puff, cuff.lift, cuff.grain) = (9.0, 4.0, 1.5, 0.9 * side);
        f.trim(stitches("240,358 284,344 317,323", side, THREAD));
        f.seam("180,200 206,270 234,346", side);
    }
}

/// Pinned edge to edge, from the front.
pub fn front(w: &Wardrobe) -> Figure {
    let mut f = Figure::default();
    let inside = f.panel(symmetric("0,-12 60,-14 112,0! 90,90 40,170 0,180"), w.lining);
    (inside.tone, inside.puff, inside.lift) = (0.78, -6.0, 3.0);
    sleeves(&mut f, w);
    for side in [-1.0, 1.0] {
        let skirt =
            f.panel(half("2,392! 150,384! 196,440 236,520 252,566! 160,600 60,616 14,612! 8,500", side), w.shell);
        (skirt.round, skirt.puff, skirt.lift, skirt.grain) = (24.0, 9.0, 4.0, -0.12 * side);
        skirt.folds = gathers(
            &flip(line("60,390 150,386"), side),
            &flip(line("110,606 240,566"), side),
            4,
            (7.0, 18.0),
            12.0,
            41,
        );
        f.trim(stitches("18,606 60,610 160,594 246,561", side, THREAD));
    }
    for side in [-1.0, 1.0] {
        let front = f.panel(
            half("112,-4! 164,20! 148,62 142,108 154,154 182,194! 172,290 154,392! 80,400 1,404! 0,300 1,176! 40,166 72,120 96,60", side),
            w.shell,
        );
        (front.round, front.puff, front.lift, front.grain) = (30.0, 11.0, 1.8, 0.05 * side);
        front.folds = vec![
            fold("150,130 120,170 96,180", side, (10.0, 18.0), 5.0, 0.1),
            fold("80,180 92,250 84,330", side, (30.0, 26.0), 9.0, 0.0),
            fold("160,330 130,350 90,352", side, (8.0, 14.0), 3.5, 0.2),
        ];
        f.seam("156,30 146,70 142,108 154,154 181,193", side);
        f.seam("120,150 108,270 92,396", side);
        f.trim(stitches("106,2 92,62 68,118 38,160 6,170", side, THREAD));
        f.trim(stitches("6,176 6,300 7,398", side, THREAD));
        f.trim(stitches("150,386 80,394 8,398", side, THREAD));
    }
    for i in 0..6 {
        let y = 200.0 + 36.0 * i as f32;
        f.trim(Trim::Cord(vec![p(-7.0, y), p(9.0, y + 2.5)], 1.1, [0.72, 0.68, 0.58]));
        f.trim(Trim::Button(p(-7.5, y), 1.5, [0.80, 0.75, 0.62], false));
    }
    f
}

/// From the back.
pub fn back(w: &Wardrobe) -> Figure {
    let mut f = Figure::default();
    sleeves(&mut f, w);
    let skirt = f.panel(symmetric("0,390 120,384! 190,440 246,560! 120,626 0,640"), w.shell);
    (skirt.round, skirt.puff, skirt.lift) = (22.0, 9.0, 4.0);
    skirt.folds = gathers(&line("-118,392 0,398 118,392"), &line("-230,566 0,640 230,566"), 13, (6.0, 20.0), 14.0, 43);
    f.trim(stitches("-240,555 -120,619 0,633 120,619 240,555", 1.0, THREAD));
    let body = f.panel(
        symmetric("0,-16 60,-12 112,-2! 164,22! 150,62 143,108 155,156 183,196! 170,290 130,392! 60,408 0,424!"),
        w.shell,
    );
    (body.round, body.puff, body.lift) = (30.0, 11.0, 1.8);
    for side in [-1.0, 1.0] {
        body.folds.extend([
            fold("140,120 110,160 84,176", side, (10.0, 18.0), 5.0, 0.1),
            fold("110,330 80,350 50,352", side, (8.0, 14.0), 3.0, 0.2),
        ]);
    }
    for side in [-1.0, 1.0] {
        f.seam("156,34 146,70 143,108 155,156 182,195", side);
        f.seam("142,118 96,190 56,300 28,412", side);
        f.seam("84,-6 70,120 46,240 8,418", side);
        f.trim(stitches("88,-2 74,122 50,242 12,412", side, THREAD));
        f.trim(stitches("147,122 101,194 61,302 33,408", side, THREAD));
    }
    f.seam("0,-12 0,420", 1.0);
    f.trim(stitches("-104,4 -58,-4 0,-8 58,-4 104,4", 1.0, THREAD));
    f
}

/// Laid open, linen lining towards the camera.
pub fn interior(w: &Wardrobe) -> Figure {
    let mut f = Figure::default();
    for side in [-1.0, 1.0] {
        let skirt = f.panel(half("6,384! 130,386! 240,430 330,396! 392,540 300,590 160,620 4,628!", side), w.shell);
        (skirt.tone, skirt.puff, skirt.lift) = (0.86, 8.0, 4.0);
        skirt.folds = gathers(
            &flip(line("10,392 130,396 300,410"), side),
            &flip(line("10,624 160,612 370,540"), side),
            8,
            (6.0, 18.0),
            9.0,
            47,
        );
        let open = f.panel(
            half("172,196! 176,90 206,20! 264,-6! 300,70 344,140 392,178! 388,300 372,408! 300,416 150,392!", side),
            w.lining,
        );
        (open.round, open.puff, open.lift, open.grain) = (24.0, 8.0, 3.0, 0.1 * side);
        open.folds = vec![fold("260,150 270,240 250,330", side, (22.0, 22.0), 8.0, 0.0)];
        f.trim(Trim::Stitches(flip(line("268,4 296,70 340,146 384,182 380,300 365,402"), side), 1.8, 3.0, 0.8, THREAD));
        f.seam("250,170 262,280 272,404", side);
    }
    let back = f.panel(
        symmetric("0,-10 60,-8 112,2! 186,24! 160,70 152,112 160,160 180,198! 170,290 146,392! 60,404 0,410!"),
        w.lining,
    );
    (back.round, back.puff, back.lift) = (26.0, 9.0, 2.0);
    for side in [-1.0, 1.0] {
        let raw = f.panel(flip(ribbon(&line("182,30 158,72 150,112 158,158 176,196"), 14.0), side), w.shell);
        (raw.round, raw.puff, raw.lift) = (5.0, 2.0, 1.2);
        f.trim(Trim::Stitches(flip(line("175,28 152,72 143,112 151,160 169,198"), side), 1.6, 2.6, 0.8, THREAD));
        f.seam("142,120 96,190 56,300 28,406", side);
        f.trim(Trim::Stitches(flip(line("147,124 101,194 61,302 33,404"), side), 2.2, 1.6, 0.7, THREAD));
        f.seam("174,200 168,290 148,388", side);
    }
    f.seam("0,-6 0,408", 1.0);
    f
}
