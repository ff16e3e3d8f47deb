//! Block lettering of our own: strokes on a 4 by 6 grid with cut corners, for numbers, end zones and the score bug.

use tiny_skia::{LineCap, LineJoin, Mask, Path, PathBuilder, Stroke, Transform};

/// Centre lines of a glyph: x 0 to 4 rightwards, y 0 to 6 upwards. Unknown characters are blank.
fn strokes(c: char) -> &'static [&'static [(f32, f32)]] {
    match c {
        '0' | 'O' => &[&[
            (1., 0.),
            (3., 0.),
            (4., 1.),
            (4., 5.),
            (3., 6.),
            (1., 6.),
            (0., 5.),
            (0., 1.),
            (1., 0.),
            (3., 0.),
        ]],
        '1' => &[&[(0.3, 4.7), (2., 6.), (2., 0.)], &[(0., 0.), (4., 0.)]],
        '2' => {
            &[&[(0., 4.5), (0., 5.), (1., 6.), (3., 6.), (4., 5.), (4., 3.8), (0., 1.), (0., 0.), (4., 0.)]]
        }
        '3' => &[
            &[(0., 4.8), (0., 5.), (1., 6.), (3., 6.), (4., 5.), (4., 4.), (3., 3.), (1.4, 3.)],
            &[(3., 3.), (4., 2.), (4., 1.), (3., 0.), (1., 0.), (0., 1.), (0., 1.2)],
        ],
        '4' => &[&[(3., 0.), (3., 6.), (2.4, 6.), (0., 2.5), (0., 1.8), (4., 1.8)]],
        '5' => &[&[
            (4., 6.),
            (0., 6.),
            (0., 3.4),
            (3., 3.4),
            (4., 2.4),
            (4., 1.),
            (3., 0.),
            (1., 0.),
            (0., 1.),
            (0., 1.2),
        ]],
        '6' => &[&[
            (4., 4.8),
            (4., 5.),
            (3., 6.),
            (1., 6.),
            (0., 5.),
            (0., 1.),
            (1., 0.),
            (3., 0.),
            (4., 1.),
            (4., 2.4),
            (3., 3.4),
            (0., 3.4),
        ]],
        '7' => &[&[(0., 5.), (0., 6.), (4., 6.), (4., 5.), (1.6, 0.)]],
        '8' => &[&[
            (1., 3.2),
            (0., 4.1),
            (0., 5.),
            (1., 6.),
            (3., 6.),
            (4., 5.),
            (4., 4.1),
            (3., 3.2),
            (1., 3.2),
            (0., 2.3),
            (0., 1.),
            (1., 0.),
            (3., 0.),
            (4., 1.),
            (4., 2.3),
            (3., 3.2),
        ]],
        '9' => &[&[
            (0., 1.2),
            (0., 1.),
            (1., 0.),
            (3., 0.),
            (4., 1.),
            (4., 5.),
            (3., 6.),
            (1., 6.),
            (0., 5.),
            (0., 3.6),
            (1., 2.6),
            (4., 2.6),
        ]],
        'A' => &[&[(0., 0.), (0., 4.6), (1.2, 6.), (2.8, 6.), (4., 4.6), (4., 0.)], &[(0., 2.4), (4., 2.4)]],
        'B' => &[&[
            (0., 3.2),
            (3., 3.2),
            (4., 4.1),
            (4., 5.),
            (3., 6.),
            (0., 6.),
            (0., 0.),
            (3., 0.),
            (4., 1.),
            (4., 2.3),
            (3., 3.2),
        ]],
        'C' => &[&[
            (4., 4.6),
            (4., 5.),
            (3., 6.),
            (1., 6.),
            (0., 5.),
            (0., 1.),
            (1., 0.),
            (3., 0.),
            (4., 1.),
            (4., 1.4),
        ]],
        'D' => &[&[(0., 0.), (3., 0.), (4., 1.), (4., 5.), (3., 6.), (0., 6.), (0., 0.), (1., 0.)]],
        'E' => &[&[(4., 6.), (0., 6.), (0., 0.), (4., 0.)], &[(0., 3.1), (3., 3.1)]],
        'F' => &[&[(4., 6.), (0., 6.), (0., 0.)], &[(0., 3.), (3., 3.)]],
        'G' => &[&[
            (4., 4.6),
            (4., 5.),
            (3., 6.),
            (1., 6.),
            (0., 5.),
            (0., 1.),
            (1., 0.),
            (3., 0.),
            (4., 1.),
            (4., 2.8),
            (2.2, 2.8),
        ]],
        'H' => &[&[(0., 0.), (0., 6.)], &[(4., 0.), (4., 6.)], &[(0., 3.), (4., 3.)]],
        'I' => &[&[(2., 0.), (2., 6.)], &[(0.8, 0.), (3.2, 0.)], &[(0.8, 6.), (3.2, 6.)]],
        'J' => &[&[(4., 6.), (4., 1.), (3., 0.), (1., 0.), (0., 1.), (0., 1.6)]],
        'K' => &[
            &[(0., 0.), (0., 6.)],
            &[(4., 6.), (4., 5.4), (1., 3.), (4., 0.6), (4., 0.)],
            &[(0., 3.), (1., 3.)],
        ],
        'L' => &[&[(0., 6.), (0., 0.), (4., 0.)]],
        'M' => &[&[(0., 0.), (0., 6.), (2., 3.), (4., 6.), (4., 0.)]],
        'N' => &[&[(0., 0.), (0., 6.), (4., 0.), (4., 6.)]],
        'P' => &[&[(0., 0.), (0., 6.), (3., 6.), (4., 5.), (4., 3.6), (3., 2.6), (0., 2.6)]],
        'Q' => &[
            &[
                (1., 0.),
                (3., 0.),
                (4., 1.),
                (4., 5.),
                (3., 6.),
                (1., 6.),
                (0., 5.),
                (0., 1.),
                (1., 0.),
                (3., 0.),
            ],
            &[(2.2, 1.8), (4., 0.)],
        ],
        'R' => &[
            &[(0., 0.), (0., 6.), (3., 6.), (4., 5.), (4., 3.8), (3., 2.8), (0., 2.8)],
            &[(2., 2.8), (4., 0.8), (4., 0.)],
        ],
        'S' => &[&[
            (4., 4.8),
            (4., 5.),
            (3., 6.),
            (1., 6.),
            (0., 5.),
            (0., 4.2),
            (1., 3.2),
            (3., 3.),
            (4., 2.),
            (4., 1.),
            (3., 0.),
            (1., 0.),
            (0., 1.),
            (0., 1.2),
        ]],
        'T' => &[&[(2., 0.), (2., 6.)], &[(0., 6.), (4., 6.)]],
        'U' => &[&[(0., 6.), (0., 1.), (1., 0.), (3., 0.), (4., 1.), (4., 6.)]],
        'V' => &[&[(0., 6.), (0., 4.6), (2., 0.), (4., 4.6), (4., 6.)]],
        'W' => &[&[(0., 6.), (0., 0.), (2., 3.), (4., 0.), (4., 6.)]],
        'X' => &[&[(0., 0.), (4., 6.)], &[(4., 0.), (0., 6.)]],
        'Y' => &[&[(0., 6.), (2., 3.2), (4., 6.)], &[(2., 3.2), (2., 0.)]],
        'Z' => &[&[(0., 6.), (4., 6.), (0., 0.), (4., 0.)]],
        '-' => &[&[(0.6, 3.), (3.4, 3.)]],
        ':' => &[&[(2., 1.2), (2., 2.2)], &[(2., 3.8), (2., 4.8)]],
        _ => &[],
    }
}

/// A glyph's outline in the unit box: (0, 0) bottom left, (1, 1) top right; `weight` is the stroke's width as a share of
/// the box's width. The strokes' outer edges touch the box.
fn outline(c: char, weight: f32) -> Option<Path> {
    let sw = weight * 4.0;
    let mut b = PathBuilder::new();
    for line in strokes(c) {
        for (i, &(x, y)) in line.iter().enumerate() {
            let px = sw / 2.0 + x / 4.0 * (4.0 - sw);
            let py = sw / 2.0 + y / 6.0 * (6.0 - sw);
            if i == 0 { b.move_to(px, py) } else { b.line_to(px, py) }
        }
    }
    let stroke = Stroke {
        width: sw,
        line_cap: LineCap::Square,
        line_join: LineJoin::Miter,
        miter_limit: 2.0,
        ..Stroke::default()
    };
    // The grid is 4 by 6, so a stroke has equal weight both ways before the box is scaled.
    b.finish()?.stroke(&stroke, 64.0)?.transform(Transform::from_scale(0.25, 1.0 / 6.0))
}

/// Adds a glyph to `mask`: the unit box lands where `place` takes it, px.
pub fn stamp(mask: &mut Mask, c: char, weight: f32, place: Transform) {
    if let Some(p) = outline(c, weight).and_then(|p| p.transform(place)) {
        mask.fill_path(&p, tiny_skia::FillRule::Winding, true, Transform::identity());
    }
}

/// Adds a line of text whose box is `width` by `height` px with its lower left corner at (x, y), y downwards.
pub fn write(mask: &mut Mask, text: &str, weight: f32, [x, y, width, height]: [f32; 4]) {
    let n = text.chars().count().max(1) as f32;
    let pitch = width / (n - 0.25);
    for (i, c) in text.chars().enumerate() {
        stamp(mask, c, weight, Transform::from_row(pitch * 0.75, 0.0, 0.0, -height, x + pitch * i as f32, y));
    }
}

/// Small masks of the ten digits for shirts: [`DIGIT_W`] by [`DIGIT_H`], row 0 at the top, nonzero where painted.
pub fn shirt_digits() -> [Vec<u8>; 10] {
    std::array::from_fn(|d| {
        let mut m = Mask::new(DIGIT_W as u32, DIGIT_H as u32).expect("a positive size");
        let c = char::from_digit(d as u32, 10).expect("a digit");
        stamp(
            &mut m,
            c,
            0.27,
            Transform::from_row(DIGIT_W as f32, 0.0, 0.0, -(DIGIT_H as f32), 0.0, DIGIT_H as f32),
        );
        m.data().to_vec()
    })
}

/// Width of a shirt digit's mask.
pub const DIGIT_W: usize = 20;
/// Height of a shirt digit's mask.
pub const DIGIT_H: usize = 30;
