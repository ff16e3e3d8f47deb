//! The figures of a play, drawn by the report layer.

use crate::{WorkError, Workbench};
use play::{MomentKind, PlayId, Study};
use report::{Diagram, FeetFigure, PlacementFigure, Theme, WindowsStrip};
use serde::{Deserialize, Serialize};

/// Which figure.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
#[serde(rename_all = "kebab-case")]
pub enum FigureKind {
    /// From above.
    Diagram,
    /// Windows by receiver and release time.
    Windows,
    /// The passer's feet.
    Feet,
    /// Where the ball arrived for its receiver.
    Placement,
}

impl Workbench {
    /// A figure as SVG, at `at_s` seconds from the snap where it has an instant (the release when left out).
    ///
    /// # Errors
    /// `NotReady` with what is missing.
    pub async fn figure(
        &self,
        id: &PlayId,
        kind: FigureKind,
        theme: Theme,
        at_s: Option<f64>,
    ) -> Result<String, WorkError> {
        let detail = self.play(id).await?;
        let m = self.measurement(id).await?;
        let not_ready = |why: &str| WorkError::NotReady(why.to_owned());
        match kind {
            FigureKind::Diagram => {
                let release = m.moments.iter().find(|x| x.kind == MomentKind::Release).map(|x| x.at_s.value);
                let diagram = Diagram {
                    rule_book: self.game_of(&detail.play).await?.rule_book,
                    situation: &detail.play.situation,
                    people: &detail.people,
                    tracks: &m.tracks,
                    throw: m.throw.get(),
                    at_s: at_s.or(release).unwrap_or(0.0),
                    features: Vec::new(),
                };
                diagram.svg(theme).ok_or_else(|| {
                    not_ready(
                        "the diagram needs the ball's line, the hash and the direction in the situation",
                    )
                })
            }
            FigureKind::Windows => {
                let judgements = self.judged(id).await?.judgements;
                let strip = WindowsStrip {
                    windows: &m.windows,
                    moments: &m.moments,
                    pressure_s: m.pressure.at_s.get().map(|e| e.value),
                    looks: judgements.first().map_or(&[], |j| &j.looks),
                    target: detail.chart.target.as_ref(),
                    at_s,
                };
                strip.svg(theme).ok_or_else(|| {
                    let why = m.findings.iter().find(|f| f.code == "no-windows").map(|f| f.message.clone());
                    WorkError::NotReady(why.unwrap_or_else(|| "no window was computed".into()))
                })
            }
            FigureKind::Feet => {
                let study: Study = self.store.get("study").await?;
                let feet = match &m.feet {
                    play::Seen::Seen(f) => f,
                    play::Seen::NotSeen(why) => return Err(not_ready(why)),
                };
                FeetFigure { feet, right_handed: study.right_handed }.svg(theme).ok_or_else(|| {
                    not_ready(match &feet.error_deg {
                        play::Seen::NotSeen(why) => why,
                        play::Seen::Seen(_) => "the feet cannot be drawn",
                    })
                })
            }
            FigureKind::Placement => match &m.placement {
                play::Seen::Seen(placement) => Ok(PlacementFigure { placement }.svg(theme)),
                play::Seen::NotSeen(why) => Err(not_ready(why)),
            },
        }
    }
}
