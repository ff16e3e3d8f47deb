use crate::RgbView;

/// Where the picture shows its commonest ground colour, in cells of some pixels.
///
/// The colour is learned from the picture: chromaticities (colour without brightness, so that shade and sun agree) are
/// counted, the commonest that can be grass or turf is taken with all that border on it, and a second such colour if it
/// is common too. Gaps that the region surrounds (people, paint, emblems) belong to it.
#[derive(Clone, Debug)]
pub struct GroundMask {
    /// Cells across.
    pub columns: usize,
    /// Cells down.
    pub rows: usize,
    /// Side of a cell, px.
    pub cell: usize,
    /// Cells of the colour itself.
    pub bare: Vec<bool>,
    /// The region with its gaps filled.
    pub region: Vec<bool>,
}

/// Bins a side of the chromaticity table.
const BINS: usize = 64;
/// Cells across the picture.
const ACROSS: usize = 160;
/// Share of the commonest bin's count with which a bin that touches the colour belongs to it.
const JOINS: f32 = 0.06;
/// Unevenness over that of most ground beyond which a cell is something else.
const ROUGH: f32 = 2.5;
/// Share of all candidate cells with which a second colour counts.
const SECOND: f32 = 0.12;

impl GroundMask {
    /// All of a picture whose colour is not known.
    pub fn everything(width: usize, height: usize) -> Self {
        let cell = (width / ACROSS).max(2);
        let (columns, rows) = (width / cell, height / cell);
        Self { columns, rows, cell, bare: vec![true; columns * rows], region: vec![true; columns * rows] }
    }

    /// Learned from a picture.
    pub fn learn(v: RgbView<'_>) -> Self {
        let (w, h) = (v.width() as usize, v.height() as usize);
        let mut out = Self::everything(w, h);
        let (cell, columns, rows) = (out.cell, out.columns, out.rows);
        let cells: Vec<(Option<usize>, f32)> = (0..columns * rows)
            .map(|i| {
                let (x0, y0) = ((i % columns) * cell, (i / columns) * cell);
                let (mut sum, mut square) = ([0u32; 3], 0u32);
                for y in (y0..y0 + cell).step_by(2) {
                    for x in (x0..x0 + cell).step_by(2) {
                        let p = &v.data()[(y * w + x) * 3..][..3];
                        for k in 0..3 {
                            sum[k] += u32::from(p[k]);
                        }
                        square += u32::from(p[1]) * u32::from(p[1]);
                    }
                }
                let n = (cell.div_ceil(2) * cell.div_ceil(2)) as f32;
                let mean = sum.map(|s| s as f32 / n);
                (bin(mean), (square as f32 / n - mean[1] * mean[1]).max(0.0).sqrt())
            })
            .collect();
        let bins: Vec<Option<usize>> = cells.iter().map(|c| c.0).collect();
        let mut count = vec![0.0f32; BINS * BINS];
        for (i, b) in bins.iter().enumerate() {
            if let Some(b) = b {
                // The field fills the middle and the foot of the picture more often than its head.
                let (u, t) = ((i % columns) as f32 / columns as f32, (i / columns) as f32 / rows as f32);
                count[*b] += 0.3 + t.min(0.85) * (1.0 - (2.0 * u - 1.0).powi(2) * 0.5);
            }
        }
        let smooth = blurred(&count);
        let total: f32 = count.iter().sum();
        if total < 0.05 * (columns * rows) as f32 {
            return out;
        }
        let mut taken = vec![false; BINS * BINS];
        let mut first = 0.0;
        for round in 0..2 {
            let Some(peak) =
                (0..BINS * BINS).filter(|&b| !taken[b]).max_by(|&a, &b| smooth[a].total_cmp(&smooth[b]))
            else {
                break;
            };
            let (grown, mass) = grow(&smooth, &count, &taken, peak);
            if round == 0 {
                first = mass;
            } else if mass < SECOND * total || mass < 0.2 * first {
                break;
            }
            grown.into_iter().for_each(|b| taken[b] = true);
        }
        // A crowd can have the ground's mean colour, but never its evenness.
        let mut rough: Vec<f32> = cells
            .iter()
            .skip(columns * rows / 2)
            .filter(|c| c.0.is_some_and(|b| taken[b]))
            .map(|c| c.1)
            .collect();
        rough.sort_by(f32::total_cmp);
        let even = rough.get(rough.len() / 2).map_or(f32::MAX, |m| (ROUGH * m).max(7.0));
        out.bare = cells.iter().map(|c| c.1 < even && c.0.is_some_and(|b| taken[b])).collect();
        out.region = region(&out.bare, columns, rows);
        out
    }

    /// Whether a pixel lies in the region.
    pub fn holds(&self, x: f64, y: f64) -> bool {
        self.at(&self.region, x, y)
    }
    /// Whether a pixel has the colour itself.
    pub fn is_bare(&self, x: f64, y: f64) -> bool {
        self.at(&self.bare, x, y)
    }
    /// Share of the picture that the region takes.
    pub fn share(&self) -> f64 {
        self.region.iter().filter(|b| **b).count() as f64 / self.region.len().max(1) as f64
    }
    fn at(&self, cells: &[bool], x: f64, y: f64) -> bool {
        if x < 0.0 || y < 0.0 || self.columns == 0 || self.rows == 0 {
            return false;
        }
        let (i, j) =
            ((x as usize / self.cell).min(self.columns - 1), (y as usize / self.cell).min(self.rows - 1));
        cells[j * self.columns + i]
    }
}

/// Bin of a colour that grass or turf can have, from brown winter grass to blue-green plastic; `None` for others and for
/// colours too dark to tell.
fn bin(c: [f32; 3]) -> Option<usize> {
    let sum: f32 = c.iter().sum();
    if sum < 36.0 {
        return None;
    }
    let [r, g, b] = c.map(|v| v / sum);
    // Green over blue by a little, and not much under red.
    if g < b * 1.015 || g < r * 0.94 || g < 0.335 {
        return None;
    }
    let at =
        |v: f32, low: f32, high: f32| (((v - low) / (high - low)).clamp(0.0, 0.999) * BINS as f32) as usize;
    Some(at(g, 0.32, 0.56) * BINS + at(r - b, -0.16, 0.32))
}

fn blurred(count: &[f32]) -> Vec<f32> {
    let mut out = vec![0.0; BINS * BINS];
    for y in 0..BINS {
        for x in 0..BINS {
            let (mut sum, mut weight) = (0.0, 0.0);
            for dy in -1i32..=1 {
                for dx in -1i32..=1 {
                    let (i, j) = (x as i32 + dx, y as i32 + dy);
                    if (0..BINS as i32).contains(&i) && (0..BINS as i32).contains(&j) {
                        let k = if dx == 0 && dy == 0 { 2.0 } else { 1.0 };
                        sum += k * count[j as usize * BINS + i as usize];
                        weight += k;
                    }
                }
            }
            out[y * BINS + x] = sum / weight;
        }
    }
    out
}

/// The bins that hang together with `peak`, and their count.
fn grow(smooth: &[f32], count: &[f32], taken: &[bool], peak: usize) -> (Vec<usize>, f32) {
    let least = JOINS * smooth[peak];
    let mut inside = vec![false; BINS * BINS];
    let mut stack = vec![peak];
    inside[peak] = true;
    let (mut out, mut mass) = (Vec::new(), 0.0);
    while let Some(b) = stack.pop() {
        out.push(b);
        mass += count[b];
        let (x, y) = ((b % BINS) as i32, (b / BINS) as i32);
        for (dx, dy) in [(1, 0), (-1, 0), (0, 1), (0, -1)] {
            let (i, j) = (x + dx, y + dy);
            if (0..BINS as i32).contains(&i) && (0..BINS as i32).contains(&j) {
                let n = j as usize * BINS + i as usize;
                if !inside[n] && !taken[n] && smooth[n] >= least {
                    inside[n] = true;
                    stack.push(n);
                }
            }
        }
    }
    (out, mass)
}

/// The larger connected parts after closing, with the gaps they surround filled.
fn region(bare: &[bool], columns: usize, rows: usize) -> Vec<bool> {
    let close = 3;
    let solid = majority(bare, columns, rows);
    let grown = spread(&solid, columns, rows, close, true);
    let mut closed = spread(&grown, columns, rows, close, false);
    keep_large(&mut closed, columns, rows, true, 0.2);
    // What does not reach the picture's border is a gap.
    let mut outside: Vec<bool> = closed.iter().map(|b| !b).collect();
    keep_border(&mut outside, columns, rows);
    outside.iter().map(|o| !o).collect()
}

/// Cells most of whose neighbourhood of nine is set: specks go, and so do pinholes.
fn majority(from: &[bool], columns: usize, rows: usize) -> Vec<bool> {
    (0..from.len())
        .map(|i| {
            let (x, y) = (i % columns, i / columns);
            let (mut set, mut all) = (0, 0);
            for j in y.saturating_sub(1)..(y + 2).min(rows) {
                for k in x.saturating_sub(1)..(x + 2).min(columns) {
                    all += 1;
                    set += usize::from(from[j * columns + k]);
                }
            }
            2 * set > all
        })
        .collect()
}

/// Dilation (`grow`) or erosion by a square of side 2r+1.
fn spread(from: &[bool], columns: usize, rows: usize, r: usize, grow: bool) -> Vec<bool> {
    let pass = |from: &[bool], step: usize, length: usize, lanes: usize, lane: usize| {
        let mut out = vec![false; from.len()];
        for l in 0..lanes {
            for k in 0..length {
                let (a, b) = (k.saturating_sub(r), (k + r).min(length - 1));
                let mut any = (a..=b).map(|i| from[l * lane + i * step]);
                out[l * lane + k * step] = if grow { any.any(|v| v) } else { any.all(|v| v) };
            }
        }
        out
    };
    let across = pass(from, 1, columns, rows, columns);
    pass(&across, columns, rows, columns, 1)
}

/// Clears connected parts of `value` smaller than a share of the largest.
fn keep_large(cells: &mut [bool], columns: usize, rows: usize, value: bool, share: f64) {
    let parts = parts(cells, columns, rows, value);
    let largest = parts.iter().map(Vec::len).max().unwrap_or(0) as f64;
    for p in parts {
        if (p.len() as f64) < share * largest {
            p.into_iter().for_each(|i| cells[i] = !value);
        }
    }
}

/// Clears parts that do not touch the border.
fn keep_border(cells: &mut [bool], columns: usize, rows: usize) {
    for p in parts(cells, columns, rows, true) {
        let touches = p.iter().any(|&i| {
            let (x, y) = (i % columns, i / columns);
            x == 0 || y == 0 || x + 1 == columns || y + 1 == rows
        });
        if !touches {
            p.into_iter().for_each(|i| cells[i] = false);
        }
    }
}

fn parts(cells: &[bool], columns: usize, rows: usize, value: bool) -> Vec<Vec<usize>> {
    let mut seen = vec![false; cells.len()];
    let mut out = Vec::new();
    for start in 0..cells.len() {
        if seen[start] || cells[start] != value {
            continue;
        }
        let (mut part, mut stack) = (Vec::new(), vec![start]);
        seen[start] = true;
        while let Some(i) = stack.pop() {
            part.push(i);
            let (x, y) = (i % columns, i / columns);
            let mut visit = |n: usize| {
                if !seen[n] && cells[n] == value {
                    seen[n] = true;
                    stack.push(n);
                }
            };
            if x > 0 {
                visit(i - 1);
            }
            if x + 1 < columns {
                visit(i + 1);
            }
            if y > 0 {
                visit(i - columns);
            }
            if y + 1 < rows {
                visit(i + columns);
            }
        }
        out.push(part);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::RgbImage;

    /// A field of two greens, half of it in shade, under a grey stand, with a person and an emblem on it.
    #[test]
    fn sun_shade_and_what_stands_on_the_field_are_one_region() {
        let (w, h) = (640usize, 360usize);
        let mut data = Vec::with_capacity(w * h * 3);
        for y in 0..h {
            for x in 0..w {
                let green = if x / 40 % 2 == 0 { [70.0, 112.0, 52.0] } else { [62.0, 101.0, 47.0] };
                let lit = if x > 320 { 0.35 } else { 1.0 };
                let c: [f64; 3] = if y < 90 {
                    [120.0, 118.0, 122.0]
                } else if (200..300).contains(&x) && (180..240).contains(&y) {
                    [160.0, 30.0, 40.0]
                } else if (400..410).contains(&x) && (150..180).contains(&y) {
                    [230.0, 230.0, 230.0]
                } else {
                    green.map(|v| v * lit)
                };
                data.extend(c.map(|v| v as u8));
            }
        }
        let m = GroundMask::learn(RgbImage::new(w as u32, h as u32, data).unwrap().view());
        for (x, y, inside) in [
            (100.0, 200.0, true),
            (600.0, 300.0, true),
            (250.0, 210.0, true),
            (405.0, 160.0, true),
            (300.0, 40.0, false),
        ] {
            assert_eq!(m.holds(x, y), inside, "({x}, {y})");
        }
        assert!(!m.is_bare(250.0, 210.0));
    }
}
