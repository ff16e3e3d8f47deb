use crate::{GrayImage, GrayView};

/// Half the size: each pixel is the mean of four (a last odd row or column is dropped).
pub fn halve(v: GrayView<'_>) -> GrayImage {
    let (w, h) = (v.width() / 2, v.height() / 2);
    let mut data = Vec::with_capacity(w * h);
    for y in 0..h {
        let (a, b) = (v.row(2 * y), v.row(2 * y + 1));
        data.extend(a.chunks_exact(2).zip(b.chunks_exact(2)).map(|(p, q)| {
            ((u16::from(p[0]) + u16::from(p[1]) + u16::from(q[0]) + u16::from(q[1]) + 2) >> 2) as u8
        }));
    }
    GrayImage::new(w as u32, h as u32, data).expect("every row gives w pixels")
}

/// A quarter of the size in each direction, each pixel the mean of 4×4: two halvings in one pass.
pub fn quarter_mean(v: GrayView<'_>) -> GrayImage {
    let (w, h) = (v.width() / 4, v.height() / 4);
    let mut data = Vec::with_capacity(w * h);
    let mut sums = vec![0u16; w];
    for y in 0..h {
        sums.iter_mut().for_each(|s| *s = 0);
        for k in 0..4 {
            for (s, p) in sums.iter_mut().zip(v.row(4 * y + k).chunks_exact(4)) {
                *s += u16::from(p[0]) + u16::from(p[1]) + u16::from(p[2]) + u16::from(p[3]);
            }
        }
        data.extend(sums.iter().map(|s| ((s + 8) >> 4) as u8));
    }
    GrayImage::new(w as u32, h as u32, data).expect("every row gives w pixels")
}

/// The picture and its halvings, finest first.
#[derive(Clone, Debug)]
pub struct Pyramid {
    /// Levels; each is half the one before.
    pub levels: Vec<GrayImage>,
}

impl Pyramid {
    /// `count` levels, or as many as stay at least 16 px in both directions.
    pub fn new(v: GrayView<'_>, count: usize) -> Self {
        let first = GrayImage::new(v.width() as u32, v.height() as u32, v.data().to_vec())
            .expect("a view holds its picture");
        let mut levels = vec![first];
        while levels.len() < count {
            let last = levels.last().expect("there is a first level").view();
            if last.width() < 32 || last.height() < 32 {
                break;
            }
            let next = halve(last);
            levels.push(next);
        }
        Self { levels }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_quarter_is_two_halves_to_rounding() {
        let data: Vec<u8> = (0..64u32 * 48).map(|k| (k * 7919 % 251) as u8).collect();
        let g = GrayImage::new(64, 48, data).unwrap();
        let (a, b) = (quarter_mean(g.view()), halve(halve(g.view()).view()));
        assert!(a.data().iter().zip(b.data()).all(|(p, q)| p.abs_diff(*q) <= 1));
        assert_eq!(Pyramid::new(g.view(), 9).levels.len(), 2);
    }
}
