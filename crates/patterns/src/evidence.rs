use crate::ask::{Answer, Difference, Worth};
use play::{Claim, Leaning, PlayId};

/// What one figure gives a claim to stand on.
#[derive(Clone, Debug, PartialEq)]
pub struct Backing {
    /// The figure in words with its interval.
    pub words: String,
    /// Plays it rests on.
    pub plays: Vec<PlayId>,
    /// Of a share: width of its 90% interval, 0 to 1.
    pub share_width: Option<f64>,
    /// Of a difference: what may be said of it.
    pub worth: Option<Worth>,
    /// What more film it would take; empty where nothing more is needed or known.
    pub needed: String,
}

impl Backing {
    /// An answer, or the group of it that the claim speaks of; `None` when the answer has no such group.
    pub fn of_answer(answer: &Answer, group: Option<&str>) -> Option<Self> {
        let found = match group {
            Some(word) => answer.groups.iter().find(|g| g.word.eq_ignore_ascii_case(word))?,
            None => &answer.whole,
        };
        // With two groups the difference stands at the first; it is as much the second's.
        let difference = found.difference.as_ref().or_else(|| {
            let two = group.is_some() && answer.groups.len() == 2;
            if two { answer.groups[0].difference.as_ref() } else { None }
        });
        let split = answer.by.is_some();
        let (worth, needed, compared) = match (difference, &answer.slope) {
            (Some(d), _) => (Some(d.worth), scarce_words(answer, d), d.words.clone()),
            (None, Some(s)) if group.is_none() => {
                (Some(s.worth), s.needed.words("such plays"), s.words.clone())
            }
            _ if split => (Some(answer.worth), String::new(), answer.said.clone()),
            _ => (None, String::new(), String::new()),
        };
        let named = match group {
            Some(_) => format!("{}, “{}”: {}", answer.title, found.word, found.words),
            None if split => format!("{}: {}", answer.title, found.words),
            None => format!("{}: {}", answer.title, answer.whole_words()),
        };
        let words = if compared.is_empty() { named } else { format!("{named}. {compared}") };
        let share_width = found.yes.and_then(|_| found.figure.as_ref()?.interval).map(stats::Interval::width);
        Some(Self { words, plays: found.plays.clone(), share_width, worth, needed })
    }
    fn thin(&self) -> bool {
        self.plays.len() < FEW_PLAYS || self.share_width.is_some_and(|w| w > WIDE_SHARE)
    }
}

/// What more a difference would need, said of the scarcer of its two sides.
pub fn scarce_words(answer: &Answer, d: &Difference) -> String {
    let own = answer.groups.iter().find(|g| g.difference.as_ref() == Some(d));
    let all: usize = answer.groups.iter().map(|g| g.n).sum();
    let scarce = own.filter(|g| 2 * g.n <= all).map_or(d.against.as_str(), |g| g.word.as_str());
    d.needed.words(scarce)
}

/// What the evidence of a claim is worth.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Weight {
    /// In words, with counts.
    pub words: String,
    /// What is lacking to carry the sentence, in words; `None` when nothing is, or it is marked as an impression.
    pub lacks: Option<&'static str>,
}

/// A share whose interval is wider than this tells little. Common practice, no source.
const WIDE_SHARE: f64 = 0.35;
/// Plays below which a figure is called thin. Common practice, no source.
const FEW_PLAYS: usize = 8;

/// Weighs a claim by its figures and clips. An open question is not weighed as a statement: that the data cannot tell is its point.
pub fn weigh(claim: &Claim, backings: &[Backing]) -> Weight {
    let (supporting, against) = (claim.evidence.supporting.len(), claim.evidence.against.len());
    let clips =
        format!("{supporting} {} for, {against} against", if supporting == 1 { "clip" } else { "clips" });
    let open = claim.leaning == Leaning::Open;
    let undecided = |b: &Backing| b.worth == Some(Worth::CannotTell);
    let lacks = if claim.impression {
        None
    } else if backings.is_empty() {
        Some("no figure carries this sentence")
    } else if !open && backings.iter().all(undecided) {
        Some("the data cannot tell whether it is so")
    } else if !open && supporting == 0 {
        Some("no clip shows it")
    } else {
        None
    };
    let worth = |w| backings.iter().any(|b| b.worth == Some(w));
    let words = if backings.is_empty() {
        // A lack that is said is not said twice.
        if lacks.is_some() { clips } else { format!("no figure; {clips}") }
    } else if backings.iter().all(undecided) {
        format!("{}; {clips}", Worth::CannotTell.words())
    } else if backings.iter().all(Backing::thin) {
        let most = backings.iter().map(|b| b.plays.len()).max().unwrap_or(0);
        format!("thin: {most} plays at most behind any figure; {clips}")
    } else if worth(Worth::Carried) {
        format!("{}; {clips}", Worth::Carried.words())
    } else if worth(Worth::Leans) {
        format!("{}; {clips}", Worth::Leans.words())
    } else {
        format!("measured; {clips}")
    };
    Weight { words, lacks }
}

#[cfg(test)]
mod tests {
    use super::*;
    use play::Evidence;

    fn plays(n: usize) -> Vec<PlayId> {
        (0..n).map(|k| PlayId(format!("p{k}"))).collect()
    }
    fn claim(supporting: usize, impression: bool) -> Claim {
        Claim {
            id: "c1".into(),
            order: 1,
            text: "Late when hurried.".into(),
            leaning: Leaning::Fault,
            stage: None,
            strands: vec![],
            evidence: Evidence { supporting: plays(supporting), against: vec![] },
            impression,
        }
    }
    fn backing(n: usize, width: f64, worth: Option<Worth>) -> Backing {
        Backing {
            words: String::new(),
            plays: plays(n),
            share_width: Some(width),
            worth,
            needed: String::new(),
        }
    }

    #[test]
    fn a_sentence_without_figure_or_clip_is_unsupported_unless_an_impression() {
        let told = backing(30, 0.2, None);
        assert!(weigh(&claim(0, false), &[]).lacks.is_some());
        assert!(weigh(&claim(0, true), &[]).lacks.is_none());
        assert_eq!(weigh(&claim(1, false), &[]).words, "1 clip for, 0 against");
        assert_eq!(weigh(&claim(1, true), &[]).words, "no figure; 1 clip for, 0 against");
        assert!(weigh(&claim(0, false), std::slice::from_ref(&told)).lacks.is_some());
        assert!(weigh(&claim(2, false), &[told]).lacks.is_none());
    }

    #[test]
    fn few_plays_are_called_thin() {
        assert!(weigh(&claim(1, false), &[backing(4, 0.6, None)]).words.starts_with("thin"));
        assert!(weigh(&claim(1, false), &[backing(60, 0.2, None)]).words.starts_with("measured"));
    }

    #[test]
    fn a_difference_that_cannot_be_told_carries_no_statement_but_an_open_question() {
        let untold = backing(60, 0.2, Some(Worth::CannotTell));
        assert!(weigh(&claim(3, false), std::slice::from_ref(&untold)).lacks.is_some());
        let open = Claim { leaning: Leaning::Open, ..claim(0, false) };
        assert!(weigh(&open, &[untold]).lacks.is_none());
        assert!(weigh(&claim(3, false), &[backing(60, 0.2, Some(Worth::Leans))]).lacks.is_none());
    }
}
