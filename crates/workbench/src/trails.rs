//! People's paths as they appear in a view, to be drawn on the film.

use crate::{WorkError, Workbench};
use field::Crown;
use geometry::Point2;
use geometry::frame::Pixel;
use play::{PersonId, PlayId, View, ViewClock};
use serde::Serialize;

/// Where somebody is in a frame.
#[derive(Clone, Copy, Debug, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct TrailPoint {
    /// Film frame.
    pub frame: u32,
    /// Seconds from the snap.
    pub t_s: f64,
    /// The point on the ground between his feet, px of the original.
    #[cfg_attr(feature = "schema", schema(value_type = [f64; 2]))]
    pub pixel: Point2<Pixel>,
}

/// Somebody's path through a view.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Trail {
    /// Who.
    pub person: PersonId,
    /// In order of frames.
    pub points: Vec<TrailPoint>,
}

impl Workbench {
    /// People's measured paths in each frame of a view that is lined up.
    ///
    /// # Errors
    /// `NotReady` when the play has no clip of that view or its snap is not marked.
    pub async fn trails(&self, id: &PlayId, view: View) -> Result<Vec<Trail>, WorkError> {
        let clip = self.clip_of(id, view).await?;
        let snap = clip.snap_frame.ok_or_else(|| {
            WorkError::NotReady(format!("the snap is not marked in the {} view", crate::views::word(view)))
        })?;
        let film = self.film(clip.film.as_str()).await?;
        let cameras = self.cameras_of(&clip).await?;
        let game = self.game_of_clip(&clip).await?;
        let crown = Crown { height: game.crown.unwrap_or(0.0) };
        let measurement = self.measurement(id).await?;
        let clock = ViewClock::new(&film.ingested.clock.table, snap)
            .map_err(|e| WorkError::Invalid(e.to_string()))?;
        let trail = |track: &play::Track| {
            let points = (clip.first..clip.end)
                .filter_map(|frame| {
                    let t_s = clock.seconds(f64::from(frame));
                    let (place, camera) = (track.at(t_s)?.position, &cameras.get(frame)?.camera);
                    let z = if camera.pinhole().is_some() { crown.at(place, game.rule_book) } else { 0.0 };
                    Some(TrailPoint { frame, t_s, pixel: camera.pixel_from_field(place.at_height(z))? })
                })
                .collect();
            Trail { person: track.person.clone(), points }
        };
        Ok(measurement.tracks.iter().map(trail).collect())
    }
}
