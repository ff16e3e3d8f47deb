use super::contact::{Contact, NoHips, Placed, Stance, contact, hips, placed, stance};
use super::{FeetErrors, FeetInputs, Outcome};
use geometry::Vector2;
use geometry::frame::Ground;
use nalgebra as na;
use play::{Feet, Finding, Foot, Seen, Severity};
use stats::Estimate;
use units::wrap_angle;

/// Standard error above which an angle says nothing, degrees.
const WORST_ANGLE_DEG: f64 = 25.0;
/// Base below which the feet have no line, yd.
const LEAST_BASE_YD: f64 = 0.25;
/// Standard error of the weight above which it is not seen, in bases.
const WORST_WEIGHT: f64 = 0.35;
/// What makes two views contradict each other.
const WHY_APART: &str = "a mark is on another man, or a clip is lined up wrong";
/// A foot nearer than this to where it will stand has landed, yd.
const PLANTED_YD: f64 = 0.15;

/// Feet, base, step, landing and weight at release.
pub fn feet(inputs: &FeetInputs<'_>, errors: &FeetErrors) -> Outcome {
    let mut findings = Vec::new();
    let (marks, lost) = placed(inputs, errors);
    if lost > 0 {
        let text = format!(
            "{lost} foot marks are in frames where the field is not lined up, or are ankles in a view whose camera knows only the ground"
        );
        findings.push(Finding::new(Severity::Weak, "foot-marks-not-placed", text));
    }
    let near: Vec<(Contact, Placed<'_>)> =
        marks.iter().filter_map(|p| Some((contact(p, inputs, errors)?, *p))).collect();
    for (foot, word) in [(Contact::Back, "back"), (Contact::Front, "front")] {
        if !near.iter().any(|(c, _)| *c == foot) {
            return (Seen::NotSeen(format!("the {word} foot is not marked at release")), findings);
        }
    }
    let Some(stance) = stance(&near, errors) else {
        return (Seen::not("the foot marks leave the feet's places open"), findings);
    };
    if stance.apart {
        return (Seen::NotSeen(format!("the two views place the feet apart: {WHY_APART}")), findings);
    }
    if stance.unlike {
        let text =
            "different parts are marked on the two feet or in the two views; the interval is wider for it";
        findings.push(Finding::new(Severity::Note, "feet-unlike-parts", text));
    }
    let base = between(&stance, Contact::Back, Contact::Front);
    let base_yd = base.map_or_else(|| Seen::not("the feet's places are open"), Seen::Seen);
    let step_yd = match between(&stance, Contact::FrontAtSet, Contact::Front) {
        Some(e) => Seen::Seen(e),
        None if inputs.set_s.is_none() => Seen::not("the set is not marked"),
        None => Seen::not("the front foot is not marked at the set"),
    };
    let feet = Feet {
        error_deg: error(inputs, &stance, base),
        base_yd,
        step_yd,
        front_foot_lead_s: landing_lead(inputs, &marks),
        weight: weight(inputs, errors, &stance, base),
        repeats: stance.repeats,
    };
    (Seen::Seen(feet), findings)
}

/// Value and standard error of `f` at `x` with covariance `c`, by differences.
fn propagated(x: &na::DVector<f64>, c: &na::DMatrix<f64>, f: impl Fn(&na::DVector<f64>) -> f64) -> Estimate {
    let gradient = na::DVector::from_fn(x.len(), |k, _| {
        let step = 1e-4;
        let (mut a, mut b) = (x.clone(), x.clone());
        a[k] += step;
        b[k] -= step;
        (f(&a) - f(&b)) / (2.0 * step)
    });
    Estimate::new(f(x), (gradient.transpose() * c * &gradient)[0].max(0.0).sqrt())
}

/// Distance between two contacts.
fn between(s: &Stance, a: Contact, b: Contact) -> Option<Estimate> {
    let (i, j) = (s.index(a)?, s.index(b)?);
    Some(propagated(&s.at, &s.covariance, |x| (x[j] - x[i]).hypot(x[j + 1] - x[i + 1])))
}

fn error(inputs: &FeetInputs<'_>, s: &Stance, base: Option<Estimate>) -> Seen<Estimate> {
    let Some(target) = &inputs.target else {
        return Seen::not("where the ball was caught is not known, so there is no target line");
    };
    let (Some(back), Some(front), Some(base)) = (s.index(Contact::Back), s.index(Contact::Front), base)
    else {
        return Seen::not("both feet are needed");
    };
    if base.value < LEAST_BASE_YD {
        return Seen::NotSeen(format!(
            "the feet are {:.2} yd apart, too near for a line (limit {LEAST_BASE_YD} yd)",
            base.value
        ));
    }
    // The contacts and the target as one vector.
    let n = s.at.len();
    let mut x = s.at.clone().resize_vertically(n + 2, 0.0);
    x[n] = target.point.x;
    x[n + 1] = target.point.y;
    let mut c = s.covariance.clone().resize(n + 2, n + 2, 0.0);
    c.view_mut((n, n), (2, 2)).copy_from(&target.covariance.matrix());
    let angle = |x: &na::DVector<f64>| {
        let line = Vector2::<Ground>::new(x[front] - x[back], x[front + 1] - x[back + 1]);
        let middle = [0.5 * (x[front] + x[back]), 0.5 * (x[front + 1] + x[back + 1])];
        let to = Vector2::<Ground>::new(x[n] - middle[0], x[n + 1] - middle[1]);
        wrap_angle(line.angle() - to.angle()).to_degrees()
    };
    // Turned left is positive in the frame: for a right-handed passer the front foot is then away from the throwing
    // arm's side, which is open.
    let open = if inputs.right_handed { 1.0 } else { -1.0 };
    let e = propagated(&x, &c, angle).scaled(open);
    if e.se > WORST_ANGLE_DEG {
        return Seen::NotSeen(format!(
            "the marks leave the line of the feet open by {:.0} degrees (limit {WORST_ANGLE_DEG})",
            e.se
        ));
    }
    Seen::Seen(e)
}

/// How long before release the front foot came to stand where it stands last. The landing lies between the last mark
/// that shows it elsewhere and the first that shows it there.
fn landing_lead(inputs: &FeetInputs<'_>, marks: &[Placed<'_>]) -> Seen<Estimate> {
    let release = inputs.release_s;
    let mut front: Vec<&Placed<'_>> =
        marks.iter().filter(|p| p.mark.foot == Foot::Front && p.t_s < release.value + 0.3).collect();
    front.sort_by(|a, b| a.t_s.total_cmp(&b.t_s));
    let Some(last) = front.last() else { return Seen::not("the front foot is not marked") };
    let stands = |p: &Placed<'_>| {
        let same: Vec<_> = front
            .iter()
            .filter(|q| {
                (q.t_s - last.t_s).abs() < 0.02 && q.mark.part == p.mark.part && q.mark.view == p.mark.view
            })
            .collect();
        // Marks of another part or view than the last one's are not compared: the parts are a foot's length apart.
        let n = same.len() as f64;
        let mean = same.iter().map(|q| q.footing.point.column()).sum::<na::Vector2<f64>>() / n;
        (n > 0.0).then(|| (p.footing.point.column() - mean).norm() < PLANTED_YD)
    };
    let known: Vec<(f64, bool)> = front.iter().filter_map(|p| Some((p.t_s, stands(p)?))).collect();
    let Some(moving) = known.iter().rfind(|k| !k.1).map(|k| k.0) else {
        return Seen::not("the front foot is not marked in a frame before it lands");
    };
    let Some(planted) = known.iter().find(|k| k.0 > moving && k.1).map(|k| k.0) else {
        return Seen::not("the front foot is not marked where it lands");
    };
    let landed = Estimate::new(0.5 * (moving + planted), (planted - moving) / 12f64.sqrt());
    Seen::Seen(release.minus(landed))
}

fn weight(
    inputs: &FeetInputs<'_>,
    errors: &FeetErrors,
    s: &Stance,
    base: Option<Estimate>,
) -> Seen<Estimate> {
    if inputs.hips.is_empty() {
        return Seen::not("the hips are not marked at release");
    }
    let (hip, spread) = match hips(inputs, errors) {
        Ok(placed) => placed,
        Err(NoHips::Heights) => {
            return Seen::not("the hips are not marked at release in a view that sees heights");
        }
        Err(NoHips::Apart) => {
            return Seen::NotSeen(format!("the two views place the hips apart: {WHY_APART}"));
        }
    };
    let (Some(back), Some(front)) = (s.index(Contact::Back), s.index(Contact::Front)) else {
        return Seen::not("both feet are needed");
    };
    if base.is_none_or(|b| b.value < LEAST_BASE_YD) {
        return Seen::NotSeen(format!(
            "the feet are less than {LEAST_BASE_YD} yd apart: there is no base to be over"
        ));
    }
    let n = s.at.len();
    let mut x = s.at.clone().resize_vertically(n + 2, 0.0);
    x.rows_mut(n, 2).copy_from(&hip);
    let mut c = s.covariance.clone().resize(n + 2, n + 2, 0.0);
    c.view_mut((n, n), (2, 2)).copy_from(&spread);
    let e = propagated(&x, &c, |x| {
        let f = na::Vector2::new(x[front] - x[back], x[front + 1] - x[back + 1]);
        let h = na::Vector2::new(x[n] - x[back], x[n + 1] - x[back + 1]);
        h.dot(&f) / f.norm_squared()
    });
    if e.se > WORST_WEIGHT {
        return Seen::NotSeen(format!(
            "the views leave the hips open by {:.2} of the base (limit {WORST_WEIGHT})",
            e.se
        ));
    }
    Seen::Seen(e)
}
