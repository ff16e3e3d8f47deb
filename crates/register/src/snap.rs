use crate::snap_lines::{Line, crossing, lines, nearest};
use field::Landmark;
use geometry::Point2;
use geometry::frame::Pixel;
use nalgebra as na;
use picture::GrayView;

/// A click moved to the chalk.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SnappedClick {
    /// Where the landmark is, px.
    pub pixel: Point2<Pixel>,
    /// Standard deviation in each image direction, px.
    pub sd_px: f64,
}

/// Least error claimed, px: what uneven grass does to a crest.
const FLOOR: f64 = 0.1;
/// Error of the end of a short stroke, whose levels are read from few pixels, px; measured on synthetic pictures.
const END: f64 = 0.5;
/// Error of a sideline's inside edge, px: ticks that end a few inches inside pull its crest, and its width leans on the usual blur;
/// measured on synthetic pictures.
const EDGE: f64 = 0.45;
/// Usual blur of optics, pixels and interpolation, standard deviation, px.
const BLUR: f64 = 0.87;

/// Moves a click to the chalk within `radius` px (3 to 40): to the nearest line for landmarks on a line, to the crossing of two lines
/// for crossings, to the nearest end of a stroke for ends of hash marks. A sideline's landmark is its inside edge while its crest is the
/// middle of its paint: the difference is measured in the picture and added toward the field, which is where the yard line goes, or
/// else the picture's middle. `None` where no such chalk is found, and for corners of numbers: the click then stands as it is.
pub fn snap(
    picture: GrayView<'_>,
    pixel: Point2<Pixel>,
    landmark: Landmark,
    radius: f64,
) -> Option<SnappedClick> {
    let radius = radius.clamp(3.0, 40.0);
    if !pixel.is_finite() || !picture.contains(pixel, 3.0) {
        return None;
    }
    let found = lines(picture, pixel, radius);
    let snapped = match landmark {
        Landmark::OnYardLine { .. } => on_line(nearest(&found, pixel, radius)?, pixel),
        Landmark::OnSideline { .. } => {
            let l = nearest(&found, pixel, radius)?;
            let middle = na::Vector2::new(picture.width() as f64 / 2.0, picture.height() as f64 / 2.0);
            let s = on_line(l, pixel);
            inside_edge(picture, l, s.pixel.column(), middle - s.pixel.column(), s.sd_px)?
        }
        Landmark::LineAtHash { .. } => {
            let (p, sd, _) = crossing(&found, pixel, radius)?;
            SnappedClick { pixel: Point2::from_column(p), sd_px: sd.hypot(FLOOR) }
        }
        Landmark::LineAtSideline { .. } => {
            let (p, sd, pair) = crossing(&found, pixel, radius)?;
            // The yard line ends here, the sideline goes on: the one with chalk on one side only leads into the field.
            let lean = [pair[0].lean(p), pair[1].lean(p)];
            let yard = usize::from(lean[1].abs() > lean[0].abs());
            if lean[yard].abs() < 0.3 {
                return None;
            }
            let inward = pair[yard].along * lean[yard].signum();
            inside_edge(picture, &pair[1 - yard], p, inward, sd)?
        }
        Landmark::HashMark { .. } | Landmark::OnHashRow { .. } => {
            end_of_stroke(picture, &found, pixel, radius)?
        }
        Landmark::Number { .. } => return None,
    };
    (snapped.pixel.distance(pixel) <= radius).then_some(snapped)
}

fn on_line(l: &Line, p: Point2<Pixel>) -> SnappedClick {
    let t = (p.column() - l.through).dot(&l.along);
    SnappedClick {
        pixel: Point2::from_column(l.through + l.along * t),
        sd_px: (l.scatter / l.count.sqrt()).hypot(FLOOR),
    }
}

/// From the crest of a line to its edge on the side that `inward` points to, moving along `inward` to stay on a crossing line.
fn inside_edge(
    v: GrayView<'_>,
    l: &Line,
    at: na::Vector2<f64>,
    inward: na::Vector2<f64>,
    sd: f64,
) -> Option<SnappedClick> {
    let normal = na::Vector2::new(-l.along.y, l.along.x);
    let direction = inward.normalize();
    let slant = normal.dot(&direction);
    if slant.abs() < 0.1 {
        return None;
    }
    let half = painted_half(v, l, at, -normal * slant.signum())?;
    let p = at + direction * (half / slant.abs());
    Some(SnappedClick { pixel: Point2::from_column(p), sd_px: sd.hypot(EDGE) })
}

/// Half the paint's width across a line, px: mass over height of the outer half of its profile (ticks crowd the inner), corrected for
/// the blur that lowers thin paint. `outward` is the unit normal away from the field.
fn painted_half(v: GrayView<'_>, l: &Line, at: na::Vector2<f64>, outward: na::Vector2<f64>) -> Option<f64> {
    const STEP: f64 = 0.25;
    let mut halves: Vec<f64> = Vec::new();
    // Off the crossing itself.
    for k in (-6..=6i32).filter(|k| k.abs() > 1) {
        let middle = l.through + l.along * ((at - l.through).dot(&l.along) + 3.0 * f64::from(k));
        let profile: Vec<f64> = (0..=28)
            .map(|j| {
                let p = middle + outward * (STEP * f64::from(j));
                f64::from(v.sample(p.x as f32, p.y as f32))
            })
            .collect();
        let ground = profile[20..].iter().sum::<f64>() / 9.0;
        let height = profile[..3].iter().copied().fold(0.0, f64::max) - ground;
        // Trapezium rule: the first sample is on the crest.
        let mass =
            STEP * (profile[1..20].iter().map(|p| p - ground).sum::<f64>() + 0.5 * (profile[0] - ground));
        if height > 6.0 && mass > 0.0 {
            halves.push(mass / height);
        }
    }
    halves.sort_by(f64::total_cmp);
    let seen = *halves.get(halves.len() / 2)?;
    // Height of a stripe of half width h under the blur is erf(h / (√2 σ)) of its own; twenty rounds settle h.
    let mut half = seen;
    for _ in 0..20 {
        half = seen * erf(half / (std::f64::consts::SQRT_2 * BLUR));
    }
    Some(half.clamp(0.2, 6.0))
}

/// Error function (Abramowitz & Stegun 7.1.26, error under 1.5e-7), x ≥ 0.
fn erf(x: f64) -> f64 {
    let t = 1.0 / (1.0 + 0.327_591_1 * x);
    let p = t
        * (0.254_829_592
            + t * (-0.284_496_736 + t * (1.421_413_741 + t * (-1.453_152_027 + t * 1.061_405_429))));
    1.0 - p * (-x * x).exp()
}

/// The nearest end of the stroke under the click: where the brightness along it falls half-way to the ground.
fn end_of_stroke(v: GrayView<'_>, found: &[Line], pixel: Point2<Pixel>, radius: f64) -> Option<SnappedClick> {
    let mut best: Option<(f64, SnappedClick)> = None;
    for l in found {
        let foot = on_line(l, pixel);
        let off = foot.pixel.distance(pixel);
        if off > 0.5 * radius {
            continue;
        }
        let value = |t: f64| {
            let p = foot.pixel.column() + l.along * t;
            f64::from(v.sample(p.x as f32, p.y as f32))
        };
        let reach = (4.0 * (radius + 4.0)) as i32;
        let profile: Vec<f64> = (-reach..=reach).map(|k| value(0.25 * f64::from(k))).collect();
        let mut sorted = profile.clone();
        sorted.sort_by(f64::total_cmp);
        let (low, high) = (sorted[sorted.len() / 10], sorted[sorted.len() * 9 / 10]);
        if high - low < 8.0 {
            continue;
        }
        let half = 0.5 * (low + high);
        let mut ends: Vec<f64> = profile
            .windows(2)
            .enumerate()
            .filter(|(_, w)| (w[0] - half) * (w[1] - half) < 0.0)
            .map(|(k, w)| 0.25 * (k as f64 - f64::from(reach) + (half - w[0]) / (w[1] - w[0])))
            .collect();
        ends.sort_by(|a, b| a.abs().total_cmp(&b.abs()));
        let Some(&t) = ends.first() else { continue };
        // Half-way between two ends the click does not say which is meant.
        if ends.get(1).is_some_and(|other| t.abs() > 0.35 * (other - t).abs()) {
            continue;
        }
        let d = t.hypot(off);
        if best.as_ref().is_none_or(|(b, _)| d < *b) {
            let p = foot.pixel.column() + l.along * t;
            best = Some((d, SnappedClick { pixel: Point2::from_column(p), sd_px: END }));
        }
    }
    best.map(|(_, s)| s)
}
