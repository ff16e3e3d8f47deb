//! One camera through a game: exact recovery, an outside solver, claims that hold, and clips that do not belong.

mod support;

use camera::{Aim, Pinhole, Station};
use field::{Crown, RuleBook};
use geometry::Point2;
use geometry::frame::Ground;
use rand_chacha::ChaCha8Rng;
use register::{
    Belongs, FrameEvidence, GameSettings, PaintSeen, PaintString, adjust_game, agree, one_centre, refit,
};
use std::collections::HashMap;
use support::*;

const BOOK: RuleBook = RuleBook::College;

/// A field as painted: each string's shift at its two ends, yd.
struct Painted {
    sd: f64,
    crown: Crown,
    shifts: HashMap<PaintString, [f64; 2]>,
}

impl Painted {
    fn new(sd: f64, crown: f64, r: &mut ChaCha8Rng) -> Self {
        let mut shifts = HashMap::new();
        for x in 0..=20i16 {
            shifts.insert(PaintString::Across(5 * x), ends(sd, r));
        }
        for far in [false, true] {
            shifts.insert(PaintString::Along(far), ends(sd, r));
            let row = sd * normal(r);
            shifts.insert(PaintString::Ends { far, ticks: false }, [row; 2]);
        }
        Self { sd, crown: Crown { height: crown }, shifts }
    }
    /// What a camera sees of it with `noise` px.
    fn seen(&self, c: &Pinhole, noise: f64, r: &mut ChaCha8Rng) -> FrameEvidence {
        let mut out = Vec::new();
        let mut add = |g: Point2<Ground>,
                       string: PaintString,
                       along: [f64; 2],
                       place: f64,
                       own: f64,
                       r: &mut ChaCha8Rng| {
            let [a, b] = self.shifts[&string];
            let shift = a + (b - a) * place + own;
            let across = matches!(string, PaintString::Along(_) | PaintString::Ends { .. });
            let moved = if across { Point2::new(g.x, g.y + shift) } else { Point2::new(g.x + shift, g.y) };
            let on = |p: Point2<Ground>| c.pixel_from_field(p.at_height(self.crown.at(p, BOOK)));
            let (Some(q), Some(t)) =
                (on(moved), on(Point2::new(moved.x + 0.01 * along[0], moved.y + 0.01 * along[1])))
            else {
                return;
            };
            if !(2.0..1278.0).contains(&q.x) || !(2.0..718.0).contains(&q.y) {
                return;
            }
            let d = (t - q).unit().expect("the paint has a direction");
            let n = [-d.y, d.x];
            let miss = noise * normal(r);
            out.push(PaintSeen {
                ground: g,
                normal: n,
                at: [q.x + miss * n[0], q.y + miss * n[1]],
                sd_px: noise.max(0.01),
                string,
                place,
            });
        };
        let w = BOOK.width();
        for x in 0..=20i16 {
            for y in [3.0, 15.0, 27.0, 38.0, 50.0] {
                add(
                    Point2::new(5.0 * f64::from(x), y),
                    PaintString::Across(5 * x),
                    [0.0, 1.0],
                    y / w,
                    0.0,
                    r,
                );
            }
        }
        for k in 0..50 {
            let x = f64::from(2 * k) + 1.0;
            for far in [false, true] {
                let (edge, row) = if far { (w, BOOK.far_hash()) } else { (0.0, BOOK.hash_from_sideline()) };
                add(Point2::new(x, edge), PaintString::Along(far), [1.0, 0.0], (x + 10.0) / 120.0, 0.0, r);
                let own = self.sd * normal(r);
                add(Point2::new(x, row), PaintString::Ends { far, ticks: false }, [1.0, 0.0], 0.5, own, r);
            }
        }
        FrameEvidence { camera: *c, seen: out, paint_sd: self.sd.max(0.005) }
    }
}

fn ends(sd: f64, r: &mut ChaCha8Rng) -> [f64; 2] {
    let common = normal(r);
    [0, 1].map(|_| sd * (0.3f64.sqrt() * common + 0.7f64.sqrt() * normal(r)))
}

fn station() -> Station {
    Station { centre: geometry::Point3::new(49.0, -40.5, 21.8), k1: -0.03, width: 1280, height: 720 }
}

/// Frames of a clip about `x`, with the operator's turns and zooms.
fn clip(x: f64, frames: usize) -> Vec<Pinhole> {
    (0..frames)
        .map(|k| {
            let k = k as f64;
            let mut c = Pinhole::looking_at(
                station(),
                geometry::Point3::new(x + 4.0 * k, 24.0 + k, 0.0),
                2300.0 * (1.0 + 0.07 * k),
            );
            c.aim.roll = 0.003 * (k - 1.0);
            c
        })
        .collect()
}

/// The camera that a clip's following would have come to: near the truth.
fn roughly(c: &Pinhole, r: &mut ChaCha8Rng) -> Pinhole {
    let mut out = *c;
    out.station.centre.y += 1.0 * normal(r);
    out.station.centre.z += 0.4 * normal(r);
    out.station.centre.x += 0.3 * normal(r);
    out.aim.focal *= 1.0 - 0.02 * (out.station.centre.y - c.station.centre.y);
    out
}

#[test]
fn exact_paint_gives_every_camera_back() {
    let mut r = rng(5);
    let painted = Painted::new(0.0, 0.11, &mut r);
    let truth: Vec<Pinhole> = [25.0, 45.0, 70.0].iter().flat_map(|&x| clip(x, 3)).collect();
    let frames: Vec<_> = truth
        .iter()
        .map(|c| {
            let mut e = painted.seen(c, 0.0, &mut r);
            e.camera = roughly(c, &mut r);
            e
        })
        .collect();
    let a = adjust_game(&frames, &GameSettings::unknown_crown(BOOK)).unwrap();
    // Exact evidence still leans on what is believed of lens, level and crown, by a millionth of its weight.
    assert!(a.station.station.centre.distance(station().centre) < 0.01, "{:?}", a.station.station);
    assert!((a.crown.0 - 0.11).abs() < 0.005, "{:?}", a.crown);
    for (found, true_one) in a.frames.iter().zip(&truth) {
        for g in visible_ground(true_one, 6.0) {
            let p = g.at_height(painted.crown.at(g, BOOK));
            let d = found.pixel_from_field(p).unwrap().distance(true_one.pixel_from_field(p).unwrap());
            assert!(d < 0.05, "{g:?}: {d} px");
        }
    }
}

/// One frame's paint for tiny-solver: the same camera written down once more, in whatever number type its automatic derivatives want
/// (Hartley & Zisserman, section 7.4, as docs/frames.md has it).
struct Seen {
    paint: Vec<PaintSeen>,
    /// Place of each string's two shifts among the shared unknowns.
    places: Vec<usize>,
    size: [f64; 2],
}

impl<T: nalgebra::RealField> tiny_solver::factors::Factor<T> for Seen {
    fn residual_func(&self, p: &[nalgebra::DVector<T>]) -> nalgebra::DVector<T> {
        let c = |v: f64| -> T { nalgebra::convert(v) };
        let (shared, aim) = (&p[0], &p[1]);
        let (sp, cp) = (aim[0].clone().sin(), aim[0].clone().cos());
        let (st, ct) = (aim[1].clone().sin(), aim[1].clone().cos());
        let (sr, cr) = (aim[2].clone().sin(), aim[2].clone().cos());
        let focal = aim[3].clone().exp();
        let mut out = nalgebra::DVector::zeros(self.paint.len());
        for (k, (e, &place)) in self.paint.iter().zip(&self.places).enumerate() {
            let shift = shared[place].clone() * c(1.0 - e.place) + shared[place + 1].clone() * c(e.place);
            let across = matches!(e.string, PaintString::Along(_));
            let (mut x, mut y) = (c(e.ground.x), c(e.ground.y));
            if across {
                y += shift
            } else {
                x += shift
            }
            let half = c(BOOK.width() / 2.0);
            let u = (y.clone() - half.clone()) / half;
            let z = shared[4].clone() * (c(1.0) - u.clone() * u);
            let d = [x - shared[0].clone(), y - shared[1].clone(), z - shared[2].clone()];
            // Right, down and forward of a level camera, then rolled.
            let right = d[0].clone() * sp.clone() - d[1].clone() * cp.clone();
            let flat = d[0].clone() * cp.clone() + d[1].clone() * sp.clone();
            let forward = flat.clone() * ct.clone() - d[2].clone() * st.clone();
            let down = -(flat * st.clone() + d[2].clone() * ct.clone());
            let cx = right.clone() * cr.clone() + down.clone() * sr.clone();
            let cy = down * cr.clone() - right * sr.clone();
            let (u, v) = (cx / forward.clone(), cy / forward);
            let radial = focal.clone()
                * (c(1.0) + shared[3].clone() * (u.clone() * u.clone() + v.clone() * v.clone()));
            let (px, py) = (c(self.size[0] / 2.0) + radial.clone() * u, c(self.size[1] / 2.0) + radial * v);
            out[k] = (c(e.normal[0]) * (c(e.at[0]) - px) + c(e.normal[1]) * (c(e.at[1]) - py)) / c(e.sd_px);
        }
        out
    }
}

/// Gaussian belief in the shared unknowns and in level cameras, as residuals.
struct Believed {
    crown: (f64, f64),
    paint: f64,
}

impl<T: nalgebra::RealField> tiny_solver::factors::Factor<T> for Believed {
    fn residual_func(&self, p: &[nalgebra::DVector<T>]) -> nalgebra::DVector<T> {
        let c = |v: f64| -> T { nalgebra::convert(v) };
        let shared = &p[0];
        let mut out =
            vec![shared[3].clone() / c(0.03), (shared[4].clone() - c(self.crown.0)) / c(self.crown.1)];
        // Two ends of correlation 0.3, by the Cholesky factor of their covariance.
        for k in (5..shared.len()).step_by(2) {
            let a = shared[k].clone() / c(self.paint);
            let b = shared[k + 1].clone() / c(self.paint);
            out.push(a.clone());
            out.push((b - a * c(0.3)) / c((1.0f64 - 0.09).sqrt()));
        }
        nalgebra::DVector::from_vec(out)
    }
}

struct Level;

impl<T: nalgebra::RealField> tiny_solver::factors::Factor<T> for Level {
    fn residual_func(&self, p: &[nalgebra::DVector<T>]) -> nalgebra::DVector<T> {
        nalgebra::DVector::from_vec(vec![p[0][2].clone() / nalgebra::convert(0.035)])
    }
}

/// tiny-solver 0.18 (crates.io), a general factor-graph solver with automatic derivatives, on the same small problem.
#[test]
fn an_outside_solver_comes_to_the_same_cameras() {
    use tiny_solver::Optimizer;
    let mut r = rng(31);
    let painted = Painted::new(0.02, 0.08, &mut r);
    let truth: Vec<Pinhole> = [30.0, 55.0].iter().flat_map(|&x| clip(x, 2)).collect();
    let frames: Vec<FrameEvidence> = truth
        .iter()
        .map(|c| {
            let mut e = painted.seen(c, 0.2, &mut r);
            // Long lines only, and stated noise under which no residual reaches Huber's bend: the problem is plain least squares.
            e.seen.retain(|p| matches!(p.string, PaintString::Across(_) | PaintString::Along(_)));
            e.seen.iter_mut().for_each(|p| p.sd_px = 0.8);
            e.camera = roughly(c, &mut r);
            e
        })
        .collect();
    let settings = GameSettings::unknown_crown(BOOK);
    let ours = adjust_game(&frames, &settings).unwrap();
    let strings: Vec<PaintString> = ours.painted.keys().copied().collect();
    let place =
        |s: PaintString| 5 + 2 * strings.iter().position(|t| *t == s).expect("every string is listed");
    let mut problem = tiny_solver::Problem::new();
    let mut start = HashMap::new();
    let s = &frames[0].camera.station;
    let mut shared = vec![s.centre.x, s.centre.y, s.centre.z, 0.0, 0.1];
    shared.resize(5 + 2 * strings.len(), 0.0);
    let believed = Believed { crown: settings.crown, paint: ours.paint_sd };
    problem.add_residual_block(shared.len() - 3, &["shared"], Box::new(believed), None);
    for (k, f) in frames.iter().enumerate() {
        let name = format!("aim{k}");
        let a = &f.camera.aim;
        start.insert(name.clone(), nalgebra::DVector::from_vec(vec![a.pan, a.tilt, a.roll, a.focal.ln()]));
        let places = f.seen.iter().map(|p| place(p.string)).collect();
        let seen = Seen { paint: f.seen.clone(), places, size: [1280.0, 720.0] };
        problem.add_residual_block(f.seen.len(), &["shared", &name], Box::new(seen), None);
        problem.add_residual_block(1, &[&name], Box::new(Level), None);
    }
    start.insert("shared".to_owned(), nalgebra::DVector::from_vec(shared));
    let options =
        tiny_solver::OptimizerOptions { min_rel_error_decrease_threshold: 1e-14, ..Default::default() };
    let theirs = tiny_solver::LevenbergMarquardtOptimizer::default()
        .optimize(&problem, &start, Some(options))
        .expect("tiny-solver finds a solution");
    let s = &theirs["shared"];
    let c = ours.station.station.centre;
    // A hundredth of what the evidence leaves open.
    for (k, v) in [c.x, c.y, c.z, ours.station.station.k1].into_iter().enumerate() {
        let sd = ours.station.covariance[5 * k].sqrt();
        assert!((s[k] - v).abs() < 0.01 * sd, "shared {k}: {} and {v} ± {sd}", s[k]);
    }
    assert!((s[4] - ours.crown.0).abs() < 0.01 * ours.crown.1, "{} and {:?}", s[4], ours.crown);
    for (k, f) in ours.frames.iter().enumerate() {
        let a = &theirs[&format!("aim{k}")];
        for g in visible_ground(f, 8.0) {
            let mut t = *f;
            t.station.centre = geometry::Point3::new(s[0], s[1], s[2]);
            t.station.k1 = s[3];
            t.aim = Aim { pan: a[0], tilt: a[1], roll: a[2], focal: a[3].exp() };
            let p = g.at_height(0.0);
            let d = t.pixel_from_field(p).unwrap().distance(f.pixel_from_field(p).unwrap());
            assert!(d < 0.005, "frame {k} at {g:?}: {d} px apart");
        }
    }
}

#[test]
fn claims_of_station_and_crown_hold() {
    let (mut inside, mut claims) = (0.0, 0.0);
    let mut aims = (0.0, 0.0);
    for seed in 0..60 {
        let mut r = rng(900 + seed);
        let crown = 0.15 * (0.5 + 0.5 * normal(&mut r)).clamp(0.0, 1.5);
        let painted = Painted::new(0.02, crown, &mut r);
        let truth: Vec<Pinhole> = [22.0, 40.0, 60.0, 78.0].iter().flat_map(|&x| clip(x, 2)).collect();
        let frames: Vec<_> = truth
            .iter()
            .map(|c| {
                let mut e = painted.seen(c, 0.25, &mut r);
                e.camera = roughly(c, &mut r);
                e
            })
            .collect();
        let a = adjust_game(&frames, &GameSettings::unknown_crown(BOOK)).unwrap();
        let c = a.station.station.centre;
        let errors = [
            c.x - station().centre.x,
            c.y - station().centre.y,
            c.z - station().centre.z,
            a.station.station.k1 - station().k1,
        ];
        for (k, e) in errors.into_iter().enumerate() {
            claims += 1.0;
            inside += f64::from(u8::from(e.abs() <= 1.6449 * a.station.covariance[5 * k].sqrt()));
        }
        aims.0 += f64::from(u8::from((a.crown.0 - crown).abs() <= 1.6449 * a.crown.1));
        aims.1 += 1.0;
    }
    println!("station covered {:.3}, crown {:.3}", inside / claims, aims.0 / aims.1);
    // 240 claims, of which the four of one game hang together: three standard errors of a share over 60 games.
    assert!((0.80..=0.98).contains(&(inside / claims)), "{}", inside / claims);
    assert!((0.78..=1.0).contains(&(aims.0 / aims.1)), "{}", aims.0 / aims.1);
}

#[test]
fn clips_that_do_not_belong_are_named() {
    let mut r = rng(44);
    let painted = Painted::new(0.015, 0.0, &mut r);
    let see = |cameras: Vec<Pinhole>, r: &mut ChaCha8Rng| -> Vec<FrameEvidence> {
        cameras.iter().map(|c| painted.seen(c, 0.25, r)).collect()
    };
    let mut clips: Vec<_> = [30.0, 42.0, 55.0, 63.0, 70.0].iter().map(|&x| see(clip(x, 4), &mut r)).collect();
    // One read a yard line too far, one turned round, one from a camera ten feet aside, one that was carried about.
    clips.push(see(clip(50.0, 4), &mut r).iter().map(|e| e.shifted(5)).collect());
    clips.push(see(clip(45.0, 4), &mut r).iter().map(|e| e.turned(BOOK)).collect());
    let aside = clip(52.0, 4).into_iter().map(|mut c| {
        c.station.centre.x += 3.3;
        c
    });
    clips.push(see(aside.collect(), &mut r));
    let carried = clip(50.0, 5).into_iter().enumerate().map(|(k, mut c)| {
        c.station.centre.x += 0.8 * k as f64;
        c
    });
    clips.push(see(carried.collect(), &mut r));
    let g = agree(&clips, &GameSettings::known_crown(BOOK, Crown::default())).unwrap();
    assert!(g.clips[..5].iter().all(|c| *c == Belongs::Agrees), "{:?}", g.clips);
    assert_eq!(g.clips[5], Belongs::Shifted(-5));
    assert_eq!(g.clips[6], Belongs::Turned);
    assert!(matches!(g.clips[7], Belongs::Apart(_)), "{:?}", g.clips);
    assert_eq!(g.clips[8], Belongs::Moves);
    assert!(g.adjustment.station.station.centre.distance(station().centre) < 0.3);
}

/// From 150 yards behind the far end line, zoomed in on a few yard lines: five yards of name are a few percent of zoom and tilt. A clip whose
/// centre lies five yards off is read so that it stands where the others do; one that knows its centre too loosely is left open.
#[test]
fn a_name_five_yards_off_does_not_pass_for_zoom() {
    let mut r = rng(71);
    let painted = Painted::new(0.015, 0.0, &mut r);
    let stand =
        Station { centre: geometry::Point3::new(131.7, 27.1, 12.7), k1: -0.03, width: 1280, height: 720 };
    let cameras = |x: f64, focal: f64| -> Vec<Pinhole> {
        (0..5)
            .map(|k| {
                let at = geometry::Point3::new(x, 24.0 + f64::from(k), 0.0);
                Pinhole::looking_at(stand, at, focal * 1.01f64.powi(k))
            })
            .collect()
    };
    let see = |cameras: Vec<Pinhole>, r: &mut ChaCha8Rng| -> Vec<FrameEvidence> {
        cameras.iter().map(|c| painted.seen(c, 0.25, r)).collect()
    };
    let mut clips: Vec<_> =
        [35.0, 48.0, 55.0, 66.0].iter().map(|&x| see(cameras(x, 4500.0), &mut r)).collect();
    clips.push(see(cameras(60.0, 6000.0), &mut r).iter().map(|e| e.shifted(5)).collect());
    // A few yard lines and one row: no width that would tell distance from zoom.
    let mut bare = see(cameras(50.0, 8000.0), &mut r);
    for e in &mut bare {
        e.seen.retain(|p| {
            matches!(p.string, PaintString::Across(40..=60) | PaintString::Ends { far: false, .. })
        });
    }
    clips.push(bare);
    let settings = GameSettings::known_crown(BOOK, Crown::default());
    let own = one_centre(&clips[5], &settings).unwrap();
    assert!(own.shared.station.covariance[0].sqrt() > 1.0, "{:?}", own.shared.station);
    let g = agree(&clips, &settings).unwrap();
    assert!(g.clips[..4].iter().all(|c| *c == Belongs::Agrees), "{:?}", g.clips);
    assert_eq!(g.clips[4], Belongs::Shifted(-5));
    assert_eq!(g.clips[5], Belongs::Open);
}

#[test]
fn a_still_camera_passes_and_a_carried_one_does_not() {
    let settings = GameSettings::known_crown(BOOK, Crown::default());
    let mut still = 0;
    for seed in 0..20 {
        let mut r = rng(seed);
        let painted = Painted::new(0.02, 0.0, &mut r);
        let see = |cameras: &[Pinhole], r: &mut ChaCha8Rng| -> Vec<_> {
            cameras.iter().map(|c| painted.seen(c, 0.25, r)).collect()
        };
        let stands = clip(40.0 + seed as f64, 5);
        still += usize::from(one_centre(&see(&stands, &mut r), &settings).unwrap().holds());
        let carried: Vec<_> = stands
            .iter()
            .enumerate()
            .map(|(k, c)| {
                let mut c = *c;
                c.station.centre.y += 0.5 * k as f64;
                c
            })
            .collect();
        assert!(!one_centre(&see(&carried, &mut r), &settings).unwrap().holds(), "seed {seed}");
    }
    assert!(still >= 19, "{still} of 20");
}

#[test]
fn refitting_to_the_truth_brings_the_frame_to_the_truth() {
    let mut r = rng(3);
    let painted = Painted::new(0.01, 0.0, &mut r);
    let truth = clip(48.0, 1)[0];
    let settings = GameSettings::known_crown(BOOK, Crown::default());
    let one = adjust_game(&[painted.seen(&truth, 0.3, &mut r)], &settings).unwrap();
    // A frame alone, its covariance from the adjustment's own equations by way of a second solution with the station held.
    let held = GameSettings {
        station: Some(register::KnownStation { station: station(), covariance: [0.0; 16] }),
        ..settings
    };
    let tied = adjust_game(&[painted.seen(&truth, 0.3, &mut rng(3))], &held).unwrap();
    assert!(tied.frames[0].station.centre.distance(station().centre) < 1e-3);
    let covariance = {
        // Weak: only the coupling of zoom and distance, by the ground staying where it is.
        let d = one.frames[0].aim.focal;
        let mut c = nalgebra::SMatrix::<f64, 8, 8>::identity() * 1e-10;
        let u = nalgebra::SVector::<f64, 8>::from_column_slice(&[0.0, 0.0, 0.0, -0.02, 0.0, 1.0, 0.0, 0.0]);
        c += u * u.transpose() * 0.25;
        assert!(d > 100.0);
        c.as_slice().to_vec()
    };
    let mut off = truth;
    off.station.centre.y += 0.5;
    off.aim = Aim { focal: truth.aim.focal * (-0.01f64).exp(), ..truth.aim };
    let estimate = camera::CameraEstimate {
        camera: camera::FieldCamera::Pinhole(off),
        covariance,
        quality: camera::FrameQuality { rms_px: 0.0, evidence: 9, coverage: 1.0, trusted: true },
    };
    let known = register::KnownStation { station: station(), covariance: [0.0; 16] };
    let back = refit(&estimate, &known);
    let p = back.camera.pinhole().unwrap();
    assert!((p.aim.focal / truth.aim.focal - 1.0).abs() < 1e-4);
    assert!(p.station.centre.distance(truth.station.centre) < 1e-12);
    assert!(back.covariance[3 * 8 + 3] < 1e-4, "{}", back.covariance[27]);
}

#[test]
fn keeping_evidence_loses_nothing_that_matters() {
    let mut r = rng(9);
    let painted = Painted::new(0.02, 0.1, &mut r);
    let e = painted.seen(&clip(50.0, 1)[0], 0.25, &mut r);
    let text = serde_json::to_string(&e).unwrap();
    let back: FrameEvidence = serde_json::from_str(&text).unwrap();
    assert_eq!(back.seen.len(), e.seen.len());
    for (a, b) in back.seen.iter().zip(&e.seen) {
        assert_eq!(a.string, b.string);
        // A thousandth of a pixel against a noise of a quarter.
        assert!((a.at[0] - b.at[0]).abs() <= 5.1e-4 && (a.at[1] - b.at[1]).abs() <= 5.1e-4);
    }
}
