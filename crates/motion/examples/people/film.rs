//! Invented film with its truth, compressed, and lined up by the product's own follower from a few rough clicks.

#[path = "keep.rs"]
mod keep;

use camera::{CameraEstimate, Pinhole};
use field::{Crown, Direction, HashEnd, Landmark, LandmarkShape, RuleBook, Side};
use geometry::frame::Ground;
use geometry::{Point2, Vector2};
use image::codecs::jpeg::JpegEncoder;
use picture::GrayView;
use play::View;
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use register::{Click, FieldModel, FollowSettings, Follower, PictureSize, StationPrior, solve_frame};
use scrimmage::render::{Exposure, Look, Scratch, Venue, ViewSetup, expose};
use scrimmage::sim::game::GameScript;
use scrimmage::sim::staged::StagedPlay;
use scrimmage::sim::teams;
use scrimmage::stage::{Joint, Role, Stage};
use units::Rate;

/// One view of a play.
pub struct Clip {
    pub view: View,
    pub size: (u32, u32),
    pub book: RuleBook,
    pub crown: Crown,
    /// Compressed frames.
    pub frames: Vec<Vec<u8>>,
    /// Seconds from the snap.
    pub times: Vec<f64>,
    pub cameras: Vec<CameraEstimate>,
    /// True cameras, to know who was in the picture.
    pub truth: Vec<Pinhole>,
}

/// Everybody's truth at one instant.
#[derive(Clone, Copy)]
pub struct Stood {
    pub hips: Point2<Ground>,
    pub velocity: Vector2<Ground>,
}

/// A play and its film.
pub struct Filmed {
    pub stage: StagedPlay,
    pub direction: Direction,
    pub line_x: f64,
    pub clips: Vec<Clip>,
}

impl Filmed {
    /// Where player `i` (0 to 10 offense, 11 to 21 defense) stood.
    pub fn stood(&self, i: usize, t: f64) -> Stood {
        let (first, last) = self.stage.span();
        let at = |t: f64| {
            let j = self.stage.pose(i, t.clamp(first, last)).joints;
            let (a, b) = (j[Joint::HipLeft as usize], j[Joint::HipRight as usize]);
            Point2::new((a.x + b.x) / 2.0, (a.y + b.y) / 2.0)
        };
        let h = 0.1;
        Stood { hips: at(t), velocity: (at(t + h) - at(t - h)) * (0.5 / h) }
    }
    /// What player `i` was there for.
    pub fn role(&self, i: usize) -> play::Role {
        use play::Flank;
        use scrimmage::sim::{coverage::Task, world::Job};
        let man = &self.stage.world.men[i];
        if i >= 11 {
            let rushes = matches!(man.job, Job::Defend(Task::Rush { .. }));
            return if rushes { play::Role::Rusher } else { play::Role::Cover };
        }
        match self.stage.actors()[i].id.strip_prefix("off-").unwrap_or_default().split_at(1) {
            ("q", "b") => play::Role::Passer,
            ("b", _) => play::Role::Back,
            (side, n) => match (side, n.parse()) {
                ("l", Ok(number)) => play::Role::Receiver { flank: Flank::Left, number },
                ("r", Ok(number)) => play::Role::Receiver { flank: Flank::Right, number },
                _ => play::Role::Blocker,
            },
        }
    }
    /// Players, not officials or bystanders.
    pub fn players(&self) -> usize {
        self.stage.actors().iter().filter(|a| matches!(a.role, Role::Offense | Role::Defense)).count()
    }
}

/// What to film.
#[derive(Clone, Copy)]
pub struct Order {
    pub seed: u64,
    pub play: usize,
    /// day, night, worn, school.
    pub look: &'static str,
    pub height: u32,
    /// JPEG quality that stands in for the film's compression, 1 to 100.
    pub quality: u8,
    /// Under `target/film`, to render it only once.
    pub keep: bool,
}

pub fn film(order: &Order, views: &[View]) -> Filmed {
    let game = GameScript::demo(order.seed);
    let play = &game.plays[order.play % game.plays.len()];
    let stage = StagedPlay::new(&play.script, &teams::kits(&game.teams[0], &game.teams[1]));
    let look = match order.look {
        "day" => Look::college_day(order.seed),
        "night" => Look::college_night(order.seed),
        "worn" => Look::professional_worn(order.seed),
        _ => Look::school(order.seed),
    };
    let venue = Venue::new(&look);
    let direction = play.scene.direction;
    let clips = views
        .iter()
        .filter_map(|&view| {
            let (w, h) = ((order.height * 16 / 9) & !1, order.height);
            let rate = Rate::new(30_000, 1001).expect("a positive fraction");
            let mut setup = match view {
                View::Sideline => ViewSetup::sideline(w, h, rate, order.seed),
                View::EndZone => {
                    ViewSetup::end_zone(look.rule_book, direction == Direction::Down, w, h, rate, order.seed)
                }
            };
            setup.framing = if view == View::Sideline { 1.0 } else { 27.0 / 38.0 };
            setup.operator.seed = order.seed + order.play as u64;
            let name = format!("{}-{}-{}-{h}-{view:?}", order.seed, order.play, order.look);
            if let Some(kept) = order.keep.then(|| keep::load(&name)).flatten() {
                return Some(kept);
            }
            let clip = shoot(&venue, &stage, &setup, &look, view, order)?;
            if order.keep {
                keep::save(&name, &clip);
            }
            Some(clip)
        })
        .collect();
    Filmed { line_x: play.scene.line_x(), stage, direction, clips }
}

fn shoot(
    venue: &Venue,
    stage: &StagedPlay,
    setup: &ViewSetup,
    look: &Look,
    view: View,
    order: &Order,
) -> Option<Clip> {
    let follow = setup.follow(stage);
    let times = setup.times(stage);
    let (w, h) = (setup.station.width, setup.station.height);
    let size = PictureSize { width: w, height: h };
    let field = FieldModel { rule_book: look.rule_book, crown: look.crown() };
    let clicks = clicks(&follow.at(times[0]), look.rule_book, look.crown(), order.seed);
    let start = solve_frame(&clicks, size, &field, &StationPrior::Unknown).ok()?;
    let mut follower = Follower::new(&start, size, &field, &FollowSettings::default());
    let mut scratch = Scratch::default();
    let mut clip = Clip {
        view,
        size: (w, h),
        book: look.rule_book,
        crown: look.crown(),
        frames: Vec::new(),
        times: times.clone(),
        cameras: Vec::new(),
        truth: times.iter().map(|&t| follow.at(t)).collect(),
    };
    for (k, &t) in times.iter().enumerate() {
        let f = expose(venue, stage, &Exposure::following(&follow, t, setup.shutter_s, k), &mut scratch);
        let mut bytes = Vec::new();
        JpegEncoder::new_with_quality(&mut bytes, order.quality)
            .encode(&f.to_rgb(), w, h, image::ExtendedColorType::Rgb8)
            .expect("a picture can be compressed");
        let luma = GrayView::new(w, h, &f.planes[..f.width * f.height]).expect("a luma plane");
        clip.cameras.push(follower.next(luma));
        clip.frames.push(bytes);
    }
    Some(clip)
}

impl Clip {
    /// Frame `k` at the working size.
    pub fn picture(&self, k: usize, working: (u32, u32)) -> Vec<u8> {
        let full = image::load_from_memory(&self.frames[k]).expect("own picture").into_rgb8();
        if working == self.size {
            return full.into_raw();
        }
        image::imageops::thumbnail(&full, working.0, working.1).into_raw()
    }
}

/// A few clicks with an error of one px: crossings of yard lines with sidelines and hash rows, hash marks, and points
/// along yard lines.
fn clicks(c: &Pinhole, book: RuleBook, crown: Crown, seed: u64) -> Vec<Click> {
    let mut r = ChaCha8Rng::seed_from_u64(seed);
    let mut normal = {
        let mut r = ChaCha8Rng::seed_from_u64(seed + 1);
        move || {
            let (u, v) = (1.0 - r.random::<f64>(), r.random::<f64>());
            (-2.0 * u.ln()).sqrt() * (std::f64::consts::TAU * v).cos()
        }
    };
    let (w, h) = (f64::from(c.station.width), f64::from(c.station.height));
    let shown = |p: Point2<Ground>| {
        c.pixel_from_field(p.at_height(crown.at(p, book)))
            .filter(|q| q.x > 5.0 && q.y > 5.0 && q.x < w - 5.0 && q.y < h - 5.0)
    };
    let mut landmarks = Vec::new();
    for k in 0..=20i16 {
        for side in [Side::Near, Side::Far] {
            landmarks.push(Landmark::LineAtSideline { x: 5 * k, side });
            landmarks.push(Landmark::LineAtHash { x: 5 * k, side });
            if (1..10).contains(&k) {
                landmarks.push(Landmark::HashMark { x: 10 * k - 2, side, end: HashEnd::Inner });
                landmarks.push(Landmark::HashMark { x: 10 * k + 3, side, end: HashEnd::Inner });
            }
        }
    }
    let seen: Vec<_> = landmarks
        .into_iter()
        .filter_map(|l| {
            let p = match l.shape(book).ok()? {
                LandmarkShape::Point(p) => p,
                LandmarkShape::Line { through, .. } => through,
            };
            Some((l, shown(p)?))
        })
        .collect();
    let mut picks: Vec<usize> = (0..10).map(|_| (r.random::<f64>() * seen.len() as f64) as usize).collect();
    picks.sort_unstable();
    picks.dedup();
    let mut out: Vec<_> = picks.into_iter().filter_map(|k| seen.get(k).copied()).collect();
    for k in 1..20i16 {
        let line: Vec<_> =
            (1..53).filter_map(|y| shown(Point2::new(f64::from(5 * k), f64::from(y)))).collect();
        if line.len() > 6 && out.len() < 16 {
            out.extend([line[0], line[line.len() - 1]].map(|q| (Landmark::OnYardLine { x: 5 * k }, q)));
        }
    }
    out.into_iter()
        .map(|(landmark, q)| Click {
            landmark,
            pixel: Point2::new(q.x + normal(), q.y + normal()),
            sd_px: 1.0,
        })
        .collect()
}
