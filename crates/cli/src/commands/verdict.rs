use super::{PlayNames, finish, standard_input};
use crate::arguments::{Claim, Drafts, Extent, OpenQuestions, Report, Session};
use crate::say::{Answer, table};
use anyhow::Context;
use workbench::{ReportExtent, ReportForm, ReportRequest, SessionRequest, Workbench};

pub async fn claim(bench: Workbench, a: Claim) -> anyhow::Result<Answer> {
    let edit = serde_json::from_str(&standard_input()?).context("standard input is not a statement")?;
    let edit = if a.clips > 0 { bench.with_clips(edit, a.clips).await? } else { edit };
    let claim = bench.add_claim(edit).await?;
    Answer::new(&claim, claim.id.to_string())
}

pub async fn verdict(bench: Workbench) -> anyhow::Result<Answer> {
    let claims = bench.claims().await?;
    let called = PlayNames::of(&bench).await?;
    let mut text = String::new();
    for c in &claims {
        text.push_str(&format!("{}. {}\n   {}\n", c.claim.order, c.claim.text, c.strength));
        for f in &c.figures {
            text.push_str(&format!("   {f}\n"));
        }
        for x in &c.showing {
            text.push_str(&format!("   shows it: {} ({})\n", called.name(&x.play), x.why));
        }
        for x in &c.contrary {
            text.push_str(&format!("   against it: {} ({})\n", called.name(&x.play), x.why));
        }
        if c.unsupported {
            text.push_str(&format!("   unsupported: {}\n", c.lacks));
        }
    }
    Answer::new(&claims, text)
}

pub async fn measures(bench: Workbench) -> anyhow::Result<Answer> {
    let measures = bench.measures().await?;
    let rows: Vec<_> = measures.iter().map(|m| vec![m.label.clone(), m.words.clone()]).collect();
    Answer::new(&measures, table(&rows))
}

pub async fn report(bench: Workbench, a: Report) -> anyhow::Result<Answer> {
    let form = match a.out.extension().and_then(|e| e.to_str()) {
        Some("pdf") => ReportForm::Pdf,
        Some("html") => ReportForm::Html,
        _ => anyhow::bail!("{}: a report's file ends in .pdf or .html", a.out.display()),
    };
    let extent = match a.extent {
        Extent::OnePage => ReportExtent::OnePage,
        Extent::Full => ReportExtent::Full,
        Extent::Presentation => ReportExtent::Presentation,
    };
    let request = ReportRequest { game: a.game.map(Into::into), format: form, extent, film: a.film };
    let job = bench.start_report(request).await?;
    let job = finish(&bench, job).await?;
    let (_, bytes) = bench.finished_report(job.id).await?;
    std::fs::write(&a.out, bytes).with_context(|| format!("writing {}", a.out.display()))?;
    Answer::new(&a.out, format!("wrote {}: {}", a.out.display(), job.message))
}

pub async fn session(bench: Workbench, a: Session) -> anyhow::Result<Answer> {
    let claims = a.claims.into_iter().map(Into::into).collect();
    let job = bench.start_session(SessionRequest { claims, pause_s: a.pause }).await?;
    let job = finish(&bench, job).await?;
    let made = bench.finished_session(job.id)?;
    std::fs::copy(&made, &a.out).with_context(|| format!("writing {}", a.out.display()))?;
    Answer::new(&a.out, format!("wrote {}: {}", a.out.display(), job.message))
}

pub async fn open_questions(bench: Workbench, a: OpenQuestions) -> anyhow::Result<Answer> {
    if a.take > 0 {
        let taken = bench.take_open_questions(a.take).await?;
        return Answer::new(&taken, format!("{} open questions written", taken.len()));
    }
    let open = bench.open_questions().await?;
    let lines: Vec<_> = open.iter().map(|o| o.text.clone()).collect();
    Answer::new(&open, lines.join("\n"))
}

pub async fn drafts(bench: Workbench, a: Drafts) -> anyhow::Result<Answer> {
    if a.take {
        let taken = bench.take_drafts().await?;
        return Answer::new(&taken, format!("{} statements written", taken.len()));
    }
    let drafts = bench.drafts().await?;
    let lines: Vec<_> = drafts.iter().map(|d| d.text.clone()).collect();
    Answer::new(&drafts, lines.join("\n"))
}
