//! What is burned into the picture after the lens: a score bug, and a frame counter that a program can read.

use super::colour::Yuv;
use super::font;
use super::lens::Frame;
use super::look::Look;
use tiny_skia::Mask;

/// Squares of the counter, most significant first.
pub const COUNTER_BITS: usize = 16;

/// Where the counter's square `bit` is, px: its corner and side. White is 1. A picture of `height` lines.
pub fn counter_square(bit: usize, height: usize) -> (usize, usize, usize) {
    let side = (height / 45).max(4) & !1;
    (side * 2 + bit * side, side * 2, side)
}

/// Burns in what the look asks for. `index` is the frame's number, `clock_s` the time on the play's clock.
pub fn burn(frame: &mut Frame, look: &Look, index: usize, clock_s: f64) {
    if look.score_bug {
        let left = (487.0 - clock_s.max(0.0)).max(0.0) as u32;
        let text = format!("HOL 14  ELD 10  2 {}:{:02}", left / 60, left % 60);
        let h = frame.height as f32 / 720.0;
        let (x, y) = (56.0 * h, 650.0 * h);
        fill(frame, [x, y, x + 372.0 * h, y + 34.0 * h], Yuv::from_rgb([24, 28, 36]));
        fill(frame, [x, y, x + 6.0 * h, y + 34.0 * h], Yuv::from_rgb(look.colours[1]));
        write(frame, &text, [x + 18.0 * h, y + 26.0 * h, 340.0 * h, 18.0 * h]);
    }
    if look.counter {
        for bit in 0..COUNTER_BITS {
            let (x, y, s) = counter_square(bit, frame.height);
            let one = index >> (COUNTER_BITS - 1 - bit) & 1 == 1;
            let c = Yuv::from_rgb(if one { [255; 3] } else { [0; 3] });
            fill(frame, [x as f32, y as f32, (x + s) as f32, (y + s) as f32], c);
        }
        let (x, y, s) = counter_square(0, frame.height);
        let s = s as f32;
        let (x, y) = (x as f32, y as f32 + 1.5 * s);
        fill(frame, [x, y, x + s * 6.4, y + s * 1.9], Yuv::from_rgb([0; 3]));
        write(frame, &format!("{index:06}"), [x + 0.2 * s, y + 1.65 * s, s * 6.0, s * 1.4]);
    }
}

fn fill(f: &mut Frame, [x0, y0, x1, y1]: [f32; 4], c: Yuv) {
    let (w, n) = (f.width, f.width * f.height);
    let y_code = (16.5 + c.y * 219.0 / 255.0) as u8;
    let chroma = [c.u, c.v].map(|v| (128.5 + v * 224.0 / 255.0) as u8);
    let (x0, x1) = (x0.max(0.0) as usize, (x1.max(0.0) as usize).min(f.width));
    let (y0, y1) = (y0.max(0.0) as usize, (y1.max(0.0) as usize).min(f.height));
    for y in y0..y1 {
        f.planes[y * w + x0..y * w + x1].fill(y_code);
    }
    for (k, v) in chroma.into_iter().enumerate() {
        for y in y0 / 2..y1 / 2 {
            let row = n + k * n / 4 + y * (w / 2);
            f.planes[row + x0 / 2..row + x1 / 2].fill(v);
        }
    }
}

/// White text on what is there, luma only.
fn write(f: &mut Frame, text: &str, place: [f32; 4]) {
    let top = (place[1] - place[3] - 2.0).max(0.0) as usize;
    let rows = place[3] as usize + 4;
    let Some(mut m) = Mask::new(f.width as u32, rows as u32) else { return };
    font::write(&mut m, text, 0.22, [place[0], place[1] - top as f32, place[2], place[3]]);
    for (out, &cover) in f.planes[top * f.width..].iter_mut().zip(m.data()) {
        let (a, b) = (u32::from(*out), u32::from(cover));
        *out = ((a * (255 - b) + 235 * b) / 255) as u8;
    }
}
