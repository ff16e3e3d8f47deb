use super::{finish, game_or_only};
use crate::arguments::{Frame, Import};
use crate::say::{Answer, table};
use anyhow::Context;
use workbench::{ImportRequest, Workbench};

pub async fn import(bench: Workbench, a: Import) -> anyhow::Result<Answer> {
    let game = game_or_only(&bench, a.game).await?;
    let mut request = ImportRequest { paths: Vec::new(), folder: None, game, copy: a.copy };
    // Naming a film on the command line names its folder: the user has said where film may be read.
    for film in &a.films {
        let path = film.canonicalize().with_context(|| format!("looking for {}", film.display()))?;
        let folder =
            if path.is_dir() { path.as_path() } else { path.parent().context("a file lies in a folder")? };
        bench.name_folder(folder).await?;
        let text = path
            .to_str()
            .with_context(|| format!("{} is not UTF-8; import its folder instead", path.display()));
        match (path.is_dir(), text) {
            (true, Ok(text)) if a.films.len() == 1 => request.folder = Some(text.to_owned()),
            (true, _) => anyhow::bail!("{}: give one folder, or files", film.display()),
            (false, text) => request.paths.push(text?.to_owned()),
        }
    }
    let job = bench.import(request).await?;
    let job = finish(&bench, job).await?;
    let mut text = job.message.clone();
    for f in &job.findings {
        text.push_str(&format!("\n{}", f.message));
    }
    Answer::new(&job, text)
}

pub async fn films(bench: Workbench) -> anyhow::Result<Answer> {
    let films = bench.films().await?;
    let rows: Vec<_> = films.iter().map(|f| vec![f.id.to_string(), f.name.clone()]).collect();
    Answer::new(&films, table(&rows))
}

pub async fn clips(bench: Workbench) -> anyhow::Result<Answer> {
    let clips = bench.clips().await?;
    let rows: Vec<_> = clips
        .iter()
        .map(|c| {
            vec![
                c.clip.id.to_string(),
                c.film_name.clone(),
                format!("{}-{}", c.clip.first, c.clip.end),
                c.clip.view.map(|v| format!("{v:?}")).unwrap_or_default(),
                c.clip.play.as_ref().map(ToString::to_string).unwrap_or_default(),
            ]
        })
        .collect();
    Answer::new(&clips, table(&rows))
}

pub async fn frame(bench: Workbench, a: Frame) -> anyhow::Result<Answer> {
    let png = bench.exact_frame_png(&a.film, a.index).await?;
    std::fs::write(&a.out, png).with_context(|| format!("writing {}", a.out.display()))?;
    Answer::new(&a.out, format!("wrote {}", a.out.display()))
}
