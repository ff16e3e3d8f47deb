//! A study of films in a folder, brought in and paired, with nothing lined up yet.

use field::RuleBook;
use film::VideoTool;
use play::{Air, GameId, Study, Team};
use std::path::Path;
use std::sync::Arc;
use workbench::{GameEdit, ImportRequest, Outside, Workbench};

/// Markings of the invented games.
pub const BOOK: RuleBook = RuleBook::College;

/// The study `name.tape` in `room` with one game of the films in `films`, and its play list where there is one.
pub async fn filmed(
    room: &Path,
    name: &str,
    films: &Path,
    play_list: Option<Vec<u8>>,
) -> (Workbench, GameId) {
    let outside = Outside { tool: VideoTool::on_path(), now: Arc::new(|| 1_764_028_800_000) };
    let study =
        Study { name: "Filmed".into(), passer: String::new(), right_handed: true, evaluator: String::new() };
    let bench =
        Workbench::create(&room.join(format!("{name}.tape")), &study, outside).await.expect("a study");
    let team = |name: &str| Team { name: name.into(), shirt: None };
    let game = GameEdit {
        name: "Game".into(),
        rule_book: BOOK,
        offense: team("A"),
        defense: team("B"),
        air: Air::default(),
        crown: None,
    };
    let game = bench.add_game(game).await.expect("a game").id;
    bench.name_folder(films).await.expect("a folder");
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
