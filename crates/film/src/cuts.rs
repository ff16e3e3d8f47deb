use std::ops::Range;

/// What counts as a cut between clips in a long file.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CutRules {
    /// Least scene-change score, 0 to 100: how much more the picture's brightness changes at this frame than
    /// it did at the one before, percent of full scale.
    pub score: f32,
    /// Shortest clip, frames; a cut that would leave less is taken for a flash.
    pub shortest: usize,
}

impl Default for CutRules {
    /// A score of 10 is what the scene filter itself calls a change; half a second at 30 frames per second is
    /// shorter than any play.
    fn default() -> Self {
        Self { score: 10.0, shortest: 15 }
    }
}

/// Proposed clips: frame ranges that cover the film in order, cut where the scene changes. One range, the
/// whole film, when it never does; none for no frames.
///
/// `scores` holds one scene-change score per frame, as [`crate::Ingested::scores`].
pub fn cuts(scores: &[f32], rules: CutRules) -> Vec<Range<usize>> {
    let mut out = Vec::new();
    let mut start = 0;
    for (i, &score) in scores.iter().enumerate() {
        // NaN compares false: a frame without a score is no cut.
        if score >= rules.score && i - start >= rules.shortest && scores.len() - i >= rules.shortest {
            out.push(start..i);
            start = i;
        }
    }
    if start < scores.len() {
        out.push(start..scores.len());
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ranges_cover_the_film_and_flashes_do_not_cut() {
        let mut s = vec![0.5f32; 100];
        (s[40], s[42], s[95]) = (30.0, 25.0, 30.0);
        assert_eq!(cuts(&s, CutRules::default()), [0..40, 40..100]);
        assert_eq!(cuts(&[], CutRules::default()), []);
        assert_eq!(cuts(&[0.0], CutRules::default()).len(), 1);
    }
}
