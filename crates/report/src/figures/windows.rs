use super::{n, sheet};
use crate::Theme;
use maud::{Markup, html};
use play::{Looked, Moment, MomentKind, PersonId, ReceiverWindows, WindowCell};

/// One row a receiver, release time across, shaded by margin.
pub struct WindowsStrip<'a> {
    /// Receivers in the order of the plan.
    pub windows: &'a [ReceiverWindows],
    /// Moments to rule across.
    pub moments: &'a [Moment],
    /// When pressure arrived, s.
    pub pressure_s: Option<f64>,
    /// The plan's looks.
    pub looks: &'a [Looked],
    /// Whom the ball went to.
    pub target: Option<&'a PersonId>,
    /// The instant to point at, s.
    pub at_s: Option<f64>,
}

const LEFT: f64 = 58.0;
const RIGHT: f64 = 12.0;
const TOP: f64 = 30.0;
const ROW: f64 = 26.0;
const WIDTH: f64 = 660.0;
const FOOT: f64 = 44.0;

impl WindowsStrip<'_> {
    /// The drawing; `None` when no window was computed.
    pub fn svg(&self, theme: Theme) -> Option<String> {
        let cells = || self.windows.iter().flat_map(|w| &w.cells);
        let start = cells().map(|c| c.release_s).fold(f64::INFINITY, f64::min).min(0.0);
        let end = cells().map(|c| c.release_s).fold(f64::NEG_INFINITY, f64::max);
        if !end.is_finite() || end <= start {
            return None;
        }
        let x = |t: f64| LEFT + (t - start) / (end - start) * (WIDTH - LEFT - RIGHT);
        let height = TOP + ROW * self.windows.len() as f64 + FOOT;
        let body = html! {
            @for (k, row) in self.windows.iter().enumerate() { (self.row(k, row, &x, theme)) }
            (self.rules(&x, theme))
            (legend(height, theme))
        };
        Some(sheet(WIDTH, height, "Windows by receiver and release time", &body))
    }

    fn row(&self, k: usize, row: &ReceiverWindows, x: &dyn Fn(f64) -> f64, theme: Theme) -> Markup {
        let palette = theme.palette();
        let y = TOP + ROW * k as f64;
        let step = row
            .cells
            .windows(2)
            .map(|w| w[1].release_s - w[0].release_s)
            .fold(f64::INFINITY, f64::min)
            .min(0.2);
        let thrown = self.target == Some(&row.receiver);
        html! {
            text x=(n(LEFT - 8.0)) y=(n(y + 16.0)) font-size="12" text-anchor="end" fill=(palette.ink) font-weight=(if thrown { "700" } else { "400" }) { (row.receiver) }
            @for c in &row.cells {
                @let (a, b) = (x(c.release_s - step / 2.0).max(LEFT), x(c.release_s + step / 2.0));
                @match c.ball {
                    Some(_) => rect x=(n(a)) y=(n(y + 2.0)) width=(n((b - a + 0.3).max(0.3))) height=(n(ROW - 6.0)) fill=(theme.margin(c.margin_s.value)) { title { (told(c)) } },
                    None => rect x=(n(a)) y=(n(y + ROW / 2.0 - 1.5)) width=(n((b - a + 0.3).max(0.3))) height="1" fill=(palette.chalk) {}
                }
            }
            // A bar below the cells where the sign of the margin is sure at 90%: shade alone is not read by everyone.
            @for c in row.cells.iter().filter(|c| c.ball.is_some() && sure(c)) {
                @let (a, b) = (x(c.release_s - step / 2.0).max(LEFT), x(c.release_s + step / 2.0));
                rect x=(n(a)) y=(n(y + ROW - 3.5)) width=(n((b - a + 0.3).max(0.3))) height="2" fill=(if c.margin_s.value > 0.0 { palette.ink } else { palette.faint }) {}
            }
            @for look in self.looks.iter().filter(|l| l.slot == row.receiver.as_str()) {
                @let at = x(look.at_s);
                path d=(format!("M{} {}l4.5 -6.5h-9z", n(at), n(y + 3.0))) fill=(if look.applies { palette.ink } else { "none" }) stroke=(palette.ink) { title { "the plan looks here at " (format!("{:.2} s", look.at_s)) } }
            }
        }
    }

    fn rules(&self, x: &dyn Fn(f64) -> f64, theme: Theme) -> Markup {
        let palette = theme.palette();
        let bottom = TOP + ROW * self.windows.len() as f64;
        let word = |k| match k {
            MomentKind::Snap => Some("snap"),
            MomentKind::Set => Some("set"),
            MomentKind::Release => Some("release"),
            MomentKind::Arrival | MomentKind::FirstContact => None,
        };
        let mut rules: Vec<(f64, &str, &str)> =
            self.moments.iter().filter_map(|m| Some((m.at_s.value, word(m.kind)?, palette.ink))).collect();
        rules.extend(self.pressure_s.map(|t| (t, "pressure", palette.alert)));
        rules.sort_by(|a, b| a.0.total_cmp(&b.0));
        html! {
            // Labels alternate between two heights so that close moments stay readable.
            @for (k, (t, label, colour)) in rules.iter().enumerate() {
                @let at = x(*t).min(WIDTH - RIGHT);
                line x1=(n(at)) y1=(n(TOP - 3.0)) x2=(n(at)) y2=(n(bottom)) stroke=(colour) stroke-width="1.2" stroke-dasharray=[(*label == "pressure").then_some("3 2")] {}
                text x=(n(at)) y=(if k % 2 == 0 { "11" } else { "23" }) font-size="10" text-anchor="middle" fill=(colour) { (label) " " (format!("{t:.2}")) }
            }
            @if let Some(t) = self.at_s {
                @let at = x(t);
                line x1=(n(at)) y1=(n(TOP - 3.0)) x2=(n(at)) y2=(n(bottom + 3.0)) stroke=(palette.alert) stroke-width="2" {}
            }
        }
    }
}

fn sure(c: &WindowCell) -> bool {
    c.margin_s.value.abs() > 1.645 * c.margin_s.se
}

/// The cell in words, for the pointer and the screen reader.
fn told(c: &WindowCell) -> String {
    format!(
        "released at {:.2} s: margin {} {} chance of a completion",
        c.release_s,
        crate::wording::estimate(c.margin_s, "s"),
        crate::wording::estimate(c.complete.scaled(100.0), "%")
    )
}

fn legend(height: f64, theme: Theme) -> Markup {
    let palette = theme.palette();
    let y = height - 18.0;
    let steps = 34;
    html! {
        @for k in 0..steps {
            @let m = -0.6 + 1.2 * (f64::from(k) + 0.5) / f64::from(steps);
            rect x=(n(LEFT + f64::from(k) * 5.0)) y=(n(y)) width="5.2" height="8" fill=(theme.margin(m)) {}
        }
        text x=(n(LEFT)) y=(n(y - 4.0)) font-size="9.5" fill=(palette.faint) { "defender first" }
        text x=(n(LEFT + 170.0)) y=(n(y - 4.0)) font-size="9.5" text-anchor="end" fill=(palette.faint) { "receiver first" }
        text x=(n(LEFT)) y=(n(y + 16.0)) font-size="9.5" fill=(palette.faint) { "−0.6 s" }
        text x=(n(LEFT + 170.0)) y=(n(y + 16.0)) font-size="9.5" text-anchor="end" fill=(palette.faint) { "+0.6 s" }
        text x=(n(LEFT + 184.0)) y=(n(y + 8.0)) font-size="9.5" fill=(palette.faint) { "bar below: sure at 90% · triangle: the plan looks here · thin line: out of the arm's reach" }
    }
}
