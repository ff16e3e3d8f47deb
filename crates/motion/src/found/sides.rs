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

/// The side of each track, by shirts and trousers. Tracks shorter than a fifth of the longest count little when teams are
/// learned. When fewer than two kinds of dress are worn by three men each, everybody is `Other`.
pub fn sides(tracks: &[FoundTrack]) -> Vec<Side> {
    let dress: Vec<Dress> = tracks.iter().map(FoundTrack::dress).collect();
    let weight: Vec<f64> = tracks.iter().map(|t| t.spots.len() as f64).collect();
    let longest = weight.iter().copied().fold(0.0, f64::max);
    // Average linkage over those seen for long.
    let mut groups: Vec<Vec<usize>> =
        (0..tracks.len()).filter(|&k| weight[k] >= 0.2 * longest).map(|k| vec![k]).collect();
    let apart = |a: &[usize], b: &[usize]| {
        let sum: f64 = a
            .iter()
            .flat_map(|&i| b.iter().map(move |&j| (i, j)))
            .map(|(i, j)| dress[i].distance2(&dress[j]))
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
        return vec![Side::Other; tracks.len()];
    }
    let middle = |g: &[usize]| {
        Dress(std::array::from_fn(|k| {
            let mut v: Vec<f32> = g.iter().map(|&i| dress[i].0[k]).collect();
            v.sort_by(f32::total_cmp);
            v[v.len() / 2]
        }))
    };
    // The first is the one with the lighter shirt, so that names do not hang on the order of tracks.
    let mut teams = [middle(&groups[0]), middle(&groups[1])];
    if teams[0].0[0] < teams[1].0[0] {
        teams.swap(0, 1);
    }
    let others: Vec<Dress> = groups[2..].iter().filter(|g| g.len() >= 2).map(|g| middle(g)).collect();
    dress
        .iter()
        .map(|d| {
            let far = teams.map(|t| d.distance2(&t));
            let strange = others.iter().map(|o| d.distance2(o)).fold(f64::INFINITY, f64::min);
            let nearest = usize::from(far[1] < far[0]);
            if far[nearest] > STRANGE || strange < far[nearest] {
                return Side::Other;
            }
            // Distances hang together as dress numbers do: a quarter of the difference counts.
            let odds = 0.25 * (far[1 - nearest] - far[nearest]);
            Side::Team(nearest as u8, 1.0 / (1.0 + (-odds).exp()))
        })
        .collect()
}
