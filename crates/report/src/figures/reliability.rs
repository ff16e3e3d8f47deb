use super::{n, path, sheet};
use crate::Theme;
use maud::{Markup, html};
use stats::Scores;

/// Claimed chance across, share that came up: honest claims lie on the diagonal.
pub struct Reliability<'a> {
    /// What is claimed, for the axis: "chance of completion".
    pub what: &'a str,
    /// Sets of claims, each with its name; at most two are told apart.
    pub sets: &'a [(&'a str, &'a Scores)],
}

const SIDE: f64 = 300.0;
const LEFT: f64 = 50.0;
const TOP: f64 = 14.0;
const FOOT: f64 = 44.0;
/// Height of a line of the legend.
const LINE: f64 = 34.0;

impl Reliability<'_> {
    /// The drawing: shares with their 90% intervals, how many claims stand behind each, and the scores in words.
    pub fn svg(&self, theme: Theme) -> String {
        let palette = theme.palette();
        let (width, height) = (LEFT + SIDE + 16.0, TOP + SIDE + FOOT + LINE * self.sets.len() as f64 + 4.0);
        let x = |p: f64| LEFT + SIDE * p;
        let y = |p: f64| TOP + SIDE * (1.0 - p);
        let body = html! {
            rect x=(n(LEFT)) y=(n(TOP)) width=(n(SIDE)) height=(n(SIDE)) fill=(palette.ground) stroke=(palette.chalk) {}
            @for k in 0..=5 {
                @let p = f64::from(k) * 0.2;
                line x1=(n(x(p))) y1=(n(y(0.0))) x2=(n(x(p))) y2=(n(y(1.0))) stroke=(palette.chalk) stroke-width="0.6" {}
                line x1=(n(x(0.0))) y1=(n(y(p))) x2=(n(x(1.0))) y2=(n(y(p))) stroke=(palette.chalk) stroke-width="0.6" {}
                text x=(n(x(p))) y=(n(y(0.0) + 15.0)) font-size="11" text-anchor="middle" fill=(palette.faint) { (k * 20) "%" }
                text x=(n(LEFT - 6.0)) y=(n(y(p) + 4.0)) font-size="11" text-anchor="end" fill=(palette.faint) { (k * 20) "%" }
            }
            line x1=(n(x(0.0))) y1=(n(y(0.0))) x2=(n(x(1.0))) y2=(n(y(1.0))) stroke=(palette.faint) stroke-dasharray="5 4" {}
            @for (k, (_, scores)) in self.sets.iter().enumerate() { (points(k, scores, &x, &y, theme)) }
            text x=(n(x(0.5))) y=(n(y(0.0) + 34.0)) font-size="12" text-anchor="middle" fill=(palette.ink) { "claimed " (self.what) }
            text transform=(format!("translate(12 {}) rotate(-90)", n(y(0.5)))) font-size="12" text-anchor="middle" fill=(palette.ink) { "share that came" }
            @for (k, (name, scores)) in self.sets.iter().enumerate() {
                @let at = TOP + SIDE + FOOT + LINE * k as f64;
                (mark(k, LEFT + 5.0, at + 6.0, theme))
                text x=(n(LEFT + 16.0)) y=(n(at + 10.0)) font-size="12" fill=(palette.ink) { (name) ", " (scores.n) " throws" }
                text x=(n(LEFT + 16.0)) y=(n(at + 24.0)) font-size="11" fill=(palette.faint) {
                    (format!("Brier {:.3} ({:.3} to {:.3}) · log loss {:.3} ({:.3} to {:.3})",
                        scores.brier, scores.brier_interval.low, scores.brier_interval.high,
                        scores.log_loss, scores.log_loss_interval.low, scores.log_loss_interval.high))
                }
            }
        };
        let label = format!("Claimed {} against the share that came", self.what);
        sheet(width, height, &label, &body)
    }
}

/// A set's sign: filled dot, then open square, so that print without colour tells them apart.
fn mark(set: usize, x: f64, y: f64, theme: Theme) -> Markup {
    let palette = theme.palette();
    html! {
        @if set == 0 {
            circle cx=(n(x)) cy=(n(y)) r="4" fill=(palette.offense) {}
        } @else {
            rect x=(n(x - 4.0)) y=(n(y - 4.0)) width="8" height="8" fill=(palette.ground) stroke=(palette.defense) stroke-width="1.6" {}
        }
    }
}

fn points(
    set: usize,
    scores: &Scores,
    x: &dyn Fn(f64) -> f64,
    y: &dyn Fn(f64) -> f64,
    theme: Theme,
) -> Markup {
    let palette = theme.palette();
    let colour = if set == 0 { palette.offense } else { palette.defense };
    html! {
        path d=(path(scores.bins.iter().map(|b| (x(b.claimed), y(b.came))))) fill="none" stroke=(colour) stroke-opacity="0.5" {}
        @for b in &scores.bins {
            line x1=(n(x(b.claimed))) y1=(n(y(b.interval.low))) x2=(n(x(b.claimed))) y2=(n(y(b.interval.high))) stroke=(colour) stroke-width="1.4" {
                title { (format!("{} throws: {:.0}% claimed, {:.0}% came ({:.0} to {:.0}%)", b.n, 100.0 * b.claimed, 100.0 * b.came, 100.0 * b.interval.low, 100.0 * b.interval.high)) }
            }
            (mark(set, x(b.claimed), y(b.came), theme))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use stats::{Claimed, scores};

    #[test]
    fn every_bin_stands_where_its_share_is() {
        let claims: Vec<Claimed> = (0..40)
            .map(|k| Claimed { probability: if k < 20 { 0.25 } else { 0.75 }, came: k % 2 == 0 })
            .collect();
        let s = scores(&claims, 2).unwrap();
        let svg =
            Reliability { what: "chance of completion", sets: &[("as it comes", &s)] }.svg(Theme::Paper);
        // Half of each came: both dots at mid height, a quarter and three quarters across.
        for x in [LEFT + 0.25 * SIDE, LEFT + 0.75 * SIDE] {
            let dot = format!("<circle cx=\"{}\" cy=\"{}\"", n(x), n(TOP + SIDE / 2.0));
            assert!(svg.contains(&dot), "{dot}");
        }
        assert!(svg.contains("20 throws: 25% claimed, 50% came"));
    }
}
