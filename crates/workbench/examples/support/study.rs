//! A new study with one game, for figures.

use field::RuleBook;
use film::VideoTool;
use play::{Air, GameId, Study, Team};
use std::path::Path;
use std::sync::Arc;
use workbench::{GameEdit, Outside, Workbench};

/// Markings of the invented games.
pub const BOOK: RuleBook = RuleBook::College;

/// The study at `path` with one game; it may read from `folder`.
pub async fn study(path: &Path, folder: &Path) -> (Workbench, GameId) {
    let study =
        Study { name: "Figures".into(), passer: String::new(), right_handed: true, evaluator: String::new() };
    let outside = Outside { tool: VideoTool::on_path(), now: Arc::new(|| 1_764_028_800_000) };
    let bench = Workbench::create(path, &study, outside).await.expect("a new study");
    let team = |name: &str| Team { name: name.into(), shirt: None };
    let game = GameEdit {
        name: "Games".into(),
        rule_book: BOOK,
        offense: team("one side"),
        defense: team("the others"),
        air: Air::default(),
        crown: None,
    };
    let game = bench.add_game(game).await.expect("a game").id;
    bench.name_folder(folder).await.expect("a folder");
    (bench, game)
}
