use super::{n, sheet};
use crate::{Theme, wording};
use maud::html;
use play::Feet;

/// The passer's feet from above at release: target line up, the line of the feet with its interval.
pub struct FeetFigure<'a> {
    /// Measured feet.
    pub feet: &'a Feet,
    /// True for a right-handed passer.
    pub right_handed: bool,
}

const SIDE: f64 = 220.0;

impl FeetFigure<'_> {
    /// The drawing; `None` when the feet line was not seen.
    pub fn svg(&self, theme: Theme) -> Option<String> {
        let error = *self.feet.error_deg.get()?;
        let palette = theme.palette();
        let base = self.feet.base_yd.get().map_or(0.8, |b| b.value).clamp(0.2, 1.6);
        let (cx, cy, unit) = (SIDE / 2.0, SIDE * 0.52, 70.0);
        // Open is away from the throwing arm: to the left of the target line for a right-hander.
        let open_side = if self.right_handed { -1.0 } else { 1.0 };
        let end = |deg: f64, r: f64| {
            let a = (open_side * deg).to_radians();
            (cx + r * a.sin(), cy - r * a.cos())
        };
        let half = 1.645 * error.se;
        let (back, front) =
            (end(error.value + 180.0, base * unit / 2.0), end(error.value, base * unit / 2.0));
        let wedge = |r: f64| {
            let (a, b) = (end(error.value - half, r), end(error.value + half, r));
            let large = i32::from(2.0 * half > 180.0);
            let sweep = i32::from(open_side > 0.0);
            format!(
                "M{} {}L{} {}A{r} {r} 0 {large} {sweep} {} {}z",
                n(cx),
                n(cy),
                n(a.0),
                n(a.1),
                n(b.0),
                n(b.1)
            )
        };
        let turn = open_side * error.value;
        let body = html! {
            rect x="0.5" y="0.5" width=(n(SIDE - 1.0)) height=(n(SIDE - 1.0)) rx="3" fill=(palette.ground) stroke=(palette.chalk) {}
            line x1=(n(cx)) y1=(n(SIDE - 46.0)) x2=(n(cx)) y2="26" stroke=(palette.faint) stroke-width="1.2" stroke-dasharray="5 3" {}
            path d=(format!("M{} 20l4 8h-8z", n(cx))) fill=(palette.faint) {}
            text x=(n(cx + 8.0)) y="26" font-size="12" fill=(palette.faint) { "target" }
            path d=(wedge(92.0)) fill=(palette.offense) fill-opacity="0.16" {}
            line x1=(n(back.0)) y1=(n(back.1)) x2=(n(front.0)) y2=(n(front.1)) stroke=(palette.offense) stroke-width="2" {}
            @for (at, name) in [(back, "back"), (front, "front")] {
                ellipse cx="0" cy="0" rx="5.5" ry="12" transform=(format!("translate({} {}) rotate({})", n(at.0), n(at.1), n(turn * 0.6))) fill=(palette.offense) {}
                text x=(n(at.0 + 12.0)) y=(n(at.1 + 4.0)) font-size="12" fill=(palette.ink) { (name) }
            }
            text x="10" y=(n(SIDE - 26.0)) font-size="13" fill=(palette.ink) { (wording::estimate(error, "°")) " " (if error.value < 0.0 { "closed" } else { "open" }) }
            text x="10" y=(n(SIDE - 10.0)) font-size="12" fill=(palette.faint) { "base " (wording::seen(&self.feet.base_yd, "yd")) " · " (self.feet.repeats) " repeats" }
        };
        Some(sheet(SIDE, SIDE, "The passer's feet at release from above", &body))
    }
}
