use super::Candidate;
use crate::ViewInput;
use geometry::Point2;
use geometry::frame::Pixel;
use nalgebra as na;

/// Candidates of one view that follow each other evenly.
#[derive(Clone, Debug)]
pub(super) struct Chain {
    /// Indices among the view's candidates, by frame.
    pub(super) links: Vec<usize>,
    /// Links, less for what a ball does not do.
    pub(super) score: f64,
}

/// Fewest links of a chain worth a fit.
const FEWEST: usize = 6;
/// Chains handed on.
const MOST: usize = 14;
/// Frames that a chain may pass over in front of a crowd or a line, and go on.
const LONGEST_GAP: u32 = 4;
/// Slowest ball, in its own half sizes a frame: .12 yd thirty times a second is 3.7 yd/s across the line of sight.
const SLOWEST: f64 = 0.6;
/// Fastest: 35 yd/s is 72 mph.
const FASTEST: f64 = 10.5;
/// How far from even motion a third candidate may be, half sizes: gravity bends by .01 yd a frame², a twelfth of one, and
/// each candidate's middle errs by as much.
const EVEN: f64 = 0.45;
/// How far from the way so far the next may be, half sizes.
const NEAR: f64 = 0.5;
/// Scatter about one even curve at which a chain counts for .6 of its links, half sizes: limbs swing, a ball does not.
const STEADY: f64 = 0.15;
/// Way a frame below which a chain counts for less, half sizes: runners' heads go evenly too, at 8 yd/s at most.
const BRISK: f64 = 2.5;
/// Links from which the way ahead is foretold.
const MEMORY: usize = 9;

/// A candidate in a picture that does not turn: px along the pan and tilt of the rays.
struct Steady {
    frame: u32,
    at: na::Vector2<f64>,
    half: f64,
}

/// The best chains of a view, best first.
pub(super) fn chains(view: &ViewInput<'_>, candidates: &[Candidate]) -> Vec<Chain> {
    let steady: Vec<Steady> = candidates
        .iter()
        .map(|c| Steady { frame: c.frame, at: steady(view, c.frame, c.pixel), half: c.half_px })
        .collect();
    let Some(last) = candidates.last().map(|c| c.frame as usize) else { return Vec::new() };
    let mut by_frame: Vec<Vec<usize>> = vec![Vec::new(); last + 1];
    for (k, c) in candidates.iter().enumerate() {
        by_frame[c.frame as usize].push(k);
    }
    let mut all: Vec<Chain> = Vec::new();
    // A candidate in a long chain starts no other one.
    let mut used = vec![0usize; candidates.len()];
    for frame in 0..by_frame.len().saturating_sub(2) {
        for &a in &by_frame[frame] {
            for &b in &by_frame[frame + 1] {
                let step = steady[b].at - steady[a].at;
                let half = steady[b].half;
                if !(SLOWEST * half..FASTEST * half).contains(&step.norm()) {
                    continue;
                }
                for &c in &by_frame[frame + 2] {
                    let miss = (steady[c].at - steady[b].at - step).norm();
                    let long = used[a].min(used[b]).min(used[c]);
                    if miss > EVEN * half || long >= FEWEST {
                        continue;
                    }
                    let chain = extend([a, b, c], &steady, &by_frame);
                    if chain.links.len() >= FEWEST {
                        for &k in &chain.links {
                            used[k] = used[k].max(chain.links.len());
                        }
                        all.push(chain);
                    }
                }
            }
        }
    }
    all.sort_by(|a, b| b.score.total_cmp(&a.score));
    let mut best: Vec<Chain> = Vec::new();
    for c in all {
        let shared = |o: &Chain| c.links.iter().filter(|k| o.links.contains(k)).count() * 2 > c.links.len();
        if best.len() < MOST && !best.iter().any(shared) {
            best.push(c);
        }
    }
    best
}

fn steady(view: &ViewInput<'_>, frame: u32, p: Point2<Pixel>) -> na::Vector2<f64> {
    let Some(c) = view.camera(frame).and_then(|c| c.camera.pinhole()) else {
        return na::Vector2::new(p.x, p.y);
    };
    let d = c.ray(p).column();
    // Pan is counted from the first trusted camera's, so that it does not wrap.
    let from = view.cameras.iter().flatten().find_map(|c| c.camera.pinhole()).map_or(0.0, |c| c.aim.pan);
    let pan = units::wrap_angle(d.y.atan2(d.x) - from);
    na::Vector2::new(-pan * d.z.asin().cos(), -d.z.asin()) * c.aim.focal
}

fn extend(seed: [usize; 3], steady: &[Steady], by_frame: &[Vec<usize>]) -> Chain {
    let mut links = seed.to_vec();
    for way in [1i64, -1] {
        let mut misses = 0;
        let mut frame =
            i64::from(steady[*if way > 0 { links.last() } else { links.first() }.expect("seeded")].frame);
        loop {
            frame += way;
            if misses > LONGEST_GAP || frame < 0 || frame as usize >= by_frame.len() {
                break;
            }
            let near: Vec<usize> = if way > 0 {
                links.iter().rev().take(MEMORY).copied().collect()
            } else {
                links.iter().take(MEMORY).copied().collect()
            };
            let wanted = foretell(&near, steady, frame as f64);
            let half = steady[near[0]].half;
            let nearest = by_frame[frame as usize]
                .iter()
                .map(|&k| (k, (steady[k].at - wanted).norm() / half))
                .min_by(|a, b| a.1.total_cmp(&b.1));
            match nearest {
                Some((k, d)) if d < NEAR * (1.0 + 0.4 * f64::from(misses)) => {
                    if way > 0 {
                        links.push(k)
                    } else {
                        links.insert(0, k)
                    }
                    misses = 0;
                }
                _ => misses += 1,
            }
        }
    }
    let score = worth(&links, steady);
    Chain { links, score }
}

/// Links weighed by how evenly and how briskly they go.
fn worth(links: &[usize], steady: &[Steady]) -> f64 {
    let (first, last) = (&steady[links[0]], &steady[links[links.len() - 1]]);
    let span = f64::from(last.frame - first.frame).max(1.0);
    let row = |k: usize| {
        let t = 2.0 * f64::from(steady[k].frame - first.frame) / span - 1.0;
        na::Vector4::new(1.0, t, t * t, t * t * t)
    };
    let mut normal = na::Matrix4::<f64>::identity() * 1e-9;
    let mut right = na::Matrix4x2::<f64>::zeros();
    for &k in links {
        normal += row(k) * row(k).transpose();
        right += row(k) * steady[k].at.transpose();
    }
    let Some(inverse) = normal.try_inverse() else { return 0.0 };
    let curve = inverse * right;
    let half = links.iter().map(|&k| steady[k].half).sum::<f64>() / links.len() as f64;
    let sum: f64 =
        links.iter().map(|&k| (steady[k].at - (row(k).transpose() * curve).transpose()).norm_squared()).sum();
    // Eight numbers of the curve are taken from the links.
    let free = (2.0 * links.len() as f64 - 8.0).max(1.0);
    let scatter = (sum / free).sqrt() / half;
    let way = (last.at - first.at).norm() / span / half;
    links.len() as f64 * (-0.5 * (scatter / STEADY).powi(2)).exp() * (way / BRISK).min(1.0)
}

/// Where a parabola through the last links is at `frame`; a straight way while there are few.
fn foretell(near: &[usize], steady: &[Steady], frame: f64) -> na::Vector2<f64> {
    let at = |k: usize| (f64::from(steady[k].frame) - frame, steady[k].at);
    let order = if near.len() >= 5 { 3 } else { 2 };
    let mut normal = na::Matrix3::<f64>::identity() * 1e-9;
    let mut right = na::Matrix3x2::<f64>::zeros();
    for &k in near {
        let (t, p) = at(k);
        let row = na::Vector3::new(1.0, t, if order == 3 { t * t } else { 0.0 });
        normal += row * row.transpose();
        right += row * p.transpose();
    }
    match normal.try_inverse() {
        Some(inverse) => (inverse * right).row(0).transpose(),
        None => at(near[0]).1,
    }
}
