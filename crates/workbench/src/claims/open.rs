//! Questions that the film at hand leaves open, and what film would answer them.

use super::ClaimEdit;
use crate::{WorkError, Workbench};
use patterns::ask::{Answer, Needed, Worth};
use patterns::scarce_words;
use play::{Claim, Leaning, Strand};
use serde::Serialize;

/// A question the data cannot settle yet.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct OpenQuestion {
    /// As an evaluator would ask it.
    pub asks: String,
    /// What the film says so far, with figures.
    pub said: String,
    /// What film would answer it.
    pub needed: String,
    /// A sentence for the verdict.
    pub text: String,
    /// The answer it rests on.
    pub strand: Strand,
}

impl Workbench {
    /// The ready questions that the data lean on but do not carry, those that need the least film first; what a statement rests on
    /// already is left out.
    ///
    /// # Errors
    /// `Store`, or what measuring the plays refused.
    pub async fn open_questions(&self) -> Result<Vec<OpenQuestion>, WorkError> {
        let written: Vec<Claim> = self.store.list().await?;
        let rested: Vec<&Strand> = written.iter().flat_map(|c| &c.strands).collect();
        let mut found: Vec<(u64, OpenQuestion)> = Vec::new();
        for p in self.patterns(&[]).await? {
            let Some((plays, needed, group)) = wanting(&p.answer) else { continue };
            let strand = Strand {
                measure: p.answer.of.id.to_owned(),
                word: p.answer.word.clone(),
                by: p.answer.by.map(|b| b.id.to_owned()),
                group,
                ..Strand::default()
            };
            if rested.iter().any(|s| s.measure == strand.measure && s.by == strand.by) {
                continue;
            }
            // Its sentence says what it would take, too.
            let text = format!("{}? {}.", p.asks, p.answer.said.trim_end_matches('.'));
            found.push((
                plays,
                OpenQuestion { asks: p.asks, said: p.answer.said.clone(), needed, text, strand },
            ));
        }
        found.sort_by_key(|f| f.0);
        Ok(found.into_iter().map(|f| f.1).collect())
    }

    /// Writes the first `most` open questions into the verdict, each as an edit of its own.
    ///
    /// # Errors
    /// As [`Workbench::open_questions`].
    pub async fn take_open_questions(&self, most: usize) -> Result<Vec<Claim>, WorkError> {
        let mut out = Vec::new();
        for q in self.open_questions().await?.into_iter().take(most) {
            out.push(self.add_claim(ClaimEdit::drafted(q.text, Leaning::Open, q.strand)).await?);
        }
        Ok(out)
    }
}

/// The fewest more plays that would tell, in words too, with the group they are of; `None` when no number of plays would, or all is
/// told.
fn wanting(answer: &Answer) -> Option<(u64, String, Option<String>)> {
    if answer.worth == Worth::Carried {
        return None;
    }
    let groups = answer.groups.iter().filter_map(|g| {
        let d = g.difference.as_ref()?;
        let Needed::Plays(n) = d.needed else { return None };
        Some((n, scarce_words(answer, d), Some(g.word.clone())))
    });
    let slope = answer.slope.iter().filter_map(|s| match s.needed {
        Needed::Plays(n) => Some((n, s.needed.words("such plays"), None)),
        _ => None,
    });
    groups.chain(slope).min_by_key(|x| x.0)
}
