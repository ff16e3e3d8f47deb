//! The field's lines drawn through a clip's cameras.

use super::cameras::field_model;
use crate::{Workbench, WorkError};
use camera::CameraEstimate;
use field::{Markings, RuleBook, StripeKind};
use geometry::frame::{Ground, Pixel};
use geometry::Point2;
use play::{Clip, ClipId};
use register::FieldModel;
use serde::Serialize;

/// What a grid line is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
#[serde(rename_all = "kebab-case")]
pub enum GridKind {
    /// A full line every five yards.
    YardLine,
    /// A goal line.
    GoalLine,
    /// An end line.
    EndLine,
    /// A sideline.
    Sideline,
    /// The line along the hash marks.
    HashRow,
}

/// A line of the field in the picture.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct GridLine {
    /// What it is.
    pub kind: GridKind,
    /// Yard line's number as painted, or empty.
    pub label: String,
    /// x of a yard line in the field frame, yd.
    pub x: Option<f64>,
    /// A polyline, px of the original; only the part in and near the picture.
    #[cfg_attr(feature = "schema", schema(value_type = Vec<[f64; 2]>))]
    pub points: Vec<Point2<Pixel>>,
}

/// A frame's grid.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct GridFrame {
    /// Film frame.
    pub frame: u32,
    /// False when the camera should not be trusted without a look.
    pub trusted: bool,
    /// The lines.
    pub lines: Vec<GridLine>,
}

/// A straight line of the field.
struct Line {
    kind: GridKind,
    label: String,
    x: Option<f64>,
    a: Point2<Ground>,
    b: Point2<Ground>,
}

/// Yards between the points at which a line is projected; distortion and crown bend it between.
const STEP_YD: f64 = 2.5;
/// Most frames in one answer: half a minute of film.
const MOST_FRAMES: u32 = 1000;

impl Workbench {
    /// The field's lines in each frame from `from` to before `to` that has a camera.
    ///
    /// # Errors
    /// `Invalid` for more than 1000 frames.
    pub async fn grid(&self, id: &ClipId, from: u32, to: u32) -> Result<Vec<GridFrame>, WorkError> {
        if to.saturating_sub(from) > MOST_FRAMES {
            return Err(WorkError::Invalid(format!(
                "the grid of {} frames was asked for; at most {MOST_FRAMES} are given at once",
                to - from
            )));
        }
        let clip: Clip = self.store.get(id.as_str()).await?;
        let game = self.game_of_clip(&clip).await?;
        let size = self.film(clip.film.as_str()).await?.size();
        let cameras = self.cameras_of(&clip).await?;
        let field = field_model(&game);
        crate::error::blocking(move || {
            let lines = lines(field.rule_book);
            Ok::<_, WorkError>((from..to)
                .filter_map(|frame| {
                    let camera = cameras.get(frame)?;
                    let lines = lines.iter().filter_map(|l| draw(l, camera, &field, size)).collect();
                    Some(GridFrame { frame, trusted: camera.quality.trusted, lines })
                })
                .collect())
        })
        .await
    }
}

fn lines(book: RuleBook) -> Vec<Line> {
    let w = book.width();
    let mut out: Vec<Line> = Markings::of(book)
        .stripes
        .into_iter()
        .filter_map(|s| {
            let kind = match s.kind {
                StripeKind::YardLine => GridKind::YardLine,
                StripeKind::GoalLine => GridKind::GoalLine,
                StripeKind::EndLine => GridKind::EndLine,
                StripeKind::Sideline => GridKind::Sideline,
                StripeKind::Hash | StripeKind::SidelineTick => return None,
            };
            let across = matches!(kind, GridKind::YardLine | GridKind::GoalLine | GridKind::EndLine);
            let yard = s.a.x.round();
            let label = match kind {
                GridKind::YardLine => format!("{:.0}", yard.min(100.0 - yard)),
                GridKind::GoalLine => "goal".to_owned(),
                _ => String::new(),
            };
            let (a, b) = if across { (Point2::new(s.a.x, 0.0), Point2::new(s.b.x, w)) } else { (s.a, s.b) };
            Some(Line { kind, label, x: across.then_some(yard), a, b })
        })
        .collect();
    for y in [book.hash_from_sideline(), book.far_hash()] {
        let (a, b) = (Point2::new(0.0, y), Point2::new(100.0, y));
        out.push(Line { kind: GridKind::HashRow, label: String::new(), x: None, a, b });
    }
    out
}

/// The longest run of a line's points in or near the picture.
fn draw(line: &Line, camera: &CameraEstimate, field: &FieldModel, size: (u32, u32)) -> Option<GridLine> {
    let (w, h) = (f64::from(size.0), f64::from(size.1));
    let near = |p: &Point2<Pixel>| (-0.25 * w..=1.25 * w).contains(&p.x) && (-0.25 * h..=1.25 * h).contains(&p.y);
    let steps = (line.a.distance(line.b) / STEP_YD).ceil().max(1.0) as usize;
    let mut best: Vec<Point2<Pixel>> = Vec::new();
    let mut run: Vec<Point2<Pixel>> = Vec::new();
    for k in 0..=steps {
        let g = line.a.lerp(line.b, k as f64 / steps as f64);
        let z = if camera.camera.pinhole().is_some() { field.crown.at(g, field.rule_book) } else { 0.0 };
        match camera.camera.pixel_from_field(g.at_height(z)).filter(near) {
            Some(p) => run.push(Point2::new((p.x * 100.0).round() / 100.0, (p.y * 100.0).round() / 100.0)),
            None => run.clear(),
        }
        if run.len() > best.len() {
            best.clone_from(&run);
        }
    }
    let inside = |p: &Point2<Pixel>| (0.0..=w).contains(&p.x) && (0.0..=h).contains(&p.y);
    let shown = best.len() >= 2 && (best.iter().any(inside) || crosses(&best, w, h));
    shown.then(|| GridLine { kind: line.kind, label: line.label.clone(), x: line.x, points: best })
}

/// Whether a polyline without a point inside may still cross the picture: some piece spans it.
fn crosses(points: &[Point2<Pixel>], w: f64, h: f64) -> bool {
    points.windows(2).any(|p| {
        let m = p[0].lerp(p[1], 0.5);
        (0.0..=w).contains(&m.x) && (0.0..=h).contains(&m.y)
    })
}
