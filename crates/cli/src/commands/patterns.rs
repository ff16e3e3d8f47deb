use crate::arguments::{OfPlay, Patterns};
use crate::say::{Answer, table};
use anyhow::Context;
use workbench::{FactCell, OnlyPlays, Question, Workbench};

pub async fn patterns(bench: Workbench, a: Patterns) -> anyhow::Result<Answer> {
    if a.fields {
        let askable = bench.askable();
        let rows: Vec<_> = askable
            .fields
            .iter()
            .map(|f| vec![f.id.to_owned(), f.label.to_owned(), f.unit.to_owned()])
            .collect();
        return Answer::new(&askable, table(&rows));
    }
    let games: Vec<play::GameId> = a.game.into_iter().map(Into::into).collect();
    let Some(of) = a.of else {
        let all = bench.patterns(&games).await?;
        let mut text = String::new();
        for p in &all {
            text.push_str(&format!("{}\n", p.asks));
            say(&p.answer, &mut text);
        }
        return Answer::new(&all, text);
    };
    let only = a.only.iter().map(|o| kept(o)).collect::<anyhow::Result<_>>()?;
    let question = Question { of, by: a.by, word: a.word, only, games, ..Question::default() };
    let answer = bench.ask(question).await?;
    let mut text = format!("{}\n", answer.title);
    say(&answer, &mut text);
    Answer::new(&answer, text)
}

pub async fn facts(bench: Workbench) -> anyhow::Result<Answer> {
    let lines = bench.fact_lines().await?;
    let mut text = String::new();
    for l in &lines {
        text.push_str(&format!("{} {} {}\n", l.game, l.number, l.play));
        for (field, cell) in &l.cells {
            let said = match cell {
                FactCell::Word(w) => w.clone(),
                FactCell::Value(v) => format!("{:.3} ± {:.3}", v.value, v.se),
                FactCell::NotSeen(why) => format!("not seen: {why}"),
            };
            text.push_str(&format!("  {field:24} {said}\n"));
        }
    }
    Answer::new(&lines, text)
}

pub async fn again(bench: Workbench, a: OfPlay) -> anyhow::Result<Answer> {
    let alike = bench.seen_again(&a.play.into()).await?;
    let rows: Vec<_> = alike
        .iter()
        .map(|x| {
            vec![
                format!("{} play {}", x.game, x.number),
                if x.before { "before" } else { "after" }.to_owned(),
                format!("{:.2}", x.likeness.distance),
                x.did.clone(),
                x.likeness.words.clone(),
            ]
        })
        .collect();
    Answer::new(&alike, table(&rows))
}

pub async fn learned(bench: Workbench) -> anyhow::Result<Answer> {
    let l = bench.learned("sound-decision").await?;
    let mut text = String::new();
    for p in &l.pictures {
        text.push_str(&format!("{}: {}\n", p.name, p.words));
        for s in &p.showings {
            text.push_str(&format!("  {} play {}: {}\n", s.game, s.number, s.did));
        }
    }
    say(&l.answer, &mut text);
    Answer::new(&l, text)
}

fn kept(text: &str) -> anyhow::Result<OnlyPlays> {
    let (field, word) = text.split_once('=').with_context(|| format!("{text}: --only takes FIELD=WORD"))?;
    Ok(OnlyPlays { field: field.trim().to_owned(), words: vec![word.trim().to_owned()] })
}

fn say(a: &workbench::Answer, text: &mut String) {
    let mut rows = Vec::new();
    for g in &a.groups {
        let pooled = g.pooled.map_or_else(String::new, |p| format!("drawn together {}", a.of.said(p.value)));
        rows.push(vec![format!("  {}", g.word), g.words.clone(), pooled]);
    }
    rows.push(vec![format!("  {}", a.whole.word), a.whole.words.clone()]);
    text.push_str(&table(&rows));
    text.push('\n');
    for d in a.groups.iter().filter_map(|g| g.difference.as_ref()) {
        text.push_str(&format!("  {}\n", d.words));
    }
    if let Some(s) = &a.slope {
        text.push_str(&format!("  {}\n", s.words));
    }
    if a.groups.iter().all(|g| g.difference.is_none()) && a.slope.is_none() {
        text.push_str(&format!("  {}\n", a.said));
    }
    for l in &a.left {
        text.push_str(&format!("  ! {}: {} not seen, {}\n", l.field, l.plays.len(), l.why));
    }
}
