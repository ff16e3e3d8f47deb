//! Shapes of the digits painted on fields, as strokes of our own in several manners, so that no one lettering is needed.

/// Cells of a digit's box.
pub(super) const WIDE: usize = 16;
pub(super) const HIGH: usize = 24;

/// A digit's coverage in its box, row 0 at its head.
#[derive(Clone, Debug)]
pub(super) struct Glyph {
    pub digit: u8,
    /// Manner and weight; both digits of a number share it.
    pub hand: u8,
    pub cells: Vec<f32>,
}

type Line = Vec<(f32, f32)>;

/// An arc from one angle to another, degrees counterclockwise from the right; y upwards.
fn arc(cx: f32, cy: f32, rx: f32, ry: f32, from: f32, to: f32) -> Line {
    let n = 14;
    (0..=n)
        .map(|k| (from + (to - from) * k as f32 / n as f32).to_radians())
        .map(|a| (cx + rx * a.cos(), cy + ry * a.sin()))
        .collect()
}

/// Centre lines in the box of width 1 and height 1, y upwards. `cut` is the corner cut of straight hands; 0 is square.
fn straight(digit: u8, c: f32) -> Vec<Line> {
    let e = c * 0.66;
    match digit {
        0 => vec![vec![
            (c, 0.0),
            (1.0 - c, 0.0),
            (1.0, e),
            (1.0, 1.0 - e),
            (1.0 - c, 1.0),
            (c, 1.0),
            (0.0, 1.0 - e),
            (0.0, e),
            (c, 0.0),
        ]],
        1 => vec![vec![(0.12, 0.78), (0.5, 1.0), (0.5, 0.0)], vec![(0.1, 0.0), (0.9, 0.0)]],
        2 => vec![vec![
            (0.0, 0.8),
            (0.0, 1.0 - e),
            (c, 1.0),
            (1.0 - c, 1.0),
            (1.0, 1.0 - e),
            (1.0, 0.62),
            (0.0, 0.17),
            (0.0, 0.0),
            (1.0, 0.0),
        ]],
        3 => vec![
            vec![
                (0.0, 0.82),
                (0.0, 1.0 - e),
                (c, 1.0),
                (1.0 - c, 1.0),
                (1.0, 1.0 - e),
                (1.0, 0.5 + e),
                (1.0 - c, 0.5),
                (0.35, 0.5),
            ],
            vec![(1.0 - c, 0.5), (1.0, 0.5 - e), (1.0, e), (1.0 - c, 0.0), (c, 0.0), (0.0, e), (0.0, 0.18)],
        ],
        4 => vec![vec![(0.74, 0.0), (0.74, 1.0), (0.0, 0.36), (0.0, 0.3), (1.0, 0.3)]],
        _ => vec![vec![
            (1.0, 1.0),
            (0.0, 1.0),
            (0.0, 0.56),
            (1.0 - c, 0.56),
            (1.0, 0.56 - e),
            (1.0, e),
            (1.0 - c, 0.0),
            (c, 0.0),
            (0.0, e),
            (0.0, 0.2),
        ]],
    }
}

fn round(digit: u8) -> Vec<Line> {
    match digit {
        0 => vec![arc(0.5, 0.5, 0.5, 0.5, 0.0, 360.0)],
        1 => vec![vec![(0.25, 0.8), (0.55, 1.0), (0.55, 0.0)]],
        2 => {
            let mut l = arc(0.5, 0.7, 0.5, 0.3, 170.0, -35.0);
            l.extend([(0.0, 0.0), (1.0, 0.0)]);
            vec![l]
        }
        3 => vec![arc(0.46, 0.755, 0.46, 0.245, 165.0, -90.0), arc(0.48, 0.255, 0.5, 0.255, 90.0, -165.0)],
        4 => vec![vec![(0.72, 0.0), (0.72, 1.0), (0.0, 0.3), (1.0, 0.3)]],
        _ => {
            let mut l = vec![(0.92, 1.0), (0.12, 1.0), (0.05, 0.52)];
            l.extend(arc(0.48, 0.32, 0.5, 0.32, 130.0, -160.0));
            vec![l]
        }
    }
}

fn plain_one(digit: u8) -> Option<Vec<Line>> {
    (digit == 1).then(|| vec![vec![(0.5, 0.0), (0.5, 1.0)]])
}

/// All digits 0 to 5 in all hands.
pub(super) fn glyphs() -> Vec<Glyph> {
    let mut out = Vec::new();
    let manners: [(fn(u8) -> Vec<Line>, f32); 6] = [
        (|d| straight(d, 0.25), 0.24),
        (|d| straight(d, 0.12), 0.30),
        (|d| plain_one(d).unwrap_or_else(|| straight(d, 0.0)), 0.22),
        (round, 0.20),
        (|d| plain_one(d).unwrap_or_else(|| round(d)), 0.30),
        (|d| straight(d, 0.22), 0.16),
    ];
    for (hand, (lines, weight)) in manners.into_iter().enumerate() {
        for digit in 0..=5u8 {
            out.push(Glyph { digit, hand: hand as u8, cells: raster(&lines(digit), weight) });
        }
    }
    out
}

/// Coverage of strokes `weight` box widths thick; their outer edges touch the box, which is 1 wide and 1.5 high.
fn raster(lines: &[Line], weight: f32) -> Vec<f32> {
    let half = weight / 2.0;
    let place = |(x, y): (f32, f32)| (half + x * (1.0 - weight), half + y * (1.5 - weight));
    let cell = 1.0 / WIDE as f32;
    let mut cells = vec![0.0f32; WIDE * HIGH];
    for (i, c) in cells.iter_mut().enumerate() {
        let (px, py) = (((i % WIDE) as f32 + 0.5) * cell, 1.5 - ((i / WIDE) as f32 + 0.5) * cell);
        let mut d = f32::MAX;
        for l in lines {
            for k in 1..l.len() {
                let (a, b) = (place(l[k - 1]), place(l[k]));
                let (vx, vy) = (b.0 - a.0, b.1 - a.1);
                let t = (((px - a.0) * vx + (py - a.1) * vy) / (vx * vx + vy * vy).max(1e-9)).clamp(0.0, 1.0);
                d = d.min((px - a.0 - t * vx).hypot(py - a.1 - t * vy));
            }
        }
        *c = ((half - d) / cell + 0.5).clamp(0.0, 1.0);
    }
    cells
}
