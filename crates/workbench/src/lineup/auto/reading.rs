use super::found::{Reading, foot};
use super::overview::GameLineUp;
use crate::lineup::cameras::field_model;
use crate::{WorkError, Workbench};
use play::{Clip, ClipId, FieldReading};
use serde::Deserialize;
use store::Change;

/// The evaluator's word on which yard line is which: the present reading, moved.
#[derive(Clone, Copy, Debug, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct NewReading {
    /// Yards by which everything lies farther along the field, a multiple of five; 0 confirms.
    #[serde(default)]
    pub yards: i16,
    /// Seen from the other end.
    #[serde(default)]
    pub turned: bool,
}

/// Most that a reading may be moved at once, yd.
const MOST_YARDS: i16 = 100;

impl Workbench {
    /// Confirms or moves a clip's reading of the yard lines, and settles the whole game again from what is stored.
    ///
    /// # Errors
    /// `Invalid` for yards that are no multiple of five or over a hundred; `NotReady` for a clip without a camera.
    pub async fn read_field(&self, id: &ClipId, new: NewReading) -> Result<GameLineUp, WorkError> {
        if new.yards % 5 != 0 || new.yards.abs() > MOST_YARDS {
            return Err(WorkError::Invalid(format!(
                "a move of {} yd: yard lines are moved by multiples of 5 up to {MOST_YARDS}",
                new.yards
            )));
        }
        let clip: Clip = self.store.get(id.as_str()).await?;
        let game = self.game_of_clip(&clip).await?;
        let size = self.film(clip.film.as_str()).await?.size();
        {
            let _guard = self.editing.lock().await;
            let cameras = self.cameras_of(&clip).await?;
            let at = foot(size);
            let middle = f64::from(clip.first + clip.end) / 2.0;
            // The frame nearest to the middle that can be trusted, or any.
            let place = |trusted: bool| {
                (cameras.first..)
                    .zip(&cameras.frames)
                    .filter_map(|(k, c)| {
                        let c = c.as_ref().filter(|c| c.quality.trusted || !trusted)?;
                        Some((k, c.camera.ground_from_pixel(at, 0.0)?))
                    })
                    .min_by(|a, b| {
                        (f64::from(a.0) - middle).abs().total_cmp(&(f64::from(b.0) - middle).abs())
                    })
            };
            let Some((frame, ground)) = place(true).or_else(|| place(false)) else {
                return Err(WorkError::NotReady(format!(
                    "clip {id} has no camera to confirm; click the field in it"
                )));
            };
            let moved = Reading { yards: new.yards, turned: new.turned };
            let ground = moved.place(ground, field_model(&game).rule_book);
            let reading = FieldReading { clip: clip.id.clone(), frame, pixel: at, ground };
            let label =
                if moved == Reading::default() { "confirm the yard lines" } else { "move the yard lines" };
            self.change(label, clip.play.as_ref(), &[Change::put(&reading)]).await?;
        }
        let settled = self.settle_game(&game.id).await?;
        self.with_views(settled).await
    }
}
