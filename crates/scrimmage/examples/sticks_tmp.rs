#![allow(missing_docs, clippy::print_stdout)]
use camera::*; use geometry::*; use scrimmage::sim::*; use scrimmage::stage::*;
use tiny_skia::*;
const BONES: [(Joint, Joint, u8); 19] = { use Joint::*; [(Head,Neck,0),(Neck,ShoulderLeft,1),(Neck,ShoulderRight,2),(ShoulderLeft,ElbowLeft,1),(ElbowLeft,WristLeft,1),(ShoulderRight,ElbowRight,2),(ElbowRight,WristRight,2),(ShoulderLeft,HipLeft,1),(ShoulderRight,HipRight,2),(HipLeft,HipRight,0),(HipLeft,KneeLeft,1),(KneeLeft,AnkleLeft,1),(AnkleLeft,HeelLeft,1),(HeelLeft,ToeLeft,1),(HipRight,KneeRight,2),(KneeRight,AnkleRight,2),(AnkleRight,HeelRight,2),(HeelRight,ToeRight,2),(AnkleLeft,ToeLeft,1)]};
fn main() {
    let a: Vec<String> = std::env::args().collect();
    let concept: usize = a[1].parse().unwrap(); let cov: usize = a[2].parse().unwrap(); let seed: u64 = a[3].parse().unwrap();
    let who: i32 = a[4].parse().unwrap(); let (t0, t1): (f64, f64) = (a[5].parse().unwrap(), a[6].parse().unwrap()); let focal: f64 = a[7].parse().unwrap();
    let script = script::Script::example(concept::Concept::ALL[concept], coverage::Coverage::ALL[cov], seed);
    let s = staged::StagedPlay::new(&script, &people::Kits::example());
    println!("{:?} {:?} set {} rel {:?} free {} end {:?} span {:?}", s.script.concept, s.script.set, s.world.passer.set, s.world.flight.as_ref().map(|f| f.release), s.world.passer.free_at, s.world.ending, s.span());
    let (w, h) = (300u32, 260u32); let n = 30;
    let mut sheet = Pixmap::new(w * 6, h * 5).unwrap(); sheet.fill(Color::from_rgba8(40, 90, 45, 255));
    for k in 0..n {
        let t = t0 + (t1 - t0) * k as f64 / (n - 1) as f64;
        let aim = if who >= 0 { let j = s.pose(who as usize, t).joints; j[7].lerp(j[8], 0.5) } else { s.operator_aim(t).0 };
        let ang: f64 = a.get(8).map_or(-60.0, |x| x.parse().unwrap());
        let cam = Point3::new(aim.x + 30.0 * ang.to_radians().cos(), aim.y + 30.0 * ang.to_radians().sin(), 10.0);
        let c = Pinhole::looking_at(Station { centre: cam, k1: 0.0, width: w, height: h }, Point3::new(aim.x, aim.y, 0.9), focal);
        let mut pm = Pixmap::new(w, h).unwrap(); pm.fill(Color::from_rgba8(50, 110, 55, 255));
        let mut line = |p: Point3<frame::Field>, q: Point3<frame::Field>, col: [u8; 3], wd: f32| {
            if let (Some(x), Some(y)) = (c.pixel_from_field(p), c.pixel_from_field(q)) {
                let mut pb = PathBuilder::new(); pb.move_to(x.x as f32, x.y as f32); pb.line_to(y.x as f32, y.y as f32);
                let mut paint = Paint::default(); paint.set_color_rgba8(col[0], col[1], col[2], 255); paint.anti_alias = true;
                if let Some(p) = pb.finish() { pm.stroke_path(&p, &paint, &Stroke { width: wd, line_cap: LineCap::Round, ..Default::default() }, Transform::identity(), None); }
            }
        };
        for g in 0..60 { let x = aim.x.floor() - 30.0 + g as f64; line(Point3::new(x, aim.y - 12.0, 0.0), Point3::new(x, aim.y + 12.0, 0.0), [70, 130, 75], 1.0); }
        for i in 0..s.actors().len() {
            let j = s.pose(i, t).joints; if j[0].distance(aim) > 25.0 { continue; }
            let k = s.actors()[i].kit; let dim = [k.shirt[0] / 2, k.shirt[1] / 2, k.shirt[2] / 2];
            for (p, q, side) in BONES { line(j[p as usize], j[q as usize], if side == 2 { dim } else { k.shirt }, (focal / 30.0 * 0.09) as f32); }
            line(j[0], j[0] + Vector3::new(0.0, 0.0, 0.03), k.helmet, (focal / 30.0 * 0.26) as f32);
        }
        if let Some(b) = s.ball(t) { line(b.centre + b.axis * 0.15, b.centre - b.axis * 0.15, [255, 140, 0], (focal / 30.0 * 0.18) as f32); }
        sheet.draw_pixmap(((k % 6) * w) as i32, ((k / 6) * h) as i32, pm.as_ref(), &PixmapPaint::default(), Transform::identity(), None);
    }
    sheet.save_png("/tmp/sticks.png").unwrap();
}
