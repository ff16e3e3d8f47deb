//! Which shirts belong together: two teams, and the others.

use super::{Dress, FoundTrack};

/// Whose shirt somebody wears.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Side {
    /// One of the two teams (0 or 1), and how sure that is, 0 to 1.
    Team(u8, f64),
    /// Neither: an official, or somebody beside the field.
    Other,
}

/// Clusters nearer than this are one, squared standard deviations of dress.
const SAME: f64 = 10.0;
/// Farther than this from both teams is neither.
const STRANGE: f64 = 16.0;
/// Least tracks of a team.
const TEAM: usize = 3;

/// What the two teams wear, and what else is worn by more than one.
pub(super) struct Teams {
    /// The one with the lighter shirt first, so that names do not hang on the order of tracks.
    teams: [Dress; 2],
    others: Vec<Dress>,
}

impl Teams {
    /// By average linkage of the dress of those seen for long: tracks shorter than a fifth of the longest are left out.
    /// `None` when fewer than two kinds of dress are worn by three men each.
    pub(super) fn learn(tracks: &[(Dress, usize)]) -> Option<Self> {
        let longest = tracks.iter().map(|t| t.1).max()?;
        let dress: Vec<&Dress> = tracks.iter().map(|t| &t.0).collect();
        let mut groups: Vec<Vec<usize>> =
            (0..tracks.len()).filter(|&k| 5 * tracks[k].1 >= longest).map(|k| vec![k]).collect();
        let apart = |a: &[usize], b: &[usize]| {
            let sum: f64 = a
                .iter()
                .flat_map(|&i| b.iter().map(move |&j| (i, j)))
                .map(|(i, j)| dress[i].distance2(dress[j]))
                .sum();
            sum / (a.len() * b.len()) as f64
        };
        loop {
            let mut best = (SAME, 0, 0);
            for a in 0..groups.len() {
                for b in a + 1..groups.len() {
                    let d = apart(&groups[a], &groups[b]);
                    if d < best.0 {
                        best = (d, a, b);
                    }
                }
            }
            if best.2 == 0 {
                break;
            }
            let other = groups.swap_remove(best.2);
            groups[best.1].extend(other);
        }
        groups.sort_by_key(|g| std::cmp::Reverse(g.len()));
        if groups.len() < 2 || groups[1].len() < TEAM {
            return None;
        }
        let middle = |g: &[usize]| {
            Dress(std::array::from_fn(|k| {
                let mut v: Vec<f32> = g.iter().map(|&i| dress[i].0[k]).collect();
                v.sort_by(f32::total_cmp);
                v[v.len() / 2]
            }))
        };
        let mut teams = [middle(&groups[0]), middle(&groups[1])];
        if teams[0].0[0] < teams[1].0[0] {
            teams.swap(0, 1);
        }
        // Men bent over the line look alike and unlike the rest of their team: they are no third kind.
        let others = groups[2..]
            .iter()
            .filter(|g| g.len() >= 2)
            .map(|g| middle(g))
            .filter(|o| teams.iter().all(|t| o.distance2_from_kit(t) > STRANGE))
            .collect();
        Some(Self { teams, others })
    }
    /// Log odds that a dress is the first team's rather than the second's. Distances hang together as dress numbers do: a
    /// quarter of the difference counts.
    pub(super) fn odds(&self, d: &Dress) -> f64 {
        0.25 * (d.distance2_from_kit(&self.teams[1]) - d.distance2_from_kit(&self.teams[0]))
    }
    fn side(&self, d: &Dress) -> Side {
        let far = self.teams.map(|t| d.distance2_from_kit(&t));
        let strange = self.others.iter().map(|o| d.distance2(o)).fold(f64::INFINITY, f64::min);
        let nearest = usize::from(far[1] < far[0]);
        if far[nearest] > STRANGE || strange < far[nearest] {
            return Side::Other;
        }
        Side::Team(nearest as u8, 1.0 / (1.0 + (-self.odds(d).abs()).exp()))
    }
}

/// The side of each track, by shirts and trousers. When the teams' dress cannot be told, everybody is `Other`.
pub fn sides(tracks: &[FoundTrack]) -> Vec<Side> {
    let dress: Vec<(Dress, usize)> = tracks.iter().map(|t| (t.dress(), t.spots.len())).collect();
    match Teams::learn(&dress) {
        Some(teams) => dress.iter().map(|(d, _)| teams.side(d)).collect(),
        None => vec![Side::Other; tracks.len()],
    }
}
