use super::{game_or_only, standard_input};
use crate::arguments::{Book, Enter, Game, New, OfGame, OfPlay, PlayList, Serve};
use crate::say::{Answer, table};
use anyhow::Context;
use field::RuleBook;
use play::{Air, Team};
use workbench::{GameEdit, Outside, Paint, Workbench};

pub async fn new(a: New, outside: Outside) -> anyhow::Result<Answer> {
    let study =
        play::Study { name: a.name, passer: a.passer, right_handed: !a.left_handed, evaluator: a.evaluator };
    Workbench::create(&a.study, &study, outside).await?.close().await;
    Answer::new(&study, format!("made {}", a.study.display()))
}

pub async fn serve(a: Serve, outside: Outside) -> anyhow::Result<Answer> {
    let bench = Workbench::open(&a.study, outside).await?;
    bench.resume().await?;
    let serving = server::serve(bench.clone(), server::Options { address: a.address, port: a.port }).await?;
    let url = serving.url();
    println!("{url}");
    if !a.no_open
        && let Err(e) = open::that(&url)
    {
        eprintln!("The browser could not be opened ({e}); open the address above yourself.");
    }
    tokio::signal::ctrl_c().await.context("waiting for Ctrl-C")?;
    serving.stop().await?;
    bench.close().await;
    Answer::new(&(), "")
}

pub async fn show(bench: Workbench) -> anyhow::Result<Answer> {
    let s = bench.study().await?;
    let games: Vec<_> = s.games.iter().map(|g| vec![g.id.to_string(), g.name.clone()]).collect();
    let counts = format!(
        "{}: {} films, {} clips, {} plays of which {} charted, {} statements",
        s.study.name, s.counts.films, s.counts.clips, s.counts.plays, s.counts.charted, s.counts.claims
    );
    Answer::new(&s, format!("{counts}\n{}", table(&games)))
}

pub async fn game(bench: Workbench, a: Game) -> anyhow::Result<Answer> {
    let team = |name: String| Team { name, shirt: None };
    let edit = GameEdit {
        name: a.name,
        rule_book: match a.rule_book {
            Book::Professional => RuleBook::Professional,
            Book::College => RuleBook::College,
            Book::HighSchool => RuleBook::HighSchool,
            Book::Canadian => RuleBook::Canadian,
        },
        offense: team(a.offense),
        defense: team(a.defense),
        air: Air { altitude_m: a.altitude, temperature_c: a.temperature, wind: None },
        crown: a.crown.map(|inches| inches / 36.0),
    };
    let game = bench.add_game(edit).await?;
    Answer::new(&game, game.id.to_string())
}

pub async fn pair(bench: Workbench, a: OfGame) -> anyhow::Result<Answer> {
    let paired = bench.pair(&game_or_only(&bench, a.game).await?).await?;
    let mut text = format!("{} plays", paired.plays.len());
    for f in &paired.findings {
        text.push_str(&format!("\n{}", f.message));
    }
    Answer::new(&paired, text)
}

pub async fn play_list(bench: Workbench, a: PlayList) -> anyhow::Result<Answer> {
    let bytes = std::fs::read(&a.file).with_context(|| format!("reading {}", a.file.display()))?;
    let listed = bench.play_list(&game_or_only(&bench, a.game).await?, bytes).await?;
    let mut text = format!("{} rows", listed.rows);
    for f in &listed.findings {
        text.push_str(&format!("\n{}", f.message));
    }
    Answer::new(&listed, text)
}

pub async fn plays(bench: Workbench) -> anyhow::Result<Answer> {
    let plays = bench.plays().await?;
    let word = |yes, word: &str| if yes { word.to_owned() } else { String::new() };
    let rows: Vec<_> = plays
        .iter()
        .map(|p| {
            vec![
                p.id.to_string(),
                p.number.to_string(),
                p.situation.down.map(|d| format!("down {d}")).unwrap_or_default(),
                word(p.charted, "charted"),
                word(p.measured, "release marked"),
                word(p.judged, "called"),
            ]
        })
        .collect();
    Answer::new(&plays, table(&rows))
}

pub async fn play(bench: Workbench, a: OfPlay) -> anyhow::Result<Answer> {
    let p = bench.play(&a.play.into()).await?;
    Answer::new(&p, serde_json::to_string_pretty(&p)?)
}

pub async fn chart(bench: Workbench, a: OfPlay) -> anyhow::Result<Answer> {
    let chart = serde_json::from_str(&standard_input()?).context("standard input is not a chart")?;
    let chart = bench.edit_chart(&a.play.into(), chart).await?;
    Answer::new(&chart, "charted")
}

pub async fn enter(bench: Workbench, a: Enter) -> anyhow::Result<Answer> {
    let paint = if a.paint_where_needed { Paint::WhereNeeded } else { Paint::All };
    let mut entered = Vec::new();
    for path in &a.sheets {
        let text = std::fs::read_to_string(path).with_context(|| format!("reading {}", path.display()))?;
        let one =
            bench.enter_sheet(&text, paint).await.with_context(|| format!("entering {}", path.display()))?;
        entered.push(one);
    }
    let rows: Vec<_> =
        entered.iter().map(|e| vec![e.play.to_string(), format!("{} records", e.records)]).collect();
    Answer::new(&entered, table(&rows))
}
