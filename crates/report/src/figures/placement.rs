use super::{n, sheet};
use crate::{Theme, wording};
use maud::html;
use play::{Placement, Seen};
use stats::Estimate;

/// Where the ball arrived in the receiver's own frame: his run is up, his left is left; a bar gives the height.
pub struct PlacementFigure<'a> {
    /// Measured placement.
    pub placement: &'a Placement,
}

const SIDE: f64 = 220.0;
const SCALE: f64 = 34.0;

impl PlacementFigure<'_> {
    /// The drawing: an axis that was not seen is drawn as a band across the whole figure.
    pub fn svg(&self, theme: Theme) -> String {
        let palette = theme.palette();
        let (cx, cy) = (SIDE * 0.44, SIDE * 0.48);
        let reach = |s: &Seen<Estimate>| s.get().map(|e| (e.value, 1.645 * e.se));
        let (lead, left) = (reach(&self.placement.lead_yd), reach(&self.placement.left_yd));
        let span = |v: Option<(f64, f64)>, sign: f64, c: f64| match v {
            Some((value, half)) => (c + sign * value * SCALE, (half * SCALE).max(2.0)),
            None => (c, 200.0),
        };
        let (x, rx) = span(left, -1.0, cx);
        let (y, ry) = span(lead, -1.0, cy);
        let bar = |ft: f64| SIDE - 52.0 - ft.clamp(0.0, 10.0) * 14.0;
        let body = html! {
            defs { clipPath id="card" { rect x="1" y="1" width=(n(SIDE - 46.0)) height=(n(SIDE - 46.0)) {} } }
            rect x="0.5" y="0.5" width=(n(SIDE - 1.0)) height=(n(SIDE - 1.0)) rx="3" fill=(palette.ground) stroke=(palette.chalk) {}
            g clip-path="url(#card)" {
                @for r in [1.0, 2.0] { circle cx=(n(cx)) cy=(n(cy)) r=(n(r * SCALE)) fill="none" stroke=(palette.chalk) {} }
                text x=(n(cx + SCALE + 2.0)) y=(n(cy - 3.0)) font-size="9.5" fill=(palette.faint) { "1 yd" }
                path d=(format!("M{} {}v{}m-4 6l4 -7 4 7", n(cx), n(cy - 10.0), n(-SCALE * 1.9))) fill="none" stroke=(palette.faint) {}
                ellipse cx=(n(cx)) cy=(n(cy)) rx="12" ry="6" fill=(palette.offense) {}
                circle cx=(n(cx)) cy=(n(cy)) r="5" fill=(palette.offense) stroke=(palette.ground) {}
                ellipse cx=(n(x)) cy=(n(y)) rx=(n(rx)) ry=(n(ry)) fill=(palette.ball) fill-opacity="0.2" stroke=(palette.ball) stroke-width="0.8" {}
                @if lead.is_some() && left.is_some() { circle cx=(n(x)) cy=(n(y)) r="3.5" fill=(palette.ball) {} }
            }
            line x1=(n(SIDE - 26.0)) y1=(n(bar(0.0))) x2=(n(SIDE - 26.0)) y2=(n(bar(10.0))) stroke=(palette.chalk) stroke-width="3" {}
            @for (ft, label) in [(0.0, "ground"), (3.3, "hips"), (5.0, "chest"), (6.2, "head"), (8.0, "reach")] {
                line x1=(n(SIDE - 30.0)) y1=(n(bar(ft))) x2=(n(SIDE - 22.0)) y2=(n(bar(ft))) stroke=(palette.faint) {}
                text x=(n(SIDE - 32.0)) y=(n(bar(ft) + 3.0)) font-size="9.5" text-anchor="end" fill=(palette.faint) { (label) }
            }
            @if let Some(h) = self.placement.height_ft.get() {
                @let half = 1.645 * h.se;
                line x1=(n(SIDE - 26.0)) y1=(n(bar(h.value - half))) x2=(n(SIDE - 26.0)) y2=(n(bar(h.value + half))) stroke=(palette.ball) stroke-width="3" stroke-opacity="0.5" {}
                circle cx=(n(SIDE - 26.0)) cy=(n(bar(h.value))) r="3.5" fill=(palette.ball) {}
            }
            text x="10" y=(n(SIDE - 25.0)) font-size="11" fill=(palette.ink) { "lead " (wording::seen(&self.placement.lead_yd, "")) " · left " (wording::seen(&self.placement.left_yd, "yd")) }
            text x="10" y=(n(SIDE - 10.0)) font-size="11" fill=(palette.ink) { "height " (wording::seen(&self.placement.height_ft, "ft")) " · away " (wording::seen(&self.placement.away_yd, "yd")) }
        };
        sheet(SIDE, SIDE, "Where the ball arrived for the receiver", &body)
    }
}
