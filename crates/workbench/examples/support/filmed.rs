//! A study of films in a folder, brought in and paired, with nothing lined up yet.

#[path = "study.rs"]
mod study;

use play::GameId;
use std::path::Path;
pub use study::BOOK;
use workbench::{ImportRequest, Workbench};

/// A study in `room` with one game of the films in `films`, and its play list where there is one.
pub async fn filmed(room: &Path, films: &Path, play_list: Option<Vec<u8>>) -> (Workbench, GameId) {
    let (bench, game) = study::study(&room.join("study.tape"), films).await;
    let request = ImportRequest {
        paths: vec![],
        folder: Some(films.to_str().expect("a plain path").to_owned()),
        game: game.clone(),
        copy: false,
    };
    let job = bench.import(request).await.expect("an import");
    bench.wait(job.id).await.expect("an import");
    bench.pair(&game).await.expect("pairs");
    if let Some(list) = play_list {
        bench.play_list(&game, list).await.expect("a play list");
    }
    (bench, game)
}
