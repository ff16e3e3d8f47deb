use super::{n, path, sheet};
use crate::Theme;
use field::{Markings, RuleBook, StripeKind};
use geometry::frame::{Field, Ground, Play as PlayFrame};
use geometry::{Covariance2, Point2, Point3, Rigid};
use maud::{Markup, html};
use play::{Person, PersonId, Situation, Throw, Track, Unit};

/// Something extra to mark on the diagram.
#[derive(Clone, Debug)]
pub struct Feature {
    /// Where.
    pub at: Point2<Ground>,
    /// What.
    pub label: String,
}

/// A racer's way: who, from where at the release, to where he plays the ball, and when he could be there, s from the snap.
pub type DrawnWay = (PersonId, Point2<Ground>, Point2<Ground>, f64);

/// A ball that could be thrown, and the race to it.
#[derive(Clone, Debug)]
pub struct DrawnRace {
    /// The ball's way over the ground, from the hand to the catch.
    pub path: Vec<Point2<Ground>>,
    /// The receiver first, then defenders.
    pub ways: Vec<DrawnWay>,
    /// When the ball arrives, s from the snap.
    pub arrives_s: f64,
}

/// Top-down diagram of a play, downfield up, at an instant or over the whole play.
pub struct Diagram<'a> {
    /// Markings.
    pub rule_book: RuleBook,
    /// Where the ball lay and which way the offense went.
    pub situation: &'a Situation,
    /// People.
    pub people: &'a [Person],
    /// Their paths.
    pub tracks: &'a [Track],
    /// The flight, if measured.
    pub throw: Option<&'a Throw>,
    /// The instant whose positions are marked, s from the snap.
    pub at_s: f64,
    /// A ball that could be thrown, if one is looked at.
    pub race: Option<DrawnRace>,
    /// More marks, for example the best point of a window.
    pub features: Vec<Feature>,
}

const SCALE: f64 = 11.0;
const MARGIN: f64 = 12.0;

/// The diagram's window on the play, and the way from the field to it.
struct Frame {
    play_from_field: Rigid<PlayFrame, Field>,
    near: f64,
    far: f64,
    left: f64,
    right: f64,
}

impl Frame {
    fn at(&self, p: Point2<Ground>) -> (f64, f64) {
        let q = self.play_from_field * p.at_height(0.0);
        // y points to the offense's left, which is left on the sheet; x points downfield, which is up.
        (MARGIN + (self.left - q.y) * SCALE, MARGIN + (self.far - q.x) * SCALE)
    }
    fn size(&self) -> (f64, f64) {
        ((self.left - self.right) * SCALE + 2.0 * MARGIN, (self.far - self.near) * SCALE + 2.0 * MARGIN)
    }
}

impl Diagram<'_> {
    /// The drawing; `None` until the spot and direction are known.
    pub fn svg(&self, theme: Theme) -> Option<String> {
        let frame = self.frame()?;
        let (width, height) = frame.size();
        let palette = theme.palette();
        let body = html! {
            defs { clipPath id="edge" { rect x=(n(MARGIN)) y=(n(MARGIN)) width=(n(width - 2.0 * MARGIN)) height=(n(height - 2.0 * MARGIN)) rx="3" {} } }
            rect x=(n(MARGIN)) y=(n(MARGIN)) width=(n(width - 2.0 * MARGIN)) height=(n(height - 2.0 * MARGIN)) rx="3" fill=(palette.ground) stroke=(palette.chalk) {}
            g clip-path="url(#edge)" {
                (self.chalk(&frame, theme))
                (self.trails(&frame, theme))
                (self.flight(&frame, theme))
                (self.positions(&frame, theme))
                (self.race(&frame, theme))
                @for f in &self.features {
                    @let (x, y) = frame.at(f.at);
                    path d=(format!("M{} {}l5 5m0 -5l-5 5", n(x - 2.5), n(y - 2.5))) stroke=(palette.ink) stroke-width="1.2" {}
                    text x=(n(x + 6.0)) y=(n(y + 3.5)) font-size="12" fill=(palette.ink) { (f.label) }
                }
            }
        };
        Some(sheet(width, height, "Diagram of the play from above, downfield up", &body))
    }

    fn frame(&self) -> Option<Frame> {
        let play_from_field = self.situation.play_from_field(self.rule_book)?;
        let mut depths = vec![-9.0, 16.0];
        for p in self.tracks.iter().flat_map(|t| &t.points) {
            depths.push((play_from_field * p.position.at_height(0.0)).x);
        }
        if let Some(t) = self.throw {
            depths.push((play_from_field * t.arrival).x);
        }
        for p in self.race.iter().flat_map(|r| &r.path) {
            depths.push((play_from_field * p.at_height(0.0)).x);
        }
        let near = depths.iter().copied().fold(f64::INFINITY, f64::min).max(-16.0) - 1.5;
        let far = depths.iter().copied().fold(f64::NEG_INFINITY, f64::max).min(60.0) + 2.5;
        let sides = [0.0, self.rule_book.width()].map(|y| (play_from_field * Point3::new(0.0, y, 0.0)).y);
        Some(Frame {
            play_from_field,
            near,
            far,
            left: sides[0].max(sides[1]) + 1.0,
            right: sides[0].min(sides[1]) - 1.0,
        })
    }

    fn chalk(&self, frame: &Frame, theme: Theme) -> Markup {
        let palette = theme.palette();
        let markings = Markings::of(self.rule_book);
        let scrimmage = self.situation.line_x;
        html! {
            @for s in markings.stripes.iter().filter(|s| s.kind != StripeKind::SidelineTick) {
                @let ((x1, y1), (x2, y2)) = (frame.at(s.a), frame.at(s.b));
                @let weight = match s.kind { StripeKind::GoalLine | StripeKind::Sideline | StripeKind::EndLine => "2", StripeKind::Hash => "0.8", _ => "1" };
                line x1=(n(x1)) y1=(n(y1)) x2=(n(x2)) y2=(n(y2)) stroke=(palette.chalk) stroke-width=(weight) {}
            }
            @for number in &markings.numbers {
                @let middle = number.bottom_left.lerp(number.top_right, 0.5);
                @let (x, y) = frame.at(middle);
                text x=(n(x)) y=(n(y + 5.0)) font-size="18" text-anchor="middle" fill=(palette.chalk) { (number.value) }
            }
            @if let Some(x) = scrimmage {
                @let ((x1, y1), (x2, y2)) = (frame.at(Point2::new(x, 0.0)), frame.at(Point2::new(x, self.rule_book.width())));
                line x1=(n(x1)) y1=(n(y1)) x2=(n(x2)) y2=(n(y2)) stroke=(palette.faint) stroke-width="1.4" stroke-dasharray="2 3" {}
            }
        }
    }

    fn colour(&self, track: &Track, theme: Theme) -> &'static str {
        let palette = theme.palette();
        match self.people.iter().find(|p| p.id == track.person).map(|p| p.unit) {
            Some(Unit::Offense) => palette.offense,
            Some(Unit::Defense) => palette.defense,
            None => palette.faint,
        }
    }

    fn trails(&self, frame: &Frame, theme: Theme) -> Markup {
        html! {
            @for track in self.tracks {
                @let offense = self.people.iter().any(|p| p.id == track.person && p.unit == Unit::Offense);
                @let dash = if offense { None } else { Some("3 2.5") };
                path d=(path(track.points.iter().map(|p| frame.at(p.position)))) fill="none" stroke=(self.colour(track, theme)) stroke-width=(if offense { "2" } else { "1.4" }) stroke-opacity="0.55" stroke-dasharray=[dash] stroke-linejoin="round" {}
            }
        }
    }

    fn positions(&self, frame: &Frame, theme: Theme) -> Markup {
        let palette = theme.palette();
        html! {
            @for track in self.tracks {
                @if let Some(now) = track.at(self.at_s.clamp(track.span().map_or(0.0, |s| s.0), track.span().map_or(0.0, |s| s.1))) {
                    @let (x, y) = frame.at(now.position);
                    @let colour = self.colour(track, theme);
                    @let person = self.people.iter().find(|p| p.id == track.person);
                    (ellipse(frame, now.position, now.position_covariance, colour))
                    @match person.map(|p| p.unit) {
                        Some(Unit::Defense) => path d=(format!("M{} {}l6 6 -6 6 -6 -6z", n(x), n(y - 6.0))) fill=(palette.ground) stroke=(colour) stroke-width="1.6" {}
                        _ => circle cx=(n(x)) cy=(n(y)) r="5.6" fill=(colour) {}
                    }
                    text x=(n(x)) y=(n(y - 8.5)) font-size="13" text-anchor="middle" fill=(palette.ink) { (short(track.person.as_str())) }
                }
            }
        }
    }

    fn flight(&self, frame: &Frame, theme: Theme) -> Markup {
        let palette = theme.palette();
        html! {
            @if let Some(t) = self.throw {
                @let (from, to) = (frame.at(t.release.ground()), frame.at(t.arrival.ground()));
                line x1=(n(from.0)) y1=(n(from.1)) x2=(n(to.0)) y2=(n(to.1)) stroke=(palette.ball) stroke-width="1.6" stroke-dasharray="7 3" {}
                (ellipse(frame, t.arrival.ground(), t.arrival_covariance, palette.ball))
                circle cx=(n(to.0)) cy=(n(to.1)) r="2.6" fill=(palette.ball) {}
            }
        }
    }
}

/// Racers whose times are written: receiver and first defender. More would cover each other.
const TIMED: usize = 2;

impl Diagram<'_> {
    /// The ball that could be thrown: its way, a ring of a yard about the catch, and each racer's way with the time he could be there.
    fn race(&self, frame: &Frame, theme: Theme) -> Markup {
        let palette = theme.palette();
        let Some(race) = &self.race else { return html! {} };
        let Some(catch) = race.path.last() else { return html! {} };
        let (cx, cy) = frame.at(*catch);
        html! {
            path d=(path(race.path.iter().map(|p| frame.at(*p)))) fill="none" stroke=(palette.alert) stroke-width="2.2" {}
            circle cx=(n(cx)) cy=(n(cy)) r=(n(SCALE)) fill="none" stroke=(palette.alert) stroke-width="1.4" {}
            circle cx=(n(cx)) cy=(n(cy)) r="3" fill=(palette.alert) {}
            @for (k, (_, from, to, ready_s)) in race.ways.iter().enumerate() {
                @let ((x1, y1), (x2, y2)) = (frame.at(*from), frame.at(*to));
                @let colour = if k == 0 { palette.offense } else { palette.defense };
                line x1=(n(x1)) y1=(n(y1)) x2=(n(x2)) y2=(n(y2)) stroke=(colour) stroke-width=(if k < TIMED { "2.4" } else { "1.2" }) stroke-linecap="round" stroke-dasharray=[(k > 0).then_some("5 3")] {}
                // The times stand beside the middle of the way, where the letters of the men do not.
                @let (mx, my) = (0.5 * (x1 + x2) + 5.0, 0.5 * (y1 + y2) + 4.0 + 13.0 * k as f64);
                @if k < TIMED { text x=(n(mx)) y=(n(my)) font-size="12" font-weight="600" fill=(colour) stroke=(palette.ground) stroke-width="3" paint-order="stroke" { (format!("{ready_s:.2} s")) } }
            }
            text x=(n(cx + 9.0)) y=(n(cy - 9.0)) font-size="12" font-weight="600" fill=(palette.alert) stroke=(palette.ground) stroke-width="3" paint-order="stroke" { (format!("ball {:.2} s", race.arrives_s)) }
        }
    }
}

/// The passer's id is a word; a diagram has room for a letter.
fn short(id: &str) -> &str {
    if id == PersonId::PASSER { "P" } else { id }
}

/// Ellipse that holds the truth with 90% (χ² with two degrees of freedom: 4.605), in the picture's pixels.
fn ellipse(frame: &Frame, p: Point2<Ground>, c: Covariance2, colour: &str) -> Markup {
    let (long, short, angle) = c.ellipse();
    let k = 4.605f64.sqrt() * SCALE;
    let (x, y) = frame.at(p);
    // Direction on the sheet of the field's x axis: the sheet is the play frame turned a quarter, y down.
    let along = frame.at(p + geometry::Vector2::from_angle(angle));
    let turn = (along.1 - y).atan2(along.0 - x).to_degrees();
    html! {
        @if long * k > 1.5 && long.is_finite() {
            ellipse cx="0" cy="0" rx=(n(long * k)) ry=(n((short * k).max(0.5))) transform=(format!("translate({} {}) rotate({})", n(x), n(y), n(turn))) fill=(colour) fill-opacity="0.13" stroke=(colour) stroke-opacity="0.5" stroke-width="0.7" {}
        }
    }
}
