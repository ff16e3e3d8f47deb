use super::adjust::{GameAdjustment, GameSettings, adjust_game};
use super::clip::{OneCentre, disagreement, one_centre};
use super::evidence::FrameEvidence;
use crate::prior::KnownStation;
use nalgebra as na;

/// What a clip is to the game's camera.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Belongs {
    /// It agrees with the others.
    Agrees,
    /// It agrees once it is read this many yards farther along the field: a yard line too few or too many.
    Shifted(i16),
    /// It agrees once the field is turned by half a turn.
    Turned,
    /// It agrees under more than one name of its yard lines: it knows its own centre too loosely for the others to tell.
    Open,
    /// Another camera, or one that was carried elsewhere: the ground would be this far off, yd RMS.
    Apart(f64),
    /// The camera moved while it filmed: no single centre explains the clip.
    Moves,
    /// Too little was seen to tell.
    Unknown,
}

/// The camera of a game, and how each clip stands to it.
#[derive(Clone, Debug, PartialEq)]
pub struct GameStation {
    /// Adjustment of frames of the clips that agree, evenly chosen.
    pub adjustment: GameAdjustment,
    /// Per clip as given.
    pub clips: Vec<Belongs>,
}

/// Ground that a clip may be off from the others before it does not belong, yd: the goal of registration, thrice.
const APART_YD: f64 = 0.15;
/// What a fit may lose by the game's station: chi-square of four at five standard deviations (38), half as much again for the grass
/// that neighbouring frames share.
const EXCESS: f64 = 57.0;
/// Squared distance of two centres, in their own covariances, up to which they can be one (chi-square of three, .999: 16.3).
const SAME: f64 = 16.3;
/// How far a still camera's centre wanders between clips for what no covariance says (refocusing, a bumped tripod), yd.
const BUMP_YD: f64 = 0.3;
/// A centre nearer than this along the field is not a yard line off, yd; errors that no covariance says (lens, grass) stay well below.
const NAMED_YD: f64 = 2.0;
/// Frames adjusted together.
const MOST_FRAMES: usize = 120;
/// Yard lines tried either way.
const SHIFTS: [i16; 12] = [5, -5, 10, -10, 15, -15, 20, -20, 25, -25, 30, -30];

/// Where the camera of most clips stands, which clips agree, and what is wrong with those that do not: the wrong yard line gives itself
/// away by a centre that is off by it. `None` when no clip can be used.
pub fn agree(clips: &[Vec<FrameEvidence>], settings: &GameSettings) -> Option<GameStation> {
    let alone: Vec<Option<OneCentre>> = clips.iter().map(|c| one_centre(c, settings)).collect();
    let still = |k: &usize| alone[*k].as_ref().is_some_and(OneCentre::holds);
    let candidates: Vec<usize> = (0..clips.len()).filter(still).collect();
    let station = |k: usize| alone[k].as_ref().map(|a| &a.shared.station);
    // The clip that most others agree with; the best known of equals.
    let votes = |k: usize| {
        let n = candidates.iter().filter(|&&j| same(station(k), station(j))).count();
        (n, station(k).map_or(f64::INFINITY, spread))
    };
    let seed = *candidates.iter().max_by(|&&a, &&b| {
        let (a, b) = (votes(a), votes(b));
        a.0.cmp(&b.0).then(b.1.total_cmp(&a.1))
    })?;
    let mut members: Vec<usize> =
        candidates.iter().copied().filter(|&k| same(station(seed), station(k))).collect();
    let mut adjustment = None;
    for _ in 0..3 {
        let frames = spread_over(clips, &members);
        let a = adjust_game(&frames, settings)?;
        let kept: Vec<usize> = candidates
            .iter()
            .copied()
            .filter(|&k| fits(&clips[k], alone[k].as_ref(), &a, settings))
            .collect();
        let done = kept == members || kept.is_empty();
        adjustment = Some(a);
        if done {
            break;
        }
        members = kept;
    }
    let adjustment = adjustment?;
    let clips = clips
        .iter()
        .zip(&alone)
        .map(|(frames, own)| belongs(frames, own.as_ref(), &adjustment, settings))
        .collect();
    Some(GameStation { adjustment, clips })
}

/// Frames of the members, evenly chosen: beyond some hundred the paint is known as well as it gets, and time only grows.
fn spread_over(clips: &[Vec<FrameEvidence>], members: &[usize]) -> Vec<FrameEvidence> {
    let total: usize = members.iter().map(|&k| clips[k].len()).sum();
    let every = total.div_ceil(MOST_FRAMES).max(1);
    members.iter().flat_map(|&k| &clips[k]).step_by(every).cloned().collect()
}

fn spread(k: &KnownStation) -> f64 {
    k.covariance[0] + k.covariance[5] + k.covariance[10]
}

fn same(a: Option<&KnownStation>, b: Option<&KnownStation>) -> bool {
    let (Some(a), Some(b)) = (a, b) else { return false };
    let d = (a.station.centre - b.station.centre).column();
    let block =
        |k: &KnownStation| na::Matrix4::from_row_slice(&k.covariance).fixed_view::<3, 3>(0, 0).into_owned();
    let c = block(a) + block(b) + na::Matrix3::identity() * (BUMP_YD * BUMP_YD);
    c.try_inverse().is_some_and(|i| d.dot(&(i * d)) < SAME)
}

/// Whether a clip whose own centre is `own` may stand at the game's station when it is read `yards` farther along: its centre must not be
/// off by a yard line's distance. From far behind an end line a wrong name lies well on the chalk, and only the centre gives it away.
fn may_stand(own: &OneCentre, game: &GameAdjustment, yards: i16) -> bool {
    let mut read = own.shared.station.clone();
    read.station.centre.x += f64::from(yards);
    let along = read.station.centre.x - game.station.station.centre.x;
    along.abs() < NAMED_YD || same(Some(&read), Some(&game.station))
}

/// Whether the clip's frames can have the game's station: either statistics or the ground itself must say that it is the same place. A
/// clip that tells little of its own centre is not apart for that.
fn fits(
    frames: &[FrameEvidence],
    own: Option<&OneCentre>,
    game: &GameAdjustment,
    settings: &GameSettings,
) -> bool {
    own.is_some_and(|o| may_stand(o, game, 0))
        && tied(frames, own, game, settings).is_some_and(|(off, excess)| off < APART_YD || excess < EXCESS)
}

/// How far off the ground is with the game's station in place of the clip's own, yd, and twice what the fit loses by it, in units of the
/// residuals' own scatter: chi-square of four if it is the same place.
fn tied(
    frames: &[FrameEvidence],
    own: Option<&OneCentre>,
    game: &GameAdjustment,
    settings: &GameSettings,
) -> Option<(f64, f64)> {
    let station = Some(game.station.clone());
    let tied = GameSettings { station, crown: (game.crown.0, 0.0), ..settings.clone() };
    let tied = adjust_game(frames, &tied)?;
    let own = own?;
    let n = frames.len().max(1) as f64;
    let sum: f64 = tied.frames.iter().zip(&own.shared.frames).map(|(a, b)| disagreement(a, b).powi(2)).sum();
    let excess = 2.0 * (tied.cost - own.shared.cost).max(0.0) / own.shared.variance_factor;
    Some(((sum / n).sqrt(), excess))
}

fn belongs(
    frames: &[FrameEvidence],
    own: Option<&OneCentre>,
    game: &GameAdjustment,
    settings: &GameSettings,
) -> Belongs {
    let Some(own) = own else { return Belongs::Unknown };
    if !own.holds() {
        return Belongs::Moves;
    }
    if SHIFTS.into_iter().chain([0]).filter(|&by| may_stand(own, game, by)).count() > 1 {
        return Belongs::Open;
    }
    if fits(frames, Some(own), game, settings) {
        return Belongs::Agrees;
    }
    let again = |frames: &[FrameEvidence]| {
        let own = one_centre(frames, settings);
        same(own.as_ref().map(|o| &o.shared.station), Some(&game.station))
            && fits(frames, own.as_ref(), game, settings)
    };
    let shifted = |by: i16| frames.iter().map(|f| f.shifted(by)).collect::<Vec<_>>();
    if let Some(by) = SHIFTS.into_iter().find(|&by| again(&shifted(by))) {
        return Belongs::Shifted(by);
    }
    let turned: Vec<_> = frames.iter().map(|f| f.turned(settings.rule_book)).collect();
    if again(&turned) {
        return Belongs::Turned;
    }
    Belongs::Apart(tied(frames, Some(own), game, settings).map_or(f64::INFINITY, |t| t.0))
}
