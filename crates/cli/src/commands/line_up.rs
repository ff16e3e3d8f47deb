use super::{finish, game_or_only};
use crate::arguments::{Click, Clips, Follow, LineUpGame, Pixel, ReadField, Solve};
use crate::say::{Answer, table};
use anyhow::Context;
use play::ClipId;
use workbench::{ClipLineUp, GameLineUp, NewFieldMark, NewReading, PixelSpot, Standing, Workbench};

pub async fn click(bench: Workbench, a: Click) -> anyhow::Result<Answer> {
    let landmark =
        serde_json::from_str(&a.landmark).with_context(|| format!("“{}” is no landmark", a.landmark))?;
    let new =
        NewFieldMark { frame: a.frame, landmark, pixel: geometry::Point2::new(a.x, a.y), snap: !a.no_snap };
    let mark = bench.mark_field(&a.clip.into(), new).await?;
    Answer::new(
        &mark,
        format!("{} at {:.2}, {:.2} ± {:.2} px", mark.id, mark.pixel.x, mark.pixel.y, 1.645 * mark.sd_px),
    )
}

pub async fn solve(bench: Workbench, a: Solve) -> anyhow::Result<Answer> {
    let solved = bench.solve(&a.clip.into(), a.frame).await?;
    let text = match (&solved.refused, solved.rms_px) {
        (Some(why), _) => why.clone(),
        (None, Some(rms)) => format!("solved, {rms:.2} px RMS"),
        (None, None) => "solved".to_owned(),
    };
    Answer::new(&solved, text)
}

pub async fn follow(bench: Workbench, a: Follow) -> anyhow::Result<Answer> {
    let named = !a.clips.clips.is_empty();
    let clips =
        if a.waiting { bench.waiting_for_following().await? } else { asked(&bench, a.clips.clips).await? };
    let (mut jobs, mut rows) = (Vec::new(), Vec::new());
    for id in clips {
        match bench.follow(&id).await {
            Ok(job) => {
                let job = finish(&bench, job).await?;
                rows.push(vec![job.title.clone(), job.message.clone()]);
                jobs.push(job);
            }
            Err(e) if named => return Err(anyhow::Error::new(e).context(format!("clip {id}"))),
            // One clip that cannot be followed must not keep the others from it.
            Err(e) => rows.push(vec![format!("clip {id}"), format!("not followed: {e}")]),
        }
    }
    Answer::new(&jobs, table(&rows))
}

pub async fn game(bench: Workbench, a: LineUpGame) -> anyhow::Result<Answer> {
    let game = game_or_only(&bench, a.game).await?;
    if !a.show {
        let job = bench.line_up_game(&game, a.again).await?;
        finish(&bench, job).await?;
    }
    overview(&bench.game_line_up(&game).await?)
}

pub async fn read(bench: Workbench, a: ReadField) -> anyhow::Result<Answer> {
    let new = NewReading { yards: a.yards, turned: a.turned };
    overview(&bench.read_field(&a.clip.into(), new).await?)
}

fn overview(g: &GameLineUp) -> anyhow::Result<Answer> {
    let rows: Vec<_> = g
        .clips
        .iter()
        .map(|c| {
            let standing = match c.standing {
                Standing::Sound => "sound",
                Standing::Doubtful => "look at it",
                Standing::NotFound => "no field found",
                Standing::Waiting => "waiting",
            };
            let why = if c.doubts.is_empty() { c.settled_by.clone() } else { c.doubts.join("; ") };
            vec![
                c.play_number.map_or_else(String::new, |n| n.to_string()),
                c.view.map_or_else(String::new, |v| format!("{v:?}").to_lowercase()),
                c.clip.to_string(),
                standing.to_owned(),
                format!("{:.0}% trusted", 100.0 * c.trusted),
                why,
            ]
        })
        .collect();
    let mut text = table(&rows);
    if let Some(c) = g.crown {
        text.push_str(&format!("the field rises {:.1} ± {:.1} in to its middle", c.inches, 1.645 * c.sd_in));
    }
    Answer::new(g, text)
}

pub async fn show(bench: Workbench, a: Clips) -> anyhow::Result<Answer> {
    let mut all: Vec<(ClipId, ClipLineUp)> = Vec::new();
    for id in asked(&bench, a.clips).await? {
        let lined_up = bench.line_up(&id).await?;
        all.push((id, lined_up));
    }
    let rows: Vec<_> = all
        .iter()
        .map(|(id, l)| {
            vec![
                id.to_string(),
                format!("{} frames", l.frames.len()),
                format!("{:.0}% trusted", 100.0 * l.trusted),
            ]
        })
        .collect();
    Answer::new(&all, table(&rows))
}

pub async fn ground(bench: Workbench, a: Pixel) -> anyhow::Result<Answer> {
    let place = bench
        .ground(&a.clip.into(), PixelSpot { frame: a.frame, pixel: geometry::Point2::new(a.x, a.y) })
        .await?;
    let text = format!(
        "x {:.2} ± {:.2} yd, y {:.2} ± {:.2} yd",
        place.point.x,
        1.645 * place.covariance.xx.sqrt(),
        place.point.y,
        1.645 * place.covariance.yy.sqrt()
    );
    Answer::new(&place, text)
}

/// The clips asked for; all that belong to a play when none is named.
async fn asked(bench: &Workbench, ids: Vec<String>) -> anyhow::Result<Vec<ClipId>> {
    if !ids.is_empty() {
        return Ok(ids.into_iter().map(ClipId).collect());
    }
    Ok(bench.clips().await?.into_iter().filter(|c| c.clip.play.is_some()).map(|c| c.clip.id).collect())
}
