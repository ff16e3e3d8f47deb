use super::finish;
use super::judge::asked;
use crate::arguments::Plays;
use crate::say::{Answer, table};
use anyhow::Context;
use std::collections::BTreeMap;
use workbench::{FoundPath, Workbench};

pub async fn find(bench: Workbench, a: Plays) -> anyhow::Result<Answer> {
    let mut jobs = Vec::new();
    for id in asked(&bench, a.plays).await? {
        let job = bench.find_people(&id).await.with_context(|| format!("play {id}"))?;
        jobs.push(finish(&bench, job).await?);
    }
    let rows: Vec<_> = jobs.iter().map(|j| vec![j.title.clone(), j.message.clone()]).collect();
    Answer::new(&jobs, table(&rows))
}

pub async fn show(bench: Workbench, a: Plays) -> anyhow::Result<Answer> {
    let mut all = BTreeMap::new();
    let mut rows = Vec::new();
    for id in asked(&bench, a.plays).await? {
        let found = bench.found_people(&id).await.with_context(|| format!("play {id}"))?;
        rows.extend(found.tracks.iter().map(|t| {
            vec![
                id.to_string(),
                t.id.to_string(),
                who(t),
                format!("{:.1} to {:.1} s", t.from_s, t.to_s),
                t.team.map_or_else(String::new, |k| format!("shirt {}", k + 1)),
            ]
        }));
        all.insert(id, found);
    }
    Answer::new(&all, table(&rows))
}

fn who(t: &FoundPath) -> String {
    match (&t.person, &t.proposal) {
        (Some(p), _) => p.id.to_string(),
        (None, _) if t.labelled => "nobody".into(),
        (None, Some(p)) => format!("{}? ({:.0}%)", p.person.id, 100.0 * p.role),
        (None, None) => "?".into(),
    }
}
