//! Routes as paths over the ground. Depths and angles are the trade's usual ones (common practice, no source).

use super::plane::{P2, V2};
use serde::{Deserialize, Serialize};

/// What an eligible man does.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
#[allow(missing_docs, reason = "the trade's words")]
pub enum Route {
    Hitch,
    QuickOut,
    Slant,
    Stick,
    Flat,
    Arrow,
    Swing,
    Bubble,
    Curl,
    Comeback,
    Dig,
    DeepOut,
    Corner,
    Post,
    Go,
    Fade,
    SlotFade,
    Seam,
    Wheel,
    Shallow,
    Crosser,
    Mesh,
    Pivot,
    Spot,
    Screen,
    Check,
    Block,
}

impl Route {
    /// The trade's word for it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Hitch => "hitch",
            Self::QuickOut => "quick out",
            Self::Slant => "slant",
            Self::Stick => "stick",
            Self::Flat => "flat",
            Self::Arrow => "arrow",
            Self::Swing => "swing",
            Self::Bubble => "bubble",
            Self::Curl => "curl",
            Self::Comeback => "comeback",
            Self::Dig => "dig",
            Self::DeepOut => "deep out",
            Self::Corner => "corner",
            Self::Post => "post",
            Self::Go => "go",
            Self::Fade => "fade",
            Self::SlotFade => "slot fade",
            Self::Seam => "seam",
            Self::Wheel => "wheel",
            Self::Shallow => "shallow",
            Self::Crosser => "crosser",
            Self::Mesh => "mesh",
            Self::Pivot => "pivot",
            Self::Spot => "spot",
            Self::Screen => "screen",
            Self::Check => "check-down",
            Self::Block => "block",
        }
    }
    /// Whether it ends by sitting down, facing the passer, instead of running on.
    pub fn sits(self) -> bool {
        matches!(
            self,
            Self::Hitch | Self::Stick | Self::Curl | Self::Spot | Self::Screen | Self::Check | Self::Comeback
        )
    }
    /// Seconds the runner waits before he starts (he blocks first).
    pub fn delay(self) -> f64 {
        match self {
            Self::Check => 0.9,
            Self::Screen => 0.7,
            _ => 0.0,
        }
    }
}

/// A corner of a path: where, and how fast a body can go round it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Corner {
    /// Where.
    pub at: P2,
    /// Speed limit there, yd/s.
    pub speed: f64,
}

/// A route as run: corners in order from the first after the start.
#[derive(Clone, Debug, PartialEq)]
pub struct RoutePath {
    /// Which.
    pub route: Route,
    /// Corners, the last one the end.
    pub corners: Vec<Corner>,
    /// Index of the corner where the route breaks.
    pub break_at: usize,
}

/// The path of `route` from `start` on side `side` (+1 the offense's left), between the sidelines at `edges` (left, right), with
/// the break `depth_error` yd deeper than drawn.
pub fn path(route: Route, start: P2, side: f64, edges: (f64, f64), depth_error: f64) -> RoutePath {
    let edge = if side > 0.0 { edges.0 } else { edges.1 };
    // Yards from the start to the sideline, less room for a foot.
    let room = ((edge - start.y) * side - 1.2).max(0.5);
    let out = |d: f64| start.y + side * d.min(room);
    let inside = |d: f64| (start.y - side * d).clamp(edges.1 + 1.5, edges.0 - 1.5);
    let e = depth_error;
    let x0 = start.x.max(-1.5);
    let y0 = start.y;
    let (points, break_at): (Vec<(f64, f64)>, usize) = match route {
        Route::Hitch => (vec![(5.8 + e, y0), (4.6 + e, inside(0.5))], 0),
        Route::QuickOut => (vec![(5.0 + e, y0), (5.0 + e, out(12.0))], 0),
        Route::Slant => (vec![(2.6 + e, y0), (7.4 + e, inside(5.2)), (11.0 + e, inside(16.0))], 0),
        Route::Stick => (vec![(5.6 + e, y0), (5.4 + e, out(2.4))], 0),
        Route::Flat => (vec![(1.2 + e, out(3.0)), (3.0 + e, out(9.0)), (3.8 + e, out(16.0))], 0),
        Route::Arrow => (vec![(3.5 + e, out(9.0)), (4.5 + e, out(14.0))], 0),
        Route::Swing => {
            (vec![(x0.min(-4.4), out(3.0)), (-2.6, out(7.5)), (1.0, out(11.5)), (9.0, out(12.5))], 1)
        }
        Route::Bubble => (vec![(-1.6, out(2.0)), (-0.6, out(7.0)), (3.0, out(9.0))], 0),
        Route::Curl => (vec![(12.0 + e, y0), (10.0 + e, inside(1.4))], 0),
        Route::Comeback => (vec![(16.0 + e, y0), (12.6 + e, out(3.0))], 0),
        Route::Dig => (vec![(13.0 + e, y0), (13.2 + e, inside(40.0))], 0),
        Route::DeepOut => (vec![(11.0 + e, y0), (10.8 + e, out(30.0))], 0),
        Route::Corner => (vec![(11.0 + e, y0), (11.0 + e + room.min(14.0), out(14.0)), (40.0, out(14.5))], 0),
        Route::Post => (vec![(12.0 + e, y0), (24.0 + e, inside(7.0)), (45.0, inside(11.0))], 0),
        Route::Go => (vec![(4.0, out(0.7)), (48.0, out(1.4))], 0),
        Route::Fade => (vec![(3.0, out(0.6)), (14.0, out(2.6)), (46.0, out(3.4))], 0),
        Route::SlotFade => (vec![(3.0, y0), (14.0, out(4.5)), (30.0, out(7.5)), (46.0, out(7.8))], 0),
        Route::Seam => (vec![(5.0, y0), (20.0, inside(-0.5)), (46.0, inside(0.5))], 0),
        Route::Wheel => {
            (vec![(1.0 + e, out(5.0)), (3.0 + e, out(9.0)), (9.0, out(10.5)), (42.0, out(11.0))], 1)
        }
        Route::Shallow => (vec![(2.0 + e, inside(1.5)), (3.6 + e, inside(9.0)), (4.6 + e, inside(40.0))], 0),
        Route::Crosser => {
            (vec![(6.0 + e, inside(0.4)), (13.5 + e, inside(10.0)), (16.0 + e, inside(40.0))], 0)
        }
        Route::Mesh => (vec![(3.0 + e, inside(1.5)), (5.6 + e, inside(7.0)), (6.0 + e, inside(40.0))], 0),
        Route::Pivot => (vec![(4.6 + e, inside(3.4)), (5.0 + e, out(12.0))], 0),
        Route::Spot => (vec![(2.2 + e, y0), (5.8 + e, inside(4.2)), (5.4 + e, inside(4.0))], 1),
        Route::Screen => (vec![(-4.2, out(1.5)), (-3.6, out(4.5))], 1),
        Route::Check => (vec![(1.0 + e, out(1.6)), (4.2 + e, out(2.4)), (3.8 + e, out(2.2))], 1),
        Route::Block => (vec![], 0),
    };
    let at: Vec<P2> = points.into_iter().map(|(x, y)| P2::new(x, y)).collect();
    let corners = (0..at.len())
        .map(|i| {
            let before = at[i] - if i == 0 { start } else { at[i - 1] };
            let speed = match at.get(i + 1) {
                Some(&next) => cut_speed(before, next - at[i]),
                None if route.sits() => 0.0,
                None => f64::INFINITY,
            };
            Corner { at: at[i], speed }
        })
        .collect();
    RoutePath { route, corners, break_at }
}

/// How fast a body goes round a corner, yd/s: nearly full through a bend, two yards a second at a reversal.
fn cut_speed(before: V2, after: V2) -> f64 {
    let turn = match (before.unit(), after.unit()) {
        (Some(a), Some(b)) => a.dot(b).clamp(-1.0, 1.0).acos().to_degrees(),
        _ => 0.0,
    };
    match turn {
        t if t < 20.0 => 11.0,
        t if t < 60.0 => 9.0 - (t - 20.0) * 0.08,
        t => (5.8 - (t - 60.0) * 0.045).max(1.2),
    }
}
