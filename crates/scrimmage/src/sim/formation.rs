//! Where the eleven with the ball line up.

use super::plane::P2;
use serde::{Deserialize, Serialize};

/// A set of the offense. The strong side (more receivers) may be either.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Set {
    /// Two receivers each side, a back.
    TwoByTwo,
    /// Three and one, a back.
    ThreeByOne,
    /// Three close together and one, a back.
    Bunch,
    /// Two each side, two of them stacked, a back.
    Stack,
    /// Two each side, the inner strong one a tight end at the tackle, a back.
    TightEnd,
    /// Three and two, no back.
    Empty,
}

impl Set {
    /// All.
    pub const ALL: [Self; 6] =
        [Self::TwoByTwo, Self::ThreeByOne, Self::Bunch, Self::Stack, Self::TightEnd, Self::Empty];
    /// The trade's word.
    pub fn word(self) -> &'static str {
        match self {
            Self::TwoByTwo => "2x2",
            Self::ThreeByOne => "3x1",
            Self::Bunch => "bunch",
            Self::Stack => "stack",
            Self::TightEnd => "2x2 tight end",
            Self::Empty => "empty",
        }
    }
    /// Receivers on the strong and the weak side, and backs.
    pub fn counts(self) -> (usize, usize, usize) {
        match self {
            Self::TwoByTwo | Self::Stack | Self::TightEnd => (2, 2, 1),
            Self::ThreeByOne | Self::Bunch => (3, 1, 1),
            Self::Empty => (3, 2, 0),
        }
    }
}

/// Which receiver: numbered from the sideline inwards on the strong or the weak side, or the back.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Who {
    /// Strong side, from 1.
    Strong(u8),
    /// Weak side, from 1.
    Weak(u8),
    /// The back.
    Back,
}

impl Who {
    /// Charted slot, `L1`, `R2`, `B`, when the strong side is the offense's left (+1) or right (−1).
    pub fn slot(self, strong: f64) -> String {
        let letter = |left: bool| if left { 'L' } else { 'R' };
        match self {
            Self::Strong(n) => format!("{}{n}", letter(strong > 0.0)),
            Self::Weak(n) => format!("{}{n}", letter(strong < 0.0)),
            Self::Back => "B".to_owned(),
        }
    }
    /// +1 on the offense's left, −1 on its right; the back's is `back`.
    pub fn side(self, strong: f64, back: f64) -> f64 {
        match self {
            Self::Strong(_) => strong,
            Self::Weak(_) => -strong,
            Self::Back => back,
        }
    }
}

/// A man's place before the snap.
#[derive(Clone, Debug, PartialEq)]
pub struct Spot {
    /// `off-qb`, `off-lt`, `off-r1` ...
    pub id: String,
    /// The receiver, if eligible.
    pub who: Option<Who>,
    /// Where.
    pub at: P2,
}

/// Places of all eleven: the five of the line from left to right, the passer, then the eligible. `strong` is +1 when the strong
/// side is the offense's left; `gun` tells a passer five yards back from one under the center.
pub fn line_up(set: Set, strong: f64, gun: bool, edges: (f64, f64), back: f64) -> Vec<Spot> {
    let mut out = Vec::with_capacity(11);
    for (id, y, x) in [
        ("off-lt", 3.1, -1.15),
        ("off-lg", 1.55, -1.0),
        ("off-c", 0.0, -0.55),
        ("off-rg", -1.55, -1.0),
        ("off-rt", -3.1, -1.15),
    ] {
        out.push(Spot { id: id.to_owned(), who: None, at: P2::new(x, y) });
    }
    out.push(Spot { id: "off-qb".to_owned(), who: None, at: P2::new(if gun { -5.2 } else { -1.55 }, 0.0) });
    let (strong_n, weak_n, backs) = set.counts();
    for (side, n, is_strong) in [(strong, strong_n, true), (-strong, weak_n, false)] {
        let edge = if side > 0.0 { edges.0 } else { -edges.1 };
        let widest = (edge - 5.5).clamp(9.0, 17.5);
        for k in 1..=n {
            let (x, w) = match (set, is_strong, n, k) {
                (_, _, 1, _) => (-0.7, widest),
                (Set::Bunch, true, 3, 1) => (-1.9, 8.6),
                (Set::Bunch, true, 3, 2) => (-0.7, 7.2),
                (Set::Bunch, true, 3, _) => (-1.9, 5.9),
                (Set::Stack, true, 2, 1) => (-2.1, 9.6),
                (Set::Stack, true, 2, _) => (-0.7, 9.0),
                (Set::TightEnd, true, 2, 1) => (-1.6, widest),
                (Set::TightEnd, true, 2, _) => (-1.0, 4.7),
                (_, _, 2, 1) => (-0.7, widest),
                (_, _, 2, _) => (-1.6, 0.5 * (widest + 3.1) + 0.4),
                (_, _, 3, 1) => (-0.7, widest),
                (_, _, 3, 2) => (-1.6, 3.1 + (widest - 3.1) * 0.62),
                _ => (-1.6, 3.1 + (widest - 3.1) * 0.30),
            };
            let who = if is_strong { Who::Strong(k as u8) } else { Who::Weak(k as u8) };
            out.push(Spot {
                id: format!("off-{}", who.slot(strong).to_lowercase()),
                who: Some(who),
                at: P2::new(x, side * w),
            });
        }
    }
    if backs == 1 {
        let at = if gun { P2::new(-5.4, back * 1.5) } else { P2::new(-6.2, 0.3 * back) };
        out.push(Spot { id: "off-b".to_owned(), who: Some(Who::Back), at });
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn eleven_line_up_apart_and_inside_the_field_in_every_set() {
        for set in Set::ALL {
            for (edges, strong) in
                [((20.0, -33.3), 1.0), ((33.3, -20.0), 1.0), ((20.0, -33.3), -1.0), ((26.7, -26.7), -1.0)]
            {
                for gun in [true, false] {
                    let spots = line_up(set, strong, gun, edges, -1.0);
                    assert_eq!(spots.len(), 11);
                    assert_eq!(spots.iter().filter(|s| s.who.is_some()).count(), 5);
                    for (i, a) in spots.iter().enumerate() {
                        assert!(a.at.y < edges.0 - 1.0 && a.at.y > edges.1 + 1.0 && a.at.x < 0.0);
                        for b in &spots[i + 1..] {
                            assert!(a.at.distance(b.at) > 0.9, "{set:?} {} {}", a.id, b.id);
                        }
                    }
                }
            }
        }
    }
}
