//! What stands beside the piece in the frame: scale bar, 24-patch colour target, number card, background. Apart
//! because measuring and colour work on the photographs rest on these being exact.

use super::canvas::{Canvas, Colour, P, fill, p};
use super::garment::shadow;
use super::noise::{mix, plane, step};

/// The patches of the target, row by row, as sRGB bytes: reference CIELAB of the 24-patch target made after
/// November 2014, carried from D50 to D65 (colour-science 0.4.7 data set, Bradford). Patch 18 is clipped to sRGB.
pub const TARGET: [u32; 24] = [
    0x74_4f41, 0xc5_907f, 0x5b_789b, 0x5b_6c40, 0x83_7faf, 0x5f_bdac, 0xe0_7c30, 0x45_5aa7, 0xc5_505f, 0x5d_3a68,
    0x9c_bb3a, 0xe3_a127, 0x28_3e91, 0x3d_9346, 0xb2_3639, 0xec_c80f, 0xbf_4f92, 0x00_85a5, 0xf1_f2eb, 0xc9_cac9,
    0xa1_a3a3, 0x79_7979, 0x53_5455, 0x32_3232,
];

const INK: Colour = [0.09, 0.09, 0.10];
const CARD: Colour = [0.955, 0.955, 0.945];

/// A colour from its hexadecimal number.
pub fn hex(number: u32) -> Colour {
    [16, 8, 0].map(|shift| (number >> shift & 0xff) as f32 / 255.0)
}

/// The studio: a grey sweep, lighter where the lamp falls, with a floor line of no sharpness when the piece stands.
pub fn backdrop(canvas: &mut Canvas, standing: bool, raking: bool) {
    let (w, h) = (canvas.w as f32, canvas.h as f32);
    let step_px = 16;
    let (gw, gh) = (canvas.w / step_px + 2, canvas.h / step_px + 2);
    let mut grid = Vec::with_capacity(gw * gh);
    for gy in 0..gh {
        for gx in 0..gw {
            let (x, y) = ((gx * step_px) as f32 / w, (gy * step_px) as f32 / h);
            let glow = 1.0 - (((x - 0.40) / 0.85).powi(2) + ((y - 0.36) / 0.95).powi(2)).min(1.0);
            let corner = ((x - 0.5).powi(2) + (y - 0.5).powi(2)) * 0.16;
            let fall = if raking { 0.20 * (0.5 - x) } else { 0.0 };
            let floor = if standing { 0.07 * step(0.80, 0.97, y) - 0.035 * step(0.70, 0.84, y) } else { 0.0 };
            let cloud = 0.006 * plane(x * 5.0, y * 6.0, 101);
            grid.push(0.66 + 0.15 * glow - corner + floor + fall + cloud);
        }
    }
    for y in 0..canvas.h {
        let (gy, ty) = (y / step_px, (y % step_px) as f32 / step_px as f32);
        for x in 0..canvas.w {
            let (gx, tx) = (x / step_px, (x % step_px) as f32 / step_px as f32);
            let at = gy * gw + gx;
            let v = mix(mix(grid[at], grid[at + 1], tx), mix(grid[at + gw], grid[at + gw + 1], tx), ty);
            canvas.px[y * canvas.w + x] = [v, v, v * 0.992];
        }
    }
}

fn slab(at: P, w: f32, h: f32) -> [P; 4] {
    [at, at + p(w, 0.0), at + p(w, h), at + p(0.0, h)]
}

fn card(canvas: &mut Canvas, at: P, w: f32, h: f32, colour: Colour) {
    let outline = slab(at, w, h);
    let mask = fill(&outline, (canvas.w as u32, canvas.h as u32), 0);
    shadow(canvas, &mask, 7.0, 0.40);
    canvas.flat(&outline, colour, 1.0);
    canvas.thin(&[outline[0], outline[1]], 1.2, [1.0, 1.0, 1.0], 0.7);
    canvas.thin(&[outline[3], outline[2]], 1.2, [0.0, 0.0, 0.0], 0.25);
}

/// A scale bar of `cm` centimetres with its upper left corner at `at`. Blocks of 1 cm, ticks of 1 mm in close views,
/// figures below. The first block begins exactly 0.35 block heights inside the card.
pub fn scale_bar(canvas: &mut Canvas, at: P, cm: u32, px_per_mm: f32) {
    let block = px_per_mm * 10.0;
    let close = block > 90.0;
    let tall = if close { (block * 0.16).clamp(22.0, 46.0) } else { (block * 0.5).clamp(11.0, 26.0) };
    let letter = if close { tall * 0.72 } else { tall * 0.85 };
    let edge = tall * 0.6 + letter * 0.3;
    let wide = block * cm as f32;
    card(canvas, at, wide + 2.0 * edge + letter * 2.6, tall * 1.5 + letter * 1.9, CARD);
    let zero = at + p(edge.round(), (tall * 0.45).round());
    for k in 0..cm {
        let left = zero + p(block * k as f32, 0.0);
        if k % 2 == 0 {
            canvas.flat(&slab(left, block, tall), INK, 1.0);
        } else {
            canvas.flat(&slab(left, block, tall), [1.0, 1.0, 1.0], 1.0);
        }
        if close {
            let other = if k % 2 == 0 { [1.0, 1.0, 1.0] } else { INK };
            for mm in 1..10 {
                let deep = if mm == 5 { 0.62 } else { 0.38 };
                let x = left + p(block * 0.1 * mm as f32, 0.0);
                canvas.thin(&[x, x + p(0.0, tall * deep)], (px_per_mm * 0.04).max(1.2), other, 1.0);
            }
        }
    }
    let bottom = zero + p(0.0, tall);
    for line in
        [[zero, zero + p(wide, 0.0)], [bottom, bottom + p(wide, 0.0)], [zero + p(wide, 0.0), bottom + p(wide, 0.0)]]
    {
        canvas.thin(&line, 1.3, INK, 1.0);
    }
    let every = if cm >= 10 { 5 } else { 1 };
    for k in (0..=cm).step_by(every) {
        let text = k.to_string();
        let x = zero.x + block * k as f32 - letter * 0.31 * text.len() as f32;
        write(canvas, p(x, bottom.y + letter * 0.42), letter, &text, INK);
    }
    write(
        canvas,
        p(zero.x + wide + letter * (0.5 + 0.5 * f32::from(u8::from(cm > 9))), bottom.y + letter * 0.42),
        letter,
        "cm",
        INK,
    );
}

/// The 24-patch target, four rows of six, upper left corner at `at`, `side` pixels a patch. Patches carry no shade:
/// a colour read from them is the colour in [`TARGET`].
pub fn target(canvas: &mut Canvas, at: P, side: f32) {
    let gap = (side * 0.14).round();
    let cell = side + gap;
    card(canvas, at, 6.0 * cell + gap, 4.0 * cell + gap, [0.13, 0.13, 0.135]);
    for (i, number) in TARGET.iter().enumerate() {
        let corner = at + p(gap + cell * (i % 6) as f32, gap + cell * (i / 6) as f32);
        canvas.flat(&slab(corner, side, side), hex(*number), 1.0);
    }
}

/// The outer corners of the four corner patches of [`target`], from the upper left as a clock goes.
pub fn target_corners(at: P, side: f32) -> [P; 4] {
    let gap = (side * 0.14).round();
    let across = |patches: f32| (side + gap) * patches - gap;
    slab(at + p(gap, gap), across(6.0), across(4.0))
}

/// A small card with the accession number.
pub fn number_card(canvas: &mut Canvas, at: P, tall: f32, number: &str) {
    let wide = width(number, tall) + tall * 1.2;
    card(canvas, at, wide, tall * 2.0, CARD);
    write(canvas, at + p(tall * 0.65, tall * 0.5), tall, number, INK);
}

/// Letters as pen strokes on a field 4 wide and 6 high: each stroke is a row of digit pairs `xy`.
const LETTERS: [(char, &str); 41] = [
    ('0', "10 30 41 45 36 16 05 01 10"),
    ('1', "11 20 26|16 36"),
    ('2', "01 10 30 41 42 06 46"),
    ('3', "00 40 22 32 43 45 36 16 05"),
    ('4', "36 30 04 44"),
    ('5', "40 00 02 32 43 45 36 16 05"),
    ('6', "30 20 02 05 16 36 45 43 32 02"),
    ('7', "00 40 16"),
    ('8', "10 30 41 42 33 13 02 01 10|13 04 05 16 36 45 44 33"),
    ('9', "44 41 30 10 01 03 14 34 44 26 16"),
    ('.', "15 25 26 16 15"),
    ('-', "13 33"),
    (':', "12 22|15 25"),
    ('A', "06 20 46|14 34"),
    ('B', "06 00 30 41 42 33 03|33 44 45 36 06"),
    ('C', "41 30 10 01 05 16 36 45"),
    ('D', "06 00 30 41 45 36 06"),
    ('E', "40 00 06 46|03 33"),
    ('F', "40 00 06|03 33"),
    ('G', "41 30 10 01 05 16 36 45 43 23"),
    ('H', "00 06|40 46|03 43"),
    ('I', "20 26"),
    ('J', "40 45 36 16 05"),
    ('K', "00 06|40 03 46"),
    ('L', "00 06 46"),
    ('M', "06 00 23 40 46"),
    ('N', "06 00 46 40"),
    ('O', "10 30 41 45 36 16 05 01 10"),
    ('P', "06 00 30 41 42 33 03"),
    ('R', "06 00 30 41 42 33 03|23 46"),
    ('S', "41 30 10 01 02 13 33 44 45 36 16 05"),
    ('T', "00 40|20 26"),
    ('U', "00 05 16 36 45 40"),
    ('V', "00 26 40"),
    ('W', "00 16 23 36 40"),
    ('X', "00 46|40 06"),
    ('Z', "00 40 06 46"),
    ('a', "12 32 43 46|44 14 05 16 36 45"),
    ('b', "00 06 36 45 43 32 02"),
    ('c', "43 32 12 03 05 16 36 45"),
    ('m', "06 02|03 12 22 23 26|23 32 42 43 46"),
];

/// Width of a written line.
pub fn width(text: &str, tall: f32) -> f32 {
    text.chars().count() as f32 * tall * 0.92 - tall * 0.25
}

/// Writes with a round pen; a letter the pen does not know is left blank.
pub fn write(canvas: &mut Canvas, at: P, tall: f32, text: &str, colour: Colour) {
    let unit = tall / 6.0;
    for (i, letter) in text.chars().enumerate() {
        let left = at + p(tall * 0.92 * i as f32, 0.0);
        for pen in strokes(letter) {
            let points: Vec<P> = pen.iter().map(|q| left + *q * unit).collect();
            canvas.thin(&points, (tall * 0.13).max(1.1), colour, 0.95);
        }
    }
}

/// The strokes of a letter in its own field of 4 by 6.
pub fn strokes(letter: char) -> Vec<Vec<P>> {
    let Some((_, text)) = LETTERS.iter().find(|l| l.0 == letter) else { return Vec::new() };
    let knot = |pair: &str| {
        let number: u32 = pair.parse().unwrap_or_default();
        p((number / 10) as f32, (number % 10) as f32)
    };
    text.split('|').map(|pen| pen.split(' ').map(knot).collect()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_target_reads_back_the_published_patches() {
        let mut canvas = Canvas::new((400, 300), [0.5; 3]);
        target(&mut canvas, p(10.0, 10.0), 40.0);
        let picture = canvas.finish();
        // Patch 15, red, #b23639: third row, third column; gap 6, cell 46.
        let px = picture.get_pixel(10 + 6 + 2 * 46 + 20, 10 + 6 + 2 * 46 + 20).0;
        for (have, want) in px.iter().zip([0xb2_u8, 0x36, 0x39]) {
            assert!(have.abs_diff(want) <= 1, "{px:?}");
        }
    }

    #[test]
    fn a_scale_bar_is_as_long_as_it_says() {
        let mut canvas = Canvas::new((900, 200), [0.5; 3]);
        scale_bar(&mut canvas, p(20.0, 20.0), 10, 3.0);
        // 10 cm at 3 px/mm: dark blocks 0, 2, 4, 6, 8 of 30 px each.
        let row = 20 + (15.0 * 0.45) as usize + 7;
        let dark = (0..900).filter(|x| canvas.px[row * 900 + x][0] < 0.3).count();
        assert!((150..=153).contains(&dark), "{dark} dark pixels in 5 blocks of 30");
    }

    #[test]
    fn every_letter_of_an_accession_number_has_strokes() {
        for letter in "0123456789.-abcPMRm".chars() {
            assert!(!strokes(letter).is_empty(), "`{letter}`");
        }
    }
}
