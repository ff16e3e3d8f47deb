use geometry::Point2;
use geometry::frame::Pixel;
use nalgebra as na;
use picture::Stroke;

/// Strokes that run to one point of the picture's plane.
#[derive(Clone, Debug)]
pub(super) struct Pencil {
    /// The point, homogeneous, in px about the picture's middle over the half width; unit length.
    pub at: na::Vector3<f64>,
    /// Which strokes.
    pub members: Vec<usize>,
}

impl Pencil {
    /// The point in px; `None` at infinity.
    pub fn point(&self, half: [f64; 2]) -> Option<Point2<Pixel>> {
        (self.at.z.abs() > 1e-4).then(|| {
            Point2::new(half[0] + half[0] * self.at.x / self.at.z, half[1] + half[0] * self.at.y / self.at.z)
        })
    }
}

/// Strokes between which meeting points are sought.
const SEEDS: usize = 44;
/// Pencils tried.
const KEPT: usize = 4;
/// Angle between a stroke and the way to the point, rad: distortion bows a long line by about a degree.
const ANGLE: f64 = 0.028;

/// The pencils that hold most of the strokes' length, from all pairs of the longest strokes.
pub(super) fn pencils(strokes: &[Stroke], half: [f64; 2]) -> Vec<Pencil> {
    let scaled =
        |p: Point2<Pixel>| na::Vector3::new((p.x - half[0]) / half[0], (p.y - half[1]) / half[0], 1.0);
    let lines: Vec<(na::Vector3<f64>, na::Vector3<f64>, [f64; 2], f64)> = strokes
        .iter()
        .map(|s| {
            let d = s.direction();
            (scaled(s.a).cross(&scaled(s.b)), scaled(s.middle()), [d.x, d.y], s.length())
        })
        .collect();
    let mut order: Vec<usize> = (0..lines.len()).collect();
    order.sort_by(|a, b| lines[*b].3.total_cmp(&lines[*a].3));
    order.truncate(220);
    let seeds = &order[..order.len().min(SEEDS)];
    let fits = |v: &na::Vector3<f64>, i: usize| -> f64 {
        let (_, m, d, length) = &lines[i];
        let to = [v.x - m.x * v.z, v.y - m.y * v.z];
        let n = to[0].hypot(to[1]).max(1e-12);
        let sine = (d[0] * to[1] - d[1] * to[0]).abs() / n;
        // A stroke's own direction is known to about a pixel over its length.
        let allowed = ANGLE + 1.0 / length;
        if sine < allowed { length * (1.0 - (sine / allowed).powi(2)) } else { 0.0 }
    };
    let mut found: Vec<(f64, na::Vector3<f64>)> = Vec::new();
    for (k, &i) in seeds.iter().enumerate() {
        for &j in &seeds[..k] {
            let v = lines[i].0.cross(&lines[j].0);
            if v.norm() < 1e-9 {
                continue;
            }
            let v = v.normalize();
            found.push((order.iter().map(|&s| fits(&v, s)).sum(), v));
        }
    }
    found.sort_by(|a, b| b.0.total_cmp(&a.0));
    let mut out: Vec<Pencil> = Vec::new();
    for (_, v) in found {
        let members: Vec<usize> = order.iter().copied().filter(|&i| fits(&v, i) > 0.0).collect();
        let length = |m: &mut dyn Iterator<Item = usize>| m.map(|i| lines[i].3).sum::<f64>();
        let own = length(&mut members.iter().copied());
        let known = out
            .iter()
            .any(|p| length(&mut members.iter().copied().filter(|i| p.members.contains(i))) > 0.5 * own);
        if known || members.len() < 3 {
            continue;
        }
        let at = refined(&lines, &members, v);
        out.push(Pencil { at, members });
        if out.len() == KEPT {
            break;
        }
    }
    out
}

/// The point nearest to all lines, each weighted by its length and by how far its direction carries.
fn refined(
    lines: &[(na::Vector3<f64>, na::Vector3<f64>, [f64; 2], f64)],
    members: &[usize],
    start: na::Vector3<f64>,
) -> na::Vector3<f64> {
    let mut v = start;
    for _ in 0..4 {
        let mut a = na::Matrix3::zeros();
        for &i in members {
            let (line, m, d, length) = &lines[i];
            let l = line / line.xy().norm();
            // Distance of the point from the line over its distance from the stroke is the angle.
            let far = [v.x - m.x * v.z, v.y - m.y * v.z];
            let sine = (d[0] * far[1] - d[1] * far[0]).abs() / far[0].hypot(far[1]).max(1e-9);
            let soft = 1.0 / (1.0 + (sine / 0.008).powi(2));
            let w = length.powi(2) * soft / (far[0].powi(2) + far[1].powi(2)).max(1e-6);
            a += l * l.transpose() * w;
        }
        let e = a.symmetric_eigen();
        v = e.eigenvectors.column(e.eigenvalues.imin()).into_owned();
    }
    v
}
