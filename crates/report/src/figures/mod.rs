//! The figures of a play, and of a study's claims. Each is a value with a `svg(theme)`.

mod diagram;
mod feet;
mod placement;
mod reliability;
mod windows;

pub use diagram::{Diagram, DrawnRace, DrawnWay, Feature};
pub use feet::FeetFigure;
pub use placement::PlacementFigure;
pub use reliability::Reliability;
pub use windows::WindowsStrip;

/// One decimal is a tenth of a pixel: figures stay small and byte-stable.
fn n(x: f64) -> String {
    let s = format!("{x:.1}");
    s.strip_suffix(".0").map_or_else(|| s.clone(), str::to_owned)
}

/// An SVG path through points.
fn path(points: impl IntoIterator<Item = (f64, f64)>) -> String {
    let mut out = String::new();
    for (k, (x, y)) in points.into_iter().enumerate() {
        out.push(if k == 0 { 'M' } else { 'L' });
        out.push_str(&n(x));
        out.push(' ');
        out.push_str(&n(y));
    }
    out
}

/// Font of every figure: the document's in print, the browser's on screen.
const FONT: &str = "Libertinus Serif, ui-sans-serif, system-ui, sans-serif";

/// A figure's frame around `body`.
fn sheet(width: f64, height: f64, label: &str, body: &maud::Markup) -> String {
    maud::html! {
        svg xmlns="http://www.w3.org/2000/svg" viewBox=(format!("0 0 {} {}", n(width), n(height))) width=(n(width)) height=(n(height)) role="img" aria-label=(label) font-family=(FONT) { (body) }
    }
    .into_string()
}
