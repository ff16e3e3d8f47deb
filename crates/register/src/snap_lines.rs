use geometry::Point2;
use geometry::frame::Pixel;
use nalgebra as na;
use picture::{GrayImage, GrayView, Ridge, RidgeSettings, ridges};

/// A straight piece of chalk: a point on it, its unit direction, the scatter of its crest points across, and where along it they lie.
#[derive(Clone, Debug)]
pub(crate) struct Line {
    pub through: na::Vector2<f64>,
    pub along: na::Vector2<f64>,
    pub scatter: f64,
    pub count: f64,
    places: Vec<f64>,
}

impl Line {
    /// From −1 to 1: how much more chalk lies beyond `p` along the direction than before it, the surroundings of `p` left out.
    pub fn lean(&self, p: na::Vector2<f64>) -> f64 {
        let at = (p - self.through).dot(&self.along);
        let beyond = self.places.iter().filter(|t| **t > at + 4.0).count() as f64;
        let before = self.places.iter().filter(|t| **t < at - 4.0).count() as f64;
        (beyond - before) / (beyond + before).max(1.0)
    }
    fn distance(&self, p: na::Vector2<f64>) -> f64 {
        let d = p - self.through;
        (d.x * self.along.y - d.y * self.along.x).abs()
    }
}

/// Crest points farther than this from a line are not its own, px.
const BELONGS: f64 = 0.9;
/// Fewest crest points that make a line.
const FEWEST: usize = 6;

/// The straight pieces of chalk within about twice `radius` of a pixel, best supported first.
pub(crate) fn lines(v: GrayView<'_>, pixel: Point2<Pixel>, radius: f64) -> Vec<Line> {
    let reach = 2.0 * radius + 8.0;
    let range = |c: f64, n: usize| ((c - reach).max(0.0) as usize, ((c + reach).ceil() as usize).min(n));
    let ((x0, x1), (y0, y1)) = (range(pixel.x, v.width()), range(pixel.y, v.height()));
    if x1 < x0 + 8 || y1 < y0 + 8 {
        return Vec::new();
    }
    let crop: Vec<u8> = (y0..y1).flat_map(|y| v.row(y)[x0..x1].iter().copied()).collect();
    let crop = GrayImage::new((x1 - x0) as u32, (y1 - y0) as u32, crop).expect("rows of x1 - x0 pixels");
    let mut crests = ridges(crop.view(), RidgeSettings { sigma: 1.2, least: 2.0, flatness: 0.6 });
    let strongest = crests.iter().map(|r| r.strength).fold(0.0, f32::max);
    crests.retain(|r| r.strength > 0.2 * strongest);
    let mut points: Vec<(na::Vector2<f64>, na::Vector2<f64>)> = crests
        .iter()
        .map(|r: &Ridge| (r.at.column() + na::Vector2::new(x0 as f64, y0 as f64), r.direction.column()))
        .collect();
    let mut out = Vec::new();
    while out.len() < 4 && points.len() >= FEWEST {
        let Some(line) = best_line(&points) else { break };
        points.retain(|(p, _)| line.distance(*p) > 2.0 * BELONGS);
        out.push(line);
    }
    out
}

/// The line through one crest point that most others agree with, refined by orthogonal regression.
fn best_line(points: &[(na::Vector2<f64>, na::Vector2<f64>)]) -> Option<Line> {
    let stride = (points.len() / 150).max(1);
    let own = |through: &na::Vector2<f64>,
               along: &na::Vector2<f64>,
               p: &(na::Vector2<f64>, na::Vector2<f64>),
               within: f64| {
        let d = p.0 - through;
        (d.x * along.y - d.y * along.x).abs() < within && p.1.dot(along).abs() > 0.94
    };
    let (seed, _) = points
        .iter()
        .step_by(stride)
        .map(|s| (s, points.iter().filter(|p| own(&s.0, &s.1, p, 1.5 * BELONGS)).count()))
        .max_by_key(|(_, n)| *n)?;
    let (mut through, mut along) = *seed;
    let mut mine: Vec<na::Vector2<f64>> = Vec::new();
    for _ in 0..3 {
        mine = points.iter().filter(|p| own(&through, &along, p, BELONGS * 1.2)).map(|p| p.0).collect();
        if mine.len() < FEWEST {
            return None;
        }
        through = mine.iter().sum::<na::Vector2<f64>>() / mine.len() as f64;
        let spread =
            mine.iter().fold(na::Matrix2::zeros(), |a, p| a + (p - through) * (p - through).transpose());
        let eigen = spread.symmetric_eigen();
        along = eigen.eigenvectors.column(eigen.eigenvalues.imax()).into_owned();
    }
    let square = mine
        .iter()
        .map(|p| {
            let d = p - through;
            (d.x * along.y - d.y * along.x).powi(2)
        })
        .sum::<f64>();
    let places = mine.iter().map(|p| (p - through).dot(&along)).collect();
    Some(Line {
        through,
        along,
        scatter: (square / mine.len() as f64).sqrt(),
        count: mine.len() as f64,
        places,
    })
}

/// The line nearest to a pixel, within `radius`.
pub(crate) fn nearest(found: &[Line], pixel: Point2<Pixel>, radius: f64) -> Option<&Line> {
    let p = pixel.column();
    found.iter().filter(|l| l.distance(p) <= radius).min_by(|a, b| a.distance(p).total_cmp(&b.distance(p)))
}

/// The crossing of two lines nearest to a pixel, its standard deviation, and the lines.
pub(crate) fn crossing(
    found: &[Line],
    pixel: Point2<Pixel>,
    radius: f64,
) -> Option<(na::Vector2<f64>, f64, [Line; 2])> {
    let mut best: Option<(f64, (na::Vector2<f64>, f64, [Line; 2]))> = None;
    for (k, a) in found.iter().enumerate() {
        for b in &found[k + 1..] {
            let sine = a.along.x * b.along.y - a.along.y * b.along.x;
            if sine.abs() < 0.2 {
                continue;
            }
            let d = b.through - a.through;
            let t = (d.x * b.along.y - d.y * b.along.x) / sine;
            let p = a.through + a.along * t;
            let off = (p - pixel.column()).norm();
            let sd = ((a.scatter / a.count.sqrt()).hypot(b.scatter / b.count.sqrt()) + 0.05) / sine.abs();
            if off <= radius && best.as_ref().is_none_or(|(o, _)| off < *o) {
                best = Some((off, (p, sd, [a.clone(), b.clone()])));
            }
        }
    }
    best.map(|(_, v)| v)
}
