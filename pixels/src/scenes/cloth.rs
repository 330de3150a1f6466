//! Cloth drawn thread by thread: weaves as lift tables, yarns as twisted cylinders, and what is printed or
//! embroidered on them. Apart because the same threads serve a macro view (drawn one by one) and an overall view
//! (a small repeating tile of the same threads, scaled down).

use super::canvas::{Colour, P, between, dim, p};
use super::noise::{along, floor, hash, mix, plane, step, within};

/// Lift tables, bottom row first: `1` = warp end up; rows are picks from the bottom, columns ends from the left.
/// 2/1 Z twill carries its diagonal up to the right; the 5-end satin moves its binding by 2.
pub const WEAVES: [(&str, &[&str]); 5] = [
    ("plain (tabby)", &["10", "01"]),
    ("2/1 twill Z", &["110", "011", "101"]),
    ("2/1 twill S", &["110", "101", "011"]),
    ("2/2 twill Z", &["1100", "0110", "0011", "1001"]),
    ("5-end warp-faced satin, step 2", &["01111", "11011", "11110", "10111", "11101"]),
];

const TABBY: usize = 0;
const TWILL_Z: usize = 1;
const TWILL_S: usize = 2;
const TWILL_22: usize = 3;
const SATIN: usize = 4;

/// What makes the surface.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Ground {
    /// Threads crossing after a row of [`WEAVES`].
    Woven(usize),
    /// A net of holes with worked flowers.
    Lace,
    /// Fibres brushed one way.
    Nap,
    /// Paper or board.
    Smooth,
}

/// What lies on the ground.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Figure {
    /// Nothing.
    None,
    /// Printed sprigs in one colour.
    Printed(Colour),
    /// Sprigs embroidered in the cloth's own white.
    Whitework,
    /// Stripes of a second colour in both thread systems.
    Check(Colour, Colour),
}

/// A cloth of the demo collection.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cloth {
    /// What makes the surface.
    pub ground: Ground,
    /// What lies on it.
    pub figure: Figure,
    /// Colour of the ends.
    pub warp: Colour,
    /// Colour of the picks.
    pub weft: Colour,
    /// Ends a centimetre.
    pub ends: f32,
    /// Picks a centimetre.
    pub picks: f32,
    /// Width of a thread as a share of its spacing.
    pub cover: f32,
    /// Depth of the twist shading; negative for S twist, 0 for thrown silk without visible twist.
    pub twist: f32,
    /// Unevenness of the spinning.
    pub uneven: f32,
    /// Strength of the shine.
    pub sheen: f32,
    /// How soft the cloth hangs: depth of its small rumples.
    pub limp: f32,
    /// Millimetres after which the figure repeats.
    pub repeat: f32,
}

const LINEN: Cloth = Cloth {
    ground: Ground::Woven(TABBY),
    figure: Figure::None,
    warp: [0.90, 0.875, 0.82],
    weft: [0.915, 0.89, 0.84],
    ends: 16.0,
    picks: 15.0,
    cover: 0.86,
    twist: 0.10,
    uneven: 0.16,
    sheen: 0.05,
    limp: 1.0,
    repeat: 40.0,
};
const GREEN: Cloth = Cloth {
    ground: Ground::Woven(TWILL_Z),
    warp: [0.165, 0.455, 0.245],
    weft: [0.185, 0.475, 0.265],
    ends: 38.0,
    picks: 34.0,
    cover: 1.03,
    twist: 0.03,
    uneven: 0.07,
    sheen: 0.34,
    limp: 0.8,
    ..LINEN
};

/// Every cloth by the name the recipes use.
pub const CLOTHS: [(&str, Cloth); 19] = [
    ("white linen", LINEN),
    (
        "lining linen",
        Cloth { warp: [0.80, 0.745, 0.645], weft: [0.82, 0.765, 0.665], ends: 20.0, picks: 19.0, ..LINEN },
    ),
    (
        "sprigged cotton",
        Cloth {
            figure: Figure::Printed([0.60, 0.235, 0.185]),
            warp: [0.93, 0.895, 0.80],
            weft: [0.94, 0.905, 0.815],
            ends: 24.0,
            picks: 22.0,
            twist: 0.07,
            uneven: 0.12,
            repeat: 44.0,
            ..LINEN
        },
    ),
    (
        "buff linen twill",
        Cloth {
            ground: Ground::Woven(TWILL_22),
            warp: [0.80, 0.69, 0.51],
            weft: [0.82, 0.72, 0.545],
            ends: 22.0,
            picks: 20.0,
            cover: 0.93,
            limp: 0.25,
            ..LINEN
        },
    ),
    (
        "new buff linen",
        Cloth {
            ground: Ground::Woven(TABBY),
            warp: [0.845, 0.755, 0.60],
            weft: [0.86, 0.775, 0.63],
            ends: 18.0,
            picks: 17.5,
            cover: 0.91,
            limp: 0.2,
            uneven: 0.08,
            ..LINEN
        },
    ),
    (
        "blue-green ribbon",
        Cloth { warp: [0.23, 0.44, 0.47], weft: [0.27, 0.48, 0.50], ends: 30.0, sheen: 0.2, ..LINEN },
    ),
    ("green silk twill", GREEN),
    (
        "blue-green silk twill",
        Cloth { warp: [0.12, 0.43, 0.325], weft: [0.14, 0.45, 0.35], ends: 36.0, picks: 33.0, uneven: 0.03, ..GREEN },
    ),
    ("new lining linen", Cloth { warp: [0.88, 0.84, 0.755], weft: [0.895, 0.855, 0.775], uneven: 0.09, ..LINEN }),
    (
        "white muslin",
        Cloth {
            figure: Figure::Whitework,
            warp: [0.955, 0.95, 0.935],
            weft: [0.965, 0.96, 0.945],
            ends: 31.0,
            picks: 29.0,
            cover: 0.66,
            twist: 0.08,
            limp: 1.3,
            repeat: 46.0,
            ..LINEN
        },
    ),
    (
        "checked wool and cotton",
        Cloth {
            ground: Ground::Woven(TWILL_22),
            figure: Figure::Check([0.26, 0.345, 0.47], [0.70, 0.60, 0.46]),
            warp: [0.385, 0.27, 0.19],
            weft: [0.41, 0.29, 0.205],
            ends: 24.0,
            picks: 19.0,
            cover: 0.93,
            twist: 0.13,
            sheen: 0.06,
            limp: 0.6,
            repeat: 30.0,
            ..LINEN
        },
    ),
    (
        "purple silk taffeta",
        Cloth {
            warp: [0.355, 0.135, 0.45],
            weft: [0.405, 0.165, 0.49],
            ends: 46.0,
            picks: 34.0,
            cover: 0.97,
            twist: 0.02,
            uneven: 0.045,
            sheen: 0.40,
            limp: 0.9,
            ..LINEN
        },
    ),
    (
        "black silk satin",
        Cloth {
            ground: Ground::Woven(SATIN),
            warp: [0.115, 0.11, 0.12],
            weft: [0.13, 0.12, 0.125],
            ends: 88.0,
            picks: 36.0,
            cover: 0.99,
            twist: 0.02,
            uneven: 0.05,
            sheen: 0.95,
            limp: 0.6,
            ..LINEN
        },
    ),
    (
        "brown cotton sateen",
        Cloth {
            ground: Ground::Woven(TWILL_S),
            warp: [0.56, 0.45, 0.34],
            weft: [0.58, 0.47, 0.36],
            ends: 30.0,
            picks: 25.0,
            ..LINEN
        },
    ),
    (
        "fur felt",
        Cloth {
            ground: Ground::Nap,
            warp: [0.155, 0.125, 0.105],
            weft: [0.19, 0.155, 0.13],
            sheen: 0.4,
            limp: 0.12,
            ..LINEN
        },
    ),
    (
        "ivory silk",
        Cloth {
            warp: [0.93, 0.885, 0.775],
            weft: [0.945, 0.90, 0.795],
            ends: 52.0,
            picks: 44.0,
            cover: 0.9,
            twist: 0.02,
            sheen: 0.25,
            limp: 1.1,
            ..LINEN
        },
    ),
    (
        "ivory lace",
        Cloth { ground: Ground::Lace, warp: [0.925, 0.885, 0.79], weft: [0.93, 0.89, 0.80], repeat: 36.0, ..LINEN },
    ),
    (
        "unbleached calico",
        Cloth { warp: [0.865, 0.81, 0.70], weft: [0.88, 0.825, 0.72], ends: 25.0, picks: 24.0, uneven: 0.2, ..LINEN },
    ),
    (
        "paper",
        Cloth {
            ground: Ground::Smooth,
            warp: [0.905, 0.87, 0.785],
            weft: [0.905, 0.87, 0.785],
            sheen: 0.0,
            limp: 0.12,
            ..LINEN
        },
    ),
];

/// Finds a cloth by name.
pub fn named(name: &str) -> Option<Cloth> {
    CLOTHS.iter().find(|c| c.0 == name).map(|c| c.1)
}

/// What is seen at one point of a cloth.
#[derive(Clone, Copy, Debug)]
pub struct Spot {
    /// Colour with the threads' own light and shade.
    pub colour: Colour,
    /// Share that is thread; the rest is a gap one sees through.
    pub share: f32,
    /// Whether an end (and not a pick) lies on top.
    pub warp_up: bool,
}

/// Threads gone at a point: nothing, the ends, the picks, or both.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Gone {
    /// The end here is missing.
    pub warp: bool,
    /// The pick here is missing.
    pub weft: bool,
}

/// Where the noise along threads repeats when nothing else asks: longer than any picture.
pub const NEVER: (i32, i32) = (1 << 20, 1 << 20);

fn lifted(weave: &[&str], end: i32, pick: i32) -> bool {
    let row = weave[pick.rem_euclid(weave.len() as i32) as usize].as_bytes();
    row[end.rem_euclid(row.len() as i32) as usize] == b'1'
}

/// A wave of one turn a unit, near enough to a sine for light on thread.
fn wave(turns: f32) -> f32 {
    let t = (turns - floor(turns)) * 2.0 - 1.0;
    4.0 * t * (t.abs() - 1.0)
}

fn sign(up: bool) -> f32 {
    if up { 1.0 } else { -1.0 }
}

/// One thread system at a point.
struct Yarn {
    /// Height of its surface here.
    height: f32,
    /// Way across, -1 to 1 from flank to flank.
    off: f32,
    /// Height of a round thread at that way across.
    round: f32,
    /// How steeply it dives or rises.
    bend: f32,
    /// Share of the pixel it covers.
    inside: f32,
    /// Which thread, and which in the repeat of the noise.
    index: i32,
    own: i32,
    /// Drift along its length.
    wander: f32,
}

impl Cloth {
    /// The colour of thread `index` of `count` in a repeat.
    fn dyed(&self, base: Colour, index: i32, count: i32) -> Colour {
        if let Figure::Check(bar, line) = self.figure {
            let at = index.rem_euclid(count.max(1)) as f32 / count.max(1) as f32;
            return match at {
                a if (0.10..0.42).contains(&a) => bar,
                a if (0.56..0.60).contains(&a) || (0.92..0.96).contains(&a) => line,
                _ => base,
            };
        }
        base
    }

    /// A yarn: `across` counts threads of its own system, `along` the threads it crosses; `up(own, crossed)` says
    /// whether it lies on top there.
    fn yarn(&self, across: f32, along_it: f32, wrap: (i32, i32), seed: u32, up: impl Fn(i32, i32) -> f32) -> Yarn {
        let index = floor(across);
        let own = within(index as i32, wrap.0);
        let lattice = (wrap.1 / 8).max(1);
        let wander = along(own, along_it * 0.125, lattice, seed);
        let thick = along(own, along_it * 0.25, lattice * 2, seed + 1);
        let place = along_it - 0.5;
        let before = floor(place);
        let t = place - before;
        let (from, to) = (up(index as i32, before as i32), up(index as i32, before as i32 + 1));
        let ease = t * t * (3.0 - 2.0 * t);
        let rise = mix(from, to, ease);
        let bend = (to - from) * 6.0 * t * (1.0 - t);
        // A thread is squeezed where it dives and swells on its float.
        let slim = self.cover * (0.86 + 0.16 * rise.clamp(-1.0, 1.0));
        let half = 0.5 * slim * (1.0 + self.uneven * (thick + (hash(own, 0, seed + 2) - 0.5)));
        let off = (across - index - 0.5 - 0.35 * self.uneven * wander) / half.max(0.1);
        let round = (1.0 - off * off).max(0.0).sqrt();
        let height = rise * 0.5 + round * 0.5;
        let inside = 1.0 - step(0.88, 1.06, off.abs());
        Yarn { height, off, round, bend, inside, index: index as i32, own, wander }
    }

    /// Light on a yarn from the upper left, and its shine: twist as stripes that climb across it, fibres as fine
    /// streaks along it, the far flank darker, the crown lighter.
    fn lit(&self, yarn: &Yarn, along_it: f32, lattice: i32, seed: u32) -> (f32, f32) {
        let Yarn { off, round, own, .. } = *yarn;
        let wind = along_it * 0.9 + off * 0.55 * self.twist.signum() + 0.2 * yarn.wander;
        let strand = floor(off * 4.0);
        let between_strands = 1.0 - (off * 4.0 - strand - 0.5).abs();
        let fibre = along(own * 11 + strand as i32, along_it, lattice * 8, seed + 3) * between_strands;
        let tone = (hash(own, 1, seed + 4) - 0.5) * (0.03 + self.uneven * 0.25);
        let shade = 1.0 + self.twist.abs() * wave(wind) * round + 0.13 * fibre + tone;
        let shine = (1.0 - yarn.bend.abs() * 0.55).max(0.0) * (1.0 - (off + 0.25).abs()).clamp(0.0, 1.0);
        (shade * (0.70 + 0.36 * round - 0.09 * off.clamp(-1.0, 1.0)), shine)
    }

    /// The surface at thread coordinates: `u` counts ends from the left, `v` picks from the bottom.
    pub fn threads(&self, u: f32, v: f32, wrap: (i32, i32), gone: Gone) -> Spot {
        let Ground::Woven(weave) = self.ground else {
            return Spot { colour: self.warp, share: 1.0, warp_up: true };
        };
        let weave = WEAVES[weave].1;
        let warp = self.yarn(u, v, wrap, 21, |end, pick| sign(lifted(weave, end, pick)));
        let bare = gone.warp && !gone.weft;
        let weft =
            self.yarn(v, u, (wrap.1, wrap.0), 51, |pick, end| if bare { 0.4 } else { sign(!lifted(weave, end, pick)) });
        let a = if gone.warp { 0.0 } else { warp.inside };
        let b = match (gone.weft, bare) {
            (true, _) => 0.0,
            // A pick that nothing crosses closes up on itself and shows gaps beside it.
            (_, true) => 1.0 - step(0.45, 0.62, weft.off.abs()),
            _ => weft.inside,
        };
        let counts = ((self.repeat * self.ends / 10.0) as i32, (self.repeat * self.picks / 10.0) as i32);
        let counts = if wrap == NEVER { counts } else { wrap };
        let warp_up = (warp.height > weft.height && a > 0.2) || b < 0.2;
        let (top, share, base, count) =
            if warp_up { (&warp, a, self.warp, counts.0) } else { (&weft, b, self.weft, counts.1) };
        let (shade, gleam) =
            if warp_up { self.lit(top, v, (wrap.1 / 8).max(1), 21) } else { self.lit(top, u, (wrap.0 / 8).max(1), 51) };
        let under = if warp_up { b } else { a };
        let deep = step(-0.55, 0.95, top.height);
        let light = shade * mix(0.50, 1.09, deep);
        let shine = self.sheen * 0.42 * gleam * deep * deep;
        let colour = self.dyed(base, top.index, count).map(|c| c * light + shine * (0.35 + c));
        let lower = dim(self.dyed(if warp_up { self.weft } else { self.warp }, 0, count), 0.5);
        Spot { colour: between(lower, colour, share.max(0.0)), share: share + (1.0 - share) * under, warp_up }
    }

    /// The surface at a place in millimetres (y downwards), threads and figure.
    pub fn at(&self, q: P, gone: Gone) -> Spot {
        match self.ground {
            Ground::Lace if gone.warp && gone.weft => Spot { colour: self.warp, share: 0.0, warp_up: true },
            Ground::Woven(_) => {
                let (u, v) = (q.x * self.ends / 10.0, -q.y * self.picks / 10.0);
                self.figured(self.threads(u, v, NEVER, gone), q)
            }
            Ground::Lace => lace(self, q),
            Ground::Nap => Spot { colour: self.nap(q, 5.0), share: 1.0, warp_up: true },
            Ground::Smooth => {
                let tooth = plane(q.x * 3.0, q.y * 3.0, 91) * 0.006 + plane(q.x * 0.6, q.y * 0.6, 92) * 0.008;
                Spot { colour: dim(self.warp, 1.0 + tooth), share: 1.0, warp_up: true }
            }
        }
    }

    /// Fibres brushed downwards, `fine` strokes a millimetre.
    pub fn nap(&self, q: P, fine: f32) -> Colour {
        let drift = plane(q.x * 0.25, q.y * 0.12, 71) * 1.4;
        let (x, y) = (q.x + drift, q.y);
        let hair = plane(x * fine, y * fine * 0.16, 72) * 0.6 + plane(x * fine * 2.3, y * fine * 0.3, 73) * 0.4;
        between(self.warp, self.weft, 0.5 + 0.5 * hair).map(|c| c * (1.0 + hair * 0.30))
    }

    fn figured(&self, spot: Spot, q: P) -> Spot {
        match self.figure {
            Figure::Printed(ink) => {
                let worn = 0.82 + 0.12 * plane(q.x * 2.2, q.y * 2.2, 77);
                let share = sprig(q, self.repeat) * worn * if spot.warp_up { 1.0 } else { 0.93 };
                let light = (spot.colour[1] / self.warp[1]).min(1.15);
                Spot { colour: between(spot.colour, dim(ink, light), share), ..spot }
            }
            Figure::Whitework => {
                let share = sprig(q, self.repeat);
                let thread = 0.93 + 0.07 * ((q.x * 0.8 + q.y) * 9.0).sin();
                let colour = between(spot.colour, [0.985 * thread, 0.98 * thread, 0.965 * thread], share);
                Spot { colour, share: spot.share.max(share), ..spot }
            }
            _ => spot,
        }
    }
}

/// How far a point is outside a thick short line.
fn bar(q: P, from: P, to: P, half: f32) -> f32 {
    let (way, rel) = (to - from, q - from);
    let t = ((rel.x * way.x + rel.y * way.y) / (way.x * way.x + way.y * way.y).max(1e-6)).clamp(0.0, 1.0);
    (rel - way * t).length() - half
}

/// A leaf: the meeting of two circles, from its stalk at `from` to its tip at `to`.
fn leaf(q: P, from: P, to: P, fat: f32) -> f32 {
    let way = to - from;
    let long = way.length();
    let unit = way * (1.0 / long);
    let rel = q - (from + to) * 0.5;
    let (along, across) = (rel.x * unit.x + rel.y * unit.y, (rel.x * unit.y - rel.y * unit.x).abs());
    let (half, bulge) = (long * 0.5, fat * 0.5);
    let radius = (half * half + bulge * bulge) / (2.0 * bulge);
    p(along, across + radius - bulge).length() - radius
}

/// A sprig of five petals, a bent stem, leaves and a bud, twice in each repeat in half drop; 1 = covered.
pub fn sprig(q: P, repeat: f32) -> f32 {
    let column = floor(q.x / repeat * 2.0);
    let drop = if column.rem_euclid(2.0) > 0.5 { 0.5 } else { 0.0 };
    let cell =
        p((q.x - (column + 0.5) * repeat * 0.5) / repeat * 44.0, ((q.y / repeat + drop).rem_euclid(1.0) - 0.5) * 44.0);
    let q = if drop > 0.0 { p(-cell.x, cell.y) } else { cell };
    if q.x.abs() > 9.5 || q.y.abs() > 13.0 {
        return 0.0;
    }
    let mut far = bar(q, p(-1.2, -4.5), p(0.4, 1.5), 0.35).min(bar(q, p(0.4, 1.5), p(-1.6, 11.0), 0.38));
    far = far.min(leaf(q, p(0.2, 2.0), p(6.2, -2.2), 2.6)).min(leaf(q, p(-0.3, 5.0), p(-6.6, 2.0), 2.6));
    far = far.min(leaf(q, p(-1.0, 8.0), p(4.2, 6.0), 1.9));
    far = far.min(bar(q, p(0.1, 0.2), p(-4.6, -3.4), 0.25)).min((q - p(-5.2, -4.0)).length() - 1.15);
    let bloom = q - p(-1.4, -8.0);
    let turn = bloom.y.atan2(bloom.x);
    let petals = bloom.length() - (2.6 + 0.95 * (turn * 5.0).sin());
    let eye = 0.75 - (bloom.length() - 0.55).abs();
    far = far.min(petals.max(eye - 0.35));
    1.0 - step(-0.12, 0.16, far)
}

/// Bobbin-net ground with the same sprig worked solid.
fn lace(cloth: &Cloth, q: P) -> Spot {
    let size = 1.5;
    let (sx, sy) = (size, size * 1.732);
    let near = |ox: f32, oy: f32| {
        let (x, y) = ((q.x - ox).rem_euclid(sx) - sx * 0.5, (q.y - oy).rem_euclid(sy) - sy * 0.5);
        let (ax, ay) = (x.abs(), y.abs());
        // Distance to the wall of a hexagon of this width.
        size * 0.5 - ax.max(ax * 0.5 + ay * 0.866)
    };
    let wall = near(0.0, 0.0).max(near(sx * 0.5, sy * 0.5));
    let strand = 0.20 + 0.03 * plane(q.x * 2.0, q.y * 2.0, 81);
    let net = 1.0 - step(strand * 0.75, strand * 1.15, wall.abs());
    let work = sprig(q, cloth.repeat);
    let twist = 0.92 + 0.08 * ((q.x + q.y * 0.7) * 22.0).sin();
    let darn = 0.93 + 0.05 * (q.x * 13.0).sin() * (q.y * 13.0).sin();
    let light = mix(twist * (0.84 + 0.2 * (1.0 - (wall / strand).min(1.0))), darn, work);
    Spot { colour: dim(cloth.warp, light), share: (net * 0.95).max(work * 0.97), warp_up: true }
}

/// A square of cloth that repeats without a seam, for overall views.
pub struct Tile {
    /// Side lengths in pixels.
    pub size: (usize, usize),
    /// Colour and thread share of each pixel.
    pub px: Vec<[f32; 4]>,
}

impl Tile {
    /// Draws the tile of a cloth at `scale` pixels a millimetre. Threads finer than the picture can hold are drawn
    /// coarser, at about two pixels, so that the cloth still reads as woven.
    pub fn new(cloth: &Cloth, scale: f32) -> Tile {
        let side = (cloth.repeat * scale).round().max(16.0) as usize;
        let rep = if let Ground::Woven(w) = cloth.ground { WEAVES[w].1.len() as i32 * 8 } else { 8 };
        let count = |sett: f32| {
            let pitch = (scale * 10.0 / sett).max(1.75);
            ((side as f32 / pitch / rep as f32).round() as i32).max(1) * rep
        };
        let wrap = (count(cloth.ends), count(cloth.picks));
        // Fine threads need four looks a pixel; threads of several pixels do with one.
        let cuts = if side as f32 / wrap.0 as f32 > 3.4 { 1 } else { 4 };
        let plain = matches!((cloth.ground, cloth.figure), (Ground::Woven(_), Figure::None | Figure::Whitework));
        let mean = dim(between(cloth.warp, cloth.weft, 0.5), 0.86);
        let mut px = Vec::with_capacity(side * side);
        for y in 0..side {
            for x in 0..side {
                let mut sum = [0.0; 4];
                for cut in 0..cuts {
                    let q = if cuts == 1 {
                        p(x as f32 + 0.5, y as f32 + 0.5)
                    } else {
                        p(x as f32 + 0.25 + 0.5 * (cut % 2) as f32, y as f32 + 0.25 + 0.5 * (cut / 2) as f32)
                    };
                    let spot = if matches!(cloth.ground, Ground::Woven(_)) {
                        let (u, v) = (q.x / side as f32 * wrap.0 as f32, -q.y / side as f32 * wrap.1 as f32);
                        cloth.figured(cloth.threads(u, v, wrap, Gone::default()), q * (cloth.repeat / side as f32))
                    } else {
                        cloth.at(q * (cloth.repeat / side as f32), Gone::default())
                    };
                    for (total, part) in sum.iter_mut().zip(spot.colour) {
                        *total += part / cuts as f32;
                    }
                    sum[3] += spot.share / cuts as f32;
                }
                if plain && cuts > 1 {
                    // Threads near the size of a pixel are softened as a lens would.
                    let calm = between(mean, [sum[0], sum[1], sum[2]], 0.62);
                    sum[..3].copy_from_slice(&calm);
                }
                px.push(sum);
            }
        }
        Tile { size: (side, side), px }
    }

    /// The tile at a pixel place, smoothed between its pixels.
    pub fn sample(&self, q: P) -> [f32; 4] {
        let (fx, fy) = (floor(q.x), floor(q.y));
        let (tx, ty) = (q.x - fx, q.y - fy);
        let (w, h) = (self.size.0 as i32, self.size.1 as i32);
        let (x, y) = ((fx as i32).rem_euclid(w), (fy as i32).rem_euclid(h));
        let (right, below) = (if x + 1 == w { 0 } else { x + 1 }, if y + 1 == h { 0 } else { y + 1 });
        let get = |x: i32, y: i32| &self.px[(y * w + x) as usize];
        let (a, b, c, d) = (get(x, y), get(right, y), get(x, below), get(right, below));
        let part = |i: usize| mix(mix(a[i], b[i], tx), mix(c[i], d[i], tx), ty);
        [part(0), part(1), part(2), part(3)]
    }
}
