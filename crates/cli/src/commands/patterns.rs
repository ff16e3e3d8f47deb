use super::PlayNames;
use crate::arguments::{Apart, OfPlay, Passers, Patterns};
use crate::say::{Answer, table};
use anyhow::Context;
use workbench::{
    ApartGroup, FactCell, Left, OnlyPlays, Parts, Question, Ranged, Rated, SeveralAsked, Workbench,
};

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
        let called = PlayNames::of(&bench).await?;
        let mut text = String::new();
        for p in &all {
            text.push_str(&format!("{}\n", p.asks));
            say(&p.answer, &called, &mut text);
        }
        return Answer::new(&all, text);
    };
    let only = a.only.iter().map(|o| kept(o)).collect::<anyhow::Result<_>>()?;
    if !a.with.is_empty() {
        let s = bench.several(SeveralAsked { of, word: a.word, by: a.with, only, games }).await?;
        let mut text = format!("{}\n", s.said);
        for t in &s.terms {
            text.push_str(&format!("  {} ({} plays)\n", t.words, t.plays));
        }
        missing(&s.left, &mut text);
        return Answer::new(&s, text);
    }
    let question = Question { of, by: a.by, word: a.word, only, games, ..Question::default() };
    let answer = bench.ask(question).await?;
    let mut text = format!("{}\n", answer.title);
    say(&answer, &PlayNames::of(&bench).await?, &mut text);
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
    say(&l.answer, &PlayNames::of(&bench).await?, &mut text);
    Answer::new(&l, text)
}

pub async fn apart(bench: Workbench, a: Apart) -> anyhow::Result<Answer> {
    let games: Vec<play::GameId> = a.game.into_iter().map(Into::into).collect();
    let taken = bench.apart(&a.by, &games).await?;
    let mut text = String::new();
    for g in taken.groups.iter().chain([&taken.whole]) {
        say_apart(g, &mut text);
    }
    for l in &taken.left {
        text.push_str(&format!("! {}: {} not seen, {}\n", l.field, l.plays.len(), l.why));
    }
    Answer::new(&taken, text)
}

fn say_apart(g: &ApartGroup, text: &mut String) {
    text.push_str(&format!("{}\n", g.word));
    for p in [&g.chance, &g.points].into_iter().flatten() {
        let Parts { words, .. } = p;
        text.push_str(&format!("  {words}\n"));
    }
    text.push_str(&format!("  {}\n", rated(&g.rated)));
}

fn rated(r: &Rated) -> String {
    let said = |x: Option<Ranged>| {
        x.map_or_else(
            || "no attempt".to_owned(),
            |v| {
                let range =
                    v.interval.map_or_else(String::new, |i| format!(" ({:.1} to {:.1})", i.low, i.high));
                format!("{:.1}{range}", v.value)
            },
        )
    };
    let p = r.passing;
    format!(
        "passer rating {}, college efficiency {}: {} of {}, {:.0} yd, {} touchdowns, {} intercepted; {} not told",
        said(r.professional),
        said(r.college),
        p.completions,
        p.attempts,
        p.yards,
        p.touchdowns,
        p.interceptions,
        r.left.len()
    )
}

pub async fn passers(bench: Workbench, a: Passers) -> anyhow::Result<Answer> {
    let only: Vec<OnlyPlays> = a.only.iter().map(|o| kept(o)).collect::<anyhow::Result<_>>()?;
    let c = bench.compare_passers(&a.other, &only).await?;
    let mut text = format!("{} and {}\n{}\n", c.one, c.other, c.said);
    for r in &c.rows {
        text.push_str(&format!("{}: {} / {}\n", r.of.label, r.one.words, r.other.words));
        let d = r.one.difference.as_ref();
        text.push_str(&format!("  {}\n", d.map_or("too few plays to compare", |d| d.words.as_str())));
    }
    text.push_str(&format!("{}: {}\n{}: {}\n", c.one, rated(&c.one_rated), c.other, rated(&c.other_rated)));
    for caution in &c.cautions {
        text.push_str(&format!("! {caution}\n"));
    }
    Answer::new(&c, text)
}

fn kept(text: &str) -> anyhow::Result<OnlyPlays> {
    let (field, word) = text.split_once('=').with_context(|| format!("{text}: --only takes FIELD=WORD"))?;
    Ok(OnlyPlays { field: field.trim().to_owned(), words: vec![word.trim().to_owned()] })
}

fn say(a: &workbench::Answer, called: &PlayNames, text: &mut String) {
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
        if let Some(w) = &s.sway {
            text.push_str(&format!("  the play that decides it: {}\n", called.name(&w.play)));
        }
    }
    if a.groups.iter().all(|g| g.difference.is_none()) && a.slope.is_none() {
        text.push_str(&format!("  {}\n", a.said));
    }
    missing(&a.left, text);
}

fn missing(left: &[Left], text: &mut String) {
    for l in left {
        text.push_str(&format!("  ! {}: {} not seen, {}\n", l.field, l.plays.len(), l.why));
    }
}
