//! Statements drafted from what the figures carry.

use super::ClaimEdit;
use crate::{WorkError, Workbench};
use patterns::{Draft, drafts};
use play::{Claim, Evidence};

impl Workbench {
    /// What the figures carry by themselves, drafted as statements with clips for and against; what a statement rests on already is
    /// left out. The evaluator takes, rewrites or leaves them.
    ///
    /// # Errors
    /// `Store`, or what measuring the plays refused.
    pub async fn drafts(&self) -> Result<Vec<Draft>, WorkError> {
        let asked = self.asked().await?;
        let all = crate::error::blocking(move || {
            Ok::<_, WorkError>(drafts(&asked.ready(&[])?, &asked.lines, &asked.shown))
        })
        .await?;
        let written: Vec<Claim> = self.store.list().await?;
        Ok(all
            .into_iter()
            .filter(|d| {
                let same = |s: &play::Strand| {
                    (&s.measure, &s.by, &s.plays) == (&d.strand.measure, &d.strand.by, &d.strand.plays)
                };
                !written.iter().flat_map(|c| &c.strands).any(same)
            })
            .collect())
    }

    /// Writes every drafted statement into the verdict, each as an edit of its own.
    ///
    /// # Errors
    /// As [`Workbench::drafts`].
    pub async fn take_drafts(&self) -> Result<Vec<Claim>, WorkError> {
        let mut out = Vec::new();
        for d in self.drafts().await? {
            let evidence = Evidence { supporting: d.supporting, against: d.against };
            let edit = ClaimEdit { evidence, ..ClaimEdit::drafted(d.text, d.leaning, d.strand) };
            out.push(self.add_claim(edit).await?);
        }
        Ok(out)
    }
}
