//! What a camera operator keeps in his picture.

use super::coverage::Task;
use super::plane::{P3, ease};
use super::staged::StagedPlay;
use super::world::{Job, PASSER};
use geometry::frame::Field;
use geometry::{Point2, Point3, frame::Ground};

/// An operator in the press box, for whoever asks for no particular place.
pub const PRESS_BOX: Point3<Field> = Point3::new(50.0, -40.5, 21.9);

/// Height of a head, yd.
const HEAD: f64 = 2.1;

/// Aim point on the ground and width of field framed there, yd, for an operator at `centre`: from the side everybody, from the end the
/// pocket; then the ball. A mean over about a second: he sees where things go and moves smoothly.
pub fn aim(stage: &StagedPlay, centre: Point3<Field>, t: f64) -> (Point3<Field>, f64) {
    let (mut x, mut y, mut w, mut n) = (0.0, 0.0, 0.0, 0.0);
    for k in -4i32..=5 {
        let (p, width) = wanted(stage, centre, t + 0.11 * f64::from(k));
        x += p.x;
        y += p.y;
        w += width;
        n += 1.0;
    }
    (Point3::new(x / n, y / n, 0.0), w / n)
}

fn wanted(stage: &StagedPlay, centre: Point3<Field>, t: f64) -> (Point2<Ground>, f64) {
    let world = &stage.world;
    let from_side = centre.y < 0.0 || centre.y > stage.script.place.book.width();
    let matters = |i: usize| {
        from_side
            || i == PASSER
            || i < 5
            || matches!(world.men[i].job, Job::Defend(Task::Rush { .. }) | Job::Block(_))
    };
    let at = |i: usize| {
        stage.field(P3::new(stage.figures[i].track.at(t).at.x, stage.figures[i].track.at(t).at.y, 0.0))
    };
    let (mut point, mut width) =
        frame_all(centre, (0..22).filter(|&i| matters(i)).map(at), if from_side { 32.0 } else { 30.0 });
    if let Some(f) = &world.flight {
        // Once the ball is in the air he goes with it.
        let u = 0.85 * ease((t - f.release) / 1.1);
        let meet = stage.field(P3::new(f.meet_at.x, f.meet_at.y, 0.0));
        let ball = world.ending.as_ref().and_then(|e| e.by).filter(|_| t > f.meets).map_or(meet, at);
        let near = (0..22).map(at).filter(|p| p.distance(ball) < 12.0);
        let (p, w) = frame_all(centre, near.chain([ball]), if from_side { 30.0 } else { 28.0 });
        point = point.lerp(p, u);
        width += (w - width) * u;
    }
    (point, width)
}

/// Middle of the directions to all of these bodies, and the width at that place that holds them in a 16 to 9 picture.
fn frame_all(
    centre: Point3<Field>,
    bodies: impl Iterator<Item = Point3<Field>>,
    least: f64,
) -> (Point2<Ground>, f64) {
    let (mut pan, mut tilt) = ([f64::MAX, f64::MIN], [f64::MAX, f64::MIN]);
    let mut reference = None;
    for b in bodies {
        let d = b - centre;
        let flat = d.x.hypot(d.y);
        let turn = *reference.get_or_insert(d.y.atan2(d.x));
        let a = units::wrap_angle(d.y.atan2(d.x) - turn);
        pan = [pan[0].min(a), pan[1].max(a)];
        let (feet, head) = ((centre.z / flat).atan(), ((centre.z - HEAD) / flat).atan());
        tilt = [tilt[0].min(head), tilt[1].max(feet)];
    }
    let (a, b) = (0.5 * (pan[0] + pan[1]) + reference.unwrap_or(0.0), 0.5 * (tilt[0] + tilt[1]));
    let reach = centre.z / b.tan().max(0.05);
    let slant = reach.hypot(centre.z);
    let across = 2.0 * slant * (0.5 * (pan[1] - pan[0])).tan() * 1.12 + 1.5;
    let down = 2.0 * slant * (0.5 * (tilt[1] - tilt[0])).tan() * (16.0 / 9.0) * 1.14;
    (Point2::new(centre.x + reach * a.cos(), centre.y + reach * a.sin()), across.max(down).max(least))
}
