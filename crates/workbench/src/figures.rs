//! The figures of a play, drawn by the report layer.

use crate::{WorkError, Workbench};
use play::{MomentKind, PersonId, PlayId, Study};
use report::{Diagram, DrawnRace, FeetFigure, PlacementFigure, Theme, WindowsStrip};
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

/// What of a play a figure is to show.
#[derive(Clone, Debug, Default)]
pub struct FigureWish {
    /// Seconds from the snap, where the figure has an instant; the release when left out.
    pub at_s: Option<f64>,
    /// On the diagram: the race to the best ball to a receiver at a release, s from the snap.
    pub race: Option<(PersonId, f64)>,
}

impl Workbench {
    /// A figure as SVG.
    ///
    /// # Errors
    /// `NotReady` with what is missing.
    pub async fn figure(
        &self,
        id: &PlayId,
        kind: FigureKind,
        theme: Theme,
        wish: FigureWish,
    ) -> Result<String, WorkError> {
        let detail = self.play(id).await?;
        let m = self.measurement(id).await?;
        let not_ready = |why: &str| WorkError::NotReady(why.to_owned());
        match kind {
            FigureKind::Diagram => {
                let release = m.moments.iter().find(|x| x.kind == MomentKind::Release).map(|x| x.at_s.value);
                let race = match &wish.race {
                    Some((receiver, release_s)) => self.shown_race(id, receiver, *release_s).await?,
                    None => None,
                };
                let diagram = Diagram {
                    rule_book: self.game_of(&detail.play).await?.rule_book,
                    situation: &detail.play.situation,
                    people: &detail.people,
                    tracks: &m.tracks,
                    throw: m.throw.get(),
                    at_s: wish.at_s.or(release).unwrap_or(0.0),
                    race: race.map(|r| DrawnRace {
                        path: r.path.iter().map(|(_, p)| p.ground()).collect(),
                        ways: r.racers.into_iter().map(|w| (w.person, w.from, w.to, w.ready_s)).collect(),
                        arrives_s: r.release_s + r.ball.flight_s,
                    }),
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
                    at_s: wish.at_s,
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
